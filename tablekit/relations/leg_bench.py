"""Splayed legs at the bench: turning the tenon, setting the gauge, cutting the feet level.

Proofs and worked figures: `reference/derivations/leg_bench.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations.splayed_stretchers import along_a_leg, stretcher_height

DERIVATION = "reference/derivations/leg_bench.md"
_lean = s.leg_resultant
_LEAN = "17.784 deg"


def _mm(
    name: str, letter: str, meaning: str, low: float = 0.01, high: float = 3000.0, cut: bool = False
) -> Quantity:
    head, _, foot = letter.partition("_")
    latex = f"{head}_{{{foot}}}" if foot else head
    return Quantity(name, letter, "mm", meaning, low, high, latex=latex, cut=cut)


# --- Quantities ---------------------------------------------------------------------------

shoulder_clear = _mm(
    "shoulder_clear", "x", "underside to the square shoulder of a leg, along its axis", 0.01, 200
)
tenon_length = _mm(
    "tenon_length", "l_t", "tenon as turned, from its square shoulder to its end", 1, 500, cut=True
)
shoulder_gap = _mm(
    "shoulder_gap", "g", "gap under the top at the inner side of a square shoulder", 0.01, 400
)
turned_length = _mm(
    "turned_length", "l_b", "square shoulder to the end of the leg before the foot is cut level",
    10, 3000, cut=True,
)  # fmt: skip
station = _mm("station", "s", "a place on a leg, from its square shoulder", 0, 3000)
station_diameter = _mm("station_diameter", "D", "diameter of a leg at such a place", 1, 300)
mouth_length = _mm(
    "mouth_length", "m", "length of the mouth of a socket along the sight line", 3, 500
)
gauge_height = _mm("gauge_height", "G", "height in which a gauge is checked", 10, 500)
gauge_lean = _mm("gauge_lean", "a", "how far the edge of the gauge leans in that height", 0.01, 900)
block_height = _mm(
    "block_height", "b", "board to the pencil line round the feet, the legs as turned", 0.01, 500
)
foot_off = _mm(
    "foot_off", "o", "what the level cut takes off the inner side of a leg, along it", 0.01, 900
)
level_height = _mm(
    "level_height", "H_l", "level feet, without pads, to the upper face of the top", 20, 3000
)
octagon_square = _mm("octagon_square", "A", "side of a square blank", 5, 500)
octagon_mark = _mm(
    "octagon_mark", "c", "arris of a square blank to the line of its octagon, on each face", 1, 200
)
standing_height = _mm(
    "standing_height", "H_b", "board to the upper face of the top, the legs as turned", 20, 3000
)
stretcher_mark = _mm(
    "stretcher_mark", "m_z", "square shoulder of a leg to the middle of its mortises for "
    "stretchers, along its axis", 1, 3000,
)  # fmt: skip

stretcher_start = _mm(
    "stretcher_start", "a_z", "how far each end of a side stretcher stands out of its mortise "
    "while the tenons of the legs are just at the mouths of their sockets", 0.01, 500,
)  # fmt: skip

# --- Turning ------------------------------------------------------------------------------

SHOULDER_CLEAR = Relation(
    name="clearance of the shoulder",
    equation=equal(
        shoulder_clear * (1 + s.leg_taper * sp.tan(_lean)), s.leg_diameter / 2 * sp.tan(_lean)
    ),
    meaning="A square shoulder stops so far below the underside that its outer edge just touches.",
    why="The shoulder is out of level by the lean, so its edge is the radius times sin θ higher "
    "than its middle; the radius is smaller down there by the taper.",
    source=derived(DERIVATION, "the shoulder"),
    limits=(Limit(1 + s.leg_taper * sp.tan(_lean), "the leg does not widen faster than it leans"),),
    checks=(
        Check(
            {"leg_diameter": "40 mm", "leg_taper": "0", "leg_resultant": _LEAN},
            {"shoulder_clear": "6.42 mm"},
            derived(DERIVATION, "the shoulder"),
        ),
    ),
)

TENON_LENGTH = Relation(
    name="length of the tenon",
    equation=equal(tenon_length, s.socket_depth + shoulder_clear),
    meaning="The tenon is turned longer than its socket is deep.",
    why="It reaches the bottom of the socket, and the shoulder stays clear of the underside.",
    source=derived(DERIVATION, "the shoulder"),
    checks=(
        Check(
            {"socket_depth": "28 mm", "shoulder_clear": "6.42 mm"},
            {"tenon_length": "34.4 mm"},
            derived(DERIVATION, "the shoulder"),
        ),
    ),
)

SHOULDER_GAP = Relation(
    name="gap at the shoulder",
    equation=equal(shoulder_gap, 2 * shoulder_clear * sp.cos(_lean)),
    meaning="On the inner side a square shoulder is out of touch with the underside.",
    why="Its middle is x cos θ below the underside, and its inner edge as much again.",
    source=derived(DERIVATION, "the shoulder"),
    checks=(
        Check(
            {"shoulder_clear": "6.42 mm", "leg_resultant": _LEAN},
            {"shoulder_gap": "12.2 mm"},
            derived(DERIVATION, "the shoulder"),
        ),
    ),
)

TURNED_LENGTH = Relation(
    name="shoulder to the end of the foot",
    equation=equal(turned_length + tenon_length, s.leg_blank),
    meaning="The tenon and what is below its shoulder make up the turned leg.",
    why="Both are measured along the axis.",
    source=derived(DERIVATION, "turning"),
    checks=(
        Check(
            {"leg_blank": "452.5 mm", "tenon_length": "34.4 mm"},
            {"turned_length": "418.1 mm"},
            derived(DERIVATION, "turning"),
        ),
    ),
)

STATION = Relation(
    name="diameter along a leg",
    equation=equal(
        station_diameter, s.leg_diameter - 2 * s.leg_taper * (shoulder_clear + station)
    ),
    meaning="A leg tapers evenly, so calipers can be set for any place on it.",
    why="Each unit along the leg takes the taper off the radius, twice that off the diameter.",
    source=derived(DERIVATION, "turning"),
    checks=(
        Check(
            {"leg_diameter": "40 mm", "leg_taper": "0.015", "shoulder_clear": "6 mm",
             "station": "94 mm"},
            {"station_diameter": "37 mm"},
            derived(DERIVATION, "turning"),
        ),
    ),
)  # fmt: skip

OCTAGON = Relation(
    name="octagon on a square blank",
    equation=equal(octagon_mark * (2 + sp.sqrt(2)), octagon_square),
    meaning="The corners of a square blank are planed off to these lines before it is made round.",
    why="Each face is left with a side of the octagon between two marks; that side is the slope of "
    "a corner, √2 times the mark, so two marks and √2 of one make up the face.",
    source=derived(DERIVATION, "turning"),
    checks=(
        Check(
            {"octagon_square": "100 mm"},
            {"octagon_mark": "29.29 mm"},
            derived(DERIVATION, "turning"),
        ),
    ),
)

STRETCHER_MARK = Relation(
    name="place of the mortises for stretchers",
    equation=equal(
        stretcher_mark + stretcher_height / sp.cos(_lean), s.shoulder_length - shoulder_clear
    ),
    meaning="Where stretchers meet a leg, measured down from its shoulder.",
    why="Up from the level cut a height is longer along the leg by 1/cos θ; the shoulder is a "
    "little below the underside.",
    source=derived(DERIVATION, "mortises for stretchers"),
    checks=(
        Check(
            {"shoulder_length": "420.1 mm", "shoulder_clear": "6.42 mm",
             "stretcher_height": "100 mm", "leg_resultant": _LEAN},
            {"stretcher_mark": "308.7 mm"},
            derived(DERIVATION, "mortises for stretchers"),
        ),
    ),
)  # fmt: skip


def stretcher_starts(count: int) -> Relation:
    """Return how far stretchers are out of their mortises when three or four legs are started."""
    return Relation(
        name="stretchers while the legs are started",
        equation=equal(stretcher_start, tenon_length * along_a_leg(count)),
        meaning="Legs that lean outward come together as they are driven home, and their "
        "stretchers go home with them.",
        why="Drawn out along its axis by the tenon, a leg moves outward by sin θ times that; its "
        "share along the stretcher is that times the sine of half the angle between neighbours.",
        source=derived(DERIVATION, "legs and stretchers go home together"),
        checks=(
            Check(
                {"tenon_length": "34.4 mm", "leg_resultant": _LEAN},
                {"stretcher_start": {3: "9.10 mm", 4: "7.43 mm"}[count]},
                derived(DERIVATION, "legs and stretchers go home together"),
            ),
        ),
    )


# --- Boring -------------------------------------------------------------------------------

MOUTH_LENGTH = Relation(
    name="mouth of a socket",
    equation=equal(mouth_length * sp.cos(_lean), s.tenon_diameter),
    meaning="A bore that leans opens in an ellipse, longer along the sight line.",
    why="The underside cuts a round bore at the lean out of square.",
    source=derived(DERIVATION, "the mouth"),
    checks=(
        Check(
            {"tenon_diameter": "24 mm", "leg_resultant": _LEAN},
            {"mouth_length": "25.2 mm"},
            derived(DERIVATION, "the mouth"),
        ),
    ),
)

GAUGE_LEAN = Relation(
    name="lean of the gauge",
    equation=equal(gauge_lean, gauge_height * sp.tan(_lean)),
    meaning="How far out of square a gauge leans over its height, to check it with a rule.",
    why="Height and lean are the two short sides of a right-angled triangle.",
    source=derived(DERIVATION, "the gauge"),
    checks=(
        Check(
            {"gauge_height": "100 mm", "leg_resultant": _LEAN},
            {"gauge_lean": "32.1 mm"},
            derived(DERIVATION, "the gauge"),
        ),
    ),
)

# --- Levelling ----------------------------------------------------------------------------

_beyond = s.leg_blank - s.leg_length

BLOCK_HEIGHT = Relation(
    name="block for the pencil",
    equation=equal(
        block_height,
        _beyond * sp.cos(_lean) + (s.foot_diameter / 2 - s.leg_taper * _beyond) * sp.sin(_lean),
    ),
    meaning="How high over the board the feet are marked, where all legs are as drawn.",
    why="Turned square, a leg stands on the inner edge of its end; that is lower than the level "
    "foot by what the axis goes on, and by the radius times sin θ.",
    source=derived(DERIVATION, "levelling"),
    checks=(
        Check(
            {"leg_blank": "452.5 mm", "leg_length": "448 mm", "foot_diameter": "28 mm",
             "leg_taper": "0", "leg_resultant": _LEAN},
            {"block_height": "8.56 mm"},
            derived(DERIVATION, "levelling"),
        ),
    ),
)  # fmt: skip

FOOT_OFF = Relation(
    name="off the inner side of a foot",
    equation=equal(
        (foot_off - _beyond) * (1 - s.leg_taper * sp.tan(_lean)), s.foot_diameter / 2 *
        sp.tan(_lean) ),
    meaning="The level cut takes most off the side towards the centre.",
    why="From the axis the cut climbs by tan θ for each unit towards the inner side.",
    source=derived(DERIVATION, "levelling"),
    limits=(Limit(1 - s.leg_taper * sp.tan(_lean), "the level cut goes right through the leg"),),
    checks=(
        Check(
            {"leg_blank": "452.5 mm", "leg_length": "448 mm", "foot_diameter": "28 mm",
             "leg_taper": "0", "leg_resultant": _LEAN},
            {"foot_off": "8.99 mm"},
            derived(DERIVATION, "levelling"),
        ),
    ),
)  # fmt: skip

STANDING_HEIGHT = Relation(
    name="height before the feet are cut",
    equation=equal(standing_height, block_height + level_height),
    meaning="The piece stands too high by just what the block marks.",
    why="What is below the pencil line comes off.",
    source=derived(DERIVATION, "levelling"),
    checks=(
        Check(
            {"block_height": "8.56 mm", "level_height": "440 mm"},
            {"standing_height": "448.6 mm"},
            derived(DERIVATION, "levelling: 8.56 + 440"),
        ),
    ),
)

LEVEL_HEIGHT = Relation(
    name="height without pads",
    equation=equal(level_height, s.leg_rise + q.top_thickness),
    meaning="How high the piece is when its feet are cut and the pads are still to come.",
    why="Legs and top are stacked on one another.",
    source=derived(DERIVATION, "levelling"),
    checks=(
        Check(
            {"leg_rise": "400 mm", "top_thickness": "40 mm"},
            {"level_height": "440 mm"},
            derived(DERIVATION, "levelling: 400 + 40"),
        ),
    ),
)

RELATIONS: tuple[Relation, ...] = (
    SHOULDER_CLEAR, TENON_LENGTH, SHOULDER_GAP, TURNED_LENGTH, MOUTH_LENGTH, GAUGE_LEAN,
    BLOCK_HEIGHT, FOOT_OFF, LEVEL_HEIGHT, STANDING_HEIGHT,
)  # fmt: skip
GIVEN: tuple[Quantity, ...] = (
    s.leg_diameter, s.foot_diameter, s.leg_taper, s.leg_resultant, s.leg_length, s.leg_blank,
    s.leg_rise, s.tenon_diameter, s.socket_depth, q.top_thickness, gauge_height,
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    *GIVEN, shoulder_clear, tenon_length, shoulder_gap, turned_length, mouth_length, gauge_lean,
    block_height, foot_off, level_height, standing_height,
)  # fmt: skip
