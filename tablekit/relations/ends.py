"""Loads on the two ends of a post: the pad under its foot, and the screws down into its head.

`reference/derivations/ends.md` derives the formulas and says what is left out.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.fixing import pad_diameter, plate_thickness, screw_shank
from tablekit.relations.mass import specific_gravity
from tablekit.relations.post_load import foot_force
from tablekit.relations.strength import rim_load
from tablekit.relations.top_load import WITHDRAWAL, rim_reach

DERIVATION = "reference/derivations/ends.md"

foot_strength = Quantity(
    "foot_strength", "f_sl", "MPa", "vertical crushing strength of the foot, at an angle to the "
    "grain",
    0.5, 200, latex=r"f_\mathrm{sl}",
)  # fmt: skip
foot_bearing_strength_used = Quantity(
    "foot_bearing_strength_used", "u_f", "1",
    "share of the design crushing strength of the foot that the pad pressure uses", 0, 1e6,
    latex="u_f", said="share",
)  # fmt: skip
head_screws = Quantity(
    "head_screws", "N_h", "1", "number of screws that hold a plate down to its head", 1, 12,
    whole=True,
    latex="N_h",
)  # fmt: skip
head_screw_length = Quantity(
    "head_screw_length", "l_h", "mm", "overall length of the screws down into a head, from head to "
    "point", 5,
    200, latex="l_h",
)  # fmt: skip
head_screw_withdrawal = Quantity(
    "head_screw_withdrawal", "F_n", "N", "pull that draws one screw out of a head, on average", 1,
    1e5, latex="F_n",
)  # fmt: skip
head_screw_strength_used = Quantity(
    "head_screw_strength_used", "u_h", "1",
    "share of the design strength of the screws into a head that is used",
    0, 1e6, latex="u_h", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    foot_strength, foot_bearing_strength_used, head_screws, head_screw_length,
    head_screw_withdrawal, head_screw_strength_used,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_along, _across = wood.compression_along, wood.compression_across
_lean = q.splay

FOOT_STRENGTH = Relation(
    name="crushing strength at an angle to the grain",
    equation=equal(
        foot_strength,
        _along * _across / (_along * sp.sin(_lean) ** 2 + _across * sp.cos(_lean) ** 2),
    ),
    meaning="The strength lies between those along and across the grain, depending on the lean of "
    "the post.",
    why="This is Hankinson's formula, fitted to tests. The grain of a post that leans at θ from "
    "the vertical makes that angle with the upward push of the floor.",
    source=derived(DERIVATION, "the foot on its pad"),
    checks=(
        Check(
            {"compression_along": "51.1 MPa", "compression_across": "8.0 MPa",
             "splay": "54.7356 deg"},
            {"foot_strength": "11.13 MPa"},
            derived(DERIVATION, "the foot on its pad"),
        ),
    ),
)  # fmt: skip
FOOT_BEARING_STRENGTH_USED = Relation(
    name="bearing strength used at the foot",
    equation=equal(
        foot_bearing_strength_used * foot_strength * sp.pi
        * pad_diameter**2 / 4,
        wood.strength_factor * foot_force,
    ),
    meaning="The largest force on a foot is divided by the area of its pad.",
    why="The pad carries all of it. A foot without a pad bears on more: its whole flat.",
    source=derived(DERIVATION, "the foot on its pad"),
    checks=(
        Check(
            {"foot_strength": "11.13 MPa", "pad_diameter": "18.75 mm", "strength_factor": "2.652",
             "foot_force": "840.1 N"},
            {"foot_bearing_strength_used": "0.725"},
            derived(DERIVATION, "the foot on its pad"),
        ),
    ),
)  # fmt: skip
HEAD_SCREW_WITHDRAWAL = Relation(
    name="screw withdrawal from a head",
    equation=equal(
        head_screw_withdrawal,
        sp.Rational(3, 4) * WITHDRAWAL * specific_gravity**2 * screw_shank
        * (head_screw_length - plate_thickness),
    ),
    meaning="Three quarters of the hold of the same screw in side grain.",
    why="The screw runs vertically into a leaning post, at an angle to its grain. It is treated as "
    "a screw in end grain, which holds least.",
    source=derived(DERIVATION, "screws down into the head"),
    checks=(
        Check(
            {"specific_gravity": "0.6", "screw_shank": "5 mm", "head_screw_length": "43 mm",
             "plate_thickness": "3 mm"},
            {"head_screw_withdrawal": "5845.5 N"},
            derived(DERIVATION, "screws down into the head"),
        ),
    ),
)  # fmt: skip
HEAD_SCREW_STRENGTH_USED = Relation(
    name="head screw strength used",
    equation=equal(
        head_screw_strength_used * head_screws * head_screw_withdrawal,
        sp.Rational(11, 2) * rim_load * rim_reach
        / (sp.Rational(3, 2) * q.head_radius),
    ),
    meaning="A push on the rim midway between two heads prises the plate off the third head.",
    why="The pull is the same as on the screws up into the top. The design strength of a screw is "
    "two elevenths of its average withdrawal force.",
    source=derived(DERIVATION, "screws down into the head"),
    checks=(
        Check(
            {"head_screws": "2", "head_screw_withdrawal": "5846 N", "rim_load": "400 N",
             "rim_reach": "260 mm", "head_radius": "400 mm"},
            {"head_screw_strength_used": "0.0815"},
            derived(DERIVATION, "screws down into the head"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the post ends under load; the same for a "table" and a "stool"."""
    return (
        FOOT_STRENGTH,
        FOOT_BEARING_STRENGTH_USED,
        HEAD_SCREW_WITHDRAWAL,
        HEAD_SCREW_STRENGTH_USED,
    )


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        head_screws, 1, "One screw goes down into each head; the recess keeps the plate from "
        "turning.",
        common_practice("one or two"),
        first_to=("head_screw_strength_used",), usual=(1, 6),
    ),
    assume(
        head_screw_length, sp.Rational(4, 100),
        "Forty millimetres from head to point: a screw in end grain has to be long.",
        common_practice(), first_to=("head_screw_withdrawal", "head_screw_strength_used"),
        usual=(15, 120),
    ),
)  # fmt: skip
_OWN = "limits are our own choice"
FOOT = Requirement(
    id="foot_bearing",
    name="bearing at the feet",
    quantity="foot_bearing_strength_used",
    source=derived(DERIVATION, f"the foot on its pad; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 2),
    too_high="The wood above the pad is crushed and the piece no longer stands evenly.",
    mend_high="Use a wider pad and cut the flat to suit, or use a harder wood.",
    fine="The feet bear on their pads without being crushed.",
)
HEAD_SCREWS = Requirement(
    id="head_screws",
    name="screws into the heads",
    quantity="head_screw_strength_used",
    source=derived(DERIVATION, f"screws down into the head; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 1.6),
    too_high="A push on the rim may draw the screws out of a head.",
    mend_high="Use longer or thicker screws, or more of them. Drill pilot holes, and keep the "
    "screws two and a half diameters from the edge of the flat.",
    fine="The screws hold in the heads against a push on the rim, although they run near end "
    "grain. Drill pilot holes, and keep the screws two and a half diameters from the edge of the "
    "flat.",
)
REQUIREMENTS: tuple[Requirement, ...] = (FOOT, HEAD_SCREWS)
