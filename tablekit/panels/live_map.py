"""A map of designs in a page, kept there as SVG: its point is moved by a hand or the arrow keys,
and what is pointed at is read out. The map is sent when it changes, the point at each step."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, log10
from typing import Any

import traitlets

from tablekit.drawing.ink import Ink
from tablekit.drawing.packed import PER_MM, packed
from tablekit.drawing.style import Paper
from tablekit.drawing.trade_offs import (
    TradeSubject,
    frame_of,
    lay_out_map,
    map_paper,
    packed_designs,
    with_point,
)
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import ShopStyle, quantity_text, rule_step, shown_unit
from tablekit.engine.wording import words
from tablekit.panels.live_drawing import DrawingControl, PageView
from tablekit.panels.row import step_of
from tablekit.planning.trade_offs import MOST_NAMED, WORDS, TradeMap

HOW = (
    "Drag the point, or click where it should go. With the keyboard: Tab to the point, then the "
    "arrow keys. Point at the map to read it."
)
PINNED_HOW = "Point at it to read it."
READ = 500  # parts of a range that a read-out tells apart


class MapControl(DrawingControl):
    """The page's part of a map.

    plane   what does not change while the point moves: see `_plane`; and whether it is fixed
    grid    the designs, as `packed_designs`
    point   the design one has: x and y, reporting units, both as they are read, and what is said
            of it
    wanted  where a hand or the keys want it, and how many moves there were
    """

    plane: Any = traitlets.Dict().tag(sync=True)
    grid: Any = traitlets.Bytes(b"").tag(sync=True)
    point: Any = traitlets.List([0.0, 0.0, "", "", ""]).tag(sync=True)
    wanted: Any = traitlets.List([0.0, 0.0, 0]).tag(sync=True, echo_update=False)


class LiveMap(PageView[TradeSubject]):
    """A map whose point can be moved.

    moved   called with x and y, reporting units, where a hand or the keys want the point; None for
            a map that is only read
    """

    control: MapControl

    def __init__(self, moved: Callable[[float, float], None] | None):
        super().__init__(MapControl(), PINNED_HOW if moved is None else HOW)
        self._fixed = moved is None
        self._drawn: tuple[TradeMap, ShopStyle, int] | None = None
        self._map: tuple[Paper, Ink]
        if moved is not None:
            self.control.observe(lambda change: moved(*change["new"][:2]), "wanted")

    def draw(self, it: TradeSubject, said: str = "") -> None:
        """Show another map or another point; `said` is told of the point."""
        control, kept = self.control, self._drawn
        self._shown = (it,)
        with control.hold_sync():
            if kept is None or kept[0] is not it.map or kept[1:] != (it.shop, control.room):
                self._map = self._fitting(map_paper, lambda paper: lay_out_map(it, paper))
                paper, ink = self._map
                control.frame = packed(ink, paper)
                control.plane = {**_plane(it, paper), "fixed": self._fixed}
                control.grid = packed_designs(it.map)
                control.label = f"Map of designs. {it.map.said}"
                self._drawn = (it.map, it.shop, control.room)
            axes = zip(it.point, (it.map.x, it.map.y), strict=True)
            texts = (quantity_text(number, axis, it.shop) for number, axis in axes)
            control.point = [*it.point, *texts, said]
        if not control.room:
            paper, ink = self._map
            self._keep_still(with_point(ink, it, paper), paper)


def _plane(it: TradeSubject, paper: Paper) -> dict[str, Any]:
    """The room of the map on its paper, left, top, width and height in hundredths of a millimetre;
    its axes and its third quantity as `_read`; how many designs across and up; the words of
    verdicts, checks that fail or call for caution, and reasons."""
    of, room = it.map, frame_of(it.map, paper).room
    place = (room.left, paper.height - room.high, room.width, room.height)
    return {
        "room": [round(side * PER_MM) for side in place],
        "x": _read(of.x, float(of.x_at[0]), float(of.x_at[-1]), it.shop),
        "y": _read(of.y, float(of.y_at[0]), float(of.y_at[-1]), it.shop),
        "third": _read(of.third, *of.third_ends, it.shop),
        "size": [of.x_at.size, of.y_at.size],
        "words": list(WORDS),
        "failed": [name for name, _ in of.failed[:MOST_NAMED]],
        "cautioned": [name for name, _ in of.cautioned[:MOST_NAMED]],
        "reasons": [text for text, _ in of.reasons],
    }


def _read(quantity: Quantity, low: float, high: float, shop: ShopStyle) -> dict[str, Any]:
    """How a quantity is read out: its name, range and step, reporting units; how many of the
    maker's units go to one of those, their sign, and the decimals that tell much of the range."""
    sign, per = shown_unit(quantity.unit, shop)
    step = step_of(quantity)
    fine = abs(high - low) * per / READ or 1.0
    return {
        "words": words(quantity.name), "low": low, "high": high,
        "step": max(step, rule_step(shop)) if quantity.unit == "mm" else step,
        "per": per, "unit": sign, "places": min(max(ceil(-log10(fine)), 0), 4),
    }  # fmt: skip
