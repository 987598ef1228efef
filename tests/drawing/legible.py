"""Whether the texts of a drawing can be read: none over another, none off the paper."""

from __future__ import annotations

import numpy as np

from tablekit.drawing.ink import Ink, Label
from tablekit.drawing.style import Paper

TOUCH = 0.05  # mm that two boxes may share


def separated(first: Label, second: Label) -> bool:
    """Whether two texts are clear of one another: along some side of either, all of one lies
    beyond all of the other."""
    boxes = [np.array(label.corners()) for label in (first, second)]
    for a, b in ((boxes[0], boxes[1]), (boxes[1], boxes[0])):
        for side in (a[1] - a[0], a[2] - a[0]):
            way = side / (np.hypot(*side) or 1.0)
            ends = a @ way, b @ way
            if ends[0].max() <= ends[1].min() + TOUCH or ends[1].max() <= ends[0].min() + TOUCH:
                return True
    return False


def overlapping(ink: Ink) -> list[tuple[str, str]]:
    """Pairs of texts that run into one another."""
    labels = [label for label in ink.labels if label.text]
    if not labels:
        return []
    corners = np.array([label.corners() for label in labels])
    low, high = corners.min(axis=1), corners.max(axis=1)
    # Only pairs whose level boxes meet can touch; there are few.
    near = ((low[:, None] < high[None]) & (low[None] < high[:, None])).all(axis=2)
    return [
        (labels[n].text, labels[m].text)
        for n, m in np.argwhere(np.triu(near, 1))
        if not separated(labels[n], labels[m])
    ]


def off_the_paper(ink: Ink, paper: Paper) -> list[str]:
    """Texts that leave the paper."""
    outside = []
    for label in ink.labels:
        xs, ys = zip(*label.corners(), strict=True)
        if min(xs) < 0 or min(ys) < 0 or max(xs) > paper.width or max(ys) > paper.height:
            outside.append(label.text)
    return outside
