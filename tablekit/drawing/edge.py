"""The edge of a top in section, at the rim: part of the drawing of the round cut.

Every number comes from the plan of the edge; only places on the paper are found here.
"""

from __future__ import annotations

from math import cos, pi, sin
from typing import TYPE_CHECKING

from tablekit.drawing import dimension, style
from tablekit.drawing.general import scale_text
from tablekit.drawing.ink import Ink, Label, Point

if TYPE_CHECKING:
    from tablekit.planning.edge_plan import EdgePlan

PROFILE_SCALES = (1, 1 / 2, 1 / 4, 1 / 8)
BEYOND = 9.0  # of the top drawn inside where the edge begins, on the paper
QUARTER = 16  # chords that a rounding is drawn with


def profile(plan: EdgePlan, scale: float = 1.0) -> Ink:
    """The rim in section, its upper face up and the rim to the right, mm on the paper.

    scale  1 is full size
    """
    ink = Ink()
    line = _outline(plan, scale)
    left, high = line[0]
    ink.areas.append(([*line, (left, 0.0)], style.POST_TONES[1]))
    ink.line("visible", *line)
    tooth = 1.2
    ink.line(
        "thin", (left, high + 1.5), (left, high / 2 + tooth), (left + tooth, high / 2 + tooth / 2),
        (left - tooth, high / 2 - tooth / 2), (left, high / 2 - tooth), (left, -1.5),
    )  # fmt: skip
    if plan.edge.bevelled:
        _steps(ink, plan, scale)
    _dimensions(ink, plan, scale)
    _heading(ink, plan, scale, left)
    return ink


def _outline(plan: EdgePlan, scale: float) -> list[Point]:
    """From the upper face inside the edge round the rim to the underside; the rim is at x = 0 and
    the underside at y = 0."""
    deep, size, up = plan.thickness * scale, plan.size * scale, plan.height * scale
    left = -size - BEYOND
    if plan.edge.bevelled:
        return [(left, deep), (0.0, deep), (0.0, up), (-size, 0.0), (left, 0.0)]
    turns = [pi / 2 * k / QUARTER for k in range(QUARTER + 1)]
    upper = [(-size + size * sin(one), deep - size + size * cos(one)) for one in turns]
    lower = [(x, deep - y) for x, y in reversed(upper)]
    return [(left, deep), *upper, *lower, (left, 0.0)]


def _steps(ink: Ink, plan: EdgePlan, scale: float) -> None:
    """The steps that are routed below the bevel, dashed."""
    rim, points = plan.diameter / 2, []
    depth = 0.0
    for step in plan.steps:
        x = (step.near - rim) * scale
        points += [(x, depth * scale), (x, step.stop * scale)]
        depth = step.stop
    if points:
        ink.line("hidden", *points, (0.0, depth * scale))


def _dimensions(ink: Ink, plan: EdgePlan, scale: float) -> None:
    deep, size, up = plan.thickness * scale, plan.size * scale, plan.height * scale
    unit = f" {plan.style.display}"
    texts = [plan.length(n).removesuffix(unit) for n in (plan.size, plan.height, plan.rim)]
    across, high, rim = texts
    at = style.FIRST_ROW
    if plan.edge.bevelled:
        dimension.across(ink, (-size, 0.0), (0.0, up), -at, across)
        dimension.upright(ink, (-size, 0.0), (0.0, up), at, high)
        dimension.upright(ink, (0.0, up), (0.0, deep), at + style.NEXT_ROW, rim)
        return
    if plan.rim > 0:
        dimension.upright(ink, (0.0, deep - size), (0.0, size), at, rim)
    corner = size * (1 - cos(pi / 4))
    # To the left, clear of the height beside the rim, whose text may stand below it.
    dimension.leader(ink, (-corner, corner), (-corner - 4.0, -6.0), f"R{across}", "both")


def _heading(ink: Ink, plan: EdgePlan, scale: float, left: float) -> None:
    box = ink.box()
    words = "full size" if scale == 1 else scale_text(scale)
    ink.labels.append(Label(f"edge: {plan.edge.name}, {words}", left, box.high + 3.0, "left"))
