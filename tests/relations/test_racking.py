"""Sway and twist against the same frame solved in space."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from tablekit.relations import families, racking

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {n: v.number for n, v in sheet.values.items() if v.number is not None}


def cross(at: np.ndarray) -> np.ndarray:
    """Matrix that turns a small rotation into the movement of the point `at`."""
    x, y, z = at
    return np.array([[0, z, -y], [-z, 0, x], [y, -x, 0]])


def frame(found: Mapping[str, float]) -> tuple[np.ndarray, float]:
    """Stiffness of a rigid crossing and a rigid top on three posts, N and mm; height of the heads.

    Unknowns: movement and turn of the crossing, then of the top. The posts are where they are, each
    beside the centre line; they give along their length too; the notch lies towards the head.
    """
    lean, e_along = np.radians(found["splay"]), found["elastic_modulus"]
    bearings = np.radians([0, 120, 240])
    axes = [np.array([np.sin(lean) * np.cos(b), np.sin(lean) * np.sin(b), np.cos(lean)])
            for b in bearings]  # fmt: skip
    soft = found["notch_width"] + 4 / 3 * found["notch_depth"]
    deep, wide = found["post_section"], found["post_width"]
    rest_deep, rest_wide = found["rest_depth"], found["rest_width"]
    total = np.zeros((12, 12))
    for k, (axis, bearing) in enumerate(zip(axes, bearings, strict=True)):
        normal = np.cross(axes[k - 1], axis)
        normal /= np.linalg.norm(normal)
        side = np.cross(axis, normal)
        waist = found["centre_distance"] * np.array([-np.sin(bearing), np.cos(bearing), 0])
        for arm, way, above in ((found["head_arm"], 1, True), (found["foot_arm"], -1, False)):
            lever = arm - found["waist_step"]
            root = (lever**2 * soft / e_along) if above else 0.0
            give = [
                arm**3 / (3 * e_along * wide * deep**3 / 12)
                + root / (rest_wide * rest_deep**3 / 12),
                arm**3 / (3 * e_along * deep * wide**3 / 12)
                + root / (rest_deep * rest_wide**3 / 12),
                arm / (e_along * deep * wide),
            ]
            local = np.array([normal, side, axis])
            spring = local.T @ np.diag(1 / np.array(give)) @ local
            tip = np.hstack([np.eye(3), cross(waist + way * arm * axis)])
            motion = np.hstack([-tip, tip if above else np.zeros((3, 6))])
            total += motion.T @ spring @ motion
    return total, found["head_arm"] * np.cos(lean)


@pytest.mark.witness(racking.SWAY, by="a frame of bars in space", within="12 %")
@pytest.mark.parametrize("splay", [54.7356, 48.0])
def test_sway_against_a_frame_in_space(splay: float) -> None:
    found = solved(splay=splay)
    stiffness, height = frame(found)
    push = np.zeros(12)
    push[6:9] = [found["rim_load"], 0, 0]
    push[9:12] = np.cross([0, 0, height], push[6:9])
    moved = np.linalg.solve(stiffness, push)
    level = moved[6:9] + cross(np.array([0, 0, height])) @ moved[9:12]
    # Found: the formula 5 and 6 % below the frame.
    assert level[0] == pytest.approx(found["sway"], rel=0.12)


@pytest.mark.witness(racking.TWIST, by="a frame of bars in space", within="12 %")
@pytest.mark.parametrize(
    "changes",
    [{}, {"splay": 42.0, "post_width": 48.0}, {"splay": 54.7356, "post_width": 48.0}],
)
def test_twist_against_a_frame_in_space(changes: dict[str, float]) -> None:
    found = solved(**changes)
    stiffness, _ = frame(found)
    turning = np.zeros(12)
    turning[11] = found["rim_load"] * found["top_diameter"] / 2
    moved = np.linalg.solve(stiffness, turning)
    assert moved[11] * found["top_diameter"] / 2 == pytest.approx(found["twist"], rel=0.12)


def test_the_frame_is_alike_from_every_side() -> None:
    stiffness, height = frame(solved())
    for bearing in np.radians([0, 35, 90]):
        way = np.array([np.cos(bearing), np.sin(bearing), 0])
        push = np.concatenate([np.zeros(6), way, np.cross([0, 0, height], way)])
        first = float(push @ np.linalg.solve(stiffness, push))
        assert first == pytest.approx(
            float(_along_x(height) @ np.linalg.solve(stiffness, _along_x(height))), rel=1e-9
        )


def _along_x(height: float) -> np.ndarray:
    return np.concatenate([np.zeros(6), [1, 0, 0], [0, height, 0]])


def test_thicker_posts_and_a_shallower_notch_are_stiffer() -> None:
    plain = solved()
    for better in (solved(post_section=76.0), solved(notch_depth_ratio=0.4)):
        assert better["sway"] < plain["sway"] and better["twist"] < plain["twist"]


def test_verdicts() -> None:
    def verdict(name: str, **changes: float) -> str:
        checks = families.network("table").solve({**TABLE, **changes}).checks
        return next(check.verdict for check in checks if check.name == name)

    assert verdict("sway under a push") == "pass"
    assert verdict("sway under a push", rim_load=5_000.0) == "caution"
    assert verdict("twist under a push", rim_load=10_000.0) == "fail"
