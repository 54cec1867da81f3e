"""What a vessel holds: volumes of its oil space below a height, exact from the triangles."""

import numpy as np
import trimesh

from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM

MESHED_SHARE = 0.002
"""Of a round vessel's volume the chords of its mesh leave out less than this (0.05 mm on 45 mm radius: 0.15
percent)."""

MM3_IN_M3 = 1e9


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


def volume_below(mesh: trimesh.Trimesh, height: float) -> float:
    """Volume (mm3) of a closed mesh below z = `height`, exact: the integral over its skin of (z - height) n_z, to which
    the cut at `height` adds nothing."""
    corners = np.asarray(mesh.triangles)
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] / 2
    return float(flat @ mean_below(corners[:, :, 2] - height))


def oil_capacity(part: str, oil_space: trimesh.Trimesh, *, full_mark: float, oil: float | None) -> Check:
    """Volume (m3) below the full mark (mm) against the oil that it is to hold (m3)."""
    words = {"id": f"{part}.oil_capacity", "title": "Oil that fits below the full mark", "unit": "m3", "sense": ">="}
    if oil is None:
        return not_assessed(**words, reason="no volume of oil is known", source="the oil to be held")
    return judged(
        **words,
        value=volume_below(oil_space, full_mark) / MM3_IN_M3,
        limit=oil * (1 - MESHED_SHARE),
        source=f"oil to be held, {oil * 1000:.3f} L, less {MESHED_SHARE:.1%} for the chords of the mesh",
        method=f"exact volume of the oil space's mesh (chord {CHORD_MM} mm) below z = {full_mark:.2f} mm",
    )


def headspace(part: str, oil_space: trimesh.Trimesh, *, full_mark: float, share: float) -> Check:
    """Share of the oil space above the full mark against the share asked for air."""
    air = 1 - volume_below(oil_space, full_mark) / float(oil_space.volume)
    return judged(
        id=f"{part}.headspace",
        title="Share left for air",
        value=float(air),
        limit=share - MESHED_SHARE,
        unit="1",
        sense=">=",
        source=f"headspace {share:g} of the whole, as asked, less {MESHED_SHARE:g} for the chords of the mesh",
        method=(
            f"1 - volume below z = {full_mark:.2f} mm over the whole, both exact from the oil space's mesh "
            f"(chord {CHORD_MM} mm)"
        ),
    )
