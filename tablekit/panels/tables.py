"""A sheet as small HTML tables for a panel."""

from __future__ import annotations

import html
from collections.abc import Sequence

from tablekit.design import Design
from tablekit.design.checks import not_checked, own_checks, own_notes
from tablekit.engine.sheet import CheckResult, Sheet
from tablekit.engine.shop import figures_text
from tablekit.engine.wording import capital
from tablekit.packet.as_cut_text import as_cut_rows, panel_rows, work_text
from tablekit.packet.card import sizes
from tablekit.packet.plain_page import whole_measures
from tablekit.relations.wording import GROUPS

_CELL = 'style="padding:1px 12px 1px 0; text-align:left; vertical-align:top"'
_LINE = 'style="line-height:1.4; margin:4px 0"'
# A word beside the mark: neither colour nor sign alone carries the verdict.
MARKS = {"pass": "✓ pass", "caution": "△ caution", "fail": "✗ fail"}


def _shown(text: str) -> str:
    """A text in HTML, no number in it parted from its unit."""
    return html.escape(whole_measures(text))


def table_html(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table under its caption."""
    head = "".join(f'<th scope="col" {_CELL}>{_shown(text)}</th>' for text in heads)
    body = "".join(
        "<tr>" + "".join(f"<td {_CELL}>{_shown(text)}</td>" for text in row) + "</tr>"
        for row in rows
    )
    return _captioned(caption, f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody>", 1.35)


def _captioned(caption: str, content: str, line_height: float) -> str:
    return (
        f'<table style="border-collapse:collapse; line-height:{line_height}">'
        '<caption style="text-align:left; font-weight:bold; padding:6px 0 2px">'
        f"{_shown(caption)}</caption>{content}</table>"
    )


def rows_html(caption: str, rows: Sequence[Sequence[str]], heads: Sequence[str] = ()) -> str:
    """A table under its caption: what each row names, its size, and what is said of it. How its
    cells look is said once for the panel (set_out.css), since it is sent at each step."""
    body = "".join(
        f'<tr><th scope="row">{_shown(what)}</th><td><strong>{_shown(size)}</strong></td>'
        + "".join(f"<td>{_shown(text)}</td>" for text in more)
        + "</tr>"
        for what, size, *more in rows
    )
    cells = "".join(f'<th scope="col">{_shown(head)}</th>' for head in heads)
    head = f"<thead><tr>{cells}</tr></thead>" if heads else ""
    return f"<table><caption>{_shown(caption)}</caption>{head}<tbody>{body}</tbody></table>"


def card_html(job: Design) -> str:
    """The sizes for the first cut, each from where to where."""
    return "".join(f"<div>{rows_html(heading, rows)}</div>" for heading, rows in sizes(job))


def found_html(sheet: Sheet) -> str:
    """Every value of the sheet with its origin: what a maker reads in groups, then the rest."""
    heads = ("quantity", "in the shop", "origin")
    shown: set[str] = set()
    parts = []
    for caption, names in GROUPS:
        here = [name for name in names if name in sheet.values]
        if not here:
            continue  # legs and sockets of a base that has posts
        shown.update(here)
        parts.append(table_html(caption, heads, [_row(sheet, name) for name in here]))
    rest = [name for name in sheet.values if name not in shown]
    aside = table_html("Auxiliary quantities", heads, [_row(sheet, name) for name in rest])
    columns = '<div style="columns:2 300px; column-gap:24px">'
    held = "".join(f'<div style="break-inside:avoid">{part}</div>' for part in parts)
    rest_of_it = f"<details><summary>Other geometry</summary>{aside}</details>"
    return f"{columns}{held}</div>{rest_of_it}"


def _row(sheet: Sheet, name: str) -> tuple[str, str, str]:
    return (name.replace("_", " "), sheet.shop(name), sheet[name].origin)


def as_cut_html(design: Design) -> str:
    """How the piece comes out as it is cut, and the remedies; nothing where nothing is cut.

    Raises DesignError where the posts no longer fit one another."""
    return _glued_html(design) + _posts_as_cut_html(design)


def _glued_html(design: Design) -> str:
    panel = design.glued
    if panel is None:
        return ""
    rows = table_html("The top as glued", ("", "width", "of it"), list(panel_rows(design)))
    ways = "".join(f"<li>{_shown(one.text)}</li>" for one in panel.remedies)
    return (
        f'<p role="status"><strong>{_shown(panel.verdict)}</strong></p>'
        f'<ol style="line-height:1.4">{ways}</ol>{rows}'
    )


def _posts_as_cut_html(design: Design) -> str:
    made = design.as_cut
    if made is None:
        return ""
    verdict = f'<p role="status"><strong>{_shown(capital(made.verdict))}</strong></p>'
    rows = table_html("As cut", ("", "size", "from where to where"), list(as_cut_rows(design)))
    listed = "".join(
        f"<li>{_shown(one.text)} {_shown(work_text(one))}</li>" for one in made.remedies
    )
    if not made.remedies and not made.fine:
        listed = "<li>No remedy was found that brings it right.</li>"
    return f'{verdict}<ol style="line-height:1.4">{listed}</ol>{rows}'


def checks_html(sheet: Sheet) -> str:
    """The checks on the sizes alone, which are there at once, and that there are more."""
    return _told(own_checks(sheet), not_checked(sheet), (*own_notes(sheet), ELSEWHERE))


def _told(checks: Sequence[CheckResult], unchecked: Sequence[str], said: Sequence[str]) -> str:
    """What is not checked and what does not pass; what passes and the notes folded away."""
    return (
        f"{attention_html(checks, unchecked)}"
        f"<details><summary>{passed_said(checks)}</summary>{passed_html(checks)}</details>"
        f"<details><summary>Notes</summary>{notes_html(said)}</details>"
    )


def attention_html(checks: Sequence[CheckResult], unchecked: Sequence[str]) -> str:
    """What is not checked and what does not pass, each with what to change."""
    looked_at = sorted(
        (check for check in checks if check.verdict != "pass"),
        key=lambda check: ("fail", "caution").index(check.verdict),
    )
    lines = (
        f"<p {_LINE}><strong>{_shown(f'{MARKS[check.verdict]}: {check.name}.')}</strong> "
        f"{_shown(check.message)}</p>"
        for check in looked_at
    )
    return "".join([*map(_unchecked, unchecked), *lines])


def passed_said(checks: Sequence[CheckResult]) -> str:
    """How many checks pass."""
    passing = sum(check.verdict == "pass" for check in checks)
    return f"All {passing} checks pass" if passing == len(checks) else f"{passing} checks pass"


def passed_html(checks: Sequence[CheckResult]) -> str:
    """The checks that pass."""
    return _checks("Passed", [check for check in checks if check.verdict == "pass"])


def notes_html(said: Sequence[str]) -> str:
    """Notes as a list."""
    return f"<ul>{''.join(f'<li>{_shown(note)}</li>' for note in said)}</ul>"


def _unchecked(text: str) -> str:
    """What is not checked: loud up to the colon, where what it is begins."""
    head, colon, what = text.partition(": ")
    return f"<p {_LINE}><strong>{_shown(head)}{colon.strip()}</strong> {_shown(what)}</p>"


def _checks(caption: str, checks: Sequence[CheckResult]) -> str:
    rows = [(check.name, MARKS[check.verdict], check.message) for check in checks]
    return table_html(caption, ("check", "verdict", ""), rows)


# So that nobody takes this shorter list for all that the packet counts.
ELSEWHERE = (
    "These checks cover the sizes. The terminal and the packet also count the checks planned for "
    "one design: the joint under load, people at the table, boards, glue and trammel."
)


_AIRS = {"driest": "driest air", "shop": "in the shop", "dampest": "dampest air"}
_WIDTHS = {"driest": "narrowest_width", "shop": "top_diameter", "dampest": "widest_width"}
_MOVES = {
    "top_movement": "across the grain, from driest to dampest",
    "winter_shrinkage": "shrinkage, shop to driest air",
    "summer_swelling": "swelling, shop to dampest air",
    "lengthwise_movement": "along the grain, at most",
    "plate_travel": "movement at a fastening screw",
    "slot_needed": "slot for that screw, at least",
}


def movement_html(sheet: Sheet) -> str:
    """The three airs side by side, what the top does between them, and where the figures are
    from."""
    rows = [
        ("temperature", *(sheet.shop(f"{air}_temperature") for air in _AIRS)),
        ("humidity", *(sheet.shop(f"{air}_humidity") for air in _AIRS)),
        ("moisture of the wood", *(sheet.shop(f"{air}_moisture") for air in _AIRS)),
        ("width across the grain", *(sheet.shop(_WIDTHS[air]) for air in _AIRS)),
    ]
    airs = table_html("The top in each air", ("", *_AIRS.values()), rows)
    moved = [
        (says, _moved(sheet, name)) for name, says in _MOVES.items() if sheet.get(name) is not None
    ]
    moves = table_html("How it moves", ("", ""), moved)
    notes = [note for note in sheet.notes if "coefficient" in note or "humidity" in note]
    listed = "".join(f"<li>{_shown(note)}</li>" for note in notes)
    return (
        '<div style="display:flex; flex-wrap:wrap; gap:0 32px; white-space:nowrap">'
        f"<div>{airs}</div><div>{moves}</div></div>"
        f'<ul style="line-height:1.35">{listed}</ul>'
    )


def _moved(sheet: Sheet, name: str) -> str:
    # Along the grain it is less than the shop's rule shows, and not nothing.
    if name == "lengthwise_movement":
        return figures_text(sheet.number(name), "mm", sheet.shop_style, 2)
    return sheet.shop(name)
