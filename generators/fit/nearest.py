"""The least gap between what moves with the engine and what stands, over the whole movement.

Shifts are exact: what stands is taken with the box of shifts carried round it. Turns are searched (`fit/search.py`).
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import fcl
import numpy as np
from trimesh.triangles import closest_point

from generators.bodies import Body, finer, least_gap, moved
from generators.bodies.sinking import sunk
from generators.fit.enclosed import is_enclosed
from generators.fit.movement import REST, Mounts, Pose
from generators.fit.record import Meeting, Nearest
from generators.fit.search import FAR_MM, Least, least_turn
from generators.fit.swollen import Swollen, swollen
from generators.fit.triangles import apart
from generators.sheet.frames import Frame

CHORD_MM = 0.008
"""Chord of the finer meshes of what is nearest: twice on each side it is still within what a gap is told to."""

MOST_FINE = 64
"""So many finer meshes are kept."""

LEAST_WAY_MM = 1e-6
"""A movement of less is none."""

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
                return _enclosed(a, s.source, mounts.shifts, rest)
    fine: set[tuple[int, int]] = set()
    if mounts.turns.any():  # what is nearest at the ends is made finer before the turns between them are searched
        _settled(moving, around, mounts, fine, is_rough=True)
    found = _settled(moving, around, mounts, fine, is_rough=False)
    return _told(found, moving, around, mounts, _at_rest(moving, [s.source for s in around]))


def _enclosed(a: Body, b: Body, shifts: np.ndarray, rest: float) -> Nearest:
    """One body wholly in another, or in what that covers: at rest, or shifted as far as its skin is from a point of the first."""
    point, by = a.vertices[0], np.zeros(3)
    if rest > 0:
        triangles = b.vertices[b.faces]
        ways = closest_point(triangles, np.broadcast_to(point, (len(triangles), 3))) - point
        by = ways[np.argmin((np.abs(ways) / np.maximum(shifts, LEAST_WAY_MM)).max(axis=1))]
        by = np.clip(by, -shifts, shifts)
    return Nearest(0.0, 0.0, rest, Pose(tuple(map(float, by))), a, np.array([point + by, point + by]))


def _settled(moving: list[Body], around: list[Swollen], mounts: Mounts, fine: set[tuple[int, int]], *, is_rough: bool) -> Least:
    """The least gap, with the bodies that have it meshed finer, in the lists themselves, as long as they are not yet. `fine`: which of
    them are, (0 or 1 for the list, place in it)."""
    for _ in range(len(moving) + len(around)):  # each round makes one of them finer at least
        found = _least(moving, around, mounts, is_rough=is_rough)
        nearest = (((0, found.one), moving[found.one]), ((1, found.other), around[found.other].source))
        coarse = [key for key, body in nearest if body.solid is not None and key not in fine]
        if not coarse or not 0 < found.gap <= FAR_MM:
            return found
        for key in coarse:
            fine.add(key)
            if key[0] == 0:
                moving[found.one] = _finer(moving[found.one])
            else:
                (around[found.other],) = swollen([_finer(around[found.other].source)], mounts.shifts)
    return _least(moving, around, mounts, is_rough=is_rough)


@lru_cache(maxsize=MOST_FINE)
def _as_made(solid, name: str, index: int) -> Body:
    return finer(Body(name, index, np.zeros((0, 3)), np.zeros((0, 3), int), (), solid=solid), chord=CHORD_MM)


def _finer(of: Body) -> Body:
    """`finer`, remembered: the same pieces are nearest again and again."""
    return of if of.solid is None else moved(_as_made(of.solid, of.name, of.index), turn=of.turn, shift=of.shift)


def _at_rest(moving: Sequence[Body], standing: Sequence[Body]) -> float:
    still = np.zeros(3)
    if any(is_enclosed(a, b, still) for a in moving for b in standing):
        return 0.0
    return least_gap([(a, b) for a in moving for b in standing])[0]


def _least(moving: Sequence[Body], around: Sequence[Swollen], mounts: Mounts, *, is_rough: bool) -> Least:
    """The least gap over the movement, or where `is_rough` over its ends, whose it is, and at which turn."""
    bodies = [s.body for s in around]
    value, one, other = least_gap([(a, b) for a in moving for b in bodies])
    start = Least(value, 0.0, REST, _place(moving, one), _place(bodies, other))
    return start if not mounts.turns.any() or value <= 0 else least_turn(moving, bodies, mounts, start, is_rough=is_rough)


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
    chords = sum(max(b.bulge, CHORD_MM if b.solid is not None else 0.0) for b in (there, other.source))  # what triangles leave off or fill
    return Nearest(found.gap, found.slack + (chords if found.gap > 0 else 0.0), max(rest, found.gap), pose, moving[found.one], np.array([p + by, origin]))


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
    """The least gap on the meshes as they are: a decision needs no finer ones."""
    return _least(moving, around, mounts, is_rough=False).gap


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
