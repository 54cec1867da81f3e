"""The engine's block as far as it is known: the room over the pan rail, inside its gasket face, up to the crank axis."""

import manifold3d
import numpy as np
import trimesh
from shapely.geometry import Polygon

from generators.bodies import Body, body
from generators.outlines import flattened

NAME = "block"


def block(rail) -> Body:
    """The closed body of that room, mm, engine frame; `rail` has outline, face_width and below_crank."""
    inside = Polygon(flattened(rail.outline)).buffer(-rail.face_width, join_style="mitre")
    rings = [np.asarray(part.exterior.coords)[:-1] for part in getattr(inside, "geoms", [inside])]
    solid = manifold3d.CrossSection(rings, manifold3d.FillRule.NonZero).extrude(rail.below_crank)
    mesh = solid.translate((0, 0, -rail.below_crank)).to_mesh64()
    return body(NAME, trimesh.Trimesh(np.array(mesh.vert_properties)[:, :3], np.array(mesh.tri_verts, int), process=False), exact=True)
