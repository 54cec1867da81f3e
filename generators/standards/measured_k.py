"""A K-factor that a shop has measured on its own press, bend by bend."""

import math
from typing import Self

import numpy as np

SAME_MM = 0.01
"""Radii and thicknesses nearer than this are the same."""

STEEPEST = math.radians(170.0)
"""A bend is measured by the apex of its outside faces, which runs away as the sheet is folded onto itself."""


def k_of(*, deduction: float, angle: float, radius: float, thickness: float) -> float:
    """The K-factor of a bend whose flat is the sum of its outside legs less `deduction`: allowance = 2 x setback - deduction, and by
    the definition of K allowance = angle (radius + K thickness). mm, rad turned from flat. Raises ValueError beyond STEEPEST."""
    if not 0 < angle <= STEEPEST:
        raise ValueError(f"a deduction is told for a turn of up to {math.degrees(STEEPEST):g} deg, not {math.degrees(angle):g}")
    allowance = 2 * (radius + thickness) * math.tan(angle / 2) - deduction
    return (allowance / angle - radius) / thickness


class MeasuredK(float):
    """A K-factor with what was measured: rows of (angle rad, inside radius mm, thickness mm, K). As a plain number it is the K of what no row
    tells of."""

    rows: tuple[tuple[float, float, float, float], ...]

    def __new__(cls, value: float, rows: tuple[tuple[float, float, float, float], ...]) -> Self:
        made = super().__new__(cls, value)
        made.rows = tuple(sorted(rows))
        return made

    def at(self, *, angle: float, radius: float, thickness: float) -> float:
        """K of a bend: between two measured angles of the same radius and thickness in proportion, beyond them the nearest."""
        here = [(a, k) for a, r, t, k in self.rows if abs(r - radius) < SAME_MM and abs(t - thickness) < SAME_MM]
        return float(np.interp(abs(angle), *zip(*here, strict=True))) if here else float(self)
