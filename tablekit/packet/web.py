"""A document as one page for the phone in the shop: a single file that works without a network.

Nothing is fetched: text, tables and drawings are in the file. It can be read by keyboard and by a
screen reader: headings in order, words for every drawing, heads on every table, and ink dark enough
on its paper (WCAG 2.1, contrast AA). One script, `packet_page.js`, remembers the ticks and brings
drawings near, and may be followed by one for a part of the page; the page says by its hash that it
may run, and nothing else may. Without it the page is whole: ticks are then forgotten, and drawings
are moved about in their frames.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping
from functools import singledispatchmethod
from html import escape
from pathlib import Path

from tablekit.drawing import style
from tablekit.drawing.ink import InkedSheet
from tablekit.drawing.svg import svg_bytes
from tablekit.packet.document import (
    Document,
    Drawing,
    Formula,
    Inset,
    Plate,
    Section,
    Steps,
    Subheading,
    Table,
    TableWithInset,
    Text,
    WritingRoom,
)
from tablekit.packet.plain_page import whole_measures

INSET_WIDTH = 180.0
LEAST_WIDTH, A4_POINTS = 44.0, 595.0  # of a sheet of A4, rem; and how wide it is, in points
LOOKS = {"lead": "faint"}
_CSS = f"""
:root {{ color: {style.INK}; background: {style.PAPER}; }}
body {{ font: 1.06rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 50rem; padding: 1rem; }}
h1 {{ font-size: 1.8rem; line-height: 1.2; margin: 0.5rem 0 0; }}
h2 {{ font-size: 1.35rem; border-bottom: 2px solid {style.INK}; margin-top: 2.5rem; }}
h3 {{ font-size: 1.1rem; }}
a {{ color: {style.INK}; }}
a:focus-visible, [tabindex]:focus-visible, input:focus-visible {{ outline: 3px solid {style.INK};
  outline-offset: 3px; }}
.faint {{ color: {style.FAINT}; }}
summary {{ font-size: 1.1rem; font-weight: bold; padding: 0.6rem 0; cursor: pointer; }}
summary h2, summary h3 {{ display: inline; border: 0; margin: 0; }}
summary:focus-visible {{ outline: 3px solid {style.INK}; outline-offset: 3px; }}
.close {{ margin: 0.2rem 0; }}
.beside {{ display: flex; flex-wrap: wrap; gap: 1rem; align-items: flex-start; }}
.beside > .wide {{ flex: 2 1 20rem; }}
.beside > figure {{ flex: 1 1 14rem; }}
.caution {{ border-left: 5px solid {style.INK}; padding-left: 0.8rem; }}
.wide {{ overflow-x: auto; }}
table {{ border-collapse: collapse; width: 100%; font-size: 0.95rem; }}
caption {{ text-align: left; color: {style.FAINT}; padding-bottom: 0.3rem; }}
th, td {{ text-align: left; vertical-align: top; padding: 0.35rem 0.8rem 0.35rem 0;
  border-bottom: 1px solid {style.FAINT}; }}
thead th {{ border-bottom: 2px solid {style.INK}; }}
.figure {{ text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }}
tbody th {{ font-weight: inherit; }}
.formula {{ padding-left: 1.2rem; overflow-wrap: anywhere; }}
.room {{ border-bottom: 1px solid {style.FAINT}; display: flex; align-items: flex-end; }}
figure {{ margin: 1rem 0; }}
figure img {{ width: 100%; height: auto; }}
.sheet {{ overflow-x: auto; }}
.sheet img {{ min-width: var(--sheet); }}
.sheet.whole img {{ min-width: 0; cursor: zoom-in; }}
.sheet.near img {{ width: calc(1.6 * var(--sheet)); max-width: none; cursor: zoom-out; }}
button {{ font: inherit; color: {style.INK}; background: {style.PAPER}; min-height: 2.75rem;
  border: 2px solid {style.INK}; border-radius: 0.4rem; padding: 0.4rem 0.9rem; }}
button:focus-visible {{ outline: 3px solid {style.INK}; outline-offset: 3px; }}
.ticks, .copying {{ display: flex; flex-wrap: wrap; gap: 0.4rem 1rem; align-items: center; }}
[hidden] {{ display: none; }}
figcaption {{ color: {style.FAINT}; }}
label {{ display: flex; gap: 0.7rem; align-items: baseline; }}
.fields {{ display: grid; grid-template-columns: repeat(auto-fill, minmax(9rem, 1fr));
  gap: 0.7rem 1rem; align-items: end; }}
fieldset {{ border: 1px solid {style.FAINT}; border-radius: 0.4rem; margin: 1rem 0; min-width: 0; }}
legend {{ font-weight: bold; padding: 0 0.4rem; }}
.field {{ margin: 0; }}
.field input, textarea {{ font: inherit; color: {style.INK}; background: {style.PAPER};
  box-sizing: border-box; width: 100%; min-height: 2.75rem; padding: 0.3rem 0.6rem;
  border: 2px solid {style.FAINT}; border-radius: 0.4rem; }}
.field input::placeholder {{ color: {style.FAINT}; opacity: 1; }}
.field input[aria-invalid=true] {{ border-color: {style.INK}; border-style: dashed; }}
textarea:focus-visible {{ outline: 3px solid {style.INK}; outline-offset: 3px; }}
.wrong {{ display: block; font-size: 0.85rem; font-weight: bold; }}
.field input:focus-visible {{ outline-offset: 0; }}
/* The verdict stays in sight while sizes are typed above it. */
.verdict {{ font-weight: bold; position: sticky; bottom: 0; background: {style.PAPER};
  padding: 0.6rem 0; margin: 0; }}
button:disabled {{ color: {style.FAINT}; border-color: {style.FAINT}; }}
@media print {{
  button, textarea {{ display: none; }}
  .verdict {{ position: static; }}
}}
input[type=checkbox] {{ width: 1.3rem; height: 1.3rem; flex: none; }}
li {{ margin: 0.5rem 0; }}
@media (max-width: 30rem) {{
  body {{ padding: 0.8rem; }}
  table {{ font-size: 0.85rem; }}
  th, td {{ padding-right: 0.45rem; hyphens: auto; }}
  th:last-child, td:last-child {{ padding-right: 0; }}
  table:not(.many) td:last-child {{ overflow-wrap: anywhere; }}
  .many .figure {{ white-space: normal; }}
  ol {{ padding-left: 1.6rem; }}
}}
"""
_SCRIPT = (Path(__file__).with_name("packet_page.js")).read_text("utf-8")


def web_page(document: Document, drawn: Mapping[str, list[bytes]], folded: str = "") -> str:
    """The document as HTML, in one file: its first section, and the rest folded away until it is
    opened.

    drawn   SVG of the drawings by their names, one for each of their pages, as they were printed
    folded  what stands below it, as `folded_html` gives it
    """
    return framed(document, opened_html(document, drawn) + folded)


def opened_html(document: Document, drawn: Mapping[str, list[bytes]]) -> str:
    """What such a page holds of a document: its first section, and the rest folded away."""
    page = _Page(drawn)
    first, *others = document.sections or (Section("", ()),)
    return page.open(first) + "".join(page.folded(section) for section in others)


def framed(document: Document, body: str, script: str = "") -> str:
    """A page that holds `body`, with the head of a document above it.

    script  what runs on it after the script of every page; the page says by the hash of both that
            they may run, and nothing else may
    """
    name, script = escape(document.name or "Untitled"), _SCRIPT + script
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        # Nothing may be fetched and nothing run but our script, whatever a name in a brief holds.
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        f"style-src 'unsafe-inline'; img-src data:; script-src 'sha256-{digest}'\">\n"
        f"<title>{name}: shop packet</title>\n<style>{_CSS}</style>\n</head>\n"
        f'<body data-piece="{name}">\n'
        f'<header><h1>{name}</h1><p class="faint">{escape(document.what)}</p></header>\n'
        f"<main>\n{body}</main>\n<script>{script}</script>\n</body>\n</html>\n"
    )


def folded_html(title: str, document: Document, drawn: Mapping[str, list[bytes]]) -> str:
    """A document as a part of such a page, all of it folded away; `drawn` as above."""
    return _Page(drawn).all_folded(title, document)


class _Page:
    def __init__(self, drawn: Mapping[str, list[bytes]]) -> None:
        self.drawn = drawn

    def open(self, section: Section) -> str:
        inside = "".join(self.set(part) for part in section.parts)
        return f"<section>\n<h2>{escape(section.title)}</h2>\n{inside}</section>\n"

    def folded(self, section: Section, heading: str = "h2") -> str:
        title = f"<{heading}>{escape(section.title)}</{heading}>"
        inside = "".join(self.set(part) for part in section.parts)
        return f"<details>\n<summary>{title}</summary>\n{inside}</details>\n"

    def all_folded(self, title: str, document: Document) -> str:
        inside = "".join(self.folded(section, "h3") for section in document.sections)
        head = f'<h2>{escape(title)}</h2>\n<p class="faint">{escape(document.what)}</p>'
        return f"<section>\n{head}\n{inside}</section>\n"

    @singledispatchmethod
    def set(self, part: object) -> str:
        raise TypeError(f"nothing is known of setting a {type(part).__name__}")

    @set.register
    def _(self, part: Subheading) -> str:
        return f"<h3>{_said(part.text)}</h3>\n"

    @set.register
    def _(self, part: Text) -> str:
        looks = [] if part.tone == "plain" else [LOOKS.get(part.tone, part.tone)]
        looks += ["close"] if part.close else []
        named = f' class="{" ".join(looks)}"' if looks else ""
        return f"<p{named}>{_said(part.text)}</p>\n"

    @set.register
    def _(self, part: Steps) -> str:
        items = [_said(item) for item in part.items]
        if part.boxes:
            items = [f"<label>{_BOX}<span>{item}</span></label>" for item in items]
        listed = "<ol>" + "".join(f"<li>{item}</li>" for item in items) + "</ol>\n"
        return f"{listed}{_TICKS}" if part.boxes else listed

    @set.register
    def _(self, part: Formula) -> str:
        lines = "<br>".join(
            f"{_said(left)} = {_said(right)}" if left else f"= {_said(right)}"
            for left, right in part.lines
        )
        return f'<p class="formula">{lines}</p>\n'

    @set.register
    def _(self, part: Table) -> str:
        head = "".join(
            f'<th scope="col"{_figure(part, k)}>{_said(cell)}</th>'
            for k, cell in enumerate(part.head)
        )
        rows = "".join(f"<tr>{''.join(_row(part, row))}</tr>\n" for row in part.rows)
        caption = escape(part.caption)
        many = ' class="many"' if len(part.head) > _MANY else ""
        return (
            f'<div class="wide" role="region" tabindex="0" aria-label="{caption}">'
            f"<table{many}><caption>{caption}</caption><thead><tr>{head}</tr></thead>\n"
            f"<tbody>{rows}</tbody></table></div>\n"
        )

    @set.register
    def _(self, part: Inset) -> str:
        return _picture(inset_svg(part), part.alt)

    @set.register
    def _(self, part: TableWithInset) -> str:
        svg = inset_svg(part.inset, part.width)
        return f'<div class="beside">{self.set(part.table)}{_picture(svg, part.inset.alt)}</div>\n'

    @set.register
    def _(self, part: WritingRoom) -> str:
        above = "".join(self.set(one) for one in part.parts)
        return f'{above}<p class="room" style="min-height: {part.height:g}mm">' + (
            f"{escape(part.label)}</p>\n"
        )

    @set.register
    def _(self, part: Drawing) -> str:
        return self._sheets(part)

    @set.register
    def _(self, part: Plate) -> str:
        title = self.set(Subheading(part.title)) if part.title else ""
        return title + self._sheets(part) + "".join(self.set(one) for one in part.parts)

    def _sheets(self, part: Drawing | Plate) -> str:
        pictures = self.drawn.get(part.name, [])
        said = [part.alt] * len(pictures)
        if len(pictures) > 1:
            said = [f"{part.alt} ({k} of {len(pictures)})" for k in range(1, len(pictures) + 1)]
        # Sheets of paper are moved about on a small screen rather than shrunk until nothing shows;
        # where the script runs they are shown whole first, and come near at a touch.
        return "".join(
            f'<div class="sheet" role="region" tabindex="0" aria-label="{escape(alt)}" '
            f'style="--sheet: {_sheet_width(svg):.3g}rem">{_picture(svg, alt)}</div>\n{_NEAR}'
            for svg, alt in zip(pictures, said, strict=True)
        )


_MANY = 3  # columns: more have to be narrow on a phone
_BOX = '<input type="checkbox" autocomplete="off">'
_TICKS = (
    '<p class="ticks" hidden><button type="button">Clear the ticks</button>'
    '<span role="status"></span></p>\n'
)
_NEAR = '<p class="near" hidden><button type="button">Larger</button></p>\n'


def _said(text: str) -> str:
    """A text in HTML, no number in it parted from its unit."""
    return escape(whole_measures(text))


def _row(table: Table, row: tuple[str, ...]) -> Iterator[str]:
    yield f'<th scope="row"{_figure(table, 0)}>{_said(row[0])}</th>'
    for k, cell in enumerate(row[1:], start=1):
        yield f"<td{_figure(table, k)}>{_said(cell)}</td>"


def _figure(table: Table, column: int) -> str:
    return ' class="figure"' if column in table.right else ""


def _sheet_width(svg: bytes) -> float:
    """How wide a drawing is shown, rem: as wide as its sheet, up to that of A4."""
    found = re.search(rb'width="([\d.]+)pt"', svg[:2000])
    return LEAST_WIDTH * min(1.0, float(found[1]) / A4_POINTS) if found else LEAST_WIDTH


def _picture(svg: bytes, alt: str) -> str:
    data = base64.b64encode(svg).decode("ascii")
    said = escape(alt)
    return (
        f'<figure><img src="data:image/svg+xml;base64,{data}" alt="{said}">'
        f"<figcaption>{said}</figcaption></figure>\n"
    )


def inset_svg(part: Inset, width: float = INSET_WIDTH) -> bytes:
    """A drawing among the text, as SVG of its own."""
    paper = style.Paper(width, part.height, 0.0, "beside", to_scale=False)
    return svg_bytes(InkedSheet(part.lay_out(paper), paper))
