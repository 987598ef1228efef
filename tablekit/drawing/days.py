"""The order of work as a chart of days: a row for each task, a column for each working day.

Times come from the plan; here they are only placed on the paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label, printed
from tablekit.drawing.style import A4_ACROSS, Paper
from tablekit.relations.work import DAY

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.planning.work_order import Task, WorkOrder

HEAD, TITLE = 16.0, 14.0
HIGHEST_ROW, BAR = 8.0, 0.56  # of a row; share of it that the bar fills
MOST_WORDS = 0.42  # of the paper's width
TICK = 1.4
SHORTEST = 0.8  # a bar of less would not be seen
LEAST_ROW = 3.6


@dataclass(frozen=True)
class _Grid:
    """Where hours and rows lie on the paper."""

    left: float
    right: float
    top: float
    row: float
    days: int
    day: tuple[float, float]

    def x(self, minutes: float) -> float:
        """A moment: each day has a column, in which only its working hours have room."""
        day = min(int(minutes // DAY), self.days - 1)
        start, end = self.day
        within = min(max(minutes - day * DAY, start), end)
        column = (self.right - self.left) / self.days
        return self.left + column * (day + (within - start) / (end - start))

    def y(self, row: int) -> float:
        """The middle of a row."""
        return self.top - (row + 0.5) * self.row


def draw_days(
    order: WorkOrder, name: str, figure: Figure | None = None, paper: Paper = A4_ACROSS
) -> Figure:
    """The plan on `paper`; on `figure` or a fresh one.

    Raises ValueError for an empty plan, or one with more tasks than the paper has room for."""
    return printed(lay_out_days(order, name, paper), paper, figure)


def lay_out_days(order: WorkOrder, name: str, paper: Paper = A4_ACROSS) -> Ink:
    """The chart, before it becomes artists."""
    if not order.tasks:
        raise ValueError("a plan without tasks has no chart")
    ink = Ink()
    frame = _frame(order, paper)
    _days(ink, frame, order)
    for row, task in enumerate(order.tasks):
        _task(ink, frame, task, row, paper)
    _title(ink, name, order, paper)
    return ink


def _frame(order: WorkOrder, paper: Paper) -> _Grid:
    room = paper.height - 2 * paper.margin - HEAD - TITLE
    row = min(HIGHEST_ROW, room / len(order.tasks))
    if row < LEAST_ROW:
        raise ValueError(
            f"a sheet {paper.height:g} mm high has no room for {len(order.tasks)} tasks"
        )
    words = max(style.text_width(task.step.words) for task in order.tasks)
    left = paper.margin + min(words, MOST_WORDS * paper.width) + 4.0
    top = paper.height - paper.margin - HEAD
    return _Grid(left, paper.width - paper.margin, top, row, order.days, order.day)


def _days(ink: Ink, frame: _Grid, order: WorkOrder) -> None:
    """Day numbers, hours at either end of each, and the lines between days."""
    low = frame.y(len(order.tasks) - 1) - frame.row / 2
    column = (frame.right - frame.left) / frame.days
    for day in range(frame.days + 1):
        x = frame.left + day * column
        ink.line("thin", (x, low), (x, frame.top + TICK))
    ink.line("thin", (frame.left, frame.top), (frame.right, frame.top))
    ink.line("thin", (frame.left, low), (frame.right, low))
    last, gap = frame.days, 1.6
    said = "Day {}" if style.text_width(f"Day {last}", bold=True) + gap < column else "{}"
    # Where even the numbers stand too close, only some of the days are told.
    every = 1
    while style.text_width(f"{last}", bold=True) + gap > column * every:
        every *= 2
    hours = f"{_clock(order.day[0])} to {_clock(order.day[1])}"
    for day in range(0, frame.days, every):
        x = frame.left + (day + 0.5) * column
        ink.labels.append(Label(said.format(day + 1), x, frame.top + 6.6, bold=True))
        if style.text_width(hours) + gap < column:
            ink.labels.append(Label(hours, x, frame.top + 2.2, colour=style.FAINT))


def _clock(minutes: float) -> str:
    return f"{int(minutes) // 60}:{int(minutes) % 60:02d}"


def _task(ink: Ink, frame: _Grid, task: Task, row: int, paper: Paper) -> None:
    y, half = frame.y(row), frame.row * BAR / 2
    room = frame.left - paper.margin - 3.0
    base = y - style.CAP * style.TEXT * style.MM_PER_POINT / 2
    ink.labels.append(Label(style.fitted(task.step.words, room), paper.margin, base, "left"))
    if task.step.wait:
        start, end = frame.x(task.done), frame.x(task.ready)
        ink.line("hidden", (start, y), (max(end, start), y))
    for start, end in task.spells if task.step.hands else ():
        left, right = frame.x(start), frame.x(end)
        right = max(right, left + SHORTEST)
        corners = [(left, y - half), (right, y - half), (right, y + half), (left, y + half)]
        ink.areas.append((corners, style.POST_TONES[2] if task.step.whole else style.POST_TONES[1]))
        ink.line("thin", *corners, corners[0])


def _title(ink: Ink, name: str, order: WorkOrder, paper: Paper) -> None:
    left, right, top = paper.margin, paper.width - paper.margin, paper.margin + TITLE - 3.0
    ink.line("thin", (left, top), (right, top))
    days = "day" if order.days == 1 else "days"
    hands = f"{order.hands / 60:.0f} h at the bench on {order.days} {days}"
    room = right - left - style.text_width(hands) - 8.0
    title = style.fitted(name or "Untitled", room, style.TITLE, bold=True)
    ink.labels.append(Label(title, left, top - 5.2, "left", size=style.TITLE, bold=True))
    ink.labels.append(Label(hands, right, top - 5.2, "right"))
    said = (
        "Order of work. Bars: work at the bench, darker where it cannot be interrupted; dashed: "
        "waiting for glue, filler or oil, nights included."
    )
    ink.labels.append(
        Label(style.fitted(said, right - left), left, top - 10.4, "left", colour=style.FAINT)
    )
