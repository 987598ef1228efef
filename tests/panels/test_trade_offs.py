"""The trade-off panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

import asyncio
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from tablekit.brief import parse_brief, read_brief
from tablekit.design import Design
from tablekit.design.checks import planned
from tablekit.engine.trouble import DesignError, UnknownName
from tablekit.panels import trade_offs
from tablekit.panels.trade_offs import TradeOffPanel
from tablekit.planning.trade_offs import CAUTION, FAIL, LABOUR, Goal
from tablekit.setting_out import set_out
from tests.panels.dragging import drag
from tests.panels.no_symbols import no_symbolic_solver
from tests.together import each

MILKING = Path(__file__).parents[2] / "notebooks" / "briefs" / "milking-stool.toml"

BRIEF = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture(autouse=True)
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trade_offs, "SIZES", ((6, 5), (24, 20)))


@pytest.fixture
def panel() -> TradeOffPanel:
    return TradeOffPanel(parse_brief(BRIEF))


def test_it_opens_on_the_brief_as_it_is(panel: TradeOffPanel) -> None:
    assert panel.axes == ("splay", "top_diameter") and panel.trouble.value == ""
    assert panel.brief.givens["top_diameter"] == 920
    # Unrounded: a lean of 54.74° is already too flat to be put together, crossing.md.
    assert panel.brief.givens["splay"] == panel.sheet.number("splay")
    assert "fail: " not in panel.point_said.value
    control = panel.picture.control
    assert panel.map.said in control.label and panel.map.said in panel.said.value
    assert control.point[:2] == [panel.sheet.number("splay"), 920]
    assert 'src="data:image/svg+xml' in panel.picture.still.value  # until a page shows the map
    assert panel.map.verdicts.shape == (20, 24)
    assert list(panel.rows)[:2] == ["splay", "top_diameter"]


def test_a_slider_of_an_axis_moves_the_point_and_leaves_the_map(panel: TradeOffPanel) -> None:
    plane, frame, still = panel.map, panel.picture.value, panel.picture.still.value
    panel.rows["splay"].slider.value = 45
    assert panel.map is plane and panel.picture.value == frame
    assert panel.picture.control.point[0] == 45 and panel.picture.still.value != still
    assert panel.sheet.number("splay") == 45 and panel.brief.givens["splay"] == 45
    assert panel.sheet.shop("tipping_load") in panel.point_said.value


def test_a_slider_of_what_is_held_draws_another_map(panel: TradeOffPanel) -> None:
    plane = panel.map
    panel.rows["table_height"].slider.value = 600
    assert panel.map is not plane and panel.sheet.number("table_height") == 600


def want(panel: TradeOffPanel, x: float, y: float) -> None:
    """As a page tells where a hand wants the point."""
    control = panel.picture.control
    control.set_state({"wanted": [x, y, control.wanted[2] + 1]})


def test_the_point_is_dragged_to_the_marks_of_the_rule(panel: TradeOffPanel) -> None:
    panel.picture.control.set_state({"room": 760})
    frame, grid = panel.picture.value, panel.picture.control.grid
    want(panel, 47.123456, 880.3)
    assert panel.sheet.number("splay") == 47.12 and panel.sheet.number("top_diameter") == 880.5
    assert panel.picture.control.point[:2] == [47.12, 880.5]
    across, up, said = panel.picture.control.point[2:]
    assert (across, up) == ("47.12°", "880.5 mm") and panel.sheet.shop("tipping_load") in said
    assert panel.rows["top_diameter"].text.value == "880.5 mm"
    assert (panel.picture.value, panel.picture.control.grid) == (frame, grid)  # the map stays
    assert panel.picture.still.value == ""


def test_where_no_design_can_be_the_hand_is_told_so_and_can_go_back(panel: TradeOffPanel) -> None:
    with no_symbolic_solver():
        want(panel, 89.0, 900.0)
    assert panel.trouble.value and not panel.answered
    want(panel, 47.0, 900.0)
    assert panel.trouble.value == "" and panel.sheet.number("top_diameter") == 900


def test_a_page_is_told_how_to_read_the_map(panel: TradeOffPanel) -> None:
    plane, plain = panel.picture.control.plane, panel.map
    assert plane["x"]["words"] == "splay" and plane["x"]["unit"] == "°"
    assert (plane["y"]["low"], plane["y"]["high"]) == panel.y_span.value
    assert plane["y"]["step"] == 0.5  # mm: the finest mark of the rule, common practice, no source
    grid, count, shape = panel.picture.control.grid, plain.verdicts.size, plain.verdicts.shape
    values = np.frombuffer(grid, "<f4", count).reshape(shape)
    failing = np.frombuffer(grid, "<u4", count, 4 * count).reshape(shape)
    verdicts = np.frombuffer(grid, "i1", count, 12 * count).reshape(shape)
    row, column = (int(at[0]) for at in np.nonzero(verdicts == FAIL))
    given = {"splay": plain.x_at[column], "top_diameter": plain.y_at[row]}
    sheet = panel.sheet.network.solve({**panel.sheet.givens, **given})
    assert values[row, column] == pytest.approx(sheet.number("tipping_load"), rel=1e-6)
    named = {name for k, name in enumerate(plane["failed"]) if failing[row, column] >> k & 1}
    told = {check.name for check in sheet.checks if check.verdict == "fail"}
    assert named and {check.name for check in sheet.checks} & named == told
    cautioning = np.frombuffer(grid, "<u4", count, 8 * count).reshape(shape)
    row, column = (int(at[0]) for at in np.nonzero(verdicts == CAUTION))
    given = {"splay": plain.x_at[column], "top_diameter": plain.y_at[row]}
    sheet = panel.sheet.network.solve({**panel.sheet.givens, **given})
    named = {name for k, name in enumerate(plane["cautioned"]) if cautioning[row, column] >> k & 1}
    judged = [check for check in sheet.checks if check.id not in LABOUR]
    assert named == {check.name for check in judged if check.verdict == "caution"} != set()


def test_a_point_at_an_edge_says_what_fails_beyond(panel: TradeOffPanel) -> None:
    """A lean flatter than the square crossing cannot go together: crossing.md."""
    _, _, edge = panel.point_said.value.partition(" It lies at an edge: with more splay, ")
    assert "assembly fail" in edge
    across, up = panel.map.x_at, panel.map.y_at
    row, column = (int(at[0]) for at in np.nonzero(panel.map.verdicts == CAUTION))
    beyond = panel.map.beyond_edges(float(across[column]), float(up[row]))
    for axis, more, r, c in (
        ("splay", True, row, column + 1), ("splay", False, row, column - 1),
        ("top_diameter", True, row + 1, column), ("top_diameter", False, row - 1, column),
    ):  # fmt: skip
        there = {"splay": across[c], "top_diameter": up[r]}
        sheet = panel.sheet.network.solve({**panel.sheet.givens, **there})
        judged = [check for check in sheet.checks if check.id not in LABOUR]
        fails = {check.name for check in judged if check.verdict == "fail"}
        told = [set(names) for at, way, names in beyond if (at.name, way) == (axis, more)]
        assert told == ([fails] if fails else [])
    panel.rows["splay"].slider.value = 47
    panel.rows["top_diameter"].slider.value = 900
    assert "edge" not in panel.point_said.value


# What the plans of one design check, by the words of the map.
PLANNED = {
    "joint_force": "the joint under load", "notch_bearing": "the joint under load",
    "short_grain": "the joint under load", "knees_and_posts": "knee room between posts",
    "trammel": "the trammel board", "boards": "boards", "board_thickness": "boards",
    "panel_flatness": "boards", "strip_cup": "boards", "clamp_force": "glue",
    "glue_pressure": "glue", "glue_stages": "glue", "tenon_cheek": "glue", "tenon_gap": "glue",
}  # fmt: skip


@each("demo", sorted(MILKING.parent.glob("*.toml")), ids=lambda path: path.stem)
def test_what_a_map_leaves_out_of_the_checks_is_named(demo: Path) -> None:
    brief = read_brief(demo)
    sheet = set_out(brief)
    own = {check.id for check in sheet.checks}
    left_out = {PLANNED[c.id] for c in Design(brief, sheet).every_check if c.id not in own}
    assert set(planned(sheet, brief)) == left_out


def test_the_map_says_which_checks_it_leaves_out(panel: TradeOffPanel) -> None:
    said = "Not judged on the map: square or compound notch (not ticked below); the joint under "
    assert said + "load, knee room between posts (planned" in panel.said.value
    panel.judged["notch_shape"].value = True
    assert "Not judged on the map: the joint under load" in panel.said.value
    assert "Not judged" not in TradeOffPanel(read_brief(MILKING)).said.value


def test_one_of_the_best_is_taken_from_the_list(panel: TradeOffPanel) -> None:
    words, index = panel.best.options[2]
    panel.best.value = index
    x, y = panel.map.at(index)
    assert panel.sheet.number("splay") == pytest.approx(x, abs=0.005)
    assert panel.sheet.number("top_diameter") == pytest.approx(y, abs=0.25)
    assert panel.sheet.shop("splay") in words and panel.sheet.shop("top_diameter") in words


def test_other_axes_keep_the_design(panel: TradeOffPanel) -> None:
    before = panel.sheet.number("foot_spread")
    panel.x.value = "foot_spread"
    assert panel.axes == ("foot_spread", "top_diameter") and panel.trouble.value == ""
    assert "splay" not in panel.brief.givens  # it was given for the map's sake alone
    assert panel.brief.givens["foot_spread"] == before
    assert panel.map.x.name == "foot_spread" and panel.rows["foot_spread"].switch.disabled
    low, high = panel.x_span.value
    assert low < before < high


@pytest.mark.parametrize("typed", ["total mass", "total_mass", "Notch depth", "bending_strength"])
def test_any_quantity_with_a_number_is_an_axis(panel: TradeOffPanel, typed: str) -> None:
    name = typed.lower().replace(" ", "_")
    number = panel.sheet.number(name)
    panel.x.value = typed
    assert panel.trouble.value == "" and panel.axes == (name, "top_diameter")
    assert panel.x.value == name.replace("_", " ") and panel.x.value in panel.x.options
    assert panel.map.x_at[0] <= number <= panel.map.x_at[-1]
    assert panel.map.x_at[0] < panel.map.x_at[-1]
    assert len(panel.x.options) > 100


def test_a_name_that_is_none_leaves_map_and_design(panel: TradeOffPanel) -> None:
    plane, state = panel.map, panel.state
    panel.x.value = "girth <b>"
    assert "girth" in panel.trouble.value and "<b>" not in panel.trouble.value
    assert panel.map is plane and panel.state is state and panel.axes[0] == "splay"
    panel.x.value = ""  # emptied, to see the whole list: the last one stays
    assert panel.trouble.value == "" and panel.x.value == "splay" and panel.map.x.name == "splay"


def test_a_pinned_map_stays_as_it_was(panel: TradeOffPanel) -> None:
    assert len(panel.maps.children) == 1
    panel.pin.click()
    pinned = panel.pinned.control
    assert len(panel.maps.children) == 2 and pinned.plane["fixed"]
    assert pinned.frame == panel.picture.control.frame
    kept = pinned.frame, pinned.grid, pinned.point, panel.pinned_said.value
    panel.x.value = "foot_spread"
    want(panel, 700.0, 950.0)
    assert (pinned.frame, pinned.grid, pinned.point, panel.pinned_said.value) == kept
    assert panel.picture.control.plane["x"]["words"] == "foot spread"
    assert not panel.picture.control.plane["fixed"]
    panel.pin.click()
    assert len(panel.maps.children) == 1


def test_a_map_of_other_axes_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A click on the map before would give quantities that are no axes any more."""
    monkeypatch.setattr(trade_offs, "AT_ONCE", 0.0)

    async def play() -> None:
        panel = TradeOffPanel(parse_brief(BRIEF))
        panel.rows["table_height"].slider.value = 600
        assert "This map is for the previous values" in panel.said.value
        panel.x.value = "foot_spread"
        assert panel.map.x.name == "foot_spread" and "A finer map" in panel.said.value
        want(panel, 900.0, 900.0)
        assert "splay" not in panel.brief.givens and panel.trouble.value == ""

    asyncio.run(play())


def test_a_quantity_of_the_brief_stays_given_when_it_is_no_axis(panel: TradeOffPanel) -> None:
    panel.y.value = "overhang"
    assert {"overhang", "top_diameter", "splay"} <= set(panel.brief.givens)


def test_two_axes_alike_are_refused_in_place(panel: TradeOffPanel) -> None:
    plane = panel.map
    panel.x.value = "top_diameter"
    assert "both axes are top diameter" in panel.trouble.value and panel.map is plane
    want(panel, 50.0, 900.0)  # of the map that is still shown
    panel.x.value = "splay"
    assert panel.trouble.value == ""


def test_range_third_goals_and_checks_change_the_map(panel: TradeOffPanel) -> None:
    panel.x_span.value = (40.0, 50.0)
    assert panel.map.x_at[0] == 40 and panel.map.x_at[-1] == 50
    panel.third.value = "overhang"
    assert panel.map.third.name == "overhang" and "overhang" in panel.point_said.value
    panel.goals[0].value = Goal("total_mass", False)
    assert panel.map.goals[0] == Goal("total_mass", False)
    assert "total mass" in panel.best_head.value
    for name, box in panel.judged.items():
        assert box.value == (name not in LABOUR)
        box.value = False
    assert panel.map.share(3) == 1


def test_letting_go_of_too_much_is_told_and_can_be_mended(panel: TradeOffPanel) -> None:
    panel.rows["table_height"].switch.value = False
    assert "not enough is given" in panel.trouble.value
    panel.rows["table_height"].switch.value = True
    assert panel.trouble.value == "" and panel.sheet.number("table_height") == 735


def test_a_clash_offers_to_let_go_but_never_of_an_axis() -> None:
    panel = TradeOffPanel(parse_brief(BRIEF + 'post_length = "1150 mm"\n'))
    panel.rows["splay"].slider.value = 30
    assert panel.trouble.value
    offered = {button.description: button for button in panel.releases.children}
    assert offered and not {"release splay", "release top diameter"} & set(offered)
    offered["release post length"].click()
    assert panel.trouble.value == "" and "post_length" not in panel.brief.givens


def test_a_measure_is_typed_in_any_unit_and_nonsense_is_refused(panel: TradeOffPanel) -> None:
    panel.rows["top_diameter"].text.value = "30 in"
    assert panel.sheet.number("top_diameter") == 762  # exact: the inch is 25.4 mm
    panel.rows["top_diameter"].text.value = "wide <i>"
    assert "top diameter" in panel.trouble.value and "<i>" not in panel.trouble.value
    assert panel.sheet.number("top_diameter") == 762


def test_the_design_is_handed_on() -> None:
    taken = []
    panel = TradeOffPanel(parse_brief(BRIEF), take=taken.append)
    panel.rows["splay"].slider.value = 45
    panel.take.click()
    assert taken == [panel.brief] and taken[0].givens["splay"] == 45
    refused = TradeOffPanel(parse_brief(BRIEF), take=refuse)
    refused.take.click()
    assert "no room" in refused.trouble.value


def refuse(_: object) -> None:
    raise DesignError("no room for it")


def test_inches_and_a_stool() -> None:
    text = BRIEF.replace("table_height", "seat_height").replace("735", "460").replace("920", "340")
    panel = TradeOffPanel(parse_brief(f'kind = "stool"\ndisplay = "in"\n{text}'), y="seat_height")
    assert panel.trouble.value == "" and panel.rows["seat_height"].text.value.endswith(" in")
    for box in panel.judged.values():  # small stools fail some check or other wherever they lie
        box.value = False
    assert " in" in panel.best.options[1][0]


def test_names_it_does_not_know_are_refused() -> None:
    with pytest.raises(UnknownName, match="girth"):
        TradeOffPanel(parse_brief(BRIEF), x="girth")


def test_a_name_cannot_smuggle_in_html(panel: TradeOffPanel) -> None:
    shown = (panel.said.value, panel.point_said.value, panel.checks.value)
    assert not any("<b>table" in text for text in shown)


def test_a_fast_drag_drops_the_maps_between(panel: TradeOffPanel) -> None:
    with patch.object(trade_offs, "GradualTradeMap", wraps=trade_offs.GradualTradeMap) as made:
        drag(panel.rows["table_height"].slider, range(700, 730))
    assert made.call_count == 2 and panel.sheet.number("table_height") == 729


def test_no_slider_nor_click_runs_the_symbolic_solver(panel: TradeOffPanel) -> None:
    with no_symbolic_solver():
        for name, place in {"splay": 40, "top_diameter": 800, "table_height": 700,
                            "post_section": 75}.items():  # fmt: skip
            panel.rows[name].slider.value = place
            assert panel.sheet.number(name) == place
        panel.x_span.value = (35.0, 50.0)
        want(panel, 40.0, 900.0)
        panel.best.value = panel.best.options[1][1]
    assert panel.trouble.value == ""


def test_without_a_kernel_there_are_words(panel: TradeOffPanel) -> None:
    assert "needs a running kernel" in panel._repr_mimebundle_()["text/plain"]


def test_legs_have_a_map_of_their_own():
    panel = TradeOffPanel(read_brief(MILKING))
    assert panel.axes == ("leg_resultant", "top_diameter")
    asked = {name.replace(" ", "_") for name in panel.x.options}
    asked |= {name for _, name in panel.third.options}
    assert "leg_length" in asked and not {"splay", "post_length"} & asked
    assert any(share > 0 for _, share in panel.map.failed)
