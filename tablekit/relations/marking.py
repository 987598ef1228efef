"""Marking out the posts: the notch on their faces and arrises, and the flats at their ends.

A point of a post is given in the post's own frame: along it from the foot end; `y` from its axis
away from the bearing face; `z` from its axis towards the face that the notch opens on.
Proofs: `reference/derivations/marking.md` and `reference/derivations/flats.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, declared_in, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q

# -- the notch -------------------------------------------------------------------------------------

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


def relations(way: int) -> tuple[Relation, ...]:
    """Every relation of marking out; `way` is +1 with the notches opening up, -1 down."""
    return (*SECTION, *walls(way), seat(way), RELIEVED_WALL, CLEARANCE)


# -- the flats: the sharp corner of each end, cut level --------------------------------------------

# --- Marking ----------------------------------------------------------------------------

flat_depth = Quantity(
    "flat_depth", "d", "mm", "sharp corner of an end to its level cut, plumb", 0.05, 300
)
flat_along = Quantity(
    "flat_along",
    "i_u",
    "mm",
    "sharp corner to the flat, along the long arris",
    0.05,
    4000,
    latex="i_u",
)
flat_over_bearing = Quantity(
    "flat_over_bearing",
    "i_m",
    "mm",
    "sharp corner to the flat, across the bearing face or the face opposite it",
    0.05,
    4000,
    latex="i_m",
)
flat_over_side = Quantity(
    "flat_over_side",
    "i_n",
    "mm",
    "sharp corner to the flat, across the notched face or the face opposite it",
    0.05,
    4000,
    latex="i_n",
)
cut_on_bearing = Quantity(
    "cut_on_bearing",
    "l_m",
    "mm",
    "length of the cut line on the bearing face or the face opposite it",
    0.05,
    6000,
    latex="l_m",
)
cut_on_side = Quantity(
    "cut_on_side",
    "l_n",
    "mm",
    "length of the cut line on the notched face or the face opposite it",
    0.05,
    6000,
    latex="l_n",
)
cut_on_end = Quantity(
    "cut_on_end",
    "l_u",
    "mm",
    "length of the cut line on the end of the post",
    0.05,
    6000,
    latex="l_u",
)

_d, _climb = flat_depth, sp.cos(q.splay)
_n, _m = q.bearing_rise, q.side_rise
_SQUARE_FLAT = derived(DERIVATION, "the flats: d√3 along every edge at the square crossing")


def _intercept(
    name: str, found: Quantity, rise: sp.Expr, given: dict[str, str], edge: str
) -> Relation:
    return Relation(
        name=name,
        equation=equal(found * rise, _d),
        meaning=f"Where the flat meets the {edge} of the sharp corner.",
        why="The edge climbs its share of every step; it meets the flat where it has climbed the "
        "depth.",
        source=derived(DERIVATION, "the flats"),
        checks=(Check({"flat_depth": "10 mm", **given}, {found.name: "17.321 mm"}, _SQUARE_FLAT),),
    )


FLAT_ALONG = _intercept(
    "flat along the arris", flat_along, _climb, {"splay": "54.735610 deg"}, "long arris"
)
FLAT_OVER_BEARING = _intercept(
    "flat across the bearing face",
    flat_over_bearing,
    _m,
    {"side_rise": "0.577350"},
    "end edge on the bearing face",
)
FLAT_OVER_SIDE = _intercept(
    "flat across the notched face",
    flat_over_side,
    _n,
    {"bearing_rise": "0.577350"},
    "end edge on the notched face",
)


head_line = Quantity(
    "head_line",
    "x_h",
    "mm",
    "foot end to the flat at the head, along the long arris",
    0,
    4000,
    latex="x_h",
)

HEAD_LINE = Relation(
    name="flat at the head, from the foot end",
    equation=equal(head_line + flat_along, q.post_length),
    meaning="The head's flat, measured from the same end as everything else.",
    why="One end of the post to the other.",
    source=derived(DERIVATION, "the flats"),
    checks=(
        Check(
            {"post_length": "1000 mm", "flat_along": "25 mm"},
            {"head_line": "975.0 mm"},
            common_practice("measure everything from one end"),
        ),
    ),
)


def _side(name: str, found: Quantity, one: Quantity, other: Quantity) -> Relation:
    return Relation(
        name=name,
        equation=equal(found, sp.sqrt(one**2 + other**2)),
        meaning="One side of the triangle that forms the flat.",
        why="Pythagoras: the two edges it joins are square to one another.",
        source=derived(DERIVATION, "the flats"),
        checks=(
            Check(
                {one.name: "17.320508 mm", other.name: "17.320508 mm"},
                {found.name: "24.4949 mm"},
                derived("reference/derivations/flats.md", "side d√6 at the square crossing"),
            ),
        ),
    )


CUT_ON_BEARING = _side(
    "cut line on the bearing face", cut_on_bearing, flat_along, flat_over_bearing
)
CUT_ON_SIDE = _side("cut line on the notched face", cut_on_side, flat_along, flat_over_side)
CUT_ON_END = _side("cut line on the end", cut_on_end, flat_over_bearing, flat_over_side)

FLATS: tuple[Relation, ...] = (
    FLAT_ALONG,
    FLAT_OVER_BEARING,
    FLAT_OVER_SIDE,
    HEAD_LINE,
    CUT_ON_BEARING,
    CUT_ON_SIDE,
    CUT_ON_END,
)

# --- Cutting ----------------------------------------------------------------------------

mitre_on_bearing = Quantity(
    "mitre_on_bearing",
    "μ_f",
    "deg",
    "angle of the flat across the bearing face, out of square",
    0,
    90,
    latex=r"\mu_f",
)
mitre_on_side = Quantity(
    "mitre_on_side",
    "ν_f",
    "deg",
    "angle of the flat across the notched face, out of square",
    0,
    90,
    latex=r"\nu_f",
)
tilt_on_bearing = Quantity(
    "tilt_on_bearing",
    "κ_f",
    "deg",
    "blade tilt out of plumb, the post lying on the face opposite",
    0,
    90,
    latex=r"\kappa_f",
)
tilt_on_side = Quantity(
    "tilt_on_side",
    "χ_f",
    "deg",
    "blade tilt out of plumb, the post lying on a side",
    0,
    90,
    latex=r"\chi_f",
)
flat_to_bearing = Quantity(
    "flat_to_bearing",
    "ω_n",
    "deg",
    "angle between the flat and the bearing face",
    0,
    90,
    latex=r"\omega_n",
)
flat_to_side = Quantity(
    "flat_to_side",
    "ω_m",
    "deg",
    "angle between the flat and the notched face",
    0,
    90,
    latex=r"\omega_m",
)
flat_to_end = Quantity(
    "flat_to_end",
    "ω_u",
    "deg",
    "angle between the flat and the end of the post",
    0,
    90,
    latex=r"\omega_u",
)

_SPLAY = {"splay": "54.735610 deg"}
_EQUAL = derived(DERIVATION, "the square crossing: all three faces alike")


def _mitre(name: str, found: Quantity, rise: sp.Symbol) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.tan(found) * _climb, rise),
        meaning="How far the cut line of the flat runs out of square across the face.",
        why="It joins two intercepts on edges square to one another; their ratio is the tangent.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check({**_SPLAY, rise.name: "0.5773503"}, {found.name: "45.0000 deg"}, _EQUAL),),
    )


def _tilt(name: str, found: Quantity, rise: sp.Symbol) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.sin(found), rise),
        meaning="How far the blade is tilted out of plumb to cut a flat.",
        why="The flat leans over the face by as much as the face climbs.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check({rise.name: "0.5773503"}, {found.name: "35.2644 deg"}, _EQUAL),),
    )


def _between(name: str, found: Quantity, rise: sp.Expr, given: dict[str, str]) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.cos(found), rise),
        meaning="The angle of a guide block, between its sole and that face of the post.",
        why="The flat is level, so the angle between it and a face is the angle at which the face "
        "leans.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check(given, {found.name: "54.7356 deg"}, _EQUAL),),
    )


FLAT_CUTS: tuple[Relation, ...] = (
    _mitre("mitre of the flat on the bearing face", mitre_on_bearing, _m),
    _mitre("mitre of the flat on the notched face", mitre_on_side, _n),
    _tilt("tilt of the blade over the bearing face", tilt_on_bearing, _n),
    _tilt("tilt of the blade over the notched face", tilt_on_side, _m),
    _between("flat to bearing face", flat_to_bearing, _n, {"bearing_rise": "0.5773503"}),
    _between("flat to notched face", flat_to_side, _m, {"side_rise": "0.5773503"}),
    _between("flat to the end", flat_to_end, _climb, _SPLAY),
)

FLAT_RELATIONS: tuple[Relation, ...] = (*FLATS, *FLAT_CUTS)

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())
