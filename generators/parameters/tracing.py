"""Whether a traced outline is one a part can be made from: plain arithmetic on its sides."""

import itertools
import math

import numpy as np

from generators.outlines import COINCIDENT_MM, Loop, crosses_itself, flattened, signed_area

LEAST_AREA_MM2 = 100.0
"""An outline of less is a line, not a rail."""


MOST_CORNERS = 2000
"""More corners than this are scanned dust, not an outline that anyone measured."""


def clean(corners) -> tuple[tuple[float, float], ...]:
    """The corners (mm) less a last one that only closes the loop.

    Raises ValueError for fewer than three corners or two neighbours at one place."""
    if len(corners) > 1 and math.dist(corners[0], corners[-1]) <= COINCIDENT_MM:
        corners = corners[:-1]
    if len(corners) > MOST_CORNERS:
        raise ValueError(f"has {len(corners)} corners, more than {MOST_CORNERS}: give the corners of the edge only")
    if len(corners) < 3:
        raise ValueError(f"has {len(corners)} corner{'s' * (len(corners) != 1)}: an outline needs three or more")
    for i, (a, b) in enumerate(itertools.pairwise(corners), start=1):
        if math.dist(a, b) <= COINCIDENT_MM:
            raise ValueError(f"has points {i} and {i + 1} at the same place ({a[0]:g}, {a[1]:g} mm): leave one out")
    return tuple(corners)


def trace_problems(loop: Loop) -> list[str]:
    """What is wrong with a loop that is to bound an area; empty where nothing is."""
    crossing = crossing_sides(loop) if crosses_itself(loop) else None
    if crossing is not None:
        (i, j), (x, y) = crossing
        sides = f"between side {i} ({_side(loop, i)}) and side {j} ({_side(loop, j)})"
        return [
            f"crosses or touches itself near x = {x:.1f} mm, y = {y:.1f} mm, {sides}: give the points in order along it"
        ]
    if abs(signed_area(loop)) < LEAST_AREA_MM2:
        return [f"encloses only {abs(signed_area(loop)):.1f} mm^2: is the unit right?"]
    return []


def _side(loop: Loop, number: int) -> str:
    n = len(loop.vertices)
    (x0, y0, _), (x1, y1, _) = loop.vertices[number - 1], loop.vertices[number % n]
    return f"{x0:g}, {y0:g} to {x1:g}, {y1:g} mm"


def crossing_sides(loop: Loop) -> tuple[tuple[int, int], tuple[float, float]] | None:
    """The first two sides (counted from 1) that cross, touch or fold back, and where (mm); None for a simple loop."""
    corners = flattened(loop)
    sides = _side_numbers(loop, len(corners), corners)
    starts, ends = corners, np.roll(corners, -1, axis=0)
    n = len(corners)
    for i in range(n):
        folded = _folds_back(starts[i], ends[i], ends[(i + 1) % n])
        if folded:
            return (int(sides[i]), int(sides[(i + 1) % n])), tuple(map(float, ends[i]))
        others = np.arange(i + 2, n if i else n - 1)
        hits = others[_meet(starts[i], ends[i], starts[others], ends[others])]
        if hits.size:
            j = int(hits[0])
            return (int(sides[i]), int(sides[j])), _meeting(starts[i], ends[i], starts[j], ends[j])
    return None


def _side_numbers(loop: Loop, count: int, corners: np.ndarray) -> np.ndarray:
    """The side of `loop` (from 1) that each edge of its polygon belongs to, shape (count,)."""
    is_corner = np.zeros(count, dtype=bool)
    at = 0
    for x, y, _ in loop.vertices:
        while not np.array_equal(corners[at], (x, y)):
            at += 1
        is_corner[at] = True
        at += 1
    return np.cumsum(is_corner)


def _cross(a, b):
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _folds_back(a, b, c) -> bool:
    """Whether the side b -> c lies back along a -> b."""
    one, two = b - a, c - b
    size = np.linalg.norm(one) * np.linalg.norm(two)
    return bool(abs(_cross(one, two)) <= COINCIDENT_MM * np.sqrt(size) and one @ two < 0)


def _meet(a, b, c, d) -> np.ndarray:
    """Whether the segment a-b meets each segment c-d, touching counted; shape (m,)."""
    one, two = _cross(b - a, c - a), _cross(b - a, d - a)
    three, four = _cross(d - c, a - c), _cross(d - c, b - c)
    low_ab, high_ab = np.minimum(a, b) - COINCIDENT_MM, np.maximum(a, b) + COINCIDENT_MM
    near = np.all((np.maximum(c, d) >= low_ab) & (np.minimum(c, d) <= high_ab), axis=1)
    return near & (one * two <= 0) & (three * four <= 0)


def _meeting(a, b, c, d) -> tuple[float, float]:
    turn = _cross(b - a, d - c)
    at = (c + d) / 2 if turn == 0 else a + (b - a) * _cross(c - a, d - c) / turn
    return float(at[0]), float(at[1])
