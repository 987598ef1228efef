"""How much wood there is and what it weighs.

Proofs: `reference/derivations/notch_volume.md` and `reference/derivations/mass_and_heights.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.relation import Check, Limit, Relation
from tablekit.engine.source import derived
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/mass_and_heights.md"
NOTCH_DERIVATION = "reference/derivations/notch_volume.md"

_w, _e = q.post_section.symbol, q.axis_offset.symbol
_phi, _tau = q.pair_angle.symbol, q.floor_tilt.symbol
_half = _w / 2

NOTCH_VOLUME = Relation(
    name="wood out of the notch",
    equation=sp.Eq(
        q.notch_volume.symbol * sp.sin(_phi), _w**2 * (_half + (_half - _e) / sp.cos(_tau))
    ),
    meaning="The notch is a slanted slice of the post: its length along the post times the part "
    "of the section above its floor.",
    why="The floor cuts the two side faces of the section at heights that average to the height "
    "at the middle, so the part above it is a trapezium.",
    source=derived(NOTCH_DERIVATION),
    limits=(
        Limit(
            _half * (sp.cos(_tau) - sp.Abs(sp.sin(_tau))) - sp.Abs(_half - _e),
            "the tilted floor of the notch runs out through the two side faces of the post",
            otherwise="leave out",
        ),
    ),
    checks=(
        Check(
            {
                "post_section": "64 mm", "axis_offset": "32 mm", "pair_angle": "90 deg",
                "floor_tilt": "0 deg",
            },
            {"notch_volume": "131072 mm^3"},
            derived(NOTCH_DERIVATION, "posts compared as boolean solids"),
        ),
    ),
)

POST_VOLUME = Relation(
    name="wood in a post",
    equation=sp.Eq(
        q.post_volume.symbol,
        _w**2 * q.post_length.symbol
        - q.notch_volume.symbol
        - (q.foot_flat_depth.symbol**3 + q.head_flat_depth.symbol**3)
        / (6 * sp.cos(q.splay.symbol) * q.bearing_rise.symbol * q.side_rise.symbol),
    ),
    meaning="The square blank less its notch and the two corners cut off level.",
    why="Each corner cut off is a pyramid on three edges that meet at right angles: a sixth of "
    "the product of the three.",
    source=derived(NOTCH_DERIVATION, "the whole post"),
)

TOP_VOLUME = Relation(
    name="wood in the top",
    equation=sp.Eq(
        q.top_volume.symbol, sp.pi / 4 * q.top_diameter.symbol**2 * q.top_thickness.symbol
    ),
    meaning="The top is a round slab.",
    why="Area of a circle times thickness; a rounded or bevelled rim is not taken off.",
    source=derived(DERIVATION, "masses"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "top_thickness": "28 mm"}, {"top_volume": "0.0178 m^3"},
            derived(DERIVATION, "masses"),
        ),
    ),
)

TOP_MASS = Relation(
    name="mass of the top",
    equation=sp.Eq(q.top_mass.symbol, q.wood_density.symbol * q.top_volume.symbol),
    meaning="The top weighs its volume times the density of the wood.",
    why="One kind of wood throughout; plates and screws are not counted.",
    source=derived(DERIVATION, "masses"),
)

BASE_MASS = Relation(
    name="mass of the base",
    equation=sp.Eq(q.base_mass.symbol, 3 * q.wood_density.symbol * q.post_volume.symbol),
    meaning="Three posts alike.",
    why="What a notch takes from one post its neighbour fills, so the posts are simply added.",
    source=derived(DERIVATION, "masses"),
)

TOTAL_MASS = Relation(
    name="mass of the whole piece",
    equation=sp.Eq(q.total_mass.symbol, q.top_mass.symbol + q.base_mass.symbol),
    meaning="Top and base together.",
    why="Glue, finish and metal fittings are not counted.",
    source=derived(DERIVATION, "masses"),
)


def relations() -> tuple[Relation, ...]:
    """Volumes and masses."""
    return (NOTCH_VOLUME, POST_VOLUME, TOP_VOLUME, TOP_MASS, BASE_MASS, TOTAL_MASS)
