"""Pictures of meshes, rendered without a display."""

from collections.abc import Iterable
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
import trimesh
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  the drawing back end: windows are made by it
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkLogger, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkPolyDataNormals
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkLightKit,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
    vtkWindowToImageFilter,
)

from generators.exports.step import COLOURS
from generators.meshes import PartMeshes, trimmed

ABOVE = (0.75, -1.0, 0.7)
BELOW = (0.75, -1.0, -0.65)
FROM_RIGHT = (0.12, -1.0, 0.18)
FROM_FRONT = (1.0, -0.12, 0.18)
"""Where the eye stands, as a direction from the part: three-quarter views, one nearly square to its length, one along it."""

OIL_COLOUR, OIL_OPACITY = (0.86, 0.62, 0.18), 0.75
EDGE_COLOUR = (0.16, 0.18, 0.22)
EDGE_DEG = 25.0
"""Edges are drawn where the surface turns more sharply than this: well above the turn between triangles of one curved face."""

EDGE_PIXELS, SAMPLES = 1.6, 4
QUICK = 3
"""Effort of packing a picture: more takes longer than it is worth."""

SIZE = (1100, 720)
FILL = 1.06
"""The picture is this much larger than the part."""

AMBIENT, DIFFUSE = 0.4, 0.8


@dataclass(frozen=True)
class Body:
    """A closed mesh with its colour (red, green, blue; 0 to 1)."""

    mesh: trimesh.Trimesh
    colour: tuple[float, float, float]
    opacity: float = 1.0


@dataclass(frozen=True)
class Cut:
    """What lies where normal . p >= offset (mm) is kept."""

    normal: tuple[float, float, float]
    offset: float


def bodies(meshes: PartMeshes) -> list[Body]:
    """Each copy of each piece in its piece's colour, the same as in the STEP file."""
    colour = {p.name: COLOURS[i % len(COLOURS)] for i, p in enumerate(meshes.part.pieces)}
    return [Body(mesh, colour[name]) for (name, _), mesh in meshes.copies.items()]


@dataclass(frozen=True)
class Window:
    """What of a picture is shown: `half` mm up and down from a point (3,)."""

    middle: tuple[float, float, float]
    half: float


def _poly(mesh: trimesh.Trimesh) -> vtkPolyData:
    points, cells = vtkPoints(), vtkCellArray()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(mesh.vertices, dtype=np.float64), deep=True))
    starts = np.arange(0, 3 * len(mesh.faces) + 1, 3, dtype=np.int64)
    cells.SetData(numpy_to_vtk(starts, deep=True), numpy_to_vtk(np.ascontiguousarray(mesh.faces.reshape(-1), np.int64), deep=True))
    poly = vtkPolyData()
    poly.SetPoints(points)
    poly.SetPolys(cells)
    return poly


def _surface(poly: vtkPolyData, body: Body) -> vtkActor:
    normals = vtkPolyDataNormals()
    normals.SetInputData(poly)
    normals.SetFeatureAngle(EDGE_DEG)
    actor = _actor(normals)
    look = actor.GetProperty()
    look.SetColor(*body.colour)
    look.SetOpacity(body.opacity)
    look.SetAmbient(AMBIENT)
    look.SetDiffuse(DIFFUSE)
    return actor


def _edges(poly: vtkPolyData) -> vtkActor:
    edges = vtkFeatureEdges()
    edges.SetInputData(poly)
    edges.SetFeatureAngle(EDGE_DEG)
    edges.ColoringOff()
    actor = _actor(edges)
    actor.GetProperty().SetColor(*EDGE_COLOUR)
    actor.GetProperty().SetLineWidth(EDGE_PIXELS)
    actor.GetProperty().LightingOff()
    return actor


def _actor(source) -> vtkActor:
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(source.GetOutputPort())
    mapper.ScalarVisibilityOff()
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor = vtkActor()
    actor.SetMapper(mapper)
    return actor


def _aim(renderer: vtkRenderer, points: np.ndarray, view, size: tuple[int, int], window: Window | None = None) -> None:
    """Parallel projection along `view`, z up, just large enough for all points (n, 3), or of the window alone."""
    towards = np.asarray(view, float) / np.linalg.norm(view)
    right = np.cross((0, 0, 1), towards)
    right = right / np.linalg.norm(right)
    up = np.cross(towards, right)
    across = points @ np.column_stack([right, up, towards])
    low, high = across.min(axis=0), across.max(axis=0)
    middle = (low + high) / 2 @ np.array([right, up, towards])
    half = (high - low) / 2
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*middle)
    camera.SetPosition(*(middle + towards * (np.linalg.norm(half) * 2 + 1)))
    camera.SetViewUp(*up)
    if window is not None:
        camera.SetFocalPoint(*window.middle)
        camera.SetPosition(*(np.asarray(window.middle) + towards * (np.linalg.norm(half) * 2 + 1)))
    camera.SetParallelScale(window.half if window is not None else FILL * max(half[1], half[0] * size[1] / size[0]))
    renderer.ResetCameraClippingRange()


def picture(shown: Iterable[Body], *, view=ABOVE, cut: Cut | None = None, size: tuple[int, int] = SIZE, window: Window | None = None,
            marks: Iterable[Body] = ()) -> bytes:
    """One of `pictures`."""
    return pictures(shown, views=[view], cut=cut, size=size, window=window, marks=marks)[0]


def pictures(shown: Iterable[Body], *, views, cut: Cut | None = None, size: tuple[int, int] = SIZE, window: Window | None = None,
             marks: Iterable[Body] = ()) -> list[bytes]:
    """A PNG of the bodies seen from each direction (3,) of `views`, on white, with their edges; `cut` takes away what lies
    on its far side and closes the section. `size` in pixels. All of it is shown, or what the `window` has; `marks` are not cut. Raises ValueError where nothing is left to
    show."""
    kept = [_cut(b, cut) for b in shown] if cut else list(shown)
    kept = [b for b in kept if len(b.mesh.faces)]
    if not kept:
        raise ValueError("nothing to show")
    kept += list(marks)
    renderer = vtkRenderer()
    renderer.SetBackground(1, 1, 1)
    vtkLightKit().AddLightsToRenderer(renderer)
    for body in kept:
        poly = _poly(body.mesh)
        renderer.AddActor(_surface(poly, body))
        renderer.AddActor(_edges(poly))
    points = np.vstack([b.mesh.vertices for b in kept])
    with _quiet():
        return _pngs(vtkRenderWindow(), renderer, points, views, size, window)


def _cut(body: Body, cut: Cut) -> Body:
    return Body(trimmed(body.mesh, normal=cut.normal, offset=cut.offset), body.colour, body.opacity)


@contextmanager
def _quiet():
    """Without the drawing library's remark, on a system without a display, that it has to draw without one."""
    before = vtkLogger.GetCurrentVerbosityCutoff()
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        yield
    finally:
        vtkLogger.SetStderrVerbosity(before)


def _pngs(window: vtkRenderWindow, renderer: vtkRenderer, points: np.ndarray, views, size: tuple[int, int],
          shown: Window | None) -> list[bytes]:
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(SAMPLES)
    window.SetSize(*size)
    window.AddRenderer(renderer)
    made = []
    for view in views:
        _aim(renderer, points, view, size, shown)
        window.Render()
        made.append(_png(window))
    window.Finalize()
    return made


def _png(window: vtkRenderWindow) -> bytes:
    image = vtkWindowToImageFilter()
    image.SetInput(window)
    image.ReadFrontBufferOff()
    image.ShouldRerenderOff()
    writer = vtkPNGWriter()
    writer.WriteToMemoryOn()
    writer.SetCompressionLevel(QUICK)
    writer.SetInputConnection(image.GetOutputPort())
    writer.Write()
    return vtk_to_numpy(writer.GetResult()).tobytes()
