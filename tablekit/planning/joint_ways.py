"""The joint held in seven ways, with the base either way up, side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from tablekit.engine.sheet import tidy
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.crossing_in_place import CrossingInPlace, crossing_in_place
from tablekit.planning.joint_load import FRICTION, joint_forces, load_of_design
from tablekit.relations.bases import WAYS_UP, base_of
from tablekit.relations.families import on_base

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

CASES: Mapping[str, Mapping[str, Any]] = {
    "contact alone": {},
    "heads tied by the top": {"heads_tied": True},
    "floor friction": {"floor_friction": FRICTION},
    "joint friction": {"joint_friction": FRICTION},
    "heads tied and floor friction": {"heads_tied": True, "floor_friction": FRICTION},
    "heads tied and joint friction": {"heads_tied": True, "joint_friction": FRICTION},
    "all three": {"heads_tied": True, "floor_friction": FRICTION, "joint_friction": FRICTION},
}
USUAL = "all three"


@dataclass(frozen=True)
class HoldingRow:
    """One way of holding the posts: the sum of the normal forces at the notches as a multiple of
    the load, with the notches up and down; None where that base cannot carry it or be made."""

    held_by: str
    notches_up: float | None
    notches_down: float | None


@dataclass(frozen=True)
class OneWayUp:
    """One way up of the base: the joint's price with all that usually holds it (None where it
    cannot be carried), the load that tips it, N, and its circle of feet, mm."""

    way_up: str
    ratio: float | None
    tipping_load: float | None
    foot_radius: float | None


@dataclass(frozen=True)
class BothWays:
    """The base as asked for and turned over.

    load      vertical load in the middle, N
    ways      notches up, then notches down; one alone where the other cannot be made
    rows      the seven ways of holding
    words     what that means for the choice
    """

    load: float
    ways: tuple[OneWayUp, ...]
    rows: tuple[HoldingRow, ...]
    words: str

    def to_json(self) -> dict[str, Any]:
        """Plain data, numbers to twelve figures."""

        def plain(item: HoldingRow | OneWayUp) -> dict[str, Any]:
            return {
                name: value if isinstance(value, str) else tidy(value)
                for name, value in asdict(item).items()
            }

        return {
            "load": tidy(self.load),
            "friction": FRICTION,
            "ways": [plain(way) for way in self.ways],
            "rows": [plain(row) for row in self.rows],
            "words": self.words,
        }


def turned_over(sheet: Sheet) -> Sheet:
    """The same wishes answered with the base the other way up.

    Raises DesignError for a piece without crossed posts, or when they cannot all be met that way
    up.
    """
    base = base_of(sheet)
    if base.turned_over is None:
        raise DesignError(f"{base.style} have no other way up: there is nothing to turn over")
    of = on_base(sheet, base.turned_over)
    return of.solve(sheet.givens, name=sheet.name, shop=sheet.shop_style)


def both_ways(
    sheet: Sheet, load: float | None = None, place: CrossingInPlace | None = None
) -> BothWays:
    """The base both ways up under a vertical load in the middle (N; the design load by default).

    place  the posts of the sheet, where they have been placed before
    """
    size = load_of_design(sheet) if load is None else load
    sheets, reason = _either(sheet)
    ratios = {
        way: _ratios(own, size, place if own is sheet and place else crossing_in_place(own))
        for way, own in sheets.items()
    }
    ways = tuple(
        OneWayUp(way, ratios[way][USUAL], own.get("tipping_load"), own.get("foot_radius"))
        for way in WAYS_UP if (own := sheets.get(way)) is not None
    )  # fmt: skip
    up, down = (ratios.get(way, {}) for way in WAYS_UP)
    rows = tuple(HoldingRow(name, up.get(name), down.get(name)) for name in CASES)
    return BothWays(size, ways, rows, _words(ways, reason, sheet.shop_style))


def _either(sheet: Sheet) -> tuple[dict[str, Sheet], str]:
    """The sheet by its way up, the other way up with it, or the reason why there is none."""
    sheets, reason = {}, ""
    try:
        turned = turned_over(sheet)
        sheets[base_of(turned).way_up] = turned
    except DesignError as trouble:
        if base_of(sheet).turned_over is None:
            raise
        reason = str(trouble)
    return {base_of(sheet).way_up: sheet, **sheets}, reason


def _ratios(sheet: Sheet, load: float, place: CrossingInPlace) -> dict[str, float | None]:
    return {
        name: joint_forces(sheet, load, place=place, **holding).ratio
        for name, holding in CASES.items()
    }


def _words(ways: tuple[OneWayUp, ...], reason: str, style: ShopStyle) -> str:
    if len(ways) < 2:
        return f"The other way up cannot be compared: {reason}"
    up, down = ways
    return f"{_tipping(up, down, style)} {_joint(up, down)} {_choice(up, down)}"


def _tipping(up: OneWayUp, down: OneWayUp, style: ShopStyle) -> str:
    if up.tipping_load is None or down.tipping_load is None:
        return "At least one of the two cannot be tipped by a vertical load on the rim."
    if _same(up.tipping_load, down.tipping_load):
        return f"Either way up, {shop_text(up.tipping_load, 'N', style)} on the rim tips it."
    firm, other = sorted((up, down), key=lambda way: -(way.tipping_load or 0.0))
    most, least = (shop_text(way.tipping_load or 0.0, "N", style) for way in (firm, other))
    return f"Tipping load on the rim: {most} with {firm.way_up}, {least} with {other.way_up}."


def _joint(up: OneWayUp, down: OneWayUp) -> str:
    held = f"With the top screwed on and friction {FRICTION:g} at the floor and in the joint"
    if up.ratio is None or down.ratio is None:
        return f"{held}, at least one way up cannot carry a central load."
    if _same(up.ratio, down.ratio):
        return f"{held}, the forces in the joint are the same: {up.ratio:.2f} times the load."
    kind, other = sorted((up, down), key=lambda way: way.ratio or 0.0)
    return (
        f"{held}, the forces in the joint add up to at least {kind.ratio:.2f} times the load with "
        f"{kind.way_up}, and {other.ratio:.2f} times with {other.way_up}."
    )


def _choice(up: OneWayUp, down: OneWayUp) -> str:
    if _same(up.ratio, down.ratio) and _same(up.tipping_load, down.tipping_load):
        return "On these figures neither is better."
    firmer = _better(up, down, "tipping_load", larger=True)
    kinder = _better(up, down, "ratio", larger=False)
    if firmer and kinder and firmer != kinder:
        return (
            f"{firmer.capitalize()} resists tipping better; {kinder} loads the joint less once the "
            "top is screwed on. Neither is simply right."
        )
    return "Weigh this against looks and knee room; other loads may change the answer."


def _better(one: OneWayUp, other: OneWayUp, name: str, *, larger: bool) -> str:
    """Which way up has the better number, or "" where neither has."""
    first, second = getattr(one, name), getattr(other, name)
    if first is None or second is None or _same(first, second):
        return ""
    return one.way_up if (first > second) == larger else other.way_up


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= 1e-6 * max(abs(one), abs(other))
