"""The setting-out panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

from collections.abc import Iterator
from unittest.mock import patch

import pytest

from tablekit.brief import parse_brief
from tablekit.panels.set_out import SetOutPanel

BRIEF = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture
def panel() -> SetOutPanel:
    return SetOutPanel(parse_brief(BRIEF))


def given(panel: SetOutPanel) -> set[str]:
    return set(panel.state.given)


def test_it_opens_with_the_brief(panel: SetOutPanel) -> None:
    assert given(panel) == {"table_height", "top_diameter", "post_section"}
    assert panel.rows["table_height"].switch.value
    assert not panel.rows["post_length"].switch.value
    assert panel.rows["post_length"].slider.disabled
    assert panel.rows["table_height"].text.value == "735 mm"
    assert bytes(panel.picture.value).startswith(b"\x89PNG")


def test_a_slider_moves_everything_that_hangs_on_it(panel: SetOutPanel) -> None:
    before, picture = panel.sheet.number("post_length"), panel.picture.value
    panel.rows["table_height"].slider.value = 745
    # Ten millimetres of height are √3 times as much of post (reference/derivations/crossing.md).
    assert panel.sheet.number("post_length") - before == pytest.approx(10 * 3**0.5, rel=1e-12)
    assert panel.rows["table_height"].text.value == "745 mm"
    assert panel.rows["post_length"].text.value == panel.sheet.shop("post_length")
    assert panel.picture.value != picture
    assert panel.sheet.shop("tipping_load") in panel.found.value


def test_a_measure_is_typed_in_any_unit(panel: SetOutPanel) -> None:
    panel.rows["table_height"].text.value = "28 7/8 in"
    assert panel.sheet.number("table_height") == 28.875 * 25.4  # exact: the inch is 25.4 mm
    assert panel.rows["table_height"].text.value == "733.5 mm"


@pytest.mark.parametrize("text", ["735", "tall", "0 mm", "-3 mm", "9 km", "", "735 kg"])
def test_a_text_that_is_no_height_is_refused_in_place(panel: SetOutPanel, text: str) -> None:
    sheet, picture = panel.sheet, panel.picture.value
    panel.rows["table_height"].text.value = text
    assert "table_height" in panel.trouble.value
    assert panel.sheet is sheet and panel.picture.value == picture
    panel.rows["table_height"].text.value = "700 mm"
    assert panel.trouble.value == "" and panel.sheet.number("table_height") == 700


def test_given_and_found_can_be_switched(panel: SetOutPanel) -> None:
    panel.rows["top_diameter"].switch.value = False
    assert "not enough is given" in panel.trouble.value
    panel.rows["overhang"].switch.value = True
    panel.rows["overhang"].text.value = "40 mm"
    assert panel.trouble.value == ""
    assert panel.sheet.number("top_diameter") == pytest.approx(
        2 * (panel.sheet.number("head_radius") + 40)
    )
    assert panel.rows["top_diameter"].slider.disabled


def test_a_contradiction_offers_its_releases_and_keeps_the_last_drawing(
    panel: SetOutPanel,
) -> None:
    panel.rows["post_length"].switch.value = True
    good = panel.picture.value
    panel.rows["post_length"].text.value = "600 mm"
    assert "post_length 600 mm is too short for table_height 735 mm" in panel.trouble.value
    assert panel.picture.value == good
    offered = {button.description: button for button in panel.releases.children}
    assert set(offered) == {"let go of table_height", "let go of post_length"}
    offered["let go of table_height"].click()
    assert panel.trouble.value == "" and panel.releases.children == ()
    assert "table_height" not in given(panel)
    assert panel.sheet.number("post_length") == 600


def test_what_a_browser_echoes_is_not_taken_for_a_move(panel: SetOutPanel) -> None:
    """A slider in a page snaps the value to its own step and sends it back."""
    before = given(panel)
    for row in panel.rows.values():
        if row.slider.disabled:
            row.slider.value = round(row.slider.value, 1) + 0.04
    panel.rows["post_section"].slider.value = 64.04
    assert given(panel) == before
    assert panel.sheet.number("post_section") == 64


def test_inches_and_the_way_up(panel: SetOutPanel) -> None:
    panel.display.value = "in"
    assert panel.rows["post_section"].text.value == "2 17/32 in"
    assert panel.sheet.number("post_section") == 64  # shown in inches, not changed
    wide = panel.sheet.number("foot_radius")
    panel.way_up.value = "notches down"
    assert panel.sheet.number("foot_radius") < wide  # circles.md: notches up, wider feet


def test_the_working_follows_the_pick(panel: SetOutPanel) -> None:
    panel.pick.value = "tipping_load"
    assert "tipping_load: plumb load on the rim" in panel.working.value
    short = len(panel.working.value)
    panel.in_full.value = True
    assert len(panel.working.value) > short and "Source:" in panel.working.value


def test_a_name_cannot_smuggle_in_html(panel: SetOutPanel) -> None:
    shown = (panel.found.value, panel.checks.value, panel.trouble.value, panel.working.value)
    assert not any("<b>table" in text for text in shown)


@pytest.fixture
def no_symbolic_solver() -> Iterator[None]:
    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError("a slider reached the symbolic solver")

    with (
        patch("sympy.solve", forbidden),
        patch("sympy.lambdify", forbidden),
        patch("sympy.cse", forbidden),
        patch("tablekit.engine.network.make_plan", forbidden),
    ):
        yield


def test_a_slider_never_runs_the_symbolic_solver(
    panel: SetOutPanel, no_symbolic_solver: None
) -> None:
    before = panel.sheet.number("post_length")
    panel.rows["table_height"].slider.value = 690
    assert panel.trouble.value == ""
    assert panel.sheet.number("post_length") < before


@pytest.mark.parametrize("kind", ["table", "stool"])
def test_every_slider_end_is_answered_or_refused_in_words(kind: str) -> None:
    height = "table_height" if kind == "table" else "seat_height"
    text = BRIEF.replace("table_height", height).replace("[given]", f'kind="{kind}"\n[given]')
    brief = parse_brief(text)
    for name in SetOutPanel(brief).rows:
        panel = SetOutPanel(brief)
        row = panel.rows[name]
        row.switch.value = True
        assert panel.trouble.value == ""
        for end in (row.slider.min, row.slider.max):
            row.slider.value = end
            if panel.trouble.value == "":
                assert panel.sheet.number(name) == pytest.approx(end, abs=row.slider.step)
            else:
                assert name in panel.trouble.value
