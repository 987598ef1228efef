"""How a pupil finds the sizes of posts and top, what tips the piece and what it takes, and the
slips that are made on the way.

Each formula is the kit's own relation for the same quantity, solved for it at the crossing that the
question names; the tests compare the two. That these slips are made: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from tablekit.teaching.school import Mistake, SchoolFormula, slip

# -- the posts -------------------------------------------------------------------------------------

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

_ROOT_OF_BOTH = "√((tan α)^2 + (tan β)^2)"
RESULTANT = SchoolFormula(
    f"atan({_ROOT_OF_BOTH})",
    "Over one unit of height the foot moves by the tangent of the rake one way, and by the tangent "
    "of the splay square to it. Find how far it moves in all, as seen from above.",
    SIGHT_LINE.letters,
    SIGHT_LINE.names,
    slips=(
        slip("sum of the angles", "you added the two angles; the steps are square to one another.",
             "α + β"),
        slip("angles for tangents", "you put the angles together as the sides of a right angle; "
             "put their tangents together.", "√(α^2 + β^2)"),
        slip("sines for tangents", "you took the sines; take the tangents.",
             "asin(√((sin α)^2 + (sin β)^2))"),
        slip("sum of the tangents", "you added the two steps; they are square to one another.",
             "atan(tan α + tan β)"),
        slip("arcsine", "you took the angle by its sine; the root is its tangent.",
             f"asin({_ROOT_OF_BOTH})"),
        slip("root forgotten", "you left out the root.", "atan((tan α)^2 + (tan β)^2)"),
        slip("tangent answered", "you gave the tangent of the lean; find the angle that has it.",
             _ROOT_OF_BOTH),
        slip("from the floor", "you gave the lean from the floor; the question is from plumb.",
             f"90 − atan({_ROOT_OF_BOTH})"),
        slip("answered sight line", "you gave the direction in plan; the question is how far the "
             "leg leans.", "atan(tan β ÷ tan α)"),
        slip("mean", "you took the mean of the two; the leg leans farther than either shows.",
             "(α + β) ÷ 2"),
        slip("rake alone", "you gave the rake; the leg leans farther than either view shows.", "α"),
        slip("splay alone", "you gave the splay; the leg leans farther than either view shows.",
             "β"),
    ),
)  # fmt: skip

BORING = SchoolFormula(
    "t − d_s × cos θ − D_t ÷ 2 × sin θ",
    "The bottom of the bore is flat and square to the axis, so it is out of level by the lean. How "
    "high is its middle, and how much higher its upper edge?",
    {"t": "top_thickness", "d_s": "socket_depth", "D_t": "tenon_diameter", "θ": "leg_resultant"},
    {"t": "the thickness of the top", "d_s": "the depth of the socket", "D_t": "the bit",
     "θ": "the lean of the bore"},
    slips=(
        slip("depth measured plumb", "you took the whole depth off the thickness; the bore leans, "
             "so it does not go up as far.", "t − d_s"),
        slip("middle of the bottom", "you went up to the middle of the bottom; its upper edge is "
             "nearer to the upper face.", "t − d_s × cos θ"),
        slip("whole bit", "you went a whole diameter beyond the middle; half of it lies there.",
             "t − d_s × cos θ − D_t × sin θ"),
        slip("sign of the edge", "you took the lower edge of the bottom; the upper one is nearer.",
             "t − d_s × cos θ + D_t ÷ 2 × sin θ"),
        slip("edge at full size", "you took half the bit as it is; it is out of level by the lean "
             "alone.", "t − d_s × cos θ − D_t ÷ 2"),
        slip("edge alone", "you left the lean out of the depth.", "t − d_s − D_t ÷ 2 × sin θ"),
        slip("divided by the cosine", "you divided by the cosine; the depth is the long side of "
             "its triangle.", "t − d_s ÷ cos θ − D_t ÷ 2 × sin θ"),
        slip("tangent for sine", "you took the tangent; half the bit is the long side of its "
             "triangle.", "t − d_s × cos θ − D_t ÷ 2 × tan θ"),
    ),
)  # fmt: skip

LEVELLING = SchoolFormula(
    "(L_b − L) × cos θ + D_f ÷ 2 × sin θ",
    "The leg stands on the lowest point of its square end. Go up from there to the middle of the "
    "end, and along the axis to the level cut.",
    {"L_b": "leg_blank", "L": "leg_length", "D_f": "foot_diameter", "θ": "leg_resultant"},
    {"L_b": "the length as turned", "L": "the length once cut", "D_f": "the thickness of the foot",
     "θ": "the lean of the leg"},
    slips=(
        slip("along the leg", "you gave what comes off along the leg; the line is that much lower, "
             "seen plumb, and the foot stands on an edge.", "L_b − L"),
        slip("foot as a point", "you let the leg stand on the middle of its end; it stands on the "
             "edge.", "(L_b − L) × cos θ"),
        slip("whole thickness", "you went a whole thickness from the edge to the middle; it is "
             "half.", "(L_b − L) × cos θ + D_f × sin θ"),
        slip("sign of the edge", "you took what the edge adds away.",
             "(L_b − L) × cos θ − D_f ÷ 2 × sin θ"),
        slip("lean left out", "you left the lean out of what comes off.",
             "L_b − L + D_f ÷ 2 × sin θ"),
        slip("divided by the cosine", "you divided by the cosine; what comes off is the long side "
             "of its triangle.", "(L_b − L) ÷ cos θ + D_f ÷ 2 × sin θ"),
        slip("edge at full size", "you went up half the thickness; the end is out of level by the "
             "lean alone.", "(L_b − L) × cos θ + D_f ÷ 2"),
        slip("edge alone", "you left out what comes off.", "D_f ÷ 2 × sin θ"),
    ),
)  # fmt: skip


# -- the top, and standing firm --------------------------------------------------------------------

# Standard gravity is 9.80665 m/s² (ISO 80000-3). A class uses 9.81; 10 or 9.8 is as right, and
# the question says so.
_GRAVITY = {"g": "9.81"}
_ALSO_GRAVITY = {"g": ("10", "9.8", "9.80665")}
_GRAVITY_WORDS = "A kilogram weighs 9.81 newtons; to take 10 is right as well."
_DIAMETER_WORDS = "you used the diameter of the top where its radius belongs."
_WEIGHT_WORDS = "you used the mass as a force; a kilogram weighs about 9.81 newtons."

_TIPPING_SLIPS = (
    slip("top diameter: diameter for radius", _DIAMETER_WORDS,
         "M × g × (r_f ÷ 2) ÷ (D − r_f ÷ 2)"),
    slip("over the feet", "you tipped the table over the feet; it tips over the line between two "
         "of them, half as far from the centre.", "M × g × r_f ÷ (D ÷ 2 − r_f)"),
    slip("over the feet, arm of the weight", "you halved the radius for one arm and not for the "
         "other.", "M × g × r_f ÷ (D ÷ 2 − r_f ÷ 2)"),
    slip("over the feet, arm of the load", "you halved the radius for one arm and not for the "
         "other.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f)"),
    slip("levers swapped", "you swapped the two arms; the weight has the short one.",
         "M × g × (D ÷ 2 − r_f ÷ 2) ÷ (r_f ÷ 2)"),
    slip("arm from the centre", "you measured the arm of the load from the centre; measure it from "
         "the line over which the table tips.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2)"),
    slip("arm of the whole", "you took the sum of the two arms where the arm of the load is their "
         "difference.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2 + r_f ÷ 2)"),
    slip("sine for cosine", "you took r × sin 60° for the distance to the line between two feet.",
         "M × g × (r_f × √3 ÷ 2) ÷ (D ÷ 2 − r_f × √3 ÷ 2)"),
    slip("halved twice", "you halved the radius of the foot circle twice.",
         "M × g × (r_f ÷ 4) ÷ (D ÷ 2 − r_f ÷ 4)"),
    slip("top halved twice", "you halved the diameter of the top twice.",
         "M × g × (r_f ÷ 2) ÷ (D ÷ 4 − r_f ÷ 2)"),
    slip("shared by the feet", "you shared the load among the three feet.",
         "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2) ÷ 3"),
    slip("weight alone", "you gave the weight of the table.", "M × g"),
)  # fmt: skip
_TIPPING_STRATEGY = (
    "The table turns about the line through two feet. On one side of it the weight holds the table "
    "down with a short arm, on the other the load lifts it with a longer one. Find both arms, and "
    "set the two moments equal."
)
TIPPING = SchoolFormula(
    "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)",
    _TIPPING_STRATEGY,
    {"M": "total_mass", "r_f": "foot_radius", "D": "top_diameter"},
    {"M": "the mass of the table", "r_f": "the radius of the foot circle",
     "D": "the diameter of the top", "g": "the weight of one kilogram, in newtons"},
    fixed=_GRAVITY,
    also=_ALSO_GRAVITY,
    said=_GRAVITY_WORDS,
    slips=(
        *_TIPPING_SLIPS,
        slip("mass for weight", _WEIGHT_WORDS, "M × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)"),
        slip("divided by g", "you divided by g where you should multiply by it.",
             "M ÷ g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)"),
    ),
)  # fmt: skip

_PUSH_SLIPS = (
    slip("levers swapped", "you swapped the two arms; the weight has the short one.",
         "M × g × H ÷ a_T"),
    slip("arms added", "you divided by the two arms together; the height alone is the arm of the "
         "push.", "M × g × a_T ÷ (H + a_T)"),
    slip("arms taken away", "you took one arm from the other; the height alone is the arm of the "
         "push.", "M × g × a_T ÷ (H − a_T)"),
    slip("half the weight", "you halved the weight.", "M × g × a_T ÷ H ÷ 2"),
    slip("towards a foot", "you pushed towards a foot, where the arm of the weight is twice as "
         "long.", "2 × M × g × a_T ÷ H"),
    slip("half the height", "you pushed at half the height.", "M × g × a_T ÷ (H ÷ 2)"),
    slip("shared by the feet", "you shared the push among the three feet.",
         "M × g × a_T ÷ H ÷ 3"),
    slip("weight alone", "you gave the weight of the table.", "M × g"),
)  # fmt: skip
PUSH = SchoolFormula(
    "M × g × a_T ÷ H",
    "Think of a bent lever that turns about the line through two feet. The weight pulls down at "
    "one arm, the push acts level at the other. Which length is the arm of each? Set the two "
    "moments equal.",
    {"M": "total_mass", "a_T": "tipping_arm", "H": "table_height"},
    {"M": "the mass of the table", "a_T": "the arm of the weight", "H": "the arm of the push, its "
     "height above the floor", "g": "the weight of one kilogram, in newtons"},
    fixed=_GRAVITY,
    also=_ALSO_GRAVITY,
    said=_GRAVITY_WORDS,
    slips=(
        *_PUSH_SLIPS,
        slip("mass for weight", _WEIGHT_WORDS, "M × a_T ÷ H"),
        slip("divided by g", "you divided by g where you should multiply by it.",
             "M ÷ g × a_T ÷ H"),
    ),
)  # fmt: skip


def _in_pounds(formula: SchoolFormula, slips: tuple[Mistake, ...]) -> SchoolFormula:
    """The same where a weight is given as one, in pounds, so that no g is needed."""
    by_g = slip(
        "multiplied by g",
        "you multiplied by g; a pound of mass weighs one pound of force.",
        formula.text.replace("M × g", "M × 32.174"),
    )
    weighed = (replace(one, worked=one.worked.replace("M × g", "M")) for one in slips)
    names = {letter: name for letter, name in formula.names.items() if letter != "g"}
    return replace(
        formula,
        text=formula.text.replace("M × g", "M"),
        names={**names, "M": "the weight of the table"},
        fixed={},
        also={},
        said="",
        slips=(*weighed, by_g),
    )


TIPPING_IN = _in_pounds(TIPPING, _TIPPING_SLIPS)
PUSH_IN = _in_pounds(PUSH, _PUSH_SLIPS)

OVERHANG = SchoolFormula(
    "D ÷ 2 − r_h",
    "Go from the centre out to the rim, and from the centre out to the heads. What lies between?",
    {"D": "top_diameter", "r_h": "head_radius"},
    {"D": "the diameter of the top", "r_h": "the radius of the circle of the heads"},
    slips=(
        slip("top diameter: diameter for radius", _DIAMETER_WORDS, "D − r_h"),
        slip("head radius: radius for diameter", "you took the radius of the head circle for its "
             "diameter.", "D ÷ 2 − r_h ÷ 2"),
        slip("both halved", "you took the radius of the head circle for its diameter, and halved "
             "the difference.", "(D − r_h) ÷ 2"),
        slip("both sides", "you gave the overhang of both sides together.", "D − 2 × r_h"),
        slip("halved twice", "you halved twice.", "(D ÷ 2 − r_h) ÷ 2"),
        slip("top halved twice", "you halved the diameter of the top twice.", "D ÷ 4 − r_h"),
        slip("added", "you added the two radii.", "D ÷ 2 + r_h"),
        slip("wrong way round", "you took the larger from the smaller.", "r_h − D ÷ 2"),
    ),
)  # fmt: skip

# h_1 and h_2 are the rows on either side, M_1 and M_2 what they say.
MOISTURE = SchoolFormula(
    "M_1 + (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)",
    "Find the two rows on either side of the humidity. How far between them is it, as a share of "
    "the step from row to row? Go as far between their moistures.",
    {"h": "shop_humidity"},
    {"h": "the humidity of the air", "h_1": "the humidity of the row below",
     "h_2": "the humidity of the row above", "M_1": "the moisture in the row below",
     "M_2": "the moisture in the row above"},
    slips=(
        slip("row below", "you took the row below; interpolate between the two rows on either "
             "side.", "M_1"),
        slip("row above", "you took the row above; interpolate between the two rows on either "
             "side.", "M_2"),
        slip("midpoint", "you took the middle of the two rows; go as far between them as the "
             "humidity does.", "(M_1 + M_2) ÷ 2"),
        slip("from the wrong row", "you went down from the row above where you should go up from "
             "the row below, by the same share.",
             "M_2 − (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        slip("away from the row", "you took the step away from the row below where it is added.",
             "M_1 − (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        slip("beyond the row", "you added the step to the row above.",
             "M_2 + (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        # In proportion from nothing, M_1 × h ÷ h_1, comes out within some 0.1 % of the right answer
        # and cannot be told from it.
        slip("step not shared", "you added the whole difference of the humidities.",
             "M_1 + h − h_1"),
        slip("answered shop humidity", "you gave the humidity of the air; the moisture of wood in "
             "it is much lower.", "h"),
    ),
)  # fmt: skip

_SHARE_WORDS = "you divided the per cent by a hundred; the coefficient is already for one per cent."
MOVEMENT = SchoolFormula(
    "D × C × (M_w − M_d)",
    "By how many per cent does the moisture change in all? Each of them changes the width by the "
    "same share.",
    {"D": "top_diameter", "C": "movement_coefficient", "M_w": "dampest_moisture",
     "M_d": "driest_moisture"},
    {"D": "the diameter of the top", "C": "the share of its width by which wood changes for one "
     "per cent", "M_w": "the moisture in summer, in per cent", "M_d": "the moisture in winter"},
    slips=(
        slip("top diameter: radius for diameter", "you gave the movement of one half; the question "
             "is the change of the whole width.", "D ÷ 2 × C × (M_w − M_d)"),
        slip("forgot the moisture that the wood has in winter", "you left out the moisture that "
             "the wood has in winter.", "D × C × M_w"),
        slip("forgot the moisture in summer", "you left out the moisture that the wood has in "
             "summer.", "D × C × M_d"),
        slip("moistures added", "you added the two moistures; their difference counts.",
             "D × C × (M_w + M_d)"),
        slip("per cent put in as a share", _SHARE_WORDS, "D × C × (M_w − M_d) ÷ 100"),
        slip("doubled", "you doubled the movement; the question is the change of the whole width, "
             "which is the sum of both sides.", "2 × D × C × (M_w − M_d)"),
        slip("for one per cent", "you gave the change for one per cent of moisture.", "D × C"),
        slip("new width", "you gave the new width; the question is how much wider it grows.",
             "D + D × C × (M_w − M_d)"),
        slip("mean moisture", "you took the mean of the two moistures.",
             "D × C × (M_w + M_d) ÷ 2"),
    ),
)  # fmt: skip

SLOT = SchoolFormula(
    "d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s)",
    "The screw starts in the middle of its slot. Find how far the wood moves past it towards the "
    "dry and towards the damp. The slot needs the larger movement on either side of the shank.",
    {"d_s": "screw_shank", "y_p": "plate_across", "C": "movement_coefficient",
     "M_s": "shop_moisture", "M_d": "driest_moisture", "M_w": "dampest_moisture"},
    {"d_s": "the shank of the screw", "y_p": "the distance from the middle of the top", "C": "the "
     "share of its width by which wood changes for one per cent", "M_s": "the moisture in the "
     "shop, in per cent", "M_d": "the driest moisture", "M_w": "the dampest moisture"},
    forget=("d_s",),
    turn=("d_s",),
    slips=(
        slip("one side", "you left room on only one side of the screw; it needs room for the "
             "larger movement on both sides.", "d_s + y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("plate across: radius for diameter", "you halved the distance from the middle.",
             "d_s + 2 × y_p ÷ 2 × C × max(M_s − M_d, M_w − M_s)"),
        slip("smaller movement", "you took the smaller of the two movements.",
             "d_s + 2 × y_p × C × min(M_s − M_d, M_w − M_s)"),
        slip("whole range", "you added the two movements; the screw stands in the middle, so that "
             "the larger one counts on both sides.", "d_s + y_p × C × (M_w − M_d)"),
        slip("whole range on both sides", "you took the movement from the driest to the dampest on "
             "both sides.", "d_s + 2 × y_p × C × (M_w − M_d)"),
        slip("half the shank", "you took the radius of the shank for its diameter.",
             "d_s ÷ 2 + 2 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("shank on both sides", "you added the shank on both sides.",
             "2 × d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("no shank, one side", "you gave the larger movement alone; the slot needs it on both "
             "sides, and room for the shank.", "y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("no shank, whole range", "you gave the whole movement; the slot needs the larger one "
             "on both sides, and room for the shank.", "y_p × C × (M_w − M_d)"),
        slip("halved twice", "you halved twice.",
             "d_s + y_p ÷ 2 × C × max(M_s − M_d, M_w − M_s)"),
        slip("per cent put in as a share", _SHARE_WORDS,
             "d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s) ÷ 100"),
        slip("whole width", "you took the whole width of the top for the distance from its middle.",
             "d_s + 4 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("both", "you added the two movements on both sides of the shank, twice over.",
             "d_s + 4 × y_p × C × (M_w − M_d)"),
    ),
)  # fmt: skip

_TRAMMEL_SLIPS = (
    slip("answered trammel radius", "you gave the distance to the near side of the cutter, which "
         "is the rim itself.", "D ÷ 2"),
    slip("cutter's radius subtracted", "you took the radius of the cutter away; the cutter runs "
         "outside the rim.", "D ÷ 2 − d_c ÷ 2"),
    slip("cutter subtracted", "you took the cutter away; it runs outside the rim.", "D ÷ 2 − d_c"),
    slip("top diameter: diameter for radius", _DIAMETER_WORDS, "D + d_c ÷ 2"),
    slip("both diameters", "you used both diameters where radii belong.", "D + d_c"),
    slip("cutter halved twice", "you halved the cutter twice.", "D ÷ 2 + d_c ÷ 4"),
    slip("top halved twice", "you halved the diameter of the top twice.", "D ÷ 4 + d_c ÷ 2"),
    slip("beyond the cutter", "you counted half a cutter too much.", "D ÷ 2 + 3 × d_c ÷ 2"),
)  # fmt: skip
_TRAMMEL_LETTERS = {"D": "top_diameter", "d_c": "cutter_diameter"}
_TRAMMEL_NAMES = {"D": "the diameter of the top", "d_c": "the diameter of the cutter"}
_TRAMMEL_STRATEGY = (
    "The near side of the cutter runs along the rim, and the cutter lies in the waste. Go out from "
    "the pin to the rim, and on to the {} of the cutter."
)
TRAMMEL_CENTRE = SchoolFormula(
    "D ÷ 2 + d_c ÷ 2",
    _TRAMMEL_STRATEGY.format("centre"),
    _TRAMMEL_LETTERS,
    _TRAMMEL_NAMES,
    slips=(
        *_TRAMMEL_SLIPS,
        slip("answered pivot to far side", "you gave the distance to the far side of the cutter; "
             "only half of the cutter lies between the rim and its centre.", "D ÷ 2 + d_c"),
    ),
)  # fmt: skip
TRAMMEL_FAR = SchoolFormula(
    "D ÷ 2 + d_c",
    _TRAMMEL_STRATEGY.format("far side"),
    _TRAMMEL_LETTERS,
    _TRAMMEL_NAMES,
    slips=(
        *_TRAMMEL_SLIPS,
        slip("answered trammel centre", "you gave the distance to the centre of the cutter; add "
             "the other half of it.", "D ÷ 2 + d_c ÷ 2"),
    ),
)  # fmt: skip

_FORCE, _SPACES = "p_g × L_j × t ÷ F_c", "L_j ÷ (2 × (b_c + b_o))"
CLAMPS = SchoolFormula(
    f"roundup(max({_FORCE}, {_SPACES}))",
    "Count twice. By force: what pressure on the whole joint makes in all, over what one clamp "
    "gives. By spacing: the length of the joint over the widest spacing. The larger count serves "
    "both; round it up.",
    {"p_g": "clamp_pressure", "L_j": "joint_length", "t": "top_thickness",
     "F_c": "clamp_capacity", "b_c": "caul_depth", "b_o": "outer_strip"},
    {"p_g": "the pressure on the glue", "L_j": "the length of the joint", "t": "the thickness of "
     "the boards", "F_c": "the force of one clamp", "b_c": "the depth of the batten", "b_o": "the "
     "width of the outermost board"},
    slips=(
        slip("spacing alone", "you counted by the spacing alone; here the pressure needs more "
             "clamps.", f"roundup({_SPACES})"),
        slip("pressure alone", "you counted by the pressure alone; here the spacing needs more "
             "clamps.", f"roundup({_FORCE})"),
        slip("rounded down", "you rounded down; the part of a clamp that is left over needs a "
             "whole one.", f"rounddown(max({_FORCE}, {_SPACES}))"),
        slip("pressure not rounded", "you stopped one step short; clamps come in whole numbers, so "
             "round the larger of the two counts up.", _FORCE),
        slip("spacing not rounded", "you stopped one step short; clamps come in whole numbers, so "
             "round the larger of the two counts up.", _SPACES),
        slip("counts added", "you added the two counts; the larger one serves both.",
             f"roundup({_FORCE}) + roundup({_SPACES})"),
        slip("batten forgotten", "you left out the batten; the pressure spreads in it as well.",
             f"roundup(max({_FORCE}, L_j ÷ (2 × b_o)))"),
        slip("spread on one side", "you let the pressure spread to one side only.",
             f"roundup(max({_FORCE}, L_j ÷ (b_c + b_o)))"),
        slip("one for the end", "you added a clamp for the end; each clamp already presses half a "
             "spacing to either side.", f"roundup(max({_FORCE}, {_SPACES})) + 1"),
    ),
)  # fmt: skip

_WOOD_LETTERS = {
    "n_a": "part_count", "l": "part_length", "b": "part_width", "t_a": "part_thickness",
}  # fmt: skip
_WOOD_NAMES = {
    "n_a": "the number of pieces", "l": "the length of one", "b": "its width",
    "t_a": "its thickness",
}  # fmt: skip
_ONE_WORDS = "you counted only one piece; multiply by the number of pieces."
_AREA_WORDS = "you left out the thickness, and gave an area."
WOOD = SchoolFormula(
    "n_a × l × b × t_a ÷ 1000^3",
    "Find what one piece holds and multiply by the number of pieces. A cubic metre is a thousand "
    "millimetres each way.",
    _WOOD_LETTERS,
    _WOOD_NAMES,
    slips=(
        slip("one piece", _ONE_WORDS, "l × b × t_a ÷ 1000^3"),
        slip("thickness left out", _AREA_WORDS, "n_a × l × b ÷ 1000^2"),
        slip("thousand once too few", "you divided by a million; a cubic metre has a thousand "
             "million cubic millimetres.", "n_a × l × b × t_a ÷ 1000^2"),
        slip("centimetres", "you divided by 100 three times; that goes with centimetres.",
             "n_a × l × b × t_a ÷ 100^3"),
        slip("pieces squared", "you counted the pieces twice.", "n_a × n_a × l × b × t_a ÷ 1000^3"),
    ),
)  # fmt: skip
BOARD_FEET = SchoolFormula(
    "n_a × l × b × t_a ÷ 144",
    "A board foot is 12 in by 12 in by 1 in. Find how many cubic inches all the pieces hold, and "
    "how many go to a board foot.",
    _WOOD_LETTERS,
    _WOOD_NAMES,
    slips=(
        slip("one piece", _ONE_WORDS, "l × b × t_a ÷ 144"),
        slip("inches for feet", "you used the length in inches where the rule with 12 takes feet; "
             "divide by 144 instead.", "n_a × l × b × t_a ÷ 12"),
        slip("cubic feet", "you divided by 12 three times; that gives cubic feet.",
             "n_a × l × b × t_a ÷ 12^3"),
        slip("thickness left out", _AREA_WORDS, "n_a × l × b ÷ 144"),
        slip("not divided", "you gave cubic inches.", "n_a × l × b × t_a"),
        slip("pieces squared", "you counted the pieces twice.", "n_a × n_a × l × b × t_a ÷ 144"),
    ),
)  # fmt: skip
