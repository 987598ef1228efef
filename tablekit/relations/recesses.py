"""Recesses in the heads for the plates and in the feet for the pads.

`reference/derivations/fixing.md` has the worked examples.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/fixing.md"

plate_width = Quantity("plate_width", "b_p", "mm", "width of a plate", 3, 300, latex="b_p")
plate_recess_width = Quantity(
    "plate_recess_width", "b_r", "mm", "width of the recess for a plate, right through the flat",
    3, 310, latex="b_r",
)  # fmt: skip
plate_rim = Quantity(
    "plate_rim", "e_p", "mm", "wood of the head's flat left on each side of a plate",
    -150, 200, latex="e_p",
)  # fmt: skip
pad_diameter = Quantity(
    "pad_diameter", "d_p", "mm", "diameter of a foot pad", 0.4, 400, latex="d_p"
)
pad_hole = Quantity(
    "pad_hole", "d_r", "mm", "diameter of the recess drilled for a foot pad", 0.5, 401, latex="d_r"
)
pad_rim = Quantity(
    "pad_rim", "e_f", "mm", "wood of the foot's flat left round a pad", -200, 200, latex="e_f"
)
QUANTITIES = (plate_width, plate_recess_width, plate_rim, pad_diameter, pad_hole, pad_rim)

_EASE = q.MILLIMETRE / 2
PLATE_RECESS_WIDTH = Relation(
    name="width of the recess for a plate",
    equation=equal(plate_recess_width, plate_width + _EASE),
    meaning="Half a millimetre wider than the plate.",
    why="The plate has to drop in without force; its screws hold it, not the walls.",
    source=derived(DERIVATION, "recesses"),
    checks=(
        Check(
            {"plate_width": "20 mm"},
            {"plate_recess_width": "20.5 mm"},
            derived(DERIVATION, "recesses"),
        ),
    ),
)


def _rim(name: str, left: Quantity, flat: Quantity, hole: Quantity, end: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(2 * left, flat - hole),
        meaning=f"Half the difference between the {end}'s flat and its recess.",
        why="The recess lies in the middle of the largest circle on the flat.",
        source=derived(DERIVATION, "recesses"),
        checks=(
            Check(
                {flat.name: "25 mm", hole.name: "20.5 mm"},
                {left.name: "2.25 mm"},
                derived(DERIVATION, "recesses"),
            ),
        ),
    )


PLATE_RIM = _rim("wood beside a plate", plate_rim, q.head_flat, plate_recess_width, "head")
PAD_HOLE = Relation(
    name="width of the recess for a pad",
    equation=equal(pad_hole, pad_diameter + _EASE),
    meaning="Half a millimetre wider than the pad; use the next larger bit.",
    why="A pad that is squeezed in bulges, and the piece rocks on it.",
    source=derived(DERIVATION, "recesses"),
    checks=(
        Check(
            {"pad_diameter": "18.75 mm"}, {"pad_hole": "19.25 mm"}, derived(DERIVATION, "recesses")
        ),
    ),
)
PAD_RIM = _rim("wood round a pad", pad_rim, q.foot_flat, pad_hole, "foot")
RELATIONS = (PLATE_RECESS_WIDTH, PLATE_RIM, PAD_HOLE, PAD_RIM)

ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        plate_width, sp.Rational(4, 5) * q.head_flat,
        "As wide as possible with some of the flat left on each side.",
        common_practice("four fifths of the flat"), first_to=("plate_recess_width", "plate_rim"),
        usual_share=(0.3, 1.5), stated_by=("plate_recess_width",),
    ),
    assume(
        pad_diameter, sp.Rational(3, 4) * q.foot_flat,
        "As wide as possible with a ring of wood left round the recess.",
        common_practice("three quarters of the flat"), first_to=("pad_hole", "pad_rim"),
        usual_share=(0.3, 1.5), stated_by=("pad_hole",),
    ),
)  # fmt: skip

_HELD = "Hold the post in a vice or a jig, not by hand."
PLATES = Requirement(
    id="plate_room",
    name="room for the plates on the heads",
    quantity="plate_rim",
    source=common_practice("1 mm of the flat on either side"),
    good=(1, None),
    tolerable=(0, None),
    too_low="The recess breaks out through the side of the head.",
    mend_low="Use narrower plates or cut a larger flat.",
    care=_HELD,
    fine="The recess has a wall on each side. Saw and chisel it, or rout it against a stop, with "
    "the post held in a vice or a jig and never by hand.",
)
PADS = Requirement(
    id="pad_room",
    name="room for the pads in the feet",
    quantity="pad_rim",
    source=common_practice("1.5 mm of wood all round"),
    good=(1.5, None),
    tolerable=(0, None),
    too_low="Too little wood is left round the recess, and it breaks away.",
    mend_low="Use smaller pads or cut a larger flat.",
    care=_HELD,
    fine="A ring of wood is left all round. Drill once the feet are level, with a flat-bottomed "
    "bit and a depth stop, the base upside down and held so that it cannot roll.",
)
REQUIREMENTS: tuple[Requirement, ...] = (PLATES, PADS)
