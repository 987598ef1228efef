"""A page that is closed ends its kernel: as a browser closes it."""

from __future__ import annotations

import importlib.util

import pytest

from tests.browser.chromium import needs_chromium
from tests.browser.served import QUICK, notebook, serving

needs_chromium()
if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)


SLIDER = "slider.ipynb"
PATIENCE = 60_000  # milliseconds


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("home")
    (folder / QUICK).write_text(notebook(("code", "print('no ' + 'widgets')")))
    (folder / SLIDER).write_text(
        notebook(("code", "import ipywidgets; ipywidgets.IntSlider(description='moves')"))
    )
    slow = notebook(("code", "1"), ("code", "import time; time.sleep(30)"), ("code", "2"))
    (folder / "slow.ipynb").write_text(slow)
    # All pages of one browser are one pupil's.
    log, each = tmp_path_factory.mktemp("log") / "log", ["--Kernels.each=6"]
    with serving(folder, log, most=6, options=each) as server:
        yield server


def shown(context, server, name: str):
    """A page that is there, by its list and its link, as a pupil finds it."""
    page = context.new_page()
    page.goto(server.address, timeout=PATIENCE)
    page.get_by_role("link", name=name.removesuffix(".ipynb")).click(timeout=PATIENCE)
    ready = page.locator(".noUi-handle") if name == SLIDER else page.get_by_text("no widgets")
    ready.first.wait_for(timeout=PATIENCE)
    page.wait_for_function("window.performance.timing.loadEventEnd > 0", timeout=PATIENCE)
    return page


@pytest.mark.parametrize("name", [SLIDER, pytest.param(QUICK, marks=pytest.mark.slow)])
def test_four_pages_closed_leave_no_kernel(server, browser, name):
    context = browser.new_context()
    pages = [shown(context, server, name) for _ in range(4)]
    assert server.comes_to(4)
    pages[0].close(run_before_unload=True)
    assert server.comes_to(3)
    pages[1].goto("about:blank")
    assert server.comes_to(2)
    pages[2].get_by_text("moves" if name == SLIDER else "no widgets").first.wait_for()
    pages[2].reload(timeout=PATIENCE)
    assert server.comes_to(2)
    for page in pages[2:]:
        page.close(run_before_unload=True)
    assert server.comes_to(0)
    log = server.log.read_text()
    assert "_xsrf" not in log and "Traceback" not in log
    context.close()


def test_a_page_closed_while_it_is_made_ready(server, browser):
    page = browser.new_page()
    page.goto(server.address, timeout=PATIENCE)
    page.get_by_role("link", name="slow").click(no_wait_after=True)
    assert server.comes_to(1)
    page.close()
    assert server.comes_to(0)


@pytest.mark.slow
def test_fifty_pages_closed_reloaded_left_and_given_up_leave_no_kernel(server, browser):
    """Three at a time, and each in one of four ways; nothing is left after ten seconds."""
    context = browser.new_context()
    for first in range(0, 50, 3):
        pages = []
        for number in range(first, min(first + 3, 50)):
            way = number % 4
            if way == 3:  # given up while it is made ready
                page = context.new_page()
                page.goto(server.address, timeout=PATIENCE)
                page.get_by_role("link", name="slow").click(no_wait_after=True)
                page.wait_for_timeout(300 + 37 * number)
                page.close()
                continue
            page = shown(context, server, (SLIDER, QUICK)[number % 2])
            if way == 1:
                page.reload(timeout=PATIENCE)
            pages.append((way, page))
        for way, page in pages:
            if way == 2:
                page.goto("about:blank")
            page.close(run_before_unload=way == 0)
    assert server.comes_to(0, within=10.0)
    assert "Traceback" not in server.log.read_text()
    context.close()
