"""The part of the page for the phone that takes what was measured and says how the piece stands.

It works without Python or a network: the page carries the formulas of `relations/posts_as_cut.py`
as a JavaScript function, and `measuring.js` reads the fields and calls it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tablekit.brief.as_cut import POSTS, STEMS
from tablekit.brief.writing import panel_said
from tablekit.engine.quantity import Quantity, unit_size
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
from tablekit.planning.remedies import slope_allowed
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
    """One size to be measured.

    table    the key of [as_cut] that it stands below, "post_2", or nothing
    names    of the quantities that it is the size of, as the network numbers posts
    drawn    as the sheet has it, mm; `measured` as the brief says that it was, mm
    """

    key: str
    table: str
    names: tuple[str, ...]
    quantity: Quantity
    drawn: float
    measured: float | None

    @property
    def id(self) -> str:
        return f"cut-{self.table}-{self.key}" if self.table else f"cut-{self.key}"


def measuring_script() -> str:
    """What runs on a page that holds `measuring_html`."""
    return script().text + _PAGE.read_text("utf-8")


def measuring_html(job: Design) -> str:
    """Fields for what was measured and room for the answer; nothing where posts as cut cannot be
    worked through for this piece. It stays hidden unless its script runs."""
    try:
        pieces = drawn(job.sheet)
    except DesignError:  # another base, or a size is open
        return ""
    fields = list(_fields(job, pieces))
    groups = [(f"Post {number}", post) for number, post in enumerate(POSTS, start=1)]
    sets = "".join(
        f'<fieldset><legend>{title}</legend>\n<div class="fields">'
        f"{''.join(_input(job, one) for one in fields if one.table == table)}</div></fieldset>\n"
        for title, table in (*groups, ("Top", ""))
    )
    unit = "inches, as 44 3/16 or 44.19" if job.inches else "millimetres, as 1146.5 or 1146,5"
    data = escape(json.dumps(_data(job, pieces, fields), ensure_ascii=False))
    return (
        f'<details class="measuring" hidden data-measuring="{data}">\n'
        "<summary><h2>As cut: measured at the bench</h2></summary>\n"
        f"<p>Sizes in {unit}; lengths and places from the foot end, before the flats are cut. "
        "Leave empty what is not cut yet: it counts as drawn, the size in grey.</p>\n"
        f"{sets}{_answer(job)}"
        "<p>Remedies and new marks need the kit: add this text to the brief and run "
        "<code>tablekit set-out</code> with it.</p>\n"
        '<p class="copying"><button type="button">Copy as [as_cut]</button>'
        '<span role="status"></span></p>\n'
        '<textarea readonly rows="6" aria-label="Text for the brief" hidden></textarea>\n'
        "</details>\n"
    )


def _fields(job: Design, pieces: Pieces) -> Iterator[_Field]:
    """All that is cut, post by post, and the top; what few pieces have only where this one has."""
    known, made = cut.network().quantities, job.brief.as_cut.sizes
    square = job.sheet.number("post_width") == job.sheet.number("post_section")
    for number, post in enumerate(POSTS, start=1):
        for key, stem in STEMS.items():
            name = f"{stem}_{number}"
            if key in _ALWAYS or name in made or (key == "width" and not square):
                own = [pieces.own(name)]
                if key == "section" and square:  # planed to one setting
                    own.append(pieces.own(f"post_width_{number}"))
                yield _Field(key, post, tuple(own), known[own[0]], pieces.number(name),
                             made.get(name))  # fmt: skip
    for key in ("top_thickness", "top_diameter"):
        if key in _ALWAYS or key in made:
            yield _Field(key, "", (key,), known[key], pieces.number(key), made.get(key))


def _input(job: Design, field: _Field) -> str:
    drawn = shop_text(field.drawn, "mm", job.sheet.shop_style)
    measured = "" if field.measured is None else f' value="{_plain(job, field.measured)}"'
    # The keys of a phone for a decimal number have no space and no slash.
    keys = "text" if job.inches else "decimal"
    return (
        f'<p class="field"><label for="{field.id}">{_LABELS[field.key]}</label>'
        f'<input id="{field.id}" type="text" inputmode="{keys}" autocomplete="off" '
        f'placeholder="{drawn.rpartition(" ")[0]}"{measured} '
        f'aria-describedby="{field.id}-wrong">'
        f'<span class="wrong" id="{field.id}-wrong"></span></p>\n'
    )


def _plain(job: Design, size: float) -> str:
    """A size in mm in the maker's unit, to all the figures that it was measured to."""
    return f"{size / unit_size('in') * unit_size('mm') if job.inches else size:.10g}"


def _answer(job: Design) -> str:
    """The verdict, and a table whose figures the script fills in."""
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
        '<p class="verdict" role="status"></p>\n'
        '<div class="wide" role="region" tabindex="0" aria-label="How it stands as measured" '
        "hidden><table><caption>How it stands as measured</caption>"
        f"<thead><tr>{head}</tr></thead>\n<tbody>{body}</tbody></table></div>\n"
    )


def _data(job: Design, pieces: Pieces, fields: list[_Field]) -> dict[str, Any]:
    """What the script has to know of this piece: numbers in coherent SI, texts for this maker."""
    known, style = cut.network().quantities, job.sheet.shop_style
    touching = Touching()
    rests = {*touching.feet, *touching.heads}
    given = {
        name: known[name].to_si(pieces.numbers[name])
        for name in script().inputs if name not in rests
    }  # fmt: skip
    mm = unit_size("mm")
    return {
        "inches": job.inches,
        "unit": unit_size("in") if job.inches else mm,
        "fields": [
            {"id": one.id, "key": one.key, "table": one.table, "names": one.names,
             "range": one.quantity.si_range,
             "drawn": known[one.names[0]].to_si(one.drawn) if unit_shows(one.names[0]) else None,
             "shown": shop_text(one.drawn, "mm", style),
             "says": range_text(one.quantity.low, one.quantity.high, one.quantity, style),
             "label": f"{words(one.table) or 'top'}, {_LABELS[one.key].lower()}"}
            for one in fields
        ],
        "given": given,
        "onPads": pieces.on_pads,
        "feet": touching.feet, "heads": touching.heads,
        "floor": touching.floor, "under": touching.under,
        "high": [pieces.own(one.name) for one in cut.heights],
        "plays": [pieces.own(one.name) for one in cut.plays],
        "notches": [[f"cut-{post}-{key}" for key in _NOTCH] for post in POSTS],
        "fitted": pieces.clearance * mm,
        "overhang": cut.overhang.name, "diameter": q.top_diameter.name,
        "drawnDiameter": q.top_diameter.to_si(pieces.sheet_numbers[q.top_diameter.name]),
        # What has no field here, and belongs into the text that is copied.
        "kept": [f"{key} = {said}" for key, said in panel_said(job.brief.as_cut).items()],
        "height": cut.height.name, "rim": cut.rim_drop.name, "used": cut.slope_used.name,
        "slope": slope_allowed(job.sheet) * (1 + SLACK), "loose": SLOPPY * mm,
        "limits": {key: pieces.in_words(limit) for key, limit in script().limits.items()},
        "least": SLACK, "ratios": RATIOS, "near": NEARLY,
    }  # fmt: skip
