"""What is sawn out and what is bought, part by part.

found = cut_list(sheet, layout=layout, wood="white ash")
found.lines, found.bought, found.to_json()
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.quantity import unit_size
from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import (
    ShopStyle,
    plain_up,
    shop_down,
    shop_text,
    shop_text_down,
    shop_text_up,
    shop_up,
    times,
)
from tablekit.planning.board_layout import SAW_KERF
from tablekit.planning.board_wood import far_width_of
from tablekit.planning.fixing_plan import Fitting, fittings
from tablekit.planning.formulas import width_there
from tablekit.planning.glue_up import strips_used
from tablekit.planning.leg_stretchers import leg_stretchers
from tablekit.planning.stock_cutting import (
    PiecesAlike,
    Plank,
    StockCut,
    StockFallsShort,
    cut_stock,
)
from tablekit.relations import lot, milling, quantities, stock, trammel
from tablekit.relations.bases import base_of
from tablekit.relations.wording import SHOP
from tablekit.species import find_species

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import BoardLayout, RackBoard, Strip
    from tablekit.planning.clamping import CaulLine
    from tablekit.planning.fixing_plan import FixingPlan

    # How a top is got out of which boards.
    Laid = tuple[BoardLayout, Sequence[RackBoard]]

# Saw and yard, where a maker says nothing. Common practice, no source.
PLANK_ENDS = 50.0
_panel_across = solve_for(stock.PANEL_ACROSS, stock.panel_across, trammel.pivot_to_far_side)
_SIDES = ("length", "width", "thickness")


@dataclass(frozen=True)
class Size:
    """Length along the grain, width and thickness, mm."""

    length: float
    width: float
    thickness: float

    def text(self, style: ShopStyle, up: bool = False) -> str:
        """As it is read, "1187 × 69.5 × 25.5 mm"; with `up` each side no smaller than it is."""
        sides = (self.length, self.width, self.thickness)
        return times(*(shop_text_up(n, style) if up else shop_text(n, "mm", style) for n in sides))


@dataclass(frozen=True)
class CutLine:
    """One row of the cut list.

    finished, rough  sizes; a rough one is what is sawn out or bought
    volume           of all of them as they are rough, m³
    board_feet       the same in board feet
    mass             of all of them as square pieces of the finished sizes, kg
    density          of its wood, kg/m³
    board            the board of the rack that a strip is ripped from; "" for all else
    """

    part: str
    count: int
    finished: Size
    rough: Size
    wood: str
    grain: str
    note: str
    volume: float
    board_feet: float
    mass: float
    density: float
    board: str = ""


@dataclass(frozen=True)
class CutList:
    """Every part, what is bought for them, and what of it is cut away.

    planks     which planks yield posts, or legs and stretchers, and what is sawn from each; None
               where none are told of
    short      why the planks do not yield them; "" where they do
    bought     wood in planks to buy, m³; in the rough parts where none are told of
    rack       wood of the rack that is used, m³
    waste      share of both that is cut away
    price      of the planks; None where one has no price
    cauls      sawn for gluing up from any straight wood; in no volume and no weight
    """

    lines: tuple[CutLine, ...]
    fittings: tuple[Fitting, ...]
    planks: StockCut | None
    short: str
    bought: float
    bought_feet: float
    rack: float
    waste: float
    price: float | None
    cauls: tuple[CaulLine, ...] = ()

    def to_json(self) -> list[dict[str, Any]]:
        """The lines as plain data: mm, m³ and kg."""
        return [
            {
                "part": line.part,
                "count": line.count,
                "finished": {name: tidy(one) for name, one in asdict(line.finished).items()},
                "rough": {name: tidy(one) for name, one in asdict(line.rough).items()},
                "wood": line.wood,
                "grain": line.grain,
                "note": line.note,
                "volume": tidy(line.volume),
                "board_feet": tidy(line.board_feet),
                "mass": tidy(line.mass),
            }
            for line in self.lines
        ]

    def to_csv(self, style: ShopStyle | None = None) -> str:
        """The lines for a spreadsheet in the maker's units, with a head and line ends of RFC 4180:
        mm to a tenth, m³ and kg, or inches to a thousandth, board feet and lb."""
        inches = style is not None and style.display == "in"
        unit, per_mm, places = ("in", 1 / 25.4, 3) if inches else ("mm", 1.0, 1)
        weight, per_kg = ("lb", 1 / unit_size("lb")) if inches else ("kg", 1.0)
        volume = "board feet" if inches else "m³"
        written = io.StringIO()
        rows = csv.writer(written)
        sides = [f"{size} {side} {unit}" for size in ("finished", "rough") for side in _SIDES]
        rows.writerow(
            ["part", "count", *sides, "wood", "grain", volume, f"{weight} as squared", "note"]
        )
        for line in self.lines:
            sizes = (
                f"{getattr(size, side) * per_mm:.{places}f}"
                for size in (line.finished, line.rough)
                for side in _SIDES
            )
            bulk = f"{line.board_feet:.2f}" if inches else f"{line.volume:.4f}"
            mass = f"{line.mass * per_kg:.2f}"
            rows.writerow(
                [line.part, line.count, *sizes, line.wood, line.grain, bulk, mass, line.note]
            )
        for caul in self.cauls:
            size = [f"{n * per_mm:.{places}f}" for n in (caul.length, caul.depth, caul.thickness)]
            rows.writerow(
                [f"caul, {caul.use}", caul.count, *size, *size, "any straight wood",
                 "along the length", "", "", "for gluing up, not part of the piece"]
            )  # fmt: skip
        return written.getvalue()

    def to_buy_json(self) -> dict[str, Any]:
        """What is bought: m³, board feet, the share cut away, and each plank strip by strip."""
        cut = self.planks
        return {
            "volume": tidy(self.bought),
            "board_feet": tidy(self.bought_feet),
            "from_rack": tidy(self.rack),
            "waste": tidy(self.waste),
            "price": None if self.price is None else tidy(self.price),
            "fittings": [
                {"name": one.name, "count": one.count, "size": one.size} for one in self.fittings
            ],
            "planks": None if cut is None else dict(cut.planks),
            "strips": None if cut is None else [
                {
                    "plank": lane.plank, "number": lane.number, "pieces": list(lane.pieces),
                    "width": tidy(lane.width), "spare": tidy(lane.spare),
                }
                for lane in cut.lanes
            ],
            "cauls": [
                {name: tidy(one) if isinstance(one, float) else one
                 for name, one in asdict(caul).items()}
                for caul in self.cauls
            ],
            "proved": None if cut is None else cut.proved,
            "short": self.short,
        }  # fmt: skip


@cache
def network() -> Network:
    """The relations of one kind of part."""
    part = (
        stock.part_length, stock.part_width, stock.part_thickness, stock.part_count,
        stock.part_volume, stock.board_feet, quantities.wood_density, stock.part_mass,
    )  # fmt: skip
    return Network(
        "parts alike",
        part,
        (stock.PART_VOLUME, stock.BOARD_FEET, stock.PART_MASS),
        constants=stock.CONSTANTS,
        wording=SHOP,
    )


@cache
def _sawn() -> Network:
    allowances = (milling.jointing_allowance, milling.planing_allowance)
    return Network(
        "sawn wood",
        (stock.part_thickness, stock.sawn_thickness, *allowances),
        (stock.SAWN_THICKNESS,),
        [a for a in milling.ASSUMPTIONS if a.quantity in allowances],
        wording=SHOP,
    )


@cache
def _waste() -> Network:
    names = (
        stock.wood_used, stock.wood_bought, stock.wood_waste, quantities.wood_density,
        quantities.total_mass, lot.lot_count,
    )  # fmt: skip
    return Network("wood bought and used", names, (stock.WOOD_USED, stock.WOOD_WASTE), wording=SHOP)


def cut_list(
    sheet: Sheet,
    layout: BoardLayout | None = None,
    *,
    boards: Sequence[RackBoard] = (),
    wood: str = "",
    planks: Sequence[Plank] = (),
    saw_kerf: float = SAW_KERF,
    plank_ends: float = PLANK_ENDS,
    fixing: FixingPlan | None = None,
    count: int = 1,
    further: Sequence[Laid] = (),
    cauls: Sequence[CaulLine] = (),
) -> CutList:
    """The parts of a piece, or of several alike, and what they are got out of.

    layout, boards   how the top is got out of which boards, each rough if it has a `thickness`
                     of its own; without them it is a square panel
    planks           what posts, or legs and stretchers, may be sawn from
    saw_kerf, plank_ends  mm, see `cut_stock`
    fixing           how the top is fastened, see `fittings`
    count            how many pieces are made
    further          layouts of the tops after the first, each with the rack that it is cut from;
                     a top without one is a panel
    cauls            for gluing up
    """
    posts = _posts(sheet, wood, count)
    tops = [] if layout is None else [(layout, boards), *further]
    sawn = [*posts, *_stretchers(sheet, wood, count)]
    lines = [*sawn, *_tops(sheet, tops, wood, count)]
    cut, short = _cut(sawn, planks, saw_kerf, plank_ends, sheet.shop_style)
    bought = _bought(lines, sawn, cut, planks)
    rack = sum(_from_rack(sheet, *laid) for laid in tops)
    piece = {name: sheet.number(name) for name in ("total_mass", "wood_density")}
    made = {**piece, "lot_count": float(count), "wood_bought": bought + rack}
    waste = _waste().solve(made).number("wood_waste")
    return CutList(
        tuple(lines), tuple(fittings(sheet, fixing, count)), cut, short, bought, _feet(bought),
        rack, waste, None if cut is None else cut.price, tuple(cauls),
    )  # fmt: skip


def _line(
    part: str,
    count: int,
    finished: Size,
    rough: Size,
    sheet: Sheet,
    wood: str,
    note: str,
    density: float | None = None,
    board: str = "",
) -> CutLine:
    density = sheet.number("wood_density") if density is None else density
    done, sawn = pieces_alike(finished, count, density), pieces_alike(rough, count, density)
    return CutLine(
        part, count, finished, rough, wood or "wood", "along the length", note,
        sawn.number("part_volume"), sawn.number("board_feet"), done.number("part_mass"), density,
        board,
    )  # fmt: skip


def pieces_alike(
    size: Size, count: int, density: float, name: str = "", style: ShopStyle | None = None
) -> Sheet:
    """Volume, board feet and mass of `count` pieces of one size and density, kg/m³.

    name, style  what they are, and how their sizes are written"""
    return network().solve(
        {
            "part_length": size.length, "part_width": size.width, "part_thickness": size.thickness,
            "part_count": float(count), "wood_density": density,
        },
        name=name,
        shop=style,
    )  # fmt: skip


def _sawn_thickness(sheet: Sheet, thickness: float) -> float:
    allowances = {
        name: number
        for name in ("jointing_allowance", "planing_allowance")
        if (number := sheet.get(name)) is not None
    }
    sawn = _sawn().solve({"part_thickness": thickness, **allowances})
    return sawn.number("sawn_thickness")


def _posts(sheet: Sheet, wood: str, pieces: int) -> list[CutLine]:
    """The posts or legs, or the laminations they are glued up from."""
    base, number = base_of(sheet), sheet.number
    length, width, thickness, rough, layers, note, trim = base.blank
    finished = Size(number(length), number(width), number(thickness))
    each = base.count * pieces
    if layers is None:
        wide, thick = (_sawn_thickness(sheet, one) for one in (finished.width, finished.thickness))
        blank = Size(plain_up(number(rough), sheet.shop_style), wide, thick)
        if trim and number(trim) > 0:
            note = f"{note}; {sheet.shop(trim)} of its length is for the saw at the foot"
        return [_line(base.part, each, finished, blank, sheet, wood, note)]
    thick, several = number("lamination_thickness"), round(number(layers))
    blank = Size(number(rough), number("lamination_width"), _sawn_thickness(sheet, thick))
    if several == 1:
        return [_line(base.part, each, finished, blank, sheet, wood, note)]
    layer = Size(finished.length, finished.width, thick)
    part = f"{base.part} lamination"
    note = f"{several} to a {base.part}; before gluing, plane only the thickness"
    return [_line(part, each * several, layer, blank, sheet, wood, note)]


def _stretchers(sheet: Sheet, wood: str, pieces: int) -> Iterator[CutLine]:
    """Those between legs, as long as with their tenons."""
    made = leg_stretchers(sheet)
    if made is None:
        return
    across = sheet.number("stretcher_diameter")
    sawn = _sawn_thickness(sheet, across)
    for line in made.lines:
        finished = Size(line.whole, across, across)
        blank = Size(plain_up(line.whole, sheet.shop_style), sawn, sawn)
        note = "round, straight-grained"
        part = f"{line.name} stretcher"
        yield _line(part, line.many * pieces, finished, blank, sheet, wood, note)


def _tops(sheet: Sheet, laid: Sequence[Laid], wood: str, pieces: int) -> Iterator[CutLine]:
    """The strips of each top that is laid out, and a panel for each that is not."""
    for number, (layout, boards) in enumerate(laid, start=1):
        called = f"top {number}" if pieces > 1 else "top"
        yield from _strips(sheet, layout, boards, wood, called)
    if pieces > len(laid):
        yield _panel(sheet, wood, pieces - len(laid))


def _panel(sheet: Sheet, wood: str, count: int) -> CutLine:
    thickness = sheet.number("top_thickness")
    across, sawn = sheet.number("top_diameter"), sheet.get("rough_thickness") or thickness
    panel = Size(across, across, thickness)
    far = sheet.si.get("pivot_to_far_side")
    square = across if far is None else stock.panel_across.from_si(_panel_across(far))
    rough = Size(square, square, sawn)
    note = "a panel; the cutter stays inside its edges"
    return _line("top", count, panel, rough, sheet, wood, note)


def _strips(
    sheet: Sheet, layout: BoardLayout, boards: Sequence[RackBoard], wood: str, top: str
) -> Iterator[CutLine]:  # fmt: skip
    thickness = sheet.number("top_thickness")
    by_name = {board.name: board for board in boards}
    for number, strip in enumerate(strips_used(layout), start=1):
        board = by_name[strip.board]
        # A board without a thickness of its own lies there finished.
        thick = getattr(board, "thickness", None) or thickness
        length = shop_up(strip.length_needed, sheet.shop_style)
        finished = Size(length, strip.width, thickness)
        narrow, wide = _width_there(board, strip, sheet.shop_style)
        rough = Size(length, narrow, thick)
        own = getattr(board, "species", None) or wood
        called = layout.source(strip).called
        called = called if strip.board.startswith("board ") else f"board {called}"
        yield _line(
            f"{top}, strip {number}", 1, finished, rough, sheet, own,
            f"from {called}" + (f", which tapers there from {wide} wide" if wide else ""),
            _density(sheet, own), strip.board,
        )  # fmt: skip


def _width_there(board: RackBoard, strip: Strip, style: ShopStyle) -> tuple[float, str]:
    """Width of a board where a strip is cut from it, mm: what can be sawn from end to end; and of
    one that tapers, how wide it is at its wider end."""
    far = far_width_of(board)
    wide, narrow = (
        most(
            float(width_there(board.width, far, board.length, x)) for x in (strip.start, strip.end)
        )
        for most in (max, min)
    )
    if wide - narrow < 1e-9:
        return wide, ""
    return shop_down(narrow, style), shop_text_down(wide, style)


def _from_rack(sheet: Sheet, layout: BoardLayout, boards: Sequence[RackBoard]) -> float:
    """Wood of the rack that is used, m³; what goes back is not counted."""
    top = sheet.number("top_thickness")
    thick = {board.name: getattr(board, "thickness", None) or top for board in boards}
    sizes = [Size(one.used, one.used_area / one.used, thick[one.board]) for one in layout.cut]
    return sum(pieces_alike(size, 1, 1000.0).number("part_volume") for size in sizes)


def _density(sheet: Sheet, species: str) -> float:
    """Density of a board's own wood, kg/m³: the piece's, by the specific gravity of each."""
    known, gravity = find_species(species), sheet.get("specific_gravity")
    density = sheet.number("wood_density")
    return density if known is None or not gravity else density * known.specific_gravity / gravity


def _cut(
    sawn: Sequence[CutLine],
    planks: Sequence[Plank],
    saw_kerf: float,
    plank_ends: float,
    style: ShopStyle,
) -> tuple[StockCut | None, str]:
    if not planks:
        return None, ""
    pieces = [
        PiecesAlike(line.part, line.rough.length, line.rough.width, line.count) for line in sawn
    ]
    try:
        return cut_stock(pieces, planks, saw_kerf=saw_kerf, plank_ends=plank_ends, style=style), ""
    except StockFallsShort as reason:
        return None, str(reason)


def _bought(
    lines: Sequence[CutLine], sawn: Sequence[CutLine], cut: StockCut | None,
    planks: Sequence[Plank],
) -> float:  # fmt: skip
    """Wood to buy, m³: whole planks where they are known, else rough parts. What is in the rack is
    not bought."""
    top = sum(line.volume for line in lines if line not in sawn and not line.board)
    if cut is None:
        return top + sum(line.volume for line in sawn)
    by_name = {plank.name: plank for plank in planks}
    thickness = max(line.rough.thickness for line in sawn)
    return top + sum(
        pieces_alike(Size(by_name[name].length, by_name[name].width, thickness), n, 1000.0).number(
            "part_volume"
        )
        for name, n in cut.planks.items()
    )


def _feet(volume: float) -> float:
    """Board feet of a volume in m³."""
    return _feet_network().solve({"part_volume": volume}).number("board_feet")


@cache
def _feet_network() -> Network:
    both = (stock.part_volume, stock.board_feet)
    return Network("board feet", both, (stock.BOARD_FEET,), constants=stock.CONSTANTS, wording=SHOP)
