"""The parts pulled apart, seen from above and to one side: for paper, and where nothing turns.

A notched post is not convex, so it is hidden behind, and hides, by convex bodies that overlap and
together are the post: no joint between them lets a line through. Its own edges are those of the
solid as cut.
"""

from __future__ import annotations

import textwrap
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, printed
from tablekit.drawing.outline import (
    Lines,
    View,
    drawn_pieces,
    gathered,
    hidden_stretches,
    joined_up,
    left_over,
    rim_edges,
    shadow,
    shrunk,
    size_of,
)
from tablekit.drawing.style import A4, Paper
from tablekit.solids.body import Body
from tablekit.solids.cutting import Surface
from tablekit.solids.piece import Solids
from tablekit.solids.pulling import SEEN_FROM_ABOVE, Pulling, moved, pulled_apart

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

# No face of a piece on three posts is seen edge on from here, so every part shows two sides.
ASKEW_TURN, ASKEW_RISE = np.radians(-52.0), SEEN_FROM_ABOVE
NEAR = 1e-6
# Faces nearer to one plane than this are one face: their normals' cosine less than so from one.
FLAT = 1e-9
# Places for a post's number, as shares of the way from its middle to its mark.
MARKS_TRIED = (0.7, 0.85, 0.55, 1.0, 0.4, 1.08, -0.7, -0.55, -0.85, -1.0, -1.08, 0.3, -0.4)
LINE_HEIGHT, LETTERS_TO_A_LINE = 4.2, 0.62
ROOM_FOR_WORDS, CAPTION = 30.0, 7.0


def view_from(turn: float, rise: float) -> View:
    """A parallel view: the viewer stands at `turn` radians anticlockwise of x, `rise` above."""
    ct, st, cr, sr = np.cos(turn), np.sin(turn), np.cos(rise), np.sin(rise)
    right, up, towards = (-st, ct, 0.0), (-sr * ct, -sr * st, cr), (cr * ct, cr * st, sr)
    return View("askew", *(tuple(float(x) for x in v) for v in (right, up, towards)))  # type: ignore[arg-type]


def turned_over(view: View) -> View:
    """The same view of a piece that lies upside down, turned over about x."""
    right, up, towards = ((x, -y, -z) for x, y, z in (view.right, view.up, view.towards))
    return View(f"{view.name}, upside down", right, up, towards)


ASKEW = view_from(ASKEW_TURN, ASKEW_RISE)
UPSIDE_DOWN = turned_over(ASKEW)


def sharp_edges(part: Surface) -> Array:
    """The edges of a part where two faces meet at an angle, shape (m, 2, 3), mm."""
    corners, triangles = part.corners, part.triangles
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    sides: dict[tuple[int, int], list[int]] = {}
    for number, triangle in enumerate(triangles.tolist()):
        for one, other in zip(triangle, triangle[1:] + triangle[:1], strict=True):
            sides.setdefault((min(one, other), max(one, other)), []).append(number)
    kept = [pair for pair, (i, j) in sides.items() if normals[i] @ normals[j] < 1 - FLAT]
    return np.asarray(corners[np.array(kept)])


def seen_lines(found: Pulling, share: float, view: View = ASKEW) -> tuple[Array, NDArray[np.int64]]:
    """What is seen of the parts pulled so far apart, hidden lines left out.

    Gives pieces of lines on the sheet, mm at full size, shape (n, 2, 2), and the number of the
    part in `found.parts` that each belongs to, shape (n,).
    """
    offsets = pulled_apart(found.turns, share)
    count = len(found.bars)
    bodies = [moved(body, by) for body, by in zip(found.bodies, offsets[count:], strict=True)]
    hiding = [moved(body, offsets[k]) for k, body in _convex(found)]
    towards = view.line_of_sight
    lines = gathered(
        [one for k in range(count) for one in _own(found, k, offsets[k], towards)]
        + [rim_edges(body, count + k, towards, False) for k, body in enumerate(bodies)]
        + [_mouth(mouth + offsets[-1], len(found.parts) - 1) for mouth in found.mouths]
    )
    near = NEAR * size_of(hiding)
    every = np.ones((len(hiding), len(found.parts)), dtype=bool)
    regions = [shrunk(shadow(body, towards), near) for body in hiding]
    seen = left_over(*hidden_stretches(lines, regions, every))
    return joined_up(*drawn_pieces(lines, view, seen))


def _own(found: Pulling, owner: int, offset: Array, towards: Array) -> list[Lines]:
    """The lines of a bar: outlines where it is round, else the edges of its surface."""
    rounds = found.bars[owner].rounds
    if rounds:
        return [rim_edges(moved(body, offset), owner, towards, False) for body in rounds]
    edges = sharp_edges(found.parts[owner]) + offset
    return [Lines(edges[:, 0], edges[:, 1] - edges[:, 0], np.full(len(edges), owner))]


def _mouth(corners: Array, owner: int) -> Lines:
    """A closed line on the face of a part, shape (m, 3)."""
    return Lines(corners[:-1], np.diff(corners, axis=0), np.full(len(corners) - 1, owner))


def draw_apart(
    sheet: Any,
    share: float = 1.0,
    figure: Figure | None = None,
    paper: Paper = A4,
) -> Figure:
    """The parts of a sheet pulled apart, posts numbered, on `paper`; not to scale.

    share    0 in place, 1 wholly apart
    figure   drawn on, and given the paper's size; a fresh one when left out

    Raises RangeError for another share, and what `tablekit.solids.pulling.pulling` raises.
    """
    found = Solids.of(sheet).pulling
    ink = picture(found, share, paper, ROOM_FOR_WORDS, usual_view(found, share))
    _say(ink, sheet.name or "Untitled", found.words, paper)
    return printed(ink, paper, figure)


def usual_view(found: Pulling, share: float) -> View:
    """From above; upside down where legs are drawn out, so that their sockets are seen."""
    return UPSIDE_DOWN if share > 0 and len(found.mouths) else ASKEW


def lay_out_apart(found: Pulling, paper: Paper) -> Layout:
    """The same wholly apart, its words left to the text on the same sheet. Legs are drawn out of
    the underside of the top, which lies face down, as on the bench."""
    view = usual_view(found, 1.0)
    ink = picture(found, 1.0, paper, CAPTION, view)
    said = "Exploded view, not to scale"
    if view is UPSIDE_DOWN:
        said = "Upside down, as on the bench; legs drawn out, not to scale"
    ink.labels.append(Label(said, paper.width / 2, paper.margin + 1.0, colour=style.FAINT))
    return Layout(1.0, paper.arrangement, ink)


def picture(
    found: Pulling, share: float, paper: Paper, words: float = 0.0, view: View = ASKEW
) -> Ink:
    """The lines and numbers as large as there is room, with `words` mm kept at the foot."""
    pieces, _ = seen_lines(found, share, view)
    low, high = pieces.min(axis=(0, 1)), pieces.max(axis=(0, 1))
    room = np.array([paper.width, paper.height - words]) - 2 * paper.margin
    scale = float((room / (high - low)).min())
    middle = np.array([paper.width / 2, (paper.height + words) / 2])
    shift = middle - scale * (low + high) / 2
    ink = Ink()
    ink.pieces["visible"].append(pieces * scale + shift)
    marks = seen_marks(found, share, view, style.BADGE / scale)
    for post, (x, y) in zip(found.posts, view.project(marks) * scale + shift, strict=True):
        ink.badge((float(x), float(y)), str(post.number))
    return ink


def seen_marks(found: Pulling, share: float, view: View, clear: float) -> Array:
    """Where each post's number goes, mm, shape (posts, 3): on its axis, where no other part is in
    front of it, nor nearer than `clear` mm to being so, as far as there is such a place."""
    offsets = pulled_apart(found.turns, share)
    towards = view.line_of_sight
    hiding = [shadow(moved(body, offsets[k]), towards) for k, body in _convex(found)]
    owners = [k for k, _ in _convex(found)]
    chosen = []
    for k, post in enumerate(found.posts):
        middle = post.middle
        places = middle + offsets[k] + np.outer(MARKS_TRIED, found.marks[k] - middle)
        room = [
            (places @ normals.T - bounds).max(axis=1)
            for (normals, bounds), owner in zip(hiding, owners, strict=True)
            if owner != k
        ]
        free = np.min(room, axis=0)
        chosen.append(places[np.argmax(free > clear) if (free > clear).any() else free.argmax()])
    return np.array(chosen)


@lru_cache(maxsize=4)  # a book draws one piece from several sides
def _convex(found: Pulling) -> tuple[tuple[int, Body], ...]:
    """Every convex body with the number of the part that it belongs to."""
    bars = [(k, body) for k, bar in enumerate(found.bars) for body in bar.covers]
    return (*bars, *enumerate(found.bodies, len(found.bars)))


def _say(ink: Ink, name: str, words: str, paper: Paper) -> None:
    """The name and what there is to know, in lines at the foot of the paper."""
    left, room = paper.margin, paper.width - 2 * paper.margin
    level = paper.margin + ROOM_FOR_WORDS - 8.0
    title = style.fitted(f"{name}: exploded view, not to scale", room, style.TITLE, bold=True)
    ink.labels.append(Label(title, left, level, "left", size=style.TITLE, bold=True))
    for line in textwrap.wrap(words, int(room * LETTERS_TO_A_LINE)):
        level -= LINE_HEIGHT
        ink.labels.append(Label(style.fitted(line, room), left, level, "left", colour=style.FAINT))
