"""Triangles in a bounding tree of plain arrays: which of two such skins come near each other. mm."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

LEAF = 4
"""Triangles in a leaf."""

BITS = 10
"""Bits of each coordinate in the order that lays neighbours beside each other."""

MOST_PAIRS = 3_000_000
"""So many pairs of boxes or triangles are looked at at once and no more."""


class TooMany(Exception):
    """More pairs come near than are worth looking at one by one."""


@dataclass(frozen=True, eq=False)
class Tree:
    """Triangles (n, 3, 3) in an order that keeps neighbours together, with the `bulge` (n,) of the surface outside each; the last
    one stands there several times to fill the leaves."""

    triangles: np.ndarray = field(repr=False)
    bulge: np.ndarray = field(repr=False)

    @cached_property
    def levels(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Low and high corners (m, 3) of the boxes of each level, the root first; each has twice as many as the one before."""
        low = self.triangles.min(axis=1).reshape(-1, LEAF, 3).min(axis=1)
        high = self.triangles.max(axis=1).reshape(-1, LEAF, 3).max(axis=1)
        out = [(low, high)]
        while len(low) > 1:
            low, high = np.minimum(low[::2], low[1::2]), np.maximum(high[::2], high[1::2])
            out.append((low, high))
        return out[::-1]

    def moved(self, *, turn: np.ndarray, shift: np.ndarray) -> "Tree":
        """The same tree with its triangles carried by x -> turn x + shift."""
        return replace(self, triangles=self.triangles @ turn.T + shift)


def halves(triangles: np.ndarray) -> np.ndarray:
    """Each triangle (n, 3, 3) cut in half across its longest side, (2 n, 3, 3): all first halves, then all second ones."""
    first = np.argmax(np.linalg.norm(np.roll(triangles, -1, axis=1) - triangles, axis=2), axis=1)
    a, b, c = np.moveaxis(np.take_along_axis(triangles, ((first[:, None] + np.arange(3)) % 3)[:, :, None], axis=1), 1, 0)
    m = (a + b) / 2
    return np.concatenate([np.stack([a, m, c], axis=1), np.stack([m, b, c], axis=1)])


def tree(triangles: np.ndarray, bulge: np.ndarray) -> Tree:
    """The tree over triangles (n, 3, 3), at least one, with their bulges (n,), mm."""
    order = np.argsort(_along(triangles.mean(axis=1)), kind="stable")
    leaves = 1 << max(0, int(np.ceil(np.log2(max(1, len(order) / LEAF)))))
    order = order[np.minimum(np.arange(leaves * LEAF), len(order) - 1)]
    return Tree(triangles[order], bulge[order])


def _along(points: np.ndarray) -> np.ndarray:
    """A number for each point (n, 3) that is near for points that are near: the bits of its coordinates in turn."""
    low, size = points.min(axis=0), np.ptp(points, axis=0).max()
    cells = ((points - low) / max(size, 1e-9) * ((1 << BITS) - 1)).astype(np.int64)
    out = np.zeros(len(points), np.int64)
    for bit in range(BITS):
        for axis in range(3):
            out |= (cells[:, axis] >> bit & 1) << (3 * bit + axis)
    return out


def box_gaps(a: tuple[np.ndarray, np.ndarray], b: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Distances (n,) of boxes given by their low and high corners (n, 3)."""
    return np.linalg.norm(np.maximum(np.maximum(a[0] - b[1], b[0] - a[1]), 0), axis=1)


def plane_gaps(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """How far each of the triangles (n, 3, 3) lies wholly to one side of the other's plane (n,), the more of both: no more than
    they are apart."""
    found = np.zeros(len(one))
    for a, b in ((one, other), (other, one)):
        normal = np.cross(a[:, 1] - a[:, 0], a[:, 2] - a[:, 0])
        size = np.linalg.norm(normal, axis=1)
        heights = np.einsum("nij,nj->ni", b - a[:, :1], normal) / np.where(size > 0, size, 1.0)[:, None]
        found = np.maximum(found, np.maximum(heights.min(axis=1), -heights.max(axis=1)))
    return found


def near_pairs(one: Tree, other: Tree, within: float) -> tuple[np.ndarray, np.ndarray]:
    """Numbers (k,) of the triangles of each tree, by their order in it, whose boxes come within `within` mm. Raises TooMany."""
    i, j = np.zeros(1, int), np.zeros(1, int)
    a = b = 0
    while True:
        boxes_a, boxes_b = one.levels[a], other.levels[b]
        kept = box_gaps((boxes_a[0][i], boxes_a[1][i]), (boxes_b[0][j], boxes_b[1][j])) <= within
        i, j = i[kept], j[kept]
        if a == len(one.levels) - 1 and b == len(other.levels) - 1:
            break
        if a < len(one.levels) - 1:
            i, j, a = np.concatenate([2 * i, 2 * i + 1]), np.tile(j, 2), a + 1
        if b < len(other.levels) - 1:
            i, j, b = np.tile(i, 2), np.concatenate([2 * j, 2 * j + 1]), b + 1
        if len(i) > MOST_PAIRS:
            raise TooMany(f"{len(i)} pairs")
    each = np.arange(LEAF)
    if len(i) * LEAF**2 > MOST_PAIRS * LEAF:
        raise TooMany(f"{len(i)} pairs of leaves")
    p = (LEAF * i[:, None, None] + each[None, :, None] + 0 * each[None, None, :]).reshape(-1)
    q = (LEAF * j[:, None, None] + 0 * each[None, :, None] + each[None, None, :]).reshape(-1)
    ta, tb = one.triangles[p], other.triangles[q]
    kept = box_gaps((ta.min(axis=1), ta.max(axis=1)), (tb.min(axis=1), tb.max(axis=1))) <= within
    p, q = p[kept], q[kept]
    kept = plane_gaps(one.triangles[p], other.triangles[q]) <= within
    return p[kept], q[kept]
