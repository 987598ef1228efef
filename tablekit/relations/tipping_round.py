"""Tipping all the way round: a load or a push in any direction, and feet on pads of real size.

For planners: these quantities are not on the sheet. Proofs: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations import tipping as loads
from tablekit.relations.tipping import beyond_line, load_inset, tipping_arm

DERIVATION = loads.DERIVATION

pad_radius = Quantity(
    "pad_radius", "r_p", "mm",
    "radius of a rigid pad under each foot; 0 to tip over the centres of the feet, which is on the "
    "safe side and right for soft pads", 0, 200, latex="r_p",
)  # fmt: skip
pad_arm = Quantity(
    "pad_arm", "a_P", "mm",
    "in plan, centre line to the line that touches two rigid pads on the outside", 0.5, 3200,
    latex="a_P",
)  # fmt: skip
edge_bearing = Quantity(
    "edge_bearing", "ν", "deg",
    "in plan, angle from the outward normal to the line through two feet to the direction of the "
    "load or push", -180, 180, latex=r"\nu",
)  # fmt: skip
bearing_load = Quantity(
    "bearing_load", "P_ν", "N", "vertical load in that direction that tips the piece over that "
    "line", 0, 1e9,
    latex=r"P_\nu",
)  # fmt: skip
bearing_push = Quantity(
    "bearing_push", "F_ν", "N", "horizontal push in that direction that tips the piece over that "
    "line", 0, 1e9,
    latex=r"F_\nu",
)  # fmt: skip
push_height = Quantity(
    "push_height", "h_F", "mm", "floor to the point of the push", 1, 3000, latex="h_F"
)

ballast = Quantity(
    "ballast", "m_B", "kg", "mass added low down and evenly round the centre, at the feet for "
    "example",
    0, 5000, latex="m_B",
)  # fmt: skip
wood_volume = Quantity(
    "wood_volume",
    "V_w",
    "m^3",
    "volume of wood in the finished piece, top and base",
    0,
    10,
    latex="V_w",
)

QUANTITIES: tuple[Quantity, ...] = (
    ballast, wood_volume, pad_radius, pad_arm, edge_bearing, bearing_load, bearing_push,
    push_height, load_inset, tipping_arm,
)  # fmt: skip

_nu, _arm = edge_bearing, pad_arm
_weight = q.total_mass * q.STANDARD_GRAVITY
_beyond = (q.top_diameter / 2 - load_inset) * sp.cos(_nu) - _arm

PAD_LINE = Relation(
    name="tipping line over rigid pads",
    equation=equal(pad_arm, tipping_arm + pad_radius),
    meaning="The piece tips over the outer edge of a rigid pad, so the line lies farther out by "
    "the radius of the pad.",
    why="The line that touches two equal circles on the same side is parallel to the line through "
    "their centres, one radius away. A foot cut level across its whole width does the same.",
    source=derived(DERIVATION, "pads of a real size"),
    checks=(
        Check(
            {"tipping_arm": "197.9 mm", "pad_radius": "12.5 mm"},
            {"pad_arm": "210.4 mm"},
            derived(DERIVATION, "pads of a real size"),
        ),
    ),
)

LOAD = Relation(
    name="tipping by a load in any direction",
    equation=equal(bearing_load * _beyond, _weight * _arm),
    meaning="The farther the load is from midway between two feet, the shorter its arm and the "
    "more of it is needed.",
    why="A point of the rim at angle ν from the normal to the line is R cos ν out along the "
    "normal. The piece tips over whichever line through two feet needs the least load.",
    source=derived(DERIVATION, "all the way round"),
    limits=(
        beyond_line(_beyond, "the load stands", "; otherwise no load there tips the piece over it"),
    ),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "load_inset": "0 mm",
                "pad_arm": "197.916 mm", "edge_bearing": "0 deg",
            },
            {"bearing_load": "141.8 N"},
            derived(DERIVATION, "midway between two feet"),
        ),
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "load_inset": "0 mm",
                "pad_arm": "197.916 mm", "edge_bearing": "60 deg",
            },
            {"bearing_load": "1320 N"},
            derived(DERIVATION, "over a foot"),
        ),
    ),
)  # fmt: skip

PUSH = Relation(
    name="tipping by a push in any direction",
    equation=equal(bearing_push * push_height * sp.cos(_nu), _weight * _arm),
    meaning="Only the component of a push square to the line turns the piece over it.",
    why="That component is the push times the cosine of the angle between them.",
    source=derived(DERIVATION, "a push"),
    limits=(
        Limit(
            sp.cos(_nu), "the push is outward over the line, not inward",
            otherwise="leave out",
        ),
    ),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "pad_arm": "197.916 mm", "push_height": "735 mm",
                "edge_bearing": "60 deg",
            },
            {"bearing_push": "97.3 N"},
            derived(DERIVATION, "towards a foot"),
        ),
    ),
)  # fmt: skip


def ballasted(feet: int) -> Relation:
    """Return the ballast that raises the tipping load to the value wanted, with 3 or 4 feet."""
    middle = q.foot_radius * sp.cos(sp.pi / feet)
    return Relation(
        name="tipping with ballast",
        equation=equal(
            q.tipping_load * (q.top_diameter / 2 - middle),
            (q.total_mass + ballast) * q.STANDARD_GRAVITY * middle,
        ),
        meaning="Ballast spread evenly adds to the weight that holds the piece down.",
        why="Its centre of mass is on the centre line, so it has the same arm as the piece. Its "
        "height does not matter for a vertical load. It does for a push and for a slope, so the "
        "ballast belongs low down.",
        source=derived(DERIVATION, "ballast"),
        checks=(
            Check(
                {
                    "total_mass": "18.42 kg", "top_diameter": "900 mm",
                    "foot_radius": "395.832 mm", "tipping_load": {3: "200 N", 4: "400 N"}[feet],
                },
                {"ballast": {3: "7.56 kg", 4: "6.37 kg"}[feet]},
                derived(DERIVATION, "ballast"),
            ),
        ),
    )  # fmt: skip


WOOD_VOLUME = Relation(
    name="wood in the whole piece",
    equation=equal(q.total_mass, wood_volume * q.wood_density),
    meaning="The volume of the finished wood is the mass divided by the density.",
    why="The whole piece is of one wood. Waste from sawing and planing is extra.",
    source=derived("reference/derivations/mass_and_heights.md", "masses"),
    checks=(
        Check(
            {"total_mass": "18.42 kg", "wood_density": "620 kg/m^3"},
            {"wood_volume": "0.0297 m^3"},
            derived(DERIVATION, "ballast"),
        ),
    ),
)


def lines(feet: int) -> tuple[Relation, Relation]:
    """Return the tipping line with 3 or 4 feet: through the foot centres, and over the pads."""
    return (loads.line(feet), PAD_LINE)


RELATIONS: tuple[Relation, ...] = (PAD_LINE, LOAD, PUSH, ballasted(3), ballasted(4), WOOD_VOLUME)
