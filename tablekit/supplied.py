"""What a brief's sections [wood], [room] and [top] supply to the network beside the givens.

A published average gives way to what the maker gives: it is used only where the kit would otherwise
assume something, and a note says which it was.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from tablekit.engine.plan import assign_roles, confirming
from tablekit.engine.shop import plain_number
from tablekit.relations.moisture import SHOP
from tablekit.species import CUTS, Movement, Species, find_movement, find_species

if TYPE_CHECKING:
    from tablekit.brief import Brief, Wood
    from tablekit.engine.network import Network


@dataclass(frozen=True)
class Supplied:
    """A value the maker never typed under this name.

    name        quantity it is for, and `number` its value in that quantity's reporting unit
    instead_of  quantity that is assumed when it is left out: usually the same
    given_by    how a message says where it comes from
    label       the same in the two or three words that stand beside the value
    used, unused  notes for the reader, either way; "" where there is nothing to say
    """

    name: str
    number: float
    instead_of: str
    given_by: str
    used: str = ""
    unused: str = ""
    label: str = ""


def supplied(brief: Brief) -> tuple[Supplied, ...]:
    """All that the sections of a brief supply."""
    return (
        *_of_the_wood(brief.wood), *_of_the_room(brief), *_as_measured(brief),
        *_of_the_edge(brief),
    )  # fmt: skip


def notes_alone(brief: Brief) -> tuple[str, ...]:
    """What is to be said of a wood of which only one of the two is published."""
    wood = brief.wood.species
    if wood is None:
        return ()
    if find_movement(wood) is None:
        return (
            f"No change coefficient is published for {wood} in reference/movement.csv, so its "
            f"movement "
            "is calculated as for a middling hardwood. Give movement_coefficient if you know it.",
        )
    if find_species(wood) is None:
        return (
            f"No specific gravity is published for {wood} in reference/strength.csv, so its "
            f"weight is "
            "calculated as for a middling hardwood. Give wood_density, or weigh a piece.",
        )
    return ()


def open_names(network: Network, givens: Mapping[str, float]) -> frozenset[str]:
    """Quantities that would be assumed with these givens."""
    return _open_names(network, frozenset(givens))


@lru_cache(maxsize=256)
def _open_names(network: Network, names: frozenset[str]) -> frozenset[str]:
    # Told from names alone: a whole plan would take a hundred times as long and be thrown away.
    in_force = assign_roles(network, names, confirming=confirming(network, names)).in_force
    return frozenset(a.quantity.name for a in in_force if a.quantity is not None)


@lru_cache(maxsize=64)
def _of_the_wood(wood: Wood) -> tuple[Supplied, ...]:
    return tuple(_each_of_the_wood(wood))


def _each_of_the_wood(wood: Wood) -> Iterator[Supplied]:
    if wood.species is None:
        return
    species, movement = find_species(wood.species), find_movement(wood.species)
    if species is not None:
        yield _density(species)
        yield from _strengths(species, wood.cut or CUTS[0])
    if species is not None and CUTS[0] in species.across_shares:
        # Along the rings, as the posts' movement is taken.
        for name in ("post_across_share", "tenon_across_share"):
            yield Supplied(
                name, species.across_shares[CUTS[0]], name,
                f"that of {species.name}, [wood]", label=f"published, {species.name}",
            )  # fmt: skip
    if movement is not None:
        yield _coefficient(movement, wood.cut or CUTS[0], stated=wood.cut is not None)
        yield from _of_the_posts(movement)


def _seen(status: str) -> str:
    """How a figure was come by, as the tables have it, in a reader's words."""
    words = {"read": "read there", "quoted": "as quoted by others", "memory": "from memory"}
    return re.sub("|".join(words), lambda found: words[found[0]], status)


def _density(species: Species) -> Supplied:
    note = (
        f"specific_gravity {species.specific_gravity:g} is the published average for "
        f"{species.name} (Wood Handbook FPL-GTR-190 chapter 5, {_seen(species.status)}). "
        "Single boards differ from it by a tenth and more."
    )
    if "green basis" in species.status:
        note += " It is on the green volume, so the dry wood weighs a little more than shown."
    return Supplied(
        "specific_gravity", species.specific_gravity, "wood_density",
        f"that of {species.name}, [wood]", note,
        f"The density follows from what was given; the published average for {species.name} "
        "was not used.",
        label=f"published, {species.name}",
    )  # fmt: skip


def _strengths(species: Species, cut: str) -> Iterator[Supplied]:
    given_by = f"that of {species.name}, [wood]"
    note = (
        f"Strength and stiffness are the published averages of clear, straight-grained "
        f"{species.name} (Wood Handbook FPL-GTR-190 chapter 5, {_seen(species.status)}; "
        f"across the grain {_seen(species.across_status) or 'assumed'}). "
        "strength_factor says what share of them is trusted."
    )
    for name, value in species.strengths.items():
        # One note for all of them, with the first.
        yield Supplied(name, value, name, given_by, note)
        note = ""
    if cut in species.across_shares:
        share = species.across_shares[cut]
        yield Supplied(
            "across_share", share, "across_share", f"that of {cut} {species.name}, [wood]",
            f"across_share {share:g} is the published one for {cut} {species.name} (Wood Handbook "
            f"FPL-GTR-190 table 5-1, {_seen(species.across_status)}).",
        )  # fmt: skip


def _coefficient(movement: Movement, cut: str, stated: bool) -> Supplied:
    value = movement.coefficient(cut)
    assert value is not None  # a row without coefficients is never found
    which = f"{cut} {movement.name}"
    note = (
        f"movement_coefficient {value:.5f} is the published one for {which} (Wood Handbook "
        f"FPL-GTR-190 table 13-5, {_seen(movement.coefficient_status)})."
    )
    if not stated:
        note += f" The brief does not say how the boards were sawn; {cut} ones move the most."
    return Supplied(
        "movement_coefficient", value, "movement_coefficient", f"that of {which}, [wood]", note,
        "The coefficient of movement follows from what was given; the published one for "
        f"{which} ({value:.5f}) was not used.",
        label=f"published, {which}",
    )  # fmt: skip


def _of_the_posts(movement: Movement) -> Iterator[Supplied]:
    """What a post moves in its notch, or a tenon in its socket, its growth rings either way."""
    ways = {
        "post_coefficient": movement.tangential, "post_radial_coefficient": movement.radial,
        "tenon_coefficient": movement.tangential, "tenon_radial_coefficient": movement.radial,
    }  # fmt: skip
    for name, value in ways.items():
        if value is not None:
            which = "radial" if "radial" in name else "tangential"
            yield Supplied(
                name, value, name, f"the {which} one of {movement.name}, [wood]",
                label=f"published, {movement.name}",
            )  # fmt: skip


def _of_the_room(brief: Brief) -> Iterator[Supplied]:
    for air_name in ("driest", "dampest", "shop"):
        air = getattr(brief.room, air_name)
        if air is None:
            continue
        for part in ("temperature", "humidity"):
            name = f"{air_name}_{part}"
            if name == SHOP.humidity.name and brief.as_cut.moisture is not None:
                continue  # the wood was measured, which says more than the air it lies in
            yield Supplied(
                name, float(getattr(air, part)), name, f"from {air_name} in [room]",
                unused=f"{name} follows from what was given; that of {air_name} in [room] was not "
                f"used.",
                label=f"{air_name}, [room]",
            )  # fmt: skip


def _as_measured(brief: Brief) -> Iterator[Supplied]:
    """The moisture of the wood as it was measured, in place of that of wood in the shop's air."""
    wet = brief.as_cut.moisture
    if wet is None:
        return
    instead = "" if brief.room.shop is None else ", in place of the humidity of shop in [room]"
    yield Supplied(
        SHOP.moisture.name, float(wet), SHOP.humidity.name, "as measured, [as_cut]",
        f"The wood was measured at {plain_number(float(wet))} % when it was cut{instead}; its "
        "movement with the seasons is calculated from there.",
        label="measured, [as_cut]",
    )  # fmt: skip


def _of_the_edge(brief: Brief) -> Iterator[Supplied]:
    """The sizes of a shaped edge, as far as [top] says them."""
    top = brief.top
    for name, number in (("edge_size", top.edge_size), ("edge_height", top.edge_height)):
        if number is not None:
            yield Supplied(name, float(number), name, "from [top]", label="[top]")
