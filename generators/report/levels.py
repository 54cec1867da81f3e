"""Where oil stands at rest in a vessel, and where its mass is."""

import numpy as np
import trimesh
from scipy.optimize import brentq

from generators.checks.vessels import volume_below
from generators.meshes import trimmed

LEVEL_MM = 1e-6
"""How closely the height of the surface is found."""


def level(oil_space: trimesh.Trimesh, *, volume: float) -> float | None:
    """Height (mm, the part's frame) of the surface of `volume` mm3 of oil at rest; None where it does not fit."""
    low, high = (float(z) for z in oil_space.bounds[:, 2])
    if not 0 < volume <= volume_below(oil_space, high):
        return None
    return float(brentq(lambda z: volume_below(oil_space, z) - volume, low, high, xtol=LEVEL_MM))


def oil_below(oil_space: trimesh.Trimesh, *, height: float) -> trimesh.Trimesh:
    """The oil itself: the part of the oil space below `height` mm, closed."""
    return trimmed(oil_space, normal=(0, 0, -1), offset=-height)


def centre(masses: list[tuple[float, np.ndarray]]) -> np.ndarray | None:
    """Centre (3,) mm of masses (kg) at points (3,) mm; None where there is none."""
    total = sum(m for m, _ in masses)
    return sum(m * np.asarray(p) for m, p in masses) / total if total else None
