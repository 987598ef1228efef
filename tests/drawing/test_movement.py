"""The drawing of the top over the seasons tells the sheet's numbers, and says what it stretches."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tablekit.drawing.movement import (
    FACTORS,
    MOST_OF_RADIUS,
    draw_movement,
    factor,
    lay_out_movement,
    seasons,
    view,
)
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save
from tablekit.engine.sheet import Sheet
from tablekit.engine.units import ShopStyle
from tablekit.relations.families import network

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def sheet(display: str = "mm", **changes: float) -> Sheet:
    shop = ShopStyle(display=display)  # type: ignore[arg-type]
    return network("table").solve({**TABLE, **changes}, name="Table", shop=shop)


def heights(drawn: list[list[tuple[float, float]]]) -> list[float]:
    return [float(np.ptp(np.array(line)[:, 1])) for line in drawn if len(line) > 100]


@pytest.mark.parametrize("humidity", [12.0, 30.0, 45.0])
def test_the_ovals_are_round_plus_the_movement_so_many_times(humidity: float) -> None:
    it, scale = sheet(driest_humidity=humidity), 1 / 7.5
    ink, times = view(it, scale), factor(it)
    (dashed,) = heights(ink.lines["hidden"])
    assert dashed == pytest.approx((920 - times * it.number("winter_shrinkage")) * scale)
    (thin,) = heights(ink.lines["thin"])
    assert thin == pytest.approx((920 + times * it.number("summer_swelling")) * scale)
    (thick,) = heights(ink.lines["visible"])
    assert thick == pytest.approx(920 * scale)
    for pen in ("hidden", "thin", "visible"):
        (oval,) = (np.array(line) for line in ink.lines[pen] if len(line) > 100)
        assert np.ptp(oval[:, 0]) == pytest.approx(920 * scale)  # no change along the grain


@pytest.mark.parametrize("coefficient", [0.0008, 0.00274, 0.0045])
def test_the_factor_is_the_largest_that_stays_a_small_part_of_the_radius(
    coefficient: float,
) -> None:
    it = sheet(movement_coefficient=coefficient)
    largest = max(abs(season.gain) for season in seasons(it))
    fits = [f for f in FACTORS if f * largest <= MOST_OF_RADIUS * 460]
    assert factor(it) == max(fits)


def test_screws_stand_on_their_circle_and_travel_across_the_grain() -> None:
    it, scale = sheet(head_turn=20.0), 1 / 7.5
    ink, times = view(it, scale), factor(it)
    ways = [np.array(line) for line in ink.lines["visible"] if len(line) == 2]
    assert len(ways) == 3
    travel = max(np.ptp(way[:, 1]) for way in ways)
    assert travel == pytest.approx(times * it.number("plate_travel") * scale, rel=0.02)
    assert all(np.ptp(way[:, 0]) == 0 for way in ways)
    rings = [np.array(line) for line in ink.lines["thin"] if len(line) == 25]
    far = [np.hypot(*one[:-1].mean(axis=0)) for one in rings]
    assert far == pytest.approx([it.number("screw_radius") * scale] * 3)


@pytest.mark.parametrize("paper", [A4, A4_ACROSS, SCREEN], ids=["A4", "across", "screen"])
@pytest.mark.parametrize("display", ["mm", "in"])
def test_all_is_on_the_paper_and_the_factor_is_stated(paper: Paper, display: str) -> None:
    it = sheet(display)
    ink = lay_out_movement(it, paper).ink
    box = ink.box()
    assert box.left >= paper.margin - 1e-9 and box.right <= paper.width - paper.margin + 1e-9
    assert box.low >= 0 and box.high <= paper.height - paper.margin + 1e-9
    said = " ".join(label.text for label in ink.labels)
    assert f"exaggerated {factor(it)} times." in said
    for name in ("narrowest_width", "widest_width", "top_diameter"):
        assert it.shop(name).removesuffix(f" {display}") in said
    assert re.search(r"slots at least [\d /.]+ (mm|in) long", said)


def test_legs_in_sockets_have_no_plates() -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}, name="Stool"
    )
    ink = lay_out_movement(stool, A4).ink
    assert not ink.badges and "Screws" not in " ".join(label.text for label in ink.labels)


def test_a_sheet_too_small_is_refused_and_files_are_the_same_each_time(tmp_path: Path) -> None:
    it = sheet()
    with pytest.raises(ValueError, match="too small"):
        lay_out_movement(it, Paper(60, 60))
    one = save(draw_movement(it), tmp_path / "one.svg").read_bytes()
    assert save(draw_movement(it), tmp_path / "two.svg").read_bytes() == one
