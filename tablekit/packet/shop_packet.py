"""The whole packet as a document: which sections, in which order."""

from __future__ import annotations

from collections.abc import Iterator

from tablekit.packet import bench, cover, planning_pages, standing_pages
from tablekit.packet.document import Document, Section
from tablekit.packet.job import Job
from tablekit.packet.summary import kind_line
from tablekit.packet.worked import worked_parts


def shop_packet(job: Job) -> Document:
    """Everything that goes to the shop with one piece."""
    return Document(job.sheet.name, kind_line(job.sheet), tuple(_sections(job)))


def _sections(job: Job) -> Iterator[Section]:
    yield cover.at_a_glance(job)
    if job.on_posts:
        yield bench.arrangement(job)
    for section in (bench.posts(job), bench.joint(job), bench.top(job), bench.fastening(job)):
        if section is not None:
            yield section
    yield planning_pages.cutting(job)
    yield planning_pages.working_order(job)
    finish = planning_pages.finishing(job)
    if finish is not None:
        yield finish
    yield standing_pages.standing(job)
    yield cover.checks(job)
    yield cover.assumed(job)
    yield Section("Working", tuple(worked_parts(job.sheet)), fresh=True)
    at_full_size = bench.templates(job)
    if at_full_size is not None:
        yield at_full_size
