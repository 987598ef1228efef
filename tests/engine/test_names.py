"""Whatever a quantity is called, its design comes out the same: no name is in the engine's way.

The network below has all that makes the engine add symbols of its own: a choice between branches,
a limit, a relation that must be put back, relations solved together, slopes, a sweep. It is solved
with plain names and with awkward ones, and the answers held against each other and against
arithmetic.
"""

from __future__ import annotations

import keyword
import math
from functools import cache
from itertools import cycle, islice

import pytest
import sympy as sp

from tablekit.engine.codegen import compile_assignments, compile_vector
from tablekit.engine.network import Network
from tablekit.engine.relation import Limit
from tablekit.engine.sensitivity import slopes
from tablekit.engine.sweeps import sweep
from tests.engine.small_networks import guess, quantity, relation
from tests.together import each

ADDED = [
    "slack_0", "residual_0", "residual_1", "size_0", "closes_x", "closes_b", "preferred_b",
    "choose_b", "output_0", "output_1", "shared_0", "branch_0", "branch_1", "side_0",
]  # fmt: skip
FUNCTIONS = [
    "made", "sin", "sqrt", "abs", "floor", "smaller", "larger", "step", "sign", "left_over",
    "size_of",
]  # fmt: skip
BUILTINS = [
    "print",
    "float",
    "min",
    "list",
    "numpy",
    "math",
    "True",
    "lambda",
    "class",
    "E",
    "I",
    "pi",
]
PLAIN = ("a", "b", "c", "x", "y")


def built(names: tuple[str, ...]) -> Network:
    a, b, c, x, y = (
        quantity(n, -50.0 if p == "b" else 0.001) for n, p in zip(names, PLAIN, strict=True)
    )
    side = Limit(50 - a.symbol, "a is 50 or less")
    return Network(
        "names",
        [a, b, c, x, y],
        [
            relation("square", a.symbol, b.symbol**2, [side]),  # two branches for b
            relation("root", c.symbol, sp.sqrt(a.symbol) + sp.Abs(b.symbol)),
            # together: x + ln x = c and y = x², from either side
            relation("loop", x.symbol + sp.log(y.symbol) / 2, c.symbol),
            relation("power", y.symbol, x.symbol**2),
        ],
        [guess(b, -3)],
    )


@cache
def solved(names: tuple[str, ...]) -> list[float]:
    """Every number that the engine gives for the network, in order, however it is named."""
    of = built(names)
    a, b, c, x, _ = names
    sheet = of.solve({a: 16.0})
    many = sweep(of, {a: [4.0, 9.0, 16.0, 60.0]})
    assert many.ok.tolist() == [True, True, True, False]
    assert max(sheet.residuals.values()) < 1e-9 and len(sheet.alternatives[b]) == 2
    back = of.solve({c: 8.0})  # from the other end, where a root must be put back
    by = slopes(sheet, [x], [a])[x, a]
    return [
        *(sheet.number(name) for name in names),
        *(float(n) for name in names[1:] for n in many[name][:3]),
        *(back.number(name) for name in names),
        by,
    ]


def test_the_plain_names_give_what_arithmetic_gives() -> None:
    a, b, c, x, y, *_ = solved(PLAIN)
    assert (a, b, c) == (16.0, -4.0, 8.0)
    assert x + math.log(x) == pytest.approx(8.0, rel=1e-12) and y == pytest.approx(x**2)


@each("name", ADDED)
@each("place", [0, 1, 4], ids=["a", "b", "y"])
def test_no_name_like_a_symbol_that_is_added_does_harm(name: str, place: int) -> None:
    names = tuple(name if i == place else plain for i, plain in enumerate(PLAIN))
    assert solved(names) == pytest.approx(solved(PLAIN), rel=1e-9, abs=0)


WORDS = [*FUNCTIONS, *BUILTINS]


@each("first", range(len(WORDS)))
def test_no_name_of_a_function_or_a_keyword_does_harm(first: int) -> None:
    names = tuple(islice(cycle(WORDS), first, first + len(PLAIN)))  # each in every place in turn
    assert solved(names) == pytest.approx(solved(PLAIN), rel=1e-9, abs=0)


@each("arrays", [False, True])
@each("name", [*ADDED, *FUNCTIONS, *BUILTINS])
def test_no_name_is_in_the_way_of_a_function(name: str, arrays: bool) -> None:
    """Written here, and by sympy where a kind is not written here."""
    x, between = sp.Symbol(name, real=True), sp.Symbol(f"{name}_between", real=True)
    form = sp.sin(x) + sp.Min(x, 2) + sp.sqrt(sp.Abs(x)) + sp.floor(x)
    expected = math.sin(3.5) + 2 + math.sqrt(3.5) + 3
    for expression in (form, form + sp.Piecewise((0, x > 0), (1, True))):
        (value,) = compile_vector([x], [expression], arrays=arrays)(3.5)
        assert float(value) == pytest.approx(expected, rel=1e-14)
        (last,) = compile_assignments(
            [between], [(x, between + 1), (sp.Symbol("out"), expression)], [sp.Symbol("out")],
            arrays=arrays,
        )(2.5)  # fmt: skip
        assert float(last) == pytest.approx(expected, rel=1e-14)


def test_the_awkward_names_are_awkward() -> None:
    assert {name for name in BUILTINS if keyword.iskeyword(name)} == {"True", "lambda", "class"}
