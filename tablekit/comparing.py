"""Two briefs compared, and the new one set out again about the parts that are cut already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tablekit.engine.trouble import DesignError
from tablekit.planning.compare import compare
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.compare import Comparison


@dataclass(frozen=True)
class Compared:
    """A comparison, and what keeping the cut parts would make of the new brief.

    kept  the new brief with the cut sizes as givens; None where nothing is cut, or they clash
    why   why they clash with the new brief, and what could be released; "" where they do not
    """

    comparison: Comparison
    before: Sheet
    after: Sheet
    kept: Sheet | None
    why: str

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        data = self.comparison.to_json()
        if self.comparison.cut:
            data["kept"] = None if self.kept is None else self.kept.to_json()["quantities"]
            data["clash"] = self.why
        return data


def compare_briefs(before: Brief, after: Brief, cut: Sequence[str] = ()) -> Compared:
    """Both set out and compared; with `cut`, the new one set out once more with those sizes as
    they are already cut.

    Raises whatever `set_out` and `compare` raise.
    """
    old, new = set_out(before), set_out(after)
    comparison = compare(old, new, cut)
    if not cut:
        return Compared(comparison, old, new, None, "")
    sizes = {name: old.number(name) for name in cut}
    try:
        kept = set_out(replace(after, givens={**after.givens, **sizes}))
    except DesignError as clash:
        return Compared(comparison, old, new, None, str(clash))
    return Compared(comparison, old, new, kept, "")
