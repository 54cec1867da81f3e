"""Swept region and opening -> the tray's section: as few facets as keep it close to the swing. Pure arithmetic.

s runs across the crank from the rising side (negative) to the falling side, z up; both mm from the crank axis.
"""

import math
from dataclasses import dataclass

import numpy as np

from generators import standards
from generators.crank import Band, SweptRegion, outline, support
from generators.sheet.channel import Channel

FACETS = (3, 5, 7)
"""Numbers of facets that are tried, fewest first: each facet more is one more bend."""

SPARE_MM = 5.0
"""A corner no farther than this beyond the clearance is close: oil that is flung there still meets the tray at once."""

STEEPEST = tuple(math.radians(a) for a in range(10, 80, 5))
"""Slopes of the facet beside each lip that are tried: flatter would hold no oil back, steeper would have the lip upright."""

LOWER_MM = 1.0
"""Step by which the lips are lowered, away from the swing's width, until they have room beside it."""

WALL_GAP_MM = 1.5
"""Lip to wall: a welded pan draws in by as much."""

TAB_GAP_MM = 0.5
"""From the end of a tab to where the lip begins to bend."""

ARC_SEGMENTS = 64
"""Chords in a quarter turn where the swing is widened by its clearance: leaves 0.3 micrometre at 4 mm."""

DRAIN_WIDTH_MM, LEAST_DRAIN_MM = 10.0, 6.0
"""Width of a drain slot, and the least where the facet is too narrow for that: it takes what the perforation cannot."""


@dataclass(frozen=True)
class Room:
    """What bounds the tray, mm. `walls`: s of the insides of the rising and the falling wall; `highest`: the lips' tops at
    most; from a wall inwards `screw` to the axes of its screws and `reach` to the ends of its tabs; `head`: radius and
    height, over the lip, of a screw's head with its washer."""

    walls: tuple[float, float]
    highest: float
    screw: float
    reach: float
    head: tuple[float, float]


@dataclass(frozen=True)
class Metal:
    """The tray's sheet, mm: thickness, inside bend radius, `clearance` asked from the swing, `hole` width; k_factor."""

    thickness: float
    radius: float
    clearance: float
    hole: float
    k_factor: float

    def grown(self, turn: float) -> float:
        """How far the facets stand from the swing, mm, so that the arc of a bend through `turn` rad between them keeps the
        clearance too: more than the clearance only where the bend is wider than it."""
        return max(self.clearance, self.radius - (self.radius - self.clearance) * math.cos(turn / 2))

    @property
    def slot_margin(self) -> float:
        """From the line where a bend begins to a slot along it, mm."""
        mould_line = standards.least_slot_to_bend(self.thickness, bend_radius=self.radius).value
        return mould_line - self.radius - self.thickness


@dataclass(frozen=True)
class Section:
    """`corners` (s, z) of the tray's inside faces from the rising lip's edge to the falling one's; `steepest` rad; `spare`:
    farthest corner from the swing beyond the clearance, mm; `drain`: width of the drain slots, mm."""

    corners: tuple[tuple[float, float], ...]
    facets: int
    steepest: float
    spare: float
    drain: float


def channel(corners, metal: Metal, length: float) -> Channel:
    """The folded tray of that section, `length` mm along the crank."""
    return Channel(tuple(corners), metal.thickness, metal.radius, length, metal.k_factor)


def section(region: SweptRegion, *, side: int, room: Room, metal: Metal) -> Section:
    """The highest section with room for its lips, and at that height the fewest facets that are close, the closest of
    these. `side` is 1 where s runs along y.

    Raises ValueError, naming key and numbers, where there is none."""
    from shapely.geometry import Polygon

    region = along_the_crank(region)
    swing = Polygon(outline(region.bands[0]) * (side, 1))
    slopes = {(n, a): _slopes(n, a) for n in FACETS for a in STEEPEST}
    lines = {key: _lines(region, side, angles, metal) for key, angles in slopes.items()}
    lowest = max(-reach[len(reach) // 2] for _, reach in lines.values())
    grown = swing.buffer(metal.clearance, quad_segs=ARC_SEGMENTS)
    z, shut = room.highest, []
    while z > lowest + metal.thickness:
        open_, lack = _room_for_lips(lines, grown, z, room, metal)
        shut.append(lack)
        if open_:
            found = [s for key in open_ if (s := _made(lines[key], key, swing, z, room, metal))]
            if best := _best(found):
                return best
        z -= LOWER_MM
    raise ValueError(_why_not(shut, metal, room.highest - lowest))


def along_the_crank(region: SweptRegion) -> SweptRegion:
    """The region seen along the crank: one band with the largest radius of all at each angle, so that it reaches as far in
    any direction as they do."""
    first, last = min(b.x0 for b in region.bands), max(b.x1 for b in region.bands)
    return SweptRegion((Band(first, last, np.max([b.radius for b in region.bands], axis=0), "all"),), region.rising_side)


def _slopes(count: int, steepest: float) -> np.ndarray:
    """The facets' slopes (count,), rad, from the rising to the falling side."""
    return np.linspace(-steepest, steepest, count)


def _lines(region: SweptRegion, side: int, angles: np.ndarray, metal: Metal) -> tuple[np.ndarray, np.ndarray]:
    """Slopes (n,) rad and distances from the crank axis (n,) mm of the facets' lines."""
    grown = metal.grown(float(angles[1] - angles[0]))
    return angles, np.array([support(region, (side * math.sin(a), -math.cos(a))) + grown for a in angles])


def _crossing(a: float, reach_a: float, b: float, reach_b: float) -> np.ndarray:
    """Where two lines s sin - z cos = reach meet, (2,)."""
    sides = [[math.sin(a), -math.cos(a)], [math.sin(b), -math.cos(b)]]
    return np.linalg.solve(sides, [reach_a, reach_b])


def _at_lip(angle: float, reach: float, z: float) -> float:
    """Distance from the crank axis sideways at which a facet's line comes up to the height z."""
    return (reach + z * math.cos(angle)) / math.sin(abs(angle))


def _lip(angle: float, room: Room, metal: Metal) -> float:
    """What a lip needs from the wall to its sharp corner: tab, gap, and the bend."""
    return room.reach + TAB_GAP_MM + (metal.radius + metal.thickness) * math.tan(abs(angle) / 2)


def _room_for_lips(lines, grown, z: float, room: Room, metal: Metal):
    """The sections (their keys) whose lips fit between swing and walls at the height z; and of the one that does best what
    it needs on its tighter side and what there is, mm."""
    head = _head_room(grown, z, room)
    open_, tightest = [], None
    for key, (angles, reach) in lines.items():
        needs = [_lip(angles[i], room, metal) for i in (0, -1)]
        rooms = [abs(room.walls[i]) - _at_lip(angles[i], reach[i], z) for i in (0, -1)]
        lack = min([*zip(needs, rooms, strict=True), head], key=lambda pair: pair[1] - pair[0])
        if lack[1] >= lack[0]:
            open_.append(key)
        if tightest is None or lack[1] - lack[0] > tightest[1] - tightest[0]:
            tightest = lack
    return open_, tightest


def _head_room(grown, z: float, room: Room) -> tuple[float, float]:
    """What the screws' heads need from the wall on the tighter side, and what the swing, `grown` by the clearance, leaves
    there at their height, mm."""
    from shapely.geometry import box

    radius, height = room.head
    slab = grown.intersection(box(2 * room.walls[0], z, 2 * room.walls[1], z + height))
    near = (0.0, 0.0) if slab.is_empty else (-slab.bounds[0], slab.bounds[2])
    return room.screw + radius, min(abs(w) - n for w, n in zip(room.walls, near, strict=True))


def _made(line, key, swing, z: float, room: Room, metal: Metal) -> Section | None:
    """The section with its lips' tops at z; None where a side of it is too short for its bends or for the drain slots."""
    from shapely.geometry import Point

    angles, reach = line
    inner = [_crossing(*pair) for pair in zip(angles[:-1], reach[:-1], angles[1:], reach[1:], strict=True)]
    ends = [_at_lip(angles[i], reach[i], z) for i in (0, -1)]
    bends = [(-ends[0], z), *map(tuple, inner), (ends[1], z)]
    corners = [(room.walls[0] + WALL_GAP_MM, z), *bends, (room.walls[1] - WALL_GAP_MM, z)]
    flats = facet_flats(corners, angles, metal)
    drain = min(max(DRAIN_WIDTH_MM, metal.hole), flats[0] - 2 * metal.slot_margin)
    if drain < LEAST_DRAIN_MM or any(f < least for f, least in zip(flats, _least_flats(len(flats), metal), strict=True)):
        return None
    spare = max(swing.distance(Point(*p)) for p in bends) - metal.clearance
    return Section(tuple((float(s), float(h)) for s, h in corners), key[0], key[1], spare, drain)


def facet_flats(corners, angles, metal: Metal) -> list[float]:
    """Flat length, mm, of each facet between its bends, by its slope (`angles`, rad); negative where its neighbours cut it
    off. `corners` (s, z) begin and end with the lips' edges."""
    points = np.array(corners[1:-1])
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    lengths = np.sum(np.diff(points, axis=0) * ways, axis=1)
    lip = (metal.radius + metal.thickness) * math.tan(abs(angles[0]) / 2)
    inner = metal.radius * math.tan((angles[1] - angles[0]) / 2)
    setbacks = [lip, *[inner] * (len(angles) - 1), lip]
    return [float(f) for f in lengths - setbacks[:-1] - setbacks[1:]]


def _least_flats(count: int, metal: Metal) -> list[float]:
    """Least flat length of each facet for its die: the outer ones lie between bends that turn opposite ways."""
    t, r = metal.thickness, metal.radius
    channel_, offset = (f(t).value - 2 * r for f in (standards.least_channel, standards.least_offset))
    return [max(0.0, offset - t), *[max(0.0, channel_ - 2 * t)] * (count - 2), max(0.0, offset - t)]


def _best(found: list[Section]) -> Section | None:
    """The fewest facets that are close and have whole drain slots, the closest of these; else the closest with the widest
    drain slots."""
    for count in FACETS:
        close = [s for s in found if s.facets == count and s.spare <= SPARE_MM and s.drain >= DRAIN_WIDTH_MM]
        if close:
            return min(close, key=lambda s: s.spare)
    return min(found, key=lambda s: s.spare - s.drain, default=None)


def _why_not(shut: list[tuple[float, float]], metal: Metal, depth: float) -> str:
    """What to say where no section was found."""
    lacking = [pair for pair in shut if pair[1] < pair[0]]
    if not shut:
        where = f"reaches {depth:.1f} mm below" if depth > 0 else f"ends {-depth:.1f} mm above"
        return (f"windage_screen.make: a tray with its lips under the flange has to be {metal.thickness:g} mm deep or more, the swing with "
                f"its clearance of {metal.clearance:g} mm {where} them; a thinner flange, or make = false would do")
    if len(lacking) == len(shut):
        needs, leaves = max(lacking, key=lambda pair: pair[1] - pair[0])
        return (f"windage_screen.clearance: a lip with its tabs and screws, {metal.clearance:g} mm off, needs {needs:.1f} mm beside "
                f"the swing, the opening leaves {leaves:.1f} mm; a smaller clearance or swing, a wider rail or a narrower face would do")
    flat = LEAST_DRAIN_MM + 2 * metal.slot_margin
    return (f"windage_screen.thickness: the facet for the drain slots needs {flat:.1f} mm between its bends in {metal.thickness:g} mm "
            f"sheet, and the swing with its clearance reaches {depth:.1f} mm below the lips under the flange; thinner sheet, a thinner flange, "
            "or windage_screen.make = false would do")
