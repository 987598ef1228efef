"""The sheets beside a piece's own, so that whatever a plan calculates can show its working."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.trouble import UnknownName

if TYPE_CHECKING:
    from tablekit.design.design import Design
    from tablekit.engine.sheet import Sheet


@dataclass(frozen=True)
class SheetsBeside:
    """Sheets of one plan, alike in what quantities they have; `of` says of what they are."""

    of: str
    sheets: tuple[Sheet, ...]


def sheets_with(name: str, design: Design) -> tuple[Sheet, ...]:
    """The sheets that have a quantity of that name: the piece's own, or else those of the first
    plan that has it, as one for each screw.

    Raises UnknownName, with the piece's nearest name, where none has.
    """
    sheet = design.sheet
    if name in sheet.network.quantities:
        return (sheet,)
    for beside in sheets_beside(design):
        if name in beside.sheets[0].network.quantities:
            return beside.sheets
    sheet.network.quantity(name)  # raises, with the nearest known name
    raise UnknownName(f"{name} is not a quantity of this piece", name=name, nearest=None)


def sheets_beside(design: Design) -> Iterator[SheetsBeside]:
    """Those of each plan that there is, one plan after the other as they are asked for."""
    if design.joint_load.under_load is not None:
        yield SheetsBeside("The joint under load", (design.joint_load.under_load,))
    if design.joints is not None and design.joints.glue is not None:
        yield SheetsBeside("The glue-up", (design.joints.glue,))
        if design.joints.staging is not None and design.joints.staging.stages:
            stages = design.joints.staging.stages
            yield SheetsBeside("Each stage of the glue-up", tuple(stage.sheet for stage in stages))
    if design.fixing is not None:
        from tablekit.planning.fixing_plan import screws

        yield SheetsBeside("Each screw of the top", screws(design.sheet)[0])
    if design.trammel is not None:
        from tablekit.planning.trammel_plan import least_board, stops_of

        yield SheetsBeside("Each pass of the router", tuple(stops_of(design.sheet)))
        yield SheetsBeside("The shortest trammel board", (least_board(design.sheet),))
    if design.edge is not None and design.edge.steps:
        from tablekit.planning.edge_plan import step_sheets

        yield SheetsBeside("Each step of the bevel", tuple(step_sheets(design.sheet)))
    if design.quote is not None:
        yield SheetsBeside("The quote", (design.quote.sheet,))
    if design.delivery is not None:
        from tablekit.planning.delivery import masses

        yield SheetsBeside("What is carried", (masses(design.sheet, design.brief.count),))
    yield from _of_the_base(design)
    if design.jigs is not None:
        for jig in design.jigs.made:
            for sheet in jig.sheets:
                yield SheetsBeside(f"The {sheet.name}", (sheet,))
    yield SheetsBeside("Each part of the cut list", tuple(_parts(design)))


def _of_the_base(design: Design) -> Iterator[SheetsBeside]:
    """Of legs as they are made, of the panel as glued, and of posts as they came out."""
    if design.leg_work is not None:
        yield SheetsBeside("Legs at the bench", (design.leg_work.bench,))
        if design.leg_work.joins is not None:
            yield SheetsBeside("Each height of the stretchers", design.leg_work.joins.levels)
    if design.glued is not None:
        yield SheetsBeside("The panel as glued", (design.glued.sheet,))
    if design.as_cut is not None:
        yield from _as_cut(design)


def _as_cut(design: Design) -> Iterator[SheetsBeside]:
    """Posts or legs as they came out."""
    from tablekit.planning.as_cut import sheet_of
    from tablekit.planning.leg_remedies import LegsMade
    from tablekit.planning.legs_as_cut import sheets_of

    made, own = design.as_cut, design.sheet
    assert made is not None
    if isinstance(made, LegsMade):
        *legs, floor = sheets_of(made.pieces)
        yield SheetsBeside("Each leg as cut", tuple(legs))
        yield SheetsBeside("The legs as cut, on the floor", (floor,))
    else:
        one = sheet_of(made.pieces, f"{own.name}: as cut", own.shop_style)
        yield SheetsBeside("The posts as cut", (one,))


def _parts(design: Design) -> Iterator[Sheet]:
    from tablekit.planning.cut_list import pieces_alike

    style = design.sheet.shop_style
    for line in design.cut_list.lines:
        for state, size in (("finished", line.finished), ("rough", line.rough)):
            yield pieces_alike(size, line.count, line.density, f"{line.part}, {state}", style)
