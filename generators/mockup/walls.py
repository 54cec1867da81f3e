"""How thin a printed body is: measured through it from many places of its skin."""

import numpy as np
import trimesh
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonCore import reference, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData, vtkStaticCellLocator

PLACES, SEED = 600, 7
"""Places on the skin that are looked at, spread over its area; always the same."""

OFF_MM, FAR_MM = 1e-3, 1e4
"""A ray starts so far under the skin, and goes so far."""

OPPOSITE = 0.95
"""Two faces are a wall where the one looks away from the other by this much (cosine): an edge that runs out to nothing is none."""

SHARE = 0.005
"""Of the walls that may be thinner than what is told: rays graze."""


def thinnest(mesh: trimesh.Trimesh) -> float:
    """Thickness (mm), square to the skin, of the thinnest wall: all but SHARE of what is looked at is thicker."""
    points, faces = trimesh.sample.sample_surface(mesh, PLACES, seed=SEED)
    inward = -mesh.face_normals[faces]
    locator = vtkStaticCellLocator()
    locator.SetDataSet(_poly(mesh))
    locator.BuildLocator()
    found = []
    for start, way in zip(points + OFF_MM * inward, inward, strict=True):
        t, cell = reference(0.0), reference(0)
        met = locator.IntersectWithLine(start, start + FAR_MM * way, 1e-9, t, [0.0, 0.0, 0.0], [0.0, 0.0, 0.0], reference(0), cell)
        if met and mesh.face_normals[int(cell)] @ way > OPPOSITE:
            found.append(float(t) * FAR_MM + OFF_MM)
    return float(np.quantile(found, SHARE)) if found else 0.0


def _poly(mesh: trimesh.Trimesh) -> vtkPolyData:
    points, cells = vtkPoints(), vtkCellArray()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(mesh.vertices, np.float64), deep=True))
    cells.SetData(numpy_to_vtk(np.arange(0, 3 * len(mesh.faces) + 1, 3, dtype=np.int64), deep=True),
                  numpy_to_vtk(np.ascontiguousarray(mesh.faces.reshape(-1), np.int64), deep=True))
    poly = vtkPolyData()
    poly.SetPoints(points)
    poly.SetPolys(cells)
    return poly
