"""Binary STL, mm."""

from pathlib import Path

import numpy as np
import trimesh

HEADER = b"millimetres"
HEADER_BYTES = 80
"""Length of the header in the format; it must not begin with the word that marks a text file."""

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def encoded(mesh: trimesh.Trimesh) -> bytes:
    """The mesh as a binary STL file holds it."""
    facets = np.zeros(len(mesh.faces), RECORD)
    facets["normal"] = mesh.face_normals
    facets["corners"] = mesh.triangles
    return HEADER.ljust(HEADER_BYTES, b" ") + np.uint32(len(facets)).tobytes() + facets.tobytes()


def write(mesh: trimesh.Trimesh, file: Path) -> None:
    """Write the mesh to `file`."""
    file.write_bytes(encoded(mesh))
