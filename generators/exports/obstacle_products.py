"""The vehicle's obstacles as products of a STEP file."""

from collections.abc import Sequence

import cadquery as cq
import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Sewing
from OCP.gp import gp_Pnt
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopoDS import TopoDS

from generators.bodies import Body
from generators.exports.step import OBSTACLE_COLOUR, OBSTACLES, Product
from generators.findings import KernelFailure
from generators.fit.record import Obstruction

MOST_TRIANGLES = 3000
"""A mesh of more makes a STEP file that programs choke on: it is left to the GLB file."""

SEWN_MM = 1e-5
VOLUME_SHARE = 1e-6


def left_out(obstructions: Sequence[Obstruction]) -> dict[str, str]:
    """Why an obstacle is not in the STEP file, by its label."""
    return {o.label: f"{_count(o)} triangles; more than {MOST_TRIANGLES} are in assembly.glb only" for o in obstructions if not _is_in(o)}


def _count(obstruction: Obstruction) -> int:
    return sum(len(b.faces) for b in obstruction.bodies)


def _is_in(obstruction: Obstruction) -> bool:
    return bool(obstruction.solids) or _count(obstruction) <= MOST_TRIANGLES


def products(obstructions: Sequence[Obstruction]) -> tuple[Product, ...]:
    """One group with a product for each obstacle that can be in the file, and in it one for each of its bodies; none without them."""
    made = tuple(Product(o.label, None, None, tuple(Product(f"{o.label}_{i}", OBSTACLE_COLOUR, solid) for i, solid in enumerate(_solids(o), start=1)))
                 for o in obstructions if _is_in(o))
    return (Product(OBSTACLES, None, None, made),) if made else ()


def _solids(obstruction: Obstruction) -> list[cq.Solid]:
    return list(obstruction.solids) or [faceted(b) for b in obstruction.bodies]


def faceted(body: Body) -> cq.Solid:
    """A closed mesh as a solid with plane faces. Raises KernelFailure where it does not come out as large as the mesh."""
    sewing = BRepBuilderAPI_Sewing(SEWN_MM)
    for corners in body.vertices[body.faces]:
        polygon = BRepBuilderAPI_MakePolygon(*(gp_Pnt(*map(float, c)) for c in corners), True)
        sewing.Add(BRepBuilderAPI_MakeFace(polygon.Wire(), True).Face())
    sewing.Perform()
    shells = cq.Shape.cast(sewing.SewedShape()).Shells()
    if not shells:
        raise KernelFailure(body.name, "sewing its triangles", f"{len(body.faces)} triangles")
    outer = max(shells, key=lambda s: abs(cq.Solid.makeSolid(s).Volume()))
    solid = cq.Solid.makeSolid(outer)
    unified = ShapeUpgrade_UnifySameDomain(solid.wrapped)
    unified.Build()
    solids = cq.Shape.cast(unified.Shape()).Solids()
    wanted = _volume(body)
    if len(solids) != 1 or abs(abs(solids[0].Volume(VOLUME_SHARE)) - wanted) > VOLUME_SHARE * 100 * wanted:
        raise KernelFailure(body.name, "making a solid of its triangles", f"{len(body.faces)} triangles, {wanted:.0f} mm3")
    return solids[0] if solids[0].Volume(VOLUME_SHARE) > 0 else cq.Solid(TopoDS.Solid_s(solids[0].wrapped.Reversed()))


def _volume(body: Body) -> float:
    a, b, c = np.moveaxis(body.vertices[body.faces], 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)
