"""Drawings set among the text of a book, each on one sheet with the text that speaks of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tablekit.drawing.general import INSET, Layout
from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.packet.document import Drawing, Part, Plate, Section, Subheading, Text, turned
from tablekit.packet.typeset import Setter

ENDLESS = 1e6  # mm: the height of a sheet on which nothing is turned over
HEAD, TITLE = 18.0, 9.0  # what a section's heading takes with what is above it, and a plate's
ABOVE, BELOW = 1.5, 5.0  # from what is above to a drawing, and from it to its text
APART = 6.0  # from the text of one plate to the next
SMALLER = 0.75  # of the least height, for a drawing whose text would else go on to another sheet
BEGINNING = 40.0  # of a text that goes on to another sheet
GUTTER = 7.0  # between a drawing and the text beside it
COLUMN, ACROSS = 0.5, 0.42  # share of a sheet, and of a turned one, for text beside a drawing
Block = Section | Part  # a section stands for its heading


@dataclass(frozen=True)
class Drawn:
    """A drawing with its lower left corner at the origin, and the room that it takes, mm."""

    ink: Ink
    width: float
    height: float


def drawn_within(plate: Plate, width: float, height: float, filling: bool = False) -> Drawn | None:
    """The drawing at the largest scale that fits, no higher than it needs to be; None where none
    fits.

    filling  of two ways to arrange it at one scale, whether the higher is taken
    """
    tried = {how: _laid_out(plate, width, height, how) for how in ("stacked", "beside")}
    found = {how: layout for how, layout in tried.items() if layout is not None}
    if not found:
        return None
    scale = max(layout.scale for layout in found.values())
    largest = [
        _trimmed(plate, layout, width, height, how)
        for how, layout in found.items() if layout.scale == scale
    ]  # fmt: skip
    return max(largest, key=lambda one: one.height if filling else -one.height)


def _laid_out(plate: Plate, width: float, height: float, arrangement: str) -> Layout | None:
    paper = Paper(width, height, 0.0, arrangement, with_text=True)
    try:
        return plate.lay_out(paper)
    except ValueError:
        return None


def _trimmed(plate: Plate, layout: Layout, width: float, height: float, arrangement: str) -> Drawn:
    """The drawing without what is free above and below it, where it stands in the middle."""
    free = height - layout.ink.box().high
    # A table asks for a little more than its letters take.
    for spare in (0.5, 3.0, 6.0):
        lower = height - 2 * free + spare
        if lower > height - 0.5:
            break
        again = _laid_out(plate, width, lower, arrangement)
        if again is not None and again.scale >= layout.scale * 0.99:
            return Drawn(again.ink, width, lower)
    return Drawn(layout.ink, width, height)


def height_of(parts: Sequence[Block], paper: Paper) -> float:
    """How high parts of text stand on sheets as wide as `paper`."""
    trial = Setter(Paper(paper.width, ENDLESS, paper.margin))
    trial.turn()
    start = trial.level
    _put(trial, parts)
    return start - trial.level


def needed(plate: Plate, paper: Paper, headed: bool) -> float:
    """How much of a sheet a plate takes at the least."""
    head = (HEAD if headed else 0.0) + (TITLE if plate.title else 0.0)
    own, text = _heights(plate, paper)
    return head + ABOVE + max(plate.least, own) + BELOW + text


def _heights(plate: Plate, paper: Paper) -> tuple[float, float]:
    """How high its text stands beside the drawing, and how high below it."""
    if plate.text == "below":
        return 0.0, height_of(plate.parts, paper)
    return height_of(plate.parts, _column(paper, COLUMN)), 0.0


def _column(paper: Paper, share: float) -> Paper:
    """A sheet as wide as a column beside a drawing, with the same margins."""
    return replace(paper, width=share * (paper.width - 2 * paper.margin) + 2 * paper.margin)


def place(
    setter: Setter, plate: Plate, heading: Section | None, after: Sequence[Block]
) -> tuple[Drawn | None, Sequence[Part]]:
    """Set a drawing with its heading, as large as leaves room on the sheet for its text and for
    what comes after it, where that fits. Gives the drawing, and its text where that is still to be
    set.

    after  what follows, a section standing for its heading
    """
    paper = setter.paper
    least, (_, below) = needed(plate, paper, heading is not None), _heights(plate, paper)
    whole = paper.height - paper.margin - setter.floor
    # Of more text than a sheet holds only the beginning is kept with the drawing.
    begun = least - max(0.0, below - BEGINNING)
    asked = least if least <= whole else begun
    lacking = begun - (setter.level - setter.floor)
    # Rather its text goes on, and the drawing is smaller, than that a few lines stand alone.
    goes_on = setter.nearly_empty and lacking <= (1 - SMALLER) * plate.least
    if goes_on and setter.level - setter.floor < asked:
        plate = replace(plate, least=plate.least - max(0.0, lacking))
    else:
        goes_on = False
        setter.keep(asked)
    if heading is not None:
        setter.heading(heading)
    if plate.title:
        setter.put(Subheading(plate.title))
    plate = _suited(setter, plate, after)
    own, below = _heights(plate, paper)
    free = setter.level - setter.floor - ABOVE - BELOW
    height, alone = (plate.least, True) if goes_on else _height(setter, plate, free - below, after)
    if plate.text == "beside":
        return _place_beside(setter, plate, max(height, min(own, free))), ()
    wide = setter.width + 2 * INSET
    drawn = drawn_within(plate, wide, height, alone) or drawn_within(plate, wide, free)
    if drawn is not None:
        setter.drop(ABOVE + drawn.height)
        setter.ink.add(drawn.ink.moved(setter.left - INSET, setter.level))
        setter.drop(BELOW)
    return drawn, plate.parts


def _suited(setter: Setter, plate: Plate, after: Sequence[Block]) -> Plate:
    """The same, its text below it where text beside it would save no sheet, and the drawing above
    it is no smaller."""
    if plate.text != "beside":
        return plate
    high = replace(plate, text="below")
    text, coming, headed = _until_drawn(after)
    free = setter.level - setter.floor - ABOVE - BELOW
    least = max(plate.least, _heights(plate, setter.paper)[0])
    filling = free - _heights(high, setter.paper)[1]
    if filling < plate.least:
        return plate
    if coming is not None:  # the next drawing with its text has room only below text beside this
        both = height_of(text, setter.paper) + needed(coming, setter.paper, headed) + APART
        if filling - plate.least < both <= free - least:
            return plate
    if _sheets(setter, high, filling, text) > _sheets(setter, plate, least, text):
        return plate
    below, _ = _height(setter, high, filling, after)
    narrow = (1 - COLUMN) * setter.width - GUTTER
    wide = _scale(high, setter.width + 2 * INSET, below)
    return plate if _scale(plate, narrow, least) > wide else high


def _scale(plate: Plate, width: float, height: float) -> float:
    """The largest scale at which a drawing fits; 0 where it fits at none."""
    tried = (_laid_out(plate, width, height, how) for how in ("stacked", "beside"))
    return max((layout.scale for layout in tried if layout is not None), default=0.0)


def _place_beside(setter: Setter, plate: Plate, height: float) -> Drawn | None:
    column = Setter(_column(setter.paper, COLUMN))
    column.turn()
    column.level = start = setter.level - ABOVE
    _put(column, plate.parts)
    setter.ink.add(column.sheets[0].moved((1 - COLUMN) * setter.width, 0.0))
    drawn = drawn_within(plate, (1 - COLUMN) * setter.width - GUTTER, height)
    if drawn is not None:
        setter.ink.add(drawn.ink.moved(setter.left, start - drawn.height))
    used = max(start - column.level, drawn.height if drawn is not None else 0.0)
    setter.drop(ABOVE + used + BELOW)
    return drawn


def _height(
    setter: Setter, plate: Plate, free: float, after: Sequence[Block]
) -> tuple[float, bool]:
    """How high the drawing may be where its text leaves so much free, and whether it is the last
    drawing of its sheet. The sheets from it to the next drawing are filled, as far as it may grow.
    """
    high, alone = _filling(setter, plate, free, after)
    return min(high, max(plate.most, plate.least)), alone


def _filling(
    setter: Setter, plate: Plate, free: float, after: Sequence[Block]
) -> tuple[float, bool]:
    text, coming, headed = _until_drawn(after)
    if coming is not None:
        both = height_of(text, setter.paper) + needed(coming, setter.paper, headed) + APART
        if free - plate.least >= both:
            return free - both, False
    if free < SMALLER * plate.least:  # its text goes on to the next sheet
        return plate.least, True
    least = min(free, plate.least)
    sheets = _sheets(setter, plate, least, text)
    low, high = least, free
    while high - low > 2.0:
        middle = (low + high) / 2
        low, high = (
            (middle, high) if _sheets(setter, plate, middle, text) <= sheets else (low, middle)
        )
    return (free if _sheets(setter, plate, free, text) <= sheets else low), True


def _until_drawn(after: Sequence[Block]) -> tuple[list[Block], Plate | None, bool]:
    """What is set after a plate before the next one or a new sheet, that plate, and whether it has
    a section's heading."""
    text: list[Block] = []
    for block in after:
        if isinstance(block, Section) and block.fresh:
            break
        if not isinstance(block, Plate):
            text.append(block)
            continue
        headed = bool(text) and isinstance(text[-1], Section)
        if headed:
            text.pop()
        if block.text != "across":  # else on a sheet of its own
            return text, block, headed
    return text, None, False


def _sheets(setter: Setter, plate: Plate, height: float, text: Sequence[Block]) -> int:
    """How many sheets a drawing so high takes, with its text and what comes after it."""
    trial = Setter(setter.paper)
    trial.turn()
    trial.level = setter.level - ABOVE - height - BELOW
    _put(trial, [*(plate.parts if plate.text == "below" else ()), *text])
    return len(trial.sheets)


def better_whole(setter: Setter, section: Section, after: Sequence[Block]) -> bool:
    """Whether a section that the sheet has no room for begins a new one: no sheet is lost by that
    before the next drawing, nor for the drawing itself."""
    text, plate, headed = _until_drawn(after)
    paper = setter.paper
    if height_of([section, *section.parts], paper) <= setter.level - setter.floor:
        return False
    on, anew = Setter(paper), Setter(paper)
    for trial in (on, anew):
        trial.turn()
    on.level = setter.level
    _put(on, [section, *text])
    _put(anew, [section, *text])
    if len(anew.sheets) >= len(on.sheets):
        return False
    least = 0.0 if plate is None else needed(plate, paper, headed)
    return not anew.level - anew.floor < least <= on.level - on.floor


def heading_room(setter: Setter, section: Section) -> float:
    """How much of a sheet a section's heading takes with the few lines under it, where a drawing
    follows these at once that would else go on to the next sheet without them; 0 elsewhere."""
    text, plate, _ = _until_drawn(section.parts)
    lines = HEAD + height_of(text, setter.paper)
    if plate is None or lines > BEGINNING or any(not isinstance(one, Text) for one in text):
        return 0.0
    whole = setter.paper.height - setter.paper.margin - setter.floor
    least, (_, below) = needed(plate, setter.paper, False), _heights(plate, setter.paper)
    return lines + (least if lines + least <= whole else least - max(0.0, below - BEGINNING))


def _put(setter: Setter, blocks: Sequence[Block]) -> None:
    for place, block in enumerate(blocks):
        if isinstance(block, Subheading):
            setter.keep(setter.beginning(blocks[place:]))
        if isinstance(block, Section):
            setter.heading(block)
        elif not isinstance(block, Drawing):
            setter.put(block)


def across(
    paper: Paper, plate: Plate, heading: Section | None
) -> tuple[Ink, Paper, Drawn | None, int]:
    """A turned sheet with the drawing and its text to the right: the ink, the sheet, the drawing,
    and how many of the parts had room."""
    sheet = turned(paper)
    page = Setter(sheet)
    page.turn()
    if heading is not None:
        page.heading(heading)
    if plate.title:
        page.put(Subheading(plate.title))
    wide = ACROSS * page.width if plate.parts else -GUTTER
    column = Setter(_column(sheet, ACROSS))
    column.turn()
    column.level, placed = page.level, 0
    while placed < len(plate.parts):
        # A heading is not parted from the text under it.
        group = plate.parts[placed : placed + 1 + isinstance(plate.parts[placed], Subheading)]
        if column.level - height_of(group, column.paper) < column.floor:
            break
        _put(column, group)
        if len(column.sheets) > 1:  # a part may keep more room than it takes
            break
        placed += len(group)
    page.ink.add(column.sheets[0].moved(page.width - wide, 0.0))
    room = page.width + INSET - wide - GUTTER
    drawn = drawn_within(plate, room, page.level - page.floor)
    if drawn is not None:
        page.ink.add(drawn.ink.moved(page.left - INSET, page.level - drawn.height))
    return page.ink, sheet, drawn, placed
