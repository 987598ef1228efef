"""The brief: what a maker asks for, read from TOML and checked before anything is worked out.

The form of a brief is told in the README and shown in `notebooks/briefs`. Every section but
`[given]` may be left out; what is left out stays None here, and whoever needs it assumes something
and says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tablekit.brief_base import Base, base_values, known_quantities, other_names, read_base
from tablekit.brief_boards import (
    CUTS,
    Board,
    Top,
    board_values,
    read_boards,
    read_species,
    read_top,
    top_values,
)
from tablekit.brief_section import Page, Section, Span, Typed
from tablekit.brief_stock import Stock, read_stock, stock_values
from tablekit.brief_text import BriefError, Problem, load_toml, read_text, shown_path
from tablekit.brief_workshop import elsewhere, known_workshop, read_workshop, span_of
from tablekit.engine.quantity import Quantity
from tablekit.engine.units import ShopStyle

__all__ = [
    "Air",
    "Base",
    "Board",
    "Brief",
    "BriefError",
    "Problem",
    "Room",
    "Stock",
    "Top",
    "Typed",
    "Wood",
    "known_quantities",
    "parse_brief",
    "read_brief",
    "write_brief",
]

KINDS = ("table", "stool")
FRACTIONS = (16, 32, 64, 8, 4, 2)
STEPS = {"0.5 mm": 0.5, "1 mm": 1.0}

# The driest and dampest air that Wood Handbook FPL-GTR-190 table 4-2 covers, within rooms that
# people live and work in.
HUMIDITY = Span("%", "relative humidity of the air", 5, 95)
TEMPERATURE = Span("degC", "temperature of the air", -1, 60)


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
    """

    name: str
    kind: str = "table"
    shop: ShopStyle = field(default_factory=ShopStyle)
    givens: Mapping[str, float] = field(default_factory=dict)
    base: Base = field(default_factory=Base)
    wood: Wood = Wood()
    room: Room = Room()
    boards: tuple[Board, ...] = ()
    top: Top = field(default_factory=Top)
    workshop: Mapping[str, float] = field(default_factory=dict)
    stock: tuple[Stock, ...] = ()

    @property
    def options(self) -> dict[str, str]:
        """What carries the top, as the network is asked for; what is not said, as assumed."""
        return self.base.options


# --- Reading ------------------------------------------------------------------------------


def read_brief(path: str | Path) -> Brief:
    """The brief in a file. Raises BriefError, which lists all that is wrong with it."""
    return parse_brief(read_text(path), shown_path(path))


def parse_brief(text: str, where: str = "brief") -> Brief:
    """The brief in a TOML text; `where` is what messages call it.

    Raises BriefError, which lists all that is wrong with it."""
    page = Page(text)
    brief = _brief(Section(page, load_toml(text, where)))
    if page.problems:
        raise BriefError(where, page.problems)
    return brief


def _brief(top: Section) -> Brief:
    sections = ("given", "base", "wood", "room", "boards", "top", "workshop", "stock")
    headings = ("name", "kind", "display", "fraction", "step")
    kind = top.choice("kind", KINDS)
    stated = kind or KINDS[0]
    base = read_base(top.section("base"))
    quantities = known_quantities(stated, base.crossing, base.style)
    belongs = {key: f'write it below [given]: {key} = "…"' for key in quantities}
    if not {*headings, *sections} >= top.table.keys():
        shop = known_workshop(quantities)
        belongs = {**{key: f'write it below [workshop]: {key} = "…"' for key in shop}, **belongs}
    top.only((*headings, *sections), belongs)
    name = top.text("name")
    boards = read_boards(top.rows("boards"))
    return Brief(
        name=f"Untitled {stated}" if name is None else name,
        kind=stated,
        shop=_shop(top),
        givens=_givens(top, stated, base, quantities),
        base=base,
        wood=_wood(top.section("wood")),
        room=_room(top.section("room")),
        boards=boards,
        top=read_top(top.section("top"), boards),
        workshop=read_workshop(top.section("workshop"), quantities),
        stock=read_stock(top.rows("stock")),
    )


def _shop(top: Section) -> ShopStyle:
    return ShopStyle(
        display=top.choice("display", ("mm", "in")) or "mm",
        fraction=top.choice("fraction", FRACTIONS) or 32,
        step_mm=STEPS[top.choice("step", tuple(STEPS)) or "0.5 mm"],
    )


def _givens(
    top: Section, kind: str, base: Base, quantities: Mapping[str, Quantity]
) -> dict[str, float]:
    # Imported here: relations bring in sympy, and a brief that is not TOML needs none of it.
    from tablekit.relations.families import wishes

    section = top.section("given")
    if section is None:
        if "given" not in top.table:
            top.wrong("", f"the section [given] is missing; {_example(kind)}")
        return {}
    height, other = ("table_height", "seat_height")[:: 1 if kind == "table" else -1]
    wrong_kind = "stool" if kind == "table" else "table"
    astray = not quantities.keys() >= section.table.keys()
    hints = _astray(kind, base, quantities) if astray else {}
    hints[other] = f'a {kind} has {height} instead; for a {wrong_kind} write kind = "{wrong_kind}"'
    # Likeliest first, so that "height" is taken for that of the table.
    likeliest = [name for name in wishes(kind) if name in quantities]
    section.only(tuple(dict.fromkeys((*likeliest, *quantities))), hints)
    givens: dict[str, float] = {}
    for key in section.table:
        if key in quantities:
            number = section.measure(key, span_of(quantities[key]))
            if number is not None:
                givens[key] = number
    return givens


def _astray(kind: str, base: Base, quantities: Mapping[str, Quantity]) -> dict[str, str]:
    """Advice on names that stand below [given] and belong elsewhere."""
    shop = {key: f"it belongs below [workshop]: {key} = …" for key in known_workshop(quantities)}
    return {**elsewhere({}), **shop, **other_names(kind, base)}


def _example(kind: str) -> str:
    line = 'table_height = "735 mm"' if kind == "table" else 'seat_height = "450 mm"'
    return f"write [given] and below it what is known, such as {line}"


def _wood(section: Section | None) -> Wood:
    if section is None:
        return Wood()
    section.only(("species", "cut"))
    return Wood(read_species(section), section.choice("cut", CUTS))


def _room(section: Section | None) -> Room:
    if section is None:
        return Room()
    section.only(("driest", "dampest", "shop"))
    driest, dampest, shop = (_air(section.section(k)) for k in ("driest", "dampest", "shop"))
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


def _air(section: Section | None) -> Air | None:
    if section is None:
        return None
    section.only(("temperature", "humidity"))
    temperature = section.measure("temperature", TEMPERATURE, required=True)
    humidity = section.measure("humidity", HUMIDITY, required=True)
    return None if temperature is None or humidity is None else Air(temperature, humidity)


# --- Writing ------------------------------------------------------------------------------


def write_brief(brief: Brief) -> str:
    """The brief as TOML, in the maker's own words where it has them; reads back equal.

    Raises BriefError when it would not read back: a panel must not save what the kit refuses."""
    lines = [f"name = {_quoted(brief.name)}", f"kind = {_quoted(brief.kind)}"]
    lines += [f"display = {_quoted(brief.shop.display)}"]
    if brief.shop.fraction != 32:
        lines += [f"fraction = {brief.shop.fraction}"]
    if brief.shop.step_mm != 0.5:
        lines += [f'step = "{brief.shop.step_mm:g} mm"']
    known = known_quantities(brief.kind, brief.base.crossing, brief.base.style)
    units = {name: quantity.unit for name, quantity in known.items()}
    given = {key: _measure(n, units.get(key, "1")) for key, n in brief.givens.items()}
    lines += ["", "[given]", *(f"{key} = {text}" for key, text in given.items())]
    lines += _lines("base", base_values(brief.base))
    lines += _table("wood", {"species": brief.wood.species, "cut": brief.wood.cut})
    lines += _room_lines(brief.room)
    for board in brief.boards:
        lines += ["", "[[boards]]", *_said(board_values(board))]
    top = _said(top_values(brief.top))
    lines += ["", "[top]", *top] if top else []
    for plank in brief.stock:
        lines += ["", "[[stock]]", *_said(stock_values(plank))]
    lines += _workshop_lines(brief, known)
    text = "\n".join(lines) + "\n"
    parse_brief(text, "the brief to be saved")
    return text


def _table(title: str, texts: Mapping[str, str | None]) -> list[str]:
    return _lines(title, {k: None if t is None else _quoted(t) for k, t in texts.items()})


def _lines(title: str, values: Mapping[str, str | None]) -> list[str]:
    said = [f"{key} = {value}" for key, value in values.items() if value is not None]
    return ["", f"[{title}]", *said] if said else []


def _said(values: Mapping[str, object]) -> list[str]:
    """Keys with their values as TOML, those that are None left out."""
    return [f"{key} = {_toml(value)}" for key, value in values.items() if value is not None]


def _toml(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return _quoted(value)
        case (float() | int() as number, "mm"):
            return _measure(number, "mm")
        case tuple():
            return f"[{', '.join(_quoted(str(one)) for one in value)}]"
    return repr(value)


def _workshop_lines(brief: Brief, main: Mapping[str, Quantity]) -> list[str]:
    if not brief.workshop:
        return []
    units = {name: quantity.unit for name, quantity in known_workshop(main).items()}
    given = {key: _measure(n, units.get(key, "1")) for key, n in brief.workshop.items()}
    return _lines("workshop", given)


def _room_lines(room: Room) -> list[str]:
    airs = {"driest": room.driest, "dampest": room.dampest, "shop": room.shop}
    return _lines(
        "room", {key: None if air is None else _air_text(air) for key, air in airs.items()}
    )


def _air_text(air: Air) -> str:
    temperature, humidity = _measure(air.temperature, "degC"), _measure(air.humidity, "%")
    return f"{{ temperature = {temperature}, humidity = {humidity} }}"


def _measure(number: float, unit: str) -> str:
    if text := getattr(number, "text", ""):
        return _quoted(text)
    if unit == "1":
        return f"{int(number)}" if float(number).is_integer() else f"{float(number)!r}"
    return _quoted(f"{float(number)!r} {unit}")


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
