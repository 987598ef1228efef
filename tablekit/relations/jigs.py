"""Jigs: a cradle for the flats, a sled and a wedge for the notch, a stop for lengths and spacers
for the passes, and the holes of the trammel board.

Proofs and worked figures: `reference/derivations/jigs.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, assume, equal
from tablekit.relations import notch_cutting, trammel
from tablekit.relations import quantities as q
from tablekit.relations.marking import near_wall

DERIVATION = "reference/derivations/jigs.md"
# What a brief calls each jig, and what a maker does, in the order of the work.
CRADLE, SLED, WEDGE, STOP, TRAMMEL = "cradle", "sled", "wedge", "stop", "trammel"
NAMES = {
    STOP: "length stop", SLED: "notch sled", WEDGE: "notch wedge", CRADLE: "flat cradle",
    TRAMMEL: "trammel board",
}  # fmt: skip
EVERY = tuple(NAMES)


def _mm(name: str, letter: str, meaning: str, low: float = 0.5, high: float = 3000.0) -> Quantity:
    return Quantity(name, letter, "mm", meaning, low, high, latex=_latex(letter))


def _degrees(name: str, letter: str, meaning: str) -> Quantity:
    return Quantity(name, letter, "deg", meaning, 0.1, 89.9, latex=_latex(letter))


def _latex(letter: str) -> str:
    head, _, foot = letter.replace("α", r"\alpha").partition("_")
    return f"{head}_{{{foot}}}" if foot else head


def _says(
    found: Quantity, right: sp.Expr, meaning: str, why: str, heading: str,
    given: dict[str, str], expected: str, *, left: sp.Expr | None = None,
    limits: tuple[Limit, ...] = (),
) -> Relation:  # fmt: skip
    """A relation named after what it finds, with one worked example from the derivation."""
    return Relation(
        name=found.name.replace("_", " "),
        equation=equal(found if left is None else left, right),
        meaning=meaning,
        why=why,
        source=derived(DERIVATION, heading),
        limits=limits,
        checks=(Check(given, {found.name: expected}, derived(DERIVATION, heading)),),
    )


# --- Sizes of the shop's own ----------------------------------------------------------------------

jig_sheet = _mm("jig_sheet", "s_j", "thickness of the sheet that jigs are made of", 3, 60)
cradle_share = Quantity(
    "cradle_share", "k_v", "1", "share of the lower side arris's height that the V reaches up to",
    0.2, 0.9, latex="k_v", said="share",
)  # fmt: skip
cradle_lift = _mm("cradle_lift", "f_v", "base of the cradle to the bottom of its V", 0, 50)
cradle_gap = _mm("cradle_gap", "g_v", "gap between the toes of the two rails", 0, 40)
cradle_play = _mm("cradle_play", "p_v", "cheek of the cradle to the side arris next to it", 0, 40)
cradle_grip = _mm("cradle_grip", "e_v", "length of the cradle beyond the kerf, at either end", 20)
wedge_thin = _mm("wedge_thin", "t_w", "thickness of the thin edge of the wedge", 0, 50)
wedge_gauge = _mm("wedge_gauge", "G_w", "length over which the slope of the wedge is stated", 10)
sled_rail_width = _mm("sled_rail_width", "b_s", "width of a rail of the notch sled", 10, 300)
sled_hold = _mm("sled_hold", "e_s", "length of the sled beyond its rails, at either end", 0, 500)
stop_block = _mm("stop_block", "l_b", "length of the stop block along the fence", 20, 500)
stop_short = _mm("stop_short", "e_b", "blade to the end of the stop batten", 5, 500)
trammel_sheet = _mm("trammel_sheet", "s_t", "thickness of the trammel board", 3, 40)
rim_left = _mm("rim_left", "r_t", "left at the rim by the first round, for the last one", 0.1, 20)
hole_aside = _mm(
    "hole_aside", "y_t", "middle line of the trammel board to the hole of the first round", 5, 100
)

_MM = sp.Rational(1, 1000)


def _usual(quantity: Quantity, mm: float, why: str, usual: tuple[float, float]) -> Assumption:
    return assume(quantity, sp.nsimplify(mm) * _MM, why, common_practice(), usual=usual)


SHEET = _usual(jig_sheet, 18, "Stiff enough for a screw in its edge.", (9, 30))
CRADLE_ASSUMPTIONS: tuple[Assumption, ...] = (
    SHEET,
    assume(cradle_share, sp.Rational(2, 3), "High enough to hold, and clear of the side arrises.",
           common_practice("two thirds"), usual=(0.4, 0.85)),
    _usual(cradle_lift, 3, "Keeps the lower arris off the base.", (1, 20)),
    _usual(cradle_gap, 3, "Dust falls through, and the arris stays sharp.", (1, 20)),
    _usual(cradle_play, 3, "The post drops in without binding.", (1, 10)),
    assume(cradle_grip, 2 * q.post_width, "A post held over twice its width does not rock.",
           common_practice("twice the width"), usual_share=(1, 6)),
)  # fmt: skip
SLED_ASSUMPTIONS: tuple[Assumption, ...] = (
    SHEET,
    _usual(wedge_thin, 3, "A feather edge breaks.", (1, 15)),
    _usual(wedge_gauge, 100, "A round length to set a bevel by.", (25, 1000)),
    _usual(sled_rail_width, 60, "Room for two screws and a clamp.", (30, 150)),
    _usual(sled_hold, 50, "Room for a clamp.", (25, 300)),
)
STOP_ASSUMPTIONS: tuple[Assumption, ...] = (
    SHEET,
    _usual(stop_block, 100, "Room for a clamp and two screws.", (40, 300)),
    _usual(stop_short, 50, "Keeps the batten out of the cut.", (20, 200)),
)
HOLE_ASSUMPTIONS: tuple[Assumption, ...] = (
    _usual(trammel_sheet, 9, "Thin enough to leave the cutter its depth.", (5, 20)),
    _usual(rim_left, 1.5, "A shaving, which the last round takes off cleanly.", (0.5, 5)),
    _usual(hole_aside, 20, "Clear of the hole for the last round.", (12, 60)),
)

# --- The cradle -----------------------------------------------------------------------------------

cradle_near_slope = _degrees(
    "cradle_near_slope", "α_n", "bevel of the rail under the face opposite the notch, from level"
)
cradle_far_slope = _degrees(
    "cradle_far_slope", "α_f",
    "bevel of the rail under the face opposite the bearing face, from level",
)  # fmt: skip
cradle_cut = _degrees("cradle_cut", "α_c", "kerf of the cradle to the length of the post")
cradle_near_reach = _mm("cradle_near_reach", "a_n", "bottom of the V to arris D, level")
cradle_far_reach = _mm("cradle_far_reach", "a_f", "bottom of the V to arris B, level")
cradle_near_rise = _mm("cradle_near_rise", "h_n", "bottom of the V to arris D, plumb")
cradle_far_rise = _mm("cradle_far_rise", "h_f", "bottom of the V to arris B, plumb")
cradle_rail_height = _mm("cradle_rail_height", "h_r", "thickness of the rails of the cradle")
cradle_toe = _mm("cradle_toe", "h_t", "base of the cradle to the toes of its rails", 0)
cradle_near_rail = _mm(
    "cradle_near_rail", "b_n", "width at the base of the rail under the face opposite the notch"
)
cradle_far_rail = _mm(
    "cradle_far_rail", "b_f",
    "width at the base of the rail under the face opposite the bearing face",
)  # fmt: skip
cradle_inside = _mm("cradle_inside", "b_c", "cheek to cheek of the cradle, inside")
cradle_outside = _mm("cradle_outside", "B_c", "breadth of the cradle over its cheeks")
cradle_cheek = _mm("cradle_cheek", "h_c", "height of the cradle's cheeks above its base")
cradle_cheek_board = _mm(
    "cradle_cheek_board", "H_c", "width of the boards for the cradle's cheeks, base and all"
)
cradle_kerf_run = _mm(
    "cradle_kerf_run", "x_k",
    "shift of the kerf along the cradle, outside of one cheek to outside of the other", 1, 20000,
)  # fmt: skip
cradle_length = _mm("cradle_length", "l_c", "length of the cradle", 20, 30000)

_an, _af = cradle_near_slope, cradle_far_slope
_deep, _wide = q.post_section, q.post_width
_board, _gap = jig_sheet, cradle_gap
_PENCIL = {"cradle_near_slope": "53.130102 deg"}
_LIES = "the cradle"
_CORNERS, _RAILS, _KERF = "arrises in the cradle", "the rails of the cradle", "the kerf"
_SIDE = "Along the face and plumb of it, from the arris at the bottom to the one at the side."


def _side(found: Quantity, size: sp.Symbol, part: sp.Expr, given: str, text: str) -> Relation:
    slope = next(iter(part.free_symbols)).name
    return _says(
        found, size * part, "Where a side arris of the post lies in the cradle.", _SIDE, _CORNERS,
        {given: "50 mm", slope: "53.130102 deg"}, text,
    )  # fmt: skip


def _rail(found: Quantity, reach: Quantity, slope: sp.Symbol) -> Relation:
    return _says(
        found, reach + cradle_play - _gap * sp.cos(slope) ** 2,
        "A rail fills the cradle from its toe to its cheek.",
        "The toe stands out from the bottom of the V by its share of the gap.", _RAILS,
        {reach.name: "45.2548 mm", "cradle_play": "3 mm", "cradle_gap": "3 mm",
         slope.name: "45 deg"}, "46.755 mm",
    )  # fmt: skip


CRADLE_RELATIONS: tuple[Relation, ...] = (
    _says(
        cradle_near_slope, q.side_rise,
        "The bevel that lays the flat's direction level.",
        "Rolled so, the face opposite the notch rises by m for each n across.", _LIES,
        {"bearing_rise": "0.48", "side_rise": "0.64"}, "53.130 deg",
        left=sp.tan(_an) * q.bearing_rise,
    ),
    _says(
        cradle_far_slope, sp.pi / 2, "The two bevels make a square V.",
        "The post is square, and so is the angle at its arris.", _LIES,
        {"cradle_near_slope": "53.13 deg"}, "36.87 deg", left=_af + _an,
    ),
    _says(
        cradle_cut, sp.pi / 2, "The plumb cut that is the flat, seen from above.",
        "The flat's direction makes the lean of the post with the post's length, and the cut is "
        "square to that direction.", _LIES,
        {"splay": "54.73561 deg"}, "35.264 deg", left=cradle_cut + q.splay,
    ),
    _side(cradle_near_reach, _deep, sp.cos(_an), "post_section", "30.00 mm"),
    _side(cradle_near_rise, _deep, sp.sin(_an), "post_section", "40.00 mm"),
    _side(cradle_far_reach, _wide, sp.cos(_af), "post_width", "30.00 mm"),
    _side(cradle_far_rise, _wide, sp.sin(_af), "post_width", "40.00 mm"),
    _says(
        cradle_rail_height,
        cradle_lift
        + cradle_share * sp.Min(cradle_near_rise, cradle_far_rise),
        "How high the rails hold the post.", "A share of the lower side arris, and the lift of the "
        "V over the base.", _RAILS,
        {"cradle_lift": "3 mm", "cradle_share": "0.66666667", "cradle_near_rise": "45.2548 mm",
         "cradle_far_rise": "60 mm"}, "33.17 mm",
    ),
    _says(
        cradle_toe, cradle_lift + _gap * sp.sin(_an) * sp.cos(_an),
        "How thick each rail is left at its toe.", "At that height over its bottom the V is as "
        "wide as the gap.", _RAILS,
        {**_PENCIL, "cradle_lift": "3 mm", "cradle_gap": "5 mm"}, "5.400 mm",
    ),
    _rail(cradle_near_rail, cradle_near_reach, _an),
    _rail(cradle_far_rail, cradle_far_reach, _af),
    _says(
        cradle_inside,
        cradle_near_reach + cradle_far_reach + 2 * cradle_play,
        "The breadth of the cradle inside, which is that of its base.",
        "The post's breadth, with play beside either arris.", _RAILS,
        {"cradle_near_reach": "45.2548 mm", "cradle_far_reach": "45.2548 mm",
         "cradle_play": "3 mm"}, "96.51 mm",
    ),
    _says(
        cradle_cheek, cradle_lift + cradle_near_rise + cradle_far_rise,
        "The cheeks reach up to the uppermost arris.", "That arris is above the lower one by the "
        "heights of both side arrises.", _RAILS,
        {"cradle_lift": "3 mm", "cradle_near_rise": "45.2548 mm", "cradle_far_rise": "45.2548 mm"},
        "93.51 mm",
    ),
    _says(
        cradle_cheek_board, cradle_cheek + _board,
        "The cheeks are fixed to the edges of the base.", "They cover its thickness.", _RAILS,
        {"cradle_cheek": "93.51 mm", "jig_sheet": "18 mm"}, "111.51 mm",
    ),
    _says(
        cradle_outside, cradle_inside + 2 * _board,
        "The breadth over both cheeks.", "A cheek stands on either side.", _RAILS,
        {"cradle_inside": "96.51 mm", "jig_sheet": "18 mm"}, "132.51 mm",
    ),
    _says(
        cradle_kerf_run, cradle_outside * sp.tan(q.splay),
        "How far apart the kerfs of the two cheeks are marked.",
        "Across the cradle the kerf gains the tangent of the lean for each step.", _KERF,
        {"cradle_outside": "132.51 mm", "splay": "54.73561 deg"}, "187.4 mm",
    ),
    _says(
        cradle_length, cradle_kerf_run + 2 * cradle_grip,
        "The length of base, rails and cheeks.", "The post is held at either end beyond the kerf.",
        _KERF, {"cradle_kerf_run": "187.4 mm", "cradle_grip": "128 mm"}, "443.4 mm",
    ),
)  # fmt: skip
CRADLE_QUANTITIES = (
    q.splay, q.bearing_rise, q.side_rise, q.post_section, q.post_width, jig_sheet, cradle_share,
    cradle_lift, cradle_gap, cradle_play, cradle_grip, cradle_near_slope, cradle_far_slope,
    cradle_cut, cradle_near_reach, cradle_far_reach, cradle_near_rise, cradle_far_rise,
    cradle_rail_height, cradle_toe, cradle_near_rail, cradle_far_rail, cradle_inside,
    cradle_outside, cradle_cheek, cradle_cheek_board, cradle_kerf_run, cradle_length,
)  # fmt: skip

# --- The sled and its wedge -----------------------------------------------------------------------

wedge_base = _mm("wedge_base", "b_w", "width of the wedge across the post, on its sole")
wedge_rise = _mm("wedge_rise", "h_w", "thick edge of the wedge less its thin edge", 0)
wedge_thick = _mm("wedge_thick", "T_w", "thickness of the thick edge of the wedge", 0)
wedge_gauge_rise = _mm("wedge_gauge_rise", "H_w", "rise of the wedge over the stated length", 0)
sled_channel = _mm("sled_channel", "b_p", "cheek to cheek of the notch sled, inside")
sled_cheek = _mm("sled_cheek", "h_s", "height of the sled's cheeks above its base")
sled_cheek_board = _mm(
    "sled_cheek_board", "H_s", "width of the boards for the sled's cheeks, base and all"
)
sled_opening = _mm("sled_opening", "b_o", "rail to rail of the notch sled, square to both")
sled_rail_length = _mm("sled_rail_length", "l_r", "length of a rail of the notch sled", 1, 9000)
sled_length = _mm("sled_length", "l_s", "length of the notch sled along the post", 1, 20000)

_phi, _tau = q.crossing_angle, q.notch_floor_tilt
_SLED, _WEDGE = "the notch sled", "the wedge"
_ROCKED = {"post_section": "50 mm", "post_width": "50 mm", "notch_floor_tilt": "36.869898 deg"}

SLED_RELATIONS: tuple[Relation, ...] = (
    notch_cutting.GUIDE_OFFSET,
    _says(
        wedge_base, _deep * sp.cos(_tau), "How wide the wedge is under the post.",
        "The face that rests on it is so wide along the slope.", _WEDGE,
        {"post_section": "50 mm", "notch_floor_tilt": "36.869898 deg"}, "40.00 mm",
    ),
    _says(
        wedge_rise, _deep * sp.Abs(sp.sin(_tau)), "What the wedge lifts one side of the post by.",
        "The face that rests on it climbs so much across its width.", _WEDGE,
        {"post_section": "50 mm", "notch_floor_tilt": "36.869898 deg"}, "30.00 mm",
    ),
    _says(
        wedge_thick, wedge_thin + wedge_rise, "The wedge is no feather edge.",
        "Both edges are thicker by what the thin one is left.", _WEDGE,
        {"wedge_thin": "3 mm", "wedge_rise": "30 mm"}, "33.0 mm",
    ),
    _says(
        wedge_gauge_rise, wedge_gauge * sp.Abs(sp.tan(_tau)),
        "The slope of the wedge as a rise over a round length.",
        "Rise over run is the tangent of the angle.", _WEDGE,
        {"wedge_gauge": "100 mm", "notch_floor_tilt": "36.869898 deg"}, "75.00 mm",
    ),
    _says(
        sled_channel, _deep * sp.cos(_tau) + _wide * sp.Abs(sp.sin(_tau)),
        "The breadth of the post as it lies in the sled.",
        "Seen from the end, the rocked post is as broad as both its sides seen slantwise.", _SLED,
        _ROCKED, "70.00 mm",
    ),
    _says(
        sled_cheek, wedge_thick + _wide * sp.cos(_tau),
        "The cheeks are level with the highest arris.",
        "That arris is above the thick edge of the wedge by the post's side, seen slantwise.",
        _SLED, {"wedge_thick": "33 mm", "post_width": "50 mm",
                "notch_floor_tilt": "36.869898 deg"}, "73.00 mm",
    ),
    _says(
        sled_cheek_board, sled_cheek + _board,
        "The cheeks are fixed to the edges of the base.", "They cover its thickness.", _SLED,
        {"sled_cheek": "73 mm", "jig_sheet": "18 mm"}, "91.0 mm",
    ),
    _says(
        sled_opening, notch_cutting.trench_width + 2 * notch_cutting.guide_offset,
        "The router runs from wall to wall and no farther.",
        "At either wall its base goes on past the wall as far as a guide stands off.", _SLED,
        {"trench_width": "50 mm", "guide_offset": "69 mm"}, "188.0 mm",
    ),
    _says(
        sled_rail_length,
        sled_channel + sp.Max(
            (notch_cutting.cutter_width + notch_cutting.base_width) * sp.sin(_phi),
            2 * _board,
        ),
        "A rail guides the router until its cutter is clear of the post on either side.",
        "Across the post, a cutter and a base farther, and never short of the cheeks.", _SLED,
        {"sled_channel": "70 mm", "cutter_width": "12 mm", "base_width": "150 mm",
         "crossing_angle": "53.130102 deg", "jig_sheet": "18 mm"}, "249.5 mm",
        left=sled_rail_length * sp.sin(_phi),
    ),
    _says(
        sled_length,
        (sled_opening + 2 * sled_rail_width) / sp.sin(_phi)
        + (sled_channel + 2 * _board) * sp.Abs(sp.cos(_phi) / sp.sin(_phi))
        + 2 * sled_hold,
        "The length of base, cheeks and wedge.",
        "Opening and rails, longer along the post where they cross it slantwise, and room for a "
        "clamp at either end.", _SLED,
        {"sled_opening": "188 mm", "sled_rail_width": "60 mm", "crossing_angle": "53.130102 deg",
         "sled_channel": "70 mm", "jig_sheet": "18 mm", "sled_hold": "50 mm"}, "564.5 mm",
    ),
)  # fmt: skip
SLED_QUANTITIES = (
    q.post_section, q.post_width, q.crossing_angle, q.notch_floor_tilt, notch_cutting.trench_width,
    notch_cutting.cutter_width, notch_cutting.base_width, notch_cutting.guide_offset, jig_sheet,
    wedge_thin, wedge_gauge, sled_rail_width, sled_hold, wedge_base, wedge_rise, wedge_thick,
    wedge_gauge_rise, sled_channel, sled_cheek, sled_cheek_board, sled_opening, sled_rail_length,
    sled_length,
)  # fmt: skip

# --- The length stop, and spacers for the passes --------------------------------------------------

stop_distance = _mm(
    "stop_distance", "x_b", "near side of the blade to the face of the length stop", 10, 4000
)
stop_batten = _mm("stop_batten", "l_a", "length of the batten of the length stop", 1, 5000)
stop_spacer = _mm("stop_spacer", "a_x", "thickness of a spacer between stop and foot end", 0.1, 900)
last_stop = Quantity(
    "last_stop", "x_l", "mm",
    "foot end to the near side of the cutter at the last pass, along the arris", -4000, 8000,
    latex="x_l",
)  # fmt: skip

STOP_RELATIONS: tuple[Relation, ...] = (
    _says(
        stop_batten, stop_distance + stop_block,
        "The batten that carries the stop beyond the end of the fence.",
        "It reaches from short of the blade to the far end of the block.", "the length stop",
        {"stop_distance": "900 mm", "stop_block": "100 mm", "stop_short": "50 mm"}, "950.0 mm",
        left=stop_batten + stop_short,
    ),
)  # fmt: skip
STOP_QUANTITIES = (stop_distance, jig_sheet, stop_block, stop_short, stop_batten)
_SPACERS = "spacers for the notch"
SPACER_RELATIONS: tuple[Relation, ...] = (
    notch_cutting.PASS_SHIFT,
    _says(
        stop_spacer, notch_cutting.pass_shift,
        "A spacer moves the post on by one pass.",
        "A shift square to the walls is longer along the post.", _SPACERS,
        {"pass_shift": "15 mm", "crossing_angle": "53.130102 deg"}, "18.750 mm",
        left=stop_spacer * sp.sin(_phi),
    ),
    _says(
        last_stop, notch_cutting.trench_width - notch_cutting.cutter_width,
        "Where the one stop is clamped.",
        "The last pass lies against the far wall, the first against the near one.", _SPACERS,
        {"near_wall": "468 mm", "trench_width": "64 mm", "cutter_width": "19 mm",
         "crossing_angle": "53.130102 deg"}, "524.25 mm",
        left=(last_stop - near_wall) * sp.sin(_phi),
    ),
)  # fmt: skip
SPACER_QUANTITIES = (
    q.crossing_angle, near_wall, notch_cutting.trench_width, notch_cutting.cutter_width,
    notch_cutting.passes, notch_cutting.pass_shift, stop_spacer, last_stop,
)  # fmt: skip

# --- The trammel board ----------------------------------------------------------------------------

first_pivot = _mm(
    "first_pivot", "x_f",
    "reference end of the trammel board to the hole of the first round, along the middle line",
    50, 2200,
)  # fmt: skip
_far = trammel.trammel_centre + rim_left
HOLE_RELATIONS: tuple[Relation, ...] = (
    _says(
        first_pivot, trammel.cutter_from_edge + sp.sqrt(_far**2 - hole_aside**2),
        "Where to drill for the pin of the first round.",
        "It is farther from the cutter by what is left, and set aside so that the two holes do "
        "not run together.", "the first hole of the trammel",
        {"cutter_from_edge": "100 mm", "trammel_centre": "466 mm", "rim_left": "1.5 mm",
         "hole_aside": "20 mm"}, "567.07 mm",
        limits=(Limit(_far - hole_aside,
                      "the hole of the first round is set aside by less than the radius"),),
    ),
)  # fmt: skip
HOLE_QUANTITIES = (
    trammel.cutter_from_edge, trammel.trammel_centre, trammel_sheet, rim_left, hole_aside,
    first_pivot,
)  # fmt: skip
