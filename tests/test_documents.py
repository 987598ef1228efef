"""README, contributor's guide and notebooks: what they point at exists, and nothing leaks."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import pytest

from tablekit.brief import BriefError, parse_brief, reading
from tablekit.brief.boards import TOP_LENGTHS
from tablekit.cli import main
from tests import readme_keys

ROOT = Path(__file__).resolve().parent.parent
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
_ABSOLUTE = re.compile(r"[\"' (=](?:/(?:home|root|tmp|usr|work|Users)/|[A-Z]:\\)")


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_links_and_paths_lead_somewhere(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    linked = [target for target in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in target]
    named = re.findall(r"`((?:tablekit|tests|notebooks|reference|\.ci)/[\w./*-]*)`", text)
    assert linked or named
    for target in {*linked, *named}:
        assert list(ROOT.glob(target.rstrip("/"))), f"{document.name} names {target}"


def test_the_readme_answers_a_stranger_before_it_shows_anything() -> None:
    lines = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    paragraphs = [line for line in lines if line.strip()]
    assert paragraphs[0] == "# tablekit"
    assert not paragraphs[1].startswith(("#", "!", "```", "["))  # the job, in a paragraph
    assert len(paragraphs[1]) > 400


def test_every_command_of_the_readme_is_one_the_kit_has(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = set(re.findall(r"\.venv/bin/tablekit ([a-z-]+)", text))
    assert commands == {"open", "set-out", "working", "compare", "worksheets"}
    for command in sorted(commands):
        assert main([command, "--help"]) == 0
    options = set(re.findall(r"tablekit set-out \S+ (--[a-z]+)", text))
    helped = capsys.readouterr().out
    assert options and all(option in helped for option in options)


def test_the_brief_in_the_readme_is_answered(tmp_path: Path) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (brief,) = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    path = tmp_path / "brief.toml"
    path.write_text(brief, encoding="utf-8")
    assert main(["set-out", str(path), "--json"]) == 0


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
class TestNotebook:
    def cells(self, path: Path) -> list[dict]:
        return json.loads(path.read_text(encoding="utf-8"))["cells"]

    def code(self, path: Path) -> list[dict]:
        return [cell for cell in self.cells(path) if cell["cell_type"] == "code"]

    def test_it_was_run_from_top_to_bottom(self, path: Path) -> None:
        counts = [cell["execution_count"] for cell in self.code(path)]
        assert counts == list(range(1, len(counts) + 1))

    def test_it_tells_one_story(self, path: Path) -> None:
        cells = self.cells(path)
        assert len(cells) <= 25
        assert cells[0]["cell_type"] == "markdown"
        assert "".join(cells[0]["source"]).startswith("# ")
        assert "?" in "".join(cells[0]["source"])  # it opens with a question

    def test_the_first_code_cell_imports_and_the_others_do_not(self, path: Path) -> None:
        first, *rest = ["".join(cell["source"]) for cell in self.code(path)]
        assert all(isinstance(node, ast.Import | ast.ImportFrom) for node in ast.parse(first).body)
        for source in rest:
            nodes = list(ast.walk(ast.parse(source)))
            assert not any(isinstance(node, ast.Import | ast.ImportFrom) for node in nodes)

    def test_a_cell_is_short_and_defines_nothing(self, path: Path) -> None:
        for cell in self.code(path):
            source = "".join(cell["source"])
            assert len(source.splitlines()) <= 10, source
            nodes = list(ast.walk(ast.parse(source)))
            assert not any(isinstance(node, ast.FunctionDef | ast.ClassDef) for node in nodes)

    def test_every_import_is_used(self, path: Path) -> None:
        first, *rest = ["".join(cell["source"]) for cell in self.code(path)]
        imported = {
            (alias.asname or alias.name).split(".")[0]
            for node in ast.parse(first).body
            if isinstance(node, ast.Import | ast.ImportFrom)
            for alias in node.names
        }
        used = {
            node.id
            for source in rest
            for node in ast.walk(ast.parse(source))
            if isinstance(node, ast.Name)
        }
        assert imported <= used

    def test_nothing_of_the_machine_it_ran_on_is_kept(self, path: Path) -> None:
        text = path.read_text(encoding="utf-8")
        assert not _ABSOLUTE.search(text)
        assert "widget-state" not in text  # half a megabyte that no reader can use
        assert not re.search(r"at 0x[0-9a-f]{6,}", text)

    def test_no_cell_ended_in_an_error(self, path: Path) -> None:
        outputs = [output for cell in self.code(path) for output in cell["outputs"]]
        assert outputs
        assert not [output for output in outputs if output["output_type"] == "error"]


def test_the_readme_lists_every_key_that_the_readers_know() -> None:
    text = readme_keys.README.read_text("utf-8")
    assert readme_keys.written(text) == text, "run: python -m tests.readme_keys"


@pytest.mark.parametrize("section", [s for s in reading.FIXED if s])
def test_a_brief_may_have_every_key_of_the_readme_and_no_other(section: str) -> None:
    text = readme_keys.README.read_text("utf-8")
    keys = re.findall(rf"^\| `{re.escape(section)}` \| `(\w+)` \|", text, re.MULTILINE)
    assert keys
    for key in (*keys, "colour"):
        legs = '[base]\nstyle = "splayed legs"\nlegs = 4\n' if key.startswith("leg_") else ""
        with pytest.raises(BriefError) as trouble:  # no key may be a date
            parse_brief(f"{legs}{section}\n{key} = 1979-05-27\n")
        known = f'"{key}" is not a name known here' not in str(trouble.value)
        assert known == (key != "colour"), str(trouble.value)


def test_what_the_readme_says_is_taken_where_a_length_is_left_out() -> None:
    usual = readme_keys.assumed()
    names = {"margin": "top_margin", "end_waste": "end_waste", "edge_loss": "edge_loss"}
    said = {key.name: key.left_out for key in TOP_LENGTHS}
    assert {key: usual[name] for key, name in names.items()} == {k: said[k] for k in names}
