"""How deep two bodies sink into each other."""

import manifold3d
import numpy as np
from trimesh.triangles import closest_point

from generators.bodies import Body

NOTHING_MM3 = 1e-6
"""An overlap of less volume is rounding."""

SETTLED_MM, SETTLED_SHARE = 0.005, 0.05
"""The deepest point of a skin is known well enough once its bounds are this near, in mm or as a share of the depth."""

MOST_DISTANCES = 1_000_000
"""Distances of points from triangles that are worked out before the upper bound is taken."""

DIRECTIONS = 400
"""Most face normals along which an overlap's extent is taken."""


def least_extent(points: np.ndarray, normals: np.ndarray) -> float:
    """Least extent of the points (n, 3) along the axes, their own principal axes and the given normals (k, 3), mm.
    No less than the least width of the points' convex hull."""
    principal = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2]
    ways = np.vstack([np.eye(3), principal, normals])
    along = points @ ways.T
    return float(np.ptp(along, axis=0).min())


def distances(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Distance of each of k points (n, k, 3) from each of their own m triangles (n, m, 3, 3), shape (n, k, m)."""
    (n, k, _), m = points.shape, triangles.shape[1]
    each = np.repeat(points, m, axis=1).reshape(-1, 3)
    every = np.tile(triangles, (1, k, 1, 1)).reshape(-1, 3, 3)
    return np.linalg.norm(closest_point(every, each) - each, axis=1).reshape(n, k, m)


def quarters(triangles: np.ndarray) -> np.ndarray:
    """Each triangle (n, 3, 3) cut in four at the middles of its sides, (4 n, 3, 3)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    d, e, f = (a + b) / 2, (b + c) / 2, (c + a) / 2
    return np.concatenate([np.stack(t, axis=1) for t in ((a, d, f), (d, b, e), (f, e, c), (d, e, f))])


def deepest(skin: np.ndarray, under: np.ndarray) -> float:
    """Greatest distance of any point of the triangles `skin` (n, 3, 3) from the triangles `under` (m, 3, 3), mm, never
    understated. The distance from one triangle is convex, so over a facet it is greatest at a corner; facets that may
    hold the greatest are cut in four until the bounds meet."""
    low, settled, spent = 0.0, 0.0, 0
    near = np.tile(np.arange(len(under)), (len(skin), 1))
    while len(skin):
        spent += 3 * near.size
        if spent > MOST_DISTANCES:
            return max(settled, low + float(across(skin).max()))
        found = distances(skin, under[near])
        low = max(low, float(found.min(axis=2).max()))
        high = found.max(axis=1).min(axis=1)
        is_open = high > low * (1 + SETTLED_SHARE) + SETTLED_MM
        settled = max(settled, float(high[~is_open].max(initial=0.0)))
        near = still_near(near[is_open], found[is_open].min(axis=1), high[is_open] + across(skin[is_open]))
        skin, near = quarters(skin[is_open]), np.tile(near, (4, 1))
    return max(low, settled)


def across(triangles: np.ndarray) -> np.ndarray:
    """Longest side of each triangle (n, 3, 3), mm."""
    return np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)


def still_near(near: np.ndarray, apart: np.ndarray, within: np.ndarray) -> np.ndarray:
    """Of the triangles numbered `near` (n, m), as far `apart` (n, m), those that any facet needs: within its own
    limit (n,); as many for each facet as the neediest has, nearest first."""
    most = int((apart <= within[:, None]).sum(axis=1).max(initial=0))
    return np.take_along_axis(near, np.argsort(apart, axis=1)[:, :most], axis=1)


def _skins(overlap: manifold3d.Manifold, source: int) -> tuple[np.ndarray, np.ndarray]:
    """Triangles (n, 3, 3) of an overlap that stem from the body numbered `source`, and those that do not."""
    mesh = overlap.to_mesh64()
    triangles = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    stems = np.zeros(len(triangles), bool)
    runs = np.asarray(mesh.run_index) // 3
    for start, end, origin in zip(runs, runs[1:], np.asarray(mesh.run_original_id)):
        stems[start:end] = origin == source
    return triangles[stems], triangles[~stems]


def _depth(overlap: manifold3d.Manifold, source: int, enough: float) -> float:
    one, other = _skins(overlap, source)
    both = np.concatenate([one, other])
    normals = np.cross(both[:, 1] - both[:, 0], both[:, 2] - both[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    order = np.argsort(-lengths)[:DIRECTIONS]
    order = order[lengths[order] > 0]
    width = least_extent(both.reshape(-1, 3), normals[order] / lengths[order, None])
    if width <= enough or not len(one) or not len(other):
        return width
    return min(width, max(deepest(one, other), deepest(other, one)))


def sunk(a: Body, b: Body, *, enough: float = 0.0) -> float:
    """How deep two bodies sink into each other, mm; 0 where they do not.

    The depth of one overlap is its least extent, or, where less (a sleeve round a bar), the greatest distance of the
    skin of one under the skin of the other. Never understated but for the chords of the meshes. Below `enough` mm
    the least extent alone is taken."""
    if (np.minimum(a.box[1], b.box[1]) <= np.maximum(a.box[0], b.box[0])).any():
        return 0.0
    mine = a.metal.as_original()
    both = mine ^ b.metal.as_original()
    bodies = [body for body in both.decompose() if body.volume() > NOTHING_MM3]
    return max((_depth(body, mine.original_id(), enough) for body in bodies), default=0.0)
