"""Outlines of the flat pieces, mm. Walls and flaps in (u, v): u along the wall from its middle, to the right as seen
from inside; v up from the floor. The stop in (n, v): n inwards from the wall's inner face. The lid in the cell's x,
y."""

import math

from generators import standards
from generators.outlines import Loop, circle, fillet, rectangle, without_repeats
from generators.parts.gate_baffle.dimension import GateBaffleDimensions
from generators.parts.gate_baffle.hinge import (
    ABOVE_KNUCKLE_MM,
    BELOW_KNUCKLE_MM,
    BESIDE_KNUCKLE_MM,
    FIT_MM,
    KNUCKLE_FIT_MM,
    SEAT_GAP_MM,
)

FINGERS = 5
"""Bands of a corner joint, bottom to top; the end wall has the odd ones, so that it reaches the floor and the lid."""

LID_TAB_SHARES = ((-0.36, -0.22), (0.16, 0.30))
"""Start and end of the two tabs on a wall's upper edge as shares of its length: not symmetrical, so that a wall fits
its lid one way round only."""

LID_OVERHANG_THICKNESSES = 2
"""Lid beyond the walls' outer faces, in thicknesses: metal outside the slots."""

LID_CORNER_MM = 5.0
FLAP_CORNER_MM = 3.0
"""Rounded so that hands and oil seals live."""


def bands(d: GateBaffleDimensions) -> list[float]:
    """Heights at which a corner joint changes from wall to wall, v from the lower edge to the upper."""
    step = (d.wall_height - d.drain_gap) / FINGERS
    return [d.drain_gap + i * step for i in range(FINGERS + 1)]


def lid_tabs(span: float) -> list[tuple[float, float]]:
    """Start and end (u) of the tabs on the upper edge of a wall whose inside is `span` mm long."""
    return [(a * span, b * span) for a, b in LID_TAB_SHARES]


def _upper_edge(d: GateBaffleDimensions, span: float) -> list[tuple[float, float]]:
    """Points along the upper edge from right to left, with the lid's tabs."""
    top = d.lid_top
    return [
        p for a, b in reversed(lid_tabs(span)) for p in ((b, d.wall_height), (b, top), (a, top), (a, d.wall_height))
    ]


def _with_ends(right: list[tuple[float, float]], upper: list[tuple[float, float]]) -> Loop:
    """The wall whose right end is `right` from bottom to top; the left one mirrors it."""
    left = [(-u, v) for u, v in reversed(right)]
    return without_repeats([(u, v, 0.0) for u, v in (*right, *upper, *left)])


def end_wall(d: GateBaffleDimensions) -> Loop:
    """A wall across the cell; its ends are notched for the side walls' tabs."""
    full, notch = d.width / 2 + d.thickness, d.width / 2 - FIT_MM
    v, right = bands(d), []
    for i in range(FINGERS):
        right += [(notch if i % 2 else full, h) for h in v[i : i + 2]]
    return _with_ends(right, _upper_edge(d, d.width))


def side_wall(d: GateBaffleDimensions) -> Loop:
    """A wall along the cell; its tabs lie in the end walls' notches, flush with their outer faces."""
    shoulder, tab, play = d.length / 2 - FIT_MM, d.length / 2 + d.thickness, standards.SLOT_LENGTH_CLEARANCE.least / 2
    v, right = bands(d), [(shoulder, d.drain_gap)]
    for i in range(1, FINGERS, 2):
        low, high = v[i], v[i + 1]
        right += [(shoulder, low + play), (tab, low + play), (tab, high - play), (shoulder, high - play)]
    return _with_ends([*right, (shoulder, d.wall_height)], _upper_edge(d, d.length))


def wall_holes(d: GateBaffleDimensions, places) -> list[Loop]:
    """Openings, hinge windows and stop slots of the gates at `places` along a wall."""
    return [hole for u in places for hole in (opening(d, u), window(d, u), *stop_slots(d, u))]


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
    over = d.thickness * (1 + LID_OVERHANG_THICKNESSES)
    x, y = d.length / 2 + over, d.width / 2 + over
    return rectangle(x0=-x, y0=-y, x1=x, y1=y, corner=LID_CORNER_MM)


def lid_slot_sizes(d: GateBaffleDimensions, span: float) -> list[tuple[float, float, float, float]]:
    """(u from, u to, n from, n to) of the slots for the tabs of a wall whose inside is `span` mm long."""
    along, across = standards.SLOT_LENGTH_CLEARANCE.least / 2, standards.SLOT_WIDTH_CLEARANCE.usual / 2
    return [(a - along, b + along, -d.thickness - across, across) for a, b in lid_tabs(span)]


def pickup_hole(d: GateBaffleDimensions) -> Loop:
    """The lid's hole over the pickup, about the cell's middle."""
    return circle(x=0, y=0, radius=d.lid_hole / 2)
