r"""The outline that a rod's big end sweeps in a whole turn, seen along the crank.

                 z |      . - .          throw r, rod l, crank angle t from the small end's side,
                   |    /       \        tilt of the rod p: sin p = (r / l) sin t
                   |   |  pin .  |
          axis     o   |  u <-|  |       rod frame: origin at the pin, v along the rod towards the small end,
          ---------+----\-----+-/---> y  u across it (u along +y when the rod stands upright)
                   |      ' - '

The true sweep lies inside every outline given here. How: along a ray from the crank axis the outermost point of a
moving polygon is either on the path of a corner, or on an edge at a point that is moving along that edge (any other
point of an edge is carried across it, so the sweep reaches further out on both sides of it). Both kinds are followed
between neighbouring crank positions by straight segments that enclose them, and the distance by which the arc of a path
can leave its chord is added at the end. A union of outlines at many positions would leave scallops, on the unsafe side.
"""

import math
from typing import NamedTuple

import numpy as np

ANGLE_COUNT = 720
"""Points of an outline, one each half degree: its sides then leave a swept arc of 100 mm radius by 0.001 mm."""

PATH_POSITIONS = 720
"""Crank positions in a turn at which corners are placed: their arcs leave the chords by less than 0.001 mm."""

EDGE_POSITIONS = 2880
"""Crank positions in a turn at which edges are placed: the boundary runs along a whole edge within a few degrees."""

ON_LINE = 1e-12
"""Share of a sector by which rounding may move a point across its rays."""


class Motion(NamedTuple):
    """A slider-crank: throw = half the stroke and rod length between centres, mm."""

    throw: float
    rod: float

    @property
    def ratio(self) -> float:
        """Throw over rod length."""
        return self.throw / self.rod


def angles(count: int = ANGLE_COUNT) -> np.ndarray:
    """The directions of an outline's points, shape (count,), rad: from +y (left) towards +z (up)."""
    return 2 * math.pi * np.arange(count) / count


def rays(count: int = ANGLE_COUNT) -> np.ndarray:
    """Unit vectors (y, z) at `angles`, shape (count, 2)."""
    a = angles(count)
    return np.column_stack([np.cos(a), np.sin(a)])


# the motion ---------------------------------------------------------------------------------------------------------

def tilt(angle, motion: Motion):
    """Tilt of the rod, rad, at crank angles from the small end's side (rad)."""
    return np.arcsin(motion.ratio * np.sin(angle))


def placed(points: np.ndarray, angle: np.ndarray, motion: Motion, bank: float = 0.0) -> np.ndarray:
    """Points of the rod frame (u, v), shape (..., 2) mm, in the engine's (y, z) at crank angles of a matching shape
    (...), rad from the small end's side; the bank's cylinder turned by `bank` (rad) about the crank axis, from +z
    towards -y."""
    p = tilt(angle, motion)
    u, v = points[..., 0], points[..., 1]
    y = motion.throw * np.sin(angle) - v * np.sin(p) + u * np.cos(p)
    z = motion.throw * np.cos(angle) + v * np.cos(p) + u * np.sin(p)
    c, s = math.cos(bank), math.sin(bank)
    return np.stack([c * y - s * z, s * y + c * z], axis=-1)


def path_departure(reach: float, motion: Motion) -> float:
    """Largest distance (mm) of the path of a point `reach` mm from the pin from its chord between two positions.

    A chord over a step h departs from its arc by at most h2/8 times the largest second derivative; here that is at most
    r + reach (k / sqrt(1 - k2) + k2) with k = r / l, from the bounds of the tilt's first and second derivatives."""
    k, half_step = motion.ratio, math.pi / PATH_POSITIONS
    return (motion.throw + reach * (k / math.sqrt(1 - k**2) + k**2)) * half_step**2 / 2


def crossing_departure(reach: float, motion: Motion) -> float:
    """Largest departure (mm per rad of crank) from linear, between two positions, of the speed at which an edge's point
    is carried across the edge: as `path_departure`, by the bound of that speed's second derivative."""
    k, half_step = motion.ratio, math.pi / EDGE_POSITIONS
    root = math.sqrt(1 - k**2)
    second = motion.throw * ((1 + k) ** 2 + k / root) + reach * k * (1 + 2 * k**2) / root**2 / root
    return second * half_step**2 / 2


def edge_contacts(corners: np.ndarray, motion: Motion) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where an edge may touch the sweep's boundary between its ends: the stretches of edge that hold every point which
    moves along its own edge in a step of the crank, the outline being on the axis's side of it.

    `corners` (k, 2) mm anticlockwise in the rod frame. Returns the step's number (m,) and the ends of the stretch,
    (m, 2) each. The speed at which an edge carries its points across itself grows linearly along it: its zero is the
    point."""
    angle = 2 * math.pi * np.arange(EDGE_POSITIONS + 1) / EDGE_POSITIONS
    lean = tilt(angle, motion)
    rate = motion.ratio * np.cos(angle) / np.cos(lean)
    edge = np.roll(corners, -1, axis=0) - corners
    length = np.linalg.norm(edge, axis=1)[:, None]
    normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / length
    aside, along = normal[:, :1], normal[:, 1:]
    pin_speed = motion.throw * (aside * np.cos(angle + lean) - along * np.sin(angle + lean))
    pin_place = motion.throw * (aside * np.sin(angle + lean) + along * np.cos(angle + lean))
    start_speed, growth = pin_speed - rate * cross(normal, corners)[:, None], -rate * length
    reach = float(np.linalg.norm(corners, axis=1).max())
    stretch = zero_stretch(start_speed, growth, crossing_departure(reach, motion))
    offset = pin_place + np.sum(normal * corners, axis=1)[:, None]
    faces_out = offset > -2 * math.pi * motion.throw / EDGE_POSITIONS
    which, step = np.nonzero((stretch[1] > stretch[0]) & (faces_out[:, :-1] | faces_out[:, 1:]))
    first, last = (corners[which] + share[which, step][:, None] * edge[which] for share in stretch)
    return step, first, last


def zero_stretch(value: np.ndarray, growth: np.ndarray, departure: float) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest share s, within 0 to 1, at which value + s growth may be 0 between neighbouring columns.

    `value`, `growth` (k, n + 1) at the columns; between them the sum departs from linear by `departure` at most.
    Returns two arrays (k, n); the lowest is not under the highest where there is no zero."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = -value / growth
        pad = departure / np.minimum(np.abs(growth[:, :-1]), np.abs(growth[:, 1:]))
        first = np.minimum(share[:, :-1], share[:, 1:]) - pad
        last = np.maximum(share[:, :-1], share[:, 1:]) + pad
        known = (growth[:, :-1] * growth[:, 1:] > 0) & np.isfinite(first) & np.isfinite(last)
    return np.where(known, first, 0).clip(0, 1), np.where(known, last, 1).clip(0, 1)


# the outline --------------------------------------------------------------------------------------------------------

def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """z of the cross product of plane vectors, shape (..., 2) each."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def ray_radii(points: np.ndarray, place: np.ndarray, sides: np.ndarray, count: int) -> np.ndarray:
    """Largest radius (count,) at which the segments between `points` (n, 2) that `sides` (m, 2) names cross each ray; 0
    where none does. `place` (n,): angle of each point in sectors."""
    sector = np.floor(place).astype(int)
    first, last = sector[sides[:, 0]], sector[sides[:, 1]]
    steps = (last - first + count // 2) % count - count // 2
    number = np.abs(steps)
    owner = np.repeat(np.arange(len(sides)), number)
    nth = np.arange(len(owner)) - np.repeat(np.cumsum(number) - number, number)
    ray = np.where(steps[owner] > 0, first[owner] + 1 + nth, first[owner] - nth) % count
    u, p, q = rays(count)[ray], points[sides[owner, 0]], points[sides[owner, 1]]
    across = cross(u, q - p)
    crossed = np.abs(across) > 0
    radius = np.zeros(count)
    np.maximum.at(radius, ray[crossed], cross(p, q)[crossed] / across[crossed])
    return radius


def enclosing_radii(points: np.ndarray, sides: np.ndarray, count: int = ANGLE_COUNT) -> np.ndarray:
    """Radii (count,) at `angles` of a polygon that encloses the segments between `points` (n, 2) mm that `sides` (m, 2)
    names; together they surround the origin.

    Enclosing in each sector the points and the segments' crossings of both rays is enough: a sector of the polygon is a
    triangle, so it holds the segment between them."""
    width = 2 * math.pi / count
    place = np.arctan2(points[:, 1], points[:, 0]) / width
    radius = ray_radii(points, place, sides, count)
    if not (radius > 0).all():
        raise ValueError("the swept outline does not surround the crank axis")
    sector, past = np.floor(place).astype(int), (place % 1) * width
    before, after = radius[sector % count], radius[(sector + 1) % count]
    inverse = (np.sin(width - past) / before + np.sin(past) / after) / math.sin(width)
    excess = np.ones(count)
    np.maximum.at(excess, sector % count, np.hypot(points[:, 0], points[:, 1]) * inverse)
    return radius * np.maximum(excess, np.roll(excess, 1))


def widened(radius: np.ndarray, distance: float) -> np.ndarray:
    """Radii (N,) of an outline that holds every point within `distance` mm of the outline `radius` (N,) mm.

    A star-shaped region scaled by 1 + d/k holds it all, where k is the radius of the circle from which every point of
    the region can be seen: the least distance from the axis to the line of one of its sides."""
    points = radius[:, None] * rays(len(radius))
    ahead = np.roll(points, -1, axis=0)
    in_sight = float((cross(points, ahead) / np.linalg.norm(ahead - points, axis=1)).min())
    return radius * (1 + distance / in_sight + ON_LINE)


def circle_radii(radius: float, count: int = ANGLE_COUNT) -> np.ndarray:
    """Radii (count,) of the regular polygon around a circle, mm."""
    if not radius > 0:
        raise ValueError(f"a radius must be positive, not {radius}")
    return np.full(count, radius / math.cos(math.pi / count))


def big_end_radii(corners, motion: Motion, bank: float = 0.0) -> np.ndarray:
    """Outline (N,) mm of what a rod's big end sweeps in a whole turn.

    `corners` (k, 2) mm: the big end's outline in the rod frame, points (u, v) in either direction, the pin inside; it
    must not cross itself. Kinematics of the slider-crank; the head of this file says why it encloses the true sweep.
    Raises ValueError where the rod is no longer than the throw or the outline does not go once round the pin."""
    corners = without_repeats(np.asarray(corners, dtype=float))
    if not 0 < motion.throw < motion.rod:
        raise ValueError(f"the rod ({motion.rod} mm) must be longer than the throw ({motion.throw} mm)")
    turns = turns_round_pin(corners)
    if turns not in (1, -1):
        raise ValueError("the big end's outline must go once round the crank pin")
    corners = corners[::turns]
    path, path_sides = corner_paths(corners, motion, bank)
    cell, cell_sides = edge_cells(corners, motion, bank)
    radius = enclosing_radii(np.concatenate([path, cell]), np.concatenate([path_sides, cell_sides + len(path)]))
    return widened(radius, path_departure(float(np.linalg.norm(corners, axis=1).max()), motion))


def corner_paths(corners: np.ndarray, motion: Motion, bank: float) -> tuple[np.ndarray, np.ndarray]:
    """The path of each corner (k, 2) as a closed polygon: points (n, 2) mm and the segments between them (n, 2)."""
    position = 2 * math.pi * np.arange(PATH_POSITIONS) / PATH_POSITIONS
    points = placed(corners[:, None, :], position[None, :], motion, bank)
    number = np.arange(len(corners) * PATH_POSITIONS).reshape(points.shape[:2])
    return points.reshape(-1, 2), np.column_stack([number.ravel(), np.roll(number, -1, axis=1).ravel()])


def edge_cells(corners: np.ndarray, motion: Motion, bank: float) -> tuple[np.ndarray, np.ndarray]:
    """The stretches of `edge_contacts` before and after their step: points (4 m, 2) mm, and the segments (6 m, 2)
    between each four, which include the bounds of their convex hull, which holds all of the stretch on its way."""
    step, first, last = edge_contacts(corners, motion)
    angle = 2 * math.pi * np.stack([step, step, step + 1, step + 1]) / EDGE_POSITIONS
    points = placed(np.stack([first, last, first, last]), angle, motion, bank)
    pairs = np.array([(i, j) for i in range(len(points)) for j in range(i)]) * len(step)
    return points.reshape(-1, 2), (pairs[:, None, :] + np.arange(len(step))[:, None]).reshape(-1, 2)


def without_repeats(corners: np.ndarray) -> np.ndarray:
    """Corners (k, 2) less those that repeat the one before."""
    return corners[(corners != np.roll(corners, 1, axis=0)).any(axis=1)]


def turns_round_pin(corners: np.ndarray) -> int:
    """How often a polygon (k, 2) goes anticlockwise round its origin."""
    ahead = np.roll(corners, -1, axis=0)
    return round(float(np.arctan2(cross(corners, ahead), np.sum(corners * ahead, axis=1)).sum()) / (2 * math.pi))
