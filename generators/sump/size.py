"""Parameters and swept region -> the inside of the deep pan, each size that was chosen with its reason. mm."""

import dataclasses
import math

import numpy as np

from generators import standards
from generators.crank import SweptRegion
from generators.findings import Sized
from generators.parameters import DeepPan
from generators.parameters import Sump as Asked
from generators.rail import Opening, pan_opening, pan_top
from generators.sump.corners import beside_neck, bore_of, given_corners, least_kick_out, made_corners
from generators.sump.draw import (
    NoRoomForPort,
    draw_of,
    leg_height,
    riser_top,
    tube_for,
)
from generators.sump.inside import Inside
from generators.sump.notch import NoNotch, notch_for, taken

FLOOR_SLOPE = math.radians(1.5)
"""Slope of a floor that drains to its plug with the engine level (common practice)."""

FLOOR_STRIP_MM = 8.0
"""Body floor left between the sump and the end of the body (common practice: what a weld does not draw)."""

SEAM_GAP_MM = 0.4
"""Widest gap that the butt weld between the body's halves is to bridge: their floors are cut square, their walls plumb."""

LENGTH_SHARES = (0.45, 0.55, 0.65, 0.75)
"""Length of a sump over that of the opening where the file does not say: the first is usual, the others are tried where it would
go very deep (common practice)."""

VERY_DEEP_MM = 190.0
"""A sump deeper than this below the rail is made longer first: few vehicles have the room (common practice)."""

USUAL_KICK_OUT_MM = 40.0
"""How far a kick-out stands out where the file does not say (common practice)."""

REAR_STRIP_MM = 15.0
"""Body floor left behind a sump that the tool places at the rear."""

NEAR_MM = 1e-6

PLAIN_CORNERS = 4
"""Corners of a section without kick-outs."""

SCREEN_ROOM_MM = 6.0
"""From a screen's underside to the body's floor: its bends, and oil running off."""

SCREEN_BOSS_MM, SCREEN_TAB_MM = 14.5, 3.0
"""Under the flange where a screen hangs there, besides its sheets: gap, the bosses of its screws, and oil running off under
them; gap to its tabs' legs above the bend of the floor."""

CELL_MM = 85.0
"""Height under the pickup's leg in which a cell with gates usually finds room: walls, hinges, lid."""

LEAST_CELL_MM = 76.0
"""Height under the leg in which a cell with openings of the usual 40 mm just finds room."""

STEP_MM = 5.0
"""Sizes that the tool chooses are a multiple of this."""

DEEPEST_MM = 350.0
"""Deeper than this under the rail no sump is sized."""

FULL_BELOW_SWING_MM = 10.0
"""The full mark, engine stopped: so far below the lowest point of the swing, that starting does not beat the oil (our choice)."""

RUNNING_BELOW_SWING_MM, USUAL_RUNNING_MM = 30.0, 50.0
"""Swing to the oil while running: least, and usual (common practice)."""

MM3 = 1e9


def deep_pan(parameters) -> DeepPan:
    """The file's deep pan, or one in which everything is left to the tool."""
    return parameters.deep_pan or DeepPan()


def full_mark(region: SweptRegion) -> float:
    """Height of the full mark, mm: engine stopped and drained down."""
    return region.lowest - FULL_BELOW_SWING_MM


def inside_of(parameters, region: SweptRegion) -> Inside:
    """The inside of the deep pan that the file describes, sized where it does not.

    Raises ValueError, naming key and numbers, where no such pan can be made or nothing can be put into it."""
    made = _inside(parameters, region)
    if made.is_made and not made.leads_up and not _asked_outlet(parameters):
        try:
            draw_of(parameters, region, made)
        except NoRoomForPort as blocked:
            return _inside(parameters, region, no_port=str(blocked).partition(": ")[2])
    return made


def _asked_outlet(parameters) -> str | None:
    pickup = deep_pan(parameters).pickup
    return pickup.outlet if pickup else None


def _inside(parameters, region: SweptRegion, *, no_port: str = "") -> Inside:
    """The inside; `no_port` tells why there can be no port in the side where that is known."""
    pan, open_ = deep_pan(parameters), pan_opening(parameters, region)
    sized: list[Sized] = [Sized("deep_pan.opening", f"{open_.length:.1f} x {open_.width:.1f} mm", open_.because)]
    if pan.sump is not None:
        made = _with_sump(parameters, region, open_, pan.sump, sized, no_port)
    else:
        made = _sized_sump(parameters, region, open_, sized, no_port)
    try:
        made = dataclasses.replace(made, notch=_notch(parameters, made))
    except NoNotch as none:
        sized.append(Sized("deep_pan.notch", "none", str(none)))
    if made.notch:
        sized.append(Sized("deep_pan.notch", f"x {made.notch.x:.0f} mm, roof at z {made.notch.z:.0f} mm", made.notch.because))
    if len(made.corners) > PLAIN_CORNERS and pan.kick_outs is None:
        sized.append(Sized("deep_pan.kick_outs", "both", "not given; oil is flung to one side and thrown to both"))
    return dataclasses.replace(made, sized=tuple(sized))


# ---------------------------------------------------------------- the sump as asked


def _with_sump(parameters, region: SweptRegion, open_: Opening, sump: Asked, sized: list[Sized], no_port: str = "") -> Inside:
    pan, sheet, rail = deep_pan(parameters), parameters.sheet, parameters.pan_rail
    side = 1 if region.rising_side == "right" else -1
    top = pan_top(parameters)
    slope = pan.floor_slope if pan.floor_slope is not None else _slope(pan, sized)
    x = _place(parameters, open_, sump, sized)
    shallow = pan.shallow_depth or _shallow(parameters, region, open_, x, _body_slope(parameters, slope), sized)
    base = {"is_made": pan.make, "side": side, "opening": open_, "top": top, "underside": top - pan.flange_thickness,
            "shallow_z": -rail.below_crank - shallow, "body_slope": _body_slope(parameters, slope), "join": x, "x0": x - sump.length / 2, "x1": x + sump.length / 2,
            "floor_slope": slope, "radius": sheet.bend_radius if pan.make else pan.corner_radius or 0.0,
            "thickness": sheet.thickness if pan.make else 0.0, "k_factor": sheet.k_factor}
    edges = (open_.y0, open_.y1) if side > 0 else (-open_.y1, -open_.y0)
    floor = -rail.below_crank - sump.depth
    base["leads_up"] = pan.make and _leads_up(parameters, base, floor + sump.width * math.tan(slope), sized, no_port)
    corners = made_corners(parameters, base, edges, sump, floor) if pan.make else given_corners(base, edges, sump, floor)
    made = Inside(corners=corners, **base)
    _makeable(made, parameters)
    return made


def _body_slope(parameters, slope: float) -> float:
    """Slope of the body's floor: the sump's, as far as the halves of the body can be butted with it (rad)."""
    pan, sheet = deep_pan(parameters), parameters.sheet
    outside = sheet.bend_radius + sheet.thickness
    return min(slope, math.asin(min(1.0, SEAM_GAP_MM / (2 * outside)))) if pan.make else slope


def _slope(pan: DeepPan, sized: list[Sized]) -> float:
    """Slope of a floor of which the file says nothing, rad."""
    if not pan.make:
        sized.append(Sized("deep_pan.floor_slope", "0 deg", "not given: the floor of a pan that is there already is taken as level"))
        return 0.0
    sized.append(Sized("deep_pan.floor_slope", f"{math.degrees(FLOOR_SLOPE):g} deg",
                       "not given; drains to the plug with the engine level (common practice)"))
    return FLOOR_SLOPE


def _place(parameters, open_: Opening, sump: Asked, sized: list[Sized]) -> float:
    """x of the sump's middle: as asked, or as near to it as a sump that reaches out under the rail's ends comes under the
    opening."""
    pan = deep_pan(parameters)
    strip = FLOOR_STRIP_MM if pan.make else 0.0
    low, high = open_.x0 + strip, open_.x1 - strip
    x0, x1 = sump.x - sump.length / 2, sump.x + sump.length / 2
    if low <= x0 and x1 <= high:
        return sump.x
    on_rail = x0 >= -NEAR_MM and x1 <= parameters.pan_rail.length + NEAR_MM
    if not (pan.make and on_rail and sump.length <= high - low):
        raise ValueError(f"deep_pan.sump.x: the sump reaches from x = {x0:.1f} to {x1:.1f} mm, but has to lie between "
                         f"{low:.1f} and {high:.1f} mm, under the opening that rail and bolts leave; move or shorten it")
    x = min(max(sump.x, low + sump.length / 2), high - sump.length / 2)
    sized.append(Sized("deep_pan.sump_place", f"x {x:.1f} mm", f"asked at {sump.x:.1f} mm it would reach from {x0:.1f} to {x1:.1f} mm, out "
                       f"under the rail where its bolts need their sockets: it stands {abs(x - sump.x):.1f} mm off, between {low:.1f} and "
                       f"{high:.1f} mm"))
    return x


def _leads_up(parameters, base: dict, floor: float, sized: list[Sized], no_port: str) -> bool:
    """Whether the pickup's tube rises to the engine's own pump: as asked, else where a leg to a port in the side leaves no room
    for a cell under it, over a floor that is `floor` high at most."""
    asked = _asked_outlet(parameters)
    if asked:
        return asked == "up"
    if no_port:
        sized.append(Sized("deep_pan.pickup.outlet", "up", f"not given; {no_port}: the tube rises to the engine's own pump"))
        return True
    port = tube_for(bore_of(parameters), thickness=base["thickness"])
    room = leg_height(base["shallow_z"], base["thickness"], port) - port.tube_od / 2 - floor
    if room >= LEAST_CELL_MM:
        sized.append(Sized("deep_pan.pickup.outlet", "side", f"not given; the leg to a port in the side leaves {room:.0f} mm under it, a "
                           f"cell with gates of the usual height asks for {LEAST_CELL_MM:g} mm"))
        return False
    sized.append(Sized("deep_pan.pickup.outlet", "up", f"not given; a leg to a port in the side would leave {room:.0f} mm under it, a cell "
                       f"with gates of the usual height asks for {LEAST_CELL_MM:g} mm: the tube rises to the engine's own pump"))
    return True


def _shallow(parameters, region: SweptRegion, open_: Opening, join: float, slope: float, sized: list[Sized]) -> float:
    """Depth of the body's floor below the rail: under the swing, the screen and the floor's own rise."""
    pan, screen = deep_pan(parameters), parameters.windage_screen
    below = max(0.0, -region.lowest - parameters.pan_rail.below_crank)
    needs = {f"floor_clearance {pan.floor_clearance:g} mm": pan.floor_clearance}
    if screen.make:
        needs[f"screen at {screen.clearance:g} mm, {screen.thickness:g} mm thick, and {SCREEN_ROOM_MM:g} mm under it"] = (
            screen.clearance + screen.thickness + SCREEN_ROOM_MM)
    why, need = max(needs.items(), key=lambda item: item[1])
    rise = max(join - open_.x0, open_.x1 - join) * math.tan(slope)
    stack = -parameters.pan_rail.below_crank - pan_top(parameters) + pan.flange_thickness
    wall = stack + _wall_under_flange(parameters)
    depth = math.ceil(max(below + need, wall) + rise)
    why = f"swing {below:.1f} mm below the rail + {why}" if below + need >= wall else (
        f"scraper and flange {stack:.1f} mm, and under them wall to bend" + (" and to carry the screen's tabs" if screen.make else ""))
    sized.append(Sized("deep_pan.shallow_depth", f"{depth:.1f} mm", f"{why} + {rise:.1f} mm that the floor falls to the sump"))
    return float(depth)


def _wall_under_flange(parameters) -> float:
    """Least height of the body's walls, mm: what can be bent, and what the tabs of a screen and their screws' bosses need."""
    sheet, screen = parameters.sheet, parameters.windage_screen
    flange = standards.least_flange(sheet.thickness, bend_radius=sheet.bend_radius).value
    if not screen.make:
        return flange
    return screen.thickness + max(SCREEN_BOSS_MM + sheet.thickness, SCREEN_TAB_MM + flange + sheet.bend_radius)


def _makeable(made: Inside, parameters) -> None:
    """Raises ValueError where a side of the section is too short for its bends, or the body's walls are."""
    if not made.is_made:
        return
    try:
        made.channel.faces()
    except ValueError as short:
        raise ValueError(f"deep_pan.sump.depth: the sump cannot be bent at {made.radius:g} mm with its kick-outs' shelves under the "
                         f"bolts' tools and the pickup's port: {short}; a deeper sump, or a narrower one without kick-outs would "
                         "do") from short
    least = standards.least_flange(made.thickness, bend_radius=made.radius).value
    wall = made.underside - max(made.body_floor(x) for x in (made.opening.x0, made.opening.x1))
    if wall < least:
        raise ValueError(f"deep_pan.shallow_depth: leaves {wall:.1f} mm of wall under the flange where the body is shallowest, "
                         f"{least:.1f} mm is the least that can be bent; a deeper body, a thinner flange or less floor_slope would do")


# ---------------------------------------------------------------- the sump as sized


def _sized_sump(parameters, region: SweptRegion, open_: Opening, sized: list[Sized], no_port: str = "") -> Inside:
    """The sump that the tool chooses: under the rear of the engine, as deep as cell and oil ask; longer before it goes very
    deep. Raises the ValueError of the last that was tried where none can be made."""
    found: list[tuple[float, float, Inside, list[Sized], bool]] = []
    refusal = None
    for share in LENGTH_SHARES:
        length = STEP_MM * math.floor(share * open_.length / STEP_MM)
        try:
            found.append((share, length, *_deep_enough(parameters, region, open_, length, no_port)))
        except ValueError as bad:
            refusal = bad
            continue
        if found[-1][-1] and _depth(parameters, found[-1][2]) <= VERY_DEEP_MM:
            break
    if not found:
        raise refusal
    share, length, made, reasons, enough = min(found, key=lambda f: (not f[-1], max(_depth(parameters, f[2]), VERY_DEEP_MM), f[0]))
    sized += reasons
    why = "enough for a cell with gates under the pickup's leg" + _oil_why(parameters) if enough else "it is the deepest that is sized"
    (s0, _), (s1, _) = made.floor_ends
    sized.append(Sized("deep_pan.sump", f"{length:.0f} x {s1 - s0:.0f} mm, {_depth(parameters, made):.0f} mm deep, centre at x "
                       f"{made.join:.0f} mm", f"under the rear of the engine, where launching throws the oil and front crossmembers stay "
                       f"clear; {share:g} of the opening's length, kick-outs of about {USUAL_KICK_OUT_MM:g} mm; {why}"))
    return made


def _depth(parameters, made: Inside) -> float:
    """Depth of the sump's floor below the rail."""
    return -parameters.pan_rail.below_crank - made.lowest


def _deep_enough(parameters, region: SweptRegion, open_: Opening, length: float, no_port: str) -> tuple[Inside, list[Sized], bool]:
    """The shallowest sump of that length that is deep enough, its reasons, and whether it is; the deepest where none is. Raises
    ValueError where none can be made."""
    t, r = parameters.sheet.thickness, parameters.sheet.bend_radius
    neck = open_.width - 2 * beside_neck(t, r)
    kicks = 1 if deep_pan(parameters).kick_outs == "rising" else 2
    width = max(STEP_MM * math.floor((neck + kicks * USUAL_KICK_OUT_MM) / STEP_MM),
                STEP_MM * math.ceil((neck + kicks * least_kick_out(t, r)) / STEP_MM))
    x = open_.x0 + REAR_STRIP_MM + length / 2
    found, refusal = None, None
    for depth in np.arange(STEP_MM * math.ceil(_least_depth(parameters, region) / STEP_MM), DEEPEST_MM + STEP_MM, STEP_MM):
        reasons: list[Sized] = []
        try:
            made = _with_sump(parameters, region, open_, Asked(length=length, width=width, depth=float(depth), x=x), reasons, no_port)
        except ValueError as bad:
            refusal = bad
            continue
        found = made, reasons, not _short_of(parameters, region, made, no_port)
        if found[-1]:
            break
    if found is None:
        raise refusal
    return found


def _least_depth(parameters, region: SweptRegion) -> float:
    """Depth from which sizes are tried: below the swing."""
    return max(0.0, -region.lowest - parameters.pan_rail.below_crank) + CELL_MM


def _short_of(parameters, region: SweptRegion, made: Inside, no_port: str) -> bool:
    """Whether the sump is still too shallow for the cell under the leg, for all the oil, or for the running level."""
    port = tube_for(bore_of(parameters), thickness=made.thickness)
    under = min(made.shallow_z, riser_top(parameters, region))
    if not made.leads_up:
        under = leg_height(made.shallow_z, made.thickness, port) - port.tube_od / 2
    too_low_for_a_port = made.leads_up and not _asked_outlet(parameters) and not no_port
    if under - made.floor_ends[1][1] < CELL_MM or too_low_for_a_port:
        return True
    oil = parameters.oil
    if oil.volume and sharp_volume_below(made, full_mark(region)) < oil.volume * MM3:
        return True
    running, below = _running(oil)
    return bool(running) and sharp_volume_below(made, region.lowest - below) < running * MM3


def _running(oil) -> tuple[float | None, float]:
    """Oil (m3) in the pan while the engine runs, and how far (mm) under the swing: the usual; all of it, the least far, where
    it is not known how much stays."""
    return (oil.running_volume, USUAL_RUNNING_MM) if oil.running_volume else (oil.volume, RUNNING_BELOW_SWING_MM)


def _oil_why(parameters) -> str:
    oil, said = parameters.oil, ""
    if oil.volume:
        said += f", {oil.volume * 1000:.1f} L under the full mark"
    if oil.running_volume:
        said += f", {oil.running_volume * 1000:.1f} L left {USUAL_RUNNING_MM:g} mm under the swing while running"
    elif oil.volume:
        said += f" and {RUNNING_BELOW_SWING_MM:g} mm under the swing: how much stays up while running is not known"
    return said


def sharp_volume_below(made: Inside, z: float) -> float:
    """Volume (mm3) of the inside below the height z with its bends taken as sharp and nothing in it: for sizing only."""
    from shapely.geometry import Polygon, box

    section = Polygon(made.corners)
    low, high = made.lowest - 1.0, min(z, made.corners[0][1])
    sump = section.intersection(box(section.bounds[0], low, section.bounds[2], high)).area if high > low else 0.0
    neck = made.corners[-1][0] - made.corners[0][0]
    throat = neck * max(0.0, min(z, made.shallow_z) - made.corners[0][1])
    xs = np.linspace(made.opening.x0, made.opening.x1, 201)
    deep = np.maximum(z - np.array([made.body_floor(x) for x in xs]), 0.0)
    return sump * made.length + throat * made.length + float(np.trapezoid(deep, xs)) * made.opening.width


# ---------------------------------------------------------------- obstacles


def _notch(parameters, made: Inside):
    """The notch that the vehicle's obstacles ask of a pan to be made. Raises NoNotch where none clears them."""
    if not made.is_made:
        return None
    t, r = made.thickness, made.radius
    outer = [s for s, _ in made.corners]
    ys = sorted((made.side * (min(outer) - t), made.side * (max(outer) + t)))
    low = np.array([made.x0 - t, ys[0], made.lowest - t])
    high = np.array([made.x1 + t, ys[1], made.corners[0][1]])
    flange = standards.least_flange(t, bend_radius=r).value
    shelves = [z for _, z in made.corners[1:-1] if z > made.floor_ends[1][1]]
    found = notch_for(taken(parameters, near=(low, high)), low=low, high=high, thickness=t, least_z=made.floor_ends[1][1] + r + flange,
                      most_z=min([*shelves, made.corners[0][1]]) - r - t - flange)
    if found is None:
        return None
    x = min(found.x, made.x1 - flange) if found.at_front else max(found.x, made.x0 + flange)
    return dataclasses.replace(found, x=x)
