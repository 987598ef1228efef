"""Names that quantities had before are answered with what they are called now."""

from __future__ import annotations

import pytest

from tablekit.brief import BriefError, parse_brief
from tablekit.brief.workshop import every_workshop
from tablekit.engine.trouble import UnknownName
from tablekit.relations import families, joint_load, kinds
from tablekit.relations.wording import RENAMED
from tests.together import each


def every_name() -> set[str]:
    pieces = [
        families.network(kind, crossing, style=style)
        for kind in kinds.KINDS
        for style, crossing in (
            ("crossed posts", "one notch"), ("crossed posts", "two notches"),
            ("splayed legs", None),
        )
    ]  # fmt: skip
    names = {name for of in (*pieces, joint_load.network()) for name in of.quantities}
    return names | {name for plan in every_workshop().values() for name in plan}


def test_what_is_called_anew_exists_and_what_it_was_called_does_not() -> None:
    names = every_name()
    assert set(RENAMED.values()) <= names
    assert names.isdisjoint(RENAMED)


@each("old", RENAMED)
def test_an_old_name_is_answered_with_the_new_one(old: str) -> None:
    table = families.network("table")
    with pytest.raises(UnknownName, match=f"it is now called {RENAMED[old]}$") as trouble:
        table.quantity(old)
    assert trouble.value.nearest == RENAMED[old]
    if RENAMED[old] in table.quantities:
        with pytest.raises(BriefError, match=f"it is now called {RENAMED[old]}"):
            parse_brief(f"[given]\n{old} = 1\n")
