"""Where loose tenons or biscuits go along each joint of a layout."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from tablekit.engine.network import Network, check_numbers
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.relations import tenons
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.wording import SHOP


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
