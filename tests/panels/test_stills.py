"""Drawings that stay: each tells its own piece, and is the same each time."""

from __future__ import annotations

from functools import cache

import pytest

from tablekit.brief import parse_brief
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.panels import stills
from tablekit.setting_out import set_out

BRIEF = """
name = "Trial"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "{section}"
"""
LEGS = """
kind = "stool"
[base]
style = "splayed legs"
[given]
seat_height = "450 mm"
top_diameter = "340 mm"
leg_diameter = "40 mm"
"""


@cache
def sheet(section: str = "64 mm") -> Sheet:
    return set_out(parse_brief(BRIEF.format(section=section)))


STILLS = {
    "parts": stills.of_parts,
    "joint": stills.of_joint,
    "tipping": stills.of_tipping,
    "people": stills.of_people,
}


@pytest.mark.parametrize("name", STILLS)
def test_a_picture_with_words_the_same_each_time(name: str) -> None:
    still = STILLS[name](sheet())
    assert still.data.startswith(b"\x89PNG") and "Trial" in still.alt
    assert STILLS[name](sheet()).data == still.data
    assert STILLS[name](sheet("80 mm")).data != still.data  # other posts, another drawing


def test_parts_are_pulled_as_far_as_asked() -> None:
    assert stills.of_parts(sheet(), 0.0).data != stills.of_parts(sheet(), 1.0).data


def test_as_many_people_as_asked() -> None:
    assert stills.of_people(sheet(), 2).data != stills.of_people(sheet(), 3).data


def test_splayed_legs_have_no_joint_of_posts() -> None:
    legs = set_out(parse_brief(LEGS))
    with pytest.raises(DesignError):
        stills.of_joint(legs)
    assert stills.of_parts(legs, 0.0).data != stills.of_parts(legs).data
    assert stills.of_tipping(legs).data.startswith(b"\x89PNG")
