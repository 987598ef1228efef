"""The page of the packet on a phone: ticks that stay, drawings that come near, nothing cut off."""

from __future__ import annotations

import functools
import http.server
import threading
from typing import TYPE_CHECKING

import pytest

from tablekit.drawing.svg import svg_bytes
from tablekit.packet.document import Document, Section, Steps, Table, Text
from tablekit.packet.web import web_page
from tests.browser.chromium import needs_chromium
from tests.packet.documents import document, drawn

if TYPE_CHECKING:
    from playwright.sync_api import Page

needs_chromium()

from playwright.sync_api import expect  # noqa: E402

PHONE = {"width": 390, "height": 844}
LINES = ("Saw the posts", "Plane the posts", "Saw the posts", "Glue up the top")
REFUSES = """Object.defineProperty(window, "localStorage", {get() { throw new DOMException(
    "no storage here", "SecurityError"); }});"""


def check_list(name: str) -> str:
    """The page of a piece whose first section is a list with boxes; two of its lines are alike."""
    return web_page(Document(name, "w", (Section("Order of work", (Steps(LINES, True),)),)), {})


@pytest.fixture
def context(browser):
    with browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True) as context:
        yield context


@pytest.fixture(params=["file", "server"])
def address(request, tmp_path):
    """Of a folder with the pages of two pieces, as it lies and as a server hands it out."""
    for name in ("table", "stool"):
        (tmp_path / f"{name}.html").write_text(check_list(name), "utf-8")
    if request.param == "file":
        yield tmp_path.as_uri()
        return
    handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=str(tmp_path))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def ticked(page: Page) -> list[bool]:
    return [box.is_checked() for box in page.locator("ol input").all()]


def test_a_tick_is_seen_again_after_the_page_is_closed(context, address):
    page = context.new_page()
    page.goto(f"{address}/table.html")
    page.get_by_text("Saw the posts").last.tap()
    expect(page.locator("ol input").nth(2)).to_be_checked()
    assert ticked(page) == [False, False, True, False]
    assert "1 of 4 done" in page.get_by_role("status").inner_text()
    page.close()
    page = context.new_page()
    page.goto(f"{address}/table.html")
    # The line itself, not the one that reads alike.
    assert ticked(page) == [False, False, True, False]
    page.goto(f"{address}/stool.html")
    assert ticked(page) == [False] * 4  # another piece


def test_a_tick_stays_with_its_line_where_the_list_changes(context, tmp_path):
    where = tmp_path / "packet.html"
    where.write_text(check_list("table"), "utf-8")
    page = context.new_page()
    page.goto(where.as_uri())
    page.get_by_text("Plane the posts").tap()
    expect(page.locator("ol input").nth(1)).to_be_checked()  # a tap is a click a moment later
    changed = Document("table", "w", (Section("Order", (Steps(("Mark out", *LINES), True),)),))
    where.write_text(web_page(changed, {}), "utf-8")
    page.reload()
    assert ticked(page) == [False, False, True, False, False]


def test_ticks_are_cleared_and_put_back(context, address):
    page = context.new_page()
    page.goto(f"{address}/table.html")
    for line in ("Plane the posts", "Glue up the top"):
        page.get_by_text(line).tap()
    page.get_by_role("button", name="Clear the ticks").tap()
    assert ticked(page) == [False] * 4
    page.get_by_role("button", name="Put the ticks back").tap()
    assert ticked(page) == [False, True, False, True]
    page.get_by_role("button", name="Clear the ticks").tap()
    page.reload()
    assert ticked(page) == [False] * 4
    assert page.get_by_role("button", name="Clear the ticks").is_disabled()


def test_where_storage_is_refused_the_boxes_still_work(context, address):
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.add_init_script(REFUSES)
    page.goto(f"{address}/table.html")
    page.get_by_text("Plane the posts").tap()
    assert ticked(page) == [False, True, False, False]
    assert "This browser keeps no ticks" in page.get_by_role("status").inner_text()
    page.reload()
    assert ticked(page) == [False] * 4 and complaints == []


def test_a_drawing_is_whole_first_and_comes_near_where_it_is_touched(context):
    page = context.new_page()
    svg = svg_bytes(drawn())
    page.set_content(web_page(document(), {"line": [svg], "lines": [svg, svg]}))
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    sheet = page.locator(".sheet").first
    assert sheet.evaluate("one => one.scrollWidth <= one.clientWidth")
    box = sheet.locator("img").bounding_box()
    sheet.locator("img").tap(position={"x": 0.75 * box["width"], "y": 0.5 * box["height"]})
    seen = sheet.evaluate(
        "one => (one.scrollLeft + one.clientWidth / 2) / one.querySelector('img').clientWidth"
    )
    assert sheet.locator("img").bounding_box()["width"] > 2.5 * box["width"]
    assert seen == pytest.approx(0.75, abs=0.02)  # what was touched is in the middle
    page.get_by_role("button", name="Whole drawing").first.tap()
    assert sheet.locator("img").bounding_box()["width"] == pytest.approx(box["width"], abs=1)


def test_nothing_is_cut_off_on_a_phone(context):
    page = context.new_page()
    wide = Table(
        "Six columns", ("part", "no.", "finished", "rough", "wood", "note"),
        (("post lamination", "9", "1146.5 × 63.5 × 22", "1187 × 69.5 × 25.5", "white ash",
          "3 to a post"),),
        right=frozenset({1}),
    )  # fmt: skip
    long = Table(
        "A source", ("check", "what it means"),
        (("pass: reach", "Source: " + "reference/derivations/" * 4),),
    )  # fmt: skip
    page.set_content(web_page(Document("t", "w", (Section("s", (Text("x"), wide, long)),)), {}))
    across = page.evaluate("document.documentElement.scrollWidth")
    assert across <= PHONE["width"]
    for table in page.locator(".wide").all():
        assert table.evaluate("one => one.scrollWidth <= one.clientWidth + 1")
