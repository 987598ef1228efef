"""The [workshop], the [quote] and the [delivery] of a brief: what the shop says of itself and its
work.

Tools, glue and habits of the shop go by the names of their quantities. They are quantities of the
plans that are made once the piece is settled (gluing up, tenons, the trammel board, the notches),
so they go with any piece and never clash with [given].
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.brief.section import BriefSection, Key, Price, Span, TextKey, measure, read
from tablekit.brief.text import as_written
from tablekit.planning import top_joints
from tablekit.planning.quoting import QuoteTerms
from tablekit.relations import (
    boards,
    glue,
    grain,
    jigs,
    lot,
    milling,
    notch_cutting,
    stock,
    tenons,
    trammel,
    work,
)
from tablekit.relations.work import past_midnight

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity


GLUE, TENONS, NOTCHES, RINGS, TRAMMEL, SURFACE, SAWING, DAYS = PLANS = (
    "gluing up", "tenons", "notches", "growth rings", "trammel board", "surface", "sawing", "days",
)  # fmt: skip


@cache
def every_workshop() -> Mapping[str, Mapping[str, Quantity]]:
    """What may stand in [workshop]: for each plan its quantities, by name."""

    def among(quantities: Sequence[Quantity], names: Sequence[str]) -> list[Quantity]:
        return [quantity for quantity in quantities if quantity.name in names]

    of = {
        GLUE: [
            *among(glue.QUANTITIES, top_joints.GLUE_WISHES),
            *among(glue.STAGE_QUANTITIES, top_joints.STAGE_WISHES),
        ],
        TENONS: among(tenons.QUANTITIES, top_joints.TENON_WISHES),
        NOTCHES: [
            notch_cutting.cutter_width, notch_cutting.least_overlap, notch_cutting.base_width,
        ],
        RINGS: among(grain.QUANTITIES, top_joints.RING_WISHES),
        TRAMMEL: [*trammel.BOARD_QUANTITIES],
        SURFACE: [a.quantity for a in milling.SURFACE_ASSUMPTIONS if a.quantity is not None],
        SAWING: [stock.saw_kerf, stock.plank_ends],
        DAYS: [*work.CALENDAR],
    }  # fmt: skip
    return {plan: {q.name: q for q in quantities} for plan, quantities in of.items()}


def known_workshop(main: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """The same without the plans, less what is a quantity of the piece itself."""
    every = {name: q for plan in every_workshop().values() for name, q in plan.items()}
    return {name: q for name, q in every.items() if name not in main}


def wishes_for(plan: str, workshop: Mapping[str, float]) -> dict[str, float]:
    """What of a brief's [workshop] one plan wants to know, in reporting units."""
    if not workshop:
        return {}
    names = every_workshop()[plan]
    return {name: float(number) for name, number in workshop.items() if name in names}


def read_workshop(section: BriefSection | None, main: Mapping[str, Quantity]) -> dict[str, float]:
    """The section [workshop]; `main` are the names that belong below [given]."""
    if section is None:
        return {}
    known = known_workshop(main)
    section.only((*known, JIGS.name), elsewhere(main))
    found = read_quantities(section, known)
    day = [key for key in ("day_start", "working_day") if key in found]
    if day and (fault := past_midnight(found)):
        section.wrong(day[0], f"{section.found(day[0])}: {fault}")
    return found


@dataclass(frozen=True)
class JigsKey(Key):
    """Which jigs are wanted: true for all that the piece needs, false for none, or their names."""

    @property
    def takes(self) -> str:
        """What may be written for it, in words."""
        return f"true, false or a list of names: {', '.join(map(as_written, jigs.EVERY))}"

    def read(self, section: BriefSection) -> tuple[str, ...]:
        """The names in the order of the work; () where it is left out or wrong."""
        value = section.table.get(self.name, False)
        if isinstance(value, bool):
            return jigs.EVERY if value else ()
        if not isinstance(value, list):
            section.wrong(self.name, f"{section.found(self.name)} is not {self.takes}")
            return ()
        names = section.texts(self.name, len(jigs.EVERY))
        for name in names:
            if name not in jigs.EVERY:
                known = ", ".join(map(as_written, jigs.EVERY))
                section.wrong(self.name, f"{as_written(name)} is not a jig; the jigs are {known}")
                return ()
        return tuple(name for name in jigs.EVERY if name in names)


JIGS = JigsKey("jigs", "the jigs that are sized and drawn, in jigs.pdf", "false")


def read_jigs(section: BriefSection | None) -> tuple[str, ...]:
    """The jigs that the section [workshop] asks for."""
    return () if section is None else JIGS.read(section)


def elsewhere(main: Mapping[str, Quantity]) -> dict[str, str]:
    """Advice on names that a maker may look for in [workshop] and that stand elsewhere."""
    follows = "it follows from the boards and the piece; leave it out"
    names = {q.name: follows for q in (*glue.QUANTITIES, *tenons.QUANTITIES, *boards.QUANTITIES)}
    own = ("end_waste", "edge_loss", "edge_size", "edge_height")
    names |= {key: f"it belongs below [top]: {key} = …" for key in own}
    names["top_margin"] = "it belongs below [top] as margin = …"
    return names | {key: f'write it below [given]: {key} = "…"' for key in main}


def read_quantities(section: BriefSection, known: Mapping[str, Quantity]) -> dict[str, float]:
    """What a section says of quantities, in reporting units and in the order in which it does."""
    said = {key: section.measure(key, span_of(known[key])) for key in section.table if key in known}
    return {key: number for key, number in said.items() if number is not None}


def span_of(quantity: Quantity) -> Span:
    """What a measure of that quantity may be."""
    return Span(
        quantity.unit, quantity.meaning, quantity.low, quantity.high, quantity.whole, quantity.said
    )


# -- the quote -------------------------------------------------------------------------------------

LONGEST_CURRENCY = 12
QUOTE_KEYS = (
    Price("labour_rate", "what an hour of work costs", "needed"),
    measure("overhead", span_of(lot.overhead_share), "none"),
    measure("margin", span_of(lot.margin_share), "none"),
    TextKey("currency", "what is written behind each sum", "nothing"),
    Price("fittings", "price of plates, screws and pads for all the pieces", "not priced"),
    Price("finish", "price of the finish for all the pieces", "not priced"),
    Price("hours", "hours of work for all the pieces", "those of the order of work", 100_000),
)


def read_quote(section: BriefSection | None) -> QuoteTerms | None:
    """The section [quote]; None where there is none, or where too much is wrong with it."""
    if section is None:
        return None
    said: dict[str, Any] = read(section, QUOTE_KEYS)
    if "labour_rate" not in section.table:
        section.wrong("", "labour_rate is missing: what an hour of work costs, a number")
    if len(said["currency"] or "") > LONGEST_CURRENCY:
        section.wrong("currency", f"currency is longer than {LONGEST_CURRENCY} characters")
    if said["labour_rate"] is None:
        return None
    usual: dict[str, Any] = {"overhead": 0.0, "margin": 0.0, "currency": ""}
    return QuoteTerms(**{**said, **{key: said[key] or one for key, one in usual.items()}})


def quote_values(terms: QuoteTerms | None) -> Mapping[str, object]:
    """The section as a brief writes it; what is not said is None."""
    if terms is None:
        return {}
    said = {key.name: getattr(terms, key.name) for key in QUOTE_KEYS}
    usual = {"overhead": 0.0, "margin": 0.0, "currency": ""}
    plain = {key: None if usual.get(key) == one else one for key, one in said.items()}
    return {key: float(one) if isinstance(one, float) else one for key, one in plain.items()}


# -- the delivery ----------------------------------------------------------------------------------

DELIVERY_KEYS = (
    measure("door_width", span_of(lot.door_width), "no door is looked at"),
    measure("door_height", span_of(lot.door_height), "no door is looked at"),
)


@dataclass(frozen=True)
class DeliveryWishes:
    """Clear width and height of the opening that a piece has to pass, mm; None where not said."""

    door_width: float | None = None
    door_height: float | None = None

    @property
    def door(self) -> tuple[float, float] | None:
        """Both, where there is a door."""
        if self.door_width is None or self.door_height is None:
            return None
        return self.door_width, self.door_height


def read_delivery(section: BriefSection | None) -> DeliveryWishes:
    """The section [delivery]; a door has a width and a height."""
    if section is None:
        return DeliveryWishes()
    said = read(section, DELIVERY_KEYS)
    for key, other in (("door_width", "door_height"), ("door_height", "door_width")):
        if key in section.table and other not in section.table:
            section.wrong(key, f"{key} stands without {other}; write both, or neither")
    return DeliveryWishes(**said)


def delivery_values(wishes: DeliveryWishes) -> Mapping[str, object]:
    """The section in the way of `board_values`; what is not said is None."""
    return {
        key.name: None if (n := getattr(wishes, key.name)) is None else (n, "mm")
        for key in DELIVERY_KEYS
    }
