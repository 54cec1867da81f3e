"""The record of the inside, and what can be asked of it. mm, engine frame; s is y counted from the rising side."""

import math
from dataclasses import dataclass

from generators.findings import Sized
from generators.outlines import Loop, polygon_loop, without_repeats
from generators.rail import Opening
from generators.sheet.channel import Channel
from generators.sump.notch import Notch


@dataclass(frozen=True)
class Inside:
    """`opening` the body's inside walls; `top` the gasket face, `underside` the flange's lower face; the body's floor is
    `shallow_z` high at x = `join` and rises from there to both ends by `body_slope` (rad). The sump lies between `x0`
    and `x1`; `corners` (s, z) are its sharp inside corners from the neck's top on the rising side round to that on the
    falling side, rounded by `radius`. `is_made` tells a pan to be made from one that is there already; where the pickup's tube `leads_up` no port stands in
    its side."""

    is_made: bool
    side: int
    opening: Opening
    top: float
    underside: float
    shallow_z: float
    body_slope: float
    join: float
    x0: float
    x1: float
    corners: tuple[tuple[float, float], ...]
    floor_slope: float
    radius: float
    thickness: float
    k_factor: float
    leads_up: bool = False
    notch: Notch | None = None
    sized: tuple[Sized, ...] = ()

    @property
    def length(self) -> float:
        """Of the sump along the crank."""
        return self.x1 - self.x0

    @property
    def floor_x(self) -> tuple[float, float]:
        """Rear and front end of the floor: a notch ends it before the sump's own end."""
        if not self.notch:
            return self.x0, self.x1
        return (self.x0, self.notch.x) if self.notch.at_front else (self.notch.x, self.x1)

    @property
    def floor_index(self) -> int:
        """Which side of the section is the floor, counted from 0: as many lie before it as behind, less a kick-out."""
        heights = [(a[1] + b[1]) / 2 for a, b in zip(self.corners, self.corners[1:], strict=False)]
        return heights.index(min(heights))

    @property
    def floor_ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The floor's sharp corners (s, z), the lower first."""
        return self.corners[self.floor_index], self.corners[self.floor_index + 1]

    @property
    def lowest(self) -> float:
        """Height of the floor's lower corner."""
        return self.floor_ends[0][1]

    @property
    def channel(self) -> Channel:
        """The sump's section as a folded channel between its end plates."""
        return Channel(self.corners, self.thickness, self.radius, self.length, self.k_factor)

    def floor(self, y: float) -> float:
        """Height of the sump's floor (its flat, taken on to both sides) at y."""
        (s, z), _ = self.floor_ends
        return z + (self.side * y - s) * math.tan(self.floor_slope)

    def body_floor(self, x: float) -> float:
        """Height of the body's floor at x."""
        return self.shallow_z + abs(x - self.join) * math.tan(self.body_slope)

    def section(self, *, inset: float = 0.0) -> Loop:
        """The sump's inside (s, z), closed straight across the neck's top, with its rounded corners: taken `inset` mm
        inwards (negative: into the metal). Raises ValueError where it has no room for that."""
        if not self.radius:
            return polygon_loop(_inset(self.corners, inset))
        path = self.channel.path(-inset)
        (first, _, _), (last, _, _) = path[0], path[-1]
        top = self.corners[0][1]
        return without_repeats((*path[:-1], (*path[-1][:2], 0.0), (last, top, 0.0), (first, top, 0.0)))

    def bottom(self, y: float, *, inset: float = 0.0) -> float:
        """Height of the sump's inside at y, rounded corners and all, `inset` mm above the metal; infinite where y lies
        outside of it."""
        (s0, _), (s1, _) = self.floor_ends
        s, r = self.side * y, self.radius
        low, high = s0 + inset, s1 - inset
        if not low <= s <= high:
            return math.inf
        flat = self.floor(y) + inset / math.cos(self.floor_slope)
        return max([flat, *(_arc_height(s, c, max(r - inset, 0.0)) for c in _corner_centres(self, inset))])


def _inset(corners, inset: float):
    """The open polyline's points moved inwards by `inset`: the sides are plumb or nearly level."""
    out = []
    for i, (s, z) in enumerate(corners):
        sides = [(corners[j], corners[j + 1]) for j in (i - 1, i) if 0 <= j < len(corners) - 1]
        lines = [_moved_line(a, b, inset) for a, b in sides]
        out.append(_meeting(*lines) if len(lines) > 1 else _meeting(lines[0], ((s, z), (s + 1.0, z))))
    return out


def _moved_line(a, b, inset: float):
    """The line a-b moved to its left by `inset`, as two points."""
    length = math.dist(a, b)
    n = (-(b[1] - a[1]) / length * inset, (b[0] - a[0]) / length * inset)
    return (a[0] + n[0], a[1] + n[1]), (b[0] + n[0], b[1] + n[1])


def _meeting(one, other) -> tuple[float, float]:
    """Where two lines, each two points, meet."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    den = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / den
    return ax + t * (bx - ax), ay + t * (by - ay)


def _corner_centres(inside: Inside, inset: float):
    """(s, z, which way the wall lies) of the centres of the arcs between floor and walls, each with its arc's radius
    taken `inset` inwards; none for a sharp corner."""
    r = inside.radius
    if r <= inset:
        return []
    out = []
    for (s, z), way in zip(inside.floor_ends, (-1, 1), strict=True):
        centre = s - way * r
        slope = inside.floor_slope
        out.append((centre, z + r / math.cos(slope) - way * r * math.tan(slope), way))
    return out


def _arc_height(s: float, centre, r: float) -> float:
    """Height at s of the arc in the corner that `centre` belongs to; minus infinity where s is not under it."""
    middle, height, way = centre
    over = (s - middle) * way
    return height - math.sqrt(max(r * r - over * over, 0.0)) if over > 0 else -math.inf
