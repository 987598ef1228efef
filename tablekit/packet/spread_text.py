"""How far a result strays when the cuts do, in words: with what is assumed of cutting, or with what
was measured in the shop."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from textwrap import fill
from typing import TYPE_CHECKING

from tablekit.engine.shop import figures_text, fine_text
from tablekit.engine.tolerance import ENOUGH, OwnSpread, ResultSpread, Tolerance, spread
from tablekit.engine.wording import capital, words
from tablekit.planning.levelness import head_tilt
from tablekit.planning.own_spread import tolerances_of
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import height_name

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

# What comes out wrong, and how it is said when it is more and when it is less than drawn.
_OUT = {
    "post_length": ("posts come out", "long", "short"),
    "leg_length": ("legs come out", "long", "short"),
    "notch_position": ("notches sit", "too far from the foot end", "too near the foot end"),
    "notch_depth": ("notches come out", "too deep", "too shallow"),
    "notch_width": ("notches come out", "too wide", "too narrow"),
    "foot_flat_depth": ("flats of the feet come out", "too deep", "too shallow"),
    "head_flat_depth": ("flats of the heads come out", "too deep", "too shallow"),
    "leg_resultant": ("bores lean", "too far", "too little"),
    "socket_depth": ("sockets come out", "too deep", "too shallow"),
}
_LEVELLED = (
    "That is of feet sawn to their length. Where feet are marked on a flat board and cut after the "
    "glue is dry, the cut takes out what is off in legs, leans and sockets, and leaves the pencil "
    "line."
)


def spread_text(sheet: Sheet, name: str, own: Mapping[str, OwnSpread]) -> str:
    """How far `name` strays, how far out of level the top comes, and with what cuts.

    own  what was measured in the shop, by the name of the size; may be empty
    Raises UnknownName; DesignError as `spread` does.
    """
    sheet.network.quantity(name)  # an unknown name is told before anything is drawn
    cuts = tolerances_of(sheet, name, own)
    found = spread(sheet, [name], cuts)
    parts = [found.text()]
    if "head_radius" in sheet.values:  # three heads carry the top of crossed posts
        parts.append(head_tilt(sheet, cuts).text())
    if not base_of(sheet).crossed and name == height_name(sheet.kind):
        parts.append(fill(_LEVELLED, 80))
    if own:
        parts.append("\n".join(_measured(sheet, name, own, found[name], cuts)))
    parts.append("\n".join(_taken(sheet, cuts, own)))
    return "\n\n".join(parts) + "\n"


def _taken(
    sheet: Sheet, cuts: tuple[Tolerance, ...], own: Mapping[str, OwnSpread]
) -> Iterator[str]:
    yield "Cuts are taken to be true within"
    for one in cuts:
        mine = "   as measured" if one.source.kind == "measured" else ""
        yield f"  {one.name} ±{_size(sheet, one.name, one.plus_minus)}{mine}"
    sources = dict.fromkeys(str(t.source) for t in cuts if t.source.kind != "measured")
    if sources:
        yield f"  {'the others: ' if own else ''}{'; '.join(sources)}"


def _measured(
    sheet: Sheet,
    name: str,
    own: Mapping[str, OwnSpread],
    result: ResultSpread,
    cuts: tuple[Tolerance, ...],
) -> Iterator[str]:
    """What was measured, a line or two for each kind of size."""
    yield "Measured in your shop; in brackets, what so few pieces leave open 19 times in 20"
    used = {one.name for one in cuts}
    for one in own.values():
        yield f"  {one.name}: {_spread_of(sheet, one)}{_standing(one, used)}"
        if one.biased:
            yield f"    {_bias(sheet, one, name, result)}"
    widest = _widest(own, result)
    if widest > result.plus_minus:
        within = figures_text(widest, result.unit, sheet.shop_style, 2)
        yield (
            f"With each of your spreads at the upper end of its range, {name} would come out "
            f"within ±{within}."
        )


def _spread_of(sheet: Sheet, one: OwnSpread) -> str:
    if one.count == 1:
        return f"1 piece, {_signed(sheet, one.name, one.mean)} off, which tells no spread"
    if one.alike:
        off = _signed(sheet, one.name, one.mean)
        return f"{one.count} pieces, all {off} off as far as they were read: no spread to see"
    low, high = (_size(sheet, one.name, end) for end in one.plus_minus_range)
    return (
        f"{one.count} pieces, mean error {_signed(sheet, one.name, one.mean)}, "
        f"±{_size(sheet, one.name, one.plus_minus)} (±{low} to ±{high})"
    )


def _standing(one: OwnSpread, used: set[str]) -> str:
    """Whether a spread is used, where it is not."""
    if one.name not in used:
        return "; none of the cuts below"
    if one.serves:
        return ""
    few = f"fewer than {ENOUGH} pieces, so " if one.count < ENOUGH else ""
    return f"; {few}the usual ± stays"


def _bias(sheet: Sheet, one: OwnSpread, name: str, result: ResultSpread) -> str:
    """What is off in all pieces alike, and what that alone does to the result."""
    what, over, under = _OUT.get(
        one.name, (f"{words(one.name)} comes out", "more than drawn", "less than drawn")
    )
    much = _size(sheet, one.name, abs(one.mean))
    ends = sorted(abs(end) for end in one.mean_range)
    low, high = (_size(sheet, one.name, end) for end in ends)
    said = (
        f"{capital(what)} {much} {over if one.mean > 0 else under} on average ({low} to {high}): "
        "move your stop or gauge by that much."
    )
    slope = result.slopes.get(one.name)
    if slope is None or abs(slope * one.mean) < 1e-9:
        return said
    by = _size(sheet, name, abs(slope * one.mean))
    return f"{said} It alone makes {name} {by} {'more' if slope * one.mean > 0 else 'less'}."


def _widest(own: Mapping[str, OwnSpread], result: ResultSpread) -> float:
    """The ± of the result, to first order, with each measured spread at the end of its range."""
    variance = result.plus_minus**2
    for name, share in result.shares.items():
        if name in own and own[name].serves:
            far = own[name].plus_minus_range[1] / own[name].plus_minus
            variance += result.plus_minus**2 * share * (far**2 - 1)
    return math.sqrt(variance)


def _size(sheet: Sheet, name: str, size: float) -> str:
    """An error: finer than a rule is divided."""
    unit = _unit(sheet, name)
    if unit == "mm":
        return fine_text(size, sheet.shop_style)
    return figures_text(size, unit, sheet.shop_style, 2)


def _signed(sheet: Sheet, name: str, size: float) -> str:
    sign = "+" if size > 0 else "−" if size < 0 else ""
    return f"{sign}{_size(sheet, name, abs(size))}"


def _unit(sheet: Sheet, name: str) -> str:
    known = sheet.network.quantities
    return known[name].unit if name in known else "mm"
