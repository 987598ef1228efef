"""A drawing in a page, kept there as SVG, whose dimensions are controls: pointed at, each says what
it is; clicked, it is given or released, or another size is typed; its arrow is drawn out by hand.

The page gets the numbers of each frame and moves what it has (`live_drawing.js`). Where a front
end cannot run that, the still picture beside it stays.
"""

from __future__ import annotations

import html
from abc import ABC, abstractmethod
from base64 import b64encode
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

import anywidget
import ipywidgets as widgets
import traitlets

from tablekit.drawing import style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, InkedSheet
from tablekit.drawing.packed import packed, pens
from tablekit.drawing.style import Paper
from tablekit.drawing.svg import svg_bytes
from tablekit.panels.controls import told_html
from tablekit.panels.frames import Carried

Shown = TypeVar("Shown")
Laid = TypeVar("Laid")

# So that the letters of a drawing are 12 pixels high, whatever the width of its column.
PX_PER_MM = 12 / (style.TEXT * style.MM_PER_POINT)
HOW = (
    "Underlined sizes are given, dotted ones assumed. Click a size to change it; drag the arrow of "
    "one that is given. With the keyboard: Tab, Enter and the arrow keys."
)
WIDER = (1.0, 1.1, 1.2, 1.35, 1.5, 1.75, 2.0)  # papers tried, as shares of the column
STILL = 960  # pixels: what is laid out for a page that has not told how much room it has


@dataclass(frozen=True)
class About:
    """What does not change of a quantity while it is moved.

    words      its name
    low, high  where it can be drawn or keyed to, in its reporting unit, by `step`
    """

    words: str
    meaning: str
    low: float
    high: float
    step: float


@dataclass(frozen=True)
class Told:
    """What a dimension says of its quantity: the text, where it is from, and the number."""

    text: str
    origin: str
    number: float


class DrawingControl(anywidget.AnyWidget):
    """The page's part of a drawing.

    frame    the drawing as `packed` has it
    pens     how its pens draw
    label    what it shows, in words
    room     the width of its column, pixels, in steps; 0 until a page has shown it
    others   what the page is to be told of other controls with the frame: how often it was told
             something, and their new states by model
    """

    _esm = Path(__file__).with_name("live_drawing.js")
    _css = Path(__file__).with_name("live_drawing.css")
    frame: Any = traitlets.Bytes(b"").tag(sync=True)
    pens: Any = traitlets.Dict().tag(sync=True)
    label: Any = traitlets.Unicode("").tag(sync=True)
    room: Any = traitlets.Int(0).tag(sync=True, echo_update=False)
    others: Any = traitlets.List([0, {}]).tag(sync=True)

    @contextmanager
    def carrying(self, others: Iterable[Carried]) -> Iterator[None]:
        """What changes meanwhile goes to the page in one message, where a page shows the drawing:
        its frame, and of other controls what they would tell by themselves."""
        others = tuple(others) if self.room else ()
        with self.hold_sync():
            try:
                for one in others:
                    one.news = {}
                yield
            finally:
                news = {str(one.model_id): one.news for one in others if one.news}
                for one in others:
                    one.news = None
                if news:
                    self.others = [self.others[0] + 1, news]


class SizeControl(DrawingControl):
    """The page's part of a drawing whose dimensions are controls.

    about    what is told of each quantity, by name: see `About`
    sizes    the same of its size: text, origin and number
    refused  why what was typed last cannot be taken
    moved    what a hand or the keys moved last: a quantity, where to, and how many moves there were
    """

    about: Any = traitlets.Dict().tag(sync=True)
    sizes: Any = traitlets.Dict().tag(sync=True)
    refused: Any = traitlets.Unicode("").tag(sync=True)
    moved: Any = traitlets.List(["", 0.0, 0]).tag(sync=True, echo_update=False)


class PageView(ABC, Generic[Shown]):
    """A drawing in a page, with a still picture where none can be shown.

    control   the drawing in a page
    still     the picture for a page that cannot show it
    how       how it is handled, in words
    widget    all of them

    A child draws another by `draw`.
    """

    control: DrawingControl

    def __init__(self, control: DrawingControl, how: str):
        self.control = control
        control.pens = pens()
        self._shown: tuple[Shown] | None = None
        self.still = widgets.HTML()
        self.still.add_class("tablekit-still")
        # Of what a page can do only once it has shown that it can.
        self.how = widgets.HTML(told_html([how]), layout={"display": "none"})
        self.widget = widgets.VBox([control, self.still, self.how], layout={"width": "100%"})
        self.widget.add_class("tablekit-picture")
        control.observe(lambda _: self._again(), "room")

    @property
    def value(self) -> bytes:
        """The frame that is shown."""
        return bytes(self.control.frame)

    @abstractmethod
    def draw(self, it: Shown) -> None:
        """Show another. On an error, which is raised, the last good drawing stays; where the paper
        is too small that is a ValueError."""

    def _again(self) -> None:
        """A page has told how much room it has."""
        self.still.value, self.how.layout.display = "", None
        if self._shown is not None:
            self.draw(*self._shown)

    def _fitting(
        self, paper: Callable[[float], Paper], lay_out: Callable[[Paper], Laid]
    ) -> tuple[Paper, Laid]:
        """On a paper as wide as its column, or on a wider one where that is too small: it is
        scrolled there."""
        column = (self.control.room or STILL) / PX_PER_MM
        *others, widest = (paper(more * column) for more in WIDER)
        for one in others:
            with suppress(ValueError):
                return one, lay_out(one)
        return widest, lay_out(widest)

    def _keep_still(self, ink: Ink, paper: Paper) -> None:
        """The still picture, as an image, so that nothing in it meets anything of the page."""
        data = b64encode(svg_bytes(InkedSheet(ink, paper), letters=True)).decode()
        wide = paper.width * PX_PER_MM
        self.still.value = (
            f'<img alt="{html.escape(self.control.label)}" src="data:image/svg+xml;base64,{data}" '
            f'style="display:block; width:100%; max-width:{wide:.0f}px">'
        )


class LiveSheet(PageView[Shown]):
    """A drawing that follows what it shows and tells what was done to its dimensions.

    lay_out   how it is drawn on a paper, where the scale before was another or None; raises
              ValueError where the paper is too small
    paper     the paper for a column, its width in millimetres
    label     what it shows, in words
    told      what a quantity is, and its size
    moved     called with a quantity and a number that a hand or the keys moved it to
    asked     called with "give", "release" or "type", a quantity, and what was typed
    """

    control: SizeControl

    def __init__(
        self,
        lay_out: Callable[[Shown, Paper, float | None], Layout],
        paper: Callable[[float], Paper],
        label: str,
        told: Callable[[str], tuple[About, Told]],
        moved: Callable[[str, float], None],
        asked: Callable[[str, str, str], None],
    ):
        super().__init__(SizeControl(label=label), HOW)
        self._lay_out, self._paper = lay_out, paper
        self._told, self._asked = told, asked
        self._scale: float | None = None
        self._names: tuple[str, ...] = ()
        self.control.observe(lambda change: moved(*change["new"][:2]), "moved")
        self.control.on_msg(self._heard)

    @property
    def names(self) -> tuple[str, ...]:
        """The quantities that its dimensions give."""
        return self._names

    def draw(self, it: Shown) -> None:
        """Show another, as `PageView`."""
        paper, layout = self._fitting(
            self._paper, lambda paper: self._lay_out(it, paper, self._scale)
        )
        self._shown, self._scale, ink = (it,), layout.scale, layout.ink
        named = (*(grip.of.quantity for grip in ink.grips), *(one.quantity for one in ink.labels))
        self._names = tuple(name for name in dict.fromkeys(named) if name)
        with self.control.hold_sync():  # one message
            self.control.frame = packed(ink, paper)
            self.tell()
        if not self.control.room:
            self._keep_still(ink, paper)

    def _again(self) -> None:
        self._scale = None
        super()._again()

    def tell(self) -> None:
        """Say anew what the dimensions give."""
        told = {name: self._told(name) for name in self._names}
        with self.control.hold_sync():
            self.control.about = {name: vars(about) for name, (about, _) in told.items()}
            self.control.sizes = {
                name: [size.text, size.origin, size.number] for name, (_, size) in told.items()
            }

    def refuse(self, why: str) -> None:
        """Say why what was typed cannot be had; an empty text, that it can."""
        self.control.refused = why

    def _heard(self, _: Any, content: Any, __: Any) -> None:
        if isinstance(content, dict) and content.get("do") in ("give", "release", "type"):
            text = str(content.get("text", ""))
            self._asked(str(content["do"]), str(content.get("name", "")), text)
