"""One screw of the top at a time: where it lies, how far it travels and what room it needs.

Solved once for each of the three, with the other values taken from the sheet of the piece.
`reference/derivations/fixing.md` has the worked examples.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations.fixing import DERIVATION, plate_factor, screw_radius, screw_shank
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT, SHOP
from tablekit.relations.movement import lengthwise_movement, season_rate, shop_rate

fastener_bearing = Quantity(
    "fastener_bearing", "α", "deg",
    "in plan, angle from the grain to the screw, anticlockwise seen from above",
    -360, 360, latex=r"\alpha",
)  # fmt: skip
fastener_along = Quantity(
    "fastener_along", "x", "mm", "centre mark to the screw, along the grain", -4000, 4000
)
fastener_across = Quantity(
    "fastener_across", "y", "mm", "centre mark to the screw, across the grain", -4000, 4000
)
held_along = Quantity(
    "held_along", "x_0", "mm", "centre mark to the point where the top is held, along the grain",
    -4000, 4000, latex="x_0",
)  # fmt: skip
held_across = Quantity(
    "held_across", "y_0", "mm", "centre mark to the point where the top is held, across the grain",
    -4000, 4000, latex="y_0",
)  # fmt: skip
fastener_travel = Quantity(
    "fastener_travel", "u", "mm", "seasonal travel of the screw across the grain",
    0, 200,
)  # fmt: skip
fastener_creep = Quantity(
    "fastener_creep", "v", "mm", "seasonal travel of the screw along the grain", 0, 20
)
play_across = Quantity(
    "play_across", "j", "mm", "room needed across the grain beyond the screw's shank", 0, 400
)
room_across = Quantity(
    "room_across", "l", "mm",
    "room needed across the grain by a screw set in its middle in the shop",
    1, 400, least=True,
)  # fmt: skip
room_along = Quantity(
    "room_along",
    "b",
    "mm",
    "room needed along the grain by the same screw",
    1,
    60,
    least=True,
)
near_end = Quantity(
    "near_end", "A", "mm", "first end of the grain line, at the rim, to the screw",
    0, 7000,
)  # fmt: skip
far_end = Quantity(
    "far_end", "B", "mm", "other end of the grain line, at the rim, to the screw",
    0, 7000,
)  # fmt: skip
QUANTITIES = (
    screw_radius, fastener_bearing, fastener_along, fastener_across, held_along, held_across,
    season_rate, shop_rate, DRIEST.moisture, DAMPEST.moisture, SHOP.moisture, lengthwise_movement,
    q.top_diameter, screw_shank, plate_factor, fastener_travel, fastener_creep, play_across,
    room_across, room_along, near_end, far_end,
)  # fmt: skip
CONSTANTS = (ONE_PERCENT,)

_dry, _wet, _made = DRIEST.moisture, DAMPEST.moisture, SHOP.moisture
_x, _y = fastener_along, fastener_across
_from_along = sp.Abs(_x - held_along)
_from_across = sp.Abs(_y - held_across)
_AIRS = {"driest_moisture": "6 %", "dampest_moisture": "12 %"}


def _distance(end: str, found: Quantity, sign: int, away: str) -> Relation:
    return Relation(
        name=f"{end} end of the grain line to a screw",
        equation=equal(
            found**2, (q.top_diameter / 2 - sign * _x) ** 2 + _y**2
        ),
        meaning="A tape hooked on the rim there finds the screw without an angle to measure.",
        why="The distance along the grain line is one leg of a right-angled triangle, the "
        "distance across it the other.",
        source=derived(DERIVATION, "marking from the rim"),
        checks=(
            Check(
                {
                    "top_diameter": "900 mm", "fastener_along": "-200 mm",
                    "fastener_across": "346.41 mm",
                },
                {found.name: away},
                derived(DERIVATION, "marking from the rim"),
            ),
        ),
    )  # fmt: skip


ALONG = Relation(
    name="position of a screw along the grain",
    equation=equal(_x, screw_radius * sp.cos(fastener_bearing)),
    meaning="Positive towards the first end of the grain line.",
    why="The screw lies on a circle about the centre mark.",
    source=derived(DERIVATION, "how to turn the base"),
    checks=(
        Check(
            {"screw_radius": "400 mm", "fastener_bearing": "120 deg"},
            {"fastener_along": "-200.0 mm"},
            derived(DERIVATION, "one head along the grain"),
        ),
    ),
)
ACROSS = Relation(
    name="position of a screw across the grain",
    equation=equal(_y, screw_radius * sp.sin(fastener_bearing)),
    meaning="Positive anticlockwise from the first end of the grain line, seen from above.",
    why="The screw lies on a circle about the centre mark.",
    source=derived(DERIVATION, "how to turn the base"),
    checks=(
        Check(
            {"screw_radius": "400 mm", "fastener_bearing": "120 deg"},
            {"fastener_across": "346.4 mm"},
            derived(DERIVATION, "one head along the grain"),
        ),
    ),
)
TRAVEL = Relation(
    name="travel of a screw across the grain",
    equation=equal(
        fastener_travel,
        _from_across * plate_factor * season_rate
        * (_wet - _dry) / ONE_PERCENT,
    ),
    meaning="It is proportional to the distance across the grain from the screw to where the top "
    "is held.",
    why="Each per cent of moisture adds the same share to the wood between the two.",
    source=derived(DERIVATION, "travel at a fastening"),
    checks=(
        Check(
            {
                "fastener_across": "346.4 mm", "held_across": "0 mm", "season_rate": "0.00274",
                "plate_factor": "1", **_AIRS,
            },
            {"fastener_travel": "5.69 mm"},
            derived(DERIVATION, "travel at a fastening"),
        ),
    ),
)  # fmt: skip
CREEP = Relation(
    name="travel of a screw along the grain",
    equation=equal(
        fastener_creep * q.top_diameter, _from_along * lengthwise_movement
    ),
    meaning="The same along the grain, where wood barely moves.",
    why="The sheet gives the movement of the whole diameter; a part of it moves in proportion.",
    source=derived(DERIVATION, "travel along the grain"),
    checks=(
        Check(
            {
                "fastener_along": "-200 mm", "held_along": "400 mm",
                "lengthwise_movement": "0.36 mm", "top_diameter": "900 mm",
            },
            {"fastener_creep": "0.24 mm"},
            derived(DERIVATION, "travel along the grain"),
        ),
    ),
)  # fmt: skip
PLAY_ACROSS = Relation(
    name="play that a screw needs across the grain",
    equation=equal(
        play_across,
        _from_across
        * plate_factor
        * shop_rate
        * (_wet - _dry + sp.Abs(_wet + _dry - 2 * _made, evaluate=False))
        / ONE_PERCENT,
    ),
    meaning="On either side of the screw, the larger of its two travels from the shop's air.",
    why="Twice the larger of two changes is their sum plus their difference.",
    source=derived(DERIVATION, "the slot"),
    checks=(
        Check(
            {
                "fastener_across": "346.4 mm", "held_across": "0 mm", "shop_rate": "0.00274",
                "plate_factor": "1", **_AIRS, "shop_moisture": "9.5 %",
            },
            {"play_across": "6.64 mm"},
            derived(DERIVATION, "the slot"),
        ),
    ),
)  # fmt: skip
ROOM_ACROSS = Relation(
    name="room that a screw needs across the grain",
    equation=equal(room_across, screw_shank + play_across),
    meaning="Its shank and its play: the length of a slot or the diameter of a round hole.",
    why="The shank fills part of the slot wherever the screw is in it.",
    source=derived(DERIVATION, "the slot"),
    checks=(
        Check(
            {"screw_shank": "5 mm", "play_across": "6.64 mm"},
            {"room_across": "11.64 mm"},
            derived(DERIVATION, "the slot"),
        ),
    ),
)
ROOM_ALONG = Relation(
    name="room that a screw needs along the grain",
    equation=equal(room_along, screw_shank + 2 * fastener_creep),
    meaning="Its shank and, on either side, its whole travel along the grain.",
    why="The direction of travel from the shop's air need not be known: the whole of it is "
    "allowed both ways.",
    source=derived(DERIVATION, "travel along the grain"),
    checks=(
        Check(
            {"screw_shank": "5 mm", "fastener_creep": "0.24 mm"},
            {"room_along": "5.48 mm"},
            derived(DERIVATION, "travel along the grain"),
        ),
    ),
)
NEAR_END = _distance("first", near_end, 1, "736.5 mm")
FAR_END = _distance("other", far_end, -1, "427.2 mm")
RELATIONS = (
    ALONG, ACROSS, TRAVEL, CREEP, PLAY_ACROSS, ROOM_ACROSS, ROOM_ALONG, NEAR_END, FAR_END,
)  # fmt: skip
