"""What the notebooks say in words is true, and each is a lesson: a guess first, then an answer.

Numbers are worked out here by plain trigonometry or read off the solids, never taken from the
notebooks' own outputs.
"""

from __future__ import annotations

import json
import re
from math import asin, atan, cos, degrees, hypot, isclose, radians, sin, sqrt, tan
from pathlib import Path

import numpy as np
import pytest

from tablekit.brief import read_brief
from tablekit.relations.families import network
from tablekit.setting_out import set_out
from tablekit.solids.assembly import assemble
from tablekit.solids.legs import build_legs
from tablekit.solids.notched import notched_posts
from tablekit.teaching.worksheets import MODEL, model

ROOT = Path(__file__).parents[1]
SHELF = ROOT / "notebooks"
LEAN = SHELF / "03-why-the-posts-lean.ipynb"
LEGS = SHELF / "14-a-stool-on-splayed-legs.ipynb"
GIVEN = {"post_length": 900.0, "post_section": 64.0, "top_diameter": 900.0}


def cells(path: Path, kind: str) -> list[str]:
    found = json.loads(path.read_text("utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in found if cell["cell_type"] == kind]


def words(path: Path) -> str:
    return "\n\n".join(cells(path, "markdown"))


def row(text: str, head: str) -> list[float]:
    """The numbers in the line of a table that begins so."""
    (line,) = re.findall(rf"^\| {re.escape(head)} \|(.*)\|$", text, re.MULTILINE)
    return [float(cell.strip(" °")) for cell in line.split("|")]


# -- each notebook is a lesson --------------------------------------------------------------------


LESSONS = ("01", "02", "03", "04", "05", "06", "07", "08", "09", "14")


@pytest.mark.parametrize("number", LESSONS)
def test_a_lesson_asks_for_a_guess_and_comes_back_to_it(number: str) -> None:
    (path,) = SHELF.glob(f"{number}-*.ipynb")
    code = cells(path, "code")
    asked = [k for k, source in enumerate(code) if "Prediction(" in source]
    answered = [k for k, source in enumerate(code) if ".found" in source]
    assert asked and answered and min(asked) < min(answered)
    assert re.search(r"^## (An exercise|Exercises?)$", words(path), re.MULTILINE)
    assert any("Folded(" in source for source in code[-2:])  # the answer, folded away


def test_neither_a_guess_nor_an_answer_is_given_away_by_its_code() -> None:
    for path in SHELF.glob("*.ipynb"):
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            source = "".join(cell["source"])
            spoils = "Prediction(" in source or "Folded(" in source
            if cell["cell_type"] == "code" and spoils:
                assert cell["metadata"].get("jupyter") == {"source_hidden": True}, path.name


def test_links_between_the_notebooks_lead_somewhere() -> None:
    for path in SHELF.glob("*.ipynb"):
        for target in re.findall(r"\]\(([^)#:]+)\)", words(path)):
            assert (SHELF / target).exists(), f"{path.name} links to {target}"


# -- the lean -------------------------------------------------------------------------------------


def test_the_table_of_angles_is_true() -> None:
    text = words(LEAN)
    leans = row(text, "lean θ")
    assert leans == [30, 45, 54.74, 60]
    halves = [sqrt(3) / 2 * sin(radians(lean)) for lean in leans]
    assert row(text, "(√3/2) sin θ") == pytest.approx(halves, abs=5.1e-5)
    between = [2 * degrees(asin(half)) for half in halves]
    assert row(text, "angle between posts φ") == pytest.approx(between, abs=0.01)


@pytest.mark.parametrize(
    ("lean", "goes"), [(45, True), (54.7356, True), (54.9, False), (56, False), (60, False)]
)
def test_the_flattest_lean_that_goes_together_is_that_of_the_title(lean: float, goes: bool) -> None:
    assert "flattest base that goes together one post after another" in words(LEAN)
    assert cells(LEAN, "markdown")[0].startswith("# Why the posts lean 54.74°\n")
    verdict = assemble(network("table").solve({**GIVEN, "splay": lean})).verdict
    assert (verdict == "goes together") is goes


def test_notch_and_seat_overlap_by_half_a_side_in_the_solids() -> None:
    assert "they **overlap by w/2**" in words(LEAN)
    sheet = set_out(read_brief(SHELF / "briefs" / "reading-room-table.toml"))
    side, posts = sheet.number("post_section"), notched_posts(sheet)
    along, (cut,) = posts[0].along, posts[0].notches
    assert cut.guest == 2 and posts[2].notches[0].guest == 1
    _, foot_wall, head_wall = cut.offsets  # the walls face along the post at the square crossing
    assert np.abs(cut.normals[1:] @ along) == pytest.approx([1, 1])
    # Post 1 lies in post 3 as far as post 3 is wide, for the two are square to one another.
    seat = posts[2].prism.vertices @ along
    assert head_wall + foot_wall == pytest.approx(side)
    assert seat.max() - seat.min() == pytest.approx(side)
    assert head_wall - seat.min() == pytest.approx(side / 2)


def test_the_numbers_worked_in_the_text_are_right() -> None:
    text, w, x = words(LEAN), 64, 516
    squared, drop = x**2 + (0.75 * w) ** 2 + (0.25 * w) ** 2, (x + w) / sqrt(3)
    assert f"s² = {squared:,.0f}".replace(",", " ") in text and f"h = {drop:.2f}" in text
    rest = squared - drop**2
    assert f"r² = {rest:,.0f}".replace(",", " ") in text and f"r = {sqrt(rest):.1f} mm" in text
    assert f"takes {25 / sqrt(2):.1f} mm off" in text
    assert isclose((291 + 32) / sqrt(3), 186.5, abs_tol=0.05) and "186.5 mm" in text
    half = asin(sin(radians(75.5225 / 2)) / sin(radians(75.5225)))  # φ at 45°, by the table above
    assert f"δ = {2 * degrees(half):.2f}°" in text
    assert f"tilt is {90 - 2 * degrees(half):.2f}°" in text


def test_the_sticks_of_the_lesson_are_those_of_the_teacher() -> None:
    # A flat f across is f/√2 deep; √3 times the height over corners, less two sides.
    high = MODEL["table_height"] - MODEL["top_thickness"] + 2 * MODEL["foot_flat"] / sqrt(2)
    long = sqrt(3) * high - 2 * MODEL["post_section"]
    assert f"{long:.0f} mm long" in words(LEAN) and model().shop("post_length") == f"{long:.0f} mm"
    assert not any("225 mm" in words(path) for path in SHELF.glob("*.ipynb"))


# -- splayed legs ---------------------------------------------------------------------------------


def test_the_leg_worked_in_the_text_is_right() -> None:
    text, brief = words(LEGS), read_brief(SHELF / "briefs" / "bench-stool.toml")
    given = brief.givens
    assert (given["leg_rake"], given["leg_splay"], given["pad_projection"]) == (12, 9, 0)
    high = given["seat_height"] - given["top_thickness"]
    side, front = tan(radians(12)), tan(radians(9))
    slope = hypot(side, front)
    lean = atan(slope)
    for said in (
        f"500 − 45 = {high:.0f} mm",
        f"tan 12° = {side:.4f} and tan 9° = {front:.4f}: "
        f"{side**2:.4f} + {front**2:.4f} = {slope**2:.4f}",
        f"tan θ = {slope:.4f}, so θ = {degrees(lean):.2f}° and the bit is at "
        f"{90 - degrees(lean):.2f}°",
        f"{front:.4f}/{side:.4f} = {front / side:.4f}, γ = {degrees(atan(front / side)):.2f}°",
        f"{high:.0f} × {slope:.4f} = {high * slope:.1f} mm",
        f"{high:.0f}/{cos(lean):.4f} = {high / cos(lean):.1f} mm",
        f"the rake axis through each socket as well, {degrees(atan(front / side)):.2f}° from",
    ):
        assert said in text, said
    # Two equal leans of 5°: the squares of the angles, and the squares of their tangents.
    both = degrees(atan(hypot(tan(radians(5)), tan(radians(5)))))
    assert f"would be {hypot(5, 5):.3f}°; the lean is {both:.3f}°" in text


def test_a_leg_leans_in_the_solids_as_the_lesson_says() -> None:
    stool = build_legs(set_out(read_brief(SHELF / "briefs" / "bench-stool.toml")))
    assert len(stool.legs) == 4
    for leg in stool.legs:
        assert degrees(np.arccos(abs(leg.along[2]))) == pytest.approx(14.846, abs=5e-4)
