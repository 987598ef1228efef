"""A finished sheet as SVG (SVG 1.1, from memory), written out here for the reason told in `pdf.py`.

One unit is a millimetre on the paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from xml.sax.saxutils import escape

from tablekit.drawing import glyphs, style
from tablekit.drawing.ink import Array, Ink, InkedSheet
from tablekit.drawing.label import Label, Point

# Verdana is nearly as wide, letter by letter.
_FAMILIES = f"'{style.FAMILY}', Verdana, sans-serif"
_ANCHORS = {"left": "start", "center": "middle", "right": "end"}


def svg_bytes(sheet: InkedSheet, letters: bool = False) -> bytes:
    """A sheet as SVG, the same bytes each time.

    letters  whether texts stay texts, which can be searched, but look a little otherwise where the
             drawing's letters are not installed; else outlines
    """
    wide, high = sheet.paper.width, sheet.paper.height
    size = " ".join(
        f'{what}="{length / style.MM_PER_POINT:.2f}pt"'
        for what, length in (("width", wide), ("height", high))
    )
    ink = sheet.ink
    texts = _written(ink.labels, high) if letters else _outlined(ink.labels, high)
    parts = (
        '<?xml version="1.0" encoding="utf-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'version="1.1" {size} viewBox="0 0 {wide:g} {high:g}">',
        f'<rect width="{wide:g}" height="{high:g}" fill="{style.PAPER}"/>',
        f'<g transform="matrix(1 0 0 -1 0 {high:g})" fill="none" stroke-linejoin="round">',
        *_drawn(ink),
        "</g>",
        *texts,
        "</svg>\n",
    )
    return "\n".join(parts).encode()


def _drawn(ink: Ink) -> Iterator[str]:
    """All but the texts, from the lowest to the uppermost."""
    for polygon, colour in ink.areas:
        # Pieces of one face meet edge to edge: no seam shows between them.
        yield f'<path fill="{colour}" shape-rendering="crispEdges" d="{_path(polygon)}Z"/>'
    for name, pen in style.PENS.items():
        bulk = [_pieces(piece) for piece in ink.pieces[name] if len(piece)]
        strokes = "".join([*bulk, *map(_path, ink.lines[name])])
        if strokes:
            yield f'<path {_stroke(pen)} d="{strokes}"/>'
    if ink.arrows:
        heads = "".join(f"{_path(arrow)}Z" for arrow in ink.arrows)
        yield f'<path fill="{style.FAINT}" d="{heads}"/>'
    thin = _stroke(style.PENS["thin"])
    for ring in ink.badges:
        yield f'<path {thin} fill="{style.PAPER}" d="{_path(ring)}Z"/>'


def _path(points: Sequence[Point]) -> str:
    flat = [number for point in points for number in point]
    return ("M%.2f %.2f" + "L%.2f %.2f" * (len(points) - 1)) % tuple(flat)


def _pieces(bulk: Array) -> str:
    return "M%.2f %.2fL%.2f %.2f" * len(bulk) % tuple(bulk.ravel())


def _stroke(pen: style.Pen) -> str:
    look = f'stroke="{pen.colour}" stroke-width="{pen.width:g}"'
    if not pen.dashes:
        return f'{look} stroke-linecap="round"'
    return f'{look} stroke-dasharray="{" ".join(f"{part * pen.width:g}" for part in pen.dashes)}"'


# -- texts ----------------------------------------------------------------------------------------


def _written(labels: Sequence[Label], high: float) -> Iterator[str]:
    yield f'<g font-family="{_FAMILIES}" xml:space="preserve">'
    for label in labels:
        x, y = label.x, high - label.y
        turn = f' transform="rotate({-label.rotation:g} {x:.2f} {y:.2f})"' * bool(label.rotation)
        bold = ' font-weight="bold"' * label.bold
        yield (
            f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{_ANCHORS[label.anchor]}" '
            f'font-size="{label.size * style.MM_PER_POINT:.3f}" fill="{label.colour}"{bold}{turn}>'
            f"{escape(label.text)}</text>"
        )
    yield "</g>"


def _outlined(labels: Sequence[Label], high: float) -> Iterator[str]:
    """Each text as outlines, each letter's outline once a sheet."""
    drawn = dict.fromkeys((label.bold, letter) for label in labels for letter in label.text)
    named = {one: _name(*one) for one in drawn if _outline(*one)}
    yield "<defs>"
    yield from (f'<path id="{name}" d="{_outline(*one)}"/>' for one, name in named.items())
    yield "</defs>"
    for label in labels:
        (x, y), scale = label.start, label.size * style.MM_PER_POINT / glyphs.UNITS
        turn = f"rotate({-label.rotation:g}) " * bool(label.rotation)
        uses, at = [], 0.0
        for letter, kern in glyphs.kerned(label.text, label.bold):
            at += kern
            if name := named.get((label.bold, letter)):
                uses.append(f'<use x="{glyphs.UNITS * at:.0f}" xlink:href="#{name}"/>')
            at += glyphs.advance(letter, label.bold)
        place = f"translate({x:.2f} {high - y:.2f}) {turn}scale({scale:.6f} {-scale:.6f})"
        yield f'<g transform="{place}" fill="{label.colour}">{"".join(uses)}</g>'


def _name(bold: bool, letter: str) -> str:
    """That of a letter's outline: the same in all drawings, of which a notebook or a page may hold
    several, so that none takes an outline of another for its own."""
    return f"{'bold' if bold else 'plain'}-{ord(letter):x}"


@cache
def _outline(bold: bool, letter: str) -> str:
    steps = glyphs.outline(letter, bold)
    return "".join(step + " ".join(f"{number:.0f}" for number in at) for step, at in steps)
