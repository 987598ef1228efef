"""The command that counts which mutants the tests notice."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from tests.mutation import reach, run
from tests.mutation.mutants import LEFT_OUT, ROOT, Mutant, Quiet, exchange
from tests.together import each

CIRCLES = "tablekit/relations/crossing.py"
FOOT_TO_FOOT = "sp.sqrt(3) * q.foot_radius"
CHECK = ("tests/relations/test_declarations.py", "-k", "printed")
# A process of its own: here the kit is imported long since, so that no mutant could take its place.
PROGRAM = """
import sys
from pathlib import Path
from tests.mutation import trial

trial.ready()
path = Path(sys.argv[1])
for text in (path.read_text("utf-8").replace(sys.argv[2], now) for now in sys.argv[3:6]):
    limit = 6.0 if "iter(int, 1)" in text else 60.0
    print(trial.try_tests(text, "tablekit.relations.crossing", path, [sys.argv[6:]], limit).what)
"""


@pytest.mark.slow
def test_a_wrong_relation_is_killed_an_equal_one_survives_and_a_hang_is_told_by_time():
    wrong = "sp.sqrt(2) * q.foot_radius.symbol"
    equal = "q.foot_radius.symbol * sp.sqrt(3)"
    never_ends = f"{FOOT_TO_FOOT} * any(iter(int, 1))"
    assert FOOT_TO_FOOT in (ROOT / CIRCLES).read_text("utf-8")
    words = [str(ROOT / CIRCLES), FOOT_TO_FOOT, wrong, equal, never_ends, *CHECK]
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=200,
    )
    assert done.stdout.split() == ["killed", "survived", "time"], done.stderr


# -- which mutants there are ----------------------------------------------------------------------

SOURCE = """\
from __future__ import annotations
@lru_cache(maxsize=8)
def wide(by: float | None = 2) -> int | str:
    return zip(a, b, strict=True)
X = Quantity("x", "ξ", "mm", "how far", 0, 40)
Y = Quantity("y", "y", "mm", "how far", 1, high=40)
"""


@each(
    ("operator", "occurrence", "line", "at", "kind"),
    [
        ("core/RemoveDecorator", 0, 2, "@", "cache"),
        ("core/NumberReplacer", 0, 2, "8", "cache"),
        ("core/ReplaceBinaryOperator_BitOr_BitAnd", 0, 3, "| None", "annotation"),
        ("core/ReplaceBinaryOperator_BitOr_BitAnd", 1, 3, "| str", "annotation"),
        ("core/NumberReplacer", 2, 3, "2)", ""),  # what a parameter is where nothing is said
        ("core/ReplaceTrueWithFalse", 0, 4, "True", "strict zip"),
        ("core/NumberReplacer", 4, 5, "0, ", ""),  # nothing itself is let out
        ("core/NumberReplacer", 5, 5, "0, ", ""),  # less than nothing is let in
        ("core/NumberReplacer", 6, 5, "40", "range"),
        ("core/NumberReplacer", 8, 6, "1", "range"),
        ("core/NumberReplacer", 9, 6, "1", ""),  # nothing is let in
        ("core/NumberReplacer", 11, 6, "40", "range"),
    ],
)
def test_what_no_test_could_notice_is_found_by_its_place(operator, occurrence, line, at, kind):
    column = SOURCE.splitlines()[line - 1].index(at)
    found = Quiet(SOURCE).kind(Mutant("some.py", operator, occurrence, line, column))
    assert found == kind and (not kind or kind in LEFT_OUT)


def test_an_operator_is_exchanged_within_its_kind():
    def left(name: str) -> str:
        return exchange(f"core/Replace{name}")

    assert left("BinaryOperator_Mul_LShift") == left("BinaryOperator_Div_BitOr") == "other kind"
    assert left("BinaryOperator_Mul_Mod") == "other kind"
    assert left("BinaryOperator_Mul_Div") == left("BinaryOperator_BitOr_Sub") == ""
    assert left("ComparisonOperator_Is_Eq") == left("ComparisonOperator_NotEq_IsNot") == "identity"
    assert left("ComparisonOperator_Is_IsNot") == left("ComparisonOperator_Lt_LtE") == ""


def test_the_operators_change_one_place_of_a_file_and_draw_the_same_again():
    pytest.importorskip("cosmic_ray", reason="cosmic-ray is not among what the tests need")
    from tests.mutation.mutants import drawn, population

    every, left = population([CIRCLES])
    assert every and set(left) <= set(LEFT_OUT)
    some = drawn(every, 5, seed=3)
    assert some == drawn(every, 5, seed=3) != drawn(every, 5, seed=4)
    for mutant in some:
        was, now = mutant.lines()
        assert was != now and was in "\n".join(
            line.strip() for line in mutant.path.read_text("utf-8").splitlines()
        )


# -- which tests are run against them -------------------------------------------------------------


def test_the_likely_killers_come_first_and_the_rest_while_there_is_time():
    line = next(
        number
        for number, text in enumerate((ROOT / CIRCLES).read_text("utf-8").splitlines(), 1)
        if FOOT_TO_FOOT in text
    )
    reaching = {"lines": {CIRCLES: [line]}}
    of = reach.Reach({
        "tests/engine/test_units.py": {"seconds": {"a": 1.0}, "lines": {}},
        "tests/engine/test_sheet.py": {"seconds": {"b": 3.0, "long": 19.0}, **reaching},
        "tests/engine/test_plan.py": {"seconds": {"c": 2.0}, **reaching},
        "tests/relations/test_declarations.py": {"seconds": {"d": 3.0}, **reaching},
    })  # fmt: skip
    mutant = Mutant(CIRCLES, "core/NumberReplacer", 0, line, 0)
    declared = "tests/relations/test_declarations.py"
    order = [[declared, "-k", "printed"], [declared], ["tests/engine/test_plan.py"]]
    assert of.chosen(mutant, budget=5.0) == order
    last = of.chosen(mutant, budget=9.0)[-1]
    assert last == ["tests/engine/test_sheet.py", "--deselect=long"]
    assert of.chosen(mutant, budget=0.0) == order[:1]


def test_the_head_of_a_loop_is_a_statement_of_its_own():
    file = "tests/mutation/reach.py"
    lines = (ROOT / file).read_text("utf-8").splitlines()
    number = next(n for n, text in enumerate(lines, 1) if "for number, file in" in text)
    assert reach.statement_of(file, number) == {number}
    inside = next(n for n, text in enumerate(lines, 1) if "found[file] = {" in text)
    assert reach.statement_of(file, inside) == {inside}


# -- what is told ---------------------------------------------------------------------------------


def row(outcome: str, **more: str) -> run.Row:
    blank = {"file": "a.py", "line": "7", "function": "f", "was": "x + 1", "now": "x + 2"}
    return {**blank, "outcome": outcome, "by": "", **more}


def test_figures_count_the_explained_apart(monkeypatch):
    monkeypatch.setattr(run, "explained", lambda: {("a.py", "f", "x + 1", "x + 2"): "a guess"})
    other = row("survived", now="x - 1")
    rows = [row("killed"), row("killed"), row("time"), row("survived"), other]
    assert run.figures(rows) == {"killed": 2, "by time": 1, "explained": 1, "unexplained": 1}
    assert run.summary(rows).startswith("5 mutants: 3 killed (60.0 %), 1 of them by time; 1 surv")
    assert "75.0 % of those that are not explained" in run.summary(rows)
    unexplained, explained = run.report(rows, "head", {}).split("## Explained")
    assert "+ x - 1" in unexplained and "+ x - 1" not in explained
    assert "+ x + 2" in explained and "a guess" in explained


def test_what_is_explained_stands_in_the_files_as_they_are():
    for (file, function, was, now), reason in run.explained().items():
        text = [line.strip() for line in (ROOT / file).read_text("utf-8").splitlines()]
        assert was.splitlines()[0] in text, f"{file} has no line {was!r} any more"
        assert was != now and len(reason.split()) > 3
        for name in filter(None, function.split(".")):
            assert any(re.match(rf"(def|class) {name}\b", line) for line in text), function
