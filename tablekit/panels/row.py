"""One line of a panel: a quantity's name, whether it is given, its slider and its text."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets

from tablekit.brief import Typed
from tablekit.engine.quantity import Quantity
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle, quantity_text, shown_unit
from tablekit.engine.units import has_no_unit, parse_quantity
from tablekit.panels.controls import FOUND_CLASS
from tablekit.panels.frames import Carried, SizeText, Slider

# Where sliders run, in reporting units; a text may go beyond, as far as the quantity's own range.
SLIDERS: dict[str, tuple[float, float]] = {
    "table_height": (350, 1100),
    "seat_height": (300, 800),
    "top_diameter": (250, 1600),
    "top_thickness": (15, 60),
    "post_section": (25, 120),
    "post_length": (300, 1800),
    "splay": (15, 75),
    "foot_spread": (200, 1600),
    "overhang": (-150, 400),
    "leg_rake": (1, 25),
    "leg_splay": (1, 25),
    "leg_resultant": (2, 32),
    "leg_length": (200, 1200),
    "socket_radius": (60, 500),
}
NO_VALUE = "—"  # what is calculated, while the givens clash
_SIZES = (
    "top_diameter", "post_section", "post_length", "splay", "foot_spread", "overhang",
    "top_thickness",
)  # fmt: skip
_LEG_SIZES = (
    "top_diameter", "top_thickness", "leg_rake", "leg_splay", "leg_resultant", "leg_length",
    "socket_radius", "foot_spread",
)  # fmt: skip
HEIGHTS = {"table": "table_height", "stool": "seat_height"}
ROWS = {kind: (height, *_SIZES) for kind, height in HEIGHTS.items()}
# Of splayed legs.
LEG_ROWS = {kind: (height, *_LEG_SIZES) for kind, height in HEIGHTS.items()}


def usual_rows(kind: str, crossed: bool) -> tuple[str, ...]:
    """The quantities that a panel has rows for where it is not asked for others; `crossed` of
    crossed posts, else of legs."""
    return (ROWS if crossed else LEG_ROWS)[kind]


def slider_range(quantity: Quantity) -> tuple[float, float]:
    """From where to where a slider of this quantity runs, in its reporting unit."""
    return SLIDERS.get(quantity.name, (quantity.low, quantity.high))


def run_about(quantity: Quantity, number: float) -> tuple[float, float]:
    """From where to where a quantity is worth varying about a number: as its slider runs, or by
    half as much again either way where it has none of its own."""
    if quantity.name in SLIDERS:
        return SLIDERS[quantity.name]
    reach = abs(number) / 2 or min(1.0, quantity.high - quantity.low)
    return max(quantity.low, number - reach), min(quantity.high, number + reach)


def step_of(quantity: Quantity) -> float:
    """By how much a key moves it, in its reporting unit."""
    return 0.1 if quantity.unit == "deg" else 0.5


def shown(number: float, quantity: Quantity, style: ShopStyle) -> str:
    """A number of a quantity as a sheet says it."""
    return f"{number:.0f}" if quantity.whole else quantity_text(float(number), quantity, style)


def column(share: int, least: int, wanted: int = 0) -> dict[str, str]:
    """Layout of a column that takes its share of the room, goes below the others where it has not
    got its least width (px), and fills a screen that is narrower than that."""
    return {"flex": f"{share} 1 {wanted or least}px", "min_width": f"min(100%, {least}px)"}


class Row:
    """The controls of one quantity.

    moved(row, number), typed(row, text) and switched(row, given) are called when the maker
    moves the slider, types a measure, or switches between given and found.
    """

    def __init__(
        self,
        quantity: Quantity,
        moved: Callable[[Row, float], None],
        typed: Callable[[Row, str], None],
        switched: Callable[[Row, bool], None],
    ):
        self.quantity = quantity
        self._moved = moved
        self._writing = self._held = False
        self._shown = math.nan
        low, high = slider_range(quantity)
        name = quantity.name.replace("_", " ")
        self.switch = widgets.ToggleButton(
            description=f"{name}",
            tooltip=f"{quantity.meaning}. Click to fix its value, or type one; click again to "
            "calculate it.",
            layout={"width": "auto", "flex": "0 1 144px", "min_width": "100px"},
        )
        self.slider = Slider(
            min=low,
            max=high,
            step=step_of(quantity),
            readout=False,
            # On a phone it gives way to the name and the value.
            layout={"width": "auto", "flex": "1 1 60px", "min_width": "60px", "max_width": "180px"},
        )
        self.text = SizeText(
            continuous_update=False,
            layout={"width": "auto", "flex": "0 1 104px", "min_width": "88px"},
            placeholder=quantity.unit,
        )
        self.switch.observe(self._call(lambda value: switched(self, value)), "value")
        self.slider.observe(self._call(self._slid), "value")
        self.text.observe(self._call(lambda value: typed(self, value)), "value")
        self.widget = widgets.HBox(
            [self.switch, self.slider, self.text], layout={"max_width": "100%"}
        )

    @property
    def carried(self) -> tuple[Carried, ...]:
        """What moves at each frame."""
        return self.slider, self.text

    @property
    def in_hand(self) -> bool:
        """Whether a hand in a page moves it, by its slider or in a drawing."""
        return self._held or self.slider.from_page

    @contextmanager
    def held(self) -> Iterator[None]:
        """While a hand moves it in a drawing."""
        self._held = True
        try:
            yield
        finally:
            self._held = False

    def _call(self, action: Callable[[Any], None]) -> Callable[[Any], None]:
        def observer(change: Any) -> None:
            if not self._writing:
                action(change["new"])

        return observer

    def _slid(self, value: float) -> None:
        # A browser sends back what it was told to show, snapped to its own steps; only a
        # real move of a given is the maker's.
        if not self.slider.disabled and abs(value - self._shown) > self.slider.step / 2:
            self._shown = value
            self._moved(self, value)

    def read(self, text: str, style: ShopStyle) -> Typed:
        """What a typed measure says, in the quantity's reporting unit; a number alone is in the
        unit that is shown.

        Raises UnitsError and RangeError, as `parse_quantity`."""
        it, text = self.quantity, text.strip()
        if it.unit != "1" and not it.said and has_no_unit(text):
            text += shown_unit(it.unit, style)[0]
        number = parse_quantity(text, it.unit, it.name, signed=it.low < 0, said=it.said)
        return Typed(number, text)

    def show(self, sheet: Sheet, *, given: bool) -> None:
        """Show the quantity's value on a sheet, without calling anyone back."""
        number = sheet.get(self.quantity.name)
        self.mark(given=given)
        self._writing = True
        if number is not None:
            self._place(number, given)
        self.text.value = sheet.shop(self.quantity.name)
        self._writing = False

    def show_unanswered(self, number: float | None, style: ShopStyle) -> None:
        """Show a given that no design was found for, or with None that there is no value."""
        self.mark(given=number is not None)
        self._writing = True
        if number is not None:
            self._place(float(number), given=True)
        self.text.value = NO_VALUE if number is None else shown(number, self.quantity, style)
        self._writing = False

    def _place(self, number: float, given: bool) -> None:
        # Whole steps from the end, so that the ends can be reached.
        if number > self.slider.max:
            self.slider.max = math.ceil(number)
        elif number < self.slider.min:
            self.slider.min = math.floor(number)
        place = self._snapped(number)
        # A slider in somebody's hand is not tugged at for less than a step: the size the shop
        # works to may lie a little beside it, and stands in the text.
        if not given or abs(self.slider.value - place) > self.slider.step:
            self.slider.value = place
        self._shown = self.slider.value

    def _snapped(self, number: float) -> float:
        low, step = self.slider.min, self.slider.step
        return min(low + round((number - low) / step) * step, self.slider.max)

    def mark(self, *, given: bool) -> None:
        """Show whether it is given. What is found cannot be moved; typed, it is given."""
        if (self.switch.value, bool(self.switch.icon), not self.slider.disabled) == (given,) * 3:
            return
        self._writing = True
        self.switch.value = given
        self.switch.icon = "thumb-tack" if given else ""
        self.slider.disabled = not given
        if given:
            self.text.remove_class(FOUND_CLASS)
        else:
            self.text.add_class(FOUND_CLASS)
        self._writing = False
