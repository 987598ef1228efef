"""How long the drawing takes. Run by name, on a quiet machine: pytest tests/benchmarks."""

from tablekit.drawing.general import GeneralDrawing
from tablekit.drawing.live import LiveView
from tablekit.drawing.outline import FRONT, PLAN, outline
from tablekit.drawing.views import subject
from tablekit.solids.model import build
from tests.drawing.designs import TABLE, designs, sheet


def test_solids(benchmark):
    assert len(benchmark(build, designs()["table"]).posts) == 3


def test_hidden_lines_of_both_views(benchmark):
    model = build(designs()["table"])

    def both():
        glass = [len(model.bodies) - 1]
        return (
            outline(model.bodies, FRONT, model.joints, ()),
            outline(model.bodies, PLAN, model.joints, glass),
        )

    assert len(benchmark(both)[0]) == 7


def test_hidden_lines_of_both_views_with_all_dashes(benchmark):
    model = build(designs()["table"])
    found = benchmark(lambda: [outline(model.bodies, view, model.joints) for view in (FRONT, PLAN)])
    assert len(found) == 2


def test_both_pictures(benchmark):
    assert len(benchmark(subject, designs()["table"]).front.posts) == 3


def test_a_slider_s_move(benchmark):
    view = LiveView(GeneralDrawing)
    sheets = [sheet("Trial", **{**TABLE, "table_height": 700 + k}) for k in range(40)]
    place = 0

    def move():
        nonlocal place
        place = (place + 1) % len(sheets)
        view.update(sheets[place])
        return view.png()

    assert benchmark(move).startswith(b"\x89PNG")
