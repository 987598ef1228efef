"""Boring sockets on a drill press: the tilted table, or a level one with a wedge under the top.

Seen square to the sight line, the bit plumb and the underside of the top up; the rim side of the
socket is on the right, uphill.
"""

from __future__ import annotations

from math import cos, radians, sin

from tablekit.drawing import style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_scale import not_to_scale
from tablekit.drawing.style import Paper
from tablekit.planning.leg_work import LegWork

APART = 16.0  # between the views, mm on the paper
TABLE, BEYOND = 16.0, 40.0  # mm, how thick the table is and how far it goes beyond the top
BIT = 90.0  # mm of the bit over the underside
SAID = "Drill press, seen square to the sight line, not to scale"


def lay_out_press(work: LegWork, paper: Paper) -> Layout:
    """Both ways side by side, as large as there is room. Raises ValueError where the paper is too
    small."""
    return not_to_scale(work, press, paper, SAID, "the drill press")


def press(work: LegWork, scale: float) -> Ink:
    """The tilted table, and beside it the wedge, mm on the paper."""
    ink, other = _view(work, scale, wedge=False), _view(work, scale, wedge=True)
    ink.add(other.moved(ink.box().right + APART - other.box().left, 0.0))
    return ink


def _view(work: LegWork, scale: float, wedge: bool) -> Ink:
    """The top on table or wedge; the bit meets the underside at the origin."""
    ink, number = Ink(), work.sheet.number
    turn = radians(number("leg_resultant"))
    thick, rim = number("top_thickness"), number("top_diameter") / 2
    centre, edge = -number("socket_radius"), rim - number("socket_radius")
    left = max(centre - rim / 2, -edge * 2.5)

    def at(along: float, up: float) -> Point:
        return (scale * (along * cos(turn) - up * sin(turn)),
                scale * (along * sin(turn) + up * cos(turn)))  # fmt: skip

    top = [at(left, -thick), at(edge, -thick), at(edge, 0.0), at(left, 0.0)]
    low, high = left - BEYOND / 2, edge + BEYOND / 2
    under = -thick - TABLE
    if wedge:
        toe, heel = at(low, -thick), at(high, -thick)
        part = [toe, heel, (heel[0], toe[1])]
        ink.areas.append((part, style.POST_TONES[1]))
        ink.line("visible", *part, part[0])
        x0, x1 = toe[0] - 8.0 * scale, heel[0] + 8.0 * scale
        table = [(x0, toe[1] - TABLE * scale), (x1, toe[1] - TABLE * scale), (x1, toe[1]),
                 (x0, toe[1])]  # fmt: skip
    else:
        table = [at(low, under), at(high, under), at(high, -thick), at(low, -thick)]
        flat = at(low, under)
        far = at(high, under)[0]
        ink.line("centre", flat, (far, flat[1]))
    for part, tone in ((table, style.POST_TONES[2]), (top, style.TOP_TONE)):
        ink.areas.append((part, tone))
        ink.line("visible", *part, part[0])
    _bit(ink, work, scale)
    x, y = at(edge, -thick / 2)
    ink.labels.append(Label("rim", x + 3.0, y, "left", colour=style.FAINT))
    rise = f"a wedge that rises {work.text('gauge_lean')} in {work.text('gauge_height')}"
    what = rise if wedge else f"the table tilted {work.text('leg_resultant')}"
    box = ink.box()
    ink.labels.append(Label(what, (box.left + box.right) / 2, box.low - 5.0, colour=style.FAINT))
    return ink


def _bit(ink: Ink, work: LegWork, scale: float) -> None:
    """Plumb, its edges at the bottom of the socket."""
    half, deep = work.sheet.number("tenon_diameter") / 2 * scale, work.sheet.number("socket_depth")
    low, high = -deep * scale, BIT * scale
    corners = [(-half, low), (half, low), (half, high), (-half, high)]
    ink.areas.append((corners, style.PAPER))
    ink.line("thin", *corners, corners[0])
    ink.line("centre", (0.0, low - 4.0), (0.0, high + 5.0))
