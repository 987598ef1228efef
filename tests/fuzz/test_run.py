"""The driver that feeds the readers any number of inputs."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzz import properties, run


def said(capsys, monkeypatch, *words: str) -> tuple[int, str]:
    monkeypatch.setattr(sys, "argv", ["run.py", *words])
    return run.main(), capsys.readouterr().out


def test_it_runs_so_many_and_finds_nothing(capsys, monkeypatch):
    code, out = said(capsys, monkeypatch, "60", "--from", "1000000")
    assert code == 0 and out.startswith("60 inputs in ") and out.endswith(", 0 at fault\n")


def test_what_it_finds_can_be_tried_again(capsys, monkeypatch):
    monkeypatch.setattr(properties, "of_measure", lambda *_: "is wrong")
    code, out = said(capsys, monkeypatch, "4")
    assert code == 1 and out.endswith(", 2 at fault\n")
    assert out.startswith("seed 1: is wrong\n")
    text = out.splitlines()[1]
    assert said(capsys, monkeypatch, "1", "--from", "1")[1].splitlines()[1] == text


def test_it_can_be_guided():
    pytest.importorskip("atheris", reason="atheris is not among what the tests need")
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, str(root / "tests" / "fuzz" / "run.py"), "300", "--guided"],
        env={**os.environ, "PYTHONPATH": str(root)}, capture_output=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0 and b"Done 300" in done.stderr
