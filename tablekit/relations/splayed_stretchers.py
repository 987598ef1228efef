"""Stretchers between splayed legs: where they meet the legs, how long they are, what they bear.

Side stretchers join neighbouring legs. With a cross stretcher between the middles of two of them,
or between a leg and the middle of one, they make an H or a T. A ring joins every leg to both of its
neighbours. A stretcher is round, swells from its tenons to its middle, and has no shoulders.
Proofs, under "stretchers": `reference/derivations/splayed_legs.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_load as load
from tablekit.relations import splayed_quantities as s
from tablekit.relations import strength as wood
from tablekit.relations.post_load import foot_force, larger, smaller
from tablekit.relations.splayed import DERIVATION
from tablekit.relations.splayed_load import held_moment, stretcher_height, stretcher_hold


def _mm(
    name: str, letter: str, meaning: str, low: float, high: float, cut: bool = False
) -> Quantity:
    head, _, foot = letter.partition("_")
    return Quantity(name, letter, "mm", meaning, low, high, latex=f"{head}_{{{foot}}}", cut=cut)


def _share(name: str, letter: str, meaning: str, latex: str) -> Quantity:
    return Quantity(name, letter, "1", meaning, 0, 1e6, latex=latex, said="share")


stretcher_radius = _mm(
    "stretcher_radius", "r_z", "in plan, centre line to the axis of a leg at the height of the "
    "stretchers", 1, 3000,
)  # fmt: skip
stretcher_angle = Quantity(
    "stretcher_angle", "ψ_z", "deg", "angle between a side stretcher and the axis of a leg, on its "
    "upper side", 20, 90, latex=r"\psi_z",
)  # fmt: skip
leg_at_stretcher = _mm(
    "leg_at_stretcher", "D_z", "diameter of a leg, square to its axis, where its stretcher meets "
    "it", 5, 200,
)  # fmt: skip
stretcher_length = _mm(
    "stretcher_length", "l_z", "length of a side stretcher between the legs, along its axis",
    1, 3000,
)  # fmt: skip
stretcher_whole = _mm(
    "stretcher_whole", "L_z", "length of a side stretcher with both of its tenons", 2, 3300, True
)
stretcher_diameter = _mm(
    "stretcher_diameter", "D_m", "diameter of a stretcher at its middle", 5, 150, True
)
stretcher_tenon = _mm(
    "stretcher_tenon", "t_z", "diameter of a stretcher's tenon, and of the bit for its mortise",
    3, 100, True,
)  # fmt: skip
stretcher_depth = _mm(
    "stretcher_depth", "d_z", "depth of a mortise for a stretcher, along its axis", 1, 150, True
)
mortise_floor = _mm(
    "mortise_floor", "c_z", "least wood left behind a mortise for a stretcher; negative where the "
    "bit comes through", -150, 200,
)  # fmt: skip
stretcher_turn = Quantity(
    "stretcher_turn", "ω_z", "deg", "angle between the two mortises of a leg, seen along the leg",
    20, 180, latex=r"\omega_z",
)  # fmt: skip
stretcher_step = _mm(
    "stretcher_step", "e_z", "how much higher each further pair of stretchers in a ring is; on "
    "three legs, each further stretcher", 0, 1000,
)  # fmt: skip
mortise_gap = _mm(
    "mortise_gap", "g_z", "plumb, wood left between the two mortises of a leg", -150, 1000
)
cross_length = _mm(
    "cross_length", "l_x", "length of the cross stretcher between the parts that it joins, along "
    "its axis", 1, 3000,
)  # fmt: skip
# Cut to what is measured between the side stretchers: it settles nothing of how the legs stand.
cross_whole = _mm(
    "cross_whole", "L_x", "length of the cross stretcher with both of its tenons", 2, 3300
)
cross_angle = Quantity(
    "cross_angle", "ψ_x", "deg", "angle between the cross stretcher and the axis of leg 1, on its "
    "upper side", 20, 90, latex=r"\psi_x",
)  # fmt: skip
stretcher_volume = Quantity(
    "stretcher_volume", "V_z", "mm^3", "volume of all stretchers between the parts that they join",
    1, 1e9, latex="V_z",
)  # fmt: skip
stretcher_area = Quantity(
    "stretcher_area", "A_z", "m^2", "area of all stretchers between the parts that they join",
    1e-4, 50, latex="A_z",
)  # fmt: skip
mortise_moment = Quantity(
    "mortise_moment", "M_z", "N*m", "bending moment in a leg at its mortise", 0, 1e6, latex="M_z"
)
mortise_shift = _mm(
    "mortise_shift", "y_z", "how far a mortise moves the centroid of the section of a leg", 0, 200
)
mortise_modulus = Quantity(
    "mortise_modulus", "W_z", "mm^3", "section modulus of a leg at its mortise", 0.01, 1e7,
    latex="W_z",
)  # fmt: skip
mortise_strength_used = _share(
    "mortise_strength_used", "u_n", "share of a leg's design strength used at its mortise, in "
    "bending and thrust together", "u_n",
)  # fmt: skip
stretcher_load = Quantity(
    "stretcher_load", "P_z", "N",
    "vertical load on the middle of a stretcher, from a foot set on it", 1, 20_000, latex="P_z",
)  # fmt: skip
stretcher_strength_used = _share(
    "stretcher_strength_used", "u_m", "share of a stretcher's design strength used by a foot set "
    "on its middle", "u_m",
)  # fmt: skip
stretcher_shear_used = _share(
    "stretcher_shear_used", "u_t", "share of the design shear strength used in a stretcher's tenon "
    "by a foot set on the stretcher", "u_t",
)  # fmt: skip
stretcher_give = Quantity(
    "stretcher_give", "κ_z", "1", "movement of the middle of a side stretcher under the pull of "
    "the cross stretcher, over that of a leg under the same force", 0, 1e6, latex=r"\kappa_z",
)  # fmt: skip
stretcher_pull_used = _share(
    "stretcher_pull_used", "u_y", "share of the design strength of the glued wood round a "
    "stretcher's tenon that the spread of the legs uses", "u_y",
)  # fmt: skip
OF_SIDES: tuple[Quantity, ...] = (
    stretcher_radius, stretcher_angle, leg_at_stretcher, stretcher_length,
    stretcher_whole, stretcher_diameter, stretcher_tenon, stretcher_depth, mortise_floor,
    stretcher_volume, stretcher_area, mortise_moment, mortise_shift, mortise_modulus,
    mortise_strength_used,
    stretcher_load, stretcher_strength_used, stretcher_shear_used, stretcher_pull_used,
)  # fmt: skip
OF_A_CROSS = (cross_length, cross_whole, cross_angle, stretcher_give)
OF_A_RING = (stretcher_turn, stretcher_step, mortise_gap)
QUANTITIES: tuple[Quantity, ...] = (*OF_SIDES, *OF_A_CROSS, *OF_A_RING)
CONSTANTS: tuple[Constant, ...] = ()

_theta, _rise, _high = s.leg_resultant, s.leg_rise, stretcher_height
_thick, _bore, _deep = leg_at_stretcher, stretcher_tenon, stretcher_depth
_STRETCHERS = derived(DERIVATION, "stretchers")
_HAND = derived(DERIVATION, "stretchers, by hand")
_BEAR = derived(DERIVATION, "what stretchers bear, by hand")
_LEAN = {"leg_resultant": "18 deg", "sight_turn": "0 deg"}
# Only legs that lean straight out meet both ends of a stretcher alike; rounding is let pass.
_STRAIGHT = Limit(
    sp.Float(1e-6) - s.sight_turn, "legs that are joined by stretchers lean straight out"
)

# --- Where they meet the legs -------------------------------------------------------------------

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
    equation=equal(_thick * _rise, s.foot_diameter * (_rise - _high) + s.leg_diameter * _high),
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


def along_a_leg(count: int) -> sp.Expr:
    """The cosine of the angle between a side stretcher and a leg."""
    return sp.sin(_theta) * sp.sin(sp.pi / count)


def angle(count: int) -> Relation:
    """Return the angle at which a stretcher meets three or four legs."""
    return Relation(
        name="angle between stretcher and leg",
        equation=equal(sp.cos(stretcher_angle), along_a_leg(count)),
        meaning="Set a bevel gauge to it: the stretcher leaves the leg by this angle on its upper "
        "side.",
        why="A leg leans toward the centre line on its way up by the sine of its lean, and a "
        "stretcher turns from the radius by half the angle between neighbours.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,),
        checks=(
            Check(_LEAN, {"stretcher_angle": {3: "74.48 deg", 4: "77.38 deg"}[count]}, _HAND),
        ),
    )  # fmt: skip


def length(count: int) -> Relation:
    """Return the length of a stretcher between three or four legs."""
    return Relation(
        name="length of a stretcher",
        equation=equal(
            stretcher_length + _thick / sp.sqrt(1 - along_a_leg(count) ** 2),
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
                {"stretcher_length": {3: "258.1 mm", 4: "204.5 mm"}[count]}, _HAND,
            ),
        ),
    )  # fmt: skip


def _with_tenons(whole: Quantity, between: Quantity, name: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(whole, between + 2 * _deep),
        meaning="What shows and a tenon at each end.",
        why="Each tenon reaches the bottom of its mortise.",
        source=_STRETCHERS,
        checks=(
            Check({between.name: "204.5 mm", "stretcher_depth": "20 mm"},
                  {whole.name: "244.5 mm"}, _HAND),
        ),
    )  # fmt: skip


WHOLE = _with_tenons(stretcher_whole, stretcher_length, "length of a stretcher with its tenons")
CROSS_WHOLE = _with_tenons(cross_whole, cross_length, "length of the cross stretcher with tenons")


def turn(count: int) -> Relation:
    """Return how far the two mortises of a leg are turned from one another round it."""
    corner = sp.cos(2 * sp.pi / count)
    return Relation(
        name="angle between the mortises of a leg",
        equation=equal(
            sp.cos(stretcher_turn) * (1 - along_a_leg(count) ** 2),
            -corner - along_a_leg(count) ** 2,
        ),
        meaning="Turn the leg by it in its cradle from one mortise to the other.",
        why="Level, the two stretchers of a leg enclose the corner of the figure that they make. "
        "Seen along the leaning leg it opens a little.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,),
        checks=(
            Check(_LEAN, {"stretcher_turn": {3: "62.52 deg", 4: "92.87 deg"}[count]}, _HAND),
        ),
    )  # fmt: skip


MORTISE_GAP = Relation(
    name="wood between the mortises of a leg",
    equation=equal(mortise_gap + _bore, stretcher_step),
    meaning="The stretchers of a ring are at different heights, so that their mortises miss one "
    "another inside the leg.",
    why="Two level bores, one over the other: their axes are the step apart, and each takes half "
    "its diameter.",
    source=_STRETCHERS,
    checks=(
        Check({"stretcher_step": "36 mm", "stretcher_tenon": "18 mm"}, {"mortise_gap": "18.0 mm"},
              _HAND),
    ),
)  # fmt: skip
CROSS_ANGLE = Relation(
    name="angle between cross stretcher and leg",
    equation=equal(cross_angle + _theta, sp.pi / 2),
    meaning="The cross stretcher meets leg 1 in the plane in which the leg leans.",
    why="It is level, and the leg is out of plumb by its lean.",
    source=_STRETCHERS,
    checks=(Check({"leg_resultant": "18 deg"}, {"cross_angle": "72.0 deg"}, _HAND),),
)


def cross(count: int) -> Relation:
    """Return the length of the cross stretcher: of a T on three legs, of an H on four."""
    r, side = stretcher_radius, stretcher_diameter
    t = count == 3
    return Relation(
        name="length of the cross stretcher",
        equation=equal(
            cross_length + (side + _thick / sp.cos(_theta)) / 2 if t else cross_length + side,
            sp.Rational(3, 2) * r if t else sp.sqrt(2) * r,
        ),
        meaning="From leg 1 to the side stretcher opposite." if t
        else "From the middle of one side stretcher to that of the other, less half of each.",
        why="The side stretcher passes the centre at half the radius of its legs, opposite leg 1. "
        "Half of either part is taken off, that of the leaning leg along the level." if t
        else "Opposite sides of a square are as far apart as it is long.",
        source=_STRETCHERS,
        limits=(_STRAIGHT,) if t else (),
        checks=(
            Check(
                {"stretcher_radius": "170 mm", "stretcher_diameter": "26 mm",
                 **({"leg_at_stretcher": "35 mm", **_LEAN} if t else {})},
                {"cross_length": "223.6 mm" if t else "214.4 mm"}, _HAND,
            ),
        ),
    )  # fmt: skip


def floor(crossed: bool) -> Relation:
    """Return the least wood behind a mortise, with a cross stretcher or without."""
    return Relation(
        name="wood behind a mortise",
        equation=equal(
            mortise_floor + _deep, smaller(_thick, stretcher_diameter) if crossed else _thick
        ),
        meaning="What is left between the bottom of a mortise and the far side of the part.",
        why="A mortise for a side stretcher is in a leg" + (
            ", one for the cross stretcher in a side stretcher: the thinner of the two counts."
            if crossed else "."
        ),
        source=_STRETCHERS,
        checks=(
            Check(
                {"leg_at_stretcher": "33 mm", "stretcher_depth": "20 mm",
                 **({"stretcher_diameter": "26 mm"} if crossed else {})},
                {"mortise_floor": "6.0 mm" if crossed else "13.0 mm"}, _HAND,
            ),
        ),
    )  # fmt: skip


def _all(count: int, crossed: bool) -> sp.Expr:
    """The lengths of all stretchers between the parts that they join, together."""
    sides = {3: 1, 4: 2}[count] if crossed else count
    return sides * stretcher_length + (cross_length if crossed else 0)


def area(count: int, crossed: bool) -> Relation:
    """Return the area of all stretchers on three or four legs, for the finish."""
    found = {(3, True): "0.02507", (4, True): "0.03826", (3, False): "0.03958",
             (4, False): "0.05278"}  # fmt: skip
    return Relation(
        name="area of the stretchers",
        equation=equal(
            stretcher_area, sp.pi / 2 * _all(count, crossed) * (stretcher_diameter + _bore)
        ),
        meaning="Mean girth of a stretcher times its length, for all of them.",
        why="Unrolled, a slender stretcher is two strips as wide as its girth. Tenons are glued, "
        "not finished.",
        source=_STRETCHERS,
        checks=(
            Check(
                {"stretcher_length": "200 mm", "stretcher_diameter": "26 mm",
                 "stretcher_tenon": "16 mm", **({"cross_length": "180 mm"} if crossed else {})},
                {"stretcher_area": f"{found[count, crossed]} m^2"}, _HAND,
            ),
        ),
    )  # fmt: skip


def volume(count: int, crossed: bool) -> Relation:
    """Return the volume of all stretchers on three or four legs."""
    total = _all(count, crossed)
    found = {(3, True): "134104", (4, True): "204685", (3, False): "211743", (4, False): "282324"}
    return Relation(
        name="wood in the stretchers",
        equation=equal(
            stretcher_volume,
            sp.pi / 12 * total
            * (stretcher_diameter**2 + stretcher_diameter * _bore + _bore**2),
        ),
        meaning="Each swells from the diameter of its tenons to that of its middle.",
        why="Two pieces of a cone, end to end. The tenons fill their mortises, so they count with "
        "the legs. The upper stretchers of a ring are a little shorter; that is left out.",
        source=_STRETCHERS,
        checks=(
            Check(
                {"stretcher_length": "200 mm", "stretcher_diameter": "26 mm",
                 "stretcher_tenon": "16 mm", **({"cross_length": "180 mm"} if crossed else {})},
                {"stretcher_volume": f"{found[count, crossed]} mm^3"}, _HAND,
            ),
        ),
    )  # fmt: skip


# --- What they bear -----------------------------------------------------------------------------

MORTISE_MOMENT = Relation(
    name="bending of a leg at its mortise",
    equation=equal(
        mortise_moment * _rise,
        larger(load.load_moment, load.push_moment / wood.duration_factor) * _high,
    ),
    meaning="Below its stretcher a leg is bent as if there were none.",
    why="Only the floor acts on what is below, so the moment grows evenly from the foot, whatever "
    "the stretcher does.",
    source=_BEAR,
    checks=(
        Check({"load_moment": "33.6 N*m", "push_moment": "19.1 N*m", "duration_factor": "1.3",
               "stretcher_height": "110 mm", "leg_rise": "332 mm"},
              {"mortise_moment": "11.1 N*m"}, _BEAR),
    ),
)  # fmt: skip
_left = sp.pi * _thick**2 / 4 - _bore * _deep
MORTISE_SHIFT = Relation(
    name="centroid of a leg at its mortise",
    equation=equal(mortise_shift * _left, _bore * _deep * (_thick - _deep) / 2),
    meaning="The section that is left lies toward the far side of the mortise.",
    why="A circle less a strip as wide as the tenon and as deep as the mortise; areas times "
    "distances add up. The strip is counted square at its mouth, which errs on the safe side.",
    source=_BEAR,
    limits=(Limit(_thick - _deep, "the mortise ends inside the leg"),
            Limit(_thick - 1.2 * _bore, "a mortise is narrower than its leg")),
    checks=(
        Check({"leg_at_stretcher": "33 mm", "stretcher_tenon": "16 mm", "stretcher_depth": "20 mm"},
              {"mortise_shift": "3.886 mm"}, _BEAR),
    ),
)  # fmt: skip
MORTISE_MODULUS = Relation(
    name="section modulus of a leg at its mortise",
    equation=equal(
        mortise_modulus * (_thick / 2 + mortise_shift),
        sp.pi * _thick**4 / 64 + sp.pi * _thick**2 / 4 * mortise_shift**2
        - _bore * _deep**3 / 12
        - _bore * _deep * ((_thick - _deep) / 2 + mortise_shift) ** 2,
    ),
    meaning="How much of a leg's strength in bending the mortise leaves.",
    why="Second moments of circle and strip about the common centroid, by the parallel axis "
    "theorem, over the distance to the outermost fibre. The glued tenon is not counted.",
    source=_BEAR,
    checks=(
        Check({"leg_at_stretcher": "33 mm", "stretcher_tenon": "16 mm", "stretcher_depth": "20 mm",
               "mortise_shift": "3.8857 mm"},
              {"mortise_modulus": "1272.7 mm^3"}, _BEAR),
    ),
)  # fmt: skip
MORTISE_STRENGTH = Relation(
    name="strength used in a leg at its mortise",
    equation=equal(
        mortise_strength_used,
        wood.strength_factor
        * (mortise_moment / (mortise_modulus * wood.bending_strength)
           + load.thrust / (_left * wood.compression_along)),
    ),
    meaning="Bending and thrust each use a share of the strength of the wood.",
    why="As at the shoulder, on the section that the mortise leaves.",
    source=_BEAR,
    checks=(
        Check(
            {"strength_factor": "2.652", "mortise_moment": "11.1 N*m",
             "mortise_modulus": "1272.7 mm^3", "bending_strength": "95 MPa",
             "foot_force": "808.6 N",
             "leg_resultant": "18 deg", "foot_friction": "0.2", "leg_at_stretcher": "33 mm",
             "stretcher_tenon": "16 mm", "stretcher_depth": "20 mm", "compression_along": "48 MPa"},
            {"mortise_strength_used": "0.328"}, _BEAR,
        ),
    ),
)  # fmt: skip


def stepped_on(crossed: bool) -> Relation:
    """Return the strength that a foot on the middle of a side stretcher uses."""
    middle = stretcher_diameter
    weak = smaller(middle, sp.Rational(3, 2) * _bore)
    share = 1 - (middle - weak) / larger(middle - _bore, _bore / 2)
    most = 32 * share / (sp.pi * weak**3)
    if crossed:
        most = larger(most, 1 / (sp.pi * middle**3 / 32 - _deep * _bore**3 / (6 * middle)))
    why = (
        "A bar on two supports with a load at its middle is bent by P l/4. A strong swell is "
        "stressed most where it is half as thick again as its tenon, as a tapered leg is."
    )
    level = " At the middle, the level mortise for the cross stretcher takes its own second moment."
    return Relation(
        name="strength used in a stretcher",
        equation=equal(
            stretcher_strength_used * wood.bending_strength,
            wood.strength_factor * stretcher_load * stretcher_length / 4 * most,
        ),
        meaning="Somebody sets a foot on the middle of a stretcher.",
        why=f"{why}{level if crossed else ''}",
        source=_BEAR,
        checks=(
            Check(
                {
                    "stretcher_load": "650 N", "stretcher_length": "200 mm",
                    "stretcher_diameter": "26 mm", "stretcher_tenon": "16 mm",
                    "strength_factor": "2.652", "bending_strength": "95 MPa",
                    **({"stretcher_depth": "20 mm"} if crossed else {}),
                },
                {"stretcher_strength_used": "0.756" if crossed else "0.535"},
                _BEAR,
            ),
        ),
    )  # fmt: skip


STRETCHER_SHEAR = Relation(
    name="shear in the tenon of a stretcher",
    equation=equal(
        stretcher_shear_used * 3 * sp.pi * _bore**2 * wood.shear_strength,
        8 * wood.strength_factor * stretcher_load,
    ),
    meaning="Half of the foot's load goes through each tenon.",
    why="The greatest shear stress in a round bar is four thirds of the mean.",
    source=_BEAR,
    checks=(
        Check({"stretcher_load": "650 N", "stretcher_tenon": "16 mm", "strength_factor": "2.652",
               "shear_strength": "12 MPa"}, {"stretcher_shear_used": "0.476"}, _BEAR),
    ),
)  # fmt: skip
GIVE = Relation(
    name="give of a side stretcher",
    equation=equal(
        stretcher_give * 16 * stretcher_diameter**3 * _bore
            * (s.shoulder_length * (1 - _high / _rise)) ** 3,
        stretcher_length**3 * s.leg_diameter**4,
    ),
    meaning="The cross stretcher pulls at the middles of side stretchers, which bend.",
    why="A bar on two supports gives by F l³/48EI, a leg held at its shoulder by F a³/3EI, with a "
        "from shoulder to stretcher. In a bar that tapers evenly, the cube of the thick end times "
        "the thin end takes the place of the fourth power.",
    source=_BEAR,
    checks=(
        Check(
            {"stretcher_length": "200 mm", "leg_diameter": "42 mm", "stretcher_diameter": "26 mm",
             "stretcher_tenon": "16 mm", "shoulder_length": "450 mm",
             "stretcher_height": "100 mm", "leg_rise": "300 mm"},
            {"stretcher_give": "0.205"}, _BEAR,
        ),
    ),
)  # fmt: skip


def hold(count: int, crossed: bool) -> Relation:
    """Return how much of the spread tight stretchers hold back."""
    held = sp.Rational(2, 5)
    why = (
        "No two points that a stretcher joins can part. A ring leaves the most loaded leg at most "
        "half of its spread; a fifth of what it takes is allowed for the give of the stretchers."
    )
    if crossed:
        held = 1 / (6 + 4 * stretcher_give if count == 3 else 4 + 8 * stretcher_give)
        why = (
            "No two points that a stretcher joins can part. The side stretcher holds back half of "
            "the spread along itself; across it, the leg is held by the cross stretcher alone, "
            "which gives by the bending of the side stretchers. The lesser of the two counts."
        )
    found = "0.400" if not crossed else {3: "0.147", 4: "0.177"}[count]
    return Relation(
        name="what tight stretchers hold back",
        equation=equal(stretcher_hold, held),
        meaning="Stretchers tie a loaded leg to the others, so that it spreads less.",
        why=why,
        source=_BEAR,
        checks=(
            Check({"stretcher_give": "0.205"} if crossed else {}, {"stretcher_hold": found}, _BEAR),
        ),
    )


HELD_MOMENT = Relation(
    name="bending at the shoulder while stretchers are tight",
    equation=equal(held_moment, load.load_moment * load.held_share(True)),
    meaning="Tight stretchers take part of the bending off the shoulders.",
    why="The force at the stretcher that holds back a share of the deflection there is that share "
    "of (3 L − a)/2a times the force at the foot, and has the arm a. A push is not taken off: "
    "it moves all legs alike.",
    source=_BEAR,
    checks=(
        Check({"load_moment": "33.6 N*m", "stretcher_hold": "0.4", "stretcher_height": "100 mm",
               "leg_rise": "300 mm"}, {"held_moment": "17.9 N*m"}, _BEAR),
    ),
)  # fmt: skip

PULL = Relation(
    name="pull in the tenon of a stretcher",
    equation=equal(
        stretcher_pull_used * sp.pi * _bore * _deep * wood.shear_strength
        * s.shoulder_length * (1 - _high / _rise),
        wood.strength_factor * foot_force * s.leg_run * (2 + _high / _rise),
    ),
    meaning="What keeps the legs from spreading pulls at the tenons of the stretchers.",
    why="No stretcher pulls harder than one that holds a leg back wholly, on a floor that holds no "
    "foot. Glue holds on the two "
    "sides of a mortise with long grain, half of its wall.",
    source=_BEAR,
    checks=(
        Check(
            {"foot_force": "808.6 N", "leg_run": "107.9 mm", "stretcher_height": "100 mm",
             "leg_rise": "300 mm", "stretcher_tenon": "16 mm", "stretcher_depth": "20 mm",
             "shear_strength": "12 MPa", "shoulder_length": "349.1 mm", "strength_factor": "2.652"},
            {"stretcher_pull_used": "0.192"}, _BEAR,
        ),
    ),
)  # fmt: skip


def relations(count: int, crossed: bool) -> tuple[Relation, ...]:
    """Return the relations of stretchers between three or four legs: a ring, or with a cross
    stretcher a T or an H."""
    own: tuple[Relation, ...] = (turn(count), MORTISE_GAP)
    if crossed:
        own = (cross(count), CROSS_WHOLE, GIVE, *((CROSS_ANGLE,) if count == 3 else ()))
    return (
        RADIUS, LEG_THERE, angle(count), length(count), WHOLE, floor(crossed),
        volume(count, crossed), area(count, crossed), MORTISE_MOMENT, MORTISE_SHIFT,
        MORTISE_MODULUS, MORTISE_STRENGTH,
        stepped_on(crossed), STRETCHER_SHEAR, hold(count, crossed), HELD_MOMENT, PULL,
        *own,
    )  # fmt: skip


_SHARE = sp.Rational(3, 5)
TENON, TENON_INCHES = (
    s.sold(_SHARE * stretcher_diameter, step) for step in (2 * q.MILLIMETRE, s.EIGHTH)
)
# A load at the middle bends a rod by its length, and the strength of a round one goes by the cube
# of its diameter: beyond this many diameters of the leg it is thicker by the cube root.
_LONG = sp.Rational(13, 2)

# --- What is assumed and asked ------------------------------------------------------------------


SIZES: tuple[Assumption, ...] = (
    assume(
        stretcher_load, wood.design_load / 2,
        "A sitter's foot, or somebody who steps up on it with half of the weight.",
        common_practice("our own choice"),
        first_to=("stretcher_strength_used", "stretcher_shear_used"),
        usual_share=(0.2, 4),
    ),
    assume(
        stretcher_diameter,
        _SHARE * s.leg_diameter
        * sp.Max(1, sp.cbrt(stretcher_length / (_LONG * s.leg_diameter)), evaluate=False),
        "Clearly thinner than the legs, and thick enough for a foot at its middle.",
        common_practice("three fifths of the leg; where it is longer than 6 1/2 times the leg's "
                        "diameter, thicker by the cube root of its length"),
        usual_share=(0.5, 1.6),
    ),
    assume(
        stretcher_tenon, TENON,
        "A leg keeps the wood beside its mortise.",
        common_practice("three fifths of the middle, down to a bit that is sold: by 2 mm"),
        usual_share=(0.5, 1.6),
    ),
    assume(
        stretcher_depth, sp.Rational(7, 10) * stretcher_diameter,
        "Deeper than the tenon is thick, with a floor left in leg and stretcher.",
        common_practice("seven tenths of the middle"),
        first_to=("mortise_floor", "stretcher_whole"), usual_share=(0.4, 1.6),
    ),
    assume(
        stretcher_height, _rise / 3,
        "Low enough to hold the legs, high enough to be out of the way.",
        common_practice("a third of the way up"),
        first_to=("stretcher_radius", "stretcher_length", "leg_at_stretcher", "cross_length"),
        usual_share=(0.2, 2.5),
    ),
)  # fmt: skip
STEP = assume(
    stretcher_step, 2 * stretcher_tenon,
    "As much wood is left between two mortises of a leg as one of them takes.",
    common_practice("twice the tenon"), first_to=("mortise_gap",), usual_share=(0.6, 5),
)  # fmt: skip


def assumptions(crossed: bool) -> tuple[Assumption, ...]:
    """Return what is assumed of stretchers where nothing given settles it, firmest first."""
    return SIZES if crossed else (*SIZES, STEP)


_OWN = "what stretchers bear; limits are our own choice"
FLOOR = Requirement(
    id="mortise_floor",
    name="wood behind the mortises",
    quantity="mortise_floor",
    source=common_practice("5 mm"),
    good=(5, None),
    tolerable=(0, None),
    too_low="The bit comes through, or its point does.",
    mend_low="Make the mortises shallower or the stretchers thicker.",
    fine="The mortises for stretchers keep their floor.",
)
GAP = Requirement(
    id="mortise_gap",
    name="wood between the mortises of a leg",
    quantity="mortise_gap",
    source=common_practice("6 mm"),
    good=(6, None),
    tolerable=(3, None),
    too_low="The two mortises of a leg nearly run into one another.",
    mend_low="Set the stretchers of the ring farther apart in height, or make their tenons "
    "thinner.",
    fine="The mortises of a leg miss one another.",
)
AT_MORTISE = Requirement(
    id="mortise_strength",
    name="strength of the legs at their mortises",
    quantity="mortise_strength_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="Under the loads given, what a mortise leaves of a leg is stressed beyond its design "
    "strength.",
    mend_high="Set the stretchers lower, make their tenons thinner or shallower, or the legs "
    "thicker.",
    fine="A leg stays within its design strength where it is mortised.",
)
STEPPED_ON = Requirement(
    id="stretcher_strength",
    name="strength of the stretchers",
    quantity="stretcher_strength_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="A foot set on a stretcher stresses it beyond its design strength.",
    mend_high="Use thicker stretchers, or set them higher, where they are shorter.",
    fine="A stretcher bears a foot on its middle.",
)
TENON_SHEAR = Requirement(
    id="stretcher_shear",
    name="tenons of the stretchers",
    quantity="stretcher_shear_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 1),
    tolerable=(None, 1.4),
    too_high="A foot set on a stretcher stresses its tenon beyond its design strength.",
    mend_high="Use thicker tenons.",
    fine="The tenon of a stretcher bears a foot on it.",
)


PULLED = Requirement(
    id="stretcher_pull",
    name="pull on the stretchers",
    quantity="stretcher_pull_used",
    source=derived(DERIVATION, _OWN),
    good=(None, 0.5),
    tolerable=(None, 1),
    too_high="The spread of the legs may draw a stretcher out of its mortise.",
    mend_high="Make the mortises deeper, or pin the tenons.",
    fine="Sound glue holds the stretchers; a dry joint holds nothing.",
)


def requirements(crossed: bool) -> tuple[Requirement, ...]:
    """Return what is asked of stretchers."""
    return (FLOOR, *(() if crossed else (GAP,)), AT_MORTISE, STEPPED_ON, TENON_SHEAR, PULLED)
