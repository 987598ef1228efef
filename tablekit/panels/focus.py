"""Where the keyboard is: the handle of a slider shows it, which by itself it does not."""

from __future__ import annotations

import ipywidgets as widgets

_STYLE = (
    "<style>.noUi-handle:focus-visible "
    "{ outline: 3px solid #14507a !important; outline-offset: 2px; }</style>"
)


def focus_seen() -> widgets.Widget:
    """Something invisible to be laid into a panel, which then shows which slider has the keys."""
    return widgets.HTML(_STYLE, layout={"display": "none"})
