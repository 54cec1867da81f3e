"""Descriptions into kernel solids: plane faces with all their holes, extruded or turned once, then one fuse of many."""

import math

import cadquery as cq
import numpy as np

from generators.findings import KernelFailure
from generators.outlines import Loop, arc_of
from generators.sheet.folded import FoldedSheet, bend_ends, folded_frames, metal_volume
from generators.sheet.frames import Frame, identity

VOLUME_SHARE = 1e-6
"""A solid whose volume strays further than this share from its closed form is not what was asked for."""


INTEGRATION = 1e-6
"""Relative tolerance of the kernel's integral for a volume: its default is 0.5 % off on a coped tube."""


def wire(loop: Loop) -> cq.Wire:
    """The loop in the plane z = 0."""
    round_ = loop.as_circle()
    if round_:
        (x, y), radius = round_
        return cq.Wire.makeCircle(radius, cq.Vector(x, y, 0), cq.Vector(0, 0, 1))
    edges = []
    for start, end, bulge in loop.segments():
        a, b = cq.Vector(*map(float, start), 0), cq.Vector(*map(float, end), 0)
        if bulge:
            centre, radius, angle, included = arc_of(start, end, bulge)
            middle = centre + radius * np.array([math.cos(angle + included / 2), math.sin(angle + included / 2)])
            edges.append(cq.Edge.makeThreePointArc(a, cq.Vector(*map(float, middle), 0), b))
        else:
            edges.append(cq.Edge.makeLine(a, b))
    return cq.Wire.assembleEdges(edges)


def face(outer: Loop, holes=()) -> cq.Face:
    """A plane face at z = 0 with its holes."""
    return cq.Face.makeFromWires(wire(outer), [wire(h) for h in holes])


def location(where: Frame) -> cq.Location:
    """The frame as a kernel location."""
    m = where.matrix
    return cq.Location(cq.Plane(tuple(map(float, m[:3, 3])), tuple(map(float, m[:3, 0])), tuple(map(float, m[:3, 2]))))


def prism(outer: Loop, *, height: float, holes=(), where: Frame | None = None) -> cq.Solid:
    """The loop with its holes, extruded from z = 0 to `height` (mm; may be negative) in the frame `where`."""
    made = cq.Solid.extrudeLinear(face(outer, holes), cq.Vector(0, 0, height))
    return made.moved(location(where)) if where else made


def turned(outline: Loop, *, where: Frame | None = None, angle: float = 2 * math.pi) -> cq.Solid:
    """`outline` in (radius, height) turned about the z axis by `angle` (rad), in the frame `where`."""
    upright = cq.Location(cq.Plane((0, 0, 0), (1, 0, 0), (0, -1, 0)))
    made = cq.Solid.revolve(wire(outline).moved(upright), [], math.degrees(angle), cq.Vector(0, 0, 0), cq.Vector(0, 0, 1))
    return made.moved(location(where)) if where else made


def tube(*, outer: float, bore: float, length: float, where: Frame | None = None) -> cq.Solid:
    """A round tube or, with bore 0, a bar along +z from the frame's origin; diameters and length in mm."""
    from generators.outlines import circle

    holes = [circle(x=0, y=0, radius=bore / 2)] if bore else []
    return prism(circle(x=0, y=0, radius=outer / 2), height=length, holes=holes, where=where)


def one_solid(shape: cq.Shape) -> cq.Solid:
    """The single solid in `shape`. Raises ValueError where there is none or more than one."""
    found = shape.Solids()
    if len(found) != 1:
        raise ValueError(f"{len(found)} solids where one was asked for")
    return found[0]


def proved(solid: cq.Shape, *, volume: float | None, part: str, step: str, dimensions: object = "") -> cq.Solid:
    """The one valid closed solid in `solid`, of `volume` mm3 where a closed form is known. Raises KernelFailure."""
    found = solid.Solids()
    holds = found[0].Volume(INTEGRATION) if len(found) == 1 else 0.0
    sound = holds > 0 and found[0].isValid()
    if sound and volume is not None:
        sound = abs(holds - volume) <= VOLUME_SHARE * volume
    if not sound:
        said = [f"{s.Volume():.3f}" for s in found]
        raise KernelFailure(part, step, f"{dimensions}; asked for one solid of {volume} mm3, got {len(found)}: {said}")
    return found[0]


def _bend_solid(sheet: FoldedSheet, bend) -> cq.Solid:
    """The curved metal of one bend, in the parent's frame."""
    first, last = bend_ends(sheet, bend)
    t, turn = sheet.thickness, abs(bend.angle)
    corners = [cq.Vector(*map(float, p), z) for p, z in ((first, 0), (last, 0), (last, t), (first, t))]
    section = cq.Wire.makePolygon(corners, close=True)
    height = t + bend.radius if bend.angle > 0 else -bend.radius
    ends = [cq.Vector(*map(float, p), height) for p in (first, last)]
    ends = ends[::-1] if bend.angle > 0 else ends
    return cq.Solid.revolve(section, [], math.degrees(turn), *ends)


def folded_solid(sheet: FoldedSheet, *, where: Frame | None = None, part: str = "sheet", step: str = "folding") -> cq.Solid:
    """The folded piece with its first region at `where`: one valid solid of exactly the closed-form volume.

    Raises KernelFailure otherwise."""
    placed = folded_frames(sheet, where or identity())
    solids = [prism(r.outer, height=sheet.thickness, holes=r.holes, where=placed[r.name]) for r in sheet.regions]
    solids += [_bend_solid(sheet, b).moved(location(placed[b.parent])) for b in sheet.bends]
    joined = solids[0].fuse(*solids[1:]) if len(solids) > 1 else solids[0]
    return proved(joined, volume=metal_volume(sheet), part=part, step=step, dimensions=f"t={sheet.thickness}")
