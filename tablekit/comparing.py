"""Two briefs compared, and the new one set out again about the parts that are cut already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tablekit.brief.as_cut import parts_of
from tablekit.design.as_cut import made_of
from tablekit.engine.trouble import DesignError
from tablekit.planning.as_cut import OF_A_POST, OF_THE_TOP
from tablekit.planning.compare import compare, of_one_mind
from tablekit.planning.leg_work import leg_work
from tablekit.planning.legs_as_cut import OF_A_LEG
from tablekit.relations.bases import base_of
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.compare import Comparison
    from tablekit.planning.leg_remedies import LegsMade
    from tablekit.planning.mending import AsMade

# Sizes that one cuts to, and what is then measured of each leg where that is something else.
_LEANS = ("drill_angle", "leg_resultant")


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
    made: AsMade | LegsMade | None = None

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
        return Compared(comparison, old, new, None, "", _as_made(old, new, (), after.as_cut.sizes))
    sizes = {name: old.number(name) for name in cut}
    made = _as_made(old, new, cut, after.as_cut.sizes)
    spoken_of = (*OF_A_POST, *OF_A_LEG, *_LEANS, *OF_THE_TOP)
    comparison = of_one_mind(comparison, made, spoken_of)
    try:
        kept = set_out(replace(after, givens={**after.givens, **sizes}))
    except DesignError as clash:
        return Compared(comparison, old, new, None, str(clash), made)
    return Compared(comparison, old, new, kept, "", made)


def _as_made(
    old: Sheet, new: Sheet, cut: Sequence[str], measured: Mapping[str, float]
) -> AsMade | LegsMade | None:
    """The new piece with all posts or legs cut as the old one has them, or as they were measured;
    None where none of it is of these or the top, or they do not fit one another."""
    known = OF_A_POST if base_of(new).crossed else OF_A_LEG
    sizes = {name: old.number(name) for name in cut if name in known}
    if known is OF_A_LEG and {*cut} & {*_LEANS}:
        sizes["leg_lean"] = old.number("leg_resultant")
    parts = {
        f"{name}_{part[-1]}": size
        for part in parts_of(base_of(new)) for name, size in sizes.items()
    }  # fmt: skip
    top = {name: old.number(name) for name in cut if name in OF_THE_TOP}
    every = {**parts, **top, **measured}
    if not every:
        return None
    try:
        return made_of(new, every, leg_work(new))
    except DesignError:
        return None
