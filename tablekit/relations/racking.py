"""Estimated sway and twist of the piece under a push.

The crossing is taken as tight, the feet as held by the floor, and the top as rigid and hinged on
the heads. `reference/derivations/racking.md` derives the formulas and says what a loose joint
changes.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations.post_load import rest_depth, rest_width, soft_length
from tablekit.relations.strength import elastic_modulus
from tablekit.relations.top_load import rim_load

DERIVATION = "reference/derivations/racking.md"

sway = Quantity(
    "sway", "s_s", "mm", "sideways movement of the top under a horizontal push", 0, 1e6, latex="s_s"
)
twist = Quantity(
    "twist",
    "s_t",
    "mm",
    "tangential movement of the rim under a push along it",
    0,
    1e6,
    latex="s_t",
)
QUANTITIES: tuple[Quantity, ...] = (sway, twist)
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()

_deep, _wide = q.post_section, q.post_width
_depth, _left = rest_depth, rest_width
_rise, _side = q.bearing_rise, q.side_rise
_length = q.post_length
_push, _stiff = rim_load, elastic_modulus


def _level(deep: sp.Expr, wide: sp.Expr) -> sp.Expr:
    """Return the summed second moments of area of three posts about a horizontal line."""
    share = deep**2 * (1 - _side**2) + wide**2 * (1 - _rise**2)
    return sp.Rational(3, 2) * deep * wide * share / 12


def _plumb(deep: sp.Expr, wide: sp.Expr) -> sp.Expr:
    """Return the summed second moments of area of three posts about the vertical line."""
    return 3 * deep * wide * (deep**2 * _side**2 + wide**2 * _rise**2) / 12


SWAY = Relation(
    name="sway under a push",
    equation=equal(
        sway,
        _push * (q.head_arm * sp.cos(q.splay)) ** 2 / _stiff
        * (_length / (3 * _level(_deep, _wide)) + soft_length / _level(_depth, _left)),
    ),
    meaning="Three posts joined at the crossing cannot stretch or shorten. A horizontal push bends "
    "them, turning the top about the crossing and the crossing about the feet.",
    why="The push times the height of the heads above the crossing turns both. Each arm resists "
    "with 3EI over its length, and the deflections of the arms and of the notches between them add "
    "up.",
    source=derived(DERIVATION, "sway"),
    checks=(
        Check(
            {"rim_load": "400 N", "head_arm": "565 mm", "splay": "54.7356103 deg",
             "elastic_modulus": "12000 MPa", "post_length": "1130 mm", "post_section": "64 mm",
             "post_width": "64 mm", "bearing_rise": "0.57735027", "side_rise": "0.57735027",
             "notch_width": "64 mm", "notch_depth": "32 mm", "rest_depth": "64 mm",
             "rest_width": "32 mm"},
            {"sway": "0.911 mm"},
            derived(DERIVATION, "sway: 0.478 mm of the arms, 0.433 mm of the notches, by hand"),
        ),
    ),
)  # fmt: skip
TWIST = Relation(
    name="twist under a push",
    equation=equal(
        twist,
        _push * (q.top_diameter / 2) ** 2 / _stiff
        * (_length / (3 * _plumb(_deep, _wide)) + soft_length / _plumb(_depth, _left)),
    ),
    meaning="A push along the rim turns the top about the centre line and bends all the posts "
    "alike.",
    why="The push times the radius is the turning moment. The arms and the notches resist as they "
    "do sway, each axis of the section with its component.",
    source=derived(DERIVATION, "twist"),
    checks=(
        Check(
            {"rim_load": "400 N", "top_diameter": "920 mm", "elastic_modulus": "12000 MPa",
             "post_length": "1130 mm", "post_section": "64 mm", "post_width": "64 mm",
             "bearing_rise": "0.57735027", "side_rise": "0.57735027", "notch_width": "64 mm",
             "notch_depth": "32 mm", "rest_depth": "64 mm", "rest_width": "32 mm"},
            {"twist": "1.811 mm"},
            derived(DERIVATION, "twist: 0.950 mm of the arms, 0.861 mm of the notches, by hand"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return sway and twist; the same for a "table" and a "stool"."""
    return (SWAY, TWIST)


_ESTIMATE = (
    "This is an estimate: play in an unglued joint, a loose screw or a slipping foot adds to the "
    "movement."
)
STIFF = Requirement(
    id="sway",
    name="sway under a push",
    quantity="sway",
    source=common_practice("5 mm under 400 N is barely felt, 15 mm is a wobble"),
    good=(None, 5),
    tolerable=(None, 15),
    too_high="The piece wobbles when pushed.",
    mend_high="Use thicker posts or a shallower notch, or move the crossing nearer to the top.",
    care=_ESTIMATE,
    fine=f"A push on the rim moves it very little. {_ESTIMATE}",
)
TWISTING = Requirement(
    id="twist",
    name="twist under a push",
    quantity="twist",
    source=common_practice("8 mm at the rim under 400 N is barely felt, 20 mm is a wobble"),
    good=(None, 8),
    tolerable=(None, 20),
    too_high="The top twists when pushed along its rim.",
    mend_high="Use thicker posts or a shallower notch.",
    care=_ESTIMATE,
    fine=f"A push along the rim turns it very little. {_ESTIMATE}",
)
REQUIREMENTS: tuple[Requirement, ...] = (STIFF, TWISTING)
