"""A page that cannot show the drawing as a control shows it as a picture, which follows all the
same."""

from __future__ import annotations

import re

import pytest

from tests.browser.chromium import needs_chromium
from tests.browser.places import NOTEBOOK, SHEET, SLOW, SettingOut

needs_chromium()
from playwright.sync_api import expect  # noqa: E402


@pytest.mark.slow
def test_where_a_front_end_lacks_the_script_a_picture_follows(browser, app):
    page = browser.new_context(viewport={"width": 1280, "height": 1000}).new_page()
    page.set_default_timeout(SLOW)
    page.route(re.compile("/anywidget/"), lambda route: route.abort())
    page.goto(app)
    page.goto(app.split("?")[0] + f"voila/render/{NOTEBOOK}")
    picture, panel = page.locator(".tablekit-still img").first, SettingOut(page)
    picture.wait_for(state="visible")
    expect(page.locator(SHEET)).to_have_count(0)
    expect(page.get_by_text("drag the arrow of one that is given. With")).to_be_hidden()
    assert picture.get_attribute("alt")
    before = picture.get_attribute("src") or ""
    panel.write("table height", "780 mm")
    expect(picture).not_to_have_attribute("src", before, timeout=20_000)
    assert panel.number("table height") == 780
    page.close()
