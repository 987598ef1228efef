"""One section of a brief, and its keys: what each says and what may be written for it.

A key reads itself from a section; the readers, their messages and the README's table of keys are
all made from the keys. Each value is compared with what may stand there, and each fault is written
down: faults are collected, not raised, so that a maker can mend all of them in one go.
"""

from __future__ import annotations

import difflib
from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

from tablekit.brief.text import (
    MOST_KEPT,
    BriefProblem,
    Locator,
    Place,
    as_written,
    plain_text_fault,
)
from tablekit.engine.shop import plain_number
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, parse_quantity, shop_text
from tablekit.engine.wording import declared, listed
from tablekit.relations.wording import RENAMED

# -- a key -----------------------------------------------------------------------------------------

Named = TypeVar("Named")


@dataclass(frozen=True)
class Key(ABC):
    """One key. `meaning` is a noun phrase; `left_out` is what holds where the key is left out."""

    name: str
    meaning: str
    left_out: str = ""

    @property
    @abstractmethod
    def takes(self) -> str:
        """What may be written for it, in words."""

    @abstractmethod
    def read(self, section: BriefSection) -> Any:
        """The value; None where it is left out or wrong, which is then written down."""


@dataclass(frozen=True)
class TextKey(Key):
    """A short text."""

    @property
    def takes(self) -> str:
        return "a text"

    def read(self, section: BriefSection) -> str | None:
        return section.text(self.name)


@dataclass(frozen=True)
class Choice(Key):
    """One of some texts, numbers, or true and false."""

    choices: tuple[Any, ...] = ()

    @property
    def takes(self) -> str:
        return listed(map(as_written, self.choices), "or")

    def read(self, section: BriefSection) -> Any:
        return section.choice(self.name, self.choices)


@dataclass(frozen=True)
class Measure(Key):
    """A measure within a span, with its unit."""

    span: Span = field(default_factory=lambda: Span("1", "", 0, 0))
    required: bool = False

    @property
    def takes(self) -> str:
        unit = "" if self.span.unit == "1" else f" {self.span.unit}"
        number = "a whole number, " if self.span.whole else ""
        low, high = (f"{end:,.6g}".replace("-", "−") for end in (self.span.low, self.span.high))
        return f"{number}{low} to {high}{unit}"

    def read(self, section: BriefSection) -> float | None:
        return section.measure(self.name, self.span, self.required)


@dataclass(frozen=True)
class Price(Key):
    """A plain number of money, in whatever currency."""

    most: float = 1e6

    @property
    def takes(self) -> str:
        return f"a number, 0 to {self.most:,.0f}"

    def read(self, section: BriefSection) -> float | None:
        return section.number(self.name, 0, self.most, self.meaning)


@dataclass(frozen=True)
class Names(Key):
    """A list of names."""

    most: int = 200

    @property
    def takes(self) -> str:
        return 'a list of names: ["A", "B"]'

    def read(self, section: BriefSection) -> tuple[str, ...]:
        return section.texts(self.name, self.most)


def measure(name: str, span: Span, left_out: str = "", required: bool = False) -> Measure:
    """The key for a measure, which means what its span says."""
    return Measure(name, span.meaning, left_out, span, required)


def read(
    section: BriefSection, keys: Sequence[Key], hints: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """What a section says of each of its keys, by name; any other key in it is a fault."""
    section.only([key.name for key in keys], hints)
    return values(section, keys)


def values(section: BriefSection, keys: Iterable[Key]) -> dict[str, Any]:
    """What a section says of some of its keys, by name."""
    return {key.name: key.read(section) for key in keys}


def read_rows(
    rows: Sequence[BriefSection],
    keys: Sequence[Key],
    what: str,
    most: int,
    make: Callable[[BriefSection, dict[str, Any]], Named | None],
) -> tuple[Named, ...]:
    """The sections of `[[…]]`, each a kind of board or plank with a name of its own.

    what  "board"; one without a name is called "board 2"
    make  what a row says, made of it and of what each key says; None where too much is wrong"""
    if len(rows) > most:
        rows[most].wrong("", f"{len(rows)} kinds of {what}; {most} are the most")
        return ()
    found: dict[str, Named] = {}
    for number, row in enumerate(rows, start=1):
        said = read(row, keys)
        if "name" not in row.table:
            said["name"] = f"{what} {number}"
        name, one = said["name"], None if said["name"] is None else make(row, said)
        if one is not None and name in found:
            row.wrong("name", f"{as_written(name)} names two {what}s; give each its own name")
        elif one is not None:
            found[name] = one
    return tuple(found.values())


# -- a section -------------------------------------------------------------------------------------

SLIP = 0.8  # how like another a name is that was mistyped; 1 is the same
LONGEST_NAME = 200


class Typed(float):
    """A number that remembers how the maker wrote it in `text`; otherwise an ordinary float."""

    text: str

    def __new__(cls, number: float, text: str) -> Typed:
        made = super().__new__(cls, number)
        made.text = text
        return made

    def __getnewargs__(self) -> tuple[float, str]:  # type: ignore[override]
        return float(self), self.text


@dataclass(frozen=True)
class Span:
    """What a measure may be: reporting unit, meaning in a maker's words, low and high inclusive,
    how a plain number is said (`Quantity.said`)."""

    unit: str
    meaning: str
    low: float
    high: float
    whole: bool = False
    said: str = ""


@dataclass
class BriefText:
    """The text a brief came from and what was found wrong with it.

    headings  keys that stand above the first section"""

    text: str
    problems: list[BriefProblem] = field(default_factory=list)
    headings: Collection[str] = ()

    @property
    def full(self) -> bool:
        """Enough faults; looking for more helps nobody."""
        return len(self.problems) >= MOST_KEPT

    @cached_property
    def locator(self) -> Locator:
        """Made only when something has to be located."""
        return Locator(self.text)


def _is_section(value: object) -> bool:
    """Whether it was written as `[name]` or `[[name]]`, or as what stands for these."""
    rows = value if isinstance(value, list) and value else [value]
    return all(isinstance(row, dict) for row in rows)


@dataclass
class BriefSection:
    """A table of the brief. `place` is where it stands; `title` how a message calls it."""

    source: BriefText
    table: Mapping[str, Any]
    place: Place = ()

    @property
    def title(self) -> str:
        """ "given", "room.driest", "boards 2"; nothing for the top of the file."""
        title = ""
        for part in self.place:
            joint = f" {part + 1}" if isinstance(part, int) else f".{_clean(part)}"
            title += joint if title else str(part)
        return title

    def wrong(self, key: str, message: str) -> None:
        """Write down a fault at `key` ('' for the section itself)."""
        if self.source.full:
            return
        place = (*self.place, key) if key else self.place
        line = self.source.locator.line(place) if place else None
        self.source.problems.append(BriefProblem(message, line, self.title, key))

    def found(self, key: str) -> str:
        """The key and its value as the brief wrote them."""
        return f"{_clean(key)} = {as_written(self.table[key])}"

    def only(self, known: Sequence[str], hints: Mapping[str, str] | None = None) -> None:
        """Refuse keys that are not `known`; `hints` has better advice for some of them."""
        for key in self.table:
            if key in known or self.source.full:
                continue
            advice = (hints or {}).get(key) or did_you_mean(key, known)
            if self.place and key in self.source.headings:
                advice = "it belongs at the head of the brief, above its first section"
            if (now := RENAMED.get(key)) in known:
                advice = f"it is now called {now}"
            what = "section" if _is_section(self.table[key]) and not self.place else "name"
            self.wrong(key, f'"{_clean(key)}" is not a {what} known here; {advice}')

    def section(self, key: str) -> BriefSection | None:
        """The sub-section `key`, None where it is left out or is no section."""
        if key not in self.table:
            return None
        if not isinstance(self.table[key], dict):
            form = f"[{key}]" if not self.place else f"{key} = {{ name = value, … }}"
            self.wrong(key, f"{self.found(key)} is not a section; write {form}")
            return None
        return BriefSection(self.source, self.table[key], (*self.place, key))

    def rows(self, key: str) -> list[BriefSection]:
        """The sections of `[[key]]`, none where it is left out."""
        if key not in self.table:
            return []
        rows = self.table[key]
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.wrong(key, f"{key} is a list of sections; write [[{key}]] above each")
            return []
        return [BriefSection(self.source, row, (*self.place, key, i)) for i, row in enumerate(rows)]

    def choice(self, key: str, choices: Sequence[Any]) -> Any:
        """The value of `key` when it is one of `choices`; None where left out or wrong."""
        if key not in self.table:
            return None
        value = self.table[key]
        for one in choices:
            if type(value) is type(one) and value == one:
                return one
        allowed = listed(map(as_written, choices), "or")
        texts = [one for one in choices if isinstance(one, str)]
        typed = value[:100].strip().lower() if isinstance(value, str) else ""
        near = difflib.get_close_matches(typed, texts, n=1, cutoff=0.7)
        asked = f"; did you mean {as_written(near[0])}?" if near else ""
        self.wrong(key, f"{self.found(key)} is not among the choices: {allowed}{asked}")
        return None

    def text(self, key: str) -> str | None:
        """A short text without control characters; None where left out or wrong."""
        if key not in self.table:
            return None
        value = self.table[key]
        if not isinstance(value, str):
            self.wrong(key, f'{self.found(key)} is not a text; write {key} = "…"')
        elif len(value) > LONGEST_NAME:
            self.wrong(key, f"{key} has {len(value)} characters; {LONGEST_NAME} are the most")
        elif fault := plain_text_fault(value):
            self.wrong(
                key, f"{self.found(key)} {fault}; write it on one line, in letters and marks"
            )
        else:
            return value
        return None

    def texts(self, key: str, most: int) -> tuple[str, ...]:
        """A list of texts without control characters; () where left out or wrong."""
        if key not in self.table:
            return ()
        values = self.table[key]
        if not isinstance(values, list) or not all(isinstance(one, str) for one in values):
            self.wrong(key, f'{self.found(key)} is not a list of texts; write {key} = ["…", "…"]')
        elif len(values) > most:
            self.wrong(key, f"{key} has {len(values)} names; {most} are the most")
        elif any(plain_text_fault(one) or len(one) > LONGEST_NAME for one in values):
            self.wrong(key, f"{key} has a name that is no short plain text; mend it")
        else:
            return tuple(values)
        return ()

    def measure(self, key: str, span: Span, required: bool = False) -> Typed | None:
        """A quantity in `span.unit`; None where left out or wrong."""
        if key not in self.table:
            if required:
                self.wrong("", f"{key} is missing: {span.meaning}, {_within(span, '')}")
            return None
        value = self.table[key]
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.wrong(
                key, f"{self.found(key)} is not a measure; expected {span.meaning}, as a text"
            )
            return None
        try:
            number = parse_quantity(
                value, span.unit, _clean(key), signed=span.low < 0, said=span.said
            )
        except DesignError as trouble:
            self.wrong(key, str(trouble))
            return None
        if not span.low <= number <= span.high:
            self.wrong(
                key, f"{self.found(key)} is out of range: {span.meaning}, {_within(span, value)}"
            )
            return None
        if span.whole and number != int(number):
            self.wrong(key, f"{self.found(key)} is not a whole number: {span.meaning}")
            return None
        return Typed(number, value if isinstance(value, str) else "")

    def number(self, key: str, low: float, high: float, meaning: str) -> float | None:
        """A plain TOML number, for what has no unit of ours (money)."""
        if key not in self.table:
            return None
        value = self.table[key]
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(key, f"{self.found(key)} is not a number: {meaning}, written without quotes")
        elif not low <= value <= high:  # NaN too
            ends = f"from {plain_number(low)} to {plain_number(high)}"
            self.wrong(key, f"{self.found(key)} is out of range: {meaning}, {ends}")
        else:
            return float(value)
        return None


@contextmanager
def typed_in(table: Mapping[str, Any], *place: str | int) -> Iterator[BriefSection]:
    """A section that was typed into a form and stands in no file.

    Raises DesignError at the end, with all that was found wrong with it."""
    section = BriefSection(BriefText(""), table, place)
    yield section
    if section.source.problems:
        raise DesignError("; ".join(problem.message for problem in section.source.problems))


def _within(span: Span, value: object) -> str:
    """The span in words, in inches too for a maker who writes in them."""
    unit = "" if span.unit == "1" else f" {span.unit}"
    told = f"between {plain_number(span.low)}{unit} and {plain_number(span.high)}{unit}"
    imperial = isinstance(value, str) and any(mark in value for mark in ("in", "f", "'", '"'))
    if span.unit == "mm" and imperial:
        inches = [
            shop_text(edge, "mm", ShopStyle(display="in", fraction=16))
            for edge in (span.low, span.high)
        ]
        told += f" ({inches[0]} and {inches[1]})"
    return told


def _clean(key: str) -> str:
    return as_written(key)[1:-1]


def did_you_mean(key: str, known: Sequence[str]) -> str:
    """The name that is spelled nearly so, else the first that has all the words of the key, else
    the nearest."""
    wanted = declared(key)[:100]
    words = {word for word in wanted.split("_") if word}
    near = (
        difflib.get_close_matches(wanted, known, n=1, cutoff=SLIP)
        or [name for name in known if words and words <= set(name.split("_"))]
        or difflib.get_close_matches(wanted, known, n=1, cutoff=0.6)
    )
    if near:
        return f"did you mean {near[0]}?"
    if len(known) <= 12:
        return f"known are {', '.join(known)}"
    return f"known are {', '.join(known[:6])} and others"
