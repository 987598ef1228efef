"""Three posts that are not alike: where they lie in one another, how they stand, how the top lies.

Post 2 lies in the notch of post 1, post 3 in that of post 2, post 1 in that of post 3. Places are
measured in the frame of the base, in which the posts lean alike: x along the lean of post 1 in
plan, z along the centre line, from the axis of post 1 at its foot end.

Proofs: `reference/derivations/posts_as_cut.md`.
"""

from __future__ import annotations

from functools import cache

import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, equal
from tablekit.relations import crossing, levelling, post_ends
from tablekit.relations import quantities as q
from tablekit.relations.crossing import half_notch, half_seat
from tablekit.relations.levelling import visible_slope
from tablekit.relations.wording import SHOP

DERIVATION = "reference/derivations/posts_as_cut.md"
Three = tuple[Quantity, Quantity, Quantity]
Point = tuple[sp.Expr, sp.Expr, sp.Expr]
POSTS = (0, 1, 2)


def _three(
    name: str, letter: str, unit: str, meaning: str, low: float, high: float, fine: bool = False
) -> Three:
    """A quantity for each of the three posts; the braces in its texts become the post's number."""
    one, two, three = (
        Quantity(
            f"{name}_{k}", f"{letter}{'₁₂₃'[k - 1]}", unit, meaning.format(k), low, high,
            latex=f"{letter}_{{{k}}}", fine=fine,
        )
        for k in (1, 2, 3)
    )  # fmt: skip
    return one, two, three


# -- what is cut ----------------------------------------------------------------------------------

lengths = _three(
    "post_length", "L", "mm", "length of post {}, end to end, before the flats are cut", 50, 10_000
)
notch_positions = _three(
    "notch_position", "p", "mm", "from the foot end of post {} to the centre of its notch", 1, 9000
)
notch_depths = _three("notch_depth", "D", "mm", "depth of the notch in post {}", 0.1, 500)
sections = _three("post_section", "w", "mm", "depth of post {}, between its bearing faces", 5, 500)
widths = _three("post_width", "v", "mm", "width of post {}, between its side faces", 5, 500)
notch_widths = _three(
    "notch_width", "b", "mm", "width of the notch in post {}, along the post", 5, 2000
)
foot_flats = _three(
    "foot_flat", "f", "mm", "diameter of the largest circle on the flat of foot {}", 0.1, 500
)
head_flats = _three(
    "head_flat", "g", "mm", "diameter of the largest circle on the flat of head {}", 0.1, 500
)
foot_shims = _three(
    "foot_shim", "d", "mm", "thickness of the shims under foot {}", 0, 200, fine=True
)
head_shims = _three("head_shim", "k", "mm", "thickness of the shims on head {}", 0, 200, fine=True)
notch_sense = Quantity(
    "notch_sense", "σ", "1", "which way the notches open: +1 up, −1 down", -1, 1, latex=r"\sigma"
)


def _rests(end: str, letter: str, touched: str) -> tuple[Three, Three, Three]:
    """Which corner of each flat touches: that on the long arris of the post, on the edge square to
    its bearing face, or on the edge square to its side face."""
    along, bearing, side = (
        _three(
            f"{end}_on_{edge}", f"{letter}{mark}", "1",
            f"1 where {end} {{}} touches {touched} at the corner of its flat on {where}, else 0",
            0, 1,
        )
        for edge, mark, where in (
            ("arris", "u", "the long arris"),
            ("bearing_edge", "n", "the edge square to the bearing face"),
            ("side_edge", "m", "the edge square to the side face"),
        )
    )  # fmt: skip
    return along, bearing, side


foot_rests = _rests("foot", "φ", "the floor")
head_rests = _rests("head", "κ", "the top")
CUTS: tuple[Three, ...] = (
    lengths, notch_positions, notch_depths, sections, widths, notch_widths, foot_flats, head_flats,
    foot_shims, head_shims,
)  # fmt: skip

# -- where the posts lie --------------------------------------------------------------------------

offsets = _three(
    "axis_offset", "e", "mm", "distance of the axis of post {} from that of the post in its notch",
    -500, 500,
)  # fmt: skip
seat_steps = _three(
    "seat_step", "r", "mm",
    "along post {}, from the centre of its notch to where it lies in the next notch", -2000, 2000,
)  # fmt: skip
seats = _three(
    "seat_position",
    "q",
    "mm",
    "from the foot end of post {} to the middle of what lies in the other post's notch",
    1,
    9000,
)
end_x = _three("foot_end_x", "X", "mm", "place of the foot end of post {} along x", -20_000, 20_000)
end_y = _three("foot_end_y", "Y", "mm", "place of the foot end of post {} along y", -20_000, 20_000)
end_z = _three("foot_end_z", "Z", "mm", "place of the foot end of post {} along z", -20_000, 20_000)
foot_depths = _three("foot_flat_depth", "t", "mm", "plumb depth of the flat of foot {}", 0.05, 500)
head_depths = _three("head_flat_depth", "s", "mm", "plumb depth of the flat of head {}", 0.05, 500)


def _places(end: str, letter: str) -> tuple[Three, Three, Three, Three, Three]:
    """Level of each flat; the middle of each in plan; the point of each that touches in plan."""
    far = 20_000
    return (
        _three(f"{end}_level", f"{letter}z", "mm", f"place of the flat of {end} {{}} along z",
               -far, far),
        _three(f"{end}_middle_x", f"{letter}a", "mm",
               f"place of the middle of {end} {{}} along x", -far, far),
        _three(f"{end}_middle_y", f"{letter}b", "mm",
               f"place of the middle of {end} {{}} along y", -far, far),
        _three(f"{end}_touch_x", f"{letter}x", "mm",
               f"place along x of the point at which {end} {{}} touches", -far, far),
        _three(f"{end}_touch_y", f"{letter}y", "mm",
               f"place along y of the point at which {end} {{}} touches", -far, far),
    )  # fmt: skip


foot_level, foot_middle_x, foot_middle_y, foot_touch_x, foot_touch_y = _places("foot", "F")
head_level, head_middle_x, head_middle_y, head_touch_x, head_touch_y = _places("head", "H")
foot_sides = _three("foot_to_foot", "a", "mm", "from foot {} to the next, middle to middle", 1, 2e4)
head_sides = _three("head_to_head", "c", "mm", "from head {} to the next, middle to middle", 1, 2e4)


def _plane(of: str, letter: str) -> tuple[Quantity, Quantity, Quantity, Quantity]:
    """The area of a triangle of plan points, twice; the rise of the plane along x and y, and its
    place over the middle of the feet."""
    return (
        Quantity(f"{of}_area", f"A{letter}", "mm^2",
                 f"twice the plan area of the triangle on which the {of} rests", 1, 1e9),
        Quantity(f"{of}_rise_x", f"{letter}x", "1", f"rise of the {of} for a step along x", -1, 1),
        Quantity(f"{of}_rise_y", f"{letter}y", "1", f"rise of the {of} for a step along y", -1, 1),
        Quantity(f"{of}_at_middle", f"{letter}z", "mm",
                 f"place of the {of} along z, over the middle of the feet", -20_000, 20_000),
    )  # fmt: skip


floor_area, floor_x, floor_y, floor_middle = _plane("floor", "i")
under_area, under_x, under_y, under_middle = _plane("underside", "j")
middle_x = Quantity("feet_middle_x", "x₀", "mm", "middle of the feet along x", -20_000, 20_000)
middle_y = Quantity("feet_middle_y", "y₀", "mm", "middle of the feet along y", -20_000, 20_000)
floor_slant = Quantity("floor_slant", "N", "1", "length along the floor's normal for 1 along z",
                       1, 2)  # fmt: skip

# -- the piece that comes of it -------------------------------------------------------------------

heights: Three = (levelling.head_height_1, levelling.head_height_2, levelling.head_height_3)
tilt = Quantity(
    "top_tilt_as_cut", "ψ_c", "deg", "tilt of the top out of level, as cut", 0, 45, latex=r"\psi_c"
)
fall_x = Quantity("top_fall_x", "v_x", "1", "fall of the top along x, over the floor", -2, 2)
fall_y = Quantity("top_fall_y", "v_y", "1", "fall of the top along y, over the floor", -2, 2)
rim_drop = Quantity(
    "rim_drop_as_cut", "Δ_c", "mm", "height difference across the top, as cut", 0, 2000, fine=True
)
slope_used = Quantity(
    "visible_slope_used_as_cut", "ι_c", "1",
    "tilt of the top, as cut, as a share of the slope that shows", 0, 10_000, said="share",
)  # fmt: skip
height = Quantity(
    "table_height_as_cut", "H_c", "mm", "floor to the upper face, at the centre, as cut", 20, 5000
)
foot_circle = Quantity(
    "foot_circle_as_cut", "R_f", "mm", "radius of the circle through the middles of the feet, "
    "as cut", 1, 10_000,
)  # fmt: skip
head_circle = Quantity(
    "head_circle_as_cut", "R_h", "mm", "radius of the circle through the middles of the heads, "
    "as cut", 1, 10_000,
)  # fmt: skip
overhang = Quantity(
    "overhang_as_cut", "o_c", "mm",
    "centres of the heads to the rim, with the top centred on their circle", -5000, 5000,
)  # fmt: skip
plays = _three(
    "notch_play", "j", "mm",
    "clearance between the walls of the notch in post {} and the post in it; negative where that "
    "is too wide to go in", -500, 500, fine=True,
)  # fmt: skip
foot_gaps = _three(
    "foot_gap", "ζ", "mm", "widest gap between the flat of foot {} and the floor or its pad", 0,
    500, fine=True,
)  # fmt: skip
head_gaps = _three(
    "head_gap", "η", "mm", "widest gap between the flat of head {} and the top", 0, 500, fine=True
)

_theta, _beta = q.splay, q.roll
_phi, _tau = q.crossing_angle, q.notch_floor_tilt
_n, _m = q.bearing_rise, q.side_rise
_sigma = notch_sense
_s, _c, _half = sp.sin(_theta), sp.cos(_theta), sp.Rational(1, 2)


def _directions(post: int) -> tuple[Point, Point, Point]:
    """Along a post from foot to head, square to its bearing face, square to its side face."""
    turn = 2 * sp.pi * post / 3
    x, y = sp.cos(turn), sp.sin(turn)
    sine, cosine = sp.sin(_beta), sp.cos(_beta)
    along = (_s * x, _s * y, _c)
    bearing = (-_c * sine * x - cosine * y, -_c * sine * y + cosine * x, _n)
    side = (-_c * cosine * x + sine * y, -_c * cosine * y - sine * x, _m)
    return along, bearing, side


def _end(post: int) -> Point:
    """The axis of a post at its foot end; that of post 1 is where places are measured from."""
    if post == 0:
        return sp.Integer(0), sp.Integer(0), sp.Integer(0)
    return end_x[post], end_y[post], end_z[post]


def _stated(
    name: str,
    equation: sp.Eq,
    meaning: str,
    why: str,
    heading: str,
    limits: tuple[Limit, ...] = (),
    checks: tuple[Check, ...] = (),
) -> Relation:
    source = derived(DERIVATION, heading)
    return Relation(name, equation, meaning, why, source, limits, checks=checks)


# -- joints ---------------------------------------------------------------------------------------


def _offset(post: int) -> Relation:
    guest, number = (post + 1) % 3, post + 1
    depth = notch_depths[post]
    return _stated(
        f"offset of the axes at notch {number}",
        equal(
            offsets[post] + depth, (sections[guest] + widths[post]) / 2
        ),
        f"What the floor of notch {number} leaves between the two axes.",
        "The notch is cut into the side face, half a width from the axis of its own post; the post "
        "that lies on its floor has its axis half its depth from its bearing face.",
        "the floor",
        (Limit(widths[post] - depth, f"notch {number} does not cut its post through"),),
        (
            Check(
                {offsets[post].name: "30 mm", sections[guest].name: "62 mm",
                 widths[post].name: "64 mm"},
                {notch_depths[post].name: "33.0 mm"},
                derived(DERIVATION, "the floor"),
            ),
        ),
    )  # fmt: skip


def _seat_step(post: int) -> Relation:
    own, next_, last = (offsets[(post + k) % 3] for k in POSTS)
    return _stated(
        f"notch to seat of post {post + 1}",
        equal(
            seat_steps[post] * (1 - sp.cos(_phi)) * sp.sqrt(3) * _c,
            _sigma * sp.sin(_phi) * (next_ - sp.sin(_tau) * (own + last)),
        ),
        "How far apart, along a post, its own notch lies from the part of it that lies in the "
        "other post's notch.",
        "From post to post, along each to its notch and over to the next axis, the way round comes "
        "back to where it began. At the square crossing the step is the offset of the two other "
        "posts.",
        "the way round",
        checks=(
            Check(
                {"crossing_angle": "90 deg", "splay": "54.73561032 deg", "notch_sense": "1",
                 "notch_floor_tilt": "0 deg", offsets[(post + 1) % 3].name: "31 mm",
                 offsets[post].name: "30 mm", offsets[(post + 2) % 3].name: "33 mm"},
                {seat_steps[post].name: "31.00 mm"},
                derived(DERIVATION, "the way round"),
            ),
        ),
    )  # fmt: skip


def _clear(post: int, what: str, near: sp.Expr, half: sp.Expr) -> tuple[Limit, Limit]:
    """Limits that keep what lies at `near` from the foot end clear of both flats."""
    foot, head = (depths[post] / _c for depths in (foot_depths, head_depths))
    far = lengths[post] - near
    return (
        Limit(near - half - foot, f"{what} stays clear of the foot"),
        Limit(far - half - head, f"{what} stays clear of the head"),
    )


def _seat(post: int) -> Relation:
    guest, host, number = (post + 1) % 3, (post - 1) % 3, post + 1
    place, seat = notch_positions[post], seats[post]
    own = sections[post], widths[post]
    of_host = sections[host], widths[host]
    in_host = f"the part of post {number} that lies in notch {host + 1}"
    return _stated(
        f"seat of post {number}",
        equal(seat, place + seat_steps[post]),
        "Where, along a post, it lies in the notch of another.",
        "The seat is the notch and the step between the two.",
        "the way round",
        (
            *_clear(post, f"notch {number}", place, half_notch(*own, widths[guest])),
            *_clear(post, in_host, seat, half_seat(*of_host, own[1])),
        ),
    )


def _end_places(post: int) -> tuple[Relation, ...]:
    """Where the foot end of a post lies: along its host to the notch, over to it, and down it."""
    host = post - 1
    begin, along = _end(host), _directions(host)[0]
    own, bearing, _ = _directions(post)
    walk = notch_positions[host], _sigma * offsets[host], -seats[post]
    return tuple(
        _stated(
            f"foot end of post {post + 1} along {'xyz'[k]}",
            equal(
                (end_x, end_y, end_z)[k][post],
                begin[k] + walk[0] * along[k] + walk[1] * bearing[k] + walk[2] * own[k],
            ),
            f"Where the wall and the floor of notch {host + 1} put post {post + 1}.",
            f"Along post {host + 1} from its foot end to its notch, square over to the axis of "
            f"post {post + 1}, and down that to its foot end.",
            "where each post lies",
        )
        for k in POSTS
    )


# -- flats ----------------------------------------------------------------------------------------


def _set_back(flat: sp.Expr) -> Point:
    """From the sharp corner to the middle of a flat, along the three edges at that corner."""
    across = sp.sqrt(1 - _n**2), sp.sqrt(1 - _m**2)
    return flat / 2 * _s, flat / 2 * across[0], flat / 2 * across[1]


def _flat_depth(end: str, post: int, flat: Quantity, depth: Quantity) -> Relation:
    return _stated(
        f"depth of the flat of {end} {post + 1}",
        equal(flat * q.flat_ratio, 2 * depth),
        f"How far, measured plumb, the flat of {end} {post + 1} lies from the sharp corner.",
        "All flats of one corner are similar triangles.",
        "where a flat lies",
        (
            Limit(sections[post] * _n - depth,
                  f"the flat of {end} {post + 1} stays inside the end of the post"),
            Limit(widths[post] * _m - depth,
                  f"the flat of {end} {post + 1} stays inside the end of the post"),
        ),
        (
            Check({depth.name: "10 mm", "flat_ratio": "1.414214"}, {flat.name: "14.142 mm"},
                  derived(post_ends.FLATS, "d√2 across at the square crossing")),
        ),
    )  # fmt: skip


def _level(end: str, post: int) -> Relation:
    foot = end == "foot"
    corner = (sections[post] * _n + widths[post] * _m) / 2
    at = _end(post)[2] + (-corner if foot else lengths[post] * _c + corner)
    depth = foot_depths[post] if foot else -head_depths[post]
    return _stated(
        f"level of the flat of {end} {post + 1}",
        equal((foot_level if foot else head_level)[post], at + depth),
        f"Where the flat of {end} {post + 1} lies along the centre line.",
        "The sharp corner stands half a depth out from the axis, square to the bearing face, and "
        "half a width out, square to the side face; the flat is cut so much back from it.",
        "where a flat lies",
    )


def _plan_points(end: str, post: int) -> tuple[Relation, ...]:
    """The middle of a flat, and the point of it that touches, in plan."""
    foot = end == "foot"
    outward = -1 if foot else 1
    begin, ways = _end(post), _directions(post)
    flat = (foot_flats if foot else head_flats)[post]
    depth = (foot_depths if foot else head_depths)[post]
    on = [rest[post] for rest in (foot_rests if foot else head_rests)]
    middle = _set_back(flat)
    touch = [
        w * depth / rise + (1 - sum(on)) * back
        for w, rise, back in zip(on, (_c, _n, _m), middle, strict=True)
    ]
    half = sections[post] / 2, widths[post] / 2
    axis = sp.Integer(0) if foot else lengths[post]
    named = (
        (foot_middle_x, foot_middle_y, foot_touch_x, foot_touch_y) if foot
        else (head_middle_x, head_middle_y, head_touch_x, head_touch_y)
    )  # fmt: skip
    found = []
    for which, back in enumerate((middle, touch)):
        for k in (0, 1):
            away = (axis - outward * back[0], outward * (half[0] - back[1]),
                    outward * (half[1] - back[2]))  # fmt: skip
            place = begin[k] + sum(a * way[k] for a, way in zip(away, ways, strict=True))
            found.append(_plan_point(end, post, which, k, equal(named[2 * which + k][post],
                                                                place)))  # fmt: skip
    return tuple(found)


def _plan_point(end: str, post: int, which: int, axis: int, equation: sp.Eq) -> Relation:
    what = ("middle", "point of contact")[which]
    return _stated(
        f"{what} of {end} {post + 1} along {'xy'[axis]}",
        equation,
        f"Where the {what} of {end} {post + 1} lies in plan.",
        "From the foot end along the post, out to the sharp corner, and back along the three edges "
        "that meet there.",
        "where a flat lies" if which == 0 else "what a foot stands on",
    )


# -- planes ---------------------------------------------------------------------------------------


def _points(end: str) -> tuple[list[sp.Expr], list[sp.Expr], list[sp.Expr]]:
    """Places of the three points that touch, along x, y and z, shims and pads counted in."""
    xs, ys = (foot_touch_x, foot_touch_y) if end == "foot" else (head_touch_x, head_touch_y)
    zs = [
        foot_level[k] - q.pad_projection - foot_shims[k] if end == "foot"
        else head_level[k] + head_shims[k]
        for k in POSTS
    ]  # fmt: skip
    return [x for x in xs], [y for y in ys], zs


def _rest_plane(of: str, end: str) -> tuple[Relation, ...]:
    """The plane through the three points that touch."""
    area, rise_x, rise_y, at = (
        (floor_area, floor_x, floor_y, floor_middle) if end == "foot"
        else (under_area, under_x, under_y, under_middle)
    )  # fmt: skip
    (x1, x2, x3), (y1, y2, y3), (z1, z2, z3) = _points(end)
    across = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)
    along_x = (z2 - z1) * (y3 - y1) - (z3 - z1) * (y2 - y1)
    along_y = (x2 - x1) * (z3 - z1) - (x3 - x1) * (z2 - z1)
    why = "A plane through three points rises between them as they do; two steps settle it."
    there = z1 + rise_x * (middle_x - x1) + rise_y * (middle_y - y1)
    return (
        _stated(f"area under the {of}", equal(area, across),
                "Twice the area of the triangle of the three points, in plan.",
                "The cross product of two of its sides.", "the plane through three points"),
        _stated(f"rise of the {of} along x", equal(rise_x * area, along_x),
                f"How much the {of} rises for a step along x.", why,
                "the plane through three points"),
        _stated(f"rise of the {of} along y", equal(rise_y * area, along_y),
                f"How much the {of} rises for a step along y.", why,
                "the plane through three points"),
        _stated(f"place of the {of} over the middle", equal(at, there),
                f"Where the {of} lies along the centre line, over the middle of the feet.",
                "From the first of the three points along the rise of the plane.",
                "what a foot stands on"),
    )  # fmt: skip


def _middles() -> tuple[Relation, ...]:
    return tuple(
        _stated(
            f"middle of the feet along {axis}",
            equal(3 * middle, sum(one for one in feet)),
            "The mean of the middles of the three feet.",
            "A point that lies between the three feet, whichever corners they stand on.",
            "what a foot stands on",
        )
        for axis, middle, feet in (
            ("x", middle_x, foot_middle_x), ("y", middle_y, foot_middle_y)
        )
    )  # fmt: skip


def _head_height(post: int) -> Relation:
    (x1, *_), (y1, *_), (z1, *_) = _points("foot")
    xs, ys, zs = _points("head")
    floor = floor_x * (xs[post] - x1) + floor_y * (ys[post] - y1)
    return _stated(
        f"height of head {post + 1}",
        equal(heights[post] * floor_slant, zs[post] - z1 - floor),
        f"How high over the floor the top lies on head {post + 1}.",
        "Along the centre line it is the level of the head less that of the floor under it; square "
        "to the floor it is shorter by the slant of the floor.",
        "heads over the floor",
        checks=(
            Check(
                {"floor_slant": "1.02", "floor_rise_x": "0.2", "floor_rise_y": "0",
                 f"head_level_{post + 1}": "710 mm", f"head_shim_{post + 1}": "0.6 mm",
                 f"head_touch_x_{post + 1}": "403 mm", f"head_touch_y_{post + 1}": "7 mm",
                 "foot_touch_x_1": "-397 mm", "foot_touch_y_1": "5 mm",
                 "foot_level_1": "-40 mm", "pad_projection": "3 mm", "foot_shim_1": "0 mm"},
                {heights[post].name: "581.96 mm"},
                derived(DERIVATION, "heads over the floor"),
            ),
        ),
    )  # fmt: skip


def _gap(end: str, post: int, gap: Quantity, rise_x: Quantity, rise_y: Quantity) -> Relation:
    depth = (foot_depths if end == "foot" else head_depths)[post]
    other = "floor" if end == "foot" else "top"
    climbs = [(rise_x * way[0] + rise_y * way[1]) / way[2] for way in _directions(post)]
    slant = sp.sqrt(1 + rise_x**2 + rise_y**2)
    return _stated(
        f"gap at {end} {post + 1}",
        equal(
            gap * slant,
            depth * (sp.Max(*climbs, evaluate=False) - sp.Min(*climbs, evaluate=False)),
        ),
        f"How far the corner of the flat that is farthest from the {other} stands off it.",
        f"The flat is level in the frame of the base and the {other} is not; it touches one corner "
        "of the flat, and the gap grows to the others as the one plane leaves the other.",
        "the gap at a flat",
    )


# -- the piece ------------------------------------------------------------------------------------


def _circle(ends: str, sides: Three, radius: Quantity) -> Relation:
    a, b, c = (side**2 for side in sides)
    return _stated(
        f"circle through the three {ends}, as cut",
        equal(
            radius**2 * (2 * a * b + 2 * b * c + 2 * c * a - a**2 - b**2 - c**2), a * b * c
        ),
        f"Radius of the circle through the middles of the {ends}, whatever their distances.",
        "Heron's area of a triangle, and its circumscribed circle: the product of the sides over "
        "four times the area.",
        "circles",
        checks=(
            Check({sides[0].name: "3 in", sides[1].name: "4 in", sides[2].name: "5 in"},
                  {radius.name: "2.500 in"},
                  derived(DERIVATION, "circles: 3, 4, 5 lies in a half circle of radius 2.5")),
        ),
    )  # fmt: skip


def _side(end: str, post: int) -> Relation:
    of = (
        (foot_sides, foot_middle_x, foot_middle_y, foot_level) if end == "foot"
        else (head_sides, head_middle_x, head_middle_y, head_level)
    )  # fmt: skip
    sides, *places = of
    steps = [(one[(post + 1) % 3] - one[post]) ** 2 for one in places]
    return _stated(
        f"{end} {post + 1} to {end} {(post + 1) % 3 + 1}",
        equal(sides[post] ** 2, sum(steps)),
        "The distance between the middles of the two flats.",
        "Pythagoras, in three directions.",
        "circles",
    )


_gx, _gy, _tx, _ty = floor_x, floor_y, under_x, under_y
_both = 1 + _gx * _tx + _gy * _ty
SLANT = _stated(
    "slant of the floor",
    equal(floor_slant, sp.sqrt(1 + _gx**2 + _gy**2)),
    "How much longer a line along the centre line is than one square to the floor.",
    "Pythagoras, for a step of 1 along the centre line and the two rises.",
    "heads over the floor",
    checks=(
        Check({"floor_rise_x": "0.3", "floor_rise_y": "0.4"}, {"floor_slant": "1.11803"},
              derived(DERIVATION, "heads over the floor: √1.25")),
    ),
)  # fmt: skip
TILT = _stated(
    "tilt of the top, as cut",
    equal(
        sp.tan(tilt) * _both,
        sp.sqrt((_ty - _gy) ** 2 + (_tx - _gx) ** 2 + (_gx * _ty - _gy * _tx) ** 2),
    ),
    "The angle between the underside of the top and the floor.",
    "The tangent of the angle between the normals of two planes is the length of their cross "
    "product over their scalar product.",
    "tilt",
    checks=(
        Check(
            {"floor_rise_x": "0", "floor_rise_y": "0", "underside_rise_x": "0.006",
             "underside_rise_y": "0.008"},
            {"top_tilt_as_cut": "0.5729 deg"},
            derived(DERIVATION, "tilt: a rise of 0.01 is arctan 1/100"),
        ),
    ),
)  # fmt: skip
FALL = tuple(
    _stated(
        f"fall of the top along {axis}",
        equal(fall * (1 + _gx**2 + _gy**2) + own * (1 + _gx**2 + _gy**2), floor * _both),
        f"Which way a ball would roll: how much the top falls along {axis}, over the floor.",
        "The normal of the top leans the way that the top falls; what of it lies in the floor "
        "points there.",
        "tilt",
        checks=(
            Check(
                {"floor_rise_x": "0", "floor_rise_y": "0", "underside_rise_x": "0.02",
                 "underside_rise_y": "0.02"},
                {fall.name: "-0.0200"},
                derived(DERIVATION, "tilt: over a level floor it falls where it does not rise"),
            ),
        ),
    )
    for axis, fall, own, floor in (("x", fall_x, _tx, _gx), ("y", fall_y, _ty, _gy))
)  # fmt: skip
RIM_DROP = _stated(
    "height difference across the top, as cut",
    equal(rim_drop, q.top_diameter * sp.sin(tilt)),
    "How much higher one side of the rim stands than the other.",
    "The diameter along the steepest climb, seen from the side.",
    "tilt",
    checks=(
        Check({"top_diameter": "900 mm", "top_tilt_as_cut": "0.5729 deg"},
              {"rim_drop_as_cut": "9.00 mm"},
              derived(levelling.DERIVATION, "900 mm at 1 in 100")),
    ),
)  # fmt: skip
SLOPE_USED = _stated(
    "tilt as cut, as a share of the visible slope",
    equal(slope_used * visible_slope, sp.tan(tilt)),
    "At 1 the top is at the visible slope.",
    "A slope is the tangent of a tilt.",
    "tilt",
    checks=(
        Check({"visible_slope": "0.005", "top_tilt_as_cut": "0.5729 deg"},
              {"visible_slope_used_as_cut": "2.00"},
              derived(levelling.DERIVATION, "1 in 100 is twice 1 in 200")),
    ),
)  # fmt: skip
HEIGHT = _stated(
    "height of the piece, as cut",
    equal(
        height,
        sum(one for one in heights) / 3 + q.top_thickness / sp.cos(tilt),
    ),
    "Floor to the upper face, over the middle of the three points on which the top lies.",
    "The middle of three points lies at the mean of their heights, and the top is thicker measured "
    "plumb than square to its face.",
    "height at the centre",
    checks=(
        Check(
            {"head_height_1": "706 mm", "head_height_2": "700 mm", "head_height_3": "700 mm",
             "top_thickness": "27 mm", "top_tilt_as_cut": "0.5729 deg"},
            {"table_height_as_cut": "729.001 mm"},
            derived(DERIVATION, "height at the centre"),
        ),
    ),
)  # fmt: skip
OVERHANG = _stated(
    "overhang, as cut",
    equal(2 * overhang + 2 * head_circle, q.top_diameter),
    "With the top centred on the circle through the heads it overhangs them alike all round; "
    "centred anywhere else, less on one side.",
    "The rim and the circle then have one centre.",
    "circles",
    checks=(
        Check({"top_diameter": "900 mm", "head_circle_as_cut": "395.8 mm"},
              {"overhang_as_cut": "54.2 mm"},
              derived(DERIVATION, "circles: 450 less 395.8")),
    ),
)  # fmt: skip


def _play(post: int) -> Relation:
    guest = (post + 1) % 3
    return _stated(
        f"play of post {guest + 1} in notch {post + 1}",
        equal(
            plays[post] + widths[guest], notch_widths[post] * sp.sin(_phi)
        ),
        "What the walls leave beside the post between them.",
        "Walls that cross the post at an angle are nearer to one another than the notch is wide "
        "along the post.",
        "how tight a notch is",
        checks=(
            Check(
                {notch_widths[post].name: "64.2 mm", "crossing_angle": "90 deg",
                 widths[guest].name: "63.9 mm"},
                {plays[post].name: "0.30 mm"},
                derived(DERIVATION, "how tight a notch is"),
            ),
        ),
    )  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Every relation of three posts that are not alike, and of the piece that comes of them."""
    each = [
        relation
        for post in POSTS
        for relation in (
            _offset(post), _seat_step(post), _seat(post), _play(post), _head_height(post),
            _flat_depth("foot", post, foot_flats[post], foot_depths[post]),
            _flat_depth("head", post, head_flats[post], head_depths[post]),
            _level("foot", post), _level("head", post), _side("foot", post), _side("head", post),
            *_plan_points("foot", post), *_plan_points("head", post),
            _gap("foot", post, foot_gaps[post], floor_x, floor_y),
            _gap("head", post, head_gaps[post], under_x, under_y),
        )
    ]  # fmt: skip
    return (
        *each, *_end_places(1), *_end_places(2), *_middles(), *_rest_plane("floor", "foot"),
        *_rest_plane("underside", "head"), SLANT, TILT, *FALL, RIM_DROP, SLOPE_USED, HEIGHT,
        _circle("feet", foot_sides, foot_circle), _circle("heads", head_sides, head_circle),
        OVERHANG,
    )  # fmt: skip


# What this network takes from the sheet of the piece.
OF_THE_PIECE: tuple[Quantity, ...] = (
    q.splay, q.top_thickness, q.top_diameter, q.pad_projection, visible_slope
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    *heights, tilt, rim_drop, slope_used, height, foot_circle, head_circle, overhang, *plays,
    *foot_gaps, *head_gaps, fall_x, fall_y,
    *(one for three in CUTS for one in three), notch_sense,
    *offsets, *seat_steps, *seats, *end_x[1:], *end_y[1:], *end_z[1:],
    *foot_depths, *head_depths,
    *(one for three in (*foot_rests, *head_rests) for one in three),
    *foot_level, *foot_middle_x, *foot_middle_y, *foot_touch_x, *foot_touch_y,
    *head_level, *head_middle_x, *head_middle_y, *head_touch_x, *head_touch_y,
    *foot_sides, *head_sides, middle_x, middle_y,
    floor_area, floor_x, floor_y, floor_middle, floor_slant,
    under_area, under_x, under_y, under_middle,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()


@cache
def network() -> Network:
    """Return the network of three posts as they are cut, the same object every time."""
    return Network(
        name="posts as cut",
        quantities=(
            *OF_THE_PIECE, *QUANTITIES, q.roll, q.crossing_angle, q.notch_floor_tilt,
            q.bearing_rise, q.side_rise, q.flat_ratio,
        ),
        relations=(*crossing.DIRECTIONS, post_ends.FLAT_RATIO, *relations()),
        wording=SHOP,
    )  # fmt: skip
