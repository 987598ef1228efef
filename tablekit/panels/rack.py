"""The rack as a table to type in: what the boards in it make of a round top, redrawn at once."""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Board, Brief
from tablekit.brief.boards import LEAST, RIPS, Top, typed_board, typed_top, zones_text
from tablekit.design.top_boards import TopBoards, top_boards
from tablekit.drawing.board_layout import BoardDrawing, LayoutSubject
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.packet.top_text import board_rows, check_text
from tablekit.panels.controls import WRAPPED, Control, LivePicture, alert, button, heard
from tablekit.panels.panel import Panel
from tablekit.planning.board_layout import BoardLayout
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

FIELDS = ("name", "width", "length", "count", "price")
WIDTHS = {"name": "112px", "width": "92px", "length": "92px", "count": "54px", "price": "74px"}
FLAWS = ("end_width", "avoid")  # in a line of their own, which is opened where they are wanted
HIDDEN = ("thickness", "cut", "species")  # what a row does not show
HINTS = {
    "name": "name", "width": "140 mm", "length": "1.1 m", "count": "1", "price": "none",
    "end_width": "no taper", "avoid": "none; or 300 mm to 380 mm, 1 m to 1.05 m",
}  # fmt: skip
FLAW_WORDS = {"end_width": "width at its far end", "avoid": "knots and checks, from the near end"}
FLAW_WIDTHS = {"end_width": "232px", "avoid": "472px"}
HEADS = {**{field: field for field in FIELDS}, "name": "board", "price": "price each"}
_LENGTHS = {
    "margin": ("margin all round", "assumed"),
    "end_waste": ("waste at each end", "assumed"),
    "edge_loss": ("loss at each edge", "assumed"),
    "narrowest": ("narrowest strip", "0 mm: any width"),
}
MORE = "Margin, losses, order, joints, boards to keep"
WIDE = "330px"
LABEL = {"description_width": "130px"}
OLD = "The drawing still shows the last rack that covered the top."


class BoardRow:
    """The controls of one board. `changed()` is called at each change, `removed(row)` when it is
    to go. `board` has what the row does not show, such as its cut."""

    def __init__(
        self, texts: Mapping[str, str], changed: Callable[[], None],
        removed: Callable[[BoardRow], None], board: Board | None = None,
    ):  # fmt: skip
        self._board = board
        self.fields = {
            key: widgets.Text(
                value=texts.get(key, ""), placeholder=HINTS[key], continuous_update=False,
                tooltip=f"{key} of this board", layout={"width": WIDTHS[key]},
            )
            for key in FIELDS
        }  # fmt: skip
        self.fields |= {
            key: widgets.Text(
                description=FLAW_WORDS[key], value=texts.get(key, ""), placeholder=HINTS[key],
                continuous_update=False, tooltip=f"{FLAW_WORDS[key]}, of this board",
                style={"description_width": "initial"},
                layout={"width": FLAW_WIDTHS[key], "max_width": "100%"},
            )
            for key in FLAWS
        }  # fmt: skip
        for field in self.fields.values():
            heard(field, lambda _: changed())
        flawed = any(texts.get(key) for key in FLAWS)
        self.flaws = widgets.VBox(
            [self.fields[key] for key in FLAWS], layout={"display": None if flawed else "none"}
        )
        tip = "taper, knots and checks of this board"
        self.more = button("", self._open_flaws, "32px", icon="ellipsis-h", tooltip=tip)
        self.more.layout.padding = "0"
        hint = "remove this board from the rack"
        self.remove = button("", lambda: removed(self), "32px", icon="trash", tooltip=hint)
        self.remove.layout.padding = "0"
        self.trouble = widgets.HTML(layout={"display": "none"})
        line = widgets.HBox([*(self.fields[key] for key in FIELDS), self.more, self.remove])
        self.widget = widgets.VBox([line, self.flaws, self.trouble])

    def _open_flaws(self) -> None:
        """Show the line for taper and zones, or fold it away again."""
        self.flaws.layout.display = "none" if self.flaws.layout.display is None else None

    @property
    def texts(self) -> dict[str, str]:
        """What is typed, by field."""
        return {key: field.value for key, field in self.fields.items()}

    def read(self, number: int) -> Board | None:
        """The board, or None with what is wrong shown under the row."""
        try:
            board = typed_board(self.texts, number)
        except DesignError as trouble:
            self.say(str(trouble))
            return None
        self.say("")
        if self._board is None:
            return board
        more = {key: getattr(self._board, key) for key in HIDDEN}
        return replace(board, **more)

    def say(self, text: str) -> None:
        """Show a message under the row; an empty one takes no room."""
        self.trouble.value = alert(text)
        self.trouble.layout.display = None if text else "none"


class RackPanel(Panel):
    """A panel over the boards of one brief.

    brief    the brief with the boards and lengths as typed, as far as they could be read
    layout   the last layout that could be made, None before the first

    Raises as `set_out` does for a brief that cannot be answered.
    """

    offline = "the rack as a table to fill in; the layout of the top is redrawn at each change."

    def __init__(self, brief: Brief):
        super().__init__(brief.name)
        self.brief = brief
        self.sheet: Sheet = set_out(brief)
        self.layout: BoardLayout | None = None
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
        self.add = button("add a board", self.add_board, "130px", icon="plus")
        self.table = widgets.VBox()
        self.picture = LivePicture(BoardDrawing)
        self.said = widgets.HTML()
        self.widget = self._laid_out()

    def _text(self, label: str, value: str, hint: str) -> widgets.Text:
        return self._own(widgets.Text, label, value, placeholder=hint, continuous_update=False)

    def _choice(self, label: str, options: Sequence[str], value: str) -> widgets.Dropdown:
        return self._own(widgets.Dropdown, label, value, options=list(options))

    def _box(self, label: str, value: bool) -> widgets.Checkbox:
        return self._own(widgets.Checkbox, label, value, indent=False)

    def _own(self, kind: type[Control], label: str, value: Any, **more: Any) -> Control:
        made = kind(description=label, value=value, style=LABEL, layout={"width": WIDE}, **more)
        return heard(made, lambda _: self._redraw())

    def _laid_out(self) -> widgets.Widget:
        row = {**WRAPPED, "grid_gap": "0 12px"}
        boards = widgets.VBox([heads(), self.table, self.add], layout={"width": "528px"})
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

    # -- what the panel answers -------------------------------------------------------------

    def _redraw(self) -> None:
        boards = self._boards()
        try:
            top = self._top()
            if boards is None:
                raise DesignError("")  # the row has said it
            self.brief = replace(self.brief, boards=boards, top=top)
            self._write(top_boards(self.brief, self.sheet))
        except (DesignError, ValueError) as trouble:  # too many strips to draw are a ValueError
            self._show(trouble)

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
            no_centre_joint=self.centre.value, least=self.objective.value,
        )  # fmt: skip
        return typed_top({key: text.value for key, text in self.lengths.items()}, asked)

    def _write(self, found: TopBoards | None) -> None:
        if found is None:
            raise DesignError("The rack is empty: add a board.")
        if found.layout is None:
            raise DesignError(found.check.message)
        diameter = self.sheet.number("top_diameter")
        subject = LayoutSubject(found.layout, self.sheet.name, diameter, self.sheet.shop_style)
        self.picture.draw(subject)
        self.layout, self.old = found.layout, OLD
        self.said.value = _said_html(found, self.sheet)
        self.trouble.value = ""


def _typed(number: float | None) -> str:
    """A length of the brief as the maker typed it; nothing for one that is assumed."""
    if number is None:
        return ""
    return getattr(number, "text", "") or f"{number:g} mm"


def _said_html(found: TopBoards, sheet: Sheet) -> str:
    _, paragraphs = board_rows(found, sheet)
    every = (check_text(found.check), *paragraphs)
    said = "".join(f"<p>{html.escape(text)}</p>" for text in every)
    return f'<div style="line-height:1.4; max-width:960px; overflow-wrap:anywhere">{said}</div>'


def heads() -> widgets.Widget:
    """The heads of the columns, as wide as the fields below them."""
    return widgets.HBox(
        [
            widgets.HTML(
                f'<span style="line-height:1.2">{HEADS[field]}</span>',
                layout={"width": WIDTHS[field], "height": "20px"},
            )
            for field in FIELDS
        ],
        layout={"overflow": "hidden"},
    )


def read_names(text: str) -> tuple[str, ...]:
    """Names of boards with commas between them."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def texts_of(board: Board, style: ShopStyle) -> dict[str, str]:
    """What the fields of a row open with: the maker's own words where there are any."""

    def length(number: Any) -> str:
        return getattr(number, "text", "") or shop_text(number, "mm", style)

    return {
        "name": board.name,
        "width": length(board.width),
        "length": length(board.length),
        "count": str(board.count),
        "price": "" if board.price is None else f"{board.price:g}",
        "end_width": "" if board.end_width is None else length(board.end_width),
        "avoid": zones_text(board.avoid, style),
    }
