"""The relations of legs that are not alike: what is printed beside each, and what they say."""

from __future__ import annotations

from pathlib import Path

from tablekit.engine.relation import Check, Relation
from tablekit.relations import legs_as_cut
from tests.relations.by_hand import comes_out
from tests.together import each

ROOT = Path(__file__).parents[2]
EVERY = legs_as_cut.relations()
CHECKS = [(relation, check) for relation in EVERY for check in relation.checks]
KNOWN = {
    **legs_as_cut.leg_network(False).quantities, **legs_as_cut.floor_network(True).quantities,
    **{one.name: one for one in (legs_as_cut.arm, legs_as_cut.foot_off)},
}  # fmt: skip


@each(("relation", "check"), CHECKS, ids=lambda one: getattr(one, "name", ""))
def test_a_value_worked_by_hand_to_half_a_unit_of_its_last_figure(
    relation: Relation, check: Check
) -> None:
    comes_out(relation, check, KNOWN)


def test_each_is_checked_and_says_under_which_heading_it_is_derived() -> None:
    text = (ROOT / legs_as_cut.DERIVATION).read_text("utf-8").lower()
    for relation in EVERY:
        assert relation.checks, relation.name
        for said in (relation.meaning, relation.why):
            assert said[0].isupper() and said.endswith("."), relation.name
        assert f"## {relation.source.text}" in text, relation.name
        for check in relation.checks:
            assert f"{check.source.text}:" in text, relation.name
