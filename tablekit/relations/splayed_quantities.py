"""Every quantity of a table or stool on splayed legs: name, letter, unit, meaning and range.

In the order of the sheet. Quantities that a base of crossed posts has as well (heights, top,
masses) are the same; only their meanings are worded for this base.
"""

from __future__ import annotations

from dataclasses import replace

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.relations import quantities as q

# --- The leg ------------------------------------------------------------------------------

leg_diameter = Quantity(
    "leg_diameter",
    "D_s",
    "mm",
    "diameter of a leg, square to its axis, where the axis meets the underside of the top",
    8,
    200,
    latex="D_s",
    cut=True,
)
foot_diameter = Quantity(
    "foot_diameter",
    "D_f",
    "mm",
    "diameter of a leg, square to its axis, where the axis meets the level cut of the foot",
    5,
    200,
    latex="D_f",
    cut=True,
)
leg_length = Quantity(
    "leg_length",
    "L",
    "mm",
    "overall length of a leg along its axis, from the level-cut foot to the end in the socket",
    50,
    2500,
    cut=True,
)
shoulder_length = Quantity(
    "shoulder_length",
    "L_s",
    "mm",
    "length of a leg along its axis, from the level-cut foot to the underside of the top",
    40,
    2500,
    latex="L_s",
)
leg_blank = Quantity(
    "leg_blank",
    "L_b",
    "mm",
    "least length of the turned leg before its foot is cut level, tenon included",
    50,
    3000,
    latex="L_b",
    least=True,
)
foot_trim = Quantity(
    "foot_trim",
    "a_f",
    "mm",
    "length for the saw at the foot, on the outer side of a leg, where the level cut takes least",
    0,
    200,
    latex="a_f",
)
leg_taper = Quantity(
    "leg_taper",
    "κ",
    "1",
    "decrease of a leg's radius toward the foot, over the length along it; 0 in a straight leg",
    -1,
    1,
    latex=r"\kappa",
)

# --- How it leans -------------------------------------------------------------------------

leg_rake = Quantity(
    "leg_rake",
    "α",
    "deg",
    "lean of a leg from plumb as seen from the side",
    0,
    60,
    latex=r"\alpha",
)
leg_splay = Quantity(
    "leg_splay",
    "β",
    "deg",
    "lean of a leg from plumb as seen from the front",
    0,
    60,
    latex=r"\beta",
)
leg_resultant = Quantity(
    "leg_resultant",
    "θ",
    "deg",
    "lean of a leg from plumb as seen square to its sight line; also how far out of square its "
    "foot is cut",
    0.5,
    60,
    latex=r"\theta",
)
sight_line = Quantity(
    "sight_line",
    "γ",
    "deg",
    "in plan, angle from the rake axis to the sight line, the line along which a leg leans",
    0,
    90,
    latex=r"\gamma",
)
sight_turn = Quantity(
    "sight_turn",
    "τ",
    "deg",
    "in plan, angle between the sight line and the radius out through the socket, to either side; "
    "0 where a leg leans straight out",
    0,
    90,
    latex=r"\tau",
)
drill_angle = Quantity(
    "drill_angle",
    "φ",
    "deg",
    "angle between the bit and the underside of the top, in the plumb plane of the sight line",
    30,
    89.5,
    latex=r"\varphi",
)

# --- The socket ---------------------------------------------------------------------------

socket_radius = Quantity(
    "socket_radius",
    "r_s",
    "mm",
    "radius of the circle through the middles of the sockets, on the underside of the top",
    1,
    1500,
    latex="r_s",
    cut=True,
)
socket_spread = Quantity(
    "socket_spread",
    "s_s",
    "mm",
    "middle of one socket to the middle of the next",
    1,
    3000,
    latex="s_s",
)
tenon_diameter = Quantity(
    "tenon_diameter",
    "D_t",
    "mm",
    "diameter of the round tenon, and of the bit for its socket",
    3,
    200,
    latex="D_t",
    cut=True,
)
socket_depth = Quantity(
    "socket_depth",
    "d_s",
    "mm",
    "depth of a socket along its axis from the underside; the tenon fills it",
    1,
    300,
    latex="d_s",
    cut=True,
)
socket_ratio = Quantity(
    "socket_ratio",
    "η",
    "1",
    "depth of a socket over its diameter",
    0.01,
    30,
    latex=r"\eta",
    said="share",
)
socket_cover = Quantity(
    "socket_cover",
    "c",
    "mm",
    "wood left over a socket, plumb from the deepest point of a flat-bottomed bore to the upper "
    "face; negative where the bit comes through",
    -300,
    150,
)
edge_wood = Quantity(
    "edge_wood", "e", "mm", "wood left on the underside between a socket and the rim", -1500, 1500
)

# --- Where it stands ----------------------------------------------------------------------

leg_rise = Quantity(
    "leg_rise",
    "h",
    "mm",
    "plumb height from the level-cut feet to the underside of the top, pads not counted",
    20,
    1500,
)
leg_run = Quantity("leg_run", "u", "mm", "in plan, socket of a leg to its foot", 0.1, 2600)

# --- The same as with crossed posts, in other words ---------------------------------------

overhang = replace(
    q.overhang, meaning="rim of the top beyond the circle through the sockets' middles"
)
foot_radius = replace(
    q.foot_radius,
    meaning="radius of the circle through the points where the legs' axes meet "
    "the level cut of the feet",
)
leg_volume = Quantity(
    "leg_volume",
    "V_l",
    "mm^3",
    "volume of one leg, from the level cut of its foot to the underside of the top",
    1e3,
    4e8,
    latex="V_l",
)
base_mass = replace(q.base_mass, meaning="mass of the legs below the underside of the top")
tipping_load = replace(
    q.tipping_load,
    meaning="vertical load on the rim, midway between two feet, that lifts the others",
)

EVERY: tuple[Quantity, ...] = (
    q.table_height, q.seat_height, q.top_diameter, q.top_thickness, overhang, q.knee_clearance,
    leg_diameter, foot_diameter, leg_length, shoulder_length, leg_blank, foot_trim, leg_taper,
    leg_rake, leg_splay, leg_resultant, sight_line, sight_turn, drill_angle,
    socket_radius, socket_spread, tenon_diameter, socket_depth, socket_ratio, socket_cover,
    edge_wood, leg_rise, leg_run, q.pad_projection, foot_radius, q.foot_spread,
    q.rim_per_sitter, q.seats_by_rim, q.seats,
    q.wood_density, leg_volume, q.top_volume, q.top_mass, base_mass, q.total_mass, tipping_load,
)  # fmt: skip

_HAIR = sp.Float(1e-9)  # of a step: a size that is just met counts
EIGHTH = sp.Rational(254, 80) * q.MILLIMETRE


def sold(size: sp.Expr, step: sp.Expr) -> sp.Expr:
    """The largest bit that is no thicker than that, of those sold at such a step."""
    steps = sp.floor(size / step + _HAIR, evaluate=False)
    return step * sp.Max(steps, 1, evaluate=False)
