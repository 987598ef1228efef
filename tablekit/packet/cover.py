"""The first pages of a packet: the picture, the wish, the answer, and how it stands."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.engine.sheet import CheckResult
from tablekit.packet.asked_text import assumed_settings
from tablekit.packet.checks import every_note, not_checked, number_text, past_as_marked
from tablekit.packet.document import Inset, Part, Section, Subheading, Table, Text
from tablekit.packet.job import Job
from tablekit.packet.once import Once
from tablekit.packet.plain_page import words
from tablekit.packet.summary import CAUTION, assumed_rows

PICTURE_HEIGHT = 92.0
PASS = "pass"
VERDICTS = {PASS: "pass", "caution": "CAUTION", "fail": "FAIL"}
# What a maker wants to know first, as far as the piece has it.
ANSWER = (
    "table_height", "seat_height", "top_diameter", "top_thickness", "knee_clearance", "seats",
    "overhang", "post_section", "post_length", "splay", "let_in", "notch_position", "leg_diameter",
    "leg_length", "leg_resultant", "foot_radius", "foot_spread", "base_height", "total_mass",
    "tipping_load", "top_movement",
)  # fmt: skip


def at_a_glance(job: Job) -> Section:
    """Picture, wish, answer, and what stands against it."""
    parts: list[Part] = []
    if job.on_posts:
        parts.append(
            Inset(
                f"{job.sheet.name}, seen from above and to one side: posts 1, 2 and 3 under the "
                "round top.",
                lambda paper: _picture(job, paper),
                PICTURE_HEIGHT,
            )
        )
    parts += [_asked(job), _answer(job), *_standing(job), Text(CAUTION, "caution")]
    return Section("At a glance", tuple(parts))


def _picture(job: Job, paper: Paper) -> Ink:
    from tablekit.drawing.apart import picture

    return picture(job.pulled, 0.0, paper)


def _asked(job: Job) -> Table:
    sheet, brief = job.sheet, job.brief
    rows = []
    for name, number in brief.givens.items():
        shop = sheet.shop(name)
        typed = getattr(number, "text", "") or shop
        rows.append((words(name), typed, "" if typed == shop else f"read as {shop}"))
    if brief.wood.species:
        cut = f", {brief.wood.cut}" if brief.wood.cut else ""
        rows.append(("wood", f"{brief.wood.species}{cut}", ""))
    return Table("What was asked for", ("wish", "as written", ""), tuple(rows))


def _answer(job: Job) -> Table:
    sheet = job.sheet
    rows = []
    for name in ANSWER:
        value = sheet.values.get(name)
        if value is None or value.number is None:
            continue
        origin = "" if value.origin == "found" else value.origin
        rows.append((words(name), sheet.shop(name), value.quantity.meaning, origin))
    return Table(
        "The answer. Every size is in summary.txt; sheet.json has them unrounded",
        ("what", "size", "meaning", ""), tuple(rows), frozenset({1}),
    )  # fmt: skip


def _standing(job: Job) -> Iterator[Part]:
    yield Subheading("How it stands")
    for note in not_checked(job.sheet):
        yield Text(note, "caution")
    found = job.checks
    counts = [(verdict, sum(c.verdict == verdict for c in found)) for verdict in VERDICTS]
    said = ", ".join(f"{count} {VERDICTS[verdict]}" for verdict, count in counts)
    yield Text(f"Of {len(found)} checks: {said}.{past_as_marked(job.brief, job.sheet)}")
    for check in found:
        if check.verdict != "pass":
            said = f"{VERDICTS[check.verdict]}: {check.name}. {check.message}"
            yield Text(said, "caution")


def assumed(job: Job) -> Section:
    """What nothing in the brief settles, and why it was taken so."""
    shaping = Table(
        "What shapes the piece. Give any of these in the brief to settle it otherwise",
        ("what", "taken as", "why, and where from"),
        tuple(assumed_rows(job.sheet, job.brief)),
    )
    settings = assumed_settings(job.sheet)
    half = (len(settings) + 1) // 2
    # Two to a row, read down the left and then down the right.
    rows = zip_longest(settings[:half], settings[half:], fillvalue=("", ""))
    pairs = Table(
        "Taken as usual in a shop; give yours below [given]",
        ("what", "taken as", "what", "taken as"),
        tuple((*left, *right) for left, right in rows),
    )
    return Section("Assumed", (shaping, pairs) if settings else (shaping,))


def checks(job: Job) -> Section:
    """Every check with its limit and source."""
    once = Once()
    rows = tuple(
        (
            f"{VERDICTS[c.verdict]}: {c.name}. {_found(job, c)}".strip(),
            f"{once(c.message, keep=c.verdict != PASS)} Source: {c.source}.",
        )
        for c in job.checks
    )
    head = ("check", "what it means")
    table = Table("What the piece was checked against", head, rows, lead=0.32)
    notes = tuple(Text(note, "faint") for note in every_note(job.sheet, job.brief))
    return Section("Checks", (table, *notes))


def _found(job: Job, check: CheckResult) -> str:
    if check.value is None or check.value != check.value:
        return ""
    found = number_text(job.sheet, check, check.value)
    if check.limit is None or check.limit != check.limit:  # nan where both sides are open
        return found
    return f"{found} (limit {number_text(job.sheet, check, check.limit)})"
