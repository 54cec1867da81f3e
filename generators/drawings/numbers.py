"""Numbers at the bolt holes of the view from above, as the table names them."""

import math

import numpy as np

from generators.drawings.layout import PLAN, Layout
from generators.drawings.sheet import Shown
from generators.paper.pages import Page
from generators.pieces import Part
from generators.shop.rail_holes import bolt_holes

NUMBER_MM, AWAY_MM = 2.0, 1.2
"""Height of a number, and how far from its hole it stands."""

WAYS = 16
"""Directions from the hole in which a place is looked for, inwards first."""


def draw_numbers(page: Page, part: Part, what: Shown, layout: Layout) -> int:
    """Number the holes on the paper; how many found a free place."""
    box, corner, done = what.views[PLAN].box, layout.corners[PLAN], 0
    middle = np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
    for number, (x, y, diameter) in enumerate(bolt_holes(part), start=1):
        at = (np.array([x, y]) - box[:2]) * layout.scale + corner
        inwards = math.atan2(middle[1] - y, middle[0] - x)
        for turn in sorted(np.linspace(-math.pi, math.pi, WAYS, endpoint=False), key=abs):
            away = diameter / 2 * layout.scale + AWAY_MM + NUMBER_MM * 0.9
            place = at + away * np.array([math.cos(inwards + turn), math.sin(inwards + turn)]) - (0, NUMBER_MM / 2)
            if page.is_free(page.ground(place, str(number), height=NUMBER_MM, anchor="middle")):
                page.line(page.ground(place, str(number), height=NUMBER_MM, anchor="middle").exterior.coords, width=0, fill=(1, 1, 1))
                page.text(place, str(number), height=NUMBER_MM, anchor="middle")
                done += 1
                break
    return done
