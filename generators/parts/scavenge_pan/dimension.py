"""Pure arithmetic: parameters and swept region -> the sizes of the scavenge pan, each with its reason."""

import itertools
import math
from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion, merged_bands, outline, support
from generators.findings import Sized
from generators.fittings import WeldEnd, drain_boss, hole_for, weld_end
from generators.outlines import Loop
from generators.parts.scavenge_pan.pickups import (
    DRAIN_THREAD,
    FIT_MM,
    SCREEN_ROOM_MM,
    WELD_LEG_MM,
    Pickup,
    blocked_stretches,
    on_falling_side,
    placed,
    places_why,
    screen_length,
    stages,
)
from generators.rail import Opening, pan_opening, pan_top
from generators.sheet.channel import Channel
from generators.vehicle import forward_share

SLOPE = math.radians(2)
"""Fall of the floor towards the gutter: 2 to 5 degrees drain a shallow pan (common practice)."""

FACET = math.radians(45)
"""Slope of the facet that follows the swing on the falling side."""

BESIDE_BEND_MM = 1.0
"""Flat metal left between the base of a boss and a bend."""

SCREEN_THICKNESS_MM = 1.5

MOUTH_GAP_SHARE = 1.5 / 4
"""Gap from mouth to floor over the bore: a quarter of it lets as much through as the bore itself; half as much again."""

MOUTH_EDGE_MM = 1.0
"""Straight tube left between the mitre and the mouth, so that the mouth is a whole ring."""

TUBE_WALL_MM = 1.2
"""Wall of the pickup tube (stock size)."""

DEEPER_MM = 0.5
"""Step by which the floor is lowered until a pickup screen clears the swing."""

DEEPEST_MM = 150.0
"""A pan that has to be deeper than this under its flange is no shallow pan."""


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


def divider_corners(d: ScavengePanDimensions) -> list[tuple[float, float]]:
    """A divider (s, z): the gutter's corner of the section, clear of the bend, cut off along a line that clears the swing.

    Raises ValueError where that leaves nothing of it."""
    s0, corner = d.gutter
    setback, top = d.setback, d.underside
    reach = d.divider_line * math.sqrt(2)
    apex, at_top = -reach - s0 - FIT_MM, -reach - top
    at_floor = (-reach - (corner - s0 * math.tan(SLOPE)) - FIT_MM) / (1 + math.tan(SLOPE))
    foot = [(s0 + setback, d.floor(s0 + setback) + FIT_MM), (at_floor, d.floor(at_floor) + FIT_MM)]
    if at_top > s0 + 2 * setback:
        return [(s0 + FIT_MM, top), (s0 + FIT_MM, corner + setback), *foot, (at_top, top)]
    if apex <= corner + 2 * setback:
        raise ValueError(f"scavenge_pan.side_clearance: the swing leaves a divider in the gutter {max(0, apex - corner):.1f} mm of "
                         f"wall, it needs {2 * setback:.1f} mm; a smaller clearance, a wider rail or a single pickup would do")
    return [(s0 + FIT_MM, min(apex, top)), (s0 + FIT_MM, corner + setback), *foot]


def dimension(parameters, region: SweptRegion) -> ScavengePanDimensions:
    """Size the pan from the whole parameter file and the swept region.

    Raises ValueError, naming key and remedy, where no pan of this kind can be made."""
    rail, want, sheet = parameters.pan_rail, parameters.scavenge_pan, parameters.sheet
    top = pan_top(parameters)
    stack = -rail.below_crank - top
    open_ = pan_opening(parameters, region)
    side = 1 if region.rising_side == "right" else -1
    port = weld_end(want.port, thickness=sheet.thickness)
    count, count_why = stages(parameters, open_.length, port)
    port_height = _port_height(port, sheet)
    screen = _screen(port, port_height, sheet)
    edges = (open_.y0, open_.y1) if side > 0 else (-open_.y1, -open_.y0)
    falling = on_falling_side(count)
    corners, depth_why = _section(region, want, sheet, edges, top - want.flange_thickness, side,
                                  wall=port_height + port.base_diameter / 2 + WELD_LEG_MM, falling=falling > 0, screen=screen)
    length, gap = screen_length(open_.length, count - falling, port)
    walls = (edges[0] - sheet.thickness, edges[1] + sheet.thickness)
    pickups = placed(open_, count - falling, falling, length, blocked_stretches(rail, port, side, walls), port,
                     forward=forward_share(parameters.driving, parameters.vehicle))
    gutters = [p.screen_x for p in pickups if p.gutter]
    dividers = tuple((a + b) / 2 for a, b in itertools.pairwise(gutters))
    drain_x = gutters[0] + length / 2 + gap / 4 if dividers else gutters[0] - length / 2 - gap / 4
    deep = top - want.flange_thickness - corners[1][1]
    sized = (
        Sized("scavenge_pan.opening", f"{open_.length:.1f} x {open_.width:.1f} mm", open_.because),
        Sized("scavenge_pan.depth", f"{top - corners[1][1] + sheet.thickness:.1f} mm", depth_why + (
            f"; flange {want.flange_thickness:g} + gutter {deep:.1f} + floor {sheet.thickness:g}, below a "
            f"scraper of {stack:g} mm" if stack else "")),
        Sized("scavenge_pan.pickups", str(count), count_why),
        Sized("scavenge_pan.pickup_places", ", ".join(f"{p.name} at x {p.x:.0f} mm" for p in pickups),
              places_why(count - falling, falling) + "; each port stands between the rail bolts where its screen leaves room for that"),
        Sized("scavenge_pan.bends", str(len(corners) - 2), _bends_why(len(corners) - 2, falling)),
        Sized("scavenge_pan.mouth_gap", f"{_mouth_gap(port):.1f} mm", "3/8 of the tube's bore: a quarter lets as much oil "
              "past the rim as through the bore, half as much again keeps it from choking"),
        Sized("scavenge_pan.drain", DRAIN_THREAD, "a low plug for a shallow pan; boss inside, slotted at its foot to drain dry"),
    )
    drain_s = drain_boss(DRAIN_THREAD, thickness=sheet.thickness).diameter / 2 + WELD_LEG_MM
    made = ScavengePanDimensions(
        material=sheet.material, density=sheet.density, thickness=sheet.thickness, bend_radius=sheet.bend_radius, k_factor=sheet.k_factor,
        flange_outline=rail.outline, flange_thickness=want.flange_thickness, bolts=rail.bolts,
        bolt_hole=standards.clearance_hole(rail.bolt_size), opening=open_, top=top, side=side, corners=corners,
        floor_slope=SLOPE, port=port, port_height=port_height, pickups=pickups, tube_bore=_tube_bore(port),
        tube_reach=_tube_reach(port, sheet), mouth_gap=_mouth_gap(port), screen_length=length, screen_width=screen[0],
        screen_height=screen[1], divider_line=_divider_line(region, want, side), dividers=dividers,
        drain=(drain_x, drain_s), sized=sized)
    _makeable(made)
    return made


def _makeable(d: ScavengePanDimensions) -> None:
    """Raises ValueError, naming key and remedy, where a piece cannot be made as it was sized."""
    try:
        d.channel.faces()
    except ValueError as short:
        raise ValueError(f"sheet.bend_radius: the trough cannot be bent at {d.bend_radius:g} mm: {short}; a smaller radius "
                         "or a larger opening would do") from short
    if d.dividers:
        divider_corners(d)


def _port_height(port: WeldEnd, sheet) -> float:
    """Axis of a port above the inside corner of its wall: its hole and its base both clear of the bend, and room for its
    tube to turn down to the mouth, mm."""
    setback = sheet.bend_radius * math.tan((math.pi / 2 + SLOPE) / 2)
    hole = hole_for(port.spigot_diameter) / 2 + standards.least_hole_to_tangent(sheet.thickness).value
    rise = (_tube_reach(port, sheet) + port.tube_od / 2) * math.tan(SLOPE)
    return max(setback + max(hole, port.base_diameter / 2 + BESIDE_BEND_MM),
               rise + _mouth_gap(port) + port.tube_od / 2 + MOUTH_EDGE_MM)


def _tube_bore(port: WeldEnd) -> float:
    return port.tube_od - 2 * TUBE_WALL_MM


def _mouth_gap(port: WeldEnd) -> float:
    return MOUTH_GAP_SHARE * _tube_bore(port)


def _tube_reach(port: WeldEnd, sheet) -> float:
    """Wall to the axis of the tube's drop, mm: clear of the spigot's end by a weld, its mouth beside the floor's bend."""
    return max(port.inside + WELD_LEG_MM, corner_setback(sheet)) + port.tube_od / 2


def _screen(port: WeldEnd, port_height: float, sheet) -> tuple[float, float]:
    """Width from the wall and height above its inside corner of a pickup screen, outside, mm."""
    width = _tube_reach(port, sheet) + port.tube_od / 2 + SCREEN_ROOM_MM + SCREEN_THICKNESS_MM
    return width, port_height + port.spigot_diameter / 2 + SCREEN_ROOM_MM + SCREEN_THICKNESS_MM


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
                         "a smaller port, clearance, bend radius or swing, or a wider rail would make a shallow pan")
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
