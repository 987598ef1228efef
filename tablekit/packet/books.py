"""The two books of a packet: what is taken to the bench, and why it is so; and their first pages,
the picture and the card, what was asked and assumed, the checks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import zip_longest
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.engine.formula import Plain
from tablekit.engine.wording import capital, words
from tablekit.engine.working import Working, WorkingWriter
from tablekit.packet import bench, leg_pages, planning_pages, standing_pages
from tablekit.packet.card import ATTENTION, WOOD, Attention, Card, card
from tablekit.packet.checks import VERDICTS, Once, against_limit
from tablekit.packet.document import (
    Document,
    Formula,
    Inset,
    Part,
    Section,
    Subheading,
    Table,
    TableWithInset,
    Text,
)
from tablekit.packet.pages import PAPERS, room_below_title
from tablekit.packet.plates import height_of
from tablekit.packet.summary import CAUTION, assumed_rows, assumed_settings, piece_line

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- the books -------------------------------------------------------------------------------------


def bench_book(job: Design) -> Document:
    """The card, drawings, cut list and order of work; then marking, cutting, gluing and fixing."""
    return Document(job.sheet.name, piece_line(job), tuple(_bench(job)))


def reasons_book(job: Design) -> Document:
    """Every check, assumption and source, how it stands and moves, and the working."""
    what = "What was checked and assumed, and how the sizes came about."
    return Document(f"{job.sheet.name}: reasons", what, tuple(_reasons(job)))


def _bench(job: Design) -> Iterator[Section]:
    yield at_a_glance(job)
    if (made := bench.as_cut(job)) is not None:
        yield made
    if not job.not_drawn:
        yield bench.arrangement(job)
    found = (
        bench.parts(job), planning_pages.cutting(job), planning_pages.working_order(job),
        bench.posts(job), bench.joint(job), bench.top(job), bench.fastening(job),
        leg_pages.sockets(job), leg_pages.boring(job), leg_pages.legs(job),
        leg_pages.stretchers(job), leg_pages.parts(job),
        leg_pages.levelling(job), planning_pages.finishing(job), leg_pages.gauge_and_checks(job),
    )  # fmt: skip
    yield from (section for section in found if section is not None)


def _reasons(job: Design) -> Iterator[Section]:
    yield assumed(job)
    yield checks(job)
    yield standing_pages.standing(job)
    yield planning_pages.days(job)
    found = (standing_pages.carrying(job), standing_pages.pricing(job))
    yield from (section for section in found if section is not None)
    seasons = bench.seasons(job)
    if seasons.parts:
        yield seasons
    yield Section("Working", tuple(worked_parts(job.sheet)))


# -- the first pages -------------------------------------------------------------------------------

MENDED = 2  # what does not pass, with its mend on the first page
PICTURE = 58.0  # mm, its width and its height


def at_a_glance(job: Design) -> Section:
    """Picture and card; what does not pass with its mends as far as one sheet has room for them."""
    found = card(job)
    paper = PAPERS[job.paper]
    room = room_below_title(job.sheet.name, piece_line(job), paper)
    shown = _picture(job) if not job.not_drawn else None
    for drawn, mended, told in _ways(found, shown):
        parts = tuple(_glance(found, drawn, mended, told))
        if height_of(parts, paper) <= room:
            break
    return Section("At a glance", parts, below_title=True)


def _ways(found: Card, shown: Inset | None) -> Iterator[tuple[Inset | None, int, int]]:
    """What of a card gives way to what: the mends, then cautions from the last on, then the
    picture, then what fails from the last on. Gives the picture, how many of what does not pass
    have their mends, and how many are told."""
    count, fails = len(found.attention), sum(one.fails for one in found.attention)
    yield from ((shown, mended, count) for mended in range(MENDED, -1, -1))
    yield from ((shown, 0, told) for told in range(count - 1, fails - 1, -1))
    yield from ((None, 0, told) for told in range(fails, -1, -1))


def _glance(found: Card, shown: Inset | None, mended: int, told: int) -> Iterator[Part]:
    head = ("what", "size", "from where to where")
    (title, base), (_, top) = found.sizes
    sizes = Table(f"{title}; the top", head, (*base, *top), frozenset({1}), close=True)
    yield from (Text(sentence) for sentence in (*found.gave_way, *found.as_cut[:1]))
    yield TableWithInset(sizes, shown, PICTURE) if shown else sizes
    yield from _attention(found, mended, told)
    *wood, last = found.wood
    yield Subheading(WOOD)
    yield from (Text(line, close=True) for line in wood)
    yield Text(last)
    yield Text(CAUTION, "caution")


def _picture(job: Design) -> Inset:
    from tablekit.drawing.apart import picture

    count = job.base.count
    numbers = f"{', '.join(map(str, range(1, count)))} and {count}"
    return Inset(
        f"{job.sheet.name}, seen from above and to one side: {job.base.part}s {numbers} under the "
        "round top.",
        cache(lambda paper: picture(job.solids.pulling, 0.0, paper)),
        PICTURE,
    )


def _attention(found: Card, mended: int, told: int) -> Iterator[Part]:
    """The first few with their mends; of more, what and by how much; of those that one page has no
    room for, how many."""
    yield Subheading(ATTENTION if found.attention else "Checks")
    yield from (Text(text, "caution") for text in found.unchecked)
    yield from (Text(text) for text in found.standing)
    yield from (Text(one.text, "caution") for one in found.attention[:mended])
    if others := found.attention[mended:]:
        short = " ".join(one.short for one in others[: max(0, told - mended)])
        yield Text(f"{short} {_more(others[max(0, told - mended) :])}".strip(), "caution")


def _more(others: Sequence[Attention]) -> str:
    """How many more there are, and where."""
    if not others:
        return "See reasons.pdf."
    what = "" if any(one.fails for one in others) else "caution" + "s" * (len(others) > 1) + " "
    return f"And {len(others)} more {what}in reasons.pdf."


def _asked(job: Design) -> Table:
    sheet, brief = job.sheet, job.brief
    rows = []
    for name, number in brief.givens.items():
        shop = sheet.shop(name)
        typed = getattr(number, "text", "") or shop
        rows.append((words(name), typed, "" if typed == shop else f"read as {shop}"))
    if brief.wood.species:
        cut = f", {brief.wood.cut}" if brief.wood.cut else ""
        rows.append(("wood", f"{brief.wood.species}{cut}", ""))
    return Table("From the brief", ("quantity", "as written", ""), tuple(rows))


def assumed(job: Design) -> Section:
    """What the brief says, and what nothing in it settles and why it was taken so."""
    shaping = Table(
        "Assumed for the design. Set any of these in the brief to change it",
        ("what", "value", "reason and source"),
        tuple(assumed_rows(job)),
    )
    settings = assumed_settings(job.sheet)
    half = (len(settings) + 1) // 2
    # Two to a row, read down the left and then down the right.
    rows = zip_longest(settings[:half], settings[half:], fillvalue=("", ""))
    pairs = Table(
        "Defaults (set any of them under [given])",
        ("what", "value", "what", "value"),
        tuple((*left, *right) for left, right in rows),
    )
    return Section("Given and assumed", (_asked(job), shaping, *([pairs] if settings else [])))


def checks(job: Design) -> Section:
    """Every check with its limit and source."""
    once = Once()
    rows = tuple(
        (
            f"{VERDICTS[c.verdict]}: {c.name}. {against_limit(job.sheet, c)}".strip(),
            f"{once(c.message, keep=c.verdict != 'pass')} Source: {c.source}.",
        )
        for c in job.checks
    )
    head = ("check", "what it means")
    table = Table("Checks, with limits and sources", head, rows, lead=0.32)
    notes = tuple(Text(note, "faint") for note in job.notes)
    return Section("Checks", (table, *notes))


# -- the working of the numbers that matter most ---------------------------------------------------

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
