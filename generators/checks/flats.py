"""What is measured on a flat pattern: webs, holes, legs beyond bends. All in mm, on polygons of the loops."""

import math
from dataclasses import dataclass

import numpy as np
from shapely import STRtree, union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from generators.outlines import flattened
from generators.sheet.flat import BendLine, FlatPattern

CHORD_MM = 0.002
"""How near the polygons are to the loops; a web between two round holes is overstated by no more than twice this."""

THIN_SHARE = 0.75
"""What an opening by radius r takes away is thin metal where a disc of this share of r fits in it; the rounding of a
corner of 17 degrees or more holds none."""

WIDTH_STEP, LEAST_WIDTH_MM = 1.25, 0.2
"""Narrow metal is looked for at widths that grow by this factor (less than 1 / THIN_SHARE, so that none is passed
over), from this width on; a neck that is narrower still holds nothing and counts as 0."""

SETTLED_MM = 0.005
"""A narrowest width is known well enough when its bounds are this near."""

ARC_SIDES = 8
"""Sides of a quarter circle where polygons are grown: out by 0.005 of the radius."""

BESIDE_MM = 1e-4
"""How far to each side of a corner a leg is measured."""

NEVER = math.inf


@dataclass(frozen=True)
class Shape:
    """A flat pattern as polygons; `widths` are the least widths of its holes, mm."""

    outer: Polygon
    holes: tuple[Polygon, ...]
    widths: tuple[float, ...]
    bends: tuple[BendLine, ...]


def shape(flat: FlatPattern) -> Shape:
    """The flat pattern as polygons."""
    holes = tuple(Polygon(flattened(h, CHORD_MM)) for h in flat.holes)
    rounds = [h.as_circle() for h in flat.holes]
    widths = tuple(2 * r[1] if r else short_side(h) for r, h in zip(rounds, holes, strict=True))
    return Shape(Polygon(flattened(flat.outer, CHORD_MM)), holes, widths, flat.bends)


def short_side(polygon: Polygon) -> float:
    """Short side of the least rectangle round the polygon, mm."""
    return min(sides(polygon.minimum_rotated_rectangle))


def sides(rectangle: BaseGeometry) -> tuple[float, float]:
    """Two neighbouring sides of a rectangle, mm; a rectangle without area is a line."""
    if rectangle.geom_type != "Polygon":
        return (float(rectangle.length), 0.0)
    corners = np.array(rectangle.exterior.coords)
    return float(np.linalg.norm(corners[1] - corners[0])), float(np.linalg.norm(corners[2] - corners[1]))


def least_hole(form: Shape) -> float:
    """Least width of any hole, mm."""
    return min(form.widths, default=NEVER)


def web_between_holes(form: Shape) -> float:
    """Least metal between two holes, mm; 0 where they meet."""
    if len(form.holes) < 2:
        return NEVER
    tree = STRtree(form.holes)
    pairs, found = tree.query_nearest(form.holes, exclusive=True, return_distance=True)
    return float(found.min()) if pairs.size else 0.0


def web_to_edge(form: Shape) -> float:
    """Least metal between a hole and the outline, mm; negative where a hole leaves the outline."""
    rim = form.outer.exterior
    return min((h.distance(rim) if form.outer.contains(h) else -1.0 for h in form.holes), default=NEVER)


def is_convex(polygon: Polygon) -> bool:
    """Whether a polygon is convex but for its flattening."""
    return polygon.convex_hull.area <= polygon.area * (1 + 1e-3)


def has_metal_of(metal: BaseGeometry, width: float) -> bool:
    """Whether some of the metal is as narrow as `width`, or narrower by a share of no more than THIN_SHARE."""
    r = width / 2
    opened = metal.buffer(-r, quad_segs=ARC_SIDES).buffer(r, quad_segs=ARC_SIDES)
    lost = metal.difference(opened)
    return not lost.buffer(-THIN_SHARE * r, quad_segs=ARC_SIDES).is_empty


def narrowest(form: Shape, *, most: float) -> float:
    """Narrowest metal, mm; `most` where nothing is narrower.

    Webs beside convex holes by their distances; necks and tongues of the outline and of holes that are not convex by
    opening the metal with discs of growing radius, then by bisection."""
    webs = max(0.0, min(web_between_holes(form), web_to_edge(form), most))
    bent = [h for h in form.holes if not is_convex(h)]
    if not bent and is_convex(form.outer) and short_side(form.outer) > webs:
        return webs
    metal = form.outer.difference(union_all(bent)).simplify(SETTLED_MM)
    if metal.buffer(-LEAST_WIDTH_MM / 2, quad_segs=ARC_SIDES).geom_type != "Polygon":
        return 0.0
    low, high = 0.0, min(LEAST_WIDTH_MM, webs)
    while not has_metal_of(metal, high):
        if high >= webs:
            return webs
        low, high = high, min(high * WIDTH_STEP, webs)
    while high - low > SETTLED_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if has_metal_of(metal, middle) else (middle, high)
    return low


# ---------------------------------------------------------------- beside a bend


def strip(bend: BendLine) -> Polygon:
    """The metal that a bend takes up, between its tangent lines."""
    return LineString([bend.start, bend.end]).buffer(bend.allowance / 2, cap_style="flat")


def hole_to_tangent(form: Shape, bend: BendLine) -> float:
    """Least distance from a hole's edge to the line where the bend begins, mm; 0 where it reaches into the bend."""
    taken = strip(bend)
    return min((h.distance(taken) for h in form.holes), default=NEVER)


def frame_of(bend: BendLine) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Start, direction along, and direction across a bend line, each (2,)."""
    start, end = np.array(bend.start), np.array(bend.end)
    along = (end - start) / np.linalg.norm(end - start)
    return start, along, np.array([-along[1], along[0]])


def rim_in_bend(form: Shape, bend: BendLine) -> np.ndarray:
    """The outline's sides (n, 2, 2) as (along, across) of a bend line."""
    start, along, across = frame_of(bend)
    rim = np.array(form.outer.exterior.coords) - start
    placed = np.column_stack([rim @ along, rim @ across])
    return np.stack([placed[:-1], placed[1:]], axis=1)


def legs(form: Shape, bend: BendLine, *, end: float) -> tuple[float, float]:
    """Least width of metal from a bend line square to it to the outline, on its left and right, mm.

    Measured at every corner of the outline beside the bend, so exact; a stretch `end` mm long at each end of the
    bend is left to corners and reliefs, unless the bend is shorter than three of them."""
    rim = rim_in_bend(form, bend)
    end = end if bend.length > 3 * end else 0.0
    low, high = end + BESIDE_MM, bend.length - end - BESIDE_MM
    corners = np.concatenate([rim[:, 0, 0] - BESIDE_MM, rim[:, 0, 0] + BESIDE_MM])
    places = np.concatenate([[low, high], corners[(corners > low) & (corners < high)]])
    left, right = zip(*(_reach(rim, s) for s in places))
    return min(left), min(right)


def _reach(rim: np.ndarray, place: float) -> tuple[float, float]:
    """Distance across to the nearest rim on both sides at `place` along a bend line; 0 where the line is outside."""
    a, b = rim[:, 0], rim[:, 1]
    crossing = (a[:, 0] - place) * (b[:, 0] - place) < 0
    a, b = a[crossing], b[crossing]
    across = a[:, 1] + (b[:, 1] - a[:, 1]) * (place - a[:, 0]) / (b[:, 0] - a[:, 0])
    left, right = across[across > 0], -across[across <= 0]
    if len(left) % 2 == 0 or len(right) % 2 == 0:
        return 0.0, 0.0
    return float(left.min()), float(right.min())


PARALLEL = 1e-6
"""Sine of the greatest angle between bend lines that count as parallel."""


def between_bends(one: BendLine, other: BendLine) -> float | None:
    """Flat metal between the tangent lines of two parallel bends that lie beside each other, mm; None of others."""
    start, along, across = frame_of(one)
    ends = np.array([other.start, other.end]) - start
    s, apart = ends @ along, ends @ across
    if abs(apart[0] - apart[1]) > PARALLEL * other.length or s.max() <= 0 or s.min() >= one.length:
        return None
    return abs(float(apart.mean())) - (one.allowance + other.allowance) / 2
