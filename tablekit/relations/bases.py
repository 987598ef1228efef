"""What a top may stand on: each base with its choices, what it declares and what it can do.

A network carries the options of its base as words, since the engine knows nothing of furniture.
`base_of` turns them back into the base, and whoever has to know which base a piece has asks it:
nobody else reads the words. Loads nothing heavy; what a base declares is imported when it is asked
for.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import listed
from tablekit.relations.kinds import check_choice

if TYPE_CHECKING:
    from tablekit.relations.kinds import Declared

# The words that a brief and a network have for the choices, and what they stand for; the first of
# each is what the kit assumes.
CROSSINGS = {"one notch": 1, "two notches": 2}  # notches to a post
WAYS_UP = {"notches up": 1, "notches down": -1}
# Seen from above: a post's notch takes in the next post anticlockwise ("right") or clockwise.
HANDS = {"right": False, "left": True}  # whether it is the mirror image
LEGS = {"three legs": 3, "four legs": 4}
# How legs are joined below the top, and how many legs that suits. In an H and a T a cross stretcher
# joins two side stretchers, or one and a leg; in a ring each leg is joined to both its neighbours.
STRETCHERS = {"none": (3, 4), "H": (4,), "T": (3,), "ring": (3, 4)}
_JOINS = {
    "none": "", "H": ", H stretchers", "T": ", T stretchers", "ring": ", a ring of stretchers",
}  # fmt: skip
WITH_NOTCHES = "crossing = " + " or ".join(f'"{word}"' for word in CROSSINGS)  # what to write


class Option(NamedTuple):
    """A choice that a base leaves: the field that holds it, what each word stands for, and the word
    that a network need not carry."""

    field: str
    words: Mapping[str, Any]
    unsaid: str = ""


class Blank(NamedTuple):
    """How a post or leg is got out: names of quantities.

    length, width, thickness  as finished
    rough                     length as it is cut first
    layers                    how many it is glued up from; None where it is always in one piece
    note                      how it is made where it is in one piece
    trim                      what of the rough length is for a last cut; "" where that is not said
    """

    length: str
    width: str
    thickness: str
    rough: str
    layers: str | None
    note: str
    trim: str = ""


class Firmer(NamedTuple):
    """A change to the base that makes the piece harder to tip.

    name      what is done
    quantity  what is solved for
    follows   whether what was assumed from it is assumed afresh
    """

    name: str
    quantity: str
    follows: bool = False


class Base(ABC):
    """What carries the top. It has no notches, other way up or mirror image unless it says so."""

    style: ClassVar[str]
    part: ClassVar[str]  # what one of those that stand on the floor is called
    ends_at: ClassVar[str]  # where these meet the top, in the plural
    section: ClassVar[str]  # the quantity for how thick one is
    options_of: ClassVar[Mapping[str, Option]]
    alone: ClassVar[str]  # why the options of other bases do not go with it
    blank: ClassVar[Blank]
    drawn: ClassVar[bool]  # whether there are solids, drawings and panels of it
    not_checked: ClassVar[str] = ""  # what no check covers though it stands or falls by it

    @property
    @abstractmethod
    def count(self) -> int:
        """How many posts or legs; each ends in a foot."""

    @property
    @abstractmethod
    def firmer(self) -> tuple[Firmer, ...]:
        """What may be changed where it tips too easily, apart from the top."""

    @abstractmethod
    def described(self, kind: str) -> str:
        """A piece on this base in a line: "Round table on three posts: one notch, …"."""

    @abstractmethod
    def title(self, kind: str) -> str:
        """What the network of a piece on this base is called."""

    @abstractmethod
    def declared(self, kind: str) -> Declared:
        """What its network holds; made once."""

    # -- what a base may lack ---------------------------------------------------------------

    @property
    def notches_each(self) -> int:
        """How many notches there are in a post; 0 where nothing crosses."""
        return 0

    @property
    def up(self) -> int:
        """Which way its notches open: 1 up, -1 down; 1 where that makes no difference."""
        return 1

    @property
    def opens(self) -> int:
        """Which way the upper notched face of a post looks: `up`, but 1 where a post has a notch
        either way."""
        return 1

    @property
    def way_up(self) -> str:
        """Its way up as it is said; empty where that makes no sense."""
        return ""

    @property
    def square(self) -> bool:
        """Whether its notches are square, whatever rounding the splay was given with."""
        return False

    @property
    def notched_faces(self) -> tuple[str, ...]:
        """What the notched faces of a post are called."""
        return ()

    @property
    def mirrored(self) -> bool:
        """Whether it is the left-handed one of two mirror images."""
        return False

    @property
    def joined(self) -> str:
        """How its legs are joined below the top, a word of `STRETCHERS`."""
        return "none"

    @property
    def has_stretchers(self) -> bool:
        """Whether its legs are joined."""
        return self.joined != "none"

    @property
    def sawn(self) -> str:
        """What is sawn from planks, in the plural."""
        return f"{self.part}s and stretchers" if self.has_stretchers else f"{self.part}s"

    @property
    def pairs(self) -> tuple[tuple[int, int, int], ...]:
        """The side stretchers: both legs, counted from 0, and how many steps up in a ring."""
        return ()

    @property
    def turned_over(self) -> Base | None:
        """The same the other way up; None where there is no other way up."""
        return None

    @property
    def turned_firmer(self) -> Base | None:
        """The same turned over, where that sets the feet wider apart."""
        return None

    # -- what follows -----------------------------------------------------------------------

    @property
    def crossed(self) -> bool:
        """Whether its posts cross, and so have notches and a joint."""
        return self.notches_each > 0

    @property
    def notches(self) -> int:
        """How many notches there are in all."""
        return self.count * self.notches_each

    @property
    def turn(self) -> int:
        """Which way round the posts follow one another, seen from above: 1 anticlockwise, -1."""
        return -1 if self.mirrored else 1

    @property
    def options(self) -> dict[str, str]:
        """The words that a network carries and that lead back here by `base_of`."""
        style = {} if isinstance(self, _USUAL) else {"style": self.style}
        words = {option: self.word(option) for option in self.options_of}
        said = {one: word for one, word in words.items() if word != self.options_of[one].unsaid}
        return {**style, **said}

    def word(self, option: str) -> str:
        """How a choice is written: `word("crossing")` is "one notch". KeyError for an option that
        this base has not."""
        field, words, _ = self.options_of[option]
        return next(word for word, value in words.items() if value == getattr(self, field))


@dataclass(frozen=True)
class CrossedPosts(Base):
    """Three square posts notched into one another.

    notches_each  1: each post lies in the notch of its neighbour; 2: the axes meet and each post
                  is notched on two neighbouring faces
    up            1 or -1; two notches are the same either way up
    mirrored      all numbers are those of the mirror image (reference/derivations/hand.md)
    """

    notches_each: int = 1
    up: int = 1
    mirrored: bool = False

    style = "crossed posts"
    part, ends_at, section = "post", "heads", "post_section"
    options_of: ClassVar[Mapping[str, Option]] = {
        "crossing": Option("notches_each", CROSSINGS),
        "way_up": Option("up", WAYS_UP),
        "hand": Option("mirrored", HANDS),
    }
    alone = f"a base of {style} always has three and no stretchers"
    blank = Blank(
        "post_length", "post_width", "post_section", "post_blank", "post_laminations",
        "in one piece",
    )  # fmt: skip
    drawn = True

    @property
    def count(self) -> int:
        """Three."""
        return 3

    @property
    def square(self) -> bool:
        """Two notches are always cut square."""
        return self.notches_each > 1

    @property
    def opens(self) -> int:
        """Two notches are the same either way up."""
        return 1 if self.notches_each > 1 else self.up

    @property
    def notched_faces(self) -> tuple[str, ...]:
        """One, or an upper and a lower one."""
        return ("notched",) if self.notches_each == 1 else ("upper notched", "lower notched")

    @property
    def way_up(self) -> str:
        """As it is said."""
        return self.word("way_up")

    @property
    def turned_over(self) -> CrossedPosts:
        """The same the other way up."""
        return replace(self, up=-self.up)

    @property
    def turned_firmer(self) -> CrossedPosts | None:
        """With the notches up, where they are down and there is one to a post."""
        return self.turned_over if self.opens < 0 else None

    @property
    def firmer(self) -> tuple[Firmer, ...]:
        """Wider feet or thicker posts. Posts with two notches have one lean."""
        lean = Firmer("wider feet by leaning the posts more", "splay", follows=True)
        return (
            Firmer("wider feet by moving the notch up the post", "notch_position"),
            *((lean,) if self.notches_each == 1 else ()),
            Firmer("thicker posts", self.section, follows=True),
        )

    def described(self, kind: str) -> str:
        """A piece on this base in a line."""
        said = (self.word("crossing"), self.way_up, f"{self.word('hand')} hand")
        return f"Round {kind} on three posts: {', '.join(said)}"

    def title(self, kind: str) -> str:
        """What its network is called."""
        how = self.way_up if self.notches_each == 1 else self.word("crossing")
        return f"three-post {kind}, {how}" + (", left hand" if self.mirrored else "")

    def declared(self, kind: str) -> Declared:
        """What its network holds."""
        from tablekit.relations import crossed_family

        return crossed_family.declared(kind, self.up, self.notches_each)


@dataclass(frozen=True)
class SplayedLegs(Base):
    """Three or four round legs, each in a socket of its own in the top.

    joined  by stretchers: a word of `STRETCHERS`
    Raises DesignError for stretchers that so many legs cannot have.
    """

    count: int = 3
    joined: str = "none"

    style = "splayed legs"
    part, ends_at, section = "leg", "sockets", "leg_diameter"
    options_of: ClassVar[Mapping[str, Option]] = {
        "legs": Option("count", LEGS),
        "stretchers": Option("joined", {word: word for word in STRETCHERS}, "none"),
    }
    alone = f"{style} do not cross"
    blank = Blank(
        "leg_length", "leg_diameter", "leg_diameter", "leg_blank", None, "turned or shaved round",
        "foot_trim",
    )  # fmt: skip
    drawn = True
    # Silence must not pass for a verdict.
    not_checked = (
        "Not checked for splayed legs: someone dropping onto the piece, rocking it on two legs or "
        "sitting on the rim of a table, a foot that catches when the piece is dragged, and how far "
        "the rim gives. The strength checks are a design aid, not a certificate: load a trial "
        "piece well beyond use before anyone sits or leans on it. Have a seat for anyone but "
        "yourself tested to your local code."
    )

    def __post_init__(self) -> None:
        fit = STRETCHERS[self.joined]
        if self.has_stretchers and self.count not in fit:
            raise DesignError(
                f'stretchers = "{self.joined}" needs {fit[0]} legs. Write {self.suits}'
            )

    @property
    def pairs(self) -> tuple[tuple[int, int, int], ...]:
        """The side stretchers: both legs, counted from 0, and how many steps up in a ring."""
        if not self.has_stretchers:
            return ()
        if self.joined == "ring":
            level = {3: (0, 1, 2), 4: (0, 1, 0, 1)}[self.count]
            return tuple((k, (k + 1) % self.count, level[k]) for k in range(self.count))
        return ((0, 1, 0), (2, 3, 0)) if self.count == 4 else ((1, 2, 0),)

    @property
    def suits(self) -> str:
        """The stretchers that so many legs can have, as a brief writes them."""
        fit = [f'"{word}"' for word, counts in STRETCHERS.items() if self.count in counts]
        return listed(fit, "or")

    @property
    def firmer(self) -> tuple[Firmer, ...]:
        """More lean or thicker legs."""
        return (
            Firmer("legs that lean farther", "leg_resultant"),
            Firmer("thicker legs", self.section),
        )

    def described(self, kind: str) -> str:
        """A piece on this base in a line."""
        return f"Round {kind}: {self._said}"

    def title(self, kind: str) -> str:
        """What its network is called."""
        return f"{kind} on {self._said}"

    @property
    def _said(self) -> str:
        return f"{self.style}, {self.word('legs')}{_JOINS[self.joined]}"

    def declared(self, kind: str) -> Declared:
        """What its network holds."""
        from tablekit.relations import splayed_family

        return splayed_family.declared(kind, self.count, self.joined)


# A new base is added here; the first is what the kit assumes.
BASES: Mapping[str, type[Base]] = {base.style: base for base in (CrossedPosts, SplayedLegs)}
_USUAL = CrossedPosts


def base_of(source: Any) -> Base:
    """The base of a sheet or of a network.

    Raises DesignError for a network of something else than a piece on a base."""
    return _from_options(tuple(getattr(source, "network", source).options.items()))


@cache
def _from_options(options: tuple[tuple[str, str], ...]) -> Base:
    words = dict(options)
    of = BASES.get(words.get("style", _USUAL.style))
    own = {} if of is None else {o: words.get(o, of.options_of[o].unsaid) for o in of.options_of}
    if of is None or any(word not in of.options_of[o].words for o, word in own.items()):
        raise DesignError(f"no base is known by these options: {words or 'none'}")
    return _with(of, own)


def _with(of: type[Base], words: Mapping[str, str]) -> Base:
    fields = {of.options_of[option].field: of.options_of[option].words[word]
              for option, word in words.items()}  # fmt: skip
    return of(**fields)


def chosen(style: str | None = None, **words: str | None) -> Base:
    """The base of a style with its choices as they are written; None or left out is the usual.

    Raises DesignError where a word is not known, or belongs to an option of another base.
    """
    style = _USUAL.style if style is None else style
    check_choice("style", style, BASES)
    of, said = BASES[style], {option: word for option, word in words.items() if word is not None}
    foreign = said.keys() - of.options_of.keys()
    for other in BASES.values():
        if not foreign.isdisjoint(other.options_of):
            raise DesignError(_astray(of, other))
    for option, word in said.items():
        check_choice(option, word, of.options_of[option].words)
    return _with(of, said)


def _astray(of: type[Base], other: type[Base]) -> str:
    go, them = ("go", "them") if len(other.options_of) > 1 else ("goes", "it")
    names = listed(other.options_of)
    return f'{of.alone}: {names} {go} with style = "{other.style}". Leave {them} out.'
