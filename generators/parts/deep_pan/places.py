"""Where things lie: s and z of a section -> the engine frame, rings and paths. mm."""

import itertools
import math

import numpy as np

from generators.outlines import Loop, arc_of
from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.sheet.frames import Frame, frame

RING_POINTS = 24
"""Points on the rim of the mouth and on a ring of weld."""

ARC_STEP = math.radians(10)
"""Spacing of the points of a weld path on a bend."""


def across(d: DeepPanDimensions, *, s: float, z: float, x: float) -> np.ndarray:
    """The engine-frame point (3,) at s, z of the section and x along the crank."""
    return np.array([x, d.inside.side * s, z])


def section_frame(d: DeepPanDimensions, x0: float, x1: float) -> Frame:
    """Frame of a section (s, z) that is extruded, along its own +z, from x0 to x1 or, mirrored, from x1 to x0."""
    side = d.inside.side
    return frame(origin=(x0 if side > 0 else x1, 0, 0), x=(0, side, 0), z=(side, 0, 0))


def along(d: DeepPanDimensions, x: float) -> float:
    """Distance of the station x along the sump's channel from its near end."""
    i = d.inside
    return x - i.x0 if i.side > 0 else i.x1 - x


def ring(r: float, a, b) -> np.ndarray:
    """A closed ring of points (RING_POINTS + 1, 3) of radius r (mm) round the origin in the plane of a and b (3,)."""
    turn = np.linspace(0, 2 * math.pi, RING_POINTS + 1)[:, None]
    return r * (np.cos(turn) * np.asarray(a, float) + np.sin(turn) * np.asarray(b, float))


def spread(path) -> list[tuple[float, float]]:
    """Points on an open path of lines and arcs, given as vertices (u, v, bulge)."""
    out = []
    for (u, v, bulge), after in itertools.pairwise(path):
        out.append((u, v))
        if bulge:
            centre, r, start, turn = arc_of((u, v), after[:2], bulge)
            count = max(2, math.ceil(abs(turn) / ARC_STEP))
            out += [tuple(centre + r * np.array([math.cos(start + turn * k / count), math.sin(start + turn * k / count)]))
                    for k in range(1, count)]
    return [*out, path[-1][:2]]


def closed(path) -> Loop:
    """The open path closed by a straight line."""
    return Loop((*path[:-1], (*path[-1][:2], 0.0)))
