"""A folder written as a whole or not at all, and only ever over one that was written here, also
when the run is ended from outside.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
import signal
import stat
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from tablekit.engine.trouble import DesignError

# -- tidying up when a run is ended from outside ---------------------------------------------------

# What `kill` sends, and what a terminal that is closed does.
ENDING = ("SIGTERM", "SIGHUP")


class _Ended(BaseException):
    """A signal came; on the way out everything is tidied up."""


@contextmanager
def tidied_up() -> Iterator[None]:
    """Within, a signal that would end this process at once lets what was begun be undone first, by
    every `finally` on the way out; then it ends the process as it would have.

    In the main thread alone, since no other is told of signals; and a signal that is ignored, as
    under nohup, or that someone else answers to, is left to them."""
    came: list[int] = []

    def end(number: int, _: FrameType | None) -> None:
        if not came:  # a second one would stop the tidying up
            came.append(number)
            raise _Ended

    numbers = [int(getattr(signal, name)) for name in ENDING if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        numbers = []
    answered = [number for number in numbers if signal.getsignal(number) is signal.SIG_DFL]
    for number in answered:
        signal.signal(number, end)
    try:
        yield
    except BaseException:
        # Whatever comes out once a signal came is due to it, also where the code that it fell into
        # made another fault of it.
        if not came:
            raise
    finally:
        for number in answered:
            signal.signal(number, signal.SIG_DFL)
    if came:
        os.kill(os.getpid(), came[0])


def ended_at_once() -> None:
    """In a copy of a process: signals end it as if nobody had asked to tidy up."""
    for name in ENDING:
        number = getattr(signal, name, None)
        if number is not None and callable(signal.getsignal(number)):
            signal.signal(number, signal.SIG_DFL)


# -- the folder ------------------------------------------------------------------------------------

MARKER = ".tablekit-packet"
NEW = ".tablekit-new-"  # how the name of a file begins that is only being written
ABANDONED = 3600.0  # seconds after which nobody is still writing a packet
_HEADING = "Files written by tablekit set-out. A newer packet replaces the whole folder.\n"


class FolderError(DesignError):
    """A folder cannot be written. Nothing has been changed."""

    exit_code = 2


def write_folder(folder: Path, fill: Callable[[Path], None]) -> tuple[str, ...]:
    """Write `folder` anew: `fill` gets an empty folder beside it, which then takes its place.
    It may make folders in it, one deep.

    An empty folder, or one that holds nothing but what was written here before, is replaced as a
    whole. Returns the names of the files. Raises FolderError, with nothing changed, when the
    folder holds anything else or cannot be written; whatever `fill` raises passes through.
    """
    try:
        folder = Path(os.path.realpath(folder))
    except ValueError as reason:  # a name that no system takes
        raise FolderError(f"the packet folder cannot have that name: {reason}") from None
    try:
        with tidied_up():
            return _write(folder, fill)
    except OSError as reason:
        why = reason.strerror or reason
        raise FolderError(f"{folder} cannot be written: {why}; choose another folder") from None


def _write(folder: Path, fill: Callable[[Path], None]) -> tuple[str, ...]:
    _tidy_up(folder)
    _refuse_to_overwrite(folder)
    made = _make_parents(folder.parent)
    try:
        return _replace(folder, fill)
    except BaseException:
        with suppress(OSError):  # someone else may have put something there meanwhile
            for parent in made:
                parent.rmdir()
        raise


def write_file(path: Path, data: bytes) -> None:
    """Write a file as a whole or not at all, in place of what has its name, with the mode of that
    or else that of new files. A link of that name is replaced and not followed.

    Raises OSError, with nothing changed."""
    made = path.with_name(f"{NEW}{secrets.token_hex(8)}")
    with tidied_up():
        try:
            with open(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
                file.write(data)
            if path.is_file() and not path.is_symlink():
                made.chmod(stat.S_IMODE(path.stat().st_mode))
            made.replace(path)
        except BaseException:
            with suppress(OSError):
                made.unlink()
            raise


def _refuse_to_overwrite(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise FolderError(f"{folder} is a file; choose a folder for the packet")
    here = Path.cwd()
    if folder == here or folder in here.parents:
        raise FolderError(
            f"{folder} is the folder you are working in; give the packet its own folder, such as "
            f"{folder / 'packet'}"
        )
    _refuse_strangers(folder, folder)


def _refuse_strangers(folder: Path, now: Path) -> None:
    """Raise when `folder`, which may be `now` elsewhere, holds files of others."""
    # Looked at twice: another run may have put its packet there in the middle of the first look.
    strangers = _strangers(now) and _strangers(now)
    if strangers:
        more = ", …" if len(strangers) > 3 else ""
        raise FolderError(
            f"{folder} holds files that tablekit did not write: {', '.join(strangers[:3])}{more}. "
            "Choose another folder, or move these files first"
        )


def _strangers(folder: Path) -> list[str]:
    """Names of what was not written here, or was changed since."""
    recorded = _recorded(folder / MARKER)
    own = {name.partition("/")[0] for name in recorded if "/" in name}
    strangers = []
    # Only folders of ours are looked into: someone else's may be a whole disk.
    for entry in sorted(folder.iterdir()):
        is_own = entry.name in own and entry.is_dir() and not entry.is_symlink()
        for one in sorted(entry.iterdir()) if is_own else [entry]:
            name = one.relative_to(folder).as_posix()
            known = one.is_file() and not one.is_symlink() and recorded.get(name) == digest(one)
            if not known and not (name == MARKER and _is_ours(one)):
                strangers.append(name)
    return strangers


def _recorded(marker: Path) -> dict[str, str]:
    """File name -> digest, as the marker has it; empty without a marker of ours."""
    rows = marker.read_text(encoding="utf-8").splitlines()[1:] if _is_ours(marker) else []
    split = (row.partition("  ") for row in rows)
    return {name: found for found, _, name in split}


def _is_ours(marker: Path) -> bool:
    """Whether a marker was written here, and is not a file of someone else that has its name."""
    try:
        if marker.is_symlink() or not marker.is_file():
            return False
        return marker.read_text(encoding="utf-8").startswith(_HEADING)
    except (OSError, UnicodeDecodeError):
        return False


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes, to tell whether anyone changed it."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _make_parents(parent: Path) -> list[Path]:
    """Make the folders above; returns those that were missing, innermost first."""
    missing = [path for path in (parent, *parent.parents) if not path.exists()]
    parent.mkdir(parents=True, exist_ok=True)
    return missing


def _rooms(folder: Path) -> str:
    """How the names of the rooms begin in which `folder` is got ready, beside it."""
    return f".tablekit-{hashlib.sha256(os.fsencode(folder.name)).hexdigest()[:12]}-"


def _tidy_up(folder: Path) -> None:
    """Put right what runs that were killed half-way left beside `folder`.

    A packet that one of them had moved aside comes back where no newer one took its place. Its
    half-written room goes away, once it is so old that nobody can still be writing there."""
    for room in sorted(folder.parent.glob(f"{_rooms(folder)}*")):
        with suppress(OSError):  # someone else is tidying too, or may and we may not
            old = room / "old"
            if room.is_symlink():
                continue
            if old.is_dir() and not folder.exists():
                old.rename(folder)
            is_ours = not old.is_dir() or not _strangers(old)
            if is_ours and time.time() - room.stat().st_mtime > ABANDONED:
                shutil.rmtree(room, ignore_errors=True)


def _replace(folder: Path, fill: Callable[[Path], None]) -> tuple[str, ...]:
    # Beside the target, so that moving it there cannot mean copying between disks.
    room = Path(tempfile.mkdtemp(prefix=_rooms(folder), dir=folder.parent))
    try:
        new, old = room / "new", room / "old"
        new.mkdir()
        fill(new)
        files = (path for path in new.rglob("*") if path.is_file())
        names = sorted(path.relative_to(new).as_posix() for path in files)
        rows = [f"{digest(new / name)}  {name}\n" for name in names]
        (new / MARKER).write_text(_HEADING + "".join(rows), encoding="utf-8")
        if folder.exists():
            # Who may look into it was the maker's to say.
            new.chmod(stat.S_IMODE(folder.stat().st_mode))
            folder.rename(old)
        try:
            if old.exists():
                # Looked at again, now that nobody can put anything there: a packet takes a while.
                _refuse_strangers(folder, old)
            new.rename(folder)
        except (OSError, FolderError):
            if old.exists():
                old.rename(folder)
            raise
        return tuple(names)
    finally:
        shutil.rmtree(room, ignore_errors=True)
