"""A piece as it came out so far: whether it is within tolerance, and if not, what to do now.

made = as_made(sheet, {"post_length_2": 1144.0, ...})
made.verdict, made.remedies[0].text
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tablekit.engine.sheet import Sheet, tidy
from tablekit.engine.shop import fine_text, shop_text
from tablekit.planning.as_cut import Pieces, Standing, drawn, refuse_wrong_units, stand
from tablekit.planning.mending import HAIR, HEIGHT_OFF, POSTS, Bench, Remedy, covers, notch_is_cut
from tablekit.relations.kinds import height_name


@dataclass(frozen=True)
class AsMade:
    """A piece as it came out so far, and what to do now.

    wanted    height that was asked for, mm; `slope` the share of the visible slope that is let pass
    remedies  what serves first, by its work and what it leaves
    """

    pieces: Pieces
    standing: Standing
    wanted: float
    slope: float
    remedies: tuple[Remedy, ...]

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
        fits = self.standing.fits and self.covered
        return self.level and fits and abs(self.height_off) <= off

    @property
    def covered(self) -> bool:
        """Whether the top lies on the middles of all heads, as far as it was drawn to."""
        return covers(self.pieces, self.standing)

    @property
    def verdict(self) -> str:
        """How it comes out, in a sentence or two, the verdict first."""
        found_, style = self.standing, self.pieces.style
        if self.fine:
            return (
                f"within tolerance, nothing to do. The top is {fine_text(found_.rim_drop, style)} "
                f"out of level across the rim, and the {self.pieces.kind} is {self._height}."
            )
        said = []
        if not found_.goes_together:
            said.append(self._tight)
        elif not found_.fits:
            said.append(self._loose)
        if self.level:
            said.append("the top looks level")
        else:
            rim = fine_text(found_.rim_drop, style)
            low = found_.heads.index(min(found_.heads)) + 1
            said.append(f"the top is {rim} out of level across the rim, low over head {low}")
        if not self.covered:
            short = fine_text(-found_.overhang, style)
            said.append(f"the middle of a head lies {short} beyond the rim")
        return f"{'; '.join(said)}; the {self.pieces.kind} is {self._height}."

    @property
    def _height(self) -> str:
        style = self.pieces.style
        by = fine_text(abs(self.height_off), style)
        if abs(self.height_off) < HAIR[style.display]:
            return f"{shop_text(self.wanted, 'mm', style)} high as asked"
        return f"{by} {'lower' if self.height_off < 0 else 'higher'} than asked"

    @property
    def _tight(self) -> str:
        plays = self.standing.plays
        worst = plays.index(min(plays))
        by = fine_text(-min(plays), self.pieces.style)
        tight = f"notch {worst + 1} is {by} too narrow for the post in it"
        return f"{tight}, so the joint does not go together"

    @property
    def _loose(self) -> str:
        plays = self.standing.plays
        play = fine_text(max(plays), self.pieces.style)
        return f"notch {plays.index(max(plays)) + 1} is loose, with {play} of play"

    def to_json(self) -> dict[str, Any]:
        """Plain data: mm, degrees, minutes."""
        found_ = self.standing
        return {
            "verdict": "fine" if self.fine else "look at it",
            "message": self.verdict,
            "head_heights": [tidy(one) for one in found_.heads],
            "table_height": tidy(found_.height),
            "height_off": tidy(self.height_off),
            "top_tilt": tidy(found_.tilt),
            "tilt_direction": tidy(found_.low_side),
            "rim_drop": tidy(found_.rim_drop),
            "level": self.level,
            "foot_circle": tidy(found_.circles[0]),
            "head_circle": tidy(found_.circles[1]),
            "least_overhang": tidy(found_.overhang),
            "worst_gap": tidy(found_.gaps),
            "tightness": [tidy(one) for one in found_.plays],
            "goes_together": found_.goes_together,
            "remedies": [one.to_json() for one in self.remedies],
        }


def as_made(
    sheet: Sheet, sizes: Mapping[str, float], stock: Callable[[float], str] | None = None
) -> AsMade:
    """A piece of which these sizes are cut and measured, and what to do now.

    sizes  mm by name, "post_length_2" or "top_thickness"; posts numbered as in the drawings
    stock  says of a post of some length whether there is wood for it, in words; by default nothing
    Raises DesignError, in a sentence, where the posts no longer fit one another or a size seems to
    be in the wrong unit, and for a base without three notches in turn.
    """
    pieces = _with_notches_to_fit(drawn(sheet).with_sizes(_squared(sheet, sizes)))
    refuse_wrong_units(pieces)
    standing = stand(pieces)
    least = {"foot": sheet.get("pad_diameter"), "head": sheet.get("plate_recess_width")}
    bench = Bench(
        pieces, sheet.number(height_name(sheet.kind)), slope_allowed(sheet),
        {end: size or 0.0 for end, size in least.items()},
    )  # fmt: skip
    offered = [] if bench.serves(standing) else list(bench.remedies(stock or (lambda length: "")))
    made = AsMade(pieces, standing, bench.wanted, bench.slope, ())
    return made if made.fine else replace(made, remedies=_ranked(offered, standing))


def _squared(sheet: Sheet, sizes: Mapping[str, float]) -> dict[str, float]:
    """Square posts are planed to one setting: one measure of a post counts for both its sides."""
    found_ = dict(sizes)
    if sheet.number("post_width") == sheet.number("post_section"):
        for post in POSTS:
            if (one := sizes.get(f"post_section_{post}")) is not None:
                found_.setdefault(f"post_width_{post}", one)
    return found_


def _with_notches_to_fit(pieces: Pieces) -> Pieces:
    """A notch that is not cut yet is knifed to the post that goes in it, whatever its width."""
    uncut = [post for post in POSTS if not notch_is_cut(pieces, post)]
    widths = {f"notch_width_{post}": pieces.fitting_width(post) for post in uncut}
    return pieces.with_sizes(widths, cut=False)


def slope_allowed(sheet: Sheet) -> float:
    """The share of the visible slope that the check on the level lets pass."""
    level = next((one for one in sheet.network.requirements if one.id == "level"), None)
    high = None if level is None else level.good[1]
    return 1.0 if high is None else high


def _ranked(offered: Iterable[Remedy], before: Standing) -> tuple[Remedy, ...]:
    """What serves first, by its work and then by what it leaves; where nothing serves, what is at
    least better than before. Of two that say the same the first stays."""
    several = list(offered)
    good = [one for one in several if one.serves]
    if not good:
        good = [one for one in several if one.after.holds and one.after.used < 0.7 * before.used]
    return tuple({one.text: one for one in sorted(good, key=_rank)}.values())


def _rank(one: Remedy) -> tuple[float, ...]:
    """As high as was asked first, then by work, by what is off, and by how level."""
    off = abs(one.height_off)
    beyond = off > HEIGHT_OFF[one.pieces.style.display]
    return beyond, one.work, round(off, 1), one.after.used
