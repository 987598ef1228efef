"""The top over the seasons, seen from above: round in the shop, an oval in winter and in summer.

The outline is to scale; how far it departs from round is drawn many times as large, and by how
many is stated. Every number comes from the sheet; only places on the paper are worked out here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, radians, sin
from typing import TYPE_CHECKING, Protocol

from tablekit.drawing import dimension, style
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    STRIP,
    Layout,
    LiveDrawing,
    scale_text,
)
from tablekit.drawing.ink import Box, Ink, Label, ring
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.title import title
from tablekit.engine.shop import ShopStyle, shop_text, shop_text_up

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FACTORS = (200, 100, 50, 20, 10, 5, 2, 1)
MOST_OF_RADIUS = 0.14  # a departure from round is drawn at most as large
CENTRE_PAST = 3.5
SCREW = 1.1  # radius of a screw on the paper
GRAIN_LINES, GRAIN_LONG = (-0.62, -0.56, 0.56, 0.62), 0.30


class MovedSheet(Protocol):
    """What the drawing needs of a sheet."""

    name: str
    shop_style: ShopStyle

    def number(self, name: str) -> float:
        """A value in its reporting unit; nan where there is none."""

    def get(self, name: str) -> float | None:
        """The same, None where there is none or no such quantity."""


@dataclass(frozen=True)
class Season:
    """How far the rim lies outside the circle across the grain (mm, may be negative), and how the
    drawing shows it."""

    gain: float
    pen: str
    says: str
    width: float


def draw_movement(sheet: MovedSheet, figure: Figure | None = None, paper: Paper = A4) -> Figure:
    """The oval top to scale on `paper`, its movement exaggerated; on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale."""
    return MovementDrawing.drawn(sheet, figure, paper)


class MovementDrawing(LiveDrawing[MovedSheet]):
    """The artists of one drawing of the movement."""

    def laid_out(self, it: MovedSheet) -> Layout:
        """The ovals, the fasteners and what is said of them."""
        return lay_out_movement(it, self.paper)


def seasons(sheet: MovedSheet) -> tuple[Season, Season]:
    """The driest air and the dampest."""
    narrow, wide = sheet.number("narrowest_width"), sheet.number("widest_width")
    return (
        Season(-sheet.number("winter_shrinkage") / 2, "hidden", "in the driest air", narrow),
        Season(sheet.number("summer_swelling") / 2, "thin", "in the dampest air", wide),
    )


def factor(sheet: MovedSheet) -> int:
    """How many times as large the movement is drawn."""
    largest = max(abs(season.gain) for season in seasons(sheet))
    room = MOST_OF_RADIUS * sheet.number("top_diameter") / 2
    return next((f for f in FACTORS if f * largest <= room), 1)


def lay_out_movement(sheet: MovedSheet, paper: Paper) -> Layout:
    """The view at the largest scale that fits. Raises ValueError when none does."""
    margin = paper.margin
    room = Box(margin, margin + STRIP + 3, paper.width - margin, paper.height - margin)
    stated = INCH_SCALES if sheet.shop_style.display == "in" else METRIC_SCALES
    for scale in stated if paper.to_scale else FREE_SCALES:
        if sheet.number("top_diameter") * scale > min(room.width, room.height):
            continue
        ink = view(sheet, scale)
        box = ink.box()
        if box.width > room.width or box.height > room.height:
            continue
        placed = ink.moved(
            (room.left + room.right - box.left - box.right) / 2,
            (room.low + room.high - box.low - box.high) / 2,
        )
        placed.add(_title(sheet, paper, scale))
        return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the movement of "
        f"{sheet.name or 'this piece'} at any scale; take a larger one"
    )


def view(sheet: MovedSheet, scale: float) -> Ink:
    """The top about the origin, grain from left to right, mm on the paper."""
    ink, times = Ink(), factor(sheet)
    radius = sheet.number("top_diameter") / 2 * scale
    dry, damp = seasons(sheet)
    ink.areas.append((ring(radius), style.TOP_TONE))
    ink.line("visible", *ring(radius))
    for season in (dry, damp):
        grown = (radius + season.gain * times * scale) / radius
        ink.line(season.pen, *[(x, y * grown) for x, y in ring(radius)])
    _centre_lines(ink, radius + CENTRE_PAST)
    _grain(ink, radius)
    _fastenings(ink, sheet, scale, times)
    _widths(ink, sheet, scale, times, radius)
    return ink


def _centre_lines(ink: Ink, reach: float) -> None:
    ink.line("centre", (-reach, 0.0), (reach, 0.0))
    ink.line("centre", (0.0, -reach), (0.0, reach))


def _grain(ink: Ink, radius: float) -> None:
    """A few fibres, and an arrow that says which way they run."""
    for place in GRAIN_LINES:
        ink.line(
            "thin", (-GRAIN_LONG * radius, place * radius), (GRAIN_LONG * radius, place * radius)
        )
    level = -0.75 * radius
    tip = GRAIN_LONG * radius
    ink.line("thin", (-tip, level), (tip, level))
    ink.arrow((tip, level), (1.0, 0.0))
    ink.arrow((-tip, level), (-1.0, 0.0))
    ink.labels.append(Label("grain", -tip / 2, level + style.TEXT_GAP))


def _fastenings(ink: Ink, sheet: MovedSheet, scale: float, times: int) -> None:
    """Each screw where it is set in the shop, and the way it goes across the grain."""
    far, turn = sheet.get("screw_radius"), sheet.get("head_turn")
    if far is None or turn is None:
        return  # legs in sockets have no plates
    half = sheet.number("top_diameter") / 2
    for number in range(3):
        bearing = radians(turn + 120 * number)
        x, y = far * cos(bearing) * scale, far * sin(bearing) * scale
        ways = [y * (1 + season.gain / half * times) for season in seasons(sheet)]
        ink.line("visible", (x, min(ways)), (x, max(ways)))
        ink.line("thin", *[(x + a, y + b) for a, b in ring(SCREW, 24)])
        outward = -1 if x > 0 else 1
        ink.badge((x + outward * 3 * style.BADGE, y + 1.6 * style.BADGE), str(number + 1))


def _widths(ink: Ink, sheet: MovedSheet, scale: float, times: int, radius: float) -> None:
    """The three widths across the grain, the least innermost."""
    dry, damp = seasons(sheet)
    text = _texts(sheet)
    spans = sorted(
        [
            (radius + dry.gain * times * scale, f"{text(dry.width)} {dry.says}"),
            (radius, f"{text(sheet.number('top_diameter'))} in the shop"),
            (radius + damp.gain * times * scale, f"{text(damp.width)} {damp.says}"),
        ]
    )
    for row, (reach, said) in enumerate(spans):
        at = radius + CENTRE_PAST + style.FIRST_ROW + row * style.NEXT_ROW
        dimension.upright(ink, (0.0, -reach), (0.0, reach), at, said)
    low = -spans[-1][0] - style.FIRST_ROW
    length = f"{text(sheet.number('top_diameter'))} along the grain, all year"
    dimension.across(ink, (-radius, 0.0), (radius, 0.0), low, length)


def _texts(sheet: MovedSheet) -> Callable[[float], str]:
    shop = sheet.shop_style

    def text(number: float) -> str:
        return shop_text(number, "mm", shop).removesuffix(f" {shop.display}")

    return text


def _title(sheet: MovedSheet, paper: Paper, scale: float) -> Ink:
    """Name, scale, what is exaggerated, and what the lines mean."""
    unit = "inches" if sheet.shop_style.display == "in" else "millimetres"
    stated = f"Scale {scale_text(scale)}. " if paper.to_scale else ""
    lines = (
        f"{stated}Sizes in {unit}. Change of shape exaggerated {factor(sheet)} times.",
        "Thick: as cut in the shop. Dashed: in the driest air. Thin: in the dampest air.",
        *_about_plates(sheet),
    )
    return title(f"{sheet.name}: the top over the seasons", lines, paper)


def _about_plates(sheet: MovedSheet) -> tuple[str, ...]:
    if sheet.get("slot_needed") is None:
        return ()
    shop = sheet.shop_style
    travel = shop_text(sheet.number("plate_travel"), "mm", shop)
    slot = shop_text_up(sheet.number("slot_needed"), shop)
    return (f"Screws move at most {travel} across the grain; slots at least {slot} long.",)
