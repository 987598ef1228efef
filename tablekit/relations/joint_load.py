"""The joint under load: how hard the posts press on one another, and what that does to the wood.

The forces come from a linear programme of equilibrium (`tablekit.solids.carrying`); this module has
the relations that follow from them. `reference/derivations/joint_load.md` has the reasoning.
"""

from __future__ import annotations

from functools import cache

import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength
from tablekit.relations.wording import SHOP

DERIVATION = "reference/derivations/joint_load.md"
_STEP_JOINT = quoted(
    "Colling, Holzbau", "section 8.5.3: no more than 8 times the depth of the step counts"
)

joint_sum = Quantity(
    "joint_sum", "N_Σ", "N",
    "sum of all the forces between the posts, square to their faces", 0, 1e8,
    latex=r"N_\Sigma",
)  # fmt: skip
joint_ratio = Quantity(
    "joint_ratio", "ν", "1",
    "least sum of the forces between the posts, as a multiple of the load", 0, 1e5,
    latex=r"\nu",
)  # fmt: skip
bearing_force = Quantity(
    "bearing_force", "N_b", "N", "force square to the most heavily loaded face of the notch",
    0, 1e8, latex="N_b",
)  # fmt: skip
bearing_area = Quantity(
    "bearing_area", "A_b", "mm^2",
    "effective area of that face: the force on it divided by the peak pressure",
    1e-3, 1e6, latex="A_b",
)  # fmt: skip
bearing_stress = Quantity(
    "bearing_stress", "p_b", "MPa", "peak pressure in the joint", 0, 1e5,
    latex="p_b",
)  # fmt: skip
bearing_strength_used = Quantity(
    "bearing_strength_used", "u_d", "1",
    "share of the design bearing strength across the grain that the pressure uses", 0, 1e5,
    latex="u_d", said="share",
)  # fmt: skip
wall_force = Quantity(
    "wall_force", "N_w", "N",
    "force on a wall of a notch, along the grain of the notched post",
    0, 1e8, latex="N_w",
)  # fmt: skip
horn_length = Quantity(
    "horn_length", "l_h", "mm",
    "wall of the notch to the nearer end of the post, along the grain (the horn)", 0.1, 4000,
    latex="l_h",
)  # fmt: skip
horn_counted = Quantity(
    "horn_counted", "l_c", "mm", "effective length of the horn in shear", 0.1, 4000,
    latex="l_c",
)  # fmt: skip
horn_stress = Quantity(
    "horn_stress", "τ_h", "MPa", "shear stress along the grain in the horn, from the force on the "
    "wall",
    0, 1e5, latex=r"\tau_h",
)  # fmt: skip
horn_use = Quantity(
    "horn_use", "u_h", "1", "share of the design shear strength used in the horn", 0, 1e5,
    latex="u_h", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    joint_sum, joint_ratio, bearing_force, bearing_area, bearing_stress, bearing_strength_used,
    wall_force, horn_length, horn_counted, horn_stress, horn_use,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_length, _place = q.post_length, q.notch_position
_uneven = sp.Abs(_length - 2 * _place, evaluate=False)

JOINT_RATIO = Relation(
    name="force in the joint",
    equation=equal(joint_sum, joint_ratio * strength.design_load),
    meaning="The forces between the posts add up to this multiple of the load.",
    why="The posts are levers about the crossing: a force at the end of a long arm is balanced by "
    "a far larger one on a short arm of half a section.",
    source=derived(DERIVATION, "the programme"),
    checks=(
        Check(
            {"joint_ratio": "16.89", "design_load": "1000 N"},
            {"joint_sum": "16890 N"},
            derived(DERIVATION, "contact alone, whole notches"),
        ),
    ),
)
BEARING_STRESS = Relation(
    name="pressure in the joint",
    equation=equal(bearing_stress * bearing_area, bearing_force),
    meaning="The force is divided by the area of the face that carries it.",
    why="A force near the edge of a face barely presses the far side. Only part of the face "
    "counts, and the pressure on that part is taken as uniform.",
    source=derived(DERIVATION, "how hard the hardest spot is pressed"),
    checks=(
        Check(
            {"bearing_force": "3072 N", "bearing_area": "1024 mm^2"},
            {"bearing_stress": "3.000 MPa"},
            derived(DERIVATION, "a quarter of a 64 mm floor"),
        ),
    ),
)
BEARING_STRENGTH_USED = Relation(
    name="bearing strength used",
    equation=equal(
        bearing_strength_used * strength.compression_across,
        strength.strength_factor * bearing_stress,
    ),
    meaning="The pressure, times the strength factor, is divided by the strength of the wood "
    "across the grain.",
    why="Every face of the crossing bears across the grain of at least one of the two posts, and "
    "wood is weakest across the grain.",
    source=derived(DERIVATION, "across the grain"),
    checks=(
        Check(
            {"bearing_stress": "3 MPa", "strength_factor": "2.65", "compression_across": "8 MPa"},
            {"bearing_strength_used": "0.994"},
            derived(DERIVATION, "2.65 × 3 over 8"),
        ),
    ),
)
HORN_LENGTH = Relation(
    name="wood beyond the notch",
    equation=equal(2 * horn_length, _length - _uneven - q.notch_width),
    meaning="From the wall of the notch to the nearer end of the post.",
    why="The shorter part of the post, from the centre of the notch to the end, less half the "
    "notch width. The slanting cut of the flat, which removes one corner of the end, is ignored.",
    source=derived(DERIVATION, "the horn beyond the wall"),
    checks=(
        Check(
            {"post_length": "1000 mm", "notch_position": "300 mm", "notch_width": "64 mm"},
            {"horn_length": "268.0 mm"},
            derived(DERIVATION, "300 less half of 64"),
        ),
    ),
)
HORN_COUNTED = Relation(
    name="effective length of the horn",
    equation=equal(
        horn_counted, sp.Min(horn_length, 8 * q.notch_depth)
    ),
    meaning="The length of the horn, but at most eight times the depth of the notch.",
    why="The wall pushes at one end and the shear stress falls off along the horn, so wood farther "
    "off does not help.",
    source=_STEP_JOINT,
    checks=(
        Check({"horn_length": "468 mm", "notch_depth": "32 mm"}, {"horn_counted": "256 mm"},
              _STEP_JOINT),
    ),
)  # fmt: skip
HORN_STRESS = Relation(
    name="shear stress in the horn",
    equation=equal(wall_force, horn_stress * q.post_section * horn_counted),
    meaning="The force on the wall acts along the grain. It is resisted by the plane from the "
    "floor of the notch to the end of the post.",
    why="Wood splits most easily along the grain, and that plane follows the grain from the inner "
    "corner.",
    source=derived(DERIVATION, "the horn beyond the wall"),
    checks=(
        Check(
            {"wall_force": "8192 N", "post_section": "64 mm", "horn_counted": "256 mm"},
            {"horn_stress": "0.500 MPa"},
            derived(DERIVATION, "8192 N over 64 by 256"),
        ),
    ),
)
HORN_USE = Relation(
    name="shear strength used in the horn",
    equation=equal(
        horn_use * strength.shear_strength,
        strength.strength_factor * horn_stress,
    ),
    meaning="The shear stress, times the strength factor, is divided by the shear strength of the "
    "wood along the grain.",
    why="The design strength is the published average divided by the strength factor.",
    source=derived(DERIVATION, "the horn beyond the wall"),
    checks=(
        Check(
            {"horn_stress": "0.5 MPa", "strength_factor": "2.65", "shear_strength": "13.2 MPa"},
            {"horn_use": "0.1004"},
            derived(DERIVATION, "2.65 × 0.5 over 13.2"),
        ),
    ),
)
RELATIONS: tuple[Relation, ...] = (
    JOINT_RATIO, BEARING_STRESS, BEARING_STRENGTH_USED, HORN_LENGTH, HORN_COUNTED, HORN_STRESS,
    HORN_USE,
)  # fmt: skip

_OWN = "limits are our own choice"
RATIO = Requirement(
    id="joint_force",
    name="force in the joint",
    quantity="joint_ratio",
    source=common_practice(
        f"{_OWN}: a few times the load is usual, far more means long lever arms"
    ),
    good=(None, 4),
    tolerable=(None, 12),
    too_high="Slight play or shrinkage at the notches shows as a wobble.",
    mend_high="Screw the top to all three heads; with the notches down, that helps most. Feet that "
    "do not slip, glue, a thicker section and shorter arms also help.",
    fine="The forces between the posts are at most a few times the load.",
)
DENT = Requirement(
    id="notch_bearing",
    name="bearing in the notches",
    quantity="bearing_strength_used",
    source=derived(DERIVATION, f"across the grain; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 2),
    too_high="The edges of the notch are crushed and the joint works loose.",
    mend_high="Use thicker posts or harder wood, and cut the notches so that the whole face bears.",
    fine="The faces of the notch carry the pressure without permanent dents, as long as the whole "
    "face bears.",
)
HORN = Requirement(
    id="short_grain",
    name="short-grain shear beyond the notch",
    quantity="horn_use",
    source=derived(DERIVATION, f"the horn beyond the wall; {_OWN}"),
    good=(None, 0.7),
    tolerable=(None, 1),
    too_high="The wood between the notch and the end of the post may shear off along the grain.",
    mend_high="Move the notch farther from the end or make it shallower.",
    fine="There is enough wood between the notch and the end of the post.",
)
REQUIREMENTS: tuple[Requirement, ...] = (RATIO, DENT, HORN)
ASSUMPTIONS: tuple[Assumption, ...] = tuple(
    assumption for assumption in strength.ASSUMPTIONS
    if assumption.quantity is not None and assumption.quantity.name in {
        "compression_across", "shear_strength", "variation_factor", "duration_factor",
        "moisture_factor", "grade_factor", "design_load",
    }
)  # fmt: skip
# Values that this network takes from the sheet of the piece.
OF_THE_PIECE: tuple[Quantity, ...] = (
    q.post_section, q.post_length, q.notch_depth, q.notch_position, q.notch_width,
)  # fmt: skip
OF_THE_WOOD: tuple[Quantity, ...] = (
    strength.design_load, strength.compression_across, strength.shear_strength,
    strength.variation_factor, strength.duration_factor, strength.moisture_factor,
    strength.grade_factor, strength.strength_factor,
)  # fmt: skip


@cache
def network() -> Network:
    """Return the network of the joint under load, the same object every time."""
    return Network(
        name="joint under load",
        quantities=(*OF_THE_PIECE, *OF_THE_WOOD, *QUANTITIES),
        relations=(strength.STRENGTH_FACTOR, *RELATIONS),
        assumptions=ASSUMPTIONS,
        constants=CONSTANTS,
        requirements=REQUIREMENTS,
        wishes=(),
        wording=SHOP,
    )
