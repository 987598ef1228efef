"""The load on the rim that tips the piece.

Proof: `reference/derivations/tipping.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/tipping.md"

_top_radius = q.top_diameter / 2
# Of the radius: where the load stands no farther than this beyond the line, it would have to be a
# thousand times the weight of the piece, which is no answer to anybody.
ON_THE_LINE = sp.Rational(1, 1000)
_IN_WORDS = {3: "half a foot radius", 4: "a foot radius over √2"}


def tipping(feet: int, checks: tuple[Check, ...] = ()) -> Relation:
    """Return the tipping relation for 3 or 4 feet evenly spaced on a circle."""
    line = q.foot_radius * sp.cos(sp.pi / feet)
    return Relation(
        name="tipping",
        equation=equal(
            q.tipping_load * (_top_radius - line),
            q.total_mass * q.STANDARD_GRAVITY * line,
        ),
        meaning="The piece tips over the line through two feet when the moment of the load beyond "
        "the line exceeds the moment of the weight on this side of it.",
        why=f"In plan, the line is {_IN_WORDS[feet]} from the centre, and the weight acts at the "
        "centre. The load is vertical and acts on the rim midway between the two feet, which is "
        "the worst place for it.",
        source=derived(DERIVATION),
        limits=(
            Limit(
                _top_radius * (1 - ON_THE_LINE) - line,
                "the rim reaches beyond the line through two feet; otherwise no vertical load on "
                "the rim can lift a foot",
                otherwise="leave out",
            ),
        ),
        checks=checks,
    )


TIPPING = tipping(
    3,
    checks=(
        Check(
            {"total_mass": "18.42 kg", "top_diameter": "900 mm", "foot_radius": "395.832 mm"},
            {"tipping_load": "141.8 N"},
            derived(DERIVATION, "notches up"),
        ),
        Check(
            {"total_mass": "18.42 kg", "top_diameter": "900 mm", "foot_radius": "369.749 mm"},
            {"tipping_load": "126.0 N"},
            derived(DERIVATION, "notches down"),
        ),
    ),
)


def relations() -> tuple[Relation, ...]:
    """Return the tipping relation for three feet."""
    return (TIPPING,)
