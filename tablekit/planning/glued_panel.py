"""The panel of a top as it was glued: whether the round fits on it, where its centre may lie, and
what to do where it came out too narrow.

    panel = glued_panel(sheet, (180.0, 176.5, 210.0, 240.0, 198.0), PanelTerms(margin=10.0))
    panel.verdict, panel.remedies

Every number comes from the relations in `relations/glued_panel.py`. What is chosen here is the
place of the centre, where it is not marked yet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.as_cut import as_cut
from tablekit.engine.network import Network
from tablekit.engine.sheet import Sheet, tidy
from tablekit.engine.shop import (
    ShopStyle,
    exact_text,
    fine_text,
    shop_down,
    shop_text,
    shop_up,
)
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital, listed
from tablekit.engine.written_js import JsPlan, script_of
from tablekit.planning import formulas as formulas
from tablekit.planning.as_cut import seems_wrong_unit
from tablekit.planning.mending import HAIR
from tablekit.relations import glued_panel as relations
from tablekit.relations import quantities as q
from tablekit.relations.wording import SHOP

Floats = NDArray[np.float64]
# With less outside it a router has no wood to run in; our own choice.
_LEAST_MARGIN = 1.0
# A joint this near the centre runs through it, as nearly as anyone marks.
_THROUGH = 0.25
# A strip that lies outside the rim lies clear of it, mm: else a circle that wanders leaves a sliver
# of it; our own choice.
_CLEAR_OF_RIM = 2.0
_MOST_ADDED = 10  # widths that are tried for a strip that is glued on
_NEAR = 1e-9


@dataclass(frozen=True)
class PanelTerms:
    """What is asked of the round on its panel, lengths in mm.

    margin      of wood outside the finished round
    edge_loss   of a board at each long edge in jointing
    at_rim      what a strip at the rim shows at least; `narrowest` the same of every strip
    clear       no joint comes nearer the centre than this; 0 where one may
    planned     widths of the strips of the layout, in order; none without one
    centre      where the layout has the centre, from the outer edge of its first strip
    """

    margin: float = 10.0
    edge_loss: float = 2.0
    at_rim: float = 20.0
    narrowest: float = 0.0
    clear: float = 0.0
    planned: tuple[float, ...] = ()
    centre: float | None = None


@dataclass(frozen=True)
class GluedStrip:
    """A strip of the panel, its edges from the centre of the round, right positive, mm.

    shows          its width inside the finished rim
    length_needed  the longest chord of the circle that it covers, the margin counted
    planned        whether it is not cut yet, and counts as the layout has it
    """

    left: float
    right: float
    shows: float
    length_needed: float
    planned: bool

    @property
    def width(self) -> float:
        """Its own width, mm."""
        return self.right - self.left


@dataclass(frozen=True)
class PanelRemedy:
    """A way to mend it.

    text     what to do, and what comes of it
    changes  what a brief then says: "boards" and "centre" as measured, "margin" below [top],
             "top_diameter"; mm
    """

    what: str
    text: str
    changes: Mapping[str, float | tuple[float, ...]]

    @property
    def short(self) -> str:
        """The same without where the centre then is and what comes of it."""
        return f"{self.text.partition(', with ')[0].rstrip('.')}."

    def to_json(self) -> dict[str, Any]:
        """Plain data, mm."""
        plain = {
            key: [*map(tidy, said)] if isinstance(said, tuple) else tidy(said)
            for key, said in self.changes.items()
        }
        return {"what": self.what, "text": self.text, "changes": plain}


@dataclass(frozen=True)
class GluedPanel:
    """A panel with its strips side by side, and a round on it; lengths in mm.

    widths    of the strips, in order; the last `to_cut` of them as the layout has them
    diameter  of the finished round; `round_cut` where it is cut out already
    centre    of the round, from the outer edge of the first strip; `marked` where it was measured
    sheet     panel, circle and margin, with their working
    """

    widths: tuple[float, ...]
    to_cut: int
    diameter: float
    round_cut: bool
    terms: PanelTerms
    centre: float
    marked: bool
    sheet: Sheet
    piece: Sheet = field(repr=False)

    @property
    def style(self) -> ShopStyle:
        """How sizes are said."""
        return self.piece.shop_style

    @property
    def width(self) -> float:
        """Of the whole panel."""
        return self.sheet.number("panel_width")

    @property
    def spare(self) -> float:
        """Beyond the circle with its margin; negative where the panel is too narrow."""
        return self.sheet.number("panel_spare")

    @property
    def wide_enough(self) -> bool:
        """Whether the round fits, margin and all, with its centre somewhere."""
        return self.round_cut or self.spare >= -_NEAR

    @property
    def fits(self) -> bool:
        """Whether it fits about its centre."""
        low, high = self.room
        return self.round_cut or low - _NEAR <= self.centre <= high + _NEAR

    @property
    def room(self) -> tuple[float, float]:
        """From where to where the centre may lie; the first is the greater where it may not."""
        return self.sheet.number("nearest_centre"), self.sheet.number("farthest_centre")

    @cached_property
    def strips(self) -> tuple[GluedStrip, ...]:
        """Each strip about the centre."""
        edges = _edges(self.widths) - self.centre
        circle = self.sheet.number("rough_diameter")
        pairs = pairwise(edges)
        return tuple(
            GluedStrip(
                float(left), float(right),
                float(formulas.strip_shows(left, right, self.diameter)),
                float(formulas.length_needed(circle, left, right)),
                number >= len(self.widths) - self.to_cut,
            )
            for number, (left, right) in enumerate(pairs)
        )  # fmt: skip

    @property
    def slim(self) -> int | None:
        """Number, from 1, of the strip that shows the least inside the rim."""
        shown = [(one.shows, n) for n, one in enumerate(self.strips, start=1) if one.shows > _NEAR]
        return min(shown)[1] if shown else None

    @property
    def nearest_joint(self) -> float | None:
        """How near a joint comes to the centre; None where there is none."""
        return min((abs(strip.right) for strip in self.strips[:-1]), default=None)

    @property
    def as_wished(self) -> bool:
        """Whether no strip shows too little and no joint comes too near the centre."""
        edges = _edges(self.widths)
        return bool(_as_wished(edges, np.array([self.centre]), self.diameter, self.terms)[0])

    @property
    def fine(self) -> bool:
        """Whether nothing has to be done about the panel."""
        return self.fits and (self.round_cut or self.as_wished)

    @cached_property
    def remedies(self) -> tuple[PanelRemedy, ...]:
        """What can be done, the least work first; none where nothing has to be."""
        return () if self.fine or self.round_cut else tuple(_ways(self))

    # -- in words ---------------------------------------------------------------------------

    @property
    def verdict(self) -> str:
        """How it comes out, in a few sentences, the verdict first."""
        return " ".join(self.said)

    @property
    def said(self) -> tuple[str, ...]:
        """The same, a sentence each."""
        fits = () if self.round_cut else (capital(self._fit), *self._where)
        strips = self._strips_said if self.wide_enough else ()
        return (*fits, *strips, *self._still_to_cut)

    @property
    def at_a_glance(self) -> str:
        """Whether the round fits, where its centre is marked, and what is not as it should be."""
        if self.round_cut:
            return " ".join(self._strips_said)
        amiss = () if not self.wide_enough or self.as_wished else self._strips_said
        return " ".join((capital(self._fit), *self._where, *amiss))

    @property
    def _fit(self) -> str:
        wide, length = exact_text(self.width, self.style), self._length
        round_ = f"a round of {length(self.diameter)} with {length(self.terms.margin)} outside it"
        if not self.wide_enough:
            short = fine_text(-self.spare, self.style, 3)
            return f"the panel is {wide} wide, {short} too narrow for {round_}."
        spare = fine_text(self.spare, self.style, 3) if self.spare > _NEAR else "nothing"
        return f"the panel is {wide} wide, enough for {round_}, with {spare} to spare."

    @property
    def _where(self) -> tuple[str, ...]:
        """Where the centre is, or is to be marked."""
        if not self.wide_enough:
            return ()
        low, high = (exact_text(one, self.style) for one in self.room)
        room = f"between {low} and {high}" if low != high else f"at {low}"
        from_ = "from the outer edge of strip 1"
        here = exact_text(self.centre, self.style)
        if not self.marked:
            return (f"Mark the centre {here} {from_}; it may lie {room}.",)
        if self.fits:
            return (f"The centre, {here} {from_}, is right; it may lie {room}.",)
        return (f"The centre, {here} {from_}, is too near an edge; it has to lie {room}.",)

    @property
    def _strips_said(self) -> tuple[str, ...]:
        """The narrowest strip, the joint nearest the centre, and what lies in the waste."""
        found = []
        short = [
            (number, strip.shows, least)
            for number, (strip, least) in enumerate(self._asked_of_strips, start=1)
            if _NEAR < strip.shows < least - 1e-6
        ]
        for number, shows, least in short:
            found.append(
                f"Strip {number} shows only {exact_text(shows, self.style)} inside the rim; it "
                f"should show at least {self._length(least)}."
            )
        if self.slim is not None and not short and len(self.widths) > 1:
            slim = exact_text(self.strips[self.slim - 1].shows, self.style)
            found.append(f"Strip {self.slim} is the narrowest inside the rim, with {slim}.")
        hidden = [n for n, one in enumerate(self.strips, start=1) if one.shows <= _NEAR]
        if hidden:
            which = f"Strip{'s' * (len(hidden) > 1)} {listed(hidden)}"
            found.append(f"{which} {'lies' if len(hidden) == 1 else 'lie'} outside the rim.")
        near = self.nearest_joint
        if near is not None:
            through = near <= _THROUGH
            asked = f", nearer than {self._length(self.terms.clear)}" if (
                near < self.terms.clear - _NEAR and not through
            ) else ""  # fmt: skip
            found.append(
                "A joint runs through the centre." if through else
                f"The joint nearest the centre is {exact_text(near, self.style)} from it{asked}."
            )  # fmt: skip
        return tuple(found)

    @property
    def _asked_of_strips(self) -> Iterator[tuple[GluedStrip, float]]:
        """Each strip, and what it should show inside the rim, mm."""
        seen = [n for n, one in enumerate(self.strips) if one.shows > _NEAR]
        at_rim = {seen[0], seen[-1]} if seen else set()
        for number, strip in enumerate(self.strips):
            more = self.terms.at_rim if number in at_rim else 0.0
            yield strip, max(more, self.terms.narrowest)

    @property
    def _still_to_cut(self) -> tuple[str, ...]:
        """What is not cut yet."""
        if self.round_cut:
            return ()
        if self.to_cut:
            numbers = range(len(self.widths) - self.to_cut + 1, len(self.widths) + 1)
            which = f"strip{'s' * (self.to_cut > 1)} {listed(numbers)}"
            together = sum(self.widths[-self.to_cut :])
            needed = together - self.spare
            count = "together " if self.to_cut > 1 else ""
            return (
                f"Still to cut: {which}, {count}at least {exact_text(needed, self.style)} wide; "
                f"{'they count' if self.to_cut > 1 else 'it counts'} as planned, "
                f"{exact_text(together, self.style)}.",
            )
        if not self.fits:
            return ()
        radius = self.diameter / 2
        first, last = -self.strips[0].left - radius, self.strips[-1].right - radius
        left, right = (exact_text(one, self.style) for one in (first, last))
        return (
            f"Still to cut: the round; outside it {left} of strip 1 and {right} of strip "
            f"{len(self.widths)} come off.",
        )

    def _length(self, number: float) -> str:
        return shop_text(number, "mm", self.style)

    def to_json(self) -> dict[str, Any]:
        """Plain data, mm."""
        low, high = self.room
        return {
            "verdict": "fine" if self.fine else "look at it",
            "message": self.verdict,
            "panel_width": tidy(self.width),
            "panel_spare": tidy(self.spare),
            "fits": self.fits,
            "round_cut": self.round_cut,
            "centre": tidy(self.centre),
            "centre_from": tidy(low),
            "centre_to": tidy(high),
            "narrowest_strip": self.slim,
            "nearest_joint": None if self.nearest_joint is None else tidy(self.nearest_joint),
            "to_cut": self.to_cut,
            "strips": [
                {
                    "width": tidy(one.width), "left": tidy(one.left), "right": tidy(one.right),
                    "shows": tidy(one.shows), "length_needed": tidy(one.length_needed),
                    "planned": one.planned,
                }
                for one in self.strips
            ],
            "remedies": [one.to_json() for one in self.remedies],
        }  # fmt: skip


def glued_panel(
    sheet: Sheet,
    widths: Sequence[float],
    terms: PanelTerms,
    centre: float | None = None,
    cut_diameter: float | None = None,
) -> GluedPanel:
    """A panel of strips that were measured.

    sheet   that of the table or stool
    widths  of the strips side by side, mm; where the layout has more, the rest counts as planned
    centre  where it was marked, mm from the outer edge of the first strip
    cut_diameter  of the round where it is cut out already, mm
    Raises DesignError, in a sentence, where the widths seem to be in the wrong unit and where the
    centre lies outside the panel.
    """
    planned = tuple(terms.planned[len(widths) :])
    every = (*map(float, widths), *planned)
    diameter = sheet.number("top_diameter") if cut_diameter is None else cut_diameter
    found = _sheet(every, diameter, terms, sheet.shop_style)
    _refuse_unlikely(found, centre, sheet.shop_style)
    place = _place(every, diameter, terms, found) if centre is None else float(centre)
    return GluedPanel(
        every, len(planned), diameter, cut_diameter is not None, terms, place, centre is not None,
        found, sheet,
    )  # fmt: skip


def make_ready(sheet: Sheet) -> None:
    """Compile all that a panel may need, so that nothing of it is left to a slider."""
    _sheet((sheet.number("top_diameter"),), sheet.number("top_diameter"), PanelTerms(),
           sheet.shop_style)  # fmt: skip
    _effect(sheet, sheet.number("top_diameter"))


def _refuse_unlikely(found: Sheet, centre: float | None, style: ShopStyle) -> None:
    wide, circle = found.number("panel_width"), found.number("rough_diameter")
    said, needed = exact_text(wide, style), exact_text(circle, style)
    if seems_wrong_unit(wide, circle):
        raise DesignError(
            f"the strips are {said} wide together and the round needs {needed}; are they in the "
            "right unit?"
        )
    if centre is not None and centre >= wide:
        raise DesignError(
            f"the centre is {exact_text(centre, style)} from the outer edge of the first strip, "
            f"outside a panel {said} wide"
        )


@cache
def panel_network() -> Network:
    """A panel of any width, and the round that it is for."""
    return Network("glued panel", relations.QUANTITIES, relations.RELATIONS, wording=SHOP)


@cache
def panel_script() -> JsPlan:
    """How a panel of any width suits its round, as the JavaScript function `asGlued`."""
    wanted = [one.name for one in _SAID_OF_A_PANEL]
    program = panel_network().plan(panel_givens((), 0.0, PanelTerms())).program
    return script_of(program, "asGlued", wanted)


_SAID_OF_A_PANEL = (
    relations.panel_spare, relations.nearest_centre, relations.farthest_centre,
    relations.largest_round,
)  # fmt: skip


def panel_givens(widths: Sequence[float], diameter: float, terms: PanelTerms) -> dict[str, float]:
    """What `panel_network` is given of strips side by side, mm."""
    return {
        "panel_width": math.fsum(widths),
        "top_diameter": diameter,
        "top_margin": terms.margin,
        "rim_strip": max(terms.at_rim, terms.narrowest),
        "edge_loss": terms.edge_loss,
    }


def _sheet(widths: Sequence[float], diameter: float, terms: PanelTerms, style: ShopStyle) -> Sheet:
    givens = panel_givens(widths, diameter, terms)
    return panel_network().solve(givens, name="panel as glued", shop=style, why=False)


# -- the place of the centre ----------------------------------------------------------------------


def _edges(widths: Sequence[float]) -> Floats:
    """All edges across the panel from the outer edge of the first strip, mm."""
    return np.concatenate([[0.0], np.cumsum(widths)])


def _place(widths: Sequence[float], diameter: float, terms: PanelTerms, found: Sheet) -> float:
    """Where to mark the centre: of the places where all is as wished the one nearest that of the
    layout, or the middle of the panel; that one itself, as near as may be, where there is none."""
    low, high = found.number("nearest_centre"), found.number("farthest_centre")
    wanted = middle = found.number("panel_width") / 2
    if terms.centre is not None and len(widths) == len(terms.planned):
        wanted = terms.centre
    if low > high:
        return middle
    wanted = min(max(wanted, low), high)
    edges, radius = _edges(widths), diameter / 2
    least = max(terms.at_rim, terms.narrowest)
    # The best place is the wanted one, an end, or one where a strip or a joint is just as asked.
    clear = min(_CLEAR_OF_RIM, terms.margin)
    off = (
        radius + clear, radius - least, least - radius, -radius - clear, terms.clear, -terms.clear,
    )  # fmt: skip
    places = np.concatenate([[wanted, low, high], *(edges + one for one in off)])
    hair = HAIR[found.shop_style.display]
    marked = np.concatenate([np.floor(places / hair) * hair, np.ceil(places / hair) * hair])
    for tried in (marked, places):  # what can be marked, where it serves
        within = tried[(tried >= low - _NEAR) & (tried <= high + _NEAR)]
        good = within[_as_wished(edges, within, diameter, terms)]
        if len(good):
            return float(good[np.argmin(np.abs(good - wanted))])
    return wanted


def _as_wished(
    edges: Floats,
    places: Floats,
    diameter: float,
    terms: PanelTerms,
) -> NDArray[np.bool_]:
    """At which places of the centre no strip shows too little and no joint comes too near; shape of
    `places`."""
    about = edges[None, :] - places[:, None]
    shows = np.asarray(formulas.strip_shows(about[:, :-1], about[:, 1:], diameter))
    seen = shows > _NEAR
    first = np.arange(len(edges) - 1) == np.argmax(seen, axis=1)[:, None]
    last = np.arange(len(edges) - 1) == len(edges) - 2 - np.argmax(seen[:, ::-1], axis=1)[:, None]
    beyond = np.maximum(about[:, :-1], -about[:, 1:]) - diameter / 2
    least = np.where(first | last, max(terms.at_rim, terms.narrowest), terms.narrowest)
    clear = np.minimum(_CLEAR_OF_RIM, terms.margin)
    good = np.where(seen, shows >= least - 1e-6, beyond >= clear - 1e-6).all(axis=1)
    if terms.clear and len(edges) > 2:
        good &= np.abs(about[:, 1:-1]).min(axis=1) >= terms.clear - 1e-6
    return np.asarray(good)


# -- what can be done -----------------------------------------------------------------------------


def _ways(panel: GluedPanel) -> Iterator[PanelRemedy]:
    """Every way of which it was seen that it serves."""
    for way in (_another_centre, _less_margin, _wider_rest, _smaller_top, _one_strip_more):
        if (found := way(panel)) is not None:
            yield found


def _again(
    panel: GluedPanel,
    widths: Sequence[float] | None = None,
    terms: PanelTerms | None = None,
    diameter: float | None = None,
) -> GluedPanel:
    """The same panel with something changed, its centre marked afresh."""
    every = tuple(panel.widths if widths is None else widths)
    terms, diameter = terms or panel.terms, diameter or panel.diameter
    # Strips that were not in the layout leave no place of its own for the centre.
    found = _sheet(every, diameter, terms, panel.style)
    place = _place(every, diameter, terms, found)
    return replace(
        panel, widths=every, terms=terms, diameter=diameter, centre=place, marked=False, sheet=found
    )


def _marked(after: GluedPanel) -> str:
    """Where the centre then is, to end a sentence with."""
    here = exact_text(after.centre, after.style)
    return f"the centre {here} from the outer edge of strip 1"


def _another_centre(panel: GluedPanel) -> PanelRemedy | None:
    if not panel.marked:
        return None
    after = _again(panel)
    if not after.fine:
        return None
    text = f"Mark {_marked(after)}."
    return PanelRemedy("move the centre", text, {"centre": after.centre})


def _less_margin(panel: GluedPanel) -> PanelRemedy | None:
    hair = HAIR[panel.style.display]
    left = math.floor(panel.sheet.number("panel_margin") / hair + 1e-6) * hair
    if panel.wide_enough or left < _LEAST_MARGIN:
        return None
    after = _again(panel, terms=replace(panel.terms, margin=left))
    if not after.fine:
        return None
    now = exact_text(left, panel.style)
    before = shop_text(panel.terms.margin, "mm", panel.style)
    text = (
        f"Leave {now} outside the round instead of {before}, with {_marked(after)}. Both outer "
        "edges then have to be straight and sound."
    )
    return PanelRemedy("leave less outside the round", text, {"margin": left})


def _wider_rest(panel: GluedPanel) -> PanelRemedy | None:
    """What is not cut yet, cut wider than planned."""
    if not panel.to_cut or panel.wide_enough:
        return None
    *others, last = panel.widths
    wider = shop_up(last - panel.spare, panel.style)
    after = _again(panel, (*others, wider))
    if not after.fine:
        return None
    wide = exact_text(wider, panel.style)
    text = f"Cut strip {len(panel.widths)} {wide} wide, with {_marked(after)}."
    return PanelRemedy("cut the rest wider", text, {"boards": after.widths})


def _smaller_top(panel: GluedPanel) -> PanelRemedy | None:
    size = shop_down(panel.sheet.number("largest_round"), panel.style)
    if panel.wide_enough or size < q.top_diameter.low:
        return None
    after = _again(panel, diameter=size)
    if not after.fine:
        return None
    text = f"Make the top {shop_text(size, 'mm', panel.style)} across, with {_marked(after)}."
    effect = _effect(panel.piece, size)
    return PanelRemedy("a smaller top", f"{text} {effect}".strip(), {"top_diameter": size})


def _effect(piece: Sheet, diameter: float) -> str:
    """What a smaller top does to the overhang and to tipping, the base as it is."""
    try:
        made = as_cut(piece)
    except DesignError:
        return ""
    if q.top_diameter.name not in made.plan.givens:
        return ""
    outcome = made.plan.program.run({**made.si, "top_diameter": q.top_diameter.to_si(diameter)})
    says = []
    for name, how in (
        ("overhang", "the overhang is {} instead of {}"),
        ("tipping_load", "{} on the rim tips it instead of {}"),
    ):
        before, after = piece.get(name), outcome.values.get(name)
        if before is None or after is None or not math.isfinite(after):
            continue
        quantity = piece.network.quantity(name)
        now, was = (
            shop_text(one, quantity.unit, piece.shop_style)
            for one in (quantity.from_si(after), before)
        )
        if now != was:
            says.append(how.format(now, was))
    return f"Then {listed(says)}." if says else ""


def _one_strip_more(panel: GluedPanel) -> PanelRemedy | None:
    if panel.wide_enough:
        return None
    least = shop_up(panel.sheet.number("added_strip"), panel.style)
    step = panel.sheet.number("rim_strip") or HAIR[panel.style.display]
    tried = (least + k * step for k in range(_MOST_ADDED))
    found = ((size, _again(panel, (*panel.widths, size))) for size in tried)
    size, after = next(((s, one) for s, one in found if one.fine), (0.0, panel))
    if not after.fine:
        return None
    board = shop_text(size + 2 * panel.terms.edge_loss, "mm", panel.style)
    wide = shop_text(size, "mm", panel.style)
    text = (
        f"Glue on one strip more after strip {len(panel.widths)}, {wide} wide when it is jointed "
        f"(from a board of {board}), with {_marked(after)}."
    )
    return PanelRemedy("one strip more", text, {"boards": after.widths})
