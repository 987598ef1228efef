"""What axe-core finds in our panels and in the page of the packet, by WCAG 2 levels A and AA.

axe-core is no Python package: TABLEKIT_AXE names its file, axe.min.js; `.ci/run` fetches it.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablekit.drawing.svg import svg_bytes
from tablekit.packet.web import web_page
from tests.browser.chromium import needs_chromium
from tests.browser.places import NOTEBOOK, SLOW, WIDTHS, app_page
from tests.browser.test_measuring import INCHES, MM, html
from tests.packet.documents import document, drawn

AXE = Path(os.environ.get("TABLEKIT_AXE", "axe.min.js"))

if TYPE_CHECKING:
    from playwright.sync_api import Page

needs_chromium()
if not AXE.is_file():
    pytest.skip("TABLEKIT_AXE names no axe.min.js of axe-core", allow_module_level=True)

TOP = "06-the-top-boards-movement-the-round-cut.ipynb"
STANDING = "07-does-it-stand.ipynb"
DERIVED, LEGS = "05-re-derive-a-dimension.ipynb", "14-a-stool-on-splayed-legs.ipynb"
# Markup that ipywidgets or k3d makes, and gives us no way to add to: what axe says of it is listed
# here, narrowly, so that anything of ours is still found. A rule with the selector of its elements.
THEIRS = {"svg-img-alt": ".k3d-target svg"}  # what turns while k3d loads
ASK = """async scope => {
  const found = await axe.run(scope, {runOnly: ['wcag2a', 'wcag2aa']});
  return found.violations.flatMap(v => v.nodes.map(
    n => ({rule: v.id, target: n.target.join(' '), html: n.html.slice(0, 220)}))) }"""


def violations(page: Page, scope: str) -> list[dict[str, str]]:
    """What axe finds inside `scope`, less what is not ours to change."""
    page.add_script_tag(path=AXE)
    found = page.evaluate(ASK, scope)
    return [one for one in found if not _theirs(page, one)]


def _theirs(page: Page, one: dict[str, str]) -> bool:
    known = THEIRS.get(one["rule"])
    return known is not None and page.locator(one["target"]).first.evaluate(
        "(element, known) => element.matches(known)", known
    )


def test_axe_finds_what_is_wrong(browser):
    page = browser.new_page()
    page.set_content("<html lang='en'><title>x</title><main><img src='data:,'><input></main>")
    assert {one["rule"] for one in violations(page, "main")} == {"image-alt", "label"}
    page.close()


@pytest.mark.parametrize("width", [*WIDTHS.values(), 390])
def test_the_page_of_the_packet(browser, width):
    svg = svg_bytes(drawn())
    # The page lets no script run, so axe has to come in past that.
    page = browser.new_page(viewport={"width": width, "height": 900}, bypass_csp=True)
    page.set_content(web_page(document(), {"line": [svg], "lines": [svg, svg]}))
    assert violations(page, "html") == []
    page.close()


@pytest.mark.parametrize("brief", [MM, INCHES])
def test_the_page_that_takes_what_was_measured(browser, brief):
    page = browser.new_page(viewport={"width": 390, "height": 844}, bypass_csp=True)
    page.set_content(html(brief))
    page.get_by_text("As cut: measured at the bench").click()
    page.locator("#cut-post_2-length").fill("44")  # too short in mm, well in inches
    page.locator("#cut-post_1-length").fill("x" if brief == MM else "45")
    assert violations(page, "html") == []
    page.locator("#cut-post_2-length").fill("1115" if brief == MM else "44 1/2")
    page.locator("#cut-post_1-length").fill("")
    page.get_by_role("button", name="Copy as [as_cut]").click()
    assert page.locator("textarea").is_visible()
    assert violations(page, "html") == []
    page.close()


@pytest.mark.parametrize("notebook", [NOTEBOOK, TOP, STANDING])
def test_the_panels(browser, app, notebook):
    place = app_page(browser, app, notebook)
    assert violations(place.page, ".widget-vbox") == []
    place.page.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("notebook", [DERIVED, LEGS])
def test_a_whole_page_in_either_theme(browser, app, notebook, theme):
    """The words of the lesson too: a link among them is found by more than its colour."""
    page = browser.new_page()
    page.goto(app)
    page.goto(f"{app.partition('?')[0]}voila/render/{notebook}?theme={theme}", timeout=SLOW)
    page.locator(".widget-vbox").first.wait_for(timeout=SLOW)
    page.wait_for_timeout(3000)  # until the widgets below have come as well
    assert violations(page, "body") == []
    page.close()


# Of the heads of folds, which axe leaves undecided: contrast by relative luminance (WCAG 2.2), the
# background that of the nearest element that has one.
HEADS = """() => {
  const parts = text => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(c => c / 255)
    .map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
    .reduce((sum, c, k) => sum + c * [0.2126, 0.7152, 0.0722][k], 0);
  const behind = at => {
    const found = parts(getComputedStyle(at).backgroundColor);
    return found.length < 4 || found[3] > 0 ? found : behind(at.parentElement);
  };
  return [...document.querySelectorAll(".jupyter-widget-Collapse-header > span")].map(head => {
    const [a, b] = [parts(getComputedStyle(head).color), behind(head)].map(light);
    return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) }) }"""


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_head_of_a_fold_can_be_read(browser, app, theme):
    page = browser.new_page()
    page.goto(app)
    page.goto(f"{app.partition('?')[0]}voila/render/{LEGS}?theme={theme}", timeout=SLOW)
    page.locator(".jupyter-widget-Collapse-header").first.wait_for(timeout=SLOW)
    contrasts = page.evaluate(HEADS)
    assert len(contrasts) >= 5 and min(contrasts) >= 4.5  # WCAG 2.2, 1.4.3, level AA
    page.close()


def test_a_drawing_with_the_card_of_a_size_open_and_marked_as_old(browser, app):
    place = app_page(browser, app)
    place.panel.size("foot_radius").press("Enter")
    assert violations(place.page, ".widget-vbox") == []
    place.panel.field.press("Escape")
    place.panel.switch("post length").click()
    place.panel.write("post length", "600 mm")  # too short for the height, whatever the lean
    place.panel.old_note.wait_for()
    assert violations(place.page, ".widget-vbox") == []
    place.page.close()


def test_the_list_of_pages(browser, app):
    page = browser.new_page()
    page.goto(app)
    assert page.get_by_role("link").count() >= 2
    assert violations(page, "html") == []
    page.close()
