"""Givens that cannot all hold: the smallest sets that clash, and what letting go would give."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from tablekit.engine.dimensions import describe, dimension_of
from tablekit.engine.gaps import explain_gap
from tablekit.engine.outcome import Outcome, Problem
from tablekit.engine.plan import TogetherStep
from tablekit.engine.quantity import unit_size
from tablekit.engine.trouble import Contradiction, OutsideLimits, Release, Trouble
from tablekit.engine.units import ShopStyle, figures_text, shop_text

if TYPE_CHECKING:
    from tablekit.engine.network import Network

_MOST_CLASHES = 6
# Effort for one message, in plans looked at: a maker waits for it, and the first clash is enough.
_MOST_EFFORT = 30
_SEARCH = (
    6  # a plan that has to search for several unknowns at once takes as long as so many others
)


class _Referee:
    """Tells, and remembers, whether a subset of the givens can hold."""

    def __init__(self, network: Network, givens: Mapping[str, float]):
        self.network = network
        self.si = {n: network.quantities[n].to_si(number) for n, number in givens.items()}
        self._memo: dict[frozenset[str], Outcome] = {}
        self.effort = 0

    def outcome(self, names: frozenset[str]) -> Outcome:
        if names not in self._memo:
            plan = self.network.plan(names)
            self._memo[names] = plan.program.run({n: self.si[n] for n in names})
            searches = any(isinstance(s, TogetherStep) and len(s.tried) > 1 for s in plan.steps)
            self.effort += _SEARCH if searches else 1
        return self._memo[names]

    def holds(self, names: frozenset[str]) -> bool:
        return not self.outcome(names).problems


def _in_order(network: Network, names: Sequence[str] | frozenset[str]) -> list[str]:
    """The usual wishes first, then the network's order."""
    rank = {name: i for i, name in enumerate(dict.fromkeys([*network.wishes, *network.quantities]))}
    return sorted(names, key=rank.__getitem__)


def minimal_clashes(
    network: Network, givens: Mapping[str, float], most: int = _MOST_CLASHES
) -> list[tuple[str, ...]]:
    """The smallest sets of givens that cannot hold together, at most `most` of them.

    Each set found by deletion: every one of its members is needed for the clash. Further sets
    by taking each member away in turn (Reiter's hitting-set tree, Artificial Intelligence 32
    (1987), from memory). givens in reporting units.
    """
    return _clashes(_Referee(network, givens), frozenset(givens), most)


def _clashes(referee: _Referee, names: frozenset[str], most: int) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    queue = deque([frozenset[str]()])
    seen = set(queue)
    while queue and len(found) < most and (not found or referee.effort < _MOST_EFFORT):
        left = names - queue.popleft()
        known = next((clash for clash in found if set(clash) <= left), None)
        if known is None:
            if referee.holds(left):
                continue
            known = _shrink(referee, left)
            found.append(known)
        for member in known:
            removed = (names - left) | {member}
            if removed not in seen:
                seen.add(removed)
                queue.append(removed)
    return found


def _shrink(referee: _Referee, names: frozenset[str]) -> tuple[str, ...]:
    """Delete members while the rest still clash."""
    kept = names
    # What the first thing to go wrong rests on is nearly always the clash, or all but.
    outcome = referee.outcome(names)
    first = outcome.problems[0].name
    behind = frozenset(referee.network.plan(names).givens_behind(first)) | (names & {first})
    if not referee.holds(behind):
        kept = behind
    # The least usual wishes first, so that what is left is what the maker cares about.
    for name in reversed(_in_order(referee.network, names)):
        if not referee.holds(kept - {name}):
            kept = kept - {name}
    return tuple(_in_order(referee.network, kept))


def releases(network: Network, givens: Mapping[str, float], clash: Sequence[str]) -> list[Release]:
    """For each member of a clash, what it would become if it alone were let go."""
    return _releases(_Referee(network, givens), frozenset(givens), clash)


def _releases(referee: _Referee, names: frozenset[str], clash: Sequence[str]) -> list[Release]:
    offers = []
    for name in clash:
        quantity = referee.network.quantities[name]
        # First with every other given in place, then within the clash alone.
        for rest in (names - {name}, frozenset(clash) - {name}):
            outcome = referee.outcome(rest)
            value = outcome.values.get(name, math.nan)
            if not outcome.problems and math.isfinite(value):
                offers.append(Release(name, quantity.from_si(value), quantity.unit))
                break
        else:
            offers.append(Release(name, None, quantity.unit))
    return offers


def explain(
    network: Network, givens: Mapping[str, float], outcome: Outcome, style: ShopStyle
) -> Trouble:
    """The error to raise for an outcome that is no design."""
    if not outcome.problems:
        return explain_gap(network.plan(givens))
    referee = _Referee(network, givens)
    clashes = _clashes(referee, frozenset(givens), _MOST_CLASHES)
    clash = clashes[0] if clashes else tuple(givens)
    offers = _releases(referee, frozenset(givens), clash)
    # Told of the whole brief, not of the clash alone, where other things could still give way.
    problem = outcome.problems[0]
    message = _message(network, givens, clash, offers, problem, style)
    if len(clashes) > 1:
        others = "; ".join(" with ".join(names) for names in clashes[1:])
        message += f" Also at odds: {others}."
    if problem.kind == "limit" and problem.relation and problem.limit:
        return OutsideLimits(
            message,
            relation=problem.relation.name,
            limit=problem.limit.words,
            excess=-problem.value,
            clashes=clashes,
            releases=offers,
        )
    return Contradiction(message, clashes=clashes, releases=offers)


def _message(
    network: Network,
    givens: Mapping[str, float],
    clash: Sequence[str],
    offers: Sequence[Release],
    problem: Problem,
    style: ShopStyle,
) -> str:
    def said(name: str) -> str:  # as given, not rounded for the shop
        return f"{name} {figures_text(givens[name], network.quantities[name].unit, style)}"

    def offered(offer: Release) -> str:
        assert offer.number is not None
        rounded = shop_text(offer.number, offer.unit, style)
        # Where they differ by less than the rule shows, more figures: not 64 mm for 64 mm.
        if rounded == shop_text(givens[offer.name], offer.unit, style):
            return figures_text(offer.number, offer.unit, style, 8)
        return rounded

    workable = [offer for offer in offers if offer.number is not None]
    reason = _reason(network, givens, problem, style)
    if len(workable) >= 2:
        lead = workable[0]
        others = sorted(workable[1:], key=lambda offer: _change(givens, offer))
        rest = [said(n) for n in clash if n not in (lead.name, others[0].name)]
        company = f" with {_listed(rest)}" if rest else ""
        choices = [f"make {offer.name} {offered(offer)}" for offer in others]
        return (
            f"{said(others[0].name)} is {_too(givens, others[0])} for {said(lead.name)}{company}: "
            f"it gives {offered(lead)}. Release {lead.name}, or {', or '.join(choices)}. {reason}"
        ).strip()
    together = _listed([said(name) for name in clash])
    verb = "cannot all hold" if len(clash) > 1 else "cannot be answered"
    advice = "".join(f" Make {offer.name} {offered(offer)}." for offer in workable)
    return f"{together} {verb}. {reason}{advice}".strip()


def _change(givens: Mapping[str, float], offer: Release) -> float:
    """How far a release would move its given, as a share: the least is offered first."""
    assert offer.number is not None
    given = givens[offer.name]
    return abs(offer.number - given) / max(abs(given), abs(offer.number), 1e-12)


_TOO = {"length": ("too short", "too long"), "height": ("too low", "too high")}


def _too(givens: Mapping[str, float], offer: Release) -> str:
    assert offer.number is not None
    words = _TOO.get(offer.name.rsplit("_", 1)[-1], ("too small", "too large"))
    return words[0] if givens[offer.name] < offer.number else words[1]


def _listed(texts: Sequence[str]) -> str:
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} and {texts[-1]}"


def _reason(
    network: Network, givens: Mapping[str, float], problem: Problem, style: ShopStyle
) -> str:
    """What went wrong, and which assumptions it rests on besides the givens."""
    quantity = network.quantities[problem.name]

    def text(si: float) -> str:
        return shop_text(quantity.from_si(si), quantity.unit, style)

    match problem.kind:
        case "range":
            what = (
                f"{problem.name} would be {text(problem.value)}, outside "
                f"{text(problem.low)} to {text(problem.high)}"
            )
        case "limit" if problem.relation and problem.limit:
            what = (
                f"{problem.name} is outside what {problem.relation.name!r} holds for: "
                f"{problem.limit.words}; it is over by {_excess(network, problem, style)}"
            )
        case "undefined" if problem.relation:
            what = f"{problem.relation.name!r} has no real answer for {problem.name}"
        case "open":
            what = f"any {problem.name} would do: what is given says nothing of it"
        case "no root":
            what = (
                f"no {problem.name} between {text(problem.low)} and {text(problem.high)} "
                "makes them fit"
            )
        case _:
            return ""
    return f"({what}{_resting_on(network, givens, problem)}.)"


def _excess(network: Network, problem: Problem, style: ShopStyle) -> str:
    """By how much a limit is passed, finer than the shop rounds: it may be a hair."""
    assert problem.limit is not None
    found = dimension_of(problem.limit.slack, network.dimensions)
    if found is None or describe(found) != "a length":
        return f"{-problem.value:.2g}"
    if style.display == "in":
        return f"{-problem.value / unit_size('mm') / 25.4:.2g} in"
    return f"{-problem.value / unit_size('mm'):.2g} mm"


def _resting_on(network: Network, givens: Mapping[str, float], problem: Problem) -> str:
    plan = network.plan(givens)
    used = {name for step in plan.steps_to(problem.name) for name in step.unknowns}
    rules = {name: plan.assumed_directly(name) for name in plan.found if name in used}
    assumed = [name for name, rule in rules.items() if rule is not None and not rule.only]
    if not assumed:
        return ""
    return f"; with {_listed(assumed)} as assumed, which you may give"
