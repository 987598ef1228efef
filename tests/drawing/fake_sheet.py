"""A small stand-in for a sheet, worked out by hand-written formulas, to draw from."""

from __future__ import annotations

from math import acos, asin, atan, cos, degrees, radians, sin, sqrt, tan
from types import SimpleNamespace

from tablekit.engine.shop import ShopStyle, shop_text

ANGLES = ("splay", "roll", "pair_angle", "floor_tilt")


class FakeSheet:
    def __init__(self, numbers, *, kind="table", way_up="notches up", display="mm", name="Trial"):
        self.name, self.kind, self.values = name, kind, dict(numbers)
        self.network = SimpleNamespace(kind=kind, options={"way_up": way_up})
        self.shop_style = ShopStyle(display=display)

    def number(self, name):
        return self.values[name]

    def get(self, name):
        return self.values.get(name)

    def shop(self, name):
        return shop_text(self.values[name], "deg" if name in ANGLES else "mm", self.shop_style)


def fake(
    *, height=735.0, top=900.0, thickness=28.0, section=64.0, splay=54.735610317,
    offset=None, notch=None, flat=25.0, head_flat=None, pad=3.0, gap=0.0, length=None, **how,
):
    """A sheet from a height (or, with `length`, from the posts, ignoring the height)."""
    way = 1 if how.get("way_up", "notches up") == "notches up" else -1
    head_flat = flat if head_flat is None else head_flat
    w, e = section, section / 2 if offset is None else offset
    s, c = sin(radians(splay)), cos(radians(splay))
    beta = atan(1 / (sqrt(3) * c))
    n, m = s * sin(beta), s * cos(beta)
    p, q = sqrt(c * c + m * m), sqrt(n * n + c * c)
    flat_ratio = m * q + c * s + n * p
    depth, head_depth = flat * flat_ratio / 2, head_flat * flat_ratio / 2
    if length is None:
        corner_height = height - thickness - gap - pad + depth + head_depth
        length = (corner_height - w * (n + m)) / c
    else:
        corner_height = length * c + w * (n + m)
        height = corner_height - depth - head_depth + thickness + gap + pad
    rho, step = e / (2 * cos(beta)), e / 2 * tan(radians(splay)) * sin(beta)
    notch = length / 2 if notch is None else notch
    foot_arm = notch + way * step
    head_arm = length - foot_arm
    cos_pair = 1 - 1.5 * s * s
    tilt = asin(cos_pair / (1 + cos_pair))

    def reach(arm, r):
        return (arm - r * s) * s - c * ((w / 2 - r * p) * sin(beta) + (w / 2 - r * q) * cos(beta))

    def bracket(r):
        return way * ((w / 2 - r * p) * cos(beta) - (w / 2 - r * q) * sin(beta))

    foot = (reach(foot_arm, flat / 2), rho - bracket(flat / 2))
    head = (reach(head_arm, head_flat / 2), rho + bracket(head_flat / 2))
    foot_radius, head_radius = (sqrt(a * a + b * b) for a, b in (foot, head))
    notch_volume = w * w / sin(acos(cos_pair)) * (w / 2 + (w / 2 - e) / cos(tilt))
    numbers = {
        "splay": splay, "roll": degrees(beta), "pair_angle": degrees(acos(cos_pair)),
        "floor_tilt": degrees(tilt), "bearing_rise": n, "side_rise": m, "flat_ratio": flat_ratio,
        "post_section": w, "post_length": length, "axis_offset": e, "let_in": w - e,
        "notch_position": notch, "centre_distance": rho, "waist_step": step,
        "foot_arm": foot_arm, "head_arm": head_arm, "corner_height": corner_height,
        "base_height": corner_height - depth - head_depth,
        "foot_flat": flat, "head_flat": head_flat,
        "foot_flat_depth": depth, "head_flat_depth": head_depth,
        "pad_projection": pad, "plate_gap": gap, "top_thickness": thickness,
        "seat_height" if how.get("kind") == "stool" else "table_height": height,
        "knee_clearance": height - thickness, "top_diameter": top,
        "foot_reach": foot[0], "foot_sidestep": foot[1], "foot_radius": foot_radius,
        "head_reach": head[0], "head_sidestep": head[1], "head_radius": head_radius,
        "foot_spread": sqrt(3) * foot_radius, "overhang": top / 2 - head_radius,
        "notch_volume": notch_volume,
        "post_volume": w * w * length - notch_volume
        - (depth**3 + head_depth**3) / (6 * c * n * m),
    }
    return FakeSheet(numbers, **how)
