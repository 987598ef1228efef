"""What the pages of a folder offer: the notebooks at its top, and what these link to."""

from __future__ import annotations

import json
import posixpath
from functools import lru_cache
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

PAGE = ".ipynb"


def cells_of(path: Path, kind: str) -> tuple[str, ...]:
    """The texts of a notebook's cells of one kind, "code" or "markdown", in order; none where it is
    no notebook, whatever its name."""
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        return tuple("".join(cell["source"]) for cell in cells if cell["cell_type"] == kind)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ()


def changed(path: Path) -> tuple[int, int]:
    """What is another once a file has changed."""
    now = path.stat()
    return now.st_mtime_ns, now.st_size


def offered(folder: Path) -> frozenset[str]:
    """Names, relative to `folder`, of the notebooks at its top and of every file in it that one of
    them links to, however many notebooks lie between.

    Nothing hidden, and nothing that a link of the file system puts there from elsewhere."""
    home = folder.resolve()
    waiting = [path.name for path in home.glob(f"*{PAGE}")]
    found: set[str] = set()
    while waiting:
        name = waiting.pop()
        path = _inside(home, name)
        if path is None or name in found:
            continue
        found.add(name)
        if path.suffix == PAGE:
            above = posixpath.dirname(name)
            for link in _links(path, changed(path)):
                waiting.append(posixpath.normpath(posixpath.join(above, link)))
    return frozenset(found)


def _inside(home: Path, name: str) -> Path | None:
    """The file of that name; None where it is missing, hidden or elsewhere."""
    parts = name.split("/")
    if any(part.startswith(".") or "\\" in part or "\0" in part for part in parts):
        return None
    try:
        path = (home / name).resolve()
        real = path.relative_to(home)
        return path if path.is_file() and real.as_posix() == name else None
    except (OSError, ValueError):  # a name that no system takes, or one that leads out
        return None


@lru_cache(maxsize=256)
def _links(path: Path, _: tuple[int, int]) -> frozenset[str]:
    """What the words of a notebook link to, as far as it may lie beside it. Read anew only when
    it has changed."""
    from nbconvert.filters import markdown2html

    reader = _Links()
    for text in cells_of(path, "markdown"):
        reader.feed(markdown2html(text))
    return frozenset(reader.found)


class _Links(HTMLParser):
    """Collects what a page refers to by a relative address."""

    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in ("href", "src") and value:
                try:
                    parts = urlsplit(value)
                except ValueError:
                    continue
                if not (parts.scheme or parts.netloc) and parts.path:
                    self.found.add(unquote(parts.path))
