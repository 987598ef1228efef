"""Dimension lines: where arrows and texts stand. Practice after ISO 129-1, from memory."""

import numpy as np
import pytest

from tablekit.drawing import dimension, style
from tablekit.drawing.ink import Ink, Label
from tests.together import each


def drawn(draw, *arguments):
    ink = Ink()
    draw(ink, *arguments)
    return ink


def tips(ink):
    return sorted(arrow[0] for arrow in ink.arrows)


def pointing(arrow):
    """Unit direction in which an arrow head points."""
    tip, left, right = np.array(arrow)
    way = tip - (left + right) / 2
    return way / np.linalg.norm(way)


def test_a_long_dimension_has_its_arrows_inside_and_its_text_above_the_middle():
    ink = drawn(dimension.across, (0, 0), (50, 0), 10, "500")
    assert tips(ink) == [(0, 10), (50, 10)]
    assert [pointing(arrow)[0] for arrow in ink.arrows] == pytest.approx([-1, 1])
    (label,) = ink.labels
    assert (label.x, label.rotation) == (25, 0)
    assert label.y > 10


def test_a_short_dimension_turns_its_arrows_outside_and_its_text_beyond_the_end():
    ink = drawn(dimension.across, (0, 0), (3, 0), 10, "30.5")
    assert [pointing(arrow)[0] for arrow in ink.arrows] == pytest.approx([1, -1])
    (label,) = ink.labels
    assert min(x for x, _ in label.corners()) > 3 + style.ARROW


def test_a_middling_one_keeps_its_arrows_inside_and_puts_its_text_outside():
    ink = drawn(dimension.across, (0, 0), (8, 0), 10, "28 15/16")
    assert [pointing(arrow)[0] for arrow in ink.arrows] == pytest.approx([-1, 1])
    assert min(x for x, _ in ink.labels[0].corners()) > 8


def test_an_upright_dimension_reads_from_the_right():
    ink = drawn(dimension.upright, (0, 0), (0, 40), -10, "400")
    (label,) = ink.labels
    assert label.rotation == pytest.approx(90)
    assert label.x < -10
    assert label.y == pytest.approx(20)


@each("way", range(0, 360, 15))
def test_no_text_stands_on_its_head(way):
    end = (60 * np.cos(np.radians(way)), 60 * np.sin(np.radians(way)))
    (label,) = drawn(dimension.along, (0.0, 0.0), end, "600").labels
    assert -90 < label.rotation <= 90.01


def test_extension_lines_keep_off_the_outline_and_pass_the_dimension_line():
    ink = drawn(dimension.across, (0, 0), (50, 5), 12, "500")
    left, right, _ = ink.lines["thin"]
    assert left == ((0, style.EXTENSION_GAP), (0, 12 + style.EXTENSION_PAST))
    assert right == ((50, 5 + style.EXTENSION_GAP), (50, 12 + style.EXTENSION_PAST))


def test_nothing_is_drawn_of_no_distance():
    assert drawn(dimension.along, (1, 1), (1, 1), "0").arrows == []


@pytest.mark.parametrize(("elbow", "side"), [((10, 5), 1), ((-10, 5), -1)])
def test_a_leader_points_at_its_tip_from_a_shelf_under_the_text(elbow, side):
    ink = drawn(dimension.leader, (0, 0), elbow, "R450", "foot circle")
    assert tips(ink) == [(0, 0)]
    assert pointing(ink.arrows[0]) @ elbow < 0
    text, note = ink.labels
    assert text.y > 5 > note.y
    (line,) = ink.lines["thin"]
    assert line[:2] == ((0, 0), elbow)
    assert np.sign(line[2][0] - elbow[0]) == side
    for label in (text, note):
        xs = [x for x, _ in label.corners()]
        assert min(xs) >= min(elbow[0], line[2][0]) and max(xs) <= max(elbow[0], line[2][0])


def test_a_distance_between_circles_is_pointed_at_from_both_sides():
    ink = drawn(dimension.radial, (30, 0), (40, 0), 5, "100", "overhang")
    assert tips(ink) == [(30, 0), (40, 0)]
    assert [pointing(arrow)[0] for arrow in ink.arrows] == pytest.approx([1, -1])
    assert min(x for label in ink.labels for x, _ in label.corners()) > 40 + style.ARROW


def test_a_wide_angle_has_its_text_outside_the_arc():
    ink = drawn(dimension.angle, (0, 0), 40, 90, 20, "50°")
    far = [np.hypot(*point) for point in ink.labels[0].corners()]
    assert min(far) > 20
    (arc,) = ink.lines["thin"]
    assert np.hypot(*np.array(arc).T) == pytest.approx(20)
    turns = [np.degrees(np.arctan2(y, x)) for x, y in tips(ink)]
    assert turns == pytest.approx([90, 40])


def test_a_narrow_angle_is_pointed_at_from_outside():
    ink = drawn(dimension.angle, (0, 0), 80, 90, 20, "10°")
    first, second = ink.arrows
    assert pointing(first)[0] < 0 < pointing(second)[0]
    assert max(x for x, _ in ink.labels[0].corners()) < 0


def test_a_label_s_box_turns_with_it():
    level, upright = Label("735", 0, 0), Label("735", 0, 0, rotation=90)
    wide = np.ptp(np.array(level.corners()), axis=0)
    assert np.ptp(np.array(upright.corners()), axis=0) == pytest.approx(wide[::-1])


@pytest.mark.parametrize(("anchor", "least", "most"), [("left", 0, 9), ("right", -9, 0)])
def test_a_label_hangs_on_its_anchor(anchor, least, most):
    xs = [x for x, _ in Label("735", 0, 0, anchor).corners()]
    assert min(xs) >= least and max(xs) <= most


def test_long_text_is_shortened_to_its_room():
    text = style.fitted("A table for the long room on the first floor", 40)
    assert text.endswith("…")
    assert style.text_width(text) <= 40
    assert style.fitted("Table", 40) == "Table"


def test_text_widths_grow_with_size_and_weight():
    # From memory: DejaVu Sans' figures are all 0.636 of the size wide.
    one = 0.636 * 10 * 25.4 / 72
    assert style.text_width("735", 10) == pytest.approx(3 * one, rel=0.05)
    assert style.text_width("735", 20) == pytest.approx(2 * style.text_width("735", 10))
    assert style.text_width("735", 10, bold=True) > style.text_width("735", 10)
