"""The top on splayed legs under load: bending across its grain between and beyond the sockets.

`reference/derivations/splayed_legs.md` derives every formula under "what the top bears".
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations import strength as wood
from tablekit.relations.kinds import is_seat
from tablekit.relations.post_load import edge_load, larger
from tablekit.relations.splayed_load import DERIVATION, foot_friction
from tablekit.relations.top_load import SEAT_ASSUMPTIONS as PADS
from tablekit.relations.top_load import seat_pad, top_strength_used

middle_moment = Quantity(
    "middle_moment", "M_m", "N*m", "bending moment across the middle of the top, the load at its "
    "centre", 0, 1e6, latex="M_m",
)  # fmt: skip
edge_moment = Quantity(
    "edge_moment", "M_e", "N*m", "bending moment over the line through two sockets, the load at "
    "the edge midway between them", 0, 1e6, latex="M_e",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (seat_pad, middle_moment, edge_moment, top_strength_used)
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = PADS

_BEARS = derived(DERIVATION, "what the top bears")
_HAND = derived(DERIVATION, "what the top bears, worked by hand")
_EVEN = {3: sp.Rational(1, 3), 4: sp.Rational(1, 2)}
_sockets, _tenon = s.socket_radius, s.tenon_diameter


def middle(count: int) -> Relation:
    """Return the bending across the middle of a top on three or four legs."""
    carried = {3: "One of three feet carries a third of the load",
               4: "Two opposite feet may carry all of it"}  # fmt: skip
    return Relation(
        name="bending across the middle of the top",
        equation=equal(
            middle_moment,
            wood.design_load
            * larger(
                _EVEN[count]
                * (_sockets + larger(s.leg_run - foot_friction * s.leg_rise, sp.Integer(0)))
                - seat_pad / (3 * sp.pi),
                sp.Integer(0),
            ),
        ),
        meaning="The legs bend the top as well as bearing it up: the arm of a foot is its distance "
        "from the centre, less what the grip of the floor takes off.",
        why=f"{carried[count]}. Half of a round load lies 2d/3π from the middle.",
        source=_BEARS,
        checks=(
            Check(
                {"design_load": "1300 N", "socket_radius": "100 mm", "leg_run": "107.9 mm",
                 "leg_rise": "332 mm", "foot_friction": "0.2", "seat_pad": "200 mm"},
                {"middle_moment": {3: "33.7 N*m", 4: "64.4 N*m"}[count]}, _HAND,
            ),
        ),
    )  # fmt: skip


def edge(kind: str, count: int) -> Relation:
    """Return the bending of a top over the line through two of three or four sockets."""
    load, where = edge_load(kind)
    given = {
        True: {"design_load": "1300 N", "top_diameter": "300 mm", "seat_load_inset": "60 mm",
               "socket_radius": "100 mm"},
        False: {"rim_load": "400 N", "top_diameter": "900 mm", "socket_radius": "300 mm"},
    }  # fmt: skip
    found = {(True, 3): "52.0 N*m", (True, 4): "25.1 N*m",
             (False, 3): "120.0 N*m", (False, 4): "95.1 N*m"}  # fmt: skip
    seat = is_seat(kind)
    return Relation(
        name="bending of the top beyond two sockets",
        equation=equal(
            edge_moment, load * larger(where - _sockets * sp.cos(sp.pi / count), sp.Integer(0))
        ),
        meaning="The load at the edge bends the top over the line through the two sockets.",
        why="Its arm is its distance beyond that line. Nearer in, it does not bend the top there.",
        source=_BEARS,
        checks=(Check(given[seat], {"edge_moment": found[seat, count]}, _HAND),),
    )


def strength(count: int) -> Relation:
    """Return the share of a top's strength across the grain used, on three or four legs."""
    line = _sockets * sp.cos(sp.pi / count)
    return Relation(
        name="strength used in the top",
        equation=equal(
            top_strength_used * q.top_thickness**2 * wood.tension_across,
            6 * wood.strength_factor
            * larger(
                middle_moment / (q.top_diameter - 2 * _tenon),
                edge_moment / (2 * sp.sqrt(q.top_diameter**2 / 4 - line**2) - 2 * _tenon),
            ),
        ),
        meaning="The top is bent across its grain at its middle or over two sockets, whichever is "
        "worse.",
        why="The stress is the moment over the width times a sixth of the thickness squared. Two "
        "sockets are taken off the width, as if they went right through.",
        source=_BEARS,
        limits=(
            Limit(sp.sqrt(q.top_diameter**2 / 4 - line**2) - _tenon,
                  "the top is wider than its sockets", otherwise="leave out"),
        ),
        checks=(
            Check(
                {"middle_moment": "33.7 N*m", "edge_moment": "52.0 N*m", "top_diameter": "300 mm",
                 "tenon_diameter": "30 mm", "socket_radius": "100 mm", "top_thickness": "45 mm",
                 "tension_across": "5 MPa", "strength_factor": "2.652"},
                {"top_strength_used": {3: "0.367", 4: "0.399"}[count]}, _HAND,
            ),
        ),
    )  # fmt: skip


def relations(kind: str, count: int) -> tuple[Relation, ...]:
    """Return the relations of the top of a "table" or a "stool" on three or four legs."""
    return (middle(count), edge(kind, count), strength(count))


TOP = Requirement(
    id="top_strength",
    name="strength of the top",
    quantity="top_strength_used",
    source=derived(DERIVATION, "what the top bears; limits are our own choice"),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="A load at the middle or at the edge may split the top along the grain or open a "
    "glue joint.",
    mend_high="Make the top thicker, or choose a wood that is stronger across the grain.",
    fine="Under the loads given, the stress stays within the design strength across the grain, as "
    "long as every glue joint is sound.",
)
REQUIREMENTS: tuple[Requirement, ...] = (TOP,)
