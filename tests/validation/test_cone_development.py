"""Cone and cylinder developments against hand formulas of sheet-metal practice.

s = sqrt(h^2 + ((d2 - d1)/2)^2), R = s d2 / (d2 - d1), sector = 360 (d2 - d1) / (2 s), area = pi s (d1 + d2) / 2.
The figures were worked by hand from these; 98/198/120 is the Pythagorean 50-120-130.
"""

import math

import numpy as np
import pytest

from generators.outlines import flattened
from generators.sheet.rolled import Frustum, Shell, frustum_flat, shell_flat


@pytest.mark.parametrize(
    "d1, d2, h, s, outer, inner, degrees, area",
    [
        (50, 200, 150, 167.705, 223.607, 55.902, 160.997, 65857.6),
        (98, 198, 120, 130.000, 257.400, 127.400, 138.462, 60444.2),
        (38, 198, 200, 215.407, 266.566, 51.159, 133.701, 79852.9),
        (60, 100, 40, 44.721, 111.803, 67.082, 160.997, 11239.7),
    ],
)
def test_frustum(d1, d2, h, s, outer, inner, degrees, area):
    cone = Frustum(d1 / 2, d2 / 2, h, 1.0)
    assert cone.slant == pytest.approx(s, abs=1e-3)
    assert cone.apex_radius == pytest.approx(outer, abs=1e-3)
    assert cone.apex_radius - cone.slant == pytest.approx(inner, abs=1e-3)
    assert math.degrees(cone.sector) == pytest.approx(degrees, abs=1e-3)
    assert frustum_flat(cone).area == pytest.approx(area, abs=0.06)
    assert cone.area == pytest.approx(frustum_flat(cone).area, rel=1e-12)


@pytest.mark.parametrize(
    "d1, d2, h, width, height",
    [(50, 200, 150, 441.08, 214.38), (38, 198, 200, 490.20, 246.45), (60, 100, 40, 220.54, 100.73)],
)
def test_blank_that_the_sector_is_cut_from(d1, d2, h, width, height):
    """W = 2 R sin(sector/2), H = R - r cos(sector/2), for sectors under 180 degrees."""
    points = flattened(frustum_flat(Frustum(d1 / 2, d2 / 2, h, 1.0)).outer, chord=1e-5)
    assert np.ptp(points, axis=0) == pytest.approx([width, height], abs=0.01)


def test_shell_is_developed_on_its_mean_diameter():
    """Outside 200, wall 2: pi x 198 = 622.035; outside (628.319) or inside (615.752) would be pi x thickness wrong."""
    flat = shell_flat(Shell(98, 2, 450, 0.0))
    assert flat.outer.points[:, 0].max() == pytest.approx(622.035, abs=1e-3)


@pytest.mark.parametrize("offset, fit, width", [(0, None, 38.419), (55, None, 68.000)])
def test_width_of_a_developed_hole(offset, fit, width):
    """R asin(q/R) on R = 75 for r = 19; the hole 55 off the axis runs from 37.549 to 105.549."""
    from generators.sheet.branches import Branch, developed_hole, round_angles

    points = developed_hole(Branch(19, 100, 0.0, offset=offset, fit=fit), round_angles(3600), mean_radius=75)
    assert np.ptp(points[:, 0]) * 75 == pytest.approx(width, abs=1e-3)
    assert np.ptp(points[:, 1]) == pytest.approx(38.0, abs=1e-3)
    if offset:
        assert 75 * points[:, 0].min() == pytest.approx(37.549, abs=1e-3)
        assert 75 * points[:, 0].max() == pytest.approx(105.549, abs=1e-3)
