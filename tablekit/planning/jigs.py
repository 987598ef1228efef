"""Jigs for a piece: what each measures, the parts it is made of, and how it is used.

A jig is worked out only where the brief asks for it. Derivation: `reference/derivations/jigs.md`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import figures_text, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.formulas import found
from tablekit.planning.notch_cutting import (
    SQUARE_ENOUGH,
    Guides,
    NotchAngles,
    Passes,
    Tools,
    router_guides,
    saw_passes,
)
from tablekit.planning.post_marks import locked_words
from tablekit.planning.said import NO_BREAK
from tablekit.planning.setting_out_posts import section_of
from tablekit.relations import jigs, marking
from tablekit.relations.bases import base_of
from tablekit.relations.inch_practice import in_practice
from tablekit.relations.jigs import CRADLE, EVERY, NAMES, SLED, STOP, TRAMMEL, WEDGE
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.planning.trammel_plan import TrammelPlan

PLANED = ("spacer", "wedge")  # parts planed to a thickness nearer than the marks on a rule
CAUTION = (
    "Caution: clamp each jig to the bench, and the work to the jig. Try every jig on an offcut of "
    "the same section first. Unplug a machine before setting it, keep hands out of the cutter's "
    "line, and follow the machine's instructions and local codes."
)


@dataclass(frozen=True)
class JigPart:
    """Parts alike of a jig: how many, and their size in mm."""

    name: str
    count: int
    length: float
    width: float
    thickness: float


@dataclass(frozen=True, eq=False)
class Jig:
    """One jig.

    sizes   by name, lengths in mm, angles in degrees
    parts   its own cut list
    how     what to do, a sentence or two to a step
    sheets  what the sizes were calculated on
    towards the end of the post that its rails or its kerf run towards as they go away from the
            maker, "foot" or "head"; "" where they go square across
    """

    id: str
    sizes: Mapping[str, float]
    parts: tuple[JigPart, ...]
    how: tuple[str, ...]
    sheets: tuple[Sheet, ...] = ()
    towards: str = ""

    @property
    def name(self) -> str:
        """What it is called."""
        return NAMES[self.id]

    def to_json(self) -> dict[str, Any]:
        """Plain data: lengths in mm, angles in degrees."""
        return {
            "id": self.id, "name": self.name, "sizes": dict(self.sizes),
            "parts": [asdict(part) for part in self.parts],
            "how": [step.replace(NO_BREAK, " ") for step in self.how],
        }  # fmt: skip


@dataclass(frozen=True, eq=False)
class Jigs:
    """The jigs that a brief asks for.

    made      those that the piece needs
    left_out  by its identifier, why each of the others is not made
    style     how sizes are written
    mirrored  whether the posts are those of a left-hand piece
    """

    made: tuple[Jig, ...]
    left_out: Mapping[str, str]
    style: ShopStyle
    mirrored: bool = False

    def to_json(self) -> dict[str, Any]:
        """Plain data under "jigs" and "jigs_left_out"."""
        left_out = [
            {"id": which, "name": NAMES[which], "why": why} for which, why in self.left_out.items()
        ]
        return {"jigs": [jig.to_json() for jig in self.made], "jigs_left_out": left_out}

    def __getitem__(self, which: str) -> Jig:
        return next(jig for jig in self.made if jig.id == which)


@dataclass(frozen=True)
class _Writer:
    """Sizes as the maker reads them, never broken over two lines."""

    style: ShopStyle

    def length(self, mm: float) -> str:
        return shop_text(mm, "mm", self.style).replace(" ", NO_BREAK)

    def fine(self, mm: float) -> str:
        """A size that is planed to fit, to four figures."""
        return figures_text(mm, "mm", self.style, 4).replace(" ", NO_BREAK)


@cache
def _network(which: str, display: str) -> Network:
    """The formulas of one jig, as a shop that works in "mm" or "in" assumes."""
    quantities, relations, assumed = {
        CRADLE: (jigs.CRADLE_QUANTITIES, jigs.CRADLE_RELATIONS, jigs.CRADLE_ASSUMPTIONS),
        SLED: (jigs.SLED_QUANTITIES, jigs.SLED_RELATIONS, jigs.SLED_ASSUMPTIONS),
        STOP: (jigs.STOP_QUANTITIES, jigs.STOP_RELATIONS, jigs.STOP_ASSUMPTIONS),
        "spacers": (jigs.SPACER_QUANTITIES, jigs.SPACER_RELATIONS, ()),
        TRAMMEL: (jigs.HOLE_QUANTITIES, jigs.HOLE_RELATIONS, jigs.HOLE_ASSUMPTIONS),
    }[which]
    name = NAMES.get(which, which)
    return Network(name, quantities, relations, in_practice(assumed, display == "in"), wording=SHOP)


def jig_sheet(which: str, givens: Mapping[str, float], style: ShopStyle) -> Sheet:
    """The sizes of one jig from what they depend on, in reporting units.

    which  one of the names of jigs but the wedge, which is on the sheet of the sled; or "spacers"
    Raises DesignError where the jig cannot be made of these sizes.
    """
    of = _network(which, style.display)
    return of.solve(givens, name=NAMES.get(which, which), shop=style)


def plan_jigs(
    sheet: Sheet,
    asked: Sequence[str],
    *,
    tools: Tools,
    angles: NotchAngles | None,
    trammel: TrammelPlan | None,
) -> Jigs:
    """The jigs of a piece among those asked for.

    asked    names of jigs
    angles   how the notches lie in the posts; None for a piece without crossed posts
    trammel  how the top is cut round; None where it is not
    """
    shop = _Shop(sheet, tools, angles, trammel)
    made, left_out = [], {}
    for which in (one for one in EVERY if one in asked):
        try:
            jig = shop.make(which)
        except DesignError as reason:
            left_out[which] = f"{reason}."
            continue
        if isinstance(jig, Jig):
            made.append(jig)
        else:
            left_out[which] = jig
    return Jigs(tuple(made), left_out, sheet.shop_style, base_of(sheet).mirrored)


@dataclass(frozen=True)
class _Shop:
    """What the jigs are made for and with."""

    sheet: Sheet
    tools: Tools
    angles: NotchAngles | None
    trammel: TrammelPlan | None

    def make(self, which: str) -> Jig | str:
        """The jig, or why there is none."""
        if which == TRAMMEL:
            return self._trammel()
        if which == STOP and self.angles is None:
            return self._leg_stop()
        if self.angles is None:
            return "Splayed legs have no notches, and their feet are not cut in a cradle."
        if locked_words(self.sheet):
            return "The posts cannot be assembled as drawn, so none is cut."
        if which == CRADLE:
            return self._cradle()
        if which == STOP:
            return self._post_stop(self.angles)
        if which == WEDGE and abs(self.angles.wedge) < SQUARE_ENOUGH:
            return "The notch floor is parallel to the face."
        return self._wedge(self.angles) if which == WEDGE else self._sled(self.angles)

    @property
    def writer(self) -> _Writer:
        return _Writer(self.sheet.shop_style)

    def _of(self, names: Iterable[str]) -> dict[str, float]:
        return {name: self.sheet.number(name) for name in names}

    # -- the cradle -------------------------------------------------------------------------

    def _cradle(self) -> Jig:
        own = ("splay", "bearing_rise", "side_rise", "post_section", "post_width")
        at = jig_sheet(CRADLE, self._of(own), self.sheet.shop_style)
        past = {
            f"{end}_end_past_kerf": found(
                marking.FLAT_ALONG, "flat_along", splay=self.sheet.number("splay"),
                flat_depth=self.sheet.number(f"{end}_flat_depth"),
            )
            for end in ("foot", "head")
        }  # fmt: skip
        towards = "foot" if section_of(self.sheet).way > 0 else "head"
        parts = _parts(
            at,
            ("base", 1, "cradle_length", "cradle_inside", "jig_sheet"),
            ("cheek", 2, "cradle_length", "cradle_cheek_board", "jig_sheet"),
            ("rail under the face opposite the notch", 1, "cradle_length", "cradle_near_rail",
             "cradle_rail_height"),
            ("rail under the face opposite the bearing face", 1, "cradle_length",
             "cradle_far_rail", "cradle_rail_height"),
            ("batten over the post", 1, "cradle_outside", "cradle_rail_height", "jig_sheet"),
        )  # fmt: skip
        how = tuple(self._cradle_steps(at, past, towards))
        return Jig(CRADLE, {**_found(at), **past}, parts, how, (at,), towards)

    def _cradle_steps(self, at: Sheet, past: Mapping[str, float], towards: str) -> Iterator[str]:
        say, mirrored = self.writer.length, base_of(self.sheet).mirrored
        near, far, cut = (
            f"{at.number(n):.2f}°" for n in ("cradle_near_slope", "cradle_far_slope", "cradle_cut")
        )
        foot, head = ("D", "B") if towards == "foot" else ("B", "D")
        rails = f"the rail nearer to you to {near} and the other to {far}, both from level,"
        if near == far:
            rails = f"both rails to {near} from level"
        yield (
            f"Bevel {rails} and leave each {say(at.number('cradle_toe'))} thick at its toe. Screw "
            f"them to the base with their toes {say(at.number('cradle_gap'))} apart and their "
            "backs flush with its edges, then screw the cheeks to the edges of the base."
        )
        yield (
            f"Saw one plumb kerf through both cheeks down to the base, {cut} to the length of the "
            f"cradle. It runs towards the {towards} end as it goes away from you: mark it "
            f"{say(at.number('cradle_kerf_run'))} farther that way on the outside of the far cheek."
        )
        yield (
            f"Lay the post in the V on arris C, foot end to the {'right' if mirrored else 'left'}, "
            "arris D towards you. Hold it down with the batten, a V sawn in its underside for "
            "arris A, screwed to both cheeks beside the kerf."
        )
        yield (
            f"Foot: let arris {foot} run {say(past['foot_end_past_kerf'])} past the kerf. Head: "
            f"slide the post through until arris {head} runs {say(past['head_end_past_kerf'])} "
            "past it on the other side. Both measured along the arris to the square end; screw a "
            "stop into the V there for all the posts. The saw stays plumb."
        )

    # -- the sled and the wedge -------------------------------------------------------------

    def _sled_sheet(self, angles: NotchAngles) -> Sheet:
        own, level = section_of(self.sheet), abs(angles.wedge) < SQUARE_ENOUGH
        return jig_sheet(
            SLED,
            {
                **self._of(("post_section", "post_width")),
                "crossing_angle": 90.0 if angles.plain else own.crossing_angle,
                "notch_floor_tilt": 0.0 if level else angles.wedge,
                "trench_width": self.sheet.number("post_width"),
                "cutter_width": self.tools.router_cutter,
                "base_width": self.tools.base_width,
                **({"wedge_thin": 0.0} if level else {}),
            },
            self.sheet.shop_style,
        )

    def _sled(self, angles: NotchAngles) -> Jig | str:
        if self.tools.router_cutter > self.sheet.number("post_width"):
            return "The router's cutter is wider than the notch."
        if self.tools.router_cutter >= self.tools.base_width:
            return "The router's base is no wider than its cutter."
        at = self._sled_sheet(angles)
        guides = router_guides(self.sheet, self.tools.base_width, self.tools.router_cutter)
        parts = _parts(
            at,
            ("base", 1, "sled_length", "sled_channel", "jig_sheet"),
            ("cheek", 2, "sled_length", "sled_cheek_board", "jig_sheet"),
            ("rail", 2, "sled_rail_length", "sled_rail_width", "jig_sheet"),
            ("end stop", 1, "sled_channel", "sled_cheek", "jig_sheet"),
        )
        sizes = {**_found(at), "stop_to_near_rail": guides.near, "depth_of_cut": guides.height}
        sizes = {name: size for name, size in sizes.items() if not name.startswith("wedge_")}
        towards = "" if angles.plain else angles.leads
        return Jig(SLED, sizes, parts, tuple(self._sled_steps(at, guides, angles)), (at,), towards)

    def _sled_steps(self, at: Sheet, guides: Guides, angles: NotchAngles) -> Iterator[str]:
        say = self.writer.length
        yield (
            f"Screw the cheeks to the edges of the base, {say(at.number('sled_channel'))} apart: "
            "the post goes in snugly, notched face up"
            + (", on the notch wedge." if abs(angles.wedge) >= SQUARE_ENOUGH else ".")
            + " Cramp it to a cheek."
        )
        slant = "square across"
        if not angles.plain:
            slant = (
                f"{abs(angles.mitre):.2f}° out of square, nearer the {angles.leads} end at arris B"
            )
        yield (
            f"Screw the rails across both cheeks {slant}, {say(at.number('sled_opening'))} apart: "
            f"the width of the notch and what a {say(guides.base)} router base is wider than its "
            f"{say(guides.cutter)} cutter."
        )
        yield (
            f"Set the end stop against the foot end, {say(guides.near)} from the working edge of "
            f"the rail nearer the foot, along arris {guides.arris}; screw it to a batten on the "
            "cheek where that is beyond the sled. Set it once for all the posts."
        )
        yield (
            f"Rout {say(guides.height)} deep, counted from the top of the cheeks, in several "
            "passes. The first cut leaves a slot in both cheeks, which backs up the edges of the "
            "notch and shows where it comes."
        )
        if base_of(self.sheet).notches_each > 1:
            yield "Turn the post about its length for its other notch, against the same stop."
        if self.sheet.get("notch_relief"):
            more = say(self.sheet.number("notch_relief"))
            yield f"Lengthen the upper notch of post 1: pack the stop out by {more} and rout again."

    def _wedge(self, angles: NotchAngles) -> Jig:
        at, say = self._sled_sheet(angles), self.writer.fine
        parts = _parts(at, ("wedge", 1, "sled_length", "wedge_base", "wedge_thick"))
        lifted = "D, the one with the bearing face" if angles.wedge > 0 else "C"
        side = "bearing face" if angles.wedge > 0 else "face opposite the bearing face"
        how = (
            f"Plane a strip {say(at.number('wedge_base'))} wide from "
            f"{say(at.number('wedge_thin'))} thick at one edge to {say(at.number('wedge_thick'))} "
            f"at the other: a rise of {say(at.number('wedge_gauge_rise'))} over "
            f"{say(at.number('wedge_gauge'))}, or {abs(angles.wedge):.2f}°.",
            "Lay it along the sled under the face opposite the notch, its thick edge against the "
            f"cheek on the side of the {side}: arris {lifted}, is lifted, and the notch floor lies "
            "level. Screw it to the base and clamp the post to it.",
        )
        names = ("wedge_base", "wedge_thin", "wedge_thick", "wedge_rise", "wedge_gauge",
                 "wedge_gauge_rise", "sled_length")  # fmt: skip
        sizes = {name: at.number(name) for name in names} | {"wedge_angle": abs(angles.wedge)}
        return Jig(WEDGE, sizes, parts, how, (at,))

    # -- the stop ---------------------------------------------------------------------------

    def _length_stop(self, length: float, high: float, piece: str) -> Jig:
        at, say = jig_sheet(STOP, {"stop_distance": length}, self.sheet.shop_style), self.writer
        parts = (
            JigPart("block", 1, at.number("stop_block"), high, at.number("jig_sheet")),
            JigPart("batten", 1, at.number("stop_batten"), high, at.number("jig_sheet")),
        )
        how = (
            f"Screw the block to the end of the batten and clamp the batten to the fence, the face "
            f"of the block {say.length(length)} from the near side of the blade. Take a shaving "
            "off the lower edge of that face, so that dust does not hold the work off.",
            f"Square one end of each {piece}, push it against the block and saw them all "
            "without moving the stop. The stop is never on the offcut's side of the blade: between "
            "blade and stop an offcut would jam and be thrown.",
        )
        return Jig(STOP, _found(at), parts, how, (at,))

    def _leg_stop(self) -> Jig:
        high = self.sheet.number("leg_diameter")
        return self._length_stop(self.sheet.number("leg_length"), high, "leg")

    def _post_stop(self, angles: NotchAngles) -> Jig:
        high = self.sheet.number("post_width")
        plain = self._length_stop(self.sheet.number("post_length"), high, "post")
        cutter, overlap = self.tools.cutter_width, self.tools.least_overlap
        if cutter > high or overlap >= cutter:
            return plain
        cut = saw_passes(self.sheet, cutter, overlap)
        if len(cut.stops) == 1:
            step = self._one_pass(cut)
            return Jig(STOP, {**plain.sizes, "last_stop": cut.stops[0]}, plain.parts,
                       (*plain.how, step), plain.sheets)  # fmt: skip
        return self._with_spacers(plain, cut, angles)

    def _one_pass(self, cut: Passes) -> str:
        return (
            f"For the notch with a stacked cutter: {self.writer.length(cut.stops[0])} from the "
            f"foot end to the near side of the cutter, along arris {cut.arris}, in one pass."
        )

    def _with_spacers(self, plain: Jig, cut: Passes, angles: NotchAngles) -> Jig:
        own, say = section_of(self.sheet), self.writer
        at = jig_sheet(
            "spacers",
            {
                "crossing_angle": 90.0 if angles.plain else own.crossing_angle,
                "near_wall": cut.stops[0], "trench_width": own["post_width"],
                "cutter_width": cut.cutter, "passes": float(len(cut.stops)),
            },
            self.sheet.shop_style,
        )  # fmt: skip
        count, thick = len(cut.stops) - 1, at.number("stop_spacer")
        spacers = JigPart("spacer", count, own["post_section"], own["post_width"], thick)
        names = ("stop_spacer", "last_stop", "pass_shift")
        step = (
            f"For the notch with a stacked cutter {say.length(cut.cutter)} wide: clamp the stop so "
            f"that its face is {say.length(at.number('last_stop'))} from the near side of the "
            f"cutter, along arris {cut.arris}. Lay {_many(count, 'spacer')}, each "
            f"{say.fine(thick)} thick, between it and the foot end, and take one away after each "
            f"of the {len(cut.stops)} passes. The first pass is then {say.length(cut.stops[0])} "
            "from the foot end, at the near wall."
        )
        sizes = {**plain.sizes, **{name: at.number(name) for name in names}}
        how, sheets = (*plain.how, step), (*plain.sheets, at)
        return Jig(STOP, sizes, (*plain.parts, spacers), how, sheets)

    # -- the trammel ------------------------------------------------------------------------

    def _trammel(self) -> Jig | str:
        plan, say = self.trammel, self.writer.length
        if plan is None:
            return "The top has no size to be cut round to."
        givens = {"cutter_from_edge": plan.cutter_from_end, "trammel_centre": plan.middle}
        at = jig_sheet(TRAMMEL, givens, self.sheet.shop_style)
        sizes = {
            **_found(at), "board_length": plan.board_length,
            "pivot_from_edge": plan.pivot_from_end, "cutter_diameter": plan.cutter,
        }  # fmt: skip
        size = (plan.board_length, self.tools.base_width, at.number("trammel_sheet"))
        how = (
            "Draw the middle line along the board. On it, from the reference end, bore for the "
            f"cutter at {say(plan.cutter_from_end)} and screw the router there in place of its "
            "sole.",
            f"Pivot hole for the finished rim: on the middle line, {say(plan.pivot_from_end)} from "
            "the same end. Pivot hole for the first round, which leaves "
            f"{say(at.number('rim_left'))}: {say(at.number('first_pivot'))} from that end and "
            f"{say(at.number('hole_aside'))} to one side of the line.",
            "Check both with a rule from the middle of the hole to the near side of the cutter "
            "before the router is switched on.",
        )
        return Jig(TRAMMEL, sizes, (JigPart("board", 1, *size),), how, (at,))


def _found(at: Sheet) -> dict[str, float]:
    """What is on a sheet, less what the piece itself gives."""
    own = {one.name for one in vars(jigs).values() if isinstance(one, Quantity)}
    return {name: at.number(name) for name in at.values if name in own}


def _parts(at: Sheet, *rows: tuple[str, int, str, str, str]) -> tuple[JigPart, ...]:
    """Parts from rows of (name, how many, and the names of its length, width and thickness)."""
    return tuple(
        JigPart(name, count, *(at.number(size) for size in sizes)) for name, count, *sizes in rows
    )


def _many(count: int, what: str) -> str:
    return f"one {what}" if count == 1 else f"{count} {what}s"
