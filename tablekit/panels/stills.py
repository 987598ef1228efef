"""Drawings that stay where they are, one function each: what a reader without a running kernel
sees. The general arrangement is in `still.py`, the drawings of the top in `top_still.py`."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from tablekit.drawing.apart import draw_apart
from tablekit.drawing.joint import draw_joint
from tablekit.drawing.live import SCREEN_DPI
from tablekit.drawing.sitters import draw_sitters
from tablekit.drawing.style import SCREEN, Paper
from tablekit.drawing.tipping import draw_tipping

if TYPE_CHECKING:
    from IPython.display import Image
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet

# Upright, for the joint, whose two sections stand one above the other.
UPRIGHT = Paper(180, 196, margin=4, to_scale=False)


def of_parts(sheet: Sheet, share: float = 1.0) -> Image:
    """The parts pulled apart: `share` 0 in place, 1 wholly apart.

    Raises RangeError for another share, DesignError for a base without posts that cross."""
    said = f"Exploded view of {sheet.name}, from above and to one side."
    return _still(draw_apart(sheet, share, paper=SCREEN), said)


def of_joint(sheet: Sheet) -> Image:
    """The crossing cut level, and a post cut along its notch. Raises DesignError for a base without
    posts that cross."""
    said = f"The joint of {sheet.name}: horizontal section, and lengthwise section of a post."
    return _still(draw_joint(sheet, paper=UPRIGHT), said)


def of_tipping(sheet: Sheet) -> Image:
    """The load on the rim that tips the piece, all the way round. Raises DesignError where the
    sheet
    lacks masses or feet."""
    said = f"{sheet.name} from above, with the load that tips it at each point of its rim."
    return _still(draw_tipping(sheet, paper=SCREEN), said)


def of_people(sheet: Sheet, seats: int | None = None) -> Image:
    """People at the table: `seats`, or as many as `sitters` places. Raises DesignError for a
    stool."""
    said = f"People at {sheet.name}, in plan and elevation, with the posts near their knees."
    return _still(draw_sitters(sheet, paper=SCREEN, seats=seats), said)


def _still(figure: Figure, said: str) -> Image:
    from IPython.display import Image
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    figure.set_dpi(SCREEN_DPI)
    into = BytesIO()
    # Without the name of what wrote it, so that the bytes change only with the drawing.
    FigureCanvasAgg(figure).print_png(into, metadata={"Software": None})
    return Image(data=into.getvalue(), format="png", alt=said)
