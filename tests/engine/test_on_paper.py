"""The working as it is written on paper: short, answer first, and nothing missing from it."""

from __future__ import annotations

import re

import pytest

from tablekit.brief import read_brief
from tablekit.engine.on_paper import on_paper
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import figures_text
from tablekit.setting_out import set_out
from tablekit.shipped import notebooks_path

DEMOS = notebooks_path() / "briefs"


@pytest.fixture(scope="module")
def table() -> Sheet:
    return set_out(read_brief(DEMOS / "reading-room-table.toml"))


@pytest.fixture(scope="module")
def stool() -> Sheet:
    """Its lean comes of relations that are solved together."""
    return set_out(read_brief(DEMOS / "workshop-stool.toml"))


@pytest.mark.parametrize(("name", "most"), [("post_length", 20), ("tipping_load", 55)])
def test_it_is_short(table: Sheet, name: str, most: int) -> None:
    lines = on_paper(table.working(name)).splitlines()
    assert len(lines) <= most and max(map(len, lines)) <= 96


def test_a_post_length_by_hand(table: Sheet) -> None:
    """735 less 3 of pad and 32 of top; two flats of 25/√2; then √3 times that less twice 63.5."""
    said = on_paper(table.working("post_length"))
    assert said.startswith("post length: L = 1146.67 mm. In the shop: 1146.5 mm (0.2 mm under).\n")
    assert "= 735 mm − 3 mm − 0 mm − 32 mm = 700 mm\n" in said
    assert said.count("= 17.6777 mm\n") == 2 and "= 735.355 mm\n" in said
    assert "f_f = 25 mm" in said and "min(" not in said  # the plain one of several bounds


@pytest.mark.parametrize("which", ["table", "stool"])
def test_every_quantity_has_every_step_and_ends_in_its_answer(
    which: str, request: pytest.FixtureRequest
) -> None:
    sheet: Sheet = request.getfixturevalue(which)
    names = [n for n, value in sheet.values.items() if value.number is not None]
    for name in names[::3]:
        working = sheet.working(name)
        said = " ".join(on_paper(working).split())
        for step in working.steps:
            for found in step.finds:
                figures = figures_text(
                    sheet.number(found), sheet.network.quantity(found).unit, sheet.shop_style
                )
                assert f"= {figures}" in said, (name, found)
        numbers = [int(n) for n in re.findall(r"^ ?(\d+) ", on_paper(working), re.MULTILINE)]
        assert numbers == list(range(1, len(numbers) + 1))


def test_what_is_solved_together_says_what_is_tried_and_what_has_to_agree(stool: Sheet) -> None:
    said = on_paper(stool.working("splay"))
    assert re.search(r"^ \d splay +tried until both sides of .+ agree: θ = 50\.5129°$", said, re.M)


def test_a_value_that_there_is_none_of_says_why(stool: Sheet) -> None:
    none = [name for name, value in stool.values.items() if value.number is None]
    for name in none:
        assert f"no value here, {stool[name].reason}" in on_paper(stool.working(name))
