"""Loads, pushes and slopes that tip a piece, and what holds it down.

Each relation is a balance of moments about the line through two feet. The line is taken through the
centres of the feet, which is on the safe side: a rigid pad tips over its outer edge, farther out
(`tablekit/relations/tipping_round.py`). Proofs: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import (
    Constant,
    Quantity,
    common_practice,
    declared_in,
    derived,
    published,
    quoted,
)
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat

# -- the quantities --------------------------------------------------------------------------------

tipping_arm = Quantity(
    "tipping_arm", "a_T", "mm", "in plan, centre line to the line through the centres of two feet",
    0.5, 3000, latex="a_T",
)  # fmt: skip
wanted_tipping_load = Quantity(
    "wanted_tipping_load", "P_w", "N", "least tipping load required of the piece",
    1, 1e5, latex="P_w",
)  # fmt: skip
stability_ratio = Quantity(
    "stability_ratio", "ζ", "1", "ratio of the tipping load to the required tipping load", 0, 1e6,
    latex=r"\zeta", said="share",
)  # fmt: skip
load_inset = Quantity(
    "load_inset", "i_P", "mm", "rim to the vertical load in a stability test", 0, 500,
    latex="i_P",
)  # fmt: skip
inset_tipping_load = Quantity(
    "inset_tipping_load", "P_i", "N",
    "vertical load at that distance from the rim, midway between two feet, that lifts the third "
    "foot",
    0, 1e6, latex="P_i",
)  # fmt: skip
tipping_push = Quantity(
    "tipping_push", "F_T", "N",
    "horizontal push at the height of the upper face that tips the empty piece over two feet, if "
    "the feet cannot slide",
    0, 1e5, latex="F_T",
)  # fmt: skip
placed_mass = Quantity(
    "placed_mass", "m_l", "kg", "mass of the objects on the top", 0, 1000, latex="m_l"
)
placed_reach = Quantity(
    "placed_reach", "x_l", "mm",
    "centre to the centre of mass of those objects, towards the edge considered; negative away "
    "from it",
    -1500, 1500, latex="x_l",
)  # fmt: skip
placed_height = Quantity(
    "placed_height",
    "h_l",
    "mm",
    "upper face of the top to the centre of mass of those objects",
    0,
    2000,
    latex="h_l",
)
loaded_tipping_load = Quantity(
    "loaded_tipping_load", "P_l", "N",
    "vertical load on the rim that tips the piece with those objects on it; negative if they tip "
    "it alone",
    -1e6, 1e6, latex="P_l",
)  # fmt: skip
edge_sitter_mass = Quantity(
    "edge_sitter_mass", "m_e", "kg",
    "mass of a person who, against all advice, sits on the rim midway between two feet",
    1, 500, latex="m_e",
)  # fmt: skip
counter_mass = Quantity(
    "counter_mass", "m_k", "kg",
    "mass at the centre needed to hold the piece down under that sitter; negative if none is "
    "needed",
    -1e4, 1e5, latex="m_k",
)  # fmt: skip
base_centre = Quantity(
    "base_centre", "z_b", "mm", "floor to the centre of mass of the three posts", 10, 3000,
    latex="z_b",
)  # fmt: skip
mass_height = Quantity(
    "mass_height", "z_M", "mm", "floor to the centre of mass of the whole piece, with no load on "
    "it",
    10, 3000, latex="z_M",
)  # fmt: skip
tipping_slope = Quantity(
    "tipping_slope", "χ", "deg",
    "slope of a floor on which the empty piece tips by itself, if its feet cannot slide",
    0.1, 89, latex=r"\chi",
)  # fmt: skip
loaded_slope = Quantity(
    "loaded_slope", "χ_l", "deg",
    "slope of a floor on which the loaded piece tips by itself; negative if it tips on a level "
    "floor",
    -89, 89, latex=r"\chi_l",
)  # fmt: skip
seat_load = Quantity(
    "seat_load", "Q", "N", "vertical load of a sitter near the edge of a seat", 0, 1e5
)
seat_load_inset = Quantity(
    "seat_load_inset", "i_Q", "mm", "rim of the seat to that load", 0, 500,
    latex="i_Q",
)  # fmt: skip
seat_push = Quantity(
    "seat_push", "F_Q", "N", "outward horizontal force at the height of the seat, acting with that "
    "load",
    0, 1e5, latex="F_Q",
)  # fmt: skip
steady_arm = Quantity(
    "steady_arm", "a_Q", "mm",
    "distance needed from the centre to the line through two feet to keep the stool from tipping "
    "under that load and force",
    0.1, 3000, latex="a_Q",
)  # fmt: skip
steady_ratio = Quantity(
    "steady_ratio", "ζ_Q", "1", "ratio of the actual distance to the distance needed", 0, 1000,
    latex=r"\zeta_Q", said="share",
)  # fmt: skip

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())


# -- a load on the rim -----------------------------------------------------------------------------

DERIVATION = "reference/derivations/tipping.md"

_rim = q.top_diameter / 2
_arm, _mass, _g = tipping_arm, q.total_mass, q.STANDARD_GRAVITY
# Of the radius: where the load stands no farther than this beyond the line, it would have to be a
# thousand times the weight of the piece, which is no answer to anybody.
_ON_THE_LINE = sp.Rational(1, 1000)
_IN_WORDS = {3: "half a foot radius", 4: "a foot radius over √2"}


def beyond_line(how_far: sp.Expr, where: str, otherwise: str) -> Limit:
    """The limit that a load stands beyond the line through two feet, and tips the piece at all.

    how_far    the load stands beyond the line
    where      what stands or reaches there, with its verb
    otherwise  the rest of the sentence: which line it is, and what follows where it does not
    """
    return Limit(
        how_far - _rim * _ON_THE_LINE,
        f"{where} beyond the line{otherwise}",
        otherwise="leave out",
    )


_RIM_REACHES = beyond_line(
    _rim - _arm,
    "the rim reaches",
    " through two feet; otherwise no load on the rim can lift a foot",
)


def tipping(feet: int, checks: tuple[Check, ...] = ()) -> Relation:
    """Return the tipping relation for 3 or 4 feet evenly spaced on a circle."""
    line = q.foot_radius * sp.cos(sp.pi / feet)
    return Relation(
        name="tipping",
        equation=equal(
            q.tipping_load * (_rim - line),
            q.total_mass * q.STANDARD_GRAVITY * line,
        ),
        meaning="The piece tips over the line through two feet when the moment of the load beyond "
        "the line exceeds the moment of the weight on this side of it.",
        why=f"In plan, the line is {_IN_WORDS[feet]} from the centre, and the weight acts at the "
        "centre. The load is vertical and acts on the rim midway between the two feet, which is "
        "the worst place for it.",
        source=derived(DERIVATION),
        limits=(
            beyond_line(
                _rim - line,
                "the rim reaches",
                " through two feet; otherwise no vertical load on the rim can lift a foot",
            ),
        ),
        checks=checks,
    )


TIPPING = tipping(
    3,
    checks=(
        Check(
            {"total_mass": "18.42 kg", "top_diameter": "900 mm", "foot_radius": "395.832 mm"},
            {"tipping_load": "141.8 N"},
            derived(DERIVATION, "notches up"),
        ),
        Check(
            {"total_mass": "18.42 kg", "top_diameter": "900 mm", "foot_radius": "369.749 mm"},
            {"tipping_load": "126.0 N"},
            derived(DERIVATION, "notches down"),
        ),
    ),
)


# -- the centre of mass, and slopes of the floor ---------------------------------------------------

_deep, _wide = q.post_section, q.post_width
_n, _m, _climb = q.bearing_rise, q.side_rise, sp.cos(q.splay)
_low, _high, _rise = q.foot_flat_depth, q.head_flat_depth, q.base_height
_waist = q.foot_arm * _climb + (_deep * _n + _wide * _m) / 2 - _low

BASE_CENTRE = Relation(
    name="height of the base's centre of mass",
    equation=equal(
        (base_centre - q.pad_projection) * q.post_volume,
        _deep * _wide * q.post_length * (_rise + _high - _low) / 2
        - q.notch_volume * _waist
        + (_low**4 / 4 - _high**3 * (_rise + _high / 4)) / (6 * _climb * _n * _m),
    ),
    meaning="The centre of the blank, shifted slightly by what is cut away: half the height of the "
    "base if the waist is at mid-height and both flats are alike.",
    why="A whole blank balances at its centre, the wood cut from the notch at the waist, and each "
    "corner cut off, a pyramid, at a quarter of its depth beyond its flat. The waist is exact for "
    "square posts at the square crossing and for two notches. Elsewhere the error is the notch's "
    "share of the post, a few hundredths, times a few millimetres.",
    source=derived(DERIVATION, "where the mass is"),
    checks=(
        Check(
            {
                "post_section": "64 mm", "post_width": "64 mm", "post_length": "1000 mm",
                "splay": "54.735610 deg", "bearing_rise": "0.5773503", "side_rise": "0.5773503",
                "foot_arm": "500 mm", "foot_flat_depth": "10 mm", "head_flat_depth": "10 mm",
                "base_height": "631.251 mm", "pad_projection": "3 mm",
                "notch_volume": "131072 mm^3", "post_volume": "3963195.95 mm^3",
            },
            {"base_centre": "318.63 mm"},
            derived(DERIVATION, "by symmetry, half of 631.251 on pads of 3"),
        ),
    ),
)  # fmt: skip


def centre(whole: Quantity) -> Relation:
    """Return the height of the centre of mass of the piece."""
    return Relation(
        name="height of the centre of mass",
        equation=equal(
            _mass * mass_height,
            q.top_mass * (whole - q.top_thickness / 2)
            + q.base_mass * base_centre,
        ),
        meaning="Top and base balance between their own centres of mass, nearer the heavier one.",
        why="Take moments of mass about the floor. By threefold symmetry the centre of mass is on "
        "the centre line.",
        source=derived(DERIVATION, "where the mass is"),
        checks=(
            Check(
                {
                    "top_mass": "6 kg", "base_mass": "4 kg", "total_mass": "10 kg",
                    whole.name: "735 mm", "top_thickness": "30 mm", "base_centre": "350 mm",
                },
                {"mass_height": "572 mm"},
                derived(DERIVATION, "where the mass is"),
            ),
        ),
    )  # fmt: skip


SLOPE = Relation(
    name="tipping slope",
    equation=equal(sp.tan(tipping_slope) * mass_height, _arm),
    meaning="On a sloping floor, the piece tips once its centre of mass is vertically above the "
    "line through the two lower feet.",
    why="The tangent of the slope is the arm divided by the height. The floor is taken to slope "
    "straight down towards the line.",
    source=derived(DERIVATION, "slopes"),
    checks=(
        Check(
            {"tipping_arm": "197.916 mm", "mass_height": "500 mm"},
            {"tipping_slope": "21.60 deg"},
            derived(DERIVATION, "slopes"),
        ),
    ),
)

LOADED_SLOPE = Relation(
    name="tipping slope of the loaded piece",
    equation=equal(
        sp.tan(loaded_slope)
        * (
            _mass * mass_height
            + placed_mass * (q.table_height + placed_height)
        ),
        _mass * _arm + placed_mass * (_arm - placed_reach),
    ),
    meaning="The piece and its load tip together, with their centre of mass higher up.",
    why="The tangent of the slope is the sum of the moments of mass about the line divided by that "
    "about the floor. The load is assumed not to slide or topple first.",
    source=derived(DERIVATION, "slopes"),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "tipping_arm": "197.916 mm", "mass_height": "500 mm",
                "placed_mass": "10 kg", "placed_reach": "0 mm", "table_height": "735 mm",
                "placed_height": "100 mm",
            },
            {"loaded_slope": "17.76 deg"},
            derived(DERIVATION, "slopes"),
        ),
    ),
)  # fmt: skip


# -- other loads, and pushes -----------------------------------------------------------------------

ISO_7172 = published("ISO 7172:1988, Furniture: tables: determination of stability", "clause 5")
EN_1022 = quoted("EN 1022", "a copy of the test")

CONSTANTS: tuple[Constant, ...] = ()

# --- Loads in tests and in daily use -------------------------------------------------------


def line(feet: int) -> Relation:
    """Return the distance of the tipping line from the centre, for 3 or 4 evenly spaced feet."""
    example = {3: "197.916 mm", 4: "279.895 mm"}[feet]
    return Relation(
        name="line through two feet",
        equation=equal(_arm, q.foot_radius * sp.cos(sp.pi / feet)),
        meaning="The distance from the centre to the line over which the piece tips.",
        why="Two neighbouring feet and the centre form an isosceles triangle. The line is its "
        "base, and the cosine of half the angle at the centre gives the distance.",
        source=derived(DERIVATION, "the line through two feet"),
        checks=(
            Check(
                {"foot_radius": "395.832 mm"},
                {"tipping_arm": example},
                derived(DERIVATION, "the line through two feet"),
            ),
        ),
    )


SHARE = Relation(
    name="stability ratio",
    equation=equal(
        stability_ratio * wanted_tipping_load * (_rim - _arm), _mass * _g * _arm
    ),
    meaning="The stability ratio is the tipping load divided by the required load; at 1 or more it "
    "is enough.",
    why="It is the balance of a load on the rim, with the tipping load written as a multiple of "
    "the required one.",
    source=derived(DERIVATION, "the wanted load"),
    limits=(_RIM_REACHES,),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "tipping_arm": "197.916 mm",
                "wanted_tipping_load": "200 N",
            },
            {"stability_ratio": "0.709"},
            derived(DERIVATION, "the wanted load"),
        ),
    ),
)  # fmt: skip

INSET = Relation(
    name="tipping by a load set in from the rim",
    equation=equal(
        inset_tipping_load * (_rim - load_inset - _arm), _mass * _g * _arm
    ),
    meaning="A load set in from the rim has a shorter arm, so it takes more of it to tip the "
    "piece.",
    why="It is the balance of moments about the line through two feet, with the inset subtracted "
    "from the radius. A furniture test raises such a load until a foot lifts.",
    source=derived(DERIVATION, "set in from the rim"),
    limits=(
        beyond_line(
            _rim - load_inset - _arm,
            "the load stands",
            " through two feet; otherwise no load there can lift a foot",
        ),
    ),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "tipping_arm": "197.916 mm",
                "load_inset": "50 mm",
            },
            {"inset_tipping_load": "176.9 N"},
            derived(DERIVATION, "set in from the rim"),
        ),
    ),
)  # fmt: skip

LOADED = Relation(
    name="tipping with a load on the table",
    equation=equal(
        loaded_tipping_load * (_rim - _arm),
        _mass * _g * _arm + placed_mass * _g * (_arm - placed_reach),
    ),
    meaning="A load at the centre or on the far side helps to hold the piece down; a load beyond "
    "the line helps to tip it.",
    why="The arm of its weight is the distance from where it stands to the line. Other edges have "
    "different arms: check each in turn.",
    source=derived(DERIVATION, "with a load on the table"),
    limits=(_RIM_REACHES,),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "tipping_arm": "197.916 mm",
                "placed_mass": "10 kg", "placed_reach": "0 mm",
            },
            {"loaded_tipping_load": "218.8 N"},
            derived(DERIVATION, "10 kg at the centre"),
        ),
    ),
)  # fmt: skip

SITTER = Relation(
    name="counterweight for a sitter on the rim",
    equation=equal(
        edge_sitter_mass * (_rim - _arm), (_mass + counter_mass) * _arm
    ),
    meaning="A person sitting on the rim tips the piece unless this much more mass stands at its "
    "centre.",
    why="Sitter and counterweight balance about the line; gravity acts on both and cancels. Legs "
    "hanging outside the rim, or sitting down hard, make it worse.",
    source=derived(DERIVATION, "somebody on the rim"),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "top_diameter": "900 mm", "tipping_arm": "197.916 mm",
                "edge_sitter_mass": "110 kg",
            },
            {"counter_mass": "121.7 kg"},
            derived(DERIVATION, "somebody on the rim"),
        ),
    ),
)  # fmt: skip


def push(whole: Quantity) -> Relation:
    """Return the horizontal push on the empty piece; `whole` is table_height or seat_height."""
    return Relation(
        name="tipping by a push",
        equation=equal(tipping_push * whole, _mass * _g * _arm),
        meaning="A push at the rim turns the piece about two feet, with its height as the arm.",
        why="The push is square to the line through two feet, the worst direction. Straight "
        "towards a foot, it takes twice the push with three feet. On a slippery floor, the piece "
        "slides first.",
        source=derived(DERIVATION, "a push"),
        checks=(
            Check(
                {"total_mass": "18.42 kg", "tipping_arm": "197.916 mm", whole.name: "735 mm"},
                {"tipping_push": "48.6 N"},
                derived(DERIVATION, "a push"),
            ),
        ),
    )


STEADY_ARM = Relation(
    name="tipping arm needed for a leaning sitter",
    equation=equal(
        steady_arm * (_mass * _g + seat_load),
        seat_push * q.seat_height
        + seat_load * (_rim - seat_load_inset),
    ),
    meaning="The line through two feet has to lie far enough out that a sitter near the edge, "
    "pushing outward, does not tip the stool over it.",
    why="The weights of stool and sitter hold it down, with the distance to the line as their arm. "
    "The push turns it over, with the height as its arm. The line is just far enough out when both "
    "balance.",
    source=derived(DERIVATION, "a stool and its sitter"),
    checks=(
        Check(
            {
                "total_mass": "5 kg", "top_diameter": "340 mm", "seat_height": "460 mm",
                "seat_load": "600 N", "seat_load_inset": "60 mm", "seat_push": "20 N",
            },
            {"steady_arm": "115.9 mm"},
            derived(DERIVATION, "a stool and its sitter"),
        ),
    ),
)  # fmt: skip

STEADY_RATIO = Relation(
    name="stability ratio under a leaning sitter",
    equation=equal(_arm, steady_ratio * steady_arm),
    meaning="At 1 or more, the stool stays on its feet under that sitter.",
    why="The ratio shows at a glance whether the feet stand wide enough.",
    source=derived(DERIVATION, "a stool and its sitter"),
    checks=(
        Check(
            {"tipping_arm": "110 mm", "steady_arm": "115.9 mm"},
            {"steady_ratio": "0.949"},
            derived(DERIVATION, "a stool and its sitter"),
        ),
    ),
)


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the tipping relations of a "table" or a "stool" on three feet."""
    if is_seat(kind):
        high = q.seat_height
        return (
            line(3), SHARE, push(high), STEADY_ARM, STEADY_RATIO, BASE_CENTRE, centre(high), SLOPE,
        )  # fmt: skip
    high = q.table_height
    return (
        line(3), SHARE, INSET, push(high), LOADED, SITTER, BASE_CENTRE, centre(high), SLOPE,
        LOADED_SLOPE,
    )  # fmt: skip


# --- Assumptions and checks -----------------------------------------------------------------

_MM = sp.Rational(1, 1000)

ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        wanted_tipping_load, 200,
        "A hand pressed down on the rim applies this much, both hands about twice as much; give "
        "another value if you want more or less.",
        common_practice("our own choice, 45 lbf"), usual=(10, 5000),
    ),
    assume(
        load_inset, 50 * _MM,
        "The position of the load in a test of table stability: 50 mm from the edge.",
        ISO_7172, usual=(0, 200),
    ),
    assume(placed_mass, 10, "A table laid for a meal.", common_practice("our own choice"),
           usual=(0, 150)),
    assume(
        placed_reach, 0, "The load is spread evenly, so its centre is that of the table.",
        common_practice(),
    ),
    assume(
        placed_height, 100 * _MM, "Dishes and glasses, not a lamp or a vase.",
        common_practice("our own choice"), usual=(0, 1000),
    ),
    assume(
        edge_sitter_mass, 110,
        "The mass of the user for whom seats are tested.",
        published("EN 1022:2018, Furniture: seating: determination of stability", "scope"),
        usual=(15, 200),
    ),
    assume(seat_load, 600, "The load in a stability test near the edge of a seat.", EN_1022,
           usual=(100, 2000)),
    assume(seat_load_inset, 60 * _MM, "The position of the load in that test.", EN_1022,
           usual=(0, 200)),
    assume(seat_push, 20, "The horizontal force in that test.", EN_1022, usual=(0, 200)),
)  # fmt: skip

WANTED = Requirement(
    id="tipping_wanted",
    name="tipping load required",
    quantity="stability_ratio",
    when_given="wanted_tipping_load",
    source=common_practice(
        "the wanted load is the maker's own; 200 N is taken where none is given"
    ),
    good=(1, None),
    tolerable=(0.5, None),
    too_low="The piece tips under less than the required load on the rim (wanted_tipping_load; 200 "
    "N or 45 lbf if none is given).",
    mend_low="Make the top smaller, set the feet wider, or make the piece heavier, preferably low "
    "down.",
    care="Until then, keep children from hanging on the rim and do not put a glass top on it. The "
    "check compares two numbers and is not a test: for public use, follow your local code.",
    fine="The rim takes the required load (wanted_tipping_load). Even so, let nobody sit or stand "
    "on it and keep children from climbing on it, above all with a glass top. The check compares "
    "two numbers and is not a test: for public use, follow your local code.",
)

LEANING_SITTER = Requirement(
    id="sitter_leaning",
    name="tipping under a leaning sitter",
    quantity="steady_ratio",
    source=EN_1022,
    good=(1, None),
    tolerable=(0.9, None),
    too_low="A sitter ({seat_load}) {seat_load_inset} inside the edge who also pushes outward "
    "({seat_push}) tips it.",
    mend_low="Set the feet wider, or make the seat smaller or lower: the line through two feet has "
    "to lie {steady_arm} from the centre.",
    care="Let nobody stand on it, children least of all. Have a stool for anyone but yourself "
    "tested to your local code.",
    fine="It stays on its feet under a load of {seat_load}, {seat_load_inset} inside the edge, and "
    "an outward force of {seat_push}. This is calculated for a rigid stool and is not a test. Let "
    "nobody stand on it, and have a seat for children or the public tested to your local code.",
)

REQUIREMENTS: tuple[Requirement, ...] = (WANTED, LEANING_SITTER)
