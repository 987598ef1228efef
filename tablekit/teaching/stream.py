"""Numbers drawn from a seed: the same for the same seed, on every machine and for ever.

The module `random` is not used: its global stream could be disturbed by anything else in a
notebook, and how it turns a seed into numbers is not promised from one Python to the next.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Stream:
    """A stream of choices that a text alone decides."""

    def __init__(self, key: str):
        self.key = key
        self._drawn = 0

    def below(self, count: int) -> int:
        """A whole number from 0 to `count` less one, each as likely as the others.

        Raises ValueError where there is nothing to choose from."""
        if count < 1:
            raise ValueError(f"{count} is too few to choose from")
        text = f"{self._drawn}/{self.key}"
        self._drawn += 1
        # 256 bits over a handful of choices: what the remainder favours is beyond notice.
        return int.from_bytes(hashlib.sha256(text.encode()).digest(), "big") % count

    def pick(self, choices: Sequence[T]) -> T:
        """One of the choices."""
        return choices[self.below(len(choices))]

    def shuffled(self, things: Sequence[T]) -> list[T]:
        """The same things in another order."""
        left = list(things)
        return [left.pop(self.below(len(left))) for _ in things]


# Letters and figures that are not taken for one another when they are written by hand.
_SIGNS = "ABCDEFGHJKLMNPQRTUVWXY34679"


def sheet_code(seed: int | str, display: str, student: int | str) -> str:
    """The code of a student's sheet in a class of these units: the same on paper and on screen."""
    return code(f"{seed}/{display}", student)


def code(seed: int | str, student: int | str) -> str:
    """Five signs that stand for one student's sheet, to find its answers by."""
    stream = Stream(f"code/{seed}/{student}")
    return "".join(stream.pick(_SIGNS) for _ in range(5))
