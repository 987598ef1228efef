"""Racks of boards for the tests, derandomized, and a layout handed to the saw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tablekit.planning.boards import BoardLayout, Zone
from tests.planning import cut_boards


@dataclass(frozen=True)
class Board:
    name: str
    width: float
    length: float
    count: int = 1
    price: float | None = None
    end_width: float | None = None
    avoid: tuple[Zone, ...] = ()
    thickness: float | None = None


TOP = {"margin": 10.0, "end_waste": 15.0, "edge_loss": 2.0}
BARE = {"margin": 0.0, "end_waste": 0.0, "edge_loss": 0.0, "saw_kerf": 0.0}
KERF, KEPT = 3.0, 300.0


def rack(number: int, boards: int, across: float, long=(0.5, 1.8), wide=(0.1, 0.26), tapers=0.0,
         knots=0.0) -> tuple[Board, ...]:  # fmt: skip
    """Boards as shares of the circle's diameter; some tapered, some with a zone to be avoided."""
    random = np.random.default_rng(number)
    found = []
    for k in range(boards):
        width, length = (round(float(across * random.uniform(*ends)), 1) for ends in (wide, long))
        far = round(width * float(random.uniform(0.75, 0.95)), 1)
        ends = (far, width) if random.random() < 0.5 else (width, far)
        start = round(float(random.uniform(0, length * 0.9)), 1)
        zone = Zone(start, round(start + float(random.uniform(10, 80)), 1))
        tapered, knotty = random.random() < tapers, random.random() < knots
        found.append(
            Board(
                f"{k}", ends[0] if tapered else width, length, 1,
                round(float(random.uniform(5, 40)), 2), ends[1] if tapered else None,
                (zone,) if knotty and zone.end < length else (),
            )
        )  # fmt: skip
    return tuple(found)


def knotty_rack(
    number: int, boards: int, across: float, long=(0.65, 2.8), wide=(0.1, 0.265)
) -> tuple[Board, ...]:
    """As `rack`, but as a maker's rack of offcuts is: a third of the boards taper, most have up to
    three knots, and some a check at their first end."""
    random = np.random.default_rng(1000 + number)
    found = []
    for k in range(boards):
        width, length = (round(float(across * random.uniform(*ends))) for ends in (wide, long))
        tapered = random.random() < 0.3
        far = round(width * float(random.uniform(0.75, 0.97))) if tapered else None
        starts = random.uniform(0, 0.95, int(random.integers(0, 4))) * length
        zones = [
            Zone(float(start), float(min(length, start + random.uniform(20, 90))))
            for start in np.round(starts)
        ]
        if random.random() < 0.3:
            zones.append(Zone(0.0, float(round(random.uniform(30, 150)))))
        zones.sort(key=lambda zone: zone.start)
        price = round(float(random.uniform(5, 40)), 2)
        found.append(Board(f"{k}", width, length, 1, price, far, tuple(zones)))
    return tuple(found)


def far_width(board: Board) -> float:
    return board.width if board.end_width is None else board.end_width


def check(layout: BoardLayout, rack, across: float, loss=TOP, kerf=KERF, kept=KEPT) -> None:
    """The layout can be cut, covers the circle, and takes what it says."""
    boards = {
        (board.name, copy): {
            "width": board.width, "far": far_width(board), "length": board.length,
            "zones": [(zone.start, zone.end) for zone in board.avoid],
        }
        for board in rack
        for copy in range(1, board.count + 1)
    }  # fmt: skip
    strips = [
        {
            "board": s.board, "copy": s.copy, "from": s.start, "to": s.end, "left": s.left,
            "right": s.right, "width": s.width,
        }
        for s in layout.strips
    ]  # fmt: skip
    used, left = cut_boards.cut(
        strips, boards, kerf=kerf, end_waste=loss["end_waste"], edge_loss=loss["edge_loss"],
        kept=kept,
    )  # fmt: skip
    assert cut_boards.covers(strips, across / 2 + loss["margin"])
    assert abs(layout.boards_area - used) <= 1.0, (layout.boards_area, used)
    said = {(one.board, one.copy): one.left for one in layout.cut if one.left > 0}
    assert said.keys() == left.keys()
    assert all(abs(said[key] - rest) < 1e-3 for key, rest in left.items())
    for one, other in zip(layout.strips, layout.strips[1:], strict=False):
        assert one.right == other.left
