"""The pages of a packet on tipping, the joint under load, and the people at the table."""

from __future__ import annotations

from collections.abc import Iterator

from tablekit.design import Design
from tablekit.engine.trouble import DesignError
from tablekit.packet.checks import VERDICTS, Once
from tablekit.packet.document import Part, Section, Subheading, Table, Text, drawing_of


def standing(job: Design) -> Section:
    """A hand on the rim, the joint, and who sits where."""
    parts = (*_tipping(job), *_joint(job), *_people(job))
    return Section("Stability, joint and knee room", parts)


def _tipping(job: Design) -> Iterator[Part]:
    from tablekit.drawing.tipping import lay_out_tipping
    from tablekit.planning.tipping_polar import published_loads
    from tablekit.planning.tipping_ways import ways_to_mend

    sheet = job.sheet
    try:
        mending = ways_to_mend(sheet)
    except DesignError as reason:
        yield Text(f"Tipping cannot be calculated: {reason}")
        return
    yield Subheading("Tipping")
    for line in mending.lines():
        yield Text(line)
    loads = published_loads(sheet)
    if loads:
        yield Text("Published test loads, for comparison, not as proof of compliance:")
        for one in loads:
            yield Text(one.words(sheet), "faint")
    yield drawing_of(
        "Plan of the feet, with the load on the rim that lifts a foot at every bearing.",
        "tipping",
        lambda paper: lay_out_tipping(sheet, paper, job.tipping).ink,
    )


def _joint(job: Design) -> Iterator[Part]:
    if not job.on_posts:
        return
    from tablekit.planning.joint_load import both_ways
    from tablekit.planning.notch_cutting import joint_advice

    sheet, found = job.sheet, job.joint_load
    yield Subheading("The joint under load")
    yield Text(found.said, "plain" if found.under_load is not None else "caution")
    once = Once()
    for check in () if found.under_load is None else found.checks:
        message = once(check.message, keep=check.verdict != "pass")
        yield Text(f"{VERDICTS[check.verdict]}: {check.name}. {message}")
    both = both_ways(sheet, place=found.place)
    yield Table(
        "Sum of the forces in the joint, as a multiple of a central load",
        ("held by", "notches up", "notches down"),
        tuple((row.held_by, _ratio(row.notches_up), _ratio(row.notches_down)) for row in both.rows),
        frozenset({1, 2}),
    )
    yield Text(both.words)
    for advice in joint_advice(sheet):
        yield Text(f"{advice.text} Source: {advice.source}.", "faint")


def _ratio(number: float | None) -> str:
    return "not held" if number is None else f"{number:.3g}"


def _people(job: Design) -> Iterator[Part]:
    from tablekit.drawing.sitters import People, lay_out_sitters

    seated, chair = job.sitters, job.wheelchair
    if seated is None:
        return
    yield Subheading("People at the table")
    yield Text(seated.text())
    if chair is None:
        return
    yield Text(chair.text())
    people = People(job.sheet, job.solids.model, seated, chair)
    yield drawing_of(
        "Places round the table, with the posts cut horizontally at knee height.",
        "sitters",
        lambda paper: lay_out_sitters(people, paper).ink,
    )


def carrying(job: Design) -> Section | None:
    """What is carried, through which opening, what comes apart and what is packed."""
    found = job.delivery
    if found is None:
        return None
    head = ("part", "to a piece", "weighs", "opening")
    parts = Table("What is carried", head, found.rows(), frozenset({1, 2, 3}), close=True)
    rows = tuple((one.name, str(one.count), one.remark) for one in found.packing)
    packed = Table("To pack (common practice, no source)", ("what", "no.", ""), rows,
                   frozenset({1}), close=True)  # fmt: skip
    return Section("Getting it there", (parts, *map(Text, found.lines()), packed), whole=True)


def pricing(job: Design) -> Section | None:
    """What the pieces cost and the price; None where the brief asks for none."""
    found = job.quote
    if found is None:
        return None
    caption = "For the maker alone; what a customer is given is quote.pdf"
    table = Table(caption, ("what", "sum", ""), found.rows(), frozenset({1}), close=True)
    return Section("Price", (table, *map(Text, found.lines())), whole=True)
