"""Where a statement comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["published", "quoted", "derived", "common practice", "from memory", "measured"]


@dataclass(frozen=True)
class Source:
    """The origin of a relation, an assumption or a limit.

    kind   "published" (seen in the document), "quoted" (seen in what another writes of it),
           "derived" (worked out here, `where` points at the derivation), "common practice" (no
           source), "from memory" (recalled, not seen), or "measured" (`text` says on what)
    text   the document, or what the practice is
    where  clause, table, page, or file
    """

    kind: Kind
    text: str
    where: str = ""

    def __str__(self) -> str:
        place = f", {self.where}" if self.where else ""
        match self.kind:
            case "published":
                return f"{self.text}{place}"
            case "quoted":
                return f"{self.text}{place} (quoted)"
            case "derived":
                return f"derived here: {self.text}{place}" if self.text else f"derived{place}"
            case "common practice":
                note = f" ({self.text})" if self.text else ""
                return f"common practice, no source{note}"
            case "from memory":
                return f"{self.text}{place} (from memory)"
            case "measured":
                return f"measured on {self.text}{place}"


def published(text: str, where: str = "") -> Source:
    """A document that was read, with its clause, table or page."""
    return Source("published", text, where)


def quoted(text: str, where: str = "") -> Source:
    """A document known from what someone else prints of it."""
    return Source("quoted", text, where)


def derived(where: str, text: str = "") -> Source:
    """Worked out here; `where` is the file of the derivation."""
    return Source("derived", text, where)


def common_practice(text: str = "") -> Source:
    """What is usually done, without a document to point at."""
    return Source("common practice", text)


def from_memory(text: str, where: str = "") -> Source:
    """Recalled from a document, not read."""
    return Source("from memory", text, where)
