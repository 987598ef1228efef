"""Givens that cannot all hold: the clashes named are the smallest, and the ways out work."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain, combinations
from unittest.mock import patch

import numpy as np
import pytest

from tablekit.engine.conflict import clashes as minimal_clashes
from tablekit.engine.network import Network
from tablekit.engine.relation import Limit
from tablekit.engine.trouble import Contradiction, OutsideLimits, Trouble
from tablekit.relations import families
from tests.engine.small_networks import guess, network, quantities, relation

SQUARE = 54.735610317245346  # degrees from plumb: acos(1/√3), the square crossing


def holds(of: Network, givens: Mapping[str, float]) -> bool:
    """Independent of the code under test: whether the plan of these givens finds no problem."""
    si = {n: of.quantities[n].to_si(v) for n, v in givens.items()}
    return not of.plan(givens).program.run(si).problems


def subsets(names: Mapping[str, float]) -> chain[tuple[str, ...]]:
    return chain.from_iterable(combinations(names, size) for size in range(len(names) + 1))


def brute_force(of: Network, givens: Mapping[str, float]) -> set[frozenset[str]]:
    """Every set that clashes while none of its subsets does."""
    clashing: list[frozenset[str]] = []
    for names in map(frozenset, subsets(givens)):  # small ones first
        new = not any(clash <= names for clash in clashing)
        if new and not holds(of, {n: givens[n] for n in names}):
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


@pytest.mark.parametrize("seed", range(24))
def test_the_clashes_are_those_of_brute_force(seed: int) -> None:
    of, givens = random_sums(seed)
    expected = brute_force(of, givens)
    found = minimal_clashes(of, givens, most=50)
    assert len(set(map(frozenset, found))) == len(found)
    assert set(map(frozenset, found)) == expected


def test_brute_force_had_something_to_find() -> None:
    sizes = [len(brute_force(*random_sums(seed))) for seed in range(8)]
    assert max(sizes) >= 3 and min(sizes) == 0


def test_no_more_than_asked_for() -> None:
    of, givens = next(
        case for seed in range(40) if len(brute_force(*(case := random_sums(seed)))) >= 3
    )
    assert len(minimal_clashes(of, givens, most=2)) == 2


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


@pytest.mark.parametrize("givens", CLASHING, ids=lambda g: " ".join(g))
def test_every_member_of_a_clash_is_needed_for_it(givens: dict[str, float]) -> None:
    of = families.network("table")
    clashes = minimal_clashes(of, givens)
    assert clashes
    for clash in clashes:
        assert not holds(of, {n: givens[n] for n in clash})
        for name in clash:
            rest = {n: givens[n] for n in clash if n != name}
            assert holds(of, rest), f"{clash} clash even without {name}"


@pytest.mark.parametrize("givens", CLASHING, ids=lambda g: " ".join(g))
def test_what_is_offered_works(givens: dict[str, float]) -> None:
    """Put the number offered in place of the given: the clash is gone."""
    of = families.network("table")
    with pytest.raises(Contradiction) as caught:
        of.solve(givens)
    offered = [offer for offer in caught.value.releases if offer.number is not None]
    clash = caught.value.clashes[0]
    assert {offer.name for offer in caught.value.releases} == set(clash)
    for offer in offered:
        changed = {n: givens[n] for n in clash} | {offer.name: offer.number}
        assert holds(of, changed), f"{offer} does not help"
        rest = {n: v for n, v in givens.items() if n != offer.name}
        whole = of.plan(changed).free == ()
        if whole and holds(of, rest):  # it was the only thing wrong
            answer = of.solve({**rest, offer.name: offer.number})
            assert answer.number(offer.name) == pytest.approx(offer.number)


def test_a_release_finds_what_the_others_ask_for() -> None:
    a, b, c = quantities("a b c")
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)])
    offers = {o.name: o.number for o in releases(of, {"a": 1, "b": 2, "c": 5}, ("a", "b", "c"))}
    assert offers == pytest.approx({"a": 3, "b": 4, "c": 3})


def test_a_release_that_leads_out_of_range_is_not_offered() -> None:
    a, b, c = quantities("a b c", 1, 10)
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)])
    offers = {o.name: o.number for o in releases(of, {"a": 8, "b": 9, "c": 10}, ("a", "b", "c"))}
    assert offers == {"a": pytest.approx(1), "b": pytest.approx(2), "c": None}


def test_assumptions_can_make_a_smaller_set_clash_than_a_larger() -> None:
    """a alone clashes with the assumed b; a with b given holds. The clash named is still one in
    which every member is needed."""
    a, b, c = quantities("a b c", 1, 10)
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)], [guess(b, 5)])
    assert not holds(of, {"a": 8}) and holds(of, {"a": 8, "b": 1})
    for clash in minimal_clashes(of, {"a": 8, "b": 1, "c": 3}):
        given = {"a": 8, "b": 1, "c": 3}
        assert not holds(of, {n: given[n] for n in clash})
        assert all(holds(of, {n: given[n] for n in clash if n != m}) for m in clash)


# -- messages ------------------------------------------------------------------------------------


def message(givens: dict[str, float]) -> tuple[Trouble, str]:
    with pytest.raises(Trouble) as caught:
        families.network("table").solve(givens)
    return caught.value, str(caught.value)


def test_a_post_too_short_is_told_what_would_do() -> None:
    # by hand: 735 − 28 − 3 + 2 · 25/√2 = L/√3 + 2 · 64/√3, so L = 739.355 · √3 − 128 = 1152.6
    error, text = message(CLASHING[0])
    assert isinstance(error, Contradiction)
    assert text.startswith("post_length 900 mm is too short for table_height 735 mm with ")
    assert "post_section 64 mm" in text and "splay 54.7" in text
    assert "it gives 589 mm" in text  # 900/√3 + 2·64/√3 − 2·25/√2 + 31 = 589.161
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
    error, text = message({
        **TABLE, "knee_clearance": 600.0, "top_thickness": 30.0, "post_length": 900.0,
        "splay": SQUARE,
    })  # fmt: skip
    assert isinstance(error, Contradiction)
    told = set(map(frozenset, error.clashes))
    assert frozenset({"table_height", "knee_clearance", "top_thickness"}) in told
    assert len(told) >= 2
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
    with patch("tablekit.engine.conflict.explain") as explain:
        with pytest.raises(Contradiction) as short:
            families.network("table").solve(clash, why=False)
        explain.assert_not_called()
    assert short.value.clashes == () and str(short.value) == "these givens cannot all hold"
