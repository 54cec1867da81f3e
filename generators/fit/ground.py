"""How low the parts come over the engine's movement. Arithmetic only."""

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from generators.bodies import Body
from generators.fit.movement import REST, Mounts, Pose
from generators.fit.record import Ground

FINE_MM = 0.02
"""What is found is lower than the true lowest point by no more than this."""

MOST_STEPS = 60
"""A turn is looked at in no more steps than this; where they are coarser more than FINE_MM may be taken off."""


def hull(body: Body) -> np.ndarray:
    """The corners (n, 3) mm of a body's convex hull: its lowest point is one of them, however it is turned."""
    try:
        return body.vertices[ConvexHull(body.vertices).vertices]
    except QhullError:  # flat: there is nothing to leave out
        return body.vertices


def turns(mounts: Mounts, reach: float) -> tuple[list[Pose], float]:
    """Turns of the engine on its mounts, its ends among them, and how much lower (mm) a point no farther than `reach` mm from
    where it turns about may come between two of them: its height has no second derivative above `reach`, so that it leaves the
    line between steps h apart by reach h^2 / 8 at most."""
    ways, between = [], 0.0
    for most in mounts.turns:
        steps = min(MOST_STEPS, max(1, int(np.ceil(2 * most / np.sqrt(8 * FINE_MM / (3 * reach)))))) if most else 0
        ways.append(np.linspace(-most, most, steps + 1) if most else [0.0])
        between += reach * (2 * most / steps) ** 2 / 8 if most else 0.0
    return [Pose((0.0, 0.0, 0.0), *map(float, each)) for each in itertools.product(*ways)], between


def lowest(body: Body, mounts: Mounts | None) -> tuple[float, np.ndarray, Pose]:
    """Height (mm) of the lowest point of a body over the movement, never overstated; where it is at rest (3,); and the pose.
    None of `mounts`: it stands still."""
    points = hull(body)
    if mounts is None or mounts.is_rigid:
        low = int(np.argmin(points[:, 2]))
        return float(points[low, 2]) - body.bulge, points[low], REST
    poses, between = turns(mounts, float(np.linalg.norm(points - mounts.about.matrix[:3, 3], axis=1).max()))
    rows, drops = zip(*((turn[2], shift[2]) for turn, shift in map(mounts.carried, poses)), strict=True)
    heights = points @ np.array(rows).T + np.array(drops)
    point, pose = np.unravel_index(int(np.argmin(heights)), heights.shape)
    down, at = float(mounts.shifts[2]), poses[pose]
    return float(heights[point, pose]) - down - between - body.bulge, points[point], Pose((0.0, 0.0, -down), at.roll, at.pitch, at.yaw)


def ground(bodies: Mapping[str, Sequence[Body]], fixed: frozenset[str], mounts: Mounts, *, wanted: float, travel: float) -> Ground | None:
    """The lowest point of all parts, `bodies` by part as they lie at rest; those of `fixed` do not move with the engine. None
    where there are no parts. mm."""
    found = [(*lowest(b, None if part in fixed else mounts), part, b.name) for part, every in bodies.items() for b in every]
    if not found:
        return None
    height, point, pose, part, piece = min(found, key=lambda f: f[0])
    return Ground(height - travel, wanted, travel, part, piece, point, pose)
