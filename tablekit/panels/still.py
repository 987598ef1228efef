"""A drawing that stays where it is: what a reader without a running kernel sees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.drawing.live import GeneralView

if TYPE_CHECKING:
    from IPython.display import Image

    from tablekit.engine.sheet import Sheet


def still(sheet: Sheet) -> Image:
    """The general arrangement of a sheet as a picture, with a description for screen readers."""
    from IPython.display import Image

    view = GeneralView()
    view.update(sheet)
    said = f"Elevation and plan of {sheet.name}, a {sheet.kind}, to scale with its main sizes."
    return Image(data=view.png(), format="png", alt=said)
