"""From odd boards to a round top: what a board yields and how long a strip the circle needs.

Proofs: `reference/derivations/boards_to_round.md`. Distances across the strips are measured from
the centre mark, positive to the right.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, assume, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/boards_to_round.md"

top_margin = Quantity(
    "top_margin", "a", "mm", "margin of wood outside the finished circle, all round", 0, 200
)
end_waste = Quantity("end_waste", "z", "mm", "length lost at each raw end of a board", 0, 1000)
shortest_kept = Quantity(
    "shortest_kept", "r", "mm", "length from which a remainder goes back to the rack", 0, 10000
)
rim_strip = Quantity(
    "rim_strip", "v", "mm", "what a strip at the rim must cover of the circle at least", 0, 200
)
edge_loss = Quantity(
    "edge_loss", "j", "mm", "width lost at each long edge of a board in jointing", 0, 100
)
rough_diameter = Quantity(
    "rough_diameter",
    "D_r",
    "mm",
    "diameter of the circle that the strips must cover",
    100,
    3400,
    latex="D_r",
)
board_width = Quantity("board_width", "B", "mm", "width of a board", 10, 1500)
board_length = Quantity("board_length", "A", "mm", "length of a board", 50, 10000)
strip_width = Quantity("strip_width", "b", "mm", "width of a board after jointing", 0, 1500)
usable_length = Quantity("usable_length", "ℓ", "mm", "length of a board without its ends", 0, 10000)
strip_left = Quantity(
    "strip_left",
    "x₁",
    "mm",
    "centre mark to the left edge of a strip, positive to the right",
    -3000,
    3000,
    latex="x_1",
)
strip_right = Quantity(
    "strip_right",
    "x₂",
    "mm",
    "centre mark to the right edge of a strip, positive to the right",
    -3000,
    3000,
    latex="x_2",
)
near_edge = Quantity(
    "near_edge",
    "d",
    "mm",
    "centre mark to the nearest point of a strip; 0 where the strip lies over the mark",
    0,
    3000,
)
length_needed = Quantity(
    "length_needed", "c", "mm", "longest chord of the circle that a strip covers", 0, 3400
)
far_width = Quantity(
    "far_width", "B₂", "mm", "width of a board at its other end", 10, 1500, latex="B_2"
)
along = Quantity("along", "y", "mm", "distance along a board from the end that is cut", 0, 10000)
width_there = Quantity(
    "width_there", "B_y", "mm", "width of a board at that distance", 0, 1500, latex="B_y"
)
used_area = Quantity(
    "used_area", "S_y", "mm^2", "area of a board from the end to that distance", 0, 2e7,
    latex="S_y",
)  # fmt: skip
boards_area = Quantity(
    "boards_area", "S", "mm^2", "total area of the boards used, what goes back left out", 0, 1e9
)
circle_area = Quantity(
    "circle_area",
    "S_c",
    "mm^2",
    "area of the circle that the strips must cover",
    0,
    1e7,
    latex="S_c",
)
boards_waste = Quantity(
    "boards_waste",
    "ω",
    "1",
    "share of the wood used that lies outside the circle",
    0,
    1,
    latex=r"\omega",
)

ROUGH_DIAMETER = Relation(
    name="circle to be covered",
    equation=equal(rough_diameter, q.top_diameter + 2 * top_margin),
    meaning="The strips cover the finished top and a margin all round.",
    why="The margin counts on both sides of every diameter.",
    source=derived(DERIVATION, "what a board yields"),
    checks=(
        Check(
            {"top_diameter": "920 mm", "top_margin": "10 mm"},
            {"rough_diameter": "940 mm"},
            derived(DERIVATION, "what a board yields"),
        ),
    ),
)

STRIP_WIDTH = Relation(
    name="width of a strip",
    equation=equal(strip_width, board_width - 2 * edge_loss),
    meaning="Jointing takes a little off both long edges of a board.",
    why="Both edges are planed, whether they are glued or lie outside the circle.",
    source=derived(DERIVATION, "what a board yields"),
    checks=(
        Check(
            {"board_width": "140 mm", "edge_loss": "2 mm"},
            {"strip_width": "136 mm"},
            derived(DERIVATION, "what a board yields"),
        ),
    ),
)

USABLE_LENGTH = Relation(
    name="usable length of a board",
    equation=equal(usable_length, board_length - 2 * end_waste),
    meaning="The raw ends of a board are not used.",
    why="Both ends are lost: they check as they dry, and are cut square.",
    source=derived(DERIVATION, "what a board yields"),
    checks=(
        Check(
            {"board_length": "1100 mm", "end_waste": "15 mm"},
            {"usable_length": "1070 mm"},
            derived(DERIVATION, "what a board yields"),
        ),
    ),
)

NEAR_EDGE = Relation(
    name="nearest point of a strip",
    equation=equal(near_edge, sp.Max(strip_left, -strip_right, 0)),
    meaning="A strip beside the centre mark is nearest at one edge; a strip over it is at "
    "distance 0.",
    why="Of the points from x₁ to x₂, the nearest to 0 is x₁ on the right and x₂ on the left.",
    source=derived(DERIVATION, "the longest chord of a strip"),
    checks=(
        Check(
            {"strip_left": "200 mm", "strip_right": "336 mm"},
            {"near_edge": "200 mm"},
            derived(DERIVATION, "the longest chord of a strip"),
        ),
        Check(
            {"strip_left": "-60 mm", "strip_right": "76 mm"},
            {"near_edge": "0 mm"},
            derived(DERIVATION, "the longest chord of a strip"),
        ),
    ),
)

LENGTH_NEEDED = Relation(
    name="longest chord that a strip covers",
    equation=equal(length_needed, sp.sqrt(rough_diameter**2 - 4 * near_edge**2)),
    meaning="A strip must be as long as the chord of the circle at the strip's point nearest the "
    "centre.",
    why="Pythagoras with half the chord, its distance from the centre and the radius; chords get "
    "shorter away from the centre.",
    source=derived(DERIVATION, "the longest chord of a strip"),
    limits=(
        Limit(
            rough_diameter - 2 * near_edge,
            "the strip covers part of the circle",
            "leave out",
        ),
    ),
    checks=(
        # 300, 400 and 500 are the sides of a right triangle (3-4-5).
        Check(
            {"rough_diameter": "1000 mm", "near_edge": "300 mm"},
            {"length_needed": "800 mm"},
            derived(DERIVATION, "the longest chord of a strip"),
        ),
        Check(
            {"rough_diameter": "940 mm", "near_edge": "0 mm"},
            {"length_needed": "940 mm"},
            derived(DERIVATION, "the longest chord of a strip"),
        ),
    ),
)

WIDTH_THERE = Relation(
    name="width along a board",
    equation=equal(
        width_there,
        board_width
        + (far_width - board_width) * along / board_length,
    ),
    meaning="A tapered board is straight between its ends.",
    why="Along a straight edge the width changes in proportion to the distance.",
    source=derived(DERIVATION, "a tapered board"),
    checks=(
        Check(
            {
                "board_width": "200 mm", "far_width": "150 mm", "board_length": "1000 mm",
                "along": "400 mm",
            },
            {"width_there": "180 mm"},
            derived(DERIVATION, "a tapered board"),
        ),
    ),
)  # fmt: skip

USED_AREA = Relation(
    name="area of a board that is used",
    equation=equal(used_area, (board_width + width_there) / 2 * along),
    meaning="A board counts as used from the end where cutting begins to its last kerf.",
    why="A trapezium: the mean of its two widths, times its length.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"board_width": "140 mm", "width_there": "140 mm", "along": "1100 mm"},
            {"used_area": "154000 mm^2"},
            derived(DERIVATION, "areas"),
        ),
        Check(
            {"board_width": "200 mm", "width_there": "180 mm", "along": "400 mm"},
            {"used_area": "76000 mm^2"},
            derived(DERIVATION, "a tapered board"),
        ),
    ),
)

CIRCLE_AREA = Relation(
    name="area of the circle",
    equation=equal(circle_area, sp.pi / 4 * rough_diameter**2),
    meaning="The area to be covered, including the margin.",
    why="A circle fills π/4 of the square round it.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"rough_diameter": "1000 mm"},
            {"circle_area": "785398 mm^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)

BOARDS_WASTE = Relation(
    name="share of the boards that is waste",
    equation=equal(boards_waste, 1 - circle_area / boards_area),
    meaning="The part of the wood used that lies outside the circle: ends, edges, kerfs, corners, "
    "surplus width and short remainders.",
    why="The strips lie side by side without overlapping, so each part of the circle is cut from "
    "one of them.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"circle_area": "785398 mm^2", "boards_area": "1000000 mm^2"},
            {"boards_waste": "0.214602 "},
            derived(DERIVATION, "a circle cut out of the square round it: 1 − π/4"),
        ),
    ),
)  # fmt: skip

QUANTITIES = (
    q.top_diameter, top_margin, end_waste, edge_loss, rough_diameter, board_width, board_length,
    far_width, along, width_there, strip_width, usable_length, strip_left, strip_right, near_edge,
    length_needed, used_area, boards_area, circle_area, boards_waste,
)  # fmt: skip
RELATIONS = (
    ROUGH_DIAMETER, WIDTH_THERE, STRIP_WIDTH, USABLE_LENGTH, NEAR_EDGE, LENGTH_NEEDED, USED_AREA,
    CIRCLE_AREA, BOARDS_WASTE,
)  # fmt: skip

# The values assumed where a brief gives none.
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        top_margin, 0.010, "Room to cut the circle out and true it up.",
        common_practice("about 10 mm all round"), usual=(0, 60),
    ),
    assume(
        end_waste, 0.015, "The ends of a board are checked, dirty or out of square.",
        common_practice("a short check at each end; look at yours"), usual=(0, 300),
    ),
    assume(
        edge_loss, 0.002, "A few passes of the plane on each edge make a joint that closes.",
        common_practice("about 2 mm an edge"), usual=(0, 20),
    ),
    assume(
        shortest_kept, 0.300, "Shorter remainders are seldom of use, and unsafe at a machine.",
        common_practice("about 300 mm"), usual=(100, 1500),
    ),
    assume(
        rim_strip, 0.020, "A sliver at the rim breaks off when the round is cut.",
        common_practice("about 20 mm"), usual=(0, 100),
    ),
)  # fmt: skip
