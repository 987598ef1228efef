"""Finished sheets as PDF (ISO 32000-1, from memory).

Written out here because matplotlib makes a figure of each sheet and lays out every text again,
which takes as long as all else in a packet. A sheet holds only what `Ink` has: strokes, filled
areas and lines of text. Letters are Type 3 faces, each letter's outline once for a whole book.
"""

from __future__ import annotations

import warnings
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from math import cos, radians, sin
from pathlib import Path

from tablekit.drawing import glyphs, style
from tablekit.drawing.ink import Array, Ink, InkedSheet
from tablekit.drawing.label import Label, Point

POINT = 1 / style.MM_PER_POINT  # a point to the millimetre
_ROUND, _BUTT = 1, 0  # ends of strokes; joins are round
_OTHERS = 128  # the first code of a letter that is not in ASCII
_CATALOGUE, _TREE, _INFO, _FACES = 1, 2, 3, 4  # numbers of the objects that there are once
_STEPS = {"M": "m", "L": "l", "Q": "c", "Z": "h"}
Written = Callable[[Label], Iterator[str]]


def write_pdf(path: Path | str, sheets: Iterable[InkedSheet], title: str) -> None:
    """All sheets in one file, the same bytes each time. Warns of each letter that the face lacks;
    it is printed as a box. Raises OSError where the file cannot be written."""
    book = _PdfFile()
    for sheet in sheets:
        book.add(sheet)
    Path(path).write_bytes(book.closed(title))


@dataclass
class _Face:
    """Up to 255 letters of a face, each with its code."""

    bold: bool
    codes: dict[str, int] = field(default_factory=dict)

    def code(self, letter: str) -> int | None:
        """That of a letter, taken in if need be; None where there is no room for it."""
        if letter not in self.codes:
            plain = " " <= letter <= "~"
            others = sum(code >= _OTHERS for code in self.codes.values())
            if not plain and others == 256 - _OTHERS:
                return None
            self.codes[letter] = ord(letter) if plain else _OTHERS + others
        return self.codes[letter]


class _PdfFile:
    """Sheets in the making. `objects` are the bodies of the file's objects, by number."""

    def __init__(self) -> None:
        self.objects: dict[int, bytes] = {}
        self.faces: list[_Face] = []
        self.pages: list[int] = []
        self.number = _FACES

    def new(self, body: bytes) -> int:
        self.number += 1
        self.objects[self.number] = body
        return self.number

    def add(self, sheet: InkedSheet) -> None:
        drawn = self.new(_stream("\n".join(_drawn(sheet.ink, self.written)).encode("latin-1")))
        size = f"{sheet.paper.width * POINT:.3f} {sheet.paper.height * POINT:.3f}"
        page = (
            f"<< /Type /Page /Parent {_TREE} 0 R /MediaBox [0 0 {size}] /Contents {drawn} 0 R "
            f"/Resources << /Font {_FACES} 0 R >> >>"
        )
        self.pages.append(self.new(page.encode()))

    def written(self, label: Label) -> Iterator[str]:
        """One line of text: its letters with their kerning, in runs of one face."""
        run, within = "", -1
        for letter, kern in glyphs.kerned(label.text, label.bold):
            place, code = self.coded(letter, label.bold)
            if place != within:
                yield from (f"[({run})] TJ",) if run else ()
                yield f"/F{place} {label.size:g} Tf"
                run, within = "", place
            # Towards the start of the line where it is positive, in thousandths of the size.
            run += f") {-1000 * kern:.0f} (" if kern else ""
            run += f"\\{code:03o}" if code >= _OTHERS or letter in "()\\" else letter
        yield f"[({run})] TJ"

    def coded(self, letter: str, bold: bool) -> tuple[int, int]:
        """The place of a face that has this letter, and its code there."""
        for place, face in enumerate(self.faces):
            if face.bold == bold and (code := face.code(letter)) is not None:
                return place, code
        self.faces.append(_Face(bold))
        return self.coded(letter, bold)

    def closed(self, title: str) -> bytes:
        """The whole file."""
        kids = " ".join(f"{page} 0 R" for page in self.pages)
        named = " ".join(
            f"/F{place} {self.new(self.face(face))} 0 R" for place, face in enumerate(self.faces)
        )
        self.objects |= {
            _CATALOGUE: f"<< /Type /Catalog /Pages {_TREE} 0 R /Lang (en) >>".encode(),
            _TREE: f"<< /Type /Pages /Kids [{kids}] /Count {len(self.pages)} >>".encode(),
            _INFO: b"<< /Title <feff" + title.encode("utf-16-be").hex().encode() + b"> >>",
            _FACES: f"<< {named} >>".encode(),
        }
        return _file([self.objects[number] for number in sorted(self.objects)])

    def face(self, face: _Face) -> bytes:
        """A Type 3 face: its letters as drawings, and how far each takes the pen."""
        letters = sorted(face.codes, key=face.codes.__getitem__)
        for letter in letters:
            if not glyphs.glyph_index(letter, face.bold):
                warnings.warn(f"Glyph {ord(letter)} missing from the drawing font", stacklevel=2)
        first, last = (face.codes[letters[end]] for end in (0, -1))
        at = {face.codes[letter]: glyphs.UNITS * glyphs.advance(letter, face.bold)
              for letter in letters}  # fmt: skip
        widths = " ".join(f"{at.get(code, 0.0):.1f}" for code in range(first, last + 1))
        drawn = " ".join(
            f"/g{face.codes[letter]} {self.new(_stream(_letter(letter, face.bold)))} 0 R"
            for letter in letters
        )
        names = " ".join(f"{code} /g{code}" for code in sorted(face.codes.values()))
        read = self.new(_stream(_unicode(face.codes)))
        box = " ".join(f"{side:.0f}" for side in glyphs.face_box(face.bold))
        return (
            f"<< /Type /Font /Subtype /Type3 /FontBBox [{box}] /FontMatrix [.001 0 0 .001 0 0] "
            f"/Resources << >> /CharProcs << {drawn} >> /FirstChar {first} /LastChar {last} "
            f"/Encoding << /Type /Encoding /Differences [{names}] >> /Widths [{widths}] "
            f"/ToUnicode {read} 0 R >>"
        ).encode()


# -- what is on a sheet ---------------------------------------------------------------------------


def _drawn(ink: Ink, written: Written) -> Iterator[str]:
    """Everything on a sheet, from the lowest to the uppermost."""
    yield "1 j"
    for polygon, colour in ink.areas:
        yield f"{_colour(colour)} rg {_path(polygon)} f"
    for name, pen in style.PENS.items():
        bulk = [_pieces(piece) for piece in ink.pieces[name] if len(piece)]
        if bulk or ink.lines[name]:
            yield f"{_stroke(pen)} {_colour(pen.colour)} RG"
            yield from (f"{path} S" for path in (*bulk, *map(_path, ink.lines[name])))
    yield f"{_colour(style.FAINT)} rg"
    yield from (f"{_path(arrow)} f" for arrow in ink.arrows)
    thin = style.PENS["thin"]
    if ink.badges:
        yield f"{_stroke(thin)} {_colour(thin.colour)} RG {_colour(style.PAPER)} rg"
        yield from (f"{_path(ring)} b" for ring in ink.badges)
    for label in ink.labels:
        if label.text:
            yield from _line(label, written)


def _line(label: Label, written: Written) -> Iterator[str]:
    x, y = label.start
    along, up = cos(radians(label.rotation)), sin(radians(label.rotation))
    yield f"BT {_colour(label.colour)} rg"
    yield f"{along:.5f} {up:.5f} {-up:.5f} {along:.5f} {x * POINT:.3f} {y * POINT:.3f} Tm"
    yield from written(label)
    yield "ET"


def _path(points: Sequence[Point]) -> str:
    flat = [POINT * number for point in points for number in point]
    return ("%.3f %.3f m" + " %.3f %.3f l" * (len(points) - 1)) % tuple(flat)


def _pieces(bulk: Array) -> str:
    return " ".join(["%.3f %.3f m %.3f %.3f l"] * len(bulk)) % tuple((POINT * bulk).ravel())


def _stroke(pen: style.Pen) -> str:
    dashes = " ".join(f"{part * pen.points:.3f}" for part in pen.dashes)
    return f"{_BUTT if pen.dashes else _ROUND} J {pen.points:.3f} w [{dashes}] 0 d"


@lru_cache(maxsize=64)
def _colour(said: str) -> str:
    return " ".join(f"{int(said[k : k + 2], 16) / 255:.3f}" for k in (1, 3, 5))


# -- letters --------------------------------------------------------------------------------------


@cache
def _letter(letter: str, bold: bool) -> bytes:
    """A letter as a Type 3 face draws it. PDF has no curves of the second degree: each is set as
    one of the third, whose inner points lie two thirds of the way to the point it bends to."""
    steps = [f"{glyphs.UNITS * glyphs.advance(letter, bold):.1f} 0 {_box(letter, bold)} d1"]
    x = y = 0.0
    for step, numbers in glyphs.outline(letter, bold):
        if step == "Q":
            bend, (end_x, end_y) = numbers[:2], numbers[2:]
            inner = [a + 2 / 3 * (b - a) for end in ((x, y), (end_x, end_y))
                     for a, b in zip(end, bend, strict=True)]  # fmt: skip
            numbers = (*inner, end_x, end_y)
        steps.append(" ".join([*(f"{number:.1f}" for number in numbers), _STEPS[step]]))
        x, y = numbers[-2:] or (x, y)
    return "\n".join([*steps, "f"]).encode()


def _box(letter: str, bold: bool) -> str:
    """Left, low, right and high of a letter."""
    points = [numbers for _, numbers in glyphs.outline(letter, bold)]
    flat = [number for numbers in points for number in numbers]
    sides = [*(min(flat[k::2], default=0.0) for k in (0, 1)),
             *(max(flat[k::2], default=0.0) for k in (0, 1))]  # fmt: skip
    return " ".join(f"{side:.1f}" for side in sides)


def _unicode(codes: Mapping[str, int]) -> bytes:
    """What the codes of a face mean, for whoever searches or copies the text."""
    rows = "\n".join(
        f"<{code:02x}> <{letter.encode('utf-16-be').hex()}>" for letter, code in codes.items()
    )
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CMapName /letters def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<00> <ff>\nendcodespacerange\n"
        f"{len(codes)} beginbfchar\n{rows}\nendbfchar\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    ).encode()


# -- the file -------------------------------------------------------------------------------------


def _stream(body: bytes) -> bytes:
    packed = zlib.compress(body, 6)
    head = f"<< /Length {len(packed)} /Filter /FlateDecode >>\nstream\n".encode()
    return head + packed + b"\nendstream"


def _file(objects: Sequence[bytes]) -> bytes:
    """The objects, numbered from 1, with the table of where each begins."""
    file, starts = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"), []
    for number, body in enumerate(objects, start=1):
        starts.append(len(file))
        file += f"{number} 0 obj\n".encode() + body + b"\nendobj\n"
    table = len(file)
    file += f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode()
    file += b"".join(f"{start:010d} 00000 n \n".encode() for start in starts)
    root = f"/Size {len(objects) + 1} /Root {_CATALOGUE} 0 R /Info {_INFO} 0 R"
    return bytes(file + f"trailer\n<< {root} >>\nstartxref\n{table}\n%%EOF\n".encode())
