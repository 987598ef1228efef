"""The top under load: deflection, stress, a lasting load, a sitter near the edge, screw pull-out.

`reference/derivations/top_load.md` derives the formulas and compares them with a plate by finite
elements; `reference/derivations/seat_load.md` has the sitter near the edge of a stool.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import (
    Constant,
    Quantity,
    common_practice,
    derived,
    from_memory,
    quoted,
)
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.fixing import plate_thickness, screw_length, screw_shank
from tablekit.relations.kinds import is_seat
from tablekit.relations.mass import specific_gravity
from tablekit.relations.post_load import larger
from tablekit.relations.strength import rim_load as rim_load
from tablekit.relations.tipping import seat_load_inset

# -- a push on the rim -----------------------------------------------------------------------------

DERIVATION = "reference/derivations/top_load.md"

across_share = Quantity(
    "across_share", "ε_90", "1",
    "stiffness of the wood across the grain as a share of its stiffness along the grain", 0.01, 1,
    latex=r"\varepsilon_{90}", said="share",
)  # fmt: skip
rim_reach = Quantity(
    "rim_reach", "c_r", "mm", "line through two heads to the rim, midway between them",
    0.01, 1500, latex="c_r",
)  # fmt: skip
rim_deflection = Quantity(
    "rim_deflection",
    "s_r",
    "mm",
    "deflection of the rim midway between two heads",
    0,
    1e6,
    latex="s_r",
)
top_strength_used = Quantity(
    "top_strength_used", "u_t", "1",
    "share of the top's design strength across the grain that is used",
    0, 1e6, latex="u_t", said="share",
)  # fmt: skip
screws_in_plate = Quantity(
    "screws_in_plate", "N_s", "1", "number of screws that hold the top to each head", 1, 12,
    whole=True,
    latex="N_s",
)  # fmt: skip
screw_withdrawal = Quantity(
    "screw_withdrawal", "F_s", "N", "pull that draws one screw out of the top, on average", 1,
    100_000, latex="F_s",
)  # fmt: skip
screw_strength_used = Quantity(
    "screw_strength_used", "u_n", "1",
    "share of the design strength of the screws at one head that is used",
    0, 1e6, latex="u_n", said="share",
)  # fmt: skip
RIM_QUANTITIES: tuple[Quantity, ...] = (
    across_share, rim_load, rim_reach, rim_deflection, top_strength_used, screws_in_plate,
    screw_withdrawal, screw_strength_used,
)  # fmt: skip

WITHDRAWAL = Constant(
    "withdrawal_strength", "f_s", 108.25, "MPa",
    "withdrawal force per area of screw (length times diameter) in wood of specific gravity 1",
    quoted(
        "Wood Handbook, FPL-GTR-282",
        "equation 8-10: p = 108.25 G² D L in N and mm",
    ),
    latex="f_s",
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = (WITHDRAWAL,)

_radius, _heads = q.top_diameter / 2, q.head_radius
_reach, _push, _thick = rim_reach, rim_load, q.top_thickness
_share, _stiff = across_share, wood.elastic_modulus

RIM_REACH = Relation(
    name="rim beyond the line through two heads",
    equation=equal(_reach, larger(_radius - _heads / 2, _heads / 10)),
    meaning="Midway between two heads, the top overhangs the line that joins them.",
    why="The line through two corners of an equilateral triangle passes at half the radius of its "
    "circle from the centre. If the heads stand so far beyond the rim that the overhang vanishes, "
    "a tenth of their radius is used; such a top cannot be fastened anyway.",
    source=derived(DERIVATION, "the top as two strips"),
    checks=(
        Check(
            {"top_diameter": "920 mm", "head_radius": "400 mm"},
            {"rim_reach": "260 mm"},
            derived(DERIVATION, "the top as two strips"),
        ),
        Check(
            {"top_diameter": "350 mm", "head_radius": "400 mm"},
            {"rim_reach": "40 mm"},
            derived(DERIVATION, "heads far beyond the rim"),
        ),
    ),
)
# Average width of a round top: its area over its diameter.
_mean_width = sp.pi * _radius / 2
_over = 4 * _reach**2 / _mean_width
_line = sp.sqrt(3) * _heads**2 / (4 * _reach)
RIM_DEFLECTION = Relation(
    name="rim deflection",
    equation=equal(
        rim_deflection,
        _push * (_radius + _heads) / (2 * _stiff * _thick**3)
        * (
            (_over + _line) * (1 / _share + 1)
            + sp.Abs(_over - _line, evaluate=False) * (1 / _share - 1)
        ),
    ),
    meaning="The overhang bends like a strip beyond the heads, and the wood between the two heads "
    "bends with it.",
    why="One strip, as wide as a round top is on average, overhangs the line and reaches back to "
    "the third head. Another, twice as wide as the overhang, spans from head to head. The grain "
    "can run along only one of them, so the worse of the two cases counts.",
    source=derived(DERIVATION, "the top as two strips"),
    checks=(
        Check(
            {"rim_load": "400 N", "top_diameter": "920 mm", "head_radius": "400 mm",
             "rim_reach": "260 mm", "elastic_modulus": "12000 MPa", "across_share": "0.08",
             "top_thickness": "28 mm"},
            {"rim_deflection": "6.46 mm"},
            derived(DERIVATION, "worked by hand: 6.109 mm of overhang and 0.348 mm between heads"),
        ),
    ),
)  # fmt: skip
TOP_STRENGTH_USED = Relation(
    name="top strength used",
    equation=equal(
        top_strength_used,
        6 * wood.strength_factor * _push
        / (_thick**2 * wood.tension_across)
        * larger(
            _reach / _mean_width, (_radius + _heads) / (4 * sp.sqrt(3) * _reach)
        ),
    ),
    meaning="The push on the rim bends the top across its grain.",
    why="Two moments are compared: that of the push about the line through two heads, on a strip "
    "as wide as a round top is on average, and that of the strip from head to head. The larger one "
    "is divided by the section modulus of its strip.",
    source=derived(DERIVATION, "stress across the grain"),
    checks=(
        Check(
            {"strength_factor": "2.65", "rim_load": "400 N", "top_thickness": "28 mm",
             "tension_across": "6.5 MPa", "rim_reach": "260 mm", "head_radius": "400 mm",
             "top_diameter": "920 mm"},
            {"top_strength_used": "0.596"},
            derived(DERIVATION, "1.461 MPa, by hand"),
        ),
    ),
)  # fmt: skip
SCREW_WITHDRAWAL = Relation(
    name="screw withdrawal",
    equation=equal(
        screw_withdrawal,
        WITHDRAWAL * specific_gravity**2 * screw_shank
        * (screw_length - plate_thickness),
    ),
    meaning="The hold of a screw grows with its length in the wood, its diameter, and the square "
    "of the specific gravity.",
    why="The formula is fitted to tests of wood screws in the side grain of dry wood. It takes the "
    "screw as threaded up to the plate, whose thickness is subtracted from its length. A plain "
    "shank has no hold: subtract it too.",
    source=WITHDRAWAL.source,
    checks=(
        Check(
            {"specific_gravity": "0.5", "screw_shank": "0.2 in", "screw_length": "1.1 in",
             "plate_thickness": "0.1 in"},
            {"screw_withdrawal": "785 lbf"},
            from_memory("Wood Handbook, FPL-GTR-190 chapter 8: 15,700 G² D L in lb and in"),
        ),
        Check(
            {"specific_gravity": "0.5", "screw_shank": "5 mm", "screw_length": "23 mm",
             "plate_thickness": "3 mm"},
            {"screw_withdrawal": "2706 N"},
            derived(DERIVATION, "108.25 × 0.25 × 5 × 20"),
        ),
    ),
)  # fmt: skip
SCREW_STRENGTH_USED = Relation(
    name="screw strength used",
    equation=equal(
        screw_strength_used * screws_in_plate * screw_withdrawal,
        sp.Rational(11, 2) * _push * _reach / (sp.Rational(3, 2) * _heads),
    ),
    meaning="A push on the rim midway between two heads prises the top off the third head.",
    why="The top pivots on the line through two heads; the third head is three times as far from "
    "that line as the centre is. The design strength of a screw is two elevenths of its average "
    "withdrawal force.",
    source=derived(DERIVATION, "screws that are prised"),
    checks=(
        Check(
            {"screws_in_plate": "2", "screw_withdrawal": "2706 N", "rim_load": "400 N",
             "rim_reach": "260 mm", "head_radius": "400 mm"},
            {"screw_strength_used": "0.176"},
            derived(DERIVATION, "173.3 N on two screws trusted with 492 N each"),
        ),
    ),
)  # fmt: skip


def rim_relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the top and its screws, the same for a "table" and a "stool"."""
    return (RIM_REACH, RIM_DEFLECTION, TOP_STRENGTH_USED, SCREW_WITHDRAWAL, SCREW_STRENGTH_USED)


RIM_ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        across_share, sp.Rational(6, 100),
        "Most flat-sawn hardwoods are 0.04 to 0.09 times as stiff across the grain as along it, "
        "quarter-sawn ones 0.08 to 0.20 times; basswood is less stiff.",
        quoted("Wood Handbook, FPL-GTR-282", "table 5-1: sugar maple, white and red oak; the ends "
               "of the ranges from memory"),
        usual=(0.02, 0.25),
    ),
    # No usual band, as for the load on a post: a maker who fixes a deflection or a strength used
    # expects the load to follow, however great.
    assume(
        rim_load, 400,
        "A person leaning on the rim with both hands, or pushing the piece along.",
        from_memory("EN 12521, horizontal static load on a table 400 N; by our choice plumb too"),
        first_to=("rim_deflection", "top_strength_used", "screw_strength_used", "sway", "twist"),
    ),
    assume(
        screws_in_plate, 1, "One screw goes up into the top through each plate, as in the "
        "fastening plan.", common_practice("one to three"), usual=(1, 6),
    ),
)  # fmt: skip

SAG = Requirement(
    id="rim_deflection",
    name="rim deflection",
    quantity="rim_deflection",
    source=common_practice("6 mm under a person's two hands is barely visible, 15 mm is alarming"),
    good=(None, 6),
    tolerable=(None, 15),
    too_high="The rim deflects visibly under a person's hands.",
    mend_high="Make the top thicker (double the thickness is eight times as stiff), use "
    "quarter-sawn boards, which are stiffer across the grain, or set the heads farther out.",
    fine="The rim deflects little under a person's hands.",
)
TOP = Requirement(
    id="top_strength",
    name="strength of the top",
    quantity="top_strength_used",
    source=derived(
        DERIVATION,
        "stress across the grain; limits are our own choice, and severe: the strength is that of a "
        "notched block pulled across the grain",
    ),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="A push on the rim may split the top along the grain or open a glue joint.",
    mend_high="Make the top thicker, set the heads farther out, or choose a wood that is stronger "
    "across the grain.",
    fine="Under a push on the rim, the stress stays within the design strength across the grain, "
    "as long as every glue joint is sound.",
)
PRISED = Requirement(
    id="top_screws",
    name="screws into the top",
    quantity="screw_strength_used",
    source=derived(DERIVATION, "screws that are prised; limits are our own choice"),
    good=(None, 1),
    tolerable=(None, 1.6),
    too_high="A push on the rim may draw the screws out at the opposite head.",
    mend_high="Use more, thicker or longer screws, or set the heads farther out.",
    care="Lift the piece by its base, not by its rim.",
    fine="The screws hold against a push on the rim. Even so, lift the piece by its base.",
)
RIM_REQUIREMENTS: tuple[Requirement, ...] = (SAG, TOP, PRISED)


# -- a lasting load --------------------------------------------------------------------------------

lasting_load = Quantity(
    "lasting_load", "P_c", "N", "vertical load that stays on the rim for years", 0, 20_000,
    latex="P_c",
)  # fmt: skip
creep_factor = Quantity(
    "creep_factor", "k_c", "1",
    "ratio of the deflection after years under a load to the immediate deflection", 1, 6,
    latex="k_c",
)  # fmt: skip
lasting_deflection = Quantity(
    "lasting_deflection", "s_l", "mm", "deflection of the rim after years under a lasting load", 0,
    1e6, latex="s_l", fine=True,
)  # fmt: skip
LASTING_QUANTITIES: tuple[Quantity, ...] = (lasting_load, creep_factor, lasting_deflection)

LASTING_DEFLECTION = Relation(
    name="long-term rim deflection",
    equation=equal(
        lasting_deflection * rim_load,
        rim_deflection * lasting_load * creep_factor,
    ),
    meaning="A lasting load bends the rim in proportion to its size, and the creep factor "
    "multiplies the result.",
    why="Wood under load keeps deflecting for years, at a falling rate.",
    source=derived(DERIVATION, "a load that stays"),
    checks=(
        Check(
            {"rim_load": "400 N", "rim_deflection": "6.46 mm", "lasting_load": "100 N",
             "creep_factor": "2"},
            {"lasting_deflection": "3.23 mm"},
            derived(DERIVATION, "a load that stays"),
        ),
    ),
)  # fmt: skip


def lasting_relations(kind: str) -> tuple[Relation, ...]:
    """Return the long-term rim deflection; the same for a "table" and a "stool"."""
    return (LASTING_DEFLECTION,)


LASTING_ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        lasting_load,
        100,
        "Ten kilograms of books or plants on the rim, midway between two heads.",
        common_practice(),
        first_to=("lasting_deflection",),
        usual=(0, 2000),
    ),
    assume(
        creep_factor,
        2,
        "In dry air, the deflection under a lasting load about doubles; where the humidity changes "
        "widely, it may treble.",
        from_memory("Wood Handbook, FPL-GTR-190", "chapter 5, creep"),
        first_to=("lasting_deflection",),
        usual=(1, 4),
    ),
)
LASTING = Requirement(
    id="lasting_deflection",
    name="long-term rim deflection",
    quantity="lasting_deflection",
    source=common_practice("5 mm over the years shows along the rim, 12 mm spoils it"),
    good=(None, 5),
    tolerable=(None, 12),
    too_high="A lasting load on the rim bends it permanently.",
    mend_high="Keep heavy objects inside the circle of the heads, make the top thicker, or set the "
    "heads farther out.",
    fine="A lasting load bends the rim little, even over years.",
)
LASTING_REQUIREMENTS: tuple[Requirement, ...] = (LASTING,)


# -- a sitter near the edge of a stool -------------------------------------------------------------

SEAT_DERIVATION = "reference/derivations/seat_load.md"

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
SEAT_QUANTITIES: tuple[Quantity, ...] = (
    seat_pad, sitter_reach, sitter_span_load, seat_strength_used, seat_screw_strength_used,
)  # fmt: skip

_load, _sitter, _pad = wood.design_load, sitter_reach, seat_pad

SITTER_REACH = Relation(
    name="sitter beyond the line through two heads",
    equation=equal(_sitter, larger(_radius - seat_load_inset - _heads / 2, sp.Integer(0))),
    meaning="The sitter is midway between two heads, as far in from the rim as a seat is tested.",
    why="The line through two heads passes at half the radius of their circle from the centre.",
    source=derived(SEAT_DERIVATION, "where the sitter is"),
    checks=(
        Check(
            {"top_diameter": "380 mm", "seat_load_inset": "60 mm", "head_radius": "180 mm"},
            {"sitter_reach": "40 mm"},
            derived(SEAT_DERIVATION, "where the sitter is"),
        ),
        Check(
            {"top_diameter": "320 mm", "seat_load_inset": "60 mm", "head_radius": "220 mm"},
            {"sitter_reach": "0 mm"},
            derived(SEAT_DERIVATION, "where the sitter is"),
        ),
    ),
)
SPAN_LOAD = Relation(
    name="sitter on the line through two heads",
    equation=equal(
        3 * sitter_span_load * _heads, _load * (3 * _heads + 2 * _sitter)
    ),
    meaning="The two heads carry the sitter plus the pull at the third head.",
    why="Take moments about the third head, one and a half radii behind the line.",
    source=derived(SEAT_DERIVATION, "the top"),
    checks=(
        Check(
            {"design_load": "1300 N", "head_radius": "180 mm", "sitter_reach": "40 mm"},
            {"sitter_span_load": "1493 N"},
            derived(SEAT_DERIVATION, "the top"),
        ),
    ),
)  # fmt: skip
SEAT_STRENGTH_USED = Relation(
    name="seat strength used",
    equation=equal(
        seat_strength_used,
        6 * wood.strength_factor / (_thick**2 * wood.tension_across)
        * larger(
            _load * _sitter / (sp.pi * _radius / 2),
            sitter_span_load * (sp.sqrt(3) * _heads / 4 - _pad / 8)
            / (2 * rim_reach),
        ),
    ),
    meaning="A sitter near the edge bends the top across its grain, over the line through two "
    "heads or between them, whichever is worse.",
    why="The two strips that carry a push on the rim carry the sitter instead. Between the heads, "
    "the load is spread over the width of the sitter, which reduces the moment by F d/8.",
    source=derived(SEAT_DERIVATION, "the top"),
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
            derived(SEAT_DERIVATION, "the top"),
        ),
    ),
)  # fmt: skip
SEAT_SCREW_STRENGTH_USED = Relation(
    name="screw strength used by a sitter",
    equation=equal(
        seat_screw_strength_used * screws_in_plate * screw_withdrawal,
        sp.Rational(11, 2) * _load * _sitter / (sp.Rational(3, 2) * _heads),
    ),
    meaning="A sitter beyond the line through two heads prises the top off the third head.",
    why="As for a push on the rim, the design strength of a screw is two elevenths of its average "
    "withdrawal force.",
    source=derived(SEAT_DERIVATION, "the screws"),
    checks=(
        Check(
            {"design_load": "1300 N", "sitter_reach": "40 mm", "head_radius": "180 mm",
             "screws_in_plate": "1", "screw_withdrawal": "5911 N"},
            {"seat_screw_strength_used": "0.179"},
            derived(SEAT_DERIVATION, "the screws"),
        ),
    ),
)  # fmt: skip


def seat_relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the top of a "stool" under its sitter; none for a "table"."""
    return (
        (SITTER_REACH, SPAN_LOAD, SEAT_STRENGTH_USED, SEAT_SCREW_STRENGTH_USED)
        if is_seat(kind)
        else ()
    )


SEAT_ASSUMPTIONS: tuple[Assumption, ...] = (
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
    source=derived(SEAT_DERIVATION, f"the top; {_OWN}"),
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
    source=derived(SEAT_DERIVATION, f"the screws; {_OWN}"),
    good=(None, 1),
    tolerable=(None, 1.6),
    too_high="A sitter near the edge may draw the screws out at the opposite head.",
    mend_high="Use more, thicker or longer screws, or set the heads farther out.",
    fine="The screws hold under a sitter near the edge.",
)
SEAT_REQUIREMENTS: tuple[Requirement, ...] = (SEAT, SEAT_SCREWS)


# -- all of them -----------------------------------------------------------------------------------

QUANTITIES = (*RIM_QUANTITIES, *LASTING_QUANTITIES, *SEAT_QUANTITIES)
ASSUMPTIONS = (*RIM_ASSUMPTIONS, *LASTING_ASSUMPTIONS, *SEAT_ASSUMPTIONS)
REQUIREMENTS = (*RIM_REQUIREMENTS, *LASTING_REQUIREMENTS, *SEAT_REQUIREMENTS)


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the top of a "table" or a "stool" under load."""
    return (*rim_relations(kind), *lasting_relations(kind), *seat_relations(kind))
