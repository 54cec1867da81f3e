"""Pure arithmetic: parameters -> the sizes of the tank, each with its reason."""

import math
from dataclasses import replace

from generators import standards
from generators.findings import Sized
from generators.fittings import boss_material, weld_end
from generators.parts.reservoir.ends import end_thickness, why_it_bears
from generators.parts.reservoir.layout import (
    END_EDGE_MM,
    base_sizes,
    brackets_for,
    fittings_for,
    outlet_for,
    put_between,
    vanes_for,
)
from generators.parts.reservoir.plates import baffle_centres
from generators.parts.reservoir.records import Baffles, Inlet, ReservoirDimensions, Top
from generators.parts.reservoir.volumes import below_shell, displaced, displaced_below
from generators.sheet.branches import saddle
from generators.standards import Flare, Unknown

NAME = "reservoir"

SLENDERNESS = 2.5
"""Height over diameter of a tank whose diameter is left open: 2 to 3 (common practice)."""

ROUND_DIAMETER_MM, ROUND_HEIGHT_MM = 5.0, 0.5
"""Steps in which a diameter and a height are chosen."""

SQUATTEST = 0.6
"""A straight shell lower than this many diameters uncovers its outlet in any corner and has no room for fittings."""

SPARE_SHARE = 0.005
"""More room below the full mark than the oil needs: welds inside and the tolerance of rolling (common practice)."""

SEAM = math.radians(240)
"""Where the shell is butted: away from the bracket (180 degrees), the return and every boss."""

SETTLING = 12
"""Rounds in which height and full mark settle against the metal in the oil, until they change by under a micrometre."""

WALL_GRAZE_MM = 0.75
"""The return's bore stops this far short of the wall: at none at all its saddle would run out to a feather edge."""

INLET_SHARE = 1 / 3
"""Greatest radius of a tangential return as a share of the shell's: a wider one does not lie along the wall."""

INLET_FALL = math.radians(5)
"""Fall of the return into the tank: 0 to 10 degrees (common practice)."""

INLET_PLACE = 0.8
"""Height of the return over the shell's: 0.75 to 0.85, above the oil (common practice)."""

INLET_TUBE_MM = 25.0
"""Straight tube beyond the saddle's longest point: room to weld and to turn a nut."""

SOCKET_WALL_MM = 2.5
"""Least wall of the turned end round the return tube."""

NECK_RADIUS_MM, NECK_LEAST_MM = 27.0, 12.0
"""Outside radius of a filler neck (50 mm bore: a funnel and a full pour), and the least that can be poured into."""

NECK_HEIGHT_MM = 30.0
NECK_GAP_MM = 8.0
"""Height of the neck above the plate, and free plate between neck and breather, for both welds."""

SHIELD_ROOM_MM, SHIELD_DEPTH_MM = 4.0, 16.0
"""The shield is wider than the breather's spigot by the first and hangs at least the second below the plate: the way in
round the spigot is then wider than its bore."""

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
    top, base = (end_thickness(sheet, radius=radius + sheet.thickness) for _ in range(2))
    outlet = outlet_for(
        _flare(want.outlet_bore, "reservoir.outlet_bore"),
        radius=radius,
        base=want.base,
        thickness=sheet.thickness,
        base_thickness=base,
        clearance=HOLE_CLEARANCE_MM,
    )
    depth, foot = base_sizes(outlet, radius=radius, base=want.base, clearance=HOLE_CLEARANCE_MM)
    inlet = _inlet(want.inlet_bore, radius, sheet.thickness)
    lid = _top(inlet, radius, sheet, top)
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
        top,
        base,
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
    return replace(d, sized=(Sized(f"{NAME}.oil_volume", f"{1000 * oil:.2f} L", why), *_reasons(d, want, sheet)))


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
    width = breather.spigot_diameter + SHIELD_ROOM_MM
    depth = max(
        SHIELD_DEPTH_MM,
        breather.inside + breather.bore / 2,
        standards.least_flange(t, bend_radius=sheet.bend_radius).value,
    )
    corner = (radius - END_EDGE_MM / 2) ** 2 - (width / 2 + t) ** 2
    length = 2 * (math.sqrt(max(corner, 0.0)) - x)
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


def _reasons(d: ReservoirDimensions, want, sheet) -> tuple[Sized, ...]:
    """What was chosen and why."""
    across = 2 * d.inside_radius
    tall = (d.height + d.cone_depth) / across
    bears = why_it_bears(sheet, radius=d.outside_radius, thickness=d.top_thickness)
    rows = [
        (
            "height",
            f"{d.height:.1f} mm",
            (
                f"straight shell: {1000 * d.oil:.2f} L of oil and {SPARE_SHARE:.1%} spare below the full mark, "
                f"{want.headspace:.0%} of the whole above it, metal inside taken off; height over diameter {tall:.2f} "
                "(2 to 3 is usual)"
            ),
        ),
        (
            "full_mark",
            f"{d.full_mark:.1f} mm",
            "above the bottom of the straight shell: the oil asked for, with what stands in it",
        ),
        ("top_thickness", f"{d.top_thickness:.1f} mm", bears),
        (
            "outlet.size",
            d.outlet.flare.dash,
            f"smallest flare end with a bore of {want.outlet_bore:g} mm or more: {d.outlet.flare.bore:.1f} mm",
        ),
        (
            "inlet.size",
            d.inlet.flare.dash,
            f"smallest flare end with a bore of {want.inlet_bore:g} mm or more: {d.inlet.flare.bore:.1f} mm",
        ),
        (
            "inlet.offset",
            f"{d.inlet.offset:.2f} mm",
            (
                f"bore ends {WALL_GRAZE_MM:g} mm short of the wall, so that oil runs along it; it turns "
                "anticlockwise seen from above"
            ),
        ),
        (
            "inlet.height",
            f"{d.inlet.height:.1f} mm",
            (
                f"at {INLET_PLACE:g} of the shell where that clears the full mark and the top plate; falls "
                f"{math.degrees(INLET_FALL):.0f} deg into the tank"
            ),
        ),
        (
            "breather.size",
            d.top.breather.dash,
            ("no narrower than the return, so that what comes back can also leave; from the highest point, shielded"),
        ),
        (
            "filler.bore",
            f"{2 * d.top.neck_bore:.1f} mm",
            (f"{2 * (NECK_RADIUS_MM - d.thickness):.0f} mm where the plate has room for it beside the breather"),
        ),
        (
            "brackets",
            str(len(d.brackets.heights)),
            f"folded, one {d.brackets.bolt} bolt in each ear, clear of the tank for a socket",
        ),
        *(
            (
                b.name,
                b.thread,
                (
                    f"at {b.height:.1f} mm: the largest thread up to the usual one that fits the curve of the wall and "
                    "stands clear of the baffles"
                ),
            )
            for b in d.bosses
        ),
    ]
    if want.diameter is None:
        rows.append(
            ("diameter", f"{across:.0f} mm", f"height over diameter near {SLENDERNESS:g} (2 to 3: common practice)")
        )
    if d.cone_depth:
        rows.append(
            (
                "cone_depth",
                f"{d.cone_depth:.1f} mm",
                "slope 45 deg: at 1 g sideways the oil still runs along it to the outlet",
            )
        )
    else:
        rows.append(("base_thickness", f"{d.base_thickness:.1f} mm", bears))
    if want.baffles:
        open_ = len(baffle_centres(d.baffles, web=d.thickness)) * d.baffles.hole**2 / d.inside_radius**2
        rows.append(
            (
                "baffles.open_area",
                f"{open_:.0%}",
                (
                    f"holes of {2 * d.baffles.hole:.1f} mm at {d.baffles.pitch:.1f} mm, of the section; "
                    "four notches at the wall let oil and air past"
                ),
            )
        )
    return tuple(Sized(f"{NAME}.{key}", value, because) for key, value, because in rows)
