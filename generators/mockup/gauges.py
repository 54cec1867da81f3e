"""Gauges to print before anything else: whether the bolts are where the drawing says, and whether the crank swings as far as it is told."""

import manifold3d
import numpy as np
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from generators.crank import SweptRegion, outline
from generators.mockup.extruded import extruded
from generators.outlines import flattened
from generators.parameters import PanRail
from generators.standards import clearance_hole

THICK_MM = 3.0
"""Of a gauge (common practice)."""

FOOT_MM, BESIDE_MM = 12.0, 1.0
"""How far a swing gauge reaches below the rail and the swing, and how much narrower than the opening it is above it, on each side."""

ABOVE_MM = 25.0
"""How far it reaches above the rail, into the block."""


def bolt_strip(rail: PanRail, *, growth: float) -> manifold3d.Manifold:
    """The rail's face as a plate of THICK_MM with every bolt hole, printed `growth` mm larger, its top in the rail's plane."""
    edge = Polygon(flattened(rail.outline))
    hole = clearance_hole(rail.bolt_size) + growth
    face = edge.difference(edge.buffer(-rail.face_width, join_style="mitre"))
    face = face.difference(unary_union([Point(*b).buffer(hole / 2, quad_segs=16) for b in rail.bolts]))
    return extruded(face, THICK_MM).translate((0, 0, -rail.below_crank - THICK_MM))


def swing_gauge(rail: PanRail, region: SweptRegion, *, clearance: float) -> manifold3d.Manifold | None:
    """A plate that stands across the rail: its upper edge is the crank's widest swing and `clearance` mm. None where the swing stays above what
    the gauge reaches. In the y-z plane about x = 0."""
    _, y0, _, y1 = Polygon(flattened(rail.outline)).bounds
    level = -rail.below_crank
    foot = min(level, region.lowest - clearance) - FOOT_MM
    shape = unary_union([box(y0, foot, y1, level),
                         box(y0 + rail.face_width + BESIDE_MM, foot, y1 - rail.face_width - BESIDE_MM, level + ABOVE_MM)])
    swing = unary_union([Polygon(outline(b)).buffer(0) for b in region.bands if b.radius.max() > 0]).buffer(clearance)
    cut = shape.difference(swing)
    parts = getattr(cut, "geoms", [cut])
    if cut.is_empty or not swing.intersects(shape):
        return None
    upright = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    solid = manifold3d.Manifold.batch_boolean([extruded(p, THICK_MM) for p in parts if p.area > FOOT_MM], manifold3d.OpType.Add)
    return solid.transform(np.hstack([upright, np.zeros((3, 1))]))
