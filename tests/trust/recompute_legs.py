"""Pieces on splayed legs worked out twice: by the sheet, and by plain vectors that know none of its
relations and are told only what a maker settles. Solids of such a base the kit has none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import product

import numpy as np

from tablekit.engine.sheet import Sheet
from tablekit.relations import bases, families, kinds
from tests.relations.splayed_vectors import Design, measure
from tests.trust.recompute import Found, on_the_sheet, set_out

Family = tuple[str, str, str]
STYLE = bases.SplayedLegs.style
FAMILIES: tuple[Family, ...] = tuple(product(kinds.KINDS, (STYLE,), bases.LEGS))
# How the lean is given, and how the height: as a whole, under the top, or by the length of a leg.
LEANS = (("leg_rake", "leg_splay"), ("leg_resultant", "sight_line"), ("drill_angle", "leg_splay"))
HEIGHTS = ("whole", "leg_rise", "leg_length")
# May pass through nothing: measured against a size of the piece.
AGAINST = {
    "overhang": "socket_radius", "socket_cover": "socket_depth", "edge_wood": "socket_radius",
    "leg_taper": "socket_ratio", "sight_turn": "sight_line",
}  # fmt: skip


def givens(random: np.random.Generator, kind: str, number: int) -> dict[str, float]:
    """A design drawn at random, given in one of the ways that makers may."""
    height = random.uniform(300, 750) if kind == "stool" else random.uniform(400, 900)
    thick, top = random.uniform(28, 55), random.uniform(28, 55)
    rim = height * random.uniform(0.35, 0.6)
    given = {
        "socket_radius": rim * random.uniform(0.45, 0.8),
        "leg_diameter": thick,
        "foot_diameter": thick * random.uniform(0.5, 1.1),
        "tenon_diameter": thick * random.uniform(0.5, 0.9),
        "socket_depth": top * random.uniform(0.4, 0.85),
        "top_thickness": top,
        "top_diameter": 2 * rim,
        "sight_turn": random.choice([0.0, random.uniform(1, 60)]),
    }
    rake, splay = (math.radians(random.uniform(2, 25)) for _ in range(2))
    resultant = math.atan(math.hypot(math.tan(rake), math.tan(splay)))
    leans = {
        "leg_rake": rake, "leg_splay": splay, "leg_resultant": resultant,
        "sight_line": math.atan2(math.tan(splay), math.tan(rake)),
        "drill_angle": math.pi / 2 - resultant,
    }  # fmt: skip
    given |= {name: math.degrees(leans[name]) for name in LEANS[number % len(LEANS)]}
    by = HEIGHTS[number // len(LEANS) % len(HEIGHTS)]
    whole = "seat_height" if kind == "stool" else "table_height"
    given[whole if by == "whole" else by] = height
    return {name: float(value) for name, value in given.items()}


def design_of(sheet: Sheet, count: int) -> Design:
    """What the maker of this sheet settles, and nothing else of it."""
    of = sheet.number
    return Design(
        count=count,
        rake=math.radians(of("leg_rake")),
        splay=math.radians(of("leg_splay")),
        turn=math.radians(of("sight_turn")),
        rise=of("leg_rise"),
        socket_radius=of("socket_radius"),
        thick=of("leg_diameter"),
        thin=of("foot_diameter"),
        tenon=of("tenon_diameter"),
        depth=of("socket_depth"),
        top=of("top_thickness"),
        rim=of("top_diameter") / 2,
    )


def compare(found: Found, sheet: Sheet, count: int, given: Mapping[str, float]) -> None:
    """Every number that the vectors have, against the sheet's."""
    design = design_of(sheet, count)
    plain, mine = measure(design), on_the_sheet(sheet)
    density = sheet.number("wood_density") * 1e-9
    top = math.pi * design.rim**2 * design.top
    plain["base_mass"] = count * plain["leg_volume"] * density
    plain["total_mass"] = plain["base_mass"] + top * density
    for name, number in plain.items():
        if name not in mine:
            found.left_out[name] += 1
            continue
        if name == "edge_wood" and design.turn:
            # Where a leg does not lean straight out there may be more than the kit says, not less.
            number = min(number, mine[name])
        found.note(name, _off(name, mine[name], number, mine), given)
    for name, number in given.items():
        found.note(f"{name}, as given", _off(name, sheet.number(name), number, {}), given)


def _off(name: str, one: float, other: float, sizes: Mapping[str, float]) -> float:
    """Disagreement as a share of the larger, or of what `AGAINST` names."""
    if not math.isfinite(one - other):
        return math.inf
    size = max(abs(one), abs(other), abs(sizes.get(AGAINST.get(name, ""), 0.0)))
    return abs(one - other) / size if size else 0.0


def run(family: Family, count: int, seed: int = 1) -> Found:
    """Draw `count` designs of a family and compare both accounts of each."""
    kind, style, legs = family
    of = families.network(kind, style=style, legs=legs)
    random = np.random.default_rng([seed, FAMILIES.index(family)])
    found = Found()
    for number in range(40 * count):
        if found.designs == count:
            return found
        given = givens(random, kind, number)
        sheet = set_out(of, given)
        if isinstance(sheet, str):
            found.refused[sheet] += 1
            continue
        compare(found, sheet, bases.LEGS[legs], given)
        found.designs += 1
    raise AssertionError(f"only {found.designs} of {40 * count} designs of {family} can be set out")
