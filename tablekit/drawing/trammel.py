"""The trammel for cutting the top round: the board from above, the passes, which way to go, and the
edge in section.

Every number comes from the plans of the cut and of the edge; only places on the paper are worked
out here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import asin, cos, pi, radians, sin
from typing import TYPE_CHECKING

from tablekit.drawing import dimension, style
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    Layout,
    LiveDrawing,
    scale_text,
)
from tablekit.drawing.ink import Box, Ink, Label, Point, printed, ring
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.title import centred, drawing_room, in_a_column, in_a_row, title, too_large
from tablekit.engine.shop import duration_text, shop_text
from tablekit.planning.trammel_plan import Pass, Quadrant, TrammelPlan, trammel_plan

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet
    from tablekit.planning.edge_plan import EdgePlan


# -- The edge, at the rim --------------------------------------------------------------------------

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


# -- The trammel -----------------------------------------------------------------------------------

# A board is broken rather than drawn smaller than this.
LEAST_SCALE = 1 / 5
BREAK_GAP = 5.0  # between the two parts of a broken board, on the paper
BEYOND_BREAK = 60.0  # of the board before the pivot, full size
PIN = 8.0  # diameter of the pivot hole, full size
PIN_LEAST = 0.8  # its radius on the paper, at the least
SECTION_HIGH = 62.0  # of a section through the top, at the most
SECTION_SCALES = (2, 1, 1 / 2, 1 / 4, 1 / 8)
SIDE = 12.0  # of wood on either side of the groove, on the paper
ROW = 4.2  # from one line of text to the next
ROUND = 21.0  # radius of the little plan
GAP = 9.0
# How parts are put to the board, and how wide and high that is with a board so large.
_Way = tuple[Callable[[Ink], Ink], Callable[[Box], tuple[float, float]]]


def draw_trammel(sheet: Sheet, figure: Figure | None = None, paper: Paper = A4) -> Figure:
    """The trammel for the top of `sheet`, on `figure` or a fresh one.

    Raises ValueError when the paper is too small or the sheet says too little."""
    return printed(lay_out_trammel(sheet, paper).ink, paper, figure)


class TrammelDrawing(LiveDrawing["Sheet"]):
    """The artists of one trammel drawing."""

    def laid_out(self, it: Sheet) -> Layout:
        """Board, passes and direction of travel."""
        return lay_out_trammel(it, self.paper)


def lay_out_trammel(
    sheet: Sheet, paper: Paper, plan: TrammelPlan | None = None, edge: EdgePlan | None = None
) -> Layout:
    """The board at the largest scale that fits, its passes and the way round below it.

    edge  how the edge of the top is shaped, drawn beside the passes: full size where it fits
    Raises ValueError when nothing fits, or when the sheet lacks a number for it."""
    plan = plan or trammel_plan(sheet)
    if plan is None:
        raise ValueError(f"{sheet.name or 'this piece'} has no size of top for a trammel to cut")
    for edge_ink in (None,) if edge is None else map(partial(profile, edge), PROFILE_SCALES):
        found = _fitted(sheet, plan, paper, edge_ink)
        if found is not None:
            return found
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the trammel of "
        f"{sheet.name or 'this piece'}; take a larger one"
    )


def _fitted(sheet: Sheet, plan: TrammelPlan, paper: Paper, edge: Ink | None) -> Layout | None:
    """Everything at the largest scale of the board that fits; None where none does."""
    stated = INCH_SCALES if sheet.shop_style.display == "in" else METRIC_SCALES
    room, below = drawing_room(paper), _below(plan, paper, edge)
    for scale in stated if paper.to_scale else FREE_SCALES:
        for broken in (False, True) if scale <= LEAST_SCALE else (False,):
            above = board(plan, scale, broken)
            if too_large(above, room):
                continue
            box = above.box()
            for arranged, size in below:
                if not _may_fit(size(box), room):
                    continue
                placed = centred(arranged(above), room)
                if placed is not None:
                    placed.add(title(*_words(sheet, plan, scale, paper), paper))
                    return Layout(scale, paper.arrangement, placed)
    return None


def _may_fit(size: tuple[float, float], room: Box) -> bool:
    """Whether what is so wide and high may fit; a hair more is left to be seen."""
    return size[0] <= room.width + 1e-3 and size[1] <= room.height + 1e-3


def _below(plan: TrammelPlan, paper: Paper, edge: Ink | None) -> list[_Way]:
    """What puts the passes, the way round and the edge to the board, in every way that suits the
    paper, the largest first, each with how wide and high that is with a board of some size."""
    beside, under = way_round(plan), way_round(plan, legend_below=True)
    found: list[_Way] = []
    for scale in SECTION_SCALES:
        for cut, way, beneath in _with_edge(sections(plan, scale), beside, under, edge):
            if paper.arrangement == "stacked":
                found.append(_over_whole(in_a_column((cut, way), GAP)))
            else:
                found.append(_over_whole(in_a_row((cut, way), GAP)))
                size = partial(_size_left_of, cut.box(), beneath.box())
                found.append((partial(_left_of, cut, beneath), size))
    return found


def _with_edge(
    cut: Ink, beside: Ink, under: Ink, edge: Ink | None
) -> Iterator[tuple[Ink, Ink, Ink]]:
    """The passes and the way round, in either form, with the edge put to one of them."""
    if edge is None:
        yield cut, beside, under
        return
    yield in_a_row((cut, edge), GAP), beside, under
    yield in_a_column((cut, edge), GAP), beside, under
    yield cut, in_a_column((beside, edge), GAP), in_a_column((under, edge), GAP)


def _over_whole(below: Ink) -> _Way:
    return partial(_over, below), partial(_size_over, below.box())


def _size_over(below: Box, above: Box) -> tuple[float, float]:
    return max(above.width, below.width), above.height + GAP + below.height


def _size_left_of(cut: Box, right: Box, above: Box) -> tuple[float, float]:
    wide, high = _size_over(cut, above)
    return wide + GAP + right.width, max(high, right.height)


def _over(below: Ink, above: Ink) -> Ink:
    return in_a_column((above, below), GAP)


def _left_of(cut: Ink, right: Ink, above: Ink) -> Ink:
    return in_a_row((in_a_column((above, cut), GAP), right), GAP)


def _words(sheet: Sheet, plan: TrammelPlan, scale: float, paper: Paper) -> tuple[str, list[str]]:
    unit = "inches" if sheet.shop_style.display == "in" else "millimetres"
    stated = f"Board {scale_text(scale)}. " if paper.to_scale else ""
    lines = [
        f"{stated}Sizes in {unit}. Set the near side with a rule from the centre of the pivot. "
        f"One lap in about {duration_text(plan.lap_time)}.",
        "Unplug before touching the cutter. Top face down on waste, clamped. Wear eye and ear "
        "protection. Both hands on the router.",
    ]
    # Text on the same sheet has the caution.
    return f"{sheet.name}: trammel", lines[:1] if paper.with_text else lines


def _texts(plan: TrammelPlan) -> Callable[[float], str]:
    def text(number: float) -> str:
        return shop_text(number, "mm", plan.style).removesuffix(f" {plan.style.display}")

    return text


# --- the board, from above ------------------------------------------------------------------------


@dataclass(frozen=True)
class _Along:
    """From places along the board, full size from its reference end, to the paper."""

    scale: float
    cut: tuple[float, float] | None  # what is left out

    def __call__(self, x: float) -> float:
        if self.cut is None or x <= self.cut[0]:
            return x * self.scale
        start, end = self.cut
        return (x - end + start) * self.scale + BREAK_GAP


def _along(plan: TrammelPlan, scale: float, broken: bool) -> _Along:
    start = plan.cutter_from_end + 0.75 * plan.router_base
    end = plan.pivot_from_end - BEYOND_BREAK
    worth = (end - start) * scale > 2 * BREAK_GAP
    return _Along(scale, (start, end) if broken and worth else None)


def board(
    plan: TrammelPlan,
    scale: float,
    broken: bool = False,
    first: tuple[float, float, str] | None = None,
) -> Ink:
    """The board from above, its reference end to the left at the origin, mm on the paper.

    first  the hole for a first round: along the board and aside of its middle line, full size, and
           what is said of it
    """
    ink, at = Ink(), _along(plan, scale, broken)
    half = plan.router_base / 2 * scale
    cutter, pivot, end = (at(x) for x in (plan.cutter_from_end, plan.pivot_from_end,
                                          plan.board_length))  # fmt: skip
    for left, right in _parts(plan, at):
        ink.areas.append(
            ([(left, -half), (right, -half), (right, half), (left, half)], style.POST_TONES[0])
        )
        for level in (-half, half):
            ink.line("visible", (left, level), (right, level))
        if right < end - 1e-9:
            _break(ink, right, half)
        if left > 1e-9:
            _break(ink, left, half)
    ink.line("visible", (0.0, -half), (0.0, half))
    ink.line("visible", (end, -half), (end, half))
    ink.line("centre", (-3.0, 0.0), (end + 3.0, 0.0))
    for x in (cutter, pivot):
        ink.line("centre", (x, -half - 2), (x, half + 2))
    ink.line("thin", *[(cutter + a, b) for a, b in ring(half, 96)])
    ink.line("visible", *[(cutter + a, b) for a, b in ring(plan.cutter / 2 * scale, 48)])
    pin = max(PIN / 2 * scale, PIN_LEAST)
    ink.line("visible", *[(pivot + a, b) for a, b in ring(pin, 32)])
    _rim(ink, plan, scale, cutter, half)
    _name_base(ink, cutter, half)
    if first is not None:
        _first_hole(ink, (at(first[0]), first[1] * scale), pin, (end + 6.0, half + 3.0), first[2])
    _board_dimensions(ink, plan, at, half)
    return ink


def _first_hole(ink: Ink, hole: Point, pin: float, elbow: Point, said: str) -> None:
    """The pivot hole of a first round, named beyond the end of the board."""
    ink.line("visible", *[(hole[0] + a, hole[1] + b) for a, b in ring(pin, 32)])
    dimension.leader(ink, hole, elbow, said)


def _parts(plan: TrammelPlan, at: _Along) -> Iterator[tuple[float, float]]:
    if at.cut is None:
        yield 0.0, at(plan.board_length)
        return
    start, end = at.cut
    yield 0.0, at(start)
    yield at(end + 1e-9), at(plan.board_length)


def _break(ink: Ink, x: float, half: float) -> None:
    """A thin zigzag across the board where a part is left out."""
    tooth = 1.2
    levels = (half + 1.5, tooth, tooth / 2, -tooth / 2, -tooth, -half - 1.5)
    shifts = (0.0, 0.0, tooth, -tooth, 0.0, 0.0)
    ink.line("thin", *[(x + dx, y) for dx, y in zip(shifts, levels, strict=True)])


def _rim(ink: Ink, plan: TrammelPlan, scale: float, cutter: float, half: float) -> None:
    """The rim through the cutter's near side, with its own curve though the board be broken."""
    radius = plan.near * scale
    reach = min(half + 5.0, radius)
    middle = cutter + plan.middle * scale
    turn = asin(reach / radius)
    turns = [pi + turn * (k / 24 - 1) for k in range(49)]
    arc = [(middle + radius * cos(one), radius * sin(one)) for one in turns]
    ink.line("hidden", *arc)
    ink.labels.append(Label("rim", arc[0][0] + 1.2, arc[0][1] - 3.0, "left"))


def _name_base(ink: Ink, cutter: float, half: float) -> None:
    """Left of the cutter, clear of the rim and the middle lines; left out of a small circle."""
    text = "router"
    if style.text_width(text) < 0.8 * half:
        ink.labels.append(Label(text, cutter - 1.2, 0.3 * half, "right", colour=style.FAINT))


def _board_dimensions(ink: Ink, plan: TrammelPlan, at: _Along, half: float) -> None:
    text = _texts(plan)
    cutter, pivot = at(plan.cutter_from_end), at(plan.pivot_from_end)
    near = at(plan.cutter_from_end + plan.cutter / 2)
    far = at(plan.cutter_from_end - plan.cutter / 2)
    levels = [half + style.FIRST_ROW + k * style.NEXT_ROW for k in range(3)]
    from_end = text(plan.cutter_from_end)
    dimension.across(ink, (0.0, half), (cutter, half), levels[0], from_end)
    said = f"{text(plan.pivot_from_end)} reference end to pivot hole"
    dimension.across(ink, (0.0, half), (pivot, half), levels[2], said)
    rows = (
        (near, f"{text(plan.near)} to the near side: the rim"),
        (cutter, f"{text(plan.middle)} to the centre"),
        (far, f"{text(plan.far)} to the far side"),
    )
    for (x, said), level in zip(rows, levels, strict=True):
        dimension.across(ink, (x, -half), (pivot, -half), -level, said)
    end = at(plan.board_length)
    said = f"{text(plan.board_length)} at least"
    dimension.across(ink, (0.0, half), (end, half), levels[1], said)


# --- the passes, in section -----------------------------------------------------------------------


def sections(plan: TrammelPlan, scale: float) -> Ink:
    """Two sections through the groove, the router above: passes alike, and a thin last one."""
    high = min(SECTION_HIGH, plan.thickness * scale)
    true = high / plan.thickness
    ways = [("stops, equal passes", plan.equal), ("or with a thin last pass", plan.thin_last)]
    if len({*plan.stops_said}) == 1:
        ways = [("depth stops", plan.equal)]
    return in_a_row((_section(plan, true, head, cut) for head, cut in ways), GAP)


def _section(plan: TrammelPlan, scale: float, heading: str, cut: tuple[Pass, ...]) -> Ink:
    """Kept wood to the left, waste to the right, the stop's depth at each pass beside it."""
    ink, text = Ink(), _texts(plan)
    deep, wide = plan.thickness * scale, plan.cutter * scale
    waste = SIDE + wide
    for left, right, tone in (
        (0.0, SIDE, style.POST_TONES[1]), (waste, waste + SIDE, style.POST_TONES[0]),
    ):  # fmt: skip
        ink.areas.append(([(left, 0), (right, 0), (right, -deep), (left, -deep)], tone))
    ink.line("visible", (0.0, 0.0), (SIDE, 0.0), (SIDE, -deep), (0.0, -deep))
    ink.line("visible", (waste + SIDE, 0.0), (waste, 0.0), (waste, -deep), (waste + SIDE, -deep))
    ink.labels.append(Label("top", SIDE / 2, -deep / 2 - 1))
    ink.labels.append(Label("waste", waste + SIDE / 2, -deep / 2 - 1))
    shown = _readable(cut, deep)
    at = waste + SIDE + 5.0
    for one, level in zip(shown, _spread([-one.stop * scale for one in shown]), strict=True):
        mark = -one.stop * scale
        ink.line("thin", (SIDE, mark), (waste, mark))
        ink.line("thin", (waste + SIDE + 0.6, mark), (at - 1.2, level))
        ink.labels.append(Label(f"{one.number}: {text(one.stop)}", at, level - 1.1, "left"))
    ink.labels.append(Label(heading, 0.0, 6.6, "left"))
    ink.labels.append(Label("underside, router", 0.0, 2.0, "left", colour=style.FAINT))
    low = min(-deep, *(label.y for label in ink.labels)) - 4.6
    ink.labels.append(Label("face, on waste board", 0.0, low, "left", colour=style.FAINT))
    return ink


def _readable(cut: tuple[Pass, ...], deep: float) -> tuple[Pass, ...]:
    """All passes; of very many only every second, fifth and so on, and always the last."""
    most = max(int(max(deep, 30.0) / ROW) + 1, 4)
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100, 500) if len(cut) / step <= most)
    return tuple(one for one in cut if one.number % step == 0 or one.number == len(cut))


def _spread(levels: list[float]) -> list[float]:
    """The same heights from the top down, moved down where two would be less than a row apart."""
    moved = levels[:1]
    for level in levels[1:]:
        moved.append(min(level, moved[-1] - ROW))
    return moved


# --- which way to go ------------------------------------------------------------------------------


def way_round(plan: TrammelPlan, legend_below: bool = False) -> Ink:
    """The top from below, as the router sees it: where the cut goes against the grain."""
    ink = Ink()
    ink.areas.append((ring(ROUND), style.TOP_TONE))
    ink.line("thin", *ring(ROUND))
    for level in (-0.3, 0.0, 0.3):
        ink.line("thin", (-0.55 * ROUND, level * ROUND), (0.55 * ROUND, level * ROUND))
    ink.labels.append(Label("grain", 0.0, 0.06 * ROUND))
    for number, quadrant in enumerate(plan.quadrants, start=1):
        _quarter(ink, number, quadrant)
    corner = (-ROUND, -ROUND - 9.0) if legend_below else (ROUND + 8.0, ROUND - 2.0)
    _legend(ink, plan.quadrants, corner)
    return ink


def _quarter(ink: Ink, number: int, quadrant: Quadrant) -> None:
    # Seen from below, bearings run clockwise.
    start, end = radians(-quadrant.end), radians(-quadrant.start)
    steps = [start + (end - start) * k / 30 for k in range(31)]
    reach = ROUND + 2.2
    pen = "visible" if quadrant.against else "thin"
    arc = [(reach * cos(one), reach * sin(one)) for one in steps[2:-2]]
    for a, b in pairwise(arc):
        ink.line(pen, a, b)
    tip, turn = arc[-1], steps[-3]
    ink.arrow(tip, (-sin(turn), cos(turn)))
    middle = (start + end) / 2
    ink.badge((0.72 * ROUND * cos(middle), 0.72 * ROUND * sin(middle)), str(number))


def _legend(ink: Ink, quadrants: tuple[Quadrant, ...], corner: Point) -> None:
    left, level = corner
    lines = ["Seen from the router: follow the arrows.", ""]
    for number, quadrant in enumerate(quadrants, start=1):
        way = "against the grain" if quadrant.against else "with the grain"
        lines.append(f"{number}   {quadrant.start:.0f}° to {quadrant.end:.0f}°, {way}")
    lines += [
        "",
        "Against the grain (thick): shallow, slow,",
        "only a shaving in the last pass.",
        "Bearings from the grain, anticlockwise",
        "seen from above the finished top.",
    ]
    for row, line in enumerate(lines):
        place: Point = (left, level - row * ROW)
        ink.labels.append(Label(line, *place, "left"))
