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
from tablekit.brief_section import Page, Section, Span, Typed
from tablekit.brief_text import BriefError, Problem, as_written, load_toml, read_text, shown_path
from tablekit.engine.quantity import Quantity
from tablekit.engine.units import ShopStyle
from tablekit.species import every_species, find_species, nearest
from tablekit.wood_movement import every_movement, find_movement

__all__ = [
    "Air",
    "Base",
    "Board",
    "Brief",
    "BriefError",
    "Problem",
    "Room",
    "Top",
    "Typed",
    "Wood",
    "known_quantities",
    "parse_brief",
    "read_brief",
    "write_brief",
]

KINDS = ("table", "stool")
CUTS = ("flat-sawn", "quarter-sawn")
RIPS = ("as wide as each goes", "all alike")
FRACTIONS = (16, 32, 64, 8, 4, 2)
STEPS = {"0.5 mm": 0.5, "1 mm": 1.0}
MOST_BOARDS = 100  # kinds of board in one rack

# The driest and dampest air that Wood Handbook FPL-GTR-190 table 4-2 covers, within rooms that
# people live and work in.
HUMIDITY = Span("%", "relative humidity of the air", 5, 95)
TEMPERATURE = Span("degC", "temperature of the air", -1, 60)
BOARD_WIDTH = Span("mm", "width of a board", 10, 1500)
BOARD_LENGTH = Span("mm", "length of a board", 50, 10000)
BOARD_COUNT = Span("1", "how many boards of this size", 1, 500, whole=True)
TOP_SPANS = {
    "margin": Span("mm", "wood kept outside the finished circle, all round", 0, 200),
    "end_waste": Span("mm", "lost at each end of a board", 0, 1000),
    "edge_loss": Span("mm", "lost at each long edge when jointed", 0, 100),
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
class Board:
    """Boards in the rack, finished to thickness: width and length in mm; price of each one."""

    name: str
    width: float
    length: float
    count: int = 1
    price: float | None = None


@dataclass(frozen=True)
class Top:
    """How the top is got out of boards, lengths in mm; None where the brief does not say."""

    margin: float | None = None
    end_waste: float | None = None
    edge_loss: float | None = None
    rip: str | None = None


@dataclass(frozen=True)
class Brief:
    """What a maker asks for.

    givens  quantity name -> number in that quantity's reporting unit; as read from a text each is
            a `Typed` and keeps the text. Numbers alone decide whether two briefs are equal.
    """

    name: str
    kind: str = "table"
    shop: ShopStyle = field(default_factory=ShopStyle)
    givens: Mapping[str, float] = field(default_factory=dict)
    base: Base = field(default_factory=Base)
    wood: Wood = Wood()
    room: Room = Room()
    boards: tuple[Board, ...] = ()
    top: Top = Top()

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
    sections = ("given", "base", "wood", "room", "boards", "top")
    headings = ("name", "kind", "display", "fraction", "step")
    kind = top.choice("kind", KINDS)
    stated = kind or KINDS[0]
    base = read_base(top.section("base"))
    quantities = known_quantities(stated, base.crossing, base.style)
    belongs = {key: f'write it below [given]: {key} = "…"' for key in quantities}
    top.only((*headings, *sections), belongs)
    name = top.text("name")
    return Brief(
        name=f"Untitled {stated}" if name is None else name,
        kind=stated,
        shop=_shop(top),
        givens=_givens(top, stated, base, quantities),
        base=base,
        wood=_wood(top.section("wood")),
        room=_room(top.section("room")),
        boards=_boards(top.rows("boards")),
        top=_top(top.section("top")),
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
    section = top.section("given")
    if section is None:
        if "given" not in top.table:
            top.wrong("", f"the section [given] is missing; {_example(kind)}")
        return {}
    height, other = ("table_height", "seat_height")[:: 1 if kind == "table" else -1]
    wrong_kind = "stool" if kind == "table" else "table"
    astray = not quantities.keys() >= section.table.keys()
    hints = dict(other_names(kind, base)) if astray else {}
    hints[other] = f'a {kind} has {height} instead; for a {wrong_kind} write kind = "{wrong_kind}"'
    section.only(tuple(quantities), hints)
    givens: dict[str, float] = {}
    for key in section.table:
        if key in quantities:
            q = quantities[key]
            number = section.measure(key, Span(q.unit, q.meaning, q.low, q.high, q.whole))
            if number is not None:
                givens[key] = number
    return givens


def _example(kind: str) -> str:
    line = 'table_height = "735 mm"' if kind == "table" else 'seat_height = "450 mm"'
    return f"write [given] and below it what is known, such as {line}"


def _wood(section: Section | None) -> Wood:
    if section is None:
        return Wood()
    section.only(("species", "cut"))
    return Wood(_species(section), section.choice("cut", CUTS))


def _species(section: Section) -> str | None:
    text = section.text("species")
    if text is None:
        return None
    wood = find_species(text) or find_movement(text)
    if wood is not None:
        return wood.name
    known = dict.fromkeys([*every_species(), *every_movement()])
    if near := nearest(text, known):
        advice = f"did you mean {' or '.join(near)}?"
    else:
        advice = f"known are {', '.join(known)}"
    section.wrong("species", f"{section.found('species')} is not in the published table; {advice}")
    return None


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


def _boards(rows: list[Section]) -> tuple[Board, ...]:
    if len(rows) > MOST_BOARDS:
        rows[MOST_BOARDS].wrong("", f"{len(rows)} kinds of board; {MOST_BOARDS} are the most")
        return ()
    boards: dict[str, Board] = {}
    for number, row in enumerate(rows, start=1):
        board = _board(row, number)
        if board is not None and board.name in boards:
            row.wrong("name", f"{as_written(board.name)} names two boards; give each its own name")
        elif board is not None:
            boards[board.name] = board
    return tuple(boards.values())


def _board(row: Section, number: int) -> Board | None:
    row.only(("name", "width", "length", "count", "price"))
    name = row.text("name") if "name" in row.table else f"board {number}"
    width = row.measure("width", BOARD_WIDTH, required=True)
    length = row.measure("length", BOARD_LENGTH, required=True)
    count = row.measure("count", BOARD_COUNT) if "count" in row.table else 1
    price = row.number("price", 0, 1e6, "price of one board")
    if name is None or width is None or length is None or count is None:
        return None
    return Board(name, width, length, int(count), price)


def _top(section: Section | None) -> Top:
    if section is None:
        return Top()
    section.only((*TOP_SPANS, "rip"))
    lengths = {key: section.measure(key, span) for key, span in TOP_SPANS.items()}
    return Top(**lengths, rip=section.choice("rip", RIPS))


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
        lines += ["", "[[boards]]", f"name = {_quoted(board.name)}"]
        lines += [f"width = {_measure(board.width, 'mm')}"]
        lines += [f"length = {_measure(board.length, 'mm')}", f"count = {board.count}"]
        lines += [f"price = {float(board.price)!r}"] if board.price is not None else []
    top = {key: getattr(brief.top, key) for key in TOP_SPANS}
    written = {key: None if n is None else _measure(n, "mm") for key, n in top.items()}
    rip = None if brief.top.rip is None else _quoted(brief.top.rip)
    lines += _lines("top", {**written, "rip": rip})
    text = "\n".join(lines) + "\n"
    parse_brief(text, "the brief to be saved")
    return text


def _table(title: str, texts: Mapping[str, str | None]) -> list[str]:
    return _lines(title, {k: None if t is None else _quoted(t) for k, t in texts.items()})


def _lines(title: str, values: Mapping[str, str | None]) -> list[str]:
    said = [f"{key} = {value}" for key, value in values.items() if value is not None]
    return ["", f"[{title}]", *said] if said else []


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
