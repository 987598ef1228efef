"""That no command of README and DEVELOPERS is passed over."""

from __future__ import annotations

import pytest

from tests.documents import answers, kinds
from tests.documents.reading import DOCUMENTS, LANGUAGES, blocks, commands, prose

ALL = [command for document in DOCUMENTS for command in commands(document)]


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_block_is_of_a_kind_that_is_tried(document: str) -> None:
    assert {block.language for block in blocks(document)} <= LANGUAGES
    # A block by indentation alone would not be seen: the map, no command, is the only one.
    indented = [line for line in prose(document).splitlines() if line.startswith("    ")]
    assert [line for line in indented if "─►" not in line] == []
    assert "```" not in prose(document) and "~~~" not in prose(document)


def test_no_kind_is_kept_for_what_is_no_longer_there() -> None:
    typed = {command.typed for command in ALL}
    listed = {*answers.OF, *kinds.SMALLER}
    assert listed <= typed and answers.OF_SMALLER.keys() == kinds.SMALLER.keys()
    for kind in kinds.KINDS:
        assert any(kind.takes(command) for command in ALL), kind.name


@pytest.mark.parametrize(
    "text",
    [
        "```sh\n.venv/bin/tablekit set-out other.toml\n```\n",
        "```console\n$ .venv/bin/tablekit set-out my-table.toml --new\nprinted\n```\n",
        "1. in a list\n\n   ```sh\n   make tests   # why\n   ```\n",
        "```sh\npython3 -m venv .venv && git pull\n```\n",
        "| what | `.venv/bin/python -m tests.unheard_of` |\n",
        "Type `npm install` first.\n",
        "Type `.venv/bin/unheard-of`.\n",
        "Type `tablekit\nset-out a.toml`.\n",
        "Type `unheard_of`.\n",
    ],
)
def test_a_command_that_nobody_gave_a_place_is_told(text: str) -> None:
    without = [c for c in commands("README.md", text) if not kinds.kinds_of(c)]
    assert len(without) == 1, without


@pytest.mark.parametrize(
    "text", ["`--dir`", "`[[boards]]`", '`keep = ["B"]`', "`foot_spread`", "`tests/fuzz/run.py`",
             "`derived(file, heading)`", "`.[test]`", "```toml\na = 1\n```\n"],
)  # fmt: skip
def test_a_name_is_no_command(text: str) -> None:
    assert list(commands("README.md", text)) == []


def test_a_shown_output_goes_with_its_command() -> None:
    text = "```console\n$ one --two\n1\n\n2\n$ three   # words\n```\n"
    assert [(c.text, c.shown) for c in commands("README.md", text)] == [
        ("one --two", "1\n\n2\n"), ("three", ""),
    ]  # fmt: skip
