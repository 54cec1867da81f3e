"""The free surface as a figure: where a plane cuts the mesh of an oil space, how long that is, and the swing that fits it. mm.

        up                            seen along -up: oil on the left of each segment
         ^                               .---<-----------.
      .--|-----------.                   |     .->-.     |      area    of the oil's surface only
      |~~~~~~~~~~~~~~|  plane            |     |   | pipe|      extent  between the outermost points along a direction
      |         .----'                   |     '-<-'     |
      '---------'                        '------->-------'
"""

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from generators.oil.slosh import circular_period, rectangular_period
from generators.oil.surface import Skin

MILLIMETRE = 1e-3
"""m."""

MEETING = 1e-9
"""Ends of segments meet when they are this near, as a share of the section's size: the same edge of the mesh cut twice."""

SQUARE = 1e-9
"""Share of a direction that must lie in the plane for it to say which way."""

ROUND_DIRECTIONS = 12
"""Directions over half a turn along which a round section is measured."""

ROUND_EXTENTS, ROUND_AREA = 0.03, 0.05
"""Shares by which a section's extents may differ from their mean, and its area from that circle's, and still be a round
tank's: a shell of flats, a pipe that stands in the oil."""


@dataclass(frozen=True, eq=False)
class Section:
    """Where a plane cuts an oil space: `up` (3,) of length 1, square to the plane; `segments` (k, 2, 3) mm, in the mesh's
    frame, oil on their left seen against `up`; `area` of the surface, mm2."""

    up: np.ndarray
    segments: np.ndarray = field(repr=False)
    area: float

    def extent(self, direction: np.ndarray) -> float:
        """Length (mm) of the section along the part of `direction` (3,) that lies in its plane, between its outermost
        points. ValueError where the direction is square to the plane."""
        places = self.segments @ _along(self.up, direction)
        return float(np.ptp(places))

    @cached_property
    def pools(self) -> int:
        """How many surfaces there are, apart from each other: loops of segments that go round oil, not round metal."""
        ends = self.segments.reshape(-1, 3)
        tree, size = cKDTree(ends), float(np.linalg.norm(np.ptp(ends, axis=0)))
        one, other = tree.query_pairs(MEETING * size, output_type="ndarray").T
        rows, columns = np.concatenate([one, np.arange(0, len(ends), 2)]), np.concatenate([other, np.arange(1, len(ends), 2)])
        links = coo_array((np.ones(len(rows)), (rows, columns)), shape=(len(ends), len(ends)))
        count, loop = connected_components(links, directed=False)
        return int((np.bincount(loop[::2], _shares(self.up, self.segments), count) > 0).sum())


class Swing(NamedTuple):
    """The first mode of a surface: its `period` s; the `size` (mm) that sets it, the length of a rectangle or the radius of a
    circle; the mean `depth` mm; the `shape` that stands for the surface, "rectangular" or "circular"."""

    period: float
    size: float
    depth: float
    shape: str


def section(space: Skin, up: np.ndarray, offset: float) -> Section:
    """Where the plane up . p = `offset` (mm) cuts the space, `up` (3,) of any length (the offset goes with its direction, of
    length 1). ValueError where it does not."""
    up = np.asarray(up, float) / np.linalg.norm(up)
    height = offset - up @ space.middle
    middles, reach = space.centres @ up, space.halves @ np.abs(up)
    near = (middles - reach < height) & (middles + reach >= height)
    corners = np.moveaxis(space.triangles[:3, near], 0, 2).reshape(-1, 3, 3)
    segments = _cuts(corners, (corners * up).sum(axis=2) - height)
    if not len(segments):
        raise ValueError(f"no surface: the plane at {offset:g} mm passes by the oil space")
    return Section(up, segments + space.middle, float(_shares(up, segments).sum()))


def _cuts(corners: np.ndarray, heights: np.ndarray) -> np.ndarray:
    """Segments (k, 2, 3) at height 0 of triangles (n, 3, 3) with `heights` (n, 3) at their corners. A corner at 0 counts as
    above, for all triangles that share it, so that loops close."""
    out = []
    for count, is_lone_below in ((1, True), (2, False)):
        chosen = (heights < 0).sum(axis=1) == count
        p, h = corners[chosen], heights[chosen]
        lone = np.argmax((h < 0) == is_lone_below, axis=1)
        turn, rows = (lone[:, None] + np.arange(3)) % 3, np.arange(len(p))[:, None]
        (a, b, c), (ha, hb, hc) = np.moveaxis(p[rows, turn], 1, 0), h[rows, turn].T
        ab, ac = (a + (q - a) * (ha / (ha - hq))[:, None] for q, hq in ((b, hb), (c, hc)))
        out.append(np.stack([ac, ab] if is_lone_below else [ab, ac], axis=1))
    segments = np.concatenate(out)
    return segments[(segments[:, 0] != segments[:, 1]).any(axis=1)]


def _shares(up: np.ndarray, segments: np.ndarray) -> np.ndarray:
    """Area (k,) that each segment sweeps about a point amid them all: closed loops add up to theirs."""
    about = segments - segments.mean(axis=(0, 1))
    return np.cross(about[:, 0], about[:, 1]) @ up / 2


def _along(up: np.ndarray, direction: np.ndarray) -> np.ndarray:
    """Direction (3,) of length 1 in the plane."""
    direction = np.asarray(direction, float)
    level = direction - up * (up @ direction)
    length = np.linalg.norm(level)
    if not length > SQUARE * np.linalg.norm(direction):
        raise ValueError("a direction square to the oil's surface has no length along it")
    return level / length


# ---------------------------------------------------------------- the swing


def length_along(section: Section, direction: np.ndarray) -> float:
    """Length (mm) along a direction (3,) of the rectangle that stands for the section: of its area, with sides in the ratio
    of its extents along and across. A box's is its own. Pools apart from each other are taken as one surface that
    reaches from the first to the last: in line with the direction and of like width, longer than each is; side by side, a
    little shorter. `pools` tells."""
    across = np.cross(section.up, _along(section.up, direction))
    return math.sqrt(section.area * section.extent(direction) / section.extent(across))


def mean_extent(section: Section) -> float:
    """Mean extent (mm) over ROUND_DIRECTIONS: a round section's diameter."""
    return float(np.mean(_extents(section)))


def is_round(section: Section) -> bool:
    """Whether a round tank can stand for the section: its extents are all one, and its area is that circle's."""
    extents, diameter = _extents(section), mean_extent(section)
    even = np.abs(extents - diameter).max() <= ROUND_EXTENTS * diameter
    return bool(even and abs(section.area / (math.pi / 4 * diameter**2) - 1) <= ROUND_AREA)


def _extents(section: Section) -> np.ndarray:
    """Extents (ROUND_DIRECTIONS,) mm, evenly over half a turn."""
    first = _along(section.up, np.eye(3)[np.argmin(np.abs(section.up))])
    turns = math.pi / ROUND_DIRECTIONS * np.arange(ROUND_DIRECTIONS)[:, None]
    around = np.cos(turns) * first + np.sin(turns) * np.cross(section.up, first)
    return np.ptp(section.segments.reshape(-1, 3) @ around.T, axis=0)


def first_period(section: Section, *, volume: float, direction: np.ndarray, gravity: float) -> Swing:
    """The first mode along a direction (3,) of `volume` mm3 of oil under this surface, `gravity` (m/s2) the length of weight
    and acceleration together: of a round tank where the section is round, else of the rectangle that `length_along` gives, as
    deep as the oil is on the mean, volume / area. Pools apart from each other are taken as one, of that depth and as long as
    `length_along` takes them. ValueError as from `extent` and for a volume that is not more than 0."""
    depth = volume / section.area
    if is_round(section):
        _along(section.up, direction)
        size = mean_extent(section) / 2
        period = circular_period(size * MILLIMETRE, depth=depth * MILLIMETRE, gravity=gravity)
        return Swing(float(period), size, depth, "circular")
    size = length_along(section, direction)
    period = rectangular_period(size * MILLIMETRE, depth=depth * MILLIMETRE, gravity=gravity)
    return Swing(float(period), size, depth, "rectangular")
