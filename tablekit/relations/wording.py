"""What the engine's messages call a table or a stool, its givens and its cuts."""

from __future__ import annotations

from tablekit.engine.wording import Wording
from tablekit.relations.renamed import RENAMED


def wording(kind: str) -> Wording:
    """For a network of that kind, "table" or "stool"."""
    return Wording(
        thing=kind, source_of_givens="the brief", made="cuts", rounded="In the shop",
        exactly="square crossing", renamed=RENAMED,
    )  # fmt: skip


# For the small networks of a part of the work: boards, clamps, cuts.
SHOP = Wording(source_of_givens="the brief", made="cuts", rounded="In the shop")
