"""Every command of README and DEVELOPERS is tried; none is passed over."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser.chromium import CHROMIUM
from tests.documents import kinds
from tests.documents.reading import DOCUMENTS, Command, commands
from tests.documents.room import Room

ALL = [command for document in DOCUMENTS for command in commands(document)]
OF_CHROMIUM = ("tests.pictures", "tests/browser")
# What only somebody who works on the kit types, and takes long even with less to do.
SLOW = {
    "python -m tests.pictures",
    "python tests/benchmarks/run.py",
    "python tests/benchmarks/class_of_thirty.py",
    "python tests/benchmarks/live_panel.py",
    "python -m tests.slow.engine_truth",
    "python -m tests.slow.many_briefs 20000",
    "python -m tests.slow.same_answers write before.jsonl",
    "pytest tests/relations",
    "pytest -n 0 tests/browser",
    "pytest notebooks",
    "pytest -m slow",
}
# Those that do the same are tried once.
DIFFERENT = list({command.typed: command for command in reversed(ALL)}.values())[::-1]


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    yield Room(tmp_path_factory.mktemp("room"))


def marked(command: Command) -> object:
    marks = [pytest.mark.slow] if command.typed in SLOW else []
    return pytest.param(command, id=str(command), marks=marks)


def test_what_is_slow_is_among_the_commands() -> None:
    assert {command.typed for command in DIFFERENT} >= SLOW


@pytest.mark.parametrize("command", [marked(one) for one in DIFFERENT])
def test_a_command_does_what_the_document_says(room: Room, command: Command) -> None:
    fitting = kinds.kinds_of(command)
    names = [kind.name for kind in fitting]
    assert len(fitting) == 1, (
        f"{command.document}, line {command.line}: {command.text} falls into {names or 'no kind'}; "
        "say in tests/documents/kinds.py and answers.py how it is tried and what it answers"
    )
    if command.words[-1] in OF_CHROMIUM and not CHROMIUM.is_file():
        pytest.skip(f"no {CHROMIUM}, which {command.typed} wants; install Debian's chromium")
    fitting[0].trial(room, command)


@pytest.mark.parametrize("command", [c for c in ALL if c.shown is not None], ids=str)
def test_what_is_shown_is_what_is_printed(room: Room, command: Command) -> None:
    # Run already by the test above, unless this one was asked for alone.
    printed = room.printed.get(command.text) or room.answer(command.text)
    assert printed == command.shown


def test_some_output_is_shown() -> None:
    """Else the test above would have nothing to compare."""
    assert [c.document for c in ALL if c.shown] == ["README.md"]


def test_a_command_that_fails_or_complains_is_told(room: Room) -> None:
    with pytest.raises(AssertionError, match="ended with 2"):
        room.answer(".venv/bin/tablekit set-out missing.toml")
    with pytest.raises(AssertionError, match="complaint"):
        room.answer("echo complaint >&2")
    with (
        pytest.raises(RuntimeError, match=r"(?s)no address was told\n.*unheard-of"),
        room.serving(".venv/bin/tablekit unheard-of"),
    ):
        pass
