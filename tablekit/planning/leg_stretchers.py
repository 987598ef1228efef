"""Stretchers at the bench: which there are, how long, and where each leg is mortised for them.

made = leg_stretchers(sheet)
made.lines, made.mortises
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from tablekit.engine.network import Network
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text
from tablekit.engine.wording import listed
from tablekit.planning.said import Said
from tablekit.relations import leg_bench, splayed_stretchers
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.bases import base_of
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_GIVEN = (
    s.leg_rise, s.leg_run, s.socket_radius, q.foot_radius, s.leg_diameter, s.foot_diameter,
    s.leg_resultant, s.sight_turn, s.shoulder_length, splayed_stretchers.stretcher_height,
    splayed_stretchers.stretcher_depth,
)  # fmt: skip
_FOUND = (
    leg_bench.shoulder_clear, splayed_stretchers.stretcher_radius,
    splayed_stretchers.leg_at_stretcher, splayed_stretchers.stretcher_length,
    splayed_stretchers.stretcher_whole, leg_bench.stretcher_mark,
)  # fmt: skip
NAMES = {1: ("side",), 2: ("lower", "upper"), 3: ("lowest", "middle", "highest")}
NO_PRACTICE = "(common practice, no source)"


class StretcherLine(NamedTuple):
    """Stretchers that are alike.

    name    "side", "upper", "cross", …
    joins   "legs 1 and 2, legs 3 and 4"
    height  of their axes over the level feet, mm
    length  between the parts that they join
    whole   with both tenons
    """

    name: str
    many: int
    joins: str
    height: float
    length: float
    whole: float


class Mortise(NamedTuple):
    """A mortise in a leg.

    towards  the number of a leg, or the name of a stretcher
    mark     from the shoulder to its middle, mm along the leg
    bevel    between leg and stretcher, on the leg's upper side, degrees
    """

    leg: int
    towards: str
    mark: float
    bevel: float


@dataclass(frozen=True, eq=False)
class LegStretchers:
    """The stretchers of a piece.

    sheet     of the piece
    levels    of `network()`, one for each height, the lowest first
    lines     stretchers that are alike
    mortises  leg by leg
    """

    sheet: Sheet
    levels: tuple[Sheet, ...]
    lines: tuple[StretcherLine, ...]
    mortises: tuple[Mortise, ...]

    @property
    def crossed(self) -> bool:
        """Whether there is a cross stretcher."""
        return self.lines[-1].name == "cross"

    @property
    def alike(self) -> bool:
        """Whether every leg has one mortise, in the same place and at the same bevel."""
        return len({(one.mark, one.bevel) for one in self.mortises}) == 1

    @property
    def count(self) -> int:
        """How many stretchers in all."""
        return sum(line.many for line in self.lines)

    def to_json(self) -> dict[str, Any]:
        """Plain data, mm and degrees."""
        return {
            "stretchers": [
                {key: tidy(one) if isinstance(one, float) else one
                 for key, one in line._asdict().items()}
                for line in self.lines
            ],
            "mortises": [
                {key: tidy(one) if isinstance(one, float) else one
                 for key, one in mortise._asdict().items()}
                for mortise in self.mortises
            ],
        }  # fmt: skip


@cache
def network(count: int) -> Network:
    """The sizes of side stretchers at one height, between three or four legs."""
    of = splayed_stretchers
    return Network(
        "stretchers at one height",
        (*_GIVEN, *_FOUND, s.leg_taper),
        (of.RADIUS, of.LEG_THERE, of.length(count), of.WHOLE, leg_bench.SHOULDER_CLEAR,
         leg_bench.STRETCHER_MARK),
        wording=SHOP,
    )  # fmt: skip


def leg_stretchers(sheet: Sheet) -> LegStretchers | None:
    """The stretchers of a sheet; None where its legs are not joined."""
    base = base_of(sheet)
    if not base.has_stretchers:
        return None
    pairs = base.pairs
    number = sheet.number
    levels = []
    for level in range(1 + max(level for *_, level in pairs)):
        known = {one.name: number(one.name) for one in (*_GIVEN, s.leg_taper)}
        if level:
            known["stretcher_height"] += level * number("stretcher_step")
        levels.append(network(base.count).solve(known, name="stretchers", shop=sheet.shop_style))
    lines = [*_side_lines(levels, pairs)]
    if base.joined != "ring":
        t = base.count == 3
        joins = "leg 1 and the side stretcher" if t else "the two side stretchers"
        sizes = [number(name) for name in ("stretcher_height", "cross_length", "cross_whole")]
        lines.append(StretcherLine("cross", 1, joins, *sizes))
    return LegStretchers(sheet, tuple(levels), tuple(lines), tuple(_mortises(sheet, levels, pairs)))


def _side_lines(
    levels: list[Sheet], pairs: tuple[tuple[int, int, int], ...]
) -> Iterator[StretcherLine]:
    for level, found in enumerate(levels):
        own = [f"legs {a + 1} and {b + 1}" for a, b, at in pairs if at == level]
        sizes = [found.number(f"stretcher_{what}") for what in ("height", "length", "whole")]
        yield StretcherLine(NAMES[len(levels)][level], len(own), listed(own), *sizes)


def _mortises(
    sheet: Sheet, levels: list[Sheet], pairs: tuple[tuple[int, int, int], ...]
) -> Iterator[Mortise]:
    marks = [found.number("stretcher_mark") for found in levels]
    for leg in range(base_of(sheet).count):
        for a, b, level in pairs:
            if leg in (a, b):
                other = f"leg {(b if leg == a else a) + 1}"
                yield Mortise(leg + 1, other, marks[level], sheet.number("stretcher_angle"))
        if leg == 0 and sheet.get("cross_angle") is not None:
            yield Mortise(1, "the side stretcher", marks[0], sheet.number("cross_angle"))


# -- what is said ---------------------------------------------------------------------------------


def said_of_stretchers(made: LegStretchers) -> Iterator[Said]:
    """Turning them, and mortising the side stretchers."""
    text, length = made.sheet.shop, _lengths(made)
    yield Said(
        f"Turn or shave the stretchers round: {text('stretcher_diameter')} at the middle, drawn "
        f"down evenly to {text('stretcher_tenon')} at both ends. The last "
        f"{text('stretcher_depth')} of each end is its tenon, straight and without a "
        "shoulder, so a mortise a little out of place does no harm. Try the tenons in a trial "
        f"mortise in scrap {NO_PRACTICE}."
    )
    for line in made.lines:
        what = f"{line.many} {line.name} stretcher{'s' * (line.many > 1)}"
        yield Said(f"{what}, {length(line.whole)} long with the tenons: {line.joins}.")
    if made.crossed:
        yield Said(
            "Bore the mortise for the cross stretcher square into the middle of each side "
            f"stretcher, {text('stretcher_depth')} deep."
        )


def said_of_mortises(made: LegStretchers) -> Iterator[Said]:
    """Boring the legs for their stretchers."""
    text = made.sheet.shop
    turned = ""
    if not made.crossed:
        turned = (
            f" The two mortises of a leg are {text('stretcher_turn')} apart, seen along the leg, "
            "and at different heights, so that they miss one another."
        )
    first, table = made.mortises[0], "to the bevel in the table"
    if made.alike:
        table = f"to {text('stretcher_angle')}"
        yield Said(
            f"Each leg has one mortise, {_lengths(made)(first.mark)} from the shoulder to its "
            f"middle, on the side of its partner: {made.lines[0].joins} are joined."
        )
    yield Said(
        "Bore before any glue. Fit the legs dry, numbered, draw the height of the mortise round "
        f"each, and sight from leg to leg for its side.{turned}"
    )
    yield Said(
        "Lay the leg in a cradle of two V-blocks, its axis level, the mark up. Lean the bit along "
        f"the leg {table}, its shank towards the tenon of the leg, and bore "
        f"{text('stretcher_depth')} deep with a stop; at least {text('mortise_floor')} of wood is "
        f"left behind. Bit: {text('stretcher_tenon')}."
    )
    yield Said(
        "Clamp the leg in its cradle: a bit that catches spins a round leg. Keep hands off the "
        "line of the bit, and wear eye protection.",
        "caution",
    )


def said_of_joining(made: LegStretchers, start: str) -> Iterator[str]:
    """Putting legs and stretchers together; `start` is how far they are out at first."""
    first = "Join cross and side stretchers first, then " if made.crossed else "First "
    yield (
        f"{first}put the legs on the stretchers, then start all legs in their sockets at once. "
        "With the tenons of the legs just at the mouths, each side stretcher stands "
        f"{start} out of its mortise at either end. Drive the legs home by turns, a little at a "
        "time: as they go in they come together, and legs and stretchers go home together "
        f"{NO_PRACTICE}."
    )


def _lengths(made: LegStretchers) -> Callable[[float], str]:
    return lambda mm: shop_text(mm, "mm", made.sheet.shop_style)
