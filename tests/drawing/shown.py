"""What texts a figure shows, whatever artists they are."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from tablekit.drawing.ink import Label
from tablekit.drawing.letters import Letters, Writing


def texts(figure: Figure) -> list[Text]:
    """Each as an artist of its own, in the figure's dots."""
    alone = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text()]
    return [*alone, *(letters for _, letters in _written(figure))]


def labels(figure: Figure) -> list[Label]:
    """Each as a label, mm on the paper."""
    alone = [
        Label(
            text.get_text(), *text.get_position(), text.get_ha(), text.get_rotation(),
            text.get_fontsize(), text.get_fontweight() == "bold",
        )
        for text in figure.findobj(Letters)
        if text.get_visible() and text.get_text()
    ]  # fmt: skip
    return [*alone, *(label for label, _ in _written(figure))]


def boxes(figure: Figure) -> list[Bbox]:
    """The box of each of `texts`, in dots, as matplotlib measures it."""
    return [text.get_window_extent() for text in texts(figure)]


def _written(figure: Figure) -> list[tuple[Label, Letters]]:
    return [
        (label, Letters(label, transform=writing.get_transform(), figure=figure))
        for writing in figure.findobj(Writing)
        for label in writing.labels
    ]
