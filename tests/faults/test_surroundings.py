"""Machines that lack something, and files as other systems write them."""

from __future__ import annotations

import csv
import json
import locale
import os
import subprocess
import warnings
import zipfile
from pathlib import Path

import pytest

from tablekit import cli, serving, working_copy
from tablekit.brief import BriefError, parse_brief, read_brief
from tablekit.drawing import style
from tablekit.packet import packet
from tests.faults import kit

# A letter with dots, a Chinese one, a picture, a letter and an accent of its own, and one that is
# written from right to left.
NAME = "Tisch ä 中 😀 e\u0301 שלום"


@pytest.fixture
def brief(tmp_path) -> Path:
    path = tmp_path / "brief.toml"
    path.write_text(kit.BRIEF.replace("Trial", NAME), encoding="utf-8")
    return path


@pytest.fixture
def no_drawings(monkeypatch):
    monkeypatch.setattr(packet, "_write_all", lambda job, room, _: packet._write_rest(job, room))


# --- Letters ------------------------------------------------------------------------------


def test_names_go_through_every_text(brief, tmp_path, capsys, no_drawings):
    out = tmp_path / "packet"
    assert cli.main(["set-out", str(brief), "--out", str(out)]) == 0
    assert capsys.readouterr().out.startswith(f"{NAME}\n")
    assert (out / "summary.txt").read_text(encoding="utf-8").startswith(f"{NAME}\n")
    assert json.loads((out / "sheet.json").read_bytes())["name"] == NAME
    with zipfile.ZipFile(out / "parts.3mf") as solids:
        assert f">{NAME}<" in solids.read("3D/3dmodel.model").decode("utf-8")
    assert NAME.encode() in (out / "parts.glb").read_bytes()


def test_a_board_with_such_a_name_is_in_the_cut_list(tmp_path, no_drawings):
    path, out = tmp_path / "brief.toml", tmp_path / "packet"
    rack = f'[[boards]]\nname = "{NAME}"\nwidth = "200 mm"\nlength = "1000 mm"\ncount = 6\n'
    path.write_text(kit.BRIEF + rack, encoding="utf-8")
    assert cli.main(["set-out", str(path), "--out", str(out)]) == 0
    with open(out / "cut-list.csv", encoding="utf-8", newline="") as file:
        notes = [row["note"] for row in csv.DictReader(file)]
    assert f"from board {NAME}, no. 1" in notes


def test_a_letter_that_the_drawings_lack_is_told_once(brief, tmp_path, capsys, monkeypatch):
    def write(*_: object) -> tuple[str, ...]:
        for letter in "中国中":
            said = f"Glyph {ord(letter)} missing from the drawing font"
            warnings.warn(said, stacklevel=1)
        warnings.warn("Something else.", stacklevel=1)
        return ("bench.pdf",)

    monkeypatch.setattr(packet, "write_packet", write)
    with pytest.warns(UserWarning, match="^Something else") as heard:
        assert cli.main(["set-out", str(brief), "--out", str(tmp_path / "packet")]) == 0
    said = capsys.readouterr()
    assert "bench.pdf\nThe drawing font lacks 中, 国: a box" in said.out
    assert said.out.count("The drawing font lacks") == 1
    assert said.err == "" and len(heard) == 1


@pytest.mark.parametrize("letter", ["ä", "😀", "\u0301", "ש", "\u200b", "中"])
def test_a_letter_has_a_width(letter):
    assert 0 <= style.text_width(letter) < 10


@pytest.mark.parametrize("mark", ["\ufeff", "\uffff", "\ufdd0", "\U0010ffff"])
def test_marks_that_no_file_can_hold_are_refused(mark):
    """XML 1.0, production 2 (Char), lets no U+FFFE and U+FFFF by; matplotlib 3.11 ends with an
    IndexError where U+FEFF stands in a text of a PDF."""
    with pytest.raises(BriefError, match=f"line 1: name = .* no letter .U.{ord(mark):04X}"):
        parse_brief(kit.BRIEF.replace("Trial", f"a{mark}b"))


def test_windows_wrote_the_brief(tmp_path):
    unix, windows = tmp_path / "unix.toml", tmp_path / "windows.toml"
    text = kit.BRIEF.replace("Trial", NAME)
    unix.write_bytes(text.encode())
    windows.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_brief(windows) == read_brief(unix)
    windows.write_bytes(text.encode("utf-16"))
    with pytest.raises(BriefError, match="UTF-16 text; expected UTF-8"):
        read_brief(windows)
    windows.write_bytes(text.replace("\n", "\r").encode())
    with pytest.raises(BriefError, match=r"line 1, column .* is not TOML") as caught:
        read_brief(windows)
    assert str(caught.value).isprintable()  # the line end of an old machine is not passed on


def test_a_terminal_that_knows_only_ascii(brief):
    done = kit.run("set-out", brief, env=kit.environment(PYTHONIOENCODING="ascii"))
    assert done.returncode == 0 and done.stderr == b""
    assert done.stdout.decode("ascii").startswith("Tisch ? ? ? e? ????\n")


# --- Places -------------------------------------------------------------------------------


def german() -> str:
    """A locale with decimal commas, where this machine has one; else "" and the commas alone."""
    for name in ("de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8"):
        try:
            locale.setlocale(locale.LC_ALL, name)
            return name
        except locale.Error:
            continue
    return ""


def test_a_place_with_decimal_commas(brief, tmp_path, capsys, monkeypatch, no_drawings):
    def written(folder: Path) -> dict[str, bytes]:
        assert cli.main(["set-out", str(brief), "--out", str(folder)]) == 0
        return kit.contents(folder)

    before, kept = written(tmp_path / "before"), locale.setlocale(locale.LC_ALL)
    try:
        if not german():
            point = {**locale.localeconv(), "decimal_point": ",", "thousands_sep": "."}
            monkeypatch.setattr(locale, "localeconv", lambda: point)
            monkeypatch.setattr(locale, "str", lambda number: f"{number:g}".replace(".", ","))
        assert locale.localeconv()["decimal_point"] == ","
        assert written(tmp_path / "after") == before
        # What a maker there may well type is refused with advice, not read as something else.
        with pytest.raises(BriefError, match="write a point for decimals"):
            parse_brief('[given]\ntable_height = "735,5 mm"\n')
    finally:
        locale.setlocale(locale.LC_ALL, kept)


@pytest.mark.slow
def test_no_home_and_nowhere_to_keep_fonts(brief, tmp_path):
    """matplotlib brings its own letters and takes a passing folder for its list of them."""
    nowhere = tmp_path / "nowhere"
    nowhere.write_text("a file, in which no folder can be made")
    changes = {
        "HOME": "",
        "XDG_CACHE_HOME": "",
        "XDG_CONFIG_HOME": "",
        "MPLCONFIGDIR": str(nowhere),
    }
    brief.write_text(kit.BRIEF)
    done = kit.run("set-out", brief, "--out", tmp_path / "p", env=kit.environment(**changes))
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr and kit.whole(tmp_path / "p")
    assert (tmp_path / "p" / "bench.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("words", [["open"], ["open", "--no-browser"]])
def test_no_browser_is_wanted_to_be_told_the_address(tmp_path, capsys, monkeypatch, words):
    launched = []
    monkeypatch.delenv("BROWSER", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(working_copy, "start", lambda launch: launched.append(launch) or 0)
    assert cli.main([*words, "--dir", str(tmp_path / "mine")]) == 0
    said = capsys.readouterr()
    (launch,) = launched
    assert launch.address.startswith(("http://localhost:", "http://127.0.0.1:"))
    assert f"\n{launch.address}\n" in said.out and said.err == ""
    assert serving.LOCAL == "localhost"


# --- Listeners ----------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="streams are closed the way a Unix shell does it")
@pytest.mark.parametrize("closed", [">&-", ">&- 2>&- <&-"])
def test_nobody_listens_from_the_start(tmp_path, closed):
    """The answer goes nowhere, and into no file that happens to get the stream's number."""
    path = tmp_path / "brief.toml"
    path.write_text(kit.BRIEF)
    command = " ".join([*kit.START, "set-out", str(path), "--json", closed])
    done = subprocess.run(["sh", "-c", command], env=kit.environment(), capture_output=True)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    path.write_text("x = 1\n")
    done = subprocess.run(["sh", "-c", command], env=kit.environment(), capture_output=True)
    assert done.returncode == 2 and done.stdout == b""
    assert path.read_text() == "x = 1\n"


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="a pipe is closed the way Unix does it")
def test_the_reader_goes_away_and_the_packet_is_there_all_the_same(tmp_path):
    path, out = tmp_path / "brief.toml", tmp_path / "packet"
    path.write_text(kit.BRIEF)
    command = [*kit.START, "set-out", str(path), "--out", str(out)]
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": kit.environment()}
    with subprocess.Popen(command, **piped) as process:
        process.stdout.close()
        said = process.stderr.read()
    assert (process.returncode, said) == (0, b"") and kit.whole(out)


def test_what_is_told_back_cannot_steer_the_terminal(tmp_path, capsys):
    path = tmp_path / "brief.toml"
    path.write_text(kit.BRIEF)
    assert cli.main(["working", str(path), "\x1b[2J\x07"]) == 2
    assert capsys.readouterr().err == "tablekit: ?[2J? is not a quantity of this table\n"
    path.write_text('[given]\ntable_height = "735 in\x7fn"\n'.replace("\x7f", "\\u0008"))
    assert cli.main(["set-out", str(path)]) == 2
    assert capsys.readouterr().err.replace("\n", "").isprintable()
