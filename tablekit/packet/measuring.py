"""The part of the page for the phone that takes what was measured and says how the piece stands.

It works without Python or a network: the page carries the formulas of `relations/posts_as_cut.py`
and `relations/glued_panel.py` as JavaScript functions, and `measuring.js` reads the fields and
calls them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tablekit.brief.as_cut import CENTRE, POSTS, STEMS, STRIP, STRIPS
from tablekit.brief.section import Span
from tablekit.brief.writing import moisture_said
from tablekit.design.top_boards import panel_terms
from tablekit.engine.quantity import unit_size
from tablekit.engine.shop import range_text, shop_text
from tablekit.engine.slack import SLACK
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import words
from tablekit.planning.as_cut import (
    NEARLY,
    RATIOS,
    Pieces,
    Touching,
    drawn,
    script,
    unit_shows,
)
from tablekit.planning.glued_panel import PanelTerms, panel_givens, panel_script
from tablekit.planning.mending import slope_allowed
from tablekit.relations import posts_as_cut as cut
from tablekit.relations import quantities as q
from tablekit.relations.kinds import height_name
from tablekit.relations.season_fit import SLOPPY

if TYPE_CHECKING:
    from tablekit.design import Design

_PAGE = Path(__file__).with_name("measuring.js")
_LABELS = {
    "length": "Length, end to end",
    "notch_position": "Foot end to notch centre",
    "notch_depth": "Notch depth",
    "notch_width": "Notch width, along the post",
    "section": "Section",
    "width": "Width, between side faces",
    "foot_flat": "Foot flat, largest circle",
    "head_flat": "Head flat, largest circle",
    "foot_shim": "Shims under the foot",
    "head_shim": "Shims on the head",
    "top_thickness": "Thickness",
    "top_diameter": "Diameter",
}
_ALWAYS = ("length", "notch_position", "notch_depth", "notch_width", "section", "foot_flat",
           "head_flat", "top_thickness")  # fmt: skip
_NOTCH = ("notch_position", "notch_depth", "notch_width")


@dataclass(frozen=True)
class _Field:
    """One size to be measured, lengths in mm.

    table    the key of [as_cut] that it stands below, "post_2" or "boards", or nothing
    names    of the quantities that it is the size of, as the network numbers posts
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

    @property
    def id(self) -> str:
        return f"cut-{self.table}-{self.key}" if self.table else f"cut-{self.key}"


def measuring(job: Design) -> tuple[str, str]:
    """Fields for what was measured and room for the answer, and the script that runs on their page;
    both empty where neither the posts as cut nor the strips of a glued top can be worked through
    for this piece. The fields stay hidden unless the script runs."""
    try:
        pieces = drawn(job.sheet)
    except DesignError:  # another base, or a size is open
        pieces = None
    terms = panel_terms(job.brief, job.boards)
    fields = [*_of_posts(job, pieces), *_of_panel(job, terms)]
    if not fields:
        return "", ""
    strips = any(one.table == STRIPS.name for one in fields)
    return _html(job, pieces, terms, fields), measuring_script(pieces is not None, strips)


def measuring_script(posts: bool, strips: bool) -> str:
    """What reads the fields, after the formulas that those for posts and for strips need. Nothing
    of a brief is in it."""
    formulas = (script().text if posts else "") + (panel_script().text if strips else "")
    return formulas + _PAGE.read_text("utf-8")


def _html(job: Design, pieces: Pieces | None, terms: PanelTerms, fields: list[_Field]) -> str:
    posts = [(f"Post {number}", post) for number, post in enumerate(POSTS, start=1)]
    sets = "".join(
        f'<fieldset><legend>{title}</legend>\n<div class="fields">'
        f"{''.join(_input(job, one) for one in own)}</div></fieldset>\n"
        for title, table in (*posts, ("Top", ""), ("Strips of the top, as glued", STRIPS.name))
        if (own := [one for one in fields if one.table == table])
    )
    unit = "inches, as 44 3/16 or 44.19" if job.inches else "millimetres, as 1146.5 or 1146,5"
    data = escape(json.dumps(_data(job, pieces, terms, fields), ensure_ascii=False))
    lengths = "; lengths and places from the foot end, before the flats are cut" if pieces else ""
    return (
        f'<details class="measuring" hidden data-measuring="{data}">\n'
        "<summary><h2>As cut: measured at the bench</h2></summary>\n"
        f"<p>Sizes in {unit}{lengths}. "
        "Leave empty what is not cut yet: it counts as drawn, the size in grey.</p>\n"
        f"{sets}{_answer(job, pieces)}"
        "<p>Remedies and new marks need the kit: add this text to the brief and run "
        "<code>tablekit set-out</code> with it.</p>\n"
        '<p class="copying"><button type="button">Copy as [as_cut]</button>'
        '<span role="status"></span></p>\n'
        '<textarea readonly rows="6" aria-label="Text for the brief" hidden></textarea>\n'
        "</details>\n"
    )


def _of_posts(job: Design, pieces: Pieces | None) -> Iterator[_Field]:
    """All that is cut, post by post, and the top; what few pieces have only where this one has."""
    if pieces is None:
        return
    made = job.brief.as_cut.sizes
    square = job.sheet.number("post_width") == job.sheet.number("post_section")
    for number, post in enumerate(POSTS, start=1):
        for key, stem in STEMS.items():
            name = f"{stem}_{number}"
            if key in _ALWAYS or name in made or (key == "width" and not square):
                own = [pieces.own(name)]
                if key == "section" and square:  # planed to one setting
                    own.append(pieces.own(f"post_width_{number}"))
                yield _of_quantity(job, key, post, tuple(own), pieces.number(name), made.get(name))
    for key in ("top_thickness", "top_diameter"):
        if key in _ALWAYS or key in made:
            yield _of_quantity(job, key, "", (key,), pieces.number(key), made.get(key))


def _of_quantity(
    job: Design,
    key: str,
    table: str,
    names: tuple[str, ...],
    drawn: float,
    measured: float | None,
) -> _Field:
    quantity = cut.network().quantities[names[0]]
    says = range_text(quantity.low, quantity.high, quantity, job.sheet.shop_style)
    called = f"{words(table) or 'top'}, {_LABELS[key].lower()}"
    return _Field(
        key, table, names, _LABELS[key], called, quantity.low, quantity.high, says, drawn, measured,
        unit_shows(names[0]),
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
    drawn = "" if field.drawn is None else shop_text(field.drawn, "mm", job.sheet.shop_style)
    measured = "" if field.measured is None else f' value="{_plain(job, field.measured)}"'
    # The keys of a phone for a decimal number have no space and no slash.
    keys = "text" if job.inches else "decimal"
    return (
        f'<p class="field"><label for="{field.id}">{field.label}</label>'
        f'<input id="{field.id}" type="text" inputmode="{keys}" autocomplete="off" '
        f'placeholder="{drawn.rpartition(" ")[0]}"{measured} '
        f'aria-describedby="{field.id}-wrong">'
        f'<span class="wrong" id="{field.id}-wrong"></span></p>\n'
    )


def _plain(job: Design, size: float) -> str:
    """A size in mm in the maker's unit, to all the figures that it was measured to."""
    return f"{size / unit_size('in') * unit_size('mm') if job.inches else size:.10g}"


def _answer(job: Design, pieces: Pieces | None) -> str:
    """The verdict, and for posts a table whose figures the script fills in."""
    said = '<p class="verdict" role="status"></p>\n'
    if pieces is None:
        return said
    wanted = shop_text(job.sheet.number(height_name(job.sheet.kind)), "mm", job.sheet.shop_style)
    rows = [("height", words(height_name(job.sheet.kind)),
             f"at the centre; {wanted} asked")]  # fmt: skip
    rows += [(f"head-{k}", f"head {k}", "floor to the underside of the top") for k in (1, 2, 3)]
    rows += [("rim", "across the rim", "")]
    rows += [(f"notch-{k}", f"notch {k}", "") for k in (1, 2, 3)]
    body = "".join(
        f'<tr data-answer="{name}"><th scope="row">{escape(what)}</th><td class="figure"></td>'
        f"<td>{escape(where)}</td></tr>\n"
        for name, what, where in rows
    )
    head = "".join(f'<th scope="col">{one}</th>' for one in ("what", "size", "from where to where"))
    return (
        f"{said}"
        '<div class="wide" role="region" tabindex="0" aria-label="How it stands as measured" '
        "hidden><table><caption>How it stands as measured</caption>"
        f"<thead><tr>{head}</tr></thead>\n<tbody>{body}</tbody></table></div>\n"
    )


def _data(
    job: Design, pieces: Pieces | None, terms: PanelTerms, fields: list[_Field]
) -> dict[str, Any]:
    """What the script has to know of this piece: numbers in coherent SI, texts for this maker."""
    style, mm = job.sheet.shop_style, unit_size("mm")
    shown = [None if one.drawn is None else shop_text(one.drawn, "mm", style) for one in fields]
    return {
        "inches": job.inches,
        "unit": unit_size("in") if job.inches else mm,
        "fields": [
            {"id": one.id, "key": one.key, "table": one.table, "names": one.names,
             "range": [one.low * mm, one.high * mm],
             "drawn": one.drawn * mm if one.unit_shows and one.drawn is not None else None,
             "shown": text, "says": one.says, "label": one.called}
            for one, text in zip(fields, shown, strict=True)
        ],
        "boards": STRIPS.name,
        "panel": _of_round(job, terms) if any(one.table == STRIPS.name for one in fields) else None,
        # What has no field here, and belongs into the text that is copied.
        "kept": [f"{key} = {said}" for key, said in moisture_said(job.brief.as_cut).items()],
        "least": SLACK, "ratios": RATIOS, "near": NEARLY,
        "posts": None if pieces is None else _of_standing(job, pieces),
    }  # fmt: skip


def _of_round(job: Design, terms: PanelTerms) -> dict[str, Any]:
    """What the script has to know to say whether the round fits on its strips."""
    mm, diameter = unit_size("mm"), job.sheet.number("top_diameter")
    given = panel_givens(terms.planned, diameter, terms)
    return {
        "planned": [one * mm for one in terms.planned],
        "given": {name: one * mm for name, one in given.items()},
    }


def _of_standing(job: Design, pieces: Pieces) -> dict[str, Any]:
    """What the script has to know to say how the posts stand."""
    known, mm = cut.network().quantities, unit_size("mm")
    touching = Touching()
    rests = {*touching.feet, *touching.heads}
    return {
        "given": {
            name: known[name].to_si(pieces.numbers[name])
            for name in script().inputs if name not in rests
        },
        "onPads": pieces.on_pads,
        "feet": touching.feet, "heads": touching.heads,
        "floor": touching.floor, "under": touching.under,
        "high": [pieces.own(one.name) for one in cut.heights],
        "plays": [pieces.own(one.name) for one in cut.plays],
        "notches": [[f"cut-{post}-{key}" for key in _NOTCH] for post in POSTS],
        "fitted": pieces.clearance * mm,
        "overhang": cut.overhang.name, "diameter": q.top_diameter.name,
        "drawnDiameter": q.top_diameter.to_si(pieces.sheet_numbers[q.top_diameter.name]),
        "height": cut.height.name, "rim": cut.rim_drop.name, "used": cut.slope_used.name,
        "slope": slope_allowed(job.sheet) * (1 + SLACK), "loose": SLOPPY * mm,
        "limits": {key: pieces.in_words(limit) for key, limit in script().limits.items()},
    }  # fmt: skip
