"""The panel for a teacher: worksheets for a class, and its results at a glance."""

from __future__ import annotations

import html
import os
from pathlib import Path

import ipywidgets as widgets

from tablekit.engine.trouble import DesignError
from tablekit.packet.document import Document, Table, Text
from tablekit.packet.pages import PAPERS
from tablekit.panels.controls import FINGER, LABEL, WRAPPED, alert, button
from tablekit.panels.files import held_link, within
from tablekit.panels.panel import Panel
from tablekit.panels.tables import table_html
from tablekit.teaching.kinds import KINDS
from tablekit.teaching.record import class_page
from tablekit.teaching.worksheets import write_worksheets


class ClassPanel(Panel):
    """Worksheets are written into a folder inside `folder` and linked to; records are collected
    from `folder` and the folders inside it. `folder` is the one that one works in if not said. In
    the pages without code that pupils open it says where to find it, and does nothing.

    told  what came of it
    """

    def __init__(self, seed: int | str, folder: Path | None = None):
        super().__init__("")
        self._folder = folder
        if _for_pupils():  # no buttons at all: whoever knows how could press them unseen
            self.widget = widgets.HTML(
                "<p>This panel has the answers and the results of everybody, so it is not on the "
                "pages of a class. Open the same folder in JupyterLab to use it.</p>"
            )
        else:
            self._make_widgets(str(seed))

    @property
    def folder(self) -> Path:
        """Where sheets are written and records are looked for."""
        return self._folder or Path.cwd()

    def _make_widgets(self, seed: str) -> None:
        high = {"height": FINGER}
        self.seed = widgets.Text(value=seed, description="Set", style=LABEL,
                                 layout={"width": "170px", **high})  # fmt: skip
        self.students = widgets.BoundedIntText(
            value=12, min=1, max=60, description="Pupils", style=LABEL,
            layout={"width": "140px", **high},
        )  # fmt: skip
        self.count = widgets.BoundedIntText(
            value=6, min=1, max=30, description="Questions", style=LABEL,
            layout={"width": "160px", **high},
        )  # fmt: skip
        self.display = widgets.Dropdown(
            options=[("millimetres", "mm"), ("inches", "in")], description="Unit", style=LABEL,
            layout={"width": "190px", **high},
        )  # fmt: skip
        self.paper = widgets.Dropdown(options=list(PAPERS), description="Paper",
                                      style=LABEL, layout={"width": "150px", **high})  # fmt: skip
        self.kinds = widgets.SelectMultiple(
            options=[(kind.title, name) for name, kind in KINDS.items()], rows=8,
            description="Topics", style=LABEL, layout={"width": "420px", "max_width": "100%"},
        )  # fmt: skip
        self.write = button("Write the worksheets", self.write_sheets)
        self.results = button("Results of the class", self.show_results)
        for one in (self.write, self.results):
            one.layout.height = FINGER
        self.told = widgets.HTML()
        row = {**WRAPPED, "align_items": "center"}
        choices = [self.seed, self.students, self.count, self.display, self.paper]
        self.widget = widgets.VBox(
            [
                widgets.HBox(choices, layout=row),
                self.kinds,
                widgets.HTML("None chosen: all topics."),
                widgets.HBox([self.write, self.results], layout=row),
                self.told,
            ],
            layout={"max_width": "900px"},
        )

    def write_sheets(self) -> None:
        """Write sheets and answers, and link to them."""
        try:
            room = within(self.folder, f"worksheets-{self.seed.value.strip()}")
            written = write_worksheets(
                room, self.students.value, self.seed.value.strip(), count=self.count.value,
                display=self.display.value, kinds=self.kinds.value or None,
                paper=PAPERS[self.paper.value],
            )  # fmt: skip
        except (DesignError, OSError) as trouble:
            self.told.value = alert(f"The sheets were not written: {trouble}".rstrip(".") + ".")
            return
        links = " · ".join(held_link(path, "application/pdf") for path in written)
        self.told.value = f'<div role="status">Written into {html.escape(room.name)}: {links}</div>'

    def show_results(self) -> None:
        """Collect the records and show how the class stands."""
        self.told.value = f'<div role="status">{_page_html(class_page(self.folder))}</div>'


def _for_pupils() -> bool:
    """Whether the page is one of those without code that pupils open: Voilà says so to the Python
    that runs a page."""
    return os.environ.get("SERVER_SOFTWARE", "").startswith("voila/")


def _page_html(page: Document) -> str:
    """A document of text and tables as a part of a page."""
    lines = [f"<p>{html.escape(page.what)}</p>"]
    for section in page.sections:
        lines.append(f"<h4>{html.escape(section.title)}</h4>")
        for part in section.parts:
            if isinstance(part, Table):
                table = table_html(part.caption, part.head, part.rows)
                lines.append(f'<div style="overflow-x:auto">{table}</div>')
            elif isinstance(part, Text):
                lines.append(f"<p>{html.escape(part.text)}</p>")
    return "".join(lines)
