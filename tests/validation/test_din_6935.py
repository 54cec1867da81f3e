"""The neutral line and the developed length of DIN 6935. Its text was not read; constants are from memory and agree
with secondary copies where said. The standard counts the opening angle: 180 degrees less the turn."""

import math

import pytest

from generators.sheet.bending import bend_deduction, developed_length_correction
from generators.standards import din_k, din_k_factor


def correction(radius: float, thickness: float, opening: float) -> float:
    """v in mm; opening in degrees, as the standard counts."""
    return developed_length_correction(angle=math.radians(180 - opening), radius=radius, thickness=thickness)


@pytest.mark.parametrize(
    ("ratio", "k"),
    [  # 0.65 + 0.5 lg(r/s) by hand; capped at 1 from r/s = 5 (0.9995 there)
        (0.65, 0.5565),
        (1.0, 0.65),
        (1.5, 0.7380),
        (2, 0.8005),
        (3, 0.8886),
        (4, 0.9510),
        (5.02, 1.0),
        (10, 1.0),
    ],
)
def test_k(ratio, k):
    assert din_k(ratio) == pytest.approx(k, abs=1e-4)


@pytest.mark.parametrize("ratio", [0.1, 0.5, 1, 2, 5, 50])
def test_k_counts_half_the_thickness_and_the_k_factor_the_whole(ratio):
    assert din_k_factor(ratio) == din_k(ratio) / 2
    assert 0 < din_k_factor(ratio) <= 0.5


def test_the_neutral_line_never_passes_the_middle():
    ratios = [0.06 * 1.1**i for i in range(80)]
    factors = [din_k_factor(r) for r in ratios]
    assert factors == sorted(factors)
    assert factors[-1] == 0.5


@pytest.mark.parametrize("ratio", [0, -1, 0.05])
def test_a_bend_too_sharp_for_the_rule_is_refused(ratio):
    with pytest.raises(ValueError):
        din_k(ratio)


@pytest.mark.parametrize(
    ("radius", "thickness", "opening", "v"),
    [  # worked by hand, k = 1 at r / s = 5
        (1, 1, 90, -1.919),
        (2, 2, 90, -3.837),
        (3, 2, 90, -4.128),
        (3, 3, 90, -5.756),
        (6, 3, 90, -6.689),
        (10, 2, 90, -6.721),
        (3, 2, 135, -1.206),
        (3, 2, 45, -1.192),
    ],
)
def test_developed_length_correction(radius, thickness, opening, v):
    assert correction(radius, thickness, opening) == pytest.approx(v, abs=1.5e-3)


def test_a_shop_page_finds_the_same_for_two_by_two():
    # a bending shop's page that quotes the standard (read): r = s = 2, 90 degrees: deduction 3.84
    assert correction(2, 2, 90) == pytest.approx(-3.84, abs=5e-3)


def test_the_correction_changes_sign_where_the_standard_says():
    # a secondary copy prints the limit 65 degrees 24 minutes 30 seconds: 180 - 360 / pi, the thin sheet's limit
    limit = 65 + 24 / 60 + 30 / 3600
    assert limit == pytest.approx(180 - 360 / math.pi, abs=1e-3)
    assert correction(5, 1e-9, limit - 0.01) > 0 > correction(5, 1e-9, limit + 0.01)


def test_both_formulas_meet_at_a_right_angle():
    assert correction(3, 2, 90 - 1e-9) == pytest.approx(correction(3, 2, 90 + 1e-9), abs=1e-7)


@pytest.mark.parametrize("opening", [165.01, 170, 180])
def test_beyond_165_degrees_nothing_is_corrected(opening):
    assert correction(3, 2, opening) == 0


def test_what_is_left_out_beyond_165_degrees():
    # by hand, r = 3, s = 2, a turn of 15 degrees: 0.2618 (3 + 0.738) - 10 tan 7.5 degrees
    assert correction(3, 2, 164.999) == pytest.approx(-0.338, abs=5e-4)


@pytest.mark.parametrize("opening", [90, 100, 135, 160])
def test_from_a_right_angle_on_it_is_the_bend_deduction_with_half_of_k(opening):
    deduction = bend_deduction(angle=math.radians(180 - opening), radius=3, thickness=2, k_factor=din_k(1.5) / 2)
    assert correction(3, 2, opening) == pytest.approx(-deduction, abs=1e-12)


def test_a_bracket_of_fifty_and_thirty():
    # outside legs 50 and 30, s = 2, r = 3, worked by hand: 75.872
    assert 50 + 30 + correction(3, 2, 90) == pytest.approx(75.872, abs=5e-4)


@pytest.mark.parametrize("thickness", [1, 1.5, 2, 3])
def test_the_german_shop_shortcut_near_equal_radius_and_sheet(thickness):
    # German trade worksheet (read): take off 0.43 r + 1.48 s at 90 degrees; close where r is about s only
    assert -correction(thickness, thickness, 90) == pytest.approx((0.43 + 1.48) * thickness, rel=0.006)


@pytest.mark.parametrize("angle", [-0.1, math.pi + 0.1, math.nan])
def test_no_bend_turns_so(angle):
    with pytest.raises(ValueError):
        developed_length_correction(angle=angle, radius=3, thickness=2)


def test_a_right_angle_bend_needs_metal():
    with pytest.raises(ValueError):
        developed_length_correction(angle=math.pi / 2, radius=3, thickness=-2)
