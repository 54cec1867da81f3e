"""Periods of oil in tanks, held against linear wave theory worked by hand, scipy's Bessel functions and a measured tank."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import jnp_zeros

from generators.oil.slosh import CIRCLE_ROOT, circular_period, floor_bares_at, rectangular_period

G = 9.80665


def test_the_root_is_scipys():
    """J1'(x) = 0 first at 1.841183781; published tables that cite NASA SP-106, chapter 2, print 1.8412."""
    assert pytest.approx(jnp_zeros(1, 1)[0], rel=1e-14) == CIRCLE_ROOT
    assert pytest.approx(1.841183781, abs=1e-9) == CIRCLE_ROOT


@pytest.mark.parametrize("length, hertz", [(0.40, 0.925671), (0.25, 1.41069)])
def test_box(length, hertz):
    """60 mm deep: sqrt(g k tanh(k h)) / 2 pi with k = pi / L (derived)."""
    assert 1 / rectangular_period(length, depth=0.06) == pytest.approx(hertz, rel=5e-6)


def test_box_in_seconds():
    """0.40 m long, 0.06 m deep: 1.08030 s (derived)."""
    assert rectangular_period(0.40, depth=0.06) == pytest.approx(1.08030, abs=5e-6)


@pytest.mark.parametrize("depth, hertz", [(0.20, 2.46931), (0.05, 2.26576)])
def test_round_tank(depth, hertz):
    """Radius 75 mm: sqrt(g xi/R tanh(xi h/R)) / 2 pi (derived)."""
    assert 1 / circular_period(0.075, depth=depth) == pytest.approx(hertz, rel=5e-6)


def test_round_tank_as_deep_as_its_radius():
    """w2 R / g = xi tanh(xi): 1.7508 (derived); tables that cite SP-106 print 1.7506, with their rounded root."""
    ratio = (2 * math.pi / circular_period(0.31, depth=0.31)) ** 2 * 0.31 / G
    assert ratio == pytest.approx(1.7508, abs=5e-5)
    assert ratio == pytest.approx(1.7506, abs=3e-4)


def test_measured_tank():
    """SPHERIC benchmark test 10, lateral impact: a tank 900 mm long filled 93 mm deep, rocked at 0.613 Hz, told as 0.85 of
    its first period: 1.9192 s measured against 1.91709 s of theory with g = 9.81. The water is shallow (0.1 L) yet they
    agree to 0.2 %."""
    period = rectangular_period(0.900, depth=0.093, gravity=9.81)
    assert period == pytest.approx(1.91709, abs=1e-5)
    assert period == pytest.approx(1 / 0.613 / 0.85, rel=2e-3)


def test_shallow_oil_runs_at_the_long_waves_speed():
    """sqrt(g h): there and back in 2 L / sqrt(g h) (Lagrange; any text on water waves)."""
    assert rectangular_period(1.0, depth=1e-3) == pytest.approx(2 / math.sqrt(G * 1e-3), rel=1e-5)


def test_deep_oil_swings_as_a_pendulum():
    """g T2 / (4 pi2) = L / pi, whatever the depth (deep waves)."""
    for depth in (3.0, 30.0):
        length_of_pendulum = G * rectangular_period(1.0, depth=depth) ** 2 / (4 * math.pi**2)
        assert length_of_pendulum == pytest.approx(1 / math.pi, rel=1e-7)


def test_a_higher_mode_is_the_first_of_a_shorter_tank():
    """The third mode has walls of standing water at thirds of the length."""
    assert rectangular_period(0.9, depth=0.1, mode=3) == pytest.approx(rectangular_period(0.3, depth=0.1), rel=1e-12)


def test_rayleighs_quotient_gives_the_same_box():
    """w2 = g x integral of phi_z2 over the surface / integral of |grad phi|2 over the oil, energy of height against energy of
    motion, with phi = cos(kx) cosh(k(z + h)); both are integrated numerically, no dispersion relation is used."""
    length, depth = 0.4, 0.06
    k = math.pi / length
    cos2, sin2 = (quad(lambda x, f=f: f(k * x) ** 2, 0, length)[0] for f in (math.cos, math.sin))
    cosh2, sinh2 = (quad(lambda z, f=f: f(k * (z + depth)) ** 2, -depth, 0)[0] for f in (math.cosh, math.sinh))
    kinetic = k**2 * (sin2 * cosh2 + cos2 * sinh2)
    lifting = G * cos2 * (k * math.sinh(k * depth)) ** 2
    assert rectangular_period(length, depth=depth) == pytest.approx(2 * math.pi * math.sqrt(kinetic / lifting), rel=1e-9)


def test_more_gravity_swings_faster_by_its_root():
    assert rectangular_period(0.4, depth=0.06, gravity=4 * G) == pytest.approx(
        rectangular_period(0.4, depth=0.06) / 2, rel=1e-12
    )
    assert circular_period(0.1, depth=0.06, gravity=4 * G) == pytest.approx(circular_period(0.1, depth=0.06) / 2, rel=1e-12)


def test_many_at_once():
    lengths = np.array([0.25, 0.40])
    together = rectangular_period(lengths, depth=0.06)
    assert together == pytest.approx([rectangular_period(x, depth=0.06) for x in lengths], rel=1e-15)


def test_floor_runs_dry():
    """0.40 m long, 60 mm deep: walls 60 mm + slope x 0.20 m and 60 mm - slope x 0.20 m, the lower 0 at 0.300 (derived)."""
    assert floor_bares_at(0.40, depth=0.06) == pytest.approx(0.300, rel=1e-12)


@pytest.mark.parametrize("size, depth, gravity", [(0, 0.1, G), (0.1, -0.1, G), (0.1, 0.1, 0), (math.nan, 0.1, G)])
def test_no_such_tank(size, depth, gravity):
    for period in (rectangular_period, circular_period):
        with pytest.raises(ValueError, match="wants more than 0"):
            period(size, depth=depth, gravity=gravity)
