"""One line of the rack: what is typed of a board, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from tablekit.brief.boards import BOARD_KEYS, TOP_LENGTHS, Board, Top
from tablekit.brief.keys import values
from tablekit.brief.section import Page, Section, Span
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.panels.controls import alert, button, heard

PRICE = Span("1", "price of one board", 0, 1e6)
FIELDS = ("name", "width", "length", "count", "price")
WIDTHS = {"name": "112px", "width": "92px", "length": "92px", "count": "54px", "price": "74px"}
HINTS = {"name": "name", "width": "140 mm", "length": "1.1 m", "count": "1", "price": "none"}
HEADS = {**{field: field for field in FIELDS}, "name": "board", "price": "price each"}


def read_board(texts: Mapping[str, str], number: int) -> Board:
    """The board that one row says; an empty count is one, an empty price none.

    Raises DesignError with all that is wrong, in the words a brief would get."""
    said = {key: text.strip() for key, text in texts.items() if text.strip()}
    section = Section(Page(""), said, ("boards", number - 1))
    found = values(section, (key for key in BOARD_KEYS if key.name in FIELDS[:-1]))
    price = section.measure("price", PRICE)  # a text here, a number in a brief
    _refuse(section)
    found["name"] = found["name"] or f"board {number}"
    found["count"] = int(found["count"] or 1)
    return Board(**found, price=None if price is None else float(price))


def read_top(texts: Mapping[str, str], top: Top) -> Top:
    """`top` with the lengths as typed; those left empty are assumed.

    Raises DesignError with all that is wrong."""
    said = {key: text.strip() for key, text in texts.items() if text.strip()}
    section = Section(Page(""), said, ("top",))
    lengths = values(section, TOP_LENGTHS)
    _refuse(section)
    return replace(top, **lengths)


def read_names(text: str) -> tuple[str, ...]:
    """Names of boards with commas between them."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def _refuse(section: Section) -> None:
    if section.page.problems:
        raise DesignError("; ".join(problem.message for problem in section.page.problems))


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
        for field in self.fields.values():
            heard(field, lambda _: changed())
        hint = "remove this board from the rack"
        self.remove = button("", lambda: removed(self), "32px", icon="trash", tooltip=hint)
        self.remove.layout.padding = "0"
        self.trouble = widgets.HTML(layout={"display": "none"})
        line = widgets.HBox([*self.fields.values(), self.remove])
        self.widget = widgets.VBox([line, self.trouble])

    @property
    def texts(self) -> dict[str, str]:
        """What is typed, by field."""
        return {key: field.value for key, field in self.fields.items()}

    def read(self, number: int) -> Board | None:
        """The board, or None with what is wrong shown under the row."""
        try:
            board = read_board(self.texts, number)
        except DesignError as trouble:
            self.say(str(trouble))
            return None
        self.say("")
        if self._board is None:
            return board
        more = {key: getattr(self._board, key) for key in ("thickness", "cut", "species")}
        return replace(board, **more)

    def say(self, text: str) -> None:
        """Show a message under the row; an empty one takes no room."""
        self.trouble.value = alert(text)
        self.trouble.layout.display = None if text else "none"


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
    }
