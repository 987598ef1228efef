"""A sitter near the edge of a stool: the load on the top and its screws.

`reference/derivations/seat_load.md` derives the formulas.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived, from_memory
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.kinds import is_seat
from tablekit.relations.post_shares import larger
from tablekit.relations.tipping_quantities import seat_load_inset
from tablekit.relations.top_load import rim_reach, screw_withdrawal, screws_in_plate

DERIVATION = "reference/derivations/seat_load.md"

seat_pad = Quantity(
    "seat_pad", "d_q", "mm", "diameter of the area that a sitter near the edge presses on", 1, 400,
    latex="d_q",
)  # fmt: skip
sitter_reach = Quantity(
    "sitter_reach", "c_q", "mm",
    "line through two heads to a sitter near the edge, outward; 0 if the sitter is inside the line",
    0, 1500, latex="c_q",
)  # fmt: skip
sitter_span_load = Quantity(
    "sitter_span_load", "F_q", "N", "force of that sitter on the line through two heads",
    0, 1e6, latex="F_q",
)  # fmt: skip
seat_strength_used = Quantity(
    "seat_strength_used", "u_q", "1",
    "share of the top's design strength across the grain that a sitter near the edge uses", 0, 1e6,
    latex="u_q", said="share",
)  # fmt: skip
seat_screw_strength_used = Quantity(
    "seat_screw_strength_used", "u_qn", "1",
    "share of the design strength of the screws at one head that a sitter near the edge uses", 0,
    1e6,
    latex="u_{qn}", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    seat_pad, sitter_reach, sitter_span_load, seat_strength_used, seat_screw_strength_used,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_radius, _heads, _thick = q.top_diameter / 2, q.head_radius, q.top_thickness
_load, _reach, _pad = wood.design_load, sitter_reach, seat_pad

SITTER_REACH = Relation(
    name="sitter beyond the line through two heads",
    equation=equal(_reach, larger(_radius - seat_load_inset - _heads / 2, sp.Integer(0))),
    meaning="The sitter is midway between two heads, as far in from the rim as a seat is tested.",
    why="The line through two heads passes at half the radius of their circle from the centre.",
    source=derived(DERIVATION, "where the sitter is"),
    checks=(
        Check(
            {"top_diameter": "380 mm", "seat_load_inset": "60 mm", "head_radius": "180 mm"},
            {"sitter_reach": "40 mm"},
            derived(DERIVATION, "where the sitter is"),
        ),
        Check(
            {"top_diameter": "320 mm", "seat_load_inset": "60 mm", "head_radius": "220 mm"},
            {"sitter_reach": "0 mm"},
            derived(DERIVATION, "where the sitter is"),
        ),
    ),
)
SPAN_LOAD = Relation(
    name="sitter on the line through two heads",
    equation=equal(
        3 * sitter_span_load * _heads, _load * (3 * _heads + 2 * _reach)
    ),
    meaning="The two heads carry the sitter plus the pull at the third head.",
    why="Take moments about the third head, one and a half radii behind the line.",
    source=derived(DERIVATION, "the top"),
    checks=(
        Check(
            {"design_load": "1300 N", "head_radius": "180 mm", "sitter_reach": "40 mm"},
            {"sitter_span_load": "1493 N"},
            derived(DERIVATION, "the top"),
        ),
    ),
)  # fmt: skip
SEAT_STRENGTH_USED = Relation(
    name="seat strength used",
    equation=equal(
        seat_strength_used,
        6 * wood.strength_factor / (_thick**2 * wood.tension_across)
        * larger(
            _load * _reach / (sp.pi * _radius / 2),
            sitter_span_load * (sp.sqrt(3) * _heads / 4 - _pad / 8)
            / (2 * rim_reach),
        ),
    ),
    meaning="A sitter near the edge bends the top across its grain, over the line through two "
    "heads or between them, whichever is worse.",
    why="The two strips that carry a push on the rim carry the sitter instead. Between the heads, "
    "the load is spread over the width of the sitter, which reduces the moment by F d/8.",
    source=derived(DERIVATION, "the top"),
    limits=(
        Limit(
            2 * sp.sqrt(3) * _heads - _pad,
            "the sitter is narrower than twice the distance from head to head",
        ),
    ),
    checks=(
        Check(
            {"strength_factor": "2.652", "design_load": "1300 N", "top_thickness": "40 mm",
             "tension_across": "7.0 MPa", "head_radius": "180 mm", "top_diameter": "380 mm",
             "sitter_reach": "40 mm", "sitter_span_load": "1493 N", "rim_reach": "100 mm",
             "seat_pad": "200 mm"},
            {"seat_strength_used": "0.561"},
            derived(DERIVATION, "the top"),
        ),
    ),
)  # fmt: skip
SEAT_SCREW_STRENGTH_USED = Relation(
    name="screw strength used by a sitter",
    equation=equal(
        seat_screw_strength_used * screws_in_plate * screw_withdrawal,
        sp.Rational(11, 2) * _load * _reach / (sp.Rational(3, 2) * _heads),
    ),
    meaning="A sitter beyond the line through two heads prises the top off the third head.",
    why="As for a push on the rim, the design strength of a screw is two elevenths of its average "
    "withdrawal force.",
    source=derived(DERIVATION, "the screws"),
    checks=(
        Check(
            {"design_load": "1300 N", "sitter_reach": "40 mm", "head_radius": "180 mm",
             "screws_in_plate": "1", "screw_withdrawal": "5911 N"},
            {"seat_screw_strength_used": "0.179"},
            derived(DERIVATION, "the screws"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the top of a "stool" under its sitter; none for a "table"."""
    return (
        (SITTER_REACH, SPAN_LOAD, SEAT_STRENGTH_USED, SEAT_SCREW_STRENGTH_USED)
        if is_seat(kind)
        else ()
    )


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        seat_pad, sp.Rational(1, 5),
        "A round pad of 200 mm, as used to load a seat near its edge.",
        from_memory("EN 1728, the smaller of its two loading pads"),
        first_to=("seat_strength_used",), usual=(50, 300),
    ),
)  # fmt: skip
_OWN = "limits are our own choice"
SEAT = Requirement(
    id="seat_strength",
    name="strength of the seat",
    quantity="seat_strength_used",
    source=derived(DERIVATION, f"the top; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 1.77),
    too_high="A sitter near the edge may split the seat along the grain or open a glue joint.",
    mend_high="Make the seat thicker, set the heads farther out, or choose a wood that is stronger "
    "across the grain.",
    fine="Under a sitter near the edge, the stress in the seat stays within the design strength "
    "across the grain, as long as every glue joint is sound.",
)
SEAT_SCREWS = Requirement(
    id="seat_screws",
    name="screws under a sitter",
    quantity="seat_screw_strength_used",
    source=derived(DERIVATION, f"the screws; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 1.6),
    too_high="A sitter near the edge may draw the screws out at the opposite head.",
    mend_high="Use more, thicker or longer screws, or set the heads farther out.",
    fine="The screws hold under a sitter near the edge.",
)
REQUIREMENTS: tuple[Requirement, ...] = (SEAT, SEAT_SCREWS)
