"""The fold of the setting-out panel in which a maker writes what is cut already, and reads how the
piece comes out with it and what to do."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import AsCut, BriefProblem
from tablekit.brief.as_cut import CENTRE, MOISTURE, POSTS, STEMS, STRIPS, read_as_cut
from tablekit.brief.section import BriefSection, BriefText
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import WRAPPED, alert, heard
from tablekit.panels.row import column
from tablekit.panels.tables import as_cut_html
from tablekit.planning import glued_panel
from tablekit.planning.as_cut import drawn, make_ready

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.design import Design
    from tablekit.engine.sheet import Sheet

TITLE = "As cut: what you measured"
POST_FIELDS = {
    "length": "length", "notch_position": "notch centre", "notch_depth": "notch depth",
    "notch_width": "notch width", "section": "section", "foot_flat": "foot flat",
    "head_flat": "head flat",
}  # fmt: skip
TOP_FIELDS = {"top_thickness": "top thickness", "top_diameter": "top diameter"}
PANEL_FIELDS = {STRIPS.name: "strips as glued", CENTRE.name: "centre marked"}
INTRODUCTION = (
    "Lengths and notch centres from the foot end, before the flats are cut; a flat by the largest "
    "circle on it. Leave empty what is not cut yet: it counts as drawn, the size in grey. Of the "
    "glued top the width of each strip in order, with semicolons between them, and the centre from "
    "the outer edge of the first."
)
NOT_HERE = (
    "Sizes as cut are worked through for splayed legs and for three posts with one notch each; "
    "here only the strips of the glued top, the centre of the round and the moisture of the wood "
    "count."
)
OF_LEGS = (
    "Sizes of legs and sockets are written in the brief, as leg_1 = { length = … } below [as_cut]; "
    "what comes of them stands here. The fields are for the glued top and the wood."
)
WORKING = "This is being worked out; the first time takes some seconds."
NOTHING_YET = "Write a size that you measured, with its unit."


class AsCutFold:
    """Fields for what was measured, and what follows.

    fields   the texts, by post and key: ("post_1", "length"); of the top and the wood with ""
    answer   what follows, as HTML; it is worked out only while the fold is open
    trouble  what is wrong with what was typed, as HTML
    widget   what the panel shows, folded

    changed  called with what was measured, at each change
    """

    def __init__(self, changed: Callable[[AsCut], None]):
        self._changed = changed
        self._quiet = self._ready = self._panel_ready = False
        self._shown: AsCut | None = None
        self._brief: Brief | None = None
        self._design: Design | None = None
        self.fields = {
            **{
                (post, key): _field(says, f"{says} of {post.replace('_', ' ')}")
                for post in POSTS
                for key, says in POST_FIELDS.items()
            },
            **{("", key): _field(says, says) for key, says in TOP_FIELDS.items()},
            ("", STRIPS.name): _field(PANEL_FIELDS[STRIPS.name], STRIPS.meaning),
            ("", CENTRE.name): _field(PANEL_FIELDS[CENTRE.name], CENTRE.meaning),
            ("", MOISTURE.name): _field("moisture", "moisture of the wood when it was cut"),
        }
        for one in self.fields.values():
            heard(one, self._typed)
        self.introduction = widgets.HTML()
        self.answer, self.trouble = widgets.HTML(), widgets.HTML()
        self.posts = widgets.HBox(
            [self._of(post, f"Post {number}") for number, post in enumerate(POSTS, start=1)],
            layout=WRAPPED,
        )
        rest = self._of("", "Top and wood")
        inside = [self.introduction, self.posts, rest, self.trouble, self.answer]
        self.widget = widgets.Accordion([widgets.VBox(inside)], titles=(TITLE,))
        self.widget.observe(lambda _: self._write_answer(), "selected_index")

    def _of(self, post: str, title: str) -> widgets.Widget:
        own = [field for (of, _), field in self.fields.items() if of == post]
        # Beside one another a column shares the width; below them it would take a height.
        layout = column(1, 260) if post else {}
        return widgets.VBox([widgets.HTML(f"<b>{title}</b>"), *own], layout=layout)

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
        table: dict[str, Any] = {post: {} for post in POSTS}
        for (post, key), field in self.fields.items():
            if text := field.value.strip():
                (table[post] if post else table)[key] = text
        if STRIPS.name in table:
            table[STRIPS.name] = _several(table[STRIPS.name])
        table = {key: said for key, said in table.items() if said}
        section = BriefSection(BriefText(""), table, ("as_cut",))
        made = read_as_cut(section, brief.base.chosen)
        if section.source.problems:
            raise DesignError("; ".join(_said(one) for one in section.source.problems))
        hidden = {n: size for n, size in brief.as_cut.sizes.items() if n not in _named_here()}
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
        here = base.crossed and base.notches_each == 1
        elsewhere = NOT_HERE if base.crossed else OF_LEGS
        self.introduction.value = INTRODUCTION if here else elsewhere
        self.posts.layout.display = "" if here else "none"
        for key in TOP_FIELDS:
            self.fields["", key].layout.display = "" if here else "none"
        self._fill(brief.as_cut)

    def _fill(self, made: AsCut) -> None:
        self._quiet = True  # filling a field is not typing in it
        try:
            for (post, key), field in self.fields.items():
                field.value = _text(made, post, key)
        finally:
            self._quiet = False

    def at_rest(self, design: Design) -> None:
        """What follows of a design, when nothing moves; nothing while it is folded."""
        self._design = design
        self._write_answer()

    def _write_answer(self) -> None:
        if not self.open or self._design is None:
            return
        self._hint(self._design.sheet)
        made = self._design.brief.as_cut
        if not made and not made.boards:
            self.answer.value = NOTHING_YET if self.posts.layout.display == "" else ""
            return
        try:
            self._make_ready(self._design)
            self.answer.value = as_cut_html(self._design)
        except DesignError as trouble:  # the posts no longer fit one another
            self.answer.value = alert(str(trouble))

    def _make_ready(self, design: Design) -> None:
        """Compile at once what a slider may want; the maker sees that it takes a while."""
        made = design.brief.as_cut
        if made and design.on_posts and not self._ready:
            self.answer.value = WORKING
            make_ready(drawn(design.sheet))
            self._ready = True
        if made.boards and not self._panel_ready and design.sheet.get("top_diameter"):
            glued_panel.make_ready(design.sheet)
            self._panel_ready = True

    def _hint(self, sheet: Sheet) -> None:
        """The sizes as drawn, in grey."""
        for (post, key), field in self.fields.items():
            if key in PANEL_FIELDS:
                continue
            name = "shop_moisture" if key == MOISTURE.name else STEMS[key] if post else key
            size = sheet.get(name)
            unit = sheet.network.quantity(name).unit if size is not None else ""
            field.placeholder = "" if size is None else shop_text(size, unit, sheet.shop_style)


def _said(problem: BriefProblem) -> str:
    """What is wrong, and with which post."""
    post = problem.section.rpartition(".")[2]
    return f"{post.replace('_', ' ')}: {problem.message}" if post in POSTS else problem.message


def _field(says: str, in_full: str) -> widgets.Text:
    return widgets.Text(
        description=says, tooltip=in_full, continuous_update=False,
        style={"description_width": "130px"}, layout={"width": "250px"},
    )  # fmt: skip


def _named_here() -> frozenset[str]:
    """The sizes that have a field."""
    posts = {f"{STEMS[key]}_{number}" for key in POST_FIELDS for number in (1, 2, 3)}
    return frozenset({*posts, *TOP_FIELDS})


def _text(made: AsCut, post: str, key: str) -> str:
    """What stands in a field: as the maker wrote it, where that is known."""
    sizes: Mapping[str, float] = made.sizes
    if key == STRIPS.name:
        return "; ".join(_as_typed(one, "mm") for one in made.boards)
    number = POSTS.index(post) + 1 if post else 0
    size = sizes.get(f"{STEMS[key]}_{number}" if post else key)
    unit = "mm"
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
