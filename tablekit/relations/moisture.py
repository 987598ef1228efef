"""Equilibrium moisture of wood in air of a given temperature and humidity.

The published equation for the equilibrium moisture content, once for each of three airs: the
driest and the dampest that the piece will live in, and that of the shop where it is made. Its
constants are in `reference/moisture_equation.csv`, the values it is compared with in
`reference/moisture_table.csv`; `reference/derivations/moisture.md` says how far to trust it.
"""

from __future__ import annotations

from dataclasses import dataclass

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, published
from tablekit.engine.relation import Assumption, Check, Relation, assume, equal

TABLE = published("Wood Handbook, FPL-GTR-190", "table 4-2")
EQUATION = published(
    "Wood Handbook, FPL-GTR-190 and FPL-GTR-282",
    "equation 4-5 (its words read, its constants quoted; it comes within 0.06 of table 4-2)",
)

# Let a formula print its numbers as the book does, and still balance.
ONE_PERCENT = Constant(
    "one_percent", "%", 1.0, "%", "one hundredth", published("ISO 80000-1"), latex=r"\%"
)
CELSIUS = Constant(
    "degree_celsius", "°C", 1.0, "1", "marks a number read on the Celsius scale",
    published("ISO 80000-5"), latex=r"{}^{\circ}\mathrm{C}",
)  # fmt: skip
CONSTANTS = (ONE_PERCENT, CELSIUS)

# Constant, linear and square terms in the temperature in °C; also in the CSV, and tested against
# it.
POLYNOMIALS = {
    "W": ("349", "1.29", "0.0135"),
    "K": ("0.805", "0.000736", "-0.00000273"),
    "K1": ("6.27", "-0.00938", "-0.000303"),
    "K2": ("1.91", "0.0407", "-0.000293"),
}
_PART = {
    "W": "dry wood for each site that binds water, as a relative molecular mass",
    "K": "equilibrium between water dissolved in the wood and water in the air",
    "K1": "equilibrium between the wood's first bound water and its dissolved water",
    "K2": "equilibrium between the wood's second bound water and its dissolved water",
}
_RANGE = {"W": (340, 490), "K": (0.8, 0.85), "K1": (4, 6.4), "K2": (1.8, 3.4)}
_PART_NAME = {"W": "binding_mass", "K": "dissolving", "K1": "first_binding", "K2": "second_binding"}


@dataclass(frozen=True)
class AirQuantities:
    """One air: its temperature and humidity, the moisture of wood in it, and the four parameters
    of the equation by their letters.
    """

    name: str
    temperature: Quantity
    humidity: Quantity
    moisture: Quantity
    parameters: dict[str, Quantity]

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """All its quantities, the parameters last."""
        return (self.temperature, self.humidity, self.moisture, *self.parameters.values())


def _air(name: str, mark: str, words: str) -> AirQuantities:
    """`mark` distinguishes its letters from the other airs'; `words` names the air."""

    def quantity(
        part: str, letter: str, unit: str, meaning: str, low: float, high: float
    ) -> Quantity:
        tex = f"{letter[0]}_{{{letter[1:]}{mark}}}"
        # The equation is fitted to the temperature in °C.
        return Quantity(
            f"{name}_{part}", f"{letter}_{mark}", unit, meaning, low, high,
            latex=tex, reading=unit == "degC",
        )  # fmt: skip

    # The temperatures and humidities of table 4-2 in which people live.
    return AirQuantities(
        name,
        quantity("temperature", "T", "degC", f"temperature of {words}", -2, 61),
        quantity("humidity", "h", "%", f"relative humidity of {words}", 5, 95),
        quantity("moisture", "M", "%", f"equilibrium moisture of wood in {words}", 0.5, 26),
        {
            letter: quantity(
                _PART_NAME[letter], letter, "1", f"{meaning}, in {words}", *_RANGE[letter]
            )
            for letter, meaning in _PART.items()
        },
    )


DRIEST = _air("driest", "d", "the driest air the piece will live in")
DAMPEST = _air("dampest", "w", "the dampest air the piece will live in")
SHOP = _air("shop", "s", "the air of the shop")
AIRS = (DRIEST, DAMPEST, SHOP)

# Worked by hand at 21 °C from the constants as printed: 349 + 1.29·21 + 0.0135·21² and so on.
_AT_21 = {"W": "382.0435", "K": "0.81925207", "K1": "5.939397", "K2": "2.635487"}


def _parameter(air: AirQuantities, letter: str) -> Relation:
    warmth = air.temperature / CELSIUS
    constant, linear, square = (sp.Rational(text) for text in POLYNOMIALS[letter])
    found = air.parameters[letter]
    return Relation(
        name=f"{letter} for the {air.name} air",
        equation=equal(
            found, _float(constant) + _float(linear) * warmth + _float(square) * warmth**2
        ),
        meaning=f"{letter} of the moisture equation, at the temperature of the air.",
        why="Fitted to the measured sorption of wood at many temperatures; no theory fixes it.",
        source=EQUATION,
        checks=(Check({air.temperature.name: "21 degC"}, {found.name: _AT_21[letter]}, EQUATION),),
    )


def _float(number: sp.Rational) -> sp.Expr:
    # Printed as in the book, 0.805 rather than 161/200.
    return sp.Integer(number) if number.is_Integer else sp.Float(str(float(number)))


def _equilibrium(air: AirQuantities) -> Relation:
    weight, dissolving, first, second = (air.parameters[key] for key in _PART)
    wet = dissolving * air.humidity
    bound = (first * wet + 2 * first * second * wet**2) / (
        1 + first * wet + first * second * wet**2
    )
    return Relation(
        name=f"moisture of wood in the {air.name} air",
        equation=equal(air.moisture, 1800 * ONE_PERCENT / weight * (wet / (1 - wet) + bound)),
        meaning="Left long enough in one air, wood of every species comes to the same moisture.",
        why="Water dissolves in the wood (the first part) and is bound to it in two layers (the "
        "second). The air has to stay as it is: a thick top follows it only over weeks and "
        "months, and a finish slows it down further but does not stop it.",
        source=EQUATION,
        checks=_table_checks(air),
    )


def _table_checks(air: AirQuantities) -> tuple[Check, ...]:
    """Values of table 4-2 at 70 °F; the four parameters are those of the equations above."""
    # Worked from the printed constants at 70 °F = 21.1111 °C, to seven figures.
    parameters = {"W": "382.2500", "K": "0.8193211", "K1": "5.936937", "K2": "2.638638"}
    given = {air.parameters[key].name: text for key, text in parameters.items()}
    # At 30, 60 and 85 % the table itself is up to 0.054 off the equation it is computed from.
    return tuple(
        Check({**given, air.humidity.name: humidity}, {air.moisture.name: printed}, TABLE)
        for humidity, printed in (("5 %", "1.3 %"), ("40 %", "7.7 %"), ("65 %", "12.0 %"))
    )


def relations() -> tuple[Relation, ...]:
    """The equation and its parameters for every air."""
    return tuple(
        relation
        for air in AIRS
        for relation in (*(_parameter(air, letter) for letter in _PART), _equilibrium(air))
    )


QUANTITIES = tuple(quantity for air in AIRS for quantity in air.quantities)


def _assumed(
    air: AirQuantities, temperature: int, humidity: int, why: str
) -> tuple[Assumption, Assumption]:
    source = common_practice("hang a thermometer and a hygrometer in the room for a year")
    return (
        assume(air.temperature, temperature, why, source, usual=(0, 45)),
        assume(
            air.humidity, sp.Rational(humidity, 100), why, source,
            usual=(10, 90), stated_by=(air.moisture.name,),
        ),
    )  # fmt: skip


# Firmest first: a measured moisture settles the humidity of its air, not the temperature.
ASSUMPTIONS: tuple[Assumption, ...] = (
    *_assumed(SHOP, 18, 50, "A workshop with a little heating, kept dry."),
    *_assumed(DRIEST, 21, 30, "A heated room in winter; in hard frost it may be drier still."),
    *_assumed(DAMPEST, 24, 65, "A room in a damp summer without air conditioning."),
)
