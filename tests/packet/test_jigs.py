"""The book of jigs: there where it is asked for, one drawing to each, nothing else changed."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from pypdf import PdfReader

from tablekit.brief import parse_brief, read_brief
from tablekit.cli import main
from tablekit.design import Design
from tablekit.packet.books import bench_book
from tablekit.packet.card import card, card_text
from tablekit.packet.document import Plate, Text
from tablekit.packet.jig_pages import jigs_book
from tablekit.packet.pages import PAPERS, Page, lay_out_pages
from tablekit.packet.summary import summary_text
from tablekit.relations.jigs import EVERY
from tablekit.setting_out import design_of
from tests.design.counting import watch

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
NAMES = sorted(path.stem for path in BRIEFS.glob("*.toml"))


def asking(name: str) -> str:
    """The text of a demo brief that asks for every jig as well."""
    text = (BRIEFS / f"{name}.toml").read_text("utf-8")
    if "[workshop]" in text:
        return text.replace("[workshop]", "[workshop]\njigs = true")
    return f"{text}\n[workshop]\njigs = true\n"


def asked(name: str) -> Design:
    return design_of(parse_brief(asking(name)))


def pages_of(of: Design) -> list[Page]:
    book = jigs_book(of)
    assert book is not None
    return lay_out_pages(book, PAPERS[of.paper])


@pytest.mark.parametrize("name", NAMES)
def test_every_jig_is_drawn_once_and_no_page_is_nearly_empty(name: str) -> None:
    of = asked(name)
    pages, jigs = pages_of(of), of.jigs
    assert jigs is not None
    drawn = [drawing for page in pages for drawing, _ in page.plates]
    assert drawn == [f"jig-{jig.id}" for jig in jigs.made]
    assert {jig.id for jig in jigs.made} | jigs.left_out.keys() == set(EVERY)
    for page in pages:
        paper = page.sheet.paper
        levels = [label.y for label in page.sheet.ink.labels if label.y > paper.margin + 12]
        assert (max(levels) - min(levels)) / paper.height > 0.4
    if of.inches:
        said = " ".join(label.text for page in pages for label in page.sheet.ink.labels)
        assert " mm" not in said and "millimetre" not in said


def test_the_card_keeps_its_lines_and_the_full_text_has_the_jigs() -> None:
    plain, of = design_of(read_brief(BRIEFS / "workshop-stool.toml")), asked("workshop-stool")
    assert card_text(card(of), 80) == card_text(card(plain), 80)
    assert "\nJigs\n" in summary_text(of) and "\nJigs\n" not in summary_text(plain)
    assert jigs_book(plain) is None
    assert summary_text(of).count("Caution: clamp each jig") == 1


def test_the_packet_has_the_book_and_works_nothing_out_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(threading, "active_count", lambda: 2)  # all in this process
    counts = watch(monkeypatch)
    brief, folder = tmp_path / "brief.toml", tmp_path / "packet"
    brief.write_text(asking("garden-stool"), encoding="utf-8")
    assert main(["set-out", str(brief), "--out", str(folder)]) == 0
    assert counts.again == {}
    pages = PdfReader(folder / "jigs.pdf").pages
    said = " ".join(page.extract_text() for page in pages)
    for words in (
        "Length stop",
        "Trammel board",
        "No notch sled, notch wedge or flat cradle",
        "Caution",
    ):
        assert words in said
    svgs = sorted(path.name for path in (folder / "pages").glob("jigs-*.svg"))
    assert len(svgs) == len(pages)
    html = (folder / "packet.html").read_text("utf-8")
    start = html.index("<h2>Jigs</h2>")
    folded = html[start : html.index("<h2>Reasons</h2>", start)]
    assert "<details>" in folded and "The length stop with its sizes." in folded
    assert folded.count("<img ") == 2


def test_the_working_of_a_jig_and_a_list_of_its_sizes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    brief = tmp_path / "brief.toml"
    brief.write_text(asking("workshop-stool"), encoding="utf-8")
    assert main(["working", str(brief), "cradle kerf run"]) == 0
    assert "B_c·tan θ" in capsys.readouterr().out
    assert main(["working", str(brief), "jigs"]) == 0
    listed = capsys.readouterr().out
    for name in ("cradle_cut", "wedge_gauge_rise", "sled_opening", "stop_spacer", "first_pivot"):
        assert f"\n  {name}" in listed
    assert main(["working", str(BRIEFS / "workshop-stool.toml"), "cradle_cut"]) == 2
    assert "cradle_cut is not a quantity" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["workshop-stool", "harbour-table", "garden-stool"])
def test_each_jig_is_named_once_on_the_page_that_uses_it(name: str) -> None:
    of = asked(name)
    said = speaking_of_jigs(of)
    for jig in of.jigs.made:
        where = [title for title, text in said if jig.name in text]
        assert len(where) == 1, jig.id
        assert where[0] == {"trammel": "Top", "sled": "Joint", "wedge": "Joint"}.get(
            jig.id, "Posts, face by face" if of.on_posts else "Legs"
        )
    assert speaking_of_jigs(design_of(read_brief(BRIEFS / f"{name}.toml"))) == []


def speaking_of_jigs(of: Design) -> list[tuple[str, str]]:
    """The title of each section of the bench book that speaks of a jig, and what it says."""
    found = []
    for section in bench_book(of).sections:
        for part in section.parts:
            inner = part.parts if isinstance(part, Plate) else (part,)
            texts = [one.text for one in inner if isinstance(one, Text)]
            found += [(section.title, text) for text in texts if text.endswith("in jigs.pdf.")]
    return found
