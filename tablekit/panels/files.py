"""Briefs kept and read again, and the shop packet, from within a panel.

Everything stays inside one folder, and nothing is written over that was not written here, unless
the maker says so twice.
"""

from __future__ import annotations

import base64
import hashlib
import html
import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from tablekit.brief import Brief, parse_brief, read_brief, write_brief
from tablekit.brief.text import shown_path
from tablekit.design import Design
from tablekit.engine.trouble import DesignError
from tablekit.packet.folder import digest, write_file
from tablekit.packet.packet import Progress, write_packet
from tablekit.panels.controls import WRAPPED, alert, button, heard, told_html
from tablekit.pupils import NUMBER, PAGE_NAME, on_arrival

ENDING = ".toml"
TITLE = "Save, load, shop packet"
LONGEST_NAME = 255  # bytes, as most file systems have it; a letter takes one to four
LARGEST = 1_000_000  # bytes, as of a brief on disk
Writer = Callable[[Design, Path, Progress], Sequence[str]]


class NoName(DesignError):
    """A name that cannot be that of a file or folder here."""


def held_link(path: Path, kind: str) -> str:
    """A link that holds the file, since the page may be read where its folder is not. `kind` is
    its media type, as text/html."""
    held = base64.b64encode(path.read_bytes()).decode()
    name = html.escape(path.name)
    return f'<a download="{name}" href="data:{kind};base64,{held}">{name}</a>'


def within(folder: Path, name: str, ending: str = "") -> Path:
    """The path of `name` inside `folder`, with `ending` where it has none.

    Raises DesignError for an empty name and for any path that leads out of the folder, by whatever
    road: a root, a `..`, a link."""
    name = name.strip()
    if not name:
        raise NoName("there is no name; type one, such as low-table")
    if not name.isprintable() or "\\" in name or ":" in name:
        raise NoName(f"{shown_path(name)!r} is not a plain name; use letters, digits and hyphens")
    if ending and Path(name).suffix != ending:
        name += ending
    home = Path(os.path.realpath(folder))
    path = Path(os.path.realpath(home / name))
    if path == home or not path.is_relative_to(home):
        raise NoName(f"{name} lies outside your folder; type a name inside it")
    parts = path.relative_to(home).parts
    if any(part.startswith(".") for part in parts):
        raise NoName(f"{name} is a hidden name; type one that does not begin with a dot")
    if any(len(os.fsencode(part)) > LONGEST_NAME for part in parts):
        raise NoName(f"the name is too long; type one of at most {LONGEST_NAME // 4} letters")
    return path


def save_text(path: Path, text: str) -> None:
    """Write a file as a whole or not at all. Raises DesignError."""
    try:
        write_file(path, text.encode("utf-8"))
    except OSError as reason:
        why = reason.strerror or reason
        raise DesignError(f"{path.name} cannot be written: {why}; choose another name") from None


class Saved:
    """Files inside one folder that were written from here, by what was in them: these may be
    written again.

    A file that is in the way is replaced when the same is asked for once more.
    """

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._written: dict[Path, str] = {}
        self._warned: tuple[Path, str] | None = None

    @property
    def folder(self) -> Path:
        """Where files are kept: the folder one works in if not said."""
        return self._folder or Path.cwd()

    def write(self, name: str, ending: str, text: str) -> Path:
        """Write, or raise DesignError that says to ask again."""
        path = within(self.folder, name, ending)
        if path.is_dir():
            raise DesignError(f"{path.name} is a folder; choose another name")
        stranger = self._stranger(path)
        if stranger is not None and self._warned != (path, stranger):
            self._warned = (path, stranger)
            raise DesignError(
                f"{path.name} already exists, and was not written from this panel or has changed "
                "since. Click again to replace it, or choose another name"
            )
        self._warned = None
        save_text(path, text)
        self._written[path] = digest(path)
        return path

    def take_over(self, name: str) -> None:
        """A file that was read here counts as written from here, as it is."""
        path = within(self.folder, name)
        self._written[path] = digest(path)

    def forget(self) -> None:
        """A warning no longer holds: something else was done meanwhile."""
        self._warned = None

    def _stranger(self, path: Path) -> str | None:
        """What is in a file that is not ours; None where there is none."""
        if not path.exists():
            return None
        try:
            found = digest(path)
        except OSError as reason:
            raise DesignError(f"{path.name} cannot be read: {reason.strerror}") from None
        return None if self._written.get(path) == found else found


class AsLeft:
    """What a panel shows, kept in the folder of a pupil and for one page, so that it is there again
    when the page is opened anew. Where nobody has a number nothing is kept.

    begun  the brief that the page opens the panel with
    """

    def __init__(self, begun: Brief) -> None:
        self._first = begun

    @cached_property
    def _begun(self) -> str:
        return write_brief(self._first)

    def _path(self) -> Path | None:
        if NUMBER not in os.environ:
            return None
        about = f"{os.environ.get(PAGE_NAME, '')} {self._begun}".encode()
        return Path.cwd() / f".as-left-{hashlib.sha256(about).hexdigest()[:16]}{ENDING}"

    def read(self) -> Brief | None:
        """What was left; None where there is nothing that can be read."""
        path = self._path()
        if path is None or not path.is_file():
            return None
        try:
            return read_brief(path)
        except DesignError:
            return None

    def write(self, brief: Brief) -> None:
        """Keep this. A disk that takes nothing more is told of where the pupil saves something."""
        path = self._path()
        if path is None:
            return
        text = write_brief(brief)
        with suppress(OSError):
            if text == self._begun:
                path.unlink(missing_ok=True)
            else:
                write_file(path, text.encode("utf-8"))


class FilesPanel:
    """Saving, loading and the packet, for a panel that hands over what it holds.

    brief()    the brief as the panel has it
    design()   the design of it; raises DesignError where the givens do not hold
    opened(b)  called with a brief that was loaded; may raise DesignError
    folder     where everything stays; the folder one works in if not said
    write      what writes the packet; `write_packet` if not said

    said       what came of it, in words
    """

    def __init__(
        self,
        brief: Callable[[], Brief],
        design: Callable[[], Design],
        opened: Callable[[Brief], None],
        folder: Path | None = None,
        write: Writer | None = None,
    ):
        self._brief, self._design, self._opened = brief, design, opened
        self._write, self._saved = write, Saved(folder)
        self._make_widgets(plain_name(brief().name))
        on_arrival(self._list)

    def _make_widgets(self, name: str) -> None:
        self.name = widgets.Combobox(
            description="brief", value=f"{name}{ENDING}", options=self._briefs(),
            style={"description_width": "60px"}, layout={"width": "330px"},
        )  # fmt: skip
        heard(self.name, lambda _: self._saved.forget())
        self.save = button(
            "save", self.save_brief, "104px", icon="floppy-o",
            tooltip="write the brief to this file",
        )  # fmt: skip
        self.load = button(
            "load", self.load_brief, "104px", icon="folder-open-o", tooltip="read this file"
        )
        self.upload = widgets.FileUpload(
            accept=ENDING, multiple=False, description="upload",
            tooltip="read a brief from this computer", layout={"width": "190px"},
        )  # fmt: skip
        heard(self.upload, self._uploaded)
        self.packet_name = widgets.Text(
            description="packet", value=f"{name}-packet", continuous_update=False,
            style={"description_width": "60px"}, layout={"width": "330px"},
        )  # fmt: skip
        self.make = button(
            "write the shop packet", self.write_packet, "212px", icon="print",
            tooltip="into this folder",
        )  # fmt: skip
        self.progress = widgets.FloatProgress(
            value=0, min=0, max=1, layout={"width": "200px", "visibility": "hidden"}
        )
        self.said = widgets.HTML()
        row = {**WRAPPED, "align_items": "center"}
        self.widget = widgets.VBox(
            [
                widgets.HBox([self.name, self.save, self.load, self.upload], layout=row),
                widgets.HBox([self.packet_name, self.make, self.progress], layout=row),
                self.said,
            ]
        )

    def _list(self) -> None:
        self.name.options = self._briefs()

    def _briefs(self) -> tuple[str, ...]:
        """Briefs to choose from: in the folder and one below."""
        found = [*self._saved.folder.glob(f"*{ENDING}"), *self._saved.folder.glob(f"*/*{ENDING}")]
        names = (str(path.relative_to(self._saved.folder)) for path in found if path.is_file())
        return tuple(sorted(name for name in names if not name.startswith(".")))

    # -- what the maker does ----------------------------------------------------------------

    def save_brief(self) -> None:
        """Write the brief; over a file that is not ours only when asked again."""
        self._tell(self._save)

    def load_brief(self) -> None:
        """Read the brief of that name."""
        self._saved.forget()
        self._tell(self._load)

    def write_packet(self) -> None:
        """Write the packet, showing how far it is."""
        self._saved.forget()
        self.make.disabled = True
        self.progress.layout.visibility = "visible"
        self._went(0.0, "writing the shop packet")
        try:
            self._tell(self._pack)
        finally:
            self.make.disabled = False
            self.progress.layout.visibility = "hidden"

    def _uploaded(self, files: Sequence[Any]) -> None:
        for file in files:
            self._tell(partial(self._take_in, file))
        if files:  # so that the same file can be chosen again once it is mended
            self.upload.value = ()

    # -- how it is done ---------------------------------------------------------------------

    def _save(self) -> str:
        path = self._saved.write(self.name.value, ENDING, write_brief(self._brief()))
        self._list()
        return f"Saved as {self._shown(path)}."

    def _load(self) -> str:
        path = within(self._saved.folder, self.name.value, ENDING)
        return self._open(read_brief(path), self._shown(path))

    def _take_in(self, file: Any) -> str:
        name, content = shown_path(file["name"]), bytes(file["content"])
        if len(content) > LARGEST:
            raise DesignError(f"{name} is larger than 1 MB; a brief is a short text")
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            raise DesignError(f"{name} is not UTF-8 text; is it the right file?") from None
        return self._open(parse_brief(text, name), name)

    def _open(self, brief: Brief, where: str) -> str:
        self._opened(brief)
        return f"Loaded {where}."

    def _pack(self) -> str:
        folder = within(self._saved.folder, self.packet_name.value)
        write = self._write or write_packet
        names = write(self._design(), folder, self._went)
        self._went(1.0, "done")
        return f"{len(names)} files written to {self._shown(folder)}."

    def _went(self, done: float, words: str) -> None:
        self.progress.value = done
        self._say(f"{words} …")

    def _shown(self, path: Path) -> str:
        return shown_path(path.relative_to(os.path.realpath(self._saved.folder)))

    def _tell(self, action: Callable[[], str]) -> None:
        try:
            self._say(action())
        except DesignError as trouble:
            self.said.value = alert(str(trouble)).replace("\n", "<br>")
        except OSError as reason:  # of a disk or a network: an error in a callback is shown nowhere
            self.said.value = alert(f"this failed: {reason.strerror or reason}")

    def _say(self, text: str) -> None:
        self.said.value = told_html([text])


def plain_name(name: str) -> str:
    """A name for files after that of a piece."""
    letters = (c if c.isalnum() else "-" for c in name.lower())
    return "-".join(part for part in "".join(letters).split("-") if part)[:60] or "brief"
