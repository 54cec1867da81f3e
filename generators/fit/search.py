"""The turn at which bodies that turn with the engine come nearest to what stands, by branch and bound.

The box of turns is divided until a bound on how much nearer any two triangles may come within a part of it is small enough. In a
wide part no point moves farther than r times the part's half widths together. In a small one the bound of a pair of triangles,
along the fixed direction n that joins their nearest points at the part's middle: a vertex at r (mm) from the turning point comes
nearer by sum_i d_i |n . (axis_i x r)| + |r| (sum_i d_i)^2 / 2 at most, where d_i is half the part's width about axis i and axis_i
that axis as the middle turns it; for the second derivatives of a product of turns about fixed axes are not longer than r.
"""

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from generators.bodies import Body, box_gap, least_gap, moved
from generators.fit.movement import Mounts, Pose
from generators.fit.tree import TooMany, Tree, halves, near_pairs, tree
from generators.fit.triangles import apart
from generators.vehicle import turn

SURE_MM, FAR_MM, FAR_SHARE = 0.025, 30.0, 0.02
"""The search ends when the least gap is known as well as this; of what is beyond FAR_MM no better than this share need be known."""

MOST_PARTS = 3000
"""Parts of the box of turns that are looked at before the search gives up and says how well it knows."""

HALVINGS, MOST_LOOSE = 10, 20_000
"""How often triangles are halved whose bound is loose only because they are large, and no more of them than that."""

WIDE_MM = 2.0
"""In a part in which a point may move farther triangles are not looked at one by one."""


@dataclass(frozen=True)
class Least:
    """The least gap (mm), how much more it may be, the turn at which it is found, and the numbers of the two bodies that have it."""

    gap: float
    slack: float
    pose: Pose
    one: int
    other: int


@dataclass(frozen=True, eq=False)
class _Case:
    """What is searched: bodies that turn about the axes of `mounts`, and those that stand; as bodies and as trees."""

    moving: Sequence[Body] = field(repr=False)
    standing: Sequence[Body] = field(repr=False)
    mounts: Mounts
    skins: Tree = field(repr=False)
    around: Tree = field(repr=False)
    numbers: tuple[Sequence[int], Sequence[int]] = field(repr=False)

    @property
    def point(self) -> np.ndarray:
        """What the engine turns about, (3,) mm."""
        return self.mounts.about.matrix[:3, 3]

    def there(self, angles: np.ndarray) -> list[Body]:
        """The bodies that move, turned by roll, pitch and yaw, rad (3,)."""
        turned, shift = self.mounts.carried(Pose((0.0, 0.0, 0.0), *map(float, angles)))
        return [moved(b, turn=turned, shift=shift) for b in self.moving]

    def gap(self, angles: np.ndarray, beyond: float) -> Least | None:
        """The gap at one turn where it is less than `beyond` (mm)."""
        there = self.there(angles)
        value, one, other = least_gap([(a, b) for a in there for b in self.standing], beyond=beyond)
        if one is None:
            return None
        i, j = (next(k for k, b in enumerate(bodies) if b is found) for bodies, found in ((there, one), (self.standing, other)))
        return Least(value, 0.0, Pose((0.0, 0.0, 0.0), *map(float, angles)), self.numbers[0][i], self.numbers[1][j])


def least_turn(moving: Sequence[Body], standing: Sequence[Body], mounts: Mounts, start: Least, *, is_rough: bool = False) -> Least:
    """The least gap of the bodies `moving` to those `standing` over all turns that `mounts` allow; `start` is what is found at
    one of them. What is told is never more than the true one; where `is_rough` it is only the least at the ends of the turns."""
    near = _near(moving, standing, mounts, start.gap)
    if not near[0]:
        return start
    mine, others = ([bodies[i] for i in chosen] for bodies, chosen in zip((moving, standing), near, strict=True))
    case = _Case(mine, others, mounts, _tree(mine), _tree(others), near)
    best = start
    for ends in itertools.product(*((-m, m) if m else (0.0,) for m in mounts.turns)):
        best = case.gap(np.array(ends), best.gap) or best
    return best if is_rough else _searched(case, best)


def _near(moving: Sequence[Body], standing: Sequence[Body], mounts: Mounts, gap: float) -> tuple[list[int], list[int]]:
    """Which bodies may come as near as `gap` (mm) at any turn."""
    point, most = mounts.about.matrix[:3, 3], float(mounts.turns.sum())
    reaches = [most * np.linalg.norm(b.vertices - point, axis=1).max() for b in moving]
    pairs = [(i, j) for i, a in enumerate(moving) for j, b in enumerate(standing) if box_gap(a, b) - a.bulge - b.bulge - reaches[i] < gap]
    return sorted({i for i, _ in pairs}), sorted({j for _, j in pairs})


def _tree(bodies: Sequence[Body]) -> Tree:
    triangles = [s.vertices[s.faces] @ b.turn.T + b.shift for b in bodies for s in b.skins]
    bulge = [np.full(len(s.faces), s.bulge) for b in bodies for s in b.skins]
    return tree(np.concatenate(triangles), np.concatenate(bulge))


def low_enough(gap: float) -> float:
    """What bounds must reach (mm) for a gap (mm) to be known well enough."""
    return gap - SURE_MM - FAR_SHARE * max(0.0, gap - FAR_MM)


def _searched(case: _Case, best: Least) -> Least:
    """Parts of the box of turns, the least sure first, halved until none may hold a gap that is less by more than is wanted."""
    whole = (0.0, 0, np.zeros(3), case.mounts.turns.astype(float))
    heap, count = [whole], itertools.count(1)
    looked = 0
    while heap and heap[0][0] < low_enough(best.gap) and looked < MOST_PARTS and best.gap > 0:
        _, _, middle, half = heapq.heappop(heap)
        axis = int(np.argmax(half))
        for side in (-1, 1):
            centre, width = middle.copy(), half.copy()
            width[axis] /= 2
            centre[axis] += side * width[axis]
            bound, best = _bound(case, centre, width, best)
            looked += 1
            if bound < low_enough(best.gap):
                heapq.heappush(heap, (bound, next(count), centre, width))
    low = min(best.gap, heap[0][0] if heap else math.inf)
    told = max(0.0, min(low, low_enough(best.gap))) if best.gap > 0 else 0.0
    return Least(told, best.gap - told, best.pose, best.one, best.other)


def _bound(case: _Case, centre: np.ndarray, half: np.ndarray, best: Least) -> tuple[float, Least]:
    """A bound (mm) below every gap in a part of the box of turns, and the best that is known after looking at it."""
    turned, shift = case.mounts.carried(Pose((0.0, 0.0, 0.0), *map(float, centre)))
    reach = float(np.linalg.norm(case.skins.triangles - case.point, axis=2).max())
    way = reach * float(half.sum())
    if way > min(WIDE_MM, best.gap):
        return _wide(case, centre, way, best)
    if best.gap - way > low_enough(best.gap):
        return _wide(case, centre, way, best)
    skins = case.skins.moved(turn=turned, shift=shift)
    swell = float(case.skins.bulge.max()) + float(case.around.bulge.max())
    try:
        i, j = near_pairs(skins, case.around, best.gap + way + swell)
    except TooMany:
        return _wide(case, centre, way, best)
    if not len(i):
        return best.gap, best
    pairs = _Pairs.of(case, centre, half, skins.triangles[i], case.around.triangles[j], skins.bulge[i] + case.around.bulge[j], low_enough(best.gap))
    if pairs.gaps.min() < best.gap:
        best = case.gap(centre, best.gap) or best
    if best.gap <= 0 or pairs.gaps.min() <= 0:
        return 0.0, best
    low, bound = low_enough(best.gap), math.inf
    for _ in range(HALVINGS):
        is_loose = (pairs.bounds < low) & (pairs.at_points >= low)
        if not is_loose.any() or (pairs.bounds[~is_loose] < low).any() or is_loose.sum() > MOST_LOOSE:
            break
        bound = min(bound, float(pairs.bounds[~is_loose].min(initial=math.inf)))
        pairs = _Pairs.of(case, centre, half, *_halved(pairs, is_loose), low)
    bound = min(bound, float(pairs.bounds.min()))
    if bound < low:
        best = case.gap(centre - half * np.sign(pairs.moments[int(np.argmin(pairs.bounds))]), best.gap) or best
    return bound, best


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of triangles (k, 3, 3) with their `bulges` (k,) at the middle of a part: `gaps` (k,) there, `bounds` (k,) over all of the
    part, `at_points` (k,) what the bounds would be were the triangles no larger than their nearest points, and the `moments`
    (k, 3) that tell which way about each axis brings those points nearer. mm."""

    one: np.ndarray
    other: np.ndarray
    bulges: np.ndarray
    gaps: np.ndarray
    bounds: np.ndarray
    at_points: np.ndarray
    moments: np.ndarray

    @classmethod
    def of(cls, case: _Case, centre: np.ndarray, half: np.ndarray, one: np.ndarray, other: np.ndarray, bulges: np.ndarray,
           limit: float) -> "_Pairs":
        """The pairs in the part of the box of turns round `centre` with half widths `half` (3,) rad; those left out whose bound is
        no less than `limit`, mm."""
        distance, p, q = apart(one, other)
        gaps = distance - bulges
        reach = float(np.linalg.norm(one - case.point, axis=2).max())
        may = gaps < max(float(gaps.min()), limit + reach * float(half.sum()))
        may[int(np.argmin(gaps))] = True
        one, other, bulges, gaps, distance, p, q = (x[may] for x in (one, other, bulges, gaps, distance, p, q))
        n = (p - q) / np.where(distance > 0, distance, 1.0)[:, None]
        arms = np.concatenate([one, p[:, None]], axis=1) - case.point
        moments = np.cross(arms, n[:, None]) @ _axes(case.mounts, centre)
        nearer = np.abs(moments) @ half + np.linalg.norm(arms, axis=2) * half.sum() ** 2 / 2
        ahead = np.einsum("kvi,ki->kv", one - p[:, None], n)
        return cls(one, other, bulges, gaps, gaps + (ahead - nearer[:, :3]).min(axis=1), gaps - nearer[:, 3], moments[:, 3])


def _halved(pairs: _Pairs, chosen: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The chosen (k,) pairs as two each, the first triangle cut in half, with their bulges."""
    return halves(pairs.one[chosen]), np.tile(pairs.other[chosen], (2, 1, 1)), np.tile(pairs.bulges[chosen], 2)


def _wide(case: _Case, centre: np.ndarray, way: float, best: Least) -> tuple[float, Least]:
    """The bound of a wide part: the gap at its middle less the way that any point can go."""
    found = case.gap(centre, best.gap + way)
    if found is None:
        return best.gap, best
    return found.gap - way, found if found.gap < best.gap else best


def _axes(mounts: Mounts, angles: np.ndarray) -> np.ndarray:
    """The axes about which roll, pitch and yaw go on from a turn (rad), as columns (3, 3) in the vehicle's frame."""
    own = np.column_stack([turn(roll=0, pitch=angles[1], yaw=angles[2])[:, 0], turn(roll=0, pitch=0, yaw=angles[2])[:, 1], (0, 0, 1)])
    return mounts.about.matrix[:3, :3] @ own
