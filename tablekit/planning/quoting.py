"""The price of a piece, or of several alike: material, labour, overhead and margin.

found = quote(wishes, found_material, bench_minutes, pieces=2)
found.rows(), found.to_json()
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.shop import ShopStyle, in_money, sum_text
from tablekit.relations import lot
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.cut_list import CutList, Laid
    from tablekit.planning.stock_cutting import Plank

OWN_HOURS = "the maker's own hours"
ESTIMATED = "the kit's rough estimate, from the order of work"
LINES = "Each line is rounded by itself; the price of several is that of one, times their number."


@dataclass(frozen=True)
class QuoteTerms:
    """What a maker asks: money per hour, shares, and what else costs.

    overhead  of material and labour; `margin` of the price, as shares
    fittings, finish  price of those for all the pieces; None where not said
    hours     of work for all the pieces; None to take the order of work
    currency  as it is written behind a sum
    """

    labour_rate: float
    overhead: float = 0.0
    margin: float = 0.0
    currency: str = ""
    fittings: float | None = None
    finish: float | None = None
    hours: float | None = None


@dataclass(frozen=True)
class Material:
    """What the material costs, and what of it has no price.

    costs     by the names of their quantities; None where nothing of it is priced
    unpriced  wood without a price, in words
    extras    what else has none and may be in the overhead: fittings, finish
    """

    costs: dict[str, float | None]
    unpriced: tuple[str, ...]
    extras: tuple[str, ...]


@dataclass(frozen=True)
class Quote:
    """A price and how it came about.

    sheet     the sums, of what is priced
    material  what of the material costs what
    complete  whether all the wood is priced and all the work counted; else there is no price
    missing   what is not, in words
    """

    sheet: Sheet
    terms: QuoteTerms
    material: Material
    pieces: int
    missing: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether there is a price: all the wood has one and all the work is counted."""
        return not self.missing

    @property
    def hours_from(self) -> str:
        """Where the hours are from."""
        return ESTIMATED if self.terms.hours is None else OWN_HOURS

    def amount(self, name: str) -> Decimal:
        """A sum by the name of its quantity, to two decimals."""
        return in_money(self.sheet.number(name))

    @property
    def price(self) -> Decimal | None:
        """Of one piece; None while something is missing."""
        return self.amount("quote_price") if self.complete else None

    @property
    def lot_price(self) -> Decimal | None:
        """Of all of them: what a customer comes to who multiplies."""
        return None if self.price is None else self.price * self.pieces

    def money(self, amount: Decimal) -> str:
        """A sum as it is written."""
        return sum_text(amount, self.terms.currency)

    def rows(self) -> tuple[tuple[str, str, str], ...]:
        """What, how much, and a remark, for the maker."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[tuple[str, str, str]]:
        names = {"planks_cost": "planks", "boards_cost": "boards", "fittings_cost": "fittings",
                 "finish_cost": "finish"}  # fmt: skip
        for name, words in names.items():
            if name not in self.material.costs:
                continue
            priced = self.material.costs[name] is not None
            yield words, self.money(self.amount(name)) if priced else "not priced", ""
        known = any(cost is not None for cost in self.material.costs.values())
        partly = "without what is not priced" if None in self.material.costs.values() else ""
        spent = self.money(self.amount("material_cost")) if known else "not priced"
        yield "material", spent, partly if known else ""
        hours = f"{in_money(self.sheet.number('quote_hours'))} h"
        rate = self.money(in_money(self.terms.labour_rate))
        yield "labour", self.money(self.amount("labour_cost")), f"{hours} at {rate}"
        share = self.sheet.shop("overhead_share")
        yield (
            "overhead",
            self.money(self.amount("overhead_cost")),
            f"{share} of material and labour",
        )
        yield "cost", self.money(self.amount("lot_cost")), self._of_all()
        share = self.sheet.shop("margin_share")
        yield "margin", self.money(self.amount("margin")), f"{share} of the price"
        if self.price is None or self.lot_price is None:
            so_far = self.money(self.amount("quote_price"))
            yield "price", "none yet", f"{so_far} a piece without what is missing"
            return
        yield "price", self.money(self.price), "for one piece" if self.pieces > 1 else ""
        if self.pieces > 1:
            yield f"price for {self.pieces}", self.money(self.lot_price), ""

    def _of_all(self) -> str:
        return f"of all {self.pieces} pieces" if self.pieces > 1 else ""

    def lines(self) -> tuple[str, ...]:
        """What is to be minded, a paragraph each."""
        said = [f"Hours: {self.hours_from}. {LINES}"]
        if self.missing:
            said.append(f"There is no price yet. Missing: {'; '.join(self.missing)}.")
        if self.material.extras:
            extras = " and ".join(self.material.extras)
            said.append(
                f"Not priced, and in the price only so far as the overhead has it: {extras}."
            )
        return tuple(said)

    def to_json(self) -> dict[str, Any]:
        """Plain data: sums to two decimals, null where there is none; hours; shares."""

        def plain(amount: Decimal | None) -> float | None:
            return None if amount is None else float(amount)

        names = ("material_cost", "overhead_cost", "lot_cost", "margin")
        return {
            "currency": self.terms.currency,
            "pieces": self.pieces,
            **{
                name: None if cost is None else plain(in_money(cost))
                for name, cost in self.material.costs.items()
            },
            **{name: plain(self.amount(name) if self.complete else None) for name in names},
            "labour_cost": plain(self.amount("labour_cost")),
            "hours": plain(in_money(self.sheet.number("quote_hours"))),
            "hours_from": self.hours_from,
            "labour_rate": plain(in_money(self.terms.labour_rate)),
            "overhead_share": self.terms.overhead,
            "margin_share": self.terms.margin,
            "price": plain(self.price),
            "lot_price": plain(self.lot_price),
            "complete": self.complete,
            "missing": list(self.missing),
            "not_priced": [*self.material.unpriced, *self.material.extras],
        }


@cache
def network() -> Network:
    """The sums of a quote."""
    return Network(
        "a quote",
        lot.PRICE_QUANTITIES,
        lot.PRICE_RELATIONS,
        constants=lot.PRICE_CONSTANTS,
        wording=SHOP,
    )


def quote(
    terms: QuoteTerms,
    material: Material,
    bench_minutes: float | None,
    pieces: int = 1,
    name: str = "",
    style: ShopStyle | None = None,
) -> Quote:
    """The price of a piece or of several alike.

    bench_minutes  of the order of work, for all the pieces; None where the work stops half way
    Raises RangeError for a sum or a share that no quote has.
    """
    missing = list(material.unpriced)
    time = {"quote_minutes": bench_minutes or 0.0}
    if terms.hours is not None:
        time = {"quote_hours": terms.hours}
    elif bench_minutes is None:
        missing.append("the work, which stops at posts that cannot be assembled")
    every = ("planks_cost", "boards_cost", "fittings_cost", "finish_cost")
    sheet = network().solve(
        {
            **{cost: material.costs.get(cost) or 0.0 for cost in every}, **time,
            "labour_rate": terms.labour_rate, "overhead_share": terms.overhead,
            "margin_share": terms.margin, "lot_count": float(pieces),
        },
        name=name,
        shop=style,
    )  # fmt: skip
    return Quote(sheet, terms, material, pieces, tuple(missing))


def material_of(
    found: CutList,
    planks: Sequence[Plank],
    tops: Sequence[Laid],
    terms: QuoteTerms,
) -> Material:
    """What the material costs, so far as the brief has prices.

    planks  those that could be sawn, with their prices
    tops    how each is got out of which rack
    """
    wood, unpriced = _planks(found, planks)
    costs: dict[str, float | None] = {"planks_cost": wood}
    if tops:
        costs["boards_cost"], lacking = _boards(tops)
        unpriced += lacking
    panels = sum(line.count for line in found.lines if line.part == "top" and not line.board)
    if panels:
        many = "the panel for the top" if panels == 1 else f"the panels for {panels} tops"
        unpriced.append(f"{many} (the brief prices boards, not panels)")
    extras = {"fittings": terms.fittings, "finish": terms.finish}
    costs |= {f"{what}_cost": price for what, price in extras.items()}
    absent = tuple(what for what, price in extras.items() if price is None)
    return Material(costs, tuple(unpriced), absent)


def _planks(found: CutList, planks: Sequence[Plank]) -> tuple[float | None, list[str]]:
    """The price of the planks, so far as they have one, and what has none, in words."""
    if found.planks is None:
        return None, ["the planks, of which there are not enough"]
    prices = {plank.name: plank.price for plank in planks}
    lacking = [name for name in found.planks.planks if prices[name] is None]
    paid = [
        n * price for name, n in found.planks.planks.items() if (price := prices[name]) is not None
    ]
    said = [f"planks {', '.join(lacking)} (price in [[stock]])"] if lacking else []
    return (sum(paid) if paid else None), said


def _boards(
    tops: Sequence[Laid],
) -> tuple[float | None, list[str]]:
    """The price of what is used of the boards, so far as they have one, and which have none."""
    used = {
        board.name: board.price
        for layout, rack in tops
        for board in rack
        if board.name in layout.boards
    }
    # An offcut has no price where its board has none: the board alone is named.
    whole = {board.name for board in tops[0][1]}
    lacking = [name for name, price in used.items() if price is None]
    named = [name for name in lacking if name in whole]
    said = [f"boards {', '.join(named)} (price in [[boards]])"] if lacking else []
    priced = len(lacking) < len(used)
    return (sum(layout.priced for layout, _ in tops) if priced else None), said
