"""From odd boards to a round top: which boards to use, in what order, and where they lie.

    layout = lay_out(brief.boards, 920, margin=10, end_waste=15, edge_loss=2)

Strips lie side by side and cover a circle; each must be as long as the longest chord it covers.
The least total area of boards wins, or the least price; of equals, the fewest joints.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tablekit.engine.trouble import DesignError, RangeError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_layout import (
    ALIKE,
    AREA,
    AS_WIDE,
    OBJECTIVES,
    PRICE,
    RIPS,
    BoardLayout,
    Objective,
    RackBoard,
    Rip,
    Strip,
    Wishes,
    check_board,
    check_choice,
    check_measure,
    left_in_rack,
)
from tablekit.planning.board_pairs import ripped, symmetrical
from tablekit.planning.board_row import edges_about, keep_off, place
from tablekit.planning.board_search import MOST_STATES, NOTHING, Found, search
from tablekit.planning.board_shortage import BoardsFallShort, Yield, order_shortage, shortage
from tablekit.planning.board_stock import MOST_COST, grains, points, stock

__all__ = [
    "ALIKE",
    "AREA",
    "AS_WIDE",
    "PRICE",
    "BoardLayout",
    "BoardsFallShort",
    "RackBoard",
    "Strip",
    "Wishes",
    "lay_out",
]

# Common widths tried where all strips are ripped alike: of a rack of 100 boards, of a huge one.
MOST_WIDTHS, LEAST_WIDTHS = 40, 6
FEW = 24  # strips for which the largest top is worth looking for


def lay_out(
    rack: Iterable[RackBoard],
    top_diameter: float,
    *,
    margin: float,
    end_waste: float,
    edge_loss: float,
    rip: Rip = "as wide as each goes",
    objective: Objective = "area",
    wishes: Wishes | None = None,
    style: ShopStyle | None = None,
) -> BoardLayout:
    """The best way to get a round top out of a rack of boards.

    rack                    boards, finished to thickness
    top_diameter, margin    of the finished top, and wood kept outside it all round, mm
    end_waste, edge_loss    lost at each end and at each long edge of a board, mm
    rip                     each strip as wide as its board gives, or all of one width
    objective               "area" or "price" of the boards used, whole
    style                   how messages write lengths

    Exact for some twenty boards (`proved`); of a large rack the best found, with the `gap` that
    is proved. Areas are compared to a thousandth of a square millimetre. Method and proof:
    `reference/derivations/boards_to_round.md`.

    Raises BoardsFallShort when the rack cannot do it, RangeError for a number that no board or
    top has, DesignError for a wish that cannot be understood.
    """
    check_choice("rip", rip, RIPS)
    check_choice("objective", objective, OBJECTIVES)
    check_measure("top_diameter", top_diameter, above=True)
    for name, length in (("margin", margin), ("end_waste", end_waste), ("edge_loss", edge_loss)):
        check_measure(name, length)
    job = _Job(tuple(rack), rip, objective, wishes or Wishes(), style or ShopStyle())
    job.measure(top_diameter, margin, end_waste, edge_loss)
    return job.in_order() if job.wishes.order else job.chosen()


class _Job:
    """One question, with what each board yields worked out. Lengths in mm."""

    def __init__(
        self, rack: tuple[RackBoard, ...], rip: Rip, objective: Objective, wishes: Wishes,
        style: ShopStyle,
    ):  # fmt: skip
        check_measure("clear_of_centre", wishes.clear_of_centre)
        check_measure("narrowest", wishes.narrowest)
        for board in rack:
            check_board(board)
        self.rack, self.rip, self.objective = rack, rip, objective
        self.wishes, self.style = wishes, style
        self.counts = left_in_rack(rack, wishes.keep)

    def measure(
        self, top_diameter: float, margin: float, end_waste: float, edge_loss: float
    ) -> None:
        """What the circle is and what each board yields."""
        self._kept_offs: dict[float, list[int]] = {}
        self.margin = margin
        self.diameter = float(formulas.rough_diameter(top_diameter, margin))
        self.widths = [float(formulas.strip_width(one.width, edge_loss)) for one in self.rack]
        self.lengths = [float(formulas.usable_length(one.length, end_waste)) for one in self.rack]
        self.areas = [float(formulas.board_area(one.width, one.length)) for one in self.rack]
        self.costs = [self._points(*both) for both in zip(self.rack, self.areas, strict=True)]

    def _points(self, board: RackBoard, area: float) -> int:
        cost = area if self.objective == AREA else board.price
        if cost is None:
            raise DesignError(
                f"board {board.name} has no price; price every board, or choose the least area"
            )
        if cost > MOST_COST:
            raise RangeError(f"board {board.name} is too large or too expensive to compare")
        return points(cost)

    # -- in an order of the maker's ---------------------------------------------------------------

    def in_order(self) -> BoardLayout:
        """The boards asked for, in the order asked for."""
        order, left, row = self.wishes.order, list(self.counts), []
        for name in order:
            there = [index for index, board in enumerate(self.rack) if board.name == name]
            index = next((index for index in there if left[index] > 0), None)
            if index is None:
                why = "has fewer than the order uses" if there else "has none"
                raise DesignError(f'board "{name}": the rack {why}')
            left[index] -= 1
            row.append(index)
        widths = self._ripped(row)
        for name, width in zip(order, widths, strict=True):
            if not width > 0 or width < self.wishes.narrowest:
                raise DesignError(f"a strip of board {name} would be too narrow: {self._mm(width)}")
        layout = self._laid(row, proved=True, gap=0.0)
        if layout is None:
            lengths = [self.lengths[board] for board in row]
            clear = self.wishes.clear_of_centre
            raise order_shortage(order, widths, lengths, self.diameter, clear, self.style)
        return layout

    # -- the best ---------------------------------------------------------------------------------

    def chosen(self) -> BoardLayout:
        """The best choice and order."""
        found, row = self._best(self.diameter)
        if not row:
            raise self._shortage(found)
        gap = 0.0 if found.proved else max(0.0, 1 - found.least / found.cost)
        layout = self._laid(row, found.proved, gap)
        assert layout is not None, "a row that was found must lie somewhere"
        return layout

    def _best(self, diameter: float) -> tuple[Found, list[int]]:
        """The best row found, as boards from left to right."""
        if self.rip == AS_WIDE:
            return self._searched(self.widths, diameter, NOTHING)
        best, row, least = NOTHING, list[int](), float(NOTHING)
        every = sorted({width for width in self.widths if width > 0}, reverse=True)
        most = min(MOST_WIDTHS, max(LEAST_WIDTHS, 100 * MOST_WIDTHS // max(1, len(self.rack))))
        tried = every[:: max(1, -(-len(every) // most))]
        if len(tried) < len(every):  # strips as wide as they go cover no less
            least = self._searched(self.widths, diameter, NOTHING)[0].least
        for common in tried:
            widths = [common if width >= common else 0.0 for width in self.widths]
            one, boards = self._searched(widths, diameter, best, MOST_STATES // len(tried))
            least = min(least, one.least)
            if boards:
                best, row = one.cost, boards
        return Found(best, min(least, best), ()), row

    def _searched(
        self, widths: Sequence[float], diameter: float, best: int, most: int = MOST_STATES
    ) -> tuple[Found, list[int]]:
        radius, clear = grains(diameter / 2), grains(self.wishes.clear_of_centre)
        wide = [grains(width) if width >= self.wishes.narrowest else 0 for width in widths]
        off = self._offs(diameter)
        strips = stock(wide, off, self.costs, self.counts, radius)
        if self.wishes.symmetrical:
            found = symmetrical(strips, radius, clear, best)
        else:
            found = search(strips, radius, clear, best, most)
        return found, [int(strips.board[strip]) for strip in found.strips]

    def _offs(self, diameter: float) -> list[int]:
        """How near the centre each board's strip may come, grains; kept, for it is asked often."""
        if diameter not in self._kept_offs:
            found = [grains(keep_off(diameter, length)) for length in self.lengths]
            self._kept_offs = {diameter: found}
        return self._kept_offs[diameter]

    # -- a row laid out ---------------------------------------------------------------------------

    def _ripped(self, row: Sequence[int]) -> list[float]:
        widths = [self.widths[board] for board in row]
        if self.rip == ALIKE:
            return [min(widths)] * len(row)
        return ripped(widths) if self.wishes.symmetrical else widths

    def _laid(self, row: Sequence[int], proved: bool, gap: float) -> BoardLayout | None:
        widths, lengths = self._ripped(row), [self.lengths[board] for board in row]
        mark = place(
            widths, lengths, self.diameter, self.wishes.clear_of_centre, self.wishes.symmetrical
        )
        if mark is None:
            return None
        boards_area = sum(self.areas[board] for board in row)
        circle = float(formulas.circle_area(self.diameter))
        prices = [self.rack[board].price for board in row]
        known = [price for price in prices if price is not None]
        return BoardLayout(
            strips=tuple(
                Strip(
                    self.rack[board].name, left, right,
                    float(formulas.length_needed(self.diameter, left, right)), self.lengths[board],
                )
                for board, (left, right) in zip(row, edges_about(widths, mark), strict=True)
            ),
            diameter=self.diameter,
            boards_area=boards_area,
            circle_area=circle,
            waste=float(formulas.waste(circle, boards_area)),
            price=sum(known) if len(known) == len(prices) else None,
            objective=self.objective,
            proved=proved,
            gap=gap,
            rip_width=widths[0] if self.rip == ALIKE else None,
        )  # fmt: skip

    # -- when it cannot be done -------------------------------------------------------------------

    def _mm(self, number: float) -> str:
        return shop_text(number, "mm", self.style)

    def _asked_besides(self) -> list[str]:
        wishes = self.wishes
        asked = ["all strips of one width"] if self.rip == ALIKE else []
        asked += ["joints symmetrical about the centre"] if wishes.symmetrical else []
        if wishes.clear_of_centre > 0:
            asked.append(f"no joint within {self._mm(wishes.clear_of_centre)} of the centre")
        if wishes.narrowest > 0:
            asked.append(f"no strip narrower than {self._mm(wishes.narrowest)}")
        return asked + [f"{len(wishes.keep)} kept in the rack"] * bool(wishes.keep)

    def _shortage(self, found: Found) -> BoardsFallShort:
        if found.least < NOTHING:
            return BoardsFallShort(
                "no layout of these boards was found that covers the circle, but there may be one. "
                "Leave out boards of little use and try again",
                found=0.0, needed=self.diameter,
            )  # fmt: skip
        asked = self._asked_besides()
        if asked:
            plain = _Job(self.rack, "as wide as each goes", self.objective, Wishes(), self.style)
            for name in ("_kept_offs", "margin", "diameter", "widths", "lengths", "areas", "costs"):
                setattr(plain, name, getattr(self, name))
            if plain._best(self.diameter)[1]:
                return BoardsFallShort(
                    f"the boards can cover the circle, but not on these terms: {'; '.join(asked)}. "
                    "Relax them",
                    found=0.0, needed=self.diameter,
                )  # fmt: skip
            return plain._shortage(found)
        columns = (self.rack, self.widths, self.lengths, self.counts)
        yields = [
            Yield(board.name, width, length, count)
            for board, width, length, count in zip(*columns, strict=True)
        ]
        short = shortage(yields, self.diameter, self.style)
        largest = self._largest() if sum(self.counts) <= FEW else None
        if largest is None:
            return short
        return BoardsFallShort(
            f"{short}. These boards make a top of at most {self._mm(largest)}",
            found=short.found, needed=short.needed, largest=largest,
        )  # fmt: skip

    def _largest(self) -> float | None:
        """The widest top the rack would do for, to a whole step of the shop, mm."""
        low, high = 2 * self.margin, self.diameter
        for _ in range(16):
            middle = (low + high) / 2
            low, high = (middle, high) if self._best(middle)[1] else (low, middle)
        step = 25.4 / 8 if self.style.display == "in" else 1.0
        top = (low - 2 * self.margin) // step * step
        return top if top > 0 else None
