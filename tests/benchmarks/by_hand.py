"""The same table worked out by hand-written NumPy, as someone in a hurry for one case would."""

from __future__ import annotations

from typing import Any

import numpy as np

SQUARE = np.arccos(1 / np.sqrt(3))
GRAVITY = 9.80665
ASSUMED = {
    "density": 620.0, "sitter": 0.610, "thickness": 0.028, "pad": 0.003, "gap": 0.0,
    "theta": SQUARE,
}  # fmt: skip


def table(height: Any, diameter: Any, section: Any) -> dict[str, Any]:
    """Every quantity of a table with the notches up that follows from three givens, in SI.

    Takes floats or arrays; nothing is checked."""
    t, theta, w = ASSUMED["thickness"], ASSUMED["theta"], section
    c, s = np.cos(theta), np.sin(theta)
    v: dict[str, Any] = {"knee_clearance": height - t, "splay": theta}
    v["axis_offset"] = e = w / 2
    v["foot_flat"] = ff = np.minimum(0.025, 0.75 * w)
    v["head_flat"] = fh = np.minimum(0.025, 0.75 * w)
    v["crossing_angle"] = phi = np.arccos(1 - 1.5 * s**2)
    v["roll"] = beta = np.arctan(1 / (np.sqrt(3) * c))
    v["bearing_rise"] = n = s * np.sin(beta)
    v["side_rise"] = m = s * np.cos(beta)
    v["notch_floor_tilt"] = tilt = np.arcsin(np.cos(phi) / (1 + np.cos(phi)))
    v["notch_depth"] = w - e
    v["notch_depth_ratio"] = (w - e) / w
    v["notch_width"] = w / np.sin(phi)
    v["centre_distance"] = rho = e / (2 * np.cos(beta))
    v["waist_step"] = step = e / 2 * np.tan(theta) * np.sin(beta)
    to_n, to_m = np.sqrt(c**2 + m**2), np.sqrt(c**2 + n**2)
    v["flat_ratio"] = k = c * s + n * to_n + m * to_m
    v["foot_flat_depth"] = df = ff * k / 2
    v["head_flat_depth"] = dh = fh * k / 2
    v["base_height"] = base = height - ASSUMED["pad"] - ASSUMED["gap"] - t
    v["corner_height"] = corner = base + df + dh
    v["post_length"] = length = (corner - w * (n + m)) / c
    v["notch_position"] = p = length / 2
    v["foot_arm"] = af = p + step
    v["head_arm"] = ah = length - af
    for end, arm, flat, sense in (("foot", af, ff, -1), ("head", ah, fh, 1)):
        square, aside = (w - flat * to_n) / 2, (w - flat * to_m) / 2
        reach = (arm - flat / 2 * s) * s - c * (square * np.sin(beta) + aside * np.cos(beta))
        sidestep = rho + sense * (square * np.cos(beta) - aside * np.sin(beta))
        v[f"{end}_reach"], v[f"{end}_sidestep"] = reach, sidestep
        v[f"{end}_radius"] = np.sqrt(reach**2 + sidestep**2)
    v["foot_spread"] = np.sqrt(3) * v["foot_radius"]
    v["overhang"] = diameter / 2 - v["head_radius"]
    v["seats_by_rim"] = shares = np.pi * diameter / ASSUMED["sitter"]
    v["seats"] = np.floor(shares + 1e-9)
    v["notch_volume"] = vn = w**2 * (w / 2 + (w / 2 - e) / np.cos(tilt)) / np.sin(phi)
    v["post_volume"] = vp = w**2 * length - vn - (df**3 + dh**3) / (6 * c * n * m)
    v["top_volume"] = vt = np.pi / 4 * diameter**2 * t
    v["top_mass"] = mt = ASSUMED["density"] * vt
    v["base_mass"] = mb = 3 * ASSUMED["density"] * vp
    v["total_mass"] = total = mt + mb
    line = v["foot_radius"] / 2
    v["tipping_load"] = total * GRAVITY * line / (diameter / 2 - line)
    return v


def post_length(height: Any, section: Any) -> Any:
    """The length of a post by itself, from what leads to it and nothing else; else as `table`."""
    return _post(height, section)[0]


def _post(height: Any, section: Any) -> tuple[Any, ...]:
    t, theta, w = ASSUMED["thickness"], ASSUMED["theta"], section
    c, s = np.cos(theta), np.sin(theta)
    beta = np.arctan(1 / (np.sqrt(3) * c))
    n, m = s * np.sin(beta), s * np.cos(beta)
    to_n, to_m = np.sqrt(c**2 + m**2), np.sqrt(c**2 + n**2)
    flat = np.minimum(0.025, 0.75 * w)
    depth = flat * (c * s + n * to_n + m * to_m) / 2
    corner = height - ASSUMED["pad"] - ASSUMED["gap"] - t + depth + depth
    return (corner - w * (n + m)) / c, flat, depth, beta, n, m, to_n, to_m


def tipping_load(height: Any, diameter: Any, section: Any) -> Any:
    """The tipping load by itself, from what leads to it and nothing else; else as `table`."""
    t, theta, w, e = ASSUMED["thickness"], ASSUMED["theta"], section, section / 2
    c, s = np.cos(theta), np.sin(theta)
    length, flat, depth, beta, n, m, to_n, to_m = _post(height, section)
    arm = length / 2 + e / 2 * np.tan(theta) * np.sin(beta)
    square, aside = (w - flat * to_n) / 2, (w - flat * to_m) / 2
    reach = (arm - flat / 2 * s) * s - c * (square * np.sin(beta) + aside * np.cos(beta))
    sidestep = e / (2 * np.cos(beta)) - (square * np.cos(beta) - aside * np.sin(beta))
    line = np.sqrt(reach**2 + sidestep**2) / 2
    phi = np.arccos(1 - 1.5 * s**2)
    tilt = np.arcsin(np.cos(phi) / (1 + np.cos(phi)))
    notch = w**2 * (w / 2 + (w / 2 - e) / np.cos(tilt)) / np.sin(phi)
    post = w**2 * length - notch - (depth**3 + depth**3) / (6 * c * n * m)
    mass = ASSUMED["density"] * (np.pi / 4 * diameter**2 * t + 3 * post)
    return mass * GRAVITY * line / (diameter / 2 - line)
