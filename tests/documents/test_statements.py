"""What README and DEVELOPERS say besides commands: sections, exit codes, dependencies, options."""

from __future__ import annotations

import cmath
import doctest
import io
import re
import subprocess
import sys
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from tablekit.brief import BriefError, parse_brief
from tablekit.cli import FAULT, main
from tablekit.packet.answer import answer
from tablekit.relations import quantities
from tablekit.setting_out import design_of
from tests.documents.reading import DOCUMENTS, OPTION, ROOT, blocks, commands, spans, text_of
from tests.together import each

BARE = '[given]\ntable_height = "735 mm"\n'
NO_SUCH = re.compile(r"is not a (?:name|section) known here")


def rows(document: str, heading: str) -> list[list[str]]:
    """The cells of the table that begins with a heading, line by line."""
    lines = text_of(document).split(f"\n{heading}\n|---")[1].splitlines()[1:]
    table = lines[: next(n for n, line in enumerate(lines) if not line.startswith("|"))]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in table]


def code_of(text: str) -> list[str]:
    return [span for _, span in spans("README.md", text)]


# -- the brief ------------------------------------------------------------------------------------


LEGGED = '[base]\nstyle = "splayed legs"\nlegs = 4\n'


def refused(section: str, line: str) -> str:
    """What the reader says of one line in a section."""
    if section == "[given]":  # what stands above it
        text = f"{line}\n{BARE}"
    else:
        base = LEGGED if line.startswith("leg_") else ""
        text = f"{BARE}{base}{section}\n{line}\n"
    try:
        parse_brief(text)
    except BriefError as error:
        return str(error)
    return ""


def said_of_sections() -> list[tuple[str, str]]:
    """Each section of a brief, with each name that the README says it may have."""
    found = []
    for head, key, *_ in rows("README.md", "| | key | says | takes | left out |"):
        section = code_of(head) or ["[given]"]  # what stands above it
        found += [(section[0], f"{span} = []") for span in code_of(key)]
    return found


@each("section, line", said_of_sections(), ids=str)
def test_a_brief_may_have_what_the_readme_says(section: str, line: str) -> None:
    said = refused(section, line)
    assert not NO_SUCH.search(said), said
    if "[]" not in line:  # a whole line is to be taken as it stands
        assert f"{line.split()[0]} =" not in said, said


def test_a_name_the_reader_does_not_know_is_told() -> None:
    for section in ("[given]", "[top]", "[[boards]]", "[workshop]"):
        assert NO_SUCH.search(refused(section, "unheard_of = 1"))


def test_enough_sections_are_looked_at() -> None:
    found = said_of_sections()
    assert {section for section, _ in found} == {
        "[given]", "[base]", "[wood]", "[room]", "[[boards]]", "[top]", "[[stock]]", "[workshop]",
        "[delivery]", "[quote]",
        "[as_cut]",
    }  # fmt: skip
    assert len(found) > 35


def test_the_shipped_briefs_show_the_sections_that_the_readme_says() -> None:
    shelf = (ROOT / "notebooks" / "briefs").glob("*.toml")
    shown = {h for p in shelf for h in re.findall(r"^\[+\w+\]+", p.read_text("utf-8"), re.M)}
    listed = {code_of(row[0])[0] for row in rows("README.md", "| section | says |")}
    assert "[notebooks/briefs](notebooks/briefs) show all of them." in text_of("README.md")
    assert listed <= shown and shown - listed == {"[given]"}


# -- exit codes -----------------------------------------------------------------------------------


def test_the_exit_codes_are_those_of_the_readme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (paragraph,) = (p for p in text_of("README.md").split("\n\n") if p.startswith("Exit codes"))
    told = [int(code) for code in re.findall(r"(?:: |; |\n)(\d+) ", paragraph)]
    (brief,) = (b.text for b in blocks("README.md") if b.language == "toml")

    def ended(text: str, *words: str) -> int:
        path = tmp_path / "brief.toml"
        path.write_text(text, encoding="utf-8")
        return main(["set-out", str(path), *words])

    (tmp_path / "taken").write_text("")
    answered, malformed = ended(brief), ended("[given")
    assert {main(["unheard-of"]), main(["set-out", str(tmp_path / "none.toml")]),
            ended(brief, "--out", str(tmp_path / "taken"))} == {malformed}  # fmt: skip
    open_still = ended(BARE)
    clash = ended(brief + 'post_length = "900 mm"\nsplay = "50 deg"\n')
    assert open_still == clash
    monkeypatch.setattr("tablekit.cli._solve", lambda _: 1 / 0)
    assert ended(brief) == FAULT and "please report it" in capsys.readouterr().err
    assert told == [answered, malformed, clash, FAULT]


# -- source ---------------------------------------------------------------------------------------


def test_the_relation_in_the_guide_is_the_kits_own() -> None:
    """Run where it says it belongs, it makes the relation that the kit has, and its check holds."""
    block = next(b for b in blocks("DEVELOPERS.md") if b.language == "python")
    (name,) = re.findall(r"^(\w+) = ", block.text, re.MULTILINE)
    (path,) = (
        p for p in (ROOT / "tablekit" / "relations").glob("*.py")
        if re.search(rf"^{name} = ", p.read_text("utf-8"), re.MULTILINE)
    )  # fmt: skip
    module = import_module(f"tablekit.relations.{path.stem}")
    there = {n: value for n, value in vars(module).items() if n != name}
    exec(block.text, there)
    assert there[name] == getattr(module, name) and there[name] is not getattr(module, name)
    # Between corners of an equilateral triangle on a circle of 1 m, from their coordinates.
    chord = abs(1 - cmath.exp(2j * cmath.pi / 3))
    at = {quantities.foot_radius.symbol: 1.0, quantities.foot_spread.symbol: chord}
    left, right = (float(side.subs(at)) for side in there[name].equation.args)
    assert left == pytest.approx(right, rel=1e-12)


def test_what_the_readme_does_in_python_comes_out_as_printed() -> None:
    (block,) = (b for b in blocks("README.md") if b.language == "python")
    example = doctest.DocTestParser().get_doctest(block.text, {}, "README", "README.md", 0)
    assert len(example.examples) > 3
    heard = io.StringIO()
    ran = doctest.DocTestRunner().run(example, out=heard.write)
    assert ran.failed == 0, heard.getvalue()


def test_every_dependency_is_told_with_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = project["optional-dependencies"]
    told: dict[str, set[str]] = {"": set(), "class": set(), "test": set()}
    for names, why in rows("DEVELOPERS.md", "| package | why |"):
        of = "test" if names.startswith("*tests only:*") else "class" if "`class`" in names else ""
        if "; k3d stands on it too" in why:
            assert any(one.startswith("k3d") for one in project["dependencies"])
        bare = names.removeprefix("*tests only:*").replace("(extra `class`)", "")
        told[of] |= {name.strip() for name in bare.split(",")}

    def named(requirements: list[str]) -> set[str]:
        return {re.split(r"[<>=~!;\[ ]", one)[0] for one in requirements}

    assert told == {
        "": named(project["dependencies"]),
        "class": named(extras["class"]),
        "test": named(extras["test"]),
    }


# -- options --------------------------------------------------------------------------------------


def test_every_option_named_in_passing_is_one_of_a_program(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for command in ("open", "set-out", "working", "compare", "worksheets"):
        assert main([command, "--help"]) == 0
    known = capsys.readouterr().out
    for words in (["tests/fuzz/run.py"], ["-m", "pytest"], ["-m", "tests.slow.engine_truth"]):
        run = [sys.executable, *words, "--help"]
        known += subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    of_audits = {w for d in DOCUMENTS for c in commands(d) if "audit" in c.text for w in c.words}
    options = {s.split()[0] for d in DOCUMENTS for _, s in spans(d) if OPTION.match(s)}
    assert {"--dir", "--guided", "-n"} <= options
    listed = set(re.findall(r"(?<![\w-])--?[a-z][\w-]*", known))
    assert options - of_audits <= listed


# -- what the bases have --------------------------------------------------------------------------

WHOLE = """name = "Rows"
[given]
table_height = "735 mm"
top_diameter = "900 mm"
{more}
[top]
edge = "rounded"
[[boards]]
width = "200 mm"
length = "1 m"
count = 6
[workshop]
jigs = true
[quote]
labour_rate = 30
[as_cut]
moisture = "9 %"
{cut}
boards = ["196 mm", "196 mm", "196 mm", "196 mm", "196 mm"]
"""


def test_each_row_of_the_bases_is_so() -> None:
    posts = ('post_section = "64 mm"\ntop_thickness = "32 mm"', 'post_1 = { section = "64 mm" }')
    legs = ('[base]\nstyle = "splayed legs"', 'leg_1 = { tenon_diameter = "30 mm" }')
    every = [answer(design_of(parse_brief(WHOLE.format(more=more, cut=cut)))).keys()
             for more, cut in (posts, legs)]  # fmt: skip
    found = rows("DEVELOPERS.md", "| has | one notch | legs | why not |")
    for cells in found:
        for keys, says in zip(every, cells[1:3], strict=True):
            for key in re.findall(r"`(\w+)`", cells[0]):
                assert (key in keys) == {"yes": True, "no": False}[says], (key, says)
    # And what only one of them has is in the table.
    told = {key for cells in found for key in re.findall(r"`(\w+)`", cells[0])}
    assert (every[0] ^ every[1]) - {"jigs_left_out"} <= told
