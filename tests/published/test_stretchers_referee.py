"""What stretchers do to the bending of legs, against a frame solved by the stiffness method."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from tablekit.relations import splayed_stretchers
from tablekit.relations.families import network
from tablekit.solids.legs import LegModel, build_legs
from tests.published.frame import Frame, Vector

SORTS = [("three legs", "T"), ("three legs", "ring"), ("four legs", "H"), ("four legs", "ring")]
DOWN = np.array([0.0, 0.0, -1.0])


def a_stool(legs: str, stretchers: str, **more: float):
    """Straight legs, so that a frame of straight bars is the same thing, and a ring in one plane as
    nearly as its mortises allow, or with the step that is assumed."""
    given = {
        "seat_height": 520.0, "top_diameter": 330.0, "leg_diameter": 36.0, "foot_diameter": 36.0,
        "stretcher_diameter": 26.0, "stretcher_tenon": 22.0, "pad_projection": 0.0, **more,
    }  # fmt: skip
    if stretchers == "ring" and not more:
        given["stretcher_step"] = 23.0
    return network("stool", style="splayed legs", legs=legs, stretchers=stretchers).solve(given)


class Stool:
    """The axes of a stool as a frame. A side stretcher's axis runs from leg axis to leg axis; a
    swelled bar is taken as thick as its tenon throughout, which bends more than it does."""

    def __init__(self, sheet, model: LegModel, joined: bool) -> None:
        self.frame, e = Frame(), sheet.number("elastic_modulus")
        thick, thin = sheet.number("leg_diameter"), sheet.number("stretcher_tenon")
        self.tops, self.feet, self.first = [], [], []
        self.joins: dict[tuple[int, int], int] = {}
        for number, leg in enumerate(model.legs):
            levels = sorted(
                {one.height for one in model.stretchers
                 if one.kind == "side stretcher" and number + 1 in one.joins}
                | {one.height for one in model.stretchers
                   if one.kind == "cross stretcher" and len(model.legs) == 3 and number == 0},
                reverse=True,
            )  # fmt: skip
            points = [leg.foot + h / leg.along[2] * leg.along for h in levels]
            chain = [self.frame.joint(one) for one in (leg.socket, *points, leg.foot)]
            bars = [self.frame.bar(a, b, e, thick) for a, b in pairwise(chain)]
            self.joins |= {
                (number + 1, round(h)): j for h, j in zip(levels, chain[1:], strict=False)
            }
            self.tops.append(chain[0])
            self.feet.append(chain[-1])
            self.first.append(bars[0])
        if joined:
            self._join(model, e, thin)

    def _join(self, model: LegModel, e: float, thin: float) -> None:
        frame, middles = self.frame, []
        for one in model.stretchers:
            if one.kind == "cross stretcher":
                start = self.joins[1, round(one.height)] if len(middles) == 1 else middles[0]
                ends = (start, middles[-1])
                a, b = (frame.joint(frame.points[j], j) for j in ends)
                frame.bar(a, b, e, thin)
                continue
            ends = [self.joins[leg, round(one.height)] for leg in one.joins]
            a, b = (frame.joint(frame.points[j], j) for j in ends)
            middle = frame.joint((frame.points[a] + frame.points[b]) / 2)
            frame.bar(a, middle, e, thin)
            frame.bar(middle, b, e, thin)
            middles.append(middle)


def shares(legs: int, worst: int, sheet) -> list[float]:
    """How the feet share a sitter over one leg: by equilibrium on three; on four, as on a floor
    that is not flat, all of it on that leg and the one opposite."""
    reach = sheet.number("load_reach") / sheet.number("foot_radius")
    if legs == 3:
        even = [(1 + 2 * reach) / 3, (1 - reach) / 3, (1 - reach) / 3]
    else:
        even = [(1 + reach) / 2, 0.0, (1 - reach) / 2, 0.0]
    return [even[(k - worst) % legs] for k in range(legs)]


def shoulder(sheet, model: LegModel, joined: bool, worst: int) -> float:
    """The moment at the shoulder of the most loaded leg, N·mm: the top holds the legs, the floor
    pushes the feet up and in."""
    stool = Stool(sheet, model, joined)
    load, grip = sheet.number("design_load"), sheet.number("foot_friction")
    loads: dict[int, Vector] = {}
    of_each = shares(len(model.legs), worst, sheet)
    for leg, foot, share in zip(model.legs, stool.feet, of_each, strict=True):
        inward = leg.along * np.array([1.0, 1.0, 0.0])
        inward /= np.linalg.norm(inward)
        loads[foot] = load * share * (-DOWN + grip * inward)
    held = [int(u) for top in stool.tops for u in stool.frame.places[top]]
    moved = stool.frame.solve(held, loads)
    return stool.frame.end_moment(stool.first[worst], moved)


def test_the_frame_is_right_about_a_bar() -> None:
    # A bar held at one end: F L³/3EI and F L, as in any table of beams.
    frame = Frame()
    a, b = frame.joint(np.zeros(3)), frame.joint(np.array([400.0, 0.0, 0.0]))
    bar = frame.bar(a, b, 11500.0, 30.0)
    moved = frame.solve([int(u) for u in frame.places[a]], {b: 100.0 * DOWN})
    i = np.pi * 30.0**4 / 64
    assert -moved[frame.places[b][2]] == pytest.approx(100 * 400**3 / (3 * 11500 * i), rel=1e-9)
    assert frame.end_moment(bar, moved) == pytest.approx(100 * 400, rel=1e-9)


@pytest.mark.witness(
    splayed_stretchers.HELD_MOMENT, splayed_stretchers.GIVE,
    *(splayed_stretchers.hold(n, crossed) for n in (3, 4) for crossed in (False, True)),
    by="a frame solved by the stiffness method: no leg is bent more than the kit says",
    within="a bound",
)  # fmt: skip
@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_stretchers_take_at_least_as_much_off_a_shoulder_as_the_kit_says(
    legs: str, stretchers: str
) -> None:
    for worst, more in enumerate(({}, {"leg_resultant": 22.0}, {"stretcher_height": 240.0})):
        sheet = a_stool(legs, stretchers, **more)
        model = build_legs(sheet, 8)
        free = shoulder(sheet, model, False, worst)
        assert free == pytest.approx(1000 * sheet.number("load_moment"), rel=1e-4)
        tight, said = shoulder(sheet, model, True, worst), 1000 * sheet.number("held_moment")
        assert tight < said < free, (more, tight / free, said / free)


@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_hinged_stretchers_take_nothing_worth_counting_off_a_push(
    legs: str, stretchers: str
) -> None:
    """The feet are held, the top is stiff and free; a push on it bends every leg alike."""
    sheet = a_stool(legs, stretchers)
    model = build_legs(sheet, 8)
    bent = []
    for joined in (False, True):
        stool = Stool(sheet, model, joined)
        frame, middle = stool.frame, np.array([0.0, 0.0, sheet.number("seat_height")])
        top = frame.joint(middle)
        ties = []
        for one in stool.tops:  # each moves and turns with the top
            arm = frame.points[one] - middle
            for k in range(6):
                row = np.zeros(frame.unknowns)
                row[frame.places[one][k]], row[frame.places[top][k]] = 1.0, -1.0
                if k < 3:
                    row[frame.places[top][3:]] -= np.cross(arm, np.eye(3)[k])
                ties.append(row)
        held = [int(u) for foot in stool.feet for u in frame.places[foot][:3]]
        push = sheet.number("rim_load") * np.array([1.0, 0.0, 0.0])
        moved = frame.solve(held, {top: push}, np.array(ties))
        bent.append(max(frame.end_moment(bar, moved) for bar in stool.first))
    assert bent[0] == pytest.approx(1000 * sheet.number("push_moment"), rel=0.02)
    assert bent[1] == pytest.approx(bent[0], rel=0.1)
