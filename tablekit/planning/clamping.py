"""Where clamps and cauls lie on strips as they are glued up, seen from above.

Lengths in mm from the centre mark; the joints run up the page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from tablekit.engine.wording import listed

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

Where = Literal["left", "right", "across"]


@dataclass(frozen=True)
class ClampedStrip:
    """A strip in its clamps: its number, its edges, and its length, whose middle is on the centre
    line."""

    number: int
    left: float
    right: float
    length: float


@dataclass(frozen=True)
class Clamp:
    """A clamp across the panel: its place along the joints from the centre mark, mm, up the page
    positive; whether its bar lies above the panel or below it."""

    place: float
    above: bool


@dataclass(frozen=True)
class Caul:
    """A batten on the panel as it is glued, seen from above: its edges from the centre mark, mm.

    where     along an edge on the left or the right, or across the joints: then there are two, one
              above and one below
    strip     number of the strip that it lies against; across, of the longest that it lies on
    from_end  from the end of that strip to the nearer end of the caul along an edge, and to the
              middle of one across
    """

    left: float
    right: float
    low: float
    high: float
    where: Where
    strip: int
    from_end: float

    @property
    def length(self) -> float:
        """Its longer side, mm; across, from edge to edge of the strips."""
        return self.right - self.left if self.where == "across" else self.high - self.low

    @property
    def place(self) -> float:
        """Its middle along the joints, from the centre mark, mm."""
        return (self.low + self.high) / 2

    @property
    def count(self) -> int:
        """How many lie there."""
        return 2 if self.where == "across" else 1


@dataclass(frozen=True)
class Clamping:
    """Strips with the clamps and cauls that hold them."""

    strips: tuple[ClampedStrip, ...]
    clamps: tuple[Clamp, ...]
    along: tuple[Caul, ...]
    across: tuple[Caul, ...]
    caul_depth: float

    @property
    def cauls(self) -> tuple[Caul, ...]:
        """All of them, those along the edges first."""
        return (*self.along, *self.across)


@dataclass(frozen=True)
class CaulLine:
    """Cauls alike of a cut list: how many, mm, and what is glued up with them."""

    count: int
    length: float
    depth: float
    thickness: float
    use: Literal["top", "posts"]


def clamping(strips: Sequence[ClampedStrip], sheet: Sheet) -> Clamping:
    """Clamps and cauls of one glue-up, from its sheet."""
    held, deep = clamps(sheet), sheet.number("caul_depth")
    along = tuple(edge_cauls(strips, held, deep)) if deep > 0 else ()
    over = tuple(cross_cauls(strips, held, deep)) if deep > 0 else ()
    return Clamping(tuple(strips), held, along, over, deep)


def clamps(sheet: Sheet) -> tuple[Clamp, ...]:
    """Clamps evenly along the longest joint, from its lower end up, the bars alternately above
    the panel and below it."""
    count, pitch = round(sheet.number("clamp_count")), sheet.number("clamp_pitch")
    return tuple(Clamp((k - (count - 1) / 2) * pitch, k % 2 == 0) for k in range(count))


def cauls_text(held: Clamping, numbers: Sequence[int], text: Callable[[float], str]) -> str:
    """How long the cauls of a glue-up are and where those across lie; "" without cauls.

    numbers, text  of the strips by their place in the row; how a length is written
    """
    sides = [
        f"{side} {each}" for side in ("left", "right")
        if (each := _lengths((caul for caul in held.along if caul.where == side), text))
    ]  # fmt: skip
    if not sides:
        return ""
    return f"Cauls along the edges: {', '.join(sides)}{_across_text(held, numbers, text)}."


def _lengths(cauls: Iterable[Caul], text: Callable[[float], str]) -> str:
    """How many there are of each length: "370 and 2 × 280"."""
    count = Counter(text(caul.length) for caul in cauls)
    return listed([f"{_times(many)}{long}" for long, many in count.items()])


def _across_text(held: Clamping, numbers: Sequence[int], text: Callable[[float], str]) -> str:
    """Cauls across, those as far above the centre line as below it together."""
    shared: dict[tuple[str, str, int], int] = {}
    for caul in held.across:
        row = (text(caul.length), text(caul.from_end), numbers[caul.strip])
        shared[row] = shared.get(row, 0) + 1
    said = [
        f"{many} pair{'s' * (many > 1)} {long} long, {end} from "
        f"the {'ends' if many > 1 else 'nearer end'} of strip {strip}"
        for (long, end, strip), many in shared.items()
    ]
    return f"; across, {'; '.join(said)}" if said else ""


def _times(many: int) -> str:
    return f"{many}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}" if many > 1 else ""


def across(strips: Sequence[ClampedStrip], place: float) -> list[ClampedStrip]:
    """The strips that reach `place` along the joints, from left to right."""
    return [strip for strip in strips if strip.length / 2 >= abs(place) - 1e-9]


def edge_cauls(strips: Sequence[ClampedStrip], held: Sequence[Clamp], deep: float) -> list[Caul]:
    """A caul along every step of the panel's edge on which a clamp bears."""
    found: list[Caul] = []
    for side, order in ((-1, list(strips)), (1, list(reversed(strips)))):
        start = 0.0
        for strip in order:
            half = strip.length / 2
            if half <= start:
                continue
            near = strip.left if side < 0 else strip.right
            left, right = sorted((near, near + side * deep))
            # The outermost strip's caul runs through; those behind it stand on the steps.
            steps = [(-half, half)] if start == 0 else [(start, half), (-half, -start)]
            where: Where = "left" if side < 0 else "right"
            found += [
                Caul(left, right, low, high, where, strip.number, half - max(high, -low))
                for low, high in steps
                if any(low - 1e-9 <= clamp.place <= high + 1e-9 for clamp in held)
            ]
            start = half
    return found


def cross_cauls(strips: Sequence[ClampedStrip], held: Sequence[Clamp], deep: float) -> list[Caul]:
    """Where cauls lie across the joints in pairs, one above and one below, to keep the strips
    level: towards either end between the last two clamps, and where those do not lie over every
    strip, as far out between two clamps as they do. None where there is no room.

    Common practice, no source.
    """
    found: dict[float, Caul] = {}
    gaps = list(pairwise(clamp.place for clamp in held))
    for outwards in (gaps, gaps[::-1]):
        for low, high in outwards:
            middle = (low + high) / 2
            over = across(strips, abs(middle) + deep / 2)
            if high - low <= deep or len(over) < 2:
                continue
            whole = len(over) == len(strips)
            if whole or (low, high) == outwards[0]:
                ends = (middle - deep / 2, middle + deep / 2)
                longest = max(over, key=lambda strip: strip.length)
                from_end = longest.length / 2 - abs(middle)
                found[middle] = Caul(
                    over[0].left, over[-1].right, *ends, "across", longest.number, from_end
                )  # fmt: skip
            if whole:
                break
    return list(found.values())
