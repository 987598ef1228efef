"""A browser for each module that looks through it, and one server of pages without code for all."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.browser.chromium import browser_of
from tests.browser.places import opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium, closed when the module is through: what drives it runs a loop in this process, in
    which a panel would take itself for one that a page shows."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = browser_of(playwright)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of the pages without code. Each context of the browser is another pupil there."""
    if importlib.util.find_spec("voila") is None:
        pytest.skip("Voilà is not installed; it comes with the extra class")
    with opened(tmp_path_factory.mktemp("app"), "--as-app") as address:
        yield address
