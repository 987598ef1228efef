"""The working of the numbers that matter most, as parts of a document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from tablekit.engine.formula import Plain
from tablekit.engine.wording import capital, words
from tablekit.engine.working import Working, WorkingWriter
from tablekit.packet.document import Formula, Part, Subheading, Text

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

MOST = 10
# What a maker cuts to, or stakes most on, first.
MATTER = (
    "post_length", "leg_length", "splay", "leg_resultant", "notch_depth", "notch_position",
    "notch_width", "drill_angle", "foot_flat_depth", "head_flat_depth", "foot_radius", "overhang",
    "table_height", "seat_height", "tipping_load", "top_movement", "slot_length", "trammel_radius",
    "total_mass", "seats",
)  # fmt: skip


class DocumentBoard(WorkingWriter):
    """Writes a working as parts of a document."""

    script = Plain()

    def __init__(self, working: Working):
        super().__init__(working)
        self.parts: list[Part] = []

    def heading(self, text: str, level: int) -> None:
        """The first heading opens the working, those of steps are sentences."""
        if level == 1:
            name, _, meaning = text.partition(": ")
            self.parts += [Subheading(words(name)), Text(_sentence(meaning))]
        elif level == 3 or text not in ("Given", "Assumed", "Answer"):
            self.parts.append(Text(words(text), "lead"))

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        """Lines of one calculation; an answer that the last one ends in is not said again."""
        last = self.parts[-1]
        if len(lines) == 1 and isinstance(last, Formula) and last.lines[-1][1] == lines[0][1]:
            return
        self.parts.append(Formula(tuple(lines)))

    def value(self, letter: str, text: str, remark: str) -> None:
        """One value, with a remark."""
        said = f"{letter} = {text}"
        self.parts.append(Text(f"{said}, {remark}." if remark else f"{said}."))

    def remark(self, text: str) -> None:
        """A sentence."""
        self.parts.append(Text(text))

    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        """The letter as it is printed."""
        return plain

    def number_text(self, text: str) -> str:
        """The number as it is printed."""
        return text


def _sentence(text: str) -> str:
    return f"{capital(text)}."


def numbers_that_matter(sheet: Sheet) -> tuple[str, ...]:
    """Up to ten of the sheet's quantities that were found, those a maker cuts to first."""
    found = (
        name
        for name in MATTER
        if (value := sheet.values.get(name)) is not None
        and value.origin == "found"
        and value.number is not None
    )
    return tuple(found)[:MOST]


def worked_parts(sheet: Sheet, names: Sequence[str] | None = None) -> Iterator[Part]:
    """The formulas of each of `names`, a step that an earlier one has shown left out."""
    known: set[str] = set()
    for name in numbers_that_matter(sheet) if names is None else names:
        working = Working(sheet, name)
        board = DocumentBoard(working)
        board.write(brief=True, known=known)
        yield from board.parts
        steps = working.reduced.steps
        shown = {name, *working.givens}.union(*(step.finds for step in steps))
        unsaid = working.reduced.exact.keys() - set().union(*(step.finds for step in steps))
        known |= (shown - unsaid) | {one for one, _, _ in board.exactly()}
