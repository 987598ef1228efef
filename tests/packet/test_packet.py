"""Whole packets of the demo briefs: read back, and compared with their sheets."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from tablekit.brief import Brief, read_brief
from tablekit.design import Design
from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.engine.sheet import Sheet
from tablekit.packet.books import bench_book, reasons_book
from tablekit.packet.packet import write_packet
from tablekit.packet.pages import A4, LETTER, lay_out_pages
from tablekit.setting_out import set_out
from tests.drawing.legible import off_the_paper, overlapping
from tests.packet.test_card import METRIC
from tests.packet.test_web import Reader
from tests.together import each

# What a maker looks for first, by its label on the card.
CARD = {
    "length": "post_length", "notch width": "notch_width",
    "notch depth": "notch_depth", "lean": "splay", "top diameter": "top_diameter",
    "trammel": "trammel_radius", "overhang": "overhang", "foot spread": "foot_spread",
}  # fmt: skip
BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
# A low table in inches, a dining table in millimetres, a stool.
DEMOS = ("low-table", "reading-room-table", "workshop-stool")


class Packet:
    """One packet, written once: its brief and sheet, its folder, and what the PDF says."""

    def __init__(self, name: str, folder: Path) -> None:
        self.brief: Brief = read_brief(BRIEFS / f"{name}.toml")
        self.sheet: Sheet = set_out(self.brief)
        self.told: list[tuple[float, str]] = []
        self.folder = folder / name
        paper = LETTER if self.sheet.shop_style.display == "in" else A4
        job = Design(self.brief, self.sheet)
        self.drawn = [
            page for make in (bench_book, reasons_book) for page in lay_out_pages(make(job), paper)
        ]
        self.names = write_packet(
            job, self.folder, lambda share, what: self.told.append((share, what))
        )
        self.bench, self.reasons = (self.read(name) for name in ("bench", "reasons"))
        self.pages = [*self.bench, *self.reasons]

    def pdf(self, name: str) -> PdfReader:
        """One of the books, or the templates."""
        return PdfReader(self.folder / f"{name}.pdf")

    def read(self, name: str) -> list[str]:
        """What each page of a book says."""
        return [" ".join(page.extract_text().split()) for page in self.pdf(name).pages]

    def titled(self, title: str) -> str:
        """All that stands from this section's heading to the end of its first page."""
        return next(page.split(title, 1)[1] for page in self.pages if title in page)


@pytest.fixture(scope="module", params=[*DEMOS[:2], pytest.param(DEMOS[2], marks=pytest.mark.slow)])
def packet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Packet:
    return Packet(request.param, tmp_path_factory.mktemp("packets"))


def test_every_page_is_there_as_svg_too_and_numbered(packet: Packet) -> None:
    for book, pages in (("bench", packet.bench), ("reasons", packet.reasons)):
        svgs = [name for name in packet.names if name.startswith(f"pages/{book}-")]
        assert len(svgs) == len(pages)
        for number, page in enumerate(pages, start=1):
            assert f"{number} / {len(pages)}" in page
    drawn = " ".join(packet.names)
    for drawing in ("general-arrangement", "post-faces", "joint", "pulled-apart", "board-layout",
                    "glue-up", "trammel", "fixing"):  # fmt: skip
        assert re.search(rf"pages/bench-\d+-(\S+-)?{drawing}(-\S+)?\.svg", drawn), drawing
    for drawing in ("movement", "end-grain", "days", "tipping"):
        assert re.search(rf"pages/reasons-\d+-{drawing}\.svg", drawn), drawing


def test_what_is_taken_to_the_bench_is_14_pages_at_most(packet: Packet) -> None:
    assert len(packet.bench) <= 14
    # The last page of text is not left with a few lines alone.
    assert len(packet.bench[-1].split()) > 150


def test_no_text_of_any_page_runs_into_another_or_off_the_paper(packet: Packet) -> None:
    assert len(packet.drawn) == len(packet.pages)
    for number, page in enumerate(packet.drawn, start=1):
        ink, paper = Ink(labels=page.sheet.ink.labels), page.sheet.paper
        assert overlapping(ink) == [], (number, page.name)
        assert off_the_paper(ink, Paper(paper.width, paper.height)) == [], (number, page.name)
        assert ink.labels and min(label.size for label in ink.labels) >= 7.0, (number, page.name)


# What is said of a part of the work, and what is written in the drawing of it.
TOGETHER = (
    ("Arrises: lay the post down", "measured along each arris from the foot end"),
    ("Flats: cut the sharp corner off", "measured along each arris from the foot end"),
    ("Stacked cutter", "Horizontal section through the joint"),
    ("a stacked cutter means removing a guard", "Lengthwise section through the middle of a notch"),
    ("The posts go together in the order", "Exploded view"),
    ("outside the rough circle", "Board layout from above"),
    ("Clamp everything up dry", "Glue-up from above"),
    ("Trammel board: at least", "reference end to pivot hole"),
    ("Make the plates", "pad in a foot"),
)


@each(("said", "drawn"), TOGETHER)
def test_what_is_said_and_the_drawing_of_it_are_on_one_page(packet: Packet, said, drawn) -> None:
    assert [k for k, page in enumerate(packet.bench) if said in page][:1] == [
        k for k, page in enumerate(packet.bench) if drawn in page
    ]


def test_the_sections_a_maker_looks_for_are_there(packet: Packet) -> None:
    said = " ".join(packet.pages)
    for title in ("Posts, face by face", "Joint", "Top", "Fastening the top",
                  "Cut list", "Order of work", "Finishing", "Checks", "Given and assumed",
                  "Working"):  # fmt: skip
        assert title in said


def test_the_card_is_the_first_page_and_that_alone(packet: Packet) -> None:
    said, sheet = packet.pages[0], packet.sheet
    for label, name in CARD.items():
        if sheet.get(name) is not None:
            told = f"{label} {sheet.shop(name)}"
            assert re.search(rf"{re.escape(told)}(?!\S)", said), told
    assert "Wood and fittings" in said and "have the last word." in " ".join(said.split())


def test_every_check_is_told_with_its_verdict(packet: Packet) -> None:
    data = json.loads((packet.folder / "sheet.json").read_text())
    checks = [page for page in packet.pages if "check what it means" in page.lower()]
    said = " ".join(checks)
    assert len(data["checks"]) > 20
    for check in data["checks"]:
        verdict = {"pass": "pass", "caution": "CAUTION", "fail": "FAIL"}[check["verdict"]]
        assert f"{verdict}: {check['name']}" in said, check["name"]
    cautioned = [c["name"] for c in data["checks"] if c["verdict"] != "pass"]
    for name in cautioned:  # what needs looking at stands on the first pages as well
        assert name in packet.pages[0] + packet.pages[1] + packet.pages[2]


def test_the_pages_are_of_the_papers_they_are_drawn_for(packet: Packet) -> None:
    inches = packet.sheet.shop_style.display == "in"
    text = LETTER if inches else A4
    for book in ("bench", "reasons"):  # one paper throughout; a drawing may lie across it
        for page in packet.pdf(book).pages:
            sides = sorted(float(side) / 72 * 25.4 for side in page.mediabox[2:])
            assert sides == pytest.approx([text.width, text.height], abs=0.05)
    for name, own in (("a4", A4), ("letter", LETTER)):  # to be printed at full size
        template = packet.pdf(f"templates-{name}").pages[0]
        assert float(template.mediabox.width) / 72 * 25.4 == pytest.approx(own.width, abs=0.05)
        assert "Full size, 1:1" in " ".join(template.extract_text().split())


def test_the_cut_list_is_that_of_the_json(packet: Packet) -> None:
    data = json.loads((packet.folder / "sheet.json").read_text())
    with open(packet.folder / "cut-list.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    cauls = [row for row in rows if row["part"].startswith("caul")]
    rows = [row for row in rows if row not in cauls]
    assert [int(row["count"]) for row in cauls] == [
        line["count"] for line in data["buy_list"]["cauls"]
    ]
    assert [row["part"] for row in rows] == [line["part"] for line in data["cut_list"]]
    inches = packet.sheet.shop_style.display == "in"
    unit, mm, most = ("in", 25.4, 0.00051) if inches else ("mm", 1.0, 0.051)
    for row, line in zip(rows, data["cut_list"], strict=True):
        for side in ("length", "width", "thickness"):
            size = line["rough"][side] / mm
            assert float(row[f"rough {side} {unit}"]) == pytest.approx(size, abs=most)
        if inches:
            assert float(row["board feet"]) == pytest.approx(line["board_feet"], abs=0.0051)
            # An avoirdupois pound is 0.45359237 kg (international yard and pound, 1959).
            pounds = line["mass"] / 0.45359237
            assert float(row["lb as squared"]) == pytest.approx(pounds, abs=0.0051)
        else:
            assert float(row["m³"]) == pytest.approx(line["volume"], abs=0.000051)
            assert float(row["kg as squared"]) == pytest.approx(line["mass"], abs=0.0051)
        # A board foot is 144 cubic inches, so this many to a cubic metre.
        assert line["board_feet"] == pytest.approx(line["volume"] / (144 * 0.0254**3))
    if inches:
        assert "mm" not in (packet.folder / "cut-list.csv").read_text(encoding="utf-8")
        assert not METRIC.findall(" ".join(packet.bench))
    assert all(line["part"] in packet.titled("Cut list") for line in data["cut_list"][:2])


def test_the_order_of_work_is_that_of_the_json(packet: Packet) -> None:
    tasks = json.loads((packet.folder / "sheet.json").read_text())["order_of_work"]
    said = " ".join(packet.pages)
    for task in tasks:
        assert task["task"] in said
        how = f": {task['how']}" if task["how"] else ""
        assert f"{task['task']}{how}. Day {task['start']['day']}: " in said


def test_the_page_for_the_phone_says_the_same(packet: Packet) -> None:
    page = (packet.folder / "packet.html").read_text(encoding="utf-8")
    read = Reader(page)
    assert read.open == [] and all(image["alt"] for image in read.all("img"))
    said = " ".join(" ".join(read.text).split())
    for name in CARD.values():
        if packet.sheet.get(name) is not None:
            assert packet.sheet.shop(name) in said
    assert packet.sheet.name in said


def test_progress_goes_on_from_nothing_to_all(packet: Packet) -> None:
    shares = [share for share, _ in packet.told]
    assert shares[0] == 0.0 and shares[-1] == 1.0
    assert shares == sorted(shares) and len(shares) > 30


def test_the_solids_and_the_texts_are_beside_it(packet: Packet) -> None:
    assert {"parts.3mf", "parts.glb", "post-marks.txt", "summary.txt", "top-work.txt"} <= {
        *packet.names
    }
    assert (packet.folder / "summary.txt").read_text(encoding="utf-8").startswith(packet.sheet.name)


@pytest.fixture(scope="module")
def of_legs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, set[str]]:
    """The packet of splayed legs, and what a new process loads of matplotlib to write it."""
    folder = tmp_path_factory.mktemp("legs") / "packet"
    script = (
        "import sys; from tablekit.cli import main; "
        "assert main(sys.argv[1:]) == 0; "
        "print(*(name for name in sys.modules if name.startswith('matplotlib.')))"
    )
    asked = ["set-out", str(BRIEFS / "garden-stool.toml"), "--out", str(folder)]
    done = subprocess.run(
        [sys.executable, "-c", script, *asked], capture_output=True, text=True, check=True
    )
    return folder, set(done.stdout.splitlines()[-1].split())


def test_legs_in_sockets_have_a_packet_without_posts(of_legs: tuple[Path, set[str]]) -> None:
    folder, _ = of_legs
    names = [str(path.relative_to(folder)) for path in folder.rglob("*")]
    pages = [
        " ".join(page.extract_text().split())
        for book in ("bench", "reasons") for page in PdfReader(folder / f"{book}.pdf").pages
    ]  # fmt: skip
    said = " ".join(pages)
    assert "Sockets" not in pages[0]
    assert "leg length" in said and "Posts, face by face" not in said
    assert not any("post-faces" in name or name.startswith("templates") for name in names)
    assert "No drawings" not in (folder / "summary.txt").read_text(encoding="utf-8")
    assert any("boring-gauge" in name for name in names)


def test_what_is_not_asked_for_has_no_book(of_legs: tuple[Path, set[str]]) -> None:
    folder, _ = of_legs
    assert not (folder / "jigs.pdf").exists() and not (folder / "quote.pdf").exists()
    assert "<h2>Jigs</h2>" not in (folder / "packet.html").read_text("utf-8")
    assert "jigs" not in json.loads((folder / "sheet.json").read_text("utf-8"))


def test_no_figure_is_made_for_a_packet(of_legs: tuple[Path, set[str]]) -> None:
    """Loading what makes figures alone takes half as long as writing a packet's pages."""
    _, loaded = of_legs
    assert "matplotlib.ft2font" in loaded  # the letters
    assert not {"matplotlib.figure", "matplotlib.text", "matplotlib.axes"} & loaded
