"""The pictures of the README, drawn by the kit: python -m tests.pictures"""

from __future__ import annotations

from pathlib import Path

from tablekit.brief import read_brief
from tablekit.drawing.general import draw_general
from tablekit.drawing.style import SCREEN, save
from tablekit.setting_out import set_out

ROOT = Path(__file__).resolve().parent.parent
README_PICTURE = ROOT / "reference" / "pictures" / "reading-room-table.svg"


def draw(path: Path) -> None:
    """The general arrangement of the shipped brief."""
    sheet = set_out(read_brief(ROOT / "notebooks" / "briefs" / "reading-room-table.toml"))
    path.parent.mkdir(exist_ok=True)
    save(draw_general(sheet, paper=SCREEN), path)


if __name__ == "__main__":
    draw(README_PICTURE)
    print(README_PICTURE)
