"""The kind of exercise about posts that did not come out as drawn."""

from __future__ import annotations

from tablekit.teaching.kinds import DIAMETER_BOUNDS, Bounds, ExerciseKind
from tablekit.teaching.mistakes import slip
from tablekit.teaching.school import SchoolFormula

_RADIUS = (
    "you let the top fall over the radius of the head circle; from one head to the line through "
    "the other two it is one and a half times as far."
)
_HALF_CIRCLE = "you took the radius of the head circle for its diameter."
_HALF_TOP = (
    "you gave the drop from the centre to the rim; the question is the drop across the whole top."
)

# From the third head to the line through the other two it is 3 r ÷ 2, since the heads are the
# corners of an equal-sided triangle. On so gentle a slope the sine and the tangent of its angle are
# the same to a few parts in 10,000, so that a pupil may work with either, and slip with either.
RIM_DROP = SchoolFormula(
    "D × h ÷ √((3 × r ÷ 2)² + h²)",
    "The top tilts about the line through the two level heads. Find how far that line is from the "
    "third head; the slope is the same all across the top.",
    {"h": "head_height_1", "r": "head_radius", "D": "top_diameter"},
    {"h": "how much the head is too high", "r": "the radius of the circle of the heads",
     "D": "the diameter of the top"},
    slips=(
        slip("falls over the radius", _RADIUS, "D × h ÷ r"),
        slip("falls over the radius", _RADIUS, "D × h ÷ √(r² + h²)"),
        slip("head radius: radius for diameter", _HALF_CIRCLE, "D × h ÷ (3 × r ÷ 4)"),
        slip("head radius: radius for diameter", _HALF_CIRCLE, "D × h ÷ √((3 × r ÷ 4)² + h²)"),
        slip("top diameter: radius for diameter", _HALF_TOP, "D ÷ 2 × h ÷ (3 × r ÷ 2)"),
        slip("top diameter: radius for diameter", _HALF_TOP, "D ÷ 2 × h ÷ √((3 × r ÷ 2)² + h²)"),
        slip("answered head height 1", "you gave how much the head is too high; the rim reaches "
             "beyond the heads, so it drops by more.", "h"),
    ),
)  # fmt: skip

TILT = ExerciseKind(
    "tilt", "How far out of level is the top?", "tilt", ("rim_drop",),
    "One of three posts came out too long: its head stands {head_height_1} above the other two, "
    "which are level with each other. The centres of the heads lie on a circle of radius "
    "{head_radius}, and a round top {top_diameter} across lies on them, centred. How much higher "
    "is the highest point of its rim than the lowest?",
    {"head_height_1": Bounds(("3 mm", "8 mm", "1 mm"), ("1/8 in", "5/16 in", "1/32 in")),
     "head_radius": Bounds(("300 mm", "400 mm", "5 mm"), ("12 in", "15 3/4 in", "1/4 in")),
     "top_diameter": DIAMETER_BOUNDS},
    ("0.2 mm", "0.01 in"), (3, 30), (),
    # Only differences of the heights count.
    fixed={"head_height_2": 0.0, "head_height_3": 0.0},
    apart=("head_height_1",), formulas={"rim_drop": RIM_DROP}, figure="tilt",
)  # fmt: skip
