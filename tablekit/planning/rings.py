"""Which side of each strip goes up, and how the strips and the panel then cup over the seasons.

rings = ring_sides(layout, sheet, species="white ash")
rings.alternating.winter     how far the panel stands off a straightedge, mm
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.network import Network
from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import CheckResult, Value, judge
from tablekit.engine.shop import ShopStyle, fine_text
from tablekit.planning.glue_up import strips_used
from tablekit.relations import grain
from tablekit.relations.kinds import check_choice
from tablekit.relations.moisture import CONSTANTS
from tablekit.relations.wording import SHOP
from tablekit.species import CUTS, find_movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import BoardLayout, Strip

Choice = Literal["alternating", "one way"]
FLAT, QUARTER = CUTS
ANGLES = {FLAT: 0.0, QUARTER: 90.0}
AIRS = {"winter": "driest_moisture", "summer": "dampest_moisture"}

_ALONG = np.linspace(0.0, 1.0, 17)
_NOTHING = 0.005  # mm: flat to any maker

ALTERNATING = (
    "Heart side alternately up and down: neighbouring strips cup opposite ways, so the panel stays "
    "flat as a whole. Each strip still cups, a ripple that cannot be held down."
)
ONE_WAY = (
    "All one way: the cups add up to one long bow, which fastenings near the rim can hold down; "
    "the strips also cup between the joints. The best faces can show, and they wear better with "
    "the bark side up."
)


@dataclass(frozen=True)
class StripRings:
    """Growth rings of one strip of a layout.

    number         as in the layout, from 1
    ring_angle     between rings and face in its middle, degrees: 0 flat-sawn, 90 quarter-sawn
    pith_distance  middle of the tree to the middle of the strip, mm
    pith_depth, pith_aside   the same square to the face and along it, mm
    cups, turns    "winter" and "summer": middle against the edges in mm, and one glued edge
                   against the other in degrees; positive where the bark side is round, negative
                   where it is hollow
    """

    number: int
    board: str
    left: float
    right: float
    cut: str
    ring_angle: float
    pith_distance: float
    pith_depth: float
    pith_aside: float
    cups: Mapping[str, float]
    turns: Mapping[str, float]


@dataclass(frozen=True)
class Profile:
    """The panel from edge to edge in one season, mm above the line from first edge to last.

    edges    places across, from the centre mark: of all edges of strips
    heights  there; middles: in the middle of each strip
    """

    edges: tuple[float, ...]
    heights: tuple[float, ...]
    middles: tuple[float, ...]

    @cached_property
    def bow(self) -> float:
        """The height farthest from nothing; positive where it stands up."""
        heights = np.concatenate(self.curves())[:, 1]
        return float(heights[np.argmax(np.abs(heights))])

    def curves(self) -> list[NDArray[np.float64]]:
        """Each strip's face, mm: a parabola through its edges and its middle, shape (17, 2)."""
        found = []
        for k, (left, right) in enumerate(pairwise(self.edges)):
            start, end = self.heights[k], self.heights[k + 1]
            bulge = 4 * _ALONG * (1 - _ALONG) * (self.middles[k] - (start + end) / 2)
            heights = start + (end - start) * _ALONG + bulge
            found.append(np.column_stack([left + (right - left) * _ALONG, heights]))
        return found


@dataclass(frozen=True)
class PanelCup:
    """One choice of sides: which strips have their heart side up, and what comes of it."""

    choice: Choice
    heart_up: tuple[bool, ...]
    profiles: Mapping[str, Profile]
    ripple: float
    words: str

    @property
    def winter(self) -> float:
        """The panel's bow in the driest air, mm; positive where its middle stands up."""
        return self.profiles["winter"].bow

    @property
    def summer(self) -> float:
        """The same in the dampest air."""
        return self.profiles["summer"].bow

    @property
    def most(self) -> float:
        """The larger of the two, whichever way, mm."""
        return max(abs(self.winter), abs(self.summer))


@dataclass(frozen=True)
class Rings:
    """Both choices for one layout, and which to take.

    tangential, radial  change for 1 % of moisture, along and across the rings, as a share
    coefficients_from   where those two come from
    checks              of the choice that is recommended
    """

    strips: tuple[StripRings, ...]
    alternating: PanelCup
    one_way: PanelCup
    tangential: float
    radial: float
    coefficients_from: str
    recommended: Choice
    reason: str
    checks: tuple[CheckResult, ...]

    @property
    def chosen(self) -> PanelCup:
        """The choice that is recommended."""
        return self.alternating if self.recommended == "alternating" else self.one_way


@cache
def network() -> Network:
    """The relations of one strip, in any direction."""
    return Network(
        "cup of a strip",
        grain.STRIP_QUANTITIES,
        grain.STRIP_RELATIONS,
        grain.ASSUMPTIONS,
        CONSTANTS,
        wording=SHOP,
    )


def ring_sides(
    layout: BoardLayout, sheet: Sheet, *, species: str | None = None, cut: str = FLAT,
    cuts: Mapping[str, str] | None = None, heart_up: bool = False, same_side: bool = False,
    shop: ShopStyle | None = None, **wishes: float,
) -> Rings:  # fmt: skip
    """Growth rings of the strips of `layout`, alternating and all one way.

    sheet     of the piece, for the moistures of the shop, the driest and the dampest air
    species   as in a brief; where the published tables have it, its coefficients are used
    cut       "flat-sawn" or "quarter-sawn", of every strip; `cuts` has others by board name
    heart_up  whether the first strip, and all of them where they lie one way, have the heart up
    same_side whether the maker wants all strips that side up, which is then what is judged
    wishes    pith_distance (mm), tangential_coefficient, radial_coefficient
    Raises RangeError for a number that no wood has, DesignError for a cut that is not known.
    """
    cuts = _known(cut, cuts)
    coefficients, coefficients_from = _coefficients(sheet, species, cut, wishes)
    kept = {"pith_distance": wishes["pith_distance"]} if "pith_distance" in wishes else {}
    given = tuple(sorted({**coefficients, **kept}.items()))
    airs = {season: sheet.number(name) for season, name in AIRS.items()}
    made, style = sheet.number("shop_moisture"), shop or sheet.shop_style
    rings = tuple(
        _rings(number, strip, cuts.get(strip.board, cut), airs, made, given)
        for number, strip in zip(_numbers(layout), strips_used(layout), strict=True)
    )
    in_turn = tuple(heart_up != bool(k % 2) for k in range(len(rings)))
    alternating = _panel("alternating", rings, in_turn, ALTERNATING)
    one_way = _panel("one way", rings, (heart_up,) * len(rings), ONE_WAY)
    recommended, reason = _recommended(alternating, one_way, style)
    if same_side:
        recommended, reason = "one way", _as_asked(one_way, heart_up, style)
    taken = alternating if recommended == "alternating" else one_way
    found = network().solve({**dict(given), **_airs(rings[0], made, airs["winter"])})
    return Rings(
        rings, alternating, one_way, found.number("tangential_coefficient"),
        found.number("radial_coefficient"), coefficients_from, recommended, reason,
        _checks(taken, style),
    )  # fmt: skip


def _known(cut: str, cuts: Mapping[str, str] | None) -> dict[str, str]:
    """Cuts by board name, all of them and the common one known."""
    found = dict(cuts or {})
    for one in (cut, *found.values()):
        check_choice("cut", one, CUTS)
    return found


def _numbers(layout: BoardLayout) -> list[int]:
    return [n for n, strip in enumerate(layout.strips, start=1) if strip.length_needed > 0]


def _coefficients(
    sheet: Sheet, species: str | None, cut: str, wishes: Mapping[str, float]
) -> tuple[dict[str, float], str]:
    """What is known of the two coefficients, and where from; what is not is assumed."""
    names = ("tangential_coefficient", "radial_coefficient")
    wished = {name: wishes[name] for name in names if name in wishes}
    row = find_movement(species) if species else None
    if row is not None:
        known = dict(zip(names, (row.tangential, row.radial), strict=True))
        found = {name: number for name, number in known.items() if number is not None}
        return {**found, **wished}, f"{row.name}, Wood Handbook table 13-5"
    own = sheet.get("movement_coefficient")
    name = names[0] if cut == FLAT else names[1]
    if own is None or len(wished) == 2 or (cut == QUARTER and names[0] not in wished):
        return wished, "as given" if len(wished) == 2 else "an average hardwood"
    return {name: own, **wished}, "the top's own coefficient, the other one in proportion"


def _airs(rings: StripRings, made: float, lived: float) -> dict[str, float]:
    return {
        "strip_width": rings.right - rings.left, "ring_angle": rings.ring_angle,
        "moisture_made": made, "moisture_lived": lived,
    }  # fmt: skip


def _rings(
    number: int, strip: Strip, cut: str, airs: Mapping[str, float], made: float,
    given: tuple[tuple[str, float], ...],
) -> StripRings:  # fmt: skip
    found = {
        season: _cup(strip.width, ANGLES[cut], made, lived, given) for season, lived in airs.items()
    }
    return StripRings(
        number, strip.board, strip.left, strip.right, cut, ANGLES[cut], *found["winter"][2:],
        {season: one[0] for season, one in found.items()},
        {season: one[1] for season, one in found.items()},
    )  # fmt: skip


@lru_cache(maxsize=512)
def _cup(
    width: float, angle: float, made: float, lived: float, given: tuple[tuple[str, float], ...]
) -> tuple[float, float, float, float, float]:
    found = network().solve(
        {"strip_width": width, "ring_angle": angle, "moisture_made": made,
         "moisture_lived": lived, **dict(given)}
    )  # fmt: skip
    cup, turn, distance, depth, aside = (
        found.number(name)
        for name in ("strip_cup", "strip_turn", "pith_distance", "pith_depth", "pith_aside")
    )
    return cup, turn, distance, depth, aside


# -- the panel -------------------------------------------------------------------------------------


def _panel(
    choice: Choice, rings: Sequence[StripRings], heart_up: tuple[bool, ...], words: str
) -> PanelCup:
    profiles = {season: profile(rings, heart_up, season) for season in AIRS}
    ripple = max(abs(strip.cups[season]) for strip in rings for season in AIRS)
    return PanelCup(choice, heart_up, profiles, ripple, words)


def profile(rings: Sequence[StripRings], heart_up: Sequence[bool], season: str) -> Profile:
    """How the strips lie beside one another in a season, glued edge to edge and free to bow."""
    slope, heights = 0.0, [0.0]
    for strip, heart in zip(rings, heart_up, strict=True):
        side = -1.0 if heart else 1.0
        turn = grain.strip_turn.to_si(strip.turns[season])
        after = _slope_past(slope, side, turn)
        heights.append(heights[-1] + _rise_across(strip.right - strip.left, slope, after))
        slope = after
    edges = np.array([rings[0].left, *(strip.right for strip in rings)])
    level = np.array(heights) - np.interp(edges, edges[[0, -1]], [heights[0], heights[-1]])
    sides = np.where(np.asarray(heart_up), -1.0, 1.0)
    cups = np.array([strip.cups[season] for strip in rings])
    middles = (level[:-1] + level[1:]) / 2 + sides * cups
    return Profile(tuple(edges.tolist()), tuple(level.tolist()), tuple(middles.tolist()))


_slope_past = solve_for(
    grain.SLOPE_PAST, grain.slope_past, grain.slope_before, grain.heart_side, grain.strip_turn
)
_rise_across = solve_for(
    grain.RISE_ACROSS, grain.rise_across, grain.strip_width, grain.slope_before, grain.slope_past
)


# -- which to take ---------------------------------------------------------------------------------


def _checks(panel: PanelCup, style: ShopStyle) -> tuple[CheckResult, ...]:
    """Of the choice taken."""
    asked = (
        (grain.BOW, grain.panel_bow, panel.most),
        (grain.RIPPLE, grain.ripple, panel.ripple),
    )
    return tuple(
        judge(one, Value(quantity, quantity.from_si(grain.strip_cup.to_si(number)), "found"), style)
        for one, quantity, number in asked
    )


def _as_asked(one_way: PanelCup, heart_up: bool, style: ShopStyle) -> str:
    """What comes of laying every strip with the side up that the maker wants."""
    bow, ripple = (fine_text(number, style) for number in (one_way.most, one_way.ripple))
    side = "heart" if heart_up else "bark"
    return (
        f"Lay every strip {side} side up, as asked: the panel then bows by at most {bow}, and "
        f"strips cup by at most {ripple} either way."
    )


def _recommended(alternating: PanelCup, one_way: PanelCup, style: ShopStyle) -> tuple[Choice, str]:
    def text(number: float) -> str:
        return fine_text(number, style)

    ripple = f"Strips cup by at most {text(alternating.ripple)} either way"
    bow, flat = text(one_way.most), text(alternating.most)
    most = grain.BOW.good[1] or 0.0
    disagree = "Common practice, on which makers disagree."
    if one_way.most < _NOTHING:
        return "one way", "The strips lie flat whichever face is up: show the better faces."
    if one_way.most <= most:
        return (
            "one way",
            "Lay the strips all the same way up, but turn one over where its other face looks "
            f"better. The panel then bows by at most {bow}, which the fastenings easily hold down. "
            f"{ripple}. {disagree}",
        )
    return (
        "alternating",
        f"Lay the strips alternately heart side up and down: the panel then bows by {flat}, "
        f"against {bow} with all of them the same way up. {ripple}. {disagree}",
    )
