"""A key of a brief: what it says and what may be written for it; it reads itself from a section.

The readers, their messages and the README's table of keys are all made from these.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from tablekit.brief.section import BriefSection, Span
from tablekit.brief.text import as_written
from tablekit.engine.wording import listed

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
