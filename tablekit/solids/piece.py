"""The solids of one piece and what is found from them, each once and only when wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from tablekit.relations.bases import base_of
from tablekit.solids.assembly import Assembly, assemble
from tablekit.solids.cutting import Surface, surfaces_of
from tablekit.solids.leg_assembly import LegAssembly, assemble_legs
from tablekit.solids.leg_pulling import leg_pulling
from tablekit.solids.legs import LegModel, build_legs
from tablekit.solids.model import Model, build, finished_top
from tablekit.solids.notched import NotchedPost, notched_posts
from tablekit.solids.pulling import Pulling, pulling


@dataclass(frozen=True, eq=False)
class Solids:
    """A sheet's posts or legs, pads and top in place. Each raises what the function of its name
    raises."""

    sheet: Any

    @classmethod
    def of(cls, source: Any) -> Solids:
        """Those of a sheet; solids as they are."""
        return source if isinstance(source, cls) else cls(source)

    @property
    def crossed(self) -> bool:
        """Whether posts carry the top; else it is legs."""
        return base_of(self.sheet).crossed

    @cached_property
    def model(self) -> Model:
        """The piece with its posts as whole bars."""
        return build(self.sheet)

    @cached_property
    def posts(self) -> tuple[NotchedPost, ...]:
        """The posts as they are notched."""
        one = base_of(self.sheet).notches_each == 1
        return notched_posts(self.model if one else self.sheet)

    @cached_property
    def legs(self) -> LegModel:
        """The piece on its legs."""
        return build_legs(self.sheet)

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """Posts or legs, pads and top as closed surfaces, the arrises of the top rounded where its
        edge has that."""
        if not self.crossed:
            return replace(self.legs, top=finished_top(self.sheet, self.legs.top)).surfaces
        top = finished_top(self.sheet, self.model.top)
        return surfaces_of(self.posts, (*self.model.pads, top))

    @cached_property
    def assembly(self) -> Assembly:
        """Whether and how the posts go together."""
        return assemble(self.posts, self.sheet.shop_style)

    @cached_property
    def leg_assembly(self) -> LegAssembly:
        """Whether each leg goes in."""
        return assemble_legs(self.sheet, self.legs.top)

    @cached_property
    def pulling(self) -> Pulling:
        """The parts and how they come apart, for pictures of the whole."""
        return pulling(self) if self.crossed else leg_pulling(self)
