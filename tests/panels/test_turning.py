"""The view to be turned about, driven by its traits as a browser would drive them."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.drawing import style
from tablekit.engine.trouble import DesignError
from tablekit.panels.turning import TurningView
from tablekit.relations.families import network
from tablekit.solids.export import surfaces
from tablekit.solids.pulling import pulled_apart

GIVEN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


@cache
def sheet(crossing: str = "one notch", name: str = "Trial <b>table</b>", **more: float):
    return network("table", crossing=crossing).solve({**GIVEN, **more}, name=name)


@pytest.fixture
def view() -> TurningView:
    return TurningView(sheet())


def shift(view: TurningView, name: str) -> np.ndarray:
    matrix = np.array(view.meshes[name].model_matrix)
    assert np.array_equal(matrix[:3, :3], np.eye(3)) and matrix[3].tolist() == [0, 0, 0, 1]
    return matrix[:3, 3]


def test_it_opens_in_place_with_every_part(view):
    parts = {part.name: part for part in surfaces(sheet())}
    assert view.slider.value == 0
    assert view.meshes.keys() == parts.keys()
    for name, part in parts.items():
        assert shift(view, name).tolist() == [0, 0, 0]
        assert view.meshes[name].vertices == pytest.approx(part.corners, rel=1e-6, abs=1e-4)
        assert np.array_equal(view.meshes[name].indices, part.triangles)
        assert view.meshes[name] in view.plot.objects


def test_the_slider_moves_what_is_there(view):
    before = dict(view.meshes)
    for share in (0, 40, 100):
        view.slider.value = share
        expected = pulled_apart(view.pulling.turns, share / 100)
        for part, offset in zip(view.pulling.parts, expected, strict=True):
            assert shift(view, part.name) == pytest.approx(offset, rel=1e-6, abs=1e-4)
    assert view.meshes == before
    assert np.linalg.norm(shift(view, "post 3")) > 64 and shift(view, "top")[2] > 64
    assert len(view.plot.objects) == len(before) + 3


def test_posts_are_told_apart_by_shade_and_by_number(view):
    shades = [view.meshes[f"post {k}"].color for k in (1, 2, 3)]
    assert [f"#{shade:06x}" for shade in shades] == list(style.POST_TONES)
    assert [label.text for label in view.labels] == ["1", "2", "3"]
    view.slider.value = 100
    for k, label in enumerate(view.labels):
        corners = np.array(view.meshes[f"post {k + 1}"].vertices) + shift(view, f"post {k + 1}")
        assert (corners.min(axis=0) <= label.position).all()
        assert (corners.max(axis=0) >= label.position).all()


def seen_high(view: TurningView) -> float:
    """How much of the height of the frame the parts take, the middle of the frame at its half: by
    the projection of each corner, in vectors of its own."""
    camera = np.array(view.plot.camera)
    place, target, up = camera[:3], camera[3:6], camera[6:]
    ahead = (target - place) / np.linalg.norm(target - place)
    across = np.cross(ahead, up) / np.linalg.norm(np.cross(ahead, up))
    above = np.cross(across, ahead)
    corners = np.concatenate(
        [np.array(mesh.vertices, float) + shift(view, name) for name, mesh in view.meshes.items()]
    )
    sight = corners - place
    slope = np.abs(sight @ above / (sight @ ahead)).max()
    return float(slope / np.tan(np.radians(view.plot.camera_fov / 2)))


@pytest.mark.parametrize("share", [0, 40, 100])
def test_the_parts_fill_the_frame_in_place_and_apart(view, share):
    view.slider.value = share
    assert 0.6 < seen_high(view) < 1.0
    near = seen_high(view)
    view.zoom.value = 150
    assert seen_high(view) > 1.3 * near
    view.zoom.value = 100
    assert seen_high(view) == pytest.approx(near)


def test_the_camera_stays_where_the_maker_turned_it(view):
    assert view.plot.camera_auto_fit is False and view.plot.camera_no_zoom
    target = np.array(view.plot.camera[3:6])
    view.plot.camera = [*(target + np.array([0.0, -3000.0, 400.0])), *target, 0, 0, 1]
    view.slider.value = 70
    view.update(sheet(post_section=50.0))
    way = np.array(view.plot.camera[:3]) - view.plot.camera[3:6]
    assert way / way[1] == pytest.approx([0.0, 1.0, 400 / -3000], abs=1e-9)


def test_another_sheet_takes_the_same_meshes(view):
    before, number = dict(view.meshes), len(view.plot.objects)
    view.slider.value = 50
    bare = sheet(pad_projection=0.0)
    view.update(bare)
    assert view.meshes == before and len(view.plot.objects) == number
    hidden = [name for name, mesh in before.items() if not mesh.visible]
    assert hidden == ["pad 1", "pad 2", "pad 3"]
    post = surfaces(bare)[0]
    assert view.meshes["post 1"].vertices == pytest.approx(post.corners, rel=1e-6, abs=1e-4)
    assert view.slider.value == 50 and np.linalg.norm(shift(view, "top")) > 0
    view.update(sheet())
    assert all(mesh.visible for mesh in view.meshes.values())


def test_a_sheet_without_pads_may_come_first():
    view = TurningView(sheet(pad_projection=0.0))
    assert view.meshes.keys() == {"post 1", "post 2", "post 3", "top"}
    view.update(sheet())
    assert view.meshes["pad 3"] in view.plot.objects


def test_locked_posts_are_told_in_words():
    view = TurningView(sheet("two notches"))
    assert view.pulling.locked and "locked" in view.words.value
    assert "no hand can do that" in view.words.value and "no hand can do that" in view.text


def test_posts_that_go_together_say_how(view):
    assert "go together in the order 1, 2, 3" in view.words.value
    assert "locked" not in view.words.value


@cache
def on_legs():
    sizes = {"table_height": 735.0, "top_diameter": 800.0, "leg_diameter": 60.0}
    made = network("table", style="splayed legs", legs="four legs")
    return made.solve(sizes, name="On legs")


def test_legs_are_drawn_out_one_after_the_other_along_their_axes():
    view = TurningView(on_legs())
    assert len(view.labels) == 4 and "goes in straight along its own axis" in view.words.value
    view.slider.value = 40  # pads dropped, leg 4 out, the others in place
    for number in (1, 2, 3):
        assert not shift(view, f"leg {number}").any()
    leg = view.pulling.posts[3]
    travel = shift(view, "leg 4")
    assert np.cross(travel, leg.along) == pytest.approx(np.zeros(3), abs=1e-4)
    # Out of its socket: farther than the tenon is long.
    assert -(travel @ leg.along) > np.linalg.norm(leg.end - leg.shoulder)
    assert shift(view, "pad 4") == pytest.approx(travel + shift(view, "pad 1"), abs=1e-3)


def test_a_table_on_legs_takes_the_place_of_one_on_posts(view):
    view.update(on_legs())
    assert [name for name, mesh in view.meshes.items() if mesh.visible and "post" in name] == []
    assert sum(mesh.visible for name, mesh in view.meshes.items() if "leg" in name) == 4
    assert len(view.labels) == 4 and all(label.visible for label in view.labels)
    view.update(sheet())
    assert [label.visible for label in view.labels] == [True, True, True, False]


def test_without_a_kernel_there_are_words(view):
    bundle = view._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    assert bundle["text/plain"] == view.text
    assert "post 1, post 2, post 3" in view.text and view.pulling.words in view.text


def test_a_piece_that_cannot_be_shown_leaves_the_last_one(view):
    legs = network("table", style="splayed legs")

    class Bare:
        network, name, kind = legs, "Legs", "table"

        def get(self, name):
            return None

    words, shown = view.words.value, np.array(view.meshes["post 1"].vertices)
    with pytest.raises(DesignError, match="leg_diameter"):
        view.update(Bare())
    assert view.words.value == words
    assert np.array_equal(view.meshes["post 1"].vertices, shown)
