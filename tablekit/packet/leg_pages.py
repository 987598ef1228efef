"""The pages of a packet for splayed legs: sockets, legs, boring, fitting, levelling, gauge."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablekit.design import Design
from tablekit.packet.document import Part, Plate, Section, Steps, Subheading, Table, Text, told
from tablekit.packet.jig_pages import jigs_for
from tablekit.relations.jigs import STOP

if TYPE_CHECKING:
    from tablekit.planning.leg_work import LegWork

# Least heights of the drawings, mm.
APART, SEAT, SOCKET, GUIDE, BLOCK, LEG, FOOT = 58.0, 86.0, 55.0, 50.0, 62.0, 60.0, 58.0

STRETCHERS, MORE, MORTISE, PRESS = 44.0, 31.0, 46.0, 36.0
ROW = 8.0  # of sizes more, on a leg with mortises for stretchers


def parts(job: Design) -> Section | None:
    """The parts drawn apart, and how they go together; None for a base without legs."""
    from tablekit.drawing.apart import lay_out_apart

    work = job.leg_work
    if work is None or job.not_drawn:
        return None
    pulling = job.solids.pulling
    # How legs and stretchers go together is said with the fitting.
    told_there = work.joins is not None and not pulling.locked
    goes = Text(pulling.words, "caution" if pulling.locked else "plain")
    plate = Plate(
        f"Exploded view, upside down: legs 1 to {work.count} drawn out of their sockets.",
        "pulled-apart",
        partial(lay_out_apart, pulling),
        (*(() if told_there else (goes,)), *told(work.said_of_fitting())),
        least=APART,
        text="beside",
    )
    return Section("Fitting", (plate,))


def sockets(job: Design) -> Section | None:
    """Setting out; None for a base without legs."""
    from tablekit.drawing.leg_seat import lay_out_seat

    work = job.leg_work
    if work is None or job.not_drawn:
        return None
    underside = Plate(
        "The underside with the socket circle, the sockets and their sight lines.",
        "sockets",
        partial(lay_out_seat, work, job.solids.legs),
        tuple(told(work.said_of_marking())),
        least=SEAT,
    )
    return Section("Sockets", (underside,), fresh=True)


def boring(job: Design) -> Section | None:
    """Boring by the gauge; None for a base without legs."""
    from tablekit.drawing.leg_boring import lay_out_socket
    from tablekit.drawing.leg_gauge_use import lay_out_gauge_use
    from tablekit.drawing.leg_guide import lay_out_guide

    work = job.leg_work
    if work is None:
        return None
    plate = Plate(
        "A socket cut along its sight line, with the end of its leg.",
        "socket-section",
        partial(lay_out_socket, work),
        tuple(told(work.said_of_boring())),
        least=SOCKET,
        text="beside",
    )
    guide = Plate(
        "The bit beside the gauge, seen square to the sight line, and beside a square, seen along "
        "it.",
        "gauge-at-the-bit",
        partial(lay_out_gauge_use, work),
        tuple(told(work.said_of_guiding())),
        least=GUIDE,
        most=GUIDE,
    )
    block = Plate(
        "A guide block on the sight line, cut open: its hole, the bit at full depth and its stop.",
        "guide-block",
        partial(lay_out_guide, work),
        tuple(told(work.said_of_block())),
        least=BLOCK,
        text="beside",
    )
    return Section("Boring", (plate, guide, block, _press(work)))


def _press(work: LegWork) -> Plate:
    from tablekit.drawing.leg_press import lay_out_press

    return Plate(
        "A socket bored on a drill press, on the tilted table and on a wedge.",
        "drill-press",
        partial(lay_out_press, work),
        tuple(told(work.said_of_press())),
        least=PRESS,
        most=2 * PRESS,
    )


def gauge_and_checks(job: Design) -> Section | None:
    """The gauge at full size, and what is looked at, with boxes to tick; None for a base without
    legs."""
    from tablekit.drawing.leg_boring import lay_out_gauge

    work = job.leg_work
    if work is None:
        return None
    gauge = Plate(
        "The boring gauge at full size.",
        "boring-gauge",
        partial(lay_out_gauge, work),
        (Text(_of_the_gauge(work)),),
        least=_gauge_height(work),
    )
    checks = (Subheading("Check-list"), Steps(work.to_check(), boxes=True))
    return Section("Boring gauge, full size", (gauge, *checks), fresh=True)


def _gauge_height(work: LegWork) -> float:
    """What the gauge takes on the paper, mm: its own height, its sizes and the line below."""
    return work.bench.number("gauge_height") + 40.0


def _of_the_gauge(work: LegWork) -> str:
    return (
        "Glue the print to thin plywood or card and cut it out, or set a bevel to it: "
        f"{work.text('drill_angle')} with the underside. It leans {work.text('gauge_lean')} in a "
        f"height of {work.text('gauge_height')}; where the print does not, set the gauge by these."
    )


def legs(job: Design) -> Section | None:
    """Turning; None for a base without legs."""
    from tablekit.drawing.leg_turning import lay_out_leg

    work = job.leg_work
    if work is None:
        return None
    plate = Plate(
        "A leg as it is turned, with its tenon, its taper and the level cut of its foot.",
        "leg",
        partial(lay_out_leg, work),
        (*told(work.said_of_turning()), Text(_blank(job, work)), *jigs_for(job, STOP)),
        least=LEG + ROW * len(work.marks),
    )
    return Section("Legs", (plate, *_mortises(job, work)))


def _mortises(job: Design, work: LegWork) -> tuple[Part, ...]:
    """Boring the legs for their stretchers; nothing where there are none."""
    from tablekit.drawing.leg_stretchers import lay_out_mortise

    joins = work.joins
    if joins is None:
        return ()
    bored = Plate(
        "A leg in its cradle and the bit, at the bevel of its stretcher.",
        "mortise",
        partial(lay_out_mortise, work, joins),
        tuple(told(work.said_of_mortises())),
        least=MORTISE,
        text="beside",
        title="Mortises for the stretchers",
    )
    rows = tuple(
        (str(one.leg), one.towards, job.length(one.mark), job.measure(one.bevel, "deg"))
        for one in joins.mortises
    )
    head = ("leg", "towards", "from the shoulder", "bevel")
    return (bored,) if joins.alike else (bored, Table("", head, rows, close=True))


def stretchers(job: Design) -> Section | None:
    """Turning the stretchers; None where there are none."""
    from tablekit.drawing.leg_stretchers import lay_out_stretchers

    work = job.leg_work
    if work is None or work.joins is None:
        return None
    turned = Plate(
        "The stretchers, with their tenons and overall lengths.",
        "stretchers",
        partial(lay_out_stretchers, work, work.joins),
        tuple(told(work.said_of_stretchers())),
        least=STRETCHERS + MORE * (len(work.joins.lines) - 1),
    )
    return Section("Stretchers", (turned,))


def _blank(job: Design, work: LegWork) -> str:
    """From the square blank of the cut list to eight sides."""
    side = next(line for line in job.cut_list.lines if line.part == job.base.part).rough.width
    return (
        f"The blank is {job.length(side)} square. To make it round by hand, first plane it to "
        f"eight sides: lines {job.length(work.octagon(side))} from each arris, on every face."
    )


def levelling(job: Design) -> Section | None:
    """Marking the feet, cutting them, and what is looked at; None for a base without legs."""
    from tablekit.drawing.leg_levelling import lay_out_levelling

    work = job.leg_work
    if work is None:
        return None
    plate = Plate(
        "A leg on a flat board, its foot marked with a pencil on a block.",
        "levelling",
        partial(lay_out_levelling, work),
        (Steps(work.steps_of_levelling()),),
        least=FOOT,
        text="beside",
    )
    return Section("Levelling the feet", (plate,))
