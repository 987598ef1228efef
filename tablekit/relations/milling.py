"""From rough boards to finished parts: allowances, laminated posts, area, sanding and finish.

`reference/derivations/glue_up.md` has the reasoning; the grades of paper are in
`reference/surface.csv`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as legs

# -- milling, and what there is to finish ----------------------------------------------------------

DERIVATION = "reference/derivations/glue_up.md"

rough_thickness = Quantity(
    "rough_thickness", "t_r", "mm", "thickness of the boards as bought", 5, 250, least=True
)
jointing_allowance = Quantity(
    "jointing_allowance", "a_j", "mm", "thickness removed to flatten the first face", 0, 30
)
planing_allowance = Quantity(
    "planing_allowance",
    "a_p",
    "mm",
    "thickness removed to make the second face parallel to the first",
    0,
    30,
)
sanding_allowance = Quantity(
    "sanding_allowance", "a_s", "mm", "thickness removed from both faces of the glued panel", 0, 10
)
post_laminations = Quantity(
    "post_laminations", "N_l", "1", "number of laminations in a post", 1, 20, whole=True
)
lamination_thickness = Quantity(
    "lamination_thickness", "t_l", "mm", "planed thickness of one lamination", 1, 200
)
post_cleaning = Quantity(
    "post_cleaning",
    "a_l",
    "mm",
    "thickness removed from the glued post to clean and square it",
    0,
    20,
)
post_blank = Quantity(
    "post_blank",
    "L_b",
    "mm",
    "length of a post's laminations as sawn out",
    50,
    7000,
    least=True,
)
post_trim = Quantity(
    "post_trim",
    "a_e",
    "mm",
    "length sawn off a glued post to leave its ends clean and square",
    0,
    300,
)
lamination_width = Quantity(
    "lamination_width", "b_l", "mm", "width of a post's laminations as sawn out", 5, 500
)
lamination_edges = Quantity(
    "lamination_edges", "a_w", "mm",
    "width removed from a glued post across its laminations, both sides together", 0, 50,
)  # fmt: skip
top_area = Quantity(
    "top_area", "A_t", "m^2", "area of both faces and the rim of the top", 0.005, 20
)
base_area = Quantity(
    "base_area",
    "A_b",
    "m^2",
    "area of the faces of the posts, or of legs and stretchers",
    0.003,
    50,
)
finish_area = Quantity("finish_area", "A", "m^2", "total area to be finished", 0.01, 70)
coats = Quantity("coats", "N_c", "1", "number of coats of finish", 1, 20, whole=True)
coat_film = Quantity(
    "coat_film",
    "s_c",
    "µm",
    "finish used for one coat, as a film: 100 µm is 10 m² per litre",
    10,
    1000,
)
finish_volume = Quantity(
    "finish_volume", "V_c", "mm^3", "volume of finish for all the coats", 10, 1e8
)
OWN = (
    rough_thickness, jointing_allowance, planing_allowance, sanding_allowance, post_laminations,
    lamination_thickness, post_cleaning, lamination_width, lamination_edges, post_blank, post_trim,
    top_area, base_area, finish_area, coats, coat_film, finish_volume,
)  # fmt: skip
QUANTITIES = (
    q.top_diameter, q.top_thickness, q.post_section, q.post_width, q.post_length, *OWN,
)  # fmt: skip

ROUGH_THICKNESS = Relation(
    name="rough thickness",
    equation=equal(
        rough_thickness,
        q.top_thickness
        + jointing_allowance
        + planing_allowance
        + sanding_allowance,
    ),
    meaning="Thickness that the boards must have before the first cut.",
    why="Each operation removes its share of the thickness.",
    source=derived(DERIVATION, "allowances"),
    checks=(
        Check(
            {
                "top_thickness": "28 mm", "jointing_allowance": "2 mm",
                "planing_allowance": "1.5 mm", "sanding_allowance": "0.5 mm",
            },
            {"rough_thickness": "32.0 mm"},
            derived(DERIVATION, "allowances"),
        ),
    ),
)  # fmt: skip
POST_LAMINATIONS = Relation(
    name="post from laminations",
    equation=equal(
        q.post_section + post_cleaning,
        post_laminations * lamination_thickness,
    ),
    meaning="Laminations glued face to face, less what is removed in cleaning up.",
    why="Glue lines are too thin to count.",
    source=derived(DERIVATION, "layers"),
    limits=(
        Limit(
            q.post_section - lamination_thickness / 2,
            "the post keeps at least half a lamination",
        ),
    ),
    checks=(
        Check(
            {"post_laminations": "3", "lamination_thickness": "22 mm", "post_section": "64 mm"},
            {"post_cleaning": "2 mm"},
            derived(DERIVATION, "layers"),
        ),
    ),
)
LAMINATION_WIDTH = Relation(
    name="width of the laminations",
    equation=equal(lamination_width, q.post_width + lamination_edges),
    meaning="Laminations are sawn wider than the post and trimmed to width once they are glued.",
    why="Laminations slide on the wet glue, so their edges never end up flush.",
    source=derived(DERIVATION, "layers"),
    checks=(
        Check(
            {"post_width": "64 mm", "lamination_edges": "6 mm"}, {"lamination_width": "70 mm"},
            derived(DERIVATION, "layers"),
        ),
    ),
)  # fmt: skip
POST_BLANK = Relation(
    name="length of the laminations",
    equation=equal(post_blank, q.post_length + post_trim),
    meaning="Laminations are sawn longer than the post and trimmed to length together.",
    why="As for the width; the ends of boards also check and pick up grit.",
    source=derived(DERIVATION, "layers"),
    checks=(
        Check(
            {"post_length": "1150 mm", "post_trim": "40 mm"}, {"post_blank": "1190 mm"},
            derived(DERIVATION, "layers"),
        ),
    ),
)  # fmt: skip
TOP_AREA = Relation(
    name="area of the top",
    equation=equal(
        top_area,
        sp.pi / 2 * q.top_diameter**2
        + sp.pi * q.top_diameter * q.top_thickness,
    ),
    meaning="Two circular faces and the edge round them.",
    why="The underside is finished like the upper face; otherwise the top cups as the seasons "
    "change.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "top_thickness": "28 mm"}, {"top_area": "1.352 m^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)  # fmt: skip
BASE_AREA = Relation(
    name="area of the posts",
    equation=equal(
        base_area,
        6 * (q.post_section + q.post_width) * q.post_length,
    ),
    meaning="Four faces on each of three posts.",
    why="End grain is left out, and the surfaces hidden in the joint are counted although they "
    "are not finished. The two partly cancel, and the result is one or two per cent too large.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"post_section": "64 mm", "post_width": "64 mm", "post_length": "1150 mm"},
            {"base_area": "0.883 m^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)


def leg_area(count: int, more: Quantity | None = None) -> Relation:
    """Area of `count` tapered round legs, and `more`: that of their stretchers."""
    given = {} if more is None else {more.name: "0.0400 m^2"}
    joined = "" if more is None else ", and their stretchers"
    area = {3: 0.1346, 4: 0.1794}[count] + (0 if more is None else 0.04)
    return Relation(
        name="area of the legs",
        equation=equal(
            base_area,
            sp.pi * sp.Rational(count, 2) * legs.shoulder_length
            * (legs.leg_diameter + legs.foot_diameter) + (0 if more is None else more),
        ),
        meaning=f"Mean girth of a leg times its length, for all the legs{joined}.",
        why="Unrolled, a slender leg is a strip as wide as its girth. Tenons are glued, not "
        "finished, and what a level cut takes off one side of a leg it leaves on the other.",
        source=derived(DERIVATION, "areas"),
        checks=(
            Check(
                {
                    "leg_diameter": "40 mm", "foot_diameter": "28 mm", "shoulder_length": "420 mm",
                    **given,
                },
                {"base_area": f"{area:.4f} m^2"},
                derived(DERIVATION, "areas"),
            ),
        ),
    )  # fmt: skip


FINISH_AREA = Relation(
    name="area to be finished",
    equation=equal(finish_area, top_area + base_area),
    meaning="Top and base together.",
    why="The same finish all over.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"top_area": "1.352 m^2", "base_area": "0.883 m^2"}, {"finish_area": "2.235 m^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)  # fmt: skip
FINISH_VOLUME = Relation(
    name="amount of finish",
    equation=equal(finish_volume, coats * coat_film * finish_area),
    meaning="Coats times area times the finish used for one coat.",
    why="The first coat soaks in and takes most, the later ones less, so this is slightly too "
    "much.",
    source=derived(DERIVATION, "finish"),
    checks=(
        Check(
            {"coats": "3", "coat_film": "0.1 mm", "finish_area": "2.235 m^2"},
            {"finish_volume": "670500 mm^3"},
            derived(DERIVATION, "finish"),
        ),
    ),
)
RELATIONS = (
    ROUGH_THICKNESS, POST_LAMINATIONS, LAMINATION_WIDTH, POST_BLANK, TOP_AREA, BASE_AREA,
    FINISH_AREA, FINISH_VOLUME,
)  # fmt: skip


def relations(legs_count: int = 0, more: Quantity | None = None) -> tuple[Relation, ...]:
    """Milling and finish of a piece on crossed posts, or on `legs_count` splayed legs; `more` is
    the area of the stretchers that join them."""
    if not legs_count:
        return RELATIONS
    return (ROUGH_THICKNESS, TOP_AREA, leg_area(legs_count, more), FINISH_AREA, FINISH_VOLUME)


_MM = sp.Rational(1, 1000)
# A given board thickness as bought settles the thickness of the top: see there.
_EITHER: tuple[Assumption, ...] = (
    assume(
        sanding_allowance, sp.Rational(1, 2) * _MM, "Levelling the joints and sanding.",
        common_practice(), usual=(0, 4),
    ),
    assume(planing_allowance, sp.Rational(3, 2) * _MM, "Two light passes.", common_practice(),
           usual=(0, 15)),
    assume(
        jointing_allowance, 2 * _MM, "Boards that are nearly flat; wide or long ones need more.",
        common_practice(), usual=(0, 15),
    ),
    assume(coats, 3, "A wiping oil.", common_practice(), usual=(1, 12)),
    assume(
        coat_film, sp.Rational(1, 10) * _MM, "Ten square metres per litre.",
        common_practice("7 to 12 m² from a litre, first coat"), first_to=("finish_volume",),
        usual=(30, 300),
    ),
)  # fmt: skip
_OF_POSTS: tuple[Assumption, ...] = (
    assume(
        post_laminations, 3, "Boards a third of the post's section thick are easier to buy dry.",
        common_practice(), usual=(1, 8),
    ),
    assume(
        post_cleaning, 2 * _MM, "One millimetre off each side.", common_practice(),
        first_to=("lamination_thickness",), usual=(0, 12),
    ),
    assume(
        lamination_edges, 6 * _MM, "Three millimetres off each side.", common_practice(),
        first_to=("lamination_width",), usual=(0, 30),
    ),
    assume(
        post_trim, 40 * _MM, "Twenty millimetres off each end.", common_practice(),
        first_to=("post_blank",), usual=(0, 200),
    ),
)  # fmt: skip
ASSUMPTIONS = (*_OF_POSTS, *_EITHER)


def assumptions(legs_count: int = 0) -> tuple[Assumption, ...]:
    """The assumptions of this module, firmest first."""
    return _EITHER if legs_count else ASSUMPTIONS


# -- sanding from grit to grit, and coats ----------------------------------------------------------

first_grit = Quantity(
    "first_grit", "g_1", "1", "grit number of the coarsest paper", 40, 400, whole=True
)
last_grit = Quantity(
    "last_grit", "g_n", "1", "grit number of the finest paper", 60, 400, whole=True
)
grit = Quantity("grit", "g", "1", "grit number of the paper just used", 40, 400)
grit_step = Quantity(
    "grit_step", "k_g", "1", "greatest ratio of the next paper's grit number to this one's",
    1.2, 2,
)  # fmt: skip
next_grit = Quantity("next_grit", "g_m", "1", "highest grit number for the next paper", 40, 800)
coat_interval = Quantity(
    "coat_interval", "t_c", "min", "time from one coat of finish to the next", 5, 10000
)
drying_time = Quantity(
    "drying_time", "t_d", "min", "time from the first coat of finish to the last", 0, 200000
)
SURFACE_QUANTITIES = (
    first_grit, last_grit, grit, grit_step, next_grit, coats, coat_interval, drying_time,
)  # fmt: skip

NEXT_GRIT = Relation(
    name="next grit",
    equation=equal(next_grit, grit_step * grit),
    meaning="How far to go from one paper to the next.",
    why="The next paper has to take out the scratches of the last; after one much coarser this "
    "takes longer than using a paper in between.",
    source=common_practice("no more than half as much again, and never more than twice"),
    checks=(
        Check(
            {"grit": "120", "grit_step": "1.5"}, {"next_grit": "180"},
            derived(DERIVATION, "sanding"),
        ),
    ),
)  # fmt: skip
DRYING_TIME = Relation(
    name="drying time between the coats",
    equation=equal(drying_time, (coats - 1) * coat_interval),
    meaning="There is a wait after every coat but the last.",
    why="No coat follows the last one, but it cures for weeks.",
    source=derived(DERIVATION, "finish"),
    checks=(
        Check(
            {"coats": "3", "coat_interval": "480 min"},
            {"drying_time": "960 min"},
            derived(DERIVATION, "finish"),
        ),
    ),
)

SURFACE_ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(first_grit, 80, "Takes out the marks of the plane and levels the joints.",
           common_practice(), usual=(40, 180)),
    assume(last_grit, 320, "Finer paper burnishes the wood, which then takes in less oil.",
           common_practice(), usual=(120, 400)),
    assume(grit_step, sp.Rational(3, 2), "Half as much again.", common_practice()),
    assume(coat_interval, 8 * 3600,
           "A coat of wiping oil is dry enough for the next after eight hours.",
           common_practice("read the tin"), usual=(30, 4320)),
)  # fmt: skip
