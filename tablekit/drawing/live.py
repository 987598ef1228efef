"""The general arrangement for a slider panel: artists made once, moved at each change."""

from __future__ import annotations

from io import BytesIO

from tablekit.drawing.general import GeneralDrawing, Layout
from tablekit.drawing.style import SCREEN, Paper
from tablekit.drawing.views import DrawnSheet

# At 100 dots an inch the screen paper is 960 by 580 dots and its letters are 12 dots high.
SCREEN_DPI = 100


class GeneralView:
    """A general arrangement that follows a sheet.

    update(sheet)  moves what is drawn; on an error the last good drawing stays
    png()          the drawing as the bytes of a PNG picture
    """

    def __init__(self, paper: Paper = SCREEN, dpi: float = SCREEN_DPI) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.figure = Figure(dpi=dpi)
        self.canvas = FigureCanvasAgg(self.figure)
        self.drawing = GeneralDrawing(self.figure, paper)

    def update(self, sheet: DrawnSheet) -> Layout:
        """Shows another sheet; gives back what was laid out, for a test to look at."""
        return self.drawing.update(sheet)

    def png(self) -> bytes:
        """The drawing as PNG, the same bytes for the same sheet."""
        from PIL import Image

        self.canvas.draw()
        # Light compression: most of the time would go into squeezing a mostly white picture.
        picture = Image.fromarray(self._pixels(), "RGB")
        held = BytesIO()
        picture.save(held, "png", compress_level=1)
        return held.getvalue()

    def _pixels(self):
        import numpy as np

        return np.ascontiguousarray(np.asarray(self.canvas.buffer_rgba())[..., :3])
