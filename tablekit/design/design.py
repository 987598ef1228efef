"""The whole answer to a brief: its sheet and every plan, check and note that follows from it.

Each is worked out once, when it is first wanted. Terminal, packet, JSON and panels read it; none of
them works out a plan of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from tablekit.design.as_cut import made
from tablekit.design.checks import not_checked, not_judged, own_checks, own_notes
from tablekit.design.shop_plans import (
    joints,
    order,
    parts,
    post_glue,
    price,
    shop_jigs,
    surface,
    tools,
    trammel_check,
)
from tablekit.design.standing_plans import joint_load, people, tipping, wheelchair
from tablekit.engine.as_cut import Rounded, round_to_shop
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.planning.trammel_plan import trammel_plan
from tablekit.relations.bases import base_of

# Planning takes a second to load, so each plan loads what it needs when it is first wanted.
if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.design.standing_plans import JointLoad
    from tablekit.design.top_boards import TopBoards
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.board_movement import BoardMovement
    from tablekit.planning.cut_list import CutList, Laid
    from tablekit.planning.delivery import Delivery
    from tablekit.planning.edge_plan import EdgePlan
    from tablekit.planning.fixing_plan import FixingPlan
    from tablekit.planning.glued_panel import GluedPanel
    from tablekit.planning.jigs import Jigs
    from tablekit.planning.leg_remedies import LegsMade
    from tablekit.planning.leg_work import LegWork
    from tablekit.planning.levelness import Levelling
    from tablekit.planning.mending import AsMade
    from tablekit.planning.notch_cutting import Tools
    from tablekit.planning.post_glue import PostGlueUp
    from tablekit.planning.post_text import PostWork
    from tablekit.planning.quoting import Quote
    from tablekit.planning.sitters import Sitters
    from tablekit.planning.surface import SurfacePlan
    from tablekit.planning.tipping_polar import TippingPolar
    from tablekit.planning.top_joints import TopJoints
    from tablekit.planning.trammel_plan import TrammelPlan
    from tablekit.planning.wheelchair import WheelchairPlace
    from tablekit.planning.work_order import WorkOrder
    from tablekit.relations.bases import Base
    from tablekit.solids.piece import Solids


@dataclass(frozen=True, eq=False)
class Design:
    """A brief, the sheet that answers it, and what follows from both.

    A plan raises DesignError where what the brief asks of it cannot be had; one that says nothing
    of this kind of piece is None.
    """

    brief: Brief
    sheet: Sheet

    # -- how it is read ---------------------------------------------------------------------

    @property
    def base(self) -> Base:
        """What carries the top."""
        return base_of(self.sheet)

    @property
    def on_posts(self) -> bool:
        """Whether the base is three crossed posts, which have notches and a joint."""
        return self.base.crossed

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

    # -- checks and notes -------------------------------------------------------------------

    @cached_property
    def every_check(self) -> tuple[CheckResult, ...]:
        """The sheet's checks, then those on joint and people, boards, glue-up and trammel."""
        brief, sheet = self.brief, self.sheet
        found = [*own_checks(sheet), *self.joint_load.checks]
        found += [] if self.sitters is None else [self.sitters.check]
        if brief.boards:
            from tablekit.design.top_boards import rack_checks

            found += rack_checks(brief, sheet, [(one.brief, one.boards) for one in self.tops])
        found += [] if self.joints is None else self.joints.checks
        trammel = trammel_check(brief, sheet)
        return (*found, *([trammel] if trammel else []))

    @cached_property
    def checks(self) -> tuple[CheckResult, ...]:
        """The same, what needs looking at first."""
        verdicts = ("fail", "caution", "pass")
        return tuple(sorted(self.every_check, key=lambda check: verdicts.index(check.verdict)))

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """The sheet's notes, then those on the boards."""
        own = own_notes(self.sheet)
        if not self.brief.boards:
            return own
        from tablekit.design.top_boards import lot_notes, rack_notes

        notes = rack_notes(self.brief, self.sheet, self.boards, self.board_movement)
        return (*own, *notes, *lot_notes(self.brief, self.board_movement))

    @cached_property
    def not_checked(self) -> tuple[str, ...]:
        """What no check speaks of although the piece stands or falls by it."""
        return not_checked(self.sheet)

    @cached_property
    def not_judged(self) -> tuple[str, ...]:
        """Which checks cannot be judged of this piece, in a sentence; none where all can."""
        return not_judged(self.sheet)

    @cached_property
    def as_marked(self) -> Rounded | Contradiction:
        """The piece with every size rounded to what can be marked, or why there is none."""
        try:
            return round_to_shop(self.sheet)
        except Contradiction as clash:
            return clash

    @property
    def worse_as_marked(self) -> tuple[CheckResult, ...]:
        """The checks that pass exactly and not as marked, as they come out then."""
        return self.as_marked.worse if isinstance(self.as_marked, Rounded) else ()

    # -- the top ----------------------------------------------------------------------------

    @cached_property
    def boards(self) -> TopBoards | None:
        """How the boards of the brief make the top; None without boards."""
        from tablekit.design.top_boards import top_boards

        return top_boards(self.brief, self.sheet)

    @cached_property
    def tops(self) -> tuple[Design, ...]:
        """The pieces of a lot as far as their tops differ: each with the rack that the tops before
        it left, the last the one that falls short. The piece itself alone where it is the only
        one, or the brief has no boards."""
        from tablekit.design.top_boards import rack_after

        made = [self]
        while len(made) < self.brief.count:
            last = made[-1]
            rack = rack_after(last.brief.boards, last.boards, self.sheet.shop_style, len(made))
            if rack is None:
                break
            made.append(Design(replace(self.brief, boards=rack, count=1), self.sheet))
        return tuple(made)

    @property
    def laid(self) -> tuple[Design, ...]:
        """Those of the tops for which there are boards."""
        return tuple(one for one in self.tops if one.boards and one.boards.layout)

    @property
    def _laid_out(self) -> list[Laid]:
        """How each of those tops is got out of which rack."""
        return [
            (one.boards.layout, one.brief.boards)
            for one in self.tops
            if one.boards is not None and one.boards.layout is not None
        ]

    @cached_property
    def glued(self) -> GluedPanel | None:
        """The panel of the top as it was glued; None where the brief does not say how it came
        out."""
        from tablekit.design.top_boards import as_glued

        return as_glued(self.brief, self.sheet, self.boards)

    @cached_property
    def board_movement(self) -> BoardMovement | None:
        """The movement of the top board by board; None where all are alike, or none are laid."""
        from tablekit.design.top_boards import rack_movement

        return rack_movement(self.brief, self.sheet, self.boards)

    @cached_property
    def joints(self) -> TopJoints | None:
        """How the top is glued up; None without boards, or where they fall short."""
        return joints(self.brief, self.sheet, self.boards)

    @cached_property
    def post_glue(self) -> PostGlueUp | None:
        """How each post is glued up from laminations; None where it is in one piece."""
        return post_glue(self.brief, self.sheet)

    @cached_property
    def trammel(self) -> TrammelPlan | None:
        """Cutting the top round; None where the sheet lacks a number for it."""
        return trammel_plan(self.sheet)

    @cached_property
    def edge(self) -> EdgePlan | None:
        """Shaping the edge of the top; None for a square one."""
        from tablekit.planning.edge_plan import edge_plan

        return edge_plan(self.sheet, self.brief.top.finished_edge)

    @cached_property
    def fixing(self) -> FixingPlan | None:
        """Fastening the top to the heads; None for splayed legs."""
        from tablekit.planning.fixing_plan import fixing_plan

        return fixing_plan(self.sheet)

    @cached_property
    def levelling(self) -> Levelling | None:
        """How level heads and feet have to be; None for legs in sockets."""
        from tablekit.planning.levelness import levelling

        return levelling(self.sheet)

    @cached_property
    def surface(self) -> SurfacePlan | None:
        """Sanding and finishing."""
        return surface(self.brief, self.sheet)

    # -- the work ---------------------------------------------------------------------------

    @cached_property
    def cut_list(self) -> CutList:
        """Parts, and what they are got out of."""
        stagings = [one.joints.staging for one in self.laid if one.joints is not None]
        from tablekit.planning.post_glue import cauls_needed

        cauls = cauls_needed([one for one in stagings if one is not None], self.post_glue)
        return parts(self.brief, self.sheet, self._laid_out, self.fixing, cauls)

    @cached_property
    def order(self) -> WorkOrder:
        """The order of work."""
        glued = [one.joints for one in self.laid if one.joints is not None]
        return order(self.brief, self.sheet, glued, self.surface, self.edge, self.post_glue)

    @cached_property
    def tools(self) -> Tools:
        """Cutters and router for the notches."""
        return tools(self.brief, self.sheet)

    @cached_property
    def post_work(self) -> PostWork:
        """Marking out and cutting the posts; its parts raise DesignError where they cannot be
        marked out."""
        from tablekit.planning.post_text import PostWork

        return PostWork(self.sheet)

    @cached_property
    def leg_work(self) -> LegWork | None:
        """Boring, turning and levelling splayed legs; None for a base of crossed posts."""
        from tablekit.planning.leg_work import leg_work

        return leg_work(self.sheet)

    @cached_property
    def jigs(self) -> Jigs | None:
        """The jigs that the brief asks for; None where it asks for none."""
        work = self.post_work if self.on_posts else None
        return shop_jigs(self.brief, self.sheet, self.tools, work, self.trammel)

    @cached_property
    def as_cut(self) -> AsMade | LegsMade | None:
        """What is cut so far, how the piece stands with it and what to do now; None where the brief
        says of nothing that it is cut."""
        work = None if self.on_posts else self.leg_work
        return made(self.brief, self.sheet, lambda: self.cut_list, work)

    # -- how it stands ----------------------------------------------------------------------

    @cached_property
    def joint_load(self) -> JointLoad:
        """The joint under the design load."""
        return joint_load(self.sheet, self.solids)

    @cached_property
    def sitters(self) -> Sitters | None:
        """People round a table with knees under it; None for other pieces."""
        return people(self.sheet)

    @cached_property
    def wheelchair(self) -> WheelchairPlace | None:
        """A place for a wheelchair user at a table; None for other pieces."""
        return wheelchair(self.sheet, self.solids)

    @cached_property
    def tipping(self) -> TippingPolar | None:
        """The load on the rim that tips the piece, all round; None where it cannot be found."""
        return tipping(self.sheet)

    # -- getting it there -------------------------------------------------------------------

    @cached_property
    def delivery(self) -> Delivery | None:
        """Mass and openings, taking apart and packing; None where shape or mass are open."""
        from tablekit.planning.delivery import delivery

        wishes = self.brief.delivery
        bought = self.cut_list.fittings
        return delivery(self.sheet, self.solids, bought, wishes.door, self.brief.count)

    # -- the price --------------------------------------------------------------------------

    @cached_property
    def quote(self) -> Quote | None:
        """What the pieces cost and their price; None where the brief does not ask for it."""
        if self.brief.quote is None:
            return None
        terms, found = self.brief.quote, self.cut_list
        return price(self.brief, terms, self.sheet, found, self._laid_out, self.order)

    @cached_property
    def not_drawn(self) -> str:
        """Why there are no solids and drawings of it; empty where there are."""
        if self.on_posts:
            return ""
        if not self.base.drawn:
            return f"there are none of {self.base.style} yet"
        try:
            _ = self.solids.legs
        except DesignError as reason:
            return str(reason)
        return ""

    @cached_property
    def solids(self) -> Solids:
        """Posts or legs and top as solids, and how they go together."""
        from tablekit.solids.piece import Solids

        return Solids(self.sheet)
