"""The page for a customer: what the piece is, of what, how it lives, and its price.

Nothing of the workshop is on it: no hours, rates, costs, joints or settings.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from tablekit.packet.document import Document, Inset, Part, Section, Subheading, Table, Text
from tablekit.relations.kinds import height_name

if TYPE_CHECKING:
    from tablekit.design import Design

PICTURE = 95.0  # mm, its height
_NUMBERS = {3: "three", 4: "four"}
CARE = (
    "Keep it away from radiators, stoves and strong sun, and wipe up water at once. Oil it again "
    "when it looks dry, both faces of the top alike."
)


def quote_book(job: Design) -> Document:
    """The page for a customer. The brief asks for a price."""
    return Document(job.sheet.name, described(job), (Section("Offer", tuple(_offer(job))),))


def described(job: Design) -> str:
    """What it is, in a line: "Round table on three crossed posts"."""
    base = job.base
    under = "crossed posts" if base.crossed else "splayed legs"
    return f"Round {job.sheet.kind} on {_NUMBERS[base.count]} {under}"


def _offer(job: Design) -> Iterator[Part]:
    if not job.not_drawn:
        yield _picture(job)
    yield Table("What you get", ("what", "details"), tuple(_sizes(job)), close=True)
    yield Subheading("Care")
    yield Text(f"{_seasons(job)}{CARE}")
    yield Subheading("Price")
    yield from _price(job)


def _picture(job: Design) -> Inset:
    from tablekit.drawing.general import lay_out_plain, shown

    it = shown(job.sheet, job.solids)
    alt = f"{job.sheet.name} from the front and from above, with its height and diameter."
    return Inset(alt, cache(lambda paper: lay_out_plain(it, paper).ink), PICTURE)


def _sizes(job: Design) -> Iterator[tuple[str, str]]:
    sheet = job.sheet
    if job.brief.count > 1:
        yield "number", str(job.brief.count)
    yield "wood", ", ".join(_woods(job)) or "as agreed"
    yield "height", sheet.shop(height_name(sheet.kind))
    yield "top", f"{sheet.shop('top_diameter')} across, {sheet.shop('top_thickness')} thick"
    yield "weight", f"about {sheet.shop('total_mass')}"
    if job.surface is not None:
        coats = job.surface.coats
        yield "finish", f"oiled, {coats} coat{'s' * (coats > 1)}"


def _woods(job: Design) -> list[str]:
    """The woods that are seen, that of the base first."""
    used = [
        board.species
        for one in job.laid
        for board in one.brief.boards
        if one.boards and one.boards.layout and board.name in one.boards.layout.boards
    ]
    return [*dict.fromkeys(wood for wood in (job.brief.wood.species, *used) if wood)]


def _seasons(job: Design) -> str:
    """How the top moves, in a sentence; "" where that is not known."""
    sheet = job.sheet
    if sheet.get("top_movement") is None:
        return ""
    slots = [check.verdict for check in job.checks if check.quantity == "slot_spare"]
    allowed = ", which its fastening allows for" if slots == ["pass"] else ""
    return (
        f"Wood moves with the air: between the driest and the dampest season the top changes by "
        f"about {sheet.shop('top_movement')} across the grain{allowed}. "
    )


def _price(job: Design) -> Iterator[Part]:
    found = job.quote
    if found is None or found.price is None or found.lot_price is None:
        yield Text("The price follows.")
        return
    kind = job.sheet.kind
    yield Text(f"One {kind} as described: {found.money(found.price)}")
    if found.pieces > 1:
        every = "Both" if found.pieces == 2 else f"All {found.pieces}"
        yield Text(f"{every} {kind}s: {found.money(found.lot_price)}")
