"""Runs that are ended by a signal, and copies that are cut short: nothing half is left behind."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from tablekit.brief import BriefError, read_brief
from tablekit.engine.trouble import DesignError
from tablekit.packet import folder as folders
from tablekit.packet.folder import MARKER, FolderError, tidied_up, write_file, write_folder
from tablekit.panels.files import LONGEST_NAME, FilesPanel, save_text, within
from tablekit.shipped import notebooks_path
from tablekit.working_copy import RECORD, OpenError, copy_notebooks
from tests.copied import same
from tests.faults import kit
from tests.faults.test_disk import small_disk

posix = pytest.mark.skipif(os.name != "posix", reason="signals and modes of Unix")


def hidden(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob(".tablekit-*") if p.name not in (RECORD, MARKER))


# --- Signals ------------------------------------------------------------------------------


@posix
@pytest.mark.parametrize(
    ("awaited", "how"),
    [
        ("sheet.json", "SIGTERM"),
        ("pages/bench-01.svg", "SIGHUP"),
        pytest.param("sheet.json", "SIGHUP", marks=pytest.mark.slow),
        pytest.param("pages/bench-01.svg", "SIGTERM", marks=pytest.mark.slow),
    ],
)
def test_a_packet_that_is_ended_leaves_nothing_beside_it(tmp_path, how, awaited):
    """While texts are written, and while a copy of the process writes the book."""
    brief, out = tmp_path / "brief.toml", tmp_path / "above" / "packet"
    brief.write_text(kit.BRIEF)
    command = [*kit.START, "set-out", str(brief), "--out", str(out)]
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": kit.environment()}

    def heard() -> None:  # a test run under nohup hands on that it is ignored
        signal.signal(getattr(signal, how), signal.SIG_DFL)

    with subprocess.Popen(command, start_new_session=True, preexec_fn=heard, **piped) as process:
        deadline = time.monotonic() + 240
        while not list(out.parent.glob(f".tablekit-*/new/{awaited}")):
            assert process.poll() is None and time.monotonic() < deadline
            time.sleep(0.005)
        process.send_signal(getattr(signal, how))
        said = process.communicate(timeout=60)
    # As a shell sees any program that a signal has ended, and not as one that has answered.
    assert process.returncode == -getattr(signal, how)
    assert said == (b"", b"")
    assert [path.name for path in tmp_path.iterdir()] == ["brief.toml"]


@posix
def test_a_signal_that_is_ignored_stays_so_and_others_see_to_their_own():
    script = """
import os, signal, sys
from tablekit.packet.folder import tidied_up
signal.signal(signal.SIGHUP, signal.SIG_IGN)
signal.signal(signal.SIGTERM, lambda *_: print('theirs'))
with tidied_up(), tidied_up():
    os.kill(os.getpid(), signal.SIGHUP)
    os.kill(os.getpid(), signal.SIGTERM)
print('on')
"""
    done = subprocess.run(
        [sys.executable, "-c", script], env=kit.environment(), capture_output=True, text=True
    )
    assert (done.returncode, done.stdout.split()) == (0, ["theirs", "on"]), done.stderr


@posix
def test_a_second_signal_does_not_stop_the_tidying_up():
    script = """
import os, signal
from tablekit.packet.folder import tidied_up
with tidied_up():
    try:
        os.kill(os.getpid(), signal.SIGTERM)
    finally:
        os.kill(os.getpid(), signal.SIGTERM)
        print('tidied', flush=True)
"""
    done = subprocess.run(
        [sys.executable, "-c", script], env=kit.environment(), capture_output=True, text=True
    )
    assert (done.returncode, done.stdout) == (-signal.SIGTERM, "tidied\n")


def test_in_a_thread_signals_are_left_alone(tmp_path):
    kept, seen = signal.getsignal(signal.SIGTERM), []

    def run() -> None:
        with tidied_up():
            seen.append(signal.getsignal(signal.SIGTERM))

    thread = threading.Thread(target=run)
    thread.start()
    thread.join()
    assert seen == [kept]


# --- The folder of a packet ---------------------------------------------------------------


def one(room: Path) -> None:
    (room / "one").write_text("1")


@posix
@pytest.mark.parametrize("mode", [0o700, 0o750, 0o2770, 0o777])
@pytest.mark.parametrize("earlier", [False, True])
def test_a_folder_keeps_its_mode(tmp_path, mode, earlier):
    out = tmp_path / "packet"
    write_folder(out, one) if earlier else out.mkdir()
    out.chmod(mode)
    write_folder(out, one)
    assert out.stat().st_mode & 0o7777 == mode and (out / "one").read_text() == "1"


@pytest.mark.parametrize("content", ["mine", "", "Files written by tablekit set-out.\nmine"])
def test_a_marker_that_someone_else_wrote_is_a_file_like_any_other(tmp_path, content):
    out = tmp_path / "packet"
    out.mkdir()
    (out / MARKER).write_text(content)
    with pytest.raises(FolderError, match=r"that tablekit did not write: \.tablekit-packet"):
        write_folder(out, one)
    assert (out / MARKER).read_text() == content


@posix
def test_a_marker_that_is_a_link_is_not_ours(tmp_path):
    write_folder(tmp_path / "earlier", one)
    out = tmp_path / "packet"
    out.mkdir()
    (out / MARKER).symlink_to(tmp_path / "earlier" / MARKER)
    with pytest.raises(FolderError, match="that tablekit did not write"):
        write_folder(out, one)


# --- Copies of the notebooks --------------------------------------------------------------


@posix
def test_a_copy_that_is_killed_is_gone_on_with(tmp_path):
    """Wherever it is cut short, the next one finds no file that it takes for a maker's."""
    script = """
import os, pathlib, signal, sys
from tablekit import working_copy
from tablekit.packet import folder
left, write = [int(sys.argv[2])], folder.write_file
def written(path, data):
    left[0] -= 1
    if left[0] < 0:
        # Half of it is there, under whatever name it is written.
        kept = os.open
        def opened(*given):
            descriptor = kept(*given)
            os.write(descriptor, data[: len(data) // 2])
            os.kill(os.getpid(), signal.SIGKILL)
        os.open = opened
    write(path, data)
working_copy.write_file = written
working_copy.copy_notebooks(pathlib.Path(sys.argv[1]))
"""
    for writes in (0, 1, 2, 7, 12):
        mine = tmp_path / str(writes)
        done = subprocess.run(
            [sys.executable, "-c", script, str(mine), str(writes)], env=kit.environment()
        )
        assert done.returncode == -signal.SIGKILL
        (left,) = hidden(mine)
        whole = {p.relative_to(mine).as_posix() for p in mine.rglob("*") if p.is_file()}
        whole -= {left, RECORD, f"briefs/{left}"}
        for name in whole:
            assert same(mine / name, notebooks_path() / name)
        assert copy_notebooks(mine).kept == ()
        assert copy_notebooks(mine).written == ()
        # What it had begun goes away once nobody can be writing it any more.
        (path,) = mine.rglob(left)
        then = time.time() - folders.ABANDONED - 60
        os.utime(path, (then, then))
        copy_notebooks(mine)
        assert hidden(mine) == [] or path.parent != mine


def test_a_copy_without_room_is_gone_on_with(tmp_path):
    with small_disk(tmp_path / "disk", "300k") as disk:
        with pytest.raises(OpenError, match="No space left on device"):
            copy_notebooks(disk / "mine")
        there = [p for p in (disk / "mine").rglob("*.ipynb") if p.is_file()]
        assert there and hidden(disk) == []
        for path in there:
            name = path.relative_to(disk / "mine")
            assert same(path, notebooks_path() / name)
        subprocess.run(["mount", "-o", "remount,size=60m", str(disk)], check=True)
        assert copy_notebooks(disk / "mine").kept == ()


@posix
def test_nothing_is_written_through_a_link(tmp_path):
    outside, mine = tmp_path / "outside", tmp_path / "mine"
    (outside / "briefs").mkdir(parents=True)
    (outside / "precious").write_text("precious")
    copy_notebooks(mine)
    for path in (mine / "briefs").iterdir():
        path.unlink()
    (mine / "briefs").rmdir()
    (mine / "briefs").symlink_to(outside / "briefs")
    first, second = sorted(mine.glob("*.ipynb"))[:2]
    first.unlink()
    first.symlink_to(outside / "precious")
    second.unlink()
    second.symlink_to(outside / "not-there")
    copied = copy_notebooks(mine)
    assert copied.written == ()
    assert {first.name, second.name, "briefs/low-table.toml"} <= set(copied.kept)
    assert (outside / "precious").read_text() == "precious"
    assert sorted(p.name for p in outside.rglob("*")) == ["briefs", "precious"]


@pytest.mark.parametrize(
    "record", ["[" * 100_000, '{"a":' * 100_000, '{"01.ipynb": [1]}', '{"01.ipynb": {"a": 1}}']
)
def test_a_record_of_nested_brackets(tmp_path, capsys, record):
    from tablekit import cli

    (tmp_path / RECORD).write_text(record)
    assert cli.main(["open", "--copy-only", "--dir", str(tmp_path)]) == 0
    assert capsys.readouterr().err == "" and copy_notebooks(tmp_path).written == ()


# --- One file -----------------------------------------------------------------------------


@posix
def test_a_file_keeps_its_mode_and_a_link_is_replaced(tmp_path):
    path, other = tmp_path / "a", tmp_path / "b"
    path.write_text("1")
    path.chmod(0o640)
    write_file(path, b"2")
    assert path.stat().st_mode & 0o777 == 0o640 and path.read_text() == "2"
    other.symlink_to(path)
    write_file(other, b"3")
    assert path.read_text() == "2" and not other.is_symlink() and other.read_text() == "3"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]


def panel(folder: Path) -> FilesPanel:
    from tablekit.brief import parse_brief
    from tablekit.setting_out import design_of

    brief = parse_brief(kit.BRIEF)
    return FilesPanel(lambda: brief, lambda: design_of(brief), lambda _: None, folder)


@pytest.mark.parametrize("name", ["x" * 252, "ä" * 130, "中/" + "中" * 90])
def test_a_name_that_is_too_long_is_told(tmp_path, name):
    """255 bytes a name: NAME_MAX of Linux, limits.h; the ending counts."""
    assert LONGEST_NAME == 255
    with pytest.raises(DesignError, match="the name is too long"):
        within(tmp_path, name, ".toml")
    it = panel(tmp_path)
    it.name.value = name
    for action in (it.save_brief, it.load_brief):
        it.said.value = ""
        action()
        assert "the name is too long" in it.said.value
    assert within(tmp_path, "x" * 250, ".toml")
    save_text(within(tmp_path, "x" * 250, ".toml"), "1")
    assert list(tmp_path.iterdir())


def test_what_a_system_refuses_is_told_in_the_panel(tmp_path, monkeypatch):
    it = panel(tmp_path)

    def refuse(_: object) -> bool:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(Path, "is_dir", refuse)
    it.save_brief()
    assert os.strerror(errno.EIO) in it.said.value


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with a name here")
def test_a_pipe_as_a_brief(tmp_path, monkeypatch):
    pipe = tmp_path / "brief.toml"
    os.mkfifo(pipe)
    monkeypatch.setattr("tablekit.brief.text.WRITER_WAIT", 0.5)
    start = time.monotonic()
    with pytest.raises(BriefError, match="cannot be read: it is a pipe into which nobody writes"):
        read_brief(pipe)
    assert time.monotonic() - start < 30

    def write() -> None:
        with pipe.open("w") as file:
            for line in kit.BRIEF.splitlines(keepends=True):
                file.write(line)
                file.flush()
                time.sleep(0.05)

    writer = threading.Thread(target=write)
    writer.start()
    assert read_brief(pipe).name == "Trial"
    writer.join()


def test_a_fault_that_a_signal_was_made_into_is_no_fault() -> None:
    """What a signal falls into may catch it and raise something of its own."""
    code = (
        "import os, signal\n"
        "from tablekit.packet.folder import tidied_up\n"
        "with tidied_up():\n"
        "    try:\n"
        "        os.kill(os.getpid(), signal.SIGTERM)\n"
        "        signal.pause()\n"
        "    except BaseException as ended:\n"
        "        raise RuntimeError('of its own') from ended\n"
    )
    done = subprocess.run([*kit.START[:1], "-c", code], capture_output=True, env=kit.environment())
    assert done.returncode == -signal.SIGTERM, done.stderr
