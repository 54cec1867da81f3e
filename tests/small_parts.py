"""Bodies of a few faces whose distances can be reckoned by hand, and parts made of them."""

import math

import numpy as np
import trimesh

from generators.crank import Band, SweptRegion
from generators.crank.sweep import circle_radii
from generators.meshes import PartMeshes, solid_mesh
from generators.outlines import Loop, circle, rectangle
from generators.pieces import Part, Piece, Seam
from generators.sheet.flat import FlatPattern
from generators.sheet.frames import frame
from generators.sheet.solids import prism, tube

MATERIAL, DENSITY = "5052-H32", 2680.0


def block(low, high):
    """The box between two corners (3,), mm."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    where = frame(origin=(0, 0, z0), x=(1, 0, 0), z=(0, 0, 1))
    return prism(rectangle(x0=x0, y0=y0, x1=x1, y1=y1), height=z1 - z0, where=where)


def bar(*, radius: float, length: float, bore: float = 0.0, origin=(0, 0, 0), axis=(0, 0, 1)):
    """A round bar or tube of outside `radius` and `bore` radius from `origin` along `axis`, mm."""
    across = np.cross(axis, (0.36, 0.48, 0.8))
    return tube(outer=2 * radius, bore=2 * bore, length=length, where=frame(origin=origin, x=across, z=axis))


def bored_block(low, high, *, radius: float):
    """A box with a round hole of `radius` mm along z through its middle."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    hole = circle(x=(x0 + x1) / 2, y=(y0 + y1) / 2, radius=radius)
    where = frame(origin=(0, 0, z0), x=(1, 0, 0), z=(0, 0, 1))
    return prism(rectangle(x0=x0, y0=y0, x1=x1, y1=y1), height=z1 - z0, holes=[hole], where=where)


def solid_piece(name: str, *solids, loose: bool = False) -> Piece:
    """A piece that is not of sheet."""
    return Piece(name, "turned", MATERIAL, DENSITY, solids, loose=loose)


def sheet_piece(
    name: str, flat: FlatPattern, *, thickness: float = 2.0, material: str = MATERIAL, kind: str = "plate", solids=None
) -> Piece:
    """A sheet piece; its solid is the flat's outline as thick as the sheet unless given."""
    made = solids or (prism(flat.outer, height=thickness, holes=flat.holes),)
    return Piece(name, kind, material, DENSITY, tuple(made), thickness, flat)


def plate(width: float, height: float, *holes: Loop) -> FlatPattern:
    """A rectangle from the origin with holes, mm."""
    return FlatPattern(rectangle(x0=0, y0=0, x1=width, y1=height), holes)


def part_of(*pieces: Piece, seams: tuple[Seam, ...] = (), touching=(), **more) -> Part:
    """A part called "sample"."""
    pairs = tuple(frozenset(pair) for pair in touching)
    return Part("sample", pieces, None, seams=seams, touching=pairs, **more)


def meshes_of(part: Part, *, oil_space: trimesh.Trimesh | None = None) -> PartMeshes:
    """The meshes of the copies alone, not joined."""
    copies = {(p.name, i): solid_mesh(s) for p in part.pieces for i, s in enumerate(p.solids)}
    return PartMeshes(part, copies, trimesh.Trimesh(), trimesh.Trimesh(), oil_space)


def cylinder_region(radius: float, *, x0: float = 0.0, x1: float = 200.0) -> SweptRegion:
    """A crank of which nothing is known but how far it swings."""
    return SweptRegion((Band(x0, x1, circle_radii(radius), "swing"),), "right")


CIRCLE_SPARE = 80 * (1 / math.cos(math.radians(0.25)) - 1)
"""How far a polygon of 720 sides round a circle of 80 mm stands out at its corners, mm."""
