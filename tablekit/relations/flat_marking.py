"""Marking out and cutting the flats: the sharp corner of each end, cut level.

Proofs: `reference/derivations/marking.md` and `reference/derivations/flats.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, declared_in, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/marking.md"

# --- Marking ----------------------------------------------------------------------------

flat_depth = Quantity(
    "flat_depth", "d", "mm", "sharp corner of an end to its level cut, plumb", 0.05, 300
)
flat_along = Quantity(
    "flat_along",
    "i_u",
    "mm",
    "sharp corner to the flat, along the long arris",
    0.05,
    4000,
    latex="i_u",
)
flat_over_bearing = Quantity(
    "flat_over_bearing",
    "i_m",
    "mm",
    "sharp corner to the flat, across the bearing face or the face opposite it",
    0.05,
    4000,
    latex="i_m",
)
flat_over_side = Quantity(
    "flat_over_side",
    "i_n",
    "mm",
    "sharp corner to the flat, across the notched face or the face opposite it",
    0.05,
    4000,
    latex="i_n",
)
cut_on_bearing = Quantity(
    "cut_on_bearing",
    "l_m",
    "mm",
    "length of the cut line on the bearing face or the face opposite it",
    0.05,
    6000,
    latex="l_m",
)
cut_on_side = Quantity(
    "cut_on_side",
    "l_n",
    "mm",
    "length of the cut line on the notched face or the face opposite it",
    0.05,
    6000,
    latex="l_n",
)
cut_on_end = Quantity(
    "cut_on_end",
    "l_u",
    "mm",
    "length of the cut line on the end of the post",
    0.05,
    6000,
    latex="l_u",
)

_d, _climb = flat_depth, sp.cos(q.splay)
_n, _m = q.bearing_rise, q.side_rise
_SQUARE_FLAT = derived(DERIVATION, "the flats: d√3 along every edge at the square crossing")


def _intercept(
    name: str, found: Quantity, rise: sp.Expr, given: dict[str, str], edge: str
) -> Relation:
    return Relation(
        name=name,
        equation=equal(found * rise, _d),
        meaning=f"Where the flat meets the {edge} of the sharp corner.",
        why="The edge climbs its share of every step; it meets the flat where it has climbed the "
        "depth.",
        source=derived(DERIVATION, "the flats"),
        checks=(Check({"flat_depth": "10 mm", **given}, {found.name: "17.321 mm"}, _SQUARE_FLAT),),
    )


FLAT_ALONG = _intercept(
    "flat along the arris", flat_along, _climb, {"splay": "54.735610 deg"}, "long arris"
)
FLAT_OVER_BEARING = _intercept(
    "flat across the bearing face",
    flat_over_bearing,
    _m,
    {"side_rise": "0.577350"},
    "end edge on the bearing face",
)
FLAT_OVER_SIDE = _intercept(
    "flat across the notched face",
    flat_over_side,
    _n,
    {"bearing_rise": "0.577350"},
    "end edge on the notched face",
)


head_line = Quantity(
    "head_line",
    "x_h",
    "mm",
    "foot end to the flat at the head, along the long arris",
    0,
    4000,
    latex="x_h",
)

HEAD_LINE = Relation(
    name="flat at the head, from the foot end",
    equation=equal(head_line + flat_along, q.post_length),
    meaning="The head's flat, measured from the same end as everything else.",
    why="One end of the post to the other.",
    source=derived(DERIVATION, "the flats"),
    checks=(
        Check(
            {"post_length": "1000 mm", "flat_along": "25 mm"},
            {"head_line": "975.0 mm"},
            common_practice("measure everything from one end"),
        ),
    ),
)


def _side(name: str, found: Quantity, one: Quantity, other: Quantity) -> Relation:
    return Relation(
        name=name,
        equation=equal(found, sp.sqrt(one**2 + other**2)),
        meaning="One side of the triangle that forms the flat.",
        why="Pythagoras: the two edges it joins are square to one another.",
        source=derived(DERIVATION, "the flats"),
        checks=(
            Check(
                {one.name: "17.320508 mm", other.name: "17.320508 mm"},
                {found.name: "24.4949 mm"},
                derived("reference/derivations/flats.md", "side d√6 at the square crossing"),
            ),
        ),
    )


CUT_ON_BEARING = _side(
    "cut line on the bearing face", cut_on_bearing, flat_along, flat_over_bearing
)
CUT_ON_SIDE = _side("cut line on the notched face", cut_on_side, flat_along, flat_over_side)
CUT_ON_END = _side("cut line on the end", cut_on_end, flat_over_bearing, flat_over_side)

FLATS: tuple[Relation, ...] = (
    FLAT_ALONG,
    FLAT_OVER_BEARING,
    FLAT_OVER_SIDE,
    HEAD_LINE,
    CUT_ON_BEARING,
    CUT_ON_SIDE,
    CUT_ON_END,
)

# --- Cutting ----------------------------------------------------------------------------

mitre_on_bearing = Quantity(
    "mitre_on_bearing",
    "μ_f",
    "deg",
    "angle of the flat across the bearing face, out of square",
    0,
    90,
    latex=r"\mu_f",
)
mitre_on_side = Quantity(
    "mitre_on_side",
    "ν_f",
    "deg",
    "angle of the flat across the notched face, out of square",
    0,
    90,
    latex=r"\nu_f",
)
tilt_on_bearing = Quantity(
    "tilt_on_bearing",
    "κ_f",
    "deg",
    "blade tilt out of plumb, the post lying on the face opposite",
    0,
    90,
    latex=r"\kappa_f",
)
tilt_on_side = Quantity(
    "tilt_on_side",
    "χ_f",
    "deg",
    "blade tilt out of plumb, the post lying on a side",
    0,
    90,
    latex=r"\chi_f",
)
flat_to_bearing = Quantity(
    "flat_to_bearing",
    "ω_n",
    "deg",
    "angle between the flat and the bearing face",
    0,
    90,
    latex=r"\omega_n",
)
flat_to_side = Quantity(
    "flat_to_side",
    "ω_m",
    "deg",
    "angle between the flat and the notched face",
    0,
    90,
    latex=r"\omega_m",
)
flat_to_end = Quantity(
    "flat_to_end",
    "ω_u",
    "deg",
    "angle between the flat and the end of the post",
    0,
    90,
    latex=r"\omega_u",
)

_SPLAY = {"splay": "54.735610 deg"}
_EQUAL = derived(DERIVATION, "the square crossing: all three faces alike")


def _mitre(name: str, found: Quantity, rise: sp.Symbol) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.tan(found) * _climb, rise),
        meaning="How far the cut line of the flat runs out of square across the face.",
        why="It joins two intercepts on edges square to one another; their ratio is the tangent.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check({**_SPLAY, rise.name: "0.5773503"}, {found.name: "45.0000 deg"}, _EQUAL),),
    )


def _tilt(name: str, found: Quantity, rise: sp.Symbol) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.sin(found), rise),
        meaning="How far the blade is tilted out of plumb to cut a flat.",
        why="The flat leans over the face by as much as the face climbs.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check({rise.name: "0.5773503"}, {found.name: "35.2644 deg"}, _EQUAL),),
    )


def _between(name: str, found: Quantity, rise: sp.Expr, given: dict[str, str]) -> Relation:
    return Relation(
        name=name,
        equation=equal(sp.cos(found), rise),
        meaning="The angle of a guide block, between its sole and that face of the post.",
        why="The flat is level, so the angle between it and a face is the angle at which the face "
        "leans.",
        source=derived(DERIVATION, "cutting the flats"),
        checks=(Check(given, {found.name: "54.7356 deg"}, _EQUAL),),
    )


FLAT_CUTS: tuple[Relation, ...] = (
    _mitre("mitre of the flat on the bearing face", mitre_on_bearing, _m),
    _mitre("mitre of the flat on the notched face", mitre_on_side, _n),
    _tilt("tilt of the blade over the bearing face", tilt_on_bearing, _n),
    _tilt("tilt of the blade over the notched face", tilt_on_side, _m),
    _between("flat to bearing face", flat_to_bearing, _n, {"bearing_rise": "0.5773503"}),
    _between("flat to notched face", flat_to_side, _m, {"side_rise": "0.5773503"}),
    _between("flat to the end", flat_to_end, _climb, _SPLAY),
)

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())
RELATIONS: tuple[Relation, ...] = (*FLATS, *FLAT_CUTS)
