"""The panel of a top as it was glued: whether the round still fits on it, and where.

Proofs: `reference/derivations/boards_to_round.md`, "the panel as glued". Widths are measured across
the strips; places on the panel from the outer edge of its first strip.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations.boards import (
    DERIVATION,
    ROUGH_DIAMETER,
    edge_loss,
    rim_strip,
    rough_diameter,
    strip_left,
    strip_right,
    top_margin,
)
from tablekit.relations.grain import panel_width

_HEADING = "the panel as glued"
panel_spare = Quantity(
    "panel_spare", "s_g", "mm",
    "width of the panel beyond the circle that the strips must cover", -3400, 3200,
)  # fmt: skip
nearest_centre = Quantity(
    "nearest_centre", "x_n", "mm",
    "outer edge of the first strip to the centre of the round, at least", 50, 1700,
)  # fmt: skip
farthest_centre = Quantity(
    "farthest_centre", "x_f", "mm",
    "outer edge of the first strip to the centre of the round, at most", -1700, 3200,
)  # fmt: skip
largest_round = Quantity(
    "largest_round", "D_g", "mm", "diameter of the largest round that the panel has, with its "
    "margin", -400, 3200,
)  # fmt: skip
panel_margin = Quantity(
    "panel_margin", "a_g", "mm", "wood outside the finished round, its centre in the middle of the "
    "panel", -1600, 1600,
)  # fmt: skip
added_strip = Quantity(
    "added_strip", "b_g", "mm", "width of the strip that is glued on, jointed, at least", 0, 3400
)
added_board = Quantity(
    "added_board", "B_g", "mm", "width of the board for that strip, before jointing", 0, 3600
)
strip_shows = Quantity(
    "strip_shows", "v_s", "mm", "width of a strip inside the finished rim", 0, 3000
)
_radius = q.top_diameter / 2

PANEL_SPARE = Relation(
    name="spare width of the panel",
    equation=equal(panel_spare, panel_width - rough_diameter),
    meaning="What the panel has beyond the circle, both sides together; negative where it is too "
    "narrow.",
    why="The circle takes its diameter of the width, wherever its centre lies.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"panel_width": "1012 mm", "rough_diameter": "1020 mm"},
            {"panel_spare": "-8 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
NEAREST_CENTRE = Relation(
    name="centre nearest the first edge",
    equation=equal(nearest_centre, rough_diameter / 2),
    meaning="The centre of the round lies at least the radius of the circle from the first edge.",
    why="Nearer than that the circle reaches over the edge.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"rough_diameter": "1020 mm"},
            {"nearest_centre": "510 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
FARTHEST_CENTRE = Relation(
    name="centre farthest from the first edge",
    equation=equal(farthest_centre, panel_width - rough_diameter / 2),
    meaning="The centre of the round lies at least that radius from the last edge as well.",
    why="Farther on, the circle reaches over the other edge.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"panel_width": "1042 mm", "rough_diameter": "1020 mm"},
            {"farthest_centre": "532 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
LARGEST_ROUND = Relation(
    name="largest round of a panel",
    equation=equal(largest_round, panel_width - 2 * top_margin),
    meaning="The panel holds a round as wide as itself less a margin on both sides.",
    why="The margin counts on both sides of the diameter.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"panel_width": "1012 mm", "top_margin": "10 mm"},
            {"largest_round": "992 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
PANEL_MARGIN = Relation(
    name="margin that a panel leaves",
    equation=equal(panel_margin, (panel_width - q.top_diameter) / 2),
    meaning="With the centre in the middle, what is left outside the round is the same on both "
    "sides.",
    why="What the round does not take is halved.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"panel_width": "1012 mm", "top_diameter": "1000 mm"},
            {"panel_margin": "6 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
ADDED_STRIP = Relation(
    name="one strip more",
    equation=equal(added_strip, sp.Max(rough_diameter - panel_width, rim_strip + top_margin)),
    meaning="A strip glued on makes up what is lacking, and shows as much inside the rim as a "
    "strip there must.",
    why="With the circle touching the outer edge of that strip, the margin lies outside the rim "
    "and the rest of the strip inside it.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {
                "rough_diameter": "1020 mm", "panel_width": "1012 mm", "rim_strip": "20 mm",
                "top_margin": "10 mm",
            },
            {"added_strip": "30 mm"},
            derived(DERIVATION, _HEADING),
        ),
        Check(
            {
                "rough_diameter": "1020 mm", "panel_width": "900 mm", "rim_strip": "20 mm",
                "top_margin": "10 mm",
            },
            {"added_strip": "120 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)  # fmt: skip
ADDED_BOARD = Relation(
    name="board for one strip more",
    equation=equal(added_board, added_strip + 2 * edge_loss),
    meaning="Both long edges of that board are jointed.",
    why="Both edges are planed, whether they are glued or lie outside the circle.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"added_strip": "30 mm", "edge_loss": "2 mm"},
            {"added_board": "34 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)
STRIP_SHOWS = Relation(
    name="what a strip shows",
    equation=equal(
        strip_shows, sp.Max(0, sp.Min(strip_right, _radius) - sp.Max(strip_left, -_radius))
    ),
    meaning="Of a strip at the rim only the part inside the rim is seen, at its widest on the "
    "diameter across the strips.",
    why="Strip and round share what lies right of both left ends and left of both right ends.",
    source=derived(DERIVATION, _HEADING),
    checks=(
        Check(
            {"strip_left": "480 mm", "strip_right": "510 mm", "top_diameter": "1000 mm"},
            {"strip_shows": "20 mm"},
            derived(DERIVATION, _HEADING),
        ),
        Check(
            {"strip_left": "-60 mm", "strip_right": "76 mm", "top_diameter": "1000 mm"},
            {"strip_shows": "136 mm"},
            derived(DERIVATION, _HEADING),
        ),
    ),
)

QUANTITIES = (
    q.top_diameter, top_margin, rim_strip, edge_loss, rough_diameter, panel_width, panel_spare,
    nearest_centre, farthest_centre, largest_round, panel_margin, added_strip, added_board,
)  # fmt: skip
RELATIONS = (
    ROUGH_DIAMETER, PANEL_SPARE, NEAREST_CENTRE, FARTHEST_CENTRE, LARGEST_ROUND, PANEL_MARGIN,
    ADDED_STRIP, ADDED_BOARD,
)  # fmt: skip
