"""Pieces out of planks: against every way of cutting them, on racks small enough for that."""

from __future__ import annotations

import random
from functools import cache

import pytest

from tablekit.engine.trouble import DesignError
from tablekit.planning.stock_cutting import PiecesAlike, Plank, StockFallsShort, cut_stock
from tests.together import each

KERF, ENDS = 3.0, 30.0


def least_cost(pieces: list[PiecesAlike], planks: list[Plank]) -> float | None:
    """The least cost by trying each piece in each strip begun so far, and in one of each plank."""
    lengths = sorted((p.length for p in pieces for _ in range(p.count)), reverse=True)
    width = max(p.width for p in pieces)
    strips = [
        0 if p.width < width else 1 + int((p.width - width) // (width + KERF)) for p in planks
    ]
    stock = tuple(p.count if p.count is not None else len(lengths) for p in planks)
    costs = [p.length if p.price is None else p.price for p in planks]

    @cache
    def best(n: int, begun: tuple[float, ...], left: tuple[int, ...]) -> float | None:
        if n == len(lengths):
            return 0.0
        found: list[float] = []
        for k in range(len(begun)):
            if (k == 0 or begun[k] != begun[k - 1]) and begun[k] >= lengths[n] - 1e-9:
                rest = sorted([*begun[:k], begun[k] - lengths[n] - KERF, *begun[k + 1 :]])
                if (cost := best(n + 1, tuple(rest), left)) is not None:
                    found.append(cost)
        for k, plank in enumerate(planks):
            room = plank.length - ENDS
            if left[k] and strips[k] and room >= lengths[n] - 1e-9:
                rest = sorted([*begun, room - lengths[n] - KERF, *[room] * (strips[k] - 1)])
                fewer = (*left[:k], left[k] - 1, *left[k + 1 :])
                if (cost := best(n + 1, tuple(rest), fewer)) is not None:
                    found.append(cost + costs[k])
        return min(found, default=None)

    return best(0, (), stock)


@each("seed", range(60))
def test_no_way_of_cutting_costs_less(seed: int) -> None:
    dice = random.Random(seed)
    pieces = [
        PiecesAlike(name, dice.choice([310, 455, 640, 820, 1190]), 70, dice.randint(1, 3))
        for name in "abc"[: dice.randint(1, 2)]
    ]
    priced = seed % 2 == 0
    planks = [
        Plank(
            name, dice.choice([900, 1250, 1830, 2440]), dice.choice([60, 75, 150, 220]),
            dice.choice([1, 2, None]), dice.choice([9.0, 14.5, 22.0]) if priced else None,
        )
        for name in "xy"[: dice.randint(1, 2)]
    ]  # fmt: skip
    expected = least_cost(pieces, planks)
    if expected is None:
        with pytest.raises(StockFallsShort):
            cut_stock(pieces, planks, saw_kerf=KERF, plank_ends=ENDS)
        return
    found = cut_stock(pieces, planks, saw_kerf=KERF, plank_ends=ENDS)
    assert (found.price if priced else found.length) == pytest.approx(expected)
    assert_it_can_be_sawn(found, pieces, planks)


def assert_it_can_be_sawn(found, pieces: list[PiecesAlike], planks: list[Plank]) -> None:
    made = [name for lane in found.lanes for name in lane.pieces]
    assert {p.name: made.count(p.name) for p in pieces} == {p.name: p.count for p in pieces}
    by_name, lengths = {p.name: p for p in planks}, {p.name: p.length for p in pieces}
    widths = {p.name: p.width for p in pieces}
    for lane in found.lanes:
        used = sum(lengths[name] for name in lane.pieces) + KERF * (len(lane.pieces) - 1)
        room = by_name[lane.plank].length - ENDS
        assert used <= room + 1e-6
        assert lane.spare == pytest.approx(room - used)
        beside = [
            one for one in found.lanes if (one.plank, one.number) == (lane.plank, lane.number)
        ]
        wide = sum(one.width for one in beside) + KERF * (len(beside) - 1)
        assert wide <= by_name[lane.plank].width
        assert lane.width >= max(widths[name] for name in lane.pieces)
    for name, count in found.planks.items():
        assert by_name[name].count is None or count <= by_name[name].count
        assert max(lane.number for lane in found.lanes if lane.plank == name) <= count


def test_two_cuts_of_a_saw_can_be_one_piece_less() -> None:
    # reference/derivations/stock.md: 2373 mm lent, 1193 mm a piece: one, not two.
    plank = Plank("ash", 2400, 75)
    found = cut_stock([PiecesAlike("post", 1190, 70, 3)], [plank], saw_kerf=3, plank_ends=30)
    assert found.planks == {"ash": 3}
    assert cut_stock(
        [PiecesAlike("post", 1183.5, 70, 3)], [plank], saw_kerf=3, plank_ends=30
    ).planks == {"ash": 2}


def test_it_says_what_is_missing() -> None:
    piece = PiecesAlike("post", 1190, 70, 3)
    with pytest.raises(
        StockFallsShort, match=r"no plank is wide enough: the parts need 70 mm .* widest has 60 mm"
    ):
        cut_stock([piece], [Plank("thin", 2400, 60)], saw_kerf=3, plank_ends=30)
    with pytest.raises(StockFallsShort, match="no plank is long enough for a post of 1190 mm"):
        cut_stock([piece], [Plank("short", 1200, 80)], saw_kerf=3, plank_ends=30)
    with pytest.raises(StockFallsShort, match="do not yield 3 × post"):
        cut_stock([piece], [Plank("two", 1300, 80, 2)], saw_kerf=3, plank_ends=30)
    with pytest.raises(StockFallsShort, match="no plank is wide enough"):
        cut_stock([piece], [], saw_kerf=3, plank_ends=30)


def test_nothing_wanted_takes_nothing() -> None:
    found = cut_stock([], [Plank("ash", 2400, 75)], saw_kerf=3, plank_ends=30)
    assert (found.lanes, found.planks, found.length) == ((), {}, 0.0)


def test_too_many_ways_to_fill_a_plank_is_refused() -> None:
    pieces = [PiecesAlike(f"p{k}", 20 + k, 20, 200) for k in range(6)]
    with pytest.raises(DesignError, match="fewer kinds of pieces"):
        cut_stock(pieces, [Plank("long", 5000, 25)], saw_kerf=3, plank_ends=30)


def least_of_widths(pieces: list[PiecesAlike], planks: list[Plank]) -> float | None:
    """The same for pieces of several widths: each piece in each strip that is begun and wide
    enough, in a new strip of every width, of each plank that is begun, and of a new one."""
    every = sorted(((p.width, p.length) for p in pieces for _ in range(p.count)), reverse=True)
    widths = sorted({p.width for p in pieces})
    costs = [p.length if p.price is None else p.price for p in planks]
    Begun = tuple[tuple[int, float, tuple[tuple[float, float], ...]], ...]

    @cache
    def best(n: int, begun: Begun) -> float | None:
        if n == len(every):
            return 0.0
        width, length = every[n]
        found: list[float] = []

        def go_on(k: int, which: int, room: float, strips: list[tuple[float, float]]) -> None:
            rest = (*begun[:k], (which, room, tuple(sorted(strips))), *begun[k + 1 :])
            if (cost := best(n + 1, tuple(sorted(rest)))) is not None:
                found.append(cost + (costs[which] if k == len(begun) else 0.0))

        fresh = [
            (len(begun), which, plank.width, ()) for which, plank in enumerate(planks)
            if plank.count is None or sum(one[0] == which for one in begun) < plank.count
        ]  # fmt: skip
        for k, which, room, strips in [*((k, *one) for k, one in enumerate(begun)), *fresh]:
            for at, (wide, left) in enumerate(strips):
                if wide >= width and left >= length - 1e-9:
                    now = (wide, left - length - KERF)
                    go_on(k, which, room, [*strips[:at], now, *strips[at + 1 :]])
            whole = planks[which].length - ENDS
            for wide in widths:
                if wide >= width and room >= wide and whole >= length - 1e-9:
                    go_on(k, which, room - wide - KERF, [*strips, (wide, whole - length - KERF)])
        return min(found, default=None)

    return best(0, ())


@each("seed", range(40))
def test_no_way_of_cutting_two_widths_costs_less(seed: int) -> None:
    dice = random.Random(seed)
    wide = PiecesAlike("leg", dice.choice([455, 640, 820]), 46, dice.randint(1, 3))
    thin = PiecesAlike("rail", dice.choice([270, 310, 455, 640]), 29, dice.randint(1, 2))
    priced = seed % 2 == 0
    planks = [
        Plank(
            name, dice.choice([700, 900, 1250]), dice.choice([35, 50, 80, 130]),
            dice.choice([1, 2, None]), dice.choice([9.0, 14.5, 22.0]) if priced else None,
        )
        for name in "xy"[: dice.randint(1, 2)]
    ]  # fmt: skip
    expected = least_of_widths([wide, thin], planks)
    if expected is None:
        with pytest.raises(StockFallsShort):
            cut_stock([wide, thin], planks, saw_kerf=KERF, plank_ends=ENDS)
        return
    found = cut_stock([wide, thin], planks, saw_kerf=KERF, plank_ends=ENDS)
    assert (found.price if priced else found.length) == pytest.approx(expected)
    assert_it_can_be_sawn(found, [wide, thin], planks)


def test_a_narrow_piece_may_lie_in_a_wide_strip_or_in_one_of_its_own() -> None:
    both = [PiecesAlike("wide", 600, 140, 1), PiecesAlike("narrow", 600, 40, 3)]
    found = cut_stock(both, [Plank("long", 2600, 150)], saw_kerf=3, plank_ends=30)
    # By hand: 4 × 600 + 3 × 3 = 2409 mm of 2570, all in one strip 140 wide.
    assert [(lane.width, lane.pieces) for lane in found.lanes] == [
        (140, ("wide", "narrow", "narrow", "narrow"))
    ]
    short = cut_stock(both, [Plank("short", 700, 190)], saw_kerf=3, plank_ends=30)
    # 140 + 3 + 40 = 183 mm of one; two more strips of 40 from another.
    assert sorted(lane.width for lane in short.lanes) == [40, 40, 40, 140]
    assert short.planks == {"short": 2}


def test_what_is_least_is_told() -> None:
    one = [PiecesAlike("wide", 600, 140, 1)]
    mixed = [Plank("priced", 2400, 150, price=9.0), Plank("not", 3000, 150)]
    assert cut_stock(one, mixed, saw_kerf=3, plank_ends=30).least == "shorter planks"
    assert cut_stock(one, mixed[:1], saw_kerf=3, plank_ends=30).least == "lower price"
