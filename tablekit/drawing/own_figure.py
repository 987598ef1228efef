"""Figures that look the same whatever the settings of who uses the kit.

matplotlib takes its settings from files that a user may have, and from what a notebook has set for
its own plots. Some would change a template at full size (`savefig.bbox`), some stop a drawing
(`text.usetex`). Whatever the kit draws is therefore made and written under matplotlib's defaults.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

import matplotlib
from matplotlib import rc_context
from matplotlib.figure import Figure

# What says how matplotlib runs and not how a drawing looks; it cannot be changed half way.
HOW_IT_RUNS = {
    "backend", "backend_fallback", "date.epoch", "docstring.hardcopy", "figure.max_open_warning",
    "figure.raise_window", "interactive", "savefig.directory", "timezone", "tk.window_focus",
    "toolbar",
}  # fmt: skip
_within: ContextVar[bool] = ContextVar("within", default=False)
_last: tuple[dict[str, Any], dict[str, Any]] = {}, {}


@contextmanager
def own_settings(changes: Mapping[str, Any] | None = None) -> Iterator[None]:
    """Within, matplotlib has its defaults, but for `changes`."""
    foreign = {} if _within.get() else _foreign()
    if not foreign and not changes:  # as nearly always, and told in microseconds
        yield
        return
    before = _within.set(True)
    try:
        settings: dict[Any, Any] = {**foreign, **(changes or {})}
        with rc_context(settings):
            yield
    finally:
        _within.reset(before)


def _foreign() -> dict[str, Any]:
    """The defaults of all settings that are not at theirs."""
    global _last
    now: dict[Any, Any] = matplotlib.rcParams
    usual: dict[Any, Any] = matplotlib.rcParamsDefault
    # The dictionary below: looking a setting up the usual way takes a hundred times as long.
    if not dict.__eq__(now, _last[0]):
        here = dict(dict.items(now))
        away = (name for name, value in dict.items(usual) if here.get(name) != value)
        _last = here, {name: usual[name] for name in away if name not in HOW_IT_RUNS}
    return _last[1]


class OwnFigure(Figure):
    """A figure that is made, drawn and written under matplotlib's defaults."""

    @own_settings()
    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)

    @own_settings()
    def text(self, *given: Any, **named: Any) -> Any:
        """See `Figure.text`."""
        return super().text(*given, **named)

    @own_settings()
    def draw(self, renderer: Any) -> None:
        """See `Figure.draw`."""
        super().draw(renderer)

    @own_settings()
    def savefig(self, *given: Any, **named: Any) -> None:
        """See `Figure.savefig`."""
        super().savefig(*given, **named)
