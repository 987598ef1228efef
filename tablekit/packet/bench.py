"""The pages of a packet for the bench: posts, joint, top, fastening."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import partial
from typing import TYPE_CHECKING

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
from tablekit.packet.job import Job

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.packet.top_drawings import Named

UNWRAPPED = 100_000  # characters: a paragraph stays one line
# Which drawings of the top go with which part of the work.
GLUING, CUTTING, FIXING = ("board-layout", "glue-up"), ("trammel",), ("fixing",)
MOVING = ("end-grain", "movement")


def arrangement(job: Job) -> Section:
    """Elevation and plan."""
    from tablekit.drawing.general import draw_general

    alt = f"General arrangement of {job.sheet.name}: elevation and plan with the main sizes."
    drawing = drawing_of(
        alt, "general-arrangement", lambda paper: draw_general(job.sheet, paper=paper)
    )
    return Section("General arrangement", (drawing,), fresh=True)


def posts(job: Job) -> Section | None:
    """Marking out and cutting the posts; None for a base without them."""
    from tablekit.packet.shop_plans import tools
    from tablekit.planning.post_text import marking_text
    from tablekit.planning.setting_out_posts import post_marks

    if not job.on_posts:
        return None
    try:
        kinds = len(post_marks(job.sheet))
        own = tools(job.brief, job.sheet)
        text = marking_text(job.sheet, UNWRAPPED, own, beside_drawing=True)
    except DesignError as reason:
        return Section("Posts", (Text(f"The posts cannot be marked out: {reason}", "caution"),))
    parts = (*told(text), *_templates(job), *_faces(job, kinds))
    return Section("Posts, face by face", parts)


def _faces(job: Job, kinds: int) -> Iterator[Drawing]:
    for which in range(kinds):
        name = "post-faces" if which == 0 else f"post-faces-{which + 1}"
        yield drawing_of(
            "The four faces of a post laid flat, with every knife line measured from the foot end.",
            name,
            partial(_draw_faces, job, which),
            ACROSS,
        )


def _draw_faces(job: Job, which: int, paper: Paper) -> Figure:
    from tablekit.drawing.post_faces import draw_post_faces

    return draw_post_faces(job.sheet, which, paper=paper)


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


def joint(job: Job) -> Section | None:
    """How the posts go together."""
    if not job.on_posts:
        return None
    from tablekit.drawing.apart import draw_apart
    from tablekit.drawing.joint import draw_joint
    from tablekit.solids.assembly import assemble

    sheet = job.sheet
    found = assemble(sheet)
    parts: list[Part] = [
        drawing_of(
            "Horizontal section through the joint, end grain hatched; one notch with its sizes.",
            "joint",
            lambda paper: draw_joint(sheet, paper=paper),
        ),
        drawing_of(
            f"Exploded view. {job.pulled.words}",
            "pulled-apart",
            lambda paper: draw_apart(sheet, paper=paper),
        ),
    ]
    said = Text(job.pulled.words, "plain" if found.verdict == "goes together" else "caution")
    return Section("Joint", (said, *parts))


def top(job: Job) -> Section:
    """Boards, glue-up and the round cut."""
    return Section("Top", tuple(_top(job)))


def _top(job: Job) -> Iterator[Part]:
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


def _joints(job: Job) -> Iterator[Part]:
    from tablekit.packet.top_text import joint_lines

    if job.joints is None:
        return
    yield Subheading("Gluing up")
    for line in joint_lines(job.joints, job.sheet):
        yield Text(line, close=True)
    yield from _board_drawings(job, GLUING)


def _round(job: Job) -> Iterator[Part]:
    from tablekit.packet.shop_plans import trammel

    plan = trammel(job.sheet)
    if plan is not None:
        yield Subheading("Routing the top round")
        for line in plan.text(beside_drawing=True).splitlines():
            yield Text(line.strip(), close=True)
    yield from _round_drawings(job, CUTTING)


def fastening(job: Job) -> Section | None:
    """Plates, screws, pads, and bringing it level, or why not; None for splayed legs."""
    from tablekit.packet.shop_plans import fixing
    from tablekit.planning.fixing_plan import outside_rim
    from tablekit.planning.levelness import levelling

    plan, level = fixing(job.sheet), levelling(job.sheet)
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


def can_be_marked(job: Job) -> bool:
    """Whether there are posts that go together, and their notches can be marked out on them."""
    from tablekit.planning.notches import locked_words
    from tablekit.planning.setting_out_posts import post_marks

    if not job.on_posts or locked_words(job.sheet):
        return False
    try:
        return bool(post_marks(job.sheet))
    except DesignError:
        return False


def _templates(job: Job) -> Iterator[Text]:
    """Where the faces lie at full size, and how they are printed."""
    if can_be_marked(job):
        paper = "letter" if job.inches else "a4"
        yield Text(
            f"Full-size templates of the faces are in templates-{paper}.pdf. Print at 100 %, not "
            "fitted to the page, and check the scale of each page with a rule."
        )


def seasons(job: Job) -> Section:
    """How the top moves, and how its strips cup."""
    drawn = (*_board_drawings(job, MOVING), *_round_drawings(job, MOVING))
    return Section("The top over the seasons", drawn, fresh=True)


def _board_drawings(job: Job, names: Collection[str]) -> Iterator[Drawing]:
    from tablekit.packet.top_drawings import top_drawings

    return _named(top_drawings(job.brief, job.sheet), names)


def _round_drawings(job: Job, names: Collection[str]) -> Iterator[Drawing]:
    from tablekit.packet.top_drawings import round_drawings

    return _named(round_drawings(job.sheet), names)


def _named(found: Iterable[Named], names: Collection[str]) -> Iterator[Drawing]:
    return (drawing_of(alt, name, draw) for alt, name, draw in found if name in names)
