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

import numpy as np

LEAF = 16
"""Triangles in one leaf: one that lies wholly under the plane adds its sums, wholly above nothing; only those that the
plane cuts are looked at triangle by triangle."""

VOLUME_SHARE = 1e-13
"""The surface is found when what lies under it is right to this share of the whole."""

OFFSET_SHARE = 1e-15
"""Or when it is known to this share of the mesh's size: no finer number can be told apart."""

MOST_STEPS = 200
GRID_BITS = 10
"""Bits a coordinate by which triangles are sorted into leaves of neighbours."""


@dataclass(frozen=True, eq=False)
class Skin:
    """A closed mesh made ready: its triangles in leaves of neighbours, about `middle` (3,) mm. `corners` (k, LEAF, 3, 3) mm;
    `areas` (k, LEAF, 3) their area vectors, outwards, mm2 (0 for what fills up the last leaf); `centres`, `halves` (k, 3)
    the leaves' boxes; `sums` (k, 3) and `moments` (k, 3, 3) the sums of area vectors and of area vector times centroid;
    `volume` mm3."""

    middle: np.ndarray
    corners: np.ndarray = field(repr=False)
    areas: np.ndarray = field(repr=False)
    centres: np.ndarray = field(repr=False)
    halves: np.ndarray = field(repr=False)
    sums: np.ndarray = field(repr=False)
    moments: np.ndarray = field(repr=False)
    volume: float

    @property
    def size(self) -> float:
        """Diagonal of the mesh's box, mm."""
        low, high = (self.centres - self.halves).min(axis=0), (self.centres + self.halves).max(axis=0)
        return float(np.linalg.norm(high - low))


def skin(vertices: np.ndarray, faces: np.ndarray) -> Skin:
    """The closed mesh of `vertices` (n, 3) mm and outward `faces` (m, 3), made ready. Raises ValueError where it holds no
    volume: it is open, inverted or flat."""
    vertices = np.asarray(vertices, float)
    middle = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    corners = (vertices - middle)[np.asarray(faces)]
    corners = corners[_by_place(corners.mean(axis=1))]
    corners = np.concatenate([corners, np.repeat(corners[-1:, :1], -len(corners) % LEAF, axis=0).repeat(3, axis=1)])
    areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    leaves = corners.reshape(-1, LEAF * 3, 3)
    low, high = leaves.min(axis=1), leaves.max(axis=1)
    each = np.einsum("ti,tj->tij", areas, corners.mean(axis=1)).reshape(-1, LEAF, 3, 3).sum(axis=1)
    volume = float(np.trace(each.sum(axis=0))) / 3
    if not volume > 0 or np.abs(areas.sum(axis=0)).max() > OPEN_SHARE * np.abs(areas).sum():
        raise ValueError("the mesh of an oil space must be closed and face outwards")
    return Skin(middle, corners.reshape(-1, LEAF, 3, 3), areas.reshape(-1, LEAF, 3), (low + high) / 2, (high - low) / 2,
                areas.reshape(-1, LEAF, 3).sum(axis=1), each, volume)


OPEN_SHARE = 1e-9
"""The area vectors of a closed mesh add up to nothing, to this share of its area."""


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
        middles, reach = space.centres @ up, space.halves @ np.abs(up)
        self.low, self.high = middles - reach, middles + reach
        self.flat, self.lifted = space.sums @ up, (space.moments @ up) @ up

    def below(self, offset: float) -> tuple[float, float]:
        """Volume (mm3) under the plane, and its free area (mm2)."""
        under = self.high <= offset
        cut = np.flatnonzero((self.low < offset) & ~under)
        flat = float(self.flat @ under)
        volume, area = float(self.lifted @ under) - offset * flat, -flat
        if len(cut):
            mean, share = means_below(self.space.corners[cut] @ self.up - offset)
            turned = self.space.areas[cut] @ self.up
            volume, area = volume + float(np.vdot(turned, mean)), area - float(np.vdot(turned, share))
        return volume, area


def means_below(heights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Over triangles on which z is linear with the values `heights` (..., 3) at the corners: the mean of min(z, 0), and the
    share of the area with z < 0; each (...,).

    With one corner below, the part below is a share z1^2 / ((z1 - z2)(z1 - z3)) of the area and its mean z1 / 3; with
    two it is the whole less the same for the corner above."""
    a, b, c = heights[..., 0], heights[..., 1], heights[..., 2]
    small, large = np.minimum(a, b), np.maximum(a, b)
    low, high = np.minimum(small, c), np.maximum(large, c)
    mid = np.maximum(small, np.minimum(large, c))
    two = mid < 0
    lone, other = np.where(two, high, low), np.where(two, low, high)
    span = (lone - mid) * (lone - other)
    tip = np.divide(lone * lone, span, out=np.zeros(span.shape), where=span > 0)
    tip = np.where((low >= 0) | (high <= 0), 0.0, tip)
    whole, part = (low + mid + high) / 3, tip * lone / 3
    full = two | (high <= 0)
    return np.where(full, whole - part, part), np.where(full, 1.0 - tip, tip)


def _directions(ups: np.ndarray) -> np.ndarray:
    ups = np.atleast_2d(np.asarray(ups, float))
    return ups / np.linalg.norm(ups, axis=1)[:, None]


def volumes_below(space: Skin, ups: np.ndarray, offsets: np.ndarray) -> np.ndarray:
    """Volume (n,) mm3 with up . p <= offset for each direction of `ups` (n, 3), of any length, and offset (n,) mm."""
    ups = _directions(ups)
    return np.array([_Along(space, u).below(c - u @ space.middle)[0]
                     for u, c in zip(ups, np.broadcast_to(offsets, len(ups)), strict=True)])


def offsets(space: Skin, ups: np.ndarray, volumes: np.ndarray | float) -> np.ndarray:
    """Offset (n,) mm of the plane square to each of `ups` (n, 3), of any length, with a volume of `volumes` (n,) or one,
    mm3, under it. Raises ValueError for a volume that is not more than nothing and at most the whole."""
    ups = _directions(ups)
    volumes = np.broadcast_to(np.asarray(volumes, float), len(ups))
    if not ((volumes > 0) & (volumes <= space.volume * (1 + VOLUME_SHARE))).all():
        raise ValueError(f"a volume in this space is more than 0 and at most {space.volume:.0f} mm3")
    return np.array([_offset(_Along(space, u), v) + u @ space.middle for u, v in zip(ups, volumes, strict=True)])


def _offset(along: _Along, volume: float) -> float:
    """Newton's steps from the free area, kept between heights that are known to be too low and too high."""
    whole, near = along.space.volume, VOLUME_SHARE * along.space.volume
    low, high = float(along.low.min()), float(along.high.max())
    if volume >= whole - near:
        return float((along.space.corners @ along.up).max())
    here, finest = low + (high - low) * volume / whole, OFFSET_SHARE * (high - low)
    for _ in range(MOST_STEPS):
        held, area = along.below(here)
        if abs(held - volume) <= near:
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
    """What lies under up . p = offset (mm), `up` (3,) of any length. Raises ValueError where nothing does.

    With d = up . p - offset, the fields p d up - up d^2 / 2 have the divergence p and vanish on the plane."""
    up = _directions(up)[0]
    corners = space.corners.reshape(-1, 3, 3)
    d = corners @ up - (offset - up @ space.middle)
    pieces, depths = clipped(corners, d)
    normals = np.cross(pieces[:, 1] - pieces[:, 0], pieces[:, 2] - pieces[:, 0]) / 2
    turned = normals @ up
    volume = float(turned @ depths.mean(axis=1))
    if not volume > 0:
        raise ValueError("nothing lies under this plane")
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
