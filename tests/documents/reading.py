"""What README and DEVELOPERS ask a reader to type: their fenced blocks, commands and names."""

from __future__ import annotations

import ast
import re
import shlex
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md")
LANGUAGES = {"sh", "console", "toml", "python"}
PROMPT = "$ "
ELSEWHERE = ".venv/bin/"  # before a program's name in the documents

_FENCE = re.compile(r"^( *)```(\S*) *\n(.*?)^ *``` *$", re.DOTALL | re.MULTILINE)
_SPAN = re.compile(r"`([^`]+)`")
# What stands in code without being a command or a name: `--dir`, `[given]`, `keep = ["B"]`,
# `{ temperature = "21 degC" }`, `"area"`, `derived(file, heading)`, `.[test]`.
OPTION = re.compile(r"--?[a-z]")
EXTRA = re.compile(r"\.\[(\w+)\]")
_TOML = re.compile(r"\[{1,2}\w+\]{1,2}|[\w.]+ = .*|\{.*\}|\".*\"", re.DOTALL)
_CALL = re.compile(r"(\w+)\([^()]*\)|(\w+)=\w+")


@dataclass(frozen=True)
class Block:
    """A fenced block; `line` is that of its fence."""

    document: str
    line: int
    language: str
    text: str


@dataclass(frozen=True)
class Command:
    """One command, as it is typed; those joined by && are commands of their own.

    shown  what the document says it prints, word by word; None where it shows nothing
    """

    document: str
    line: int
    text: str
    shown: str | None = None

    @property
    def words(self) -> list[str]:
        """As a shell takes them apart, the program without the folder it is in."""
        first, *rest = shlex.split(self.text)
        return [first.removeprefix(ELSEWHERE), *rest]

    @property
    def typed(self) -> str:
        """What two commands have in common that do the same."""
        return self.text.replace(ELSEWHERE, "")

    def __str__(self) -> str:
        return self.typed


def text_of(document: str) -> str:
    """A whole document."""
    return (ROOT / document).read_text(encoding="utf-8")


def blocks(document: str, text: str | None = None) -> list[Block]:
    """The fenced blocks of a document, less what they are indented by."""
    text = text_of(document) if text is None else text
    return [
        Block(document, text.count("\n", 0, found.start()) + 1, found[2], textwrap.dedent(found[3]))
        for found in _FENCE.finditer(text)
    ]


def prose(document: str, text: str | None = None) -> str:
    """A document without its fenced blocks, each line where it was."""
    text = text_of(document) if text is None else text
    return _FENCE.sub(lambda found: "\n" * found[0].count("\n"), text)


def spans(document: str, text: str | None = None) -> list[tuple[int, str]]:
    """Line and text of what is set in code within a paragraph."""
    text = prose(document, text)
    return [
        (text.count("\n", 0, found.start()) + 1, " ".join(found[1].split()))
        for found in _SPAN.finditer(text)
    ]


def commands(document: str, text: str | None = None) -> Iterator[Command]:
    """Every command of a document, in blocks and in paragraphs."""
    fenced = [command for block in blocks(document, text) for command in _of_block(block)]
    yield from fenced
    # The files that the commands in blocks are about are named in the paragraphs around them.
    about = {word for command in fenced for word in command.words[1:]}
    for line, span in spans(document, text):
        if span not in about and not is_named(span):
            yield from _pieces(document, line, span)


def _of_block(block: Block) -> Iterator[Command]:
    if block.language == "sh":
        for number, line in enumerate(block.text.replace("\\\n", "  ").splitlines(), 1):
            yield from _pieces(block.document, block.line + number, line)
    if block.language == "console":
        yield from _with_output(block)


def _with_output(block: Block) -> Iterator[Command]:
    _, *parts = re.split(rf"^{re.escape(PROMPT)}", block.text, flags=re.MULTILINE)
    for part in parts:
        line, _, shown = part.partition("\n")
        *before, last = _pieces(block.document, block.line, line)
        yield from before
        yield Command(last.document, last.line, last.text, shown)


def _pieces(document: str, line: int, text: str) -> Iterator[Command]:
    text = re.sub(r"(^|\s+)# .*$", "", text)  # a shell's comment
    for piece in re.split(r"\s+&&\s+", text.strip()):
        if piece:
            yield Command(document, line, piece)


# -- what is named only ---------------------------------------------------------------------------


def is_named(span: str) -> bool:
    """Whether a span only names something that is there: an option, a section of a brief, a file,
    a name in the source. Whatever else is set in code counts as a command."""
    if span.startswith(ELSEWHERE) or span == ".ci/run":
        return False
    if OPTION.match(span) or _TOML.fullmatch(span) or EXTRA.fullmatch(span):
        return True
    call = _CALL.fullmatch(span)
    name = (call[1] or call[2]) if call else span
    return " " not in name and (is_file(name) or in_the_source(name))


def is_file(name: str) -> bool:
    """Whether a file is there, from the top of the source, from a folder of the package, or, by
    its bare name, anywhere in the package."""
    name = name.rstrip("/")
    if not name or name.startswith("/"):
        return False
    places = [ROOT, ROOT / "tablekit", ROOT / "notebooks"]
    return any(list(place.glob(name)) for place in places) or (
        "/" not in name and any((ROOT / "tablekit").rglob(name))
    )


def in_the_source(name: str) -> bool:
    """Whether the kit, its tests or pyproject.toml have a name or a whole text that reads so.
    Comments do not count, nor do these tests of the documents."""
    if name in re.findall(r"[\w-]+", (ROOT / "pyproject.toml").read_text("utf-8")):
        return True
    # First those that were taken apart for a name before: most names are found there.
    paths = sorted(_sources(), key=lambda path: path not in _TAKEN_APART)
    return any(name in _source(path) and name in _words(path) for path in paths)


@cache
def _sources() -> list[Path]:
    here = Path(__file__).parent
    every = [path for folder in ("tablekit", "tests") for path in (ROOT / folder).rglob("*.py")]
    return sorted(path for path in every if here not in path.parents)


@cache
def _source(path: Path) -> str:
    return path.read_text(encoding="utf-8")


_TAKEN_APART: dict[Path, set[str]] = {}


def _words(path: Path) -> set[str]:
    """Its names and texts; few files have to be taken apart before a name is found."""
    if path in _TAKEN_APART:
        return _TAKEN_APART[path]
    words = _TAKEN_APART[path] = set()
    for node in ast.walk(ast.parse(_source(path))):
        attributes = [
            getattr(node, of, None) for of in ("name", "id", "attr", "arg", "asname", "module")
        ]
        if isinstance(node, ast.Constant):
            attributes.append(node.value)
        words |= {word for word in attributes if isinstance(word, str)}
    return words
