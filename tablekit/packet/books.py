"""The two books of a packet: what is taken to the bench, and why it is so."""

from __future__ import annotations

from collections.abc import Iterator

from tablekit.design import Design
from tablekit.packet import bench, cover, leg_pages, planning_pages, standing_pages
from tablekit.packet.document import Document, Section
from tablekit.packet.summary import piece_line
from tablekit.packet.worked import worked_parts


def bench_book(job: Design) -> Document:
    """The card, drawings, cut list and order of work; then marking, cutting, gluing and fixing."""
    return Document(job.sheet.name, piece_line(job), tuple(_bench(job)))


def reasons_book(job: Design) -> Document:
    """Every check, assumption and source, how it stands and moves, and the working."""
    what = "What was checked and assumed, and how the sizes came about."
    return Document(f"{job.sheet.name}: reasons", what, tuple(_reasons(job)))


def _bench(job: Design) -> Iterator[Section]:
    yield cover.at_a_glance(job)
    if (made := bench.as_cut(job)) is not None:
        yield made
    if not job.not_drawn:
        yield bench.arrangement(job)
    found = (
        bench.parts(job), planning_pages.cutting(job), planning_pages.working_order(job),
        bench.posts(job), bench.joint(job), bench.top(job), bench.fastening(job),
        leg_pages.sockets(job), leg_pages.boring(job), leg_pages.legs(job),
        leg_pages.stretchers(job), leg_pages.parts(job),
        leg_pages.levelling(job), planning_pages.finishing(job), leg_pages.gauge_and_checks(job),
    )  # fmt: skip
    yield from (section for section in found if section is not None)


def _reasons(job: Design) -> Iterator[Section]:
    yield cover.assumed(job)
    yield cover.checks(job)
    yield standing_pages.standing(job)
    yield planning_pages.days(job)
    found = (standing_pages.carrying(job), standing_pages.pricing(job))
    yield from (section for section in found if section is not None)
    seasons = bench.seasons(job)
    if seasons.parts:
        yield seasons
    yield Section("Working", tuple(worked_parts(job.sheet)))
