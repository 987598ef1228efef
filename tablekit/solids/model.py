"""The piece as solids, in place: millimetres, z up from the floor, about the plumb centre line.

Every size comes from a sheet. What is worked out here is only where a length of the sheet lies
in space. The three posts are drawn as whole bars that run through one another at the crossing:
a guest fills the notch of its host exactly, so together they look, and take up, what the notched
posts do. `Model.joints` says which post gives way to which.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import height_name
from tablekit.solids.body import Body, box, cut, disc, turned

Array = NDArray[np.float64]

PLUMB = np.array([0.0, 0.0, 1.0])
TURNS = 2 * np.pi * np.arange(3) / 3
# The corners of a 96-sided rim lie on the circle and its sides 0.05 % inside: below a pen's width.
TOP_SIDES = 96
ARRIS_STEPS = 6  # flats that stand for a quarter round
PAD_SIDES = 48
# On a screen, at the pace of a slider: there the top is seen edge on or as a circle, and pads edge
# on. Corners lie to the left and to the right, so that their widths from the front are exact.
QUICK_TOP_SIDES, QUICK_PAD_SIDES = 32, 4
NEEDED = (
    "splay", "roll", "post_section", "post_width", "centre_distance", "waist_step",
    "foot_arm", "head_arm",
    "foot_flat", "foot_flat_depth", "foot_reach", "foot_sidestep", "head_reach", "head_sidestep",
    "base_height", "pad_projection", "top_diameter", "top_thickness",
)  # fmt: skip


class NumberSheet(Protocol):
    """What is read of a sheet."""

    kind: str
    network: Any

    def number(self, name: str) -> float:
        """The value in its reporting unit."""
        ...

    def get(self, name: str) -> float | None:
        """The same, or None where the sheet has none."""
        ...


@dataclass(frozen=True, eq=False)
class Model:
    """The piece in place. Posts are numbered 1, 2, 3 anticlockwise seen from above.

    posts, pads    three bodies each; no pads where none stand proud
    top            the round top
    along          direction of each post from foot to head, shape (3, 3)
    bearing        outward normal of each post's upper bearing face, shape (3, 3)
    side           normal of the face square to it, shape (3, 3)
    waists         each axis' point nearest the centre line, shape (3, 3)
    notch_centres  on each host's axis, the middle of its notch, shape (3, 3)
    seat_centres   on each guest's axis, the middle of what lies in the notch, shape (3, 3)
    foot_middles   middle of the flat under each foot, shape (3, 3)
    head_middles   middle of the flat on each head, shape (3, 3)
    axis_ends      the axis' two ends before the flats are cut, shape (3, 2, 3)
    joints         places (host, guest) in `posts`: the guest lies in the host's notch
    """

    posts: tuple[Body, ...]
    pads: tuple[Body, ...]
    top: Body
    along: Array
    bearing: Array
    side: Array
    waists: Array
    notch_centres: Array
    seat_centres: Array
    foot_middles: Array
    head_middles: Array
    axis_ends: Array
    joints: tuple[tuple[int, int], ...]

    @property
    def pads_and_top(self) -> tuple[Body, ...]:
        """What is no post: the pads, then the top."""
        return (*self.pads, self.top)

    @property
    def bodies(self) -> tuple[Body, ...]:
        """Posts, pads and top, in that order."""
        return (*self.posts, *self.pads, self.top)


@dataclass(frozen=True)
class _FirstPost:
    """Post 1: unit directions and the points on its axis."""

    along: Array
    bearing: Array
    side: Array
    waist: Array
    low_end: Array
    high_end: Array
    up: int  # +1 notches up, -1 notches down


def _ask_for_all(sheet: NumberSheet) -> None:
    wanted = (*NEEDED, height_name(sheet.kind))
    missing = [name for name in wanted if sheet.get(name) is None]
    if missing:
        raise DesignError(
            f"there is nothing to draw yet: {', '.join(missing)} found no value in this design. "
            f"Give what settles them, or change what leaves them out"
        )


def build(sheet: NumberSheet, quick: bool = False) -> Model:
    """The piece that a sheet describes.

    quick  whether round parts have few sides, for a drawing that follows a slider

    Raises DesignError, naming them, when the sheet leaves open what the solids need, and ValueError
    when the flats leave nothing of a post.
    """
    _ask_for_all(sheet)
    frame = _frame(sheet)
    first = _post(sheet, frame)
    feet = _turned(_end_middle(sheet, frame, "foot"))
    heads = _turned(_end_middle(sheet, frame, "head"))
    shift = frame.up * sheet.number("waist_step") * frame.along
    right = Model(
        posts=tuple(first.turned(turn, k + 1) for k, turn in enumerate(TURNS)),
        pads=pads_under(
            feet,
            sheet.number("foot_flat") / 2,
            sheet.number("pad_projection"),
            QUICK_PAD_SIDES if quick else PAD_SIDES,
        ),
        top=round_top(sheet, QUICK_TOP_SIDES if quick else TOP_SIDES),
        along=_turned(frame.along),
        bearing=_turned(frame.bearing),
        side=_turned(frame.side),
        waists=_turned(frame.waist),
        notch_centres=_turned(frame.waist - shift),
        seat_centres=_turned(frame.waist + shift),
        foot_middles=feet,
        head_middles=heads,
        axis_ends=np.stack([_turned(frame.low_end), _turned(frame.high_end)], axis=1),
        joints=((0, 1), (1, 2), (2, 0)),
    )
    return _left(right) if base_of(sheet).mirrored else right


def _left(right: Model) -> Model:
    """The mirror image of a right-handed base, numbered anticlockwise again."""
    order = [0, 2, 1]
    across = np.array([1.0, -1.0, 1.0])

    def points(given: Array) -> Array:
        return given[order] * across

    return Model(
        posts=tuple(right.posts[k].mirrored(n + 1) for n, k in enumerate(order)),
        pads=tuple(right.pads[k].mirrored(n + 1) for n, k in enumerate(order) if right.pads),
        top=right.top,
        along=points(right.along),
        bearing=points(right.bearing),
        side=points(right.side),
        waists=points(right.waists),
        notch_centres=points(right.notch_centres),
        seat_centres=points(right.seat_centres),
        foot_middles=points(right.foot_middles),
        head_middles=points(right.head_middles),
        axis_ends=points(right.axis_ends),
        joints=tuple((order.index(host), order.index(guest)) for host, guest in right.joints),
    )


def _frame(sheet: NumberSheet) -> _FirstPost:
    """Post 1 leans along +x; its bearing face is parallel to its own and its host's axis."""
    splay, roll = np.radians(sheet.number("splay")), np.radians(sheet.number("roll"))
    up = base_of(sheet).up
    along = np.array([np.sin(splay), 0.0, np.cos(splay)])
    across = np.array([0.0, 1.0, 0.0])
    rising = np.array([-np.cos(splay), 0.0, np.sin(splay)])
    bearing = np.sin(roll) * rising + np.cos(roll) * across
    side = np.cos(roll) * rising - np.sin(roll) * across
    # The post's end stands on its sharp corner; the flat is then cut so much above it.
    corner = sheet.number("pad_projection") - sheet.number("foot_flat_depth")
    deep, wide = sheet.number("post_section"), sheet.number("post_width")
    half_height = (deep * bearing[2] + wide * side[2]) / 2
    rise = sheet.number("foot_arm") * along[2]
    waist = np.array([0.0, up * sheet.number("centre_distance"), corner + half_height + rise])
    low_end = waist - sheet.number("foot_arm") * along
    high_end = waist + sheet.number("head_arm") * along
    return _FirstPost(along, bearing, side, waist, low_end, high_end, up)


def _post(sheet: NumberSheet, frame: _FirstPost) -> Body:
    half_depth = sheet.number("post_section") / 2 * frame.bearing
    half_width = sheet.number("post_width") / 2 * frame.side
    bar = box("post", 1, frame.low_end, frame.high_end, (half_depth, half_width))
    foot = sheet.number("pad_projection")
    with_foot = cut(bar, -PLUMB, -foot)
    return cut(with_foot, PLUMB, foot + sheet.number("base_height"))


def _end_middle(sheet: NumberSheet, frame: _FirstPost, end: str) -> Array:
    """Middle of post 1's flat at an end ("foot" or "head")."""
    outward = -1 if end == "foot" else 1
    level = sheet.number("pad_projection")
    if end == "head":
        level += sheet.number("base_height")
    reach, sidestep = sheet.number(f"{end}_reach"), sheet.number(f"{end}_sidestep")
    return np.array([outward * reach, frame.up * sidestep, level])


def _turned(vector: Array) -> Array:
    """A vector of post 1 and the same of posts 2 and 3, shape (3, 3)."""
    x, y, z = vector
    cos, sin = np.cos(TURNS), np.sin(TURNS)
    return np.column_stack([x * cos - y * sin, x * sin + y * cos, np.full(3, z)])


def pads_under(
    feet: Array, radius: float, proud: float, sides: int = PAD_SIDES
) -> tuple[Body, ...]:
    """A round pad under the middle of each foot, shape (n, 3); none where they do not stand proud.
    Lengths in mm."""
    if proud <= 0:
        return ()
    return tuple(
        disc("pad", k + 1, foot - proud * PLUMB, radius, proud, sides)
        for k, foot in enumerate(feet)
    )


def round_top(sheet: NumberSheet, sides: int = TOP_SIDES) -> Body:
    """The round top in place, the bevel under its rim cut where it has one."""
    thickness = sheet.number("top_thickness")
    underside = sheet.number(height_name(sheet.kind)) - thickness
    radius = sheet.number("top_diameter") / 2
    up = sheet.get("edge_height")
    if up is not None:
        # The bevel under the rim; `finished_top` has the small roundings of an arris.
        flat = (sheet.number("underside_radius"), underside)
        rim = ((radius, underside + up), (radius, underside + thickness))
        return turned("top", 1, (flat, *rim), sides)
    centre = np.array([0.0, 0.0, underside])
    return disc("top", 1, centre, radius, thickness, sides)


def finished_top(sheet: NumberSheet, top: Body) -> Body:
    """`top` with its arrises eased or rounded, where the edge has that. Only what is shown in the
    round wants it: drawings to scale and whatever touches the top go by its square arrises."""
    size = sheet.get("edge_size")
    if size is None or sheet.get("edge_height") is not None:
        return top
    low, high = (float(height) for height in np.sort(top.vertices[:, 2])[[0, -1]])
    radius = sheet.number("top_diameter") / 2
    size = min(size, (high - low) / 2)
    turns = np.linspace(0.0, np.pi / 2, ARRIS_STEPS + 1)
    out, up = radius - size + size * np.sin(turns), size - size * np.cos(turns)
    under = np.column_stack([out, low + up])
    over = np.column_stack([out[::-1], high - up[::-1]])
    # A rim that is rounded all the way up has no upright band between.
    outline = np.vstack([under, over[1:] if high - low <= 2 * size else over])
    return turned("top", 1, [(float(r), float(z)) for r, z in outline], TOP_SIDES)
