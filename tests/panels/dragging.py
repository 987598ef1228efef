"""A drag as a page makes it that sends every move without waiting."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from unittest.mock import patch

import ipywidgets as widgets


def drag(
    slider: widgets.FloatSlider, places: Iterable[float], meanwhile: Callable[[], None] = bool
) -> None:
    """All moves come while the first frame is drawn; `meanwhile` is called before the next.

    However slow the machine, they count as waiting for that frame."""

    async def run() -> None:
        for place in places:
            slider.set_state({"value": float(place)})
        meanwhile()
        await asyncio.sleep(0.2)

    with patch("tablekit.panels.frames.WAITED", 60.0):
        asyncio.run(run())
