"""The panel that derives a dimension again: say what is known and what is wanted, and see the way
from the one to the other, or what is missing, or what clashes.

It only reads its controls, asks for a sheet and its working, and writes them into widgets made
once. Where there is no answer the last working stays, and is said to be old.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Brief, Typed
from tablekit.drawing import style
from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven
from tablekit.engine.units import shop_round
from tablekit.panels.board_row import alert
from tablekit.panels.files import Saved, plain_name, within
from tablekit.panels.frames import Frames
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.row import Row, column
from tablekit.panels.told import told_html

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

OLD = "The working below is for the last sizes that could be solved."
ASK = "add a given quantity …"
MOST_OFFERS = 6
ENDING = ".html"
LABEL = {"description_width": "initial"}
_CSS = f"""
:root {{ color: {style.INK}; background: {style.PAPER}; }}
body {{ font: 1.06rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 48rem; padding: 1rem; }}
h1 {{ font-size: 1.6rem; line-height: 1.2; }}
table {{ border-collapse: collapse; }}
th, td {{ text-align: left; padding: 0.2rem 1rem 0.2rem 0; font-weight: inherit; }}
caption {{ text-align: left; color: {style.FAINT}; }}
@media print {{ h3, h4, h5 {{ break-after: avoid; }} }}
"""


class WorkingPanel:
    """A panel over one brief.

    wanted   the quantity whose working is shown first
    folder   where pages are written; the folder one works in if not said

    state    the givens, as data
    sheet    the last sheet that could be solved
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered, and UnknownName.
    """

    def __init__(self, brief: Brief, wanted: str = "post_length", folder: Path | None = None):
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        self.sheet.network.quantity(wanted)
        self._folder, self._saved, self._quiet = folder, Saved(), False
        self.frames = Frames(self._answer)
        self.rows: dict[str, Row] = {}
        self._make_widgets(wanted)
        self._answer()

    @property
    def folder(self) -> Path:
        """Where pages are written."""
        return self._folder or Path.cwd()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self, wanted: str) -> None:
        names = [(name.replace("_", " "), name) for name in self.sheet.network.quantities]
        self.wanted = widgets.Dropdown(
            description="wanted", options=names, value=wanted, style=LABEL,
            layout={"width": "330px"},
        )  # fmt: skip
        self.wanted.observe(self._wants, "value")
        self.another = widgets.Dropdown(
            options=[(ASK, ""), *names], value="", layout={"width": "260px"}
        )
        self.another.observe(self._gives_another, "value")
        self.in_full = widgets.Checkbox(value=True, description="in full", indent=False,
                                        layout={"width": "90px"})  # fmt: skip
        self.in_full.observe(lambda _: self._write_working(), "value")
        self.name = widgets.Text(description="page", style=LABEL, continuous_update=False,
                                 layout={"width": "330px"})  # fmt: skip
        self.name.observe(lambda _: self._saved.forget(), "value")
        self.page = widgets.Button(
            description="write this page", icon="print", layout={"width": "160px"},
            tooltip="writes the working to its own file, ready to print",
        )  # fmt: skip
        self.page.on_click(lambda _: self.write_page())
        self.trouble, self.said, self.working = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.offers = widgets.HBox(layout={"flex_flow": "row wrap"})
        self.known = widgets.VBox()
        self._name_page()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        controls = widgets.VBox(
            [
                widgets.HBox([self.wanted, self.in_full], layout={"flex_flow": "row wrap"}),
                widgets.HTML("<b>Given</b>"),
                self.known,
                self.another,
                self.trouble,
                self.offers,
                widgets.HBox([self.name, self.page], layout={"flex_flow": "row wrap"}),
                self.said,
            ],
            layout={**column(1, 430), "max_width": "520px"},
        )
        working = widgets.Box([self.working], layout=column(2, 420, 560))
        return widgets.HBox([controls, working], layout={"flex_flow": "row wrap"})

    # -- what the maker does ----------------------------------------------------------------

    def _wants(self, _: Any) -> None:
        self.frames.finish()
        self._name_page()
        self._write_working()

    def _name_page(self) -> None:
        self.name.value = f"working-{plain_name(self.wanted.value)}{ENDING}"

    def _gives_another(self, change: Any) -> None:
        if change["new"]:
            self.give(change["new"])
            self.another.value = ""

    def give(self, *names: str) -> None:
        """Take quantities as known, at the sizes they had last."""
        self.frames.finish()
        for name in names:
            self.state = self.state.with_given(name, self._last(name))
        self.frames.now()

    def _last(self, name: str) -> float:
        number = self.sheet.get(name)
        return self._row(name).slider.value if number is None else number

    def release(self, name: str) -> None:
        """Take a quantity as not known."""
        self.state = self.state.without([name])
        self.frames.now()

    def _moved(self, row: Row, number: float) -> None:
        name, unit = row.quantity.name, row.quantity.unit
        size, _ = shop_round(number, unit, self.state.style)
        self.state = self.state.with_given(name, size)
        if row.slider.from_page:
            self.frames.ask()
        else:
            self.frames.now()

    def _typed(self, row: Row, text: str) -> None:
        name = row.quantity.name
        self.frames.finish()
        try:
            number = row.read(text)
        except DesignError as trouble:
            self._show(trouble)
            return
        self.state = self.state.with_given(name, Typed(number, text.strip()))
        self.frames.now()

    def _switched(self, row: Row, given: bool) -> None:
        if given:
            self.give(row.quantity.name)
        else:
            self.release(row.quantity.name)

    def write_page(self) -> None:
        """Write the working as a page of its own; over a file that is not ours only when asked
        again."""
        self.frames.finish()
        try:
            if self.trouble.value:
                raise DesignError(
                    "the given sizes have no solution yet; correct them first, then write the page"
                )
            path = within(self.folder, self.name.value, ENDING)
            self._saved.write(path, working_page(self.sheet, self.wanted.value, self._full))
        except DesignError as trouble:
            self.said.value = alert(str(trouble))
            return
        self.said.value = told_html([f"Written as {path.name}. Open it in a browser and print it."])

    # -- what the panel answers -------------------------------------------------------------

    @property
    def _full(self) -> bool:
        return bool(self.in_full.value)

    def _row(self, name: str) -> Row:
        quantity = self.sheet.network.quantity(name)
        return Row(quantity, self._moved, self._typed, self._switched)

    def _answer(self) -> None:
        self._fit()
        try:
            sheet = evaluate(self.state)
        except DesignError as trouble:
            self._show(trouble)
            return
        self.sheet = sheet
        for name, row in self.rows.items():
            row.show(sheet, given=name in self.state.given)
        self.trouble.value = ""
        self.offers.children = ()
        self._write_working()

    def _fit(self) -> None:
        """A row for whatever was given once; released, it shows what was found."""
        fresh = [name for name in self.state.given if name not in self.rows]
        if fresh:
            self.rows.update({name: self._row(name) for name in fresh})
            self.known.children = tuple(row.widget for row in self.rows.values())

    def _write_working(self) -> None:
        shown = self.sheet.working(self.wanted.value).html(brief=not self._full)
        if self.working.value != shown:
            self.working.value = shown

    def _show(self, trouble: DesignError) -> None:
        self.trouble.value = alert(f"{trouble} {OLD}")
        self.offers.children = tuple(self._offers(trouble))
        for name, row in self.rows.items():
            row.mark(given=name in self.state.given)

    def _offers(self, trouble: DesignError) -> Iterable[widgets.Button]:
        """A button for each thing that would help."""
        if isinstance(trouble, NotEnoughGiven):
            for names in trouble.settling[:MOST_OFFERS]:
                words = " and ".join(name.replace("_", " ") for name in names)
                yield _offer(f"give {words}", lambda names=names: self.give(*names))
        elif isinstance(trouble, Contradiction):
            for offer in trouble.releases:
                if offer.name in self.state.given:
                    words = offer.name.replace("_", " ")
                    yield _offer(f"release {words}", lambda name=offer.name: self.release(name))

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)


def _offer(words: str, action: Any) -> widgets.Button:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: action())
    return button


def working_page(sheet: Sheet, name: str, in_full: bool = True) -> str:
    """The working of one quantity as a page in a single file, which needs no network and no script.

    Raises UnknownName."""
    working = sheet.working(name).html(brief=not in_full)
    title = f"{sheet.name}: working of {name.replace('_', ' ')}"
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
        f'<tr><th scope="row">{html.escape(name.replace("_", " "))}</th>'
        f"<td>{html.escape(sheet.shop(name))}</td></tr>"
        for name in givens
    )
    return f"<table><caption>All that was given</caption><tbody>{rows}</tbody></table>"
