"""The pan rail and the crank -> the opening that both leave for a pan. Arithmetic only."""

import math
from dataclasses import dataclass

import numpy as np

from generators.crank import SweptRegion, half_breadth_between
from generators.outlines import flattened
from generators.parameters import DeepPan
from generators.standards import bolt

STEP_MM = 0.5
"""Spacing of the stations along the rail at which its free breadth is looked at; corners are looked at as well."""

ROUND_MM = 0.1
"""Openings are rounded inwards to this, so that drawings carry short numbers."""

BESIDE_MM = 1e-6
"""Either side of a corner is looked at this far from it."""

DIGITS = 4
"""Decimals of ROUND_MM that count: what lies less than that off a round number, as BESIDE_MM does, is that number."""

DISC_QUADRANT = 16
"""Sides a quadrant of the polygon drawn round a bolt's tool."""


@dataclass(frozen=True)
class Opening:
    """A rectangle inside the gasket face, mm in the engine frame; `because` tells what bounds it."""

    x0: float
    x1: float
    y0: float
    y1: float
    because: str

    @property
    def length(self) -> float:
        """Along the crank, mm."""
        return self.x1 - self.x0

    @property
    def width(self) -> float:
        """Across the crank, mm."""
        return self.y1 - self.y0


def free_face(rail, *, wall: float, tool_radius: float):
    """The shapely polygon that the inside of a pan may fill: within the gasket face, the outside of its walls (mm thick,
    corners too) clear of each bolt's tool (radius mm). `rail` has outline, face_width and bolts."""
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    inside = Polygon(flattened(rail.outline)).buffer(-rail.face_width, join_style="mitre")
    return inside.difference(unary_union([_tool_room(x, y, wall, tool_radius) for x, y in rail.bolts]))


def _tool_room(x: float, y: float, wall: float, tool_radius: float):
    """Where the inside of a wall may not be: the tool's disc, grown by the wall squarely to both sides."""
    from shapely.geometry import box

    radius = tool_radius / math.cos(math.pi / (4 * DISC_QUADRANT))
    return box(x - wall, y - wall, x + wall, y + wall).buffer(radius, quad_segs=DISC_QUADRANT)


def opening(rail, region: SweptRegion, *, slab: tuple[float, float], wall: float, tool_radius: float,
            clearance: float) -> Opening:
    """The largest rectangle square to the crank inside the free face that lets the swing through between the heights
    `slab` (mm) with `clearance` (mm) at its sides; the largest of all where none does (the checks then say so).

    Raises ValueError where the face leaves no room at all."""
    free = free_face(rail, wall=wall, tool_radius=tool_radius)
    best = None
    if not free.is_empty:
        stations, low, high = _free_breadth(free)
        best = _largest(stations, low, high, _needed(region, slab, clearance)) or _largest(stations, low, high, None)
    if best is None:
        raise ValueError("pan_rail.face_width: face and bolt tools leave no opening over the crank axis; "
                         "a narrower face, smaller bolts or fewer of them would")
    x0, x1, y0, y1 = best
    if min(x1 - x0, y1 - y0) <= 2 * ROUND_MM:
        raise ValueError("pan_rail.face_width: the opening inside the gasket face has no size; a narrower face would")
    return Opening(_up(x0), -_up(-x1), _up(y0), -_up(-y1),
                   f"largest rectangle inside the {rail.face_width:g} mm face whose {wall:g} mm wall stays "
                   f"{tool_radius:g} mm from every bolt's axis (room for a socket)")


def pan_top(parameters) -> float:
    """Height of the pan's gasket face, mm: the rail plane, less the scraper where one is clamped between them."""
    scraper = parameters.windage_scraper
    return -parameters.pan_rail.below_crank - (scraper.thickness if scraper.make else 0.0)


def rail_pan(parameters):
    """The record of the pan that is bolted to the rail: the deep one of a wet system, the shallow one of a dry."""
    if parameters.engine.lubrication == "wet":
        return parameters.deep_pan or DeepPan()
    return parameters.scavenge_pan


def pan_opening(parameters, region: SweptRegion) -> Opening:
    """The opening that scraper and pan share: room for the swing at both, and for a socket on every bolt."""
    rail, pan, scraper = parameters.pan_rail, rail_pan(parameters), parameters.windage_scraper
    return opening(rail, region, slab=(pan_top(parameters) - pan.flange_thickness, -rail.below_crank),
                   wall=parameters.sheet.thickness, tool_radius=bolt(rail.bolt_size).tool_radius,
                   clearance=max(pan.side_clearance, scraper.edge_clearance if scraper.make else 0.0))


def _up(value: float) -> float:
    return float(np.ceil(round(value / ROUND_MM, DIGITS)) * ROUND_MM)


def _needed(region: SweptRegion, slab, clearance: float) -> tuple[float, float, float, float] | None:
    """x0, x1, y0, y1 (mm) that the swing fills between the heights of the slab, with the clearance, rounded outwards as
    openings are inwards; None where nothing."""
    left, right = half_breadth_between(region, *slab)
    if left is None:
        return None
    alone = [SweptRegion((b,), region.rising_side) for b in region.bands]
    reaching = [r.bands[0] for r in alone if half_breadth_between(r, *slab)[0] is not None]
    x0, x1 = min(b.x0 for b in reaching), max(b.x1 for b in reaching)
    return -_up(clearance - x0), _up(x1 + clearance), -_up(right + clearance), _up(left + clearance)


def _free_breadth(free) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Stations x (n,), and at each the lowest and highest free y (n,) round y = 0 (0, 0 where the axis is not free)."""
    start, end = _edges(free)
    corners = np.unique(start[:, 0])
    grid = np.arange(corners[0], corners[-1], STEP_MM)
    x = np.unique(np.concatenate([grid, corners - BESIDE_MM, corners + BESIDE_MM]))
    x0, x1 = start[:, 0], end[:, 0]
    crosses = (x[:, None] - x0 > 0) != (x[:, None] - x1 > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = start[:, 1] + (x[:, None] - x0) / (x1 - x0) * (end[:, 1] - start[:, 1])
    above = np.where(crosses & (y > 0), y, np.inf)
    below = np.where(crosses & (y <= 0), y, -np.inf)
    inside = np.count_nonzero(np.isfinite(above), axis=1) % 2 == 1
    return x, np.where(inside, below.max(axis=1), 0.0), np.where(inside, above.min(axis=1), 0.0)


def _edges(free) -> tuple[np.ndarray, np.ndarray]:
    polygons = getattr(free, "geoms", [free])
    rings = [np.asarray(r.coords) for p in polygons for r in (p.exterior, *p.interiors)]
    return np.concatenate([r[:-1] for r in rings]), np.concatenate([r[1:] for r in rings])


def _largest(x, low, high, needed):
    """x0, x1, y0, y1 of the rectangle of the largest area between `low` and `high` that covers `needed`, or None."""
    best, found = 0.0, None
    for i in range(len(x) - 1):
        if needed and x[i] > needed[0]:
            break
        y0, y1 = np.maximum.accumulate(low[i:]), np.minimum.accumulate(high[i:])
        area = (x[i:] - x[i]) * (y1 - y0)
        if needed:
            area = np.where((x[i:] >= needed[1]) & (y0 <= needed[2]) & (y1 >= needed[3]), area, 0.0)
        j = int(np.argmax(area))
        if area[j] > best:
            best, found = float(area[j]), (float(x[i]), float(x[i + j]), float(y0[j]), float(y1[j]))
    return found
