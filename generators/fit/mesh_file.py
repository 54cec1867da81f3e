"""A mesh in an STL file -> closed bodies of triangles. mm once read; what cannot be used raises ValueError with a sentence for the user."""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import trimesh

from generators.units import convert

HEAD, RECORD = 84, 50
"""Bytes before the triangles of a binary STL file, and of each triangle."""

LARGEST_BYTES = 400_000_000
MOST_TRIANGLES = 3_000_000
"""More is a scan that nobody thinned; it would take minutes to look at."""

SAME_SHARE = 1e-7
"""Corners nearer than this share of the mesh's size are one: single precision holds no more."""

REMEDY = "close it where it was drawn, or in a mesh program, and save it again"


@dataclass(frozen=True, eq=False)
class MeshFile:
    """The closed bodies of a file in mm, and what had to be done to them in words (empty where nothing)."""

    bodies: tuple[trimesh.Trimesh, ...] = field(repr=False)
    triangles: int
    mended: str = ""


def read_mesh(path: Path, *, unit: str) -> MeshFile:
    """The bodies in the STL file at `path`, whose numbers are in `unit`. Raises ValueError where it is no STL, cut short, empty, open
    or not all of one way round."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise ValueError(f"has {size / 1e6:.0f} MB; at most {LARGEST_BYTES / 1e6:.0f} MB are read: save it with fewer triangles")
    corners = _corners(path.read_bytes())
    if not np.isfinite(corners).all():
        raise ValueError("has coordinates that are no numbers: save it again")
    if not len(corners):
        raise ValueError("holds no triangle: save the mesh again")
    if len(corners) > MOST_TRIANGLES:
        raise ValueError(f"has {len(corners)} triangles; at most {MOST_TRIANGLES} are looked at: save it with fewer")
    mesh = _joined(corners * convert(1.0, unit, "length"))
    return _bodies(mesh)


def _corners(data: bytes) -> np.ndarray:
    """Triangles (n, 3, 3) as the file holds them."""
    if not data.strip():
        raise ValueError("is empty: save the mesh again")
    count = int.from_bytes(data[HEAD - 4:HEAD], "little") if len(data) >= HEAD else -1
    if len(data) == HEAD + RECORD * count:
        return _binary(data, count)
    if data.lstrip()[:5].lower() == b"solid" and b"vertex" in data.lower():
        return _text(data)
    if len(data) > HEAD and count > 0 and (b"\0" in data[:HEAD] or not data[:HEAD].isascii() or len(data) < HEAD + RECORD * count < LARGEST_BYTES):
        raise ValueError(f"is cut short or damaged: its head promises {count} triangles, {HEAD + RECORD * count} bytes, and it has {len(data)}")
    raise ValueError("is not an STL file: save the mesh as STL")


def _binary(data: bytes, count: int) -> np.ndarray:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    return np.frombuffer(data, record, count=count, offset=HEAD)["corners"].astype(float)


def _text(data: bytes) -> np.ndarray:
    words = data.decode("ascii", "replace").lower().split()
    at = np.flatnonzero(np.array(words) == "vertex")
    try:
        numbers = [float(words[i + k]) for i in at for k in (1, 2, 3)]
    except (ValueError, IndexError):
        raise ValueError("has a vertex that is not three numbers: save the mesh again") from None
    if len(at) % 3:
        raise ValueError(f"has {len(at)} vertices, which is not three for each triangle: it is cut short or damaged")
    return np.array(numbers, float).reshape(-1, 3, 3)


def _joined(corners: np.ndarray) -> trimesh.Trimesh:
    """One mesh whose corners that are one point are one vertex, without triangles that have no area."""
    size = float(np.ptp(corners.reshape(-1, 3), axis=0).max())
    grid = max(size * SAME_SHARE, 1e-9)
    keys = np.round(corners.reshape(-1, 3) / grid).astype(np.int64)
    _, first, same = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    faces = same.reshape(-1, 3)
    kept = (faces != np.roll(faces, 1, axis=1)).all(axis=1)
    if not kept.any():
        raise ValueError("holds no triangle with an area: is the unit right, or was it saved as points?")
    return trimesh.Trimesh(corners.reshape(-1, 3)[first], faces[kept], process=False)


def _bodies(mesh: trimesh.Trimesh) -> MeshFile:
    """The bodies of a mesh, each with the hollows in it. A skin is closed where every edge is gone along as often one way as the
    other, so that bodies that touch along an edge are no fault."""
    _require_closed(mesh)
    labels = trimesh.graph.connected_component_labels(mesh.face_adjacency, node_count=len(mesh.faces))
    skins = [trimesh.Trimesh(mesh.vertices, mesh.faces[labels == k], process=False) for k in range(labels.max() + 1)]
    for skin in skins:
        skin.remove_unreferenced_vertices()
    if not all(skin.is_volume or _is_even(skin.faces) for skin in skins):  # skins that share their edges are taken as one
        skins = [mesh]
    inside_out = sum(s.volume for s in skins) < 0
    for skin in skins if inside_out else ():
        skin.invert()
    solids, hollows = [s for s in skins if s.volume > 0], [s for s in skins if s.volume <= 0]
    if not solids:
        raise ValueError("holds no volume: its triangles lie in a plane or cover themselves")
    bodies = [_with_hollows(solid, solids, hollows) for solid in solids]
    return MeshFile(tuple(bodies), len(mesh.faces), "turned right side out" if inside_out else "")


def _is_even(faces: np.ndarray) -> bool:
    return not len(_uneven(faces))


def _uneven(faces: np.ndarray) -> np.ndarray:
    """Edges (k, 2) that are not gone along as often one way as the other."""
    ends = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    way = np.where(ends[:, 0] < ends[:, 1], 1, -1)
    edges, same = np.unique(np.sort(ends, axis=1), axis=0, return_inverse=True)
    return edges[np.bincount(same.reshape(-1), weights=way, minlength=len(edges)) != 0]


def _require_closed(mesh: trimesh.Trimesh) -> None:
    open_edges = _uneven(mesh.faces)
    if not len(open_edges):
        return
    ends = np.sort(np.vstack([mesh.faces[:, [0, 1]], mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]]]), axis=1)
    _, counts = np.unique(ends, axis=0, return_counts=True)
    at = ", ".join(f"{c:.1f}" for c in mesh.vertices[open_edges[0]].mean(axis=0))
    if (counts % 2 == 0).all():
        raise ValueError(f"has triangles that are not all the same way round: {len(open_edges)} edges, one near x, y, z = {at} mm in the file; {REMEDY}")
    raise ValueError(f"is not closed: {len(open_edges)} open edges, one near x, y, z = {at} mm in the file; {REMEDY}")


def _with_hollows(solid: trimesh.Trimesh, solids: list[trimesh.Trimesh], hollows: list[trimesh.Trimesh]) -> trimesh.Trimesh:
    """A solid with those of the hollows that lie in it and in no smaller solid."""
    def holds(outer: trimesh.Trimesh, inner: trimesh.Trimesh) -> bool:
        return bool((outer.bounds[0] <= inner.bounds[0]).all() and (inner.bounds[1] <= outer.bounds[1]).all())

    def owner(hollow: trimesh.Trimesh) -> trimesh.Trimesh | None:
        around = [s for s in solids if holds(s, hollow) and s.volume >= -hollow.volume]
        return min(around, key=lambda s: s.volume, default=None)

    mine = [h for h in hollows if owner(h) is solid]
    return trimesh.util.concatenate([solid, *mine]) if mine else solid
