"""The least gap between what moves with the engine and what stands, over the whole movement.

Shifts are exact: what stands is taken with the box of shifts carried round it. Turns are searched (`fit/search.py`).
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import fcl
import numpy as np

from generators.bodies import Body, finer, least_gap, moved
from generators.bodies.sinking import sunk
from generators.fit.enclosed import is_enclosed
from generators.fit.movement import REST, Mounts, Pose
from generators.fit.record import Meeting, Nearest
from generators.fit.search import FAR_MM, Least, least_turn
from generators.fit.swollen import Swollen, swollen
from generators.fit.triangles import apart
from generators.sheet.frames import Frame

FINER_ROUNDS = 8
"""How often the two bodies that are nearest are meshed finer before what is left of their sagitta is left."""

MOST_FINE = 64
"""So many finer meshes are kept."""

MOST_MET = 40
"""Poses at which it is asked how deep bodies sink into each other."""

LEAST_STEP_MM = 0.25
"""Where bodies overlap nobody knows how far they are from being apart: they are moved by this."""


def least_over(moving: Sequence[Body], standing: Sequence[Body], mounts: Mounts, *, around: Sequence[Swollen] | None = None) -> Nearest:
    """The least gap of the bodies `moving` with the engine to those `standing`, both as they lie at rest in the vehicle, over all
    that the mounts allow. `around`: what the standing ones cover as the mounts shift, where that is known already."""
    moving, around = list(moving), list(around if around is not None else swollen(standing, mounts.shifts))
    rest = _at_rest(moving, standing)
    for a in moving:
        for s in around:
            if is_enclosed(a, s.source, mounts.shifts):
                return Nearest(0.0, 0.0, rest, REST, a, np.array([a.vertices[0], a.vertices[0]]))
    fine: set[tuple[int, int]] = set()
    for _ in range(FINER_ROUNDS):
        found = _least(moving, around, mounts)
        wanted = [(0, found.one), (1, found.other)]
        if found.gap <= 0 or found.gap > FAR_MM or all(w in fine or (moving, [s.source for s in around])[w[0]][w[1]].solid is None for w in wanted):
            break
        moving[found.one] = _finer(moving[found.one])
        source = _finer(around[found.other].source)
        if source is not around[found.other].source:
            (around[found.other],) = swollen([source], mounts.shifts)
        fine.update(wanted)
    return _told(found, moving, around, mounts, _at_rest(moving, [s.source for s in around]))


@lru_cache(maxsize=MOST_FINE)
def _as_made(solid, name: str, index: int) -> Body:
    return finer(Body(name, index, np.zeros((0, 3)), np.zeros((0, 3), int), (), solid=solid))


def _finer(of: Body) -> Body:
    """`finer`, remembered: the same pieces are nearest again and again."""
    return of if of.solid is None else moved(_as_made(of.solid, of.name, of.index), turn=of.turn, shift=of.shift)


def _at_rest(moving: Sequence[Body], standing: Sequence[Body]) -> float:
    return least_gap([(a, b) for a in moving for b in standing])[0]


def _least(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts) -> Least:
    """The least gap over the movement, whose it is, and at which turn."""
    bodies = [s.body for s in around]
    value, one, other = least_gap([(a, b) for a in moving for b in bodies])
    start = Least(value, 0.0, REST, _place(moving, one), _place(bodies, other))
    return start if not mounts.turns.any() or value <= 0 else least_turn(moving, bodies, mounts, start)


def _place(bodies: Sequence[Body], body: Body) -> int:
    return next(i for i, b in enumerate(bodies) if b is body)


def _told(found: Least, moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts, rest: float) -> Nearest:
    """What was found, with the points on both bodies and the shift that brings them together."""
    turn, shift = mounts.carried(found.pose)
    there, other = moved(moving[found.one], turn=turn, shift=shift), around[found.other]
    p, q, triangle = points(there, other.body)
    origin = other.origin(triangle, q)
    by = origin - q
    pose = Pose(tuple(map(float, by)), found.pose.roll, found.pose.pitch, found.pose.yaw)
    return Nearest(found.gap, found.slack, max(rest, found.gap), pose, moving[found.one], np.array([p + by, origin]))


def points(a: Body, b: Body) -> tuple[np.ndarray, np.ndarray, int]:
    """The nearest points (3,) of two bodies' triangles, one where they cross, and the number of the second's triangle, by the order
    of its own faces."""
    best = (np.inf, np.zeros(3), np.zeros(3), 0)
    for (tree, bulge), skin in zip(a.colliders, a.skins, strict=True):
        for (other, swell), far in zip(b.colliders, b.skins, strict=True):
            i, j = _ids(tree, other)
            one = skin.vertices[skin.faces[i]] @ a.turn.T + a.shift
            two = far.vertices[far.faces[j]] @ b.turn.T + b.shift
            distance, p, q = (x[0] for x in apart(one[None], two[None]))
            if distance - bulge - swell < best[0]:
                best = (distance - bulge - swell, p, q, int(far.faces[j][0] // 3))
    return best[1:]


def _ids(one: fcl.CollisionObject, other: fcl.CollisionObject) -> tuple[int, int]:
    """The numbers of the triangles that are nearest, or that cross."""
    met = fcl.CollisionResult()
    if fcl.collide(one, other, fcl.CollisionRequest(num_max_contacts=1, enable_contact=True), met):
        return met.contacts[0].b1, met.contacts[0].b2
    near = fcl.DistanceResult()
    fcl.distance(one, other, fcl.DistanceRequest(enable_nearest_points=True), near)
    return near.b1, near.b2


# ---------------------------------------------------------------- how deep they meet


def meeting(moving: Sequence[Body], standing: Sequence[Body], mounts: Mounts, *, also: Pose = REST) -> Meeting | None:
    """How bodies sink into each other at the worst of the extremes of the movement and the pose `also`: no more than MOST_MET of
    them are asked, those first that are farthest from rest. None where they do not overlap at any of them."""
    poses = [REST, also, *sorted(mounts.extremes()[1:], key=lambda p: -_far(p, mounts))][:MOST_MET]
    worst = None
    for pose in poses:
        turn, shift = mounts.carried(pose)
        there = [moved(a, turn=turn, shift=shift) for a in moving]
        pairs = [(a, b) for a in there for b in standing if (np.minimum(a.box[1], b.box[1]) > np.maximum(a.box[0], b.box[0])).all()]
        volume = sum((a.metal ^ b.metal).volume() for a, b in pairs)
        if pairs and (worst is None or volume > worst[0]) and volume > 0:
            worst = (volume, pose, pairs)
    if worst is None:
        return None
    return Meeting(float(worst[0]), max(sunk(a, b) for a, b in worst[2]), worst[1])


def _far(pose: Pose, mounts: Mounts) -> int:
    """How many of the movements are at an end."""
    return sum(bool(x) for x in (*pose.shift, pose.roll, pose.pitch, pose.yaw))


# ---------------------------------------------------------------- near enough to what is wanted


def bounds(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts) -> tuple[float, float]:
    """Two gaps (mm) between which the least over the movement lies: that without any turn, and that less the way which any point may
    go by turning; both 0 where one encloses the other."""
    if any(is_enclosed(a, s.source, mounts.shifts) for a in moving for s in around):
        return 0.0, 0.0
    high = least_gap([(a, s.body) for a in moving for s in around])[0]
    point, most = mounts.about.matrix[:3, 3], float(mounts.turns.sum())
    reach = max(float(np.linalg.norm(b.vertices - point, axis=1).max()) for b in moving) if most else 0.0
    return max(0.0, high - reach * most), high


def is_short(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts, *, wanted: float) -> bool:
    """Whether less than `wanted` mm is left at some pose: the turns are only searched where that is in doubt."""
    low, high = bounds(moving, around, mounts)
    return low < wanted and (high < wanted or _least_over(moving, around, mounts) < wanted)


def _least_over(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts) -> float:
    return least_over(moving, [s.source for s in around], mounts, around=around).gap


def clear_after(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts, *, direction: np.ndarray, wanted: float,
                most: float) -> float | None:
    """The least shift (mm) along the unit vector `direction` (3,) of everything that moves after which it keeps `wanted` mm over the
    movement; None where `most` is not enough. A gap grows by no more than the shift, so that steps of what is missing never pass
    the first place with room enough by more than LEAST_STEP_MM."""
    gone = 0.0
    while gone <= most:
        there, at = shifted(moving, mounts, gone * np.asarray(direction, float))
        low, high = bounds(there, around, at)
        gap = low if low >= wanted else high if high < wanted else _least_over(there, around, at)
        if gap >= wanted:
            return gone
        gone += max(wanted - gap, LEAST_STEP_MM)
    return None


def room_to(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts, *, direction: np.ndarray, wanted: float, most: float) -> float:
    """How far (mm) everything that moves can go along the unit vector `direction` (3,) and keep `wanted` mm over the movement, `most`
    where nothing is in the way; no more than LEAST_STEP_MM less than it could."""
    gone = 0.0
    while gone < most:
        there, at = shifted(moving, mounts, gone * np.asarray(direction, float))
        low, high = bounds(there, around, at)
        in_doubt = low <= wanted + LEAST_STEP_MM < high
        gap = _least_over(there, around, at) if in_doubt else low if low > wanted + LEAST_STEP_MM else high
        if gap <= wanted + LEAST_STEP_MM:
            return gone
        gone += gap - wanted
    return most


def shifted(moving: Sequence[Body], mounts: Mounts, by: np.ndarray) -> tuple[list[Body], Mounts]:
    """What moves shifted by (3,) mm for good, and its mounts, which take the point that it turns about along."""
    matrix = mounts.about.matrix.copy()
    matrix[:3, 3] += by
    return [moved(b, turn=np.eye(3), shift=by) for b in moving], replace(mounts, about=Frame(matrix))
