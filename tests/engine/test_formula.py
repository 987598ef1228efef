"""Formulas as written must say what the expression says, in every script."""

from __future__ import annotations

import math
import re
from functools import cache
from xml.etree import ElementTree

import pytest
import sympy as sp
from matplotlib.mathtext import MathTextParser

from tablekit.engine.formula import FormulaWriter, MathML, Piece, Plain, Tex, number_piece
from tablekit.engine.sheet import Sheet
from tablekit.relations.families import network
from tests.together import each

NETWORK = network("table")
STATEMENTS = [*NETWORK.relations, *NETWORK.assumptions]
GIVEN = {
    "table_height": 735, "top_diameter": 920, "post_section": 64, "splay": 50, "notch_depth": 30,
}  # fmt: skip

_TOKEN = re.compile(
    r"\s*(arcsin|arccos|arctan|sin|cos|tan|min|max|abs|√|\^|[0-9.]+|[⁰¹²³⁴⁵⁶⁷⁸⁹⁻]+|°C|%"
    r"|[A-Za-zΑ-Ωα-ω][A-Za-z0-9Α-Ωα-ω]*(?:_[A-Za-z0-9]+|[₀-₉]+)?|[-+−·×/();⌊⌋])"
)
_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")


class Reader:
    """Reads the plain text back by the rules of school algebra, and computes it.

    Written without the writer's tables: sums, products from the left, a function or a root binds
    the next factor, a raised number binds closest.
    """

    def __init__(self, text: str, values: dict[str, float]):
        self.tokens, self.values, self.at = _TOKEN.findall(text), values, 0
        assert "".join(self.tokens) == text.replace(" ", "")

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        assert not wanted or token == wanted, (token, wanted, self.tokens)
        self.at += 1
        return token

    def sum(self) -> float:
        sign = -1.0 if self.peek() == "−" and self.take() else 1.0
        total = sign * self.product()
        while self.peek() in ("+", "−"):
            total += self.product() if self.take() == "+" else -self.product()
        return total

    def product(self) -> float:
        total = self.factor()
        while self.peek() in ("·", "×", "/"):
            total = total / self.factor() if self.take() == "/" else total * self.factor()
        return total

    def raised(self) -> float | None:
        if self.peek() and self.peek()[0] in "⁰¹²³⁴⁵⁶⁷⁸⁹⁻":
            return float(self.take().translate(_DIGITS))
        if self.peek() == "^":
            self.take()
            return self.atom()
        return None

    def factor(self) -> float:
        name = self.peek()
        if name in ("sin", "cos", "tan", "arcsin", "arccos", "arctan"):
            self.take()
            power = self.raised()
            value = getattr(math, name.replace("arc", "a"))(self.factor())
            return value if power is None else value**power
        if name == "abs":
            self.take()
            return abs(self.factor())
        value = self.atom()
        power = self.raised()
        return value if power is None else value**power

    def atom(self) -> float:
        token = self.take()
        if token == "√":
            return math.sqrt(self.atom())
        if token == "(":
            value = self.sum()
            self.take(")")
            return value
        if token == "⌊":
            value = math.floor(self.sum())
            self.take("⌋")
            return value
        if token in ("min", "max"):
            self.take("(")
            parts = [self.sum()]
            while self.peek() == ";":
                self.take()
                parts.append(self.sum())
            self.take(")")
            return min(parts) if token == "min" else max(parts)
        if token == "π":
            return math.pi
        return float(token) if token[0].isdigit() else self.values[token]


@cache
def sheet() -> Sheet:
    return NETWORK.solve(GIVEN)


def letter(symbol: sp.Symbol) -> Piece:
    return Piece((NETWORK.constants.get(symbol.name) or NETWORK.quantity(symbol.name)).letter)


def values() -> dict[str, float]:
    things = [*NETWORK.quantities.values(), *NETWORK.constants.values()]
    return {
        thing.letter: NETWORK.constants[thing.name].si
        if thing.name in NETWORK.constants
        else sheet().si[thing.name]
        for thing in things
    }


def put_in(expression: sp.Expr) -> float:
    by_name = {name: constant.si for name, constant in NETWORK.constants.items()} | sheet().si
    put = {s: sp.Float(by_name[s.name], 17) for s in expression.free_symbols}
    return float(expression.xreplace(put).evalf(17))


@cache
def every_side() -> list[sp.Expr]:
    sides = [side for s in STATEMENTS for side in (s.equation.lhs, s.equation.rhs)]
    forms = [
        form
        for s in STATEMENTS
        for name in NETWORK.unknowns_in(s)
        for form in NETWORK.rearranged(s, name) or ()
        # What a switch leaves out of a relation cannot be found from it: nought over nought.
        if math.isfinite(put_in(form))
    ]
    return [*sides, *forms]


@each("side", every_side, ids=str, ordinary=500)
def test_plain_text_reads_back_to_the_same_number(side: sp.Expr) -> None:
    expected = put_in(side)
    reader = Reader(FormulaWriter(Plain(), letter).text(side), values())
    assert reader.sum() == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert reader.peek() == ""


def test_no_two_letters_of_a_network_are_alike() -> None:
    for kind in ("table", "stool"):
        known = network(kind)
        letters = [t.letter for t in (*known.quantities.values(), *known.constants.values())]
        assert len(set(letters)) == len(letters)


@each("side", every_side, ids=str, ordinary=500)
def test_mathml_loses_no_text(side: sp.Expr) -> None:
    """A browser drops bare text outside <mi>, <mn>, <mo> and <mtext> (MathML Core, 3.2)."""

    def leaf(symbol: sp.Symbol) -> Piece:
        return Piece(f"<mi>{letter(symbol).text}</mi>")

    root = ElementTree.fromstring(f"<math>{FormulaWriter(MathML(), leaf).text(side)}</math>")
    for element in root.iter():
        if element.tag not in ("mi", "mn", "mo", "mtext"):
            assert not (element.text or "").strip(), element.tag
        assert not (element.tail or "").strip(), element.tag
    said = sorted("".join(root.itertext()).replace(" ", ""))
    plain = FormulaWriter(Plain(), letter).text(side)
    for sign in "()√/ ^⌊⌋":
        plain = plain.replace(sign, "")
    plain = plain.translate(_DIGITS)
    without_brackets = [c for c in said if c not in "()⌊⌋"]
    assert without_brackets == sorted(plain)


def tex_of(symbol: sp.Symbol) -> str:
    return (NETWORK.constants.get(symbol.name) or NETWORK.quantity(symbol.name)).tex


def shapes_in_tex() -> list[str]:
    """Every formula in TeX with one letter for all quantities and one figure for all numbers: those
    that differ in nothing else are set alike. Then every quantity by itself."""
    sides = every_side()
    bare = [FormulaWriter(Tex(), lambda symbol: Piece("x")).text(side) for side in sides]
    letters = {tex_of(symbol) for side in sides for symbol in side.free_symbols}
    return sorted({re.sub(r"\d+", "7", text) for text in bare}) + sorted(letters)


@each("text", shapes_in_tex, ids=str, ordinary=250)
def test_tex_is_set_by_an_independent_library(text: str) -> None:
    """matplotlib's own TeX reader accepts it: braces balance and every command is known."""
    parsed = MathTextParser("path").parse(f"${text}$")
    assert parsed.width > 0


def test_tex_is_the_shape_with_the_letters_put_in() -> None:
    side = STATEMENTS[0].equation.rhs
    text = FormulaWriter(Tex(), lambda symbol: Piece(tex_of(symbol))).text(side)
    assert all(tex_of(symbol) in text for symbol in side.free_symbols)
    assert MathTextParser("path").parse(f"${text}$").width > 0


def test_sin_squared_keeps_its_square_in_every_script() -> None:
    x = sp.Symbol("splay", positive=True)
    expression = sp.sin(x) ** 2
    assert FormulaWriter(Plain(), letter).text(expression) == "sin² θ"
    assert r"\sin^{2}" in FormulaWriter(Tex(), letter).text(expression)
    mathml = FormulaWriter(MathML(), lambda s: Piece("<mi>θ</mi>")).text(expression)
    assert "<msup><mrow><mi>sin</mi></mrow><mrow><mn>2</mn></mrow></msup>" in mathml


def test_a_number_with_its_unit_is_bracketed_where_it_must_be() -> None:
    x, y = sp.symbols("a b", positive=True)
    shown = {"a": "920 mm", "b": "64 mm"}
    formula = FormulaWriter(Plain(), lambda s: number_piece(shown[s.name]), numbers=True)
    assert formula.text(x**2) == "(920 mm)²"
    assert formula.text(x / y) == "920 mm/(64 mm)"
    assert formula.text(x - y) == "920 mm − 64 mm"
    assert formula.text(2 * x * y) == "2 × 920 mm × 64 mm"
    assert formula.text(-x) == "−920 mm"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (sp.Integer(-3), "−3"),
        (sp.Rational(-3, 4), "−3/4"),
        (sp.Float(-0.5), "−0.5"),
        (sp.Symbol("x") ** -2, "1/x²"),
        (sp.Float(2.5e-12) * sp.Symbol("x"), "2.5 × 10⁻¹²·x"),
    ],
)
def test_a_minus_is_a_minus_also_before_a_lone_number(expression: sp.Expr, text: str) -> None:
    assert FormulaWriter(Plain(), lambda symbol: Piece(symbol.name)).text(expression) == text


def test_a_unit_by_itself_among_several_bounds_is_one_of_it() -> None:
    unit, length = sp.Symbol("inch", positive=True), sp.Symbol("w", positive=True)
    formula = FormulaWriter(Plain(), lambda s: Piece("in" if s == unit else "w", unit=s == unit))
    assert formula.text(sp.Min(unit, length / 2)) == "min(1 in; w/2)"
    assert formula.text(length / unit) == "w/in"
