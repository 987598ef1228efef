"""Cutting the notches: machine settings, how they will fit, and how to make them last.

The settings are for a stacked cutter in several passes, or for a router and guides. A compound
notch is cut as a plain trench on the slant, with the post rocked about its length on a wedge until
the notch floor lies level. A plain one is the case without wedge and without slant. Derivation:
`reference/derivations/marking.md`.

A notch is tried to a hair; a rule is read to half a millimetre. So the far wall is marked at the
size on the rule that lets the post in, and where no size does, the maker is told what to do
instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.quantity import Source, common_practice, derived, published
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import ShopStyle, fine_text, shop_text
from tablekit.planning.formulas import found
from tablekit.planning.setting_out_posts import PostSection, marked_walls, section_of
from tablekit.relations import marking, notch_cutting
from tablekit.relations.bases import base_of
from tablekit.relations.inch_practice import inch_words
from tablekit.relations.joint_load import DERIVATION
from tablekit.relations.requirements import SAW_SETTING
from tablekit.relations.season_fit import CLEARANCE, FIT, SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.relation import Verdict
    from tablekit.engine.sheet import Sheet


# -- machine settings ------------------------------------------------------------------------------

CUTTER = 19.05  # mm, a stack of 3/4 in: common practice, no source
LEAST_OVERLAP = 1.5  # mm, so that no ridge stands between two passes: common practice, no source
BASE_WIDTH, ROUTER_CUTTER = 150.0, 12.0  # mm, a middling router: common practice, no source
INCH_ROUTER = (152.4, 12.7)  # the same where inches are used
SQUARE_ENOUGH = SAW_SETTING  # degrees: no saw is set nearer


@dataclass(frozen=True)
class Tools:
    """What the notches are cut with, all in mm.

    cutter_width   of the stacked cutter
    least_overlap  of neighbouring passes
    base_width     across the router's baseplate
    router_cutter  diameter of the router's straight cutter
    """

    cutter_width: float = CUTTER
    least_overlap: float = LEAST_OVERLAP
    base_width: float = BASE_WIDTH
    router_cutter: float = ROUTER_CUTTER

    @classmethod
    def of(cls, display: str, *, router_cutter: float | None = None, **sizes: float) -> Tools:
        """What a shop that works in "mm" or "in" mostly has, but for the sizes that are given."""
        base, usual = INCH_ROUTER if display == "in" else (BASE_WIDTH, ROUTER_CUTTER)
        taken = usual if router_cutter is None else router_cutter
        return cls(**{"base_width": base, "router_cutter": taken, **sizes})


@dataclass(frozen=True)
class NotchAngles:
    """How the notch lies in the post, degrees.

    wedge        the post is rocked about its length by so much to bring the notch floor level;
                 more than 0: the arris with the bearing face, A, lies nearer the cutter
    mitre        with the post so rocked, the mitre fence out of square across; more than 0: the
                 walls run nearer to `leads` at arris B than at arris A
    leads        the end of the post that the walls run towards, "head" or "foot"
    on_notched   sliding bevel across the notched face; on_beside: down the faces beside it
    blade_tilt   with the post lying flat on the face opposite the notch instead: the blade out of
                 plumb for a wall, the mitre fence at `on_notched`
    sinks        the end of the post that the walls run towards as they go down into it
    """

    wedge: float
    mitre: float
    leads: str
    on_notched: float
    on_beside: float
    blade_tilt: float
    sinks: str

    @property
    def plain(self) -> bool:
        """Whether it is cut square and level."""
        return max(abs(self.wedge), abs(self.mitre)) < SQUARE_ENOUGH


def notch_angles(sheet: Sheet) -> NotchAngles:
    """The angles of a sheet's notches."""
    own = section_of(sheet)
    both = {"crossing_angle": own.crossing_angle, "notch_floor_tilt": own.notch_floor_tilt}
    mitre = found(notch_cutting.MITRE, "mitre_angle", crossing_angle=own.crossing_angle)
    tilt = found(notch_cutting.BLADE_TILT, "blade_tilt", **both)
    return NotchAngles(
        wedge=own.notch_floor_tilt,
        mitre=mitre,
        leads="head" if own.way * mitre >= 0 else "foot",
        on_notched=found(notch_cutting.BEVEL_ON_NOTCHED, "bevel_on_notched", **both),
        on_beside=found(notch_cutting.BEVEL_BESIDE, "bevel_beside", **both),
        blade_tilt=tilt,
        sinks="foot" if own.way * tilt >= 0 else "head",
    )


@dataclass(frozen=True)
class Passes:
    """A notch cut with a stacked cutter.

    arris     along which the stops are measured, from the foot end to the cutter's near side
    stops     one for each pass, mm, from the near wall to the far wall
    cutter    width of one pass, mm
    overlap   what neighbouring passes have in common, mm
    height    of the cutter's edge past the arris that lies lowest (table saw) or highest (radial
              arm saw, router), mm
    edge_to_edge  how many passes it takes without any overlap
    """

    arris: str
    stops: tuple[float, ...]
    cutter: float
    overlap: float
    height: float
    edge_to_edge: int


def saw_passes(
    sheet: Sheet,
    cutter: float = CUTTER,
    least_overlap: float = LEAST_OVERLAP,
    relief: float = 0.0,
) -> Passes:
    """Where the stops go for each pass of a stacked cutter.

    cutter         its width, mm
    least_overlap  of neighbouring passes, mm; 0 cuts edge to edge
    relief         by how much this notch is longer than its fellows (square crossing), mm

    Raises OutsideLimits where the cutter is wider than the notch or the overlap than the cutter.
    """
    own = section_of(sheet)
    arris = deepest_arris(own)
    near, _ = _walls(own, arris, relief)
    trench = own["post_width"] + relief
    count, edge_to_edge = (_count(trench, cutter, overlap) for overlap in (least_overlap, 0.0))
    stops: tuple[float, ...] = (near,)
    overlap = 0.0
    if count > 1:
        shift = found(
            notch_cutting.PASS_SHIFT, "pass_shift",
            passes=count, trench_width=trench, cutter_width=cutter,
        )  # fmt: skip
        overlap = found(
            notch_cutting.PASS_OVERLAP, "pass_overlap", pass_shift=shift, cutter_width=cutter
        )
        stops = tuple(_stop(own, near, shift, place) for place in range(1, count + 1))
    return Passes(arris, stops, cutter, overlap, own.cover(*own.at(arris)), edge_to_edge)


def _walls(own: PostSection, arris: str, relief: float) -> tuple[float, float]:
    """Near and far wall at an arris, of a notch that is so much longer towards the foot."""
    near, far = own.wall(*own.at(arris))
    if relief:
        near = found(marking.RELIEVED_WALL, "relieved_wall", near_wall=near, notch_relief=relief)
    return near, far


def deepest_arris(own: PostSection) -> str:
    """A or B, whichever has the notch deeper below it; A where they are alike."""
    return max(("A", "B"), key=lambda arris: round(own.cover(*own.at(arris)), 9))


def _count(trench: float, cutter: float, overlap: float) -> int:
    shifts = found(
        notch_cutting.WIDTHS_TO_SHIFT, "widths_to_shift",
        trench_width=trench, cutter_width=cutter, least_overlap=overlap,
    )  # fmt: skip
    # 3 in by passes of 3/4 in is three shifts, not three and the noise of a division.
    return round(found(notch_cutting.PASSES, "passes", widths_to_shift=tidy(shifts) or 0.0))


def _stop(own: PostSection, near: float, shift: float, place: int) -> float:
    return found(
        notch_cutting.STOP, "stop",
        near_wall=near, pass_shift=shift, pass_number=place, crossing_angle=own.crossing_angle,
    )  # fmt: skip


@dataclass(frozen=True)
class Guides:
    """A notch cut with a router that runs along two straight guides, clamped over the post.

    near, far  from the foot end to the working edge of each guide, along `arris`, mm; the
               baseplate runs between them
    offset     from a wall to its guide, square to both, mm
    height     depth of the cutter below the highest arris when the post is rocked, mm
    """

    arris: str
    near: float
    far: float
    offset: float
    cutter: float
    base: float
    height: float


def router_guides(
    sheet: Sheet, base: float = BASE_WIDTH, cutter: float = ROUTER_CUTTER, relief: float = 0.0
) -> Guides:
    """Where the guides are clamped for a router; `base` and `cutter` are widths in mm."""
    own = section_of(sheet)
    arris = deepest_arris(own)
    near, far = _walls(own, arris, relief)
    offset = found(notch_cutting.GUIDE_OFFSET, "guide_offset", base_width=base, cutter_width=cutter)
    both = {"guide_offset": offset, "crossing_angle": own.crossing_angle}
    return Guides(
        arris=arris,
        near=found(notch_cutting.NEAR_GUIDE, "near_guide", near_wall=near, **both),
        far=found(notch_cutting.FAR_GUIDE, "far_guide", far_wall=far, **both),
        offset=offset,
        cutter=cutter,
        base=base,
        height=own.cover(*own.at(arris)),
    )


@dataclass(frozen=True)
class FlatSettings:
    """How the corners are cut level, at foot and head alike. Degrees.

    to_end, to_bearing, to_side  a guide block's angles: between its sole, which lies in the flat,
                                 and the end, the bearing face and the notched face of the post
    mitre_on_bearing, tilt_on_bearing  saw: the post flat on the face opposite the bearing face or
                                 on the bearing face; fence out of square, blade out of plumb
    mitre_on_side, tilt_on_side  the same with the post flat on one of the other two faces
    """

    to_end: float
    to_bearing: float
    to_side: float
    mitre_on_bearing: float
    tilt_on_bearing: float
    mitre_on_side: float
    tilt_on_side: float


def flat_settings(sheet: Sheet) -> FlatSettings:
    """Angles for the flats of a sheet."""
    numbers = {name: sheet.number(name) for name in ("splay", "bearing_rise", "side_rise")}
    values = {}
    for relation in marking.FLAT_CUTS:
        (name,) = set(relation.symbols) - set(numbers)
        values[name] = found(relation, name, **numbers)
    return FlatSettings(
        to_end=values["flat_to_end"],
        to_bearing=values["flat_to_bearing"],
        to_side=values["flat_to_side"],
        mitre_on_bearing=values["mitre_on_bearing"],
        tilt_on_bearing=values["tilt_on_bearing"],
        mitre_on_side=values["mitre_on_side"],
        tilt_on_side=values["tilt_on_side"],
    )


# -- the fit, once the walls are marked to the maker's fraction ------------------------------------


@dataclass(frozen=True)
class NotchFit:
    """The fit at one arris, mm.

    near, far    the walls as marked, from the foot end along `arris`
    guest        width of the post that lies in the notch, as marked and made
    clearance    notch less guest, square to the walls; less than 0 where it is too tight
    wanted       the clearance aimed at
    verdict      "pass", "caution" (sloppy) or "fail" (too tight to go in)
    message      what that means and what to mark instead
    """

    arris: str
    near: float
    far: float
    guest: float
    clearance: float
    wanted: float
    verdict: Verdict
    message: str
    source: str


def notch_fits(
    sheet: Sheet, wanted: float = CLEARANCE, style: ShopStyle | None = None
) -> tuple[NotchFit, ...]:
    """The fit of the notch as marked, at arrises A and B.

    wanted  clearance aimed at, mm
    style   what sizes are rounded to; the sheet's own where left out
    """
    style = style or sheet.shop_style
    return tuple(_fit(sheet, arris, wanted, style) for arris in ("A", "B"))


def worst_fit(sheet: Sheet, wanted: float = CLEARANCE, style: ShopStyle | None = None) -> NotchFit:
    """Of both, the one that is furthest from what is wanted."""
    fits = notch_fits(sheet, wanted, style)
    return max(fits, key=lambda fit: abs(fit.clearance - wanted))


def _fit(sheet: Sheet, arris: str, wanted: float, style: ShopStyle) -> NotchFit:
    own = section_of(sheet)
    marked = marked_walls(own, own.at(arris), style, wanted)
    near, guest, clearance = marked.near, marked.guest, marked.clearance
    better = _better(own.crossing_angle, near, guest, wanted)
    verdict, message = _judged(clearance, wanted, style, better)
    return NotchFit(
        arris, near, marked.far, guest, clearance, wanted, verdict, message, _source(style)
    )


def _source(style: ShopStyle) -> str:
    return inch_words(str(FIT)) if style.display == "in" else str(FIT)


def _better(crossing_angle: float, near: float, guest: float, wanted: float) -> float:
    """Where the far wall would have to be marked for the clearance that is wanted."""
    width = found(
        marking.CLEARANCE, "marked_width",
        clearance=wanted, guest_width=guest, crossing_angle=crossing_angle,
    )  # fmt: skip
    return near + width


def _judged(
    clearance: float, wanted: float, style: ShopStyle, better: float
) -> tuple[Verdict, str]:
    def fine(number: float) -> str:
        return fine_text(number, style)  # in inches in thousandths, as a feeler gauge has them

    # A gauge or a feeler reads finer than the rule that the rest is marked with.
    finest = (
        ShopStyle(display="in", fraction=64) if style.display == "in" else ShopStyle(step_mm=0.5)
    )
    instead = (
        f"Knife the near wall. Lay the other post against it with a strip of paper "
        f"({fine(wanted)}) between, and knife the far wall along it, about "
        f"{_precise(better, finest)} from the foot end"
    )
    if clearance < 0:
        return "fail", (
            f"As marked the notch is {fine(-clearance)} too narrow for the post that goes in it. "
            f"Do not force it: the notched post may split. {instead}."
        )
    if clearance > SLOPPY:
        return "caution", (
            f"As marked the notch is {fine(clearance)} wider than the post that goes in it: too "
            f"loose to hold or to glue. {instead}."
        )
    if clearance == 0:
        return "pass", (
            "As marked the notch is exactly as wide as the post that goes in it. Make the first "
            "and the last cut just inside the knife lines, then pare to a push fit, at most "
            f"{fine(wanted)} of play."
        )
    if clearance > wanted * (1 + 1e-9):
        return "pass", (
            f"As marked the notch has at most {fine(clearance)} of play. Cut inside the far knife "
            f"line and pare to a push fit, at most {fine(wanted)} of play."
        )
    return "pass", f"As marked the notch has {fine(clearance)} of play: a push fit."


def _precise(number: float, style: ShopStyle) -> str:
    if style.display == "in":
        return shop_text(number, "mm", style, with_error=False)
    return f"{number:.1f} mm"


# -- corners, feather edges, short grain -----------------------------------------------------------

# A notch floor that leaves a face this shallow breaks away under the chisel.
FEATHER = 5.0  # mm


@dataclass(frozen=True)
class Advice:
    """One thing to mind at the bench, and where it comes from."""

    text: str
    source: Source


def joint_advice(sheet: Sheet) -> tuple[Advice, ...]:
    """What to mind when the notches of this piece are cut; empty where no posts cross."""
    base = base_of(sheet)
    if not base.crossed:
        return ()
    tilted = not base.square and abs(sheet.number("notch_floor_tilt")) > SAW_SETTING
    return (
        *(_feather(sheet) if tilted else ()),
        _corner(sheet.shop_style),
        _kerf(),
        _bearing(),
        _size(),
    )


def _feather(sheet: Sheet) -> tuple[Advice, ...]:
    """A tilted floor leaves one side of the notch shallow, and slanted walls sharp edges."""
    own = section_of(sheet)
    depths = sorted(own.depth(arris) for arris in ("A", "B"))
    shallow, deep = (shop_text(depth, "mm", sheet.shop_style) for depth in depths)
    angle = min(sheet.number("crossing_angle"), 180 - sheet.number("crossing_angle"))
    breaks = " That thin edge breaks away easily." if depths[0] < FEATHER else ""
    text = (
        f"The floor is tilted: {shallow} deep on one face and {deep} on the other.{breaks} The "
        f"walls meet the faces at {angle:.1f}°, so one corner beside each wall is short-grained. "
        "Knife it deep, clamp a block against the face, and pare towards the middle of the post."
    )
    return (Advice(text, derived("reference/derivations/marking.md", "depth down the face")),)


def _corner(style: ShopStyle) -> Advice:
    size = "1/16 to 1/8 in" if style.display == "in" else "2 to 3 mm"
    return Advice(
        f"Leave a {size} radius in the inner corners, and ease the edges of the post that goes "
        "in by a little more, so that it still beds on the floor. A crack starts at a sharp inner "
        "corner; a gradual taper concentrates less stress than a square corner.",
        published(
            "American Wood Council, answer on notched bending members",
            "National Design Specification 2005, 3.2.3, on the taper; the size of the round is "
            "common practice",
        ),
    )


def _kerf() -> Advice:
    return Advice(
        "Stop every saw cut short of the floor and pare the rest. A kerf past the floor is the "
        "start of a crack, and it deepens the notch.",
        common_practice(),
    )


def _bearing() -> Advice:
    return Advice(
        "Cut the faces that bear flat, and hollow rather than round. Each post is itself notched "
        "where it lies in its neighbour, so one wall and a corner of the floor carry no load.",
        derived(DERIVATION, "what really touches"),
    )


def _size() -> Advice:
    return Advice(
        "Do not scale up a proven design without a trial piece. Sharp notches weaken large posts "
        "more than small ones: strength at the corner falls with the square root of the depth.",
        published("LVL Handbook Europe 2025", "page 133, formula 4.47 (6.62 of EN 1995-1-1)"),
    )
