"""The edge of the top: arrises eased or rounded, or a bevel under the rim.

What the edge takes off the top, what is left at the rim and under the heads, and how it is cut.
`reference/derivations/edge.md` derives all of it and has the worked examples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import sympy as sp

from tablekit.engine.quantity import Quantity, Source, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import fixing, mass, trammel
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.kinds import Declared, is_seat

DERIVATION = "reference/derivations/edge.md"


def _at(heading: str) -> Source:
    return derived(DERIVATION, heading)


edge_size = Quantity(
    "edge_size", "e_i", "mm",
    "how far the shaped edge goes in from the rim: the radius where it is rounded",
    0.5, 400, cut=True, latex="e_i",
)  # fmt: skip
edge_height = Quantity(
    "edge_height", "e_u", "mm", "how far the bevel goes up the rim from the underside",
    0.5, 200, cut=True, latex="e_u",
)  # fmt: skip
rim_thickness = Quantity(
    "rim_thickness", "t_r", "mm", "thickness of the top that stays upright at the rim",
    0, 200, latex="t_r",
)  # fmt: skip
edge_section = Quantity(
    "edge_section", "A_e", "mm^2", "section of the wood that the shaped edge takes off",
    0.01, 40000, latex="A_e",
)  # fmt: skip
edge_centroid = Quantity(
    "edge_centroid", "R_e", "mm", "centre line to the centroid of that section", 5, 1600,
    latex="R_e",
)  # fmt: skip
edge_volume = Quantity(
    "edge_volume", "V_e", "mm^3", "volume of the wood that the shaped edge takes off",
    1, 4e8, latex="V_e",
)  # fmt: skip
underside_radius = Quantity(
    "underside_radius", "R_u", "mm", "centre line to where the flat underside ends", 5, 1600,
    latex="R_u",
)  # fmt: skip
underside_overhang = Quantity(
    "underside_overhang", "o_u", "mm",
    "in plan, the circle that the overhang is measured from to where the flat underside ends; "
    "negative where that circle lies under the edge",
    -2000, 2000, latex="o_u",
)  # fmt: skip
edge_room = Quantity(
    "edge_room", "c_e", "mm",
    "in plan, flat underside left outside the heads or legs; negative where they reach under the "
    "edge",
    -2000, 2000, latex="c_e",
)  # fmt: skip
screw_room = Quantity(
    "screw_room", "c_s", "mm", "in plan, flat underside left outside the screws of the top",
    -2000, 2000, latex="c_s",
)  # fmt: skip
bevel_angle = Quantity(
    "bevel_angle", "β_e", "deg", "angle between the bevel and the underside", 0.1, 89.5,
    latex=r"\beta_e",
)  # fmt: skip
bevel_width = Quantity(
    "bevel_width", "b_e", "mm", "width of the bevel, up its slope", 0.7, 450, latex="b_e"
)
edge_by_depth = Quantity(
    "edge_by_depth", "N_y", "1", "depth of the edge over the depth of a pass", 0.005, 400,
    latex="N_y",
)  # fmt: skip
edge_passes = Quantity(
    "edge_passes", "N_e", "1", "number of passes round each arris", 1, 401, latex="N_e", whole=True
)
bevel_levels = Quantity(
    "bevel_levels", "N_b", "1", "number of equal depths that the bevel is divided into", 1, 401,
    latex="N_b", whole=True,
)  # fmt: skip
SHARED = (
    edge_size, rim_thickness, edge_section, edge_centroid, edge_volume, underside_radius,
    underside_overhang, edge_room, screw_room, edge_by_depth,
)  # fmt: skip
ROUNDED_QUANTITIES = (*SHARED, edge_passes)
BEVEL_QUANTITIES = (*SHARED, edge_height, bevel_angle, bevel_width, bevel_levels)

_in, _up = edge_size, edge_height
_thick, _half = q.top_thickness, q.top_diameter / 2
_HAIR = sp.Float(1e-9)

# --- what any shaped edge takes off ---------------------------------------------------------------

EDGE_VOLUME = Relation(
    name="volume of the edge",
    equation=equal(edge_volume, 2 * sp.pi * edge_centroid * edge_section),
    meaning="The section that is taken off, times the way of its centroid once round.",
    why="Pappus's theorem: the volume of a solid of revolution is its section times the path of "
    "the section's centroid.",
    source=_at("Pappus"),
    checks=(
        Check({"edge_centroid": "430 mm", "edge_section": "420 mm^2"},
              {"edge_volume": "1134743 mm^3"}, _at("the bevel as a frustum")),
    ),
)  # fmt: skip
TOP_VOLUME = Relation(
    name="volume of the top with a shaped edge",
    equation=equal(
        q.top_volume + edge_volume,
        sp.pi / 4 * q.top_diameter**2 * q.top_thickness,
    ),
    meaning="The round slab less the ring that the edge takes off.",
    why="What is cut away and what is left make up the whole slab.",
    source=_at("what is left"),
    checks=(
        Check({"top_diameter": "900 mm", "top_thickness": "28 mm",
               "edge_volume": "1134743 mm^3"},
              {"top_volume": "0.016678 m^3"}, _at("what is left")),
    ),
)  # fmt: skip
UNDERSIDE_RADIUS = Relation(
    name="end of the flat underside",
    equation=equal(underside_radius + edge_size, q.top_diameter / 2),
    meaning="The shaped edge begins as far in from the rim as its size.",
    why="The top and its edge share the centre line.",
    source=_at("under the heads"),
    checks=(
        Check({"top_diameter": "900 mm", "edge_size": "60 mm"}, {"underside_radius": "390 mm"},
              _at("under the heads")),
    ),
)  # fmt: skip
UNDERSIDE_OVERHANG = Relation(
    name="overhang of the flat underside",
    equation=equal(underside_overhang, q.overhang - edge_size),
    meaning="How far the flat underside goes beyond the circle that the overhang is measured from.",
    why="The overhang ends at the rim, the flat underside where the edge begins.",
    source=_at("under the heads"),
    checks=(
        Check({"overhang": "80.251 mm", "edge_size": "60 mm"}, {"underside_overhang": "20.251 mm"},
              _at("under the heads")),
    ),
)  # fmt: skip
SCREW_ROOM = Relation(
    name="flat underside beyond the screws",
    equation=equal(
        screw_room, underside_radius - fixing.screw_radius
    ),
    meaning="From the circle of the screws to where the edge begins.",
    why="Both circles are about the centre line.",
    source=_at("under the heads"),
    checks=(
        Check({"underside_radius": "390 mm", "screw_radius": "374.6 mm"}, {"screw_room": "15.4 mm"},
              _at("under the heads")),
    ),
)  # fmt: skip


def _room(width: Quantity, what: str) -> Relation:
    """Flat underside outside what bears on it, `width` wide."""
    return Relation(
        name=f"flat underside beyond the {what}",
        equation=equal(2 * edge_room, 2 * underside_overhang - width),
        meaning=f"The {what} need the flat underside for half their width beyond their centres.",
        why="The overhang is measured from their centres.",
        source=_at("under the heads"),
        checks=(
            Check({"underside_overhang": "20.251 mm", width.name: "25 mm"},
                  {"edge_room": "7.751 mm"}, _at("under the heads")),
        ),
    )  # fmt: skip


HEAD_ROOM = _room(q.head_flat, "heads")
LEG_ROOM = _room(s.leg_diameter, "legs")

# --- rounded arrises ------------------------------------------------------------------------------

ROUNDED_RIM = Relation(
    name="rim between rounded arrises",
    equation=equal(rim_thickness + 2 * _in, _thick),
    meaning="What stays upright between the two rounded arrises.",
    why="Each takes its radius of the thickness.",
    source=_at("rounded arrises"),
    checks=(
        Check({"top_thickness": "28 mm", "edge_size": "6 mm"}, {"rim_thickness": "16 mm"},
              _at("rounded arrises")),
    ),
)  # fmt: skip
ROUNDED_SECTION = Relation(
    name="section of two rounded arrises",
    equation=equal(edge_section, (2 - sp.pi / 2) * _in**2),
    meaning="At each arris a square less a quarter of a circle.",
    why="The circle touches the face and the rim one radius from the arris.",
    source=_at("rounded arrises"),
    checks=(
        Check({"edge_size": "6 mm"}, {"edge_section": "15.4513 mm^2"}, _at("rounded arrises")),
    ),
)  # fmt: skip
ROUNDED_CENTROID = Relation(
    name="centroid of a rounded arris",
    equation=equal(
        edge_centroid, _half - _in * (10 - 3 * sp.pi) / (3 * (4 - sp.pi))
    ),
    meaning="It lies 0.2234 of the radius inside the rim.",
    why="The moment of the square about the rim less that of the quarter circle, over the "
    "difference of their areas.",
    source=_at("rounded arrises"),
    checks=(
        Check({"top_diameter": "900 mm", "edge_size": "6 mm"}, {"edge_centroid": "448.6598 mm"},
              _at("rounded arrises")),
    ),
)  # fmt: skip
ROUNDED_BY_DEPTH = Relation(
    name="radius in passes",
    equation=equal(edge_by_depth * trammel.pass_depth, _in),
    meaning="The radius over the depth of a pass.",
    why="The cutter is let down to the full radius by a pass at a time.",
    source=_at("passes and steps"),
    checks=(
        Check({"edge_size": "6 mm", "pass_depth": "5 mm"}, {"edge_by_depth": "1.2"},
              _at("passes and steps")),
    ),
)  # fmt: skip


def _whole(name: str, count: Quantity, meaning: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(count, 1 + sp.floor(edge_by_depth - _HAIR)),
        meaning=meaning,
        why="Part of a pass takes a whole pass.",
        source=_at("passes and steps"),
        inverse={"edge_by_depth": count},
        checks=(
            Check({"edge_by_depth": "1.2"}, {count.name: "2"}, _at("passes and steps")),
            Check({"edge_by_depth": "2.8"}, {count.name: "3"}, _at("passes and steps")),
        ),
    )


EDGE_PASSES = _whole("passes round an arris", edge_passes, "Rounded up to whole passes.")
ROUNDED = (
    EDGE_VOLUME, TOP_VOLUME, UNDERSIDE_RADIUS, UNDERSIDE_OVERHANG, ROUNDED_RIM, ROUNDED_SECTION,
    ROUNDED_CENTROID, ROUNDED_BY_DEPTH, EDGE_PASSES,
)  # fmt: skip

# --- a bevel under the rim ------------------------------------------------------------------------

BEVEL_RIM = Relation(
    name="rim over the bevel",
    equation=equal(rim_thickness + _up, _thick),
    meaning="What stays upright at the rim over the bevel: the thickness that is seen.",
    why="The bevel goes up the rim from the underside.",
    source=_at("a bevel under the rim"),
    limits=(
        Limit(_thick - _up - q.MILLIMETRE, "the bevel leaves a millimetre of rim at least"),
    ),
    checks=(
        Check({"top_thickness": "28 mm", "edge_height": "14 mm"}, {"rim_thickness": "14 mm"},
              _at("a bevel under the rim")),
    ),
)  # fmt: skip
BEVEL_SECTION = Relation(
    name="section of the bevel",
    equation=equal(edge_section, _in * _up / 2),
    meaning="A right-angled triangle.",
    why="Half of what it goes in times half of what it goes up, twice over.",
    source=_at("a bevel under the rim"),
    checks=(
        Check({"edge_size": "60 mm", "edge_height": "14 mm"}, {"edge_section": "420 mm^2"},
              _at("a bevel under the rim")),
    ),
)  # fmt: skip
BEVEL_CENTROID = Relation(
    name="centroid of the bevel",
    equation=equal(edge_centroid, _half - _in / 3),
    meaning="A third of the way in from the rim.",
    why="The centroid of a triangle lies a third of its height from each side.",
    source=_at("a bevel under the rim"),
    checks=(
        Check({"top_diameter": "900 mm", "edge_size": "60 mm"}, {"edge_centroid": "430 mm"},
              _at("a bevel under the rim")),
    ),
)  # fmt: skip
BEVEL_ANGLE = Relation(
    name="angle of the bevel",
    equation=equal(sp.tan(bevel_angle) * _in, _up),
    meaning="How much the bevel rises from the underside.",
    why="Its tangent is what it goes up over what it goes in.",
    source=_at("a bevel under the rim"),
    checks=(
        Check({"edge_size": "60 mm", "edge_height": "14 mm"}, {"bevel_angle": "13.134 deg"},
              _at("a bevel under the rim")),
    ),
)  # fmt: skip
BEVEL_WIDTH = Relation(
    name="width of the bevel",
    equation=equal(bevel_width**2, _in**2 + _up**2),
    meaning="Measured up the slope, as the plane sees it.",
    why="Pythagoras.",
    source=_at("a bevel under the rim"),
    checks=(
        Check({"edge_size": "60 mm", "edge_height": "14 mm"}, {"bevel_width": "61.612 mm"},
              _at("a bevel under the rim")),
    ),
)  # fmt: skip
BEVEL_BY_DEPTH = Relation(
    name="height of the bevel in passes",
    equation=equal(edge_by_depth * trammel.pass_depth, _up),
    meaning="The height of the bevel over the depth of a pass.",
    why="Each step of the bevel is one pass deeper than the last.",
    source=_at("passes and steps"),
    checks=(
        Check({"edge_height": "14 mm", "pass_depth": "5 mm"}, {"edge_by_depth": "2.8"},
              _at("passes and steps")),
    ),
)  # fmt: skip
BEVEL_LEVELS = _whole("depths of the bevel", bevel_levels, "Rounded up to whole depths.")
BEVELLED = (
    EDGE_VOLUME, TOP_VOLUME, UNDERSIDE_RADIUS, UNDERSIDE_OVERHANG, BEVEL_RIM, BEVEL_SECTION,
    BEVEL_CENTROID, BEVEL_ANGLE, BEVEL_WIDTH, BEVEL_BY_DEPTH, BEVEL_LEVELS,
)  # fmt: skip

# --- one step of the bevel: solved separately, once for each --------------------------------------

step_number = Quantity(
    "step_number", "j_e", "1", "number of the step, the widest and shallowest being 1", 1, 401,
    whole=True, latex="j_e",
)  # fmt: skip
step_stop = Quantity(
    "step_stop", "y_j", "mm", "depth of the stop at that step", 0.1, 200, latex="y_j"
)
step_radius = Quantity(
    "step_radius", "R_j", "mm", "pivot to the near side of the cutter at that step", 5, 1600,
    latex="R_j",
)  # fmt: skip
step_width = Quantity(
    "step_width", "w_j", "mm", "width of that step, from the near side of the cutter to the rim",
    0.01, 400, latex="w_j",
)  # fmt: skip
laps_by_width = Quantity(
    "laps_by_width", "n_w", "1", "width of the step over the diameter of the cutter", 1e-5, 300,
    latex="n_w",
)  # fmt: skip
step_laps = Quantity(
    "step_laps", "n_j", "1", "number of laps that clear the step", 1, 301, whole=True, latex="n_j"
)
step_minutes = Quantity(
    "step_minutes", "t_w", "1", "cutting time for that step, in minutes, without stops",
    0.001, 100000, latex="t_w", said="minutes",
)  # fmt: skip
STEP_GIVEN = (
    edge_size, edge_height, bevel_levels, trammel.trammel_radius, trammel.cutter_diameter,
    trammel.lap_time,
)  # fmt: skip
STEP_QUANTITIES = (
    step_number, *STEP_GIVEN, step_stop, step_radius, step_width, laps_by_width, step_laps,
    step_minutes,
)  # fmt: skip
_step, _levels = step_number, bevel_levels
_STEPS = "passes and steps"
STEP_STOP = Relation(
    name="stop of a step",
    equation=equal(step_stop * _levels, _step * _up),
    meaning="The stop goes down by the same depth at each step.",
    why="The height of the bevel is divided evenly, and no share of it is deeper than a pass.",
    source=_at(_STEPS),
    checks=(
        Check({"step_number": "2", "bevel_levels": "3", "edge_height": "14 mm"},
              {"step_stop": "9.333 mm"}, _at(_STEPS)),
    ),
)  # fmt: skip
STEP_RADIUS = Relation(
    name="near side of the cutter at a step",
    equation=equal(
        (trammel.trammel_radius - step_radius) * _levels, _in * (_levels - _step)
    ),
    meaning="The inner corner of the step lies on the line of the bevel.",
    why="At that depth the bevel has come as much of the way out as the step is of the way up.",
    source=_at(_STEPS),
    checks=(
        Check({"trammel_radius": "450 mm", "edge_size": "60 mm", "bevel_levels": "3",
               "step_number": "2"}, {"step_radius": "430 mm"}, _at(_STEPS)),
    ),
)  # fmt: skip
STEP_WIDTH = Relation(
    name="width of a step",
    equation=equal(step_width + step_radius, trammel.trammel_radius),
    meaning="From its inner corner out to the rim.",
    why="All the wood outside the corner goes, down to that depth.",
    source=_at(_STEPS),
    checks=(
        Check({"trammel_radius": "450 mm", "step_radius": "430 mm"}, {"step_width": "20 mm"},
              _at(_STEPS)),
    ),
)  # fmt: skip
LAPS_BY_WIDTH = Relation(
    name="width of a step in cutters",
    equation=equal(laps_by_width * trammel.cutter_diameter, step_width),
    meaning="The width of the step over the diameter of the cutter.",
    why="A lap clears a groove as wide as the cutter.",
    source=_at(_STEPS),
    checks=(
        Check({"step_width": "20 mm", "cutter_diameter": "12 mm"}, {"laps_by_width": "1.667"},
              _at(_STEPS)),
    ),
)  # fmt: skip
STEP_LAPS = Relation(
    name="laps of a step",
    equation=equal(step_laps, 1 + sp.floor(laps_by_width - _HAIR)),
    meaning="Rounded up to whole laps.",
    why="Part of a groove takes a whole lap.",
    source=_at(_STEPS),
    inverse={"laps_by_width": step_laps},
    checks=(
        Check({"laps_by_width": "1.667"}, {"step_laps": "2"}, _at(_STEPS)),
        Check({"laps_by_width": "2"}, {"step_laps": "2"}, _at(_STEPS)),
    ),
)  # fmt: skip
STEP_MINUTES = Relation(
    name="time for a step",
    equation=equal(60 * step_minutes, step_laps * trammel.lap_time),
    meaning="As many laps as the step takes, each as long as one of the round cut.",
    why="A lap farther in is shorter, so this is a little more than it takes.",
    source=_at(_STEPS),
    checks=(
        Check({"step_laps": "2", "lap_time": "36"}, {"step_minutes": "1.2"}, _at(_STEPS)),
    ),
)  # fmt: skip
STEP_RELATIONS = (STEP_STOP, STEP_RADIUS, STEP_WIDTH, LAPS_BY_WIDTH, STEP_LAPS, STEP_MINUTES)

# --- assumptions and requirements -----------------------------------------------------------------

_MM = sp.Rational(1, 1000)
_ROUND_FIRST = ("rim_thickness", "edge_section")


def _radius(millimetres: int, why: str, most: float = 40) -> Assumption:
    return assume(
        edge_size, millimetres * _MM, why, common_practice(), first_to=_ROUND_FIRST,
        usual=(0.5, most),
    )  # fmt: skip


def _bevel(most: int) -> Assumption:
    millimetre = q.MILLIMETRE
    return assume(
        edge_size,
        sp.Min(most * millimetre, sp.Max(10 * millimetre, q.overhang / 2)),
        f"Half the overhang, so that what carries the top bears on the flat, but 10 to {most} mm.",
        common_practice(f"half the overhang, 10 to {most} mm"),
        first_to=("underside_radius", "underside_overhang", "bevel_angle", "bevel_width"),
        usual_share=(0.1, 10),
    )


EASED_TABLE = _radius(3, "Enough to take the sharpness off for hands and finish.")
EASED_SEAT = _radius(6, "A sharp arris is felt under the thighs.")
ROUNDED_TABLE = _radius(6, "A rounding that is seen, of a cutter that most shops have.")
ROUNDED_SEAT = _radius(10, "Soft under the thighs, and of a cutter that most shops have.")
BEVEL_TABLE, BEVEL_SEAT = _bevel(50), _bevel(25)
HALF_UP = assume(
    edge_height, q.top_thickness / 2,
    "Half the thickness: the rim looks half as heavy, and enough of it is left.",
    common_practice("half the thickness"), first_to=("rim_thickness", "bevel_angle"),
    usual_share=(0.1, 1.8),
)  # fmt: skip

ROOM = Requirement(
    id="edge_room",
    name="flat underside beyond what carries the top",
    quantity="edge_room",
    source=common_practice("all of it on the flat; our own choice of limits"),
    good=(0, None),
    tolerable=(-5, None),
    too_low="What carries the top reaches under the shaped edge, where there is no flat to bear "
    "on.",
    mend_low="Make the edge narrower, or the top wider.",
    fine="The whole of each head or leg bears on the flat underside.",
)
SCREWS = Requirement(
    id="edge_screws",
    name="flat underside beyond the screws",
    quantity="screw_room",
    source=common_practice("5 mm, and no less than none"),
    good=(5, None),
    tolerable=(0, None),
    too_low="The screws sit where the edge has thinned the top, or just beside it.",
    mend_low="Make the edge narrower, or the top wider.",
    fine="The screws go into the full thickness of the top.",
)
RIM = Requirement(
    id="rim_thickness",
    name="thickness at the rim",
    quantity="rim_thickness",
    source=common_practice("10 mm, and no less than 6 mm"),
    good=(10, None),
    tolerable=(6, None),
    too_low="A rim this thin dents, and breaks out where the grain runs short.",
    mend_low="Take the bevel less far up.",
    fine="Thick enough to stand knocks. The deflection of the rim is worked out for the full "
    "thickness.",
)


# --- the edges that there are ---------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Edge:
    """One way to finish the edge of a top, by the word that a brief has for it.

    relations     none where the rim stays square
    sizes         what is assumed of its size, for a table and for a seat, and of its height
    requirements  on the rim, beside those on what is under the heads
    """

    name: str
    relations: tuple[Relation, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    sizes: tuple[Assumption, ...] = ()
    height: tuple[Assumption, ...] = ()
    requirements: tuple[Requirement, ...] = ()

    @property
    def shaped(self) -> bool:
        """Whether anything is cut off the square rim beyond what paper takes."""
        return bool(self.relations)

    @property
    def bevelled(self) -> bool:
        """Whether it has a height of its own, as a bevel has."""
        return bool(self.height)


SQUARE = Edge("square")
EDGES: Mapping[str, Edge] = {
    edge.name: edge
    for edge in (
        SQUARE,
        Edge("eased", ROUNDED, ROUNDED_QUANTITIES, (EASED_TABLE, EASED_SEAT)),
        Edge("rounded", ROUNDED, ROUNDED_QUANTITIES, (ROUNDED_TABLE, ROUNDED_SEAT)),
        Edge(
            "bevelled under", BEVELLED, BEVEL_QUANTITIES, (BEVEL_TABLE, BEVEL_SEAT), (HALF_UP,),
            (RIM,),
        ),
    )
}  # fmt: skip


def with_edge(declared: Declared, kind: str, edge: Edge) -> Declared:
    """What a network of a "table" or a "stool" holds where its top has that edge; unchanged for a
    square one."""
    if not edge.shaped:
        return declared
    here = {quantity.name for quantity in declared.quantities}
    screwed = fixing.screw_radius.name in here
    own = (*edge.relations, *((HEAD_ROOM, SCREW_ROOM) if screwed else (LEG_ROOM,)))
    named = {name for relation in own for name in relation.symbols}
    kept = tuple(one for one in declared.relations if one is not mass.TOP_VOLUME)
    lacks = q.MILLIMETRE not in declared.constants
    return replace(
        declared,
        quantities=(*declared.quantities, *(x for x in edge.quantities if x.name in named)),
        relations=(*kept, *own),
        constants=(*declared.constants, *((q.MILLIMETRE,) if lacks else ())),
        assumptions=(edge.sizes[is_seat(kind)], *edge.height, *declared.assumptions),
        requirements=(
            *declared.requirements, *edge.requirements, ROOM, *((SCREWS,) if screwed else ()),
        ),
    )  # fmt: skip
