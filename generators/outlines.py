"""Closed plane loops of straight lines and arcs: what a laser cuts and what a face is made of."""

import math
from dataclasses import dataclass

import numpy as np

CHORD_MM = 0.01
"""Largest distance of a chord from its arc where a loop is turned into a polygon."""

COINCIDENT_MM = 1e-6
"""Points nearer than this are the same point."""


@dataclass(frozen=True)
class Loop:
    """A closed loop in mm. Each vertex is (x, y, bulge); bulge = tan(included angle / 4) of the arc to the next
    vertex, 0 for a straight line, positive where the arc turns anticlockwise (the DXF convention)."""

    vertices: tuple[tuple[float, float, float], ...]

    def __post_init__(self):
        if len(self.vertices) < 2 or (len(self.vertices) == 2 and not any(v[2] for v in self.vertices)):
            raise ValueError(f"a loop needs three corners or an arc, not {self.vertices}")

    @property
    def points(self) -> np.ndarray:
        """Corners, shape (n, 2), mm."""
        return np.array([v[:2] for v in self.vertices], dtype=float)

    @property
    def bulges(self) -> np.ndarray:
        """Bulge of the segment that starts at each corner, shape (n,)."""
        return np.array([v[2] for v in self.vertices], dtype=float)

    def as_circle(self) -> tuple[tuple[float, float], float] | None:
        """Centre and radius where the loop is two half circles, else None."""
        if len(self.vertices) == 2 and np.allclose(np.abs(self.bulges), 1) and np.ptp(np.sign(self.bulges)) == 0:
            (x0, y0), (x1, y1) = self.points
            return ((x0 + x1) / 2, (y0 + y1) / 2), math.hypot(x1 - x0, y1 - y0) / 2
        return None

    def segments(self):
        """Each (start (2,), end (2,), bulge)."""
        points = self.points
        return [(points[i], points[(i + 1) % len(points)], b) for i, b in enumerate(self.bulges)]


def polygon_loop(points) -> Loop:
    """A loop of straight lines through `points`, shape (n, 2), mm."""
    return Loop(tuple((float(x), float(y), 0.0) for x, y in points))


def circle(*, x: float, y: float, radius: float) -> Loop:
    """An anticlockwise circle, mm."""
    if radius <= 0:
        raise ValueError(f"radius must be positive, not {radius}")
    return Loop(((x - radius, y, 1.0), (x + radius, y, 1.0)))


def rectangle(*, x0: float, y0: float, x1: float, y1: float, corner: float = 0.0) -> Loop:
    """An anticlockwise rectangle with rounded corners of radius `corner`, mm."""
    if x1 - x0 < 2 * corner or y1 - y0 < 2 * corner or x1 <= x0 or y1 <= y0:
        raise ValueError(f"a corner radius of {corner} does not fit {x1 - x0} x {y1 - y0}")
    return fillet(polygon_loop([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), corner) if corner else polygon_loop(
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def slot(*, x: float, y: float, length: float, width: float, angle: float = 0.0) -> Loop:
    """An obround of overall `length` and `width` (mm) centred at (x, y), its long axis turned by `angle` (rad)."""
    half, r = (length - width) / 2, width / 2
    if half <= 0:
        raise ValueError(f"a slot must be longer than wide, not {length} x {width}")
    corners = [(-half, r, 1.0), (-half, -r, 0.0), (half, -r, 1.0), (half, r, 0.0)]
    return moved(Loop(tuple(corners)), x=x, y=y, angle=angle)


def fillet(loop: Loop, radius: float | list[float]) -> Loop:
    """Round each corner of a straight-sided loop; `radius` (mm) for all corners or a list, one a corner.

    Raises ValueError where two neighbouring fillets do not fit their side, a radius is negative or one is missing."""
    if loop.bulges.any():
        raise ValueError("only straight-sided loops can be filleted")
    points = loop.points
    n = len(points)
    radii = [float(radius)] * n if np.isscalar(radius) else [float(r) for r in radius]
    if len(radii) != n or not all(r >= 0 for r in radii):
        raise ValueError(f"{n} corners need as many radii, none negative, not {radii}")
    back, forth = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
    lengths = np.linalg.norm(forth, axis=1)
    out, used = [], np.zeros(n)
    for i in range(n):
        a, b = back[i] / np.linalg.norm(back[i]), forth[i] / np.linalg.norm(forth[i])
        turn = math.atan2(-a[0] * b[1] + a[1] * b[0], float(-a @ b))
        setback = radii[i] * math.tan(abs(turn) / 2)
        used[i] += setback
        used[i - 1] += setback
        if setback <= COINCIDENT_MM:
            out.append((*points[i], 0.0))
            continue
        out.append((*(points[i] + a * setback), math.tan(turn / 4)))
        out.append((*(points[i] + b * setback), 0.0))
    if (used > lengths + COINCIDENT_MM).any():
        i = int(np.argmax(used - lengths))
        raise ValueError(f"corner radii need {used[i]:.2f} mm of a side that is {lengths[i]:.2f} mm long")
    return without_repeats(out)


def without_repeats(vertices) -> Loop:
    """A loop of `vertices` (x, y, bulge) less those of no length."""
    kept = []
    for i, vertex in enumerate(vertices):
        ahead = vertices[(i + 1) % len(vertices)]
        if math.dist(vertex[:2], ahead[:2]) > COINCIDENT_MM:
            kept.append(tuple(float(c) for c in vertex))
    return Loop(tuple(kept))


def moved(loop: Loop, *, x: float = 0.0, y: float = 0.0, angle: float = 0.0) -> Loop:
    """Turned about the origin by `angle` (rad), then shifted by x, y (mm)."""
    c, s = math.cos(angle), math.sin(angle)
    return Loop(tuple((c * px - s * py + x, s * px + c * py + y, b) for px, py, b in loop.vertices))


def mirrored(loop: Loop) -> Loop:
    """Mirrored in the x axis (y changes sign); the direction of travel is kept."""
    return reversed_loop(Loop(tuple((x, -y, -b) for x, y, b in loop.vertices)))


def reversed_loop(loop: Loop) -> Loop:
    """The same loop travelled the other way."""
    v = loop.vertices
    n = len(v)
    return Loop(tuple((v[-i % n][0], v[-i % n][1], -v[(-i - 1) % n][2]) for i in range(n)))


def anticlockwise(loop: Loop) -> Loop:
    """The same loop with a positive area."""
    return loop if signed_area(loop) > 0 else reversed_loop(loop)


def arc_of(start, end, bulge: float) -> tuple[np.ndarray, float, float, float]:
    """Centre (2,), radius, start angle and signed included angle (rad) of the arc with `bulge`."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    chord = end - start
    length = float(np.linalg.norm(chord))
    included = 4 * math.atan(bulge)
    radius = length / (2 * abs(math.sin(included / 2)))
    normal = np.array([-chord[1], chord[0]]) / length
    centre = (start + end) / 2 + normal * (length / 2) * (1 - bulge**2) / (2 * bulge)
    angle = math.atan2(*(start - centre)[::-1])
    return centre, radius, angle, included


def signed_area(loop: Loop) -> float:
    """Area in mm2, exact with its arcs; positive where travelled anticlockwise."""
    p = loop.points
    q = np.roll(p, -1, axis=0)
    total = float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1])) / 2
    for start, end, bulge in loop.segments():
        if bulge:
            _, radius, _, included = arc_of(start, end, bulge)
            total += radius**2 * (included - math.sin(included)) / 2
    return total


def perimeter(loop: Loop) -> float:
    """Length along the loop, mm, exact with its arcs."""
    total = 0.0
    for start, end, bulge in loop.segments():
        if bulge:
            _, radius, _, included = arc_of(start, end, bulge)
            total += radius * abs(included)
        else:
            total += float(np.linalg.norm(end - start))
    return total


def flattened(loop: Loop, chord: float = CHORD_MM) -> np.ndarray:
    """Points of a polygon within `chord` mm of the loop (on the arcs, so inside a convex one), shape (n, 2)."""
    out = []
    for start, end, bulge in loop.segments():
        out.append(start)
        if bulge:
            centre, radius, angle, included = arc_of(start, end, bulge)
            step = 2 * math.acos(max(0.0, 1 - chord / radius)) if chord < radius else math.pi / 4
            count = max(2, math.ceil(abs(included) / step))
            angles = angle + included * np.arange(1, count) / count
            out.extend(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.array(out)


def crosses_itself(loop: Loop) -> bool:
    """Whether the loop touches or crosses itself."""
    from shapely.geometry import LinearRing

    return not LinearRing(flattened(loop)).is_simple
