"""Marking out and cutting the posts, in words for the bench."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from tablekit.engine.shop import figures_text, shop_text
from tablekit.planning.notch_cutting import (
    SQUARE_ENOUGH,
    Guides,
    NotchAngles,
    Passes,
    Tools,
    flat_settings,
    notch_angles,
    router_guides,
    saw_passes,
)
from tablekit.planning.notch_fit import worst_fit
from tablekit.planning.notches import locked_words
from tablekit.planning.post_marks import BEARING, NOTCHED, Flat, PostMarks
from tablekit.planning.setting_out_posts import ONE_NOTCH, crossing_of, neighbours, post_marks

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

STEEPEST_FENCE = 50.0  # degrees; few mitre fences go further: common practice, no source

CAUTION = (
    "Caution: a notch takes away half of a post and a stacked cutter takes away a guard. Use only "
    "a saw and a cutter that their makers allow together, refit guards, clamp the post or hold it "
    "in a sled against a stop, keep hands out of the cutter's line, and cut in scrap of the same "
    "section first. A post rocked on a wedge must be clamped to it. Follow the makers' manuals and "
    "what local codes and your workshop ask of people who use such machines; where you are not "
    "trained on one, cut by hand."
)


class _Page:
    def __init__(self, sheet: Sheet, width: int) -> None:
        self.sheet, self.width = sheet, width
        self.lines: list[str] = []

    def heading(self, text: str) -> None:
        self.lines += ["", *textwrap.wrap(text, self.width)]

    def say(self, text: str, indent: int = 2) -> None:
        space = " " * indent
        self.lines += textwrap.wrap(
            text, self.width, initial_indent=space, subsequent_indent=space + "  "
        )

    def tool(self, number: float) -> str:
        """The size of a tool, which is what it is and not rounded to the maker's fraction."""
        return figures_text(number, "mm", self.sheet.shop_style, 4)

    def length(self, number: float) -> str:
        return shop_text(number, "mm", self.sheet.shop_style)


def marking_text(
    sheet: Sheet, width: int = 80, tools: Tools | None = None, *, beside_drawing: bool = False
) -> str:
    """Faces, knife lines, machine settings, flats and fit of the posts. Ends in a line end.

    width in characters; tools as the shop mostly has them where left out; beside_drawing leaves
    out the faces and the knife lines, which the drawing of the faces has. Raises what
    `post_marks` raises.
    """
    page = _Page(sheet, width)
    page.lines = textwrap.wrap(f"{sheet.name}: marking out and cutting the posts", width)
    locked = locked_words(sheet)
    if locked:
        page.heading(f"Caution: {locked}")
        page.lines.append("")
    page.say(
        "Every size along a post is measured from its foot end, before any flat is cut. Cut the "
        "notches first and the flats last.",
        indent=0,
    )
    first = post_marks(sheet)[0]
    side, names = "right" if first.mirrored else "left", [face.name for face in first.faces]
    page.say(
        f"Arrises: lay the post down with its foot end to the {side}, the {names[BEARING]} "
        f"towards you and the {names[NOTCHED]} on top. A is the arris between these two; B, C and "
        "D follow over the top and down the back.",
        indent=0,
    )
    _which_lies_where(page)
    for marks in () if beside_drawing else post_marks(sheet):
        _faces(page, marks)
        _lines(page, marks)
    _angles(page, notch_angles(sheet))
    _passes(page, tools or Tools.of(sheet.shop_style.display))
    _flats(page)
    _fit(page, source=not beside_drawing)
    page.heading(CAUTION)
    return "\n".join(page.lines) + "\n"


def _which_lies_where(page: _Page) -> None:
    page.heading("Which post lies where (posts numbered anticlockwise seen from above)")
    two = crossing_of(page.sheet) != ONE_NOTCH
    for post in (1, 2, 3):
        guest, host = neighbours(page.sheet, post)
        if two:
            page.say(
                f"post {post}: its upper notch takes in post {guest}, its lower notch post {host}"
            )
        else:
            page.say(f"post {post}: takes in post {guest}, and lies in the notch of post {host}")


def _faces(page: _Page, marks: PostMarks) -> None:
    page.heading(f"{marks.called}: {page.length(marks.length)} long")
    for face in marks.faces:
        first, second = face.arrises
        page.say(
            f"{first}-{second}  {face.name}, {page.length(face.width)} wide, looks {face.looks}; "
            f"{face.task}"
        )


def _lines(page: _Page, marks: PostMarks) -> None:
    page.say("Knife lines, from the foot end along each arris:")
    for arris in "ABCD":
        cuts = [m for m in marks.on_arris(arris) if m.cut]
        seats = [m for m in marks.on_arris(arris) if not m.cut]
        said = ", ".join(f"{m.what} {page.length(m.size)}" for m in cuts) or "nothing"
        if seats:
            between = " to ".join(page.length(m.distance) for m in seats)
            said += f"; witness of the seat, not cut: {between}"
        page.say(f"arris {arris}: {said}", indent=4)
    for depth in marks.depths:
        name = marks.faces[depth.face].name
        page.say(
            f"notch floor on the {name}: {page.length(depth.depth)} from arris {depth.arris}",
            indent=4,
        )


def _angles(page: _Page, angles: NotchAngles) -> None:
    page.heading("Setting up for the notch")
    if angles.plain:
        page.say("A plain notch: walls square across, floor parallel to the face. No wedge.")
        return
    if abs(angles.wedge) >= SQUARE_ENOUGH:
        side = "bearing face" if angles.wedge > 0 else "face opposite the bearing face"
        arris = "A" if angles.wedge > 0 else "B"
        page.say(
            f"Rock the post {abs(angles.wedge):.2f}° about its length on a wedge along all of it, "
            f"the {side} lifted when the notch looks up, until the notch floor lies level: arris "
            f"{arris} is then the highest (the lowest, with the notch looking down at a saw table)."
        )
    page.say(
        f"Set the mitre fence {abs(angles.mitre):.2f}° out of square across: at arris B the walls "
        f"lie nearer the {angles.leads}. The cutter stays plumb."
    )
    if abs(angles.mitre) > STEEPEST_FENCE:
        page.say(
            "Few mitre fences go so far: run a router between guides instead, or saw by hand to "
            "the knife lines."
        )
    page.say(
        f"Sliding bevel for the knife lines: {abs(angles.on_notched):.2f}° out of square across "
        f"the notched face, {abs(angles.on_beside):.2f}° down the faces beside it."
    )
    page.say(
        f"Sawing the walls with the post lying flat instead: mitre {abs(angles.on_notched):.2f}°, "
        f"blade {abs(angles.blade_tilt):.2f}° out of plumb; the floor then still has to be pared."
    )


def _passes(page: _Page, tools: Tools) -> None:
    relief = page.sheet.get("notch_relief") or 0.0
    wider = [(0.0, "")]
    if relief:
        wider.append((relief, " of the upper notch of post 1, which is longer"))
    for more, which in wider:
        page.heading(f"Passes{which}")
        notch = page.sheet.number("post_width") + more
        if tools.cutter_width > notch:
            page.say(
                f"The notch is narrower than a {page.tool(tools.cutter_width)} cutter: take a "
                "narrower one."
            )
        elif tools.least_overlap >= tools.cutter_width:
            page.say("Passes cannot overlap by the whole cutter: give a smaller least_overlap.")
        else:
            _saw(page, saw_passes(page.sheet, tools.cutter_width, tools.least_overlap, more))
        if tools.router_cutter > notch:
            page.say("The router's cutter is wider than the notch: take a narrower one.")
        elif tools.router_cutter >= tools.base_width:
            page.say("The router's cutter is as wide as its base: give a base_width it runs in.")
        else:
            _router(page, router_guides(page.sheet, tools.base_width, tools.router_cutter, more))


def _saw(page: _Page, found: Passes) -> None:
    stops = ", ".join(page.length(stop) for stop in found.stops)
    page.say(
        f"Stacked cutter {page.tool(found.cutter)}: {len(found.stops)} passes with "
        f"{page.tool(found.overlap)} overlap ({found.edge_to_edge} edge to edge). Cutter "
        f"{page.length(found.height)} deep from arris {found.arris}. Foot end to the near side of "
        f"the cutter, along arris {found.arris}: {stops}."
    )


def _router(page: _Page, found: Guides) -> None:
    page.say(
        f"Router with a {page.tool(found.base)} base and a {page.tool(found.cutter)} cutter "
        f"between two guides: along arris {found.arris} the guides' edges at "
        f"{page.length(found.near)} and {page.length(found.far)} ({page.length(found.offset)} "
        f"outside each wall), depth {page.length(found.height)} below arris {found.arris}, in "
        f"several steps."
    )


def _flats(page: _Page) -> None:
    page.heading("Flats, cut level: the sharp corner of each end comes off")
    for flat in post_marks(page.sheet)[0].flats:
        page.say(_flat_words(page, flat))
    found = flat_settings(page.sheet)
    page.say(
        f"Guide block for chisel or saw: its sole lies in the flat at {found.to_end:.2f}° to the "
        f"end, {found.to_bearing:.2f}° to the bearing face or the one opposite, "
        f"{found.to_side:.2f}° to the notched face or the one opposite."
    )
    page.say(
        f"Saw, post flat on the bearing face or the one opposite: mitre "
        f"{found.mitre_on_bearing:.2f}°, blade tilted {found.tilt_on_bearing:.2f}°; on the notched "
        f"face or the one opposite: mitre {found.mitre_on_side:.2f}°, blade tilted "
        f"{found.tilt_on_side:.2f}°."
    )


def _flat_words(page: _Page, flat: Flat) -> str:
    return (
        f"{flat.end}, arris {flat.arris}: from the sharp corner {page.length(flat.along)} along "
        f"the arris, {page.length(flat.over_bearing)} along the {flat.end} end on the face "
        f"parallel to the bearing face, {page.length(flat.over_side)} on the face parallel to the "
        f"notched one; {page.length(flat.depth)} below the corner, plumb. Sides of the triangle "
        f"{page.length(flat.on_bearing)}, {page.length(flat.on_side)} and, on the end, "
        f"{page.length(flat.on_end)}."
    )


def _fit(page: _Page, source: bool) -> None:
    fit = worst_fit(page.sheet)
    page.heading("Fit")
    page.say(f"{fit.verdict.upper() if fit.verdict != 'pass' else 'pass'}: {fit.message}")
    if source:
        page.say(f"Source: {fit.source}.")
