"""A document as Markdown, for a notebook."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import singledispatch
from typing import Any

from tablekit.packet.document import (
    Document,
    Formula,
    Inset,
    Section,
    Steps,
    Subheading,
    Table,
    Text,
    WritingRoom,
)


def _plain(text: str) -> str:
    """A text with nothing in it that Markdown or HTML would take for its own."""
    return re.sub(r"([\\`*_{}\[\]<>#|$])", r"\\\1", text)


def as_markdown(document: Document) -> str:
    """The whole document. Raises TypeError for drawings, which Markdown has no place for."""
    parts = [f"# {_plain(document.name)}", _plain(document.what)]
    for section in document.sections:
        parts += _section(section)
    return "\n\n".join(parts) + "\n"


def _section(section: Section) -> Iterator[str]:
    yield f"## {_plain(section.title)}"
    for part in section.parts:
        yield _set(part)


@singledispatch
def _set(part: object) -> str:
    raise TypeError(f"nothing is known of setting a {type(part).__name__} in Markdown")


@_set.register
def _(part: Text) -> str:
    text = _plain(part.text)
    return {"caution": f"> **Caution.** {text}", "faint": f"*{text}*"}.get(part.tone, text)


@_set.register
def _(part: Subheading) -> str:
    return f"### {_plain(part.text)}"


@_set.register
def _(part: Steps) -> str:
    return "\n".join(f"{n}. {_plain(text)}" for n, text in enumerate(part.items, start=1))


@_set.register
def _(part: Formula) -> str:
    # Two spaces at the end break a line.
    return "  \n".join(_plain(f"{left} = {right}".strip()) for left, right in part.lines)


@_set.register
def _(part: Table) -> str:
    rule = ["---:" if k in part.right else ":---" for k in range(len(part.head))]
    cells = [[_plain(cell) for cell in row] for row in (part.head, *part.rows)]
    rows = [cells[0], rule, *cells[1:]]
    lines = ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join((f"*{_plain(part.caption)}*", "", *lines))


@_set.register
def _(part: WritingRoom) -> str:
    # A figure in words: Markdown has no place for drawings.
    parts = (
        _set(Text(one.alt, "faint")) if isinstance(one, Inset) else _set(one) for one in part.parts
    )
    return "\n\n".join((*parts, part.label)).strip()


def shown(document: Document) -> Any:
    """The document as a notebook shows it."""
    from IPython.display import Markdown

    return Markdown(as_markdown(document))
