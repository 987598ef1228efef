"""The [as_cut] of a brief: what is cut already, as it was measured at the bench.

What is measured is a fact: it gives way to nothing and is not rounded. What is left out is not cut
yet, and stays as the sheet has it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tablekit.brief.section import BriefSection, Key, Measure, Span, measure, read, values
from tablekit.brief.workshop import span_of
from tablekit.engine.wording import listed
from tablekit.planning.as_cut import OF_A_POST
from tablekit.planning.legs_as_cut import OF_A_LEG
from tablekit.relations import quantities as q

if TYPE_CHECKING:
    from tablekit.relations.bases import Base

POSTS = ("post_1", "post_2", "post_3")
# What a maker writes of a post, and the size of the sheet that it is one of.
STEMS = {
    "length": "post_length",
    "notch_position": "notch_position",
    "notch_depth": "notch_depth",
    "notch_width": "notch_width",
    "section": "post_section",
    "width": "post_width",
    "foot_flat": "foot_flat",
    "head_flat": "head_flat",
    "foot_shim": "foot_shim",
    "head_shim": "head_shim",
}
LEGS = ("leg_1", "leg_2", "leg_3", "leg_4")
# What a maker writes of a leg and its socket.
LEG_STEMS = {
    "length": "leg_length",
    "blank": "leg_blank",
    "tenon_diameter": "tenon_diameter",
    "tenon_length": "tenon_length",
    "socket_depth": "socket_depth",
    "socket_diameter": "socket_diameter",
    "socket_radius": "socket_radius",
    "socket_aside": "socket_aside",
    "lean": "leg_lean",
    "lean_aside": "lean_aside",
}
# Of these a maker is always asked; of the others where something was measured.
USUAL = (
    "length", "notch_position", "notch_depth", "notch_width", "section", "foot_flat", "head_flat",
)  # fmt: skip
LEG_USUAL = (
    "length", "blank", "tenon_diameter", "socket_diameter", "socket_depth", "socket_radius",
    "socket_aside", "lean", "lean_aside",
)  # fmt: skip
_LIKE = {"foot_flats": "foot_flat", "head_flats": "head_flat"}
_AS_THE_SHEET = "as the sheet has it"


def stems_of(part: str) -> Mapping[str, str]:
    """What a maker writes of a "post_1" or a "leg_1", and what each is called here."""
    return STEMS if part in POSTS else LEG_STEMS


def usual_of(part: str) -> tuple[str, ...]:
    """What is always asked of a "post_1" or a "leg_1"."""
    return USUAL if part in POSTS else LEG_USUAL


def parts_of(base: Base) -> tuple[str, ...]:
    """The posts or legs of a base of which sizes as cut are worked through; none where they are
    not."""
    if base.crossed:
        return POSTS if base.notches_each == 1 else ()
    return LEGS[: base.count]


def unit_of(stem: str) -> str:
    """The unit that a size of a post, a leg or the top is kept in."""
    return OF_A_LEG[stem].unit if stem in OF_A_LEG else "mm"


def _spans(part: str) -> tuple[Measure, ...]:
    number = int(part[-1])
    return tuple(
        measure(
            key, span_of(OF_A_POST[stem][number - 1] if part in POSTS else OF_A_LEG[stem]),
            _AS_THE_SHEET,
        )
        for key, stem in stems_of(part).items()
    )  # fmt: skip


@dataclass(frozen=True)
class PartKey(Key):
    """What is cut of one post, or of one leg and its socket."""

    @property
    def takes(self) -> str:
        keys = ", ".join(f"{key} = …" for key in stems_of(self.name))
        return f"a table of measures: {{ {keys} }}"

    def read(self, section: BriefSection) -> dict[str, float]:
        written = section.table.get(self.name, {})
        if not isinstance(written, dict):
            section.wrong(
                self.name,
                f"{section.found(self.name)} does not say which size it is; write "
                f'{self.name} = {{ length = "…" }}',
            )
            return {}
        part = BriefSection(section.source, written, (*section.place, self.name))
        said = read(part, _spans(self.name))
        place, length = said.get("notch_position"), said["length"]
        if place is not None and length is not None and place >= length:
            part.wrong(
                "notch_position",
                f"{part.found('notch_position')} lies outside a post with "
                f"{part.found('length')}; both are measured from the foot end",
            )
        stems = stems_of(self.name)
        return {f"{stems[k]}_{self.name[-1]}": v for k, v in said.items() if v is not None}


@dataclass(frozen=True)
class FlatsKey(Key):
    """The three flats of one end."""

    @property
    def takes(self) -> str:
        return 'three measures: ["25 mm", "25.5 mm", "25 mm"]'

    def read(self, section: BriefSection) -> dict[str, float]:
        if self.name not in section.table:
            return {}
        listed = section.table[self.name]
        if not isinstance(listed, list) or len(listed) != len(POSTS):
            section.wrong(
                self.name,
                f"{self.name} is a list of three measures, one for each post; for a single flat "
                f"write post_2 = {{ {_LIKE[self.name]} = … }}",
            )
            return {}
        stem = _LIKE[self.name]
        found: dict[str, float] = {}
        for number, one in enumerate(listed):
            alone = BriefSection(section.source, {self.name: one}, section.place)
            size = alone.measure(self.name, span_of(OF_A_POST[stem][number]))
            if size is not None:
                found[f"{stem}_{number + 1}"] = size
        return found


# Wetter wood than this is not kept so by any air that a shop has, and moves as the kit does not
# calculate; our own choice.
MOISTURE = measure(
    "moisture",
    Span("%", "moisture of the wood when it was cut, by a meter or a weighed sample", 3, 22),
    "by the air of the shop",
)
STRIP = Span("mm", "width of a strip of the glued panel", 5, 1500)
MOST_STRIPS = 60


@dataclass(frozen=True)
class StripsKey(Key):
    """The strips of the glued panel."""

    @property
    def takes(self) -> str:
        return 'a list of measures, in order: ["180 mm", "176.5 mm"]'

    def read(self, section: BriefSection) -> tuple[float, ...]:
        if self.name not in section.table:
            return ()
        written = section.table[self.name]
        if not isinstance(written, list) or not written:
            section.wrong(
                self.name,
                f"{self.name} is a list of measures, the width of each strip from one edge of the "
                f'panel to the other: {self.name} = ["180 mm", "176.5 mm"]',
            )
            return ()
        if len(written) > MOST_STRIPS:
            section.wrong(
                self.name, f"{self.name} has {len(written)} strips; {MOST_STRIPS} are the most"
            )
            return ()
        alone = [BriefSection(section.source, {self.name: one}, section.place) for one in written]
        widths = [one.measure(self.name, STRIP) for one in alone]
        return tuple(one for one in widths if one is not None)


STRIPS = StripsKey(
    "boards", "widths of the strips of the top as glued, side by side from one edge to the other",
    "not glued yet",
)  # fmt: skip
CENTRE = measure(
    "centre",
    Span("mm", "centre of the round, from the outer edge of the first strip", 50, 3200),
    "not marked yet",
)
OF_THE_PANEL: tuple[Key, ...] = (STRIPS, CENTRE)
OF_THE_TOP: tuple[Key, ...] = (
    measure("top_thickness", span_of(q.top_thickness), _AS_THE_SHEET),
    measure("top_diameter", span_of(q.top_diameter), _AS_THE_SHEET),
)
OF_THE_POSTS: tuple[Key, ...] = (
    *(PartKey(name, f"post {name[-1]} as measured: lengths along it from its foot end, before the "
              "flats; a flat by the largest circle on it", "not cut yet") for name in POSTS),
    *(FlatsKey(name, f"largest circle on each flat of the {'feet' if end == 'foot' else 'heads'}, "
               "posts 1 to 3", "not cut yet")
      for name, end in (("foot_flats", "foot"), ("head_flats", "head"))),
)  # fmt: skip
OF_THE_LEGS: tuple[Key, ...] = tuple(
    PartKey(name, f"leg {name[-1]} and its socket as measured: blank while its foot is square, "
            "length once it is cut; aside to the side of the next number", "not cut yet")
    for name in LEGS
)  # fmt: skip
_BESIDE = (*OF_THE_PANEL, MOISTURE)
AS_CUT_KEYS: tuple[Key, ...] = (*OF_THE_POSTS, *OF_THE_LEGS, *OF_THE_TOP, *_BESIDE)


def _of_one(what: str, part: str) -> dict[str, str]:
    """Where a maker may look for a size of one post or leg."""
    return {
        name: f'it is one of a {what}: write {part} = {{ {key} = "…" }}'
        for key, stem in stems_of(part).items()
        for name in (key, stem)
    }


_OF_ONE_POST = {
    **_of_one("post", POSTS[0]),
    **{leg: "this piece stands on posts: write post_1, post_2 or post_3" for leg in LEGS},
}


@dataclass(frozen=True)
class AsCut:
    """What is cut and measured.

    sizes  numbers in mm by name: "post_length_2", "head_flat_1", "leg_length_3", "top_thickness",
           and degrees for a lean; as read from a text each is a `Typed`
    lines  where each stands in the brief; of no account in comparing
    moisture  of the wood when it was cut, %; None where it was not measured
    boards  widths of the strips of the glued panel, in order, mm; none where it is not glued
    centre  of the round, mm from the outer edge of the first strip; None where it is not marked
    """

    sizes: Mapping[str, float] = field(default_factory=dict)
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)
    moisture: float | None = None
    boards: tuple[float, ...] = ()
    centre: float | None = None

    @classmethod
    def of(
        cls,
        moisture: float | None = None,
        boards: Sequence[float] = (),
        centre: float | None = None,
        **cut: Mapping[str, float] | float,
    ) -> AsCut:
        """The same from numbers in mm and degrees, and moisture in %, as a brief writes them:
        `AsCut.of(post_2={"length": 1146.0}, top_thickness=27.0)`. Raises KeyError for a name that
        no post or leg has."""
        parts = {part: own for part, own in cut.items() if isinstance(own, Mapping)}
        sizes = {
            f"{stems_of(part)[key]}_{part[-1]}": size
            for part, own in parts.items()
            for key, size in own.items()
        }
        top = {name: size for name, size in cut.items() if not isinstance(size, Mapping)}
        return cls({**sizes, **top}, moisture=moisture, boards=tuple(boards), centre=centre)

    def __bool__(self) -> bool:
        """Whether a size of a post or of the round top was measured."""
        return bool(self.sizes)

    def line(self, *names: str) -> int | None:
        """Where the first of these sizes that is cut stands in the brief."""
        return next((self.lines[name] for name in names if name in self.lines), None)


def read_as_cut(section: BriefSection | None, base: Base) -> AsCut:
    """The section [as_cut]; what does not go together is written down as a fault."""
    if section is None:
        return AsCut()
    if not parts_of(base):
        other = [key.name for key in _BESIDE]
        if section.table.keys() - set(other):
            section.wrong(
                "", "sizes as cut are worked through for splayed legs and for three crossed posts "
                f"with one notch each, and these have two; leave out all but {listed(other)}",
            )  # fmt: skip
        return _with_panel(section, AsCut(moisture=MOISTURE.read(section)))
    of_sizes, hints = _keys_of(base)
    section.only([key.name for key in (*of_sizes, *_BESIDE)], hints)
    sizes: dict[str, float] = {}
    lines: dict[str, int] = {}
    for key, said in values(section, of_sizes).items():
        here = said if isinstance(said, dict) else {} if said is None else {key: said}
        for name, size in here.items():
            if name in sizes:
                section.wrong(key, f"{key} and post_{name[-1]} both measure {name}; keep one")
            sizes[name] = size
            line = section.source.locator.line(_place(section, key, name))
            if line is not None:
                lines[name] = line
    return _with_panel(section, AsCut(sizes, lines, MOISTURE.read(section)))


def _keys_of(base: Base) -> tuple[Sequence[Key], Mapping[str, str]]:
    """The keys of sizes that this base has, and advice on others."""
    if base.crossed:
        return (*OF_THE_POSTS, *OF_THE_TOP), _OF_ONE_POST
    legs, none = parts_of(base), LEGS[base.count :]
    hints = {
        **_of_one("leg", LEGS[0]),
        **{post: f"this piece stands on legs: write {listed(legs, 'or')}" for post in POSTS},
        **{leg: f"this piece has {base.count} legs" for leg in none},
    }
    return (*(key for key in OF_THE_LEGS if key.name in legs), *OF_THE_TOP), hints


def _with_panel(section: BriefSection, made: AsCut) -> AsCut:
    """The same with what was measured of the glued panel."""
    boards, centre = STRIPS.read(section), CENTRE.read(section)
    if centre is not None and STRIPS.name not in section.table:
        section.wrong(
            CENTRE.name,
            f"{section.found(CENTRE.name)} is measured from the edge of the glued panel; write "
            f"the widths of its strips as well: {STRIPS.name} = {STRIPS.takes.partition(': ')[2]}",
        )
    round_ = made.sizes.get("top_diameter", 0.0)
    # Two measurements of one width differ by a little.
    if boards and len(boards) == len(section.table[STRIPS.name]) and math.fsum(boards) < round_ - 1:
        section.wrong(
            STRIPS.name,
            f"the strips in {STRIPS.name} are less wide together than "
            f"{section.found('top_diameter')}, which was cut from them; measure again",
        )
    place = section.source.locator.line((*section.place, STRIPS.name)) if boards else None
    lines = made.lines if place is None else {**made.lines, STRIPS.name: place}
    return replace(made, boards=boards, centre=centre, lines=lines)


def _place(section: BriefSection, key: str, name: str) -> tuple[str | int, ...]:
    if key not in (*POSTS, *LEGS):
        return (*section.place, key)
    own = next((short for short, stem in stems_of(key).items() if name == f"{stem}_{key[-1]}"), "")
    return (*section.place, key, own)


def as_cut_values(made: AsCut) -> dict[str, Mapping[str, float] | float]:
    """The section as keys and values, without its panel and its moisture: each post or leg as a
    maker writes it, then the top."""
    found: dict[str, Mapping[str, float] | float] = {}
    for part in (*POSTS, *LEGS):
        own = {
            key: made.sizes[f"{stem}_{part[-1]}"]
            for key, stem in stems_of(part).items()
            if f"{stem}_{part[-1]}" in made.sizes
        }
        if own:
            found[part] = own
    found |= {n: size for n, size in made.sizes.items() if n.startswith("top_")}
    return found
