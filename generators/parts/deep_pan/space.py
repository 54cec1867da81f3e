"""The inside of the deep pan, gross: body, neck and sump in one. mm, engine frame.

Of a pan that is made it is taken half way into the metal all round: what the pieces then cut out of it shares no face with
them. Of a pan that is there already it is the inside itself.
"""

import itertools
import math

import cadquery as cq
import numpy as np

from generators.outlines import Loop, fillet, polygon_loop, signed_area, without_repeats
from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.parts.deep_pan.places import section_frame
from generators.sheet.frames import frame
from generators.sheet.solids import prism, proved

NAME = "deep_pan"

ABOVE_MM = 1.0
"""How far the sump's prism reaches into the body over the highest of its floor."""

SAME_MM = 1e-6


def depth(d: DeepPanDimensions) -> float:
    """How far into the metal the inside is taken."""
    return d.thickness / 2


def cavity(d: DeepPanDimensions) -> cq.Solid:
    """The gross inside up to the gasket face. Raises KernelFailure where it is not one solid of the volume that it has to have."""
    made = _body(d).fuse(*_sump(d)).clean()
    if d.inside.notch:
        made = made.cut(_step(d))
    return proved(made, volume=_volume(d), part=NAME, step="inside", dimensions=d.inside)


# ---------------------------------------------------------------- body


def _body_section(d: DeepPanDimensions) -> Loop:
    """Section of the body's inside square to its floor: (y, height over the floor)."""
    o, h = d.inside.opening, depth(d)
    round_ = d.inside.radius + h
    corners = [(o.y0 - h, -h), (o.y1 + h, -h), (o.y1 + h, _reach(d)), (o.y0 - h, _reach(d))]
    return fillet(polygon_loop(corners), [round_, round_, 0.0, 0.0])


def _reach(d: DeepPanDimensions) -> float:
    """A height over the floor, and a length along it, beyond all of the body."""
    return 2 * (d.inside.opening.length + d.inside.top - d.inside.shallow_z)


def _body(d: DeepPanDimensions) -> cq.Solid:
    """The body over both floors: each is the floor of a prism along it, and the inside is what lies in both."""
    i, o, h = d.inside, d.inside.opening, depth(d)
    made = cq.Solid.makeBox(o.length + 2 * h, o.width + 4 * h, _reach(d),
                            cq.Vector(o.x0 - h, o.y0 - 2 * h, i.top - _reach(d)))
    for slope in (-i.body_slope, i.body_slope) if i.body_slope else (0.0,):
        way = np.array([math.cos(slope), 0, math.sin(slope)])
        where = frame(origin=np.array([i.join, 0, i.shallow_z]) - way * _reach(d), x=(0, 1, 0), z=way)
        made = made.intersect(prism(_body_section(d), height=2 * _reach(d), where=where))
    return proved(made, volume=_body_volume(d), part=NAME, step="inside of the body", dimensions=i)


def _body_volume(d: DeepPanDimensions) -> float:
    """Width x mean height x length, less what the rounded corners leave out along the floor."""
    i, o, h = d.inside, d.inside.opening, depth(d)
    ends = (o.x0 - h, i.join, o.x1 + h)
    area = sum((b - a) * (i.top - (i.body_floor(a) + i.body_floor(b)) / 2 + h / math.cos(i.body_slope))
               for a, b in itertools.pairwise(ends))
    return (o.width + 2 * h) * area - 2 * _corner(i.radius + h) * (o.length + 2 * h) / math.cos(i.body_slope)


def _corner(radius: float) -> float:
    """Area between a sharp right-angled corner and its rounding."""
    return (1 - math.pi / 4) * radius**2


# ---------------------------------------------------------------- sump


def _sump_section(d: DeepPanDimensions) -> Loop:
    """The sump's inside (s, z) up to where its sides end."""
    return without_repeats(d.inside.section(inset=-depth(d)).vertices)


def _neck_range(d: DeepPanDimensions) -> tuple[float, float]:
    """s of the neck's sides: the sump's, no wider than the body."""
    i, h = d.inside, depth(d)
    body = sorted(i.side * y for y in (i.opening.y0 - h, i.opening.y1 + h))
    return max(i.corners[0][0] - h, body[0]), min(i.corners[-1][0] + h, body[1])


def _neck_top(d: DeepPanDimensions) -> float:
    i = d.inside
    return max(i.body_floor(i.x0), i.body_floor(i.x1)) + i.radius + depth(d) + ABOVE_MM


def _sump(d: DeepPanDimensions) -> list[cq.Solid]:
    """The sump and, where it is wider than the body, the neck apart from it."""
    i, h = d.inside, depth(d)
    low, high = _neck_range(d)
    section, top, under = _sump_section(d), _neck_top(d), i.corners[0][1]
    if max(low - i.corners[0][0] + h, i.corners[-1][0] + h - high) <= SAME_MM:
        return [_along(d, Loop(tuple((s, top if abs(z - under) < SAME_MM else z, b) for s, z, b in section.vertices)), "sump")]
    neck = polygon_loop([(low, under), (high, under), (high, top), (low, top)])
    return [_along(d, section, "sump"), _along(d, neck, "neck")]


def _along(d: DeepPanDimensions, outline: Loop, what: str) -> cq.Solid:
    i, h = d.inside, depth(d)
    length = i.length + 2 * h
    return proved(prism(outline, height=length, where=section_frame(d, i.x0 - h, i.x1 + h)), volume=abs(signed_area(outline)) * length,
                  part=NAME, step=f"inside of the {what}", dimensions=i)


def _volume(d: DeepPanDimensions) -> float | None:
    """Volume of the whole, mm3: the body, the sump, and the neck up to the body's floor; less the notch. None where the
    neck cuts into the body's rounded corners."""
    i, h = d.inside, depth(d)
    low, high = _neck_range(d)
    flat = sorted(i.side * y for y in (i.opening.y0 + i.radius, i.opening.y1 - i.radius))
    if i.radius and not flat[0] <= low <= high <= flat[1]:
        return None
    ends, under = (i.x0 - h, i.join, i.x1 + h), i.corners[0][1]
    neck = sum((b - a) * ((i.body_floor(a) + i.body_floor(b)) / 2 - h / math.cos(i.body_slope) - under)
               for a, b in itertools.pairwise(ends))
    sump = abs(signed_area(_sump_section(d))) * (i.length + 2 * h)
    return _body_volume(d) + sump + (high - low) * neck - (step_volume(d) if i.notch else 0.0)


# ---------------------------------------------------------------- notch


def below(d: DeepPanDimensions, z: float) -> Loop:
    """The sump's section (s, z) below the height z, which lies in the walls beside its floor."""
    i = d.inside
    path = i.channel.path(depth(d))
    first, last = 2 * i.floor_index - 1, 2 * i.floor_index + 2
    return Loop(((path[first][0], z, 0.0), *path[first:last], (*path[last][:2], 0.0), (path[last][0], z, 0.0)))


def step_volume(d: DeepPanDimensions) -> float:
    """Volume, mm3, that the notch takes off the inside: the section below its roof over its length, less what its rounded
    corner leaves."""
    i, h = d.inside, depth(d)
    outline = below(d, i.notch.z - h)
    length = abs((i.x1 if i.notch.at_front else i.x0) - i.notch.x)
    width = float(np.ptp(outline.points[:, 0]))
    return abs(signed_area(outline)) * length - _corner(i.radius + h) * width


def _step(d: DeepPanDimensions) -> cq.Solid:
    """What the notch cuts off, across the whole sump."""
    i, h = d.inside, depth(d)
    way = 1 if i.notch.at_front else -1
    x, z = i.notch.x + way * h, i.notch.z - h
    far = (i.x1 if way > 0 else i.x0) + way * (h + ABOVE_MM)
    low = i.lowest - h - ABOVE_MM
    corners = sorted([(x, low), (x, z), (far, z), (far, low)], key=lambda p: math.atan2(p[1] - (z + low) / 2, p[0] - (x + far) / 2))
    round_ = [i.radius + h if p == (x, z) else 0.0 for p in corners]
    reach = max(abs(s) for s, _ in i.corners) + h + ABOVE_MM
    upright = frame(origin=(0, reach, 0), x=(1, 0, 0), z=(0, -1, 0))
    return prism(fillet(polygon_loop(corners), round_), height=2 * reach, where=upright)
