"""Drawings that stay where they are, one function each: what a reader without a running kernel
sees; and answers that stay folded."""

from __future__ import annotations

import html
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.drawing.apart import draw_apart
from tablekit.drawing.board_layout import BoardDrawing, LayoutSubject
from tablekit.drawing.end_grain import EndGrainDrawing, EndGrainSubject
from tablekit.drawing.general import GeneralDrawing, LiveDrawing, Shown
from tablekit.drawing.joint import draw_joint
from tablekit.drawing.live import SCREEN_DPI, LiveView
from tablekit.drawing.movement import MovementDrawing
from tablekit.drawing.sitters import draw_sitters
from tablekit.drawing.style import SCREEN, SQUARE, Paper
from tablekit.drawing.tipping import draw_tipping
from tablekit.drawing.trammel import TrammelDrawing
from tablekit.engine.trouble import DesignError
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from IPython.display import Image
    from matplotlib.figure import Figure

    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet

# Upright, for the joint, whose two sections stand one above the other.
UPRIGHT = Paper(180, 196, margin=4, to_scale=False)
# As wide as the screen paper, for drawings that stand one part below the other.
TALL = Paper(243.84, 200, margin=4, arrangement="beside", to_scale=False)


def still(sheet: Sheet) -> Image:
    """The general arrangement."""
    said = f"Elevation and plan of {sheet.name}, a {sheet.kind}, to scale with its main sizes."
    return _shown(GeneralDrawing, sheet, said, SCREEN)


def of_parts(sheet: Sheet, share: float = 1.0) -> Image:
    """The parts pulled apart: `share` 0 in place, 1 wholly apart. Raises RangeError for another
    share."""
    seen = "from above and to one side" if base_of(sheet).crossed else "upside down"
    said = f"Exploded view of {sheet.name}, {seen}."
    return _still(draw_apart(sheet, share, paper=SCREEN), said)


def of_joint(sheet: Sheet) -> Image:
    """The crossing cut level, and a post cut along its notch. Raises DesignError for a base without
    posts that cross."""
    said = f"The joint of {sheet.name}: horizontal section, and lengthwise section of a post."
    return _still(draw_joint(sheet, paper=UPRIGHT), said)


def of_tipping(sheet: Sheet) -> Image:
    """The load on the rim that tips the piece, all the way round. Raises DesignError where the
    sheet lacks masses or feet."""
    said = f"{sheet.name} from above, with the load that tips it at each point of its rim."
    return _still(draw_tipping(sheet, paper=SCREEN), said)


def of_people(sheet: Sheet, seats: int | None = None) -> Image:
    """People at the table: `seats`, or as many as `sitters` places. Raises DesignError for a
    stool."""
    said = f"People at {sheet.name}, in plan and elevation, with the posts near their knees."
    return _still(draw_sitters(sheet, paper=SCREEN, seats=seats), said)


def of_boards(brief: Brief, sheet: Sheet) -> Image:
    """The strips of the top over its circle. Raises DesignError where the boards fall short."""
    said = f"The strips for the top of {brief.name} over its circle, from above, with sizes."
    return _shown(BoardDrawing, layout_subject(brief, sheet), said, SCREEN)


def of_movement(sheet: Sheet) -> Image:
    """The top as an oval in the driest and in the dampest air."""
    said = f"The top of {sheet.name} over the seasons: an oval in the driest and the dampest air."
    return _shown(MovementDrawing, sheet, said, SQUARE)


def of_ends(brief: Brief, sheet: Sheet) -> Image:
    """The end grain of the strips with their rings, laid both ways. Raises DesignError where the
    boards fall short."""
    subject, made = layout_subject(brief, sheet), Design(brief, sheet).joints
    assert made is not None, "boards that make a top are joined"
    said = f"The end grain of the strips for the top of {brief.name}, laid both ways."
    it = EndGrainSubject(subject, made.rings, sheet.number("top_thickness"))
    return _shown(EndGrainDrawing, it, said, TALL)


def of_trammel(sheet: Sheet) -> Image:
    """The trammel for the round, its passes, and the way the router goes round."""
    said = f"The trammel for the top of {sheet.name}, its passes and the routing direction."
    return _shown(TrammelDrawing, sheet, said, TALL)


def layout_subject(brief: Brief, sheet: Sheet) -> LayoutSubject:
    """What a drawing of the boards shows. Raises DesignError where they do not make the top."""
    found = Design(brief, sheet).boards
    if found is None or found.layout is None:
        raise DesignError(
            "there are no boards in the rack" if found is None else found.check.message
        )
    diameter = sheet.number("top_diameter")
    return LayoutSubject(found.layout, brief.name, diameter, sheet.shop_style)


def _shown(drawing: type[LiveDrawing[Shown]], it: Shown, said: str, paper: Paper) -> Image:
    """As a panel shows it."""
    from IPython.display import Image

    view = LiveView(drawing, paper)
    view.update(it)
    return Image(data=view.png(), format="png", alt=said)


def _still(figure: Figure, said: str) -> Image:
    """As it is printed."""
    from IPython.display import Image
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    figure.set_dpi(SCREEN_DPI)
    into = BytesIO()
    # Without the name of what wrote it, so that the bytes change only with the drawing.
    FigureCanvasAgg(figure).print_png(into, metadata={"Software": None})
    return Image(data=into.getvalue(), format="png", alt=said)


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
