"""The summary of a sheet as plain text, for the terminal and the packet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.design.top_boards import FACTORS
from tablekit.engine.trouble import Contradiction, OutsideLimits
from tablekit.engine.wording import capital, words
from tablekit.packet.as_cut_text import as_cut_rows, panel_rows, work_text
from tablekit.packet.asked_text import add_asked, add_assumed, assumed_rows
from tablekit.packet.board_text import HEADING, board_rows
from tablekit.packet.checks import (
    VERDICTS,
    Once,
    limit_text,
    loud,
)
from tablekit.packet.plain_page import PlainPage
from tablekit.packet.top_text import add_joints, add_surface
from tablekit.relations.bases import base_of
from tablekit.relations.wording import GROUPS
from tablekit.supplied import supplied

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.design import Design
    from tablekit.engine.sheet import CheckResult, Sheet, Value

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
    for number, one in enumerate(made.remedies, start=1):
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
