"""The solids of one piece and what is found from them, each once and only when wanted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.solids.assembly import Assembly
    from tablekit.solids.export import Surface
    from tablekit.solids.model import Model
    from tablekit.solids.notched import NotchedPost
    from tablekit.solids.pulling import Pulling


@dataclass(frozen=True, eq=False)
class Solids:
    """A sheet's posts, pads and top in place. Each raises what the function of its name raises."""

    sheet: Any

    @classmethod
    def of(cls, source: Any) -> Solids:
        """Those of a sheet; solids as they are."""
        return source if isinstance(source, cls) else cls(source)

    @cached_property
    def model(self) -> Model:
        """The piece with its posts as whole bars."""
        from tablekit.solids.model import build

        return build(self.sheet)

    @cached_property
    def posts(self) -> tuple[NotchedPost, ...]:
        """The posts as they are notched."""
        from tablekit.solids.notched import notched_posts

        one = base_of(self.sheet).notches_each == 1
        return notched_posts(self.model if one else self.sheet)

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """Posts, pads and top as closed surfaces."""
        from tablekit.solids.export import surfaces

        return surfaces(self)

    @cached_property
    def assembly(self) -> Assembly:
        """Whether and how the posts go together."""
        from tablekit.solids.assembly import assemble

        return assemble(self.posts, self.sheet.shop_style)

    @cached_property
    def pulling(self) -> Pulling:
        """The parts and how they come apart, for pictures of the whole."""
        from tablekit.solids.pulling import pulling

        return pulling(self)
