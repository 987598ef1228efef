"""One browser for each module that looks through it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.browser.chromium import browser_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium, closed when the module is through."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = browser_of(playwright)
        yield browser
        browser.close()
