"""The panel that derives a dimension again: say what is known and what is wanted, and see the way
from the one to the other, or what is missing, or what clashes.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.drawing import style
from tablekit.engine.trouble import DesignError, NotEnoughGiven
from tablekit.engine.wording import words
from tablekit.panels.controls import (
    LABEL,
    WRAPPED,
    alert,
    button,
    focus_seen,
    heard,
    long_text,
)
from tablekit.panels.files import Saved, held_link, plain_name
from tablekit.panels.panel import GivensPanel
from tablekit.panels.row import column

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

OLD = "The working below is for the last sizes that could be solved."
ASK = "choose a quantity …"
MOST_OFFERS = 6
ENDING = ".html"
_CSS = f"""
:root {{ color: {style.INK}; background: {style.PAPER}; }}
body {{ font: 1.06rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 48rem; padding: 1rem; }}
h1 {{ font-size: 1.6rem; line-height: 1.2; }}
table {{ border-collapse: collapse; }}
th, td {{ text-align: left; padding: 0.2rem 1rem 0.2rem 0; font-weight: inherit; }}
caption {{ text-align: left; color: {style.FAINT}; }}
@media print {{ h3, h4, h5 {{ break-after: avoid; }} }}
"""


class WorkingPanel(GivensPanel):
    """A panel over one brief, as a `GivensPanel`.

    wanted   the quantity whose working is shown first; the length of a post or leg if not said
    folder   where pages are written; the folder one works in if not said
    offers   buttons for what would help where there is no answer

    Raises UnknownName.
    """

    old = OLD
    offline = "the working of any quantity, from whatever is given."

    def __init__(self, brief: Brief, wanted: str | None = None, folder: Path | None = None):
        super().__init__(brief)
        wanted = wanted or f"{brief.base.chosen.part}_length"
        self.sheet.network.quantity(wanted)
        self._saved = Saved(folder)
        self._make_widgets(wanted)
        self._fit()
        self._write()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self, wanted: str) -> None:
        names = [(words(name), name) for name in self.sheet.network.quantities]
        wide = {"width": "330px"}
        self.wanted = widgets.Dropdown(
            description="wanted", options=names, value=wanted, style=LABEL, layout=wide
        )
        self.another = widgets.Dropdown(
            description="given too", options=[(ASK, ""), *names], value="", style=LABEL, layout=wide
        )
        self.in_full = widgets.Checkbox(value=True, description="in full", indent=False,
                                        layout={"width": "90px"})  # fmt: skip
        self.name = widgets.Text(
            description="page", style=LABEL, continuous_update=False, layout=wide
        )
        heard(self.wanted, self._wants)
        heard(self.another, self._gives_another)
        heard(self.in_full, self._write_working)
        heard(self.name, lambda _: self._saved.forget())
        hint = "writes the working to its own file, ready to print"
        self.page = button("write this page", self.write_page, "160px", icon="print", tooltip=hint)
        self.said, self.working = widgets.HTML(), long_text()
        self.offers, self.known = self.releases, widgets.VBox()
        self._name_page()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        controls = widgets.VBox(
            [
                widgets.HBox([self.wanted, self.in_full], layout=WRAPPED),
                widgets.HTML("<b>Given</b>"),
                self.known,
                self.another,
                self.trouble,
                self.offers,
                widgets.HBox([self.name, self.page], layout=WRAPPED),
                self.said,
            ],
            layout={**column(1, 430), "max_width": "520px"},
        )
        working = widgets.Box([self.working], layout=column(2, 420, 560))
        return widgets.HBox([controls, working, focus_seen()], layout=WRAPPED)

    # -- what the maker does ----------------------------------------------------------------

    def _wants(self, _: Any) -> None:
        self.frames.finish()
        self._name_page()
        self._write_working()

    def _name_page(self) -> None:
        self.name.value = f"working-{plain_name(self.wanted.value)}{ENDING}"

    def _gives_another(self, name: str) -> None:
        if name:
            self.give(name)
            self.another.value = ""

    def write_page(self) -> None:
        """Write the working as a page of its own; over a file that is not ours only when asked
        again."""
        self.frames.finish()
        try:
            if self.trouble.value:
                raise DesignError(
                    "the given sizes have no solution yet; correct them first, then write the page"
                )
            page = working_page(self.sheet, self.wanted.value, self._full)
            path = self._saved.write(self.name.value, ENDING, page)
        except DesignError as trouble:
            self.said.value = alert(str(trouble))
            return
        link = held_link(path, "text/html")
        self.said.value = f'<p role="status">Written as {link}. Open it and print it.</p>'

    # -- what the panel answers -------------------------------------------------------------

    @property
    def _full(self) -> bool:
        return bool(self.in_full.value)

    def _answer(self) -> None:
        self._fit()
        super()._answer()

    def _fit(self) -> None:
        """A row for whatever was given once; released, it shows what was found."""
        fresh = {name: self._row(name) for name in self.state.given if name not in self.rows}
        if fresh:
            self.rows.update(fresh)
            self.known.children = tuple(row.widget for row in self.rows.values())

    def _write(self) -> None:
        super()._write()
        self._write_working()

    def _write_working(self, _: Any = None) -> None:
        self.working.value = self.sheet.working(self.wanted.value).html(brief=not self._full)

    def _offers(self, trouble: Exception) -> Iterable[tuple[str, Callable[[], None]]]:
        if isinstance(trouble, NotEnoughGiven):
            for names in trouble.settling[:MOST_OFFERS]:
                yield f"give {' and '.join(map(words, names))}", partial(self.give, *names)
        for offer, action in super()._offers(trouble):
            yield words(offer), action


def working_page(sheet: Sheet, name: str, in_full: bool = True) -> str:
    """The working of one quantity as a page in a single file, which needs no network and no script.

    Raises UnknownName."""
    working = sheet.working(name).html(brief=not in_full)
    title = f"{sheet.name}: working of {words(name)}"
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        # Nothing may be fetched and nothing run, whatever a name in a brief holds.
        '<meta http-equiv="Content-Security-Policy" '
        "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        f"<title>{html.escape(title)}</title>\n<style>{_CSS}</style>\n</head>\n<body>\n"
        f"<main>\n<h1>{html.escape(title)}</h1>\n{_given_table(sheet, sheet.givens)}\n"
        f"{working}\n</main>\n</body>\n</html>\n"
    )


def _given_table(sheet: Sheet, givens: Mapping[str, float]) -> str:
    rows = "".join(
        f'<tr><th scope="row">{html.escape(words(name))}</th>'
        f"<td>{html.escape(sheet.shop(name))}</td></tr>"
        for name in givens
    )
    return f"<table><caption>All that was given</caption><tbody>{rows}</tbody></table>"
