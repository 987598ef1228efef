"""From rough boards to finished parts: allowances, posts glued up from layers, area and finish.

`reference/derivations/glue_up.md` has the reasoning.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Check, Limit, Relation, assume, equal
from tablekit.engine.source import common_practice, derived
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/glue_up.md"

rough_thickness = Quantity(
    "rough_thickness", "t_r", "mm", "thickness of the boards as they are bought", 5, 250
)
jointing_allowance = Quantity(
    "jointing_allowance", "a_j", "mm", "taken off to make the first face flat", 0, 30
)
planing_allowance = Quantity(
    "planing_allowance", "a_p", "mm", "taken off to make the second face parallel to it", 0, 30
)
sanding_allowance = Quantity(
    "sanding_allowance", "a_s", "mm", "taken off both faces of the glued panel", 0, 10
)
post_layers = Quantity(
    "post_layers", "N_l", "1", "layers that a post is glued up from", 1, 20, whole=True
)
layer_thickness = Quantity("layer_thickness", "t_l", "mm", "planed thickness of one layer", 1, 200)
post_cleaning = Quantity(
    "post_cleaning", "a_l", "mm", "taken off the glued post to clean and square it", 0, 20
)
top_area = Quantity("top_area", "A_t", "m^2", "both faces and the rim of the top", 0.005, 20)
base_area = Quantity("base_area", "A_b", "m^2", "faces of the three posts", 0.003, 50)
finish_area = Quantity("finish_area", "A", "m^2", "all that is to be finished", 0.01, 70)
coats = Quantity("coats", "N_c", "1", "coats of finish", 1, 20, whole=True)
coat_film = Quantity(
    "coat_film", "s_c", "mm", "finish taken up by one coat: 0.1 mm is 10 m² from a litre", 0.01, 1
)
finish_volume = Quantity("finish_volume", "V_c", "mm^3", "finish for all the coats", 10, 1e8)
QUANTITIES = (
    q.top_diameter, q.top_thickness, q.post_section, q.post_width, q.post_length,
    rough_thickness, jointing_allowance, planing_allowance, sanding_allowance, post_layers,
    layer_thickness, post_cleaning, top_area, base_area, finish_area, coats, coat_film,
    finish_volume,
)  # fmt: skip

ROUGH_THICKNESS = Relation(
    name="rough thickness",
    equation=equal(
        rough_thickness.symbol,
        q.top_thickness.symbol
        + jointing_allowance.symbol
        + planing_allowance.symbol
        + sanding_allowance.symbol,
    ),
    meaning="What the boards must measure before the first cut.",
    why="Each operation takes its share, and none of it comes back.",
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
POST_LAYERS = Relation(
    name="post from layers",
    equation=equal(
        q.post_section.symbol + post_cleaning.symbol, post_layers.symbol * layer_thickness.symbol
    ),
    meaning="Layers glued face to face, less what cleaning them up takes off.",
    why="Glue lines are too thin to count.",
    source=derived(DERIVATION, "layers"),
    limits=(
        Limit(
            q.post_section.symbol - layer_thickness.symbol / 2,
            "a post is not planed away to less than half a layer",
        ),
    ),
    checks=(
        Check(
            {"post_layers": "3", "layer_thickness": "22 mm", "post_section": "64 mm"},
            {"post_cleaning": "2 mm"},
            derived(DERIVATION, "layers"),
        ),
    ),
)
TOP_AREA = Relation(
    name="area of the top",
    equation=equal(
        top_area.symbol,
        sp.pi / 2 * q.top_diameter.symbol**2
        + sp.pi * q.top_diameter.symbol * q.top_thickness.symbol,
    ),
    meaning="Two circles and the strip round them.",
    why="The underside is finished like the upper face, or the top cups as the seasons change.",
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
        base_area.symbol,
        6 * (q.post_section.symbol + q.post_width.symbol) * q.post_length.symbol,
    ),
    meaning="Four faces of three posts.",
    why="Notches and ends are left out: they are small, and joints are not finished.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"post_section": "64 mm", "post_width": "64 mm", "post_length": "1150 mm"},
            {"base_area": "0.883 m^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)
FINISH_AREA = Relation(
    name="area to be finished",
    equation=equal(finish_area.symbol, top_area.symbol + base_area.symbol),
    meaning="Top and posts together.",
    why="One finish all over.",
    source=derived(DERIVATION, "areas"),
    checks=(
        Check(
            {"top_area": "1.352 m^2", "base_area": "0.883 m^2"}, {"finish_area": "2.235 m^2"},
            derived(DERIVATION, "areas"),
        ),
    ),
)  # fmt: skip
FINISH_VOLUME = Relation(
    name="how much finish",
    equation=equal(finish_volume.symbol, coats.symbol * coat_film.symbol * finish_area.symbol),
    meaning="Coats times area times what one coat takes up.",
    why="The first coat soaks in and takes most, the later ones less, so it is rather too much.",
    source=derived(DERIVATION, "finish"),
    checks=(
        Check(
            {"coats": "3", "coat_film": "0.1 mm", "finish_area": "2.235 m^2"},
            {"finish_volume": "670500 mm^3"},
            derived(DERIVATION, "finish"),
        ),
    ),
)
RELATIONS = (ROUGH_THICKNESS, POST_LAYERS, TOP_AREA, BASE_AREA, FINISH_AREA, FINISH_VOLUME)

_MM = sp.Rational(1, 1000)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        jointing_allowance, 2 * _MM, "Boards that are nearly flat; a wide or long one needs more.",
        common_practice(), first_to=("rough_thickness",),
    ),
    assume(
        planing_allowance, sp.Rational(3, 2) * _MM, "Two light passes.", common_practice(),
        first_to=("rough_thickness",),
    ),
    assume(
        sanding_allowance, sp.Rational(1, 2) * _MM, "Levelling the joints and sanding.",
        common_practice(), first_to=("rough_thickness",),
    ),
    assume(
        post_layers, 3, "From boards of a third of the section, which are easier to get dry.",
        common_practice(),
    ),
    assume(
        post_cleaning, 2 * _MM, "A millimetre off either side.", common_practice(),
        first_to=("layer_thickness",),
    ),
    assume(coats, 3, "A wiping oil.", common_practice()),
    assume(
        coat_film, sp.Rational(1, 10) * _MM, "Ten square metres from a litre.",
        common_practice("7 to 12 m² from a litre, first coat"), first_to=("finish_volume",),
    ),
)  # fmt: skip
