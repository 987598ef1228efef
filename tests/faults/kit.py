"""The command line as a process of its own, and a brief to give it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tablekit.packet.folder import MARKER, digest

ROOT = Path(__file__).parents[2]
BRIEF = """name = "Trial"

[given]
post_length = "1000 mm"
post_section = "64 mm"
top_diameter = "900 mm"
"""
START = (sys.executable, "-m", "tablekit")


def environment(**changes: str) -> dict[str, str]:
    """That of this process, so that `python -m tablekit` finds the kit; "" takes a name away."""
    every = {**os.environ, "PYTHONPATH": str(ROOT), **changes}
    return {name: value for name, value in every.items() if value or name not in changes}


def run(*words: object, **how) -> subprocess.CompletedProcess[bytes]:
    how.setdefault("env", environment())
    how.setdefault("stdout", subprocess.PIPE)
    how.setdefault("stderr", subprocess.PIPE)
    return subprocess.run([*START, *map(str, words)], timeout=300, **how)


def told(done: subprocess.CompletedProcess[bytes]) -> str:
    """The one line it complained with."""
    said = done.stderr.decode()
    assert said.startswith("tablekit: ") and said.count("\n") == 1, said
    return said


def whole(folder: Path) -> bool:
    """Whether every file that the marker lists is there as it was written, and none besides."""
    rows = (folder / MARKER).read_text(encoding="utf-8").splitlines()[1:]
    listed = {name: found for found, _, name in (row.partition("  ") for row in rows)}
    there = {p.relative_to(folder).as_posix(): digest(p) for p in folder.rglob("*") if p.is_file()}
    there.pop(MARKER)
    return there == listed


def contents(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}
