"""From odd boards to a round top: which boards to cut, where, and where the strips lie; or what the
rack is short of.

    layout = lay_out(brief.boards, 920, margin=10, end_waste=15, edge_loss=2)

Boards are crosscut and ripped to strips; strips lie side by side and cover a circle, each as long
as the longest chord it covers. The least area used wins, or the least price; of equals, the fewest
joints.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.planning import formulas as formulas
from tablekit.planning.board_bounds import Costs, RowTask
from tablekit.planning.board_layout import (
    ALIKE,
    AREA,
    AS_WIDE,
    OBJECTIVES,
    PRICE,
    RIPS,
    SAW_KERF,
    SHORTEST_KEPT,
    BoardLayout,
    CutBoard,
    Objective,
    RackBoard,
    Rip,
    Strip,
    Wishes,
    Zone,
    check_board,
    check_measure,
    left_in_rack,
)
from tablekit.planning.board_row import Laid, RowPlaces, paired
from tablekit.planning.board_search import cheapest, cheapest_alike, reach
from tablekit.planning.board_wood import (
    ClearWood,
    Losses,
    clear_lengths,
    far_width_of,
    gone_of,
    wood_of,
    zones_of,
)
from tablekit.relations.kinds import check_choice

# -- What a rack is short of -----------------------------------------------------------------------

EASE = 1e-5  # mm
MOST_MORE = 6  # boards of a kind that may be missing


class BoardsFallShort(DesignError):
    """A rack cannot cover the circle.

    found, needed  the width or length there is and the one it takes, mm
    largest        the widest top these boards would do for, mm; None where not looked for
    """

    def __init__(self, message: str, *, found: float, needed: float, largest: float | None = None):
        super().__init__(message)
        self.found, self.needed, self.largest = found, needed, largest


class Asking(Protocol):
    """Whether some rack makes some top."""

    def makes(self, top: float, margin: float, more: Sequence[int] = ()) -> bool:
        """Whether the boards make a top, `more` of each kind added."""
        ...

    def reach(self, top: float, margin: float) -> float:
        """How wide a row the boards make at most, mm."""
        ...


def shortage(
    asking: Asking, rack: Sequence[RackBoard], top: float, margin: float, losses: Losses,
    style: ShopStyle,
) -> BoardsFallShort:  # fmt: skip
    """What a rack is short of, for a top of that diameter and margin (mm)."""

    def mm(number: float) -> str:
        return shop_text(number, "mm", style)

    diameter = float(formulas.rough_diameter(top, margin))
    lengths = {
        board.name: max((b - a for a, b in clear_lengths(board.length, zones_of(board), losses)),
                        default=0.0)
        for board in rack
        if board.count > 0 and _wide(board, losses)
    }  # fmt: skip
    if not lengths or max(lengths.values()) <= 0:
        return _nothing_usable(rack, losses, diameter)
    name = max(lengths, key=lambda one: lengths[one])
    if lengths[name] < diameter - EASE:
        return BoardsFallShort(
            f"no board is long enough for the middle: the longest, {name}, has "
            f"{mm(lengths[name])} of clear length, and the circle is {mm(diameter)} across. "
            f"{mm(diameter - lengths[name])} is missing",
            found=lengths[name], needed=diameter,
        )  # fmt: skip
    reach = min(asking.reach(top, margin), diameter)
    largest = largest_top(asking, top, margin, style)
    said = f"too little wood: the strips lie {mm(reach)} wide at most, so far as was found"
    if diameter - reach > EASE:
        said += f", and the circle is {mm(diameter)}. {mm(diameter - reach)} of width is missing"
    else:
        said += ", but none of these rows has each board long enough where it lies"
    more = _more(asking, rack, top, margin, mm)
    at_most = f". These boards make a top of {mm(largest)}" if largest else ""
    return BoardsFallShort(said + more + at_most, found=reach, needed=diameter, largest=largest)


def _wide(board: RackBoard, losses: Losses) -> bool:
    wide = max(board.width, far_width_of(board))
    return float(formulas.strip_width(wide, losses.edge_loss)) > 0


def _more(asking: Asking, rack: Sequence[RackBoard], top: float, margin: float, mm: object) -> str:
    """The kind of board of which the fewest more would do, as a sentence."""
    kinds = sorted(range(len(rack)), key=lambda k: -rack[k].width * rack[k].length)[:4]
    for number in range(1, MOST_MORE + 1):
        for kind in kinds:
            added = [number if k == kind else 0 for k in range(len(rack))]
            if asking.makes(top, margin, added):
                what = "One more board" if number == 1 else f"{number} more boards"
                return f". {what} like {rack[kind].name} would do"
    return ""


def largest_top(asking: Asking, top: float, margin: float, style: ShopStyle) -> float | None:
    """A top that the boards do for, as wide as was found, to a whole step of the shop, mm."""
    low, high = 0.0, top
    for _ in range(9):
        middle = (low + high) / 2
        low, high = (middle, high) if asking.makes(middle, margin) else (low, middle)
    step = 25.4 / 8 if style.display == "in" else 1.0
    found = low // step * step
    return found if found > 0 else None


def _nothing_usable(rack: Sequence[RackBoard], losses: Losses, diameter: float) -> BoardsFallShort:
    if not rack:
        return BoardsFallShort(
            "the rack is empty. Write a [[boards]] section for each kind of board",
            found=0.0, needed=diameter,
        )  # fmt: skip
    worst = rack[0]
    why = "ends and zones to be avoided take its whole length"
    if not _wide(worst, losses):
        why = "edge loss takes its whole width"
    if worst.count < 1:
        why = "none of it is left"
    return BoardsFallShort(
        f"no board is usable; board {worst.name}: {why}. Check [top] and the boards",
        found=0.0, needed=diameter,
    )  # fmt: skip


# -- The layout ------------------------------------------------------------------------------------

__all__ = [
    "ALIKE",
    "AREA",
    "AS_WIDE",
    "PRICE",
    "BoardLayout",
    "BoardsFallShort",
    "CutBoard",
    "RackBoard",
    "Strip",
    "Wishes",
    "Zone",
    "lay_out",
]


def lay_out(
    rack: Iterable[RackBoard],
    top_diameter: float,
    *,
    margin: float,
    end_waste: float,
    edge_loss: float,
    saw_kerf: float = SAW_KERF,
    shortest_kept: float = SHORTEST_KEPT,
    rip: Rip = "as wide as each goes",
    objective: Objective = "area",
    wishes: Wishes | None = None,
    style: ShopStyle | None = None,
    effort: float = 1.0,
) -> BoardLayout:
    """The best way to get a round top out of a rack of boards.

    rack                    boards, finished to thickness or to be brought to it; may also have an
                            `end_width`, their width at the second end, `avoid`, zones, and
                            `gone`, how many of them earlier tops took
    top_diameter, margin    of the finished top, and wood kept outside it all round, mm
    end_waste, edge_loss    lost at each raw end and at each long edge of a board, mm
    saw_kerf                lost in each cut, mm
    shortest_kept           a remainder of this length or more goes back to the rack, mm
    rip                     each strip as wide as its board gives, or all of one width
    objective               "area" or "price" of what is used
    style                   how messages write lengths
    effort                  share of the usual search, for one of several tops; what is then not
                            looked at counts in the gap

    The `gap` says by how much another layout could at most undercut this one. Method and proof:
    `reference/derivations/boards_to_round.md`.

    Raises BoardsFallShort when the rack cannot do it, RangeError for a number that no board or
    top has, DesignError for a wish that cannot be understood.
    """
    losses = Losses(end_waste, edge_loss, saw_kerf, shortest_kept)
    asked = (rip, objective, wishes or Wishes(), style or ShopStyle())
    return _Job(tuple(rack), *asked, losses, effort).best(top_diameter, margin)


MOST_ALIKE = 250  # boards of a kind that are thought of


@dataclass(frozen=True)
class _Answer:
    """A row as it is laid, with its columns of the wood, cost, and what any costs at least."""

    wood: ClearWood
    columns: tuple[int, ...]
    laid: Laid
    cost: float
    least: float
    alike: float | None


class _Job:
    """One question. Lengths in mm."""

    def __init__(
        self, rack: tuple[RackBoard, ...], rip: Rip, objective: Objective, wishes: Wishes,
        style: ShopStyle, losses: Losses, effort: float = 1.0,
    ):  # fmt: skip
        check_choice("rip", rip, RIPS)
        check_choice("objective", objective, OBJECTIVES)
        for name, length in vars(losses).items():
            check_measure(name, length)
        for name in ("clear_of_centre", "narrowest", "at_rim"):
            check_measure(name, getattr(wishes, name))
        for board in rack:
            check_board(board)
        self.rack, self.rip, self.objective = rack, rip, objective
        self.wishes, self.style, self.losses = wishes, style, losses
        self.effort = effort
        self.alike: float | None = None  # the common width of the last row that was found
        self.counts = left_in_rack(rack, wishes.keep)
        self.prices = None if objective == AREA else [self._price(board) for board in rack]

    def _price(self, board: RackBoard) -> float:
        if board.price is None:
            raise DesignError(
                f"board {board.name} has no price; price every board, or choose the least area"
            )
        return float(board.price)

    def best(self, top: float, margin: float) -> BoardLayout:
        """The best layout of a top of that diameter."""
        check_measure("top_diameter", top, above=True)
        check_measure("margin", margin)
        found = self.answer(top, margin)
        if found is None:
            raise self._shortage(top, margin)
        return self._layout(found, float(formulas.rough_diameter(top, margin)))

    def answer(self, top: float, margin: float, proving: bool = True) -> _Answer | None:
        """The best row; None where there is none. What shows at the rim gives way first.

        proving  whether the best is wanted; else any, for a question whether there is one"""
        narrow = min((min(b.width, far_width_of(b)) for b in self.rack), default=0.0)
        rim = min(self.wishes.at_rim, narrow / 2)
        more, less = max(self.wishes.narrowest, rim), self.wishes.narrowest
        # A row that shows the more shows the less as well.
        if not proving or more == less:
            return self._row(top, margin, less, proving)
        found = None
        # On terms that are hard to meet, nothing is proved of the more where not even the less
        # is to be had.
        hard = self.rip == ALIKE or self.wishes.match
        if hard and self._row(top, margin, more, False) is None:
            found = self._row(top, margin, less, True)
            if found is None:
                return None
        return self._row(top, margin, more, True) or found or self._row(top, margin, less, True)

    def _row(self, top: float, margin: float, rim: float, proving: bool) -> _Answer | None:
        diameter = float(formulas.rough_diameter(top, margin))
        # A strip at the rim shows from where it begins to the finished rim.
        outermost = top / 2 - rim if rim > 0 else diameter / 2 - 1e-3
        if outermost <= 0:
            return None
        task = RowTask(
            diameter, outermost, self.wishes.clear_of_centre, self.wishes.narrowest,
            self.wishes.match, order=self._order(),
        )  # fmt: skip
        wood = self._wood(task)
        if self.wishes.symmetrical and not self.wishes.order:
            return self._paired(wood, task)
        if self.rip == ALIKE:
            found, task = cheapest_alike(wood, task, proving, self.effort, self.alike)
            self.alike = task.alike or self.alike
        else:
            found = cheapest(wood, task, proving=proving, effort=self.effort)
        if not found.columns:
            return None
        placed = RowPlaces(Costs(wood, task)).row(found.columns)
        assert placed is not None, "a row that was found must lie somewhere"
        return _Answer(wood, found.columns, placed[0], found.cost, found.least, task.alike)

    def _wood(self, task: RowTask) -> ClearWood:
        def most(board: RackBoard) -> int:
            """As many as cover the circle, and one at either end."""
            wide = formulas.strip_width(
                min(board.width, far_width_of(board)), self.losses.edge_loss
            )
            covering = int(task.diameter // max(float(wide), 1.0)) + 2
            return min(covering, MOST_ALIKE) if task.order is None else len(task.order)

        return wood_of(self.rack, self.counts, self.prices, self.losses, task.shortest, most)

    def _order(self) -> tuple[int, ...] | None:
        names = {board.name: kind for kind, board in reversed(list(enumerate(self.rack)))}
        for name in self.wishes.order:
            if name not in names:
                raise DesignError(f'board "{name}": the rack has none')
        return tuple(names[name] for name in self.wishes.order) or None

    def _paired(self, wood: ClearWood, task: RowTask) -> _Answer | None:
        tasks = [task]
        if self.rip == ALIKE:
            widths = sorted({float(w) for w in wood.wide if w > 0}, reverse=True)
            tasks = [replace(task, alike=width) for width in widths]
        best, found, of, least = np.inf, None, task, np.inf
        for one in tasks:
            tried = paired(wood, one, best)
            least = min(least, tried.least)
            if tried.laid is not None:
                best, found, of = tried.cost, tried, one
        if found is None or found.laid is None:
            return None
        return _Answer(wood, found.columns, found.laid, best, min(least, best), of.alike)

    # -- a row laid out ---------------------------------------------------------------------------

    def _layout(self, it: _Answer, diameter: float) -> BoardLayout:
        strips = tuple(self._strips(it))
        cut = tuple(self._cut(it))
        area = sum(one.used_area for one in cut)
        circle = float(formulas.circle_area(diameter))
        prices = {board.name: board.price for board in self.rack}
        shares = [self._share(one) for one in cut]
        known = [
            price * share
            for one, share in zip(cut, shares, strict=True)
            if (price := prices[one.board]) is not None
        ]
        return BoardLayout(
            strips, cut, diameter, area, circle, float(formulas.waste(circle, area)),
            sum(known) if len(known) == len(cut) else None, self.objective,
            max(0.0, 1 - it.least / it.cost) if it.cost > 0 else 0.0, it.alike,
            bool(self.wishes.order), sum(known),
        )  # fmt: skip

    def _strips(self, it: _Answer) -> Iterable[Strip]:
        edges = it.laid.edges[0]
        for k, column in enumerate(it.columns):
            timber = it.wood.timbers[it.wood.timber[column]]
            start = float(it.laid.begins[0, k])
            length = float(it.laid.lengths[0, k])
            ends = (start, start + length)
            if timber.from_far:
                ends = (timber.length - ends[1], timber.length - ends[0])
            board = self.rack[timber.kind]
            copy = timber.copy + gone_of(board)
            left, right = float(edges[k]), float(edges[k + 1])
            yield Strip(board.name, copy, *ends, left, right, length)

    def _cut(self, it: _Answer) -> Iterable[CutBoard]:
        kerf, kept = self.losses.saw_kerf, self.losses.shortest_kept
        ends: dict[int, float] = {}
        for k, column in enumerate(it.columns):
            length = float(it.laid.lengths[0, k])
            if length > 0:
                timber = int(it.wood.timber[column])
                ends[timber] = max(
                    ends.get(timber, 0.0), float(it.laid.begins[0, k]) + length + kerf
                )
        for timber, end in ends.items():
            one = it.wood.timbers[timber]
            board = self.rack[one.kind]
            left = one.length - end
            goes_back = left >= kept - 1e-5
            used = end if goes_back else one.length
            there = formulas.width_there(one.width, one.far_width, one.length, used)
            yield CutBoard(
                board.name, one.copy + gone_of(board), one.from_far, one.length, float(board.width),
                far_width_of(board), zones_of(board), used,
                float(formulas.used_area(one.width, there, used)), left if goes_back else 0.0,
                int(board.count) + gone_of(board) == 1,
            )  # fmt: skip

    @staticmethod
    def _share(one: CutBoard) -> float:
        return one.used_area / float(formulas.used_area(one.width, one.far_width, one.length))

    # -- when it cannot be done -------------------------------------------------------------------

    def _mm(self, number: float) -> str:
        return shop_text(number, "mm", self.style)

    def _terms(self) -> Iterator[tuple[str, str, _Job]]:
        """What is asked of the row besides that it covers: in words, the key that asks it, and the
        same question without it."""
        wishes = self.wishes
        if wishes.order:
            said = f"in the order {', '.join(wishes.order)}"
            yield said, "order", self._without(replace(wishes, order=()))
        if self.rip == ALIKE:
            yield "all strips of one width", "rip", self._without(wishes, "as wide as each goes")
        if wishes.symmetrical:
            without = self._without(replace(wishes, symmetrical=False))
            yield "joints symmetrical about the centre", "symmetrical", without
        if wishes.clear_of_centre > 0:
            said = f"no joint within {self._mm(wishes.clear_of_centre)} of the centre"
            without = self._without(replace(wishes, clear_of_centre=0.0))
            yield said, "no_centre_joint", without
        if wishes.narrowest > 0:
            said = f"no strip narrower than {self._mm(wishes.narrowest)}"
            yield said, "narrowest", self._without(replace(wishes, narrowest=0.0))
        if wishes.match:
            without = self._without(replace(wishes, match=False))
            yield "strips of one board side by side", "match", without
        if wishes.keep:
            said = f"{len(wishes.keep)} kept in the rack"
            yield said, "keep", self._without(replace(wishes, keep=()))

    def _without(self, wishes: Wishes, rip: Rip | None = None) -> _Job:
        return _Job(
            self.rack, rip or self.rip, "area", wishes, self.style, self.losses, self.effort
        )

    def _shortage(self, top: float, margin: float) -> BoardsFallShort:
        plain = _Job(self.rack, "as wide as each goes", "area", Wishes(), self.style, self.losses)
        terms = list(self._terms())
        if terms and plain.answer(top, margin, proving=False) is not None:
            needed = float(formulas.rough_diameter(top, margin))
            asked = "; ".join(said for said, _, _ in terms)
            largest = largest_top(self.asking(), top, margin, self.style)
            at_most = f", or make a top of {self._mm(largest)}" if largest else ""
            return BoardsFallShort(
                f"the boards can cover the circle, but not on these terms: {asked}. "
                f"{_way_out(terms, top, margin)}{at_most}",
                found=float(formulas.rough_diameter(largest, margin)) if largest else 0.0,
                needed=needed, largest=largest,
            )  # fmt: skip
        return shortage(plain.asking(), self.rack, top, margin, self.losses, self.style)

    def asking(self) -> _Asking:
        """What `shortage` asks: whether a rack with these counts of each board makes some top."""
        return _Asking(self)


def _way_out(terms: Sequence[tuple[str, str, _Job]], top: float, margin: float) -> str:
    """Which term is to be dropped for the rest to be met, each tried."""
    if len(terms) == 1:
        return f'Leave out "{terms[0][1]}" under [top]'
    free = [
        f'"{key}"' for _, key, job in terms if job.answer(top, margin, proving=False) is not None
    ]
    if not free:
        return "Leave out two or more of them under [top]: leaving out one is not enough"
    return f"Leave out {' or '.join(free)} under [top], and the rest can be met"


class _Asking:
    """Whether more boards, or a smaller top, would do."""

    def __init__(self, job: _Job):
        self.job = job

    def makes(self, top: float, margin: float, more: Sequence[int] = ()) -> bool:
        """Whether the boards make a top, `more` of each kind added."""
        job = self.job
        before = job.counts
        if more:
            job.counts = [a + b for a, b in zip(before, more, strict=True)]
        found = job.answer(top, margin, proving=False)
        job.counts = before
        return found is not None

    def reach(self, top: float, margin: float) -> float:
        """How wide a row the boards make at most, so far as was found, mm."""
        diameter = float(formulas.rough_diameter(top, margin))
        task = RowTask(diameter, diameter / 2 - 1e-3)
        return reach(self.job._wood(task), task)
