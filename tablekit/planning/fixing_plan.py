"""Fastening the top to its three heads: where each plate lies and how free its screw must be.

plan = fixing_plan(sheet)
plan.text()
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from tablekit.engine.network import Network
from tablekit.engine.shop import ShopStyle, fine_text, shop_text, shop_text_up, times
from tablekit.engine.wording import capital, listed
from tablekit.planning.said import Said
from tablekit.relations import fasteners
from tablekit.relations.bases import base_of
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


Hold = Literal["fixed", "oversize hole", "slot"]
# Common practice. A screw's ordinary hole leaves it half a millimetre of play; a round hole wider
# than the screw by 3 mm is still covered by a washer, and more asks for a slot.
ORDINARY_PLAY, WASHER_COVERS = 0.5, 3.0
_SHARED = (
    "screw_radius", "season_rate", "shop_rate", "driest_moisture", "dampest_moisture",
    "shop_moisture", "lengthwise_movement", "top_diameter", "screw_shank", "plate_factor",
)  # fmt: skip


@dataclass(frozen=True)
class Fastener:
    """One screw of the top. Lengths in mm.

    number, bearing    of its head; degrees from the grain, anticlockwise seen from above
    along, across      from the centre mark, along the grain and across it
    near_end, far_end  from where the grain line meets the rim, at its first and its other end
    travel, creep      over the seasons, across the grain and along it
    room_across        what a screw set in the middle in the shop needs across the grain
    room_along         the same along the grain: the width of a slot
    hold               "fixed", "oversize hole" or "slot"
    advice             what to do
    """

    number: int
    bearing: float
    along: float
    across: float
    near_end: float
    far_end: float
    travel: float
    creep: float
    room_across: float
    room_along: float
    hold: Hold
    advice: str


@dataclass(frozen=True)
class FixingPlan:
    """The three plates, their screws, and the pads under the feet. Lengths in mm.

    head_radius, screw_radius  of the circles through the heads' middles and the screws
    screw_lag                  degrees from a head to its screw, anticlockwise seen from above
    plate_hole, plate_slot     from one end of a plate to its hole over the head's middle, and to
                               the middle of its slot, `plate_reach` farther on
    overhang                   rim beyond the heads' middles, alike all round
    held_by                    number of the fixed plate; None where none may be, and then the
                               screws are calculated as if the middle of the top stayed in place
    slot_length                as the sheet has it; plates' slots are filed or bought so long
    """

    diameter: float
    thickness: float
    head_radius: float
    screw_radius: float
    overhang: float
    head_flat: float
    fasteners: tuple[Fastener, ...]
    held_by: int | None
    slot_length: float
    plate_thickness: float
    plate_gap: float
    plate_recess: float
    plate_width: float
    plate_reach: float
    plate_hole: float
    plate_slot: float
    plate_length: float
    screw_lag: float
    driver_clear: float
    plate_recess_width: float
    screw_shank: float
    screw_length: float
    screw_cover: float
    pilot_diameter: float
    foot_flat: float
    pad_diameter: float
    pad_hole: float
    pad_thickness: float
    pad_recess: float
    pad_projection: float
    style: ShopStyle

    def slant(self, one: Fastener) -> float:
        """Degrees between the length of a plate and its slot, which lies across the grain: a plate
        lies square to the line to its head, and so its slot is to it as that line is to the
        grain."""
        return abs((one.bearing - self.screw_lag + 90) % 180 - 90)

    def to_json(self) -> dict[str, Any]:
        """Plain data: lengths in mm, bearings in degrees."""
        data = asdict(self)
        del data["style"]
        return data | {"text": self.text()}

    def said(self, beside_drawing: bool = False) -> tuple[Said, ...]:
        """The order of work, in plain sentences.

        beside_drawing  leaves out the places of the plates, which the drawing of the fastening has
        """
        return tuple(map(Said, _lines(self, beside_drawing)))

    def text(self) -> str:
        """All of it, one paragraph to a line."""
        return "\n".join(one.line for one in self.said())


@cache
def network() -> Network:
    """The relations of one screw."""
    return Network(
        "one screw of the top", fasteners.QUANTITIES, fasteners.RELATIONS,
        constants=fasteners.CONSTANTS, wording=SHOP)  # fmt: skip


_FROM_SHEET = (
    "head_radius", "screw_radius", "overhang", "head_flat", "slot_length", "plate_thickness",
    "plate_gap", "plate_recess", "plate_width", "plate_recess_width", "screw_shank",
    "screw_length", "screw_cover", "pilot_diameter", "foot_flat", "pad_diameter", "pad_hole",
    "pad_thickness", "pad_recess", "pad_projection", "plate_reach", "plate_hole", "plate_slot",
    "plate_length", "screw_lag", "driver_clear",
)  # fmt: skip


def outside_rim(sheet: Sheet) -> str:
    """Why the top of crossed posts cannot be fastened to their heads; empty where it can."""
    # Sockets outside the rim are told of by a check of their own.
    if sheet.get("head_radius") is None or (sheet.get("overhang") or 0.0) >= 0:
        return ""
    out = shop_text(-sheet.number("overhang"), "mm", sheet.shop_style)
    return (
        f"The top cannot be fastened: the centres of the heads lie {out} outside the rim. Make "
        "the top wider or the posts steeper."
    )


def fixing_plan(sheet: Sheet) -> FixingPlan | None:
    """How to fasten the top of `sheet`; None for legs in sockets, which have no plates, where the
    heads lie outside the rim (`outside_rim` says so), or where the sheet lacks a number for it."""
    needed = (*_FROM_SHEET, *_SHARED, "head_turn")
    if outside_rim(sheet) or any(sheet.get(name) is None for name in needed):
        return None
    placed, held_by = _fasteners(sheet)
    return FixingPlan(
        diameter=sheet.number("top_diameter"),
        thickness=sheet.number("top_thickness"),
        fasteners=placed,
        held_by=held_by,
        style=sheet.shop_style,
        **{name: sheet.number(name) for name in _FROM_SHEET},
    )


def screws(sheet: Sheet) -> tuple[tuple[Sheet, ...], int | None]:
    """The three screws, and which of them is fixed.

    The one nearest to the line along the grain through the centre mark is fixed if that middle
    line then moves by no more than its ordinary play; else all three are left free, and the
    middle is taken to stay, as it does while the screws have their room alike on either side.
    """
    turn = sheet.number("head_turn")
    free = [one_screw(sheet, turn + 120 * index, number=index + 1) for index in range(3)]
    nearest = min(range(3), key=lambda index: abs(free[index].number("fastener_across")))
    held = free[nearest]
    if held.number("play_across") > ORDINARY_PLAY:
        return tuple(free), None
    at = held.number("fastener_along"), held.number("fastener_across")
    found = (one_screw(sheet, turn + 120 * index, *at, number=index + 1) for index in range(3))
    return tuple(found), nearest + 1


def _fasteners(sheet: Sheet) -> tuple[tuple[Fastener, ...], int | None]:
    """The same as they are told of, with how each holds."""
    found, fixed = screws(sheet)
    fasteners = (
        _fastener(sheet, number, screw, _hold(screw, number == fixed))
        for number, screw in enumerate(found, start=1)
    )
    return tuple(fasteners), fixed


def one_screw(
    sheet: Sheet, bearing: float, along: float = 0.0, across: float = 0.0, number: int = 1
) -> Sheet:
    """Travel and room of a screw at `bearing` (degrees from the grain) on the circle of the
    screws, with the top held at `along`, `across` (mm from the centre mark)."""
    given = {name: sheet.number(name) for name in _SHARED}
    return network().solve(
        {**given, "fastener_bearing": bearing, "held_along": along, "held_across": across},
        name=f"screw {number}",
        shop=sheet.shop_style,
    )


def _hold(screw: Sheet, is_fixed: bool) -> Hold:
    if is_fixed:
        return "fixed"
    return "oversize hole" if screw.number("play_across") <= WASHER_COVERS else "slot"


def _fastener(sheet: Sheet, number: int, screw: Sheet, hold: Hold) -> Fastener:
    bearing = screw.number("fastener_bearing")
    names = ("travel", "creep", "along", "across")
    values = {name: screw.number(f"fastener_{name}") for name in names}
    values |= {n: screw.number(n) for n in ("near_end", "far_end", "room_across", "room_along")}
    advice = _advice(hold, values["room_across"], sheet)
    return Fastener(number=number, bearing=bearing, hold=hold, advice=advice, **values)


def _advice(hold: Hold, room: float, sheet: Sheet) -> str:
    style, length = sheet.shop_style, sheet.number("slot_length")
    needed, there = shop_text_up(room, style), shop_text(length, "mm", style)
    if hold == "fixed":
        return "this plate is fixed: drill a plain hole and drive the screw tight"
    if length < room:
        return (
            f"the slot is too short: {there}, and at least {needed} is needed across the grain. "
            "Lengthen the slot, or drill a hole that wide and fit a washer"
        )
    if hold == "oversize hole":
        return (
            f"round hole, at least {needed} wide, under a washer, or a slot across the grain; "
            "centre the screw and leave it just short of tight"
        )
    return (
        f"slot across the grain, at least {needed} long ({there} here); centre the screw and leave "
        "it just short of tight"
    )


def _lines(plan: FixingPlan, beside_drawing: bool) -> Iterable[str]:
    yield from _about_the_base(plan)
    if beside_drawing:
        yield from _about_all(plan)
    else:
        yield from (_about_one(one, plan.style) for one in plan.fasteners)
    if plan.held_by is None:
        yield (
            "No plate is fixed: none lies near enough to the grain line. With all three screws "
            "centred in their slots the top stays about where it is. To fix a plate, turn its slot "
            "along the grain."
        )
    yield from _about_drilling(plan)


def _about_the_base(plan: FixingPlan) -> Iterable[str]:
    def text(mm: float) -> str:
        return shop_text(mm, "mm", plan.style)

    stands = f"stands {text(plan.plate_gap)} off" if plan.plate_gap else "lies on"
    yield (
        f"Make the plates {text(plan.plate_width)} by {text(plan.plate_thickness)}, "
        f"{text(plan.plate_length)} long, with a hole {text(plan.plate_hole)} from one end and the "
        f"middle of the hole or slot for the top's screw {text(plan.plate_slot)} from that end. "
        f"{_slots(plan)}Cut a recess right across each head, {text(plan.plate_recess_width)} wide "
        f"and {text(plan.plate_recess)} deep, square to the line from the centre of the base to "
        f"the centre of the head. The top then {stands} the heads."
    )
    yield (
        "Screw each plate down into its head before the top goes on. Point all three the same way "
        "round: anticlockwise, seen from above the finished piece. The slots then lie beside the "
        f"posts, {text(plan.driver_clear)} clear of them, where a driver can reach the screws."
    )
    yield (
        "Lay the top face down on a blanket and draw the grain line through its centre mark. From "
        "the two ends of that line on the rim, A and B, measure the place of each screw. With a "
        "helper, set the base upside down on it, the holes and slots over the marks. Where they do "
        "not all meet, share the difference between the three and mark the screws anew; each head "
        f"is then about {text(plan.overhang)} from the rim."
    )
    yield "Lift the base off, drill the pilot holes, set the base back, then drive the screws."


def _slots(plan: FixingPlan) -> str:
    """How the slots lie in the plates that have one."""
    slotted = [one for one in plan.fasteners if one.hold == "slot"]
    if not slotted:
        return ""
    angles = listed([f"{plan.slant(one):.0f}° on plate {one.number}" for one in slotted])
    return (
        "A slot lies across the grain of the top, not square to its plate: measured from the "
        f"length of the plate, {angles}, leaning as drawn. "
    )


def _about_one(one: Fastener, style: ShopStyle) -> str:
    def text(mm: float) -> str:
        return shop_text(mm, "mm", style)

    return (
        f"Plate {one.number}, {one.bearing % 360:.0f}° from the grain: {text(one.near_end)} and "
        f"{text(one.far_end)} from the two ends of the grain line on the rim. Over the seasons it "
        f"moves {text(one.travel)} across the grain and {fine_text(one.creep, style)} "
        f"along it. {capital(one.advice)}."
    )


def _about_all(plan: FixingPlan) -> Iterable[str]:
    """What to do with the plates whose places are in the drawing's table, those alike together."""
    alike: dict[str, list[str]] = {}
    for one in plan.fasteners:
        alike.setdefault(one.advice, []).append(str(one.number))
    for advice, numbers in alike.items():
        yield f"Plate{'s' * (len(numbers) > 1)} {listed(numbers)}. {capital(advice)}."


def _about_drilling(plan: FixingPlan) -> Iterable[str]:
    def text(mm: float) -> str:
        return shop_text(mm, "mm", plan.style)

    yield (
        f"Screws {text(plan.screw_shank)} by {text(plan.screw_length)} leave "
        f"{text(plan.screw_cover)} of wood over their points. Drill {text(plan.pilot_diameter)} "
        "pilot holes with a stop on the bit, so that neither bit nor screw comes through the "
        "face. Wear eye protection and clamp the work."
    )
    yield (
        f"Pads: once the feet are level, drill a recess {text(plan.pad_hole)} wide and "
        f"{text(plan.pad_recess)} deep in the middle of each foot's flat, with a stop on the bit "
        "and the base upside down and held. Pads of "
        f"{text(plan.pad_diameter)} by {text(plan.pad_thickness)} then stand "
        f"{text(plan.pad_projection)} proud."
    )


# -- what is bought ready made ---------------------------------------------------------------------

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
