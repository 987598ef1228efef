"""Where a maker meets the panel: a notebook in JupyterLab, and the app; and the panel itself."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from tests.browser.chromium import started

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

ROOT = Path(__file__).parents[2]
NOTEBOOK = "01-from-a-wish-to-a-set-out-table.ipynb"
WIDTHS = {"desktop": 1280, "tablet": 820}
SLOW = 120_000  # milliseconds for a page with its panels, on a busy machine
STARTS = 2  # where many servers start at once a kernel may not come up
QUICK = 20_000  # for anything on it
# All that a step back can change: the switches, the buttons and what stands in the texts.
SHOWN = """() => [...document.querySelectorAll("button, input")]
    .map(control => [control.className, control.disabled, control.value].join()).join(";")"""
SHEET = "svg.tablekit-sheet"  # the drawing that is a control
DRAWN = f"""() => [...document.querySelector("{SHEET}").querySelectorAll("g[aria-hidden]")]
    .map(layer => layer.outerHTML).join()"""
PICTURE = f"img.widget-image, {SHEET}"
# Messages of the pages that the kit is shown on, not of the kit: JupyterLab looks for what was open
# last, and asks for a favicon.
NOT_OURS = re.compile(r"favicon|/api/contents/|/lab/api/|/voila/api/")
# JupyterLab's own debugger, which gives up where the kernel is too busy to answer it.
NOT_OURS_SAID = re.compile(r"Could not restore the debugger state: Canceled future")


@dataclass
class Place:
    """A page with the panels of one notebook, and what its console complained of."""

    name: str
    page: Page
    complaints: list[str] = field(default_factory=list)

    def listen(self) -> None:
        """Take down errors from now on."""

        def heard(message: object) -> None:
            text, where = message.text, message.location.get("url", "")  # type: ignore[attr-defined]
            ours = not NOT_OURS.search(where) and not NOT_OURS_SAID.match(text)
            if message.type == "error" and ours:  # type: ignore[attr-defined]
                self.complaints.append(f"{text} ({where})")

        self.page.on("console", heard)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    @property
    def panel(self) -> SettingOut:
        """The setting-out panel on it."""
        return SettingOut(self.page)

    def size(self, width: int) -> None:
        """As wide as some screen."""
        self.page.set_viewport_size({"width": width, "height": 1000})
        self.page.wait_for_timeout(300)


class SettingOut:
    """The controls of the setting-out panel, as a hand and an eye find them."""

    def __init__(self, page: Page):
        self.page = page
        self.picture = page.locator(SHEET).first
        # What is told of a dimension of the drawing, and where it is changed.
        holder = page.locator(".tablekit-holder").first
        self.scroll = holder.locator(".tablekit-scroll")
        self.tip, self.card = holder.locator(".tablekit-tip"), holder.locator(".tablekit-card")
        self.field, self.old_note = self.card.locator("input"), holder.get_by_text("last design")
        self.alert = page.locator(".widget-html [role=alert]")
        buttons = page.locator("button.widget-button")
        self.releases = buttons.filter(has_text=re.compile("^release"))
        self.undo = buttons.filter(has_text=re.compile("^undo$"))
        self.redo = buttons.filter(has_text=re.compile("^redo$"))
        # Out to the box that holds the rows, the switches above them and what lies below.
        self.whole = page.locator(
            "xpath=(//button[contains(@class,'widget-toggle-button')])[1]"
            "/ancestor::*[contains(@class,'widget-vbox')][last()]"
        )

    def switch(self, name: str) -> Locator:
        """Pressed: given; released: found."""
        exactly = re.compile(f"^{name}$")
        return self.page.locator("button.widget-toggle-button", has_text=exactly)

    def row(self, name: str) -> Locator:
        """All three controls of one quantity."""
        return self.switch(name).locator("xpath=..")

    def slider(self, name: str) -> Locator:
        """The handle of its slider."""
        return self.row(name).locator("[role=slider]")

    def is_given(self, name: str) -> None:
        """Wait until the kernel has taken it as given."""
        self.switch(name).locator(".fa-thumb-tack").wait_for(state="attached")

    def text(self, name: str) -> Locator:
        """Its text."""
        return self.row(name).locator("input")

    def number(self, name: str) -> float:
        """What stands in its text, less the unit."""
        text = self.text(name).input_value().replace("−", "-")
        return float(re.findall(r"-?[\d.]+", text)[0])

    def write(self, name: str, text: str) -> None:
        """Type a measure and press Enter."""
        self.text(name).fill(text)
        self.text(name).press("Enter")

    def drawn(self) -> str:
        """All that is drawn, to be compared: not what is told of its dimensions."""
        return str(self.page.evaluate(DRAWN))

    def size(self, name: str) -> Locator:
        """The dimension of the drawing that gives a quantity."""
        return self.picture.locator(f".tablekit-size[data-name={name}]")

    @staticmethod
    def middle(thing: Locator) -> tuple[float, float]:
        """Where its middle is on the screen."""
        box = thing.bounding_box()
        assert box is not None
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def next_picture(self, before: str) -> None:
        """Wait for another drawing than `before`."""
        self.page.wait_for_function(f"before => ({DRAWN})() !== before", arg=before)

    def untouched(self) -> None:
        """Take back all that was done, each step only once the last one has been answered."""
        self.undo.scroll_into_view_if_needed()
        while self.undo.is_enabled():
            before = self.page.evaluate(SHOWN)
            # Not by the mouse, which would wait for a button that the last step has just disabled.
            self.undo.evaluate("button => button.click()")
            # A click that is still on its way would undo what the next test does. A step may change
            # nothing that is shown, so that there is an end to waiting for it.
            for _ in range(20):
                self.page.wait_for_timeout(150)
                if self.page.evaluate(SHOWN) != before:
                    break
            self.page.wait_for_timeout(150)


@contextmanager
def opened(folder: Path, *options: str) -> Iterator[str]:
    """`tablekit open` on a copy in `folder`; gives its address."""
    command = [sys.executable, "-m", "tablekit", "open", "--no-browser", *options]
    own = {
        # So that neither the settings of whoever runs this nor what was open there last matters.
        f"JUPYTER{name}_DIR": str(folder / "jupyter" / name.strip("_").lower())
        for name in ("_CONFIG", "_DATA", "_RUNTIME", "LAB_SETTINGS", "LAB_WORKSPACES")
    }
    # All of a notebook at once: JupyterLab would leave out what is far from the view.
    settings = folder / "jupyter" / "lab_settings" / "@jupyterlab" / "notebook-extension"
    settings.mkdir(parents=True)
    (settings / "tracker.jupyterlab-settings").write_text(
        '{"windowingMode": "none", "autoStartDefaultKernel": true}'
    )
    environment = {**os.environ, **own, "IPYTHONDIR": str(folder / "ipython")}
    environment["PYTHONPATH"] = str(ROOT)
    with started([*command, "--dir", str(folder / "copy")], environment) as (_, address):
        yield address


@contextmanager
def in_lab(browser: Browser, folder: Path) -> Iterator[Place]:
    """The notebook in JupyterLab, every cell run. A start that came to nothing is reported, and
    tried once more on a new server."""
    from playwright.sync_api import TimeoutError

    for start in range(STARTS):
        with opened(folder / f"start-{start}") as address:
            place = _blank("lab", browser)
            try:
                _opened_and_run(place.page, address)
            except TimeoutError:
                print(f"JupyterLab did not show the panel; its page said: {_said(place.page)}")
                if start + 1 == STARTS:
                    raise
                place.page.close()
                continue
            yield place
            place.page.close()
            return


def _opened_and_run(page: Page, address: str) -> None:
    page.goto(re.sub(r"/lab/tree/[^?]*", f"/lab/tree/{NOTEBOOK}", address))
    page.locator(".jp-Notebook .jp-Cell").first.wait_for()
    page.locator(".jp-Notebook-ExecutionIndicator[data-status=idle]").first.wait_for()
    _run_all(page)
    _ready(page)
    # The files' column would take a third of a tablet.
    page.keyboard.press("Control+b")


def _said(page: Page) -> str:
    """How far its cells came, the state of its kernel, and its last output: why it stopped."""
    kernel = page.locator(".jp-Notebook-ExecutionIndicator").first.get_attribute("data-status")
    prompts = " ".join(page.locator(".jp-InputPrompt").all_inner_texts())
    outputs = page.locator(".jp-OutputArea-output").all_inner_texts()
    return f"kernel {kernel}; cells {prompts}; {outputs[-1][-500:] if outputs else 'no output'}"


def _run_all(page: Page) -> None:
    """Run every cell, again if need be: a kernel that only starts may let the first call fall."""
    running = page.locator(".jp-InputPrompt", has_text=re.compile(r"\[\*\]"))
    asked = page.locator("dialog.jp-Dialog")

    def accept() -> None:  # as on a busy machine, where the kernel is late: which one to take
        for _ in range(10):  # it may ask twice
            if not asked.count():
                return
            print("JupyterLab asks:", asked.first.inner_text())
            asked.first.locator(".jp-mod-accept").first.click()
            page.wait_for_timeout(1000)

    # Whenever it asks: it may only do so while a click is on its way.
    page.add_locator_handler(asked, accept)
    for _ in range(5):
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_text("Run All Cells", exact=True).click()
        page.wait_for_timeout(3000)
        if page.locator(PICTURE).count() or running.count():
            return


@contextmanager
def in_app(browser: Browser, folder: Path) -> Iterator[Place]:
    """The notebook as a page without code."""
    with opened(folder, "--as-app") as address:
        place = app_page(browser, address)
        yield place
        place.page.close()


def app_page(browser: Browser, address: str, notebook: str = NOTEBOOK) -> Place:
    """One more page of the app at `address`, with its panels."""
    place = _blank("app", browser)
    place.page.goto(address)
    place.page.goto(address.split("?")[0] + f"voila/render/{notebook}")
    _ready(place.page, "canvas" if notebook == NOTEBOOK else PICTURE)
    return place


def _ready(page: Page, last: str = "canvas") -> None:
    # JupyterLab shows what lies below only once one comes near it.
    picture = page.locator(PICTURE).first
    picture.wait_for(state="attached")
    picture.scroll_into_view_if_needed()
    page.locator(last).first.wait_for(state="attached")
    page.set_default_timeout(QUICK)


def _blank(name: str, browser: Browser) -> Place:
    size = {"width": WIDTHS["desktop"], "height": 1000}
    page = browser.new_context(viewport=size).new_page()  # type: ignore[arg-type]
    page.set_default_timeout(SLOW)
    place = Place(name, page)
    place.listen()
    return place
