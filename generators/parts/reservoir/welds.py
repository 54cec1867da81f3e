"""Where the tank is welded: each path runs along the line of contact. mm."""

import math

import numpy as np

from generators.parts.reservoir import turned
from generators.parts.reservoir.plates import NOTCHES
from generators.parts.reservoir.records import ReservoirDimensions
from generators.pieces import Seam
from generators.sheet.branches import saddle_points
from generators.sheet.rolled import frustum_section

ROUND = 120
"""Chords of a round path: on 130 mm radius they stay within 0.05 mm."""

TACK_MM = 14.0
"""Length of a tack on a baffle."""


def circle_points(*, radius: float, z: float, x: float = 0.0, count: int = ROUND) -> np.ndarray:
    """A closed round path, (count + 1, 3)."""
    a = np.linspace(0, 2 * math.pi, count + 1)
    return np.column_stack([x + radius * np.cos(a), radius * np.sin(a), np.full(count + 1, z)])


def arc_points(*, radius: float, z: float, middle: float, half: float, count: int = ROUND // 4) -> np.ndarray:
    """A round path from middle - half to middle + half (rad), (count + 1, 3)."""
    a = np.linspace(middle - half, middle + half, count + 1)
    return np.column_stack([radius * np.cos(a), radius * np.sin(a), np.full(count + 1, z)])


def welds(d: ReservoirDimensions) -> tuple[Seam, ...]:
    """Every weld of the tank."""
    return (*_vessel(d), *_fittings(d), *_inside(d), *_brackets(d))


def _vessel(d: ReservoirDimensions) -> list[Seam]:
    """Butts of the rolled pieces, shell to base and to top plate, base to outlet."""
    t, c, s = d.thickness, math.cos(d.seam), math.sin(d.seam)
    r = d.outside_radius
    out = [
        Seam("shell", "shell", np.array([[r * c, r * s, 0], [r * c, r * s, d.height]]), t),
        Seam("shell", "top_plate", circle_points(radius=d.mean_radius, z=d.height), t),
    ]
    at = d.outlet.radius + d.hole_clearance / 2
    if not d.cone_depth:
        return [
            *out,
            Seam("shell", "base_plate", circle_points(radius=d.mean_radius, z=0), t),
            Seam("base_plate", "outlet_end", circle_points(radius=at, z=-d.base_thickness), t),
        ]
    _, low, high, _ = frustum_section(d.cone()).points
    butt = np.array([[p[0] * c, p[0] * s, p[1]] for p in (low, high)])
    return [
        *out,
        Seam("base_cone", "base_cone", butt, t),
        Seam("shell", "base_cone", circle_points(radius=d.inside_radius, z=0), t),
        Seam("base_cone", "outlet_end", circle_points(radius=at, z=d.outlet.top), t),
    ]


def _fittings(d: ReservoirDimensions) -> list[Seam]:
    """What is welded into shell and top plate."""
    t, top = d.thickness, d.height + d.top_thickness
    phi = np.linspace(0, 2 * math.pi, ROUND + 1)
    radii = {"main_radius": d.outside_radius, "mean_radius": d.mean_radius}
    i = d.inlet
    socket = turned.inlet_end_frame(d).points(circle_points(radius=i.radius, z=0))
    out = [Seam("shell", b.name, saddle_points(turned.boss_branch(b), phi, **radii), t) for b in d.bosses]
    return [
        *out,
        Seam("shell", "inlet_tube", saddle_points(i.branch(i.radius), phi, **radii), t),
        Seam("inlet_tube", "inlet_end", socket, t),
        Seam(
            "top_plate",
            "filler_neck",
            circle_points(radius=d.top.neck_radius + d.hole_clearance / 2, z=top, x=d.top.neck_x),
            t,
        ),
        Seam(
            "top_plate",
            "breather_end",
            circle_points(radius=d.top.breather.base_diameter / 2, z=top, x=d.top.breather_x),
            t,
        ),
    ]


def _inside(d: ReservoirDimensions) -> list[Seam]:
    """Tacks: baffles to the wall, shield to the top plate, vanes to the base."""
    t = d.thickness
    wall = (d.inside_radius + d.baffles.radius) / 2
    step = 2 * math.pi / NOTCHES
    half = min(TACK_MM / 2 / wall, step / 4)
    out = [
        Seam(
            "shell",
            "baffle",
            arc_points(radius=wall, z=z + t / 2, middle=d.baffles.turn + step * (k + 1 / 2), half=half),
            t,
            False,
        )
        for z in d.baffles.heights
        for k in range(NOTCHES)
    ]
    x0, x1 = (d.top.breather_x + side * d.top.shield_length / 2 for side in (-1, 1))
    y = d.top.shield_width / 2 + t / 2
    out += [
        Seam("breather_shield", "top_plate", np.array([[x0, side * y, d.height], [x1, side * y, d.height]]), t, False)
        for side in (-1, 1)
    ]
    base = "base_cone" if d.cone_depth else "base_plate"
    for name, along in (("vane_slot_up", (1, 0)), ("vane_slot_down", (0, 1))):
        for side in (-1, 1):
            ends = [[side * r * along[0], side * r * along[1], d.surface(r)] for r in (d.vanes.inner, d.vanes.outer)]
            out.append(Seam(name, base, np.array(ends), t, False))
    return out


def _brackets(d: ReservoirDimensions) -> list[Seam]:
    """Both flanges of each bracket along their copes."""
    b, t = d.brackets, d.thickness
    half = math.asin(b.flange / 2 / b.cope)
    middle = (d.outside_radius + b.cope) / 2
    levels = [z for low in b.heights for z in (low - d.bend_radius - t / 2, low + b.back + d.bend_radius + t / 2)]
    return [
        Seam("shell", "bracket", arc_points(radius=middle, z=z, middle=math.pi, half=half), t, False) for z in levels
    ]
