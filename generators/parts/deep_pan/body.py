"""The body's sheet metal: flange, two troughs whose floors fall to the join, a plate on each end. mm, engine frame.

Where the floor is level one trough is the whole body.

One half of the body, from the side (e along its floor, n square to it):

     ____________________   underside of the flange
    |                    |  wall: its ends plumb, its foot aslant
    |         ______....-|
    |..---''''   bend    |
     ---------------------  floor: cut square, so that it ends `thickness` x sin(slope) aslant
    outer end          join
"""

import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, circle, fillet, polygon_loop, rectangle
from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import Bend, FoldedSheet, Region
from generators.sheet.frames import Frame, frame

OPENING_CORNER_MM = 4.0
"""Corner radius of the flange's opening: a laser or a cutter turns there without stopping."""


@dataclass(frozen=True)
class Half:
    """One trough: its floor's inside from x0 to x1, its slope (rad, up along x), the stretch of it that is cut out over the
    sump. The cut lies open at the join."""

    name: str
    x0: float
    x1: float
    slope: float
    cut: tuple[float, float]

    @property
    def length(self) -> float:
        """Of the floor, along it."""
        return (self.x1 - self.x0) / math.cos(self.slope)

    @property
    def way(self) -> np.ndarray:
        """Along the floor (3,)."""
        return np.array([math.cos(self.slope), 0.0, math.sin(self.slope)])

    @property
    def up(self) -> np.ndarray:
        """Square to the floor (3,)."""
        return np.array([-math.sin(self.slope), 0.0, math.cos(self.slope)])


def halves(d: DeepPanDimensions) -> tuple[Half, ...]:
    """The rear and the front trough: no corner of a floor, a bend or a wall comes nearer to join or end plate than `off`.
    One alone where the floor is level."""
    i, a = d.inside, d.inside.body_slope
    if not a:
        return (Half("trough", i.opening.x0, i.opening.x1, 0.0, (i.x0, i.x1)),)
    short = i.radius * math.sin(a) + d.off / 2
    end = i.thickness * math.sin(a) + d.off
    return (Half("trough_rear", i.opening.x0 + end, i.join - short, -a, (i.x0, i.join - short)),
            Half("trough_front", i.join + short, i.opening.x1 - end, a, (i.join + short, i.x1)))


def floor_frame(d: DeepPanDimensions, half: Half) -> Frame:
    """Frame of a trough's floor: on its underside at the floor's rear edge, x along it, y as the engine's."""
    at = np.array([half.x0, 0.0, d.inside.body_floor(half.x0)])
    return frame(origin=at - d.thickness * half.up, x=half.way, z=half.up)


def neck_sides(d: DeepPanDimensions) -> tuple[float, float]:
    """y of the inside of the neck, right then left."""
    i = d.inside
    low, high = sorted(i.side * i.corners[k][0] for k in (0, -1))
    return low, high


def trough_sheet(d: DeepPanDimensions, half: Half) -> FoldedSheet:
    """The trough: a floor cut out over the sump, and two walls bent up."""
    i = d.inside
    low, high = i.opening.y0 + i.radius, i.opening.y1 - i.radius
    n0, n1 = neck_sides(d)
    start, stop = ((x - half.x0) / math.cos(half.slope) for x in half.cut)
    end, left, holes = half.length, 2, ()
    floor = [(0, low), (end, low), (end, high), (0, high)]
    if half.slope < 0:
        floor[2:2], left = [(end, n0), (start, n0), (start, n1), (end, n1)], 6
    elif half.slope > 0:
        floor += [(0, n1), (stop, n1), (stop, n0), (0, n0)]
    else:
        holes = (rectangle(x0=start, y0=n0, x1=stop, y1=n1),)
    wall = {name: _wall(d, half, from_front=from_front) for name, from_front in (("right wall", True), ("left wall", False))}
    return FoldedSheet(d.thickness, i.k_factor, (Region("floor", polygon_loop(floor), holes), *(Region(n, w) for n, w in wall.items())),
                       (Bend("floor", "right wall", 0, math.pi / 2, i.radius), Bend("floor", "left wall", left, math.pi / 2, i.radius)))


def _wall(d: DeepPanDimensions, half: Half, *, from_front: bool) -> Loop:
    """Outline of a wall in its own frame: x along the bend from its front end or its rear end, y up square to the floor."""
    foot = floor_frame(d, half).matrix[:3, 3] + (d.inside.radius + d.thickness) * half.up
    ends = [foot, foot + half.length * half.way]
    start, end = ends[::-1] if from_front else ends
    way = (end - start) / half.length
    tops = [np.array([p[0], 0.0, d.inside.underside - d.off]) for p in (end, start)]
    return polygon_loop([(0, 0), (half.length, 0), *(((p - start) @ way, (p - start) @ half.up) for p in tops)])


def wall_ends(d: DeepPanDimensions, half: Half) -> tuple[float, float]:
    """x of the plumb ends of a trough's walls."""
    lean = d.inside.radius * half.up[0]
    return half.x0 + lean, half.x1 + lean


# ---------------------------------------------------------------- plates


def flange_flat(d: DeepPanDimensions) -> FlatPattern:
    """The flange with its opening and bolt holes."""
    o = d.inside.opening
    holes = (rectangle(x0=o.x0, y0=o.y0, x1=o.x1, y1=o.y1, corner=OPENING_CORNER_MM),
             *(circle(x=x, y=y, radius=d.bolt_hole / 2) for x, y in d.bolts))
    return FlatPattern(d.flange_outline, holes)


def end_outline(d: DeepPanDimensions, x: float) -> Loop:
    """A plate (y, z) that covers the end of a trough at x: the outside of its section, up to the flange."""
    i, o = d.inside, d.inside.opening
    low = i.body_floor(x) - i.thickness / math.cos(i.body_slope)
    y0, y1, round_ = o.y0 - i.thickness, o.y1 + i.thickness, i.radius + i.thickness
    return fillet(polygon_loop([(y0, low), (y1, low), (y1, i.underside), (y0, i.underside)]), [round_, round_, 0.0, 0.0])
