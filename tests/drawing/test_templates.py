"""Full-size templates, measured in the PDF itself."""

from __future__ import annotations

import re
from itertools import combinations, cycle, pairwise

import numpy as np
import pytest

from tablekit.drawing.ink import printed
from tablekit.drawing.style import Paper, save
from tablekit.drawing.templates import (
    BETWEEN_TILES,
    LETTER_TEMPLATE,
    PAPERS,
    Tile,
    across,
    pages,
    save_pdf,
    stretches,
    template_pages,
    tiles,
    worth_printing,
)
from tablekit.planning.setting_out_posts import post_marks
from tests.drawing.test_general import boxes
from tests.drawing.test_post_faces import EVERY, one
from tests.together import each

MM = 72 / 25.4  # points to the millimetre: PDF 32000-1, 8.3.2.3, default user space; from memory


def segments(path):
    """Every straight stroke of every page, in mm from the page's lower left, by page."""
    import pypdf

    return [_strokes(page.get_contents().operations) for page in pypdf.PdfReader(path).pages]


def _strokes(operations):
    """Paths as painted: PDF 32000-1, 8.5.2, with the matrices set on the way; from memory."""
    matrix, kept, strokes, here, start = np.eye(3), [], [], None, None
    for operands, operator in operations:
        if operator in (b"m", b"l"):
            end = (np.array([*map(float, operands), 1.0]) @ matrix)[:2] / MM
            if operator == b"m":
                start = end
            else:
                strokes.append((here, end))
            here = end
        elif operator == b"h":
            strokes.append((here, start))
            here = start
        elif operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
    return np.array(strokes)


def lengths(strokes):
    return np.linalg.norm(strokes[:, 1] - strokes[:, 0], axis=1)


def has(strokes, size: float, level: bool | None = None) -> bool:
    """Whether a stroke of that length, level or upright if asked, is there to 0.01 mm."""
    run = np.abs(strokes[:, 1] - strokes[:, 0])
    near = np.abs(lengths(strokes) - size) < 0.01
    if level is not None:
        near &= run[:, 1 if level else 0] < 1e-3
    return bool(near.any())


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "name", ["table", "splay 40", "small in inches", "two notches, one longer"]
)
def test_check_rulers_are_true_on_every_page(tmp_path, name, paper):
    path = save_pdf(one(name), tmp_path / "t.pdf", PAPERS[paper])
    found = segments(path)
    assert len(found) == len(template_pages(one(name), PAPERS[paper]))
    for strokes in found:
        inches = one(name).shop_style.display == "in"
        assert has(strokes, 101.6 if inches else 100.0, level=True)  # 4 in; an inch is 25.4 mm


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_have_the_paper_s_own_size(tmp_path, paper):
    import pypdf

    path = save_pdf(one("table"), tmp_path / "t.pdf", PAPERS[paper])
    # A4 is 210 x 297 mm (ISO 216), Letter 8 1/2 x 11 in (ANSI Y14.1): from memory
    size = {"a4": (210, 297), "letter": (8.5 * 25.4, 11 * 25.4)}[paper]
    for page in pypdf.PdfReader(path).pages:
        box = page.mediabox
        assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx(size, abs=1e-3)


@pytest.mark.parametrize("name", ["table", "table in inches", "small"])
def test_a_plain_notch_is_full_size_in_the_pdf(tmp_path, name):
    sheet = one(name)
    every = np.concatenate(segments(save_pdf(sheet, tmp_path / "t.pdf")))
    section, depth = sheet.number("post_section"), sheet.number("notch_depth")
    assert has(every, section, level=True)  # a wall right across the notched face
    assert has(every, section, level=False)  # near to far wall
    assert has(every, depth, level=True)  # a wall down the face beside it
    flat = post_marks(sheet)[0].flats[0]
    assert has(every, flat.on_bearing) and has(every, flat.on_side)


@pytest.mark.parametrize("name", ["splay 40", "stool", "low in inches, down", "tall"])
def test_a_compound_notch_is_full_size_in_the_pdf(tmp_path, name):
    sheet = one(name)
    every = np.concatenate(segments(save_pdf(sheet, tmp_path / "t.pdf", LETTER_TEMPLATE)))
    for area in (a for a in post_marks(sheet)[0].areas if a.kind == "notch"):
        corners = np.array([*area.corners, area.corners[0]])
        for a, b in pairwise(corners):
            assert has(every, float(np.linalg.norm(b - a))), (area.face, a, b)


@pytest.mark.parametrize("name", ["table", "splay 40"])
def test_knife_lines_lie_where_the_caption_says_the_tile_begins(tmp_path, name):
    """From the tile's lower edge, plus what is printed for it, to the mark on the arris."""
    sheet = one(name)
    marks = post_marks(sheet)[0]
    strokes = segments(save_pdf(sheet, tmp_path / "t.pdf"))[1]  # the crossing, arris A to B
    _, start, stop = stretches(marks, False)[1]
    upright = strokes[np.abs(strokes[:, 0, 0] - strokes[:, 1, 0]) < 1e-3]
    arrises = upright[np.abs(lengths(upright) - (stop - start)) < 0.01]
    foot = arrises[:, :, 1].min()
    for mark in marks.on_arris("A"):
        level = foot + mark.distance - start
        ends = strokes.reshape(-1, 2)
        assert np.abs(ends[:, 1] - level).min() < 0.01


@each("name, paper", zip(EVERY, cycle(PAPERS)), ordinary=10)
def test_no_text_overlaps_another_or_leaves_the_page(name, paper):
    for page in template_pages(one(name), PAPERS[paper]):
        figure = printed(page.ink, page.paper)
        found = boxes(figure)
        width, height = figure.get_size_inches() * figure.dpi
        for text, left, low, right, high in found:
            assert left > 0 and low > 0 and right < width and high < height, text
        for first, other in combinations(found, 2):
            apart = (
                first[1] > other[3] or other[1] > first[3]
                or first[2] > other[4] or other[2] > first[4]
            )  # fmt: skip
            assert apart, (first[0], other[0])


@each("name", EVERY)
def test_pages_are_numbered_and_nothing_is_outside_the_margin(name):
    for paper in PAPERS.values():
        found = template_pages(one(name), paper)
        for number, page in enumerate(found, start=1):
            texts = [label.text for label in page.ink.labels]
            assert f"Page {number} of {len(found)}" in texts
            ruled = "4 in" if one(name).shop_style.display == "in" else "100 mm"
            assert ruled in texts and len({"100 mm", "4 in"} & {*texts}) == 1
            assert any("check the line below with a rule before use" in text for text in texts)
            box = page.ink.box()
            assert box.left >= 9.5 and box.right <= paper.width - 9.5
            assert box.low >= 9.0 and box.high <= paper.height - 9.5


@pytest.mark.parametrize("name", ["table", "huge", "steep", "two notches, one longer"])
def test_every_cut_mark_is_printed_with_its_size(name):
    from tablekit.drawing.unrolled import bare

    sheet = one(name)
    texts = [label.text for page in template_pages(sheet) for label in page.ink.labels]
    for marks in post_marks(sheet):
        for mark in marks.marks:
            said = bare(mark.size, sheet.shop_style)
            assert (said if mark.cut else f"({said})") in texts


def test_the_same_bytes_each_time(tmp_path):
    one_file = save_pdf(one("table"), tmp_path / "a.pdf").read_bytes()
    assert one_file == save_pdf(one("table"), tmp_path / "b.pdf").read_bytes()
    assert b"/CreationDate" not in one_file and b"/ModDate" not in one_file


def test_svg_pages_are_full_size(tmp_path):
    page = template_pages(one("table"))[0]
    path = save(printed(page.ink, page.paper), tmp_path / "page.svg")
    head = path.read_text(encoding="utf-8")[:1500]
    width, height = (float(v) for v in re.findall(r'(?:width|height)="([\d.]+)pt"', head)[:2])
    assert (width / MM, height / MM) == pytest.approx((210, 297), abs=1e-3)
    assert f'viewBox="0 0 {width:g}' in head or "viewBox" in head


# --- Tiles --------------------------------------------------------------------------------


def test_tiles_cover_every_stretch_once():
    for name in EVERY:
        marks = post_marks(one(name))[0]
        for width, height in ((150.0, 220.0), (60.0, 100.0), (170.0, 230.0)):
            found = tiles(marks, False, width, height)
            whole = across(marks)[-1]
            for stretch, start, stop in stretches(marks, False):
                own = [t for t in found if t.stretch == stretch]
                assert sum(t.width * t.height for t in own) == pytest.approx(whole * (stop - start))
                assert min(t.start for t in own) == start and max(t.stop for t in own) == stop
            assert max(t.width for t in found) <= width + 1e-6
            assert max(t.height for t in found) <= height + 1e-6


def test_every_mark_is_on_a_stretch_and_stretches_do_not_overlap():
    for name in EVERY:
        for marks in post_marks(one(name)):
            for inches in (False, True):
                found = stretches(marks, inches)
                for (_, _, stop), (_, start, _) in pairwise(found):
                    assert start >= stop
                for mark in marks.marks:
                    assert any(start < mark.distance < stop for _, start, stop in found)


def test_only_tiles_with_nothing_on_them_are_left_out():
    marks = post_marks(one("tall"))[0]
    left_out = [t for t in tiles(marks, False, 150.0, 200.0) if not worth_printing(marks, t)]
    arrises = across(marks)
    # The head's corner is on arris B, so the face from C to D has nothing of it.
    assert [(t.stretch, t.left, t.right) for t in left_out] == [("head end", *arrises[3:])]


def test_a_tile_s_own_edge_is_not_drawn_as_a_knife_line():
    """The crossing of a steep piece takes two tiles; the notch goes on where they meet."""
    sheet = one("steep")
    page = template_pages(sheet)[1]
    thick = [np.array(line) for line in page.ink.lines["visible"]]
    level = [line for line in thick if abs(line[0, 1] - line[-1, 1]) < 1e-9]
    assert not level  # every knife line of this notch slants, and the arrises stand upright


def test_tiles_on_a_page_keep_apart():
    cut = [Tile("a", 0, height, 0, 100) for height in (60.0, 70.0, 90.0, 30.0)]
    for placed in pages(cut, 10.0, 20.0, 180.0, 240.0):
        for upper, lower in pairwise(placed):
            assert upper.y - (lower.y + lower.tile.height) >= 15
        assert all(one.y >= 20 - 1e-9 for one in placed)


def test_a_page_too_small_says_so():
    with pytest.raises(ValueError, match="too small for templates"):
        template_pages(one("table"), Paper(90, 120))


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
@pytest.mark.parametrize("name", ["table", "stool", "table in inches", "steep in inches"])
def test_no_hatching_runs_through_a_size(name: str, paper: Paper) -> None:
    for page in template_pages(one(name), paper):
        lines = [line for line in page.ink.lines["thin"] if len(line) == 2]
        slanting = [
            (start, end) for start, end in map(np.array, lines)
            if abs(abs(end[0] - start[0]) - abs(end[1] - start[1])) < 1e-6
            and abs(end[0] - start[0]) > 5.0
        ]  # fmt: skip
        for label in page.ink.labels:
            corners = np.array(label.corners())
            low, high = corners.min(axis=0), corners.max(axis=0)
            for start, end in slanting:
                along = start + np.linspace(0.0, 1.0, 400)[:, None] * (end - start)
                inside = ((along > low) & (along < high)).all(axis=1)
                assert not inside.any(), label.text


@pytest.mark.parametrize("name", ["table", "stool", "table in inches"])
def test_a_page_is_begun_only_where_no_other_has_room(name: str) -> None:
    marks = post_marks(one(name))[0]
    every = tiles(marks, False, 140.0, 200.0)
    sheets = pages(every, 0.0, 0.0, 180.0, 220.0)
    placed = [one for sheet in sheets for one in sheet]
    assert sorted(map(repr, every)) == sorted(repr(one.tile) for one in placed)
    for number, sheet in enumerate(sheets):
        heights = [one.tile.height + BETWEEN_TILES for one in sheet]
        assert sum(heights) <= 220.0 + 1e-6
        for earlier in sheets[:number]:
            taken = sum(one.tile.height + BETWEEN_TILES for one in earlier)
            assert taken + min(heights) > 220.0
