"""What a vessel holds: oil below its full mark, and air above."""

import trimesh

from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.oil.standing import volume_below

MESHED_SHARE = 0.002
"""Of a round vessel's volume the chords of its mesh leave out less than this (0.05 mm on 45 mm radius: 0.15
percent)."""

MM3_IN_M3 = 1e9


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
