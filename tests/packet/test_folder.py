"""A folder is written as a whole or not at all, and never over anything of the maker's."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablekit.packet.folder import MARKER, FolderError, write_folder


def fill_with(**files: str):
    def fill(room: Path) -> None:
        for name, text in files.items():
            (room / name).write_text(text)

    return fill


def contents(folder: Path) -> dict[str, str]:
    return {p.name: p.read_text() for p in folder.iterdir() if p.name != MARKER}


@pytest.mark.parametrize("before", ["missing", "empty", "missing above"])
def test_written_where_nothing_is_in_the_way(tmp_path, before):
    folder = tmp_path / "a" / "packet" if before == "missing above" else tmp_path / "packet"
    if before == "empty":
        folder.mkdir()
    assert write_folder(folder, fill_with(one="1", two="2")) == ("one", "two")
    assert contents(folder) == {"one": "1", "two": "2"}
    assert list(folder.parent.iterdir()) == [folder]


def test_an_earlier_packet_is_replaced_as_a_whole(tmp_path):
    folder = tmp_path / "packet"
    write_folder(folder, fill_with(one="1", two="2"))
    write_folder(folder, fill_with(two="22", three="3"))
    assert contents(folder) == {"two": "22", "three": "3"}


def fill_with_pages(room: Path) -> None:
    (room / "pages").mkdir()
    (room / "pages" / "one.svg").write_text("1")
    (room / "two").write_text("2")


def test_folders_within_are_replaced_too_and_guarded_as_well(tmp_path):
    folder = tmp_path / "packet"
    assert write_folder(folder, fill_with_pages) == ("pages/one.svg", "two")
    assert write_folder(folder, fill_with_pages) == ("pages/one.svg", "two")
    (folder / "pages" / "mine").write_text("notes")
    with pytest.raises(FolderError, match="did not write: pages/mine"):
        write_folder(folder, fill_with(one="new"))
    assert (folder / "pages" / "one.svg").read_text() == "1"
    (folder / "pages" / "mine").unlink()
    assert write_folder(folder, fill_with(one="new")) == ("one",)
    assert not (folder / "pages").exists()


def a_stranger(folder: Path) -> str:
    (folder / "notes.txt").write_text("mine")
    return "notes.txt"


def a_change(folder: Path) -> str:
    (folder / "one").write_text("mine")
    return "one"


def a_folder(folder: Path) -> str:
    (folder / "drawings").mkdir()
    return "drawings"


def a_link(folder: Path) -> str:
    (folder / "one").rename(folder.parent / "elsewhere")
    (folder / "one").symlink_to(folder.parent / "elsewhere")
    return "one"


def a_foreign_marker(folder: Path) -> str:
    (folder / MARKER).write_text("something else\n")
    return r"\.tablekit-packet, one"


@pytest.mark.parametrize("do", [a_stranger, a_change, a_folder, a_link, a_foreign_marker])
def test_what_the_maker_put_there_is_never_overwritten(tmp_path, do):
    folder = tmp_path / "packet"
    write_folder(folder, fill_with(one="1"))
    name = do(folder)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    with pytest.raises(FolderError, match=f"files that tablekit did not write: {name}") as caught:
        write_folder(folder, fill_with(one="new"))
    assert caught.value.exit_code == 2 and "Choose another folder" in str(caught.value)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_a_file_in_the_way(tmp_path):
    (tmp_path / "packet").write_text("mine")
    with pytest.raises(FolderError, match="packet is a file"):
        write_folder(tmp_path / "packet", fill_with(one="1"))
    with pytest.raises(FolderError, match="cannot be written"):
        write_folder(tmp_path / "packet" / "below", fill_with(one="1"))
    assert (tmp_path / "packet").read_text() == "mine"


@pytest.mark.parametrize("where", [".", ".."])
def test_the_folder_one_stands_in(tmp_path, monkeypatch, where):
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    with pytest.raises(FolderError, match="the folder you are working in"):
        write_folder(Path(where), fill_with(one="1"))


@pytest.mark.parametrize("fault", [ZeroDivisionError, KeyboardInterrupt, OSError])
def test_nothing_is_left_when_the_filling_fails(tmp_path, fault):
    def fill(room: Path) -> None:
        (room / "one").write_text("half")
        raise fault

    with pytest.raises(FolderError if fault is OSError else fault):
        write_folder(tmp_path / "a" / "b" / "packet", fill)
    assert list(tmp_path.iterdir()) == []
    folder = tmp_path / "packet"
    write_folder(folder, fill_with(one="1"))
    with pytest.raises(FolderError if fault is OSError else fault):
        write_folder(folder, fill)
    assert contents(folder) == {"one": "1"} and list(tmp_path.iterdir()) == [folder]


def test_the_old_packet_comes_back_when_the_new_one_cannot_be_moved(tmp_path, monkeypatch):
    folder = tmp_path / "packet"
    write_folder(folder, fill_with(one="1"))
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise PermissionError(13, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(FolderError, match="Permission denied"):
        write_folder(folder, fill_with(one="new"))
    assert contents(folder) == {"one": "1"} and list(tmp_path.iterdir()) == [folder]
