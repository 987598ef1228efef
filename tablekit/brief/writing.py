"""Writing a brief as TOML, in the maker's own words where it has them."""

from __future__ import annotations

from collections.abc import Mapping

from tablekit.brief.as_cut import (
    CENTRE,
    LEG_STEMS,
    MOISTURE,
    STRIPS,
    AsCut,
    as_cut_values,
    unit_of,
)
from tablekit.brief.base import base_values, known_quantities
from tablekit.brief.boards import Board, board_values, stock_values, top_values
from tablekit.brief.reading import Air, Brief, Room, parse_brief
from tablekit.brief.workshop import delivery_values, known_workshop, quote_values
from tablekit.engine.quantity import Quantity
from tablekit.planning.board_layout import Zone
from tablekit.relations.jigs import EVERY


def write_brief(brief: Brief) -> str:
    """The brief as TOML, in the maker's own words where it has them; reads back equal.

    Raises BriefError when it would not read back: a panel must not save what the kit refuses."""
    lines = [f"name = {_quoted(brief.name)}", f"kind = {_quoted(brief.kind)}"]
    lines += [f"display = {_quoted(brief.shop.display)}"]
    if brief.shop.fraction != 32:
        lines += [f"fraction = {brief.shop.fraction}"]
    if brief.shop.step_mm != 0.5:
        lines += [f'step = "{brief.shop.step_mm:g} mm"']
    if brief.paper:
        lines += [f"paper = {_quoted(brief.paper)}"]
    if brief.count != 1:
        lines += [f"count = {brief.count}"]
    known = known_quantities(brief.kind, brief.base.chosen)
    units = {name: quantity.unit for name, quantity in known.items()}
    given = {key: _measure(n, units.get(key, "1")) for key, n in brief.givens.items()}
    lines += ["", "[given]", *(f"{key} = {text}" for key, text in given.items())]
    lines += _lines("base", base_values(brief.base))
    lines += _table("wood", {"species": brief.wood.species, "cut": brief.wood.cut})
    lines += _room_lines(brief.room)
    for board in brief.boards:
        lines += ["", *board_lines(board)]
    top = _said(top_values(brief.top))
    lines += ["", "[top]", *top] if top else []
    for plank in brief.stock:
        lines += ["", "[[stock]]", *_said(stock_values(plank))]
    lines += _workshop_lines(brief, known)
    carried = _said(delivery_values(brief.delivery))
    lines += ["", "[delivery]", *carried] if carried else []
    asked = _said(quote_values(brief.quote))
    lines += ["", "[quote]", *asked] if asked else []
    lines += _as_cut_lines(brief.as_cut)
    text = "\n".join(lines) + "\n"
    parse_brief(text, "the brief to be saved")
    return text


def board_lines(board: Board) -> list[str]:
    """A board as a brief says it."""
    return ["[[boards]]", *_said(board_values(board))]


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
        case (Zone(), *_):
            return f"[{', '.join(_zone_text(one) for one in value if isinstance(one, Zone))}]"
        case tuple():
            return f"[{', '.join(_quoted(str(one)) for one in value)}]"
    return repr(value)


def _zone_text(zone: Zone) -> str:
    return f"{{ from = {_measure(zone.start, 'mm')}, to = {_measure(zone.end, 'mm')} }}"


def _workshop_lines(brief: Brief, main: Mapping[str, Quantity]) -> list[str]:
    units = {name: quantity.unit for name, quantity in known_workshop(main).items()}
    given = {key: _measure(n, units.get(key, "1")) for key, n in brief.workshop.items()}
    jigs = {} if not brief.jigs else {"jigs": _toml(brief.jigs if brief.jigs != EVERY else True)}
    return _lines("workshop", {**given, **jigs})


def _as_cut_lines(made: AsCut) -> list[str]:
    said = {key: _cut_text(said) for key, said in as_cut_values(made).items()}
    return _lines("as_cut", {**said, **panel_said(made)})


def panel_said(made: AsCut) -> dict[str, str]:
    """What [as_cut] says of the glued panel and of the moisture, as TOML, by its keys; empty where
    neither was measured."""
    found = {}
    if made.boards:
        found[STRIPS.name] = f"[{', '.join(_measure(one, 'mm') for one in made.boards)}]"
    if made.centre is not None:
        found[CENTRE.name] = _measure(made.centre, "mm")
    return {**found, **moisture_said(made)}


def moisture_said(made: AsCut) -> dict[str, str]:
    """What [as_cut] says of the moisture, likewise."""
    return {} if made.moisture is None else {MOISTURE.name: _measure(made.moisture, "%")}


def _cut_text(said: Mapping[str, float] | float) -> str:
    if not isinstance(said, Mapping):
        return _measure(said, "mm")
    sizes = ", ".join(
        f"{key} = {_measure(size, unit_of(LEG_STEMS.get(key, key)))}" for key, size in said.items()
    )
    return f"{{ {sizes} }}"


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
