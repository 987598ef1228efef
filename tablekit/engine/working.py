"""Working: how a value was found, step by step, as a teacher would write it on the board."""

from __future__ import annotations

import html
import math
import textwrap
from abc import ABC, abstractmethod
from collections.abc import Collection, Sequence
from functools import cached_property
from typing import Any, Protocol

import sympy as sp

from tablekit.engine.declarations import Declarations
from tablekit.engine.formula import (
    FormulaWriter,
    MathML,
    Piece,
    Plain,
    Script,
    Tex,
    number_piece,
    read_on,
)
from tablekit.engine.order import ClosedStep, Order, Step, TogetherStep
from tablekit.engine.quantity import Constant, Quantity, unit_zero
from tablekit.engine.reduced import (
    AssumedWorking,
    ClosedWorking,
    Reduction,
    TogetherWorking,
    WorkedStep,
)
from tablekit.engine.relation import Relation
from tablekit.engine.shop import quantity_text, shown_scale
from tablekit.engine.units import ShopStyle, figures_text, shop_text
from tablekit.engine.wording import capital, words


class Answered(Protocol):
    """What a working needs of a sheet."""

    shop_style: ShopStyle

    @property
    def plan(self) -> Order:
        """The order in which it was solved."""

    @property
    def network(self) -> Declarations:
        """What was declared."""

    @property
    def si(self) -> dict[str, float]:
        """All values, coherent SI."""

    @property
    def alternatives(self) -> dict[str, tuple[float, ...]]:
        """Several values of a quantity that are possible."""

    @property
    def residuals(self) -> dict[str, float]:
        """What each relation leaves over."""

    def __getitem__(self, name: str) -> Any: ...
    def number(self, name: str) -> float:
        """A value in its reporting unit."""

    def shop(self, name: str) -> str:
        """A value as it is read."""


METRIC = ShopStyle()  # readings are declared on its scales


class Working:
    """The working of one quantity of a sheet.

    style decides the units shown; by default those of the sheet. With `brief` a notebook shows only
    the formulas. Rounding comes last: numbers put in are shown to six figures and carried in full.
    What is `known` is quoted, and the steps to it are left out.
    """

    def __init__(
        self,
        sheet: Answered,
        name: str,
        style: ShopStyle | None = None,
        brief: bool = False,
        known: Collection[str] = (),
    ):
        self.sheet, self.name, self.brief = sheet, name, brief
        self.known = frozenset(known)
        self.quantity: Quantity = sheet.network.quantity(name)
        self.style = style or sheet.shop_style

    @cached_property
    def givens(self) -> tuple[str, ...]:
        """The givens that it rests on."""
        if not self.known:
            return self.sheet.plan.givens_behind(self.name)
        return tuple(given for given in self.sheet.plan.givens if given in self._used)

    @cached_property
    def quoted(self) -> tuple[str, ...]:
        """What of the `known` it rests on, in the order of solution."""
        found = {name for step in self._plan_steps for name in step.unknowns}
        used = self._used & self.known - found
        return tuple(name for name in self.sheet.plan.found if name in used)

    @cached_property
    def _plan_steps(self) -> tuple[Step, ...]:
        return self.sheet.plan.steps_to(self.name, known=self.known)

    @cached_property
    def _used(self) -> set[str]:
        return {self.name}.union(*(step.needs for step in self._plan_steps))

    @cached_property
    def steps(self) -> tuple[WorkedStep, ...]:
        """Every step that leads to it, in order; none for a given."""
        if self.name in self.sheet.plan.givens:
            return ()
        return tuple(self._worked(step) for step in self._plan_steps)

    @cached_property
    def reduced(self) -> Reduction:
        """The same cut down to what a person would write."""
        return Reduction(self)

    def _worked(self, step: Step) -> WorkedStep:
        if isinstance(step, TogetherStep):
            left_over = self.sheet.residuals
            return TogetherWorking(
                step.tried,
                tuple(self._closed(inner) for inner in step.follow),
                step.closing,
                step.relations,
                {relation.name: left_over[relation.name] for relation in step.relations},
                {n: self.sheet.alternatives[n] for n in step.tried if n in self.sheet.alternatives},
            )
        assumption = self.sheet.plan.assumed_directly(step.unknown)
        if assumption is not None:
            waits_for = step.needs & set(self.sheet.plan.found)
            return AssumedWorking(step.unknown, assumption, outright=not waits_for)
        return self._closed(step)

    def _closed(self, step: ClosedStep) -> ClosedWorking:
        return ClosedWorking(step.unknown, step.relation, self._branch_taken(step))

    def _branch_taken(self, step: ClosedStep) -> sp.Expr:
        """The branch whose value is the one on the sheet."""
        if len(step.forms) == 1:
            return step.forms[0]
        wanted = self.sheet.si[step.unknown]

        def distance(form: sp.Expr) -> float:
            put_in = {symbol: self.si(symbol.name) for symbol in form.free_symbols}
            found = complex(form.evalf(subs=put_in))
            return abs(found - wanted) if math.isfinite(found.real) else math.inf

        return min(step.forms, key=distance)

    def thing(self, name: str) -> Quantity | Constant:
        """The quantity or constant of that name."""
        network = self.sheet.network
        return network.constants[name] if name in network.constants else network.quantity(name)

    def si(self, name: str) -> float:
        """Its value in coherent SI."""
        thing = self.thing(name)
        return thing.si if isinstance(thing, Constant) else self.sheet.si[name]

    @cached_property
    def answer(self) -> str:
        """The value rounded, with the rounding error."""
        if self.sheet[self.name].number is None or self.quantity.whole:
            return self.sheet.shop(self.name)
        number = self.sheet.number(self.name)
        said = quantity_text(number, self.quantity, self.style)
        plain = shop_text(number, self.quantity.unit, self.style)
        # How far it was rounded is of interest where it was rounded to a mark, either way.
        exact = shop_text(number, self.quantity.unit, self.style, with_error=True)
        return exact if said == plain else said

    def text(self, brief: bool = False) -> str:
        """As plain text for a terminal."""
        return TextWriter(self).write(brief)

    def markdown(self, brief: bool = False) -> str:
        """As Markdown with TeX formulas, for a notebook."""
        return MarkdownWriter(self).write(brief)

    def latex(self, brief: bool = False) -> str:
        """As LaTeX, to be put into a document that loads amsmath."""
        return LatexWriter(self).write(brief)

    def html(self, brief: bool = False) -> str:
        """As HTML with MathML, which needs no script."""
        return HtmlWriter(self).write(brief)

    def _repr_markdown_(self) -> str:
        return self.markdown(self.brief)

    def __repr__(self) -> str:
        return self.text(self.brief)


# -- boards -----------------------------------------------------------------------------------
#
# Writers of the working: for a terminal, Markdown, LaTeX, HTML.
#
# `WorkingWriter` decides what is said and in which order; its children only how a heading, a line,
# a formula or a remark is set.

_LINE = 96  # characters of plain text; formulas are never broken


class WorkingWriter(ABC):
    """Writes a `Working`. Children say how the parts are set."""

    script: Script

    def __init__(self, working: Working):
        self.working = working
        self._letters = FormulaWriter(self.script, self._letter)
        self._numbers = FormulaWriter(self.script, self._number, numbers=True)
        self._out: list[str] = []

    # -- how things are set -----------------------------------------------------------------

    @abstractmethod
    def heading(self, text: str, level: int) -> None:
        """A heading; level 1 opens the working, 2 a part of it, 3 a step."""

    @abstractmethod
    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        """Lines of one calculation: (left side or '', right side)."""

    @abstractmethod
    def value(self, letter: str, text: str, remark: str) -> None:
        """One value, with a remark."""

    @abstractmethod
    def remark(self, text: str) -> None:
        """A sentence."""

    @abstractmethod
    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        """The letter of a quantity in a formula."""

    @abstractmethod
    def number_text(self, text: str) -> str:
        """A number with its unit in a formula."""

    def finish(self) -> str:
        """The whole text."""
        return "\n".join(self._out).strip() + "\n"

    # -- what is said -----------------------------------------------------------------------

    def write(self, brief: bool, known: Collection[str] = ()) -> str:
        """The working, in full or only its formulas; steps to what is `known` are left out."""
        working, name = self.working, self.working.name
        self.heading(f"{name}: {working.quantity.meaning}", 1)
        # What is assumed outright comes first; what is assumed in terms of something found has to
        # wait for it.
        every = working.reduced.steps if brief else working.steps
        steps = [step for step in every if not step.finds <= set(known)]
        plain = working.reduced.plain if brief else _outright
        outright = [s for s in steps if isinstance(s, AssumedWorking) and plain(s)]
        self._rests_on(outright, brief, known)
        waiting = (s for s in steps if s not in outright)
        for number, worked in enumerate(waiting, start=1):
            self._step(number, worked, brief)
        self.heading("Answer", 2)
        value = working.sheet[name]
        if value.number is None:
            self.remark(f"{name} has no value here: {value.reason}.")
        else:
            letter = self._letters.text(working.quantity.symbol)
            self.chain([(letter, self.number_text(self._figures(name)))])
            self.remark(f"{working.sheet.network.wording.rounded}: {working.answer}.")
        return self.finish()

    def _rests_on(
        self, assumed: Sequence[AssumedWorking], brief: bool, known: Collection[str]
    ) -> None:
        """What is given, what is assumed outright, and what stands at an exact value."""
        givens = [given for given in self.working.givens if given not in known]
        if givens:
            self.heading("Given", 2)
        for given in givens:
            self._say_value(given, self.working.thing(given).meaning)
        if assumed:
            self.heading("Assumed", 2)
        for step in assumed:
            if brief:
                self._say_assumed(step.unknown)
            else:
                self.heading(step.unknown, 3)
                self._assumed(step, brief)
        exactly = [one for one in self.exactly() if one[0] not in known] if brief else []
        if exactly:
            self.heading(capital(self.exactly_where), 2)
            self.chain([(left, right) for _, left, right in exactly])

    @property
    def exactly_where(self) -> str:
        """What stands before `exactly`: equal quantities alone need no exact value."""
        exact = self.working.reduced.exact
        return self.working.sheet.network.wording.exactly if exact else "equal"

    def _say_assumed(self, name: str) -> None:
        """In one line: by the other quantity where it is that unchanged."""
        other = self.working.reduced.same.get(name)
        if other is None:
            self._say_value(name, words(name))
        else:
            letters = self._letters
            self.value(letters.text(self._symbol(name)), letters.text(other), words(name))

    def exactly(self) -> list[tuple[str, str, str]]:
        """What stands at an exact value or is another quantity unchanged: its name, or that of the
        ratio of an angle; its letter; the value."""
        reduced, letters = self.working.reduced, self._letters
        rows = [
            (str(ratio), letters.text(ratio), letters.text(reduced.value(ratio)))
            for ratio in reduced.ratios
        ]
        in_ratios = {ratio.args[0].name for ratio in reduced.ratios}
        for name in reduced.exact_used:
            if name not in in_ratios:
                rows.append((name, letters.text(self._symbol(name)), self._exact_text(name)))
        for name in reduced.equal:
            other = reduced.same.get(name)
            right = self.number_text("0") if other is None else letters.text(other)
            rows.append((name, letters.text(self._symbol(name)), right))
        return rows

    def _exact_text(self, name: str) -> str:
        """√2 for a plain number, 45° for an angle."""
        if self.working.thing(name).unit == "1":
            return self._letters.text(self.working.reduced.exact[name])
        return self.number_text(self._figures(name))

    def _symbol(self, name: str) -> sp.Symbol:
        return self.working.thing(name).symbol

    def letters_in(self, form: sp.Expr) -> str:
        """A formula in letters; what is read on another scale than that of the formula is turned
        to it."""
        form, turned = self._turned(form)

        def leaf(symbol: sp.Symbol) -> Piece:
            return self._reading(turned[symbol]) if symbol in turned else self._letter(symbol)

        return FormulaWriter(self.script, leaf).text(form)

    def _turned(self, form: sp.Expr) -> tuple[sp.Expr, dict[sp.Symbol, str]]:
        """A form with a symbol of its own for each reading on another scale, and without the marks
        of that of the formula."""
        read = [one for one in form.free_symbols if self._read_elsewhere(one.name)]
        if not read:
            return form, {}
        marks = [one for one in form.free_symbols if _is_mark(self.working.thing(one.name))]
        own = {one: sp.Symbol(f"{one.name} on its scale", positive=True) for one in read}
        put_in = {**dict.fromkeys(marks, sp.Integer(1)), **own}
        return form.xreplace(put_in), {symbol: one.name for one, symbol in own.items()}

    def _reading(self, name: str, numbers: bool = False) -> Piece:
        """A reading, in letters or as a number, turned to the scale of the formula."""
        thing = self.working.thing(name)
        label, zero, degrees = shown_scale(thing.unit, self.working.style)
        if numbers:
            number = self.working.sheet[name].number or 0.0
            shown = figures_text(number * degrees + zero, "1", self.working.style)
            reading = Piece(self.script.number(shown))
        else:
            mark = self.letter_text("scale", rf"\text{{{label}}}", label)
            reading = self.script.over(self._letter(thing.symbol), Piece(mark, unit=True))
        return read_on(self.script, reading, zero, degrees)

    def numbers_in(self, form: sp.Expr) -> str:
        """A formula with the numbers put in, those that are exact as such."""
        form, turned = self._turned(form)
        numerals = self.working.reduced.numerals(form)
        # Named, so that the order of terms is the same each time.
        put_in = {one: sp.Symbol(str(one), positive=True) for one in numerals}
        shown = {put_in[one]: numerals[one] for one in numerals}

        def leaf(symbol: sp.Symbol) -> Piece:
            if symbol in turned:
                return self._reading(turned[symbol], numbers=True)
            return self._letters.piece(shown[symbol]) if symbol in shown else self._number(symbol)

        return FormulaWriter(self.script, leaf, numbers=True).text(form.xreplace(put_in))

    def _figures(self, name: str) -> str:
        thing = self.working.thing(name)
        if isinstance(thing, Constant):
            return figures_text(thing.value, thing.unit, self.working.style)
        number = self.working.sheet[name].number
        if number is None:
            return "no value"
        return figures_text(number, thing.unit, self.working.style)

    def _letter(self, symbol: sp.Symbol) -> Piece:
        thing = self.working.thing(symbol.name)
        text = self.letter_text(symbol.name, thing.tex, thing.letter)
        return Piece(text, unit=_is_unit(thing))

    def _number(self, symbol: sp.Symbol) -> Piece:
        thing = self.working.thing(symbol.name)
        if _is_unit(thing):
            return self._letter(symbol)
        if _on_a_scale(thing):
            return number_piece(self.number_text(self._kelvin(symbol.name)))
        figures = self._figures(symbol.name)
        return number_piece(self.number_text(figures), figures.startswith(("−", "-")))

    def _read_elsewhere(self, name: str) -> bool:
        """Whether it is read on another scale than that of the formula."""
        thing = self.working.thing(name)
        if not isinstance(thing, Quantity) or not thing.reading:
            return False
        number = self.working.sheet[name].number
        scales = (figures_text(number or 0.0, thing.unit, s) for s in (self.working.style, METRIC))
        return number is not None and len(set(scales)) > 1

    def _kelvin(self, name: str) -> str:
        """A temperature as a formula takes it: 20 °C multiplied by anything would be wrong."""
        return figures_text(self.working.si(name), "K", self.working.style)

    def _say_value(self, name: str, remark: str) -> None:
        symbol = self.working.thing(name).symbol
        self.value(self._letters.text(symbol), self.number_text(self._figures(name)), remark)

    def _assumed(self, step: AssumedWorking, brief: bool) -> None:
        symbol = self.working.thing(step.unknown).symbol
        left = self._letters.text(symbol)
        value = step.assumption.value
        lines = []
        if not value.is_Number:
            lines.append((left, self._letters.text(value)))
            left = ""
        if value.free_symbols and not value.is_Symbol:
            lines.append(("", self._numbers.text(value)))
        lines.append((left, self.number_text(self._figures(step.unknown))))
        self.chain(lines)
        if not brief:
            self.remark(step.assumption.why)
            self.remark(f"Source: {step.assumption.source}.")

    def _step(self, number: int, step: WorkedStep, brief: bool) -> None:
        if isinstance(step, ClosedWorking):
            self.heading(f"Step {number}. {step.unknown}, from {step.relation.name}", 3)
            if not brief:
                self.remark(step.relation.meaning)
            self._calculation(step, brief, declared=not brief)
            self._justify(step.relation, brief)
        elif isinstance(step, TogetherWorking):
            self._together(number, step, brief)
        else:
            self.heading(f"Step {number}. {step.unknown}, assumed", 3)
            self._assumed(step, brief)

    def _justify(self, relation: Relation, brief: bool) -> None:
        if brief:
            return
        self.remark(f"Why: {relation.why}")
        if relation.limits:
            words = "; ".join(limit.words for limit in relation.limits)
            self.remark(f"Holds while {words}.")
        self.remark(f"Source: {relation.source}.")

    def _calculation(self, step: ClosedWorking, brief: bool, *, declared: bool) -> None:
        """One step. `declared` writes the relation down as well, where the form is another."""
        equation = step.relation.equation
        symbol = self.working.thing(step.unknown).symbol
        form = self.working.reduced.form(step) if brief else step.form
        lines: list[tuple[str, str]] = []
        already = equation.lhs == symbol and equation.rhs == form
        if declared and not already:
            lines.append((self._letters.text(equation.lhs), self.letters_in(equation.rhs)))
        lines.append((self._letters.text(symbol), self.letters_in(form)))
        if form.free_symbols and not form.is_Symbol:
            lines.append(("", self.numbers_in(form)))
        if brief and step.unknown in self.working.reduced.exact:
            lines.append(("", self._exact_text(step.unknown)))
        if _on_a_scale(self.working.thing(step.unknown)):
            lines.append(("", self.number_text(self._kelvin(step.unknown))))
        if (found := self.number_text(self._figures(step.unknown))) != lines[-1][1]:
            lines.append(("", found))
        self.chain(lines)

    def _together(self, number: int, step: TogetherWorking, brief: bool) -> None:
        names = ", ".join(step.tried)
        self.heading(f"Step {number}. {names}, from relations that must hold together", 3)
        for relation in step.relations:
            eq = relation.equation
            self.chain([(self._letters.text(eq.lhs), self._letters.text(eq.rhs))])
        closing = " and ".join(f"“{relation.name}”" for relation in step.closing)
        self.remark(
            f"None of these can be solved alone. Try a value of {names}, follow the others "
            f"through, and see whether {closing} closes. It does at:"
        )
        for name in step.tried:
            self._say_value(name, "")
        for name, others in step.others.items():
            texts = [
                figures_text(x, self.working.thing(name).unit, self.working.style) for x in others
            ]
            self.remark(
                f"It closes at {' and at '.join(texts)}; the one nearest to what would have "
                "been assumed is taken."
            )
        for inner in step.follow:
            self._calculation(inner, brief, declared=False)
        worst = max(step.left_over.values(), default=0.0)
        self.remark(
            f"Put back, the {len(step.relations)} relations leave at most {worst:.0e} of their "
            "own size."
        )
        if not brief:
            for relation in step.relations:
                self.remark(f"“{relation.name}”: {relation.why} Source: {relation.source}.")


def _outright(step: WorkedStep) -> bool:
    return isinstance(step, AssumedWorking) and step.outright


def _is_unit(thing: Quantity | Constant) -> bool:
    """Whether it stands in formulas as a unit of measure: a constant that is one of its unit."""
    return isinstance(thing, Constant) and thing.value == 1


def _is_mark(thing: Quantity | Constant) -> bool:
    """Whether it only marks that a formula takes a number as it is read on a scale."""
    return _is_unit(thing) and thing.unit == "1"


def _on_a_scale(thing: Quantity | Constant) -> bool:
    """Whether its unit is a scale whose zero is not that of the quantity: °C or °F."""
    return unit_zero(thing.unit) != 0 and not (isinstance(thing, Quantity) and thing.reading)


class TextWriter(WorkingWriter):
    """Plain text."""

    script = Plain()

    def heading(self, text: str, level: int) -> None:
        if level == 1:
            self._out += [text, "=" * len(text)]
        elif level == 2:
            self._out += ["", text, "-" * len(text)]
        else:
            self._out += ["", text]

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        width = max((len(left) for left, _ in lines if len(left) <= 12), default=0)
        self._out += [f"    {left:>{width}} = {right}" for left, right in lines]

    def value(self, letter: str, text: str, remark: str) -> None:
        self._out.append(f"    {letter} = {text}" + (f"   {remark}" if remark else ""))

    def remark(self, text: str) -> None:
        self._out.append(textwrap.fill(text, _LINE, initial_indent="  ", subsequent_indent="  "))

    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        return plain

    def number_text(self, text: str) -> str:
        return text


def _tex_number(text: str) -> str:
    number, _, unit = text.replace("−", "-").partition(" ")
    if number.endswith("°"):
        return rf"{number[:-1]}^\circ"
    mantissa, _, exponent = number.partition("e")
    if exponent:
        number = rf"{mantissa} \cdot 10^{{{int(exponent)}}}"
    for plain, tex in (
        ("%", r"\%"), ("⁴", "^4"), ("³", "^3"), ("²", "^2"), ("·", r"\cdot "), ("Ω", r"\Omega "),
    ):  # fmt: skip
        unit = unit.replace(plain, tex)
    return rf"{number}\,\mathrm{{{unit}}}" if unit else number


class MarkdownWriter(WorkingWriter):
    """Markdown with TeX between dollars."""

    script = Tex()

    def heading(self, text: str, level: int) -> None:
        self._out.append(f"\n{'#' * (level + 2)} {text}\n")

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        body = r" \\ ".join(f"{left} &= {right}" for left, right in lines)
        self._out.append(rf"$$\begin{{aligned}} {body} \end{{aligned}}$$")

    def value(self, letter: str, text: str, remark: str) -> None:
        self._out.append(f"* ${letter} = {text}$" + (f" {remark}" if remark else ""))

    def remark(self, text: str) -> None:
        self._out.append(f"\n{_markdown_escape(text)}\n")

    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        return tex

    def number_text(self, text: str) -> str:
        return _tex_number(text)


def _markdown_escape(text: str) -> str:
    return "".join("\\" + c if c in "\\`*_{}[]<>$#" else c for c in text)


_TEX_SPECIAL = {c: f"\\{c}" for c in "&%$#_{}"} | {
    "~": r"\textasciitilde{}",
    "^": r"\textasciicircum{}",
    "\\": r"\textbackslash{}",
}


def _latex_escape(text: str) -> str:
    return "".join(_TEX_SPECIAL.get(c, c) for c in text)


class LatexWriter(MarkdownWriter):
    """LaTeX to be put into a document."""

    def heading(self, text: str, level: int) -> None:
        command = ("section*", "subsection*", "paragraph")[level - 1]
        self._out.append(rf"\{command}{{{_latex_escape(text)}}}")

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        body = " \\\\\n".join(f"  {left} &= {right}" for left, right in lines)
        self._out.append(f"\\begin{{align*}}\n{body}\n\\end{{align*}}")

    def value(self, letter: str, text: str, remark: str) -> None:
        self._out.append(rf"\noindent ${letter} = {text}$ {_latex_escape(remark)}\par")

    def remark(self, text: str) -> None:
        self._out.append(rf"\noindent {_latex_escape(text)}\par")


class HtmlWriter(WorkingWriter):
    """HTML with MathML."""

    script = MathML()

    def heading(self, text: str, level: int) -> None:
        self._out.append(f"<h{level + 2}>{html.escape(text)}</h{level + 2}>")

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        rows = "".join(
            f'<mtr><mtd style="text-align:right">{left}</mtd><mtd><mo>=</mo></mtd>'
            f'<mtd style="text-align:left">{right}</mtd></mtr>'
            for left, right in lines
        )
        self._out.append(
            '<p style="margin-left:2em; overflow-x:auto; overflow-y:hidden">'
            f'<math><mtable displaystyle="true">{rows}</mtable></math></p>'
        )

    def value(self, letter: str, text: str, remark: str) -> None:
        formula = f"<math><mrow>{letter}<mo>=</mo>{text}</mrow></math>"
        self._out.append(f"<p>{formula} {html.escape(remark)}</p>")

    def remark(self, text: str) -> None:
        self._out.append(f"<p>{html.escape(text)}</p>")

    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        letter, _, below = plain.partition("_")
        base = f"<mi>{html.escape(letter)}</mi>"
        return f"<msub>{base}<mi>{html.escape(below)}</mi></msub>" if below else base

    def number_text(self, text: str) -> str:
        number, _, unit = text.partition(" ")
        shown = f"<mn>{html.escape(number)}</mn>"
        if not unit:
            return shown
        return f"<mrow>{shown}<mspace width='0.25em'/><mtext>{html.escape(unit)}</mtext></mrow>"
