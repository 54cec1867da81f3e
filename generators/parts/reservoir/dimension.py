"""Pure arithmetic: parameters -> the sizes of the tank, each with its reason."""

import math
from dataclasses import replace

from generators import standards
from generators.findings import Sized
from generators.fittings import boss_material, weld_end
from generators.parts.reservoir.ends import end_thickness
from generators.parts.reservoir.layout import (
    END_EDGE_MM,
    base_sizes,
    brackets_for,
    fittings_for,
    outlet_for,
    put_between,
    vanes_for,
)
from generators.parts.reservoir.reasons import reasons
from generators.parts.reservoir.records import Baffles, Inlet, ReservoirDimensions, Top
from generators.parts.reservoir.usual import (
    INLET_FALL,
    INLET_PLACE,
    NECK_LEAST_MM,
    NECK_RADIUS_MM,
    SLENDERNESS,
    SPARE_SHARE,
    WALL_GRAZE_MM,
)
from generators.parts.reservoir.volumes import below_shell, displaced, displaced_below
from generators.sheet.branches import saddle
from generators.standards import Flare, Unknown

NAME = "reservoir"

ROUND_DIAMETER_MM, ROUND_HEIGHT_MM = 5.0, 0.5
"""Steps in which a diameter and a height are chosen."""

SQUATTEST = 0.6
"""A straight shell lower than this many diameters uncovers its outlet in any corner and has no room for fittings."""

SEAM = math.radians(240)
"""Where the shell is butted: away from the bracket (180 degrees), the return and every boss."""

SETTLING = 12
"""Rounds in which height and full mark settle against the metal in the oil, until they change by under a micrometre."""

INLET_SHARE = 1 / 3
"""Greatest radius of a tangential return as a share of the shell's: a wider one does not lie along the wall."""

INLET_TUBE_MM = 25.0
"""Straight tube beyond the saddle's longest point: room to weld and to turn a nut."""

SOCKET_WALL_MM = 2.5
"""Least wall of the turned end round the return tube."""

NECK_HEIGHT_MM = 30.0
NECK_GAP_MM = 8.0
"""Height of the neck above the plate, and free plate between neck and breather, for both welds."""

SHIELD_ROOM_MM, SHIELD_DEPTH_MM = 4.0, 16.0
"""The shield is wider than the breather's spigot by the first, or as wide as it can be bent, and hangs at least the second
below the plate: the way in round the spigot is then wider than its bore."""

BAFFLE_GAP_MM = 0.25
"""Between a baffle and the wall: a push fit in a rolled shell, and close enough to tack."""

BAFFLE_HOLE_SHARE, BAFFLE_HOLE_SPAN_MM = 1 / 12, (8.0, 18.0)
"""Diameter of a baffle's holes as a share of the inside diameter, and between which sizes (common practice)."""

BAFFLE_PITCH = 1.4
"""Pitch of the holes over their diameter: just under half of the plate is open."""

RESIDENCE_S = 12.0
OIL_PER_CYLINDER_M3 = 2e-3
USUAL_OIL_M3 = 8e-3
"""What a tank holds where the file does not say: by the pump's flow, else by cylinders, else as for four (common
practice)."""

HOLE_CLEARANCE_MM = 0.1
"""All round a boss, neck or stub in its hole, where it is tightest (common practice: 0.1 to 0.25)."""


def dimension(parameters, region=None) -> ReservoirDimensions:
    """Size the tank. `region`, the crank's swept region, has no bearing on it. Raises ValueError, naming the key and a
    remedy, where the tank cannot be made."""
    want, sheet = parameters.reservoir, parameters.sheet
    oil, why = _oil(parameters)
    radius = _inside_diameter(want, oil) / 2
    bar = boss_material(sheet.material, density=sheet.density)
    end = end_thickness(sheet, radius=radius + sheet.thickness)
    outlet = outlet_for(
        _flare(want.outlet_bore, "reservoir.outlet_bore"),
        radius=radius,
        base=want.base,
        thickness=sheet.thickness,
        base_thickness=end,
        clearance=HOLE_CLEARANCE_MM,
    )
    depth, foot = base_sizes(outlet, radius=radius, base=want.base, clearance=HOLE_CLEARANCE_MM)
    inlet = _inlet(want.inlet_bore, radius, sheet.thickness)
    lid = _top(inlet, radius, sheet, end)
    d = ReservoirDimensions(
        want.base,
        sheet.material,
        sheet.density,
        bar.name,
        bar.density,
        sheet.thickness,
        sheet.bend_radius,
        sheet.k_factor,
        radius,
        0.0,
        0.0,
        oil,
        SEAM,
        depth,
        foot,
        end,
        end,
        outlet,
        inlet,
        lid,
        _baffles(radius),
        vanes_for(outlet, radius=radius, depth=depth, foot=foot, thickness=sheet.thickness),
        (),
        brackets_for(sheet, outside_radius=radius + sheet.thickness),
        HOLE_CLEARANCE_MM,
    )
    d = _settled(d, want, oil)
    d.shell()
    return replace(d, sized=(Sized(f"{NAME}.oil_volume", f"{1000 * oil:.2f} L", why), *reasons(d, want, sheet)))


def _oil(parameters) -> tuple[float, str]:
    """Oil to be held, m3, and why so much."""
    want, crank = parameters.reservoir, parameters.crank
    cylinders = len(crank.throws or ()) * (crank.rods_per_throw or 1)
    if want.oil_volume is not None:
        return want.oil_volume, "as the file asks"
    if parameters.oil.volume is not None:
        return parameters.oil.volume, "oil.volume, all of it in the tank when the engine has drained"
    if parameters.engine.oil_flow is not None:
        return (
            RESIDENCE_S * parameters.engine.oil_flow,
            f"{RESIDENCE_S:g} s of engine.oil_flow: 10 to 15 s let the air out (common practice)",
        )
    if cylinders:
        return (
            OIL_PER_CYLINDER_M3 * cylinders,
            f"{1000 * OIL_PER_CYLINDER_M3:g} L for each of {cylinders} cylinders (common practice)",
        )
    return USUAL_OIL_M3, "usual for four cylinders (common practice); the file gives neither volume, flow nor throws"


def _inside_diameter(want, oil: float) -> float:
    """As asked, else from the volume and the slenderness, to the nearest step; mm."""
    if want.diameter is not None:
        return want.diameter
    total = oil * 1e9 / (1 - want.headspace)
    return ROUND_DIAMETER_MM * round((4 * total / (math.pi * SLENDERNESS)) ** (1 / 3) / ROUND_DIAMETER_MM)


def _flare(bore: float, key: str) -> Flare:
    try:
        return standards.flare_for_bore(bore)
    except Unknown as unknown:
        raise ValueError(f"{key}: {unknown}; ask for a smaller bore") from unknown


def _inlet(bore: float, radius: float, wall: float) -> Inlet:
    """The return, its height still open."""
    if bore / 2 > INLET_SHARE * radius:
        raise ValueError(
            f"reservoir.inlet_bore: {bore:g} mm does not lie along the wall of a tank {2 * radius:g} mm wide; at most "
            f"{2 * INLET_SHARE * radius:.1f} mm, or ask for a larger reservoir.diameter"
        )
    outside, offset, angle = bore / 2 + wall, radius - bore / 2 - WALL_GRAZE_MM, math.pi / 2 - INLET_FALL
    end = saddle(math.radians(-90), main_radius=radius + wall, radius=outside, angle=angle, offset=offset)
    flare = _flare(bore, "reservoir.inlet_bore")
    collar = max(flare.boss_diameter / 2, outside + SOCKET_WALL_MM)
    return Inlet(bore / 2, outside, offset, 0.0, 0.0, angle, float(end) + INLET_TUBE_MM, flare, collar)


def _top(inlet: Inlet, radius: float, sheet, plate: float) -> Top:
    """Filler, breather and shield side by side on the diameter that runs through the bracket."""
    t = sheet.thickness
    breather = weld_end(inlet.flare.dash, thickness=plate)
    base = breather.base_diameter / 2
    free = 2 * radius - 2 * END_EDGE_MM - 2 * base - NECK_GAP_MM
    neck = min(NECK_RADIUS_MM, free / 2)
    x = radius - END_EDGE_MM - base
    bent = 2 * sheet.bend_radius + t
    width = max(breather.spigot_diameter + SHIELD_ROOM_MM, standards.least_channel(t).value - 2 * t, bent)
    depth = max(
        SHIELD_DEPTH_MM,
        breather.inside + breather.bore / 2,
        standards.least_flange(t, bend_radius=sheet.bend_radius).value,
    )
    corner = (radius - END_EDGE_MM / 2) ** 2 - (width / 2 + t) ** 2
    length = 2 * (math.sqrt(max(corner, 0.0)) - x)
    if length < breather.spigot_diameter and width == bent:
        raise ValueError(
            f"sheet.bend_radius: {sheet.bend_radius:g} mm inside makes the breather's shield {width + 2 * t:.0f} mm wide, "
            f"more than a tank {2 * radius:g} mm wide has room for; ask for a smaller bend_radius or a larger reservoir.diameter"
        )
    if neck < NECK_LEAST_MM or length < breather.spigot_diameter:
        raise ValueError(
            f"reservoir.inlet_bore: a breather as wide as the return ({breather.dash}) leaves no room for a filler on "
            f"a tank {2 * radius:g} mm wide; ask for a smaller inlet_bore or a larger reservoir.diameter"
        )
    return Top(
        neck,
        neck - t,
        neck - (radius - END_EDGE_MM),
        NECK_HEIGHT_MM,
        breather,
        x,
        width,
        depth,
        min(length, 2 * base + SHIELD_ROOM_MM),
    )


def _baffles(radius: float) -> Baffles:
    """The baffle's pattern, its heights still open."""
    low, high = BAFFLE_HOLE_SPAN_MM
    hole = min(max(BAFFLE_HOLE_SHARE * 2 * radius, low), high)
    return Baffles((), radius - BAFFLE_GAP_MM, hole / 2, BAFFLE_PITCH * hole, hole / 2, SEAM)


def _settled(d: ReservoirDimensions, want, oil: float) -> ReservoirDimensions:
    """Height and full mark: the oil fits under the mark and the headspace over it, with all metal taken off."""
    needed = oil * 1e9 * (1 + SPARE_SHARE)
    total = needed / (1 - want.headspace)
    full, height = ((v - below_shell(d)) / d.area for v in (needed, total))
    for _ in range(SETTLING):
        _require_tall(d, height)
        d = _placed(d, want, full=full, height=height)
        full = (needed + displaced_below(d, full) - below_shell(d)) / d.area
        least = (total + sum(v for *_, v in displaced(d)) - below_shell(d)) / d.area
        height = ROUND_HEIGHT_MM * math.ceil(least / ROUND_HEIGHT_MM)
    return replace(d, full_mark=full, height=height)


def _require_tall(d: ReservoirDimensions, height: float) -> None:
    if height < SQUATTEST * 2 * d.inside_radius:
        raise ValueError(
            f"reservoir.diameter: {2 * d.inside_radius:g} mm leaves a shell {max(height, 0):.0f} mm high for the oil "
            'asked for; ask for a smaller diameter or "auto"'
        )


def _placed(d: ReservoirDimensions, want, *, full: float, height: float) -> ReservoirDimensions:
    """The tank with everything at its height for this full mark and shell height."""
    low = max(d.vanes.top, 0.0)
    step = (full - low) / (want.baffles + 1)
    heights = tuple(low + step * (k + 1) for k in range(want.baffles))
    rise = d.inlet.radius + END_EDGE_MM
    at = put_between(INLET_PLACE * height, low=full + rise, high=height - rise - INLET_TUBE_MM * math.sin(INLET_FALL))
    if at is None:
        raise ValueError(
            f"reservoir.headspace: {height - full:.0f} mm between the full mark and the top has no room for a return "
            f"{2 * d.inlet.radius:.0f} mm wide; ask for more headspace or a smaller inlet_bore"
        )
    d = replace(
        d, height=height, full_mark=full, baffles=replace(d.baffles, heights=heights), inlet=replace(d.inlet, height=at)
    )
    return fittings_for(d)
