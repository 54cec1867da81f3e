"""Plane shapes into bodies."""

import manifold3d
import numpy as np

NOTHING_MM2 = 1e-9
"""A shape that is smaller gives no body."""


def extruded(shape, height: float) -> manifold3d.Manifold:
    """A plane shape of shapely's with its holes, one or many, from z = 0 to `height` mm; an empty body of an empty shape."""
    areas = [g for g in getattr(shape, "geoms", [shape]) if g.area > NOTHING_MM2]
    loops = [np.array(ring.coords)[:-1].tolist() for g in areas for ring in (g.exterior, *g.interiors)]
    return manifold3d.CrossSection(loops, manifold3d.FillRule.EvenOdd).extrude(height) if loops else manifold3d.Manifold()
