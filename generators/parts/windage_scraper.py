"""The windage scraper: one flat plate clamped between block and pan that strips oil from crank and rods.

Plan, seen from below with the rising side at the bottom (x along the crank):

      o      o      o      o      o      o         bolts on the rail
      .-------------------------------------.
      |   opening       big end             |      falling edge: flush with the pan's opening
      |             .---------.             |
      |  crank axis |         |             |
      |  _______    |         |   _______   |      tooth between throws: reach
      | /   ^   \\___|    ^    |__/       \\__|
      |_|  edge          edge                      edge = swing in the plate's thickness + edge_clearance
      o      o      o      o      o      o
"""

import itertools
import math
from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion, merged_bands, outline
from generators.findings import Sized
from generators.outlines import Loop, circle, fillet, polygon_loop
from generators.pieces import Part, Piece
from generators.rail import ROUND_MM, Opening, pan_opening
from generators.sheet.flat import FlatPattern
from generators.sheet.frames import frame
from generators.sheet.solids import prism, proved

NAME = "windage_scraper"

ROOT_MM = 2.0
"""Least corner radius: a sharp root in a plate that shakes starts a crack (common practice); never under the thickness."""

REACH_SHARE = 10.0
"""A tooth longer than this many thicknesses would ring (common practice)."""

TOOTH_SHARE = 3.0
"""A tooth narrower than this many thicknesses is not left standing (common practice)."""

NEAR_MM = 1e-9
"""Lengths nearer than this are the same."""

ARC_SEGMENTS = 64
"""Chords in a quarter turn where the swing is widened by its clearance: leaves 0.1 micrometre at 1.5 mm."""


@dataclass(frozen=True)
class WindageScraperDimensions:
    """All in mm. `edges[side]` is the stair of the inner edge: (x0, x1, distance from the crank axis), rear to front."""

    material: str
    density: float
    thickness: float
    outline: Loop
    bolts: tuple[tuple[float, float], ...]
    bolt_hole: float
    opening: Opening
    bottom: float
    corner: float
    edges: dict[str, tuple[tuple[float, float, float], ...]]
    sized: tuple[Sized, ...]


def dimension(parameters, region: SweptRegion) -> WindageScraperDimensions:
    """Size the scraper. Raises ValueError, naming key and remedy, where the swing does not reach the plate."""
    rail, want = parameters.pan_rail, parameters.windage_scraper
    open_ = pan_opening(parameters, region)
    corner = max(ROOT_MM, want.thickness)
    slab = (-rail.below_crank - want.thickness, -rail.below_crank)
    rising = region.rising_side
    falling = "left" if rising == "right" else "right"
    sides = {"rising": (rising,), "falling": (falling,), "both": (rising, falling)}[want.side]
    edges, sized = {}, [Sized("windage_scraper.corner_radius", f"{corner:.1f} mm", "no less than the thickness: a sharp root cracks")]
    for side in ("right", "left"):
        limit = -open_.y0 if side == "right" else open_.y1
        stair = ((open_.x0, open_.x1, limit),)
        if side in sides:
            stair = _stair(_stretches(region, want.edge_clearance, slab, side), open_, limit, corner, want.thickness,
                           axial=max(want.edge_clearance, corner))
            sized.append(_reason(side, side == rising, stair, limit))
        edges[side] = stair
    return WindageScraperDimensions(parameters.sheet.material, parameters.sheet.density, want.thickness, rail.outline, rail.bolts,
                                    standards.clearance_hole(rail.bolt_size), open_, slab[0], corner, edges, tuple(sized))


def _reason(side: str, rising: bool, stair, limit: float) -> Sized:
    nearest, farthest = min(e for *_, e in stair), max(e for *_, e in stair)
    teeth = sum(1 for a, b, c in zip(stair, stair[1:], stair[2:]) if b[2] < min(a[2], c[2]))
    return Sized(f"windage_scraper.edge_{side}", f"{nearest:.1f} to {farthest:.1f} mm from the crank axis",
                 f"follows the swing on the {'rising' if rising else 'falling'} side with {teeth} teeth between throws; "
                 f"stands {limit - nearest:.1f} mm into the opening at most; between throws, where main bearing caps may stand, no "
                 "nearer the axis than the wider neighbour")


def _stretches(region: SweptRegion, clearance: float, slab, side: str) -> list[tuple[float, float, float | None]]:
    """(x0, x1, distance of the edge from the axis) of each stretch of crank; None where it does not reach the plate."""
    from shapely.geometry import Polygon, box

    out, far = [], 2 * region.radius + clearance
    for band in merged_bands(region):
        grown = Polygon(outline(band)).buffer(clearance, quad_segs=ARC_SEGMENTS)
        cut = grown.intersection(box(-far, slab[0], far, slab[1]))
        edge = None
        if not cut.is_empty:
            edge = -cut.bounds[0] if side == "right" else cut.bounds[2]
        out.append((band.x0, band.x1, edge))
    if all(e is None for *_, e in out):
        raise ValueError(f"windage_scraper: the swing stays above the rail plane's plate (it reaches down to {region.lowest:.1f} mm, "
                         f"the plate lies at {slab[1]:.1f} mm below the crank axis), so there is nothing to strip; "
                         "windage_scraper.make = false leaves it out")
    return out


def _stair(stretches, open_: Opening, limit: float, corner: float, thickness: float, *, axial: float):
    """The inner edge from rear to front, with every step and every flat long enough for its corners."""
    known = [s for s in stretches if s[2] is not None]
    outermost = max(e for *_, e in known)
    floor = outermost - REACH_SHARE * thickness
    marks = sorted({open_.x0, open_.x1, *(m for a, b, _ in known for m in (a - axial, b + axial) if open_.x0 < m < open_.x1)})
    steps = []
    for a, b in itertools.pairwise(marks):
        over = [e for x0, x1, e in known if x0 - axial < b and x1 + axial > a]
        steps.append((a, b, max(over, default=None) if over else None))
    steps = _between(steps)
    steps = [(a, b, min(limit, _outwards(max(e, floor)))) for a, b, e in steps]
    return tuple(_makeable(steps, corner, thickness, limit))


def _outwards(value: float) -> float:
    return math.ceil(round(value / ROUND_MM, 6)) * ROUND_MM


def _between(steps):
    """Stretches that nothing sweeps take the wider of their neighbours."""
    out = []
    for i, (a, b, e) in enumerate(steps):
        if e is None:
            before = next((s[2] for s in reversed(steps[:i]) if s[2] is not None), None)
            after = next((s[2] for s in steps[i + 1:] if s[2] is not None), None)
            e = max(v for v in (before, after) if v is not None)
        out.append((a, b, e))
    return out


def _makeable(steps, corner: float, thickness: float, limit: float):
    """The stair with equal neighbours joined, and what is too small for two corners mended: a step or a tooth is taken out to
    its neighbour, a notch is lengthened into its neighbours. Metal only ever goes, so it ends."""
    least_flat, least_tooth = 2 * corner + ROUND_MM, max(2 * corner + ROUND_MM, TOOTH_SHARE * thickness)
    while True:
        steps = _joined(steps)
        mended = next((m for i in range(len(steps)) if (m := _mended(steps, i, least_flat, least_tooth, limit))), None)
        if mended is None:
            return steps
        steps = mended


def _mended(steps, i: int, least_flat: float, least_tooth: float, limit: float):
    """The stair with its stretch i mended once; None where that can be made as it is."""
    a, b, e = steps[i]
    beside = [steps[j][2] for j in (i - 1, i + 1) if 0 <= j < len(steps)]
    higher = [n for n in beside if n > e]
    is_tooth = higher and len(higher) == len(beside)
    if higher and (min(higher) - e < least_flat or b - a < (least_tooth if is_tooth else least_flat)):
        return [*steps[:i], (a, b, min(higher)), *steps[i + 1:]]
    if 0 < limit - e < least_flat:
        return [*steps[:i], (a, b, limit), *steps[i + 1:]]
    if beside and not higher and b - a < least_flat - NEAR_MM:
        return _lengthened(steps, i, (least_flat - (b - a)) / len(beside))
    return None


def _lengthened(steps, i: int, by: float):
    """The stair with its notch i longer `by` so much (mm) into each neighbour, or as far as that goes: what lies beyond may
    be farther out."""
    a, b, e = steps[i]
    first = max(steps[i - 1][0], a - by) if i else a
    last = min(steps[i + 1][1], b + by) if i + 1 < len(steps) else b
    before = [(x0, min(x1, first), level) for x0, x1, level in steps[:i] if x0 < first]
    after = [(max(x0, last), x1, level) for x0, x1, level in steps[i + 1:] if x1 > last]
    return [*before, (first, last, e), *after]


def _joined(steps):
    out = []
    for a, b, e in steps:
        if out and abs(out[-1][2] - e) < ROUND_MM / 2:
            out[-1] = (out[-1][0], b, max(e, out[-1][2]))
        else:
            out.append((a, b, e))
    return out


def opening_loop(d: WindageScraperDimensions) -> Loop:
    """The inner edge as a closed loop with rounded corners."""
    right = [(x, -e) for a, b, e in d.edges["right"] for x in (a, b)]
    left = [(x, e) for a, b, e in d.edges["left"] for x in (a, b)]
    return fillet(polygon_loop([*right, *reversed(left)]), d.corner)


def pieces(d: WindageScraperDimensions) -> tuple[Piece, ...]:
    """The plate, in the engine frame. Raises KernelFailure where it does not come out as described."""
    holes = (opening_loop(d), *(circle(x=x, y=y, radius=d.bolt_hole / 2) for x, y in d.bolts))
    flat = FlatPattern(d.outline, holes)
    where = frame(origin=(0, 0, d.bottom), x=(1, 0, 0), z=(0, 0, 1))
    solid = proved(prism(flat.outer, height=d.thickness, holes=holes, where=where), volume=flat.area * d.thickness, part=NAME,
                   step="plate", dimensions=d.edges)
    return (Piece("scraper", "plate", d.material, d.density, (solid,), d.thickness, flat,
                  note="break all edges; trial-fit and turn the crank by hand through two turns before the pan goes on", laid=(where,)),)


def part(d: WindageScraperDimensions) -> Part:
    """The scraper: one plate, bolted between block and pan."""
    return Part(NAME, pieces(d), d, sized=d.sized)
