"""Outlines of the tank's flat pieces, mm: arithmetic only."""

import math

import numpy as np

from generators.outlines import Loop, circle, fillet, polygon_loop, without_repeats
from generators.parts.reservoir.records import Baffles, Brackets, ReservoirDimensions, Vanes

NOTCHES = 4
"""Notches round a baffle, so that oil and air pass along the wall."""

EAR_CORNER_MM = 6.0
"""Radius of a bracket's corners: no sharp ones where hands work."""

LAP_PLAY_MM = 0.15
"""Slots of the crossed plates over their thickness."""


def baffle_outline(baffles: Baffles) -> Loop:
    """A disc with round notches centred on its rim, anticlockwise."""
    half = 2 * math.asin(baffles.notch / (2 * baffles.radius))
    step = 2 * math.pi / NOTCHES
    vertices = []
    for k in range(NOTCHES):
        middle = baffles.turn + k * step
        for angle, bulge in (
            (middle - half, -math.tan((math.pi - half) / 4)),
            (middle + half, math.tan((step - 2 * half) / 4)),
        ):
            vertices.append((baffles.radius * math.cos(angle), baffles.radius * math.sin(angle), bulge))
    return Loop(tuple(vertices))


def baffle_centres(baffles: Baffles, *, web: float) -> np.ndarray:
    """Centres (n, 2) of the holes on a triangular grid, each `web` clear of the rim and of the notches."""
    rows = math.ceil(baffles.radius / (baffles.pitch * math.sqrt(3) / 2))
    columns = math.ceil(2 * baffles.radius / baffles.pitch)
    grid = np.array(
        [
            (baffles.pitch * (i + (j % 2) / 2), baffles.pitch * j * math.sqrt(3) / 2)
            for j in range(-rows, rows + 1)
            for i in range(-columns, columns + 1)
        ]
    )
    turns = baffles.turn + 2 * math.pi / NOTCHES * np.arange(NOTCHES)
    notches = baffles.radius * np.column_stack([np.cos(turns), np.sin(turns)])
    inside = np.linalg.norm(grid, axis=1) <= baffles.radius - baffles.hole - web
    free = np.linalg.norm(grid[:, None] - notches[None], axis=2).min(axis=1) >= baffles.notch + baffles.hole + web
    return grid[inside & free]


def baffle_holes(baffles: Baffles, *, web: float) -> tuple[Loop, ...]:
    """The holes of a baffle."""
    return tuple(circle(x=float(x), y=float(y), radius=baffles.hole) for x, y in baffle_centres(baffles, web=web))


def vane_outline(vanes: Vanes, *, thickness: float, slot_up: bool) -> Loop:
    """One of the crossed plates in (distance along it, z), anticlockwise; slotted from the top or from the arch."""
    half = (thickness + LAP_PLAY_MM) / 2
    below = [(-vanes.outer, vanes.outer_foot), (-vanes.inner, vanes.inner_foot), (-vanes.inner, vanes.arch)]
    under = [(-half, vanes.arch), (-half, vanes.lap), (half, vanes.lap), (half, vanes.arch)]
    above = [(half, vanes.top), (half, vanes.lap), (-half, vanes.lap), (-half, vanes.top)]
    right = [(-x, z) for x, z in reversed(below)]
    ends = [(vanes.outer, vanes.top)]
    middle = [] if slot_up else under
    over = above if slot_up else []
    return without_repeats(polygon_loop([*below, *middle, *right, *ends, *over, (-vanes.outer, vanes.top)]).vertices)


def top_holes(d: ReservoirDimensions) -> tuple[Loop, ...]:
    """Holes in the top plate: filler neck and breather."""
    return (
        circle(x=d.top.neck_x, y=0, radius=d.top.neck_radius + d.hole_clearance),
        circle(x=d.top.breather_x, y=0, radius=d.top.breather.spigot_diameter / 2 + d.hole_clearance),
    )


def bracket_back(b: Brackets) -> Loop:
    """The back plate: ears set back from both bends, so that no bend tears. Anticlockwise from the lower left ear."""
    xa, xb = (b.width - b.flange) / 2, (b.width + b.flange) / 2
    low, high = b.step, b.back - b.step
    corners = [
        (0, low),
        (xa, low),
        (xa, 0),
        (xb, 0),
        (xb, low),
        (b.width, low),
        (b.width, high),
        (xb, high),
        (xb, b.back),
        (xa, b.back),
        (xa, high),
        (0, high),
    ]
    round_ = [EAR_CORNER_MM if x in (0, b.width) else 0.0 for x, _ in corners]
    return fillet(polygon_loop(corners), round_)


def bracket_holes(b: Brackets) -> tuple[Loop, ...]:
    """One bolt hole in each ear."""
    return tuple(circle(x=b.width / 2 + side * b.bolt_y, y=b.back / 2, radius=b.hole / 2) for side in (-1, 1))


def bracket_flange(b: Brackets, *, bend_radius: float) -> Loop:
    """A flange from its bend line to the shell, coped to `cope` radius."""
    half = b.flange / 2
    side = b.reach - bend_radius - math.sqrt(b.cope**2 - half**2)
    bulge = -math.tan(2 * math.asin(half / b.cope) / 4)
    return Loop(((0.0, 0.0, 0.0), (b.flange, 0.0, 0.0), (b.flange, side, bulge), (0.0, side, 0.0)))
