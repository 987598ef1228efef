"""Strips in a given order: where the row may lie over the circle."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_stock import grains

Interval = tuple[float, float]
# What rounding may hide, mm: a row that fits to a few millionths of a millimetre fits.
EASE = 4e-6


def keep_off(diameter: float, length: float) -> float:
    """How near the centre a strip of usable `length` may come, mm; 0 if as long as the circle."""
    if grains(length) >= grains(diameter):
        return 0.0
    return float(formulas.keep_off(diameter, length)) if length > 0 else diameter / 2


def place(
    widths: Sequence[float], lengths: Sequence[float], diameter: float, clear: float = 0.0,
    centred: bool = False,
) -> float | None:  # fmt: skip
    """From the left end of the row to the centre mark, mm; None where it cannot lie anywhere.

    widths, lengths   of the strips, from left to right, mm; lengths are usable lengths
    clear             no joint may come nearer the centre mark than this, mm
    centred           the mark must be in the middle of the row

    Of all places that do, the one that leaves the surplus width most evenly on both sides.
    """
    middle = sum(widths) / 2
    for ease in (0.0, EASE):
        found = places(widths, lengths, diameter, clear, ease)
        if centred:
            found = [(middle, middle) for a, b in found if a - ease <= middle <= b + ease]
        if found:
            return min((min(max(middle, a), b) for a, b in found), key=lambda s: abs(s - middle))
    return None


def places(
    widths: Sequence[float], lengths: Sequence[float], diameter: float, clear: float, ease: float
) -> list[Interval]:
    """All places of the centre mark from the row's left end, as intervals in mm.

    A strip too short for the middle has the mark at least so far to its left or its right; each
    such demand leaves two rays, and what all of them leave is what is looked for.
    """
    edges = list(accumulate(widths, initial=0.0))
    left = [(diameter / 2 - ease, edges[-1] - diameter / 2 + ease)]
    gaps = [
        (a - off + ease, b + off - ease)
        for (a, b), length in zip(pairwise(edges), lengths, strict=True)
        if (off := keep_off(diameter, length)) > 0
    ]
    if clear > 0:
        gaps += [(joint - clear + ease, joint + clear - ease) for joint in edges[1:-1]]
    left = [(a, b) for a, b in left if a <= b]
    for low, high in gaps:
        both = [part for a, b in left for part in ((a, min(b, low)), (max(a, high), b))]
        left = [(a, b) for a, b in both if a <= b]
    return left


def edges_about(widths: Sequence[float], mark: float) -> list[Interval]:
    """Left and right edge of each strip, from the centre mark, mm."""
    return list(pairwise(accumulate(widths, initial=-mark)))
