"""The pages of a packet for the bench: posts, joint, top, fastening."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.drawing.style import Paper
from tablekit.engine.trouble import DesignError
from tablekit.packet.as_cut_text import as_cut_rows, work_text
from tablekit.packet.document import (
    Drawing,
    Part,
    Plate,
    Section,
    Subheading,
    Table,
    Text,
    drawing_of,
)
from tablekit.packet.top_drawings import round_drawings, top_drawings
from tablekit.packet.top_text import joint_lines

if TYPE_CHECKING:
    from tablekit.drawing.general import Layout
    from tablekit.packet.top_drawings import Named

UNWRAPPED = 100_000  # characters: a paragraph stays one line
MOVING = ("end-grain", "movement")  # drawings of the top that are in the other book
Words = Text | Subheading


def arrangement(job: Design) -> Section:
    """Elevation and plan."""
    from tablekit.drawing.general import lay_out
    from tablekit.drawing.views import subject

    alt = f"General arrangement of {job.sheet.name}: elevation and plan with the main sizes."
    drawing = drawing_of(
        alt,
        "general-arrangement",
        lambda paper: lay_out(subject(job.sheet, job.solids.model), paper).ink,
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
        least=85.0,
        text="beside",
    )
    return Section("The parts", (plate,), fresh=True)


def _lying(job: Design) -> Iterator[Words]:
    """Which post lies in which notch."""
    from tablekit.planning.post_text import lying_text

    try:
        text = lying_text(job.post_work, UNWRAPPED)
    except DesignError:  # the page of the posts says why
        return
    yield from told(text)


def posts(job: Design) -> Section | None:
    """Marking out the posts; None for a base without them."""
    from tablekit.planning.post_text import faces_text

    if not job.on_posts:
        return None
    try:
        kinds = job.post_work.marks
        text = faces_text(job.post_work, UNWRAPPED)
    except DesignError as reason:
        return Section("Posts", (Text(f"The posts cannot be marked out: {reason}", "caution"),))
    said = (*told(text), *_templates(job))
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


def told(text: str) -> Iterator[Words]:
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


def as_cut(job: Design) -> Section | None:
    """What is cut already, for the bench; None where nothing is."""
    made = job.as_cut
    if made is None:
        return None
    rows = tuple(as_cut_rows(job))
    said = f"{made.verdict[0].upper()}{made.verdict[1:]}"
    head = ("what", "size", "from where to where")
    listed = tuple(
        (f"{number}. {one.what}", f"{one.text} {work_text(one)}")
        for number, one in enumerate(made.remedies, start=1)
    )
    ways = (Table("What to do now, the least work first", ("way", "how"), listed, lead=0.2),)
    return Section(
        "As cut",
        (Text(said), Table("How it stands", head, rows, frozenset({1}), close=True),
         *(ways if listed else ())),
    )  # fmt: skip


def joint(job: Design) -> Section | None:
    """The joint in section, and cutting the notches."""
    if not job.on_posts:
        return None
    from tablekit.drawing.joint import lay_out_joint
    from tablekit.planning.post_text import notch_text

    try:
        said = tuple(told(notch_text(job.post_work, UNWRAPPED, job.tools)))
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
    from tablekit.packet.board_text import board_rows, check_text, cutting_lines

    found, sheet = job.boards, job.sheet
    drawn = _top_drawings(job)
    if found is None:
        yield Text("The brief lists no boards, so the top is shown as one glued-up panel.")
    else:
        # Which strip lies where is on the drawing.
        _, (*paragraphs,) = board_rows(found, sheet)
        said = () if found.check.verdict == "pass" else (check_text(found),)
        yield from _with_drawing(drawn, "board-layout", map(Text, (*said, *paragraphs[:1])), 130.0)
        cuts = [Text(line, close=True) for line in cutting_lines(found, sheet, job.brief.top.match)]
        if cuts:
            yield from _with_drawing(drawn, "board-cuts", cuts, 90.0, "Cutting the boards")
    yield from _joints(job, drawn)
    yield from _round(job, drawn)


def _joints(job: Design, drawn: Mapping[str, Named]) -> Iterator[Part]:
    if job.joints is None:
        return
    lines = joint_lines(job.joints, job.sheet, beside_drawing="glue-up" in drawn)
    said = [Text(line, close=True) for line in lines]
    yield from _with_drawing(drawn, "glue-up", said, 130.0, "Gluing up")


def _round(job: Design, drawn: Mapping[str, Named]) -> Iterator[Part]:
    plan = job.trammel
    if plan is None:
        return
    lines = plan.text(beside_drawing=True).splitlines()
    said = [Text(line.strip(), close=True) for line in lines]
    yield from _with_drawing(drawn, "trammel", said, 140.0, "Routing the top round")


def fastening(job: Design) -> Section | None:
    """Plates, screws, pads, and bringing it level, or why not; None for splayed legs."""
    from tablekit.planning.fixing_plan import outside_rim

    plan, level = job.fixing, job.levelling
    why_not = outside_rim(job.sheet)
    if plan is None and not why_not:
        return None
    parts: list[Part] = [Text(why_not, "caution")] if why_not else []
    if plan is not None:
        lines = plan.text(beside_drawing=True).splitlines()
        said = [Text(line.strip(), close=True) for line in lines]
        parts += _with_drawing(_top_drawings(job), "fixing", said, 158.0)
    if level is not None:
        parts += [Subheading("Levelling")]
        parts += [Text(line.strip(), close=True) for line in level.text().splitlines()]
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
