"""Posts with two notches built of cubes, to see whether they can be moved.

Knows nothing of `tablekit`: wood is a set of cubes on a grid, the three posts run along x, y
and z, and a slide is a shift by whole cubes. `per_half` cubes make half a section.
"""

from __future__ import annotations

from collections import deque
from functools import lru_cache
from itertools import combinations, product

import numpy as np
from scipy.optimize import linprog

Cube = tuple[int, int, int]
STEPS: tuple[Cube, ...] = (
    (1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1),
)  # fmt: skip


def three_posts(
    per_half: int = 1, longer: tuple[str, str, int] | None = None
) -> list[frozenset[Cube]]:
    """The cubes of the posts along x, y and z.

    Post x is notched on its faces -y ("down") and +z ("up"), the others in turn. `longer` has one
    notch of post x lengthened: which ("up" or "down"), towards which end, by how many cubes.
    """
    half, end = per_half, 6 * per_half
    notches = {"down": [-half, half], "up": [-half, half]}
    first = {name: list(span) for name, span in notches.items()}
    if longer:
        which, towards, amount = longer
        first[which][0 if towards == "foot" else 1] += -amount if towards == "foot" else amount
    made = []
    for k in range(3):
        spans, across = first if k == 0 else notches, range(-half, half)
        wood = set()
        for along, ahead, behind in product(range(-end, end), across, across):
            in_down = spans["down"][0] <= along < spans["down"][1] and ahead < 0
            in_up = spans["up"][0] <= along < spans["up"][1] and behind >= 0
            if not in_down and not in_up:
                place = [0, 0, 0]
                place[k], place[(k + 1) % 3], place[(k + 2) % 3] = along, ahead, behind
                wood.add((place[0], place[1], place[2]))
        made.append(frozenset(wood))
    return made


def shifted(cube: Cube, step: Cube) -> Cube:
    """The place one step on."""
    return (cube[0] + step[0], cube[1] + step[1], cube[2] + step[2])


def held(first: frozenset[Cube], second: frozenset[Cube]) -> set[Cube]:
    """Directions in which the second cannot move because of the first."""
    return {step for step in STEPS if any(shifted(cube, step) in first for cube in second)}


def first_order_freedom(posts: list[frozenset[Cube]]) -> float:
    """How much opening of contacts any small motion of the posts allows; 0 if they are locked.

    Each post shifts and turns; no corner of a patch of contact may close. The first post stays.
    Raises AssertionError where the contacts alone do not tell one motion from another.
    """
    rows = set()
    for i, j in combinations(range(3), 2):
        for cube, step in product(posts[i], STEPS):
            if shifted(cube, step) in posts[j]:
                rows |= {_closing(i, j, corner, step) for corner in _corners(cube, step)}
    opening = np.array(sorted(rows))[:, 6:]
    assert np.linalg.matrix_rank(opening) == 12
    most = linprog(
        -opening.sum(axis=0), A_ub=-opening, b_ub=np.zeros(len(opening)), bounds=[(-1, 1)] * 12
    )
    return float(-most.fun)


def _corners(cube: Cube, step: Cube) -> list[np.ndarray]:
    """Corners of the face of a cube that a step goes through."""
    axis = int(np.argmax(np.abs(step)))
    found = []
    for pair in product((0, 1), repeat=2):
        offset = list(pair)
        offset.insert(axis, (step[axis] + 1) // 2)
        found.append(np.add(cube, offset))
    return found


def _closing(i: int, j: int, corner: np.ndarray, step: Cube) -> tuple[int, ...]:
    """Speed at which two posts part at a corner, as a row for their 18 speeds."""
    row = np.zeros(18, dtype=int)
    turning = np.cross(corner, step)
    row[6 * j : 6 * j + 6] = [*step, *turning]
    row[6 * i : 6 * i + 6] = [*np.negative(step), *-turning]
    return tuple(int(entry) for entry in row)


def comes_apart(posts: list[frozenset[Cube]], per_half: int = 1) -> bool:
    """Whether some order of slides by whole cubes, of one post or of two together, parts them."""
    clear = 8 * per_half

    @lru_cache(None)
    def clash(i: int, j: int, by: Cube) -> bool:
        return any(shifted(cube, by) in posts[i] for cube in posts[j])

    seen = {((0, 0, 0), (0, 0, 0))}
    queue = deque(seen)
    while queue:
        second, third = queue.popleft()
        between = (third[0] - second[0], third[1] - second[1], third[2] - second[2])
        if sum(max(map(abs, by)) >= clear for by in (second, third, between)) >= 2:
            return True
        for step, movers in product(STEPS, (1, 2, 3)):
            a = shifted(second, step) if movers & 1 else second
            b = shifted(third, step) if movers & 2 else third
            gap = (b[0] - a[0], b[1] - a[1], b[2] - a[2])
            if (a, b) in seen or max(map(abs, (*a, *b))) > 2 * clear:
                continue
            if not (clash(0, 1, a) or clash(0, 2, b) or clash(1, 2, gap)):
                seen.add((a, b))
                queue.append((a, b))
    return False
