"""Kernels that are forked from a template: when it may not be copied, when it has ended, and that
nothing outlives the server."""

from __future__ import annotations

import fcntl
import importlib.util
import os
import resource
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import psutil
import pytest

from tablekit.forked_kernels import POSSIBLE, Forked, Source, imported, serve
from tablekit.shipped import notebooks_path
from tests.browser.chromium import ROOT_FOLDER
from tests.browser.served import QUICK, notebook, serving

if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)
if not POSSIBLE:
    pytest.skip("kernels are forked on Linux alone", allow_module_level=True)

PAGE = f"/voila/render/{QUICK}"
LOOKS = """import os, signal, sys
print("forty" + "-two", "leads", os.getsid(0) == os.getpid() == os.getpgid(0))
print("debugger", "debugpy.server" in sys.modules, "safe", sys.flags.safe_path)
print("waits for its own", signal.getsignal(signal.SIGCHLD) == signal.SIG_DFL)
import subprocess; print("code", subprocess.run(["false"]).returncode)"""


def test_what_the_pages_import(tmp_path: Path) -> None:
    source = "from tablekit.brief import read_brief\nimport os\nfrom json import loads"
    (tmp_path / QUICK).write_text(notebook(("code", source), ("markdown", "import tablekit.x")))
    (tmp_path / "broken.ipynb").write_text("[" * 100_000)
    (tmp_path / "magic.ipynb").write_text(notebook(("code", "%pip list"), ("code", "import x")))
    assert list(imported(tmp_path)) == ["tablekit.brief"]


@pytest.mark.slow
def test_loading_leaves_one_thread_and_no_widget() -> None:
    """A widget that is left would be sent to every page, and one that is closed by half keeps all
    others from being sent. In a process of its own, with all pages and briefs of the kit."""
    source = (
        "import os, pathlib, sys; from tablekit import forked_kernels as f;"
        "os.sched_setaffinity(0, {min(os.sched_getaffinity(0))});"
        "f.load(pathlib.Path(sys.argv[1])); from ipywidgets import Widget;"
        "print(len(os.listdir('/proc/self/task')), len(Widget.widgets))"
    )
    command = [sys.executable, "-c", source, str(notebooks_path())]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT_FOLDER)
    assert done.stdout.split() == ["1", "0"]


def test_a_process_with_threads_is_not_copied() -> None:
    ours, theirs = socket.socketpair()
    ours.settimeout(10)
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        ours.sendall(b"{}\n")
        ours.shutdown(socket.SHUT_WR)
        assert serve(theirs) is None
        said, handles, *_ = socket.recv_fds(ours, 64, 1)
    finally:
        stop.set()
        thread.join()
        ours.close()
        theirs.close()
    assert handles == [] and b"threads" in said


def test_a_source_serves_until_its_process_has_ended_whatever_it_says_meanwhile() -> None:
    ours, theirs = socket.socketpair()
    source = Source(ours)
    assert source.serves
    theirs.sendall(b"123")  # an answer that another thread is about to read
    assert source.serves
    theirs.close()
    assert not source.serves
    with pytest.raises(OSError):
        source.forked([], {}, "/")
    source.close()
    assert not source.serves


def test_a_kernel_is_watched_however_many_files_are_open() -> None:
    """Each page holds a dozen; `select` takes none beyond 1024 (select(2), FD_SETSIZE)."""
    process = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    low = os.pidfd_open(process.pid)
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, min(hard, 1200)), hard))
    try:
        high = fcntl.fcntl(low, fcntl.F_DUPFD_CLOEXEC, 1100)
        kernel = Forked(process.pid, high)
        assert kernel.poll() is None
        process.kill()
        assert kernel.wait() == kernel.poll() == 1
    finally:
        process.kill()
        process.wait()
        os.close(low)
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


def gone(processes: list[psutil.Process], within: float = 30.0) -> bool:
    return not psutil.wait_procs(processes, timeout=within)[1]


def test_with_its_template_or_without_a_page_opens_and_nothing_outlives_the_server(tmp_path):
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / QUICK).write_text(notebook(("code", LOOKS)))
    with serving(tmp_path / "home", tmp_path / "log") as server:
        body = server.asked(PAGE, server.token)[2]
        assert "forty-two leads True" in body and "debugger False safe True" in body
        assert "waits for its own True" in body and "code 1" in body
        (template,) = server.process.children()
        kernels = template.children()
        assert len(kernels) == server.kernels() == 1
        template.kill()
        assert gone(kernels)
        assert "forty-two" in server.asked(PAGE, server.token)[2]
        assert "A kernel starts by itself" in server.log.read_text()
    with serving(tmp_path / "home", tmp_path / "log") as server:
        assert "forty-two" in server.asked(PAGE, server.token)[2]
        every = server.process.children(recursive=True)
        assert len(every) == 2
        start = time.monotonic()
        server.process.kill()  # no chance to say goodbye
        assert gone(every) and time.monotonic() - start < 30
