"""From a brief to its sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.trouble import Trouble

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.network import Network
    from tablekit.engine.sheet import Sheet
    from tablekit.species import Species


def set_out(brief: Brief) -> Sheet:
    """Everything that follows from a brief.

    Raises Contradiction, OutsideLimits or NotEnoughGiven (see `Network.solve`).
    """
    from tablekit.relations.families import network
    from tablekit.species import find_species

    piece = network(brief.kind, **brief.options)
    givens = {name: float(number) for name, number in brief.givens.items()}
    species = find_species(brief.wood.species) if brief.wood.species else None
    if species is None:
        return piece.solve(givens, name=brief.name, shop=brief.shop)
    note = _settled(species)
    if _density_is_open(piece, givens):
        givens["specific_gravity"] = species.specific_gravity
        note = _book_value(species)
    try:
        sheet = piece.solve(givens, name=brief.name, shop=brief.shop)
    except Trouble as trouble:
        # The maker never typed this name and must be told where it comes from.
        if "specific_gravity" in str(trouble):
            trouble.args = (f"{trouble} (specific_gravity is that of {species.name}, [wood])",)
        raise
    sheet.notes = (*sheet.notes, note)
    return sheet


def _density_is_open(piece: Network, givens: dict[str, float]) -> bool:
    """Whether the density would be assumed: a weighed or given one is better than a book's."""
    in_force = piece.plan(givens).assumptions
    return any(a.quantity is not None and a.quantity.name == "wood_density" for a in in_force)


def _book_value(species: Species) -> str:
    note = (
        f"specific_gravity {species.specific_gravity:g} is the published average for "
        f"{species.name} (Wood Handbook FPL-GTR-190 chapter 5; status of the figure: "
        f"{species.status}). Single boards differ from it by a tenth and more."
    )
    if "green basis" in species.status:
        note += " It is on the green volume, so the dry wood weighs a little more than shown."
    return note


def _settled(species: Species) -> str:
    return (
        f"The density follows from what was given; the published average for {species.name} "
        "was not used."
    )
