"""Chromium as the tests start it, and the server that they look at."""

from __future__ import annotations

import fcntl
import importlib.util
import os
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright

ROOT_FOLDER = Path(__file__).parents[2]
CHROMIUM = Path(os.environ.get("TABLEKIT_CHROMIUM", "/usr/bin/chromium"))
ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PATIENCE = 60.0  # seconds for a server to answer


def needs_chromium() -> None:
    """Called as a module is imported: skips it where there is no browser to look with."""
    if importlib.util.find_spec("playwright") is None:
        pytest.skip(
            "playwright is not installed; it comes with the extra test", allow_module_level=True
        )
    if not CHROMIUM.is_file():
        pytest.skip(f"no {CHROMIUM}; install Debian's chromium", allow_module_level=True)


def browser_of(playwright: Playwright) -> Browser:
    """Debian's Chromium, headless, with no profile but a new one."""
    return playwright.chromium.launch(
        executable_path=str(CHROMIUM), args=list(ARGUMENTS), headless=True
    )


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """For the time in which a server starts: one that looked for a free port meanwhile would find
    the same, and tests run in several processes."""
    with (Path(tempfile.gettempdir()) / f"tablekit-server-starts-{os.getuid()}").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


@contextmanager
def started(
    command: Sequence[str],
    environment: Mapping[str, str],
    folder: Path | None = None,
    log: Path = Path(os.devnull),
) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A server that `tablekit open` starts, and its address once it answers there.

    folder  where it is started; that of this process if not said
    log     where what it complains of is written down
    """
    with ExitStack() as while_it_starts:
        while_it_starts.enter_context(one_at_a_time())
        complaints = while_it_starts.enter_context(log.open("w"))
        with subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=complaints, env=environment, text=True,
            cwd=folder,
        ) as process:  # fmt: skip
            try:
                address = told_address(process)
                while_it_starts.close()
                yield process, address
            finally:
                process.terminate()


def told_address(process: subprocess.Popen[str]) -> str:
    """The address that `tablekit open` tells, once the server answers there."""
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("http://"):
            answered(line.strip(), process)
            return line.strip()
    raise RuntimeError(f"tablekit open told no address; it ended with {process.wait()}")


def answered(address: str, process: subprocess.Popen[str]) -> None:
    """Wait until the server answers. Raises RuntimeError where it does not."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with {process.returncode}")
        try:
            with urllib.request.urlopen(address, timeout=PATIENCE):
                return
        except urllib.error.URLError:
            time.sleep(0.2)
    raise RuntimeError(f"no answer within {PATIENCE:.0f} s at {address}")
