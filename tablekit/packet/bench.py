"""The pages of a packet for the bench: posts, joint, top, fastening."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.design.top_boards import IN_TURN
from tablekit.drawing.style import Paper
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital
from tablekit.packet.as_cut_text import as_cut_rows, panel_rows, ways_of, work_text
from tablekit.packet.document import (
    Drawing,
    Part,
    Plate,
    Section,
    Subheading,
    Table,
    Text,
    drawing_of,
    told,
)
from tablekit.packet.jig_pages import jigs_for
from tablekit.packet.top_text import (
    alike_before,
    board_rows,
    check_text,
    cutting_lines,
    joint_lines,
)
from tablekit.relations.jigs import CRADLE, SLED, STOP, TRAMMEL, WEDGE

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.drawing.general import Layout
    from tablekit.drawing.style import Paper


# -- The drawings of a top -------------------------------------------------------------------------

# What it shows, the name of its files, and the drawing on a sheet of paper, which raises ValueError
# where that is too small.
Named = tuple[str, str, Callable[["Paper"], "Layout"]]


def top_drawings(design: Design) -> Iterator[Named]:
    """Layout of the boards and, for more than one strip, glue-up and end grain; none without
    boards, or where they fall short."""
    found, sheet = design.boards, design.sheet
    if found is None or found.layout is None:
        return
    # Imported here: drawing takes a second to load.
    from tablekit.drawing.board_cuts import lay_out_board_cuts
    from tablekit.drawing.board_layout import LayoutSubject, lay_out_drawing
    from tablekit.drawing.end_grain import EndGrainSubject, lay_out_end_grain
    from tablekit.drawing.glue_up import GlueUpSubject, lay_out_glue_up

    it = LayoutSubject(found.layout, sheet.name, sheet.number("top_diameter"), sheet.shop_style)
    yield (
        "The boards for the top, with its circle on them.",
        "board-layout",
        partial(lay_out_drawing, it),
    )
    yield (
        "Each board lying flat, with its cuts, the zones to avoid and what is left.",
        "board-cuts",
        partial(lay_out_board_cuts, it),
    )
    glued = design.joints
    if glued is None or glued.glue is None:
        return
    yield (
        "Gluing up: strips, clamps and tenons seen from above.",
        "glue-up",
        partial(lay_out_glue_up, GlueUpSubject(it, glued)),
    )
    ends = EndGrainSubject(it, glued.rings, glued.thickness)
    yield (
        "End grain of the strips, and their cup in the driest and the dampest air.",
        "end-grain",
        partial(lay_out_end_grain, ends),
    )


def round_drawings(design: Design) -> Iterator[Named]:
    """Movement, rim and fastening, of any top that has them."""
    from tablekit.drawing.fixing import lay_out_fixing
    from tablekit.drawing.movement import lay_out_movement
    from tablekit.drawing.trammel import lay_out_trammel

    sheet = design.sheet
    if sheet.get("top_movement") is not None:
        yield (
            "The top over the seasons, its change of shape drawn larger.",
            "movement",
            partial(lay_out_movement, sheet),
        )
    if design.trammel is not None:
        yield (
            "The trammel board, the passes of the router and the quarters against the grain.",
            "trammel",
            partial(lay_out_trammel, sheet, plan=design.trammel, edge=design.edge),
        )
    if design.fixing is not None:
        yield (
            "The fastening of the top, seen from below.",
            "fixing",
            partial(lay_out_fixing, sheet, plan=design.fixing),
        )


# -- The pages -------------------------------------------------------------------------------------

# Least heights of the drawings of a further top of a lot, mm, and those of a top of few boards, by
# their number: layout and cuts share a sheet.
FURTHER_LAYOUT, FURTHER_CUTS, FURTHER_GLUE_UP = 95.0, 35.0, 85.0
FEW_BOARDS = {1: (FURTHER_LAYOUT, FURTHER_CUTS), 2: (FURTHER_LAYOUT, 55.0)}
MOST_WAYS = 3  # to mend the posts that a sheet has room for beside what is said of the panel
MOVING = ("end-grain", "movement")  # drawings of the top that are in the other book
NOW = "What to do now, the least work first"
Words = Text | Subheading


def arrangement(job: Design) -> Section:
    """Elevation and plan."""
    from tablekit.drawing.general import lay_out, shown

    alt = f"General arrangement of {job.sheet.name}: elevation and plan with the main sizes."
    drawing = drawing_of(
        alt,
        "general-arrangement",
        lambda paper: lay_out(shown(job.sheet, job.solids), paper).ink,
    )
    return Section("General arrangement", (drawing,), fresh=True)


def parts(job: Design) -> Section | None:
    """The parts pulled apart, and how they go together."""
    from tablekit.drawing.apart import lay_out_apart

    if not job.on_posts:
        return None
    pulling = job.solids.pulling
    goes = job.solids.assembly.verdict == "goes together"
    said = (Text(pulling.words, "plain" if goes else "caution"), *_lying(job))
    plate = Plate(
        "Exploded view: posts 1, 2 and 3 drawn apart, the top above them and the pads below.",
        "pulled-apart",
        partial(lay_out_apart, pulling),
        said,
        least=75.0,
        text="beside",
    )
    return Section("The parts", (plate,), fresh=True)


def _lying(job: Design) -> Iterator[Words]:
    """Which post lies in which notch."""
    from tablekit.planning.post_text import about_lying

    try:
        text = about_lying(job.post_work)
    except DesignError:  # the page of the posts says why
        return
    yield from told(text)


def posts(job: Design) -> Section | None:
    """Marking out the posts; None for a base without them."""
    from tablekit.planning.post_text import about_faces

    if not job.on_posts:
        return None
    try:
        kinds = job.post_work.marks
        text = about_faces(job.post_work)
    except DesignError as reason:
        return Section("Posts", (Text(f"The posts cannot be marked out: {reason}", "caution"),))
    said = (*told(text), *_templates(job), *jigs_for(job, STOP, CRADLE))
    first, *others = [_faces(job, which, marks.called) for which, marks in enumerate(kinds)]
    first = replace(first, parts=said, title=first.title if others else "")
    return Section("Posts, face by face", (first, *others))


def _faces(job: Design, which: int, called: str) -> Plate:
    return Plate(
        "The four faces of a post laid flat, with every knife line measured from the foot end.",
        "post-faces" if which == 0 else f"post-faces-{which + 1}",
        partial(_lay_out_faces, job, which),
        title=called,
        text="across",
    )


def _lay_out_faces(job: Design, which: int, paper: Paper) -> Layout:
    from tablekit.drawing.post_faces import lay_out_faces

    return lay_out_faces(job.sheet, job.post_work.marks[which], paper)


def as_cut(job: Design) -> Section | None:
    """What is cut already, for the bench; None where nothing is."""
    parts = (*_as_cut_parts(job), *_glued_parts(job))
    return Section("As cut", parts) if parts else None


def _glued_parts(job: Design) -> tuple[Part, ...]:
    """The panel of the top as it was glued."""
    panel = job.glued
    if panel is None:
        return ()
    listed = tuple(
        (f"{number}. {one.what}", one.text) for number, one in enumerate(panel.remedies, start=1)
    )
    head = ("what", "width", "of it")
    return (
        Subheading("The top as glued"),
        Text(panel.verdict),
        Table("Its strips", head, tuple(panel_rows(job)), frozenset({1}), close=True),
        *((Table(NOW, ("way", "how"), listed, lead=0.2),) if listed else ()),
    )


def _as_cut_parts(job: Design) -> tuple[Part, ...]:
    """The posts as they are cut, and how the piece stands on them."""
    made = job.as_cut
    if made is None:
        return ()
    rows = tuple(as_cut_rows(job))
    head = ("what", "size", "from where to where")
    ways = ways_of(job)
    shown = ways if job.glued is None else ways[:MOST_WAYS]
    listed = tuple(
        (f"{number}. {one.what}", f"{one.text} {work_text(one)}")
        for number, one in enumerate(shown, start=1)
    )
    more = len(ways) - len(shown)
    said = f"{more} more {'ways are' if more > 1 else 'way is'} in summary.txt."
    return (
        Text(capital(made.verdict)),
        Table("How it stands", head, rows, frozenset({1}), close=True),
        *((Table(NOW, ("way", "how"), listed, lead=0.2),) if listed else ()),
        *((Text(said),) if more else ()),
    )


def joint(job: Design) -> Section | None:
    """The joint in section, and cutting the notches."""
    if not job.on_posts:
        return None
    from tablekit.drawing.joint import lay_out_joint
    from tablekit.planning.post_text import about_notches

    try:
        said = (*told(about_notches(job.post_work, job.tools)), *jigs_for(job, SLED, WEDGE))
    except DesignError:  # the page of the posts says why
        said = ()
    plate = Plate(
        "Horizontal section through the joint, end grain hatched; one notch with its sizes.",
        "joint",
        partial(lay_out_joint, job.sheet, solids=job.solids),
        said,
        least=105.0,
    )
    return Section("Joint", (plate,))


def top(job: Design) -> Section:
    """Boards, glue-up and the round cut."""
    return Section("Top", tuple(_top(job)))


def _top(job: Design) -> Iterator[Part]:
    drawn = _top_drawings(job)
    if job.boards is None:
        many = "top is" if job.brief.count == 1 else "tops are each"
        yield Text(f"The brief lists no boards, so the {many} shown as one glued-up panel.")
    for number, one in enumerate(job.tops, start=1):
        if one.boards is not None:
            yield from _boards(job, one, number)
        if number == 1:
            yield from _joints(job, drawn)
    yield from _round(job, drawn)


def _boards(job: Design, one: Design, number: int) -> Iterator[Part]:
    """The boards of one top of a lot, the first with its check."""
    found, sheet, match = one.boards, job.sheet, job.brief.top.match
    assert found is not None
    cuts = [Text(line, close=True) for line in cutting_lines(found, sheet, match, number > 1)]
    if number == 1:
        # Which strip lies where is on the drawing.
        _, (*paragraphs,) = board_rows(found, sheet)
        drawn = _top_drawings(job)
        covering = next(check for check in job.every_check if check.id == found.check.id)
        said = () if covering.verdict == "pass" else (check_text(covering),)
        in_turn = [IN_TURN] if len(job.laid) > 1 else []
        lines = map(Text, (*said, *paragraphs[:1], *in_turn))
        count = 0 if found.layout is None else len(found.layout.cut)
        layout, sawn = FEW_BOARDS.get(count, (130.0, 90.0))
        yield from _with_drawing(drawn, "board-layout", lines, layout)
        if cuts:
            title = f"Cutting the board{'' if count == 1 else 's'}"
            yield from _with_drawing(drawn, "board-cuts", cuts, sawn, title)
        return
    title = f"Top {number} of {job.brief.count}"
    if same := alike_before(job.tops, number):
        said_so = Text(f"Laid out and glued up as top {same}, from other boards of the same size.")
        yield Subheading(title)
        yield said_so
        yield from cuts
    elif found.layout is not None:
        every = top_drawings(one)
        drawn = {name: (alt, f"{name}-{number}", draw) for alt, name, draw in every}
        _, (*paragraphs,) = board_rows(found, sheet)
        beneath = [Text(paragraphs[0], close=True)]
        yield from _with_drawing(drawn, "board-layout", beneath, FURTHER_LAYOUT, title)
        yield from _with_drawing(drawn, "board-cuts", cuts, FURTHER_CUTS)
        yield from _joints(one, drawn, f"{title}: gluing up", job)


def _joints(
    job: Design, drawn: Mapping[str, Named], title: str = "", first: Design | None = None
) -> Iterator[Part]:
    """How a top is glued up; of a further top of a lot only what its first does not say."""
    if job.joints is None:
        return
    glued = job.joints.glue is not None
    before = None if first is None else first.joints
    lines = joint_lines(job.joints, job.sheet, "glue-up" in drawn, before)
    said = [Text(line, close=True) for line in lines]
    if said or glued:
        title = title or ("Gluing up" if glued else "A top of one board")
        least = 130.0 if first is None else FURTHER_GLUE_UP
        yield from _with_drawing(drawn, "glue-up", said, least, title)


def _round(job: Design, drawn: Mapping[str, Named]) -> Iterator[Part]:
    plan = job.trammel
    if plan is None:
        return
    edge = () if job.edge is None else job.edge.said()
    said = (*told((*plan.said(beside_drawing=True), *edge)), *jigs_for(job, TRAMMEL))
    # Above sockets, which begin a sheet, no line of its text is left on one of its own.
    least = 140.0 if job.on_posts else 118.0
    yield from _with_drawing(drawn, "trammel", said, least, "Routing the top round")


def fastening(job: Design) -> Section | None:
    """Plates, screws, pads, and bringing it level, or why not; None for splayed legs."""
    from tablekit.planning.fixing_plan import outside_rim

    plan, level = job.fixing, job.levelling
    why_not = outside_rim(job.sheet)
    if plan is None and not why_not:
        return None
    parts: list[Part] = [Text(why_not, "caution")] if why_not else []
    if plan is not None:
        said = told(plan.said(beside_drawing=True))
        parts += _with_drawing(_top_drawings(job), "fixing", said, 158.0)
    if level is not None:
        parts += [Subheading("Levelling")]
        parts += told(level.said())
    return Section("Fastening the top", tuple(parts))


def can_be_marked(job: Design) -> bool:
    """Whether there are posts that go together, and their notches can be marked out on them."""
    from tablekit.planning.post_marks import locked_words

    if not job.on_posts or locked_words(job.sheet):
        return False
    try:
        return bool(job.post_work.marks)
    except DesignError:
        return False


def _templates(job: Design) -> Iterator[Text]:
    """Where the faces lie at full size, and how they are printed."""
    if can_be_marked(job):
        yield Text(
            f"Full-size templates of the faces are in templates-{job.paper.lower()}.pdf. Print at "
            "100 %, not fitted to the page, and check the scale of each page with a rule."
        )


def seasons(job: Design) -> Section:
    """How the top moves, and how its strips cup."""
    drawn = _top_drawings(job)
    shown = tuple(_alone(*drawn[name]) for name in MOVING if name in drawn)
    return Section("The top over the seasons", shown, fresh=True)


def _alone(alt: str, name: str, lay_out: Callable[[Paper], Layout]) -> Drawing:
    """On a page of its own."""
    return drawing_of(alt, name, lambda paper: lay_out(paper).ink)


def _top_drawings(job: Design) -> dict[str, Named]:
    """The drawings of the top by their names."""
    every = (*top_drawings(job), *round_drawings(job))
    return {name: (alt, name, lay_out) for alt, name, lay_out in every}


def _with_drawing(
    drawn: Mapping[str, Named], name: str, said: Iterable[Words], least: float, title: str = ""
) -> Iterator[Part]:
    """What is said beneath the drawing that it speaks of, where there is that drawing."""
    if name in drawn:
        yield Plate(*drawn[name], tuple(said), least, title)
    else:
        yield from (Subheading(title),) if title else ()
        yield from said
