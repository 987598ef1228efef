"""What a class asks of one machine: sessions opened at once, how long each takes and what it holds.

    .venv/bin/python tests/benchmarks/class_of_thirty.py --sessions 30 --browsers 2

Starts `tablekit open --as-app` (needs the extra `class`), opens one notebook so many times at the
same moment, and waits until each page is usable: it is there with its panels, is connected to a
kernel of its own, and has been told by it what its controls show, as a browser asks for that. The
browsers themselves are the pupils' devices and take no part in it. A few more pages are opened
in a browser afterwards, and there a slider is moved. With `--bare` it is Voilà as it comes, with a
page of one sum: what any class of so many kernels costs before the kit does anything. On a busy
machine compare the seconds of processor time and the memory, not the time until a page is there.
Not part of the test run: it says as much of the machine as of the kit.
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
from dataclasses import dataclass
from pathlib import Path

import psutil
from tornado.httpclient import AsyncHTTPClient
from tornado.websocket import WebSocketClientConnection

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT)]

from tablekit.working_copy import free_port  # noqa: E402
from tests.browser.asking import answered, connected, shown  # noqa: E402
from tests.browser.chromium import CHROMIUM, browser_of, started  # noqa: E402
from tests.browser.places import SHEET  # noqa: E402
from tests.browser.served import QUICK, notebook  # noqa: E402

NOTEBOOK = "01-from-a-wish-to-a-set-out-table.ipynb"
PANEL, PANELS = b"application/vnd.jupyter.widget-view+json", 2
PATIENCE = 900  # seconds for a page
MB = 2**20


@contextmanager
def served(folder: Path) -> Iterator[tuple[psutil.Process, str]]:
    """The app, its process and the address of the notebook with the token."""
    command = [sys.executable, "-m", "tablekit", "open", "--as-app", "--no-browser"]
    # For the kernels: this source, not another.
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with started([*command, "--dir", str(folder)], environment) as (process, address):
        yield psutil.Process(process.pid), address.replace("/?", f"/voila/render/{NOTEBOOK}?")


@contextmanager
def bare(folder: Path) -> Iterator[tuple[psutil.Process, str]]:
    """Voilà as it comes with a page of one sum, its process and the address of the page."""
    folder.mkdir()
    (folder / QUICK).write_text(notebook(("code", "1 + 1")))
    port = free_port(0)
    address = f"http://localhost:{port}/voila/render/{QUICK}"
    told = f"print({address!r}, flush=True)\nimport sys, voila.app as app\nsys.exit(app.main())"
    options = [f"--Voila.root_dir={folder}", f"--port={port}", "--no-browser", "--Voila.token="]
    with started([sys.executable, "-c", told, *options], os.environ) as (process, address):
        yield psutil.Process(process.pid), address


@dataclass
class Opened:
    """A page that was asked for: seconds until it was there and until it was usable, the page, the
    bytes that told what its controls show, and its connection."""

    there: float
    usable: float
    page: bytes
    told: int
    connection: WebSocketClientConnection


async def opened(address: str, sessions: int, panels: int) -> list[Opened]:
    """The pages, asked for at once; those with panels have been told what these show."""
    client = AsyncHTTPClient(force_instance=True, max_clients=sessions)

    async def one() -> Opened:
        start = time.monotonic()
        page = await client.fetch(address, connect_timeout=PATIENCE, request_timeout=PATIENCE)
        there = time.monotonic() - start
        mine = "; ".join(one.split(";")[0] for one in page.headers.get_list("Set-Cookie"))
        connection = await connected(address, page.body.decode(), mine)
        told = (await shown(connection))[1] if panels else await known(connection)
        return Opened(there, time.monotonic() - start, page.body, told, connection)

    return list(await asyncio.gather(*(one() for _ in range(sessions))))


async def known(connection: WebSocketClientConnection) -> int:
    """Who the kernel is, of a page without panels; the bytes of the answer."""
    return (await answered(connection, "kernel_info_request", {}, "kernel_info_reply"))[1]


def words_of(page: bytes) -> str:
    """What a page says, for the case that something is missing in it."""
    text = re.sub(r"(?s)<(script|style).*?</\1>|<[^>]*>", " ", page.decode())
    return " ".join(text.split())


def held(server: psutil.Process) -> tuple[list[float], float]:
    """MB that each process alone holds, the server first; and what all of them hold together: the
    sum of their proportional sets, in which a page that several share counts once."""
    memory = [one.memory_full_info() for one in (server, *server.children(recursive=True))]
    return [one.uss / MB for one in memory], sum(one.pss for one in memory) / MB


def worked(server: psutil.Process) -> tuple[float, float]:
    """Seconds of processor time so far: of the server itself, and of all that it started, those
    that have ended counted in where they were waited for."""
    own = server.cpu_times()
    children = [child.cpu_times() for child in server.children(recursive=True)]
    ended = own.children_user + own.children_system
    return own.user + own.system, ended + sum(sum(times[:4]) for times in children)


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
            page.goto(address, timeout=PATIENCE * 1000)
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
    parser.add_argument("--bare", action="store_true", help="Voilà as it comes, an empty page")
    asked = parser.parse_args()
    cores, load = psutil.cpu_count(), psutil.getloadavg()[0]
    print(f"{cores} cores, load before {load:.1f}, {asked.sessions} sessions")
    with (
        tempfile.TemporaryDirectory() as folder,
        (bare if asked.bare else served)(Path(folder) / "copy") as (server, address),
    ):
        many_at_once(server, address, asked.sessions, 0 if asked.bare else PANELS)
        if asked.browsers and not asked.bare and CHROMIUM.is_file():
            found = in_browsers(address, asked.browsers)
            print(told("then in a browser: picture", [one[0] for one in found], "s"))
            print(told("a key on a slider to the next picture", [one[1] for one in found], "s"))


def many_at_once(server: psutil.Process, address: str, sessions: int, panels: int) -> None:
    """Open one page, then so many, and print what that took and what they hold."""
    asyncio.run(_many_at_once(server, address, sessions, panels))


async def _many_at_once(server: psutil.Process, address: str, sessions: int, panels: int) -> None:
    (alone,) = await opened(address, 1, panels)
    print(told("one session alone: usable", [alone.usable], "s"))
    before, start = worked(server), time.monotonic()
    pages = await opened(address, sessions, panels)
    took = time.monotonic() - start
    own, others = (after - then for after, then in zip(worked(server), before, strict=True))
    print(told(f"{sessions} at once: page", [one.there for one in pages], "s"))
    print(told(f"{sessions} at once: usable", [one.usable for one in pages], "s"))
    empty = [one.page for one in pages if one.page.count(PANEL) < panels]
    print(f"{'of them without panels':44} {len(empty):14}")
    print("".join(f"  one of these ended: {words_of(page)[-400:]}\n" for page in empty[:1]), end="")
    print(told("what one was told of its controls", [one.told / 1000 for one in pages], "KB"))
    print(f"{'all of them':44}        {took:7.2f} s")
    print(f"{'processor: the server':44}        {own:7.2f} s")
    print(f"{'processor: the kernels':44}        {others:7.2f} s")
    alone_held, together = held(server)
    print(told(f"{sessions + 1} kernels: held by one alone", alone_held[-sessions:], "MB"))
    print(f"{'all of them and the server':44} {together:14.0f} MB")
    for one in (alone, *pages):
        one.connection.close()


if __name__ == "__main__":
    main()
