"""Gluing boards into a panel: glue, clamps, pressure, joints glued at a time, and stages.

`reference/derivations/glue_up.md` has the reasoning.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import tenons

# -- one glue-up -----------------------------------------------------------------------------------

DERIVATION = "reference/derivations/glue_up.md"

joint_length = Quantity("joint_length", "L_j", "mm", "length of the longest joint", 20, 10000)
joint_lengths = Quantity("joint_lengths", "ΣL_j", "mm", "total length of the joints", 20, 500000)
joints = Quantity("joints", "N_j", "1", "number of joints", 1, 500, whole=True)
outer_strip = Quantity(
    "outer_strip", "b_o", "mm", "width of the narrower of the two outermost boards", 5, 1500
)
glue_area = Quantity("glue_area", "A_g", "mm^2", "total area of the joints", 100, 1e9)
glue_film = Quantity("glue_film", "s_g", "µm", "thickness of the glue film as spread", 20, 1000)
glue_volume = Quantity("glue_volume", "V_g", "mm^3", "volume of glue for all the joints", 1, 1e8)
clamp_pressure = Quantity(
    "clamp_pressure", "p_g", "MPa", "pressure that the glue needs on the joint", 0.05, 5
)
clamp_force = Quantity(
    "clamp_force", "F_g", "N", "total force of the clamps on the longest joint", 10, 1e7
)
caul_depth = Quantity(
    "caul_depth", "b_c", "mm", "depth of the caul, from the clamp to the edge of the panel", 0, 300
)
clamp_spacing = Quantity("clamp_spacing", "x_k", "mm", "greatest spacing, clamp to clamp", 5, 4000)
clamps_by_spacing = Quantity(
    "clamps_by_spacing", "n_k", "1", "length of the joint over that spacing", 0.001, 2000
)
clamp_capacity = Quantity(
    "clamp_capacity", "F_c", "N", "force of one clamp tightened by hand", 50, 50000
)
clamps_by_force = Quantity(
    "clamps_by_force",
    "n_f",
    "1",
    "number of such clamps that make up the force, not rounded",
    0.001,
    20000,
)
clamp_count = Quantity(
    "clamp_count", "N_k", "1", "number of clamps on the longest joint", 1, 20001, whole=True
)
force_per_clamp = Quantity(
    "force_per_clamp", "F_k", "N", "share of the force on each clamp", 1, 1e6
)
clamp_pitch = Quantity(
    "clamp_pitch", "x_m", "mm", "even spacing along the longest joint, clamp to clamp", 1, 10000
)
open_time = Quantity(
    "open_time",
    "t_o",
    "min",
    "time from spreading the glue until the clamps must be tight",
    1,
    240,
)
joint_time = Quantity(
    "joint_time", "t_j", "min", "time to spread one joint and bring it together", 0.1, 60
)
spread_area = Quantity(
    "spread_area", "A_m", "mm^2", "area of joint spread with glue in a minute", 1000, 1e7
)
joint_tenons = Quantity(
    "joint_tenons",
    "n_t",
    "1",
    "number of tenons in the joint that has the most",
    0,
    152,
    whole=True,
)
tenon_time = Quantity(
    "tenon_time", "t_t", "min", "time to glue one loose tenon and press it in", 0, 10
)
joining_time = Quantity(
    "joining_time", "t_b", "min", "time to bring one board up to the last and close the joint", 0,
    30,
)  # fmt: skip
joint_pace = Quantity(
    "joint_pace", "k_j", "1", "time for a joint over the sum of the times for its parts", 0.01,
    100,
)  # fmt: skip
clamp_time = Quantity("clamp_time", "t_c", "min", "time to set and tighten one clamp", 0, 30)
clamping_time = Quantity("clamping_time", "t_k", "min", "time to set all the clamps", 0.1, 120)
joints_in_time = Quantity(
    "joints_in_time",
    "n_o",
    "1",
    "number of joints that the open time allows; below 0 where the clamps alone take longer",
    -10000,
    2400,
)
joints_at_once = Quantity(
    "joints_at_once", "N_o", "1", "number of whole joints glued at a time", 0, 2400, whole=True
)
QUANTITIES = (
    q.top_thickness, joint_length, joint_lengths, joints, outer_strip, glue_area, glue_film,
    glue_volume, clamp_pressure, clamp_force, caul_depth, clamp_spacing, clamps_by_spacing,
    clamp_capacity, clamps_by_force, clamp_count, force_per_clamp, clamp_pitch, open_time,
    spread_area, joint_tenons, tenon_time, joining_time, joint_pace, clamp_time,
    joint_time, clamping_time, joints_in_time, joints_at_once,
    tenons.tenon_thickness, tenons.tenon_cheek,
)  # fmt: skip
# Lets a formula use a rate per minute and still balance.
MINUTE = Constant("minute", "min", 1.0, "min", "sixty seconds", published("ISO 80000-3"))
CONSTANTS: tuple[Constant, ...] = (MINUTE,)
_HAIR = sp.Float(1e-9)


GLUE_AREA = Relation(
    name="area to be glued",
    equation=equal(glue_area, joint_lengths * q.top_thickness),
    meaning="Length of all the joints times the thickness of the boards.",
    why="Each edge is glued over its full width.",
    source=derived(DERIVATION, "glue"),
    checks=(
        Check(
            {"joint_lengths": "5000 mm", "top_thickness": "28 mm"}, {"glue_area": "140000 mm^2"},
            derived(DERIVATION, "glue"),
        ),
    ),
)  # fmt: skip
GLUE_VOLUME = Relation(
    name="amount of glue",
    equation=equal(glue_volume, glue_area * glue_film),
    meaning="Area times the thickness of the film.",
    why="A litre spread 0.15 mm thick covers 6.7 square metres, squeeze-out included.",
    source=derived(DERIVATION, "glue"),
    checks=(
        Check(
            {"glue_area": "140000 mm^2", "glue_film": "150 µm"}, {"glue_volume": "21000 mm^3"},
            derived(DERIVATION, "glue"),
        ),
    ),
)  # fmt: skip
CLAMP_FORCE = Relation(
    name="force of the clamps",
    equation=equal(
        clamp_force,
        clamp_pressure * joint_length * q.top_thickness,
    ),
    meaning="Pressure times the area of the longest joint.",
    why="The same clamps press all the joints, one behind the other, so the forces do not add up.",
    source=derived(DERIVATION, "force"),
    checks=(
        Check(
            {"clamp_pressure": "1.2 MPa", "joint_length": "1000 mm", "top_thickness": "28 mm"},
            {"clamp_force": "33600 N"},
            derived(DERIVATION, "force"),
        ),
    ),
)
CLAMP_SPACING = Relation(
    name="greatest clamp spacing",
    equation=equal(clamp_spacing, 2 * (caul_depth + outer_strip)),
    meaning="The pressure of one clamp must meet that of the next before it reaches a joint.",
    why="Pressure spreads through wood at about 45° to each side, through the caul and then "
    "through the outermost board.",
    source=common_practice("pressure spreads at 45°"),
    checks=(
        Check(
            {"caul_depth": "40 mm", "outer_strip": "110 mm"}, {"clamp_spacing": "300 mm"},
            derived(DERIVATION, "spacing"),
        ),
    ),
)  # fmt: skip
CLAMPS_BY_SPACING = Relation(
    name="spacings in the joint",
    equation=equal(clamps_by_spacing * clamp_spacing, joint_length),
    meaning="How many spacings fit in the longest joint.",
    why="Each clamp presses half a spacing to either side of it.",
    source=derived(DERIVATION, "spacing"),
    checks=(
        Check(
            {"joint_length": "1000 mm", "clamp_spacing": "300 mm"}, {"clamps_by_spacing": "3.333"},
            derived(DERIVATION, "spacing"),
        ),
    ),
)  # fmt: skip
CLAMPS_BY_FORCE = Relation(
    name="clamps for the force",
    equation=equal(clamps_by_force * clamp_capacity, clamp_force),
    meaning="How many clamps make up the force.",
    why="Their forces add up.",
    source=derived(DERIVATION, "force"),
    checks=(
        Check(
            {"clamp_force": "33600 N", "clamp_capacity": "5000 N"}, {"clamps_by_force": "6.72"},
            derived(DERIVATION, "force"),
        ),
    ),
)  # fmt: skip
CLAMP_COUNT = Relation(
    name="number of clamps",
    equation=equal(
        clamp_count,
        1 + sp.floor(sp.Max(clamps_by_spacing, clamps_by_force) - _HAIR),
    ),
    meaning="As many as the spacing or the force needs, whichever is more, rounded up.",
    why="Fewer would leave places with no pressure, or too little. Set the first clamp half a "
    "spacing from the end, and every other one on the other face, so that the panel stays flat.",
    source=derived(DERIVATION, "spacing and force"),
    checks=(
        Check(
            {"clamps_by_spacing": "3.333", "clamps_by_force": "6.72"}, {"clamp_count": "7"},
            derived(DERIVATION, "spacing and force"),
        ),
        Check(
            {"clamps_by_spacing": "3.333", "clamps_by_force": "2.1"}, {"clamp_count": "4"},
            derived(DERIVATION, "spacing and force"),
        ),
    ),
)  # fmt: skip
FORCE_PER_CLAMP = Relation(
    name="force of one clamp",
    equation=equal(force_per_clamp * clamp_count, clamp_force),
    meaning="The force is shared evenly.",
    why="The clamps are of one kind and tightened equally.",
    source=derived(DERIVATION, "force"),
    checks=(
        Check(
            {"clamp_force": "33600 N", "clamp_count": "8"}, {"force_per_clamp": "4200 N"},
            derived(DERIVATION, "force"),
        ),
    ),
)  # fmt: skip
CLAMP_PITCH = Relation(
    name="even clamp spacing",
    equation=equal(clamp_pitch * clamp_count, joint_length),
    meaning="The joint is divided evenly, and the first clamp stands half a share from its end.",
    why="Each clamp then presses the same length of joint on either side of it.",
    source=derived(DERIVATION, "spacing"),
    checks=(
        Check(
            {"joint_length": "1000 mm", "clamp_count": "8"}, {"clamp_pitch": "125 mm"},
            derived(DERIVATION, "spacing"),
        ),
    ),
)  # fmt: skip
JOINT_TIME = Relation(
    name="time for one joint",
    equation=equal(
        joint_time,
        joint_pace
        * (
            MINUTE * joint_length * q.top_thickness / spread_area
            + joint_tenons * tenon_time
            + joining_time
        ),
    ),
    meaning="Spread an edge, glue in the tenons, and close the joint.",
    why="The steps follow one another; the longest joint with the most tenons is taken for all of "
    "them.",
    source=derived(DERIVATION, "stages"),
    checks=(
        Check(
            {
                "joint_pace": "1", "joint_length": "1000 mm", "top_thickness": "28 mm",
                "spread_area": "40000 mm^2", "joint_tenons": "6", "tenon_time": "0.2 min",
                "joining_time": "0.5 min",
            },
            {"joint_time": "2.4 min"},
            derived(DERIVATION, "stages"),
        ),
    ),
)  # fmt: skip
CLAMPING_TIME = Relation(
    name="time for the clamps",
    equation=equal(clamping_time, clamp_count * clamp_time),
    meaning="The clamps are set and tightened one at a time.",
    why="The same clamps press all the joints of one glue-up.",
    source=derived(DERIVATION, "stages"),
    checks=(
        Check(
            {"clamp_count": "8", "clamp_time": "0.5 min"}, {"clamping_time": "4 min"},
            derived(DERIVATION, "stages"),
        ),
    ),
)  # fmt: skip
JOINTS_IN_TIME = Relation(
    name="joints within the open time",
    equation=equal(
        joints_in_time * joint_time + clamping_time, open_time
    ),
    meaning="The open time left after setting the clamps, over the time for one joint.",
    why="The first joint spread waits for all the others and for the clamps.",
    source=derived(DERIVATION, "stages"),
    checks=(
        Check(
            {"open_time": "10 min", "clamping_time": "4 min", "joint_time": "2 min"},
            {"joints_in_time": "3"},
            derived(DERIVATION, "stages"),
        ),
    ),
)  # fmt: skip
JOINTS_AT_ONCE = Relation(
    name="whole joints at a time",
    equation=equal(joints_at_once, sp.floor(sp.Max(joints_in_time, 0) + _HAIR)),
    meaning="A joint that is begun has to be finished in the same glue-up.",
    why="Glue that has skinned over does not hold.",
    source=derived(DERIVATION, "stages"),
    inverse={"joints_in_time": joints_at_once},
    checks=(
        Check({"joints_in_time": "3.7"}, {"joints_at_once": "3"}, derived(DERIVATION, "stages")),
    ),
)
RELATIONS = (
    GLUE_AREA, GLUE_VOLUME, CLAMP_FORCE, CLAMP_SPACING, CLAMPS_BY_SPACING, CLAMP_COUNT,
    CLAMPS_BY_FORCE, FORCE_PER_CLAMP, CLAMP_PITCH, JOINT_TIME, CLAMPING_TIME, JOINTS_IN_TIME,
    JOINTS_AT_ONCE, tenons.TENON_CHEEK,
)  # fmt: skip

_MM = sp.Rational(1, 1000)
_MINUTE = 60
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        glue_film, sp.Rational(15, 100) * _MM, "Enough to wet both edges and squeeze out a bead.",
        common_practice("150 to 250 g/m²"), first_to=("glue_volume",), usual=(50, 500),
    ),
    assume(
        clamp_pressure, 1_200_000, "The low end of glue makers' advice for hardwood.",
        quoted("glue makers' advice, 175 to 250 psi in hardwood"),
        first_to=("clamp_force", "force_per_clamp"), usual=(0.1, 4),
    ),
    assume(
        clamp_capacity, 4000, "A bar or pipe clamp, well tightened.",
        common_practice("2000 to 5000 N by hand"),
        first_to=("clamps_by_force",), usual=(300, 20000),
    ),
    assume(
        caul_depth, 40 * _MM, "A straight batten along each edge.", common_practice(),
        first_to=("clamp_spacing",), usual=(0, 150),
    ),
    assume(open_time, 10 * _MINUTE, "See the label of the glue; heat and dry air shorten it.",
           common_practice(), usual=(2, 120)),
    assume(joint_tenons, 0, "None, unless the tenon plan gives a number.",
           derived(DERIVATION, "stages"), usual=(0, 60)),
    assume(spread_area, 40_000 * _MM**2, "1.4 m of a 28 mm edge, with a bottle and a brush.",
           common_practice("our own estimate"), usual=(5000, 500_000)),
    assume(tenon_time, sp.Rational(1, 6) * _MINUTE, "Ten seconds to glue it and press it in.",
           common_practice("our own estimate"), usual=(0, 3)),
    assume(joining_time, sp.Rational(1, 2) * _MINUTE,
           "Half a minute, two hands, everything laid out.",
           common_practice("our own estimate"), usual=(0, 10)),
    assume(joint_pace, 1, "The sum of its parts; time a dry run.",
           common_practice("our own estimate"), first_to=("joint_time",), usual=(0.05, 20)),
    assume(clamp_time, sp.Rational(1, 2) * _MINUTE,
           "Half a minute, with everything laid out and rehearsed dry.",
           common_practice("our own estimate"), first_to=("clamping_time",),
           usual=(0, 10)),
    tenons.THICKNESS,
)  # fmt: skip

FORCE = Requirement(
    id="clamp_force",
    name="clamp force",
    quantity="force_per_clamp",
    source=common_practice("a bar or pipe clamp gives some 2000 to 5000 N tightened by hand"),
    good=(None, 5000),
    tolerable=(None, 8000),
    too_high="More than a clamp gives when tightened by hand.",
    mend_high="Put less force on each clamp, and use more of them.",
    care="An overtightened bar can slip or break: keep your face out of its line.",
    fine="Within what a bar clamp gives when tightened by hand. Wear gloves and eye protection "
    "for the glue.",
)

# Glue makers' advice by wood: psi, and MPa with a hair for the last digit of a psi.
GluedWood = Literal["softwood", "hardwood", ""]
_PSI: dict[GluedWood, tuple[int, int]] = {
    "softwood": (100, 150),
    "hardwood": (175, 250),
    "": (100, 250),
}
_MPA: dict[GluedWood, tuple[float, float]] = {
    "softwood": (0.689, 1.035), "hardwood": (1.2, 1.725), "": (0.689, 1.725),
}  # fmt: skip
_OF: dict[GluedWood, str] = {
    "softwood": "softwood",
    "hardwood": "hardwood",
    "": "an unspecified wood",
}


def pressure(wood: GluedWood = "") -> Requirement:
    """The requirement on the pressure for gluing this wood: for either kind where it is ""."""
    least, most = _PSI[wood]
    name = _OF[wood]
    return Requirement(
        id="glue_pressure",
        name="glue pressure",
        quantity="clamp_pressure",
        source=quoted(f"glue makers' advice, {least} to {most} psi in {name}, reference/shop.csv"),
        good=_MPA[wood],
        tolerable=(0.3, 2.5),
        too_low=f"Below glue makers' advice for {name}.",
        mend_low="It works where the edges close by hand pressure; check that a bead squeezes out "
        "along the whole joint.",
        too_high=f"Above glue makers' advice for {name}: it can starve the joint and crush the "
        "edges.",
        mend_high="Slacken off once a bead has squeezed out along the whole joint.",
        fine=f"Within glue makers' advice for {name}: about {least} to {most} psi.",
    )


PRESSURE = pressure()
STAGES = Requirement(
    id="glue_stages",
    name="joints glued at a time",
    quantity="joints_at_once",
    source=derived(DERIVATION, "stages"),
    good=(1, None),
    tolerable=(0, None),
    too_low="With these times not even one joint can be spread and clamped within the open time.",
    mend_low="Use a slower glue, get a helper, or work when it is cooler.",
    fine="As many joints as can be glued at a time. Where the panel takes several glue-ups, join "
    "its halves last.",
)
REQUIREMENTS: tuple[Requirement, ...] = (FORCE, PRESSURE, STAGES, tenons.CHEEK)

# The pressure for a hardwood crushes softwood.
SOFT_PRESSURE = assume(
    clamp_pressure, 900_000, "Between the 100 and 150 psi that glue makers advise for softwood.",
    quoted("glue makers' advice, 100 to 150 psi in softwood"),
    first_to=("clamp_force", "force_per_clamp"), usual=(0.1, 4),
)  # fmt: skip


def assumptions(wood: GluedWood = "") -> tuple[Assumption, ...]:
    """The assumptions for gluing this wood: a hardwood's pressure where it is ""."""
    if wood != "softwood":
        return ASSUMPTIONS
    return tuple(SOFT_PRESSURE if a.quantity is clamp_pressure else a for a in ASSUMPTIONS)


# Through a post's few inches a short clamp is used, which grips harder than a long bar.
G_CLAMP = assume(
    clamp_capacity, 9000, "A G-clamp, well tightened.",
    common_practice("5000 to 10 000 N by hand"), first_to=("clamps_by_force",), usual=(300, 20000),
)  # fmt: skip


def in_short_clamps(assumed: Iterable[Assumption]) -> tuple[Assumption, ...]:
    """The assumptions of a panel, for laminations glued face to face."""
    return tuple(G_CLAMP if a.quantity is clamp_capacity else a for a in assumed)


def requirements(wood: GluedWood = "") -> tuple[Requirement, ...]:
    """The requirements on gluing this wood."""
    return (FORCE, pressure(wood), STAGES, tenons.CHEEK)


# -- in stages: the time of each, its clamps, how far they must open -------------------------------

_STAGES = derived(DERIVATION, "which joints in which stage")

glue_up_minutes = Quantity(
    "glue_up_minutes", "t_g", "min", "time of one glue-up, from the first glue to the last clamp",
    0.1, 20000, latex="t_g",
)  # fmt: skip
clamps = Quantity("clamps", "N_s", "1", "number of clamps in the shop", 1, 1000, whole=True)
stage_clamps = Quantity(
    "stage_clamps", "N_g", "1", "number of clamps set at one time in a stage", 1, 20001, whole=True
)
clamps_spare = Quantity(
    "clamps_spare", "N_r", "1", "number of clamps left over in a stage; below 0 where some are "
    "missing",
    -20000, 1000, whole=True,
)  # fmt: skip
piece_width = Quantity(
    "piece_width", "B_g", "mm", "width of the widest piece in clamps in a stage", 10, 3200
)
clamp_opening = Quantity("clamp_opening", "B_k", "mm", "how far the clamps must open", 10, 4000)
clamp_reach = Quantity("clamp_reach", "B_s", "mm", "how far the clamps in the shop open", 50, 6000)
reach_spare = Quantity(
    "reach_spare", "B_r", "mm", "opening left over; negative where the clamps are too short",
    -4000, 6000,
)  # fmt: skip
clamp_dwell = Quantity(
    "clamp_dwell", "t_d", "min", "time for which a glued joint stays in its clamps", 1, 3000
)
STAGE_QUANTITIES = (
    clamps, stage_clamps, clamps_spare, piece_width, caul_depth, clamp_opening, clamp_reach,
    reach_spare, clamp_dwell,
)  # fmt: skip

GLUE_UP_MINUTES = Relation(
    name="time of one glue-up",
    equation=equal(
        glue_up_minutes,
        joints * joint_time + clamping_time,
    ),
    meaning="All its joints are spread and closed, then all its clamps are set.",
    why="The first joint spread waits for all the others and for the clamps, so this may not be "
    "longer than the glue stays open.",
    source=derived(DERIVATION, "stages"),
    checks=(
        Check(
            {"joints": "3", "joint_time": "2 min", "clamping_time": "4 min"},
            {"glue_up_minutes": "10 min"},
            derived(DERIVATION, "which joints in which stage"),
        ),
    ),
)
CLAMPS_SPARE = Relation(
    name="clamps left over",
    equation=equal(stage_clamps + clamps_spare, clamps),
    meaning="What the shop has less what is in use at one time.",
    why="Pieces that are glued in the same stage stand in clamps side by side.",
    source=_STAGES,
    checks=(Check({"clamps": "12", "stage_clamps": "10"}, {"clamps_spare": "2"}, _STAGES),),
)
CLAMP_OPENING = Relation(
    name="opening of the clamps",
    equation=equal(clamp_opening, piece_width + 2 * caul_depth),
    meaning="The piece and a caul on either side of it.",
    why="A clamp across the panel holds all of this between its jaws.",
    source=_STAGES,
    checks=(
        Check(
            {"piece_width": "920 mm", "caul_depth": "40 mm"}, {"clamp_opening": "1000 mm"}, _STAGES
        ),
    ),
)
REACH_SPARE = Relation(
    name="opening left over",
    equation=equal(clamp_opening + reach_spare, clamp_reach),
    meaning="How far the clamps open beyond what they must.",
    why="The last stage always holds the whole panel, so no staging helps a clamp that is too "
    "short.",
    source=_STAGES,
    checks=(
        Check(
            {"clamp_reach": "1200 mm", "clamp_opening": "1000 mm"}, {"reach_spare": "200 mm"},
            _STAGES,
        ),
    ),
)  # fmt: skip
STAGE_RELATIONS = (CLAMPS_SPARE, CLAMP_OPENING, REACH_SPARE)

STAGE_ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(clamps, stage_clamps, "As many as one glue-up takes; borrow what is missing.",
           common_practice(), first_to=("clamps_spare",)),
    assume(clamp_reach, clamp_opening, "Clamps that open wide enough.", common_practice(),
           first_to=("reach_spare",)),
    assume(clamp_dwell, sp.Integer(60 * _MINUTE),
           "An hour for a glue that grips at room temperature; see its label.",
           common_practice("half an hour to an hour in clamps; from memory, see the label"),
           usual=(5, 1500)),
)  # fmt: skip

ENOUGH = Requirement(
    id="clamp_stock",
    name="clamps to spare in a stage",
    quantity="clamps_spare",
    source=derived(DERIVATION, "which joints in which stage"),
    good=(0, None),
    tolerable=(0, None),
    too_low="One joint by itself takes more clamps than there are.",
    mend_low="Borrow some, use stronger ones (clamp_capacity), or deeper cauls where the spacing "
    "decides.",
    fine="Every stage can be glued with the clamps there are.",
)
LONG_ENOUGH = Requirement(
    id="clamp_reach",
    name="opening of the clamps",
    quantity="reach_spare",
    source=derived(DERIVATION, "which joints in which stage"),
    good=(0, None),
    tolerable=(0, None),
    too_low="The clamps do not reach across the panel and its cauls, and no order of gluing helps: "
    "the last joint has the whole panel in the clamps.",
    mend_low="Get longer ones, or join two end to end as their maker allows.",
    fine="The clamps open wide enough for the whole panel.",
)
STAGE_REQUIREMENTS: tuple[Requirement, ...] = (ENOUGH, LONG_ENOUGH)
