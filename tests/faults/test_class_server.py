"""The class server against those who have no token, who leave, and who are too many."""

from __future__ import annotations

import importlib.util
import os
import socket
import sys
import time
from pathlib import Path

import pytest

from tests.browser.chromium import started
from tests.browser.served import QUICK, Served, notebook, serving
from tests.faults import kit

if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)

SECRET = "not for everybody"
# Whatever lies in the folder of a maker who serves all that they have.
LYING_ABOUT = (
    "saved.toml", "marks.csv", "sub/marks.csv", ".docker/config.json", ".tablekit-copies.json",
    ".hidden.toml", "sub/.hidden/key.txt", "sub/deep/notes.json", "unlinked.html",
)  # fmt: skip
OFFERED = ("briefs/one.toml", "with space.txt", "far/picture.svg")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("home")
    for name in (*LYING_ABOUT, *OFFERED):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(SECRET if name in LYING_ABOUT else "for all")
    outside = tmp_path_factory.mktemp("outside") / "other.txt"
    outside.write_text(SECRET)
    (folder / "linked.txt").symlink_to(outside)
    (folder / "there").symlink_to(outside.parent)
    (folder / QUICK).write_text(
        notebook(
            ("code", "print('forty' + '-two')"),
            ("markdown", "# An &lt;b&gt;own&lt;/b&gt; page\n\n| open |\n|---|\n| [g](sub) |"),
            ("markdown", "See [a brief](briefs/one.toml), [another](far/second.ipynb)."),
            ("markdown", "[a](.hidden.toml) [b](sub/.hidden/key.txt) <https://x.org>"),
            ("markdown", "[c](linked.txt) [d](there/other.txt)"),
            ("markdown", f"[e](../{outside.parent.name}/other.txt) [f]({outside}) [g](sub)"),
            ("code", "'[h](saved.toml)'"),
        )
    )  # fmt: skip
    second = ("markdown", '[with](<../with space.txt>)\n\n<img src="picture.svg#top">')
    (folder / "far" / "second.ipynb").write_text(notebook(second))
    (folder / "sub" / "third.ipynb").write_text(notebook(("code", f"print({SECRET!r})")))
    (folder / ".ipynb_checkpoints").mkdir()
    (folder / ".ipynb_checkpoints" / QUICK).write_text(notebook(("code", f"print({SECRET!r})")))
    (folder / "broken.ipynb").write_text("[" * 100_000)
    return folder


@pytest.fixture(scope="module")
def server(folder, tmp_path_factory) -> Served:
    with serving(folder, tmp_path_factory.mktemp("log") / "log") as server:
        yield server


# --- Without the token ----------------------------------------------------------------------------

PAGES = ("/", "/logout", "/nothing", "/voila/tree", "/voila/api/contents/", "/api/kernels",
         "/voila/templates/x", "/voila/templates/lab/x/y",
         "/voila/templates/tablekit/static/voila-style.js",
         "/voila/static/voila.js", "/voila/labextensions/x.js", "/voila/api/themes/x.css",
         "/voila/static/../../../../etc/passwd", f"/voila/render/{QUICK}",
         "/voila/render/sub/third.ipynb", "/api/kernels/a-b-c-d-e",
         "/api/kernels/a-b-c-d-e/channels",
         "/static/favicon.ico", "/api/me", "/files/saved.toml")  # fmt: skip


@pytest.mark.parametrize("path", [*PAGES, *(f"/voila/files/{n}" for n in (*LYING_ABOUT, *OFFERED))])
@pytest.mark.parametrize("token", ["", "0" * 48])
def test_nothing_without_the_token_but_its_login_page(server, path, token):
    path = path.replace(" ", "%20")
    status, where, body = server.asked(path, token)
    assert SECRET not in body and "for all" not in body
    assert status == 403 or (status == 302 and where.startswith("/login?next=") and body == "")
    status, _, body = server.asked(path, token, method="POST")
    assert status == 403 and SECRET not in body


def test_the_login_page_fetches_nothing_and_lets_in_by_the_token_alone(server):
    status, _, body = server.asked("/login?next=%2Fvoila")
    assert status == 200 and "<form" in body
    assert "src=" not in body and body.count("href=") == body.count('href="data:') == 1
    connection = server.connection()
    for word, status in (("wrong", 401), ("", 401), (server.token, 302)):
        connection.request("GET", "/login")
        answer = connection.getresponse()
        cookie = answer.headers["Set-Cookie"].split(";")[0]
        answer.read()
        form = f"{cookie}&password={word}&new_password=mine"
        how = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
        connection.request("POST", "/login?next=%2F", form, how)
        answer = connection.getresponse()
        answer.read()
        assert answer.status == status
    # A token is for coming in, not for changing the lock.
    assert server.asked("/", "mine")[0] == 302 and server.asked("/", server.token)[0] == 200


# --- With the token -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", OFFERED)
def test_what_a_page_links_to_is_handed_out(server, name):
    address = "/voila/files/" + name.replace(" ", "%20")
    assert server.asked(address, server.token)[::2] == (200, "for all")
    asked = server.asked("/voila/render/" + name.replace(" ", "%20"), server.token)
    assert asked[:2] == (302, "/voila/files/" + name.replace(" ", "%20"))


HIDDEN = (*LYING_ABOUT, "linked.txt", "there/other.txt", "sub/../marks.csv", "%2e%2e/x", "sub", "",
          "//etc/passwd", "briefs%5C..%5Cmarks.csv", "marks.csv%00", "x" * 300)  # fmt: skip


@pytest.mark.parametrize("name", HIDDEN)
def test_what_no_page_links_to_is_not(server, name):
    for way in ("files", "render"):
        status, _, body = server.asked(f"/voila/{way}/{name}", server.token)
        assert status in (400, 404) and SECRET not in body


@pytest.mark.parametrize("name", ["sub/third.ipynb", f".ipynb_checkpoints/{QUICK}"])
def test_a_notebook_that_no_page_links_to_is_not_run(server, name):
    assert server.asked(f"/voila/render/{name}", server.token)[0] == 404
    assert server.kernels() == 0


def test_what_is_no_address_of_a_template_is_not_found(server):
    for path in ("x", "x/y", "nonsense/static/x.js", "lab/other/x.js", "..%2f..%2fx/static/y"):
        assert server.asked(f"/voila/templates/{path}", server.token)[0] in (403, 404)


def test_the_token_is_not_in_the_log(server):
    for path in ("/seen-in-the-log", "/voila/render/x.ipynb", "/voila/templates/x"):
        assert server.asked(path, server.token)[0] == 404
        server.asked(f"{path}?x={server.token}&token={server.token}")
    end = time.monotonic() + 20
    while "seen-in-the-log" not in server.log.read_text() and time.monotonic() < end:
        time.sleep(0.1)
    log = server.log.read_text()
    assert "404 GET /seen-in-the-log" in log and "Traceback" not in log.split("seen-in-the-log")[1]
    assert server.token not in log


def test_the_front_page_has_the_words_of_its_pages_as_text_and_leads_to_them_alone(server):
    status, _, body = server.asked("/", server.token)
    assert status == 200 and SECRET not in body
    assert "An &lt;b&gt;own&lt;/b&gt; page" in body and "<b>own" not in body
    links = [part.split('"')[0] for part in body.split('href="')[1:]]
    rendered = {link for link in links if not link.startswith("data:")}
    assert rendered == {f"/voila/render/{QUICK}", "/voila/render/broken.ipynb"}
    for path in ("/voila/tree/sub", "/sub", "/voila/tree"):
        assert server.asked(path, server.token)[0] == 404


# --- Those who leave, and those who are too many --------------------------------------------------


def test_requests_that_are_given_up_leave_no_kernel(server):
    """Some waiting for their turn, some being made ready."""
    gone = [server.dropped(f"/voila/render/{QUICK}") for _ in range(12)]
    time.sleep(0.3)
    start = time.monotonic()
    for connection in gone:
        connection.close()
    status, _, body = server.asked(f"/voila/render/{QUICK}", server.token)
    waited = time.monotonic() - start
    assert status == 200 and "forty-two" in body
    start = time.monotonic()
    assert server.asked(f"/voila/render/{QUICK}", server.token)[0] == 200
    alone = time.monotonic() - start
    # Whoever comes after them waits for those that were begun, at most as many as there are turns,
    # and not for all twelve.
    assert waited < 5 * alone + 5
    assert server.comes_to(2)
    log = server.log.read_text()
    assert "Traceback" not in log and server.token not in log


@pytest.mark.slow
def test_one_given_up_later_leaves_no_kernel_either(folder, tmp_path):
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / QUICK).write_text(
        notebook(("code", "1"), ("code", "import time; time.sleep(90)"), ("code", "2"))
    )
    with serving(tmp_path / "home", tmp_path / "log") as server:
        connection = server.dropped(f"/voila/render/{QUICK}")
        answer = connection.getresponse()
        answer.readline()  # the page has begun
        assert server.comes_to(1)
        answer.close()
        connection.close()
        start = time.monotonic()
        assert server.comes_to(0) and time.monotonic() - start < 60
        assert "Traceback" not in server.log.read_text()


def test_a_page_that_cannot_be_made_ready_says_so_and_ends(folder, tmp_path):
    """Its kernel ends before it has begun; the turn goes to the next."""
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / QUICK).write_text(notebook(("code", "1"), kernel="dead"))
    dead = tmp_path / "jupyter" / "kernels" / "dead"
    dead.mkdir(parents=True)
    (dead / "kernel.json").write_text(
        '{"argv": ["false", "{connection_file}"], "display_name": "dead", "language": "python"}'
    )
    data = {"JUPYTER_DATA_DIR": str(tmp_path / "jupyter")}
    with serving(tmp_path / "home", tmp_path / "log", changes=data) as server:
        for _ in range(3):  # more than there may be turns on two cores
            _, _, body = server.asked(f"/voila/render/{QUICK}", server.token)
            assert "Something went wrong here" in body
        assert server.comes_to(0)


def test_too_many_pages(folder, tmp_path):
    with serving(folder, tmp_path / "log", most=2) as server:
        page = f"/voila/render/{QUICK}"
        first = server.pupil()
        pages = [server.asked(page, server.token, cookie=first) for _ in range(2)]
        assert [status for status, *_ in pages] == [200, 200]
        status, _, body = server.asked(page, server.token)
        assert status == 503 and "All places are taken" in body and server.kernels() == 2
        # A place that is given back is there for the next.
        kernel = pages[0][2].split('"kernelId": "')[1].split('"')[0]
        goodbye = f"/voila/api/shutdown/{kernel}"
        assert server.asked(goodbye, server.token, "POST", cookie=first)[0] == 204
        assert server.asked(page, server.token)[0] == 200 and server.comes_to(2)


# --- Where it listens -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host",
    ["", "nowhere.invalid", "192.0.2.7", "0.0.0.0:80", "http://localhost", "a b", "fe80::1%lo"],
)  # 192.0.2.0/24 is nobody's: RFC 5737, section 3; .invalid is no name: RFC 6761, section 6.4
def test_a_host_that_is_no_address_of_this_machine(tmp_path, host):
    done = kit.run("open", "--as-app", "--no-browser", "--host", host, "--dir", tmp_path / "copy")
    assert done.returncode == 2 and done.stdout == b""
    assert host in kit.told(done) and "give" in kit.told(done)


def has_ipv6() -> bool:
    try:
        with socket.socket(socket.AF_INET6) as trial:
            trial.bind(("::1", 0))
    except OSError:
        return False
    return True


@pytest.mark.skipif(not has_ipv6(), reason="this machine has no IPv6")
def test_an_address_of_ipv6_is_told_as_browsers_take_it(tmp_path):
    """In brackets: RFC 3986, section 3.2.2."""
    command = [*kit.START, "open", "--as-app", "--no-browser", "--host", "::1"]
    with started([*command, "--dir", str(tmp_path / "c")], kit.environment()) as (_, address):
        assert address.startswith("http://[::1]:")


# --- What lies in the folder ----------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="the server takes the place of the command there")
@pytest.mark.parametrize("how", [[], ["--as-app"]])
def test_a_module_that_lies_in_the_folder_is_not_run(tmp_path, how):
    here, said = tmp_path / "here", tmp_path / "said"
    here.mkdir()
    for name in ("random", "tornado", "secrets", "voila", "pathlib", "jupyterlab", "sympy"):
        (here / f"{name}.py").write_text(f"open({str(said)!r}, 'a').write({name!r} + ' ')\n")
    # As installed: a script, which does not put the folder one stands in first.
    script = "import sys; from tablekit.cli import main; sys.exit(main())"
    command = [sys.executable, "-P", "-c", script, "open", "--no-browser", *how, "--dir", "."]
    with started(command, kit.environment(), here) as (process, address):
        if how:
            (here / QUICK).write_text(
                notebook(("code", "import random, sympy; print('forty' + '-two')"))
            )
            page = Served(process, address, tmp_path / "log")  # type: ignore[arg-type]
            assert "forty-two" in page.asked(f"/voila/render/{QUICK}", page.token)[2]
    assert not said.exists(), said.read_text()
