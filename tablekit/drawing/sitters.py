"""People at the table: sitters' knees among the posts from above, and a wheelchair user's space.

The plan shows the posts cut at the height of knees; the elevation looks along the best place for a
wheelchair user. Every number comes from the planners; only places on the paper are worked out here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import dimension, style
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    Layout,
    LiveDrawing,
    beside,
    scale_text,
)
from tablekit.drawing.ink import Box, Ink, Label, Point, ring
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.title import centred
from tablekit.drawing.wrapping import wrapped
from tablekit.engine.shop import shop_text
from tablekit.planning.sitters import Place, Sitters, sitters
from tablekit.planning.wheelchair import (
    KNEE_HEIGHT,
    TOE_DEPTH,
    TOE_HEIGHT,
    WIDTH,
    WheelchairPlace,
    needed_depth,
    wheelchair_place,
)
from tablekit.solids.body import Body, cut
from tablekit.solids.model import Model, build

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet

Array = NDArray[np.float64]

CENTRE_PAST = 3.0
FREE_OUT = 1.6  # the arc of the free sectors outside the rim
BADGE_OUT = FREE_OUT + 1.4 + style.BADGE
SECTION_OUT = BADGE_OUT + 3 * style.BADGE
LINE_STEP = style.TEXT * style.MM_PER_POINT * 1.35


@dataclass(frozen=True, eq=False)
class People:
    """A sheet with what was planned for it: all that does not depend on the scale."""

    sheet: Sheet
    model: Model
    sitters: Sitters
    wheelchair: WheelchairPlace

    def text(self, number: float) -> str:
        """A length as the maker reads it, less its unit, which is noted once."""
        shop = self.sheet.shop_style
        return shop_text(number, "mm", shop).removesuffix(f" {shop.display}")


def people(sheet: Sheet, seats: int | None = None) -> People:
    """Plans both. Raises as `sitters` and `wheelchair_place` do."""
    return People(sheet, build(sheet), sitters(sheet, seats), wheelchair_place(sheet))


def draw_sitters(
    sheet: Sheet, figure: Figure | None = None, paper: Paper = A4, seats: int | None = None
) -> Figure:
    """Plan and elevation to scale on `paper`; on `figure` or a fresh one.

    seats   how many sit; where left out, as many as the rim has room for

    Raises ValueError when the paper is too small for any scale, and DesignError for a stool."""
    return SittersDrawing.drawn(people(sheet, seats), figure, paper)


class SittersDrawing(LiveDrawing[People]):
    """The artists of one drawing of people at the table."""

    def laid_out(self, it: People) -> Layout:
        """Both views and what is said of them."""
        return lay_out_sitters(it, self.paper)


def lay_out_sitters(it: People, paper: Paper) -> Layout:
    """The views at the largest scale that fits. Raises ValueError when none does."""
    margin = paper.margin
    stated = INCH_SCALES if it.sheet.shop_style.display == "in" else METRIC_SCALES
    for scale in stated if paper.to_scale else FREE_SCALES:
        words = _words(it, paper, scale)
        strip = margin + words.box().height + 3.0
        room = Box(margin, strip, paper.width - margin, paper.height - margin)
        if it.sitters.top_diameter * scale > min(room.width, room.height):
            continue
        placed = centred(beside(elevation(it, scale), plan(it, scale), paper.arrangement), room)
        if placed is None:
            continue
        placed.add(words.moved(0.0, strip - 3.0 - words.box().high))
        return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the sitters at "
        f"{it.sheet.name or 'this piece'} at any scale; take a larger one"
    )


# --- plan ----------------------------------------------------------------------------------------


def plan(it: People, scale: float) -> Ink:
    """From above, the top taken for glass: knee spaces, posts cut level, feet, free sectors."""
    ink, round_it = Ink(), it.sitters
    radius = round_it.top_diameter / 2 * scale
    ink.areas.append((ring(radius), style.TOP_TONE))
    for place in round_it.places:
        _knees(ink, round_it, place, scale)
    for loop, tone in zip(round_it.posts.loops, style.POST_TONES, strict=True):
        if len(loop):
            corners = [(float(x) * scale, float(y) * scale) for x, y in loop]
            ink.areas.append((corners, tone))
            ink.line("visible", *corners, corners[0])
    ink.line("visible", *ring(radius))
    for a, b in ((1.0, 0.0), (0.0, 1.0)):
        far = radius + CENTRE_PAST
        ink.line("centre", (-far * a, -far * b), (far * a, far * b))
    foot = it.sheet.number("foot_flat") / 2 * scale
    for middle in it.model.foot_middles:
        x, y = float(middle[0]) * scale, float(middle[1]) * scale
        ink.line("thin", *[(x + a, y + b) for a, b in ring(foot, 48)])
    for start, end in round_it.free:
        turns = np.radians(np.linspace(start, end, max(2, round(end - start) + 1)))
        ink.line("visible", *[_polar(radius + FREE_OUT, float(turn)) for turn in turns])
    for place in round_it.places:
        ink.badge(_polar(radius + BADGE_OUT, radians(place.bearing)), str(place.number))
    _post_numbers(ink, it, scale)
    _section_mark(ink, it, radius)
    level = it.text(round_it.level)
    _caption(ink, f"Plan, posts cut {level} above the floor", ink.box().low)
    return ink


def _polar(radius: float, turn: float) -> Point:
    return (radius * cos(turn), radius * sin(turn))


def _knees(ink: Ink, it: Sitters, place: Place, scale: float) -> None:
    """The space of one sitter's knees: thin where it is clear, dashed where a post is in it."""
    radius, half = it.top_diameter / 2, it.knee_width / 2
    turn = radians(place.bearing)
    side = float(np.sqrt(radius**2 - half**2))
    inner = radius - it.knee_depth
    # The rim bends away from the rectangle's sides; the space ends where the rim does.
    arc = [(radius * cos(a), radius * sin(a))
           for a in np.linspace(-np.arctan2(half, side), np.arctan2(half, side), 24)]  # fmt: skip
    outline = [(inner, -half), *arc, (inner, half)]
    points = [
        ((o * cos(turn) - t * sin(turn)) * scale, (o * sin(turn) + t * cos(turn)) * scale)
        for o, t in outline
    ]
    ink.areas.append((points, style.PAPER))
    ink.line("hidden" if place.meets else "thin", *points, points[0])


def _post_numbers(ink: Ink, it: People, scale: float) -> None:
    """Beside each trace, towards the middle; outward where they would crowd there."""
    posts = it.sitters.posts
    for number, (loop, axis) in enumerate(zip(posts.loops, posts.axis, strict=True), 1):
        if not len(loop):
            continue
        away = float(np.hypot(*axis)) or 1.0
        out = axis / away
        reach = loop @ out * scale
        at = float(reach.min()) - style.BADGE - 1.0
        if at < 2.5 * style.BADGE:
            at = float(reach.max()) + style.BADGE + 1.0
        ink.badge((float(out[0]) * at, float(out[1]) * at), f"P{number}")


def _section_mark(ink: Ink, it: People, radius: float) -> None:
    """Where the elevation looks: a centre line to the rim and a letter beyond it."""
    turn = radians(it.wheelchair.bearing)
    ink.line("centre", (0.0, 0.0), _polar(radius + SECTION_OUT - style.BADGE, turn))
    ink.badge(_polar(radius + SECTION_OUT, turn), "A")


def _caption(ink: Ink, text: str, under: float) -> None:
    level = under - 2.0 - style.CAP * style.TEXT * style.MM_PER_POINT
    ink.labels.append(Label(text, 0.0, level, colour=style.FAINT))


# --- elevation -----------------------------------------------------------------------------------


def elevation(it: People, scale: float) -> Ink:
    """Square to place A, whose rim is on the right: the posts whole, and toned what of them lies
    within the width of the place, by which its depths are judged."""
    ink, sheet = Ink(), it.sheet
    radius = it.sitters.top_diameter / 2
    under, over = sheet.number("knee_clearance"), sheet.number("table_height")
    for outline in _whole(it):
        points = [(float(o) * scale, float(z) * scale) for o, z in outline]
        ink.line("thin", *points, points[0])
    for outline, tone in _silhouettes(it):
        points = [(float(o) * scale, float(z) * scale) for o, z in outline]
        ink.areas.append((points, tone))
        ink.line("thin", *points, points[0])
    top = [(-radius, under), (radius, under), (radius, over), (-radius, over)]
    corners = [(o * scale, z * scale) for o, z in top]
    ink.areas.append((corners, style.TOP_TONE))
    ink.line("visible", *corners, corners[0])
    ink.line("hidden", *[(o * scale, z * scale) for o, z in _needed(radius)])
    shape = ink.box()
    ink.line("thin", (shape.left - 3.0, 0.0), (shape.right + 3.0, 0.0))
    ink.line("centre", (0.0, -CENTRE_PAST), (0.0, over * scale + CENTRE_PAST))
    _elevation_sizes(ink, it, scale)
    width = it.text(WIDTH)
    _caption(ink, f"Place A, {width} wide, for a wheelchair user", ink.box().low)
    return ink


def _needed(radius: float) -> list[Point]:
    """Outline of the space for toes and knees, from the rim inward."""
    low, high = needed_depth(TOE_HEIGHT), needed_depth(KNEE_HEIGHT)
    return [
        (radius, 0.0), (radius - TOE_DEPTH, 0.0), (radius - TOE_DEPTH, TOE_HEIGHT),
        (radius - low, TOE_HEIGHT), (radius - high, KNEE_HEIGHT), (radius, KNEE_HEIGHT),
        (radius, 0.0),
    ]  # fmt: skip


def _across(it: People) -> tuple[Array, Array]:
    """Level unit vectors: outward to the place, and to its side."""
    turn = radians(it.wheelchair.bearing)
    return np.array([cos(turn), sin(turn), 0.0]), np.array([-sin(turn), cos(turn), 0.0])


def _whole(it: People) -> list[Array]:
    """Outlines (o, z) of the posts and pads from floor to top, seen from the place's side."""
    out, _ = _across(it)
    return [
        _hull(np.column_stack([body.vertices @ out, body.vertices[:, 2]]))
        for body in (*it.model.posts, *it.model.pads)
    ]


def _silhouettes(it: People) -> list[tuple[Array, str]]:
    """Outlines (o, z) of posts and pads inside the place's width, from its side, far ones first."""
    out, aside = _across(it)
    found = []
    for body in (*it.model.posts, *it.model.pads):
        try:
            part: Body = cut(cut(body, aside, WIDTH / 2), -aside, WIDTH / 2)
        except ValueError:  # it lies beside the place
            continue
        flat = np.column_stack([part.vertices @ out, part.vertices[:, 2]])
        depth = float((part.vertices @ aside).max())
        found.append((depth, _hull(flat), style.POST_TONES[body.number - 1]))
    found.sort(key=lambda item: -item[0])
    return [(outline, tone) for _, outline, tone in found]


def _hull(points: Array) -> Array:
    """The convex outline of points in a plane, anticlockwise."""
    ordered = sorted(map(tuple, points.tolist()))

    def chain(given: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
        made: list[tuple[float, ...]] = []
        for x, y in given:
            while len(made) > 1 and (
                (made[-1][0] - made[-2][0]) * (y - made[-2][1])
                - (made[-1][1] - made[-2][1]) * (x - made[-2][0])
            ) <= 0:  # fmt: skip
                made.pop()
            made.append((x, y))
        return made[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _elevation_sizes(ink: Ink, it: People, scale: float) -> None:
    """Needed and found depth under the floor line, heights on the right."""
    rim, sheet = it.sitters.top_diameter / 2 * scale, it.sheet
    toes, knees = it.wheelchair.checks[2], it.wheelchair.checks[3]
    told = [(toes, "toes"), (knees, "knees")]
    # The shorter depth first, so that no extension line runs through a text.
    told.sort(key=lambda one: one[0].value or 0.0)
    for row, (check, what) in enumerate(told):
        clear, asked = check.value or 0.0, check.limit or 0.0
        level = -style.FIRST_ROW - row * style.NEXT_ROW
        said = f"{it.text(max(clear, 0.0))} clear for {what} (at least {it.text(asked)})"
        if clear > 0:
            dimension.across(ink, (rim - clear * scale, 0.0), (rim, 0.0), level, said)
        else:  # a post stands out beyond the rim: there is no depth to be drawn
            ink.labels.append(Label(said, rim + style.TEXT_GAP, level + style.TEXT_GAP, "left"))
    side = max(rim, _farthest(ink)) + 2.0
    level = TOE_HEIGHT * scale
    words = it.text(TOE_HEIGHT)
    ink.line("thin", (rim + style.EXTENSION_GAP, level), (side, level))
    middle = level - style.CAP * style.TEXT * style.MM_PER_POINT / 2
    ink.labels.append(Label(words, side + style.TEXT_GAP, middle, "left"))
    side += style.text_width(words)
    for row, height in enumerate(sorted((KNEE_HEIGHT, sheet.number("knee_clearance")))):
        at = side + 0.75 * style.FIRST_ROW + row * style.NEXT_ROW
        dimension.upright(ink, (side, 0.0), (rim, height * scale), at, it.text(height))


def _farthest(ink: Ink) -> float:
    """Right end of what is filled: posts and top."""
    return max(x for polygon, _ in ink.areas for x, _ in polygon)


# --- words ---------------------------------------------------------------------------------------


def _words(it: People, paper: Paper, scale: float) -> Ink:
    """Name, scale, both answers and what the lines mean, from the top down, its foot anywhere."""
    ink, left = Ink(), paper.margin
    room = paper.width - 2 * paper.margin
    ink.line("thin", (left, 0.0), (left + room, 0.0))
    drop = style.TITLE * style.MM_PER_POINT * style.CAP
    name = style.fitted(f"{it.sheet.name}: people at the table", room, style.TITLE, bold=True)
    level = -2.0 - drop
    ink.labels.append(Label(name, left, level, "left", size=style.TITLE, bold=True))
    unit = "inches" if it.sheet.shop_style.display == "in" else "millimetres"
    stated = f"Scale {scale_text(scale)}. " if paper.to_scale else ""
    said = (
        f"{stated}Sizes in {unit}. {it.sitters.text()}",
        it.wheelchair.text(),
        "Knee spaces: thin where clear, dashed where a post is in the way. Thick arc outside the "
        "rim: where a sitter facing the centre meets no post. P1 to P3: posts, shaded in the "
        "elevation where they lie within the width of place A.",
    )
    for k, text in enumerate(said):
        for line in wrapped(text, room):
            level -= LINE_STEP
            colour = style.FAINT if k == len(said) - 1 else style.INK
            ink.labels.append(Label(line, left, level, "left", colour=colour))
    return ink
