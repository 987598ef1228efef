"""The fit that rounded marks give."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tablekit.brief import read_brief
from tablekit.engine.shop import ShopStyle
from tablekit.planning.notch_cutting import CLEARANCE, SLOPPY, notch_fits, worst_fit
from tablekit.planning.post_text import CAUTION, marking_text
from tablekit.planning.setting_out_posts import post_marks
from tablekit.relations.families import network
from tablekit.setting_out import set_out
from tests.drawing.designs import designs
from tests.planning.test_setting_out_posts import two_notches

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
SIZES = {"table_height": 735, "top_diameter": 900}


def test_the_far_wall_is_marked_where_the_post_goes_in():
    """A rule in whole millimetres. 64.6 mm posts, 1000 mm long: walls at 467.7 and 532.3. Each at
    its nearest size, 468 and 532, and the post made 65 mm: a millimetre too tight. So 533."""
    sheet = network("table").solve({"post_length": 1000, "post_section": 64.6, "top_diameter": 900})
    fit = worst_fit(sheet, style=ShopStyle(step_mm=1.0))
    assert (fit.near, fit.far, fit.guest) == pytest.approx((468, 533, 65))
    assert fit.clearance == pytest.approx(0) and fit.verdict == "pass"
    # 64.4 mm posts about 500.3 mm: walls 468.1 and 532.5, the guest 64 mm: 532 and not 533.
    sheet = network("table").solve(
        {"post_length": 1000, "post_section": 64.4, "top_diameter": 900, "notch_position": 500.35}
    )
    fit = worst_fit(sheet, style=ShopStyle(step_mm=1.0))
    assert (fit.near, fit.far, fit.guest) == pytest.approx((468, 532, 64))
    assert fit.clearance == pytest.approx(0) and fit.verdict == "pass"


def test_the_workshop_stool_as_marked():
    """58 mm posts that cross at 83.88°: 58.33 mm along the post. Walls at 375.5 and 433.5 would be
    0.33 mm too tight, 434 leaves 58.5 sin 83.88° - 58 = 0.17 mm."""
    sheet = set_out(read_brief(BRIEFS / "workshop-stool.toml"))
    (arris_a, arris_b) = notch_fits(sheet)
    assert arris_a.far - arris_a.near == pytest.approx(58.5)
    assert arris_a.clearance == pytest.approx(0.166, abs=0.002)
    assert {arris_a.verdict, arris_b.verdict} == {"pass"}
    assert "FAIL" not in marking_text(sheet, 80)


def test_where_no_size_on_the_rule_does_it_is_said():
    """A rule in sixteenths, 57.15 mm posts that cross at 75.5°: 59.03 mm along the post and a
    sixteenth is 1.6 mm."""
    sheet = network("table").solve(
        {"post_length": 1000, "post_section": 57.15, "top_diameter": 900, "splay": 45.0}
    )
    style = ShopStyle(display="in", fraction=16)
    bad = [fit for fit in notch_fits(sheet, style=style) if fit.verdict != "pass"]
    assert bad
    for fit in bad:
        assert "Knife the near wall" in fit.message
        assert ("Do not force it" if fit.clearance < 0 else "too loose") in fit.message


def test_whole_sizes_fit():
    sheet = network("table").solve({"post_length": 1000, "post_section": 64, "top_diameter": 900})
    fit = worst_fit(sheet)
    assert fit.clearance == 0 and fit.verdict == "pass"
    assert "pare to a push fit" in fit.message
    assert "no source" in fit.source


@pytest.mark.parametrize("name", ["table", "stool", "steep", "tall in inches", "small in inches"])
def test_clearance_is_notch_less_guest_square_to_the_walls(name):
    sheet = designs()[name]
    style = sheet.shop_style
    step = Fraction(254, 10) / style.fraction if style.display == "in" else Fraction(1, 2)
    sine = np.sin(np.radians(sheet.number("crossing_angle")))
    marks = post_marks(sheet)[0]
    for fit in notch_fits(sheet):
        near, far = sorted(m.distance for m in marks.on_arris(fit.arris) if m.what == "notch")
        # Each is a whole number of the maker's steps and within half of one.
        for marked, exact in (
            (fit.near, near),
            (fit.guest, sheet["post_width"].number),
        ):
            steps = marked / float(step)
            assert steps == pytest.approx(round(steps), abs=1e-6)
            assert abs(marked - exact) <= float(step) / 2 + 1e-6
        assert fit.far / float(step) == pytest.approx(round(fit.far / float(step)), abs=1e-6)
        assert abs(fit.far - far) <= 1.5 * float(step) + 1e-6
        assert fit.clearance == pytest.approx((fit.far - fit.near) * sine - fit.guest, abs=1e-5)
        expected = "fail" if fit.clearance < 0 else "caution" if fit.clearance > SLOPPY else "pass"
        assert fit.verdict == expected


def test_what_to_mark_instead_gives_the_clearance_wanted():
    sheet = designs()["stool"]
    for fit in notch_fits(sheet, wanted=0.25, style=ShopStyle(step_mm=1.0)):
        if fit.verdict == "pass":
            continue
        instead = float(fit.message.split("about ")[1].split(" mm")[0])
        sine = np.sin(np.radians(sheet.number("crossing_angle")))
        assert (instead - fit.near) * sine - fit.guest == pytest.approx(0.25, abs=0.05)
    assert CLEARANCE == 0.1


# --- In words -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["table", "stool in inches, down", "steep"])
def test_the_text_has_every_size_and_the_caution(name):
    sheet = designs()[name]
    text = " ".join(marking_text(sheet, 80).split())
    for mark in post_marks(sheet)[0].marks:
        from tablekit.engine.shop import shop_text

        assert shop_text(mark.size, "mm", sheet.shop_style) in text
    for words in (
        "Post 1: its notch takes post 2; it lies in the notch of post 3", "bearing face",
        "notched face", "Join the marks", "passes", "Router", CAUTION, "no source",
    ):  # fmt: skip
        assert words in text
    assert max(len(line) for line in marking_text(sheet, 60).splitlines()) <= 60


def test_a_plain_notch_needs_no_wedge_and_a_compound_one_does():
    plain, compound = (marking_text(designs()[name]) for name in ("table", "stool"))
    assert "walls square across" in plain and "Sliding bevel" not in plain
    assert "17.54° about its length on a full-length wedge" in " ".join(compound.split())
    assert "Few mitre fences go that far" in " ".join(marking_text(designs()["steep"]).split())


def test_two_notches_tell_both_kinds_of_post():
    text = " ".join(marking_text(two_notches(32.0)).split())
    assert "Post 1:" in text and "Posts 2 and 3:" in text
    assert "the upper notch of post 1, which is longer" in text
    assert "its upper notch takes post 2, its lower notch post 3" in text
