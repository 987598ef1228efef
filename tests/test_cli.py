"""The command line: what it prints, where, and with which exit code."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tablekit import cli, setting_out
from tablekit.packet.folder import MARKER
from tablekit.packet.summary import CAUTION
from tablekit.shipped import notebooks_path

DEMOS = notebooks_path() / "briefs"
BRIEFS = sorted(DEMOS.glob("*.toml"))
ROOT = Path(cli.__file__).parent.parent

# reference/derivations/crossing.md and its check with solids: posts of 1000 x 64 x 64 mm, let in
# by half, square crossing: 651.251 mm over sharp corners, 3 964 928 mm3 a post before its flats.
WORKED = """name = "Worked example"
kind = "table"

[given]
post_length = "1000 mm"
post_section = "64 mm"
top_diameter = "900 mm"
"""


@pytest.fixture
def brief(tmp_path) -> str:
    path = tmp_path / "brief.toml"
    path.write_text(WORKED)
    return str(path)


@pytest.fixture
def run(capsys):
    def run_one(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = cli.main([str(word) for word in words])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return code, printed.out, printed.err

    return run_one


def with_lines(brief: str, *lines: str) -> str:
    Path(brief).write_text(WORKED + "\n".join(lines) + "\n")
    return brief


def as_process(*words: str, **how) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **how.pop("env", {})}
    command = [sys.executable, "-m", "tablekit", *words]
    return subprocess.run(command, env=environment, timeout=120, **how)


# --- set-out ------------------------------------------------------------------------------


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_shipped_briefs_are_answered(run, path):
    code, out, err = run("set-out", path, "--full")
    assert (code, err) == (0, "")
    base = ("Legs", "Sockets") if "splayed legs" in path.read_text() else ("Posts", "Joint")
    for heading in ("From the brief", "Assumed (", *base, "Base", "Top", "Checks"):
        assert f"\n{heading}" in out
    # Wrapping may put a line end anywhere in it.
    assert " ".join(out.split()).endswith(CAUTION)
    assert max(len(line) for line in out.splitlines()) <= 80


def test_json_is_all_that_is_printed(run, brief):
    code, out, err = run("set-out", brief, "--json")
    assert (code, err) == (0, "")
    sheet = json.loads(out)
    assert (sheet["name"], sheet["kind"]) == ("Worked example", "table")
    section = sheet["quantities"]["post_section"]
    assert (section["value"], section["unit"], section["origin"]) == (64.0, "mm", "given")
    splay = sheet["quantities"]["splay"]
    assert splay["origin"] == "assumed" and splay["shop"] == "54.74°"  # ISO 5456-3
    height = sheet["quantities"]["corner_height"]
    assert height["origin"] == "found" and round(height["value"], 3) == 651.251
    volume = sheet["quantities"]["post_volume"]["value"]
    depth = sheet["quantities"]["foot_flat_depth"]["value"]
    # A corner cut off square to the diagonal of a cube, depth d: side d*sqrt(3), volume s^3/6.
    assert volume + 2 * (depth * 3**0.5) ** 3 / 6 == pytest.approx(3_964_928, abs=0.5)
    assert {
        "id", "name", "verdict", "value", "limit", "sense", "unit", "source", "message", "mend",
    } == set(sheet["checks"][0])  # fmt: skip
    assert {check["verdict"] for check in sheet["checks"]} <= {"pass", "caution", "fail"}


def test_json_has_no_numbers_that_json_lacks(run):
    def refuse(word: str) -> None:
        raise ValueError(word)

    for path in BRIEFS:
        json.loads(run("set-out", path, "--json")[1], parse_constant=refuse)


def test_inches_give_the_same_piece(run, brief):
    in_mm = json.loads(run("set-out", brief, "--json")[1])["quantities"]
    # An inch is 25.4 mm (international yard and pound, 1959). What each shop assumes is its own:
    # only what rests on the givens alone is the same.
    text = WORKED.replace("1000 mm", "39.3700787401575 in").replace("64 mm", "2.51968503937008 in")
    Path(brief).write_text('display = "in"\n' + text.replace("900 mm", "35.4330708661417 in"))
    in_inches = json.loads(run("set-out", brief, "--json")[1])["quantities"]
    assert in_mm.keys() == in_inches.keys()
    for name, entry in in_mm.items():
        assert in_inches[name]["unit"] == entry["unit"]
    for name in ("post_length", "post_section", "top_diameter", "splay", "notch_depth", "roll",
                 "centre_distance", "notch_volume", "notch_position"):  # fmt: skip
        assert in_inches[name]["value"] == pytest.approx(in_mm[name]["value"], rel=1e-9), name
    assert in_inches["top_thickness"]["value"] == pytest.approx(28.575)  # 1 1/8 in for 28 mm
    assert in_inches["post_length"]["shop"] == "39 3/8 in"


def test_the_species_settles_the_density(run, brief):
    with_lines(brief, "[wood]", 'species = "white ash"')
    sheet = json.loads(run("set-out", brief, "--json")[1])
    # Wood Handbook FPL-GTR-190 table 5-3a: white ash 0.60; chapter 4: 1000 x 0.60 x 1.12
    assert sheet["quantities"]["specific_gravity"]["value"] == 0.6
    assert sheet["quantities"]["wood_density"]["value"] == pytest.approx(672)
    assert "wood_density" not in [a["quantity"] for a in sheet["assumptions"]]
    assert any("white ash" in note and "quoted" in note for note in sheet["notes"])
    without = json.loads(run("set-out", with_lines(brief), "--json")[1])
    assert without["quantities"]["wood_density"]["origin"] == "assumed"


def test_a_given_density_is_better_than_a_book(run, brief):
    text = WORKED + 'wood_density = "700 kg/m3"\n[wood]\nspecies = "teak"\n'
    Path(brief).write_text(text)
    sheet = json.loads(run("set-out", brief, "--json")[1])
    assert sheet["quantities"]["wood_density"]["value"] == 700
    assert any("teak was not used" in note for note in sheet["notes"])
    Path(brief).write_text(text.replace('wood_density = "700 kg/m3"\n', ""))
    sheet = json.loads(run("set-out", brief, "--json")[1])
    # FPL-GTR-190 gives imported woods on the green volume (status column of the shipped table).
    assert any("green volume" in note for note in sheet["notes"])


def test_the_summary_says_what_was_asked_and_assumed(run, brief):
    with_lines(brief, 'top_thickness = "1 1/8 in"')
    _, out, _ = run("set-out", brief, "--full")
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert lines[:2] == [
        "Worked example",
        "Round table on three posts: one notch, notches up, right hand. Sizes in mm.",
    ]
    assert "top thickness 1 1/8 in read as 28.5 mm" in lines  # 28.575 to the nearest half
    assert "post length 1000 mm given" in lines and "splay 54.74° assumed" in lines
    assert any(line.startswith("way up notches up ") and "circle" in line for line in lines)


def test_what_the_brief_says_is_not_told_as_assumed(run, brief):
    with_lines(brief, "[base]", 'way_up = "notches down"')
    out = run("set-out", brief, "--full")[1]
    assert "one notch, notches down" in out
    assert "  crossing " in out and "  way up " not in out


def height_of_posts(lean: float) -> float:
    """Height of a base of posts of 900 x 64 x 64 mm, flats of 25 mm cut, from the formulas of
    reference/derivations/crossing.md and flats.md put in another way: the flat as a triangle."""
    sine, cosine = math.sin(math.radians(lean)), math.cos(math.radians(lean))
    bearing = math.sqrt(3) / 2 * sine / math.sqrt(3 * cosine**2 + 3 / 4 * sine**2)
    side = math.sqrt(sine**2 - bearing**2)
    # The level cut a unit below the corner meets the three edges this far from it.
    a, b, c = 1 / cosine, 1 / bearing, 1 / side
    sides = (math.hypot(a, b), math.hypot(b, c), math.hypot(c, a))
    half = sum(sides) / 2
    area = math.sqrt(half * math.prod(half - one for one in sides))  # Heron
    depth = 12.5 / (area / half)  # the largest circle in the triangle has radius area/half
    return 900 * cosine + 64 * (bearing + side) - 2 * depth


def test_what_gave_way_is_said_first_and_once(run, brief):
    short = WORKED.replace("[given]", '[given]\ntable_height = "735 mm"')
    Path(brief).write_text(short.replace("1000 mm", "900 mm"))
    code, out, err = run("set-out", brief)
    assert (code, err) == (0, "")
    said = (
        "To keep table height 735 mm with post section 64 mm and post length 900 mm, the posts "
        "lean 41.15° instead of 54.74°."
    )
    assert out.index("To keep table height") < out.index("Posts: 3")
    assert " ".join(out.split()).count(said) == 1
    found = json.loads(run("set-out", brief, "--json")[1])
    (gave_way,) = found["gave_way"]
    assert gave_way["because"] == ["table_height", "post_section", "post_length"]
    assert gave_way["name"] == "splay"
    assert gave_way["now"] == found["quantities"]["splay"]["value"]
    assert height_of_posts(gave_way["now"]) == pytest.approx(735 - 28 - 3, abs=0.05)
    assert gave_way["usual"] == pytest.approx(54.7356, abs=5e-5)  # ISO 5456-3


def test_what_gave_way_is_told_in_the_unit_of_the_brief(run, brief):
    text = WORKED.replace(
        "[given]", '[given]\nknee_clearance = "27 1/2 in"\ntable_height = "29 in"'
    )
    Path(brief).write_text('display = "in"\n' + text.replace('post_length = "1000 mm"\n', ""))
    # By hand: 29 in less 27 1/2 in; an inch shop assumes 1 1/8 in, common practice, no source.
    said = "To keep table height 29 in with knee clearance 27 1/2 in, the top is 1 1/2 in thick"
    out = " ".join(run("set-out", brief)[1].split())
    assert f"{said} instead of 1 1/8 in." in out
    (gave_way,) = json.loads(run("set-out", brief, "--json")[1])["gave_way"]
    assert gave_way == {
        "name": "top_thickness", "usual": pytest.approx(28.575), "now": pytest.approx(38.1),
        "because": ["table_height", "knee_clearance"], "instead": [],
    }  # fmt: skip


def test_nothing_gave_way_and_nothing_is_said_of_it(run, brief):
    assert "To keep" not in run("set-out", brief)[1]
    assert json.loads(run("set-out", brief, "--json")[1])["gave_way"] == []


@pytest.mark.parametrize("width", [48, 60, 80])
def test_a_measure_is_not_broken_over_a_line(width):
    from tablekit.packet.plain_page import PlainPage

    page = PlainPage(width)
    page.paragraph("so many words " * 3 + "before it: 28\u00a015/16\u00a0in " * 5)
    text = "\n".join(page.lines)
    assert text.count("28 15/16 in") == 5 and "\u00a0" not in text


@pytest.mark.parametrize(("columns", "briefs"), [
    (20, BRIEFS[::2]), (60, BRIEFS[1::2]), (80, BRIEFS[::2]), (140, BRIEFS[1::2]),
])  # fmt: skip
def test_the_summary_fits_the_terminal(run, monkeypatch, columns, briefs):
    monkeypatch.setenv("COLUMNS", str(columns))
    for path in briefs:
        out = run("set-out", path)[1] + run("set-out", path, "--full")[1]
        assert max(len(line) for line in out.splitlines()) <= max(48, min(columns, 100))


# --- the packet ---------------------------------------------------------------------------

PACKET = [
    "bench.pdf", "cut-list.csv", "packet.html", "pages", "parts.3mf", "parts.glb",
    "post-marks.txt", "reasons.pdf", "sheet.json", "summary.txt", "templates-a4.pdf",
    "templates-letter.pdf", "top-work.txt",
]  # fmt: skip


def contents(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_the_packet_is_written_and_written_again_alike(run, brief, tmp_path):
    folder = tmp_path / "out" / "packet"
    code, out, err = run("set-out", brief, "--out", folder)
    assert not err and code == 0, err  # whole, since a fault names its place last
    assert f"Written to {folder}" in out
    assert sorted(p.name for p in folder.iterdir()) == [MARKER, *PACKET]
    first = contents(folder)
    assert first["bench.pdf"].startswith(b"%PDF-")
    assert first["packet.html"].startswith(b"<!doctype html>")
    drawn = [name for name in first if name.endswith("general-arrangement.svg")]
    assert len(drawn) == 1 and b"<svg" in first[drawn[0]]
    code, out, err = run("set-out", brief, "--json", "--out", folder)
    assert code == 0 and f"Written to {folder}" in err
    assert json.loads(out) == json.loads(first["sheet.json"])
    assert contents(folder) == first
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["packet"]


def test_the_packet_never_replaces_what_is_not_its_own(run, brief, tmp_path):
    code, out, err = run("set-out", brief, "--out", tmp_path)
    assert (code, out) == (2, "")
    assert "files that tablekit did not write: brief.toml" in err
    assert [p.name for p in tmp_path.iterdir()] == ["brief.toml"]


@pytest.mark.parametrize("fault", ['table_height = "735 mm"\nsplay = "30 deg"', "x = 1"])
def test_no_packet_without_an_answer(run, brief, tmp_path, fault):
    code, out, _ = run("set-out", with_lines(brief, fault), "--out", tmp_path / "packet")
    assert code in (2, 3) and out == ""
    assert [p.name for p in tmp_path.iterdir()] == ["brief.toml"]


# --- working ------------------------------------------------------------------------------


def test_working_in_every_form(run, brief):
    said = {
        form: run("working", brief, "base_height", "--full", "--as", form) for form in cli.FORMS
    }
    assert all(code == 0 and err == "" for code, _, err in said.values())
    assert len({out for _, out, _ in said.values()}) == 4
    assert said["text"] == run("working", brief, "base_height", "--full")
    assert "height over sharp corners" in said["text"][1]
    assert "<" in said["html"][1] and "\\" in said["latex"][1]
    for form, (_, full, _) in said.items():
        assert len(run("working", brief, "base_height", "--as", form)[1]) < len(full) / 1.2


def test_working_takes_a_name_as_it_is_said_and_lists_the_names(run, brief):
    said = run("working", brief, "post_length")
    assert said[0] == 0 and said == run("working", brief, "post length")
    code, out, _ = run("working", brief)
    posts = out.split("\nPosts\n")[1].split("\n\n")[0]
    assert code == 0 and "post_length" in posts and "The rest" in out
    names = set(json.loads(run("set-out", brief, "--json")[1])["quantities"])
    assert names <= set(re.findall(r"\w+", out))
    assert run("working", brief, "--spread")[0] == 2


def test_working_of_an_unknown_name(run, brief):
    code, out, err = run("working", brief, "post_lenght")
    assert (code, out) == (2, "")
    assert (
        err == "tablekit: post_lenght is not a quantity of this table: did you mean post_length?\n"
    )


# --- exit codes ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "code", "told"),
    [
        (["table_height = 735"], 2, "line 8, [given]: table_height = 735 has no unit"),
        (["= 3"], 2, "line 8, column 1: is not TOML"),
        (['table_height = "735 mm"', 'splay = "30 deg"'], 3, "post_length"),
        (['foot_flat = "200 mm"'], 3, "foot_flat"),
        (
            ['splay = "45 deg"', "[base]", 'crossing = "two notches"'],
            3,
            "with two notches, the posts stand square to one another",
        ),
    ],
)
@pytest.mark.parametrize("command", [["set-out"], ["set-out", "--json"], ["working"]])
def test_malformed_is_2_and_unanswered_3(run, brief, command, lines, code, told):
    path = with_lines(brief, *lines)
    words = [*command, path, *(["splay"] if command == ["working"] else [])]
    found, out, err = run(*words)
    assert (found, out) == (code, "")
    assert err.startswith("tablekit: ") and told in err


def test_not_enough_given_is_3(run, tmp_path):
    path = tmp_path / "brief.toml"
    path.write_text('[given]\ntable_height = "735 mm"\n')
    code, out, err = run("set-out", path)
    assert (code, out) == (3, "") and "post_section" in err


@pytest.mark.parametrize("words", [[], ["cut"], ["set-out"], ["set-out", "a", "--jso"]])
def test_a_wrong_command_is_2(run, words):
    code, out, err = run(*words)
    assert (code, out) == (2, "") and err.startswith("usage: tablekit")


def test_help_and_version(run):
    assert run("--help")[0] == 0 and "set-out" in run("--help")[1]
    assert run("--version")[1].startswith("tablekit ")


def test_a_fault_of_the_kit_is_told_on_one_line(run, brief, monkeypatch):
    def broken(*_):
        return 1 / 0

    monkeypatch.setattr(setting_out, "set_out", broken)
    code, out, err = run("set-out", brief)
    assert (code, out) == (70, "")
    assert err.startswith("tablekit: internal fault, please report it: ZeroDivisionError")
    assert err.count("\n") == 1 and "test_cli.py" in err


def test_interrupted(run, brief, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(setting_out, "set_out", stop)
    assert run("set-out", brief) == (130, "", "tablekit: interrupted\n")


# --- as a process -------------------------------------------------------------------------


def test_a_terminal_without_unicode(brief):
    with_lines(brief, "[wood]", 'species = "white ash"')
    text = Path(brief).read_text().replace("Worked", "Tisch für Zoë: ½")
    Path(brief).write_text(text, encoding="utf-8")
    done = as_process("set-out", brief, capture_output=True, env={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0 and done.stderr == b""
    out = done.stdout.decode("ascii")
    assert out.startswith("Tisch f?r Zo?:  1/2 example") and "54.74 deg" in out


@pytest.mark.parametrize("form", [["set-out", "--json"], ["set-out"]])
def test_a_reader_that_goes_away(brief, form):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tablekit", *form, brief]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment
    ) as process:
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device here that is always full")
def test_a_full_disk(brief):
    with open("/dev/full", "w") as full:
        done = as_process("set-out", brief, "--json", stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 2
    assert done.stderr.decode() == "tablekit: cannot be read or written: No space left on device\n"


def test_only_what_is_needed_is_loaded(brief):
    """Cold start stays short because these stay out; the time itself depends on the machine."""
    heavy = {"matplotlib", "IPython", "ipywidgets", "jupyterlab", "pandas"}
    code = (
        "import sys\nfrom tablekit.cli import main\n"
        "main(sys.argv[1:])\nprint(*sorted({n.split('.')[0] for n in sys.modules}))"
    )

    def loaded(*words: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", code, *words],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        return set(done.stdout.splitlines()[-1].split())

    assert not loaded("--help") & {*heavy, "sympy", "pint", "numpy", "scipy"}
    answered = loaded("set-out", brief, "--json")
    assert "sympy" in answered and not answered & heavy


def test_working_answers_the_reverse_question(capsys: pytest.CaptureFixture[str]) -> None:
    brief = str(DEMOS / "reading-room-table.toml")
    assert cli.main(["working", brief, "table_height", "--when", "post_length -10 mm"]) == 0
    said = capsys.readouterr().out
    # A post at the square crossing climbs by one over the root of three of its length.
    assert "1/√3" in said and "−5.7735 mm" in said


@pytest.mark.parametrize(
    "asked, expected",
    [
        ("post_length", "post_length"),
        ("post_lenght -10 mm", "did you mean post_length?"),
        ("post_length 3 kg", "post_length"),
        ("", "not a quantity"),
    ],
)
def test_a_change_that_cannot_be_read_is_refused(
    asked: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    brief = str(DEMOS / "reading-room-table.toml")
    assert cli.main(["working", brief, "table_height", "--when", asked]) == 2
    said = capsys.readouterr()
    assert said.out == "" and expected in said.err


@pytest.mark.parametrize("instead", [["--spread"], ["--when", "post_length -10 mm"]])
@pytest.mark.parametrize("option", [["--as", "html"], ["--as", "text"], ["--full"]])
def test_a_form_that_would_be_passed_over_is_refused(capsys, instead, option):
    command = ["working", str(DEMOS / "low-table.toml"), "table_height", *instead, *option]
    assert cli.main(command) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err == (
        f"tablekit: {option[0]} goes with the working itself; "
        f"{instead[0]} is printed as plain text\n"
    )


def test_working_tells_the_spread_in_the_unit_of_the_brief(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert cli.main(["working", str(DEMOS / "low-table.toml"), "table_height", "--spread"]) == 0
    said = capsys.readouterr().out
    assert "19 times in 20" in said and " in of 17.8586 in" in said and " mm" not in said


def test_the_summary_tells_what_rounding_does_to_the_wish(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert cli.main(["set-out", str(DEMOS / "reading-room-table.toml"), "--full"]) == 0
    said = capsys.readouterr().out
    assert "post length: 1146.5 mm (0.2 mm under)" in said
    # By hand: (1146.5 + 2 × 63.5)/√3 over sharp corners, less 2 × 17.5 of flats, and 3 + 32 on top.
    assert "table height: wanted 735 mm, becomes 735.256 mm (0.26 mm over)" in said


def test_what_a_check_judges_beside_the_sheet_shows_its_working_too(run):
    path = next(path for path in BRIEFS if path.stem == "reading-room-table")
    code, out, _ = run("working", path, "bearing_stress")
    assert code == 0 and "In the shop:" in out and "MPa" in out
    code, out, _ = run("working", path, "clamp_count", "--full")
    assert code == 0 and "clamps on the longest joint" in out
    code, _, err = run("working", path, "bearing_stres")
    assert code == 2 and "bearing_stres" in err


def test_what_a_plan_calculates_shows_its_working_once_for_each(run):
    path = DEMOS / "harbour-table.toml"
    code, out, _ = run("working", path, "equal stop")
    # By hand: 40 mm in passes of at most 5 mm are eight; the third stop is three passes deep.
    assert code == 0 and [f"Pass {n}\n" in out for n in (1, 8, 9)] == [True, True, False]
    third = out[out.index("Pass 3") : out.index("Pass 4")]
    assert "5 mm × 3 = 15 mm" in third
    code, out, _ = run("working", path, "room_across", "--as", "markdown")
    assert code == 0 and out.count("## Screw ") == 3
    # By hand: half of 1,150 mm and of a cutter of 12 mm, with 100 mm before and 25 mm beyond.
    assert "= 706 mm" in run("working", path, "trammel length")[1]
    names = run("working", path)[1]
    assert names.index("Each screw of the top") < names.index("room_across")


def test_sizes_that_settle_nothing_once_rounded_are_told_as_such(run, tmp_path):
    """Flats that just fit the end of a thin post do not once rounded, and nothing hangs together:
    the stool is answered all the same, to be marked as it is."""
    path = tmp_path / "thin.toml"
    path.write_text(
        'kind = "stool"\ndisplay = "in"\n[given]\nseat_height = "16.9375 in"\n'
        'top_diameter = "51.6 cm"\npost_section = "27 mm"\ntop_thickness = "23 mm"\n'
        'splay = "57.5 deg"\nfoot_flat = "2.2 cm"\n[base]\nway_up = "notches down"\n'
    )
    assert run("set-out", path)[0] == run("set-out", path, "--json")[0] == 0
    code, out, err = run("set-out", path, "--full")
    said = "Rounded to the rule, these sizes no longer make a stool"
    assert (code, err) == (0, "") and said in " ".join(out.split())
