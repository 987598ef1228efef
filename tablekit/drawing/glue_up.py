"""The glue-up from above: where the tenons lie, then each glue-up in its clamps.

Every number comes from `planning/top_joints.py`; only places on the paper are found here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

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
from tablekit.drawing.general import INSET, Layout, LiveDrawing
from tablekit.drawing.ink import Ink, Label, Point, ring
from tablekit.drawing.style import A4, Paper
from tablekit.engine.shop import area_text, duration_text
from tablekit.engine.wording import listed
from tablekit.planning.clamping import Clamp, across, cauls_text
from tablekit.planning.glue_up import strips_used
from tablekit.planning.surface import glue_text

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.planning.board_layout import Strip
    from tablekit.planning.glue_stages import GlueUp, Stage
    from tablekit.planning.top_joints import JointTenons, TopJoints

WHAT = (
    "Glue-up from above. Thick: joints to be glued. Clamp bars above solid, below dashed. Sizes "
    "from the centre line, alike either way"
)
HEADS = ("joint", "from centre", "tenons from the centre line")
JOINTS, CLAMPS = "Joints and tenons", "Clamps and cauls"
PAST_CAUL = 1.5  # from the caul to the end of a clamp's bar
JAW = 2.2  # half the height of a clamp's jaw
APART = 6.0  # between figures
TITLE_OFF = 4.0  # of a figure, above it
TABLE_SHARE = 0.55  # of a sheet on which the table stands beside the figures, at the most theirs
NO_TENON = "no tenon"
ENDLESS = 1e6


@dataclass(frozen=True)
class GlueUpSubject:
    """A layout and what joins its strips."""

    it: LayoutSubject
    joints: TopJoints

    @property
    def strips(self) -> list[Strip]:
        """The strips that are glued up."""
        return strips_used(self.it.layout)

    @property
    def glue_ups(self) -> list[tuple[Stage, GlueUp]]:
        """Each glue-up with its stage; none where no order of gluing does."""
        staging = self.joints.staging
        stages = staging.stages if staging is not None else ()
        return [(stage, up) for stage in stages for up in stage.glue_ups]


def draw_glue_up(
    it: LayoutSubject, joints: TopJoints, figure: Figure | None = None, paper: Paper = A4
) -> Figure:
    """The glue-up to scale on `paper`, on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale."""
    return GlueUpDrawing.drawn(GlueUpSubject(it, joints), figure, paper)


class GlueUpDrawing(LiveDrawing[GlueUpSubject]):
    """The artists of one glue-up."""

    def laid_out(self, it: GlueUpSubject) -> Layout:
        """The figures and the table of the joints."""
        return lay_out_glue_up(it, self.paper)


def lay_out_glue_up(it: GlueUpSubject, paper: Paper) -> Layout:
    """Figures and table at the largest scale that fits; of more glue-ups than a sheet has room for
    only what is said of them. Raises ValueError when none does."""
    room = paper.width - 2 * (paper.margin + (INSET if paper.with_text else 0.0))
    if paper.arrangement == "beside":
        room *= TABLE_SHARE
    for held in (it.glue_ups, []):
        drawn = partial(view, it, width=room, held=held)
        try:
            return arrange(it.it, paper, WHAT, "glue-up", drawn, partial(_said, it))
        except ValueError:
            if not held:
                raise
    raise AssertionError


# --- what is said --------------------------------------------------------------------------------


def _said(it: GlueUpSubject, width: float, height: float) -> Ink | None:
    return table((), (), sentences(it), width, height)


def _joint_table(it: GlueUpSubject, width: float, height: float) -> Ink:
    """Joints and tenons, about the level of a centre line; higher than `height` where need be."""
    # Joints as far to the left as to the right of the centre share a row.
    shared: dict[tuple[str, str], list[str]] = {}
    for (left, right), one in zip(pairwise(it.joints.numbers), it.joints.tenons, strict=True):
        row = (it.it.text(abs(one.offset)), places_text(it, one))
        shared.setdefault(row, []).append(f"{left}–{right}")
    rows = [(", ".join(names), *row) for row, names in shared.items()]
    ink = table(HEADS, rows, (), width, height, named=(2,))
    if ink is None:
        ink = table(HEADS, rows, (), ENDLESS, ENDLESS, named=(2,))
        assert ink is not None
    box = ink.box()
    return ink.moved(-box.left, -(box.high + box.low) / 2)


def places_text(it: GlueUpSubject, one: JointTenons) -> str:
    """Where to mark tenons along a joint, both ways from the centre line: "0, ±178.5, ±357"."""
    if not one.places:
        return "none: too short"
    ahead = [place for place in one.places if place > -1e-6]
    return ", ".join(f"±{it.it.text(y)}" if y > 1e-6 else "0" for y in ahead)


def sentences(it: GlueUpSubject) -> list[str]:
    """What figures and table leave unsaid: tenons, clamps, cauls, glue and times."""
    joints, sheet = it.joints, it.joints.glue
    if sheet is None:
        return ["A single board: there is no joint to be glued."]
    found, text = [], it.it.text
    if any(one.places for one in joints.tenons):
        wide, long = text(joints.tenon_width), text(2 * joints.tenon_reach)
        found.append(
            f"Loose tenons {wide} × {long} × {text(sheet.number('tenon_thickness'))}, of a hard "
            "wood, grain across the joint (common practice, no source). Work every mortise from "
            f"the upper face: {text(sheet.number('tenon_cheek'))} of wood above it."
        )
    if any(up.held.cauls for _, up in it.glue_ups):
        size = f"{text(sheet.number('caul_depth'))} × {text(sheet.number('top_thickness'))}"
        found.append(
            f"Cauls, grey, {size}, taped where they meet glue: along each edge as long as it is, "
            "across in pairs, one above and one below (common practice, no source)."
        )
    found += [_glue_up_text(it, stage, up) for stage, up in it.glue_ups]
    found.append(
        f"Glue for {area_text(sheet.number('glue_area'), it.it.style)} of joint: "
        f"{glue_text(sheet.number('glue_volume'), it.it.style)}, spread "
        f"{sheet.shop('glue_film')} thick. {goes_text(it)}"
    )
    return found


def _glue_up_text(it: GlueUpSubject, stage: Stage, up: GlueUp) -> str:
    """One glue-up: its clamps, and where its cauls lie."""
    text, numbers = it.it.text, it.joints.numbers
    name = f"{up.words(numbers)}: " if len(it.glue_ups) > 1 else ""
    apart = f" {text(up.sheet.number('clamp_pitch'))} apart" if up.clamps > 1 else ""
    opening = text(stage.sheet.number("clamp_opening"))
    clamps = f"{name}{up.clamps} clamps{apart}, open to {opening}."
    return f"{clamps} {cauls_text(up.held, numbers, text)}".rstrip()


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
    return (
        f"{len(stages)} stages, of {listed(stages)} joints, {side} spread and clamped within "
        f"{open_time}. {held}; a panel dries fully before it is glued again."
    )


# --- the figures ----------------------------------------------------------------------------------


def view(
    it: GlueUpSubject, scale: float, held: Sequence[tuple[Stage, GlueUp]], width: float = ENDLESS
) -> Ink:
    """Figures of the joints and of the glue-ups `held`, and the table, in rows no wider than
    `width`, mm on the paper, where that can be: each row about one centre line."""
    joints = joints_figure(it, scale)
    ups = [clamps_figure(it, stage, up, scale) for stage, up in held]
    listing = [_joint_table(it, width, joints.box().height)] if it.joints.tenons else []
    orders = [[joints, *listing, *ups], [joints, *ups, *listing]]
    return min((_in_rows(one, width) for one in orders), key=lambda ink: ink.box().height)


def _in_rows(figures: Sequence[Ink], width: float) -> Ink:
    rows: list[list[Ink]] = []
    room = 0.0
    for figure in figures:
        room -= figure.box().width + APART
        if room < 0 or not rows:
            rows.append([])
            room = width - figure.box().width
        rows[-1].append(figure)
    ink, low = Ink(), 0.0
    for row in rows:
        boxes = [figure.box() for figure in row]
        high, deep = max(box.high for box in boxes), min(box.low for box in boxes)
        left = -(sum(box.width for box in boxes) + APART * (len(row) - 1)) / 2
        for figure, box in zip(row, boxes, strict=True):
            ink.add(figure.moved(left - box.left, low - high))
            left += box.width + APART
        low += deep - high - APART
    return ink


def _titled(ink: Ink, title: str) -> Ink:
    """A figure with its title above its left edge."""
    box = ink.box()
    ink.labels.append(Label(title, box.left, box.high + TITLE_OFF, "left"))
    return ink


def joints_figure(it: GlueUpSubject, scale: float) -> Ink:
    """The strips about the centre mark and the tenons in their joints."""
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
    for number, one in enumerate(it.joints.tenons):
        _tenons(ink, it, one, scale, number)
    badges(ink, strips, scale, it.joints.numbers[0], radius)
    return _titled(ink, JOINTS)


def clamps_figure(it: GlueUpSubject, stage: Stage, up: GlueUp, scale: float) -> Ink:
    """One glue-up: the strips that it holds, its wet joints thick, its cauls and its clamps."""
    ink, one = Ink(), up.joining
    strips = it.strips[one.first : one.last + 1]
    for strip in strips:
        corners = _corners(strip, scale)
        ink.line("thin", *corners, corners[0])
    for joint in one.wet:
        left, right = strips[joint - one.first : joint - one.first + 2]
        x, half = left.right * scale, min(left.length_needed, right.length_needed) / 2 * scale
        ink.line("visible", (x, -half), (x, half))
    for caul in (*up.held.across, *up.held.along):
        corners = _box(caul.left, caul.right, caul.low, caul.high, scale)
        ink.areas.append((corners, style.TOP_TONE))
        ink.line("thin", *corners, corners[0])
    for clamp in up.held.clamps:
        _clamp(ink, up, clamp, scale)
    past = up.held.caul_depth * scale + CENTRE_PAST
    ink.line("centre", (strips[0].left * scale - past, 0.0), (strips[-1].right * scale + past, 0.0))
    badges(ink, strips, scale, it.joints.numbers[one.first], it.it.layout.diameter * scale)
    _clamp_places(ink, it, up, scale)
    _caul_places(ink, it, up, scale)
    if len(it.glue_ups) == 1:
        return _titled(ink, CLAMPS)
    return _titled(ink, f"Stage {stage.number}: {up.words(it.joints.numbers)}")


def _corners(strip: Strip, scale: float) -> list[Point]:
    left, right = strip.left * scale, strip.right * scale
    half = strip.length_needed / 2 * scale
    return [(left, -half), (right, -half), (right, half), (left, half)]


def _box(left: float, right: float, low: float, high: float, scale: float) -> list[Point]:
    left, right, low, high = (at * scale for at in (left, right, low, high))
    return [(left, low), (right, low), (right, high), (left, high)]


def _clamp(ink: Ink, up: GlueUp, clamp: Clamp, scale: float) -> None:
    """Bar and jaws of one clamp."""
    left, right, y = *_jaws(up, clamp, scale), clamp.place * scale
    pen = "visible" if clamp.above else "hidden"
    ink.line(pen, (left - PAST_CAUL, y), (right + PAST_CAUL, y))
    for x in (left, right):
        ink.line("visible", (x, y - JAW), (x, y + JAW))


def _jaws(up: GlueUp, clamp: Clamp, scale: float) -> tuple[float, float]:
    """Where the jaws of a clamp bear on its cauls."""
    held, deep = across(up.held.strips, clamp.place), up.held.caul_depth
    return (held[0].left - deep) * scale, (held[-1].right + deep) * scale


def _clamp_places(ink: Ink, it: GlueUpSubject, up: GlueUp, scale: float) -> None:
    """How far the clamps are from the centre line, to the right; those below it lie as far."""
    ends = [
        (clamp.place, _jaws(up, clamp, scale)[1] + PAST_CAUL)
        for clamp in up.held.clamps if clamp.place > -1e-6
    ]  # fmt: skip
    _places(ink, it, ends, scale, 1.0)


def _caul_places(ink: Ink, it: GlueUpSubject, up: GlueUp, scale: float) -> None:
    """How far the middles of the cauls across are from the centre line, to the left."""
    ends = [
        (caul.place, caul.left * scale)
        for caul in up.held.across if caul.place > -1e-6
    ]  # fmt: skip
    _places(ink, it, ends, scale, -1.0)


def _places(
    ink: Ink, it: GlueUpSubject, ends: Sequence[tuple[float, float]], scale: float, out: float
) -> None:
    """Distances from the centre line in a column, each led from where its subject ends."""
    if not ends:
        return
    column = out * (max(out * x for _, x in ends) + 4.0)
    if out < 0:  # clear of the clamps' bars, which reach farther out
        column = min(column, ink.box().left - 1.0)
    if len(ends) * BESIDE_TEXT > ends[-1][0] * scale + 2 * BESIDE_TEXT:
        ends = [max(ends)]  # the others follow from how far they are apart
    levels = spread([place * scale for place, _ in ends], BESIDE_TEXT)
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    for (place, end), level in zip(ends, levels, strict=True):
        y = place * scale
        ink.line(
            "thin", (end + out * style.EXTENSION_GAP, y), (column - out * 2.0, y),
            (column + out * 1.5, level), (column + out * 2.5, level),
        )  # fmt: skip
        text = it.it.text(abs(place)) if abs(place) > 1e-6 else "0"
        side = "left" if out > 0 else "right"
        ink.labels.append(Label(text, column + out * 3.3, level - height / 2, side))


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


def _plate_corners(middle: Point, text: str) -> list[Point]:
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    wide, up = style.text_width(text) / 2 + 1.0, height / 2 + 1.0
    x, y = middle
    return [(x - wide, y - up), (x + wide, y - up), (x + wide, y + up), (x - wide, y + up)]


def _plate(ink: Ink, middle: Point, text: str) -> None:
    """A word on a white plate over everything."""
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    corners, (x, y) = _plate_corners(middle, text), middle
    ink.badges.append([*corners, corners[0]])
    ink.labels.append(Label(text, x, y - height / 2))
