"""The README's table of every key of a brief, written from the schema that the readers use:

python -m tests.readme_keys
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from tablekit.brief import known_quantities, reading
from tablekit.brief.section import Key
from tablekit.engine.relation import Assumption
from tablekit.engine.shop import duration_text, figures_text
from tablekit.engine.units import ShopStyle
from tablekit.planning import cut_list, notch_cutting, trammel_plan
from tests.trust.declared import declared

README = Path(__file__).parents[1] / "README.md"
BEGIN, END = "<!-- every key -->\n", "<!-- end of every key -->\n"
GIVEN = (
    "| `[given]` | any name that the command *working* lists | what you know of the piece "
    "| a measure with its unit | calculated or assumed |"
)


def assumed() -> dict[str, str]:
    """What is assumed of quantities, as text, where it is a plain number; all of it where that
    depends on the wood or the work."""
    found: dict[str, list[str]] = {}
    for one in declared():
        assumption = one.relation
        if not isinstance(assumption, Assumption) or assumption.quantity is None:
            continue
        quantity, value = assumption.quantity, assumption.value
        if value.is_number:
            number = quantity.from_si(float(value))
            said = figures_text(number, quantity.unit, ShopStyle(), 3)
            if quantity.unit == "min":
                said = duration_text(60 * number)
            if said not in (others := found.setdefault(quantity.name, [])):
                others.append(said)
    constants = {
        "saw_kerf": cut_list.SAW_KERF, "plank_ends": cut_list.PLANK_ENDS,
        "cutter_width": notch_cutting.CUTTER, "least_overlap": notch_cutting.LEAST_OVERLAP,
        "base_width": notch_cutting.BASE_WIDTH, "pivot_margin": trammel_plan.PIVOT_MARGIN,
        "pivot_clearance": trammel_plan.PIVOT_CLEARANCE,
    }  # fmt: skip
    texts = {name: " or ".join(several) for name, several in found.items()}
    return texts | {name: f"{number:g} mm" for name, number in constants.items()}


def rows() -> Iterator[str]:
    """The table, a line at a time."""
    yield "| | key | says | takes | left out |"
    yield "|---|---|---|---|---|"
    for section, keys in reading.FIXED.items():
        yield from _section(section, keys)
        if section == "":
            yield GIVEN
    for air, meaning in reading.AIRS.items():
        takes = "; ".join(f"`{key.name}` {key.takes}" for key in reading.AIR)
        yield f"| `[room]` | `{air}` | {meaning} | {takes} | as assumed |"
    usual = assumed()
    for key in reading.workshop(known_quantities("table")):
        yield _row("[workshop]", key, usual.get(key.name, key.left_out))


def _section(section: str, keys: tuple[Key, ...]) -> Iterator[str]:
    for key in keys:
        needed = "needed" if getattr(key, "required", False) else key.left_out
        yield _row(section, key, needed)


def _row(section: str, key: Key, left_out: str) -> str:
    where = f"`{section}`" if section else ""
    return f"| {where} | `{key.name}` | {key.meaning} | {key.takes} | {left_out} |"


def written(text: str) -> str:
    """The README with its table as it is now. Raises ValueError where the marks are missing."""
    before, rest = text.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}\n" + "\n".join(rows()) + f"\n\n{END}{after}"


if __name__ == "__main__":
    README.write_text(written(README.read_text("utf-8")), "utf-8")
    sys.exit(0)
