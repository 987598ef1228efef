"""Two sheets side by side."""

from __future__ import annotations

from math import sqrt

import pytest

from tablekit.engine.trouble import UnknownName
from tablekit.planning.compare import CUTTABLE, compare
from tablekit.relations.families import network

GIVEN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def sheet(**given: float):
    return network("table").solve({**GIVEN, **given}, name="Try")


def changes(before, after):
    return {one.name: one for one in compare(before, after).changes}


def test_a_lower_table_takes_root_three_off_each_post() -> None:
    # GEOMETRY of the square crossing: one off the height is √3 off each post.
    found = changes(sheet(), sheet(table_height=725.0))
    length = found["post_length"]
    assert length.before - length.after == pytest.approx(10 * sqrt(3))
    assert found["table_height"].asked and not length.asked
    assert "post_section" not in found and "splay" not in found


def test_a_sheet_against_itself_has_no_changes() -> None:
    found = compare(sheet(), sheet())
    assert found.changes == () and found.checks == () and found.only == ((), ())
    assert found.serves


def test_checks_that_change_are_told() -> None:
    found = compare(sheet(), sheet(splay=60.0))
    verdicts = {name: (before, after) for name, before, after in found.checks}
    assert verdicts["assembly"][0] == "pass"
    assert verdicts["assembly"][1] != "pass"
    assert verdicts["square or compound notch"] == ("pass", "caution")


@pytest.mark.parametrize(
    ("height", "verdict", "words"),
    [
        (735.0, "serves as it is", "use it as it is"),
        (725.0, "can be cut to serve", "take off 17.5 mm"),
        (745.0, "must be made anew", "17.5 mm too small"),
    ],
)
def test_wood_comes_off_a_post_and_does_not_go_on(height: float, verdict: str, words: str) -> None:
    part = compare(sheet(), sheet(table_height=height), ["post_length"]).cut[0]
    assert part.verdict == verdict and words in part.words


@pytest.mark.parametrize(
    ("offset", "verdict"), [(36.0, "must be made anew"), (28.0, "can be cut to serve")]
)
def test_a_notch_goes_deeper_and_not_shallower(offset: float, verdict: str) -> None:
    # notch_depth is section − offset: 32 mm as cut, 28 or 36 wanted.
    found = compare(sheet(axis_offset=32.0), sheet(axis_offset=offset), ["notch_depth"])
    assert found.cut[0].verdict == verdict
    assert found.serves == (verdict != "must be made anew")


def test_a_notch_comes_nearer_when_the_lower_end_is_sawn_off() -> None:
    before, after = sheet(), sheet(table_height=725.0)
    near = compare(before, after, ["post_length", "notch_position"]).cut[1]
    assert near.verdict == "can be cut to serve" and "off the foot end" in near.words
    # The same post cannot lend more at its foot end than it has to spare in all.
    far = sheet(table_height=725.0, notch_position=before.number("notch_position") - 30.0)
    assert compare(before, far, ["notch_position"]).cut[0].verdict == "must be made anew"
    up = sheet(notch_position=before.number("notch_position") + 5.0)
    assert "too near the foot end" in compare(before, up, ["notch_position"]).cut[0].words


def test_a_table_and_a_stool_on_legs_share_little() -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}, name="Stool"
    )
    found = compare(sheet(), stool)
    assert "post_length" in found.only[0] and "leg_length" in found.only[1]
    with pytest.raises(UnknownName, match="Stool has no post_length"):
        compare(sheet(), stool, ["post_length"])


def test_what_is_not_cut_is_refused_with_what_is() -> None:
    with pytest.raises(UnknownName, match="post_length"):
        compare(sheet(), sheet(), ["tipping_load"])
    assert "tipping_load" not in CUTTABLE


def test_plain_data() -> None:
    import json

    found = compare(sheet(), sheet(table_height=725.0), ["post_length"])
    data = json.loads(json.dumps(found.to_json()))
    assert data["changes"]["table_height"] == {
        "before": 735.0, "after": 725.0, "unit": "mm", "asked": True,
    }  # fmt: skip
    assert data["cut"][0]["verdict"] == "can be cut to serve" and data["serves"]
