"""What inexact sizes do to a design, and how far sizes stray in one's own work.

The design is taken as made: the sizes made drive the plan and the wishes follow. "±" is read as
two standard deviations of a normal distribution, so that about 19 sizes in 20 lie within it, and
so do about 19 designs in 20 within the ± reported for a result. The errors are independent. The
worst case, in which every size is off by its whole ± in the least favourable way, is reported
separately.

Of pieces that were measured, the errors of one kind of size are taken for a sample of a normal
distribution. What the sample says of the mean and of the spread comes with the range that it leaves
open 19 times in 20: by Student's t for the mean, by chi-squared for the spread. With few pieces
that range is wide.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.as_cut import CutPlan, as_cut, difference
from tablekit.engine.jacobian import slopes_at
from tablekit.engine.quantity import Source
from tablekit.engine.shop import plain_number
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, figures_text
from tablekit.engine.wording import Wording

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


Floats = NDArray[np.float64]
SAMPLES = 20_000
DEVIATIONS = 2.0  # how many standard deviations a ± stands for
_MOST_CORNERS = 12


@dataclass(frozen=True)
class Tolerance:
    """How well a size is made: `name` of the quantity, ± in its reporting unit, and who says so."""

    name: str
    plus_minus: float
    source: Source


@dataclass(frozen=True)
class ResultSpread:
    """The spread of one result, in its reporting unit.

    plus_minus    to first order: two standard deviations, by root of the sum of squares
    shares        of the variance, by the name of the size, the largest first; they sum to 1
    slopes        of the result by each size, reporting unit per reporting unit
    worst         worst case to first order: sum of |slope| × tolerance
    corners       least and greatest over all sizes at either end of their ±; None above 12 sizes
    mean, drawn   mean and two standard deviations of the designs drawn at random
    low, high     19 of 20 designs drawn lie between these
    drawn_error   standard error of `drawn`; of the mean it is drawn / 2 / √(designs drawn)
    """

    name: str
    unit: str
    nominal: float
    plus_minus: float
    shares: Mapping[str, float]
    slopes: Mapping[str, float]
    worst: float
    corners: tuple[float, float] | None
    mean: float
    drawn: float
    low: float
    high: float
    drawn_error: float
    style: ShopStyle = field(default_factory=ShopStyle)
    wording: Wording = field(default_factory=Wording)

    def sentence(self) -> str:
        """Which size matters most, in one sentence."""
        if not self.plus_minus > 0:
            return f"None of these {self.wording.made} moves {self.name}."
        name, share = next(iter(self.shares.items()))
        within = figures_text(self.plus_minus, self.unit, self.style, 2)
        nominal = figures_text(self.nominal, self.unit, self.style)
        return (
            f"{self.name} comes out within ±{within} of {nominal} 19 times in 20; {name} matters "
            f"most, with {100 * share:.0f} % of the variance."
        )


@dataclass(frozen=True)
class Spread:
    """The spread of several results.

    results     by name
    tolerances  as they were given
    drawn       how many designs were drawn at random; `failed` of them are no design, because
                something falls out of range, and are left out of the figures
    """

    results: Mapping[str, ResultSpread]
    tolerances: tuple[Tolerance, ...]
    drawn: int
    failed: int
    seed: int
    wording: Wording = field(default_factory=Wording)

    def __getitem__(self, name: str) -> ResultSpread:
        return self.results[name]

    def text(self) -> str:
        """One sentence for each result, and how ± is meant."""
        lines = [result.sentence() for result in self.results.values()]
        lines.append(
            "± means two standard deviations of a normal distribution: 19 of 20 "
            f"{self.wording.made} lie within."
        )
        if self.failed:
            lines.append(
                f"{self.failed} of {self.drawn} designs drawn at random cannot be: something "
                f"falls out of its range. This {self.wording.thing} is close to an edge."
            )
        return "\n".join(lines)


def spread(
    sheet: Sheet,
    results: Sequence[str],
    tolerances: Sequence[Tolerance],
    *,
    samples: int = SAMPLES,
    seed: int = 0,
) -> Spread:
    """The spread of `results` when every size made is off by its tolerance.

    Three ways: to first order, by the worst case (to first order and, up to 12 sizes, at every
    corner), and by `samples` designs drawn at random from `seed`. Raises UnknownName; DesignError
    where a tolerance is negative, is given twice, or is put on something that follows from the
    other sizes.
    """
    words = sheet.network.wording
    cut = tolerant_plan(sheet, tolerances, results)
    moving = tuple(t for t in tolerances if t.plus_minus > 0)
    names = [t.name for t in moving]
    outcome = cut.plan.program.run(cut.si)
    wrong = difference(outcome.values, sheet)
    if wrong:
        raise DesignError(
            f"the {words.made} do not give back the sheet's {wrong}, so its spread is unknown"
        )
    slopes = slopes_at(cut.plan, outcome.values, results, names)
    drawn, good = evaluate(cut, draw(cut, moving, samples, seed), results, samples)
    corners = _corners(cut, moving, results)
    found = {
        name: _result(sheet, name, moving, slopes, drawn[name][good], corners.get(name))
        for name in results
    }
    return Spread(found, tuple(tolerances), samples, int(samples - good.sum()), seed, words)


def tolerant_plan(
    sheet: Sheet, tolerances: Sequence[Tolerance], results: Sequence[str] = ()
) -> CutPlan:
    """The plan as made with every toleranced quantity among its givens, and no result if it can.

    Raises as `spread`."""
    names = [tolerance.name for tolerance in tolerances]
    for tolerance in tolerances:
        sheet.network.quantity(tolerance.name)
        if not tolerance.plus_minus >= 0:
            raise DesignError(
                f"the tolerance of {tolerance.name} is {plain_number(tolerance.plus_minus)}; a "
                "tolerance is a size, so write it without a sign"
            )
        if names.count(tolerance.name) > 1:
            raise DesignError(f"{tolerance.name} has two tolerances; leave one out")
    cut = as_cut(sheet, names, results)
    for name in names:
        if name not in cut.numbers:
            raise DesignError(
                f"{name} follows from the other {sheet.network.wording.made} "
                f"({', '.join(cut.plan.givens_behind(name))}), so it cannot have a "
                "tolerance of its own; leave its tolerance out"
            )
    return cut


def draw(
    cut: CutPlan, tolerances: Sequence[Tolerance], samples: int, seed: int
) -> dict[str, Floats]:
    """Sizes drawn at random about the numbers of `cut`, each array of length `samples`, in SI."""
    random = np.random.default_rng(seed)
    quantities = cut.plan.network.quantities
    return {
        t.name: quantities[t.name].to_si(cut.numbers[t.name])
        + quantities[t.name].scale * t.plus_minus / DEVIATIONS * random.standard_normal(samples)
        for t in tolerances
    }


def evaluate(
    cut: CutPlan, columns: Mapping[str, Floats], wanted: Sequence[str], count: int
) -> tuple[dict[str, Floats], NDArray[np.bool_]]:
    """Many designs as made: the wanted results in reporting units, and which are possible.

    columns hold what varies, in coherent SI, each of length `count`.
    """
    found = {name: np.empty(count) for name in wanted}
    good = np.zeros(count, dtype=bool)
    for where, values, holds in cut.plan.program.chunks({**cut.si, **columns}, wanted):
        for name in wanted:
            found[name][where] = cut.plan.network.quantities[name].from_si(values[name])
        good[where] = holds
    return found, good


def _corners(
    cut: CutPlan, tolerances: Sequence[Tolerance], results: Sequence[str]
) -> dict[str, tuple[float, float]]:
    """Least and greatest of each result over all sizes at either end of their ±."""
    if not 0 < len(tolerances) <= _MOST_CORNERS:
        return {}
    count = 2 ** len(tolerances)
    ends = np.arange(count)
    quantities = cut.plan.network.quantities
    columns = {}
    for bit, t in enumerate(tolerances):
        side = np.where(ends >> bit & 1, 1.0, -1.0)
        of, ends_of_it = quantities[t.name], cut.numbers[t.name] + side * t.plus_minus
        columns[t.name] = of.zero + of.scale * ends_of_it
    found, good = evaluate(cut, columns, results, count)
    return {
        name: (float(found[name][good].min()), float(found[name][good].max()))
        for name in results
        if good.any()
    }


def _result(
    sheet: Sheet,
    name: str,
    tolerances: Sequence[Tolerance],
    slopes: Mapping[tuple[str, str], float],
    drawn: Floats,
    corners: tuple[float, float] | None,
) -> ResultSpread:
    parts = {t.name: slopes[name, t.name] * t.plus_minus for t in tolerances}
    variance = sum(part**2 for part in parts.values())
    ranked = sorted(parts, key=lambda cut: -abs(parts[cut]))
    deviation = float(np.std(drawn, ddof=1)) if drawn.size > 1 else math.nan
    low, high = np.percentile(drawn, [2.5, 97.5]) if drawn.size else (math.nan, math.nan)
    return ResultSpread(
        name=name,
        unit=sheet.network.quantities[name].unit,
        nominal=sheet.number(name),
        plus_minus=math.sqrt(variance),
        shares={cut: parts[cut] ** 2 / variance for cut in ranked} if variance > 0 else {},
        slopes={t.name: slopes[name, t.name] for t in tolerances},
        worst=sum(abs(part) for part in parts.values()),
        corners=corners,
        mean=float(np.mean(drawn)) if drawn.size else math.nan,
        drawn=DEVIATIONS * deviation,
        low=float(low),
        high=float(high),
        # Of a normal sample of n the deviation is known to 1 in √(2(n − 1)) (textbook result).
        drawn_error=DEVIATIONS * deviation / math.sqrt(2 * max(drawn.size - 1, 1)),
        style=sheet.shop_style,
        wording=sheet.network.wording,
    )


# -- pieces that were measured ---------------------------------------------------------------------

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
