"""Ways to mend a piece that did not come out as drawn, each worked through to what comes of it.

A remedy is some steps at the bench. What comes of them is never guessed: each is put into the sizes
as cut, and the three posts are stood up again with them.

Whether any is wanted, and which is best, is said of the piece as it came out so far.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.sheet import Sheet, tidy
from tablekit.engine.shop import ShopStyle, exact_text, fine_text, shop_text
from tablekit.engine.wording import capital, words
from tablekit.planning.as_cut import (
    OF_A_POST,
    SHIMS,
    Pieces,
    Standing,
    drawn,
    refuse_wrong_units,
    stand,
    stand_all,
)
from tablekit.relations.kinds import height_name
from tablekit.relations.season_fit import SLOPPY

Floats = NDArray[np.float64]
POSTS = (1, 2, 3)
# So much too high or too low, a piece is as high as was asked. Our own choice: nobody sees it.
HEIGHT_OFF = {"mm": 3.0, "in": 25.4 / 8}
# One leaf of veneer, of which shims are made. Common practice, no source.
VENEER = {"mm": 0.6, "in": 25.4 / 32}
MOST_LEAVES = 6
# What can be planed or sawn to, and is then measured.
HAIR = {"mm": 0.1, "in": 25.4 / 200}
# A notch may be let down to this share of the width of its post: common practice, no source.
_DEEPEST = 2 / 3
# A flat not yet cut may be made so much smaller, and still hold its plate or pad.
_SMALLEST_FLAT = 0.7
# A notch whose floor is tilted by no more is square, degrees: as the check on plain notches has it.
_SQUARE = 0.25
# Minutes at the bench for one of each. Common practice, no source: to rank by, not to plan with.
_MINUTES = {
    "cut to suit": 2, "flat": 15, "saw": 15, "shim": 10, "notch": 40, "fit": 20, "move": 5,
    "post": 240, "top": 480,
}  # fmt: skip
# How far a post that is not cut yet may be from what was drawn, mm: beyond that, another table.
_FARTHEST = 30.0
# Beginnings of steps that go without saying a second time.
_LEADS = ("cut the flat of ", "saw ", "put ", "take ")
# How much thicker or thinner a top may be planed than drawn, as a share: beyond that, another top.
_TOP_OFF = 0.25
_ROUNDS, _TRIED, _CLOSE = 8, 0.05, 1e-4  # of Newton's method: at most, step, near enough; mm


@dataclass(frozen=True)
class RemedyStep:
    """One thing to do: where, by how much (mm), and what to say of it."""

    where: str
    amount: float
    text: str


@dataclass(frozen=True)
class Remedy:
    """A way to mend it, and what comes of it.

    what    in a few words; `steps` say where and by how much
    pieces  the sizes it leaves, which `after` was worked out from
    work    minutes at the bench, roughly
    level   whether the top then looks level; with `after.goes_together` it serves
    height_off  how far the height is then from what was asked, mm
    """

    what: str
    steps: tuple[RemedyStep, ...]
    pieces: Pieces
    after: Standing
    work: int
    level: bool
    height_off: float

    @property
    def serves(self) -> bool:
        """Whether it leaves a piece that goes together and looks level."""
        return self.level and self.after.goes_together

    @property
    def fully(self) -> bool:
        """Whether the height is then as asked too, as nearly as anyone sees."""
        return self.serves and abs(self.height_off) <= HEIGHT_OFF[self.pieces.style.display]

    @property
    def text(self) -> str:
        """What to do, and what comes of it, in two sentences."""
        done = _joined([step.text for step in self.steps])
        return f"{capital(done)}. {self._outcome}"

    @property
    def short(self) -> str:
        """The same without the steps, in a line."""
        return f"{capital(self.what)}: see --full. {self._outcome}"

    @property
    def _outcome(self) -> str:
        style = self.pieces.style
        high = shop_text(self.after.height, "mm", style)
        rim = fine_text(self.after.rim_drop, style)
        near = self.after.rim_drop < 2 * HAIR[style.display]
        level = "level" if near else f"{rim} out across the rim"
        loose = "" if self.after.goes_together else " It still does not go together."
        return f"Then {high} high, {level}.{loose}"

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, degrees, minutes."""
        steps = [{"where": s.where, "amount": tidy(s.amount), "text": s.text} for s in self.steps]
        return {
            "what": self.what,
            "where": "; ".join(step.where for step in self.steps),
            "amount": tidy(max((step.amount for step in self.steps), key=abs, default=0.0)),
            "steps": steps,
            "table_height": tidy(self.after.height),
            "top_tilt": tidy(self.after.tilt),
            "rim_drop": tidy(self.after.rim_drop),
            "head_heights": [tidy(one) for one in self.after.heads],
            "worst_gap": tidy(self.after.gaps),
            "tightness": [tidy(one) for one in self.after.plays],
            "goes_together": self.after.goes_together,
            "serves": self.serves,
            "work": self.work,
            "text": self.text,
        }


@dataclass(frozen=True)
class _Lever:
    """A size that may still be changed, with others that change along: by how much each changes for
    one millimetre, and the least and the greatest change."""

    moves: Mapping[str, float]
    low: float
    high: float


@dataclass(frozen=True)
class Bench:
    """What can be done about some pieces.

    wanted       the height that was asked, mm
    slope        share of the visible slope that passes
    least_flats  what a flat has to hold, mm across: the pad of a "foot", the plate of a "head"
    """

    pieces: Pieces
    wanted: float
    slope: float
    least_flats: Mapping[str, float]

    @property
    def style(self) -> ShopStyle:
        """How sizes are said."""
        return self.pieces.style

    @property
    def hair(self) -> float:
        """The finest that is worked to, mm."""
        return HAIR[self.style.display]

    def _off(self, found_: Standing) -> float:
        """How far the height is beyond what passes, mm."""
        return max(0.0, abs(found_.height - self.wanted) - HEIGHT_OFF[self.style.display])

    def serves(self, found_: Standing) -> bool:
        """Whether nothing has to be done about pieces that stand so."""
        fits = found_.fits and covers(self.pieces, found_)
        return found_.used <= self.slope and fits and self._off(found_) == 0

    def remedies(self, stock: Callable[[float], str]) -> Iterator[Remedy]:
        """Every way that was found, those that do not serve among them. Notches that are too tight
        or too loose are fitted first, and a top that is too small is made anew, whatever else is
        done."""
        pieces, fitting = self._fitted()
        alone, extra = "fit the notches", _MINUTES["fit"] * len(fitting)
        (now,) = stand_all([pieces])
        if not covers(pieces, now):
            pieces, step = self._larger_top(pieces)
            alone, extra = "make a larger top", extra + _MINUTES["top"]
            fitting.append(step)
            (now,) = stand_all([pieces])
        several = [self._leaving(pieces, now)]
        if not self.serves(now):
            several += [
                self._cutting_to_suit(pieces), self._flats(pieces), self._ends(pieces),
                self._shims(pieces), self._top(pieces, now),
            ]  # fmt: skip
        if now.used > self.slope:
            several += [
                self._notches(pieces), self._orders(pieces, now), self._new_posts(pieces, stock)
            ]  # fmt: skip
        for ways in several:
            for what, steps, after, work in ways:
                whole = (*fitting, *steps)
                if whole:
                    yield self._remedy(what if steps else alone, whole, after, work + extra)

    def _remedy(self, what: str, steps: Sequence[RemedyStep], pieces: Pieces, work: int) -> Remedy:
        (after,) = stand_all([pieces])
        level = after.used <= self.slope * (1 + 1e-9)
        off = after.height - self.wanted
        return Remedy(what, tuple(steps), pieces, after, work, level, off)

    # -- notches that are too tight or too loose ------------------------------------------------

    def _fitted(self) -> tuple[Pieces, list[RemedyStep]]:
        """The notches fitted to the posts in them, where they are not."""
        (before,) = stand_all([self.pieces])
        sizes, steps = {}, []
        for post, play in zip(POSTS, before.plays, strict=True):
            if -1e-9 <= play <= SLOPPY + 1e-9:
                continue
            width = self.pieces.fitting_width(post)
            sizes[f"notch_width_{post}"] = width
            by = abs(width - self.pieces.number(f"notch_width_{post}"))
            how = "pare" if play < 0 else "line"
            end = "off" if play < 0 else "onto"
            where = f"notch {post}"
            text = f"{how} {fine_text(by, self.style)} {end} a wall of {where}"
            steps.append(RemedyStep(where, by, text))
        return self.pieces.with_sizes(sizes), steps

    def _larger_top(self, pieces: Pieces) -> tuple[Pieces, RemedyStep]:
        """A top as large as was drawn."""
        size = pieces.sheet_numbers["top_diameter"]
        by = size - pieces.number("top_diameter")
        text = f"make another top, {shop_text(size, 'mm', self.style)} across"
        return pieces.with_sizes({"top_diameter": size}, cut=False), RemedyStep("top", by, text)

    # -- the ways -------------------------------------------------------------------------------

    def _leaving(self, pieces: Pieces, found_: Standing) -> Iterator[_Way]:
        """Only the height is off: take it as it is, or fit the notches and no more."""
        high = shop_text(found_.height, "mm", self.style)
        if found_.used > self.slope or not found_.goes_together:
            return
        if abs(found_.height - self.wanted) <= HEIGHT_OFF[self.style.display]:
            yield "fit the notches", (), pieces, 0
            return
        name = height_name(pieces.kind)
        off = found_.height - self.wanted
        text = f"leave it level as it is and take {high} as the {words(name)}"
        yield "take the height as it is", (RemedyStep(name, off, text),), pieces, 0

    def _cutting_to_suit(self, pieces: Pieces) -> Iterator[_Way]:
        """What is not cut yet, cut to suit what is: the posts alone, or their heads' flats too;
        where neither will do, with flats that are cut taken deeper."""
        free = [name for post in POSTS if not pieces.is_cut(name := f"post_length_{post}")]
        free += [f"notch_position_{post}" for post in POSTS if not notch_is_cut(pieces, post)]
        flats = [name for post in POSTS if not pieces.is_cut(name := f"head_flat_{post}")]
        levers = [_Lever({name: 1.0}, -_FARTHEST, _FARTHEST) for name in free]
        both = [*levers, *(self._flat_lever(pieces, name) for name in flats)]
        every = [self._flat_lever(pieces, f"head_flat_{post}") for post in POSTS]
        found_ = [self._solved(pieces, tried) for tried in ((levers, both) if flats else (levers,))]
        if free and not any(found_):
            found_.append(self._levelled(pieces, [*levers, *every]))
        for after in found_:
            if free and after is not None:
                steps = [*self._marking(pieces, after, free), *self._planing(pieces, after, "head")]
                yield "cut the rest to suit", steps, after, _MINUTES["cut to suit"] * len(steps)

    def _marking(self, pieces: Pieces, after: Pieces, free: Sequence[str]) -> Iterator[RemedyStep]:
        for post in POSTS:
            length, place = f"post_length_{post}", f"notch_position_{post}"
            moved = [n for n in (length, place) if n in free]
            by = max((after.number(n) - pieces.number(n) for n in moved), key=abs, default=0.0)
            if abs(by) < self.hair / 2:
                continue
            says = []
            if length in moved:
                says.append(f"cut post {post} {self._exact(after.number(length))} long")
            if place in moved:
                lead = "mark its notch at" if says else f"mark the notch of post {post} at"
                says.append(f"{lead} {self._exact(after.number(place))}")
            yield RemedyStep(f"post {post}", by, " and ".join(says))

    def _flats(self, pieces: Pieces) -> Iterator[_Way]:
        """Flats that are cut deeper, or that are not cut yet cut to suit."""
        for end in ("head", "foot"):
            names = [f"{end}_flat_{post}" for post in POSTS]
            levers = [self._flat_lever(pieces, name) for name in names]
            after = self._levelled(pieces, levers)
            if after is None:
                continue
            steps = tuple(self._planing(pieces, after, end))
            cut = sum(pieces.is_cut(f"{end}_flat_{step.where[-1]}") for step in steps)
            minutes = _MINUTES["flat"] * cut + _MINUTES["cut to suit"] * (len(steps) - cut)
            yield "cut the flats to suit", steps, after, minutes

    def _flat_lever(self, pieces: Pieces, name: str) -> _Lever:
        size = pieces.number(name)
        least = max(_SMALLEST_FLAT * size, self.least_flats[name.partition("_")[0]])
        low = 0.0 if pieces.is_cut(name) else min(0.0, least - size)
        return _Lever({name: 1.0}, low, 0.8 * size)

    def _planing(self, pieces: Pieces, after: Pieces, end: str) -> Iterator[RemedyStep]:
        before, then = stand_all([pieces, after])
        for post in POSTS:
            name = pieces.own(f"{end}_flat_depth_{post}")
            by = then.numbers[name] - before.numbers[name]
            if abs(by) < self.hair / 2:
                continue
            where = f"{end} {post}"
            if pieces.is_cut(f"{end}_flat_{post}"):
                text = f"take {fine_text(by, self.style)}, plumb, off the flat of {where}"
            else:
                circle = self._exact(after.number(f"{end}_flat_{post}"))
                text = f"cut the flat of {where} to a circle of {circle}"
            yield RemedyStep(where, by, text)

    def _ends(self, pieces: Pieces) -> Iterator[_Way]:
        """Posts sawn shorter at one end, before the flats of that end are cut: a post that is not
        cut to length yet is not sawn shorter, it is cut to suit."""
        for end, moved in (("head", ("post_length",)), ("foot", ("post_length", "notch_position"))):
            levers = [
                _Lever({f"{stem}_{post}": -1.0 for stem in moved}, 0.0, 40.0)
                for post in POSTS
                if pieces.is_cut(f"post_length_{post}") and not pieces.is_cut(f"{end}_flat_{post}")
            ]
            after = self._levelled(pieces, levers)
            if after is not None:
                steps = tuple(self._sawing(pieces, after, end))
                yield "trim the posts to match", steps, after, _MINUTES["saw"] * len(steps)

    def _sawing(self, pieces: Pieces, after: Pieces, end: str) -> Iterator[RemedyStep]:
        for post in POSTS:
            name = f"post_length_{post}"
            by = pieces.number(name) - after.number(name)
            if by > self.hair / 2:
                where = f"{end} end of post {post}"
                yield RemedyStep(where, by, f"saw {self._exact(by)} off the {where}")

    def _shims(self, pieces: Pieces) -> Iterator[_Way]:
        """Leaves of veneer under feet, or on heads."""
        leaf = VENEER[self.style.display]
        for stem, end in zip(SHIMS, ("foot", "head"), strict=True):
            names = [f"{stem}_{post}" for post in POSTS]
            tried = [
                pieces.with_sizes(
                    {n: pieces.number(n) + k * leaf for n, k in zip(names, leaves, strict=True)}
                )
                for leaves in product(range(MOST_LEAVES + 1), repeat=3)
                if max(leaves) > 0
            ]
            after = self._best(tried, names)
            steps = tuple(self._leaves(pieces, after, end, names))
            yield "shim with veneer", steps, after, _MINUTES["shim"] * len(steps)

    def _leaves(
        self, pieces: Pieces, after: Pieces, end: str, names: Sequence[str]
    ) -> Iterator[RemedyStep]:
        for post, name in zip(POSTS, names, strict=True):
            by = after.number(name) - pieces.number(name)
            if by <= 0:
                continue
            count = round(by / VENEER[self.style.display])
            leaves = "a leaf" if count == 1 else f"{count} leaves"
            under = "under foot" if end == "foot" else "under the plate of head"
            text = f"put {leaves} of veneer, {fine_text(by, self.style)}, {under} {post}"
            yield RemedyStep(f"{end} {post}", by, text)

    def _notches(self, pieces: Pieces) -> Iterator[_Way]:
        """One notch floor let down, or its notch cut so deep where it is not cut yet."""
        for post in POSTS:
            name, wide = f"notch_depth_{post}", pieces.number(f"post_width_{post}")
            room = _DEEPEST * wide - pieces.number(name)
            deeper = np.arange(self.hair, min(room, 8.0), self.hair)
            if not len(deeper):
                continue
            tried = [pieces.with_sizes({name: pieces.number(name) + d}) for d in deeper]
            after = self._best(tried, [name])
            by, where = after.number(name) - pieces.number(name), f"notch {post}"
            if notch_is_cut(pieces, post):
                text = f"let the floor of {where} down by {fine_text(by, self.style)}"
                yield (
                    "let a notch floor down",
                    (RemedyStep(where, by, text),),
                    after,
                    _MINUTES["notch"],
                )
            elif stand_all([after])[0].used <= self.slope / 2:  # what is still free may do better
                text = f"cut {where} {self._exact(after.number(name))} deep"
                minutes = _MINUTES["cut to suit"]
                yield "cut a notch to suit", (RemedyStep(where, by, text),), after, minutes

    def _orders(self, pieces: Pieces, now: Standing) -> Iterator[_Way]:
        """The posts in another order, and those turned end for end that may be: a square notch is
        the same both ways round."""
        square = abs(now.numbers["notch_floor_tilt"]) < _SQUARE
        tried = [
            (order, turned, _rearranged(pieces, order, turned))
            for order in permutations(POSTS)
            for turned in product((False, True) if square else (False,), repeat=3)
            if (order != POSTS or any(turned)) and self._may_turn(pieces, order, turned)
        ]
        if not tried:
            return
        found_ = stand_all([one for *_, one in tried])
        moves = [
            sum(a != b for a, b in zip(order, POSTS, strict=True)) + sum(turned)
            for order, turned, _ in tried
        ]
        best = min(
            range(len(tried)), key=lambda k: (not self.serves(found_[k]), moves[k], found_[k].used)
        )
        order, turned, after = tried[best]
        yield (
            "swap or turn posts",
            tuple(_moving(order, turned)),
            after,
            _MINUTES["move"] * moves[best],
        )

    def _may_turn(self, pieces: Pieces, order: Sequence[int], turned: Sequence[bool]) -> bool:
        """A post may be turned while its flats are not cut; a blank is the same both ways."""
        over = [post for post, turn in zip(order, turned, strict=True) if turn]
        ends = [f"{end}_flat_{post}" for post in over for end in ("foot", "head")]
        blank = any(not notch_is_cut(pieces, post) for post in over)
        return not blank and not any(pieces.is_cut(name) for name in ends)

    def _new_posts(self, pieces: Pieces, stock: Callable[[float], str]) -> Iterator[_Way]:
        """One post made anew, to suit the other two."""
        fresh = drawn_of(pieces)
        for post in POSTS:
            names = [f"{stem}_{post}" for stem in OF_A_POST]
            if not any(pieces.is_cut(name) for name in names):
                continue
            blank = replace(
                pieces.with_sizes({name: fresh.number(name) for name in names}),
                cut=pieces.cut - {pieces.own(name) for name in names},
            )
            free = [f"post_length_{post}", f"notch_position_{post}"]
            levers = [_Lever({name: 1.0}, -_FARTHEST, _FARTHEST) for name in free]
            after = self._solved(blank, levers)
            if after is None:
                continue
            length, place = (after.number(name) for name in free)
            text = (
                f"make post {post} anew, {self._exact(length)} long, its notch at "
                f"{self._exact(place)}{stock(length)}"
            )
            yield (
                "make one post anew",
                (RemedyStep(f"post {post}", length, text),),
                after,
                _MINUTES["post"],
            )

    def _top(self, pieces: Pieces, found_: Standing) -> Iterator[_Way]:
        """A top of another thickness, where only the height is off and the top is not cut yet, or
        is thicker than it need be."""
        thick = pieces.number("top_thickness")
        by = self.wanted - found_.height
        if found_.used > self.slope or abs(by) <= HEIGHT_OFF[self.style.display]:
            return
        if (pieces.is_cut("top_thickness") and by > 0) or abs(by) > _TOP_OFF * thick:
            return
        after = pieces.with_sizes({"top_thickness": self._rounded(thick + by)}, cut=False)
        text = f"plane the top to {self._exact(after.number('top_thickness'))}"
        yield "another top thickness", (RemedyStep("top", by, text),), after, 60

    # -- looking for sizes ----------------------------------------------------------------------

    def _best(self, tried: Sequence[Pieces], changed: Sequence[str]) -> Pieces:
        """Of several the one with the least change that is well within the slope that shows, else
        within it, else the most level. `changed` are the sizes that differ among them."""
        found_ = stand_all(tried)
        good = [k for k, one in enumerate(found_) if one.holds] or list(range(len(tried)))

        def key(k: int) -> tuple[float, ...]:
            one = found_[k]
            if one.used > self.slope:
                return 2.0, one.used
            much = sum(tried[k].number(name) for name in changed)
            return float(one.used > self.slope / 2), self._off(one), much, one.used

        return tried[min(good, key=key)]

    def _to_size(self, one: Standing) -> list[float]:
        """What is off: the heads against one another, and far less heavily the height."""
        first, second, third = one.heads
        return [first - second, second - third, 1e-3 * (one.height - self.wanted)]

    def _levelled(self, pieces: Pieces, levers: Sequence[_Lever]) -> Pieces | None:
        """The levers set so that the heads are level: at the height that was asked where they allow
        it, else with the one that would have to go farthest beyond held at its end; None where that
        cannot be."""
        moving = [lever for lever in levers if lever.high > lever.low]
        amounts = self._amounts(pieces, moving, {}, self._to_size)
        if amounts is None:
            return None
        if (after := self._allowed(pieces, moving, amounts)) is not None:
            return after
        beyond = [
            max(lever.low - one, one - lever.high)
            for lever, one in zip(moving, amounts, strict=True)
        ]
        far = int(np.argmax(beyond))
        ends = {far: moving[far].low if amounts[far] < moving[far].low else moving[far].high}
        tried = [ends, *({k: 0.0} for k in range(len(moving)))]
        for held in tried:
            amounts = self._amounts(pieces, moving, held, lambda one: self._to_size(one)[:2])
            after = None if amounts is None else self._allowed(pieces, moving, amounts)
            if after is not None:
                return after
        return None

    def _solved(self, pieces: Pieces, levers: Sequence[_Lever]) -> Pieces | None:
        """The levers moved, each as little as may be, until the heads are level and, where that
        can be had as well, the height is as asked; None where a lever does not allow it."""
        amounts = self._amounts(pieces, levers, {}, self._to_size)
        return None if amounts is None else self._allowed(pieces, levers, amounts)

    def _amounts(
        self,
        pieces: Pieces,
        levers: Sequence[_Lever],
        held: Mapping[int, float],
        off: Callable[[Standing], list[float]],
    ) -> Floats | None:
        """How far to move each lever, mm, until nothing is off, by Newton's method; those in `held`
        stay where that says. None where there is nothing to move, or the posts come apart."""
        free = [k for k in range(len(levers)) if k not in held]
        if not free:
            return None
        amounts = np.array([held.get(k, 0.0) for k in range(len(levers))])
        unit = _TRIED * np.eye(len(levers))[free]
        for _ in range(_ROUNDS):
            tried = [amounts, *(amounts + one for one in unit)]
            found_ = stand_all([_moved(pieces, levers, one) for one in tried])
            here, *beside = (np.array(off(one)) for one in found_)
            slopes = np.array([(one - here) / _TRIED for one in beside]).T
            if not np.isfinite(slopes).all():
                return None
            change, *_ = np.linalg.lstsq(slopes, -here, rcond=1e-6)
            amounts[free] += change
            if np.abs(change).max() < _CLOSE:
                break
        return amounts

    def _allowed(self, pieces: Pieces, levers: Sequence[_Lever], amounts: Floats) -> Pieces | None:
        """The pieces with the levers moved so far, to the hair that is worked to; None where a
        lever does not allow it, or it does not leave the top level."""
        low, high = (np.array([getattr(one, end) for one in levers]) for end in ("low", "high"))
        if (amounts < low - self.hair / 2).any() or (amounts > high + self.hair / 2).any():
            return None
        to_hair = np.array([self._rounded(one) for one in np.clip(amounts, low, high)])
        after = _moved(pieces, levers, to_hair)
        (found_,) = stand_all([after])
        return after if found_.holds and found_.used <= self.slope else None

    def _rounded(self, size: float) -> float:
        return round(size / self.hair) * self.hair

    def _exact(self, size: float) -> str:
        """A size to the hair that it is worked to."""
        return exact_text(size, self.style)


def _joined(texts: Sequence[str]) -> str:
    """Steps in one sentence; what begins like the one before leaves its beginning out."""
    said = []
    for before, text in zip(("", *texts), texts, strict=False):
        lead = next((one for one in _LEADS if text.startswith(one) and before.startswith(one)), "")
        said.append(text.removeprefix(lead))
    return "; ".join(said)


_Way = tuple[str, Sequence[RemedyStep], Pieces, int]


def covers(pieces: Pieces, found_: Standing) -> bool:
    """Whether the top lies on the middles of all heads, or is at least as large as was drawn."""
    drawn_ = pieces.sheet_numbers["top_diameter"]
    return found_.overhang >= -1e-9 or pieces.number("top_diameter") >= drawn_ - 1e-9


def notch_is_cut(pieces: Pieces, post: int) -> bool:
    """Whether anything of the notch of a post was measured, so that it is cut."""
    return any(pieces.is_cut(f"notch_{what}_{post}") for what in ("position", "depth", "width"))


def drawn_of(pieces: Pieces) -> Pieces:
    """The same pieces with nothing cut: what the sheet has for each size."""
    return replace(pieces, numbers=pieces.sheet_numbers, cut=frozenset())


def _moved(pieces: Pieces, levers: Sequence[_Lever], amounts: Floats) -> Pieces:
    sizes = {
        name: pieces.number(name) + rate * float(amount)
        for lever, amount in zip(levers, amounts, strict=True)
        for name, rate in lever.moves.items()
    }
    return pieces.with_sizes(sizes, cut=False)


def _rearranged(pieces: Pieces, order: Sequence[int], turned: Sequence[bool]) -> Pieces:
    """Post `order[k]` put where post k + 1 was, end for end where it is turned."""
    sizes: dict[str, float] = {}
    for place, (post, turn) in enumerate(zip(order, turned, strict=True), start=1):
        sizes |= {f"{stem}_{place}": pieces.number(f"{stem}_{post}") for stem in OF_A_POST}
        if turn:
            sizes[f"notch_position_{place}"] = pieces.number(f"post_length_{post}") - pieces.number(
                f"notch_position_{post}"
            )
    return pieces.with_sizes(sizes)


def _moving(order: Sequence[int], turned: Sequence[bool]) -> Iterator[RemedyStep]:
    for place, (post, turn) in enumerate(zip(order, turned, strict=True), start=1):
        if post == place and not turn:
            continue
        over = ", end for end" if turn else ""
        text = f"turn post {post} end for end" if post == place else (
            f"put post {post} where post {place} was{over}"
        )  # fmt: skip
        yield RemedyStep(f"post {post}", 0.0, text)


# -- what to do now --------------------------------------------------------------------------------


@dataclass(frozen=True)
class AsMade:
    """A piece as it came out so far, and what to do now.

    wanted    height that was asked for, mm; `slope` the share of the visible slope that is let pass
    remedies  what serves first, by its work and what it leaves
    """

    pieces: Pieces
    standing: Standing
    wanted: float
    slope: float
    remedies: tuple[Remedy, ...]

    @property
    def level(self) -> bool:
        """Whether the top looks level."""
        return self.standing.used <= self.slope * (1 + 1e-9)

    @property
    def height_off(self) -> float:
        """Height less what was asked, mm."""
        return self.standing.height - self.wanted

    @property
    def fine(self) -> bool:
        """Whether nothing has to be done."""
        off = HEIGHT_OFF[self.pieces.style.display]
        fits = self.standing.fits and self.covered
        return self.level and fits and abs(self.height_off) <= off

    @property
    def covered(self) -> bool:
        """Whether the top lies on the middles of all heads, as far as it was drawn to."""
        return covers(self.pieces, self.standing)

    @property
    def verdict(self) -> str:
        """How it comes out, in a sentence or two, the verdict first."""
        found_, style = self.standing, self.pieces.style
        if self.fine:
            return (
                f"within tolerance, nothing to do. The top is {fine_text(found_.rim_drop, style)} "
                f"out of level across the rim, and the {self.pieces.kind} is {self._height}."
            )
        said = []
        if not found_.goes_together:
            said.append(self._tight)
        elif not found_.fits:
            said.append(self._loose)
        if self.level:
            said.append("the top looks level")
        else:
            rim = fine_text(found_.rim_drop, style)
            low = found_.heads.index(min(found_.heads)) + 1
            said.append(f"the top is {rim} out of level across the rim, low over head {low}")
        if not self.covered:
            short = fine_text(-found_.overhang, style)
            said.append(f"the middle of a head lies {short} beyond the rim")
        return f"{'; '.join(said)}; the {self.pieces.kind} is {self._height}."

    @property
    def _height(self) -> str:
        style = self.pieces.style
        by = fine_text(abs(self.height_off), style)
        if abs(self.height_off) < HAIR[style.display]:
            return f"{shop_text(self.wanted, 'mm', style)} high as asked"
        return f"{by} {'lower' if self.height_off < 0 else 'higher'} than asked"

    @property
    def _tight(self) -> str:
        plays = self.standing.plays
        worst = plays.index(min(plays))
        by = fine_text(-min(plays), self.pieces.style)
        tight = f"notch {worst + 1} is {by} too narrow for the post in it"
        return f"{tight}, so the joint does not go together"

    @property
    def _loose(self) -> str:
        plays = self.standing.plays
        play = fine_text(max(plays), self.pieces.style)
        return f"notch {plays.index(max(plays)) + 1} is loose, with {play} of play"

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, degrees, minutes."""
        found_ = self.standing
        return {
            "verdict": "fine" if self.fine else "look at it",
            "message": self.verdict,
            "head_heights": [tidy(one) for one in found_.heads],
            "table_height": tidy(found_.height),
            "height_off": tidy(self.height_off),
            "top_tilt": tidy(found_.tilt),
            "tilt_direction": tidy(found_.low_side),
            "rim_drop": tidy(found_.rim_drop),
            "level": self.level,
            "foot_circle": tidy(found_.circles[0]),
            "head_circle": tidy(found_.circles[1]),
            "least_overhang": tidy(found_.overhang),
            "worst_gap": tidy(found_.gaps),
            "tightness": [tidy(one) for one in found_.plays],
            "goes_together": found_.goes_together,
            "remedies": [one.to_json() for one in self.remedies],
        }


def as_made(
    sheet: Sheet, sizes: Mapping[str, float], stock: Callable[[float], str] | None = None
) -> AsMade:
    """A piece of which these sizes are cut and measured, and what to do now.

    sizes  mm by name, "post_length_2" or "top_thickness"; posts numbered as in the drawings
    stock  says of a post of some length whether there is wood for it, in words; by default nothing
    Raises DesignError, in a sentence, where the posts no longer fit one another or a size seems to
    be in the wrong unit, and for a base without three notches in turn.
    """
    pieces = _with_notches_to_fit(drawn(sheet).with_sizes(_squared(sheet, sizes)))
    refuse_wrong_units(pieces)
    standing = stand(pieces)
    least = {"foot": sheet.get("pad_diameter"), "head": sheet.get("plate_recess_width")}
    bench = Bench(
        pieces, sheet.number(height_name(sheet.kind)), slope_allowed(sheet),
        {end: size or 0.0 for end, size in least.items()},
    )  # fmt: skip
    offered = [] if bench.serves(standing) else list(bench.remedies(stock or (lambda length: "")))
    made = AsMade(pieces, standing, bench.wanted, bench.slope, ())
    return made if made.fine else replace(made, remedies=_ranked(offered, standing))


def _squared(sheet: Sheet, sizes: Mapping[str, float]) -> dict[str, float]:
    """Square posts are planed to one setting: one measure of a post counts for both its sides."""
    found_ = dict(sizes)
    if sheet.number("post_width") == sheet.number("post_section"):
        for post in POSTS:
            if (one := sizes.get(f"post_section_{post}")) is not None:
                found_.setdefault(f"post_width_{post}", one)
    return found_


def _with_notches_to_fit(pieces: Pieces) -> Pieces:
    """A notch that is not cut yet is knifed to the post that goes in it, whatever its width."""
    uncut = [post for post in POSTS if not notch_is_cut(pieces, post)]
    widths = {f"notch_width_{post}": pieces.fitting_width(post) for post in uncut}
    return pieces.with_sizes(widths, cut=False)


def slope_allowed(sheet: Sheet) -> float:
    """The share of the visible slope that the check on the level lets pass."""
    level = next((one for one in sheet.network.requirements if one.id == "level"), None)
    high = None if level is None else level.good[1]
    return 1.0 if high is None else high


def _ranked(offered: Iterable[Remedy], before: Standing) -> tuple[Remedy, ...]:
    """What serves first, by its work and then by what it leaves; where nothing serves, what is at
    least better than before. Of two that say the same the first stays."""
    several = list(offered)
    good = [one for one in several if one.serves]
    if not good:
        good = [one for one in several if one.after.holds and one.after.used < 0.7 * before.used]
    return tuple({one.text: one for one in sorted(good, key=_rank)}.values())


def _rank(one: Remedy) -> tuple[float, ...]:
    """As high as was asked first, then by work, by what is off, and by how level."""
    off = abs(one.height_off)
    beyond = off > HEIGHT_OFF[one.pieces.style.display]
    return beyond, one.work, round(off, 1), one.after.used
