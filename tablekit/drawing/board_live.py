"""The board layout for a panel: artists made once, moved at each change."""

from __future__ import annotations

import numpy as np

from tablekit.drawing.board_layout import BoardDrawing, LayoutSubject
from tablekit.drawing.general import Layout
from tablekit.drawing.live import SCREEN_DPI, png_bytes
from tablekit.drawing.style import SCREEN, Paper


class BoardView:
    """A board layout that follows a rack.

    update(subject)  moves what is drawn; on an error the last good drawing stays
    png()            the drawing as the bytes of a PNG picture
    """

    def __init__(self, paper: Paper = SCREEN, dpi: float = SCREEN_DPI) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        from tablekit.drawing.own_figure import OwnFigure

        self.figure = OwnFigure(dpi=dpi)
        self.canvas = FigureCanvasAgg(self.figure)
        self.drawing = BoardDrawing(self.figure, paper)

    def update(self, it: LayoutSubject) -> Layout:
        """Shows another layout; gives back what was laid out, for a test to look at.

        Raises ValueError where there are too many strips for the paper."""
        return self.drawing.update(it)

    def png(self) -> bytes:
        """The drawing as PNG, the same bytes for the same layout."""
        self.canvas.draw()
        return png_bytes(np.asarray(self.canvas.buffer_rgba())[..., :3])
