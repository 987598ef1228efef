"""What the front page says of the pages of a folder: theirs, and nothing of anything else."""

from __future__ import annotations

import importlib.util
import json
import re
from pathlib import Path

import pytest

from tablekit.shipped import notebooks_path
from tests.browser.served import notebook

if importlib.util.find_spec("voila") is None:
    pytest.skip("Voilà is not installed; it comes with the extra class", allow_module_level=True)

from tablekit.front_page import front_page


def test_the_front_page_of_the_kit_is_the_table_of_its_first_notebook() -> None:
    """Line by line as it stands there, and every page of the kit is on it once."""
    folder = notebooks_path()
    front = front_page(folder)
    cells = json.loads((folder / "00-find-your-way.ipynb").read_text())["cells"]
    lines = [line for line in "".join(cells[0]["source"]).splitlines() if line.startswith("|")]
    read = [[cell.strip(" *") for cell in line.strip("|").split("|")] for line in lines]
    assert [*front.head] == read[0]
    linked = [[*who, *re.fullmatch(r"\[(.+)\]\((.+)\)", page).groups()] for *who, page in read[2:]]  # type: ignore[union-attr]
    assert [[row[0][0], row[1][0], *row[2]] for row in front.rows] == linked
    on_it = [*(row[2][1] for row in front.rows), *(page.name for page in front.others)]
    assert sorted(on_it) == sorted(path.name for path in folder.glob("*.ipynb"))
    (first,) = front.others
    assert first.title == "Find your way" and first.question.endswith("answers your question?")


def test_pages_of_ones_own_are_listed_by_title_and_question(tmp_path: Path) -> None:
    (tmp_path / "a-b.ipynb").write_text(notebook(("code", "1")))
    own = notebook(("markdown", "# A <i>bench</i>\n\n**How long?** And more."), ("code", "1"))
    (tmp_path / "c.ipynb").write_text(own)
    (tmp_path / "broken.ipynb").write_text("[" * 100_000)
    for name in (".hidden.ipynb", "sub/d.ipynb"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(own)
    front = front_page(tmp_path)
    assert front.rows == () and [(p.title, p.question) for p in front.others] == [
        ("a b", ""), ("broken", ""), ("A bench", "How long?"),
    ]  # fmt: skip


def test_a_table_leads_to_pages_of_the_folder_alone(tmp_path: Path) -> None:
    rows = ("[this](b.ipynb)", "[c](sub/c.ipynb)", "[d](https://x.org)", "[e](javascript:x)")
    table = "| open |\n|---|\n" + "".join(f"| {row} |\n" for row in rows)
    (tmp_path / "a.ipynb").write_text(notebook(("markdown", f"# A\n\n{table}")))
    (tmp_path / "b.ipynb").write_text(notebook(("markdown", "# B")))
    front = front_page(tmp_path)
    links = [row[0] for row in front.rows]
    assert links == [("this", "b.ipynb"), ("c", ""), ("d", ""), ("e", "")]
    assert [page.name for page in front.others] == ["a.ipynb"]
