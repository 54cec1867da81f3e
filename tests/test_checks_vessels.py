"""What a vessel holds and leaves for air, against a box and the closed form of a circle's chords."""

import numpy as np
import pytest
import trimesh

from generators.checks.vessels import MESHED_SHARE, headspace, oil_capacity

TANK = trimesh.creation.box(bounds=[[0, 0, -20], [200, 100, 380]])
"""200 x 100 x 400 mm: 8 L."""


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
