"""The strainer in the bell's mouth: a perforated disc. Pure arithmetic, mm.

      | bell |
      |      |______   ledge, LEDGE_MM wide
      |  ====.====.==  strainer, held against the ledge, tacked from below
      |__|             mouth
"""

import math

import numpy as np

from generators.outlines import Loop, circle, rectangle
from generators.sheet.flat import FlatPattern

THICKNESS_MM, MATERIAL = 0.5, "304"
"""Stock of a perforated strainer (common practice)."""

HOLE_MM, PITCH_MM = 2.0, 2.5
"""Square holes in straight rows, as in woven mesh: the web between them is as wide as the sheet is thick."""

LEDGE_MM, RECESS_MM, PLAY_MM = 1.0, 1.0, 0.05
"""Width of the ledge behind the disc's rim, depth of the recess, and play round the disc."""


def disc_radius(bell: float) -> float:
    """Outside of the disc in a bell of that width (mm)."""
    return bell / 2 - PLAY_MM


def hole_centres(bell: float) -> np.ndarray:
    """Centres (n, 2) of the holes that lie wholly inside the ledge of a bell of that width (mm): a hole or a crossing of webs
    in the middle, whichever leaves more of them."""
    return max((_grid(bell, phase) for phase in (0.0, PITCH_MM / 2)), key=len)


def _grid(bell: float, phase: float) -> np.ndarray:
    within = bell / 2 - LEDGE_MM
    count = math.ceil(within / PITCH_MM) + 1
    steps = np.arange(-count, count + 1) * PITCH_MM + phase
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    return grid[np.hypot(*(np.abs(grid) + HOLE_MM / 2).T) <= within]


def open_area(bell: float) -> float:
    """Area, mm2, of all holes in the strainer of a bell of that width (mm)."""
    return len(hole_centres(bell)) * HOLE_MM**2


def flat(bell: float) -> FlatPattern:
    """The disc with its holes."""
    half = HOLE_MM / 2
    holes: tuple[Loop, ...] = tuple(
        rectangle(x0=float(x) - half, y0=float(y) - half, x1=float(x) + half, y1=float(y) + half) for x, y in hole_centres(bell))
    return FlatPattern(circle(x=0, y=0, radius=disc_radius(bell)), holes)
