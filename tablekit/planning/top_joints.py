"""All that a maker needs to know before a top is glued up from its strips: the tenons along each
joint, and the rest gathered.

joints = top_joints(layout, sheet, {"open_time": 8}, species="white ash")
joints.to_json()
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from tablekit.engine.network import Network, check_numbers
from tablekit.engine.sheet import CheckResult, tidy
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital
from tablekit.planning import glue_stages
from tablekit.planning.glue_stages import StagePlan, stage_plan
from tablekit.planning.glue_up import glue_up, stage_row, stage_terms, strips_used
from tablekit.planning.rings import FLAT, PanelCup, Rings, ring_sides
from tablekit.planning.trammel_plan import Arc, arcs_against_the_grain
from tablekit.relations import glue, grain, tenons
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import BoardLayout, Strip


# -- Loose tenons and biscuits ---------------------------------------------------------------------


@dataclass(frozen=True)
class JointTenons:
    """Tenons along one joint.

    offset   of the joint from the centre mark across the boards, mm, right positive
    places   of the tenons' middles from the centre mark along the joint, mm, ascending
    warning  why there are none, or fewer than hold two boards level; "" otherwise
    """

    offset: float
    places: tuple[float, ...]
    warning: str = ""


@cache
def network(display: str = "mm") -> Network:
    """The relations of the tenons of one joint, as a shop that works in "mm" or "in" assumes."""
    return Network(
        "tenons", tenons.JOINT_QUANTITIES, tenons.JOINT_RELATIONS,
        in_practice(tenons.ASSUMPTIONS, display == "in"), wording=SHOP,
    )  # fmt: skip


@cache
def strip_network(display: str = "mm") -> Network:
    """The relation of tenons let into one strip from both of its edges."""
    usual = in_practice(tenons.ASSUMPTIONS, display == "in")
    reach = tuple(a for a in usual if a.quantity is tenons.tenon_reach)
    return Network(
        "tenons in a strip",
        tenons.STRIP_QUANTITIES,
        (tenons.TENON_WOOD,),
        reach,
        requirements=judged_in_practice(tenons.REQUIREMENTS, display == "in"),
        wording=SHOP,
    )


def tenon_size(display: str = "mm", **wishes: float) -> tuple[float, float]:
    """Width along the joint and reach into either board, mm: as wished for, else as assumed."""
    usual = in_practice(tenons.ASSUMPTIONS, display == "in")
    assumed = {a.quantity.name: a for a in usual if a.quantity is not None}
    width, reach = (
        wishes.get(one.name, one.from_si(float(assumed[one.name].value)))
        for one in (tenons.tenon_width, tenons.tenon_reach)
    )
    return width, reach


def place_along(
    offset: float, top_diameter: float, shop: ShopStyle | None = None, **wishes: float
) -> JointTenons:
    """Tenons for one joint at `offset` from the centre mark, clear of a rim of `top_diameter` (mm).

    shop    how the warnings write lengths
    wishes  tenon_width, tenon_reach, cut_margin, spacing_limit in mm; assumed otherwise
    Raises RangeError for a measure that no tenon has.
    """
    style = shop or ShopStyle()
    givens = {"top_diameter": top_diameter, "joint_offset": abs(offset), **wishes}
    of = network(style.display)
    check_numbers(of, givens)
    try:
        sheet = of.solve(givens)
    except DesignError:
        # The corner of a tenon is outside the circle wherever it is put, or past the centre mark.
        return JointTenons(offset, (), _too_short(offset, style))
    farthest = sheet.number("farthest_tenon")
    if farthest < sheet.number("tenon_width"):
        # Two side by side would touch: one on the centre mark does as much.
        return JointTenons(offset, (0.0,), _one(offset, style))
    places = np.linspace(-farthest, farthest, round(sheet.number("tenon_count")))
    return JointTenons(offset, tuple(float(place) for place in places))


def _too_short(offset: float, style: ShopStyle) -> str:
    return (
        f"The joint {shop_text(abs(offset), 'mm', style)} from the centre is too short for a tenon "
        "clear of the cut. Glue it without one, and keep the boards level with cauls across them."
    )


def _one(offset: float, style: ShopStyle) -> str:
    return (
        f"The joint {shop_text(abs(offset), 'mm', style)} from the centre has room for only one "
        "tenon: keep its ends level with cauls."
    )


# -- The whole glue-up -----------------------------------------------------------------------------

Travel = Literal["clockwise", "anticlockwise"]
GRAIN = 90.0  # up the page, as the board layout is drawn
TENON_WISHES = ("tenon_width", "tenon_reach", "cut_margin", "spacing_limit")
RING_WISHES = (
    grain.pith_distance.name, grain.tangential_coefficient.name, grain.radial_coefficient.name,
)  # fmt: skip
GLUE_WISHES = tuple(
    quantity.name for quantity in glue.QUANTITIES
    if quantity.name in ("glue_film", "clamp_pressure", "caul_depth", "clamp_spacing",
                         "clamp_capacity", "open_time", "joint_time", "clamping_time",
                         "spread_area", "tenon_time", "joining_time", "clamp_time",
                         "tenon_thickness")
)  # fmt: skip
STAGE_WISHES = glue_stages.WISHES
WISHES = (*TENON_WISHES, *GLUE_WISHES, *RING_WISHES, *STAGE_WISHES)
_REPORTED = (
    "joints", "joint_length", "joint_lengths", "glue_area", "glue_film", "glue_volume",
    "clamp_pressure", "clamp_force", "clamp_spacing", "clamp_pitch", "clamp_count",
    "force_per_clamp", "caul_depth", "open_time", "joint_time", "clamping_time", "joints_at_once",
    "joint_tenons", "tenon_time", "joining_time", "clamp_time", "spread_area", "tenon_thickness",
)  # fmt: skip
NO_STAGES = "The open time is too short for one joint and its clamps, whichever is glued first."
NONE: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class TopJoints:
    """Tenons, glue, clamps, growth rings and grain of one top.

    numbers        of the strips that make the panel, as in the layout, from 1
    tenons         of each joint, from left to right
    glue           the sheet of the glue-up, None for a single board
    staging        in which stages the joints are glued; None for a single board
    against_grain  the two quarters of the rim cut against the grain, bearings in degrees
                   anticlockwise from the right, seen from above; the grain runs up the page
    travel         of the router round the top, seen from above the finished top; seen from the
                   router it is anticlockwise, against the cutter's turn
    checks         the requirements on glue-up, tenons and rings, judged
    """

    layout: BoardLayout
    top_diameter: float
    thickness: float
    numbers: tuple[int, ...]
    tenons: tuple[JointTenons, ...]
    tenon_width: float
    tenon_reach: float
    glue: Sheet | None
    staging: StagePlan | None
    rings: Rings
    against_grain: tuple[Arc, Arc]
    travel: Travel
    warnings: tuple[str, ...]
    checks: tuple[CheckResult, ...]

    @property
    def stages(self) -> tuple[int, ...]:
        """How many joints are glued in each stage; empty where they cannot all be glued."""
        return () if self.staging is None else self.staging.joints

    @property
    def longest_go(self) -> float:
        """Minutes of the longest glue-up, first glue to last clamp; 0 where there is none."""
        return 0.0 if self.staging is None else self.staging.longest

    def to_json(self) -> dict[str, Any]:
        """As plain data: mm, µm, degrees, minutes, mm², mm³, N and MPa, as the units say."""
        return {
            "tenons": [
                {
                    "joint": list(pair),
                    "offset": tidy(one.offset),
                    "places": [tidy(place) for place in one.places],
                    "warning": one.warning,
                }
                for pair, one in zip(pairwise(self.numbers), self.tenons, strict=True)
            ],
            "tenon_size": {"width": self.tenon_width, "length": 2 * self.tenon_reach},
            "glue_up": self._glue_json(),
            "stages": list(self.stages),
            "longest_go": tidy(self.longest_go),
            "rings": _rings_json(self.rings),
            "against_grain": [list(arc) for arc in self.against_grain],
            "travel": self.travel,
            "warnings": list(self.warnings),
            "checks": [
                {**asdict(check), "value": tidy(check.value), "limit": tidy(check.limit)}
                for check in self.checks
            ],
        }

    def _glue_json(self) -> dict[str, Any] | None:
        if self.glue is None:
            return None
        return {
            name: {"value": tidy(self.glue.get(name)), "unit": self.glue[name].quantity.unit}
            for name in _REPORTED
        }


def _rings_json(rings: Rings) -> dict[str, Any]:
    def panel(one: PanelCup) -> dict[str, Any]:
        bows = {"winter": tidy(one.winter), "summer": tidy(one.summer)}
        return {"heart_up": list(one.heart_up), **bows, "ripple": tidy(one.ripple)}

    return {
        "strips": [
            {
                "strip": strip.number,
                "board": strip.board,
                "cut": strip.cut,
                "ring_angle": strip.ring_angle,
                "pith_distance": tidy(strip.pith_distance),
                "winter_cup": tidy(strip.cups["winter"]),
                "summer_cup": tidy(strip.cups["summer"]),
            }
            for strip in rings.strips
        ],
        "tangential_coefficient": tidy(rings.tangential),
        "radial_coefficient": tidy(rings.radial),
        "coefficients_from": rings.coefficients_from,
        "alternating": panel(rings.alternating),
        "one_way": panel(rings.one_way),
        "recommended": rings.recommended,
        "reason": rings.reason,
    }


def top_joints(
    layout: BoardLayout, sheet: Sheet, wishes: Mapping[str, float] = NONE, *,
    species: str | None = None, cut: str = FLAT, cuts: Mapping[str, str] = NONE,
    heart_up: bool = False, same_side: bool = False, from_below: bool = True,
    wood: glue.GluedWood = "", shop: ShopStyle | None = None,
) -> TopJoints:  # fmt: skip
    """What gluing up the strips of `layout`, cut to the lengths they need, takes and makes.

    wishes      any of `WISHES` in its reporting unit; assumed otherwise
    species, cut, cuts, heart_up, same_side   as in `ring_sides`
    from_below  whether the rim is cut with the top lying face down
    wood, shop  which pressure on the glue it is judged by, "" where it is not known; how warnings
                write lengths, as the sheet does when left out
    Raises DesignError for a wish not known or a sheet without a top, RangeError for a bad number.
    """
    top, thickness = _asked_of(sheet, wishes)
    style = shop or sheet.shop_style
    strips = strips_used(layout)
    placed = tuple(
        place_along(strip.right, top, style, **_of(wishes, TENON_WISHES)) for strip in strips[:-1]
    )
    width, reach = tenon_size(style.display, **_of(wishes, TENON_WISHES[:2]))
    glued = _glued(layout, thickness, style, wishes, wood, placed) if placed else None
    rings = ring_sides(
        layout, sheet, species=species, cut=cut, cuts=cuts, heart_up=heart_up,
        same_side=same_side, shop=style, **_of(wishes, RING_WISHES),
    )  # fmt: skip
    staged = _staged(layout, thickness, style, wishes, wood, placed) if placed else None
    checks = (
        *(glued.checks if glued else ()), *(staged.checks if staged else ()),
        *_tenon_checks(strips, reach, style), *rings.checks,
    )  # fmt: skip
    return TopJoints(
        layout, top, thickness, tuple(strip.number for strip in rings.strips), placed, width, reach,
        glued, staged, rings,
        arcs_against_the_grain(GRAIN, from_below=from_below),
        "clockwise" if from_below else "anticlockwise",
        (*_warnings(placed, checks, layout, strips, style), *_not_staged(staged)), checks,
    )  # fmt: skip


def _asked_of(sheet: Sheet, wishes: Mapping[str, float]) -> tuple[float, float]:
    """Diameter and thickness of the top, mm, the wishes all known."""
    unknown = [name for name in wishes if name not in WISHES]
    if unknown:
        raise DesignError(
            f"{unknown[0]} is not a glue-up option; write one of: {', '.join(WISHES)}"
        )
    top, thickness = sheet.get("top_diameter"), sheet.get("top_thickness")
    if top is None or thickness is None:
        raise DesignError("the sheet has no top: top_diameter or top_thickness has no value")
    return top, thickness


def _of(wishes: Mapping[str, float], names: tuple[str, ...]) -> dict[str, float]:
    return {name: float(wishes[name]) for name in names if name in wishes}


def _glued(
    layout: BoardLayout, thickness: float, style: ShopStyle, wishes: Mapping[str, float],
    wood: glue.GluedWood, placed: tuple[JointTenons, ...],
) -> Sheet:  # fmt: skip
    most = max(len(one.places) for one in placed)
    return glue_up(
        layout, thickness, style, wood=wood, joint_tenons=float(most),
        **_of(wishes, GLUE_WISHES),
    )  # fmt: skip


def _staged(
    layout: BoardLayout, thickness: float, style: ShopStyle, wishes: Mapping[str, float],
    wood: glue.GluedWood, placed: tuple[JointTenons, ...],
) -> StagePlan:  # fmt: skip
    return stage_plan(
        stage_row(layout, [len(one.places) for one in placed]),
        stage_terms(thickness, style, wood=wood, **_of(wishes, GLUE_WISHES)),
        _of(wishes, STAGE_WISHES),
    )


def _tenon_checks(strips: list[Strip], reach: float, style: ShopStyle) -> tuple[CheckResult, ...]:
    inner = strips[1:-1]
    if not inner:
        return ()
    narrowest = min(strip.width for strip in inner)
    name, other = tenons.inner_strip.name, tenons.tenon_reach.name
    return strip_network(style.display).solve({name: narrowest, other: reach}, shop=style).checks


def _not_staged(staged: StagePlan | None) -> list[str]:
    """That no order of gluing does, where there is none and no check says why."""
    if staged is None or staged.stages or any(c.verdict == "fail" for c in staged.checks):
        return []
    return [NO_STAGES]


def check_words(check: CheckResult) -> str:
    """A check in a sentence of its own."""
    return f"{capital(check.name)}: {check.message}"


def _warnings(
    placed: tuple[JointTenons, ...], checks: tuple[CheckResult, ...], layout: BoardLayout,
    strips: list[Strip], style: ShopStyle,
) -> tuple[str, ...]:  # fmt: skip
    found = [one.warning for one in placed if one.warning]
    found += [check_words(check) for check in checks if check.verdict != "pass"]
    spare = len(layout.strips) - len(strips)
    if spare:
        found.append(
            f"Leave {spare} of the strips off the panel: outside the "
            f"{shop_text(layout.diameter, 'mm', style)} to be covered."
        )
    return tuple(found)
