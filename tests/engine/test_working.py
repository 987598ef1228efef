"""Working shows every relation it rests on, and ends in the number on the sheet."""

from __future__ import annotations

import re
from functools import cache
from xml.etree import ElementTree

import pytest

from tablekit.engine.relation import Assumption
from tablekit.engine.sheet import Sheet
from tablekit.engine.units import ShopStyle, figures_text
from tablekit.relations.families import network

CLOSED = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
TOGETHER = {**CLOSED, "foot_radius": 420.0}
TWO_ANSWERS = {
    "table_height": 735.0,
    "post_section": 64.0,
    "tipping_load": 250.0,
    "top_thickness": 28.0,
    "wood_density": 672.0,
}


def sheet(givens: dict[str, float], style: ShopStyle | None = None) -> Sheet:
    return network("table").solve(givens, name="trial", shop=style)


SHEETS = {
    "closed": sheet(CLOSED),
    "together": sheet(TOGETHER),
    "two answers": sheet(TWO_ANSWERS),
    "inches": sheet(CLOSED, ShopStyle("in", 16)),
}
# These two ask for the workings of a sheet, which takes long: one in five, or all.
EVERY_SHEET = pytest.mark.parametrize(
    ("case", "thinned"),
    [("together", 5), *(pytest.param(case, 1, marks=pytest.mark.slow) for case in SHEETS)],
)


@cache
def text_of(case: str, name: str) -> str:
    return SHEETS[case].working(name).text()


@EVERY_SHEET
def test_every_relation_used_appears(case: str, thinned: int) -> None:
    solved = SHEETS[case]
    for name in list(solved.values)[::thinned]:
        text = re.sub(r"\s+", " ", text_of(case, name))
        used = (r for step in solved.plan.steps_to(name) for r in step.relations)
        for relation in used:
            if isinstance(relation, Assumption):
                assert relation.quantity is not None
                assert relation.quantity.name in text
            else:
                assert relation.name in text
            assert str(relation.source) in text, "the source of every relation is named"


@EVERY_SHEET
def test_it_ends_in_the_number_on_the_sheet(case: str, thinned: int) -> None:
    solved = SHEETS[case]
    for name, value in list(solved.values.items())[::thinned]:
        assert value.number is not None
        shown = figures_text(value.number, value.quantity.unit, solved.shop_style)
        answer = text_of(case, name).split("Answer\n------\n")[1]
        assert f"{value.quantity.letter} = {shown}" in answer
        assert solved.shop(name) in answer


def test_it_names_the_givens_it_rests_on_and_no_others() -> None:
    text = SHEETS["closed"].working("seats").text()
    assert "D = 920 mm" in text
    assert "H = 735 mm" not in text and "w = 64 mm" not in text


def test_a_given_needs_no_steps() -> None:
    working = SHEETS["closed"].working("table_height")
    assert working.steps == ()
    assert "Step" not in working.text() and "H = 735 mm" in working.text()


def test_the_numbers_are_put_in_with_their_units() -> None:
    text = SHEETS["closed"].working("base_height").text()
    # Worked by hand: 735 - 3 - 0 - 28.
    assert "H_b = H − g_f − g_h − t" in text
    assert "= 735 mm − 3 mm − 0 mm − 28 mm" in text
    assert "= 704 mm" in text


def test_what_is_nought_is_left_out_of_the_short_working() -> None:
    text = SHEETS["closed"].working("base_height").text(brief=True)
    assert "H_b = H − g_f − t\n" in text
    assert "= 735 mm − 3 mm − 28 mm\n" in text
    assert "= 704 mm" in text


def test_inches_are_asked_for_by_style() -> None:
    text = SHEETS["closed"].working("base_height", style=ShopStyle("in", 16)).text()
    assert "28.937 in − 0.11811 in" in text  # 735 and 3 mm over 25.4
    assert "27 11/16 in" in text  # 704 mm is 27.717 in; sixteenths
    assert " mm" not in text.split("Assumed")[0]


def test_relations_solved_together_are_all_put_back() -> None:
    text = re.sub(r"\s+", " ", SHEETS["together"].working("splay").text())
    assert "None of these can be solved alone" in text
    assert "circle of the feet" in text
    assert re.search(r"the \d+ relations leave at most \de-\d\d of their own size", text)


def test_what_is_solved_together_is_as_declared_in_the_full_working() -> None:
    """Cut down w_s is written w; in full it keeps its letter, as the relation above it has it."""
    sheet = network("stool").solve(
        {"seat_height": 480, "top_diameter": 400, "top_thickness": 40, "overhang": 50,
         "post_section": 58, "foot_radius": 300}
    )  # fmt: skip
    full = sheet.working("post_length").text()
    followed = full[full.index("It does at:") :]
    assert "L = (H_c − n·w − w_s·m)/cos θ" in " ".join(followed.split())


def test_the_choice_between_two_answers_is_stated() -> None:
    solved = SHEETS["two answers"]
    small, large = solved.alternatives["top_diameter"]
    assert solved.number("top_diameter") == pytest.approx(small)
    text = re.sub(r"\s+", " ", solved.working("top_diameter").text())
    assert figures_text(large, "mm", solved.shop_style) in text
    assert "nearest to what would have been assumed" in text
    # Both truly hold: put back as given, the load comes out the same.
    for diameter in (small, large):
        kept = {n: x for n, x in TWO_ANSWERS.items() if n != "tipping_load"}
        again = sheet({**kept, "top_diameter": diameter})
        assert again.number("tipping_load") == pytest.approx(250.0, rel=1e-9)


@pytest.mark.parametrize("brief", [True, False])
@pytest.mark.parametrize("case", SHEETS)
def test_html_is_whole_and_says_what_the_text_says(case: str, brief: bool) -> None:
    for name in ("post_length", "tipping_load", "splay"):
        working = SHEETS[case].working(name)
        root = ElementTree.fromstring(f"<body>{working.html(brief)}</body>")
        said = "".join(root.itertext())
        headings = [line for line in working.text(brief).splitlines() if line.startswith("Step")]
        assert headings or name in SHEETS[case].givens or name == "splay"
        assert all(heading in said for heading in headings)


@pytest.mark.parametrize("thinned", [5, pytest.param(1, marks=pytest.mark.slow)])
def test_markdown_and_latex_balance(thinned: int) -> None:
    for name in list(SHEETS["together"].values)[::thinned]:
        working = SHEETS["together"].working(name)
        markdown, latex = working.markdown(), working.latex()
        assert markdown.count("$$") % 2 == 0
        for text in (markdown, latex):
            assert len(re.findall(r"(?<!\\)\{", text)) == len(re.findall(r"(?<!\\)\}", text))
            assert text.count(r"\left") == text.count(r"\right")
        assert latex.count(r"\begin{align*}") == latex.count(r"\end{align*}") > 0


def test_a_quantity_left_out_says_why() -> None:
    # A small seat on a wide base: its rim lies inside the line through two feet.
    solved = network("stool").solve(
        {"seat_height": 500.0, "top_diameter": 250.0, "post_section": 50.0}
    )
    assert solved["tipping_load"].number is None
    assert "no vertical load on the rim" in solved.working("tipping_load").text()
