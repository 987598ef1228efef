"""Runs that are killed, and runs that meet: a packet is there whole, or not at all."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import time
from pathlib import Path

import pytest

from tablekit.packet import folder as folders
from tablekit.packet.folder import FolderError, write_folder
from tests.faults import kit


def filled(**files: str):
    def fill(room: Path) -> None:
        for name, text in files.items():
            (room / name).write_text(text)

    return fill


def rooms(beside: Path) -> list[Path]:
    return sorted(path for path in beside.iterdir() if path.name.startswith(".tablekit-"))


def long_ago(room: Path) -> None:
    then = time.time() - folders.ABANDONED - 60
    os.utime(room, (then, then))


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
@pytest.mark.parametrize("awaited", ["sheet.json", "pages"])
def test_killed_half_way(tmp_path, awaited):
    """Killed while texts are written, and while pages are: the earlier packet stays."""
    brief, out = tmp_path / "brief.toml", tmp_path / "out" / "packet"
    brief.write_text(kit.BRIEF)
    write_folder(out, filled(earlier="1"))
    command = [*kit.START, "set-out", str(brief), "--out", str(out)]
    how = {"env": kit.environment(), "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, start_new_session=True, **how) as process:
        deadline = time.monotonic() + 120
        while not list(out.parent.glob(f".tablekit-*/new/{awaited}")):
            assert process.poll() is None and time.monotonic() < deadline
            time.sleep(0.01)
        os.killpg(process.pid, signal.SIGKILL)
        assert process.wait() == -signal.SIGKILL
    assert kit.whole(out) and kit.contents(out)["earlier"] == b"1"
    (left,) = rooms(out.parent)
    # Left alone while somebody may still be writing there, and in nobody's way.
    write_folder(out, filled(later="2"))
    assert rooms(out.parent) == [left] and "later" in kit.contents(out)
    long_ago(left)
    write_folder(out, filled(last="3"))
    assert rooms(out.parent) == [] and kit.whole(out) and "last" in kit.contents(out)


def test_a_packet_moved_aside_when_killed_comes_back(tmp_path, monkeypatch):
    """Between the two moves that put the new packet in place of the old."""
    out = tmp_path / "packet"
    write_folder(out, filled(earlier="1"))
    before, rename, rmtree = kit.contents(out), Path.rename, folders.shutil.rmtree

    class Killed(BaseException):
        pass

    def stopped(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise Killed
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", stopped)
    monkeypatch.setattr(folders.shutil, "rmtree", lambda *_, **__: None)
    with pytest.raises(Killed):
        write_folder(out, filled(new="2"))
    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr(folders.shutil, "rmtree", rmtree)
    assert not out.exists() and len(rooms(tmp_path)) == 1

    def fails(room: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(FolderError):
        write_folder(out, fails)
    assert kit.contents(out) == before
    long_ago(*rooms(tmp_path))
    write_folder(out, filled(last="3"))
    assert rooms(tmp_path) == [] and "last" in kit.contents(out)


def test_what_a_maker_keeps_in_such_a_room_is_not_thrown_away(tmp_path):
    out = tmp_path / "packet"
    room = tmp_path / f"{folders._rooms(out)}abcdefgh"
    (room / "old").mkdir(parents=True)
    (room / "old" / "letter.txt").write_text("mine")
    out.mkdir()
    long_ago(room)
    write_folder(out, filled(one="1"))
    assert (room / "old" / "letter.txt").read_text() == "mine"
    # Rooms of another folder's packets are for its own next run to tidy.
    other = tmp_path / f"{folders._rooms(tmp_path / 'other')}abcdefgh"
    other.mkdir()
    long_ago(other)
    write_folder(out, filled(one="1"))
    assert other.is_dir()


def test_what_is_put_there_meanwhile_stays(tmp_path):
    """A packet takes seconds, in which a maker may write notes into the folder of the old one."""
    out = tmp_path / "packet"
    write_folder(out, filled(one="1"))

    def fill(room: Path) -> None:
        (room / "one").write_text("2")
        (out / "notes.txt").write_text("mine")

    with pytest.raises(FolderError, match=r"files that tablekit did not write: notes\.txt"):
        write_folder(out, fill)
    assert (out / "notes.txt").read_text() == "mine" and (out / "one").read_text() == "1"
    assert rooms(tmp_path) == []


def test_a_packet_put_there_in_the_middle_of_a_look_is_no_stranger(tmp_path, monkeypatch):
    out = tmp_path / "packet"
    write_folder(out, filled(one="1"))
    look, seen = folders._strangers, iter((["one"], []))
    monkeypatch.setattr(folders, "_strangers", lambda now: next(seen, None) or look(now))
    assert write_folder(out, filled(two="2")) == ("two",)


def _many(out: Path, who: str, start, ended) -> None:
    def fill(room: Path) -> None:
        for k in range(20):
            (room / f"file-{k}").write_text(who)
        time.sleep(0.002)

    start.wait()
    outcomes = []
    for _ in range(40):
        try:
            write_folder(out, fill)
            outcomes.append("written")
        except FolderError as error:
            outcomes.append(str(error))
        except BaseException as fault:
            outcomes.append(f"fault {fault!r}")
    ended.put(outcomes)


def test_two_runs_into_one_folder(tmp_path):
    """Forty packets each, as fast as they can: one or the other is there whole."""
    out = tmp_path / "packet"
    of = multiprocessing.get_context("spawn")
    start, ended = of.Event(), of.Queue()
    runs = [of.Process(target=_many, args=(out, who, start, ended)) for who in "ab"]
    for run in runs:
        run.start()
    start.set()
    outcomes = [ended.get(timeout=120) for _ in runs]
    for run in runs:
        run.join()
    every = [one for outcome in outcomes for one in outcome]
    assert len(every) == 80 and every.count("written") >= 40
    for one in every:
        assert one == "written" or one.startswith(f"{out} "), one
    assert kit.whole(out) and len(set(kit.contents(out).values())) == 2  # one writer, the marker
    assert rooms(tmp_path) == []
