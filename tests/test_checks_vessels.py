"""Volumes below a height: boxes, pyramids, tilted bodies, against closed forms and against cutting the body."""

import manifold3d
import numpy as np
import pytest
import trimesh

from generators.checks.vessels import MESHED_SHARE, headspace, mean_below, oil_capacity, volume_below

TANK = trimesh.creation.box(bounds=[[0, 0, -20], [200, 100, 380]])
"""200 x 100 x 400 mm: 8 L."""


def test_a_box_fills_in_proportion():
    for height, share in ((-30, 0), (-20, 0), (80, 0.25), (380, 1), (500, 1)):
        assert volume_below(TANK, height) == pytest.approx(share * 8e6, rel=1e-12, abs=1e-6)


@pytest.mark.parametrize("height", [5.0, 17.3, 29.0])
def test_a_pyramid_fills_by_the_cube(height):
    """Volume under h of a pyramid of height 30: V (1 - ((30 - h) / 30)^3)."""
    base = np.array([[0, 0, 0], [40, 0, 0], [40, 50, 0], [0, 50, 0], [13, 21, 30.0]])
    faces = [[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]
    whole = 40 * 50 * 30 / 3
    assert volume_below(trimesh.Trimesh(base, faces), height) == pytest.approx(
        whole * (1 - (1 - height / 30) ** 3), rel=1e-12
    )


def test_any_body_fills_as_when_it_is_cut():
    """Against manifold3d's own cut of a turned ring."""
    ring = trimesh.creation.torus(50, 20)
    ring.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 2, 3)))
    metal = manifold3d.Manifold(manifold3d.Mesh64(np.asarray(ring.vertices), np.asarray(ring.faces).astype(np.uint64)))
    for height in np.linspace(-50, 50, 9):
        cut = metal.trim_by_plane((0, 0, -1), -height)
        assert volume_below(ring, height) == pytest.approx(cut.volume(), rel=1e-9, abs=1e-6)


def test_mean_below_against_integration():
    """Uniform points on the triangle, by a fine grid of its barycentric middles."""
    n = 400
    i, j = np.meshgrid(np.arange(n), np.arange(n))
    keep = i + j < n
    u, v = (i[keep] + 1 / 3) / n, (j[keep] + 1 / 3) / n
    for heights in ([-1.0, 2, 3], [-2, -1, 0.5], [-3, -2, -1], [1, 2, 3], [0, -1, 2], [0, 0, -1]):
        a, b, c = heights
        sampled = np.minimum(a + (b - a) * u + (c - a) * v, 0).mean()
        assert mean_below(np.array([heights]))[0] == pytest.approx(sampled, abs=5e-3)


def test_capacity_holds_the_oil_or_fails():
    full = 280.0
    fits = oil_capacity("reservoir", TANK, full_mark=full, oil=6e-3)
    assert fits.value == pytest.approx(6e-3, rel=1e-12)
    assert (fits.status, fits.id, fits.unit) == ("pass", "reservoir.oil_capacity", "m3")
    assert oil_capacity("reservoir", TANK, full_mark=full, oil=6.1e-3).status == "fail"
    assert oil_capacity("reservoir", TANK, full_mark=full, oil=None).status == "not assessed"


def test_headspace_is_the_share_above_the_mark():
    check = headspace("reservoir", TANK, full_mark=280.0, share=0.25)
    assert check.value == pytest.approx(0.25, rel=1e-12)
    assert (check.status, check.limit) == ("pass", pytest.approx(0.25 - MESHED_SHARE))
    assert headspace("reservoir", TANK, full_mark=300.0, share=0.25).status == "fail"


def test_the_mesh_of_a_round_tank_stays_within_what_is_allowed_for():
    """Inside of 45 mm radius: sides that leave the circle by the chord, area r^2 n sin(2 pi / n) / 2."""
    sides = np.ceil(np.pi / np.arccos(1 - 0.05 / 45))
    assert 1 - sides * np.sin(2 * np.pi / sides) / 2 / np.pi < MESHED_SHARE
