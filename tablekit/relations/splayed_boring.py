"""Boring the sockets of splayed legs: by two bevels, on a drill press, through a guide block.

By one bevel along the sight line: `tablekit/relations/splayed.py`. Proofs, under "drilling" and
"how deep the bit goes": `reference/derivations/splayed_legs.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.splayed import DERIVATION

side_bevel = Quantity(
    "side_bevel", "φ_α", "deg", "angle between the bit and the underside of the top, as seen "
    "square to the rake axis", 30, 90, latex=r"\varphi_\alpha",
)  # fmt: skip
front_bevel = Quantity(
    "front_bevel", "φ_β", "deg", "angle between the bit and the underside of the top, as seen "
    "along the rake axis", 30, 90, latex=r"\varphi_\beta",
)  # fmt: skip
press_tilt = Quantity(
    "press_tilt", "ω", "deg", "tilt of a drill press's table along the rake axis, the top lying on "
    "a wedge that is cut to the splay", 0, 60, latex=r"\omega",
)  # fmt: skip
guide_length = Quantity(
    "guide_length", "l_g", "mm", "length of the hole in the guide block, along its axis", 5, 500,
    latex="l_g",
)  # fmt: skip
guide_wall = Quantity(
    "guide_wall", "w_g", "mm", "wood round the hole in the guide block", 2, 100, latex="w_g"
)
guide_width = Quantity(
    "guide_width", "b_g", "mm", "width and thickness of the square guide block", 8, 400,
    latex="b_g",
)  # fmt: skip
guide_base = Quantity(
    "guide_base", "B_g", "mm", "length of the slanted base of the guide block, along the sight "
    "line", 8, 800, latex="B_g",
)  # fmt: skip
guide_blank = Quantity(
    "guide_blank", "L_g", "mm", "longest edge of the guide block, from its square end to the toe "
    "of its base", 8, 1500, latex="L_g", least=True,
)  # fmt: skip
bit_stop = Quantity(
    "bit_stop", "l_s", "mm", "cutting edges of the bit to a depth stop that meets the square end "
    "of the guide block", 6, 800, latex="l_s",
)  # fmt: skip
bit_point = Quantity(
    "bit_point", "l_p", "mm", "how far the point of the bit goes beyond its cutting edges", 0, 40,
    latex="l_p",
)  # fmt: skip
point_cover = Quantity(
    "point_cover", "c_p", "mm", "wood left over the point of the bit, plumb to the upper face; "
    "negative where it comes through", -300, 150, latex="c_p",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    side_bevel, front_bevel, press_tilt, guide_length, guide_wall, guide_width, guide_base,
    guide_blank, bit_stop, bit_point, point_cover,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_theta, _deep, _tenon = s.leg_resultant, s.socket_depth, s.tenon_diameter
_DRILLING = derived(DERIVATION, "drilling")
_DEPTH = derived(DERIVATION, "how deep the bit goes")


def _bevel(which: str, found: Quantity, lean: Quantity, angle: str, view: str) -> Relation:
    return Relation(
        name=f"bevel seen from the {which}",
        equation=equal(found + lean, sp.pi / 2),
        meaning=f"The setting of a bevel gauge that stands on the underside {view}.",
        why="The underside is level and square to plumb, from which the leg appears to lean by "
        f"{lean.letter} in this view.",
        source=_DRILLING,
        checks=(
            Check({lean.name: angle}, {found.name: f"{90 - int(angle.split()[0])}.0 deg"},
                  _DRILLING),
        ),
    )  # fmt: skip


SIDE_BEVEL = _bevel("side", side_bevel, s.leg_rake, "10 deg", "along the rake axis")
FRONT_BEVEL = _bevel("front", front_bevel, s.leg_splay, "15 deg", "across the rake axis")
PRESS_TILT = Relation(
    name="tilt of a drill press's table",
    equation=equal(sp.tan(press_tilt), sp.tan(s.leg_rake) * sp.cos(s.leg_splay)),
    meaning="A table that tilts one way only bores any leg: put a wedge cut to the splay under the "
    "top, and tilt the table a little less than the rake.",
    why="The wedge turns the leg until it leans along the rake axis alone. What was 1 high and "
    "tan β to the side is then 1/cos β high, and tan α along the rake axis as before. Where the "
    "sight line is laid along the tilt, no wedge is needed and the table tilts by the lean.",
    source=_DRILLING,
    checks=(
        Check(
            {"leg_rake": "10 deg", "leg_splay": "15 deg"}, {"press_tilt": "9.666 deg"},
            derived(DERIVATION, "drilling, by hand: 0.17633 times 0.96593"),
        ),
    ),
)  # fmt: skip
GUIDE_WIDTH = Relation(
    name="width of the guide block",
    equation=equal(guide_width, _tenon + 2 * guide_wall),
    meaning="The hole with wood all round it.",
    why="The hole is bored first, square through the middle of the square block.",
    source=_DRILLING,
    checks=(
        Check({"tenon_diameter": "30 mm", "guide_wall": "15 mm"}, {"guide_width": "60.0 mm"},
              _DRILLING),
    ),
)  # fmt: skip
GUIDE_BASE = Relation(
    name="base of the guide block",
    equation=equal(guide_base * sp.cos(_theta), guide_width),
    meaning="The base is sawn off the bored block out of square by the lean.",
    why="A slanted cut through a square block is longer by 1/cos θ.",
    source=_DRILLING,
    checks=(
        Check({"guide_width": "60 mm", "leg_resultant": "18 deg"}, {"guide_base": "63.1 mm"},
              _DRILLING),
    ),
)  # fmt: skip
GUIDE_BLANK = Relation(
    name="longest edge of the guide block",
    equation=equal(guide_blank, guide_length + guide_width / 2 * sp.tan(_theta)),
    meaning="The block before its base is sawn is at least this long.",
    why="From the middle of the hole to the toe the base runs down by tan θ.",
    source=_DRILLING,
    checks=(
        Check(
            {"guide_length": "60 mm", "guide_width": "60 mm", "leg_resultant": "18 deg"},
            {"guide_blank": "69.75 mm"}, _DRILLING,
        ),
    ),
)  # fmt: skip
BIT_STOP = Relation(
    name="depth stop on the bit",
    equation=equal(bit_stop, guide_length + _deep),
    meaning="The stop meets the square end of the guide block when the edges of the bit are at the "
    "bottom of the socket.",
    why="The bit goes through the hole of the block and then into the top, both along one axis.",
    source=_DEPTH,
    checks=(
        Check({"guide_length": "60 mm", "socket_depth": "31.5 mm"}, {"bit_stop": "91.5 mm"},
              _DEPTH),
    ),
)  # fmt: skip
POINT_COVER = Relation(
    name="wood over the point of the bit",
    equation=equal(point_cover + (_deep + bit_point) * sp.cos(_theta), q.top_thickness),
    meaning="The point goes deeper than the edges of the bit.",
    why="It lies on the axis of the socket, which climbs by cos θ for each unit.",
    source=_DEPTH,
    checks=(
        Check(
            {"top_thickness": "45 mm", "socket_depth": "31.5 mm", "bit_point": "3 mm",
             "leg_resultant": "18 deg"},
            {"point_cover": "12.19 mm"}, derived(DERIVATION, "how deep the bit goes, by hand"),
        ),
    ),
)  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Return the relations of boring the sockets."""
    return (
        SIDE_BEVEL, FRONT_BEVEL, PRESS_TILT, GUIDE_WIDTH, GUIDE_BASE, GUIDE_BLANK, BIT_STOP,
        POINT_COVER,
    )  # fmt: skip


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        guide_length, 2 * _tenon, "Long enough to keep the bit true.",
        common_practice("twice the diameter"), first_to=("bit_stop", "guide_blank"),
        usual_share=(0.5, 4),
    ),
    assume(
        guide_wall, sp.Rational(15, 1000), "The block does not split and can be clamped.",
        common_practice(), first_to=("guide_width", "guide_base"), usual=(5, 50),
    ),
    assume(
        bit_point, sp.Rational(3, 1000),
        "The short point of a bit with a flat bottom. The lead screw of an auger goes about 12 mm "
        "deeper: measure yours.",
        common_practice(), first_to=("point_cover",), usual=(0, 30),
    ),
)  # fmt: skip

POINT = Requirement(
    id="point_cover",
    name="wood over the point of the bit",
    quantity="point_cover",
    source=common_practice("2 mm"),
    good=(2, None),
    tolerable=(None, None),
    too_low="The point of the bit comes through the upper face or nearly so. That is right only "
    "for a through tenon that is wedged.",
    mend_low="Bore with a shorter point (bit_point) or less deep; right through only into waste "
    "wood clamped to the upper face.",
    fine="The point stops short of the upper face. Set a depth stop and try it in scrap: with a "
    "guide block, {bit_stop} from the edges of the bit to the stop. Clamp top and block, and keep "
    "your hands out from under the top while the bit turns.",
)
REQUIREMENTS: tuple[Requirement, ...] = (POINT,)
