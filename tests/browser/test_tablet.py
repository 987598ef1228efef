"""The pages of a class on a tablet and a telephone, touched by a finger."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.chromium import needs_chromium
from tests.browser.places import NOTEBOOK, SLOW, app_page

needs_chromium()
if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = Path(os.environ.get("TABLEKIT_AXE", "axe.min.js"))
PAGES = (NOTEBOOK, "10-exercises-for-a-class.ipynb", "07-does-it-stand.ipynb")
WIDTHS = (820, 390)
FINGER = 44  # pixels: WCAG 2.2, success criterion 2.5.5
# Of each control that is shown, the points to either side and above and below its middle, just
# within a finger's width, at which something else is touched.
MISSED = """finger => {
  const reach = finger / 2 - 1, missed = [];
  const controls = '#rendered_cells :is(button, input, select, summary, .noUi-handle, ' +
    '.jupyter-widget-Collapse-header), #tablekit-way a';
  for (const one of document.querySelectorAll(controls)) {
    if (one.disabled || !one.checkVisibility({visibilityProperty: true})) continue;
    if (one.closest('[disabled]') || !one.getBoundingClientRect().width) continue;
    one.scrollIntoView({block: 'center'});
    const box = one.getBoundingClientRect();
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    // A mark to tick is touched by its words as well.
    const whole = one.closest('label') ?? one;
    for (const [right, down] of [[0, 0], [reach, 0], [-reach, 0], [0, reach], [0, -reach]]) {
      const there = document.elementFromPoint(x + right, y + down);
      const wide = down === 0 && whole !== one;  // the words lie on one side of it
      if (there && !wide && !whole.contains(there) && !there.contains(one.closest('label') ?? null))
        missed.push(`${one.tagName} ${one.className} ${one.textContent.trim().slice(0, 30)} ` +
          `${Math.round(box.width)} x ${Math.round(box.height)}, at ${right}, ${down}: ` +
          `${there.tagName} ${there.className}`);
    }
  }
  return missed; }"""
CONTRAST = """async () => (await axe.run('#rendered_cells', {runOnly: ['color-contrast']}))
  .violations.flatMap(v => v.nodes.map(n => n.html.slice(0, 160) + ' ' + n.failureSummary))"""


@pytest.fixture
def tablet(browser, app):
    """Opens a page on a tablet so wide, in a theme."""
    contexts = []

    def shown(name: str, width: int, theme: str = "") -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 1100}, has_touch=True, is_mobile=True
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(SLOW)
        page.goto(app)
        themed = f"?theme={theme}" if theme else ""
        page.goto(app.split("?")[0] + f"voila/render/{name}{themed}")
        page.locator("#rendered_cells :is(.widget-button, .noUi-handle)").first.wait_for()
        page.wait_for_load_state("networkidle")
        return page

    yield shown
    for context in contexts:
        context.close()


def test_what_a_finger_misses_is_seen(browser):
    """That the measure tells a control that is too small, or covered, from one that is not."""
    page = browser.new_page(viewport={"width": 400, "height": 600})
    page.set_content(
        "<style>* {margin: 0} button {position: absolute; left: 50px; width: 60px}</style>"
        "<div id='rendered_cells' style='height: 600px; position: relative'>"
        "<button style='top: 50px; height: 44px'>fits</button>"
        "<button style='top: 150px; height: 30px'>low</button>"
        "<button style='top: 250px; height: 44px'>under</button>"
        "<p style='position: absolute; top: 280px; left: 0; width: 400px; height: 50px'></p></div>"
    )
    missed = page.evaluate(MISSED, FINGER)
    assert [one.split()[1] for one in missed] == ["low", "low", "under"]
    page.close()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", PAGES)
def test_every_control_is_as_large_as_a_finger_and_nothing_runs_off_the_page(tablet, name, width):
    page = tablet(name, width)
    assert page.evaluate("matchMedia('(pointer: coarse)').matches")
    assert page.evaluate(MISSED, FINGER) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_finger_that_scrolls_the_page_changes_nothing(tablet):
    """Upward from a slider's track, from an arrow of the drawing and from the solids."""
    page = tablet(NOTEBOOK, WIDTHS[-1])
    finger = page.context.new_cdp_session(page)
    sizes = "() => [...document.querySelectorAll('input[type=text]')].map(one => one.value).join()"
    page.locator("canvas").first.wait_for()
    before = page.evaluate(sizes)
    for place in (
        ".noUi-target:not([disabled]) .noUi-base",
        ".tablekit-size[data-origin=given] .tablekit-grip",
        "canvas",
    ):
        one = page.locator(place).first
        one.evaluate("one => one.scrollIntoView({block: 'center'})")
        page.wait_for_timeout(300)
        box = one.bounding_box()
        swiped(finger, box["x"] + 0.95 * box["width"], box["y"] + box["height"] / 2)
        page.wait_for_timeout(500)
        assert one.bounding_box()["y"] < box["y"] - 100, place
        assert page.evaluate(sizes) == before, place


def swiped(finger, x: float, y: float) -> None:
    """Up by 200 pixels."""

    def send(kind: str, points: list[dict[str, float]]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    send("touchStart", [{"x": x, "y": y}])
    for k in range(1, 11):
        send("touchMove", [{"x": x, "y": y - 20 * k}])
    send("touchEnd", [])


def test_the_panel_can_be_used_by_keys_alone(tablet):
    page = tablet(NOTEBOOK, WIDTHS[0])
    page.locator(".noUi-handle:visible").first.wait_for()
    page.evaluate("document.querySelector('.widget-toggle-button').focus()")
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.getAttribute('role') ??"
                                  " document.activeElement.tagName"))  # fmt: skip
    assert {"slider", "INPUT", "BUTTON"} <= reached
    height = page.get_by_role("slider", name="table height", exact=True)
    height.focus()
    before = height.get_attribute("aria-valuetext")
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "([one, before]) => one.getAttribute('aria-valuetext') !== before",
        arg=[height.element_handle(), before],
    )


@pytest.mark.skipif(not AXE.is_file(), reason="TABLEKIT_AXE names no axe.min.js of axe-core")
@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("name", PAGES[:2])
def test_words_stand_out_in_either_theme(tablet, name, theme):
    page = tablet(name, WIDTHS[0], theme)
    page.add_script_tag(path=AXE)
    assert page.evaluate(CONTRAST) == []


# Pages with panels.
PANELS = (
    NOTEBOOK, "02-trade-offs.ipynb", "06-the-top-boards-movement-the-round-cut.ipynb",
    "07-does-it-stand.ipynb",
)  # fmt: skip
# Names of controls that lose their end, with the folds open in which some of them are.
UNFOLD = """() => { for (const head of document.querySelectorAll(".jupyter-widget-Collapse-header"))
  if (!head.parentElement.classList.contains("jupyter-widget-Collapse-open")) head.click(); }"""
CUT = """() => [...document.querySelectorAll(
    "button, .widget-label, .widget-label-basic, .jupyter-widget-Collapse-header")]
  .filter(one => one.getClientRects().length && one.textContent.trim()
    && one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX !== "visible")
  .map(one => `${one.textContent}: ${one.clientWidth} of ${one.scrollWidth} pixels`)"""
NAMES = '() => document.querySelectorAll("button, .widget-label, .widget-label-basic").length'


@pytest.mark.parametrize("notebook", PANELS)
def test_no_name_of_a_control_is_cut(browser, app, notebook):
    place = app_page(browser, app, notebook)
    place.page.evaluate(UNFOLD)
    assert place.page.evaluate(NAMES) > 12
    for width in (1440, 1024, 390):
        place.size(width)
        assert place.page.evaluate(CUT) == [], width
    place.page.evaluate("""() => { [...document.querySelectorAll(".jupyter-button")]
      .find(one => one.offsetWidth && one.textContent.trim())
      .style.cssText = "width: 20px; min-width: 0 !important" }""")
    assert len(place.page.evaluate(CUT)) == 1  # so that it would be found
    place.page.close()
