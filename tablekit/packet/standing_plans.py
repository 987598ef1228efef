"""Whether a piece stands, holds and suits people, beyond the sheet: each worked out once."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.sitters import Sitters
    from tablekit.planning.wheelchair import WheelchairPlace

# How a finished piece is held, unless a maker says otherwise: the top ties the heads, and posts
# rub where they press on one another. The floor, which may be waxed, is not counted on.
HELD = {"heads_tied": True, "joint_friction": 0.3}
HELD_WORDS = "heads tied by the top, friction 0.3 in the joint, none on the floor"
LOOSE = "With the top screwed on but no friction, as in notches that have shrunk loose"
CHECK, PRICE = "force in the joint", "joint_ratio"


def on_posts(sheet: Sheet) -> bool:
    """Whether the base is three crossed posts."""
    return sheet.network.options.get("crossing") is not None


def joint(sheet: Sheet) -> tuple[Sheet | None, str]:
    """The joint under the design load, in the middle or where two posts carry all of it, whichever
    is harder on it, as a sheet with checks; and what is said of it. None where the base cannot
    carry the load so held, or has no such joint."""
    under_load, said, _ = _joint(sheet)
    return under_load, said


@lru_cache(maxsize=16)
def _joint(sheet: Sheet) -> tuple[Sheet | None, str, str]:
    """The same with the conditions under which the forces are so small, in a sentence."""
    if not on_posts(sheet):
        return None, "", ""
    from tablekit.planning.joint_load import joint_forces, joint_sheet

    found = []
    try:
        # Half way to the line between two heads the load lies on it: these two share all of it.
        places = {
            "at the centre": (0.0, 0.0),
            "between two heads": (sheet.number("head_radius") / 2, 60.0),
        }
        for where, (radius, bearing) in places.items():
            forces = joint_forces(sheet, radius=radius, bearing=bearing, **HELD)  # type: ignore[arg-type]
            said = f"Held by: {HELD_WORDS}. Load {where}: {_lowered(forces.message)}."
            only = f"With {HELD_WORDS}, and the load {where}."
            loose = _without_friction(sheet, radius, bearing)
            found.append((joint_sheet(sheet, forces), said, f"{only} {loose}"))
    except DesignError as reason:
        return None, str(reason), ""
    return max(found, key=lambda one: _hardness(one[0]))


def _without_friction(sheet: Sheet, radius: float, bearing: float) -> str:
    """What becomes of the price of the same load where nothing rubs, in a sentence."""
    from tablekit.planning.joint_load import joint_forces

    tied = joint_forces(sheet, radius=radius, bearing=bearing, heads_tied=True).ratio
    if tied is None:
        return f"{LOOSE}, the joint does not hold."
    return f"{LOOSE}, the force is {tied:.3g} times the load."


def joint_checks(sheet: Sheet) -> tuple[CheckResult, ...]:
    """The checks on the joint under load, the price of the load with what it holds for."""
    under_load, said, conditions = _joint(sheet)
    if under_load is None:
        return (_cannot_be_carried(said),) if on_posts(sheet) else ()
    return tuple(
        replace(check, message=_after_the_number(check.message, conditions))
        if check.quantity == PRICE else check
        for check in under_load.checks
    )  # fmt: skip


def _after_the_number(message: str, conditions: str) -> str:
    number, _, rest = message.partition(". ")
    return f"{number}. {conditions} {rest}"


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def _hardness(under_load: Sheet) -> float:
    """The largest share used of what the wood of the joint is trusted with."""
    return max(under_load.number(name) for name in ("bearing_strength_used", "horn_use"))


@lru_cache(maxsize=16)
def people(sheet: Sheet) -> Sitters | None:
    """Sitters round a table with knees under it; None for other pieces."""
    if not on_posts(sheet) or sheet.kind != "table":
        return None
    from tablekit.planning.sitters import sitters

    try:
        return sitters(sheet)
    except DesignError:
        return None


@lru_cache(maxsize=16)
def wheelchair(sheet: Sheet) -> WheelchairPlace | None:
    """A place for a wheelchair user at a table; None for other pieces."""
    if not on_posts(sheet) or sheet.kind != "table":
        return None
    from tablekit.planning.wheelchair import wheelchair_place

    try:
        return wheelchair_place(sheet)
    except DesignError:
        return None


def standing_checks(sheet: Sheet) -> tuple[CheckResult, ...]:
    """The checks that these add to the sheet's own."""
    seated = people(sheet)
    return (*joint_checks(sheet), *([seated.check] if seated is not None else []))


def _cannot_be_carried(said: str) -> CheckResult:
    from tablekit.engine.sheet import CheckResult
    from tablekit.relations.joint_load import DERIVATION

    source = f"derived here, {DERIVATION}"
    return CheckResult(
        "joint_force", CHECK, "fail", None, None, "1", source, f"{said}.", "design_load"
    )


def standing_json(sheet: Sheet) -> dict[str, Any]:
    """Each under its key as plain data; one that says nothing of this piece is left out."""
    from tablekit.planning.tipping_polar import tipping_polar

    found: dict[str, Any] = {}
    with suppress(DesignError):  # no feet on a circle, or no masses
        found["tipping"] = tipping_polar(sheet).to_json()
    under_load, said = joint(sheet)
    if under_load is not None:
        found["joint_load"] = {
            "held_by": HELD_WORDS, "says": said, "conditions": _joint(sheet)[2],
            **under_load.to_json(),
        }  # fmt: skip
    for key, plan in (("sitters", people(sheet)), ("wheelchair", wheelchair(sheet))):
        if plan is not None:
            found[key] = plan.to_json()
    return found
