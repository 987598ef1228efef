"""A value that the kit found, given back to it, leads to the same piece.

Each value of every brief in the notebooks that was found or assumed is added to the givens at full
precision, and the piece is set out again. None may be refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tablekit.brief import Brief, read_brief
from tablekit.engine.sheet import Sheet
from tablekit.setting_out import set_out

BRIEFS = sorted(Path("notebooks/briefs").glob("*.toml"))
THINNED = 10  # an ordinary run gives back one value of so many
SAME = 1e-5  # relative; where a design hardly depends on a value, its last digits say little


def apart(one: Sheet, other: Sheet, name: str) -> float:
    """How far a value of two sheets differs, by its size or a thousandth of its range."""
    value, again = one[name], other.get(name)
    if value.number is None or again is None:
        return 0.0 if value.number is again else float("inf")
    least = 1e-3 * max(abs(value.quantity.low), abs(value.quantity.high))
    return abs(value.number - again) / max(abs(value.number), least)


def given_back(brief: Brief, thinned: int) -> Iterator[tuple[str, float, Sheet, Sheet]]:
    sheet = set_out(brief)
    found = [n for n, v in sheet.values.items() if n not in brief.givens and v.number is not None]
    for name in found[::thinned]:
        number = sheet.number(name)
        yield name, number, sheet, set_out(replace(brief, givens={**brief.givens, name: number}))


@pytest.mark.parametrize(
    "thinned", [THINNED, pytest.param(1, marks=pytest.mark.slow)], ids=["some", "every"]
)
@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_what_was_found_and_is_given_back_changes_nothing(path: Path, thinned: int) -> None:
    brief, others = read_brief(path), []
    for name, number, sheet, again in given_back(brief, thinned):
        assert again.number(name) == number
        if any(apart(sheet, again, other) > SAME for other in sheet.values):
            others.append(name)
    # Where two values of another quantity lead to one given here, the other design may be meant.
    assert len(others) <= 0.03 * len(sheet.values), others


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_counts_and_switches_only_confirm(path: Path) -> None:
    """They are the same for many designs, so no assumption may give way to one that fits."""
    brief = read_brief(path)
    sheet = set_out(brief)
    counts = [n for n, v in sheet.values.items() if v.quantity.whole and v.number is not None]
    for name in counts:
        givens = {**brief.givens, name: sheet.number(name)}
        again = set_out(replace(brief, givens=givens))
        assert all(apart(sheet, again, other) == 0 for other in sheet.values), name
