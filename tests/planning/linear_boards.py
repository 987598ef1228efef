"""What any layout of boards takes at least, by an integer programme that HiGHS solves.

Written without the kit. The half circle is parted into bands narrower than any strip, so that on
either side at most one strip begins in each. Within a band the chord is no less than the straight
line between its ends, so that what the programme finds is a bound from below; with fine bands it is
off by some parts in ten thousand. Boards without taper or zones.
"""

from __future__ import annotations

from math import ceil, pi

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix


class Programme:
    """Rows of a linear programme, collected by name of variable."""

    def __init__(self):
        self.of, self.entries, self.low, self.high = {}, [], [], []

    def var(self, *name):
        return self.of.setdefault(name, len(self.of))

    def row(self, terms, low, high):
        self.entries += [(len(self.low), self.var(*name), value) for name, value in terms]
        self.low.append(low)
        self.high.append(high)

    def constraint(self):
        rows, columns, values = zip(*self.entries, strict=True)
        shape = (len(self.low), len(self.of))
        return LinearConstraint(
            csr_matrix((values, (rows, columns)), shape=shape), self.low, self.high
        )


def least_area(boards, radius, *, kerf, waste, edge, kept, outermost, seconds=20.0):
    """(bound in mm², whether it is the optimum of the programme). boards: (width, length), mm."""
    scale = 1000.0  # to metres
    wide = [(width - 2 * edge) / scale for width, _ in boards]
    r, cut = radius / scale, kerf / scale
    count = max(24, ceil(r * pi / 2 / min(wide)))
    halves = [min((length - 2 * waste) / 2 / scale, r) for _, length in boards]
    # Where what may lie changes, a band ends.
    exact = [outermost / scale, *(float(np.sqrt(r**2 - half**2)) for half in halves)]
    edges = np.unique([*(r * np.sin(np.linspace(0, pi / 2, count + 1))), *exact])
    chords = 2 * np.sqrt(np.maximum(r**2 - edges**2, 0.0))
    it = Programme()
    it.row([(("over", b), 1) for b in range(len(boards))], 1, 1)
    reach = [(("over", b), -w) for b, w in enumerate(wide)]
    it.row([(("reach", 0), 1), (("reach", 1), 1), *reach], 0, 0)
    for side in (0, 1):
        so_far = [(("reach", side), 1.0)]
        for m in range(len(edges) - 1):
            if edges[m] >= outermost / scale:
                break
            drop = chords[m] - chords[m + 1]
            slope = drop / (edges[m + 1] - edges[m])
            it.row(so_far, edges[m], np.inf)
            here = [(("strip", b, m, side), 1) for b in range(len(boards))]
            it.row(here, 0, 1)
            more = [(("more", b, m, side), 1) for b in range(len(boards))]
            begins = [(name, slope * value) for name, value in so_far]
            none = [(name, -drop) for name, _ in here]
            it.row([*more, *begins, *none], slope * edges[m + 1] - drop, np.inf)
            for (strip, _), (extra, _) in zip(here, more, strict=True):
                it.row([(extra, 1), (strip, -drop)], -np.inf, 0)
            so_far = so_far + [(("strip", b, m, side), w) for b, w in enumerate(wide)]
        it.row(so_far, r, np.inf)
    _boards(it, boards, chords, cut, waste / scale, kept / scale, 2 * r, scale)
    found = milp(
        [1.0 if name[0] == "cost" else 0.0 for name in it.of],
        integrality=[name[0] in ("over", "strip", "used", "whole") for name in it.of],
        bounds=Bounds(0, [np.inf if name[0] in ("cost", "reach") else 1.0 for name in it.of]),
        constraints=it.constraint(), options={"time_limit": seconds, "mip_rel_gap": 1e-5},
    )  # fmt: skip
    return (found.mip_dual_bound or 0.0) * scale**2, found.status == 0


def _boards(it, boards, chords, cut, waste, kept, across, scale):
    for b, (width, length) in enumerate(boards):
        width, length = width / scale, length / scale
        takes = [(("over", b), across + cut)]
        for name in list(it.of):
            if name[0] == "strip" and name[1] == b:
                takes += [(name, chords[name[2] + 1] + cut), (("more", *name[1:]), 1.0)]
                it.row([(name, 1), (("used", b), -1)], -np.inf, 0)
        it.row([(("over", b), 1), (("used", b), -1)], -np.inf, 0)
        it.row([(("whole", b), 1), (("used", b), -1)], -np.inf, 0)
        back, most = max(length - waste - kept, 0.0), length - 2 * waste + cut
        it.row([*takes, (("used", b), -back), (("whole", b), back - most)], -np.inf, 0)
        area = [(name, -width * value) for name, value in takes]
        it.row([(("cost", b), 1), (("used", b), -width * waste), *area], 0, np.inf)
        it.row([(("cost", b), 1), (("whole", b), -width * length)], 0, np.inf)
