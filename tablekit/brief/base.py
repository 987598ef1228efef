"""The [base] of a brief: what carries the top, and which names of [given] go with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tablekit.brief.section import BriefSection, Choice, read
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import listed
from tablekit.relations import bases
from tablekit.relations.bases import BASES, CrossedPosts, SplayedLegs

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity

USUAL, LEGGED = CrossedPosts(), SplayedLegs()
# Of crossed posts alone; the first of each is what the kit assumes.
CROSSED_CHOICES = {option: tuple(of.words) for option, of in CrossedPosts.options_of.items()}
LEGS = tuple(bases.LEGS.values())
_MEANINGS = {
    "crossing": "crossed posts: notches to a post",
    "way_up": "crossed posts: which way the notches face",
    "hand": "crossed posts: which way round they lean",
}
_SORTS = {word: counts for word, counts in bases.STRETCHERS.items() if word != LEGGED.joined}
BASE_KEYS = (
    Choice("style", "what carries the top", f'"{USUAL.style}"', tuple(BASES)),
    *(
        Choice(option, _MEANINGS[option], f'"{choices[0]}"', choices)
        for option, choices in CROSSED_CHOICES.items()
    ),
    Choice("legs", "splayed legs: how many", f"{LEGGED.count}", LEGS),
    Choice(
        "stretchers",
        "splayed legs: how they are joined; H for four legs, T for three",
        f'"{LEGGED.joined}"',
        tuple(bases.STRETCHERS),
    ),
)


@dataclass(frozen=True)
class BriefBase:
    """What a brief says of what carries the top; None where it does not say."""

    crossing: str | None = None
    way_up: str | None = None
    hand: str | None = None
    style: str | None = None
    legs: int | None = None
    stretchers: str | None = None

    @property
    def chosen(self) -> bases.Base:
        """The base itself, what is not said as the kit assumes it."""
        of = BASES[self.style or USUAL.style]
        return bases.chosen(of.style, **{option: self._word(option) for option in of.options_of})

    @property
    def options(self) -> dict[str, str]:
        """How the network is asked for, what is not said as the kit assumes it."""
        return self.chosen.options

    def _word(self, option: str) -> str | None:
        """As the network has it: a brief counts legs, a network has words for them."""
        said: str | int | None = getattr(self, option)
        if isinstance(said, int):
            return next(word for word, count in bases.LEGS.items() if count == said)
        return said


def read_base(section: BriefSection | None) -> BriefBase:
    """The section [base]; what does not go together is written down as a fault."""
    if section is None:
        return BriefBase()
    base = BriefBase(**read(section, BASE_KEYS, _by_value(section)))
    if base.style is None and "style" in section.table:
        return base  # which of the others is wrong is not known
    try:
        own = base.chosen
    except DesignError:
        alone = SplayedLegs(base.legs or LEGGED.count)
        section.wrong(
            "stretchers",
            f"{section.found('stretchers')} is not for {alone.count} legs; write {alone.suits}",
        )
        return replace(base, stretchers=None)
    for other in BASES.values():
        for key in other.options_of:
            if key in section.table and key not in own.options_of:
                section.wrong(
                    key,
                    f"{section.found(key)} goes with {other.style}, and {own.alone}; leave it out, "
                    f'or write style = "{other.style}"',
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


def base_values(base: BriefBase) -> dict[str, str | None]:
    """The section as TOML values, None where nothing is said."""
    values = {key: getattr(base, key) for key in ("style", *CROSSED_CHOICES, "stretchers")}
    quoted = {key: None if value is None else f'"{value}"' for key, value in values.items()}
    return {**quoted, "legs": None if base.legs is None else str(base.legs)}


def known_quantities(kind: str, base: bases.Base = USUAL) -> dict[str, Quantity]:
    """The quantities of a "table" or a "stool" on a base, by name, in the order of the sheet."""
    return {quantity.name: quantity for quantity in base.declared(kind).quantities}


def other_names(kind: str, base: bases.Base) -> Mapping[str, str]:
    """Advice on names of [given] that another kind of base has."""
    two = replace(USUAL, notches_each=2)
    legs, posts = f'style = "{LEGGED.style}"', f'style = "{USUAL.style}"'
    on_legs = f"{{}} goes with {LEGGED.style}: write {legs} below [base]"
    on_posts = f"{{}} goes with {USUAL.style}: leave it out, or write {posts} below [base]"
    on_stretchers = "{} needs stretchers: write " + _joins(base) + " below [base]"
    if not base.crossed:
        on_both = {**known_quantities(kind), **known_quantities(kind, two)}
        names = {key: on_posts for key in on_both}
        names |= {key: on_stretchers for key in _of_stretchers(kind)}
        names["splay"] = (
            f"{base.style} have leg_resultant for their whole lean, and leg_rake and leg_splay for "
            "what is seen of it from the side and from the front"
        )
    else:
        names = {key: on_legs for key in known_quantities(kind, LEGGED)}
        for key in _of_stretchers(kind):
            names.setdefault(key, on_legs)
        crossing = f'crossing = "{two.word("crossing")}"'
        needs_two = f"it needs two notches to a post: write {crossing} below [base]"
        for key in known_quantities(kind, two):
            names.setdefault(key, needs_two)
    return {key: advice.replace("{}", key) for key, advice in names.items()}


def _of_stretchers(kind: str) -> Mapping[str, Quantity]:
    """The quantities that only legs with stretchers have."""
    joined = {k: q for one in _JOINED for k, q in known_quantities(kind, one).items()}
    plain = known_quantities(kind, LEGGED)
    return {key: quantity for key, quantity in joined.items() if key not in plain}


# One of each sort: a ring has the same quantities between three legs and between four.
_JOINED = tuple(SplayedLegs(counts[0], word) for word, counts in _SORTS.items())


def _joins(base: bases.Base) -> str:
    """What makes a brief one with stretchers."""
    fit = [f'"{word}"' for word, counts in _SORTS.items() if base.count in counts]
    return f"stretchers = {listed(fit, 'or')}"
