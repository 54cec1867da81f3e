"""The accelerations that are looked at: the stated ellipse, the hull of a lap, and a vehicle that is parked."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from generators.driving import envelope
from generators.units import GRAVITY

DRIVING = SimpleNamespace(cornering=15.0, braking=12.0, acceleration=6.0, crest=3.0, compression=5.0)


def test_the_stated_ellipse():
    """(ax / axmax)^2 + (ay / aymax)^2 = 1 at the largest, axmax by the sign of ax; at crest, level and compression."""
    made = envelope.stated(DRIVING)
    assert made.grid.shape == (3, len(envelope.SHARES), envelope.ANGLES, 3)
    x, y, z = np.moveaxis(made.grid, 3, 0)
    along = np.where(x < 0, DRIVING.braking, DRIVING.acceleration)
    np.testing.assert_allclose(np.hypot(x / along, y / DRIVING.cornering), np.broadcast_to(np.array(envelope.SHARES)[None, :, None], x.shape), rtol=1e-12)
    assert (z == np.array([-3.0, 0.0, 5.0])[:, None, None]).all()
    assert x.min() == -DRIVING.braking and x.max() == DRIVING.acceleration and y.max() == -y.min() == DRIVING.cornering
    np.testing.assert_allclose(made.reach, np.linalg.norm(made.grid[1, -1], axis=1), rtol=1e-12)
    np.testing.assert_array_equal(made.still, [[0, 0, -3], [0, 0, 0], [0, 0, 5]])
    assert "1.53 g cornering" in made.said and "72 directions" in made.said


def test_points_and_which_are_brief():
    made = envelope.stated(DRIVING)
    assert made.points.shape == (3 * len(envelope.SHARES) * 72 + 3, 3)
    np.testing.assert_array_equal(made.is_brief, made.points[:, 2] != 0)


@pytest.fixture(scope="module")
def lap():
    """Accelerations (n, 3) m/s2 in a skewed cloud."""
    cloud = np.random.default_rng(4).normal(size=(4000, 3)) * [4, 6, 1.5]
    return cloud + 0.2 * cloud[:, [1, 0, 2]]


@pytest.mark.parametrize("has_vertical", [True, False])
def test_the_hull_of_a_lap(lap, has_vertical):
    """The outermost points lie on the hull of the lap, widened by the resolution (scipy's own, of all points at once)."""
    made = envelope.logged(lap * [1, 1, has_vertical], has_vertical=has_vertical, driving=DRIVING)
    corners = envelope.RESOLUTION * np.array(np.meshgrid(*[(-1, 1)] * 3)).reshape(3, -1).T
    wide = (np.concatenate([lap * [1, 1, has_vertical], np.zeros((1, 3))])[:, None] + corners).reshape(-1, 3)
    flat = ConvexHull(wide[:, :2]).equations
    rim = made.grid[1, -1, :, :2] @ flat[:, :2].T + flat[:, 2]
    np.testing.assert_allclose(rim.max(axis=1), 0, atol=1e-9)
    if not has_vertical:
        assert set(made.grid[..., 2].ravel()) == {-3.0, 0.0, 5.0} and "nothing was logged upwards" in made.said
        return
    planes = ConvexHull(wide).equations
    for level in (0, 2):
        off = made.grid[level].reshape(-1, 3) @ planes[:, :3].T + planes[:, 3]
        np.testing.assert_allclose(off.max(axis=1), 0, atol=1e-8)
    assert (made.grid[0, ..., 2] <= made.grid[1, ..., 2]).all() and (made.grid[1, ..., 2] <= made.grid[2, ..., 2]).all()
    inner = made.grid[1, 0]
    assert (inner[:, 2] == 0).all()


@pytest.mark.parametrize("shape", [(0, 0, 0), (1, 0, 0), (0, 1, 1)])
def test_a_lap_without_breadth_has_a_hull(lap, shape):
    """A straight, or standing still: as wide as a logger can tell."""
    made = envelope.logged(lap * shape, has_vertical=True, driving=DRIVING)
    assert np.isfinite(made.points).all()
    assert made.reach.min() >= envelope.RESOLUTION * 0.99
    if not any(shape):
        assert made.reach.max() == pytest.approx(envelope.RESOLUTION * math.sqrt(2), rel=1e-9)


def test_parked_on_a_slope():
    """Weight alone, turned: as long as gravity, off upright by the slope; the rear lies low where it leans forward."""
    lean = envelope.up_of(envelope.parked(math.radians(20)))
    np.testing.assert_allclose(np.linalg.norm(lean, axis=1), GRAVITY, rtol=1e-12)
    np.testing.assert_allclose(np.degrees(np.arccos(lean[:, 2] / GRAVITY)), 20, rtol=1e-9)
    assert lean[0, 0] > 0 and abs(lean[0, 1]) < 1e-12


def test_weight_and_acceleration_together():
    """Braking 1.2 g while turning left at 0.9 g: unit vector (-0.66564, 0.49923, 0.55470), 1.80278 g (derived: the vector
    (-1.2, 0.9, 1) by its length, ISO 8855 axes)."""
    pull = envelope.up_of(GRAVITY * np.array([[-1.2, 0.9, 0.0]]))[0]
    assert np.linalg.norm(pull) / GRAVITY == pytest.approx(1.80278, abs=1e-5)
    np.testing.assert_allclose(pull / np.linalg.norm(pull), [-0.66564, 0.49923, 0.55470], atol=1e-5)
