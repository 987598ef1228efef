"""What a maker chooses by a word and not by a size: which way the notches face, how many legs there
are and how they are joined, and the wood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.brief.base import LEGS
from tablekit.panels.controls import LABEL, heard
from tablekit.relations.bases import STRETCHERS, WAYS_UP
from tablekit.species import bare, every_movement, every_species

ANY_WOOD = "a middling hardwood"


def woods() -> tuple[tuple[str, str | None], ...]:
    """What may be chosen, and what a brief then says: every wood that the tables have, by name."""
    names = {bare(name): name for name in (*every_movement(), *every_species())}
    return ((ANY_WOOD, None), *((names[key], names[key]) for key in sorted(names)))


def joined_as(word: str | None, count: int) -> str | None:
    """How legs are joined once there are so many: as before where that suits, else by what takes
    its place, a T between three legs for the H between four."""
    if word is None or count in STRETCHERS[word]:
        return word
    return next(other for other, counts in STRETCHERS.items() if counts == (count,))


class Choices:
    """The controls of these choices; `taken` is called with the brief that a choice makes.

    way_up      of crossed posts
    legs        how many, of splayed legs
    stretchers  how those are joined
    wood        of any piece
    """

    def __init__(self, taken: Callable[[Brief], None]):
        self._taken, self._quiet = taken, False
        self.way_up = widgets.ToggleButtons(options=[*WAYS_UP], style={"button_width": "120px"})
        self.legs = widgets.ToggleButtons(
            options=[(f"{count} legs", count) for count in LEGS], style={"button_width": "72px"}
        )
        short = {"width": "auto", "min_width": "170px"}
        self.stretchers = widgets.Dropdown(
            options=[*STRETCHERS], description="stretchers", style=LABEL, layout=short
        )
        self.wood = widgets.Dropdown(
            options=woods(), description="wood", style=LABEL, layout={**short, "max_width": "100%"}
        )
        for control in (self.way_up, self.legs, self.stretchers, self.wood):
            heard(control, lambda _: self._chosen())
        self.widgets = (self.way_up, self.legs, self.stretchers, self.wood)

    def show(self, brief: Brief) -> None:
        """Show what a brief says, without calling anyone back."""
        self._brief, own = brief, brief.base.chosen
        self._quiet = True
        try:
            for control, of_this in ((self.way_up, own.crossed), (self.legs, not own.crossed)):
                control.layout.display = "" if of_this else "none"
            self.stretchers.layout.display = self.legs.layout.display
            if own.crossed:
                self.way_up.value = own.way_up
            else:
                self.legs.value = own.count
                self.stretchers.options = [w for w, of in STRETCHERS.items() if own.count in of]
                self.stretchers.value = own.joined
            self._show_wood(brief.wood.species)
        finally:
            self._quiet = False

    def _show_wood(self, said: str | None) -> None:
        known = {None if name is None else bare(name): name for _, name in self.wood.options}
        wanted = None if said is None else bare(said)
        if wanted not in known:
            self.wood.options = (*self.wood.options, (said, said))
            known[wanted] = said
        self.wood.value = known[wanted]

    def _chosen(self) -> None:
        if self._quiet:
            return
        base, wood = self._brief.base, self._brief.wood
        if base.chosen.crossed:
            base = replace(base, way_up=self.way_up.value)
        else:
            count = self.legs.value
            joined = joined_as(self.stretchers.value, count)
            base = replace(base, legs=count, stretchers=joined)
        species = self.wood.value
        if species is None or wood.species is None or bare(species) != bare(wood.species):
            wood = replace(wood, species=species)
        self._taken(replace(self._brief, base=base, wood=wood))
