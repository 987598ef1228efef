"""Many designs at once: arrays in, arrays out, and for each design that cannot be the reason why.

The compiled plan runs over arrays a chunk at a time, so a million designs need no more memory
than their results; `sweep_chunks` does not even keep those.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tablekit.engine.conflict import too_little
from tablekit.engine.declarations import Declarations
from tablekit.engine.judge import Codes, in_words, wrong_givens
from tablekit.engine.plan import missing_count, plan_of, settling_sets
from tablekit.engine.program import CHUNK, as_floats
from tablekit.engine.slack import settle

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sweep:
    """Designs of any shape. Every array has `shape`; numbers are in reporting units.

    givens   by name, broadcast to the shape; nan where masked
    values   the wanted results by name; nan where not ok, and where a design has no such value
    ok       which designs can be, as far as they were asked about: see `sweep`
    reason   0 where ok, else the index into `reasons` of what goes wrong first
    reasons  texts; `reasons[0]` is empty
    """

    shape: tuple[int, ...]
    givens: Mapping[str, Floats]
    values: Mapping[str, Floats]
    ok: NDArray[np.bool_]
    reason: NDArray[np.int32]
    reasons: list[str]

    def __getitem__(self, name: str) -> Floats:
        return self.values[name]

    def why(self, *index: int) -> str:
        """Why the design at `index` is not ok; '' where it is."""
        return self.reasons[int(self.reason[index])]

    def table(self) -> list[dict[str, float | bool | str]]:
        """One row for each design, in order: givens, results, `ok` and `reason` in words."""
        columns = {name: column.ravel() for name, column in {**self.givens, **self.values}.items()}
        ok, reason = self.ok.ravel(), self.reason.ravel()
        return [
            {
                **{name: float(column[row]) for name, column in columns.items()},
                "ok": bool(ok[row]),
                "reason": self.reasons[int(reason[row])],
            }
            for row in range(ok.size)
        ]


def sweep(
    network: Declarations,
    givens: Mapping[str, ArrayLike],
    wanted: Sequence[str] | None = None,
    *,
    whole_design: bool = False,
) -> Sweep:
    """Every design that `givens` (reporting units, arrays broadcast together) describe.

    The plan alone is run: no search goes on where it finds nothing, as in `Network.solve`, and what
    gave way beyond its usual band is not refused.

    wanted        the results to keep; all that the plan finds if not said
    whole_design  judge the whole design though only some results are wanted

    Where all is wanted or judged, `ok` says that the design can be; else that these results can:
    only the relations that lead to them are evaluated and judged, and of several values the
    usual one that fits those relations is taken. What is nan or masked keeps its place, is not
    ok, and says so in `reason`.

    Raises UnknownName, NotEnoughGiven where something stays free, and ValueError where the
    arrays do not broadcast. A design that cannot be raises nothing: see `ok` and `reason`.
    """
    return GradualSweep(network, givens, wanted, whole_design=whole_design).finish()


class GradualSweep:
    """A sweep that is worked out some designs at a time, so that others may go between.

    left  how many designs are still to be worked out

    Arguments and errors as for `sweep`.
    """

    def __init__(
        self,
        network: Declarations,
        givens: Mapping[str, ArrayLike],
        wanted: Sequence[str] | None = None,
        *,
        whole_design: bool = False,
    ):
        self._runner = runner = _Runner(network, givens, wanted, whole_design)
        self._values = {name: np.empty(runner.size) for name in runner.wanted}
        self._reason = np.zeros(runner.size, dtype=np.int32)
        self.left = runner.size

    def go_on(self, count: int) -> None:
        """Work out the next `count` designs in flat order, or as many as are left."""
        start = self._runner.size - self.left
        where = slice(start, min(start + count, self._runner.size))
        found, self._reason[where] = self._runner.run(where)
        for name, column in found.items():
            self._values[name][where] = column
        self.left = self._runner.size - where.stop

    def finish(self) -> Sweep:
        """All of it; what is left is worked out first."""
        while self.left:
            self.go_on(CHUNK)
        runner = self._runner
        reason = self._reason.reshape(runner.shape)
        return Sweep(
            runner.shape,
            runner.columns,
            {name: column.reshape(runner.shape) for name, column in self._values.items()},
            reason == 0,
            reason,
            runner.reasons,
        )


def sweep_chunks(
    network: Declarations,
    givens: Mapping[str, ArrayLike],
    wanted: Sequence[str] | None = None,
    size: int = CHUNK,
    *,
    whole_design: bool = False,
) -> Iterator[Sweep]:
    """As `sweep`, `size` designs at a time in flat order, so that memory stays flat.

    A grid need not be laid out: give its axes shaped to broadcast, say (1000, 1) and (1, 1000).
    Codes in `reason` mean the same in every chunk; `reasons` grows as new ones turn up.
    """
    runner = _Runner(network, givens, wanted, whole_design)
    for start in range(0, runner.size, size):
        where = slice(start, min(start + size, runner.size))
        values, reason = runner.run(where)
        part = {name: _flat(column, where) for name, column in runner.columns.items()}
        yield Sweep(reason.shape, part, values, reason == 0, reason, runner.reasons)


class _Runner:
    """One plan, ready to run over any slice of the designs in flat order.

    reasons  texts by code, in the order in which they turned up
    """

    def __init__(
        self,
        network: Declarations,
        givens: Mapping[str, ArrayLike],
        wanted: Sequence[str] | None,
        whole_design: bool,
    ):
        self._network = network
        plan = plan_of(network, givens)
        if plan.free:
            raise too_little(network, plan.free, missing_count(plan), settling_sets(plan))
        self.wanted = tuple(dict.fromkeys(plan.found if wanted is None else wanted))
        for name in self.wanted:
            network.quantity(name)
        whole = plan.program
        some = wanted is not None and not whole_design
        self._program = whole.leading_to(self.wanted) if some else whole
        given = {name: as_floats(column) for name, column in givens.items()}
        masks = {name: np.ma.getmaskarray(np.ma.asarray(c)) for name, c in givens.items()
                 if np.ma.is_masked(c)}  # fmt: skip
        self._alone = {name: float(column) for name, column in given.items() if not column.ndim}
        # Views only: broadcasting copies nothing until a slice is taken.
        laid_out = np.broadcast_arrays(*given.values()) if given else []
        self.columns: dict[str, Floats] = dict(zip(given, laid_out, strict=True))
        self.shape: tuple[int, ...] = laid_out[0].shape if laid_out else ()
        self.size = math.prod(self.shape)
        self._masks = {name: np.broadcast_to(mask, self.shape) for name, mask in masks.items()}
        self.reasons = [""]
        self._reason_of: dict[int, int] = {0: 0}  # by the code of the judge

    def run(self, where: slice) -> tuple[dict[str, Floats], Codes]:
        """The wanted results (reporting units) and the reason codes of a slice, not empty."""
        varied = {n: _flat(c, where) for n, c in self.columns.items() if n not in self._alone}
        numbers: dict[str, Any] = {**self._alone, **varied}
        quantities = self._network.quantities
        si = {name: quantities[name].to_si(number) for name, number in numbers.items()}
        reason = self._of_givens(numbers, where)
        parts: list[dict[str, Floats]] = []
        for inner, known, codes in self._program.judged_chunks(si):
            # Taken out one by one, so that each lies where the one before it lay.
            values = {n: self._reported(n, known.pop(n), codes.size) for n in self.wanted}
            parts.append(values)
            if codes.any():
                codes[reason[inner] != 0] = 0
                reason[inner] += self._of_judge(codes)
            failed = np.nonzero(reason[inner])[0]
            if failed.size:
                for column in values.values():
                    column[failed] = np.nan
        if len(parts) == 1:
            return parts[0], reason
        return {
            name: np.concatenate([part[name] for part in parts]) for name in self.wanted
        }, reason

    def _reported(self, name: str, value: Any, count: int) -> Floats:
        """In the reporting unit, one for each of `count` designs, in an array of its own."""
        quantity = self._network.quantities[name]
        number = settle(quantity.from_si(value), quantity.low, quantity.high)
        return number if np.ndim(number) else np.full(count, number)

    def _of_givens(self, numbers: Mapping[str, Any], where: slice) -> Codes:
        """Codes of designs of which a given cannot be."""
        reason = np.zeros(where.stop - where.start, dtype=np.int32)
        masks = {name: _flat(mask, where) for name, mask in self._masks.items()}
        for wrong, text in wrong_givens(self._network, numbers, masks):
            if np.any(wrong):
                reason[(reason == 0) & wrong] = self._reason(text)
        return reason

    def _of_judge(self, codes: Codes) -> Codes:
        """The codes of this sweep for those of the judge; 0 stays 0."""
        kinds, place = np.unique(codes, return_inverse=True)
        for code in kinds.tolist():
            problem = self._program.judge.problems[code]
            if problem is not None and code not in self._reason_of:
                self._reason_of[code] = self._reason(in_words(problem, self._network))
        return np.array([self._reason_of[code] for code in kinds.tolist()], dtype=np.int32)[place]

    def _reason(self, text: str) -> int:
        """The code of a text, a new one if it has none yet."""
        if text not in self.reasons:
            self.reasons.append(text)
        return self.reasons.index(text)


def _flat(column: NDArray[Any], where: slice) -> NDArray[Any]:
    """A slice of an array in flat order, of which nothing else is laid out."""
    return column[where] if column.ndim == 1 else np.atleast_1d(column.flat[where])


@dataclass(frozen=True)
class FeasibleMap:
    """A sweep over two axes: rows follow `y`, columns follow `x` (both in reporting units)."""

    x_name: str
    y_name: str
    x: Floats
    y: Floats
    sweep: Sweep

    @property
    def ok(self) -> NDArray[np.bool_]:
        """Which designs can be, shape (len(y), len(x))."""
        return self.sweep.ok


class GradualMap:
    """Which designs can be while two givens vary, and why not elsewhere, worked out some designs at
    a time.

    x, y   (name, low, high) in reporting units; they may also stand in `givens`, and win
    size   number of designs along x and along y
    wanted, whole_design   as in `sweep`, which also says what "can be" means and what is raised
    """

    def __init__(
        self,
        network: Declarations,
        givens: Mapping[str, float],
        x: tuple[str, float, float],
        y: tuple[str, float, float],
        size: tuple[int, int] = (80, 60),
        wanted: Sequence[str] | None = None,
        *,
        whole_design: bool = False,
    ):
        across, up = np.linspace(x[1], x[2], size[0]), np.linspace(y[1], y[2], size[1])
        both: dict[str, ArrayLike] = {**givens, x[0]: across[None, :], y[0]: up[:, None]}
        self._names, self._axes = (x[0], y[0]), (across, up)
        self.designs = GradualSweep(network, both, wanted, whole_design=whole_design)

    def finish(self) -> FeasibleMap:
        """All of it; what is left is worked out first."""
        return FeasibleMap(*self._names, *self._axes, self.designs.finish())


def pareto_front(
    values_a: ArrayLike,
    values_b: ArrayLike,
    ok: ArrayLike | None = None,
    maximise: tuple[bool, bool] = (True, False),
) -> NDArray[np.intp]:
    """Flat indices of the designs that no other beats in one value without losing in the other.

    Designs that are not ok or have no value are passed over; equals all stay. maximise says for
    each value whether more is better. The best in `values_a` comes first. O(n log n).
    """
    a = np.asarray(values_a, dtype=float).ravel() * (1 if maximise[0] else -1)
    b = np.asarray(values_b, dtype=float).ravel() * (1 if maximise[1] else -1)
    good = np.isfinite(a) & np.isfinite(b)
    if ok is not None:
        good &= np.asarray(ok, dtype=bool).ravel()
    candidates = np.nonzero(good)[0]
    order = candidates[np.lexsort((-b[candidates], -a[candidates]))]
    if not order.size:
        return order
    a, b = a[order], b[order]
    starts = np.concatenate([[True], a[1:] != a[:-1]])
    leader = np.maximum.accumulate(np.where(starts, np.arange(a.size), 0))
    # The best b among all with a greater a: what a design has to beat.
    best = np.maximum.accumulate(b)
    before = np.where(leader > 0, best[np.maximum(leader - 1, 0)], -np.inf)
    front: NDArray[np.intp] = order[(b == b[leader]) & (b > before)]
    return front
