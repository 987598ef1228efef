"""Whether a piece stands, holds and suits people, beyond the sheet."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import lowered
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import is_seat

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.joint_load import CrossingInPlace
    from tablekit.planning.sitters import Sitters
    from tablekit.planning.tipping_polar import TippingPolar
    from tablekit.planning.wheelchair import WheelchairPlace
    from tablekit.solids.piece import Solids

# How a finished piece is held, unless a maker says otherwise: the top ties the heads, and posts
# rub where they press on one another. The floor, which may be waxed, is not counted on.
HELD = {"heads_tied": True, "joint_friction": 0.3}
HELD_WORDS = "the heads tied by the top, friction of 0.3 in the joint and none on the floor"
LOOSE = "With the top screwed on but no friction, as in notches that have shrunk loose"
CHECK, PRICE = "force in the joint", "joint_ratio"


@dataclass(frozen=True, eq=False)
class JointLoad:
    """The joint under the design load, in the middle or where two posts carry all of it, whichever
    is harder on it.

    under_load  a sheet with checks; None where the base cannot carry the load as it is held, or
                has no such joint
    said        what is said of it, or why there is none; "" for a base without such a joint
    conditions  under which the forces are so small, in a sentence
    place       the posts as they were loaded; None where there are none
    """

    under_load: Sheet | None
    said: str = ""
    conditions: str = ""
    place: CrossingInPlace | None = None

    @property
    def checks(self) -> tuple[CheckResult, ...]:
        """Those of the sheet, the price of the load with what it holds for; or one that fails,
        where there is a joint that cannot carry the load."""
        if self.under_load is None:
            return (_cannot_be_carried(self.said),) if self.said else ()
        return tuple(
            replace(check, message=_after_the_number(check.message, self.conditions))
            if check.quantity == PRICE else check
            for check in self.under_load.checks
        )  # fmt: skip


def joint_load(sheet: Sheet, solids: Solids) -> JointLoad:
    """The joint of a sheet under its design load. `solids` are those of the sheet."""
    if not base_of(sheet).crossed:
        return JointLoad(None)
    from tablekit.planning.joint_load import crossing_in_place, joint_forces, joint_sheet

    found, place = [], None
    try:
        place = crossing_in_place(solids)
        # Half way to the line between two heads the load lies on it: these two share all of it.
        places = {
            "at the centre": (0.0, 0.0),
            "between two heads": (sheet.number("head_radius") / 2, 60.0),
        }
        for where, (radius, bearing) in places.items():
            forces = joint_forces(sheet, radius=radius, bearing=bearing, place=place, **HELD)  # type: ignore[arg-type]
            said = f"Held by: {HELD_WORDS}. Load {where}: {lowered(forces.message)}."
            only = f"With {HELD_WORDS}, and the load {where}."
            loose = _without_friction(sheet, radius, bearing, place)
            found.append(JointLoad(joint_sheet(sheet, forces), said, f"{only} {loose}", place))
    except DesignError as reason:
        return JointLoad(None, str(reason), place=place)
    return max(found, key=_hardness)


def _without_friction(sheet: Sheet, radius: float, bearing: float, place: CrossingInPlace) -> str:
    """What becomes of the price of the same load where nothing rubs, in a sentence."""
    from tablekit.planning.joint_load import joint_forces

    tied = joint_forces(sheet, radius=radius, bearing=bearing, heads_tied=True, place=place).ratio
    if tied is None:
        return f"{LOOSE}, the joint does not hold."
    return f"{LOOSE}, the force is {tied:.3g} times the load."


def _after_the_number(message: str, conditions: str) -> str:
    number, _, rest = message.partition(". ")
    return f"{number}. {conditions} {rest}"


def _hardness(one: JointLoad) -> float:
    """The largest share used of what the wood of the joint is trusted with."""
    assert one.under_load is not None
    return max(one.under_load.number(name) for name in ("bearing_strength_used", "horn_use"))


def _cannot_be_carried(said: str) -> CheckResult:
    from tablekit.engine.sheet import CheckResult
    from tablekit.relations.joint_load import DERIVATION

    source = f"derived here, {DERIVATION}"
    return CheckResult(
        "joint_force", CHECK, "fail", None, None, "1", source, f"{said}.", "design_load"
    )


def people(sheet: Sheet) -> Sitters | None:
    """Sitters round a table with knees under it; None for other pieces."""
    if not base_of(sheet).crossed or is_seat(sheet.kind):
        return None
    from tablekit.planning.sitters import sitters

    try:
        return sitters(sheet)
    except DesignError:
        return None


def wheelchair(sheet: Sheet, solids: Solids) -> WheelchairPlace | None:
    """A place for a wheelchair user at a table; None for other pieces."""
    if not base_of(sheet).crossed or is_seat(sheet.kind):
        return None
    from tablekit.planning.wheelchair import wheelchair_place

    try:
        return wheelchair_place(sheet, solids.model)
    except DesignError:
        return None


def tipping(sheet: Sheet) -> TippingPolar | None:
    """The tipping load all round; None without feet on a circle, or without masses."""
    from tablekit.planning.tipping_polar import tipping_polar

    with suppress(DesignError):
        return tipping_polar(sheet)
    return None
