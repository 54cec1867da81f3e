"""Where a piece's name is etched on its flat: on metal that is neither cut nor bent."""

import numpy as np
from shapely import prepare
from shapely.geometry import LineString, Polygon, box

from generators.outlines import flattened
from generators.sheet.flat import FlatPattern
from generators.shop.strokes import stroke_width, strokes

HEIGHTS_MM = (6.0, 4.0, 3.0, 2.0)
"""Heights of letters that are tried, the largest first; smaller ones cannot be read on metal (common practice)."""

AWAY_MM = 2.0
"""Letters keep off edges and bends by this much."""

PLACES = 24
"""Places along each side of the flat at which the name is tried."""


def name_strokes(flat: FlatPattern, words: str) -> list[np.ndarray] | None:
    """The words as strokes (n, 2) mm on the flat, as large and as near its middle as there is room; None where there is none."""
    free = _free(flat)
    for height in HEIGHTS_MM:
        for turned in (False, True):
            place = _place(free, stroke_width(words, height=height), height, turned=turned)
            if place is not None:
                made = strokes(words, height=height)
                return [np.column_stack([-s[:, 1], s[:, 0]]) + place if turned else s + place for s in made]
    return None


def _free(flat: FlatPattern) -> Polygon:
    """Metal that letters may lie on."""
    metal = Polygon(flattened(flat.outer), [flattened(h) for h in flat.holes]).buffer(-AWAY_MM)
    for bend in flat.bends:
        metal = metal.difference(LineString([bend.start, bend.end]).buffer(bend.allowance / 2 + AWAY_MM, cap_style="square"))
    return metal


def _place(free: Polygon, long: float, high: float, *, turned: bool) -> np.ndarray | None:
    """Lower left corner (2,) of words that fit on `free`; of turned ones their lower right."""
    if free.is_empty:
        return None
    prepare(free)
    wide, tall = (high, long) if turned else (long, high)
    x0, y0, x1, y1 = free.bounds
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    corners = [np.array([x, y]) for x in np.linspace(x0, max(x0, x1 - wide), PLACES) for y in np.linspace(y0, max(y0, y1 - tall), PLACES)]
    for corner in sorted(corners, key=lambda c: float(np.hypot(*(c + (wide / 2, tall / 2) - middle)))):
        if free.covers(box(*corner, corner[0] + wide, corner[1] + tall)):
            return corner + (wide, 0.0) if turned else corner
    return None
