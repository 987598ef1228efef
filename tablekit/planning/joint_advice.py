"""Cutting the notches so that they last: corners, feather edges, short grain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.quantity import Source, common_practice, derived, published
from tablekit.engine.units import shop_text
from tablekit.planning.setting_out_posts import section_of
from tablekit.relations.bases import base_of
from tablekit.relations.joint_load import DERIVATION
from tablekit.relations.requirements import SAW_SETTING

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle

# A notch floor that leaves a face this shallow breaks away under the chisel.
FEATHER = 5.0  # mm


@dataclass(frozen=True)
class Advice:
    """One thing to mind at the bench, and where it comes from."""

    text: str
    source: Source


def joint_advice(sheet: Sheet) -> tuple[Advice, ...]:
    """What to mind when the notches of this piece are cut; empty where no posts cross."""
    base = base_of(sheet)
    if not base.crossed:
        return ()
    tilted = not base.square and abs(sheet.number("notch_floor_tilt")) > SAW_SETTING
    return (
        *(_feather(sheet) if tilted else ()),
        _corner(sheet.shop_style),
        _kerf(),
        _bearing(),
        _size(),
    )


def _feather(sheet: Sheet) -> tuple[Advice, ...]:
    """A tilted floor leaves one side of the notch shallow, and slanted walls sharp edges."""
    own = section_of(sheet)
    depths = sorted(own.depth(arris) for arris in ("A", "B"))
    shallow, deep = (shop_text(depth, "mm", sheet.shop_style) for depth in depths)
    angle = min(sheet.number("crossing_angle"), 180 - sheet.number("crossing_angle"))
    breaks = " That thin edge breaks away easily." if depths[0] < FEATHER else ""
    text = (
        f"The floor is tilted: {shallow} deep on one face and {deep} on the other.{breaks} The "
        f"walls meet the faces at {angle:.1f}°, so one corner beside each wall is short-grained. "
        "Knife it deep, clamp a block against the face, and pare towards the middle of the post."
    )
    return (Advice(text, derived("reference/derivations/marking.md", "depth down the face")),)


def _corner(style: ShopStyle) -> Advice:
    size = "1/16 to 1/8 in" if style.display == "in" else "2 to 3 mm"
    return Advice(
        f"Leave a {size} radius in the inner corners, and ease the edges of the post that goes "
        "in by a little more, so that it still beds on the floor. A crack starts at a sharp inner "
        "corner; a gradual taper concentrates less stress than a square corner.",
        published(
            "American Wood Council, answer on notched bending members",
            "National Design Specification 2005, 3.2.3, on the taper; the size of the round is "
            "common practice",
        ),
    )


def _kerf() -> Advice:
    return Advice(
        "Stop every saw cut short of the floor and pare the rest. A kerf past the floor is the "
        "start of a crack, and it deepens the notch.",
        common_practice(),
    )


def _bearing() -> Advice:
    return Advice(
        "Cut the faces that bear flat, and hollow rather than round. Each post is itself notched "
        "where it lies in its neighbour, so one wall and a corner of the floor carry no load.",
        derived(DERIVATION, "what really touches"),
    )


def _size() -> Advice:
    return Advice(
        "Do not scale up a proven design without a trial piece. Sharp notches weaken large posts "
        "more than small ones: strength at the corner falls with the square root of the depth.",
        published("LVL Handbook Europe 2025", "page 133, formula 4.47 (6.62 of EN 1995-1-1)"),
    )
