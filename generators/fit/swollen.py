"""What bodies cover when they may be shifted anywhere within a box.

The distance of A, shifted by any t of a box that lies evenly about 0, from B is the distance of A at rest from B with the box
carried round it. The skin of that sum is made of three things: each face of B set at the corner of the box that lies farthest
along the face's normal; along each edge that stands out a side of the box; and at each vertex that is the farthest of its
neighbours along an axis a face of the box. (A general point of the sum's skin has one plane touching both; edges that are
folded in and saddles have none.) More of such pieces than are needed do no harm: all of them lie in the sum.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from generators.bodies import Body, Skin, moved

LEVEL = 1e-12
"""Sine of the angle between faces below which they lie in one plane: what lies between its rim's sweeps is covered without its own."""

TURN_EPS = 1e-6
"""rad. Normals that are nearer than this to being square to an axis count as square, so that rounding leaves nothing out."""


@dataclass(frozen=True, eq=False)
class Swollen:
    """The skin of `source` with a box carried round it: `triangles` (n, 3, 3) mm and the `bulge`
    (n,) of the surface outside each. The point that one of them belongs to lies on the `simplex` (n, 3, 3) of the source (a
    face, an edge, a vertex), `corner` (n, 3) of the box away from it but for the coordinates in which `free` (n, 3)."""

    source: Body
    triangles: np.ndarray = field(repr=False)
    bulge: np.ndarray = field(repr=False)
    simplex: np.ndarray = field(repr=False)
    corner: np.ndarray = field(repr=False)
    free: np.ndarray = field(repr=False)

    def shifted(self, by: np.ndarray) -> "Swollen":
        """The same moved by a shift (3,) mm."""
        source = moved(self.source, turn=np.eye(3), shift=np.asarray(by, float))
        return replace(self, source=source, triangles=self.triangles + by, simplex=self.simplex + by)

    @cached_property
    def body(self) -> Body:
        """The triangles as a body to measure to: a soup, its skin not closed; triangle i has the vertices 3 i, 3 i + 1, 3 i + 2."""
        faces, vertices = np.arange(3 * len(self.triangles)).reshape(-1, 3), self.triangles.reshape(-1, 3)
        skins = tuple(Skin(vertices, faces[chosen], float(self.bulge[chosen].max())) for chosen in (self.bulge == 0, self.bulge > 0) if chosen.any())
        return Body(self.source.name, self.source.index, vertices, faces, skins)

    def origin(self, index: int, point: np.ndarray) -> np.ndarray:
        """The point (3,) of the source that `point` (3,) on triangle `index` stems from."""
        if not self.free[index].any():
            return point - self.corner[index]
        start, end = self.simplex[index, 0], self.simplex[index, 1]
        held = ~self.free[index]
        along = (end - start)[held]
        if not held.any() or along @ along == 0:
            return start
        share = np.clip(((point - self.corner[index] - start)[held] @ along) / (along @ along), 0, 1)
        return start + share * (end - start)


def swollen(standing: Sequence[Body], shifts: np.ndarray) -> tuple[Swollen, ...]:
    """Each body with the box of half sides `shifts` (3,) mm carried round it."""
    return tuple(_swollen(b, np.asarray(shifts, float)) for b in standing)


def _swollen(of: Body, shifts: np.ndarray) -> Swollen:
    faces = np.vstack([s.faces for s in of.skins])
    bulge = np.concatenate([np.full(len(s.faces), s.bulge) for s in of.skins])
    vertices = of.skins[0].vertices @ of.turn.T + of.shift
    if not shifts.any():
        still = np.zeros((len(faces), 3))
        return Swollen(of, vertices[faces], bulge, vertices[faces], still, still.astype(bool))
    parts = [_faces(vertices, faces, bulge, shifts), *_edges(vertices, faces, bulge, shifts), *_corners(vertices, faces, bulge, shifts)]
    return Swollen(of, *(np.concatenate(arrays) for arrays in zip(*parts, strict=True)))


def _normals(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Unit normals (m, 3); nothing where a face has no area."""
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    cross = np.cross(b - a, c - a)
    lengths = np.linalg.norm(cross, axis=1)
    return cross / np.where(lengths > 0, lengths, 1.0)[:, None]


def _signs(normals: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """For each of the eight corners of a box, which normals (m, 3) it may be the farthest along: (signs (3,), chosen (m,))."""
    out = []
    for signs in itertools.product((-1.0, 1.0), repeat=3):
        chosen = (normals * signs >= -TURN_EPS).all(axis=1)
        out.append((np.array(signs), chosen))
    return out


def _faces(vertices: np.ndarray, faces: np.ndarray, bulge: np.ndarray, shifts: np.ndarray):
    """Each face at the corners of the box that lie farthest along its normal."""
    normals, found = _normals(vertices, faces), []
    seen = np.zeros((len(faces), 8), bool)
    for number, (signs, chosen) in enumerate(_signs(normals)):
        same = [n for n, other in enumerate(itertools.product((-1.0, 1.0), repeat=3)) if n < number and (np.array(other) * shifts == signs * shifts).all()]
        fresh = chosen & ~seen[:, same].any(axis=1)
        seen[:, number] = chosen
        corner = np.broadcast_to(signs * shifts, (int(fresh.sum()), 3))
        own = vertices[faces[fresh]]
        found.append((own + corner[:, None], bulge[fresh], own, corner, np.zeros_like(corner, bool)))
    return tuple(np.concatenate(arrays) for arrays in zip(*found, strict=True))


def _sides(faces: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Every edge once: its ends (k, 2), the two faces beside it (k, 2), and whether there are just two (k,)."""
    ends = np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    of = np.tile(np.arange(len(faces)), 3)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ends, of = ends[order], of[order]
    first = np.flatnonzero(np.concatenate([[True], (ends[1:] != ends[:-1]).any(axis=1)]))
    count = np.diff(np.append(first, len(ends)))
    last = first + count - 1
    return ends[first], np.column_stack([of[first], of[last]]), count == 2


def _edges(vertices: np.ndarray, faces: np.ndarray, bulge: np.ndarray, shifts: np.ndarray):
    """Along each edge that stands out the sides of the box that may touch the sum's skin."""
    ends, beside, is_plain = _sides(faces)
    start, way = vertices[ends[:, 0]], vertices[ends[:, 1]] - vertices[ends[:, 0]]
    normals = _normals(vertices, faces)
    n, m = normals[beside[:, 0]], normals[beside[:, 1]]
    is_plain = is_plain & (np.abs(n).sum(axis=1) > 0) & (np.abs(m).sum(axis=1) > 0)
    apex = vertices[faces[beside[:, 1]]].sum(axis=1) - vertices[ends].sum(axis=1)
    stands_out = np.einsum("ij,ij->i", apex - start, n) <= TURN_EPS * (1 + np.abs(apex - start).max(axis=1, initial=0))
    lengths = np.linalg.norm(way, axis=1)
    unit = way / np.where(lengths > 0, lengths, 1.0)[:, None]
    turned = np.einsum("ij,ij->i", np.cross(n, m), unit)
    t = unit * np.where(turned < 0, -1.0, 1.0)[:, None]
    is_level = is_plain & (np.linalg.norm(np.cross(n, m), axis=1) < LEVEL) & (np.einsum("ij,ij->i", n, m) > 0)
    edge_bulge = np.maximum(bulge[beside[:, 0]], bulge[beside[:, 1]])
    for axis in np.flatnonzero(shifts):
        along = np.eye(3)[axis]
        cross = np.cross(unit, along)
        size = np.linalg.norm(cross, axis=1)
        for sign in (-1.0, 1.0):
            square = sign * cross / np.where(size > 0, size, 1.0)[:, None]
            inside = ((np.einsum("ij,ij->i", np.cross(n, square), t) >= -TURN_EPS) & (np.einsum("ij,ij->i", np.cross(square, m), t) >= -TURN_EPS)
                      & (np.einsum("ij,ij->i", square, n + m) > 0))
            wanted = (size > 0) & (~is_plain | (stands_out & inside & ~is_level))
            yield from _sweeps(vertices, ends[wanted], square[wanted], edge_bulge[wanted], axis, shifts)


def _sweeps(vertices: np.ndarray, ends: np.ndarray, square: np.ndarray, bulge: np.ndarray, axis: int, shifts: np.ndarray):
    """The edges `ends` (k, 2) swept along a side of the box parallel to `axis`, at its other coordinates' farthest along `square`."""
    others = [a for a in range(3) if a != axis]
    for signs in itertools.product((-1.0, 1.0), repeat=2):
        corner = np.zeros(3)
        corner[others] = np.array(signs) * shifts[others]
        chosen = np.ones(len(ends), bool)
        for a, s in zip(others, signs, strict=True):
            chosen &= square[:, a] * s >= -TURN_EPS if shifts[a] else s > 0
        if chosen.any():
            a, b = vertices[ends[chosen, 0]], vertices[ends[chosen, 1]]
            step = np.zeros(3)
            step[axis] = shifts[axis]
            quads = np.stack([a - step, b - step, b + step, a + step], axis=1) + corner
            yield _split(quads, bulge[chosen], np.stack([a, b, b], axis=1), corner, np.eye(3, dtype=bool)[axis])


def _corners(vertices: np.ndarray, faces: np.ndarray, bulge: np.ndarray, shifts: np.ndarray):
    """At each vertex that is as far along an axis as its neighbours the box's face there."""
    ends = _sides(faces)[0]
    skin = np.zeros(len(vertices))
    np.maximum.at(skin, faces.reshape(-1), np.repeat(bulge, 3))
    used = np.zeros(len(vertices), bool)
    used[faces.reshape(-1)] = True
    for axis in range(3):
        others = [a for a in range(3) if a != axis]
        if not shifts[others].all():
            continue
        for sign in (-1.0, 1.0):
            height = sign * vertices[:, axis]
            highest = np.full(len(vertices), -np.inf)
            np.maximum.at(highest, ends[:, 0], height[ends[:, 1]])
            np.maximum.at(highest, ends[:, 1], height[ends[:, 0]])
            chosen = used & (highest <= height + TURN_EPS)
            if chosen.any():
                corner = np.zeros(3)
                corner[axis] = sign * shifts[axis]
                at, (j, k) = vertices[chosen], others
                u, v = np.eye(3)[j] * shifts[j], np.eye(3)[k] * shifts[k]
                quads = np.stack([at - u - v, at + u - v, at + u + v, at - u + v], axis=1) + corner
                yield _split(quads, skin[chosen], np.stack([at, at, at], axis=1), corner, np.arange(3) != axis)


def _split(quads: np.ndarray, bulge: np.ndarray, simplex: np.ndarray, corner: np.ndarray, free: np.ndarray):
    """Quadrilaterals (k, 4, 3) as two triangles each, with what belongs to them."""
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    count = len(triangles)
    return (triangles, np.tile(bulge, 2), np.tile(simplex, (2, 1, 1)), np.broadcast_to(corner, (count, 3)), np.broadcast_to(free, (count, 3)))
