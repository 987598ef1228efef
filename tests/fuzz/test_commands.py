"""The command line against bad words and bad briefs, in this process."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tablekit import cli
from tablekit.packet import packet
from tests.fuzz import grown, properties

# Explaining for the first time why some set of givens clashes compiles what it needs, which may
# take longer than an answer should; the second time there is nothing left to compile.
COLD = 30.0


@pytest.fixture(scope="module", autouse=True)
def warmed():
    properties.warm()


@pytest.fixture
def room(tmp_path, monkeypatch) -> Path:
    """A folder to stand in, in which packets hold texts alone: drawings have tests of their own."""
    monkeypatch.setattr(packet, "_write_all", lambda job, room, _: packet._write_rest(job, room))
    monkeypatch.setattr(packet, "_write_solids", lambda *_: None)
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    return tmp_path


def entries(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*")}


def judged(words: list[str]) -> str | None:
    fault = properties.of_command(words, COLD)
    if fault is None and properties.of_command(words) is not None:
        fault = properties.of_command(words)  # twice too slow, and nothing left to load
    return fault


@pytest.mark.parametrize("first", (0, 10))
def test_any_command_ends_in_words(room, first):
    kept = Path("here/first.toml"), Path("here/second.toml"), Path("here/out")
    for seed in range(first, first + 10):
        rng = properties.seeded(seed)
        for path in kept[:2]:
            text = grown.reshaped(rng) if rng.random() < 0.7 else grown.brief(rng)
            (room / path).write_text(text, encoding="utf-8", errors="replace")
        paths = tuple(str(room / path) for path in kept[:2])
        words = grown.command(rng, paths, room / kept[2])
        assert judged(words) is None, (seed, words)
        # ".." in a folder that was asked for is the maker's own word; it leads up one step here.
        stray = {name for name in entries(room) if not name.startswith("here")}
        assert not {name for name in stray if "packet" not in name}, (seed, words)


ODD = (
    ["set-out", "a\0b"], ["set-out", "{b}", "--out", "a\0b"],
    ["set-out", "{b}", "--out", "x" * 300],
    ["set-out", "{b}", "--out", "/dev/null/x"], ["set-out", "{b}", "--out", ""],
    ["set-out", "{b}", "--out", ".."], ["set-out", "{b}", "--out", "/"], ["set-out", "\udcff.toml"],
    ["set-out", "{b}", "--out", "/dev/null/\udcff\x1b[2J"], ["set-out", "loop"], ["set-out", "."],
    ["set-out", "{b}", "--out", "loop"], ["set-out", "{b}", "--out", "loop/x"],
    ["working", "{b}", "\x1b[2J\r"], ["working", "{b}", "x" * 5000], ["working", "{b}", "\udcff"],
    ["working", "{b}", "table_height", "--when", "post_length " + "9" * 5000 + " mm"],
    ["working", "{b}", "table_height", "--when", "post_length 9**9**9 mm"],
    ["compare", "{b}", "."], ["compare", "{b}", "{b}", "--cut", "\x1b]0;x\x07"], ["-"], ["--"], [],
    ["set-out", "\x1b[2J\n.toml"], ["\x1b[2J"], ["@/etc/passwd"], ["--\0"],
)  # fmt: skip


@pytest.mark.parametrize("words", ODD, ids=lambda words: ascii(" ".join(words))[:60])
def test_odd_words_are_refused(room, words):
    (room / "brief.toml").write_text(grown.EVERYTHING)
    os.symlink("loop", "loop")
    before = entries(room)
    said = [word.replace("{b}", str(room / "brief.toml")) for word in words]
    assert judged(said) is None
    assert cli.main(said) == 2
    assert entries(room) == before


def test_the_checks_can_fail(room, monkeypatch):
    assert properties.of_command(["--help"], -1.0).startswith("took")
    monkeypatch.setattr(cli, "_parser", lambda: eval(grown.MARK))
    assert "did compile" in properties.of_command([])
    monkeypatch.setattr(cli, "_parser", lambda: 1 / 0)
    assert properties.of_command([]).startswith("ended with 70")
    monkeypatch.setattr(cli, "main", lambda words: 2)
    assert properties.of_command([]) == "ended with 2 and said "


@pytest.mark.parametrize(
    "name",
    [
        *grown.NAMES[:3], "中", "x" * 200, "",
        *(pytest.param(name, marks=pytest.mark.slow) for name in (*grown.NAMES[3:11], "😀")),
    ],
    ids=ascii,
)  # fmt: skip
def test_a_packet_stays_in_its_folder(room, name):
    """Whatever the piece and its boards are called, the files have names of ours."""
    text = grown.renamed(name)
    (room / "brief.toml").write_text(text, encoding="utf-8", errors="replace")
    assert cli.main(["set-out", str(room / "brief.toml"), "--out", "packet"]) == 0
    made = entries(room) - {"brief.toml", "here", "here/packet"}
    ours = {".tablekit-packet", "cut-list.csv", "post-marks.txt", "sheet.json", "summary.txt"}
    assert made == {f"here/packet/{one}" for one in (*ours, "top-work.txt")}


def test_a_folder_that_is_a_link_is_the_one_it_leads_to(room):
    """What was asked for is written, and what lay there before is safe."""
    (room / "brief.toml").write_text(grown.EVERYTHING)
    (room / "other").mkdir()
    os.symlink(room / "other", "link")
    assert cli.main(["set-out", str(room / "brief.toml"), "--out", "link"]) == 0
    assert Path("link").is_symlink() and (room / "other" / "summary.txt").is_file()
    (room / "mine").mkdir()
    (room / "mine" / "letter.txt").write_text("mine")
    (room / "other" / "top-work.txt").unlink()
    os.symlink(room / "mine" / "letter.txt", room / "other" / "top-work.txt")
    assert cli.main(["set-out", str(room / "brief.toml"), "--out", "link"]) == 2
    assert (room / "mine" / "letter.txt").read_text() == "mine"
