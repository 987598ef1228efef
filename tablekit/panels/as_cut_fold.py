"""The fold of the setting-out panel in which a maker writes what is cut already, and reads how the
piece comes out with it and what to do."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import AsCut, BriefProblem
from tablekit.brief.as_cut import (
    CENTRE,
    LEGS,
    MOISTURE,
    POSTS,
    STRIPS,
    parts_of,
    read_as_cut,
    stems_of,
    unit_of,
    usual_of,
)
from tablekit.brief.section import BriefSection, BriefText
from tablekit.design.as_cut import drawn_size, make_ready
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import WRAPPED, alert, heard
from tablekit.panels.row import column
from tablekit.panels.tables import as_cut_html
from tablekit.planning import glued_panel

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.design import Design

TITLE = "As cut: what you measured"
PART_FIELDS = {
    "length": "length", "blank": "while foot is square", "notch_position": "notch centre",
    "notch_depth": "notch depth", "notch_width": "notch width", "section": "section",
    "foot_flat": "foot flat", "head_flat": "head flat", "tenon_diameter": "tenon diameter",
    "socket_diameter": "socket diameter", "socket_depth": "socket depth",
    "socket_radius": "centre to socket", "socket_aside": "socket, aside", "lean": "lean",
    "lean_aside": "lean, square to it",
}  # fmt: skip
TOP_FIELDS = {"top_thickness": "top thickness", "top_diameter": "top diameter"}
PANEL_FIELDS = {STRIPS.name: "strips as glued", CENTRE.name: "centre marked"}
_NOT_CUT = (
    "Leave empty what is not cut yet: it counts as drawn, the size in grey. Of the glued top the "
    "width of each strip in order, with semicolons between them, and the centre from the outer "
    "edge of the first."
)
INTRODUCTION = (
    "Lengths and notch centres from the foot end, before the flats are cut; a flat by the largest "
    f"circle on it. {_NOT_CUT}"
)
OF_LEGS = (
    "A leg is measured along its axis, tenon included. Lean is that of the bore from plumb with "
    "the seat level: along its sight line, and square to it. To the side of the next number is "
    f"positive. {_NOT_CUT}"
)
NOT_HERE = (
    "Sizes as cut are worked through for splayed legs and for three posts with one notch each; "
    "here only the strips of the glued top, the centre of the round and the moisture of the wood "
    "count."
)
WORKING = "This is being worked out; the first time takes some seconds."
NOTHING_YET = "Write a size that you measured, with its unit."


class AsCutFold:
    """Fields for what was measured, and what follows.

    fields   the texts, by part and key: ("post_1", "length"); of the top and the wood with ""
    parts    the posts or legs, beside one another
    answer   what follows, as HTML; it is worked out only while the fold is open
    trouble  what is wrong with what was typed, as HTML
    widget   what the panel shows, folded

    changed  called with what was measured, at each change
    """

    def __init__(self, changed: Callable[[AsCut], None]):
        self._changed = changed
        self._quiet = self._panel_ready = False
        self._ready: set[str] = set()
        self._shown: AsCut | None = None
        self._brief: Brief | None = None
        self._design: Design | None = None
        self._columns: dict[str, widgets.Widget] = {}
        self.fields: dict[tuple[str, str], widgets.Text] = {}
        rest = self._of(
            "",
            "Top and wood",
            {
                **{key: (says, says) for key, says in TOP_FIELDS.items()},
                STRIPS.name: (PANEL_FIELDS[STRIPS.name], STRIPS.meaning),
                CENTRE.name: (PANEL_FIELDS[CENTRE.name], CENTRE.meaning),
                MOISTURE.name: ("moisture", "moisture of the wood when it was cut"),
            },
        )
        self.introduction = widgets.HTML()
        self.answer, self.trouble = widgets.HTML(), widgets.HTML()
        self.parts = widgets.HBox(layout=WRAPPED)
        inside = [self.introduction, self.parts, rest, self.trouble, self.answer]
        self.widget = widgets.Accordion([widgets.VBox(inside)], titles=(TITLE,))
        self.widget.observe(lambda _: self._write_answer(), "selected_index")

    def _of(self, part: str, title: str, says: Mapping[str, tuple[str, str]]) -> widgets.Widget:
        own = {(part, key): heard(_field(*one), self._typed) for key, one in says.items()}
        self.fields |= own
        # Beside one another a column shares the width; below them it would take a height.
        layout = column(1, 260) if part else {}
        return widgets.VBox([widgets.HTML(f"<b>{title}</b>"), *own.values()], layout=layout)

    def _column(self, part: str) -> widgets.Widget:
        """The fields of one post or leg, made when a base first has it."""
        if part not in self._columns:
            called = part.replace("_", " ")
            says = {k: (PART_FIELDS[k], f"{PART_FIELDS[k]} of {called}") for k in usual_of(part)}
            self._columns[part] = self._of(part, called.capitalize(), says)
        return self._columns[part]

    @property
    def _here(self) -> dict[tuple[str, str], widgets.Text]:
        """The fields that the brief has: of its own posts or legs, of its top and its wood."""
        parts = ("", *(() if self._brief is None else parts_of(self._brief.base.chosen)))
        return {at: field for at, field in self.fields.items() if at[0] in parts}

    @property
    def open(self) -> bool:
        """Whether it is unfolded."""
        return self.widget.selected_index == 0

    # -- what the maker does ----------------------------------------------------------------

    def _typed(self, _: Any) -> None:
        if self._quiet or self._brief is None:
            return
        try:
            made = self._read(self._brief)
        except DesignError as trouble:
            self.trouble.value = alert(str(trouble))
            return
        self.trouble.value = ""
        self._shown = made  # what stands in the fields is what was read
        self._changed(made)

    def _read(self, brief: Brief) -> AsCut:
        """What the fields say, with what the brief says of sizes that have no field here. Raises
        DesignError."""
        table: dict[str, Any] = {part: {} for part in (*POSTS, *LEGS)}
        for (part, key), field in self._here.items():
            if text := field.value.strip():
                (table[part] if part else table)[key] = text
        if STRIPS.name in table:
            table[STRIPS.name] = _several(table[STRIPS.name])
        table = {key: said for key, said in table.items() if said}
        section = BriefSection(BriefText(""), table, ("as_cut",))
        made = read_as_cut(section, brief.base.chosen)
        if section.source.problems:
            raise DesignError("; ".join(_said(one) for one in section.source.problems))
        named = {_size(part, key) for part, key in self._here}
        hidden = {n: size for n, size in brief.as_cut.sizes.items() if n not in named}
        return replace(made, sizes={**made.sizes, **hidden})

    # -- what it shows ----------------------------------------------------------------------

    def show(self, brief: Brief) -> None:
        """The fields of another brief; quick, where nothing of it has changed."""
        before, self._brief = self._brief, brief
        if self._shown == brief.as_cut and before is not None and before.base == brief.base:
            return
        self._shown = brief.as_cut
        self.trouble.value = ""
        base = brief.base.chosen
        parts = parts_of(base)
        on_either = INTRODUCTION if base.crossed else OF_LEGS
        self.introduction.value = on_either if parts else NOT_HERE
        columns = tuple(self._column(part) for part in parts)
        if self.parts.children != columns:
            self.parts.children = columns
        for key in TOP_FIELDS:
            self.fields["", key].layout.display = "" if parts else "none"
        self._fill(brief.as_cut)

    def _fill(self, made: AsCut) -> None:
        self._quiet = True  # filling a field is not typing in it
        try:
            for (part, key), field in self._here.items():
                field.value = _text(made, part, key)
        finally:
            self._quiet = False

    def at_rest(self, design: Design) -> None:
        """What follows of a design, when nothing moves; nothing while it is folded."""
        self._design = design
        self._write_answer()

    def _write_answer(self) -> None:
        if not self.open or self._design is None:
            return
        self._hint(self._design)
        made = self._design.brief.as_cut
        if not made and not made.boards:
            self.answer.value = NOTHING_YET if self.parts.children else ""
            return
        try:
            self._make_ready(self._design)
            self.answer.value = as_cut_html(self._design)
        except DesignError as trouble:  # the parts no longer fit one another
            self.answer.value = alert(str(trouble))

    def _make_ready(self, design: Design) -> None:
        """Compile at once what a slider may want; the maker sees that it takes a while."""
        made, base = design.brief.as_cut, repr(design.base)
        if made and base not in self._ready:
            self.answer.value = WORKING
            make_ready(design.sheet, design.leg_work)
            self._ready.add(base)
        if made.boards and not self._panel_ready and design.sheet.get("top_diameter"):
            glued_panel.make_ready(design.sheet)
            self._panel_ready = True

    def _hint(self, design: Design) -> None:
        """The sizes as drawn, in grey."""
        sheet = design.sheet
        for (part, key), field in self._here.items():
            if key in PANEL_FIELDS:
                continue
            stem = stems_of(part)[key] if part else "shop_moisture" if key == MOISTURE.name else key
            size = drawn_size(sheet, design.leg_work, stem)
            unit = unit_of(stem) if part else sheet.network.quantity(stem).unit
            field.placeholder = "" if size is None else shop_text(size, unit, sheet.shop_style)


def _said(problem: BriefProblem) -> str:
    """What is wrong, and with which post or leg."""
    part = problem.section.rpartition(".")[2]
    named = part in (*POSTS, *LEGS)
    return f"{part.replace('_', ' ')}: {problem.message}" if named else problem.message


def _field(says: str, in_full: str) -> widgets.Text:
    return widgets.Text(
        description=says, tooltip=in_full, continuous_update=False,
        style={"description_width": "130px"}, layout={"width": "250px"},
    )  # fmt: skip


def _size(part: str, key: str) -> str:
    """The name that the size of a field has among the sizes as cut."""
    return f"{stems_of(part)[key]}_{part[-1]}" if part else key


def _text(made: AsCut, part: str, key: str) -> str:
    """What stands in a field: as the maker wrote it, where that is known."""
    if key == STRIPS.name:
        return "; ".join(_as_typed(one, "mm") for one in made.boards)
    size = made.sizes.get(_size(part, key))
    unit = unit_of(stems_of(part)[key]) if part else "mm"
    if key == MOISTURE.name:
        size, unit = made.moisture, "%"
    if key == CENTRE.name:
        size = made.centre
    return "" if size is None else _as_typed(size, unit)


def _as_typed(size: float, unit: str) -> str:
    return str(getattr(size, "text", "") or f"{float(size):.10g} {unit}")


def _several(text: str) -> list[str]:
    """The measures of a field that holds several; a comma may be one within a number."""
    return [one.strip() for one in re.split(r";|,(?!\d)", text) if one.strip()]
