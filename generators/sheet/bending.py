"""The equations of a bend. Angles in rad are the angle that the sheet is turned through (flat = 0), lengths in mm."""

import math

from generators.standards.limits import din_k
from generators.standards.measured_k import MeasuredK

APEX_LEGS_TO = math.pi / 2
"""DIN 6935: up to this turn legs are measured to where the outside faces cross, beyond it to the bend's outside."""

NEGLIGIBLE_TURN = math.radians(15)
"""DIN 6935: a bend that opens wider than 165 degrees needs no correction."""


def bend_allowance(*, angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """Length of the neutral fibre in the bend, mm: angle x (inside radius + K x thickness). Definition of K; a measured one is that of
    the bend."""
    k = k_factor.at(angle=angle, radius=radius, thickness=thickness) if isinstance(k_factor, MeasuredK) else k_factor
    return abs(angle) * (radius + k * thickness)


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


def developed_length_correction(*, angle: float, radius: float, thickness: float) -> float:
    """What is added to the sum of the two outside legs to give the developed length, mm; mostly negative. DIN 6935
    (formula from memory; its sign change and k are confirmed by secondary copies). The standard counts the opening
    angle pi - `angle`. Raises ValueError for a turn outside 0 to pi or a bend that has no k."""
    if not 0 <= angle <= math.pi:
        raise ValueError(f"a bend turns through 0 to pi rad, not {angle}")
    if angle < NEGLIGIBLE_TURN:
        return 0.0
    neutral = bend_allowance(angle=angle, radius=radius, thickness=thickness, k_factor=din_k(radius / thickness) / 2)
    legs = outside_setback(angle=min(angle, APEX_LEGS_TO), radius=radius, thickness=thickness)
    return neutral - 2 * legs
