"""What a finished design is asked. A pass here is advice, not leave to ignore local codes."""

from __future__ import annotations

import math
from dataclasses import replace

from tablekit.engine.relation import Requirement
from tablekit.engine.source import common_practice, derived
from tablekit.relations import people, post_ends

# The square crossing, in degrees from plumb, with a hair for the last bits of a float.
# What no protractor tells from the square crossing: half a millimetre in half a metre.
SHAVING = 0.05
SQUARE_LEAN = math.degrees(math.acos(1 / math.sqrt(3))) + 1e-6

CROSSING = "reference/derivations/crossing.md"
TWO_NOTCHES = "reference/derivations/two_notches.md"

# Which use a height suits, and so what is asked of it: tablekit/relations/people.py.
HEIGHT, KNEES = people.HEIGHT, people.KNEES

TIPPING = Requirement(
    id="tipping",
    name="tipping load",
    quantity="tipping_load",
    unless_given="wanted_tipping_load",
    source=common_practice(
        "our own choice of limits; European furniture tests load the edge with about "
        "200 to 400 N, from memory"
    ),
    good=(200, None),
    tolerable=(100, None),
    too_low="A hand leaning on the rim can tip it.",
    mend_low="Set the feet wider, make the base heavier or the top smaller, as far as the other "
    "checks let you.",
    care="Never let anyone sit or lean on the rim, keep children from climbing on it and glass off "
    "it, and have a piece for public use tested to your local code.",
    fine="It takes a firm push to tip it; a person leaning on the rim with both hands puts some "
    "400 N (90 lbf) there. Nobody should sit or stand on the rim, nor children climb on it, least "
    "of all on a glass top; a piece for children or the public has to be tested to your local "
    "code.",
)
# A stool is light; what it does under a sitter is judged by itself.
STOOL_TIPPING = replace(
    TIPPING,
    tolerable=(30, None),
    too_low="A hand or a knee on the edge of the empty stool can tip it.",
    mend_low="Set the feet wider, make the base heavier or the seat smaller, as far as the other "
    "checks let you.",
    care="Keep children from climbing on it, and have a stool for public use tested to your local "
    "code.",
    fine="It takes a firm push on the edge to tip it empty. Children should not climb on it; a "
    "stool for children or the public has to be tested to your local code.",
)

CAN_BE_ASSEMBLED = Requirement(
    id="assembly",
    name="assembly",
    quantity="splay",
    source=derived(CROSSING, "the last post; also tried with solids"),
    good=(None, SQUARE_LEAN),
    tolerable=(None, SQUARE_LEAN + SHAVING),
    too_high="Flatter than the square crossing: the last post cannot slide in, so such a base "
    "cannot be assembled post by post.",
    mend_high="Stand the posts steeper, 54.7° from plumb at most, or cut one notch longer: the "
    "assembly says by how much.",
    care="Within a twentieth of a degree a shaving off the last notch is enough.",
    fine="The last post slides in along its notch.",
)

UNLOCKED = Requirement(
    id="assembly",
    name="assembly",
    quantity="relief_ratio",
    source=derived(TWO_NOTCHES, "putting it together"),
    good=(0.5, None),
    # What lacks a hundredth of the section is pared away at the bench; short of that it is locked.
    tolerable=(0.49, None),
    too_low="Locked: three posts alike whose axes meet go together in no order, nor with a notch "
    "lengthened by less than half the section. Do not cut posts like this.",
    mend_low="Lengthen one notch of one post by half the section (give notch_relief), the notch "
    "that opens upward towards the foot or the one that opens downward towards the head, and "
    "fill the gap with a loose block.",
    care="Only a quarter of the section is left whole where the posts cross: load a trial piece "
    "well beyond use before you trust a weight to it.",
    fine="One notch is longer by half the section or more: the post in it shifts by as much, one "
    "post slides sideways, and the other two part. Lengthen the notch that opens upward towards "
    "the foot, or the one that opens downward towards the head, and fill the gap with a loose "
    "block. Only a quarter of the section is left whole where the posts cross: load a trial piece "
    "well beyond use before you trust a weight to it.",
)

# As near as a saw, or a bevel gauge, is set by its scale (common practice, no source).
SAW_SETTING = 0.25
PLAIN_NOTCH = Requirement(
    id="notch_shape",
    name="square or compound notch",
    quantity="notch_floor_tilt",
    source=derived(CROSSING, "tilt of the notch floor; a saw is set to 0.25° at best"),
    good=(-SAW_SETTING, SAW_SETTING),
    too_low="A compound notch: its floor is tilted and its walls stand at a slant to the post's "
    "edges.",
    mend_low="Make a jig and try it in scrap; only the square crossing has a plain notch.",
    too_high="A compound notch: its floor is tilted and its walls stand at a slant to the post's "
    "edges.",
    mend_high="Make a jig and try it in scrap; only the square crossing has a plain notch.",
    fine="The square crossing, as near as a saw is set: a level floor and square walls.",
)

NOTCH_DEPTH = Requirement(
    id="notch_depth",
    name="notch depth",
    quantity="notch_depth_ratio",
    source=common_practice("a third to two thirds of the section"),
    good=(1 / 3, 2 / 3),
    too_low="Less than a third of the width is cut away: the joint has little to hold the posts "
    "from turning.",
    mend_low="Let the posts in deeper.",
    too_high="More than two thirds of the width is cut away: little wood is left to carry the "
    "load.",
    mend_high="Let the posts in less deep, and do not trust a weight to them without a trial piece "
    "loaded well beyond use.",
    fine="Between a third and two thirds of the width is cut away.",
)

OVERHANG = Requirement(
    id="heads_under_top",
    name="heads under the top",
    quantity="overhang",
    source=derived("reference/derivations/mass_and_heights.md", "overhang"),
    good=(0, None),
    tolerable=(0, None),
    too_low="The middles of the heads lie outside the rim, so the top cannot be fastened to them.",
    mend_low="Make the top wider or the posts steeper.",
    fine="The middles of the heads lie under the top.",
)

FOOT_FLAT = Requirement(
    id="foot_size",
    name="size of the feet",
    quantity="foot_flat",
    source=common_practice("15 to 40 mm"),
    good=(15, 40),
    too_low="Feet this sharp dent floors and split easily.",
    mend_low="Make the feet wider.",
    too_high="Feet this wide rock on an uneven floor, and the pad has to be large.",
    mend_high="Make the feet narrower.",
    fine="Room for a pad without rocking.",
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
    too_low="A level push at the top tips it where its feet cannot slide, against a threshold or a "
    "rug.",
    mend_low="Set the feet wider, make it lower or heavier; until then keep it where nobody runs "
    "into it, and children away.",
    fine="A level push at the top that catches its feet has to be a firm one. Anything tall on "
    "three feet goes over more easily than on four: see that nobody hangs or climbs on it.",
)


def requirements(kind: str, crossing: str = "one notch") -> tuple[Requirement, ...]:
    """The checks on a "table" or a "stool" with this crossing."""
    if crossing == "two notches":
        # Its notches are always plain and always half as deep as the post: nothing to check.
        crossed: tuple[Requirement, ...] = (UNLOCKED,)
    else:
        crossed = (CAN_BE_ASSEMBLED, PLAIN_NOTCH, NOTCH_DEPTH)
    ends = (OVERHANG, post_ends.HEADS_COVERED, post_ends.FEET_OUT[kind], FOOT_FLAT)
    # A stool is moved about empty and judged with its sitter; a table stands there as it is.
    if kind == "stool":
        return (STOOL_TIPPING, *crossed, *ends)
    return (HEIGHT, KNEES, PUSH, TIPPING, *crossed, *ends)
