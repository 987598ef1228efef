"""Hidden lines, against rays shot through the bodies one by one, and against cases told by eye."""

from dataclasses import dataclass

import numpy as np
import pytest

from tablekit.drawing import outline as hidden_lines
from tablekit.drawing.outline import FRONT, PLAN, View, joined_up, seen_faces, shadow, silhouette
from tablekit.solids.body import box, disc
from tablekit.solids.model import build
from tests.drawing.designs import designs
from tests.together import each

X, Y, Z = np.eye(3)
ASKEW = View(
    "askew",
    tuple(np.array([2, 1, 0]) / np.sqrt(5)),
    tuple(np.array([1, -2, 5]) / np.sqrt(30)),
    tuple(np.array([1, -2, -1]) / np.sqrt(6)),
)
NAMES = ["table", "low", "tall", "stool", "steep", "no pads, a gap under the top"]


def cube(x=0.0, y=0.0, z=0.0, half=1.0):
    low = np.array([x, y, z])
    return box("cube", 1, low, low + 2 * half * Z, (half * X, half * Y))


@dataclass(frozen=True)
class Drawn:
    """One body's edges on the sheet, as pieces with two ends: shapes (n, 2, 2)."""

    visible: np.ndarray
    hidden: np.ndarray


def outline(bodies, *how, **more):
    """What is drawn of each body."""
    both = [joined_up(*pieces) for pieces in hidden_lines.outline(bodies, *how, **more)]
    return [Drawn(*(drawn[owner == k] for drawn, owner in both)) for k in range(len(bodies))]


def inside_ahead(points, body, towards, margin=1e-3):
    """Whether the ray from each point to the viewer passes through the body's inside.

    Written apart from the shadow bodies: every ray is clipped by every face.
    """
    low, high = np.full(len(points), margin), np.full(len(points), np.inf)
    for normal, offset in zip(*body.planes, strict=True):
        rate, room = normal @ towards, offset - margin - points @ normal
        if abs(rate) < 1e-12:
            high = np.where(room <= 0, -np.inf, high)
        elif rate > 0:
            high = np.minimum(high, room / rate)
        else:
            low = np.maximum(low, room / rate)
    return high > low


def distance_to(pieces, points):
    """From each point on the sheet to the nearest piece."""
    start, run = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    arm = points[:, None] - start[None]
    share = np.einsum("pnj,nj->pn", arm, run) / np.einsum("nj,nj->n", run, run)
    foot = start + np.clip(share, 0, 1)[..., None] * run
    return np.linalg.norm(points[:, None] - foot, axis=2).min(axis=1)


def samples(body, share):
    """Points along every sharp edge, shape (n, 3)."""
    ends = body.vertices[body.edges[~body.smooth]]
    return np.concatenate([ends[:, 0] + t * (ends[:, 1] - ends[:, 0]) for t in share])


@each("view", [FRONT, PLAN, ASKEW], ids=lambda view: view.name)
@each("name", NAMES, ordinary=2)
def test_an_edge_is_drawn_just_where_a_ray_reaches_the_viewer(name, view):
    model = build(designs()[name])
    bodies, towards = model.bodies, view.line_of_sight
    drawn = outline(bodies, view, model.joints)
    visible = np.concatenate([one.visible for one in drawn])
    hidden = np.concatenate([one.hidden for one in drawn])
    share = (np.arange(23) + np.pi / 7) / 23
    counted = 0
    for k, body in enumerate(bodies):
        points = samples(body, share)
        guests = [bodies[guest] for host, guest in model.joints if host == k]
        gone = np.zeros(len(points), dtype=bool)
        for guest in guests:
            gone |= (points @ guest.normals.T < guest.offsets - 1e-3).all(axis=1)
        covered = np.any([inside_ahead(points, other, towards) for other in bodies], axis=0)
        # Points within the margin of a change are judged by neither side.
        sure = covered == np.any([inside_ahead(points, o, towards, 0.3) for o in bodies], axis=0)
        flat = view.project(points)
        clear, dark = sure & ~covered & ~gone, sure & covered & ~gone
        if clear.any():
            assert distance_to(visible, flat[clear]).max() < 1e-3
        if dark.any():
            both = np.concatenate([hidden, visible])  # a hidden edge may lie behind a visible one
            assert distance_to(both, flat[dark]).max() < 1e-3
        counted += clear.sum() + dark.sum()
    assert counted > 1000


@each("view", [FRONT, PLAN, ASKEW], ids=lambda view: view.name)
@each("name", NAMES)
def test_nothing_is_drawn_in_front_of_which_a_body_stands(name, view):
    """The other way round: each visible piece belongs to an edge or a joint that is in the open."""
    model = build(designs()[name])
    towards = view.line_of_sight
    drawn = outline(model.bodies, view, model.joints, dashed_behind=())
    assert all(len(one.hidden) == 0 for one in drawn)
    for k, body in enumerate(model.bodies):
        pieces = drawn[k].visible
        if not len(pieces):
            continue
        share = np.array([0.2, 0.5, 0.8])
        run = (pieces[:, 1] - pieces[:, 0])[:, None]
        flat = (pieces[:, 0, None] + share[:, None] * run).reshape(-1, 2)
        frame = np.array([view.right, view.up])
        # Lift each point to where its line of sight leaves the body that it belongs to.
        lifted = flat @ frame
        rate, room = body.normals @ towards, body.offsets - lifted @ body.normals.T
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = np.where(rate > 1e-9, room / rate, np.inf).min(axis=1)
        on_it = lifted + depth[:, None] * towards
        for other, solid in enumerate(model.bodies):
            if other != k:
                assert not inside_ahead(on_it, solid, towards, 0.2).any()


def length(pieces):
    return np.linalg.norm(np.diff(pieces, axis=1), axis=2).sum()


def test_a_cube_in_front_hides_the_part_of_another_behind_it():
    far, near = cube(x=1.0, y=5.0, z=0.5), cube(x=0.0, y=0.0)
    drawn = outline([far, near], FRONT)
    assert length(drawn[1].visible) == pytest.approx(8, abs=1e-4)
    # Of the far square: its upper edge 2 and right side 2, below 1 and on the left 0.5 (by eye).
    assert length(drawn[0].visible) == pytest.approx(5.5, abs=1e-4)
    assert length(drawn[0].hidden) >= 2.5 - 1e-4


def test_bodies_side_by_side_hide_nothing_of_each_other():
    drawn = outline([cube(x=0.0), cube(x=2.0)], FRONT)
    for one in drawn:
        assert length(one.visible) == pytest.approx(8)


def test_glass_shows_dashed_what_lies_right_behind_it_only():
    glass, upper, lower = cube(z=10.0, half=3), cube(z=4.0), cube(z=0.0)
    drawn = outline([glass, upper, lower], PLAN, dashed_behind=[0])
    assert len(drawn[1].visible) == 0
    assert length(drawn[1].hidden) == pytest.approx(8)
    assert len(drawn[2].visible) == 0
    # The lower cube's border lies exactly under the upper one's and is not hidden by it.
    assert np.abs(drawn[2].hidden).max() == pytest.approx(1)


def test_two_bars_let_into_each_other_show_where_they_meet():
    level = box("post", 1, -5 * X, 5 * X, (Y, Z))
    across = box("post", 2, -5 * Y + Z, 5 * Y + Z, (-X, Z))
    drawn = outline([level, across], FRONT, [(0, 1)])
    # From the front the cross bar's end is a square from z = 0 to 2, and no edge of the level bar,
    # which ends at z = 1, runs across it.
    inside = np.array([[0.0, 1.0]])
    assert distance_to(drawn[0].visible, inside).min() > 0.5
    # Nor is it hidden there: it has been cut away. Without the joint it would be hidden.
    assert distance_to(drawn[0].hidden, inside).min() > 0.5
    apart = outline([level, across], FRONT)
    assert distance_to(apart[0].hidden, inside).min() < 1e-4
    assert np.abs(drawn[1].visible[..., 0]).max() == pytest.approx(1)


def test_a_disc_s_picture_is_its_border():
    plate = disc("top", 1, np.array([0.0, 0.0, 5.0]), 10.0, 2.0)
    front = outline([plate], FRONT, dashed_behind=())[0].visible
    assert len(front) == 4
    assert length(front) == pytest.approx(2 * (20 + 2))
    above = outline([plate], PLAN, dashed_behind=())[0].visible
    assert np.linalg.norm(above, axis=2) == pytest.approx(10.0)
    assert np.ptp(silhouette(plate, FRONT), axis=0) == pytest.approx([20, 2])


def test_a_shadow_reaches_away_from_the_viewer_for_ever():
    normals, offsets = shadow(cube(), Y)
    for depth, inside in ((0.9, True), (-1000.0, True), (1.1, False)):
        point = np.array([0.5, depth, 0.5])
        assert (normals @ point <= offsets).all() == inside


def test_pieces_on_one_line_become_one():
    pieces = np.array(
        [
            [[0, 0], [1, 1]], [[3, 3], [0.5, 0.5]], [[4, 4], [5, 5]],
            [[2, 0], [2, 1]], [[2, 3], [2, 1]], [[0, 1], [1, 2]],
        ],
        dtype=float,
    )  # fmt: skip
    found = sorted(joined_up(pieces, np.zeros(6, int))[0].round(9).tolist())
    assert found == [
        [[0, 0], [3, 3]], [[0, 1], [1, 2]], [[2, 0], [2, 3]], [[4, 4], [5, 5]],
    ]  # fmt: skip


def area(polygon):
    x, y = np.array(polygon).T
    return abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2


@pytest.mark.parametrize("view", [FRONT, PLAN, ASKEW], ids=lambda view: view.name)
def test_seen_faces_cover_what_a_grid_of_rays_meets_first(view):
    model = build(designs()["table"])
    parts = seen_faces(model.posts, view)
    step = 4.0
    grid = np.arange(-1200, 1200, step)
    # The grid stands askew, so that no edge runs along its rows.
    turn = np.array([[np.cos(0.3), -np.sin(0.3)], [np.sin(0.3), np.cos(0.3)]])
    flat = np.stack(np.meshgrid(grid, grid), axis=-1).reshape(-1, 2) @ turn
    origin = flat @ np.array([view.right, view.up])
    depths = []
    for post in model.posts:
        rate, room = post.normals @ view.line_of_sight, post.offsets - origin @ post.normals.T
        with np.errstate(divide="ignore", invalid="ignore"):
            bound = room / rate
        out = np.where(rate > 1e-12, bound, np.inf).min(axis=1)
        back = np.where(rate < -1e-12, bound, -np.inf).max(axis=1)
        missed = ((np.abs(rate) <= 1e-12) & (room < 0)).any(axis=1)
        depths.append(np.where((out > back) & ~missed, out, -np.inf))
    first = np.where(np.max(depths, axis=0) > -np.inf, np.argmax(depths, axis=0), -1)
    for k in range(3):
        exact = sum(area(part) for part in parts[k])
        assert exact == pytest.approx((first == k).sum() * step**2, rel=0.01)
