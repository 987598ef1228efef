"""Tipping all the way round: a load or a push at any bearing, and feet on pads of a real size.

For planners: nothing here stands on the sheet. Proofs: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.engine.source import derived
from tablekit.relations import quantities as q
from tablekit.relations import tipping_loads as loads
from tablekit.relations.tipping_quantities import load_inset, tipping_arm

DERIVATION = loads.DERIVATION

pad_radius = Quantity(
    "pad_radius", "r_p", "mm",
    "radius of a rigid pad under each foot; 0 to tip over the middles of the feet, on the safe "
    "side and right for soft pads", 0, 200, latex="r_p",
)  # fmt: skip
pad_arm = Quantity(
    "pad_arm", "a_P", "mm",
    "in plan, centre line to the line that touches two rigid pads on the outside", 0.5, 3200,
    latex="a_P",
)  # fmt: skip
edge_bearing = Quantity(
    "edge_bearing", "ν", "deg",
    "in plan, angle between the way out square to the line through two feet and the way to the "
    "load or of the push", -180, 180, latex=r"\nu",
)  # fmt: skip
bearing_load = Quantity(
    "bearing_load", "P_ν", "N", "plumb load there that tips the piece over that line", 0, 1e9,
    latex=r"P_\nu",
)  # fmt: skip
bearing_push = Quantity(
    "bearing_push", "F_ν", "N", "level push that way which tips the piece over that line", 0, 1e9,
    latex=r"F_\nu",
)  # fmt: skip
push_height = Quantity(
    "push_height", "h_F", "mm", "floor to where it is pushed", 1, 3000, latex="h_F"
)

ballast = Quantity(
    "ballast", "m_B", "kg", "mass added low down and evenly round the centre, at the feet say",
    0, 5000, latex="m_B",
)  # fmt: skip
wood_volume = Quantity(
    "wood_volume", "V_w", "m^3", "wood in the finished piece, top and base", 0, 10, latex="V_w"
)

QUANTITIES: tuple[Quantity, ...] = (
    ballast, wood_volume, pad_radius, pad_arm, edge_bearing, bearing_load, bearing_push,
    push_height, load_inset, tipping_arm,
)  # fmt: skip

_nu, _arm = edge_bearing.symbol, pad_arm.symbol
_weight = q.total_mass.symbol * q.STANDARD_GRAVITY.symbol
_beyond = (q.top_diameter.symbol / 2 - load_inset.symbol) * sp.cos(_nu) - _arm

PAD_LINE = Relation(
    name="line over rigid pads",
    equation=equal(pad_arm.symbol, tipping_arm.symbol + pad_radius.symbol),
    meaning="A rigid pad tips over its outer edge, so the line lies farther out by its radius.",
    why="The line that touches two equal circles on the same side is parallel to the line through "
    "their middles, a radius away. A foot cut level across its whole width does the same.",
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
    name="tipping by a load at a bearing",
    equation=equal(bearing_load.symbol * _beyond, _weight * _arm),
    meaning="The farther round from the middle between two feet, the shorter the arm of the load "
    "and the more of it is needed.",
    why="A point of the rim at the angle ν from the way square to the line is R cos ν out that "
    "way. Of the lines through two feet the piece tips over the one that needs least.",
    source=derived(DERIVATION, "all the way round"),
    limits=(
        Limit(
            _beyond,
            "the load stands beyond the line; where it does not, no load there tips the piece "
            "over it",
            otherwise="leave out",
        ),
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
    name="tipping by a push at a bearing",
    equation=equal(bearing_push.symbol * push_height.symbol * sp.cos(_nu), _weight * _arm),
    meaning="Only the share of a push that is square to the line turns the piece over it.",
    why="That share is the cosine of the angle between them.",
    source=derived(DERIVATION, "a push"),
    limits=(
        Limit(
            sp.cos(_nu), "the push is outward over the line, not inward from it",
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
    """How much ballast makes up what the tipping load is short of, with 3 or 4 feet."""
    middle = q.foot_radius.symbol * sp.cos(sp.pi / feet)
    return Relation(
        name="tipping with ballast",
        equation=equal(
            q.tipping_load.symbol * (q.top_diameter.symbol / 2 - middle),
            (q.total_mass.symbol + ballast.symbol) * q.STANDARD_GRAVITY.symbol * middle,
        ),
        meaning="Ballast spread evenly adds to the weight that holds the piece down.",
        why="Its own centre of mass is on the centre line, so its arm is that of the piece. A "
        "plumb load does not ask how high it is; a push and a slope do, so it belongs low.",
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
    equation=equal(q.total_mass.symbol, wood_volume.symbol * q.wood_density.symbol),
    meaning="Mass over density is the volume of the finished wood.",
    why="One kind of wood throughout. What is sawn off and planed away comes on top.",
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
    """How far out the tipping line is with 3 or 4 feet: through the middles, and over the pads."""
    return (loads.line(feet), PAD_LINE)


RELATIONS: tuple[Relation, ...] = (PAD_LINE, LOAD, PUSH, ballasted(3), ballasted(4), WOOD_VOLUME)
