"""Many designs at once: arrays in, arrays out, and for each design that cannot be the reason why.

The compiled plan runs over arrays a chunk at a time, so a million designs need no more memory
than their results; `sweep_chunks` does not even keep those.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tablekit.engine.gaps import too_little
from tablekit.engine.plan import missing_count, settling_sets
from tablekit.engine.reasons import Reasons

if TYPE_CHECKING:
    from tablekit.engine.network import Network
    from tablekit.engine.plan import Plan

Floats = NDArray[np.float64]
_CHUNK = 8192  # as many as the compiled plan takes at a time


@dataclass(frozen=True)
class Sweep:
    """Designs of any shape. Every array has `shape`; numbers are in reporting units.

    givens   by name, broadcast to the shape
    values   the wanted results by name; nan where the design cannot be, or has no such value
    ok       which designs can be
    reason   0 where a design can be, else the index into `reasons` of why it cannot
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
        """Why the design at `index` cannot be; '' where it can."""
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
    network: Network,
    givens: Mapping[str, ArrayLike],
    wanted: Sequence[str] | None = None,
) -> Sweep:
    """Every design that `givens` (reporting units, arrays broadcast together) describe.

    wanted  the results to keep; all that the plan finds if not said.
    Raises UnknownName, NotEnoughGiven where something stays free, and ValueError where the
    arrays do not broadcast. A design that cannot be raises nothing: see `ok` and `reason`.
    """
    runner = _Runner(network, givens, wanted)
    values = {name: np.full(runner.size, np.nan) for name in runner.wanted}
    ok, reason = np.zeros(runner.size, dtype=bool), np.zeros(runner.size, dtype=np.int32)
    for start in range(0, runner.size, _CHUNK):
        where = slice(start, min(start + _CHUNK, runner.size))
        found, ok[where], reason[where] = runner.run(where)
        for name, column in found.items():
            values[name][where] = column
    return Sweep(
        runner.shape,
        runner.columns,
        {name: column.reshape(runner.shape) for name, column in values.items()},
        ok.reshape(runner.shape),
        reason.reshape(runner.shape),
        runner.reasons.texts,
    )


def sweep_chunks(
    network: Network,
    givens: Mapping[str, ArrayLike],
    wanted: Sequence[str] | None = None,
    size: int = _CHUNK,
) -> Iterator[Sweep]:
    """As `sweep`, `size` designs at a time in flat order, so that memory stays flat.

    A grid need not be laid out: give its axes shaped to broadcast, say (1000, 1) and (1, 1000).
    Codes in `reason` mean the same in every chunk; `reasons` grows as new ones turn up.
    """
    runner = _Runner(network, givens, wanted)
    for start in range(0, runner.size, size):
        where = slice(start, min(start + size, runner.size))
        found, ok, reason = runner.run(where)
        part = {name: column.flat[where] for name, column in runner.columns.items()}
        yield Sweep((ok.size,), part, found, ok, reason, runner.reasons.texts)


class _Runner:
    """One plan, ready to run over any slice of the designs in flat order."""

    def __init__(
        self, network: Network, givens: Mapping[str, ArrayLike], wanted: Sequence[str] | None
    ):
        self.network = network
        self.plan: Plan = network.plan(givens)
        if self.plan.free:
            plan = self.plan
            raise too_little(network, plan.free, missing_count(plan), settling_sets(plan))
        self.wanted = tuple(self.plan.found if wanted is None else wanted)
        for name in self.wanted:
            network.quantity(name)
        given = {name: np.asarray(column, dtype=float) for name, column in givens.items()}
        self._alone = {name: float(c) for name, c in given.items() if c.ndim == 0}
        # Views only: broadcasting copies nothing until a slice is taken.
        laid_out = np.broadcast_arrays(*given.values()) if given else []
        self.columns: dict[str, Floats] = dict(zip(given, laid_out, strict=True))
        self.shape: tuple[int, ...] = laid_out[0].shape if laid_out else ()
        self.size = math.prod(self.shape)
        self.reasons = Reasons(self.plan)

    def run(self, where: slice) -> tuple[dict[str, Floats], NDArray[np.bool_], NDArray[np.int32]]:
        """Results (reporting units, nan where not ok), ok and reason codes of a slice."""
        count = where.stop - where.start
        quantities = self.network.quantities
        part = {
            name: np.atleast_1d(column.flat[where])
            for name, column in self.columns.items()
            if name not in self._alone
        }
        si: dict[str, Any] = {
            name: quantities[name].to_si(number)  # type: ignore[arg-type]
            for name, number in {**self._alone, **part}.items()
        }
        asked = (*self.wanted, *self.reasons.needed)
        found: dict[str, Floats] = {name: np.empty(count) for name in asked}
        ok = np.zeros(count, dtype=bool)
        for inner, values, good in self._chunks(si, count, asked):
            for name in asked:
                found[name][inner] = values[name]
            ok[inner] = good
        outside = self.reasons.outside({**self._alone, **part}, count)
        ok &= outside == 0
        reason = np.where(ok, 0, outside).astype(np.int32)
        failed = np.nonzero(~ok & (reason == 0))[0]
        if failed.size:
            given = {n: np.broadcast_to(c, count)[failed] for n, c in si.items()}
            columns = {name: column[failed] for name, column in found.items()}
            reason[failed] = self.reasons.codes({**given, **columns})
        results = {
            name: np.where(ok, quantities[name].from_si(found[name]), np.nan)  # type: ignore[arg-type]
            for name in self.wanted
        }
        return results, ok, reason

    def _chunks(
        self, si: Mapping[str, Any], count: int, asked: Sequence[str]
    ) -> Iterator[tuple[slice, dict[str, Any], NDArray[np.bool_]]]:
        if count and all(np.ndim(column) == 0 for column in si.values()):
            si = {name: np.full(count, column) for name, column in si.items()}
        yield from self.plan.program.chunks(si, asked)


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


def feasible_map(
    network: Network,
    givens: Mapping[str, float],
    x: tuple[str, float, float],
    y: tuple[str, float, float],
    size: tuple[int, int] = (80, 60),
    wanted: Sequence[str] | None = None,
) -> FeasibleMap:
    """Which designs can be while two givens vary, and why not elsewhere.

    x, y   (name, low, high) in reporting units; they may also stand in `givens`, and win
    size   number of designs along x and along y
    Raises as `sweep`.
    """
    across, up = np.linspace(x[1], x[2], size[0]), np.linspace(y[1], y[2], size[1])
    both: dict[str, ArrayLike] = {**givens, x[0]: across[None, :], y[0]: up[:, None]}
    return FeasibleMap(x[0], y[0], across, up, sweep(network, both, wanted))


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
