"""Legs as they are cut and sockets as they are bored: how the piece stands on them.

    pieces = drawn(work).with_sizes({"leg_length_2": 455.0})
    found = stand(pieces)
    found.tilt, found.rock, found.height

Every number comes from the relations in `relations/legs_as_cut.py`. What is chosen here is how low
a foot that is still square is cut, and which three of four feet bear.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING

from tablekit.engine.judge import in_words
from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity
from tablekit.engine.rearrange import solve_for
from tablekit.engine.shop import fine_text, shop_text
from tablekit.engine.wording import words
from tablekit.engine.written_js import JsPlan, script_of
from tablekit.planning.as_cut import OF_THE_TOP, NoLongerFit, WrongUnit, seems_wrong_unit
from tablekit.relations import legs_as_cut as cut
from tablekit.relations import posts_as_cut as posts
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.kinds import height_name
from tablekit.relations.leg_bench import shoulder_clear
from tablekit.relations.levelling import visible_slope
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.program import Program
    from tablekit.engine.relation import Relation
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.planning.leg_work import LegWork

# What is measured of a leg and its socket: its name, less the number of the leg, and what it is of
# the leg as cut. A blank is a leg whose foot is still square.
OF_A_LEG: dict[str, Quantity] = {
    "leg_length": cut.length,
    "leg_blank": cut.length,
    "tenon_diameter": cut.tenon,
    "tenon_length": cut.tenon_length,
    "socket_depth": cut.depth,
    "socket_diameter": cut.bore,
    "socket_radius": cut.radius,
    "socket_aside": cut.aside,
    "leg_lean": cut.lean,
    "lean_aside": cut.lean_aside,
}
OF_THE_LEG = ("leg_length", "leg_blank", "tenon_diameter", "tenon_length")
LENGTHS = ("leg_length", "leg_blank", "socket_radius", "tenon_length", *OF_THE_TOP)
_NEVER = 1e9  # mm: a leg that is not turned yet is as long as it needs to be
HAIR = 1e-7  # mm
_arm = solve_for(cut.ARM, cut.arm, *cut.bearing_x[:2], *cut.bearing_y[:2])
_off = solve_for(cut.FOOT_OFF, cut.foot_off, *cut.bearing_x[:2], *cut.bearing_y[:2])


@dataclass(frozen=True, eq=False)
class LegPieces:
    """Legs, sockets and top, as drawn but for what is cut.

    work   the legs at the bench, as drawn
    sizes  what is cut, by name: mm, or degrees for a lean; legs numbered as in the drawings
    pads   what a shim under a foot adds to a leg, mm, by its number
    """

    work: LegWork
    sizes: Mapping[str, float]
    pads: Mapping[int, float]

    @property
    def sheet(self) -> Sheet:
        """Of the piece as drawn."""
        return self.work.sheet

    @property
    def style(self) -> ShopStyle:
        """How sizes are said."""
        return self.sheet.shop_style

    @property
    def legs(self) -> range:
        """The numbers of the legs."""
        return range(1, self.work.count + 1)

    def with_sizes(self, sizes: Mapping[str, float]) -> LegPieces:
        """The same with other sizes."""
        return replace(self, sizes={**self.sizes, **sizes})

    def without(self, *names: str) -> LegPieces:
        """The same with these not cut."""
        return replace(self, sizes={n: v for n, v in self.sizes.items() if n not in names})

    def top(self, name: str) -> float:
        """A size of the top, mm."""
        return self.sizes.get(name, self.sheet.number(name))

    def is_cut(self, leg: int, *stems: str) -> bool:
        """Whether any of these of a leg is measured."""
        return any(f"{stem}_{leg}" in self.sizes for stem in stems)

    def is_turned(self, leg: int) -> bool:
        """Whether anything of the leg itself is measured."""
        return self.is_cut(leg, *OF_THE_LEG)

    def is_sawn(self, leg: int) -> bool:
        """Whether its foot is cut level."""
        return self.is_cut(leg, "leg_length")

    def is_bored(self, leg: int) -> bool:
        """Whether anything of its socket is measured."""
        return self.is_cut(leg, *(stem for stem in OF_A_LEG if stem not in OF_THE_LEG))

    def number(self, stem: str, leg: int) -> float:
        """A size of a leg or its socket: as cut, or as it is drawn or will be made to suit."""
        if (own := self.sizes.get(f"{stem}_{leg}")) is not None:
            return own
        return self._to_suit(stem, leg)

    def _to_suit(self, stem: str, leg: int) -> float:
        number, turned = self.sheet.number, self.is_turned(leg)
        clearance = self.sheet.get("tenon_clearance") or 0.0
        if stem == "tenon_diameter" and not turned:
            return self.number("socket_diameter", leg) - clearance
        if stem == "socket_diameter":
            return number("tenon_diameter") + clearance
        if stem == "tenon_length":
            clear = self.work.bench.number("shoulder_clear")
            drawn_ = turned and self.work.shouldered
            return clear + (number("socket_depth") if drawn_ else self.number("socket_depth", leg))
        if stem == "leg_blank":
            return self.work.bench.number("leg_blank") if turned else _NEVER
        if stem in ("socket_aside", "lean_aside"):
            return 0.0
        return number({"leg_lean": "leg_resultant"}.get(stem, stem))

    def drawn_size(self, stem: str) -> float:
        """What a size of a leg was drawn, before any of it was cut."""
        plain = replace(self, sizes={"tenon_length_1": 0.0})  # so that leg 1 counts as turned
        return self.work.bench.number("tenon_length") if stem == "tenon_length" else plain.number(
            stem, 1
        )  # fmt: skip


@dataclass(frozen=True)
class LegStanding:
    """How one leg comes out, mm and degrees.

    drop    underside to its foot, square to the top; `lowest` where a square foot can be cut level
    foot    its place in plan, the centre line at (0, 0), leg 1 as drawn along x
    off     from there to where it was drawn, at the same drop
    play    of the tenon in its socket; `cover` the wood left over the socket
    lean    of the bore in both views; `entry` the tenon in the socket
    """

    drop: float
    lowest: float
    foot: tuple[float, float]
    off: float
    play: float
    cover: float
    lean: float
    entry: float


@dataclass(frozen=True)
class LegsStanding:
    """How the piece stands.

    legs    one for each leg
    tilt    of the top, degrees; rim_drop the same across the rim, mm; used its share of the slope
            that shows
    height  floor to the middle of the upper face, mm
    rock    of four legs, the gap under the one that is off the floor, mm; `rocks` its number
    low_side  where the top is low: degrees from leg 1, towards leg 2
    arm     centre to the nearest line that it tips over, mm
    """

    legs: tuple[LegStanding, ...]
    tilt: float
    rim_drop: float
    used: float
    height: float
    rock: float
    rocks: int
    low_side: float
    arm: float


def drawn(work: LegWork) -> LegPieces:
    """Legs, sockets and top as the sheet has them, none of it cut."""
    return LegPieces(work, {}, {})


def stand(pieces: LegPieces) -> LegsStanding:
    """How the piece stands, feet that are still square cut as low as the others allow.

    Raises NoLongerFit, in a sentence, where a size is outside what can be worked through.
    """
    first = [_leg(pieces, leg) for leg in pieces.legs]
    aim = target(pieces, [one.lowest for one in first])
    legs = tuple(_at(pieces, leg, one, aim) for leg, one in zip(pieces.legs, first, strict=True))
    floor, rock, rocks = _floor(pieces, legs)
    feet = [one.foot for one in legs]
    arms = [_arm(a[0], b[0], a[1], b[1])
            for a, b in zip(feet, (*feet[1:], feet[0]), strict=True)]  # fmt: skip
    falls = floor[cut.fall_x.name], floor[cut.fall_y.name]
    low = math.degrees(math.atan2(-falls[1], -falls[0])) % 360
    return LegsStanding(
        legs, floor[posts.tilt.name], floor[posts.rim_drop.name], floor[posts.slope_used.name],
        floor[posts.height.name], rock, rocks, low, min(float(one) for one in arms),
    )  # fmt: skip


def wanted_drop(pieces: LegPieces) -> float:
    """Underside to floor for the height that was asked, mm, with the top as thick as it is."""
    high = pieces.sheet.number(height_name(pieces.sheet.kind))
    return high - pieces.top("top_thickness") - pieces.sheet.number("pad_projection")


def target(pieces: LegPieces, lowest: list[float]) -> float:
    """How far below the underside the feet that are still square are cut: as far as the shortest
    that is sawn, else as asked, or as far as the shortest of all allows."""
    sawn = [drop for leg, drop in zip(pieces.legs, lowest, strict=True) if pieces.is_sawn(leg)]
    return min(sawn) if sawn else min(wanted_drop(pieces), *lowest)


def _leg(pieces: LegPieces, leg: int) -> LegStanding:
    """One leg, its foot as low as it goes."""
    sawn = pieces.is_sawn(leg)
    length = pieces.number("leg_length" if sawn else "leg_blank", leg)
    if length >= _NEVER:
        found = _run_leg(pieces, leg, pieces.drawn_size("leg_blank"), sawn=True)
        return replace(_standing(pieces, leg, found), lowest=_NEVER)
    return _standing(pieces, leg, _run_leg(pieces, leg, length, sawn))


def _at(pieces: LegPieces, leg: int, found: LegStanding, aim: float) -> LegStanding:
    """The same leg with its foot where it is cut in the end, a shim under it counted in."""
    drop = found.drop if pieces.is_sawn(leg) else min(found.lowest, aim)
    drop += pieces.pads.get(leg, 0.0)
    length = found.entry + drop / math.cos(math.radians(found.lean))
    return replace(_standing(pieces, leg, _run_leg(pieces, leg, length, True)), lowest=found.lowest)


def _standing(pieces: LegPieces, leg: int, found: Mapping[str, float]) -> LegStanding:
    place = found[cut.foot_x.name], found[cut.foot_y.name]
    plain = _plain(pieces, leg, found[cut.drop.name])
    off = float(_off(place[0], plain[0], place[1], plain[1]))
    return LegStanding(
        found[cut.drop.name], found[cut.drop.name], place, off, found[cut.play.name],
        found[cut.cover.name], found[cut.whole_lean.name], found[cut.entry.name],
    )  # fmt: skip


def _plain(pieces: LegPieces, leg: int, drop: float) -> tuple[float, float]:
    """Where the foot would lie, at that drop, with its socket as drawn."""
    plain = replace(pieces, sizes={})
    lean = math.radians(pieces.sheet.number("leg_resultant"))
    length = plain.number("socket_depth", leg) + drop / math.cos(lean)
    found = _run_leg(plain, leg, length, True)
    return found[cut.foot_x.name], found[cut.foot_y.name]


def givens_of(pieces: LegPieces, leg: int, length: float, sawn: bool) -> dict[str, float]:
    """What the network of one leg is given, reporting units."""
    sheet = pieces.sheet
    own = {one.name: pieces.number(stem, leg) for stem, one in OF_A_LEG.items()
           if one is not cut.length}  # fmt: skip
    own |= {
        cut.length.name: length,
        cut.bearing.name: 360.0 * (leg - 1) / pieces.work.count,
        q.top_thickness.name: pieces.top("top_thickness"),
        shoulder_clear.name: pieces.work.bench.number("shoulder_clear"),
        s.sight_turn.name: sheet.number("sight_turn"),
    }
    if sawn:
        return {**own, cut.foot_left.name: 0.0}
    return own | {name: sheet.number(name) for name in ("foot_diameter", "leg_taper")}


def _run_leg(pieces: LegPieces, leg: int, length: float, sawn: bool) -> dict[str, float]:
    names = [f"{stem}_{leg}" for stem in OF_A_LEG]
    givens = givens_of(pieces, leg, length, sawn)
    return _run(cut.leg_network(sawn), givens, f"leg {leg}", names)


def _run(
    of: Network, givens: Mapping[str, float], what: str, names: Sequence[str] = ()
) -> dict[str, float]:
    """Everything that follows, reporting units. Raises NoLongerFit, with the names of what was
    measured, where a relation does not hold or a number is out of range."""
    known = of.quantities
    outcome = _program(of, tuple(givens)).run({n: known[n].to_si(v) for n, v in givens.items()})
    if outcome.problems:
        why = in_words(outcome.problems[0], of).replace("_", " ")
        raise NoLongerFit(
            f"{what} cannot be worked through with these sizes ({why}); measure again", names
        )
    return {name: known[name].from_si(value) for name, value in outcome.values.items()}


@cache
def _program(of: Network, names: tuple[str, ...]) -> Program:
    return of.plan(names).program


# -- on a page without Python ---------------------------------------------------------------------


def script(count: int) -> str:
    """How a piece on so many legs stands, as JavaScript functions; which feet bear, and how low a
    square foot is cut, is left to whoever calls them.

    `asSawn` and `asSquare` find the drop of a leg from its length, `asLeg` everything else of it
    from its drop; `asFloor` is the floor under three feet, `asWanted` how far below the underside
    a level one is for a height; `asArm` and `asOff` are the tipping line and a foot out of place.
    """
    return "".join(one.text for one in scripts(count))


@cache
def scripts(count: int) -> tuple[JsPlan, ...]:
    """Those functions, one by one."""
    of_a_leg = {one.name for one in (*OF_A_LEG.values(), cut.bearing)} | {
        q.top_thickness.name, shoulder_clear.name, s.sight_turn.name
    }  # fmt: skip
    square = of_a_leg | {s.foot_diameter.name, s.leg_taper.name}
    low = (cut.drop.name,)
    places = (*cut.bearing_x, *cut.bearing_y, *cut.bearing_drop)
    others = (cut.other_x, cut.other_y, cut.other_drop) if count > 3 else ()
    of_the_floor = (*places, *others, q.top_thickness, q.top_diameter, q.pad_projection,
                    visible_slope)  # fmt: skip
    stands = (posts.tilt, posts.rim_drop, posts.slope_used, posts.height)
    two = (*cut.bearing_x[:2], *cut.bearing_y[:2])
    level = (posts.height, posts.tilt, q.top_thickness, q.pad_projection)
    return (
        _script("asSawn", cut.leg_network(True), of_a_leg | {cut.foot_left.name}, low),
        _script("asSquare", cut.leg_network(False), square, low),
        _script(
            "asLeg", cut.leg_network(True),
            of_a_leg - {cut.length.name} | {cut.foot_left.name, cut.drop.name},
            [one.name for one in (cut.foot_x, cut.foot_y, cut.cover, cut.play, cut.entry)],
        ),
        _script(
            "asFloor", cut.floor_network(count > 3), [one.name for one in of_the_floor],
            [one.name for one in (*stands, *((cut.rock,) if others else ()))],
        ),
        _script("asWanted", _alone(cut.HEIGHT, *level, cut.below), [one.name for one in level],
                [cut.below.name]),
        _script("asArm", _alone(cut.ARM, *two, cut.arm), [one.name for one in two],
                [cut.arm.name]),
        _script("asOff", _alone(cut.FOOT_OFF, *two, cut.foot_off), [one.name for one in two],
                [cut.foot_off.name]),
    )  # fmt: skip


def _alone(relation: Relation, *quantities: Quantity) -> Network:
    """The network of one relation."""
    return Network(relation.name, quantities, [relation], wording=SHOP)


def _script(name: str, of: Network, given: Iterable[str], wanted: Sequence[str]) -> JsPlan:
    return script_of(_program(of, tuple(sorted(given))), name, wanted)


# -- the floor ------------------------------------------------------------------------------------


def _floor(pieces: LegPieces, legs: tuple[LegStanding, ...]) -> tuple[dict[str, float], float, int]:
    """The floor under three feet, of four the gap under the other, and its number; of the ways that
    four stand, the one that tilts the top more."""
    if len(legs) == 3:
        givens = floor_givens(pieces, legs, (0, 1, 2))
        return _run(cut.floor_network(False), givens, "the feet"), 0.0, 0
    ways = [*_ways(pieces, legs)]
    return max(ways, key=lambda way: way[0][posts.tilt.name])


def _ways(
    pieces: LegPieces, legs: tuple[LegStanding, ...]
) -> Iterator[tuple[dict[str, float], float, int]]:
    for three in combinations(range(4), 3):
        (other,) = {0, 1, 2, 3} - {*three}
        found = _run(cut.floor_network(True), floor_givens(pieces, legs, three), "the feet")
        gap = found[cut.rock.name]
        if gap > -HAIR:
            yield found, max(0.0, gap), other + 1


def floor_givens(
    pieces: LegPieces, legs: tuple[LegStanding, ...], three: tuple[int, ...]
) -> dict[str, float]:
    """What the network of the floor is given, reporting units; of four legs the other too."""
    found: dict[str, float] = {}
    for x, y, drop, k in zip(cut.bearing_x, cut.bearing_y, cut.bearing_drop, three, strict=True):
        found |= {x.name: legs[k].foot[0], y.name: legs[k].foot[1], drop.name: legs[k].drop}
    for other in set(range(len(legs))) - {*three}:
        own = legs[other]
        found |= {cut.other_x.name: own.foot[0], cut.other_y.name: own.foot[1],
                  cut.other_drop.name: own.drop}  # fmt: skip
    names = ("top_thickness", "top_diameter")
    found |= {name: pieces.top(name) for name in names}
    return found | {n: pieces.sheet.number(n) for n in ("pad_projection", "visible_slope")}


def sheets_of(pieces: LegPieces) -> tuple[Sheet, ...]:
    """A sheet for each leg as it stands in the end, and one of the floor, on which the working of
    each number can be shown."""
    found, style = stand(pieces), pieces.style
    made = []
    for leg, one in zip(pieces.legs, found.legs, strict=True):
        length = one.entry + one.drop / math.cos(math.radians(one.lean))
        givens = givens_of(pieces, leg, length, True)
        made.append(
            cut.leg_network(True).solve(givens, name=f"leg {leg} as cut", shop=style, why=False)
        )
    three = tuple(k for k in range(len(found.legs)) if k + 1 != found.rocks)[:3]
    of = cut.floor_network(len(found.legs) == 4)
    givens = floor_givens(pieces, found.legs, three)
    return (*made, of.solve(givens, name="the floor under the feet", shop=style, why=False))


# -- refusals -------------------------------------------------------------------------------------


def refuse(pieces: LegPieces) -> None:
    """Raises WrongUnit for a size that seems to be in another unit, and NoLongerFit for a leg that
    the piece does not have."""
    for name, size in sorted(pieces.sizes.items()):
        stem, _, leg = name.rpartition("_")
        of_top = name in OF_THE_TOP
        if not of_top and int(leg) not in pieces.legs:
            raise NoLongerFit(f"leg {leg}: this piece has {pieces.work.count} legs", [name])
        if (name if of_top else stem) not in LENGTHS:
            continue
        drawn_ = pieces.sheet.number(name) if of_top else pieces.drawn_size(stem)
        if seems_wrong_unit(size, drawn_):
            said = words(name) if of_top else f"{words(stem)} of leg {leg}"
            here, there = fine_text(size, pieces.style, 5), shop_text(drawn_, "mm", pieces.style)
            raise WrongUnit(
                f"the {said} is {here} and was drawn {there}; is it in the right unit?", [name]
            )
