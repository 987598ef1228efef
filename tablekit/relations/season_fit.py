"""Fit of a notch through the seasons: the walls stay in place, the post between them moves.

`reference/derivations/season_fit.md` has the reasoning and what is left out.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import strength as wood
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT, SHOP
from tablekit.relations.movement import HANDBOOK, OUTSIDE, shop_holds

DERIVATION = "reference/derivations/season_fit.md"
CLEARANCE = 0.1  # mm: slides by hand
SLOPPY = 0.4  # mm: rattles
FIT = common_practice(
    "a paper's thickness, 0.1 mm, slides by hand and leaves room for glue; 0.4 mm rattles"
)

notch_clearance = Quantity(
    "notch_clearance", "j_0", "mm",
    "clearance between the walls of a notch and the post in it, as fitted at shop humidity", -2, 10,
    latex="j_0", fine=True,
)  # fmt: skip
post_coefficient = Quantity(
    "post_coefficient", "C_p", "1",
    "change of post width between the walls per 1 % of moisture, as a share of the width", 0.0003,
    0.006, latex="C_p",
)  # fmt: skip
post_radial_coefficient = Quantity(
    "post_radial_coefficient", "C_r", "1",
    "change of post width between the walls per 1 % of moisture, as a share of the width, with "
    "growth rings parallel to the walls", 0.0003, 0.006, latex="C_r",
)  # fmt: skip
post_rate = Quantity(
    "post_rate", "C_ps", "1",
    "change of post width per 1 % of moisture, as a share of the width in the shop", 0.0003,
    0.007, latex="C_{ps}",
)  # fmt: skip
post_radial_rate = Quantity(
    "post_radial_rate", "C_rs", "1",
    "change of post width per 1 % of moisture, as a share of the width in the shop, with growth "
    "rings parallel to the walls", 0.0003, 0.007, latex="C_{rs}",
)  # fmt: skip
post_across_share = Quantity(
    "post_across_share", "ε_p", "1",
    "stiffness of a post across its grain, between the walls, as a share of its stiffness along "
    "the grain", 0.01, 1,
    latex=r"\varepsilon_p", said="share",
)  # fmt: skip
winter_play = Quantity(
    "winter_play", "j_d", "mm",
    "clearance between the walls of a notch and the post in it, in the driest air; negative if the "
    "post is squeezed", -20, 20, latex="j_d", fine=True,
)  # fmt: skip
radial_play = Quantity(
    "radial_play", "j_r", "mm",
    "clearance in the driest air with growth rings parallel to the walls", -20, 20, latex="j_r",
    fine=True,
)  # fmt: skip
summer_squeeze = Quantity(
    "summer_squeeze", "j_w", "mm",
    "unrestrained width of the post less the width of the notch, in the dampest air; negative if "
    "there is clearance", -20, 20,
    latex="j_w", fine=True,
)  # fmt: skip
crushing_strength_used = Quantity(
    "crushing_strength_used", "u_j", "1",
    "ratio of the pressure of the swollen post on the walls to the stress that begins to crush it; "
    "negative if there is none",
    -1000, 1000, latex="u_j", said="share",
)  # fmt: skip
sliding_drop = Quantity(
    "sliding_drop", "d_j", "mm",
    "largest drop of the top as the feet slide apart on a slippery floor, until the posts bind in "
    "their loose notches, in the driest air", -500, 500, latex="d_j", fine=True,
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    notch_clearance, post_coefficient, post_radial_coefficient, post_rate, post_radial_rate,
    post_across_share, winter_play, radial_play, summer_squeeze, crushing_strength_used,
    sliding_drop,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_dry, _wet, _made = DRIEST.moisture, DAMPEST.moisture, SHOP.moisture
_percent, _wide = ONE_PERCENT, q.post_width


def _rate(name: str, rate: Quantity, coefficient: Quantity) -> Relation:
    given = {coefficient.name: "0.00357143", "shop_moisture": "5 %"}
    return Relation(
        name=name,
        equation=equal(
            rate
            * (1 / coefficient + (1 - shop_holds) * (_made / _percent - 10)),
            sp.Integer(1),
        ),
        meaning="The tabulated coefficient in the range where it holds; outside it, a value from "
        "the total shrinkage.",
        why="As for the top, the coefficient is the slope of the shrinkage as a share of the width "
        "at 10 % moisture. Outside 6 to 14 %, the initial moisture has to be included.",
        source=OUTSIDE,
        checks=(
            Check({**given, "shop_holds": "1"}, {rate.name: "0.00357143"}, HANDBOOK),
            Check(
                {**given, "shop_holds": "0"}, {rate.name: "0.0036364"},
                derived("reference/derivations/movement.md", "worked example: 10 % in all, 1/275"),
            ),
        ),
    )  # fmt: skip


def _play(
    name: str, found: Quantity, rate: Quantity, share: str, play: str, meaning: str
) -> Relation:
    return Relation(
        name=name,
        equation=equal(
            found,
            notch_clearance + _wide * rate * (_made - _dry) / _percent,
        ),
        meaning=meaning,
        why="The walls are spaced along the grain of the notched post, and wood barely moves along "
        "its grain. The post between them shrinks across its grain.",
        source=derived(DERIVATION, "in the driest air"),
        checks=(
            Check(
                {"notch_clearance": "0.1 mm", "post_width": "63.5 mm", rate.name: share,
                 "shop_moisture": "10.2 %", "driest_moisture": "6.2 %"},
                {found.name: play},
                derived(DERIVATION, "in the driest air"),
            ),
        ),
    )  # fmt: skip


POST_RATE = _rate("change of post width per 1 % of moisture", post_rate, post_coefficient)
RADIAL_RATE = _rate(
    "change of post width per 1 % of moisture, rings parallel to the walls",
    post_radial_rate, post_radial_coefficient,
)  # fmt: skip
WINTER_PLAY = _play(
    "notch in the driest air", winter_play, post_rate, "0.00274", "0.796 mm",
    "The post shrinks in width between walls that stay in place.",
)  # fmt: skip
RADIAL_PLAY = _play(
    "notch in the driest air, rings parallel to the walls", radial_play, post_radial_rate,
    "0.00169", "0.529 mm",
    "Such a post is quarter-sawn between its side faces and shrinks less.",
)  # fmt: skip
SUMMER_SQUEEZE = Relation(
    name="notch in the dampest air",
    equation=equal(
        summer_squeeze,
        _wide * post_rate * (_wet - _made) / _percent - notch_clearance,
    ),
    meaning="The post would be wider than the notch by this amount if it were free to swell.",
    why="The swelling first takes up the clearance of the fit.",
    source=derived(DERIVATION, "in the dampest air"),
    checks=(
        Check(
            {"notch_clearance": "0.1 mm", "post_width": "63.5 mm", "post_rate": "0.00274",
             "shop_moisture": "10.2 %", "dampest_moisture": "11.9 %"},
            {"summer_squeeze": "0.196 mm"},
            derived(DERIVATION, "in the dampest air"),
        ),
    ),
)  # fmt: skip
CRUSHING_STRENGTH_USED = Relation(
    name="pressure of the swollen post on the walls",
    equation=equal(
        crushing_strength_used * wood.compression_across * _wide,
        wood.elastic_modulus * post_across_share * summer_squeeze,
    ),
    meaning="The strain that the walls impose on the post, times its stiffness across the grain, "
    "is divided by the stress at which a permanent dent begins.",
    why="The walls press along the grain of their own post, where wood is ten or twenty times as "
    "stiff. They yield very little, so they hold the post between them to the width of the notch.",
    source=derived(DERIVATION, "in the dampest air"),
    checks=(
        Check(
            {"elastic_modulus": "12000 MPa", "post_across_share": "0.08",
             "summer_squeeze": "0.196 mm", "post_width": "63.5 mm",
             "compression_across": "8.0 MPa"},
            {"crushing_strength_used": "0.370"},
            derived(DERIVATION, "in the dampest air"),
        ),
    ),
)  # fmt: skip
SLIDING_DROP = Relation(
    name="drop of the top while the feet slide apart",
    equation=equal(
        sliding_drop * sp.sqrt(3) * q.post_section,
        winter_play * q.post_length,
    ),
    meaning="Each post pivots on its head until the walls of its loose notches stop it, and the "
    "top drops as the feet move outward.",
    why="The drop is exact at the square crossing with the heads held by the top; steeper posts "
    "drop less. Only friction under the feet prevents it.",
    source=derived(DERIVATION, "on a slippery floor"),
    checks=(
        Check(
            {"winter_play": "0.796 mm", "post_length": "1146 mm", "post_section": "63.5 mm"},
            {"sliding_drop": "8.294 mm"},
            derived(DERIVATION, "on a slippery floor"),
        ),
        Check(
            {"winter_play": "0.4 mm", "post_length": "1146 mm", "post_section": "80 mm"},
            {"sliding_drop": "3.308 mm"},
            derived(DERIVATION, "on a slippery floor"),
        ),
    ),
)  # fmt: skip


def sliding(way: int, notches: int) -> tuple[Relation, ...]:
    """Return the drop of the top as the feet slide apart, for one notch to a post
    that opens upward (`way` 1). With the notches down, their floors stop the posts at once."""
    return (SLIDING_DROP,) if (way, notches) == (1, 1) else ()


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the fit of the notches through the seasons; the same for a "table" and a "stool"."""
    return (
        POST_RATE,
        RADIAL_RATE,
        WINTER_PLAY,
        RADIAL_PLAY,
        SUMMER_SQUEEZE,
        CRUSHING_STRENGTH_USED,
    )


_TABLE = published(
    "Wood Handbook, FPL-GTR-190",
    "table 13-5: the middle of the nineteen hardwoods in reference/movement.csv",
)
_USUAL = common_practice("the woods of reference/movement.csv and somewhat beyond")
_FITS = ("winter_play", "radial_play", "summer_squeeze", "crushing_strength_used")
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        post_coefficient, sp.Rational(315, 100000),
        "A typical hardwood with its growth rings running from wall to wall, the worse "
        "orientation.", _TABLE,
        first_to=("post_rate", *_FITS), usual=(0.0005, 0.0055), usual_source=_USUAL,
    ),
    assume(
        post_radial_coefficient, sp.Rational(169, 100000),
        "A typical hardwood with its growth rings parallel to the walls, the better orientation.",
        _TABLE,
        first_to=("post_radial_rate",), usual=(0.0004, 0.0045), usual_source=_USUAL,
    ),
    assume(
        post_across_share, sp.Rational(6, 100),
        "Most hardwoods are 0.04 to 0.09 times as stiff along the growth rings as along the grain.",
        quoted("Wood Handbook, FPL-GTR-282", "table 5-1: sugar maple, white and red oak; the ends "
               "of the range from memory"),
        first_to=("crushing_strength_used",), usual=(0.02, 0.25),
    ),
    assume(
        notch_clearance, sp.Rational(1, 10000),
        "A push fit.", FIT, first_to=_FITS, usual=(-0.5, 3),
    ),
)  # fmt: skip

LOOSE = Requirement(
    id="notch_dry",
    name="notch clearance in the driest air",
    quantity="winter_play",
    source=FIT,
    good=(None, SLOPPY),
    too_high="In the driest air, the post rattles between the walls of the notch; only the notch "
    "floors and the top hold it.",
    mend_high="Set out each blank with the growth rings on its end grain parallel to the two faces "
    "that the notch grips: that brings it down to {radial_play}.",
    care="A wood that moves less, or a thinner post, also helps. A notch fitted in drier air, or "
    "more tightly, has less clearance now and more squeeze in the dampest air. Screw the top to "
    "all three heads, and do not count on friction in the joint.",
    fine="The post keeps its fit between the walls of the notch in the driest air.",
)
TIGHT = Requirement(
    id="notch_damp",
    name="notch squeeze in the dampest air",
    quantity="crushing_strength_used",
    source=derived(DERIVATION, "in the dampest air; limits are our own choice"),
    good=(None, 1),
    too_high="In the dampest air, the swollen post is crushed between the walls. It stays crushed, "
    "and the next winter it is looser than ever.",
    mend_high="Set out the posts with the growth rings parallel to the walls, or choose a wood "
    "that moves less or a thinner post.",
    care="A notch fitted in damper air, or with more clearance, is squeezed less but is looser in "
    "the driest air.",
    fine="In the dampest air the post is not crushed between the walls.",
)
SLIDING = Requirement(
    id="sliding",
    name="drop on a slippery floor",
    quantity="sliding_drop",
    source=common_practice("our own choice of limits: 8 mm, as for head deflection"),
    good=(None, 8),
    too_high="On a waxed floor, the feet slide apart and the top drops by this much before the "
    "notches bind. The forces in them are then many times the load.",
    mend_high="Use pads that grip, fit the notches more closely or in the driest air, or turn the "
    "notches down.",
    fine="Loose notches let the feet slide apart only slightly.",
)
REQUIREMENTS: tuple[Requirement, ...] = (LOOSE, TIGHT, SLIDING)
