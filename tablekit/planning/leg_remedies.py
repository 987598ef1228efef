"""A piece on legs as it came out so far: whether it is within tolerance, and if not, what to do.

made = legs_made(work, {"leg_length_2": 452.0, "lean_aside_1": 1.0})
made.verdict, made.remedies[0].text
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tablekit.engine.as_cut import as_cut
from tablekit.engine.network import solve
from tablekit.engine.sheet import CheckResult, tidy
from tablekit.engine.shop import exact_text, fine_text, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital, listed
from tablekit.planning.legs_as_cut import (
    LegPieces,
    LegsStanding,
    LegStanding,
    drawn,
    refuse,
    stand,
    wanted_drop,
)
from tablekit.planning.mending import (
    HAIR,
    HEIGHT_OFF,
    MOST_LEAVES,
    VENEER,
    RemedyStep,
    slope_allowed,
)
from tablekit.relations.season_fit import SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.leg_work import LegWork

# A foot so far off the floor is felt to rock; a foot so far out of place is seen. Our own choice.
ROCKS = {"mm": 0.5, "in": 25.4 / 50}
ASTRAY = {"mm": 10.0, "in": 25.4 * 3 / 8}
# A tenon thicker than its socket by more than this splits the top when it is driven in; a floor of
# less is pushed out by its tenon. Common practice, no source.
TIGHT, THIN = -0.2, 3.0
# What is pared off a tenon over such a floor; the least left over a socket still to be bored; how
# far pads may be thickened, and a tenon with a shaving glued round it; mm. Our own choice.
_PARED, _OVER, _PADS, _SHAVING = 1.0, 6.0, 12.0, 1.5
PRESSES = 0.9 * _PARED  # mm: with less room below it a tenon presses on the floor of its socket
# Minutes at the bench. Common practice, no source: to rank by, not to plan with.
_MINUTES = {"level": 40, "shim": 15, "leg": 120, "pads": 20, "fit": 20, "socket": 60, "depth": 2}
_JOINED = "Stretchers are not worked through: cut them to what you measure from leg to leg."
_VERDICTS = ("pass", "caution", "fail")
_SOCKET = ("socket_radius", "socket_aside", "leg_lean", "lean_aside")
_LEG = ("leg_length", "leg_blank", "tenon_diameter", "tenon_length")


@dataclass(frozen=True)
class LegRemedy:
    """A way to mend it, and what comes of it.

    pieces  the sizes it leaves, which `after` was worked out from
    work    minutes at the bench, roughly
    serves  whether the piece then fits, stands firm and looks level
    """

    what: str
    steps: tuple[RemedyStep, ...]
    pieces: LegPieces
    after: LegsStanding
    work: int
    serves: bool
    height_off: float

    @property
    def fully(self) -> bool:
        """Whether the height is then as asked too, as nearly as anyone sees."""
        return self.serves and abs(self.height_off) <= HEIGHT_OFF[self.pieces.style.display]

    @property
    def text(self) -> str:
        """What to do, and what comes of it."""
        return f"{capital('; '.join(step.text for step in self.steps))}. {self._outcome}"

    @property
    def short(self) -> str:
        """The same without the steps, in a line."""
        return f"{capital(self.what)}: see --full. {self._outcome}"

    @property
    def _outcome(self) -> str:
        style, after = self.pieces.style, self.after
        legs = zip(self.pieces.legs, after.legs, strict=True)
        astray = [f"foot {leg} {exact_text(one.off, style)} out of place" for leg, one in legs
                  if one.off > ASTRAY[style.display]]  # fmt: skip
        near = after.rim_drop < 2 * HAIR[style.display]
        level = "level" if near else f"{fine_text(after.rim_drop, style)} out across the rim"
        rocks = after.rock > ROCKS[style.display]
        rocking = f", still rocking by {fine_text(after.rock, style)}" if rocks else ""
        seen = f", {listed(astray)}" if astray else ""
        return f"Then {shop_text(after.height, 'mm', style)} high, {level}{rocking}{seen}."

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, degrees, minutes."""
        return {
            "what": self.what,
            "where": "; ".join(step.where for step in self.steps),
            "amount": tidy(max((step.amount for step in self.steps), key=abs, default=0.0)),
            "steps": [{"where": s.where, "amount": tidy(s.amount), "text": s.text}
                      for s in self.steps],
            "table_height": tidy(self.after.height), "top_tilt": tidy(self.after.tilt),
            "rim_drop": tidy(self.after.rim_drop), "rock": tidy(self.after.rock),
            "serves": self.serves, "work": self.work, "text": self.text,
        }  # fmt: skip


@dataclass(frozen=True)
class LegsMade:
    """A piece on legs as it came out so far, and what to do now.

    wanted    height that was asked for, mm; `slope` the share of the visible slope that passes
    worse     checks that pass, or nearly, as drawn and come out worse with the worst of the sizes
              as cut taken together
    remedies  what serves first, by its work
    """

    pieces: LegPieces
    standing: LegsStanding
    drawn_arm: float
    wanted: float
    slope: float
    worse: tuple[CheckResult, ...]
    remedies: tuple[LegRemedy, ...]

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
        return not self._faults and abs(self.height_off) <= off

    @property
    def _faults(self) -> list[str]:
        return [
            *faults(self.pieces, self.standing, self.slope),
            *astray(self.pieces, self.standing),
        ]

    @property
    def sawn(self) -> bool:
        """Whether a foot is cut already."""
        return any(self.pieces.is_sawn(leg) for leg in self.pieces.legs)

    @property
    def verdict(self) -> str:
        """How it comes out, in a sentence or two, the verdict first."""
        style = self.pieces.style
        rim = fine_text(self.standing.rim_drop, style)
        if self._faults:
            said = "; ".join(self._faults)
        elif not self.fine:
            said = "the top looks level"
        elif self.sawn:
            said = f"within tolerance, nothing to do. The top is {rim} out of level across the rim"
        else:
            said = "within tolerance, nothing to do but to cut the feet level"
        high = f"{shop_text(self.wanted, 'mm', style)} high as asked"
        if abs(self.height_off) > HAIR[style.display]:
            way = "lower" if self.height_off < 0 else "higher"
            high = f"{fine_text(abs(self.height_off), style)} {way} than asked"
        comes = "is" if self.sawn else "will be"
        worse = f" {self._worse}" if self.worse else ""
        worse += f" {_JOINED}" if self.pieces.work.joins and self._bored else ""
        return f"{said}; the {self.pieces.sheet.kind} {comes} {high}.{worse}"

    @property
    def _bored(self) -> bool:
        return any(self.pieces.is_bored(leg) for leg in self.pieces.legs)

    @property
    def _worse(self) -> str:
        names = listed([f"{one.name} ({one.verdict})" for one in self.worse])
        return f"With these sizes look again at: {names}."

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, degrees, minutes."""
        found = self.standing
        return {
            "verdict": "fine" if self.fine else "look at it",
            "message": self.verdict,
            "table_height": tidy(found.height), "height_off": tidy(self.height_off),
            "top_tilt": tidy(found.tilt), "tilt_direction": tidy(found.low_side),
            "rim_drop": tidy(found.rim_drop), "level": self.level, "rock": tidy(found.rock),
            "rocking_foot": found.rocks if found.rock else None, "tipping_arm": tidy(found.arm),
            "legs": [
                {"drop": tidy(one.drop), "foot": [tidy(place) for place in one.foot],
                 "out_of_place": tidy(one.off), "lean": tidy(one.lean), "entry": tidy(one.entry),
                 "tenon_play": tidy(one.play), "socket_cover": tidy(one.cover)}
                for one in found.legs
            ],
            "worse": [{"id": one.id, "verdict": one.verdict, "message": one.message}
                      for one in self.worse],
            "remedies": [one.to_json() for one in self.remedies],
        }  # fmt: skip


def legs_made(work: LegWork, sizes: Mapping[str, float]) -> LegsMade:
    """A piece on legs of which these sizes are cut and measured, and what to do now.

    sizes  mm and degrees by name, "leg_length_2", "lean_aside_1" or "top_thickness"
    Raises DesignError, in a sentence, where a size is of a leg that is not there, seems to be in
    the wrong unit, or leaves no leg to stand on.
    """
    pieces = drawn(work).with_sizes(sizes)
    refuse(pieces)
    standing = stand(pieces)
    wanted = wanted_drop(pieces) + _over_the_drop(pieces)
    slope = slope_allowed(work.sheet)
    bench = LegBench(pieces, standing, wanted, slope)
    ways = bench.remedies() if bench.faults or bench.looks or bench.off else ()
    arm = stand(drawn(work)).arm
    return LegsMade(pieces, standing, arm, wanted, slope, worse_with(pieces, standing), ways)


def make_ready(work: LegWork) -> None:
    """Compile all that legs as cut may need, so that nothing of it is left to a slider."""
    long, thick = (work.sheet.number(name) for name in ("leg_length", "tenon_diameter"))
    legs_made(work, {"leg_length_1": long, "tenon_diameter_2": 0.98 * thick})


def _over_the_drop(pieces: LegPieces) -> float:
    return pieces.top("top_thickness") + pieces.sheet.number("pad_projection")


def faults(pieces: LegPieces, found: LegsStanding, slope: float) -> Iterator[str]:
    """What keeps it from standing firm and level, a clause each."""
    style = pieces.style
    for leg, one in zip(pieces.legs, found.legs, strict=True):
        yield from _of_a_socket(pieces, leg, one)
    if any(still_to_bore(pieces, found)):
        cover = min(found.legs[leg - 1].cover for leg in still_to_bore(pieces, found))
        left = fine_text(max(cover, 0.0), style)
        yield f"a socket bored as deep as drawn would leave {left} over it"
    if found.rock > ROCKS[style.display]:
        yield f"foot {found.rocks} is {fine_text(found.rock, style)} off the floor, so it rocks"
    if found.used > slope * (1 + 1e-9):
        low = min(pieces.legs, key=lambda leg: found.legs[leg - 1].drop)
        yield (
            f"the top is {fine_text(found.rim_drop, style)} out of level across the rim, low over "
            f"leg {low}"
        )


def astray(pieces: LegPieces, found: LegsStanding) -> Iterator[str]:
    """Feet that are seen to be out of place, a clause each."""
    for leg, one in zip(pieces.legs, found.legs, strict=True):
        if one.off > ASTRAY[pieces.style.display]:
            yield f"foot {leg} stands {exact_text(one.off, pieces.style)} out of place"


def still_to_bore(pieces: LegPieces, found: LegsStanding) -> list[int]:
    """The sockets that are not bored yet and, bored as deep as drawn, would leave too little."""
    blind = pieces.sheet.number("socket_cover") >= THIN
    legs = zip(pieces.legs, found.legs, strict=True)
    return [n for n, one in legs if blind and one.cover < THIN and not pieces.is_bored(n)]


def _of_a_socket(pieces: LegPieces, leg: int, one: LegStanding) -> Iterator[str]:
    style = pieces.style
    if one.play < TIGHT:
        yield f"tenon {leg} is {fine_text(-one.play, style)} too thick for its socket"
    elif one.play > SLOPPY + 1e-9:
        yield f"tenon {leg} is loose, with {fine_text(one.play, style)} of play"
    if not _thin_floor(pieces, leg, one):
        return
    if one.cover <= 0:
        yield f"socket {leg} comes through the upper face"
    else:
        yield f"only {fine_text(one.cover, style)} is left over socket {leg}"


def _thin_floor(pieces: LegPieces, leg: int, one: LegStanding) -> bool:
    """Whether too little is left over a socket that is bored, and its tenon presses on it."""
    presses = pieces.number("socket_depth", leg) - one.entry < PRESSES
    blind = pieces.sheet.number("socket_cover") >= THIN
    return blind and one.cover < THIN and presses and pieces.is_bored(leg)


_Way = tuple[str, list[RemedyStep], LegPieces, int]  # what, steps, sizes after them, minutes


@dataclass(frozen=True)
class LegBench:
    """What can be done about legs that stand so."""

    pieces: LegPieces
    standing: LegsStanding
    wanted: float
    slope: float

    @property
    def faults(self) -> list[str]:
        """What keeps it from standing firm and level."""
        return [*faults(self.pieces, self.standing, self.slope)]

    @property
    def looks(self) -> list[str]:
        """What is only seen."""
        return [*astray(self.pieces, self.standing)]

    @property
    def hair(self) -> float:
        """The finest that is worked to, mm."""
        return HAIR[self.pieces.style.display]

    def remedies(self) -> tuple[LegRemedy, ...]:
        """Every way that was found, what serves and is as high as asked first. Tenons and sockets
        that do not fit are seen to first, whatever else is done."""
        pieces, fitting = self._fitted()
        now = replace(self, pieces=pieces, standing=stand(pieces))
        enough = fitting and not now.faults and not now.looks and not now.off
        ways = [("", [], pieces, 0)] if enough else [*now.ways()]
        extra = _MINUTES["fit"] * len(fitting)
        made = []
        for what, steps, after, minutes in ways:
            named = what or "see to tenons and sockets"
            every = (*fitting, *steps)
            if every:
                made.append(now.remedy(named, every, after, minutes + extra))
        good = [one for one in made if one.serves]
        ranked = sorted(
            good or made, key=lambda one: (abs(one.height_off) > self._passes, one.work)
        )
        return tuple({one.text: one for one in ranked}.values())

    @property
    def _passes(self) -> float:
        return HEIGHT_OFF[self.pieces.style.display]

    @property
    def off(self) -> bool:
        """Whether the height is not what was asked."""
        return abs(self.standing.height - self.wanted) > self._passes

    def remedy(
        self, what: str, steps: tuple[RemedyStep, ...], pieces: LegPieces, minutes: int
    ) -> LegRemedy:
        """A way, with what comes of it."""
        after = stand(pieces)
        left = [*faults(pieces, after, self.slope)]
        return LegRemedy(what, steps, pieces, after, minutes, not left, after.height - self.wanted)

    def ways(self) -> Iterator[_Way]:
        """Ways to bring right how it stands."""
        if not self.faults and not self.off:
            said = f"leave it: the {self.pieces.sheet.kind} stands firm and level"
            yield "leave it", [RemedyStep("feet", 0.0, said)], self.pieces, 0
        else:
            yield from self._marking_again()
        yield from self._shims()
        yield from self._pads()
        yield from self._new_legs()
        yield from self._new_sockets()

    # -- tenons and sockets ------------------------------------------------------------------

    def _fitted(self) -> tuple[LegPieces, list[RemedyStep]]:
        pieces, steps = self.pieces, list[RemedyStep]()
        for leg, one in zip(pieces.legs, self.standing.legs, strict=True):
            size, step = self._fitted_tenon(leg, one)
            pieces, steps = pieces.with_sizes(size), [*steps, *step]
            size, step = self._fitted_socket(leg, one)
            pieces, steps = pieces.with_sizes(size), [*steps, *step]
        if legs := still_to_bore(pieces, self.standing):
            size, deep = self._less_deep(legs)
            pieces, steps = pieces.with_sizes(size), [*steps, deep]
        return pieces, steps

    def _less_deep(self, legs: list[int]) -> tuple[dict[str, float], RemedyStep]:
        """Sockets that are still to be bored, no deeper than the top allows."""
        pieces, one = self.pieces, self.standing.legs[legs[0] - 1]
        least = min(_OVER, pieces.sheet.number("socket_cover"))
        less = (least - one.cover) / math.cos(math.radians(one.lean))
        deep = pieces.number("socket_depth", legs[0]) - less
        said = (
            f"bore socket{_s(legs)} {listed(map(str, legs))} {exact_text(deep, pieces.style)} deep"
        )
        return {f"socket_depth_{leg}": deep for leg in legs}, RemedyStep("sockets", less, said)

    def _fitted_tenon(
        self, leg: int, one: LegStanding
    ) -> tuple[dict[str, float], list[RemedyStep]]:
        style = self.pieces.style
        push = self.pieces.sheet.get("tenon_clearance") or 0.0
        size = {f"tenon_diameter_{leg}": self.pieces.number("socket_diameter", leg) - push}
        where, by = f"tenon {leg}", abs(one.play - push)
        if one.play < TIGHT:
            thinner = f"shave {where} {fine_text(by, style)} thinner, until it goes in by hand"
            return size, [RemedyStep(where, by, thinner)]
        if one.play > SLOPPY + 1e-9:
            more = fine_text(by, style)
            fit = f"glue a shaving round {where} and turn it {more} thicker than it is"
            if by > _SHAVING:
                thick = exact_text(size[f"tenon_diameter_{leg}"], style)
                fit = f"make leg {leg} anew with a tenon {thick} thick"
            return size, [RemedyStep(where, by, fit)]
        return {}, []

    def _fitted_socket(
        self, leg: int, one: LegStanding
    ) -> tuple[dict[str, float], list[RemedyStep]]:
        pieces, style = self.pieces, self.pieces.style
        if not _thin_floor(pieces, leg, one):
            return {}, []
        where = f"socket {leg}"
        if one.cover <= 0:
            said = (
                f"bore {where} right through from the upper face, and fit a through tenon that is "
                "wedged from above, on a new leg where this one is too short"
            )
            return {}, [RemedyStep(where, 0.0, said)]
        clear = pieces.work.bench.number("shoulder_clear")
        size = {f"tenon_length_{leg}": one.entry - _PARED + clear}
        said = (
            f"pare {fine_text(_PARED, style)} off the end of tenon {leg}, so that it does not "
            "press on the thin floor, and drive it gently"
        )
        return size, [RemedyStep(where, _PARED, said)]

    # -- how it stands -----------------------------------------------------------------------

    def _marking_again(self) -> Iterator[_Way]:
        """All feet cut once more, as high as the shortest leg, or what was asked, wants."""
        found, pieces = self.standing, self.pieces
        aim = min(wanted_drop(pieces), *(one.drop for one in found.legs))
        steps, sizes = [], dict[str, float]()
        for leg, one in zip(pieces.legs, found.legs, strict=True):
            slant = math.cos(math.radians(one.lean))
            off = (one.drop - aim) / slant
            if pieces.is_sawn(leg) and off > self.hair:
                sizes[f"leg_length_{leg}"] = one.entry + aim / slant
                said = f"{exact_text(off, pieces.style)} off leg {leg}"
                steps.append(RemedyStep(f"foot {leg}", off, said))
        after = pieces.with_sizes(sizes)
        high = shop_text(stand(after).height - pieces.sheet.number("pad_projection"), "mm",
                         pieces.style)  # fmt: skip
        lead = (
            f"wedge the top level on a flat board, mark all feet for {high} from their lines to "
            "the upper face, and saw"
        )
        if steps:
            first = replace(steps[0], text=f"{lead} about {steps[0].text}")
            yield "level it and cut the feet again", [first, *steps[1:]], after, _MINUTES["level"]
        elif not any(pieces.is_sawn(leg) for leg in pieces.legs):
            lead = lead.replace(", and saw", ", and saw there")
            yield "let it be lower", [RemedyStep("feet", 0.0, lead)], after, 0

    def _shims(self) -> Iterator[_Way]:
        """Leaves of veneer under the feet that are short."""
        found, style = self.standing, self.pieces.style
        leaf = VENEER[style.display]
        most = max(one.drop for one in found.legs)
        wants = {leg: round((most - one.drop) / leaf)
                 for leg, one in zip(self.pieces.legs, found.legs, strict=True)}  # fmt: skip
        if not self._cut_all or not any(wants.values()) or max(wants.values()) > MOST_LEAVES:
            return
        steps = [
            RemedyStep(f"foot {leg}", count * leaf,
                 f"glue {fine_text(count * leaf, style)} of veneer or leather under foot {leg}")
            for leg, count in wants.items() if count
        ]  # fmt: skip
        pads = {leg: count * leaf for leg, count in wants.items()}
        yield "shim the short feet", steps, replace(self.pieces, pads=pads), _MINUTES["shim"]

    @property
    def _cut_all(self) -> bool:
        return all(self.pieces.is_sawn(leg) for leg in self.pieces.legs)

    def _pads(self) -> Iterator[_Way]:
        """Thicker pads under all feet of a piece that is level and too low."""
        low, style = self.wanted - self.standing.height, self.pieces.style
        if not self._passes < low <= _PADS or self.standing.used > self.slope:
            return
        pads = {leg: low for leg in self.pieces.legs}
        thick = shop_text(self.pieces.sheet.number("pad_projection") + low, "mm", style)
        step = RemedyStep("feet", low, f"put pads that stand {thick} proud under all feet")
        yield "thicker pads", [step], replace(self.pieces, pads=pads), _MINUTES["pads"]

    def _new_legs(self) -> Iterator[_Way]:
        """Legs that are too short made anew; none where it is all of them."""
        pieces, style = self.pieces, self.pieces.style
        long = max(one.lowest for one in self.standing.legs)
        aim = min(long, wanted_drop(pieces))
        short = [leg for leg, one in zip(pieces.legs, self.standing.legs, strict=True)
                 if one.lowest < aim - ROCKS[style.display]]  # fmt: skip
        if not short or len(short) == len(pieces.legs):
            return
        after = pieces.without(*(f"{stem}_{leg}" for leg in short for stem in _LEG))
        blank = shop_text(pieces.work.bench.number("leg_blank"), "mm", style)
        text = f"make leg {{}} anew, {blank} long with its tenon, and cut its foot to the others"
        steps = [RemedyStep(f"leg {leg}", 0.0, text.format(leg)) for leg in short]
        yield (
            f"make leg{_s(short)} {listed(map(str, short))} anew",
            steps,
            after,
            _MINUTES["leg"] * len(short),
        )

    def _new_sockets(self) -> Iterator[_Way]:
        """Sockets whose feet stand out of place plugged and bored afresh."""
        pieces, style = self.pieces, self.pieces.style
        far = [leg for leg, one in zip(pieces.legs, self.standing.legs, strict=True)
               if one.off > ASTRAY[style.display]]  # fmt: skip
        if not far:
            return
        after = pieces.without(*(f"{stem}_{leg}" for leg in far for stem in _SOCKET))
        lean = shop_text(pieces.sheet.number("leg_resultant"), "deg", style)
        text = (
            f"glue a round plug, its grain along that of the top, into socket {{}}, and bore it "
            f"afresh on its mark, {lean} from square along its sight line"
        )
        steps = [RemedyStep(f"socket {leg}", 0.0, text.format(leg)) for leg in far]
        minutes = _MINUTES["socket"] * len(far)
        what = f"bore socket{_s(far)} {listed(map(str, far))} afresh"
        then = replace(self, pieces=after, standing=stand(after))
        if then.faults:
            for _, more, level, extra in then._marking_again():
                yield what, [*steps, *more], level, minutes + extra
        else:
            yield what, steps, after, minutes


def _s(several: list[int]) -> str:
    return "s" * (len(several) > 1)


# -- what bears -----------------------------------------------------------------------------------


def worse_with(pieces: LegPieces, found: LegsStanding) -> tuple[CheckResult, ...]:
    """The checks that come out worse than as drawn with the thinnest tenon, the shallowest socket,
    the greatest lean and the top as they are, all of them together."""
    sheet = pieces.sheet
    tenon = min(pieces.number("tenon_diameter", leg) for leg in pieces.legs)
    now = {
        "tenon_diameter": min(tenon, sheet.number("tenon_diameter")),
        "socket_depth": min(sheet.number("socket_depth"), *(one.entry for one in found.legs)),
        "leg_resultant": max(sheet.number("leg_resultant"), *(one.lean for one in found.legs)),
        **{name: pieces.top(name) for name in ("top_thickness", "top_diameter")},
    }
    try:
        numbers = as_cut(sheet, also=["leg_resultant"]).numbers
        changed = {n: v for n, v in now.items() if n in numbers and abs(v - numbers[n]) > 0.01}
        if not changed:
            return ()
        made: Sheet = solve(sheet.network, {**numbers, **changed}, shop=sheet.shop_style, why=False)
    except DesignError:
        return ()
    before = {one.id: _VERDICTS.index(one.verdict) for one in sheet.checks}
    return tuple(
        one for one in made.checks
        if _VERDICTS.index(one.verdict) > before.get(one.id, len(_VERDICTS))
    )  # fmt: skip
