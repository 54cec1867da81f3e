"""The line along which a plate that stands in the sump is scribed to it, rounded corners and all. mm, engine frame.

      |                         |
      |   y0              y1    |
      |    .               .    |       `inset` above the metal: room for a weld
       \\   |               |   /
        `--+_______________+--'         floor, sloped across the crank
"""

import math
from dataclasses import dataclass

from generators.sump.inside import Inside


def scribed(inside: Inside, y0: float, y1: float, *, inset: float) -> list[tuple[float, float, float]]:
    """Points (y, z, bulge) along the bottom of the sump from y0 to y1, `inset` mm above it; a bulge is that of the arc to
    the next point. Raises ValueError where y0 or y1 lies outside of the sump."""
    flip = inside.side < 0
    a, b = (-y1, -y0) if flip else (y0, y1)
    (low, _), (high, _) = inside.floor_ends
    if not low + inset <= a < b <= high - inset:
        raise ValueError(f"{y0:.1f} to {y1:.1f} mm is not within the sump, {low + inset:.1f} to {high - inset:.1f} mm from the crank")
    left, right = (_arc(inside, way, inset) for way in (-1, 1))
    flat_from, flat_to = max(a, left.tangent), min(b, right.tangent)
    points = []
    if a < flat_from:
        points += _along(left, a, min(flat_from, b))
    points += [(s, _flat(inside, s, inset), 0.0) for s in (flat_from, flat_to) if flat_from < flat_to]
    if flat_to < b:
        points += _along(right, max(flat_to, a), b)
    points = _once(points)
    return _mirrored(points) if flip else points


def height_over(inside: Inside, y: float, *, inset: float) -> float:
    """Height of that line at y."""
    s = inside.side * y
    left, right = (_arc(inside, way, inset) for way in (-1, 1))
    if s < left.tangent:
        return left.height(s)
    return right.height(s) if s > right.tangent else _flat(inside, s, inset)


@dataclass(frozen=True)
class _Arc:
    """The corner between floor and wall: centre at s = `middle`, height `centre`; it meets the floor at s = `tangent`."""

    middle: float
    centre: float
    radius: float
    tangent: float

    def height(self, s: float) -> float:
        """Of the arc at s."""
        return self.centre - math.sqrt(max(self.radius**2 - (s - self.middle) ** 2, 0.0))

    def angle(self, s: float) -> float:
        """Of the arc's point at s as seen from its centre, rad."""
        return math.atan2(self.height(s) - self.centre, s - self.middle)


def _arc(inside: Inside, way: int, inset: float) -> _Arc:
    """The corner on the low (way -1) or high side (1), taken `inset` mm inwards; of no radius where that is more."""
    s, z = inside.floor_ends[0 if way < 0 else 1]
    r, slope = inside.radius, inside.floor_slope
    over = max(r, inset)
    middle = s - way * over
    centre = z + over / math.cos(slope) - way * over * math.tan(slope)
    return _Arc(middle, centre, max(r - inset, 0.0), middle + max(r - inset, 0.0) * math.sin(slope))


def _flat(inside: Inside, s: float, inset: float) -> float:
    return inside.floor(inside.side * s) + inset / math.cos(inside.floor_slope)


def _along(arc: _Arc, a: float, b: float):
    """The arc's stretch from a to b: its start with its bulge, and its end."""
    bulge = math.tan((arc.angle(b) - arc.angle(a)) / 4)
    return [(a, arc.height(a), bulge), (b, arc.height(b), 0.0)]


def _once(points):
    """Where one stretch ends as the next begins, the beginning is kept."""
    return [p for p, q in zip(points, [*points[1:], None], strict=True) if q is None or math.dist(p[:2], q[:2]) > SAME_MM]


SAME_MM = 1e-9
"""Points nearer than this are one."""


def _mirrored(points):
    """The same line from the other end, with y turned round: its arcs still curve upwards."""
    bulges = [0.0, *(b for _, _, b in reversed(points[:-1]))]
    return [(-s, z, b) for (s, z, _), b in zip(reversed(points), [*bulges[1:], 0.0], strict=True)]
