"""Strength of splayed legs: the loads on a leg, bending at its shoulder, sway, the way of the feet.

A leg is a bar held in its socket. Its foot slides outward under a load, against the grip of the
floor; under a push at the top the floor holds it. `reference/derivations/splayed_legs.md` derives
every formula under "what a leg bears".
"""

from __future__ import annotations

from dataclasses import replace

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import racking
from tablekit.relations import splayed_quantities as s
from tablekit.relations import strength as wood
from tablekit.relations.kinds import is_seat
from tablekit.relations.post_load import foot_force, larger, smaller
from tablekit.relations.strength import rim_load
from tablekit.relations.tipping import seat_load_inset

DERIVATION = "reference/derivations/splayed_legs.md"

foot_friction = Quantity(
    "foot_friction", "μ_f", "1",
    "force along the floor that keeps a foot from sliding, as a share of the force on the foot",
    0, 2, latex=r"\mu_f",
)  # fmt: skip
load_reach = Quantity(
    "load_reach", "x_P", "mm", "in plan, centre line to the design load", 0, 1500, latex="x_P"
)
foot_share = Quantity(
    "foot_share", "ν", "1", "share of the load that the most loaded foot carries", 0.1, 3,
    latex=r"\nu", said="share",
)  # fmt: skip
load_moment = Quantity(
    "load_moment", "M_l", "N*m", "bending moment at the shoulder of a leg under the load", 0, 1e6,
    latex="M_l",
)  # fmt: skip
push_radius = Quantity(
    "push_radius", "r_P", "mm", "in plan, centre line to the axis of a leg, prolonged to the upper "
    "face of the top", 0, 3000, latex="r_P",
)  # fmt: skip
push_moment = Quantity(
    "push_moment", "M_h", "N*m", "bending moment at the shoulder of a leg under a horizontal push "
    "at the top", 0, 1e6, latex="M_h",
)  # fmt: skip
leg_moment = Quantity(
    "leg_moment", "M_a", "N*m", "bending moment that the shoulder of a leg has to bear, a push of "
    "seconds converted to a lasting load", 0, 1e6, latex="M_a",
)  # fmt: skip
weak_diameter = Quantity(
    "weak_diameter", "D_e", "mm", "diameter of a leg at its most stressed section", 3, 200,
    latex="D_e",
)  # fmt: skip
leg_strength_used = Quantity(
    "leg_strength_used", "u_l", "1", "share of a leg's design strength used at its most stressed "
    "section, in bending and thrust together", 0, 1e6, latex="u_l", said="share",
)  # fmt: skip
leg_buckling_used = Quantity(
    "leg_buckling_used", "u_k", "1", "share of the design buckling load used by the thrust along "
    "a leg", 0, 1e6, latex="u_k", said="share",
)  # fmt: skip
stretcher_height = Quantity(
    "stretcher_height", "h_z", "mm", "level-cut feet to the middle of the side stretchers; of a "
    "ring, of the lowest", 5, 1500, latex="h_z",
)  # fmt: skip
stretcher_hold = Quantity(
    "stretcher_hold", "k_z", "1", "share of the spread of a leg at the stretchers that tight "
    "stretchers hold back, at least", 0, 1, latex="k_z", said="share",
)  # fmt: skip
held_moment = Quantity(
    "held_moment", "M_t", "N*m", "bending moment at the shoulder of a leg under the load, the "
    "stretchers holding", 0, 1e6, latex="M_t",
)  # fmt: skip
foot_slide = Quantity(
    "foot_slide", "s_f", "mm", "outward movement of the most loaded foot under the load", 0, 1e6,
    latex="s_f",
)  # fmt: skip
sway = replace(racking.sway, letter="s_P", latex="s_P")
QUANTITIES: tuple[Quantity, ...] = (
    foot_friction, load_reach, foot_share, foot_force, load_moment, push_radius, push_moment,
    leg_moment, weak_diameter, leg_strength_used, leg_buckling_used, foot_slide, sway,
    stretcher_height, stretcher_hold, held_moment,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_theta, _rise, _run = s.leg_resultant, s.leg_rise, s.leg_run
_below, _thick, _thin = s.shoulder_length, s.leg_diameter, s.foot_diameter
_feet, _sockets = q.foot_radius, s.socket_radius
thrust = foot_force * (sp.cos(_theta) + foot_friction * sp.sin(_theta))
_BEARS = derived(DERIVATION, "what a leg bears")
_HAND = derived(DERIVATION, "what a leg bears, worked by hand")

# A check of what stretchers change is worked with some that hold nothing.
UNHELD = {"stretcher_hold": "0", "stretcher_height": "100 mm", "leg_rise": "332 mm"}


def held_share(held: bool) -> sp.Expr:
    """Return the share of a leg's bending at its shoulder that stretchers leave to it."""
    return 1 - stretcher_hold * (1 + stretcher_height / _rise / 2) if held else sp.Integer(1)


# --- The load on a leg -------------------------------------------------------------------------

SITTER_REACH = Relation(
    name="sitter over a leg",
    equation=equal(load_reach, q.top_diameter / 2 - seat_load_inset),
    meaning="The sitter is over one leg, as far in from the rim as a seat is tested.",
    why="From there a sitter puts the largest share on one leg.",
    source=_BEARS,
    checks=(
        Check({"top_diameter": "300 mm", "seat_load_inset": "60 mm"}, {"load_reach": "90.0 mm"},
              _HAND),
    ),
)  # fmt: skip
BETWEEN_REACH = Relation(
    name="load midway between two legs",
    equation=equal(2 * load_reach, _sockets),
    meaning="The load on a table is taken midway between two sockets.",
    why="The line through two of three sockets passes at half their radius from the centre. The "
    "posts of a crossed base are loaded in the same place.",
    source=_BEARS,
    checks=(Check({"socket_radius": "300 mm"}, {"load_reach": "150 mm"}, _HAND),),
)
_EVEN = {
    3: "Three feet share a load by equilibrium alone.",
    4: "On a floor that is not quite flat, two opposite feet carry the load with one of the "
    "others.",
}


def share(kind: str, count: int) -> Relation:
    """Return the share of the load on the most loaded of three or four feet."""
    three = (1 + (2 if is_seat(kind) else 1) * load_reach / _feet) / 3
    four = (1 + load_reach / _feet) / 2 if is_seat(kind) else sp.Rational(1, 2)
    found = {("stool", 3): "0.622", ("stool", 4): "0.716", ("table", 3): "0.478"}
    there = {"load_reach": "90 mm", "foot_radius": "207.9 mm"}
    half = (kind, count) not in found
    return Relation(
        name="share of the most loaded foot",
        equation=equal(foot_share, three if count == 3 else four),
        meaning="The foot nearest to the load carries the most.",
        why=_EVEN[count],
        source=_BEARS,
        checks=(
            Check({} if half else there, {"foot_share": found.get((kind, count), "0.500")}, _HAND),
        ),
    )


FOOT_FORCE = Relation(
    name="force on the most loaded foot",
    equation=equal(foot_force, wood.design_load * foot_share),
    meaning="The load times the share of that foot.",
    why="The floor pushes the foot up with what the foot presses down.",
    source=_BEARS,
    checks=(
        Check({"design_load": "1300 N", "foot_share": "0.622"}, {"foot_force": "808.6 N"}, _HAND),
    ),
)

# --- Bending -----------------------------------------------------------------------------------

LOAD_MOMENT = Relation(
    name="bending at the shoulder under the load",
    equation=equal(
        load_moment, foot_force * larger(_run - foot_friction * _rise, sp.Integer(0))
    ),
    meaning="The floor pushes the foot up at the end of the run; its grip pulls the foot back in.",
    why="Take moments about the socket: the upward force has the run as its arm, the grip the "
    "rise. Where the floor would grip harder than the foot pushes outward, nothing slides and "
    "the leg is hardly bent.",
    source=_BEARS,
    checks=(
        Check(
            {"foot_force": "808.6 N", "leg_run": "107.9 mm", "leg_rise": "332 mm",
             "foot_friction": "0.2"},
            {"load_moment": "33.6 N*m"}, _HAND,
        ),
        Check(
            {"foot_force": "808.6 N", "leg_run": "107.9 mm", "leg_rise": "332 mm",
             "foot_friction": "0.5"},
            {"load_moment": "0.0 N*m"}, _HAND,
        ),
    ),
)  # fmt: skip
PUSH_RADIUS = Relation(
    name="where the axis of a leg is at the upper face",
    equation=equal(
        (push_radius * _rise) ** 2,
        (_rise + q.top_thickness) * (_sockets**2 * _rise + q.top_thickness * _run**2)
        - q.top_thickness * _rise * _feet**2,
    ),
    meaning="The axis of a leg, prolonged upward, comes nearer to the centre line.",
    why="Socket, foot and that point lie on one line in plan, at distances that are as the "
    "heights; Stewart's theorem gives the third distance from the centre.",
    source=_BEARS,
    checks=(
        Check(
            {"socket_radius": "100 mm", "foot_radius": "207.9 mm", "leg_run": "107.9 mm",
             "leg_rise": "332 mm", "top_thickness": "45 mm"},
            {"push_radius": "85.4 mm"}, _HAND,
        ),
        Check(
            {"socket_radius": "30 mm", "foot_radius": "50 mm", "leg_run": "40 mm",
             "leg_rise": "400 mm", "top_thickness": "40 mm"},
            {"push_radius": "30.27 mm"},
            derived(DERIVATION, "what a leg bears, the 3-4-5 triangle prolonged by a tenth"),
        ),
    ),
)  # fmt: skip


def push_bending(count: int) -> Relation:
    """Return the bending of the worst placed of three or four legs under a push at the top."""
    return Relation(
        name="bending at the shoulder under a push",
        equation=equal(
            push_moment * count * _feet * (1 + sp.cos(_theta) ** 2),
            2 * rim_load * _rise * push_radius,
        ),
        meaning="A horizontal push bends every leg; splay takes some of it off them.",
        why="The floor holds the feet and no leg changes its length, so the top can only turn "
        "about the point where the axes of the legs meet. The nearer the push is to that point, "
        "the less it bends the legs. The leg that lies in the direction of the push bends the "
        "most.",
        source=_BEARS,
        checks=(
            Check(
                {"rim_load": "400 N", "leg_rise": "332 mm", "push_radius": "85.4 mm",
                 "foot_radius": "207.9 mm", "leg_resultant": "18 deg"},
                {"push_moment": {3: "19.1 N*m", 4: "14.3 N*m"}[count]}, _HAND,
            ),
        ),
    )  # fmt: skip


def shoulder_bending(held: bool) -> Relation:
    """Return what a shoulder has to bear, with stretchers that hold the legs or without."""
    under = held_moment if held else load_moment
    return replace(
        LEG_MOMENT,
        equation=equal(leg_moment, larger(under, push_moment / wood.duration_factor)),
        checks=tuple(
            replace(one, given={k.replace(load_moment.name, under.name): v
                                for k, v in one.given.items()})
            for one in LEG_MOMENT.checks
        ),
    )  # fmt: skip


LEG_MOMENT = Relation(
    name="bending that a shoulder has to bear",
    equation=equal(leg_moment, larger(load_moment, push_moment / wood.duration_factor)),
    meaning="The larger of the two, the push divided by the duration factor.",
    why="A push lasts seconds, as a test of strength does. The duration factor is in the strength "
    "factor already and is taken out again here.",
    source=_BEARS,
    checks=(
        Check(
            {"load_moment": "33.6 N*m", "push_moment": "19.1 N*m", "duration_factor": "1.3"},
            {"leg_moment": "33.6 N*m"}, _HAND,
        ),
        Check(
            {"load_moment": "20 N*m", "push_moment": "55 N*m", "duration_factor": "1.3"},
            {"leg_moment": "42.3 N*m"}, _HAND,
        ),
    ),
)  # fmt: skip
WEAK_DIAMETER = Relation(
    name="most stressed section of a tapered leg",
    equation=equal(weak_diameter, smaller(_thick, sp.Rational(3, 2) * _thin)),
    meaning="A leg is stressed most at its shoulder or, in a strong taper, where it is half as "
    "thick again as at the foot.",
    why="The moment grows evenly from the foot, the strength with the cube of the diameter; their "
    "ratio is greatest there.",
    source=_BEARS,
    checks=(
        Check({"leg_diameter": "45 mm", "foot_diameter": "45 mm"}, {"weak_diameter": "45.0 mm"},
              _HAND),
        Check({"leg_diameter": "45 mm", "foot_diameter": "15 mm"}, {"weak_diameter": "22.5 mm"},
              _HAND),
    ),
)  # fmt: skip
_weak = weak_diameter
LEG_STRENGTH_USED = Relation(
    name="strength used in a leg",
    equation=equal(
        leg_strength_used,
        wood.strength_factor
        * (
            32 * leg_moment / (sp.pi * _weak**3 * wood.bending_strength)
            * (1 - (_thick - _weak) / larger(_thick - _thin, _thin / 2))
            + 4 * thrust / (sp.pi * _weak**2 * wood.compression_along)
        ),
    ),
    meaning="Bending and thrust each use a share of the strength of the wood.",
    why="The moment is to that at the shoulder as the distances from the foot. Where two stresses "
    "act in the same fibre, the shares used add up.",
    source=_BEARS,
    checks=(
        Check(
            {"leg_moment": "33.6 N*m", "foot_force": "808.6 N", "leg_resultant": "18 deg",
             "foot_friction": "0.2", "strength_factor": "2.652", "bending_strength": "95 MPa",
             "compression_along": "48 MPa", "leg_diameter": "45 mm", "foot_diameter": "45 mm",
             "weak_diameter": "45 mm"},
            {"leg_strength_used": "0.133"}, _HAND,
        ),
        Check(
            {"leg_moment": "33.6 N*m", "foot_force": "808.6 N", "leg_resultant": "18 deg",
             "foot_friction": "0.2", "strength_factor": "2.652", "bending_strength": "95 MPa",
             "compression_along": "48 MPa", "leg_diameter": "45 mm", "foot_diameter": "15 mm",
             "weak_diameter": "22.5 mm"},
            {"leg_strength_used": "0.323"}, _HAND,
        ),
    ),
)  # fmt: skip
BUCKLING = Relation(
    name="buckling load used by a leg",
    equation=equal(
        leg_buckling_used * sp.pi**3 * wood.elastic_modulus * (_thin * _thick) ** 2,
        256 * wood.strength_factor * thrust * _below**2,
    ),
    meaning="A bar held at its shoulder and free at its foot buckles like a bar twice as long that "
    "is hinged at both ends.",
    why="This is Euler's load. A leg that tapers evenly bears at least what a straight one of the "
    "geometric mean of both diameters does.",
    source=_BEARS,
    checks=(
        Check(
            {"foot_force": "808.6 N", "leg_resultant": "18 deg", "foot_friction": "0.2",
             "strength_factor": "2.652", "shoulder_length": "349.1 mm",
             "elastic_modulus": "11500 MPa", "leg_diameter": "45 mm", "foot_diameter": "45 mm"},
            {"leg_buckling_used": "0.0463"}, _HAND,
        ),
        Check(
            {"foot_force": "808.6 N", "leg_resultant": "18 deg", "foot_friction": "0.2",
             "strength_factor": "2.652", "shoulder_length": "349.1 mm",
             "elastic_modulus": "11500 MPa", "leg_diameter": "45 mm", "foot_diameter": "30 mm"},
            {"leg_buckling_used": "0.1043"}, _HAND,
        ),
    ),
)  # fmt: skip

# --- Movement ----------------------------------------------------------------------------------

FOOT_SLIDE = Relation(
    name="outward movement of a foot",
    equation=equal(
        foot_slide * 3 * sp.pi * wood.elastic_modulus * _thin * _thick**3,
        64 * load_moment * _below**2 * sp.cos(_theta),
    ),
    meaning="The load bends the legs, and the feet slide outward until floor and legs hold them.",
    why="A bar held at one end gives way by F L³/3EI at the other. In a bar that tapers evenly, "
    "the cube of the thick end times the thin end takes the place of the fourth power.",
    source=_BEARS,
    checks=(
        Check(
            {"load_moment": "33.6 N*m", "shoulder_length": "349.1 mm", "leg_resultant": "18 deg",
             "elastic_modulus": "11500 MPa", "leg_diameter": "45 mm", "foot_diameter": "45 mm"},
            {"foot_slide": "0.561 mm"}, _HAND,
        ),
    ),
)  # fmt: skip


def sliding(held: bool) -> Relation:
    """Return the movement of a foot, with stretchers that hold the legs or without."""
    if not held:
        return FOOT_SLIDE
    up = stretcher_height / _rise
    kept = 1 - stretcher_hold * (2 + up) ** 2 * (1 - up) / 4
    slide, load = FOOT_SLIDE.equation.args
    return replace(
        FOOT_SLIDE,
        equation=equal(slide, load * kept),
        why=f"{FOOT_SLIDE.why} What stretchers hold back at their height is less at the foot by "
        "the arms of both.",
        checks=tuple(replace(one, given={**one.given, **UNHELD}) for one in FOOT_SLIDE.checks),
    )


def swaying(count: int) -> Relation:
    """Return the sway of the top on three or four legs under a push."""
    return Relation(
        name="sway of the top on its legs",
        equation=equal(
            sway * 3 * sp.pi * count * wood.elastic_modulus * _thin * _thick**3 * _feet**2
            * (1 + 1 / sp.cos(_theta) ** 2),
            128 * rim_load * push_radius**2 * _below**3,
        ),
        meaning="How far the upper face moves under the push, the sockets taken to be tight.",
        why="The work of the push is that of bending the legs; the legs that lie across the push "
        "bend as well, a little less.",
        source=_BEARS,
        checks=(
            Check(
                {"rim_load": "400 N", "push_radius": "85.4 mm", "foot_radius": "207.9 mm",
                 "shoulder_length": "349.1 mm", "leg_resultant": "18 deg",
                 "elastic_modulus": "11500 MPa", "leg_diameter": "45 mm", "foot_diameter": "45 mm"},
                {"sway": {3: "0.131 mm", 4: "0.098 mm"}[count]}, _HAND,
            ),
        ),
    )  # fmt: skip


def relations(kind: str, count: int, held: bool = False) -> tuple[Relation, ...]:
    """Return the relations of the legs of a "table" or a "stool" under load, with stretchers that
    hold them or without."""
    where = (SITTER_REACH,) if is_seat(kind) else (BETWEEN_REACH,) if count == 3 else ()
    return (
        *where, share(kind, count), FOOT_FORCE, LOAD_MOMENT, PUSH_RADIUS, push_bending(count),
        shoulder_bending(held), WEAK_DIAMETER, LEG_STRENGTH_USED, BUCKLING, sliding(held),
        swaying(count),
    )  # fmt: skip


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        foot_friction, sp.Rational(1, 5),
        "Dry wood at rest is held by 0.2 to 0.6 of the force on it; the least is relied on. "
        "For a wet or waxed floor, or felt on a polished one, give "
        "0.",
        quoted("friction of wood on metal at rest, 0.2 to 0.6, as a structural engineer gives it "
               "on the SEAINT mailing list, 2002", "the Wood Handbook's figures were not seen"),
        first_to=("load_moment",), usual=(0, 0.6),
    ),
)  # fmt: skip

_OWN = "what a leg bears; limits are our own choice"
LEGS = Requirement(
    id="leg_strength",
    name="strength of the legs",
    quantity="leg_strength_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="Under the loads given, the stress in a leg exceeds the design strength of the wood.",
    mend_high="Use thicker legs, taper them less, stand them steeper or choose a stronger wood.",
    fine="A leg stays within the design strength of the wood.",
)
SLENDER = Requirement(
    id="leg_buckling",
    name="buckling of the legs",
    quantity="leg_buckling_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 0.4),
    tolerable=(None, 0.8),
    too_high="The legs are so slender that the thrust adds to their bending.",
    mend_high="Use thicker or shorter legs, or taper them less.",
    fine="The legs are far from buckling.",
)
SPREADING = Requirement(
    id="foot_slide",
    name="spread of the feet",
    quantity="foot_slide",
    source=common_practice("our own choice: 3 mm is hardly seen, 8 mm is alarming"),
    good=(None, 3),
    tolerable=(None, 8),
    too_high="The feet spread under the load, and the sockets are levered each time.",
    mend_high="Use thicker legs, stand them steeper, or join them with stretchers.",
    fine="The feet spread little under the load.",
)
SWAYING = Requirement(
    id="leg_sway",
    name="sway under a push",
    quantity="sway",
    source=common_practice("5 mm under 400 N is barely felt, 15 mm is a wobble"),
    good=(None, 5),
    tolerable=(None, 15),
    too_high="The piece wobbles when pushed.",
    mend_high="Use thicker legs, or lean them farther. Stretchers stiffen a piece while their "
    "tenons are tight; that is not counted.",
    fine="A push on the rim moves it very little, as long as the sockets are tight.",
)
REQUIREMENTS: tuple[Requirement, ...] = (LEGS, SLENDER, SPREADING, SWAYING)
