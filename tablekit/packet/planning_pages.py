"""The pages of a packet that plan the work: cut list, buying, order of work, finishing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from tablekit.design import Design
from tablekit.engine.shop import (
    duration_text,
    share_text,
    shop_text,
    shop_text_up,
    sum_text,
    times,
)
from tablekit.packet.document import (
    Part,
    Section,
    Steps,
    Subheading,
    Table,
    Text,
    drawing_of,
    told,
)
from tablekit.planning.board_layout import SAW_KERF
from tablekit.planning.cut_list import CutLine
from tablekit.planning.fixing_plan import Fitting
from tablekit.planning.stock_cutting import Lane
from tablekit.planning.work_order import Task, moment

# What was made least of the planks, as it is said.
_LEAST = {
    "lower price": "No cheaper set of planks will do",
    "shorter planks": "No shorter total will do",
}


def cutting(job: Design) -> Section:
    """What is sawn out, what is bought, and out of which planks."""
    return Section("Cut list", tuple(_cutting(job)), fresh=not job.on_posts)


def _cutting(job: Design) -> Iterator[Part]:
    found = job.cut_list
    unit = job.sheet.shop_style.display
    woods = {line.wood for line in found.lines}
    alike = f"All of {found.lines[0].wood}. " if len(woods) == 1 else ""
    head: tuple[str, ...] = ("part", "no.", "finished", "rough", "wood", "note")
    rows: tuple[tuple[str, ...], ...] = tuple(_row(job, line) for line in found.lines)
    if alike:  # said once, and the sizes have the room
        head, *rest = (tuple(cell for k, cell in enumerate(row) if k != 4) for row in (head, *rows))
        rows = tuple(rest)
    yield Table(
        f"{_for(job.brief.count)}{alike}Length along the grain × width × thickness, {unit}. Saw to "
        "the rough size. Volumes and weights: cut-list.csv",
        head, rows, frozenset({1}), close=True,
    )  # fmt: skip
    if found.cauls:
        yield Text(_cauls(job), close=True)
    yield Subheading("To buy")
    bought = f"{found.bought_feet:.1f} board feet" if job.inches else f"{found.bought:.3f} m³"
    paid = "" if found.price is None else sum_text(found.price, job.brief.currency)
    price = f", for {paid} together" if paid else ""
    rack = ""
    if found.rack:
        feet = found.rack / found.bought * found.bought_feet
        much = f"{feet:.1f} board feet" if job.inches else f"{found.rack:.3f} m³"
        takes = "top takes" if job.brief.count == 1 else "tops take"
        rack = f" The {takes} another {much} from your rack."
    of = "of the two together" if found.rack else "of it"
    waste = f"{share_text(found.waste, 2)} {of} goes to waste."
    yield Text(f"Wood to buy: {bought}{price}.{rack} {waste}")
    yield from _planks(job)
    if found.fittings:
        yield _fittings(found.fittings)


def _cauls(job: Design) -> str:
    """How many cauls there are of each section, and how long the longest is."""
    style, said = job.sheet.shop_style, []
    for use, alike in groupby(job.cut_list.cauls, key=lambda one: one.use):
        first, *others = alike  # the longest comes first
        many = first.count + sum(one.count for one in others)
        section = times(*(shop_text(n, "mm", style) for n in (first.depth, first.thickness)))
        long = f"{'up to ' if others else ''}{shop_text(first.length, 'mm', style)} long"
        said.append(f"{many} for the {use}, {section}, {long}")
    return f"Cauls for gluing up, of any straight wood: {'; '.join(said)}."


def _fittings(fittings: Sequence[Fitting]) -> Table:
    return Table(
        "Fittings", ("what", "no.", "size"),
        tuple((one.name, str(one.count), one.size) for one in fittings), frozenset({1}),
        close=True,
    )  # fmt: skip


def _for(pieces: int) -> str:
    return f"For all {pieces} pieces. " if pieces > 1 else ""


def _row(job: Design, line: CutLine) -> tuple[str, ...]:
    style = job.sheet.shop_style
    both = (line.finished.text(style), line.rough.text(style, up=True))
    sizes = (text.removesuffix(f" {style.display}") for text in both)  # the caption has the unit
    return (line.part, str(line.count), *sizes, line.wood, line.note)


def _planks(job: Design) -> Iterator[Part]:
    found = job.cut_list
    if found.short:
        yield Text(f"Not enough planks: {found.short}.", "caution")
    if found.planks is None:
        return
    cut = found.planks
    if not job.brief.stock:
        yield Text("Usual sizes of a timber yard (common practice, no source).")
    taken = ", ".join(f"{count} of {name}" for name, count in cut.planks.items())
    price = "" if cut.price is None else f" for {sum_text(cut.price, job.brief.currency)}"
    yield Text(
        f"For the {job.base.sawn}: {taken}, {job.length(cut.length)} altogether{price}. "
        f"{_LEAST[cut.least]}. Ends and kerfs are allowed for."
    )
    lanes = [
        (_plank(lane, cut.planks), _end_to_end(lane.pieces), _spare(job, lane.spare), lane.width)
        for lane in cut.lanes
    ]
    several = len({lane.width for lane in cut.lanes}) > 1
    rows = tuple(
        (plank, str(count), *((shop_text_up(width, job.sheet.shop_style),) * several),
         pieces, spare)
        for (plank, pieces, spare, width), count in Counter(lanes).items()
    )  # fmt: skip
    wide = ("width",) * several
    yield Table(
        "What to saw from each plank, in strips along it",
        ("plank", "strips", *wide, "pieces in each, end to end", "offcut"), rows,
        frozenset({1, 2, 4} if several else {1, 3}), close=True,
    )  # fmt: skip


def _plank(lane: Lane, planks: Mapping[str, int]) -> str:
    """The plank of a strip, with its number where there are several."""
    return lane.plank if planks[lane.plank] == 1 else f"{lane.plank}, no. {lane.number}"


def _spare(job: Design, spare: float) -> str:
    """What is left of a strip of plank; none where it is no more than a saw takes."""
    return job.length(spare) if spare > SAW_KERF else "none"


def _end_to_end(pieces: Sequence[str]) -> str:
    """Pieces end to end, those alike counted: "5 × post lamination"."""
    return ", ".join(
        f"{count} × {piece}" for piece, alike in groupby(pieces) if (count := len(list(alike)))
    )


def working_order(job: Design) -> Section:
    """Tasks in order, with what dries meanwhile."""
    order = job.order
    lot = _lot(job)
    said = Text(
        f"{lot}About {order.hands / 60:.0f} hours at the bench over {_days(order.days)}, for one "
        "maker. Times, and how far arrises are eased, are common practice, no source."
    )
    names = {task.step.key: number for number, task in enumerate(order.tasks, start=1)}
    steps = Steps(tuple(_task(task, names) for task in order.tasks), boxes=True)
    return Section("Order of work", (said, steps), whole=True)


def _lot(job: Design) -> str:
    if job.brief.count == 1:
        return ""
    glued = any(one.joints is not None and one.joints.glue is not None for one in job.tops)
    each = "; the tops are glued up one at a time" if glued else ""
    where = "base" if job.on_posts else "piece"
    return (
        f"All {job.brief.count} pieces together: each task is set up once and done for all of them "
        f"before the next{each}. Number the {job.base.part}s of each {where} as they are fitted, "
        "and keep them together. "
    )


def days(job: Design) -> Section:
    """The chart of days."""
    from tablekit.drawing.days import lay_out_days

    order = job.order
    chart = drawing_of(
        f"The order of work as a chart of {_days(order.days)}.",
        "days",
        lambda paper: lay_out_days(order, job.sheet.name, paper),
        across=True,
    )
    return Section("Days", (chart,))


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _task(task: Task, names: dict[str, int]) -> str:
    if not task.step.hands:  # a place to stop at, not a task
        return f"{task.step.words}."
    hands = duration_text(60 * task.step.hands)
    how = f": {task.step.how}" if task.step.how else ""
    said = f"{task.step.words}{how}. Day {moment(task.start)['day']}: {hands}"
    if task.step.wait:
        said += f", then wait {duration_text(60 * task.step.wait)}"
    if task.meanwhile:
        numbers = ", ".join(str(names[key]) for key in task.meanwhile)
        said += f" (meanwhile {numbers})"
    return f"{said}."


def finishing(job: Design) -> Section | None:
    """Filling, sanding and coats."""
    plan = job.surface
    if plan is None:
        return None
    return Section("Finishing", tuple(told(plan.said(), close=False)))
