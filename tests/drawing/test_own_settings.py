"""Drawings do not follow the settings that a user has for plots of their own."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import matplotlib
import pypdf
import pytest
from matplotlib import rc_context

from tablekit.brief import parse_brief
from tablekit.drawing import general, style
from tablekit.drawing.general import GeneralDrawing
from tablekit.drawing.ink import InkedSheet
from tablekit.drawing.svg import svg_bytes
from tablekit.drawing.templates import LETTER_TEMPLATE, save_pdf
from tablekit.drawing.views import subject
from tablekit.panels.stills import _still
from tablekit.setting_out import set_out
from tests.faults import kit

POINTS_IN_AN_INCH, MM_IN_AN_INCH = 72, 25.4  # ISO 32000-1, 8.3.2.3; ISO 80000-3
# As makers of plots may well have them.
FOREIGN = {
    "savefig.bbox": "tight", "savefig.facecolor": "black", "figure.facecolor": "black",
    "text.color": "red", "font.size": 30, "font.family": "serif", "path.sketch": (5, 50, 2),
    "lines.antialiased": False, "svg.fonttype": "none", "pdf.compression": 0,
    "figure.autolayout": True, "path.simplify": False, "savefig.transparent": True,
    "patch.linewidth": 9, "axes.facecolor": "red", "figure.dpi": 33, "savefig.dpi": 33,
    "text.usetex": True,
}  # fmt: skip


@pytest.fixture(scope="module")
def sheet():
    return set_out(parse_brief(kit.BRIEF))


def everything(sheet, folder: Path) -> dict[str, bytes]:
    folder.mkdir()
    save_pdf(sheet, folder / "templates.pdf", LETTER_TEMPLATE)
    figure = general.draw_general(sheet)
    for ending in (".svg", ".pdf", ".png"):
        style.save(figure, folder / f"general{ending}")
    on_paper = general.lay_out(subject(sheet), style.A4).ink
    for kept in (True, False):
        written = svg_bytes(InkedSheet(on_paper, style.A4), letters=kept)
        (folder / f"web-{kept}.svg").write_bytes(written)
    (folder / "still.png").write_bytes(_still(figure, "the drawing").data)
    (folder / "by-the-user.png").write_bytes(b"")
    figure.savefig(folder / "by-the-user.png", metadata={"Software": None})
    from tablekit.drawing.live import LiveView

    view = LiveView(GeneralDrawing)
    view.update(sheet)
    (folder / "live.png").write_bytes(view.png())
    return kit.contents(folder)


def test_the_same_bytes_whatever_is_set(sheet, tmp_path):
    before = everything(sheet, tmp_path / "before")
    with rc_context(FOREIGN):
        kept = dict(matplotlib.rcParams)
        after = everything(sheet, tmp_path / "after")
        assert dict(matplotlib.rcParams) == kept  # and a user's own plots stay as they were
    assert [name for name in before if before[name] != after[name]] == []


def test_a_template_on_letter_paper_is_a_letter_page(sheet, tmp_path):
    """8 1/2 by 11 in: ANSI/ASME Y14.1, size A; from memory."""
    with rc_context({"savefig.bbox": "tight"}):
        save_pdf(sheet, tmp_path / "t.pdf", LETTER_TEMPLATE)
    for page in pypdf.PdfReader(tmp_path / "t.pdf").pages:
        size = float(page.mediabox.width), float(page.mediabox.height)
        assert size == pytest.approx((8.5 * POINTS_IN_AN_INCH, 11 * POINTS_IN_AN_INCH), abs=0.01)


def test_every_figure_is_one_of_these():
    """No other way to make or write one is left in the package."""
    for path in (Path(style.__file__).parents[1]).rglob("*.py"):
        if path.name == "own_figure.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = ast.unparse(node.func).split(".")[-1]
                assert name not in ("Figure", "NewFigure", "rc_context", "figure"), path
            if isinstance(node, ast.ImportFrom | ast.Import):
                assert not any(alias.name.endswith("pyplot") for alias in node.names), path


@pytest.mark.slow
@pytest.mark.parametrize("backend", ["nonsense"])
def test_a_packet_whatever_the_environment_and_the_files_of_a_user_say(tmp_path, backend):
    brief, rc = tmp_path / "brief.toml", tmp_path / "matplotlibrc"
    brief.write_text(kit.BRIEF)
    rc.write_text("text.usetex: True\nsavefig.bbox: tight\nno.such.key: 1\nfont.size: large\n")
    own = kit.environment(MPLBACKEND=backend, MATPLOTLIBRC=str(rc))
    done = kit.run("set-out", brief, "--out", tmp_path / "p", env=own)
    assert done.returncode == 0, done.stderr
    assert kit.whole(tmp_path / "p") and b"Traceback" not in done.stderr
    letter = [216, 279]  # mm, to the nearest
    templates = pypdf.PdfReader(next((tmp_path / "p").glob("*etter*.pdf")))
    for page in templates.pages:
        box = page.mediabox
        size = [float(s) / POINTS_IN_AN_INCH * MM_IN_AN_INCH for s in (box.width, box.height)]
        assert [round(s) for s in size] == letter


def test_what_a_user_asked_to_show_windows_by_stays(tmp_path):
    script = "import tablekit.drawing, matplotlib; print(matplotlib.rcParams['backend'])"
    own = kit.environment(MPLBACKEND="svg")
    done = subprocess.run([sys.executable, "-c", script], env=own, capture_output=True, text=True)
    assert done.stdout.strip() == "svg", done.stderr
    assert os.environ.get("MPLBACKEND") != "svg"
