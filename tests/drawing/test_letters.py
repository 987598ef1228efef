"""Texts stand where matplotlib would set them, though they are not measured by it."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from tablekit.drawing import style
from tablekit.drawing.ink import Artists, Ink, Label, printed
from tablekit.drawing.style import Paper
from tests.drawing.shown import boxes, labels
from tests.together import each

PAPER = Paper(80.0, 60.0)
DPI = 200
WORDS = "735 mm, \u00bd in AVTo \u00e5\u2192 $x$"
LABELS = [
    Label(WORDS, 40.0, 30.0, anchor, turn, size, bold)
    for anchor, turn, size, bold in product(
        ("left", "center", "right"), (0.0, 90.0, -30.0), (7.0, 9.5), (False, True)
    )
]


def inked(figure: Figure) -> tuple[float, float, float, float]:
    """Left, low, right and high of all that is dark, in dots."""
    figure.set_dpi(DPI)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    dark = np.asarray(canvas.buffer_rgba())[::-1, :, :3].min(axis=2) < 128
    up, along = np.nonzero(dark)
    return along.min(), up.min(), along.max(), up.max()


def by_matplotlib(label: Label) -> Figure:
    figure = Figure(figsize=(PAPER.width / 25.4, PAPER.height / 25.4), facecolor=style.PAPER)
    figure.text(
        label.x / PAPER.width, label.y / PAPER.height, label.text, family=style.FAMILY,
        va="baseline", ha=label.anchor, rotation=label.rotation, rotation_mode="anchor",
        fontsize=label.size, fontweight="bold" if label.bold else "normal", parse_math=False,
        color=label.colour,
    )  # fmt: skip
    return figure


@each("label", LABELS, ordinary=20, ids=lambda it: f"{it.anchor} {it.rotation:g} {it.size:g}")
def test_letters_stand_where_matplotlib_sets_them(label: Label) -> None:
    expected = inked(by_matplotlib(label))
    on_axes = Figure(figsize=(PAPER.width / 25.4, PAPER.height / 25.4))
    Artists(on_axes, PAPER).show(Ink(labels=[label]))
    for figure in (printed(Ink(labels=[label]), PAPER), on_axes):
        assert inked(figure) == pytest.approx(expected, abs=1.0)  # dots, each rounded


@pytest.mark.parametrize("bold", [False, True])
def test_a_text_is_as_wide_as_matplotlib_sets_it_on_paper(bold: bool) -> None:
    face = FontProperties(family=style.FAMILY, size=100, weight="bold" if bold else "normal")
    width, _, _ = TextToPath().get_text_width_height_descent(WORDS, face, False)
    assert style.text_width(WORDS, 100.0, bold) / style.MM_PER_POINT == pytest.approx(width, 1e-4)


def test_all_texts_of_a_page_are_drawn_by_one_artist() -> None:
    two = [Label("left", 5.0, 50.0, "left"), Label("right", 75.0, 5.0, "right", bold=True)]
    figure = printed(Ink(labels=two), PAPER)
    left, low, right, high = inked(figure)
    dot = 25.4 / DPI
    assert left * dot == pytest.approx(5.0, abs=0.5) and right * dot == pytest.approx(75.0, abs=0.5)
    assert low * dot < 5.5 and high * dot > 50.0
    assert labels(figure) == two and len(boxes(figure)) == 2


def test_a_text_shown_anew_is_the_new_one() -> None:
    figure = Figure(figsize=(PAPER.width / 25.4, PAPER.height / 25.4))
    artists = Artists(figure, PAPER)
    artists.show(Ink(labels=[Label("a long line of text", 40.0, 30.0)]))
    artists.show(Ink(labels=[Label("|", 40.0, 30.0)]))
    left, _, right, _ = inked(figure)
    assert (right - left) * 25.4 / DPI < 1.0
    assert (right + left) / 2 * 25.4 / DPI == pytest.approx(40.0, abs=0.5)
