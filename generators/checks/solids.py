"""Whether every piece is one sound solid, and whether any two sink into each other."""

import itertools

import numpy as np
import trimesh
from OCP.BRep import BRep_Tool

from generators.bodies import Body, sagittas
from generators.bodies.sinking import sunk
from generators.findings import Check, judged
from generators.meshes import CHORD_MM, PartMeshes
from generators.pieces import Part
from generators.sheet.solids import INTEGRATION

VOLUME_SHARE = 0.005
"""A mesh whose volume strays further from its solid's misses a face or has one twice; what the facets of rounded faces
leave out or take in is allowed for besides."""

SINK_MM = 0.1
"""Pieces that only touch may be meshed into each other by two chords where they share a rounded face; what is more would
have to be filed off (common practice)."""


def is_closed(solid) -> bool:
    """Whether a kernel solid has one shell, and that is closed."""
    shells = solid.Shells()
    return len(shells) == 1 and BRep_Tool.IsClosed_s(shells[0].wrapped)


def fault(solid, mesh: trimesh.Trimesh, sound: list | None = None) -> str:
    """What is wrong with one solid (kernel) or its mesh; empty where nothing is. `sound` holds the solids found valid: one
    shape in several places is asked about once."""
    known = sound if sound is not None else []
    if not any(solid.wrapped.IsPartner(s) for s in known):
        if not solid.isValid():
            return "the kernel calls it invalid"
        known.append(solid.wrapped)
    if not is_closed(solid):
        return "its shell is not one closed shell"
    volume = solid.Volume(INTEGRATION)
    if not volume > 0:
        return f"its volume is {volume:.3f} mm3"
    if not (mesh.is_watertight and mesh.is_winding_consistent):
        return "its mesh is not watertight"
    if abs(mesh.volume - volume) > VOLUME_SHARE * volume + facets(mesh):
        return f"its mesh holds {mesh.volume:.1f} mm3, the solid {volume:.1f} mm3"
    return ""


def facets(mesh: trimesh.Trimesh) -> float:
    """Volume (mm3) that may lie between the facets of rounded faces and the faces themselves, no less."""
    return float(mesh.area_faces @ sagittas(mesh, hollows=True))


def solids(part: Part, meshes: PartMeshes) -> Check:
    """Number of copies that are not one valid closed solid of positive volume."""
    sound: list = []
    faults = [
        f"{p.name}: {said}"
        for p in part.pieces
        for i, solid in enumerate(p.solids)
        if (said := fault(solid, meshes.copies[p.name, i], sound))
    ]
    found = f"; found: {'; '.join(faults)}" if faults else ""
    return judged(
        id=f"{part.name}.solids",
        title="Pieces that are not one sound solid",
        value=float(len(faults)),
        limit=0.0,
        unit="",
        sense="<=",
        source="a piece is one body of metal",
        method=f"each of {len(meshes.copies)} copies: valid, one closed shell, positive volume by the kernel; its "
        f"mesh watertight "
        f"and within {VOLUME_SHARE:.1%} of the solid's volume, facets allowed for{found}",
    )


def may_meet(bodies: tuple[Body, ...]) -> list[tuple[Body, Body]]:
    """Pairs whose bounding boxes overlap."""
    lows, highs = (np.array([b.box[side] for b in bodies]) for side in (0, 1))
    overlap = (lows[:, None] < highs[None]) & (lows[None] < highs[:, None])
    rows, columns = np.nonzero(np.triu(overlap.all(axis=2), 1))
    return [(bodies[i], bodies[j]) for i, j in zip(rows, columns)]


def interpenetration(part: Part, bodies: tuple[Body, ...]) -> Check:
    """Worst depth (mm) that two copies sink into each other."""
    depth, a, b = max(
        ((sunk(a, b, enough=SINK_MM), a, b) for a, b in may_meet(bodies)),
        key=lambda found: found[0],
        default=(0.0, None, None),
    )
    where = f"; deepest: {label(a)} in {label(b)}" if depth > 0 else ""
    return judged(
        id=f"{part.name}.interpenetration",
        title="Deepest overlap of two pieces",
        value=float(depth),
        limit=SINK_MM,
        unit="mm",
        sense="<=",
        source=f"touching pieces may be meshed into each other by two chords of {CHORD_MM} mm; {SINK_MM:g} mm at most (common practice)",
        method=f"intersection of the meshes (chord {CHORD_MM} mm) of all pairs of copies; depth of an overlap: its "
        f"least extent, "
        f"or the deepest point of one skin under the other where that is less{where}",
    )


def label(body: Body) -> str:
    """How a copy is named in a method."""
    return f"{body.name} {body.index + 1}"


def all_pairs(bodies: tuple[Body, ...]) -> list[tuple[Body, Body]]:
    """Every pair of copies."""
    return list(itertools.combinations(bodies, 2))
