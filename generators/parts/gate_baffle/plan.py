"""Where the gates stand along the walls, so that every flap swings clear. Plan view, mm from the cell's centre.

    y (left)                    a flap that is open covers a box: its width along the wall,
 .---[=====]---.                its reach inwards. Boxes keep apart from each other
 |   |     |   |                and from the pickup's bell.
[=]--'     '--[=]
[ ]--  (o)  --[ ]   x
[=]--.     .--[=]
 |   |     |   |
 '---[=====]---'
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from generators import standards
from generators.parts.gate_baffle.hinge import FIT_MM, refuse

PICKUP_CLEAR_MM = 3.0
"""Room round the pickup's bell: to a flap, and to the rim of the lid's hole (common practice)."""

FRONT, REAR, LEFT, RIGHT = "front", "rear", "left", "right"
SIDES = {FRONT: (1, 0), REAR: (-1, 0), LEFT: (0, 1), RIGHT: (0, -1)}
"""Way from the cell's centre to each wall (x, y)."""


@dataclass(frozen=True)
class Choice:
    """What was asked for or chosen: gates on each wall, their openings and flaps, the inside of the cell; mm. The
    front wall (`blank` 1) or the rear one (-1) may have none, where the pickup stands close to it."""

    count: int
    opening_width: float
    opening_height: float
    flap_thickness: float
    length: float
    width: float
    blank: int = 0

    @property
    def approach(self) -> float:
        """Gap before a gate through which as much goes as through its opening, mm: oil comes to it from above and from
        both sides, (w + 2 h) x gap against w h."""
        return self.opening_width * self.opening_height / (self.opening_width + 2 * self.opening_height)

    @property
    def area(self) -> float:
        """Of the openings of one wall, mm2."""
        return self.count * self.opening_width * self.opening_height


@dataclass(frozen=True)
class Box:
    """What a flap of the wall on `side` covers when open, mm; `place` is its middle along the wall."""

    side: str
    place: float
    x0: float
    x1: float
    y0: float
    y1: float


def evenly(count: int, pitch: float) -> tuple[float, ...]:
    """`count` places `pitch` mm apart about 0."""
    return tuple((i - (count - 1) / 2) * pitch for i in range(count))


def pitches(count: int, *, span: float, width: float, web: float) -> tuple[float, ...]:
    """Pitches to try along a wall of `span` mm, the roomiest first: gaps alike between flaps and at the corners, then
    windows as close as the `web` between them allows (mm), which leaves most room in the corners, then as far apart as the
    wall allows, which leaves it before the pickup."""
    even = width + (span - count * width) / (count + 1)
    if count == 1 or even <= width + web:
        return (width + web,)
    return even, width + web, (span - width - 2 * web) / (count - 1)


def box(side: str, place: float, *, half_length: float, half_width: float, width: float, reach: float) -> Box:
    """Plan of one open flap."""
    x, y = SIDES[side]
    if x:
        ends = sorted((x * half_length, x * (half_length - reach)))
        return Box(side, place, *ends, place - width / 2, place + width / 2)
    ends = sorted((y * half_width, y * (half_width - reach)))
    return Box(side, place, place - width / 2, place + width / 2, *ends)


def boxes(end_places, side_places, *, length: float, width: float, flap: float, reach: float) -> list[Box]:
    """All flaps of a cell of inside `length` (x) by `width` (y) whose end and side walls have gates at the given
    places."""
    size = {"half_length": length / 2, "half_width": width / 2, "width": flap, "reach": reach}
    return [box(side, p, **size) for side, (x, _) in SIDES.items() for p in (end_places if x else side_places)]


def apart(a: Box, b: Box) -> float:
    """Gap between two boxes along x or y, whichever is larger, mm; negative where they overlap."""
    return max(a.x0 - b.x1, b.x0 - a.x1, a.y0 - b.y1, b.y0 - a.y1)


def from_point(a: Box, x: float, y: float) -> float:
    """Distance of the box from (x, y), mm; 0 inside."""
    dx, dy = max(a.x0 - x, x - a.x1, 0), max(a.y0 - y, y - a.y1, 0)
    return (dx**2 + dy**2) ** (1 / 2)


def least_apart(all_boxes: list[Box]) -> float:
    """Least gap between flaps of different walls, mm."""
    pairs = itertools.combinations(all_boxes, 2)
    return min(apart(a, b) for a, b in pairs if a.side != b.side)


def arrangements(count: int, *, length: float, width: float, flap: float, web: float) -> Iterator[tuple]:
    """(places on the end walls, places on the side walls) to try, the roomiest first."""
    for end in pitches(count, span=width, width=flap, web=web):
        for side in pitches(count, span=length, width=flap, web=web):
            yield evenly(count, end), evenly(count, side)


def gates(
    choice: Choice, *, flap_width: float, reach: float, web: float, bell: float, beside: float | None = None,
    pickup: tuple[float, float] = (0.0, 0.0)
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Middles of the gates along end walls and side walls: the roomiest arrangement in which all flaps swing clear of each
    other and of the bell about `pickup` (x, y), which is as wide as `beside` where they come near it.

    Raises ValueError, with what is needed and what there is, where there is none."""
    between = web + standards.HINGE_FLOAT.usual
    _fit_along_walls(choice, flap_width=flap_width, between=between)
    size = {"length": choice.length, "width": choice.width, "flap": flap_width}
    _bell_inside(choice, bell=bell, pickup=pickup)
    tried = []
    for end, side in arrangements(choice.count, **size, web=between):
        flaps = [f for f in boxes(end, side, **size, reach=reach) if not choice.blank or SIDES[f.side][0] != choice.blank]
        tried.append((least_apart(flaps), min(from_point(f, *pickup) for f in flaps), end, side))
    apart_least, clear = standards.FLAP_SIDE_GAP.usual, (bell if beside is None else beside) / 2 + PICKUP_CLEAR_MM
    for apart_now, clear_now, end, side in tried:
        if apart_now >= apart_least and clear_now >= clear:
            return end, side
    apart_now, clear_now, *_ = max(tried, key=lambda t: min(t[0] - apart_least, t[1] - clear))
    remedy = "lower or narrower openings, a smaller open_angle or a larger cell would clear it"
    if apart_now < apart_least:
        refuse(
            "open_angle",
            f"open flaps reach {reach:.1f} mm in, which leaves {apart_now:.2f} mm between them in plan, "
            f"{apart_least:.2f} mm is the least: {remedy}",
        )
    refuse(
        "open_angle",
        f"open flaps reach {reach:.1f} mm in, to {clear_now:.1f} mm from the pickup's axis, its bell needs "
        f"{clear:.1f} mm: {remedy}",
    )


def _bell_inside(choice: Choice, *, bell: float, pickup: tuple[float, float]) -> None:
    need = bell / 2 + PICKUP_CLEAR_MM
    for key, size, off in (("length", choice.length, pickup[0]), ("width", choice.width, pickup[1])):
        if size / 2 - abs(off) < need:
            refuse(f"cell.{key}", f"of {size:.1f} mm leaves {size / 2 - abs(off):.1f} mm between a wall and the axis of the pickup, its "
                   f"bell needs {need:.1f} mm: a larger cell, or a pickup farther from the sump's end would clear it")


def _fit_along_walls(choice: Choice, *, flap_width: float, between: float) -> None:
    count = choice.count
    needed = count * flap_width + (count + 1) * between + 2 * FIT_MM - standards.HINGE_FLOAT.usual
    for key, span in (("length", choice.length), ("width", choice.width)):
        if needed > span:
            refuse(
                f"cell.{key}",
                f"{count} flap(s) of {flap_width:.1f} mm side by side need {needed:.1f} mm of wall, the cell has "
                f"{span:.1f} mm inside: narrow the openings, have fewer of them or make the cell larger",
            )
