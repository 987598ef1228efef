"""The brief: what a maker asks for, read from TOML and checked before anything is worked out.

The form of a brief is told in the README and shown in `notebooks/briefs`. Every section but
`[given]` may be left out; what is left out stays None here, and whoever needs it assumes something
and says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from tablekit.brief.as_cut import AS_CUT_KEYS, MOISTURE, AsCut, read_as_cut
from tablekit.brief.base import (
    BASE_KEYS,
    CROSSED_CHOICES,
    BriefBase,
    known_quantities,
    other_names,
    read_base,
)
from tablekit.brief.boards import (
    BOARD_KEYS,
    CUTS,
    STOCK_KEYS,
    TOP_KEYS,
    Board,
    SpeciesKey,
    Top,
    read_boards,
    read_stock,
    read_top,
)
from tablekit.brief.section import (
    BriefSection,
    BriefText,
    Choice,
    Key,
    Span,
    TextKey,
    measure,
    read,
    values,
)
from tablekit.brief.text import BriefError, load_toml, read_text, shown_path
from tablekit.brief.workshop import (
    DELIVERY_KEYS,
    JIGS,
    QUOTE_KEYS,
    DeliveryWishes,
    elsewhere,
    known_workshop,
    read_delivery,
    read_jigs,
    read_quantities,
    read_quote,
    read_workshop,
    span_of,
)
from tablekit.engine.units import ShopStyle, units_in
from tablekit.planning.quoting import QuoteTerms
from tablekit.planning.stock_cutting import Plank
from tablekit.relations import bases, lot
from tablekit.relations.kinds import INCH, KINDS, height_name, is_seat
from tablekit.relations.moisture import SHOP

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity


USUAL_KIND = next(iter(KINDS))
FRACTIONS = (16, 32, 64, 8, 4, 2)
PAPERS = ("A4", "Letter")
_INCHES = frozenset({"inch", "foot", "thou"})
STEPS = {"0.5 mm": 0.5, "1 mm": 1.0}
HEADINGS = (
    TextKey("name", "what the piece is called"),
    Choice("kind", "what is made", f'"{USUAL_KIND}"', tuple(KINDS)),
    Choice(
        "display",
        "the unit that sizes are shown in",
        '"mm"; "in" where every size is in inches',
        ("mm", "in"),
    ),
    Choice("fraction", "how finely an inch rule is marked: 32 for 1/32 in", "32", FRACTIONS),
    Choice("step", "how finely a metric rule is marked", '"0.5 mm"', tuple(STEPS)),
    Choice("paper", "what the books are printed on", '"A4", with inches "Letter"', PAPERS),
    measure("count", span_of(lot.lot_count), "1"),
)
SECTIONS = (
    "given",
    "base",
    "wood",
    "room",
    "boards",
    "top",
    "workshop",
    "stock",
    "delivery",
    "quote",
    "as_cut",
)

# The driest and dampest air that Wood Handbook FPL-GTR-190 table 4-2 covers, within rooms that
# people live and work in.
HUMIDITY = Span("%", "relative humidity of the air", 5, 95)
TEMPERATURE = Span("degC", "temperature of the air", -1, 60)

WOOD_KEYS = (
    SpeciesKey("species", "the wood, by its name in the published tables", "a middling hardwood"),
    Choice("cut", "how the boards were sawn", '"flat-sawn"', CUTS),
)
AIR_KEYS = (
    measure("temperature", TEMPERATURE, required=True),
    measure("humidity", HUMIDITY, required=True),
)
ROOM_AIRS = {
    "driest": "the driest air the piece will live in",
    "dampest": "the dampest air the piece will live in",
    "shop": "the air it is made in",
}


@dataclass(frozen=True)
class Wood:
    """Species by its name in the published table, and how its boards were sawn."""

    species: str | None = None
    cut: str | None = None


@dataclass(frozen=True)
class Air:
    """temperature in °C, relative humidity in %."""

    temperature: float
    humidity: float


@dataclass(frozen=True)
class Room:
    """The driest and dampest air the piece will live in, and the shop's."""

    driest: Air | None = None
    dampest: Air | None = None
    shop: Air | None = None


@dataclass(frozen=True)
class Brief:
    """What a maker asks for.

    givens    quantity name -> number in that quantity's reporting unit; as read from a text each
              is a `Typed` and keeps the text. Numbers alone decide whether two briefs are equal.
    workshop  the same of the plans made once the piece is settled: tools, glue, tenons
    jigs      the jigs that are asked for, by the names in `relations/jigs.py`
    as_cut    what is cut already, as measured
    paper     of the books; empty where it is left to the unit that sizes are shown in
    count     how many pieces alike are made together
    quote     what the work costs; None where no price is asked
    """

    name: str
    kind: str = USUAL_KIND
    shop: ShopStyle = field(default_factory=ShopStyle)
    givens: Mapping[str, float] = field(default_factory=dict)
    base: BriefBase = field(default_factory=BriefBase)
    wood: Wood = Wood()
    room: Room = Room()
    boards: tuple[Board, ...] = ()
    top: Top = field(default_factory=Top)
    workshop: Mapping[str, float] = field(default_factory=dict)
    stock: tuple[Plank, ...] = ()
    as_cut: AsCut = field(default_factory=AsCut)
    paper: str = ""
    count: int = 1
    delivery: DeliveryWishes = field(default_factory=DeliveryWishes)
    quote: QuoteTerms | None = None
    jigs: tuple[str, ...] = ()

    @property
    def currency(self) -> str:
        """What is written behind a sum of money; "" where the brief does not say."""
        return "" if self.quote is None else self.quote.currency

    @property
    def options(self) -> dict[str, str]:
        """What carries the top and how its edge is finished, as the network is asked for; what is
        not said, as assumed."""
        sizes = {"sizes": INCH} if self.shop.display == "in" else {}
        edge = self.top.finished_edge
        return {**self.base.options, **sizes, **({"edge": edge.name} if edge.shaped else {})}


# --- Reading ------------------------------------------------------------------------------


def read_brief(path: str | Path) -> Brief:
    """The brief in a file. Raises BriefError, which lists all that is wrong with it."""
    return parse_brief(read_text(path), shown_path(path))


def parse_brief(text: str, where: str = "brief") -> Brief:
    """The brief in a TOML text; `where` is what messages call it.

    Raises BriefError, which lists all that is wrong with it."""
    page = BriefText(text, headings=[key.name for key in HEADINGS])
    brief = _brief(BriefSection(page, load_toml(text, where)))
    if page.problems:
        raise BriefError(where, page.problems)
    return brief


# What the unit of the sizes is often called.
UNITS = dict.fromkeys(("unit", "units"), 'write display = "in" or display = "mm"')


def _brief(top: BriefSection) -> Brief:
    known = (*(key.name for key in HEADINGS), *SECTIONS)
    headings = values(top, HEADINGS)
    stated = headings["kind"] or USUAL_KIND
    base = read_base(top.section("base"))
    quantities = known_quantities(stated, base.chosen)
    belongs = {key: f'write it below [given]: {key} = "…"' for key in quantities} | UNITS
    if not set(known) >= top.table.keys():
        known_shop = known_workshop(quantities)
        below = {key: f'write it below [workshop]: {key} = "…"' for key in known_shop}
        belongs = {**below, **belongs}
    top.only(known, belongs)
    name = headings["name"]
    boards, shop = read_boards(top.rows("boards")), top.section("workshop")
    cut = top.section("as_cut")
    givens = _givens(top, stated, base.chosen, quantities)
    _refuse_moisture_twice(cut, givens)
    return Brief(
        name=f"Untitled {stated}" if name is None else name,
        kind=stated,
        shop=ShopStyle(
            display=headings["display"] or usual_display(top.table),
            fraction=headings["fraction"] or 32,
            step_mm=STEPS[headings["step"] or "0.5 mm"],
        ),
        givens=givens,
        base=base,
        wood=_wood(top.section("wood")),
        room=_room(top.section("room")),
        boards=boards,
        top=read_top(top.section("top"), boards),
        workshop=read_workshop(shop, quantities),
        stock=read_stock(top.rows("stock")),
        as_cut=read_as_cut(cut, base.chosen),
        paper=headings["paper"] or "",
        count=int(headings["count"] or 1),
        delivery=read_delivery(top.section("delivery")),
        quote=read_quote(top.section("quote")),
        jigs=read_jigs(shop),
    )


def _refuse_moisture_twice(cut: BriefSection | None, givens: Mapping[str, float]) -> None:
    """What was measured is a fact; what is given of the same beside it can only contradict it."""
    given = [one.name for one in (SHOP.moisture, SHOP.humidity) if one.name in givens]
    if cut is not None and MOISTURE.name in cut.table and given:
        cut.wrong(
            MOISTURE.name,
            f"{cut.found(MOISTURE.name)} says what {given[0]} below [given] says too; keep what "
            "was measured",
        )


def usual_display(table: object) -> Literal["mm", "in"]:
    """What the sizes of a brief are shown in where it does not say: inches where all that it holds
    are in inches or feet."""
    units: frozenset[str] = frozenset().union(*(units_in(text, "mm") for text in _texts(table)))
    return "in" if units and units <= _INCHES else "mm"


def _texts(value: object) -> Iterator[str]:
    """Every text of a table but names."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from () if key == "name" else _texts(one)


def _givens(
    top: BriefSection, kind: str, base: bases.Base, quantities: Mapping[str, Quantity]
) -> dict[str, float]:
    section = top.section("given")
    if section is None:
        if "given" not in top.table:
            top.wrong("", f"the section [given] is missing; {_example(kind)}")
        return {}
    astray = not quantities.keys() >= section.table.keys()
    hints = _astray(kind, base, quantities) if astray else {}
    height = height_name(kind)
    for other in KINDS.values():
        if other.height != height:
            hints[other.height] = (
                f'a {kind} has {height} instead; for a {other.name} write kind = "{other.name}"'
            )
    # Likeliest first, so that "height" is taken for that of the table.
    likeliest = [name for name in base.declared(kind).wishes if name in quantities]
    section.only(tuple(dict.fromkeys((*likeliest, *quantities))), hints)
    return read_quantities(section, quantities)


def _astray(kind: str, base: bases.Base, quantities: Mapping[str, Quantity]) -> dict[str, str]:
    """Advice on names that stand below [given] and belong elsewhere."""
    sections = {
        "base": [key.name for key in BASE_KEYS],
        "wood": [key.name for key in WOOD_KEYS],
        "top": [key.name for key in TOP_KEYS],
        "workshop": known_workshop(quantities),
    }
    own = {
        key: f"it belongs below [{section}]: {key} = …"
        for section, keys in sections.items()
        for key in keys
    }
    ways = " or ".join(f'way_up = "{way}"' for way in CROSSED_CHOICES["way_up"])
    own["notches"] = f"write which way they face below [base]: {ways}"
    return {**elsewhere({}), **own, **other_names(kind, base)}


def _example(kind: str) -> str:
    line = f'{height_name(kind)} = "{"450 mm" if is_seat(kind) else "735 mm"}"'
    return f"write [given] and below it what is known, such as {line}"


def _wood(section: BriefSection | None) -> Wood:
    if section is None:
        return Wood()
    return Wood(**read(section, WOOD_KEYS))


def _room(section: BriefSection | None) -> Room:
    if section is None:
        return Room()
    section.only(tuple(ROOM_AIRS))
    driest, dampest, shop = (_air(section.section(key)) for key in ROOM_AIRS)
    # At a given humidity warm air leaves wood drier, so this order is wrong whatever the wood.
    swapped = (
        driest
        and dampest
        and driest.humidity > dampest.humidity
        and driest.temperature <= dampest.temperature
    )
    if swapped:
        section.wrong(
            "driest", "driest has damper air than dampest; are the two the wrong way round?"
        )
    return Room(driest, dampest, shop)


def _air(section: BriefSection | None) -> Air | None:
    if section is None:
        return None
    air = read(section, AIR_KEYS)
    return None if None in air.values() else Air(**air)


# -- every key, section by section -----------------------------------------------------------------

# Of those sections whose keys do not depend on the piece; '' is the head of the file.
FIXED: dict[str, tuple[Key, ...]] = {
    "": HEADINGS,
    "[base]": BASE_KEYS,
    "[wood]": WOOD_KEYS,
    "[[boards]]": BOARD_KEYS,
    "[top]": TOP_KEYS,
    "[[stock]]": STOCK_KEYS,
    "[delivery]": DELIVERY_KEYS,
    "[quote]": QUOTE_KEYS,
    "[as_cut]": AS_CUT_KEYS,
}
# Below [room]: each of the airs is a section by itself.
AIRS, AIR = ROOM_AIRS, AIR_KEYS


def workshop(main: Mapping[str, Quantity]) -> tuple[Key, ...]:
    """The keys of [workshop] beside the quantities of a piece, `main`."""
    return (*(measure(name, span_of(q)) for name, q in known_workshop(main).items()), JIGS)
