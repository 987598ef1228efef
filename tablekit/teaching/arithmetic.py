"""Arithmetic as it is written on paper: √3 × (H − t) ÷ 2. Read, calculated, and written again with
numbers in place of letters.

A text is taken apart piece by piece and never handed to anything that evaluates code.

calculate(read_arithmetic("2√3/3"), {})          1.1547…
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from tablekit.engine.trouble import DesignError

# Long enough for any line of working; short enough that no text can keep the reader busy.
LONGEST = 200
_DEEPEST = 40
_TURNS = ("sin", "cos", "tan")
_BACK = ("asin", "acos", "atan")
_OTHERS = ("max", "min", "roundup", "rounddown")
FUNCTIONS = frozenset((*_TURNS, *_BACK, *_OTHERS))
_TOKEN = re.compile(
    r"\s*(?:(?P<number>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)|(?P<word>[^\W\d_]+(?:_[A-Za-z0-9]+)?)"
    r"|(?P<mark>[+−×÷^√(),]))"
)
_MARKS = str.maketrans(
    {"-": "−", "–": "−", "*": "×", "·": "×", "∙": "×", "⋅": "×", "/": "÷", "⁄": "÷", "∕": "÷",
     "²": "^2", "³": "^3", "[": "(", "]": ")", "\N{NO-BREAK SPACE}": " "}
)  # fmt: skip
_BINDS = {"+": 1, "−": 1, "×": 2, "÷": 2, "negative": 3, "^": 4}
_TIGHTEST = 5


class NotArithmetic(DesignError):
    """A text that is no arithmetic; the message says where it stops being any."""


@dataclass(frozen=True)
class Node:
    """A number, a letter, or an operation on others.

    kind   "number", "letter", "negative", "√", a sign (+ − × ÷ ^) or one of `FUNCTIONS`
    parts  what it is done to
    text   the number or letter as it is written
    """

    kind: str
    parts: tuple[Node, ...] = ()
    text: str = ""

    def every(self) -> Iterator[Node]:
        """This node and all below it."""
        yield self
        for part in self.parts:
            yield from part.every()


def number(text: str) -> Node:
    """A number as it is written."""
    return Node("number", text=text)


# -- reading --------------------------------------------------------------------------------------


def read_arithmetic(text: str) -> Node:
    """The arithmetic that a text says.

    A sign of multiplication may be left out before √, a letter or a bracket. Raises NotArithmetic
    for anything else, and for a product without its sign after a division (1/2√3), which may be
    meant in two ways.
    """
    if len(text) > LONGEST:
        raise NotArithmetic(f"the calculation is too long: {LONGEST} characters will do for any")
    plain = text.translate(_MARKS).replace("sqrt", "√")
    reader = _Reader(list(_tokens(plain)))
    found = reader.sum(0)
    if reader.left:
        raise NotArithmetic(f'"{reader.left[0][1]}" stands where the calculation should end')
    return found


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    place = 0
    text = text.rstrip()
    while place < len(text):
        match = _TOKEN.match(text, place)
        if match is None:
            raise NotArithmetic(f'"{text[place:].strip()[:1]}" has no place in a calculation')
        kind = match.lastgroup or ""
        yield kind, match[kind]
        place = match.end()


class _Reader:
    """Reads by the usual order: powers first, then products, then sums."""

    def __init__(self, tokens: list[tuple[str, str]]):
        self.left = tokens

    def _next(self) -> str:
        return self.left[0][1] if self.left else ""

    def _take(self) -> tuple[str, str]:
        if not self.left:
            raise NotArithmetic("the calculation stops short")
        return self.left.pop(0)

    def sum(self, depth: int) -> Node:
        if depth > _DEEPEST:
            raise NotArithmetic("the calculation has too many brackets one inside another")
        found = self._product(depth)
        while self._next() in ("+", "−"):
            sign = self._take()[1]
            if self._next() in ("+", "−"):  # as in 23 +- 5, which is a tolerance and no sum
                raise NotArithmetic("two signs follow one another; put brackets in it")
            found = Node(sign, (found, self._product(depth)))
        return found

    def _product(self, depth: int) -> Node:
        found = self._signed(depth)
        divided = False
        while self.left:
            sign = self._next()
            if sign in ("×", "÷"):
                self._take()
                divided = sign == "÷"
                found = Node(sign, (found, self._signed(depth)))
            elif sign in ("√", "(") or self.left[0][0] == "word":
                if divided:
                    raise NotArithmetic("it can be read in two ways; put brackets in it")
                found = Node("×", (found, self._power(depth)))
            else:
                break
        return found

    def _signed(self, depth: int) -> Node:
        if self._next() == "−":
            self._take()
            return Node("negative", (self._power(depth),))
        if self._next() == "+":
            self._take()
        return self._power(depth)

    def _power(self, depth: int) -> Node:
        base = self._atom(depth)
        if self._next() == "^":
            self._take()
            return Node("^", (base, self._atom(depth)))
        return base

    def _atom(self, depth: int) -> Node:
        kind, text = self._take()
        if kind == "number":
            return number(text)
        if text == "√":
            return Node("√", (self._root(depth),))
        if text == "(":
            return self._closed(self.sum(depth + 1))
        if text in FUNCTIONS:
            return Node(text, self._arguments(depth))
        if kind == "word":
            return Node("letter", text=text)
        raise NotArithmetic(f'"{text}" stands where a number should')

    def _root(self, depth: int) -> Node:
        if depth > _DEEPEST:
            raise NotArithmetic("the calculation has too many roots one inside another")
        return self._atom(depth + 1)

    def _arguments(self, depth: int) -> tuple[Node, ...]:
        if self._next() != "(":  # cos θ
            return (self._atom(depth + 1),)
        self._take()
        found = [self.sum(depth + 1)]
        while self._next() == ",":
            self._take()
            found.append(self.sum(depth + 1))
        return (*found[:-1], self._closed(found[-1]))

    def _closed(self, found: Node) -> Node:
        if self._take()[1] != ")":
            raise NotArithmetic("a bracket is not closed")
        return found


# -- calculating ----------------------------------------------------------------------------------

Rounding = Callable[[float], float]


def calculate(
    node: Node,
    values: Mapping[str, float],
    *,
    radians: bool = False,
    rounding: Rounding | None = None,
) -> float:
    """The number that comes out; nan where none does (a division by nothing, the root of less).

    values    letter -> number; angles in degrees
    radians   as on a calculator that is set to radians, with the angles typed in as degrees
    rounding  what is done to every result on the way, the last one left out
    Raises NotArithmetic for a letter without a value.
    """
    try:
        found = _found(node, values, radians, rounding)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan
    return found if math.isfinite(found) else math.nan


def _found(
    node: Node, values: Mapping[str, float], radians: bool, rounding: Rounding | None
) -> float:
    if node.kind == "number":
        return float(node.text)
    if node.kind == "letter":
        if node.text == "π":
            return math.pi
        if node.text not in values:
            raise NotArithmetic(f'"{node.text}" is a letter without a number')
        return values[node.text]
    parts = [_found(part, values, radians, rounding) for part in node.parts]
    if rounding:
        given = ("number", "letter")
        parts = [
            one if part.kind in given else rounding(one)
            for one, part in zip(parts, node.parts, strict=True)
        ]
    return _done(node.kind, parts, radians)


def _done(kind: str, parts: list[float], radians: bool) -> float:
    if kind in _TURNS:
        turn = getattr(math, kind)
        return float(turn(parts[0] if radians else math.radians(parts[0])))
    if kind in _BACK:
        found = float(getattr(math, kind)(parts[0]))
        return found if radians else math.degrees(found)
    return _PLAIN[kind](*parts)


_HAIR = 1e-9
_PLAIN: dict[str, Callable[..., float]] = {
    "+": lambda a, b: a + b,
    "−": lambda a, b: a - b,
    "×": lambda a, b: a * b,
    "÷": lambda a, b: a / b,
    "^": lambda a, b: math.pow(a, b),
    "negative": lambda a: -a,
    "√": math.sqrt,
    "max": max,
    "min": min,
    "roundup": lambda a: float(math.ceil(a - _HAIR)),
    "rounddown": lambda a: float(math.floor(a + _HAIR)),
}


# -- writing --------------------------------------------------------------------------------------


def written(node: Node, numbers: Mapping[str, str] | None = None) -> str:
    """The arithmetic as a text.

    numbers  letter -> what stands in its place; letters stay where it is left out
    """
    return _text(node, numbers or {}, 0)


def _text(node: Node, numbers: Mapping[str, str], outer: int) -> str:
    if node.kind in ("number", "letter"):
        return numbers.get(node.text, node.text) if node.kind == "letter" else node.text
    if node.kind == "√" or node.kind in FUNCTIONS:
        return _function_text(node, numbers)
    binds = _BINDS[node.kind]
    if node.kind == "negative":
        said = f"−{_text(node.parts[0], numbers, binds)}"
    elif node.kind == "^":
        base, power = (_text(part, numbers, _TIGHTEST) for part in node.parts)
        base = f"({base})" if node.parts[0].kind in FUNCTIONS else base
        said = base + {"2": "²", "3": "³"}.get(power, f"^{power}")
    else:
        left, right = node.parts
        # What follows − or ÷ needs brackets where it is a sum or a product of its own.
        after = binds + (node.kind in ("−", "÷") or right.kind == "÷")
        after = _TIGHTEST if right.kind == "negative" else after  # 720 − (−26)
        said = f"{_text(left, numbers, binds)} {node.kind} {_text(right, numbers, after)}"
    return f"({said})" if binds < outer else said


def _function_text(node: Node, numbers: Mapping[str, str]) -> str:
    inner = node.parts[0]
    if node.kind == "√" and inner.kind == "number":
        return f"√{inner.text}"
    if node.kind in _TURNS and inner.kind in ("number", "letter"):
        end = "°" if inner.kind == "number" or inner.text in numbers else ""
        return f"{node.kind} {_text(inner, numbers, _TIGHTEST)}{end}"
    said = ", ".join(_text(part, numbers, 0) for part in node.parts)
    return f"{node.kind}({said})"


# -- changing -------------------------------------------------------------------------------------


def put_in(node: Node, letters: Mapping[str, Node]) -> Node:
    """The same with other things in place of letters."""
    if node.kind == "letter":
        return letters.get(node.text, node)
    return replace(node, parts=tuple(put_in(part, letters) for part in node.parts))


def without(node: Node, letter: str) -> Node:
    """The same with a letter struck out: the term or the factor that it stands in is gone.

    A letter that is all there is leaves 0.
    """
    found = _struck(node, letter)
    return number("0") if found is None else found


def _struck(node: Node, letter: str) -> Node | None:
    if node.kind == "letter":
        return None if node.text == letter else node
    parts = [_struck(part, letter) for part in node.parts]
    left = [part for part in parts if part is not None]
    if len(left) == len(parts):
        return replace(node, parts=tuple(left))
    if not left or node.kind in ("×", "÷", "^", "√", "negative") or node.kind in FUNCTIONS:
        return None
    # What was taken away from nothing stays taken away.
    lost_first = node.kind == "−" and parts[0] is None
    return Node("negative", (left[0],)) if lost_first else left[0]


def changed(node: Node, kinds: Mapping[str, Callable[[Node], Node]]) -> Iterator[Node]:
    """The same with one node of these kinds changed, for each of them in turn."""
    if node.kind in kinds:
        yield kinds[node.kind](node)
    for place, part in enumerate(node.parts):
        for one in changed(part, kinds):
            yield replace(node, parts=(*node.parts[:place], one, *node.parts[place + 1 :]))


def changed_in_any(node: Node, kinds: Mapping[str, Callable[[Node], Node]]) -> Iterator[Node]:
    """The same with one or more nodes of these kinds changed, for every choice of them.

    For changes that are undone by being made twice, such as sine for cosine and back.
    """
    every = [node]
    for one in every:
        for other in changed(one, kinds):
            if other not in every:
                every.append(other)
                yield other


def letters_in(node: Node) -> list[str]:
    """The letters, each once, in the order in which they are written."""
    return list(dict.fromkeys(one.text for one in node.every() if one.kind == "letter"))
