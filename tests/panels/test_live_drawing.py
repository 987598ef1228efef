"""The drawing as a control, driven as its page drives it: by its traits and its messages."""

from __future__ import annotations

import json
import struct

import pytest

from tablekit.brief import parse_brief
from tablekit.drawing.packed import PER_MM
from tablekit.panels.live_drawing import PX_PER_MM, LiveSheet
from tablekit.panels.row import NO_VALUE
from tablekit.panels.set_out import SetOutPanel
from tablekit.panels.standing import StandingPanel
from tests.panels.no_symbols import no_symbolic_solver

BRIEF = """
name = "Trial table"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture
def panel() -> SetOutPanel:
    return SetOutPanel(parse_brief(BRIEF))


def drag(picture: LiveSheet, name: str, number: float) -> None:
    """As a page tells of a dimension in a hand."""
    count = picture.control.moved[2]
    picture.control.set_state({"moved": [name, number, count + 1]})


def ask(picture: LiveSheet, what: str, name: str, text: str = "") -> None:
    """As a page sends what was clicked or typed."""
    picture.control._handle_custom_msg({"do": what, "name": name, "text": text}, [])


def told(picture: LiveSheet, name: str) -> tuple[str, str]:
    """Text and origin of a dimension."""
    text, origin, _ = picture.control.sizes[name]
    return text, origin


def head_of(picture: LiveSheet) -> dict:
    (length,) = struct.unpack_from("<I", picture.value)
    return json.loads(picture.value[4 : 4 + length])


def test_a_dimension_says_what_it_is_and_where_it_is_from(panel: SetOutPanel) -> None:
    assert told(panel.picture, "table_height") == ("735 mm", "given")
    assert told(panel.picture, "splay")[1] == "assumed"
    assert told(panel.picture, "foot_radius")[1] == "found"
    about = panel.picture.control.about["table_height"]
    assert about["words"] == "table height" and "floor" in about["meaning"]
    assert about["low"] == 350 and about["high"] == 1100  # where its slider runs


def test_a_given_is_dragged_and_the_rest_follows(panel: SetOutPanel) -> None:
    before, frame = panel.sheet.number("post_length"), panel.picture.value
    with no_symbolic_solver():
        drag(panel.picture, "table_height", 745.2)
    assert panel.sheet.number("table_height") == 745  # to the half millimetres of the rule
    # Ten millimetres of height are √3 times as much of post (reference/derivations/crossing.md).
    assert panel.sheet.number("post_length") - before == pytest.approx(10 * 3**0.5, rel=1e-12)
    assert panel.rows["table_height"].text.value == "745 mm"
    assert told(panel.picture, "table_height") == ("745 mm", "given")
    assert panel.picture.value != frame
    panel.undo.click()
    assert panel.sheet.number("table_height") == 735


def test_what_is_calculated_cannot_be_dragged(panel: SetOutPanel) -> None:
    state = panel.state
    for name in ("foot_radius", "splay", "no_such_thing"):
        drag(panel.picture, name, 500.0)
    assert panel.state is state and panel.undo.disabled


def test_it_is_given_and_released_in_the_drawing(panel: SetOutPanel) -> None:
    assert "foot_radius" not in panel.rows
    ask(panel.picture, "release", "top_diameter")
    assert not panel.answered
    ask(panel.picture, "give", "overhang")
    assert panel.answered and told(panel.picture, "overhang")[1] == "given"
    assert panel.rows["overhang"].switch.value
    ask(panel.picture, "release", "table_height")
    ask(panel.picture, "give", "foot_radius")
    assert panel.answered and "foot_radius" in panel.rows  # a row of its own from now on
    assert panel.rows["foot_radius"].widget in panel.controls.children
    state = panel.state
    ask(panel.picture, "give", "no_such_thing")
    ask(panel.picture, "burn", "overhang")
    assert panel.state is state


def test_a_size_is_typed_in_any_unit(panel: SetOutPanel) -> None:
    ask(panel.picture, "type", "table_height", "28 7/8 in")
    assert panel.sheet.number("table_height") == 28.875 * 25.4  # exact: the inch is 25.4 mm
    ask(panel.picture, "type", "table_height", "tall")
    assert '"tall"' in panel.picture.control.refused
    assert panel.answered and panel.sheet.number("table_height") == 28.875 * 25.4
    ask(panel.picture, "type", "table_height", "70 cm")
    assert panel.picture.control.refused == "" and panel.sheet.number("table_height") == 700


def test_in_a_contradiction_a_dimension_says_what_is_given(panel: SetOutPanel) -> None:
    frame = panel.picture.value
    ask(panel.picture, "type", "splay", "54.7 deg")
    ask(panel.picture, "type", "foot_radius", "100 mm")
    assert not panel.answered and panel.picture.control.refused
    assert told(panel.picture, "foot_radius") == ("100 mm", "given")
    assert told(panel.picture, "overhang") == (NO_VALUE, "found")
    last = panel.picture.value
    drag(panel.picture, "table_height", 740.0)
    assert panel.picture.value == last != frame  # the last design stays
    assert told(panel.picture, "table_height") == ("740 mm", "given")
    ask(panel.picture, "release", "foot_radius")
    assert panel.answered and panel.picture.control.refused == ""


def test_an_inch_brief_moves_by_the_marks_of_its_rule(panel: SetOutPanel) -> None:
    panel.display.value = "in"
    about = panel.picture.control.about["table_height"]
    assert about["step"] == 25.4 / 32
    before = panel.sheet.number("table_height")
    drag(panel.picture, "table_height", before + about["step"])
    assert panel.sheet.number("table_height") > before


@pytest.mark.parametrize("room", [320, 360, 540, 640, 660, 780, 960])
def test_letters_are_large_enough_in_any_column(panel: SetOutPanel, room: int) -> None:
    panel.picture.control.set_state({"room": room})
    head = head_of(panel.picture)
    assert head["paper"][0] == pytest.approx(room / PX_PER_MM * PER_MM, abs=1)
    pixels_per_unit = room / head["paper"][0]
    assert min(label[5] for label in head["labels"]) * pixels_per_unit >= 11
    # The drawing keeps its proportions, whatever the column: the paper is as wide as that.
    wide, high = head["paper"]
    assert 0.5 < high / wide < 1.5


def test_a_column_too_narrow_for_the_drawing_gets_a_wider_one(panel: SetOutPanel) -> None:
    """Which its page scrolls: letters are never made smaller."""
    panel.picture.control.set_state({"room": 200})
    assert panel.trouble.value == ""
    head = head_of(panel.picture)
    assert head["paper"][0] > 200 / PX_PER_MM * PER_MM
    panel.rows["table_height"].slider.value = 745
    assert panel.answered and panel.trouble.value == ""


def test_a_page_that_shows_it_needs_no_picture(panel: SetOutPanel) -> None:
    assert "data:image/svg+xml;base64," in panel.picture.still.value
    assert panel.picture.how.layout.display == "none"  # a picture cannot be clicked
    panel.rows["table_height"].slider.value = 740
    first = panel.picture.still.value
    panel.rows["table_height"].slider.value = 750
    assert panel.picture.still.value != first  # it follows where there is no other
    panel.picture.control.set_state({"room": 700})
    panel.rows["table_height"].slider.value = 760
    assert panel.picture.still.value == "" and panel.picture.how.layout.display is None


def test_every_size_is_worked_out_once_it_is_opened(panel: SetOutPanel) -> None:
    assert panel.found.value == ""
    panel.every_size.selected_index = 0
    assert panel.sheet.shop("tipping_load").replace(" ", "\u00a0") in panel.found.value


def test_the_load_that_tips_it_can_be_asked_for_in_the_drawing() -> None:
    panel = StandingPanel(parse_brief(BRIEF))
    drag(panel.picture, "wanted_tipping_load", 260.0)
    assert panel.sheet.number("wanted_tipping_load") == 260
    drag(panel.picture, "top_diameter", 1000.0)
    assert panel.sheet.number("top_diameter") == 1000
    ask(panel.picture, "type", "tipping_load", "300 N")
    assert panel.answered and panel.rows["tipping_load"].text.value == "300 N"
    # By moments about the line through two feet: half the feet's radius inside it the weight, the
    # load at the rim outside it. Standard gravity 9.80665 m/s² (ISO 80000-3).
    arm = panel.sheet.number("foot_radius") / 2
    weight = 9.80665 * panel.sheet.number("total_mass")
    assert weight * arm / (500.0 - arm) == pytest.approx(300.0, rel=1e-9)
    ask(panel.picture, "release", "tipping_load")
    assert told(panel.picture, "tipping_load")[1] == "found"


class Page:
    """A connection to a page that keeps what is sent."""

    kernel = True

    def __init__(self, comm_id: str, sent: list[dict]) -> None:
        self.comm_id, self.sent = comm_id, sent

    def send(self, data=None, metadata=None, buffers=None) -> None:
        self.sent.append({**data, "buffers": buffers or []})

    def close(self, *_, **__) -> None:
        """Nothing to be done."""

    on_msg = close


def test_a_step_is_one_message_that_carries_what_the_rows_show(panel: SetOutPanel) -> None:
    panel.picture.control.set_state({"room": 760})
    sent: list[dict] = []
    rows = panel.rows.values()
    for part in (panel.picture.control, *(part for row in rows for part in row.carried)):
        part.comm = Page(part.model_id, sent)
    panel._moment.later = panel._rest.later = lambda: None  # type: ignore[method-assign]
    panel.rows["table_height"].slider.set_state({"value": 750.0})
    updates = [one for one in sent if one["method"] == "update"]
    assert updates == sent  # nor is the page told what it has said itself
    assert len(updates) == 1 and [len(one) > 5000 for one in updates[0]["buffers"]] == [True]
    count, carried = updates[0]["state"]["others"]
    length = panel.rows["post_length"]
    assert carried[length.text.model_id] == {"value": length.text.value}
    assert carried[length.slider.model_id] == {"value": length.slider.value}
    assert panel.rows["table_height"].slider.model_id not in carried  # it is in a hand
    # What is typed is answered by each control itself, as ever.
    panel.rows["table_height"].text.set_state({"value": "760 mm"})
    assert panel.picture.control.others[0] == count
    assert {"value": length.text.value} in [one.get("state") for one in sent]


def test_what_follows_once_a_hand_rests_is_short(panel: SetOutPanel) -> None:
    """What is folded is not sent. A quarter of what a frame takes."""
    sent: list[dict] = []
    parts = (panel.main, panel.card, panel.checks.attention, panel.checks.folds)
    folded = panel.checks.folds.children
    for part in (*parts, *folded, panel.found, panel.working):
        part.comm = Page(part.model_id, sent)
    panel.rows["table_height"].slider.value = 750.0
    assert sum(len(json.dumps(one["state"])) for one in sent) < 6000
    assert all(part.value == "" for part in folded)
    panel.checks.folds.selected_index = 0
    assert "✓ pass" in folded[0].value and folded[1].value == ""
