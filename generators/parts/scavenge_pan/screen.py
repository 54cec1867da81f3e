"""The slotted screen over a pickup: a folded hood between wall and floor.

    top view of the flat                 end view, the wall to the left
        ____________                      ____________
     __|    top     |__                  |  top       |
    |e |  | | | | | | e|                 |            | front
    |__|____________|__|                 | end        |
       /   front    \\                    |____________|_____ floor
      |_|_|_|_|_|_|_|_|
"""

import math

from generators import standards
from generators.outlines import Loop, polygon_loop, slot
from generators.parts.scavenge_pan.dimension import (
    FIT_MM,
    SCREEN_THICKNESS_MM,
    ScavengePanDimensions,
    corner_setback,
)
from generators.sheet.folded import Bend, FoldedSheet, Region

SLOT_MM = 1.5
"""Width of the slots: 1.0 to 1.5 mm stops what harms a pump (common practice)."""

SLOT_PITCH_MM = 4.5
"""Three times the width: webs of two widths stay stiff."""

CORNER_GAP_MM = 0.3
"""Gap left at the hood's corners where two folds meet."""

FLARE_MM = 1.0
"""Length over which a folded side widens beyond its bend."""

LEAST_RUN_MM = 4.0
"""A slot shorter than this is not worth cutting."""


def radius(d: ScavengePanDimensions) -> float:
    """Inside bend radius of the screen, mm: the sheet's own where its material is in no table."""
    if d.material not in standards.material_names():
        return d.bend_radius
    return max(standards.least_bend_radius(d.material, thickness=SCREEN_THICKNESS_MM), SCREEN_THICKNESS_MM)


def relief(d: ScavengePanDimensions) -> float:
    """Corner cut off between two bends, mm."""
    return standards.relief_width(SCREEN_THICKNESS_MM).value


def screen_sheet(d: ScavengePanDimensions, *, slope: float) -> FoldedSheet:
    """The folded screen. `slope` (rad) is the floor's rise away from the wall. The root is the top: x along the pan,
    y from the wall, z up, its outer face at z = thickness."""
    t, r, c = SCREEN_THICKNESS_MM, radius(d), relief(d)
    length, depth = d.screen_length - 2 * (r + t), d.screen_width - FIT_MM - (r + t)
    top = Region("top", polygon_loop([(0, 0), (length, 0), (length, depth - c), (length - c, depth), (c, depth), (0, depth - c)]),
                 slots_across(d, length=length, first=0, last=depth))
    drop = {at: screen_drop(d, at, slope) for at in (FIT_MM, d.screen_width)}
    front_drop = min(drop[d.screen_width], drop[d.screen_width] + t * math.tan(slope))
    front = _flared("front", length - 2 * c, front_drop, front_drop, c + r - CORNER_GAP_MM, c + r - CORNER_GAP_MM)
    front = Region("front", front.outer, slots_across(d, length=length - 2 * c, first=0, last=front_drop))
    inner = drop[FIT_MM] - (depth - c) * math.tan(slope)
    flare, corner = c + r - CORNER_GAP_MM, corner_setback(d)
    ends = [_end("front end", depth - c, inner, drop[FIT_MM], flare, slope, corner, mirrored=False),
            _end("rear end", depth - c, inner, drop[FIT_MM], flare, slope, corner, mirrored=True)]
    turn = -math.pi / 2
    return FoldedSheet(t, d.k_factor, (top, front, *ends),
                       (Bend("top", "front", 3, turn, r), Bend("top", "front end", 1, turn, r), Bend("top", "rear end", 5, turn, r)))


def screen_corners(d: ScavengePanDimensions, *, slope: float) -> list[list[tuple[float, float, float]]]:
    """Both corners that are left open between front and ends, each from top to bottom, in the frame of the hood's root, mm: the middle of the gap."""
    t, r, c = SCREEN_THICKNESS_MM, radius(d), relief(d)
    length, depth = d.screen_length - 2 * (r + t), d.screen_width - FIT_MM - (r + t)
    high = -r - FLARE_MM - (c + r - CORNER_GAP_MM)
    low = max(-r - screen_drop(d, at, slope) for at in (FIT_MM + depth, d.screen_width))
    half = CORNER_GAP_MM / 2
    return [[(x, depth + r - half, high), (x, depth + r - half, low)] for x in (half - r, length + r - half)]


def screen_drop(d: ScavengePanDimensions, at: float, slope: float) -> float:
    """How far a fold reaches below its bend, mm, `at` mm from the wall: to FIT_MM over the floor."""
    return d.screen_height - (radius(d) + SCREEN_THICKNESS_MM) - FIT_MM - at * math.tan(slope)


def _flared(name: str, width: float, left: float, right: float, before: float, after: float) -> Region:
    """A side that hangs on a bend of `width` and widens by `before` and `after` beyond it; depths at both its edges."""
    points = [(0, 0), (width, 0), (width, FLARE_MM), (width + after, FLARE_MM + after), (width + after, right), (-before, left),
              (-before, FLARE_MM + before), (0, FLARE_MM)]
    return Region(name, polygon_loop(list(dict.fromkeys(points))))


def _end(name: str, width: float, inner: float, wall: float, flare: float, slope: float, corner: float, *, mirrored: bool) -> Region:
    """An end of the hood: its foot follows the floor, and is cut off by `corner` where wall and floor meet in a bend. The
    wall is at its far edge, or where `mirrored` at x = 0."""
    deep = inner - flare * math.tan(slope)
    foot = [(width, wall - corner), (width - corner, wall - corner * math.tan(slope)), (-flare, deep)]
    if not mirrored:
        return Region(name, polygon_loop([(0, 0), (width, 0), *foot, (-flare, FLARE_MM + flare), (0, FLARE_MM)]))
    foot = [(width - x, y) for x, y in reversed(foot)]
    return Region(name, polygon_loop([(0, 0), (width, 0), (width, FLARE_MM), (width + flare, FLARE_MM + flare), *foot]))


def slots_across(d: ScavengePanDimensions, *, length: float, first: float, last: float) -> tuple[Loop, ...]:
    """Slots that run from y = `first` to `last` (mm) less a margin that keeps them out of the bends, side by side along x."""
    margin = standards.least_slot_to_bend(SCREEN_THICKNESS_MM, bend_radius=radius(d)).value - (radius(d) + SCREEN_THICKNESS_MM)
    run = last - first - 2 * margin
    if run < LEAST_RUN_MM:
        return ()
    count = int((length - 2 * margin - SLOT_MM) // SLOT_PITCH_MM) + 1
    x0 = (length - (count - 1) * SLOT_PITCH_MM) / 2
    return tuple(slot(x=x0 + i * SLOT_PITCH_MM, y=(first + last) / 2, length=run, width=SLOT_MM, angle=math.pi / 2)
                 for i in range(count))
