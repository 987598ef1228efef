"""How far out of level the top will lie, when each post is cut with errors of its own.

Proof: `reference/derivations/top_tilt.md`. It works to the first order, since it builds thousands
of pieces several times over, and with two notches to a post too. Three posts with one notch each
that were measured are stood up exactly by `planning/as_cut.py`; `tests/planning/test_as_cut.py`
holds the two against each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.as_cut import CutPlan
from tablekit.engine.codegen import compile_vector
from tablekit.engine.rearrange import rearrange
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle, figures_text, fine_text, shop_text
from tablekit.engine.tolerance import DEVIATIONS, SAMPLES, Tolerance, evaluate, tolerant_plan
from tablekit.engine.trouble import DesignError
from tablekit.planning.said import Said
from tablekit.relations import levelling as t
from tablekit.relations import quantities as q
from tablekit.relations.bases import base_of

Floats = NDArray[np.float64]
# What each post has of its own; the lean is set once, and the top is one piece.
PER_POST = (
    "post_length", "post_section", "notch_depth", "notch_position", "foot_flat_depth",
    "head_flat_depth",
)  # fmt: skip


@dataclass(frozen=True)
class Tilt:
    """How far out of level the top lies, over many pieces drawn at random.

    half, most            tilt in degrees that half, and 19 of 20, of the pieces stay under
    rim_half, rim_most    the same as a height difference across the top's diameter, mm
    shares                of the mean square of the tilt, by cut, the largest first; they sum to 1
    tilts                 tilt of every piece drawn, degrees
    diameter              of the top, mm
    alike                 tolerances left out because what they are put on is alike in all posts
    """

    half: float
    most: float
    rim_half: float
    rim_most: float
    shares: Mapping[str, float]
    tilts: Floats
    diameter: float
    alike: tuple[str, ...]
    style: ShopStyle = field(default_factory=ShopStyle)

    def text(self) -> str:
        """The answer in two sentences."""

        def length(number: float) -> str:
            return fine_text(number, self.style)

        across = figures_text(self.diameter, "mm", self.style)
        lead = (
            f"In 19 of 20 such pieces the top is less than {self.most:.2g}° out of level "
            f"({length(self.rim_most)} across its {across}); in half of them, "
            f"less than {self.half:.2g}° ({length(self.rim_half)})."
        )
        if not self.shares:
            return f"{lead} None of these cuts tilts it."
        name, share = next(iter(self.shares.items()))
        return f"{lead} {name} matters most: {100 * share:.0f} % of the mean square."


def head_tilt(
    sheet: Sheet, tolerances: Sequence[Tolerance], seed: int = 0, samples: int = SAMPLES
) -> Tilt:
    """The tilt of the top when the cuts of each post are off by themselves.

    A ± stands for two standard deviations of a normal distribution, as in `spread`. Raises as
    `spread` does, and DesignError where the sheet has no head or foot circle.
    """
    cut = tolerant_plan(sheet, tolerances)
    base = InexactBase(sheet, cut)
    random = np.random.default_rng(seed)
    quantities = sheet.network.quantities
    errors = {
        tol.name: quantities[tol.name].scale * tol.plus_minus / DEVIATIONS
        * random.standard_normal((3, samples))
        for tol in tolerances
        if tol.name in PER_POST
    }  # fmt: skip
    tilts, rims = base.tilts(errors, samples)
    # Errors that are independent and symmetric add in the mean square, so each can be tried alone.
    squares = {
        name: float(np.mean(base.tilts({name: error}, samples)[0] ** 2))
        for name, error in errors.items()
    }
    whole = sum(squares.values())
    ranked = sorted(squares, key=lambda name: -squares[name])
    half, most = np.median(tilts), np.percentile(tilts, 95)
    return Tilt(
        half=float(half),
        most=float(most),
        rim_half=float(np.median(rims)),
        rim_most=float(np.percentile(rims, 95)),
        shares={name: squares[name] / whole for name in ranked} if whole > 0 else {},
        tilts=tilts,
        diameter=sheet.number("top_diameter"),
        alike=tuple(tol.name for tol in tolerances if tol.name not in PER_POST),
        style=sheet.shop_style,
    )


@dataclass(frozen=True)
class Levelling:
    """How far heads and feet may be off before the top looks out of level, and how to mend it.

    fall             over the length, that still looks level
    heads, feet      what one head, or one foot, may be off by for that fall, mm
    rim              the same as a height difference across the rim, mm
    diameter         of the top, mm
    """

    fall: float
    heads: float
    feet: float
    rim: float
    diameter: float
    style: ShopStyle = field(default_factory=ShopStyle)

    def to_json(self) -> dict[str, Any]:
        """Plain data, lengths in mm."""
        data = asdict(self)
        del data["style"]
        return data | {"text": "\n".join(one.line for one in self.said())}

    def said(self) -> tuple[Said, ...]:
        """What may be off, and how to bring it level, a step each."""

        def length(number: float) -> str:
            return fine_text(number, self.style)

        lead = (
            f"A top looks level to about 1 in {1 / self.fall:.0f}: {length(self.rim)} across its "
            f"{shop_text(self.diameter, 'mm', self.style)}. To stay within that, one head may "
            f"stand at most {length(self.heads)} above or below the other two, or one foot may be "
            f"at most {length(self.feet)} too long or too short."
        )
        last = (
            "When the top is on, and before you tighten the last screw, measure from the surface "
            f"to the rim at six places all round: they agree within {length(self.rim)}, or a head "
            "is still high."
        )
        return tuple(map(Said, (lead, *_LEVELLING, last)))


_LEVELLING = (
    "Level the feet first. Stand the base on a flat surface: thick sheet material, shimmed until a "
    "straightedge lies on it in every direction. Wedge the feet until all three heads are the same "
    "height above that surface.",
    "Lay a pencil on a block slightly thicker than the widest gap under a foot, and slide the "
    "block round each foot: the line is level with the surface. Hold the base so that it cannot "
    "roll, saw close to the line and plane to it.",
    "Then level the heads. Lay a level on two heads, then on a straight batten from those two "
    "across to the third. Turn the level end for end each time to show its own error.",
    "Plane the highest head a shaving at a time, across the end grain from both sides; or lay "
    "veneer or card as thick as the gap on the low heads.",
)


def levelling(sheet: Sheet) -> Levelling | None:
    """How level heads and feet have to be; None for legs in sockets, which have no heads."""
    names = (
        "visible_slope",
        "head_height_tolerance",
        "foot_height_tolerance",
        "rim_height_tolerance",
        "top_diameter",
    )
    if any(sheet.get(name) is None for name in names):
        return None
    fall, heads, feet, rim, diameter = (sheet.number(name) for name in names)
    return Levelling(fall, heads, feet, rim, diameter, sheet.shop_style)


class InexactBase:
    """The three posts of one design, ready to be cut a little wrong. Everything in coherent SI."""

    def __init__(self, sheet: Sheet, cut: CutPlan):
        self.cut, self._si = cut, cut.plan.program.run(cut.si).values
        for name in ("head_radius", "foot_radius", "splay", "roll"):
            if not np.isfinite(self._si.get(name, np.nan)):
                raise DesignError(
                    f"{name} has no value in this design, so its tilt cannot be found"
                )
        self._up = float(base_of(sheet).up)
        # Square stock is planed to one setting: its width is off by what its depth is off.
        self._square = "post_width" not in cut.plan.givens
        self._heads = self._in_plan("head", 1.0)
        self._feet = self._in_plan("foot", -1.0)
        self._climbs = _shift_climbs(self._si["splay"], self._si["roll"], self._up)

    def _in_plan(self, end: str, outward: float) -> Floats:
        """Plan positions of the three heads or feet, shape (3, 2)."""
        reach, aside = self._si[f"{end}_reach"], self._si[f"{end}_sidestep"]
        along, across = _level_directions()
        return outward * reach * along[:, :2] + self._up * aside * across[:, :2]

    def tilts(self, errors: Mapping[str, Floats], samples: int) -> tuple[Floats, Floats]:
        """Tilt (degrees) and height difference across the top (mm) of every piece.

        errors by the name of the cut, each of shape (3, samples)."""
        head, foot = self._ends(errors, samples)
        radius = self._si["foot_radius"]
        # What the floor climbs in the frame of the base, and the heads over it.
        climb = 2 / (3 * radius**2) * self._feet.T @ foot
        heights = head - self._heads @ climb
        tilt, drop = _tilt_functions()
        angle = tilt(*heights, self._si["head_radius"])[0]
        rim = drop(self._si["top_diameter"], angle)[0]
        return angle / t.top_tilt.scale, rim / t.rim_drop.scale

    def _ends(self, errors: Mapping[str, Floats], samples: int) -> tuple[Floats, Floats]:
        """What each head and each foot stands too high in the frame of the base, (3, samples)."""
        off = {name: errors.get(name, np.zeros((3, samples))) for name in PER_POST}
        wider = self._wider(off)
        half = off["post_section"] * self._si["bearing_rise"] / 2
        half += wider * self._si["side_rise"] / 2
        shift = self._shift(off)
        foot = off["foot_flat_depth"] - half + shift
        head = self._growth(off, samples) - half - off["head_flat_depth"] + shift
        return head, foot

    def _wider(self, off: Mapping[str, Floats]) -> Floats:
        """What each post is too wide, (3, samples)."""
        return off["post_section"] * (1.0 if self._square else 0.0)

    def _growth(self, off: Mapping[str, Floats], samples: int) -> Floats:
        """What the height over sharp corners of each post gains, (3, samples)."""
        gained = np.empty((3, samples))
        for post in range(3):
            columns = {
                name: self._si[name] + off[name][post] for name in ("post_length", "post_section")
            }
            found, _ = evaluate(self.cut, columns, ("corner_height",), samples)
            gained[post] = q.corner_height.scale * found["corner_height"]
        return gained - self._si["corner_height"]

    def _shift(self, off: Mapping[str, Floats]) -> Floats:
        """How far notches in the wrong place lift each post, (3, samples)."""
        # From the host's axis to its side face, and from the guest's to its bearing face.
        thicker = self._wider(off) + np.roll(off["post_section"], -1, axis=0)
        apart = thicker / 2 - off["notch_depth"]
        return np.asarray(self._climbs @ np.vstack([off["notch_position"], apart]))


def _level_directions() -> tuple[Floats, Floats]:
    """Along the lean of each post and square to it, both level; each of shape (3, 3)."""
    turns = 2 * np.pi * np.arange(3) / 3
    zero = np.zeros(3)
    along = np.column_stack([np.cos(turns), np.sin(turns), zero])
    across = np.column_stack([-np.sin(turns), np.cos(turns), zero])
    return along, across


def _shift_climbs(splay: float, roll: float, up: float) -> Floats:
    """How far each post climbs for a notch too far from the foot and for axes too far apart.

    Shape (3, 6): rows are posts; columns the three notch positions, then the three offsets.
    """
    along, across = _level_directions()
    plumb = np.array([0.0, 0.0, 1.0])
    axis = np.sin(splay) * along + np.cos(splay) * plumb
    steep = -np.cos(splay) * along + np.sin(splay) * plumb
    bearing = np.sin(roll) * steep + np.cos(roll) * across
    side = np.cos(roll) * steep - np.sin(roll) * across
    equations, causes = np.zeros((9, 9)), np.zeros((9, 6))
    for host in range(3):
        guest = (host + 1) % 3
        for row, facing in ((host, side[guest]), (host + 3, bearing[guest])):
            equations[row, 3 * guest : 3 * guest + 3] = facing
            equations[row, 3 * host : 3 * host + 3] = -facing
        causes[host, host] = axis[host] @ side[guest]
        causes[host + 3, host + 3] = up
    # A shift of all three together is left: the middle of the base stays where it is.
    equations[6:] = np.tile(np.eye(3), 3)
    shifts = np.linalg.solve(equations, causes)
    return np.asarray(shifts[2::3])


@cache
def _tilt_functions() -> tuple[Callable[..., tuple[Any, ...]], Callable[..., tuple[Any, ...]]]:
    """The two relations as compiled functions: (heights, radius) -> tilt, (diameter, tilt) -> drop.

    Only differences of the heights count, so what each head is off by may stand for its height.
    """
    compiled = []
    for relation, unknown, inputs in (
        (
            t.TOP_TILT, t.top_tilt,
            (t.head_height_1, t.head_height_2, t.head_height_3, q.head_radius),
        ),
        (t.RIM_DROP, t.rim_drop, (q.top_diameter, t.top_tilt)),
    ):  # fmt: skip
        within = (unknown.to_si(unknown.low), unknown.to_si(unknown.high))
        forms = rearrange(relation.equation, unknown.symbol, within)
        assert forms is not None
        symbols = [quantity.symbol for quantity in inputs]
        compiled.append(compile_vector(symbols, [forms[0]], arrays=True))
    return compiled[0], compiled[1]
