"""The joint: a level section through the crossing, and a section along one post at its notch.

The shapes are cuts through the solids; sizes come from the sheet. Cut wood is hatched as end grain
is: each post at a slope of its own, so that neighbours are told apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, floor, radians, sin
from typing import TYPE_CHECKING, Any

import numpy as np

from tablekit.drawing import dimension, style
from tablekit.drawing.general import (
    INCH_SCALES,
    METRIC_SCALES,
    STRIP,
    Layout,
    scale_bar,
    scale_note,
    scale_text,
    small_print,
    strip_height,
)
from tablekit.drawing.ink import Array, Box, Ink, Label, printed
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.unrolled import bare
from tablekit.relations.bases import base_of
from tablekit.solids.cutting import Cut, cut_along, level_cuts
from tablekit.solids.piece import Solids

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet

HATCH = 1.9
SLOPES = (45.0, -45.0, 15.0)  # of the hatching of posts 1, 2 and 3
# Sections of post shown either side of the notch: below the other view, and beside it.
ROUND_NOTCH, BESIDE_NOTCH = 1.4, 0.6
BREAK = 2.4  # how far a broken end zigzags
CAPTION, CAPTION_LINE = 6.0, 4.2
BETWEEN = 12.0


@dataclass(frozen=True)
class JointSubject:
    """Both cuts, and what is said of them.

    level   the posts cut level where they pass nearest the centre line
    along   one post cut lengthwise through its notch; x from the notch's middle
    """

    sheet: Sheet
    level: tuple[Cut, ...]
    along: Cut

    def text(self, name: str) -> str:
        """A length as the maker reads it, less its unit."""
        return bare(self.sheet.number(name), self.sheet.shop_style)


def subject(sheet: Sheet, solids: Solids | None = None) -> JointSubject:
    """The cuts of a sheet. Raises what `tablekit.solids.model.build` raises."""
    solids = solids or Solids(sheet)
    model, posts = solids.model, solids.posts
    level = level_cuts(posts, float(model.waists[0, 2]))
    # The notch opens to a side face, so the plane that shows its depth looks along the bearing.
    # A second notch lies before or behind it: there the plane keeps to the wood that it leaves.
    # It is looked at from the side that has the post's upper side face uppermost on the paper, so
    # that notches which open upward in the piece open upward there.
    viewer = model.bearing[0]
    if np.cross(viewer, posts[0].along)[2] < 0:
        viewer = -viewer
    step = sheet.number("post_section") / 4 * viewer
    shifts = (0.0,) if base_of(sheet).notches_each == 1 else (-1.0, 1.0)
    cuts = [cut_along(posts[0], viewer, model.notch_centres[0] + k * step) for k in shifts]
    return JointSubject(sheet, level, max(cuts, key=lambda cut: len(cut.outlines) == 1))


def draw_joint(sheet: Sheet, figure: Figure | None = None, paper: Paper = A4) -> Figure:
    """Both sections on `paper`, to one scale; on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale, DesignError for a base without
    posts that cross."""
    return printed(lay_out_joint(sheet, paper).ink, paper, figure)


def lay_out_joint(sheet: Sheet, paper: Paper = A4, solids: Solids | None = None) -> Layout:
    """The drawing, before it becomes artists."""
    it = subject(sheet, solids)
    beside = paper.arrangement == "beside" and paper.with_text
    room = Box(
        paper.margin, paper.margin + strip_height(paper) + 3, paper.width - paper.margin,
        paper.height - paper.margin,
    )  # fmt: skip
    for scale in INCH_SCALES if sheet.shop_style.display == "in" else METRIC_SCALES:
        ink, below = _level(it, scale), _along(it, scale, BESIDE_NOTCH if beside else ROUND_NOTCH)
        first, second = ink.box(), below.box()
        if beside:
            level = (first.low + first.high - second.low - second.high) / 2
            ink.add(below.moved(first.right + BETWEEN - second.left, level))
        else:
            middle = (first.left + first.right - second.left - second.right) / 2
            ink.add(below.moved(middle, first.low - BETWEEN - second.high))
        box = ink.box()
        if box.width <= room.width and box.height <= room.height:
            placed = ink.moved(
                (room.left + room.right - box.left - box.right) / 2,
                (room.low + room.high - box.low - box.high) / 2,
            )
            placed.add(_title(it, paper, scale))
            return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the joint at any scale"
    )


# --- the crossing cut level ----------------------------------------------------------------------


def _level(it: JointSubject, scale: float) -> Ink:
    ink = Ink()
    for cut in it.level:
        for outline in cut.outlines:
            _cut_face(ink, outline * scale, cut.number)
    reach = (
        max(float(np.abs(outline).max()) for cut in it.level for outline in cut.outlines) * scale
    )
    past = reach + 4.0
    ink.line("centre", (-past, 0.0), (past, 0.0))
    ink.line("centre", (0.0, -past), (0.0, past))
    for cut in it.level:
        _number(ink, cut, scale, past)
    box = ink.box()
    said = "Horizontal section through the joint, seen from above"
    ink.labels.append(Label(said, 0.0, box.low - CAPTION, colour=style.FAINT))
    return ink


def _number(ink: Ink, cut: Cut, scale: float, past: float) -> None:
    """The post's number beside it, led to its middle from outside."""
    largest = max(cut.outlines, key=lambda outline: float(np.ptp(outline, axis=0).max()))
    middle = largest.mean(axis=0) * scale
    away = middle / (float(np.hypot(*middle)) or 1.0)
    # A little off the ray, or a post on a centre line would have its number on that line.
    turn = radians(14.0)
    away = np.array(
        [away[0] * cos(turn) - away[1] * sin(turn), away[0] * sin(turn) + away[1] * cos(turn)]
    )
    spot = away * (past + style.BADGE + 3.0)
    edge = spot - away * style.BADGE
    ink.line("thin", (float(edge[0]), float(edge[1])), (float(middle[0]), float(middle[1])))
    ink.badge((float(spot[0]), float(spot[1])), str(cut.number))


def _cut_face(ink: Ink, outline: Array, number: int) -> None:
    """Cut wood: its tone, hatched, with a thick border."""
    points = [(float(x), float(y)) for x, y in outline]
    ink.areas.append((points, style.POST_TONES[0]))
    ink.pieces["thin"].append(hatched(outline, SLOPES[number - 1], HATCH))
    ink.line("visible", *points, points[0])


def hatched(outline: Array, slope: float, apart: float) -> Array:
    """Parallel lines over any polygon, `slope` degrees from level and so far apart: shape
    (n, 2, 2). They lie on one grid for all polygons of the drawing."""
    turn = radians(slope)
    way, square = np.array([cos(turn), sin(turn)]), np.array([-sin(turn), cos(turn)])
    u, v = outline @ way, outline @ square
    next_u, next_v = np.roll(u, -1), np.roll(v, -1)
    steps = np.arange(ceil(float(v.min()) / apart), floor(float(v.max()) / apart) + 1)
    levels = steps * apart + 1e-7  # off the corners
    row, edge = np.nonzero((v > levels[:, None]) != (next_v > levels[:, None]))
    level = levels[row]
    share = (level - v[edge]) / (next_v[edge] - v[edge])
    along = u[edge] + share * (next_u[edge] - u[edge])
    order = np.lexsort((along, row))  # from left to right in each line; every other one is an end
    points = along[order, None] * way + level[order, None] * square
    return np.asarray(points).reshape(-1, 2, 2)


# --- one post cut along --------------------------------------------------------------------------


def _along(it: JointSubject, scale: float, around: float = ROUND_NOTCH) -> Ink:
    """The notch in section with this many post sections on either side of it."""
    ink, sheet = Ink(), it.sheet
    wide, deep = sheet.number("notch_width"), sheet.number("post_width")
    reach = wide / 2 + around * deep
    outline = clipped_between(it.along.outlines[0], -reach, reach)
    _cut_face(ink, outline * scale, it.along.number)
    box = ink.box()
    for x in (-reach * scale, reach * scale):
        _broken(ink, x, box.low, box.high)
    floor_level, mouth = _notch_levels(outline)
    half = _half_mouth(outline, mouth)
    up = mouth > floor_level
    above = (box.high + 7.0) if up else (box.low - 7.0)
    ends = [(x * scale, mouth * scale) for x in half]
    dimension.across(ink, ends[0], ends[1], above, it.text("notch_width"))
    right = reach * scale + 9.0
    levels = sorted((floor_level * scale, mouth * scale))
    dimension.upright(ink, (half[1] * scale, levels[0]), (half[1] * scale, levels[1]), right,
                      it.text("notch_depth"))  # fmt: skip
    dimension.upright(
        ink, (-reach * scale, box.low), (-reach * scale, box.high), -reach * scale - 9.0,
        it.text("post_width"),
    )  # fmt: skip
    lines = ("Lengthwise section through the middle of a notch;",
             "foot end to the left, upward face on top")  # fmt: skip
    low = ink.box().low - CAPTION
    for row, said in enumerate(lines):
        ink.labels.append(Label(said, 0.0, low - row * CAPTION_LINE, colour=style.FAINT))
    return ink


def clipped_between(outline: Array, low: float, high: float) -> Array:
    """What of a polygon lies between two upright lines, as one polygon."""
    for sign, edge in ((1.0, low), (-1.0, -high)):
        kept: list[Any] = []
        for point, after in zip(outline, np.roll(outline, -1, axis=0), strict=True):
            here, there = sign * point[0] - edge, sign * after[0] - edge
            if here >= 0:
                kept.append(point)
            if here * there < 0:
                kept.append(point + (after - point) * here / (here - there))
        outline = np.array(kept)
    return outline


def _notch_levels(outline: Array) -> tuple[float, float]:
    """Heights of the notch's floor at x = 0 and of the face it opens to."""
    levels = sorted(_heights_at(outline, 0.0))
    low, high = float(outline[:, 1].min()), float(outline[:, 1].max())
    if high - levels[-1] > levels[0] - low:
        return levels[-1], high
    return levels[0], low


def _heights_at(outline: Array, x: float) -> list[float]:
    found = []
    for (a, b), (c, d) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if (a > x) != (c > x):
            found.append(float(b + (x - a) / (c - a) * (d - b)))
    return found


def _half_mouth(outline: Array, mouth: float) -> tuple[float, float]:
    """Where the notch's walls meet the face: left and right of x = 0."""
    on_face = [float(x) for x, y in outline if abs(y - mouth) < 1e-6]
    return max(x for x in on_face if x < 0), min(x for x in on_face if x > 0)


def _broken(ink: Ink, x: float, low: float, high: float) -> None:
    """A break line over an end that goes on: thin, with a zigzag (ISO 128-2, from memory)."""
    middle = (low + high) / 2
    # The border there is no edge of the wood: paint it out, then the break.
    ink.line(
        "thin", (x, low - BREAK), (x, middle - BREAK), (x - BREAK / 2, middle - BREAK / 2),
        (x + BREAK / 2, middle + BREAK / 2), (x, middle + BREAK), (x, high + BREAK),
    )  # fmt: skip


# --- the strip at the foot of the paper ----------------------------------------------------------


def _title(it: JointSubject, paper: Paper, scale: float) -> Ink:
    ink, inches = Ink(), it.sheet.shop_style.display == "in"
    if paper.with_text:
        return small_print([_says(it)], paper, scale_note(scale, inches))
    left, right, top = paper.margin, paper.width - paper.margin, paper.margin + STRIP - 3.0
    ink.line("thin", (left, top), (right, top))
    notes = [f"Sizes in {'inches' if inches else 'millimetres'}"]
    if paper.to_scale:
        notes.insert(0, f"Scale {scale_text(scale)}")
    for note, level in zip(notes, (top - 5.5, top - 11.0), strict=False):
        ink.labels.append(Label(note, right, level, "right"))
    edge = right - max(style.text_width(note) for note in notes) - 7.0
    bar = scale_bar(ink, scale, inches, edge, top - 10.0)
    room = bar - left - 8.0
    name = style.fitted(it.sheet.name or "Untitled", room, style.TITLE, bold=True)
    ink.labels.append(Label(name, left, top - 5.5, "left", size=style.TITLE, bold=True))
    what = style.fitted(_says(it), room)
    ink.labels.append(Label(what, left, top - 11.0, "left", colour=style.FAINT))
    return ink


def _says(it: JointSubject) -> str:
    angle, tilt = it.sheet.shop("crossing_angle"), it.sheet.shop("notch_floor_tilt")
    return f"Joint, hatched where cut through: walls at {angle} to the edges, floor tilted {tilt}"
