"""The rack as a table to type in: what the boards in it make of a round top, redrawn at once.

It only reads its controls, asks for a layout, and writes the answer into widgets made once. An
error is shown where it belongs and the last good drawing stays.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import RIPS, Board, Brief
from tablekit.drawing.board_layout import LayoutSubject
from tablekit.drawing.board_live import BoardView
from tablekit.engine.trouble import Trouble
from tablekit.engine.units import parse_quantity
from tablekit.packet.board_text import board_rows
from tablekit.packet.top_boards import TopBoards, top_boards
from tablekit.panels.board_row import BoardRow, alert, read_top, texts_of
from tablekit.planning.board_layout import OBJECTIVES, BoardLayout, Wishes
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_LENGTHS = {"margin": "margin", "end_waste": "end waste", "edge_loss": "edge loss"}
OLD = "The drawing shows the last rack that could do it."


class RackPanel:
    """A panel over the boards of one brief.

    brief    the brief with the boards and lengths as typed, as far as they could be read
    layout   the last layout that could be made, None before the first
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered.
    """

    def __init__(self, brief: Brief):
        self.brief = brief
        self.sheet: Sheet = set_out(brief)
        self.layout: BoardLayout | None = None
        self._view = BoardView()
        self._make_widgets()
        self.rows: list[BoardRow] = []
        for board in brief.boards:
            self._append(texts_of(board, brief.shop))
        self._redraw()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self) -> None:
        said = {key: getattr(self.brief.top, key) for key in _LENGTHS}
        self.lengths = {
            key: self._text(label, getattr(said[key], "text", "") if said[key] is not None else "")
            for key, label in _LENGTHS.items()
        }
        for key, number in said.items():
            if number is not None and not self.lengths[key].value:
                self.lengths[key].value = f"{float(number):g} mm"
        self.rip = self._choice("rip", RIPS, self.brief.top.rip or RIPS[0])
        self.objective = self._choice("least", OBJECTIVES, OBJECTIVES[0])
        self.symmetrical = widgets.Checkbox(
            description="joints symmetrical about the centre", indent=False, value=False
        )
        self.symmetrical.observe(self._changed, "value")
        self.clear = self._text("no joint within", "", "0 mm")
        self.narrowest = self._text("no strip under", "", "0 mm")
        self.order = self._text("boards from left to right", "", "left to the kit: A, B, A")
        self.keep = self._text("keep in the rack", "", "none: A, A")
        self.add = widgets.Button(description="add a board", icon="plus")
        self.add.on_click(lambda _: self.add_board())
        self.table = widgets.VBox()
        self.trouble = widgets.HTML()
        self.picture = widgets.Image(
            format="png", layout=widgets.Layout(width="100%", max_width="960px")
        )
        self.said = widgets.HTML()
        self.widget = self._laid_out()

    def _text(self, label: str, value: str, hint: str = "") -> widgets.Text:
        text = widgets.Text(
            description=label, value=value, placeholder=hint or "assumed", continuous_update=False,
            style={"description_width": "initial"}, layout={"width": "300px"},
        )  # fmt: skip
        text.observe(self._changed, "value")
        return text

    def _choice(self, label: str, options: Sequence[str], value: str) -> widgets.Dropdown:
        choice = widgets.Dropdown(
            description=label, options=list(options), value=value,
            style={"description_width": "initial"}, layout={"width": "300px"},
        )  # fmt: skip
        choice.observe(self._changed, "value")
        return choice

    def _laid_out(self) -> widgets.Widget:
        wishes = (self.symmetrical, self.clear, self.narrowest, self.order, self.keep)
        controls = widgets.VBox(
            [
                self.table, self.add, *self.lengths.values(), self.rip, self.objective, *wishes,
                self.trouble,
            ],
            layout={"flex": "1 1 510px", "min_width": "510px", "max_width": "560px"},
        )  # fmt: skip
        answer = widgets.VBox(
            [self.picture, self.said], layout={"flex": "2 1 560px", "min_width": "420px"}
        )
        return widgets.HBox([controls, answer], layout={"flex_flow": "row wrap"})

    # -- what the maker does ----------------------------------------------------------------

    def add_board(self, **texts: str) -> BoardRow:
        """Put another row at the end; with texts for its fields it is read at once."""
        row = self._append(texts)
        if texts:
            self._redraw()
        return row

    def remove_board(self, row: BoardRow) -> None:
        """Take a row out."""
        self.rows.remove(row)
        self.table.children = tuple(one.widget for one in self.rows)
        self._redraw()

    def _append(self, texts: dict[str, str]) -> BoardRow:
        row = BoardRow(texts, self._redraw, self.remove_board)
        self.rows.append(row)
        self.table.children = tuple(one.widget for one in self.rows)
        return row

    def _changed(self, _: Any) -> None:
        if hasattr(self, "rows"):  # while the panel is being made nothing is asked yet
            self._redraw()

    # -- what the panel answers -------------------------------------------------------------

    def _redraw(self) -> None:
        boards = self._boards()
        try:
            top = read_top({k: text.value for k, text in self.lengths.items()}, self.rip.value)
            wishes = self._wishes()
            if boards is None:
                return self._keep("")
            self.brief = replace(self.brief, boards=boards, top=top)
            found = top_boards(self.brief, self.sheet, wishes, self.objective.value)
            if found is None:
                return self._keep("the rack is empty: add a board")
            if found.layout is None:
                return self._keep(found.check.message)
            self._show(found)
        except (Trouble, ValueError) as trouble:  # a drawing with too many strips is a ValueError
            self._keep(str(trouble))
        return None

    def _boards(self) -> tuple[Board, ...] | None:
        """The boards as typed; None where a row cannot be read, and then it says why."""
        read: list[Board] = []
        faulty = False
        for number, row in enumerate(self.rows, start=1):
            if not any(text.strip() for text in row.texts.values()):
                continue  # a row just added
            board = row.read(number)
            if board is not None and board.name in [one.name for one in read]:
                row.say(f'"{board.name}" names two boards; give each its own name')
                board = None
            faulty = faulty or board is None
            read += [board] if board is not None else []
        return None if faulty else tuple(read)

    def _wishes(self) -> Wishes:
        def length(text: widgets.Text, name: str) -> float:
            return parse_quantity(text.value, "mm", name) if text.value.strip() else 0.0

        def names(text: widgets.Text) -> tuple[str, ...]:
            return tuple(name.strip() for name in text.value.split(",") if name.strip())

        return Wishes(
            order=names(self.order),
            keep=names(self.keep),
            symmetrical=self.symmetrical.value,
            clear_of_centre=length(self.clear, "no joint within"),
            narrowest=length(self.narrowest, "no strip under"),
        )

    def _show(self, found: TopBoards) -> None:
        assert found.layout is not None
        diameter = self.sheet.number("top_diameter")
        subject = LayoutSubject(found.layout, self.sheet.name, diameter, self.sheet.shop_style)
        self._view.update(subject)
        self.layout = found.layout
        self.picture.value = self._view.png()
        self.said.value = _said_html(found, self.sheet)
        self.trouble.value = ""

    def _keep(self, why: str) -> None:
        """The last good drawing stays, and says that it is one."""
        self.trouble.value = alert(why)
        if self.layout is not None and OLD not in self.said.value:
            self.said.value = f"<p><em>{OLD}</em></p>{self.said.value}"

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)


def _said_html(found: TopBoards, sheet: Sheet) -> str:
    _, paragraphs = board_rows(found, sheet)
    return "".join(f"<p>{html.escape(text)}</p>" for text in paragraphs)
