"""A whole packet of a piece whose names mean something to every program that will read it.

Each file is read by a reader that is not ours, and must hold the names as plain text or not at all.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import re
import struct
import zipfile
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from tablekit import cli
from tablekit.brief import parse_brief
from tablekit.packet import measuring, web
from tablekit.relations.bases import CrossedPosts
from tablekit.setting_out import set_out
from tests.fuzz.grown import quoted

# Bidirectional overrides and control characters are refused by the reader: tests/test_brief.py.
PIECE = (
    "=1+1|'x'!A1 ../../x <script>alert(1)</script> <b onclick=x> ]]> --> &amp; $\\frac$ \\input{x} "
    "{0} %s `x` [l](javascript:x) ä e\u0301 😀 שלום \u200b C:\\x"
)
FIRST, SECOND, PLANK = '-1+1 <i>&"b', "@SUM(A1) ../../x $x_", "=HYPERLINK(1) </svg>"
BRIEF = f"""name = {quoted(PIECE)}

[given]
post_length = "1000 mm"
post_section = "64 mm"
top_diameter = "900 mm"
top_thickness = "28 mm"

[[boards]]
name = {quoted(FIRST)}
width = "200 mm"
length = "1000 mm"
count = 3

[[boards]]
name = {quoted(SECOND)}
width = "190 mm"
length = "1000 mm"
count = 3

[[stock]]
name = {quoted(PLANK)}
length = "2300 mm"
width = "100 mm"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    room = tmp_path_factory.mktemp("named")
    (room / "brief.toml").write_text(BRIEF, encoding="utf-8")
    assert cli.main(["set-out", str(room / "brief.toml"), "--out", str(room / "out" / "p")]) == 0
    assert sorted(path.name for path in room.iterdir()) == ["brief.toml", "out"]
    assert [path.name for path in (room / "out").iterdir()] == ["p"]
    return room / "out" / "p"


def test_files_have_names_of_ours(folder):
    names = [path.relative_to(folder).as_posix() for path in folder.rglob("*")]
    assert all(re.fullmatch(r"(pages/)?[.a-z0-9-]+", name) for name in names), names


# What matplotlib draws with.
DRAWN = {
    "svg",
    "metadata",
    "defs",
    "style",
    "g",
    "path",
    "use",
    "text",
    "tspan",
    "clipPath",
    "rect",
}
RDF = {"RDF", "Work", "type", "date", "format", "creator", "Agent", "title"}


def check_svg(text: bytes, where: str) -> str:
    """Nothing but shapes and letters; what the letters say."""
    root = ElementTree.fromstring(text)
    said = []
    for one in root.iter():
        tag = one.tag.partition("}")[2]
        assert tag in DRAWN | RDF, (where, tag)
        for key, value in one.attrib.items():
            assert not key.lower().startswith("on"), (where, key)
            if key.endswith("href"):
                assert value.startswith("#"), (where, value)
        said += [one.text or ""] if tag in ("text", "tspan") else []
    return " ".join(said)


def test_drawings_are_nothing_but_drawings(folder):
    pages = sorted((folder / "pages").iterdir())
    assert len(pages) > 20
    said = " ".join(check_svg(page.read_bytes(), page.name) for page in pages)
    assert "<script>alert(1)</script>" in said and "]]>" in said and FIRST in said


class Reader(HTMLParser):
    """All tags with what they carry, and the text; of pictures also what they hold."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.carried: set[str] = set()
        self.links: list[str] = []
        self.scripts: list[str] = []
        self.policy = self.said = ""
        self.in_script = False

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.in_script = tag == "script"
        if self.in_script:
            assert attrs == []
            self.scripts.append("")
        if ("http-equiv", "Content-Security-Policy") in attrs:
            self.policy = dict(attrs)["content"]
        self.carried |= {key for key, _ in attrs}
        self.links += [value for key, value in attrs if key in ("href", "src")]

    def handle_endtag(self, tag):
        self.in_script = False

    def handle_data(self, data):
        if self.in_script:
            self.scripts[-1] += data
        else:
            self.said += data


def test_the_page_fetches_nothing_and_runs_only_its_own_script(folder):
    page = Reader()
    page.feed((folder / "packet.html").read_text(encoding="utf-8"))
    own = (Path(web.__file__).parent / "packet_page.js").read_text(encoding="utf-8")
    own += measuring.measuring_script(CrossedPosts(), strips=True)  # nothing of the brief
    assert page.scripts == [own]
    digest = base64.b64encode(hashlib.sha256(own.encode()).digest()).decode()
    assert page.policy.endswith(f"script-src 'sha256-{digest}'")
    assert not page.tags & {"b", "i", "iframe", "object", "svg", "base", "form", "link"}
    assert not {key for key in page.carried if key.startswith("on")}
    assert PIECE in page.said and FIRST in page.said and SECOND in page.said
    for link in page.links:
        kind, _, data = link.partition(",")
        assert (
            link.startswith("#part-") or link == "#packet" or kind == ("data:image/svg+xml;base64")
        ), link[:80]
        if data:
            check_svg(base64.b64decode(data), "packet.html")


def test_no_cell_is_a_formula(folder):
    """A spreadsheet takes a cell for a formula that begins so (CWE-1236, from memory)."""
    with open(folder / "cut-list.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    cells = [cell for row in rows for cell in row]
    assert len({len(row) for row in rows}) == 1 and len(rows) > 5
    assert any(FIRST in cell for cell in cells)  # so that there was something to go wrong
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_solids_hold_the_name_as_a_title(folder):
    with zipfile.ZipFile(folder / "parts.3mf") as package:
        assert all(".." not in name and name[0] != "/" for name in package.namelist())
        model = ElementTree.fromstring(package.read("3D/3dmodel.model"))
    core = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    titles = [one.text for one in model.iter(f"{core}metadata")]
    assert titles == [PIECE]
    assert {one.tag for one in model.iter()} == {
        core + tag for tag in
        ("model", "metadata", "resources", "object", "mesh", "vertices", "vertex", "triangles",
         "triangle", "build", "item")
    }  # fmt: skip
    # glTF 2.0, "Binary glTF layout": twelve bytes of head, then the length of the JSON chunk.
    raw = (folder / "parts.glb").read_bytes()
    (length,) = struct.unpack_from("<I", raw, 12)
    scene = json.loads(raw[20 : 20 + length])
    assert PIECE in [node["name"] for node in scene["nodes"]]
    assert "uri" not in json.dumps(scene)


def test_the_book_is_nothing_but_pages(folder):
    for path in sorted(folder.glob("*.pdf")):
        book = PdfReader(path)
        root = book.trailer["/Root"]
        assert not {"/OpenAction", "/AA", "/Names", "/AcroForm"} & root.keys()
        assert not any(page.annotations or "/AA" in page for page in book.pages)
    book = PdfReader(folder / "bench.pdf")
    assert book.metadata.title == f"{PIECE}: bench"
    said = book.pages[0].extract_text()
    assert "<script>alert(1)</script>" in said and "\\input{x}" in said


def test_json_holds_the_names_as_they_are(folder):
    raw = (folder / "sheet.json").read_bytes()
    assert raw.isascii() and json.loads(raw)["name"] == PIECE


def test_working_does_not_speak_of_names(capsys):
    """Markdown and LaTeX are run as they are shown in a notebook: no name may come into them."""
    sheet = set_out(parse_brief(BRIEF))
    for name in ("table_height", "top_mass", "tipping_load"):
        working = sheet.working(name)
        for form in cli.FORMS:
            told = getattr(working, form)()
            assert len(told) > 100
            assert not any(part in told for part in ("alert(1)", "javascript", "HYPERLINK", "SUM("))


def test_a_csv_of_names_alone_would_be_noticed():
    """The check above can fail: a cell that is a name and nothing else."""
    written = io.StringIO()
    csv.writer(written).writerow(["part", SECOND])
    cells = next(csv.reader(io.StringIO(written.getvalue())))
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))] == [SECOND]
