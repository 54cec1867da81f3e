"""The name of a printed piece, cut a little into a flat face of it."""

import manifold3d
import numpy as np
from shapely import coverage_union_all, polygons, prepare
from shapely.geometry import LineString, box
from shapely.ops import unary_union

from generators.mockup.extruded import extruded
from generators.shop.strokes import stroke_width, strokes

DEEP_MM, LINE_MM = 0.6, 0.9
"""How deep letters are cut, and how broad their lines are: two passes of a usual nozzle (common practice)."""

LEFT_MM = 0.8
"""Metal left behind letters: two lines of a usual nozzle (printing guides)."""

HEIGHTS_MM = (10.0, 7.0, 5.0)
EDGE_MM = 1.5

LEAST_AREA_MM2, FLAT = 60.0, 1e-6
"""Faces smaller than this hold no mark; triangles that turn less than this (1 less the cosine) are one face."""

MOST_FACES, PLACES = 6, 25
"""Faces that are tried, the largest first, and places along each way of one."""


def marked(piece: manifold3d.Manifold, words: str) -> tuple[manifold3d.Manifold, bool]:
    """The piece with the words on its largest face that holds them; whether one does."""
    for points, normal in _faces(piece):
        x = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
        x /= np.linalg.norm(x)
        y = np.cross(normal, x)
        for turn in (np.column_stack([x, y, normal]), np.column_stack([y, -x, normal])):
            into = np.hstack([turn, np.zeros((3, 1))])
            found = _on_face(points @ turn, words)
            if found is None:
                continue
            cutter, ground = (body.transform(into) for body in found)
            if (ground - piece).volume() < 1e-6 * ground.volume():
                return piece - cutter, True
    return piece, False


def _on_face(flat: np.ndarray, words: str) -> tuple[manifold3d.Manifold, manifold3d.Manifold] | None:
    """The letters on a face of triangles (n, 3, 3) that lies level, as large as it holds them, and the metal that has to be under them; None where
    it holds none."""
    face = coverage_union_all(polygons(flat[:, :, :2])).buffer(1e-4).buffer(-EDGE_MM)
    level = float(flat[0, 0, 2])
    for height in HEIGHTS_MM:
        place = _place(face, stroke_width(words, height=height) + LINE_MM, height + LINE_MM)
        if place is not None:
            lines = unary_union([LineString(s + place + LINE_MM / 2).buffer(LINE_MM / 2, quad_segs=2) for s in strokes(words, height=height)])
            x0, y0, x1, y1 = lines.bounds
            ground = manifold3d.Manifold.cube((x1 - x0, y1 - y0, DEEP_MM + LEFT_MM)).translate((x0, y0, level - DEEP_MM - LEFT_MM - 1e-4))
            return _cutter(lines, level), ground
    return None


def _cutter(lines, level: float) -> manifold3d.Manifold:
    """The letters as bodies from DEEP_MM under the face to over it."""
    return extruded(lines, 2 * DEEP_MM).translate((0, 0, level - DEEP_MM))


def _faces(piece: manifold3d.Manifold) -> list[tuple[np.ndarray, np.ndarray]]:
    """Its largest flat faces: triangles (n, 3, 3) and the normal (3,) of each."""
    mesh = piece.to_mesh64()
    triangles = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(np.int64)]
    cross = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    double = np.linalg.norm(cross, axis=1)
    good = double > 1e-9
    triangles, normals, double = triangles[good], cross[good] / double[good, None], double[good]
    keys = np.round(np.column_stack([normals, np.einsum("ij,ij->i", normals, triangles[:, 0])]), 3) + 0.0
    _, same = np.unique(keys, axis=0, return_inverse=True)
    same = same.reshape(-1)
    areas = np.bincount(same, weights=double / 2)
    return [(triangles[same == k], normals[same == k][0]) for k in np.argsort(-areas, kind="stable")[:MOST_FACES] if areas[k] > LEAST_AREA_MM2]


def _place(face, wide: float, high: float) -> np.ndarray | None:
    """Lower left corner (2,) of a rectangle within the face, as near its middle as may be."""
    if face.is_empty:
        return None
    prepare(face)
    x0, y0, x1, y1 = face.bounds
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    corners = [np.array([x, y]) for x in np.linspace(x0, max(x0, x1 - wide), PLACES) for y in np.linspace(y0, max(y0, y1 - high), PLACES)]
    for corner in sorted(corners, key=lambda c: float(np.hypot(*(c + (wide / 2, high / 2) - middle)))):
        if face.covers(box(*corner, corner[0] + wide, corner[1] + high)):
            return corner
    return None
