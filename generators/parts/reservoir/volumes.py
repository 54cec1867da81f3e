"""Volumes in the tank and the strength of its flat ends: one equation a function. mm, mm3, MPa."""

import math

from generators.outlines import signed_area
from generators.parts.reservoir.plates import baffle_holes, baffle_outline, vane_outline
from generators.parts.reservoir.records import Outlet, ReservoirDimensions
from generators.sheet.branches import disc_under_cylinder


def frustum_volume(*, small: float, large: float, height: float) -> float:
    """Volume of a cone frustum, mm3: pi h (R^2 + R r + r^2) / 3."""
    return math.pi * height * (large**2 + large * small + small**2) / 3


def funnel_volume(outlet: Outlet) -> float:
    """Oil in the outlet's funnel down to the rim of its bore, mm3."""
    return frustum_volume(small=outlet.bore_radius, large=outlet.funnel_radius, height=outlet.top - outlet.mouth)


def below_shell(d: ReservoirDimensions) -> float:
    """Gross volume under z = 0, mm3."""
    cone = frustum_volume(small=d.cone_foot, large=d.inside_radius, height=d.cone_depth) if d.cone_depth else 0.0
    return cone + funnel_volume(d.outlet)


def boss_inside(d: ReservoirDimensions, boss) -> float:
    """Metal of a boss inside the shell, mm3: between the inside of the wall and its end, less its bore."""

    def beyond(r: float) -> float:
        return disc_under_cylinder(radius=d.inside_radius, disc=r) - math.pi * r**2 * boss.inside

    return beyond(boss.radius) - beyond(boss.bore)


def displaced(d: ReservoirDimensions) -> list[tuple[float, float, float]]:
    """(lowest z, highest z, mm3) of each piece that stands in the oil space."""
    t = d.thickness
    plate = abs(signed_area(baffle_outline(d.baffles))) - sum(
        abs(signed_area(h)) for h in baffle_holes(d.baffles, web=t)
    )
    out = [(z, z + t, plate * t) for z in d.baffles.heights]
    out += [
        (d.vanes.outer_foot, d.vanes.top, abs(signed_area(vane_outline(d.vanes, thickness=t, slot_up=up))) * t)
        for up in (True, False)
    ]
    out += [(b.height - b.radius, b.height + b.radius, boss_inside(d, b)) for b in d.bosses]
    shield = t * d.top.shield_length * (d.top.shield_width + 2 * d.top.shield_depth)
    end = d.top.breather
    spigot = math.pi * ((end.spigot_diameter / 2) ** 2 - (end.tube_od / 2) ** 2) * end.inside
    return [*out, (d.height - d.top.shield_depth - t, d.height, shield + spigot)]


def displaced_below(d: ReservoirDimensions, z: float) -> float:
    """Metal in the oil space below `z`, mm3; a piece that `z` cuts counts by its share in height."""
    return sum(v * min(max((z - low) / (high - low), 0.0), 1.0) for low, high, v in displaced(d))


def plate_stress(*, pressure: float, radius: float, thickness: float, poisson: float) -> float:
    """Greatest stress of a simply supported round plate under uniform pressure, MPa: 3 (3 + nu) / 8 p (R/t)^2."""
    return 3 * (3 + poisson) / 8 * pressure * (radius / thickness) ** 2


def clamped_plate_deflection(
    *, pressure: float, radius: float, thickness: float, elastic: float, poisson: float
) -> float:
    """Deflection at the middle of a clamped round plate, mm: p R^4 / (64 D), D = E t^3 / (12 (1 - nu^2))."""
    return pressure * radius**4 / (64 * elastic * thickness**3 / (12 * (1 - poisson**2)))


def plate_deflection(*, pressure: float, radius: float, thickness: float, elastic: float, poisson: float) -> float:
    """The same simply supported, mm: (5 + nu) / (1 + nu) times the clamped one."""
    return (
        (5 + poisson)
        / (1 + poisson)
        * clamped_plate_deflection(
            pressure=pressure, radius=radius, thickness=thickness, elastic=elastic, poisson=poisson
        )
    )
