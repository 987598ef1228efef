"""Machine settings for the notches: a stacked cutter in several passes, or a router and guides.

A compound notch is cut as a plain trench on the slant, with the post rocked about its length on a
wedge until the notch floor lies level. A plain one is the case without wedge and without slant.
Derivation: `reference/derivations/marking.md`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.sheet import tidy
from tablekit.planning.formulas import found
from tablekit.planning.setting_out_posts import PostSection, section_of
from tablekit.relations import marking, notch_cutting
from tablekit.relations.requirements import SAW_SETTING

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

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
    """

    wedge: float
    mitre: float
    leads: str
    on_notched: float
    on_beside: float
    blade_tilt: float

    @property
    def plain(self) -> bool:
        """Whether it is cut square and level."""
        return max(abs(self.wedge), abs(self.mitre)) < SQUARE_ENOUGH


def notch_angles(sheet: Sheet) -> NotchAngles:
    """The angles of a sheet's notches."""
    own = section_of(sheet)
    both = {"crossing_angle": own.crossing_angle, "notch_floor_tilt": own.notch_floor_tilt}
    mitre = found(notch_cutting.MITRE, "mitre_angle", crossing_angle=own.crossing_angle)
    return NotchAngles(
        wedge=own.notch_floor_tilt,
        mitre=mitre,
        leads="head" if own.way * mitre >= 0 else "foot",
        on_notched=found(notch_cutting.BEVEL_ON_NOTCHED, "bevel_on_notched", **both),
        on_beside=found(notch_cutting.BEVEL_BESIDE, "bevel_beside", **both),
        blade_tilt=found(notch_cutting.BLADE_TILT, "blade_tilt", **both),
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
