"""Where the pieces are welded, as paths in the middle of the gap between them, and which only touch."""

import itertools

import numpy as np

from generators import standards
from generators.parts.gate_baffle import blanks
from generators.parts.gate_baffle.dimension import GateBaffleDimensions
from generators.parts.gate_baffle.hinge import FIT_MM, KNUCKLE_FIT_MM, KNUCKLE_WALL_MM, SEAT_GAP_MM
from generators.parts.gate_baffle.walls import LOW_WALL, Wall, gate_walls, side_piece, walls
from generators.pieces import PAN, Seam
from generators.sheet.channel import spread

END_MM = 1.0
"""How far a weld stops short of the end of a joint, so that it does not run into what moves beside it."""


def _seam(wall: Wall, a: str, b: str, points, *, leg: float) -> Seam:
    return Seam(a, b, wall.frame.points(np.array(points, float)), leg, leak_tight=False)


def seams(d: GateBaffleDimensions) -> tuple[Seam, ...]:
    """Every weld of the part."""
    out = []
    for wall in walls(d):
        out += [_lid_tab(d, wall, tab) for tab in wall.tabs]
        if wall.is_end:
            out += [_corner(d, wall, side) for side in (1, -1)]
        if d.foot and wall.is_end == d.foot.at_ends:
            out += [_foot(d, wall, u) for u in d.foot.places]
    for wall, u in gate_walls(d):
        out += [_wall_knuckle(d, wall, u, ends) for ends in blanks.wall_knuckles(d)]
        out += [_flap_knuckle(d, wall, u, ends) for ends in blanks.flap_knuckles(d)]
        out += [_stop(d, wall, u + p) for p in d.stop.places]
    return tuple(out)


def _corner(d: GateBaffleDimensions, wall: Wall, side: int) -> Seam:
    """Up the outside of a corner joint, from finger to finger."""
    full, notch, inner, outer = d.width / 2 + d.thickness, d.width / 2 - FIT_MM / 2, FIT_MM / 2, -d.thickness
    flank = standards.SLOT_LENGTH_CLEARANCE.least / 4
    y = 1 if (wall.frame.matrix[1, 0] > 0) == (side > 0) else -1
    heights = d.bands
    heights[0] = d.footing.edge(y) + (d.notch if y == d.footing.low else 0.0)
    path = [(full, heights[0] + END_MM, inner)]
    for i, v in enumerate(heights[1:-1]):
        on_side = [(full, v + flank, inner), (full, v + flank, outer), (notch, v + flank, outer)]
        path += (
            on_side if i % 2 == 0 else [(u, v - flank, n) for u, v, n in ((p[0], v, p[2]) for p in reversed(on_side))]
        )
    path.append((full, heights[-1] - END_MM, inner))
    return _seam(wall, wall.piece, side_piece(d, y), [(side * u, v, n) for u, v, n in path], leg=d.thickness)


def _round(a: float, b: float, c: float, e: float) -> list[tuple[float, float]]:
    return [(a, c), (b, c), (b, e), (a, e), (a, c)]


def _lid_tab(d: GateBaffleDimensions, wall: Wall, tab: tuple[float, float]) -> Seam:
    """Round a tab on the lid's upper face."""
    along, across = standards.SLOT_LENGTH_CLEARANCE.least / 4, standards.SLOT_WIDTH_CLEARANCE.usual / 4
    ring = _round(tab[0] - along, tab[1] + along, -d.thickness - across, across)
    return _seam(wall, wall.piece, "lid", [(u, d.lid_top, n) for u, n in ring], leg=d.thickness)


def _stop(d: GateBaffleDimensions, wall: Wall, u: float) -> Seam:
    """Round a stop's tab on the wall's outer face."""
    along, across = standards.SLOT_LENGTH_CLEARANCE.least / 4, standards.SLOT_WIDTH_CLEARANCE.usual / 4
    low, high = (v + wall.lift for v in d.stop_slot)
    ring = _round(u - d.thickness / 2 - across, u + d.thickness / 2 + across, low + along, high - along)
    return _seam(wall, wall.piece, "stop", [(p, v, -d.thickness) for p, v in ring], leg=d.thickness)


def _foot(d: GateBaffleDimensions, wall: Wall, u: float) -> Seam:
    """Up one side of a foot, along its upper edge and down the other."""
    half, low, n = d.foot.width / 2, d.bend_radius + d.thickness + END_MM, -d.thickness - FIT_MM / 2
    path = [(-half, low), (-half, d.foot.height), (half, d.foot.height), (half, low)]
    along, up = blanks.foot_ways(d, wall)
    middle = np.array([u, blanks.foot_floor(d, wall, u)])
    return _seam(wall, wall.piece, "foot", [(*(middle + p * along + v * up), n) for p, v in path], leg=d.thickness)


def _wall_knuckle(d: GateBaffleDimensions, wall: Wall, u: float, ends: tuple[float, float]) -> Seam:
    """Along the top of a knuckle, where the window's upper edge lies on it."""
    v = wall.lift + d.axis + d.hinge.radius + KNUCKLE_FIT_MM / 2
    path = [(u + ends[0] + END_MM, v, -d.hinge.setback), (u + ends[1] - END_MM, v, -d.hinge.setback)]
    return _seam(wall, wall.piece, "wall_knuckle", path, leg=KNUCKLE_WALL_MM)


def _flap_knuckle(d: GateBaffleDimensions, wall: Wall, u: float, ends: tuple[float, float]) -> Seam:
    """Along the flap's upper edge, where it lies on a knuckle."""
    v = wall.lift + d.axis - blanks.seam_drop(d, gap=KNUCKLE_FIT_MM / 2)
    path = [(u + ends[0] + END_MM, v, SEAT_GAP_MM), (u + ends[1] - END_MM, v, SEAT_GAP_MM)]
    return _seam(wall, "flap", "flap_knuckle", path, leg=min(d.flap.thickness, KNUCKLE_WALL_MM))


def into(d: GateBaffleDimensions) -> tuple[Seam, ...]:
    """The welds that hold the cell in its pan: round the feet, else along the lower edges outside, in the middle of the gap under them."""
    if d.foot:
        return tuple(_foot_on_floor(d, wall, u) for wall in walls(d) if wall.is_end == d.foot.at_ends for u in d.foot.places)
    return tuple(_to_floor(d, wall, lower_edge(d, wall)) for wall in walls(d)) if d.footing.is_scribed else ()


def lower_edge(d: GateBaffleDimensions, wall: Wall) -> np.ndarray:
    """Points (n, 2) mm, u and v, along what of a wall's lower edge lies on the floor, from left to right as seen from inside."""
    if wall.is_end:
        way = -1 if wall.is_turned else 1
        line = np.array([(way * u, v) for u, v in spread(blanks.edge_from_inside(d))])[::way]
        return line
    half, v = d.length / 2 - FIT_MM - (d.footing.notch if wall.piece == LOW_WALL else 0.0), blanks.edge_of(d, wall)
    return np.array([(-half, v), (half, v)])


def _to_floor(d: GateBaffleDimensions, wall: Wall, edge: np.ndarray) -> Seam:
    return Seam(wall.piece, PAN, wall.frame.points([(u, v - d.footing.gap / 2, -d.thickness) for u, v in edge]), d.thickness, leak_tight=False)


def _foot_on_floor(d: GateBaffleDimensions, wall: Wall, u: float) -> Seam:
    """Along both sides and the toe of a foot."""
    half, near, far = d.foot.width / 2, -d.thickness - FIT_MM - d.bend_radius - d.thickness, -d.thickness - FIT_MM - d.foot.reach
    along, _ = blanks.foot_ways(d, wall)
    middle = np.array([u, blanks.foot_floor(d, wall, u)])
    path = [(*(middle + p * along), n) for p, n in ((-half, near), (-half, far), (half, far), (half, near))]
    return Seam("foot", PAN, wall.frame.points(path), d.thickness, leak_tight=False)


def touching(d: GateBaffleDimensions) -> tuple[frozenset[str], ...]:
    """Pairs that meet without a weld: seats, stops, pins in their knuckles and between the ends of their windows."""
    gated = sorted({wall.piece for wall in walls(d) if wall.gates})
    pairs = [
        ("flap", "stop"),
        ("flap_knuckle", "wall_knuckle"),
        ("hinge_pin", "flap_knuckle"),
        ("hinge_pin", "wall_knuckle"),
        *itertools.product(("flap", "hinge_pin"), gated),
    ]
    return tuple(frozenset(p) for p in pairs)
