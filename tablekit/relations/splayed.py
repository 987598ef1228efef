"""Splayed legs: straight round legs, three or four, let into the underside of a round top.

Every leg stands as its neighbour does, turned about the plumb centre line by a third or a quarter
of a circle. Set-up and proofs: `reference/derivations/splayed_legs.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s

DERIVATION = "reference/derivations/splayed_legs.md"
COMPOUND = derived(
    DERIVATION,
    "resultant and sight line; as in Machinery's Handbook, 31st edition, page 121, formulas for "
    "compound angles, figure 6",
)
WORKED = derived(DERIVATION, "a leg of 10° and 15°, worked by hand and by vectors")

_rake, _splay = s.leg_rake, s.leg_splay
_lean, _sight = s.leg_resultant, s.sight_line
_rise, _run, _below = s.leg_rise, s.leg_run, s.shoulder_length
_thick, _thin = s.leg_diameter, s.foot_diameter
_tenon, _depth = s.tenon_diameter, s.socket_depth
_shrink = s.leg_taper * sp.tan(_lean)
# The last bits of a float must not rule out a leg that leans in one view only.
_HAIR = sp.Float(1e-9)

# --- How a leg leans ----------------------------------------------------------------------


def _other(view: sp.Expr) -> sp.Expr:
    """The lean in the other view; 0 where this view shows the whole of it."""
    return sp.atan(sp.sqrt(sp.Max(0, sp.tan(_lean) ** 2 - sp.tan(view) ** 2)))


RESULTANT = Relation(
    name="resultant lean",
    equation=equal(sp.tan(_lean) ** 2, sp.tan(_rake) ** 2 + sp.tan(_splay) ** 2),
    meaning="Rake and splay combine into one lean.",
    why="Over one unit of height the foot moves tan α in one view and tan β in the other, at "
    "right angles in plan; Pythagoras combines the two steps.",
    source=derived(DERIVATION, "resultant and sight line"),
    limits=(
        Limit(_lean - _rake + _HAIR, "a leg leans at least as far as it appears to from the side"),
        Limit(
            _lean - _splay + _HAIR, "a leg leans at least as far as it appears to from the front"
        ),
    ),
    inverse={"leg_rake": _other(_splay), "leg_splay": _other(_rake)},
    checks=(
        Check(
            {"leg_rake": "10 deg", "leg_splay": "15 deg"}, {"leg_resultant": "17.784 deg"}, WORKED
        ),
    ),
)

SIGHT_LINE = Relation(
    name="sight line",
    equation=equal(sp.tan(_splay), sp.tan(_lean) * sp.sin(_sight)),
    meaning="The direction in plan in which a leg leans, measured from the rake axis.",
    why="The step tan θ along the sight line has the component sin γ across the rake axis, and "
    "that is what the front view shows.",
    source=COMPOUND,
    inverse={"sight_line": sp.asin(sp.Min(1, sp.tan(_splay) / sp.tan(_lean)))},
    checks=(
        Check(
            {"leg_splay": "15 deg", "leg_resultant": "17.784244 deg"},
            {"sight_line": "56.653 deg"},
            WORKED,
        ),
    ),
)

DRILL_ANGLE = Relation(
    name="drilling angle",
    equation=equal(s.drill_angle + _lean, sp.pi / 2),
    meaning="The setting of a bevel gauge that stands on the underside along the sight line.",
    why="The underside is level and square to plumb, from which the leg leans θ.",
    source=derived(DERIVATION, "drilling"),
    checks=(Check({"leg_resultant": "17.784 deg"}, {"drill_angle": "72.216 deg"}, WORKED),),
)

# --- Lengths ------------------------------------------------------------------------------

RUN = Relation(
    name="run of a leg",
    equation=equal(_run, _rise * sp.tan(_lean)),
    meaning="For each unit it drops, a leg carries its foot out by the tangent of its lean.",
    why="Rise and run are the two short sides of a right-angled triangle.",
    source=derived(DERIVATION, "lengths"),
    checks=(
        Check(
            {"leg_rise": "400 mm", "leg_resultant": "17.784 deg"}, {"leg_run": "128.3 mm"}, WORKED
        ),
    ),
)

SHOULDER_LENGTH = Relation(
    name="foot to underside along a leg",
    equation=equal(_below * sp.cos(_lean), _rise),
    meaning="A leaning leg is longer than the height it spans.",
    why="The leg is the hypotenuse of the same triangle.",
    source=derived(DERIVATION, "lengths"),
    checks=(
        Check(
            {"leg_rise": "400 mm", "leg_resultant": "17.784 deg"},
            {"shoulder_length": "420.1 mm"},
            WORKED,
        ),
    ),
)

LEG_LENGTH = Relation(
    name="overall length of a leg",
    equation=equal(s.leg_length, _below + _depth),
    meaning="The length that shows plus the length in the socket.",
    why="Both are measured along the axis; the tenon reaches the bottom of its socket.",
    source=derived(DERIVATION, "lengths"),
    checks=(
        Check(
            {"shoulder_length": "420.1 mm", "socket_depth": "28 mm"},
            {"leg_length": "448.1 mm"},
            derived(DERIVATION, "lengths"),
        ),
    ),
)

LEG_BLANK = Relation(
    name="length before the foot is cut level",
    equation=equal(
        (s.leg_blank - s.leg_length - s.foot_trim) * (1 + _shrink), _thin / 2 * sp.tan(_lean)
    ),
    meaning="The low side of a level-cut foot reaches farther than the axis, and the saw needs "
    "some wood beyond that.",
    why="On the outer side the cut runs down the leg by tan θ for each unit away from the axis.",
    source=derived(DERIVATION, "lengths"),
    checks=(
        Check(
            {
                "leg_length": "448 mm",
                "foot_diameter": "28 mm",
                "leg_resultant": "17.784 deg",
                "leg_taper": "0",
                "foot_trim": "10 mm",
            },
            {"leg_blank": "462.5 mm"},
            derived(DERIVATION, "14 mm of half thickness times tan 17.784° = 0.3207, and 10 mm"),
        ),
    ),
)

LEG_TAPER = Relation(
    name="taper of a leg",
    equation=equal(2 * s.leg_taper * _below, _thick - _thin),
    meaning="A leg tapers evenly from the underside to the foot.",
    why="Both diameters are measured square to the axis; half of each is a radius.",
    source=derived(DERIVATION, "wood in a leg"),
    checks=(
        Check(
            {"leg_diameter": "40 mm", "foot_diameter": "28 mm", "shoulder_length": "400 mm"},
            {"leg_taper": "0.015"},
            derived(DERIVATION, "wood in a leg"),
        ),
    ),
)

# --- Circles in plan ----------------------------------------------------------------------

FOOT_CIRCLE = Relation(
    name="circle of the feet",
    equation=equal(
        q.foot_radius**2,
        s.socket_radius**2 + _run**2 + 2 * s.socket_radius * _run * sp.cos(s.sight_turn),
    ),
    meaning="Radius of the circle through the points where the legs' axes meet the level cut of "
    "the feet.",
    why="From the centre out to the socket, then along the sight line to the foot: the third side "
    "of a triangle. Where a leg leans straight out, the two steps simply add.",
    source=derived(DERIVATION, "the circle of the feet"),
    checks=(
        Check(
            {"socket_radius": "110 mm", "leg_run": "128.3 mm", "sight_turn": "0 deg"},
            {"foot_radius": "238.3 mm"},
            derived(DERIVATION, "110 + 128.3"),
        ),
        Check(
            {"socket_radius": "30 mm", "leg_run": "40 mm", "sight_turn": "90 deg"},
            {"foot_radius": "50.00 mm"},
            derived(DERIVATION, "the 3-4-5 triangle"),
        ),
    ),
)


def _neighbours(count: int, name: str, what: str, chord: Quantity, radius: Quantity) -> Relation:
    return Relation(
        name=name,
        equation=equal(chord, 2 * sp.sin(sp.pi / count) * radius),
        meaning=f"From the middle of one {what} to the middle of the next.",
        why=f"The chord of one of {count} equal parts of a circle.",
        source=derived(DERIVATION, "neighbours"),
        checks=(
            Check(
                {radius.name: "100 mm"},
                {chord.name: {3: "173.21 mm", 4: "141.42 mm"}[count]},
                derived(DERIVATION, "100 times √3 for three, √2 for four"),
            ),
        ),
    )


# --- The socket ---------------------------------------------------------------------------

SOCKET_RATIO = Relation(
    name="depth of a socket over its diameter",
    equation=equal(_depth, s.socket_ratio * _tenon),
    meaning="How deep a socket is for its diameter.",
    why="A tenon resists rocking by its length in the wood.",
    source=derived(DERIVATION, "the socket"),
    limits=(Limit(_thick - _tenon, "the tenon is no thicker than the leg at the underside"),),
    checks=(
        Check(
            {"socket_depth": "28 mm", "tenon_diameter": "24 mm"},
            {"socket_ratio": "1.167"},
            derived(DERIVATION, "the socket"),
        ),
    ),
)

SOCKET_COVER = Relation(
    name="wood over a socket",
    equation=equal(
        s.socket_cover + _depth * sp.cos(_lean) + _tenon / 2 * sp.sin(_lean),
        q.top_thickness,
    ),
    meaning="What is left between the bottom of a bore and the upper face of the top.",
    why="The axis rises by cos θ times its depth; one edge of the flat bottom stands half a "
    "diameter times sin θ higher.",
    source=derived(DERIVATION, "the socket"),
    checks=(
        Check(
            {
                "top_thickness": "40 mm",
                "socket_depth": "28 mm",
                "tenon_diameter": "24 mm",
                "leg_resultant": "17.784 deg",
            },
            {"socket_cover": "9.67 mm"},
            derived(DERIVATION, "40 less 26.66 less 3.67"),
        ),
    ),
)

EDGE_WOOD = Relation(
    name="wood between socket and rim",
    equation=equal(s.edge_wood + _tenon / (2 * sp.cos(_lean)), q.overhang),
    meaning="What is left between the mouth of a socket and the rim.",
    why="A slanted bore opens in an ellipse that reaches half of D_t/cos θ to either side of its "
    "middle along the sight line. Where a leg does not lean straight out there is slightly more "
    "wood.",
    source=derived(DERIVATION, "the socket"),
    checks=(
        Check(
            {"overhang": "60 mm", "tenon_diameter": "24 mm", "leg_resultant": "17.784 deg"},
            {"edge_wood": "47.40 mm"},
            derived(DERIVATION, "the socket"),
        ),
    ),
)

LEG_VOLUME = Relation(
    name="wood in a leg",
    equation=equal(
        s.leg_volume * (1 - _shrink**2) ** sp.Rational(3, 2),
        sp.pi / 12 * _below * (_thick**2 + _thick * _thin + _thin**2),
    ),
    meaning="A piece of a cone between two level planes.",
    why="Cut square, the volume is the length times the mean of both ends' areas and their "
    "geometric mean. Cut level, the leg gains on one side what it loses on the other, except for "
    "the taper.",
    source=derived(DERIVATION, "wood in a leg"),
    limits=(Limit(1 - _shrink**2, "the level cuts go right through the leg"),),
    checks=(
        Check(
            {
                "leg_diameter": "20 mm",
                "foot_diameter": "20 mm",
                "shoulder_length": "100 mm",
                "leg_taper": "0",
                "leg_resultant": "10 deg",
            },
            {"leg_volume": "31416 mm^3"},
            derived(DERIVATION, "a straight leg: π · 10² · 100, however it leans"),
        ),
    ),
)


def relations(count: int) -> tuple[Relation, ...]:
    """Every relation of `count` splayed legs, 3 or 4, and their sockets."""
    return (
        RESULTANT, SIGHT_LINE, DRILL_ANGLE, RUN, SHOULDER_LENGTH, LEG_LENGTH, LEG_TAPER,
        LEG_BLANK, FOOT_CIRCLE,
        _neighbours(count, "foot to foot", "foot", q.foot_spread, q.foot_radius),
        _neighbours(count, "socket to socket", "socket", s.socket_spread, s.socket_radius),
        SOCKET_RATIO, SOCKET_COVER, EDGE_WOOD, LEG_VOLUME,
    )  # fmt: skip
