"""Oil at rest in a closed mesh: volumes below a height, and the height of a volume. mm."""

from typing import TYPE_CHECKING

import numpy as np

from generators.oil.surface import offsets, skin, volumes_below

if TYPE_CHECKING:
    import trimesh

UPRIGHT = np.array([0.0, 0.0, 1.0])
"""Square to a level surface."""


def volume_below(mesh: "trimesh.Trimesh", height: float) -> float:
    """Volume (mm3) of a closed mesh below z = `height`, exact."""
    return float(volumes_below(skin(mesh.vertices, mesh.faces), UPRIGHT, height)[0])


def level(oil_space: "trimesh.Trimesh", *, volume: float) -> float | None:
    """Height (mm, the part's frame) of the surface of `volume` mm3 of oil at rest; None where it does not fit."""
    space = skin(oil_space.vertices, oil_space.faces)
    return float(offsets(space, UPRIGHT, volume)[0]) if space.holds(volume) else None
