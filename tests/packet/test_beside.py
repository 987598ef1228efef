"""Two things at a time."""

from __future__ import annotations

import os
import threading
import time
import warnings
from pathlib import Path

import pytest

from tablekit.packet.packet import beside


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a terminal: other tests may have left a thread behind."""
    monkeypatch.setattr(threading, "active_count", lambda: 1)


@pytest.mark.usefixtures("alone")
def test_it_is_done_in_another_process(tmp_path: Path) -> None:
    def work() -> None:
        (tmp_path / "done").write_text(str(os.getpid()))

    with beside(work):
        pass
    assert int((tmp_path / "done").read_text()) != os.getpid()


def test_with_threads_about_it_is_done_here(tmp_path: Path) -> None:
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        with beside(lambda: (tmp_path / "done").write_text(str(os.getpid()))):  # type: ignore[arg-type,return-value]
            assert int((tmp_path / "done").read_text()) == os.getpid()
    finally:
        stop.set()
        thread.join()


@pytest.mark.usefixtures("alone")
def test_grief_there_is_grief_here(capfd: pytest.CaptureFixture[str]) -> None:
    def work() -> None:
        raise ValueError("no room")

    with pytest.raises(OSError, match="half way: no room"), beside(work):
        pass
    assert capfd.readouterr().err == ""  # words, not a traceback
    with pytest.raises(OSError, match="half way: exit code"), beside(lambda: os._exit(3)):
        pass


@pytest.mark.usefixtures("alone")
def test_what_it_makes_is_given_back() -> None:
    def work() -> tuple[int, str]:
        return os.getpid(), "long " * 100_000  # more than a pipe holds

    with beside(work) as done:
        assert done.made is None
    assert done.made is not None
    pid, text = done.made
    assert pid != os.getpid() and text == "long " * 100_000


@pytest.mark.usefixtures("alone")
def test_what_it_warns_of_is_heard_here() -> None:
    def work() -> None:
        warnings.warn("a letter is missing", stacklevel=1)

    with pytest.warns(UserWarning, match="^a letter is missing$"), beside(work):
        pass


@pytest.mark.usefixtures("alone")
def test_grief_here_stops_it(tmp_path: Path) -> None:
    def work() -> None:
        time.sleep(30)
        (tmp_path / "done").write_text("late")

    began = time.monotonic()
    with pytest.raises(KeyError), beside(work):
        raise KeyError
    assert time.monotonic() - began < 20
    assert not (tmp_path / "done").exists()
