"""The summary of a sheet as plain text, for the terminal and the packet: what a brief asks for,
what is assumed, and what comes of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from tablekit.brief.workshop import every_workshop
from tablekit.design.top_boards import FACTORS
from tablekit.engine.shop import (
    figures_text,
    fine_text,
    plain_number,
    share_text,
    shop_text,
    sum_text,
    times,
)
from tablekit.engine.trouble import Contradiction, OutsideLimits
from tablekit.engine.wording import capital, words
from tablekit.packet.as_cut_text import as_cut_rows, panel_rows, ways_of, work_text
from tablekit.packet.checks import VERDICTS, Once, limit_text, loud
from tablekit.packet.plain_page import PlainPage, Row
from tablekit.packet.top_text import HEADING, add_joints, add_surface, board_rows
from tablekit.relations import quantities, splayed_quantities
from tablekit.relations.bases import base_of
from tablekit.relations.wording import GROUPS
from tablekit.supplied import supplied

if TYPE_CHECKING:
    from tablekit.brief import Air, Board, Brief
    from tablekit.design import Design
    from tablekit.engine.relation import Assumption
    from tablekit.engine.sheet import CheckResult, Sheet, Value
    from tablekit.engine.shop import ShopStyle
    from tablekit.relations.bases import Base


__all__ = ["CAUTION", "assumed_rows", "kind_line", "piece_line", "summary_text"]

CAUTION = (
    "Caution: these sizes are a starting point, not a certificate. Try the joint in scrap before "
    "you cut good wood. Guard, clamp and set up machines as their manuals say. If people may lean "
    "on, climb on or sit on the piece, or it is for public use, local codes and a licensed "
    "professional have the last word."
)


def summary_text(design: Design, width: int = 80) -> str:
    """What was asked for, assumed and found, and how it stands to what is asked of such a piece.

    width in characters, as `PlainPage` takes it. Ends in a line end.
    """
    page, sheet = PlainPage(width), design.sheet
    page.title(sheet.name, piece_line(design))
    _gave_way(page, sheet)
    _as_cut(page, design)
    add_asked(page, design)
    _checks(page, design)
    add_assumed(page, design)
    labels = _labels(design.brief)
    for heading, names in GROUPS:
        _group(page, sheet, heading, names, labels)
    _rounded(page, design)
    _boards(page, design)
    add_joints(page, design)
    add_surface(page, design)
    _carrying(page, design)
    _pricing(page, design)
    _jigs(page, design)
    _passes(page, design)
    if design.notes:
        page.heading("Notes")
        for note in design.notes:
            page.paragraph(note, indent=2)
    page.gap()
    page.paragraph(CAUTION)
    return "\n".join(page.lines) + "\n"


def kind_line(sheet: Sheet) -> str:
    """What kind of piece it is and in which sizes it is written."""
    unit = "inches" if sheet.shop_style.display == "in" else "mm"
    return f"{base_of(sheet).described(sheet.kind)}. Sizes in {unit}."


def piece_line(design: Design) -> str:
    """The same, and how many are made where there are several."""
    count = design.brief.count
    several = f" A lot of {count}; sizes and checks are per piece." if count > 1 else ""
    return f"{kind_line(design.sheet)}{several}"


def _gave_way(page: PlainPage, sheet: Sheet) -> None:
    """What is not as it would have been assumed, said before anything else."""
    told = sheet.gave_way_said
    if told:
        page.gap()
    for sentence in told:
        page.paragraph(sentence)


def _jigs(page: PlainPage, design: Design) -> None:
    """The jigs that the brief asks for."""
    if design.jigs is None:
        return
    from tablekit.packet.jig_pages import add_jigs

    add_jigs(page, design)


def _as_cut(page: PlainPage, design: Design) -> None:
    """What is cut already, said first: how it stands, and every way to mend it."""
    _glued(page, design)
    made = design.as_cut
    if made is None:
        return
    page.heading("As cut")
    page.paragraph(capital(made.verdict), indent=2)
    for label, value, remark in as_cut_rows(design):
        page.row(label, value, remark)
    for number, one in enumerate(ways_of(design), start=1):
        page.paragraph(f"{number}. {one.text} {work_text(one)}", indent=2)


def _glued(page: PlainPage, design: Design) -> None:
    """The panel of the top as it was glued, and every way to mend it."""
    panel = design.glued
    if panel is None:
        return
    page.heading("Top as glued")
    page.paragraph(panel.verdict, indent=2)
    for row in panel_rows(design):
        page.row(*row)
    for number, one in enumerate(panel.remedies, start=1):
        page.paragraph(f"{number}. {one.text}", indent=2)


def _labels(brief: Brief) -> dict[str, str]:
    """Where values come from that stand as given although the maker never typed them."""
    offered = (one for one in supplied(brief) if one.name not in brief.givens)
    labels = {one.name: one.label or one.given_by for one in offered}
    return {**labels, **{n: "boards as laid" for n in FACTORS if n not in brief.givens}}


def _group(
    page: PlainPage, sheet: Sheet, heading: str, names: tuple[str, ...], labels: dict[str, str]
) -> None:
    shown = [sheet.values[name] for name in names if name in sheet.values]
    if not shown:
        return
    page.heading(heading)
    for value in shown:
        origin = {"found": "", "given": labels.get(value.quantity.name, "given")}.get(
            value.origin, value.origin
        )
        page.row(words(value.quantity.name), _shop(sheet, value), value.reason or origin)


def _shop(sheet: Sheet, value: Value) -> str:
    return "none" if value.number is None else sheet.shop(value.quantity.name)


def _rounded(page: PlainPage, design: Design) -> None:
    """What becomes of the wishes once every cut is rounded to what can be marked."""
    page.heading("Rounded for the shop")
    rounded, brief = design.as_marked, design.brief
    if isinstance(rounded, Contradiction):
        limit = rounded.limit if isinstance(rounded, OutsideLimits) else ""
        page.paragraph(
            f"Rounded to the rule, these sizes no longer make a {brief.kind}"
            f"{f': {limit}' if limit else ''}. Mark the exact sizes; they are in sheet.json.",
            indent=2,
        )
        return
    for name, said in rounded.lines(of=brief.givens):
        page.paragraph(f"{words(name)}: {said}" if name else said, indent=2)


def _boards(page: PlainPage, design: Design) -> None:
    """How each top is got out of the boards in the rack; what is said of all, with the first."""
    for number, one in enumerate(design.tops, start=1):
        match, again = design.brief.top.match, number > 1
        # Of a further top without boards there is no layout; the check says what is lacking.
        if one.boards is None or (again and one.boards.layout is None):
            continue
        rows, paragraphs = board_rows(one.boards, design.sheet, match, again)
        page.heading(HEADING.replace("the top", f"top {number}") if again else HEADING)
        for label, value, remark in rows:
            page.row(label, value, remark)
        for text in paragraphs:
            page.paragraph(text, indent=2)


def _carrying(page: PlainPage, design: Design) -> None:
    """How the piece is carried in, where the brief names a door."""
    if design.brief.delivery.door is None or design.delivery is None:
        return
    page.heading("Getting it there")
    for name, _, mass, opening in design.delivery.rows():
        page.row(name, mass, f"through an opening of {opening}")
    for line in design.delivery.lines():
        page.paragraph(line, indent=2)


def _pricing(page: PlainPage, design: Design) -> None:
    """What the pieces cost and the price, where the brief asks for one."""
    if design.quote is None:
        return
    page.heading("Price")
    for row in design.quote.rows():
        page.row(*row)
    for line in design.quote.lines():
        page.paragraph(line, indent=2)


def _checks(page: PlainPage, design: Design) -> None:
    """What needs looking at comes first; what passes is told at the end."""
    checks = design.checks
    if not checks:
        return
    page.heading("Checks")
    for text in design.not_checked:
        page.paragraph(loud(text), indent=2)
    short = design.cut_list.short
    if short:
        page.paragraph(f"FAIL: planks for the posts: {short}.", indent=2)
    passed = sum(check.verdict == "pass" for check in checks)
    past = "".join(
        f" At the sizes as marked, {check.name} is past its limit: see Rounded for the shop."
        for check in design.worse_as_marked
    )
    said = f"{passed} of {len(checks)} pass; see Checks that pass, below.{past}"
    page.paragraph(said, indent=2)
    for check in checks:
        if check.verdict != "pass":
            _check(page, design.sheet, check, check.message)


def _passes(page: PlainPage, design: Design) -> None:
    passed = [check for check in design.checks if check.verdict == "pass"]
    if not passed:
        return
    page.heading("Checks that pass")
    once = Once()
    for check in passed:
        _check(page, design.sheet, check, once(check.message))


def _check(page: PlainPage, sheet: Sheet, check: CheckResult, message: str) -> None:
    limit = limit_text(sheet, check)
    what = f"{VERDICTS[check.verdict]}: {check.name}"
    page.paragraph(f"{what} ({limit})" if limit else what, indent=2)
    page.paragraph(message, indent=6)
    page.paragraph(f"Source: {check.source}.", indent=6)


# -- what is asked for and what is assumed ---------------------------------------------------------

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
    said = (_count, _wood, _room, _asked_boards, _layout, _workshop, _delivery, _quote)
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


def _asked_boards(brief: Brief) -> Iterator[Row]:
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
