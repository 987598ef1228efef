"""What a brief asks for and what is assumed, as lines of the summary."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from tablekit.brief.workshop import every_workshop
from tablekit.engine.shop import (
    figures_text,
    fine_text,
    plain_number,
    share_text,
    shop_text,
    sum_text,
    times,
)
from tablekit.engine.wording import words
from tablekit.packet.plain_page import PlainPage, Row
from tablekit.relations import quantities, splayed_quantities

if TYPE_CHECKING:
    from tablekit.brief import Air, Board, Brief
    from tablekit.design import Design
    from tablekit.engine.relation import Assumption
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.relations.bases import Base

WAY_UP_WHY = (
    "Puts the feet on the wider circle, so the piece is harder to tip. Notches down loads the "
    "joint less once the top is fastened to the heads."
)
NO_WAY_UP_WHY = "Makes no difference with two notches to a post."
ALIKE_WAY_UP_WHY = (
    "The usual way; here the foot and head circles are equal. Notches down loads the joint less "
    "once the top is fastened to the heads."
)
USUAL_WAY_UP_WHY = (
    "The usual way, though here the feet stand on the smaller circle. Notches down loads the joint "
    "less once the top is fastened to the heads."
)
_ALIKE = 0.5  # mm between two radii that are as good as equal
CROSSING_WHY = "Three posts alike, each with one notch."
LEGS_WHY = "Three legs never rock. Four on the same circle are harder to tip but need a flat floor."
SETTINGS = "Defaults (set any of them under [given])"


def add_asked(page: PlainPage, design: Design) -> None:
    """All that the brief says, as it says it."""
    sheet, brief = design.sheet, design.brief
    page.heading("From the brief")
    for name, number in brief.givens.items():
        shop = sheet.shop(name)
        typed = getattr(number, "text", "") or shop
        page.row(words(name), typed, "" if typed == shop else f"read as {shop}")
    said = (_count, _wood, _room, _boards, _layout, _workshop, _delivery, _quote)
    for part in said:
        for row in part(brief):
            page.row(*row)


def _count(brief: Brief) -> Iterator[Row]:
    if brief.count > 1:
        yield "pieces", f"{brief.count}", "made together"


def _wood(brief: Brief) -> Iterator[Row]:
    if brief.wood.species:
        yield "species", brief.wood.species, ""
    if brief.wood.cut:
        yield "cut", brief.wood.cut, ""


def _room(brief: Brief) -> Iterator[Row]:
    for label, air in (
        ("driest air", brief.room.driest),
        ("dampest air", brief.room.dampest),
        ("shop air", brief.room.shop),
    ):
        if air is not None:
            yield label, _air(air, brief.shop), ""


def _air(air: Air, style: ShopStyle) -> str:
    warm = getattr(air.temperature, "text", "") or f"{plain_number(air.temperature)} °C"
    return f"{warm.replace('degC', '°C').replace('degF', '°F')}, {air.humidity:g} %"


def _boards(brief: Brief) -> Iterator[Row]:
    for board in brief.boards:
        sides = (_typed(number, brief.shop) for number in (board.width, board.length))
        said = ", ".join((" × ".join(sides), *_said(board, brief)))
        yield f"boards {board.name}", f"{board.count}", said


def _typed(number: float, style: ShopStyle) -> str:
    return getattr(number, "text", "") or shop_text(number, "mm", style)


def _said(board: Board, brief: Brief) -> Iterator[str]:
    style = brief.shop
    if board.thickness is not None:
        yield f"{_typed(board.thickness, style)} thick, rough"
    if board.end_width is not None:
        yield f"{_typed(board.end_width, style)} at the second end"
    for zone in board.avoid:
        yield f"not from {_typed(zone.start, style)} to {_typed(zone.end, style)}"
    yield from (text for text in (board.cut, board.species) if text)
    if board.price is not None:
        yield f"at {sum_text(board.price, brief.currency)}"


def _layout(brief: Brief) -> Iterator[Row]:
    """What [top] asks of the layout; its allowances stand with the boards."""
    top = brief.top
    if top.rip:
        yield "strips", top.rip, ""
    if top.order:
        yield "in this order", ", ".join(top.order), ""
    if top.keep:
        yield "kept in the rack", ", ".join(top.keep), ""
    joints = ["symmetrical"] * top.symmetrical + ["none through the centre"] * top.no_centre_joint
    if joints:
        yield "joints", ", ".join(joints), ""
    if top.narrowest is not None:
        yield "narrowest strip", _typed(top.narrowest, brief.shop), ""
    if top.least:
        yield "least", f"{top.least} of what is used", ""
    if top.match:
        yield "strips of one board", f"side by side, {top.match}", ""
    if top.shortest_kept is not None:
        yield "kept in the rack from", _typed(top.shortest_kept, brief.shop), ""


def _workshop(brief: Brief) -> Iterator[Row]:
    known = {name: q for plan in every_workshop().values() for name, q in plan.items()}
    for name, number in brief.workshop.items():
        shop = shop_text(float(number), known[name].unit, brief.shop)
        yield words(name), getattr(number, "text", "") or shop, "[workshop]"
    if brief.jigs:
        yield "jigs", ", ".join(brief.jigs), "[workshop]"


def _delivery(brief: Brief) -> Iterator[Row]:
    if (door := brief.delivery.door) is not None:
        sides = (shop_text(side, "mm", brief.shop) for side in door)
        yield "opening to pass", times(*sides), "[delivery]"


def _quote(brief: Brief) -> Iterator[Row]:
    terms = brief.quote
    if terms is None:
        return
    sums = (
        ("an hour of work", terms.labour_rate), ("fittings", terms.fittings),
        ("finish", terms.finish),
    )  # fmt: skip
    for label, number in sums:
        if number is not None:
            yield label, sum_text(number, terms.currency), "[quote]"
    for label, share in (("overhead", terms.overhead), ("margin", terms.margin)):
        if share:
            yield label, share_text(share), "[quote]"
    if terms.hours is not None:
        yield "hours", f"{plain_number(terms.hours)}", "[quote]"


def add_assumed(page: PlainPage, design: Design) -> None:
    """What shapes the piece, each with its reason; then, shortly, air, tools, loads and finish."""
    rows = [*assumed_rows(design)]
    if rows:
        page.heading("Assumed (the brief does not set these)")
        for row in rows:
            page.row(*row)
    settings = assumed_settings(design.sheet)
    if settings:
        page.heading(SETTINGS)
        page.pairs(settings)


def _setting(sheet: Sheet, name: str) -> str:
    """As the sheet writes it; what a maker's rule would round to nothing, to two figures."""
    value = sheet.values[name]
    text = sheet.shop(name)
    if not value.number or any(mark in text for mark in "123456789"):
        return text
    if value.quantity.unit == "mm":
        return fine_text(value.number, sheet.shop_style)
    return figures_text(value.number, value.quantity.unit, sheet.shop_style, 2)


def assumed_rows(design: Design) -> Iterator[Row]:
    """What is assumed that shapes the piece: what, taken as, why and where from."""
    sheet, brief = design.sheet, design.brief
    yield from _with_reasons(sheet, [a for a in sheet.assumptions if _shapes(a)])
    yield from _of_the_base(sheet, brief)


def assumed_settings(sheet: Sheet) -> list[tuple[str, str]]:
    """What else is assumed, of air, tools, loads and finish: what, taken as."""
    names = [a.quantity.name for a in sheet.assumptions if a.quantity and not _shapes(a)]
    return [(words(name), _setting(sheet, name)) for name in names]


def _shapes(assumption: Assumption) -> bool:
    """Whether it is about the piece itself rather than about air, tools, strength or finish."""
    return assumption.quantity in (*quantities.EVERY, *splayed_quantities.EVERY)


def _with_reasons(sheet: Sheet, assumptions: Iterable[Assumption]) -> Iterator[Row]:
    for assumption in assumptions:
        if assumption.quantity is not None:
            name = assumption.quantity.name
            yield words(name), sheet.shop(name), f"{assumption.why} Source: {assumption.source}."


def _of_the_base(sheet: Sheet, brief: Brief) -> Iterator[Row]:
    base = brief.base.chosen
    whys = {"legs": LEGS_WHY, "crossing": CROSSING_WHY, "way_up": _way_up_why(sheet, base)}
    for option, why in whys.items():
        if option in base.options_of and getattr(brief.base, option) is None:
            yield words(option), base.word(option), why


def _way_up_why(sheet: Sheet, base: Base) -> str:
    if base.notches_each > 1:
        return NO_WAY_UP_WHY
    feet, heads = sheet.get("foot_radius"), sheet.get("head_radius")
    if feet is None or heads is None or feet > heads + _ALIKE:
        return WAY_UP_WHY
    return ALIKE_WAY_UP_WHY if feet > heads - _ALIKE else USUAL_WAY_UP_WHY
