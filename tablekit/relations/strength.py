"""Strength and stiffness of the wood, and the factor from average strength to design strength.

`reference/derivations/strength.md` says where every part of the factor comes from.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal

DERIVATION = "reference/derivations/strength.md"

bending_strength = Quantity(
    "bending_strength", "f_m", "MPa",
    "bending stress at which a clear specimen breaks, on average (modulus of rupture)", 5, 300,
    latex="f_m",
)  # fmt: skip
elastic_modulus = Quantity(
    "elastic_modulus", "E_0", "MPa",
    "stiffness of the wood along the grain, from bending tests (modulus of elasticity)",
    1000, 40_000, latex="E_0",
)  # fmt: skip
compression_along = Quantity(
    "compression_along", "f_c", "MPa", "crushing strength along the grain, on average", 5, 200,
    latex="f_c",
)  # fmt: skip
compression_across = Quantity(
    "compression_across", "f_90", "MPa",
    "stress across the grain at which a permanent dent begins, on average", 0.5, 60,
    latex="f_{90}",
)  # fmt: skip
shear_strength = Quantity(
    "shear_strength", "f_v", "MPa", "shear strength along the grain, on average", 1, 50,
    latex="f_v",
)  # fmt: skip
tension_across = Quantity(
    "tension_across", "f_t", "MPa", "tensile strength across the grain, on average", 0.3, 20,
    latex="f_t",
)  # fmt: skip
variation_factor = Quantity(
    "variation_factor", "k_v", "1", "ratio of the average strength to that of the weakest board in "
    "twenty",
    1, 4, latex="k_v",
)  # fmt: skip
duration_factor = Quantity(
    "duration_factor", "k_d", "1",
    "ratio of the strength in a test of a few minutes to that under a lasting load", 1, 3,
    latex="k_d",
)  # fmt: skip
moisture_factor = Quantity(
    "moisture_factor", "k_w", "1", "ratio of the strength at 12 % moisture to that at the highest "
    "moisture in use",
    0.8, 3, latex="k_w",
)  # fmt: skip
grade_factor = Quantity(
    "grade_factor", "k_f", "1",
    "ratio of the strength of clear straight-grained wood to that of wood with small defects and "
    "sharp inner corners", 1, 6,
    latex="k_f",
)  # fmt: skip
strength_factor = Quantity(
    "strength_factor", "k_s", "1", "ratio of the published average strength to the design strength",
    1, 20, latex="k_s",
)  # fmt: skip
design_load = Quantity(
    "design_load", "P_s", "N", "vertical load on the top that the posts have to carry", 1, 50_000,
    latex="P_s",
)  # fmt: skip
trusted_bearing = Quantity(
    "trusted_bearing", "p_90", "MPa",
    "design pressure across the grain, to avoid permanent dents", 0.02, 60,
    latex="p_{90}",
)  # fmt: skip
rim_load = Quantity(
    "rim_load", "P_r", "N", "push of a person on the rim: down, up or sideways", 1, 20_000,
    latex="P_r",
)  # fmt: skip

QUANTITIES: tuple[Quantity, ...] = (
    bending_strength, elastic_modulus, compression_along, compression_across, shear_strength,
    tension_across, variation_factor, duration_factor, moisture_factor, grade_factor,
    strength_factor, design_load, trusted_bearing,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

STRENGTH_FACTOR = Relation(
    name="strength factor",
    equation=equal(
        strength_factor,
        variation_factor * duration_factor * moisture_factor
        * grade_factor,
    ),
    meaning="The published average is divided by four factors, one for each way in which furniture "
    "is worse off than the specimen in the testing machine.",
    why="Each factor reduces what the others leave, so they multiply.",
    source=derived(DERIVATION, "the factor and its parts"),
    checks=(
        Check(
            {
                "variation_factor": "1.36", "duration_factor": "1.3", "moisture_factor": "1.0",
                "grade_factor": "1.5",
            },
            {"strength_factor": "2.65"},
            derived(DERIVATION, "the factor and its parts, multiplied by hand"),
        ),
    ),
)  # fmt: skip


TRUSTED_BEARING = Relation(
    name="design pressure across the grain",
    equation=equal(
        trusted_bearing * strength_factor, compression_across
    ),
    meaning="The pressure allowed on the faces of a notch, or under a plate or washer on wood.",
    why="The published stress is the average at which a permanent dent begins. The factor reduces "
    "it to a design value, as for every other strength.",
    source=derived(DERIVATION, "the averages"),
    checks=(
        Check(
            {"compression_across": "8.0 MPa", "strength_factor": "2.652"},
            {"trusted_bearing": "3.017 MPa"},
            derived(DERIVATION, "white ash"),
        ),
        Check(
            {"compression_across": "2.6 MPa", "strength_factor": "2.652"},
            {"trusted_bearing": "0.980 MPa"},
            derived(DERIVATION, "basswood"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of the strength factor; the same for a "table" and a "stool"."""
    return (STRENGTH_FACTOR, TRUSTED_BEARING)


_MPA = 10**6
_MIDDLING = common_practice(
    "about the mean of the cabinet hardwoods in reference/strength.csv; name the species under "
    "[wood] or give your own"
)
_WOODS = common_practice("the woods of reference/strength.csv and well beyond")
# The load has no usual band: a maker who fixes a strength used expects the load to follow,
# however great.
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(bending_strength, 95 * _MPA, "An average cabinet hardwood.", _MIDDLING, usual=(25, 220),
           usual_source=_WOODS),
    assume(elastic_modulus, 11_500 * _MPA, "An average cabinet hardwood.", _MIDDLING,
           usual=(3000, 25000), usual_source=_WOODS),
    assume(compression_along, 48 * _MPA, "An average cabinet hardwood.", _MIDDLING, usual=(15, 120),
           usual_source=_WOODS),
    assume(compression_across, 7 * _MPA, "An average cabinet hardwood.", _MIDDLING, usual=(1, 35),
           usual_source=_WOODS),
    assume(shear_strength, 12 * _MPA, "An average cabinet hardwood.", _MIDDLING, usual=(3, 30),
           usual_source=_WOODS),
    assume(tension_across, 5 * _MPA, "An average cabinet hardwood.", _MIDDLING, usual=(0.8, 12),
           usual_source=_WOODS),
    assume(
        variation_factor, sp.Rational(136, 100),
        "The bending strengths of one species scatter with a standard deviation of about 16 % of "
        "the average; one board in twenty lies 1.645 times that below it.",
        quoted("clear-wood strengths with standard deviations, a table in the form of ASTM D2555",
               "baldcypress, eastern hemlock, lodgepole pine"),
        first_to=("strength_factor",), usual=(1, 2.5),
    ),
    assume(
        duration_factor, sp.Rational(13, 10),
        "A load that people apply, a week in total over the years. Ten years of it would need a "
        "factor of 1.62.",
        quoted("load duration: National Design Specification for wood, table 2.3.2, 1.25 for seven "
               "days; ASTM D245, 1.62 for ten years"),
        first_to=("strength_factor",), usual=(1, 2.5),
    ),
    assume(
        moisture_factor, 1,
        "Indoors, the wood stays at or below 12 % moisture, where the published figures hold; "
        "outdoors, use 1.3.",
        published("Forest Products Laboratory, Moisture Content-Strength Adjustments for Wood",
                  "table 1: for each per cent of moisture gained the modulus of rupture falls by "
                  "4 %, the stress at the proportional limit by 5 %"),
        first_to=("strength_factor",), usual=(0.85, 2),
    ),
    assume(
        grade_factor, sp.Rational(3, 2),
        "Slope of grain of 1 in 15, pin knots, and inner corners cut square.",
        common_practice("a little more than the 1.3 that ASTM D245 leaves for safety, as a trade "
                        "journal quotes it"),
        first_to=("strength_factor",), usual=(1, 4), stated_by=("strength_factor",),
    ),
    assume(
        design_load, 1300,
        "A heavy person who sits, climbs or falls on it: the load of European seat tests. A table "
        "is tested with 1000 N, but the same people climb on it.",
        quoted("EN 12520, static load on a seat 1300 N",
               "the 1000 N on a table, EN 12521, from memory"),
        first_to=(
            "foot_between", "foot_force", "head_force", "end_force", "cross_force", "post_moment",
            "post_stress", "post_strength_used", "shear_strength_used", "buckling_load_used",
            "head_deflection",
        ),
    ),
)  # fmt: skip
REQUIREMENTS: tuple[Requirement, ...] = ()
