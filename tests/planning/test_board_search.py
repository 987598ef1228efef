"""What the search rests on: bounds that no layout undercuts, and dropping only what is beaten."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations

import numpy as np
import pytest

from tablekit.planning import board_pairs, board_search
from tablekit.planning.board_bound import prices
from tablekit.planning.board_middles import several
from tablekit.planning.board_pairs import symmetrical
from tablekit.planning.board_row import place
from tablekit.planning.board_search import NOTHING, Found, search, undominated
from tablekit.planning.board_steps import steps
from tablekit.planning.board_stock import POINTS, STRIP_COUNT, grains, points, stock
from tests.planning import brute_boards as brute


def rack(number: int):
    """(strips as the brute force takes them, radius in mm), derandomized, some of them alike."""
    random = np.random.default_rng(number)
    radius = float(random.uniform(150, 300))
    widths = np.round(radius * random.uniform(0.2, 0.9, 6), 1)
    lengths = np.round(radius * np.where(random.random(6) < 0.5, random.uniform(2, 2.3, 6),
                                         random.uniform(0.9, 2, 6)), 1)  # fmt: skip
    if number % 2:
        widths[3:], lengths[3:] = widths[:3], lengths[:3]
    return [(w, n, w * n) for w, n in zip(widths.tolist(), lengths.tolist(), strict=True)], radius


def stocked(strips, radius):
    return stock(
        [grains(w) for w, _, _ in strips],
        [0 if n >= 2 * radius else grains(brute.off(radius, n)) for _, n, _ in strips],
        [points(cost) for _, _, cost in strips],
        [1] * len(strips),
        grains(radius),
    )


def in_area(cost: float) -> float:
    return cost / (POINTS * STRIP_COUNT)


def test_no_layout_undercuts_the_bounds() -> None:
    could = 0
    for number in range(40):
        strips, radius = rack(number)
        true, held = brute.best(strips, radius), stocked(strips, radius)
        priced = prices(held, grains(radius))
        if priced is None or not (held.off == 0).any():
            assert true is None
            continue
        sharp = steps(held, grains(radius), priced)
        assert sharp.least >= priced.least > 0
        if true is None:
            continue
        could += 1
        for by in (priced, sharp):
            assert in_area(by.least) <= true[0] + 0.01
            for strip, lifted in enumerate(by.least + by.excess):
                found = cheapest_with(strips, radius, strips[strip_of(held, strip)])
                assert found is None or in_area(lifted) <= found + 0.01
    assert could >= 10


def strip_of(held, strip: int) -> int:
    return int(held.board[strip])


def cheapest_with(strips, radius, needed) -> float | None:
    """Least area of any row that uses one given strip, by trying all."""
    least = None
    for number in range(1, 5):  # rows of five and six would take minutes; any subset is a check
        for row in permutations(strips, number):
            area = sum(one[2] for one in row)
            if needed in row and (least is None or area < least):
                widths, lengths, _ = zip(*row, strict=True)
                if brute.fits(widths, lengths, radius):
                    least = area
    return least


def test_only_what_is_beaten_is_dropped() -> None:
    random = np.random.default_rng(2)
    for _ in range(40):
        far, near, cost = random.integers(0, 9, (3, 60))
        kept = set(undominated(far, near, cost).tolist())
        rows = list(zip(far.tolist(), near.tolist(), cost.tolist(), strict=True))
        best = {r for r in rows if not any(o != r and all(a <= b for a, b in zip(o, r, strict=True))
                                           for o in rows)}  # fmt: skip
        assert {rows[k] for k in kept} == best and len(kept) == len(best)


def test_sets_for_the_middle_are_all_that_are_worth_having() -> None:
    for number in range(20):
        strips, radius = rack(number)
        held = stocked([(w, 3 * radius, cost) for w, _, cost in strips], radius)
        priced = prices(held, grains(radius))
        if priced is None:
            continue
        found = several(held, np.arange(6), priced, grains(radius), NOTHING, 10**6)
        sets = [[k for k in range(6) if bits >> k & 1] for bits in range(1, 64)]
        wide = [min(int(held.width[s].sum()), 2 * grains(radius)) for s in sets]
        cost = [int(held.cost[s].sum()) for s in sets]
        for width in wide:
            least = min(c for w, c in zip(wide, cost, strict=True) if w >= width)
            assert found.cheapest(np.array([width]))[0][0] == least
        for k, members in enumerate(found.strips):
            assert held.cost[list(members)].sum() == found.cost[k]


def test_a_search_told_of_a_better_layout_finds_none() -> None:
    strips, radius = next(r for r in map(rack, range(40)) if brute.best(*r) is not None)
    held = stocked(strips, radius)
    found = search(held, grains(radius), 0)
    assert found.strips and found.proved
    again = search(held, grains(radius), 0, found.cost)
    assert again.strips == () and again.least >= found.cost
    assert search(held, grains(radius), 0, found.cost + 1).cost == found.cost
    paired = symmetrical(held, grains(radius), 0)
    assert paired.cost >= found.cost


def test_a_search_cut_short_says_what_it_may_have_missed() -> None:
    random = np.random.default_rng(11)
    sizes = zip(random.uniform(30, 60, 40), random.uniform(300, 560, 40), strict=True)
    strips = [(width, length, width * length) for width, length in sizes]
    held = stocked(strips, 250.0)
    whole = search(held, grains(250), 0)
    hasty = search(held, grains(250), 0, most=0)
    assert whole.proved and whole.strips
    assert not hasty.proved and hasty.least <= whole.cost <= hasty.cost


@pytest.mark.parametrize("find", [search, symmetrical])
def test_what_is_left_out_of_a_search_counts_in_its_proof(
    find: Callable[..., Found], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 24 boards few are looked at; what is then called the least that any layout costs must not
    be more than what a search through all of them finds."""
    worse = 0
    for number in range(12):
        random = np.random.default_rng(number)
        sizes = zip(random.uniform(40, 140, 24), random.uniform(300, 560, 24), strict=True)
        strips = [(width, length, width * length) for width, length in sizes]
        held = stocked(strips, 250.0)
        whole = find(held, grains(250), 0)
        with monkeypatch.context() as few:
            few.setattr(board_search, "CORE", 10)
            few.setattr(board_search, "MOST_STRIPS", 10)
            few.setattr(board_pairs, "MOST_STRIPS", 10)
            part = find(held, grains(250), 0)
        assert part.least <= whole.cost <= part.cost
        worse += part.cost > whole.cost
    assert worse >= 3


def test_a_row_in_order_lies_where_trying_all_places_says() -> None:
    could = 0
    for number in range(60):
        strips, radius = rack(number)
        random = np.random.default_rng(number)
        order = random.permutation(6)[: random.integers(2, 7)]
        widths, lengths, _ = zip(*(strips[k] for k in order), strict=True)
        clear = float(random.choice([0.0, 15.0]))
        mark = place(widths, lengths, 2 * radius, clear)
        assert (mark is not None) == brute.fits(widths, lengths, radius, clear)
        if mark is not None:
            could += 1
            assert brute.fits_at(mark, widths, lengths, radius, clear)
    assert 5 <= could <= 55
