"""Cutting the edge: steps that stay clear of the bevel, passes, and which way to go."""

from __future__ import annotations

import json
import math
import re

import pytest

from tablekit.brief import BriefError, parse_brief, write_brief
from tablekit.drawing.style import A4, A4_ACROSS
from tablekit.drawing.trammel import PROFILE_SCALES, lay_out_trammel, profile
from tablekit.packet.card import card, card_text
from tablekit.packet.packet import answer_json, work_text
from tablekit.planning.edge_plan import edge_plan
from tablekit.planning.trammel_plan import arcs_against_the_grain, end_grain_arcs
from tablekit.relations.edges import EDGES
from tablekit.relations.families import network
from tablekit.setting_out import design_of
from tests.drawing.legible import overlapping
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}
BRIEF = """
name = "Trial table"
[given]
table_height = "735 mm"
top_diameter = "1000 mm"
top_thickness = "32 mm"
post_section = "64 mm"
[wood]
species = "white ash"
[top]
"""
INCHES = """
name = "Trial table"
display = "in"
fraction = 16
[given]
table_height = "29 in"
top_diameter = "40 in"
top_thickness = "1 1/4 in"
post_section = "2 1/2 in"
[top]
"""


def bevel(**changes: float):
    sheet = network("table", edge="bevelled under").solve({**TABLE, **changes})
    plan = edge_plan(sheet, EDGES["bevelled under"])
    assert plan is not None
    return plan


@each("size", [12.0, 35.0, 80.0])
@each("height", [6.0, 14.0, 25.0])
@each("deep", [3.0, 5.0])
def test_steps_stay_in_the_waste_and_no_cut_is_deeper_than_a_pass(
    size: float, height: float, deep: float
) -> None:
    plan = bevel(edge_size=size, edge_height=height, pass_depth=deep, cutter_diameter=12.0)
    assert len(plan.steps) == math.ceil(height / deep - 1e-9) - 1
    before = 0.0
    for number, step in enumerate(plan.steps, start=1):
        assert step.number == number
        assert 0 < step.stop - before <= deep + 1e-9
        before = step.stop
        # The bevel's own depth below the underside at the step's inner corner, from its two ends.
        inward = 450 - step.near
        assert step.stop == pytest.approx(height * (1 - inward / size))
        assert step.width == pytest.approx(inward)
        assert (step.laps - 1) * 12 < inward <= step.laps * 12 + 1e-9
    # What is left at the rim for the plane is no more than a pass.
    assert height - before <= deep + 1e-9


@pytest.mark.parametrize("display", ["mm", "in"])
def test_what_is_marked_of_a_step_is_rounded_into_the_waste(display: str) -> None:
    brief = BRIEF if display == "mm" else INCHES
    text = brief + 'edge = "bevelled under"\nedge_size = "37.3 mm"\nedge_height = "14.7 mm"\n'
    text = (
        text if display == "mm" else text.replace("37.3 mm", "1.47 in").replace("14.7 mm", ".58 in")
    )
    plan = design_of(parse_brief(text)).edge
    assert plan is not None and len(plan.steps) >= 2
    said = re.findall(r"stop ([\d /.]+) (?:mm|in), near side ([\d /.]+) (?:mm|in)", plan.text())
    assert len(said) == len(plan.steps)
    unit = 1.0 if display == "mm" else 25.4
    for (stop, near), step in zip(said, plan.steps, strict=True):
        assert number(stop) * unit <= step.stop + 1e-3
        assert number(near) * unit >= step.near - 1e-3


def number(text: str) -> float:
    """ "10 7/8" as a number."""
    parts = [part.split("/") for part in text.split()]
    return sum(float(part[0]) / (float(part[1]) if len(part) > 1 else 1) for part in parts)


def test_a_bevel_of_one_pass_has_no_steps() -> None:
    plan = bevel(edge_size=20.0, edge_height=4.0)
    assert plan.steps == () and "rout the bevel" not in plan.text()


def test_a_rounding_takes_whole_passes() -> None:
    for radius, deep, passes in ((3.0, 5.0, 1), (6.0, 5.0, 2), (10.0, 5.0, 2), (12.0, 3.0, 4)):
        sheet = network("table", edge="rounded").solve(
            {**TABLE, "edge_size": radius, "pass_depth": deep}
        )
        plan = edge_plan(sheet, EDGES["rounded"])
        assert plan is not None and plan.passes == passes  # by hand: radius over depth, rounded up
        assert sheet.number("edge_passes") * deep >= radius


@pytest.mark.parametrize("grain", [0.0, 90.0, 30.0])
def test_end_grain_is_where_fibres_run_out_end_on(grain: float) -> None:
    """From vectors: the fibres against the outward direction of the rim."""
    arcs = end_grain_arcs(grain)
    for bearing in range(0, 360, 3):
        turn, along = math.radians(bearing), math.radians(grain)
        end_on = abs(math.cos(turn) * math.cos(along) + math.sin(turn) * math.sin(along))
        inside = any((bearing - start) % 360 <= end - start for start, end in arcs)
        if abs(end_on - math.sqrt(0.5)) > 1e-9:
            assert inside is (end_on > math.sqrt(0.5)), bearing


def test_turned_over_the_other_quarters_are_against_the_grain() -> None:
    """From vectors: the edges run anticlockwise seen from the router, and lift a fibre where it
    runs into the kept wood (reference/derivations/trammel.md)."""
    plan = edge_plan(network("table", edge="eased").solve(TABLE), EDGES["eased"])
    assert plan is not None
    for arcs, sense in ((plan.from_above, 1), (plan.from_below, -1)):
        for bearing in range(5, 360, 10):
            turn = math.radians(bearing)
            edges_run = (-sense * math.sin(turn), sense * math.cos(turn))
            fibre = math.copysign(1.0, edges_run[0])  # along the grain, the way the edges run
            lifts = fibre * math.cos(turn) < 0
            assert any((bearing - start) % 360 < 90 for start, _ in arcs) is lifts
    assert plan.from_below == arcs_against_the_grain()


# -- in the brief and the packet ------------------------------------------------------------------


def test_an_edge_is_read_written_and_refused() -> None:
    brief = parse_brief(BRIEF + 'edge = "bevelled under"\nedge_size = "2 in"\n')
    assert brief.top.edge_size == 50.8 and parse_brief(write_brief(brief)) == brief
    for wrong, words in (
        ('edge_size = "3 mm"', "goes with edge"),
        ('edge = "square"\nedge_size = "3 mm"', "goes with edge"),
        ('edge = "eased"\nedge_height = "3 mm"', 'edge = "bevelled under"'),
        ('edge = "ogee"', "is not among the choices"),
    ):
        with pytest.raises(BriefError, match=words) as caught:
            parse_brief(BRIEF + wrong)
        assert len(caught.value.problems) == 1
    astray = BRIEF.replace("[wood]", 'edge_size = "3 mm"\n[wood]')
    with pytest.raises(BriefError, match=r"belongs below \[top\]"):
        parse_brief(astray)


def test_without_an_edge_nothing_is_said_of_one() -> None:
    plain, square = (design_of(parse_brief(BRIEF + more)) for more in ("", 'edge = "square"\n'))
    assert plain.edge is None and square.edge is None
    assert answer_json(plain) == answer_json(square)
    data = json.loads(answer_json(plain))
    assert "edge" not in data and "edge" not in data["options"]
    assert not {"edge_size", "edge_volume"} & data["quantities"].keys()
    assert "bevel" not in work_text(plain, 88)


def test_the_json_of_a_bevel() -> None:
    data = json.loads(answer_json(design_of(parse_brief(BRIEF + 'edge = "bevelled under"\n'))))
    edge = data["edge"]
    assert edge["profile"] == data["options"]["edge"] == "bevelled under"
    assert edge["rim_thickness"] + edge["edge_height"] == pytest.approx(32)
    assert edge["underside_radius"] + edge["edge_size"] == pytest.approx(500)
    assert edge["against_grain"].keys() == {"face down"}
    tasks = [task["key"] for task in data["order_of_work"]]
    assert tasks.index("rout_bevel") < tasks.index("cut_round") < tasks.index("plane_bevel")
    assert tasks.index("plane_bevel") < tasks.index("ease_rim") < tasks.index("sand_top")
    assert {"edge_room", "edge_screws", "rim_thickness"} <= {one["id"] for one in data["checks"]}


def test_the_json_of_rounded_arrises() -> None:
    data = json.loads(answer_json(design_of(parse_brief(BRIEF + 'edge = "rounded"\n'))))
    assert data["edge"]["passes"] == 2 and "steps" not in data["edge"]
    assert data["edge"]["against_grain"].keys() == {"face down", "face up"}
    (task,) = (one for one in data["order_of_work"] if one["key"] == "round_arrises")
    # by hand: 20 minutes to set up and 2 for each metre, two arrises of π · 1 m, two passes each
    assert task["hands_on"] == pytest.approx(20 + 2 * 4 * math.pi, rel=1e-4)


@pytest.mark.parametrize("edge", [name for name, one in EDGES.items() if one.shaped])
def test_in_inches_no_millimetre_is_shown(edge: str) -> None:
    design = design_of(parse_brief(INCHES + f'edge = "{edge}"\n'))
    assert design.edge is not None
    shown = f"{design.edge.text()}\n{work_text(design, 88)}\n{card_text(card(design))}"
    assert " mm" not in shown and edge in shown
    ink = profile(design.edge)
    assert not any("mm" in label.text or "." in label.text for label in ink.labels)


@each("brief", [BRIEF, INCHES], ids=["mm", "in"])
@each("scale", PROFILE_SCALES)
@each("edge", [name for name, one in EDGES.items() if one.shaped])
def test_the_profile_is_legible_at_every_scale(edge: str, scale: float, brief: str) -> None:
    design = design_of(parse_brief(brief + f'edge = "{edge}"\n'))
    assert overlapping(profile(design.edge, scale)) == []


@each("brief", [BRIEF, INCHES], ids=["mm", "in"])
@each("paper", [A4, A4_ACROSS], ids=["upright", "across"])
@each("edge", [name for name, one in EDGES.items() if one.shaped])
def test_the_profile_is_full_size_beside_the_trammel(edge: str, paper, brief: str) -> None:
    design = design_of(parse_brief(brief + f'edge = "{edge}"\n'))
    layout = lay_out_trammel(design.sheet, paper, design.trammel, design.edge)
    assert overlapping(layout.ink) == []
    said = [label.text for label in layout.ink.labels]
    assert any(text.startswith(f"edge: {edge}, full size") for text in said)
    ink = profile(design.edge)
    line = max(ink.lines["visible"], key=len)
    heights = [y for _, y in line]
    assert max(heights) - min(heights) == pytest.approx(design.sheet.number("top_thickness"))
    flat = [x for x, y in line if y == 0.0]
    assert max(flat) == pytest.approx(-design.sheet.number("edge_size"))
