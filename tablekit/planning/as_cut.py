"""Three posts as they are cut: how they stand, and how the top lies on them.

    pieces = drawn(sheet).with_sizes({"post_length_2": 1146.0})
    found = stand(pieces)
    found.heads, found.tilt, found.plays

Every number comes from the relations in `relations/posts_as_cut.py`. What is chosen here is the
corner that each flat stands on: of all the ways to stand on one corner of each foot, the floor lets
the base come down the least, and the top lies as high as the heads hold it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.judge import in_words
from tablekit.engine.quantity import unit_size
from tablekit.engine.shop import ShopStyle, fine_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import words
from tablekit.engine.written_js import JsPlan, script_of
from tablekit.planning.formulas import found
from tablekit.relations import marking
from tablekit.relations import posts_as_cut as cut
from tablekit.relations import quantities as q
from tablekit.relations.bases import base_of
from tablekit.relations.season_fit import CLEARANCE, SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.program import Program
    from tablekit.engine.relation import Limit
    from tablekit.engine.sheet import Sheet

Floats = NDArray[np.float64]
# Each of the sizes of a post: what the sheet calls it, and its three quantities.
OF_A_POST: dict[str, cut.Three] = {
    "post_length": cut.lengths,
    "notch_position": cut.notch_positions,
    "notch_depth": cut.notch_depths,
    "notch_width": cut.notch_widths,
    "post_section": cut.sections,
    "post_width": cut.widths,
    "foot_flat": cut.foot_flats,
    "head_flat": cut.head_flats,
    "foot_shim": cut.foot_shims,
    "head_shim": cut.head_shims,
}
OF_THE_TOP = ("top_thickness", "top_diameter")
SHIMS = ("foot_shim", "head_shim")
_RESTS = tuple(
    tuple(one.name for edge in rests for one in edge) for rests in (cut.foot_rests, cut.head_rests)
)
# Which corner each of three flats touches with, and what that makes the nine numbers that say it.
_CORNERS = np.array(
    [
        [float(chosen[post] == edge) for edge in range(3) for post in range(3)]
        for chosen in product(range(3), repeat=3)
    ]
)
_WANTED = tuple(
    one.name
    for one in (
        *cut.heights, cut.tilt, cut.rim_drop, cut.slope_used, cut.height, cut.foot_circle,
        cut.head_circle, cut.overhang, *cut.plays, *cut.foot_gaps, *cut.head_gaps, cut.fall_x,
        cut.fall_y, *cut.foot_depths, *cut.head_depths, q.crossing_angle, q.notch_floor_tilt,
    )
)  # fmt: skip
# What is never cut so far off that it could be one unit taken for another: a flat may be. Ten is of
# millimetres and centimetres.
_LENGTHS = tuple(stem for stem in OF_A_POST if "flat" not in stem and "shim" not in stem)
RATIOS, NEARLY = (10.0, unit_size("in") / unit_size("mm")), 0.1
_FEET, _HEADS = cut.floor_middle.name, cut.under_middle.name
# What a page says of posts as they are measured, by a function of its own.
_ON_A_PAGE = tuple(
    one.name
    for one in (
        *cut.heights,
        cut.rim_drop,
        cut.slope_used,
        cut.height,
        cut.overhang,
        *cut.plays,
    )
)


class NoLongerFit(DesignError):
    """Posts that do not fit one another as cut.

    names  the sizes that it takes to say so, posts numbered as in the drawings
    """

    def __init__(self, message: str, names: Sequence[str]):
        super().__init__(message)
        self.names = tuple(names)


class WrongUnit(NoLongerFit):
    """A size that differs from the one drawn as one unit does from another."""


@dataclass(frozen=True)
class Pieces:
    """Three posts and a top, each size by the name of its quantity, in its reporting unit.

    numbers  all that the network of posts as cut is given, but which corners touch
    cut      names of the sizes that are cut and measured
    on_pads  whether the feet stand on pads, which give, and so bear at the middle of the flat
    order    which post of the piece is the first, second and third of the way round
    sheet_numbers  the numbers as the sheet has them, of posts that are not cut
    clearance  of a notch that is fitted to the post in it, mm
    angle      between two posts, degrees
    """

    numbers: Mapping[str, float]
    cut: frozenset[str]
    on_pads: bool
    order: tuple[int, int, int]
    kind: str
    style: ShopStyle
    sheet_numbers: Mapping[str, float]
    clearance: float
    angle: float

    def with_sizes(self, sizes: Mapping[str, float], cut: bool = True) -> Pieces:
        """The same with other sizes, by name; posts are numbered as in the drawings."""
        own = {self.own(name): number for name, number in sizes.items()}
        measured = self.cut | own.keys() if cut else self.cut
        return replace(self, numbers={**self.numbers, **own}, cut=frozenset(measured))

    def own(self, name: str) -> str:
        """The name of a size in the network, where posts are numbered the way round: the same but
        on a left-hand base. It leads back as well."""
        stem, _, number = name.rpartition("_")
        if number not in ("1", "2", "3"):
            return name
        return f"{stem}_{self.order[int(number) - 1] + 1}"

    def number(self, name: str) -> float:
        """A size by its name; posts are numbered as in the drawings."""
        return self.numbers[self.own(name)]

    def fitting_width(self, post: int) -> float:
        """How wide, along it, the notch of a post has to be for the post in it."""
        guest = self.order[(self.order.index(post - 1) + 1) % 3] + 1
        return _notch_width(self.number(f"post_width_{guest}"), self.clearance, self.angle)

    def in_words(self, limit: Limit) -> str:
        """A limit of the network in words, its posts numbered as in the drawings."""
        return re.sub(r"\b[123]\b", lambda n: self.own(f"_{n[0]}")[1:], limit.words)

    def is_cut(self, name: str) -> bool:
        """Whether that size is cut and measured."""
        return self.own(name) in self.cut


@dataclass(frozen=True)
class Standing:
    """How three posts stand and how the top lies on them, posts numbered as in the drawings.

    heads     height over the floor of the point of each head that the top lies on, mm
    tilt      of the top out of level, degrees; rim_drop the same across the rim, mm
    used      tilt as a share of the slope that shows
    height    floor to the upper face at the centre, mm
    low_side  bearing of the side that is low, degrees anticlockwise from the way post 1 leans
    plays     clearance of each notch and the post in it, mm; the notch's post first
    gaps      widest gap at any flat between it and floor or top, mm
    circles   radius of the circle through the feet, and through the heads, mm
    holds     whether the posts meet as they should: notches inside their posts and none cut through
    numbers   everything by the name of its quantity in the network, reporting units
    """

    heads: tuple[float, float, float]
    tilt: float
    rim_drop: float
    used: float
    height: float
    overhang: float
    low_side: float
    plays: tuple[float, float, float]
    gaps: float
    circles: tuple[float, float]
    holds: bool
    numbers: Mapping[str, float]

    @property
    def goes_together(self) -> bool:
        """Whether each post goes into its notch, as far as what is cut decides it: whether posts of
        this lean go together at all is a check on the piece itself."""
        return self.holds and min(self.plays) > -1e-9

    @property
    def fits(self) -> bool:
        """Whether each post goes into its notch without rattling there."""
        return self.goes_together and max(self.plays) <= SLOPPY + 1e-9


def drawn(sheet: Sheet) -> Pieces:
    """The posts and the top as a sheet has them, all three posts alike and none of it cut.

    Raises DesignError, in a sentence, for a base whose posts do not lie in one another in turn, and
    where the sheet leaves a size open.
    """
    base = base_of(sheet)
    if not base.crossed or base.notches_each != 1:
        raise DesignError(
            "sizes as cut can be worked through for three crossed posts with one notch each; "
            f"this piece stands on {base.described(sheet.kind)}"
        )
    own = [name for name in OF_A_POST if name not in SHIMS]
    wanted = (*own, *(one.name for one in cut.OF_THE_PIECE), "crossing_angle")
    missing = [name for name in wanted if sheet.get(name) is None]
    if missing:
        raise DesignError(f"{', '.join(missing)} has no value, so sizes as cut say nothing yet")
    numbers = {one.name: sheet.number(name) for name in own for one in OF_A_POST[name]}
    play, angle = sheet.get("notch_clearance"), sheet.number("crossing_angle")
    clearance = CLEARANCE if play is None else play
    fitted = _notch_width(sheet.number("post_width"), clearance, angle)
    numbers |= {one.name: fitted for one in cut.notch_widths}
    numbers |= {one.name: 0.0 for one in (*cut.foot_shims, *cut.head_shims)}
    numbers |= {one.name: sheet.number(one.name) for one in cut.OF_THE_PIECE}
    numbers[cut.notch_sense.name] = float(base.up)
    order = (0, 2, 1) if base.mirrored else (0, 1, 2)
    on_pads = sheet.number("pad_projection") > 0
    return Pieces(
        numbers, frozenset(), on_pads, order, sheet.kind, sheet.shop_style,
        sheet_numbers=numbers, clearance=clearance, angle=angle,
    )  # fmt: skip


def _notch_width(guest: float, clearance: float, angle: float) -> float:
    return found(
        marking.CLEARANCE, "marked_width", clearance=clearance, guest_width=guest,
        crossing_angle=angle,
    )  # fmt: skip


def stand(pieces: Pieces) -> Standing:
    """How three posts stand. Raises DesignError, in a sentence, where they no longer meet."""
    (found_,) = stand_all([pieces])
    if not found_.holds:
        raise _why_not(pieces)
    return found_


def make_ready(pieces: Pieces) -> None:
    """Compile all that standing posts up may need, so that nothing of it is left to a slider.

    Posts that do not fit are looked at once more, by what is compiled only for them."""
    stand_all([pieces])
    with suppress(DesignError):
        stand(pieces.with_sizes({"notch_depth_1": 2 * pieces.number("post_section_1")}))


def stand_all(several: Sequence[Pieces]) -> list[Standing]:
    """How each of several sets of posts stands; those that do not meet hold nothing."""
    columns = _columns(several)
    columns |= _touching(columns, np.array([one.on_pads for one in several]))
    found_, holds = _run(columns, _WANTED, len(several))
    return [
        _standing(one, {name: float(found_[name][k]) for name in found_}, bool(holds[k]))
        for k, one in enumerate(several)
    ]


def refuse_wrong_units(pieces: Pieces) -> None:
    """Raises WrongUnit for a size that was measured and is about ten times, or as an inch to a
    millimetre, what was drawn."""
    for name in sorted(pieces.cut):
        if not unit_shows(name):
            continue
        size, drawn_ = pieces.numbers[name], pieces.sheet_numbers[name]
        if seems_wrong_unit(size, drawn_):
            said = pieces.own(name)
            here, there = (fine_text(one, pieces.style, 5) for one in (size, drawn_))
            raise WrongUnit(
                f"the {_in_words(said)} is {here} and was drawn {there}; is it in the right unit?",
                [said],
            )


def unit_shows(name: str) -> bool:
    """Whether a size by that name is never cut so far off that it could be one unit taken for
    another."""
    return name in OF_THE_TOP or name.rpartition("_")[0] in _LENGTHS


def seems_wrong_unit(size: float, drawn_: float) -> bool:
    """Whether a size is about ten times, or as an inch to a millimetre, what was drawn."""
    off = abs(math.log(size / drawn_))
    return any(abs(off - math.log(ratio)) < NEARLY for ratio in RATIOS)


def _in_words(name: str) -> str:
    """A size as it is read: "length of post 2", "top thickness"."""
    stem, _, number = name.rpartition("_")
    return (
        words(name)
        if name in OF_THE_TOP
        else f"{words(stem.removeprefix('post_'))} of post {number}"
    )


def sheet_of(pieces: Pieces, name: str, shop: ShopStyle) -> Sheet:
    """The sheet of these posts, on which how each number came about can be shown.

    Raises DesignError where they no longer meet.
    """
    givens = {**pieces.numbers, **_corners_of(pieces)}
    return cut.network().solve(givens, name=name, shop=shop, why=False)


@dataclass(frozen=True)
class Touching:
    """What a page needs to choose the corners that touch, as `stand` chooses them.

    feet, heads   the nine numbers that say it: on the long arris, posts one to three, then on the
                  edge square to the bearing face, then on that square to the side face
    floor, under  the names to choose by: the floor that is lowest, and the top that is highest
    """

    feet: tuple[str, ...] = _RESTS[0]
    heads: tuple[str, ...] = _RESTS[1]
    floor: str = _FEET
    under: str = _HEADS


@cache
def script() -> JsPlan:
    """How three posts stand, once it is known which corners touch, as the JavaScript function
    `asCut`; what it leaves to whoever calls it is in `Touching`."""
    return script_of(_program(), "asCut", (*_ON_A_PAGE, _FEET, _HEADS))


@cache
def _given_names() -> tuple[str, ...]:
    sizes = (one.name for three in cut.CUTS for one in three)
    of_the_piece = (one.name for one in cut.OF_THE_PIECE)
    return (*of_the_piece, *sizes, cut.notch_sense.name, *_RESTS[0], *_RESTS[1])


@cache
def _program() -> Program:
    return cut.network().plan(_given_names()).program


def _columns(several: Sequence[Pieces]) -> dict[str, Floats]:
    """The sizes of several sets of posts, coherent SI, by name; shape (n,)."""
    quantities = cut.network().quantities
    return {
        name: np.array([quantities[name].to_si(one.numbers[name]) for one in several])
        for name in several[0].numbers
    }


def _corners_of(pieces: Pieces) -> dict[str, float]:
    """Which corners touch, as the numbers that say so."""
    rests = _touching(_columns([pieces]), np.array([pieces.on_pads]))
    return {name: float(shares[0]) for name, shares in rests.items()}


def _touching(columns: Mapping[str, Floats], on_pads: NDArray[np.bool_]) -> dict[str, Floats]:
    """Which corners touch, as the numbers that say so, each of shape (n,).

    The floor lies under every corner, so of all floors through one corner of each foot it is the
    lowest under the middle of the feet; the top lies on every corner, and is the highest.
    """
    count, ways = len(on_pads), len(_CORNERS)
    tried = {name: np.repeat(column, ways) for name, column in columns.items()}
    for names in _RESTS:
        tried |= {name: np.tile(_CORNERS[:, k], count) for k, name in enumerate(names)}
    found_, _ = _run(tried, (_FEET, _HEADS), count * ways)
    floor, under = (found_[name].reshape(count, ways) for name in (_FEET, _HEADS))
    lowest = np.argmin(np.where(np.isnan(floor), np.inf, floor), axis=1)
    highest = np.argmax(np.where(np.isnan(under), -np.inf, under), axis=1)
    feet = np.where(on_pads[:, None], 0.0, _CORNERS[lowest])
    heads = _CORNERS[highest]
    return {
        name: shares[:, k]
        for names, shares in zip(_RESTS, (feet, heads), strict=True)
        for k, name in enumerate(names)
    }


def _run(
    columns: Mapping[str, Floats], wanted: Sequence[str], count: int
) -> tuple[dict[str, Floats], NDArray[np.bool_]]:
    """Results in reporting units, and which sets of posts can be."""
    quantities = cut.network().quantities
    results = {name: np.empty(count) for name in wanted}
    good = np.zeros(count, dtype=bool)
    with np.errstate(all="ignore"):
        for where, values, holds in _program().chunks(columns, wanted):
            good[where] = holds
            for name in wanted:
                results[name][where] = quantities[name].from_si(values[name])
    return results, good


def _standing(pieces: Pieces, numbers: dict[str, float], holds: bool) -> Standing:
    def three(of: cut.Three) -> tuple[float, float, float]:
        one, two, last = (numbers[of[k].name] for k in pieces.order)
        return one, two, last

    hand = 1.0 if pieces.order == (0, 1, 2) else -1.0
    bearing = math.degrees(math.atan2(hand * numbers["top_fall_y"], numbers["top_fall_x"]))
    flats = cut.head_gaps if pieces.on_pads else (*cut.foot_gaps, *cut.head_gaps)
    return Standing(
        heads=three(cut.heights),
        tilt=numbers[cut.tilt.name],
        rim_drop=numbers[cut.rim_drop.name],
        used=numbers[cut.slope_used.name],
        height=numbers[cut.height.name],
        overhang=numbers[cut.overhang.name],
        low_side=bearing % 360,
        plays=three(cut.plays),
        gaps=max(numbers[one.name] for one in flats),
        circles=(numbers[cut.foot_circle.name], numbers[cut.head_circle.name]),
        holds=holds,
        numbers=numbers,
    )


def _why_not(pieces: Pieces) -> NoLongerFit:
    """Why these posts do not fit one another, in a sentence."""
    network = cut.network()
    si = {name: network.quantities[name].to_si(size) for name, size in pieces.numbers.items()}
    outcome = _program().run({**si, **_corners_of(pieces)})
    lead = "as cut, the posts no longer fit one another"
    for problem in outcome.problems:
        if problem.limit is None:
            continue
        short = fine_text(-problem.value / unit_size("mm"), pieces.style)
        rule = pieces.in_words(problem.limit)
        said = f"{lead}: it takes that {rule}, and it is {short} short of that"
        direct = {symbol.name for symbol in problem.limit.slack.free_symbols}
        blamed = sorted(pieces.cut, key=lambda name: (name not in direct, name))
        return NoLongerFit(said, [pieces.own(name) for name in blamed])
    said = in_words(outcome.problems[0], network, pieces.style)
    return NoLongerFit(f"{lead}: {said}", [pieces.own(name) for name in sorted(pieces.cut)])
