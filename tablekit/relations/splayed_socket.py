"""Tenons of splayed legs and the wood of their sockets: bending, shear, pressure, what holds.

`reference/derivations/splayed_legs.md` derives every formula under "what a socket bears".
"""

from __future__ import annotations

from dataclasses import replace

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived, quoted
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations import strength as wood
from tablekit.relations.mass import specific_gravity
from tablekit.relations.post_load import foot_force, smaller
from tablekit.relations.splayed_load import DERIVATION, UNHELD, held_share, leg_moment, thrust
from tablekit.relations.strength import rim_load

tenon_strength_used = Quantity(
    "tenon_strength_used", "u_T", "1", "share of the tenon's design strength used at the shoulder, "
    "in bending and thrust together", 0, 1e6, latex="u_T", said="share",
)  # fmt: skip
slip_strength_used = Quantity(
    "slip_strength_used", "u_g", "1", "share of the tenon's strength used at the shoulder under a "
    "short load, on a floor so slippery that nothing holds the feet", 0, 1e6, latex="u_g",
    said="share",
)  # fmt: skip
tenon_cross_force = Quantity(
    "tenon_cross_force", "V_x", "N", "largest force across the tenon within its socket", 0, 1e6,
    latex="V_x",
)  # fmt: skip
tenon_shear_used = Quantity(
    "tenon_shear_used", "u_v", "1", "share of the tenon's design shear strength used", 0, 1e6,
    latex="u_v", said="share",
)  # fmt: skip
socket_pressure = Quantity(
    "socket_pressure", "p_s", "MPa", "pressure of the levering tenon on the wall of its socket",
    0, 1e6, latex="p_s",
)  # fmt: skip
socket_bearing = Quantity(
    "socket_bearing", "f_s", "MPa", "pressure across the grain at which wood yields to a round "
    "peg, on average", 0.1, 200, latex="f_s",
)  # fmt: skip
socket_bearing_used = Quantity(
    "socket_bearing_used", "u_p", "1", "share of the design pressure used between tenon and socket",
    0, 1e6, latex="u_p", said="share",
)  # fmt: skip
floor_strength_used = Quantity(
    "floor_strength_used", "u_c", "1", "share of the design shear strength used in the wood over "
    "a socket, if the tenon bears on the bottom of its socket alone", 0, 1e6, latex="u_c",
    said="share",
)  # fmt: skip
withdrawal_used = Quantity(
    "withdrawal_used", "u_z", "1", "share of the design strength of the glued wood round a tenon "
    "that a pull along the leg uses", 0, 1e6, latex="u_z", said="share",
)  # fmt: skip
rim_shear_used = Quantity(
    "rim_shear_used", "u_e", "1", "share of the design shear strength used in the short grain "
    "between a socket and the rim", 0, 1e6, latex="u_e", said="share",
)  # fmt: skip
split_strength_used = Quantity(
    "split_strength_used", "u_x", "1", "share of the top's design strength across the grain that a "
    "levering tenon uses beside its socket", 0, 1e6, latex="u_x", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    tenon_strength_used, slip_strength_used, tenon_cross_force, tenon_shear_used, socket_pressure,
    socket_bearing, socket_bearing_used, floor_strength_used, withdrawal_used, rim_shear_used,
    split_strength_used,
)  # fmt: skip

PEG_BEARING = Constant(
    "peg_bearing", "f_p", 212.0, "MPa",
    "pressure across the grain at which wood of specific gravity 1 yields to a peg 1 mm thick",
    quoted("National Design Specification for wood", "dowel bearing strength across the grain, "
           "6100 G^1.45/√D in psi and inches, as a page of formulas quotes it"),
    latex="f_p",
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = (PEG_BEARING,)
ASSUMPTIONS: tuple[Assumption, ...] = ()

_theta, _below = s.leg_resultant, s.shoulder_length
_tenon, _deep, _moment = s.tenon_diameter, s.socket_depth, leg_moment
_factor = wood.strength_factor
_share = _deep / _below
_SHAVING = q.MILLIMETRE / 10  # thinner wood holds nothing
_BEARS = derived(DERIVATION, "what a socket bears")
_HAND = derived(DERIVATION, "what a socket bears, worked by hand")
_LEG = {"leg_moment": "33.6 N*m", "shoulder_length": "349.1 mm", "tenon_diameter": "30 mm",
        "socket_depth": "31.5 mm", "strength_factor": "2.652"}  # fmt: skip


def _of(*names: str, **more: str) -> dict[str, str]:
    return {name: _LEG[name] for name in names} | more


# --- The tenon ---------------------------------------------------------------------------------

TENON_STRENGTH_USED = Relation(
    name="strength used in the tenon",
    equation=equal(
        tenon_strength_used,
        _factor
        * (
            32 * _moment / (sp.pi * _tenon**3 * wood.bending_strength)
            + 4 * thrust / (sp.pi * _tenon**2 * wood.compression_along)
        ),
    ),
    meaning="The tenon bears at the shoulder all that bends the leg there.",
    why="The shoulder of a leaning leg meets a flat underside along one edge only, so it is not "
    "relied on.",
    source=_BEARS,
    checks=(
        Check(
            _of("leg_moment", "tenon_diameter", "strength_factor", foot_force="808.6 N",
                leg_resultant="18 deg", foot_friction="0.2", bending_strength="95 MPa",
                compression_along="48 MPa"),
            {"tenon_strength_used": "0.418"}, _HAND,
        ),
    ),
)  # fmt: skip


def _slip(kept: sp.Expr) -> sp.Eq:
    """On a floor that holds no foot; `kept` of the bending is left to the leg."""
    return equal(
        slip_strength_used,
        _factor / wood.duration_factor * foot_force
        * (
            32 * s.leg_run * kept / (sp.pi * _tenon**3 * wood.bending_strength)
            + 4 * sp.cos(_theta) / (sp.pi * _tenon**2 * wood.compression_along)
        ),
    )  # fmt: skip


SLIP_STRENGTH_USED = Relation(
    name="strength used in the tenon on a slippery floor",
    equation=_slip(sp.Integer(1)),
    meaning="Where nothing holds the feet, the legs alone keep them from spreading.",
    why="The force on the foot then has all of the run as its arm. Nobody stays on a stool that "
    "slides apart, so the duration factor is left out.",
    source=_BEARS,
    checks=(
        Check(
            _of("tenon_diameter", "strength_factor", duration_factor="1.3", foot_force="808.6 N",
                leg_run="107.9 mm", leg_resultant="18 deg", bending_strength="95 MPa",
                compression_along="48 MPa"),
            {"slip_strength_used": "0.753"}, _HAND,
        ),
    ),
)  # fmt: skip


def slipping(held: bool) -> Relation:
    """Return the same, with stretchers that hold the legs or without."""
    if not held:
        return SLIP_STRENGTH_USED
    return replace(
        SLIP_STRENGTH_USED,
        equation=_slip(held_share(True)),
        meaning="Where nothing holds the feet, legs and stretchers keep them from spreading.",
        checks=tuple(replace(one, given={**one.given, **UNHELD})
                     for one in SLIP_STRENGTH_USED.checks),
    )  # fmt: skip


CROSS_FORCE = Relation(
    name="force across the tenon",
    equation=equal(
        tenon_cross_force,
        _moment
        * (
            3 / (2 * _deep) + 1 / (4 * _below)
            + _deep / (12 * _below * (2 * _below + _deep))
        ),
    ),
    meaning="The walls of a short socket press hard on the tenon, one way at the mouth and the "
    "other way at the bottom, and shear it between.",
    why="A stubby tenon stays straight, so the pressure changes evenly along it. Its sum is the "
    "force at the foot, its moment that of the leg; the shear is greatest where the pressure "
    "changes sides.",
    source=_BEARS,
    checks=(
        Check(_of("leg_moment", "shoulder_length", "socket_depth"),
              {"tenon_cross_force": "1624 N"}, _HAND),
    ),
)  # fmt: skip
TENON_SHEAR_USED = Relation(
    name="shear strength used in the tenon",
    equation=equal(
        tenon_shear_used,
        _factor * sp.Rational(16, 3) * tenon_cross_force
        / (sp.pi * _tenon**2 * wood.shear_strength),
    ),
    meaning="The tenon may shear along its grain, down the middle.",
    why="In a round section the shear stress at the middle is a third more than the average.",
    source=_BEARS,
    checks=(
        Check(
            _of("tenon_diameter", "strength_factor", tenon_cross_force="1624.4 N",
                shear_strength="12 MPa"),
            {"tenon_shear_used": "0.677"}, _HAND,
        ),
    ),
)  # fmt: skip

# --- The socket --------------------------------------------------------------------------------

SOCKET_PRESSURE = Relation(
    name="pressure in the socket",
    equation=equal(
        socket_pressure * _tenon * _deep**2,
        _moment * (2 + _share + sp.sqrt((2 + _share) ** 2 + _share**2)),
    ),
    meaning="A tenon that levers presses on one wall near the mouth and on the other near the "
    "bottom.",
    why="Where wood yields to a peg the pressure evens out, as in the design of bolted joints. "
    "Twice the depth halves the arm and doubles the wood: a quarter of the pressure.",
    source=_BEARS,
    checks=(
        Check(_of("leg_moment", "shoulder_length", "tenon_diameter", "socket_depth"),
              {"socket_pressure": "4.72 MPa"}, _HAND),
    ),
)  # fmt: skip
SOCKET_BEARING = Relation(
    name="bearing strength under a peg",
    equation=equal(
        socket_bearing * sp.sqrt(_tenon / q.MILLIMETRE),
        PEG_BEARING * specific_gravity ** sp.Rational(29, 20),
    ),
    meaning="Dense wood bears more under a peg, and a thin peg is borne better than a thick one.",
    why="Fitted to tests of bolts in wood, up to 25 mm thick. It is taken across the grain: "
    "whichever way the top's grain runs, the tenon itself is pressed across its own.",
    source=PEG_BEARING.source,
    checks=(
        Check(
            {"specific_gravity": "0.5536", "tenon_diameter": "30 mm"},
            {"socket_bearing": "16.4 MPa"},
            quoted("National Design Specification for wood", "6100 · 0.5536^1.45/√(30/25.4) psi"),
        ),
    ),
)  # fmt: skip
BEARING_USED = Relation(
    name="bearing strength used in the socket",
    equation=equal(socket_bearing_used * socket_bearing, _factor * socket_pressure),
    meaning="Beyond 1 the tenon crushes itself or its socket a little at every load, and works "
    "loose.",
    why="The strength factor reduces the average, as for every other strength.",
    source=_BEARS,
    checks=(
        Check(
            _of("strength_factor", socket_pressure="4.721 MPa", socket_bearing="16.42 MPa"),
            {"socket_bearing_used": "0.762"}, _HAND,
        ),
    ),
)  # fmt: skip
FLOOR_STRENGTH_USED = Relation(
    name="shear strength used in the floor of a socket",
    equation=equal(
        floor_strength_used * sp.pi * _tenon * s.socket_cover * wood.shear_strength,
        2 * _factor * foot_force * sp.cos(_theta),
    ),
    meaning="A leg that bears on the bottom of its socket alone may punch through the top.",
    why="The wood shears round the tenon. Of the ring only the half with end grain is counted: "
    "along the other half wood rolls off at a quarter of the force.",
    source=_BEARS,
    limits=(
        Limit(s.socket_cover - _SHAVING, "there is wood over the socket", otherwise="leave out"),
    ),
    checks=(
        Check(
            _of("tenon_diameter", "strength_factor", foot_force="808.6 N", leg_resultant="18 deg",
                socket_cover="10.4 mm", shear_strength="12 MPa"),
            {"floor_strength_used": "0.347"}, _HAND,
        ),
    ),
)  # fmt: skip
WITHDRAWAL_USED = Relation(
    name="strength used by a pull along a leg",
    equation=equal(
        withdrawal_used * sp.pi * _tenon * _deep * wood.shear_strength,
        2 * _factor * rim_load,
    ),
    meaning="Someone pulls at one leg as hard as at the rim.",
    why="The floor cannot pull a leg: a foot that sway unloads lifts off. Glue holds on the two "
    "sides of the socket with long grain, half of its wall; on end grain it is not relied on.",
    source=_BEARS,
    checks=(
        Check(
            _of("tenon_diameter", "socket_depth", "strength_factor", rim_load="400 N",
                shear_strength="12 MPa"),
            {"withdrawal_used": "0.0596"}, _HAND,
        ),
    ),
)  # fmt: skip
RIM_SHEAR_USED = Relation(
    name="shear strength used outside a socket",
    equation=equal(
        rim_shear_used * s.edge_wood * _deep * wood.shear_strength,
        _factor * (tenon_cross_force + _moment / _below),
    ),
    meaning="The levering tenon pushes the wood outside its mouth towards the rim.",
    why="Where the grain runs out to the rim, that wood is short grain: a plug may shear out along "
    "two planes, of which only the upper half of the depth is pressed.",
    source=_BEARS,
    limits=(
        Limit(s.edge_wood - _SHAVING, "there is wood outside the socket", otherwise="leave out"),
    ),
    checks=(
        Check(
            _of("leg_moment", "shoulder_length", "socket_depth", "strength_factor",
                tenon_cross_force="1624.4 N", edge_wood="34.2 mm", shear_strength="12 MPa"),
            {"rim_shear_used": "0.353"}, _HAND,
        ),
    ),
)  # fmt: skip
_chord = 2 * sp.sqrt(q.top_diameter**2 / 4 - s.socket_radius**2) - _tenon
SPLIT_STRENGTH_USED = Relation(
    name="strength used beside a socket",
    equation=equal(
        split_strength_used * q.top_thickness**2 * wood.tension_across
        * smaller(_chord, 4 * q.top_thickness),
        6 * _factor * _moment,
    ),
    meaning="A leg that leans across the grain of the top bends it where the socket weakens it, "
    "and may split it along the grain.",
    why="On either side of the socket, wood as wide as two thicknesses of the top helps, or what "
    "there is to the rim.",
    source=_BEARS,
    limits=(
        Limit(q.top_diameter / 2 - s.socket_radius - _tenon / 2,
              "there is wood outside the sockets", otherwise="leave out"),
    ),
    checks=(
        Check(
            _of("leg_moment", "tenon_diameter", "strength_factor", top_diameter="900 mm",
                socket_radius="300 mm", top_thickness="45 mm", tension_across="5 MPa"),
            {"split_strength_used": "0.293"}, _HAND,
        ),
        Check(
            _of("leg_moment", "tenon_diameter", "strength_factor", top_diameter="240 mm",
                socket_radius="72 mm", top_thickness="45 mm", tension_across="5 MPa"),
            {"split_strength_used": "0.326"}, _HAND,
        ),
    ),
)  # fmt: skip


def relations(held: bool = False) -> tuple[Relation, ...]:
    """Return the relations of tenons and sockets under load, with stretchers that hold the legs or
    without."""
    return (
        TENON_STRENGTH_USED, slipping(held), CROSS_FORCE, TENON_SHEAR_USED, SOCKET_PRESSURE,
        SOCKET_BEARING, BEARING_USED, FLOOR_STRENGTH_USED, WITHDRAWAL_USED, RIM_SHEAR_USED,
        SPLIT_STRENGTH_USED,
    )  # fmt: skip


_OWN = derived(DERIVATION, "what a socket bears; limits are our own choice")
_FIRMER = "Use a thicker tenon, stand the legs steeper, or join them with stretchers."
TENON = Requirement(
    id="tenon_strength", name="strength of the tenons", quantity="tenon_strength_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1.4),
    too_high="Under the loads given, a tenon may break off at its shoulder.",
    mend_high=_FIRMER,
    fine="The tenons stay within the design strength of the wood, as long as their grain runs "
    "straight through from the leg.",
)  # fmt: skip
SLIPPERY = Requirement(
    id="slippery_floor", name="tenons on a slippery floor", quantity="slip_strength_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1.5),
    too_high="On a wet or waxed floor the feet spread under the load, and a tenon may break.",
    mend_high=_FIRMER,
    care="Use pads that grip.",
    fine="The tenons hold even where the feet slide freely.",
)  # fmt: skip
TENON_SHEAR = Requirement(
    id="tenon_shear", name="shear in the tenons", quantity="tenon_shear_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1.4),
    too_high="A tenon may split down its middle within the socket.",
    mend_high="Let the tenons in deeper or make them thicker.",
    fine="The tenons are long enough for what levers at them.",
)  # fmt: skip
PRESSED = Requirement(
    id="socket_pressure", name="pressure in the sockets", quantity="socket_bearing_used",
    source=_OWN, good=(None, 1), tolerable=(None, 2),
    too_high="Tenon and socket crush each other a little at every load, and the leg works loose.",
    mend_high="Let the tenons in deeper, best right through the top and wedged; a thicker top "
    "helps, and stretchers help most.",
    fine="The tenons do not crush their sockets, so they stay tight as long as the glue holds.",
)  # fmt: skip
FLOOR = Requirement(
    id="socket_floor", name="floor of the sockets", quantity="floor_strength_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1),
    too_high="If neither glue nor shoulder holds, the leg may punch through the top.",
    mend_high="Leave more wood over the sockets, and cut a shoulder that meets the underside.",
    fine="The wood over a socket holds the leg even without glue and shoulder.",
)  # fmt: skip
PULLED = Requirement(
    id="tenon_pull", name="pull on a leg", quantity="withdrawal_used",
    source=_OWN, good=(None, 0.5), tolerable=(None, 1),
    too_high="A pull may draw a leg out of its socket.",
    mend_high="Let the tenons in deeper.",
    fine="Sound glue holds the tenons against a pull; a dry joint holds nothing.",
)  # fmt: skip
SHORT_GRAIN = Requirement(
    id="rim_shear", name="short grain outside the sockets", quantity="rim_shear_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1.4),
    too_high="Where the grain runs out to the rim, the wood outside a socket may shear off.",
    mend_high="Make the circle of the sockets smaller or the tenons deeper.",
    fine="The wood outside the sockets holds where the grain runs out to the rim.",
)  # fmt: skip
SPLIT = Requirement(
    id="socket_split", name="splitting at the sockets", quantity="split_strength_used",
    source=_OWN, good=(None, 1), tolerable=(None, 1.4),
    too_high="A leg that leans across the grain may split the top at its socket.",
    mend_high="Make the top thicker, or choose a wood that is stronger across the grain.",
    care="Turn the top so that no glue joint runs through a socket.",
    fine="The top holds where a leg leans across its grain. Wedge a tenon only with the wedge "
    "across the grain of the top: along it, it splits the top.",
)  # fmt: skip
REQUIREMENTS: tuple[Requirement, ...] = (
    TENON, SLIPPERY, TENON_SHEAR, PRESSED, FLOOR, PULLED, SHORT_GRAIN, SPLIT,
)  # fmt: skip
