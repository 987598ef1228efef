"""A map of designs, and a design on it, in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from tablekit.engine.units import ShopStyle, shop_text

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.trade_offs import TradeMap

MOST_REASONS = 2


def map_told(plane: TradeMap) -> list[str]:
    """How its designs stand, and why some cannot be made."""
    return [plane.said, *(f"Cannot be made: {text}." for text, _ in plane.reasons[:MOST_REASONS])]


def choices_head(plane: TradeMap) -> str:
    """What stands in a list of the best designs."""
    names = (plane.x.name, plane.y.name, *(goal.quantity for goal in plane.goals))
    across, up, first, second = (name.replace("_", " ") for name in names)
    return f"Best designs, {across} × {up}: {first}, {second}"


def choice_told(plane: TradeMap, index: int, network: Declarations, style: ShopStyle) -> str:
    """One of the best designs: where it lies, and what it reaches of both goals."""
    place = [
        shop_text(number, axis.unit, style)
        for axis, number in zip((plane.x, plane.y), plane.at(index), strict=True)
    ]
    reached = [
        shop_text(number, network.quantity(goal.quantity).unit, style)
        for goal, number in zip(plane.goals, plane.reached_at(index), strict=True)
    ]
    return f"{' × '.join(place)}: {', '.join(reached)}"


def point_told(sheet: Sheet, names: Iterable[str], judged: Iterable[str]) -> str:
    """One design: what it has of `names`, and which checks it does not pass of those whose
    identifiers are in `judged`."""
    parts = [f"{name.replace('_', ' ')} {sheet.shop(name)}" for name in names]
    asked = set(judged)
    for verdict in ("fail", "caution"):
        found = [c.name for c in sheet.checks if c.verdict == verdict and c.id in asked]
        parts += [f"{verdict}: {', '.join(found)}"] if found else []
    return f"This design: {'; '.join(parts)}."
