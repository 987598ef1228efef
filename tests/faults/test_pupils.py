"""A class that is served: each pupil has a folder, nobody another's, nobody too many pages; and the
teacher's page is the teacher's. Against a real server."""

from __future__ import annotations

import importlib.util
import re
import time
from pathlib import Path

import pytest

from tablekit.teaching.checking import check
from tablekit.teaching.exercises import exercise_set
from tablekit.teaching.record import Record
from tests.browser.served import QUICK, Served, notebook, serving

if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)

PAGE = f"/voila/render/{QUICK}"
WRITES = """from pathlib import Path
import os, random
mine = Path("mine.txt")
print("here", os.getcwd(), "before", mine.exists(), "drew", random.random())
mine.write_text("of one pupil alone")
print("read", Path("briefs/a.toml").read_text(), "told", [n for n in os.environ if "TEACHER" in n])
import matplotlib.pyplot as plt
_ = plt.plot([1, 2])"""
IDLE = 6  # seconds until a page that nobody touches is closed


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("class")
    (folder / "briefs").mkdir()
    (folder / "briefs" / "a.toml").write_text("a brief")
    (folder / QUICK).write_text(notebook(("code", WRITES)))
    return folder


@pytest.fixture(scope="module")
def server(folder, tmp_path_factory) -> Served:
    with serving(folder, tmp_path_factory.mktemp("log") / "log") as server:
        yield server


def room(body: str) -> str:
    return re.search(r"here \S*/(\S+) before", body)[1]


def kernel_of(body: str) -> str:
    return body.split('"kernelId": "')[1].split('"')[0]


def closed(server: Served, *pupils: str) -> None:
    for cookie in pupils:
        assert server.asked("/voila/close-mine", server.token, "POST", cookie=cookie)[0] == 302


def test_each_pupil_has_a_folder_and_nobody_anothers(server, folder):
    one, two = server.pupil(), server.pupil()
    first = server.asked(PAGE, server.token, cookie=one)[2]
    second = server.asked(PAGE, server.token, cookie=two)[2]
    again = server.asked(PAGE, server.token, cookie=one)[2]
    assert room(first) == room(again) != room(second)
    assert "before False" in first and "before False" in second and "before True" in again
    # Each is a copy of one process, and draws other numbers by chance.
    assert len(set(re.findall(r"drew (\S+)", first + second + again))) == 3
    assert "read a brief told []" in first and "image/png" in first
    assert (folder / room(first) / "mine.txt").read_text() == "of one pupil alone"
    # Not by its address, whoever asks; not by the kernel of the other's page.
    for path in (f"{room(first)}/mine.txt", f"../{folder.name}/{room(first)}/mine.txt",
                 f"briefs/../{room(first)}/mine.txt", f"{room(first)}%2fmine.txt",
                 ".tablekit-pupils.json"):  # fmt: skip
        for cookie in (one, two, ""):
            for way in ("files", "render"):
                status, _, body = server.asked(f"/voila/{way}/{path}", server.token, cookie=cookie)
                assert status in (400, 404) and "alone" not in body
    for kernel_path in ("/api/kernels/{}", "/api/kernels/{}/channels"):
        for cookie in (two, "", "tablekit-pupil=1", "tablekit-pupil=pupil-01", one + "x"):
            path = kernel_path.format(kernel_of(first))
            assert server.asked(path, server.token, cookie=cookie)[0] == 404
    assert server.asked(f"/api/kernels/{kernel_of(first)}", server.token, cookie=one)[0] == 200
    goodbye = f"/voila/api/shutdown/{kernel_of(first)}"
    assert server.asked(goodbye, server.token, "POST", cookie=two)[0] == 404
    assert server.asked("/voila/close-mine", server.token, "POST")[0] == 302
    assert server.comes_to(3)
    closed(server, one, two)
    assert server.comes_to(0)


@pytest.mark.parametrize("cookie", ["", "tablekit-pupil=", "tablekit-pupil=../..", "x=1"])
def test_whoever_has_no_cookie_of_ours_is_new(server, folder, cookie):
    before = {path.name for path in folder.glob("pupil-*")}
    body = server.asked(PAGE, server.token, cookie=cookie)[2]
    assert room(body) not in before and (folder / room(body)).is_dir()
    assert "before False" in body


def test_the_cookie_is_no_matter_of_scripts_or_other_sites(server):
    connection = server.connection()
    connection.request("GET", f"/?token={server.token}")
    (cookie,) = (
        one for one in connection.getresponse().headers.get_all("Set-Cookie") if "pupil" in one
    )
    # RFC 6265, section 5.2.6, and its revision (draft rfc6265bis), section 5.6.7.
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie
    assert len(cookie.split("=")[1].split(";")[0]) >= 43  # 32 bytes in letters of six bits


def test_a_pupil_has_three_pages_and_a_way_on(server):
    one, two = server.pupil(), server.pupil()
    for _ in range(3):
        assert server.asked(PAGE, server.token, cookie=one)[0] == 200
    status, _, body = server.asked(PAGE, server.token, cookie=one)
    assert status == 429 and "You have enough pages open" in body and "close-mine" in body
    assert server.asked(PAGE, server.token, cookie=two)[0] == 200  # not the neighbour's trouble
    closed(server, one)
    assert server.asked(PAGE, server.token, cookie=one)[0] == 200
    closed(server, one, two)


def test_a_page_that_nobody_touches_is_closed_and_one_in_use_is_not(folder, tmp_path):
    idle = [f"--Kernels.idle_end={IDLE}", "--Kernels.idle_told=3", "--Kernels.cull_interval=1"]
    with serving(folder, tmp_path / "log", options=idle) as server:
        closes_what_nobody_touches(server, folder)


def closes_what_nobody_touches(server: Served, folder: Path) -> None:
    one = server.pupil()
    left, used = (server.asked(PAGE, server.token, cookie=one)[2] for _ in range(2))
    assert '"tablekit-idle"' in left and re.search(rf"told: 3, end: {IDLE}\b", left)
    touched = f"/voila/touched/{kernel_of(used)}"
    gone = False
    end = time.monotonic() + 60
    while not gone and time.monotonic() < end:
        assert server.asked(touched, server.token, "POST", cookie=one)[0] == 204
        gone = server.asked(f"/api/kernels/{kernel_of(left)}", server.token, cookie=one)[0] == 404
        time.sleep(0.5)
    assert gone and (folder / room(left) / "mine.txt").is_file()
    assert server.asked(f"/api/kernels/{kernel_of(used)}", server.token, cookie=one)[0] == 200
    # That it was closed is found out by the page itself.
    late = f"/voila/touched/{kernel_of(left)}"
    assert server.asked(late, server.token, "POST", cookie=one)[0] == 404
    closed(server, one)


def answers(room: Path, name: str) -> Path:
    """The record of a pupil who takes the offset for the notch, and then has one of two right."""
    exercises = exercise_set("autumn", name, 2)
    record = Record.begin("autumn", name, "mm", exercises)
    for text in (f"{exercises[0].givens['axis_offset']:g} mm", exercises[0].answer_text):
        record.add(0, text, check(exercises[0], text))
    path = room / record.file_name
    path.write_text(record.to_text(), encoding="utf-8")
    return path


def test_the_teachers_page_is_the_teachers(server, folder):
    token = server.teacher.split("token=")[1]
    assert token != server.token
    guesses = ("", server.pupil(), "tablekit-teacher=", f"tablekit-teacher={token}")
    for asked, cookie in ((server.token, ""), ("0" * 48, ""), *(("", one) for one in guesses)):
        status, _, body = server.asked("/teacher", asked, cookie=cookie)
        assert status == 403 and "Who is in" not in body and token not in body
    # And it is no key to anything else.
    assert server.asked(PAGE, token)[0] == 302
    connection = server.connection()
    connection.request("GET", f"/teacher?token={token}")
    answer = connection.getresponse()
    (cookie,) = answer.headers.get_all("Set-Cookie")  # and none that lets one into the pages
    assert answer.status == 302 and "HttpOnly" in cookie and "SameSite=Strict" in cookie
    assert token not in cookie
    pupil = server.pupil()
    number = room(server.asked(PAGE, server.token, cookie=pupil)[2])
    status, _, body = server.asked("/teacher", cookie=cookie.split(";")[0])
    assert status == 200 and f"<td>{number}</td>" in body and "<td>quick</td>" in body
    assert f"?token={server.token}" in body and f"/voila/render/{QUICK}" in body
    assert ("<svg" in body) == (importlib.util.find_spec("segno") is not None)
    assert "Common mistakes" not in body  # nobody has answered yet
    record = answers(folder / number, "<i>Linden</i>")
    body = server.asked("/teacher", cookie=cookie.split(";")[0])[2]
    assert "<td>&lt;i&gt;Linden&lt;/i&gt;</td>" in body and "<i>" not in body
    assert "<td>1 of 2</td>" in body and "<td>answered axis offset</td>" in body
    record.unlink()
    closed(server, pupil)
    log = server.log.read_text()
    assert token not in log and server.token not in log and "Traceback" not in log
