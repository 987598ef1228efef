"""The drawing of what tips a piece: to scale, nothing over a text, the numbers of the sheet."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest

from tablekit.drawing.ink import Label
from tablekit.drawing.live import LiveView
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save
from tablekit.drawing.tipping import (
    BAND,
    TippingDrawing,
    draw_tipping,
    lay_out_tipping,
    load_scale,
    view,
)
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.planning.tipping_polar import tipping_polar
from tablekit.relations.families import network
from tests.drawing.designs import designs
from tests.together import each

PAPERS = {"A4": A4, "across": A4_ACROSS, "screen": SCREEN}


def splayed(legs: str) -> Sheet:
    return network("table", style="splayed legs", legs=legs).solve(
        {"table_height": 735.0, "top_diameter": 1100.0, "leg_diameter": 50.0}, name=legs
    )


EVERY = [*designs(), "three legs", "four legs"]


def sheet(name: str) -> Sheet:
    return designs()[name] if name in designs() else splayed(name)


def box(label: Label) -> tuple[float, float, float, float]:
    corners = np.array(label.corners())
    return (*corners.min(axis=0), *corners.max(axis=0))


def sampled(line: np.ndarray) -> np.ndarray:
    """Many points along a polyline."""
    parts = [a + np.linspace(0, 1, 60)[:, None] * (b - a) for a, b in pairwise(line)]
    return np.vstack(parts if len(line) < 5 else [line])


@each("paper", PAPERS)
@each("name", EVERY)
def test_no_text_overlaps_another_or_leaves_the_paper(name: str, paper: str) -> None:
    size = PAPERS[paper]
    ink = lay_out_tipping(sheet(name), size).ink
    whole = ink.box()
    assert whole.left >= size.margin - 0.3 and whole.right <= size.width - size.margin + 0.3
    assert whole.low >= size.margin - 0.3 and whole.high <= size.height - size.margin + 0.3
    assert len(ink.labels) > 5
    for one, other in combinations(ink.labels, 2):
        a, b = box(one), box(other)
        apart = a[0] > b[2] or b[0] > a[2] or a[1] > b[3] or b[1] > a[3]
        assert apart, (one.text, other.text)


@each("name", EVERY)
def test_no_curve_rim_or_ring_runs_through_a_text(name: str) -> None:
    it = sheet(name)
    ink = view(it, tipping_polar(it), lay_out_tipping(it, A4).scale)
    feet = {str(k) for k in range(1, 5)}
    for label in ink.labels:
        if label.text in feet or label.rotation:  # in a white ring; along the arm
            continue
        left, low, right, high = box(label)
        for pen in ("visible", "thin", "centre", "hidden"):
            for line in ink.lines[pen]:
                x, y = sampled(np.array(line)).T
                inside = (x > left) & (x < right) & (y > low) & (y < high)
                assert not inside.any(), (label.text, pen)


@pytest.mark.parametrize("name", ["table", "low", "stool in inches, down", "four legs"])
def test_plan_is_to_scale_and_the_curve_tells_the_loads(name: str) -> None:
    it, scale = sheet(name), 0.1
    polar = tipping_polar(it)
    ink = view(it, polar, scale)
    rim = it.number("top_diameter") / 2 * scale
    assert np.hypot(*np.array(ink.lines["visible"][0]).T) == pytest.approx(rim)
    feet = [np.array(badge).mean(axis=0) for badge in ink.badges]
    radius = it.number("foot_radius") * scale
    assert [np.hypot(*foot) for foot in feet] == pytest.approx([radius] * len(feet), rel=0.05)
    wanted = it.get("wanted_tipping_load")
    rule = load_scale(polar.least or 0, wanted, it.shop_style.display, rim)
    cap = rule.steps[-1] * rule.newtons
    curve = np.vstack([np.array(line) for line in ink.lines["visible"][1:]])
    far = np.hypot(*curve.T)
    loads = (far / rim - 1) / BAND * cap  # read off the paper again
    bearings = np.arctan2(curve[:, 1], curve[:, 0])
    told = tipping_polar(it, bearings=bearings).loads
    np.testing.assert_allclose(loads, told, rtol=1e-6)
    assert loads.max() <= cap * (1 + 1e-9)
    assert loads.min() == pytest.approx(it.number("tipping_load"), rel=2e-4)  # half a degree apart


@pytest.mark.parametrize("name", ["table", "table in inches", "low", "huge in inches"])
def test_the_least_load_is_written_as_the_maker_reads_it(name: str) -> None:
    it = sheet(name)
    said = [label.text for label in lay_out_tipping(it, A4).ink.labels]
    assert f"least {it.shop('tipping_load')}" in said
    assert "Nobody should sit" in " ".join(said)
    other = " N" if it.shop_style.display == "in" else " lbf"
    assert not any(label.endswith(other) for label in said)


def test_rings_are_round_loads_in_the_makers_unit() -> None:
    # 4.4482216152605 N: the avoirdupois pound of 1959 at standard gravity
    for display, newton in (("mm", 1.0), ("in", 0.45359237 * 9.80665)):
        rule = load_scale(150.0, 200.0, display, 40.0)
        assert rule.newtons == pytest.approx(newton, rel=1e-12)
        step = rule.steps[0]
        assert f"{step:.0e}"[0] in "125" and len(rule.steps) <= 4
        assert rule.steps[-1] * newton >= 2 * 150.0
    assert load_scale(3.0, None, "mm", 40.0).steps[-1] < 15


def test_a_rim_inside_the_feet_has_no_curve_and_says_so() -> None:
    it = network("table").solve(
        {"table_height": 735.0, "top_diameter": 440.0, "post_section": 64.0}, name="Narrow"
    )
    assert it.get("tipping_load") is None
    ink = lay_out_tipping(it, A4).ink
    assert len(ink.lines["visible"]) == 1
    assert any("No vertical load on the rim tips it" in label.text for label in ink.labels)


def test_a_sheet_too_small_is_refused_and_files_are_the_same_each_time(tmp_path: Path) -> None:
    it = sheet("table")
    with pytest.raises(ValueError, match="too small"):
        lay_out_tipping(it, Paper(60, 60))
    one = save(draw_tipping(it), tmp_path / "one.svg").read_bytes()
    assert save(draw_tipping(it), tmp_path / "two.svg").read_bytes() == one


def test_a_slider_s_way_and_back_gives_the_same_bytes() -> None:
    live = LiveView(TippingDrawing)
    live.update(sheet("table"))
    first = live.png()
    live.update(sheet("four legs"))
    assert live.png() != first
    live.update(sheet("table"))
    assert live.png() == first


def test_inches_read_in_lbf() -> None:
    it = network("table").solve(
        {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0},
        shop=ShopStyle(display="in"),
    )
    rings = [x.text for x in lay_out_tipping(it, A4).ink.labels if x.text.endswith(("lbf", "N"))]
    assert rings and all(text.endswith("lbf") for text in rings)
