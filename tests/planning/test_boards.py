"""Layouts of boards against trying them all, against hand-worked racks, and on bad racks."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest

from tablekit.engine.trouble import DesignError, RangeError
from tablekit.engine.units import ShopStyle
from tablekit.planning.boards import BoardLayout, BoardsFallShort, Wishes, lay_out
from tests.planning import brute_boards as brute


@dataclass(frozen=True)
class Board:
    name: str
    width: float
    length: float
    count: int = 1
    price: float | None = None


# "A" and "B" of the shipped brief.
RACK = (Board("A", 140, 1100, 4, 18.0), Board("B", 185, 980, 3, 21.5))
TOP = {"margin": 10.0, "end_waste": 15.0, "edge_loss": 2.0}
BARE = {"margin": 0.0, "end_waste": 0.0, "edge_loss": 0.0}


def random_rack(number: int, most: int = 5):
    """(rack, top diameter, allowances), derandomized; a third on whole numbers, where fits are
    exact, a third on eighths of an inch, a third on any number."""
    random = np.random.default_rng(number)
    boards, kind = int(random.integers(2, most + 1)), number % 3
    across = random.uniform(250, 600)
    widths = across * random.uniform(0.5, 2.2, boards) * 1.25 / boards
    lengths = across * np.where(
        random.random(boards) < 0.5, random.uniform(1.0, 1.2, boards),
        random.uniform(0.45, 1.1, boards),
    )  # fmt: skip
    if kind == 0:
        across, widths, lengths = (10 * np.round(n / 10) for n in (across, widths, lengths))
    elif kind == 1:
        across, widths, lengths = (
            25.4 / 8 * np.round(n / 3.175) for n in (across, widths, lengths)
        )
    loss = BARE if number % 2 else {"margin": 5.0, "end_waste": 5.0, "edge_loss": 1.0}
    rack = tuple(
        Board(f"{k}", float(max(w, 10)), float(length), 1, float(random.integers(1, 9)))
        for k, (w, length) in enumerate(zip(widths, lengths, strict=True))
    )
    return rack, float(across), loss


def strips_of(rack, loss, objective="area"):
    """(strip width, usable length, cost) by plain arithmetic."""
    return [
        (
            board.width - 2 * loss["edge_loss"],
            board.length - 2 * loss["end_waste"],
            board.price if objective == "price" else board.width * board.length,
        )
        for board in rack
        for _ in range(board.count)
    ]


def check_rules(layout: BoardLayout, rack, across, loss, rip="as wide as each goes", paired=False):
    """The rules of a layout, by plain arithmetic."""
    radius = across / 2 + loss["margin"]
    by_name = {board.name: board for board in rack}
    assert layout.strips[0].left <= -radius + 1e-5 and layout.strips[-1].right >= radius - 1e-5
    for one, other in pairwise(layout.strips):
        assert other.left == one.right
    used = [strip.board for strip in layout.strips]
    assert all(used.count(name) <= by_name[name].count for name in used)
    widths = [by_name[name].width - 2 * loss["edge_loss"] for name in used]
    if rip == "all alike":
        widths = [min(widths)] * len(widths)
    if paired:
        widths = [min(pair) for pair in zip(widths, reversed(widths), strict=True)]
    for strip, width in zip(layout.strips, widths, strict=True):
        board = by_name[strip.board]
        assert strip.width == pytest.approx(width, abs=1e-9)
        assert strip.usable_length == pytest.approx(board.length - 2 * loss["end_waste"])
        assert strip.length_needed == pytest.approx(
            brute.need(radius, strip.left, strip.right), abs=1e-6
        )
        assert strip.length_needed <= strip.usable_length + 1e-3
    area = sum(by_name[name].width * by_name[name].length for name in used)
    assert layout.boards_area == pytest.approx(area)
    assert layout.circle_area == pytest.approx(math.pi * radius**2)
    assert layout.waste == pytest.approx(1 - math.pi * radius**2 / area)


def compare(rack, across, loss, *, objective="area", **asked):
    """Against trying them all; gives whether the rack can do it."""
    wishes = Wishes(
        symmetrical=asked.get("symmetrical", False), clear_of_centre=asked.get("clear", 0.0)
    )
    rip = "all alike" if asked.get("alike") else "as wide as each goes"
    true = brute.best(strips_of(rack, loss, objective), across / 2 + loss["margin"], **asked)
    try:
        layout = lay_out(rack, across, rip=rip, objective=objective, wishes=wishes, **loss)
    except BoardsFallShort as short:
        assert true is None, (rack, across, loss, true)
        assert "there may be one" not in str(short)
        return False
    assert layout.proved and layout.gap == 0
    cost = layout.price if objective == "price" else layout.boards_area
    assert true is not None and cost == pytest.approx(true[0], abs=0.01)
    assert len(layout.strips) == true[1]
    check_rules(layout, rack, across, loss, rip, wishes.symmetrical)
    if wishes.clear_of_centre:
        assert min(map(abs, layout.joints), default=math.inf) >= wishes.clear_of_centre - 1e-5
    if wishes.symmetrical:
        assert sum(layout.joints) == pytest.approx(0, abs=1e-6)
    return True


@pytest.mark.parametrize("start", range(0, 200, 25))
def test_the_best_of_200_random_racks_is_the_best_of_all_layouts(start: int) -> None:
    could = [compare(*random_rack(number)) for number in range(start, start + 25)]
    assert 5 <= sum(could) <= 24  # some can, some cannot


@pytest.mark.parametrize(
    "asked",
    [
        {"objective": "price"},
        {"alike": True},
        {"clear": 12.0},
        {"symmetrical": True},
        {"symmetrical": True, "clear": 12.0},
        {"symmetrical": True, "alike": True},
        {"clear": 12.0, "alike": True},
        {"clear": 40.0, "objective": "price"},
    ],
    ids=str,
)
def test_so_are_the_best_with_wishes(asked) -> None:
    could = [compare(*random_rack(number), **asked) for number in range(300, 340)]
    assert 4 <= sum(could) <= 39


def test_a_few_racks_of_seven_boards() -> None:
    assert sum(compare(*random_rack(number, most=7)) for number in range(500, 512)) >= 4


# -- worked by hand ------------------------------------------------------------------------------


def test_the_shipped_rack() -> None:
    """reference/derivations/boards_to_round.md, worked by hand."""
    layout = lay_out(RACK, 920, **TOP)
    assert layout.boards == {"A": 3, "B": 3} and layout.boards_area == 1_005_900
    assert layout.strips[0].left == -475.5 and layout.strips[-1].right == 475.5
    assert layout.price == 3 * 18 + 3 * 21.5
    check_rules(layout, RACK, 920, TOP)


def test_a_fit_to_the_last_hair() -> None:
    four = (Board("x", 239, 970, 4),)  # four strips of 235 mm make 940; 940 mm of usable length
    assert lay_out(four, 920, **TOP).joints == (-235, 0, 235)
    # Seven strips of 5 1/2 in make 38 1/2 in: none of these is a whole number of a binary fraction.
    inches = (Board("x", 5.5 * 25.4, 38.5 * 25.4, 7),)
    assert len(lay_out(inches, 38.5 * 25.4, **BARE).strips) == 7
    with pytest.raises(BoardsFallShort, match=r"0\.5 mm is missing|0\.5 mm of width is missing"):
        lay_out((Board("x", 239, 969.5, 4),), 920, **TOP)
    # A short strip may begin just where the circle is as long as it: 3-4-5, chord 800 at 300.
    sides = (Board("middle", 600, 1000), Board("side", 200, 800, 2))
    layout = lay_out(sides, 1000, **BARE)
    assert [strip.board for strip in layout.strips] == ["side", "middle", "side"]
    assert layout.joints == pytest.approx((-300, 300), abs=1e-5)
    assert layout.strips[0].length_needed == pytest.approx(800, abs=1e-4)
    with pytest.raises(BoardsFallShort):
        lay_out((Board("middle", 600, 1000), Board("side", 200, 799.99, 2)), 1000, **BARE)


def test_of_equal_areas_the_fewest_joints() -> None:
    rack = (Board("narrow", 100, 1000, 10), Board("wide", 500, 1000, 2))
    assert lay_out(rack, 1000, **BARE).boards == {"wide": 2}


def test_the_row_may_lie_off_centre() -> None:
    """A board of 500 mm serves from 433 mm outwards, √(500² − 250²), so of the long one, 560 mm
    wide, at least that much must lie on its side; the other side is left 67 to 100 mm, just what
    the board of 990 mm may come near: √(500² − 495²) = 70.5 mm, and 500 − 400 = 100."""
    rack = (Board("long", 560, 1000), Board("mid", 400, 990), Board("short", 200, 500),
            Board("spare", 1000, 1200))  # fmt: skip
    layout = lay_out(rack, 1000, **BARE)
    assert [strip.board for strip in layout.strips] in (
        ["short", "long", "mid"], ["mid", "long", "short"],
    )  # fmt: skip
    near, far = sorted(map(abs, layout.joints))
    assert far >= 433.01 and near >= 100 - 1e-9 and far + near == pytest.approx(560)
    check_rules(layout, rack, 1000, BARE)


def test_the_best_common_width() -> None:
    """All alike: 4 strips of 250 mm (1 m²) beat 5 of 200 mm (1.05 m²) and 4 with a wider one."""
    rack = (Board("a", 250, 1000, 4), Board("b", 210, 1000, 9), Board("c", 400, 1000, 3))
    layout = lay_out(rack, 1000, rip="all alike", **BARE)
    assert layout.boards == {"a": 4} and layout.rip_width == 250


# -- wishes --------------------------------------------------------------------------------------


def test_an_order_of_the_makers() -> None:
    layout = lay_out(RACK, 920, wishes=Wishes(order=tuple("BABABA")), **TOP)
    assert [strip.board for strip in layout.strips] == list("BABABA")
    sides = (Board("middle", 600, 1000), Board("side", 210, 800, 2))
    # The mark is 500 to 520 mm from the row's left end and the second board ends at 420: its
    # nearest point is at most 100 mm off, where the chord is 2 √(500² − 100²) = 979.8 mm.
    with pytest.raises(BoardsFallShort, match=r"180 mm longer\. Put the long ones in the middle"):
        lay_out(sides, 1000, wishes=Wishes(order=("side", "side", "middle")), **BARE)
    for order, words in (
        ("C", 'board "C": the rack has none'),
        ("AAAAA", "fewer than the order uses"),
    ):
        with pytest.raises(DesignError, match=words):
            lay_out(RACK, 920, wishes=Wishes(order=tuple(order)), **TOP)
    with pytest.raises(BoardsFallShort, match="532 mm of width is missing"):
        lay_out(RACK, 920, wishes=Wishes(order=tuple("AAA")), **TOP)


def test_boards_kept_for_later() -> None:
    rack = (*RACK, Board("C", 300, 1000, 1))
    assert "C" in lay_out(rack, 920, **TOP).boards
    assert lay_out(rack, 920, wishes=Wishes(keep=("C",)), **TOP).boards == {"A": 3, "B": 3}
    with pytest.raises(BoardsFallShort, match="but not on these terms: 2 kept in the rack"):
        lay_out(rack, 920, wishes=Wishes(keep=("C", "B")), **TOP)
    with pytest.raises(DesignError, match='more of board "C" are to be kept than are in the rack'):
        lay_out(rack, 920, wishes=Wishes(keep=("C", "C")), **TOP)
    with pytest.raises(
        DesignError, match='"D" is to be kept but is not in the rack; the rack has A, B, C'
    ):
        lay_out(rack, 920, wishes=Wishes(keep=("D",)), **TOP)


def test_the_narrowest_strip_allowed() -> None:
    rack = (Board("thin", 50, 1000, 19), Board("wide", 204, 1050, 5))
    assert "thin" in lay_out(rack, 920, **TOP).boards
    assert lay_out(rack, 920, wishes=Wishes(narrowest=60), **TOP).boards == {"wide": 5}
    with pytest.raises(
        BoardsFallShort, match="but not on these terms: no strip narrower than 250 mm"
    ):
        lay_out(rack, 920, wishes=Wishes(narrowest=250), **TOP)


# -- bad racks -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rack", "words"),
    [
        ((), r"the rack is empty. Write a \[\[boards\]\] section"),
        ((Board("A", 0, 1000),), "board A is 0 mm wide; expected more than 0 mm"),
        ((Board("A", -3, 1000),), "board A is −3 mm wide"),
        ((Board("A", 100, 0),), "board A is 0 mm long"),
        ((Board("A", math.nan, 1000),), "board A is nan mm wide"),
        ((Board("A", 100, math.inf),), "board A is inf mm long"),
        ((Board("A", 100, 1000, -1),), "there are −1 of board A; expected a whole number"),
        ((Board("A", 100, 1000, 1, -5.0),), "board A costs −5; expected 0 or more"),
        ((Board("A", 4, 1000, 9),), "board A: edge loss takes its whole width"),
        ((Board("A", 100, 30, 9),), "board A: end waste takes its whole length"),
        ((Board("A", 100, 1000, 0),), "board A: none of it is left"),
        # 5 strips of 96 mm make 480 of 940 mm.
        ((Board("A", 100, 1000, 5),), "they are 480 mm wide.* 940 mm. 460 mm of width is mis"),
        # 900 mm less the ends is 870 of 940 mm.
        ((Board("A", 100, 900, 20),), "the longest, A, has 870 mm .* 940 mm across. 70 mm is miss"),
        # 620 mm is a chord of 940 mm at √(470² − 310²) = 353.3 mm: 706.5 mm must be longer boards.
        ((Board("A", 100, 1000, 3), Board("B", 100, 650, 20)),
         "the middle 706.5 mm .* more than 620 mm .* are 288 mm wide together. 418.5 mm of width"),
    ],
)  # fmt: skip
def test_a_bad_rack_is_told_in_plain_words(rack, words) -> None:
    with pytest.raises((BoardsFallShort, RangeError), match=words):
        lay_out(rack, 920, **TOP)


def test_what_is_short_is_told_in_inches_too() -> None:
    # 480 mm are 18.898 in and 460 mm 18.110 in.
    with pytest.raises(BoardsFallShort, match=r"18 29/32 in wide .* 18 1/8 in of width is"):
        lay_out((Board("A", 100, 1000, 5),), 920, style=ShopStyle(display="in"), **TOP)


def test_lengths_that_cannot_be_shared_out() -> None:
    """Enough of every length, but not for two sides: found by trying all, told with what would do.

    The one long strip of 300 mm leaves 350 mm at either side; the others are 500, 100 and 100."""
    rack = (Board("long", 300, 1000), Board("a", 500, 960), Board("b", 100, 700, 2))
    strips = strips_of(rack, BARE)
    assert brute.best(strips, 500) is None
    with pytest.raises(BoardsFallShort, match=r"in no order .* a top of at most") as caught:
        lay_out(rack, 1000, **BARE)
    largest = caught.value.largest
    assert brute.best(strips, largest / 2) is not None
    assert brute.best(strips, largest / 2 + 0.6) is None


@pytest.mark.parametrize(
    "asked",
    [
        {"margin": -1.0}, {"end_waste": -1.0}, {"edge_loss": math.nan}, {"rip": "thin"},
        {"objective": "weight"}, {"objective": "price"}, {"top_diameter": 0.0},
        {"wishes": Wishes(clear_of_centre=-1)}, {"wishes": Wishes(narrowest=math.inf)},
    ],
    ids=str,
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(asked) -> None:
    settled = {"top_diameter": 920, **TOP, **asked}
    with pytest.raises(DesignError, match=r"expected|is not known|has no price"):
        lay_out((Board("A", 500, 1000, 2),), **settled)


# -- large racks ---------------------------------------------------------------------------------


def twenty(number: int) -> tuple[Board, ...]:
    random = np.random.default_rng(number)
    return tuple(
        Board(f"{k}", float(w), float(length))
        for k, (w, length) in enumerate(
            zip(random.uniform(60, 220, 20), random.uniform(500, 1300, 20), strict=True)
        )
    )


def test_twenty_boards_are_proved_and_quick() -> None:
    """One second is promised; twice that here, for a busy machine, of its own time."""
    proved = 0
    for number in range(12):
        for asked in ({}, {"rip": "all alike"}):
            start = time.process_time()
            try:
                proved += lay_out(twenty(number), 850, **asked, **TOP).proved
            except BoardsFallShort as short:
                assert "there may be one" not in str(short)
                proved += 1
            assert time.process_time() - start < 2
    assert proved == 24


@pytest.mark.parametrize("asked", [{}, {"rip": "all alike"}, {"objective": "price"}], ids=str)
@pytest.mark.parametrize("kind", ["5000 entries", "a count of 5000"])
def test_five_thousand_boards(kind, asked) -> None:
    """Two seconds are promised; twice that here, for a busy machine, of its own time."""
    random = np.random.default_rng(9)
    if kind == "5000 entries":
        sizes = zip(random.integers(60, 250, 5000), random.integers(400, 1500, 5000), strict=True)
        rack = tuple(
            Board(f"{k}", float(w), float(length), 1, float(w * length / 1e4))
            for k, (w, length) in enumerate(sizes)
        )
    else:
        rack = (Board("A", 100, 1000, 5000, 7.0), Board("B", 150, 700, 5000, 7.5))
    start = time.process_time()
    layout = lay_out(rack, 900, **asked, **TOP)
    assert time.process_time() - start < 4
    check_rules(layout, rack, 900, TOP, asked.get("rip", "as wide as each goes"))
    assert layout.proved or 0 < layout.gap < 0.1
    # No layout can take less than the circle itself.
    assert layout.boards_area * (1 - layout.gap) > layout.circle_area


def test_a_gap_is_true() -> None:
    """A rack too large to be proved whose best is known: squares of the circle hidden in it."""
    random = np.random.default_rng(4)
    noise = tuple(
        Board(f"{k}", float(w), float(length))
        for k, (w, length) in enumerate(
            zip(random.uniform(60, 250, 2000), random.uniform(400, 1500, 2000), strict=True)
        )
    )
    whole = lay_out(noise, 900, **TOP)
    some = lay_out(tuple(noise[k] for k in range(0, 2000, 100)), 900, **TOP)
    assert some.proved and not whole.proved
    least = whole.boards_area * (1 - whole.gap)
    assert least <= some.boards_area and whole.boards_area <= some.boards_area
