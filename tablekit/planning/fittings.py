"""What is bought ready made for a piece: plates, screws, pads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.shop import times
from tablekit.planning.fixing_plan import FixingPlan, outside_rim
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


PLATE, TOP_SCREW, HEAD_SCREW, PAD = "plate", "top_screw", "head_screw", "pad"


@dataclass(frozen=True)
class Fitting:
    """Something bought ready made: `id` is what code knows it by, `name` what a person reads."""

    id: str
    name: str
    count: int
    size: str


_SIZES = (
    "screw_shank", "screw_length", "head_screw_length", "plate_thickness", "plate_width",
    "plate_length", "slot_length", "pad_thickness", "pad_diameter", "pad_projection",
)  # fmt: skip


_HOLES = {"slot": "slotted {}", "oversize hole": "drilled large", "fixed": "drilled"}


def fittings(sheet: Sheet, plan: FixingPlan | None = None, pieces: int = 1) -> Iterator[Fitting]:
    """What is bought for a piece, or for several: plates and screws where the top is held by them,
    pads.

    plan  of the fastening, which tells the plates apart; without it all have slots
    """
    shop: Mapping[str, str] = {
        name: sheet.shop(name) for name in _SIZES if sheet.get(name) is not None
    }
    if "screw_length" in shop and not outside_rim(sheet):
        plate = times(*(shop[f"plate_{side}"] for side in ("length", "width", "thickness")))
        holds: list[str] = [one.hold for one in plan.fasteners] if plan else ["slot"] * 3
        holds *= pieces
        holes = [
            f"{holds.count(hold)} {words.format(shop['slot_length'])}"
            for hold, words in _HOLES.items() if hold in holds
        ]  # fmt: skip
        yield Fitting(PLATE, "fastening plate", 3 * pieces, f"{plate}, {', '.join(holes)}")
        size = f"{shop['screw_shank']} × {shop['screw_length']}"
        yield Fitting(
            TOP_SCREW,
            "wood screw, full thread, up through each plate into the top",
            3 * pieces,
            size,
        )
        each = round(sheet.number("head_screws"))
        number = "one" if each == 1 else str(each)
        yield Fitting(
            HEAD_SCREW, f"wood screw, {number} down into each head", 3 * each * pieces,
            f"{shop['screw_shank']} × {shop['head_screw_length']}",
        )  # fmt: skip
    if "pad_thickness" in shop:
        across, thick, proud = (shop[f"pad_{of}"] for of in ("diameter", "thickness", "projection"))
        size = f"{across} across, {thick} thick, {proud} of it proud"
        yield Fitting(PAD, "foot pad", base_of(sheet).count * pieces, size)
    elif sheet.get("leg_length") is not None and sheet.number("pad_projection") > 0:
        thick, across = sheet.shop("pad_projection"), sheet.shop("foot_diameter")
        size = f"at most {across} across, standing {thick} proud"
        yield Fitting(PAD, "foot pad", base_of(sheet).count * pieces, size)
