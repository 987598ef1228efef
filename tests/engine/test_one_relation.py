"""One relation outside a network. The lens: OpenStax, College Physics, section 25.6 (from memory):
1/f = 1/u + 1/v, so that 500 mm and 750 mm give 1500 mm."""

import math

import numpy as np
import pytest
import sympy as sp

from tablekit.engine import Constant, Limit, Quantity, Relation, common_practice, equal
from tablekit.engine.rearrange import slack_of, solve_for

f = Quantity("focal_length", "f", "mm", "focal length", 1, 5000)
u = Quantity("object_distance", "u", "mm", "lens to object", 1, 1e6)
v = Quantity("image_distance", "v", "mm", "lens to image", 1, 1e6)
drop = Quantity("drop", "h", "m", "height fallen", 0, 100)
time = Quantity("time", "t", "s", "time taken", 0, 10)
speed = Quantity("speed", "V", "m/s", "speed at the end", -100, 100)
GRAVITY = Constant("gravity", "g", 9.80665, "m/s^2", "standard gravity", common_practice())
FAR = Limit(u - f, "the object is farther off than the focal length")
LENS = Relation("lens", equal(1 / f, 1 / u + 1 / v), "", "", common_practice(), limits=(FAR,))
FALL = Relation("fall", equal(drop, GRAVITY * time**2 / 2), "", "", common_practice())
ENERGY = Relation("energy", equal(drop, speed**2 / (2 * GRAVITY)), "", "", common_practice())
NEITHER = Relation("neither", equal(drop, speed * sp.cos(speed)), "", "", common_practice())


@pytest.mark.parametrize(
    ("unknown", "given", "numbers", "answer"),
    [(v, (f, u), (500, 750), 1500), (f, (v, u), (1500, 750), 500), (u, (f, v), (500, 1500), 750)],
)
def test_any_of_them_is_found_from_the_others_in_their_order(unknown, given, numbers, answer):
    found = solve_for(LENS, unknown, *given)
    assert found(*numbers) == pytest.approx(answer, rel=1e-12)
    assert found.names == tuple(each.name for each in given)


def test_numbers_by_name_and_arrays():
    found = solve_for(LENS, v, arrays=True)
    assert found.names == ("focal_length", "object_distance")
    known = {"object_distance": np.array([0.75, 1.0]), "focal_length": 0.5, "drop": 3.0}
    assert found.of(known) == pytest.approx([1.5, 1.0], rel=1e-12)
    with pytest.raises(KeyError, match="focal_length"):
        found.of({"object_distance": 0.75})


def test_a_constant_is_a_number():
    """After one second, 9.80665 / 2 m (ISO 80000-3: standard acceleration of free fall)."""
    assert solve_for(FALL, drop, time, constants=[GRAVITY])(1.0) == pytest.approx(4.903325)


def test_of_two_roots_none_is_taken_unasked():
    with pytest.raises(ValueError, match="no single form for speed"):
        solve_for(ENERGY, speed, drop, constants=[GRAVITY])(1.0)
    found = solve_for(ENERGY, speed, drop, constants=[GRAVITY], within=(0.0, math.inf))
    assert found(1.0) == pytest.approx(math.sqrt(2 * 9.80665))


def test_no_closed_form_is_told():
    with pytest.raises(ValueError, match="'neither' has no single form for speed"):
        solve_for(NEITHER, speed)(1.0)


def test_what_is_left_of_a_limit():
    left = slack_of(FAR)
    assert left.names == ("focal_length", "object_distance")
    assert left(0.5, 0.75) == pytest.approx(0.25)
    assert left.of({"focal_length": 0.5, "object_distance": 0.4}) == pytest.approx(-0.1)
