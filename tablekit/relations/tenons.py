"""Loose tenons or biscuits along a joint: kept clear of the line that the router will cut.

`reference/derivations/glue_up.md`, tenons along a joint.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q

WHERE = derived("reference/derivations/glue_up.md", "tenons along a joint")

joint_offset = Quantity(
    "joint_offset", "x_j", "mm", "centre of the top to the joint, square to it", 0, 1500
)
tenon_width = Quantity("tenon_width", "b_t", "mm", "width of a tenon, along the joint", 3, 200)
tenon_reach = Quantity("tenon_reach", "d_t", "mm", "depth of a tenon in each board", 2, 150)
cut_margin = Quantity(
    "cut_margin", "m_t", "mm", "wood kept between a tenon and the finished rim", 0, 200
)
farthest_tenon = Quantity(
    "farthest_tenon", "y_t", "mm",
    "centre mark to the middle of the outermost tenon, along the joint; negative where none fits",
    -200, 1500,
)  # fmt: skip
spacing_limit = Quantity(
    "spacing_limit", "x_t", "mm", "greatest spacing, one tenon to the next", 20, 2000
)
gaps_by_limit = Quantity(
    "gaps_by_limit",
    "n_t",
    "1",
    "number of such spacings between the outermost two, fractions counted",
    0,
    150,
)
tenon_count = Quantity(
    "tenon_count", "N_t", "1", "number of tenons along the joint", 2, 152, whole=True
)
tenon_spacing = Quantity(
    "tenon_spacing", "x_e", "mm", "even spacing, one tenon to the next", 0, 2000
)
inner_strip = Quantity(
    "inner_strip", "b_i", "mm", "width of the narrowest strip that has a joint on each side",
    3, 1500,
)  # fmt: skip
tenon_wood = Quantity(
    "tenon_wood", "w_t", "mm",
    "wood between tenons let in from both edges of that strip; negative where they would meet",
    -300, 1500,
)  # fmt: skip
tenon_thickness = Quantity(
    "tenon_thickness", "s_t", "mm", "thickness of a tenon, square to the faces of the top", 1, 100
)
tenon_cheek = Quantity(
    "tenon_cheek",
    "w_c",
    "mm",
    "wood above and below a tenon, to the faces of the top",
    -100,
    100,
)
JOINT_QUANTITIES = (
    q.top_diameter, joint_offset, tenon_width, tenon_reach, cut_margin, farthest_tenon,
    spacing_limit, gaps_by_limit, tenon_count, tenon_spacing,
)  # fmt: skip
STRIP_QUANTITIES = (inner_strip, tenon_reach, tenon_wood)
QUANTITIES = (*JOINT_QUANTITIES, inner_strip, tenon_wood, tenon_thickness, tenon_cheek)
_HAIR = sp.Float(1e-9)

FARTHEST_TENON = Relation(
    name="outermost tenon",
    equation=equal(
        (farthest_tenon + tenon_width / 2) ** 2
        + (joint_offset + tenon_reach) ** 2,
        (q.top_diameter / 2 - cut_margin) ** 2,
    ),
    meaning="The outer corner of the outermost tenon lies on a circle inside the rim by the "
    "margin.",
    why="Of all points of a tenon, its corner away from the centre is nearest to the rim.",
    source=WHERE,
    checks=(
        Check(
            {
                "top_diameter": "920 mm", "cut_margin": "15 mm", "joint_offset": "150 mm",
                "tenon_reach": "25 mm", "tenon_width": "50 mm",
            },
            {"farthest_tenon": "384.1 mm"}, WHERE,
        ),
    ),
)  # fmt: skip
GAPS_BY_LIMIT = Relation(
    name="spacings along the joint",
    equation=equal(gaps_by_limit * spacing_limit, 2 * farthest_tenon),
    meaning="How many of the greatest spacings lie between the two outermost tenons.",
    why="They lie equally far on either side of the centre mark.",
    source=WHERE,
    checks=(
        Check(
            {"farthest_tenon": "384.1 mm", "spacing_limit": "200 mm"}, {"gaps_by_limit": "3.841"},
            WHERE,
        ),
    ),
)  # fmt: skip
TENON_COUNT = Relation(
    name="number of tenons",
    equation=equal(tenon_count, 2 + sp.floor(gaps_by_limit - _HAIR)),
    meaning="One gap more than fits at the greatest spacing, and one tenon more than gaps.",
    why="Rounded up, no gap is wider than allowed.",
    source=WHERE,
    inverse={"gaps_by_limit": tenon_count - 1},
    checks=(Check({"gaps_by_limit": "3.841"}, {"tenon_count": "5"}, WHERE),),
)
TENON_SPACING = Relation(
    name="even tenon spacing",
    equation=equal(
        tenon_spacing * (tenon_count - 1), 2 * farthest_tenon
    ),
    meaning="Equal gaps from one outermost tenon to the other.",
    why="One stick with two marks then serves the whole joint, from the centre mark outward.",
    source=WHERE,
    checks=(
        Check(
            {"farthest_tenon": "384.15 mm", "tenon_count": "5"}, {"tenon_spacing": "192.1 mm"},
            WHERE,
        ),
    ),
)  # fmt: skip
TENON_WOOD = Relation(
    name="wood between tenons",
    equation=equal(tenon_wood, inner_strip - 2 * tenon_reach),
    meaning="What is left of a strip between a tenon from its left and one from its right.",
    why="Along two joints of much the same length tenons stand opposite one another.",
    source=WHERE,
    checks=(
        Check({"inner_strip": "80 mm", "tenon_reach": "25 mm"}, {"tenon_wood": "30 mm"}, WHERE),
    ),
)  # fmt: skip
TENON_CHEEK = Relation(
    name="wood beside a tenon",
    equation=equal(2 * tenon_cheek, q.top_thickness - tenon_thickness),
    meaning="What is left of the board above and below a tenon in the middle of its thickness.",
    why="All slots are cut from the upper face of each board, so that those faces come flush.",
    source=WHERE,
    checks=(
        Check(
            {"top_thickness": "28 mm", "tenon_thickness": "10 mm"}, {"tenon_cheek": "9 mm"}, WHERE
        ),
    ),
)
JOINT_RELATIONS = (FARTHEST_TENON, GAPS_BY_LIMIT, TENON_COUNT, TENON_SPACING)
RELATIONS = (*JOINT_RELATIONS, TENON_WOOD, TENON_CHEEK)

_MM = sp.Rational(1, 1000)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(tenon_width, 50 * _MM, "A medium tenon or biscuit.", common_practice(),
           usual=(6, 150)),
    assume(tenon_reach, 25 * _MM, "Half of it in each board.", common_practice(), usual=(5, 100)),
    assume(cut_margin, 15 * _MM, "Rounding the rim later then reaches no tenon.",
           common_practice(), usual=(0, 100)),
    assume(spacing_limit, 200 * _MM, "Close enough to keep the boards flush.",
           common_practice("150 to 250 mm"), first_to=("gaps_by_limit", "tenon_spacing"),
           usual=(40, 600)),
)  # fmt: skip

THICKNESS = assume(
    tenon_thickness, q.top_thickness / 3,
    "A third of the board; use the nearest cutter size.", common_practice("a third"),
    first_to=("tenon_cheek",), usual_share=(0.3, 1.8),
)  # fmt: skip
CHEEK = Requirement(
    id="tenon_cheek",
    name="wood beside a tenon",
    quantity="tenon_cheek",
    source=common_practice("5 mm, and no less than 3 mm"),
    good=(5, None),
    tolerable=(3, None),
    too_low="A cheek this thin lets the tenon show through the finish, or breaks out.",
    mend_low="Use thinner tenons.",
    fine="Enough wood above and below the tenons.",
)
WOOD_BETWEEN = Requirement(
    id="tenon_gap",
    name="wood between tenons",
    quantity="tenon_wood",
    source=common_practice("our own choice of limits"),
    good=(10, None),
    tolerable=(3, None),
    too_low="Tenons let in from both edges of the narrowest strip come too close together.",
    mend_low="Use shorter ones, or leave the tenons out of every other joint of the narrow strips.",
    fine="Enough wood between the tenons of neighbouring joints.",
)
REQUIREMENTS: tuple[Requirement, ...] = (WOOD_BETWEEN,)
