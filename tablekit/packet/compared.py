"""A comparison of two briefs as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.wording import capital, words
from tablekit.packet.plain_page import PlainPage
from tablekit.planning.compare import compare
from tablekit.relations.wording import GROUPS

if TYPE_CHECKING:
    from tablekit.comparing import Compared
    from tablekit.planning.compare import Changed

AUXILIARY = "Other numbers that change too"


def compared_text(found: Compared, width: int = 80) -> str:
    """What changed, what became of the checks, and what the cut parts are good for."""
    page, comparison = PlainPage(width), found.comparison
    page.title(
        f"{comparison.names[0]} → {comparison.names[1]}", "What changes between the two briefs."
    )
    asked = [one for one in comparison.changes if one.asked]
    main = [one for one in comparison.changes if not one.asked and _tell(one)]
    rest = [one for one in comparison.changes if one not in asked and one not in main]
    if not comparison.changes and not any(comparison.only):
        page.heading("Nothing changes")
    for heading, changes in (("Changed in the brief", asked), ("What changes as a result", main)):
        if changes:
            page.heading(heading)
        for one in changes:
            page.row(words(one.name), one.words[0], f"→ {one.words[1]}")
    if rest:
        page.heading(AUXILIARY)
        page.paragraph(", ".join(words(one.name) for one in rest) + ".", indent=2)
    for heading, names in zip(
        ("Only in the first", "Only in the second"), comparison.only, strict=True
    ):
        if names:
            page.heading(heading)
            page.paragraph(", ".join(map(words, names)) + ".", indent=2)
    _checks(page, found)
    _cut(page, found)
    return "\n".join(page.lines) + "\n"


def _read_by_makers(name: str) -> bool:
    return any(name in names for _, names in GROUPS)


def _checks(page: PlainPage, found: Compared) -> None:
    if not found.comparison.checks:
        return
    page.heading("Checks that change")
    messages = {check.name: check.message for check in found.after.checks}
    for name, before, after in found.comparison.checks:
        page.paragraph(f"{name}: {before or 'none'} → {after or 'none'}", indent=2)
        if after in ("caution", "fail"):
            page.paragraph(messages[name], indent=6)


def _cut(page: PlainPage, found: Compared) -> None:
    if not found.comparison.cut:
        if found.made is not None:
            page.heading("As cut")
            page.paragraph(capital(found.made.verdict), indent=2)
        return
    page.heading("Parts already cut")
    for part in found.comparison.cut:
        page.paragraph(f"{words(part.name)}: {part.verdict}. {capital(part.words)}", indent=2)
    if found.made is not None:
        page.paragraph(f"Stood up as cut: {found.made.verdict}", indent=2)
    page.heading("The new design with those parts")
    if found.kept is None:
        page.paragraph(f"These parts do not suit the new brief: {found.why}", indent=2)
        return

    changes = [one for one in compare(found.after, found.kept).changes if _tell(one)]
    if not changes:
        page.paragraph("The new brief is met without changes.", indent=2)
    for one in changes:
        page.row(words(one.name), one.words[0], f"→ {one.words[1]}")


def _tell(one: Changed) -> bool:
    return _read_by_makers(one.name) and one.words[0] != one.words[1]
