"""The equations of a bend. Angles in rad are the angle that the sheet is turned through (flat = 0), lengths in mm."""

import math


def bend_allowance(*, angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """Length of the neutral fibre in the bend, mm: angle x (inside radius + K x thickness). Definition of K."""
    return abs(angle) * (radius + k_factor * thickness)


def outside_setback(*, angle: float, radius: float, thickness: float) -> float:
    """Apex of the outside faces to the tangent line, mm: (radius + thickness) tan(angle / 2); angle below pi."""
    return (radius + thickness) * math.tan(abs(angle) / 2)


def bend_deduction(*, angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """What one bend takes off the sum of its two outside legs, mm: 2 x setback - allowance."""
    return 2 * outside_setback(angle=angle, radius=radius, thickness=thickness) - bend_allowance(
        angle=angle, radius=radius, thickness=thickness, k_factor=k_factor)


def inside_setback(*, angle: float, radius: float) -> float:
    """Apex of the inside faces to the tangent line, mm: radius x tan(angle / 2)."""
    return radius * math.tan(abs(angle) / 2)
