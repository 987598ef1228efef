"""Ways to mend a piece that a hand tips: each solved by the network, ranked by what it costs.

However the brief was given, a piece is settled by its height, its diameter, its section and what
would otherwise be assumed. With all of these but one given as they are, and the tipping load given
as it is wanted, the network finds the one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network, solve
from tablekit.engine.sheet import CheckResult, tidy
from tablekit.engine.shop import plain_number, shop_text
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.units import ShopStyle
from tablekit.engine.wording import listed, words
from tablekit.planning.tipping_polar import formula
from tablekit.relations import tipping, tipping_round
from tablekit.relations.bases import base_of
from tablekit.relations.families import on_base
from tablekit.relations.kinds import height_name
from tablekit.relations.stock import BOARD_FOOT
from tablekit.relations.tipping import wanted_tipping_load
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations
    from tablekit.engine.sheet import Sheet


# -- a solved piece, ready to be solved again ------------------------------------------------------

TURNED = "the base turned over, notches up"
# These follow from others unless the maker has settled them.
FOLLOW = frozenset({"notch_position", "axis_offset", "post_width", "foot_diameter"})


@dataclass(frozen=True)
class Mend:
    """Something to try.

    name      what is done
    quantity  what is solved for
    work      0 none to speak of, 1 a little, 2 much, 3 compound notches
    says      the same in words, after "It"
    solve     the piece with the wanted load, N; raises DesignError where there is none
    """

    name: str
    quantity: str
    work: int
    says: str
    solve: Callable[[float], Sheet]


NONE, AFRESH = "takes almost no extra work", "needs marking out again"
ANOTHER = "needs a different wood throughout"


@dataclass(frozen=True)
class TippingDesign:
    """The choices that settle a piece: names and values in reporting units.

    assumed   those of them that nobody chose
    """

    sheet: Sheet
    choices: dict[str, float]
    assumed: frozenset[str]

    @classmethod
    def of(cls, sheet: Sheet) -> TippingDesign:
        """The choices of a sheet of any family. Raises DesignError where one has no value."""
        base = base_of(sheet)
        names = [height_name(sheet.kind), "top_diameter", base.section]
        taken = base.declared(sheet.kind).shape
        names += [a.quantity.name for a in taken if a.quantity is not None]
        missing = [name for name in names if sheet.get(name) is None]
        if missing:
            raise DesignError(
                f"no remedies can be found: {', '.join(missing)} without a value in this design. "
                "Give the sizes that set them"
            )
        return cls(
            sheet,
            {name: sheet.number(name) for name in names},
            frozenset(name for name in names if sheet[name].origin == "assumed"),
        )

    def mends(self) -> Iterable[Mend]:
        """What may be tried."""
        yield self._mend("a smaller top", "top_diameter", 0, NONE)
        yield from self._turned_over()
        for name, quantity, follows in base_of(self.sheet).firmer:
            follow = FOLLOW if follows else frozenset[str]()
            yield Mend(name, quantity, 1, AFRESH, self._freeing(quantity, follow=follow))
        yield self._mend("a thicker top", "top_thickness", 1, "takes a little more planing")
        yield self._mend("a denser wood", "wood_density", 2, ANOTHER)

    def _mend(self, name: str, quantity: str, work: int, says: str) -> Mend:
        return Mend(name, quantity, work, says, self._freeing(quantity))

    def _turned_over(self) -> Iterable[Mend]:
        base = base_of(self.sheet).turned_firmer
        if base is not None:
            turned = on_base(self.sheet, base)
            yield Mend(TURNED, "foot_radius", 0, NONE, self._turned(turned))
            yield Mend(
                f"{TURNED}, and a smaller top", "top_diameter", 0, NONE,
                self._freeing("top_diameter", turned),
            )  # fmt: skip

    def _turned(self, network: Network) -> Callable[[float], Sheet]:
        def solve(_wanted: float) -> Sheet:
            return self._solved(network, dict(self.choices))

        return solve

    def _freeing(
        self, name: str, network: Network | None = None, follow: frozenset[str] = frozenset()
    ) -> Callable[[float], Sheet]:
        """`name` set free. What is in `follow`, and was assumed, is assumed afresh; all else is
        held, so that nothing but `name` can give way."""

        def solve(wanted: float) -> Sheet:
            held = {
                other: number for other, number in self.choices.items()
                if other != name and not (other in follow and other in self.assumed)
            }  # fmt: skip
            try:
                return self._solved(
                    network or self.sheet.network, {**held, "tipping_load": wanted}, why=False
                )
            except Contradiction:
                raise DesignError(
                    f"No {words(name)} reaches that load with everything else unchanged"
                ) from None

        return solve

    def _solved(self, network: Declarations, givens: dict[str, float], why: bool = True) -> Sheet:
        """Solved as a shape, which is quick, and then whole, for all its checks. Whole pieces are
        all solved from the same names, so that one plan serves them."""
        shape = shape_of(network, frozenset(self.choices))
        found = shape.solve(givens, why=why)
        rest = {n: v for n, v in self.sheet.givens.items() if n not in shape.quantities}
        whole = {name: found.number(name) for name in self.choices}
        givens = {**whole, **rest}
        return solve(network, givens, name=self.sheet.name, shop=self.sheet.shop_style)


@cache
def shape_of(network: Declarations, choices: frozenset[str]) -> Network:
    """The part of a network that the choices settle: shape, masses and tipping, and the checks on
    them. Movement, fittings and milling are left out; they would cost time and change nothing."""
    known, kept = {*choices, *network.constants}, []
    waiting = list(network.relations)
    while True:
        ready = [r for r in waiting if len(set(r.symbols) - known) <= 1]
        if not ready:
            break
        kept += ready
        known.update(name for relation in ready for name in relation.symbols)
        waiting = [relation for relation in waiting if relation not in ready]
    return Network(
        name=f"{network.name}: shape",
        kind=network.kind,
        options=network.options,
        quantities=[q for name, q in network.quantities.items() if name in known],
        relations=[r for r in network.relations if r in kept],
        assumptions=[a for a in network.assumptions if a.quantity and a.quantity.name in choices],
        constants=list(network.constants.values()),
        requirements=[r for r in network.requirements if r.quantity in known],
        wording=SHOP,
    )


def sitter_words(sheet: Sheet) -> str:
    """Whether somebody on the rim tips the piece; "" where the sheet does not tell."""
    sitter, counter = sheet.get("edge_sitter_mass"), sheet.get("counter_mass")
    if sitter is None or counter is None:
        return ""
    who = f"A person of {shop_text(sitter, 'kg', sheet.shop_style)} sitting on the rim there"
    if counter <= 0:
        return f"{who} does not tip it by sitting still, but it is not a seat."
    held = shop_text(counter, "kg", sheet.shop_style)
    return f"{who} tips it, unless another {held} stands at its centre."


# -- the ways --------------------------------------------------------------------------------------

# What a mend may change, in the order a maker would ask.
WATCHED = (
    "top_diameter", "top_thickness", "overhang", "seats", "post_section", "post_length",
    "leg_diameter", "leg_length", "leg_resultant", "splay", "notch_position", "foot_radius",
    "head_radius", "wood_density", "total_mass",
)  # fmt: skip
# Above this a density is that of no wood commonly made into furniture (our own choice).
DENSEST = 900.0
# Beyond this a mend is another piece of furniture, which nobody would call a mend (our own choice):
# the least and the most that a size may become, as shares of what it is, and the most in its unit.
REASONABLE: dict[str, tuple[float, float, float]] = {
    "top_diameter": (0.7, 1.0, math.inf),
    "top_thickness": (1.0, 2.0, 60.0),
    "post_section": (1.0, 1.5, 150.0),
    "leg_diameter": (1.0, 1.5, 75.0),
    "leg_resultant": (1.0, 2.5, 30.0),
    "wood_density": (1.0, 1.75, DENSEST),
    "ballast": (0.0, 1.0, math.inf),  # of the mass of the whole piece
}
# Without these there is no piece.
MUST_HOLD = ("assembly", "heads_under_top")
_ENOUGH = 1e-9
RANKED_BY = (
    "Ranked by wood added to the finished piece (a saving counts as zero), "
    "then by seats lost, then by extra work."
)


@dataclass(frozen=True)
class SteadyingWay:
    """One way to mend it, found by solving the network for the wanted load.

    name         what is done
    change       the same with its new value, in a maker's words
    quantity     the quantity solved for, with its values before and after in `unit`
    changes      what else changes: quantity -> (before, after, unit)
    wood         finished wood added, m³; less than nothing where it saves some
    seats_lost   people who no longer sit at it; 0 where it does not tell
    work         0 none to speak of, 1 a little, 2 much, 3 compound notches
    plain_notch  whether the notch stays plain; None where there is none
    assembles    whether the posts still go together; None where that is no question
    load         the tipping load then, N
    reason       why it stands where it does in the ranking
    cautions     names of checks that come out worse than before
    sheet        the mended piece; None for ballast, which no sheet has
    """

    name: str
    change: str
    quantity: str
    before: float
    after: float
    unit: str
    changes: dict[str, tuple[float, float, str]]
    wood: float
    seats_lost: int
    work: int
    plain_notch: bool | None
    assembles: bool | None
    load: float
    reason: str
    cautions: tuple[str, ...]
    sheet: Sheet | None

    @property
    def cost(self) -> tuple[float, int, int]:
        """What it is ranked by: litres of wood added, seats lost, work."""
        return max(0.0, round(self.wood * 1000, 1)), self.seats_lost, self.work

    def text(self) -> str:
        """What is done, what else changes, why it ranks where it does, what to look at."""
        look = f" Check: {'; '.join(self.cautions)}." if self.cautions else ""
        return f"{self.change} {self.reason}{look}"

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "name": self.name, "change": self.change, "quantity": self.quantity,
            "before": tidy(self.before), "after": tidy(self.after), "unit": self.unit,
            "changes": {
                name: {"before": tidy(old), "after": tidy(new), "unit": unit}
                for name, (old, new, unit) in self.changes.items()
            },
            "wood_added_m3": tidy(self.wood), "seats_lost": self.seats_lost, "work": self.work,
            "plain_notch": self.plain_notch, "assembles": self.assembles,
            "tipping_load_N": tidy(self.load), "reason": self.reason,
            "cautions": list(self.cautions),
        }  # fmt: skip


@dataclass(frozen=True)
class Mending:
    """A piece, the load wanted of its rim, and the ways to give it that.

    load     its tipping load now, N; None where no load on the rim tips it
    wanted   N
    ways     cheapest first; empty where there is nothing to mend
    refused  what was tried and does not serve, each with its reason
    sitter   what somebody on the rim would do, in words; "" where the sheet does not tell
    """

    name: str
    load: float | None
    wanted: float
    ways: tuple[SteadyingWay, ...]
    refused: tuple[str, ...]
    sitter: str
    style: ShopStyle
    kind: str = "table"

    @property
    def caution(self) -> str:
        """Who has to keep off, and what these numbers are not."""
        return f"{_CAUTIONS[self.kind]} {_SUMS}"

    @property
    def easily_tipped(self) -> bool:
        """Whether the rim takes less than is wanted of it."""
        return self.load is not None and self.load < self.wanted * (1 - _ENOUGH)

    def text(self) -> str:
        """All of it, one paragraph to a line."""
        return "\n".join(self.lines())

    def lines(self) -> tuple[str, ...]:
        """The whole in words, a paragraph each, forces in the unit of the maker."""
        wanted = shop_text(self.wanted, "N", self.style)
        if self.load is None:
            return (f"{self.name}: no vertical load on the rim tips it. {self.caution}",)
        load = shop_text(self.load, "N", self.style)
        if not self.easily_tipped:
            said = f"{self.name}: {load} on the rim tips it (wanted: at least {wanted})."
            return (" ".join(part for part in (said, self.sitter, self.caution) if part),)
        return (
            f"{self.name} is easily tipped: {load} on the rim, midway between two feet, lifts a "
            f"foot (wanted: at least {wanted}). {self.sitter}".strip(),
            *(f"{k}. {way.text()}" for k, way in enumerate(self.ways, 1)),
            *(f"Does not work: {said}" for said in self.refused),
            *((RANKED_BY,) if self.ways else ()),
            f"{self.caution} {_MENDED}",
        )

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "easily_tipped": self.easily_tipped,
            "tipping_load_N": tidy(self.load),
            "wanted_N": tidy(self.wanted),
            "load": None if self.load is None else shop_text(self.load, "N", self.style),
            "wanted": shop_text(self.wanted, "N", self.style),
            "ways": [way.to_json() for way in self.ways],
            "refused": list(self.refused),
            "ranked_by": RANKED_BY,
            "text": self.text(),
        }


_CAUTIONS = {
    "table": "Nobody should sit or stand on the rim, and children should not climb on it. A glass "
    "top that tips is a hazard in itself.",
    "stool": "Nobody should stand on it, and children should not climb on it.",
}
_SUMS = "Calculated for a rigid piece, not tested: for public use, check your local code."
_MENDED = "The joint under load is not judged here: set out the changed piece again."


def ways_to_mend(sheet: Sheet, wanted: float | None = None) -> Mending:
    """What would give the piece of `sheet` the wanted tipping load.

    wanted  N; `wanted_tipping_load` of the sheet where left out, or 200 N where it has none

    Raises DesignError where the sheet has no masses or no circle of feet.
    """
    target = sheet.get("wanted_tipping_load") if wanted is None else wanted
    if target is None:
        (assumed,) = (a for a in tipping.ASSUMPTIONS
                      if a.quantity is wanted_tipping_load)  # fmt: skip
        target = float(assumed.value)
    if not 0 < target < 1e5:
        raise DesignError(
            f"wanted tipping load is {plain_number(target)} N; expected more than 0 N, under 1e5 N"
        )
    design = TippingDesign.of(sheet)
    load = sheet.get("tipping_load")
    style = sheet.shop_style
    if load is None or load >= target * (1 - _ENOUGH):
        return Mending(sheet.name, load, target, (), (), sitter_words(sheet), style, sheet.kind)
    ways: list[SteadyingWay] = []
    refused: list[str] = []
    for mend in design.mends():
        if mend.name.startswith(f"{TURNED},") and any(way.name == TURNED for way in ways):
            continue  # turning it over is enough by itself
        try:
            ways.append(_way(sheet, mend, target))
        except DesignError as reason:
            refused.append(f"{mend.name}. {str(reason).rstrip('.')}.")
    try:
        ways.append(_ballast(sheet, target))
    except DesignError as reason:
        refused.append(f"ballast at the feet. {str(reason).rstrip('.')}.")
    ways.sort(key=lambda way: (way.cost, way.name))
    return Mending(
        sheet.name, load, target, tuple(ways), tuple(refused), sitter_words(sheet), style,
        sheet.kind,
    )  # fmt: skip


def _way(before: Sheet, mend: Mend, wanted: float) -> SteadyingWay:
    after, style, quantity = mend.solve(wanted), before.shop_style, mend.quantity
    load = after.get("tipping_load")
    if load is not None and load < wanted * (1 - 1e-6):
        raise DesignError(f"It raises the tipping load only to {shop_text(load, 'N', style)}")
    _refuse_odd_wood(after)
    unit = after.network.quantity(quantity).unit
    old, new = before.number(quantity), after.number(quantity)
    _refuse_what_nobody_would_do(quantity, old, new)
    _refuse_new_faults(before, after)
    changes = _changes(before, after, quantity)
    seats = max(0, round((before.get("seats") or 0) - (after.get("seats") or 0)))
    plain, assembles = _passed(after, "notch_shape"), _passed(after, "assembly")
    work, says = mend.work, mend.says
    if plain is False and _passed(before, "notch_shape"):
        work, says = 3, "makes the notches compound"
    wood = _wood(after) - _wood(before)
    return SteadyingWay(
        mend.name,
        f"{mend.name}: {words(quantity)} {shop_text(new, unit, style)} instead of "
        f"{shop_text(old, unit, style)}{_also(changes, style)}.",
        quantity, old, new, unit, changes, wood, seats, work, plain, assembles,
        math.inf if load is None else load,
        _reason(_of_wood(wood, style), seats, says, plain if work < 3 else None, assembles),
        _to_look_at(before, after), after,
    )  # fmt: skip


def _ballast(sheet: Sheet, wanted: float) -> SteadyingWay:
    relation = tipping_round.ballasted(base_of(sheet).count)
    known = {**sheet.si, "tipping_load": wanted}
    mass = float(formula(relation, "ballast").of(known))
    style = sheet.shop_style
    total = sheet.number("total_mass")
    _refuse_what_nobody_would_do("ballast", total, mass)
    return SteadyingWay(
        "ballast at the feet",
        f"ballast at the feet: {shop_text(mass, 'kg', style)} fixed low down and evenly round the "
        "centre.",
        "ballast", 0.0, mass, "kg", {"total_mass": (total, total + mass, "kg")}, 0.0, 0, 2,
        _passed(sheet, "notch_shape"), _passed(sheet, "assembly"), wanted,
        _reason("adds no wood", 0, "must be let in or bolted on low down", None, None), (), None,
    )  # fmt: skip


def _changes(before: Sheet, after: Sheet, solved_for: str) -> dict[str, tuple[float, float, str]]:
    found = {}
    for name in WATCHED:
        old, new = before.get(name), after.get(name)
        if name == solved_for or old is None or new is None:
            continue
        if abs(new - old) > 1e-6 * max(abs(old), abs(new)):
            found[name] = (old, new, after.network.quantity(name).unit)
    return found


def _also(changes: dict[str, tuple[float, float, str]], style: ShopStyle) -> str:
    """Those that show in the maker's figures."""
    said = []
    for name, (old, new, unit) in changes.items():
        one, two = (
            (f"{old:.0f}", f"{new:.0f}") if name == "seats"
            else (shop_text(old, unit, style), shop_text(new, unit, style))
        )  # fmt: skip
        if one != two:
            said.append(f"{words(name)} from {one} to {two}")
    return f"; {', '.join(said)}" if said else ""


def _wood(sheet: Sheet) -> float:
    return float(formula(tipping_round.WOOD_VOLUME, "wood_volume").of(sheet.si))


def _verdict(sheet: Sheet, check_id: str) -> str:
    return next((check.verdict for check in sheet.checks if check.id == check_id), "")


def _passed(sheet: Sheet, check_id: str) -> bool | None:
    verdict = _verdict(sheet, check_id)
    return None if not verdict else verdict == "pass"


def _refuse_new_faults(before: Sheet, after: Sheet) -> None:
    for check, old in _paired(before, after):
        if check.verdict == "fail" and (old is None or old.verdict != "fail"):
            raise DesignError(
                f"The piece would fail a check it now passes ({check.name}): {_briefly(check)}"
            )
        if check.id in MUST_HOLD and _worse(check, old):
            raise DesignError(
                f"A check that already fails would get worse ({check.name}): {_briefly(check)}"
            )


def _to_look_at(before: Sheet, after: Sheet) -> tuple[str, ...]:
    """Names of the checks that come out worse, though not so badly as to refuse the mend."""
    return tuple(
        check.name
        for check, old in _paired(before, after)
        if old is not None
        and ((check.verdict == "caution" and old.verdict == "pass") or _worse(check, old))
    )


def _paired(before: Sheet, after: Sheet) -> list[tuple[CheckResult, CheckResult | None]]:
    was = {check.id: check for check in before.checks}
    return [(check, was.get(check.id)) for check in after.checks]


def _worse(check: CheckResult, old: CheckResult | None) -> bool:
    """Whether a check that was failed is failed by more."""
    return (
        old is not None
        and check.verdict == old.verdict == "fail"
        and _short(check) > _short(old) * (1 + 1e-6)
    )


def _briefly(check: CheckResult) -> str:
    """The first two sentences of its message: the numbers, and what they mean."""
    return ". ".join(check.message.split(". ")[:2])


def _short(check: CheckResult) -> float:
    """By how much a check is missed, in its unit."""
    return 0.0 if check.value is None or check.limit is None else abs(check.value - check.limit)


def _refuse_what_nobody_would_do(quantity: str, old: float, new: float) -> None:
    low, high, most = REASONABLE.get(quantity, (0.0, math.inf, math.inf))
    if not low * old * (1 - 1e-9) <= new <= min(high * old, most) * (1 + 1e-9):
        raise DesignError("On its own it needs an unreasonably large change")


def _refuse_odd_wood(after: Sheet) -> None:
    density = after.number("wood_density")
    if density > DENSEST:
        raise DesignError(
            f"It needs {_dense(density, after)}, and few woods are denser than "
            f"{_dense(DENSEST, after)}"
        )


def _dense(density: float, sheet: Sheet) -> str:
    return shop_text(density, sheet["wood_density"].quantity.unit, sheet.shop_style)


def _of_wood(wood: float, style: ShopStyle) -> str:
    """How much wood a way adds or saves: litres, or board feet."""
    inches = style.display == "in"
    number = round(wood / BOARD_FOOT.si if inches else wood * 1000, 1)
    unit = ("board foot", "board feet") if inches else ("litre", "litres")
    amount = f"{abs(number):g} {unit[abs(number) != 1]} of wood"
    return f"adds {amount}" if number > 0 else f"saves {amount}" if number < 0 else "adds no wood"


def _reason(wood: str, seats: int, says: str, plain: bool | None, assembles: bool | None) -> str:
    """Why a way stands where it does, in the order of the ranking."""
    parts = [
        wood,
        f"loses {seats} {'seat' if seats == 1 else 'seats'}" if seats else "loses no seat",
        says,
    ]
    tail = []
    if plain is not None:
        tail.append("the notch is square" if plain else "the notch stays compound")
    if assembles:
        tail.append("it can be assembled")
    return f"It {listed(parts)}{''.join(f'; {t}' for t in tail)}."
