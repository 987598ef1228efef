"""Answers: right, badly rounded or wrong, and which mistake they look like."""

from __future__ import annotations

import math
import re

import pytest

from tablekit.engine.shop import figures_text
from tablekit.engine.units import half_last_figure
from tablekit.teaching.checking import (
    check,
    lost_figures,
    own_slips,
    read_answer,
    slips_of,
)
from tablekit.teaching.exercises import exercise
from tablekit.teaching.kinds import KINDS
from tablekit.teaching.question import Exercise, hint, hint_count, lines, short_working

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


@pytest.mark.parametrize(
    "form",
    ["L = {0:.1f} mm", "{0:.1f}mm", "x = ≈ {0:.1f} mm", "+{0:.1f} mm", "{0:.1f} mm.", "{1} mm",
     "L = √3 × 700 = {0:.1f} mm", "√3 × {2:.4f} mm", "{2:.4f}√3 mm", "sqrt(3)*{2:.4f} mm",
     "{0:.1f} * 1 mm"],
)  # fmt: skip
def test_a_length_as_pupils_write_it(form: str) -> None:
    one = exercise("post length", 4)
    comma = f"{one.answer:.1f}".replace(".", ",")
    verdict = check(one, form.format(one.answer, comma, one.answer / math.sqrt(3)))
    assert verdict.right, verdict.message


@pytest.mark.parametrize(
    ("text", "number"),
    [("√3/2", math.sqrt(3) / 2), ("1/√3", 1 / math.sqrt(3)), ("2√3/3", 2 / math.sqrt(3)),
     ("-√3/2", -math.sqrt(3) / 2), ("3 − √2", 3 - math.sqrt(2)), ("(1+√5)/2", 1.618033988749895),
     ("2^3", 8.0), ("sin 30°", None), ("1,5", 1.5), ("k = 12,25", 12.25)],
)  # fmt: skip
def test_numbers_as_pupils_write_them(text: str, number: float | None) -> None:
    answer = read_answer(exercise("wood to buy", 2, "in"), text)
    if number is None:
        assert answer.unread == "unreadable"
    else:
        assert answer.number == pytest.approx(number, rel=1e-10)


def test_per_cent_may_be_a_share_and_is_told_so() -> None:
    one = exercise("moisture", 2)
    with_sign = check(one, f"{one.answer:.2f} %")
    assert with_sign.right and "share" not in with_sign.message
    share = check(one, f"{one.answer / 100:.4f}")
    assert share.right and f"is a share; as a percentage it is {one.answer:.2f}" in share.message
    bare = check(one, f"{one.answer:.2f}")
    assert bare.right and "Write the sign" in bare.message
    both = check(one, f"{one.answer / 100:.5f} %")
    assert both.mistake is not None and both.mistake.name == "share written as per cent"


def test_a_bare_fraction_is_in_inches_in_a_class_that_works_in_them() -> None:
    inch, metric = exercise("post length", 4, "in"), exercise("post length", 4)
    text = inch.shop_answer.removesuffix(" in")
    assert "/" in text
    assert check(inch, text).right and "Write the unit" in check(inch, text).message
    assert check(metric, text).outcome == "no unit"


def test_a_comma_before_three_figures_is_read_as_it_must_be_meant() -> None:
    one = exercise("post length", 4)
    whole = f"{round(one.answer)}"
    verdict = check(one, f"{whole[0]},{whole[1:]} mm")
    assert verdict.right and "comma may mean" in verdict.message


def test_wood_in_litres_board_feet_and_cubic_inches() -> None:
    metric, inch = exercise("wood to buy", 4), exercise("wood to buy", 4, "in")
    assert check(metric, f"{metric.answer * 1000:.2f} litres").right
    assert check(metric, f"{metric.answer / 0.002359737216:.3f} board feet").right  # 144 in³
    assert check(inch, f"{inch.answer * 2.359737216:.3f} l").right
    assert check(inch, f"{inch.answer * 144:.1f} in^3").right


def test_a_change_may_have_its_sign() -> None:
    one = exercise("height change", 4)
    assert check(one, f"−{one.answer:.1f} mm").right and check(one, f"{one.answer:.1f} mm").right


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
    assert verdict.outcome == "rounded" and "too coarse" in verdict.message
    assert "0.5 mm" in verdict.message


def test_a_near_answer_that_no_known_way_leads_to_is_said_to_be_near_and_no_more() -> None:
    """Nothing is said of a working that nobody has seen."""
    one = exercise("post length", 4)
    near = check(one, written(one, one.answer + 2.3 * one.tolerance))
    assert near.outcome == "close" and not near.right and near.mistake is None
    assert "working seems right" not in near.message


@each_kind
def test_figures_are_said_to_be_lost_only_where_losing_them_gives_the_number(kind: str) -> None:
    for one in some(kind, 12):
        for words, number in lost_figures(one):
            verdict = check(one, written(one, number))
            if "the right working gives" in verdict.message:
                # Said of the words that lead to this number, or of others that do. A length that
                # ends in .5 mm was read to half a millimetre.
                finely = 4e-5 * abs(number) + half_last_figure(written(one, number), one.unit)
                finely = max(finely, 0.25) if one.unit == "mm" else finely
                same = [w for w, n in lost_figures(one) if w in verdict.message
                        and abs(n - number) <= finely]  # fmt: skip
                assert same, (words, verdict.message)


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
        mistaken = [slip.number for slip in slips_of(one)]
        number = next(
            number for number in (one.answer * factor for factor in (1.2345, 1.137, 1.319, 1.71))
            if all(abs(m - number) > 3 * one.tolerance for m in mistaken)
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
        ("clamps", "7 mm", "other unit", "is a length"),
        ("post length", "", "unreadable", "not a quantity"),
        ("post length", "about a metre", "unreadable", "not a quantity"),
        ("post length", "1,1,5 mm", "unreadable", "comma"),
        ("post length", "1/2√3 mm", "unreadable", "brackets"),
        ("post length", "1130 +- 10 mm", "unreadable", "two signs"),
        ("post length", "1130 +/- 10 mm", "unreadable", "where a number should"),
        ("post length", "√3 × q mm", "unreadable", "no calculation"),
        ("post length", "__import__('os')", "unreadable", "no place in a calculation"),
        ("post length", "12 / 0 in", "unreadable", "over nothing"),
        ("post length", "9" * 500, "unreadable", "too long"),
    ],
)
def test_an_answer_that_cannot_be_taken_is_told_why(kind, text, outcome, said) -> None:
    one = exercise(kind, 1)
    verdict = check(one, text)
    assert verdict.outcome == outcome and said in verdict.message
    assert not verdict.right and verdict.number is None and not verdict.message.endswith("..")


def test_a_negative_number_is_read_and_told() -> None:
    assert check(exercise("overhang", 1), "-41.3 mm").outcome == "wrong"
    length = check(exercise("post length", 1), "-1153 mm")
    assert length.outcome == "wrong" and "cannot be negative" in length.message


# -- mistakes -------------------------------------------------------------------------------------


@each_kind
def test_each_known_mistake_is_named_and_never_called_near(kind: str) -> None:
    for one in some(kind, 24):
        for slip in slips_of(one):
            text = written(one, slip.number)
            verdict = check(one, text)
            if one.asked.whole:
                # A small count comes out of many ways, so that it is looked into and not told.
                assert verdict.outcome in ("right", "wrong", "mistake"), verdict.message
                continue
            if one.near_right(slip.number):  # of a slip of unit, such as ten times nothing
                continue
            assert verdict.outcome == "mistake", (one.seed, slip.mistake.name, verdict.message)
            assert (
                slip.mistake.words in [named.words for named in verdict.possible]
                or len(verdict.possible) == 4
            ), (one.seed, slip.mistake.name)


@each_kind
def test_no_mistake_of_the_question_comes_near_the_right_answer(kind: str) -> None:
    for one in some(kind, 40):
        if not one.asked.whole:
            off = [abs(slip.number - one.answer) / one.tolerance for slip in own_slips(one)]
            assert min(off) > 1.4, one.seed


def test_two_mistakes_that_give_one_number_are_both_named() -> None:
    # Room on one side only, and half the distance: both leave d + y C Δ.
    one = exercise("slot length", 2)
    g = one.givens
    down, up = g["shop_moisture"] - g["driest_moisture"], g["dampest_moisture"] - g["shop_moisture"]
    number = g["screw_shank"] + g["plate_across"] * g["movement_coefficient"] * max(up, down)
    verdict = check(one, f"{number:.2f} mm")
    assert {"one side", "plate across: radius for diameter"} <= {m.name for m in verdict.possible}
    assert "More than one mistake" in verdict.message
    assert all(named.words.rstrip(".") in verdict.message for named in verdict.possible)


def test_a_diagnosis_shows_its_calculation() -> None:
    one = exercise("post length", 2)
    g = {name: f"{number:.6g}" for name, number in one.givens.items()}
    number = (
        ROOT3 * (base(one.givens) + flats(one.givens) + one.givens["pad_projection"])
        - 2 * one.givens["post_section"]
    )
    said = check(one, f"{number:.1f} mm").message
    assert (
        f"√3 × ({g['table_height']} − {g['top_thickness']} + {g['foot_flat_depth']} + "
        f"{g['head_flat_depth']}) − 2 × {g['post_section']} = {number:.1f} mm"
    ) in said


def test_a_whole_number_of_millimetres_is_matched_more_widely_than_one_with_a_decimal() -> None:
    one = exercise("post length", 2)
    number = ROOT3 * base(one.givens) - 2 * one.givens["post_section"]
    off = number + (0.4 if number % 1 < 0.5 else -0.4)
    assert check(one, f"{off:.1f} mm").outcome == "wrong"
    assert check(one, f"{number:.0f} mm").outcome == "mistake"


def test_any_usual_g_is_right() -> None:
    one = exercise("tipping load", 4)
    for g in (9.80665, 9.81, 9.8, 10):  # 9.80665 m/s²: ISO 80000-3
        assert check(one, f"{one.answer / 9.80665 * g:.1f} N").right
    assert not check(one, f"{one.answer / 9.80665 * 9.5:.1f} N").right


def test_a_calculator_set_to_radians() -> None:
    one = exercise("post length", 2)
    g = one.givens
    cosine = math.cos(54.7356)  # of so many radians
    height = base(g) + flats(g)
    number = (height - 2 * g["post_section"] * cosine) / cosine
    assert number < 0
    verdict = check(one, f"{number:.1f} mm")
    assert verdict.mistake is not None and verdict.mistake.name == "degrees as radians"


def answered(kind: str, number, display="mm", seed=2) -> set[str]:
    """The names of the mistakes that a number worked by hand looks like."""
    one = exercise(kind, seed, display)
    value = number(one.givens)
    verdict = check(one, written(one, value))
    return {mistake.name for mistake in verdict.possible} or {verdict.outcome}


ROOT3 = math.sqrt(3)
LEAN = math.asin(math.sqrt(2 / 3))  # of the square crossing, from plumb


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
        ("let-in", lambda g: g["post_section"] / 2 - g["axis_offset"],
         "half the section forgotten"),
        ("flat depth", lambda g: g["foot_flat"] * math.sqrt(2), "× for ÷ √2"),
        ("post length",
         lambda g: ROOT3 * (base(g) + g["foot_flat_depth"]) - 2 * g["post_section"],
         "forgot the flat of a head"),
        ("post length", lambda g: ROOT3 * (base(g) - flats(g)) - 2 * g["post_section"],
         "sign of the depth of the flats"),
        ("post length",
         lambda g: (base(g) + flats(g) - 2 * g["post_section"] * math.sin(LEAN)) / math.sin(LEAN),
         "sine for cosine"),
        ("post length",
         lambda g: (base(g) + flats(g) - 2 * g["post_section"] * math.sin(LEAN)) / math.cos(LEAN),
         "sine for cosine in one place"),
        ("height", lambda g: (g["post_length"] + g["post_section"]) / ROOT3 - flats(g)
         + g["pad_projection"] + g["top_thickness"], "section at one end"),
        ("overhang", lambda g: g["top_diameter"] / 4 - g["head_radius"] / 2, "halved twice"),
        ("tipping load",
         lambda g: g["total_mass"] * 9.80665 * (g["top_diameter"] / 2 - g["foot_radius"] / 2)
         / (g["foot_radius"] / 2), "levers swapped"),
        ("tipping push", lambda g: g["total_mass"] * 9.80665 * g["table_height"]
         / g["tipping_arm"], "levers swapped"),
        ("sight line", lambda g: math.degrees(math.atan2(
            math.tan(math.radians(g["leg_rake"])), math.tan(math.radians(g["leg_splay"])))),
         "wrong axis"),
    ],
)  # fmt: skip
def test_mistakes_worked_by_hand(kind, number, name) -> None:
    assert name in answered(kind, number)


def test_the_radius_of_the_cutter_taken_away() -> None:
    one = exercise("trammel", 2)
    number = (one.givens["top_diameter"] - one.givens["cutter_diameter"]) / 2
    assert "cutter's radius subtracted" in {m.name for m in check(one, f"{number} mm").possible}


def test_the_middle_of_two_rows_is_told_as_that() -> None:
    one = exercise("moisture", 2)
    rows = [float(text) for text in re.findall(r"([0-9.]+)\s%\sat", one.question)]
    below = int(one.givens["shop_humidity"] // 10) - 3  # the rows begin at 30 %
    number = (rows[below] + rows[below + 1]) / 2
    verdict = check(one, f"{number:.2f} %")
    assert "midpoint" in {mistake.name for mistake in verdict.possible}


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
    for mistake in (slip.mistake for slip in slips_of(exercise(kind, 1))):
        assert re.fullmatch(r"[^.!?]*(?:\d\.\d[^.!?]*)*\.", mistake.words), mistake.words
        assert mistake.words[0].islower() or mistake.words.startswith("the")
        assert not re.search(r"silly|stupid|careless|obvious|simply", mistake.words)


def test_names_of_mistakes_differ_within_a_question() -> None:
    for kind in KINDS:
        said: dict[str, str] = {}
        for mistake in (slip.mistake for slip in slips_of(exercise(kind, 1))):
            assert said.setdefault(mistake.name, mistake.words) == mistake.words, mistake.name


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


@each_kind
def test_every_number_that_the_last_hint_gives_is_right(kind: str) -> None:
    for one in some(kind, 24):
        last = lines(one)[-1]
        if one.formula is None or not one.formula.text:
            given = [one.answer_text, one.shop_answer]
        else:
            given = last.partition("= ")[2].rstrip(".").split(", marked as ")
        for text in given:
            verdict = check(one, text)
            assert verdict.right, (one.seed, text, verdict.message)


@each_kind
def test_a_hint_explains_every_letter_of_its_formula(kind: str) -> None:
    one = exercise(kind, 1)
    if one.formula is not None and one.formula.text:
        strategy, formula, numbers, _ = lines(one)
        assert "=" not in strategy and len(strategy) > 40
        line, _, where = formula.partition(", where ")
        for letter in set(re.findall(r"[^\W\d_²³]+(?:_\w+)?", line.partition("=")[2])):
            if letter not in ("sin", "cos", "tan"):
                assert f"{letter} is " in where, letter
        assert not re.search(r"[A-Za-z]_", numbers.partition("=")[2])


def test_hints_are_counted_from_one() -> None:
    with pytest.raises(ValueError, match="numbered from 1"):
        hint(exercise("lean", 1), 0)
