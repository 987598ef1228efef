"""Why designs cannot be, for whole arrays of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.compile import LIMIT_SLACK, Problem
from tablekit.engine.plan import ClosedStep, Plan, Step
from tablekit.engine.problem_words import in_words

Floats = NDArray[np.float64]
Codes = NDArray[np.int32]


class Reasons:
    """Finds the first thing that fails and keeps the texts, each under a code of its own.

    Looked for in this order: a given outside its range; the first step with no real answer; a
    limit that does not hold; a value outside its range; a given that differs from what follows.

    texts   by code; `texts[0]` is empty
    needed  names of what `codes` must be handed
    """

    def __init__(self, plan: Plan):
        self.texts = [""]
        self._plan = plan
        self._code: dict[str, int] = {}
        limits = plan.program.limits
        self._limits = [
            (f"_slack_{index}", step, relation, limit)
            for index, (step, relation, limit) in enumerate(limits)
        ]
        self._spared = {
            step.unknowns[0]
            for _, step, _, limit in self._limits
            if limit.otherwise == "leave out" and plan.program.can_be_left_out(step)
        }
        self.needed = (*plan.found, *(name for name, *_ in self._limits))

    def code(self, text: str) -> int:
        """The code of a reason, a new one if it has none yet."""
        if text not in self._code:
            self._code[text] = len(self.texts)
            self.texts.append(text)
        return self._code[text]

    def outside(self, givens: Mapping[str, Any], count: int) -> Codes:
        """Codes of givens (reporting units) that lie outside their own range; 0 elsewhere."""
        codes = np.zeros(count, dtype=np.int32)
        for name, column in givens.items():
            quantity = self._plan.network.quantities[name]
            for wrong, words in (
                (column < quantity.low, f"below {quantity.low:g} {quantity.unit}"),
                (column > quantity.high, f"above {quantity.high:g} {quantity.unit}"),
                (np.isnan(column), "no number"),
            ):
                self._mark(codes, np.broadcast_to(wrong, count), f"{name} is {words}")
        return codes

    def _mark(self, codes: Codes, wrong: NDArray[np.bool_], text: str) -> None:
        where = wrong & (codes == 0)
        if where.any():
            codes[where] = self.code(text.removesuffix(" 1"))

    def codes(self, values: Mapping[str, Floats]) -> Codes:
        """Codes of designs that are known to fail; values in coherent SI, all of one length."""
        codes = np.zeros(len(next(iter(values.values()))), dtype=np.int32)
        for step in self._plan.steps:
            for name in step.unknowns:
                if name not in self._spared:
                    self._mark(codes, np.isnan(values[name]), self._no_answer(step))
        self._mark_limits(codes, values)
        self._mark_ranges(codes, values)
        for name in self._plan.redundant:
            problem = Problem("mismatch", name, 0.0)
            self._mark(codes, np.ones(codes.shape, dtype=bool), in_words(problem, self._plan))
        return codes

    def _mark_limits(self, codes: Codes, values: Mapping[str, Floats]) -> None:
        for slack, step, relation, limit in self._limits:
            name = step.unknowns[0]
            holds = values[slack] >= -LIMIT_SLACK
            if name in self._spared and limit.otherwise == "leave out":
                self._mark(codes, holds & np.isnan(values[name]), self._no_answer(step))
            else:
                problem = Problem("limit", name, 0.0, relation=relation, limit=limit)
                self._mark(codes, ~holds, in_words(problem, self._plan))

    def _mark_ranges(self, codes: Codes, values: Mapping[str, Floats]) -> None:
        for name, low, high in self._plan.program.bounds:
            for wrong, value in ((values[name] < low, -np.inf), (values[name] > high, np.inf)):
                problem = Problem("range", name, value, low, high)
                self._mark(codes, wrong, in_words(problem, self._plan))

    def _no_answer(self, step: Step) -> str:
        if isinstance(step, ClosedStep):
            problem = Problem("undefined", step.unknown, np.nan, relation=step.relation)
        else:
            problem = Problem("no root", step.tried[0], np.nan)
        return in_words(problem, self._plan)
