"""Where a round branch meets a round shell, and a tube cut by a plane: the curves, on the parts and on their flats.

          main axis z                    phi goes round the branch; phi = 0 lies on the side of the
            |     . branch               acute angle, phi = +90 degrees away from the main axis
            |  .  angle B
            .------ height: where the branch's axis pierces the mean surface
          . |
            |<- offset e (square to the paper): 0 radial, near the wall tangential

Formulas: a point of the branch's surface at distance w along its axis is put on the cylinder x^2 + y^2 = R^2.
Angles in rad, lengths in mm; `phi` may be an array.
"""

import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, without_repeats
from generators.sheet.frames import Frame, frame

QUADRATURE = 64
"""Points of the quadratures below: smooth integrands, so good to round-off."""


@dataclass(frozen=True)
class Branch:
    """A round branch of `radius` on a shell about z. `height` is where its axis pierces the mean surface, `azimuth` the
    direction of the plane through both axes, `offset` how far its axis passes the main axis (positive to the left
    looking outwards), `angle` from +z to the branch's outward direction. `fit` is the radius of the cylinder on which
    the hole in the shell is exactly as wide as the branch (None: the mean surface). mm, rad."""

    radius: float
    height: float
    azimuth: float
    offset: float = 0.0
    angle: float = math.pi / 2
    fit: float | None = None


@dataclass(frozen=True)
class TubeEnd:
    """How an end of a round tube of outside `radius` (mm) is cut: `back` (n,) mm from the longest point, at n equal steps round it, the
    first where `start` says."""

    name: str
    radius: float
    back: tuple[float, ...]
    start: str


def mitre(phi, *, radius: float, angle: float):
    """Height over the lowest point, mm, of a tube of `radius` cut by a plane tilted by `angle` from the square cut:
    R tan(angle) (1 - cos phi). On the flat, against R phi, it is a cosine."""
    return radius * math.tan(angle) * (1 - np.cos(phi))


def saddle(phi, *, main_radius: float, radius: float, angle: float = math.pi / 2, offset: float = 0.0):
    """Distance along the branch's axis from its point nearest the main axis to the cut, mm.

    w = (sqrt(R^2 - q^2) + r cos phi cos B) / sin B with q = r sin phi + e. Raises ValueError where |e| + r > R."""
    require_reach(main_radius=main_radius, radius=radius, offset=offset)
    q = radius * np.sin(phi) + offset
    return (np.sqrt(np.maximum(main_radius**2 - q**2, 0.0)) + radius * np.cos(phi) * math.cos(angle)) / math.sin(angle)


def require_reach(*, main_radius: float, radius: float, offset: float) -> None:
    """Refuse a branch that passes beside the main cylinder."""
    if radius <= 0 or abs(offset) + radius > main_radius:
        raise ValueError(
            f"a branch of radius {radius:g} mm, {offset:g} mm off the axis, misses a shell of radius "
            f"{main_radius:g} mm: offset + radius must not exceed it"
        )


def set_on_cut(phi, *, main_radius: float, bore_radius: float, outside_radius: float, angle: float, offset: float):
    """Where a square-cut wall of a branch set on the shell must end, mm along its axis: the longer of the cuts of its
    two faces, so that it touches on one and never digs in; `main_radius` is the shell's outside."""
    cuts = [
        saddle(phi, main_radius=main_radius, radius=r, angle=angle, offset=offset)
        for r in (bore_radius, outside_radius)
    ]
    return np.maximum(*cuts)


def branch_frame(branch: Branch, *, mean_radius: float) -> Frame:
    """Frame at the point of the branch's axis nearest the main axis: z along the branch outwards, x towards phi = 0."""
    s, c = math.sin(branch.angle), math.cos(branch.angle)
    reach = math.sqrt(mean_radius**2 - branch.offset**2) / s
    outward = np.array([math.cos(branch.azimuth), math.sin(branch.azimuth), 0.0])
    left = np.array([-outward[1], outward[0], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    origin = left * branch.offset + up * (branch.height - reach * c)
    return frame(origin=origin, x=-c * outward + s * up, z=s * outward + c * up)


def saddle_points(
    branch: Branch, phi, *, main_radius: float, mean_radius: float, radius: float | None = None
) -> np.ndarray:
    """Points (n, 3), mm, where the branch (or the coaxial one of `radius`) meets the cylinder of `main_radius`."""
    r = branch.radius if radius is None else radius
    w = saddle(phi, main_radius=main_radius, radius=r, angle=branch.angle, offset=branch.offset)
    return branch_frame(branch, mean_radius=mean_radius).points(np.column_stack([r * np.cos(phi), -r * np.sin(phi), w]))


def developed_hole(branch: Branch, phi, *, mean_radius: float) -> np.ndarray:
    """The hole as (azimuth rad, height mm), shape (n, 2): where the branch meets its fitting cylinder, carried radially
    through the wall. Multiply the azimuth by the mean radius for the flat."""
    on = branch.fit or mean_radius
    require_reach(main_radius=on, radius=branch.radius, offset=branch.offset)
    q = branch.radius * np.sin(phi) + branch.offset
    points = saddle_points(branch, phi, main_radius=on, mean_radius=mean_radius)
    return np.column_stack([branch.azimuth + np.arcsin(q / on), points[:, 2]])


def round_angles(count: int) -> np.ndarray:
    """`count` equal steps round a branch, rad, shape (count,)."""
    return 2 * math.pi * np.arange(count) / count


def arcs_through(points) -> Loop:
    """The closed loop of arcs that each run through three of `points` (2 k, 2) in turn, anticlockwise or clockwise as
    the points do. Raises ValueError for an odd number."""
    points = np.asarray(points, float)
    if len(points) % 2:
        raise ValueError("arcs through three points at a time need an even number of points")
    vertices = []
    for start, middle, end in zip(points[::2], points[1::2], np.roll(points, -2, axis=0)[::2]):
        a, b = middle - start, end - middle
        turn = math.atan2(a[0] * b[1] - a[1] * b[0], float(a @ b))
        vertices.append((*start, math.tan(turn / 2)))
    return without_repeats(vertices)


def disc_under_cylinder(*, radius: float, disc: float) -> float:
    """Volume, mm3, between the middle plane of a cylinder of `radius` and its surface over a disc of radius `disc` that
    the cylinder's axis halves: integral of sqrt(R^2 - y^2) (Gauss-Chebyshev of the second kind)."""
    return saddle_volume(main_radius=radius, radius=disc, angle=math.pi / 2, offset=0.0)


def saddle_volume(*, main_radius: float, radius: float, angle: float, offset: float) -> float:
    """Volume, mm3, of a solid branch of `radius` from its point nearest the main axis (square cut) to its saddle.

    The term in cos phi integrates to nothing; what is left is a Gauss-Chebyshev sum over the width q."""
    require_reach(main_radius=main_radius, radius=radius, offset=offset)
    k = np.arange(1, QUADRATURE + 1) * math.pi / (QUADRATURE + 1)
    q = offset + radius * np.cos(k)
    weights = math.pi / (QUADRATURE + 1) * np.sin(k) ** 2
    return float(2 * radius**2 * np.sum(weights * np.sqrt(main_radius**2 - q**2))) / math.sin(angle)
