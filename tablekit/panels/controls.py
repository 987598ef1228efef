"""The small parts that panels are made of, and what a panel says apart from its answer, marked
for eyes and for screen readers."""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

import ipywidgets as widgets

from tablekit.drawing.general import LiveDrawing
from tablekit.drawing.ink import MM_PER_INCH
from tablekit.drawing.live import SCREEN_DPI, LiveView
from tablekit.drawing.style import SCREEN, Paper

Control = TypeVar("Control", bound=widgets.Widget)
WRAPPED = {"flex_flow": "row wrap"}
OLD_CLASS = "tablekit-old"  # of a drawing that shows the last design, not what is asked for now
FOUND_CLASS = "tablekit-calculated"  # of a size that nobody gave
LABEL = {"description_width": "initial"}
# The handle of a slider shows that it has the keyboard, which by itself it does not.
_FOCUS = (
    ".noUi-handle:focus-visible "
    "{ outline: 3px solid #4a90c8 !important; outline-offset: 2px; }"
    # A long text is as wide as its column; what is wider in it, a formula or a table, is scrolled.
    ".tablekit-long .widget-html-content { min-width: 0; overflow-x: auto; }"
    # A label is as wide as its words, whatever its layout says: a served page has larger letters.
    ".jupyter-button, .widget-label, .widget-label-basic { min-width: max-content !important; }"
    f".{OLD_CLASS} {{ opacity: 0.7; }}"
    f".{FOUND_CLASS} input:not(:focus) {{ color: var(--jp-ui-font-color1) !important; "
    "background: var(--jp-layout-color2) !important; }"
    # A finger that scrolls the page moves no slider: it is moved by its handle alone.
    "@media (pointer: coarse) { .noUi-target { touch-action: auto !important; } "
    ".noUi-target .noUi-base { pointer-events: none; } "
    ".noUi-target:not([disabled]) .noUi-handle, .noUi-target:not([disabled]) .noUi-touch-area "
    "{ pointer-events: auto; } }"
)


def heard(control: Control, action: Callable[[Any], object]) -> Control:
    """The control, each new value of which is handed to `action`."""
    control.observe(lambda change: action(change["new"]), "value")
    return control


def button(
    words: str, action: Callable[[], object], width: str = "auto", **more: Any
) -> widgets.Button:
    """A button that does something when it is clicked."""
    made = widgets.Button(description=words, layout={"width": width}, **more)
    made.on_click(lambda _: action())
    return made


class LivePicture(widgets.Image):
    """A drawing that follows what it shows, as wide as its column and no wider than its paper.

    drawing   the kind of drawing, such as MovementDrawing
    """

    def __init__(self, drawing: type[LiveDrawing[Any]], paper: Paper = SCREEN):
        wide = f"{paper.width / MM_PER_INCH * SCREEN_DPI:.0f}px"
        # No tooltip: ipywidgets 8.1 cannot show a picture that has one.
        super().__init__(format="png", layout={"width": "100%", "max_width": wide})
        self._live = LiveView(drawing, paper)

    def draw(self, it: Any) -> None:
        """Show another. On an error, which is raised, the last good drawing stays; where the paper
        is too small that is a ValueError."""
        self._live.update(it)
        self.value = self._live.png()


def mark_old(shown: Iterable[widgets.DOMWidget], old: bool) -> None:
    """Fade what shows the last design and not what the controls say, or show it in full again. A
    panel that calls this has `focus_seen()` in it."""
    for one in shown:
        if old:
            one.add_class(OLD_CLASS)
        elif OLD_CLASS in one._dom_classes:
            one.remove_class(OLD_CLASS)


def long_text() -> widgets.HTML:
    """A text with formulas or tables in it, which never makes its column wider than the screen.
    The panel that shows it has `focus_seen()` in it."""
    made = widgets.HTML(layout={"width": "100%", "min_width": "0"})
    made.add_class("tablekit-long")
    return made


def focus_seen() -> widgets.Widget:
    """Something invisible to be laid into a panel, which then shows which slider has the keys."""
    return styled(_FOCUS)


def styled(rules: str) -> widgets.Widget:
    """Something invisible to be laid into a panel, with rules for how it looks (CSS)."""
    return widgets.HTML(f"<style>{rules}</style>", layout={"display": "none"})


FINGER = "44px"  # the height of what is pressed, so that a finger meets it


def alert(text: str) -> str:
    """A message as HTML; nothing for an empty one."""
    if not text:
        return ""
    return (
        '<div role="alert" style="border-left:4px solid #c8504a; padding:2px 10px; '
        f'line-height:1.4">{html.escape(text)}</div>'
    )


def told_html(sentences: Sequence[str]) -> str:
    """Sentences, one under the other."""
    lines = "<br>".join(html.escape(sentence) for sentence in sentences)
    return f'<div role="status" style="line-height:1.4">{lines}</div>'


def unseen_html(text: str) -> str:
    """Words for those who hear a page and do not see it: what a picture beside them shows."""
    hidden = "position:absolute; width:1px; height:1px; overflow:hidden; clip-path:inset(50%)"
    return f'<span style="{hidden}">{html.escape(text)}</span>'
