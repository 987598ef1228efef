"""Formulas written out: as plain text, as TeX and as MathML, in letters or with numbers put in.

Rendered from the expression tree, never from source text, so that nothing can be lost on the
way. A `Leaf` decides how a symbol is shown; the three `Script`s know only how to set fractions,
powers and functions.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import sympy as sp

# How tightly a piece holds together: a sum in a product needs brackets, a letter never does.
_SUM, _PRODUCT, _POWER, _ATOM = range(4)


@dataclass(frozen=True)
class Piece:
    """A rendered part, how tightly it holds together, and whether it is a unit of measure."""

    text: str
    bond: int = _ATOM
    unit: bool = False


Leaf = Callable[[sp.Symbol], Piece]


def number_piece(text: str, negative: bool = False) -> Piece:
    """A number with its unit: as loose as a product, since a space stands inside it; a negative one
    as loose as a sum, so that it stands in brackets: (−3)²."""
    if negative:
        return Piece(text, _SUM)
    spaced = any(space in text for space in (" ", "\u00a0", r"\,", "mspace"))
    return Piece(text, _PRODUCT if spaced else _ATOM)


def read_on(script: Script, reading: Piece, zero: float, degrees: float) -> Piece:
    """A reading on one scale turned to another: (T − 32)/1.8.

    zero, degrees  what the one reads at the zero of the other, and how many of its degrees go to
                   one of the other's
    """
    less = script.number(f"{abs(zero):.10g}")
    above = script.add([(False, _tight(script, reading, _PRODUCT)), (zero > 0, less)])
    return script.over(Piece(above, _SUM), Piece(script.number(f"{degrees:.10g}")))


class Script(Protocol):
    """A way of setting formulas."""

    def add(self, terms: Sequence[tuple[bool, str]]) -> str:
        """A sum of (whether it is taken away, text)."""
        ...

    def times(self, factors: Sequence[str], numbers: bool) -> str:
        """A product; `numbers` where figures meet and need a sign between."""
        ...

    def over(self, top: Piece, bottom: Piece) -> Piece:
        """A fraction."""
        ...

    def power(self, base: str, exponent: str) -> str:
        """A base raised to an exponent."""
        ...

    def root(self, inside: Piece) -> str:
        """A square root."""
        ...

    def name(self, function: str) -> str:
        """The name of a function, as it is written."""
        ...

    def call(self, name: str, inside: Piece) -> Piece:
        """A named function of something."""
        ...

    def floor(self, inside: str) -> str:
        """Rounded down."""
        ...

    def least(self, name: str, parts: Sequence[str]) -> str:
        """The least or the largest of several: a named function of a list."""
        ...

    def bracket(self, inside: str) -> str:
        """In brackets."""
        ...

    def number(self, text: str) -> str:
        """A plain number."""
        ...

    def measure(self, number: str, unit: str) -> str:
        """A number with its unit."""
        ...

    def pi(self) -> str:
        """The number π."""
        ...

    def equals(self, left: str, right: str) -> str:
        """Two sides of an equation."""
        ...


_SUPERSCRIPT = str.maketrans("0123456789−", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


class Plain(Script):
    """One line of text, with the signs that any terminal font has."""

    def add(self, terms: Sequence[tuple[bool, str]]) -> str:
        first = ("−" if terms[0][0] else "") + terms[0][1]
        return first + "".join(f" {'−' if minus else '+'} {text}" for minus, text in terms[1:])

    def times(self, factors: Sequence[str], numbers: bool) -> str:
        return (" × " if numbers else "·").join(factors)

    def over(self, top: Piece, bottom: Piece) -> Piece:
        return Piece(f"{_tight(self, top, _PRODUCT)}/{_tight(self, bottom, _POWER)}", _PRODUCT)

    def power(self, base: str, exponent: str) -> str:
        if set(exponent) <= set("0123456789−"):
            return base + exponent.translate(_SUPERSCRIPT)
        return f"{base}^({exponent})"

    def root(self, inside: Piece) -> str:
        return "√" + _tight(self, inside, _ATOM)

    def name(self, function: str) -> str:
        return function

    def call(self, name: str, inside: Piece) -> Piece:
        if inside.bond == _ATOM:
            return Piece(f"{name} {inside.text}", _POWER)
        return Piece(f"{name}({inside.text})", _POWER)

    def floor(self, inside: str) -> str:
        return f"⌊{inside}⌋"

    def least(self, name: str, parts: Sequence[str]) -> str:
        return f"{name}({'; '.join(parts)})"

    def bracket(self, inside: str) -> str:
        return f"({inside})"

    def number(self, text: str) -> str:
        return text.replace("-", "−")

    def measure(self, number: str, unit: str) -> str:
        return f"{number} {unit}"

    def pi(self) -> str:
        return "π"

    def equals(self, left: str, right: str) -> str:
        return f"{left} = {right}"


class Tex(Script):
    """TeX mathematics, as MathJax and LaTeX read it."""

    def add(self, terms: Sequence[tuple[bool, str]]) -> str:
        first = ("-" if terms[0][0] else "") + terms[0][1]
        return first + "".join(f" {'-' if minus else '+'} {text}" for minus, text in terms[1:])

    def times(self, factors: Sequence[str], numbers: bool) -> str:
        return (r" \times " if numbers else r" \, ").join(factors)

    def over(self, top: Piece, bottom: Piece) -> Piece:
        return Piece(rf"\frac{{{top.text}}}{{{bottom.text}}}", _PRODUCT)

    def power(self, base: str, exponent: str) -> str:
        return f"{base}^{{{exponent}}}"

    def root(self, inside: Piece) -> str:
        return rf"\sqrt{{{inside.text}}}"

    def name(self, function: str) -> str:
        return r"\operatorname{abs}" if function == "abs" else f"\\{function}"

    def call(self, name: str, inside: Piece) -> Piece:
        argument = inside.text if inside.bond == _ATOM else self.bracket(inside.text)
        return Piece(f"{name} {argument}", _POWER)

    def floor(self, inside: str) -> str:
        return rf"\left\lfloor {inside} \right\rfloor"

    def least(self, name: str, parts: Sequence[str]) -> str:
        return rf"\{name}\left({'; '.join(parts)}\right)"

    def bracket(self, inside: str) -> str:
        return rf"\left({inside}\right)"

    def number(self, text: str) -> str:
        return text

    def measure(self, number: str, unit: str) -> str:
        return rf"{number}\,{unit}"

    def pi(self) -> str:
        return r"\pi"

    def equals(self, left: str, right: str) -> str:
        return f"{left} = {right}"


class MathML(Script):
    """MathML Core, which browsers draw and screen readers read without any script."""

    def add(self, terms: Sequence[tuple[bool, str]]) -> str:
        first = ("<mo>−</mo>" if terms[0][0] else "") + terms[0][1]
        rest = "".join(f"<mo>{'−' if minus else '+'}</mo>{text}" for minus, text in terms[1:])
        return f"<mrow>{first}{rest}</mrow>"

    def times(self, factors: Sequence[str], numbers: bool) -> str:
        return f"<mrow>{('<mo>×</mo>' if numbers else '<mo>·</mo>').join(factors)}</mrow>"

    def over(self, top: Piece, bottom: Piece) -> Piece:
        return Piece(f"<mfrac>{_row(top.text)}{_row(bottom.text)}</mfrac>", _PRODUCT)

    def power(self, base: str, exponent: str) -> str:
        return f"<msup>{_row(base)}{_row(exponent)}</msup>"

    def root(self, inside: Piece) -> str:
        return f"<msqrt>{inside.text}</msqrt>"

    def name(self, function: str) -> str:
        return f"<mi>{function}</mi>"

    def call(self, name: str, inside: Piece) -> Piece:
        argument = inside.text if inside.bond == _ATOM else self.bracket(inside.text)
        return Piece(f"<mrow>{name}<mspace width='0.2em'/>{argument}</mrow>", _POWER)

    def floor(self, inside: str) -> str:
        return f"<mrow><mo>⌊</mo>{inside}<mo>⌋</mo></mrow>"

    def least(self, name: str, parts: Sequence[str]) -> str:
        return f"<mrow><mi>{name}</mi>{self.bracket('<mo>;</mo>'.join(parts))}</mrow>"

    def bracket(self, inside: str) -> str:
        return f"<mrow><mo>(</mo>{inside}<mo>)</mo></mrow>"

    def number(self, text: str) -> str:
        return f"<mn>{html.escape(text)}</mn>"

    def measure(self, number: str, unit: str) -> str:
        return f"<mrow>{number}<mspace width='0.25em'/>{unit}</mrow>"

    def pi(self) -> str:
        return "<mi>π</mi>"

    def equals(self, left: str, right: str) -> str:
        return f"<mrow>{left}<mo>=</mo>{right}</mrow>"


def _row(text: str) -> str:
    return f"<mrow>{text}</mrow>"


def _tight(script: Script, piece: Piece, at_least: int) -> str:
    return piece.text if piece.bond >= at_least else script.bracket(piece.text)


_FUNCTIONS = {
    sp.sin: "sin",
    sp.cos: "cos",
    sp.tan: "tan",
    sp.asin: "arcsin",
    sp.acos: "arccos",
    sp.atan: "arctan",
    sp.exp: "exp",
    sp.log: "ln",
}


_LARGE = 10  # under a root: a larger number is not known by sight


class FormulaWriter:
    """Writes expressions in one script, with symbols shown by `leaf`.

    numbers   numbers are put in: products are marked with a cross, as in arithmetic
    """

    def __init__(self, script: Script, leaf: Leaf, *, numbers: bool = False):
        self._script, self._leaf, self._numbers = script, leaf, numbers

    def equation(self, left: sp.Expr, right: sp.Expr) -> str:
        """Both sides with an equals sign."""
        return self._script.equals(self.text(left), self.text(right))

    def text(self, expression: sp.Expr) -> str:
        """The expression alone."""
        return self.piece(expression).text

    def piece(self, e: sp.Expr) -> Piece:
        """The expression alone, and how tightly it holds together."""
        if e.is_Symbol:
            return self._leaf(e)
        if e.is_Number or e is sp.pi:
            return self._number(e)
        if e.is_Add:
            return Piece(self._script.add(self._terms(e)), _SUM)
        if e.is_Mul:
            return self._product(e)
        if e.is_Pow:
            return self._power(e)
        if isinstance(e, sp.floor):
            return Piece(self._script.floor(self.text(e.args[0])))
        if isinstance(e, sp.Min | sp.Max):
            name = "min" if isinstance(e, sp.Min) else "max"
            return Piece(self._script.least(name, [self._bound(a) for a in e.args]))
        if isinstance(e, sp.Abs):
            return self._script.call(self._script.name("abs"), self.piece(e.args[0]))
        name = self._script.name(_FUNCTIONS[type(e)])
        return self._script.call(name, self.piece(e.args[0]))

    def _bound(self, e: sp.Expr) -> str:
        """One of several of which the least or the largest counts: of a unit by itself, one."""
        piece = self.piece(e)
        one = self._script.number("1")
        return self._script.measure(one, piece.text) if piece.unit else piece.text

    def _number(self, e: sp.Expr) -> Piece:
        script = self._script
        if e is sp.pi:
            return Piece(script.pi())
        if e.is_Rational and e.q != 1:
            return script.over(Piece(script.number(str(e.p))), Piece(script.number(str(e.q))))
        if e.is_Integer:
            return Piece(script.number(str(e)))
        mantissa, _, exponent = f"{float(e):.10g}".partition("e")
        if not exponent:
            return Piece(script.number(mantissa))
        ten = script.power(script.number("10"), script.number(str(int(exponent))))
        if mantissa == "1":
            return Piece(ten, _POWER)
        return Piece(script.times([script.number(mantissa), ten], numbers=True), _PRODUCT)

    def _terms(self, e: sp.Expr) -> list[tuple[bool, str]]:
        terms = []
        for term in e.as_ordered_terms():
            minus = term.could_extract_minus_sign()
            piece = self.piece(-term if minus else term)
            terms.append((minus, _tight(self._script, piece, _PRODUCT)))
        # A sum reads better when it does not open with a minus sign.
        return sorted(terms, key=lambda term: term[0])

    def _product(self, e: sp.Expr) -> Piece:
        if e.could_extract_minus_sign():
            inner = _tight(self._script, self.piece(-e), _PRODUCT)
            return Piece(self._script.add([(True, inner)]), _SUM)
        rooted, e = _rooted(e)
        top, bottom = map(list, rooted)
        for factor in e.as_ordered_factors():
            if factor.is_Rational:
                top += [sp.Integer(factor.p)] if factor.p != 1 else []
                bottom += [sp.Integer(factor.q)] if factor.q != 1 else []
            elif factor.is_Pow and factor.exp.could_extract_minus_sign():
                bottom.append(1 / factor)
            else:
                top.append(factor)
        above = self._row_of(top) if top else Piece(self._script.number("1"))
        return self._script.over(above, self._row_of(bottom)) if bottom else above

    def _row_of(self, factors: list[sp.Expr]) -> Piece:
        if len(factors) == 1:
            return self.piece(factors[0])
        texts: list[str] = []
        for piece in map(self.piece, factors):
            if piece.unit and texts:  # 25 mm, not 25 times mm
                texts[-1] = self._script.measure(texts[-1], piece.text)
            else:
                texts.append(_tight(self._script, piece, _PRODUCT))
        return Piece(self._script.times(texts, self._numbers), _PRODUCT)

    def _power(self, e: sp.Expr) -> Piece:
        base, exponent = e.args
        if exponent.could_extract_minus_sign():
            return self._script.over(Piece(self._script.number("1")), self.piece(1 / e))
        if exponent == sp.Rational(1, 2):
            return Piece(self._script.root(self.piece(base)), _POWER)
        if type(base) in _FUNCTIONS and exponent.is_Integer:  # sin² θ, as it is always written
            name = self._script.power(
                self._script.name(_FUNCTIONS[type(base)]), self._script.number(str(exponent))
            )
            return self._script.call(name, self.piece(base.args[0]))
        inner = _tight(self._script, self.piece(base), _ATOM)
        return Piece(self._script.power(inner, self.text(exponent)), _POWER)


def _rooted(e: sp.Expr) -> tuple[tuple[Sequence[sp.Expr], Sequence[sp.Expr]], sp.Expr]:
    """A root with a fraction, taken out of a product, as it is written by hand: 1/√3 and √(2/3)
    rather than √3/3 and √6/3. What stands above and below, and what is left of the product."""
    coefficient, rest = e.as_independent(*e.free_symbols, as_Add=False)
    square = coefficient**2
    if coefficient.is_Rational or not square.is_Rational or square.q == 1 or square.p < 0:
        return ((), ()), e
    above, below = sp.sqrt(square.p), sp.sqrt(square.q)
    if above.is_Integer and square.q < _LARGE:
        return ((above,) if above != 1 else (), (below,)), rest
    if not below.is_Integer and square.p < _LARGE and square.q < _LARGE:
        return ((sp.Pow(square, sp.S.Half, evaluate=False),), ()), rest
    return ((), ()), e
