"""The [delivery] of a brief: the door that the piece has to pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tablekit.brief.keys import measure, read
from tablekit.brief.section import BriefSection
from tablekit.brief.workshop import span_of
from tablekit.relations import lot

DELIVERY_KEYS = (
    measure("door_width", span_of(lot.door_width), "no door is looked at"),
    measure("door_height", span_of(lot.door_height), "no door is looked at"),
)


@dataclass(frozen=True)
class DeliveryWishes:
    """Clear width and height of the opening that a piece has to pass, mm; None where not said."""

    door_width: float | None = None
    door_height: float | None = None

    @property
    def door(self) -> tuple[float, float] | None:
        """Both, where there is a door."""
        if self.door_width is None or self.door_height is None:
            return None
        return self.door_width, self.door_height


def read_delivery(section: BriefSection | None) -> DeliveryWishes:
    """The section [delivery]; a door has a width and a height."""
    if section is None:
        return DeliveryWishes()
    said = read(section, DELIVERY_KEYS)
    for key, other in (("door_width", "door_height"), ("door_height", "door_width")):
        if key in section.table and other not in section.table:
            section.wrong(key, f"{key} stands without {other}; write both, or neither")
    return DeliveryWishes(**said)


def delivery_values(wishes: DeliveryWishes) -> Mapping[str, object]:
    """The section in the way of `board_values`; what is not said is None."""
    return {
        key.name: None if (n := getattr(wishes, key.name)) is None else (n, "mm")
        for key in DELIVERY_KEYS
    }
