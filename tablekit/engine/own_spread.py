"""How far sizes stray in one's own work, judged from pieces that were measured.

The errors of one kind of size are taken for a sample of a normal distribution. What the sample
says of the mean and of the spread comes with the range that it leaves open 19 times in 20: by
Student's t for the mean, by chi-squared for the spread. With few pieces that range is wide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tablekit.engine.source import Source
from tablekit.engine.tolerance import DEVIATIONS, Tolerance

# From this many pieces on, a spread stands in for an assumed tolerance. Our own choice: the true
# spread of five may still be 2.9 times what they show, of three more than 6 times.
ENOUGH = 5
_TAIL = 0.025  # on either side of a range that holds 19 times in 20
_NOTHING = 1e-9


@dataclass(frozen=True)
class OwnSpread:
    """The errors of one kind of size, measured less drawn, in its reporting unit.

    name    of the quantity
    errors  one of each piece; at least one
    """

    name: str
    errors: Sequence[float]

    @property
    def count(self) -> int:
        """How many pieces were measured."""
        return len(self.errors)

    @property
    def mean(self) -> float:
        """The mean error."""
        return float(np.mean(self.errors))

    @property
    def deviation(self) -> float:
        """Standard deviation of the errors, estimated from the sample; nan of a single piece."""
        return float(np.std(self.errors, ddof=1)) if self.count > 1 else math.nan

    @property
    def plus_minus(self) -> float:
        """What a tolerance calls ±: two standard deviations."""
        return DEVIATIONS * self.deviation

    @property
    def mean_range(self) -> tuple[float, float]:
        """Where the mean of all that is cut lies, 19 times in 20; nan of a single piece."""
        from scipy.special import stdtrit

        freedom = self.count - 1
        if freedom < 1:
            return math.nan, math.nan
        off = float(stdtrit(freedom, 1 - _TAIL)) * self.deviation / math.sqrt(self.count)
        return self.mean - off, self.mean + off

    @property
    def plus_minus_range(self) -> tuple[float, float]:
        """Where the ± of all that is cut lies, 19 times in 20; nan of a single piece."""
        from scipy.special import chdtri

        freedom = self.count - 1
        if freedom < 1:
            return math.nan, math.nan
        # chdtri has the probability of what lies above.
        low, high = (
            self.plus_minus * math.sqrt(freedom / float(chdtri(freedom, above)))
            for above in (_TAIL, 1 - _TAIL)
        )
        return low, high

    @property
    def biased(self) -> bool:
        """Whether the mean is off by more than chance explains 19 times in 20."""
        low, high = self.mean_range
        return low > _NOTHING or high < -_NOTHING

    @property
    def alike(self) -> bool:
        """Whether all errors are the same, as far as they were read: then they tell no spread."""
        return max(self.errors) - min(self.errors) <= _NOTHING

    @property
    def serves(self) -> bool:
        """Whether it can stand in for an assumed tolerance."""
        return self.count >= ENOUGH and not self.alike

    def tolerance(self) -> Tolerance:
        """The spread as a tolerance."""
        source = Source("measured", f"{self.count} pieces")
        return Tolerance(self.name, self.plus_minus, source)
