"""Setting out the posts: every knife line of every face, from a sheet.

Derivation: `reference/derivations/marking.md`. What the faces and arrises are called:
`tablekit.planning.post_marks`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from tablekit.engine.shop import ShopStyle, rule_step, shop_round
from tablekit.engine.trouble import DesignError
from tablekit.planning.formulas import found
from tablekit.planning.post_marks import (
    ARRISES,
    BEARING,
    BEHIND_BEARING,
    BEHIND_NOTCH,
    BETWEEN,
    NOTCHED,
    RELIEVED_POST,
    Area,
    Depth,
    End,
    Flat,
    Mark,
    Point,
    PostFace,
    PostMarks,
    clipped,
)
from tablekit.relations import marking
from tablekit.relations.bases import WITH_NOTCHES, base_of
from tablekit.relations.season_fit import CLEARANCE, SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

NEEDED = (
    "post_section", "post_width", "post_length", "notch_depth", "notch_position", "crossing_angle",
    "notch_floor_tilt", "waist_step", "splay", "bearing_rise", "side_rise", "foot_flat_depth",
    "head_flat_depth",
)  # fmt: skip


def post_marks(sheet: Sheet) -> tuple[PostMarks, ...]:
    """What is marked on each post; one entry for all posts that are alike.

    Raises DesignError for a piece without crossed posts or a sheet that lacks a number, and
    OutsideLimits where the notch floor runs out of the post.
    """
    base = base_of(sheet)
    if not base.crossed:
        raise DesignError(
            "this piece has no crossed posts, so there are no notches to mark out; set "
            f"{WITH_NOTCHES} for one that has"
        )
    missing = [name for name in NEEDED if sheet.get(name) is None]
    if missing:
        raise DesignError(f"the posts cannot be marked out: {', '.join(missing)} without a value")
    if base.notches_each == 1:
        return (_one_notch(sheet),)
    if not sheet.get("notch_relief"):
        return (_two_notches(sheet, (1, 2, 3), 0.0),)
    relief = sheet.number("notch_relief")
    others = tuple(number for number in (1, 2, 3) if number != RELIEVED_POST)
    return (_two_notches(sheet, (RELIEVED_POST,), relief), _two_notches(sheet, others, 0.0))


def neighbours(sheet: Sheet, post: int) -> tuple[int, int]:
    """(the post that lies in the notched face of `post`, the post in whose notch it lies)."""
    step = base_of(sheet).turn
    return (post - 1 + step) % 3 + 1, (post - 1 - step) % 3 + 1


@dataclass(frozen=True)
class PostSection:
    """The post's own measures and the crossing's, in mm and degrees; way is +1 notches up."""

    sheet: Sheet
    way: int

    def __getitem__(self, name: str) -> float:
        return self.sheet.number(name)

    @cached_property
    def square(self) -> bool:
        """Two notches are cut square, whatever rounding the splay was given with."""
        return base_of(self.sheet).square

    @property
    def crossing_angle(self) -> float:
        """Between the walls and the edges of the post, degrees."""
        return 90.0 if self.square else self["crossing_angle"]

    @property
    def notch_floor_tilt(self) -> float:
        """Of the floor out of the notched face, degrees."""
        return 0.0 if self.square else self["notch_floor_tilt"]

    def at(self, arris: str) -> Point:
        """(y, z) of an arris."""
        y, z = ARRISES[arris]
        return y * self["post_section"] / 2, z * self["post_width"] / 2

    def reach(self, y: float, z: float) -> float:
        """How far from the axis, along the floor."""
        return found(
            marking.FLOOR_REACH, "floor_reach",
            off_bearing=y, towards_notch=z, notch_floor_tilt=self.notch_floor_tilt,
        )  # fmt: skip

    def cover(self, y: float, z: float) -> float:
        """How far over the floor."""
        level = found(
            marking.FLOOR_LEVEL, "floor_level",
            off_bearing=y, towards_notch=z, notch_floor_tilt=self.notch_floor_tilt,
        )  # fmt: skip
        return found(
            marking.COVER, "cover",
            floor_level=level, post_width=self["post_width"], notch_depth=self["notch_depth"],
        )  # fmt: skip

    def depth(self, arris: str) -> float:
        """Depth of the notch down the face beside the notched one, from arris A or B."""
        return found(
            marking.FACE_DEPTH, "face_depth",
            cover=self.cover(*self.at(arris)), notch_floor_tilt=self.notch_floor_tilt,
            post_width=self["post_width"],
        )  # fmt: skip

    def floor_point(self, arris: str) -> Point:
        """(y, z) where the floor comes out below arris A or B."""
        y, z = self.at(arris)
        return y, z - self.depth(arris)

    def wall(self, y: float, z: float) -> tuple[float, float]:
        """Where the near and the far wall cross a line along the post."""
        near, far = marking.walls(self.way)
        numbers = {
            "notch_position": self["notch_position"], "post_width": self["post_width"],
            "crossing_angle": self.crossing_angle, "floor_reach": self.reach(y, z),
        }  # fmt: skip
        return found(near, "near_wall", **numbers), found(far, "far_wall", **numbers)

    def seat(self, host_y: float, host_z: float, guest_z: float) -> float:
        """Where a line along the host meets the guest."""
        return found(
            marking.seat(self.way), "seat_line",
            notch_position=self["notch_position"], waist_step=self["waist_step"],
            crossing_angle=self.crossing_angle, floor_reach=self.reach(host_y, host_z),
            guest_side=guest_z,
        )  # fmt: skip


@dataclass(frozen=True)
class MarkedWalls:
    """The walls of a notch at an arris as sizes on the rule, mm.

    near, far  from the foot end
    guest      width of the post that lies between them, as made
    clearance  notch less guest, square to the walls; less than 0 where it is too tight
    """

    near: float
    far: float
    guest: float
    clearance: float


def marked_walls(
    own: PostSection, at: Point, style: ShopStyle, wanted: float = CLEARANCE
) -> MarkedWalls:
    """What to mark: the near wall at the nearest size, the far wall at the size by it that leaves
    the guest between nothing and a rattle of play, nearest to `wanted`. Where no size does, the
    nearest one."""
    near, far = own.wall(*at)
    near, guest = shop_round(near, "mm", style)[0], shop_round(own["post_width"], "mm", style)[0]
    sizes = [shop_round(far + k * rule_step(style), "mm", style)[0] for k in (0, 1, -1)]
    # To a millionth of a millimetre, so that noise does not call a snug notch too tight.
    each = [
        MarkedWalls(near, size, guest, round(
            found(
                marking.CLEARANCE, "clearance",
                marked_width=size - near, guest_width=guest, crossing_angle=own.crossing_angle,
            ),
            6,
        ))
        for size in sizes
    ]  # fmt: skip
    fits = [one for one in each if 0 <= one.clearance <= SLOPPY]
    return min(fits, key=lambda one: abs(one.clearance - wanted)) if fits else each[0]


def section_of(sheet: Sheet) -> PostSection:
    """The section of a sheet; two notches are the same either way up."""
    return PostSection(sheet, base_of(sheet).opens)


# --- One notch ----------------------------------------------------------------------------


def _one_notch(sheet: Sheet) -> PostMarks:
    own = section_of(sheet)
    a, b = own.wall(*own.at("A")), own.wall(*own.at("B"))
    depths = (Depth(BEARING, "A", own.depth("A")), Depth(BEHIND_BEARING, "B", own.depth("B")))
    floor_a, floor_b = own.wall(*own.floor_point("A")), own.wall(*own.floor_point("B"))
    deep, wide = own["post_section"], own["post_width"]
    low_a, low_b = wide - depths[0].depth, depths[1].depth
    notch = (
        Area("notch", NOTCHED, ((a[0], 0), (b[0], deep), (b[1], deep), (a[1], 0)), "notch"),
        Area(
            "notch", BEARING,
            ((a[0], wide), (a[1], wide), (floor_a[1], low_a), (floor_a[0], low_a)), "notch",
        ),
        Area(
            "notch", BEHIND_BEARING,
            ((b[0], 0), (b[1], 0), (floor_b[1], low_b), (floor_b[0], low_b)), "notch",
        ),
    )  # fmt: skip
    flats = _flats(own)
    marks = [*_notch_marks(own, "A", a), *_notch_marks(own, "B", b)]
    return PostMarks(
        posts=(1, 2, 3),
        length=own["post_length"],
        faces=_faces(own),
        marks=(*marks, *_seat_marks(own), *_flat_marks(own, flats)),
        depths=depths,
        areas=(*_seat_areas(own), *notch, *_flat_areas(own, flats)),
        flats=flats,
        mirrored=base_of(sheet).mirrored,
    )


def _notch_marks(own: PostSection, arris: str, walls: tuple[float, float]) -> Iterator[Mark]:
    """The near and the far wall at an arris; the far one at a size that lets the guest in."""
    near, far = walls
    marked = marked_walls(own, own.at(arris), own.sheet.shop_style)
    yield Mark(arris, near, "notch")
    yield Mark(arris, far, "notch", rule=marked.far)


def _faces(own: PostSection) -> tuple[PostFace, PostFace, PostFace, PostFace]:
    names = (
        "bearing face", "notched face", "face opposite the bearing face",
        "face opposite the notch",
    )  # fmt: skip
    tasks = (
        "lies on the floor of the neighbour's notch",
        "the neighbour lies in its notch",
        "the notch opens here",
        "no notch here",
    )
    return _named_faces(own, names, tasks)


def _named_faces(
    own: PostSection, names: tuple[str, ...], tasks: tuple[str, ...]
) -> tuple[PostFace, PostFace, PostFace, PostFace]:
    deep, wide = own["post_section"], own["post_width"]
    # The notched face and the one opposite the bearing face look the way the notch opens.
    up = (own.way < 0, own.way > 0, own.way > 0, own.way < 0)
    bearing, notched, behind_bearing, behind_notch = (
        PostFace(name, arrises, width, "up" if looks else "down", task)
        for name, arrises, width, looks, task in zip(
            names, BETWEEN, (wide, deep, wide, deep), up, tasks, strict=True
        )
    )
    return bearing, notched, behind_bearing, behind_notch


def _seat_marks(own: PostSection) -> Iterator[Mark]:
    """Borders of what lies in the neighbour's notch, where they cross the bearing face."""
    for host in ("A", "B"):
        for arris in ("A", "D"):
            line = own.seat(*own.floor_point(host), own.at(arris)[1])
            yield Mark(arris, line, "seat", cut=False)


def _seat_areas(own: PostSection) -> Iterator[Area]:
    deep, half = own["post_section"], own["post_width"] / 2
    floor = [own.floor_point(host) for host in ("A", "B")]
    top = [own.at(host) for host in ("A", "B")]
    sunk = [own.cover(*point) for point in top]

    def corners(side: float) -> tuple[list[float], list[float]]:
        return [own.seat(*p, side) for p in floor], [own.seat(*p, side) for p in top]

    low, _ = corners(-half)
    high, high_top = corners(half)
    _, low_top = corners(-half)
    bearing = ((low[0], 0.0), (low[1], 0.0), (high[1], 2 * half), (high[0], 2 * half))
    beside = [(high[0], 0.0), (high[1], 0.0), (high_top[1], sunk[1]), (high_top[0], sunk[0])]
    behind = [
        (low[0], deep), (low[1], deep),
        (low_top[1], deep - sunk[1]), (low_top[0], deep - sunk[0]),
    ]  # fmt: skip
    yield Area("seat", BEARING, bearing, "seat")
    yield Area("seat", NOTCHED, clipped(beside, 0.0, deep), "seat")
    yield Area("seat", BEHIND_NOTCH, clipped(behind, 0.0, deep), "seat")


# --- Two notches --------------------------------------------------------------------------


def _two_notches(sheet: Sheet, posts: tuple[int, ...], relief: float) -> PostMarks:
    own = section_of(sheet)
    (near, far), deep, depth = own.wall(0.0, 0.0), own["post_section"], own.depth("A")
    long = found(marking.RELIEVED_WALL, "relieved_wall", near_wall=near, notch_relief=relief)

    def strip(face: int, start: float, low: float, high: float, what: str) -> Area:
        return Area("notch", face, ((start, low), (far, low), (far, high), (start, high)), what)

    areas = (
        strip(NOTCHED, long, 0.0, deep, "upper notch"),
        strip(BEARING, long, deep - depth, deep, "upper notch"),
        strip(BEHIND_BEARING, long, 0.0, depth, "upper notch"),
        strip(BEARING, near, 0.0, deep, "lower notch"),
        strip(NOTCHED, near, 0.0, depth, "lower notch"),
        strip(BEHIND_NOTCH, near, deep - depth, deep, "lower notch"),
    )
    flats = _flats(own)
    starts = {"A": long, "B": long, "D": near}
    rule = marked_walls(own, (0.0, 0.0), sheet.shop_style).far
    marks = [Mark(arris, start, "notch") for arris, start in starts.items()]
    marks += [Mark(arris, far, "notch", rule=rule) for arris in starts]
    if long < near:
        marks.append(Mark("A", near, "notch"))
    return PostMarks(
        posts=posts,
        length=own["post_length"],
        faces=_two_notched_faces(own),
        marks=(*marks, *_flat_marks(own, flats)),
        depths=(
            Depth(BEARING, "A", depth), Depth(BEHIND_BEARING, "B", depth),
            Depth(NOTCHED, "A", depth), Depth(BEHIND_NOTCH, "D", depth),
        ),
        areas=(*areas, *_flat_areas(own, flats)),
        flats=flats,
        mirrored=base_of(sheet).mirrored,
    )  # fmt: skip


def _two_notched_faces(own: PostSection) -> tuple[PostFace, PostFace, PostFace, PostFace]:
    names = (
        "lower notched face", "upper notched face", "face opposite the lower notch",
        "face opposite the upper notch",
    )  # fmt: skip
    tasks = (
        "a notch right across", "a notch right across",
        "the upper notch opens here", "the lower notch opens here",
    )  # fmt: skip
    return _named_faces(own, names, tasks)


# --- The flats ----------------------------------------------------------------------------


def _flats(own: PostSection) -> tuple[Flat, Flat]:
    """The lowest corner of the foot and the highest of the head lie on opposite arrises."""
    low, high = ("D", "B") if own.way > 0 else ("B", "D")
    return _flat(own, "foot", low), _flat(own, "head", high)


def _flat(own: PostSection, end: End, arris: str) -> Flat:
    depth = own[f"{end}_flat_depth"]
    along = found(marking.FLAT_ALONG, "flat_along", flat_depth=depth, splay=own["splay"])
    over_bearing = found(
        marking.FLAT_OVER_BEARING, "flat_over_bearing",
        flat_depth=depth, side_rise=own["side_rise"],
    )  # fmt: skip
    over_side = found(
        marking.FLAT_OVER_SIDE, "flat_over_side",
        flat_depth=depth, bearing_rise=own["bearing_rise"],
    )  # fmt: skip
    numbers = {
        "flat_along": along, "flat_over_bearing": over_bearing, "flat_over_side": over_side,
    }  # fmt: skip
    sides = (
        found(marking.CUT_ON_BEARING, "cut_on_bearing", **numbers),
        found(marking.CUT_ON_SIDE, "cut_on_side", **numbers),
        found(marking.CUT_ON_END, "cut_on_end", **numbers),
    )
    return Flat(end, arris, depth, along, over_bearing, over_side, *sides)


def _flat_marks(own: PostSection, flats: tuple[Flat, Flat]) -> Iterator[Mark]:
    foot, head = flats
    yield Mark(foot.arris, foot.along, "foot flat")
    line = found(
        marking.HEAD_LINE, "head_line", post_length=own["post_length"], flat_along=head.along
    )
    yield Mark(head.arris, line, "head flat")


def _flat_areas(own: PostSection, flats: tuple[Flat, Flat]) -> Iterator[Area]:
    for flat in flats:
        end, inward = (0.0, 1) if flat.end == "foot" else (own["post_length"], -1)
        for face, arrises in enumerate(BETWEEN):
            if flat.arris not in arrises:
                continue
            on_bearing = face in (BEARING, BEHIND_BEARING)
            across = flat.over_bearing if on_bearing else flat.over_side
            width = own["post_width"] if on_bearing else own["post_section"]
            edge, into = (0.0, 1) if flat.arris == arrises[0] else (width, -1)
            corners = (
                (end, edge), (end + inward * flat.along, edge), (end, edge + into * across),
            )  # fmt: skip
            yield Area("flat", face, corners, f"{flat.end} flat")
