"""The short way to an answer, as a class is taught it: one line of arithmetic, and the mistakes
made on the way.

A mistake says what is done wrong: as a line of arithmetic beside the right one, worked with the
pupil's numbers, or as a misreading that is put through the same relations as the right answer.
`checking.py` finds what answer it leads to and compares. The slips that can be made in any formula
(a term left out, a sign turned, sine for cosine, a calculator set to radians, × √3 for ÷ √3) are
made from the formula; the others are written out beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from tablekit.teaching.arithmetic import (
    Node,
    changed,
    changed_in_any,
    number,
    put_in,
    read_arithmetic,
    without,
)

# -- mistakes --------------------------------------------------------------------------------------

Reading = Callable[[float], float]


def times(factor: float) -> Reading:
    """A number read as a multiple of itself."""
    return lambda number: number * factor


def from_the_floor(degrees: float) -> float:
    """A lean read from the floor instead of from plumb, or the other way round."""
    return 90.0 - degrees


MM_PER_INCH = 25.4
HALF, DOUBLE = times(0.5), times(2.0)


@dataclass(frozen=True)
class Mistake:
    """One misreading of a question.

    name       in a few words
    words      one kind sentence to the student, to follow "This looks as if"
    misread    quantity -> how its right value was misread
    taken_for  given -> the quantity that it was taken for
    topic      the wrong set of relations that was used; the question's own where ""
    answered   how the answer itself was misread or spoiled in the end
    worked     the line of arithmetic that it leads to, in the letters of a `SchoolFormula`; the
               relations are not asked then
    """

    name: str
    words: str
    misread: Mapping[str, Reading] = field(default_factory=dict)
    taken_for: Mapping[str, str] = field(default_factory=dict)
    topic: str = ""
    answered: Reading | None = None
    worked: str = ""


def forgot(what: str) -> Mistake:
    """Something that was left out."""
    return Mistake(f"forgot {what}", f"you left out {what}.")


def doubled(name: str, words: str) -> Mistake:
    """A diameter put in where a radius belongs."""
    return Mistake(f"{name.replace('_', ' ')}: diameter for radius", words, misread={name: DOUBLE})


def halved(name: str, words: str) -> Mistake:
    """A radius put in where a diameter belongs."""
    return Mistake(f"{name.replace('_', ' ')}: radius for diameter", words, misread={name: HALF})


ANGLE = Mistake(
    "lean from the floor",
    "you gave the lean from the floor; the question is the lean from plumb.",
    answered=from_the_floor,
)
ANY_LENGTH: tuple[Mistake, ...] = (
    Mistake(
        "inches for millimetres",
        "the number is in millimetres, but you wrote inches.",
        answered=times(MM_PER_INCH),
    ),
    Mistake(
        "millimetres for inches",
        "the number is in inches, but you wrote millimetres.",
        answered=times(1.0 / MM_PER_INCH),
    ),
)
ANY_NUMBER: tuple[Mistake, ...] = (
    Mistake(
        "decimal point to the right",
        "the decimal point slipped one place to the right.",
        answered=times(10.0),
    ),
    Mistake(
        "decimal point to the left",
        "the decimal point slipped one place to the left.",
        answered=times(0.1),
    ),
)
ANY_SHARE: tuple[Mistake, ...] = (
    Mistake(
        "share written as per cent",
        "you wrote a share with the sign of a percentage; multiply it by a hundred first.",
        answered=times(0.01),
    ),
)


def slip(name: str, words: str, worked: str) -> Mistake:
    """A mistake that is worked as a line of arithmetic, in the letters of its `SchoolFormula`."""
    return Mistake(name, words, worked=worked)


# -- formulas and their slips ----------------------------------------------------------------------


@dataclass(frozen=True)
class Worked:
    """A mistake and the line of arithmetic that it leads to.

    radians  whether it is worked on a calculator that is set to radians
    """

    mistake: Mistake
    line: Node
    radians: bool = False


@dataclass(frozen=True)
class SchoolFormula:
    """How a pupil finds the answer, and how it goes wrong.

    text      the right side, in letters; "" where no line of arithmetic leads to the answer
    strategy  what to do, in a sentence or two, without a formula
    letters   letter -> the given that it stands for
    names     letter, or several with spaces between -> what it is, as a noun phrase
    fixed     letter -> a number that the question does not give, as it is written
    also      a letter of `fixed` -> other numbers that are right for it as well
    said      what the question says of them, a sentence; "" for nothing
    forms     other right ways to the same answer
    forget    letters, or several with spaces between, that are left out at times
    turn      the same, whose sign is turned at times
    slips     further mistakes, each with its line in `worked`
    """

    text: str
    strategy: str
    letters: Mapping[str, str]
    names: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    said: str = ""
    forms: tuple[str, ...] = ()
    forget: tuple[str, ...] = ()
    turn: tuple[str, ...] = ()
    slips: tuple[Mistake, ...] = ()

    @cached_property
    def line(self) -> Node:
        """The right line."""
        return read_arithmetic(self.text)

    @cached_property
    def right_lines(self) -> tuple[Node, ...]:
        """The right line and the other right ways."""
        texts = (self.text, *self.forms) if self.text else self.forms
        return tuple(read_arithmetic(text) for text in texts)

    @cached_property
    def wrong_lines(self) -> tuple[Worked, ...]:
        """Every slip with its line. Those written out come first, since their words say most; what
        is made from the formula and is the same line is the same mistake, and left out."""
        written = [Worked(one, read_arithmetic(one.worked)) for one in self.slips]
        made = [*self._left_out(), *self._turned(), *self._roots()] if self.text else []
        for line in self.right_lines:
            made += [*_sine_for_cosine(line), *_set_to_radians(line)]
        said = {(one.line, one.radians) for one in written}
        return (*written, *(one for one in made if (one.line, one.radians) not in said))

    def name(self, letters: str) -> str:
        """What letters stand for; the letters themselves where no name is given."""
        return self.names.get(letters, letters.replace(" ", " and "))

    def _left_out(self) -> Iterator[Worked]:
        for group in self.forget:
            line = self.line
            for letter in group.split():
                line = without(line, letter)
            yield Worked(forgot(self.name(group)), line)

    def _turned(self) -> Iterator[Worked]:
        for group in self.turn:
            turned = {one: Node("negative", (Node("letter", text=one),)) for one in group.split()}
            words = f"you turned a sign: {self.name(group)} added where it should be taken away, "
            mistake = Mistake(f"sign of {self.name(group)}", f"{words}or the other way round.")
            yield Worked(mistake, put_in(self.line, turned))

    def _roots(self) -> Iterator[Worked]:
        for root in dict.fromkeys(one for one in self.line.every() if _is_root(one)):
            said = f"√{root.parts[0].text}"
            for sign, other, words in (
                ("×", "÷", f"you divided by {said} where you should multiply by it."),
                ("÷", "×", f"you multiplied by {said} where you should divide by it."),
            ):
                for line in changed(self.line, {sign: _Exchanged(root, other)}):
                    if line != self.line:
                        yield Worked(Mistake(f"{other} for {sign} {said}", words), line)
            for line in changed(self.line, {"√": _AsOne(root)}):
                if line != self.line:
                    words = f"you left out the factor {said}."
                    yield Worked(Mistake(f"without {said}", words), line)


def _is_root(node: Node) -> bool:
    return node.kind == "√" and node.parts[0].kind == "number"


@dataclass(frozen=True)
class _Exchanged:
    """Turns a product with a root into a quotient, or a quotient into a product."""

    root: Node
    sign: str

    def __call__(self, node: Node) -> Node:
        left, right = node.parts
        if right == self.root:
            return Node(self.sign, (left, right))
        if left == self.root and node.kind == "×":
            return Node(self.sign, (right, left))
        return node


@dataclass(frozen=True)
class _AsOne:
    """Takes a root for 1."""

    root: Node

    def __call__(self, node: Node) -> Node:
        return number("1") if node == self.root else node


_SWAPS = {
    one: (lambda node, other=other: Node(other, node.parts))
    for one, other in (("sin", "cos"), ("cos", "sin"), ("asin", "acos"), ("acos", "asin"))
}


def _sine_for_cosine(line: Node) -> Iterator[Worked]:
    """Sine and cosine exchanged, in every choice of the places where they stand."""
    places = [one for one in line.every() if one.kind in _SWAPS]
    for other in changed_in_any(line, _SWAPS):
        now = [one for one in other.every() if one.kind in _SWAPS]
        count = sum(a.kind != b.kind for a, b in zip(places, now, strict=True))
        where = "" if count == len(places) else " in one place" if count == 1 else " in some places"
        yield Worked(
            Mistake(
                f"sine for cosine{where}", f"sine and cosine are exchanged{where} in your working."
            ),
            other,
        )


def _set_to_radians(line: Node) -> Iterator[Worked]:
    turns = {"sin", "cos", "tan", "asin", "acos", "atan"}
    if any(one.kind in turns for one in line.every()):
        words = "your calculator was set to radians; the angles are in degrees."
        yield Worked(Mistake("degrees as radians", words), line, radians=True)
