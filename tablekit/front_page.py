"""What the front page of the pages without code says of each page: the table of the page that shows
the way, and of every other page its title and its question."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from urllib.parse import unquote

from bs4 import BeautifulSoup, Tag
from nbconvert.filters import markdown2html

from tablekit.offered import PAGE, offered

Cell = tuple[str, str]  # its text, and the page that it leads to; "" where it leads to none


@dataclass(frozen=True)
class Page:
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
    others: tuple[Page, ...]


def front_page(folder: Path) -> FrontPage:
    """That of the pages in a folder: the notebooks at its top, by name."""
    names = [name for name in sorted(offered(folder)) if "/" not in name and name.endswith(PAGE)]
    heads = {name: _head(folder / name, _changed(folder / name)) for name in names}
    tables = (
        table for head in heads.values() for table in head.tables
        if any(leads in heads for row in table[1:] for _, leads in row)
    )  # fmt: skip
    head, *rows = next(tables, ((),))
    kept = tuple(tuple((text, to if to in heads else "") for text, to in row) for row in rows)
    shown = {to for row in kept for _, to in row}
    others = tuple(
        Page(name, of.title or plain_name(name), of.question)
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


def _changed(path: Path) -> tuple[int, int]:
    now = path.stat()
    return now.st_mtime_ns, now.st_size


@lru_cache(maxsize=256)
def _head(path: Path, changed: tuple[int, int]) -> _Head:
    """Read anew only when the page has changed."""
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        words = next("".join(c["source"]) for c in cells if c["cell_type"] == "markdown")
    except (OSError, ValueError, KeyError, TypeError, RecursionError, StopIteration):
        return _Head()  # no notebook, whatever its name, or one without a word
    said = BeautifulSoup(markdown2html(words), "html.parser")
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
