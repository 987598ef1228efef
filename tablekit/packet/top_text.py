"""Gluing up the top and finishing the piece, as lines of the summary."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from tablekit.engine.shop import area_text, shop_text
from tablekit.packet.plain_page import PlainPage, Row
from tablekit.planning.surface import glue_text

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import Strip
    from tablekit.planning.top_joints import TopJoints

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
    from tablekit.planning.top_joints import check_words

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
    if found.stages:
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
    """Each stage where there are several: what is joined, the clamps, the time."""
    staging, style = found.staging, glue.shop_style
    if staging is None or len(staging.stages) == 1:
        return
    for stage in staging.stages:
        took = shop_text(stage.minutes, "min", style)
        opening = stage.sheet.shop("clamp_opening")
        cauls = ", ".join(
            " and ".join(shop_text(long, "mm", style) for long in one.cauls)
            for one in stage.glue_ups
        )
        dry = " and ".join(str(number) for number in stage.after)
        which = f"stages {dry} are" if len(stage.after) > 1 else f"stage {dry} is"
        yield (
            f"stage {stage.number}",
            stage.words(found.numbers),
            f"{stage.clamps} clamps open to {opening}, {took} at the bench; cauls "
            f"{glue.shop('caul_depth')} × {glue.shop('top_thickness')}, {cauls} long"
            f"{f'; once {which} dry' if dry else ''}",
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
