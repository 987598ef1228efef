"""Disks that are full or may not be written: one line is told, and what was there stays."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

from tablekit import cli
from tablekit.packet import books, packet, pages
from tablekit.packet import folder as folder_module
from tablekit.packet.document import Document
from tablekit.packet.folder import write_folder
from tests.faults import kit


@contextmanager
def small_disk(place: Path, size: str):
    """A disk of that size at `place`; skips the test where this user may not make one."""
    place.mkdir()
    if sys.platform != "linux":
        pytest.skip("a small disk is made the way Linux makes it")
    command = ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(place)]
    if subprocess.run(command, capture_output=True).returncode:
        pytest.skip("this user may not mount a small disk")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


@pytest.fixture
def brief(tmp_path) -> Path:
    path = tmp_path / "brief.toml"
    path.write_text(kit.BRIEF)
    return path


# The first is full while texts are written, the second while pages and the book are: in two
# processes, where the machine has them.
@pytest.mark.parametrize("size", [pytest.param("100k", marks=pytest.mark.slow), "1200k"])
def test_a_disk_that_gets_full(tmp_path, brief, size):
    with small_disk(tmp_path / "disk", size) as disk:
        write_folder(disk / "packet", lambda room: (room / "earlier").write_text("1") and None)
        before = kit.contents(disk)
        done = kit.run("set-out", brief, "--out", disk / "packet")
        assert done.returncode == 2 and done.stdout == b""
        assert f"{disk / 'packet'} cannot be written: " in kit.told(done)
        assert "No space left on device" in kit.told(done)
        assert kit.contents(disk) == before and [p.name for p in disk.iterdir()] == ["packet"]


def full(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("where", ["book", "pages", "texts", "solids"])
def test_no_room_wherever_it_is_written(tmp_path, brief, monkeypatch, capsys, where):
    """In this process and in its copy, each made to fail at the write."""
    for book in ("bench_book", "reasons_book"):
        monkeypatch.setattr(books, book, lambda job: Document("Trial", "", ()))
    monkeypatch.setattr(pages, "lay_out_pages", lambda *_: [])
    at = {
        "book": (pages, "save_book"), "pages": (packet, "_write_svgs"),
        "texts": (packet, "write_marks"), "solids": (packet, "_write_solids"),
    }[where]  # fmt: skip
    monkeypatch.setattr(*at, full)
    out = tmp_path / "out" / "packet"
    assert cli.main(["set-out", str(brief), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1
    assert f"{out} cannot be written: " in said.err and "No space left on device" in said.err
    assert [path.name for path in tmp_path.iterdir()] == ["brief.toml"]


def test_a_disk_that_is_read_only(tmp_path, brief, capsys):
    with small_disk(tmp_path / "disk", "1m") as disk:
        write_folder(disk / "packet", lambda room: (room / "earlier").write_text("1") and None)
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        for folder in ("packet", "other", "above/it"):
            assert cli.main(["set-out", str(brief), "--out", str(disk / folder)]) == 2
            said = capsys.readouterr()
            assert said.out == "" and said.err == (
                f"tablekit: {disk / folder} cannot be written: Read-only file system; "
                "choose another folder\n"
            )
        assert [p.name for p in disk.iterdir()] == ["packet"] and kit.whole(disk / "packet")


@pytest.mark.parametrize("above", [".", "above"])
def test_a_folder_that_is_not_ours(tmp_path, brief, monkeypatch, capsys, above):
    """As the system refuses it; a mode would not stop the one user whom no mode stops."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(tmp_path))

    monkeypatch.setattr(folder_module.tempfile, "mkdtemp", refuse)
    out = tmp_path / above / "packet"
    assert cli.main(["set-out", str(brief), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err == (
        f"tablekit: {out.resolve()} cannot be written: Permission denied; choose another folder\n"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["brief.toml"]
