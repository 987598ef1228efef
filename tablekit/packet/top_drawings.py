"""The drawings of a top, each with its name and what it shows, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.design import Design
    from tablekit.drawing.style import Paper


class Draw(Protocol):
    """Draws on a sheet of paper; raises ValueError where that is too small."""

    def __call__(self, paper: Paper = ...) -> Figure:
        """The figure; on A4 where no paper is named."""
        ...


Named = tuple[str, str, Draw]  # what it shows, name of its files, the drawing


def top_drawings(design: Design) -> Iterator[Named]:
    """Layout of the boards and, for more than one strip, glue-up and end grain; none without
    boards, or where they fall short."""
    found, sheet = design.boards, design.sheet
    if found is None or found.layout is None:
        return
    # Imported here: drawing takes a second to load.
    from tablekit.drawing.board_layout import LayoutSubject, draw_board_layout
    from tablekit.drawing.end_grain import draw_end_grain
    from tablekit.drawing.glue_up import draw_glue_up
    from tablekit.drawing.style import A4

    it = LayoutSubject(found.layout, sheet.name, sheet.number("top_diameter"), sheet.shop_style)
    yield (
        "The boards for the top, with its circle on them.",
        "board-layout",
        lambda paper=A4: draw_board_layout(it, paper=paper),
    )
    glued = design.joints
    if glued is None or glued.glue is None:
        return
    yield (
        "Gluing up: strips, clamps and tenons seen from above.",
        "glue-up",
        lambda paper=A4: draw_glue_up(it, glued, paper=paper),
    )
    yield (
        "End grain of the strips, and their cup in the driest and the dampest air.",
        "end-grain",
        lambda paper=A4: draw_end_grain(it, glued, paper=paper),
    )


def round_drawings(design: Design) -> Iterator[Named]:
    """Movement, rim and fastening, of any top that has them."""
    from tablekit.drawing.fixing import draw_fixing
    from tablekit.drawing.movement import draw_movement
    from tablekit.drawing.style import A4
    from tablekit.drawing.trammel import draw_trammel

    sheet = design.sheet
    if sheet.get("top_movement") is not None:
        yield (
            "The top over the seasons, its change of shape drawn larger.",
            "movement",
            lambda paper=A4: draw_movement(sheet, paper=paper),
        )
    if design.trammel is not None:
        yield (
            "The trammel board, the passes of the router and the quarters against the grain.",
            "trammel",
            lambda paper=A4: draw_trammel(sheet, paper=paper, plan=design.trammel),
        )
    if design.fixing is not None:
        yield (
            "The fastening of the top, seen from below.",
            "fixing",
            lambda paper=A4: draw_fixing(sheet, paper=paper, plan=design.fixing),
        )
