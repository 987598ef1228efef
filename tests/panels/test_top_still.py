"""Drawings of the top that stay: each tells its own numbers, and is the same each time."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.brief import Brief, parse_brief
from tablekit.drawing.live import LiveView
from tablekit.drawing.movement import MovementDrawing
from tablekit.drawing.style import SQUARE, Paper
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.panels import stills
from tablekit.setting_out import set_out

BRIEF = """
name = "Trial"
[given]
table_height = "735 mm"
top_diameter = "{top}"
post_section = "64 mm"
[[boards]]
name = "A"
width = "140 mm"
length = "1.1 m"
count = 7
"""


@cache
def asked(top: str = "920 mm") -> tuple[Brief, Sheet]:
    brief = parse_brief(BRIEF.format(top=top))
    return brief, set_out(brief)


STILLS = {
    "boards": lambda brief, sheet: stills.of_boards(brief, sheet),
    "movement": lambda brief, sheet: stills.of_movement(sheet),
    "ends": lambda brief, sheet: stills.of_ends(brief, sheet),
    "trammel": lambda brief, sheet: stills.of_trammel(sheet),
}


@pytest.mark.parametrize("name", STILLS)
def test_a_picture_with_words_the_same_each_time(name: str) -> None:
    still = STILLS[name](*asked())
    assert still.data.startswith(b"\x89PNG") and "Trial" in still.alt
    assert STILLS[name](*asked()).data == still.data
    assert STILLS[name](*asked("760 mm")).data != still.data  # another top, another drawing


def test_boards_that_fall_short_are_told() -> None:
    # Seven strips of 136 mm make 952 mm; a top of 1 m needs more.
    brief, sheet = asked("1 m")
    with pytest.raises(DesignError, match="of width is missing"):
        stills.of_boards(brief, sheet)
    bare = parse_brief(BRIEF.split("[[boards]]")[0].format(top="920 mm"))
    with pytest.raises(DesignError, match="no boards"):
        stills.of_boards(bare, sheet)


def test_a_view_keeps_its_artists_and_its_last_good_drawing() -> None:
    view = LiveView(MovementDrawing, SQUARE)
    view.update(asked()[1])
    artists, first = list(view.figure.get_children()), view.png()
    layout = view.update(asked("760 mm")[1])
    assert any("760" in label.text for label in layout.ink.labels)
    assert view.figure.get_children() == artists and view.png() != first
    view.update(asked()[1])
    assert view.png() == first


def test_a_view_is_as_large_as_its_paper_in_dots() -> None:
    view = LiveView(MovementDrawing, Paper(254, 127, to_scale=False), dpi=50)
    view.update(asked()[1])
    view.png()
    assert np.asarray(view.canvas.buffer_rgba()).shape[:2] == (250, 500)  # 10 by 5 in at 50 an inch


def test_paper_too_small_is_refused() -> None:
    view = LiveView(MovementDrawing, Paper(40, 40, to_scale=False))
    with pytest.raises(ValueError, match="too small"):
        view.update(asked()[1])


def test_an_answer_is_folded_and_plain() -> None:
    answer = stills.Folded("4 < 5 mm", "Try <i>first</i>")
    shown = answer._repr_html_()
    assert shown.startswith("<details>") and " open" not in shown
    assert "4 &lt; 5 mm" in shown and "<i>first" not in shown
    assert repr(answer) == "Try <i>first</i>: 4 < 5 mm"
