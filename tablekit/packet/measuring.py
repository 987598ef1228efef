"""The part of the page for the phone that takes what was measured and says how the piece stands.

It works without Python or a network: the page carries the formulas of `relations/posts_as_cut.py`
or `relations/legs_as_cut.py`, and of `relations/glued_panel.py`, as JavaScript functions, and
`measuring.js` reads the fields and calls them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from tablekit.brief.as_cut import CENTRE, STRIP, STRIPS, parts_of, stems_of, usual_of
from tablekit.brief.section import Span
from tablekit.brief.writing import moisture_said
from tablekit.design.top_boards import panel_terms
from tablekit.engine.quantity import unit_size
from tablekit.engine.shop import range_text, shop_text
from tablekit.engine.slack import SLACK
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import words
from tablekit.packet import measuring_legs, measuring_posts
from tablekit.packet.measuring_legs import LegsMeasured
from tablekit.packet.measuring_posts import PostsMeasured
from tablekit.planning import legs_as_cut
from tablekit.planning.as_cut import NEARLY, RATIOS, drawn, script
from tablekit.planning.glued_panel import PanelTerms, panel_givens, panel_script
from tablekit.planning.legs_as_cut import script as leg_script
from tablekit.relations.kinds import height_name

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.quantity import Quantity
    from tablekit.relations.bases import Base

_PAGE = Path(__file__).with_name("measuring.js")
_TOP = {"top_thickness": "Thickness", "top_diameter": "Diameter"}
_TOP_ALWAYS = "top_thickness"


class PartsAsked(Protocol):
    """What the page asks and says of posts or of legs, each size by the name it has as cut."""

    @property
    def how(self) -> str:
        """How they are measured, to go on a sentence with."""

    @property
    def labels(self) -> Mapping[str, str]:
        """What stands beside a field, by its key."""

    @property
    def asked(self) -> tuple[str, ...]:
        """Keys that are asked besides the usual."""

    def names(self, name: str) -> tuple[str, ...]:
        """What the functions of the page call the quantities that it is the size of."""

    def quantity(self, name: str) -> Quantity:
        """What it is the size of."""

    def drawn(self, name: str) -> float:
        """The size as drawn, in its reporting unit."""

    def unit_shows(self, name: str) -> bool:
        """Whether it is never cut so far off that it could be one unit taken for another."""

    def rows(self) -> Iterator[tuple[str, str, str]]:
        """The rows of the answer below the height: name, what, from where to where."""

    def data(self) -> dict[str, Any]:
        """What the script has to know to say how the piece stands."""


@dataclass(frozen=True)
class _Field:
    """One size to be measured, in its `unit`.

    table    the key of [as_cut] that it stands below, "post_2" or "boards", or nothing
    names    of the quantities that it is the size of, as the functions of the page name them
    label    beside its box; `called` in a sentence
    says     the ends of its range as a person says them
    drawn    as the sheet has it, None where nothing does; `measured` as the brief says that it was
    unit_shows   whether it is never cut so far off that it could be one unit taken for another
    """

    key: str
    table: str
    names: tuple[str, ...]
    label: str
    called: str
    low: float
    high: float
    says: tuple[str, str]
    drawn: float | None
    measured: float | None
    unit_shows: bool
    unit: str = "mm"

    @property
    def id(self) -> str:
        return f"cut-{self.table}-{self.key}" if self.table else f"cut-{self.key}"


def measuring(job: Design) -> tuple[str, str]:
    """Fields for what was measured and room for the answer, and the script that runs on their page;
    both empty where neither posts or legs as cut nor the strips of a glued top can be worked
    through for this piece. The fields stay hidden unless the script runs."""
    stands = _measured(job)
    terms = panel_terms(job.brief, job.boards)
    fields = [*_of_parts(job, stands), *_of_panel(job, terms)]
    if not fields:
        return "", ""
    strips = any(one.table == STRIPS.name for one in fields)
    base = None if stands is None else job.base
    return _html(job, stands, terms, fields), measuring_script(base, strips)


def measuring_script(base: Base | None, strips: bool) -> str:
    """What reads the fields, after the formulas that those for posts or legs and for strips need.
    Nothing of a brief is in it but its base."""
    parts = []
    if base is not None and base.crossed:
        parts = [script().text, measuring_posts.PAGE.read_text("utf-8")]
    elif base is not None:
        parts = [leg_script(base.count), measuring_legs.PAGE.read_text("utf-8")]
    if strips:
        parts.append(panel_script().text)
    return "".join((*parts, _PAGE.read_text("utf-8")))


def _measured(job: Design) -> PartsAsked | None:
    """What is asked of its posts or legs; None where they cannot be worked through."""
    if not parts_of(job.base):
        return None
    if not job.base.crossed:
        work = job.leg_work
        return None if work is None else LegsMeasured(job.sheet, legs_as_cut.drawn(work))
    try:
        return PostsMeasured(job.sheet, drawn(job.sheet))
    except DesignError:  # a size is open
        return None


def _html(job: Design, stands: PartsAsked | None, terms: PanelTerms, fields: list[_Field]) -> str:
    parts = [(words(part).capitalize(), part) for part in parts_of(job.base)]
    sets = "".join(
        f'<fieldset><legend>{title}</legend>\n<div class="fields">'
        f"{''.join(_input(job, one) for one in own)}</div></fieldset>\n"
        for title, table in (*parts, ("Top", ""), ("Strips of the top, as glued", STRIPS.name))
        if (own := [one for one in fields if one.table == table])
    )
    unit = "inches, as 44 3/16 or 44.19" if job.inches else "millimetres, as 1146.5 or 1146,5"
    data = escape(json.dumps(_data(job, stands, terms, fields), ensure_ascii=False))
    how = "" if stands is None else stands.how
    return (
        f'<details class="measuring" hidden data-measuring="{data}">\n'
        "<summary><h2>As cut: measured at the bench</h2></summary>\n"
        f"<p>Sizes in {unit}{how}. "
        "Leave empty what is not cut yet: it counts as drawn, the size in grey.</p>\n"
        f"{sets}{_answer(job, stands)}"
        "<p>Remedies and new marks need the kit: add this text to the brief and run "
        "<code>tablekit set-out</code> with it.</p>\n"
        '<p class="copying"><button type="button">Copy as [as_cut]</button>'
        '<span role="status"></span></p>\n'
        '<textarea readonly rows="6" aria-label="Text for the brief" hidden></textarea>\n'
        "</details>\n"
    )


def _of_parts(job: Design, stands: PartsAsked | None) -> Iterator[_Field]:
    """All that is cut, post by post or leg by leg, and the top; what few pieces have only where
    this one has."""
    if stands is None:
        return
    made = job.brief.as_cut.sizes
    for part in parts_of(job.base):
        for key, stem in stems_of(part).items():
            name = f"{stem}_{part[-1]}"
            if key in (*usual_of(part), *stands.asked) or name in made:
                yield _of_quantity(job, stands, key, part, name)
    for key in _TOP:
        if key == _TOP_ALWAYS or key in made:
            yield _of_quantity(job, stands, key, "", key)


def _of_quantity(job: Design, stands: PartsAsked, key: str, table: str, name: str) -> _Field:
    quantity = stands.quantity(name)
    says = range_text(quantity.low, quantity.high, quantity, job.sheet.shop_style)
    label = (stands.labels if table else _TOP)[key]
    called = f"{words(table) or 'top'}, {label.lower()}"
    return _Field(
        key, table, stands.names(name), label, called, quantity.low, quantity.high, says,
        stands.drawn(name), job.brief.as_cut.sizes.get(name), stands.unit_shows(name),
        quantity.unit,
    )  # fmt: skip


def _of_panel(job: Design, terms: PanelTerms) -> Iterator[_Field]:
    """The strips of the layout, or those that were measured without one, and the centre."""
    made, planned = job.brief.as_cut, terms.planned
    if job.sheet.get("top_diameter") is None or not (planned or made.boards):
        return

    for k in range(max(len(planned), len(made.boards))):
        of_layout = planned[k] if k < len(planned) else None
        measured = made.boards[k] if k < len(made.boards) else None
        yield _on_panel(job, str(k + 1), f"Strip {k + 1}", STRIP, of_layout, measured)
    label = "Centre, from the outer edge of strip 1"
    yield _on_panel(job, "centre", label, CENTRE.span, None, made.centre)


def _on_panel(
    job: Design, key: str, label: str, span: Span, drawn: float | None, measured: float | None
) -> _Field:
    low, high = (shop_text(one, "mm", job.sheet.shop_style) for one in (span.low, span.high))
    return _Field(
        key, STRIPS.name, (), label, label.lower(), span.low, span.high, (low, high), drawn,
        measured, drawn is not None,
    )  # fmt: skip


def _input(job: Design, field: _Field) -> str:
    measured = "" if field.measured is None else f' value="{_plain(job, field)}"'
    # The keys of a phone for a decimal number have no space, no slash and no sign.
    plain = field.low >= 0 and (field.unit != "mm" or not job.inches)
    drawn = "" if field.drawn is None else shop_text(field.drawn, field.unit, job.sheet.shop_style)
    drawn = drawn if field.unit == "deg" else drawn.rpartition(" ")[0]
    return (
        f'<p class="field"><label for="{field.id}">{field.label}</label>'
        f'<input id="{field.id}" type="text" inputmode="{"decimal" if plain else "text"}" '
        f'autocomplete="off" placeholder="{drawn}"{measured} '
        f'aria-describedby="{field.id}-wrong">'
        f'<span class="wrong" id="{field.id}-wrong"></span></p>\n'
    )


def _plain(job: Design, field: _Field) -> str:
    """What was measured in the maker's unit, to all the figures that it was measured to."""
    assert field.measured is not None
    inches = job.inches and field.unit == "mm"
    shown = unit_size("in") / unit_size("mm") if inches else 1.0
    return f"{field.measured / shown:.10g}"


def _answer(job: Design, stands: PartsAsked | None) -> str:
    """The verdict, and for posts or legs a table whose figures the script fills in."""
    said = '<p class="verdict" role="status"></p>\n'
    if stands is None:
        return said
    wanted = shop_text(job.sheet.number(height_name(job.sheet.kind)), "mm", job.sheet.shop_style)
    high = ("height", words(height_name(job.sheet.kind)), f"at the centre; {wanted} asked")
    body = "".join(
        f'<tr data-answer="{name}"><th scope="row">{escape(what)}</th><td class="figure"></td>'
        f"<td>{escape(where)}</td></tr>\n"
        for name, what, where in (high, *stands.rows())
    )
    head = "".join(f'<th scope="col">{one}</th>' for one in ("what", "size", "from where to where"))
    return (
        f"{said}"
        '<div class="wide" role="region" tabindex="0" aria-label="How it stands as measured" '
        "hidden><table><caption>How it stands as measured</caption>"
        f"<thead><tr>{head}</tr></thead>\n<tbody>{body}</tbody></table></div>\n"
    )


def _data(
    job: Design, stands: PartsAsked | None, terms: PanelTerms, fields: list[_Field]
) -> dict[str, Any]:
    """What the script has to know of this piece: numbers in coherent SI, texts for this maker."""
    style, mm = job.sheet.shop_style, unit_size("mm")
    shown = [None if one.drawn is None else shop_text(one.drawn, one.unit, style) for one in fields]
    sizes = [unit_size(one.unit) for one in fields]
    return {
        "inches": job.inches,
        "unit": unit_size("in") if job.inches else mm, "degree": unit_size("deg"),
        "fields": [
            {"id": one.id, "key": one.key, "table": one.table, "names": one.names,
             "range": [one.low * size, one.high * size], "turns": one.unit == "deg",
             "drawn": one.drawn * size if one.unit_shows and one.drawn is not None else None,
             "shown": text, "says": one.says, "label": one.called}
            for one, text, size in zip(fields, shown, sizes, strict=True)
        ],
        "boards": STRIPS.name,
        "panel": _of_round(job, terms) if any(one.table == STRIPS.name for one in fields) else None,
        # What has no field here, and belongs into the text that is copied.
        "kept": [f"{key} = {said}" for key, said in moisture_said(job.brief.as_cut).items()],
        "least": SLACK, "ratios": RATIOS, "near": NEARLY,
        "stands": None if stands is None else stands.data(),
    }  # fmt: skip


def _of_round(job: Design, terms: PanelTerms) -> dict[str, Any]:
    """What the script has to know to say whether the round fits on its strips."""
    mm, diameter = unit_size("mm"), job.sheet.number("top_diameter")
    given = panel_givens(terms.planned, diameter, terms)
    return {
        "planned": [one * mm for one in terms.planned],
        "given": {name: one * mm for name, one in given.items()},
    }
