"""How accurately a careful maker cuts, and how far unequal heads tilt the top.

Proof: `reference/derivations/top_tilt.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.engine.tolerance import Tolerance
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/top_tilt.md"
_PRACTICE = common_practice("careful work by hand and small machines; measure your own cuts")

# For one piece with three posts: a tolerance on a size that all three share moves them together.
DEFAULT: tuple[Tolerance, ...] = (
    Tolerance("post_length", 0.5, _PRACTICE),
    Tolerance("post_section", 0.2, _PRACTICE),
    Tolerance("notch_depth", 0.2, _PRACTICE),
    Tolerance("notch_position", 0.5, _PRACTICE),
    Tolerance("foot_flat_depth", 0.5, _PRACTICE),
    Tolerance("head_flat_depth", 0.5, _PRACTICE),
    Tolerance("top_thickness", 0.3, _PRACTICE),
    Tolerance("top_diameter", 1.0, _PRACTICE),
    Tolerance("splay", 0.1, _PRACTICE),  # the notch is cut at an angle, and the lean follows it
)
# For splayed legs: boring by eye along a bevel gauge is the least accurate step.
SPLAYED: tuple[Tolerance, ...] = (
    Tolerance("leg_length", 0.5, _PRACTICE),
    Tolerance("leg_diameter", 0.5, _PRACTICE),
    Tolerance("foot_diameter", 0.5, _PRACTICE),
    Tolerance("tenon_diameter", 0.2, _PRACTICE),
    Tolerance("socket_depth", 0.5, _PRACTICE),
    Tolerance("socket_radius", 0.5, _PRACTICE),
    Tolerance("leg_resultant", 0.5, _PRACTICE),
)

head_height_1 = Quantity(
    "head_height_1",
    "h₁",
    "mm",
    "height of the first head above the floor",
    -5000,
    5000,
    latex="h_1",
)
head_height_2 = Quantity(
    "head_height_2",
    "h₂",
    "mm",
    "height of the second head above the floor",
    -5000,
    5000,
    latex="h_2",
)
head_height_3 = Quantity(
    "head_height_3",
    "h₃",
    "mm",
    "height of the third head above the floor",
    -5000,
    5000,
    latex="h_3",
)
top_tilt = Quantity("top_tilt", "ψ", "deg", "tilt of the top out of level", 0, 45, latex=r"\psi")
rim_drop = Quantity(
    "rim_drop",
    "Δ",
    "mm",
    "height difference across the top, from the lowest to the highest point of the rim",
    0,
    2000,
    latex=r"\Delta",
)

_h1, _h2, _h3 = head_height_1, head_height_2, head_height_3

TOP_TILT = Relation(
    name="tilt of the top",
    equation=equal(
        sp.tan(top_tilt),
        2
        / (3 * q.head_radius)
        * sp.sqrt(_h1**2 + _h2**2 + _h3**2 - _h1 * _h2 - _h2 * _h3 - _h3 * _h1),
    ),
    meaning="Three heads of unequal height tilt the top that lies on them.",
    why="The slope of a plane through the corners of an equilateral triangle is the sum of the "
    "three heights, each taken along the direction of its head, over 3/2 of the radius.",
    source=derived(DERIVATION, "tilt"),
    checks=(
        Check(
            {
                "head_radius": "400 mm",
                "head_height_1": "706 mm",
                "head_height_2": "700 mm",
                "head_height_3": "700 mm",
            },
            {"top_tilt": "0.5729 deg"},
            derived(DERIVATION, "one head 6 mm too high falls on 600 mm: arctan(1/100)"),
        ),
    ),
)

RIM_DROP = Relation(
    name="height difference across the top",
    equation=equal(rim_drop, q.top_diameter * sp.sin(top_tilt)),
    meaning="How much higher one side of the rim stands than the other.",
    why="The diameter along the steepest climb, seen from the side.",
    source=derived(DERIVATION, "across the top"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "top_tilt": "0.5729 deg"},
            {"rim_drop": "9.00 mm"},
            derived(DERIVATION, "900 mm at 1 in 100"),
        ),
    ),
)

QUANTITIES = (head_height_1, head_height_2, head_height_3, top_tilt, rim_drop)
RELATIONS = (TOP_TILT, RIM_DROP)


def tolerances(sheet_names: frozenset[str] | set[str]) -> tuple[Tolerance, ...]:
    """The default tolerances of those quantities that a sheet has."""
    return tuple(tolerance for tolerance in (*DEFAULT, *SPLAYED) if tolerance.name in sheet_names)
