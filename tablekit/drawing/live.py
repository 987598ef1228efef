"""Any drawing for a slider panel: artists made once, moved at each change."""

from __future__ import annotations

import struct
import zlib
from typing import Any, Generic

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing.general import Layout, LiveDrawing, Shown
from tablekit.drawing.style import SCREEN, Paper

# At 100 dots an inch the screen paper is 960 by 580 dots and its letters are 12 dots high.
SCREEN_DPI = 100


class LiveView(Generic[Shown]):
    """A drawing that follows what it shows.

    drawing     the kind of drawing, such as MovementDrawing
    update(it)  moves what is drawn; on an error, which is raised, the last good drawing stays
    png()       the drawing as the bytes of a PNG picture
    """

    drawing: Any

    def __init__(
        self, drawing: type[LiveDrawing[Shown]], paper: Paper = SCREEN, dpi: float = SCREEN_DPI
    ) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        from tablekit.drawing.own_figure import OwnFigure

        self.figure = OwnFigure(dpi=dpi)
        self.canvas = FigureCanvasAgg(self.figure)
        self.drawing = drawing(self.figure, paper)

    def update(self, it: Shown) -> Layout:
        """Shows another; gives back what was laid out, for a test to look at.

        Raises ValueError where the paper is too small."""
        layout: Layout = self.drawing.update(it)
        return layout

    def png(self) -> bytes:
        """The drawing as PNG, the same bytes for the same subject."""
        self.canvas.draw()
        return png_bytes(np.asarray(self.canvas.buffer_rgba())[..., :3])


def png_bytes(pixels: NDArray[np.uint8]) -> bytes:
    """A picture, shape (height, width, 3), as PNG (ISO/IEC 15948, from memory).

    Written out here because the usual writers try several filters on each row of dots, which
    takes longer than drawing them and gains nothing on a white sheet with lines.
    """
    height, width, _ = pixels.shape
    rows = np.zeros((height, 1 + 3 * width), dtype=np.uint8)  # each begins with 0: no filter
    rows[:, 1:] = pixels.reshape(height, -1)
    # Width, height, 8 bits each of red, green and blue; the only methods there are; not interlaced.
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(rows.tobytes(), 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in parts
    )
