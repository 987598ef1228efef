"""What else meets what is given is told of beside the answer. All networks here are invented."""

from __future__ import annotations

import json
from itertools import permutations

import pytest

from tablekit.engine.network import Network, is_searched
from tablekit.engine.relation import assume
from tests.engine.small_networks import INVENTED, network, quantities, relation


def three_from_their_sums() -> Network:
    """x, y and z from their sum, the sum of their products in pairs, and their product."""
    of_q = quantities("x y z total pairs product", 0.1, 100)
    x, y, z, total, pairs, product = (q.symbol for q in of_q)
    return network(
        of_q,
        [
            relation("total", total, x + y + z),
            relation("pairs", pairs, x * y + y * z + z * x),
            relation("product", product, x * y * z),
        ],
    )


def test_all_answers_of_a_loop_with_two_values_tried_are_listed() -> None:
    # Viète: the three are the roots of t³ − 6t² + 11t − 6 = (t − 1)(t − 2)(t − 3), in any order.
    of = three_from_their_sums()
    sheet = of.solve({"total": 6, "pairs": 11, "product": 6})
    assert is_searched(sheet.plan)
    here = tuple(sheet.number(name) for name in "xyz")
    assert sorted(here) == pytest.approx([1, 2, 3])
    told = {n: sheet.alternatives[n] for n in "xyz" if n in sheet.alternatives}
    # Every other order differs from this one in the first value, or in the second alone.
    for other in permutations((1, 2, 3)):
        apart = [
            n
            for n, a, b in zip("xyz", here, other, strict=True)
            if b != pytest.approx(a) and any(v == pytest.approx(b) for v in told.get(n, ()))
        ]
        assert apart or other == pytest.approx(here)


def two_assumed(low: float) -> Network:
    """A whole of two parts, each taken to be 5 and usually between `low` and 9."""
    of_q = quantities("first second whole_of_both", 0.1, 100)
    first, second, both = (q.symbol for q in of_q)
    return network(
        of_q,
        [relation("both", both, first + second)],
        [
            assume(of_q[0], 5, "Invented.", INVENTED, usual=(low, 6), usual_source=INVENTED),
            assume(of_q[1], 5, "Invented.", INVENTED, usual=(low, 9), usual_source=INVENTED),
        ],
    )


def test_what_gave_way_may_be_kept_and_something_else_gives_way() -> None:
    sheet = two_assumed(3).solve({"whole_of_both": 11})
    assert (sheet.number("first"), sheet.number("second")) == pytest.approx((5, 6))
    (other,) = sheet.kept_instead["second"]
    assert (other.name, other.usual, other.now) == ("first", pytest.approx(5), pytest.approx(6))
    assert sheet.gave_way_said == (
        "To keep whole of both 11, the second is 6 instead of 5.",
        "Or give second as 5; then the first is 6, not the usual 5.",
    )
    (told,) = json.loads(json.dumps(sheet.to_json()))["gave_way"]
    assert told["instead"] == [{"name": "first", "usual": 5.0, "now": 6.0}]


def test_what_would_be_unusual_is_not_offered_instead() -> None:
    sheet = two_assumed(3).solve({"whole_of_both": 12})  # with 5 the first would be 7, not up to 6
    assert sheet.number("second") == pytest.approx(7)
    assert sheet.kept_instead == {} and len(sheet.gave_way_said) == 1


def test_others_are_not_looked_for_while_an_answer_is_followed() -> None:
    of = two_assumed(3)
    before = of.solve({"whole_of_both": 11})
    assert of.solve({"whole_of_both": 11}, near=before).kept_instead == {}
