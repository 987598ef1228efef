"""Loads that tip the piece, other than a hand on the rim, and what holds it down.

Each relation is a balance of moments about the line through two feet. The line is taken through the
centres of the feet, which is on the safe side: a rigid pad tips over its outer edge, farther out
(`tablekit/relations/tipping_round.py`). Proofs: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published, quoted
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat
from tablekit.relations.tipping import ON_THE_LINE
from tablekit.relations.tipping_quantities import QUANTITIES as QUANTITIES
from tablekit.relations.tipping_quantities import (
    counter_mass,
    edge_sitter_mass,
    inset_tipping_load,
    load_inset,
    loaded_tipping_load,
    placed_height,
    placed_mass,
    placed_reach,
    seat_load,
    seat_load_inset,
    seat_push,
    stability_ratio,
    steady_arm,
    steady_ratio,
    tipping_arm,
    tipping_push,
    wanted_tipping_load,
)
from tablekit.relations.tipping_slopes import BASE_CENTRE, LOADED_SLOPE, SLOPE, centre

DERIVATION = "reference/derivations/tipping.md"
ISO_7172 = published("ISO 7172:1988, Furniture: tables: determination of stability", "clause 5")
EN_1022 = quoted("EN 1022", "a copy of the test")

CONSTANTS: tuple[Constant, ...] = ()

# --- Loads in tests and in daily use -------------------------------------------------------

_arm, _mass, _g = tipping_arm, q.total_mass, q.STANDARD_GRAVITY
_rim = q.top_diameter / 2
_OUTSIDE = "{} beyond the line through two feet; otherwise {}"


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
    limits=(
        Limit(
            _rim * (1 - ON_THE_LINE) - _arm,
            _OUTSIDE.format("the rim reaches", "no load on the rim can lift a foot"),
            otherwise="leave out",
        ),
    ),
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
        Limit(
            _rim * (1 - ON_THE_LINE) - load_inset - _arm,
            _OUTSIDE.format("the load stands", "no load there can lift a foot"),
            otherwise="leave out",
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
    limits=(
        Limit(
            _rim * (1 - ON_THE_LINE) - _arm,
            _OUTSIDE.format("the rim reaches", "no load on the rim can lift a foot"),
            otherwise="leave out",
        ),
    ),
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
