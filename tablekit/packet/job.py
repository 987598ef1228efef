"""One brief with its sheet and all that is worked out beyond it, each once and only when asked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from tablekit.engine.shop import shop_text
from tablekit.packet import shop_plans

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.packet.top_boards import TopBoards
    from tablekit.planning.cut_list import CutList
    from tablekit.planning.surface import SurfacePlan
    from tablekit.planning.top_joints import TopJoints
    from tablekit.planning.work_order import WorkOrder


@dataclass(frozen=True)
class Job:
    """What a packet is made of. Lengths and the like are written as the maker reads them."""

    brief: Brief
    sheet: Sheet

    @property
    def on_posts(self) -> bool:
        """Whether the base is three crossed posts, for which there are solids and drawings."""
        return self.sheet.network.options.get("crossing") is not None

    @property
    def inches(self) -> bool:
        """Whether the maker reads inches."""
        return self.sheet.shop_style.display == "in"

    @property
    def paper(self) -> str:
        """What the books are printed on, one paper throughout: "A4" or "Letter"."""
        return self.brief.paper or ("Letter" if self.inches else "A4")

    def length(self, number: float) -> str:
        """A length in mm as the maker reads it."""
        return shop_text(number, "mm", self.sheet.shop_style)

    def measure(self, number: float, unit: str) -> str:
        """Any measure as the maker reads it."""
        return shop_text(number, unit, self.sheet.shop_style)

    @cached_property
    def checks(self) -> tuple[CheckResult, ...]:
        """Every check, what needs looking at first."""
        from tablekit.packet.checks import ordered_checks

        return ordered_checks(self.sheet, self.brief)

    @cached_property
    def boards(self) -> TopBoards | None:
        """How the boards of the brief make the top; None without boards."""
        from tablekit.packet.top_boards import top_boards

        return top_boards(self.brief, self.sheet)

    @cached_property
    def joints(self) -> TopJoints | None:
        """How the top is glued up; None without boards, or where they fall short."""
        return shop_plans.joints(self.brief, self.sheet)

    @cached_property
    def surface(self) -> SurfacePlan | None:
        """Sanding and finishing."""
        return shop_plans.surface(self.brief, self.sheet)

    @cached_property
    def cut_list(self) -> CutList:
        """Parts, and what they are got out of."""
        return shop_plans.parts(self.brief, self.sheet)

    @cached_property
    def order(self) -> WorkOrder:
        """The order of work."""
        return shop_plans.order(self.brief, self.sheet)

    @cached_property
    def pulled(self) -> Any:
        """The parts and how they come apart, for pictures of the whole."""
        from tablekit.solids.pulling import pulling

        return pulling(self.sheet)
