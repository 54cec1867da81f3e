"""Pure arithmetic: parameters and swept region -> the sizes of the scavenge pan, each with its reason."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators import standards
from generators.crank import SweptRegion, merged_bands, outline, support
from generators.findings import Sized
from generators.fittings import BASE_MM, WeldEnd, drain_boss, hole_for, weld_end
from generators.outlines import Loop
from generators.rail import Opening, pan_opening, pan_top
from generators.sheet.channel import Channel

SLOPE = math.radians(2)
"""Fall of the floor towards the gutter: 2 to 5 degrees drain a shallow pan (common practice)."""

FACET = math.radians(45)
"""Slope of the facet that follows the swing on the falling side."""

WELD_LEG_MM = 3.0
"""Room for a fillet between a boss and the flange above it."""

BESIDE_BEND_MM = 1.0
"""Flat metal left between the base of a boss and a bend."""

SCREEN_THICKNESS_MM = 1.5
SCREEN_ROOM_MM = 3.0
"""Free space between the pickup tube and the screen over it, for oil to reach the mouth from all sides."""

SCREEN_LENGTH_MM = 110.0
"""Length of a pickup screen where the bay has room for it."""

SCREEN_END_MM = 5.0
"""Fold and thickness of a screen's end, as far as the pickup tube keeps from it."""

NEAR_MM = 1e-6

MOUTH_GAP_SHARE = 1.5 / 4
"""Gap from mouth to floor over the bore: a quarter of it lets as much through as the bore itself; half as much again."""

TUBE_WALL_MM = 1.2
"""Wall of the pickup tube (stock size)."""

DRAIN_THREAD = "M14x1.5"
"""A low drain plug for a shallow pan (common practice)."""

FIT_MM = 0.2
"""Gap left round a plate that is welded into the trough."""

DEEPER_MM = 0.5
"""Step by which the floor is lowered until a pickup screen clears the swing."""

DEEPEST_MM = 150.0
"""A pan that has to be deeper than this under its flange is no shallow pan."""


@dataclass(frozen=True)
class Pickup:
    """One scavenge pickup: its place along the crank and that of the middle of its screen (mm), and whether it stands in
    the gutter or on the falling side."""

    name: str
    x: float
    screen_x: float
    gutter: bool


@dataclass(frozen=True)
class ScavengePanDimensions:
    """All sizes in mm; z from the crank axis, s across it from the rising side (negative) to the falling side."""

    material: str
    density: float
    thickness: float
    bend_radius: float
    k_factor: float
    flange_outline: Loop
    flange_thickness: float
    bolts: tuple[tuple[float, float], ...]
    bolt_hole: float
    opening: Opening
    top: float
    side: int
    corners: tuple[tuple[float, float], ...]
    floor_slope: float
    port: WeldEnd
    port_height: float
    pickups: tuple[Pickup, ...]
    tube_bore: float
    tube_reach: float
    mouth_gap: float
    screen_length: float
    screen_width: float
    screen_height: float
    divider_line: float
    dividers: tuple[float, ...]
    drain: tuple[float, float]
    sized: tuple[Sized, ...]

    @property
    def underside(self) -> float:
        """Height of the flange's underside."""
        return self.top - self.flange_thickness

    @property
    def channel(self) -> Channel:
        """The trough's section and length."""
        return Channel(self.corners, self.thickness, self.bend_radius, self.opening.length, self.k_factor)

    @property
    def gutter(self) -> tuple[float, float]:
        """The gutter's inside corner (s, z)."""
        return self.corners[1]

    @property
    def setback(self) -> float:
        """How far a plate's corner is cut off to clear the bends between walls and floor."""
        return corner_setback(self)

    def floor(self, s: float) -> float:
        """Height of the floor's inside face at s, taken on from the sloped floor."""
        return self.gutter[1] + (s - self.gutter[0]) * math.tan(self.floor_slope)


def corner_setback(sheet) -> float:
    """Where wall and floor meet: from the sharp corner to where both are flat, and the fit, mm. `sheet` has bend_radius."""
    return sheet.bend_radius * math.tan((math.pi / 2 + SLOPE) / 2) + FIT_MM


def dimension(parameters, region: SweptRegion) -> ScavengePanDimensions:
    """Size the pan from the whole parameter file and the swept region.

    Raises ValueError, naming key and remedy, where no pan of this kind can be made."""
    rail, want, sheet = parameters.pan_rail, parameters.scavenge_pan, parameters.sheet
    top = pan_top(parameters)
    stack = -rail.below_crank - top
    open_ = pan_opening(parameters, region)
    side = 1 if region.rising_side == "right" else -1
    port = weld_end(want.port, thickness=sheet.thickness)
    count, count_why = _stages(parameters)
    port_height = _port_height(port, sheet)
    screen = _screen(port, port_height, sheet)
    edges = (open_.y0, open_.y1) if side > 0 else (-open_.y1, -open_.y0)
    falling = count // 3
    corners, depth_why = _section(region, want, sheet, edges, top - want.flange_thickness, side,
                                  wall=port_height + port.base_diameter / 2 + WELD_LEG_MM, falling=falling > 0, screen=screen)
    length, gap = _screen_length(open_.length, count - falling, port)
    walls = (edges[0] - sheet.thickness, edges[1] + sheet.thickness)
    pickups = _pickups(open_, count - falling, falling, length, _blocked(rail, port, side, walls), port)
    gutters = [p.screen_x for p in pickups if p.gutter]
    dividers = tuple((a + b) / 2 for a, b in itertools.pairwise(gutters))
    drain_x = open_.x0 + WELD_LEG_MM + length + gap / 4 if dividers else (open_.x0 + gutters[0] - length / 2) / 2
    deep = top - want.flange_thickness - corners[1][1]
    sized = (
        Sized("scavenge_pan.opening", f"{open_.length:.1f} x {open_.width:.1f} mm", open_.because),
        Sized("scavenge_pan.depth", f"{top - corners[1][1] + sheet.thickness:.1f} mm", depth_why + (
            f"; flange {want.flange_thickness:g} + gutter {deep:.1f} + floor {sheet.thickness:g}, below a "
            f"scraper of {stack:g} mm" if stack else "")),
        Sized("scavenge_pan.pickups", str(count), count_why),
        Sized("scavenge_pan.pickup_places", ", ".join(f"{p.name} at x {p.x:.0f} mm" for p in pickups),
              _places_why(falling) + "; each port stands between the rail bolts where its screen leaves room for that"),
        Sized("scavenge_pan.bends", str(len(corners) - 2), _bends_why(len(corners) - 2, falling)),
        Sized("scavenge_pan.mouth_gap", f"{_mouth_gap(port):.1f} mm", "3/8 of the tube's bore: a quarter lets as much oil "
              "past the rim as through the bore, half as much again keeps it from choking"),
        Sized("scavenge_pan.drain", DRAIN_THREAD, "a low plug for a shallow pan; boss inside, slotted at its foot to drain dry"),
    )
    drain_s = drain_boss(DRAIN_THREAD, thickness=sheet.thickness).diameter / 2 + WELD_LEG_MM
    return ScavengePanDimensions(
        material=sheet.material, density=sheet.density, thickness=sheet.thickness, bend_radius=sheet.bend_radius, k_factor=sheet.k_factor,
        flange_outline=rail.outline, flange_thickness=want.flange_thickness, bolts=rail.bolts,
        bolt_hole=standards.clearance_hole(rail.bolt_size), opening=open_, top=top, side=side, corners=corners,
        floor_slope=SLOPE, port=port, port_height=port_height, pickups=pickups, tube_bore=_tube_bore(port),
        tube_reach=_tube_reach(port), mouth_gap=_mouth_gap(port), screen_length=length, screen_width=screen[0],
        screen_height=screen[1], divider_line=_divider_line(region, want, side), dividers=dividers,
        drain=(drain_x, drain_s), sized=sized)


def _stages(parameters) -> tuple[int, str]:
    """Scavenge stages that draw from the pan."""
    if parameters.scavenge_pan.pickups is not None:
        return parameters.scavenge_pan.pickups, "as the file asks"
    cylinders = len(parameters.crank.throws or ()) * parameters.crank.rods_per_throw
    if not cylinders:
        return 3, "two in the gutter and one on the falling side see oil in every direction (number of cylinders not given)"
    count = min(4, max(2, math.ceil(cylinders / 2)))
    return count, f"one stage for each two of {cylinders} cylinders, at least two, at most four (common practice)"


def _port_height(port: WeldEnd, sheet) -> float:
    """Axis of a port above the inside corner of its wall: its hole and its base both clear of the bend, mm."""
    setback = sheet.bend_radius * math.tan((math.pi / 2 + SLOPE) / 2)
    hole = hole_for(port.spigot_diameter) / 2 + standards.least_hole_to_tangent(sheet.thickness).value
    return setback + max(hole, port.base_diameter / 2 + BESIDE_BEND_MM)


def _tube_bore(port: WeldEnd) -> float:
    return port.tube_od - 2 * TUBE_WALL_MM


def _mouth_gap(port: WeldEnd) -> float:
    return MOUTH_GAP_SHARE * _tube_bore(port)


def _tube_reach(port: WeldEnd) -> float:
    """Wall to the axis of the tube's drop, mm: clear of the spigot's end by a weld."""
    return port.inside + WELD_LEG_MM + port.tube_od / 2


def _screen(port: WeldEnd, port_height: float, sheet) -> tuple[float, float]:
    """Width from the wall and height above its inside corner of a pickup screen, outside, mm."""
    width = _tube_reach(port) + port.tube_od / 2 + SCREEN_ROOM_MM + SCREEN_THICKNESS_MM
    return width, port_height + port.spigot_diameter / 2 + SCREEN_ROOM_MM + SCREEN_THICKNESS_MM


def _screen_length(bay: float, gutters: int, port: WeldEnd) -> tuple[float, float]:
    """Length of each screen, and the gap between neighbours in the gutter that leaves room for divider and drain, mm."""
    drain = drain_boss(DRAIN_THREAD, thickness=1).diameter
    gap = 2 * (drain + 2 * WELD_LEG_MM)
    length = min(SCREEN_LENGTH_MM, (bay - 2 * WELD_LEG_MM - gap * max(1, gutters - 1)) / gutters)
    if length < port.base_diameter + 2 * WELD_LEG_MM:
        raise ValueError(f"scavenge_pan.pickups: {gutters} pickups along a gutter of {bay:.0f} mm leave {length:.0f} mm for each "
                         f"screen, a {port.dash} port needs {port.base_diameter + 2 * WELD_LEG_MM:.0f} mm; "
                         "fewer pickups or a smaller port would fit")
    if gutters > 1:
        gap = (bay - 2 * WELD_LEG_MM - gutters * length) / (gutters - 1)
    return length, gap


def _pickups(open_: Opening, gutters: int, falling: int, length: float, blocked, port: WeldEnd) -> tuple[Pickup, ...]:
    """The pickups; `blocked[gutter]` are stretches of x (mm) where a port on that wall would cover a bolt."""
    first, last = open_.x0 + WELD_LEG_MM + length / 2, open_.x1 - WELD_LEG_MM - length / 2
    places = [float(x) for x in np.linspace(first, last, gutters)] if gutters > 1 else [(first + last) / 2]
    words = {1: ["gutter"], 2: ["gutter_rear", "gutter_front"]}.get(gutters, [f"gutter_{i + 1}" for i in range(gutters)])
    aside = length / 2 - port.tube_od / 2 - SCREEN_ROOM_MM - SCREEN_END_MM
    out = [Pickup(w, _clear(x, aside, blocked[True]), x, True) for w, x in zip(words, places)]
    for i in range(falling):
        name = "falling_side" if falling == 1 else f"falling_side_{i + 1}"
        bay = (open_.x0 + open_.length * i / falling, open_.x0 + open_.length * (i + 1) / falling)
        out.append(_falling(name, bay, length, aside, blocked[False]))
    return tuple(out)


def _falling(name: str, bay: tuple[float, float], length: float, aside: float, blocked) -> Pickup:
    """A pickup in the middle of its bay on the falling side, or with its screen where a bolt leaves room for its port."""
    middle, room = sum(bay) / 2, (bay[1] - bay[0] - length) / 2 - WELD_LEG_MM
    x = _clear(middle, aside, blocked)
    if _stands_free(x, blocked):
        return Pickup(name, x, middle, False)
    x = _clear(middle, room + aside, blocked)
    return Pickup(name, x, min(max(x, middle - room), middle + room), False)


def _blocked(rail, port: WeldEnd, side: int, edges) -> dict[bool, list[tuple[float, float]]]:
    """For the gutter's wall (True) and the falling wall (False), whose outsides lie at s = `edges`: the stretches of x (mm)
    where a port's base or thread would stand in a bolt tool's way."""
    tool = standards.bolt(rail.bolt_size).tool_radius + FIT_MM
    out: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for x, y in rail.bolts:
        gutter = side * y < 0
        beyond = abs(side * y - edges[0 if gutter else 1]) - tool
        reach = tool + (port.base_diameter if beyond < BASE_MM else port.major) / 2
        if beyond < port.height:
            out[gutter].append((x - reach, x + reach))
    return out


def _stands_free(x: float, blocked) -> bool:
    return not any(a + NEAR_MM < x < b - NEAR_MM for a, b in blocked)


def _clear(x: float, aside: float, blocked) -> float:
    """The place nearest to x, at most `aside` from it, outside the blocked stretches; x itself where there is none."""
    edges = [x, *(e for stretch in blocked for e in stretch)]
    free = [e for e in edges if abs(e - x) <= aside and _stands_free(e, blocked)]
    return min(free, key=lambda e: (abs(e - x), e), default=x)


def _places_why(falling: int) -> str:
    if falling:
        return ("gutter pickups at the ends keep oil when braking and launching; the falling side has its own for the corner "
                "that throws oil out of the gutter")
    return ("along the gutter on the rising side; in the corner that throws oil away from it no pickup is covered: "
            "three stages or more put one on the falling side")


def _bends_why(bends: int, falling: int) -> str:
    if bends == 3:
        return "wall, floor, facet along the swing, wall: one bend more than a plain tray, for less oil under the falling side"
    if falling:
        return "wall, floor, wall: the falling wall is needed whole for its port"
    return "wall, floor, wall: a facet along the swing would leave a side too short to bend"


def _section(region, want, sheet, edges, underside, side, *, wall, falling, screen) -> tuple[tuple, str]:
    """Inside corners (s, z) of the trough from the rising to the falling side, and what sets the depth."""
    s0, s1 = edges
    tangent = math.tan(SLOPE)
    floor_reach = support(region, (side * math.sin(SLOPE), -math.cos(SLOPE))) + want.floor_clearance
    least = standards.least_flange(sheet.thickness, bend_radius=sheet.bend_radius).value
    drops = {
        f"swing and floor_clearance {want.floor_clearance:g} mm under a floor that falls "
        f"{math.degrees(SLOPE):g} deg": s0 * tangent - floor_reach / math.cos(SLOPE),
        "height of the gutter wall for its port": underside - wall,
        "height of the falling wall" + (" for its port" if falling else " that can be bent"):
            underside - (wall if falling else least) - (s1 - s0) * tangent,
    }
    why, gutter = min(drops.items(), key=lambda item: item[1])
    lowered = _lowered(region, want, edges, gutter, side, falling, screen)
    if lowered < gutter:
        why, gutter = f"a pickup screen that clears the swing by side_clearance {want.side_clearance:g} mm", lowered
    if underside - gutter > DEEPEST_MM:
        raise ValueError(f"scavenge_pan: {why} asks for {underside - gutter:.0f} mm under the flange, more than {DEEPEST_MM:g} mm; "
                         "a smaller port, a wider rail or a smaller swing would make a shallow pan")
    corners = [(s0, underside), (s0, gutter), (s1, gutter + (s1 - s0) * tangent), (s1, underside)]
    if not falling:
        corners = _with_facet(corners, region, want, sheet, least, side)
    return tuple((float(s), float(z)) for s, z in corners), why


def _lowered(region, want, edges, gutter, side, falling, screen) -> float:
    """The gutter's height once every screen clears the swing by the side clearance."""
    from shapely.geometry import Polygon, box
    from shapely.ops import unary_union

    swing = unary_union([Polygon(outline(b) * (side, 1)) for b in merged_bands(region)])
    width, height = screen
    z = gutter
    while gutter - z < DEEPEST_MM:
        rise = (edges[1] - edges[0]) * math.tan(SLOPE)
        hoods = [box(edges[0], z, edges[0] + width, z + height)]
        if falling:
            hoods.append(box(edges[1] - width, z + rise - width * math.tan(SLOPE), edges[1], z + rise + height))
        if min(h.distance(swing) for h in hoods) >= want.side_clearance:
            break
        z -= DEEPER_MM
    return z


def _with_facet(corners, region, want, sheet, least, side):
    """The section with its falling corner cut off along the swing, where every side stays long enough to bend."""
    (s0, top), gutter, corner, (s1, _) = corners
    reach = support(region, (side * math.sin(FACET), -math.cos(FACET))) + want.side_clearance
    tangent = math.tan(FACET)
    at_wall = min(s1 * tangent - reach / math.cos(FACET), top - least)
    run = (at_wall - corner[1]) / (tangent - math.tan(SLOPE))
    start = (s1 - run, corner[1] - run * math.tan(SLOPE))
    if at_wall - corner[1] < least or run > (s1 - s0) / 2:
        return corners
    made = [(s0, top), gutter, start, (s1, at_wall), (s1, top)]
    try:
        Channel(tuple(made), sheet.thickness, sheet.bend_radius, 1.0, sheet.k_factor).faces()
    except ValueError:
        return corners
    return made


def _divider_line(region, want, side) -> float:
    """Distance from the crank axis, along 45 degrees down to the rising side, that dividers keep from, mm."""
    return support(region, (-side * math.sqrt(0.5), -math.sqrt(0.5))) + want.side_clearance
