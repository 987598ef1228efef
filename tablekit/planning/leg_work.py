"""Splayed legs at the bench: marking the top, boring, turning, fitting, levelling.

work = leg_work(sheet)
work.said_of_levelling()
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import plain_up, shop_text
from tablekit.planning.leg_stretchers import (
    NO_PRACTICE,
    LegStretchers,
    leg_stretchers,
    said_of_joining,
    said_of_mortises,
    said_of_stretchers,
)
from tablekit.planning.said import Said
from tablekit.relations import leg_bench
from tablekit.relations import splayed_quantities as s
from tablekit.relations.bases import base_of
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

GAUGE = {"mm": 100.0, "in": 101.6}  # height in which the gauge is checked, mm
ROUND = {"mm": 10.0, "in": 25.4}  # places along a leg are so far apart, or twice as far, …
WEDGE = {"mm": 5.0, "in": 25.4 * 3 / 16}  # thick end, mm: common practice, no source
KERF = {"mm": 1.0, "in": 25.4 / 32}  # of its saw cut, mm: common practice, no source
STATIONS = 4  # places between shoulder and foot for which calipers are set
SHOULDER = 0.05  # mm: a step between leg and tenon that is one
STRAIGHT_OUT = 0.05  # degrees off the radius: so little is neither marked nor seen
_octagon = solve_for(leg_bench.OCTAGON, leg_bench.octagon_mark, leg_bench.octagon_square)
_diameter = solve_for(
    leg_bench.STATION, leg_bench.station_diameter, s.leg_diameter, s.leg_taper,
    leg_bench.shoulder_clear, leg_bench.station,
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class LegWork:
    """What a maker sets and measures for the legs of a piece.

    sheet     of the piece
    bench     of `network()`: the length of the blank, the tenon as turned, the gauge, the block for
              the pencil
    stations  (distance from the shoulder, diameter), mm, from the shoulder to the end
    joins     the stretchers; None where the legs are not joined
    """

    sheet: Sheet
    bench: Sheet
    stations: tuple[tuple[float, float], ...]
    joins: LegStretchers | None = None

    @property
    def count(self) -> int:
        """How many legs."""
        return base_of(self.sheet).count

    @property
    def shouldered(self) -> bool:
        """Whether there is a step between leg and tenon."""
        return self.stations[0][1] > self.sheet.number("tenon_diameter") + SHOULDER

    @property
    def through(self) -> bool:
        """Whether the tenons come through the top."""
        return self.sheet.number("socket_cover") <= 0

    @property
    def straight_out(self) -> bool:
        """Whether the sight lines are the radii."""
        return self.sheet.number("sight_turn") < STRAIGHT_OUT

    @property
    def tapered(self) -> bool:
        """Whether calipers are set differently along a leg."""
        return abs(self.stations[0][1] - self.stations[-1][1]) > SHOULDER

    @property
    def marks(self) -> tuple[float, ...]:
        """Shoulder to the middle of each height of mortises for stretchers, mm, from the highest;
        none where the legs are not joined."""
        found = {one.mark for one in self.joins.mortises} if self.joins else set[float]()
        return tuple(sorted(found))

    def text(self, name: str) -> str:
        """A size as the maker reads it, of the piece or of the bench."""
        found = self.bench if name in self.bench.network.quantities else self.sheet
        return found.shop(name)

    def bare(self, name: str) -> str:
        """The same less its unit, which a drawing notes once."""
        return self.text(name).removesuffix(f" {self.sheet.shop_style.display}")

    def length(self, mm: float) -> str:
        """A length as the maker reads it."""
        return shop_text(mm, "mm", self.sheet.shop_style)

    def bare_length(self, mm: float) -> str:
        """The same less its unit."""
        return self.length(mm).removesuffix(f" {self.sheet.shop_style.display}")

    def octagon(self, side: float) -> float:
        """How far from each arris of a square blank its octagon is marked, mm."""
        return float(_octagon(side))

    # -- what is said ---------------------------------------------------------------------------

    def said_of_marking(self) -> tuple[Said, ...]:
        """Setting out the sockets on the underside."""
        return tuple(Said(line) for line in _marking(self))

    def said_of_boring(self) -> tuple[Said, ...]:
        """The bit and its depth."""
        return tuple(_boring(self))

    def said_of_guiding(self) -> tuple[Said, ...]:
        """Holding the bit to the gauge and a square."""
        return tuple(_guiding(self))

    def said_of_block(self) -> tuple[Said, ...]:
        """Boring through a guide block."""
        return tuple(Said(line) for line in _block(self))

    def said_of_press(self) -> tuple[Said, ...]:
        """Boring on a drill press."""
        return tuple(Said(line) for line in _press(self))

    def said_of_turning(self) -> tuple[Said, ...]:
        """Making the legs."""
        return tuple(Said(line) for line in _turning(self))

    def said_of_stretchers(self) -> tuple[Said, ...]:
        """Making the stretchers; none where there are none."""
        return () if self.joins is None else tuple(said_of_stretchers(self.joins))

    def said_of_mortises(self) -> tuple[Said, ...]:
        """Boring the legs for their stretchers; none where there are none."""
        return () if self.joins is None else tuple(said_of_mortises(self.joins))

    def said_of_fitting(self) -> tuple[Said, ...]:
        """Dry, then glued, and wedged where the tenons come through."""
        return tuple(Said(line) for line in _fitting(self))

    def steps_of_levelling(self) -> tuple[str, ...]:
        """Marking the feet and cutting them."""
        return tuple(_levelling(self))

    def to_check(self) -> tuple[str, ...]:
        """What is looked at before the glue, and at the end."""
        return tuple(_to_check(self))

    def to_json(self) -> dict[str, Any]:
        """Plain data, mm and degrees."""
        names = (
            "shoulder_clear", "tenon_length", "shoulder_gap", "turned_length", "mouth_length",
            "gauge_height", "gauge_lean", "block_height", "foot_off", "level_height",
            "standing_height",
        )  # fmt: skip
        return {name: tidy(self.bench.number(name)) for name in names} | {
            "stations": [[tidy(far), tidy(across)] for far, across in self.stations],
            **({} if self.joins is None else self.joins.to_json()),
        }


@cache
def network(joined: int = 0) -> Network:
    """The sizes of legs at the bench; `joined` is how many are joined by stretchers."""
    own = (leg_bench.stretcher_start,) if joined else ()
    starts = (leg_bench.stretcher_starts(joined),) if joined else ()
    return Network(
        "legs at the bench", (*leg_bench.QUANTITIES, *own), (*leg_bench.RELATIONS, *starts),
        wording=SHOP,
    )  # fmt: skip


def leg_work(sheet: Sheet) -> LegWork | None:
    """What is set and measured for the legs of a sheet; None for a base of crossed posts, and where
    a size of the legs is open."""
    given = {one.name: sheet.get(one.name) for one in leg_bench.GIVEN if one.name != "gauge_height"}
    if base_of(sheet).crossed or None in (*given.values(), sheet.get("socket_radius")):
        return None
    known = {name: number for name, number in given.items() if number is not None}
    known["leg_blank"] = plain_up(known["leg_blank"], sheet.shop_style)
    known["gauge_height"] = GAUGE[sheet.shop_style.display]
    joins = leg_stretchers(sheet)
    of = network(base_of(sheet).count if joins else 0)
    bench = of.solve(known, name="legs at the bench", shop=sheet.shop_style)
    return LegWork(sheet, bench, tuple(_stations(bench)), joins)


def _stations(bench: Sheet) -> Iterator[tuple[float, float]]:
    """Shoulder, a few places at round distances, and the end."""
    length = bench.number("turned_length")
    number = bench.number
    least = ROUND[bench.shop_style.display]
    step = max(1.0, length / STATIONS // least) * least
    for place in (0.0, *(k * step for k in range(1, STATIONS)), length):
        across = _diameter(
            number("leg_diameter"), number("leg_taper"), number("shoulder_clear"), place
        )
        yield place, float(across)


def _marking(work: LegWork) -> Iterator[str]:
    text = work.text
    yield (
        "Lay the top face down on a blanket. The pivot hole of the trammel is the centre. Sizes "
        "are on the underside."
    )
    yield (
        f"Draw the socket circle with the compasses at {text('socket_radius')}. Mark socket 1 "
        f"where the line of grain through the centre meets it {NO_PRACTICE}."
    )
    if work.count == 3:
        yield (
            "With the same opening step round the circle from the mark of socket 1: six steps "
            f"bring you back, and every second mark is a socket. Check: {text('socket_spread')} "
            "from socket to socket."
        )
    else:
        yield (
            "Draw two lines square to one another through the centre; they cut the circle at the "
            f"sockets. Check: {text('socket_spread')} from each socket to the next."
        )
    if work.straight_out:
        yield "The line from the centre through a socket is its sight line. Draw it out to the rim."
    else:
        yield (
            f"Draw each sight line through its socket, {text('sight_turn')} off the radius, all to "
            "the same side, as drawn."
        )
    yield "Number the sockets, and each leg as it is fitted."


def _boring(work: LegWork) -> Iterator[Said]:
    text = work.text
    bit = (
        f"Bit: {text('tenon_diameter')}, its point where circle and sight line cross, its shank "
        f"towards the rim, {text('drill_angle')} from the underside."
    )
    if work.through:
        yield Said(
            f"{bit} It comes through the upper face: clamp scrap under the top, or stop when the "
            "point shows and bore back from the face."
        )
        yield Said(
            f"Along its axis the tenon goes in by {text('socket_depth')} from the underside. What "
            "stands out of the upper face is sawn off flush when its wedge is glued."
        )
        return
    yield Said(
        f"{bit} Mark its depth, {text('socket_depth')} from its cutting edges, with a band of "
        "tape. Stop when the lower edge of the band, seen square to the sight line, is level with "
        "the underside at the middle of the bit."
    )
    yield Said(f"{text('socket_cover')} of wood is left over the socket. {_of_the_point(work)}")


def _of_the_point(work: LegWork) -> str:
    """How much deeper the point of the bit goes, and what is left over it."""
    point, left = work.text("bit_point"), work.text("point_cover")
    if work.sheet.number("point_cover") <= 0:
        return f"A point {point} beyond the cutting edges comes through: take a shorter one."
    given = "bit_point" in work.sheet.givens
    assumed = "" if given else " That is assumed: measure yours; a longer point leaves less."
    return f"A point {point} beyond the cutting edges leaves {left}.{assumed}"


def _guiding(work: LegWork) -> Iterator[Said]:
    yield Said(
        "Stand the gauge of the last page on the sight line, on the rim side of the socket, and "
        "keep the bit parallel to its slanting edge. Seen along the sight line the bit is plumb: "
        "stand a square beside it."
    )
    yield Said(
        "Bore a first socket in scrap as thick as the top, the trial socket that the tenons are "
        "fitted to. With a straight dowel in it, its lean can be held against the gauge."
    )
    yield Said(
        "Clamp the top to the bench. Keep hands and sleeves off the line of the bit, brace the "
        "drill against the catch of a large bit, and wear eye protection.",
        "caution",
    )


def _block(work: LegWork) -> Iterator[str]:
    text = work.text
    yield (
        f"A guide block can take the place of the gauge. Plane a length {text('guide_width')} "
        f"square, long enough to hold safely. Bore {text('tenon_diameter')} along its middle from "
        f"one end, which is square. Saw the block off {text('leg_resultant')} out of square, "
        f"{text('guide_blank')} from that end along the longest edge. The sawn face is its base, "
        f"{text('guide_base')} long; the hole is {text('guide_length')} long on its axis."
    )
    yield (
        "Draw the middle line down all four sides. Stand the block with the longest edge towards "
        "the centre of the top, two of its lines on the sight line and two on a line square to it "
        "through the centre of the socket. Clamp it."
    )
    if not work.through:
        yield (
            f"Set the stop {text('bit_stop')} from the cutting edges of the bit: it meets the "
            "square end when the socket is deep enough. Try it in scrap."
        )


def _press(work: LegWork) -> Iterator[str]:
    text = work.text
    yield (
        "On a drill press lay the sight line along the tilt of the table, the rim side of the "
        f"socket uphill, and tilt the table {text('leg_resultant')}. Or leave the table level and "
        f"clamp the top on a wedge that rises {text('gauge_lean')} in {text('gauge_height')}, its "
        f"thick end under that side.{_two_tilts(work)}"
    )


def _two_tilts(work: LegWork) -> str:
    """Table and wedge for a leg that is given by its rake and splay."""
    if not {"leg_rake", "leg_splay"} & work.sheet.givens.keys():
        return ""
    return (
        f" By rake and splay: draw the rake axis, {work.text('sight_line')} to one side of the "
        f"sight line, and lay it along the tilt; under the top a wedge of {work.text('leg_splay')} "
        "across it, its thick end on the side of the sight line; the table tilted "
        f"{work.text('press_tilt')}."
    )


def _turning(work: LegWork) -> Iterator[str]:
    text = work.text
    yield (
        f"Turn or shave each leg {text('leg_blank')} long. That leaves wood for the saw at the "
        "foot, which is cut level when the piece stands."
    )
    if work.shouldered:
        yield (
            f"Tenon: {text('tenon_diameter')} across and {text('tenon_length')} long, the shoulder "
            f"square. That is {text('shoulder_clear')} longer than the socket is deep, so that the "
            "tenon reaches the bottom before the shoulder bears: its outer edge just touches the "
            f"underside, and a gap of {text('shoulder_gap')} stays on the inner side."
        )
    else:
        yield f"Tenon: {text('tenon_diameter')} across, without a shoulder."
    yield (
        "Turn a trial tenon in scrap to the trial socket, and set the calipers by it: it goes in "
        f"by hand, with effort, dry {NO_PRACTICE}. Try each tenon in that socket."
    )


def _fitting(work: LegWork) -> Iterator[str]:
    display = work.sheet.shop_style.display
    if work.through:
        yield (
            "Saw a kerf down the middle of the end of each tenon, two thirds of its length: one "
            f"cut of a thin saw, about {work.length(KERF[display])} wide. Turn the leg until "
            f"the kerf lies square to the grain of the top, or the wedge splits it {NO_PRACTICE}. "
            "Make each wedge of dry hard wood, as wide as the tenon and as long as its kerf, from "
            f"{work.length(WEDGE[display])} down to a thin edge."
        )
    rings = "its growth rings across the grain of the top"
    spread = f"{work.text('foot_spread')} when they are cut, a little more before"
    if work.joins is None:
        yield (
            f"Fit all legs dry, each in the socket of its number, {rings}. Drive each down to the "
            "bottom of its socket and sight along its sight line. The feet are all equally far "
            f"apart: {spread}."
        )
    else:
        yield from said_of_joining(work.joins, work.text("stretcher_start"))
        yield f"Try it all dry first, each leg in its socket, {rings}. Feet apart: {spread}."
    home = "Drive the legs in one by one" if work.joins is None else "Drive the legs home by turns"
    if work.through:
        wedge = "before the next" if work.joins is None else "when all legs are home"
        yield (
            f"Glue tenon and socket. {home}, and drive the wedges, glued, {wedge}. Saw tenons and "
            "wedges off flush when the glue is hard."
        )
    else:
        yield (
            "Glue tenon and socket sparingly: glue that is trapped under a tenon keeps it off the "
            f"bottom. {home}. Blind tenons are not wedged."
        )


def _levelling(work: LegWork) -> Iterator[str]:
    text = work.text
    yield (
        "Stand the piece on a flat board, on its feet as turned. Push slips of wood under the feet "
        "until a spirit level on the top says level both ways."
    )
    yield (
        f"Measure from the board to the upper face: {text('standing_height')} as drawn. Take off "
        f"{text('level_height')}, the height without pads. What is left is the height of the "
        f"block: {text('block_height')} as drawn."
    )
    yield (
        "Lay a pencil on a block so that its point is that high over the board, and draw round "
        "every foot. Where the line does not go all round one of them, raise the block and draw "
        "round all again: the piece comes out lower by as much."
    )
    trim = work.sheet.number("foot_trim")
    least = f"at least {text('foot_trim')}" if trim > SHOULDER else "next to nothing"
    yield (
        f"Saw along the lines. As drawn, {text('foot_off')} comes off the inner side of a leg, "
        f"{least} off the outer one. Pare to the line."
    )
    pads = work.sheet.number("pad_projection")
    under = f", and fit the pads, {text('pad_projection')} proud" if pads > 0 else ""
    yield f"Stand it again and try for rocking. Ease the edges of the feet{under}."


def _to_check(work: LegWork) -> Iterator[str]:
    text = work.text
    yield f"Socket circle {text('socket_radius')}; {text('socket_spread')} from socket to socket."
    yield (
        f"The gauge leans {text('gauge_lean')} in {text('gauge_height')}; a dowel in the trial "
        "socket agrees with it."
    )
    yield f"Every socket {text('socket_depth')} deep along its axis; legs and sockets numbered."
    if work.joins is not None:
        yield (
            "Stretchers: each mortise at its height and on the side of its partner; all stretchers "
            "in dry and tenons at the bottom of their mortises when the legs are home."
        )
    yield ("Legs in dry: feet equally far apart, each leg plumb as seen along its sight line.")
    yield "Glue hard before the feet are marked. Top level both ways when they are."
    yield "Feet cut: no rocking on a flat board. Edges of the feet eased."
    yield "Loaded well beyond use, with sandbags, before anyone sits or leans on it."
