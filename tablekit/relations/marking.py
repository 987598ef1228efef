"""Marking out the posts: where walls, floor and seat meet the faces and arrises of a post.

A point of a post is given in the post's own frame: along it from the foot end; `y` from its axis
away from the bearing face; `z` from its axis towards the face that the notch opens on.
Proofs: `reference/derivations/marking.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, declared_in, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/marking.md"

off_bearing = Quantity(
    "off_bearing",
    "y",
    "mm",
    "distance from the axis of the post, away from its bearing face",
    -150,
    150,
)
towards_notch = Quantity(
    "towards_notch",
    "z",
    "mm",
    "distance from the axis of the post, towards its notched face",
    -150,
    150,
)
guest_side = Quantity(
    "guest_side",
    "z_g",
    "mm",
    "the same distance on the post that lies in the notch",
    -150,
    150,
    latex="z_g",
)
floor_reach = Quantity(
    "floor_reach",
    "j",
    "mm",
    "distance of a point from the axis, measured along the notch floor",
    -450,
    450,
)
floor_level = Quantity(
    "floor_level",
    "k",
    "mm",
    "height of a point above the axis, measured square to the floor",
    -450,
    450,
)
cover = Quantity(
    "cover",
    "c_v",
    "mm",
    "height of a point above the notch floor, square to the floor",
    -600,
    600,
    latex="c_v",
)
face_depth = Quantity(
    "face_depth",
    "d_n",
    "mm",
    "depth of the notch at an arris, measured down the face",
    -600,
    600,
    latex="d_n",
)
near_wall = Quantity(
    "near_wall",
    "x₁",
    "mm",
    "foot end to the wall of the notch nearer that end",
    -4000,
    8000,
    latex="x_1",
)
far_wall = Quantity(
    "far_wall",
    "x₂",
    "mm",
    "foot end to the wall of the notch farther from that end",
    -4000,
    8000,
    latex="x_2",
)
seat_line = Quantity(
    "seat_line",
    "x_s",
    "mm",
    "foot end to the border of the seat, the part that lies in the neighbour's notch",
    -4000,
    8000,
    latex="x_s",
)

_wide = q.post_width
_phi, _tau = q.crossing_angle, q.notch_floor_tilt
_y, _z, _zg = off_bearing, towards_notch, guest_side
_j, _k, _cover, _depth = floor_reach, floor_level, cover, face_depth
_p, _step = q.notch_position, q.waist_step

# --- The notch ----------------------------------------------------------------------------

FLOOR_REACH = Relation(
    name="reach along the floor",
    equation=equal(_j, _y * sp.cos(_tau) + _z * sp.sin(_tau)),
    meaning="How far out a point of the section lies, measured along the notch floor.",
    why="The floor is turned τ out of the notched face, and so are distances along it.",
    source=derived(DERIVATION, "the section as the floor sees it"),
    checks=(
        Check(
            {"off_bearing": "30 mm", "towards_notch": "40 mm", "notch_floor_tilt": "36.8699 deg"},
            {"floor_reach": "48.00 mm"},
            derived(DERIVATION, "a turn with sine 3/5"),
        ),
    ),
)

FLOOR_LEVEL = Relation(
    name="height over the axis",
    equation=equal(_k, _z * sp.cos(_tau) - _y * sp.sin(_tau)),
    meaning="How high a point of the section lies over the axis, measured square to the notch "
    "floor.",
    why="The same turn, taken square to the floor.",
    source=derived(DERIVATION, "the section as the floor sees it"),
    checks=(
        Check(
            {"off_bearing": "30 mm", "towards_notch": "40 mm", "notch_floor_tilt": "36.8699 deg"},
            {"floor_level": "14.00 mm"},
            derived(DERIVATION, "a turn with sine 3/5"),
        ),
    ),
)

COVER = Relation(
    name="height over the floor",
    equation=equal(_cover, _k - _wide / 2 + q.notch_depth),
    meaning="How far above the floor a point lies; at an arris of the notched face this is the "
    "depth of the notch.",
    why="From the axis to the floor is half a width less the depth of the notch.",
    source=derived(DERIVATION, "the floor"),
    checks=(
        Check(
            {"floor_level": "32 mm", "post_width": "64 mm", "notch_depth": "32 mm"},
            {"cover": "32.0 mm"},
            common_practice("a plain notch is equally deep throughout"),
        ),
    ),
)

FACE_DEPTH = Relation(
    name="depth down the face",
    equation=equal(_depth * sp.cos(_tau), _cover),
    meaning="How far down the adjoining face the notch is marked.",
    why="A tilted floor is not square to that face; measured down the face the depth is greater.",
    source=derived(DERIVATION, "the floor"),
    limits=(
        Limit(
            _depth,
            "the notch floor must come out through the faces beside it (not the notched one)",
        ),
        Limit(
            _wide - _depth,
            "the notch floor must come out through the faces beside it (not the one behind)",
        ),
    ),
    checks=(
        Check(
            {"cover": "30 mm", "notch_floor_tilt": "60 deg", "post_width": "90 mm"},
            {"face_depth": "60.0 mm"},
            derived(DERIVATION, "half as steep again: cos 60° is a half"),
        ),
    ),
)


def walls(way: int) -> tuple[Relation, Relation]:
    """The walls of the notch; `way` is +1 with the notches opening up, -1 down."""

    def wall(name: str, found: Quantity, side: int, text: str) -> Relation:
        return Relation(
            name=name,
            equation=equal((found - _p) * sp.sin(_phi), side * _wide / 2 + way * _j * sp.cos(_phi)),
            meaning="Where a wall of the notch crosses a line along the post.",
            why="The walls are the sides of the post in the notch: half its width to either side "
            "of its axis, which crosses at φ and so advances by the cotangent of φ.",
            source=derived(DERIVATION, "the walls"),
            checks=(
                Check(
                    {
                        "notch_position": "500 mm",
                        "post_width": "64 mm",
                        "crossing_angle": "90 deg",
                        "floor_reach": "32 mm",
                    },
                    {found.name: text},
                    common_practice("a square notch about the middle of the post"),
                ),
            ),
        )

    return (
        wall("near wall of the notch", near_wall, -1, "468.0 mm"),
        wall("far wall of the notch", far_wall, 1, "532.0 mm"),
    )


def seat(way: int) -> Relation:
    """The border of the seat in the neighbour's notch; `way` as in `walls`."""
    return Relation(
        name="border of the seat",
        equation=equal(
            (seat_line - _p - 2 * way * _step) * sp.sin(_phi),
            way * (_j + _zg * sp.cos(_phi)),
        ),
        meaning="Where a line along the notched post meets the post that lies in its notch.",
        why="The seat is as far past the waist as the notch is before it, and the notched post "
        "crosses there at φ.",
        source=derived(DERIVATION, "the seat"),
        checks=(
            Check(
                {
                    "notch_position": "500 mm",
                    "waist_step": "16 mm",
                    "crossing_angle": "90 deg",
                    "floor_reach": "32 mm",
                    "guest_side": "32 mm",
                },
                {"seat_line": "564.0 mm" if way > 0 else "436.0 mm"},
                derived(DERIVATION, "square crossing: notch and seat are e apart"),
            ),
        ),
    )


relieved_wall = Quantity(
    "relieved_wall",
    "x_r",
    "mm",
    "foot end to the near wall of the lengthened notch",
    -4000,
    8000,
    latex="x_r",
)

RELIEVED_WALL = Relation(
    name="near wall of the lengthened notch",
    equation=equal(relieved_wall + q.notch_relief, near_wall),
    meaning="Where the one lengthened notch begins, in a base with two notches to a post.",
    why="All of the extra length lies towards the foot, beyond the wall of the other notches.",
    source=derived(DERIVATION, "two notches"),
    checks=(
        Check(
            {"near_wall": "468 mm", "notch_relief": "32 mm"},
            {"relieved_wall": "436.0 mm"},
            common_practice("one length less the other"),
        ),
    ),
)

SECTION: tuple[Relation, ...] = (FLOOR_REACH, FLOOR_LEVEL, COVER, FACE_DEPTH)

# --- The fit ------------------------------------------------------------------------------

marked_width = Quantity(
    "marked_width",
    "b_x",
    "mm",
    "near wall to far wall as marked, along the post",
    0.5,
    6000,
    latex="b_x",
)
guest_width = Quantity(
    "guest_width",
    "w_g",
    "mm",
    "actual width of the post that lies in the notch",
    0.5,
    400,
    latex="w_g",
)
clearance = Quantity(
    "clearance",
    "γ",
    "mm",
    "width of the notch less that of the post in it; negative where the notch is narrower",
    -50,
    50,
    latex=r"\gamma",
)

CLEARANCE = Relation(
    name="clearance of the notch",
    equation=equal(clearance + guest_width, marked_width * sp.sin(_phi)),
    meaning="What is left beside the post in the notch.",
    why="Square to the walls, the width of the notch is its length along the post times the sine "
    "of φ.",
    source=derived(DERIVATION, "the fit"),
    checks=(
        Check(
            {"marked_width": "64.5 mm", "guest_width": "64 mm", "crossing_angle": "90 deg"},
            {"clearance": "0.500 mm"},
            common_practice("width of notch less width of post"),
        ),
    ),
)

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())


def relations(way: int) -> tuple[Relation, ...]:
    """Every relation of marking out; `way` is +1 with the notches opening up, -1 down."""
    return (*SECTION, *walls(way), seat(way), RELIEVED_WALL, CLEARANCE)
