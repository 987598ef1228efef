"""The pictures of the README: one drawn by the kit, one of its real screen.

python -m tests.pictures
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from tablekit.brief import read_brief
from tablekit.drawing.general import draw_general
from tablekit.drawing.style import SCREEN, save
from tablekit.setting_out import set_out

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "reference" / "pictures"
README_PICTURE = PICTURES / "reading-room-table.svg"
HEIGHT = 560  # of what is shown of the panel; tables go on below
SCREEN_PICTURE = PICTURES / "setting-out-panel.png"


def draw(path: Path) -> None:
    """The general arrangement of the shipped brief."""
    sheet = set_out(read_brief(ROOT / "notebooks" / "briefs" / "reading-room-table.toml"))
    path.parent.mkdir(exist_ok=True)
    save(draw_general(sheet, paper=SCREEN), path)


def photograph(path: Path) -> None:
    """The setting-out panel as a browser shows it, in the app without code."""
    from playwright.sync_api import sync_playwright

    from tests.browser.chromium import browser_of
    from tests.browser.places import WIDTHS, in_app

    with (
        TemporaryDirectory() as folder,
        sync_playwright() as playwright,
        in_app(browser_of(playwright), Path(folder)) as place,
    ):
        place.size(WIDTHS["desktop"])
        place.page.set_viewport_size({"width": WIDTHS["desktop"], "height": 2 * HEIGHT})
        box = place.panel.whole.bounding_box()
        assert box is not None
        shown = {"x": box["x"], "y": box["y"], "width": box["width"], "height": HEIGHT}
        place.page.screenshot(path=str(path), clip=shown)


if __name__ == "__main__":
    draw(README_PICTURE)
    photograph(SCREEN_PICTURE)
    print(README_PICTURE, SCREEN_PICTURE, sep="\n")
