"""Mitre and saddle curves against worked examples.

Worked examples from two public fish-mouth calculators' pages (3 in pipe with 1 in radius branch; 6 5/8 in pipe with
4 1/2 in branch), each a rounded print; the rest by hand from the closed forms.
"""

import math

import numpy as np
import pytest

from generators.sheet.branches import mitre, saddle, set_on_cut

D = math.radians


@pytest.mark.parametrize(
    "degrees, heights",
    [(45, [0, 6.699, 25, 50, 75, 93.301, 100]), (22.5, [0, 2.775, 10.355, 20.711, 31.066, 38.647, 41.421])],
)
def test_mitre_curve(degrees, heights):
    phi = np.radians(np.arange(0, 181, 30))
    assert mitre(phi, radius=50, angle=D(degrees)) == pytest.approx(heights, abs=1e-3)


@pytest.mark.parametrize("degrees, length", [(45, 382.020), (30, 338.896)])
def test_mitre_is_an_ellipse(degrees, length):
    """The cut walked point by point is as long as the ellipse with half axes 50 / cos(angle) and 50 (by hand from the
    complete elliptic integral)."""
    phi = np.linspace(0, 2 * math.pi, 20001)
    z = mitre(phi, radius=50, angle=D(degrees))
    assert np.hypot(50 * np.diff(phi), np.diff(z)).sum() == pytest.approx(length, abs=1e-3)


def test_square_saddle_worked_example():
    """R 3 in, r 1 in: depth 0.172 in; drops at 1/8, 1/4, 3/8, 1/2 turn 0.085, 0.172, 0.085, 0 (printed to 0.001)."""
    w = saddle(np.arange(0, 4.5, 0.5) * math.pi / 2, main_radius=3, radius=1)
    assert w.max() - w.min() == pytest.approx(0.172, abs=5e-4)
    assert (w.max() - w)[[1, 2, 3, 4]] == pytest.approx([0.085, 0.172, 0.085, 0], abs=6e-4)


def test_second_square_saddle_worked_example():
    """R 3.3125 in, r 2.25 in: 0.881 in (the page prints .882 from rounded steps)."""
    w = saddle(np.array([0, math.pi / 2]), main_radius=3.3125, radius=2.25)
    assert w[0] - w[1] == pytest.approx(0.8815, abs=1e-3)


@pytest.mark.parametrize(
    "main, r, degrees, offset, phis, expected",
    [
        (75, 19, 90, 0, [0, 30, 45, 60, 90], [75, 74.396, 73.787, 73.173, 72.553]),
        (75, 19, 60, 0, [0, 60, 90, 120, 180], [97.572, 89.977, 83.778, 79.008, 75.633]),
        (75, 19, 90, 56, [-90, -60, -30, 0, 30, 60, 90], [65.238, 63.727, 58.845, 49.890, 36.534, 19.374, 0]),
        (75, 19, 90, 55, [-90, -60, -30, 0, 30, 60, 90], [65.795, 64.337, 59.622, 50.990, 38.272, 22.787, 12.207]),
    ],
)
def test_saddle(main, r, degrees, offset, phis, expected):
    w = saddle(np.radians(phis), main_radius=main, radius=r, angle=D(degrees), offset=offset)
    assert w == pytest.approx(expected, abs=1.1e-3)


def test_equal_tee_drops():
    w = saddle(np.radians(np.arange(0, 91, 15)), main_radius=50, radius=50)
    assert w[0] - w == pytest.approx([0, 1.704, 6.699, 14.645, 25, 37.059, 50], abs=1e-3)


def test_a_tube_set_on_never_digs_in():
    """Every point of the square-cut end between bore and outside lies outside the shell; it touches all round."""
    phi = np.radians(np.arange(0, 360, 5))
    end = set_on_cut(phi, main_radius=77, bore_radius=17, outside_radius=19, angle=D(80), offset=40)
    gaps = [end - saddle(phi, main_radius=77, radius=r, angle=D(80), offset=40) for r in np.linspace(17, 19, 9)]
    assert np.min(gaps) > -1e-9
    assert np.min(gaps, axis=0).max() < 1e-9
