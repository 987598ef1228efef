"""The book for the bench of a piece on splayed legs: every page, on both papers."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tablekit.brief import parse_brief
from tablekit.design import Design
from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.packet.answer import answer
from tablekit.packet.books import bench_book
from tablekit.packet.document import Plate, Steps
from tablekit.packet.packet import undrawn, write_packet
from tablekit.packet.pages import PAPERS, Page, lay_out_pages
from tablekit.setting_out import design_of
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

MOST = 10  # pages of the book for a piece whose top is a panel
FOOT = 26.0  # mm from the lower edge: below this stands the line at the foot
TITLES = (
    "Cut list", "Order of work", "Top", "Sockets", "Boring", "Legs", "Fitting",
    "Levelling the feet", "Finishing", "Boring gauge, full size", "Check-list",
)  # fmt: skip
STOOL = """kind = "stool"
[given]
seat_height = "450 mm"
top_diameter = "340 mm"
top_thickness = "40 mm"
leg_diameter = "38 mm"
"""
TABLE = """kind = "table"
[given]
table_height = "29 in"
top_diameter = "36 in"
top_thickness = "1 3/4 in"
leg_diameter = "2 1/4 in"
foot_diameter = "1 1/2 in"
"""
TAPERED = f'{STOOL}foot_diameter = "28 mm"\nleg_resultant = "14 deg"\n'
# Each kind, paper and number of legs with each of the others once.
BRIEFS = {
    f"{name} {paper} {legs}": f'name = "{name} {legs}"\npaper = "{paper}"\n{text}'
    f'[base]\nstyle = "splayed legs"\nlegs = {legs}\n'
    for name, text, paper, legs in (
        ("stool", TAPERED, "A4", 3), ("stool", TAPERED, "Letter", 4),
        ("table", TABLE, "A4", 4), ("table", TABLE, "Letter", 3),
    )
}  # fmt: skip
BRIEFS["wedged"] = (
    f'name = "wedged"\n{STOOL}socket_depth = "50 mm"\nsight_turn = "25 deg"\n'
    '[base]\nstyle = "splayed legs"\n'
)
JOINED = {
    f"{word} {paper}": BRIEFS[f"stool {paper} {legs}"] + f'stretchers = "{word}"\n'
    for word, paper, legs in (("H", "Letter", 4), ("ring", "A4", 3))
}


@cache
def job(name: str) -> Design:
    return design_of(parse_brief({**BRIEFS, **JOINED}[name]))


@cache
def pages(name: str) -> tuple[Page, ...]:
    return tuple(lay_out_pages(bench_book(job(name)), PAPERS[job(name).paper]))


@cache
def said(name: str) -> tuple[str, ...]:
    """What each page says, its lines joined."""
    return tuple(" ".join(one.text for one in page.sheet.ink.labels) for page in pages(name))


@each("name", BRIEFS)
def test_the_book_is_short_and_has_every_section(name: str) -> None:
    assert len(pages(name)) <= MOST
    whole = " ".join(said(name))
    for title in TITLES:
        assert title in whole, title


@each("name", BRIEFS)
def test_no_page_is_half_empty(name: str) -> None:
    """From the upper margin to the lowest thing on it, above the line at the foot."""
    for number, page in enumerate(pages(name), start=1):
        ink, paper = page.sheet.ink, page.sheet.paper
        boxes = [y for label in ink.labels for _, y in label.corners() if label.y > FOOT]
        boxes += [y for lines in ink.lines.values() for line in lines for _, y in line if y > FOOT]
        used = paper.height - min(boxes)
        assert used > 0.6 * paper.height, (number, page.name)


@each("name", BRIEFS)
def test_no_text_runs_into_another_or_off_the_paper(name: str) -> None:
    for number, page in enumerate(pages(name), start=1):
        ink, paper = Ink(labels=page.sheet.ink.labels), page.sheet.paper
        assert overlapping(ink) == [], (number, page.name)
        assert off_the_paper(ink, Paper(paper.width, paper.height)) == [], (number, page.name)
        assert all(label.text[-1:] != "…" for label in ink.labels), (number, page.name)


@each("name", BRIEFS)
def test_every_drawing_is_on_the_page_of_its_text(name: str) -> None:
    for drawn, words in (
        ("Underside, seen from below", "socket circle with the compasses"),
        ("Section along the sight line", "its point where circle and sight line cross"),
        ("The gauge and a square at the bit", "Stand the gauge of the last page"),
        ("The guide block, cut along the sight line", "The sawn face is its base"),
        ("Diameters, and how far from the shoulder", "Turn or shave each leg"),
        ("Upside down, as on the bench", "goes in straight along its own axis"),
        ("One foot on the board", "Lay a pencil on a block"),
        ("Full size: print at 100 %", "Glue the print to thin plywood"),
    ):
        found = [k for k, page in enumerate(said(name)) if drawn in page]
        assert len(found) == 1 and words in said(name)[found[0]], drawn


@each("name", BRIEFS)
def test_each_plate_is_drawn(name: str) -> None:
    """A drawing for which a sheet has no room would be left out without a word."""
    plates = {
        part.name for section in bench_book(job(name)).sections for part in section.parts
        if isinstance(part, Plate)
    }  # fmt: skip
    drawn = {plate for page in pages(name) for plate, _ in page.plates}
    assert plates == drawn and {"sockets", "socket-section", "boring-gauge", "leg"} <= drawn


@pytest.mark.parametrize("name", JOINED)
def test_stretchers_have_their_drawings_and_few_more_pages(name: str) -> None:
    plates = {
        part.name for section in bench_book(job(name)).sections for part in section.parts
        if isinstance(part, Plate)
    }  # fmt: skip
    assert plates == {plate for page in pages(name) for plate, _ in page.plates}
    assert {"stretchers", "mortise"} <= plates and len(pages(name)) <= 11
    whole, work = " ".join(said(name)), job(name).leg_work
    assert work is not None and work.joins is not None
    for line in work.joins.lines:
        assert job(name).length(line.whole) in whole
    assert "home together" in whole and "in any order" not in whole
    wood = {line.part: line.count for line in job(name).cut_list.lines}
    assert sum(n for part, n in wood.items() if "stretcher" in part) == work.joins.count
    keys = [task.step.key for task in job(name).order.tasks]
    places = [keys.index(one) for one in ("trial_socket", "turn_legs", "bore_legs", "fit_legs")]
    assert places == sorted(places)


def test_the_gauge_is_printed_at_full_size() -> None:
    for name, high in (("stool A4 3", 100.0), ("table Letter 3", 101.6)):
        (page,) = [one for one in pages(name) if "Boring gauge, full size" in _texts(one)]
        outlines = [line for line in page.sheet.ink.lines["visible"] if len(line) == 5]
        tall = {round(max(y for _, y in one) - min(y for _, y in one), 6) for one in outlines}
        assert high in tall


def _texts(page: Page) -> set[str]:
    return {label.text for label in page.sheet.ink.labels}


def test_the_check_list_has_boxes_and_the_sizes() -> None:
    (section,) = [one for one in bench_book(job("stool A4 3")).sections if "gauge" in one.title]
    (steps,) = [part for part in section.parts if isinstance(part, Steps)]
    assert steps.boxes and len(steps.items) >= 6
    assert any(job("stool A4 3").sheet.shop("socket_spread") in item for item in steps.items)


def test_a_through_tenon_is_wedged_in_the_book() -> None:
    whole = " ".join(said("wedged"))
    assert "kerf lies square to the grain" in whole and "drive the wedges" in whole
    assert "off the radius" in whole
    assert "Blind tenons are not wedged" in " ".join(said("stool A4 3"))


def test_the_packet_has_page_parts_and_drawings(tmp_path: Path) -> None:
    it = job("stool A4 3")
    assert undrawn(it) == ""
    names = write_packet(it, tmp_path / "packet")
    assert {"parts.3mf", "parts.glb", "bench.pdf", "packet.html"} <= set(names)
    for drawing in ("general-arrangement", "sockets", "boring-gauge", "leg", "levelling"):
        assert any(drawing in name for name in names if name.startswith("pages/bench")), drawing
    page = (tmp_path / "packet" / "packet.html").read_text(encoding="utf-8")
    for title in TITLES:
        assert f">{title}<" in page, title
    alts = [
        part.alt for section in bench_book(it).sections for part in section.parts
        if isinstance(part, Plate)
    ]  # fmt: skip
    assert len(alts) >= 8
    for alt in alts:
        assert alt in page, alt


def test_the_json_says_that_the_legs_go_in_and_how_they_are_made() -> None:
    data = answer(job("table A4 4"))
    assert data["assembly"]["verdict"] == "goes together" and data["assembly"]["order"] == "any"
    assert len(data["assembly"]["drawn_out"]) == 4
    assert data["legs"]["block_height"] > 0 and len(data["legs"]["stations"]) == 5


def test_a_leg_too_short_to_be_drawn_is_answered_without_drawings(tmp_path: Path) -> None:
    """90 mm thick, 60 mm from the floor to the underside, leaning 40°: on the inner side the level
    cut would climb 45 mm · tan 40° = 38 mm of the 78 mm there are; at 60° it would climb past the
    shoulder."""
    text = (
        'name = "stub"\nkind = "stool"\n[given]\nseat_height = "100 mm"\ntop_diameter = "900 mm"\n'
        'top_thickness = "40 mm"\nleg_diameter = "90 mm"\nleg_resultant = "58 deg"\n'
        'pad_projection = "0 mm"\nsocket_radius = "100 mm"\n[base]\nstyle = "splayed legs"\n'
    )
    it = design_of(parse_brief(text))
    if not it.not_drawn:
        pytest.fail("the level cut should leave nothing of this leg")
    assert "level cut leaves none" in undrawn(it)
    names = write_packet(it, tmp_path / "packet")
    assert "bench.pdf" in names and "parts.3mf" not in names
