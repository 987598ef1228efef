"""What a class asks of one machine: sessions opened at once, how long each takes and what it holds.

    .venv/bin/python tests/benchmarks/class_of_thirty.py --sessions 30 --browsers 2

Starts `tablekit open --as-app` (needs the extra `class`), opens one notebook so many times at the
same moment, and waits until each page is there with its panels. A session here is what a pupil
has: a kernel of its own that has run every cell. A few more are opened in a browser meanwhile, and
there a slider is moved. Not part of the test run: it says as much of the machine as of the kit.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
from tornado.httpclient import AsyncHTTPClient

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT)]

from tests.browser.chromium import CHROMIUM, browser_of, started  # noqa: E402
from tests.browser.places import SHEET  # noqa: E402

NOTEBOOK = "01-from-a-wish-to-a-set-out-table.ipynb"
PANEL, PANELS = b"application/vnd.jupyter.widget-view+json", 2
PATIENCE = 900  # seconds for a page
MB = 2**20


@contextmanager
def served(folder: Path) -> Iterator[tuple[psutil.Process, str]]:
    """The app, its process and its address with the token."""
    command = [
        sys.executable,
        "-m",
        "tablekit",
        "open",
        "--as-app",
        "--no-browser",
        "--dir",
        str(folder),
    ]
    # For the kernels: this source, not another.
    with started(command, {**os.environ, "PYTHONPATH": str(ROOT)}) as (process, address):
        yield psutil.Process(process.pid), address


async def opened(address: str, sessions: int) -> list[tuple[float, bytes]]:
    """Of each of the pages, asked for at once: seconds until it is there, and the page."""
    AsyncHTTPClient.configure(None, max_clients=sessions)
    client = AsyncHTTPClient()

    async def one() -> tuple[float, bytes]:
        start = time.monotonic()
        page = await client.fetch(page_of(address), request_timeout=PATIENCE)
        return time.monotonic() - start, page.body

    return list(await asyncio.gather(*(one() for _ in range(sessions))))


def words_of(page: bytes) -> str:
    """What a page says, for the case that something is missing in it."""
    text = re.sub(r"(?s)<(script|style).*?</\1>|<[^>]*>", " ", page.decode())
    return " ".join(text.split())


def page_of(address: str) -> str:
    """The page of the notebook, with the token."""
    return address.replace("/?", f"/voila/render/{NOTEBOOK}?")


def held(server: psutil.Process) -> tuple[float, list[tuple[float, float]]]:
    """MB that the server holds, and of each kernel what it alone holds and its whole resident
    set, part of which it shares with the others."""
    kernels = []
    for child in server.children(recursive=True):
        if "ipykernel_launcher" in " ".join(child.cmdline()):
            memory = child.memory_full_info()
            kernels.append((memory.uss / MB, memory.rss / MB))
    return server.memory_full_info().uss / MB, kernels


def in_browsers(address: str, browsers: int) -> list[tuple[float, float]]:
    """Of each page opened in turn in a browser: seconds to its picture, and from a key pressed on
    a slider to the next picture."""
    from playwright.sync_api import sync_playwright

    times = []
    with sync_playwright() as playwright:
        browser = browser_of(playwright)
        for _ in range(browsers):
            page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
            start = time.monotonic()
            page.goto(page_of(address), timeout=PATIENCE * 1000)
            picture = page.locator(SHEET).first
            picture.wait_for(timeout=PATIENCE * 1000)
            there = time.monotonic() - start
            before = picture.inner_html()
            page.get_by_role("slider").first.press("ArrowRight")
            start = time.monotonic()
            page.wait_for_function(
                f"before => document.querySelector('{SHEET}').innerHTML !== before", arg=before
            )
            times.append((there, time.monotonic() - start))
        browser.close()
    return times


def told(what: str, numbers: list[float], unit: str) -> str:
    """One line: the middle and the worst."""
    return f"{what:44} median {statistics.median(numbers):7.2f}   worst {max(numbers):7.2f} {unit}"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sessions", type=int, default=30)
    parser.add_argument("--browsers", type=int, default=2, help="0 where there is no Chromium")
    asked = parser.parse_args()
    cores = psutil.cpu_count()
    print(f"{cores} cores, load before {psutil.getloadavg()[0]:.1f}, {asked.sessions} sessions")
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder) / "copy") as (server, address),
    ):
        alone = asyncio.run(opened(address, 1))
        print(told("one session alone: page", [one[0] for one in alone], "s"))
        start = time.monotonic()
        times = asyncio.run(opened(address, asked.sessions))
        print(told(f"{asked.sessions} at once: page", [one[0] for one in times], "s"))
        bare = [page for _, page in times if page.count(PANEL) < PANELS]
        print(f"{'of them without panels':44} {len(bare):14}")
        print(
            "".join(f"  one of these ended: {words_of(page)[-400:]}\n" for page in bare[:1]), end=""
        )
        print(f"{'all of them':44}        {time.monotonic() - start:7.2f} s")
        own, kernels = held(server)
        print(told(f"{len(kernels)} kernels: held by one alone", [k[0] for k in kernels], "MB"))
        print(told("resident, with what they share", [k[1] for k in kernels], "MB"))
        print(f"{'all kernels and the server':44} {sum(k[0] for k in kernels) + own:14.0f} MB")
        if asked.browsers and CHROMIUM.is_file():
            found = in_browsers(address, asked.browsers)
            print(told("then in a browser: picture", [one[0] for one in found], "s"))
            print(told("a key on a slider to the next picture", [one[1] for one in found], "s"))


if __name__ == "__main__":
    main()
