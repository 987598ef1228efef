"""The centre of mass of a piece, and the floor slope that tips it.

Proofs: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations.tipping_quantities import (
    base_centre,
    loaded_slope,
    mass_height,
    placed_height,
    placed_mass,
    placed_reach,
    tipping_arm,
    tipping_slope,
)

DERIVATION = "reference/derivations/tipping.md"

_arm, _mass = tipping_arm, q.total_mass
_deep, _wide = q.post_section, q.post_width
_n, _m, _climb = q.bearing_rise, q.side_rise, sp.cos(q.splay)
_low, _high, _rise = q.foot_flat_depth, q.head_flat_depth, q.base_height
_waist = q.foot_arm * _climb + (_deep * _n + _wide * _m) / 2 - _low

BASE_CENTRE = Relation(
    name="height of the base's centre of mass",
    equation=equal(
        (base_centre - q.pad_projection) * q.post_volume,
        _deep * _wide * q.post_length * (_rise + _high - _low) / 2
        - q.notch_volume * _waist
        + (_low**4 / 4 - _high**3 * (_rise + _high / 4)) / (6 * _climb * _n * _m),
    ),
    meaning="The centre of the blank, shifted slightly by what is cut away: half the height of the "
    "base if the waist is at mid-height and both flats are alike.",
    why="A whole blank balances at its centre, the wood cut from the notch at the waist, and each "
    "corner cut off, a pyramid, at a quarter of its depth beyond its flat. The waist is exact for "
    "square posts at the square crossing and for two notches. Elsewhere the error is the notch's "
    "share of the post, a few hundredths, times a few millimetres.",
    source=derived(DERIVATION, "where the mass is"),
    checks=(
        Check(
            {
                "post_section": "64 mm", "post_width": "64 mm", "post_length": "1000 mm",
                "splay": "54.735610 deg", "bearing_rise": "0.5773503", "side_rise": "0.5773503",
                "foot_arm": "500 mm", "foot_flat_depth": "10 mm", "head_flat_depth": "10 mm",
                "base_height": "631.251 mm", "pad_projection": "3 mm",
                "notch_volume": "131072 mm^3", "post_volume": "3963195.95 mm^3",
            },
            {"base_centre": "318.63 mm"},
            derived(DERIVATION, "by symmetry, half of 631.251 on pads of 3"),
        ),
    ),
)  # fmt: skip


def centre(whole: Quantity) -> Relation:
    """Return the height of the centre of mass of the piece."""
    return Relation(
        name="height of the centre of mass",
        equation=equal(
            _mass * mass_height,
            q.top_mass * (whole - q.top_thickness / 2)
            + q.base_mass * base_centre,
        ),
        meaning="Top and base balance between their own centres of mass, nearer the heavier one.",
        why="Take moments of mass about the floor. By threefold symmetry the centre of mass is on "
        "the centre line.",
        source=derived(DERIVATION, "where the mass is"),
        checks=(
            Check(
                {
                    "top_mass": "6 kg", "base_mass": "4 kg", "total_mass": "10 kg",
                    whole.name: "735 mm", "top_thickness": "30 mm", "base_centre": "350 mm",
                },
                {"mass_height": "572 mm"},
                derived(DERIVATION, "where the mass is"),
            ),
        ),
    )  # fmt: skip


SLOPE = Relation(
    name="tipping slope",
    equation=equal(sp.tan(tipping_slope) * mass_height, _arm),
    meaning="On a sloping floor, the piece tips once its centre of mass is vertically above the "
    "line through the two lower feet.",
    why="The tangent of the slope is the arm divided by the height. The floor is taken to slope "
    "straight down towards the line.",
    source=derived(DERIVATION, "slopes"),
    checks=(
        Check(
            {"tipping_arm": "197.916 mm", "mass_height": "500 mm"},
            {"tipping_slope": "21.60 deg"},
            derived(DERIVATION, "slopes"),
        ),
    ),
)

LOADED_SLOPE = Relation(
    name="tipping slope of the loaded piece",
    equation=equal(
        sp.tan(loaded_slope)
        * (
            _mass * mass_height
            + placed_mass * (q.table_height + placed_height)
        ),
        _mass * _arm + placed_mass * (_arm - placed_reach),
    ),
    meaning="The piece and its load tip together, with their centre of mass higher up.",
    why="The tangent of the slope is the sum of the moments of mass about the line divided by that "
    "about the floor. The load is assumed not to slide or topple first.",
    source=derived(DERIVATION, "slopes"),
    checks=(
        Check(
            {
                "total_mass": "18.42 kg", "tipping_arm": "197.916 mm", "mass_height": "500 mm",
                "placed_mass": "10 kg", "placed_reach": "0 mm", "table_height": "735 mm",
                "placed_height": "100 mm",
            },
            {"loaded_slope": "17.76 deg"},
            derived(DERIVATION, "slopes"),
        ),
    ),
)  # fmt: skip
