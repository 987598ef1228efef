"""Cutting the top round, step by step: settings, stops, speed, and which way to go.

plan = trammel_plan(sheet)
plan.text()
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from tablekit.engine.network import Network
from tablekit.engine.shop import ShopStyle, duration_text, figures_text, fine_text, shop_text
from tablekit.engine.trouble import RangeError
from tablekit.planning.said import Said
from tablekit.relations import trammel
from tablekit.relations.wording import SHOP
from tablekit.shipped import reference_path

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- cutting the rim: with the grain or against it, how fast, with which board ---------------------

Arc = tuple[float, float]
_INCH = 25.4


def arcs_against_the_grain(grain: float = 0.0, *, from_below: bool = True) -> tuple[Arc, Arc]:
    """The two quarters of the rim that are cut against the grain, as (start, end) bearings in
    degrees, anticlockwise, seen from above the finished top; start from 0 to 360, end 90 more.

    grain       bearing of the grain, degrees
    from_below  the top lies face down and the router above it, so that the pin's hole does not
                show; else the router runs on the upper face

    A router's cutter turns clockwise seen from the router, and its edges run anticlockwise along
    the wood that is kept (reference/derivations/trammel.md).
    """
    # Seen from the router the bad quarters follow each end of the grain anticlockwise.
    first = (grain - 90 if from_below else grain) % 360
    second = (first + 180) % 360
    return (first, first + 90), (second, second + 90)


def end_grain_arcs(grain: float = 0.0) -> tuple[Arc, Arc]:
    """The two arcs of the rim where the fibres run out nearer end on than along it, as (start, end)
    bearings in degrees, as those of `arcs_against_the_grain`: 45° to either side of each end of the
    grain (reference/derivations/edge.md)."""
    first = (grain - 45) % 360
    second = (first + 180) % 360
    return (first, first + 90), (second, second + 90)


def fastest(cutter_diameter: float) -> float:
    """The most turns a minute for a cutter of this diameter, mm, that has no figure marked on it.

    From `reference/shop.csv` (common practice). Raises RangeError for one wider than the table.
    """
    for widest, speed in _speeds():
        if cutter_diameter <= widest + 1e-9:
            return speed
    widest = _speeds()[-1][0]
    raise RangeError(
        f"a cutter of {cutter_diameter:g} mm is wider than the {widest:g} mm that the table of "
        "speeds covers: do not run it in a hand-held router, and ask its maker for its speed",
        name="cutter_diameter",
        found=cutter_diameter,
        high=widest,
    )


@cache
def _speeds() -> tuple[tuple[float, float], ...]:
    """(widest cutter in mm, turns a minute), narrowest first."""
    with open(reference_path("shop.csv"), encoding="utf-8", newline="") as file:
        rows = [*csv.DictReader(line for line in file if not line.startswith("#"))]
    found = []
    for row in rows:
        match = re.fullmatch(r"cutter speed .*?([\d.]+) in(?: diameter)?", row["what"])
        if match:
            found.append((float(match[1]) * _INCH, float(row["value"])))
    return tuple(sorted(found))


@cache
def board_network() -> Network:
    """What one trammel board serves, and how fast its cutter's edge runs."""
    return Network("trammel board", trammel.BOARD_QUANTITIES, trammel.BOARD_RELATIONS, wording=SHOP)


def trammel_board(
    trammel_length: float,
    cutter_diameter: float = 12.0,
    *,
    cutter_from_edge: float = 100.0,
    pivot_margin: float = 25.0,
    pivot_clearance: float = 150.0,
    cutter_speed: float | None = None,
) -> Sheet:
    """The rounds that a board of `trammel_length` can cut; all in mm, the speed in turns a minute.

    The speed is the fastest that the table allows unless it is given. The defaults are common
    practice: measure your own router. Raises RangeError for a measure that no trammel has.
    """
    speed = fastest(cutter_diameter) if cutter_speed is None else cutter_speed
    return board_network().solve(
        {
            "trammel_length": trammel_length,
            "cutter_diameter": cutter_diameter,
            "cutter_from_edge": cutter_from_edge,
            "pivot_margin": pivot_margin,
            "pivot_clearance": pivot_clearance,
            "cutter_speed": speed,
        }
    )


# -- the plan --------------------------------------------------------------------------------------

Way = Literal["equal", "thin last"]
# Common practice: measure your own router.
PIVOT_MARGIN, PIVOT_CLEARANCE, ROUTER_BASE = 25.0, 150.0, 150.0
_NEEDED = ("trammel_radius", "pivot_from_edge", "router_passes", "lap_time")


@dataclass(frozen=True)
class Pass:
    """One pass, the uppermost being number 1: its own depth, and the stop's depth, mm."""

    number: int
    depth: float
    stop: float


@dataclass(frozen=True)
class Quadrant:
    """A quarter of the rim from `start` to `end`: bearings in degrees, anticlockwise, seen from
    above the finished top; `against` the grain or with it, and what to do there."""

    start: float
    end: float
    against: bool
    advice: str


@dataclass(frozen=True)
class TrammelPlan:
    """All that is set for cutting the round. Lengths in mm.

    near, middle, far      pivot to the cutter's near side (the rim), middle and far side
    pivot_from_end         reference end of the board to the hole for the pivot
    cutter_from_end        reference end to the middle of the cutter
    board_length           the least that a board must have for this round
    router_base            diameter of the router's base, taken to be usual
    equal, thin_last       the passes, both ways of dividing them
    cutter_speed           turns a minute, at most `fastest_speed`
    cutting_speed, feed_speed  of the cutter's edge and of the router, m/s
    chip_load, chip_load_advice      mm that each edge cuts off in a turn, and what to make of it
    lap_time          one round; all passes take cutting_minutes
    """

    diameter: float
    thickness: float
    cutter: float
    near: float
    middle: float
    far: float
    pivot_from_end: float
    cutter_from_end: float
    board_length: float
    router_base: float
    equal: tuple[Pass, ...]
    thin_last: tuple[Pass, ...]
    quadrants: tuple[Quadrant, ...]
    cutter_speed: float
    fastest_speed: float
    cutting_speed: float
    feed_speed: float
    chip_load: float
    chip_load_advice: str
    lap_time: float
    cutting_minutes: float
    style: ShopStyle

    @property
    def stops_said(self) -> tuple[str, str]:
        """The depth stops of equal passes, and those with a thin last pass: the same words where
        they come to the same marks."""
        equal, thin_last = (_stop_text(cut, self.style) for cut in (self.equal, self.thin_last))
        return equal, thin_last

    def to_json(self) -> dict[str, Any]:
        """Plain data: lengths in mm, bearings in degrees, speeds in m/s and turns a minute."""
        data = asdict(self)
        del data["style"]
        return data | {"text": self.text()}

    def said(self, beside_drawing: bool = False) -> tuple[Said, ...]:
        """The order of work, in plain sentences.

        beside_drawing  leaves out the stops of the passes and the quarters of the grain, which the
                        drawing of the trammel has
        """
        lines = _lines(self, beside_drawing)
        return tuple(line if isinstance(line, Said) else Said(line) for line in lines)

    def text(self) -> str:
        """All of it, one paragraph to a line."""
        return "\n".join(one.line for one in self.said())


def trammel_plan(sheet: Sheet) -> TrammelPlan | None:
    """How to cut the top of `sheet` round; None where it lacks a number for that."""
    if any(sheet.get(name) is None for name in _NEEDED):
        return None
    number, stops = sheet.number, stops_of(sheet)
    return TrammelPlan(
        diameter=number("top_diameter"),
        thickness=number("top_thickness"),
        cutter=number("cutter_diameter"),
        near=number("trammel_radius"),
        middle=number("trammel_centre"),
        far=number("pivot_to_far_side"),
        pivot_from_end=number("pivot_from_edge"),
        cutter_from_end=number("cutter_from_edge"),
        board_length=least_board(sheet).number("trammel_length"),
        router_base=ROUTER_BASE,
        equal=passes(sheet, "equal", stops),
        thin_last=passes(sheet, "thin last", stops),
        quadrants=quadrants(),
        cutter_speed=number("cutter_speed"),
        fastest_speed=number("fastest_speed"),
        cutting_speed=number("cutting_speed"),
        feed_speed=number("feed_speed"),
        chip_load=number("chip_load"),
        chip_load_advice=chip_load_advice(number("chip_load")),
        lap_time=number("lap_time"),
        cutting_minutes=number("cutting_minutes"),
        style=sheet.shop_style,
    )


def least_board(sheet: Sheet) -> Sheet:
    """The shortest trammel board that reaches, with 25 mm beyond the pivot."""
    return board_network().solve(
        {
            "widest_circle": sheet.number("top_diameter"),
            "cutter_diameter": sheet.number("cutter_diameter"),
            "cutter_from_edge": sheet.number("cutter_from_edge"),
            "cutter_speed": sheet.number("cutter_speed"),
            "pivot_margin": PIVOT_MARGIN,
            "pivot_clearance": PIVOT_CLEARANCE,
        },
        name="the least trammel board",
        shop=sheet.shop_style,
    )


@cache
def stop_network() -> Network:
    """What the depth stop is set to at one pass."""
    return Network("stop of a pass", trammel.STOP_QUANTITIES, trammel.STOP_RELATIONS, wording=SHOP)


def passes(sheet: Sheet, way: Way, stops: Sequence[Sheet]) -> tuple[Pass, ...]:
    """The passes from the top down, each with its depth and that of the stop, mm.

    way    "equal": all alike; "thin last": full depth each time, and what is left for the last
    stops  what `stops_of` gives
    """
    if way not in ("equal", "thin last"):
        raise ValueError(f'way = {way!r} is not known. Write "equal" or "thin last".')
    equal, full, last = (sheet.number(name) for name in ("equal_pass", "pass_depth", "last_pass"))
    if way == "equal":
        depths, name = [equal] * len(stops), "equal_stop"
    else:
        depths, name = [full] * (len(stops) - 1) + [last], "full_stop"
    return tuple(
        Pass(number, depth, stop.number(name))
        for number, (depth, stop) in enumerate(zip(depths, stops, strict=True), start=1)
    )


def stops_of(sheet: Sheet) -> list[Sheet]:
    """What the depth stop is set to at each pass, from the top down."""
    shared = {n: sheet.number(n) for n in ("equal_pass", "pass_depth", "top_thickness")}
    return [
        stop_network().solve(
            {**shared, "pass_number": float(number)}, name=f"pass {number}", shop=sheet.shop_style
        )
        for number in range(1, round(sheet.number("router_passes")) + 1)
    ]


def quadrants(grain: float = 0.0, *, from_below: bool = True) -> tuple[Quadrant, ...]:
    """The four quarters of the rim in order of bearing, with the grain or against it.

    grain       bearing of the grain, degrees
    from_below  the top lies face down and the router above it, so that the pin's hole is hidden
    """
    against = {start % 360 for start, _ in arcs_against_the_grain(grain, from_below=from_below)}
    found = []
    for quarter in range(4):
        start = (grain + 90 * quarter) % 360
        bad = any(abs((start - one + 180) % 360 - 180) < 1e-6 for one in against)
        found.append(Quadrant(start, start + 90, bad, _advice(bad)))
    return tuple(sorted(found, key=lambda quadrant: quadrant.start))


def _advice(against: bool) -> str:
    if against:
        return (
            "against the grain: shallow passes at a slow, steady feed, and only a shaving in the "
            "last one"
        )
    return "with the grain: keep a steady feed"


def chip_load_advice(chip_load: float) -> str:
    """What to make of a chip load in mm, in the words of the check on it."""
    check = trammel.CHIP_LOAD
    low, high = check.good
    if low is not None and chip_load < low:
        return check.said_low
    if high is not None and chip_load > high:
        return check.said_high
    return check.fine


def _lines(plan: TrammelPlan, beside_drawing: bool) -> Iterable[str | Said]:
    def text(mm: float) -> str:
        return shop_text(mm, "mm", plan.style)

    yield (
        f"Trammel board: at least {text(plan.board_length)} long. From the reference end, mark "
        f"the centre of the cutter at {text(plan.cutter_from_end)} and the pivot hole at "
        f"{text(plan.pivot_from_end)}, both on the centre line of the board."
    )
    yield (
        f"From the centre of the pivot: {text(plan.near)} to the near side of the cutter, which "
        f"cuts the rim; {text(plan.middle)} to its centre; {text(plan.far)} to its far side."
    )
    yield (
        "Clamp the top, face down, on waste boards. Drill the pivot hole at the centre mark, with "
        "a stop on the bit so that it cannot come through the face."
    )
    if not beside_drawing:
        yield from _stop_lines(plan)
    yield _about_speed(plan)
    yield "Rout anticlockwise, seen from above the router."
    if not beside_drawing:
        yield "Bearings from one end of the grain, anticlockwise seen from above the finished top:"
        for quadrant in plan.quadrants:
            yield Said(
                f"{quadrant.start:.0f}° to {quadrant.end:.0f}°: {quadrant.advice}.", indent=2
            )
    yield (
        "Unplug the router before touching the cutter. Wear eye and ear protection. Keep both "
        "hands on the router and the cord out of the way, never let the cutter pull it along, and "
        "follow the machine's instructions. The last pass frees the waste: support it all round."
    )


def _stop_lines(plan: TrammelPlan) -> Iterable[str]:
    alike, thin_last = plan.stops_said
    yield f"Passes: {len(plan.equal)}. Depth stops for equal passes: {alike}."
    if thin_last != alike:
        yield f"Or full passes and a thin last one: {thin_last}."


def _about_speed(plan: TrammelPlan) -> str:
    def figures(value: float, unit: str, count: int = 3) -> str:
        return figures_text(value, unit, plan.style, count)

    return (
        f"Run the cutter at {figures(plan.cutter_speed, 'rpm')} (at most "
        f"{figures(plan.fastest_speed, 'rpm')}); cutting speed "
        f"{figures(plan.cutting_speed, 'm/s')}. One lap takes about "
        f"{duration_text(plan.lap_time)} at "
        f"{figures(plan.feed_speed, 'm/s', 2)}, a chip load of "
        f"{fine_text(plan.chip_load, plan.style)}; "
        f"cutting takes about {duration_text(60 * plan.cutting_minutes)} in all. "
        f"{plan.chip_load_advice}"
    )


def _stop_text(cut: tuple[Pass, ...], style: ShopStyle) -> str:
    return ", ".join(shop_text(one.stop, "mm", style) for one in cut)
