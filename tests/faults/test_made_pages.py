"""Pages that are run once for all pupils: each pupil's is their own all the same, and what is not
alike for all is run for each."""

from __future__ import annotations

import asyncio
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psutil
import pytest

from tablekit.forked_kernels import POSSIBLE
from tablekit.made_pages import alike_for_all, code_of, has_these
from tablekit.shipped import notebooks_path
from tests.browser.asking import changed, connected, kernel_of, shown
from tests.browser.chromium import ROOT_FOLDER
from tests.browser.served import Served, notebook, serving
from tests.together import each

if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)
if not POSSIBLE:
    pytest.skip("kernels are forked on Linux alone", allow_module_level=True)

SHIPPED = sorted(notebooks_path().glob("*.ipynb"))
FIRST, SET = SHIPPED[1].name, "10-exercises-for-a-class.ipynb"
BRIEF = "briefs/reading-room-table.toml"
PAGE = "/voila/render/"


# --- What is run once -----------------------------------------------------------------------------


def test_only_the_code_of_a_page_of_the_kit_is_taken_to_be_alike_for_all(tmp_path):
    text = SHIPPED[1].read_text(encoding="utf-8")
    assert all(alike_for_all(code_of(page)) for page in SHIPPED) and len(SHIPPED) >= 15
    retold, changed_code, broken = (tmp_path / f"{name}.ipynb" for name in "abc")
    retold.write_text(text.replace("A reading room wants", "Our school wants"), encoding="utf-8")
    assert retold.read_text() != text and alike_for_all(code_of(retold))
    changed_code.write_text(text.replace("base = 735 - 32 - 3", "base = 735 - 32 - 4"))
    assert changed_code.read_text() != text and not alike_for_all(code_of(changed_code))
    broken.write_text("[" * 100_000)
    for none in (broken, tmp_path / "missing.ipynb"):
        assert code_of(none) == () and not alike_for_all(code_of(none))


def test_a_folder_has_the_briefs_that_the_cells_read_or_not(tmp_path):
    (tmp_path / "briefs").mkdir()
    read = {"a.toml": b"a", "b.toml": b"b"}
    for name in read:
        assert not has_these(tmp_path, read)
        (tmp_path / "briefs" / name).write_bytes(read[name])
    (tmp_path / "briefs" / "own.toml").write_bytes(b"more")
    assert has_these(tmp_path, read)
    (tmp_path / "briefs" / "a.toml").write_bytes(b"A")
    assert not has_these(tmp_path, read)


def outputs_of(*code: str) -> Any:
    """What cells say, run in a process of their own; the reason where they are not fit."""
    source = (
        "import json, sys; from tablekit.made_pages import Unfit, outputs_of\n"
        "try: said = outputs_of(json.loads(sys.argv[1]))\n"
        "except Unfit as why: said = str(why)\n"
        "sys.__stdout__.write('\\n' + json.dumps(said))"
    )
    command = [sys.executable, "-c", source, json.dumps(code)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT_FOLDER)
    return json.loads(done.stdout.splitlines()[-1])


def test_what_cells_say_is_taken_down_in_its_order():
    printed, shown_last = outputs_of(
        "import sys\nprint(1)\ndisplay({'a': 2})\nprint(3); print(4)\n"
        "sys.stderr.write('hidden')\n5",
        "x = 6",
    )
    assert [one["output_type"] for one in printed] == [
        "stream", "display_data", "stream", "execute_result",
    ]  # fmt: skip
    assert printed[0]["text"] == "1\n" and printed[2]["text"] == "3\n4\n"
    assert printed[1]["data"] == {"text/plain": "{'a': 2}"}
    assert printed[3]["data"] == {"text/plain": "5"} and shown_last == []
    assert "hidden" not in json.dumps(printed)


@each(
    ("code", "why"),
    [
        ("1/0", "ZeroDivisionError"),
        ("1 +", "SyntaxError"),
        ("from IPython.display import clear_output; clear_output()", "clear_output"),
        ("h = display(1, display_id=True); h.update(2)", "update_display_data"),
    ],
)
def test_what_cannot_be_said_again_is_not_fit(code, why):
    assert why in outputs_of("2", code)


# --- In a class -----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("class")
    shutil.copytree(notebooks_path() / "briefs", folder / "briefs")
    for name in (FIRST, SET):
        shutil.copy(notebooks_path() / name, folder)
    return folder


@pytest.fixture(scope="module")
def server(folder, tmp_path_factory) -> Iterator[Served]:
    with serving(folder, tmp_path_factory.mktemp("log") / "log") as server:
        yield server


def opened(server: Served, name: str, cookie: str) -> str:
    status, _, body = server.asked(PAGE + name, server.token, cookie=cookie)
    assert status == 200
    return body


def test_a_page_is_kept_by_no_browser(server):
    """It would have a kernel that has ended by then. RFC 9111, section 5.2.2.5."""
    connection, cookie = server.connection(), server.pupil()
    connection.request("GET", f"{PAGE}{SET}?token={server.token}", headers={"Cookie": cookie})
    answer = connection.getresponse()
    assert "no-store" in answer.headers["Cache-Control"] and b"kernelId" in answer.read()
    assert answer.headers["Content-Type"].startswith("text/html")
    connection.close()
    assert server.asked("/voila/close-mine", server.token, "POST", cookie=cookie)[0] == 302


def states(server: Served, page: str, cookie: str, **change: Any) -> dict[str, Any]:
    """What the widgets of a page show, after the text of the answer has been changed, if
    that is asked for."""

    async def asked() -> dict[str, Any]:
        connection = await connected(server.address, page, cookie)
        found, _ = await shown(connection)
        if change:
            await changed(connection, one_with(found, description="Answer"), **change)
            found, _ = await shown(connection)
        connection.close()
        return found

    return asyncio.run(asyncio.wait_for(asked(), 120))


def one_with(found: dict[str, Any], **wanted: Any) -> str:
    """The first model whose state has these."""
    return next(m for m, state in found.items() if wanted.items() <= state.items())


def value(found: dict[str, Any], **wanted: Any) -> Any:
    return found[one_with(found, **wanted)]["value"]


def runs(server: Served) -> list[psutil.Process]:
    """The processes in which a page has been run once."""
    (template,) = server.process.children()
    return [one for one in template.children() if os.getsid(one.pid) != one.pid]


def test_the_exercises_are_run_once_and_each_pupil_has_their_own(server, folder):
    one, two = server.pupil(), server.pupil()
    pages = [opened(server, SET, cookie) for cookie in (one, two)]
    (run,) = runs(server)
    assert len(run.children()) == server.kernels() == 2
    # The page is the same but for its kernel, and has nothing that is the teacher's.
    kernels = [kernel_of(page) for page in pages]
    assert pages[0].replace(kernels[0], kernels[1]) == pages[1] and kernels[0] != kernels[1]
    first, second = (states(server, *both) for both in zip(pages, (one, two), strict=True))
    numbers = [value(found, description="Number or name") for found in (first, second)]
    rooms = [folder / f"pupil-{int(number):02d}" for number in numbers]
    assert rooms[0] != rooms[1] and all(room.is_dir() for room in rooms)
    for found in (first, second):
        words = json.dumps([state.get("value") for state in found.values()])
        assert "not on the pages of a class" in words and "Question 1 of 6" in words
        buttons = {state.get("description") for state in found.values() if "button_style" in state}
        assert "Check" in buttons and "Results of the class" not in buttons
    asked = [json.dumps([s.get("value") for s in found.values()]) for found in (first, second)]
    assert asked[0] != asked[1]  # numbers of their own
    # An answer is one pupil's, in their folder, and there again when the page is opened anew.
    after = states(server, pages[0], one, value="1 mm")
    assert "✗" in json.dumps([s.get("value") for s in after.values()], ensure_ascii=False)
    untouched = states(server, pages[1], two)
    assert {m: s.get("value") for m, s in untouched.items()} == {
        m: s.get("value") for m, s in second.items()
    }
    assert [len(list(room.glob("*.json"))) for room in rooms] == [1, 0]
    again = states(server, opened(server, SET, one), one)
    assert "1&nbsp;✗" in json.dumps([s.get("value") for s in again.values()], ensure_ascii=False)
    for cookie in (one, two):
        assert server.asked("/voila/close-mine", server.token, "POST", cookie=cookie)[0] == 302
    assert server.comes_to(0)
    assert "Traceback" not in server.log.read_text()


def test_whoever_has_changed_a_brief_gets_a_page_of_their_own(server, folder):
    one, before = server.pupil(), set(folder.glob("pupil-*"))
    mine, two = opened(server, FIRST, one), server.pupil()
    assert "735.0 mm" in mine
    (room,) = set(folder.glob("pupil-*")) - before
    own = room / BRIEF
    own.write_text(own.read_text().replace("735 mm", "760 mm"))
    changed_page = opened(server, FIRST, one)
    assert "760.0 mm" in changed_page and "735.0 mm" not in changed_page
    assert "735.0 mm" in opened(server, FIRST, two)
    # The teacher changes it: those that come from now on have it, and open pages go on.
    (folder / BRIEF).write_text((folder / BRIEF).read_text().replace("735 mm", "742 mm"))
    three = server.pupil()
    assert "742.0 mm" in opened(server, FIRST, three)
    assert "735.0 mm" in opened(server, FIRST, two)  # as the folder has it
    time.sleep(3.0)
    assert value(states(server, mine, one), description="brief") == "reading-room-table.toml"
    assert server.kernels() == 5
    for cookie in (one, two, three):
        assert server.asked("/voila/close-mine", server.token, "POST", cookie=cookie)[0] == 302
    assert server.comes_to(0)


@pytest.mark.slow
def test_a_page_opens_where_the_process_of_it_or_the_template_has_ended(folder, tmp_path):
    with serving(folder, tmp_path / "log") as server:
        cookie = server.pupil()
        opened(server, SET, cookie)
        (run,) = runs(server)
        run.kill()
        assert not psutil.wait_procs([run], timeout=30)[1]
        page = opened(server, SET, cookie)
        assert value(states(server, page, cookie), description="Set") == "2026"
        (template,) = server.process.children()
        (run,) = runs(server)
        template.kill()
        page = opened(server, SET, server.pupil())
        assert "application/vnd.jupyter.widget-view+json" in page
        server.process.kill()
        left = psutil.wait_procs([run], timeout=30)[1]
        assert not left


def test_nobody_speaks_to_a_kernel_in_another_protocol(folder, tmp_path):
    """It would keep the whole server from answering: of a message in another one than v1, Voilà
    takes eight bytes for how many parts it has."""
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "one.ipynb").write_text(notebook(("code", "import ipywidgets")))
    with serving(tmp_path / "home", tmp_path / "log") as server:
        cookie = server.pupil()
        page = opened(server, "one.ipynb", cookie)
        for protocols in ((), ("v2.example",)):
            with pytest.raises(Exception, match="400"):
                asyncio.run(connected(server.address, page, cookie, protocols))
        assert asyncio.run(_asked(server, page, cookie)) == {}


async def _asked(server: Served, page: str, cookie: str) -> dict[str, Any]:
    connection = await connected(server.address, page, cookie)
    found, _ = await shown(connection)
    connection.close()
    return found
