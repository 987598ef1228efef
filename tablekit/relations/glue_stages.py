"""Gluing a panel up in stages: time of one glue-up, clamps at one time, how far they must open.

`reference/derivations/glue_up.md` has the reasoning.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import glue

DERIVATION = "reference/derivations/glue_up.md"
_STAGES = derived(DERIVATION, "which joints in which stage")

glue_up_minutes = Quantity(
    "glue_up_minutes", "t_g", "min", "time of one glue-up, from the first glue to the last clamp",
    0.1, 20000, latex="t_g",
)  # fmt: skip
clamps = Quantity("clamps", "N_s", "1", "number of clamps in the shop", 1, 1000, whole=True)
stage_clamps = Quantity(
    "stage_clamps", "N_g", "1", "number of clamps set at one time in a stage", 1, 20001, whole=True
)
clamps_spare = Quantity(
    "clamps_spare", "N_r", "1", "number of clamps left over in a stage; below 0 where some are "
    "missing",
    -20000, 1000, whole=True,
)  # fmt: skip
piece_width = Quantity(
    "piece_width", "B_g", "mm", "width of the widest piece in clamps in a stage", 10, 3200
)
clamp_opening = Quantity("clamp_opening", "B_k", "mm", "how far the clamps must open", 10, 4000)
clamp_reach = Quantity("clamp_reach", "B_s", "mm", "how far the clamps in the shop open", 50, 6000)
reach_spare = Quantity(
    "reach_spare", "B_r", "mm", "opening left over; negative where the clamps are too short",
    -4000, 6000,
)  # fmt: skip
clamp_dwell = Quantity(
    "clamp_dwell", "t_d", "min", "time for which a glued joint stays in its clamps", 1, 3000
)
QUANTITIES = (
    clamps, stage_clamps, clamps_spare, piece_width, glue.caul_depth, clamp_opening, clamp_reach,
    reach_spare, clamp_dwell,
)  # fmt: skip

GLUE_UP_MINUTES = Relation(
    name="time of one glue-up",
    equation=equal(
        glue_up_minutes,
        glue.joints * glue.joint_time + glue.clamping_time,
    ),
    meaning="All its joints are spread and closed, then all its clamps are set.",
    why="The first joint spread waits for all the others and for the clamps, so this may not be "
    "longer than the glue stays open.",
    source=derived(DERIVATION, "stages"),
    checks=(
        Check(
            {"joints": "3", "joint_time": "2 min", "clamping_time": "4 min"},
            {"glue_up_minutes": "10 min"},
            derived(DERIVATION, "which joints in which stage"),
        ),
    ),
)
CLAMPS_SPARE = Relation(
    name="clamps left over",
    equation=equal(stage_clamps + clamps_spare, clamps),
    meaning="What the shop has less what is in use at one time.",
    why="Pieces that are glued in the same stage stand in clamps side by side.",
    source=_STAGES,
    checks=(Check({"clamps": "12", "stage_clamps": "10"}, {"clamps_spare": "2"}, _STAGES),),
)
CLAMP_OPENING = Relation(
    name="opening of the clamps",
    equation=equal(clamp_opening, piece_width + 2 * glue.caul_depth),
    meaning="The piece and a caul on either side of it.",
    why="A clamp across the panel holds all of this between its jaws.",
    source=_STAGES,
    checks=(
        Check(
            {"piece_width": "920 mm", "caul_depth": "40 mm"}, {"clamp_opening": "1000 mm"}, _STAGES
        ),
    ),
)
REACH_SPARE = Relation(
    name="opening left over",
    equation=equal(clamp_opening + reach_spare, clamp_reach),
    meaning="How far the clamps open beyond what they must.",
    why="The last stage always holds the whole panel, so no staging helps a clamp that is too "
    "short.",
    source=_STAGES,
    checks=(
        Check(
            {"clamp_reach": "1200 mm", "clamp_opening": "1000 mm"}, {"reach_spare": "200 mm"},
            _STAGES,
        ),
    ),
)  # fmt: skip
RELATIONS = (CLAMPS_SPARE, CLAMP_OPENING, REACH_SPARE)

_MINUTE = 60
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(clamps, stage_clamps, "As many as one glue-up takes; borrow what is missing.",
           common_practice(), first_to=("clamps_spare",)),
    assume(clamp_reach, clamp_opening, "Clamps that open wide enough.", common_practice(),
           first_to=("reach_spare",)),
    assume(clamp_dwell, sp.Integer(60 * _MINUTE),
           "An hour for a glue that grips at room temperature; see its label.",
           common_practice("half an hour to an hour in clamps; from memory, see the label"),
           usual=(5, 1500)),
)  # fmt: skip

ENOUGH = Requirement(
    id="clamp_stock",
    name="clamps to spare in a stage",
    quantity="clamps_spare",
    source=derived(DERIVATION, "which joints in which stage"),
    good=(0, None),
    tolerable=(0, None),
    too_low="One joint by itself takes more clamps than there are.",
    mend_low="Borrow some, use stronger ones (clamp_capacity), or deeper cauls where the spacing "
    "decides.",
    fine="Every stage can be glued with the clamps there are.",
)
LONG_ENOUGH = Requirement(
    id="clamp_reach",
    name="opening of the clamps",
    quantity="reach_spare",
    source=derived(DERIVATION, "which joints in which stage"),
    good=(0, None),
    tolerable=(0, None),
    too_low="The clamps do not reach across the panel and its cauls, and no order of gluing helps: "
    "the last joint has the whole panel in the clamps.",
    mend_low="Get longer ones, or join two end to end as their maker allows.",
    fine="The clamps open wide enough for the whole panel.",
)
REQUIREMENTS: tuple[Requirement, ...] = (ENOUGH, LONG_ENOUGH)
