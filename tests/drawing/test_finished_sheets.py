"""Finished sheets as PDF and SVG: what is in the files is what was drawn, read by others."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import psutil
import pypdf
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from matplotlib import get_data_path
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from tablekit.drawing import glyphs, style
from tablekit.drawing.ink import Ink, InkedSheet, Label
from tablekit.drawing.pdf import write_pdf
from tablekit.drawing.style import Paper
from tablekit.drawing.svg import svg_bytes
from tests.drawing.test_templates import MM, lengths, segments

PAPER = Paper(80.0, 60.0)
FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
LETTERS = "Ag 0½⁄√θ(µ)—"
TEXTS = (
    Label("735 mm, 1 11/16 in (½) AVTo", 10.0, 40.0, "left"),
    Label("cos θ = 1/√3 → 54.74° \\ 5", 40.0, 30.0, "center", size=11.0, bold=True),
    Label("up the page", 70.0, 10.0, "right", rotation=90.0),
)


def sheet(labels: tuple[Label, ...] = TEXTS) -> InkedSheet:
    ink = Ink(labels=list(labels))
    ink.line("visible", (10.0, 10.0), (40.0, 10.0), (40.0, 25.0))
    ink.pieces["thin"].append(np.array([[[5.0, 5.0], [12.0, 5.0]], [[5.0, 6.0], [5.0, 15.0]]]))
    ink.areas.append(([(50.0, 40.0), (60.0, 40.0), (60.0, 47.0)], style.TOP_TONE))
    ink.badge((20.0, 50.0), "3")
    return InkedSheet(ink, PAPER)


@pytest.fixture
def page(tmp_path: Path) -> pypdf.PageObject:
    write_pdf(tmp_path / "one.pdf", [sheet()], "A stool: ½")
    read = pypdf.PdfReader(tmp_path / "one.pdf", strict=True)
    assert read.metadata is not None and read.metadata.title == "A stool: ½"
    return read.pages[0]


def test_every_line_of_text_can_be_read_where_it_stands(page: pypdf.PageObject) -> None:
    found: dict[str, tuple[float, float]] = {}

    def hear(text: str, at: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            found[text.strip()] = tm[4] / MM, tm[5] / MM

    page.extract_text(visitor_text=hear)
    for label in TEXTS:
        assert found[label.text] == pytest.approx(label.start, abs=0.001)
    assert "3" in found
    size = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM
    assert size == pytest.approx((80.0, 60.0), abs=0.001)


def test_strokes_are_as_long_as_they_were_drawn(tmp_path: Path) -> None:
    write_pdf(tmp_path / "one.pdf", [sheet()], "")
    (strokes,) = segments(tmp_path / "one.pdf")
    found = lengths(strokes)
    for long in (30.0, 15.0, 7.0, 9.0):
        assert np.abs(found - long).min() < 0.001


@pytest.mark.parametrize("bold", [False, True])
def test_letters_are_those_of_the_face(bold: bool) -> None:
    """Advances and boxes against fontTools, which reads the face by itself."""
    face = TTFont(Path(get_data_path(), "fonts", "ttf", FILES[bold]))
    named, drawn, em = face.getBestCmap(), face.getGlyphSet(), face["head"].unitsPerEm
    for letter in LETTERS:
        glyph = drawn[named[ord(letter)]]
        assert glyphs.advance(letter, bold) == pytest.approx(glyph.width / em, abs=1e-4)
        pen = BoundsPen(drawn)
        glyph.draw(pen)
        ends = np.array([at[-2:] for _, at in glyphs.outline(letter, bold) if at])
        if pen.bounds is None:
            assert not len(ends)
            continue
        low, high = np.array(pen.bounds[:2]) / em * 1000, np.array(pen.bounds[2:]) / em * 1000
        # Curves of this face have a point of the outline where they turn back.
        assert ends.min(axis=0) == pytest.approx(low, abs=2.0)
        assert ends.max(axis=0) == pytest.approx(high, abs=2.0)


def test_more_letters_than_one_face_of_a_pdf_holds(tmp_path: Path) -> None:
    letters = "".join(map(chr, (*range(0xC0, 0x180), *range(0x391, 0x3A2), *range(0x410, 0x450))))
    lines = [letters[k : k + 20] for k in range(0, len(letters), 20)]
    labels = tuple(Label(line, 2.0, 4.0 * k, "left") for k, line in enumerate(lines))
    write_pdf(tmp_path / "one.pdf", [sheet(labels)], "")
    text = pypdf.PdfReader(tmp_path / "one.pdf").pages[0].extract_text()
    assert set(text.split()) >= set(lines)


@pytest.mark.parametrize("label", TEXTS, ids=["left", "center", "right"])
def test_outlines_in_svg_are_where_matplotlib_sets_the_text(label: Label) -> None:
    weight = "bold" if label.bold else "normal"
    face = FontProperties(family=style.FAMILY, size=label.size, weight=weight)
    whole = TextPath((0, 0), label.text, prop=face).get_extents().width * style.MM_PER_POINT
    root = ET.fromstring(svg_bytes(sheet((label,))))
    named = {p.get("id"): p.get("d") or "" for p in root.iter("{http://www.w3.org/2000/svg}path")}
    (group,) = (g for g in root if "scale" in (g.get("transform") or "") and len(g) > 1)
    scale = float(re.search(r"scale\(([\d.]+)", group.get("transform") or "")[1])
    xs = []
    for use in group:
        outline = named[(use.get("{http://www.w3.org/1999/xlink}href") or "")[1:]]
        steps = re.findall(r"[MLQ](-?\d+) -?\d+(?: (-?\d+) -?\d+)?", outline)
        xs += [float(use.get("x") or 0) + float(b or a) for a, b in steps]
    assert (max(xs) - min(xs)) * scale == pytest.approx(whole, abs=0.1)
    moved = re.match(r"translate\(([\d.]+) ([\d.]+)\)", group.get("transform") or "")
    assert moved is not None
    x, y = float(moved[1]), PAPER.height - float(moved[2])
    assert (x, y) == pytest.approx(label.start, abs=0.01)


def test_two_drawings_in_one_page_have_no_two_outlines_of_one_name() -> None:
    """A notebook puts both into its page, where a name counts once (HTML, 3.2.6: id)."""
    known: dict[str, str] = {}
    for labels in (TEXTS, TEXTS[::-1], (Label("§ Bold", 5.0, 5.0, bold=True),)):
        root = ET.fromstring(svg_bytes(sheet(labels)))
        for path in root.iter("{http://www.w3.org/2000/svg}path"):
            if name := path.get("id"):
                assert known.setdefault(name, path.get("d") or "") == path.get("d")
    assert len(known) > 20


def test_texts_in_svg_stay_texts_where_that_is_asked() -> None:
    root = ET.fromstring(svg_bytes(sheet(), letters=True))
    said = [one.text for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert sorted(said) == sorted(["3", *(label.text for label in TEXTS)])


def test_a_letter_that_the_face_lacks_is_told_each_time(tmp_path: Path) -> None:
    for _ in range(2):
        with pytest.warns(UserWarning, match=r"Glyph 22269 missing"):  # 国, U+56FD
            write_pdf(tmp_path / "one.pdf", [sheet((Label("国", 10.0, 10.0),))], "")


def test_no_file_of_letters_is_held_open() -> None:
    """The two books of a packet are written by two processes, one forked from the other. A file
    that is open in both has one place at which it is read, and each would read the other's."""
    before = fonts_open()
    glyphs._face.cache_clear()
    faces = [glyphs._face(bold) for bold in (False, True)]
    assert all(face.get_char_index(ord("R")) for face in faces)
    assert fonts_open() == before


def fonts_open() -> list[tuple[str, int]]:
    """The files of letters that this process has open, each with its number."""
    return [
        (each.path, each.fd) for each in psutil.Process().open_files() if each.path.endswith(".ttf")
    ]
