"""Bolts along a gasket face: where the tool puts them, and whether given ones can hold."""

import math

import numpy as np

from generators.outlines import Loop, arc_of, flattened
from generators.parameters.fields import Inconsistent
from generators.standards.tables import Unknown
from generators.standards.threads import clearance_hole
from generators.units import echo

LEAST_WALL_MM = 1.5
"""Metal left between a bolt hole and the edge of its face: less tears out under a gasket (common practice)."""

CORNER_RAD = math.radians(20)
"""A turn of less is no corner that needs a bolt of its own."""

LEAST_BOLTS, MOST_BOLTS = 3, 300
"""Fewer hold no gasket down; no pan has more."""

MICROMETRES = 6
"""Decimals of a mm that a placed bolt is rounded to, so that mirror images agree."""

CLOSE = 1 / 3
"""Corners nearer to each other than this share of the pitch have one bolt between them."""


def bolts_along(loop: Loop, *, face_width: float, pitch: float) -> tuple[tuple[float, float], ...]:
    """Bolt centres (mm) on the line half a face width inside `loop`: one at every corner, evenly divided between.

    No two neighbours are farther apart along that line than `pitch`. Raises Inconsistent where no such face fits."""
    line = _middle(loop, face_width)
    if line is None:
        raise Inconsistent([("face_width", "leaves no single opening inside the outline: measure it again")])
    stops = _corner_stops(loop, line, apart=pitch * CLOSE)
    total, out = line.length, []
    for start, end in zip(stops, stops[1:] + [stops[0] + total], strict=True):
        count = math.ceil((end - start) / pitch - 1e-9)
        out += [line.interpolate((start + (end - start) * k / count) % total) for k in range(count)]
    return tuple((round(p.x, MICROMETRES) + 0.0, round(p.y, MICROMETRES) + 0.0) for p in out)


def _middle(loop: Loop, face_width: float):
    from shapely.geometry import Polygon

    inner = Polygon(flattened(loop)).buffer(-face_width, join_style="mitre")
    middle = Polygon(flattened(loop)).buffer(-face_width / 2, join_style="mitre")
    if inner.geom_type != "Polygon" or inner.is_empty or middle.geom_type != "Polygon":
        return None
    return middle.exterior


def _corner_stops(loop: Loop, line, *, apart: float) -> list[float]:
    """Distances along `line` of its points nearest to the corners of `loop`, in order; close ones drawn together."""
    from shapely.geometry import Point

    stops = sorted(line.project(Point(*corner)) for corner in _corners(loop)) or [0.0]
    groups = [[stops[0]]]
    for stop in stops[1:]:
        if stop - groups[-1][0] < apart:
            groups[-1].append(stop)
        else:
            groups.append([stop])
    if len(groups) > 1 and groups[0][0] + line.length - groups[-1][0] < apart:
        groups[0] = [s - line.length for s in groups.pop()] + groups[0]
    return sorted((g[0] + g[-1]) / 2 % line.length for g in groups)


def _corners(loop: Loop) -> list[np.ndarray]:
    """Where a loop turns: its sharp corners and the middles of its arcs, each shape (2,), mm."""
    out, segments = [], loop.segments()
    for i, (start, end, bulge) in enumerate(segments):
        if abs(4 * math.atan(bulge)) > CORNER_RAD:
            out.append(_arc_middle(start, end, bulge))
        turn = _heading(segments[i], at_end=False) - _heading(segments[i - 1], at_end=True)
        if abs(math.remainder(turn, 2 * math.pi)) > CORNER_RAD:
            out.append(start)
    return out


def _heading(segment, *, at_end: bool) -> float:
    start, end, bulge = segment
    half = 2 * math.atan(bulge)
    return math.atan2(end[1] - start[1], end[0] - start[0]) + (half if at_end else -half)


def _arc_middle(start, end, bulge: float) -> np.ndarray:
    centre, radius, angle, included = arc_of(start, end, bulge)
    middle = angle + included / 2
    return centre + radius * np.array([math.cos(middle), math.sin(middle)])


def bolt_problems(loop: Loop, bolts, *, face_width: float, size: str, placed: bool) -> list[tuple[str, str]]:
    """(key of the pan rail, message) for each bolt whose hole leaves too little metal in a gasket face
    `face_width` mm wide."""
    try:
        hole = clearance_hole(size)
    except Unknown as unknown:
        return [("bolt_size", str(unknown))]
    if face_width < hole + 2 * LEAST_WALL_MM:
        text = f"leaves no metal beside a hole of {echo(hole, 'length')} for {size}: at least "
        return [("face_width", text + f"{echo(hole + 2 * LEAST_WALL_MM, 'length')}, or a smaller bolt_size")]
    key = "bolt_pitch" if placed else "bolts"
    texts = list(_count(bolts)) or [*_off_face(loop, bolts, face_width, hole), *_near(bolts, hole)]
    return [(key, text) for text in texts]


def _count(bolts):
    if not LEAST_BOLTS <= len(bolts) <= MOST_BOLTS:
        yield f"has {len(bolts)}: a pan needs {LEAST_BOLTS} bolts or more, and has at most {MOST_BOLTS}"


def _off_face(loop: Loop, bolts, face_width: float, hole: float):
    edge = flattened(loop)
    for number, (x, y) in enumerate(bolts, start=1):
        depth = _depth(edge, np.array((x, y)))
        where = f"bolt {number} at {x:g}, {y:g} mm"
        if depth < 0:
            yield f"{where} lies outside the rail by {echo(-depth, 'length')}: move it in or measure the outline again"
        elif depth < hole / 2 + LEAST_WALL_MM:
            yield (
                f"{where} is {echo(depth, 'length')} from the rail's edge; its hole of {echo(hole, 'length')} needs "
                f"{echo(hole / 2 + LEAST_WALL_MM, 'length')} to leave metal"
            )
        elif depth > face_width - hole / 2:
            yield (
                f"{where} is {echo(depth, 'length')} inside the outline, off the gasket face of "
                f"{echo(face_width, 'length')}: move it out or give a wider face_width"
            )


def _near(bolts, hole: float):
    for j, b in enumerate(bolts):
        for i, a in enumerate(bolts[:j]):
            if math.dist(a, b) < hole + LEAST_WALL_MM:
                apart = echo(math.dist(a, b), "length")
                yield f"bolts {i + 1} and {j + 1} are {apart} apart, so their holes meet: leave one out"


def _depth(edge: np.ndarray, point: np.ndarray) -> float:
    """Distance of `point` from a polygon's edge (n, 2), mm; negative outside."""
    start, end = edge, np.roll(edge, -1, axis=0)
    along = end - start
    t = np.clip(np.sum((point - start) * along, axis=1) / np.sum(along**2, axis=1), 0, 1)
    distance = float(np.min(np.linalg.norm(start + t[:, None] * along - point, axis=1)))
    crosses = (start[:, 1] > point[1]) != (end[:, 1] > point[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = start[:, 0] + (point[1] - start[:, 1]) / (end[:, 1] - start[:, 1]) * along[:, 0]
    return distance if np.count_nonzero(crosses & (point[0] < at)) % 2 else -distance
