"""The pupils of a class that is served: each has a number and a folder of their own, kept by a
cookie. Who has no cookie that was given out here is new."""

from __future__ import annotations

import hashlib
import json
import re
import secrets
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from tablekit.offered import PAGE, offered
from tablekit.packet.folder import write_file

COOKIE = "tablekit-pupil"
KEPT = 180  # days, half a school year
NUMBER = "TABLEKIT_PUPIL"  # tells a page whose it is
PAGE_NAME = "TABLEKIT_PAGE"  # and which page it is
MOST_PUPILS = 300  # in one folder
MOST_PAGES = 3  # open at a time, for each
_RECORD = ".tablekit-pupils.json"  # of each, the digest of the cookie and the number


_ON_ARRIVAL: list[Callable[[], object]] = []


def on_arrival(action: Callable[[], object]) -> None:
    """Have something done anew once it is known whose page this is, where that is not yet known as
    the page is made: then it has the number and the folder of its pupil."""
    _ON_ARRIVAL.append(action)


def arrive() -> None:
    """The pupil is known from now on. What fails is told in the log of the server; the page opens
    all the same."""
    for action in _ON_ARRIVAL:
        try:
            action()
        except Exception:
            traceback.print_exc()
    forget_arrivals()


def forget_arrivals() -> None:
    """What was made so far is no page."""
    _ON_ARRIVAL.clear()


class Full(Exception):
    """The folder takes no more pupils."""


class Pupils:
    """The pupils of the class that is served from `folder`, as its record has them."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder.resolve()
        self._numbers = _read(self._folder / _RECORD)

    def number(self, cookie: str | None) -> int | None:
        """The number of who has this cookie; None where it was not given out here."""
        return self._numbers.get(_digest(cookie)) if cookie else None

    def new(self) -> tuple[str, int]:
        """A cookie for a new pupil, and the number. Raises Full, and OSError where the record
        cannot be written."""
        if len(self._numbers) >= MOST_PUPILS:
            raise Full
        cookie, number = secrets.token_urlsafe(32), 1 + max(self._taken(), default=0)
        numbers = {**self._numbers, _digest(cookie): number}
        write_file(self._folder / _RECORD, (json.dumps(numbers, indent=1) + "\n").encode())
        self._numbers = numbers
        return cookie, number

    def _taken(self) -> set[int]:
        """Numbers of the record, and of folders whose record is lost."""
        names = (path.name for path in self._folder.glob("pupil-*"))
        found = (re.fullmatch(r"pupil-(\d{1,6})", name) for name in names)
        return {*self._numbers.values(), *(int(one[1]) for one in found if one)}

    def room(self, number: int) -> Path:
        """The folder of a pupil, with copies of the briefs and of what pages link to, as far as
        they are not there. Raises OSError where it cannot be made."""
        room = self._folder / folder_name(number)
        if room.is_symlink():
            raise NotADirectoryError(room)
        room.mkdir(exist_ok=True)
        briefs = {f"briefs/{path.name}" for path in self._folder.glob("briefs/*.toml")}
        for name in sorted(offered(self._folder) | briefs):
            source, target = self._folder / name, room / name
            if not (name.endswith(PAGE) or target.exists() or source.is_symlink()):
                target.parent.mkdir(parents=True, exist_ok=True)
                write_file(target, source.read_bytes())
        return room


def folder_name(number: int) -> str:
    """What the folder of a pupil is called, in the folder that is served."""
    return f"pupil-{number:02d}"


def _digest(cookie: str) -> str:
    return hashlib.sha256(cookie.encode("utf-8", "replace")).hexdigest()


def _read(path: Path) -> dict[str, int]:
    found: object = None
    with suppress(OSError, ValueError, RecursionError):
        found = json.loads(path.read_text(encoding="utf-8"))
    if not isinstance(found, dict):
        return {}
    return {name: number for name, number in found.items() if type(number) is int and number > 0}
