"""How far triangles are apart, many pairs at once. Arithmetic only; mm."""

import numpy as np
from trimesh.triangles import closest_point

SIDES = ((0, 1), (1, 2), (2, 0))
NOTHING = 1e-30
"""Squares of lengths below this are no lengths."""

CHUNK = 60_000
"""Pairs that are worked out at once: more would only fill the memory."""


def apart(one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Distance (n,) of each pair of triangles (n, 3, 3), 0 where they cross, and the nearest points (n, 3) on each."""
    chunks = [_apart(one[i:i + CHUNK], other[i:i + CHUNK]) for i in range(0, len(one), CHUNK)]
    if not chunks:
        return np.zeros(0), np.zeros((0, 3)), np.zeros((0, 3))
    return tuple(np.concatenate(parts) for parts in zip(*chunks, strict=True))


def _apart(one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    best = np.full(len(one), np.inf)
    p, q = np.zeros((len(one), 3)), np.zeros((len(one), 3))

    def take(on_one: np.ndarray, on_other: np.ndarray) -> None:
        found = np.einsum("ij,ij->i", on_one - on_other, on_one - on_other)
        nearer = found < best
        best[nearer], p[nearer], q[nearer] = found[nearer], on_one[nearer], on_other[nearer]

    for i in range(3):
        take(one[:, i], closest_point(other, one[:, i]))
        take(closest_point(one, other[:, i]), other[:, i])
    for a, b in SIDES:
        for c, d in SIDES:
            take(*between_segments(one[:, a], one[:, b], other[:, c], other[:, d]))
    may = np.flatnonzero((one.min(axis=1) <= other.max(axis=1)).all(axis=1) & (other.min(axis=1) <= one.max(axis=1)).all(axis=1))
    for a, b in SIDES if len(may) else ():
        one_, other_ = one[may], other[may]
        for through, at in (crossing(one_[:, a], one_[:, b], other_), crossing(other_[:, a], other_[:, b], one_)):
            best[may[through]], p[may[through]], q[may[through]] = 0.0, at[through], at[through]
    return np.sqrt(best), p, q


def between_segments(a: np.ndarray, b: np.ndarray, c: np.ndarray, d: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The nearest points (n, 3) of the segments from a to b and from c to d, each (n, 3)."""
    u, v, w = b - a, d - c, a - c
    uu, vv, uv = (np.einsum("ij,ij->i", x, y) for x, y in ((u, u), (v, v), (u, v)))
    uw, vw = np.einsum("ij,ij->i", u, w), np.einsum("ij,ij->i", v, w)
    across = uu * vv - uv * uv
    s = np.clip(np.where(across > NOTHING, (uv * vw - vv * uw) / np.maximum(across, NOTHING), 0.0), 0, 1)
    t = np.clip((uv * s + vw) / np.maximum(vv, NOTHING), 0, 1)
    s = np.clip((uv * t - uw) / np.maximum(uu, NOTHING), 0, 1)
    return a + s[:, None] * u, c + t[:, None] * v


def crossing(a: np.ndarray, b: np.ndarray, triangles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Whether each segment from a to b (n, 3) goes through its triangle (n, 3, 3), and where (n, 3)."""
    p, q, r = np.moveaxis(triangles, 1, 0)
    normal = np.cross(q - p, r - p)
    before, behind = np.einsum("ij,ij->i", normal, a - p), np.einsum("ij,ij->i", normal, b - p)
    through = (before * behind < 0) & (np.einsum("ij,ij->i", normal, normal) > NOTHING)
    share = before / np.where(through, before - behind, 1.0)
    at = a + np.clip(share, 0, 1)[:, None] * (b - a)
    for x, y in ((p, q), (q, r), (r, p)):
        through &= np.einsum("ij,ij->i", np.cross(y - x, at - x), normal) >= 0
    return through, at
