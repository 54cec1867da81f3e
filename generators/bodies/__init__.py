"""Closed meshes with their search trees: how far apart two bodies are, never overstated.

A triangle on a rounded outside lies up to its sagitta under the true surface; one in a plane face is the surface itself.
So the skin of a body is kept in two trees, the flat triangles and the bulging ones, and the largest sagitta of the
bulging ones is taken off what is measured to them.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import fcl
import manifold3d
import numpy as np
import trimesh

from generators.crank import SweptRegion, merged_bands, prism
from generators.meshes import CHORD_MM, PLANE, PartMeshes, solid_mesh

SMOOTH_RAD = 0.5
"""Facets that turn by less against each other stand for one rounded surface; by more, for a real edge."""

FINE_MM = 0.002
"""Chord of a mesh made again where the usual one's sagitta would decide a check: a tenth of what clearances are held to."""

FLAT_MM = 1e-6
"""A facet with less sagitta is flat."""


@dataclass(frozen=True, eq=False)
class Skin:
    """Some triangles of a body, `faces` (m, 3) of `vertices` (n, 3) mm; the true surface lies at most `bulge` mm
    outside."""

    vertices: np.ndarray
    faces: np.ndarray
    bulge: float

    @cached_property
    def tree(self) -> fcl.BVHModel:
        """Their search tree: built when first asked for."""
        return search_tree(self.vertices, self.faces)


@dataclass(frozen=True, eq=False)
class Body:
    """One body: copy `index` of piece `name`. Vertices (n, 3) mm where it lies now, faces (m, 3); `turn` (3, 3) and
    `shift` (3,) carry its trees there. `solid`: the kernel's, which may be meshed again, finer, where the sagitta would decide."""

    name: str
    index: int
    vertices: np.ndarray
    faces: np.ndarray
    skins: tuple[Skin, ...]
    turn: np.ndarray = field(default_factory=lambda: np.eye(3))
    shift: np.ndarray = field(default_factory=lambda: np.zeros(3))
    solid: object | None = None

    @cached_property
    def box(self) -> np.ndarray:
        """Low and high corner, (2, 3), mm."""
        return np.array([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    @cached_property
    def bulge(self) -> float:
        """Largest distance of the true surface outside the triangles, mm."""
        return max(s.bulge for s in self.skins)

    @cached_property
    def colliders(self) -> tuple[tuple[fcl.CollisionObject, float], ...]:
        """The skins placed, each with its bulge."""
        return tuple((fcl.CollisionObject(s.tree, fcl.Transform(self.turn, self.shift)), s.bulge) for s in self.skins)

    @cached_property
    def metal(self) -> manifold3d.Manifold:
        """The inside, for intersections."""
        return manifold3d.Manifold(
            manifold3d.Mesh64(
                np.ascontiguousarray(self.vertices, dtype=np.float64), np.ascontiguousarray(self.faces, dtype=np.uint64)
            )
        )


def search_tree(vertices: np.ndarray, faces: np.ndarray) -> fcl.BVHModel:
    """The search tree over some triangles."""
    tree = fcl.BVHModel()
    tree.beginModel(len(vertices), len(faces))
    tree.addSubModel(np.ascontiguousarray(vertices, float), np.ascontiguousarray(faces, int))
    tree.endModel()
    return tree


def sagittas(mesh: trimesh.Trimesh, *, hollows: bool = False, chord: float = CHORD_MM) -> np.ndarray:
    """For each face how far the true rounded surface may lie outside it or, with `hollows`, to either side of it, (m,) mm;
    no more than the mesher's `chord` (mm), and nothing where the mesh tells that a face is plane.

    A chord of length w at which the surface turns by a has the sagitta w/2 tan(a/4)."""
    angles, faces = mesh.face_adjacency_angles, mesh.face_adjacency
    rounded = (mesh.face_adjacency_convex | hollows) & (angles < SMOOTH_RAD)
    ends = mesh.vertices[mesh.face_adjacency_edges[rounded]]
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    out = np.zeros(len(mesh.faces))
    for side in (0, 1):
        face = faces[rounded, side]
        widths = 2 * mesh.area_faces[face] / lengths
        np.add.at(out, face, widths / 2 * np.tan(angles[rounded] / 4))
    if PLANE in mesh.face_attributes:
        out[mesh.face_attributes[PLANE]] = 0.0
    return np.minimum(out, chord)


def body(name: str, mesh: trimesh.Trimesh, index: int = 0, *, exact: bool = False, chord: float = CHORD_MM) -> Body:
    """A body from its closed mesh, true to `chord` mm; `exact` where the triangles are the surface itself."""
    bulges = np.zeros(len(mesh.faces)) if exact else sagittas(mesh, chord=chord)
    bulging = bulges > FLAT_MM
    skins = tuple(
        Skin(mesh.vertices, mesh.faces[chosen], float(bulges[chosen].max()))
        for chosen in (~bulging, bulging)
        if chosen.any()
    )
    return Body(name, index, np.asarray(mesh.vertices), np.asarray(mesh.faces), skins)


def patch(of: Body, chosen: np.ndarray) -> Body:
    """Only the faces `chosen` (m,) of a body that lies as it was made, open at their rim; bulges as of the whole
    body."""
    skin = Skin(of.vertices, of.faces[chosen], of.bulge)
    return Body(of.name, of.index, of.vertices[np.unique(of.faces[chosen])], of.faces[:0], (skin,))


def moved(of: Body, *, turn: np.ndarray, shift: np.ndarray) -> Body:
    """The body carried by x -> turn x + shift (mm); its trees are not built again."""
    return Body(
        of.name, of.index, of.vertices @ turn.T + shift, of.faces, of.skins, turn @ of.turn, turn @ of.shift + shift, of.solid
    )


def part_bodies(meshes: PartMeshes) -> tuple[Body, ...]:
    """Every copy of every piece of a part."""
    return tuple(replace(body(name, mesh, index), solid=meshes.part.piece(name).solids[index])
                 for (name, index), mesh in meshes.copies.items())


def finer(of: Body, *, chord: float = FINE_MM) -> Body:
    """The body meshed within `chord` mm, where it lies; itself where there is nothing to mesh again."""
    if of.solid is None:
        return of
    made = body(of.name, solid_mesh(of.solid, chord=chord), of.index, chord=chord)
    return moved(made, turn=of.turn, shift=of.shift)


def swept_bodies(region: SweptRegion) -> tuple[Body, ...]:
    """The swept region, one body a band; its outlines already enclose the true sweep."""
    return tuple(body(b.label, trimesh.Trimesh(*prism(b), process=False), exact=True) for b in merged_bands(region))


def box_gap(a: Body, b: Body) -> float:
    """Distance between the bounding boxes, mm: no more than that of the triangles."""
    return float(np.linalg.norm(np.maximum(np.maximum(a.box[0] - b.box[1], b.box[0] - a.box[1]), 0)))


def gap(a: Body, b: Body) -> float:
    """Distance between the two surfaces, mm, bulges taken off; 0 where they meet."""
    found = [
        fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult()) - bulge - swell
        for one, bulge in a.colliders
        for other, swell in b.colliders
    ]
    return max(0.0, float(min(found)))


def least_gap(pairs, *, beyond: float = float("inf")) -> tuple[float, Body | None, Body | None]:
    """The least gap (mm) over `pairs` of bodies and the pair that has it; `beyond` and None where none is nearer."""
    bounds = sorted(((box_gap(a, b) - a.bulge - b.bulge, i) for i, (a, b) in enumerate(pairs)))
    best, one, other = beyond, None, None
    for bound, i in bounds:
        if bound >= best:
            break
        found = gap(*pairs[i])
        if found < best:
            best, one, other = found, *pairs[i]
    return best, one, other


def settled_gap(pairs, limit: float) -> tuple[float, Body | None, Body | None]:
    """`least_gap`, measured again on finer meshes as long as only the sagitta taken off puts the nearest pair below
    `limit` (mm)."""
    pairs = list(pairs)
    value, one, other = least_gap(pairs)
    while value < limit <= value + one.bulge + other.bulge and (one.solid is not None or other.solid is not None):
        remade = {id(b): finer(b) for b in (one, other)}
        pairs = [tuple(remade.get(id(b), b) for b in pair) for pair in pairs]
        value, one, other = least_gap(pairs)
    return value, one, other


def point_gap(point: np.ndarray, to: Body) -> float:
    """Distance of a point (3,) from the triangles of a body, mm."""
    speck = fcl.CollisionObject(fcl.Sphere(FLAT_MM), fcl.Transform(np.asarray(point, float)))
    found = [fcl.distance(speck, one, fcl.DistanceRequest(), fcl.DistanceResult()) for one, _ in to.colliders]
    return max(0.0, float(min(found)) + FLAT_MM)
