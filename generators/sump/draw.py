"""What the pump draws through: the pickup's place in the sump, its bell, and its way out. mm, engine frame."""

import math
from dataclasses import dataclass, replace

from generators import standards
from generators.crank import SweptRegion
from generators.fittings import BASE_MM, SOCKET_PLAY_MM, SPIGOT_WALL_MM, WeldEnd, weld_end
from generators.sump.inside import Inside
from generators.vehicle import forward_share

BELL_OVER_BORE = 1.8
"""Mouth of a pickup's bell over its bore: what a strainer leaves open of it is still half as much again as the bore."""

BELL_WALL_MM = 1.2
"""Wall of the turned bell at its mouth."""

BELL_LIP_MM = 1.5
"""Straight rim of the bell outside, from the mouth up; over it the bell narrows by as much as it rises."""

BELL_COLLAR_MM = SOCKET_PLAY_MM + SPIGOT_WALL_MM
"""Wall of the bell's socket round its tube, with the play."""

TUBE_WALL_MM = 1.2
"""Least wall of the pickup's tube (stock sizes)."""

WELD_LEG_MM = 3.0
"""Room for a fillet round a boss."""

RISER_BELOW_MM = 10.0
"""From the swing, or the screen under it, to the open end of a tube that rises: room for a sleeve."""

BESIDE_BEND_MM = 1.0
"""Flat metal between a boss and a bend."""

TOOL_PLAY_MM = 0.2
"""Left between a port and a socket on a bolt of the flange."""

SOCKET_MM = 50.0
"""A socket's length below the flange: what lies deeper meets only the thinner extension (common practice)."""


CURTAIN_SHARE = 1 / 4
"""Gap under a tube's rim over its bore at which the way in is as large as the bore: pi d h = pi d2 / 4."""


class NoRoomForPort(ValueError):
    """The bolts of the flange leave a port in the side of the sump no room."""


@dataclass(frozen=True)
class Draw:
    """The pickup: its axis at x, y; mouth `mouth_z` high, `bell` wide inside; `bore` and outside `outer` of its tube.
    Its tube either runs as a leg `leg_z` high to a `port` in the falling side, or rises open to `top_z` under the engine's own
    pump; all three are None in a pan that is there already."""

    x: float
    y: float
    bore: float
    bell: float
    mouth_z: float
    outer: float
    port: WeldEnd | None
    leg_z: float | None
    because: str
    top_z: float | None = None

    @property
    def bell_outside(self) -> float:
        """Outside of the bell at its mouth."""
        return self.bell + 2 * BELL_WALL_MM

    def outside_at(self, rise: float) -> float:
        """Outside diameter of bell and tube `rise` over the mouth, down to the mouth's own below it."""
        return max(self.outer + 2 * BELL_COLLAR_MM, self.bell_outside - 2 * max(0.0, rise - BELL_LIP_MM))


def tube_for(bore: float, *, thickness: float) -> WeldEnd:
    """The smallest flare end whose tube has that bore with its least wall, in sheet of `thickness`. Raises ValueError."""
    for dash in standards.flare_dashes():
        if standards.flare(dash).tube_od >= bore + 2 * TUBE_WALL_MM:
            return weld_end(dash, thickness=thickness)
    raise ValueError(f"deep_pan.pickup.bore: {bore:g} mm is more than the largest flare end's tube holds, "
                     f"{standards.flare(standards.flare_dashes()[-1]).tube_od - 2 * TUBE_WALL_MM:.1f} mm; a smaller bore would do")


def gap_of(pickup) -> float:
    """Mouth above the floor, mm: as the `pickup`'s record says, else the usual, or more where a large bore asks it, to the
    next millimetre."""
    if pickup is None:
        return USUAL_GAP_MM
    return pickup.floor_gap or max(USUAL_GAP_MM, math.floor(CURTAIN_SHARE * pickup.bore) + 1.0)


def draw_of(parameters, region: SweptRegion, inside: Inside) -> Draw:
    """The pickup of the deep pan. Raises ValueError, naming key and numbers, where it does not fit its sump."""
    want = parameters.deep_pan.pickup if parameters.deep_pan and parameters.deep_pan.pickup else None
    given = type(want) if want else None
    x = want.x if given and want.x is not None else sum(inside.floor_x) / 2 + towards_oil(parameters, inside)
    bore = want.bore if given else USUAL_BORE_MM
    gap = gap_of(want)
    bell = want.bell if given and want.bell is not None else BELL_OVER_BORE * bore
    if bell < bore:
        raise ValueError(f"deep_pan.pickup.bell: {bell:g} mm is less than the bore of {bore:g} mm that it leads to")
    tube = tube_for(bore, thickness=inside.thickness) if inside.is_made else None
    port = None if inside.leads_up else tube
    half = bell / 2
    y = want.y if given and want.y is not None else inside.side * _middle(inside, half + BELL_WALL_MM)
    mouth = max(inside.floor(y - half), inside.floor(y + half)) + gap
    leg = leg_height(inside.body_floor(inside.join), inside.thickness, port) if port else None
    top = riser_top(parameters, region) if inside.leads_up else None
    asked_x = given is not None and want.x is not None
    because = "as the file says" if asked_x else _because(parameters, inside)
    made = Draw(x, y, bore, bell, mouth, tube.tube_od if tube else bore + 2 * TUBE_WALL_MM, port, leg, because, top)
    _inside_the_sump(made, inside)
    if port:
        made = _beside_bolts(made, inside, parameters.pan_rail, is_asked=asked_x)
    end = made.leg_z - made.outer / 2 if port else top
    if end is not None and end - made.mouth_z < made.bell_outside / 2:
        raise ValueError(f"deep_pan.sump.depth: mouth of the pickup at {made.mouth_z:.1f} mm and the end of its tube at {end:.1f} mm leave "
                         f"no room for a bell of {bell:g} mm between them; a deeper sump or a smaller bore would")
    return made


USUAL_BORE_MM, USUAL_GAP_MM = 22.0, 8.0
"""Bore of the pickup and gap under its mouth where the file says nothing (common practice; the records' own)."""


NARROW_MM = 180.0
"""Under a neck narrower than this a cell and the drain stand one behind the other and leave no way to move."""


def towards_oil(parameters, inside: Inside) -> float:
    """How far (mm) towards the front of the engine the pickup stands off the middle of the floor, as the driving asks; nothing where
    the sump is narrow."""
    if inside.corners[-1][0] - inside.corners[0][0] < NARROW_MM:
        return 0.0
    return forward_share(parameters.driving, parameters.vehicle) * (inside.floor_x[1] - inside.floor_x[0])


def _because(parameters, inside: Inside) -> str:
    off = towards_oil(parameters, inside)
    if not off:
        return "the middle of the sump's floor"
    return (f"{abs(off):.1f} mm {'before' if off > 0 else 'behind'} the middle of the sump's floor, for what is harder, braking or speeding up, "
            "draws the oil there; more would leave a cell no room")


def leg_height(body_floor: float, thickness: float, port: WeldEnd) -> float:
    """As high (mm) as the port's base can be welded to the neck under the body's floor of that height and thickness."""
    return body_floor - thickness - WELD_LEG_MM - port.base_diameter / 2


def riser_top(parameters, region: SweptRegion) -> float:
    """Height (mm) at which a tube that rises to the engine's own pump ends: under the swing and the screen."""
    screen = parameters.windage_screen
    return region.lowest - (screen.clearance + screen.thickness if screen.make else 0.0) - RISER_BELOW_MM


def neck_for(port: WeldEnd, *, thickness: float, radius: float) -> float:
    """Height of a neck's wall, from the underside of the body's floor to the sharp inside corner of its shelf, in which
    such a port stands clear of weld and bend."""
    return WELD_LEG_MM + port.base_diameter + BESIDE_BEND_MM + radius + thickness


def _blocked(rail, draw: Draw, inside: Inside) -> list[tuple[float, float]]:
    """Stretches of x where a port in the falling side's wall would stand in the way of a socket on a bolt."""
    tool, port = standards.bolt(rail.bolt_size).tool_radius + TOOL_PLAY_MM, draw.port
    wall, below = inside.corners[-1][0] + inside.thickness, max(0.0, inside.underside - SOCKET_MM - draw.leg_z)
    out = []
    for x, y in rail.bolts:
        beyond = inside.side * y - wall
        for start, end, radius in ((0.0, BASE_MM, port.base_diameter / 2), (BASE_MM, port.height, port.major / 2)):
            off = max(start - beyond, beyond - end, 0.0)
            reach = radius + math.sqrt(tool**2 - off**2) if off < tool else 0.0
            if reach > below:
                half = math.sqrt(reach**2 - below**2)
                out.append((x - half, x + half))
    return out


def _lower(rail, draw: Draw, inside: Inside) -> Draw:
    """The pickup with its port wholly under the bolts' sockets; as it is where the wall on the falling side is not plain down
    to the floor."""
    is_plain = len(inside.corners) - 2 == inside.floor_index + 1
    tool = standards.bolt(rail.bolt_size).tool_radius + TOOL_PLAY_MM
    low = inside.underside - SOCKET_MM - tool - draw.port.base_diameter / 2
    return replace(draw, leg_z=min(draw.leg_z, low)) if is_plain else draw


def _beside_bolts(draw: Draw, inside: Inside, rail, *, is_asked: bool) -> Draw:
    """The pickup where its port clears every bolt's socket: as near to its place as may be, or lower in a plain wall; at its
    place where that is asked."""
    half, middle = draw.bell_outside / 2, draw.x
    low, high = inside.floor_x[0] + half, inside.floor_x[1] - half
    blocked = _blocked(rail, draw, inside)
    tries = [x for x in (middle, *(e for stretch in blocked for e in stretch)) if low <= x <= high]
    free = sorted((x for x in tries if not any(a < x < b for a, b in blocked)), key=lambda x: (abs(x - middle), x))
    if free and free[0] == middle:
        return draw
    lowered = _lower(rail, draw, inside)
    if (is_asked or not free) and lowered.leg_z < draw.leg_z:
        return lowered
    if not free:
        raise NoRoomForPort(f"pan_rail.bolt_pitch: sockets on the flange's bolts leave a port no room between x = {low:.1f} and {high:.1f} mm "
                         "over the sump's floor; fewer bolts, a smaller deep_pan.pickup.bore, a longer sump, one without a kick-out on "
                         "the falling side, or deep_pan.pickup.outlet = \"up\" would")
    if is_asked:
        raise ValueError(f"deep_pan.pickup.x: a port at {middle:.1f} mm stands in the way of a socket on a bolt of the flange, at "
                         f"{free[0]:.1f} mm it would not; move the pickup or the bolts")
    return replace(draw, x=free[0], because=f"{draw.because}, {abs(free[0] - middle):.1f} mm off so that its port leaves a socket on the "
                                            "flange's bolts room")


def _under_the_neck(inside: Inside) -> tuple[float, float]:
    """s between which a bell stands on the floor's flat and its tube goes up through the neck."""
    (s0, _), (s1, _) = inside.floor_ends
    return max(s0 + inside.radius, inside.corners[0][0]), min(s1 - inside.radius, inside.corners[-1][0])


def _middle(inside: Inside, half: float) -> float:
    """s of the middle of the floor or, where a kick-out on one side takes that from under the neck, as near as a bell of that
    half width stands."""
    (s0, _), (s1, _) = inside.floor_ends
    low, high = _under_the_neck(inside)
    return min(max((s0 + s1) / 2, low + half), max(high - half, low + half))


def _inside_the_sump(draw: Draw, inside: Inside) -> None:
    half, s = draw.bell_outside / 2, inside.side * draw.y
    low, high = _under_the_neck(inside)
    for key, at, a, b in (("x", draw.x, *inside.floor_x), ("y", s, low, high)):
        if not a + half <= at <= b - half:
            near, far = sorted(inside.side * v for v in (a, b)) if key == "y" else (a, b)
            raise ValueError(f"deep_pan.pickup.{key}: the bell of {draw.bell_outside:.1f} mm at {key} = "
                             f"{draw.y if key == 'y' else draw.x:.1f} mm does not stand on the sump's floor under its neck, from "
                             f"{near:.1f} to {far:.1f} mm; "
                             + ("move it or the sump" if b - a >= 2 * half else "a smaller bore or bell, or a larger sump would do"))


