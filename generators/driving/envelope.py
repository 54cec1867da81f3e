"""Every steady acceleration that the vehicle can pull: a grid in cornering, braking and speeding up, at crest, level and
compression. m/s2, the vehicle's frame (ISO 8855: x forward, y left, z up).

             speeding up
            . - ~ | ~ - .              The largest in each direction lies on an ellipse, for a tyre has only so much grip
      left |------+------| right       (friction ellipse); or on the hull of all that was logged. `SHARES` of it are looked
      turn |      |      | turn        at too: oil may stand worse half way.
            ' .   |   . '
              ` - ~ - '
               braking
"""

import math
from dataclasses import dataclass, field

import numpy as np

from generators.units import GRAVITY

ANGLES = 72
"""Horizontal directions, one each 5 degrees. On a sump 300 mm wide the surface at its edge moves by a few mm from one to the
next."""

SHARES = (1 / 4, 1 / 2, 3 / 4, 1.0)
"""Of the largest acceleration in each direction."""

LEVELS = ("crest", "level", "compression")

RESOLUTION = 0.02 * GRAVITY
"""m/s2. By so much a logged hull is widened: what a logger tells apart (common practice). A lap without any cornering has one
too."""


@dataclass(frozen=True, eq=False)
class Envelope:
    """`grid` (levels, shares, angles, 3) m/s2 and `still` (levels, 3), the same without cornering, braking or speeding up;
    `angles` (k,) rad from straight ahead towards the left, `reach` (k,) m/s2 the largest in each; `said` what it is."""

    grid: np.ndarray = field(repr=False)
    still: np.ndarray = field(repr=False)
    angles: np.ndarray = field(repr=False)
    reach: np.ndarray = field(repr=False)
    said: str

    @property
    def points(self) -> np.ndarray:
        """Every acceleration, (n, 3): the grid's, then the still ones."""
        return np.concatenate([self.grid.reshape(-1, 3), self.still])

    @property
    def is_brief(self) -> np.ndarray:
        """Whether each of the points (n,) is at a crest or in a dip, which pass quickly."""
        count = self.grid[0].size // 3
        brief = [name != "level" for name in LEVELS]
        return np.concatenate([np.repeat(brief, count), brief])


def directions() -> np.ndarray:
    """The angles (k,) rad."""
    return np.arange(ANGLES) * (2 * math.pi / ANGLES)


def ways(angles: np.ndarray) -> np.ndarray:
    """Unit vectors (k, 2) of angles (k,) rad, without rounding along the axes."""
    found = np.column_stack([np.cos(angles), np.sin(angles)])
    return np.where(np.abs(found) < ON_AXIS, 0.0, found)


ON_AXIS = 1e-12


def stated(driving) -> Envelope:
    """From the accelerations in a file's [driving] (m/s2): the ellipse through cornering to both sides, braking and
    acceleration, at crest, level and compression."""
    angles = directions()
    reach = _ellipse(angles, along=np.where(np.cos(angles) < 0, driving.braking, driving.acceleration), across=driving.cornering)
    points = ways(angles) * reach[:, None]
    heights = np.array([-driving.crest, 0.0, driving.compression])
    flat = np.multiply.outer(SHARES, points)
    grid = np.stack([np.concatenate([flat, np.full((*flat.shape[:2], 1), z)], axis=2) for z in heights])
    g = [v / GRAVITY for v in (driving.cornering, driving.braking, driving.acceleration, driving.crest, driving.compression)]
    said = (f"friction ellipse (what tyres give in cornering and braking together) of {g[0]:.2f} g cornering, {g[1]:.2f} g braking and "
            f"{g[2]:.2f} g speeding up, each at a crest of {g[3]:.2f} g, level and in a dip of {g[4]:.2f} g; {_density()}")
    return Envelope(grid, _still(heights), angles, reach, said)


def _ellipse(angles: np.ndarray, *, along: np.ndarray, across: float) -> np.ndarray:
    """Radius (k,) at `angles` (k,) rad of the ellipse with half axes `along` (k,) and `across`; nothing off an axis where the
    other one is 0."""
    halves = np.column_stack([along, np.full(len(angles), across)])
    shares = np.divide(ways(angles), halves, out=np.where(ways(angles) == 0, 0.0, np.inf), where=halves > 0)
    size = np.linalg.norm(shares, axis=1)
    return np.divide(1.0, size, out=np.zeros(len(angles)), where=size > 0)


def _density() -> str:
    return f"{ANGLES} directions, and {len(SHARES)} shares of the largest in each, evenly up to the whole"


def _still(heights: np.ndarray) -> np.ndarray:
    return np.column_stack([np.zeros((len(LEVELS), 2)), heights])


def logged(acceleration: np.ndarray, *, has_vertical: bool, driving) -> Envelope:
    """From a lap's accelerations (n, 3) m/s2, smoothed: their convex hull, widened by RESOLUTION. Where nothing vertical was
    logged crest and compression are those of the file's [driving]."""
    from scipy.spatial import ConvexHull

    angles = directions()
    corners = RESOLUTION * np.array(np.meshgrid(*[(-1, 1)] * 3)).reshape(3, -1).T
    outer = ConvexHull(np.concatenate([acceleration, corners])).vertices
    cloud = np.concatenate([acceleration[outer[outer < len(acceleration)]], np.zeros((1, 3))])
    cloud = (cloud[:, None] + corners).reshape(-1, 3)
    flat = ConvexHull(cloud[:, :2]).equations
    facing = flat[:, :2] @ ways(angles).T
    reach = np.min(np.where(facing > 0, -flat[:, 2:] / np.where(facing > 0, facing, 1.0), np.inf), axis=0)
    plan = np.multiply.outer(SHARES, ways(angles) * reach[:, None])
    if has_vertical:
        planes = ConvexHull(cloud).equations
        low, high = _between(planes, plan.reshape(-1, 2))
        bottom, top = _between(planes, np.zeros((1, 2)))
    else:
        low, high = (np.full(plan[..., 0].size, z) for z in (-driving.crest, driving.compression))
        bottom, top = low[:1], high[:1]
    heights = [low, np.clip(0.0, low, high), high]
    grid = np.stack([np.concatenate([plan, z.reshape(*plan.shape[:2], 1)], axis=2) for z in heights])
    still = _still(np.array([bottom[0], np.clip(0.0, bottom[0], top[0]), top[0]]))
    (front, left), (back, right) = acceleration[:, :2].max(axis=0), acceleration[:, :2].min(axis=0)
    peaks = [max(v, 0.0) / GRAVITY for v in (left, -right, -back, front)]
    said = (f"hull of {len(acceleration)} logged accelerations: {peaks[0]:.2f} g turning left, {peaks[1]:.2f} g turning right, {peaks[2]:.2f} g "
            f"braking, {peaks[3]:.2f} g speeding up, " + ("with what was logged upwards" if has_vertical else
            "at crest, level and compression as the file states, for nothing was logged upwards") + f"; {_density()}")
    return Envelope(grid, still, angles, reach, said)


def _between(planes: np.ndarray, plan: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest z (n,) in a hull of `planes` (m, 4) at the places `plan` (n, 2); the middle of both at its rim,
    where rounding may cross them."""
    upper, lower = planes[planes[:, 2] > FLAT], planes[planes[:, 2] < -FLAT]
    high = np.min((-upper[:, 3:] - upper[:, :2] @ plan.T) / upper[:, 2:3], axis=0)
    low = np.max((-lower[:, 3:] - lower[:, :2] @ plan.T) / lower[:, 2:3], axis=0)
    middle = (low + high) / 2
    return np.minimum(low, middle), np.maximum(high, middle)


FLAT = 1e-9
"""A facet steeper than this is upright and bounds no height."""


def parked(slope: float, count: int = 24) -> np.ndarray:
    """What stands for a vehicle parked on a `slope` (rad) that falls away in `count` directions: accelerations (count, 3)
    m/s2 with the same weight and acceleration together."""
    angles = np.arange(count) * (2 * math.pi / count)
    return GRAVITY * np.column_stack([math.sin(slope) * ways(angles), np.full(count, math.cos(slope) - 1)])


def up_of(points: np.ndarray) -> np.ndarray:
    """Weight and acceleration together, (n, 3) m/s2, for accelerations (n, 3): square to the surface, out of the oil; what
    an accelerometer reads."""
    return points + np.array([0.0, 0.0, GRAVITY])
