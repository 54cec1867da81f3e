"""Outlines of the flat pieces, mm. Walls and flaps in (u, v): u along the wall from its middle, to the right as seen
from inside; v up from floor_z. The stop in (n, v): n inwards from the wall's inner face. The lid in the cell's x,
y."""

import math

import numpy as np

from generators import standards
from generators.outlines import Loop, circle, fillet, moved, rectangle, without_repeats
from generators.parts.gate_baffle.dimension import FINGERS, GateBaffleDimensions
from generators.parts.gate_baffle.hinge import (
    ABOVE_KNUCKLE_MM,
    BELOW_KNUCKLE_MM,
    BESIDE_KNUCKLE_MM,
    FIT_MM,
    KNUCKLE_FIT_MM,
    SEAT_GAP_MM,
)
from generators.parts.gate_baffle.walls import LOW_WALL, Wall, lid_tabs

QUARTER_BULGE = math.tan(math.pi / 8)
"""Of an arc of a right angle."""

LID_CORNER_MM = 5.0
FLAP_CORNER_MM = 3.0
"""Rounded so that hands and oil seals live."""


def _upper_edge(d: GateBaffleDimensions, tabs) -> list[tuple[float, float, float]]:
    """Points along the upper edge from right to left, with the lid's tabs."""
    top, edge = d.lid_top, d.wall_height
    return [(*p, 0.0) for a, b in reversed(tabs) for p in ((b, edge), (b, top), (a, top), (a, edge))]


def _mirrored(right) -> list[tuple[float, float, float]]:
    """The other end of a wall, from top to bottom, whose right end (u, v, bulge) is given from bottom to top."""
    bulges = [0.0, *(b for _, _, b in right[:-1])]
    return [(-u, v, b) for (u, v, _), b in zip(reversed(right), reversed(bulges), strict=True)]


def end_wall(d: GateBaffleDimensions, wall: Wall) -> Loop:
    """A wall across the cell as it stands in front, its lower edge along the floor; its ends are notched for the side walls'
    tabs."""
    full, notch = d.width / 2 + d.thickness, d.width / 2 - FIT_MM
    v, right = d.bands, []
    for i in range(FINGERS):
        right += [(notch if i % 2 else full, h, 0.0) for h in v[i : i + 2]]
    lower = edge_from_inside(d)
    return without_repeats([*lower, *right[1:], *_upper_edge(d, lid_tabs(d, wall.span)), *_mirrored(right[1:])])


def edge_from_inside(d: GateBaffleDimensions) -> list[tuple[float, float, float]]:
    """The front wall's lower edge (u, v, bulge) from its left to its right end, as seen from inside: there u is -y."""
    edge = d.footing.end_edge
    bulges = [*(b for _, _, b in reversed(edge[:-1])), 0.0]
    return [(-y, v, b) for (y, v, _), b in zip(reversed(edge), bulges, strict=True)]


def side_wall(d: GateBaffleDimensions, wall: Wall) -> Loop:
    """A wall along the cell; its tabs lie in the end walls' notches, flush with their outer faces."""
    shoulder, tab, play = d.length / 2 - FIT_MM, d.length / 2 + d.thickness, standards.SLOT_LENGTH_CLEARANCE.least / 2
    v, low = d.bands, edge_of(d, wall)
    round_ = d.notch if wall.piece == LOW_WALL else 0.0
    right = [(shoulder - round_, low, -QUARTER_BULGE), (shoulder, low + round_, 0.0)] if round_ else [(shoulder, low, 0.0)]
    for i in range(1, FINGERS, 2):
        start, end = v[i] + play, v[i + 1] - play
        right += [(shoulder, start, 0.0), (tab, start, 0.0), (tab, end, 0.0), (shoulder, end, 0.0)]
    right.append((shoulder, d.wall_height, 0.0))
    return without_repeats([*right, *_upper_edge(d, wall.tabs), *_mirrored(right)])


def edge_of(d: GateBaffleDimensions, wall: Wall) -> float:
    """v of a side wall's lower edge."""
    return d.footing.edge(1 if wall.frame.matrix[1, 3] > d.y else -1)


def wall_holes(d: GateBaffleDimensions, wall: Wall) -> list[Loop]:
    """Openings, hinge windows and stop slots of the gates of a wall."""
    return [
        moved(hole, y=wall.lift) for u in wall.gates for hole in (opening(d, u), window(d, u), *stop_slots(d, u))
    ]


def opening(d: GateBaffleDimensions, u: float) -> Loop:
    """The opening of a gate: sharp corners, exactly as large as asked."""
    half = d.opening_width / 2
    return rectangle(x0=u - half, y0=d.sill, x1=u + half, y1=d.sill + d.opening_height)


def window(d: GateBaffleDimensions, u: float) -> Loop:
    """The window that the hinge sits in: its upper edge comes down to the wall's knuckles and keeps clear of the
    flap's."""
    h, half = d.hinge, d.window_half
    low, near, far = (
        d.axis + w for w in (-h.radius - BELOW_KNUCKLE_MM, h.radius + KNUCKLE_FIT_MM, h.radius + ABOVE_KNUCKLE_MM)
    )
    upper = []
    for a, b in flap_knuckles(d):
        a, b = a - h.gap - BESIDE_KNUCKLE_MM, b + h.gap + BESIDE_KNUCKLE_MM
        upper += [(a, near), (a, far), (b, far), (b, near)]
    corners = [(-half, low), (half, low), (half, near), *reversed(upper), (-half, near)]
    return without_repeats([(u + a, v, 0.0) for a, v in corners])


def flap_knuckles(d: GateBaffleDimensions) -> list[tuple[float, float]]:
    """Start and end of the knuckles on the flap, mm from the gate's middle."""
    return d.hinge.places()[1::2]


def wall_knuckles(d: GateBaffleDimensions) -> list[tuple[float, float]]:
    """Start and end of the knuckles on the wall, mm from the gate's middle."""
    return d.hinge.places()[0::2]


def stop_slots(d: GateBaffleDimensions, u: float) -> list[Loop]:
    """Slots for the tabs of a gate's stops."""
    half = (d.thickness + standards.SLOT_WIDTH_CLEARANCE.usual) / 2
    low, high = d.stop_slot
    return [rectangle(x0=u + p - half, y0=low, x1=u + p + half, y1=high) for p in d.stop.places]


def seam_drop(d: GateBaffleDimensions, *, gap: float) -> float:
    """How far below the axis the flap's outer face comes within `gap` of its knuckles, mm."""
    return math.sqrt((d.hinge.radius + gap) ** 2 - (d.hinge.setback + SEAT_GAP_MM) ** 2)


def flap(d: GateBaffleDimensions) -> Loop:
    """A flap about the middle of its gate: its upper edge reaches up to its own knuckles and keeps off the wall's."""
    half, low = d.flap.width / 2, d.flap_bottom
    near, far = d.axis - seam_drop(d, gap=KNUCKLE_FIT_MM), d.axis - d.hinge.radius - BESIDE_KNUCKLE_MM
    tabs = [(a + BESIDE_KNUCKLE_MM, b - BESIDE_KNUCKLE_MM) for a, b in reversed(flap_knuckles(d))]
    upper = [p for a, b in tabs for p in ((b, far), (b, near), (a, near), (a, far))]
    corners = [(-half, low), (half, low), (half, far), *upper, (-half, far)]
    loop = without_repeats([(u, v, 0.0) for u, v in corners])
    return fillet(loop, [FLAP_CORNER_MM, FLAP_CORNER_MM] + [0.0] * (len(loop.vertices) - 2))


def stop(d: GateBaffleDimensions) -> Loop:
    """A stop: a tab through the wall, an arm over the knuckles, a toe along the open flap's inner face."""
    s, back, t = d.stop, d.hinge.setback, d.thickness
    root = math.sqrt(s.clear**2 - (back + FIT_MM) ** 2)
    first, last = s.at(d.open_angle, s.toe_from), s.at(d.open_angle, s.toe_to)
    behind = s.at(d.open_angle, s.toe_to, beyond=s.breadth)
    turn = math.atan2(first[1], first[0]) - math.atan2(root, back + FIT_MM)
    low, high = (
        v + side * standards.SLOT_LENGTH_CLEARANCE.least / 2 for v, side in zip(d.stop_slot, (1, -1), strict=True)
    )
    outline = [
        (FIT_MM, d.axis + root, math.tan(turn / 4)),
        *((p - back, d.axis + v, 0.0) for p, v in (first, last, behind)),
        (behind[0] - back, high, 0.0),
        (-t, high, 0.0),
        (-t, low, 0.0),
        (FIT_MM, low, 0.0),
    ]
    return without_repeats(outline)


def lid(d: GateBaffleDimensions) -> Loop:
    """The lid about the cell's middle."""
    over = d.lid_over
    x, y = d.length / 2 + over, d.width / 2 + over
    return rectangle(x0=-x, y0=-y, x1=x, y1=y, corner=LID_CORNER_MM)


def lid_slot_sizes(d: GateBaffleDimensions, wall: Wall) -> list[tuple[float, float, float, float]]:
    """(u from, u to, n from, n to) of the slots for the tabs of a wall."""
    along, across = standards.SLOT_LENGTH_CLEARANCE.least / 2, standards.SLOT_WIDTH_CLEARANCE.usual / 2
    return [(a - along, b + along, -d.thickness - across, across) for a, b in wall.tabs]


def pickup_hole(d: GateBaffleDimensions) -> Loop:
    """The lid's hole over the pickup, about the cell's middle."""
    return circle(x=d.pickup[0], y=d.pickup[1], radius=d.lid_hole / 2)


def foot_ways(d: GateBaffleDimensions, wall: Wall) -> tuple[np.ndarray, np.ndarray]:
    """Along a foot and up it in the plane of its wall, (u, v) each: square to the floor, which falls along an end wall."""
    falls = -d.footing.low * d.foot.slope * (1 if wall.frame.matrix[1, 0] > 0 else -1) if wall.is_end else 0.0
    return np.array([math.cos(falls), math.sin(falls)]), np.array([-math.sin(falls), math.cos(falls)])


def foot_floor(d: GateBaffleDimensions, wall: Wall, u: float) -> float:
    """v of the floor under a foot's middle."""
    y = u if wall.frame.matrix[1, 0] > 0 else -u
    return d.foot.floor - d.footing.low * y * math.tan(d.foot.slope)
