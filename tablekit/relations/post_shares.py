"""How much of a load each head and each foot carries, and the forces in the most loaded post.

Three supports on a circle share a load by equilibrium alone, whatever the posts are made of. The
feet lie nearly opposite the heads, so the foot beneath a load belongs to a different post from the
heads that share it. `reference/derivations/post_shares.md` derives every formula and says which
loads are considered.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat
from tablekit.relations.strength import design_load, rim_load
from tablekit.relations.tipping_quantities import seat_load_inset

DERIVATION = "reference/derivations/post_shares.md"

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
QUANTITIES: tuple[Quantity, ...] = (
    edge_over_foot, edge_over_head, foot_between, foot_at_edge, head_at_edge, foot_force,
    head_force, end_force, cross_force, post_moment,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()
REQUIREMENTS: tuple[Requirement, ...] = ()

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
        source=derived(DERIVATION, "as far as it does not tip"),
        checks=(
            Check(
                {**given, "foot_radius": "400 mm", "total_mass": "14.276 kg"},
                {"edge_over_foot": found},
                derived(DERIVATION, "as far as it does not tip"),
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
        source=derived(DERIVATION, "as far as it does not tip"),
        checks=(
            Check(
                {**given, "foot_radius": "400 mm", "total_mass": "14.276 kg"},
                {"edge_over_head": found},
                derived(DERIVATION, "as far as it does not tip"),
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
    source=derived(DERIVATION, "a load midway between two heads"),
    checks=(
        Check(
            {"design_load": "1300 N", "foot_radius": "458.54 mm", "head_reach": "432.07 mm",
             "foot_reach": "457.99 mm", "head_sidestep": "22.45 mm", "foot_sidestep": "22.45 mm"},
            {"foot_between": "840.1 N"},
            derived(DERIVATION, "a load midway between two heads"),
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
        source=derived(DERIVATION, "a load at the edge"),
        checks=(
            Check(
                {load.name: "1300 N", "foot_radius": "270 mm", "edge_over_foot": "130 mm"},
                {"foot_at_edge": "850.6 N"},
                derived(DERIVATION, "a load at the edge"),
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
        source=derived(DERIVATION, "a load at the edge"),
        checks=(
            Check(
                {load.name: "1300 N", "head_radius": "180 mm", "edge_over_head": "130 mm"},
                {"head_at_edge": "1059 N"},
                derived(DERIVATION, "a load at the edge"),
            ),
        ),
    )


FOOT_FORCE = Relation(
    name="largest force on a foot",
    equation=equal(foot_force, larger(foot_between, foot_at_edge)),
    meaning="The larger of the forces from the two loads. A load at the centre sends a third to "
    "each foot.",
    why="The two loads do not act at the same time.",
    source=derived(DERIVATION, "the loads looked at"),
    checks=(
        Check(
            {"foot_between": "840.1 N", "foot_at_edge": "401.3 N"},
            {"foot_force": "840.1 N"},
            derived(DERIVATION, "the loads looked at"),
        ),
    ),
)
HEAD_FORCE = Relation(
    name="largest force on a head",
    equation=equal(head_force, larger(_load / 2, head_at_edge)),
    meaning="Half the load midway between two heads, or the share of the load at the edge that "
    "goes to the head beneath it, whichever is larger.",
    why="Midway between two supports, each carries half of the load and the third carries none.",
    source=derived(DERIVATION, "the loads looked at"),
    checks=(
        Check(
            {"design_load": "1300 N", "head_at_edge": "1059 N"},
            {"head_force": "1059 N"},
            derived(DERIVATION, "the loads looked at"),
        ),
        Check(
            {"design_load": "1300 N", "head_at_edge": "400 N"},
            {"head_force": "650 N"},
            derived(DERIVATION, "the loads looked at"),
        ),
    ),
)
END_FORCE = Relation(
    name="largest force on an end of a post",
    equation=equal(end_force, larger(foot_force, head_force)),
    meaning="The top presses on the head and the floor on the foot; the larger force counts.",
    why="Shear, thrust and buckling of an arm depend on the force at its own end.",
    source=derived(DERIVATION, "what the worst post carries"),
    checks=(
        Check(
            {"foot_force": "840.1 N", "head_force": "650 N"},
            {"end_force": "840.1 N"},
            derived(DERIVATION, "what the worst post carries"),
        ),
    ),
)
CROSS_FORCE = Relation(
    name="force across the post",
    equation=equal(cross_force, end_force * sp.sin(q.splay)),
    meaning="The component of that force square to the post.",
    why="A post that leans at θ from the vertical makes the angle θ with a vertical force.",
    source=derived(DERIVATION, "what the worst post carries"),
    checks=(
        Check(
            {"end_force": "840.1 N", "splay": "54.7356 deg"},
            {"cross_force": "685.9 N"},
            derived(DERIVATION, "what the worst post carries"),
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
    source=derived(DERIVATION, "what the worst post carries"),
    checks=(
        Check(
            {"foot_force": "840.1 N", "foot_radius": "458.54 mm", "head_force": "650 N",
             "head_radius": "432.65 mm"},
            {"post_moment": "385.2 N*m"},
            derived(DERIVATION, "what the worst post carries"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the forces on heads and feet of a "table" or a "stool"."""
    return (
        edge_over_a_foot(kind), edge_over_a_head(kind), FOOT_BETWEEN, foot_under_edge(kind),
        head_under_edge(kind), FOOT_FORCE, HEAD_FORCE, END_FORCE, CROSS_FORCE, POST_MOMENT,
    )  # fmt: skip
