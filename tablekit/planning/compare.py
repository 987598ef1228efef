"""Two sheets side by side: what changed, and whether parts that are cut already still serve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import UnknownName

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.leg_remedies import LegsMade
    from tablekit.planning.mending import AsMade

Serves = Literal[
    "serves as it is", "can be cut to serve", "can be made to serve", "must be made anew"
]
# Which way a cut part can still be worked: wood comes off, it does not go on.
COMES_OFF = (
    "post_length", "post_section", "post_width", "top_diameter", "top_thickness", "leg_length",
    "leg_diameter", "foot_diameter", "tenon_diameter",
)  # fmt: skip
GOES_DEEPER = (
    "notch_depth", "notch_width", "foot_flat_depth", "head_flat_depth", "foot_flat", "head_flat",
    "pad_recess", "plate_recess", "socket_depth", "notch_relief",
)  # fmt: skip
# What a maker cuts to, and what is set out once for all: it cannot be moved either way.
STAYS = ("splay", "socket_radius", "drill_angle")
# Measured from the foot end, so it grows less when that end is sawn off.
FROM_THE_END = "notch_position"
CUTTABLE = (*COMES_OFF, *GOES_DEEPER, *STAYS, FROM_THE_END)
# What cannot be told apart at the bench: half the finest mark, mm or degrees.
_HAIR = {"mm": 0.25, "deg": 0.05}


@dataclass(frozen=True)
class Changed:
    """One quantity in both: numbers in its reporting unit, None where a sheet has none."""

    name: str
    unit: str
    before: float | None
    after: float | None
    words: tuple[str, str]
    asked: bool


@dataclass(frozen=True)
class CutPart:
    """A size that is cut already, against what is now wanted of it.

    sizes   both as the maker reads them; `advice` what to do about it
    """

    name: str
    cut: float
    wanted: float
    verdict: Serves
    sizes: str
    advice: str

    @property
    def words(self) -> str:
        """Both in a sentence."""
        return f"{self.sizes}: {self.advice}"


@dataclass(frozen=True)
class Comparison:
    """What changed from one sheet to another, in the order of the sheet.

    checks  (name, verdict before, verdict after) of those that changed; "" where there is none
    cut     what is cut already
    """

    names: tuple[str, str]
    changes: tuple[Changed, ...]
    only: tuple[tuple[str, ...], tuple[str, ...]]
    checks: tuple[tuple[str, str, str], ...]
    cut: tuple[CutPart, ...]

    @property
    def serves(self) -> bool:
        """Whether nothing that is cut has to be made anew."""
        return all(part.verdict != "must be made anew" for part in self.cut)

    def to_json(self) -> dict[str, Any]:
        """Plain data; numbers in the sheets' reporting units."""
        return {
            "names": list(self.names),
            "changes": {
                one.name: {
                    "before": one.before, "after": one.after, "unit": one.unit, "asked": one.asked,
                }
                for one in self.changes
            },
            "only_before": list(self.only[0]),
            "only_after": list(self.only[1]),
            "checks": [
                {"name": name, "before": before, "after": after}
                for name, before, after in self.checks
            ],
            "cut": [
                {
                    "name": part.name, "cut": part.cut, "wanted": part.wanted,
                    "verdict": part.verdict, "message": part.words,
                }
                for part in self.cut
            ],
            "serves": self.serves,
        }  # fmt: skip


def compare(before: Sheet, after: Sheet, cut: Sequence[str] = ()) -> Comparison:
    """What changed between two sheets; lengths are written as `after` is read.

    cut  names of quantities that are cut as `before` has them, of `CUTTABLE`
    Raises UnknownName for a size that one of them lacks, and for one that nobody cuts to.
    """
    own = (set(before.values), set(after.values))
    both = [name for name in after.values if name in own[0]]
    return Comparison(
        (before.name, after.name),
        tuple(_changes(before, after, both)),
        (
            tuple(name for name in before.values if name not in own[1]),
            tuple(name for name in after.values if name not in own[0]),
        ),
        tuple(_checks(before, after)),
        tuple(_cut(before, after, name) for name in dict.fromkeys(cut)),
    )


def of_one_mind(
    found: Comparison, made: AsMade | LegsMade | None, names: Sequence[str]
) -> Comparison:
    """The comparison, in which nothing has to be made anew that serves when the pieces are stood up
    as cut: as they are, or with a remedy.

    made   the new piece with the sizes that are cut; None where that cannot be worked through
    names  the sizes that `made` speaks of
    """
    best = None if made is None or made.fine else next((r for r in made.remedies if r.fully), None)
    if made is None or not (made.fine or best):
        return found
    told = "" if best is None else f" {best.text}"
    verdict: Serves = "serves as it is" if best is None else "can be made to serve"
    fine = "all in all, within tolerance." if best is None else "with a remedy it serves."
    return replace(
        found,
        cut=tuple(
            replace(part, verdict=verdict, advice=f"{fine}{told}")
            if part.verdict == "must be made anew" and part.name in names
            else part
            for part in found.cut
        ),
    )


def _changes(before: Sheet, after: Sheet, names: Sequence[str]) -> Iterator[Changed]:
    for name in names:
        old, new = before.get(name), after.get(name)
        unit = after[name].quantity.unit
        if old is None and new is None:
            continue
        if old is not None and new is not None and not _differ(old, new):
            continue
        words = (_said(old, unit, after), _said(new, unit, after))
        asked = any(sheet[name].origin == "given" for sheet in (before, after))
        yield Changed(name, unit, old, new, words, asked)


def _differ(old: float, new: float) -> bool:
    return abs(new - old) > 1e-9 * max(1.0, abs(old), abs(new))


def _said(number: float | None, unit: str, sheet: Sheet) -> str:
    return "none" if number is None else shop_text(number, unit, sheet.shop_style)


def _checks(before: Sheet, after: Sheet) -> Iterator[tuple[str, str, str]]:
    old = {check.name: check.verdict for check in before.checks}
    new = {check.name: check.verdict for check in after.checks}
    for name in dict.fromkeys((*old, *new)):
        if old.get(name) != new.get(name):
            yield name, old.get(name, ""), new.get(name, "")


def _cut(before: Sheet, after: Sheet, name: str) -> CutPart:
    for sheet in (before, after):
        if sheet.get(name) is None:
            raise UnknownName(
                f"{sheet.name} has no {name} to compare", name=name,
                nearest=None,
            )  # fmt: skip
    if name not in CUTTABLE:
        cuts = ", ".join(one for one in CUTTABLE if after.get(one) is not None)
        raise UnknownName(
            f"{name} is not a size that is cut; write one of: {cuts}", name=name, nearest=None
        )
    cut, wanted = before.number(name), after.number(name)
    unit = after[name].quantity.unit
    verdict = _verdict(name, cut, wanted, unit)
    if name == FROM_THE_END and verdict == "can be cut to serve":
        # What is sawn off the foot end, the post has to have to spare.
        spare = before.number("post_length") - after.number("post_length")
        if cut - wanted > spare + _HAIR["mm"]:
            verdict = "must be made anew"
    style = after.shop_style
    sizes = f"cut at {shop_text(cut, unit, style)}, wanted {shop_text(wanted, unit, style)}"
    advice = _advice(name, cut, wanted, verdict, after)
    return CutPart(name, cut, wanted, verdict, sizes, advice)


def _verdict(name: str, cut: float, wanted: float, unit: str) -> Serves:
    if abs(cut - wanted) <= _HAIR.get(unit, 0.0):
        return "serves as it is"
    spare = cut > wanted if name in (*COMES_OFF, FROM_THE_END) else cut < wanted
    return "can be cut to serve" if spare and name not in STAYS else "must be made anew"


def _advice(name: str, cut: float, wanted: float, verdict: Serves, sheet: Sheet) -> str:
    by = shop_text(abs(cut - wanted), sheet[name].quantity.unit, sheet.shop_style)
    if verdict == "serves as it is":
        return "use it as it is."
    if name == FROM_THE_END:
        if verdict == "can be cut to serve":
            return f"saw {by} off the foot end, not the head end."
        way = "near" if cut < wanted else "far from"
        return f"the notch is {by} too {way} the foot end for posts of this length."
    if verdict == "can be cut to serve":
        how = "take off" if name in COMES_OFF else "cut deeper or wider by"
        return f"{how} {by}."
    if name in STAYS:
        return f"{by} out, and it cannot be moved."
    short = "too small" if name in COMES_OFF else "too large"
    return f"{by} {short}, and wood cannot be put back."
