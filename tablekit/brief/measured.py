"""Sizes of pieces that were cut and measured, read from a CSV file, and the file to fill in.

    piece,size,drawn,measured,unit
    post 1 of the hall table,post_length,1146.5,1146.9,mm

Each row is one size of one piece. A file is data: it is compared with lists and never evaluated.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.brief.as_cut import STEMS
from tablekit.brief.section import did_you_mean
from tablekit.brief.text import (
    LONGEST_LINE,
    MOST_KEPT,
    BriefError,
    BriefProblem,
    as_written,
    read_text,
    shown_path,
    split_lines,
)
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import plain_number, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import parse_quantity
from tablekit.engine.wording import declared
from tablekit.planning.as_cut import OF_A_POST
from tablekit.planning.own_spread import FLATS
from tablekit.relations import levelling, quantities, splayed_quantities
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.brief.reading import Brief
    from tablekit.engine.sheet import Sheet

COLUMNS = ("piece", "size", "drawn", "measured")
UNIT = "unit"
_ASKED = f"{', '.join(COLUMNS)} and, where the sizes have none, {UNIT}"
MOST_ROWS = 5000
# A post or a top is never cut so far off what was drawn, as a share and in mm or degrees: it is a
# slip of the pen, the wrong row or the wrong unit. Our own choice.
_SLIP_SHARE, _SLIP = 0.02, 5.0
# As [as_cut] calls them.
_ALSO = {**STEMS, "lean": "leg_resultant"}
_COMMA = re.compile(r"[0-9]+,[0-9]+")


@dataclass(frozen=True)
class Measured:
    """One size of one piece, in the reporting unit of its quantity."""

    piece: str
    name: str
    drawn: float
    measured: float


@cache
def measurable() -> Mapping[str, Quantity]:
    """The sizes that may be measured, by name: what has a tolerance, what else is cut of a post,
    and the flats by the circle that is measured on them."""
    known = {one.name: one for one in (*splayed_quantities.EVERY, *quantities.EVERY)}
    names = [one.name for one in (*levelling.DEFAULT, *levelling.SPLAYED)]
    names += [stem for stem in OF_A_POST if stem in known]
    return {name: known[name] for name in dict.fromkeys(names)}


# -- the file to fill in ---------------------------------------------------------------------------


def to_measure_csv(brief: Brief, sheet: Sheet) -> str:
    """A CSV file to fill in once the pieces of a design are cut: a row for each size of each piece,
    as drawn, with room for what it measures."""
    written = io.StringIO()
    rows = csv.writer(written, lineterminator="\n")
    rows.writerow((*COLUMNS, UNIT))
    for piece, name in _pieces(brief, sheet):
        unit = measurable()[name].unit
        drawn = shop_text(sheet.number(name), unit, sheet.shop_style)
        number, _, unit = (drawn if unit == "mm" else drawn.replace("°", " deg")).rpartition(" ")
        rows.writerow((piece, name, number, "", unit))
    return written.getvalue()


def _pieces(brief: Brief, sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Each piece with each size that is measured of it; the tops last."""
    base = base_of(sheet)
    whole = [""] if brief.count == 1 else [f" of {k}" for k in range(1, brief.count + 1)]
    names = list(_drawn_names(sheet))
    for which in whole:
        for number in range(1, base.count + 1):
            for name in names:
                if not name.startswith("top_"):
                    yield f"{base.part} {number}{which} {brief.name}".strip(), name
    for which in whole:
        for name in names:
            if name.startswith("top_"):
                yield f"top{which} {brief.name}".strip(), name


def _drawn_names(sheet: Sheet) -> Iterator[str]:
    # A bore is laid to its lean, and can be measured; the lean of crossed posts comes of notches.
    notched = base_of(sheet).crossed
    for name, quantity in measurable().items():
        size = sheet.get(name)
        if size is None or name in FLATS.values() or (notched and quantity.unit != "mm"):
            continue
        if name != "post_width" or size != sheet.get("post_section"):  # planed to one setting
            yield name


# -- reading it ------------------------------------------------------------------------------------


def read_measured(paths: Sequence[str | Path]) -> tuple[Measured, ...]:
    """What was measured, as some CSV files say it; a row that is not yet filled in is passed over.

    Raises BriefError, which lists all that is wrong with a file by its lines."""
    found: list[Measured] = []
    for path in paths:
        where = shown_path(path)
        found += parse_measured(read_text(path, "a CSV file", ".csv"), where)
    seen: set[tuple[str, str]] = set()
    for one in found:
        if (one.piece, one.name) in seen:
            raise _error(
                ", ".join(map(shown_path, paths)),
                f"{as_written(one.piece)} has its {one.name} in two files; give each piece a name "
                "of its own",
            )
        seen.add((one.piece, one.name))
    return tuple(found)


def parse_measured(text: str, where: str) -> tuple[Measured, ...]:
    """The same from one text; `where` is what messages call it."""
    page = _CsvText(text)
    rows = tuple(page.rows())
    if not page.problems and not rows:
        page.wrong(None, "no row has a size under measured; fill in what you measured")
    if page.problems:
        raise BriefError(where, page.problems)
    return rows


def _error(where: str, message: str) -> BriefError:
    return BriefError(where, [BriefProblem(message)])


@dataclass
class _CsvText:
    """A text, and what was found wrong with it."""

    text: str
    problems: list[BriefProblem] = field(default_factory=list)
    column: dict[str, int] = field(default_factory=dict)
    mark: str = ","

    def wrong(self, line: int | None, message: str) -> None:
        self.problems.append(BriefProblem(message, line))

    def rows(self) -> Iterator[Measured]:
        """What was measured, row by row; each fault is written down."""
        lines = split_lines(self.text)
        start = next((k for k, one in enumerate(lines) if self._says(one)), len(lines))
        if start == len(lines):
            self.wrong(None, f"is empty; its first line names the columns {_ASKED}")
            return
        # A spreadsheet that writes decimals with a comma parts its columns with a semicolon.
        self.mark = next((one for one in ";\t" if one in lines[start]), ",")
        if not self._read_heading(self._cells(lines[start]), start + 1):
            return
        seen: dict[tuple[str, str], int] = {}
        for line, written in enumerate(lines[start + 1 :], start=start + 2):
            if len(self.problems) >= MOST_KEPT:
                return
            if line > MOST_ROWS:
                self.wrong(line, f"has more than {MOST_ROWS:,} lines; leave the oldest out")
                return
            if not self._says(written):
                continue
            one = self._row(self._cells(written), line)
            if one is None:
                continue
            if (before := seen.setdefault((one.piece, one.name), line)) != line:
                self.wrong(
                    line,
                    f"{as_written(one.piece)} has its {one.name} in line {before} already; keep "
                    "one, or give each piece a name of its own",
                )
                continue
            yield one

    def _says(self, line: str) -> bool:
        return bool(line.strip(" \t;,")) and not line.lstrip().startswith("#")

    def _cells(self, line: str) -> list[str]:
        # One line at a time, so that a quote left open spoils one row and not the rest.
        line = line[:LONGEST_LINE].replace("\r", " ")
        (cells,) = csv.reader([line], delimiter=self.mark, skipinitialspace=True)
        return [cell.strip() for cell in cells]

    def _read_heading(self, cells: Sequence[str], line: int) -> bool:
        names = [cell.lower() for cell in cells]
        twice = next((name for name in names if name and names.count(name) > 1), "")
        missing = [name for name in COLUMNS if name not in names]
        if twice:
            self.wrong(line, f"the column {as_written(twice)} stands there twice; keep one")
        elif missing:
            lead = "the column " if len(missing) == 1 else "the columns "
            verb = "is" if len(missing) == 1 else "are"
            self.wrong(
                line,
                f"{lead}{', '.join(missing)} {verb} missing; the first line names the columns "
                f"{_ASKED}",
            )
        self.column = {name: place for place, name in enumerate(names)}
        return not (twice or missing)

    def _row(self, cells: Sequence[str], line: int) -> Measured | None:
        def cell(name: str) -> str:
            place = self.column.get(name, len(cells))
            return cells[place] if place < len(cells) else ""

        if len(cells) > len(self.column):
            self.wrong(
                line,
                f"has {len(cells)} cells for {len(self.column)} columns; a decimal comma needs a "
                "semicolon between the columns, or quotes around the size",
            )
            return None
        if not cell("measured"):  # to be filled in yet
            return None
        piece, name = cell("piece"), declared(cell("size"))
        if not piece:
            self.wrong(line, "the piece has no name; write one under piece, such as post 1")
            return None
        name = _ALSO.get(name, name)
        if name not in measurable():
            advice = did_you_mean(name, (*STEMS, *measurable()))
            said = as_written(cell("size"))
            self.wrong(line, f"{said} is no size that is measured here; {advice}")
            return None
        drawn, measured = (
            self._size(cell(which), cell(UNIT), which, name, line) for which in COLUMNS[2:]
        )
        if drawn is None or measured is None:
            return None
        if abs(measured - drawn) > max(_SLIP, _SLIP_SHARE * abs(drawn)):
            self.wrong(line, self._slip(name, drawn, measured))
            return None
        return Measured(piece, name, drawn, measured)

    def _slip(self, name: str, drawn: float, measured: float) -> str:
        unit = measurable()[name].unit
        off = f"{plain_number(abs(measured - drawn), 4)} {unit}"
        return (
            f"{name} was drawn {plain_number(drawn)} {unit} and measured "
            f"{plain_number(measured)} {unit}: {off} is no cutting error; look for a slip of the "
            "pen or of the unit, and leave a spoiled piece out"
        )

    def _size(self, cell: str, unit: str, which: str, name: str, line: int) -> float | None:
        quantity = measurable()[name]
        if not cell:
            self.wrong(line, f"{name} has nothing under {which}; write the size it was drawn to")
            return None
        if self.mark != "," and _COMMA.fullmatch(cell):
            cell = cell.replace(",", ".")
        said = cell if not unit or re.search(r"[^0-9 ./-]", cell) else f"{cell} {unit}"
        try:
            number = parse_quantity(said, quantity.unit, which)
        except DesignError as trouble:
            self.wrong(line, str(trouble))
            return None
        if not quantity.low <= number <= quantity.high:
            low, high = (plain_number(end) for end in (quantity.low, quantity.high))
            self.wrong(
                line, f"{which} {as_written(said)} is out of range: {quantity.meaning}, between "
                f"{low} and {high} {quantity.unit}",
            )  # fmt: skip
            return None
        return number
