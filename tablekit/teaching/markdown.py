"""A document as Markdown, for a notebook."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch
from typing import Any

from tablekit.packet.document import (
    Document,
    Formula,
    Room,
    Section,
    Steps,
    Subheading,
    Table,
    Text,
)


def as_markdown(document: Document) -> str:
    """The whole document. Raises TypeError for drawings, which Markdown has no place for."""
    parts = [f"# {document.name}", document.what]
    for section in document.sections:
        parts += _section(section)
    return "\n\n".join(parts) + "\n"


def _section(section: Section) -> Iterator[str]:
    yield f"## {section.title}"
    for part in section.parts:
        yield _set(part)


@singledispatch
def _set(part: object) -> str:
    raise TypeError(f"nothing is known of setting a {type(part).__name__} in Markdown")


@_set.register
def _(part: Text) -> str:
    return {"caution": f"> **Caution.** {part.text}", "faint": f"*{part.text}*"}.get(
        part.tone, part.text
    )


@_set.register
def _(part: Subheading) -> str:
    return f"### {part.text}"


@_set.register
def _(part: Steps) -> str:
    return "\n".join(f"{number}. {text}" for number, text in enumerate(part.items, start=1))


@_set.register
def _(part: Formula) -> str:
    # Two spaces at the end break a line.
    return "  \n".join(f"{left} = {right}".strip() for left, right in part.lines)


@_set.register
def _(part: Table) -> str:
    rule = ["---:" if k in part.right else ":---" for k in range(len(part.head))]
    rows = [part.head, rule, *part.rows]
    lines = ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join((f"*{part.caption}*", "", *lines))


@_set.register
def _(part: Room) -> str:
    return "\n\n".join((*(_set(one) for one in part.parts), part.label)).strip()


def shown(document: Document) -> Any:
    """The document as a notebook shows it."""
    from IPython.display import Markdown

    return Markdown(as_markdown(document))
