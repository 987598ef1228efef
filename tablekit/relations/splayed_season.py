"""A dry tenon in its socket through the seasons: which way its growth rings lie, loose or tight.

`reference/derivations/splayed_legs.md` has the reasoning under "through the seasons".
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import splayed_quantities as s
from tablekit.relations import strength as wood
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT, SHOP
from tablekit.relations.movement import movement_coefficient
from tablekit.relations.season_fit import FIT
from tablekit.relations.splayed import DERIVATION

tenon_moisture = Quantity(
    "tenon_moisture", "m_t", "%", "moisture of the tenons when they are fitted", 2, 20, latex="m_t"
)
tenon_clearance = Quantity(
    "tenon_clearance", "j_t", "mm", "clearance of a tenon in its socket, as fitted", -1, 3,
    latex="j_t", fine=True,
)  # fmt: skip
tenon_coefficient = Quantity(
    "tenon_coefficient", "C_t", "1", "change of a tenon's diameter along its growth rings per 1 % "
    "of moisture, as a share of the diameter", 0.0003, 0.007, latex="C_t",
)  # fmt: skip
tenon_radial_coefficient = Quantity(
    "tenon_radial_coefficient", "C_r", "1", "change of a tenon's diameter square to its growth "
    "rings per 1 % of moisture, as a share of the diameter", 0.0003, 0.006, latex="C_r",
)  # fmt: skip
tenon_across_share = Quantity(
    "tenon_across_share", "ε_t", "1", "stiffness of a tenon across its grain as a share of its "
    "stiffness along the grain", 0.01, 1, latex=r"\varepsilon_t", said="share",
)  # fmt: skip
tenon_play = Quantity(
    "tenon_play", "j_d", "mm", "clearance of a tenon along the grain of the top in the driest air, "
    "its rings across that grain; negative if it is squeezed", -20, 20, latex="j_d", fine=True,
)  # fmt: skip
tenon_side_play = Quantity(
    "tenon_side_play", "j_x", "mm", "clearance of a tenon across the grain of the top in the "
    "driest air, its rings across that grain; negative if it is squeezed", -20, 20, latex="j_x",
    fine=True,
)  # fmt: skip
tenon_squeeze = Quantity(
    "tenon_squeeze", "j_q", "mm", "how much wider than its socket a tenon would be along the grain "
    "of the top in the dampest air, its rings across that grain", -20, 20, latex="j_q", fine=True,
)  # fmt: skip
tenon_turned_squeeze = Quantity(
    "tenon_turned_squeeze", "j_w", "mm", "the same with the growth rings along the grain of the "
    "top", -20, 20, latex="j_w", fine=True,
)  # fmt: skip
tenon_crushing_used = Quantity(
    "tenon_crushing_used", "u_j", "1", "ratio of the pressure of the swollen tenon on the wall of "
    "its socket to the stress that begins to crush it; negative if there is none",
    -1000, 1000, latex="u_j", said="share",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    tenon_moisture, tenon_clearance, tenon_coefficient, tenon_radial_coefficient,
    tenon_across_share, tenon_play, tenon_side_play, tenon_squeeze, tenon_turned_squeeze,
    tenon_crushing_used,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_thick, _percent = s.tenon_diameter, ONE_PERCENT
_dry, _wet, _made = DRIEST.moisture, DAMPEST.moisture, SHOP.moisture
_SEASONS = derived(DERIVATION, "through the seasons")
_TENON = {"tenon_diameter": "30 mm", "tenon_clearance": "0.1 mm", "tenon_moisture": "6 %"}

TENON_PLAY = Relation(
    name="tenon in the driest air",
    equation=equal(
        tenon_play,
        tenon_clearance - _thick * tenon_radial_coefficient * (_dry - tenon_moisture) / _percent,
    ),
    meaning="A tenon fitted drier than it will ever be again only swells from then on.",
    why="Along the grain of the top the socket keeps its width, since wood barely moves along its "
    "grain. Of the two ways in which the tenon moves, the lesser is laid there.",
    source=_SEASONS,
    checks=(
        Check(
            {**_TENON, "tenon_radial_coefficient": "0.00169", "driest_moisture": "6.2 %"},
            {"tenon_play": "0.090 mm"}, _SEASONS,
        ),
        Check(
            {**_TENON, "tenon_moisture": "9.3 %", "tenon_radial_coefficient": "0.00169",
             "driest_moisture": "6.2 %"},
            {"tenon_play": "0.257 mm"}, _SEASONS,
        ),
    ),
)  # fmt: skip
TENON_SIDE_PLAY = Relation(
    name="tenon in the driest air, across the top's grain",
    equation=equal(
        tenon_side_play,
        tenon_clearance
        - _thick
        * (tenon_coefficient * (_dry - tenon_moisture) + movement_coefficient * (_made - _dry))
        / _percent,
    ),
    meaning="Across the grain of the top the socket shrinks with the top round it.",
    why="The top was bored at the moisture of the shop and shrinks from there; the tenon starts "
    "from its own.",
    source=_SEASONS,
    checks=(
        Check(
            {**_TENON, "tenon_clearance": "0.5 mm", "tenon_coefficient": "0.00315",
             "movement_coefficient": "0.00315", "driest_moisture": "6.2 %",
             "shop_moisture": "9.3 %"},
            {"tenon_side_play": "0.188 mm"}, _SEASONS,
        ),
    ),
)  # fmt: skip


def _squeeze(name: str, found: Quantity, coefficient: Quantity, share: str, size: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(
            found,
            _thick * coefficient * (_wet - tenon_moisture) / _percent - tenon_clearance,
        ),
        meaning="The tenon would be wider than its socket by this much if it were free to swell.",
        why="The swelling first takes up the clearance of the fit.",
        source=_SEASONS,
        checks=(
            Check(
                {**_TENON, coefficient.name: share, "dampest_moisture": "11.9 %"},
                {found.name: size}, _SEASONS,
            ),
        ),
    )  # fmt: skip


TENON_SQUEEZE = _squeeze(
    "tenon in the dampest air", tenon_squeeze, tenon_radial_coefficient, "0.00169", "0.199 mm"
)
TURNED_SQUEEZE = _squeeze(
    "tenon in the dampest air, rings along the top's grain", tenon_turned_squeeze,
    tenon_coefficient, "0.00315", "0.458 mm",
)  # fmt: skip
CRUSHING = Relation(
    name="pressure of the swollen tenon",
    equation=equal(
        tenon_crushing_used * wood.compression_across * _thick,
        wood.elastic_modulus * tenon_across_share * tenon_squeeze,
    ),
    meaning="The strain that the socket imposes on the tenon, times its stiffness across the "
    "grain, over the stress at which a permanent dent begins.",
    why="Along the grain of the top the wall of the socket is ten or twenty times as stiff as the "
    "tenon and hardly yields.",
    source=_SEASONS,
    checks=(
        Check(
            {"tenon_diameter": "30 mm", "tenon_squeeze": "0.199 mm", "elastic_modulus": "11500 MPa",
             "tenon_across_share": "0.06", "compression_across": "7 MPa"},
            {"tenon_crushing_used": "0.654"}, _SEASONS,
        ),
    ),
)  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Return the fit of the tenons through the seasons."""
    return (TENON_PLAY, TENON_SIDE_PLAY, TENON_SQUEEZE, TURNED_SQUEEZE, CRUSHING)


_TABLE = common_practice(
    "the middle of the nineteen hardwoods in reference/movement.csv, as for posts"
)
_USUAL = common_practice("the woods of reference/movement.csv and somewhat beyond")
_FITS = ("tenon_play", "tenon_side_play", "tenon_squeeze", "tenon_turned_squeeze")
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        tenon_coefficient, sp.Rational(315, 100000), "A typical hardwood.", _TABLE,
        first_to=("tenon_turned_squeeze",), usual=(0.0005, 0.0055), usual_source=_USUAL,
    ),
    assume(
        tenon_radial_coefficient, sp.Rational(169, 100000), "A typical hardwood.", _TABLE,
        usual=(0.0004, 0.0045), usual_source=_USUAL,
    ),
    assume(
        tenon_across_share, sp.Rational(6, 100),
        "Most hardwoods are 0.04 to 0.09 times as stiff along the growth rings as along the grain.",
        quoted("Wood Handbook, FPL-GTR-282", "table 5-1: sugar maple, white and red oak; the ends "
               "of the range from memory"),
        first_to=("tenon_crushing_used",), usual=(0.02, 0.25),
    ),
    assume(
        tenon_moisture, sp.Rational(6, 100),
        "Legs kept a fortnight in a warm dry place, so that their tenons swell once they are in.",
        common_practice("6 %, that of wood in heated rooms in winter"),
        first_to=_FITS, usual=(3, 14),
    ),
    assume(tenon_clearance, sp.Rational(1, 10000), "A push fit.", FIT, first_to=_FITS,
           usual=(-0.5, 1)),
)  # fmt: skip

LOOSE = Requirement(
    id="tenon_dry",
    name="tenons in the driest air",
    quantity="tenon_play",
    source=common_practice("0.15 mm; a paper's thickness, 0.1 mm, slides by hand, and 0.4 mm "
                           "rattles"),
    good=(None, 0.15),
    tolerable=(None, 0.4),
    too_high="In the driest air the tenons shrink loose in their sockets, and only glue and wedge "
    "hold them.",
    mend_high="Dry the tenons before you fit them: a fortnight by the stove, or overnight in warm "
    "sand. Then fit them more tightly.",
    fine="The tenons stay as tight in the driest air as they were fitted. Lay the growth rings of "
    "each tenon across the grain of the top.",
)  # fmt: skip
TIGHT = Requirement(
    id="tenon_damp",
    name="tenons in the dampest air",
    quantity="tenon_crushing_used",
    source=derived(DERIVATION, "through the seasons; limits are our own choice"),
    good=(None, 1),
    too_high="In the dampest air the swollen tenon is crushed in its socket, and the next winter "
    "it is loose.",
    mend_high="Fit the tenons less dry or less tight, or choose a wood that moves less.",
    fine="The swollen tenons press on their sockets but are not crushed, as long as their growth "
    "rings lie across the grain of the top: along it, they would press {tenon_turned_squeeze} "
    "instead of {tenon_squeeze}.",
)
REQUIREMENTS: tuple[Requirement, ...] = (LOOSE, TIGHT)
