"""Do the parts fit? Posts cut as true solids, compared with one another and with the sheet.

The solids are cut by manifold3d, whose booleans keep a closed surface closed. Nothing here reads a
volume or an area from a relation; that is why it can vouch for them. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import NEAR, Body
from tablekit.solids.contact import Patch, patches
from tablekit.solids.cutting import post_solid, solid, volume_and_centre
from tablekit.solids.model import Model, build
from tablekit.solids.notched import Notch, NotchedPost, notched_posts, one_notch_posts

Array = NDArray[np.float64]

# Shares of a part's volume. Coordinates carry some fifteen digits, volumes some twelve.
NO_OVERLAP = 1e-9
SAME_VOLUME = 1e-9
# Pressing a part into another by so much, in mm, measures the area they touch on; at slanting
# corners the measure is off by about this much over the section.
PRESS = 1e-3
SAME_AREA = 1e-3
FACES = ("floor", "foot wall", "head wall")


@dataclass(frozen=True, eq=False)
class PartFit:
    """One part as a solid: volume mm³, centre of mass (3,) mm, and how many pieces it is in."""

    name: str
    number: int
    volume: float
    centre: Array
    pieces: int


@dataclass(frozen=True)
class Overlap:
    """Wood claimed by two parts at once, mm³. Parts as ("post", 1)."""

    first: tuple[str, int]
    second: tuple[str, int]
    volume: float


@dataclass(frozen=True)
class Contact:
    """Where two posts touch.

    host, guest  post numbers; the guest lies in the host's notch
    face         "floor", "foot wall" or "head wall" of the notch, or "face"
    designed     area from the shapes the posts are set out to have, mm²
    pressed      area measured by pressing the solids together, mm²
    """

    host: int
    guest: int
    face: str
    designed: float
    pressed: float


@dataclass(frozen=True)
class MeasuredValue:
    """A value of the sheet beside the same measured on the solids, in the same unit."""

    name: str
    solid: float
    sheet: float

    @property
    def difference(self) -> float:
        """Relative to the sheet's value."""
        return abs(self.solid - self.sheet) / abs(self.sheet)


@dataclass(frozen=True, eq=False)
class Fit:
    """What the solids say.

    parts     posts, pads, top
    overlaps  every pair that shares wood, whatever the amount
    contacts  where posts touch
    gaps      (post number, face) for every face of a notch that no other post touches
    compared  volumes of the sheet beside those of the solids; none where no sheet was given
    """

    parts: tuple[PartFit, ...]
    overlaps: tuple[Overlap, ...]
    contacts: tuple[Contact, ...]
    gaps: tuple[tuple[int, str], ...]
    compared: tuple[MeasuredValue, ...]

    @property
    def volume(self) -> float:
        """Of all parts, mm³."""
        return sum(part.volume for part in self.parts)

    @property
    def centre(self) -> Array:
        """Centre of mass of all parts, taken to be of one density, shape (3,), mm."""
        weighted = np.array([part.volume * part.centre for part in self.parts])
        return np.asarray(weighted.sum(axis=0) / self.volume)

    @property
    def fits(self) -> bool:
        """Whether there is nothing to complain of."""
        return not self.problems

    @property
    def problems(self) -> tuple[str, ...]:
        """What is wrong, in words; none where the parts fit."""
        volumes = {(part.name, part.number): part.volume for part in self.parts}
        found = []
        for lap in self.overlaps:
            if lap.volume > NO_OVERLAP * min(volumes[lap.first], volumes[lap.second]):
                first, second = _words(lap.first), _words(lap.second)
                found.append(f"{first} and {second} overlap by {lap.volume:.4g} mm³")
        for part in self.parts:
            if part.pieces != 1:
                found.append(f"{part.name} {part.number} is in {part.pieces} pieces, not one")
        for touch in self.contacts:
            if abs(touch.pressed - touch.designed) > SAME_AREA * touch.designed:
                found.append(
                    f"post {touch.guest} bears on the {touch.face} in post {touch.host} over "
                    f"{touch.pressed:.1f} mm², not {touch.designed:.1f} mm² as set out"
                )
        for host, face in self.gaps:
            found.append(f"nothing bears on the {face} of a notch in post {host}")
        for pair in self.compared:
            if pair.difference > SAME_VOLUME:
                found.append(
                    f"{pair.name} measured on the solids is {pair.solid:.10g}, "
                    f"the sheet says {pair.sheet:.10g}"
                )
        return tuple(found)


def _words(part: tuple[str, int]) -> str:
    return "the top" if part[0] == "top" else f"{part[0]} {part[1]}"


def check_fit(source: Model | Sequence[NotchedPost] | Any) -> Fit:
    """Cut the parts as solids and compare them.

    source  a sheet, the model built from one, or a list of notched posts

    With a sheet its volumes are compared with those of the solids too. Raises DesignError where
    manifold3d is missing, and what `tablekit.solids.model.build` raises.
    """
    sheet = None
    if isinstance(source, Model):
        model, posts = source, one_notch_posts(source)
    elif isinstance(source, Sequence):
        model, posts = None, tuple(source)
    else:
        sheet, model = source, build(source)
        posts = notched_posts(source)
    shapes = {("post", post.number): post_solid(post) for post in posts}
    for body in (*model.pads, model.top) if model else ():
        shapes[body.name, body.number] = solid(body)
    touching = patches(posts)
    return Fit(
        tuple(_part(key, shape) for key, shape in shapes.items()),
        _overlaps(shapes),
        _contacts(posts, touching, shapes),
        _gaps(posts, touching),
        _compared(sheet, model, posts, shapes) if sheet is not None and model else (),
    )


def _part(key: tuple[str, int], shape: Any) -> PartFit:
    volume, centre = volume_and_centre(shape)
    return PartFit(*key, volume, centre, len(shape.decompose()))


def _overlaps(shapes: dict[tuple[str, int], Any]) -> tuple[Overlap, ...]:
    found = []
    for first, second in combinations(shapes, 2):
        shared = (shapes[first] ^ shapes[second]).volume()
        if shared > 0:
            found.append(Overlap(first, second, float(shared)))
    return tuple(found)


def _contacts(
    posts: Sequence[NotchedPost],
    touching: Sequence[Patch],
    shapes: dict[tuple[str, int], Any],
) -> tuple[Contact, ...]:
    """Contact areas face by face, each measured a second time by pressing the solids together."""
    faces: dict[tuple[float, ...], list[Patch]] = {}
    for patch in touching:
        key = (patch.first, patch.second, *np.round(patch.normal, 6))
        faces.setdefault(key, []).append(patch)
    found = []
    for group in faces.values():
        first, second = posts[group[0].first], posts[group[0].second]
        pressed = _pressed(
            shapes["post", first.number], shapes["post", second.number], group[0].normal
        )
        area = sum(patch.area for patch in group)
        found.append(Contact(*_named(first, second, group[0]), area, pressed))
    return tuple(sorted(found, key=lambda touch: (touch.host, touch.guest, touch.face)))


def _pressed(first: Any, second: Any, normal: Array) -> float:
    """Contact area square to the normal (out of the first): the overlap per mm pressed in."""
    moved = second.translate(list(-PRESS * normal))
    return float((first ^ moved).volume()) / PRESS


def _named(first: NotchedPost, second: NotchedPost, patch: Patch) -> tuple[int, int, str]:
    """Host, guest and the face of the host's notch that a contact lies on."""
    # A floor that bears on the other's wall is named as the floor.
    for row, face in enumerate(FACES):
        for host, guest, out in (
            (first, second, patch.normal),
            (second, first, -patch.normal),
        ):
            if any(_lies_on(notch, row, out, patch) for notch in host.notches):
                return host.number, guest.number, face
    return first.number, second.number, "face"


def _lies_on(notch: Notch, row: int, out: Array, patch: Patch) -> bool:
    """Whether a patch, `out` pointing out of the notch's post, lies on a face of the notch."""
    # The notch's half-spaces face into the wood, the wood's surface faces out of it.
    parallel = np.abs(notch.normals[row] + out).max() < 1e-9
    return bool(parallel and abs(patch.corners[0] @ notch.normals[row] - notch.offsets[row]) < NEAR)


def _gaps(posts: Sequence[NotchedPost], touching: Sequence[Patch]) -> tuple[tuple[int, str], ...]:
    """Faces of notches that no other post touches."""
    found = []
    for place, post in enumerate(posts):
        own = [
            (patch.normal if patch.first == place else -patch.normal, patch)
            for patch in touching
            if place in (patch.first, patch.second)
        ]
        for notch in post.notches:
            for row, face in enumerate(FACES):
                if not any(_lies_on(notch, row, out, patch) for out, patch in own):
                    found.append((post.number, face))
    return tuple(found)


def _compared(
    sheet: Any, model: Model, posts: Sequence[NotchedPost], shapes: dict[tuple[str, int], Any]
) -> tuple[MeasuredValue, ...]:
    """Volumes of the solids beside the sheet's, as far as the sheet has them."""
    # The last: where one notch is lengthened to let the posts in, it is the first post's.
    plain = posts[-1]
    post = volume_and_centre(shapes["post", plain.number])[0]
    measured = {
        "post_volume": post,
        "notch_volume": volume_and_centre(solid(plain.prism))[0] - post,
    }
    if sheet.get("edge_passes") is None:  # rounded arrises are left off the solid
        top = volume_and_centre(shapes["top", 1])[0]
        measured["top_volume"] = top / _roundness(model.top) / 1e9
    found = []
    for name, value in measured.items():
        said = sheet.get(name)
        if said is not None:
            found.append(MeasuredValue(name, value, said))
    return tuple(found)


def _roundness(disc: Body) -> float:
    """Area of the regular polygon that stands for a circle, as a share of the circle's."""
    sides = len(disc.faces[0])  # the underside
    return float(np.sin(2 * np.pi / sides) * sides / (2 * np.pi))
