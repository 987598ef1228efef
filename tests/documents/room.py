"""A copy of the source as a newcomer has it, in which the commands of the documents are run."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import tomllib
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.browser.chromium import answered, one_at_a_time
from tests.documents.reading import ROOT, blocks

PATIENCE = 300.0  # seconds for a command that ends by itself, on a busy machine
PROGRAMS = ("python", "pytest", "ruff", "mypy")
# What people have beside the source and do not come with it.
LEFT_BEHIND = (
    ".git", ".venv", "venv", "build", "dist", "*.egg-info", "__pycache__", ".ipynb_checkpoints",
    ".*_cache", ".hypothesis", ".benchmarks",
)  # fmt: skip
_OFF = (0.1, 0.5, 0.3, 0.7, 0.4)  # mm, of posts that were measured
SHELL = ("bash", "-euo", "pipefail", "-c")  # as .ci/run takes the README's command


class Room:
    """The copy, with an environment at `.venv/bin` that hands on to this one's programs, and with
    the briefs that the README's commands speak of.

    The commands run word by word: nothing in them is replaced, no path and no option.
    """

    def __init__(self, folder: Path):
        self.folder = folder
        self.source = folder / "source"
        self.home = folder / "home"
        self.seen = folder / "opened-in-the-browser"  # the addresses that a browser was asked for
        self.complaints = folder / "complaints"
        self.printed: dict[str, str] = {}  # what commands answered last
        self.home.mkdir(parents=True)
        shutil.copytree(ROOT, self.source, ignore=shutil.ignore_patterns(*LEFT_BEHIND))
        self._put_programs()
        (brief,) = (b.text for b in blocks("README.md") if b.language == "toml")
        (self.source / "my-table.toml").write_text(brief, encoding="utf-8")
        higher = brief.replace('"735 mm"', '"765 mm"').replace("Reading-room table", "Higher")
        (self.source / "higher.toml").write_text(higher, encoding="utf-8")
        rows = (f"post {k},post_length,1146.5,{1146.5 + off:g},mm\n" for k, off in enumerate(_OFF))
        measured = f"piece,size,drawn,measured,unit\n{''.join(rows)}"
        (self.source / "my-pieces.csv").write_text(measured, encoding="utf-8")

    def _put_programs(self) -> None:
        bin = self.source / ".venv" / "bin"
        bin.mkdir(parents=True)
        for name in PROGRAMS:
            beside = Path(sys.executable).parent / name
            script(bin / name, f'exec "{beside}" "$@"')
        declared = tomllib.loads((self.source / "pyproject.toml").read_text("utf-8"))
        for name, entry in declared["project"]["scripts"].items():
            module, function = entry.split(":")
            start = f"import sys; from {module} import {function}; sys.exit({function}())"
            script(bin / name, f'exec "{sys.executable}" -c "{start}" "$@"')
        script(self.home / "browser", f'echo "$1" >> "{self.seen}"')

    @property
    def environment(self) -> dict[str, str]:
        """That of this process, with a home of its own, and nothing of the test run it is in."""
        kept = {n: v for n, v in os.environ.items() if not n.startswith(("PYTEST_", "JUPYTER"))}
        cache = os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")
        return {
            **kept,
            "HOME": str(self.home),
            "XDG_CACHE_HOME": str(cache),  # fonts, whose list takes long to make
            # Made here or there, it serves both; a whole check without one takes long.
            "MYPY_CACHE_DIR": str(ROOT / ".mypy_cache"),
            "PATH": os.pathsep.join([str(self.source / ".venv" / "bin"), os.environ["PATH"]]),
            "PYTHONPATH": str(self.source),
            "PYTHONUTF8": "1",
            "BROWSER": str(self.home / "browser"),
            "COLUMNS": "80",
        }

    def run(self, text: str) -> subprocess.CompletedProcess[str]:
        """Run a command to its end."""
        return subprocess.run(
            [*SHELL, text], cwd=self.source, env=self.environment, stdin=subprocess.DEVNULL,
            capture_output=True, encoding="utf-8", timeout=PATIENCE,
        )  # fmt: skip

    def answer(self, text: str) -> str:
        """What a command prints that is to be answered. Fails where it is not, or where it
        complains."""
        done = self.run(text)
        assert done.returncode == 0, f"{text} ended with {done.returncode}\n{done.stderr}"
        assert done.stderr == "", done.stderr
        self.printed[text] = done.stdout
        return done.stdout

    @contextmanager
    def serving(self, text: str) -> Iterator[str]:
        """The address that a command tells, once a server answers there; then it is stopped."""
        self.seen.unlink(missing_ok=True)
        with self.complaints.open("w") as complaints, one_at_a_time():
            process = subprocess.Popen(
                [*SHELL, f"exec {text}"], cwd=self.source, env=self.environment,
                stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=complaints,
                encoding="utf-8", start_new_session=True,
            )  # fmt: skip
            try:
                address = self._told(process)
            except BaseException:
                stop(process)
                raise
        try:
            yield address
        finally:
            stop(process)

    def _told(self, process: subprocess.Popen[str]) -> str:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith("http://"):
                # Whether others find this machine by its name is a matter of their network.
                named, here = f"//{socket.gethostname()}:", "//127.0.0.1:"
                address = line.strip().replace(named, here)
                answered(address, process)
                return address
        raise RuntimeError(f"no address was told\n{self.complaints.read_text()}")

    def asked_of_the_browser(self) -> str:
        """What a browser was asked to open, once it was; "" if it was not."""
        end = time.monotonic() + 20
        while not self.seen.is_file() and time.monotonic() < end:
            time.sleep(0.1)
        return self.seen.read_text(encoding="utf-8").strip() if self.seen.is_file() else ""


def script(path: Path, line: str) -> None:
    """A program of one line."""
    path.write_text(f"#!/bin/sh\n{line}\n", encoding="utf-8")
    path.chmod(0o755)


def stop(process: subprocess.Popen[str]) -> None:
    """End a server with all that it started."""
    for what in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, what)
            process.wait(20)
            break
        except subprocess.TimeoutExpired:
            continue
        except ProcessLookupError:
            break
    if process.stdout is not None:
        process.stdout.close()


def page(address: str) -> str:
    """What a server answers."""
    with urllib.request.urlopen(address, timeout=PATIENCE) as answer:
        return str(answer.read().decode("utf-8"))


def shown_to_anyone(address: str) -> str:
    """What a server answers, be it that it refuses."""
    try:
        return page(address)
    except urllib.error.HTTPError as refusal:
        assert refusal.code == 403, refusal
        return ""


def without_token(address: str) -> str:
    """The same address for someone who was not told the token."""
    return re.sub(r"\?token=\w+", "", address)
