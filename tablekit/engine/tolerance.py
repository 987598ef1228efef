"""What inexact sizes do to a design: a tolerance on each size made, a spread on each result.

The design is taken as made: the sizes made drive the plan and the wishes follow. "±" is read as
two standard deviations of a normal distribution, so that about 19 sizes in 20 lie within it, and
so do about 19 designs in 20 within the ± reported for a result. The errors are independent. The
worst case, in which every size is off by its whole ± in the least favourable way, is reported
separately.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.as_cut import AsCut, as_cut, difference
from tablekit.engine.jacobian import slopes_at
from tablekit.engine.shop import plain_number
from tablekit.engine.source import Source
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
) -> AsCut:
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


def draw(cut: AsCut, tolerances: Sequence[Tolerance], samples: int, seed: int) -> dict[str, Floats]:
    """Sizes drawn at random about the numbers of `cut`, each array of length `samples`, in SI."""
    random = np.random.default_rng(seed)
    quantities = cut.plan.network.quantities
    return {
        t.name: quantities[t.name].to_si(cut.numbers[t.name])
        + quantities[t.name].scale * t.plus_minus / DEVIATIONS * random.standard_normal(samples)
        for t in tolerances
    }


def evaluate(
    cut: AsCut, columns: Mapping[str, Floats], wanted: Sequence[str], count: int
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
    cut: AsCut, tolerances: Sequence[Tolerance], results: Sequence[str]
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
