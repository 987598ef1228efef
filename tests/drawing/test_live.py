"""The drawing behind a slider panel."""

import io

import numpy as np

from tablekit.drawing.general import GeneralDrawing
from tablekit.drawing.live import SCREEN_DPI, LiveView
from tablekit.drawing.style import SCREEN
from tests.drawing.designs import TABLE, designs, sheet


def picture(view):
    from matplotlib.image import imread

    return imread(io.BytesIO(view.png()))


def test_the_picture_has_the_size_of_the_screen_paper():
    view = LiveView(GeneralDrawing)
    view.update(designs()["table"])
    shape = picture(view).shape
    assert shape[:2] == (
        round(SCREEN.height / 25.4 * SCREEN_DPI),
        round(SCREEN.width / 25.4 * SCREEN_DPI),
    )


def test_other_readers_see_the_same_dots():
    # Read back by matplotlib's reader, which is not the writer.
    view = LiveView(GeneralDrawing)
    view.update(designs()["table"])
    read = picture(view)
    drawn = np.asarray(view.canvas.buffer_rgba())[..., :3] / 255
    assert np.allclose(read[..., :3], drawn, atol=1e-3)
    assert 0.3 < (drawn.min(axis=2) > 0.99).mean() < 0.99  # mostly paper, but not only


def test_a_slider_s_way_and_back_gives_the_same_bytes():
    view = LiveView(GeneralDrawing)
    view.update(designs()["table"])
    first = view.png()
    view.update(designs()["stool in inches, down"])
    assert view.png() != first
    view.update(designs()["table"])
    assert view.png() == first


def test_an_updated_view_equals_a_fresh_one():
    used, fresh = LiveView(GeneralDrawing), LiveView(GeneralDrawing)
    for name in sorted(designs()):
        used.update(designs()[name])
    last = sheet("Trial", **{**TABLE, "table_height": 760})
    used.update(last)
    fresh.update(last)
    assert np.array_equal(picture(used), picture(fresh))


def test_what_is_drawn_follows_the_slider():
    view = LiveView(GeneralDrawing)
    heights = []
    for height in (700, 720, 740):
        layout = view.update(sheet("Trial", **{**TABLE, "table_height": height}))
        assert str(height) in [label.text for label in layout.ink.labels]
        pieces = np.concatenate(layout.ink.pieces["visible"])
        caption = next(label for label in layout.ink.labels if label.text == "Elevation")
        left = pieces[(pieces[..., 0] < SCREEN.width / 2).all(axis=1)]
        heights.append(np.ptp(left[..., 1]) / layout.scale)
        assert caption.y < left[..., 1].min()
    assert np.allclose(heights, [700, 720, 740])
