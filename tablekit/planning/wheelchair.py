"""Whether there is a place at the table where a wheelchair user's knees and toes fit.

wheelchair_place(sheet)

After sections 306 and 902 of the 2010 ADA Standards, as far as a table alone can tell
(`tablekit/relations/knees.py`; proofs: `reference/derivations/people.md`). No certificate:
the local law on access decides, and the way to the table and the floor before it count as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import CheckResult, judge, tidy
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.planning.sitters import MOST_WIDER, Edges, best_turn, clear_depth
from tablekit.relations import knees as accessible
from tablekit.relations import people
from tablekit.relations.kinds import is_seat
from tablekit.solids.body import Body, cut
from tablekit.solids.model import PLUMB, Model, build

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

Array = NDArray[np.float64]
CAUTION = (
    "Quoted from copies of the 2010 ADA Standards, sections 306 and 902; not a certificate. "
    "Local access law decides, and it also requires a clear floor in front of the table."
)


def _mm(constant: Any) -> float:
    return float(constant.si) * 1000


TOE_HEIGHT, KNEE_HEIGHT = _mm(accessible.TOE_HEIGHT), _mm(accessible.KNEE_HEIGHT)
TOE_DEPTH, MOST_DEPTH = _mm(accessible.TOE_DEPTH), _mm(accessible.MOST_DEPTH)
WIDTH = _mm(accessible.PLACE_WIDTH)


@dataclass(frozen=True)
class Level:
    """What is clear at one height, from the rim inward, and what has to be; all mm. The clear
    depth is counted up to the 25 in beyond which nothing counts."""

    height: float
    clear: float
    needed: float


@dataclass(frozen=True)
class WheelchairPlace:
    """The best place for a wheelchair user, and the verdicts on it.

    bearing   degrees anticlockwise from post 1's lean, seen from above
    short     by how much the worst depth is less than it has to be, mm; negative where all is well
    profile   clear depths from the floor up, with the needed ones
    mending   diameter of the top, posts unmoved, at which the depths would do
    checks    height of the top, height under it, depth for toes, depth for knees
    """

    bearing: float
    short: float
    profile: tuple[Level, ...]
    mending: float
    checks: tuple[CheckResult, ...]
    gap: float
    style: ShopStyle = field(default_factory=ShopStyle)

    @property
    def fits(self) -> bool:
        """Whether every one of the checks passes."""
        return all(check.verdict == "pass" for check in self.checks)

    @property
    def worth_it(self) -> bool:
        """Whether the top that mends it is not half another table."""
        return self.mending <= MOST_WIDER * (self.mending - 2 * max(self.short, 0.0))

    def text(self) -> str:
        """The answer in a few sentences."""
        if self.fits:
            lead = f"A wheelchair user's knees and toes fit at {self.bearing:.0f}°."
            return f"{lead} {CAUTION}"

        def length(number: float | None) -> str:
            return shop_text(max(number or 0.0, 0.0), "mm", self.style)

        wrong = "; ".join(
            f"{check.name} {length(check.value)} (at least {length(check.limit)})"
            for check in self.checks
            if check.verdict != "pass"
        )
        mend = ""
        if self.short > 0 and self.worth_it:
            across = length(self.mending)
            mend = f" A top {across} across over the same posts would give the depths."
        return f"A wheelchair user does not fit: {wrong}.{mend} {CAUTION}"

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "fits": self.fits,
            "bearing": tidy(self.bearing),
            "width": tidy(WIDTH),
            "profile": [
                {"height": tidy(one.height), "clear": tidy(one.clear), "needed": tidy(one.needed)}
                for one in self.profile
            ],
            "diameter_that_mends_it": tidy(self.mending),
            "checks": [
                {**check.__dict__, "value": tidy(check.value), "limit": tidy(check.limit)}
                for check in self.checks
            ],
            "note": CAUTION,
        }


_knee_depth = solve_for(
    accessible.KNEE_DEPTH,
    accessible.needed_depth,
    accessible.clearance_height,
    constants=accessible.ACCESSIBLE_CONSTANTS,
)


def needed_depth(height: float) -> float:
    """Depth that has to be clear for toes or knees at a height above the floor, mm."""
    return TOE_DEPTH if height < TOE_HEIGHT else 1000 * float(_knee_depth(height / 1000))


def wheelchair_place(sheet: Sheet, model: Model | None = None) -> WheelchairPlace:
    """The bearing at which posts leave a wheelchair user most room, and what is to be said of it.

    model  of the sheet, where it has been built before

    Raises DesignError for a stool, and as the solids do for a base whose posts do not cross."""
    if is_seat(sheet.kind):
        raise DesignError("a wheelchair user sits at a table, not at a stool")
    model = model or build(sheet)
    bodies = [*model.posts, *model.pads]
    radius = sheet.number("top_diameter") / 2
    toes = _band(bodies, 0.0, TOE_HEIGHT, lambda _: TOE_DEPTH)
    knees = _band(bodies, TOE_HEIGHT, KNEE_HEIGHT, needed_depth)
    best = best_turn([toes, knees], radius, WIDTH / 2, 1)
    at = np.array([best.turn])
    short = [-_left(edges, radius, at) for edges in (toes, knees)]
    worst = max(short)
    mending = 2 * (radius + max(0.0, worst))
    return WheelchairPlace(
        bearing=math.degrees(best.turn) % 360,
        short=worst,
        profile=_profile(bodies, radius, best.turn),
        mending=mending,
        checks=(*_heights(sheet), *_depths(sheet, short[0], short[1], mending)),
        gap=best.gap,
        style=sheet.shop_style,
    )


def _left(edges: Edges, radius: float, at: Array) -> float:
    return float(clear_depth([edges], radius, at, np.asarray(WIDTH / 2))[0])


def _band(bodies: list[Body], low: float, high: float, needed: Callable[[float], float]) -> Edges:
    """Edges of the parts of the bodies between two heights, with the depth needed there.

    A pad is counted as the post it is under."""
    start, end, more, owner = [], [], [], []
    for body in bodies:
        try:
            part = cut(cut(body, PLUMB, high), -PLUMB, -low)
        except ValueError:  # nothing of it lies there
            continue
        ends = part.vertices[part.edges]
        start.append(ends[:, 0, :2])
        end.append(ends[:, 1, :2])
        more.append(np.vectorize(needed, otypes=[float])(np.maximum(ends[..., 2], low)))
        owner.append(np.full(len(ends), body.number))
    if not start:
        nothing = np.zeros((0, 2))
        return Edges(nothing, nothing, nothing, np.zeros(0, dtype=np.int64))
    return Edges(np.vstack(start), np.vstack(end), np.vstack(more), np.concatenate(owner))


def _profile(bodies: list[Body], radius: float, turn: float, steps: int = 10) -> tuple[Level, ...]:
    """Clear depth at heights from the floor to 27 in; both depths are told at 9 in."""
    below = [(z, TOE_DEPTH) for z in np.linspace(0.0, TOE_HEIGHT, steps)]
    above = [(z, needed_depth(z)) for z in np.linspace(TOE_HEIGHT, KNEE_HEIGHT, 2 * steps - 1)]
    made = []
    for height, needed in (*below, *above):
        clear = _left(_slice(bodies, float(height)), radius, np.array([turn]))
        made.append(Level(float(height), min(clear, MOST_DEPTH), needed))
    return tuple(made)


def _slice(bodies: list[Body], height: float) -> Edges:
    """The bodies a hair on either side of a height."""
    return _band(bodies, height - 1e-6, height + 1e-6, lambda _: 0.0)


def _heights(sheet: Sheet) -> tuple[CheckResult, CheckResult]:
    """Plainly as an accessible table: a low table is not one."""
    plain = []
    for graded in (people.HEIGHT, people.KNEES):
        one = judge(_plain(graded), sheet[graded.quantity], sheet.shop_style)
        verdict = "fail" if one.verdict == "caution" else one.verdict
        plain.append(replace(one, verdict=verdict))
    return plain[0], plain[1]


def _plain(graded: people.Graded) -> people.Requirement:
    shared = {field.name: getattr(graded, field.name) for field in fields(people.Requirement)}
    return people.Requirement(**shared)


def _depths(
    sheet: Sheet, toes: float, knees: float, mending: float
) -> tuple[CheckResult, CheckResult]:
    def length(number: float) -> str:
        return shop_text(number, "mm", sheet.shop_style)

    toe_height, unit = length(TOE_HEIGHT), sheet.shop_style.display
    wider = f"Make the top {length(mending)} across over the same posts, or stand"
    lead = wider if mending <= MOST_WIDER * sheet.number("top_diameter") else "Stand"
    change = f"{lead} the posts steeper or closer; the other way up may also help."
    made = []
    for part, short, needed, where, words in (
        ("toes", toes, TOE_DEPTH, "306.2.3", f"up to {toe_height} above the floor"),
        ("knees", knees, needed_depth(TOE_HEIGHT), "306.3.3 and 306.3.4",
         f"at {toe_height} above the floor, and 1 {unit} less for every 6 {unit} above that, up "
         f"to {length(KNEE_HEIGHT)}"),
    ):  # fmt: skip
        # Knees are judged where they are shortest, and told as what that comes to at 9 in.
        clear, fits = min(needed - short, MOST_DEPTH), short <= 1e-6
        told = length(max(clear, 0.0))
        lead = f"{told} clear over a width of {length(WIDTH)} (at least {length(needed)} {words})."
        message = lead if fits else f"{lead} {change}"
        made.append(
            CheckResult(
                f"{part}_depth", f"depth for {part}", "pass" if fits else "fail", clear, needed,
                "mm", str(accessible.clause(where)), message, sense="at least",
                mend="" if fits else change,
            )
        )  # fmt: skip
    return made[0], made[1]
