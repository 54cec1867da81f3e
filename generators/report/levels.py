"""The oil that stands in a vessel at rest, and where mass is."""

import numpy as np
import trimesh

from generators.meshes import trimmed


def oil_below(oil_space: trimesh.Trimesh, *, height: float) -> trimesh.Trimesh:
    """The oil itself: the part of the oil space below `height` mm, closed."""
    return trimmed(oil_space, normal=(0, 0, -1), offset=-height)


def centre(masses: list[tuple[float, np.ndarray]]) -> np.ndarray | None:
    """Centre (3,) mm of masses (kg) at points (3,) mm; None where there is none."""
    total = sum(m for m, _ in masses)
    return sum(m * np.asarray(p) for m, p in masses) / total if total else None
