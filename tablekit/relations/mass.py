"""What the wood weighs: its density, the volumes of the parts, and their mass.

Proofs: `reference/derivations/notch_volume.md` and `reference/derivations/mass_and_heights.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived, quoted
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations.quantities import wood_density

# -- from the specific gravity that a handbook prints to a density ---------------------------------

specific_gravity = Quantity(
    "specific_gravity", "G", "1",
    "density of the wood over that of water: ovendry mass over volume at 12 % moisture",
    0.07, 1.3,
)  # fmt: skip

WATER_DENSITY = Constant(
    "water_density", "δ_w", 1000.0, "kg/m^3", "density of water, which specific gravity refers to",
    quoted("Wood Handbook, FPL-GTR-190", "chapter 4, density and specific gravity"),
    latex=r"\delta_w",
)  # fmt: skip

_HANDBOOK = quoted(
    "Wood Handbook, FPL-GTR-190",
    "chapter 4, density = water density × specific gravity × (1 + moisture/100)",
)

DENSITY_FROM_SPECIFIC_GRAVITY = Relation(
    name="density from specific gravity",
    equation=equal(
        wood_density,
        WATER_DENSITY * specific_gravity * sp.Rational(112, 100),
    ),
    meaning="Wood dried to 12 % moisture weighs its dry substance plus 12 % of that in water.",
    why=(
        "Specific gravity is the ovendry mass over the volume that the wood has at 12 % moisture. "
        "The water still in it adds 12 % of that mass and is already in the volume."
    ),
    source=_HANDBOOK,
    checks=(
        Check(
            given={"specific_gravity": "0.4"},
            expected={"wood_density": "448 kg/m^3"},
            source=_HANDBOOK,
        ),
    ),
)

QUANTITIES = (specific_gravity,)
CONSTANTS = (WATER_DENSITY,)


def wood_relations() -> tuple[Relation, ...]:
    """The relations of the wood itself."""
    return (DENSITY_FROM_SPECIFIC_GRAVITY,)


# -- volumes and masses ----------------------------------------------------------------------------

DERIVATION = "reference/derivations/mass_and_heights.md"
NOTCH_DERIVATION = "reference/derivations/notch_volume.md"
RECTANGULAR = "reference/derivations/rectangular_posts.md"
TWO_NOTCHES = "reference/derivations/two_notches.md"

_deep, _wide, _e = q.post_section, q.post_width, q.axis_offset
_phi, _tau = q.crossing_angle, q.notch_floor_tilt

NOTCH_VOLUME = Relation(
    name="volume of the notch",
    equation=equal(
        q.notch_volume * sp.sin(_phi),
        _wide * _deep * (_wide / 2 + (_deep / 2 - _e) / sp.cos(_tau)),
    ),
    meaning="The notch is a slanted slice of the post: its length along the post times the part "
    "of the section above its floor.",
    why="The floor runs out through the two bearing faces at heights whose mean is the height at "
    "the middle, so the part of the section above it is a trapezium.",
    source=derived(NOTCH_DERIVATION),
    limits=(
        Limit(
            (_wide * sp.cos(_tau) - _deep * sp.Abs(sp.sin(_tau))) / 2 - sp.Abs(_deep / 2 - _e),
            "the floor of the notch runs out through the bearing face and the face opposite to it, "
            "and meets neither the notched face nor the one opposite to that",
            otherwise="leave out",
        ),
    ),
    checks=(
        Check(
            {
                "post_section": "64 mm",
                "post_width": "64 mm",
                "axis_offset": "32 mm",
                "crossing_angle": "90 deg",
                "notch_floor_tilt": "0 deg",
            },
            {"notch_volume": "131072 mm^3"},
            derived(NOTCH_DERIVATION, "posts compared as boolean solids"),
        ),
        Check(
            {
                "post_section": "60 mm",
                "post_width": "90 mm",
                "axis_offset": "30 mm",
                "crossing_angle": "90 deg",
                "notch_floor_tilt": "0 deg",
            },
            {"notch_volume": "243000 mm^3"},
            derived(RECTANGULAR, "90 long, 45 deep, right across the 60"),
        ),
    ),
)

TWO_NOTCHES_VOLUME = Relation(
    name="volume of the two notches",
    equation=equal(4 * q.notch_volume, 3 * _deep**3),
    meaning="Each post keeps a quarter of the cube where the posts cross.",
    why="Each notch takes half of that cube, and the two overlap in a quarter of it.",
    source=derived(TWO_NOTCHES, "how much wood"),
    checks=(
        Check(
            {"post_section": "64 mm"},
            {"notch_volume": "196608 mm^3"},
            derived(TWO_NOTCHES, "three quarters of 64³"),
        ),
    ),
)

POST_VOLUME = Relation(
    name="volume of a post",
    equation=equal(
        q.post_volume,
        _deep * _wide * q.post_length
        - q.notch_volume
        - (q.foot_flat_depth**3 + q.head_flat_depth**3)
        / (6 * sp.cos(q.splay) * q.bearing_rise * q.side_rise),
    ),
    meaning="The blank less its notch or notches and the two corners cut off level.",
    why="Each corner cut off is a pyramid on three edges that meet at right angles: a sixth of "
    "the product of the three.",
    source=derived(NOTCH_DERIVATION, "the whole post"),
)

TOP_VOLUME = Relation(
    name="volume of the top",
    equation=equal(q.top_volume, sp.pi / 4 * q.top_diameter**2 * q.top_thickness),
    meaning="The top is a round slab.",
    why="Area of a circle times thickness; the arrises are only broken with paper.",
    source=derived(DERIVATION, "masses"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "top_thickness": "28 mm"},
            {"top_volume": "0.0178 m^3"},
            derived(DERIVATION, "masses"),
        ),
    ),
)

TOP_MASS = Relation(
    name="mass of the top",
    equation=equal(q.top_mass, q.wood_density * q.top_volume),
    meaning="The top weighs its volume times the density of the wood.",
    why="The same wood throughout; plates and screws are not counted.",
    source=derived(DERIVATION, "masses"),
    checks=(
        Check(
            {"top_volume": "0.01781 m^3", "wood_density": "620 kg/m^3"},
            {"top_mass": "11.04 kg"},
            derived(DERIVATION, "masses"),
        ),
    ),
)

_OF_AS_MANY = {3: "7.37 kg", 4: "9.83 kg"}


def base_mass(
    count: int, part: Quantity, meaning: str, why: str, more: Quantity | None = None
) -> Relation:
    """Mass of `count` equal parts, each of the volume `part`, and of the volume `more`."""
    extra = {} if more is None else {more.name: "0 mm^3"}
    return Relation(
        name="mass of the base",
        equation=equal(
            q.base_mass, q.wood_density * (count * part + (0 if more is None else more))
        ),
        meaning=meaning,
        why=why,
        source=derived(DERIVATION, "masses"),
        checks=(
            Check(
                {part.name: "3964928 mm^3", "wood_density": "620 kg/m^3", **extra},
                {"base_mass": _OF_AS_MANY[count]},
                derived(DERIVATION, "masses"),
            ),
        ),
    )


BASE_MASS = base_mass(
    3,
    q.post_volume,
    "Three equal posts.",
    "The neighbour fills what a notch takes from a post, so the masses of the posts simply add up.",
)

TOTAL_MASS = Relation(
    name="mass of the whole piece",
    equation=equal(q.total_mass, q.top_mass + q.base_mass),
    meaning="Top and base together.",
    why="Glue, finish and metal fittings are not counted.",
    source=derived(DERIVATION, "masses"),
    checks=(
        Check(
            {"top_mass": "11.044 kg", "base_mass": "7.375 kg"},
            {"total_mass": "18.42 kg"},
            derived(DERIVATION, "masses"),
        ),
    ),
)


def relations(notches: int = 1) -> tuple[Relation, ...]:
    """Volumes and masses, with one notch or two to a post."""
    cut_out = NOTCH_VOLUME if notches == 1 else TWO_NOTCHES_VOLUME
    return (cut_out, POST_VOLUME, TOP_VOLUME, TOP_MASS, BASE_MASS, TOTAL_MASS)
