"""Cuts a layout piece by piece from the boards, as a person would, and lays it on the circle.

Written without the kit: of a layout only plain numbers are read, and every rule of the cutting is
checked here by plain arithmetic. Raises AssertionError for what cannot be cut, or does not cover.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from math import cos, hypot, pi, sin

NEAR = 1e-4  # mm


def width_at(board: dict, place: float) -> float:
    """Width of a board so far from its first end."""
    return board["width"] + (board["far"] - board["width"]) * place / board["length"]


def area_between(board: dict, start: float, end: float) -> float:
    """Area of a board from here to there, summed up in thin slices."""
    count = 2000
    step = (end - start) / count
    return sum(width_at(board, start + (k + 0.5) * step) * step for k in range(count))


def cut(strips, boards, *, kerf, end_waste, edge_loss, kept):
    """Saws each board; gives (area used up, remainders by board).

    strips  each a dict: board, copy, from, to, width
    boards  by (board, copy): width, far, length, zones as (from, to) pairs
    """
    by_board = defaultdict(list)
    for strip in strips:
        if strip["to"] - strip["from"] > NEAR:
            by_board[strip["board"], strip["copy"]].append(strip)
    used, left = 0.0, {}
    for key, pieces in by_board.items():
        board = boards[key]
        pieces.sort(key=lambda one: one["from"])
        assert pieces[0]["from"] >= end_waste - NEAR, f"{key}: a raw end is used"
        assert pieces[-1]["to"] <= board["length"] - end_waste + NEAR, f"{key}: a raw end is used"
        for one, other in pairwise(pieces):
            assert other["from"] - one["to"] >= kerf - NEAR, f"{key}: no room for the saw"
        for piece in pieces:
            for start, end in board["zones"]:
                apart = piece["to"] <= start + NEAR or piece["from"] >= end - NEAR
                assert apart, f"{key}: a zone to be avoided is used"
            narrowest = min(width_at(board, piece["from"]), width_at(board, piece["to"]))
            assert narrowest - 2 * edge_loss >= piece["width"] - NEAR, f"{key}: too narrow"
        behind = board["length"] - pieces[-1]["to"] - kerf
        before = pieces[0]["from"] - kerf
        # What is left lies at one end or the other, whichever is more; a tapered board is cut from
        # its wide end.
        side, rest = ("end", behind) if behind >= before else ("start", before)
        if board["width"] != board["far"]:
            wide_first = board["width"] > board["far"]
            side, rest = ("end", behind) if wide_first else ("start", before)
        if rest >= kept - NEAR:
            left[key] = rest
            ends = (0, board["length"] - rest) if side == "end" else (rest, board["length"])
            used += area_between(board, *ends)
        else:
            used += area_between(board, 0, board["length"])
    return used, left


def covers(strips, radius) -> bool:
    """Whether the strips, laid with their middles on the centre line, cover the circle."""
    points = [(0.0, 0.0)]
    for ring in range(1, 61):
        out = radius * ring / 60 - 1e-5
        points += [(out * cos(2 * pi * k / 360), out * sin(2 * pi * k / 360)) for k in range(360)]
    # Just inside the rim at each joint, where a strip that is too short shows first.
    for strip in strips:
        for x in (strip["left"] + 1e-5, strip["right"] - 1e-5):
            if abs(x) < radius:
                y = (radius**2 - x**2) ** 0.5 - 1e-3
                points += [(x, y), (x, -y)] if y > 0 else []
    assert max(hypot(x, y) for x, y in points) <= radius
    return all(
        any(
            one["left"] - NEAR <= x <= one["right"] + NEAR
            and abs(y) <= (one["to"] - one["from"]) / 2 + NEAR
            for one in strips
        )
        for x, y in points
    )
