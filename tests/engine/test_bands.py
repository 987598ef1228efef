"""Usual bands, and what is said of an assumption that gave way. All networks here are invented."""

from __future__ import annotations

import math

import pytest
import sympy as sp

from tablekit.engine import bands
from tablekit.engine.bands import GaveWay
from tablekit.engine.network import Network
from tablekit.engine.relation import Assumption, assume
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import Contradiction, RelationError
from tablekit.engine.units import ShopStyle
from tests.engine.small_networks import INVENTED, network, quantities, quantity, relation

LENGTH = quantity("long_side", 1, 900, "mm")
WIDTH = quantity("short_side", 1, 900, "mm")
AROUND = quantity("way_around", 4, 4000, "mm")
HALF = quantity("half_way", 2, 2000, "mm")
l, w, r, h = (q.symbol for q in (LENGTH, WIDTH, AROUND, HALF))  # noqa: E741
ASSUMED_WIDTH = 100.0


def width(**how: object) -> Assumption:
    return assume(WIDTH, ASSUMED_WIDTH / 1000, "Invented.", INVENTED, **how)  # type: ignore[arg-type]


def rectangle(*assumptions: Assumption) -> Network:
    """Twice the long and the short side are the way around, which is twice half of it."""
    return network(
        [LENGTH, WIDTH, AROUND, HALF],
        [relation("around", r, 2 * l + 2 * w), relation("half", h, r / 2)],
        assumptions or [width(usual=(50, 200))],
    )


def solved(of: Network, **givens: float) -> Sheet:
    """The sheet of what the plan finds, also where `solve` would refuse it as unusual."""
    plan = of.plan(givens)
    outcome = plan.program.run({n: of.quantities[n].to_si(v) for n, v in givens.items()})
    assert not outcome.problems and not plan.free
    return Sheet(plan, givens, outcome)


def test_beyond_the_band_it_is_refused_and_the_unusual_shape_offered() -> None:
    # By hand: half of 1800 mm less 300 mm is 600 mm, beyond the usual 50 to 200 mm.
    with pytest.raises(Contradiction, match=r"short_side 600 mm instead of 100 mm.*50 mm to 200"):
        rectangle(width(usual=(50, 200))).solve({"long_side": 300, "way_around": 1800})


# -- what is declared --------------------------------------------------------------------------


def test_a_band_of_numbers_is_in_the_reporting_unit() -> None:
    assert width(usual=(50, 200)).band(0.1) == pytest.approx((0.05, 0.2))


def test_a_band_of_shares_goes_with_what_is_assumed() -> None:
    third = assume(WIDTH, l / 3, "Invented.", INVENTED, usual_share=(0.5, 2))
    assert third.band(0.3) == pytest.approx((0.15, 0.6))


def test_without_a_band_the_whole_range_is_usual() -> None:
    assert width().band(0.1) == pytest.approx((0.001, 0.9))


def test_where_no_other_value_holds_the_band_is_that_value() -> None:
    assert width(only=True).band(0.1) == (0.1, 0.1)


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({"usual": (200, 50)}, "empty or leaves the range"),
        ({"usual": (50, 50)}, "empty or leaves the range"),
        ({"usual": (50, 950)}, "leaves the range of short_side"),
        ({"usual": (0.5, 200)}, "leaves the range of short_side"),
        ({"usual": (110, 200)}, "without the 100 that is assumed"),
        ({"usual": (50, 90)}, "without the 100 that is assumed"),
        ({"usual_share": (0.5, 2)}, "goes with a rule"),
        ({"usual": (50, 200), "usual_share": (0.5, 2)}, "both set"),
        ({"usual": (50, 200), "only": True}, "no other value holds"),
    ],
)
def test_a_band_that_cannot_be_is_refused_when_it_is_declared(how: dict, told: str) -> None:
    with pytest.raises(RelationError, match=told) as caught:
        width(**how)
    assert caught.value.relation == "assumed short_side"


@pytest.mark.parametrize("share", [(1.1, 2), (0.5, 0.9), (-1, 2)])
def test_a_band_of_shares_without_one_is_refused(share: tuple[float, float]) -> None:
    with pytest.raises(RelationError, match="is without 1"):
        assume(WIDTH, l / 3, "Invented.", INVENTED, usual_share=share)


def test_a_band_of_numbers_for_a_rule_is_refused() -> None:
    with pytest.raises(RelationError, match="give a rule its usual_share"):
        assume(WIDTH, l / 3, "Invented.", INVENTED, usual=(50, 200))


# -- what gave way -----------------------------------------------------------------------------


def test_nothing_gave_way_where_the_assumption_holds() -> None:
    assert solved(rectangle(), long_side=300).gave_way == ()


def test_what_gave_way_is_told_with_its_reasons() -> None:
    # By hand: half of 1000 is 500, less 300 leaves 200.
    (told,) = solved(rectangle(), long_side=300, way_around=1000).gave_way
    assert told == GaveWay(
        "short_side", pytest.approx(100), pytest.approx(200), pytest.approx((50, 200)),
        ("long_side", "way_around"), True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("around", "within"),
    # By hand: the short side is around/2 - 300. The band is 50 to 200, its ends counted in.
    [(700, True), (699, False), (1000, True), (1001, False), (1600, False)],
)
def test_within_ends_with_the_band(around: float, within: bool) -> None:
    sheet = solved(rectangle(), long_side=300, way_around=around)
    (told,) = sheet.gave_way
    assert told.within is within
    assert bands.outside(sheet.plan, sheet.si) == ([] if within else [told])


def test_what_is_given_for_the_quantity_itself_did_not_give_way() -> None:
    for givens in (
        {"long_side": 300, "short_side": 600},
        {"way_around": 1400, "short_side": 600},
        # Given besides, though the others settle it.
        {"long_side": 100, "way_around": 1400, "short_side": 600},
    ):
        sheet = solved(rectangle(), **givens)
        assert (sheet.gave_way, bands.outside(sheet.plan, sheet.si)) == ((), [])


def test_the_same_value_by_another_road_did_not_give_way() -> None:
    assert solved(rectangle(), long_side=300, way_around=800).gave_way == ()
    # A ten-millionth of it off is the same; a hundred-thousandth is not.
    assert solved(rectangle(), long_side=300, way_around=800 + 2e-5).gave_way == ()
    assert len(solved(rectangle(), long_side=300, way_around=800 + 2e-3).gave_way) == 1


def test_near_zero_the_range_says_what_is_the_same() -> None:
    A, B, C = quantities("a b c", 0, 1000)
    of = network(
        [A, B, C],
        [relation("sum", C.symbol, A.symbol + B.symbol)],
        [assume(B, 0, "Invented.", INVENTED, usual=(0, 5))],
    )
    assert solved(of, a=0.3, c=0.3 + 1e-12).gave_way == ()
    (told,) = solved(of, a=1, c=4).gave_way
    assert (told.usual, told.now, told.within) == (0, pytest.approx(3), True)


def test_a_rule_is_evaluated_in_the_design_at_hand() -> None:
    of = rectangle(assume(WIDTH, l / 3, "Invented.", INVENTED, usual_share=(0.5, 2)))
    (told,) = solved(of, long_side=300, way_around=1000).gave_way
    assert (told.usual, told.now) == (pytest.approx(100), pytest.approx(200))
    assert told.band == pytest.approx((50, 200))
    assert told.within  # twice the share, which is the end of the band
    (told,) = solved(of, long_side=300, way_around=1002).gave_way
    assert not told.within


def test_a_rule_may_be_a_least_of_two_and_mention_a_sought_value() -> None:
    of = rectangle(
        assume(WIDTH, sp.Min(l / 3, r / 20), "Invented.", INVENTED, usual_share=(0.1, 10))
    )
    (told,) = solved(of, long_side=300, half_way=500).gave_way
    # By hand: 300/3 = 100, but 1000/20 = 50 is less.
    assert (told.usual, told.now) == (pytest.approx(50), pytest.approx(200))
    assert told.because == ("long_side", "half_way")


def test_a_rule_without_a_value_is_passed_over() -> None:
    below = sp.sqrt(l - r / 2) * sp.sqrt(l)
    of = rectangle(assume(WIDTH, below, "Invented.", INVENTED, usual_share=(0.5, 2)))
    sheet = solved(of, long_side=300, way_around=1000)  # the root of less than nothing
    assert sheet.gave_way == ()


def test_a_value_that_is_missing_is_passed_over() -> None:
    plan = rectangle().plan(["long_side", "way_around"])
    assert bands.gave_way(plan, {"long_side": 0.3, "way_around": 1.0}) == ()
    nan = {"long_side": 0.3, "way_around": 1.0, "short_side": math.nan}
    assert bands.gave_way(plan, nan) == ()


def test_a_name_that_says_the_same_counts_as_the_quantity_itself() -> None:
    said = rectangle(width(usual=(50, 200), stated_by=("half_way",)))
    assert solved(said, long_side=300, half_way=900).gave_way == ()
    # Only where the value follows from that name.
    (told,) = solved(said, long_side=300, way_around=1800).gave_way
    assert not told.within


def test_a_given_that_says_what_would_be_assumed_is_no_reason() -> None:
    length = assume(LENGTH, 0.3, "Invented.", INVENTED)
    of = rectangle(length, width(usual=(50, 200)))
    (told,) = solved(of, way_around=1000).gave_way
    assert (told.now, told.because) == (pytest.approx(200), ("way_around",))
    (told,) = solved(of, way_around=1000, long_side=300).gave_way
    assert told.because == ("way_around",)
    (told,) = solved(of, way_around=1000, long_side=320).gave_way
    assert told.because == ("long_side", "way_around")


def test_a_given_without_which_the_other_would_give_way_is_a_reason_whatever_it_says() -> None:
    # The long side gives way first: given as it would be assumed, it passes that on to the short.
    length = assume(LENGTH, 0.3, "Invented.", INVENTED)
    of = rectangle(width(usual=(50, 200)), length)
    (told,) = solved(of, way_around=1000, long_side=300).gave_way
    assert (told.name, told.because) == ("short_side", ("long_side", "way_around"))


def test_only_what_a_value_rests_on_is_a_reason() -> None:
    A, B, C, D = quantities("a b c d")
    of = network(
        [A, B, C, D],
        [relation("twice", C.symbol, 2 * B.symbol)],
        [assume(B, 1, "Invented.", INVENTED)],
    )
    (told,) = solved(of, a=3, c=4, d=5).gave_way
    assert (told.now, told.because) == (2, ("c",))


def test_where_no_other_value_holds_any_other_is_outside() -> None:
    (told,) = solved(rectangle(width(only=True)), long_side=300, way_around=801).gave_way
    assert not told.within


# -- in words ----------------------------------------------------------------------------------


def plain(texts: tuple[str, ...]) -> list[str]:
    return [text.replace("\u00a0", " ") for text in texts]


def test_the_sentence() -> None:
    sheet = solved(rectangle(), long_side=300, way_around=1000)
    assert plain(sheet.gave_way_said) == [
        "To keep long side 300 mm with way around 1000 mm, the short side is 200 mm instead of "
        "100 mm."
    ]


def test_the_sentence_in_the_words_of_the_assumption_and_in_inches() -> None:
    of = rectangle(width(says="it is {} across"))
    sheet = of.solve({"long_side": 254, "way_around": 609.6}, shop=ShopStyle(display="in"))
    # By hand: 24/2 - 10 = 2 in; 100 mm are 3 15/16 in to a thirty-second.
    assert plain(sheet.gave_way_said) == [
        "To keep long side 10 in with way around 24 in, it is 2 in across instead of 3 15/16 in."
    ]
    assert "3\u00a015/16\u00a0in" in sheet.gave_way_said[0]  # never broken over a line


def test_a_difference_that_would_not_show_is_told_finer() -> None:
    sheet = solved(rectangle(), long_side=300, way_around=800.02)
    assert "is 100.01 mm instead of 100 mm" in plain(sheet.gave_way_said)[0]


def test_what_has_one_reason_is_one_sentence() -> None:
    A, B, C = quantities("a b c")
    of = network(
        [A, B, C],
        [relation("twice", B.symbol, 2 * A.symbol), relation("more", C.symbol, B.symbol + 1)],
        [assume(A, 5, "Invented.", INVENTED)],
    )
    assert solved(of, c=4).gave_way_said == ("To keep c 4, the a is 1.5 instead of 5.",)
    of = network(
        [A, B, C, *quantities("d")],
        [relation("twice", C.symbol, 2 * A.symbol), relation("more", C.symbol, 4 * B.symbol)],
        [assume(A, 5, "Invented.", INVENTED), assume(B, 7, "Invented.", INVENTED)],
    )
    # With nothing else given, the first of the two assumptions settles the other.
    sheet = solved(of, c=4, d=1)
    assert [one.because for one in sheet.gave_way] == [("c",), ("c",)]
    assert sheet.gave_way_said == (
        "To keep c 4, the a is 2 instead of 5 and the b is 1 instead of 7.",
    )


def test_nothing_gave_way_nothing_is_said() -> None:
    assert solved(rectangle(), long_side=300).gave_way_said == ()


# -- as data -----------------------------------------------------------------------------------


def test_json_has_what_gave_way() -> None:
    data = solved(rectangle(), long_side=300, way_around=1000).to_json()
    assert data["gave_way"] == [
        {
            "name": "short_side",
            "usual": 100.0,
            "now": 200.0,
            "because": ["long_side", "way_around"],
            "instead": [],
        }
    ]
    assert solved(rectangle(), long_side=300).to_json()["gave_way"] == []
