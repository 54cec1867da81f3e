"""Numbers at the bolt holes of the view from above, as the table names them."""

import math

import numpy as np
from shapely import STRtree
from shapely.geometry import LineString

from generators.drawings.layout import PLAN, Layout
from generators.drawings.sheet import Shown
from generators.paper.pages import Page
from generators.pieces import Part
from generators.shop.rail_holes import bolt_holes

NUMBER_MM, AWAY_MM = 2.0, 1.2
"""Height of a number, and how far from its hole it stands."""

CLEAR_MM = 0.3
"""Off all lines where there is such a place."""

WAYS = 16
"""Directions from the hole in which a place is looked for, inwards first."""

FARTHER_MM = (0.0, 1.2, 2.4, 3.6, 4.8)
"""How much farther off it may stand: nearest first, clear of all lines if there is such a place, else over one."""


def draw_numbers(page: Page, part: Part, what: Shown, layout: Layout) -> int:
    """Number the holes on the paper; how many found a free place."""
    lines = STRtree([LineString(_onto(points, what, layout)) for points in what.views[PLAN].visible])
    box, done = what.views[PLAN].box, 0
    middle = np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
    for number, (x, y, diameter) in enumerate(bolt_holes(part), start=1):
        at = _onto([x, y], what, layout)
        inwards = math.atan2(middle[1] - y, middle[0] - x)
        off = diameter / 2 * layout.scale + AWAY_MM + NUMBER_MM * 0.9
        places = [at + (off + more) * np.array([math.cos(inwards + turn), math.sin(inwards + turn)]) - (0, NUMBER_MM / 2)
                  for more in FARTHER_MM for turn in sorted(np.linspace(-math.pi, math.pi, WAYS, endpoint=False), key=abs)]
        free = [(place, ground) for place in places if page.is_free(ground := page.ground(place, str(number), height=NUMBER_MM, anchor="middle"))]
        if free:
            place, ground = next(((p, g) for p, g in free if not len(lines.query(g.buffer(CLEAR_MM), predicate="intersects"))), free[0])
            page.line(ground.exterior.coords, width=0, fill=(1, 1, 1))
            page.text(place, str(number), height=NUMBER_MM, anchor="middle")
            done += 1
    return done


def _onto(points, what: Shown, layout: Layout) -> np.ndarray:
    """Points (n, 2) of the view from above on the paper, mm."""
    return (np.asarray(points, float) - what.views[PLAN].box[:2]) * layout.scale + layout.corners[PLAN]
