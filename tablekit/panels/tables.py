"""A sheet as small HTML tables for a panel."""

from __future__ import annotations

import html
from collections.abc import Sequence

from tablekit.engine.sheet import Sheet

_CELL = 'style="padding:1px 10px 1px 0; text-align:left; vertical-align:top"'
_MARKS = {"pass": "✓ pass", "caution": "! caution", "fail": "✗ fail"}


def _table(caption: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    head = "".join(f'<th scope="col" {_CELL}>{html.escape(text)}</th>' for text in heads)
    body = "".join(
        "<tr>" + "".join(f"<td {_CELL}>{html.escape(text)}</td>" for text in row) + "</tr>"
        for row in rows
    )
    return (
        f'<table style="border-collapse:collapse; line-height:1.35">'
        f'<caption style="text-align:left; font-weight:bold; padding:4px 0">'
        f"{html.escape(caption)}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def found_html(sheet: Sheet) -> str:
    """Every value of the sheet, with its origin."""
    rows = [
        (name.replace("_", " "), sheet.shop(name), value.origin)
        for name, value in sheet.values.items()
    ]
    return _table("What follows", ("quantity", "in the shop", "origin"), rows)


def checks_html(sheet: Sheet) -> str:
    """The checks, with what to change."""
    rows = [(check.name, _MARKS[check.verdict], check.message) for check in sheet.checks]
    rows += [("note", "", note) for note in sheet.notes]
    return _table("How it stands", ("check", "verdict", ""), rows)
