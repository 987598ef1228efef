"""The page for the teacher: its sizes are a quarter of the table's, and it says what it should."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from tablekit.drawing.ink import Ink
from tablekit.packet.document import Document, Inset, Section, Table, Text
from tablekit.packet.pages import LETTER, lay_out_pages
from tablekit.teaching.kinds import KINDS
from tablekit.teaching.markdown import as_markdown
from tablekit.teaching.worksheets import (
    ASK,
    BRING,
    HALF_DAY,
    MODEL,
    TWO_HOURS,
    WRONG,
    class_of,
    model,
    stock_for,
    teacher_page,
    worksheet,
)


def section(title: str, display="mm") -> Section:
    return next(one for one in teacher_page(display).sections if one.title.startswith(title))


def test_the_model_by_hand() -> None:
    sheet = model()
    # Flats 6 mm across are 6/√2 deep; (L + 2w)/√3 over sharp corners (notes on the geometry, 2).
    depth = 6 / math.sqrt(2)
    corners = 184 - 6 + 2 * depth
    assert sheet.number("foot_flat_depth") == pytest.approx(depth)
    assert sheet.number("post_length") == pytest.approx(math.sqrt(3) * corners - 2 * 16)
    assert sheet.number("notch_depth") == pytest.approx(8) and sheet.number("notch_width") == 16
    assert sheet.number("splay") == pytest.approx(math.degrees(math.acos(1 / math.sqrt(3))))


def test_four_models_take_twelve_posts() -> None:
    assert stock_for(4) == pytest.approx(12 * model().number("post_length"))


@pytest.mark.parametrize("display", ["mm", "in"])
def test_the_sizes_on_the_page_are_the_sheets(display) -> None:
    table = next(p for p in section("The model", display).parts if isinstance(p, Table))
    sizes = {text for _, text in table.rows}
    for name in ("post_length", "notch_position", "notch_depth", "foot_radius", "head_radius"):
        assert model(display).shop(name) in sizes


def test_the_page_has_what_a_teacher_needs() -> None:
    titles = [one.title for one in teacher_page().sections]
    assert titles == [
        "What the class learns", "Two hours, at screens", "Half a day, with sticks",
        "What to bring", "What goes wrong", "Questions to ask", "Exercises", "The model, 1 : 4",
        "Safety",
    ]  # fmt: skip
    said = " ".join(p.text for p in section("Exercises").parts if isinstance(p, Text))
    assert all(name in said for name in KINDS)
    safety = section("Safety").parts
    assert all(isinstance(p, Text) and p.tone == "caution" for p in safety)
    assert "standards and rules" in safety[-1].text
    assert MODEL["post_section"] * 4 == 64


def test_the_page_can_be_set_on_letter_paper() -> None:
    # Two plans and two tables more than the three pages that it once had.
    assert 1 <= len(lay_out_pages(teacher_page("in"), LETTER)) <= 5


@pytest.mark.parametrize(
    ("title", "plan", "minutes"),
    [("Two hours", TWO_HOURS, 120), ("Half a day", HALF_DAY, 240)],
)
def test_a_plan_fills_its_time_and_each_part_begins_where_the_last_ends(
    title, plan, minutes
) -> None:
    (table,) = (p for p in section(title).parts if isinstance(p, Table))
    starts, long = ([int(row[k]) for row in table.rows] for k in (0, 1))
    assert starts[0] == 0 and starts[-1] + long[-1] == minutes and len(table.rows) == len(plan)
    assert all(a + b == c for a, b, c in zip(starts, long, starts[1:], strict=False))
    assert any("Break" in row[2] for row in table.rows)
    said = " ".join(p.text for p in section(title).parts if isinstance(p, Text))
    assert f"{minutes} minutes" in said


def test_every_notebook_that_the_plans_name_is_there() -> None:
    text = as_markdown(teacher_page())
    shelf = Path(__file__).parents[2] / "notebooks"
    named = {
        number
        for said in re.findall(r"notebooks? ((?:\d\d(?:, | and )?)+)", text)
        for number in re.findall(r"\d\d", said)
    }
    assert {"01", "03", "04", "07", "10"} <= named
    assert all(list(shelf.glob(f"{number}-*.ipynb")) for number in named)


def test_the_numbers_that_a_teacher_is_to_say_are_right() -> None:
    # Plain trigonometry; 54.74 taken as radians is what a wrong setting gives.
    said = " ".join((*BRING, *(text for row in (*WRONG, *ASK) for text in row)))
    assert f"cosine of 54.74 is {math.cos(math.radians(54.74)):.3f} in degrees" in said
    assert f"−{-math.cos(54.74):.4f} in radians" in said
    assert f"10 mm × √3 = {10 * math.sqrt(3):.1f} mm" in said


def test_the_page_as_markdown() -> None:
    text = as_markdown(teacher_page())
    assert text.startswith("# Teaching the three-post table\n")
    assert text.count("\n## ") == 9 and "> **Caution.** Hold short stock" in text
    lines = [line for line in text.splitlines() if line.startswith("|")]
    assert f"| depth of the notch | {model().shop('notch_depth')} |" in lines
    assert "| :--- | ---: |" in lines


def test_a_worksheet_as_markdown_and_no_drawing() -> None:
    sheets = class_of(1, 3, count=2)[0]
    text = as_markdown(worksheet(sheets))
    assert all(one.question in text for one in sheets.exercises)
    assert "| a \\| b |" in as_markdown(
        Document("A", "", (Section("B", (Table("", ("c",), (("a | b",),)),)),))
    )
    drawing = Inset("a line", lambda paper: Ink(), 20.0)
    with pytest.raises(TypeError, match="Inset"):
        as_markdown(Document("A", "", (Section("B", (drawing,)),)))
