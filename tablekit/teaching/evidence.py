"""How much it says that an answer agrees with the number of a known mistake.

A coarse answer, or a whole number among whole numbers, agrees with some known mistake or other by
chance. The chance is counted: of wrong answers of about this size, each as likely as the next, the
share that would have agreed with one of the mistakes as closely as the figures given can tell.
"""

from __future__ import annotations

from collections.abc import Iterable

# Wrong answers of about the same size: from this one divided by it to this one times it.
ABOUT = 1.5
# A mistake is stated where at most 1 in 200 wrong answers would have agreed by chance; else it is
# asked about. Our own choice: in a class of thirty with six questions each, and every answer wrong,
# less than one is told something that is not so.
STATED = 1 / 200
_SAME = 1e-6
# The steps that numbers of a question lie on, from the coarsest: whole units, halves, fractions of
# an inch, decimals.
_DECIMAL = tuple(10.0**-k * half for k in range(6) for half in (1.0, 0.5))
_RULE = (1.0, 0.5, 0.25, 0.125, 0.0625, 0.03125)


def step_of(number: float, *, rule: bool) -> float:
    """The coarsest step that a number lies on, in its own unit: 1 for 31, 0.5 for 31.5; 0 where it
    lies on none, as most with a root or an angle in them do.

    rule  whether fractions of an inch are steps too
    """
    steps = sorted({*_DECIMAL, *(_RULE if rule else ())}, reverse=True)
    return next((one for one in steps if abs(number / one - round(number / one)) < _SAME), 0.0)


def chance(number: float, half: float, known: Iterable[float]) -> float:
    """The share of wrong answers of about this size that lie within `half` of a known number.

    1 where the number or `half` is so that nothing can be told.
    """
    size = abs(number)
    low, high = size / ABOUT, size * ABOUT
    if not high > low:
        return 1.0
    taken, end = 0.0, low
    for one in sorted(abs(one) for one in known):
        start, stop = max(one - half, end), min(one + half, high)
        if stop > start:
            taken, end = taken + stop - start, stop
    return taken / (high - low)
