"""The glue-up from above: strips faint; over them tenons, clamps, and the rim's bad quarters.

Every number comes from `planning/top_joints.py`; only places on the paper are found here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import cos, radians, sin
from typing import TYPE_CHECKING

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.board_layout import (
    BESIDE_TEXT,
    CENTRE_PAST,
    LayoutSubject,
    arrange,
    badges,
    spread,
)
from tablekit.drawing.board_table import table
from tablekit.drawing.general import Layout, LiveDrawing
from tablekit.drawing.ink import Ink, Label, Point, ring
from tablekit.drawing.style import A4, Paper
from tablekit.engine.shop import area_text, duration_text, shop_text, times
from tablekit.engine.wording import listed
from tablekit.planning.glue_up import Caul, across, cross_cauls, edge_cauls, strips_used
from tablekit.planning.surface import glue_text

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import Strip
    from tablekit.planning.glue_stages import Stage
    from tablekit.planning.glue_up import Clamp
    from tablekit.planning.tenons import JointTenons
    from tablekit.planning.top_joints import TopJoints

WHAT = "Glue-up from above. Clamp bars above solid, below dashed; sizes from the centre line"
HEADS = ("joint", "from centre", "tenons from the centre line")
PAST_CAUL = 1.5  # from the caul to the end of a clamp's bar
JAW = 2.2  # half the height of a clamp's jaw
# Of the sixty points of an arc: where the arrow stands, and where the word may, the best first.
PLATES_AT = (30, 26, 34, 22, 38, 18, 14, 10, 6)
ARC_OFF = 1.7  # arc outside the rim
STAGE_GAP, STAGE_LINE = 5.0, 4.2
STAGE_WIDE, STAGE_LEAST = 26.0, 24.0  # of one stage on the paper, at the most and at the least
AGAINST, NO_TENON = "against", "no tenon"


@dataclass(frozen=True)
class GlueUpSubject:
    """A layout and what joins its strips.

    further  whether it is a further top of a lot, beside which what holds for every top is left out
    """

    it: LayoutSubject
    joints: TopJoints
    further: bool = False

    @property
    def strips(self) -> list[Strip]:
        """The strips that are glued up."""
        return strips_used(self.it.layout)

    @property
    def caul(self) -> float:
        """How deep the cauls are, mm."""
        return self.joints.glue.number("caul_depth") if self.joints.glue else 0.0

    @property
    def along(self) -> list[Caul]:
        """The cauls along the edges."""
        deep = self.caul
        return edge_cauls(self.strips, self.joints.clamps, deep) if deep > 0 else []

    @property
    def across(self) -> list[Caul]:
        """The cauls across the joints; a pair at each place."""
        deep = self.caul
        return cross_cauls(self.strips, self.joints.clamps, deep) if deep > 0 else []


def draw_glue_up(
    it: LayoutSubject, joints: TopJoints, figure: Figure | None = None, paper: Paper = A4
) -> Figure:
    """The glue-up to scale on `paper`, on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale."""
    return GlueUpDrawing.drawn(GlueUpSubject(it, joints), figure, paper)


class GlueUpDrawing(LiveDrawing[GlueUpSubject]):
    """The artists of one glue-up."""

    def laid_out(self, it: GlueUpSubject) -> Layout:
        """The panel in its clamps and the table of the joints."""
        return lay_out_glue_up(it, self.paper)


def lay_out_glue_up(it: GlueUpSubject, paper: Paper) -> Layout:
    """View and table at the largest scale that fits. Raises ValueError when none does."""
    return arrange(it.it, paper, WHAT, "glue-up", partial(view, it), partial(_joint_table, it))


# --- the table ------------------------------------------------------------------------------------


def _joint_table(it: GlueUpSubject, width: float, height: float) -> Ink | None:
    # Joints as far to the left as to the right of the centre share a row.
    shared: dict[tuple[str, str], list[str]] = {}
    for (left, right), one in zip(pairwise(it.joints.numbers), it.joints.tenons, strict=True):
        row = (it.it.text(abs(one.offset)), places_text(it, one))
        shared.setdefault(row, []).append(f"{left}–{right}")
    rows = [(", ".join(names), *row) for row, names in shared.items()]
    small = stages_drawn(it, width)
    room = height if small is None else height - small.box().height - STAGE_GAP
    if room <= 0:
        return None
    below = table(HEADS, rows, sentences(it), width, room, named=(2,))
    if small is None or below is None:
        return below
    box, seen = below.box(), small.box()
    below.add(small.moved(box.left - seen.left, box.low - STAGE_GAP - seen.high))
    return below


def places_text(it: GlueUpSubject, one: JointTenons) -> str:
    """Where to mark tenons along a joint, both ways from the centre line: "0, ±178.5, ±357"."""
    if not one.places:
        return "none: too short"
    ahead = [place for place in one.places if place > -1e-6]
    return ", ".join(f"±{it.it.text(y)}" if y > 1e-6 else "0" for y in ahead)


def sentences(it: GlueUpSubject) -> list[str]:
    """What the table leaves unsaid: tenons, clamps, glue, goes, and the rim."""
    joints, sheet = it.joints, it.joints.glue
    found = []
    if sheet is not None:
        size = f"{it.it.text(joints.tenon_width)} × {it.it.text(2 * joints.tenon_reach)}"
        size += f" × {it.it.text(sheet.number('tenon_thickness'))}"
        found.append(
            f"Tenons {size}, half in each strip. {sheet.shop('clamp_count')} clamps, "
            f"{sheet.shop('clamp_pitch')} apart, {sheet.shop('force_per_clamp')} each. "
            "Pressure spreads at 45°."
        )
        found += cauls_text(it, sheet)
        found.append(
            f"Glue for {area_text(sheet.number('glue_area'), it.it.style)} of joint: "
            f"{glue_text(sheet.number('glue_volume'), it.it.style)}, spread "
            f"{sheet.shop('glue_film')} thick. {goes_text(it)}"
        )
    if it.further:
        return found
    found.append(
        f"Rim, routed later: in the quarters marked “{AGAINST}” the router cuts against the grain, "
        "so take light cuts there. The trammel page shows the direction."
    )
    return found


def cauls_text(it: GlueUpSubject, sheet: Sheet) -> list[str]:
    """How many cauls there are, and their sizes."""

    def each(cauls: Sequence[Caul]) -> str:
        count = Counter(it.it.text(caul.length) for caul in cauls)
        one = [
            f"{many}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}" * (many > 1) + long
            for long, many in count.items()
        ]
        return f"{listed(one)} long"

    if not it.along:
        return []
    size = times(sheet.shop("caul_depth"), sheet.shop("top_thickness"))
    text = f"Cauls, grey, {size}, taped where they meet glue: along the edges {each(it.along)}"
    if pairs := it.across:
        level = "one above and one below at each place, to keep the strips level"
        text += f"; across {each([*pairs, *pairs])}, {level} (common practice, no source)"
    return [f"{text}."]


def goes_text(it: GlueUpSubject) -> str:
    """In how many stages the joints are glued, how long one may take, and how long it is held."""
    sheet, staging = it.joints.glue, it.joints.staging
    if sheet is None or staging is None or not staging.stages:
        return "These strips cannot be glued with the clamps and the open time there are."
    open_time, stages = sheet.shop("open_time"), staging.joints
    held = f"At least {duration_text(60 * staging.dwell)} in the clamps"
    if len(stages) == 1:
        joints = "the one joint" if stages[0] == 1 else f"all {stages[0]} joints"
        return f"One stage: {joints}, spread and clamped within {open_time}. {held}."
    side = "each glue-up" if max(len(one.glue_ups) for one in staging.stages) > 1 else "each"
    fewest = " No order needs fewer." if staging.least else ""
    return (
        f"{len(stages)} stages, of {listed(stages)} joints, {side} spread and clamped within "
        f"{open_time}.{fewest} {held}; a panel dries fully before it is glued again."
    )


def stages_drawn(it: GlueUpSubject, width: float) -> Ink | None:
    """The stages side by side, small: what is in clamps, its wet joints thick; None where there is
    but one, or where they are too many for the width."""
    staging = it.joints.staging
    if staging is None or len(staging.stages) < 2:
        return None
    row, count = staging.row, len(staging.stages)
    each = (width - (count - 1) * STAGE_GAP) / count
    scale = min(STAGE_WIDE, each) / row.width(0, len(row.lengths) - 1)
    if each < STAGE_LEAST:
        return None
    ink = Ink()
    for number, stage in enumerate(staging.stages):
        _stage(ink, it, stage, number * (each + STAGE_GAP), scale, each)
    return ink


def _stage(
    ink: Ink, it: GlueUpSubject, stage: Stage, left: float, scale: float, wide: float
) -> None:
    """One stage, its upper edge at 0: heading, then the strips that are in clamps."""
    assert it.joints.staging is not None
    row = it.joints.staging.row
    lines = (
        f"Stage {stage.number}: {stage.words(it.joints.numbers)}",
        f"{stage.clamps} clamps, {shop_text(stage.minutes, 'min', it.it.style)}",
    )
    for number, line in enumerate(lines):
        text = style.fitted(line, wide)
        colour = style.FAINT if number else style.INK
        ink.labels.append(Label(text, left, -number * STAGE_LINE - 2.2, "left", colour=colour))
    middle = -len(lines) * STAGE_LINE - 3.0 - max(row.lengths) / 2 * scale
    start = left - row.edges[0] * scale
    for up in stage.glue_ups:
        for strip in range(up.joining.first, up.joining.last + 1):
            low, high = (start + row.edges[strip + k] * scale for k in (0, 1))
            half = row.lengths[strip] / 2 * scale
            corners = [(low, middle - half), (high, middle - half), (high, middle + half),
                       (low, middle + half)]  # fmt: skip
            ink.areas.append((corners, style.POST_TONES[0]))
            ink.line("thin", *corners, corners[0])
        for joint in up.joining.wet:
            x, half = start + row.edges[joint + 1] * scale, row.joints[joint] / 2 * scale
            ink.line("visible", (x, middle - half), (x, middle + half))


# --- the view -------------------------------------------------------------------------------------


def view(it: GlueUpSubject, scale: float) -> Ink:
    """The panel about its centre mark, with all that is put to it, mm on the paper."""
    ink, strips = Ink(), it.strips
    for number, strip in enumerate(strips):
        corners = _corners(strip, scale)
        ink.areas.append((corners, style.POST_TONES[0] if number % 2 else style.PAPER))
        ink.line("thin", *corners, corners[0])
    radius = it.it.top_diameter / 2 * scale
    ink.line("visible", *ring(radius))
    past = it.it.layout.diameter / 2 * scale + CENTRE_PAST
    ink.line("centre", (0.0, -past), (0.0, past))
    ink.line("centre", (-past, 0.0), (past, 0.0))
    _cauls(ink, it, scale)
    for clamp in it.joints.clamps:
        _clamp(ink, it, clamp, strips, scale)
    _clamp_places(ink, it, strips, scale)
    for number, one in enumerate(it.joints.tenons):
        _tenons(ink, it, one, scale, number)
    badges(ink, strips, scale, it.joints.numbers[0], radius)
    for arc in it.joints.against_grain:
        _arc(ink, arc, radius + ARC_OFF)
    return ink


def _corners(strip: Strip, scale: float) -> list[Point]:
    left, right = strip.left * scale, strip.right * scale
    half = strip.length_needed / 2 * scale
    return [(left, -half), (right, -half), (right, half), (left, half)]


def _cauls(ink: Ink, it: GlueUpSubject, scale: float) -> None:
    """The cauls along the edges and across."""
    for caul in (*it.across, *it.along):
        left, right, low, high = (
            at * scale for at in (caul.left, caul.right, caul.low, caul.high)
        )  # fmt: skip
        corners = [(left, low), (right, low), (right, high), (left, high)]
        ink.areas.append((corners, style.TOP_TONE))
        ink.line("thin", *corners, corners[0])


def _clamp(
    ink: Ink, it: GlueUpSubject, clamp: Clamp, strips: Sequence[Strip], scale: float
) -> None:
    """Bar and jaws of one clamp, and how its pressure spreads to the first joint."""
    held, y = across(strips, clamp.place), clamp.place * scale
    deep, pen = it.caul * scale, "visible" if clamp.above else "hidden"
    left, right = held[0].left * scale - deep, held[-1].right * scale + deep
    ink.line(pen, (left - PAST_CAUL, y), (right + PAST_CAUL, y))
    for x in (left, right):
        ink.line("visible", (x, y - JAW), (x, y + JAW))
    if len(held) > 1:
        _cone(ink, left, held[0].right * scale, y, held[0].length_needed / 2 * scale)
        _cone(ink, right, held[-1].left * scale, y, held[-1].length_needed / 2 * scale)


def _cone(ink: Ink, start: float, joint: float, y: float, half: float) -> None:
    """Two lines at 45° from a jaw to a joint, as far as the strip reaches."""
    way = 1.0 if joint > start else -1.0
    for up in (1.0, -1.0):
        run = min(abs(joint - start), half - up * y)
        if run > 0:
            ink.line("thin", (start, y), (start + way * run, y + up * run))


def _clamp_places(ink: Ink, it: GlueUpSubject, strips: Sequence[Strip], scale: float) -> None:
    """How far each clamp is from the centre line, in a column to the right of the panel."""
    clamps = it.joints.clamps
    if not clamps:
        return
    deep = it.caul * scale + PAST_CAUL
    ends = [across(strips, clamp.place)[-1].right * scale + deep for clamp in clamps]
    column = max(*ends, it.it.layout.diameter / 2 * scale + CENTRE_PAST) + 3.0
    levels = spread([clamp.place * scale for clamp in clamps], BESIDE_TEXT)
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    for clamp, end, level in zip(clamps, ends, levels, strict=True):
        y = clamp.place * scale
        ink.line(
            "thin", (end + style.EXTENSION_GAP, y), (column - 2.0, y), (column + 1.5, level),
            (column + 2.5, level),
        )  # fmt: skip
        text = it.it.text(abs(clamp.place)) if abs(clamp.place) > 1e-6 else "0"
        ink.labels.append(Label(text, column + 3.3, level - height / 2, "left"))


def _tenons(ink: Ink, it: GlueUpSubject, one: JointTenons, scale: float, number: int) -> None:
    """Tenons across one joint, or a word that there are none."""
    x, reach = one.offset * scale, it.joints.tenon_reach * scale
    if not one.places:
        level = -5.5 - (number % 2) * 5.2  # two such joints side by side leave one another room
        _plate(ink, (x, level), NO_TENON)
    half = it.joints.tenon_width / 2 * scale
    for place in one.places:
        y = place * scale
        corners = [
            (x - reach, y - half), (x + reach, y - half), (x + reach, y + half),
            (x - reach, y + half),
        ]  # fmt: skip
        ink.areas.append((corners, style.POST_TONES[2]))
        ink.line("visible", *corners, corners[0])
        ink.line("thin", (x, y - half), (x, y + half))


def _arc(ink: Ink, arc: tuple[float, float], radius: float) -> None:
    """A quarter of the rim that is cut against the grain, and a word where there is room for it.

    Which way the router goes round is on the trammel's page alone, where the top lies as it
    does then: seen from the other side it is the other way."""
    start, end = (radians(turn) for turn in arc)
    points = [
        (radius * cos(turn), radius * sin(turn)) for turn in np.linspace(start, end, 60).tolist()
    ]
    ink.line("visible", *points)
    places = [
        (points[one][0] * out, points[one][1] * out)
        for out in (1.0, 1 + 4.5 / radius, 1 + 9.0 / radius) for one in PLATES_AT
    ]  # fmt: skip
    free = (place for place in places if not _covers(ink, place, AGAINST))
    _plate(ink, next(free, places[0]), AGAINST)


def _plate_corners(middle: Point, text: str) -> list[Point]:
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    wide, up = style.text_width(text) / 2 + 1.0, height / 2 + 1.0
    x, y = middle
    return [(x - wide, y - up), (x + wide, y - up), (x + wide, y + up), (x - wide, y + up)]


def _covers(ink: Ink, middle: Point, text: str) -> bool:
    """Whether a plate there would lie on a number or another plate."""
    (left, low), _, (right, high), _ = _plate_corners(middle, text)
    for badge in ink.badges:
        xs, ys = zip(*badge, strict=True)
        if left < max(xs) and min(xs) < right and low < max(ys) and min(ys) < high:
            return True
    return False


def _plate(ink: Ink, middle: Point, text: str) -> None:
    """A word on a white plate over everything."""
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    corners, (x, y) = _plate_corners(middle, text), middle
    ink.badges.append([*corners, corners[0]])
    ink.labels.append(Label(text, x, y - height / 2))
