"""The summary of a sheet as plain text, for the terminal and the packet."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.engine.units import shop_text
from tablekit.relations.groups import GROUPS

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet, Value

NARROWEST, WIDEST = 48, 100

WAY_UP_WHY = (
    "The feet then stand on the wider circle and it is harder to tip; notches down loads the joint "
    "less once the top is fastened to the heads."
)
CROSSING_WHY = "Three posts alike, each with one notch."
LEGS_WHY = (
    "Three stand without rocking on any floor; four on the same circle are harder to tip, and need "
    "a flat one."
)

CAUTION = (
    "Caution: these are sizes to start from, not a certificate. Try the joint in scrap before "
    "cutting good wood. Guard, clamp and set up machines as their manuals say. Where people may "
    "lean on it, climb on it or sit on it, or where it is for public use, local codes and a "
    "licensed professional have the last word."
)


def summary_text(sheet: Sheet, brief: Brief, width: int = 80) -> str:
    """What was asked for, assumed and found, and how it stands to what is asked of such a piece.

    width in characters, kept between `NARROWEST` and `WIDEST`. Ends in a line end.
    """
    page = _Page(max(NARROWEST, min(width, WIDEST)))
    page.title(sheet.name, _kind_line(sheet))
    _asked(page, sheet, brief)
    _assumed(page, sheet, brief)
    for heading, names in GROUPS:
        _group(page, sheet, heading, names)
    _rounded(page, sheet, brief)
    _boards(page, sheet, brief)
    _checks(page, sheet)
    if sheet.notes:
        page.heading("Notes")
        for note in sheet.notes:
            page.paragraph(note, indent=2)
    page.gap()
    page.paragraph(CAUTION)
    return "\n".join(page.lines) + "\n"


class _Page:
    """Lines of text within a width."""

    def __init__(self, width: int):
        self.width = width
        self.lines: list[str] = []

    def title(self, name: str, below: str) -> None:
        self.lines += textwrap.wrap(name, self.width) or [""]
        self.paragraph(below)

    def gap(self) -> None:
        self.lines.append("")

    def heading(self, text: str) -> None:
        self.lines += ["", text]

    def paragraph(self, text: str, indent: int = 0) -> None:
        space = " " * indent
        self.lines += textwrap.wrap(text, self.width, initial_indent=space, subsequent_indent=space)

    def row(self, label: str, value: str, remark: str = "") -> None:
        """Label, value and a remark that goes on below itself, or below the value if narrow."""
        start = f"  {label:<19} {value:<16}"
        if not remark:
            self.lines += textwrap.wrap(
                start.rstrip(), self.width, subsequent_indent=" " * 22, drop_whitespace=True
            )
            return
        column = 39 if self.width >= 76 else 6
        wrapped = textwrap.wrap(remark, self.width - column)
        if column == 39 and len(start) < column:
            self.lines.append(f"{start:<39}{wrapped[0]}")
            wrapped = wrapped[1:]
        else:
            self.lines.append(start.rstrip())
        self.lines += [" " * column + line for line in wrapped]


def _words(name: str) -> str:
    return name.replace("_", " ")


def _kind_line(sheet: Sheet) -> str:
    options = dict(sheet.network.options)
    if "hand" in options:
        options["hand"] += " hand"
    unit = "inches" if sheet.shop_style.display == "in" else "millimetres"
    return f"A {sheet.kind}; {', '.join(options.values())}; sizes in {unit}."


def _asked(page: _Page, sheet: Sheet, brief: Brief) -> None:
    page.heading("Asked for")
    for name, number in brief.givens.items():
        shop = sheet.shop(name)
        typed = getattr(number, "text", "") or shop
        page.row(_words(name), typed, "" if typed == shop else f"read as {shop}")
    if brief.wood.species:
        page.row("species", brief.wood.species)


def _assumed(page: _Page, sheet: Sheet, brief: Brief) -> None:
    assumed = list(_assumptions(sheet, brief))
    if not assumed:
        return
    page.heading("Assumed, since nothing given settles it")
    for label, value, why in assumed:
        page.row(label, value, why)


def _assumptions(sheet: Sheet, brief: Brief) -> Iterator[tuple[str, str, str]]:
    for assumption in sheet.assumptions:
        if assumption.quantity is not None:
            name = assumption.quantity.name
            yield _words(name), sheet.shop(name), f"{assumption.why} Source: {assumption.source}."
    if brief.base.splayed:
        if brief.base.legs is None:
            yield "legs", brief.options["legs"], LEGS_WHY
        return
    if brief.base.crossing is None:
        yield "crossing", brief.options["crossing"], CROSSING_WHY
    if brief.base.way_up is None:
        yield "way up", brief.options["way_up"], WAY_UP_WHY


def _group(page: _Page, sheet: Sheet, heading: str, names: tuple[str, ...]) -> None:
    shown = [sheet.values[name] for name in names if name in sheet.values]
    if not shown:
        return
    page.heading(heading)
    for value in shown:
        origin = "" if value.origin == "found" else value.origin
        page.row(_words(value.quantity.name), _shop(sheet, value), value.reason or origin)


def _shop(sheet: Sheet, value: Value) -> str:
    return "none" if value.number is None else sheet.shop(value.quantity.name)


def _rounded(page: _Page, sheet: Sheet, brief: Brief) -> None:
    """What becomes of the wishes once every cut is rounded to what can be marked."""
    from tablekit.engine.rounding import round_to_shop

    page.heading("Rounded for the shop")
    for line in round_to_shop(sheet).text(of=brief.givens).splitlines():
        name, _, rest = line.partition(": ")
        page.paragraph(f"{name.replace('_', ' ')}: {rest}" if rest else line, indent=2)


def _boards(page: _Page, sheet: Sheet, brief: Brief) -> None:
    """How the top is got out of the boards in the rack."""
    if not brief.boards:
        return
    from tablekit.packet.board_text import HEADING, board_rows
    from tablekit.packet.top_boards import top_boards

    found = top_boards(brief, sheet)
    if found is None:
        return
    rows, paragraphs = board_rows(found, sheet)
    page.heading(HEADING)
    for label, value, remark in rows:
        page.row(label, value, remark)
    for text in paragraphs:
        page.paragraph(text, indent=2)


def _checks(page: _Page, sheet: Sheet) -> None:
    if not sheet.checks:
        return
    page.heading("Checks")
    for check in sheet.checks:
        verdict = {"pass": "pass", "caution": "CAUTION", "fail": "FAIL"}[check.verdict]
        limit = _limit(sheet, check.limit, check.unit)
        page.paragraph(f"{verdict}: {check.name}{limit}", indent=2)
        page.paragraph(check.message, indent=6)
        page.paragraph(f"Source: {check.source}.", indent=6)


def _limit(sheet: Sheet, limit: float | None, unit: str) -> str:
    # nan where the requirement is open on both sides
    if limit is None or limit != limit:
        return ""
    return f" (limit {shop_text(limit, unit, sheet.shop_style)})"
