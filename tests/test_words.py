"""Words that nobody in a workshop says, kept out of every sentence that a person can meet."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import pytest

from tests.together import each

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "tablekit").rglob("*.py"))
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
BANNED = (
    "told(?! apart)", "reckon", "reckoned", "reckons", "besides", "so many", "let go of",
    "lets go of",
    "stands in for", "blunt", "sag", "sags", "leeway", "wished",
    "are trusted with", "doing without", "on the heels", "condemn", "rubbish", "plumb load",
    "at the least(?! stable)", "whence",
)  # fmt: skip
_BANNED = re.compile(rf"\b({'|'.join(BANNED)})\b", re.IGNORECASE)


def sentences(path: Path) -> list[tuple[int, str]]:
    """Texts of more than one word in a file of code, docstrings left out, by line."""
    module = ast.parse(path.read_text("utf-8"))
    spoken_of = (ast.Module, ast.FunctionDef, ast.ClassDef, ast.AsyncFunctionDef)
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(module)
        if isinstance(node, spoken_of) and node.body and isinstance(node.body[0], ast.Expr)
    }
    return [
        (node.lineno, node.value)
        for node in ast.walk(module)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if id(node) not in docstrings and " " in node.value
    ]


@each("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_sentence_of_the_kit_has_a_banned_word(path: Path) -> None:
    found = [(line, text) for line, text in sentences(path) if _BANNED.search(text)]
    assert found == []


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.name)
def test_no_notebook_has_a_banned_word(path: Path) -> None:
    cells = json.loads(path.read_text("utf-8"))["cells"]
    texts = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]
    assert [text for text in texts if _BANNED.search(text)] == []


def test_the_readme_has_no_banned_word() -> None:
    assert _BANNED.findall((ROOT / "README.md").read_text("utf-8")) == []
