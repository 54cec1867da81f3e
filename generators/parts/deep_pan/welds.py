"""The weld seams of the deep pan: paths along the lines of contact. mm, engine frame."""

import math

import numpy as np

from generators import standards
from generators.fittings import boss_material, elbow_mitre
from generators.parts.deep_pan import turned
from generators.parts.deep_pan.body import Half, end_outline, halves, neck_sides, wall_ends
from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.parts.deep_pan.places import across, ring
from generators.parts.deep_pan.strainer import MATERIAL, RECESS_MM, THICKNESS_MM, disc_radius
from generators.parts.deep_pan.sump_sheets import end_path, notch_foot
from generators.pieces import Seam
from generators.sheet.channel import spread
from generators.sump.draw import WELD_LEG_MM

TACKS = 4
"""Tacks that hold the strainer (common practice)."""

TACK_MM = 4.0
"""Length of a tack."""


def seams(d: DeepPanDimensions) -> tuple[Seam, ...]:
    """Every weld of the pan."""
    made = [*_body(d), *_neck(d), *_ends(d), *_fittings(d)]
    return tuple(made + (_notch(d) if d.inside.notch else []))


def _line(*points) -> np.ndarray:
    return np.array(points, float)


# ---------------------------------------------------------------- body


def _body(d: DeepPanDimensions) -> list[Seam]:
    i, t, made = d.inside, d.thickness, halves(d)
    out = []
    for half in made:
        ends = wall_ends(d, half)
        for y in (i.opening.y0 - t, i.opening.y1 + t):
            out.append(Seam("flange", half.name, _line(*((x, y, i.underside) for x in ends)), t))
    out += _end(d, made[0], "end_rear", i.opening.x0, i.opening.x0 - t) + _end(d, made[-1], "end_front", i.opening.x1, i.opening.x1 + t)
    if len(made) > 1:
        path, (n0, n1) = body_path(d, i.join), neck_sides(d)
        out += [Seam(made[0].name, made[1].name, run, t) for run in (_up_to(path, n0), _up_to(path[::-1], n1))]
    return out


def _end(d: DeepPanDimensions, half: Half, name: str, x: float, outside: float) -> list[Seam]:
    """The plate on a trough's outer end at x."""
    i, t = d.inside, d.thickness
    top = _line(*((outside, y, i.underside) for y in (i.opening.y0 - t, i.opening.y1 + t)))
    return [Seam("flange", name, top, t), Seam(half.name, name, body_path(d, x), t)]


def body_path(d: DeepPanDimensions, x: float) -> np.ndarray:
    """Points (n, 3) on the outside of the body's section at x, from the right wall's top round to the left one's."""
    outline = end_outline(d, x).vertices
    return np.array([(x, y, z) for y, z in spread([*outline[-1:], *outline[:-1]])])


def _up_to(path: np.ndarray, y: float) -> np.ndarray:
    """The path from its start to where it comes to y on the floor."""
    way = np.sign(path[-1, 1] - path[0, 1])
    kept = path[way * path[:, 1] < way * y]
    return np.vstack([kept, [path[0, 0], y, kept[-1, 2]]])


# ---------------------------------------------------------------- sump


def _neck(d: DeepPanDimensions) -> list[Seam]:
    """Channel and end plates under the body's floor."""
    i, t, made = d.inside, d.thickness, halves(d)
    out = []
    for half in made:
        for k, sense in ((0, -1), (-1, 1)):
            s = i.corners[k][0] + sense * t
            out.append(Seam("sump", half.name, _line(*(across(d, s=s, z=d.neck_top(x), x=x) for x in half.cut)), t))
    ends = (i.corners[0][0] - t, i.corners[-1][0] + t)
    for half, plate, x, outside in ((made[0], "sump_end_rear", i.x0, i.x0 - t), (made[-1], "sump_end_front", i.x1, i.x1 + t)):
        out.append(Seam(plate, half.name, _line(*(across(d, s=s, z=d.neck_top(x), x=outside) for s in ends)), t))
    return out


def _ends(d: DeepPanDimensions) -> list[Seam]:
    i, out = d.inside, []
    for plate, x, at_front in (("sump_end_rear", i.x0, False), ("sump_end_front", i.x1, True)):
        path = end_path(d, at_front=at_front)
        if not (i.notch and i.notch.at_front == at_front):
            out.append(Seam("sump", plate, _points(d, path, x), d.thickness))
            continue
        cut = next(n for n, (_, z, _) in enumerate(path) if z == i.notch.z - i.thickness)
        up = i.notch.z
        down, back = [*path[:cut], (path[cut][0], up, 0.0)], [(path[cut + 1][0], up, 0.0), *path[cut + 2:]]
        out += [Seam("sump", plate, _points(d, run, x), d.thickness) for run in (down, back)]
        foot = [(s, up - i.thickness, 0.0) for s in (path[cut][0], path[cut + 1][0])]
        out.append(Seam("notch", plate, _points(d, foot, x), d.thickness))
    return out


def _points(d: DeepPanDimensions, path, x: float) -> np.ndarray:
    return np.array([across(d, s=s, z=z, x=x) for s, z in spread(path)])


def _notch(d: DeepPanDimensions) -> list[Seam]:
    """Roof and wall of the notch to what the channel keeps."""
    i, t = d.inside, d.thickness
    way = 1 if i.notch.at_front else -1
    end = i.x1 if i.notch.at_front else i.x0
    foot = notch_foot(d)
    out = [Seam("notch", "sump", _points(d, foot, i.notch.x), t)]
    r = i.radius + t
    turn = np.linspace(0, math.pi / 2, 10)
    bend = [(i.notch.x + way * r * (1 - math.cos(a)), i.notch.z - r * (1 - math.sin(a))) for a in turn]
    for s in (foot[0][0], foot[-1][0]):
        out.append(Seam("notch", "sump", np.array([across(d, s=s, z=z, x=x) for x, z in [*bend, (end, i.notch.z)]]), t))
    return out


# ---------------------------------------------------------------- bosses and pickup


def _fittings(d: DeepPanDimensions) -> list[Seam]:
    t, draw = d.thickness, d.draw
    flat = ((1, 0, 0), (0, 1, 0))
    temperature = "sump_end_front" if d.temperature.at_front else "sump_end_rear"
    bell_top = turned.bell_floor(d) + turned.SOCKET_MM
    mouth = turned.mouth_frame(d)
    return [
        Seam("drain_boss", "sump", turned.drain_frame(d).points(ring(d.boss.spigot_diameter / 2, *flat)), t),
        Seam("temperature_boss", temperature, turned.temperature_frame(d).points(ring(d.temperature.diameter / 2, *flat)), t),
        *(_port(d) if draw.port else []),
        Seam("pickup_tube", "bell", mouth.points(ring(draw.outer / 2, *flat) + (0, 0, bell_top)), WELD_LEG_MM / 2),
        *(_tacks(d) if strainer_welds(d) else []), *(_strut(d) if d.has_strut else [])]


def _port(d: DeepPanDimensions) -> list[Seam]:
    """Round the mitre of the tube, round the port's base on the sump's wall, and round the tube in its socket."""
    draw, port, flat = d.draw, turned.port_frame(d), ((1, 0, 0), (0, 1, 0))
    mitred, made = turned.elbow_frame(d).points(elbow_mitre(turned.elbow(d))), turned.elbow(d)
    return [Seam("pickup_tube", "pickup_tube", mitred, (made.outer - made.bore) / 2),
            Seam("port_boss", "sump", port.points(ring(draw.port.base_diameter / 2, *flat)), WELD_LEG_MM),
            Seam("port_boss", "pickup_tube", port.points(ring(draw.outer / 2, *flat) + (0, 0, -d.thickness - draw.port.inside)),
                 WELD_LEG_MM / 2)]


def _strut(d: DeepPanDimensions) -> list[Seam]:
    """The strip that holds a long leg, at both its ends."""
    x0, z0, x1, z1 = *turned.strut_outline(d).points.min(axis=0), *turned.strut_outline(d).points.max(axis=0)
    y, t = d.draw.y, d.thickness
    return [Seam("strut", "sump_end_rear", _line((x0, y, z0), (x0, y, z1)), t, leak_tight=False),
            Seam("strut", "pickup_tube", _line((x1, y, z0), (x1, y, z1)), t, leak_tight=False)]


def strainer_welds(d: DeepPanDimensions) -> bool:
    """Whether the strainer's metal welds to the bell's."""
    bell = boss_material(d.material, density=d.density)
    return bell.family == standards.material(MATERIAL).family


def _tacks(d: DeepPanDimensions) -> list[Seam]:
    """Short welds round the strainer's rim."""
    r, half = disc_radius(d.draw.bell), TACK_MM / d.draw.bell
    z = RECESS_MM - THICKNESS_MM
    turns = [2 * math.pi * k / TACKS + np.linspace(-half, half, 4) for k in range(TACKS)]
    return [Seam("strainer", "bell", turned.mouth_frame(d).points([(r * math.cos(a), r * math.sin(a), z) for a in turn]), THICKNESS_MM,
                 leak_tight=False) for turn in turns]
