"""3MF files: named bodies in mm, each with its vertices merged, side by side on the bed."""

import io
import itertools
import re
import uuid
import zipfile
from collections.abc import Sequence

import lib3mf
import numpy as np
import trimesh

GAP_MM = 10.0
"""Between the bodies as they are laid out in the file."""

ROW = 6
"""Bodies in a row."""


def file_of(bodies: Sequence[tuple[str, trimesh.Trimesh]], title: str) -> bytes:
    """A 3MF file of named closed meshes, mm, each standing on z = 0. Raises ValueError where there is none."""
    if not bodies:
        raise ValueError("a 3MF file needs a body")
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    group = model.GetMetaDataGroup()
    group.AddMetaData("", "Title", title, "xs:string", True)
    group.AddMetaData("", "Application", "sumpwright", "xs:string", True)
    for (name, mesh), place in zip(bodies, _places([m.extents for _, m in bodies]), strict=True):
        made = model.AddMeshObject()
        made.SetName(name)
        corner = mesh.bounds[0]
        made.SetGeometry(_records(lib3mf.Position, mesh.vertices - corner, np.float32), _records(lib3mf.Triangle, mesh.faces, np.uint32))
        model.AddBuildItem(made, wrapper.GetTranslationTransform(float(place[0]), float(place[1]), 0.0))
    writer = model.QueryWriter("3mf")
    return _settled(bytes(bytearray(writer.WriteToBuffer())))


IDENTIFIER = re.compile(rb"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
LONG_AGO = (1980, 1, 1, 0, 0, 0)


def _settled(packed: bytes) -> bytes:
    """The same file without the time of writing and with identifiers that count on: the same bodies give the same bytes."""
    numbers, out = itertools.count(1), io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for name in before.namelist():
            text = IDENTIFIER.sub(lambda _: str(uuid.UUID(int=next(numbers))).encode(), before.read(name))
            after.writestr(zipfile.ZipInfo(name, LONG_AGO), text, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _records(kind: type, rows: np.ndarray, number: type):
    """Rows (n, 3) as the library's own records of three numbers each."""
    return (kind * len(rows)).from_buffer_copy(np.ascontiguousarray(rows, number))


def _places(sizes: Sequence[np.ndarray]) -> list[tuple[float, float]]:
    """Lower left corners (x, y) of bodies of the given sizes in rows."""
    out, y = [], 0.0
    for start in range(0, len(sizes), ROW):
        row, x = sizes[start:start + ROW], 0.0
        for size in row:
            out.append((x, y))
            x += float(size[0]) + GAP_MM
        y += max(float(s[1]) for s in row) + GAP_MM
    return out
