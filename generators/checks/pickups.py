"""Whether a pickup can draw: the gap under its mouth, and what its strainer lets through."""

import math
from collections.abc import Iterable

import numpy as np
import trimesh

from generators.checks.clearances import MEASURING_MM
from generators.findings import Check, judged, not_assessed
from generators.outlines import signed_area
from generators.pieces import Part

CURTAIN_SHARE = 1 / 4
"""A gap of this share of the bore has as large a cylinder under the rim of a straight tube as the bore: pi d h = pi d2 / 4."""

STRAINER_OVER_BORE = 1.5
"""Open area of a strainer over that of the bore behind it: it is never wholly clean (common practice)."""


def under(point: np.ndarray, mesh: trimesh.Trimesh) -> float:
    """Height (mm) of the highest triangle of the mesh plumb below a point (3,); minus infinity where there is none."""
    a, b, c = np.moveaxis(mesh.vertices[mesh.faces], 1, 0)
    ab, ac, ap = (b - a)[:, :2], (c - a)[:, :2], (point - a)[:, :2]
    cross = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    level = np.abs(cross) > 0
    cross = np.where(level, cross, 1.0)
    u = (ap[:, 0] * ac[:, 1] - ap[:, 1] * ac[:, 0]) / cross
    v = (ab[:, 0] * ap[:, 1] - ab[:, 1] * ap[:, 0]) / cross
    z = a[:, 2] + u * (b - a)[:, 2] + v * (c - a)[:, 2]
    hit = level & (u >= 0) & (v >= 0) & (u + v <= 1) & (z < point[2])
    return float(z[hit].max()) if hit.any() else -math.inf


def pickup_floor_gap(part: Part, floors: Iterable[trimesh.Trimesh], *, bore: float, asked: float) -> Check:
    """Least plumb distance (mm) from the rims of the part's mouths to the meshes `floors`, against what was asked and what
    a pickup of `bore` mm needs."""
    floors = list(floors)
    gaps = [p[2] - max((under(p, f) for f in floors), default=-math.inf) for mouth in part.mouths for p in mouth.rim]
    words = {"id": f"{part.name}.pickup_floor_gap", "title": "Pickup's mouth to the floor under it", "unit": "mm", "sense": ">="}
    source = (f"the larger of floor_gap {asked:g} mm as asked, less {MEASURING_MM} mm for the rounding of meshes, and a quarter of the bore of "
              f"{bore:g} mm, at which the way under its rim is as large as the bore (derived)")
    if not gaps or not all(map(math.isfinite, gaps)):
        return not_assessed(**words, reason="there is no floor under the mouth", source=source)
    return judged(**words, value=float(min(gaps)), limit=max(CURTAIN_SHARE * bore, asked - MEASURING_MM), source=source,
                  method=f"plumb from {len(gaps)} points of the rim to the mesh of the floor")


def strainer_area(part: Part, *, strainer: str, bore: float) -> Check:
    """Open area (mm2) of the flat of the piece `strainer` against the area of the bore (mm) behind it."""
    area = math.pi / 4 * bore**2
    holes = part.piece(strainer).flat.holes
    return judged(id=f"{part.name}.strainer_area", title="Open area of the strainer", unit="mm2", sense=">=",
                  value=float(sum(abs(signed_area(h)) for h in holes)), limit=area, caution_below=(STRAINER_OVER_BORE - 1) * area,
                  source=f"area of the bore of {bore:g} mm; caution under {STRAINER_OVER_BORE:g} times that (common practice)",
                  method=f"exact area of the {len(holes)} holes of the strainer's flat")


MOVED_SHARE = 0.25
"""A sump that stands farther than this share of its length from where it was asked is another pan (our choice)."""


def sump_place(part: str, sumps: Iterable[trimesh.Trimesh], *, asked: float) -> Check:
    """How far (mm) along the crank the middle of a sump's sheet, its mesh, stands from where it was `asked`; more than meshes
    round is a caution."""
    low, high = np.array([mesh.bounds for mesh in sumps])[:, :, 0].T
    first, last = float(low.min()), float(high.max())
    limit = MOVED_SHARE * (last - first)
    return judged(id=f"{part}.sump_place", title="Sump off the place asked", unit="mm", sense="<=",
                  value=abs((first + last) / 2 - asked), limit=limit, caution_below=limit - MEASURING_MM,
                  source=f"{MOVED_SHARE:.0%} of the sump's length (our choice)",
                  method=f"middle of the sump's mesh, which reaches from x = {first:.1f} to {last:.1f} mm, less sump.x as asked, {asked:.1f} mm: "
                         "a sump stands under the opening, where the flange's bolts keep their sockets; obstacles are looked at where it "
                         "stands")
