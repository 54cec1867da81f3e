"""A vehicle's centre and what its axles and sides carry, against statics: moments about the axles by hand, and a solver.

The figures are worked out by hand from equilibrium (sums of forces and of moments), as any text on vehicle dynamics has them,
e.g. Milliken and Milliken, Race Car Vehicle Dynamics, chapter 18 (from memory)."""

import numpy as np
import pytest

from generators.fit.mass import Lump, balance, moved_by, together, vehicle
from generators.parameters import Weighed
from generators.units import GRAVITY

BASE = Weighed(mass=980.0, front_share=0.52, left_share=0.5, centre_height=450.0, wheelbase=2500.0, track=1500.0, front_axle=0.0)
"""980 kg with its centre 1.2 m behind the front axle, which is over the origin here."""


def test_a_tank_behind_and_to_the_left():
    """20 kg 2.3 m behind the front axle, 0.45 m to the left, 0.4 m up."""
    b = balance(BASE, [Lump("tank", 20.0, np.array([-2300.0, 450.0, 400.0]))], cornering=1.2 * GRAVITY)
    assert b.mass == 1000 and b.centre == pytest.approx([-1222, 9, 449])
    assert (b.rear, b.rear / b.mass, b.left) == (pytest.approx(488.8), pytest.approx(0.4888), pytest.approx(506.0))
    assert [b.corners[k] for k in ("front_left", "front_right", "rear_left", "rear_right")] == pytest.approx([256.08, 255.12, 249.92, 238.88])
    assert b.transfer == pytest.approx(1000 * 1.2 * 449 / 1500)


def test_the_same_tank_ahead():
    b = balance(BASE, [Lump("tank", 20.0, np.array([-300.0, 450.0, 400.0]))], cornering=0.0)
    assert b.centre == pytest.approx([-1182, 9, 449]) and b.rear / b.mass == pytest.approx(0.4728)


def test_twenty_kilograms_low_down_lower_the_centre():
    assert together([vehicle(BASE), Lump("low", 20.0, np.array([-1200.0, 0.0, 100.0]))]).centre[2] == pytest.approx(443)


def test_a_lump_moved_moves_the_whole_by_its_share():
    """8 kg of oil 0.3 m higher in 1000 kg: 2.4 mm. An engine of 150 kg 50 mm lower: 7.5 mm, and at 1.2 g on a track of 1.5 m
    354 instead of 360 kg go over to the outer wheels."""
    assert moved_by(Lump("oil", 8.0, np.zeros(3)), 1000.0, [0, 0, 300]) == pytest.approx([0, 0, 2.4])
    fall = moved_by(Lump("engine", 150.0, np.zeros(3)), 1000.0, [0, 0, -50])[2]
    assert fall == pytest.approx(-7.5)
    heavy = BASE.model_copy(update={"mass": 1000.0})
    lower = heavy.model_copy(update={"centre_height": 450.0 + fall})
    assert [balance(v, [], cornering=1.2 * GRAVITY).transfer for v in (heavy, lower)] == pytest.approx([360, 354])


def test_against_a_solver_of_the_equations_of_equilibrium():
    """Forces and moments of many lumps, solved for two axles and for two sides: no formula in common."""
    rng = np.random.default_rng(3)
    lumps = [Lump(str(i), m, c) for i, (m, c) in enumerate(zip(rng.uniform(1, 60, 7), rng.uniform(-900, 900, (7, 3)), strict=True))]
    weighed = BASE.model_copy(update={"front_axle": 640.0, "left_share": 0.47})
    b = balance(weighed, lumps, cornering=9.0)
    masses = np.array([weighed.mass * weighed.front_share, weighed.mass * (1 - weighed.front_share), *(one.mass for one in lumps)])
    xs = np.array([640.0, 640.0 - 2500.0, *(one.centre[0] for one in lumps)])
    axles = np.linalg.solve([[1, 1], [640.0, 640.0 - 2500.0]], [masses.sum(), masses @ xs])
    assert (b.front, b.rear) == pytest.approx(tuple(axles))
    sides = np.array([weighed.mass * 0.47, weighed.mass * 0.53, *(one.mass for one in lumps)])
    ys = np.array([750.0, -750.0, *(one.centre[1] for one in lumps)])
    assert (b.left, b.right) == pytest.approx(tuple(np.linalg.solve([[1, 1], [750.0, -750.0]], [sides.sum(), sides @ ys])))
    assert sum(b.corners.values()) == pytest.approx(b.mass) and b.corners["front_left"] + b.corners["front_right"] == pytest.approx(b.front)


def test_what_hangs_far_behind_lifts_the_front():
    b = balance(BASE, [Lump("load", 2000.0, np.array([-4000.0, 0.0, 400.0]))], cornering=0.0)
    assert b.front < 0 < b.rear and b.front + b.rear == pytest.approx(2980)


def test_nothing_weighs_nothing():
    assert together([]) is None
