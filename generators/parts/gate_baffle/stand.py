"""What the cell stands in and what it stands round: a level floor, or the inside of the deep pan. mm, engine frame."""

import itertools
from dataclasses import dataclass
from functools import cached_property

from generators.parts.gate_baffle.hinge import refuse
from generators.sump import Draw, Inside, draw_of, inside_of
from generators.sump.drain import at_front, boss_radius, drain_in_plan
from generators.sump.fitted import has_deep_pan

PICKUP_BORE_MM = 22.0
"""Bore of the pump's pickup where no deep pan says it (common practice)."""

FLOOR_DEPTH_MM = 120.0
"""Depth of the floor below the rail where neither a deep pan nor the file says it (common practice)."""

BELL_OVER_BORE = 1.5
"""Mouth of the pickup's bell over its bore (common practice)."""

BELOW_SWING_MM = 5.0
"""Least distance from the crank's swing, or from the screen under it, to the lid: 3 to 5 mm from a big end to a tray
(common practice)."""

BELOW_LEG_MM = 3.0
"""Least distance from the pickup's leg to the lid: it is lowered through the lid by hand and then turned in place."""

LID_OVERHANG_THICKNESSES = 2
"""Lid beyond the walls' outer faces, in thicknesses: metal outside the slots."""

BESIDE_PAN_MM = 1.0
"""Least distance from the lid's edge to the sump's wall: the cell is set in by hand."""


class DrainInTheWay(ValueError):
    """No place in the sump for walls of that size clear of the drain's boss."""


@dataclass(frozen=True)
class Room:
    """How far something may reach along x and y (mm) and in what: low and high end of each."""

    x: tuple[float, float]
    y: tuple[float, float]

    @property
    def size(self) -> tuple[float, float]:
        """Along x and y."""
        return self.x[1] - self.x[0], self.y[1] - self.y[0]


@dataclass(frozen=True)
class Stand:
    """The pickup's axis at x, y, with its `bore` and the diameter `bell` that passes the lid; `ceiling`
    is the height that the lid's top must stay below, `under` what is there. `inside` is the deep pan's; None on a level
    floor `floor_z` high, which lies `usual_depth` below the rail where the file does not say. `draw` is the deep pan's pickup."""

    x: float
    y: float
    bore: float
    bell: float
    around: str
    ceiling: float
    under: str
    inside: Inside | None = None
    floor_z: float | None = None
    usual_depth: float | None = None
    draw: Draw | None = None

    @property
    def is_fitted(self) -> bool:
        """Whether it stands in a deep pan."""
        return self.inside is not None

    @property
    def has_feet(self) -> bool:
        """Whether the cell may have to be bolted: a pan that is made is welded to it."""
        return self.inside is None or not self.inside.is_made

    @property
    def room(self) -> Room | None:
        """Of the sump round the cell; None on a level floor."""
        if self.inside is None:
            return None
        at, notch = self.inside, self.inside.notch
        (s0, _), (s1, _) = at.floor_ends
        x0, x1 = at.x0, at.x1
        if notch:
            x0, x1 = (x0, notch.x) if notch.at_front else (notch.x, x1)
        return Room((x0, x1), tuple(sorted((at.side * s0, at.side * s1))))

    @cached_property
    def drain(self) -> Room | None:
        """What the drain's boss, which stands up from the floor, takes from the cell's walls; None where none is made."""
        if self.inside is None or not self.inside.is_made:
            return None
        x, y = drain_in_plan(self.inside)
        clear = boss_radius() + BESIDE_PAN_MM
        return Room((x - clear, x + clear), (y - clear, y + clear))


def lid_over(thickness: float) -> float:
    """Walls and lid beyond the cell's inside, mm."""
    return thickness * (1 + LID_OVERHANG_THICKNESSES)


def stand_of(parameters, region) -> Stand:
    """Where the cell stands. Raises ValueError where the deep pan or its pickup cannot be."""
    if not has_deep_pan(parameters):
        return _on_a_floor(parameters, region)
    inside = inside_of(parameters, region)
    draw = draw_of(parameters, region, inside)
    ceiling, under = _below(parameters, region, draw)
    return Stand(draw.x, draw.y, draw.bore, draw.bell_outside, f"the pickup's axis, {draw.because}", ceiling, under, inside, draw=draw)


def _below(parameters, region, draw: Draw) -> tuple[float, str]:
    if draw.leg_z is not None:
        return draw.leg_z - draw.outer / 2 - BELOW_LEG_MM, f"{BELOW_LEG_MM:g} mm under the pickup's leg"
    screen = parameters.windage_screen
    if screen.make:
        return region.lowest - screen.clearance - screen.thickness - BELOW_SWING_MM, f"{BELOW_SWING_MM:g} mm under the screen"
    return region.lowest - BELOW_SWING_MM, f"{BELOW_SWING_MM:g} mm under the swing"


def _on_a_floor(parameters, region) -> Stand:
    deep, rail, given = parameters.deep_pan, parameters.pan_rail, parameters.gate_baffle.floor_depth
    pickup = deep.pickup if deep is not None else None
    bore = pickup.bore if pickup else PICKUP_BORE_MM
    x, y = (pickup.x, pickup.y) if pickup else (None, None)
    around = "the middle of the rail, with the usual bore, as no deep pan is given"
    if pickup:
        around = "the deep pan's pickup" if x is not None else "the middle of the rail, as the pickup's x is not given"
    return Stand(rail.length / 2 if x is None else x, 0.0 if y is None else y, bore, BELL_OVER_BORE * bore, around,
                 region.lowest - BELOW_SWING_MM, f"{BELOW_SWING_MM:g} mm under the swing",
                 floor_z=-rail.below_crank - (given or FLOOR_DEPTH_MM), usual_depth=None if given else FLOOR_DEPTH_MM)


def middle_of(stand: Stand, *, length: float, width: float, around: tuple[float, float], wall: float) -> tuple[float, float]:
    """Middle (x, y) of a cell of that inside that needs `around` mm beyond it at both ends and at both sides, for walls,
    lid, feet and the way to its gates: on the pickup's axis, or moved off it as little as the sump and the drain beside its
    `wall` mm thick walls ask. Raises ValueError where the sump does not hold it."""
    if stand.room is None:
        return stand.x, stand.y
    found, ends = [], []
    for key, inner, more, at, (low, high) in (("length", length, around[0], stand.x, stand.room.x),
                                              ("width", width, around[1], stand.y, stand.room.y)):
        half = inner / 2 + more + BESIDE_PAN_MM
        if 2 * half > high - low:
            refuse(f"cell.{key}", f"of {inner:.1f} mm makes {inner + 2 * more:.1f} mm with walls, lid and feet, the sump has "
                   f"{high - low:.1f} mm, from {low:.1f} to {high:.1f} mm, {BESIDE_PAN_MM:g} mm of it to spare at each end: a smaller "
                   "cell or a larger sump would do")
        found.append(min(max(at, low + half), high - half))
        ends.append((low + half, high - half))
    return _past_the_drain(stand, found, ends, (length / 2 + wall, width / 2 + wall))


def _past_the_drain(stand: Stand, middle, ends, half) -> tuple[float, float]:
    """The middle (x, y) moved one way, as little as may be and within the `ends` of x and y, until walls that reach `half` (x,
    y) from it clear the drain's boss. Raises ValueError where they cannot."""
    drain = stand.drain
    taken = list(zip(middle, half, (drain.x, drain.y) if drain else (), strict=False))
    if not taken or any(m + h <= low or m - h >= high for m, h, (low, high) in taken):
        return middle[0], middle[1]
    moved = []
    for i, (m, h, (low, high)) in enumerate(taken):
        for there in (low - h, high + h):
            if ends[i][0] <= there <= ends[i][1]:
                moved.append((abs(there - m), (there, middle[1]) if i == 0 else (middle[0], there)))
    if not moved:
        raise DrainInTheWay(
            f"gate_baffle.cell.length: walls {2 * half[0]:.1f} mm long and {2 * half[1]:.1f} mm wide outside do not stand clear of the "
            f"drain's boss, which takes x from {drain.x[0]:.1f} to {drain.x[1]:.1f} and y from {drain.y[0]:.1f} to {drain.y[1]:.1f} mm of the "
            f"sump's {stand.room.size[0]:.1f} by {stand.room.size[1]:.1f} mm: a smaller cell or a larger sump would do")
    return min(moved)[1]


def before_drain(stand: Stand, *, over: float, wall: float) -> float:
    """The longest inside, mm, of a cell between the drain's boss and the far end of the sump, with `over` mm of lid beyond it
    at that end and a `wall` at the other."""
    drain, room = stand.drain, stand.room
    free = drain.x[0] - room.x[0] if at_front(stand.inside) else room.x[1] - drain.x[1]
    return free - BESIDE_PAN_MM - over - wall


def ceiling_over(stand: Stand, *, y: float, half_width: float) -> tuple[float, str]:
    """Height that the top of a lid which reaches `half_width` mm to both sides of `y` must stay below, and what is there:
    a kick-out's shelf hangs over what reaches beyond the neck."""
    found = [(stand.ceiling, stand.under)]
    at = stand.inside
    if at is not None and at.is_made:
        corners, s = at.corners, at.side * y
        low, high = s - half_width, s + half_width
        for (a, z), (b, w) in itertools.pairwise(corners):
            is_shelf = z == w > at.floor_ends[1][1] and abs(b - a) > 0  # a floor may lie level too
            if is_shelf and min(a, b) < high and low < max(a, b):
                found.append((z - BELOW_SWING_MM, f"{BELOW_SWING_MM:g} mm under the shelf of a kick-out, which the cell reaches under"))
    return min(found)
