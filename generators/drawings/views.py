"""What is seen of solids from one side: the exact outlines and edges, those in sight and those behind others."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import cadquery as cq
import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GCPnts import GCPnts_TangentialDeflection
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_PolyAlgo, HLRBRep_PolyHLRToShape
from OCP.TopAbs import TopAbs_EDGE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound

CHORD_MM, TURN, MESH_TURN = 0.05, math.radians(6.0), 0.2
"""How near the chords of a curved edge are to it, and the turn from one to the next, on an edge and on a mesh, rad."""

ARC_POINTS = 17
"""Points on a curved edge of a section."""

SHORT_MM = 1e-4
"""An edge shorter than this is a point."""


@dataclass(frozen=True)
class Side:
    """From where one looks: `towards` (3,) from the part to the eye, `right` (3,) what lies to the right on the paper."""

    name: str
    towards: tuple[float, float, float]
    right: tuple[float, float, float]

    @property
    def up(self) -> np.ndarray:
        """What lies upwards on the paper, (3,)."""
        return np.cross(self.towards, self.right)

    def flat(self, points) -> np.ndarray:
        """Points (n, 3) of the part where they lie on the paper, (n, 2) mm."""
        return np.asarray(points, float) @ np.column_stack([self.right, self.up])


@dataclass(frozen=True)
class View:
    """Edges as seen from one side: polylines (n, 2) mm in sight, and hidden."""

    side: Side
    visible: tuple[np.ndarray, ...]
    hidden: tuple[np.ndarray, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of what is in sight, mm."""
        points = np.vstack(self.visible)
        return (*map(float, points.min(axis=0)), *map(float, points.max(axis=0)))


def _compound(solids: Iterable[cq.Shape]) -> TopoDS_Compound:
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for solid in solids:
        builder.Add(compound, solid.wrapped)
    return compound


def _projector(side: Side) -> HLRAlgo_Projector:
    return HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*side.towards), gp_Dir(*side.right)))


def meshed_view(solids: Iterable[cq.Shape], side: Side) -> View:
    """What is in sight from a side, of meshes no farther than CHORD_MM from the solids: quicker than the exact way where curved surfaces are seen
    along themselves."""
    compound = _compound(solid.copy() for solid in solids)
    BRepMesh_IncrementalMesh(compound, CHORD_MM, False, MESH_TURN)
    algorithm = HLRBRep_PolyAlgo()
    algorithm.Load(compound)
    algorithm.Projector(_projector(side))
    algorithm.Update()
    shapes = HLRBRep_PolyHLRToShape()
    shapes.Update(algorithm)
    return View(side, (*_lines(shapes.VCompound()), *_lines(shapes.OutLineVCompound())), ())


def view(solids: Iterable[cq.Shape], side: Side, *, hidden: bool = True) -> View:
    """The solids as seen from a side, with hidden edges where they are wanted."""
    algorithm = HLRBRep_Algo()
    algorithm.Add(_compound(solids))
    algorithm.Projector(_projector(side))
    algorithm.Update()
    algorithm.Hide()
    shapes = HLRBRep_HLRToShape(algorithm)
    seen = [*_lines(shapes.VCompound()), *_lines(shapes.OutLineVCompound())]
    behind = [*_lines(shapes.HCompound()), *_lines(shapes.OutLineHCompound())] if hidden else []
    return View(side, tuple(seen), tuple(behind))


def _lines(compound) -> list[np.ndarray]:
    """The edges of a compound in the plane of the paper as polylines (n, 2)."""
    if compound is None or compound.IsNull():
        return []
    BRepLib.BuildCurves3d_s(compound)
    out, explorer = [], TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        points = _points(BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current())))
        if np.linalg.norm(np.diff(points, axis=0), axis=1).sum() > SHORT_MM:
            out.append(points)
        explorer.Next()
    return out


def _points(curve: BRepAdaptor_Curve) -> np.ndarray:
    first, last = curve.FirstParameter(), curve.LastParameter()
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        ends = [curve.Value(first), curve.Value(last)]
        return np.array([(p.X(), p.Y()) for p in ends])
    chords = GCPnts_TangentialDeflection(curve, first, last, TURN, CHORD_MM)
    return np.array([(p.X(), p.Y()) for p in (chords.Value(i) for i in range(1, chords.NbPoints() + 1))])


def cut(solids: Iterable[cq.Shape], side: Side, offset: float) -> list[tuple[int, np.ndarray, list[np.ndarray]]]:
    """The faces in which the plane at `offset` mm along `side`'s direction cuts each of the solids: the solid's number, the outline (n, 2)
    and its holes on the paper, mm."""
    towards = np.array(side.towards) / np.linalg.norm(side.towards)
    plane = cq.Face.makePlane(None, None, basePnt=tuple(map(float, towards * offset)), dir=tuple(map(float, towards)))
    found = []
    for number, solid in enumerate(solids):
        box = solid.BoundingBox()
        corners = np.array([(x, y, z) for x in (box.xmin, box.xmax) for y in (box.ymin, box.ymax) for z in (box.zmin, box.zmax)]) @ towards
        if not corners.min() < offset < corners.max():
            continue
        for face in solid.intersect(plane).Faces():
            outer = _ring(face.outerWire(), side)
            found.append((number, outer, [_ring(w, side) for w in face.innerWires()]))
    return found


def _ring(wire: cq.Wire, side: Side) -> np.ndarray:
    """A closed wire as corners (n, 2) on the paper."""
    points, walk = [], BRepTools_WireExplorer(wire.wrapped)
    while walk.More():
        curve = BRepAdaptor_Curve(walk.Current())
        count = 2 if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line else ARC_POINTS
        here = [(p.X(), p.Y(), p.Z()) for p in map(curve.Value, np.linspace(curve.FirstParameter(), curve.LastParameter(), count))]
        points += (here[::-1] if walk.Current().Orientation() == TopAbs_REVERSED else here)[:-1]
        walk.Next()
    return side.flat(points)
