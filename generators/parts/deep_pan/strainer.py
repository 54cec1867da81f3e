"""The strainer in the bell's mouth: a perforated disc. Pure arithmetic, mm.

      | bell |
      |      |______   ledge, LEDGE_MM wide
      |  ====.====.==  strainer, held against the ledge, tacked from below
      |__|             mouth
"""

import math

import numpy as np

from generators.outlines import Loop, circle
from generators.sheet.flat import FlatPattern

THICKNESS_MM, MATERIAL = 0.5, "304"
"""Stock of a perforated strainer (common practice)."""

HOLE_MM, PITCH_MM = 2.0, 2.5
"""Round holes at the corners of equal triangles: the web between them is as wide as the sheet is thick."""

LEDGE_MM, RECESS_MM, PLAY_MM = 1.0, 1.0, 0.05
"""Width of the ledge behind the disc's rim, depth of the recess, and play round the disc."""


def disc_radius(bell: float) -> float:
    """Outside of the disc in a bell of that width (mm)."""
    return bell / 2 - PLAY_MM


def hole_centres(bell: float) -> np.ndarray:
    """Centres (n, 2) of the holes that lie wholly inside the ledge of a bell of that width (mm)."""
    within = bell / 2 - LEDGE_MM - HOLE_MM / 2
    rise = PITCH_MM * math.sqrt(3) / 2
    rows, columns = (math.ceil(within / step) + 1 for step in (rise, PITCH_MM))
    grid = np.array([((k + (j % 2) / 2) * PITCH_MM, j * rise) for j in range(-rows, rows + 1) for k in range(-columns, columns + 1)])
    return grid[np.hypot(*grid.T) <= within]


def open_area(bell: float) -> float:
    """Area, mm2, of all holes in the strainer of a bell of that width (mm)."""
    return len(hole_centres(bell)) * math.pi / 4 * HOLE_MM**2


def flat(bell: float) -> FlatPattern:
    """The disc with its holes."""
    holes: tuple[Loop, ...] = tuple(circle(x=float(x), y=float(y), radius=HOLE_MM / 2) for x, y in hole_centres(bell))
    return FlatPattern(circle(x=0, y=0, radius=disc_radius(bell)), holes)
