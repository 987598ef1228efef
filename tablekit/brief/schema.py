"""Every key of a brief, section by section, as the readers know them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from tablekit.brief.as_cut import AS_CUT_KEYS
from tablekit.brief.base import BASE_KEYS
from tablekit.brief.boards import BOARD_KEYS, TOP_KEYS
from tablekit.brief.delivery import DELIVERY_KEYS
from tablekit.brief.keys import Key, measure
from tablekit.brief.quote import QUOTE_KEYS
from tablekit.brief.reading import AIR_KEYS, HEADINGS, ROOM_AIRS, WOOD_KEYS
from tablekit.brief.stock import STOCK_KEYS
from tablekit.brief.workshop import JIGS, known_workshop, span_of

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity

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
