"""Drawings of the top that stay where they are: what a reader without a running kernel sees."""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from tablekit.design import Design
from tablekit.drawing.board_layout import BoardDrawing, LayoutSubject
from tablekit.drawing.end_grain import EndGrainDrawing, EndGrainSubject
from tablekit.drawing.movement import MovementDrawing
from tablekit.drawing.style import SCREEN, Paper
from tablekit.drawing.trammel import TrammelDrawing
from tablekit.engine.trouble import DesignError
from tablekit.panels.top_view import SQUARE, TALL, TopView

if TYPE_CHECKING:
    from IPython.display import Image

    from tablekit.brief import Brief
    from tablekit.drawing.general import Drawing
    from tablekit.engine.sheet import Sheet

Shown = TypeVar("Shown")


def of_boards(brief: Brief, sheet: Sheet) -> Image:
    """The strips of the top over its circle. Raises DesignError where the boards fall short."""
    said = f"The strips for the top of {brief.name} over its circle, from above, with sizes."
    return _still(BoardDrawing, layout_subject(brief, sheet), said, SCREEN)


def of_movement(sheet: Sheet) -> Image:
    """The top as an oval in the driest and in the dampest air."""
    said = f"The top of {sheet.name} over the seasons: an oval in the driest and the dampest air."
    return _still(MovementDrawing, sheet, said, SQUARE)


def of_ends(brief: Brief, sheet: Sheet) -> Image:
    """The end grain of the strips with their rings, laid both ways. Raises DesignError where the
    boards
    fall short."""
    subject, made = layout_subject(brief, sheet), Design(brief, sheet).joints
    assert made is not None, "boards that make a top are joined"
    said = f"The end grain of the strips for the top of {brief.name}, laid both ways."
    it = EndGrainSubject(subject, made.rings, sheet.number("top_thickness"))
    return _still(EndGrainDrawing, it, said, TALL)


def of_trammel(sheet: Sheet) -> Image:
    """The trammel for the round, its passes, and the way the router goes round."""
    said = f"The trammel for the top of {sheet.name}, its passes and the routing direction."
    return _still(TrammelDrawing, sheet, said, TALL)


def layout_subject(brief: Brief, sheet: Sheet) -> LayoutSubject:
    """What a drawing of the boards shows. Raises DesignError where they do not make the top."""
    found = Design(brief, sheet).boards
    if found is None or found.layout is None:
        raise DesignError(
            "there are no boards in the rack" if found is None else found.check.message
        )
    diameter = sheet.number("top_diameter")
    return LayoutSubject(found.layout, brief.name, diameter, sheet.shop_style)


def _still(drawing: type[Drawing[Shown]], it: Shown, said: str, paper: Paper) -> Image:
    from IPython.display import Image

    view = TopView(drawing, paper)
    view.update(it)
    return Image(data=view.png(), format="png", alt=said)


@dataclass(frozen=True)
class Folded:
    """An answer that a notebook keeps folded until its reader opens it."""

    text: str
    title: str = "The answer"

    def _repr_html_(self) -> str:
        return (
            f"<details><summary>{html.escape(self.title)}</summary>"
            f"<p>{html.escape(self.text)}</p></details>"
        )

    def __repr__(self) -> str:
        return f"{self.title}: {self.text}"
