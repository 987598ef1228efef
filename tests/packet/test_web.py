"""The page for the phone: whole in one file, readable by keyboard and ear, safe."""

from __future__ import annotations

import base64
import hashlib
import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from tablekit.drawing import style
from tablekit.drawing.svg import svg_bytes
from tablekit.packet.document import Document, Section, Steps, Table, Text
from tablekit.packet.web import folded_html, web_page
from tests.packet.documents import LONG, NASTY, document, drawn


class Reader(HTMLParser):
    """What a page consists of: tags with their attributes, and the text outside styles."""

    VOID = frozenset({"meta", "link", "img", "br", "input", "hr"})

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.scripts: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open and self.open.pop() == tag

    def handle_data(self, data):
        if not self.open or self.open[-1] not in ("style", "script"):
            self.text.append(data)
        elif self.open[-1] == "script":
            self.scripts.append(data)

    def all(self, *names: str) -> list[dict[str, str | None]]:
        return [attributes for tag, attributes in self.tags if tag in names]


@pytest.fixture(scope="module")
def page() -> str:
    svg = svg_bytes(drawn())
    return web_page(document(), {"line": [svg], "lines": [svg, svg]})


def test_every_tag_is_closed_and_every_word_is_there(page: str) -> None:
    read = Reader(page)
    assert read.open == []
    said = " ".join(" ".join(read.text).split())
    assert said.count("neighbour.") == 5 * (1 + 7 + 1 + 1)
    assert "1153.6 mm" in said and "after the drawing" in said


def test_nothing_is_fetched_and_nothing_runs_but_one_script_of_ours(page: str) -> None:
    read = Reader(page)
    assert not read.all("link", "iframe", "object", "embed", "form")
    assert read.all("script") == [{}] and len(read.scripts) == 1
    for what in ("fetch(", "XMLHttpRequest", "import", "eval", "innerHTML", "http"):
        assert what not in read.scripts[0]
    for attributes in (a for _, a in read.tags):
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name in ("src", "href"):
                assert value is not None and value.startswith(("data:image/svg+xml;base64,", "#"))
    assert "url(" not in page and "@import" not in page
    policy = next(a for a in read.all("meta") if a.get("http-equiv"))["content"]
    assert policy is not None and "default-src 'none'" in policy
    # CSP Level 3, 2.3.1: the hash is that of the text between the tags, in base64.
    digest = base64.b64encode(hashlib.sha256(read.scripts[0].encode()).digest()).decode()
    assert policy.endswith(f"script-src 'sha256-{digest}'")


def test_headings_go_down_one_step_at_a_time(page: str) -> None:
    levels = [int(tag[1]) for tag, _ in Reader(page).tags if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_it_can_be_used_by_ear_and_by_keyboard(page: str) -> None:
    read = Reader(page)
    assert read.all("html")[0]["lang"] == "en"
    assert len(read.all("img")) == 5  # two insets, and drawings of one page and of two
    assert all(image["alt"] for image in read.all("img"))
    assert all(cell.get("scope") in ("row", "col") for cell in read.all("th"))
    assert len(read.all("caption")) == len(read.all("table"))
    wide = [a for a in read.all("div") if a.get("class") == "wide"]
    assert all(a["tabindex"] == "0" and a["aria-label"] for a in wide)
    boxes, labels = read.all("input"), read.all("label")
    assert len(boxes) == len(labels) == 3
    # Every section but the first is folded away, its heading what opens it.
    assert len(read.all("details")) == len(read.all("summary")) == 3


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 (definition of relative luminance)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("ink", [style.INK, style.FAINT])
@pytest.mark.parametrize("paper", [style.PAPER, *style.POST_TONES[:2], style.TOP_TONE])
def test_ink_is_dark_enough_on_its_paper(ink: str, paper: str) -> None:
    # WCAG 2.1, success criterion 1.4.3 (AA): a contrast of at least 4.5 to 1.
    bright, dark = sorted((luminance(ink), luminance(paper)), reverse=True)
    assert (bright + 0.05) / (dark + 0.05) >= 4.5


def test_names_from_a_brief_are_only_ever_text() -> None:
    table = Table(NASTY, (NASTY, "b"), ((NASTY, LONG),))
    nasty = Document(NASTY, NASTY, (Section(NASTY, (Text(NASTY), Steps((NASTY,)), table)),))
    read = Reader(web_page(nasty, {}))
    assert read.scripts == Reader(web_page(Document("x", "x", ()), {})).scripts
    assert read.open == []
    assert (
        " ".join(read.text).count("alert(") == 9
    )  # title twice, what, heading, text, step, table thrice


def test_a_second_document_is_folded_away_a_section_at_a_time() -> None:
    more = Document("A table", "Why", (Section("Checks", (Text("passed"),)), Section("More", ())))
    reasons = folded_html("Reasons", more, {})
    read = Reader(web_page(Document("A table", "w", ()), {}, folded=reasons))
    assert read.open == [] and len(read.all("details")) == len(read.all("summary")) == 2
    assert not any("open" in attributes for attributes in read.all("details"))
    said = " ".join(" ".join(read.text).split())
    assert "Reasons Why Checks passed More" in said
