"""Strength and stiffness of a post: bending at the notch, crushing, shear, buckling, deflection.

Each post is modelled as two bars held at the crossing, one up to the head and one down to the foot.
The forces on their ends are in `post_shares`. `reference/derivations/post_load.md` derives every
formula and says what is left out.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.post_shares import (
    cross_force,
    end_force,
    head_force,
    post_moment,
    smaller,
)

DERIVATION = "reference/derivations/post_load.md"

rest_width = Quantity(
    "rest_width", "v_s", "mm", "wood left beside the notch, across the width of the post",
    0.01, 300, latex="v_s",
)  # fmt: skip
rest_depth = Quantity(
    "rest_depth", "v_n", "mm",
    "wood left at the crossing, across the depth of the post: the full depth with one notch to a "
    "post, half with two", 0.01, 300, latex="v_n",
)  # fmt: skip
post_stress = Quantity(
    "post_stress", "σ_b", "MPa", "bending stress in the wood left at the notch",
    0, 1e6, latex=r"\sigma_b",
)  # fmt: skip
post_strength_used = Quantity(
    "post_strength_used", "u_b", "1",
    "share of the post's design strength used at the notch, in bending and thrust together", 0, 1e6,
    latex="u_b", said="share",
)  # fmt: skip
shear_strength_used = Quantity(
    "shear_strength_used", "u_v", "1", "share of the design shear strength used beside the notch",
    0, 1e6, latex="u_v", said="share",
)  # fmt: skip
buckling_load_used = Quantity(
    "buckling_load_used", "u_k", "1", "share of the design buckling load used by the thrust along "
    "the post", 0,
    1e6, latex="u_k", said="share",
)  # fmt: skip
head_deflection = Quantity(
    "head_deflection", "s_h", "mm", "vertical deflection of a head under its share of the load", 0,
    1e6, latex="s_h",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    rest_width, rest_depth, post_stress, post_strength_used, shear_strength_used,
    buckling_load_used, head_deflection,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()

_deep, _wide, _theta = q.post_section, q.post_width, q.splay
_left, _depth = rest_width, rest_depth
_rise, _side = q.bearing_rise, q.side_rise
_foot, _head = q.foot_arm, q.head_arm
_load = end_force


def _inertia(breadth: sp.Expr, depth: sp.Expr) -> sp.Expr:
    return breadth * depth**3 / 12


# The full section next to a notch carries little stress near the inner corners: the flexible length
# is the notch and two thirds of its depth beyond each end (reference/derivations/post_load.md, by
# finite elements).
soft_length = q.notch_width + sp.Rational(4, 3) * q.notch_depth

REST_WIDTH = Relation(
    name="wood left beside the notch",
    equation=equal(_left + q.notch_depth, _wide),
    meaning="The notch leaves the width less its depth.",
    why="The notch is cut into the side face.",
    source=derived(DERIVATION, "what is left at the crossing"),
    checks=(
        Check(
            {"post_width": "64 mm", "notch_depth": "32 mm"},
            {"rest_width": "32 mm"},
            derived(DERIVATION, "what is left at the crossing"),
        ),
    ),
)
REST_DEPTH = Relation(
    name="depth left at the crossing",
    equation=equal(
        _depth, q.notch_depth + q.axis_offset + (_deep - _wide) / 2
    ),
    meaning="The depth that a post keeps where it lies in its neighbour.",
    why="The floor of the neighbour's notch lies notch_depth + axis_offset − half the width from "
    "this post's axis. Whatever would reach beyond it is cut away: none of the depth with one "
    "notch, half of it with two.",
    source=derived(DERIVATION, "what is left at the crossing"),
    checks=(
        Check(
            {"post_section": "60 mm", "post_width": "90 mm", "notch_depth": "45 mm",
             "axis_offset": "30 mm"},
            {"rest_depth": "60 mm"},
            derived(DERIVATION, "one notch: the depth is whole"),
        ),
        Check(
            {"post_section": "64 mm", "post_width": "64 mm", "notch_depth": "32 mm",
             "axis_offset": "0 mm"},
            {"rest_depth": "32 mm"},
            derived(DERIVATION, "two notches: a quarter of the section"),
        ),
    ),
)  # fmt: skip
POST_STRESS = Relation(
    name="bending stress at the notch",
    equation=equal(
        post_stress,
        6 * post_moment / (_left * _depth)
        * (sp.sin(q.roll) / _depth + sp.cos(q.roll) / _left),
    ),
    meaning="The load bends the post about both axes of its section at once.",
    why="The post is rotated about its own axis by β, so a vertical load bends it across its depth "
    "by sin β and across its width by cos β. The two stresses add at the corner. At the square "
    "crossing the diagonal of the section is vertical.",
    source=derived(DERIVATION, "bending about both axes"),
    checks=(
        Check(
            {"post_moment": "200 N*m", "rest_width": "32 mm", "rest_depth": "64 mm",
             "roll": "45 deg"},
            {"post_stress": "19.42 MPa"},
            derived(DERIVATION, "M/√2 (1/S_x + 1/S_y), by hand"),
        ),
    ),
)  # fmt: skip
POST_STRENGTH_USED = Relation(
    name="strength used at the notch",
    equation=equal(
        post_strength_used,
        wood.strength_factor
        * (
            post_stress / wood.bending_strength
            + _load * sp.cos(_theta) / (_left * _depth * wood.compression_along)
        ),
    ),
    meaning="Bending and thrust along the post each use a share of the strength of the wood.",
    why="Where two stresses act in the same fibre, the shares used add up.",
    source=derived(DERIVATION, "bending and thrust together"),
    checks=(
        Check(
            {"end_force": "500 N", "strength_factor": "2.65",
             "post_stress": "19.42 MPa", "bending_strength": "103 MPa", "splay": "60 deg",
             "rest_width": "32 mm", "rest_depth": "64 mm", "compression_along": "51.1 MPa"},
            {"post_strength_used": "0.506"},
            derived(DERIVATION, "0.4996 of bending and 0.0063 of thrust"),
        ),
    ),
)  # fmt: skip
SHEAR_STRENGTH_USED = Relation(
    name="shear strength used beside the notch",
    equation=equal(
        shear_strength_used,
        wood.strength_factor * sp.Rational(3, 2) * cross_force
        / (_left * _depth * wood.shear_strength),
    ),
    meaning="The component of the load across the post puts the wood left at the notch in shear.",
    why="In a rectangular section, the shear stress at mid-depth is half as much again as the "
    "average.",
    source=derived(DERIVATION, "shear"),
    checks=(
        Check(
            {"cross_force": "500 N", "strength_factor": "2.65", "rest_width": "32 mm",
             "rest_depth": "64 mm", "shear_strength": "13.2 MPa"},
            {"shear_strength_used": "0.0735"},
            derived(DERIVATION, "1.5 × 500 N over 2048 mm²"),
        ),
    ),
)  # fmt: skip
_stiff_way = smaller(_deep**2, _wide**2)
BUCKLING_LOAD_USED = Relation(
    name="buckling load used",
    equation=equal(
        buckling_load_used,
        wood.strength_factor * _load * sp.cos(_theta)
        * (_foot + _head + sp.Abs(_foot - _head, evaluate=False)) ** 2
        / (sp.pi**2 * wood.elastic_modulus * _deep * _wide * _stiff_way / 12),
    ),
    meaning="A bar fixed at the crossing and free at its end buckles like a bar twice as long that "
    "is hinged at both ends.",
    why="This is Euler's load, with twice the longer arm as the length, about the weaker axis of "
    "the section.",
    source=derived(DERIVATION, "buckling"),
    checks=(
        Check(
            {"end_force": "500 N", "strength_factor": "1",
             "splay": "0 deg", "foot_arm": "500 mm", "head_arm": "400 mm", "post_section": "40 mm",
             "post_width": "60 mm", "elastic_modulus": "12000 MPa"},
            {"buckling_load_used": "0.01319"},
            derived(DERIVATION, "500 N over an Euler load of 37.9 kN"),
        ),
    ),
)  # fmt: skip
HEAD_DEFLECTION = Relation(
    name="head deflection",
    equation=equal(
        head_deflection,
        head_force * _head**2 / wood.elastic_modulus
        * (
            _head / 3
            * (_rise**2 / _inertia(_wide, _deep) + _side**2 / _inertia(_deep, _wide))
            + soft_length
            * (_rise**2 / _inertia(_left, _depth) + _side**2 / _inertia(_depth, _left))
        ),
    ),
    meaning="The arm of the post bends like a bar fixed at the crossing, and it bends most at the "
    "notch.",
    why="A bar fixed at one end deflects by P l³/3EI under a load at its tip. The notch, a short "
    "flexible length near its root, adds a rotation that swings the whole arm. Each axis of the "
    "section takes its component of the vertical load and adds its component of the vertical "
    "deflection.",
    source=derived(DERIVATION, "the give of a head"),
    checks=(
        Check(
            {"head_force": "500 N", "head_arm": "565 mm",
             "elastic_modulus": "12000 MPa", "bearing_rise": "0.57735", "side_rise": "0.57735",
             "post_section": "64 mm", "post_width": "64 mm", "notch_width": "64 mm",
             "notch_depth": "32 mm", "rest_width": "32 mm", "rest_depth": "64 mm"},
            {"head_deflection": "4.58 mm"},
            derived(DERIVATION, "the give of a head, 1.194 mm and 3.383 mm by hand"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of a post under load; the same for a "table" and a "stool"."""
    return (
        REST_WIDTH, REST_DEPTH, POST_STRESS, POST_STRENGTH_USED, SHEAR_STRENGTH_USED,
        BUCKLING_LOAD_USED, HEAD_DEFLECTION,
    )  # fmt: skip


POST = Requirement(
    id="post_strength",
    name="strength of the posts",
    quantity="post_strength_used",
    source=derived(DERIVATION, "bending and thrust together; limits are our own choice"),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="Under the loads given, the stress at the notch, where the posts are thinnest, "
    "exceeds the design strength of the wood.",
    mend_high="Use thicker posts, cut shallower notches, stand the posts steeper, or choose a "
    "stronger wood.",
    fine="Under the design load midway between two heads, and under a load at the edge over a foot "
    "or a head, the stress in the notched posts stays within the design strength of the wood.",
)
SHEAR = Requirement(
    id="notch_shear",
    name="shear beside the notch",
    quantity="shear_strength_used",
    source=derived(DERIVATION, "shear; limits are our own choice"),
    good=(None, 0.7),
    tolerable=(None, 1),
    too_high="The wood beside the notch may shear along the grain.",
    mend_high="Use thicker posts or a shallower notch, and keep the notch clear of checks.",
    fine="Shear beside the notch is small. Cracking from the sharp inner corner is checked "
    "separately.",
)
BUCKLING = Requirement(
    id="buckling",
    name="buckling of the posts",
    quantity="buckling_load_used",
    source=derived(DERIVATION, "buckling; limits are our own choice"),
    good=(None, 0.3),
    tolerable=(None, 0.6),
    too_high="The posts are so slender that the thrust adds to their bending.",
    mend_high="Use thicker or shorter posts.",
    fine="The posts are far from buckling, so the thrust adds little to the bending.",
)
GIVE = Requirement(
    id="head_deflection",
    name="head deflection",
    quantity="head_deflection",
    source=common_practice("8 mm under a person is barely felt, 16 mm is alarming"),
    good=(None, 8),
    tolerable=(None, 16),
    too_high="A head deflects so far under the load that the piece feels springy.",
    mend_high="Use thicker posts, a shallower notch, or shorter arms above the crossing.",
    fine="The heads deflect little under the load, as long as the joint is tight.",
)
REQUIREMENTS: tuple[Requirement, ...] = (POST, SHEAR, BUCKLING, GIVE)
