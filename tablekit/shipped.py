"""Finds the published tables and the notebooks, in a source checkout and in an installed kit.

Both lie at the top of the source; a built kit carries copies inside the package (pyproject.toml,
"force-include"). Nothing here depends on the folder one happens to be in.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def reference_path(name: str = "") -> Path:
    """A file or folder under `reference/`, such as "strength.csv"; the folder itself for "".

    Raises FileNotFoundError, naming what there is, if there is no such file.
    """
    folder = _shipped_folder("reference")
    path = folder / name
    if not path.resolve().is_relative_to(folder.resolve()) or not path.exists():
        there = ", ".join(sorted(p.name for p in folder.iterdir()))
        raise FileNotFoundError(f"tablekit has no reference file {name!r}; it has: {there}")
    return path


def notebooks_path() -> Path:
    """The folder of the notebooks, with `briefs/` inside it.

    Raises FileNotFoundError if this copy of the kit has none.
    """
    return _shipped_folder("notebooks")


def _shipped_folder(name: str) -> Path:
    package = Path(str(files("tablekit")))
    inside, beside = package / "_shipped" / name, package.parent / name
    if inside.is_dir():
        return inside
    # A "reference" folder beside an installed package would be someone else's: only a source
    # checkout has our pyproject.toml there as well.
    if beside.is_dir() and (package.parent / "pyproject.toml").is_file():
        return beside
    raise FileNotFoundError(
        f"this copy of tablekit has no {name!r} folder (looked in {inside} and {beside}); "
        "install it again with pip"
    )
