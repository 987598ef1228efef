"""How a pupil finds the sizes of the posts, and the slips that are made on the way.

Each formula is the kit's own relation for the same quantity, solved for it at the crossing that the
question names; the tests compare the two. That these slips are made: common practice, no source.
"""

from __future__ import annotations

from tablekit.teaching.mistakes import slip
from tablekit.teaching.school import SchoolFormula

# The square crossing leans by the angle whose cosine is 1/√3 (reference/derivations/crossing.md).
_SQUARE = {"θ": "54.7356"}
_PARTS = {
    "g_f": "pad_projection", "d_f": "foot_flat_depth", "d_h": "head_flat_depth",
    "w": "post_section", "t": "top_thickness",
}  # fmt: skip
_NAMES = {
    "H": "the height of the table", "L": "the length of a post", "t": "the thickness of the top",
    "w": "the section of the posts", "g_f": "the pads under the feet",
    "d_f": "the flat of a foot", "d_h": "the flat of a head",
    "d_f d_h": "the depth of the flats", "θ": "the lean of the posts from plumb",
}  # fmt: skip
_LEFT_OUT = ("d_f d_h", "d_f", "d_h", "g_f", "t")
_SECTION_WORDS = "you left out what the section of the posts adds at their ends."
_HALF_WORDS = "you allowed for the section at one end of the post only; both ends have corners."
_QUARTER_WORDS = "you took half the section where the whole one belongs, twice over."

POST_LENGTH = SchoolFormula(
    "√3 × (H − t − g_f + d_f + d_h) − 2 × w",
    "Work from the upper face down to the floor: take away what is not the base, then put back the "
    "corners that the flats cut off. That is the height over sharp corners. A post is longer than "
    "it is high; last, its own corners reach beyond its axis at both ends.",
    {"H": "table_height", **_PARTS},
    _NAMES,
    fixed=_SQUARE,
    forms=("(H − t − g_f + d_f + d_h − 2 × w × cos θ) ÷ cos θ",),
    forget=_LEFT_OUT,
    turn=_LEFT_OUT,
    slips=(
        slip("forgot what the section of the posts adds at their ends", _SECTION_WORDS,
             "√3 × (H − t − g_f + d_f + d_h)"),
        slip("section at one end", _HALF_WORDS, "√3 × (H − t − g_f + d_f + d_h) − w"),
        slip("half the section", _QUARTER_WORDS, "√3 × (H − t − g_f + d_f + d_h) − w ÷ 2"),
        slip("sign of the section", "you added the section of the posts where it is taken away.",
             "√3 × (H − t − g_f + d_f + d_h) + 2 × w"),
        slip("section too early", "you took the section away from the height, before going over to "
             "the length along the post.", "√3 × (H − t − g_f + d_f + d_h − 2 × w)"),
        slip("lean from the floor", "you measured the lean from the floor; it is measured from "
             "plumb.", "(H − t − g_f + d_f + d_h − 2 × w ÷ √3) ÷ sin θ"),
        slip("height for length", "you gave a height; a leaning post is longer than it is high.",
             "H − t − g_f + d_f + d_h"),
    ),
)  # fmt: skip

HEIGHT = SchoolFormula(
    "(L + 2 × w) ÷ √3 − d_f − d_h + g_f + t",
    "Find how high the base stands over its sharp corners: the length of a post, and at each end "
    "what its section adds, seen from the side. Then take away the corners that the flats cut off "
    "and add what lies below and above the base.",
    {"L": "post_length", **_PARTS},
    _NAMES,
    fixed=_SQUARE,
    forms=("L × cos θ + 2 × w × cos θ − d_f − d_h + g_f + t",),
    forget=_LEFT_OUT,
    turn=_LEFT_OUT,
    slips=(
        slip("forgot what the section of the posts adds at their ends", _SECTION_WORDS,
             "L ÷ √3 − d_f − d_h + g_f + t"),
        slip("section at one end", _HALF_WORDS, "(L + w) ÷ √3 − d_f − d_h + g_f + t"),
        slip("half the section", _QUARTER_WORDS, "(L + w ÷ 2) ÷ √3 − d_f − d_h + g_f + t"),
        slip("sign of the section", "you took the section of the posts away where it is added.",
             "(L − 2 × w) ÷ √3 − d_f − d_h + g_f + t"),
        slip("section too late", "you added the section of the posts at full size; it lies aslant "
             "as the posts do.", "L ÷ √3 + 2 × w − d_f − d_h + g_f + t"),
    ),
)  # fmt: skip

HEIGHT_CHANGE = SchoolFormula(
    "√3 × (H − H_2)",
    "Only the height changes, so all that stays alike drops out. How much length of a leaning post "
    "goes to one millimetre of its height?",
    {"H": "table_height", "H_2": "table_height_after"},
    {"H": "the height before", "H_2": "the height after", "θ": _NAMES["θ"]},
    fixed=_SQUARE,
    forms=("(H − H_2) ÷ cos θ",),
    slips=(
        slip("answered table height", "you gave the change in height; a leaning post changes by "
             "more.", "H − H_2"),
        slip("slope upside down", "you divided the change by √3; a leaning post changes by more "
             "than the height does.", "(H − H_2) ÷ √3"),
        slip("shared between the ends", "you gave what comes off at each end; the question is the "
             "change of the whole post.", "√3 × (H − H_2) ÷ 2"),
        slip("both ends", "you counted the change twice, once for each end; it comes off the post "
             "once.", "2 × √3 × (H − H_2)"),
        slip("all three posts together", "you gave the sum for all three posts; the question is "
             "the change of one.", "3 × √3 × (H − H_2)"),
    ),
)  # fmt: skip


NOTCH_DEPTH = SchoolFormula(
    "w − e",
    "Draw the two sections one above the other, their axes as far apart as the question says. How "
    "far do the sections overlap?",
    {"w": "post_section", "e": "axis_offset"},
    {"w": _NAMES["w"], "e": "the distance between the axes"},
    slips=(
        slip("answered axis offset", "you gave the distance between the axes; the question is the "
             "depth of the notch.", "e"),
        slip("half the section", "you took half the section; that is right only where the axes "
             "pass half a section apart.", "w ÷ 2"),
        slip("half the section forgotten", "you measured from the axis of one post; half of its "
             "section lies beyond it.", "w ÷ 2 − e"),
        slip("from the axis", "you measured from the axis of one post; half of its section lies "
             "beyond it.", "e − w ÷ 2"),
        slip("half the distance", "you took away half the distance between the axes; take away all "
             "of it.", "w − e ÷ 2"),
        slip("halved", "you halved the overlap; one post is cut to the whole depth, and the other "
             "not at all.", "(w − e) ÷ 2"),
        slip("added", "you added the distance where it is taken away.", "w + e"),
        slip("wrong way round", "you took the larger from the smaller.", "e − w"),
        slip("half section added", "you added half the section to the distance.", "w ÷ 2 + e"),
    ),
)  # fmt: skip

OFFSET = SchoolFormula(
    "w − h",
    "Draw the two sections one above the other, overlapping by the depth of the notch. How far "
    "apart are their middles?",
    {"w": "post_section", "h": "notch_depth"},
    {"w": _NAMES["w"], "h": "the depth of the notch"},
    slips=(
        slip("answered notch depth", "you gave the depth of the notch; the question is the "
             "distance between the axes.", "h"),
        slip("half the section", "you took half the section; that is right only where the notch is "
             "half the section deep.", "w ÷ 2"),
        slip("half the section forgotten", "you counted the half section of one post only; the "
             "other post has one too.", "w ÷ 2 − h"),
        slip("from the axis", "you counted the half section of one post only; the other post has "
             "one too.", "h − w ÷ 2"),
        slip("half the depth", "you took away half the depth of the notch; take away all of it.",
             "w − h ÷ 2"),
        slip("halved", "you halved the distance; it is measured from axis to axis.", "(w − h) ÷ 2"),
        slip("added", "you added the depth where it is taken away.", "w + h"),
        slip("wrong way round", "you took the larger from the smaller.", "h − w"),
        slip("half section added", "you added half the section to the depth.", "w ÷ 2 + h"),
    ),
)  # fmt: skip

FLAT_DEPTH = SchoolFormula(
    "f_f ÷ √2",
    "The flat is an equilateral triangle that grows as the cut goes deeper. Find how the depth "
    "goes with the circle that just fits in it.",
    {"f_f": "foot_flat"},
    {"f_f": "the diameter of the largest circle on the flat"},
    slips=(
        slip("foot flat: radius for diameter", "you used half the width of the flat, its radius, "
             "where the whole width belongs.", "f_f ÷ 2 ÷ √2"),
        slip("foot flat: diameter for radius", "you used twice the width of the flat, as if it "
             "were a radius.", "2 × f_f ÷ √2"),
        slip("halved twice", "you halved the width twice.", "f_f ÷ 4 ÷ √2"),
        slip("√3 for √2", "you used √3, the slope of a post; the flat goes by √2.", "f_f ÷ √3"),
        slip("times √3", "you used √3, the slope of a post; the flat goes by √2.", "√3 × f_f"),
        slip("side of the triangle", "you took the circle for the side of the triangle.",
             "f_f ÷ √6"),
        slip("circle round the triangle", "you took the circle that goes round the triangle; the "
             "question has the one that fits in it.", "f_f ÷ √2 ÷ 2"),
        slip("radius and √3", "you took half the width, and √3 for √2.", "f_f ÷ 2 ÷ √3"),
    ),
)  # fmt: skip

_FOOT = "√((L ÷ 2 + w ÷ 4)^2 + (3 × w ÷ 4)^2 + (w ÷ 4)^2 − (L ÷ 2 + 5 × w ÷ 4)^2 ÷ 3)"
FOOT_CIRCLE = SchoolFormula(
    _FOOT,
    "Set the three posts along the edges of a cube: the way from the centre to the corner of a "
    "foot is a step along the post and two across it. Pythagoras gives how far that is in all; the "
    "part of it that runs along the cube's diagonal is height, and the rest is the radius. The "
    "flat does not matter: its centre lies plumb above the corner.",
    {"L": "post_length", "w": "post_section"},
    {"L": _NAMES["L"], "w": _NAMES["w"], "θ": _NAMES["θ"]},
    fixed=_SQUARE,
    slips=(
        slip("wrong way up", "you turned the posts upside down; with the notches upward the feet "
             "stand on the wider circle.",
             "√((L ÷ 2 − w ÷ 4)^2 + (3 × w ÷ 4)^2 + (w ÷ 4)^2 − (L ÷ 2 + 3 × w ÷ 4)^2 ÷ 3)"),
        slip("answered foot spread", "you gave the distance from foot to foot; the question is the "
             "radius of their circle.", f"√3 × {_FOOT}"),
        slip("diameter for radius", "you gave the diameter of the circle; the question is its "
             "radius.", f"2 × {_FOOT}"),
        slip("halved", "you halved the radius once more.", f"{_FOOT} ÷ 2"),
        slip("posts as lines", "you left out the section of the posts and took them for lines "
             "through the centre.", "L × sin θ ÷ 2"),
        slip("posts as lines, cosine", "you left out the section of the posts, and took the cosine "
             "of the lean for its sine.", "L × cos θ ÷ 2"),
        slip("whole post", "you took the whole length of the post; its foot is only half of it "
             "away from the middle.", "L × sin θ"),
        slip("whole post, cosine", "you took the whole length of the post, and the cosine of the "
             "lean for its sine.", "L × cos θ"),
        slip("no step to the notch", "you left out the step from the notch to the middle of the "
             "crossing, a quarter of the section.",
             "√((L ÷ 2)^2 + (3 × w ÷ 4)^2 + (w ÷ 4)^2 − (L ÷ 2 + w)^2 ÷ 3)"),
        slip("no steps across", "you left out the two steps across the post.",
             "√((L ÷ 2 + w ÷ 4)^2 − (L ÷ 2 + w ÷ 4)^2 ÷ 3)"),
        slip("nothing taken away", "you took away nothing for the height.",
             "√((L ÷ 2 + w ÷ 4)^2 + (3 × w ÷ 4)^2 + (w ÷ 4)^2)"),
        # Half the section for both steps across, w/2 and w/2 for 3w/4 and w/4, comes out only some
        # 0.6 mm short: within what a rule shows it cannot be told from the right answer.
    ),
)  # fmt: skip

_LINES_WORDS = "you took the posts for lines through the centre, and left out their section."
LEAN = SchoolFormula(
    "",
    "No formula gives the lean directly. Try a lean, calculate its foot circle, and improve the "
    "lean until the circle has the radius required.",
    {"r_f": "foot_radius", "L": "post_length"},
    {"r_f": "the radius of the foot circle", "L": _NAMES["L"]},
    slips=(
        slip("posts as lines", _LINES_WORDS, "asin(2 × r_f ÷ L)"),
        slip("posts as lines, cosine", "you took the posts for lines, and the cosine of the lean "
             "for its sine.", "acos(2 × r_f ÷ L)"),
        slip("posts as lines, tangent", "you took the posts for lines, and the tangent of the lean "
             "for its sine.", "atan(2 × r_f ÷ L)"),
        slip("whole post", "you took the whole length of the post; its foot is only half of it "
             "away from the middle.", "asin(r_f ÷ L)"),
        slip("whole post, cosine", "you took the whole length of the post, and the cosine of the "
             "lean for its sine.", "acos(r_f ÷ L)"),
        slip("whole post, tangent", "you took the whole length of the post, and the tangent of the "
             "lean for its sine.", "atan(r_f ÷ L)"),
        slip("square crossing", "you gave the lean of the square crossing; here the foot circle "
             "settles the lean.", "54.7356"),
    ),
)  # fmt: skip

_LEAN = {"θ": "splay"}
ANGLE = SchoolFormula(
    "acos(1 − 3 ÷ 2 × (sin θ)^2)",
    "Let two posts of length 1 stand on one point. Their heads are an equal distance from the "
    "centre line and 120° apart in plan. Find how far apart the heads are, and from that the angle "
    "at the point.",
    _LEAN,
    {"θ": _NAMES["θ"]},
    forms=("2 × asin(√3 ÷ 2 × sin θ)",),
    slips=(
        slip("not squared", "you did not square the sine.", "acos(1 − 3 ÷ 2 × sin θ)"),
        slip("half for three halves", "you took ½ for 3/2.", "acos(1 − (sin θ)^2 ÷ 2)"),
        slip("one for three halves", "you left out the 3/2.", "acos(1 − (sin θ)^2)"),
        slip("cosine answered", "you gave the cosine of the angle; find the angle that has it.",
             "1 − 3 ÷ 2 × (sin θ)^2"),
        slip("twice the lean", "you doubled the lean; that would be right for two posts that lean "
             "in opposite directions.", "2 × θ"),
        slip("half the angle", "you gave half of the angle.", "asin(√3 ÷ 2 × sin θ)"),
        slip("supplement", "you gave the other angle at the crossing, on the obtuse side.",
             "180 − acos(1 − 3 ÷ 2 × (sin θ)^2)"),
        slip("lean times √3", "you multiplied the angle itself; its sine goes by √3/2.", "√3 × θ"),
        slip("radius for distance", "you took the distance of a head from the centre line for the "
             "distance between two heads.", "2 × asin(sin θ ÷ 2)"),
        slip("lean from the floor", "you took the lean from the floor where it is given from "
             "plumb.", "acos(1 − 3 ÷ 2 × (cos θ)^2)"),
    ),
)  # fmt: skip

_CROSSING = {"φ": "crossing_angle"}
_CROSSING_NAMES = {"φ": "the angle between two posts"}
NOTCH_TILT = SchoolFormula(
    "asin(cos φ ÷ (1 + cos φ))",
    "The floor of the notch lies against the neighbour, which crosses at an angle. Find the sine "
    "of the tilt from the cosine of that angle, then the tilt.",
    _CROSSING,
    _CROSSING_NAMES,
    slips=(
        slip("tangent for sine", "you took the tangent of the tilt for its sine.",
             "atan(cos φ ÷ (1 + cos φ))"),
        slip("sign in the divisor", "you took the cosine from 1 where it is added.",
             "asin(cos φ ÷ (1 − cos φ))"),
        slip("one over", "you put 1 where the cosine belongs, above the line.",
             "asin(1 ÷ (1 + cos φ))"),
        slip("no divisor", "you left out the division.", "asin(cos φ)"),
        slip("sine answered", "you gave the sine of the tilt; find the angle that has it.",
             "cos φ ÷ (1 + cos φ)"),
        slip("halved", "you halved the tilt.", "asin(cos φ ÷ (1 + cos φ)) ÷ 2"),
        slip("doubled", "you doubled the tilt.", "2 × asin(cos φ ÷ (1 + cos φ))"),
        slip("from a right angle", "you gave what is left to a right angle.",
             "90 − asin(cos φ ÷ (1 + cos φ))"),
        slip("half the rest", "you took half of what the crossing lacks to a right angle.",
             "(90 − φ) ÷ 2"),
    ),
)  # fmt: skip

SAW = SchoolFormula(
    "asin((cos φ)^2 ÷ (1 + cos φ))",
    "First find the tilt τ of the notch floor from the angle between the posts. A wall of the "
    "notch leans out of plumb by an angle whose sine is cos φ × sin τ.",
    _CROSSING,
    _CROSSING_NAMES,
    slips=(
        slip("cosine of the tilt", "you took the cosine of the tilt of the floor where its sine "
             "belongs.", "asin(cos φ × cos(asin(cos φ ÷ (1 + cos φ))))"),
        slip("sine of the angle", "you took the sine of the angle between the posts where its "
             "cosine belongs, the second time.", "asin(sin φ × cos φ ÷ (1 + cos φ))"),
        slip("sine and cosine", "you exchanged the sine of the tilt and the cosine of the angle "
             "between the posts.", "asin(sin φ × cos(asin(cos φ ÷ (1 + cos φ))))"),
        slip("answered notch floor tilt", "you gave the tilt of the notch floor; the question is "
             "the tilt of the blade.", "asin(cos φ ÷ (1 + cos φ))"),
        slip("mitre for tilt", "you gave how far the walls run out of square; that is set at the "
             "fence and not at the blade.", "90 − φ"),
        slip("tilt of floor not applied", "you left out the tilt of the floor.", "asin(cos φ)"),
        slip("tangent for sine", "you took the tangent of the tilt for its sine.",
             "atan((cos φ)^2 ÷ (1 + cos φ))"),
        slip("sign in the divisor", "you took the cosine from 1 where it is added.",
             "asin((cos φ)^2 ÷ (1 − cos φ))"),
        slip("sine answered", "you gave the sine of the tilt; find the angle that has it.",
             "(cos φ)^2 ÷ (1 + cos φ)"),
        slip("product of the angles", "you multiplied the tilt itself by the cosine; its sine is "
             "multiplied.", "cos φ × asin(cos φ ÷ (1 + cos φ))"),
        slip("from a right angle", "you gave what is left to a right angle.",
             "90 − asin((cos φ)^2 ÷ (1 + cos φ))"),
        slip("doubled", "you doubled the tilt.", "2 × asin((cos φ)^2 ÷ (1 + cos φ))"),
        slip("halved", "you halved the tilt.", "asin((cos φ)^2 ÷ (1 + cos φ)) ÷ 2"),
    ),
)  # fmt: skip

SIGHT_LINE = SchoolFormula(
    "atan(tan β ÷ tan α)",
    "Over one unit of height the foot moves by the tangent of the rake in one view, and by the "
    "tangent of the splay in the other, square to it. The sight line is the direction of the two "
    "steps together, seen from above.",
    {"α": "leg_rake", "β": "leg_splay"},
    {"α": "the rake, from the side", "β": "the splay, from the front"},
    slips=(
        slip("wrong axis", "you measured from the other axis; the question is from the rake axis.",
             "atan(tan α ÷ tan β)"),
        slip("angles for tangents", "you divided the angles; divide their tangents.",
             "atan(β ÷ α)"),
        slip("angles for tangents, wrong axis", "you divided the angles and measured from the "
             "other axis.", "atan(α ÷ β)"),
        slip("sines for tangents", "you divided the sines; divide the tangents.",
             "atan(sin β ÷ sin α)"),
        slip("arcsine", "you took the angle by its sine; the division gives its tangent.",
             "asin(tan β ÷ tan α)"),
        slip("arcsine, wrong axis", "you took the angle by its sine, and from the other axis.",
             "asin(tan α ÷ tan β)"),
        slip("answered leg resultant", "you gave the lean of the leg; the question is its "
             "direction in plan.", "atan(√((tan α)^2 + (tan β)^2))"),
        slip("sum of the angles", "you added the two angles.", "α + β"),
        slip("difference of the angles", "you took one angle from the other.", "β − α"),
        slip("tangent answered", "you gave the tangent of the angle; find the angle that has it.",
             "tan β ÷ tan α"),
        slip("product", "you multiplied the tangents; divide them.", "atan(tan β × tan α)"),
    ),
)  # fmt: skip
