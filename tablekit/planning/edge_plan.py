"""Cutting the edge of a top: its sizes, the passes or steps, and which way to go round.

plan = edge_plan(sheet, EDGES["bevelled under"])
plan.text()
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text, shop_text_down, shop_text_up
from tablekit.planning.said import Said
from tablekit.planning.trammel_plan import Arc, arcs_against_the_grain, end_grain_arcs
from tablekit.relations import edges
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.relations.edges import Edge


@dataclass(frozen=True)
class BevelStep:
    """One step that is routed below a bevel, the shallowest being number 1.

    stop     depth that the stop is set to, mm
    near     pivot to the near side of the cutter, mm
    width    from there to the rim, mm, cleared in `laps` of `minutes` together
    """

    number: int
    stop: float
    near: float
    width: float
    laps: int
    minutes: float


@dataclass(frozen=True)
class EdgePlan:
    """All that the edge of a top takes. Lengths in mm, bearings in degrees.

    size, height      in from the rim, and up it; a rounding has one radius for both
    rim               what stays upright at the rim
    underside         centre line to where the flat underside ends; `beyond` is how far that is
                      outside what carries the top
    angle, slope      of a bevel to the underside, and its width up the slope; 0 for a rounding
    passes            round each arris; 0 for a bevel
    steps             of a bevel; none for a rounding, and none where one pass is deep enough
    from_below, from_above   quarters of the rim that a router cuts against the grain with the top
                      face down and face up
    end_grain         arcs of the rim where it is end grain
    All bearings are anticlockwise from one end of the grain, seen from above the finished top.
    """

    edge: Edge
    diameter: float
    thickness: float
    size: float
    height: float
    rim: float
    underside: float
    beyond: float
    angle: float
    slope: float
    volume: float
    passes: int
    pass_depth: float
    steps: tuple[BevelStep, ...]
    from_below: tuple[Arc, Arc]
    from_above: tuple[Arc, Arc]
    end_grain: tuple[Arc, Arc]
    style: ShopStyle

    @property
    def laps(self) -> int:
        """Of all the steps of a bevel."""
        return sum(step.laps for step in self.steps)

    @property
    def minutes(self) -> float:
        """Of cutting all the steps of a bevel, without stops."""
        return sum(step.minutes for step in self.steps)

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, mm³, degrees and minutes; sizes that the profile lacks are left out."""
        data: dict[str, Any] = {
            "profile": self.edge.name,
            "edge_size": tidy(self.size),
            "rim_thickness": tidy(self.rim),
            "underside_radius": tidy(self.underside),
            "underside_overhang": tidy(self.beyond),
            "edge_volume": tidy(self.volume),
            "pass_depth": tidy(self.pass_depth),
        }
        if self.edge.bevelled:
            data |= {
                "edge_height": tidy(self.height),
                "bevel_angle": tidy(self.angle),
                "bevel_width": tidy(self.slope),
                "steps": [
                    {"stop": tidy(one.stop), "near": tidy(one.near), "width": tidy(one.width),
                     "laps": one.laps}
                    for one in self.steps
                ],
            }  # fmt: skip
        else:
            data["passes"] = self.passes
        faces = {"face down": self.from_below}
        if not self.edge.bevelled:
            faces["face up"] = self.from_above
        return data | {
            "direction": "anticlockwise, seen from the router",
            "against_grain": {face: [list(arc) for arc in arcs] for face, arcs in faces.items()},
            "end_grain": [list(arc) for arc in self.end_grain],
            "text": self.text(),
        }

    def said(self) -> tuple[Said, ...]:
        """The sizes and the order of work, in plain sentences."""
        return tuple(map(Said, (_bevel_lines if self.edge.bevelled else _rounded_lines)(self)))

    def text(self) -> str:
        """All of it, one paragraph to a line."""
        return "\n".join(one.line for one in self.said())

    @property
    def sizes(self) -> str:
        """What is cut, in a few words: "both arrises, radius 6 mm"."""
        text = self.length
        if not self.edge.bevelled:
            return f"radius {text(self.size)}, {text(self.rim)} of the rim stays upright"
        return (
            f"{text(self.size)} inward and {text(self.height)} up the rim, at {self.angle:.1f}°; "
            f"{text(self.rim)} of the rim stays upright"
        )

    def length(self, mm: float) -> str:
        """A length as the maker reads it."""
        return shop_text(mm, "mm", self.style)


@cache
def step_network() -> Network:
    """One step below a bevel: its stop, its near side and its laps."""
    return Network("step of a bevel", edges.STEP_QUANTITIES, edges.STEP_RELATIONS, wording=SHOP)


def step_sheets(sheet: Sheet) -> list[Sheet]:
    """The steps below the bevel of a sheet's top, from the shallowest; none where there is no bevel
    or it is no deeper than a pass."""
    levels = sheet.get(edges.bevel_levels.name)
    if levels is None:
        return []
    shared = {one.name: sheet.number(one.name) for one in edges.STEP_GIVEN}
    return [
        step_network().solve(
            {**shared, "step_number": float(number)}, name=f"step {number}", shop=sheet.shop_style
        )
        for number in range(1, round(levels))
    ]


def edge_plan(sheet: Sheet, edge: Edge) -> EdgePlan | None:
    """What the edge of the top takes; None for a square one, or where the sheet lacks a number."""
    needed = [one.name for one in (edges.edge_size, edges.rim_thickness, edges.edge_volume)]
    if not edge.shaped or any(sheet.get(name) is None for name in needed):
        return None
    number = sheet.number

    def own(name: str) -> float:
        found = sheet.get(name)
        return 0.0 if found is None else found

    return EdgePlan(
        edge, number("top_diameter"), number("top_thickness"), number("edge_size"),
        number("edge_height") if edge.bevelled else number("edge_size"),
        number("rim_thickness"), number("underside_radius"), number("underside_overhang"),
        own("bevel_angle"), own("bevel_width"), number("edge_volume"), round(own("edge_passes")),
        number("pass_depth"), tuple(_step(one) for one in step_sheets(sheet)),
        arcs_against_the_grain(), arcs_against_the_grain(from_below=False), end_grain_arcs(),
        sheet.shop_style,
    )  # fmt: skip


def _step(sheet: Sheet) -> BevelStep:
    number = sheet.number
    return BevelStep(
        round(number("step_number")), number("step_stop"), number("step_radius"),
        number("step_width"), round(number("step_laps")), number("step_minutes"),
    )  # fmt: skip


def _bevel_lines(plan: EdgePlan) -> Iterator[str]:
    text = plan.length
    yield (
        f"Edge: bevelled under, {text(plan.size)} inward and {text(plan.height)} up the rim, at "
        f"{plan.angle:.1f}° to the underside; the bevel is {text(plan.slope)} wide. "
        f"{text(plan.rim)} of the rim stays upright."
    )
    yield (
        f"The flat underside ends {text(plan.underside)} from the centre. Strike that circle on "
        "the underside from the pivot."
    )
    if plan.steps:
        said = "; ".join(_step_words(plan, one) for one in plan.steps)
        count = "one step" if len(plan.steps) == 1 else f"{len(plan.steps)} steps"
        yield (
            f"Before the round is cut, rout the bevel in {count} with the same cutter and pivot, "
            f"while the waste still carries the board: {said}."
        )
    yield (
        f"Once the top is round, gauge {text(plan.height)} up the rim from the underside. With the "
        "top face down and clamped, plane down to both lines, in each quarter from the side grain "
        f"to the end grain (end grain: {_arcs(plan.end_grain)}). Ease the upper arris."
    )


def _step_words(plan: EdgePlan, one: BevelStep) -> str:
    # Rounded into the waste: a step that is a hair too deep or too wide would show in the bevel.
    stop, near = shop_text_down(one.stop, plan.style), shop_text_up(one.near, plan.style)
    laps = f"{one.laps} lap{'s' * (one.laps > 1)}"
    return f"stop {stop}, near side {near} from the pivot, then outward to the rim, {laps}"


def _rounded_lines(plan: EdgePlan) -> Iterator[str]:
    text, count = plan.length, plan.passes
    each = "one pass" if count == 1 else f"{count} passes of at most {text(plan.pass_depth)}"
    yield (
        f"Edge: both arrises {plan.edge.name}, radius {text(plan.size)}; {text(plan.rim)} of the "
        f"rim stays upright. The flat underside ends {text(plan.underside)} from the centre."
    )
    yield (
        "Once the top is round, use a rounding-over cutter of that radius with a bearing: "
        f"{each} round the lower arris with the top face down, then turn the top over for the "
        "upper one. Start with the cutter clear of the wood, and rout anticlockwise, seen from "
        "the router, each time."
    )
    yield (
        f"Against the grain with the top face down: {_arcs(plan.from_below)}; face up: "
        f"{_arcs(plan.from_above)}. Take a light last pass there. End grain: "
        f"{_arcs(plan.end_grain)}; feed steadily there, or it burns."
    )


def _arcs(arcs: tuple[Arc, Arc]) -> str:
    return " and ".join(f"{start:.0f}° to {end % 360 or 360:.0f}°" for start, end in arcs)
