"""Where the tank's fittings go: outlet, vanes, bosses, brackets. Arithmetic only; mm, rad."""

import math
from dataclasses import replace

from generators import standards
from generators.parts.reservoir.records import Brackets, Outlet, RadialBoss, ReservoirDimensions, Vanes
from generators.standards import Flare

CONE_SLOPE = math.radians(45)
"""Slope of the cone."""

END_EDGE_MM = 8.0
"""Free wall or plate between a fitting and the nearest edge: room for both welds."""

DRAIN_THREAD = "G1/8"
"""Drain plug across the outlet's collar: it must fit beside the bore (common practice)."""

PORT_RADIUS_MM = 9.0
"""Half the height of collar that the drain port takes: the flat under its plug."""

UNDER_WELD_MM = 4.0
"""Free collar below the base's weld."""

FUNNEL_RIM_MM = 1.5
"""Flat rim round the funnel."""

MOST_OUTLET_SHARE = 0.7
"""An outlet wider than this share of the tank leaves no cone."""

VANE_REACH, VANE_CLEAR_MM = 0.75, 0.2
"""Reach of the vanes over the inside radius, and their height over the base where they are tacked to it."""

VANE_STEP_MM = 2.0
"""From the outlet's rim to a vane's foot, and least rise of the arch over that."""

ARCH_SHARE = 1 / 3
"""Height of the arch over the mouth as a share of the bore: a quarter lets through what the bore does."""

FLAT_VANE_SHARE = 0.4
"""Height of the vanes on a flat base over the inside radius."""

LEAST_WALL_MM, SEAM_GAP_MM = 2.5, 0.45
"""Least wall outside a boss's thread, and the widest gap that its weld is to bridge."""

PROUD_MM = 1.5
"""How far a boss stands inside the wall where it stands in least."""

OUTSIDE_MM = 12.0
"""How far a boss stands outside the wall: thread, and room for a hexagon over the weld."""

BESIDE_BAFFLE_MM = 2.0

HEATER_THREADS = ("G1/2", "G3/8", "G1/4", "G1/8")
SMALL_THREADS = ("G1/4", "G1/8")
"""Threads in order of preference (ISO 228-1)."""

SIGHT_LOW = 0.3
"""Height of the lower sight boss over the full mark's."""

BOSS_AZIMUTHS = {"heater_boss": math.radians(20), "temperature_boss": math.radians(278), "sight": math.radians(315)}

BIG_TANK_MM = 70.0
"""Inside radius from which the brackets get M8 instead of M6 (common practice)."""

BRACKET_WIDTH, BRACKET_BACK_MM = 1.2, 34.0
"""Width of a bracket's flanges over the outside radius, and height of its back between the bend lines."""

COPE_GAP_MM = 0.15
BRACKET_PLACES = (0.18, 0.72)
"""Where the brackets sit, over the height of the shell."""

EAR_ROOM_MM = 3.0


def put_between(wanted: float, *, low: float, high: float) -> float | None:
    """`wanted`, moved no farther than it must to lie between `low` and `high`; None where nothing does."""
    return min(max(wanted, low), high) if low <= high else None


def outlet_for(
    flare: Flare, *, radius: float, base: str, thickness: float, base_thickness: float, clearance: float
) -> Outlet:
    """The outlet's turned end under a cone or a flat base. Raises ValueError where it is too wide for the tank, or too narrow
    for the drain across it."""
    outside, drain = flare.boss_diameter / 2, standards.bspp(DRAIN_THREAD).minor
    if flare.bore < drain:
        raise ValueError(f"reservoir.outlet_bore: the end for it ({flare.dash}) has a bore of {flare.bore:.1f} mm, the drain across "
                         f"it ({DRAIN_THREAD}) needs {drain:.1f} mm to open into; ask for a larger outlet_bore")
    if outside > MOST_OUTLET_SHARE * radius:
        raise ValueError(
            f"reservoir.outlet_bore: the end for it ({flare.dash}) is {2 * outside:.0f} mm wide, too wide for "
            f"a tank of {2 * radius:g} mm; ask for a smaller outlet_bore or a larger reservoir.diameter"
        )
    top = -base_depth(radius, outside + clearance) if base == "cone" else 0.0
    funnel = outside - FUNNEL_RIM_MM - flare.bore / 2
    sheet = thickness if base == "cone" else base_thickness
    port = top - max(funnel, sheet + UNDER_WELD_MM) - PORT_RADIUS_MM
    return Outlet(flare, outside, outside - FUNNEL_RIM_MM, top, port, port - PORT_RADIUS_MM)


def base_depth(radius: float, foot: float) -> float:
    """Depth of the cone from the shell's inside to its foot."""
    return (radius - foot) * math.tan(CONE_SLOPE)


def base_sizes(outlet: Outlet, *, radius: float, base: str, clearance: float) -> tuple[float, float]:
    """Depth of the cone (0 for a flat base) and the inside radius at its foot."""
    foot = outlet.radius + clearance
    return (base_depth(radius, foot) if base == "cone" else 0.0), foot


def vanes_for(outlet: Outlet, *, radius: float, depth: float, foot: float, thickness: float) -> Vanes:
    """The crossed plates over the outlet."""
    inner = foot + VANE_STEP_MM
    outer = max(VANE_REACH * radius, inner + 2 * thickness)

    def floor(r: float) -> float:
        return -depth * (radius - r) / (radius - foot) + VANE_CLEAR_MM

    top = -VANE_STEP_MM if depth else FLAT_VANE_SHARE * radius
    arch = max(floor(inner) + VANE_STEP_MM, outlet.mouth + 2 * ARCH_SHARE * outlet.bore_radius)
    if depth:  # feet end where the cone is as high as the arch: further in they would be points
        inner = min(radius - (VANE_CLEAR_MM - arch) * (radius - foot) / depth, outer - 2 * thickness)
    return Vanes(inner, outer, floor(inner), floor(outer), arch, top, (arch + top) / 2)


def brackets_for(sheet, *, outside_radius: float) -> Brackets:
    """The brackets, their heights still open."""
    t, r = sheet.thickness, sheet.bend_radius
    bolt = "M8" if outside_radius >= BIG_TANK_MM else "M6"
    hole = standards.clearance_hole(bolt)
    bolt_y = outside_radius + standards.bolt(bolt).tool_radius + EAR_ROOM_MM
    width = 2 * (bolt_y + hole / 2 + 2 * t + EAR_ROOM_MM)
    reach = outside_radius + standards.least_flange(t, bend_radius=r).value
    return Brackets(
        bolt,
        hole,
        width,
        BRACKET_BACK_MM + 2 * (t + r),
        t + r,
        BRACKET_WIDTH * outside_radius,
        reach,
        outside_radius + COPE_GAP_MM,
        bolt_y,
        (),
    )


def fittings_for(d: ReservoirDimensions) -> ReservoirDimensions:
    """The tank with its bosses and brackets at their heights. Raises ValueError where one has no room."""
    around = d.bend_radius + d.thickness + END_EDGE_MM
    low, high = around, d.height - d.brackets.back - around
    centres = [put_between(share * d.height - d.brackets.back / 2, low=low, high=high) for share in BRACKET_PLACES]
    if None in centres:
        raise ValueError(
            f"reservoir.diameter: a shell {d.height:.0f} mm high has no room for a bracket; ask for a smaller diameter"
        )
    is_pair = centres[1] - centres[0] >= d.brackets.back + 2 * around
    heights = tuple(centres) if is_pair else (centres[0],)
    bosses = (
        _boss(d, "heater_boss", HEATER_THREADS, 0.0, "heater_boss"),
        _boss(d, "temperature_boss", SMALL_THREADS[1:], 0.0, "temperature_boss"),
        _boss(d, "sight_boss_low", SMALL_THREADS, SIGHT_LOW * d.full_mark, "sight"),
        _boss(d, "sight_boss_high", SMALL_THREADS, d.full_mark, "sight", above=d.full_mark),
    )
    return replace(d, brackets=replace(d.brackets, heights=heights), bosses=bosses)


def _boss(d: ReservoirDimensions, name: str, threads, wanted: float, azimuth: str, *, above: float = 0.0) -> RadialBoss:
    """The first thread whose boss suits the curve of the wall and has room; at the height nearest to `wanted`."""
    if _widest(d) < standards.bspp(threads[-1]).major / 2 + LEAST_WALL_MM:
        raise ValueError(
            f"sheet.thickness: a wall {d.thickness:g} mm thick is too thick for a boss ({threads[-1]}) in a tank "
            f"{2 * d.inside_radius:g} mm wide: its hole would gape; ask for a thinner sheet or a larger "
            "reservoir.diameter"
        )
    for thread in threads:
        pipe = standards.bspp(thread)
        radius = min(standards.boss_diameter(pipe.major) / 2, _widest(d))
        height = _free_height(d, wanted, radius, above)
        if radius >= pipe.major / 2 + LEAST_WALL_MM and height is not None:
            sagitta = d.inside_radius - math.sqrt(d.inside_radius**2 - radius**2)
            return RadialBoss(
                name,
                thread,
                radius,
                pipe.minor / 2,
                height,
                BOSS_AZIMUTHS[azimuth],
                d.inside_radius - sagitta - PROUD_MM,
                d.outside_radius + OUTSIDE_MM,
            )
    raise ValueError(
        f"reservoir.baffles: no room in the wall for the {name.replace('_', ' ')} ({threads[-1]}) of a tank "
        f"{2 * d.inside_radius:g} mm wide with {len(d.baffles.heights)} baffles; ask for fewer baffles or a smaller "
        "reservoir.diameter"
    )


def _widest(d: ReservoirDimensions) -> float:
    """Radius of the widest straight boss whose hole, right at the inside, gapes no more than can be welded outside."""
    return (SEAM_GAP_MM - d.hole_clearance) * d.inside_radius / d.thickness - d.hole_clearance


def _free_height(d: ReservoirDimensions, wanted: float, radius: float, above: float) -> float | None:
    """The height nearest to `wanted` at which a boss clears the ends of the shell and every baffle."""
    room = radius + BESIDE_BAFFLE_MM
    low, high = max(above, END_EDGE_MM) + radius, d.height - END_EDGE_MM - radius
    start = put_between(wanted, low=low, high=high)
    if start is None:
        return None
    tries = [start, *(z - room for z in d.baffles.heights), *(z + d.thickness + room for z in d.baffles.heights)]
    free = [
        z
        for z in tries
        if low <= z <= high
        and all(z + room <= b + 1e-9 or z - room >= b + d.thickness - 1e-9 for b in d.baffles.heights)
    ]
    return min(free, key=lambda z: abs(z - wanted), default=None)
