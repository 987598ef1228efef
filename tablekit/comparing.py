"""Two briefs compared, and the new one set out again about the parts that are cut already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tablekit.engine.trouble import DesignError
from tablekit.planning.as_cut import OF_A_POST, OF_THE_TOP
from tablekit.planning.compare import compare, of_one_mind
from tablekit.planning.mending import POSTS, as_made
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.compare import Comparison
    from tablekit.planning.mending import AsMade


@dataclass(frozen=True)
class Compared:
    """A comparison, and what keeping the cut parts would make of the new brief.

    made  the new piece with the sizes that are cut, here or in its own brief, as it stands then;
          None where nothing is cut or the base is none that can be stood up so
    kept  the new brief with the cut sizes as givens; None where nothing is cut, or they clash
    why   why they clash with the new brief, and what could be released; "" where they do not
    """

    comparison: Comparison
    before: Sheet
    after: Sheet
    kept: Sheet | None
    why: str
    made: AsMade | None = None

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        data = self.comparison.to_json()
        if self.comparison.cut:
            data["kept"] = None if self.kept is None else self.kept.to_json()["quantities"]
            data["clash"] = self.why
        if self.made is not None:
            data["as_cut"] = self.made.to_json()
        return data


def compare_briefs(before: Brief, after: Brief, cut: Sequence[str] = ()) -> Compared:
    """Both set out and compared; with `cut`, the new one set out once more with those sizes as
    they are already cut.

    Raises whatever `set_out` and `compare` raise.
    """
    old, new = set_out(before), set_out(after)
    comparison = compare(old, new, cut)
    if not cut:
        return Compared(comparison, old, new, None, "", _as_made(new, {}, after.as_cut.sizes))
    sizes = {name: old.number(name) for name in cut}
    made = _as_made(new, sizes, after.as_cut.sizes)
    comparison = of_one_mind(comparison, made, [*OF_A_POST, *OF_THE_TOP])
    try:
        kept = set_out(replace(after, givens={**after.givens, **sizes}))
    except DesignError as clash:
        return Compared(comparison, old, new, None, str(clash), made)
    return Compared(comparison, old, new, kept, "", made)


def _as_made(
    new: Sheet, sizes: Mapping[str, float], measured: Mapping[str, float]
) -> AsMade | None:
    """The new piece with all three posts cut as the old one has them, or as they were measured;
    None where none of it is of posts and top, or they do not fit one another."""
    posts = {
        f"{name}_{post}": size
        for name, size in sizes.items() if name in OF_A_POST for post in POSTS
    }  # fmt: skip
    top = {name: size for name, size in sizes.items() if name in OF_THE_TOP}
    every = {**posts, **top, **measured}
    if not every:
        return None
    try:
        return as_made(new, every)
    except DesignError:
        return None
