"""Marking out and cutting the posts, in words for the bench."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from tablekit.engine.shop import figures_text, fine_text, rule_step, shop_text
from tablekit.planning.notch_cutting import (
    SQUARE_ENOUGH,
    FlatSettings,
    Guides,
    NotchAngles,
    NotchFit,
    Passes,
    Tools,
    flat_settings,
    notch_angles,
    router_guides,
    saw_passes,
    worst_fit,
)
from tablekit.planning.post_marks import (
    BEARING,
    NEXT_ON_THE_END,
    NOTCHED,
    Flat,
    PostMarks,
    locked_words,
)
from tablekit.planning.said import NO_BREAK, Said, lines_of
from tablekit.planning.setting_out_posts import neighbours, post_marks
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

STEEPEST_FENCE = 50.0  # degrees; few mitre fences go further: common practice, no source

CAUTION = (
    "Caution: a notch removes half of a post, and a stacked cutter means removing a guard. Fit a "
    "cutter only to a saw whose maker allows it, and refit the guards afterwards. Clamp the post, "
    "or hold it in a sled against a stop. Clamp a post rocked on a wedge to that wedge. Keep hands "
    "out of the cutter's line, and cut in scrap of the same section first. Follow the makers' "
    "manuals, local codes and your workshop's rules for these machines. If you are not trained on "
    "one, cut by hand."
)


class _PostPage:
    """What is said of the posts of a sheet, as it is put together."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.said: list[Said] = []

    def heading(self, text: str) -> None:
        self.said.append(Said(text, "heading"))

    def caution(self, text: str) -> None:
        self.said.append(Said(text, "caution"))

    def say(self, text: str, indent: int = 1) -> None:
        self.said.append(Said(text, indent=indent))

    def tool(self, number: float, figures: int = 4) -> str:
        """The size of a tool, which is what it is and not rounded to the maker's fraction, but said
        as one where it is one."""
        style = self.sheet.shop_style
        marks = number / rule_step(style)
        if style.display == "in" and abs(marks - round(marks)) < 0.01:
            return self.length(number)
        return figures_text(number, "mm", style, figures).replace(" ", NO_BREAK)

    def length(self, number: float) -> str:
        """A size that is never broken over two lines."""
        return shop_text(number, "mm", self.sheet.shop_style).replace(" ", NO_BREAK)


@dataclass(frozen=True, eq=False)
class PostWork:
    """What is to be known for marking out and cutting the posts of a sheet, each found once. Each
    raises what the function that finds it raises."""

    sheet: Sheet

    @cached_property
    def marks(self) -> tuple[PostMarks, ...]:
        """Knife lines, one set for each kind of post."""
        return post_marks(self.sheet)

    @cached_property
    def angles(self) -> NotchAngles:
        """How the notches lie in the posts."""
        return notch_angles(self.sheet)

    @cached_property
    def flats(self) -> FlatSettings:
        """Settings for the flats on the ends."""
        return flat_settings(self.sheet)

    @cached_property
    def fit(self) -> NotchFit:
        """How a post fits its notch as marked."""
        return worst_fit(self.sheet)


def marking_text(
    sheet: Sheet, width: int = 80, tools: Tools | None = None, work: PostWork | None = None
) -> str:
    """Faces, knife lines, machine settings, flats and fit of the posts. Ends in a line end.

    width in characters; tools as the shop mostly has them where left out; work where it is known.
    Raises what `post_marks` raises.
    """
    page, work = _PostPage(sheet), work or PostWork(sheet)
    _laid_down(page, work)
    _which_lies_where(page)
    for marks in work.marks:
        _faces(page, marks)
        _lines(page, marks)
    _angles(page, work.angles)
    _passes(page, tools or Tools.of(sheet.shop_style.display))
    _flats(page, work)
    _fit(page, work.fit, source=True)
    page.caution(CAUTION)
    title = textwrap.wrap(f"{sheet.name}: marking out and cutting the posts", width)
    return "\n".join([*title, *lines_of(page.said, width)]) + "\n"


def about_faces(work: PostWork) -> tuple[Said, ...]:
    """What is said beside the drawing of the faces, which has the faces and the knife lines: how
    the post lies, and its flats. Raises what `post_marks` raises."""
    page = _PostPage(work.sheet)
    _laid_down(page, work)
    _flats(page, work)
    return tuple(page.said)


def about_lying(work: PostWork) -> tuple[Said, ...]:
    """Which post lies in which notch. Raises what `post_marks` raises."""
    page = _PostPage(work.sheet)
    _ = work.marks  # raises where they cannot be marked out
    _which_lies_where(page)
    return tuple(page.said)


def about_notches(work: PostWork, tools: Tools) -> tuple[Said, ...]:
    """What is said beneath the drawing of the joint: how a notch is cut, and how it fits. Raises
    what `post_marks` raises."""
    page = _PostPage(work.sheet)
    _warned(page)
    _angles(page, work.angles)
    _passes(page, tools)
    _fit(page, work.fit, source=False)
    page.caution(CAUTION)
    return tuple(page.said)


def _warned(page: _PostPage) -> None:
    """Why the posts are not to be cut, where they cannot be put together."""
    locked = locked_words(page.sheet)
    if locked:
        page.caution(f"Caution: {locked}")


def _laid_down(page: _PostPage, work: PostWork) -> None:
    """What is wrong with the posts, if anything; from where sizes are measured, and the arrises."""
    _warned(page)
    first = work.marks[0]
    page.say(
        "Measure every size along a post from its foot end, before any flat is cut. Cut the "
        "notches first and the flats last.",
        indent=0,
    )
    side, names = "right" if first.mirrored else "left", [face.name for face in first.faces]
    page.say(
        f"Arrises: lay the post down with its foot end to the {side}, the {names[BEARING]} "
        f"towards you and the {names[NOTCHED]} on top. Arris A lies between these two faces; B, C "
        "and D follow over the top and down the back. The bearing face is the one that will lie on "
        "the floor of the next post's notch.",
        indent=0,
    )


def _which_lies_where(page: _PostPage) -> None:
    page.heading("How the posts lie (numbered anticlockwise, seen from above)")
    two = base_of(page.sheet).notches_each == 2
    for post in (1, 2, 3):
        guest, host = neighbours(page.sheet, post)
        if two:
            page.say(
                f"Post {post}: its upper notch takes post {guest}, its lower notch post {host}"
            )
        else:
            page.say(
                f"Post {post}: its notch takes post {guest}; it lies in the notch of post {host}"
            )
    hand, other = ("Left", "right") if base_of(page.sheet).mirrored else ("Right", "left")
    way = "anticlockwise" if neighbours(page.sheet, 1)[0] == 2 else "clockwise"
    page.say(
        f"{hand} hand: each {'upper ' if two else ''}notch takes the next post {way}. A "
        f"{other}-hand base is its mirror image"
    )


def _faces(page: _PostPage, marks: PostMarks) -> None:
    page.heading(f"{marks.called}: {shop_text(marks.length, 'mm', page.sheet.shop_style)} long")
    for face in marks.faces:
        first, second = face.arrises
        page.say(
            f"{first}-{second}  {face.name}, {page.length(face.width)} wide, faces {face.looks}; "
            f"{face.task}"
        )


def _lines(page: _PostPage, marks: PostMarks) -> None:
    page.say("Knife lines, from the foot end along each arris:")
    for arris in "ABCD":
        cuts = [m for m in marks.on_arris(arris) if m.cut]
        seats = [m for m in marks.on_arris(arris) if not m.cut]
        said = ", ".join(f"{m.what} {page.length(m.size)}" for m in cuts) or "no lines"
        if seats:
            between = " to ".join(page.length(m.distance) for m in seats)
            said += f"; seat, pencil only, do not cut: {between}"
        page.say(f"arris {arris}: {said}", indent=2)
    for depth in marks.depths:
        name = marks.faces[depth.face].name
        page.say(
            f"notch floor on the {name}: {page.length(depth.depth)} from arris {depth.arris}",
            indent=2,
        )


def _angles(page: _PostPage, angles: NotchAngles) -> None:
    page.heading("Setting up for the notch")
    if angles.plain:
        page.say("A square notch: walls square across the post, floor parallel to the face.")
        return
    if abs(angles.wedge) >= SQUARE_ENOUGH:
        side = "bearing face" if angles.wedge > 0 else "face opposite the bearing face"
        arris = "A" if angles.wedge > 0 else "B"
        page.say(
            f"Rock the post {abs(angles.wedge):.2f}° about its length on a full-length wedge until "
            f"the notch floor lies level. With the notch facing up, lift the {side}: arris {arris} "
            "is then the highest (the lowest, with the notch face down on a saw table)."
        )
    page.say(
        f"Set the mitre fence {abs(angles.mitre):.2f}° out of square across: at arris B the walls "
        f"lie nearer the {angles.leads}. The cutter stays plumb."
    )
    if abs(angles.mitre) > STEEPEST_FENCE:
        page.say(
            "Few mitre fences go that far: run a router between guides, or saw by hand to the "
            "knife lines."
        )
    page.say(
        f"Sliding bevel for the knife lines: {abs(angles.on_notched):.2f}° out of square across "
        f"the notched face, {abs(angles.on_beside):.2f}° down the faces beside it, there towards "
        f"the {angles.sinks}."
    )
    page.say(
        "To saw the walls with the post lying flat, notch up: mitre "
        f"{abs(angles.on_notched):.2f}°, at arris B towards the {angles.leads}; blade "
        f"{abs(angles.blade_tilt):.2f}° out of plumb, so that the cut runs towards the "
        f"{angles.sinks} as it goes down. Then pare the floor."
    )


def _passes(page: _PostPage, tools: Tools) -> None:
    relief = page.sheet.get("notch_relief") or 0.0
    wider = [(0.0, "")]
    if relief:
        wider.append((relief, " of the upper notch of post 1, which is longer"))
    for more, which in wider:
        page.heading(f"Passes{which}")
        notch = page.sheet.number("post_width") + more
        if tools.cutter_width > notch:
            page.say(
                f"The {page.tool(tools.cutter_width)} cutter is too wide for the notch: use a "
                "narrower one."
            )
        elif tools.least_overlap >= tools.cutter_width:
            page.say("least_overlap must be less than the width of the cutter: give a smaller one.")
        else:
            _saw(page, saw_passes(page.sheet, tools.cutter_width, tools.least_overlap, more))
        if tools.router_cutter > notch:
            page.say("The router's cutter is too wide for the notch: use a narrower one.")
        elif tools.router_cutter >= tools.base_width:
            page.say(
                "The router's cutter is at least as wide as its base: give a wider base_width."
            )
        else:
            _router(page, router_guides(page.sheet, tools.base_width, tools.router_cutter, more))


def _saw(page: _PostPage, found: Passes) -> None:
    stops = ", ".join(page.length(stop) for stop in found.stops)
    overlap = fine_text(found.overlap, page.sheet.shop_style).replace(" ", NO_BREAK)
    page.say(
        f"Stacked cutter, {page.tool(found.cutter)} wide: {len(found.stops)} passes, each "
        f"overlapping the last by {overlap}. Cut {page.length(found.height)} "
        f"straight down from arris {found.arris}. Foot end to the near side of the cutter, along "
        f"arris {found.arris}: {stops}."
    )


def _router(page: _PostPage, found: Guides) -> None:
    page.say(
        f"Router with a {page.tool(found.base)} base and a {page.tool(found.cutter)} cutter, "
        f"between two guides: set the guides' edges along arris {found.arris} at "
        f"{page.length(found.near)} and {page.length(found.far)} ({page.length(found.offset)} "
        f"outside each wall). Cut {page.length(found.height)} straight down from arris "
        f"{found.arris}, in several passes."
    )


def _flats(page: _PostPage, work: PostWork) -> None:
    page.heading("Flats: cut the sharp corner off each end, level")
    foot, head = work.marks[0].flats
    edges = {page.length(one) for one in (foot.along, foot.over_bearing, foot.over_side)}
    if len(edges) == 1 and replace(head, end=foot.end, arris=foot.arris) == foot:
        page.say(_flat_words(page, foot, f"Foot, arris {foot.arris}, and head, arris {head.arris}"))
    else:
        for flat in (foot, head):
            page.say(_flat_words(page, flat, f"{flat.end.capitalize()}, arris {flat.arris}"))
    found = work.flats
    bearing = f"mitre {found.mitre_on_bearing:.2f}°, blade tilted {found.tilt_on_bearing:.2f}°"
    side = f"mitre {found.mitre_on_side:.2f}°, blade tilted {found.tilt_on_side:.2f}°"
    if bearing == side:
        page.say(f"Saw, with the post lying on any face: {bearing}. {_ALONG_THE_MARKS}")
        return
    page.say(
        f"Saw, with the post lying on the bearing face or the face opposite it: {bearing}. On the "
        f"notched face or the face opposite it: {side}. {_ALONG_THE_MARKS}"
    )


_ALONG_THE_MARKS = (
    "With the marked corner on top, saw from the mark on its arris to the mark on the end; the cut "
    "comes nearer the end as it goes down."
)


def _flat_words(page: _PostPage, flat: Flat, where: str) -> str:
    edges = [page.length(one) for one in (flat.along, flat.over_bearing, flat.over_side)]
    beside = NEXT_ON_THE_END[flat.arris]
    if len({*edges}) == 1:
        return (
            f"{where}: from the corner, mark {edges[0]} along all three edges. Join the marks and "
            "saw to the lines."
        )
    return (
        f"{where}: from the corner, mark {edges[0]} along the arris and, on the end, {edges[1]} "
        f"towards arris {beside[0]} and {edges[2]} towards arris {beside[1]}. Join the marks and "
        "saw to the lines."
    )


def _fit(page: _PostPage, fit: NotchFit, source: bool) -> None:
    page.heading("Fit")
    verdict = "" if fit.verdict == "pass" else f"{fit.verdict.upper()}: "
    page.say(f"{verdict}{fit.message}")
    if source:
        page.say(f"Source: {fit.source}.")
