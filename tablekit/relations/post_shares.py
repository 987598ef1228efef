"""How much of a load each head and each foot carries, and what that does to the worst post.

Three supports on a circle share a load by balance alone, whatever the posts are made of. Feet lie
nearly opposite heads, so the foot beneath a load belongs to another post than the heads that share
it. `reference/derivations/post_shares.md` derives every formula and says which loads are taken.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.engine.source import derived
from tablekit.relations import quantities as q
from tablekit.relations.strength import design_load, rim_load
from tablekit.relations.tipping_quantities import seat_load_inset

DERIVATION = "reference/derivations/post_shares.md"

edge_over_foot = Quantity(
    "edge_over_foot", "d_ef", "mm",
    "in plan, centre line to a load at the edge over a foot, or as far out as it does not tip",
    -500, 3000, latex="d_{ef}",
)  # fmt: skip
edge_over_head = Quantity(
    "edge_over_head", "d_eh", "mm",
    "in plan, centre line to a load at the edge over a head, or as far out as it does not tip",
    -500, 3000, latex="d_{eh}",
)  # fmt: skip
foot_between = Quantity(
    "foot_between", "F_fb", "N",
    "plumb force on the foot beneath a load that stands midway between two heads", 0, 1e6,
    latex="F_{fb}",
)  # fmt: skip
foot_at_edge = Quantity(
    "foot_at_edge", "F_fe", "N", "plumb force on a foot under a load at the edge over it", -1e6,
    1e6, latex="F_{fe}",
)  # fmt: skip
head_at_edge = Quantity(
    "head_at_edge", "F_he", "N", "plumb force on a head under a load at the edge over it", -1e6,
    1e6, latex="F_{he}",
)  # fmt: skip
foot_force = Quantity(
    "foot_force", "F_f", "N", "largest plumb force on a foot, of the loads looked at", 0, 1e6,
    latex="F_f",
)  # fmt: skip
head_force = Quantity(
    "head_force", "F_h", "N", "largest plumb force on a head, of the loads looked at", 0, 1e6,
    latex="F_h",
)  # fmt: skip
end_force = Quantity(
    "end_force", "F_e", "N", "largest plumb force on either end of a post", 0, 1e6, latex="F_e"
)
cross_force = Quantity(
    "cross_force", "V", "N", "largest force across a post, square to its length", 0, 1e6
)
post_moment = Quantity(
    "post_moment", "M_p", "N*m", "largest moment that bends a post at the crossing", 0, 1e6,
    latex="M_p",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    edge_over_foot, edge_over_head, foot_between, foot_at_edge, head_at_edge, foot_force,
    head_force, end_force, cross_force, post_moment,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()
REQUIREMENTS: tuple[Requirement, ...] = ()

_load = design_load.symbol
_feet, _heads = q.foot_radius.symbol, q.head_radius.symbol
_weight = q.total_mass.symbol * q.STANDARD_GRAVITY.symbol


def larger(one: sp.Expr, other: sp.Expr) -> sp.Expr:
    """The larger of two, in a form that can be solved for either."""
    return (one + other + sp.Abs(one - other, evaluate=False)) / 2


def smaller(one: sp.Expr, other: sp.Expr) -> sp.Expr:
    """The smaller of two, in a form that can be solved for either."""
    return (one + other - sp.Abs(one - other, evaluate=False)) / 2


def edge_load(kind: str) -> tuple[Quantity, sp.Expr]:
    """The load at the edge, and how far from the centre the edge is: of a table a person's push on
    the rim, of a stool the sitter, as far in from the rim as a seat is tested."""
    rim = q.top_diameter.symbol / 2
    return (rim_load, rim) if kind == "table" else (design_load, rim - seat_load_inset.symbol)


def edge_over_a_foot(kind: str) -> Relation:
    """Where the load at the edge stands over a foot of a "table" or a "stool"."""
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
            edge_over_foot.symbol, smaller(edge, _feet * (1 + _weight / load.symbol))
        ),
        meaning="The edge, or where the load begins to lift the other two feet if that is nearer.",
        why="A load beyond the foot lifts the other two at once when its moment about the foot is "
        "that of the weight, which acts as far from the foot as the centre is.",
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
    """Where the load at the edge stands over a head of a "table" or a "stool"."""
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
            edge_over_head.symbol, smaller(edge, _feet / 2 * (1 + _weight / load.symbol))
        ),
        meaning="The edge, or where the load begins to lift the foot across if that is nearer.",
        why="A head stands over the gap between two feet, nearly; the line through these passes at "
        "half the radius of their circle, and the weight holds the piece down with that arm.",
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
        3 * foot_between.symbol * _feet**2,
        _load * (
            _feet**2 + q.head_reach.symbol * q.foot_reach.symbol
            - q.head_sidestep.symbol * q.foot_sidestep.symbol
        ),
    ),
    meaning="A load midway between two heads stands over the foot of the third post, or nearly so, "
    "and this foot takes far more than half of it: (1 + r_h/r_f)/3, a little less where head and "
    "foot of one post are not quite opposite.",
    why="Three supports at the radius r share a load at the distance x from their middle as "
    "P/3 (1 + 2 (x/r) cos ψ). Midway between two heads x is half the radius of the heads.",
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
    """What a foot carries of the load at the edge over it."""
    load, _ = edge_load(kind)
    return Relation(
        name="foot under a load at the edge",
        equation=equal(
            3 * foot_at_edge.symbol * _feet, load.symbol * (_feet + 2 * edge_over_foot.symbol)
        ),
        meaning="Over the foot itself the load rests on it whole; farther in, less.",
        why="The same balance of three supports, the load in the direction of one of them.",
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
    """What a head carries of the load at the edge over it."""
    load, _ = edge_load(kind)
    return Relation(
        name="head under a load at the edge",
        equation=equal(
            3 * head_at_edge.symbol * _heads, load.symbol * (_heads + 2 * edge_over_head.symbol)
        ),
        meaning="Over the head itself the load rests on it whole; farther in, less.",
        why="The same balance of three supports, the load in the direction of one of them.",
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
    equation=equal(foot_force.symbol, larger(foot_between.symbol, foot_at_edge.symbol)),
    meaning="The larger of the two loads' shares. A load in the middle sends a third to each.",
    why="The two loads are not on the top at once.",
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
    equation=equal(head_force.symbol, larger(_load / 2, head_at_edge.symbol)),
    meaning="Half the load where it stands midway between two heads, or what the load at the edge "
    "sends to the head beneath it, whichever is larger.",
    why="Midway between two supports each takes half and the third nothing.",
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
    equation=equal(end_force.symbol, larger(foot_force.symbol, head_force.symbol)),
    meaning="The top presses on the head, the floor on the foot; the larger one counts.",
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
    equation=equal(cross_force.symbol, end_force.symbol * sp.sin(q.splay.symbol)),
    meaning="The part of that force which is square to the post.",
    why="A post that leans θ from plumb makes the angle θ with a plumb force.",
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
        post_moment.symbol,
        larger(foot_force.symbol * _feet, head_force.symbol * _heads),
    ),
    meaning="Foot force times the radius of the feet or head force times the radius of the heads, "
    "whichever is larger.",
    why="Plumb forces turn about the crossing with their distance in plan. The top ties the heads "
    "and the floor holds the feet, and both relieve the post; neither is counted on.",
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
    """What heads and feet carry of the loads on a "table" or a "stool"."""
    return (
        edge_over_a_foot(kind), edge_over_a_head(kind), FOOT_BETWEEN, foot_under_edge(kind),
        head_under_edge(kind), FOOT_FORCE, HEAD_FORCE, END_FORCE, CROSS_FORCE, POST_MOMENT,
    )  # fmt: skip
