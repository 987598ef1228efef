"""The boards of a top, gluing it up and finishing the piece, as lines of the summary."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from tablekit.design.top_boards import TopBoards
from tablekit.engine.shop import (
    ShopStyle,
    area_text,
    share_text,
    shop_text,
    shop_text_up,
    sum_text,
    times,
)
from tablekit.engine.wording import capital, listed
from tablekit.packet.checks import VERDICTS
from tablekit.packet.plain_page import PlainPage, Row
from tablekit.planning.board_layout import pieces_marked
from tablekit.planning.clamping import cauls_text
from tablekit.planning.surface import glue_text
from tablekit.planning.top_joints import check_words

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.board_layout import BoardLayout, CutBoard, Strip
    from tablekit.planning.top_joints import TopJoints


# -- the boards ------------------------------------------------------------------------------------

HEADING = "Boards for the top, from left to right"
_WORDS = {
    "top_margin": "margin all round", "end_waste": "end waste", "edge_loss": "edge loss",
    "shortest_kept": "back to the rack from", "rim_strip": "shows at the rim at least",
}  # fmt: skip
SHORT = 300.0  # mm, below which a piece is not fed into a machine: common practice, no source
CAUTION = (
    "Joint and rip boards as the machines' manuals say, with guards, push blocks and a feather "
    "board. Work short or narrow pieces by hand."
)


def board_rows(
    found: TopBoards, sheet: Sheet, match: str | None = None, again: bool = False
) -> tuple[list[Row], list[str]]:
    """Rows and paragraphs of what is said of the boards of a top, their check apart.

    again  for a further top, see `cutting_lines`
    """
    rows = [*(() if again else _given(found, sheet)), *_strips(found, sheet)]
    return rows, [*_said(found, sheet), *cutting_lines(found, sheet, match, again)]


def check_text(check: CheckResult) -> str:
    """Whether the boards cover the circle, where no list of checks says it."""
    return f"{VERDICTS[check.verdict]}: {check.name}. {check.message} Source: {check.source}."


def _given(found: TopBoards, sheet: Sheet) -> Iterator[Row]:
    assumed = {a.quantity.name: a for a in found.assumed if a.quantity is not None}
    for name, number in found.lengths.items():
        remark = ""
        if name in assumed:
            remark = f"assumed: {assumed[name].why} Source: {assumed[name].source}."
        yield _WORDS[name], shop_text(number, "mm", sheet.shop_style), remark


def _strips(found: TopBoards, sheet: Sheet) -> Iterator[Row]:
    style = sheet.shop_style
    layout = found.layout
    if layout is None:
        return
    for number, strip in enumerate(layout.strips, start=1):
        where = " to ".join(_edge_place(edge, style) for edge in (strip.left, strip.right))
        length = shop_text_up(strip.length_needed, style)
        wide = shop_text(strip.width, "mm", style)
        called = layout.source(strip).called if strip.length_needed > 0 else strip.board
        of = f"{number}: {called}"
        yield of, f"{wide} wide", f"{where}; at least {length} long"


def _edge_place(edge: float, style: ShopStyle) -> str:
    """Where an edge is, in words."""
    text = shop_text(abs(edge), "mm", style)
    if abs(edge) < 0.05:
        return "the centre mark"
    return f"{text} {'left' if edge < 0 else 'right'}"


def _said(found: TopBoards, sheet: Sheet) -> Iterator[str]:
    layout = found.layout
    if layout is None:
        return
    alone = {one.board for one in layout.cut if one.alone}
    used = ", ".join(
        name if name in alone else f"{count} × {name}" for name, count in layout.boards.items()
    )
    area = area_text(layout.boards_area, sheet.shop_style)
    price = "" if layout.price is None else f", worth {sum_text(layout.price, found.currency)}"
    waste = share_text(layout.waste, 2)
    yield (
        f"Cut from {used}: {area}{price}, {waste} of it outside the rough circle. "
        f"{bound_text(layout)} Measure from the centre mark."
    )


def bound_text(layout: BoardLayout) -> str:
    """How good the layout is, and whether that is proved."""
    if layout.ordered:
        return "The boards lie in the order asked for."
    least = "costs" if layout.objective == "price" else "uses"
    if layout.proved:
        return f"Proved: no other layout {least} less, to within one part in a thousand."
    gap = share_text(layout.gap, 2)
    return f"The best layout found, not proved: another {least} at most {gap} less."


def cutting_lines(
    found: TopBoards, sheet: Sheet, match: str | None = None, again: bool = False
) -> Iterator[str]:  # fmt: skip
    """How each board is cut, in the order of the work: crosscut first, then joint and rip.

    again  for a further top, of which what holds for every top is not said again
    """
    layout, style = found.layout, sheet.shop_style
    if layout is None:
        return
    waste = shop_text(found.lengths["end_waste"], "mm", style)
    if not again:
        yield _crosscut_first(waste, layout)
    for one in layout.cut:
        yield _board_line(layout, one, style)
    yield f"{_ripped(layout, style)}{'' if again else f' {CAUTION}'}"
    if short := [n for n, s in enumerate(layout.strips, 1) if 0 < s.length_needed < SHORT]:
        limit = shop_text(SHORT, "mm", style)
        yield (
            f"{_numbers(short).capitalize()} {'is' if len(short) == 1 else 'are'} shorter than "
            f"{limit}, too short to feed into a machine: joint by hand, or rip on a sled that "
            "holds the piece."
        )
    if match is not None:
        yield f"Lay the strips of one board side by side, all {match}, so that the colour runs on."
    if back := [one for one in layout.cut if one.left > 0]:
        sizes = [
            times(*(shop_text(side, "mm", style) for side in (one.left_width, one.left)))
            for one in back
        ]
        named = (f"{one.called}, {size}" for one, size in zip(back, sizes, strict=True))
        yield f"Back to the rack: {'; '.join(named)}."


def _crosscut_first(waste: str, layout: BoardLayout) -> str:
    zones = any(one.zones and one.from_far for one in layout.cut)
    return (
        "Crosscut first, each board from the end drawn on the left; the strips are numbered as in "
        f"the layout. Distances are from that end and include the {waste} lost there."
        f"{' Knots and checks were measured from the first end of each board.' * zones}"
    )


def _ripped(layout: BoardLayout, style: ShopStyle) -> str:
    """To which widths the pieces are ripped."""
    wide: dict[str, list[int]] = {}
    for number, strip in enumerate(layout.strips, start=1):
        if strip.length_needed > 0:
            wide.setdefault(shop_text(strip.width, "mm", style), []).append(number)
    each = "; ".join(f"{_numbers(of)} to {width}" for width, of in wide.items())
    return f"Then joint one edge of each piece and rip it parallel: {each}."


def _board_line(layout: BoardLayout, one: CutBoard, style: ShopStyle) -> str:
    def mm(number: float) -> str:
        return shop_text(number, "mm", style)

    pieces = [
        f"strip {piece.number} from {mm(piece.start)} to {mm(piece.end)} ({mm(piece.length)} long)"
        for piece in pieces_marked(layout, one, style)
    ]
    rest = f"{mm(one.left)} goes back to the rack" if one.left else "the rest is too short to keep"
    return f"{capital(one.called)}{one.begun}: {'; '.join(pieces)}; {rest}."


def _numbers(of: list[int]) -> str:
    """ "Strip 7", "strips 1, 2 and 5"."""
    return f"strip{'s' * (len(of) > 1)} {listed(of)}"


# -- gluing up and finishing -----------------------------------------------------------------------

GLUE_CAUTION = (
    "Clamp everything up dry first. Wear gloves and eye protection, and keep your face out of line "
    "with a clamp as you tighten it."
)


def add_joints(page: PlainPage, design: Design) -> None:
    """How the boards of each top are glued up; nothing where there is no joint. Of a further top
    only what its first does not say."""
    first = design.joints
    for number, one in enumerate(design.tops, start=1):
        found = one.joints
        if found is None or found.glue is None:
            continue
        page.heading("Gluing up the top" if number == 1 else f"Gluing up top {number}")
        if same := alike_before(design.tops, number):
            page.paragraph(f"As top {same}.", indent=2)
            continue
        for row in (*_glue(found, found.glue), *_tenons(found, design.sheet)):
            page.row(*row)
        for said in _warned(found, None if number == 1 else first):
            page.paragraph(said, indent=2)


def _warned(found: TopJoints, first: TopJoints | None) -> Iterator[str]:
    """Warnings and growth rings of a top; of a further one what was not said of the first."""
    # What a check says stands with the checks; joints that mirror one another warn alike.
    checked = {check_words(check) for check in found.checks}
    yield from (one for one in _own_warnings(found, first) if one not in checked)
    yield from _rings(found, first)


def _own_warnings(found: TopJoints, first: TopJoints | None) -> list[str]:
    """Each warning once, less those of the first top of a lot."""
    before = _said_of(first)
    return [one for one in dict.fromkeys(found.warnings) if one not in before]


def _rings(found: TopJoints, first: TopJoints | None) -> Iterator[str]:
    if first is None:
        yield f"{found.rings.reason} {GLUE_CAUTION}"
    elif found.rings.reason not in _said_of(first):
        yield found.rings.reason


def _said_of(first: TopJoints | None) -> tuple[str, ...]:
    return () if first is None else (*first.warnings, first.rings.reason)


def alike_before(tops: Sequence[Design], number: int) -> int:
    """The first top of a lot of whose strips and boards those of this one are copies; 0 where
    there is none before it."""
    row = _row(tops[number - 1])
    return next((n for n, one in enumerate(tops[: number - 1], 1) if row and _row(one) == row), 0)


def _row(one: Design) -> list[Strip]:
    layout = one.boards.layout if one.boards else None
    return [] if layout is None else [replace(strip, copy=0) for strip in layout.strips]


def joint_lines(
    found: TopJoints, sheet: Sheet, beside_drawing: bool = False, first: TopJoints | None = None
) -> Iterator[str]:
    """The same as plain lines, label and value together, but for the places of the tenons, which
    are on the drawing.

    beside_drawing  leaves out what else the drawing says: glue, clamps and tenons
    first           of a further top of a lot, what was said of its first: that is not said again
    """
    if found.glue is not None and not beside_drawing:
        for label, value, remark in (*_glue(found, found.glue), _tenon_size(found, sheet)):
            yield f"{label}: {value}{f', {remark}' if remark else ''}"
    yield from _own_warnings(found, first)
    if found.glue is not None:  # else a single board: no joint, and nothing to clamp
        yield from _rings(found, first)


def _glue(found: TopJoints, glue: Sheet) -> Iterator[Row]:
    style = glue.shop_style
    volume, area = glue.number("glue_volume"), glue.number("glue_area")
    yield "glue", glue_text(volume, style), f"for {area_text(area, style)} of joint"
    yield (
        "clamps",
        glue.shop("clamp_count"),
        f"{glue.shop('clamp_pitch')} apart (at most {glue.shop('clamp_spacing')}), "
        f"{glue.shop('force_per_clamp')} each",
    )
    yield from _stages(found, glue)
    stages = ", then ".join(str(joints) for joints in found.stages)
    if found.stages:
        open_time, longest = glue.shop("open_time"), found.longest_go
        took = shop_text(longest, "min", glue.shop_style)
        yield (
            "joints at a time",
            stages,
            f"open time {open_time}; the longest stage takes {took} from first glue to last clamp",
        )


def _stages(found: TopJoints, glue: Sheet) -> Iterator[Row]:
    """Each stage: what is joined, the clamps, the time, and the cauls of each glue-up."""
    staging, style = found.staging, glue.shop_style
    for stage in staging.stages if staging is not None else ():
        took = shop_text(stage.minutes, "min", style)
        opening = stage.sheet.shop("clamp_opening")
        cauls = "".join(
            f" {cauls_text(one.held, found.numbers, partial(shop_text, unit='mm', style=style))}"
            for one in stage.glue_ups
        )
        dry = " and ".join(str(number) for number in stage.after)
        which = f"stages {dry} are" if len(stage.after) > 1 else f"stage {dry} is"
        yield (
            f"stage {stage.number}",
            stage.words(found.numbers),
            f"{stage.clamps} clamps open to {opening}, {took} at the bench"
            f"{f'; once {which} dry' if dry else ''}.{cauls}",
        )


def _tenon_size(found: TopJoints, sheet: Sheet) -> Row:
    style = sheet.shop_style
    wide, long = (shop_text(n, "mm", style) for n in (found.tenon_width, 2 * found.tenon_reach))
    thick = "" if found.glue is None else f", {found.glue.shop('tenon_thickness')} thick"
    return (
        "loose tenons",
        f"{sum(len(one.places) for one in found.tenons)}",
        f"{wide} by {long}{thick}; they only align the boards",
    )


def _tenons(found: TopJoints, sheet: Sheet) -> Iterator[Row]:
    label, value, remark = _tenon_size(found, sheet)
    yield label, value, f"{remark}. Centres from the centre mark:"
    for (one_side, other), one in zip(pairwise(found.numbers), found.tenons, strict=True):
        places = ", ".join(_place(place, sheet) for place in one.places)
        yield f"joint {one_side} to {other}", places or "none", ""


def _place(place: float, sheet: Sheet) -> str:
    text = shop_text(abs(place), "mm", sheet.shop_style)
    below = place < 0 and text != shop_text(0.0, "mm", sheet.shop_style)
    return f"{'−' if below else ''}{text}"


def add_surface(page: PlainPage, design: Design) -> None:
    """Filling, sanding and coats."""
    plan = design.surface
    if plan is None:
        return
    page.heading("Finishing")
    for one in plan.said():
        page.paragraph(one.text, indent=2)
