"""Rearranging: every branch, with sympy's own `solve` as an independent referee."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import sympy as sp
from scipy.optimize import brentq

from tablekit.engine.rearrange import rearrange
from tablekit.engine.relation import Relation
from tablekit.relations import bases, families, kinds, quantities
from tests.relations.evaluate import relations_of
from tests.together import each

x = sp.Symbol("x", positive=True)
free = sp.Symbol("free", real=True)
a, b, c = sp.symbols("a b c", positive=True)
HALF_TURN = (0.0, math.pi)
EQUATIONS = [
    (sp.Eq(a + x, b), x),
    (sp.Eq(a - x, b), x),
    (sp.Eq(a, b - c * x), x),
    (sp.Eq(a * x, b), x),
    (sp.Eq(a / x, b), x),
    (sp.Eq(a, b / (c + x)), x),
    (sp.Eq(x**2 + a**2, b**2), x),
    (sp.Eq(x**2 + a**2, b**2), free),
    (sp.Eq(free**2 + a, b), free),
    (sp.Eq(a * x**3, b), x),
    (sp.Eq((free - a) ** 3, b - c), free),
    (sp.Eq(1 / (free - a) ** 3, b - c), free),
    (sp.Eq(sp.sqrt(x), a), x),
    (sp.Eq(sp.sqrt(x + a) - b, c), x),
    (sp.Eq(x ** sp.Rational(3, 2), a), x),
    (sp.Eq(1 / x**2, a), x),
    (sp.Eq(a**x, b), x),
    (sp.Eq(sp.exp(a * x), 1 + b), x),
    (sp.Eq(sp.log(x / a), b), x),
    (sp.Eq(a * x + b, c - x), x),
    (sp.Eq(x * (a + b) + c * x, b), x),
    (sp.Eq(x**2 + a * x, b), x),
    (sp.Eq(a * x**2, b * x + c), x),
    (sp.Eq((x + a) ** 2, b + x**2), x),
    (sp.Eq(sp.sin(x), a / b), x),
    (sp.Eq(a * sp.cos(x), b), x),
    (sp.Eq(sp.tan(x), a / b), x),
    (sp.Eq(sp.sin(x) ** 2, a / b), x),
    (sp.Eq(sp.asin(a / x), b), x),
    (sp.Eq(sp.acos(x / a), b), x),
    (sp.Eq(sp.atan(x / a), b), x),
    (sp.Eq(sp.Abs(free - a), b), free),
]


def numbers_for(symbols: set[sp.Symbol], seed: int) -> dict[sp.Symbol, float]:
    random = np.random.default_rng(seed)
    return {s: float(random.uniform(0.2, 0.9)) for s in sorted(symbols, key=str)}


def real_values(forms: object, at: dict[sp.Symbol, float]) -> list[float]:
    found = []
    for form in forms or ():  # type: ignore[union-attr]
        value = complex(sp.N(form.subs(at)))
        if abs(value.imag) < 1e-12:
            found.append(value.real)
    return sorted(found)


@each(("equation", "unknown"), EQUATIONS, ids=lambda v: str(v), ordinary=16)
def test_the_same_answers_as_sympys_solve(equation: sp.Eq, unknown: sp.Symbol) -> None:
    if unknown not in equation.free_symbols:
        equation = equation.subs(x, unknown)
    forms = rearrange(equation, unknown, HALF_TURN if _angle(equation, unknown) else _ALL)
    assert forms is not None
    angle = _angle(equation, unknown)
    referee = () if angle else sp.solve(equation, unknown)
    tried = 0
    for seed in range(16):
        at = numbers_for(equation.free_symbols - {unknown}, seed)
        ours = [v for v in real_values(forms, at) if holds(equation, unknown, v, at)]
        theirs = [v for v in real_values(referee, at) if holds(equation, unknown, v, at)]
        if angle:  # sympy's solve gives only the principal values: look for them all instead
            theirs = crossings(equation, unknown, at)
            ours = [v for v in ours if 0 <= v <= math.pi]
        assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-12)
        tried += len(theirs)
    assert tried >= 5, "the referee had hardly anything to say"


_ALL = (-math.inf, math.inf)


def _angle(equation: sp.Eq, unknown: sp.Symbol) -> bool:
    turns = equation.atoms(sp.sin, sp.cos, sp.tan)
    return any(turn.has(unknown) for turn in turns)


def crossings(equation: sp.Eq, unknown: sp.Symbol, at: dict[sp.Symbol, float]) -> list[float]:
    """Where an equation of an angle closes within half a turn, by looking everywhere."""
    gap = sp.lambdify(unknown, (equation.lhs - equation.rhs).subs(at), "numpy")
    grid = np.linspace(0, math.pi, 2000)
    cells = np.nonzero(np.diff(np.sign(gap(grid))))[0]
    roots = [brentq(gap, grid[i], grid[i + 1], xtol=1e-15) for i in cells]
    return [v for v in roots if holds(equation, unknown, v, at)]


def holds(equation: sp.Eq, unknown: sp.Symbol, value: float, at: dict[sp.Symbol, float]) -> bool:
    if unknown.is_positive and value <= 0:
        return False
    gap = complex(sp.N((equation.lhs - equation.rhs).subs({**at, unknown: value})))
    return abs(gap) < 1e-9


@pytest.mark.parametrize(
    ("equation", "unknown"),
    [
        (sp.Eq(x + sp.sin(x), a), x),
        (sp.Eq(x**3 + x, a), x),
        (sp.Eq(x + sp.sqrt(x), a), x),
        (sp.Eq(sp.floor(x), a), x),
        (sp.Eq(sp.Min(x, a), b), x),
        (sp.Eq(x**x, a), x),
        (sp.Eq(x**b * x, a), x),
        (sp.Eq(a, b), x),
    ],
    ids=str,
)
def test_what_has_no_closed_form_is_left_to_the_numbers(
    equation: sp.Eq, unknown: sp.Symbol
) -> None:
    assert rearrange(equation, unknown) is None


RANGED = [
    # within, equation in the unknown `free`, how many branches can fall inside
    (HALF_TURN, sp.Eq(sp.sin(free), a), 2),
    ((0.0, math.pi / 2), sp.Eq(sp.sin(free), a), 1),
    ((math.pi / 2, math.pi), sp.Eq(sp.sin(free), a), 1),
    (HALF_TURN, sp.Eq(sp.cos(free), a), 1),
    ((-math.pi, math.pi), sp.Eq(sp.cos(free), a), 2),
    ((-1.5, 1.5), sp.Eq(sp.tan(free), a), 1),
    ((0.0, math.pi), sp.Eq(sp.tan(free), a), 2),
    ((0.0, 3.0), sp.Eq(sp.cos(2 * free), a), 2),
    ((-math.pi, math.pi), sp.Eq(sp.sin(free), a), 3),
    ((-math.pi, math.pi), sp.Eq(sp.tan(free), a), 3),
    ((0.0, 2 * math.pi), sp.Eq(sp.cos(free), a), 2),
    ((0.0, 2 * math.pi), sp.Eq(sp.sin(free), a), 3),
]


@each(("within", "equation", "most"), RANGED, ids=str)
def test_every_angle_in_range_is_a_branch(
    within: tuple[float, float], equation: sp.Eq, most: int
) -> None:
    """Put a random angle in; one of the branches must give it back."""
    forms = rearrange(equation, free, within)
    if forms == ():  # nothing in closed form: the numeric solver takes over
        return
    assert forms is not None and len(forms) <= most
    for true in np.random.default_rng(1).uniform(*within, 60):
        level = float(equation.lhs.subs(free, true))
        values = [complex(f.subs(a, level)) for f in forms]
        assert any(abs(v - true) < 1e-9 for v in values), (true, values)


def test_branches_that_no_number_can_reach_are_dropped() -> None:
    assert rearrange(sp.Eq(x**2, a), x) == (sp.sqrt(a),)
    # A lone one stays, so that the range of the unknown can say by how much it is missed.
    assert rearrange(sp.Eq(x + a, -b, evaluate=False), x) == (-a - b,)
    assert rearrange(sp.Eq(sp.sin(free), a), free, (0, math.pi / 2)) == (sp.asin(a),)


def test_a_small_root_of_a_quadratic_keeps_its_figures() -> None:
    """b² far above 4ac: the textbook formula alone would lose half the figures."""
    forms = rearrange(sp.Eq(a * x**2 + b * x, c), x)
    assert forms is not None
    at = {a: 1.0, b: 1e6, c: 1.0}
    numeric = [float(sp.lambdify([a, b, c], form, "math")(*at.values())) for form in forms]
    exact = 9.99999999999e-07  # mpmath: (-1e6 + sqrt(1e12 + 4)) / 2 to 12 figures
    assert min(abs(v / exact - 1) for v in numeric) < 1e-10


# -- the kit's own relations -------------------------------------------------------------------

FAMILIES = [(kind, way) for kind in kinds.KINDS for way in bases.WAYS_UP]
# One way up and one kind is enough for a relation that they share.
DISTINCT = {
    relation.equation: (relation.name, kind, way)
    for kind, way in reversed(FAMILIES)
    for relation in relations_of(kind, way)
}
PAIRS = [
    (name, unknown, kind, way)
    for name, kind, way in DISTINCT.values()
    for unknown in families.network(kind, way_up=way).unknowns_in(
        families.network(kind, way_up=way).statement(name)
    )
]


@cache
def designs(kind: str, way: str) -> tuple[dict[str, float], ...]:
    """Whole consistent designs, coherent SI, from random briefs."""
    network = families.network(kind, way_up=way)
    random = np.random.default_rng(5)
    found: list[dict[str, float]] = []
    program = network.plan(
        ["top_diameter", "post_section", "post_length", "splay", "axis_offset", "foot_flat"]
    ).program
    while len(found) < 8:
        section = random.uniform(0.04, 0.09)
        outcome = program.run({
            "top_diameter": random.uniform(0.5, 1.4),
            "post_section": section,
            "post_length": random.uniform(0.7, 1.4),
            "splay": math.radians(random.uniform(25, 70)),
            "axis_offset": section * random.uniform(0.35, 0.65),
            "foot_flat": section * random.uniform(0.2, 0.5),
        })  # fmt: skip
        if not outcome.problems and not outcome.left_out:
            found.append(outcome.values)
    return tuple(found)


@each(("name", "unknown", "kind", "way"), PAIRS)
def test_each_rearrangement_returns_the_value_that_was_put_in(
    name: str, unknown: str, kind: str, way: str
) -> None:
    network = families.network(kind, way_up=way)
    relation = network.statement(name)
    forms = network.rearranged(relation, unknown)
    if forms is None:
        assert (name, unknown) in WITHOUT_CLOSED_FORM
        return
    assert (name, unknown) not in WITHOUT_CLOSED_FORM
    inputs = [n for n in relation.symbols if n != unknown]
    if unknown in relation.inverse and relation.equation.has(sp.floor):
        return  # the least of many: refereed in tests/relations/test_declarations.py
    if (name, unknown) in SWITCHED_OFF:
        assert all(of["season_holds"] == of["shop_holds"] == 1 for of in designs(kind, way))
        return  # tests/relations/test_movement.py has it switched on
    symbols = {s.name: s for s in relation.equation.free_symbols}
    function = sp.lambdify([symbols[n] for n in inputs], forms, "mpmath")
    for values in designs(kind, way):
        known = {**{c.name: c.si for c in network.constants.values()}, **values}
        branches = function(*[known[n] for n in inputs])
        nearest = min(abs(complex(v) - known[unknown]) for v in branches)
        # a relation flat in its unknown loses figures in proportion
        assert nearest <= 1e-9 * max(abs(known[unknown]), 1e-3), (known[unknown], branches)


# Each names its unknown several times, in other ways than to the first and second power.
_ENDS = ("foot", "head")
WITHOUT_CLOSED_FORM = {
    *((f"reach of the {end}", turn) for end in _ENDS for turn in ("roll", "splay")),
    *((f"sidestep of the {end}", turn) for end in _ENDS for turn in ("roll", "splay")),
    # Corners of an end in plan: each names its unknown inside a root and beside it.
    *(
        (f"{end} {corner} corner", unknown)
        for end in _ENDS
        for corner in ("near", "off", "outer")
        for unknown in ("post_section", "post_width", "roll", "splay")
    ),
    # The largest of several, or the larger or smaller of two, in which the unknown may have no say.
    *(
        (f"outermost reach of a {end}", f"{end}_{corner}_corner")
        for end in _ENDS
        for corner in ("near", "off", "outer")
    ),
    *(
        (f"load at the edge over a {end}", unknown)
        for end in _ENDS
        for unknown in (
            "foot_radius",
            "rim_load",
            "seat_load_inset",
            "design_load",
            "top_diameter",
            "total_mass",
        )
    ),
    *(("largest force on a foot", unknown) for unknown in ("foot_at_edge", "foot_between")),
    *(("largest force on a head", unknown) for unknown in ("head_at_edge", "design_load")),
    *(("largest force on an end of a post", f"{end}_force") for end in _ENDS),
    *(("moment at the crossing", f"{end}_{of}") for end in _ENDS for of in ("force", "radius")),
    *(
        ("sitter beyond the line through two heads", unknown)
        for unknown in ("head_radius", "seat_load_inset", "top_diameter")
    ),
    *(
        ("seat strength used", unknown)
        for unknown in (
            "head_radius",
            "rim_reach",
            "seat_pad",
            "sitter_reach",
            "sitter_span_load",
            "design_load",
            "top_diameter",
        )
    ),
    ("room for a driver beside a post", "roll"),
    # Above and below a line, or in several powers.
    *(
        ("crushing strength at an angle to the grain", unknown)
        for unknown in ("compression_across", "compression_along", "splay")
    ),
    ("strength used at the inner corner, loose joint", "post_width"),
    *(
        ("strength used at the inner corner, tight joint", unknown)
        for unknown in ("post_width", "rest_width")
    ),
    ("depth-to-diameter ratio of a flat", "bearing_rise"),
    ("depth-to-diameter ratio of a flat", "side_rise"),
    ("depth-to-diameter ratio of a flat", "splay"),
    ("tilt of the notch floor", "crossing_angle"),
    # Strength and stiffness: each names its unknown in several powers, or in the larger of two.
    *(
        ("height of the base's centre of mass", unknown)
        for unknown in ("bearing_rise", "foot_flat_depth", "head_flat_depth", "side_rise", "splay")
    ),
    *(("lever of the load", unknown) for unknown in ("foot_radius", "head_radius")),
    *(("bending stress at the notch", unknown) for unknown in ("rest_depth", "rest_width", "roll")),
    *(
        ("buckling load used", unknown)
        for unknown in ("foot_arm", "head_arm", "post_section", "post_width")
    ),
    *(
        ("head deflection", unknown)
        for unknown in ("head_arm", "post_section", "post_width", "rest_depth", "rest_width")
    ),
    *(
        ("rim beyond the line through two heads", unknown)
        for unknown in ("head_radius", "top_diameter")
    ),
    *(
        ("rim deflection", unknown)
        for unknown in ("across_share", "head_radius", "rim_reach", "top_diameter")
    ),
    *(("top strength used", unknown) for unknown in ("head_radius", "rim_reach", "top_diameter")),
    *(
        (f"{way} under a push", unknown)
        for way in ("sway", "twist")
        for unknown in (
            "bearing_rise",
            "post_section",
            "post_width",
            "rest_depth",
            "rest_width",
            "side_rise",
        )
    ),
    *(
        (f"moisture of wood in the {air} air", f"{air}_{part}")
        for air in ("driest", "dampest", "shop")
        for part in ("humidity", "dissolving", "first_binding", "second_binding")
    ),
    # Whether something holds does not say by how much.
    ("validity of the coefficient over the seasons", "driest_moisture"),
    ("validity of the coefficient over the seasons", "dampest_moisture"),
    ("validity of the coefficient from the shop's air", "driest_moisture"),
    ("validity of the coefficient from the shop's air", "dampest_moisture"),
    ("validity of the coefficient from the shop's air", "shop_moisture"),
    ("slot needed for the movement", "driest_moisture"),
    ("slot needed for the movement", "dampest_moisture"),
}
# Where the coefficient holds, the moisture at the start does not count and cannot be found.
SWITCHED_OFF = {
    ("change of width for one per cent of moisture from the driest air", "driest_moisture"),
    ("change of width for one per cent of moisture from the shop's air", "shop_moisture"),
    ("change of post width per 1 % of moisture", "shop_moisture"),
    ("change of post width per 1 % of moisture, rings parallel to the walls", "shop_moisture"),
}

REFEREED = {
    "angle between posts", "roll of a post", "circle of the feet", "width of the notch",
    "flat of the foot", "tipping", "mass of the top", "foot to foot", "depth of the notch",
    "volume of the top", "tilt of the notch floor", "axis to centre line", "notch to waist",
}  # fmt: skip


def _solve_pairs() -> list[tuple[Relation, str]]:
    network = families.network("table")
    return [
        (relation, unknown)
        for relation in network.relations
        if relation.name in REFEREED
        for unknown in network.unknowns_in(relation)
        if network.rearranged(relation, unknown)
    ]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("relation", "unknown"), _solve_pairs(), ids=lambda v: getattr(v, "name", v)
)
def test_sympys_solve_agrees_on_the_kits_relations(relation: Relation, unknown: str) -> None:
    network = families.network("table")
    symbol = vars(quantities)[unknown].symbol
    # sympy is slow and lossy with assumptions; a plain symbol in its place keeps every root
    plain = sp.Symbol(unknown)
    referee = sp.solve(relation.equation.subs(symbol, plain), plain)
    forms = network.rearranged(relation, unknown)
    low, high = network.plan(["splay"]).program.range_of(unknown)
    for values in designs("table", "notches up")[:4]:
        at = {
            **{q.symbol: values[n] for n, q in network.quantities.items() if n in values},
            **{c.symbol: c.si for c in network.constants.values()},
        }
        ours = {round(v, 9) for v in real_values(forms, at) if low <= v <= high}
        theirs = {round(v, 9) for v in real_values(referee, at) if low <= v <= high}
        assert round(values[unknown], 9) in theirs
        assert ours == theirs
