"""The oldest releases allowed, read from pyproject.toml."""

from __future__ import annotations

import pytest

from tests.lowest import ROOT, lowest

PYPROJECT = """
[project]
dependencies = ["numpy>=1.26", "scikit-fem>=12.0.1"]
[project.optional-dependencies]
test = ["pytest>=8"]
other = ["voila"]
"""


def test_every_bound_becomes_a_release() -> None:
    assert lowest(PYPROJECT) == ["numpy==1.26", "scikit-fem==12.0.1", "pytest==8"]


@pytest.mark.parametrize("bad", ["numpy", "numpy<2", "numpy>=1.26,<2", "numpy~=1.26"])
def test_what_has_no_lower_bound_alone_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="no lower bound alone"):
        lowest(PYPROJECT.replace("numpy>=1.26", bad))


def test_every_requirement_of_the_kit_has_one() -> None:
    found = lowest((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert len(found) == len(set(found)) > 20
