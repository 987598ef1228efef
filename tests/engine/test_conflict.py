"""Givens that cannot all hold: the clashes named are the smallest, and the ways out work.

What can hold is judged by scipy over the raw equations, never by the plans or the search under
test: for the small networks here, for the table by `tests.referee`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from itertools import chain, combinations
from unittest.mock import patch

import numpy as np
import pytest
import sympy as sp
from scipy.optimize import least_squares

from tablekit.engine import conflict
from tablekit.engine.conflict import clashes as minimal_clashes
from tablekit.engine.conflict import smallest_clashes
from tablekit.engine.network import Network
from tablekit.engine.relation import Limit
from tablekit.engine.search import Solution, search_of
from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven, OutsideLimits
from tablekit.relations import families
from tests.engine.small_networks import guess, network, quantities, relation
from tests.referee.referee import Referee

SQUARE = 54.735610317245346  # degrees from plumb: acos(1/√3), the square crossing


@pytest.fixture(autouse=True)
def without_haste(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is found must not rest on how much is looked at for one message."""
    monkeypatch.setattr(conflict, "_MOST_WORK", math.inf)


def can_hold(of: Network, givens: Mapping[str, float], held: tuple[str, ...] = ()) -> bool:
    """Whether scipy finds a design within the ranges, from many starts over the raw equations.

    held  quantities whose assumption is to hold as well"""
    names = [n for n in of.quantities if n not in givens]
    assumed = [of.assumption_of(n) for n in held]
    gaps = [s.equation.lhs - s.equation.rhs for s in (*of.relations, *assumed) if s is not None]
    ordered = [of.quantities[n].symbol for n in (*names, *givens)]
    function = sp.lambdify([ordered], gaps, "numpy")

    def left(x: np.ndarray) -> np.ndarray:
        return np.array(function([*x, *givens.values()]), dtype=float)

    if not names:
        return bool(np.abs(left(np.array([]))).max() < 1e-7)
    low, high = ([getattr(of.quantities[n], end) for n in names] for end in ("low", "high"))
    random = np.random.default_rng(1)
    starts = [random.uniform(np.maximum(low, -9), np.minimum(high, 9)) for _ in range(6)]
    starts += [random.uniform(low, high) for _ in range(6)]
    for start in starts:
        done = least_squares(left, start, bounds=(low, high), x_scale=10.0, gtol=1e-15, ftol=1e-15)
        if np.abs(done.fun).max() < 1e-6:
            return True
    return False


def subsets(names: Mapping[str, float]) -> chain[tuple[str, ...]]:
    return chain.from_iterable(combinations(names, size) for size in range(len(names) + 1))


@lru_cache(maxsize=64)
def brute_force(seed: int) -> set[frozenset[str]]:
    """Every set of a random network that clashes while none of its subsets does."""
    of, givens = random_sums(seed)
    clashing: list[frozenset[str]] = []
    for names in map(frozenset, subsets(givens)):  # small ones first
        new = not any(clash <= names for clash in clashing)
        if new and not can_hold(of, {n: givens[n] for n in names}):
            clashing.append(names)
    return set(clashing)


def random_sums(seed: int) -> tuple[Network, dict[str, float]]:
    """Five quantities tied by sums and products; all given, some of them wrong.

    Every relation has factors of its own, lest two of them say the same in other words.
    """
    random = np.random.default_rng(seed)
    of = quantities("a b c d e", -1000, 1000)
    true = {q.name: float(random.uniform(1, 9)) for q in of}
    symbols = [q.symbol for q in of]
    relations, dependent = [], list(true)
    for index in range(int(random.integers(2, 4))):
        x, y, z = (int(i) for i in random.choice(5, 3, replace=False))
        if random.random() < 0.5:
            share = index + 2
            left = symbols[x] + share * symbols[y]
            value = true[dependent[x]] + share * true[dependent[y]]
        else:
            left, value = symbols[x] * symbols[y], true[dependent[x]] * true[dependent[y]]
        factor = 1.7 + 0.6 * index
        added = round(value - factor * true[dependent[z]], 12)
        relations.append(relation(f"r{index}", left - added, factor * symbols[z]))
    for name in random.choice(dependent, int(random.integers(0, 3)), replace=False):
        true[name] *= float(random.choice([0.5, 0.9, 1.2, 3.0]))
    return network(of, relations), true


SEEDS = range(14)
ORDINARY = 5  # of them, in an ordinary run


@pytest.mark.parametrize(
    "seed",
    [pytest.param(seed, marks=[pytest.mark.slow] if seed >= ORDINARY else []) for seed in SEEDS],
)
def test_the_clashes_are_those_of_brute_force(seed: int) -> None:
    """Each is one of the smallest, no given is in two, and what is left over has none."""
    of, givens = random_sums(seed)
    found = list(map(frozenset, minimal_clashes(of, givens, most=50)))
    assert set(found) <= brute_force(seed)
    named = frozenset().union(*found)
    assert len(named) == sum(map(len, found))
    assert not any(clash.isdisjoint(named) for clash in brute_force(seed))


def test_brute_force_had_something_to_find() -> None:
    sizes = [len(brute_force(seed)) for seed in SEEDS[:ORDINARY]]
    assert max(sizes) >= 3 and min(sizes) == 0


def test_no_more_than_asked_for() -> None:
    of_q = quantities("a b c d", 0.1, 100)
    a, b, c, d = (q.symbol for q in of_q)
    of = network(of_q, [relation("one", a, 2 * b), relation("two", c, 3 * d)])
    wrong = {"a": 1.0, "b": 1.0, "c": 1.0, "d": 1.0}
    assert len(minimal_clashes(of, wrong)) == 2
    assert len(minimal_clashes(of, wrong, most=1)) == 1


def test_givens_that_hold_have_no_clash() -> None:
    of = families.network("table")
    assert minimal_clashes(of, {"table_height": 735, "post_section": 64, "splay": SQUARE}) == []


TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
CLASHING = [
    {"table_height": 735.0, "post_length": 900.0, "post_section": 64.0, "splay": SQUARE},
    {**TABLE, "post_length": 900.0, "splay": SQUARE},
    {**TABLE, "overhang": 455.0},
    {**TABLE, "knee_clearance": 600.0, "top_thickness": 30.0},
    {**TABLE, "axis_offset": 80.0},
    {**TABLE, "notch_width": 50.0, "post_width": 64.0},
    {**TABLE, "total_mass": 2.0},
    {**TABLE, "top_thickness": 30.0, "wood_density": 600.0, "top_mass": 11.0},
]
FEW_OR_ALL = [
    pytest.param(givens, marks=[pytest.mark.slow] if place % 2 else [])
    for place, givens in enumerate(CLASHING)
]


@lru_cache(maxsize=1)
def referee() -> Referee:
    return Referee(families.network("table"))


@lru_cache(maxsize=1)
def known_designs() -> list[dict[str, float | None]]:
    """Somewhere for the referee to start from."""
    givens = [TABLE, {**TABLE, "table_height": 600.0, "top_thickness": 40.0}]
    sheets = [families.network("table").solve(g) for g in givens]
    return [{n: v.number for n, v in sheet.values.items()} for sheet in sheets]


def was_found(givens: Mapping[str, float], held: tuple[str, ...]) -> bool:
    """Whether the referee finds a design, from those known."""
    near = known_designs()
    return bool(referee().design_exists(givens, near=near, held=held))


def _without_what_is_left_out(values: Mapping[str, float]) -> dict[str, float | None]:
    """What a limit leaves out has no value; whether it may be missing, the referee judges."""
    judge = referee()
    passed = set(judge.limits_passed(judge.vector(values))) - judge.refusing
    uses = [set(places) for places in judge.compiled.uses]
    alone = {p for row in passed for p in uses[row] if sum(p in other for other in uses) == 1}
    low, high = judge.low - judge.margin, judge.high + judge.margin
    x = judge.vector(values)
    return {
        name: values[name] if low[i] <= x[i] <= high[i] and i not in alone else None
        for i, name in enumerate(judge.names)
    }


def is_met(design: Solution, givens: Mapping[str, float], held: tuple[str, ...]) -> bool:
    """Whether the referee confirms that a design meets all this."""
    of = referee().network
    told = _without_what_is_left_out(
        {n: of.quantities[n].from_si(v) for n, v in design.values.items()}
    )
    met = {a.quantity.name for a in referee().satisfied(told) if a.quantity is not None}
    return not referee().violations(told, givens) and met.issuperset(held)


def is_shown(givens: Mapping[str, float], held: tuple[str, ...]) -> bool:
    """Whether there is a design for certain: the search shows one, the referee confirms it."""
    of = referee().network
    si = {n: of.quantities[n].to_si(v) for n, v in givens.items()}
    designs = search_of(of).designs(si, held, usual=False)
    return any(is_met(design, givens, held) for design in designs)


def asked(of: Network, givens: dict[str, float]) -> conflict.Referee:
    si = {n: of.quantities[n].to_si(v) for n, v in givens.items()}
    in_force = [a.quantity.name for a in of.plan(givens).assumptions if a.quantity is not None]
    return conflict.Referee(search_of(of), si, in_force)


@lru_cache(maxsize=8)
def first_clash(givens: tuple[tuple[str, float], ...]) -> tuple[conflict.Referee, conflict.Clash]:
    """Of the table, and who judged it."""
    kit = asked(families.network("table"), dict(givens))
    (clash,) = smallest_clashes(kit, most=1)
    return kit, clash


# The kit's search misses a freak: posts of 18 by 36 mm that cross 30 mm below their heads. The
# referee comes upon it from some starts and not from others, so this claim of a clash is not sure.
FREAK = pytest.mark.xfail(reason="the kit misses a freak design that the referee may find")
SURE_OR_NOT = [
    pytest.param(
        *one.values, marks=[*one.marks, FREAK] if "overhang" in one.values[0] else one.marks
    )
    for one in FEW_OR_ALL
]


@pytest.mark.parametrize("givens", SURE_OR_NOT, ids=lambda g: " ".join(g))
def test_no_design_meets_a_clash(givens: dict[str, float]) -> None:
    """Everything but its members free within its range, the referee finds none."""
    _, clash = first_clash(tuple(givens.items()))
    assert not was_found({n: givens[n] for n in clash.givens}, clash.assumed)


@pytest.mark.parametrize("givens", FEW_OR_ALL, ids=lambda g: " ".join(g))
def test_every_member_of_a_clash_is_needed_for_it(givens: dict[str, float]) -> None:
    """Givens and assumptions alike, everything else free within its range: without any of them
    the kit has a design to show, and the referee confirms it."""
    kit, clash = first_clash(tuple(givens.items()))
    within = {n: givens[n] for n in clash.givens}
    for name in (*clash.givens, *clash.assumed):
        rest = {n: v for n, v in within.items() if n != name}
        held = tuple(n for n in clash.assumed if n != name)
        design = kit.shown(frozenset([*rest, *(f"assumed {n}" for n in held)]))
        assert design is not None, f"{clash} clash even without {name}"
        assert is_met(design, rest, held), f"{clash}: no design without {name}"


@pytest.mark.parametrize("givens", FEW_OR_ALL, ids=lambda g: " ".join(g))
def test_what_is_offered_works(givens: dict[str, float]) -> None:
    """Put the number offered in place of the given: the referee finds nothing wrong with what is
    then answered."""
    of = families.network("table")
    with pytest.raises(Contradiction) as caught:
        of.solve(givens)
    error = caught.value
    assert error.clashes
    assert {offer.name for offer in error.releases} <= set(error.clashes[0])
    for offer in error.releases:
        assert offer.number != pytest.approx(givens[offer.name], rel=1e-6)
        changed = {**givens, offer.name: offer.number}
        try:
            values = {n: v.number for n, v in of.solve(changed).values.items()}
        except NotEnoughGiven:  # mended, though not settled
            assert is_shown(changed, ())
        else:
            assert referee().violations(values, changed) == []


def offers(of: Network, givens: dict[str, float]) -> dict[str, float]:
    with pytest.raises(Contradiction) as caught:
        of.solve(givens)
    return {offer.name: offer.number for offer in caught.value.releases}


def test_a_release_finds_what_the_others_ask_for() -> None:
    a, b, c = quantities("a b c")
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)])
    assert offers(of, {"a": 1, "b": 2, "c": 5}) == pytest.approx({"a": 3, "b": 4, "c": 3})


def test_a_release_that_leads_out_of_range_is_not_offered() -> None:
    a, b, c = quantities("a b c", 1, 10)
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)])
    # c would have to be 17
    assert offers(of, {"a": 8, "b": 9, "c": 10}) == pytest.approx({"a": 1, "b": 2})


def test_a_release_mends_the_whole_set_not_only_its_clash() -> None:
    """a + b = c and a + d = e are both wrong: a = 3 mends both, nothing else mends either."""
    of_q = quantities("a b c d e", 0.1, 100)
    a, b, c, d, e = (q.symbol for q in of_q)
    of = network(of_q, [relation("one", a + b, c), relation("two", a + 2 * d, 2 * e)])
    assert offers(of, {"a": 1, "b": 2, "c": 5, "d": 3, "e": 4.5}) == pytest.approx({"a": 3})


def test_a_release_is_as_near_as_the_whole_set_allows() -> None:
    """c - a and d - a are at least 1: with c = 5 alone a could be 4, with d = 3 beside it 2."""
    of_q = quantities("a c d p q", 1, 100)
    a, c, d, p, q = (one.symbol for one in of_q)
    of = network(of_q, [relation("one", p, c - a), relation("two", q, d - a)], wishes=("a", "c"))
    with pytest.raises(Contradiction) as caught:
        of.solve({"a": 9, "c": 5, "d": 3})
    assert set(caught.value.clashes[0]) == {"a", "c"}
    offered = {offer.name: offer.number for offer in caught.value.releases}
    assert 1 <= offered["a"] <= 2 + 1e-9


def test_where_two_things_are_wrong_no_single_change_is_offered() -> None:
    of_q = quantities("a b c d e f", 0.1, 100)
    a, b, c, d, e, f = (q.symbol for q in of_q)
    of = network(of_q, [relation("one", a + b, c), relation("two", d + 2 * e, f)])
    givens = {"a": 1, "b": 2, "c": 5, "d": 1, "e": 1, "f": 9}
    with pytest.raises(Contradiction) as caught:
        of.solve(givens)
    assert caught.value.releases == ()
    assert set(map(frozenset, caught.value.clashes)) == {frozenset("abc"), frozenset("def")}


@pytest.mark.parametrize(
    ("wishes", "kept"), [("pqr", "pq"), ("rqp", "rq"), ("rpq", "rp"), ("qrp", "qr")]
)
def test_what_is_kept_in_a_clash_is_what_was_cared_about(wishes: str, kept: str) -> None:
    """q = 2 p and r = 3 p: with p = 1, q = 3 and r = 5 any two of them clash."""
    of_q = quantities("p q r", 0.1, 100)
    p, q, r = (one.symbol for one in of_q)
    of = network(
        of_q, [relation("double", q, 2 * p), relation("treble", r, 3 * p)], wishes=tuple(wishes)
    )
    givens = {"p": 1.0, "q": 3.0, "r": 5.0}
    assert set(minimal_clashes(of, givens, most=1)[0]) == set(kept)
    assert len(minimal_clashes(of, givens, most=9)) == 1  # what is left can hold


def test_an_assumption_does_not_hide_what_the_others_can_do() -> None:
    """b is assumed to be 5, but with a = 8 some other b fits: a is not blamed alone."""
    a, b, c = quantities("a b c", 1, 10)
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)], [guess(b, 5)])
    assert can_hold(of, {"a": 8}) and not can_hold(of, {"a": 8}, ("b",))
    assert minimal_clashes(of, {"a": 8, "c": 9}) == []
    assert set(map(frozenset, minimal_clashes(of, {"a": 8, "b": 1, "c": 3}))) == {frozenset("ac")}


# -- messages ------------------------------------------------------------------------------------


def message(givens: dict[str, float]) -> tuple[DesignError, str]:
    with pytest.raises(DesignError) as caught:
        families.network("table").solve(givens)
    return caught.value, str(caught.value)


def test_a_post_too_short_is_told_what_would_do() -> None:
    # by hand: 735 − 28 − 3 + 2 · 25/√2 = L/√3 + 2 · 64/√3, so L = 739.355 · √3 − 128 = 1152.6
    error, text = message(CLASHING[0])
    assert isinstance(error, Contradiction)
    assert text.startswith("post_length 900 mm is too short for table_height 735 mm with ")
    assert "post_section 64 mm" in text and "splay 54.7" in text
    assert "makes table_height 589 mm" in text  # 900/√3 + 2·64/√3 − 2·25/√2 + 31 = 589.161
    assert "Release table_height" in text
    assert "post_length 1152.5 mm" in text
    exact = {o.name: o.number for o in error.releases}
    assert exact["post_length"] == pytest.approx(1152.601, abs=5e-4)
    assert exact["table_height"] == pytest.approx(589.161, abs=5e-4)
    assert error.clashes == (("table_height", "post_section", "post_length", "splay"),)
    assert error.exit_code == 3


def test_the_message_is_in_the_makers_own_units() -> None:
    from tablekit.engine.units import ShopStyle

    with pytest.raises(Contradiction) as caught:
        families.network("table").solve(CLASHING[0], shop=ShopStyle("in", 16))
    text = str(caught.value)
    assert "post_length 35.4331 in is too short for table_height 28.937 in" in text  # as given
    assert "Release table_height, or make post_length 45 3/8 in" in text  # as it can be cut
    assert " mm" not in text


def test_what_it_rests_on_besides_the_givens_is_told() -> None:
    assert "top_thickness" in message(CLASHING[0])[1]
    assert "as assumed, which you may give" in message(CLASHING[0])[1]


def test_outside_a_limit_names_the_relation_and_the_limit() -> None:
    a, b = quantities("a b")
    held = relation("held", b.symbol, 2 * a.symbol, [Limit(5 - a.symbol, "a is at most five")])
    with pytest.raises(OutsideLimits) as caught:
        network([a, b], [held]).solve({"a": 5.5})
    error = caught.value
    assert (error.relation, error.limit) == ("held", "a is at most five")
    assert error.excess == pytest.approx(0.5)
    assert "a is at most five" in str(error) and "over by 0.5" in str(error)
    assert error.clashes == (("a",),)


def test_two_independent_mistakes_are_both_told() -> None:
    """705 mm of room under a top of 30 mm at 735 mm; feet √3 times their radius apart."""
    error, text = message({
        **TABLE, "knee_clearance": 600.0, "top_thickness": 30.0, "foot_radius": 400.0,
        "foot_spread": 500.0,
    })  # fmt: skip
    assert isinstance(error, Contradiction)
    assert set(map(frozenset, error.clashes)) == {
        frozenset({"table_height", "knee_clearance", "top_thickness"}),
        frozenset({"foot_radius", "foot_spread"}),
    }
    assert "Also at odds" in text


def test_a_single_given_that_cannot_be() -> None:
    error, text = message({"post_section": 12.0, "foot_flat": 200.0})
    assert isinstance(error, Contradiction)
    assert "post_section" in text and "foot_flat" in text


def test_a_clash_that_nobody_asks_about_is_only_told_of() -> None:
    clash = {"table_height": 735.0, "splay": 50.0, "post_length": 400.0}
    with pytest.raises(Contradiction) as told:
        families.network("table").solve(clash)
    assert told.value.clashes and "post_length" in str(told.value)
    with patch("tablekit.engine.network.explain") as explain:
        with pytest.raises(Contradiction) as short:
            families.network("table").solve(clash, why=False)
        explain.assert_not_called()
    assert short.value.clashes == () and str(short.value) == (
        "no design was found that meets what is given"
    )
