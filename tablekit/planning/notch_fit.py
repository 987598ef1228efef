"""How the notch will fit once its walls are marked to the maker's fraction.

A notch is tried to a hair; a rule is read to half a millimetre. So the far wall is marked at the
size on the rule that lets the post in, and where no size does, the maker is told what to do
instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.shop import ShopStyle, fine_text, shop_text
from tablekit.planning.formulas import found
from tablekit.planning.setting_out_posts import marked_walls, section_of
from tablekit.relations import marking
from tablekit.relations.inch_practice import inch_words
from tablekit.relations.season_fit import CLEARANCE, FIT, SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.relation import Verdict
    from tablekit.engine.sheet import Sheet


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
