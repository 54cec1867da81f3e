"""Crank and rods -> the region that they sweep in a whole turn. Arithmetic only.

Engine frame: x along the crank, forward; y left; z up; crank axis at y = z = 0. Angles run from +y towards +z.

The sweep is filled to the axis: what lies between a swept point and the crank axis counts as swept. The rod's shank
above the big end and the pistons are not part of it: they lie above the big end at every position.
"""

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from generators.crank.sweep import Motion, angles, big_end_radii, circle_radii, rays
from generators.findings import Sized

__all__ = ["Band", "SweptRegion", "angles", "bands_between", "half_breadth_between", "merged_bands", "mesh", "outline",
           "reason", "support", "swept_region"]

SAME_MM = 1e-6
"""Places along the crank, and radii, nearer than this are the same."""

END_WALL_MM = 30.0
"""Where the throws' places are not given: the block's end walls carry the outer main bearings, so that nothing swings within
this of the rail's ends (common practice; measured throws replace it)."""

RIGHT, LEFT = "right", "left"
RISING = {"clockwise": RIGHT, "anticlockwise": LEFT}


@dataclass(frozen=True, eq=False)
class Band:
    """One stretch of the crank, x0 to x1 (mm). `radius` (N,) mm is the outline at `angles(N)`: the true sweep lies
    inside the polygon through these points. 0 where there is nothing."""

    x0: float
    x1: float
    radius: np.ndarray
    label: str


@dataclass(frozen=True, eq=False)
class SweptRegion:
    """Bands sorted by x0; several may cover the same stretch. The crank rises on `rising_side`, "right" or "left"."""

    bands: tuple[Band, ...]
    rising_side: str

    @property
    def radius(self) -> float:
        """Largest radius, mm."""
        return max(float(b.radius.max()) for b in self.bands)

    @property
    def lowest(self) -> float:
        """Most negative z, mm."""
        return min(float(outline(b)[:, 1].min()) for b in self.bands)

    @property
    def half_breadth(self) -> float:
        """Largest distance from the crank axis sideways, mm."""
        return max(float(np.abs(outline(b)[:, 0]).max()) for b in self.bands)


def outline(band: Band) -> np.ndarray:
    """The band's polygon, points (y, z) anticlockwise as seen with y to the right and z up, shape (N, 2), mm."""
    return band.radius[:, None] * rays(len(band.radius))


def big_end_corners(big_end) -> np.ndarray:
    """Corners (u, v) of a big end in the rod frame, shape (k, 2), mm: the outline where one is given; else the
    rectangle from the cap's bottom, `cap_depth` below the pin, to `half_breadth` above it, as far to each side."""
    if big_end.outline is not None:
        return np.asarray(big_end.outline, dtype=float)
    e, c = big_end.half_breadth, big_end.cap_depth
    return np.array([(-e, -c), (e, -c), (e, e), (-e, e)])


# the region ---------------------------------------------------------------------------------------------------------

def has_detail(crank) -> bool:
    """Whether the crank is measured in enough detail to follow its motion. Without its counterweights it is not: they
    may be what reaches furthest."""
    return all((crank.throws, crank.stroke, crank.rod_length, crank.big_end, crank.counterweight))


def throw_radii(crank) -> np.ndarray:
    """Outline (N,) mm of all rods on one pin. Of a vee both banks' sweeps are taken over the whole pin: which bank's
    rod stands in front is not asked for."""
    motion = Motion(crank.stroke / 2, crank.rod_length)
    corners = big_end_corners(crank.big_end)
    half = (crank.bank_angle or 0) / 2
    banks = (half, -half) if half else (half,)
    return np.max([big_end_radii(corners, motion, bank) for bank in banks], axis=0)


def half_pitch(crank, rail_length: float) -> float:
    """Half the largest distance between neighbouring pins, mm; the rail's length where there is only one."""
    return max(np.diff(sorted(crank.throws)), default=2 * rail_length) / 2


def detail_bands(crank) -> list[Band]:
    """For each throw the band of its big ends and those of the counterweights on both sides."""
    rods, disc = throw_radii(crank), circle_radii(crank.counterweight.radius)
    half = crank.rods_per_throw * crank.big_end.width / 2
    reach = half + crank.counterweight.width
    bands = []
    for number, x in enumerate(crank.throws, start=1):
        bands += [Band(x - reach, x - half, disc, f"throw {number} counterweight"),
                  Band(x - half, x + half, rods, f"throw {number} big end"),
                  Band(x + half, x + reach, disc, f"throw {number} counterweight")]
    return bands


def swing_band(crank, rail_length: float, bands: list[Band]) -> Band:
    """The cylinder of the swing radius (mm): over the throws where their places are known, else over the rail less its end
    walls."""
    end = min(END_WALL_MM, rail_length / 4)
    x0, x1 = end, rail_length - end
    if bands:
        x0, x1 = min(b.x0 for b in bands), max(b.x1 for b in bands)
    elif crank.throws:
        reach = half_pitch(crank, rail_length)
        x0, x1 = max(x0, min(crank.throws) - reach), min(x1, max(crank.throws) + reach)
    return Band(float(x0), float(x1), circle_radii(crank.swing_radius), "swing")


def swept_region(crank, *, rail_length: float) -> SweptRegion:
    """All that crank and rods sweep in a whole turn.

    `crank` has the fields of the parameter file's [crank] table (mm, rad; None where not given). From `swing_radius`
    alone: a cylinder over the throws (to half a pin pitch beyond the outer ones, within the rail) where the pins'
    places are known, else over the rail of `rail_length` mm less its end walls. From measured detail (stroke, rod_length, throws,
    big_end, counterweight): the true outlines, band by band. Where both are given the detail gives the shape, and a
    swing radius larger than the detail sweeps is kept as well, as a cylinder over all of it; `reason` says so.

    Raises ValueError where neither is known or the motion is impossible."""
    bands = detail_bands(crank) if has_detail(crank) else []
    if not bands and crank.swing_radius is None:
        raise ValueError("the crank needs swing_radius, or stroke, rod_length, throws, big_end and counterweight")
    if crank.swing_radius is not None and (not bands or crank.swing_radius > max(b.radius.max() for b in bands)):
        bands.append(swing_band(crank, rail_length, bands))
    for band in bands:
        band.radius.setflags(write=False)
    return SweptRegion(tuple(sorted(bands, key=lambda b: (b.x0, b.x1))), RISING[crank.rotation])


def reason(crank, region: SweptRegion) -> Sized:
    """Where the region's largest radius comes from, and which input was kept where two disagree."""
    value = f"{region.radius:.2f} mm"
    swing = [b for b in region.bands if b.label == "swing"]
    if not has_detail(crank):
        over = f"x {swing[0].x0:.1f} to {swing[0].x1:.1f} mm"
        return Sized("crank.swept_radius", value, f"a cylinder of the swing radius over {over}")
    because = "slider-crank motion of the measured big ends, and the counterweights"
    if swing:
        because += (f"; swing_radius {crank.swing_radius:.2f} mm is larger than the detail sweeps: kept as a cylinder "
                    "over it")
    elif crank.swing_radius is not None:
        because += f"; swing_radius {crank.swing_radius:.2f} mm is no larger: the detail gives the shape"
    return Sized("crank.swept_radius", value, because)


# questions asked of a region ----------------------------------------------------------------------------------------

def bands_between(region: SweptRegion, x0: float | None, x1: float | None) -> tuple[Band, ...]:
    """Bands that reach into or touch x0 to x1 (mm); None leaves that end open."""
    low, high = -math.inf if x0 is None else x0, math.inf if x1 is None else x1
    return tuple(b for b in region.bands if b.x1 >= low and b.x0 <= high)


def support(region: SweptRegion, direction, x0: float | None = None, x1: float | None = None) -> float:
    """How far the region reaches along `direction`, a unit vector (y, z), from the crank axis, mm, over the bands that
    touch x0 to x1. Raises ValueError where no band does."""
    bands = bands_between(region, x0, x1)
    if not bands:
        raise ValueError(f"nothing is swept between x = {x0} and {x1} mm")
    return max(float((outline(b) @ np.asarray(direction, dtype=float)).max()) for b in bands)


def slab_points(points: np.ndarray, z0: float, z1: float) -> np.ndarray:
    """Corners (n, 2), mm, of a polygon (k, 2) clipped to z0 <= z <= z1: the extremes of what is left are among them."""
    found = [points[(points[:, 1] >= z0) & (points[:, 1] <= z1)]]
    ahead = np.roll(points, -1, axis=0)
    for level in (z0, z1):
        cut = (points[:, 1] - level) * (ahead[:, 1] - level) < 0
        p, q = points[cut], ahead[cut]
        share = (level - p[:, 1]) / (q[:, 1] - p[:, 1])
        found.append(np.column_stack([p[:, 0] + share * (q[:, 0] - p[:, 0]), np.full(len(p), level)]))
    return np.concatenate(found)


def half_breadth_between(region: SweptRegion, z0: float, z1: float, x0: float | None = None, x1: float | None = None,
                         ) -> tuple[float | None, float | None]:
    """(left, right): the largest y and the largest -y, mm, of the region within the slab z0 <= z <= z1 over the bands
    that touch x0 to x1. (None, None) where it does not reach the slab."""
    if z1 < z0:
        raise ValueError(f"the slab's top {z1} lies below its bottom {z0}")
    found = [slab_points(outline(b), z0, z1)[:, 0] for b in bands_between(region, x0, x1)]
    y = np.concatenate([*found, np.zeros(0)])
    return (float(y.max()), float((-y).max())) if len(y) else (None, None)


def merged_bands(region: SweptRegion) -> tuple[Band, ...]:
    """Stretches that do not overlap: in each the pointwise largest radius of all bands that cover it; neighbours with
    the same outline are joined. A stretch with no band leaves a gap."""
    merged: list[Band] = []
    for x0, x1 in stretches(region.bands):
        cover = [b for b in region.bands if b.x0 < x1 - SAME_MM and b.x1 > x0 + SAME_MM]
        if not cover:
            continue
        radius = np.max([b.radius for b in cover], axis=0)
        label = " + ".join(dict.fromkeys(b.label for b in cover))
        last = merged[-1] if merged else None
        if last and abs(last.x1 - x0) <= SAME_MM and np.abs(last.radius - radius).max() <= SAME_MM:
            both = last.label if label == last.label else f"{last.label}, {label}"
            merged[-1] = replace(last, x1=x1, radius=np.maximum(last.radius, radius), label=both)
        else:
            merged.append(Band(x0, x1, radius, label))
    return tuple(merged)


def stretches(bands) -> list[tuple[float, float]]:
    """The stretches (x0, x1), mm, between neighbouring ends of bands, in order."""
    ends: list[float] = []
    for x in sorted({x for b in bands for x in (b.x0, b.x1)}):
        if not ends or x - ends[-1] > SAME_MM:
            ends.append(x)
    return list(itertools.pairwise(ends))


def prism(band: Band) -> tuple[np.ndarray, np.ndarray]:
    """The band as a closed mesh with its faces outwards: vertices (2 N + 2, 3), faces (4 N, 3)."""
    n = len(band.radius)
    ring = outline(band)
    ends = [np.column_stack([np.full(n + 1, x), np.vstack([ring, np.zeros(2)])]) for x in (band.x0, band.x1)]
    i = np.arange(n)
    j, far, hub = (i + 1) % n, n + 1, np.full(n, n)
    faces = [(i, j + far, i + far), (i, j, j + far), (hub, j, i), (hub + far, i + far, j + far)]
    return np.vstack(ends), np.vstack([np.column_stack(f) for f in faces])


def mesh(region: SweptRegion) -> tuple[np.ndarray, np.ndarray]:
    """The region as one closed prism for each merged band: vertices (n, 3) mm, faces (m, 3). Neighbours touch."""
    vertices, faces, count = [], [], 0
    for band in merged_bands(region):
        v, f = prism(band)
        vertices.append(v)
        faces.append(f + count)
        count += len(v)
    return np.vstack(vertices), np.vstack(faces)
