"""Gaps between pieces: closed forms for boxes and round bars; joints opened on purpose."""

import math

import numpy as np
import pytest

from generators.bodies import body, gap, least_gap, moved, part_bodies, point_gap
from generators.checks.joints import ROOT_GAP_MM, STRANGERS_MM, joints, resampled, strangers
from generators.meshes import CHORD_MM, solid_mesh
from generators.pieces import Seam
from tests.small_parts import bar, block, bored_block, meshes_of, part_of, solid_piece

LOW_BLOCK = ((0, 0, 0), (40, 30, 10))


def bodies_of(part):
    return part_bodies(meshes_of(part))


def above(by: float):
    """A box over LOW_BLOCK with `by` mm between them."""
    return block((0, 0, 10 + by), (40, 30, 25 + by))


# ---------------------------------------------------------------- distances


@pytest.mark.parametrize("apart", [(0.5, 0, 0), (3, 4, 0), (2, 3, 6)])
def test_gap_of_two_boxes_is_that_of_their_corners(apart):
    one, other = (body("b", solid_mesh(block(*c))) for c in (((-5, -5, -5), (0, 0, 0)), (apart, np.add(apart, 5))))
    assert gap(one, other) == pytest.approx(math.hypot(*apart), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_gap_to_a_round_bar_is_never_overstated(seed):
    """Two bars askew: their axes' distance less both radii (skew lines)."""
    rng = np.random.default_rng(seed)
    way = rng.normal(size=3)
    way[2] = 0
    across = np.array([-way[1], way[0], 0]) / np.linalg.norm(way)
    one = body("one", solid_mesh(bar(radius=20, length=200, origin=(0, 0, -100))))
    axis = across * 0.6 + np.array([0, 0, 0.8])
    start = way / np.linalg.norm(way) * 33 - 100 * axis
    other = body("other", solid_mesh(bar(radius=11, length=200, origin=start, axis=axis)))
    assert 2 - 2 * CHORD_MM <= gap(one, other) <= 2 + 1e-9


def test_a_flat_skin_has_no_bulge_and_a_round_one_its_sagitta():
    assert body("flat", solid_mesh(block(*LOW_BLOCK))).bulge == 0
    mesh = solid_mesh(bar(radius=10, length=5))
    count = (np.abs(mesh.vertices[:, 2]) < 1e-9).sum()
    assert body("round", mesh).bulge == pytest.approx(10 * (1 - math.cos(math.pi / count)), rel=1e-6)


def test_moving_a_body_moves_what_is_measured():
    here = body("here", solid_mesh(block(*LOW_BLOCK)))
    quarter = np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1.0]])
    there = moved(moved(here, turn=quarter, shift=np.array([0, 0, 0.0])), turn=np.eye(3), shift=np.array([-2.5, 0, 0]))
    assert there.box == pytest.approx(np.array([[-32.5, 0, 0], [-2.5, 40, 10]]), abs=1e-9)
    assert gap(here, there) == pytest.approx(2.5, abs=1e-9)


def test_least_gap_finds_the_nearest_pair_of_many():
    rng = np.random.default_rng(5)
    lows = rng.uniform(0, 300, (30, 3))
    cubes = [body(str(i), solid_mesh(block(low, low + 6)), i) for i, low in enumerate(lows)]
    pairs = [(a, b) for i, a in enumerate(cubes) for b in cubes[:i]]
    value, one, other = least_gap(pairs)
    between = [np.linalg.norm(np.maximum(np.abs(lows[a.index] - lows[b.index]) - 6, 0)) for a, b in pairs]
    assert value == pytest.approx(min(between), abs=1e-9)
    assert (one, other) == pairs[int(np.argmin(between))]


def test_point_gap_is_to_the_skin_also_from_inside():
    cube = body("cube", solid_mesh(block((0, 0, 0), (10, 10, 10))))
    assert point_gap(np.array([5, 5, 13.0]), cube) == pytest.approx(3, abs=1e-9)
    assert point_gap(np.array([5, 5, 8.0]), cube) == pytest.approx(2, abs=1e-9)
    assert point_gap(np.array([5, 5, 10.0]), cube) == pytest.approx(0, abs=1e-5)


# ---------------------------------------------------------------- strangers


@pytest.mark.parametrize(("by", "status"), [(0.5, "pass"), (0.01, "fail"), (0.0, "fail")])
def test_strangers_are_as_far_as_their_boxes(by, status):
    part = part_of(solid_piece("low", block(*LOW_BLOCK)), solid_piece("high", above(by)))
    check = strangers(part, bodies_of(part))
    assert check.value == pytest.approx(by, abs=1e-6)
    assert (check.status, check.limit) == (status, STRANGERS_MM)


def test_pieces_that_are_joined_may_touch():
    pieces = (
        solid_piece("low", block(*LOW_BLOCK)),
        solid_piece("high", above(0)),
        solid_piece("far", block((50, 0, 0), (60, 9, 9))),
    )
    part = part_of(*pieces, touching=[("low", "high")])
    check = strangers(part, bodies_of(part))
    assert check.value == pytest.approx(10, abs=1e-9)
    assert "low 1 and far 1" in check.method


def test_copies_of_one_piece_are_strangers_to_each_other():
    part = part_of(solid_piece("pair", block(*LOW_BLOCK), above(0)))
    assert strangers(part, bodies_of(part)).status == "fail"


def test_a_pin_with_the_closest_running_fit_passes():
    """0.10 mm on diameter, the least play of a hinge pin: 0.05 mm a side."""
    part = part_of(
        solid_piece("pin", bar(radius=1.5, length=30, origin=(0, 0, -5))),
        solid_piece("knuckle", bored_block((-4, -4, 0), (4, 4, 20), radius=1.55)),
    )
    check = strangers(part, bodies_of(part))
    assert check.status == "pass"
    assert STRANGERS_MM < check.value <= 0.05


def test_a_part_of_one_piece_has_no_strangers():
    part = part_of(solid_piece("low", block(*LOW_BLOCK)))
    assert strangers(part, bodies_of(part)).status == "not assessed"


# ---------------------------------------------------------------- joints


def welded(by: float):
    path = np.array([[0, 0, 10], [40, 0, 10.0]])
    return part_of(
        solid_piece("low", block(*LOW_BLOCK)), solid_piece("high", above(by)), seams=(Seam("low", "high", path, 2.0),)
    )


@pytest.mark.parametrize(("by", "status"), [(0.0, "pass"), (0.3, "pass"), (0.8, "fail")])
def test_gap_along_a_weld_is_that_of_the_boxes(by, status):
    part = welded(by)
    check = joints(part, bodies_of(part))
    assert check.value == pytest.approx(by, abs=1e-5)
    assert (check.status, check.limit) == (status, ROOT_GAP_MM)


def test_a_weld_that_opens_at_one_end_fails_by_its_open_end():
    low, high = solid_piece("low", block(*LOW_BLOCK)), solid_piece("high", block((0, 0, 10), (30, 30, 25)))
    part = part_of(low, high, seams=(Seam("low", "high", np.array([[0, 0, 10], [40, 0, 10.0]]), 2.0),))
    check = joints(part, bodies_of(part))
    assert (check.value, check.status) == (pytest.approx(10, abs=1e-5), "fail")


def test_the_nearest_copy_counts():
    feet = solid_piece("foot", *(block((x, 0, 10), (x + 5, 5, 20)) for x in (0, 15, 30)))
    seams = tuple(Seam("base", "foot", np.array([[x, 0, 10], [x + 5, 0, 10.0]]), 2.0) for x in (0, 15, 30))
    part = part_of(solid_piece("base", block(*LOW_BLOCK)), feet, seams=seams)
    assert joints(part, bodies_of(part)).value == pytest.approx(0, abs=1e-5)


def test_a_part_without_seams_is_not_assessed():
    part = part_of(solid_piece("low", block(*LOW_BLOCK)))
    assert joints(part, bodies_of(part)).status == "not assessed"


def test_resampling_keeps_the_corners():
    path = np.array([[0, 0, 0], [5, 0, 0], [5, 3, 0.0]])
    points = resampled(path, 2.0)
    assert np.linalg.norm(np.diff(points, axis=0), axis=1).max() <= 2
    assert all(np.isclose(points, corner).all(axis=1).any() for corner in path)
