"""Gluing up one post from its laminations: clamps, cauls and time.

found = post_glue_up(sheet, {"open_time": 15}, wood="hardwood")
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import Network
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import duration_text, shop_text, times
from tablekit.planning.clamping import CaulLine
from tablekit.planning.glue_stages import WISHES as STAGE_WISHES
from tablekit.planning.glue_stages import stage_network
from tablekit.relations import glue, quantities
from tablekit.relations.inch_practice import in_practice
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.glue_stages import StagePlan

WISHES = (
    "glue_film", "clamp_pressure", "caul_depth", "clamp_capacity", "open_time", "joining_time",
    "clamp_time", "spread_area",
)  # fmt: skip
_NONE: Mapping[str, float] = MappingProxyType({})
_NEAR = 1e-9


@dataclass(frozen=True, eq=False)
class PostGlueUp:
    """One post in its clamps: laminations face to face, a caul on either outer face.

    laminations    how many
    length, width  of the joints, as the laminations are sawn, mm
    sheet, held    the sheets of the glue-up and of the clamps in use
    """

    laminations: int
    length: float
    width: float
    sheet: Sheet
    held: Sheet

    @property
    def clamps(self) -> int:
        """How many clamps it takes."""
        return round(self.sheet.number("clamp_count"))

    @property
    def places(self) -> tuple[float, ...]:
        """Of the clamps from one end of the laminations, mm."""
        pitch = self.sheet.number("clamp_pitch")
        return tuple((k + 0.5) * pitch for k in range(self.clamps))

    @property
    def minutes(self) -> float:
        """From the first glue to the last clamp."""
        return self.sheet.number("glue_up_minutes")

    @property
    def in_time(self) -> bool:
        """Whether that is within the open time of the glue."""
        return self.minutes <= self.sheet.number("open_time") * (1 + _NEAR)

    @property
    def how(self) -> str:
        """What to do, in the order of the work, as one sentence without its end."""
        sheet, style = self.sheet, self.sheet.shop_style
        sides = (shop_text(n, "mm", style) for n in (self.length, self.width))
        caul = times(*sides, sheet.shop("caul_depth"))
        took, open_time = shop_text(self.minutes, "min", style), sheet.shop("open_time")
        time = f"open time {open_time}"
        if not self.in_time:
            time = f"longer than the open time of {open_time}: use a slower glue, or find a helper"
        dwell = duration_text(60 * self.held.number("clamp_dwell"))
        return (
            f"one at a time; spread one face of each joint; a caul {caul}, taped, on either outer "
            f"face; {self.clamps} G-clamps {sheet.shop('clamp_pitch')} apart, by turns from either "
            f"edge, the middle first; {took} a post ({time}), {dwell} in the clamps"
        )

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, minutes and N; places from one end of the laminations."""
        sheet = self.sheet
        return {
            "laminations": self.laminations,
            "joints": self.laminations - 1,
            "joint_length": tidy(self.length),
            "joint_width": tidy(self.width),
            "clamps": self.clamps,
            "clamp_pitch": tidy(sheet.number("clamp_pitch")),
            "clamp_places": [tidy(place) for place in self.places],
            "clamp_opening": tidy(self.held.number("clamp_opening")),
            "force_per_clamp": tidy(sheet.number("force_per_clamp")),
            "cauls": [
                {"count": 2, "length": tidy(self.length), "depth": tidy(sheet.number("caul_depth")),
                 "thickness": tidy(self.width)}
            ],
            "minutes": tidy(self.minutes),
            "open_time": tidy(sheet.number("open_time")),
            "clamp_dwell": tidy(self.held.number("clamp_dwell")),
            "in_time": self.in_time,
        }  # fmt: skip


@cache
def network(wood: glue.GluedWood = "", display: str = "mm") -> Network:
    """The relations of a glue-up, laminations in place of strips, with what a shop that works in
    "mm" or "in" assumes."""
    return Network(
        "gluing up a post",
        (*glue.QUANTITIES, glue.glue_up_minutes),
        (*glue.RELATIONS, glue.GLUE_UP_MINUTES),
        glue.in_short_clamps(in_practice(glue.assumptions(wood), display == "in")),
        constants=glue.CONSTANTS,
        wording=SHOP,
    )


def post_glue_up(
    sheet: Sheet, wishes: Mapping[str, float] = _NONE, wood: glue.GluedWood = ""
) -> PostGlueUp | None:
    """How one post is glued up; None where posts are in one piece.

    The joints lie face to face, so what is the thickness of a panel is the width of a lamination
    here, and the outermost strip is a lamination with its thickness for a width.
    wishes  any of `WISHES` and of those of the stages of a panel, in reporting units
    """
    several = sheet.get("post_laminations")
    if several is None or round(several) < 2:
        return None
    length, width, thick = (
        sheet.number(name) for name in ("post_blank", "lamination_width", "lamination_thickness")
    )
    if width > quantities.top_thickness.high or thick < glue.outer_strip.low:
        return None  # nothing that is known of gluing up goes so far
    joints = round(several) - 1
    givens = {
        "top_thickness": width, "joint_length": length, "joint_lengths": joints * length,
        "joints": float(joints), "outer_strip": thick,
    }  # fmt: skip
    style = sheet.shop_style
    wished = {name: wishes[name] for name in WISHES if name in wishes}
    of = network(wood, style.display)
    found = of.solve({**givens, **wished}, name="glue-up of a post", shop=style)
    held = {
        "stage_clamps": found.number("clamp_count"), "piece_width": several * thick,
        "caul_depth": found.number("caul_depth"),
    }  # fmt: skip
    shared = {name: wishes[name] for name in STAGE_WISHES if name in wishes}
    clamped = stage_network(style.display).solve({**held, **shared}, name="post", shop=style)
    return PostGlueUp(round(several), length, width, found, clamped)


def cauls_needed(tops: Sequence[StagePlan], post: PostGlueUp | None) -> list[CaulLine]:
    """Cauls to saw, those alike together, the longest first: as many as are in use at one time, for
    they serve again in the next stage."""
    most = Counter[tuple[float, float, float]]()
    for staging in tops:
        for stage in staging.stages:
            used = Counter[tuple[float, float, float]]()
            for up in stage.glue_ups:
                thick = up.sheet.number("top_thickness")
                for caul in up.held.cauls:
                    key = (round(caul.length, 1), up.held.caul_depth, thick)
                    used[key] += caul.count
            most |= used
    lines = [CaulLine(n, *size, "top") for size, n in sorted(most.items(), reverse=True)]
    if post is not None and (deep := post.sheet.number("caul_depth")) > 0:
        lines.append(CaulLine(2, post.length, deep, post.width, "posts"))
    return lines
