"""From a file to checked TOML: everything that can be wrong with a brief before its sense.

What a maker wrote is data. It is decoded, read by `tomllib` and compared with lists; nothing in it
is ever evaluated.
"""

from __future__ import annotations

import errno
import os
import re
import select
import stat
import time
import tomllib
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import lowered

LARGEST_FILE = 1_000_000  # bytes: hundreds of times the longest brief
LONGEST_LINE = 2000
MOST_LINES = 5000  # several times what the most boards and planks take
# The reader's time grows with the square of a dotted key's length, and with the length of the
# heading above each key.
MOST_DOTS, MOST_DOTS_SQUARED = 250, 2_000_000
WRITER_WAIT = 5.0  # seconds for whoever writes into a pipe
MOST_KEPT = 100  # faults after which looking for more helps nobody
MOST_SHOWN = 10
LONGEST_SHOWN = 60

Place = tuple[str | int, ...]  # ("given", "table_height"), ("boards", 1, "width")


@dataclass(frozen=True)
class BriefProblem:
    """One thing wrong with a brief.

    line     counted from 1, as is `column`; None where it is not about one
    section  "given", "boards 2", "" for the top of the file
    key      the key it is about, "" where none
    message  what was found, what was expected, what to do
    """

    message: str
    line: int | None = None
    section: str = ""
    key: str = ""
    column: int | None = None

    def __str__(self) -> str:
        where = [f"line {self.line}"] if self.line else []
        where += [f"column {self.column}"] if self.column else []
        where += [f"[{self.section}]"] if self.section else []
        return f"{', '.join(where)}: {self.message}" if where else self.message


class BriefError(DesignError):
    """A brief cannot be read or is malformed. `problems` holds all that was found, in order."""

    exit_code = 2

    def __init__(self, where: str, problems: list[BriefProblem]):
        self.where = where
        self.problems = tuple(sorted(problems, key=lambda problem: problem.line or 0))
        super().__init__(self._told())

    def _told(self) -> str:
        if len(self.problems) == 1:
            one = str(self.problems[0])
            return f"{self.where}{', ' if one.startswith(('line ', '[')) else ': '}{one}"
        shown = [f"  {problem}" for problem in self.problems[:MOST_SHOWN]]
        more = len(self.problems) - len(shown)
        rest = [f"  and {more} more"] if more else []
        count = f"{len(self.problems)}{' or more' if len(self.problems) >= MOST_KEPT else ''}"
        return "\n".join([f"{self.where}: {count} things to mend", *shown, *rest])


# --- The file -----------------------------------------------------------------------------


def read_text(path: str | Path, what: str = "a brief", ending: str = ".toml") -> str:
    """The text of a brief, or of what else a maker writes. Raises BriefError when it cannot be read
    as UTF-8 text.

    A byte order mark at the start and Windows line ends are taken as editors write them.
    """
    where = shown_path(path)
    try:
        raw = _read(path)
    except FileNotFoundError:
        raise BriefError(
            where, [BriefProblem(f"there is no such file{_neighbour(path, ending)}")]
        ) from None
    except IsADirectoryError:
        raise BriefError(
            where, [BriefProblem(f"is a folder; expected {what} in it{_neighbour(path, ending)}")]
        ) from None
    except (OSError, ValueError) as reason:
        why = getattr(reason, "strerror", None) or str(reason)
        raise BriefError(where, [BriefProblem(f"cannot be read: {why}")]) from None
    if len(raw) > LARGEST_FILE:
        raise BriefError(where, [_too_large(what)])
    return _decode(raw, where, what)


def _read(path: str | Path) -> bytes:
    """What is in a file, at most one byte more than the largest may have. Raises OSError."""
    try:
        is_pipe = stat.S_ISFIFO(os.lstat(path).st_mode)
    except FileNotFoundError:
        is_pipe = False
    if is_pipe and os.name == "posix":
        return _piped(path)
    with open(path, "rb") as file:
        return file.read(LARGEST_FILE + 1)


def _piped(path: str | Path) -> bytes:
    """What someone writes into a pipe that has a name. Raises TimeoutError where nobody does:
    it would be waited for without end."""

    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        waiting, raw = select.poll(), b""
        waiting.register(descriptor, select.POLLIN)
        end = time.monotonic() + WRITER_WAIT
        while len(raw) <= LARGEST_FILE:
            if waiting.poll(100):
                piece = os.read(descriptor, LARGEST_FILE + 1)
                if not piece:  # whoever wrote has done
                    break
                raw, end = raw + piece, time.monotonic() + WRITER_WAIT
            elif time.monotonic() > end:
                raise TimeoutError(errno.ETIMEDOUT, "it is a pipe into which nobody writes")
        return raw
    finally:
        os.close(descriptor)


def shown_path(path: str | Path) -> str:
    """A path as a message may show it, on one line."""
    return "".join(c if c.isprintable() else "?" for c in str(path))


def _too_large(what: str) -> BriefProblem:
    return BriefProblem(f"is larger than 1 MB; {what} is a short text. Is it the right file?")


def _neighbour(path: str | Path, ending: str) -> str:
    """Files of that kind beside the path asked for, to choose from."""
    folder = Path(path) if Path(path).is_dir() else Path(path).parent
    try:
        near = sorted(shown_path(p.name) for p in folder.glob(f"*{ending}") if p.is_file())
    except OSError:
        near = []
    return f"; beside it: {', '.join(near[:5])}" if near else ""


def _decode(raw: bytes, where: str, what: str) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BriefError(
            where,
            [BriefProblem("is UTF-16 text; expected UTF-8: save it again with that encoding")],
        )
    if b"\0" in raw:
        raise BriefError(where, [BriefProblem(f"is not a text file; expected {what}")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = raw.count(b"\n", 0, reason.start) + 1
        found = f"a byte 0x{raw[reason.start]:02x} that is not UTF-8"
        raise BriefError(
            where, [BriefProblem(f"found {found}; save the file with the encoding UTF-8", line)]
        ) from None


# --- TOML ---------------------------------------------------------------------------------

_AT = re.compile(r"^(?P<what>.*?) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end.*)\)$")
_UNQUOTED = re.compile(r"^\s*(?P<key>[\w.-]+)\s*=\s*(?P<value>[^\"'\[{#\s][^\"'#]*?)\s*(?:#.*)?$")


def load_toml(text: str, where: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises BriefError with line and column."""
    if len(text) > LARGEST_FILE:
        raise BriefError(where, [_too_large("a brief")])
    lines = split_lines(text)
    if (endless := _endless(lines)) is not None:
        raise BriefError(where, [endless])
    try:
        return tomllib.loads(text)
    except RecursionError:
        reason = "brackets inside brackets, too many deep"
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
    except ValueError:  # the one fault that tomllib lets through from Python's own reader
        reason = "a number with thousands of figures"
    match = _AT.match(reason)
    if match is None:
        raise BriefError(where, [BriefProblem(f"is not TOML: {reason}")])
    line = int(match["line"] or max(len(lines), 1))
    column = int(match["column"]) if match["column"] else None
    found = lines[line - 1] if line <= len(lines) else ""
    message = f"is not TOML: {_plain(match['what'])}; found {as_written(found.strip())}"
    raise BriefError(where, [BriefProblem(message + _advice(found), line, column=column)])


def _endless(lines: Sequence[str]) -> BriefProblem | None:
    """What would keep the reader busy for longer than a maker waits, or None."""
    if len(lines) > MOST_LINES:
        return BriefProblem(f"has {len(lines)} lines; {MOST_LINES} are the most a brief may have")
    squared = 0
    for number, written in enumerate(lines, start=1):
        if len(written) > LONGEST_LINE:
            message = f"has {len(written)} characters; {LONGEST_LINE} are the most a line may have"
            return BriefProblem(message, number)
        dots = written.count(".")
        squared += dots * dots
        if dots > MOST_DOTS or squared > MOST_DOTS_SQUARED:
            return BriefProblem(
                f"has {dots} points; {MOST_DOTS} are the most a line may have, and fewer where "
                "many lines have them. No name in a brief needs more than two",
                number,
            )
    return None


def split_lines(text: str) -> list[str]:
    """Lines as TOML counts them; `str.splitlines` would also split at rarer characters."""
    return text.replace("\r\n", "\n").split("\n")


def _plain(reason: str) -> str:
    """tomllib's reasons, those a maker meets most in plainer words."""
    if reason == "Cannot overwrite a value":
        return "this name is given twice"
    if "Cannot declare" in reason:
        return "this section stands twice, or once as [name] and once as [[name]]"
    return lowered(reason)


def _advice(line: str) -> str:
    """What to write instead, where the usual slip is made: a measure without quotes."""
    match = _UNQUOTED.match(line) if len(line) < 200 else None
    if match:
        return f"; a text stands in quotes: {match['key']} = {as_written(match['value'])}"
    return ""


def as_written(value: object) -> str:
    """A value as a brief would write it, cut short and on one line, for a message."""
    if isinstance(value, str):
        line = "".join(c if c.isprintable() else "?" for c in value[: LONGEST_SHOWN + 1])
        return f'"{line}"' if len(line) <= LONGEST_SHOWN else f'"{line[: LONGEST_SHOWN - 1]}…"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a section"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of many figures"
    return str(value)


def plain_text_fault(text: str) -> str | None:
    """Why a text cannot be printed as one line, or None: it would upset drawings and terminals."""
    for character in text:
        kind = unicodedata.category(character)
        turns = character in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
        if kind in ("Cc", "Zl", "Zp", "Cs") or turns:
            return f"has a control character (U+{ord(character):04X})"
        # XML cannot hold the one kind, and the writer of the PDF stumbles over the other.
        if _no_character(ord(character)) or character == "\ufeff":
            return f"has a mark that is no letter (U+{ord(character):04X})"
    return None


def _no_character(code: int) -> bool:
    """Whether Unicode promises never to make it one (Unicode 15, section 23.7, from memory)."""
    return code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF


# --- Where a key stands -------------------------------------------------------------------

_PART = r"(?:[A-Za-z0-9_-]+|\"(?:[^\"\\]|\\.)*\"|'[^']*')"
_PATH = rf"{_PART}(?:\s*\.\s*{_PART})*"
_HEADER = re.compile(rf"^\s*(?P<open>\[\[?)\s*(?P<path>{_PATH})\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(rf"^\s*(?P<path>{_PATH})\s*=(?P<rest>.*)$")


@dataclass
class Locator:
    """Finds the line of a key by reading the text once, section by section.

    tomllib does not say where a value stood, so this looks for the headers and keys that a
    hand-written brief has. What it does not find it does not guess: it names the nearest section.
    """

    text: str
    _lines: dict[Place, int] = field(default_factory=dict, init=False)
    _repeated: Counter[Place] = field(default_factory=Counter, init=False)

    def __post_init__(self) -> None:
        section: Place = ()
        for number, line in self._statements():
            if header := _HEADER.match(line):
                section = self._header(_names(header["path"]), header["open"] == "[[")
                self._lines.setdefault(section, number)
            elif key := _KEY.match(line):
                names = _names(key["path"])
                for end in range(1, len(names) + 1):
                    self._lines.setdefault((*section, *names[:end]), number)

    def _statements(self) -> Iterator[tuple[int, str]]:
        """Lines that can start a statement: those inside a text of many lines cannot."""
        inside = ""
        for number, line in enumerate(split_lines(self.text), start=1):
            if inside:
                inside = "" if inside in line else inside
                continue
            yield number, line
            for mark in ('"""', "'''"):
                if line.partition("=")[2].count(mark) == 1:
                    inside = mark

    def _header(self, names: Place, repeated: bool) -> Place:
        if not repeated:
            return names
        self._repeated[names] += 1
        return (*names, self._repeated[names] - 1)

    def line(self, place: Place) -> int | None:
        """The line of `place`, or of the nearest section around it that was found."""
        for end in range(len(place), 0, -1):
            if place[:end] in self._lines:
                return self._lines[place[:end]]
            # A name may have no line of its own, but stand in headings: [[name]], [name.part].
            inside = (line for it, line in self._lines.items() if it[:end] == place[:end])
            if (first := min(inside, default=None)) is not None:
                return first
        return None


def _names(path: str) -> Place:
    return tuple(_name(part) for part in re.findall(_PART, path))


def _name(part: str) -> str:
    if part.startswith('"') and "\\" in part:
        try:
            return str(tomllib.loads(f"name = {part}")["name"])
        except tomllib.TOMLDecodeError:  # only in a text that tomllib has refused already
            return part
    return part[1:-1] if part[0] in "\"'" else part
