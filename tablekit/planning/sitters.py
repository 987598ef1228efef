"""Sitters round the rim: whose knees meet a post, and how to turn the seats so that none do.

sitters(sheet)            as many as were asked for; else as many as the rim and the posts let sit
sitters(sheet, seats=3)

Proofs: `reference/derivations/people.md`. Bearings are degrees anticlockwise, seen from above, from
post 1's lean; lengths are millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.quantity import common_practice
from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import CheckResult, judge, tidy
from tablekit.engine.shop import plain_number
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.engine.wording import capital
from tablekit.relations import knees, people
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import is_seat

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- the use that a height suits -------------------------------------------------------------------


def height_for_use(sheet: Sheet, use: str | None = None) -> CheckResult:
    """Which use the height of a table or of a seat suits.

    use  for a table "low", "side", "dining", "counter" or "bar", for a stool "child's", "low",
         "dining", "workshop", "counter" or "bar": judged by that alone. Where left out, any use
         will do; between two uses it is a caution that names both.
    Raises DesignError for another use.
    """
    graded = people.SEAT if is_seat(sheet.kind) else people.HEIGHT
    value = sheet[graded.quantity]
    number = sheet.number(graded.quantity)
    return judge(graded.at(number, sheet.shop_style, use), value, sheet.shop_style)


# -- how far in from the rim the posts leave a strip under the table clear -------------------------

Array = NDArray[np.float64]
POSTS = 3
# By how much a wider top may be said to mend a want of room; beyond it is another table (our own
# choice).
MOST_WIDER = 1.25
WITHIN = 0.05  # mm, to which the best turn is proved
_MOST_ROUNDS = 40


@dataclass(frozen=True, eq=False)
class Edges:
    """Straight edges of convex pieces of the posts, whose corners are their ends.

    start, end   in plan, shape (n, 2)
    more         what each end counts farther out than it is, shape (n, 2): with a depth that
                 shrinks with the height, reach and needed depth are looked at together
    owner        number of the post each belongs to, 1 to 3, shape (n,)
    """

    start: Array
    end: Array
    more: Array
    owner: NDArray[np.int64]

    @property
    def farthest(self) -> float:
        """The greatest distance of a corner from the centre line."""
        return float(np.hypot(*np.vstack([self.start, self.end]).T).max(initial=0.0))

    def reach(self, bearings: Array, half_width: Array | float) -> Array:
        """How far out the edges reach, counted with `more`, inside a strip along each bearing.

        bearings     shape (m,), radians
        half_width   of the strip, one or shape (m,)

        Gives shape (m, n), −inf where an edge misses the strip.
        """
        out = np.stack([np.cos(bearings), np.sin(bearings)])
        aside = np.stack([-out[1], out[0]])
        half = np.broadcast_to(np.asarray(half_width, dtype=float), bearings.shape)[:, None]
        first, last = (self.start @ aside).T, (self.end @ aside).T
        low_out = (self.start @ out).T + self.more[:, 0]
        high_out = (self.end @ out).T + self.more[:, 1]
        run = last - first
        level = np.abs(run) < 1e-12
        slope = np.where(level, 1.0, run)
        ends = np.sort(np.stack([(-half - first) / slope, (half - first) / slope]), axis=0)
        begin, stop = np.clip(ends[0], 0.0, 1.0), np.clip(ends[1], 0.0, 1.0)
        missed = np.where(level, np.abs(first) > half, (ends[0] > 1.0) | (ends[1] < 0.0))
        begin, stop = np.where(level, 0.0, begin), np.where(level, 1.0, stop)
        best = np.maximum(
            low_out + begin * (high_out - low_out), low_out + stop * (high_out - low_out)
        )
        return np.where(missed | (half < 0), -np.inf, best)


def edges_of_loops(loops: Sequence[Array], owners: Sequence[int]) -> Edges:
    """The sides of polygons in plan, each shape (k, 2)."""
    kept = [(loop, owner) for loop, owner in zip(loops, owners, strict=True) if len(loop)]
    if not kept:
        return Edges(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0, np.int64))
    start = np.vstack([loop for loop, _ in kept])
    end = np.vstack([np.roll(loop, -1, axis=0) for loop, _ in kept])
    owner = np.concatenate([np.full(len(loop), number) for loop, number in kept])
    return Edges(start, end, np.zeros((len(start), 2)), owner)


# --- the best of all bearings ---------------------------------------------------------------------


@dataclass(frozen=True)
class Best:
    """The turn at which the worst of several places is best, radians; what it leaves clear there;
    and by how much at most another turn could leave more."""

    turn: float
    clear: float
    gap: float


def clear_depth(pieces: Sequence[Edges], radius: float, bearings: Array, half: Array) -> Array:
    """What is clear from the rim inward at each bearing, shape (m,); at most `radius`.

    A negative number says that a post reaches beyond the rim by so much."""
    reached = [one.reach(bearings, half).max(axis=1, initial=-np.inf) for one in pieces]
    return np.minimum(radius - np.max(reached, axis=0), radius)


def best_turn(pieces: Sequence[Edges], radius: float, half_width: float, places: int) -> Best:
    """Turns `places` equal places round the rim so that the worst is as clear as it can be.

    Interval by interval, with proof (derivation: "the best turn")."""
    period = 2 * math.pi / math.lcm(POSTS, places)
    stride = 2 * math.pi / places * np.arange(places)
    far = max(one.farthest for one in pieces)
    count = max(8, round(96 / places))
    delta = period / count / 2
    middles = period * (np.arange(count) + 0.5) / count
    best, bound = Best(0.0, -math.inf, math.inf), math.inf
    for _ in range(_MOST_ROUNDS):
        bearings = (middles[:, None] + stride).ravel()

        def worst(half: float, slack: float, at: Array = bearings) -> Array:
            clear = clear_depth(pieces, radius, at, np.full(at.shape, half))
            return np.minimum(clear + slack, radius).reshape(-1, places).min(axis=1)

        here = worst(half_width, 0.0)
        if here.max() > best.clear + 1e-9:
            ties = np.nonzero(here > here.max() - 1e-9)[0]
            chosen = middles[ties[len(ties) // 2]]  # in the middle of turns that are all as good
            best = Best(float(chosen), float(here.max()), math.inf)
        above = worst(half_width - far * delta, far * delta)
        open_still = above > best.clear + WITHIN
        bound = float(above[open_still].max(initial=best.clear + WITHIN))
        if not open_still.any():
            break
        delta /= 2
        middles = np.concatenate([middles[open_still] - delta, middles[open_still] + delta])
    return Best(best.turn, best.clear, bound - best.clear)


# --- posts at the level of knees ------------------------------------------------------------------

_GIVEN = (
    "splay", "roll", "post_section", "post_width", "centre_distance", "foot_arm", "head_arm",
    "waist_height",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Traces:
    """The posts cut level.

    loops         each post's outline in plan, shape (k, 2); empty where it does not come so far
    axis          where each axis passes, shape (3, 2)
    axis_radius   from the centre line
    """

    loops: tuple[Array, Array, Array]
    axis: Array
    axis_radius: float


def traces(sheet: Sheet, level: float) -> Traces:
    """The three posts cut level at a height above the floor, mm.

    Raises DesignError where the sheet has no posts that cross."""
    missing = [name for name in _GIVEN if name != "waist_height" and sheet.get(name) is None]
    if missing:
        raise DesignError(
            f"the plan of the posts needs {', '.join(missing)}; it is calculated only for crossed "
            "posts"
        )
    known = {name: sheet.si[name] for name in _GIVEN if name in sheet.si}
    waist = found(knees.waist_height.name, sheet.si)
    known |= {"waist_height": waist, "knee_level": level / 1000}
    size = {quantity.name: 1000 * found(quantity.name, known | _reach(known))
            for quantity, _ in knees.AT_A_HEIGHT}  # fmt: skip
    base = base_of(sheet)
    axis = np.array([size["axis_reach"], base.up * 1000 * known["centre_distance"]])
    floor = sheet.number("pad_projection")
    outline = np.zeros((0, 2))
    if floor <= level <= floor + sheet.number("base_height"):
        outline = _outline(size, axis)
    if base.mirrored:
        axis, outline = axis * [1, -1], (outline * [1, -1])[::-1]
    turned = [_turn(2 * math.pi * k / POSTS) for k in range(POSTS)]
    first, second, third = (outline @ turn for turn in turned)
    return Traces(
        (first, second, third), np.array([axis @ turn for turn in turned]), size["axis_radius"]
    )


def _reach(known: dict[str, float]) -> dict[str, float]:
    return {"axis_reach": found("axis_reach", known)}


def _outline(size: dict[str, float], axis: Array) -> Array:
    """Post 1's trace, anticlockwise, cut off where the post ends."""
    tip = np.array([size["tip_reach"], -size["tip_aside"]])
    wing = np.array([size["wing_reach"], -size["wing_aside"]])
    corners = axis + np.array([tip, -wing, -tip, wing])
    for side, stop in ((1.0, size["head_stop"]), (-1.0, size["foot_stop"])):
        corners = _cut_off(corners, side, stop)
    return corners


def _cut_off(corners: Array, side: float, stop: float) -> Array:
    """The part of a polygon where side times x is at most `stop`."""
    kept: list[Array] = []
    for here, there in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        a, b = stop - side * here[0], stop - side * there[0]
        if a >= 0:
            kept.append(here)
        if a * b < 0:
            kept.append(here + a / (a - b) * (there - here))
    return np.array(kept).reshape(-1, 2)


def _turn(angle: float) -> Array:
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[cos, sin], [-sin, cos]])  # for rows: point @ turn


def found(name: str, si: dict[str, float]) -> float:
    """One of the quantities of `relations/knees.py` from those it follows from, coherent SI."""
    return float(_FORMULAS[name].of(si))


_FORMULAS = {
    quantity.name: solve_for(relation, quantity, within=quantity.si_range)
    for quantity, relation in (
        *knees.AT_A_HEIGHT,
        (knees.waist_height, knees.WAIST_HEIGHT),
        (knees.knee_level, knees.KNEE_LEVEL),
    )
}


# -- sitters round the rim -------------------------------------------------------------------------

Sector = tuple[float, float]

# Common practice, our own choice: a sitter's two knees a little apart, how far they go under the
# rim, and how far they reach above the seat. Measure your own people where it matters.
KNEE_WIDTH, KNEE_DEPTH, THIGH_HEIGHT = 350.0, 250.0, 150.0
SOURCE = common_practice("the room for knees is our own choice")


@dataclass(frozen=True)
class Place:
    """One sitter: bearing in degrees, what is clear from the rim inward, negative by how far a post
    stands out beyond the rim there, and how much that is more than the knees need, negative where
    they meet a post; `post` is the one that is met first."""

    number: int
    bearing: float
    clear_depth: float
    spare: float
    post: int | None

    @property
    def meets(self) -> bool:
        """Whether the knees meet a post."""
        return self.spare < -1e-6


@dataclass(frozen=True, eq=False)
class Sitters:
    """Sitters placed evenly round the rim, turned so that the worst of them fares best.

    places      anticlockwise
    turn        bearing of the first of them, degrees
    gap         by how much at most another turn could serve the worst better, mm
    free        sectors of the rim, (start, end) bearings in degrees, whose knee spaces meet no post
    posts       the posts cut level at `level`
    tried       how many were to be placed; fewer are where nobody asked for them and not all of
                them could be clear of the posts
    most_free   the most sitters, up to those tried, that can all be clear of the posts
    mending     diameter of the top, posts unmoved, at which all these would be clear
    sat_up_to   False where the table is too low for knees to go under it
    """

    places: tuple[Place, ...]
    turn: float
    gap: float
    free: tuple[Sector, ...]
    posts: Traces
    most_free: int
    mending: float
    top_diameter: float
    knee_width: float
    knee_depth: float
    level: float
    tried: int
    sat_up_to: bool = True
    style: ShopStyle = field(default_factory=ShopStyle)

    @property
    def worst(self) -> Place:
        """The sitter with the least room."""
        return min(self.places, key=lambda place: place.clear_depth)

    @property
    def meeting(self) -> tuple[Place, ...]:
        """Those whose knees meet a post."""
        return tuple(place for place in self.places if place.meets)

    @property
    def check(self) -> CheckResult:
        """Passes when nobody meets a post; a caution while fewer could be clear, else a fail."""
        worst = self.worst
        fine = not self.meeting or not self.sat_up_to
        verdict = "pass" if fine else "caution" if self.most_free else "fail"
        return CheckResult(
            "knees_and_posts", "knee room between posts",
            verdict,  # type: ignore[arg-type]
            max(worst.clear_depth, 0.0),
            self.knee_depth, "mm", str(SOURCE), self.text(), sense="at least",
            mend="" if fine else self._mend(),
        )  # fmt: skip

    def text(self) -> str:
        """How they sit, and what to change."""

        def length(number: float) -> str:
            return shop_text(number, "mm", self.style)

        if not self.sat_up_to:
            return "Too low to sit up to: knees stay outside the rim, clear of the posts."
        count, worst = len(self.places), self.worst
        knees = (
            f"Knees taken as {length(self.knee_width)} wide, {length(self.knee_depth)} under the "
            f"rim and {length(self.level)} above the floor."
        )
        if not self.meeting:
            lead = f"{_people(count)}: no knees meet a post"
            spare = f"the tightest place has {length(worst.spare)} to spare"
            more = (
                f" The rim has room for {self.tried}, but then knees meet a post."
                if self.tried > count
                else ""
            )
            return f"{lead}; {spare}. Set the first at {self.turn:.0f}°.{more} {knees}"
        meet = f"meet{'s' * (len(self.meeting) == 1)}"
        lead = f"{len(self.meeting)} of {_people(count)} {meet} a post however they are placed"
        clear = length(worst.clear_depth)
        place = f"place {worst.number} has {clear} clear in front of post {worst.post}"
        if worst.clear_depth < 0:
            place = f"at place {worst.number}, post {worst.post} stands out beyond the rim"
        return (
            f"{lead}: {place}, {length(-worst.spare)} too little. {self._mend()} Sitters who shift "
            f"or straddle a post need less. {knees}"
        )

    def _mend(self) -> str:
        """What to change where knees meet a post."""
        ways = [f"seat {_people(self.most_free)}"] if self.most_free else []
        # A top half as wide again is another table.
        if self.mending <= MOST_WIDER * self.top_diameter:
            across = shop_text(self.mending, "mm", self.style)
            ways.append(f"make the top {across} across over the same posts")
        said = ", or ".join((*ways, "stand the posts steeper or closer"))
        return f"{capital(said)}."

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "seats": len(self.places),
            "first_bearing": tidy(self.turn),
            "proved_within": tidy(self.gap),
            "knee_width": self.knee_width,
            "knee_depth": self.knee_depth,
            "knee_level": tidy(self.level),
            "places": [
                {
                    "place": place.number,
                    "bearing": tidy(place.bearing),
                    "clear_depth": tidy(max(place.clear_depth, 0.0)),
                    "post_beyond_rim": tidy(max(-place.clear_depth, 0.0)),
                    "spare": tidy(place.spare),
                    "post": place.post,
                }
                for place in self.places
            ],
            "free_sectors": [[tidy(start), tidy(end)] for start, end in self.free],
            "most_clear_of_posts": self.most_free,
            "diameter_that_mends_it": tidy(self.mending),
            "check": self.check.__dict__ | {"value": tidy(self.check.value)},
        }


def _people(count: int) -> str:
    return "1 sitter" if count == 1 else f"{count} sitters"


def sitters(
    sheet: Sheet,
    seats: int | None = None,
    *,
    knee_width: float = KNEE_WIDTH,
    knee_depth: float = KNEE_DEPTH,
    knee_level: float | None = None,
) -> Sitters:
    """Places `seats` sitters round a table; where it is left out, as many as the brief asks for by
    `seats` or `rim_per_sitter`, and where it asks for none as many of those that the rim has room
    for as can all be clear of the posts.

    knee_width, knee_depth  of one sitter's knees in plan, mm; depth from the rim inward
    knee_level  height at which to look, mm; where left out a thigh above the seat, or the
                underside of the top where that is lower

    Raises DesignError for a stool, a base whose posts do not cross and a rim without room for
    anybody, and RangeError for measures that no knees have.
    """
    if is_seat(sheet.kind):
        raise DesignError("people sit on a stool, not round it: sitters are placed round a table")
    count = round(sheet.number("seats")) if seats is None else seats
    if count < 1:
        raise DesignError(
            "the rim has no room for a sitter; give seats, a smaller rim_per_sitter or a wider top"
        )
    _measures(count, knee_width, knee_depth, sheet.number("top_diameter") / 2)
    level = knee_height(sheet) if knee_level is None else knee_level
    fewer = seats is None and not _asked_for(sheet)
    return _placed(sheet, count, knee_width, knee_depth, level, fewer)


def _placed(
    sheet: Sheet, tried: int, width: float, depth: float, level: float, fewer: bool
) -> Sitters:
    """With `fewer`, as many of those `tried` as can all be clear of the posts, if any can."""
    radius, half = sheet.number("top_diameter") / 2, width / 2
    posts = traces(sheet, level)
    edges = edges_of_loops(posts.loops, (1, 2, 3))
    most_free = _most_free(edges, radius, half, depth, tried)
    count = most_free if fewer and most_free else tried
    best = best_turn([edges], radius, half, count)
    bearings = best.turn + 2 * math.pi / count * np.arange(count, dtype=np.float64)
    return Sitters(
        places=_places(edges, radius, bearings, half, depth),
        turn=math.degrees(best.turn),
        gap=best.gap,
        free=free_sectors(posts, radius, width, depth),
        posts=posts,
        most_free=most_free,
        mending=2 * (radius + max(0.0, depth - best.clear)),
        top_diameter=2 * radius,
        knee_width=width,
        knee_depth=depth,
        level=level,
        tried=tried,
        sat_up_to=sheet.number("knee_clearance") > people.KNEES.uses[0].high,
        style=sheet.shop_style,
    )


def _asked_for(sheet: Sheet) -> bool:
    """Whether the brief says how many are to sit."""
    return not {"seats", "rim_per_sitter"}.isdisjoint(sheet.givens)


def _measures(count: int, width: float, depth: float, radius: float) -> None:
    for name, number, high in (
        ("seats", count, 70), ("knee_width", width, 2 * radius), ("knee_depth", depth, radius),
    ):  # fmt: skip
        if not 0 < number <= high:
            raise RangeError(
                f"{name} is {plain_number(number)}; for a top {2 * radius:g} mm across it must lie "
                f"between 0 and {high:g}",
                name=name, found=float(number), low=0.0, high=float(high),
            )  # fmt: skip


def knee_height(sheet: Sheet) -> float:
    """Floor to the top of a sitter's knees, mm; no higher than the underside of the top."""
    known = {knees.thigh_height.name: THIGH_HEIGHT / 1000, "table_height": sheet.si["table_height"]}
    told = sheet.get("seat_to_top")
    known["seat_to_top"] = float(people.SEAT_TO_TOP.value) if told is None else told / 1000
    level = 1000 * found(knees.knee_level.name, known)
    return min(level, sheet.number("knee_clearance"))


def _places(
    edges: Edges, radius: float, bearings: Array, half: float, depth: float
) -> tuple[Place, ...]:
    reached = edges.reach(bearings, half)
    clear = clear_depth([edges], radius, bearings, np.asarray(half))
    made = []
    for k, bearing in enumerate(bearings):
        nearest = int(np.argmax(reached[k])) if reached.shape[1] else 0
        met = reached.shape[1] and np.isfinite(reached[k, nearest])
        post = int(edges.owner[nearest]) if met else None
        made.append(
            Place(
                k + 1, math.degrees(bearing) % 360, float(clear[k]), float(clear[k] - depth), post
            )
        )
    return tuple(made)


def _most_free(edges: Edges, radius: float, half: float, depth: float, count: int) -> int:
    for fewer in range(count, 0, -1):
        if best_turn([edges], radius, half, fewer).clear >= depth - 1e-6:
            return fewer
    return 0


# --- which parts of the rim are free of posts -----------------------------------------------------


def free_sectors(posts: Traces, radius: float, width: float, depth: float) -> tuple[Sector, ...]:
    """Sectors of the rim in degrees, (start, end) with start from 0 to 360 and end beyond it, in
    which a sitter's knees meet no post; ((0, 360),) where they nowhere do.

    Exact (derivation: "the whole rim")."""
    edges = edges_of_loops(posts.loops, (1, 2, 3))
    turns = np.unique(np.round(_changes(edges, radius - depth, width / 2) % (2 * math.pi), 12))
    if not len(turns):
        free = clear_depth([edges], radius, np.zeros(1), np.asarray(width / 2))[0] >= depth
        return ((0.0, 360.0),) if free else ()
    after = np.append(turns[1:], turns[0] + 2 * math.pi)
    middles = (turns + after) / 2
    free_here = clear_depth([edges], radius, middles, np.asarray(width / 2)) >= depth
    if free_here.all():
        return ((0.0, 360.0),)
    start = int(np.argmin(free_here)) + 1  # just past a part that is not free
    found_sectors: list[Sector] = []
    for k in (np.arange(len(turns)) + start) % len(turns):
        if not free_here[k]:
            continue
        a, b = math.degrees(turns[k]), math.degrees(after[k])
        if found_sectors and abs((found_sectors[-1][1] - a + 180) % 360 - 180) < 1e-9:
            found_sectors[-1] = (found_sectors[-1][0], found_sectors[-1][1] + b - a)
        else:
            found_sectors.append((a % 360, a % 360 + b - a))
    return tuple(sorted(found_sectors))


def _changes(edges: Edges, inner: float, half: float) -> Array:
    """Every bearing at which a knee space can begin or cease to meet a post, radians."""
    away = np.hypot(*edges.start.T)
    towards = np.arctan2(edges.start[:, 1], edges.start[:, 0])
    turns = []
    for share in (half, -half):
        with np.errstate(invalid="ignore", divide="ignore"):
            slant = np.arcsin(share / away)
        turns += [towards - slant, towards - math.pi + slant]
    with np.errstate(invalid="ignore", divide="ignore"):
        lean = np.arccos(inner / away)
    turns += [towards - lean, towards + lean]
    corner = math.atan2(half, inner)
    for point in _on_circle(edges, math.hypot(inner, half)):
        bearing = math.atan2(point[1], point[0])
        turns += [np.array([bearing - corner, bearing + corner])]
    every = np.concatenate(turns)
    return np.asarray(every[np.isfinite(every)])


def _on_circle(edges: Edges, radius: float) -> Array:
    """Where the edges cross a circle about the centre, shape (k, 2)."""
    run = edges.end - edges.start
    a, b = (run**2).sum(axis=1), (run * edges.start).sum(axis=1)
    c = (edges.start**2).sum(axis=1) - radius**2
    with np.errstate(invalid="ignore"):
        root = np.sqrt(b**2 - a * c)
    at = np.concatenate([(-b - root) / a, (-b + root) / a])
    start, run = np.tile(edges.start, (2, 1)), np.tile(run, (2, 1))
    inside = (at >= 0) & (at <= 1)
    return np.asarray(start[inside] + at[inside, None] * run[inside])
