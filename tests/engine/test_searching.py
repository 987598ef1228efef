"""What the search rests on: roots from many starts, the explicit form, ranks, counts, branches."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.explicit import explicit_form
from tablekit.engine.relation import assume
from tablekit.engine.roots import polish, quasi_random
from tablekit.engine.search import search_of
from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven
from tablekit.relations import families
from tests.engine.small_networks import INVENTED, network, quantities, quantity, relation
from tests.referee.subjects import PIECES, Subject

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
SQUARE = 54.735610317245346

# -- roots from many starts ------------------------------------------------------------------------

Equations = Callable[[np.ndarray], np.ndarray]


def roots(equations: Equations, box: list[tuple[float, float]], starts: int = 200) -> np.ndarray:
    """Every point that the starts come to, each once."""
    low, high = map(np.array, zip(*box, strict=True))
    begin = low + quasi_random(starts, len(box)) * (high - low)
    points, size = polish(lambda x, which: equations(x), begin, low, high)
    return np.unique(np.round(points[size <= 1e-11], 5), axis=0)


def himmelblau_slopes(x: np.ndarray) -> np.ndarray:
    """Of (x² + y − 11)² + (x + y² − 7)², divided by its size over the box."""
    u, v = x.T
    first, second = u * u + v - 11, u + v * v - 7
    return np.stack([4 * u * first + 2 * second, 2 * first + 4 * v * second], axis=1) / 100


def test_the_nine_places_where_himmelblaus_function_is_level() -> None:
    """D. M. Himmelblau, Applied Nonlinear Programming (1972): four least values, four saddles, one
    greatest value (figures from memory)."""
    expected = [
        (3, 2), (-2.805118, 3.131313), (-3.779310, -3.283186), (3.584428, -1.848127),
        (-0.270845, -0.923039), (-3.073026, -0.081353), (0.086678, 2.884255),
        (3.385154, 0.073852), (-0.127961, -1.953715),
    ]  # fmt: skip
    found = roots(himmelblau_slopes, [(-5, 5), (-5, 5)])
    assert found == pytest.approx(np.array(sorted(expected)), abs=2e-5)


def test_the_four_roots_of_himmelblaus_equations() -> None:
    def equations(x: np.ndarray) -> np.ndarray:
        u, v = x.T
        return np.stack([(u * u + v - 11) / 30, (u + v * v - 7) / 30], axis=1)

    found = roots(equations, [(-5, 5), (-5, 5)])
    assert len(found) == 4 and found[-1] == pytest.approx([3.584428, -1.848127], abs=2e-5)


def test_rosenbrocks_valley_is_followed_to_its_end() -> None:
    """Problem 1 of J. J. Moré, B. S. Garbow, K. E. Hillstrom, ACM Trans. Math. Softw. 7 (1981)
    (from memory): 10 (y − x²) and 1 − x, from (−1.2, 1) to (1, 1)."""

    def equations(x: np.ndarray) -> np.ndarray:
        return np.stack([10 * (x[:, 1] - x[:, 0] ** 2), 1 - x[:, 0]], axis=1)

    low, high = np.array([-10.0, -10.0]), np.array([10.0, 10.0])
    points, size = polish(lambda x, which: equations(x), np.array([[-1.2, 1.0]]), low, high)
    assert size[0] <= 1e-12
    assert points[0] == pytest.approx([1, 1], abs=1e-11)


def test_powells_singular_function_is_closed_though_its_slopes_vanish() -> None:
    """Problem 13 of Moré, Garbow, Hillstrom (1981) (from memory), from (3, −1, 0, 1) to 0."""

    def equations(x: np.ndarray) -> np.ndarray:
        a, b, c, d = x.T
        return np.stack(
            [a + 10 * b, math.sqrt(5) * (c - d), (b - 2 * c) ** 2, math.sqrt(10) * (a - d) ** 2],
            axis=1,
        )

    low, high = np.full(4, -10.0), np.full(4, 10.0)
    points, size = polish(lambda x, which: equations(x), np.array([[3.0, -1, 0, 1]]), low, high)
    assert size[0] <= 1e-10
    assert points[0] == pytest.approx(np.zeros(4), abs=1e-4)


def test_of_fewer_equations_the_nearest_answer_is_taken() -> None:
    """x + 2 y + 2 z = 9 from the point (1, 1, 1): the foot of the perpendicular is (1, 1, 1) plus
    4/9 of (1, 2, 2), as a change of each unknown counts alike there."""

    def plane(x: np.ndarray) -> np.ndarray:
        return (x @ [1.0, 2.0, 2.0] - 9)[:, None] / 9

    low, high = np.full(3, -50.0), np.full(3, 50.0)
    points, size = polish(lambda x, which: plane(x), np.ones((1, 3)), low, high)
    assert size[0] <= 1e-12
    assert points[0] == pytest.approx([13 / 9, 17 / 9, 17 / 9], rel=1e-4)


def test_no_bound_is_left_and_the_rest_closes_the_gap() -> None:
    """x + y = 5 with x at most 1, from (0.5, 0.5): y must become 4."""
    low, high = np.array([0.0, 0.0]), np.array([1.0, 10.0])
    seen: list[np.ndarray] = []

    def total(x: np.ndarray, which: np.ndarray) -> np.ndarray:
        seen.append(x.copy())
        return (x.sum(axis=1) - 5)[:, None]

    points, size = polish(total, np.array([[0.5, 0.5], [0.9, 9.0]]), low, high)
    assert (size <= 1e-12).all() and points.sum(axis=1) == pytest.approx([5, 5])
    assert points[0] == pytest.approx([1, 4])
    asked = np.concatenate(seen)
    assert (asked >= low).all() and (asked <= high).all()


def test_a_point_without_a_real_value_is_no_root() -> None:
    points, size = polish(
        lambda x, which: np.sqrt(x - 5), np.array([[1.0], [7.0]]), np.zeros(1), np.full(1, 9.0)
    )
    assert size[0] == math.inf
    assert points[1] == pytest.approx([5], abs=1e-6)


# -- the explicit form -----------------------------------------------------------------------------


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.name)
def test_the_explicit_form_closes_every_equation(piece: Subject) -> None:
    """Values from the explicit form, put into the raw equations by sympy's own functions."""
    of = piece.network
    form, random = explicit_form(of), np.random.default_rng(5)
    references = search_of(of).references
    rows = random.choice(len(next(iter(references.values()))), 3, replace=False)
    sides = {}
    for one in (*of.relations, *of.assumptions):
        if not one.equation.has(sp.floor, sp.ceiling):
            arguments = sorted(one.equation.free_symbols, key=str)
            both = [one.equation.lhs, one.equation.rhs]
            sides[one.name] = arguments, sp.lambdify(arguments, both, "math")
    constants = {c.name: c.si for c in of.constants.values()}
    checked = 0
    for row in rows:
        values = form.evaluate({n: float(c[row]) for n, c in references.items()})
        for name, (arguments, function) in sides.items():
            at = [float({**values, **constants}[symbol.name]) for symbol in arguments]
            if not all(map(math.isfinite, at)):
                continue
            left, right = function(*at)
            size = max(map(abs, (left, right, *at)))
            assert left == pytest.approx(right, rel=1e-9, abs=1e-9 * size), name
            checked += 1
    assert checked > 3 * 100


# -- too little, by rank ---------------------------------------------------------------------------


def test_what_says_nothing_of_the_section_leaves_it_free() -> None:
    """A share of the section is none, and the side of a flat at the foot is cut on any section."""
    of = families.network("table")
    for more in ({"notch_depth_ratio": 0.45}, {"foot_flat": 25.0}):
        with pytest.raises(NotEnoughGiven) as caught:
            of.solve({"table_height": 735.0, "top_diameter": 920.0, **more})
        assert "post_section" in caught.value.free
        assert ("post_section",) in caught.value.settling


def test_a_double_root_is_an_answer_and_a_plateau_is_not() -> None:
    x, y, k = quantity("x", 0.1, 10), quantity("y", 0.1, 10), quantity("k", -100, 100)
    s, t = x.symbol, y.symbol
    fold = network([k, x], [relation("fold", (s - 3) ** 2 * (1 + s), k.symbol)])
    assert fold.solve({"k": 0.0}).number("x") == pytest.approx(3, abs=1e-4)
    plateau = network([k, x, y], [
        relation("least", sp.Min(s, 2), k.symbol), relation("other", t, s + k.symbol),
    ])  # fmt: skip
    with pytest.raises(NotEnoughGiven) as caught:
        plateau.solve({"k": 2.0})
    assert set(caught.value.free) == {"x", "y"}
    assert plateau.solve({"k": 1.5}).number("x") == pytest.approx(1.5)


# -- counts ----------------------------------------------------------------------------------------


def test_a_given_count_of_seats_leaves_a_range_of_diameters() -> None:
    """Each sitter takes 0.61 m of rim, as is assumed: four sit at π D from 4 · 0.61 m to, not
    quite, 5 · 0.61 m."""
    of = families.network("table")
    given = {"table_height": 735.0, "post_section": 64.0, "seats": 4.0}
    sheet = of.solve(given)
    (left,) = [one for one in sheet.open_ranges if one.name == "top_diameter"]
    assert left.count == "seats"
    assert left.low == pytest.approx(4 * 610 / math.pi, rel=1e-6)
    assert left.high == pytest.approx(5 * 610 / math.pi, rel=1e-6)
    # the roomy end: as if for 4.99 sitters
    assert left.taken == pytest.approx(4.99 * 610 / math.pi, rel=1e-6)
    (note,) = [note for note in sheet.notes if "leaves top_diameter open" in note]
    assert note.startswith("seats 4 leaves top_diameter open from 776.5 mm to 971 mm; 969 mm")


# -- branches --------------------------------------------------------------------------------------


def test_an_answer_moves_on_its_own_branch_and_is_told_where_that_ends() -> None:
    """x − x²/100 = k: x is 50 ∓ √(2500 − 100 k). The two meet at k = 25."""
    x, k = quantity("x", 0.0, 100), quantity("k", -10, 30)
    s = x.symbol
    of = network([k, x], [relation("loop", s - s**2 / 100 + 1e-9 * sp.sin(s), k.symbol)])
    low, high = 50 - math.sqrt(2500 - 100 * 9), 50 + math.sqrt(2500 - 100 * 9)
    assert sorted(of.solve({"k": 9.0}).alternatives["x"]) == pytest.approx([low, high], rel=1e-6)
    for sign, begin in ((-1, 1.0), (1, 99.0)):
        shown = of.solve({"k": begin - begin**2 / 100, "x": begin})
        shown = of.solve({"k": 0.99}, near=shown)
        for level in (5.0, 12.0, 20.0, 24.5):
            shown = of.solve({"k": level}, near=shown)
            by_hand = 50 + sign * math.sqrt(2500 - 100 * level)
            assert shown.number("x") == pytest.approx(by_hand, rel=1e-6)
            assert not any("goes no further" in note for note in shown.notes)


def test_it_is_told_where_a_branch_ends() -> None:
    """(x − 2)² = (x + 0.5) k has two answers; with x at most 4 the upper one ends where
    (4 − 2)² = 4.5 k, at k = 0.889."""
    x, k = quantity("x", 0.0, 4), quantity("k", 0.0, 30)
    s, t = x.symbol, k.symbol
    of = network([k, x], [relation("loop", (s - 2) ** 2 + sp.sin(s) * 1e-9, (s + 0.5) * t)])

    def upper(level: float) -> float:
        # x² − (4 + k) x + 4 − k/2 = 0
        return ((4 + level) + math.sqrt((4 + level) ** 2 - 4 * (4 - level / 2))) / 2

    first = of.solve({"k": 0.4})
    assert max(first.alternatives["x"]) == pytest.approx(upper(0.4), rel=1e-6)
    begin = upper(0.4)
    shown = of.solve({"k": 0.4}, near=of.solve({"k": (begin - 2) ** 2 / (begin + 0.5), "x": begin}))
    assert shown.number("x") == pytest.approx(begin, rel=1e-6)
    shown = of.solve({"k": 0.8}, near=shown)
    assert shown.number("x") == pytest.approx(upper(0.8), rel=1e-6)
    after = of.solve({"k": 1.2}, near=shown)
    assert after.number("x") < 2
    (note,) = [note for note in after.notes if "goes no further" in note]
    assert float(note.split(" k ")[1].split(";")[0].split()[0]) == pytest.approx(4 / 4.5, abs=2e-3)


# -- no exit but a DesignError
# -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("loaded_tipping_load", 400.0), ("inset_tipping_load", 410.0), ("trammel_radius", 300.0),
        ("overhang", -120.0), ("notch_floor_tilt", 0.0), ("head_reach", 410.0),
    ],
)  # fmt: skip
def test_whatever_is_given_is_answered_or_refused_in_words(name: str, number: float) -> None:
    of = families.network("table")
    try:
        sheet = of.solve({**TABLE, name: number})
    except DesignError as trouble:
        assert len(str(trouble)) > 20
    else:
        assert sheet.number(name) == pytest.approx(number, rel=1e-9, abs=1e-9)


def test_an_assumption_gives_way_within_its_band_and_no_further() -> None:
    """b = c − a is taken to be 5, usually 4 to 6."""
    of_q = quantities("a b c", 0.1, 100)
    a, b, c = (q.symbol for q in of_q)
    taken = assume(of_q[1], 5, "Invented.", INVENTED, usual=(4, 6), usual_source=INVENTED)
    of = network(of_q, [relation("sum", a + b, c)], [taken])
    sheet = of.solve({"a": 8.0, "c": 12.5})
    assert sheet.number("b") == pytest.approx(4.5)
    (one,) = sheet.gave_way
    assert (one.name, one.because, one.within) == ("b", ("a", "c"), True)
    assert (one.usual, one.now) == pytest.approx((5, 4.5))
    with pytest.raises(Contradiction) as caught:
        of.solve({"a": 8.0, "c": 10.0})
    assert "b 2 instead of 5, which is outside the usual 4 to 6. Give b = 2" in str(caught.value)
    assert of.solve({"a": 8.0, "b": 2.0, "c": 10.0}).number("b") == 2


def test_no_shape_that_nobody_means_is_made_up_to_fit() -> None:
    """A table of 18 3/8 in on posts of 500 mm at a square lean is had only with posts of 56 mm by
    several times as much, and is refused; so is one of 735 mm, whose posts are told by hand."""
    of = families.network("table")
    low = {"table_height": 18.375 * 25.4, "top_diameter": 920.0, "post_section": 56.0}
    with pytest.raises(Contradiction):
        of.solve({**low, "post_length": 500.0, "splay": 54.7})
    with pytest.raises(Contradiction) as caught:
        of.solve({**TABLE, "post_length": 500.0, "splay": SQUARE})
    # 735 − 28 − 3 + 2 · 25/√2 = L/√3 + 2 · 64/√3
    needed = (735 - 31 + 50 / math.sqrt(2)) * math.sqrt(3) - 128
    (offer,) = [one for one in caught.value.releases if one.name == "post_length"]
    assert offer.number == pytest.approx(needed, abs=1e-3)
