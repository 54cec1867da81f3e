"""Whether a windage screen is as open, and stands as far from the swing, as was asked."""

import itertools

import numpy as np
from shapely.geometry import Point

from generators.bodies import Body
from generators.checks.clearances import HOW, MEASURING_MM, clearance, with_rounding
from generators.checks.flats import Shape, between_bends, frame_of, shape
from generators.checks.solids import label
from generators.findings import Check, judged, not_assessed
from generators.outlines import signed_area
from generators.pieces import Part
from generators.sheet.flat import BendLine, FlatPattern

OPEN_TOLERANCE = 0.01
"""Share by which whole holes in whole rows may fall short of the open area asked."""

LEAST_SCREEN_MM = 2.5
"""Rod bolts to a tray: 3 to 5 mm is usual, under this crank whip and a tray that hums take it up (common practice)."""


def in_order(bends: tuple[BendLine, ...]) -> list[BendLine]:
    """Parallel bends, one beside the other across the flat."""
    start, _, across = frame_of(bends[0])
    return sorted(bends, key=lambda b: float((np.array(b.start) - start) @ across))


def facet_area(form: Shape) -> float:
    """Area (mm2) of a flat between its first and its last bend, the bends themselves not counted, holes not taken out.
    Raises ValueError where two neighbouring bends are not parallel."""
    pairs = list(itertools.pairwise(in_order(form.bends)))
    widths = [between_bends(a, b) for a, b in pairs]
    if None in widths:
        raise ValueError("the bends of a tray are parallel")
    return sum(w * min(a.length, b.length) for w, (a, b) in zip(widths, pairs, strict=True))


def open_between_bends(flat: FlatPattern) -> float:
    """Area (mm2) of the holes between a flat's first and last bend, exact."""
    ordered, form = in_order(flat.bends), shape(flat)
    start, _, across = frame_of(ordered[0])
    last = float((np.array(ordered[-1].start) - start) @ across)
    inside = [0 < float((_middle(hole) - start) @ across) < last for hole in form.holes]
    return sum(abs(signed_area(h)) for h, is_in in zip(flat.holes, inside, strict=True) if is_in)


def _middle(polygon) -> np.ndarray:
    at: Point = polygon.centroid
    return np.array([at.x, at.y])


def open_area(part: Part, *, asked: float, tray: str) -> Check:
    """Open share of the facets of the piece `tray` against the share `asked`."""
    words = {"id": f"{part.name}.open_area", "title": "Open share of the tray's facets", "unit": "1", "sense": ">="}
    source = f"open area {asked:g}, as asked, less {OPEN_TOLERANCE:g} for whole cuts in whole rows"
    found = [p for p in part.pieces if p.name == tray and p.flat and len(p.flat.bends) > 1]
    if not found:
        return not_assessed(**words, reason=f"no folded piece called {tray}", source=source)
    flat = found[0].flat
    cut, whole = open_between_bends(flat), facet_area(shape(flat))
    return judged(**words, value=cut / whole, limit=asked - OPEN_TOLERANCE, source=source,
                  method=f"exact areas of all holes between the first and the last bend of the flat, drain slots too, {cut:.0f} mm2, "
                         f"over the flat stretches between the bends, {whole:.0f} mm2; lips and bends not counted")


def swing_clearance(part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, asked: float) -> Check:
    """Least distance (mm) from the swept region to a screen. Asked for less than is usual, it passes with caution."""
    limit = with_rounding(asked)
    value, band, near = clearance([(s, b) for s in swept for b in bodies], limit)
    return judged(id=f"{part}.swing_clearance", title="Crank's sweep to the screen", value=float(value), limit=limit, unit="mm",
                  sense=">=", caution_below=max(0.0, LEAST_SCREEN_MM - limit) or None,
                  source=f"clearance {asked:g} mm, as asked, less {MEASURING_MM} mm for the rounding of meshes; caution under "
                         f"{LEAST_SCREEN_MM:g} mm (common practice: 3 to 5 mm from rod bolts to a tray)",
                  method=f"{HOW} and of each of {len(bodies)} copies; nearest: {label(near)} to {band.name}")
