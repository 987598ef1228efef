"""A map of designs: two givens across and up, tones for how each design stands, lines of a third
quantity, the best of two goals, and the design one has.

Verdicts can be told in grey: each has its own tone, its own hatching and its own word.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.general import STRIP
from tablekit.drawing.ink import Box, Ink, Label, Point, box_of, ring
from tablekit.drawing.style import Paper
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import ShopStyle
from tablekit.engine.unit_table import factor
from tablekit.planning.trade_offs import CANNOT, CAUTION, FAIL, PASS, WORDS, TradeMap

# -- The frame of the chart ------------------------------------------------------------------------

Array = NDArray[np.float64]
TICK, MOST_TICKS = 1.4, 8
LEFT, BELOW, ABOVE = 19.0, 13.0, 3.0  # room for the words along the axes, mm
SMALLEST = 40.0  # mm of chart either way
SAME_PLACE = 1e-9
HIGH = style.TEXT * style.MM_PER_POINT
# What a maker in millimetres, and one in inches, reads for each reporting unit.
SHOWN = {"mm": ("mm", "in"), "N": ("N", "lbf"), "kg": ("kg", "lb"), "deg": ("deg", "deg")}
UNIT_WORDS = {
    "mm": "millimetres", "in": "inches", "N": "newtons", "lbf": "pounds of force",
    "kg": "kilograms", "lb": "pounds", "deg": "degrees", "1": "",
}  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """Where values lie on the paper: x and y run over their (low, high) across the room."""

    room: Box
    x: tuple[float, float]
    y: tuple[float, float]

    @classmethod
    def of(
        cls,
        x: tuple[float, float],
        y: tuple[float, float],
        paper: Paper,
        beside: float = 0.0,
        strip: float = STRIP + 3.0,
    ) -> Frame:
        """The frame over the strip at the foot of the paper, `beside` mm to its right left free.

        Raises ValueError when the paper is too small."""
        margin = paper.margin
        room = Box(
            margin + LEFT, margin + strip + BELOW, paper.width - margin - beside,
            paper.height - margin - ABOVE,
        )  # fmt: skip
        if room.width < SMALLEST or room.height < SMALLEST:
            raise ValueError(
                f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for a chart; "
                "take a larger one"
            )
        return cls(room, x, y)

    def at(self, points: Array) -> Array:
        """Places on the paper of values, shape (n, 2)."""
        low = np.array([self.x[0], self.y[0]])
        span = np.array([self.x[1] - self.x[0], self.y[1] - self.y[0]])
        size = np.array([self.room.width, self.room.height])
        return np.array([self.room.left, self.room.low]) + (points - low) / span * size


def shown_unit(quantity: Quantity, shop: ShopStyle) -> tuple[float, str]:
    """How many of the maker's units make one reporting unit, and the maker's unit in words."""
    unit = quantity.unit
    shown = SHOWN.get(unit, (unit, unit))[shop.display == "in"]
    return (1.0 if shown == unit else factor(unit, shown)), UNIT_WORDS.get(shown, shown)


def in_words(quantity: Quantity, shop: ShopStyle) -> str:
    """A quantity's name and the maker's unit: "top diameter, inches"."""
    _, unit = shown_unit(quantity, shop)
    name = quantity.name.replace("_", " ")
    return f"{name}, {unit}" if unit else name


def rounds(low: float, high: float, most: int) -> list[float]:
    """Round numbers between two others, both counted in, at most `most`: ones, twos and fives."""
    if not high > low:
        return []
    tens = 10.0 ** floor(log10((high - low) / most))
    for step in (tens, 2 * tens, 5 * tens, 10 * tens, 20 * tens):
        first, last = ceil(low / step - SAME_PLACE), floor(high / step + SAME_PLACE)
        if last - first < most:
            break
    return [round(k * step, 10) for k in range(first, last + 1)]


def axes(ink: Ink, x: Quantity, y: Quantity, shop: ShopStyle, frame: Frame) -> None:
    """Round numbers along both sides of the frame, and what they are of in words."""
    room = frame.room
    for quantity, ends, upright in ((x, frame.x, False), (y, frame.y, True)):
        per, _ = shown_unit(quantity, shop)
        for number in rounds(ends[0] * per, ends[1] * per, MOST_TICKS):
            share = (number / per - ends[0]) / (ends[1] - ends[0])
            text = f"{number:.10g}"
            if upright:
                up = room.low + share * room.height
                ink.line("thin", (room.left - TICK, up), (room.left, up))
                base = up - style.CAP * HIGH / 2
                ink.labels.append(Label(text, room.left - TICK - 1, base, "right"))
            else:
                across = room.left + share * room.width
                ink.line("thin", (across, room.low - TICK), (across, room.low))
                ink.labels.append(Label(text, across, room.low - TICK - 3.4))
    middle = ((room.left + room.right) / 2, (room.low + room.high) / 2)
    ink.labels.append(Label(in_words(x, shop), middle[0], room.low - 10.0, bold=True))
    words = Label(in_words(y, shop), room.left - LEFT + 4.0, middle[1], rotation=90.0, bold=True)
    ink.labels.append(words)


# -- The map ---------------------------------------------------------------------------------------

TONES = {PASS: style.POST_TONES[0], CAUTION: style.POST_TONES[1], FAIL: style.POST_TONES[2]}
HATCHES = {CAUTION: (1, 3.2), FAIL: (-1, 1.8)}  # up or down to the right; mm from line to line
MOST_LINES = 7
KEY = 50.0  # mm, beside the map
KEY_BESIDE, KEY_LOW = 150.0, 44.0  # mm of paper that has it there; its height under the map
HIGHEST = 130.0  # mm: all of it is seen at once
MOST_PLACES = 400  # tried for the name of what bounds a region
MARK, DOT = 2.0, 0.7
_CLEAR = 0.7  # kept free round a text
SWATCH = 7.0
ENOUGH = 0.01  # of the map, for its lines to be those of the designs that do not fail
SMOOTHINGS = 8
FAR = 12  # neighbours on the front that lie farther apart than this many designs are not joined


@dataclass(frozen=True)
class TradeSubject:
    """A map and the design one has.

    point  where that design lies, in the reporting units of the map's axes
    """

    map: TradeMap
    point: tuple[float, float]
    shop: ShopStyle
    name: str = ""


def map_paper(width: float) -> Paper:
    """The paper for a column of a screen, `width` mm: with the key beside the map, or on a narrow
    one under it."""
    high = 0.6 * width if width >= KEY_BESIDE else 0.75 * width + KEY_LOW
    return Paper(width, min(high, HIGHEST), margin=3, to_scale=False)


def frame_of(it: TradeMap, paper: Paper) -> Frame:
    """Where a map lies on its paper. Raises ValueError when the paper is too small."""
    x, y = ((float(at[0]), float(at[-1])) for at in (it.x_at, it.y_at))
    if paper.width >= KEY_BESIDE:
        return Frame.of(x, y, paper, KEY, strip=0.0)
    return Frame.of(x, y, paper, strip=KEY_LOW)


def lay_out_map(it: TradeSubject, paper: Paper) -> Ink:
    """All but the point. Raises ValueError when the paper is too small."""
    ink, frame = Ink(), frame_of(it.map, paper)
    room = frame.room
    regions = _regions(it.map, frame)
    ink.areas += [(box, TONES[code]) for code, boxes in regions.items() for box in boxes]
    names = list(_region_names(it.map, frame))
    names += _bound_names(it.map, frame, names)
    lines = list(_contours(it, frame, names))
    boxes = [box_of(label, _CLEAR) for label in names + [label for label, _ in lines if label]]
    strokes = [hatched(regions.get(code, ()), *hatch) for code, hatch in HATCHES.items()]
    ink.pieces["thin"].append(outside(np.concatenate(strokes), boxes))
    for label, pieces in lines:
        ink.pieces["visible"].append(outside(pieces, boxes))
        ink.labels += [label] if label else []
    ink.labels += names
    _front(ink, it.map, frame)
    corners = [(room.left, room.low), (room.right, room.low)]
    corners += [(room.right, room.high), (room.left, room.high)]
    ink.line("thin", *corners, corners[0])
    axes(ink, it.map.x, it.map.y, it.shop, frame)
    _key(ink, it, frame, paper)
    return ink


def packed_designs(it: TradeMap) -> bytes:
    """All designs of a map, for a page that reads them out, each row by row from the lowest: the
    third quantity as 32-bit floats, which checks fail and which call for caution as 32-bit
    integers, the lowest byte first; the verdicts and the reasons as bytes."""
    named = (part.astype("<u4") for part in (it.failing, it.cautioning))
    parts = (it.values.astype("<f4"), *named, it.verdicts, it.reason)
    return b"".join(part.tobytes() for part in parts)


# --- regions -------------------------------------------------------------------------------------


def _regions(it: TradeMap, frame: Frame) -> dict[int, list[list[tuple[float, float]]]]:
    """Rectangles on the paper by verdict: neighbours alike in a row, and then in a column, are
    one."""
    found: dict[int, list[list[tuple[float, float]]]] = {}
    across, up = (_edges(values) for values in (it.x_at, it.y_at))
    open_runs: dict[tuple[int, int, int], int] = {}
    rows = [*({run: row for run in _runs(it.verdicts[row])} for row in range(it.y_at.size)), {}]
    for row, runs in enumerate(rows):
        for run in [run for run in open_runs if run not in runs]:
            start, end, code = run
            ends = np.array([[across[start], up[open_runs.pop(run)]], [across[end], up[row]]])
            (left, low), (right, high) = frame.at(ends).tolist()
            corners = [(left, low), (right, low), (right, high), (left, high)]
            found.setdefault(code, []).append(corners)
        for run in runs:
            open_runs.setdefault(run, row)
    return found


def hatched(boxes: Sequence[Sequence[Point]], slope: int, apart: float) -> Array:
    """Lines at half a right angle, up (1) or down (-1) to the right, over level rectangles, on one
    grid for all: shape (n, 2, 2). All at once, since a map may have a hundred rectangles."""
    if not boxes:
        return np.zeros((0, 2, 2))
    corners = np.array(boxes)
    (left, low), (right, high) = corners.min(axis=1).T, corners.max(axis=1).T
    # A line is y = slope x + k step; these are the k that meet each rectangle.
    step = apart * 2**0.5
    ends = np.stack([low - slope * left, low - slope * right, high - slope * left,
                     high - slope * right])  # fmt: skip
    first, last = np.ceil(ends.min(axis=0) / step), np.floor(ends.max(axis=0) / step)
    count = (last - first + 1).clip(0).astype(int)
    of = np.repeat(np.arange(count.size), count)
    k = first[of] + np.arange(of.size) - np.repeat(np.cumsum(count) - count, count)
    meets = np.stack([(low[of] - k * step) * slope, (high[of] - k * step) * slope])
    x = np.stack(
        [np.maximum(left[of], meets.min(axis=0)), np.minimum(right[of], meets.max(axis=0))]
    )
    y = slope * x + k * step
    return np.stack([x, y], axis=-1).transpose(1, 0, 2)[x[0] < x[1]]


def _edges(values: Array) -> Array:
    """The borders between designs; the outermost are the ends themselves."""
    return np.concatenate([values[:1], (values[1:] + values[:-1]) / 2, values[-1:]])


def _runs(codes: NDArray[np.int8]) -> Iterator[tuple[int, int, int]]:
    """Start, end and verdict of each stretch of one verdict; those that cannot be are left out."""
    starts = np.concatenate([[0], np.nonzero(np.diff(codes))[0] + 1, [codes.size]])
    for start, end in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True):
        if codes[start] != CANNOT:
            yield start, end, int(codes[start])


def _region_names(it: TradeMap, frame: Frame) -> Iterator[Label]:
    """The word of each verdict in the middle of its largest stretch, where it has the room."""
    from scipy.ndimage import distance_transform_edt

    cell = np.array([frame.room.width / it.x_at.size, frame.room.height / it.y_at.size])
    for code in (PASS, CAUTION, FAIL, CANNOT):
        inside = np.pad(it.verdicts == code, 1)
        # Twice as far up as across: a word is wide and low.
        room = distance_transform_edt(inside, sampling=(2 * cell[1], cell[0]))[1:-1, 1:-1]
        row, column = np.unravel_index(int(room.argmax()), room.shape)
        if room[row, column] * 2 < style.text_width(WORDS[code], bold=True) + 2:
            continue
        x, y = frame.at(np.array([[it.x_at[column], it.y_at[row]]]))[0]
        yield Label(WORDS[code], float(x), float(y) - style.CAP * HIGH / 2, bold=True)


def _bound_names(it: TradeMap, frame: Frame, names: Sequence[Label]) -> Iterator[Label]:
    """What bounds the region of designs that do not fail: each check where it fails, as near to
    the middle of its border as there is room."""
    taken = [box_of(label, _CLEAR) for label in names]
    places = frame.at(np.stack([axis.ravel() for axis in np.meshgrid(it.x_at, it.y_at)], axis=1))
    order = [name for name, _ in it.failed]
    for name, border in it.bounding:
        middle = np.median(places[border.ravel()], axis=0)
        failing = places[it.fails(order.index(name)).ravel()]
        near = np.argsort(np.abs(failing - middle).sum(axis=1))[:MOST_PLACES]
        for x, y in failing[near].tolist():
            label = Label(f"{name} fails", x, y - style.CAP * HIGH / 2)
            box = box_of(label, _CLEAR)
            if _within(box, frame.room) and not any(box.meets(other) for other in taken):
                taken.append(box)
                yield label
                break


def _within(box: Box, room: Box) -> bool:
    across = room.left < box.left and box.right < room.right
    return across and room.low < box.low and box.high < room.high


# --- lines of the third quantity -----------------------------------------------------------------


def _contours(
    it: TradeSubject, frame: Frame, names: Sequence[Label]
) -> Iterator[tuple[Label | None, Array]]:
    """Each line of the third quantity with its number."""
    from contourpy import contour_generator

    per, _ = shown_unit(it.map.third, it.shop)
    values = it.map.values * per
    good = _of_interest(it.map, values)
    if good.size < 4 or np.ptp(good) <= SAME_PLACE * max(1.0, float(np.abs(good).max())):
        return
    low, high = np.percentile(good, [3, 97])
    made = contour_generator(it.map.x_at, it.map.y_at, np.ma.masked_invalid(values))
    taken = [box_of(label, _CLEAR) for label in names]
    taken += [
        Box(x - MARK, y - MARK, x + MARK, y + MARK)
        for x, y in _places(it.map, it.map.choices, frame)
    ]
    for level in rounds(float(low), float(high), MOST_LINES):
        lines = [frame.at(np.asarray(line)) for line in made.lines(level)]
        lines = [line for line in lines if len(line) > 1]
        if not lines:
            continue
        label = _line_label(f"{level:.10g}", lines, taken, frame.room)
        if label is not None:
            taken.append(box_of(label, _CLEAR))
        yield label, np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in lines])


def _of_interest(it: TradeMap, values: Array) -> Array:
    """The values of designs that do not fail, if there are enough of them; else all."""
    standing = values[(it.verdicts >= CAUTION) & np.isfinite(values)]
    return standing if standing.size > ENOUGH * values.size else values[np.isfinite(values)]


def _line_label(text: str, lines: Sequence[Array], taken: list[Box], room: Box) -> Label | None:
    """The number on the longest line, at the place nearest its middle that is free."""
    longest = max(lines, key=lambda line: float(np.hypot(*np.diff(line, axis=0).T).sum()))
    middle = len(longest) // 2
    for k in sorted(range(len(longest)), key=lambda k: abs(k - middle)):
        x, y = longest[k]
        label = Label(text, float(x), float(y) - style.CAP * HIGH / 2)
        box = box_of(label, _CLEAR)
        if _within(box, room) and not any(box.meets(other) for other in taken):
            return label
    return None


def outside(pieces: Array, boxes: Sequence[Box]) -> Array:
    """What of straight pieces, shape (n, 2, 2), lies outside all boxes."""
    for box in boxes:
        start, way = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            low = (np.array([box.left, box.low]) - start) / way
            high = (np.array([box.right, box.high]) - start) / way
        # A piece level or upright has a way of nothing: nan only on the very border of a box.
        enter = np.nan_to_num(np.fmin(low, high), nan=-np.inf, neginf=-np.inf).max(axis=1)
        leave = np.nan_to_num(np.fmax(low, high), nan=np.inf, posinf=np.inf).min(axis=1)
        enter, leave = np.clip(enter, 0, 1), np.clip(leave, 0, 1)
        cut = enter < leave
        before, after = cut & (enter > 0), cut & (leave < 1)
        first, last = pieces[before].copy(), pieces[after].copy()
        first[:, 1] = (start + enter[:, None] * way)[before]
        last[:, 0] = (start + leave[:, None] * way)[after]
        pieces = np.concatenate([pieces[~cut], first, last])
    return pieces


# --- the front, the point, axes and key ----------------------------------------------------------


def _front(ink: Ink, it: TradeMap, frame: Frame) -> None:
    """A curve along the best designs, where they are neighbours, and a dot for each to choose."""
    for x, y in _places(it, it.choices, frame):
        ink.areas.append(([(x + a, y + b) for a, b in _DOT], style.INK))
    if it.front.size < 2:
        return
    cells = np.stack([it.front % it.x_at.size, it.front // it.x_at.size], axis=1)
    apart = np.nonzero(np.abs(np.diff(cells, axis=0)).max(axis=1) > FAR)[0] + 1
    half = np.array([frame.room.width / it.x_at.size, frame.room.height / it.y_at.size]) / 2
    for run in np.split(_places(it, it.front, frame), apart):
        if len(run) > 1:
            curve = _smoothed(run, half)
            ink.line("visible", *[(x, y) for x, y in curve.tolist()])


def _smoothed(places: Array, most: Array) -> Array:
    """A line without the steps of the designs tried: each place moved towards the middle of its
    neighbours, by no more than `most` either way. Its ends stay."""
    moved = places.copy()
    for _ in range(SMOOTHINGS):
        moved[1:-1] = (moved[:-2] + 2 * moved[1:-1] + moved[2:]) / 4
    return places + np.clip(moved - places, -most, most)


def _places(it: TradeMap, which: NDArray[np.intp], frame: Frame) -> Array:
    return frame.at(np.array([it.at(index) for index in which]).reshape(-1, 2))


_DOT = [(DOT * a, DOT * b) for a, b in ring(1.0, 12)]


def with_point(ink: Ink, it: TradeSubject, paper: Paper) -> Ink:
    """A map with the design one has: a ring, and lines from it to both axes. Without, where that
    lies outside the map."""
    whole, frame = Ink(), frame_of(it.map, paper)
    whole.add(ink)
    x, y = (float(v) for v in frame.at(np.array([it.point]))[0])
    room = frame.room
    if not (room.left <= x <= room.right and room.low <= y <= room.high):
        return whole
    lines = np.array([[(x, room.low), (x, room.high)], [(room.left, y), (room.right, y)]])
    whole.pieces["centre"].append(outside(lines, [box_of(label, _CLEAR) for label in ink.labels]))
    _mark(whole, x, y)
    return whole


def _mark(ink: Ink, x: float, y: float) -> None:
    ink.badges.append([(x + MARK * a, y + MARK * b) for a, b in ring(1.0, 32)])
    ink.arrows.append([(x + DOT * a, y + DOT * b) for a, b in ring(1.0, 12)])


def _key(ink: Ink, it: TradeSubject, frame: Frame, paper: Paper) -> None:
    """What tones, lines and marks mean: to the right of the map, or in two columns under it."""
    room, beside = frame.room, paper.width >= KEY_BESIDE
    edge = paper.width - paper.margin
    left, y = (room.right + 5.0, room.high - 4.0) if beside else (paper.margin, KEY_LOW - 4.0)
    right = edge if beside else left + 0.4 * (edge - left)
    start = y
    for code in (PASS, CAUTION, FAIL, CANNOT):
        corners = [(left, y - 1.5), (left + SWATCH, y - 1.5), (left + SWATCH, y + 3), (left, y + 3)]
        ink.areas.append((corners, TONES.get(code, style.PAPER)))
        if code in HATCHES:
            ink.pieces["thin"].append(hatched([corners], *HATCHES[code]))
        ink.line("thin", *corners, corners[0])
        _say(ink, left, y, (WORDS[code],), right)
        y -= 7.0
    if beside:
        _key_of_lines(ink, it, left, y - 2.0, edge)
    else:
        _key_of_lines(ink, it, right + 2.0, start, edge)


def _key_of_lines(ink: Ink, it: TradeSubject, left: float, y: float, right: float) -> None:
    per_line = ("lines of equal", it.map.third.name.replace("_", " ") + ",")
    _, unit = shown_unit(it.map.third, it.shop)
    ink.line("visible", (left, y + 1), (left + SWATCH, y + 1))
    y = _say(ink, left, y, (*per_line, unit) if unit else per_line, right) - 4.0
    ink.line("visible", (left, y + 1), (left + SWATCH, y + 1))
    for share in (0.0, 0.5, 1.0):
        at = left + share * SWATCH
        ink.areas.append(([(at + a, y + 1 + b) for a, b in _DOT], style.INK))
    first, second = it.map.goals
    y = _say(ink, left, y, ("best between", str(first), f"and {second}"), right) - 4.0
    _mark(ink, left + SWATCH / 2, y + 1)
    _say(ink, left, y, ("this design",), right)


def _say(ink: Ink, left: float, y: float, lines: Sequence[str], right: float) -> float:
    """Lines of the key, as far as `right`; gives the level of the next."""
    for line in lines:
        text = style.fitted(line, right - left - SWATCH - 2.0)
        ink.labels.append(Label(text, left + SWATCH + 2.0, y, "left"))
        y -= 4.2
    return y
