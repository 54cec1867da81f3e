"""The oil that stands in a vessel at rest."""

import trimesh

from generators.meshes import trimmed


def oil_below(oil_space: trimesh.Trimesh, *, height: float) -> trimesh.Trimesh:
    """The oil itself: the part of the oil space below `height` mm, closed."""
    return trimmed(oil_space, normal=(0, 0, -1), offset=-height)
