"""Every kind over many seeds, its answers checked by short formulas that are not the kit's."""

from __future__ import annotations

import math
import random
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import parse_quantity
from tablekit.engine.working import AssumedWorking
from tablekit.relations.families import network as whole
from tablekit.teaching.exercises import Stream, code, exercise, exercise_set, together
from tablekit.teaching.kinds import KINDS
from tablekit.teaching.question import TOPICS, Exercise, network

SEEDS = 40
each_kind = pytest.mark.parametrize("kind", KINDS)


def some(kind: str, count: int = SEEDS) -> list[Exercise]:
    """Half of them for a class in millimetres, half for one in inches."""
    return [exercise(kind, seed, "in" if seed % 2 else "mm") for seed in range(count)]


# -- formulas of their own ------------------------------------------------------------------------

G = 9.80665  # m/s², ISO 80000-3
BOARD_FOOT = 144 * 25.4**3  # mm³: 144 cubic inches, as every timber yard reckons


def post_length(g):
    """(L + 2w)/√3 over sharp corners, the square crossing."""
    base = g["table_height"] - g["top_thickness"] - g["pad_projection"]
    corners = base + g["foot_flat_depth"] + g["head_flat_depth"]
    return math.sqrt(3) * corners - 2 * g["post_section"]


def height(g):
    corners = (g["post_length"] + 2 * g["post_section"]) / math.sqrt(3)
    base = corners - g["foot_flat_depth"] - g["head_flat_depth"]
    return base + g["pad_projection"] + g["top_thickness"]


def foot_circle(g):
    """Distance of the corner (-x, -3w/4, -w/4) from the diagonal of its cube (same notes, 2)."""
    w = g["post_section"]
    v = np.array([-(g["post_length"] / 2 + w / 4), -3 * w / 4, -w / 4])
    return math.sqrt(v @ v - v.sum() ** 2 / 3)


def emc(celsius, percent):
    """Wood Handbook, FPL-GTR-190, equation 4-5, with its constants for °C."""
    t, h = celsius, percent / 100
    weight = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    bound = (k1 * k * h + 2 * k1 * k2 * (k * h) ** 2) / (1 + k1 * k * h + k1 * k2 * (k * h) ** 2)
    return 1800 / weight * (k * h / (1 - k * h) + bound)


def slot(g):
    up = g["dampest_moisture"] - g["shop_moisture"]
    down = g["shop_moisture"] - g["driest_moisture"]
    return g["screw_shank"] + 2 * g["plate_across"] * g["movement_coefficient"] * max(up, down)


def clamps(g):
    force = g["clamp_pressure"] * g["joint_length"] * g["top_thickness"]  # N, MPa being N/mm²
    spacing = 2 * (g["caul_depth"] + g["outer_strip"])
    return math.ceil(max(force / g["clamp_capacity"], g["joint_length"] / spacing) - 1e-9)


def tipping(g):
    line = g["foot_radius"] / 2
    return g["total_mass"] * G * line / (g["top_diameter"] / 2 - line)


def piece(g):
    return g["part_count"] * g["part_length"] * g["part_width"] * g["part_thickness"]


def tilt(g):
    """By vectors: the plane through the three points of the heads, and what it does on a level
    circle as large as the top, which is tilted with it."""
    turns = 2 * np.pi * np.arange(3) / 3
    level = g["head_radius"] * np.column_stack([np.cos(turns), np.sin(turns)])
    one, two, three = np.column_stack([level, [g["head_height_1"], 0.0, 0.0]])
    normal = np.cross(two - one, three - one)
    lean = math.acos(abs(normal[2]) / np.linalg.norm(normal))
    return g["top_diameter"] * math.sin(lean)


def between_posts(lean):
    """From vectors: the angle between two posts."""
    t = math.radians(lean)
    one, other = (
        np.array([math.sin(t) * math.cos(turn), math.sin(t) * math.sin(turn), math.cos(t)])
        for turn in (0.0, 2 * math.pi / 3)
    )
    return math.degrees(math.acos(one @ other))


def floor_tilt(phi):
    """From vectors: the host's bearing face and the floor that its guest lies on, each square to
    two neighbouring posts that cross at φ."""
    lean = math.asin(math.sqrt((1 - math.cos(math.radians(phi))) / 1.5))
    u = [
        np.array([math.sin(lean) * math.cos(turn), math.sin(lean) * math.sin(turn), math.cos(lean)])
        for turn in (0.0, 2 * math.pi / 3, 4 * math.pi / 3)
    ]
    own, guest = np.cross(u[2], u[0]), np.cross(u[0], u[1])
    own, guest = own / np.linalg.norm(own), guest / np.linalg.norm(guest)
    # Its faces are the bearing face and the one square to it; the floor is near the latter.
    return math.degrees(math.asin(abs(own @ guest)))


def ring_of(g, across, along):
    """The rim of a round end in the frame of a leaning axis that starts at the origin: points
    `along` it and half of `across` from it, z up."""
    lean, around = math.radians(g["leg_resultant"]), np.linspace(0, 2 * np.pi, 100001)
    axis = np.array([math.sin(lean), 0.0, math.cos(lean)])
    one, other = np.array([math.cos(lean), 0.0, -math.sin(lean)]), np.array([0.0, 1.0, 0.0])
    rim = across / 2 * (np.outer(np.cos(around), one) + np.outer(np.sin(around), other))
    return along * axis + rim


def over_the_bore(g):
    """Point by point: the highest of the rim at the bottom of the bore."""
    return g["top_thickness"] - ring_of(g, g["tenon_diameter"], g["socket_depth"])[:, 2].max()


def over_the_board(g):
    """Point by point: the lowest of the rim of the square end, the level cut at the origin."""
    beyond = g["leg_blank"] - g["leg_length"]
    return -ring_of(g, g["foot_diameter"], -beyond)[:, 2].min()


FORMULAS: dict[tuple[str, str], Callable[[dict[str, float]], float]] = {
    ("post length", "post_length"): post_length,
    ("height", "table_height"): height,
    ("height change", "post_length"): lambda g: (
        math.sqrt(3) * (g["table_height"] - g["table_height_after"])
    ),
    ("let-in", "notch_depth"): lambda g: g["post_section"] - g["axis_offset"],
    ("offset", "axis_offset"): lambda g: g["post_section"] - g["notch_depth"],
    # A flat cut to d has an inscribed radius of d/√2.
    ("flat depth", "foot_flat_depth"): lambda g: g["foot_flat"] / math.sqrt(2),
    ("foot circle", "foot_radius"): foot_circle,
    ("tipping load", "tipping_load"): tipping,
    ("overhang", "overhang"): lambda g: g["top_diameter"] / 2 - g["head_radius"],
    ("tilt", "rim_drop"): tilt,
    ("moisture", "shop_moisture"): lambda g: emc(g["shop_temperature"], g["shop_humidity"]),
    # Wood Handbook, FPL-GTR-190, equation 13-2.
    ("top movement", "top_movement"): lambda g: (
        g["top_diameter"] * g["movement_coefficient"]
        * (g["dampest_moisture"] - g["driest_moisture"])
    ),
    ("slot length", "slot_needed"): slot,
    ("trammel", "trammel_centre"): lambda g: (g["top_diameter"] + g["cutter_diameter"]) / 2,
    ("trammel", "pivot_to_far_side"): lambda g: g["top_diameter"] / 2 + g["cutter_diameter"],
    ("clamps", "clamp_count"): clamps,
    ("wood to buy", "part_volume"): lambda g: piece(g) / 1e9,
    # Two unit vectors with equal lean, 120° apart in plan.
    ("angle between posts", "crossing_angle"): lambda g: between_posts(g["splay"]),
    ("notch tilt", "notch_floor_tilt"): lambda g: floor_tilt(g["crossing_angle"]),
    ("saw setting", "blade_tilt"): lambda g: math.degrees(math.asin(
        math.cos(math.radians(g["crossing_angle"]))
        * math.sin(math.radians(floor_tilt(g["crossing_angle"]))))),
    # Over one unit of height the foot moves tan α and tan β, square to one another.
    ("sight line", "sight_line"): lambda g: math.degrees(math.atan2(
        math.tan(math.radians(g["leg_splay"])), math.tan(math.radians(g["leg_rake"])))),
    # One unit down, tan α and tan β to either side: the angle of that vector to plumb.
    ("resultant", "leg_resultant"): lambda g: math.degrees(math.acos(1 / np.linalg.norm(
        [1, math.tan(math.radians(g["leg_rake"])), math.tan(math.radians(g["leg_splay"]))]))),
    ("boring", "socket_cover"): lambda g: over_the_bore(g),
    ("levelling", "block_height"): lambda g: over_the_board(g),
    ("tipping push", "tipping_push"): lambda g: (
        g["total_mass"] * G * g["tipping_arm"] / g["table_height"]
    ),
    ("wood to buy", "board_feet"): lambda g: piece(g) / BOARD_FOOT,
}  # fmt: skip


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "lean"])
def test_the_short_way_comes_to_the_answer_of_the_relations(kind: str) -> None:
    for one in some(kind):
        assert one.formula is not None
        if kind == "moisture":  # what the printed rows give, which are rounded
            line = one.worked(one.formula.line)
            assert abs(line - one.answer) < one.tolerance and one.near_right(line)
            continue
        for line in one.formula.right_lines:
            g = {"g": G} if "g" in one.formula.fixed else {}
            # θ is written to four decimals, which is 0.0003 mm in a metre.
            off = 1e-3 * one.tolerance if "θ" in one.formula.fixed else 1e-9 * abs(one.answer)
            assert one.worked(line, g) == pytest.approx(one.answer, abs=off), (one.seed, line)


def test_notches_that_are_drawn_can_be_built() -> None:
    """A third to two thirds of the section (common practice, no source): 600 drawn."""
    for kind in ("let-in", "offset"):
        for one in some(kind, 300):
            depth = one.answer if kind == "let-in" else one.givens["notch_depth"]
            assert 1 / 3 - 1e-9 <= depth / one.givens["post_section"] <= 2 / 3 + 1e-9, one.seed


@each_kind
def test_numbers_are_whole_in_the_unit_of_the_class(kind: str) -> None:
    """Whole millimetres; fractions that a rule has, in inches. Masses, moistures, angles and screws
    may have halves, and coefficients are what tables have."""
    for one in some(kind):
        for name, number in one.givens.items():
            unit = network(one.kind.topic).quantity(name.removesuffix("_after")).unit
            if unit == "mm" and name != "screw_shank":
                there = number if one.display == "mm" else number / 25.4 * 32
                assert there == pytest.approx(round(there), abs=1e-6), (name, number)
            elif unit in ("deg", "%", "kg") and one.display == "mm":
                assert 2 * number == pytest.approx(round(2 * number)), (name, number)


# The lean has no formula; its answers are put back into solid geometry below.
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "lean"])
def test_answers_agree_with_a_formula_of_their_own(kind: str) -> None:
    asked = set()
    for one in some(kind):
        asked.add(one.asked.name)
        found = FORMULAS[kind, one.asked.name](dict(one.givens))
        assert one.answer == pytest.approx(found, rel=1e-9), (one.seed, one.display)
    assert asked == set(KINDS[kind].asked)


def foot_radius_of(lean: float, g: dict[str, float]) -> float:
    """Radius of the foot circle, from vectors alone: post 0 and the one whose notch it lies in."""

    def direction(turn: float) -> np.ndarray:
        turn = math.radians(turn)
        return np.array(
            [math.sin(lean) * math.cos(turn), math.sin(lean) * math.sin(turn), math.cos(lean)]
        )

    def turned(v: np.ndarray, turn: float) -> np.ndarray:
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        return np.array([c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]])

    w, u, host = g["post_section"], direction(0), direction(240)
    n = np.cross(host, u)
    n /= np.linalg.norm(n)
    m = np.cross(u, n)
    # The waist lies on the y axis; notches up: the guest lies above its host, by half a section.
    aside = np.array([0.0, 1.0, 0.0])
    waist = aside * (w / 2) / ((aside - turned(aside, 240)) @ n)
    assert (waist - turned(waist, 240)) @ n == pytest.approx(w / 2)
    # Where the host's notch lies: the point of its axis nearest to the guest's.
    along, _, _ = np.linalg.solve(np.column_stack([host, -u, n]), waist - turned(waist, 240))
    arm = g["post_length"] / 2 - along  # from the waist to the foot end
    corner = (
        waist - arm * u - w / 2 * math.copysign(1, n[2]) * n - w / 2 * math.copysign(1, m[2]) * m
    )
    edges = [u, math.copysign(1, n[2]) * n, math.copysign(1, m[2]) * m]
    ends = [edge / edge[2] for edge in edges]  # a flat one unit deep
    sides = [np.linalg.norm(ends[(k + 1) % 3] - ends[(k + 2) % 3]) for k in range(3)]
    middle = sum(side * end for side, end in zip(sides, ends, strict=True)) / sum(sides)
    area = np.linalg.norm(np.cross(ends[1] - ends[0], ends[2] - ends[0])) / 2
    across = 2 * (2 * area / sum(sides))
    centre = corner + g["foot_flat"] / across * middle
    return math.hypot(centre[0], centre[1])


def test_the_vectors_agree_with_the_worked_base() -> None:
    # Shared notes on the geometry, 2: L = 1000, w = 64, square crossing, notches up: 395.832.
    lean = math.asin(math.sqrt(2 / 3))
    g = {"post_length": 1000.0, "post_section": 64.0, "foot_flat": 20.0}
    assert foot_radius_of(lean, g) == pytest.approx(395.832, abs=5e-4)


def test_leans_put_the_feet_on_the_circle_that_was_asked_for() -> None:
    for one in some("lean"):
        g = dict(one.givens)
        assert foot_radius_of(math.radians(one.answer), g) == pytest.approx(g["foot_radius"])


# -- questions ------------------------------------------------------------------------------------


@each_kind
def test_a_question_says_all_that_its_answer_rests_on(kind: str) -> None:
    for one in some(kind, 8):
        said = one.question.replace("\N{NO-BREAK SPACE}", " ")
        for name, number in one.givens.items():
            unit = network(one.kind.topic).quantity(name.removesuffix("_after")).unit
            text = shop_text(number, unit, one.style)
            assert re.search(rf"(?<![\d/.]){re.escape(text)}(?!\d)", said), (name, text)
            assert parse_quantity(text, unit) == number  # what is read is what was reckoned with
        assumed = {
            step.unknown
            for step in one.sheet.working(one.asked.name).steps
            if isinstance(step, AssumedWorking)
        }
        assert assumed == one.kind.taken
        assert "{" not in said and "nan" not in said
        assert one.tolerance_text in one.question.replace("\N{NO-BREAK SPACE}", " ") or (
            one.asked.whole and "whole number" in said
        )


@each_kind
def test_a_question_does_not_tell_its_answer(kind: str) -> None:
    for one in some(kind, 12):
        said = one.question.replace("\N{NO-BREAK SPACE}", " ")
        # A whole number may stand in a question by chance; a measure may not.
        if not one.asked.whole:
            assert not re.search(rf"(?<![\d/. ]){re.escape(one.answer_text)}(?!\d)", said)


@each_kind
def test_answers_are_within_what_makes_sense_and_vary(kind: str) -> None:
    every = some(kind)
    low, high = KINDS[kind].within
    assert all(low <= one.answer <= high for one in every)
    assert all(0 <= one.tolerance < 0.1 * one.answer for one in every)
    # The depth of a flat has but one given, so that some of forty students share its numbers.
    assert len({one.question for one in every}) > SEEDS / 2


@each_kind
def test_leaving_out_any_given_leaves_it_open(kind: str) -> None:
    one = exercise(kind, 5)
    topic = network(one.kind.topic)
    for name in one.sheet.givens:
        rest = {n: number for n, number in one.sheet.givens.items() if n != name}
        try:
            left = topic.solve(rest)
        except DesignError:
            continue
        # Where something else can be assumed instead, the answer must have rested on it.
        assert left.number(one.asked.name) != pytest.approx(one.answer, rel=1e-6), name


@pytest.mark.parametrize(
    "kind", ["post length", "height", "foot circle", "lean", "tipping load", "slot length"]
)
def test_the_whole_table_agrees_with_the_topic(kind: str) -> None:
    """A topic is a part of the kit's network, so the whole one must find the same."""
    one = exercise(kind, 9)
    rest = {"top_diameter": 900.0, "post_section": 64.0}
    sheet = whole("table").solve({**rest, **one.sheet.givens})
    assert sheet.number(one.asked.name) == pytest.approx(one.answer, rel=1e-9)


# -- seeds ----------------------------------------------------------------------------------------


def test_the_same_seed_gives_the_same_and_another_seed_other_numbers() -> None:
    first, again = exercise_set("autumn", "3"), exercise_set("autumn", "3")
    assert [one.question for one in first] == [one.question for one in again]
    other = exercise_set("autumn", "4")
    assert [one.name for one in first] == [one.name for one in other]
    assert all(a.question != b.question for a, b in zip(first, other, strict=True))
    later = exercise_set("winter", "3")
    assert [one.question for one in first] != [one.question for one in later]


def test_nothing_disturbs_the_draw_and_the_draw_disturbs_nothing() -> None:
    random.seed(1)
    before = random.getstate()
    question = exercise("trammel", 1).question
    assert random.getstate() == before
    random.seed(2)
    assert exercise("trammel", 1).question == question


def test_another_process_draws_the_same() -> None:
    script = (
        "from tablekit.teaching.exercises import exercise\nprint(exercise('let-in', 11).question)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert ran.stdout.strip() == exercise("let-in", 11).question


def test_a_set_has_each_kind_once_before_any_comes_again() -> None:
    count = len(KINDS)
    names = [one.name for one in exercise_set(1, 1, count + 3)]
    assert set(names[:count]) == set(KINDS) and len(names) == count + 3
    asked = exercise_set(1, 1, 2 * count)
    assert len({one.question for one in asked}) == 2 * count


@each_kind
def test_any_name_gets_a_question(kind: str) -> None:
    """Pupils type names of their own, none of which may be left without numbers."""
    for number in range(150):
        one = exercise(kind, f"autumn/Ömer {number}/1", "in" if number % 2 else "mm")
        assert one.question


def test_a_set_begins_with_what_the_first_lesson_explains() -> None:
    """The plan for two hours names the notch, the post length and a change of height, in this
    order; what comes after them is another for another seed."""
    after = set()
    for seed in range(20):
        names = [one.name for one in exercise_set(seed, 1, 6)]
        assert names[:3] == ["let-in", "post length", "height change"] and len(set(names)) == 6
        after.add(tuple(names[3:]))
    assert len(after) > 15


def test_a_set_may_be_of_chosen_kinds() -> None:
    chosen = exercise_set(1, 1, 5, kinds=["let-in", "overhang"])
    assert {one.name for one in chosen} == {"let-in", "overhang"}
    assert len({one.question for one in chosen}) == 5


def test_the_stream_is_even_and_its_codes_differ() -> None:
    stream = Stream("even")
    drawn = [stream.below(6) for _ in range(3000)]
    # Each of six sides 500 times, give or take; five standard deviations are 102.
    assert all(abs(drawn.count(side) - 500) < 102 for side in range(6))
    assert sorted(Stream("x").shuffled(range(20))) == list(range(20))
    assert len({code("autumn", k) for k in range(200)}) == 200
    with pytest.raises(ValueError, match="too few"):
        stream.below(0)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: exercise("posts", 1), 'kind = "posts" is not a kind'),
        (lambda: exercise("lean", 1, "cm"), 'display = "cm"'),
        (lambda: exercise_set(1, 1, 0), "count = 0"),
        (lambda: exercise_set(1, 1, 2, kinds=["posts"]), "kinds = ['posts']"),
    ],
)
def test_what_cannot_be_asked_for_is_refused(call: Callable[[], object], said: str) -> None:
    with pytest.raises(DesignError, match=re.escape(said)):
        call()


def test_a_measure_keeps_together() -> None:
    assert together("28 7/8 in high on 3 posts").split(" ") == [
        "28\N{NO-BREAK SPACE}7/8\N{NO-BREAK SPACE}in", "high", "on", "3", "posts",
    ]  # fmt: skip
    assert together("5 inches") == "5 inches"


def test_every_topic_is_used_and_every_relation_is_the_kits_own() -> None:
    used = {kind.topic for kind in KINDS.values()}
    used |= {mistake.topic for kind in KINDS.values() for mistake in kind.mistakes}
    assert used - {""} == set(TOPICS)
    for name in TOPICS:
        assert {one.name for one in network(name).relations} == {
            one.name for one in TOPICS[name].relations
        }
