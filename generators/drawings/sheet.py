"""The first sheet of a part's drawing: its views, its section, and the dimensions that it is checked by."""

import math
from dataclasses import dataclass

import numpy as np

from generators.drawings.dimensions import HATCH_MM, Dimension, dimension, draw, hatching
from generators.drawings.frame import FIRST_ANGLE
from generators.drawings.layout import END, MAIN, PLAN, SECTION, Layout, lay_out
from generators.drawings.mounts import mounting_holes
from generators.drawings.views import Side, View, cut, meshed_view, view
from generators.paper.pages import CHAIN, DASHED, NARROW, TEXT_MM, WIDE, Page, text_width
from generators.paper.sizes import paper
from generators.pieces import Part

FROM_RIGHT = Side("from the right", (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
FROM_ABOVE = Side("from above", (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
FROM_REAR = Side("from the rear", (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
FROM_FRONT = Side("from the front", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
"""Of a part in the engine: x forward, y left, z up."""

FEW_PIECES = 2
"""Hidden edges are drawn of parts of no more pieces than this; of more they would hide the rest, and the section shows the inside."""

TALL = 1.3
"""A part that stands this much higher than it is long is cut along its axis, parallel to the main view."""

DIM_MM, NEXT_DIM_MM, NAME_MM = 11.0, 8.0, 5.0
"""From a view to its first dimension line, and to the next; to the name under it."""

PLANE_MM = 8.0
"""Further to the name where a cutting plane's letters stand under the view."""

NUMBER_MM, BALLOON_MM, BESIDE_MM = 2.5, 3.2, 1.5


@dataclass(frozen=True)
class Shown:
    """The views of a part: by place in the layout, with the section's faces (piece number, outline, holes) and where it is cut."""

    views: dict[str, View]
    faces: tuple
    plane: tuple[int, float]


@dataclass(frozen=True)
class Drawn:
    """What was drawn: how it is laid out, and every dimension."""

    layout: Layout
    dimensions: tuple[Dimension, ...]


def numbered(part: Part) -> list:
    """Each solid of the part with the number of its piece, from 1."""
    return [(i, solid) for i, piece in enumerate(part.pieces, start=1) for solid in piece.solids]


def shown(part: Part, projection: str) -> Shown:
    """What is seen of a part, and cut. A tank is seen along its axis on its mesh: the exact way takes long over a coped tube."""
    solids = [s for _, s in numbered(part)]
    hidden = len(part.pieces) <= FEW_PIECES
    end = FROM_REAR if projection == FIRST_ANGLE else FROM_FRONT
    views = {MAIN: view(solids, FROM_RIGHT, hidden=hidden), END: view(solids, end, hidden=hidden),
             PLAN: meshed_view(solids, FROM_ABOVE) if part.own_frame else view(solids, FROM_ABOVE, hidden=hidden)}
    x0, y0, x1, y1 = views[MAIN].box
    axis, offset = (1, 0.0) if y1 - y0 > TALL * (x1 - x0) else (0, _cut_at(part, x0, x1))
    side = FROM_RIGHT if axis else end
    faces = cut(solids, side, float(np.array(side.towards)[axis] * offset)) if len(part.pieces) > 1 else []
    return Shown(views, tuple((numbered(part)[i][0], outline, holes) for i, outline, holes in faces), (axis, offset))


def _cut_at(part: Part, x0: float, x1: float) -> float:
    """Where along a part it is cut: through its first pickup, else in its middle."""
    return float(part.mouths[0].rim[:, 0].mean()) if part.mouths else (x0 + x1) / 2


LARGER = ("A4", "A3", "A2", "A1", "A0")
"""Papers, each twice the one before."""


def large_enough(what: Shown, projection: str, name: str) -> str:
    """The paper called `name`, or the next larger one on which the views stand at a usual scale. Raises ValueError where they stand on none."""
    sizes = {place: (box[2] - box[0], box[3] - box[1]) for place, box in _boxes(what).items()}
    for larger in LARGER[LARGER.index(name):]:
        try:
            lay_out(sizes, paper(larger).landscape(), projection)
        except ValueError:
            if larger == LARGER[-1]:
                raise
        else:
            return larger
    return name


def _boxes(what: Shown) -> dict[str, tuple[float, float, float, float]]:
    """The box of every view and of the section, mm of the model."""
    boxes = {place: v.box for place, v in what.views.items()}
    if what.faces:
        points = np.vstack([outline for _, outline, _ in what.faces])
        boxes[SECTION] = (*map(float, points.min(axis=0)), *map(float, points.max(axis=0)))
    return boxes


def draw_views(page: Page, part: Part, what: Shown, projection: str, name: str) -> Drawn:
    """Draw the views of a part with their dimensions on a page of the paper called `name`."""
    boxes = _boxes(what)
    layout = lay_out({n: (b[2] - b[0], b[3] - b[1]) for n, b in boxes.items()}, paper(name).landscape(), projection)
    to_page = {n: _placed(b, layout.corners[n], layout.scale) for n, b in boxes.items()}
    for place, v in what.views.items():
        has_plane = bool(what.faces) and place == (MAIN if what.plane[0] == 0 else END)
        lines = [float(to_page[MAIN]((x, 0.0))[0]) for x in _along(part, boxes[MAIN][::2])] if place == MAIN else []
        _draw_view(page, v, to_page[place], boxes[place], name_off=NAME_MM + (PLANE_MM if has_plane else 0.0), beside=lines)
    if what.faces:
        _draw_section(page, what, to_page[SECTION], boxes[SECTION])
        _draw_plane(page, what, to_page, boxes)
    return Drawn(layout, _dimensioned(page, part, what, to_page, boxes))


def _placed(box, corner, scale: float):
    """Takes points (..., 2) of a view to the paper."""
    return lambda points: (np.asarray(points, float) - box[:2]) * scale + corner


def _draw_view(page: Page, v: View, to_page, box, *, name_off: float, beside: list[float]) -> None:
    """A view and, under it, its name; that stands clear of lines down at each x (mm on the page) of `beside`."""
    for points in v.hidden:
        page.line(to_page(points), dash=DASHED)
    for points in v.visible:
        page.line(to_page(points), width=WIDE)
    (x0, y0), (x1, _) = to_page(box[:2]), to_page(box[2:])
    half = text_width(v.side.name, NUMBER_MM) / 2 + BESIDE_MM
    struck = [x for x in beside if abs(x - (x0 + x1) / 2) < half]
    page.text((max(struck) + half if struck else (x0 + x1) / 2, y0 - name_off), v.side.name, height=NUMBER_MM, anchor="middle")


def _draw_section(page: Page, what: Shown, to_page, box) -> None:
    """The cut faces, each piece hatched its own way, with the numbers of its pieces."""
    numbers = sorted({n for n, _, _ in what.faces})
    for n, outline, holes in what.faces:
        place = numbers.index(n)
        lean = math.pi / 4 if place % 2 else 3 * math.pi / 4
        for ring in (outline, *holes):
            page.line(to_page(ring), width=WIDE, closed=True)
        for line in hatching(to_page(outline), [to_page(h) for h in holes], pitch=HATCH_MM, lean=lean, shift=place / max(1, len(numbers))):
            page.line(line, width=NARROW / 2)
    (x0, y0), (x1, y1) = to_page(box[:2]), to_page(box[2:])
    page.text(((x0 + x1) / 2, y0 - NAME_MM - BALLOON_MM * 3.4), "A-A", anchor="middle", bold=True)
    _draw_balloons(page, what, to_page, (x0, y0, x1, y1))


def _draw_balloons(page: Page, what: Shown, to_page, ground) -> None:
    """A number in a circle for each piece that is cut, over and under the section, with a line to its largest face there."""
    largest: dict[int, tuple[float, np.ndarray]] = {}
    for n, outline, _ in what.faces:
        ring = to_page(outline)
        area = abs(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - ring[:, 1] * np.roll(ring[:, 0], -1))) / 2
        if n not in largest or area > largest[n][0]:
            largest[n] = (area, _inside(ring))
    x0, y0, x1, y1 = ground
    rows = {True: [], False: []}
    for n, (_, at) in sorted(largest.items(), key=lambda item: item[1][1][0]):
        upper = at[1] > (y0 + y1) / 2
        rows[upper if len(rows[upper]) <= len(rows[not upper]) + 2 else not upper].append((n, at))
    for upper, row in rows.items():
        spread = np.linspace(x0, x1, len(row) + 2)[1:-1] if len(row) * 2.6 * BALLOON_MM < x1 - x0 else (
            (x0 + x1) / 2 + (np.arange(len(row)) - (len(row) - 1) / 2) * 2.6 * BALLOON_MM)
        for (n, at), x in zip(row, spread, strict=True):
            centre = np.array([x, y1 + 3.2 * BALLOON_MM if upper else y0 - 2.6 * BALLOON_MM])
            towards = (at - centre) / np.linalg.norm(at - centre)
            page.line([centre + towards * BALLOON_MM, at])
            page.circle(at, 0.4, width=0, fill=(0, 0, 0))
            page.circle(centre, BALLOON_MM, width=NARROW)
            page.text((centre[0], centre[1] - NUMBER_MM / 2), str(n), height=NUMBER_MM, anchor="middle")


def _inside(ring: np.ndarray) -> np.ndarray:
    """A point (2,) within a ring."""
    from shapely.geometry import Polygon

    point = Polygon(ring).buffer(0).representative_point()
    return np.array([point.x, point.y])


def _draw_plane(page: Page, what: Shown, to_page, boxes) -> None:
    """Where the section is cut: a chain line with thick ends, arrows the way one looks, and its letter, in the view that shows it as a line."""
    axis, offset = what.plane
    place, column = (MAIN, 0) if axis == 0 else (END, 0)
    side = what.views[place].side
    x = float(side.flat([np.eye(3)[axis] * offset])[0, column])
    low, high = to_page[place]((x, boxes[place][1])), to_page[place]((x, boxes[place][3]))
    low, high = low - (0, 5.0), high + (0, 5.0)
    page.line([low, high], dash=CHAIN)
    looks = -np.array((what.views[END].side if axis == 0 else what.views[MAIN].side).towards)
    way = float(np.sign(side.flat([looks])[0, 0]))
    for end, out in ((low, -1.0), (high, 1.0)):
        page.line([end, end - (0, out * 4.0)], width=2 * WIDE)
        tip = end + (way * 6.0, 0)
        page.line([end, tip], width=NARROW)
        page.line([tip, tip - (way * 3.0, 0.6), tip - (way * 3.0, -0.6)], closed=True, fill=(0, 0, 0), width=NARROW / 2)
        page.text((end[0] - way * 3.0, end[1] + (0.5 if out > 0 else -TEXT_MM)), "A", anchor="middle", bold=True)


def _dimensioned(page: Page, part: Part, what: Shown, to_page, boxes) -> tuple[Dimension, ...]:
    """Overall sizes, and where fittings and the flange stand."""
    made = []

    def add(place: str, axis: int, start, end, line_at: float) -> None:
        found = dimension(axis, start, end)
        draw(page, found, to_page=to_page[place], line_at=line_at)
        made.append(found)

    x0, y0, x1, y1 = boxes[PLAN]
    left, low = to_page[PLAN]((x0, y0))
    top = to_page[PLAN]((x1, y1))[1]
    add(PLAN, 0, (x0, y1), (x1, y1), top + DIM_MM)
    add(PLAN, 1, (x0, y0), (x0, y1), left - DIM_MM)
    x0, y0, x1, y1 = boxes[MAIN]
    left, low = to_page[MAIN]((x0, y0))
    add(MAIN, 1, (x0, y0), (x0, y1), left - DIM_MM)
    floor = _floor(part)
    if floor is not None and floor > y0 + 0.5:
        add(MAIN, 1, (x1, y1), (x1, floor), to_page[MAIN]((x1, y1))[0] + DIM_MM)
    below = low - NAME_MM - DIM_MM + 3.0 - (PLANE_MM - 3.0 if what.faces and what.plane[0] == 0 else 0.0)
    for point in _along(part, (x0, x1)):
        add(MAIN, 0, (x0, y0), (point, y0), below)
        below -= NEXT_DIM_MM
    _mounts(part, boxes[END], to_page[END], what.views[END].side, add)
    return tuple(made)


def _mounts(part: Part, box, to_page, side: Side, add) -> None:
    """How far the holes that bolt it to the car are apart, in the view from the end."""
    holes = mounting_holes(part)
    if len(holes) < 2:
        return
    flat = side.flat(np.array([h.middle for h in holes]))
    left, top = to_page((box[0], box[3]))
    for axis, line_at in ((0, top + DIM_MM), (1, left - DIM_MM)):
        low, high = flat[np.argmin(flat[:, axis])], flat[np.argmax(flat[:, axis])]
        if high[axis] - low[axis] > 1.0:
            add(END, axis, low, high, line_at)


def _floor(part: Part) -> float | None:
    """The lowest of a pan's sheet metal, mm: plugs hang lower. None of a part that does not hang from a flange."""
    if not any(p.name == "flange" for p in part.pieces):
        return None
    return min(s.BoundingBox().zmin for p in part.pieces if p.thickness is not None for s in p.solids)


MOST_ALONG = 1
"""So many fittings are dimensioned along the main view; all of them stand in the table."""


def _along(part: Part, span) -> list[float]:
    """Where the first fittings stand along the part, mm, each once."""
    places = sorted({round(p.solids[0].BoundingBox().center.x, 3) for p in part.pieces if p.kind == "turned" and not p.loose})
    return [x for x in places if span[0] + 1 < x < span[1] - 1][:MOST_ALONG]
