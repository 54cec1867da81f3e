"""Shapes laid out on sheets by a strip packer, and the layout proved."""

from dataclasses import dataclass

import numpy as np
import spyrrow
from shapely import STRtree
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

STARTS = 4
"""Layouts that are tried; the one that takes least is kept."""

ROUNDING_MM = 0.01
"""The packer counts in single precision."""


@dataclass(frozen=True)
class Shape:
    """What is laid out: its number, corners (n, 2) mm, how many, and the degrees by which it may be turned."""

    number: int
    corners: np.ndarray
    copies: int
    turns: tuple[float, ...]


@dataclass(frozen=True)
class Place:
    """One copy: the number of its shape, its own, degrees turned about the origin, then shifted by `x`, `y` mm."""

    shape: int
    copy: int
    turn: float
    x: float
    y: float


class BadLayout(Exception):
    """The packer laid out what does not hold: pieces too near to each other, or off the sheet."""


def lay_out(shapes: list[Shape], *, width: float, length: float, spacing: float, seconds: float = 0.0) -> tuple[list[list[Place]], list[int]]:
    """Sheets of places on `width` x `length` mm (y, x), pieces at least `spacing` mm apart, and the numbers of shapes that fit on no sheet. With
    `seconds` each sheet is packed tighter for so long, but not twice alike. Raises BadLayout."""
    fitting = {s.number: s for s in shapes if _fits(s, width, length)}
    left = {number: shape.copies for number, shape in fitting.items()}
    sheets, given = [], dict.fromkeys(left, 0)
    while any(left.values()):
        places = _fullest(fitting, left, width=width, length=length, spacing=spacing, seconds=seconds)
        if not places:
            raise BadLayout("nothing fits on a fresh sheet, though each piece alone does")
        sheet = []
        for number, turn, x, y in places:
            sheet.append(Place(number, given[number], turn, x, y))
            given[number] += 1
            left[number] -= 1
        _prove(fitting, sheet, width=width, length=length, spacing=spacing)
        sheets.append(sheet)
    return sheets, [s.number for s in shapes if s.number not in fitting]


def _fits(shape: Shape, width: float, length: float) -> bool:
    """Whether it fits a sheet alone in one of its turns."""
    for turn in shape.turns:
        x0, y0, x1, y1 = rotate(Polygon(shape.corners), turn, origin=(0, 0)).bounds
        if x1 - x0 <= length and y1 - y0 <= width:
            return True
    return False


def _fullest(shapes: dict[int, Shape], left: dict[int, int], *, width: float, length: float, spacing: float,
             seconds: float) -> list[tuple[int, float, float, float]]:
    """Of several layouts in a strip as wide as the sheet the part that lies on the first sheet, where that is the most metal; among those that
    hold all, the shortest."""
    items = [spyrrow.Item(str(n), _grown(shapes[n], spacing / 2), count, list(shapes[n].turns)) for n, count in left.items() if count]
    instance = spyrrow.StripPackingInstance("sheet", strip_height=width + spacing, items=items)
    area = {n: Polygon(shape.corners).area for n, shape in shapes.items()}
    best, best_key = [], (-1.0, 0.0)
    for seed in range(1 if seconds else STARTS):
        config = spyrrow.StripPackingConfig(total_computation_time=round(seconds), num_workers=1, seed=seed)
        found = instance.solve(config)
        kept = [(int(p.id), p.rotation, *(t - spacing / 2 for t in p.translation)) for p in found.placed_items
                if _end(shapes[int(p.id)], p) - spacing / 2 <= length]
        key = (sum(area[n] for n, *_ in kept), -found.width)
        if key > best_key:
            best, best_key = kept, key
    return sorted(best, key=lambda k: (k[0], k[2], k[3]))


def _grown(shape: Shape, by: float) -> list[tuple[float, float]]:
    """A shape with half of the spacing all round: the packer's own goes wrong where the strip is not much wider than that."""
    return [(float(x), float(y)) for x, y in Polygon(shape.corners).buffer(by, join_style="mitre", mitre_limit=2.0).exterior.coords[:-1]]


def _end(shape: Shape, placed) -> float:
    """How far along the strip a placed shape reaches, mm."""
    return rotate(Polygon(shape.corners), placed.rotation, origin=(0, 0)).bounds[2] + placed.translation[0]


def _prove(shapes: dict[int, Shape], sheet: list[Place], *, width: float, length: float, spacing: float) -> None:
    """Raise BadLayout unless all lies on the sheet, as it may be turned, and nowhere nearer than `spacing`."""
    grounds = []
    for place in sheet:
        shape = shapes[place.shape]
        if not any(abs((place.turn - turn + 180) % 360 - 180) < 1e-6 for turn in shape.turns):
            raise BadLayout(f"shape {place.shape} is turned by {place.turn} degrees")
        grounds.append(translate(rotate(Polygon(shape.corners), place.turn, origin=(0, 0)), place.x, place.y))
    for ground in grounds:
        x0, y0, x1, y1 = ground.bounds
        if min(x0, y0, length - x1, width - y1) < -ROUNDING_MM:
            raise BadLayout(f"a piece reaches off the sheet: {ground.bounds}")
    tree = STRtree(grounds)
    for i, j in tree.query(grounds, predicate="dwithin", distance=spacing - ROUNDING_MM).T:
        if i < j:
            raise BadLayout(f"two pieces are {grounds[i].distance(grounds[j]):.3f} mm apart, less than {spacing:g}")
