"""The relations of posts that are not alike: what is printed beside each, and what they say."""

from __future__ import annotations

from pathlib import Path

from tablekit.engine.relation import Check, Relation
from tablekit.relations import posts_as_cut
from tests.relations.by_hand import comes_out
from tests.together import each

ROOT = Path(__file__).parents[2]
EVERY = posts_as_cut.relations()
CHECKS = [(relation, check) for relation in EVERY for check in relation.checks]


@each(("relation", "check"), CHECKS, ids=lambda one: getattr(one, "name", ""))
def test_a_value_worked_by_hand_to_half_a_unit_of_its_last_figure(
    relation: Relation, check: Check
) -> None:
    comes_out(relation, check, posts_as_cut.network().quantities)


def test_each_says_what_why_and_under_which_heading_it_is_derived() -> None:
    text = (ROOT / posts_as_cut.DERIVATION).read_text("utf-8").lower()
    for relation in EVERY:
        for said in (relation.meaning, relation.why):
            assert said[0].isupper() and said.endswith("."), relation.name
        assert f"## {relation.source.text}" in text, relation.name


def test_the_third_joint_closes_of_itself() -> None:
    """Three posts are put in place by two joints and two seats; the third joint has no relation of
    its own, so that none is said twice."""
    names = [relation.name for relation in EVERY]
    assert len(names) == len(set(names))
    assert not any(name.startswith("foot end of post 1 ") for name in names)
