"""Sanding from grit to grit, and how long the coats of a finish take.

`reference/derivations/glue_up.md` has the reasoning; the grades are in `reference/surface.csv`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, assume, equal
from tablekit.relations.milling import coats

DERIVATION = "reference/derivations/glue_up.md"

first_grit = Quantity(
    "first_grit", "g_1", "1", "grit number of the coarsest paper", 40, 400, whole=True
)
last_grit = Quantity(
    "last_grit", "g_n", "1", "grit number of the finest paper", 60, 400, whole=True
)
grit = Quantity("grit", "g", "1", "grit number of the paper just used", 40, 400)
grit_step = Quantity(
    "grit_step", "k_g", "1", "greatest ratio of the next paper's grit number to this one's",
    1.2, 2,
)  # fmt: skip
next_grit = Quantity("next_grit", "g_m", "1", "highest grit number for the next paper", 40, 800)
coat_interval = Quantity(
    "coat_interval", "t_c", "min", "time from one coat of finish to the next", 5, 10000
)
drying_time = Quantity(
    "drying_time", "t_d", "min", "time from the first coat of finish to the last", 0, 200000
)
QUANTITIES = (
    first_grit, last_grit, grit, grit_step, next_grit, coats, coat_interval, drying_time,
)  # fmt: skip

NEXT_GRIT = Relation(
    name="next grit",
    equation=equal(next_grit, grit_step * grit),
    meaning="How far to go from one paper to the next.",
    why="The next paper has to take out the scratches of the last; after one much coarser this "
    "takes longer than using a paper in between.",
    source=common_practice("no more than half as much again, and never more than twice"),
    checks=(
        Check(
            {"grit": "120", "grit_step": "1.5"}, {"next_grit": "180"},
            derived(DERIVATION, "sanding"),
        ),
    ),
)  # fmt: skip
DRYING_TIME = Relation(
    name="drying time between the coats",
    equation=equal(drying_time, (coats - 1) * coat_interval),
    meaning="There is a wait after every coat but the last.",
    why="No coat follows the last one, but it cures for weeks.",
    source=derived(DERIVATION, "finish"),
    checks=(
        Check(
            {"coats": "3", "coat_interval": "480 min"},
            {"drying_time": "960 min"},
            derived(DERIVATION, "finish"),
        ),
    ),
)
RELATIONS = (NEXT_GRIT, DRYING_TIME)

ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(first_grit, 80, "Takes out the marks of the plane and levels the joints.",
           common_practice(), usual=(40, 180)),
    assume(last_grit, 320, "Finer paper burnishes the wood, which then takes in less oil.",
           common_practice(), usual=(120, 400)),
    assume(grit_step, sp.Rational(3, 2), "Half as much again.", common_practice()),
    assume(coat_interval, 8 * 3600,
           "A coat of wiping oil is dry enough for the next after eight hours.",
           common_practice("read the tin"), usual=(30, 4320)),
)  # fmt: skip
