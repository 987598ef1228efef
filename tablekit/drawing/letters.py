"""Lines of text as matplotlib artists that know their own width.

matplotlib measures each text anew for each page and each format before it draws it, which takes as
long as drawing it. Texts here are one line each, set on their base line, and `style.text_width`
has measured them already: all that is left to do is to hand them to the renderer.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import cos, radians, sin
from typing import Any, cast

from matplotlib.artist import Artist
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

from tablekit.drawing import style
from tablekit.drawing.label import BEFORE, Label


@lru_cache
def _font(size: float, bold: bool) -> FontProperties:
    weight = "bold" if bold else "normal"
    return FontProperties(family=style.FAMILY, size=size, weight=weight)


class Letters(Text):
    """One line of plain text, turned about its anchor on the base line."""

    def __init__(self, label: Label | None = None, **look: Any):
        super().__init__(va="baseline", rotation_mode="anchor", parse_math=False, **look)
        if label is not None:
            self.show(label)

    def show(self, label: Label) -> None:
        """Take on another text, wherever it stands."""
        self.set_visible(True)
        self.set_text(label.text)
        self.set_position((label.x, label.y))
        self.set_horizontalalignment(cast(Any, label.anchor))
        self.set_rotation(label.rotation)
        self.set_fontproperties(_font(label.size, label.bold))
        self.set_color(label.colour)
        self._label = label

    def draw(self, renderer: Any) -> None:
        """See `Artist.draw`."""
        if self.get_visible() and self.get_text():
            self._write(renderer)
        self.stale = False

    def _write(self, renderer: Any) -> None:
        x, y = self.get_transform().transform(self.get_unitless_position())
        back = BEFORE[self.get_horizontalalignment()]
        back, turn = back and back * self._length(renderer), radians(self.get_rotation())
        x, y = x - back * cos(turn), y - back * sin(turn)
        if renderer.flipy():
            y = renderer.get_canvas_width_height()[1] - y
        pen = renderer.new_gc()
        pen.set_foreground(self.get_color())
        renderer.draw_text(
            pen, x, y, self.get_text(), self.get_fontproperties(), self.get_rotation(), mtext=self
        )
        pen.restore()

    def _length(self, renderer: Any) -> float:
        if hasattr(renderer, "buffer_rgba"):  # letters fitted to dots are a little narrower
            font = self.get_fontproperties()
            return float(renderer.get_text_width_height_descent(self.get_text(), font, False)[0])
        return float(renderer.points_to_pixels(self._label.width / style.MM_PER_POINT))


class Writing(Artist):
    """Many lines of text as one artist."""

    def __init__(self, labels: Sequence[Label], transform: Any, zorder: float):
        super().__init__()
        self.labels = tuple(labels)
        self.set_transform(transform)
        self.set_zorder(zorder)

    def draw(self, renderer: Any) -> None:
        """See `Artist.draw`."""
        letters = Letters(transform=self.get_transform(), figure=self.get_figure())
        for label in self.labels:
            letters.show(label)
            letters.draw(renderer)
        self.stale = False
