"""The [[boards]], the [top] and the [[stock]] of a brief: what lies in the rack, what is made of
it, and the planks that posts or legs may be sawn from.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tablekit.brief.section import (
    BriefSection,
    Choice,
    Key,
    Measure,
    Names,
    Price,
    Span,
    TextKey,
    measure,
    read,
    read_rows,
    typed_in,
    values,
)
from tablekit.brief.text import as_written
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.board_layout import Zone
from tablekit.planning.stock_cutting import Plank
from tablekit.relations import edges
from tablekit.species import every_movement, every_species, find_movement, find_species, nearest

CUTS = ("flat-sawn", "quarter-sawn")
RIPS = ("as wide as each goes", "all alike")
LEAST = ("area", "price")
EDGE_WORDS = tuple(edges.EDGES)
PRICE = Span("1", "price of one board", 0, 1e6)
MOST_BOARDS = 100  # kinds of board in one rack
MOST_NAMED = 200  # boards that one line may name
MOST_ZONES = 20  # to be avoided on one board
HEART_UP = "heart side up"
FACES = (HEART_UP, "bark side up")
PLACE = Span("mm", "distance from the first end of a board", 0, 10000)


@dataclass(frozen=True)
class SpeciesKey(Key):
    """A wood by its name in the published tables."""

    @property
    def takes(self) -> str:
        return 'a name such as "White oak"'

    def read(self, section: BriefSection) -> str | None:
        return _species(section, self.name)


@dataclass(frozen=True)
class ZonesKey(Key):
    """Lengths of a board that may not be used."""

    @property
    def takes(self) -> str:
        return 'a list: [{ from = "300 mm", to = "380 mm" }]'

    def read(self, section: BriefSection) -> tuple[Zone, ...]:
        if section.table.get(self.name) == []:
            return ()
        rows = section.rows(self.name)
        if len(rows) > MOST_ZONES:
            section.wrong(
                self.name, f"{self.name} has {len(rows)} zones; {MOST_ZONES} are the most"
            )
            return ()
        found = [_zone(row) for row in rows]
        return tuple(zone for zone in found if zone is not None)


BOARD_KEYS = (
    TextKey("name", "what you call it", "board 1, board 2, …"),
    measure("width", Span("mm", "width of a board", 10, 1500), required=True),
    measure(
        "end_width",
        Span("mm", "width of a tapered board at its second end", 10, 1500),
        "as wide as at the first",
    ),
    measure("length", Span("mm", "length of a board", 50, 10000), required=True),
    ZonesKey(
        "avoid",
        "knots, checks and wane, as from where to where along the board, from its first end",
        "none",
    ),
    measure("count", Span("1", "how many boards of this size", 1, 500, whole=True), "1"),
    Price("price", "price of one board"),
    measure(
        "thickness",
        Span("mm", "thickness of a board as it lies in the rack", 3, 300),
        "finished to thickness",
    ),
    Choice("cut", "how this board was sawn", "that of [wood]", CUTS),
    SpeciesKey("species", "the wood of this board", "that of [wood]"),
)
TOP_KEYS = (
    measure(
        "margin", Span("mm", "wood kept outside the finished circle, all round", 0, 200), "10 mm"
    ),
    measure("end_waste", Span("mm", "lost at each raw end of a board", 0, 1000), "15 mm"),
    measure("edge_loss", Span("mm", "lost at each long edge when jointed", 0, 100), "2 mm"),
    measure(
        "shortest_kept",
        Span("mm", "remainders of this length or more go back to the rack", 0, 10000),
        "300 mm",
    ),
    Choice("rip", "whether the strips are ripped to one width", f'"{RIPS[0]}"', RIPS),
    Names("order", "boards from left to right: these and no others", "any", MOST_NAMED),
    Names("keep", "boards that stay in the rack, one for each mention", "none", MOST_NAMED),
    Choice("symmetrical", "joints mirror one another about the centre", "false", (True, False)),
    Choice("no_centre_joint", "no joint within 20 mm of the centre", "false", (True, False)),
    measure(
        "narrowest",
        Span("mm", "no strip of the top shows less than this inside the rim", 0, 1500),
        "20 mm at the rim",
    ),
    Choice(
        "match",
        "strips of one board side by side, so that the colour runs on, and the same side up",
        "any order",
        FACES,
    ),
    Choice("least", "what is to be least of the wood used", '"area"', LEAST),
    Choice("edge", "how the edge of the top is finished", f'"{edges.SQUARE.name}"', EDGE_WORDS),
    measure(
        "edge_size",
        Span("mm", edges.edge_size.meaning, edges.edge_size.low, edges.edge_size.high),
        "eased 3 mm, a seat 6 mm; rounded 6 mm, a seat 10 mm; bevelled half the overhang",
    ),
    measure(
        "edge_height",
        Span("mm", edges.edge_height.meaning, edges.edge_height.low, edges.edge_height.high),
        "half the thickness of the top",
    ),
)
TOP_LENGTHS = tuple(key for key in TOP_KEYS if isinstance(key, Measure))


@dataclass(frozen=True)
class Board:
    """Boards in the rack: width and length in mm; price of each one.

    thickness  as they lie in the rack, rough, in mm; None where they are finished to thickness
    cut, species  of these boards, where they differ from those of [wood]
    end_width  at the second end, mm; None where it does not taper
    avoid      what may not be used, from the first end
    """

    name: str
    width: float
    length: float
    count: int = 1
    price: float | None = None
    thickness: float | None = None
    cut: str | None = None
    species: str | None = None
    end_width: float | None = None
    avoid: tuple[Zone, ...] = ()


@dataclass(frozen=True)
class Top:
    """How the top is got out of boards, lengths in mm; None where the brief does not say.

    order            names of boards from left to right: these and no others
    keep             names of boards that stay in the rack, one for each mention
    symmetrical      joints mirror one another about the centre
    no_centre_joint  no joint through the centre
    narrowest        no strip shows less than this inside the rim
    least            what is to be least: "area" or "price" of the wood used
    shortest_kept    remainders of this length or more go back to the rack
    match            which side of the boards is up, strips of one board side by side
    edge             of the finished top, by its word; edge_size in from the rim or its radius,
                     edge_height of a bevel up the rim
    """

    margin: float | None = None
    end_waste: float | None = None
    edge_loss: float | None = None
    rip: str | None = None
    order: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    symmetrical: bool = False
    no_centre_joint: bool = False
    narrowest: float | None = None
    least: str | None = None
    shortest_kept: float | None = None
    match: str | None = None
    edge: str | None = None
    edge_size: float | None = None
    edge_height: float | None = None

    @property
    def finished_edge(self) -> edges.Edge:
        """How the edge is finished: square where that is not said."""
        return edges.SQUARE if self.edge is None else edges.EDGES[self.edge]


# --- Reading ------------------------------------------------------------------------------


def _species(section: BriefSection, key: str) -> str | None:
    """The wood of that key, by its name in the published tables."""
    text = section.text(key)
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
    section.wrong(key, f"{section.found(key)} is not in the published table; {advice}")
    return None


def read_boards(rows: Sequence[BriefSection]) -> tuple[Board, ...]:
    """Every [[boards]] of a brief."""
    return read_rows(rows, BOARD_KEYS, "board", MOST_BOARDS, _board)


def _board(row: BriefSection, said: dict[str, Any]) -> Board | None:
    count = said["count"] if "count" in row.table else 1
    if None in (said["width"], said["length"], count):
        return None
    for zone in said["avoid"]:
        if zone.end > said["length"]:
            row.wrong("avoid", f"avoid ends at {zone.end:g} mm, beyond the end of the board")
    return Board(**{**said, "count": int(count)})


def _zone(row: BriefSection) -> Zone | None:
    row.only(("from", "to"))
    start, end = (row.measure(key, PLACE, required=True) for key in ("from", "to"))
    if start is None or end is None:
        return None
    if end <= start:
        row.wrong("to", f"{row.found('to')} is not beyond {row.found('from')}")
        return None
    return Zone(start, end)


def read_top(section: BriefSection | None, boards: Sequence[Board]) -> Top:
    """The section [top]; what it asks of boards that are not in the rack is a fault."""
    if section is None:
        return Top()
    said = read(section, TOP_KEYS)
    for key in ("order", "keep"):
        _check_named(section, key, said[key], boards)
    if section.table.get("order") == []:
        section.wrong("order", "order = [] names no board; leave it out, or name the boards")
    if said["least"] == "price":
        _check_prices(section, boards)
    _check_edge(section, said["edge"])
    for key in ("symmetrical", "no_centre_joint"):
        said[key] = bool(said[key])
    return Top(**said)


def typed_board(texts: Mapping[str, str], number: int) -> Board:
    """The board that one line of a form says; an empty count is one, an empty price none. Zones to
    avoid are typed in a row, "300 mm to 380 mm, 1 m to 1.1 m".

    Raises DesignError with all that is wrong."""
    keys = [key for key in BOARD_KEYS if key.name in texts and key.name != "price"]
    filled: dict[str, Any] = _filled(texts)
    if "avoid" in filled:
        filled["avoid"] = [_typed_zone(one) for one in filled["avoid"].split(",")]
    with typed_in(filled, "boards", number - 1) as section:
        found = values(section, keys)
        price = section.measure("price", PRICE)  # a text here, a number in a brief
    found["name"] = found["name"] or f"board {number}"
    found["count"] = int(found["count"] or 1)
    return Board(**found, price=None if price is None else float(price))


def _typed_zone(text: str) -> dict[str, str]:
    """Where a zone that is typed begins and ends. Raises DesignError where it does not say both."""
    start, between, end = text.partition(" to ")
    if not between:
        raise DesignError(f'avoid "{text.strip()}": write from where to where, "300 mm to 380 mm"')
    return {"from": start.strip(), "to": end.strip()}


def zones_text(zones: Sequence[Zone], style: ShopStyle) -> str:
    """Zones as they are typed into a form."""

    def place(number: float) -> str:
        return getattr(number, "text", "") or shop_text(number, "mm", style)

    return ", ".join(f"{place(one.start)} to {place(one.end)}" for one in zones)


def typed_top(texts: Mapping[str, str], top: Top) -> Top:
    """`top` with the lengths as typed; those left empty are assumed, those that the form has no
    field for stay as they are.

    Raises DesignError with all that is wrong."""
    with typed_in(_filled(texts), "top") as section:
        lengths = values(section, [key for key in TOP_LENGTHS if key.name in texts])
    return replace(top, **lengths)


def _filled(texts: Mapping[str, str]) -> dict[str, str]:
    return {key: text.strip() for key, text in texts.items() if text.strip()}


def _check_named(
    section: BriefSection, key: str, names: Sequence[str], boards: Sequence[Board]
) -> None:
    counts = {board.name: board.count for board in boards}
    for name, asked in Counter(names).items():
        if name not in counts:
            there = (
                ", ".join(as_written(one)[1:-1] for one in counts)
                or "none: write a [[boards]] section for each kind"
            )
            section.wrong(
                key, f"{key} names {as_written(name)}, which is not in the rack; there are {there}"
            )
        elif key == "keep" and asked > counts[name]:
            section.wrong(
                key,
                f"{key} names {as_written(name)} {asked} times, but the rack has {counts[name]}; "
                f"name it less often, or write count = {asked} below that board",
            )


def _check_prices(section: BriefSection, boards: Sequence[Board]) -> None:
    without = [as_written(board.name) for board in boards if board.price is None]
    if without:
        section.wrong(
            "least",
            f'least = "price" needs a price for every board; {", ".join(without)} '
            f"{'has' if len(without) == 1 else 'have'} none. Write price = 0 for what is free",
        )


def _check_edge(section: BriefSection, word: str | None) -> None:
    """A size of an edge that has none is a fault; which edge is meant is not known where its word
    is wrong."""
    if word is None and "edge" in section.table:
        return
    edge = edges.SQUARE if word is None else edges.EDGES[word]
    for key, shapes in (
        ("edge_size", [one.name for one in edges.EDGES.values() if one.shaped]),
        ("edge_height", [one.name for one in edges.EDGES.values() if one.bevelled]),
    ):
        if key in section.table and edge.name not in shapes:
            words = " or ".join(f'edge = "{one}"' for one in shapes)
            section.wrong(
                key, f"{section.found(key)} goes with {words}; write that, or leave it out"
            )


# --- Writing ------------------------------------------------------------------------------


def board_values(board: Board) -> dict[str, object]:
    """A board as a brief writes it: text, number with unit "mm" as (number, "mm"), or None."""
    return {
        "name": board.name,
        "width": (board.width, "mm"),
        "end_width": None if board.end_width is None else (board.end_width, "mm"),
        "length": (board.length, "mm"),
        "avoid": board.avoid or None,
        "thickness": None if board.thickness is None else (board.thickness, "mm"),
        "count": board.count,
        "price": None if board.price is None else float(board.price),
        "cut": board.cut,
        "species": board.species,
    }


def top_values(top: Top) -> Mapping[str, object]:
    """The section [top] in the same way; what is not said is None."""
    lengths = {key.name: getattr(top, key.name) for key in TOP_LENGTHS}
    return {
        **{key: None if n is None else (n, "mm") for key, n in lengths.items()},
        "rip": top.rip,
        "order": top.order or None,
        "keep": top.keep or None,
        "symmetrical": top.symmetrical or None,
        "no_centre_joint": top.no_centre_joint or None,
        "match": top.match,
        "least": top.least,
        "edge": top.edge,
    }


# -- the stock -------------------------------------------------------------------------------------

MOST_STOCK = 50
STOCK_KEYS = (
    TextKey("name", "what you call it", "plank 1, plank 2, …"),
    measure("length", Span("mm", "length of a plank", 100, 20000), required=True),
    measure("width", Span("mm", "width of a plank", 10, 1500), required=True),
    measure(
        "count",
        Span("1", "how many planks of this size", 1, 500, whole=True),
        "as many as are needed",
    ),
    Price("price", "price of one plank"),
)


def read_stock(rows: Sequence[BriefSection]) -> tuple[Plank, ...]:
    """Every [[stock]] of a brief."""
    return read_rows(rows, STOCK_KEYS, "plank", MOST_STOCK, _plank)


def _plank(row: BriefSection, said: dict[str, Any]) -> Plank | None:
    if None in (said["length"], said["width"]):
        return None
    return Plank(**{**said, "count": None if said["count"] is None else int(said["count"])})


def stock_values(plank: Plank) -> dict[str, object]:
    """A plank as a brief writes it: text, number with unit "mm" as (number, "mm"), or None."""
    return {
        "name": plank.name,
        "length": (plank.length, "mm"),
        "width": (plank.width, "mm"),
        "count": plank.count,
        "price": None if plank.price is None else float(plank.price),
    }
