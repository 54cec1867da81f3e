"""Oil at rest in a closed mesh: volumes below a height, exact from the triangles, and the height of a volume. mm."""

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import brentq

if TYPE_CHECKING:
    import trimesh

LEVEL_MM = 1e-9
"""How closely the height of the surface is found: finer than any two volumes that are told apart, so that more oil
never stands lower."""


def mean_below(heights: np.ndarray) -> np.ndarray:
    """Mean over each triangle of min(z, 0), where z is linear with the values `heights` (n, 3) at the corners; (n,).

    With one corner below the part below is a share z1^2 / ((z1 - z2)(z1 - z3)) of the area and its mean z1 / 3; with
    two it is the whole less the same for the corner above."""
    z = np.sort(heights, axis=1)
    below = (z < 0).sum(axis=1)
    out = np.where(below == 3, z.mean(axis=1), 0.0)
    for count, corner, others in ((1, 0, (1, 2)), (2, 2, (0, 1))):
        some = below == count
        lone, a, b = z[some, corner], z[some, others[0]], z[some, others[1]]
        part = lone**3 / (3 * (lone - a) * (lone - b)) if some.any() else lone
        out[some] = part if count == 1 else z[some].mean(axis=1) - part
    return out


def volume_below(mesh: "trimesh.Trimesh", height: float) -> float:
    """Volume (mm3) of a closed mesh below z = `height`, exact: the integral over its skin of (z - height) n_z, to which
    the cut at `height` adds nothing."""
    corners = np.asarray(mesh.triangles)
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] / 2
    return float(flat @ mean_below(corners[:, :, 2] - height))


def level(oil_space: "trimesh.Trimesh", *, volume: float) -> float | None:
    """Height (mm, the part's frame) of the surface of `volume` mm3 of oil at rest; None where it does not fit."""
    low, high = (float(z) for z in oil_space.bounds[:, 2])
    if not 0 < volume <= volume_below(oil_space, high):
        return None
    return float(brentq(lambda z: volume_below(oil_space, z) - volume, low, high, xtol=LEVEL_MM))
