"""Terminal, JSON, packet and panel show the same checks, with the same verdicts."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tablekit.brief import read_brief
from tablekit.cli import main
from tablekit.design import Design
from tablekit.packet.books import checks as checks_section
from tablekit.packet.checks import VERDICTS
from tablekit.packet.document import Table
from tablekit.panels.folds import PASSED
from tablekit.panels.set_out import SetOutPanel
from tablekit.setting_out import design_of

SHELF = Path(__file__).parents[2] / "notebooks" / "briefs"
# Each takes seconds: of the stools on splayed legs the bench stool stands for the milking stool.
BRIEFS = sorted(path for path in SHELF.glob("*.toml") if path.stem != "milking-stool")
READ = {shown: verdict for verdict, shown in VERDICTS.items()}
Shown = dict[str, str]  # verdicts by the names of checks


def in_json(path: Path, said: Callable[[], str]) -> Shown:
    assert main(["set-out", str(path), "--json"]) == 0
    return {check["name"]: check["verdict"] for check in json.loads(said())["checks"]}


def in_full(path: Path, said: Callable[[], str]) -> Shown:
    assert main(["set-out", str(path), "--full"]) == 0
    found = re.findall(
        r"^  (pass|CAUTION|FAIL): (.+?)(?: \((?:at least|at most|between) [^)]*\))?$",
        said(),
        re.MULTILINE,
    )
    return {name: READ[verdict] for verdict, name in found}


def in_the_packet(design: Design) -> Shown:
    (table,) = (part for part in checks_section(design).parts if isinstance(part, Table))
    found = (re.match(r"(pass|CAUTION|FAIL): ([^.]+)\.", row[0]) for row in table.rows)
    return {one[2]: READ[one[1]] for one in found if one}


def in_the_panel(panel: SetOutPanel) -> Shown:
    panel.checks.folds.selected_index = PASSED
    passed = panel.checks.folds.children[PASSED].value
    found = re.findall(r"<td [^>]*>([^<]+)</td><td [^>]*>✓ (pass)</td>", passed)
    worse = re.findall(r"<strong>[△✗] (caution|fail): ([^<]+)\.<", panel.checks.attention.value)
    found += [(name, verdict) for verdict, name in worse]
    return {html.unescape(name): verdict for name, verdict in found}


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_every_surface_shows_the_same_checks(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")  # no check is broken over two lines
    brief = read_brief(path)
    design = design_of(brief)
    ids = {check.name: check.id for check in design.every_check}
    every = {check.id: check.verdict for check in design.every_check}
    assert len(ids) == len(every) == len(design.every_check) > 10

    def by_id(shown: Shown) -> dict[str, str]:
        return {ids[name]: verdict for name, verdict in shown.items()}

    def said() -> str:
        return capsys.readouterr().out

    assert by_id(in_json(path, said)) == every
    assert by_id(in_full(path, said)) == every
    assert by_id(in_the_packet(design)) == every
    assert by_id(in_the_panel(SetOutPanel(brief))) == every
