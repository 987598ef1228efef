"""The drawings of a top, each with its name and what it shows, in the order of the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.drawing.general import Layout
    from tablekit.drawing.style import Paper

# What it shows, the name of its files, and the drawing on a sheet of paper, which raises ValueError
# where that is too small.
Named = tuple[str, str, Callable[["Paper"], "Layout"]]


def top_drawings(design: Design) -> Iterator[Named]:
    """Layout of the boards and, for more than one strip, glue-up and end grain; none without
    boards, or where they fall short."""
    found, sheet = design.boards, design.sheet
    if found is None or found.layout is None:
        return
    # Imported here: drawing takes a second to load.
    from tablekit.drawing.board_cuts import lay_out_board_cuts
    from tablekit.drawing.board_layout import LayoutSubject, lay_out_drawing
    from tablekit.drawing.end_grain import EndGrainSubject, lay_out_end_grain
    from tablekit.drawing.glue_up import GlueUpSubject, lay_out_glue_up

    it = LayoutSubject(found.layout, sheet.name, sheet.number("top_diameter"), sheet.shop_style)
    yield (
        "The boards for the top, with its circle on them.",
        "board-layout",
        partial(lay_out_drawing, it),
    )
    yield (
        "Each board lying flat, with its cuts, the zones to avoid and what is left.",
        "board-cuts",
        partial(lay_out_board_cuts, it),
    )
    glued = design.joints
    if glued is None or glued.glue is None:
        return
    yield (
        "Gluing up: strips, clamps and tenons seen from above.",
        "glue-up",
        partial(lay_out_glue_up, GlueUpSubject(it, glued)),
    )
    ends = EndGrainSubject(it, glued.rings, glued.thickness)
    yield (
        "End grain of the strips, and their cup in the driest and the dampest air.",
        "end-grain",
        partial(lay_out_end_grain, ends),
    )


def round_drawings(design: Design) -> Iterator[Named]:
    """Movement, rim and fastening, of any top that has them."""
    from tablekit.drawing.fixing import lay_out_fixing
    from tablekit.drawing.movement import lay_out_movement
    from tablekit.drawing.trammel import lay_out_trammel

    sheet = design.sheet
    if sheet.get("top_movement") is not None:
        yield (
            "The top over the seasons, its change of shape drawn larger.",
            "movement",
            partial(lay_out_movement, sheet),
        )
    if design.trammel is not None:
        yield (
            "The trammel board, the passes of the router and the quarters against the grain.",
            "trammel",
            partial(lay_out_trammel, sheet, plan=design.trammel, edge=design.edge),
        )
    if design.fixing is not None:
        yield (
            "The fastening of the top, seen from below.",
            "fixing",
            partial(lay_out_fixing, sheet, plan=design.fixing),
        )
