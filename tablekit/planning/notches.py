"""The notches of every post as plain data for the sheet's JSON. Loads nothing that is slow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

ASSEMBLED = "assembly"
_LOCKED = "do not cut these posts: as drawn they cannot be assembled. "
_FREED = {  # by the notches to a post
    2: "Set notch_relief to at least half the section and set them out again.",
    1: "Stand them steeper, at most 54.7° from plumb, or see the joint for the notch "
    "that must be longer.",
}
_NEEDED = ("notch_position", "notch_width", "notch_depth", "crossing_angle", "notch_floor_tilt")
# Which notch is lengthened where a base with two notches to a post is given relief: that in the
# upper notched face of this post, towards the foot, as in `solids.notched`.
RELIEVED_POST = 1


def locked_words(sheet: Sheet) -> str:
    """What a maker must hear before cutting posts that no order of slides puts together; empty
    where they go together, or where there are none. Begins in a small letter."""
    if not any(check.id == ASSEMBLED and check.verdict == "fail" for check in sheet.checks):
        return ""
    return _LOCKED + _FREED[base_of(sheet).notches_each]


def notches_json(sheet: Sheet) -> list[dict[str, Any]] | None:
    """Every notch of every post; None where the piece has none, or a number of them is missing.

    Lengths in mm, angles in degrees: `centre_from_lower_end` and `width` along the post, `depth`
    square to the notch floor, `wall_angle` between the walls and the post's edges,
    `notch_floor_tilt`
    out of the notched face. `shop` says the same as the maker reads it.
    """
    base = base_of(sheet)
    if not base.crossed or any(sheet.get(name) is None for name in _NEEDED):
        return None
    posts = range(1, base.count + 1)
    return [_notch(sheet, post, face) for post in posts for face in base.notched_faces]


def _notch(sheet: Sheet, post: int, face: str) -> dict[str, Any]:
    centre, width = sheet.number("notch_position"), sheet.number("notch_width")
    relief = sheet.get("notch_relief") or 0.0
    if relief and post == RELIEVED_POST and face == "upper notched":
        centre, width = centre - relief / 2, width + relief
    step = base_of(sheet).turn
    if face == "lower notched":
        step = -step
    found = {
        "post": post,
        "face": face,
        "guest": (post - 1 + step) % 3 + 1,
        "centre_from_lower_end": tidy(centre),
        "width": tidy(width),
        "depth": tidy(sheet.number("notch_depth")),
        "wall_angle": _angle(sheet, "crossing_angle"),
        "notch_floor_tilt": _angle(sheet, "notch_floor_tilt"),
    }
    return {**found, "shop": _shop(sheet, centre, width)}


def _angle(sheet: Sheet, name: str) -> float:
    if base_of(sheet).square:
        return {"crossing_angle": 90.0, "notch_floor_tilt": 0.0}[name]
    # The solver's noise would tilt a level floor by some 1e-15 degrees.
    return tidy(round(sheet.number(name), 9)) or 0.0


def _shop(sheet: Sheet, centre: float, width: float) -> str:
    def length(number: float) -> str:
        return shop_text(number, "mm", sheet.shop_style)

    walls, tilt = _angle(sheet, "crossing_angle"), _angle(sheet, "notch_floor_tilt")
    # An angle that reads 90° on any protractor is square to a maker.
    square = "walls square" if abs(walls - 90) < 0.005 else f"walls at {walls:.2f}° to the edges"
    level = "floor parallel to" if abs(tilt) < 0.005 else f"floor tilted {abs(tilt):.2f}° from"
    return (
        f"centre {length(centre)} from the foot end, {length(width)} along the post, "
        f"{length(sheet.number('notch_depth'))} deep; {square}, {level} the face"
    )
