"""What splayed legs declare for a table or a stool: assumptions, requirements, likely givens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Relation, Requirement, assume
from tablekit.relations import (
    assumptions,
    mass,
    people,
    quantities,
    requirements,
    splayed,
    splayed_boring,
    splayed_load,
    splayed_quantities,
    splayed_season,
    splayed_socket,
    splayed_stand,
    splayed_stretchers,
    splayed_top,
    strength,
    table,
    tipping,
    top_load,
    top_work,
)
from tablekit.relations import splayed_quantities as s
from tablekit.relations.kinds import Declared, height_name, is_seat

_MM = sp.Rational(1, 1000)
APART = "none"  # the word for legs without stretchers
_NUMBERS = {3: "three", 4: "four"}

# What settles the top where it is given and no diameter is.
_FOLLOWED_BY_TOP = (
    "tipping_load", "stability_ratio", "seats", "seats_by_rim", "top_volume", "top_area",
    "trammel_radius",
)  # fmt: skip

# --- Assumptions, firmest first -----------------------------------------------------------

TOP_THICKNESS = assume(
    quantities.top_thickness,
    45 * _MM,
    "Deep enough for sockets that do not come through; planed from boards sawn 50 mm thick.",
    common_practice(),
    first_to=("rough_thickness",),
    usual=(15, 100),
    stated_by=("rough_thickness",),
    says="the top is {} thick",
)

SIGHT_TURN = assume(
    s.sight_turn,
    0,
    "Each leg leans straight out from the centre line, so the sight lines are the radii.",
    common_practice(),
    usual=(0, 45),
)

# As thick as the nearest bit that can be bought.
TENON, TENON_INCHES = (
    s.sold(sp.Rational(2, 3) * s.leg_diameter + step / 2, step)
    for step in (2 * quantities.MILLIMETRE, s.EIGHTH)
)

TENON_DIAMETER = assume(
    s.tenon_diameter,
    TENON,
    "It leaves a shoulder all round and keeps most of the leg's strength.",
    common_practice("two thirds of the leg, to the nearest bit that is sold: by 2 mm"),
    usual_share=(0.5, 1.5),
)

SOCKET_DEPTH = assume(
    s.socket_depth,
    sp.Rational(7, 10) * quantities.top_thickness,
    "As deep as possible with a floor left in the socket.",
    common_practice("seven tenths of the thickness"),
    first_to=("socket_cover", "socket_ratio"),
    usual_share=(0.4, 1.7),
    stated_by=("socket_ratio",),
)

FOOT_DIAMETER = assume(
    s.foot_diameter,
    sp.Rational(2, 3) * s.leg_diameter,
    "A leg is bent least at its foot; for a straight leg give foot_diameter.",
    common_practice("two thirds of the leg"),
    first_to=("leg_taper", "leg_volume"),
    usual_share=(0.3, 2),
    stated_by=("leg_taper",),
)

FOOT_TRIM = assume(
    s.foot_trim,
    10 * _MM,
    "The foot is cut level when the piece stands, and a saw starts better in whole wood.",
    common_practice(),
    first_to=("leg_blank",),
    usual=(0, 100),
)

SEAT_DIAMETER = assume(
    quantities.top_diameter,
    300 * _MM,
    "A round seat for one person; more than that makes a stool easier to tip.",
    common_practice("300 to 360 mm"),
    first_to=_FOLLOWED_BY_TOP,
    usual=(200, 600),
    says="the top is {} across",
)

TABLE_DIAMETER = assume(
    quantities.top_diameter,
    900 * _MM,
    "Room for four; as wide as legs without stretchers carry well.",
    common_practice(),
    first_to=_FOLLOWED_BY_TOP,
    usual=(300, 1600),
    says="the top is {} across",
)

LEG_DIAMETER = assume(
    s.leg_diameter,
    45 * _MM,
    "Two thirds of it make a tenon that bears a person near the edge, with no stretchers.",
    common_practice("38 to 50 mm at the top"),
    first_to=("leg_volume",),
    usual=(20, 90),
    says="the legs are {} thick under the top",
)

LINE_OF_SIGHT = assume(
    s.sight_line,
    sp.pi / 4,
    "Rake and splay equal: the two views are taken at 45° to either side of the direction in "
    "which a leg leans.",
    derived(splayed.DERIVATION, "resultant and sight line"),
)

SOCKET_RADIUS = assume(
    s.socket_radius,
    quantities.top_diameter / 3,
    "Two thirds of the way from the centre to the rim: enough wood outside the sockets.",
    common_practice(),
    first_to=("overhang", "edge_wood", "socket_spread"),
    usual_share=(0.3, 1.5),
    stated_by=("overhang", "socket_spread"),
)


def _lean(degrees: int, why: str) -> Assumption:
    return assume(
        s.leg_resultant,
        degrees * sp.pi / 180,
        why,
        common_practice("10° to 20°"),
        usual=(0.5, 40),
        usual_source=common_practice("mostly 8° to 22°, and 30° with stretchers"),
        stated_by=("drill_angle",),
        says="the legs lean {}",
    )


_FIRM = "Enough to stand firmly without straining the sockets."
# By the kind of piece and the number of its legs. Three feet stand on a narrower triangle than four
# on the same circle, so a stool on three leans more, and a table on four need not lean so far.
LEANS = {
    ("table", 3): _lean(15, _FIRM),
    ("table", 4): _lean(12, "Four feet stand firmly with less lean than three."),
    ("stool", 3): _lean(18, "On three feet a small stool needs this much to bear a sitter near the "
                            "edge."),
    ("stool", 4): _lean(15, _FIRM),
}  # fmt: skip

FIRMEST_FIRST: tuple[Assumption, ...] = (
    assumptions.DENSITY, assumptions.RIM_PER_SITTER, TOP_THICKNESS, assumptions.PAD_PROJECTION,
    SIGHT_TURN, TENON_DIAMETER, SOCKET_DEPTH, FOOT_DIAMETER, FOOT_TRIM, LINE_OF_SIGHT, LEG_DIAMETER,
    SOCKET_RADIUS,
)  # fmt: skip

# --- Requirements -------------------------------------------------------------------------

_KNEES_FIT = (
    "Enough height for the knees of a wheelchair user (685 mm). The legs take some of the width: "
    "look at the plan as well."
)
KNEES = replace(
    requirements.KNEES,
    fine=_KNEES_FIT,
    uses=tuple(
        replace(use, words=use.words if use.low == 0 else _KNEES_FIT)
        for use in requirements.KNEES.uses
    ),
)

TIPPING = replace(
    requirements.TIPPING,
    too_low="A hand leaning on the rim can tip it.",
    mend_low="Set the feet wider, make the base heavier or the top smaller.",
    care="Never let anyone sit or lean on the rim, keep children from climbing on it, and have a "
    "piece for public use tested to your local code.",
)

STOOL_TIPPING = replace(
    requirements.STOOL_TIPPING,
    mend_low="Set the feet wider, make the base heavier or the seat smaller.",
)

LEGS_UNDER_TOP = replace(
    requirements.OVERHANG,
    name="sockets under the top",
    too_low="The middles of the sockets lie outside the rim.",
    mend_low="Make the top wider or the circle of the sockets smaller.",
    fine="The middles of the sockets lie under the top.",
)

LEG_LEAN = Requirement(
    id="leg_lean",
    name="lean of the legs",
    quantity="leg_resultant",
    source=common_practice("8° to 22°, and no more than 30° without stretchers"),
    good=(8, 22),
    tolerable=(None, 30),
    too_low="Legs this steep look stiff and stand on a small circle: watch the tipping load.",
    too_high="Legs this flat work loose: every load on the top levers at the sockets.",
    mend_high="Join them with stretchers or stand them steeper. Do not trust a person's weight to "
    "the piece without a trial piece loaded well beyond use.",
    fine="A lean common for such legs.",
)

SOCKET_DEPTH_ENOUGH = Requirement(
    id="socket_depth",
    name="depth of the sockets",
    quantity="socket_ratio",
    source=common_practice("at least as deep as wide"),
    good=(1, None),
    tolerable=(0.75, None),
    too_low="Shallower than it is wide: the tenon has little to hold it against rocking.",
    mend_low="Make the top thicker, the socket deeper or the tenon thinner.",
    fine="At least as deep as it is wide.",
)

OVER_SOCKET = Requirement(
    id="socket_cover",
    name="wood over the sockets",
    quantity="socket_cover",
    source=common_practice("6 mm"),
    good=(6, None),
    tolerable=(None, None),
    too_low="The bit comes through the upper face or nearly so, and its point sooner. That is "
    "right only for a through tenon that is wedged.",
    mend_low="Set a depth stop, and try it in scrap.",
    fine="The edges of the bit stop short of the upper face; its point goes deeper.",
)

OUTSIDE_SOCKET = Requirement(
    id="socket_edge",
    name="wood outside the sockets",
    quantity="edge_wood",
    source=common_practice("20 mm, and no less than 10 mm"),
    good=(20, None),
    tolerable=(10, None),
    too_low="So little wood outside a socket splits off under load.",
    mend_low="Make the circle of the sockets smaller or the top wider.",
    fine="Enough wood outside the sockets.",
)

FEET = replace(requirements.FOOT_FLAT, quantity="foot_diameter")

_MIRRORED = (
    "Rake and splay differ. The feet are taken to stand on a square, each leg turned a quarter of "
    "a circle from the last. Legs that mirror one another stand on a rectangle instead, which "
    "tips over its long side sooner than stated here."
)
ALL_ROUND = Requirement(
    id="legs_alike",
    name="four equal legs",
    quantity="sight_line",
    source=derived(splayed.DERIVATION, "turned or mirrored"),
    good=(44.95, 45.05),
    too_low=_MIRRORED,
    too_high=_MIRRORED,
    fine="Rake and splay are equal, so the feet stand on a square whether the legs are turned or "
    "mirrored.",
)


# What stands, holds and fits, in the order of a textbook; stretchers come on top where there are
# any.
PARTS: tuple[Any, ...] = (
    splayed_stand, splayed_load, splayed_socket, splayed_top, splayed_season, splayed_boring,
)  # fmt: skip


def _crossed(joined: str) -> bool:
    """Whether one of the stretchers crosses to another, as in an H or a T."""
    return joined in ("H", "T")


# What is advised where stretchers join the legs already, by the requirement.
MENDS_WHERE_JOINED = {
    LEG_LEAN.id: "Stand them steeper. Do not trust a person's weight to the piece without a trial "
    "piece loaded well beyond use.",
    splayed_load.SPREADING.id: "Use thicker legs, or stand them steeper.",
    splayed_socket.TENON.id: "Use a thicker tenon, or stand the legs steeper.",
    splayed_socket.SLIPPERY.id: "Use a thicker tenon, or stand the legs steeper.",
}


def requirements_of(kind: str, count: int, joined: str = APART) -> tuple[Requirement, ...]:
    """The requirements on a "table" or a "stool" on three or four legs."""
    if joined == APART:
        return _asked_of(kind, count)
    own = splayed_stretchers.requirements(_crossed(joined))
    return tuple(
        replace(one, mend_high=MENDS_WHERE_JOINED.get(one.id, one.mend_high))
        for one in _asked_of(kind, count, own)
    )


def _asked_of(kind: str, count: int, own: tuple[Requirement, ...] = ()) -> tuple[Requirement, ...]:
    both = (
        STOOL_TIPPING if is_seat(kind) else TIPPING, tipping.WANTED, LEG_LEAN,
        SOCKET_DEPTH_ENOUGH, OVER_SOCKET, OUTSIDE_SOCKET, LEGS_UNDER_TOP, FEET,
        *((ALL_ROUND,) if count == 4 else ()),
        *(one for part in PARTS for one in part.REQUIREMENTS),
        *own,
    )  # fmt: skip
    if is_seat(kind):
        level = {splayed_stand.LEVEL: splayed_stand.STOOL_LEVEL}
        return (
            people.SEAT, tipping.LEANING_SITTER, *(level.get(one, one) for one in both)
        )  # fmt: skip
    return (requirements.HEIGHT, KNEES, people.THIGHS, requirements.PUSH, *both)


# --- The network --------------------------------------------------------------------------


# A maker who fixes how much of a strength is used expects the load to follow.
_GIVES_WAY_TO = {
    "design_load": (
        "foot_force", "load_moment", "leg_moment", "leg_strength_used", "tenon_strength_used",
        "slip_strength_used", "tenon_cross_force", "tenon_shear_used", "socket_pressure",
        "socket_bearing_used", "floor_strength_used", "rim_shear_used", "split_strength_used",
        "leg_buckling_used", "foot_slide", "middle_moment",
    ),
    "rim_load": ("push_moment", "withdrawal_used", "sway"),
    "seat_pad": (),
}  # fmt: skip


def _loads_assumed(kind: str, count: int, joined: str) -> Iterator[Assumption]:
    """What is assumed of loads, woods, fits and tools, as far as this kind of piece has it."""
    own = (relation for part in _stated(kind, count, joined) for relation in part)
    joins = () if joined == APART else splayed_stretchers.assumptions(_crossed(joined))
    stated = (*_loads(kind, count), *people.relations(kind), *own)
    named = {name for one in stated for name in one.symbols}
    every = (
        *tipping.ASSUMPTIONS, *people.ASSUMPTIONS, *strength.ASSUMPTIONS,
        *top_load.RIM_ASSUMPTIONS, *(one for part in PARTS for one in part.ASSUMPTIONS), *joins,
    )  # fmt: skip
    for one in every:
        if one.quantity is not None and (name := one.quantity.name) in named:
            yield replace(one, first_to=frozenset(_GIVES_WAY_TO.get(name, one.first_to)))


def shape_of(kind: str, count: int) -> tuple[Assumption, ...]:
    """The assumptions that settle the shape of a "table" or a "stool", firmest first."""
    seat = is_seat(kind)
    across = SEAT_DIAMETER if seat else TABLE_DIAMETER
    own = (a for a in FIRMEST_FIRST if not (seat and a is assumptions.RIM_PER_SITTER))
    return (*own, across, LEANS[kind, count])


def assumptions_of(kind: str, count: int, joined: str = APART) -> tuple[Assumption, ...]:
    """The assumptions of a "table" or a "stool" on three or four legs, firmest first."""
    # Loads and seats are firmer than the shape: a load that is wanted is met by the lean.
    return (*_loads_assumed(kind, count, joined), *shape_of(kind, count))


def relations(kind: str, count: int, joined: str = APART) -> tuple[Relation, ...]:
    """The relations of one kind of piece on three or four legs.

    joined  by stretchers: "none", "H" or "T", "ring"
    """
    whole = quantities.seat_height if is_seat(kind) else quantities.table_height
    below = (s.leg_rise, quantities.pad_projection)
    return (
        table.height(whole, below, "Pads, legs and top are stacked on one another."),
        *(() if is_seat(kind) else (table.KNEE_CLEARANCE,)),
        table.overhang(s.socket_radius, "centres of the sockets"),
        *splayed.relations(count),
        *(() if is_seat(kind) else table.seats()),
        mass.TOP_VOLUME,
        mass.TOP_MASS,
        _base_mass(count, joined),
        mass.TOTAL_MASS,
        *mass.wood_relations(),
        tipping.tipping(count),
        *_loads(kind, count),
        *people.relations(kind),
        *top_work.relations(
            count, None if joined == APART else splayed_stretchers.stretcher_area
        ),
        *(relation for part in _stated(kind, count, joined) for relation in part),
    )  # fmt: skip


def _base_mass(count: int, joined: str) -> Relation:
    more = None if joined == APART else splayed_stretchers.stretcher_volume
    return mass.base_mass(
        count,
        s.leg_volume,
        f"The {_NUMBERS[count]} legs, all equal, up to the underside of the top"
        + ("." if more is None else ", and their stretchers."),
        "What a socket takes out of the top its tenon fills, so the top is counted whole and "
        "the legs only up to its underside.",
        more,
    )


def _stated(kind: str, count: int, joined: str) -> Iterator[tuple[Relation, ...]]:
    """The relations of what stands, holds and fits, part by part."""
    yield splayed_stand.relations(kind, count)
    yield (strength.STRENGTH_FACTOR,)
    yield splayed_load.relations(kind, count, joined != APART)
    yield splayed_socket.relations(joined != APART)
    yield splayed_top.relations(kind, count)
    yield splayed_season.relations()
    yield splayed_boring.relations()
    if joined != APART:
        yield splayed_stretchers.relations(count, _crossed(joined))


def _loads(kind: str, count: int) -> tuple[Relation, ...]:
    """What tips it, other than a hand on the rim."""
    loads = tipping
    if is_seat(kind):
        high = quantities.seat_height
        return (
            loads.line(count), loads.SHARE, loads.push(high), loads.STEADY_ARM, loads.STEADY_RATIO,
        )  # fmt: skip
    high = quantities.table_height
    return (
        loads.line(count), loads.SHARE, loads.INSET, loads.push(high), loads.LOADED, loads.SITTER,
    )  # fmt: skip


def quantities_of(declared: tuple[Relation, ...]) -> tuple[Quantity, ...]:
    """The quantities that these relations speak of, in the order of the sheet."""
    named = {name for relation in declared for name in relation.symbols}
    every = (
        *splayed_quantities.EVERY, *mass.QUANTITIES, *top_work.QUANTITIES,
        *tipping.QUANTITIES, *people.QUANTITIES, *strength.QUANTITIES, strength.rim_load,
        *(quantity for part in PARTS for quantity in part.QUANTITIES),
        *splayed_stretchers.QUANTITIES,
    )  # fmt: skip
    own = {quantity.name: quantity for quantity in every if quantity.name in named}
    return tuple(own.values())


def wishes(kind: str) -> tuple[str, ...]:
    """What a maker is likely to know or want, likeliest first."""
    sitters = () if is_seat(kind) else ("seats",)
    return (
        height_name(kind), "top_diameter", "leg_diameter", "leg_length", *sitters, "foot_spread",
        "leg_rake", "leg_splay", "overhang", "tipping_load",
    )  # fmt: skip


@cache
def declared(kind: str, count: int, joined: str = APART) -> Declared:
    """All that a network of a "table" or a "stool" on three or four legs holds.

    joined  by stretchers: "none", "H" or "T", "ring"
    """
    stated = relations(kind, count, joined)
    return Declared(
        quantities=quantities_of(stated),
        relations=stated,
        assumptions=(*assumptions_of(kind, count, joined), *top_work.assumptions(count)),
        shape=shape_of(kind, count),
        constants=(
            quantities.STANDARD_GRAVITY,
            quantities.MILLIMETRE,
            *mass.CONSTANTS,
            *top_work.CONSTANTS,
            *splayed_socket.CONSTANTS,
        ),
        requirements=(*requirements_of(kind, count, joined), *top_work.requirements(count)),
        wishes=wishes(kind),
    )
