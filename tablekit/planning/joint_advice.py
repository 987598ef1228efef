"""Cutting the notches so that they last: corners, feather edges, short grain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.source import Source, common_practice, derived, published
from tablekit.engine.units import shop_text
from tablekit.planning.setting_out_posts import ONE_NOTCH, crossing_of, section_of
from tablekit.relations.joint_load import DERIVATION
from tablekit.relations.requirements import SAW_SETTING

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

# A notch floor that leaves a face this shallow breaks away under the chisel.
FEATHER = 5.0  # mm


@dataclass(frozen=True)
class Advice:
    """One thing to mind at the bench, and where it comes from."""

    text: str
    source: Source


def joint_advice(sheet: Sheet) -> tuple[Advice, ...]:
    """What to mind when the notches of this piece are cut; empty where no posts cross."""
    if crossing_of(sheet) is None:
        return ()
    tilted = crossing_of(sheet) == ONE_NOTCH and abs(sheet.number("notch_floor_tilt")) > SAW_SETTING
    return (
        *(_feather(sheet) if tilted else ()),
        _corner(),
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
        f"The floor is tilted: {shallow} deep down one face and {deep} down the other.{breaks} The "
        f"walls meet the faces at {angle:.1f}°, so one corner beside each wall is short-grained: "
        "knife it deep, pare towards the middle of the post, and clamp a block against the face "
        "while cutting."
    )
    return (Advice(text, derived("reference/derivations/marking.md", "depth down the face")),)


def _corner() -> Advice:
    return Advice(
        "A sharp inner corner is where a crack starts. A gradual taper in place of a square corner "
        "gathers less stress; in this joint leave a round of 2 to 3 mm in the inner corners and "
        "ease the guest's edges by a little more, so that it still beds down on the floor.",
        published(
            "American Wood Council, answer on notched bending members",
            "National Design Specification 2005, 3.2.3, on the taper; the size of the round is "
            "common practice",
        ),
    )


def _kerf() -> Advice:
    return Advice(
        "Stop every saw cut short of the floor and pare the rest. A kerf that runs past it is a "
        "crack already begun, and makes the notch so much deeper.",
        common_practice(),
    )


def _bearing() -> Advice:
    return Advice(
        "Each post is itself notched where it lies in its neighbour, so one wall and a corner of "
        "the floor bear nothing. Cut what does bear flat, and hollow rather than round.",
        derived(DERIVATION, "what really touches"),
    )


def _size() -> Advice:
    return Advice(
        "Sharp notches weaken large posts more than small ones: the strength at the corner falls "
        "with the square root of the depth. Do not scale a tried design up without a trial piece.",
        published("LVL Handbook Europe 2025", "page 133, formula 4.47 (6.62 of EN 1995-1-1)"),
    )
