"""What is cut already, in rows and words: for the terminal and for the bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.engine.shop import (
    duration_text,
    exact_text,
    figures_text,
    fine_text,
    shop_text,
    shop_text_up,
)
from tablekit.engine.wording import words
from tablekit.relations.kinds import height_name

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.shop import ShopStyle
    from tablekit.packet.plain_page import Row
    from tablekit.planning.leg_remedies import LegRemedy, LegsMade
    from tablekit.planning.mending import Remedy


def as_cut_rows(job: Design) -> Iterator[Row]:
    """How the piece stands as it is cut: what, size, and from where to where."""
    from tablekit.planning.leg_remedies import LegsMade

    made = job.as_cut
    assert made is not None
    if isinstance(made, LegsMade):
        yield from _leg_rows(job, made)
        return
    found, style = made.standing, job.sheet.shop_style
    for post, high in enumerate(found.heads, start=1):
        yield f"head {post}", tenths(high, style), "floor to the underside of the top"
    name = words(height_name(job.sheet.kind))
    wanted = shop_text(made.wanted, "mm", style)
    yield name, tenths(found.height, style), f"at the centre; {wanted} asked"
    low = figures_text(found.low_side, "deg", style, 3)
    where = f"low {low} round from the lean of post 1, anticlockwise"
    where = where if found.rim_drop > 0.05 else ""
    yield "top tilt", figures_text(found.tilt, "deg", style, 2), where
    yield "across the rim", fine_text(found.rim_drop, style), "highest less lowest point"
    for post, play in enumerate(found.plays, start=1):
        says = "clearance of the post in it" if play >= 0 else "too narrow for the post in it"
        yield f"notch {post}", fine_text(abs(play), style), says
    yield "widest gap", fine_text(found.gaps, style), "at a flat, under the top or on the floor"
    yield "foot circle", tenths(found.circles[0], style), "radius, through the middles of the feet"
    yield "head circle", tenths(found.circles[1], style), "radius, through the middles of the heads"
    yield "least overhang", tenths(found.overhang, style), "with the top centred on the heads"


def _leg_rows(job: Design, made: LegsMade) -> Iterator[Row]:
    """How the piece stands on its legs as they are cut."""
    found, style = made.standing, job.sheet.shop_style
    for leg, one in zip(made.pieces.legs, found.legs, strict=True):
        where = "below the underside, square to it"
        off = f"; {fine_text(one.off, style)} out of place" if one.off > 0.5 else ""
        yield f"foot {leg}", tenths(one.drop, style), where + off
    wanted = shop_text(made.wanted, "mm", style)
    yield words(height_name(job.sheet.kind)), tenths(found.height, style), (
        f"at the centre; {wanted} asked"
    )  # fmt: skip
    low = min(made.pieces.legs, key=lambda leg: found.legs[leg - 1].drop)
    where = f"low over leg {low}" if found.rim_drop > 0.05 else ""
    yield "top tilt", figures_text(found.tilt, "deg", style, 2), where
    yield "across the rim", fine_text(found.rim_drop, style), "highest less lowest point"
    if found.rock > 0.1:
        yield "rocks by", fine_text(found.rock, style), f"foot {found.rocks} to the floor"
    for leg, one in zip(made.pieces.legs, found.legs, strict=True):
        if made.pieces.is_cut(leg, "tenon_diameter", "socket_diameter"):
            says = "clearance in its socket" if one.play >= 0 else "too thick for its socket"
            yield f"tenon {leg}", fine_text(abs(one.play), style), says
        if made.pieces.is_bored(leg) or "top_thickness" in made.pieces.sizes:
            yield f"over socket {leg}", tenths(one.cover, style), "wood left, plumb"
    as_drawn = tenths(made.drawn_arm, style)
    yield "tipping line", tenths(found.arm, style), f"centre to it; {as_drawn} as drawn"


def panel_rows(job: Design) -> Iterator[Row]:
    """Each strip of the glued panel: which, its width, and what of it is inside the rim and how
    long it has to be."""
    panel = job.glued
    assert panel is not None
    style = job.sheet.shop_style
    for number, strip in enumerate(panel.strips, start=1):
        state = "as planned; " if strip.planned else ""
        shows = f"{exact_text(strip.shows, style)} inside the rim"
        if strip.length_needed and not panel.round_cut:
            shows += f", at least {shop_text_up(strip.length_needed, style)} long"
        yield f"strip {number}", exact_text(strip.width, style), f"{state}{shows}"
    if not panel.round_cut and panel.wide_enough:
        low, high = (exact_text(one, style) for one in panel.room)
        yield "centre", exact_text(panel.centre, style), (
            f"from the outer edge of strip 1; {low} to {high} will do"
        )  # fmt: skip


def ways_of(job: Design) -> tuple[Remedy | LegRemedy, ...]:
    """The remedies for what is cut; none where nothing is."""
    return () if job.as_cut is None else tuple(job.as_cut.remedies)


def work_text(one: Remedy | LegRemedy) -> str:
    """What a remedy costs in work, in a few words in brackets."""
    if one.work == 0:
        return "(no extra work)"
    return f"(about {duration_text(60 * one.work)} of work)"


def tenths(size: float, style: ShopStyle) -> str:
    """A length as a person measures a single piece: to a tenth of a millimetre, or a 64th."""
    return fine_text(size, style) if style.display == "in" else f"{size:.1f} mm"
