"""How much a top shrinks and swells across its grain, and what its fastenings must allow.

Equation 13-2 of the Wood Handbook holds while the wood's moisture stays between 6 and 14 %,
equation 13-3 outside that range; a switch in the formulas chooses between them.
`reference/derivations/movement.md` links the two.

One strip of a top made up of boards sawn in different ways moves by a relation of its own.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import (
    Quantity,
    Source,
    common_practice,
    derived,
    from_memory,
    published,
    quoted,
)
from tablekit.engine.relation import Assumption, Check, Limit, Relation, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations.boards import strip_width
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT, SHOP

DERIVATION = "reference/derivations/movement.md"

HANDBOOK = published("Wood Handbook, FPL-GTR-190", "equation 13-2")
OUTSIDE = from_memory(
    "Wood Handbook, FPL-GTR-190",
    "equation 13-3: what it is for was read, its form recalled and derived from its premise in "
    + DERIVATION,
)
EXAMPLE = published(
    "Wood Handbook, FPL-GTR-190",
    "chapter 13, example of a white fir board (answer read; C_T recalled)",
)
FLOORING = quoted("strip flooring, from Agriculture Handbook 72, by flooring layers")
BOTH_TABLES = published(
    "Wood Handbook, FPL-GTR-190", "tables 4-3 and 13-5: black walnut, white ash; American beech"
)

movement_coefficient = Quantity(
    "movement_coefficient",
    "C",
    "1",
    "change of width across the grain for 1 % of moisture, as a share of the width",
    0.0003,
    0.006,
)
total_shrinkage = Quantity(
    "total_shrinkage",
    "S",
    "%",
    "shrinkage across the grain from green to ovendry, as a share of the green width",
    0.5,
    17,
)
season_holds = Quantity(
    "season_holds",
    "ι",
    "1",
    "1 if the driest and the dampest moisture both lie between 6 and 14 %, else 0",
    0,
    1,
    latex=r"\iota",
    whole=True,
)
shop_holds = Quantity(
    "shop_holds",
    "ι_s",
    "1",
    "1 if the driest, the dampest and the shop's moisture all lie between 6 and 14 %, else 0",
    0,
    1,
    latex=r"\iota_s",
    whole=True,
)
top_factor = Quantity(
    "top_factor", "k_m", "1",
    "movement of the whole top over that from its one coefficient; 1 where all boards are alike",
    0.05, 20, latex="k_m",
)  # fmt: skip
season_rate = Quantity(
    "season_rate",
    "C_d",
    "1",
    "change of width for 1 % of moisture, as a share of the width in the driest air",
    0.0003,
    0.007,
    latex="C_d",
)
shop_rate = Quantity(
    "shop_rate",
    "C_s",
    "1",
    "change of width for 1 % of moisture, as a share of the width in the shop",
    0.0003,
    0.007,
    latex="C_s",
)
top_movement = Quantity(
    "top_movement",
    "ΔD",
    "mm",
    "seasonal change of the top's width across the grain, from the driest air to the dampest",
    0,
    200,
    latex=r"\Delta D",
)
winter_shrinkage = Quantity(
    "winter_shrinkage",
    "ΔD_d",
    "mm",
    "loss of width across the grain from the shop's air to the driest",
    -100,
    200,
    latex=r"\Delta D_d",
)
summer_swelling = Quantity(
    "summer_swelling",
    "ΔD_w",
    "mm",
    "gain of width across the grain from the shop's air to the dampest",
    -100,
    200,
    latex=r"\Delta D_w",
)
narrowest_width = Quantity(
    "narrowest_width",
    "D_d",
    "mm",
    "width of the top across the grain in the driest air",
    50,
    3200,
    latex="D_d",
)
widest_width = Quantity(
    "widest_width",
    "D_w",
    "mm",
    "width of the top across the grain in the dampest air",
    50,
    3200,
    latex="D_w",
)
lengthwise_movement = Quantity(
    "lengthwise_movement",
    "ΔD_l",
    "mm",
    "greatest seasonal change of the top's length along the grain, in sound straight-grained wood",
    -20,
    20,
    latex=r"\Delta D_l",
)
QUANTITIES = (
    movement_coefficient, top_factor, total_shrinkage, season_holds, shop_holds, season_rate,
    shop_rate,
    top_movement, winter_shrinkage, summer_swelling, narrowest_width, widest_width,
    lengthwise_movement,
)  # fmt: skip

_width, _percent = q.top_diameter, ONE_PERCENT
_dry, _wet = DRIEST.moisture, DAMPEST.moisture


def _eighths(moisture: Quantity) -> sp.Expr:
    """0 between 6 and 14 %, another whole number outside: steps of 8 % from 6 %."""
    return sp.floor((moisture / _percent - 6) / 8, evaluate=False)


def _holds(flag: Quantity, words: str, *moistures: Quantity, checks: tuple[Check, ...]) -> Relation:
    """1 while all the moistures lie between 6 and 14 %, else 0."""
    out = sp.Add(*(_eighths(moisture) ** 2 for moisture in moistures))
    return Relation(
        name=f"validity of the coefficient {words}",
        equation=equal(flag, sp.floor(1 / (1 + out), evaluate=False)),
        meaning="It is 1 if all moistures lie between 6 and 14 %, else 0.",
        why="The change coefficients are read off the straight part of the shrinkage curve, which "
        "the handbook takes to run from 6 to 14 %. Each inner bracket is 0 only in that range.",
        source=HANDBOOK,
        checks=checks,
    )


def _held(flag: Quantity, *moistures: str) -> Check:
    """Driest, dampest and shop's moisture in per cent, as many as apply, then 1 or 0."""
    *percents, answer = moistures
    airs = ("driest_moisture", "dampest_moisture", "shop_moisture")
    return Check(
        dict(zip(airs, (f"{p} %" for p in percents), strict=False)), {flag.name: answer}, HANDBOOK
    )


SEASON_HOLDS = _holds(
    season_holds, "over the seasons", DRIEST.moisture, DAMPEST.moisture,
    checks=tuple(
        _held(season_holds, *case)
        for case in (("6", "13.9", "1"), ("5.9", "12", "0"), ("7", "14.1", "0"), ("1", "25", "0"))
    ),
)  # fmt: skip
SHOP_HOLDS = _holds(
    shop_holds, "from the shop's air", DRIEST.moisture, DAMPEST.moisture, SHOP.moisture,
    checks=(_held(shop_holds, "7", "12", "9", "1"), _held(shop_holds, "7", "12", "16", "0")),
)  # fmt: skip

SHRINKAGE_FROM_COEFFICIENT = Relation(
    name="shrinkage and coefficient",
    equation=equal(movement_coefficient * (30 - 20 * total_shrinkage), total_shrinkage),
    meaning="The coefficient is the slope of the total shrinkage, taken at 10 % moisture.",
    why="Shrinkage is spread evenly over the moisture from 30 % down to 0, and the coefficient "
    "refers to the width of the wood at 10 %.",
    source=derived(DERIVATION, "from one equation to the other"),
    checks=(
        Check({"total_shrinkage": "7.8 %"}, {"movement_coefficient": "0.00274"}, BOTH_TABLES),
        Check({"total_shrinkage": "11.9 %"}, {"movement_coefficient": "0.00431"}, BOTH_TABLES),
    ),
)


def _rate(rate: Quantity, flag: Quantity, start: Quantity, words: str) -> Relation:
    given = {"movement_coefficient": "0.00357143", start.name: "5 %"}
    return Relation(
        name=f"change of width for one per cent of moisture {words}",
        equation=equal(
            rate * (1 / movement_coefficient + (1 - flag) * (start / _percent - 10)),
            sp.Integer(1),
        ),
        meaning="The tabulated coefficient where it holds; elsewhere the change follows from the "
        "total shrinkage, as a share of the width at the start.",
        why="Equation 13-3 spreads the total shrinkage evenly over the moisture below 30 %. The "
        "coefficient is the same slope as a share of the width at 10 %, so only the moisture at "
        "the start has to be put in. The true change may be about 5 % more.",
        source=OUTSIDE,
        checks=(
            Check({**given, flag.name: "1"}, {rate.name: "0.00357143"}, HANDBOOK),
            Check(
                {**given, flag.name: "0"},
                {rate.name: "0.0036364"},
                derived(DERIVATION, "worked example: 10 % in all, 1/275"),
            ),
        ),
    )


SEASON_RATE = _rate(season_rate, season_holds, DRIEST.moisture, "from the driest air")
SHOP_RATE = _rate(shop_rate, shop_holds, SHOP.moisture, "from the shop's air")


def _change(
    name: str, found: Quantity, rate: Quantity, start: Quantity, end: Quantity, meaning: str,
    *limits: Limit,
) -> Relation:  # fmt: skip
    def check(
        width: str, share: str, moistures: tuple[str, str], gain: str, source: Source,
        factor: str = "1",
    ) -> Check:  # fmt: skip
        given = {
            "top_diameter": width, "top_factor": factor, rate.name: share,
            start.name: moistures[0],
        }  # fmt: skip
        return Check({**given, end.name: moistures[1]}, {found.name: gain}, source)

    return Relation(
        name=name,
        equation=equal(
            found,
            _width * top_factor * rate * (end - start) / _percent,
        ),
        meaning=meaning,
        why="The width of wood follows its moisture in a straight line. Boards are seldom quite "
        "flat-sawn or quarter-sawn, so the flat-sawn coefficient gives slightly too much. Where "
        "boards differ, each moves by its own coefficient; the factor is their combined effect.",
        source=HANDBOOK,
        limits=limits,
        checks=(
            check("232 mm", "0.00245", ("8 %", "11 %"), "1.7 mm", EXAMPLE),
            check("5 in", "0.00129", ("6 %", "9 %"), "0.019 in", FLOORING),
            check(
                "500 mm",
                "0.00274",
                ("6 %", "12 %"),
                "6.645 mm",
                derived(DERIVATION, "boards that differ"),
                factor="0.8084",
            ),
        ),
    )


TOP_MOVEMENT = _change(
    "seasonal movement of the top",
    top_movement,
    season_rate,
    DRIEST.moisture,
    DAMPEST.moisture,
    "Gain in width across the grain from the driest to the dampest air.",
    Limit(_wet - _dry, "wood in the dampest air is at least as moist as in the driest"),
)
WINTER_SHRINKAGE = _change(
    "shrinkage from the shop to the driest air",
    winter_shrinkage,
    shop_rate,
    DRIEST.moisture,
    SHOP.moisture,
    "What a top made in the shop loses in the driest air; a gap held on both sides opens by as "
    "much.",
)
SUMMER_SWELLING = _change(
    "swelling from the shop to the dampest air",
    summer_swelling,
    shop_rate,
    SHOP.moisture,
    DAMPEST.moisture,
    "What a top made in the shop gains in the dampest air; leave a gap as wide for it.",
)

NARROWEST = Relation(
    name="width in the driest air",
    equation=equal(narrowest_width, _width - winter_shrinkage),
    meaning="A top that was cut round is an oval in the driest air; this is its short axis.",
    why="It shrinks only across the grain; along the grain it barely changes.",
    source=derived(DERIVATION, "the oval"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "winter_shrinkage": "4.5 mm"},
            {"narrowest_width": "895.5 mm"},
            derived(DERIVATION, "the oval"),
        ),
    ),
)
WIDEST = Relation(
    name="width in the dampest air",
    equation=equal(widest_width, _width + summer_swelling),
    meaning="In the dampest air the same top is an oval the other way; this is its long axis.",
    why="It swells only across the grain; along the grain it barely changes.",
    source=derived(DERIVATION, "the oval"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "summer_swelling": "5.5 mm"},
            {"widest_width": "905.5 mm"},
            derived(DERIVATION, "the oval"),
        ),
    ),
)
LENGTHWISE_MOVEMENT = Relation(
    name="movement along the grain",
    equation=equal(
        lengthwise_movement,
        _width
        * (DAMPEST.moisture - DRIEST.moisture)
        / (30 * _percent)
        * sp.Rational(2, 10)
        * _percent,
    ),
    meaning="Along the grain the same change of moisture moves the top very little.",
    why="From green, at 30 %, to ovendry it is 0.2 % at most, spread evenly; ten times as much in "
    "wood from the heart of the tree and in reaction wood.",
    source=derived(DERIVATION, "along the grain, from 0.2 % (Wood Handbook, page 4-5, quoted)"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "driest_moisture": "6 %", "dampest_moisture": "12 %"},
            {"lengthwise_movement": "0.36 mm"},
            derived(DERIVATION, "along the grain"),
        ),
    ),
)


RELATIONS = (
    SEASON_HOLDS, SHOP_HOLDS, SHRINKAGE_FROM_COEFFICIENT, SEASON_RATE, SHOP_RATE,
    TOP_MOVEMENT, WINTER_SHRINKAGE, SUMMER_SWELLING, NARROWEST, WIDEST, LENGTHWISE_MOVEMENT,
)  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Relations for the movement of the top, from the moisture of the wood in each air."""
    return RELATIONS


_MEDIAN: Source = published(
    "Wood Handbook, FPL-GTR-190",
    "table 13-5: the middle of the nineteen hardwoods in reference/movement.csv, flat-sawn",
)
COEFFICIENT = assume(
    movement_coefficient,
    sp.Rational(315, 100000),
    "A mid-range hardwood, flat-sawn; the most stable move two thirds as much, the least stable a "
    "third more.",
    _MEDIAN,
    first_to=(
        "top_movement",
        "winter_shrinkage",
        "summer_swelling",
        "total_shrinkage",
        "season_rate",
        "shop_rate",
        "narrowest_width",
        "widest_width",
        "plate_travel",
    ),
    usual=(0.0005, 0.0055),
    usual_source=common_practice("the woods of reference/movement.csv and somewhat beyond"),
)
ALIKE = assume(
    top_factor, 1,
    "Boards of the same wood and cut; where they differ, the factor follows from how they are "
    "laid.",
    derived(DERIVATION, "boards that differ"), usual=(0.1, 10),
)  # fmt: skip
ASSUMPTIONS: tuple[Assumption, ...] = (ALIKE, COEFFICIENT)


# -- one strip of several --------------------------------------------------------------------------

strip_movement = Quantity(
    "strip_movement", "Δb", "mm", "seasonal change of one strip's width", -50, 100
)
STRIP_CONSTANTS = (ONE_PERCENT,)
STRIP_GIVEN = (strip_width, movement_coefficient, season_holds, DRIEST.moisture, DAMPEST.moisture)

STRIP_MOVEMENT = Relation(
    name="movement of a strip",
    equation=equal(
        strip_movement,
        strip_width * (DAMPEST.moisture - DRIEST.moisture) / _percent
        / (
            1 / movement_coefficient
            + (1 - season_holds) * (DRIEST.moisture / _percent - 10)
        ),
    ),
    meaning="Each strip moves by its own coefficient, and the top moves by the sum of its strips.",
    why="Glued edge to edge, the strips are free across the grain and restrain each other only "
    "along it.",
    source=derived(DERIVATION, "boards of several cuts"),
    checks=(
        Check(
            {
                "strip_width": "300 mm", "movement_coefficient": "0.00274", "season_holds": "1",
                "driest_moisture": "6 %", "dampest_moisture": "12 %",
            },
            {"strip_movement": "4.932 mm"},
            derived(DERIVATION, "two strips"),
        ),
        Check(
            {
                "strip_width": "200 mm", "movement_coefficient": "0.00169", "season_holds": "1",
                "driest_moisture": "6 %", "dampest_moisture": "12 %",
            },
            {"strip_movement": "2.028 mm"},
            derived(DERIVATION, "two strips"),
        ),
    ),
)  # fmt: skip
