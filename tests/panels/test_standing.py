"""The standing panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablekit.brief import parse_brief, read_brief
from tablekit.panels.controls import OLD_CLASS
from tablekit.panels.standing import CHECKS, OLD, ROWS, StandingPanel
from tablekit.planning.tipping_ways import ways_to_mend
from tablekit.setting_out import set_out
from tests.panels.no_symbols import no_symbolic_solver

MILKING = Path(__file__).parents[2] / "notebooks" / "briefs" / "milking-stool.toml"

TABLE = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
STOOL = """
name = "Trial stool"
kind = "stool"
[given]
seat_height = "480 mm"
foot_radius = "270 mm"
overhang = "10 mm"
top_diameter = "380 mm"
post_section = "50 mm"
"""


@pytest.fixture
def panel() -> StandingPanel:
    return StandingPanel(parse_brief(TABLE))


def slide(panel: StandingPanel, name: str, number: float) -> None:
    panel.rows[name].slider.value = number


def by_hand(panel: StandingPanel) -> float:
    """The load on the rim that tips a piece on three feet, from moments about the line through two
    of them: the weight acts at the middle, half the feet's radius inside that line, the load at the
    rim outside it. Standard gravity 9.80665 m/s² (ISO 80000-3)."""
    arm = panel.sheet.number("foot_radius") / 2
    weight = 9.80665 * panel.sheet.number("total_mass")
    return weight * arm / (panel.sheet.number("top_diameter") / 2 - arm)


def test_it_opens_with_the_brief(panel: StandingPanel) -> None:
    assert list(panel.rows) == list(ROWS)
    given = {name: row.switch.value for name, row in panel.rows.items()}
    assert given == {"top_diameter": True, "foot_radius": False, "wanted_tipping_load": True}
    assert panel.rows["foot_radius"].slider.disabled
    assert panel.rows["top_diameter"].text.value == "920 mm"
    assert {"top_diameter", "foot_radius", "wanted_tipping_load"} <= {*panel.picture.names}
    assert panel.trouble.value == "" and panel.ways.value == ""


def test_every_check_it_asks_for_is_one_that_a_piece_has() -> None:
    briefs = [parse_brief(text) for text in (TABLE, STOOL)]
    # A wanted load that is given is asked about in place of the common one.
    sheets = [set_out(brief) for brief in briefs]
    sheets += [StandingPanel(brief).sheet for brief in briefs]
    assert set(CHECKS) <= {check.id for sheet in sheets for check in sheet.checks}


def test_a_wider_top_tips_sooner(panel: StandingPanel) -> None:
    picture, checks = panel.picture.value, panel.checks.value
    slide(panel, "top_diameter", 1200)
    assert panel.sheet.number("top_diameter") == 1200
    assert panel.sheet.number("tipping_load") == pytest.approx(by_hand(panel), rel=1e-9)
    assert panel.picture.value != picture and panel.checks.value != checks
    assert panel.rows["top_diameter"].text.value == "1200 mm"


def test_feet_are_given_and_let_go_again(panel: StandingPanel) -> None:
    lean = panel.sheet.number("splay")
    panel.rows["foot_radius"].switch.value = True
    assert not panel.rows["foot_radius"].slider.disabled
    slide(panel, "foot_radius", 420)
    assert panel.sheet.number("foot_radius") == pytest.approx(420)
    assert panel.sheet.number("tipping_load") == pytest.approx(by_hand(panel), rel=1e-9)
    assert panel.sheet.number("splay") < lean
    panel.rows["foot_radius"].switch.value = False
    assert panel.sheet.number("splay") == pytest.approx(lean)


def test_the_wanted_load_is_typed_in_any_unit(panel: StandingPanel) -> None:
    panel.rows["wanted_tipping_load"].text.value = "100 lbf"
    # 0.45359237 kg times 9.80665 m/s², both exact by definition
    assert panel.sheet.number("wanted_tipping_load") == pytest.approx(444.8221615, rel=1e-9)
    assert "</b> tipping load required" in panel.checks.value
    assert "✓ pass</b> tipping load required" not in panel.checks.value
    panel.rows["wanted_tipping_load"].text.value = "50 N"
    assert "✓ pass</b> tipping load required" in panel.checks.value


@pytest.mark.parametrize("text", ["firm", "", "-5 N", "300 mm"])
def test_a_text_that_is_no_load_is_refused_in_place(panel: StandingPanel, text: str) -> None:
    sheet, picture = panel.sheet, panel.picture.value
    panel.rows["wanted_tipping_load"].text.value = text
    assert 'role="alert"' in panel.trouble.value and OLD in panel.trouble.value
    assert panel.sheet is sheet and panel.picture.value == picture
    panel.rows["wanted_tipping_load"].text.value = "300 N"
    assert panel.trouble.value == "" and panel.sheet.number("wanted_tipping_load") == 300


def test_a_piece_that_cannot_be_keeps_the_last_drawing(panel: StandingPanel) -> None:
    panel.rows["foot_radius"].switch.value = True
    sheet, picture = panel.sheet, panel.picture.value
    panel.rows["foot_radius"].text.value = "10 mm"
    assert "This is not possible" in panel.trouble.value and OLD in panel.trouble.value
    assert panel.sheet is sheet and panel.picture.value == picture
    panel.find_ways()
    assert panel.ways.value == ""  # the numbers asked about are not those drawn
    panel.rows["foot_radius"].text.value = "450 mm"
    assert panel.trouble.value == "" and panel.sheet.number("foot_radius") == pytest.approx(450)


def test_the_button_finds_ways_and_a_move_forgets_them(panel: StandingPanel) -> None:
    slide(panel, "wanted_tipping_load", 300)
    panel.mend.click()
    mending = ways_to_mend(panel.sheet)
    assert mending.wanted == 300 and mending.ways
    for way in mending.ways:
        assert way.load == pytest.approx(300) and way.change in panel.ways.value
    assert not panel.mend.disabled
    slide(panel, "top_diameter", 900)
    assert panel.ways.value == ""


def test_a_stool_is_asked_about_its_sitter() -> None:
    panel = StandingPanel(parse_brief(STOOL))
    assert panel.rows["foot_radius"].switch.value
    assert "tipping under a leaning sitter" in panel.checks.value
    slide(panel, "foot_radius", 250)
    assert panel.sheet.number("tipping_load") == pytest.approx(by_hand(panel), rel=1e-9)


def test_a_name_cannot_smuggle_in_html(panel: StandingPanel) -> None:
    panel.mend.click()
    panel.rows["top_diameter"].text.value = "<i>x</i>"
    shown = (panel.checks.value, panel.ways.value, panel.trouble.value)
    assert panel.ways.value != "" and "&lt;i&gt;" in panel.trouble.value
    assert not any("<b>table" in text or "<i>x" in text for text in shown)


def test_without_a_kernel_there_are_words(panel: StandingPanel) -> None:
    bundle = panel._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    assert "needs a running kernel" in bundle["text/plain"]


@pytest.fixture
def all_given(panel: StandingPanel) -> StandingPanel:
    panel.rows["foot_radius"].switch.value = True
    return panel


@pytest.mark.parametrize("name", ROWS)
def test_no_end_of_a_slider_runs_the_symbolic_solver(all_given: StandingPanel, name: str) -> None:
    slider = all_given.rows[name].slider
    start = slider.value
    with no_symbolic_solver():
        for end in (slider.min, slider.max):
            slider.value = end
            if all_given.trouble.value == "":
                assert all_given.sheet.number(name) == pytest.approx(end)
            else:
                assert OLD in all_given.trouble.value
        slider.value = start
    assert all_given.trouble.value == ""


def test_a_contradiction_shows_its_givens_and_marks_the_drawing_as_old(
    panel: StandingPanel,
) -> None:
    panel.rows["foot_radius"].switch.value = True
    panel.rows["foot_radius"].text.value = "10 mm"
    assert panel.rows["foot_radius"].text.value == "10 mm"
    slide(panel, "top_diameter", 1000)
    assert not panel.answered and panel.rows["top_diameter"].text.value == "1000 mm"
    assert OLD_CLASS in panel.picture.widget._dom_classes and OLD_CLASS in panel.checks._dom_classes
    panel.rows["foot_radius"].text.value = "450 mm"
    assert panel.answered and OLD_CLASS not in panel.picture.widget._dom_classes


def test_legs_have_a_standing_panel_of_their_own():
    """The same panel over a stool on legs: a slider moves its tipping load, and remedies are for
    legs."""
    panel = StandingPanel(read_brief(MILKING))
    before = panel.sheet.number("tipping_load")
    panel.rows["top_diameter"].slider.value = panel.sheet.number("top_diameter") - 15
    assert panel.sheet.number("tipping_load") > before
    panel.mend.click()
    assert "legs that lean farther" in panel.ways.value and "post" not in panel.ways.value
