"""The oldest release of each package that pyproject.toml allows, as constraints for pip."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]


def lowest(pyproject: str) -> list[str]:
    """A line "name==release" for each package required, the extra `test` with it.

    Raises ValueError for a requirement that has no lower bound.
    """
    project = tomllib.loads(pyproject)["project"]
    found = []
    for requirement in (*project["dependencies"], *project["optional-dependencies"]["test"]):
        match = re.fullmatch(r"([\w.-]+)>=([\d.]+)", requirement)
        if not match:
            raise ValueError(f"{requirement}: no lower bound alone")
        found.append(f"{match[1]}=={match[2]}")
    return found


if __name__ == "__main__":
    print("\n".join(lowest((ROOT / "pyproject.toml").read_text(encoding="utf-8"))))
