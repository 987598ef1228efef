"""The panel that derives a dimension again, driven by its traits as a browser would."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tablekit.brief import parse_brief, read_brief
from tablekit.engine.trouble import UnknownName
from tablekit.panels.working_panel import OLD, WorkingPanel, working_page
from tests.panels.dragging import drag
from tests.panels.no_symbols import no_symbolic_solver

BRIEF = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture
def panel(tmp_path: Path) -> WorkingPanel:
    return WorkingPanel(parse_brief(BRIEF), folder=tmp_path)


def offers(panel: WorkingPanel) -> dict:
    return {button.description: button for button in panel.offers.children}


def test_it_opens_with_the_working_of_what_is_wanted(panel: WorkingPanel) -> None:
    assert panel.working.value == panel.sheet.working("post_length").html()
    assert list(panel.rows) == ["table_height", "top_diameter", "post_section"]
    panel.wanted.value = "tipping_load"
    assert "tipping_load: vertical load on the rim" in panel.working.value
    long = len(panel.working.value)
    panel.in_full.value = False
    assert len(panel.working.value) < long


def test_any_quantity_can_be_wanted_even_a_given(panel: WorkingPanel) -> None:
    for name in ("table_height", "foot_flat_depth", "seats", "top_movement", "splay"):
        panel.wanted.value = name
        assert name in panel.working.value and panel.trouble.value == ""


def test_too_little_is_told_with_what_would_settle_it(panel: WorkingPanel) -> None:
    old = panel.working.value
    panel.rows["top_diameter"].switch.value = False
    assert "not enough is given" in panel.trouble.value and OLD in panel.trouble.value
    assert panel.working.value == old
    offered = offers(panel)
    assert "give top diameter" in offered and "give overhang" in offered
    offered["give overhang"].click()
    assert panel.trouble.value == "" and offers(panel) == {}
    assert "overhang" in panel.rows and panel.rows["overhang"].switch.value
    # Given as it was, so the top is found as it was.
    assert panel.sheet.number("top_diameter") == pytest.approx(920)
    assert not panel.rows["top_diameter"].switch.value


def test_when_two_are_missing_both_are_given_by_one_press(panel: WorkingPanel) -> None:
    panel.rows["top_diameter"].switch.value = False
    panel.rows["table_height"].switch.value = False
    both = next(name for name in offers(panel) if " and " in name)
    offers(panel)[both].click()
    assert panel.trouble.value == "" and len(panel.state.given) == 3


def test_a_clash_is_told_with_what_could_be_let_go(panel: WorkingPanel) -> None:
    panel.another.value = "post_length"
    assert panel.another.value == "" and panel.trouble.value == ""
    panel.rows["post_length"].text.value = "600 mm"
    assert "too short for table height" in panel.trouble.value
    offers(panel)["release table height"].click()
    assert panel.trouble.value == "" and panel.sheet.number("post_length") == 600
    assert "table_height" not in panel.state.given and "table_height" in panel.rows


def test_a_text_that_is_no_measure_is_refused_in_place(panel: WorkingPanel) -> None:
    panel.rows["table_height"].text.value = "tall <i>"
    assert "table height" in panel.trouble.value and "<i>" not in panel.trouble.value
    panel.rows["table_height"].text.value = "28 7/8 in"
    assert panel.trouble.value == "" and panel.sheet.number("table_height") == 28.875 * 25.4


def test_the_page_stands_alone_and_is_well_formed(panel: WorkingPanel, tmp_path: Path) -> None:
    assert panel.name.value == "working-post-length.html"
    panel.page.click()
    # The link holds the page, which a pupil's tablet could not reach in the folder of the class.
    link = r'download="working-post-length.html" href="data:text/html;base64,([^"]+)"'
    held = re.search(link, panel.said.value)
    page = (tmp_path / "working-post-length.html").read_text(encoding="utf-8")
    assert held is not None and base64.b64decode(held[1]).decode() == page
    assert page.startswith("<!doctype html>") and "default-src 'none'" in page
    body = page[page.index("<body>") :].removesuffix("</html>\n")
    tree = ET.fromstring(body.replace("&nbsp;", " "))  # every tag closed, or it raises
    assert tree.find(".//math") is not None and tree.find(".//h1") is not None
    assert "<script" not in page and "http" not in page.replace("http-equiv", "")
    assert "<b>table" not in page and "735 mm" in page
    assert panel.sheet.working("post_length").html() in page


def test_the_page_is_as_full_as_what_is_shown(panel: WorkingPanel) -> None:
    full, short = (working_page(panel.sheet, "splay", full) for full in (True, False))
    assert len(short) < len(full)


def test_a_file_of_somebody_else_is_replaced_only_when_asked_twice(
    panel: WorkingPanel, tmp_path: Path
) -> None:
    theirs = tmp_path / "theirs.html"
    theirs.write_text("keep me")
    panel.name.value = "theirs"
    panel.page.click()
    assert "Click again" in panel.said.value and theirs.read_text() == "keep me"
    panel.page.click()
    assert theirs.read_text().startswith("<!doctype html>")
    panel.name.value = "../out"
    panel.page.click()
    assert "outside your folder" in panel.said.value
    assert not (tmp_path.parent / "out.html").exists()


def test_no_page_of_givens_without_an_answer(panel: WorkingPanel, tmp_path: Path) -> None:
    panel.rows["top_diameter"].switch.value = False
    panel.page.click()
    assert "correct them first" in panel.said.value and list(tmp_path.iterdir()) == []


def test_a_fast_drag_drops_the_answers_between(panel: WorkingPanel) -> None:
    drawn = panel.frames.drawn
    drag(panel.rows["table_height"].slider, range(700, 730))
    assert panel.frames.drawn == drawn + 2 and panel.sheet.number("table_height") == 729


def test_no_slider_runs_the_symbolic_solver(panel: WorkingPanel) -> None:
    with no_symbolic_solver():
        for name, place in {"table_height": 690, "top_diameter": 800, "post_section": 50}.items():
            panel.rows[name].slider.value = place
            assert panel.sheet.number(name) == place and panel.trouble.value == ""


def test_a_name_it_does_not_know_is_refused() -> None:
    with pytest.raises(UnknownName, match="girth"):
        WorkingPanel(parse_brief(BRIEF), wanted="girth")


def test_it_takes_legs_as_well(tmp_path: Path) -> None:
    shelf = Path(__file__).parents[2] / "notebooks" / "briefs"
    panel = WorkingPanel(read_brief(shelf / "bench-stool.toml"), folder=tmp_path)
    assert panel.wanted.value == "leg_length" and "overall length of a leg" in panel.working.value
    # by hand, 455 mm of height: tan θ is the hypotenuse of tan 12° and tan 9°, 0.2651; the leg is
    # 455/cos θ = 470.7 mm below the top, and 31.5 mm of it are in the socket
    assert panel.sheet.number("leg_length") == pytest.approx(502.2, abs=0.05)
    panel.rows["leg_rake"].slider.value = 9.0
    panel.frames.finish()
    # tan θ is then √2 tan 9° = 0.2240: 455/cos θ = 466.3 mm
    assert panel.sheet.number("leg_length") == pytest.approx(497.8, abs=0.05)
    panel.wanted.value = "cross_length"
    assert "stretcher" in panel.working.value and not panel.trouble.value
