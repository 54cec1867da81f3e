"""Oil's density and viscosity at a temperature, against published formulas and worked sheets."""

import math

import pytest

from generators.oil.properties import density_at, viscosity_at

CST = 1e-6


@pytest.mark.parametrize("at_40, at_100, degrees, expected", [
    (32.0, 5.4, 80.0, 8.53),  # a published worked sheet of ASTM D341: 8.5 cSt
    (85.0, 14.0, 0.0, 730.6), (85.0, 14.0, 60.0, 40.757), (85.0, 14.0, 120.0, 9.4042), (85.0, 14.0, 150.0, 5.8006),
])
def test_viscosity_follows_walther_s_line(at_40, at_100, degrees, expected):
    """ASTM D341: log10 log10(nu + 0.7) is a straight line over log10 T. The second rows are worked by hand from it."""
    found = viscosity_at(degrees + 273.15, viscosity_40C=at_40 * CST, viscosity_100C=at_100 * CST)
    assert found / CST == pytest.approx(expected, rel=1e-3)


def test_viscosity_is_as_given_where_it_is_given():
    for degrees, nu in ((40.0, 85.0), (100.0, 14.0)):
        assert viscosity_at(degrees + 273.15, viscosity_40C=85 * CST, viscosity_100C=14 * CST) / CST == pytest.approx(nu)


@pytest.mark.parametrize("degrees", [-10.0, 15.0, 40.0, 100.0, 130.0])
def test_density_is_within_a_hundredth_of_the_petroleum_tables(degrees):
    """ASTM D1250 for lubricating oils: rho15 exp(-a dT (1 + 0.8 a dT)), a = 0.6278 / rho15 a K (from memory, unverified)."""
    a, change = 0.6278 / 860, degrees - 15
    table = 860 * math.exp(-a * change * (1 + 0.8 * a * change))
    assert density_at(degrees + 273.15, density_15C=860.0) == pytest.approx(table, rel=0.01)
