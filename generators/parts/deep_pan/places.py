"""Where things lie: s and z of a section -> the engine frame, rings and paths. mm."""

import math

import numpy as np

from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.sheet.frames import Frame, frame

RING_POINTS = 24
"""Points on the rim of the mouth and on a ring of weld."""


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
