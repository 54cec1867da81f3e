"""Frames against plane facts of rotations and against scipy's rotations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from generators.sheet.frames import Frame, frame, identity


def random_frame(seed: int) -> Frame:
    """A frame turned and shifted anyhow."""
    rng = np.random.default_rng(seed)
    axes = Rotation.random(random_state=seed).as_matrix()
    return frame(origin=rng.uniform(-100, 100, 3), x=axes[:, 0], z=axes[:, 2])


@pytest.mark.parametrize("seed", range(10))
def test_a_frame_carries_points_as_a_rotation_and_a_shift(seed):
    axes = Rotation.random(random_state=seed)
    local = np.random.default_rng(seed).uniform(-50, 50, (7, 3))
    made = frame(origin=(1, 2, 3), x=axes.apply([1, 0, 0]), z=axes.apply([0, 0, 1]))
    assert made.points(local) == pytest.approx(axes.apply(local) + [1, 2, 3], abs=1e-10)


def test_axes_of_a_frame():
    made = frame(origin=(5, 6, 7), x=(0, 2, 0), z=(3, 0, 0))  # directions of any length
    assert made.points([(0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)]) == pytest.approx(
        np.array([(5, 6, 7), (5, 7, 7), (5, 6, 8), (6, 6, 7)])
    )


def test_plane_points_lie_at_height_0():
    made = random_frame(3)
    assert made.points([(4, 5)]) == pytest.approx(made.points([(4, 5, 0)]))
    assert made.points((4, 5)).shape == (1, 3)


@pytest.mark.parametrize("seed", range(5))
def test_frames_within_frames(seed):
    outer, inner = random_frame(seed), random_frame(seed + 100)
    local = np.random.default_rng(seed).uniform(-50, 50, (7, 3))
    assert (outer @ inner).points(local) == pytest.approx(outer.points(inner.points(local)), abs=1e-9)
    third = random_frame(seed + 200)
    assert ((outer @ inner) @ third).matrix == pytest.approx((outer @ (inner @ third)).matrix, abs=1e-9)


def test_identity_changes_nothing():
    local = np.array([(1.0, 2.0, 3.0)])
    assert identity().points(local) == pytest.approx(local)
    assert (identity() @ random_frame(1)).matrix == pytest.approx(random_frame(1).matrix)


@pytest.mark.parametrize(
    "turn", [np.diag([1, 1, -1]), np.diag([2, 1, 1]), np.diag([1, 0, 1]), np.array([[1, 0.1, 0], [0, 1, 0], [0, 0, 1]])]
)
def test_mirrors_scales_and_shears_are_refused(turn):
    matrix = np.eye(4)
    matrix[:3, :3] = turn
    with pytest.raises(ValueError, match="without scaling or mirroring"):
        Frame(matrix)


def test_axes_that_are_not_square_are_refused():
    with pytest.raises(ValueError, match="square"):
        frame(origin=(0, 0, 0), x=(1, 0, 0), z=(1, 0, 1))


@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning")
def test_an_axis_of_no_length_is_refused():
    with pytest.raises(ValueError):
        frame(origin=(0, 0, 0), x=(0, 0, 0), z=(0, 0, 1))
