"""How long the work takes, and how long glue, filler and oil have to wait.

The minutes of each task are in `reference/work.csv`. `reference/derivations/work.md` says how they
are put together.
"""

from __future__ import annotations

from collections.abc import Mapping

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, assume, equal
from tablekit.relations import edges, glue, lot, milling
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/work.md"

task_setup = Quantity("task_setup", "T_0", "min", "time to set up a task", 0, 100000)
task_each = Quantity("task_each", "T_1", "min", "time for each item worked on", 0, 10000)
task_count = Quantity(
    "task_count", "n_T", "1", "number of items in a piece, or of square metres or metres", 0, 1e6
)
pace = Quantity("pace", "k_T", "1", "maker's time over the time in the table", 0.1, 20)
task_minutes = Quantity("task_minutes", "T", "min", "hands-on time of a task", 0, 1e7)
working_day = Quantity("working_day", "T_d", "min", "hours of work in a day", 30, 1440)
day_start = Quantity("day_start", "T_s", "min", "start of work, from midnight", 0, 1380)
glue_wait = Quantity(
    "glue_wait", "T_g", "min", "wait from clamping until a glued joint may be worked", 1, 20000
)
filler_wait = Quantity("filler_wait", "T_f", "min", "wait until filler may be levelled", 1, 20000)
rim_length = Quantity("rim_length", "U", "mm", "length of the rim, once round", 100, 20000)
arris_length = Quantity(
    "arris_length", "U_e", "mm", "length of arris rounded, every pass counted", 100, 1e7,
    latex="U_e",
)  # fmt: skip
surface_area = Quantity("surface_area", "A_p", "m^2", "area to be sanded", 0.001, 100)
grades = Quantity(
    "grades", "N_g", "1", "number of grades of paper, used one after another", 1, 20, whole=True
)
sanded_area = Quantity(
    "sanded_area", "A_g", "m^2", "total area sanded, every grade counted", 0.001, 2000
)
joints_glued = Quantity(
    "joints_glued", "n_g", "1", "number of joints glued at a time", 0, 500, whole=True
)
gluing_minutes = Quantity("gluing_minutes", "T_k", "min", "time for one glue-up", 0.1, 2000)
OF_A_TASK = (task_setup, task_each, task_count, lot.lot_count, pace, task_minutes)
QUANTITIES = (
    *OF_A_TASK, q.top_diameter, rim_length, surface_area, grades, sanded_area, joints_glued,
    gluing_minutes, glue.clamping_time, glue.joint_time, edges.edge_passes, arris_length,
)  # fmt: skip
CALENDAR = (pace, working_day, day_start, glue_wait, filler_wait, milling.coat_interval)

TASK_MINUTES = Relation(
    name="time for a task",
    equation=equal(
        task_minutes,
        pace
        * (task_setup + lot.lot_count * task_count * task_each),
    ),
    meaning="Set up once, then the same time for each item of each piece.",
    why="Setting up a machine takes as long for one post as for three.",
    source=derived(DERIVATION, "minutes of a task"),
    checks=(
        Check(
            {
                "pace": "1", "task_setup": "30 min", "task_count": "3", "task_each": "25 min",
                "lot_count": "1",
            },
            {"task_minutes": "105 min"},
            derived(DERIVATION, "minutes of a task"),
        ),
        Check(
            {
                "pace": "1", "task_setup": "30 min", "task_count": "3", "task_each": "25 min",
                "lot_count": "4",
            },
            {"task_minutes": "330 min"},
            derived(lot.DERIVATION, "minutes of a task"),
        ),
    ),
)  # fmt: skip
RIM_LENGTH = Relation(
    name="length of the rim",
    equation=equal(rim_length, sp.pi * q.top_diameter),
    meaning="The length that is shaped and eased, once round.",
    why="The rim of a circle is π times its diameter.",
    source=derived(DERIVATION, "how much there is to do"),
    checks=(
        Check(
            {"top_diameter": "900 mm"}, {"rim_length": "2827 mm"},
            derived(DERIVATION, "how much there is to do"),
        ),
    ),
)  # fmt: skip
ARRIS_LENGTH = Relation(
    name="length of arris rounded",
    equation=equal(arris_length, 2 * edges.edge_passes * rim_length),
    meaning="The upper and the lower arris, once round for each pass.",
    why="Both arrises are as long as the rim.",
    source=derived(DERIVATION, "how much there is to do"),
    checks=(
        Check(
            {"rim_length": "2827 mm", "edge_passes": "2"}, {"arris_length": "11308 mm"},
            derived(DERIVATION, "how much there is to do"),
        ),
    ),
)  # fmt: skip
SANDED = Relation(
    name="area sanded, all grades",
    equation=equal(sanded_area, surface_area * grades),
    meaning="Each grade goes over the whole area once.",
    why="Each grade takes out the scratches of the one before.",
    source=derived(DERIVATION, "how much there is to do"),
    checks=(
        Check(
            {"surface_area": "1.352 m^2", "grades": "5"}, {"sanded_area": "6.76 m^2"},
            derived(DERIVATION, "how much there is to do"),
        ),
    ),
)  # fmt: skip
GLUING = Relation(
    name="time for a glue-up",
    equation=equal(
        gluing_minutes,
        glue.clamping_time + joints_glued * glue.joint_time,
    ),
    meaning="Each joint is spread and brought together, then the clamps are set.",
    why="The same times decide how many joints the glue allows at a time.",
    source=derived(DERIVATION, "how much there is to do"),
    checks=(
        Check(
            {"clamping_time": "5 min", "joints_glued": "3", "joint_time": "2 min"},
            {"gluing_minutes": "11 min"},
            derived(DERIVATION, "how much there is to do"),
        ),
    ),
)  # fmt: skip
RELATIONS = (TASK_MINUTES, RIM_LENGTH, ARRIS_LENGTH, SANDED, GLUING)

_MIN = sp.Integer(60)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(pace, 1, "The times in the table.", common_practice("our own estimates"),
           usual=(0.2, 8)),
    assume(working_day, 360 * _MIN, "Six hours a day at the bench.", common_practice(),
           usual=(60, 960)),
    assume(day_start, 540 * _MIN, "Work begins at nine.", common_practice(), usual=(240, 1260)),
    assume(glue_wait, 720 * _MIN, "Overnight.", common_practice("glue overnight"),
           usual=(10, 5000)),
    assume(filler_wait, 720 * _MIN, "Overnight.", common_practice("filler overnight"),
           usual=(10, 5000)),
    *(a for a in milling.SURFACE_ASSUMPTIONS if a.quantity is milling.coat_interval),
)  # fmt: skip

DAY = 1440.0  # minutes


def past_midnight(wishes: Mapping[str, float]) -> str:
    """Why a working day is impossible, in a sentence; empty where it ends by midnight.

    wishes  minutes by name; what is left out is assumed
    """
    usual = {a.quantity: float(a.value) for a in ASSUMPTIONS if a.quantity is not None}
    start, long = (
        wishes.get(quantity.name, quantity.from_si(usual[quantity]))
        for quantity in (day_start, working_day)
    )
    if start + long <= DAY:
        return ""
    return (
        f"a working day of {long / 60:g} h that begins at {start / 60:g} h runs past midnight; "
        "begin earlier or work less"
    )
