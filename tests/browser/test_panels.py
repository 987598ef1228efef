"""The panels in a real browser: in JupyterLab and in the app, by mouse and by keyboard.

One module, so that one worker has it all: one browser, and one server at a time.
"""

from __future__ import annotations

import importlib.util
import json
import re
import time
from base64 import b64decode
from itertools import pairwise

import pytest

from tests.browser.chromium import needs_chromium
from tests.browser.places import WIDTHS, Place, SettingOut, app_page, in_app, in_lab, opened

needs_chromium()

from playwright.sync_api import expect  # noqa: E402

expect.set_options(timeout=20_000)
PHONE = 390  # px across
MAP = "02-trade-offs.ipynb"
PLACES = {"lab": in_lab, "app": in_app}
MILLIMETRES_IN_AN_INCH = 25.4  # exactly: international inch, ISO 80000-3
HALF_MARK = 0.25 + 1e-9  # a rule is marked in half millimetres


# The panels are the same in both; in the app an ordinary run looks only at what opens and closes.
@pytest.fixture(scope="module", params=["lab", pytest.param("app", marks=pytest.mark.slow)])
def place(request, browser, tmp_path_factory) -> Place:
    if request.param == "app" and importlib.util.find_spec("voila") is None:
        pytest.skip("Voilà is not installed; it comes with the extra class")
    with PLACES[request.param](browser, tmp_path_factory.mktemp("place")) as place:
        yield place


@pytest.fixture
def panel(place) -> SettingOut:
    place.size(WIDTHS["desktop"])
    place.panel.untouched()
    return place.panel


def test_the_notebook_has_run_without_an_error(place):
    expect(place.page.locator("[data-mime-type='application/vnd.jupyter.stderr']")).to_have_count(0)
    assert "Traceback" not in place.page.locator("body").inner_text()


def test_arrow_keys_move_a_slider_and_the_picture_follows(panel, record_property):
    height, before = panel.number("table height"), panel.drawn()
    slider = panel.slider("table height")
    slider.focus()
    start = time.perf_counter()
    slider.press("ArrowRight")
    panel.next_picture(before)
    # For the report alone: how long it takes says more of the machine than of the kit.
    record_property("key to picture, ms", round(1000 * (time.perf_counter() - start)))
    assert panel.number("table height") > height
    after = panel.drawn()
    slider.press("ArrowLeft")
    panel.next_picture(after)
    assert panel.number("table height") == height


def test_a_step_is_one_message_from_the_page(panel):
    """A slider that is told a size does not tell it back, off by its last bits."""
    session, sent = panel.page.context.new_cdp_session(panel.page), []
    session.send("Network.enable")
    session.on("Network.webSocketFrameSent", lambda event: sent.append(told_to_kernel(event)))
    before = panel.drawn()
    panel.slider("table height").focus()
    panel.slider("table height").press("ArrowRight")
    panel.next_picture(before)
    panel.page.wait_for_timeout(400)
    session.detach()
    told = [text for text in sent if '"update"' in text]
    assert len(told) == 1 and '"value"' in told[0]


def told_to_kernel(event: dict) -> str:
    """What a page sends, as text: it may come as bytes."""
    frame = event["response"]
    if frame["opcode"] == 1:
        return frame["payloadData"]
    return b64decode(frame["payloadData"]).decode(errors="replace")


def test_the_mouse_drags_a_slider(panel):
    before = {name: panel.number(name) for name in ("top diameter", "overhang")}
    box = panel.slider("top diameter").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    mouse = panel.page.mouse
    mouse.move(x, y)
    mouse.down()
    for step in range(1, 9):
        mouse.move(x + 3 * step, y)
    mouse.up()
    expect(panel.text("top diameter")).not_to_have_value(
        re.compile(f"^{before['top diameter']:g} ")
    )
    panel.page.wait_for_timeout(600)  # the last frame of the drag
    wider = panel.number("top diameter") - before["top diameter"]
    assert wider > 0
    # The base stays as it is, so the rim goes out by half of it; each is read to its own mark.
    assert abs(panel.number("overhang") - before["overhang"] - wider / 2) <= 3 * HALF_MARK
    expect(panel.undo).to_be_enabled()


def test_a_measure_typed_in_inches(panel):
    before = panel.drawn()
    panel.write("table height", "29 in")
    panel.next_picture(before)
    assert abs(panel.number("table height") - 29 * MILLIMETRES_IN_AN_INCH) <= HALF_MARK
    panel.write("table height", "tall")
    expect(panel.alert).to_contain_text("tall")


def test_from_given_to_found_and_another_the_other_way(panel):
    panel.switch("top diameter").click()
    expect(panel.row("top diameter").locator(".tablekit-calculated")).to_have_count(1)
    expect(panel.switch("top diameter")).not_to_have_class(re.compile("mod-active"))
    panel.switch("overhang").click()
    panel.is_given("overhang")
    before = panel.drawn()
    diameter, overhang = panel.number("top diameter"), panel.number("overhang")
    panel.write("overhang", f"{overhang + 20} mm")
    panel.next_picture(before)
    # A rim goes out by as much on both sides.
    assert abs(panel.number("top diameter") - diameter - 2 * 20) <= 3 * HALF_MARK


# -- the drawing ---------------------------------------------------------------------------------


def test_a_dimension_tells_what_it_is(panel):
    height = panel.size("table_height")
    expect(height).to_have_attribute("aria-label", re.compile("^table height, .*, given$"))
    expect(height).to_have_attribute("role", "slider")
    expect(panel.size("foot_radius")).to_have_attribute("role", "button")
    panel.picture.scroll_into_view_if_needed()
    height.locator(".tablekit-box").hover()
    expect(panel.tip).to_be_visible()
    expect(panel.tip).to_contain_text("floor to the upper face of the top")
    panel.page.mouse.move(0, 0)
    expect(panel.tip).to_be_hidden()


def test_a_size_is_typed_into_the_drawing_and_released_there(panel):
    panel.size("table_height").locator(".tablekit-box").click()
    expect(panel.field).to_be_focused()
    panel.field.fill("29 in")
    panel.field.press("Enter")
    expect(panel.text("table height")).to_have_value("736.5 mm")  # 736.6, to the half millimetre
    expect(panel.card).to_be_hidden()  # its work is done
    expect(panel.size("table_height")).to_be_focused()
    panel.page.keyboard.press("Enter")
    panel.field.fill("tall")
    panel.field.press("Enter")
    expect(panel.card.get_by_role("alert")).to_contain_text("tall")
    panel.size("splay").press("Enter")  # nothing is amiss with that
    expect(panel.card.get_by_role("alert")).to_have_count(0)
    panel.field.press("Escape")
    panel.size("table_height").press("Enter")
    panel.field.press("Escape")
    expect(panel.card).to_be_hidden()
    expect(panel.size("table_height")).to_be_focused()


def test_the_keys_do_all_that_a_hand_does_in_the_drawing(panel):
    panel.size("splay").focus()
    panel.page.keyboard.press("Enter")
    expect(panel.card).to_be_visible()
    panel.card.get_by_role("button", name="Fix this value").click()
    expect(panel.size("splay")).to_have_attribute("data-origin", "given")
    expect(panel.switch("splay")).to_have_class(re.compile("mod-active"))
    panel.page.keyboard.press("Escape")
    lean = panel.number("splay")
    panel.page.keyboard.press("ArrowUp")
    expect(panel.text("splay")).not_to_have_value(re.compile(f"^{lean:g}"))
    assert panel.number("splay") == pytest.approx(lean + 0.1, abs=0.011)  # a tenth of a degree
    panel.page.keyboard.press("Enter")
    panel.card.get_by_role("button", name="Calculate it instead").click()
    expect(panel.size("splay")).not_to_have_attribute("data-origin", "given")
    panel.page.keyboard.press("Escape")


def test_an_arrow_is_dragged_and_the_rest_follows(panel):
    panel.picture.scroll_into_view_if_needed()
    before = {name: panel.number(name) for name in ("top diameter", "overhang")}
    one, other = (panel.middle(grip) for grip in panel.size("top_diameter").locator("circle").all())
    panel.page.mouse.move(*other)
    panel.page.mouse.down()
    for step in range(1, 9):
        panel.page.mouse.move(other[0] + step, other[1])
    panel.page.mouse.up()
    panel.page.wait_for_timeout(600)  # the last frame of the drag
    wider = panel.number("top diameter") - before["top diameter"]
    # Both ends go out by as much as the hand went: 8 pixels of as many as the top had across.
    share = 2 * 8 / (other[0] - one[0])
    assert wider == pytest.approx(share * before["top diameter"], rel=0.05)
    assert abs(panel.number("overhang") - before["overhang"] - wider / 2) <= 3 * HALF_MARK
    expect(panel.undo).to_be_enabled()


def test_what_is_calculated_is_not_dragged(panel):
    panel.picture.scroll_into_view_if_needed()
    before = panel.text("overhang").input_value()
    x, y = panel.middle(panel.size("foot_radius").locator("circle").first)
    panel.page.mouse.move(x, y)
    panel.page.mouse.down()
    panel.page.mouse.move(x + 40, y + 40, steps=4)
    panel.page.mouse.up()
    expect(panel.card).to_be_visible()  # in which it can be given
    panel.page.keyboard.press("Escape")
    assert panel.text("overhang").input_value() == before
    expect(panel.undo).to_be_disabled()


@pytest.mark.parametrize("width", [1440, 1024, PHONE])
def test_the_drawing_keeps_its_proportions_beside_an_alert(place, panel, width):
    place.size(width)
    place.page.wait_for_timeout(1500)  # drawn anew for this width
    quiet = panel.picture.bounding_box()
    panel.switch("post length").click()
    panel.is_given("post length")
    panel.write("post length", "600 mm")
    expect(panel.alert.first).to_be_visible()
    box = panel.picture.bounding_box()
    assert box == {**quiet, "x": box["x"], "y": box["y"]}
    wide, high = (float(part) for part in panel.picture.get_attribute("viewBox").split()[2:])
    assert box["width"] / box["height"] == pytest.approx(wide / high, rel=0.01)
    expect(panel.old_note).to_be_visible()
    panel.undo.click()
    panel.undo.click()
    expect(panel.alert).to_have_count(0)
    expect(panel.old_note).to_be_hidden()


@pytest.mark.parametrize("width", [1440, 1024, PHONE])
def test_no_letter_is_under_eleven_pixels(place, panel, width):
    place.size(width)
    place.page.wait_for_timeout(1500)
    sizes = panel.picture.evaluate(LETTERS)
    assert len(sizes) > 15 and min(sizes) >= 11
    assert panel.old_note.is_hidden()


# The height of each text of a drawing, in pixels of the page.
LETTERS = """sheet => [...sheet.querySelectorAll("text")]
  .filter(text => text.getAttribute("display") !== "none")
  .map(text => text.getAttribute("font-size") * sheet.getScreenCTM().a)"""

# How far below the upper edge of its cell each part of the panel ends that changes with a slider,
# pixels; and how much of a notebook is seen at once.
ONE_SCREEN = """() => {
  const desk = document.querySelector(".tablekit-desk"), seen = document.querySelector(
    ".jp-WindowedPanel-outer")?.clientHeight ?? innerHeight;
  const cell = desk.closest(".jp-OutputArea-output");
  cell.scrollIntoView();
  const parts = ["controls", "beside", "main", "checks"].map(name => {
    const box = desk.querySelector(".tablekit-" + name).getBoundingClientRect();
    return [name, box.height > 20 ? box.bottom - cell.getBoundingClientRect().top : NaN]; });
  return [Object.fromEntries(parts), seen]; }"""


def test_a_contradiction_is_told_and_let_go_of_by_its_button(panel):
    expect(panel.alert).to_have_count(0)
    panel.write("post length", "600 mm")  # typed over what was calculated
    # Posts of 600 mm cannot carry a top 735 mm high, and still cross.
    expect(panel.alert).to_be_visible()
    expect(panel.releases.filter(has_text="table height")).to_be_visible()
    panel.releases.filter(has_text="table height").click()
    expect(panel.alert).to_have_count(0)
    expect(panel.releases).to_have_count(0)
    assert panel.number("post length") == 600
    assert panel.number("table height") < 600


def test_undo_and_redo(panel):
    height = panel.number("table height")
    expect(panel.undo).to_be_disabled()
    panel.write("table height", "720 mm")
    expect(panel.undo).to_be_enabled()
    assert panel.number("table height") == 720
    panel.undo.click()
    expect(panel.redo).to_be_enabled()
    assert panel.number("table height") == height
    panel.redo.click()
    expect(panel.undo).to_be_enabled()
    assert panel.number("table height") == 720


def test_the_solids_turn_under_the_mouse(place, panel):
    canvas = place.page.locator("canvas").first
    canvas.scroll_into_view_if_needed()
    place.page.wait_for_timeout(1000)
    still = canvas.screenshot()
    place.page.wait_for_timeout(500)
    assert canvas.screenshot() == still, "it moves by itself, so a drag would prove nothing"
    box = canvas.bounding_box()
    x, y = box["x"] + box["width"] / 3, box["y"] + box["height"] / 2
    place.page.mouse.move(x, y)
    place.page.mouse.down()
    place.page.mouse.move(x + 120, y + 30, steps=6)
    place.page.mouse.up()
    place.page.wait_for_timeout(1000)
    assert canvas.screenshot() != still


def test_tab_reaches_every_control_and_shows_where_it_is(place, panel):
    controls = panel.whole.locator(
        "button:enabled, input:enabled:visible, select:enabled, [role=slider]"
    )
    wanted = [one for one in controls.element_handles() if one.is_visible()]
    assert len(wanted) > 12
    for number, one in enumerate(wanted):
        one.evaluate("(one, number) => one.dataset.asked = number", number)
    place.page.evaluate(REST)
    wanted[0].focus()
    reached, unseen = [], []
    for _ in range(4 * len(wanted)):
        at, seen = place.page.evaluate(FOCUSED)
        if at is None and reached and len(set(reached)) == len(wanted):
            break
        if at is not None:
            reached.append(int(at))
            unseen += (
                []
                if seen
                else [place.page.evaluate("document.activeElement.outerHTML.slice(0, 160)")]
            )
        place.page.keyboard.press("Tab")
    missed = [wanted[k].evaluate("e => e.outerHTML.slice(0, 200)")
              for k in range(len(wanted)) if k not in reached]  # fmt: skip
    missed = [html for html in missed if 'aria-disabled="true"' not in html]
    assert missed == []
    first_time = list(dict.fromkeys(reached))
    assert first_time == sorted(first_time), "the order of Tab is not that of the page"
    assert unseen == []


# How each control looks while nothing has the focus, to be compared with how it looks with it.
LOOK = """one => { const s = getComputedStyle(one);
  return [s.outlineStyle, s.outlineWidth, s.outlineColor, s.boxShadow, s.borderColor,
          s.backgroundColor].join() }"""
REST = f"""() => {{ document.activeElement.blur(); const look = {LOOK};
  for (const one of document.querySelectorAll('[data-asked]')) one.dataset.look = look(one) }}"""
FOCUSED = f"""() => {{ const one = document.activeElement, look = {LOOK};
  return [one?.dataset?.asked ?? null, look(one) !== one?.dataset?.look] }}"""


def test_a_packet_is_written_and_can_be_fetched(place, panel):
    page = place.page
    page.get_by_text("Save, load, shop packet", exact=True).click()
    page.get_by_role("button", name="write the shop packet").click()
    said = page.locator(".widget-html", has_text=re.compile("files written to"))
    expect(said.first).to_be_visible(timeout=120_000)
    if place.name == "lab":  # the app hands out no files: a teacher collects them from the folder
        name = page.get_by_label("packet").last.input_value()
        base = page.url.split("/lab/")[0]
        config = page.locator("#jupyter-config-data").text_content()
        token = {"token": json.loads(config or "{}")["token"]}
        fetched = page.context.request.get(f"{base}/files/{name}/packet.html", params=token)
        assert fetched.ok and fetched.text().startswith("<!doctype html>")
    page.get_by_text("Save, load, shop packet", exact=True).click()


# Whether all that is in a box is seen.
WHOLE = "box => box.scrollWidth <= box.clientWidth && box.scrollHeight <= box.clientHeight"


def test_on_a_phone_it_is_one_column_and_no_value_is_cut(place, panel):
    place.size(PHONE)
    panel.switch("table height").scroll_into_view_if_needed()
    room = panel.whole.bounding_box()
    assert room["x"] >= 0 and room["x"] + room["width"] <= PHONE
    for name in ("table height", "top diameter", "post section", "post length", "overhang"):
        boxes = [
            part.bounding_box()
            for part in (panel.switch(name), panel.row(name).locator(".slider"), panel.text(name))
        ]
        ends = [(box["x"], box["x"] + box["width"]) for box in boxes]
        assert room["x"] <= ends[0][0] and ends[2][1] <= room["x"] + room["width"]
        assert all(
            one[1] <= after[0] for one, after in pairwise(ends)
        )  # in a row, none over another
        assert boxes[1]["width"] >= 40  # room to slide in
        assert panel.switch(name).evaluate(WHOLE) and panel.row(name).evaluate(WHOLE)
        assert panel.text(name).evaluate("box => box.scrollWidth <= box.clientWidth")
    # JupyterLab leaves a phone a column of 270 pixels, in which the drawing is scrolled rather than
    # its letters made too small to read; in the app all of it is seen.
    whole = panel.picture if place.name == "app" else panel.scroll
    shown, below = whole.bounding_box(), panel.undo.bounding_box()
    assert shown["y"] >= below["y"] + below["height"]
    assert shown["x"] >= 0 and shown["x"] + shown["width"] <= PHONE


@pytest.mark.parametrize("width", WIDTHS.values(), ids=WIDTHS)
def test_all_is_there_and_nothing_lies_over_another(place, panel, width):
    place.size(width)
    panel.picture.scroll_into_view_if_needed()
    shown = panel.picture.bounding_box()
    assert shown["width"] > 350
    assert shown["x"] >= 0 and shown["x"] + shown["width"] <= width
    boxes = {"picture": shown}
    for name in ("table height", "top diameter", "post section", "post length", "splay"):
        for part in (panel.switch(name), panel.row(name).locator(".slider"), panel.text(name)):
            box = part.bounding_box()
            assert box["x"] >= 0 and box["x"] + box["width"] <= width
            boxes[f"{name} {len(boxes)}"] = box
    overlaps = [
        (one, other)
        for one in boxes for other in boxes
        if one < other and _overlap(boxes[one], boxes[other])
    ]  # fmt: skip
    assert overlaps == []


def _overlap(one: dict[str, float], other: dict[str, float]) -> bool:
    return all(
        one[at] + one[size] > other[at] + 0.5 and other[at] + other[size] > one[at] + 0.5
        for at, size in (("x", "width"), ("y", "height"))
    )


@pytest.mark.parametrize("bar", ["", "with the files beside it"])
def test_what_changes_with_a_slider_is_one_screen(place, panel, bar):
    """Controls, drawing, main sizes and checks."""
    place.page.set_viewport_size({"width": 1280, "height": 720})
    if bar and place.name == "lab":
        place.page.keyboard.press("Control+b")  # as JupyterLab opens
    place.page.wait_for_timeout(1500)  # drawn anew for this width
    ends, seen = place.page.evaluate(ONE_SCREEN)
    if bar and place.name == "lab":
        place.page.keyboard.press("Control+b")
    assert all(end <= seen for end in ends.values()), (ends, seen)


@pytest.mark.slow
def test_the_point_of_the_map_follows_the_hand_and_the_keys(browser, tmp_path):
    with opened(tmp_path, "--as-app") as address:
        place = app_page(browser, address, MAP)
        point = place.page.locator(".tablekit-point")
        texts = place.page.locator("input[type=text]:not([list])")
        before = point.get_attribute("transform")
        point.focus()
        point.press("ArrowLeft")
        expect(point).not_to_have_attribute("transform", before)
        said = point.get_attribute("aria-valuetext")
        assert said.startswith(f"splay {texts.first.input_value()}, top diameter ")
        # Two centimetres to the left is less splay; what the slider's row shows came with it.
        box = point.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        place.page.mouse.move(x, y)
        place.page.mouse.down()
        place.page.mouse.move(x - 80, y, steps=8)
        place.page.mouse.up()
        expect(point).not_to_have_attribute("aria-valuetext", said)
        place.page.wait_for_timeout(1000)
        lean = float(point.get_attribute("aria-valuenow"))
        assert texts.first.input_value() == f"{lean:g}°"
        assert lean < float(said.split("°")[0].split()[1])
        expect(place.page.locator(".tablekit-tip").first).to_contain_text("tipping load")
        place.page.get_by_role("button", name="pin this map").click()
        axis = place.page.locator("input[list]").first
        axis.fill("total mass")
        axis.press("Enter")
        expect(point.first).to_have_attribute("aria-label", re.compile("total mass left and right"))
        expect(point.nth(1)).to_have_attribute("aria-label", re.compile("^splay "))  # as pinned
        expect(point.nth(1)).to_have_attribute("role", "img")
        assert place.complaints == []
        place.page.close()


def test_nothing_was_complained_of(place):
    # The last of this place: what the console heard during all of the above.
    assert place.complaints == []
