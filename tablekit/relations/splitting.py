"""Splitting of a post at the inner corner of its notch: the moment that opens the notch, and the
energy that a crack along the grain would release.

`reference/derivations/splitting.md` derives the formulas; `tests/published/test_splitting.py`
checks them by finite elements.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived, from_memory, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.mass import specific_gravity
from tablekit.relations.post_load import (
    foot_force,
    head_force,
    larger,
    rest_depth,
    rest_width,
    smaller,
)

DERIVATION = "reference/derivations/splitting.md"
MEASURED = quoted(
    "abstract of a study on silver birch and Norway spruce, single-edge-notched beams",
    "221 J/m² for spruce, 656 J/m² for birch",
)

opening_moment = Quantity(
    "opening_moment", "M_o", "N*m",
    "moment that bends the notch open, across the width of the post, at the inner corner", 0, 1e6,
    latex="M_o",
)  # fmt: skip
fracture_energy = Quantity(
    "fracture_energy", "G_c", "N/mm",
    "energy needed to split wood along the grain, per unit of split area", 0.02, 5,
    latex="G_c",
)  # fmt: skip
corner_loose = Quantity(
    "corner_loose", "u_cl", "1",
    "share of the splitting moment at the inner corner that is used, with a loose joint",
    0, 1e5, latex="u_{cl}", said="share",
)  # fmt: skip
corner_tight = Quantity(
    "corner_tight", "u_ct", "1",
    "share of the splitting moment at the inner corner that is used, with a tight joint", 0,
    1e5, latex="u_{ct}", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (opening_moment, fracture_energy, corner_loose, corner_tight)
SPRUCE = Constant(
    "spruce_energy", "G_sp", 0.221, "N/mm", "fracture energy of Norway spruce", MEASURED,
    latex="G_{sp}",
)  # fmt: skip
BIRCH = Constant(
    "birch_energy", "G_bi", 0.656, "N/mm", "fracture energy of silver birch", MEASURED,
    latex="G_{bi}",
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = (SPRUCE, BIRCH)

_whole, _left = q.post_width, rest_width
_factor = wood.variation_factor * wood.duration_factor * wood.moisture_factor
_half = q.notch_width / 2
_to_foot = q.notch_position - _half
_to_head = q.post_length - q.notch_position - _half


# By the way the notch opens; 0 where a post has one either way.
_OPENED = {
    0: (
        "256.2 N*m",
        "A post with two notches has one open on either side; the larger moment counts.",
    ),
    1: (
        "210.8 N*m",
        "The load on the head bends an upward notch open; the push of the floor on the foot bends "
        "it shut.",
    ),
    -1: (
        "256.2 N*m",
        "The push of the floor on the foot bends a downward notch open; the load on the head bends "
        "it shut.",
    ),
}


def opening(way: int, notches: int) -> Relation:
    """Return the moment that opens the notch, for notches up (`way` 1), notches down (-1) or two
    to a post."""
    at_head, at_foot = head_force * _to_head, foot_force * _to_foot
    case = way if notches == 1 else 0
    moment = {1: at_head, -1: at_foot, 0: larger(at_head, at_foot)}[case]
    forces = {"head_force": "650 N", "foot_force": "840.1 N"}
    given = {
        "side_rise": "0.57735", "post_length": "1153.6 mm", "notch_width": "63.5 mm",
        "notch_position": "560 mm", **forces,
    }  # fmt: skip
    named = {symbol.name for symbol in moment.free_symbols} | {"side_rise"}
    found, words = _OPENED[case]
    return Relation(
        name="moment that opens the notch",
        equation=equal(opening_moment, q.side_rise * moment),
        meaning=words,
        why="It is the component of the vertical force across the width of the post, times the "
        "distance along the post to the inner corner. A notch that is bent shut does not split.",
        source=derived(DERIVATION, "the moment that opens the notch"),
        checks=(
            Check(
                {name: text for name, text in given.items() if name in named},
                {"opening_moment": found},
                derived(DERIVATION, "the moment that opens the notch"),
            ),
        ),
    )


def _use(found: Quantity, torn: sp.Expr) -> sp.Expr:
    """Return the share used, if a crack needs `torn` times the energy of the full section."""
    return equal(
        found,
        _factor * opening_moment / rest_depth
        * sp.sqrt(
            6 * torn
            / (wood.elastic_modulus * fracture_energy * _whole**3)
        ),
    )  # fmt: skip


_GIVEN = {
    "variation_factor": "1.36", "duration_factor": "1.3", "moisture_factor": "1",
    "opening_moment": "204.5 N*m", "post_width": "63.5 mm", "rest_width": "31.75 mm",
    "rest_depth": "63.5 mm", "elastic_modulus": "12000 MPa", "fracture_energy": "0.61 N/mm",
}  # fmt: skip
CORNER_LOOSE = Relation(
    name="strength used at the inner corner, loose joint",
    equation=_use(corner_loose, (_whole / _left) ** 3 - 1),
    meaning="The layer of the post that the notch cuts through splits off along the grain once the "
    "bending energy released is enough to split the wood.",
    why="As the crack grows, the section in bending shrinks from the full section to what the "
    "notch leaves. The difference in energy goes into the split area. The published averages are "
    "divided by the factors for scatter, duration and moisture. The factor for defects and sharp "
    "corners is left out, since the corner itself is calculated.",
    source=derived(DERIVATION, "a loose joint"),
    checks=(
        Check(_GIVEN, {"corner_loose": "0.852"}, derived(DERIVATION, "a loose joint")),
    ),
)  # fmt: skip
CORNER_TIGHT = Relation(
    name="strength used at the inner corner, tight joint",
    equation=_use(
        corner_tight, _whole**3 / (_left**3 + (_whole - _left) ** 3) - 1
    ),
    meaning="Walls that grip the post hold both sides of the crack level, so that they can only "
    "slide on one another. Far less energy is released.",
    why="Just beyond the corner that opens, the post lies in its neighbour, whose walls stand on "
    "both sides of the crack. Two layers bent to the same shape share the moment.",
    source=derived(DERIVATION, "a tight joint"),
    checks=(
        Check(_GIVEN, {"corner_tight": "0.558"}, derived(DERIVATION, "a tight joint")),
    ),
)  # fmt: skip


def relations(way: int, notches: int) -> tuple[Relation, ...]:
    """Return the relations of splitting at the inner corner of a notch."""
    return (opening(way, notches), CORNER_LOOSE, CORNER_TIGHT)


# Linear interpolation from spruce to birch by specific gravity.
_between = SPRUCE + (BIRCH - SPRUCE) * (specific_gravity - sp.Rational(43, 100)) / sp.Rational(
    19, 100
)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        fracture_energy,
        larger(SPRUCE * 2 / 3, smaller(BIRCH, _between)),
        "Interpolated between Norway spruce (0.221 N/mm at a specific gravity of 0.43) and silver "
        "birch (0.656 at 0.62; both gravities from memory); at most that of birch, and at least "
        "two thirds of that of spruce.",
        MEASURED, first_to=("corner_loose", "corner_tight"), usual_share=(0.3, 3),
        usual_source=from_memory("0.2 to 1.2 N/mm is what tests of woods give"),
    ),
)  # fmt: skip

_MEND = (
    "Use thicker posts or a shallower notch. Leave a small radius in the inner corners and ease "
    "the edges of the crossing post to match. Never saw past the floor. Keep checks and knots away "
    "from the notch."
)
LOOSE = Requirement(
    id="corner_loose",
    name="splitting at the inner corner, loose joint",
    quantity="corner_loose",
    source=derived(DERIVATION, "a loose joint; limits are our own choice"),
    good=(None, 1),
    tolerable=(None, 1.77),
    too_high="Once shrinkage has loosened the joint, the post may split along the grain from the "
    "inner corner. A tight joint grips it: see that check too.",
    mend_high=_MEND,
    fine="Even in a loose joint, the post does not split at the inner corner if its grain is "
    "straight. Still, do not saw past the floor: a kerf is the sharpest corner of all.",
)
TIGHT = Requirement(
    id="corner_tight",
    name="splitting at the inner corner, tight joint",
    quantity="corner_tight",
    source=derived(DERIVATION, "a tight joint; limits are our own choice"),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="Even in a tight joint, the post may split along the grain from the inner corner.",
    mend_high=_MEND,
    fine="In a tight joint, the post is far from splitting at the inner corner.",
)
REQUIREMENTS: tuple[Requirement, ...] = (TIGHT, LOOSE)
