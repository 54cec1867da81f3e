"""The plane to which a volume of oil fills a closed mesh, for any direction of weight and acceleration together. mm.

             up
              ^      ,'          The oil is all of the mesh with up . p <= offset. The divergence theorem with its reference
       .-----/----,-'----.       point on that plane needs no cap over the cut:
       |    / ,.-'~~~~~~~|
       |   ,-'~~~~~~~~~~~|         V = sum over triangles (up . S) * mean over the triangle of min(up . p - offset, 0)
       |.-'~~~~~~~~~~~~~~|
       '-----------------'       and the free area, dV / d offset, falls out of the same sum. Level faces and corners in the
                                 plane are no special cases: where the distance is 0 nothing is added.
"""

import math
from dataclasses import dataclass, field
from statistics import NormalDist

import numpy as np

LEAF = 8
"""Triangles in one leaf: one that lies wholly under the plane adds its sums, wholly above nothing; only those that the
plane cuts are looked at triangle by triangle."""

GRID_BITS = 10
"""Bits a coordinate by which triangles are sorted into leaves of neighbours."""

FULL_SHARE = 1e-14
"""A volume within this share of the whole is the whole: two ways to add up one volume differ by as much."""

VOLUME_SHARE = 1e-15
"""The surface is found when what lies under it is right to this share of itself,"""

OFFSET_SHARE = 1e-14
"""or when the next step would be no longer than this share of the mesh's height: rounding is not much less."""

MOST_STEPS = 200
BELL = NormalDist()

LEVEL_SHARE = 1e-12
"""A corner as near to the plane as this share of the mesh's size lies in it: rounding must not wet half a roof."""


@dataclass(frozen=True, eq=False)
class Skin:
    """A closed mesh made ready: its triangles in k leaves of neighbours, about `middle` (3,) mm. `triangles` (4, k, LEAF, 3):
    three corners, mm, and the area vector, outwards, mm2 (0 for what fills up the last leaf). For each leaf the middle and
    half breadths of its box, `centres` and `halves` (k, 3) mm, and the sums of its area vectors, `sums` (k, 3) mm2, and of
    area vector times centroid from the box's middle, `moments` (k, 3, 3) mm3. `volume` mm3 of the whole, its `centre` (3,) mm from
    `middle`, and `spread` (3, 3) mm2: up . spread up is the mean square of its points' distances from there along up."""

    middle: np.ndarray
    triangles: np.ndarray = field(repr=False)
    centres: np.ndarray = field(repr=False)
    halves: np.ndarray = field(repr=False)
    sums: np.ndarray = field(repr=False)
    moments: np.ndarray = field(repr=False)
    volume: float
    centre: np.ndarray = field(repr=False)
    spread: np.ndarray = field(repr=False)

    @property
    def size(self) -> float:
        """Diagonal of the mesh's box, mm."""
        low, high = (self.centres - self.halves).min(axis=0), (self.centres + self.halves).max(axis=0)
        return float(np.linalg.norm(high - low))

    def holds(self, volume: np.ndarray | float) -> np.ndarray:
        """Whether each volume, mm3, is more than nothing and not more than the whole."""
        return (np.asarray(volume) > 0) & (np.asarray(volume) <= self.volume * (1 + FULL_SHARE))


def skin(vertices: np.ndarray, faces: np.ndarray, *, shares: np.ndarray | None = None) -> Skin:
    """The closed mesh of `vertices` (n, 3) mm and outward `faces` (m, 3), neighbours with the same vertices, made ready. Of
    several closed bodies in it each face may count for the share (m,) of its body that is free; `body_below` knows none.
    Raises ValueError where it is open, inverted, flat or empty."""
    vertices, faces = np.asarray(vertices, float), np.asarray(faces, np.int64)
    if not (is_closed(faces) and np.isfinite(vertices).all()):
        raise ValueError("the mesh of an oil space must be closed: join its vertices and fill its holes")
    corners = vertices[faces]
    middle = (corners.min(axis=(0, 1)) + corners.max(axis=(0, 1))) / 2
    order = _by_place(corners.mean(axis=1))
    corners = (corners - middle)[order]
    corners = np.concatenate([corners, np.broadcast_to(corners[-1, 0], (-len(corners) % LEAF, 3, 3))])
    corners = np.ascontiguousarray(np.moveaxis(corners, 1, 0)).reshape(3, -1, LEAF, 3)
    areas = np.cross(corners[1] - corners[0], corners[2] - corners[0]) / 2
    if shares is not None:
        counted = np.ones(areas.shape[0] * LEAF)
        counted[:len(order)] = np.asarray(shares, float)[order]
        areas = areas * counted.reshape(-1, LEAF, 1)
    low, high = corners.min(axis=(0, 2)), corners.max(axis=(0, 2))
    centres = (low + high) / 2
    moments = np.swapaxes(areas, 1, 2) @ (corners.mean(axis=0) - centres[:, None])
    triangles = np.concatenate([corners, areas[None]])
    return Skin(middle, triangles, centres, (high - low) / 2, areas.sum(axis=1), moments, *_solid(triangles.reshape(4, -1, 3)))


def _solid(triangles: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Volume, centre and spread: sums over the tetrahedra that the triangles (4, n, 3) make with the origin."""
    *corners, areas = triangles
    along = sum(corners)
    volumes = np.einsum("ni,ni->n", along, areas) / 9
    volume = float(volumes.sum())
    if not volume > 0:
        raise ValueError(f"the mesh of an oil space must face outwards: it holds {volume:.6g} mm3; turn its faces")
    centre = volumes @ along / 4 / volume
    squares = sum(p.T @ (p * volumes[:, None]) for p in (*corners, along)) / 20
    return volume, centre, squares / volume - np.outer(centre, centre)


def is_closed(faces: np.ndarray) -> bool:
    """Whether each edge of `faces` (m, 3) is walked as often one way as the other."""
    start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    count = faces.max(initial=0) + 1
    return len(faces) > 0 and np.array_equal(np.sort(start * count + end), np.sort(end * count + start))


def _by_place(points: np.ndarray) -> np.ndarray:
    """Order of points (n, 3) along a curve that keeps neighbours together: the bits of their cells, interleaved."""
    low, span = points.min(axis=0), np.ptp(points, axis=0).max()
    cells = ((points - low) / (span or 1.0) * (2**GRID_BITS - 1)).astype(np.int64)
    keys = sum(((cells[:, axis] >> bit) & 1) << (3 * bit + axis) for bit in range(GRID_BITS) for axis in range(3))
    return np.argsort(keys, kind="stable")


class _Along:
    """The skin seen along one direction: heights of its leaves, and of the triangles in those that a plane cuts."""

    def __init__(self, space: Skin, up: np.ndarray):
        self.space, self.up = space, up
        self.middles, reach = space.centres @ up, space.halves @ np.abs(up)
        self.low, self.high = self.middles - reach, self.middles + reach
        self.floor, self.roof = float(self.low.min()), float(self.high.max())
        self.flat, self.lifted = space.sums @ up, (space.moments.reshape(-1, 3) @ up).reshape(-1, 3) @ up

    def below(self, offset: float) -> tuple[float, float]:
        """Volume (mm3) under the plane, and its free area (mm2)."""
        reached = self.low < offset
        under = reached & (self.high <= offset)
        cut = np.flatnonzero(reached ^ under)
        a, b, c, turned = (self.space.triangles.take(cut, axis=1).reshape(-1, 3) @ self.up).reshape(4, -1)
        mean, share = means_below(a - offset, b - offset, c - offset)
        volume = (self.lifted + self.flat * (self.middles - offset)) @ under + turned @ mean
        return float(volume), -float(self.flat @ under + turned @ share)


def means_below(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Over triangles on which z is linear with the values `a`, `b`, `c` (n,) at the corners: the mean of min(z, 0), and the
    share of the area with z < 0; each (n,).

    With one corner below, the part below is a share z1^2 / ((z1 - z2)(z1 - z3)) of the area and its mean z1 / 3; with
    two it is the whole less the same for the corner above."""
    small, large = np.minimum(a, b), np.maximum(a, b)
    low, high = np.minimum(small, c), np.maximum(large, c)
    mid = np.maximum(small, np.minimum(large, c))
    is_two = mid < 0
    lone, far = np.where(is_two, np.maximum(high, 0), np.minimum(low, 0)), np.where(is_two, low, high)
    span = (lone - mid) * (lone - far)
    tip = np.divide(lone * lone, span, out=np.zeros(span.shape), where=span > 0)
    part = tip * lone / 3
    return np.where(is_two, (low + mid + high) / 3 - part, part), np.where(is_two, 1 - tip, tip)


def _directions(ups: np.ndarray) -> np.ndarray:
    """Of length 1. Raises ValueError for one that has none."""
    ups = np.atleast_2d(np.asarray(ups, float))
    largest = np.abs(ups).max(axis=1, keepdims=True)
    wrong = np.flatnonzero(~(largest > 0) | ~np.isfinite(largest))
    if len(wrong):
        raise ValueError(f"direction {wrong[0]} is {ups[wrong[0]].tolist()}: give three finite numbers, not all 0")
    return ups / largest / np.linalg.norm(ups / largest, axis=1, keepdims=True)


def volumes_below(space: Skin, ups: np.ndarray, offsets: np.ndarray | float) -> np.ndarray:
    """Volume (n,) mm3 with up . p <= offset for each direction of `ups` (n, 3), taken at length 1, and offset (n,) or one,
    mm. Raises ValueError for a direction that is none."""
    ups = _directions(ups)
    return np.array([_held(_Along(space, u), c - u @ space.middle)
                     for u, c in zip(ups, np.broadcast_to(offsets, len(ups)), strict=True)])


def _held(along: _Along, offset: float) -> float:
    """Volume (mm3) under a plane that may pass by the mesh, however far."""
    return along.below(np.clip(offset, along.floor, along.roof))[0]


def offsets(space: Skin, ups: np.ndarray, volumes: np.ndarray | float) -> np.ndarray:
    """Offset (n,) mm of the plane square to each of `ups` (n, 3), taken at length 1, with a volume of `volumes` (n,) or one,
    mm3, under it. Raises ValueError for a direction that is none, and a volume that the space does not hold."""
    ups = _directions(ups)
    volumes = np.broadcast_to(np.asarray(volumes, float), len(ups))
    wrong = volumes[~space.holds(volumes)]
    if len(wrong):
        raise ValueError(f"{wrong[0]:.9g} mm3 of oil: this space takes more than 0 and at most {space.volume:.9g} mm3")
    return np.array([_offset(_Along(space, u), v) + u @ space.middle for u, v in zip(ups, volumes, strict=True)])


def _offset(along: _Along, volume: float) -> float:
    """Newton's steps from the free area, kept between heights that are known to be too low and too high. They begin where the
    surface would be if the body's volume lay about its centre as a bell curve does."""
    space, up, low, high = along.space, along.up, along.floor, along.roof
    if volume >= space.volume * (1 - FULL_SHARE):
        return float((space.triangles[:3].reshape(-1, 3) @ up).max())
    deviation = math.sqrt(max(up @ space.spread @ up, 0.0))
    here = min(max(low, space.centre @ up + deviation * BELL.inv_cdf(volume / space.volume)), high)
    finest = OFFSET_SHARE * (high - low)
    for _ in range(MOST_STEPS):
        held, area = along.below(here)
        if abs(held - volume) <= max(VOLUME_SHARE * volume, finest * area):
            break
        low, high = (here, high) if held < volume else (low, here)
        step = here - (held - volume) / area if area > 0 else math.nan
        here = step if low < step < high else (low + high) / 2
        if high - low <= finest:
            break
    return here


# ---------------------------------------------------------------- the oil under a plane


@dataclass(frozen=True)
class Body:
    """The oil under a plane: `volume` mm3, its `centre` (3,) mm, `free` area of its surface and `wetted` area of the mesh
    under it, mm2."""

    volume: float
    centre: np.ndarray
    free: float
    wetted: float


def body_below(space: Skin, up: np.ndarray, offset: float) -> Body:
    """What lies under up . p = offset (mm), `up` (3,) taken at length 1; faces in the plane itself are not wetted. Raises
    ValueError for a direction that is none, and where nothing lies under the plane.

    With d = up . p - offset, the fields p d up - up d^2 / 2 have the divergence p and vanish on the plane."""
    up = _directions(up)[0]
    corners = np.moveaxis(space.triangles[:3], 0, 2).reshape(-1, 3, 3)
    d = corners @ up - (offset - up @ space.middle)
    pieces, depths = clipped(corners, np.where(np.abs(d) <= LEVEL_SHARE * space.size, 0.0, d))
    normals = np.cross(pieces[:, 1] - pieces[:, 0], pieces[:, 2] - pieces[:, 0]) / 2
    turned = normals @ up
    volume = float(turned @ depths.mean(axis=1))
    if not volume > 0:
        raise ValueError(f"nothing of the space lies under the plane at {offset:g} mm")
    sums = depths.sum(axis=1)
    first = (np.einsum("tcx,tc->tx", pieces, depths) + pieces.sum(axis=1) * sums[:, None]) / 12
    second = ((depths**2).sum(axis=1) + sums**2) / 12
    moment = turned @ first - up * float(turned @ second) / 2
    return Body(volume, moment / volume + space.middle, -float(turned.sum()), float(np.linalg.norm(normals, axis=1).sum()))


def clipped(corners: np.ndarray, heights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The parts of triangles (n, 3, 3) with heights (n, 3) at their corners that lie at heights up to 0, as triangles, and
    their heights; turned as before."""
    count = (heights < 0).sum(axis=1)
    out = [(corners[count == 3], heights[count == 3])]
    for n, is_lone_below in ((1, True), (2, False)):
        p, h = corners[count == n], heights[count == n]
        first = np.argmax((h < 0) == is_lone_below, axis=1)
        turn = (first[:, None] + np.arange(3)) % 3
        rows = np.arange(len(p))[:, None]
        (a, b, c), (ha, hb, hc) = np.moveaxis(p[rows, turn], 1, 0), h[rows, turn].T
        ab, ac = (a + (q - a) * (ha / (ha - hq))[:, None] for q, hq in ((b, hb), (c, hc)))
        zero = np.zeros(len(p))
        if is_lone_below:
            out.append((np.stack([a, ab, ac], axis=1), np.stack([ha, zero, zero], axis=1)))
        else:
            out.append((np.stack([ab, b, c], axis=1), np.stack([zero, hb, hc], axis=1)))
            out.append((np.stack([ab, c, ac], axis=1), np.stack([zero, hc, zero], axis=1)))
    return np.concatenate([p for p, _ in out]), np.concatenate([h for _, h in out])
