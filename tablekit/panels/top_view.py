"""A drawing for a panel: artists made once, moved at each change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tablekit.drawing.live import SCREEN_DPI, GeneralView
from tablekit.drawing.style import Paper

if TYPE_CHECKING:
    from tablekit.drawing.general import Drawing, Layout

# Nearly square, for a view that is round, and as wide as a panel can give it on a small screen
# without making its letters smaller.
SQUARE = Paper(142, 138, margin=3, to_scale=False)
# As wide as the screen paper, for drawings that stand one part below the other.
TALL = Paper(243.84, 200, margin=4, arrangement="beside", to_scale=False)


class TopView(GeneralView):
    """Any drawing of the kit, following what it shows; its dots are written as a GeneralView's are.

    drawing     the kind of drawing, such as MovementDrawing
    update(it)  moves what is drawn; on an error, which is raised, the last good drawing stays
    png()       the drawing as the bytes of a PNG picture, the same for the same subject
    """

    drawing: Any

    def __init__(self, drawing: type[Drawing[Any]], paper: Paper = SQUARE, dpi: float = SCREEN_DPI):
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        from tablekit.drawing.own_figure import OwnFigure

        self.figure = OwnFigure(dpi=dpi)
        self.canvas = FigureCanvasAgg(self.figure)
        self.drawing = drawing(self.figure, paper)

    def update(self, it: Any) -> Layout:
        """Shows another; gives back what was laid out, for a test to look at.

        Raises ValueError where the paper is too small."""
        return self.drawing.update(it)
