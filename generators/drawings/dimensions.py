"""Dimension lines (ISO 129-1: narrow lines, filled arrows, the figure over the line) and the hatching of sections."""

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, MultiLineString, Polygon

from generators.paper.pages import BLACK, NARROW, Page, text_width

ARROW_MM, GAP_MM, OVER_MM, LIFT_MM = 3.0, 1.0, 1.5, 0.8
"""Length of an arrow, gap between edge and extension line, how far that goes on, and from the line to the figure."""

HATCH_MM = 2.0


@dataclass(frozen=True)
class Dimension:
    """A dimension as drawn: which axis of the paper it is along (0 or 1), the two points (2,) on the view that it spans, mm of the model,
    and the figure."""

    axis: int
    start: tuple[float, float]
    end: tuple[float, float]
    said: str

    @property
    def value(self) -> float:
        """Length between the points along the axis, mm."""
        return abs(self.end[self.axis] - self.start[self.axis])


def figure(value: float) -> str:
    """A length as drawings write it: tenths of a mm, none where it is whole."""
    return f"{value:.1f}".removesuffix(".0")


def dimension(axis: int, start, end) -> Dimension:
    """The dimension between two points of a view along an axis of the paper (0 across, 1 upwards)."""
    return Dimension(axis, tuple(map(float, start)), tuple(map(float, end)), figure(abs(end[axis] - start[axis])))


def draw(page: Page, made: Dimension, *, to_page, line_at: float) -> None:
    """Draw it with its line at `line_at` mm on the paper, across the axis; `to_page` takes points of the view there."""
    axis, other = made.axis, 1 - made.axis
    ends = []
    for point in (made.start, made.end):
        from_ = to_page(np.array(point))
        to = from_.copy()
        to[other] = line_at
        way = math.copysign(1.0, line_at - from_[other])
        start, stop = from_.copy(), to.copy()
        start[other] += way * GAP_MM
        stop[other] += way * OVER_MM
        page.line([start, stop])
        ends.append(to)
    ends.sort(key=lambda p: p[axis])
    page.line(ends)
    long = ends[1][axis] - ends[0][axis]
    outside = long < 2.5 * ARROW_MM
    for end, way in zip(ends, (1.0, -1.0), strict=True):
        _arrow(page, end, axis, -way if outside else way)
    _figure(page, made.said, ends, axis, fits=long > text_width(made.said) + 1.0)


def _arrow(page: Page, tip: np.ndarray, axis: int, way: float) -> None:
    """A filled arrow whose tip points against `way` along the axis."""
    along, across = np.eye(2)[axis] * way * ARROW_MM, np.eye(2)[1 - axis] * ARROW_MM / 6
    page.line([tip, tip + along + across, tip + along - across], closed=True, width=NARROW / 2, fill=BLACK)


def _figure(page: Page, said: str, ends, axis: int, *, fits: bool) -> None:
    middle = (ends[0] + ends[1]) / 2
    if not fits:  # beyond the upper or right end
        middle = ends[1] + np.eye(2)[axis] * (ARROW_MM + text_width(said) / 2 + 1.0)
        page.line([ends[1], ends[1] + np.eye(2)[axis] * (ARROW_MM + text_width(said) + 1.5)])
    if axis == 0:
        page.text((middle[0], middle[1] + LIFT_MM), said, anchor="middle")
    else:
        page.text((middle[0] - LIFT_MM, middle[1]), said, anchor="middle", angle=math.pi / 2)


def hatching(outline: np.ndarray, holes: list[np.ndarray], *, pitch: float, lean: float, shift: float) -> list[np.ndarray]:
    """Lines (2, 2) `pitch` mm apart at `lean` rad, moved by a share `shift` of the pitch, over the face between an outline (n, 2) and its holes."""
    face = Polygon(outline, holes).buffer(0)
    if face.is_empty:
        return []
    along, across = np.array([math.cos(lean), math.sin(lean)]), np.array([-math.sin(lean), math.cos(lean)])
    corners = np.array(face.envelope.exterior.coords)
    low, high = (corners @ across).min(), (corners @ across).max()
    reach = np.abs(corners @ along).max() + 1
    out = []
    for off in np.arange(math.floor(low / pitch) * pitch + shift * pitch, high, pitch):
        met = face.intersection(LineString([across * off - along * reach, across * off + along * reach]))
        lines = met.geoms if isinstance(met, MultiLineString) else [met]
        out += [np.array(line.coords) for line in lines if line.geom_type == "LineString" and line.length > 0]
    return out
