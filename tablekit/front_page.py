"""What the front page of the pages without code says of each page: the table of the page that shows
the way, and of every other page its title and its question."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from urllib.parse import unquote

from bs4 import BeautifulSoup, Tag
from nbconvert.filters import markdown2html

from tablekit.offered import PAGE, cells_of, changed, offered

Cell = tuple[str, str]  # its text, and the page that it leads to; "" where it leads to none


@dataclass(frozen=True)
class ListedPage:
    """A page on the list. `title` and `question` are those at its head, the name of the file and ""
    where it has none."""

    name: str
    title: str
    question: str


@dataclass(frozen=True)
class FrontPage:
    """What stands on it, all as plain text.

    head, rows  of the first table that leads to pages; empty where no page has one
    others      the pages to which that does not lead
    """

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    others: tuple[ListedPage, ...]


def front_page(folder: Path) -> FrontPage:
    """That of the pages in a folder: the notebooks at its top, by name."""
    names = [name for name in sorted(offered(folder)) if "/" not in name and name.endswith(PAGE)]
    heads = {name: _head(folder / name, changed(folder / name)) for name in names}
    tables = (
        table for head in heads.values() for table in head.tables
        if any(leads in heads for row in table[1:] for _, leads in row)
    )  # fmt: skip
    head, *rows = next(tables, ((),))
    kept = tuple(tuple((text, to if to in heads else "") for text, to in row) for row in rows)
    shown = {to for row in kept for _, to in row}
    others = tuple(
        ListedPage(name, of.title or plain_name(name), of.question)
        for name, of in heads.items()
        if name not in shown
    )
    return FrontPage(tuple(text for text, _ in head), kept, others)


def plain_name(name: str) -> str:
    """The name of a page as it is said."""
    return name.removesuffix(PAGE).replace("-", " ")


@dataclass(frozen=True)
class _Head:
    """What the first cell of words of a page says, if any."""

    title: str = ""
    question: str = ""
    tables: tuple[tuple[tuple[Cell, ...], ...], ...] = ()


@lru_cache(maxsize=256)
def _head(path: Path, _: tuple[int, int]) -> _Head:
    """Read anew only when the page has changed."""
    words = cells_of(path, "markdown")
    if not words:
        return _Head()
    said = BeautifulSoup(markdown2html(words[0]), "html.parser")
    for anchor in said.select(".anchor-link"):
        anchor.decompose()
    title, question = said.find("h1"), said.select_one("p > strong")
    tables = (
        tuple(tuple(map(_cell, row.find_all(["th", "td"]))) for row in table.find_all("tr"))
        for table in said.find_all("table")
    )
    return _Head(_text(title), _text(question), tuple(tables))


def _text(found: Tag | None) -> str:
    return " ".join(found.get_text().split()) if found is not None else ""


def _cell(found: Tag) -> Cell:
    link = found.find("a")
    return _text(found), unquote(str(link.get("href", ""))) if isinstance(link, Tag) else ""
