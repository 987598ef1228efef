"""Machine settings for the notch.

A compound notch becomes a plain trench, cut on the slant, when the post is rocked about its length
on a wedge until the notch floor lies level. Proofs: `reference/derivations/marking.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, declared_in, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import marking
from tablekit.relations import quantities as q

DERIVATION = marking.DERIVATION

mitre_angle = Quantity(
    "mitre_angle",
    "μ",
    "deg",
    "mitre fence angle, out of square across the rocked post",
    -85,
    85,
    latex=r"\mu",
)
bevel_on_notched = Quantity(
    "bevel_on_notched",
    "μ_n",
    "deg",
    "angle of a wall line out of square across the notched face",
    -85,
    85,
    latex=r"\mu_n",
)
bevel_beside = Quantity(
    "bevel_beside",
    "μ_s",
    "deg",
    "angle of a wall line out of square down the adjoining faces",
    -85,
    85,
    latex=r"\mu_s",
)
blade_tilt = Quantity(
    "blade_tilt",
    "κ",
    "deg",
    "blade tilt out of plumb for a wall, the post lying flat",
    -85,
    85,
    latex=r"\kappa",
)
cutter_width = Quantity(
    "cutter_width", "k_c", "mm", "width of the cut in one pass", 0.5, 300, latex="k_c"
)
trench_width = Quantity(
    "trench_width",
    "b_t",
    "mm",
    "width of the trench, wall to wall, square to the walls",
    0.5,
    400,
    latex="b_t",
)
least_overlap = Quantity(
    "least_overlap",
    "o_l",
    "mm",
    "least overlap of neighbouring passes",
    0,
    100,
    latex="o_l",
)
overlap = Quantity(
    "pass_overlap", "o_p", "mm", "actual overlap of neighbouring passes", -1, 100, latex="o_p"
)
widths_to_shift = Quantity(
    "widths_to_shift",
    "N_s",
    "1",
    "number of shifts that the trench takes, fractions counted",
    0,
    500,
    latex="N_s",
)
passes = Quantity(
    "passes", "N_c", "1", "number of passes across the notch", 1, 500, whole=True, latex="N_c"
)
pass_shift = Quantity(
    "pass_shift",
    "a_c",
    "mm",
    "shift from one pass to the next, square to the walls",
    0,
    400,
    latex="a_c",
)
pass_number = Quantity(
    "pass_number",
    "i",
    "1",
    "number of the pass, the one nearest the foot end being 1",
    1,
    500,
    whole=True,
)
stop = Quantity(
    "stop",
    "x_i",
    "mm",
    "foot end to the near side of the cutter, along the arris",
    -4000,
    8000,
    latex="x_i",
)
base_width = Quantity(
    "base_width", "B_r", "mm", "width of the router's baseplate, edge to edge", 20, 600, latex="B_r"
)
guide_offset = Quantity(
    "guide_offset",
    "o_g",
    "mm",
    "wall of the notch to the guide, square to both",
    0,
    300,
    latex="o_g",
)
near_guide = Quantity(
    "near_guide",
    "g₁",
    "mm",
    "foot end to the guide for the near wall, along the arris",
    -4000,
    8000,
    latex="g_1",
)
far_guide = Quantity(
    "far_guide",
    "g₂",
    "mm",
    "foot end to the guide for the far wall, along the arris",
    -4000,
    8000,
    latex="g_2",
)

_phi, _tau = q.crossing_angle, q.notch_floor_tilt
_near, _far = marking.near_wall, marking.far_wall
_cutter, _trench = cutter_width, trench_width
_PLAIN = common_practice("a plain notch is cut square across")

# --- Angles -------------------------------------------------------------------------------

MITRE = Relation(
    name="mitre of the notch",
    equation=equal(mitre_angle + _phi, sp.pi / 2),
    meaning="How far the notch runs out of square across a post whose notch floor lies level.",
    why="The neighbour crosses at φ, and with the floor level the walls stand plumb.",
    source=derived(DERIVATION, "cutting a compound notch"),
    checks=(Check({"crossing_angle": "90 deg"}, {"mitre_angle": "0.0 deg"}, _PLAIN),),
)

BEVEL_ON_NOTCHED = Relation(
    name="bevel on the notched face",
    equation=equal(sp.tan(bevel_on_notched) * sp.tan(_phi), sp.cos(_tau)),
    meaning="The sliding bevel setting for the walls on the notched face.",
    why="Along the floor a wall advances by the cotangent of φ for each step across; on the face "
    "the floor's steps are shortened by cos τ.",
    source=derived(DERIVATION, "bevel settings"),
    checks=(
        Check(
            {"crossing_angle": "45 deg", "notch_floor_tilt": "0 deg"},
            {"bevel_on_notched": "45.00 deg"},
            derived(DERIVATION, "no tilt: the complement of φ"),
        ),
    ),
)

BEVEL_BESIDE = Relation(
    name="bevel beside the notch",
    equation=equal(sp.tan(bevel_beside) * sp.tan(_phi), sp.sin(_tau)),
    meaning="The sliding bevel setting for the walls on the bearing face and the face opposite it.",
    why="Square to the notched face the floor's steps are shortened by sin τ.",
    source=derived(DERIVATION, "bevel settings"),
    checks=(
        Check(
            {"crossing_angle": "45 deg", "notch_floor_tilt": "0 deg"},
            {"bevel_beside": "0.00 deg"},
            derived(DERIVATION, "no tilt: square down the face"),
        ),
    ),
)

BLADE_TILT = Relation(
    name="tilt of the blade for a wall",
    equation=equal(sp.sin(blade_tilt), sp.cos(_phi) * sp.sin(_tau)),
    meaning="How far a saw is tilted for the walls when the post lies flat, not rocked.",
    why="The sine of the tilt is the component of the wall's normal square to the notched face.",
    source=derived(DERIVATION, "cutting a compound notch"),
    checks=(
        Check(
            {"crossing_angle": "60 deg", "notch_floor_tilt": "90 deg"},
            {"blade_tilt": "30.00 deg"},
            derived(DERIVATION, "the floor square to the face: the complement of φ"),
        ),
    ),
)

# --- Passes -------------------------------------------------------------------------------

WIDTHS_TO_SHIFT = Relation(
    name="shifts of the cutter",
    equation=equal(widths_to_shift * (_cutter - least_overlap), _trench - _cutter),
    meaning="How many times the cutter has to be shifted.",
    why="The first pass cuts its own width; each further one cuts at most that less the overlap.",
    source=derived(DERIVATION, "passes"),
    limits=(
        Limit(_trench - _cutter, "the cutter must be no wider than the notch"),
        Limit(
            _cutter - least_overlap * sp.Rational(101, 100),
            "neighbouring passes must overlap by less than the cutter's width",
        ),
    ),
    checks=(
        Check(
            {"cutter_width": "0.75 in", "least_overlap": "0 in", "trench_width": "3 in"},
            {"widths_to_shift": "3.000"},
            common_practice("a 3 in notch with a 3/4 in cutter takes four passes edge to edge"),
        ),
        Check(
            {"cutter_width": "0.75 in", "least_overlap": "0.0625 in", "trench_width": "3 in"},
            {"widths_to_shift": "3.27"},
            common_practice("the same with overlap: five passes"),
        ),
    ),
)

PASSES = Relation(
    name="passes across the notch",
    equation=equal(passes, 1 + sp.ceiling(widths_to_shift)),
    meaning="A fraction of a shift takes a whole pass.",
    why="Passes come in whole numbers.",
    source=derived(DERIVATION, "passes"),
    inverse={"widths_to_shift": passes - 1},
    checks=(
        Check(
            {"widths_to_shift": "3"},
            {"passes": "4"},
            common_practice("a 3 in notch with a 3/4 in cutter takes four passes edge to edge"),
        ),
        Check(
            {"widths_to_shift": "3.27"},
            {"passes": "5"},
            common_practice("the same with overlap: five passes"),
        ),
    ),
)

PASS_SHIFT = Relation(
    name="shift from one pass to the next",
    equation=equal(pass_shift * (passes - 1), _trench - _cutter),
    meaning="The passes are spread evenly from wall to wall.",
    why="Even passes overlap equally, and the last one ends at the far wall whatever their number.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {"passes": "4", "trench_width": "76.2 mm", "cutter_width": "19.05 mm"},
            {"pass_shift": "19.05 mm"},
            common_practice("edge to edge: a cutter's width"),
        ),
    ),
)

PASS_OVERLAP = Relation(
    name="overlap of the passes",
    equation=equal(overlap + pass_shift, _cutter),
    meaning="The width that neighbouring passes share.",
    why="The cutter's width less the shift.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {"pass_shift": "14.2875 mm", "cutter_width": "19.05 mm"},
            {"pass_overlap": "4.7625 mm"},
            derived(DERIVATION, "five passes: 3/16 in"),
        ),
    ),
)

STOP = Relation(
    name="stop for a pass",
    equation=equal((stop - _near) * sp.sin(_phi), (pass_number - 1) * pass_shift),
    meaning="Where the stop is set for each pass, measured along the reference arris.",
    why="The first pass lies against the near wall; a shift square to the walls is longer along "
    "the post.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {
                "near_wall": "468 mm",
                "pass_number": "3",
                "pass_shift": "15 mm",
                "crossing_angle": "90 deg",
            },
            {"stop": "498.0 mm"},
            common_practice("square across: wall and two shifts"),
        ),
    ),
)

# --- Router guides ------------------------------------------------------------------------

GUIDE_OFFSET = Relation(
    name="wall to guide",
    equation=equal(2 * guide_offset, base_width - _cutter),
    meaning="How far outside a wall the router's guide is clamped.",
    why="The baseplate runs along the guide; from its edge to the cutter is half the baseplate "
    "less the cutter's radius.",
    source=derived(DERIVATION, "router guides"),
    checks=(
        Check(
            {"base_width": "150 mm", "cutter_width": "12 mm"},
            {"guide_offset": "69.0 mm"},
            common_practice("half the baseplate less half the cutter"),
        ),
    ),
)


def _guide(name: str, found: Quantity, wall: sp.Symbol, side: int, text: str) -> Relation:
    given = "near_wall" if side < 0 else "far_wall"
    return Relation(
        name=name,
        equation=equal((found - wall) * sp.sin(_phi), side * guide_offset),
        meaning="Where a guide crosses the reference arris.",
        why="It runs parallel to the wall and outside it, so the offset is longer along the post.",
        source=derived(DERIVATION, "router guides"),
        checks=(
            Check(
                {given: "500 mm", "guide_offset": "69 mm", "crossing_angle": "90 deg"},
                {found.name: text},
                common_practice("square across: wall and offset"),
            ),
        ),
    )


NEAR_GUIDE = _guide("guide for the near wall", near_guide, _near, -1, "431.0 mm")
FAR_GUIDE = _guide("guide for the far wall", far_guide, _far, 1, "569.0 mm")

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())
RELATIONS: tuple[Relation, ...] = (
    MITRE,
    BEVEL_ON_NOTCHED,
    BEVEL_BESIDE,
    BLADE_TILT,
    WIDTHS_TO_SHIFT,
    PASSES,
    PASS_SHIFT,
    PASS_OVERLAP,
    STOP,
    GUIDE_OFFSET,
    NEAR_GUIDE,
    FAR_GUIDE,
)
