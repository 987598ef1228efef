"""Tenons along a joint stay inside the cut and are evenly spaced."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tablekit.engine.trouble import RangeError
from tablekit.planning.top_joints import place_along


@pytest.mark.parametrize("offset", [0.0, -80.0, 150.0, 290.0, 370.0])
@pytest.mark.parametrize("limit", [90.0, 200.0])
def test_no_tenon_comes_near_the_rim_and_no_gap_is_too_wide(offset: float, limit: float) -> None:
    # independent: the corners of every tenon against the circle
    found = place_along(offset, 920, spacing_limit=limit)
    places = np.array(found.places)
    assert found.offset == offset and not found.warning
    corners = [(x, y) for x in (offset - 25, offset + 25) for p in places for y in (p - 25, p + 25)]
    reach = max(math.hypot(x, y) for x, y in corners)
    assert reach == pytest.approx(460 - 15)  # the outermost uses all there is
    assert np.diff(places).max() <= limit + 1e-9
    assert np.allclose(np.diff(places), np.diff(places)[0])
    assert places.sum() == pytest.approx(0, abs=1e-9)  # from the centre mark outward
    assert (len(places) - 2) * limit < places[-1] - places[0]  # one fewer would be too wide


def test_a_short_joint_is_warned_of() -> None:
    assert place_along(425, 920).places == () and "too short" in place_along(425, 920).warning
    one = place_along(416, 920)
    assert one.places == (0.0,) and "only one tenon" in one.warning


def test_an_absurd_tenon_is_refused() -> None:
    with pytest.raises(RangeError, match="tenon_width"):
        place_along(0, 920, tenon_width=900)
