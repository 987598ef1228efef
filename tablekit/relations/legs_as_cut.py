"""Splayed legs that did not come out alike: where each foot lies, and how the piece stands on them.

One leg at a time in the frame of the top: the underside is z = 0, the centre line the z axis, x
through the socket of leg 1 as drawn. Then the floor through three feet. Proofs and worked figures:
`reference/derivations/legs_as_cut.md`.
"""

from __future__ import annotations

from functools import cache

import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, equal
from tablekit.relations import posts_as_cut as posts
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.leg_bench import shoulder_clear
from tablekit.relations.levelling import visible_slope
from tablekit.relations.wording import SHOP

DERIVATION = "reference/derivations/legs_as_cut.md"
Three = tuple[Quantity, Quantity, Quantity]


def _mm(name: str, letter: str, meaning: str, low: float, high: float) -> Quantity:
    return Quantity(f"{name}_as_cut", letter, "mm", meaning, low, high, latex=_latex(letter))


def _latex(letter: str) -> str:
    head, _, foot = letter.partition("_")
    return f"{head}_{{{foot}}}" if foot else head


# --- What is cut of one leg ---------------------------------------------------------------

length = _mm(
    "leg_length", "L_c", "overall length of the leg as it is, tenon included, along its axis", 20,
    3000,
)  # fmt: skip
foot_left = _mm(
    "foot_left", "a_c", "length below the level cut, along the axis, that is still to be sawn off",
    0, 1000,
)  # fmt: skip
tenon_length = _mm("tenon_length", "l_c", "tenon, from its square shoulder to its end", 1, 500)
tenon = _mm("tenon_diameter", "D_c", "diameter of the tenon", 3, 200)
depth = _mm("socket_depth", "d_c", "depth of the socket along its axis", 1, 300)
bore = _mm("socket_diameter", "B_c", "diameter of the socket", 3, 200)
radius = _mm("socket_radius", "r_c", "centre of the top to the middle of the socket", 1, 1500)
aside = Quantity(
    "socket_aside_as_cut", "s_c", "mm", "middle of the socket to the radius it was drawn on; "
    "positive on the side of the next number", -200, 200, latex="s_c",
)  # fmt: skip
lean = Quantity(
    "leg_lean_as_cut", "θ_c", "deg", "lean of the bore from plumb, as seen square to its sight "
    "line", 0, 60, latex=r"\theta_c",
)  # fmt: skip
lean_aside = Quantity(
    "lean_aside_as_cut", "δ_c", "deg", "lean of the bore from plumb, as seen along its sight line; "
    "positive where its foot goes to the side of the next number", -45, 45, latex=r"\delta_c",
)  # fmt: skip
bearing = Quantity(
    "leg_bearing", "ω_c", "deg", "in plan, from the radius of leg 1 to that of this leg", 0, 360,
    latex=r"\omega_c",
)  # fmt: skip

# --- Where its foot lies ------------------------------------------------------------------

whole_lean = Quantity(
    "whole_lean_as_cut", "Θ_c", "deg", "lean of the bore from plumb, both views together", 0, 70,
    latex=r"\Theta_c",
)  # fmt: skip
entry = _mm("tenon_entry", "e_c", "length of the tenon inside its socket", 0.5, 300)
shows = _mm("leg_shows", "S_c", "underside to the level cut of the foot, along the axis", 1, 3000)
drop = _mm("leg_drop", "h_c", "underside to the level cut of the foot, square to the top", 1, 3000)
foot_out = Quantity(
    "foot_out_as_cut", "R_c", "mm", "centre line to the foot, along the radius of its leg", -3000,
    4000, latex="R_c",
)  # fmt: skip
foot_aside = Quantity(
    "foot_aside_as_cut", "t_c", "mm", "the foot to the radius of its leg, square to it", -3000,
    3000, latex="t_c",
)  # fmt: skip
foot_x = Quantity("foot_x_as_cut", "x_c", "mm", "place of the foot along x", -4000, 4000)
foot_y = Quantity("foot_y_as_cut", "y_c", "mm", "place of the foot along y", -4000, 4000)
cover = _mm("socket_cover", "c_c", "wood left over the socket, plumb", -300, 200)
play = Quantity(
    "tenon_play_as_cut", "j_c", "mm", "clearance of the tenon in its socket", -200, 200, fine=True,
    latex="j_c",
)  # fmt: skip
OF_A_LEG: tuple[Quantity, ...] = (
    length, foot_left, tenon_length, tenon, depth, bore, radius, aside, lean, lean_aside, bearing,
    whole_lean, entry, shows, drop, foot_out, foot_aside, foot_x, foot_y, cover, play,
)  # fmt: skip


def _stated(
    name: str, equation: sp.Eq, meaning: str, why: str, heading: str, *checks: Check,
    limits: tuple[Limit, ...] = (),
) -> Relation:  # fmt: skip
    return Relation(
        name, equation, meaning, why, derived(DERIVATION, heading), limits, checks=checks
    )


def _by_hand(given: dict[str, str], expected: dict[str, str], heading: str) -> Check:
    return Check(given, expected, derived(DERIVATION, f"{heading}, by hand"))


_step, _aside_step = drop * sp.tan(lean), drop * sp.tan(lean_aside)
_turn = s.sight_turn
_shrink = s.leg_taper * sp.tan(whole_lean)

WHOLE_LEAN = _stated(
    "lean of a bore in both views",
    equal(sp.tan(whole_lean) ** 2, sp.tan(lean) ** 2 + sp.tan(lean_aside) ** 2),
    "A bore that is off in both views leans farther than either shows.",
    "As with rake and splay: two steps at right angles in plan, for each unit of height.",
    "the lean",
    _by_hand({"leg_lean_as_cut": "19 deg", "lean_aside_as_cut": "2 deg"},
             {"whole_lean_as_cut": "19.090 deg"}, "the lean"),
)  # fmt: skip
ENTRY = _stated(
    "how far a tenon goes in",
    equal(entry, sp.Min(depth, tenon_length - shoulder_clear)),
    "A tenon stops at the bottom of its socket, or where its shoulder meets the underside.",
    "Whichever comes first. A square shoulder touches while its middle is still clear.",
    "how far the tenon goes in",
    _by_hand({"socket_depth_as_cut": "31 mm", "tenon_length_as_cut": "34 mm",
              "shoulder_clear": "6 mm"}, {"tenon_entry_as_cut": "28.0 mm"},
             "how far the tenon goes in"),
)  # fmt: skip
FOOT_LEFT = _stated(
    "least left below the level cut",
    equal(foot_left * (1 + _shrink), s.foot_diameter / 2 * sp.tan(whole_lean)),
    "A foot that is still square can be cut level no lower than this.",
    "On the outer side the cut runs down by the tangent of the lean for each unit away from the "
    "axis; the saw line must go all round.",
    "the level cut",
    _by_hand({"foot_diameter": "28 mm", "leg_taper": "0", "whole_lean_as_cut": "17.784 deg"},
             {"foot_left_as_cut": "4.49 mm"}, "the level cut"),
)  # fmt: skip
SHOWS = _stated(
    "what shows of a leg",
    equal(shows, length - foot_left - entry),
    "What is neither in the socket nor sawn off.",
    "All are measured along the axis.",
    "where the foot lies",
    _by_hand({"leg_length_as_cut": "448 mm", "foot_left_as_cut": "0 mm",
              "tenon_entry_as_cut": "28 mm"}, {"leg_shows_as_cut": "420 mm"},
             "where the foot lies"),
)  # fmt: skip
DROP = _stated(
    "drop of a leg",
    equal(drop, shows * sp.cos(whole_lean)),
    "How far below the underside the foot is.",
    "The leg is the hypotenuse, the drop the side that is square to the top.",
    "where the foot lies",
    _by_hand({"leg_shows_as_cut": "420 mm", "whole_lean_as_cut": "20 deg"},
             {"leg_drop_as_cut": "394.7 mm"}, "where the foot lies"),
)  # fmt: skip
FOOT_OUT = _stated(
    "foot along its radius",
    equal(foot_out, radius + _step * sp.cos(_turn) - _aside_step * sp.sin(_turn)),
    "How far out the foot is, seen along the radius of its leg.",
    "The two steps of the leg in plan lie along and across its sight line, which is turned off "
    "the radius.",
    "where the foot lies",
    _by_hand({"socket_radius_as_cut": "110 mm", "leg_drop_as_cut": "400 mm",
              "leg_lean_as_cut": "19 deg", "lean_aside_as_cut": "2 deg", "sight_turn": "0 deg"},
             {"foot_out_as_cut": "247.7 mm"}, "where the foot lies"),
)  # fmt: skip
FOOT_ASIDE = _stated(
    "foot beside its radius",
    equal(foot_aside, aside + _step * sp.sin(_turn) + _aside_step * sp.cos(_turn)),
    "How far beside the radius of its leg the foot is.",
    "The same two steps, square to the radius, from where the socket is.",
    "where the foot lies",
    _by_hand({"socket_aside_as_cut": "3 mm", "leg_drop_as_cut": "400 mm",
              "leg_lean_as_cut": "19 deg", "lean_aside_as_cut": "2 deg", "sight_turn": "0 deg"},
             {"foot_aside_as_cut": "17.0 mm"}, "where the foot lies"),
)  # fmt: skip
FOOT_X = _stated(
    "place of a foot along x",
    equal(foot_x, foot_out * sp.cos(bearing) - foot_aside * sp.sin(bearing)),
    "The foot as seen from above, along the radius of leg 1.",
    "The radius of the leg is turned by its bearing.",
    "where the foot lies",
    _by_hand({"foot_out_as_cut": "240 mm", "foot_aside_as_cut": "10 mm",
              "leg_bearing": "120 deg"}, {"foot_x_as_cut": "-128.66 mm"}, "where the foot lies"),
)  # fmt: skip
FOOT_Y = _stated(
    "place of a foot along y",
    equal(foot_y, foot_out * sp.sin(bearing) + foot_aside * sp.cos(bearing)),
    "The foot as seen from above, square to the radius of leg 1.",
    "The radius of the leg is turned by its bearing.",
    "where the foot lies",
    _by_hand({"foot_out_as_cut": "240 mm", "foot_aside_as_cut": "10 mm",
              "leg_bearing": "120 deg"}, {"foot_y_as_cut": "202.85 mm"}, "where the foot lies"),
)  # fmt: skip
COVER = _stated(
    "wood over a socket, as cut",
    equal(cover + depth * sp.cos(whole_lean) + bore / 2 * sp.sin(whole_lean), q.top_thickness),
    "What is left between the bottom of the bore and the upper face.",
    "The axis rises by the cosine of the lean times its depth; one edge of the flat bottom stands "
    "half a diameter times the sine higher.",
    "the socket and its tenon",
    _by_hand({"top_thickness": "40 mm", "socket_depth_as_cut": "28 mm",
              "socket_diameter_as_cut": "24 mm", "whole_lean_as_cut": "17.784 deg"},
             {"socket_cover_as_cut": "9.67 mm"}, "the socket and its tenon"),
)  # fmt: skip
PLAY = _stated(
    "play of a tenon, as cut",
    equal(play, bore - tenon),
    "The difference of the two diameters; negative where the tenon is too thick.",
    "Both are round and have one axis.",
    "the socket and its tenon",
    _by_hand({"socket_diameter_as_cut": "25.1 mm", "tenon_diameter_as_cut": "24.6 mm"},
             {"tenon_play_as_cut": "0.50 mm"}, "the socket and its tenon"),
)  # fmt: skip

# --- How it stands ------------------------------------------------------------------------


def _three(name: str, letter: str, meaning: str, low: float, high: float) -> Three:
    one, two, three = (
        Quantity(f"{name}_{k}", f"{letter}{'₁₂₃'[k - 1]}", "mm", meaning.format(k), low, high,
                 latex=f"{letter}_{{{k}}}")
        for k in (1, 2, 3)
    )  # fmt: skip
    return one, two, three


bearing_x = _three("bearing_foot_x", "x", "place along x of foot {} of the three that bear",
                   -4000, 4000)  # fmt: skip
bearing_y = _three("bearing_foot_y", "y", "place along y of foot {} of the three that bear",
                   -4000, 4000)  # fmt: skip
bearing_drop = _three("bearing_drop", "h", "underside to foot {} of the three that bear", 1, 3000)
area = Quantity(
    "feet_area", "A", "mm^2", "twice the area of the triangle of the three feet", -1e8, 1e8
)
fall_x = Quantity("floor_fall_x", "g_x", "1", "how much farther below the underside the floor is "
                  "for a step along x", -3, 3, latex="g_x")  # fmt: skip
fall_y = Quantity("floor_fall_y", "g_y", "1", "how much farther below the underside the floor is "
                  "for a step along y", -3, 3, latex="g_y")  # fmt: skip
below = Quantity(
    "floor_below", "h_0", "mm", "underside to the floor, along the centre line", 1, 3000,
    latex="h_0",
)  # fmt: skip
other_x = Quantity("other_foot_x", "x_o", "mm", "place of the fourth foot along x", -4000, 4000)
other_y = Quantity("other_foot_y", "y_o", "mm", "place of the fourth foot along y", -4000, 4000)
other_drop = Quantity("other_foot_drop", "h_o", "mm", "underside to the fourth foot", 1, 3000)
rock = Quantity(
    "rock_gap", "ρ_o", "mm", "floor to the fourth foot while the other three bear", -1000, 1000,
    fine=True, latex=r"\rho_o",
)  # fmt: skip
_OWN_OF_THE_FLOOR = (*bearing_x, *bearing_y, *bearing_drop, area, fall_x, fall_y, below)
OF_THE_FLOOR: tuple[Quantity, ...] = (
    *_OWN_OF_THE_FLOOR,
    posts.tilt,
    posts.rim_drop,
    posts.slope_used,
    posts.height,
)
OF_THE_FOURTH: tuple[Quantity, ...] = (other_x, other_y, other_drop, rock)

_PLANE = "the floor under three feet"
(_x1, _x2, _x3), (_y1, _y2, _y3), (_h1, _h2, _h3) = bearing_x, bearing_y, bearing_drop
_FEET = {
    "bearing_foot_x_1": "240 mm", "bearing_foot_x_2": "-120 mm", "bearing_foot_x_3": "-120 mm",
    "bearing_foot_y_1": "0 mm", "bearing_foot_y_2": "200 mm", "bearing_foot_y_3": "-200 mm",
    "bearing_drop_1": "403.6 mm", "bearing_drop_2": "400 mm", "bearing_drop_3": "400 mm",
}  # fmt: skip
_AREA_GIVEN = {k: v for k, v in _FEET.items() if "drop" not in k}
AREA = _stated(
    "area under the feet",
    equal(area, (_x2 - _x1) * (_y3 - _y1) - (_x3 - _x1) * (_y2 - _y1)),
    "Twice the area of the triangle of the three feet, as seen from above.",
    "The cross product of two of its sides.",
    _PLANE,
    _by_hand(_AREA_GIVEN, {"feet_area": "144000 mm^2"}, _PLANE),
)
_WHY = "A plane through three points falls between them as they do; two steps settle it."
FALL_X = _stated(
    "fall of the floor along x",
    equal(fall_x * area, (_h2 - _h1) * (_y3 - _y1) - (_h3 - _h1) * (_y2 - _y1)),
    "The floor under three feet that are not equally far below the underside.",
    _WHY, _PLANE,
    _by_hand({**{k: v for k, v in _FEET.items() if "_x_" not in k}, "feet_area": "144000 mm^2"},
             {"floor_fall_x": "0.0100"}, _PLANE),
)  # fmt: skip
FALL_Y = _stated(
    "fall of the floor along y",
    equal(fall_y * area, (_x2 - _x1) * (_h3 - _h1) - (_x3 - _x1) * (_h2 - _h1)),
    "The floor under three feet that are not equally far below the underside.",
    _WHY, _PLANE,
    _by_hand({"bearing_foot_x_1": "0 mm", "bearing_foot_x_2": "-300 mm",
              "bearing_foot_x_3": "-300 mm", "bearing_drop_1": "400 mm",
              "bearing_drop_2": "402 mm", "bearing_drop_3": "398 mm", "feet_area": "120000 mm^2"},
             {"floor_fall_y": "0.0100"}, _PLANE),
)  # fmt: skip
BELOW = _stated(
    "floor below the centre",
    equal(below, _h1 - fall_x * _x1 - fall_y * _y1),
    "How far the floor is from the underside, along the centre line.",
    "From the first foot back to the centre line along the fall of the floor.",
    _PLANE,
    _by_hand({"bearing_drop_1": "403.6 mm", "bearing_foot_x_1": "240 mm",
              "bearing_foot_y_1": "0 mm", "floor_fall_x": "0.01", "floor_fall_y": "0"},
             {"floor_below": "401.2 mm"}, _PLANE),
)  # fmt: skip
TILT = _stated(
    "tilt of the top on legs, as cut",
    equal(sp.tan(posts.tilt), sp.sqrt(fall_x**2 + fall_y**2)),
    "The angle between the top and the floor.",
    "The steepest fall of a plane has the two falls as its parts; the tangent of an angle is a "
    "fall.",
    "tilt and height",
    _by_hand({"floor_fall_x": "0.006", "floor_fall_y": "0.008"}, {"top_tilt_as_cut": "0.5729 deg"},
             "tilt and height"),
)  # fmt: skip
HEIGHT = _stated(
    "height of the piece on legs, as cut",
    equal(
        posts.height, (below + q.top_thickness) * sp.cos(posts.tilt) + q.pad_projection
    ),
    "Floor to the middle of the upper face.",
    "What is measured along the centre line is less square to the floor, by the cosine of the "
    "tilt; pads are counted plumb.",
    "tilt and height",
    _by_hand({"floor_below": "401.2 mm", "top_thickness": "40 mm", "pad_projection": "3 mm",
              "top_tilt_as_cut": "5 deg"}, {"table_height_as_cut": "442.5 mm"}, "tilt and height"),
)  # fmt: skip
ROCK = _stated(
    "gap under the fourth foot",
    equal(
        rock, (below + fall_x * other_x + fall_y * other_y - other_drop) * sp.cos(posts.tilt)
    ),
    "Four legs stand on three and rock: so far is the fourth foot from the floor.",
    "The floor there, less the foot, square to the floor.",
    "rocking",
    _by_hand({"floor_below": "400 mm", "floor_fall_x": "0.01", "floor_fall_y": "0",
              "other_foot_x": "-200 mm", "other_foot_y": "0 mm", "other_foot_drop": "396 mm",
              "top_tilt_as_cut": "0.5729 deg"}, {"rock_gap": "2.00 mm"}, "rocking"),
)  # fmt: skip

arm = Quantity(
    "tipping_arm_as_cut", "a_t", "mm", "centre line to the line through two neighbouring feet",
    -4000, 4000, latex="a_t",
)  # fmt: skip
foot_off = _mm("foot_off", "Δ_f", "where the foot lies to where it was drawn, in plan", 0, 4000)
ARM = _stated(
    "tipping line, as cut",
    equal(arm * sp.sqrt((_x2 - _x1) ** 2 + (_y2 - _y1) ** 2), _x1 * _y2 - _x2 * _y1),
    "A piece tips over the line through two neighbouring feet: so far is it from the centre.",
    "The triangle of the centre and both feet has half the cross product as its area, and half "
    "its base times its height.",
    "the tipping line",
    _by_hand({"bearing_foot_x_1": "200 mm", "bearing_foot_y_1": "0 mm",
              "bearing_foot_x_2": "0 mm", "bearing_foot_y_2": "150 mm"},
             {"tipping_arm_as_cut": "120.0 mm"}, "the tipping line"),
)  # fmt: skip
FOOT_OFF = _stated(
    "foot out of place",
    equal(foot_off, sp.sqrt((_x2 - _x1) ** 2 + (_y2 - _y1) ** 2)),
    "From where a foot was drawn to where it came out, as seen from above.",
    "Pythagoras.",
    "the tipping line",
    _by_hand({"bearing_foot_x_1": "200 mm", "bearing_foot_y_1": "0 mm",
              "bearing_foot_x_2": "203 mm", "bearing_foot_y_2": "4 mm"},
             {"foot_off_as_cut": "5.00 mm"}, "the tipping line"),
)  # fmt: skip

ONE_LEG: tuple[Relation, ...] = (
    WHOLE_LEAN, ENTRY, SHOWS, DROP, FOOT_OUT, FOOT_ASIDE, FOOT_X, FOOT_Y, COVER, PLAY,
)  # fmt: skip
_OWN_FLOOR = (AREA, FALL_X, FALL_Y, BELOW, TILT, HEIGHT)
FLOOR: tuple[Relation, ...] = (*_OWN_FLOOR, posts.RIM_DROP, posts.SLOPE_USED)
QUANTITIES: tuple[Quantity, ...] = (
    *OF_A_LEG, *_OWN_OF_THE_FLOOR, *OF_THE_FOURTH, arm, foot_off
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()


def relations() -> tuple[Relation, ...]:
    """Return every relation of legs that are not alike; two of the floor are those of posts."""
    return (*ONE_LEG, FOOT_LEFT, *_OWN_FLOOR, ROCK, ARM, FOOT_OFF)


@cache
def leg_network(sawn: bool) -> Network:
    """Return the network of one leg as it is cut: its foot level, or still to be sawn."""
    more = () if sawn else (FOOT_LEFT,)
    of_the_piece = (q.top_thickness, shoulder_clear, s.sight_turn)
    drawn = () if sawn else (s.foot_diameter, s.leg_taper)
    return Network(
        name="one leg as cut", quantities=(*OF_A_LEG, *of_the_piece, *drawn),
        relations=(*ONE_LEG, *more), wording=SHOP,
    )  # fmt: skip


@cache
def floor_network(fourth: bool) -> Network:
    """Return the network of a piece on three feet, with a fourth that may be clear of the floor."""
    own, more = ((ROCK,), OF_THE_FOURTH) if fourth else ((), ())
    of_the_piece = (q.top_thickness, q.top_diameter, q.pad_projection, visible_slope)
    return Network(
        name="legs as cut on the floor", quantities=(*OF_THE_FLOOR, *more, *of_the_piece),
        relations=(*FLOOR, *own), wording=SHOP,
    )  # fmt: skip
