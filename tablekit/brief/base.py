"""The [base] of a brief: what carries the top, and which names of [given] go with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tablekit.brief.keys import Choice, read
from tablekit.brief.section import BriefSection
from tablekit.engine.quantity import Quantity
from tablekit.relations import styles

CROSSED, SPLAYED = STYLES = (styles.CROSSED_POSTS, styles.SPLAYED_LEGS)
# Of crossed posts alone; the first of each is what the kit assumes.
CROSSED_CHOICES = {
    "crossing": ("one notch", "two notches"),
    "way_up": ("notches up", "notches down"),
    "hand": ("right", "left"),
}
# Of splayed legs alone: as a brief writes it, and as the network calls it.
LEGS = {count: name for name, count in styles.LEGS.items()}
BASE_KEYS = (
    Choice("style", "what carries the top", f'"{CROSSED}"', STYLES),
    Choice(
        "crossing", "crossed posts: notches to a post", '"one notch"', CROSSED_CHOICES["crossing"]
    ),
    Choice(
        "way_up", "crossed posts: which way the notches face", '"notches up"',
        CROSSED_CHOICES["way_up"],
    ),
    Choice("hand", "crossed posts: which way round they lean", '"right"', CROSSED_CHOICES["hand"]),
    Choice("legs", "splayed legs: how many", "3", tuple(LEGS)),
)  # fmt: skip


@dataclass(frozen=True)
class Base:
    """What carries the top; None where the brief does not say."""

    crossing: str | None = None
    way_up: str | None = None
    hand: str | None = None
    style: str | None = None
    legs: int | None = None

    @property
    def splayed(self) -> bool:
        """Whether it is splayed legs rather than crossed posts."""
        return self.style == SPLAYED

    @property
    def options(self) -> dict[str, str]:
        """How the network is asked for, what is not said as the kit assumes it."""
        if self.splayed:
            return {"style": SPLAYED, "legs": LEGS[self.legs or min(LEGS)]}
        return {key: getattr(self, key) or choices[0] for key, choices in CROSSED_CHOICES.items()}


def read_base(section: BriefSection | None) -> Base:
    """The section [base]; what does not go together is written down as a fault."""
    if section is None:
        return Base()
    base = Base(**read(section, BASE_KEYS, _by_value(section)))
    if base.style is None and "style" in section.table:
        return base  # which of the others is wrong is not known
    if base.splayed:
        mixed, rest = tuple(CROSSED_CHOICES), f"{SPLAYED} do not cross"
    else:
        mixed, rest = ("legs",), f"a base of {CROSSED} always has three"
    other = CROSSED if base.splayed else SPLAYED
    for key in mixed:
        if key in section.table:
            section.wrong(
                key,
                f"{section.found(key)} goes with {other}, and {rest}; leave it out, or write "
                f'style = "{other}"',
            )
    return base


def _by_value(section: BriefSection) -> dict[str, str]:
    """Advice on keys that are unknown, where what they are given belongs to another."""
    advice = {}
    for key, value in section.table.items():
        said = str(value).strip().lower()
        words = {said, f"{key} {said}", f"{said} {key}"}
        for own, choices in CROSSED_CHOICES.items():
            if fitting := words & set(choices):
                advice[key] = f'write {own} = "{fitting.pop()}"'
    return advice


def base_values(base: Base) -> dict[str, str | None]:
    """The section as TOML values, None where nothing is said."""
    values = {key: getattr(base, key) for key in ("style", *CROSSED_CHOICES)}
    quoted = {key: None if value is None else f'"{value}"' for key, value in values.items()}
    return {**quoted, "legs": None if base.legs is None else str(base.legs)}


def known_quantities(
    kind: str, crossing: str | None = None, style: str | None = None
) -> dict[str, Quantity]:
    """The quantities of a "table" or a "stool", by name, in the order of the sheet."""
    # Imported here: relations bring in sympy, and a brief that is not TOML needs none of it.
    if style == SPLAYED:
        from tablekit.relations import splayed_family

        of = splayed_family.quantities_of(splayed_family.relations(kind, LEGS[min(LEGS)]))
    else:
        from tablekit.relations import families

        way_up = CROSSED_CHOICES["way_up"][0]
        crossing = crossing or CROSSED_CHOICES["crossing"][0]
        of = families.quantities_of(families.relations(kind, way_up, crossing))
    return {quantity.name: quantity for quantity in of}


def other_names(kind: str, base: Base) -> Mapping[str, str]:
    """Advice on names of [given] that another kind of base has."""
    two = CROSSED_CHOICES["crossing"][1]
    on_legs = f'{{}} goes with {SPLAYED}: write style = "{SPLAYED}" below [base]'
    on_posts = f'{{}} goes with {CROSSED}: leave it out, or write style = "{CROSSED}" below [base]'
    names = {key: on_legs for key in known_quantities(kind, style=SPLAYED)}
    if base.splayed:
        names = {key: on_posts for key in known_quantities(kind)}
    for key in known_quantities(kind, two):
        default = f'it needs two notches to a post: write crossing = "{two}" below [base]'
        names.setdefault(key, on_posts if base.splayed else default)
    if base.splayed:
        names["splay"] = (
            f"{SPLAYED} have leg_resultant for their whole lean, and leg_rake and leg_splay for "
            "what is seen of it from the side and from the front"
        )
    return {key: advice.replace("{}", key) for key, advice in names.items()}
