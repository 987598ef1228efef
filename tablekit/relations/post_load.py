"""A post under load: its share of a load, the forces in it, and whether it is strong and stiff.

Three supports on a circle share a load by equilibrium alone, whatever the posts are made of. The
feet lie nearly opposite the heads, so the foot beneath a load belongs to a different post from the
heads that share it. `reference/derivations/post_shares.md` derives the formulas and says which
loads are considered.

Each post is modelled as two bars held at the crossing, one up to the head and one down to the foot.
`reference/derivations/post_load.md` derives bending at the notch, crushing, shear, buckling and
deflection, and says what is left out.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.kinds import is_seat
from tablekit.relations.strength import design_load, rim_load
from tablekit.relations.tipping import seat_load_inset

# -- how heads and feet share a load ---------------------------------------------------------------

SHARES = "reference/derivations/post_shares.md"

edge_over_foot = Quantity(
    "edge_over_foot", "d_ef", "mm",
    "in plan, centre line to a load over a foot, at the edge or, if nearer, where the piece begins "
    "to tip",
    -500, 3000, latex="d_{ef}",
)  # fmt: skip
edge_over_head = Quantity(
    "edge_over_head", "d_eh", "mm",
    "in plan, centre line to a load over a head, at the edge or, if nearer, where the piece begins "
    "to tip",
    -500, 3000, latex="d_{eh}",
)  # fmt: skip
foot_between = Quantity(
    "foot_between", "F_fb", "N",
    "vertical force on the foot beneath a load midway between two heads", 0, 1e6,
    latex="F_{fb}",
)  # fmt: skip
foot_at_edge = Quantity(
    "foot_at_edge", "F_fe", "N", "vertical force on a foot from a load at the edge over it", -1e6,
    1e6, latex="F_{fe}",
)  # fmt: skip
head_at_edge = Quantity(
    "head_at_edge", "F_he", "N", "vertical force on a head from a load at the edge over it", -1e6,
    1e6, latex="F_{he}",
)  # fmt: skip
foot_force = Quantity(
    "foot_force", "F_f", "N", "largest vertical force on a foot under the loads considered", 0, 1e6,
    latex="F_f",
)  # fmt: skip
head_force = Quantity(
    "head_force", "F_h", "N", "largest vertical force on a head under the loads considered", 0, 1e6,
    latex="F_h",
)  # fmt: skip
end_force = Quantity(
    "end_force", "F_e", "N", "largest vertical force on either end of a post", 0, 1e6, latex="F_e"
)
cross_force = Quantity(
    "cross_force", "V", "N", "largest force across a post, square to its length", 0, 1e6
)
post_moment = Quantity(
    "post_moment", "M_p", "N*m", "largest bending moment in a post at the crossing", 0, 1e6,
    latex="M_p",
)  # fmt: skip

_load = design_load
_feet, _heads = q.foot_radius, q.head_radius
_weight = q.total_mass * q.STANDARD_GRAVITY


def larger(one: sp.Expr, other: sp.Expr) -> sp.Expr:
    """Return the larger of two, in a form that can be solved for either."""
    return (one + other + sp.Abs(one - other, evaluate=False)) / 2


def smaller(one: sp.Expr, other: sp.Expr) -> sp.Expr:
    """Return the smaller of two, in a form that can be solved for either."""
    return (one + other - sp.Abs(one - other, evaluate=False)) / 2


def edge_load(kind: str) -> tuple[Quantity, sp.Expr]:
    """Return the load at the edge, and how far from the centre the edge is.

    On a table it is a person's push on the rim; on a stool it is the sitter, as far in from the rim
    as a seat is tested."""
    rim = q.top_diameter / 2
    return (design_load, rim - seat_load_inset) if is_seat(kind) else (rim_load, rim)


def edge_over_a_foot(kind: str) -> Relation:
    """Return where the load at the edge acts over a foot of a "table" or a "stool"."""
    load, edge = edge_load(kind)
    examples = {
        "table": ({"top_diameter": "1200 mm", "rim_load": "400 N"}, "540 mm"),
        "stool": (
            {"top_diameter": "380 mm", "seat_load_inset": "60 mm", "design_load": "400 N"},
            "130 mm",
        ),
    }
    given, found = examples[kind]
    return Relation(
        name="load at the edge over a foot",
        equation=equal(
            edge_over_foot, smaller(edge, _feet * (1 + _weight / load))
        ),
        meaning="The load acts at the edge or, if nearer, where it begins to lift the other two "
        "feet.",
        why="A load beyond the foot lifts the other two when its moment about the foot equals that "
        "of the weight. The weight acts at the centre, one foot radius from the foot.",
        source=derived(SHARES, "as far as it does not tip"),
        checks=(
            Check(
                {**given, "foot_radius": "400 mm", "total_mass": "14.276 kg"},
                {"edge_over_foot": found},
                derived(SHARES, "as far as it does not tip"),
            ),
        ),
    )  # fmt: skip


def edge_over_a_head(kind: str) -> Relation:
    """Return where the load at the edge acts over a head of a "table" or a "stool"."""
    load, edge = edge_load(kind)
    examples = {
        "table": ({"top_diameter": "1200 mm", "rim_load": "400 N"}, "270 mm"),
        "stool": (
            {"top_diameter": "380 mm", "seat_load_inset": "60 mm", "design_load": "400 N"},
            "130 mm",
        ),
    }
    given, found = examples[kind]
    return Relation(
        name="load at the edge over a head",
        equation=equal(
            edge_over_head, smaller(edge, _feet / 2 * (1 + _weight / load))
        ),
        meaning="The load acts at the edge or, if nearer, where it begins to lift the opposite "
        "foot.",
        why="A head stands nearly over the gap between two feet. The line through these feet "
        "passes at half the radius of their circle from the centre, and the weight holds the piece "
        "down with that arm.",
        source=derived(SHARES, "as far as it does not tip"),
        checks=(
            Check(
                {**given, "foot_radius": "400 mm", "total_mass": "14.276 kg"},
                {"edge_over_head": found},
                derived(SHARES, "as far as it does not tip"),
            ),
        ),
    )  # fmt: skip


FOOT_BETWEEN = Relation(
    name="foot beneath a load between two heads",
    equation=equal(
        3 * foot_between * _feet**2,
        _load * (
            _feet**2 + q.head_reach * q.foot_reach
            - q.head_sidestep * q.foot_sidestep
        ),
    ),
    meaning="A load midway between two heads stands over the foot of the third post, or nearly so. "
    "This foot carries far more than half of it: (1 + r_h/r_f)/3, slightly less if the head and "
    "foot of one post are not exactly opposite.",
    why="Three supports at radius r share a load at distance x from their centre as P/3 (1 + 2 "
    "(x/r) cos ψ). Midway between two heads, x is half the radius of the heads.",
    source=derived(SHARES, "a load midway between two heads"),
    checks=(
        Check(
            {"design_load": "1300 N", "foot_radius": "458.54 mm", "head_reach": "432.07 mm",
             "foot_reach": "457.99 mm", "head_sidestep": "22.45 mm", "foot_sidestep": "22.45 mm"},
            {"foot_between": "840.1 N"},
            derived(SHARES, "a load midway between two heads"),
        ),
    ),
)  # fmt: skip


def foot_under_edge(kind: str) -> Relation:
    """Return the force on a foot from the load at the edge over it."""
    load, _ = edge_load(kind)
    return Relation(
        name="foot under a load at the edge",
        equation=equal(3 * foot_at_edge * _feet, load * (_feet + 2 * edge_over_foot)),
        meaning="A load directly over the foot rests wholly on it; farther in, less of it does.",
        why="It follows from the same balance of three supports, with the load in the direction of "
        "one of them.",
        source=derived(SHARES, "a load at the edge"),
        checks=(
            Check(
                {load.name: "1300 N", "foot_radius": "270 mm", "edge_over_foot": "130 mm"},
                {"foot_at_edge": "850.6 N"},
                derived(SHARES, "a load at the edge"),
            ),
        ),
    )


def head_under_edge(kind: str) -> Relation:
    """Return the force on a head from the load at the edge over it."""
    load, _ = edge_load(kind)
    return Relation(
        name="head under a load at the edge",
        equation=equal(3 * head_at_edge * _heads, load * (_heads + 2 * edge_over_head)),
        meaning="A load directly over the head rests wholly on it; farther in, less of it does.",
        why="It follows from the same balance of three supports, with the load in the direction of "
        "one of them.",
        source=derived(SHARES, "a load at the edge"),
        checks=(
            Check(
                {load.name: "1300 N", "head_radius": "180 mm", "edge_over_head": "130 mm"},
                {"head_at_edge": "1059 N"},
                derived(SHARES, "a load at the edge"),
            ),
        ),
    )


FOOT_FORCE = Relation(
    name="largest force on a foot",
    equation=equal(foot_force, larger(foot_between, foot_at_edge)),
    meaning="The larger of the forces from the two loads. A load at the centre sends a third to "
    "each foot.",
    why="The two loads do not act at the same time.",
    source=derived(SHARES, "the loads looked at"),
    checks=(
        Check(
            {"foot_between": "840.1 N", "foot_at_edge": "401.3 N"},
            {"foot_force": "840.1 N"},
            derived(SHARES, "the loads looked at"),
        ),
    ),
)
HEAD_FORCE = Relation(
    name="largest force on a head",
    equation=equal(head_force, larger(_load / 2, head_at_edge)),
    meaning="Half the load midway between two heads, or the share of the load at the edge that "
    "goes to the head beneath it, whichever is larger.",
    why="Midway between two supports, each carries half of the load and the third carries none.",
    source=derived(SHARES, "the loads looked at"),
    checks=(
        Check(
            {"design_load": "1300 N", "head_at_edge": "1059 N"},
            {"head_force": "1059 N"},
            derived(SHARES, "the loads looked at"),
        ),
        Check(
            {"design_load": "1300 N", "head_at_edge": "400 N"},
            {"head_force": "650 N"},
            derived(SHARES, "the loads looked at"),
        ),
    ),
)
END_FORCE = Relation(
    name="largest force on an end of a post",
    equation=equal(end_force, larger(foot_force, head_force)),
    meaning="The top presses on the head and the floor on the foot; the larger force counts.",
    why="Shear, thrust and buckling of an arm depend on the force at its own end.",
    source=derived(SHARES, "what the worst post carries"),
    checks=(
        Check(
            {"foot_force": "840.1 N", "head_force": "650 N"},
            {"end_force": "840.1 N"},
            derived(SHARES, "what the worst post carries"),
        ),
    ),
)
CROSS_FORCE = Relation(
    name="force across the post",
    equation=equal(cross_force, end_force * sp.sin(q.splay)),
    meaning="The component of that force square to the post.",
    why="A post that leans at θ from the vertical makes the angle θ with a vertical force.",
    source=derived(SHARES, "what the worst post carries"),
    checks=(
        Check(
            {"end_force": "840.1 N", "splay": "54.7356 deg"},
            {"cross_force": "685.9 N"},
            derived(SHARES, "what the worst post carries"),
        ),
    ),
)
POST_MOMENT = Relation(
    name="moment at the crossing",
    equation=equal(
        post_moment,
        larger(foot_force * _feet, head_force * _heads),
    ),
    meaning="Foot force times foot radius or head force times head radius, whichever is larger.",
    why="The moment of a vertical force about the crossing is the force times its distance in "
    "plan. The top ties the heads together and the floor holds the feet. Both relieve the post, "
    "and neither is counted.",
    source=derived(SHARES, "what the worst post carries"),
    checks=(
        Check(
            {"foot_force": "840.1 N", "foot_radius": "458.54 mm", "head_force": "650 N",
             "head_radius": "432.65 mm"},
            {"post_moment": "385.2 N*m"},
            derived(SHARES, "what the worst post carries"),
        ),
    ),
)  # fmt: skip


# -- strength and stiffness ------------------------------------------------------------------------

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
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()

_deep, _wide, _theta = q.post_section, q.post_width, q.splay
_left, _depth = rest_width, rest_depth
_rise, _side = q.bearing_rise, q.side_rise
_foot, _head = q.foot_arm, q.head_arm
_force = end_force


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
            + _force * sp.cos(_theta) / (_left * _depth * wood.compression_along)
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
        wood.strength_factor * _force * sp.cos(_theta)
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


QUANTITIES: tuple[Quantity, ...] = (
    edge_over_foot, edge_over_head, foot_between, foot_at_edge, head_at_edge, foot_force,
    head_force, end_force, cross_force, post_moment,
    rest_width, rest_depth, post_stress, post_strength_used, shear_strength_used,
    buckling_load_used, head_deflection,
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the posts of a "table" or a "stool" under load."""
    return (
        edge_over_a_foot(kind), edge_over_a_head(kind), FOOT_BETWEEN, foot_under_edge(kind),
        head_under_edge(kind), FOOT_FORCE, HEAD_FORCE, END_FORCE, CROSS_FORCE, POST_MOMENT,
        REST_WIDTH, REST_DEPTH, POST_STRESS, POST_STRENGTH_USED, SHEAR_STRENGTH_USED,
        BUCKLING_LOAD_USED, HEAD_DEFLECTION,
    )  # fmt: skip
