"""The flat pattern of a sheet piece: what is cut, where it is bent and what is marked on it."""

from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, perimeter, signed_area


@dataclass(frozen=True)
class BendLine:
    """The middle of a bend on the flat: ends (x, y) mm, angle in rad (positive turns the far side up, towards the
    viewer), inside radius, allowance and deduction in mm."""

    start: tuple[float, float]
    end: tuple[float, float]
    angle: float
    radius: float
    allowance: float
    deduction: float

    @property
    def length(self) -> float:
        """Length along the bend, mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


@dataclass(frozen=True)
class FlatPattern:
    """One outer loop, holes strictly inside it, bend lines; mm, kerf not applied. `marks` are etched polylines. `root` is
    the outline of the region that the others hang on by bends; None where all is one region."""

    outer: Loop
    holes: tuple[Loop, ...] = ()
    bends: tuple[BendLine, ...] = ()
    marks: tuple[tuple[tuple[float, float], ...], ...] = ()
    root: Loop | None = None

    @property
    def area(self) -> float:
        """Area inside the outer loop less the holes, mm2."""
        return abs(signed_area(self.outer)) - sum(abs(signed_area(h)) for h in self.holes)

    @property
    def cut_length(self) -> float:
        """Length of all loops, mm."""
        return perimeter(self.outer) + sum(perimeter(h) for h in self.holes)
