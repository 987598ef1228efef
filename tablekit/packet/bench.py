"""The pages of a packet for the bench: posts, joint, top, fastening."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.drawing.style import Paper
from tablekit.engine.trouble import DesignError
from tablekit.packet.document import (
    ACROSS,
    Drawing,
    Part,
    Section,
    Subheading,
    Text,
    drawing_of,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.packet.top_drawings import Named

UNWRAPPED = 100_000  # characters: a paragraph stays one line
# Which drawings of the top go with which part of the work.
GLUING, CUTTING, FIXING = ("board-layout", "glue-up"), ("trammel",), ("fixing",)
MOVING = ("end-grain", "movement")


def arrangement(job: Design) -> Section:
    """Elevation and plan."""
    from tablekit.drawing.general import draw_general

    alt = f"General arrangement of {job.sheet.name}: elevation and plan with the main sizes."
    drawing = drawing_of(
        alt,
        "general-arrangement",
        lambda paper: draw_general(job.sheet, paper=paper, model=job.solids.model),
    )
    return Section("General arrangement", (drawing,), fresh=True)


def posts(job: Design) -> Section | None:
    """Marking out and cutting the posts; None for a base without them."""
    from tablekit.planning.post_text import marking_text

    if not job.on_posts:
        return None
    try:
        work = job.post_work
        kinds = len(work.marks)
        text = marking_text(job.sheet, UNWRAPPED, job.tools, beside_drawing=True, work=work)
    except DesignError as reason:
        return Section("Posts", (Text(f"The posts cannot be marked out: {reason}", "caution"),))
    parts = (*told(text), *_templates(job), *_faces(job, kinds))
    return Section("Posts, face by face", parts)


def _faces(job: Design, kinds: int) -> Iterator[Drawing]:
    for which in range(kinds):
        name = "post-faces" if which == 0 else f"post-faces-{which + 1}"
        yield drawing_of(
            "The four faces of a post laid flat, with every knife line measured from the foot end.",
            name,
            partial(_draw_faces, job, which),
            ACROSS,
        )


def _draw_faces(job: Design, which: int, paper: Paper) -> Figure:
    from tablekit.drawing.ink import printed
    from tablekit.drawing.post_faces import lay_out_faces

    return printed(lay_out_faces(job.sheet, job.post_work.marks[which], paper), paper)


def told(text: str) -> Iterator[Part]:
    """A plain text set for an endless line, as parts: a line after an empty one is a heading,
    indented ones are paragraphs. The first line, a title, is left out."""
    lines = text.rstrip().splitlines()[1:]
    for before, line in zip(["", *lines], lines, strict=False):
        if not line:
            continue
        tone = "caution" if line.strip().startswith("Caution") else "plain"
        if not before and not line.startswith(" ") and len(line) < 90 and tone == "plain":
            yield Subheading(line)
        else:
            yield Text(line.strip(), tone, close=True)  # type: ignore[arg-type]


def joint(job: Design) -> Section | None:
    """How the posts go together."""
    if not job.on_posts:
        return None
    from tablekit.drawing.apart import draw_apart
    from tablekit.drawing.joint import draw_joint

    sheet, solids = job.sheet, job.solids
    parts: list[Part] = [
        drawing_of(
            "Horizontal section through the joint, end grain hatched; one notch with its sizes.",
            "joint",
            lambda paper: draw_joint(sheet, paper=paper, solids=solids),
        ),
        drawing_of(
            f"Exploded view. {solids.pulling.words}",
            "pulled-apart",
            lambda paper: draw_apart(sheet, paper=paper, found=solids.pulling),
        ),
    ]
    goes = solids.assembly.verdict == "goes together"
    said = Text(solids.pulling.words, "plain" if goes else "caution")
    return Section("Joint", (said, *parts))


def top(job: Design) -> Section:
    """Boards, glue-up and the round cut."""
    return Section("Top", tuple(_top(job)))


def _top(job: Design) -> Iterator[Part]:
    from tablekit.packet.board_text import board_rows, check_text

    found, sheet = job.boards, job.sheet
    if found is None:
        yield Text("The brief lists no boards, so the top is shown as one glued-up panel.")
    else:
        # Which strip lies where is on the drawing.
        _, paragraphs = board_rows(found, sheet)
        said = () if found.check.verdict == "pass" else (check_text(found),)
        for text in (*said, *paragraphs):
            yield Text(text)
    yield from _joints(job)
    yield from _round(job)


def _joints(job: Design) -> Iterator[Part]:
    from tablekit.packet.top_text import joint_lines

    if job.joints is None:
        return
    yield Subheading("Gluing up")
    for line in joint_lines(job.joints, job.sheet):
        yield Text(line, close=True)
    yield from _board_drawings(job, GLUING)


def _round(job: Design) -> Iterator[Part]:
    plan = job.trammel
    if plan is not None:
        yield Subheading("Routing the top round")
        for line in plan.text(beside_drawing=True).splitlines():
            yield Text(line.strip(), close=True)
    yield from _round_drawings(job, CUTTING)


def fastening(job: Design) -> Section | None:
    """Plates, screws, pads, and bringing it level, or why not; None for splayed legs."""
    from tablekit.planning.fixing_plan import outside_rim

    plan, level = job.fixing, job.levelling
    why_not = outside_rim(job.sheet)
    if plan is None and not why_not:
        return None
    parts: list[Part] = [Text(why_not, "caution")] if why_not else []
    if plan is not None:
        parts += [Text(line.strip(), close=True) for line in plan.text().splitlines()]
    if level is not None:
        parts += [Subheading("Levelling")]
        parts += [Text(line.strip(), close=True) for line in level.text().splitlines()]
    parts += _round_drawings(job, FIXING)
    return Section("Fastening the top", tuple(parts))


def can_be_marked(job: Design) -> bool:
    """Whether there are posts that go together, and their notches can be marked out on them."""
    from tablekit.planning.notches import locked_words

    if not job.on_posts or locked_words(job.sheet):
        return False
    try:
        return bool(job.post_work.marks)
    except DesignError:
        return False


def _templates(job: Design) -> Iterator[Text]:
    """Where the faces lie at full size, and how they are printed."""
    if can_be_marked(job):
        paper = "letter" if job.inches else "a4"
        yield Text(
            f"Full-size templates of the faces are in templates-{paper}.pdf. Print at 100 %, not "
            "fitted to the page, and check the scale of each page with a rule."
        )


def seasons(job: Design) -> Section:
    """How the top moves, and how its strips cup."""
    drawn = (*_board_drawings(job, MOVING), *_round_drawings(job, MOVING))
    return Section("The top over the seasons", drawn, fresh=True)


def _board_drawings(job: Design, names: Collection[str]) -> Iterator[Drawing]:
    from tablekit.packet.top_drawings import top_drawings

    return _named(top_drawings(job), names)


def _round_drawings(job: Design, names: Collection[str]) -> Iterator[Drawing]:
    from tablekit.packet.top_drawings import round_drawings

    return _named(round_drawings(job), names)


def _named(found: Iterable[Named], names: Collection[str]) -> Iterator[Drawing]:
    return (drawing_of(alt, name, draw) for alt, name, draw in found if name in names)
