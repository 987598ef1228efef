"""The figures of the lessons: true shapes have the angles and sides that the lesson derives, and
every letter can be read.

What is expected is plain trigonometry, written out on the line; nothing is asked of the kit.
"""

from __future__ import annotations

from math import acos, degrees, dist, sqrt

import pytest

from tablekit.teaching import lesson_figures
from tablekit.teaching.lesson_figures import FIGURES, WIDEST, LessonFigure
from tests.drawing.legible import off_the_paper, overlapping

LETTERS = {
    "cube_on_its_corner": "O A B C", "post_on_its_corner": "E H", "two_posts": "C P Q R M O",
    "axes_round_a_cube": "N W S", "notch_and_seat": "N S", "foot_circle": "J G F",
    "flat_of_a_foot": "F U V X Z M", "three_directions": "O P Q R D",
    "leg_in_two_views": "S C F G", "slot_of_a_screw": "",
}  # fmt: skip


def angle(it: LessonFigure, one: str, at: str, other: str) -> float:
    """Degrees, measured on the paper."""
    a, b, c = (it.points[name] for name in (one, at, other))
    sides = dist(a, b), dist(b, c), dist(a, c)
    return degrees(
        acos((sides[0] ** 2 + sides[1] ** 2 - sides[2] ** 2) / (2 * sides[0] * sides[1]))
    )


def long(it: LessonFigure, one: str, other: str) -> float:
    return dist(it.points[one], it.points[other])


@pytest.mark.parametrize("name", FIGURES)
def test_every_letter_is_there_and_can_be_read(name: str) -> None:
    it: LessonFigure = FIGURES[name]()
    ink, paper = it.laid_out(), it.paper
    written = [label.text for label in ink.labels]
    assert set(LETTERS[name].split()) <= set(written)
    assert overlapping(ink) == [] and off_the_paper(ink, paper) == []
    # 390 dots wide, a telephone still shows letters of 8.5 points at more than two thirds.
    assert paper.width <= WIDEST * 1.03
    assert it.alt.endswith(".") and all(letter in it.alt for letter in LETTERS[name].split())


def test_every_figure_is_looked_at() -> None:
    assert set(LETTERS) == set(FIGURES)


def test_the_triangle_in_the_cube_is_drawn_in_its_true_shape() -> None:
    it = lesson_figures.cube_on_its_corner()
    # Right at A; sides 1 : √2 : √3; at O the angle whose cosine is 1/√3, 54.7356° (school tables).
    assert angle(it, "O′", "A′", "B′") == pytest.approx(90)
    assert long(it, "A′", "B′") / long(it, "O′", "A′") == pytest.approx(sqrt(2))
    assert long(it, "O′", "B′") / long(it, "O′", "A′") == pytest.approx(sqrt(3))
    assert angle(it, "A′", "O′", "B′") == pytest.approx(54.7356, abs=5e-5)
    assert long(it, "O′", "C′") == pytest.approx(long(it, "O′", "A′") / sqrt(3))
    assert it.points["B"][0] == pytest.approx(it.points["O"][0])  # plumb above, also as seen


def test_a_post_rises_by_its_three_edges() -> None:
    it = lesson_figures.post_on_its_corner()
    rise = it.points["H"][1] - it.points["E"][1]
    assert rise == pytest.approx((62 + 2 * 11) / sqrt(3))  # drawn 62 by 11; each rises 1/√3


def test_the_plan_of_three_posts_and_the_triangle_of_two() -> None:
    it = lesson_figures.two_posts()
    assert angle(it, "M", "C", "P") == pytest.approx(60)
    assert angle(it, "P", "C", "Q") == pytest.approx(120)
    assert long(it, "P", "M") == pytest.approx(long(it, "C", "P") * sqrt(3) / 2)  # sin 60°
    assert angle(it, "P′", "O", "Q′") == pytest.approx(90)  # drawn at the square crossing
    assert angle(it, "O", "M′", "P′") == pytest.approx(90)


def test_notch_and_seat_overlap_by_half_a_side() -> None:
    it = lesson_figures.notch_and_seat()
    side = 24.0  # as drawn
    assert it.points["S"][0] - it.points["N"][0] == pytest.approx(side / 2)
    seat = it.ink.areas[1][0]
    area = 0.5 * abs(
        sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(seat, [*seat[1:], seat[0]], strict=True))
    )
    assert area == pytest.approx(0.75 * side**2)  # three quarters, as the solids press


def test_the_flat_is_drawn_in_its_true_shape() -> None:
    it = lesson_figures.flat_of_a_foot()
    for one, at, other in (("U′", "V′", "X′"), ("V′", "X′", "U′"), ("X′", "U′", "V′")):
        assert angle(it, one, at, other) == pytest.approx(60)
    assert long(it, "U′", "V′") == pytest.approx(15 * sqrt(6))  # drawn 15 deep
    assert long(it, "Z", "M") == pytest.approx(15 / sqrt(2))
    assert angle(it, "Z", "U′", "M") == pytest.approx(30)


def test_the_angle_between_the_planes_of_a_compound_notch() -> None:
    it = lesson_figures.three_directions()
    # Drawn at a lean of 40°: cos φ = 1 − 1.5 sin²40° = 0.380236; tilt asin(0.380236/1.380236) =
    # 15.9910°, and the planes meet at 90° less that. By a pocket calculator.
    assert angle(it, "Q′", "D′", "R′") == pytest.approx(90 - 15.9910, abs=1e-3)


def test_the_leg_is_drawn_in_its_true_shape() -> None:
    it = lesson_figures.leg_in_two_views()
    # Drawn with tan α = 0.5 and tan β = 0.35: tan γ = 0.7, γ = 34.992°; tan² θ = 0.3725, tan θ =
    # 0.610328, θ = 31.397°. By a pocket calculator.
    assert angle(it, "S", "C", "F") == pytest.approx(90)
    assert angle(it, "C", "S", "F") == pytest.approx(34.992, abs=1e-3)
    assert angle(it, "S′", "G", "F′") == pytest.approx(90)
    assert angle(it, "G", "S′", "F′") == pytest.approx(31.397, abs=1e-3)
    assert long(it, "G", "F′") == pytest.approx(long(it, "S", "F"))  # the run, in both views
    assert long(it, "S", "C") / long(it, "S′", "G") == pytest.approx(0.5)
    assert long(it, "C", "F") / long(it, "S′", "G") == pytest.approx(0.35)


def test_the_slot_has_room_for_twice_the_movement() -> None:
    written = [label.text for label in lesson_figures.slot_of_a_screw().ink.labels]
    assert written.count("m") == 2 and written.count("d") == 1 and written.count("l") == 1


def test_a_picture_is_the_same_each_time_and_says_what_it_shows() -> None:
    one, other = lesson_figures.two_posts().shown(), lesson_figures.two_posts().shown()
    assert one.data == other.data and one.data.startswith(b"\x89PNG")
    assert one.alt == lesson_figures.two_posts().alt and one.width <= 490
