"""Saving, loading and the packet from within a panel: what is written, what is refused."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tablekit.brief import Brief, parse_brief, read_brief, write_brief
from tablekit.design import Design
from tablekit.engine.trouble import DesignError
from tablekit.panels.files import FilesPanel, plain_name, within

BRIEF = """
name = "Café table <b>1</b>"
[given]
table_height = "28 7/8 in"
top_diameter = "920 mm"
post_section = "64 mm"
"""
OTHER = BRIEF.replace("920 mm", "760 mm")


class Held:
    """What a panel hands over, and what it is told to open."""

    def __init__(self) -> None:
        self.brief = parse_brief(BRIEF)
        self.opened: list[Brief] = []
        self.steps: list[tuple[float, bool]] = []

    def design(self) -> Design:
        return Design(self.brief, "a sheet")  # type: ignore[arg-type]


@pytest.fixture
def held() -> Held:
    return Held()


@pytest.fixture
def room(tmp_path: Path) -> Path:
    folder = tmp_path / "work"
    folder.mkdir()
    return folder


@pytest.fixture
def panel(held: Held, room: Path) -> FilesPanel:
    def write(design: Design, folder: Path, progress: Callable[[float, str], None]):
        assert design.sheet == "a sheet" and design.brief is held.brief
        for share in (0.25, 0.75):
            progress(share, f"at {share}")
            held.steps.append((panel.progress.value, panel.make.disabled))
        if folder.name == "full":
            raise DesignError("the disk is full")
        folder.mkdir()
        (folder / "one.txt").write_text("1")
        return ("one.txt",)

    panel = FilesPanel(lambda: held.brief, held.design, held.opened.append, room, write)
    return panel


def test_a_saved_brief_keeps_the_maker_s_words_and_reads_back(panel, held, room) -> None:
    assert panel.name.value == "café-table-b-1-b.toml"
    panel.save.click()
    path = room / "café-table-b-1-b.toml"
    assert "Saved as" in panel.said.value and "28 7/8 in" in path.read_text(encoding="utf-8")
    assert read_brief(path) == held.brief
    assert os.listdir(room) == [path.name]  # nothing half written lies about
    assert path.name in panel.name.options


def test_what_was_saved_from_here_is_saved_again_without_asking(panel, held, room) -> None:
    panel.name.value = "mine"
    panel.save.click()
    held.brief = parse_brief(OTHER)
    panel.save.click()
    assert "Saved as mine.toml" in panel.said.value
    assert read_brief(room / "mine.toml") == held.brief


def test_a_file_of_somebody_else_is_replaced_only_when_asked_twice(panel, held, room) -> None:
    theirs = room / "theirs.toml"
    theirs.write_text("keep me")
    panel.name.value = "theirs"
    panel.save.click()
    assert "Click again" in panel.said.value and theirs.read_text() == "keep me"
    panel.name.value = "theirs.toml"  # something else was done: ask again
    panel.save.click()
    assert theirs.read_text() == "keep me"
    theirs.write_text("changed meanwhile")
    panel.save.click()
    assert theirs.read_text() == "changed meanwhile"
    panel.save.click()
    assert read_brief(theirs) == held.brief


def test_a_file_changed_since_it_was_saved_is_somebody_else_s(panel, room) -> None:
    panel.name.value = "mine"
    panel.save.click()
    with (room / "mine.toml").open("a") as file:
        file.write("# a note by hand\n")
    panel.save.click()
    assert "Click again" in panel.said.value
    assert "a note by hand" in (room / "mine.toml").read_text()


@pytest.mark.parametrize(
    "name",
    ["", "  ", ".", "..", "../out", "a/../../out", "/tmp/out", "~/../../etc/out", ".hidden",
     "sub/.hidden", "a\\b", "C:out", "line\nbreak", "out/../.."],
)  # fmt: skip
def test_no_road_leads_out_of_the_folder(panel, room, name: str) -> None:
    before = sorted(room.parent.rglob("*"))
    for action in (panel.save, panel.save, panel.load):
        panel.name.value = name
        action.click()
        assert 'role="alert"' in panel.said.value
    panel.packet_name.value = name
    panel.make.click()
    assert 'role="alert"' in panel.said.value
    assert sorted(room.parent.rglob("*")) == before


def test_a_link_that_leads_out_is_no_road_either(panel, room, tmp_path) -> None:
    (tmp_path / "secret.toml").write_text("keep me")
    (room / "link.toml").symlink_to(tmp_path / "secret.toml")
    (room / "away").symlink_to(tmp_path)
    for name in ("link.toml", "away/new.toml", "away/secret.toml"):
        panel.name.value = name
        panel.save.click()
        panel.save.click()
        assert "outside your folder" in panel.said.value
    assert (tmp_path / "secret.toml").read_text() == "keep me"
    assert not (tmp_path / "new.toml").exists()


def test_a_folder_inside_may_be_named(room) -> None:
    assert within(room, "briefs/low", ".toml") == (room / "briefs" / "low.toml").resolve()


def test_a_missing_folder_and_a_folder_in_the_way_are_told(panel, room) -> None:
    panel.name.value = "nowhere/low"
    panel.save.click()
    assert "cannot be written" in panel.said.value
    (room / "there.toml").mkdir()
    panel.name.value = "there"
    panel.save.click()
    assert "is a folder" in panel.said.value


def test_loading_hands_over_the_brief(panel, held, room) -> None:
    (room / "other.toml").write_text(OTHER)
    panel.name.value = "other"
    panel.load.click()
    assert held.opened == [parse_brief(OTHER)] and "Loaded other.toml" in panel.said.value


def test_what_is_wrong_with_a_brief_is_told_with_its_line(panel, held, room) -> None:
    (room / "bad.toml").write_text(OTHER.replace("760 mm", "wide <i>"))
    panel.name.value = "bad"
    panel.load.click()
    assert "top_diameter" in panel.said.value and "5" in panel.said.value
    assert "<i>" not in panel.said.value and held.opened == []


def upload(name: str, content: bytes) -> dict:
    when = datetime(2026, 1, 2, tzinfo=UTC)
    whole = {"name": name, "type": "", "size": len(content), "last_modified": when}
    return {**whole, "content": memoryview(content)}


def test_a_brief_comes_from_elsewhere(panel, held) -> None:
    panel.upload.set_trait("value", (upload("far.toml", OTHER.encode()),))
    assert held.opened == [parse_brief(OTHER)] and "Loaded far.toml" in panel.said.value
    assert panel.upload.value == ()


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"\xff\xfe\x00", "UTF-8"), (b"name = 3", "name"), (b"x" * 1_000_001, "1 MB")],
)
def test_what_is_no_brief_is_refused(panel, held, content: bytes, told: str) -> None:
    panel.upload.set_trait("value", (upload("<b>far", content),))
    assert told in panel.said.value and "<b>far" not in panel.said.value
    assert held.opened == []


def test_the_packet_shows_how_far_it_is(panel, held, room) -> None:
    panel.packet_name.value = "packet"
    panel.make.click()
    assert held.steps == [(0.25, True), (0.75, True)]
    assert "1 files written to packet" in panel.said.value
    assert (room / "packet" / "one.txt").exists()
    assert panel.make.disabled is False and panel.progress.layout.visibility == "hidden"


def test_a_packet_that_fails_is_told_and_the_button_works_again(panel) -> None:
    panel.packet_name.value = "full"
    panel.make.click()
    assert "the disk is full" in panel.said.value and not panel.make.disabled


@pytest.mark.parametrize(
    ("name", "file"), [("Low  table!", "low-table"), ("../..", "brief"), ("Ärmel 2", "ärmel-2")]
)
def test_a_name_for_files_is_plain(name: str, file: str) -> None:
    assert plain_name(name) == file


def test_a_brief_that_would_not_read_back_is_not_saved(panel, held, room) -> None:
    from dataclasses import replace

    held.brief = replace(held.brief, givens={"table_height": -5.0})
    with pytest.raises(DesignError):
        write_brief(held.brief)
    panel.save.click()
    assert 'role="alert"' in panel.said.value and os.listdir(room) == []
