"""The panel of a top as it was glued: against plain arithmetic, and each remedy entered in turn."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tablekit.brief import AsCut, Brief, Top, parse_brief
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.planning.glued_panel import GluedPanel, PanelRemedy, PanelTerms, glued_panel
from tablekit.relations.families import network
from tablekit.setting_out import design_of

GIVENS = {"table_height": 735.0, "top_diameter": 1000.0, "post_section": 64.0}


@cache
def piece() -> Sheet:
    return network("table").solve(GIVENS)


def at(widths: tuple[float, ...], **terms: float) -> GluedPanel:
    return glued_panel(piece(), widths, PanelTerms(**terms))  # type: ignore[arg-type]


def random_panels(count: int) -> list[tuple[tuple[float, ...], PanelTerms]]:
    random, found = np.random.default_rng(5), []
    for _ in range(count):
        strips = random.integers(3, 9)
        wide = random.uniform(960, 1120)
        widths = random.uniform(0.1, 1, strips)
        widths = np.round(widths * wide / widths.sum(), 1)
        terms = PanelTerms(
            margin=float(random.choice([5, 10])), at_rim=20.0,
            narrowest=float(random.choice([0, 40])), clear=float(random.choice([0, 20])),
        )  # fmt: skip
        found.append((tuple(map(float, widths)), terms))
    return found


# -- where the round lies -------------------------------------------------------------------------


def test_a_panel_by_hand() -> None:
    # 180 + 176.5 + 210 + 240 + 220 = 1026.5; the circle is 1000 + 2 × 10 = 1020, so 6.5 to spare,
    # and the centre from 510 to 1026.5 − 510 = 516.5. In the middle, 513.25, marked to 0.1 mm,
    # strip 1 shows 180 − (513.2 − 500) = 166.8; the joints lie at 180, 356.5, 566.5 and 806.5, the
    # nearest 566.5 − 513.2 = 53.3 away.
    panel = at((180, 176.5, 210, 240, 220))
    assert panel.spare == pytest.approx(6.5) and panel.room == pytest.approx((510, 516.5))
    assert panel.fine and not panel.remedies and panel.centre == pytest.approx(513.2)
    assert panel.slim == 1 and panel.strips[0].shows == pytest.approx(166.8)
    assert panel.nearest_joint == pytest.approx(53.3)
    # Strip 2 covers from 156.7 of the centre: chord √(1020² − 4 × 156.7²) = 970.7.
    assert panel.strips[1].length_needed == pytest.approx(
        math.sqrt(1020**2 - 4 * 156.7**2), abs=1e-6
    )


@pytest.mark.parametrize(("widths", "terms"), random_panels(30))
def test_strips_and_room_by_sampling(widths: tuple[float, ...], terms: PanelTerms) -> None:
    panel = glued_panel(piece(), widths, terms)
    edges, radius = np.concatenate([[0], np.cumsum(widths)]), 500 + terms.margin
    places = np.arange(0, edges[-1], 0.1)
    on_it = places[(places - radius >= -1e-9) & (places + radius <= edges[-1] + 1e-9)]
    assert panel.wide_enough == (edges[-1] >= 2 * radius - 1e-9)
    if len(on_it):
        low, high = panel.room
        assert low == pytest.approx(on_it[0], abs=0.1)
        assert high == pytest.approx(on_it[-1], abs=0.1)
    across = np.arange(-radius, radius, 0.01)
    for strip, left, right in zip(panel.strips, edges[:-1], edges[1:], strict=True):
        inside = (across >= left - panel.centre) & (across <= right - panel.centre)
        shows = 0.01 * np.count_nonzero(inside & (np.abs(across) <= 500))
        assert strip.shows == pytest.approx(shows, abs=0.03)
        chords = 2 * np.sqrt(np.maximum(radius**2 - across[inside] ** 2, 0))
        assert strip.length_needed == pytest.approx(chords.max(initial=0.0), abs=6)


def as_asked(widths: tuple[float, ...], terms: PanelTerms, centre: float) -> bool:
    """By plain arithmetic: no sliver at the rim, no narrow strip, no joint at the centre."""
    joints, left = [], 0.0
    shown = []
    for width in widths:
        right = left + width
        shows = min(right, centre + 500) - max(left, centre - 500)
        if shows > 1e-9:
            shown.append(shows)
        elif shows > -min(2.0, terms.margin) + 1e-6:
            return False  # a sliver is left where the circle wanders
        joints.append(right)
        left = right
    if min(shown[0], shown[-1]) < max(terms.at_rim, terms.narrowest) - 1e-6:
        return False
    if min(shown) < terms.narrowest - 1e-6:
        return False
    near = min(abs(one - centre) for one in joints[:-1])
    return terms.clear == 0 or near >= terms.clear - 1e-6


@pytest.mark.parametrize(("widths", "terms"), random_panels(40))
def test_the_centre_is_the_nearest_place_where_all_is_as_asked(
    widths: tuple[float, ...], terms: PanelTerms
) -> None:
    panel = glued_panel(piece(), widths, terms)
    if not panel.wide_enough:
        assert panel.centre == pytest.approx(sum(widths) / 2)
        return
    low, high = panel.room
    tenths = [k / 10 for k in range(math.ceil(low * 10 - 1e-6), math.floor(high * 10 + 1e-6) + 1)]
    good = [one for one in tenths if as_asked(widths, terms, one)]
    assert panel.fine == as_asked(widths, terms, panel.centre)
    if good:
        middle = sum(widths) / 2
        assert panel.fine
        assert abs(panel.centre - middle) <= min(abs(one - middle) for one in good) + 1e-6


# -- what to do about it --------------------------------------------------------------------------


def brief_of(text: str) -> Brief:
    return parse_brief(
        'name = "Try"\n[given]\ntable_height = "735 mm"\ntop_diameter = "1000 mm"\n'
        f'post_section = "64 mm"\n{text}'
    )


def entered(brief: Brief, one: PanelRemedy) -> Brief:
    """The brief of a maker who has done that and measured again."""
    for key, said in one.changes.items():
        match key, said:
            case "margin", float():
                brief = replace(brief, top=replace(brief.top, margin=said))
            case "top_diameter", float():
                brief = replace(brief, givens={**brief.givens, key: said})
            case _:
                brief = replace(brief, as_cut=replace(brief.as_cut, **{key: said}))
    return brief


NARROW = 'boards = ["180 mm", "176.5 mm", "210 mm", "240 mm", "206 mm"]'
OFF_CENTRE = 'boards = ["200 mm", "176.5 mm", "210 mm", "240 mm", "220 mm"]\ncentre = "505 mm"'


@pytest.mark.parametrize(
    ("cut", "ways"),
    [
        (NARROW, {"leave less outside the round", "a smaller top", "one strip more"}),
        (NARROW.replace("206", "150"), {"a smaller top", "one strip more"}),
        (OFF_CENTRE, {"move the centre"}),
        (OFF_CENTRE.replace("505", "545"), {"move the centre"}),
    ],
)
def test_each_remedy_mends_what_it_says_when_it_is_entered(cut: str, ways: set[str]) -> None:
    brief = brief_of(f"[top]\nno_centre_joint = true\n[as_cut]\n{cut}\n")
    panel = design_of(brief).glued
    assert panel is not None and not panel.fine
    assert {one.what for one in panel.remedies} == ways
    for one in panel.remedies:
        again = design_of(entered(brief, one)).glued
        assert again is not None and again.fine and not again.remedies, one.text
        # Where the remedy says the centre then is, there it is.
        said = re.search(r"the centre ([\d.]+) mm", one.text)
        assert said and float(said[1]) == pytest.approx(again.centre, abs=0.051)


@pytest.mark.parametrize(("widths", "terms"), random_panels(40))
def test_remedies_of_any_panel_serve(widths: tuple[float, ...], terms: PanelTerms) -> None:
    made = AsCut.of(boards=widths)
    top = Top(
        margin=terms.margin, narrowest=terms.narrowest, no_centre_joint=terms.clear > 0
    )  # fmt: skip
    brief = replace(brief_of(""), top=top, as_cut=made)
    panel = design_of(brief).glued
    assert panel is not None
    for one in panel.remedies:
        again = design_of(entered(brief, one)).glued
        assert again is not None and again.fine, one.text


def test_the_least_strip_is_the_least() -> None:
    # 1000 + 2 × 10 − 890 = 130 mm are lacking, more than 20 + 10 mm: the board has 2 × 2 mm more.
    panel = at((200, 200, 250, 240))
    one = next(way for way in panel.remedies if way.what == "one strip more")
    assert one.changes["boards"] == (200, 200, 250, 240, 130)
    assert "130 mm wide when it is jointed (from a board of 134 mm)" in one.text
    less = at((200, 200, 250, 240, 129.5))
    assert not less.fits


def test_a_smaller_top_says_what_it_does_to_overhang_and_tipping() -> None:
    # Solved anew with the posts as they are and the smaller top: 180 + 176.5 + 210 + 240 + 150 less
    # 2 × 10 = 936.5 mm. The overhang is half of 1000 − 936.5 less.
    panel = at((180, 176.5, 210, 240, 150))
    one = next(way for way in panel.remedies if way.what == "a smaller top")
    assert one.changes["top_diameter"] == 936.5
    posts = ("post_length", "post_section", "notch_position", "splay", "head_flat", "foot_flat")
    held = {name: piece().number(name) for name in (*posts, "top_thickness")}
    smaller = network("table").solve({**held, "top_diameter": 936.5})
    assert smaller.number("overhang") == pytest.approx(piece().number("overhang") - 31.75)
    for name in ("overhang", "tipping_load"):
        assert smaller.shop(name) in one.text
    assert f"instead of {piece().shop('overhang')}" in one.text
    assert f"tips it instead of {piece().shop('tipping_load')}" in one.text


# -- with a layout --------------------------------------------------------------------------------

RACK = '[[boards]]\nname = "ash"\nwidth = "210 mm"\nlength = "2.2 m"\ncount = 6\n'


def test_what_is_not_cut_yet_counts_as_planned() -> None:
    layout = design_of(brief_of(RACK)).boards
    assert layout is not None and layout.layout is not None
    planned = [strip.width for strip in layout.layout.strips]
    boards = ", ".join(f'"{one - 1} mm"' for one in planned[:2])
    panel = design_of(brief_of(f"{RACK}[as_cut]\nboards = [{boards}]\n")).glued
    assert panel is not None and panel.to_cut == len(planned) - 2
    assert panel.width == pytest.approx(sum(planned) - 2)
    needed = 1020 - (sum(planned[:2]) - 2)
    assert f"at least {needed:.1f} mm wide" in panel.verdict
    whole = ", ".join(f'"{one} mm"' for one in planned)
    exact = design_of(brief_of(f"{RACK}[as_cut]\nboards = [{whole}]\n")).glued
    assert exact is not None and exact.fits and exact.to_cut == 0
    # Glued as it was laid out, the centre stays where the layout has it.
    assert exact.centre == pytest.approx(-layout.layout.strips[0].left, abs=0.06)


@pytest.mark.parametrize("less", [8.0, 15.0])
def test_the_rest_cut_wider_mends_it_when_it_is_cut_so(less: float) -> None:
    layout = design_of(brief_of(RACK)).boards
    assert layout is not None and layout.layout is not None
    planned = [strip.width for strip in layout.layout.strips]
    boards = ", ".join(f'"{one - less} mm"' for one in planned[:2])
    brief = brief_of(f"{RACK}[as_cut]\nboards = [{boards}]\n")
    panel = design_of(brief).glued
    assert panel is not None and not panel.wide_enough
    one = next(way for way in panel.remedies if way.what == "cut the rest wider")
    cut = one.changes["boards"]
    assert isinstance(cut, tuple)
    # By hand: the circle takes 1020 mm, and a strip is cut to whole half millimetres or wider.
    least = 1020 - (sum(planned[:-1]) - 2 * less)
    assert least - 1e-6 <= cut[-1] < least + 1
    again = design_of(entered(brief, one)).glued
    assert again is not None and again.fine and again.to_cut == 0 and not again.remedies
    said = re.search(r"the centre ([\d.]+) mm", one.text)
    assert said and float(said[1]) == pytest.approx(again.centre, abs=0.051)


def test_a_round_that_is_cut_out_needs_no_room() -> None:
    cut = 'boards = ["250 mm", "250 mm", "250 mm", "252 mm"]\ntop_diameter = "1001 mm"'
    panel = design_of(brief_of(f"[as_cut]\n{cut}\n")).glued
    assert panel is not None and panel.fine and panel.round_cut and not panel.remedies
    assert "too narrow" not in panel.verdict and "Still to cut" not in panel.verdict


# -- bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cut", "said"),
    [
        ('boards = "180 mm"', "boards is a list of measures, the width of each strip"),
        ("boards = []", "boards is a list of measures, the width of each strip"),
        ('boards = ["180 kg"]', 'boards = "180 kg" is a mass'),
        ('boards = ["180 mm", "2 mm"]', "out of range: width of a strip of the glued panel"),
        ("boards = [180]", "has no unit"),
        ('boards = ["-180 mm"]', "is negative"),
        ('centre = "500 mm"', "write the widths of its strips as well: boards = "),
        ('boards = ["400 mm", "500 mm"]\ntop_diameter = "1000 mm"', "which was cut from them"),
        (f"boards = {['9 mm'] * 61}".replace("'", '"'), "61 strips; 60 are the most"),
    ],
)
def test_a_mistake_is_told_with_its_line(cut: str, said: str) -> None:
    with pytest.raises(DesignError) as caught:
        brief_of(f"[as_cut]\n{cut}\n")
    assert said in str(caught.value) and "line 7" in str(caught.value)


@pytest.mark.parametrize(
    ("cut", "said"),
    [
        # 1016 mm as inches to the millimetre, and as centimetres.
        ('boards = ["8 mm", "8 mm", "8 mm", "8 mm", "8 mm"]', "are they in the right unit?"),
        ('boards = ["20 mm", "20 mm", "22 mm", "20 mm", "20 mm"]', "are they in the right unit?"),
        ('boards = ["500 mm", "520 mm"]\ncentre = "1020 mm"', "outside a panel 1020.0 mm wide"),
    ],
)
def test_what_cannot_be_is_told_with_its_line(cut: str, said: str) -> None:
    brief = brief_of(f"[as_cut]\n{cut}\n")
    with pytest.raises(DesignError, match=r"line 7, \[as_cut\]") as caught:
        assert design_of(brief).glued
    assert said in str(caught.value)


def test_any_base_has_a_panel() -> None:
    brief = parse_brief(
        '[given]\ntable_height = "735 mm"\ntop_diameter = "1000 mm"\nleg_diameter = "45 mm"\n'
        '[base]\nstyle = "splayed legs"\n[as_cut]\nboards = ["510 mm", "515 mm"]\n'
    )
    panel = design_of(brief).glued
    assert panel is not None and panel.spare == pytest.approx(5)
    assert design_of(brief).as_cut is None
