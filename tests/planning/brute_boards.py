"""The best layout of a few boards by trying them all, written without the kit.

Every subset, in every order, is laid over the circle at every place where one of its demands is
just met: at the ends and in between nothing else can happen, so if it fits anywhere it fits there.
"""

from __future__ import annotations

from itertools import accumulate, permutations
from math import inf, sqrt

NEAR = 1e-7  # mm


def need(radius: float, left: float, right: float) -> float:
    """Longest chord covered from left to right of the centre."""
    nearest = 0.0 if left <= 0 <= right else min(abs(left), abs(right))
    return 2 * sqrt(radius**2 - nearest**2) if nearest < radius else 0.0


def off(radius: float, length: float) -> float:
    return sqrt(max(radius**2 - (max(length, 0) / 2) ** 2, 0.0))


def fits_at(mark, widths, lengths, radius, clear) -> bool:
    edges = [edge - mark for edge in accumulate(widths, initial=0.0)]
    if edges[0] > -radius + NEAR or edges[-1] < radius - NEAR:
        return False
    if any(abs(joint) < clear - NEAR for joint in edges[1:-1]):
        return False
    # A place that is off by so little must not count as a strip too short.
    return all(
        need(radius, a + NEAR if a > 0 else a, b - NEAR if b < 0 else b) <= length + NEAR
        for a, b, length in zip(edges, edges[1:], lengths, strict=False)
    )


def fits(widths, lengths, radius, clear=0.0, centred=False) -> bool:
    """Whether a row lies anywhere."""
    total = sum(widths)
    if total < 2 * radius - NEAR:
        return False
    edges = list(accumulate(widths, initial=0.0))
    marks = {radius, total - radius, total / 2}
    if not centred:
        for a, b, length in zip(edges, edges[1:], lengths, strict=False):
            marks |= {a - off(radius, length), b + off(radius, length)}
        marks |= {joint + side * clear for joint in edges[1:-1] for side in (-1, 1)}
    else:
        marks = {total / 2}
    return any(fits_at(mark, widths, lengths, radius, clear) for mark in marks)


def best(boards, radius, *, clear=0.0, alike=False, symmetrical=False):
    """Least (cost, strips) of all rows, or None. boards: (strip width, usable length, cost)."""
    found = (inf, 0)
    for number in range(1, len(boards) + 1):
        for row in permutations(range(len(boards)), number):
            if row[0] > row[-1]:
                continue  # its mirror image is tried too
            cost = (sum(boards[k][2] for k in row), number)
            if cost[0] > found[0] - 1e-6 and cost >= (found[0] - 1e-6, found[1]):
                continue
            widths = [boards[k][0] for k in row]
            if alike:
                widths = [min(widths)] * number
            if symmetrical:
                widths = [min(pair) for pair in zip(widths, reversed(widths), strict=True)]
            lengths = [boards[k][1] for k in row]
            if min(widths) > 0 and fits(widths, lengths, radius, clear, symmetrical):
                found = cost
    return None if found[0] == inf else found
