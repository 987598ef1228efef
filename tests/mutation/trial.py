"""Runs tests against a mutant in a child process, the file on disk left as it is.

The parent has imported what is heavy and nothing of the kit, so that a child starts at once and
imports the kit anew, with the changed source in place of one module.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import importlib.util
import json
import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
HEAVY = (
    "hypothesis", "matplotlib.figure", "networkx", "numpy", "pint", "scipy.integrate",
    "scipy.optimize", "scipy.sparse", "scipy.stats", "sympy", "uncertainties", "manifold3d",
    "trimesh",
)  # fmt: skip
MEMORY = 6 << 30  # a mutant may ask for all there is
# The kit's own options would run notebooks and share the tests out to other processes.
PYTEST = (
    "-o", "addopts=", "--import-mode=importlib", "-x", "-q", "--no-header", "--tb=no",
    "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:nbval", "-p", "no:benchmark",
    "--hypothesis-seed=0",
)  # fmt: skip
# pytest's own codes: all passed, or there was nothing to run.
UNHARMED = (0, 5)
WRONGLY_CALLED = 4


@dataclass(frozen=True)
class Outcome:
    """`survived`, `killed` or `time`, the test that noticed, and how long it took."""

    what: str
    by: str
    seconds: float


class Mutated(SourceFileLoader):
    """Gives a module from a text, under the name and path of the file."""

    def __init__(self, module: str, path: Path, text: str) -> None:
        super().__init__(module, str(path))
        self.text = text

    def get_code(self, fullname: str) -> CodeType:
        return self.source_to_code(self.text.encode(), self.path)


class InPlaceOf:
    """Finds one module, and no other."""

    def __init__(self, module: str, path: Path, text: str) -> None:
        self.module, self.path, self.text = module, path, text

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        if name != self.module:
            return None
        loader = Mutated(name, self.path, self.text)
        return importlib.util.spec_from_file_location(name, self.path, loader=loader)


class Watch:
    """Notes how long each test took and which fell first; what fails before any test counts too."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.fell = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration
        if report.failed:
            self.fell = self.fell or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.fell = self.fell or f"{report.nodeid} (on import)"


def ready() -> None:
    """Imports what is heavy, once; none of it may bring the kit with it."""
    sys.dont_write_bytecode = True
    for name in HEAVY:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    loaded = [name for name in sys.modules if name.split(".")[0] == "tablekit"]
    if loaded:
        raise RuntimeError(f"{loaded[0]} is loaded already, so no mutant could take its place")
    gc.collect()
    gc.freeze()


def run_pytest(arguments: Sequence[str], watch: Watch) -> int:
    """One run in this process."""
    return int(pytest.main([*PYTEST, *arguments], plugins=[watch]))


def try_tests(
    text: str | None, module: str, path: Path, tests: Sequence[Sequence[str]], limit: float
) -> Outcome:
    """Runs pytest once for each of `tests` until one fails, with `text` for the module's source
    (None: as it is). `limit` is in seconds."""

    def work(note: Callable[[str], None]) -> int:
        if text is not None:
            sys.meta_path.insert(0, InPlaceOf(module, path, text))
        watch = Watch()
        for arguments in tests:
            code = run_pytest(arguments, watch)
            note(watch.fell or f"{arguments[0]} (pytest {code})")
            if code not in UNHARMED:
                return code
        return 0

    began = time.monotonic()
    code, said = in_a_child(work, limit)
    seconds = time.monotonic() - began
    if code == WRONGLY_CALLED:
        raise RuntimeError(f"pytest cannot run {said}")
    if code is None:
        return Outcome("time", said, seconds)
    return Outcome("killed" if code else "survived", said if code else "", seconds)


def in_a_child(
    work: Callable[[Callable[[str], None]], int], limit: float
) -> tuple[int | None, str]:
    """(exit code or None where time ran out, what the work noted last)."""
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(folder, "note")
        child = os.fork()
        if child == 0:
            _be_child(work, notes, folder)
        code = _wait(child, limit)
        return code, notes.read_text("utf-8") if notes.exists() else ""


def _be_child(work: Callable[[Callable[[str], None]], int], notes: Path, folder: str) -> None:
    """Never returns: the child must not go on with what its parent was about."""
    code = 1
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        with open(os.devnull, "r+b") as nowhere:
            for stream in (0, 1, 2):
                os.dup2(nowhere.fileno(), stream)
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = folder  # no mutant learns from another
        os.chdir(ROOT)
        sys.path.insert(0, str(ROOT))
        code = work(lambda text: notes.write_text(text, "utf-8") and None)
    finally:
        os._exit(code)


def _wait(child: int, limit: float) -> int | None:
    end = time.monotonic() + limit
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None


def measured(file: str, packages: Sequence[str], limit: float = 900.0) -> dict[str, Any]:
    """A test file run with nothing changed: its seconds by test, and the lines it reaches in the
    kit's packages."""
    import coverage

    def work(note: Callable[[str], None]) -> int:
        watch = Watch()
        wanted = [f"{ROOT}/tablekit/{package}/*" for package in packages]
        cover = coverage.Coverage(data_file=None, include=wanted, messages=False)
        cover.start()
        code = run_pytest([file], watch)
        cover.stop()
        data = cover.get_data()
        lines = {str(Path(f).relative_to(ROOT)): data.lines(f) for f in data.measured_files()}
        found = {"code": code, "fell": watch.fell, "seconds": watch.seconds, "lines": lines}
        note(json.dumps(found))
        return 0

    code, said = in_a_child(work, limit)
    if code != 0:
        raise RuntimeError(f"{file} could not be measured (exit {code})")
    return dict(json.loads(said))
