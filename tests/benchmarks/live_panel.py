"""How fast and how small a step of the setting-out panel is, against a bare slider.

    .venv/bin/python tests/benchmarks/live_panel.py --steps 40

Starts `tablekit open --as-app` (needs the extra `class`) with two notebooks: the first of the kit,
and one with a slider of ipywidgets that moves a label. In each an arrow key is pressed so many
times. Told are the time from the key to the change on the page; the bytes that come over the web
socket for it, which is what each step of a drag costs; those with what follows once the hand rests;
the ratios; and the time that a kernel works for a frame, in this process. Not part of the test run:
times say as much of the machine as of the kit.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT)]

from tablekit.brief import read_brief  # noqa: E402
from tablekit.panels.frames import MOMENT  # noqa: E402
from tablekit.panels.set_out import SetOutPanel  # noqa: E402
from tests.browser.chromium import browser_of  # noqa: E402
from tests.browser.places import NOTEBOOK, SHEET, SLOW, opened  # noqa: E402
from tests.browser.served import notebook  # noqa: E402

if TYPE_CHECKING:
    from playwright.sync_api import Page

BARE = "bare-slider.ipynb"
SOURCE = """import ipywidgets as widgets
slider, label = widgets.FloatSlider(min=0, max=1000, step=0.5, value=500), widgets.Label("500.0")
label.add_class("told")
slider.observe(lambda change: setattr(label, "value", str(change["new"])), "value")
widgets.HBox([slider, label])"""
QUIET = 1.5  # seconds: all that follows has come
# Counts what comes over the web sockets of the page.
COUNT = """window.came = 0;
window.WebSocket = class extends WebSocket {
  constructor(...all) {
    super(...all);
    const size = (data) => data.byteLength ?? data.size ?? data.length;
    this.addEventListener("message", ({data}) => { came += size(data); });
  }
};"""
# Waits for the first change within an element after a key, painted, and for what came with it:
# milliseconds and bytes. The key is pressed by the script itself, so that nothing between it and
# the browser counts. What waits for a pause of the hand comes later than `after`.
PRESS = """([handle, changed, after]) => new Promise(done => {
  const start = performance.now();
  window.came = 0;
  const watch = new MutationObserver(() => {
    watch.disconnect();
    requestAnimationFrame(() => setTimeout(() => {
      const time = performance.now() - start;
      setTimeout(() => done([time, window.came]), after);
    }));
  });
  const seen = document.querySelector(changed);
  watch.observe(seen, {subtree: true, childList: true, characterData: true, attributes: true});
  document.querySelector(handle).dispatchEvent(
    new KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}));
})"""
AFTER = 0.6 * 1000 * MOMENT


@dataclass
class Steps:
    """Of each step: milliseconds from the key to the change, bytes that came for it, and those
    with what came once the hand rested."""

    times: list[float]
    bytes: list[float]
    rested: list[float]

    @property
    def time(self) -> float:
        """The median, ms."""
        return statistics.median(self.times)

    @property
    def size(self) -> float:
        """The median of the bytes of a step, KB."""
        return statistics.median(self.bytes) / 1000

    def text(self) -> str:
        """One line of the report."""
        slowest = sorted(self.times)[int(0.95 * len(self.times))]
        rested = statistics.median(self.rested) / 1000
        return (
            f"key to change {self.time:5.0f} ms, 95th {slowest:5.0f} ms; "
            f"{self.size:5.1f} KB a step, {rested:5.1f} KB with what follows at rest"
        )


def steps(page: Page, address: str, name: str, changed: str, count: int) -> Steps:
    """The steps of the first slider of a notebook; `changed` is what shows them."""
    page.add_init_script(COUNT)
    page.goto(address, timeout=SLOW)
    page.goto(address.split("?")[0] + f"voila/render/{name}", timeout=SLOW)
    page.locator(changed).first.wait_for(timeout=SLOW)
    page.wait_for_timeout(4000)
    found = Steps([], [], [])
    for _ in range(count):
        taken, size = page.evaluate(PRESS, [".noUi-handle", changed, AFTER])
        page.wait_for_timeout(1000 * QUIET)
        found.times.append(taken)
        found.bytes.append(size)
        found.rested.append(page.evaluate("window.came"))
    return found


def kernel_time(count: int) -> float:
    """Seconds that a process works for a frame of a drag, without the page."""
    panel = SetOutPanel(read_brief(ROOT / "notebooks" / "briefs" / "reading-room-table.toml"))
    panel.picture.control.room = 760
    panel._moment.later = panel._rest.later = lambda: None  # type: ignore[method-assign]
    least = float("inf")
    for _ in range(5):
        start = time.process_time()
        for k in range(count):
            panel.state = panel.state.with_given("table_height", 700.0 + k % 60)
            panel.frames.now()
        least = min(least, (time.process_time() - start) / count)
    return least


def main() -> None:
    """Measure and print."""
    from playwright.sync_api import sync_playwright

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--steps", type=int, default=40)
    count = parser.parse_args().steps
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        (Path(folder) / "copy").mkdir()
        (Path(folder) / "copy" / BARE).write_text(notebook(("code", SOURCE)))
        browser = browser_of(playwright)
        with opened(Path(folder), "--as-app") as address:
            found = []
            for name, changed in ((BARE, ".told"), (NOTEBOOK, f"{SHEET} > g:nth-of-type(2)")):
                page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
                found.append(steps(page, address, name, changed, count))
                page.close()
        browser.close()
    bare, panel = found
    for what, one in (("bare slider and label", bare), ("setting-out panel", panel)):
        print(f"{what:24} {one.text()}")
    ratios = panel.time / bare.time, panel.size / bare.size
    print(f"{'panel / bare':24} time {ratios[0]:.1f}, bytes {ratios[1]:.1f}")
    print(f"{'kernel':24} {1000 * kernel_time(60):.1f} ms of work a frame")


if __name__ == "__main__":
    main()
