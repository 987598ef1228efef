"""The notches of the sheet's JSON."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from tablekit.planning.post_marks import NOTCHED, notches_json
from tablekit.planning.setting_out_posts import post_marks
from tablekit.relations.families import network
from tablekit.solids.model import build
from tests.drawing.designs import designs
from tests.planning.test_setting_out_posts import frame, two_notches

KEYS = {"post", "centre_from_lower_end", "width", "depth", "wall_angle", "notch_floor_tilt", "shop"}


def test_the_square_crossing():
    """crossing.md: 1000 x 64 x 64 mm posts, half let in."""
    sheet = network("table").solve({"post_length": 1000, "post_section": 64, "top_diameter": 900})
    found = notches_json(sheet)
    assert found is not None and [n["post"] for n in found] == [1, 2, 3]
    for notch in found:
        assert set(notch) >= KEYS
        assert (notch["centre_from_lower_end"], notch["width"], notch["depth"]) == (500, 64, 32)
        assert (notch["wall_angle"], notch["notch_floor_tilt"]) == (90, 0)
        assert notch["shop"] == (
            "centre 500 mm from the foot end, 64 mm along the post, 32 mm deep; walls square, "
            "floor parallel to the face"
        )
    assert [n["guest"] for n in found] == [2, 3, 1]


@pytest.mark.parametrize("name", ["stool", "steep", "low in inches, down"])
def test_a_compound_notch_against_vectors(name):
    sheet = designs()[name]
    (first, *_) = notches_json(sheet)
    model = build(sheet)
    host, guest = model.along[0], model.along[1]
    # reference/derivations/crossing.md: walls run at the angle between the posts; the floor
    # tilts by asin(cos/(1 + cos)).
    cos = host @ guest
    assert first["wall_angle"] == pytest.approx(np.degrees(np.arccos(cos)), abs=1e-8)
    assert first["notch_floor_tilt"] == pytest.approx(
        np.degrees(np.arcsin(cos / (1 + cos))), abs=1e-8
    )
    start, axes = frame(sheet, model, 0)
    middle = axes @ (model.notch_centres[0] - start)
    assert first["centre_from_lower_end"] == pytest.approx(middle[0], abs=1e-8)
    (notched,) = [a for a in post_marks(sheet)[0].areas if a.kind == "notch" and a.face == NOTCHED]
    along = [x for x, _ in notched.corners]
    assert first["width"] == pytest.approx(along[3] - along[0])
    assert "°" in first["shop"] and (" in " in first["shop"]) == ("inches" in name)


def test_two_notches_and_the_longer_one():
    plain = notches_json(two_notches())
    assert plain is not None and len(plain) == 6
    assert [(n["post"], n["face"]) for n in plain[:2]] == [
        (1, "upper notched"), (1, "lower notched"),
    ]  # fmt: skip
    assert {n["guest"] for n in plain if n["post"] == 1} == {2, 3}
    longer = notches_json(two_notches(32.0))
    assert longer is not None
    changed = [k for k in range(6) if longer[k] != plain[k]]
    assert changed == [0]
    assert longer[0]["width"] - plain[0]["width"] == pytest.approx(32)
    moved = longer[0]["centre_from_lower_end"] - plain[0]["centre_from_lower_end"]
    assert moved == pytest.approx(-16)


def test_two_notches_are_square_even_where_the_splay_was_rounded():
    """54.74 degrees is how a maker writes the square crossing (ISO 5456-3, quoted)."""
    given = {"post_length": 1000, "post_section": 64, "top_diameter": 900, "splay": 54.74}
    found = notches_json(network("table", crossing="two notches").solve(given))
    assert found is not None
    assert {(n["wall_angle"], n["notch_floor_tilt"]) for n in found} == {(90.0, 0.0)}


def test_the_left_hand_takes_in_the_other_neighbour():
    sheet = network("table", hand="left").solve(
        {"post_length": 1000, "post_section": 64, "top_diameter": 900}
    )
    assert [n["guest"] for n in notches_json(sheet)] == [3, 1, 2]


def test_it_loads_neither_matplotlib_nor_the_solids():
    code = (
        "import sys; import tablekit.planning.post_marks; "
        "print([m for m in ('matplotlib', 'manifold3d', 'scipy') if m in sys.modules])"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert said.stdout.strip() == "[]"
