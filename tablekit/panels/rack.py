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

from tablekit.brief import Board, Brief
from tablekit.brief.boards import LEAST, RIPS, Top
from tablekit.design.top_boards import TopBoards, top_boards
from tablekit.drawing.board_layout import LayoutSubject
from tablekit.drawing.board_live import BoardView
from tablekit.engine.trouble import DesignError
from tablekit.packet.board_text import board_rows, check_text
from tablekit.panels.board_row import BoardRow, alert, heads, read_names, read_top, texts_of
from tablekit.planning.board_layout import BoardLayout
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_LENGTHS = {
    "margin": ("margin all round", "assumed"),
    "end_waste": ("waste at each end", "assumed"),
    "edge_loss": ("loss at each edge", "assumed"),
    "narrowest": ("narrowest strip", "0 mm: any width"),
}
MORE = "Margin, losses, order, joints, boards to keep"
WIDE = "330px"
OLD = "The drawing still shows the last rack that covered the top."


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
            self._append(texts_of(board, brief.shop), board)
        self._redraw()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self) -> None:
        top = self.brief.top
        self.lengths = {
            key: self._text(label, _typed(getattr(top, key)), hint)
            for key, (label, hint) in _LENGTHS.items()
        }
        self.rip = self._choice("rip", RIPS, top.rip or RIPS[0])
        self.objective = self._choice("minimise", LEAST, top.least or LEAST[0])
        self.symmetrical = self._box("joints symmetrical about the centre", top.symmetrical)
        self.centre = self._box("no joint through the centre", top.no_centre_joint)
        self.order = self._text(
            "order, left to right", ", ".join(top.order), "automatic; or A, B, A"
        )
        self.keep = self._text("keep in the rack", ", ".join(top.keep), "none; or A, A")
        self.add = widgets.Button(description="add a board", icon="plus", layout={"width": "130px"})
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
            style={"description_width": "130px"}, layout={"width": WIDE},
        )  # fmt: skip
        text.observe(self._changed, "value")
        return text

    def _choice(self, label: str, options: Sequence[str], value: str) -> widgets.Dropdown:
        choice = widgets.Dropdown(
            description=label, options=list(options), value=value,
            style={"description_width": "130px"}, layout={"width": WIDE},
        )  # fmt: skip
        choice.observe(self._changed, "value")
        return choice

    def _box(self, label: str, value: bool) -> widgets.Checkbox:
        box = widgets.Checkbox(
            description=label, value=value, indent=False, layout={"width": WIDE}
        )  # fmt: skip
        box.observe(self._changed, "value")
        return box

    def _laid_out(self) -> widgets.Widget:
        row = {"flex_flow": "row wrap", "grid_gap": "0 12px"}
        boards = widgets.VBox([heads(), self.table, self.add], layout={"width": "488px"})
        asked = widgets.VBox([self.rip, self.objective], layout={"margin": "20px 0 0"})
        more = widgets.VBox(
            [
                widgets.HBox([*self.lengths.values(), self.order, self.keep], layout=row),
                widgets.HBox([self.centre, self.symmetrical], layout=row),
            ]
        )
        # Folded: a rack is mostly typed and looked at, and the drawing stays near what is typed.
        folded = widgets.Accordion([more], titles=(MORE,))
        above = widgets.HBox([boards, asked], layout=row)
        return widgets.VBox([above, folded, self.trouble, self.picture, self.said])

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

    def _append(self, texts: dict[str, str], board: Board | None = None) -> BoardRow:
        row = BoardRow(texts, self._redraw, self.remove_board, board)
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
            top = self._top()
            if boards is None:
                return self._keep("")
            self.brief = replace(self.brief, boards=boards, top=top)
            found = top_boards(self.brief, self.sheet)
            if found is None:
                return self._keep("The rack is empty: add a board.")
            if found.layout is None:
                return self._keep(found.check.message)
            self._show(found)
        except (
            DesignError,
            ValueError,
        ) as trouble:  # a drawing with too many strips is a ValueError
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

    def _top(self) -> Top:
        asked = replace(
            self.brief.top, rip=self.rip.value, order=read_names(self.order.value),
            keep=read_names(self.keep.value), symmetrical=self.symmetrical.value,
            no_centre_joint=self.centre.value,
            least=self.objective.value,
        )  # fmt: skip
        return read_top({key: text.value for key, text in self.lengths.items()}, asked)

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
        """The last good drawing stays, and it is said that it is one."""
        old = OLD if self.layout is not None else ""
        said = f"{why.rstrip('.')}." if why else ""
        self.trouble.value = alert(f"{said} {old}".strip())

    @property
    def text(self) -> str:
        """What a reader without a running kernel is told."""
        return (
            f"{self.brief.name or 'Untitled'}: the rack as a table to fill in; the layout of the "
            "top is redrawn at each change. It needs a running kernel."
        )

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return {**self.widget._repr_mimebundle_(**options), "text/plain": self.text}


def _typed(number: float | None) -> str:
    """A length of the brief as the maker typed it; nothing for one that is assumed."""
    if number is None:
        return ""
    return getattr(number, "text", "") or f"{number:g} mm"


def _said_html(found: TopBoards, sheet: Sheet) -> str:
    _, paragraphs = board_rows(found, sheet)
    every = (check_text(found), *paragraphs)
    said = "".join(f"<p>{html.escape(text)}</p>" for text in every)
    return f'<div style="line-height:1.4; max-width:960px; overflow-wrap:anywhere">{said}</div>'
