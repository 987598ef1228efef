"""The one drawing style: lines, tones, letters, and files that come out the same every time.

Line kinds and widths follow ISO 128-2 practice, dimensioning that of ISO 129-1 (from memory): a
thick continuous line for what is seen, thin lines, half as wide, for all else. Lengths here are
millimetres on the paper; letters are in points. Tones differ enough to be told apart in grey.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tablekit.drawing.glyphs import advance, kerned

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MM_PER_POINT = 25.4 / 72
THICK, THIN = 0.5, 0.25

INK = "#17212b"
FAINT = "#4a5763"
PAPER = "#ffffff"
# One tone for each post, a step of lightness apart, warm like wood.
POST_TONES = ("#f1ece2", "#d3cbbd", "#a9a093")
TOP_TONE = "#e2e4e4"

FAMILY = "DejaVu Sans"  # comes with matplotlib
TEXT, TITLE = 8.5, 12.0
# Heights of letters as a share of their size: of figures and capitals, and of tails below the line.
CAP, TAIL = 0.76, 0.24

ARROW, ARROW_HALF_WIDTH = 2.8, 0.5
EXTENSION_GAP, EXTENSION_PAST = 0.8, 1.6
TEXT_GAP = 0.9
FIRST_ROW, NEXT_ROW = 9.0, 8.0
BADGE = 2.4  # radius of the ring round a number


@dataclass(frozen=True)
class Pen:
    """A kind of line: width in mm, colour, and dashes as lengths in widths (on, off, …)."""

    width: float
    colour: str
    dashes: tuple[float, ...] = ()

    @property
    def points(self) -> float:
        """The width in points, as matplotlib wants it."""
        return self.width / MM_PER_POINT

    @property
    def linestyle(self) -> Any:
        """matplotlib's form of the dashes."""
        return (0, self.dashes) if self.dashes else "solid"


# From the lowest to the uppermost. Dashes and dots in widths of the line: 12 on 3 off; 24 on, 3
# off, a dot, 3 off.
PENS = {
    "kept": Pen(THIN, "#7f97ad"),  # the outline of another design, to compare
    "thin": Pen(THIN, FAINT),
    "centre": Pen(THIN, FAINT, (24, 3, 1, 3)),
    "hidden": Pen(THIN, INK, (12, 3)),
    "visible": Pen(THICK, INK),
}


@dataclass(frozen=True)
class Paper:
    """A sheet of paper, mm. `margin` is kept clear all round.

    arrangement   "stacked" puts the plan under the elevation, in projection; "beside" puts it to
                  the right
    to_scale      whether the printed sheet is this size, so that a scale may be stated
    with_text     whether text stands on the same sheet, which then says what the small print would
    """

    width: float
    height: float
    margin: float = 10.0
    arrangement: str = "stacked"
    to_scale: bool = True
    with_text: bool = False


A4 = Paper(210, 297)
A4_ACROSS = Paper(297, 210, arrangement="beside")
SCREEN = Paper(243.84, 147.32, margin=4, arrangement="beside", to_scale=False)
# Nearly square, for a view that is round, and as wide as a panel can give it on a small screen
# without making its letters smaller.
SQUARE = Paper(142, 138, margin=3, to_scale=False)


@lru_cache(maxsize=16384)
def _advances(before: str, letters: str, bold: bool) -> float:
    """How far letters that follow another take the pen, in ems."""
    whole = sum(advance(letter, bold) for letter in letters)
    return whole + sum(kern for _, kern in kerned(before + letters, bold))


@lru_cache(maxsize=65536)
def text_width(text: str, size: float = TEXT, bold: bool = False) -> float:
    """How wide a line of text is set, mm."""
    # Word by word: to break a text into lines, each is measured as it grows.
    first, *words = text.split(" ")
    ems, before = _advances("", first, bold), first[-1:]
    for word in words:
        ems += _advances(before, f" {word}", bold)
        before = word[-1:] or " "
    return ems * size * MM_PER_POINT


def fitted(text: str, room: float, size: float = TEXT, bold: bool = False) -> str:
    """The text, shortened with "…" where it is wider than `room` mm."""
    if text_width(text, size, bold) <= room:
        return text
    while text and text_width(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def save(figure: Figure, path: Path | str, dpi: float = 150) -> Path:
    """Writes a figure as .svg, .pdf or .png, the same bytes each time; gives back the path.

    Raises ValueError for another ending.
    """
    from tablekit.drawing.own_figure import own_settings

    path = Path(path)
    undated: dict[str, dict[str, str | None]] = {
        ".svg": {"Date": None, "Creator": None},
        ".pdf": {"CreationDate": None, "ModDate": None, "Creator": None, "Producer": None},
        ".png": {"Software": None},
    }
    if path.suffix not in undated:
        expected = ", ".join(undated)
        raise ValueError(f"{path.name} ends in {path.suffix!r}; a drawing is saved as {expected}")
    with own_settings({"svg.hashsalt": "tablekit", "pdf.fonttype": 42}):
        figure.savefig(path, dpi=dpi, metadata=undated[path.suffix])
    return path
