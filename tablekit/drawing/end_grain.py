"""The strips seen from their ends, with their growth rings: sides alternating, and all one way.

Below each choice the panel as it would lie in the driest and in the dampest air, its bow drawn
larger than it is. Every number comes from `planning/rings.py`; only places on the paper are found
here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, pi
from typing import TYPE_CHECKING

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.board_layout import LayoutSubject, title
from tablekit.drawing.board_table import table
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    STRIP,
    Layout,
    LiveDrawing,
)
from tablekit.drawing.ink import Box, Ink, Label, Point
from tablekit.drawing.style import A4, Paper
from tablekit.engine.shop import fine_text

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.planning.rings import PanelCup, Profile, Rings, StripRings
    from tablekit.planning.top_joints import TopJoints

RING_STEP = 1.1  # from ring to ring on the paper
ARROW_LENGTH = 5.0
LINE = 4.6  # from one line of text to the next
HIGHEST_BOW = 8.0  # on the paper, of whatever bows most
FACTORS = (1, 2, 5, 10, 20, 50)
BETWEEN = 7.0
SEASONS = {"winter": "Driest air", "summer": "Dampest air"}
HEADINGS = {"alternating": "Heart side alternately up and down", "one way": "All one way"}
HEADS = ("", "board", "cut", "cup, driest", "cup, dampest")
WHAT = "End grain, seen along the strips. Arrows point to the bark side"


@dataclass(frozen=True)
class EndGrainSubject:
    """A layout, the growth rings of its strips, and their thickness in mm."""

    it: LayoutSubject
    rings: Rings
    thickness: float

    def fine(self, number: float) -> str:
        """A small height as a maker says it."""
        return fine_text(abs(number), self.it.style)


def draw_end_grain(
    it: LayoutSubject, joints: TopJoints, figure: Figure | None = None, paper: Paper = A4
) -> Figure:
    """Both choices to scale on `paper`, on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale."""
    return EndGrainDrawing.drawn(EndGrainSubject(it, joints.rings, joints.thickness), figure, paper)


class EndGrainDrawing(LiveDrawing[EndGrainSubject]):
    """The artists of one view of end grain."""

    def laid_out(self, it: EndGrainSubject) -> Layout:
        """Both choices one below the other, then what each strip does."""
        return lay_out_end_grain(it, self.paper)


def lay_out_end_grain(it: EndGrainSubject, paper: Paper) -> Layout:
    """Views and table at the largest scale that fits. Raises ValueError when none does."""
    room = Box(
        paper.margin, paper.margin + STRIP, paper.width - paper.margin, paper.height - paper.margin
    )
    wide = it.rings.strips[-1].right - it.rings.strips[0].left
    stated = INCH_SCALES if it.it.style.display == "in" else METRIC_SCALES
    scales = [one for one in (stated if paper.to_scale else FREE_SCALES) if wide * one < room.width]
    seen_at: dict[float, tuple[Ink, Box]] = {}
    # On a low sheet the picture and what it says come before the table.
    for scale, whole_table in [(one, rows) for rows in (True, False) for one in scales]:
        if scale not in seen_at:
            drawn = view(it, scale, room.width)
            seen_at[scale] = (drawn, drawn.box())
        ink, seen = seen_at[scale]
        high = room.height - seen.height - BETWEEN
        below = _table(it, room.width, high, whole_table) if high > 0 else None
        if seen.width > room.width or below is None:
            continue
        box = below.box()
        ink.add(below.moved(seen.left - box.left, seen.low - BETWEEN - box.high))
        whole = ink.box()
        placed = ink.moved(
            (room.left + room.right - whole.left - whole.right) / 2,
            (room.low + room.high - whole.low - whole.high) / 2,
        )
        placed.add(title(it.it, paper, scale, f"{WHAT}{_larger(it, scale)}"))
        return Layout(scale, "stacked", placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the end grain of "
        f"{it.it.name or 'this piece'} at any scale; take a larger one"
    )


def factor(it: EndGrainSubject, scale: float) -> int:
    """How many times larger than the rest the bow is drawn: one factor for all, to compare."""
    most = max(it.rings.alternating.most, it.rings.one_way.most)
    if most < 0.005:  # flat to any maker
        return 1
    return max((one for one in FACTORS if most * scale * one <= HIGHEST_BOW), default=1)


def _larger(it: EndGrainSubject, scale: float) -> str:
    times = factor(it, scale)
    return f"; bows exaggerated {times} times" if times > 1 else "; bows to scale"


def _table(it: EndGrainSubject, width: float, height: float, whole: bool) -> Ink | None:
    rows = [
        (
            str(strip.number), style.fitted(strip.board, 34.0), strip.cut,
            *(_cup_words(it, strip.cups[season]) for season in SEASONS),
        )
        for strip in it.rings.strips
    ]  # fmt: skip
    sentences = (it.rings.reason, f"Movement of the wood: {it.rings.coefficients_from}.")
    if not whole:
        return table((), (), sentences, width, height)
    return table(HEADS, rows, sentences, width, height, named=(1, 2))


def _cup_words(it: EndGrainSubject, cup: float) -> str:
    if abs(cup) < 0.005:
        return "flat"
    return f"{it.fine(cup)} {'round' if cup > 0 else 'hollow'}"


# --- the views ----------------------------------------------------------------------------------


def view(it: EndGrainSubject, scale: float, width: float) -> Ink:
    """Both choices one below the other, mm on the paper, from the centre mark down."""
    ink, level = Ink(), 0.0
    left = min(it.rings.strips[0].left * scale, -width / 2 + 0.5)
    for panel in (it.rings.alternating, it.rings.one_way):
        level = _choice(ink, it, panel, scale, level, left) - BETWEEN
    return ink


def _choice(
    ink: Ink, it: EndGrainSubject, panel: PanelCup, scale: float, level: float, left: float
) -> float:
    """One choice from `level` down; gives how far down it goes."""
    taken = " (recommended)" if panel.choice == it.rings.recommended else ""
    heading = f"{HEADINGS[panel.choice]}{taken}"
    level -= style.CAP * style.TEXT * style.MM_PER_POINT
    ink.labels.append(Label(heading, left, level, "left", bold=True))
    thick = it.thickness * scale
    level -= _marks_above(it, scale) + 1.5 + thick
    rows = _badge_rows(it, scale)
    for k, (strip, heart) in enumerate(zip(it.rings.strips, panel.heart_up, strict=True)):
        _end(ink, strip, heart, scale, level, thick, k)
        middle = (strip.left + strip.right) / 2 * scale
        over = level + thick + style.BADGE + 1.0 + (k % rows) * (2 * style.BADGE + 0.6)
        ink.badge((middle, over), str(strip.number))
        _bark_arrow(ink, middle, level - 1.2, heart)
    level -= ARROW_LENGTH + 2.0
    for season, words in SEASONS.items():
        level -= LINE
        text = f"{words}: {_bow_words(it, panel, season)}"
        ink.labels.append(Label(text, left, level, "left", colour=style.FAINT))
        level = _bowed(ink, it, panel.profiles[season], scale, level - 2.0)
    return level


def _badge_rows(it: EndGrainSubject, scale: float) -> int:
    narrowest = min(strip.right - strip.left for strip in it.rings.strips) * scale
    return min(6, max(1, int(-(-(2 * style.BADGE + 0.6) // narrowest))))


def _marks_above(it: EndGrainSubject, scale: float) -> float:
    return 1.0 + _badge_rows(it, scale) * (2 * style.BADGE + 0.6)


def _bow_words(it: EndGrainSubject, panel: PanelCup, season: str) -> str:
    bow = getattr(panel, season)
    if abs(bow) < 0.005:
        return "lies flat"
    if panel.choice == "one way":
        if bow > 0:
            return f"the middle rises {it.fine(bow)} if not held down"
        return f"the edges rise {it.fine(bow)} if not held down"
    most = max(abs(strip.cups[season]) for strip in it.rings.strips)
    return f"cup of {it.fine(most)} in a strip, bow of {it.fine(bow)} over the panel"


def _bark_arrow(ink: Ink, x: float, high: float, heart_up: bool) -> None:
    ends = [(x, high), (x, high - ARROW_LENGTH)]
    ink.line("thin", *ends)
    ink.arrow(ends[1] if heart_up else ends[0], (0.0, -1.0 if heart_up else 1.0))


def _end(
    ink: Ink, strip: StripRings, heart_up: bool, scale: float, level: float, thick: float, k: int
) -> None:
    """The end of one strip: outline, and rings within it."""
    left, right = strip.left * scale, strip.right * scale
    corners = [(left, level), (right, level), (right, level + thick), (left, level + thick)]
    ink.areas.append((corners, style.POST_TONES[k % 2]))
    ink.line("visible", *corners, corners[0])
    side = 1.0 if heart_up else -1.0
    pith = (
        (left + right) / 2 - strip.pith_aside * scale,
        level + thick / 2 + side * strip.pith_depth * scale,
    )
    for arc in ring_arcs(pith, (left, level, right, level + thick)):
        ink.line("thin", *arc)


def ring_arcs(
    pith: Point, box: tuple[float, float, float, float], step: float = RING_STEP
) -> list[list[Point]]:
    """Circles about the pith, every `step`, clipped to a box (left, low, right, high)."""
    left, low, right, high = box
    corners = np.array([(left, low), (right, low), (right, high), (left, high)]) - pith
    nearest = np.hypot(
        max(left - pith[0], pith[0] - right, 0.0), max(low - pith[1], pith[1] - high, 0.0)
    )
    farthest = float(np.hypot(*corners.T).max())
    # Seen from the pith the box lies within half a turn about the direction to its middle.
    towards = atan2((low + high) / 2 - pith[1], (left + right) / 2 - pith[0])
    turns = (np.arctan2(*corners.T[::-1]) - towards + pi) % (2 * pi) - pi
    arcs: list[list[Point]] = []
    for radius in np.arange(nearest + step / 2, farthest, step):
        angles = towards + np.linspace(turns.min(), turns.max(), 400)
        x, y = pith[0] + radius * np.cos(angles), pith[1] + radius * np.sin(angles)
        inside = (x >= left) & (x <= right) & (y >= low) & (y <= high)
        edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.astype(int), [0]])))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if end - start > 1:
                some = np.unique(np.linspace(start, end - 1, 12).round().astype(int))
                arcs.append([(float(x[i]), float(y[i])) for i in some])
    return arcs


def _bowed(ink: Ink, it: EndGrainSubject, profile: Profile, scale: float, top: float) -> float:
    """The panel as it lies, its upper edge no higher than `top`; gives its lowest level."""
    times = factor(it, scale) * scale
    curves = profile.curves()
    highest = max(float(curve[:, 1].max()) for curve in curves) * times
    lowest = min(float(curve[:, 1].min()) for curve in curves) * times
    thick = it.thickness * scale
    level = top - thick - max(highest, 0.0)
    for k, curve in enumerate(curves):
        lower = [(float(x) * scale, level + float(z) * times) for x, z in curve]
        upper = [(x, y + thick) for x, y in reversed(lower)]
        ink.areas.append(([*lower, *upper], style.POST_TONES[k % 2]))
        ink.line("visible", *lower, *upper, lower[0])
    ends = (profile.edges[0] * scale, profile.edges[-1] * scale)
    ink.line("centre", (ends[0], level), (ends[1], level))
    return level + min(lowest, 0.0)
