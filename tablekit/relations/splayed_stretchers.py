"""Stretchers between neighbouring splayed legs, all at one height: length, angle, mortises.

For whoever adds them; the strength of the legs is calculated without them. Proof, under
"stretchers": `reference/derivations/splayed_legs.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.engine.source import common_practice, derived
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.splayed import DERIVATION

stretcher_height = Quantity(
    "stretcher_height", "h_z", "mm", "level-cut feet to the middle of the stretchers, if there are "
    "any", 5, 1500, latex="h_z",
)  # fmt: skip
stretcher_radius = Quantity(
    "stretcher_radius", "r_z", "mm", "in plan, centre line to the axis of a leg at the height of "
    "the stretchers", 1, 3000, latex="r_z",
)  # fmt: skip
stretcher_angle = Quantity(
    "stretcher_angle", "ψ_z", "deg", "angle between a stretcher and the axis of a leg, on its "
    "upper side", 20, 90, latex=r"\psi_z",
)  # fmt: skip
leg_at_stretcher = Quantity(
    "leg_at_stretcher", "D_z", "mm", "diameter of a leg, square to its axis, where its stretchers "
    "meet it", 5, 200, latex="D_z",
)  # fmt: skip
stretcher_length = Quantity(
    "stretcher_length", "l_z", "mm", "length of a stretcher between its shoulders, along its axis",
    1, 3000, latex="l_z",
)  # fmt: skip
stretcher_turn = Quantity(
    "stretcher_turn", "ω_z", "deg", "angle between the two mortises of a leg, seen along the leg",
    20, 180, latex=r"\omega_z",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    stretcher_height, stretcher_radius, stretcher_angle, leg_at_stretcher, stretcher_length,
    stretcher_turn,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_theta, _rise, _high = s.leg_resultant, s.leg_rise, stretcher_height
_STRETCHERS = derived(DERIVATION, "stretchers")
_LEAN = {"leg_resultant": "18 deg", "sight_turn": "0 deg"}
# Only legs that lean straight out meet both ends of a stretcher alike; rounding is let pass.
_STRAIGHT = Limit(
    sp.Float(1e-6) - s.sight_turn, "the legs lean straight out", otherwise="leave out"
)

RADIUS = Relation(
    name="axis of a leg at the height of the stretchers",
    equation=equal(
        (stretcher_radius * _rise) ** 2,
        (_rise - _high) * (_rise * q.foot_radius**2 - _high * s.leg_run**2)
        + _high * _rise * s.socket_radius**2,
    ),
    meaning="A leg comes nearer to the centre line the higher up it is.",
    why="Foot, socket and that point lie on one line in plan, at distances that are as the "
    "heights; Stewart's theorem gives its distance from the centre.",
    source=_STRETCHERS,
    limits=(Limit(_rise - _high, "the stretchers are below the top"),),
    checks=(
        Check(
            {"leg_rise": "300 mm", "stretcher_height": "100 mm", "foot_radius": "200 mm",
             "socket_radius": "110 mm", "leg_run": "90 mm"},
            {"stretcher_radius": "170.0 mm"},
            derived(DERIVATION, "stretchers: a third of the way from 200 to 110"),
        ),
    ),
)  # fmt: skip
LEG_THERE = Relation(
    name="thickness of a leg at its stretchers",
    equation=equal(
        leg_at_stretcher * _rise, s.foot_diameter * (_rise - _high) + s.leg_diameter * _high
    ),
    meaning="A leg grows evenly thicker from its foot to the top.",
    why="The share of the height is that of the length along the leg.",
    source=_STRETCHERS,
    checks=(
        Check(
            {"leg_rise": "300 mm", "stretcher_height": "100 mm", "foot_diameter": "30 mm",
             "leg_diameter": "45 mm"},
            {"leg_at_stretcher": "35.0 mm"}, _STRETCHERS,
        ),
    ),
)  # fmt: skip


def _along(count: int) -> sp.Expr:
    """The square of the cosine of the angle between a stretcher and a leg."""
    return (sp.sin(_theta) * sp.sin(sp.pi / count)) ** 2


def angle(count: int) -> Relation:
    """Return the angle at which a stretcher meets three or four legs."""
    return Relation(
        name="angle between stretcher and leg",
        equation=equal(sp.cos(stretcher_angle), sp.sin(_theta) * sp.sin(sp.pi / count)),
        meaning="Set a bevel gauge to it: the stretcher leaves the leg by this angle on its upper "
        "side.",
        why="A leg leans toward the centre line on its way up by the sine of its lean, and a "
        "stretcher turns from the radius by half the angle between neighbours.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,),
        checks=(
            Check(_LEAN, {"stretcher_angle": {3: "74.48 deg", 4: "77.38 deg"}[count]},
                  derived(DERIVATION, "stretchers, by hand")),
        ),
    )  # fmt: skip


def length(count: int) -> Relation:
    """Return the length of a stretcher between its shoulders, on three or four legs."""
    return Relation(
        name="length of a stretcher",
        equation=equal(
            stretcher_length + leg_at_stretcher / sp.sqrt(1 - _along(count)),
            2 * sp.sin(sp.pi / count) * stretcher_radius,
        ),
        meaning="From axis to axis, less half of each leg.",
        why="The chord between neighbouring axes. A stretcher crosses half of a leg in its radius "
        "over the sine of the angle between them. The taper of the legs is left out: it takes off "
        "a few tenths of a millimetre.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,),
        checks=(
            Check(
                {"leg_at_stretcher": "35 mm", "stretcher_radius": "170 mm", **_LEAN},
                {"stretcher_length": {3: "258.1 mm", 4: "204.5 mm"}[count]},
                derived(DERIVATION, "stretchers, by hand"),
            ),
        ),
    )  # fmt: skip


def turn(count: int) -> Relation:
    """Return how far the two mortises of a leg are turned from one another round it."""
    corner = sp.cos(2 * sp.pi / count)
    return Relation(
        name="angle between the mortises of a leg",
        equation=equal(
            sp.cos(stretcher_turn) * (1 - _along(count)), -corner - _along(count)
        ),
        meaning="Turn the leg by it in its cradle from one mortise to the other.",
        why="Level, the two stretchers of a leg enclose the corner of the figure that they make. "
        "Seen along the leaning leg it opens a little.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,),
        checks=(
            Check(_LEAN, {"stretcher_turn": {3: "62.52 deg", 4: "92.87 deg"}[count]},
                  derived(DERIVATION, "stretchers, by hand")),
        ),
    )  # fmt: skip


def relations(count: int) -> tuple[Relation, ...]:
    """Return the relations of stretchers between three or four legs."""
    return (RADIUS, LEG_THERE, angle(count), length(count), turn(count))


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        stretcher_height, _rise / 3,
        "Low enough to hold the legs, high enough to be out of the way. Bore the legs before they "
        "go in, by bevel and cradle; or fit the legs dry, sight from leg to leg, and take the "
        "length off the piece.",
        common_practice("a third of the way up"),
        first_to=("stretcher_radius", "stretcher_length", "leg_at_stretcher"),
        usual_share=(0.2, 2.5),
    ),
)  # fmt: skip
REQUIREMENTS: tuple[Requirement, ...] = ()
