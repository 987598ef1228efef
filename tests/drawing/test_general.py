"""The general arrangement as a draughtsman would check it: nothing clipped, nothing overprinted."""

from itertools import combinations, pairwise

import numpy as np
import pytest

from tablekit.drawing import style
from tablekit.drawing.general import GeneralDrawing, bar_step, draw_general, lay_out, scale_text
from tablekit.drawing.outline import shows
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper
from tablekit.drawing.views import DIAMETER, SQUARE, plan, subject
from tablekit.solids.model import height_name
from tests.drawing.designs import designs
from tests.drawing.shown import texts
from tests.together import each

EVERY = sorted(designs())
A3_ACROSS = Paper(420, 297, arrangement="beside")
PAPERS = {"A4": A4, "A4 across": A4_ACROSS, "A3 across": A3_ACROSS, "screen": SCREEN}


def boxes(figure):
    """The boxes of all texts shown, in dots, as (text, left, low, right, high)."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    found = []
    for text in texts(figure):
        box = text.get_window_extent(canvas.get_renderer())
        found.append((text.get_text(), box.x0, box.y0, box.x1, box.y1))
    return found


def outlines(ink):
    """Every straight piece of the thick lines, shape (n, 2, 2)."""
    lines = [np.array(line) for line in ink.lines["visible"]]
    chained = [np.stack([line[:-1], line[1:]], axis=1) for line in lines]
    return np.concatenate([*ink.pieces["visible"], *chained])


def crossed(segment, box):
    """Whether a straight piece passes through a box (left, low, right, high), by clipping."""
    (x, y), run = segment[0], segment[1] - segment[0]
    low, high = 0.0, 1.0
    for start, step, least, most in ((x, run[0], box[0], box[2]), (y, run[1], box[1], box[3])):
        if abs(step) < 1e-12:
            if not least < start < most:
                return False
            continue
        ends = sorted(((least - start) / step, (most - start) / step))
        low, high = max(low, ends[0]), min(high, ends[1])
    return low < high


@each("paper", PAPERS)
@each("name", EVERY, ordinary=8)
def test_no_text_overlaps_another_or_leaves_the_paper(name, paper):
    figure = draw_general(designs()[name], paper=PAPERS[paper])
    found = boxes(figure)
    width, height = figure.get_size_inches() * figure.dpi
    assert len(found) > 15
    for text, left, low, right, high in found:
        assert left > 0 and low > 0 and right < width and high < height, text
    for one, other in combinations(found, 2):
        apart = one[1] > other[3] or other[1] > one[3] or one[2] > other[4] or other[2] > one[4]
        assert apart, (one[0], other[0])


@each("paper", PAPERS)
@each("name", EVERY)
def test_everything_drawn_is_inside_the_margin(name, paper):
    size = PAPERS[paper]
    box = lay_out(subject(designs()[name]), size).ink.box()
    edge = size.margin - 0.3  # half a line's width and the swing of a letter
    assert box.left >= edge and box.low >= edge
    assert box.right <= size.width - edge and box.high <= size.height - edge


@each("paper", ["A4", "screen"])
@each("name", EVERY)
def test_no_outline_of_the_piece_runs_through_a_size(name, paper):
    ink = lay_out(subject(designs()[name]), PAPERS[paper]).ink
    pieces = outlines(ink)
    numbers = {"1", "2", "3"}  # stand in white rings over the lines
    for label in ink.labels:
        if label.text in numbers:
            continue
        corners = np.array(label.corners())
        box = (*corners.min(axis=0), *corners.max(axis=0))
        assert not any(crossed(piece, box) for piece in pieces), label.text


def test_measured_and_drawn_widths_of_text_agree():
    """The layout measures text by itself; here what it found is held against matplotlib's."""
    layout = lay_out(subject(designs()["table in inches"]), A4)
    figure = draw_general(designs()["table in inches"], paper=A4)
    dots = figure.dpi / 25.4
    for label, drawn in zip(layout.ink.labels, boxes(figure), strict=True):
        assert drawn[0] == label.text
        corners = np.array(label.corners()) * dots
        # On the screen letters are set on whole dots, so lines grow or shrink by up to 4 %.
        near = 2.5 + 0.04 * np.ptp(corners, axis=0).max()
        assert drawn[1] >= corners[:, 0].min() - near and drawn[3] <= corners[:, 0].max() + near
        assert drawn[2] >= corners[:, 1].min() - near and drawn[4] <= corners[:, 1].max() + near
        longest = np.ptp(corners, axis=0).max()
        assert max(drawn[3] - drawn[1], drawn[4] - drawn[2]) == pytest.approx(longest, abs=2 * near)


@each("name", EVERY)
def test_the_main_sizes_are_written_as_the_maker_reads_them(name):
    it = designs()[name]
    texts = [label.text for label in lay_out(subject(it), A4).ink.labels]
    unit = " in" if "inches" in name else " mm"
    plain = ["base_height", "top_thickness", height_name(it.kind), "overhang"]
    if it.kind == "table":
        plain.append("knee_clearance")
    for quantity in plain:
        assert it.shop(quantity).removesuffix(unit) in texts
    assert DIAMETER + it.shop("top_diameter").removesuffix(unit) in texts
    assert SQUARE + it.shop("post_section").removesuffix(unit) in texts
    assert it.shop("splay") in texts
    for circle in ("foot_radius", "head_radius"):
        assert "R" + it.shop(circle).removesuffix(unit) in texts
    assert ("Sizes in inches" in texts) == ("inches" in name)
    assert min(texts.count(number) for number in "123") >= 1


@pytest.mark.parametrize("name", ["table", "low in inches, down", "tall", "stool"])
def test_dimension_lines_are_as_long_as_what_they_measure(name):
    """On paper, arrow to arrow, times the scale, is the number on the sheet."""
    it = designs()[name]
    layout = lay_out(subject(it), A4)
    tips = np.array([arrow[0] for arrow in layout.ink.arrows])
    gaps = np.linalg.norm(tips[:, None] - tips[None], axis=2) / layout.scale
    level = np.abs(tips[:, None] - tips[None]).min(axis=2) < 1e-9
    for quantity in ("base_height", "top_thickness", "top_diameter", height_name(it.kind)):
        along = np.abs(gaps - it.number(quantity)) < 1e-6 * it.number(quantity)
        assert (along & level).sum() >= 2, quantity
    assert (np.abs(gaps - abs(it.number("overhang"))) < 1e-6).any()


@each("name", EVERY)
def test_plan_stands_under_the_elevation_in_projection(name):
    layout = lay_out(subject(designs()[name]), A4)
    it = subject(designs()[name])
    pieces = outlines(layout.ink)
    captions = {label.text: label for label in layout.ink.labels}
    assert captions["Plan"].x == pytest.approx(captions["Elevation"].x)
    assert captions["Plan"].y < captions["Elevation"].y
    middle = captions["Plan"].x
    radius = it.sheet.number("top_diameter") / 2 * layout.scale
    above = pieces[(pieces[..., 1] > captions["Elevation"].y).all(axis=1)]
    below = pieces[(pieces[..., 1] < captions["Elevation"].y).all(axis=1)]
    for view in (above, below):  # the rim is as far to either side in both
        for side in (-1, 1):
            assert np.abs(view[..., 0] - (middle + side * radius)).min() < 1e-6


def test_in_plan_the_base_is_dashed_under_the_top_and_plain_beyond_it():
    it = subject(designs()["feet beyond the top"])
    radius = it.sheet.number("top_diameter") / 2
    far = np.linalg.norm(it.plan.visible, axis=2)
    assert (far > radius - 0.5).all()
    assert far.max() > radius + 100
    assert (np.linalg.norm(it.plan.hidden, axis=2) < radius + 0.5).all()
    assert len(it.front.hidden) == 0
    low = subject(designs()["low"])
    assert len(low.plan.visible) == 0
    assert np.hypot(*np.array(low.plan.rim).T) == pytest.approx(600)


def test_numbers_stand_on_their_posts_or_beyond_short_ones():
    for name in EVERY:
        it = subject(designs()[name])
        scale = lay_out(it, A4).scale
        rings = plan(it, scale).badges
        for ring, parts in zip(rings, it.plan.posts, strict=True):
            middle = np.mean(ring[:-1], axis=0) / scale
            if "steep" not in name:
                assert shows(parts, tuple(middle))
                continue
            points = [tuple(np.array(point) / scale) for point in [*ring, middle * scale]]
            assert not any(shows(other, p) for other in it.plan.posts for p in points)


@pytest.mark.parametrize("name", ["table", "stool in inches, down"])
def test_the_stated_scale_is_a_usual_one_and_true(name):
    it = designs()[name]
    layout = lay_out(subject(it), A4)
    texts = [label.text for label in layout.ink.labels]
    stated = scale_text(layout.scale)
    assert f"Scale {stated}" in texts
    above, below = (float(part) for part in stated.split(":"))
    assert above / below == pytest.approx(layout.scale)
    on_screen = [label.text for label in lay_out(subject(it), SCREEN).ink.labels]
    assert not any(text.startswith("Scale") for text in on_screen)


@pytest.mark.parametrize(
    ("scale", "inches", "step"),
    [(1 / 10, False, 100), (1 / 5, False, 50), (1, False, 10), (1 / 20, False, 200),
     (1 / 12, True, 6), (1 / 8, True, 3), (1 / 4, True, 2), (1 / 48, True, 24)],
)  # fmt: skip
def test_scale_bars_have_round_fields(scale, inches, step):
    # 14 mm is the most a field may take: 1:10 makes that 140 mm, of which 100 is the round part.
    assert bar_step(scale, inches) == step


def test_posts_can_be_told_apart_in_grey():
    def grey(colour):
        red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
        return (0.299 * red + 0.587 * green + 0.114 * blue) / 255  # ITU-R BT.601, from memory

    tones = [grey(tone) for tone in style.POST_TONES]
    assert min(a - b for a, b in pairwise(tones)) > 0.1
    assert min(tones) - grey(style.INK) > 0.4
    assert grey(style.PAPER) - grey(style.FAINT) > 0.5


def test_no_letter_is_smaller_than_eight_points():
    for name in EVERY:
        labels = lay_out(subject(designs()[name]), A4).ink.labels
        assert min(label.size for label in labels) >= 8


def test_a_sheet_of_paper_too_small_says_so():
    with pytest.raises(ValueError, match="40 × 40 mm is too small for Reading-room table"):
        draw_general(designs()["table"], paper=Paper(40, 40, margin=5))


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_a_saved_file_is_the_same_each_time(tmp_path, ending):
    it = designs()["table"]
    first = style.save(draw_general(it), tmp_path / f"a.{ending}").read_bytes()
    again = style.save(draw_general(it), tmp_path / f"b.{ending}").read_bytes()
    other = style.save(draw_general(designs()["low"]), tmp_path / f"c.{ending}").read_bytes()
    assert first == again
    assert first != other
    assert b"202" not in first[:600] or ending == "png"


def test_another_ending_is_refused(tmp_path):
    with pytest.raises(ValueError, match=r"drawing\.gif ends in '\.gif'"):
        style.save(draw_general(designs()["table"]), tmp_path / "drawing.gif")


def test_a_figure_of_one_s_own_is_drawn_on():
    from matplotlib.figure import Figure

    mine = Figure()
    assert draw_general(designs()["table"], figure=mine) is mine
    assert mine.get_size_inches() * 25.4 == pytest.approx([210, 297])
    assert len(texts(mine)) > 10


def test_updating_leaves_the_artists_in_place():
    from matplotlib.figure import Figure

    drawing = GeneralDrawing(Figure(), A4)
    drawing.update(designs()["table"])
    axes = drawing.figure.axes[0]
    before = [id(artist) for artist in axes.get_children()]
    drawing.update(designs()["low in inches, down"])
    after = [id(artist) for artist in axes.get_children()]
    assert after == before
    assert "Low" in [text.get_text() for text in axes.texts]


def test_the_last_drawing_stays_when_a_sheet_cannot_be_drawn():
    from matplotlib.figure import Figure

    drawing = GeneralDrawing(Figure(), Paper(100, 140))
    drawing.update(designs()["small"])
    before = [text.get_text() for text in drawing.artists.texts]
    with pytest.raises(ValueError, match="too small"):
        drawing.update(designs()["huge"])
    assert "191" in before  # the small piece's knee clearance
    assert [text.get_text() for text in drawing.artists.texts] == before
