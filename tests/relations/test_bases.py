"""The bases: each is found again by the words that its network carries, and says what it can."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import ClassVar

import numpy as np
import pytest

from tablekit.engine.trouble import DesignError
from tablekit.planning.cut_list import network as parts_alike
from tablekit.relations import bases
from tablekit.relations.bases import BASES, CrossedPosts, Option, SplayedLegs, base_of, chosen
from tablekit.relations.families import network, network_of, on_base
from tablekit.relations.kinds import KINDS
from tablekit.solids.piece import Solids

EVERY = [
    *(CrossedPosts(*fields) for fields in product((1, 2), (1, -1), (False, True))),
    *(SplayedLegs(count) for count in (3, 4)),
    SplayedLegs(4, "H"),
    SplayedLegs(3, "ring"),
]


@pytest.mark.parametrize("base", EVERY, ids=str)
def test_a_network_leads_back_to_its_base(base):
    for kind, sizes in product(KINDS, ("metric", "inch")):
        of = network_of(kind, base, sizes)
        assert base_of(of) == base
        assert network(kind, **of.options) is of
    assert chosen(base.style, **{option: base.word(option) for option in base.options_of}) == base


def test_the_usual_base_is_one_notch_up_right_handed():
    assert chosen() == CrossedPosts(1, 1, False) == base_of(network("table"))
    assert chosen(SplayedLegs.style) == SplayedLegs(3)


@pytest.mark.parametrize("base", [base for base in EVERY if base.crossed], ids=str)
def test_what_a_base_says_of_itself_is_what_its_solids_have(base):
    """Counted and looked at in the solids, which are built from vectors."""
    sizes = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    solids = Solids(network_of("table", base).solve(sizes))
    posts = solids.posts
    assert len(posts) == base.count
    assert sum(len(post.notches) for post in posts) == base.notches
    # Posts are numbered anticlockwise, and each takes the next one that way round, or clockwise.
    bearings = np.unwrap([np.arctan2(y, x) for x, y, _ in solids.model.head_middles])
    assert (np.diff(bearings) > 0).all()
    for host, guest in solids.model.joints:
        assert guest == (host + base.turn) % base.count


@pytest.mark.parametrize("base", [base for base in EVERY if not base.crossed], ids=str)
def test_there_are_as_many_legs_as_a_base_says(base):
    sizes = {"table_height": 735.0, "top_diameter": 920.0, "leg_diameter": 60.0}
    legs = Solids(network_of("table", base).solve(sizes)).legs.legs
    assert base.drawn and len(legs) == base.count
    bearings = np.unwrap([np.arctan2(leg.foot[1], leg.foot[0]) for leg in legs])
    assert np.diff(bearings) == pytest.approx([2 * np.pi / base.count] * (base.count - 1))


@pytest.mark.parametrize("base", EVERY, ids=str)
def test_turned_over_twice_it_is_the_same(base):
    turned = base.turned_over
    assert (turned is None) is not base.crossed
    if turned is not None:
        assert turned != base and turned.turned_over == base
        sheet = network_of("stool", base, "inch").solve(
            {"seat_height": 460.0, "top_diameter": 350.0, "post_section": 45.0}
        )
        assert base_of(on_base(sheet, turned)) == turned
        assert on_base(sheet, turned).options["sizes"] == "inch"


@pytest.mark.parametrize("base", EVERY, ids=str)
def test_every_quantity_that_it_names_is_in_its_network(base):
    names = {quantity.name for quantity in base.declared("table").quantities}
    blank = base.blank
    asked = {base.section, blank.length, blank.width, blank.thickness, blank.rough}
    asked |= {one.quantity for one in base.firmer} | ({blank.layers} - {None})
    assert asked <= names


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (
            {"legs": "four legs"},
            "no stretchers: legs and stretchers go with style",
        ),
        ({"style": "splayed legs", "hand": "left"}, "crossing, way_up and hand go with style"),
        ({"style": "pedestal"}, 'Write "crossed posts" or "splayed legs"'),
        ({"crossing": "three notches"}, 'Write "one notch" or "two notches"'),
    ],
)
def test_words_that_do_not_fit_are_refused(asked, said):
    with pytest.raises(DesignError, match=said):
        network("table", **asked)


def test_a_network_of_something_else_has_no_base():
    with pytest.raises(DesignError, match="no base"):
        base_of(parts_alike())
    with pytest.raises(DesignError, match="no base"):
        base_of(Options({"style": "splayed legs", "legs": "nine legs"}))


@dataclass(frozen=True)
class Options:
    """What is read of a network."""

    options: dict[str, str]


@dataclass(frozen=True)
class Trestles(SplayedLegs):
    """A base that the kit does not have, as a colleague would add it."""

    style = "trestles"
    count: int = 2
    options_of: ClassVar = {"trestles": Option("count", {"two trestles": 2, "three trestles": 3})}
    alone = "trestles stand side by side"


def test_a_new_base_is_one_class_and_one_entry(monkeypatch):
    monkeypatch.setattr(bases, "BASES", {**BASES, Trestles.style: Trestles})
    made = chosen("trestles", trestles="three trestles")
    assert made == Trestles(3) and not made.crossed and made.turned_over is None
    assert base_of(Options(made.options)) == made
    with pytest.raises(DesignError, match="side by side: legs and stretchers go with"):
        chosen("trestles", legs="four legs")
    with pytest.raises(DesignError, match='trestles goes with style = "trestles"'):
        chosen(trestles="two trestles")


def test_the_styles_are_named_once():
    assert list(BASES) == [base.style for base in BASES.values()] and len({*BASES}) == len(BASES)
