"""Givens that settle no design: too few of them, or ones that clash.

Where too little is given, `too_little` says what is still free and which further values would
settle it.

What is given and what is assumed are statements about a design. A set of statements clashes where
the search finds no design that meets them all, with everything else free within its range. So a
clash stays one whatever is added to it, and every member of a smallest one is needed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, islice

import numpy as np

from tablekit.engine.bands import GaveWay
from tablekit.engine.declarations import Declarations
from tablekit.engine.judge import Problem, in_words
from tablekit.engine.plan import Plan, assign_roles, plan_of, usual_first
from tablekit.engine.search import CLOSER, DENSE, QUICK, Search, Solution, search_of
from tablekit.engine.shop import ShopStyle, quantity_text, range_text
from tablekit.engine.trouble import Contradiction, NotEnoughGiven, OutsideLimits, Release
from tablekit.engine.wording import listed

# -- too little given ------------------------------------------------------------------------------

_MOST_SETS = 12
_MOST_DESIGNS, _MOST_PINNED = 8, 3  # looked at for what is free, and for what settles it
_MOST_TRIALS = 4000
_MOST_LOOKED_AT = 40
_DIFFERENT = 1e-6  # relative; what differs by less may be one value
MOST_OFFERED = 3  # ways to settle a design, likeliest first
_PINNED = 1e-3  # how much of the most that anything moves a value must move to pin it


def settling_values(
    search: Search,
    designs: Sequence[Solution],
    given: Mapping[str, float],
    held: Sequence[str],
    most: int = _MOST_SETS,
) -> tuple[list[tuple[str, ...]], list[str], int]:
    """What is missing, looked at in several designs that what is given leaves possible.

    given  what is given already, coherent SI; held  assumptions in force
    Returns the smallest sets of free quantities that settle each of the designs, the usual ones
    first; every quantity that can move in any of them or is not the same in all, in the network's
    order; and how many values are missing. A set is checked at the designs themselves: with the
    values they have there given as well, and with what would then be assumed, nothing can move any
    more."""
    network = search.network
    places = [_Place(search, design, given, held) for design in designs[:_MOST_DESIGNS]]
    count = places[0].rank.nullity
    moving = {name for place in places for name in place.rank.free} | different(search, designs)
    alike = [place for place in places if place.rank.nullity == count][:_MOST_PINNED]
    free = [name for name in network.quantities if name in moving]
    # A value for what is assumed only takes the place of the assumption; a count leaves a range.
    names = [
        name
        for name in usual_first(network, free)
        if name not in held and not network.quantities[name].whole
    ]
    return _settling(alike, names, count, most), free, count


def _settling(
    places: Sequence[_Place], names: Sequence[str], count: int, most: int
) -> list[tuple[str, ...]]:
    """Sets of this many names that settle each of the places, at most `most`."""
    pinning = (
        chosen
        for chosen in islice(combinations(names, count), _MOST_TRIALS)
        if all(place.pinned_by(chosen) for place in places)
    )
    looked_at: list[tuple[str, ...]] = []
    found: list[tuple[str, ...]] = []
    for chosen in islice(pinning, _MOST_LOOKED_AT):
        looked_at.append(chosen)
        if all(place.settled_by(chosen) for place in places):
            found.append(chosen)
        if len(found) == most:
            break
    # By the names alone something else may give way then; what gave way here does so once more.
    again = (one for one in looked_at if all(place.settled_as_found(one) for place in places))
    return found or list(islice(again, most))


def different(search: Search, designs: Sequence[Solution]) -> set[str]:
    """The quantities that are not the same in all of these designs, in no order."""
    found = set()
    for name in search.network.quantities:
        column = np.array([design.values[name] for design in designs])
        missing = np.isnan(column)
        if missing.all():
            continue
        size = max(np.nanmax(np.abs(column)), search.least_size(name))
        if missing.any() or np.ptp(column) > _DIFFERENT * size:
            found.add(name)
    return found


class _Place:
    """A design that something can still move in."""

    def __init__(
        self, search: Search, design: Solution, given: Mapping[str, float], held: Sequence[str]
    ):
        self._search, self._design, self._given, self._held = search, design, given, held
        self.rank = search.rank(design, given, held)
        self._row = dict(zip(self.rank.free, self.rank.moves, strict=True))
        self._most_moved = np.abs(self.rank.moves).max(initial=0.0)

    def pinned_by(self, names: Sequence[str]) -> bool:
        """Whether nothing can move without moving one of these."""
        if not all(name in self._row for name in names):
            return False
        table = np.stack([self._row[name] for name in names])
        least = np.linalg.svd(table, compute_uv=False)[-1]
        return bool(least >= _PINNED * self._most_moved)

    def settled_by(self, names: Sequence[str]) -> bool:
        """Whether nothing can move once these are given, with what is then assumed."""
        return _settles(self._search, self._design, self._with(names), self._held)

    def settled_as_found(self, names: Sequence[str]) -> bool:
        """Whether nothing can move once these are given, with what is assumed now."""
        return self._search.rank(self._design, self._with(names), self._held).nullity == 0

    def _with(self, names: Sequence[str]) -> dict[str, float]:
        return {**self._given, **{name: self._design.values[name] for name in names}}


def _settles(
    search: Search, design: Solution, given: Mapping[str, float], held: Sequence[str]
) -> bool:
    roles = assign_roles(search.network, frozenset(given))
    then = {a.quantity.name for a in roles.in_force if a.quantity is not None}
    return then == set(held) or search.rank(design, given, then).nullity == 0


def too_little(
    network: Declarations, free: Sequence[str], count: int, sets: Sequence[tuple[str, ...]]
) -> NotEnoughGiven:
    """The error that says what is free and what would settle it.

    count  how many more values are needed"""
    usual = [name for name in usual_first(network, free) if name in network.wishes]
    named = usual or list(free)
    message = (
        f"not enough is given: {', '.join(named[:8])} {'are' if len(named) > 1 else 'is'} still "
        "free."
    )
    if sets:
        choices = [
            f"({', '.join(names)})" if count > 1 else names[0] for names in sets[:MOST_OFFERED]
        ]
        what = "One more value settles" if count == 1 else f"{count} more values settle"
        message += f" {what} the design: {' or '.join(choices)}."
    return NotEnoughGiven(message, free=free, settling=sets)


# -- givens that clash -----------------------------------------------------------------------------

Statements = frozenset[str]  # names of givens, and of assumptions as "assumed NAME"

_MOST_CLASHES = 3
_MOST_ASKED = 80  # questions to the search for one message
# In the search's measure, a thousand of which take some 3 s: after how much no smaller and no
# further clash is looked for, and after how much no change either. Seconds would make what is
# said depend on how busy the machine is.
_MOST_WORK, _LAST_WORK = 600.0, 800.0
_SAME = 1e-6
_HALVINGS = 5
_MOST_SAID = 3  # changes that one message offers
_MOST_ASSUMED = 4  # assumptions that one message names
_ASSUMED = "assumed "


@dataclass(frozen=True)
class Clash:
    """A smallest set of statements that no design was found for.

    givens   names of givens; assumed  quantities with their assumed values"""

    givens: tuple[str, ...]
    assumed: tuple[str, ...]


class Referee:
    """Asks the search whether statements can hold together, and remembers the answers.

    given  coherent SI; held  quantities whose assumptions are in force"""

    def __init__(self, search: Search, given: Mapping[str, float], held: Collection[str]):
        self.search, self.given = search, given
        self.all = frozenset([*given, *(_ASSUMED + name for name in held)])
        self._met: list[tuple[Statements, list[Solution]]] = []
        self._clashing: list[Statements] = []
        self._asked, self._began = 0, search.work
        self.cut_short = False  # whether something named might be smaller, or nearer, or offered

    @property
    def tired(self) -> bool:
        """Whether enough has been asked for one message."""
        return self._asked >= _MOST_ASKED or self._work > _MOST_WORK

    @property
    def spent(self) -> bool:
        """Whether the message is due."""
        return self._work > _LAST_WORK

    @property
    def _work(self) -> float:
        return self.search.work - self._began

    def designs(self, statements: Statements) -> list[Solution]:
        """Designs that meet the statements, as far as one was found."""
        for met, found in self._met:
            if statements == met:
                return found
        if any(clash <= statements for clash in self._clashing):
            return []
        self._asked += 1
        given = {name: self.given[name] for name in statements if not name.startswith(_ASSUMED)}
        held = {n.removeprefix(_ASSUMED) for n in statements if n.startswith(_ASSUMED)}
        # Where everything may give way there is the most room for a design to hide in.
        effort = (QUICK, CLOSER) if held else (QUICK, CLOSER, DENSE)
        found = self.search.designs(given, held, effort=effort, usual=False)
        if found:
            self._met.append((statements, found))
        else:
            self._clashing.append(statements)
        return found

    def shown(self, statements: Statements) -> Solution | None:
        """A design that was found and meets the statements, if one was."""
        for met, found in self._met:
            if statements <= met:
                return found[0]
        return next(iter(self.designs(statements)), None)

    def holds(self, statements: Statements) -> bool:
        """Whether a design was found that meets the statements."""
        return self.shown(statements) is not None


def _in_order(network: Declarations, names: Collection[str]) -> list[str]:
    """The usual wishes first, then the network's order."""
    rank = {name: i for i, name in enumerate(dict.fromkeys([*network.wishes, *network.quantities]))}
    return sorted(names, key=rank.__getitem__)


def smallest_clashes(
    referee: Referee, first: Statements = frozenset(), most: int = _MOST_CLASHES
) -> list[Clash]:
    """Clashing sets that have no given in common, at most `most` of them; fewer where that would
    take too long.

    Each is found by deletion: every one of its members is needed for the clash. The next is looked
    for among what is left once the givens of those before are taken away, and is named only where
    its givens clash whatever is assumed.

    first  statements that are likely to clash, tried first"""
    found: list[Statements] = []
    left = referee.all
    while len(found) < most and not (found and referee.tired) and not referee.holds(left):
        clash = _shrink(referee, left, first)
        givens = frozenset(name for name in clash if not name.startswith(_ASSUMED))
        # What there was no time to shrink may still hold what has nothing to do with it.
        if found and (referee.tired or not givens or referee.holds(givens)):
            break
        found.append(clash)
        left = left - givens
        if not givens:
            break
    return [_clash(referee.search.network, statements) for statements in found]


def clashes(
    network: Declarations, givens: Mapping[str, float], most: int = _MOST_CLASHES
) -> list[tuple[str, ...]]:
    """Smallest sets of givens (reporting units) for which no design was found, no given in two of
    them, at most `most`, with everything in force that is assumed beside them."""
    given = {name: network.quantities[name].to_si(number) for name, number in givens.items()}
    in_force = plan_of(network, givens).assumptions
    held = [a.quantity.name for a in in_force if a.quantity is not None]
    referee = Referee(search_of(network), given, held)
    return [clash.givens for clash in smallest_clashes(referee, most=most)]


def _clash(network: Declarations, statements: Statements) -> Clash:
    assumed = {n.removeprefix(_ASSUMED) for n in statements if n.startswith(_ASSUMED)}
    givens = {name for name in statements if not name.startswith(_ASSUMED)}
    return Clash(tuple(_in_order(network, givens)), tuple(_in_order(network, assumed)))


def _shrink(referee: Referee, statements: Statements, first: Statements) -> Statements:
    """Delete members while the rest still clash."""
    kept = statements
    for fewer in (
        frozenset(n for n in first & statements if not n.startswith(_ASSUMED)),
        frozenset(n for n in statements if not n.startswith(_ASSUMED)),
        first & statements,
    ):
        if fewer and fewer < kept and not referee.holds(fewer):
            kept = fewer
            break
    network = referee.search.network
    # Assumptions first, the softest of them before the firmer; then the least usual wishes, so
    # that what is left is what was cared about.
    assumed = [_ASSUMED + a.quantity.name for a in network.assumptions if a.quantity is not None]
    for block in (assumed, _in_order(network, referee.given.keys())):
        kept = _without_most(referee, kept, [name for name in reversed(block) if name in kept])
    return kept


def _without_most(referee: Referee, kept: Statements, names: Sequence[str]) -> Statements:
    """What is left of a clashing set once as many of `names` as possible are taken out of it: all
    at once, else each half."""
    if not names:
        return kept
    if referee.tired:
        referee.cut_short = True
        return kept
    rest = kept - frozenset(names)
    if rest and not referee.holds(rest):
        return rest
    if len(names) == 1:
        return kept
    middle = len(names) // 2
    for half in (names[:middle], names[middle:]):
        kept = _without_most(referee, kept, half)
    return kept


def mends(referee: Referee, clash: Clash) -> list[Release]:
    """Changes of one given each that give a design, the rest as it is.

    Each is put in place of what was given and found to give an answer; none says again what was
    given."""
    network, found = referee.search.network, []
    for name in clash.givens:
        if referee.spent:
            referee.cut_short = True
            break
        quantity, given = network.quantities[name], referee.given[name]
        low, high = quantity.to_si(quantity.low), quantity.to_si(quantity.high)
        others = {min(max(d.values[name], low), high) for d in _without(referee, name)}
        changes = [v for v in others if abs(v - given) > _SAME * max(abs(v), abs(given))]
        for value in sorted(changes, key=lambda value: abs(value - given)):
            if _answers(referee, name, value):
                only = max(changes) - min(changes) <= _SAME * abs(value)
                nearest = value if only else _nearer(referee, name, value)
                found.append(Release(name, quantity.from_si(nearest), quantity.unit, only))
                break
    return found


def _nearer(referee: Referee, name: str, value: float) -> float:
    """A change of one given that is nearer to it, where any of a range of them gives a design."""
    refused = referee.given[name]
    for _ in range(_HALVINGS):
        middle = (refused + value) / 2
        if referee.tired:
            referee.cut_short = True
            break
        if _answers(referee, name, middle):
            value = middle
        else:
            refused = middle
    return value


def _without(referee: Referee, name: str) -> list[Solution]:
    """Designs with one given left out and everything assumed that then is."""
    rest = {other: value for other, value in referee.given.items() if other != name}
    roles = assign_roles(referee.search.network, frozenset(rest))
    held = [a.quantity.name for a in roles.in_force if a.quantity is not None]
    found = referee.search.designs(rest, held, effort=(QUICK, CLOSER))
    return found or referee.designs(referee.all - {name})


def _answers(referee: Referee, name: str, value: float) -> bool:
    """Whether there is a design once this given has this value."""
    given = {**referee.given, name: value}
    held = {n.removeprefix(_ASSUMED) for n in referee.all if n.startswith(_ASSUMED)}
    near = referee.designs(referee.all - {name})
    return bool(referee.search.designs(given, held, near=near[:1], effort=(QUICK,)))


# -- in words ------------------------------------------------------------------------------------


def explain(
    search: Search,
    plan: Plan,
    givens: Mapping[str, float],
    held: Collection[str],
    problem: Problem | None,
    unusual: Sequence[GaveWay],
    style: ShopStyle,
) -> Contradiction:
    """The error to raise for givens that no design was found for.

    givens   in reporting units
    held     quantities whose assumptions are in force
    problem  what first went wrong along the plan, if anything
    unusual  assumptions that would have to give way beyond what is usual
    """
    network = search.network
    given = {name: network.quantities[name].to_si(number) for name, number in givens.items()}
    referee = Referee(search, given, held)
    clashes = smallest_clashes(referee, _behind(plan, problem, given, held))
    if not clashes and unusual:
        # A design was found, but of an unusual shape: what makes it so is at odds with the usual.
        clashes = [Clash(unusual[0].because, ())]
        offers = mends(referee, clashes[0])
        message = " ".join(_unusual(network, givens, one, style) for one in unusual)
        message += _make(network, givens, offers, style)
    else:
        clash = clashes[0] if clashes else Clash(tuple(_in_order(network, givens)), ())
        offers = mends(referee, clash)
        message = _message(network, givens, clash, offers, problem, style)
        message += "".join(f" {_shape(network, one, style)}" for one in unusual if one.whole)
    if len(clashes) > 1:
        message += f" Also at odds: {'; '.join(' with '.join(c.givens) for c in clashes[1:])}."
    if referee.cut_short:
        message += " Not every possibility was looked at."
    return _error(message, [one.givens for one in clashes], offers, problem)


def _error(
    message: str,
    clashes: Sequence[tuple[str, ...]],
    offers: Sequence[Release],
    problem: Problem | None,
) -> Contradiction:
    if problem is not None and problem.kind == "limit" and problem.relation and problem.limit:
        return OutsideLimits(
            message,
            relation=problem.relation.name,
            limit=problem.limit.words,
            excess=-problem.value,
            clashes=clashes,
            releases=offers,
        )
    return Contradiction(message, clashes=clashes, releases=offers)


def _behind(
    plan: Plan, problem: Problem | None, given: Mapping[str, float], held: Collection[str]
) -> Statements:
    """The givens and assumptions that what first went wrong rests on."""
    if problem is None:
        return Statements()
    steps = plan.steps_to(problem.name)
    used = {problem.name}.union(*(step.needs for step in steps), *(s.unknowns for s in steps))
    assumed = [_ASSUMED + name for name in held if name in used]
    return frozenset([name for name in given if name in used] + assumed)


def _message(
    network: Declarations,
    givens: Mapping[str, float],
    clash: Clash,
    offers: Sequence[Release],
    problem: Problem | None,
    style: ShopStyle,
) -> str:
    def said(name: str) -> str:
        return _said(network, givens, name, style)

    if len(offers) >= 2 and offers[0].only:
        lead = offers[0]
        others = sorted(offers[1:], key=lambda offer: _change(givens, offer))
        rest = [said(n) for n in clash.givens if n not in (lead.name, others[0].name)]
        company = f" with {listed(rest)}" if rest else ""
        choices = [_made(network, givens, offer, style) for offer in others[: _MOST_SAID - 1]]
        # That no root was found says less than the sentence does.
        more = None if problem is not None and problem.kind == "no root" else problem
        reason = _reason(network, clash, more, style)
        too = _too(network, givens, others[0])
        return (
            f"{said(others[0].name)} is {too} for {said(lead.name)}{company}: "
            f"it makes {lead.name} {_offered(network, givens, lead, style)}. "
            f"Release {lead.name}, or make {', or '.join(choices)}. {reason}"
        ).strip()
    together = listed([said(name) for name in clash.givens])
    all_hold = "both hold" if len(clash.givens) == 2 else "all hold"
    verb = f"cannot {all_hold}" if len(clash.givens) > 1 else "cannot be answered"
    reason = _reason(network, clash, problem, style)
    return f"{together} {verb}. {reason}{_make(network, givens, offers, style)}".strip()


def _said(network: Declarations, givens: Mapping[str, float], name: str, style: ShopStyle) -> str:
    """A given as it was given, not rounded."""
    return f"{name} {quantity_text(givens[name], network.quantities[name], style, 6)}"


def _make(
    network: Declarations,
    givens: Mapping[str, float],
    offers: Sequence[Release],
    style: ShopStyle,
) -> str:
    """ " Make a 3 mm, or b 2 mm.", the least change first; '' without an offer."""
    least = sorted(offers, key=lambda offer: _change(givens, offer))[:_MOST_SAID]
    choices = [_made(network, givens, offer, style) for offer in least]
    return f" Make {', or '.join(choices)}." if choices else ""


def _made(
    network: Declarations, givens: Mapping[str, float], offer: Release, style: ShopStyle
) -> str:
    return f"{offer.name} {_offered(network, givens, offer, style)}"


def _offered(
    network: Declarations, givens: Mapping[str, float], offer: Release, style: ShopStyle
) -> str:
    quantity = network.quantities[offer.name]
    rounded = quantity_text(offer.number, quantity, style)
    # Where they differ by less than the rule shows, more figures: not 64 mm for 64 mm.
    if rounded == quantity_text(givens[offer.name], quantity, style):
        return quantity_text(offer.number, quantity, style, 8)
    return rounded


def _shape(network: Declarations, one: GaveWay, style: ShopStyle) -> str:
    """The unusual shape as one way out."""
    now, usual, low, high = _numbers(network, one, style)
    return (
        f"They would hold with {one.name} {now} instead of {usual}, which is outside the usual "
        f"{low} to {high}: give {one.name} = {now} if you mean it."
    )


def _unusual(
    network: Declarations, givens: Mapping[str, float], one: GaveWay, style: ShopStyle
) -> str:
    """The unusual shape as what these givens come to."""
    now, usual, low, high = _numbers(network, one, style)
    behind = listed([_said(network, givens, name, style) for name in one.because])
    if not one.whole:
        return f"{behind} would make {one.name} {now}, which is not a whole number."
    return (
        f"{behind} would make {one.name} {now} instead of {usual}, which is outside "
        f"the usual {low} to {high}. Give {one.name} = {now} if you mean it."
    )


def _numbers(network: Declarations, one: GaveWay, style: ShopStyle) -> list[str]:
    """What it is now, what is usual, and the ends of the band, in the reader's unit."""
    quantity = network.quantities[one.name]
    values = [quantity_text(number, quantity, style) for number in (one.now, one.usual)]
    return [*values, *range_text(*one.band, quantity, style)]


def _change(givens: Mapping[str, float], offer: Release) -> float:
    """How far a release would move its given, as a share: the least is offered first."""
    given = givens[offer.name]
    return abs(offer.number - given) / max(abs(given), abs(offer.number), 1e-12)


def _too(network: Declarations, givens: Mapping[str, float], offer: Release) -> str:
    words = network.wording.too.get(offer.name.rsplit("_", 1)[-1], ("too small", "too large"))
    return words[0] if givens[offer.name] < offer.number else words[1]


def _reason(network: Declarations, clash: Clash, problem: Problem | None, style: ShopStyle) -> str:
    """What went wrong, and which assumptions it rests on."""
    what = _what(network, problem, style) if problem is not None else ""
    named = list(clash.assumed)
    if len(named) > _MOST_ASSUMED:
        named[_MOST_ASSUMED - 1 :] = [f"{len(named) - _MOST_ASSUMED + 1} others"]
    assumed = f"with {listed(named)} as assumed, which you may give" if named else ""
    both = "; ".join(filter(None, (what, assumed)))
    return f"({both}.)" if both else ""


def _what(network: Declarations, problem: Problem, style: ShopStyle) -> str:
    if problem.kind == "no root":
        quantity = network.quantities[problem.name]
        ends = quantity.from_si(problem.low), quantity.from_si(problem.high)
        low, high = range_text(*ends, quantity, style)
        return f"no {problem.name} between {low} and {high} was found that makes them fit"
    if problem.kind == "range" or (problem.kind in ("limit", "undefined") and problem.relation):
        return in_words(problem, network, style)
    return ""
