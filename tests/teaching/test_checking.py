"""Answers: right, badly rounded or wrong, and which mistake they look like."""

from __future__ import annotations

import math
import re

import pytest

from tablekit.engine.shop import figures_text
from tablekit.teaching.checking import check, mistaken_answer, mistakes_of
from tablekit.teaching.exercises import Exercise, exercise
from tablekit.teaching.kinds_top import KINDS
from tablekit.teaching.lines import hint, hint_count, lines, short_working

each_kind = pytest.mark.parametrize("kind", KINDS)
SEEDS = 8


def some(kind: str, count: int = SEEDS) -> list[Exercise]:
    return [exercise(kind, seed, "in" if seed % 2 else "mm") for seed in range(count)]


def written(one: Exercise, number: float) -> str:
    """As a student writes it, to so many figures that nothing is lost."""
    return figures_text(number, one.unit, one.style, 9)


# -- right answers --------------------------------------------------------------------------------


@each_kind
def test_a_right_answer_is_right_however_it_is_written(kind: str) -> None:
    for one in some(kind, 40):
        answers = {one.answer_text, one.shop_answer, written(one, one.answer)}
        answers |= {written(one, one.answer + side * 0.95 * one.tolerance) for side in (-1, 1)}
        for text in answers:
            verdict = check(one, text)
            assert verdict.right and verdict.mistake is None, (one.seed, text, verdict.message)
            assert verdict.message.startswith("Right")


def test_a_right_answer_may_be_in_another_unit() -> None:
    one = exercise("post length", 4)
    assert check(one, f"{one.answer / 25.4:.4f} in").right
    assert check(one, f"{one.answer / 1000:.5f} m").right
    load = exercise("tipping load", 4)
    assert check(load, f"{load.answer / 4.4482216:.3f} lbf").right  # 1 lbf = 4.4482216 N


def test_counts_may_have_their_word() -> None:
    one = exercise("clamps", 2)
    assert check(one, f"{one.answer:.0f} clamps").right
    feet = exercise("wood to buy", 2, "in")
    assert check(feet, f"{feet.answer:.1f} board feet").right
    assert check(feet, f"{feet.answer:.1f} bf").right


def test_a_tipping_load_is_never_told_without_its_caution() -> None:
    one = exercise("tipping load", 1)
    assert "not a safe load" in check(one, one.answer_text).message


# -- rounding -------------------------------------------------------------------------------------


def test_rounded_more_coarsely_than_asked() -> None:
    one = next(e for e in some("post length", 40) if e.display == "mm" and e.answer % 10 > 3)
    verdict = check(one, f"{one.answer / 1000:.2f} m")
    assert verdict.outcome == "rounded" and "too coarsely" in verdict.message
    assert "0.5 mm" in verdict.message
    near = check(one, written(one, one.answer + 2 * one.tolerance))
    assert near.outcome == "rounded" and "rounded on the way" in near.message


def test_a_coarse_answer_is_not_blamed_on_a_mistake_that_rounds_to_it() -> None:
    """A length to the centimetre may lie where the pads would be forgotten; nobody can tell."""
    for one in some("post length", 60):
        if one.display == "in":
            continue
        text = f"{one.answer / 1000:.2f} m"
        assert check(one, text).outcome in ("rounded", "right"), one.seed


def test_so_coarse_that_it_says_nothing() -> None:
    one = exercise("post length", 3)
    assert check(one, "1 m").outcome == "wrong"


def test_root_three_cut_to_two_places_loses_figures_on_the_way() -> None:
    one = exercise("height", 6)
    g = one.givens
    corners = (g["post_length"] + 2 * g["post_section"]) / 1.73
    flats = g["foot_flat_depth"] + g["head_flat_depth"]
    found = corners - flats + g["pad_projection"] + g["top_thickness"]
    assert check(one, f"{found:.1f} mm").outcome == "rounded"


@each_kind
def test_an_answer_far_off_is_wrong(kind: str) -> None:
    for one in some(kind):
        if one.asked.whole:
            continue
        mistaken = [mistaken_answer(one, mistake) for mistake in mistakes_of(one)]
        number = next(
            number for number in (one.answer * factor for factor in (1.2345, 1.137, 1.319, 1.71))
            if all(m is None or abs(m - number) > 3 * one.tolerance for m in mistaken)
        )  # fmt: skip
        verdict = check(one, written(one, number))
        assert verdict.outcome == "wrong", (one.seed, verdict.message)
        assert one.answer_text not in verdict.message


# -- what cannot be read --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "text", "outcome", "said"),
    [
        ("post length", "1153.5", "no unit", "needs its unit"),
        ("post length", "45 1/2", "no unit", "needs its unit"),
        ("post length", "1153 kg", "other unit", "is a mass; expected a length"),
        ("tipping load", "120 mm", "other unit", "expected a force"),
        ("tipping load", "12 kg", "other unit", "is a mass; expected a force"),
        ("lean", "52", "no unit", "needs its unit"),
        ("moisture", "9.2", "no unit", "needs its unit"),
        ("clamps", "7 mm", "other unit", "is a length"),
        ("post length", "", "unreadable", "not a quantity"),
        ("post length", "about a metre", "unreadable", "not a quantity"),
        ("post length", "1153,5 mm", "unreadable", "comma"),
        ("post length", "__import__('os')", "unreadable", "not a quantity"),
        ("post length", "-1153 mm", "unreadable", "negative"),
        ("post length", "12 / 0 in", "unreadable", "over nothing"),
        ("post length", "9" * 500, "unreadable", "too long"),
    ],
)
def test_an_answer_that_cannot_be_taken_is_told_why(kind, text, outcome, said) -> None:
    one = exercise(kind, 1)
    verdict = check(one, text)
    assert verdict.outcome == outcome and said in verdict.message
    assert not verdict.right and verdict.number is None and not verdict.message.endswith("..")


def test_a_negative_overhang_can_be_answered() -> None:
    assert check(exercise("overhang", 1), "-40 mm").outcome == "wrong"


# -- mistakes -------------------------------------------------------------------------------------


@each_kind
def test_each_declared_mistake_is_recognised(kind: str) -> None:
    declared = {one.name for one in KINDS[kind].mistakes}
    found = set()
    for one in some(kind, 24):
        for mistake in mistakes_of(one):
            number = mistaken_answer(one, mistake)
            if number is None:
                continue
            verdict = check(one, written(one, number))
            if verdict.outcome == "unreadable":
                assert number < 0, verdict.message  # a length that cannot be
                continue
            assert verdict.outcome == "mistake", (one.seed, mistake.name, verdict.message)
            assert verdict.mistake is not None
            same = mistaken_answer(one, verdict.mistake)
            assert same == pytest.approx(number, abs=max(one.tolerance, 5e-3) * 2)
            assert verdict.mistake.words in verdict.message
            found.add(verdict.mistake.name)
    assert declared <= found


def answered(kind: str, number, display="mm", seed=2) -> str:
    """The name of the mistake that a number worked by hand looks like."""
    one = exercise(kind, seed, display)
    value = number(one.givens)
    verdict = check(one, written(one, value))
    return verdict.mistake.name if verdict.mistake else verdict.outcome


ROOT3 = math.sqrt(3)


def base(g) -> float:
    return g["table_height"] - g["top_thickness"] - g["pad_projection"]


def flats(g) -> float:
    return g["foot_flat_depth"] + g["head_flat_depth"]


@pytest.mark.parametrize(
    ("kind", "number", "name"),
    [
        ("post length", lambda g: ROOT3 * base(g) - 2 * g["post_section"],
         "forgot the depth of the flats"),
        ("post length",
         lambda g: ROOT3 * (base(g) + g["pad_projection"] + flats(g)) - 2 * g["post_section"],
         "forgot the pads under the feet"),
        ("post length",
         lambda g: ROOT3 * (base(g) + g["top_thickness"] + flats(g)) - 2 * g["post_section"],
         "forgot the thickness of the top"),
        ("post length", lambda g: ROOT3 * (base(g) + flats(g)),
         "forgot what the section of the posts adds at their ends"),
        # cos 35.26° is √(2/3): the lean taken from the floor.
        ("post length",
         lambda g: (base(g) + flats(g) - 2 * g["post_section"] / ROOT3) / math.sqrt(2 / 3),
         "lean from the floor"),
        ("height",
         lambda g: (g["post_length"] + 2 * g["post_section"]) / ROOT3 - flats(g)
         + g["top_thickness"], "forgot the pads under the feet"),
        ("height change", lambda g: (g["table_height"] - g["table_height_after"]) / ROOT3,
         "slope upside down"),
        ("height change", lambda g: g["table_height"] - g["table_height_after"],
         "answered table height"),
        ("offset", lambda g: g["notch_depth"], "answered notch depth"),
        ("let-in", lambda g: g["axis_offset"], "answered axis offset"),
        ("flat depth", lambda g: g["foot_flat"] / math.sqrt(2) / 2,
         "foot flat: radius for diameter"),
        ("tipping load",
         lambda g: g["total_mass"] * 9.80665 * g["foot_radius"] / 2
         / (g["top_diameter"] - g["foot_radius"] / 2), "top diameter: diameter for radius"),
        ("tipping load",
         lambda g: g["total_mass"] * g["foot_radius"] / 2
         / (g["top_diameter"] / 2 - g["foot_radius"] / 2), "mass for weight"),
        ("overhang", lambda g: g["top_diameter"] - g["head_radius"],
         "top diameter: diameter for radius"),
        # On so gentle a slope the sine and the tangent of its angle are the same to 1 in 1000.
        ("tilt", lambda g: g["top_diameter"] * g["head_height_1"] / g["head_radius"],
         "falls over the radius"),
        ("tilt", lambda g: g["top_diameter"] / 2 * g["head_height_1"] / (1.5 * g["head_radius"]),
         "top diameter: radius for diameter"),
        ("tilt", lambda g: g["head_height_1"], "answered head height 1"),
        ("trammel", lambda g: g["top_diameter"] / 2, "answered trammel radius"),
        ("top movement",
         lambda g: g["top_diameter"] * g["movement_coefficient"] * g["dampest_moisture"],
         "forgot the moisture that the wood has in winter"),
        ("moisture", lambda g: g["shop_humidity"], "answered shop humidity"),
    ],
)  # fmt: skip
def test_mistakes_worked_by_hand(kind, number, name) -> None:
    assert answered(kind, number) == name


def test_the_side_of_the_cutter() -> None:
    one = next(e for e in some("trammel", 40) if e.asked.name == "pivot_to_far_side")
    middle = (one.givens["top_diameter"] + one.givens["cutter_diameter"]) / 2
    verdict = check(one, written(one, middle))
    assert verdict.mistake is not None and verdict.mistake.name == "answered trammel centre"


def test_slips_of_unit_and_decimal_point() -> None:
    one = exercise("post length", 2)
    digits = f"{one.answer:.1f}"
    names = [
        check(one, text).mistake.name
        for text in (
            f"{digits} in", f"{one.answer / 25.4:.3f} mm",
            f"{one.answer / 10:.2f} mm", f"{one.answer * 10:.0f} mm",
        )
    ]  # fmt: skip
    assert names == [
        "inches for millimetres", "millimetres for inches", "decimal point to the left",
        "decimal point to the right",
    ]  # fmt: skip


@each_kind
def test_mistakes_are_put_kindly_in_one_sentence(kind: str) -> None:
    for mistake in mistakes_of(exercise(kind, 1)):
        assert re.fullmatch(r"[^.!?]*(?:\d\.\d[^.!?]*)*\.", mistake.words), mistake.words
        assert mistake.words[0].islower() or mistake.words.startswith("the")
        assert not re.search(r"silly|stupid|careless|obvious|simply", mistake.words)


def test_names_of_mistakes_differ_within_a_question() -> None:
    for kind in KINDS:
        names = [one.name for one in mistakes_of(exercise(kind, 1))]
        assert len(names) == len(set(names))


# -- hints ----------------------------------------------------------------------------------------


@each_kind
def test_hints_keep_the_answer_to_the_last(kind: str) -> None:
    for one in some(kind, 4):
        *before, last = lines(one)
        count = hint_count(one)
        assert [hint(one, n) for n in range(1, count + 1)] == [*before, last]
        assert hint(one, count + 5) == last
        six = figures_text(one.answer, one.unit, one.style)
        assert six in last or one.answer_text in last
        if not one.asked.whole:
            pattern = rf"(?<![0-9.]){re.escape(six)}(?![0-9])"
            assert not any(re.search(pattern, line) for line in before)
        assert all(not line.endswith(f"{one.asked.letter} = {six}") for line in before)
        assert len(before) >= 2 and all(line.strip() == line and line for line in before)
        assert short_working(one)


def test_hints_are_counted_from_one() -> None:
    with pytest.raises(ValueError, match="numbered from 1"):
        hint(exercise("lean", 1), 0)
