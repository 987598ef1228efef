"""Knee and toe space under an accessible table, after the 2010 ADA Standards, section 306.

The Standards are written in inches, with millimetres rounded beside them; the inches are used here.
Sections 306.2 and 306.3 are quoted from copies. A kit gives no certificate: what counts is the
local law on access, as the authority that applies it reads it.
"""

from __future__ import annotations

from tablekit.engine.quantity import Constant, Quantity, Source, quoted
from tablekit.engine.relation import Check, Relation, equal

STANDARDS = "2010 ADA Standards for Accessible Design"


def clause(where: str) -> Source:
    """A clause of the Standards, quoted from a copy."""
    return quoted(STANDARDS, where)


def _inches(name: str, letter: str, number: float, meaning: str, where: str) -> Constant:
    return Constant(name, letter, number * 25.4, "mm", meaning, clause(where))


TOE_HEIGHT = _inches(
    "toe_height", "z_9", 9, "height up to which the space under a table counts as toe clearance",
    "306.2.1",
)  # fmt: skip
TOE_DEPTH = _inches("toe_depth", "x_17", 17, "least depth of the toe clearance", "306.2.3")
MOST_DEPTH = _inches(
    "most_depth", "x_25", 25, "depth under the table beyond which no space counts",
    "306.2.2 and 306.3.2",
)  # fmt: skip
KNEE_HEIGHT = _inches(
    "knee_height", "z_27", 27, "height up to which the space counts as knee clearance", "306.3.1"
)
LOW_KNEE_DEPTH = _inches(
    "low_knee_depth", "x_11", 11, "least depth of the knee clearance at 9 in", "306.3.3"
)
HIGH_KNEE_DEPTH = _inches(
    "high_knee_depth", "x_8", 8, "least depth of the knee clearance at 27 in", "306.3.3"
)
PLACE_WIDTH = _inches(
    "place_width", "y_30", 30, "least width of knee and toe clearance", "306.2.5 and 306.3.5"
)

CONSTANTS = (
    TOE_HEIGHT, TOE_DEPTH, MOST_DEPTH, KNEE_HEIGHT, LOW_KNEE_DEPTH, HIGH_KNEE_DEPTH, PLACE_WIDTH,
)  # fmt: skip

clearance_height = Quantity(
    "clearance_height", "z_a", "mm", "height above the floor", 0, 1500, latex="z_a"
)
needed_depth = Quantity(
    "needed_depth", "x_a", "mm", "depth that must be clear for knees at that height", 0, 700,
    latex="x_a",
)  # fmt: skip
QUANTITIES = (clearance_height, needed_depth)

KNEE_DEPTH = Relation(
    name="knee depth",
    equation=equal(
        needed_depth,
        LOW_KNEE_DEPTH - (clearance_height - TOE_HEIGHT) / 6,
    ),
    meaning="Knees need 11 in of depth at 9 in, and an inch less for every 6 in above that.",
    why="A shin leans forward from the knee to the toes, so the space may slope with it.",
    source=clause("306.3.3 and 306.3.4"),
    checks=(
        Check({"clearance_height": "9 in"}, {"needed_depth": "11.0 in"}, clause("306.3.3")),
        Check({"clearance_height": "27 in"}, {"needed_depth": "8.0 in"}, clause("306.3.3")),
    ),
)
