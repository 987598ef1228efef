"""The plans for the shop, made with what the section [workshop] of a brief says, from the planks of
the brief or of a likely yard.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.brief.boards import HEART_UP
from tablekit.brief.workshop import (
    DAYS,
    GLUE,
    NOTCHES,
    RINGS,
    SAWING,
    SURFACE,
    TENONS,
    TRAMMEL,
    wishes_for,
)
from tablekit.engine.sheet import CheckResult
from tablekit.engine.shop import shop_text, times
from tablekit.engine.trouble import DesignError
from tablekit.planning.quoting import material_of, quote
from tablekit.planning.stock_cutting import Plank
from tablekit.planning.top_joints import top_joints
from tablekit.planning.trammel_plan import trammel_board
from tablekit.relations.trammel import WIDEST_CIRCLE
from tablekit.species import CUTS, is_softwood

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablekit.brief import Brief
    from tablekit.design.top_boards import TopBoards
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.clamping import CaulLine
    from tablekit.planning.cut_list import CutList, Laid
    from tablekit.planning.edge_plan import EdgePlan
    from tablekit.planning.fixing_plan import FixingPlan
    from tablekit.planning.jigs import Jigs
    from tablekit.planning.notch_cutting import Tools
    from tablekit.planning.post_glue import PostGlueUp
    from tablekit.planning.post_text import PostWork
    from tablekit.planning.quoting import Quote, QuoteTerms
    from tablekit.planning.surface import SurfacePlan
    from tablekit.planning.top_joints import TopJoints
    from tablekit.planning.trammel_plan import TrammelPlan
    from tablekit.planning.work_order import WorkOrder
    from tablekit.relations.glue import GluedWood


# -- the planks that posts or legs are sawn from ---------------------------------------------------

# Length and width, mm: common practice, no source.
MM_YARD = ((2400.0, 150.0), (3000.0, 150.0), (3600.0, 200.0))
INCH_YARD = ((2438.4, 152.4), (3048.0, 152.4), (3657.6, 203.2))


def planks(brief: Brief) -> tuple[Plank, ...]:
    """The planks of a brief; where it names none, those of a likely yard, as many as wanted."""
    if brief.stock:
        return brief.stock
    sizes = INCH_YARD if brief.shop.display == "in" else MM_YARD
    return tuple(
        Plank(times(*(shop_text(side, "mm", brief.shop) for side in size)), *size) for size in sizes
    )


# -- the plans -------------------------------------------------------------------------------------


def joints(brief: Brief, sheet: Sheet, found: TopBoards | None) -> TopJoints | None:
    """Gluing up the boards of a brief; None without boards or where they fall short.

    Raises DesignError where what [workshop] asks of it cannot all be had.
    """
    if found is None or found.layout is None:
        return None
    wishes: dict[str, float] = {}
    for plan in (GLUE, TENONS, RINGS):
        wishes |= wishes_for(plan, brief.workshop)
    try:
        return top_joints(
            found.layout,
            sheet,
            wishes,
            species=brief.wood.species,
            cut=brief.wood.cut or CUTS[0],
            cuts={board.name: board.cut for board in brief.boards if board.cut},
            heart_up=brief.top.match == HEART_UP,
            same_side=brief.top.match is not None,
            wood=_glued_wood(brief),
        )
    except DesignError as trouble:
        raise _asked_for(trouble, "gluing up the top") from None


def _glued_wood(brief: Brief) -> GluedWood:
    """Softwood as soon as one kind of board is: it is crushed first. "" where none is named."""
    named = [board.species or brief.wood.species for board in brief.boards]
    known = [name for name in named if name]
    if any(is_softwood(name) for name in known):
        return "softwood"
    return "hardwood" if known and len(known) == len(named) else ""


def surface(brief: Brief, sheet: Sheet) -> SurfacePlan | None:
    """Sanding and finishing; None where the sheet has no areas.

    Raises DesignError where what [workshop] asks of it cannot be had.
    """
    if sheet.get("finish_volume") is None:
        return None
    from tablekit.planning.surface import surface_plan

    try:
        return surface_plan(sheet, brief.count, **wishes_for(SURFACE, brief.workshop))
    except DesignError as trouble:
        raise _asked_for(trouble, "finishing") from None


def post_glue(brief: Brief, sheet: Sheet) -> PostGlueUp | None:
    """How each post is glued up from laminations; None where it is in one piece.

    Raises DesignError where what [workshop] asks of it cannot all be had.
    """
    from tablekit.planning.post_glue import post_glue_up

    wood = brief.wood.species
    kind: GluedWood = "" if not wood else "softwood" if is_softwood(wood) else "hardwood"
    try:
        return post_glue_up(sheet, wishes_for(GLUE, brief.workshop), kind)
    except DesignError as trouble:
        raise _asked_for(trouble, "gluing up the posts") from None


def parts(
    brief: Brief,
    sheet: Sheet,
    tops: Sequence[Laid],
    fixing: FixingPlan | None,
    cauls: Sequence[CaulLine] = (),
) -> CutList:
    """Every part and what it is got out of.

    tops   how each top that is laid out is got out of which rack
    cauls  what is sawn for gluing up
    Raises DesignError where what [workshop] says of saw and planks cannot be.
    """
    from tablekit.planning.cut_list import PLANK_ENDS, SAW_KERF, cut_list

    sawing = wishes_for(SAWING, brief.workshop)
    layout, boards = tops[0] if tops else (None, brief.boards)
    try:
        return cut_list(
            sheet,
            layout,
            boards=boards,
            wood=brief.wood.species or "",
            planks=planks(brief),
            saw_kerf=sawing.get("saw_kerf", SAW_KERF),
            plank_ends=sawing.get("plank_ends", PLANK_ENDS),
            fixing=fixing,
            count=brief.count,
            further=tops[1:],
            cauls=cauls,
        )
    except DesignError as trouble:
        raise _asked_for(trouble, "the cut list") from None


def order(
    brief: Brief, sheet: Sheet, glued: Sequence[TopJoints], finish: SurfacePlan | None,
    edge: EdgePlan | None, post: PostGlueUp | None,
) -> WorkOrder:  # fmt: skip
    """The order of work of all the pieces.

    Raises DesignError where what [workshop] says of the days cannot be.
    """
    from tablekit.planning.work_order import piece_order

    grades = {} if finish is None else {"grades": len(finish.papers)}
    try:
        days = wishes_for(DAYS, brief.workshop)
        return piece_order(
            sheet, glued, wishes=days, edge=edge, pieces=brief.count, post=post, **grades
        )
    except DesignError as trouble:
        raise _asked_for(trouble, "the order of work") from None


def price(
    brief: Brief,
    terms: QuoteTerms,
    sheet: Sheet,
    found: CutList,
    tops: Sequence[Laid],
    work: WorkOrder,
) -> Quote:
    """The price of all the pieces on the terms of the brief; tops as for `parts`."""
    from tablekit.planning.post_marks import locked_words

    material = material_of(found, planks(brief), tops, terms)
    minutes = None if locked_words(sheet) else work.hands
    return quote(terms, material, minutes, brief.count, sheet.name, sheet.shop_style)


def tools(brief: Brief, sheet: Sheet) -> Tools:
    """Cutters and router for the notches, as the brief has them or as the shop mostly does."""
    from tablekit.planning.notch_cutting import Tools

    router = sheet.values.get("cutter_diameter")
    given = router is not None and router.origin == "given"
    return Tools.of(
        sheet.shop_style.display,
        router_cutter=router.number if given and router is not None else None,
        **wishes_for(NOTCHES, brief.workshop),
    )


def shop_jigs(
    brief: Brief, sheet: Sheet, cutters: Tools, work: PostWork | None, plan: TrammelPlan | None
) -> Jigs | None:
    """The jigs that [workshop] asks for; None where it asks for none.

    work  how the posts are cut; None for a piece without crossed posts
    plan  how the top is cut round; None where it is not
    """
    if not brief.jigs:
        return None
    from tablekit.planning.jigs import plan_jigs

    angles = None if work is None else work.angles
    return plan_jigs(sheet, brief.jigs, tools=cutters, angles=angles, trammel=plan)


def trammel_check(brief: Brief, sheet: Sheet) -> CheckResult | None:
    """Whether the shop's trammel board serves for this top; None where none is given.

    Raises DesignError where what [workshop] says of the board cannot all be.
    """
    wishes = wishes_for(TRAMMEL, brief.workshop)
    if "trammel_length" not in wishes or sheet.get("top_diameter") is None:
        return None
    own = ("cutter_diameter", "cutter_from_edge", "cutter_speed")
    taken = {name: sheet.number(name) for name in own if sheet.get(name) is not None}
    try:
        board = trammel_board(**{**taken, **wishes})
    except DesignError as trouble:
        raise _asked_for(trouble, "the trammel board") from None
    top, style = sheet.number("top_diameter"), sheet.shop_style
    widest, least = (board.number(name) for name in ("widest_circle", "narrowest_circle"))
    spans = f"circles from {shop_text(least, 'mm', style)} to {shop_text(widest, 'mm', style)}"
    long = shop_text(wishes["trammel_length"], "mm", style)
    fits = least <= top <= widest
    advice = "It suits this top." if fits else "Make another for this top."
    return CheckResult(
        "trammel", "trammel board", "pass" if fits else "fail", top,
        widest if top > least else least, "mm", str(WIDEST_CIRCLE.source),
        f"A board {long} long cuts {spans}. {advice}", "top_diameter",
        "at most" if top > least else "at least", "" if fits else advice,
    )  # fmt: skip


def _asked_for(trouble: DesignError, what: str) -> DesignError:
    """The same trouble, with what it is about and where to mend it."""
    trouble.args = (f"{what}: {trouble} (see [workshop] and [top] in the brief)",)
    return trouble
