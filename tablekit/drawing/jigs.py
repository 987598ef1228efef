"""Jigs, each from above and in section, with the sizes that it is made to.

Every length and angle comes from the plan of the jigs; here they are laid out on the paper. From
above the maker stands at the lower edge of the sheet, and the foot end of a post lies to the left,
or to the right in a left-hand piece. Sections are seen from the right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import cos, hypot, radians, sin, tan
from typing import TYPE_CHECKING

from tablekit.drawing import dimension, style
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    Layout,
    scale_text,
)
from tablekit.drawing.ink import Ink, Label, Point, box_of
from tablekit.drawing.title import centred, drawing_room, in_a_column, in_a_row, title
from tablekit.drawing.trammel import LEAST_SCALE, board
from tablekit.engine.shop import figures_text, shop_text
from tablekit.relations.jigs import CRADLE, SLED, STOP, TRAMMEL, WEDGE

if TYPE_CHECKING:
    from tablekit.drawing.style import Paper
    from tablekit.planning.jigs import Jig, Jigs
    from tablekit.planning.trammel_plan import TrammelPlan

GAP, BELOW = 11.0, 6.0  # between two views side by side, and one under the other
ROW = style.NEXT_ROW
WORK, JIG, OTHER = style.POST_TONES[0], style.POST_TONES[1], style.POST_TONES[2]
LARGER = {CRADLE: 1.2, SLED: 1.5}  # by how much a section is larger than the view from above


@dataclass(frozen=True)
class JigSubject:
    """What is drawn: one of the jigs of a piece, and how its top is cut round."""

    found: Jigs
    which: str
    name: str
    trammel: TrammelPlan | None = None

    @property
    def jig(self) -> Jig:
        """The jig itself."""
        return self.found[self.which]

    @property
    def size(self) -> Mapping[str, float]:
        """Its sizes by name, mm and degrees."""
        return self.jig.sizes

    def text(self, name: str) -> str:
        """A size as it is written beside its dimension line, without its unit."""
        display = self.found.style.display
        return shop_text(self.size[name], "mm", self.found.style).removesuffix(f" {display}")

    def fine(self, name: str) -> str:
        """The same to four figures, for what is planed to fit."""
        display = self.found.style.display
        return figures_text(self.size[name], "mm", self.found.style, 4).removesuffix(f" {display}")


def lay_out_jig(it: JigSubject, paper: Paper) -> Layout:
    """The views of a jig at the largest scale that fits, sections larger than the rest.

    Raises ValueError where the paper is too small for any."""
    inches = it.found.style.display == "in"
    scales = (INCH_SCALES if inches else METRIC_SCALES) if paper.to_scale else FREE_SCALES
    room, share = drawing_room(paper), LARGER.get(it.which, 1.0)
    for scale in scales:
        larger = min((one for one in scales if one >= share * scale), default=scale)
        for arranged in _arranged(it, scale, larger):
            placed = centred(arranged, room)
            if placed is not None and _letters_apart(placed):
                placed.add(title(*_words(it, scale, larger, paper), paper))
                return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the {it.jig.name} of "
        f"{it.name}; take a larger one"
    )


def _letters_apart(ink: Ink) -> bool:
    """Whether the letters of the arrises, which stand at a section's corners, can be told apart."""
    boxes = [box_of(label) for label in ink.labels if len(label.text) == 1]
    return not any(one.meets(other) for one, other in combinations(boxes, 2))


def _words(it: JigSubject, scale: float, larger: float, paper: Paper) -> tuple[str, list[str]]:
    unit = "inches" if it.found.style.display == "in" else "millimetres"
    said = f"{scale_text(scale)}. " if paper.to_scale else ""
    if paper.to_scale and larger != scale:
        said = f"Section {scale_text(larger)}, from above {said}"
    return f"{it.name}: {it.jig.name}", [f"{said}Sizes in {unit}."]


def _arranged(it: JigSubject, scale: float, larger: float) -> Iterator[Ink]:
    *above, last = range(len(VIEWS[it.which]))
    every = [*(_view(it, number, larger) for number in above), _view(it, last, scale)]
    views = [view for view in every if view is not None]
    yield in_a_row(views, GAP)
    yield in_a_column(views, BELOW)


@lru_cache(maxsize=256)
def _view(it: JigSubject, number: int, scale: float) -> Ink | None:
    """One view, which nobody adds to: it is kept while scales are tried."""
    return VIEWS[it.which][number](it, scale)


def _polygon(ink: Ink, corners: Sequence[Point], tone: str = "", pen: str = "visible") -> None:
    if tone:
        ink.areas.append(([*corners], tone))
    ink.line(pen, *corners, corners[0])


def _box(left: float, low: float, right: float, high: float) -> list[Point]:
    return [(left, low), (right, low), (right, high), (left, high)]


def _above(ink: Ink, words: str) -> None:
    """What a view shows, over it."""
    box = ink.box()
    ink.labels.append(Label(words, box.left, box.high + 4.0, "left", colour=style.FAINT))


def _middle(corners: Sequence[Point]) -> Point:
    x, y = (sum(each) / len(corners) for each in zip(*corners, strict=True))
    return x, y


# --- the box that cradle and sled have in common --------------------------------------------------


def _box_section(ink: Ink, inside: tuple[float, float], high: float, sheet: float) -> None:
    """Base and cheeks in section. `inside` is where the cheeks stand, the top of the base at 0."""
    left, right = inside
    _polygon(ink, _box(left, -sheet, right, 0.0), JIG)
    _polygon(ink, _box(left - sheet, -sheet, left, high), JIG)
    _polygon(ink, _box(right, -sheet, right + sheet, high), JIG)


def _letters(ink: Ink, corners: Mapping[str, Point]) -> None:
    """The letters of the arrises, a little inside the post."""
    x, y = _middle([*corners.values()])
    for letter, corner in corners.items():
        dx, dy = corner[0] - x, corner[1] - y
        share = max(0.3, 1 - 4.2 / hypot(dx, dy))
        ink.labels.append(Label(letter, x + share * dx, y + share * dy - 1.1))


# --- the cradle -----------------------------------------------------------------------------------


def _cradle_section(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    near, far = (radians(it.size[f"cradle_{side}_slope"]) for side in ("near", "far"))
    lift, high, sheet = size["cradle_lift"], size["cradle_cheek"], size["jig_sheet"]
    left = -size["cradle_near_reach"] - size["cradle_play"]
    right = size["cradle_far_reach"] + size["cradle_play"]
    corners = {
        "C": (0.0, lift), "D": (-size["cradle_near_reach"], lift + size["cradle_near_rise"]),
        "B": (size["cradle_far_reach"], lift + size["cradle_far_rise"]),
    }  # fmt: skip
    corners["A"] = (corners["D"][0] + corners["B"][0], high)
    _box_section(ink, (left, right), high, sheet)
    top, toe = size["cradle_rail_height"], size["cradle_toe"]
    for back, width, slope, side in (
        (left, size["cradle_near_rail"], near, 1.0), (right, size["cradle_far_rail"], far, -1.0),
    ):  # fmt: skip
        foot = back + side * width
        shoulder = -side * (top - lift) / tan(slope)
        _polygon(ink, [(back, 0.0), (foot, 0.0), (foot, toe), (shoulder, top), (back, top)], OTHER)
    _polygon(ink, [corners[letter] for letter in "ABCD"], WORK)
    _letters(ink, corners)
    _cradle_dimensions(it, ink, (left, right), size)
    _above(ink, "Section, with the post in it")
    return ink


def _cradle_dimensions(
    it: JigSubject, ink: Ink, inside: tuple[float, float], size: Mapping[str, float]
) -> None:
    left, right = inside
    sheet, low = size["jig_sheet"], -size["jig_sheet"]
    rows = [low - style.FIRST_ROW - k * ROW for k in range(2)]
    near, far = left + size["cradle_near_rail"], right - size["cradle_far_rail"]
    dimension.across(ink, (near, low), (left, low), rows[0], it.text("cradle_near_rail"))
    dimension.across(ink, (far, low), (right, low), rows[0], it.text("cradle_far_rail"))
    dimension.across(ink, (left, low), (right, low), rows[1], it.text("cradle_inside"))
    at = right + sheet + style.FIRST_ROW
    dimension.upright(
        ink, (right + sheet, 0.0), (right + sheet, size["cradle_cheek"]), at,
        it.text("cradle_cheek"),
    )  # fmt: skip
    at = left - sheet - style.FIRST_ROW
    dimension.upright(
        ink, (left - sheet, 0.0), (left - sheet, size["cradle_rail_height"]), at,
        it.text("cradle_rail_height"),
    )  # fmt: skip
    dimension.upright(
        ink, (left - sheet, low), (left - sheet, size["cradle_cheek"]), at - ROW,
        it.text("cradle_cheek_board"),
    )  # fmt: skip
    for slope, x, anchor in (("near", -1.5, "right"), ("far", 1.5, "left")):
        words = f"bevel {it.size[f'cradle_{slope}_slope']:.2f}°"
        ink.labels.append(Label(words, x, rows[1] - 5.5, anchor))


def _cradle_plan(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    long, wide, sheet = size["cradle_length"], size["cradle_outside"], size["jig_sheet"]
    _polygon(ink, _box(0.0, 0.0, long, sheet), JIG)
    _polygon(ink, _box(0.0, wide - sheet, long, wide), JIG)
    near = sheet + size["cradle_near_rail"]
    far = near + size["cradle_gap"]
    _polygon(ink, _box(0.0, sheet, long, near), OTHER)
    _polygon(ink, _box(0.0, far, long, wide - sheet), OTHER)
    middle = sheet + size["cradle_play"] + size["cradle_near_reach"]
    ink.line("centre", (-4.0, middle), (long + 4.0, middle))
    ink.labels.append(Label("arris C", long + 5.0, middle - 1.1, "left", colour=style.FAINT))
    # Towards the foot end the kerf leans to the left, but in a left-hand piece to the right.
    right = (it.jig.towards == "head") != it.found.mirrored
    start = size["cradle_grip"] + (0.0 if right else size["cradle_kerf_run"])
    end = size["cradle_grip"] + (size["cradle_kerf_run"] if right else 0.0)
    ink.line("visible", (start, 0.0), (end, wide))
    cut = it.size["cradle_cut"]
    radius = 0.7 * wide
    span = (0.0, cut) if right else (180.0 - cut, 180.0)
    dimension.angle(ink, (start, 0.0), *span, radius, f"{cut:.2f}°")
    low, high = -style.FIRST_ROW, wide + style.FIRST_ROW
    dimension.across(ink, (0.0, 0.0), (long, 0.0), low, it.text("cradle_length"))
    left, far_end = min(start, end), max(start, end)
    dimension.across(ink, (left, wide), (far_end, wide), high, it.text("cradle_kerf_run"))
    dimension.across(ink, (0.0, wide), (left, wide), high, it.text("cradle_grip"))
    dimension.upright(ink, (0.0, 0.0), (0.0, wide), -style.FIRST_ROW, it.text("cradle_outside"))
    ends = ("foot end", "head end")
    for words, x, anchor in zip(reversed(ends) if it.found.mirrored else ends, (0.0, long),
                                ("left", "right"), strict=True):  # fmt: skip
        ink.labels.append(Label(words, x, low - ROW + 2.0, anchor))
    _above(ink, "From above, with the kerf")
    return ink


# --- the sled -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Rocked:
    """The post as it lies on its wedge, seen from the right: corners by their arrises, the wedge's
    corners, and which side is lifted."""

    post: Mapping[str, Point]
    wedge: tuple[Point, ...]


def _lying(it: JigSubject, scale: float) -> _Rocked:
    at = it.jig.sheets[0]
    tilt = radians(at.number("notch_floor_tilt"))
    deep, wide = at.number("post_section") * scale, at.number("post_width") * scale
    thin, thick = (at.number(name) * scale for name in ("wedge_thin", "wedge_thick"))
    base, lifted = at.number("wedge_base") * scale, tilt > 0
    # From the low edge of the face on the wedge: along it, and square to it.
    way = -1.0 if lifted else 1.0
    along, up = (way * cos(tilt), abs(sin(tilt))), (-way * abs(sin(tilt)), cos(tilt))
    low = (0.0, thin)
    raised = (deep * along[0], thin + deep * along[1])
    over = [(x + wide * up[0], y + wide * up[1]) for x, y in (low, raised)]
    names = "CDBA" if lifted else "DCAB"
    corners = dict(zip(names, (low, raised, *over), strict=True))
    left = min(x for x, _ in corners.values())
    moved = {letter: (x - left, y) for letter, (x, y) in corners.items()}
    wedge = ((0.0, 0.0), (way * base, 0.0), (way * base, thick), (0.0, thin))
    shown = thick > 0
    return _Rocked(moved, tuple((x - left, y) for x, y in wedge) if shown else ())


def _sled_section(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    wide, high, sheet = size["sled_channel"], size["sled_cheek"], size["jig_sheet"]
    lying = _lying(it, scale)
    _box_section(ink, (0.0, wide), high, sheet)
    if lying.wedge:
        _polygon(ink, lying.wedge, OTHER)
    _polygon(ink, [lying.post[letter] for letter in "ABCD"], WORK)
    _letters(ink, lying.post)
    reach = size["sled_rail_length"] / 2
    _polygon(ink, _box(wide / 2 - reach, high, wide / 2 + reach, high + sheet), JIG)
    floor = high - size["depth_of_cut"]
    ink.line("hidden", (-sheet, floor), (wide + sheet, floor))
    low = -sheet - style.FIRST_ROW
    dimension.across(ink, (0.0, -sheet), (wide, -sheet), low, it.text("sled_channel"))
    at = wide + sheet + style.FIRST_ROW
    # Measured upwards: without room between the arrows its text stands above, clear of the width.
    dimension.upright(ink, (wide + sheet, floor), (wide + sheet, high), at,
                      f"{it.text('depth_of_cut')} deep")  # fmt: skip
    dimension.upright(ink, (wide + sheet, high), (wide + sheet, 0.0), at + ROW,
                      it.text("sled_cheek"))  # fmt: skip
    dimension.upright(ink, (-sheet, -sheet), (-sheet, high), -sheet - style.FIRST_ROW,
                      it.text("sled_cheek_board"))  # fmt: skip
    _above(ink, "Section; the notch floor dashed")
    return ink


def _sled_plan(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    long, sheet = size["sled_length"], size["jig_sheet"]
    wide = size["sled_channel"] + 2 * sheet
    _polygon(ink, _box(0.0, 0.0, long, sheet), JIG)
    _polygon(ink, _box(0.0, wide - sheet, long, wide), JIG)
    _polygon(ink, _box(0.0, sheet, long, wide - sheet), WORK)
    lean = radians(90.0 - it.jig.sheets[0].number("crossing_angle"))
    right = (it.jig.towards == "head") != it.found.mirrored
    turn = 0.0 if not it.jig.towards else (abs(lean) if right else -abs(lean))
    along, square = (sin(turn), cos(turn)), (cos(turn), -sin(turn))
    middle, reach = (long / 2, wide / 2), size["sled_rail_length"] / 2
    half = size["sled_opening"] / 2

    def at(across: float, up: float) -> Point:
        return (middle[0] + across * square[0] + up * along[0],
                middle[1] + across * square[1] + up * along[1])  # fmt: skip

    for side in (-1.0, 1.0):
        inner, outer = side * half, side * (half + size["sled_rail_width"])
        _polygon(ink, [at(inner, -reach), at(outer, -reach), at(outer, reach), at(inner, reach)],
                 OTHER)  # fmt: skip
    notch = half - (size["sled_opening"] - it.jig.sheets[0].number("trench_width") * scale) / 2
    for side in (-1.0, 1.0):
        ink.line("hidden", at(side * notch, -wide / 2 / cos(turn)),
                 at(side * notch, wide / 2 / cos(turn)))  # fmt: skip
    high = reach + style.FIRST_ROW
    for start, end, name, row in (
        (-half, half, "sled_opening", 0), (half, half + size["sled_rail_width"],
                                           "sled_rail_width", 0),
    ):  # fmt: skip
        up = high + row * ROW
        for place in (start, end):
            ink.line("thin", at(place, reach + style.EXTENSION_GAP),
                     at(place, up + style.EXTENSION_PAST))  # fmt: skip
        dimension.along(ink, at(start, up), at(end, up), it.text(name))
    _sled_plan_ends(it, ink, size, at)
    return ink


def _sled_plan_ends(
    it: JigSubject, ink: Ink, size: Mapping[str, float], at: Callable[[float, float], Point]
) -> None:
    """Lengths below and to the left, the ends, and where the stop is."""
    long, reach = size["sled_length"], size["sled_rail_length"] / 2
    edge = size["sled_opening"] / 2 + size["sled_rail_width"]
    low = min(at(edge, -reach)[1], at(-edge, -reach)[1], 0.0) - style.FIRST_ROW
    dimension.across(ink, (0.0, 0.0), (long, 0.0), low, it.text("sled_length"))
    turned = it.found.mirrored
    side = edge if not turned else -edge  # the rail nearer the head is free of the stop's line
    start, end = at(side, -reach), at(side, reach)
    clear = size["sled_hold"] + abs(at(side, -reach)[0] - at(side, reach)[0])
    beyond = (style.FIRST_ROW + clear) * (1 if side > 0 else -1)
    one, other = at(side + beyond, -reach), at(side + beyond, reach)
    for near, far in ((start, one), (end, other)):
        ink.line("thin", near, far)
    dimension.along(ink, one, other, it.text("sled_rail_length"))
    words = ("head end", "foot end") if turned else ("foot end", "head end")
    for text, x, anchor in zip(words, (0.0, long), ("left", "right"), strict=True):
        ink.labels.append(Label(text, x, low - ROW + 2.0, anchor))
    said = f"{it.text('stop_to_near_rail')} from the end stop to this edge"
    rail = at(size["sled_opening"] / 2 * (1 if turned else -1), -reach * 0.6)
    dimension.leader(ink, rail, (rail[0] + (-8.0 if turned else 8.0), low - 2 * ROW), said)
    _above(ink, "From above; the notch dashed")


# --- the wedge ------------------------------------------------------------------------------------


def _wedge_section(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    base, thin, thick = size["wedge_base"], size["wedge_thin"], size["wedge_thick"]
    near = it.jig.sheets[0].number("notch_floor_tilt") > 0  # the thick edge is nearer the maker
    left, right = (thick, thin) if near else (thin, thick)
    _polygon(ink, [(0.0, 0.0), (base, 0.0), (base, right), (0.0, left)], OTHER)
    dimension.across(ink, (0.0, 0.0), (base, 0.0), -style.FIRST_ROW, it.fine("wedge_base"))
    texts = ("wedge_thick", "wedge_thin") if near else ("wedge_thin", "wedge_thick")
    dimension.upright(ink, (0.0, 0.0), (0.0, left), -style.FIRST_ROW, it.fine(texts[0]))
    dimension.upright(ink, (base, 0.0), (base, right), base + style.FIRST_ROW, it.fine(texts[1]))
    _above(ink, f"Section; {it.text('sled_length')} long; {it.size['wedge_angle']:.2f}°")
    return ink


def _wedge_slope(it: JigSubject, scale: float) -> Ink:
    slope, size = Ink(), {name: number * scale for name, number in it.size.items()}
    near = it.jig.sheets[0].number("notch_floor_tilt") > 0
    run, rise = size["wedge_gauge"], size["wedge_gauge_rise"]
    tip = (0.0, rise) if near else (run, rise)
    _polygon(slope, [(0.0, 0.0), (run, 0.0), tip], "")
    dimension.across(slope, (0.0, 0.0), (run, 0.0), -style.FIRST_ROW, it.text("wedge_gauge"))
    out = -style.FIRST_ROW if near else run + style.FIRST_ROW
    dimension.upright(slope, (tip[0], 0.0), tip, out, it.fine("wedge_gauge_rise"))
    _above(slope, "Slope, to set a bevel or a saw")
    return slope


# --- the length stop ------------------------------------------------------------------------------


def _length_stop(it: JigSubject, scale: float) -> Ink:
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    reach, block, sheet = size["stop_distance"], size["stop_block"], size["jig_sheet"]
    deep = it.jig.parts[0].width * scale
    fence = deep + sheet
    _polygon(ink, _box(0.0, 0.0, reach, deep), WORK)
    ink.labels.append(Label("work", reach / 2, deep / 2 - 1.1))
    _polygon(ink, _box(size["stop_short"], deep, reach + block, fence), JIG)
    _polygon(ink, _box(reach, deep - sheet, reach + block, deep), OTHER)
    ink.line("visible", (-12.0, fence), (0.75 * reach, fence))
    ink.labels.append(Label("fence", -12.0, fence + 1.0, "left", colour=style.FAINT))
    ink.line("centre", (0.0, -5.0), (0.0, fence + 7.0))
    ink.labels.append(Label("blade", -1.5, -4.0, "right", colour=style.FAINT))
    low, high = -style.FIRST_ROW, fence + style.FIRST_ROW
    dimension.across(ink, (0.0, 0.0), (reach, 0.0), low, it.text("stop_distance"))
    dimension.across(ink, (0.0, fence), (size["stop_short"], fence), high, it.text("stop_short"))
    dimension.across(ink, (reach, fence), (reach + block, fence), high, it.text("stop_block"))
    dimension.across(ink, (size["stop_short"], fence), (reach + block, fence), high + ROW,
                     f"{it.text('stop_batten')} batten")  # fmt: skip
    _above(ink, "From above")
    return ink


def _spacers(it: JigSubject, scale: float) -> Ink | None:
    if "stop_spacer" not in it.size:
        return None
    ink, size = Ink(), {name: number * scale for name, number in it.size.items()}
    (part,) = (part for part in it.jig.parts if part.name == "spacer")
    deep, thick, last = part.width * scale, part.thickness * scale, size["last_stop"]
    _polygon(ink, _box(-size["jig_sheet"] * 2, 0.0, 0.0, deep), OTHER)
    ink.labels.append(Label("stop", -size["jig_sheet"] * 2 - 1.5, deep / 2 - 1.1, "right"))
    for number in range(part.count):
        _polygon(ink, _box(number * thick, 0.0, (number + 1) * thick, deep), JIG)
    foot = part.count * thick
    beyond = last + 3 * thick
    _polygon(ink, _box(foot, 0.0, beyond, deep), WORK)
    ink.labels.append(Label("foot end", foot + 1.5, deep / 2 - 1.1, "left"))
    ink.line("centre", (last, -3.0), (last, deep + 5.0))
    ink.labels.append(Label("cutter", last + 1.2, deep + 2.0, "left", colour=style.FAINT))
    dimension.across(ink, (0.0, 0.0), (last, 0.0), -style.FIRST_ROW,
                     f"{it.text('last_stop')} at the last pass")  # fmt: skip
    said = f"{part.count} × {it.fine('stop_spacer')}"
    dimension.across(ink, (foot, deep), (0.0, deep), deep + style.FIRST_ROW, said)
    _above(ink, "With spacers, first pass of the notch")
    return ink


# --- the trammel board ----------------------------------------------------------------------------


def _trammel_board(it: JigSubject, scale: float) -> Ink:
    if it.trammel is None:
        raise ValueError("a top that is not cut round has no trammel board")
    first = (it.size["first_pivot"], it.size["hole_aside"])
    words = f"first round: {it.text('first_pivot')}, {it.text('hole_aside')} off the line"
    return board(it.trammel, scale, scale <= LEAST_SCALE, (*first, words))


# What is drawn of each; the last one sets the scale, those before it may be larger.
VIEWS: Mapping[str, tuple[Callable[[JigSubject, float], Ink | None], ...]] = {
    CRADLE: (_cradle_section, _cradle_plan),
    SLED: (_sled_section, _sled_plan),
    WEDGE: (_wedge_section, _wedge_slope),
    STOP: (_length_stop, _spacers),
    TRAMMEL: (_trammel_board,),
}
