"""The published tables and the notebooks are found from a checkout and from an installed kit."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tablekit import shipped

SOURCE = Path(__file__).parents[1]
LEFT_BEHIND = {"__pycache__", ".ipynb_checkpoints", ".virtual_documents"}


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not LEFT_BEHIND & set(path.parts)
    }


def _ask(package_parent: Path, folder: Path, expression: str) -> subprocess.CompletedProcess[str]:
    """Prints a pair of expressions, a line each, from a new Python that starts in `folder`."""
    code = (
        f"import sys; sys.path.insert(0, {str(package_parent)!r})\n"
        f"from tablekit.shipped import *\nprint(*({expression}), sep='\\n')"
    )
    command = [sys.executable, "-P", "-c", code]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def _bare_package(folder: Path) -> Path:
    """The package with nothing around it, as it lies in an installation before files are added."""
    package = folder / "tablekit"
    package.mkdir()
    for name in ("__init__.py", "shipped.py"):
        shutil.copy(SOURCE / "tablekit" / name, package / name)
    return package


def test_this_kit_carries_every_table_of_the_source() -> None:
    found = _files(shipped.reference_path())
    assert "LICENSE.txt" in found
    assert found == _files(SOURCE / "reference")


def test_this_kit_carries_every_notebook_of_the_source() -> None:
    assert _files(shipped.notebooks_path()) == _files(SOURCE / "notebooks")


def test_found_from_a_checkout_in_any_folder(tmp_path: Path) -> None:
    answer = _ask(SOURCE, tmp_path, "reference_path('LICENSE.txt'), notebooks_path()")
    assert answer.returncode == 0, answer.stderr
    expected = [str(SOURCE / "reference" / "LICENSE.txt"), str(SOURCE / "notebooks")]
    assert answer.stdout.splitlines() == expected


def test_found_inside_an_installed_kit(tmp_path: Path) -> None:
    package = _bare_package(tmp_path)
    (package / "_shipped" / "reference").mkdir(parents=True)
    (package / "_shipped" / "reference" / "made_up.csv").write_text("a,b\n")
    (package / "_shipped" / "notebooks").mkdir()
    (tmp_path / "reference").mkdir()  # someone else's folder beside the package
    answer = _ask(tmp_path, Path.home(), "reference_path('made_up.csv'), notebooks_path()")
    assert answer.returncode == 0, answer.stderr
    inside = package / "_shipped"
    expected = [str(inside / "reference" / "made_up.csv"), str(inside / "notebooks")]
    assert answer.stdout.splitlines() == expected


def test_a_kit_without_its_files_says_so(tmp_path: Path) -> None:
    _bare_package(tmp_path)
    (tmp_path / "notebooks").mkdir()  # beside the package, but this is no checkout
    answer = _ask(tmp_path, tmp_path, "notebooks_path(), 0")
    assert answer.returncode != 0
    assert "this copy of tablekit has no 'notebooks' folder" in answer.stderr
    assert "install it again" in answer.stderr


@pytest.mark.parametrize("name", ["no_such_table.csv", "../pyproject.toml", "/etc/hosts"])
def test_a_file_that_is_not_there_is_named_with_those_that_are(name: str) -> None:
    with pytest.raises(FileNotFoundError) as caught:
        shipped.reference_path(name)
    assert f"no reference file {name!r}" in str(caught.value)
    assert "LICENSE.txt" in str(caught.value)


def test_the_build_puts_both_folders_where_they_are_looked_for() -> None:
    settings = tomllib.loads((SOURCE / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = settings["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"] == {
        "reference": "tablekit/_shipped/reference",
        "notebooks": "tablekit/_shipped/notebooks",
    }
