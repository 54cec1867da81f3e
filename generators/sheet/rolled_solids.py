"""Rolled descriptions into kernel solids. A shell with holes is sewn from its own faces, with no boolean: each hole is
bounded on both cylinders by the same curve of azimuth and height, and its wall runs radially between them."""

import math

import cadquery as cq
import numpy as np
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepFill import BRepFill
from OCP.BRepLib import BRepLib
from OCP.Geom import Geom_CylindricalSurface
from OCP.Geom2d import Geom2d_BezierCurve
from OCP.GeomAbs import GeomAbs_Shape
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt2d

from generators.findings import KernelFailure
from generators.outlines import circle, rectangle
from generators.sheet.branches import Branch, branch_frame, round_angles, saddle_volume
from generators.sheet.rolled import Frustum, Shell, frustum_section, hole_on_wall, shell_flat
from generators.sheet.solids import face, one_solid, proved, tube, turned

SEWING_MM = 1e-4
"""Edges nearer than this are one edge: ten times the tolerance that the hole's edges are made with."""

CURVE_MM = 1e-5
"""How closely an edge's curve in space follows its curve on the cylinder."""

HOLED_SHARE = 1e-6
"""Share of its closed form by which the volume of a shell with developed holes may differ: the flat's arcs and the
solid's curves follow the same development and differ by some 1e-8 of the shell between them."""

QUADRATURE_SHARE = 1e-7
"""Share to which the kernel is asked to integrate a coped tube: left to itself it is half a percent off there."""

HOLE_EDGES, HOLE_PHASES = 12, 240
"""Edges of a hole, and the points that its slopes and curvatures are taken from (a multiple)."""

CURVE_DEGREE, CURVE_PIECES = 14, 32
"""Most that the kernel may spend on an edge's curve in space; its own defaults."""


def shell_solid(shell: Shell, *, part: str = "sheet", step: str = "rolling") -> cq.Solid:
    """The rolled shell: one valid solid of flat area x thickness. Raises KernelFailure otherwise."""
    if not shell.branches:
        ring = rectangle(x0=shell.inside_radius, y0=0, x1=shell.outside_radius, y1=shell.height)
        return proved(turned(ring), volume=shell.width * shell.height * shell.thickness, part=part, step=step)
    solid = proved(_sewn(shell), volume=None, part=part, step=step, dimensions=shell)
    volume = shell_flat(shell).area * shell.thickness
    if abs(solid.Volume() - volume) > HOLED_SHARE * volume:
        raise KernelFailure(part, step, f"{shell}: {solid.Volume()} mm3 where the flat gives {volume}")
    return solid


def frustum_solid(cone: Frustum, *, part: str = "sheet", step: str = "rolling a cone") -> cq.Solid:
    """The rolled cone: one valid solid of mean surface x thickness. Raises KernelFailure otherwise."""
    return proved(
        turned(frustum_section(cone)), volume=cone.area * cone.thickness, part=part, step=step, dimensions=cone
    )


def set_on_tube(
    branch: Branch,
    *,
    bore: float,
    shell_outside: float,
    mean_radius: float,
    end: float,
    part: str = "sheet",
    step: str = "coping a tube",
) -> cq.Solid:
    """A tube of outside `branch.radius` coped to sit on the outside of a shell, out to `end` mm along its axis from its
    point nearest the main axis; `bore` is its inside diameter. One valid solid of the volume that the saddle curves
    give."""
    where = branch_frame(branch, mean_radius=mean_radius)
    stick = tube(outer=2 * branch.radius, bore=bore, length=end, where=where)
    reach = 2 * end + 2 * shell_outside
    main = cq.Solid.makeCylinder(shell_outside, 2 * reach, cq.Vector(0, 0, branch.height - reach), cq.Vector(0, 0, 1))
    cut = max(stick.cut(main).Solids(), key=lambda s: s.Volume())
    volume = sum(
        sign
        * (
            math.pi * r**2 * end
            - saddle_volume(main_radius=shell_outside, radius=r, angle=branch.angle, offset=branch.offset)
        )
        for sign, r in ((1, branch.radius), (-1, bore / 2))
    )
    proved(cut, volume=None, part=part, step=step, dimensions=branch)
    if abs(cut.Volume(QUADRATURE_SHARE) - volume) > HOLED_SHARE * volume:
        raise KernelFailure(part, step, f"{branch}: {cut.Volume(QUADRATURE_SHARE)} mm3 where the saddle gives {volume}")
    return cut


def _sewn(shell: Shell) -> cq.Solid:
    """The shell's faces sewn into a solid."""
    sewing = BRepBuilderAPI_Sewing(SEWING_MM)
    outside, outer_edges = _cylinder_face(shell, shell.outside_radius)
    inside, inner_edges = _cylinder_face(shell, shell.inside_radius)
    for made in (outside, inside):
        sewing.Add(made)
    for out, into in zip(outer_edges, inner_edges):
        sewing.Add(BRepFill.Face_s(out, into))
    ring = face(circle(x=0, y=0, radius=shell.outside_radius), [circle(x=0, y=0, radius=shell.inside_radius)])
    for z in (0, shell.height):
        sewing.Add(ring.moved(cq.Location((0, 0, z))).wrapped)
    sewing.Perform()
    sewn = cq.Shape.cast(sewing.SewedShape())
    if sewn.ShapeType() != "Shell" or sewing.NbFreeEdges():
        raise KernelFailure(
            "sheet", "sewing a rolled shell", f"{shell}: {sewn.ShapeType()}, {sewing.NbFreeEdges()} free edges"
        )
    return one_solid(cq.Solid.makeSolid(sewn))


def _cylinder_face(shell: Shell, radius: float):
    """The wall's face at `radius` with its holes, and the edges of all holes."""
    seam = gp_Dir(math.cos(shell.seam), math.sin(shell.seam), 0)
    surface = Geom_CylindricalSurface(gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), seam), radius)
    maker = BRepBuilderAPI_MakeFace(surface, 0, 2 * math.pi, 0, shell.height, CURVE_MM)
    edges = []
    for branch in shell.branches:
        points = hole_on_wall(shell, branch, round_angles(HOLE_PHASES))
        wire = BRepBuilderAPI_MakeWire()
        for edge in _edges_on(surface, points):
            wire.Add(edge)
            edges.append(edge)
        maker.Add(wire.Wire())
    return maker.Face(), edges


def _edges_on(surface, points: np.ndarray) -> list:
    """Edges of the smooth closed curve on `surface` through `points` (n, 2) of its parameters, equally spaced in phase:
    quintics that agree in place, slope and curvature. The kernel integrates a face well only where each of its edges is
    a single polynomial, and fewer edges make a quicker solid."""
    step = 2 * math.pi / HOLE_EDGES
    p, slope, curve = (d[:: len(points) // HOLE_EDGES] for d in (points, *_phase_derivatives(points)))
    q, slope_q, curve_q = (np.roll(d, -1, axis=0) for d in (p, slope, curve))
    poles = np.stack(
        [
            p,
            p + step / 5 * slope,
            p + 2 * step / 5 * slope + step**2 / 20 * curve,
            q - 2 * step / 5 * slope_q + step**2 / 20 * curve_q,
            q - step / 5 * slope_q,
            q,
        ],
        axis=1,
    )
    return [_edge_on(surface, stretch) for stretch in poles]


def _phase_derivatives(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First and second derivative of a smooth closed curve (n, 2) with respect to phase, by its Fourier series."""
    terms = np.fft.rfft(points, axis=0)
    order = 1j * np.arange(len(terms))[:, None]
    return np.fft.irfft(order * terms, len(points), axis=0), np.fft.irfft(order**2 * terms, len(points), axis=0)


def _edge_on(surface, poles: np.ndarray):
    """The edge on `surface` whose parameters run along the Bezier curve with `poles` (n, 2)."""
    listed = TColgp_Array1OfPnt2d(1, len(poles))
    for i, (u, v) in enumerate(poles):
        listed.SetValue(i + 1, gp_Pnt2d(float(u), float(v)))
    edge = BRepBuilderAPI_MakeEdge(Geom2d_BezierCurve(listed), surface).Edge()
    BRepLib.BuildCurve3d_s(edge, CURVE_MM, GeomAbs_Shape.GeomAbs_C1, CURVE_DEGREE, CURVE_PIECES)
    return edge
