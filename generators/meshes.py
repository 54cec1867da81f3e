"""Solids into closed triangle meshes: each copy of each piece, the part as one welded body, and the space for oil."""

import itertools
from dataclasses import dataclass, field

import cadquery as cq
import manifold3d
import numpy as np
import trimesh
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location

from generators.findings import KernelFailure
from generators.pieces import Part

CHORD_MM = 0.04
"""Largest distance of a triangle from the surface that it stands for. Absolute: the kernel's default is relative."""

ANGLE_RAD = 0.35
"""Largest turn between the normals of neighbouring triangles on a curved face; the chord rules all but the smallest."""

PLANE = "plane"
"""Face attribute of a solid's mesh: whether a triangle lies in a plane face."""

MERGE_MM = 1e-7
"""Faces are meshed one by one: nodes nearer than this are the same point of a shared edge."""

GRID_MM = 1 / 8192
"""Joined bodies stand on this grid. A power of two, so that single precision holds it exactly out to 2 m: what an STL
file stores is what was proved closed."""

BEAD_SHARE_OF_LEG = 0.35
"""Radius of the bead that stands for a weld, as a share of its leg."""

BEAD_SHARE_OF_VOLUME = 0.004
"""Beads hold the joined body together and must not be seen in its volume: thinner where they would be more than this."""

BEAD_SIDES = 8
SHARP_TURN = 0.8
"""rad. A path that turns more sharply than this at a corner gets a fresh bead there instead of a mitre."""

APART_MM = 2 * GRID_MM
"""How far a loose body's skin is drawn in where it shares an edge or a corner with another body."""

FLAKE_MM = 0.1
"""A closed pocket whose mean thickness (2 x volume / area) is below this is a fit's clearance between two welds, or lies
between two triangulations of one surface: no oil gets there and no printer sees it."""

NEIGHBOURS = np.array([step for step in itertools.product((-1, 0, 1), repeat=3) if any(step)])
"""Steps from a cell of the grid to those around it."""

DRAWS = 4
"""How often a loose body is drawn in before it is given up."""


@dataclass(frozen=True)
class PartMeshes:
    """Meshes of `part`, mm, in its own frame. `copies` holds (piece name, copy index) -> mesh, true to CHORD_MM;
    `fixed` the one joined body of all pieces that do not move, with a thin bead along every seam; `joined` that body
    and each loose copy, with what is welded to it, as a body of its own; `oil_space` the cavity less every copy, None where there is no cavity."""

    part: Part
    copies: dict[tuple[str, int], trimesh.Trimesh] = field(repr=False)
    joined: trimesh.Trimesh = field(repr=False)
    fixed: trimesh.Trimesh = field(repr=False)
    oil_space: trimesh.Trimesh | None = field(repr=False)


def _face_triangles(face) -> tuple[np.ndarray, np.ndarray]:
    """Nodes (n, 3) and outward triangles (m, 3) of one meshed kernel face."""
    where = TopLoc_Location()
    triangulation = BRep_Tool.Triangulation_s(face, where)
    if triangulation is None:
        return np.zeros((0, 3)), np.zeros((0, 3), int)
    nodes = [triangulation.Node(i) for i in range(1, triangulation.NbNodes() + 1)]
    points = np.array([(p.X(), p.Y(), p.Z()) for p in nodes])
    corners = np.array([triangulation.Triangle(i).Get() for i in range(1, triangulation.NbTriangles() + 1)], int) - 1
    matrix = _matrix(where.Transformation())
    outward = corners[:, ::-1] if face.Orientation() == TopAbs_REVERSED else corners
    return points @ matrix[:3, :3].T + matrix[:3, 3], outward


def _matrix(move) -> np.ndarray:
    """A kernel transformation as a matrix (4, 4)."""
    return np.array([[move.Value(r, c) for c in range(1, 5)] for r in range(1, 4)] + [[0, 0, 0, 1]])


def _welded(points: np.ndarray, triangles: np.ndarray, grid: float, *, planes: np.ndarray | None = None) -> trimesh.Trimesh:
    """One mesh in which points of the same cell of `grid` mm are one vertex; triangles left without area are gone. `planes`
    (m,), which triangles are plane faces', stays with them as the face attribute PLANE."""
    keys = np.round(points / grid).astype(np.int64)
    _, first, same = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    triangles = same.reshape(-1)[triangles]
    kept = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    attributes = None if planes is None else {PLANE: planes[kept]}
    return trimesh.Trimesh(points[first], triangles[kept], process=False, face_attributes=attributes)


def _is_closed(mesh: trimesh.Trimesh) -> bool:
    return bool(len(mesh.faces) and mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0)


def solid_mesh(solid: cq.Solid, *, chord: float = CHORD_MM) -> trimesh.Trimesh:
    """The solid's closed mesh, mm, within `chord` mm and ANGLE_RAD; its face attribute PLANE, (m,), tells which triangles
    lie in a plane face and so are the surface itself. Raises KernelFailure where it does not close."""
    BRepTools.Clean_s(solid.wrapped)
    BRepMesh_IncrementalMesh(solid.wrapped, chord, False, ANGLE_RAD, False)
    points, triangles, planes, count = [], [], [], 0
    for face in solid.Faces():
        nodes, corners = _face_triangles(face.wrapped)
        points.append(nodes)
        triangles.append(corners + count)
        planes.append(np.full(len(corners), face.geomType() == "PLANE"))
        count += len(nodes)
    mesh = _welded(np.vstack(points), np.vstack(triangles), MERGE_MM, planes=np.concatenate(planes))
    if not _is_closed(mesh):
        raise KernelFailure("mesh", "closing the mesh of a solid", f"chord {chord} mm, {len(mesh.faces)} triangles")
    return mesh


# ---------------------------------------------------------------- beads


def _mitres(points: np.ndarray, is_loop: bool) -> list[np.ndarray]:
    """At each point two directions (2, 3) that span the mitre plane there and project to a unit square along the path."""
    steps = np.diff(np.vstack([points, points[:1]]) if is_loop else points, axis=0)
    ways = steps / np.linalg.norm(steps, axis=1)[:, None]
    before = np.vstack([ways[-1:], ways])[: len(points)] if is_loop else np.vstack([ways[:1], ways])
    after = ways if is_loop else np.vstack([ways, ways[-1:]])
    u = np.cross(before[0], np.eye(3)[int(np.argmin(np.abs(before[0])))])
    out = []
    for a, b in zip(before, after, strict=True):
        normal = (a + b) / np.linalg.norm(a + b)
        u = u - a * (u @ a)
        u = u / np.linalg.norm(u)
        v = np.cross(a, u)
        out.append(np.array([w - a * (w @ normal) / (a @ normal) for w in (u, v)]))
    return out


def _tube(points: np.ndarray, radius: float, is_loop: bool) -> trimesh.Trimesh:
    """A closed tube of BEAD_SIDES sides along a path (n, 3) without sharp turns."""
    angles = 2 * np.pi * np.arange(BEAD_SIDES) / BEAD_SIDES
    circle = np.column_stack([np.cos(angles), np.sin(angles)]) * radius
    rings = np.array([p + circle @ spans for p, spans in zip(points, _mitres(points, is_loop), strict=True)])
    n, k = len(points), BEAD_SIDES
    side, after = np.arange(k), (np.arange(k) + 1) % k
    triangles = []
    for i in range(n if is_loop else n - 1):
        here, there = i * k, (i + 1) % n * k
        turn = _least_twist(rings[i], rings[0]) if i == n - 1 else 0
        a, b, c, d = here + side, here + after, there + (after + turn) % k, there + (side + turn) % k
        triangles += [np.column_stack([a, b, c]), np.column_stack([a, c, d])]
    if not is_loop:
        fan = np.column_stack([np.zeros(k - 2, int), side[1:-1], side[2:]])
        triangles += [fan[:, ::-1], fan + (n - 1) * k]
    return trimesh.Trimesh(rings.reshape(-1, 3), np.vstack(triangles), process=False)


def _least_twist(ring: np.ndarray, following: np.ndarray) -> int:
    """By how many places the first ring (k, 3) is to be counted on so that the tube closes without a twist."""
    return int(np.argmin([np.linalg.norm(np.roll(following, -i, axis=0) - ring) for i in range(len(ring))]))


def _smooth_runs(points: np.ndarray) -> list[np.ndarray]:
    """The path cut at its sharp turns."""
    ways = np.diff(points, axis=0)
    ways = ways / np.linalg.norm(ways, axis=1)[:, None]
    turns = np.arccos(np.clip(np.sum(ways[:-1] * ways[1:], axis=1), -1, 1))
    cuts = [0, *(np.flatnonzero(turns > SHARP_TURN) + 1), len(points) - 1]
    return [points[a:b + 1] for a, b in itertools.pairwise(cuts)]


def _tubes(path: np.ndarray, radius: float) -> list[trimesh.Trimesh]:
    points = np.asarray(path, float)
    apart = np.linalg.norm(np.diff(points, axis=0), axis=1) > GRID_MM
    points = points[np.concatenate([[True], apart])]
    if len(points) < 2:
        raise ValueError("a bead needs a path with two different points")
    is_loop = len(points) > 3 and np.linalg.norm(points[0] - points[-1]) < GRID_MM
    runs = _smooth_runs(np.vstack([points, points[1:2]]) if is_loop else points)
    if is_loop and len(runs) == 1:
        return [_tube(points[:-1], radius, True)]
    runs = _smooth_runs(points)
    return [_tube(run, radius, False) for run in runs]


def bead(path: np.ndarray, radius: float) -> trimesh.Trimesh:
    """One closed tube of `radius` mm along `path` (n, 3) mm: a ring where the path's ends meet, else capped at both."""
    return _trimesh(union([manifold(t) for t in _tubes(path, radius)]))


# ---------------------------------------------------------------- joining


def trimmed(mesh: trimesh.Trimesh, *, normal, offset: float) -> trimesh.Trimesh:
    """What of a closed mesh lies where normal . p >= offset (mm; `normal` a unit vector (3,)), closed at the cut; a mesh
    without triangles where nothing does."""
    return _trimesh(manifold(mesh).trim_by_plane([float(c) for c in normal], offset))


def manifold(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    """The mesh for booleans, in full precision: on a coarser grid faces that touch would cross. Raises KernelFailure where
    it is not closed."""
    made = manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(mesh.vertices, dtype=np.float64),
                                                 np.ascontiguousarray(mesh.faces, dtype=np.uint64)))
    if made.status() != manifold3d.Error.NoError:
        raise KernelFailure("mesh", "taking a mesh into a boolean", f"{made.status()}, {len(mesh.faces)} triangles")
    return made


def union(bodies: list[manifold3d.Manifold]) -> manifold3d.Manifold:
    """All bodies as one; an empty one where there are none."""
    return manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add)


def _trimesh(body: manifold3d.Manifold) -> trimesh.Trimesh:
    mesh = body.to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    return _welded(np.round(points / GRID_MM) * GRID_MM, np.asarray(mesh.tri_verts).astype(np.int64), GRID_MM)


def _without_flakes(body: manifold3d.Manifold) -> manifold3d.Manifold:
    """The body less its thinnest pockets and chips."""
    bodies = body.decompose()
    kept = [b for b in bodies if 2 * abs(b.volume()) > FLAKE_MM * b.surface_area()]
    return body if len(kept) == len(bodies) else manifold3d.Manifold.compose(kept)


def closed(body: manifold3d.Manifold, part: str, step: str) -> trimesh.Trimesh:
    """The body as a mesh that is closed as an STL file would hold it: where the grid would make one place of two of its
    vertices they are set a hair apart. Raises KernelFailure where it is not closed then.

    The library's own simplifying is not asked for: at any tolerance it was seen to move a wall by a thousand mm3."""
    body = _without_flakes(body)
    mesh = _trimesh(body)
    if not _is_closed(mesh):
        mesh = _set_apart(body)
    if not _is_closed(mesh):
        raise KernelFailure(part, step, f"{len(mesh.faces)} triangles do not close")
    return mesh


def _set_apart(body: manifold3d.Manifold) -> trimesh.Trimesh:
    """The body on the grid with each of its vertices at a place of its own: where the grid would make one of two, the second
    goes to a free place next to it, inwards where it can."""
    raw = body.to_mesh64()
    mesh = trimesh.Trimesh(np.asarray(raw.vert_properties)[:, :3], np.asarray(raw.tri_verts).astype(np.int64), process=False)
    cells = np.round(mesh.vertices / GRID_MM).astype(np.int64)
    first = np.unique(cells, axis=0, return_index=True)[1]
    taken = set(map(tuple, cells.tolist()))
    for i in np.setdiff1d(np.arange(len(cells)), first):
        inwards = NEIGHBOURS[np.argsort(NEIGHBOURS @ mesh.vertex_normals[i], kind="stable")]
        cells[i] = next(c for ring in range(1, len(cells)) for c in cells[i] + ring * inwards if tuple(c.tolist()) not in taken)
        taken.add(tuple(cells[i].tolist()))
    return trimesh.Trimesh(cells * GRID_MM, mesh.faces, process=False)


def _beads(part: Part, volume: float) -> list[tuple[frozenset[str], manifold3d.Manifold]]:
    """A bead along every seam with the pieces that it joins, together no more than BEAD_SHARE_OF_VOLUME of `volume` mm3."""
    wanted = sum(np.pi * (BEAD_SHARE_OF_LEG * s.leg) ** 2 * s.length for s in part.seams)
    thinner = min(1.0, (BEAD_SHARE_OF_VOLUME * volume / wanted) ** 0.5) if wanted else 1.0
    return [(frozenset((s.a, s.b)), manifold(t)) for s in part.seams for t in _tubes(s.path, BEAD_SHARE_OF_LEG * s.leg * thinner)]


def _loose_bodies(copies: list[tuple[str, manifold3d.Manifold]], beads) -> list[manifold3d.Manifold]:
    """Loose copies (piece name, body), those that a bead between loose pieces joins as one body."""
    groups = [[copy] for copy in copies]
    for names, weld in beads:
        joins = [g for g in groups if any(name in names and not (b ^ weld).is_empty() for name, b in g)]
        groups = [g for g in groups if not any(g is j for j in joins)] + [[c for g in joins for c in g] + [("", weld)]]
    return [union([b for _, b in g]) for g in groups]


def _drawn_in(mesh: trimesh.Trimesh, by: float) -> trimesh.Trimesh:
    """The mesh with each vertex moved inwards by `by` mm, on the grid."""
    points = mesh.vertices - by * mesh.vertex_normals
    return trimesh.Trimesh(np.round(points / GRID_MM) * GRID_MM, mesh.faces, process=False)


def _shares_corners(a: trimesh.Trimesh, b: trimesh.Trimesh) -> bool:
    together = np.vstack([np.round(m.vertices / GRID_MM).astype(np.int64) for m in (a, b)])
    return len(np.unique(together, axis=0)) < len(together)


def _side_by_side(fixed: trimesh.Trimesh, loose: list[trimesh.Trimesh], part: str) -> trimesh.Trimesh:
    """All bodies in one mesh, apart: a loose one that shares a corner with what is already there is drawn in a little."""
    joined = fixed
    for body in loose:
        for i in range(1, DRAWS + 1):
            if not _shares_corners(joined, body):
                break
            body = _drawn_in(body, i * APART_MM)
        joined = trimesh.util.concatenate([joined, body]) if len(joined.faces) else body
    if not _is_closed(joined):
        raise KernelFailure(part, "laying the bodies side by side", f"{len(loose)} loose bodies")
    return joined


def _copies(solids) -> list[trimesh.Trimesh]:
    """A mesh for each solid; those that are one shape in several places are meshed once and moved."""
    made, out = [], []
    for solid in solids:
        where = solid.wrapped.Location()
        twin = next((m for shape, m in made if solid.wrapped.IsPartner(shape)), None)
        if twin is None:
            twin = solid_mesh(cq.Shape.cast(solid.wrapped.Located(TopLoc_Location())))
            made.append((solid.wrapped, twin))
        out.append(twin.copy().apply_transform(_matrix(where.Transformation())))
    return out


def metal(part: Part, copies: dict[tuple[str, int], trimesh.Trimesh]) -> tuple[list[manifold3d.Manifold], list[manifold3d.Manifold]]:
    """What stands still of a part, each copy and each weld's bead, and its loose bodies. `copies` as in PartMeshes."""
    loose_names = {p.name for p in part.pieces if p.loose}
    bodies = [(name, manifold(mesh)) for (name, _), mesh in copies.items()]
    beads = _beads(part, sum(b.volume() for _, b in bodies))
    still = [b for name, b in bodies if name not in loose_names]
    still += [b for names, b in beads if not names <= loose_names]
    return still, _loose_bodies([c for c in bodies if c[0] in loose_names], [b for b in beads if b[0] <= loose_names])


def part_meshes(part: Part) -> PartMeshes:
    """Meshes of the part, each proved closed; empty ones of a vessel without pieces, which is there already. Raises
    KernelFailure where one does not close."""
    copies = {(p.name, i): m for p in part.pieces for i, m in enumerate(_copies(p.solids))}
    still, moving = metal(part, copies)
    welded = union(still)
    fixed = closed(welded, part.name, "joining the pieces") if still else trimesh.Trimesh()
    loose = [closed(b, part.name, "meshing what moves") for b in moving]
    oil_space = None
    if part.cavity is not None:
        oil_space = closed(manifold(solid_mesh(part.cavity)) - union([welded, *moving]), part.name,
                           "taking the metal out of the oil space")
    joined = _side_by_side(fixed, loose, part.name) if copies else fixed
    return PartMeshes(part, copies, joined, fixed, oil_space)
