"""The sump's sheet metal: the channel, the plates on its ends, what closes a notch. mm; sections are (s, z).

    neck_top follows the underside of the body's floor, a shallow V

     face 1   __..--+--..__      a wall beside the floor is cut away for a notch;
             |             |     floor and bends end at it
             |       ______|
             |      (  notch     the notch's roof covers the cut edges of the walls,
             |______|            the wall that is set back those of the floor
"""

import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, fillet, polygon_loop
from generators.parts.deep_pan.dimension import APART_MM, DeepPanDimensions
from generators.parts.deep_pan.places import along
from generators.sheet.channel import closed
from generators.sheet.folded import Bend, FoldedSheet, Region
from generators.sheet.frames import Frame, frame

RIGHT_ANGLE = math.pi / 2


@dataclass(frozen=True)
class Kept:
    """What a notch leaves of floor and bends along the channel: from `start` to `end`; `cut_start`, `cut_end` tell which
    end it lies at."""

    start: float
    end: float
    cut_start: bool = False
    cut_end: bool = False


def kept(d: DeepPanDimensions) -> Kept:
    """The floor's stretch of the channel."""
    i = d.inside
    if not i.notch:
        return Kept(0.0, i.length)
    at = along(d, i.notch.x - (1 if i.notch.at_front else -1) * APART_MM)
    return Kept(0.0, at, cut_end=True) if i.notch.at_front == (i.side > 0) else Kept(at, i.length, cut_start=True)


def sump_sheet(d: DeepPanDimensions, holes: dict[int, tuple[Loop, ...]]) -> FoldedSheet:
    """The channel with its `holes` by face, each in the frame of its whole face: x along the channel from its near end."""
    channel, faces = d.inside.channel, d.inside.channel.faces()
    regions, bends = [], []
    for k in range(len(faces)):
        outer, _, shift = face_outline(d, k)
        regions.append(Region(f"face {k + 1}", outer, tuple(_shifted(h, shift) for h in holes.get(k, ()))))
        if k:
            side = face_outline(d, k - 1)[1]
            bends.append(Bend(f"face {k}", f"face {k + 1}", side, channel.angles[k - 1], channel.radius))
    return FoldedSheet(d.thickness, d.inside.k_factor, tuple(regions), tuple(bends))


def _shifted(loop: Loop, by: float) -> Loop:
    return Loop(tuple((x - by, y, b) for x, y, b in loop.vertices))


def face_outline(d: DeepPanDimensions, k: int) -> tuple[Loop, int, float]:
    """Outline of face k in its own frame, which of its sides carries the next face, and how far along the channel its
    frame begins."""
    i, floor, (start, end) = d.inside, d.inside.floor_index, d.inside.channel.faces()[k]
    length, far = i.length, float(np.linalg.norm(end - start))
    keep = kept(d)
    if k == floor:
        return _rectangle(keep.end - keep.start, far), 2, keep.start
    if k == floor - 1:
        return _before_floor(d, start, far, keep)
    if k == floor + 1:
        return _after_floor(d, k, start, far, keep)
    if k == 0:
        top = _top(d, lambda z: start[1] - z)
        return polygon_loop([*top, (length, far), (0, far)]), len(top), 0.0
    if k == len(i.corners) - 2:
        return polygon_loop([(0, 0), (length, 0), *_top(d, lambda z: z - start[1])[::-1]]), 2, 0.0
    return _rectangle(length, far), 2, 0.0


def _rectangle(x: float, y: float) -> Loop:
    return polygon_loop([(0, 0), (x, 0), (x, y), (0, y)])


def _top(d: DeepPanDimensions, of_height) -> list[tuple[float, float]]:
    """The edge under the body's floor from the near to the far end, `of_height` taking z to the face's own y."""
    i = d.inside
    xs = [i.x0, i.join, i.x1] if i.body_slope else [i.x0, i.x1]
    return sorted((along(d, x), of_height(d.neck_top(x))) for x in xs)


def _step(d: DeepPanDimensions, points: list, at: tuple[float, float]) -> Loop:
    """The polygon with the corner `at` rounded to lie round the notch's bend."""
    if not d.inside.notch:
        return polygon_loop(points)
    round_ = d.inside.radius + d.thickness + APART_MM
    return fillet(polygon_loop(points), [round_ if math.dist(p, at) == 0 else 0.0 for p in points])


def _before_floor(d: DeepPanDimensions, start, far: float, keep: Kept) -> tuple[Loop, int, float]:
    """The wall that goes down to the floor: y downwards."""
    length = d.inside.length
    top = _top(d, lambda z: start[1] - z) if d.inside.floor_index == 1 else [(0.0, 0.0), (length, 0.0)]
    if not d.inside.notch:
        return polygon_loop([*top, (length, far), (0, far)]), len(top), 0.0
    y = start[1] - d.inside.notch.z - APART_MM
    right = [(length, y), (keep.end, y), (keep.end, far)] if keep.cut_end else [(length, far)]
    left = [(keep.start, far), (keep.start, y), (0.0, y)] if keep.cut_start else [(0.0, far)]
    corner = (keep.end, y) if keep.cut_end else (keep.start, y)
    loop = _step(d, [*top, *right, *left], corner)
    return loop, _side_at(loop, far), 0.0


def _after_floor(d: DeepPanDimensions, k: int, start, far: float, keep: Kept) -> tuple[Loop, int, float]:
    """The wall that goes up from the floor: y upwards, x from where the floor begins."""
    length, shift = d.inside.length, keep.start
    is_last = k == len(d.inside.corners) - 2
    top = _top(d, lambda z: z - start[1]) if is_last else [(0.0, far), (length, far)]
    top = [(x - shift, y) for x, y in top[::-1]]
    if not d.inside.notch:
        return polygon_loop([(0, 0), (length, 0), *top]), 2, 0.0
    y, end = d.inside.notch.z + APART_MM - start[1], keep.end - keep.start
    right = [(end, y), (length - shift, y)] if keep.cut_end else []
    left = [(-shift, y), (0.0, y)] if keep.cut_start else []
    loop = _step(d, [(0.0, 0.0), (end, 0.0), *right, *top, *left], (end, y) if keep.cut_end else (0.0, y))
    return loop, 0 if is_last else _side_at(loop, far), shift


def _side_at(loop: Loop, y: float) -> int:
    """Which side of a loop lies along the height y of its frame."""
    return next(n for n, (a, b, bulge) in enumerate(loop.segments()) if not bulge and a[1] == b[1] == y)


def sump_root(d: DeepPanDimensions) -> Frame:
    """Frame of the channel's first face."""
    i = d.inside
    return i.channel.root(origin=(i.x0 if i.side > 0 else i.x1, 0, 0), u=(0, i.side, 0), v=(0, 0, 1))


# ---------------------------------------------------------------- plates on the ends


def end_path(d: DeepPanDimensions, *, at_front: bool) -> list[tuple[float, float, float]]:
    """The outside of the section (s, z, bulge) that an end plate follows, from the neck's top on the rising side round to
    that on the falling side; a notch cuts it off straight under its roof."""
    i = d.inside
    path, top = i.channel.path(i.thickness), d.neck_top(i.x1 if at_front else i.x0)
    if i.notch and i.notch.at_front == at_front:
        z = i.notch.z - i.thickness
        before, after = 2 * (i.floor_index - 1), 2 * (i.floor_index + 1) + 1
        path = [*path[:before + 1], (path[before][0], z, 0.0), (path[after][0], z, 0.0), *path[after:]]
    return [(path[0][0], top, 0.0), *path[1:-1], (path[-1][0], top, 0.0)]


def end_plate(d: DeepPanDimensions, *, at_front: bool) -> Loop:
    """Outline (s, z) of an end plate of the sump."""
    return closed(end_path(d, at_front=at_front))


# ---------------------------------------------------------------- the notch


def notch_foot(d: DeepPanDimensions) -> list[tuple[float, float, float]]:
    """The outside of the section (s, z, bulge) that the wall set back follows: from its bend on the rising side round
    under the floor to that on the falling side."""
    i, path = d.inside, d.inside.channel.path(d.inside.thickness)
    tangent = i.notch.z - i.thickness - i.radius
    first, last = 2 * i.floor_index - 1, 2 * i.floor_index + 2
    return [(path[first][0], tangent, 0.0), *path[first:last], (*path[last][:2], 0.0), (path[last][0], tangent, 0.0)]


def notch_sheet(d: DeepPanDimensions) -> FoldedSheet:
    """The roof over the obstacle and the wall that is set back, one bend between them."""
    i = d.inside
    way = 1 if i.notch.at_front else -1
    turn = -way * i.side
    foot = notch_foot(d)
    low, high = sorted((turn * foot[0][0], turn * foot[-1][0]))
    end = i.x1 if i.notch.at_front else i.x0
    roof = polygon_loop([(low, 0), (high, 0), (high, _roof_length(d, end)), (low, _roof_length(d, end))])
    inner = foot[1:-1] if turn > 0 else _backwards(foot[1:-1])
    wall = [(0.0, 0.0, 0.0), (high - low, 0.0, 0.0), *((high - turn * s, foot[0][1] - z, b) for s, z, b in inner)]
    return FoldedSheet(d.thickness, i.k_factor, (Region("roof", roof), Region("wall", Loop(tuple(wall)))),
                       (Bend("roof", "wall", 0, -RIGHT_ANGLE, i.radius),))


def _roof_length(d: DeepPanDimensions, end: float) -> float:
    """Of the roof's flat, from its bend to the end plate."""
    return abs(end - d.inside.notch.x) - d.inside.radius - d.thickness


def _backwards(path):
    """The path travelled the other way and seen in a mirror, so that its bulges keep their sign."""
    bulges = [b for _, _, b in path[:-1]][::-1]
    return [(s, z, b) for (s, z, _), b in zip(path[::-1], [*bulges, 0.0], strict=True)]


def notch_root(d: DeepPanDimensions) -> Frame:
    """Frame of the notch's roof: y from the bend towards the sump's end, z up."""
    i = d.inside
    way = 1 if i.notch.at_front else -1
    edge = i.notch.x + way * (i.radius + i.thickness)
    return frame(origin=(edge, 0, i.notch.z - i.thickness), x=(0, -way, 0), z=(0, 0, 1))
