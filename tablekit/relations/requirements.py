"""The checks on a finished design. A pass is advice; local codes still apply."""

from __future__ import annotations

import math
from dataclasses import replace

from tablekit.engine.quantity import common_practice, derived
from tablekit.engine.relation import Requirement
from tablekit.relations import people, post_ends
from tablekit.relations.kinds import is_seat

# What a protractor cannot tell from the square crossing: half a millimetre in half a metre.
SHAVING = 0.05
# The square crossing, in degrees from the vertical, with a margin for rounding errors.
SQUARE_LEAN = math.degrees(math.acos(1 / math.sqrt(3))) + 1e-6

CROSSING = "reference/derivations/crossing.md"
TWO_NOTCHES = "reference/derivations/two_notches.md"

# The checks on a height depend on the use that it suits: tablekit/relations/people.py.
HEIGHT, KNEES = people.HEIGHT, people.KNEES

TIPPING = Requirement(
    id="tipping",
    name="tipping load",
    quantity="tipping_load",
    unless_given="wanted_tipping_load",
    source=common_practice(
        "our own choice of limits; European furniture tests load the edge with about 200 to 400 N, "
        "from memory"
    ),
    good=(200, None),
    tolerable=(100, None),
    too_low="A hand pressing on the rim can tip it.",
    far_too_low="Anyone who leans on the rim tips it.",
    mend_low="Set the feet wider, make the base heavier or make the top smaller, as far as the "
    "other checks allow.",
    care="Let nobody sit or lean on the rim. Keep children from climbing on the piece and do not "
    "put a glass top on it. Have a piece for public use tested to your local code.",
    fine="It takes a firm push on the rim to tip it. A person leaning on the rim with both hands "
    "applies about 400 N. Let nobody sit or stand on the rim and keep children from "
    "climbing on it, above all with a glass top. Have a piece for children or the public tested to "
    "your local code.",
)
# A stool is light, and an empty one that a hand tips hurts nobody; its tipping under a sitter is a
# check of its own.
STOOL_TIPPING = replace(
    TIPPING,
    source=common_practice("our own choice: 30 N is a hand brushing past"),
    good=(30, None),
    tolerable=(None, None),
    too_low="A hand that brushes past can tip the empty stool.",
    far_too_low="",
    mend_low="Set the feet wider, make the base heavier or make the seat smaller, as far as the "
    "other checks allow.",
    care="Keep children from climbing on it. Have a stool for public use tested to your local "
    "code.",
    fine="The empty stool stands while nobody leans on its edge; under a sitter it is checked by "
    "itself. Keep children from climbing on it. Have a stool for children or the public tested to "
    "your local code.",
)

CAN_BE_ASSEMBLED = Requirement(
    id="assembly",
    name="assembly",
    quantity="splay",
    source=derived(CROSSING, "the last post; also tried with solids"),
    good=(None, SQUARE_LEAN),
    tolerable=(None, SQUARE_LEAN + SHAVING),
    too_high="The posts lean more than at the square crossing: the last post cannot slide in, so "
    "the base cannot be assembled post by post.",
    mend_high="Stand the posts steeper, at most 54.7° from the vertical, or lengthen one notch "
    "(see the assembly for how much).",
    care="Within a twentieth of a degree, paring a shaving off the last notch is enough.",
    fine="The last post slides in along its notch.",
)

UNLOCKED = Requirement(
    id="assembly",
    name="assembly",
    quantity="relief_ratio",
    source=derived(TWO_NOTCHES, "putting it together"),
    good=(0.5, None),
    # A notch short by a hundredth of the section is pared at the bench; any shorter, it locks.
    tolerable=(0.49, None),
    too_low="Locked: three identical posts whose axes meet cannot be assembled in any order, even "
    "with one notch lengthened by less than half the section. Do not cut posts like this.",
    mend_low="Lengthen one notch of one post by half the section (set notch_relief). Choose the "
    "notch that opens upward and lengthen it towards the foot, or the one that opens downward and "
    "lengthen it towards the head. Fill the gap with a loose block.",
    care="Only a quarter of the section remains where the posts cross. Before trusting a weight to "
    "it, load a trial piece well beyond the load in use.",
    fine="One notch is longer by at least half the section, so the base can be assembled: the post "
    "in it shifts by that length, one post slides out sideways, and the other two come apart. "
    "Choose the notch that opens upward and lengthen it towards the foot, or the one that opens "
    "downward and lengthen it towards the head. Fill the gap with a loose block. Only a quarter of "
    "the section remains where the posts cross. Before trusting a weight to it, load a trial piece "
    "well beyond the load in use.",
)

# Accuracy to which a saw or a bevel gauge is set by its scale (common practice, no source).
SAW_SETTING = 0.25
PLAIN_NOTCH = Requirement(
    id="notch_shape",
    name="square or compound notch",
    quantity="notch_floor_tilt",
    source=derived(CROSSING, "tilt of the notch floor; a saw is set to 0.25° at best"),
    good=(-SAW_SETTING, SAW_SETTING),
    too_low="A compound notch: the floor is tilted and the walls are not square to the edges of "
    "the post.",
    mend_low="Make a jig and try it in scrap. Only posts square to one another have square "
    "notches.",
    too_high="A compound notch: the floor is tilted and the walls are not square to the edges of "
    "the post.",
    mend_high="Make a jig and try it in scrap. Only posts square to one another have square "
    "notches.",
    fine="A square notch, to the accuracy of a saw setting: a level floor and square walls.",
)

NOTCH_DEPTH = Requirement(
    id="notch_depth",
    name="notch depth",
    quantity="notch_depth_ratio",
    source=common_practice("a third to two thirds of the section"),
    good=(1 / 3, 2 / 3),
    too_low="Less than a third of the width is cut away. The joint does little to stop the posts "
    "from turning.",
    mend_low="Cut the notch deeper.",
    too_high="More than two thirds of the width is cut away. Little wood is left to carry the "
    "load.",
    mend_high="Cut the notch shallower. Before trusting a weight to it as it is, load a trial "
    "piece well beyond the load in use.",
    fine="Between a third and two thirds of the width is cut away.",
)

OVERHANG = Requirement(
    id="heads_under_top",
    name="heads under the top",
    quantity="overhang",
    source=derived("reference/derivations/mass_and_heights.md", "overhang"),
    good=(0, None),
    tolerable=(0, None),
    too_low="The centres of the heads lie outside the rim, so the top cannot be fastened to them.",
    mend_low="Make the top wider or the posts steeper.",
    fine="The centres of the heads lie under the top.",
)

FOOT_FLAT = Requirement(
    id="foot_size",
    name="size of the feet",
    quantity="foot_flat",
    source=common_practice("15 to 40 mm"),
    good=(15, 40),
    too_low="Feet this small dent the floor and split easily.",
    mend_low="Make the feet larger.",
    too_high="Feet this large rock on an uneven floor and need large pads.",
    mend_high="Make the feet smaller.",
    fine="There is room for a pad, and the feet do not rock.",
)


PUSH = Requirement(
    id="push",
    name="push at the top",
    quantity="tipping_push",
    source=common_practice(
        "our own choice of limits: 60 N is a third of the weight of a child of five"
    ),
    good=(60, None),
    tolerable=(30, None),
    too_low="A horizontal push at the top tips it if its feet catch on a threshold or a rug.",
    mend_low="Set the feet wider, or make it lower or heavier. Until then, keep it where nobody "
    "can run into it, and away from children.",
    fine="It takes a firm horizontal push at the top to tip it with its feet caught. A tall piece "
    "on three feet tips more easily than one on four: let nobody hang from it or climb on it.",
)


def requirements(kind: str, notches: int = 1) -> tuple[Requirement, ...]:
    """Return the checks on a "table" or a "stool" with 1 or 2 notches to a post."""
    crossed: tuple[Requirement, ...] = (CAN_BE_ASSEMBLED, PLAIN_NOTCH, NOTCH_DEPTH)
    if notches > 1:
        # These are always square and half as deep as the post, so they need no check.
        crossed = (UNLOCKED,)
    ends = (OVERHANG, post_ends.HEADS_COVERED, post_ends.FEET_OUT[kind], FOOT_FLAT)
    # A stool is moved about empty and checked with its sitter; a table is checked as it stands.
    if is_seat(kind):
        return (STOOL_TIPPING, *crossed, *ends)
    return (HEIGHT, KNEES, PUSH, TIPPING, *crossed, *ends)
