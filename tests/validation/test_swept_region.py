"""The swept region against the slider-crank's geometry and against sweeps made another way.

Source of the figures: plane kinematics of the slider-crank (any book on mechanisms). A corner c below the pin and e
aside of it lies sqrt(c2 + e2) from the pin; pin and corner come into line with the axis once a turn, whatever the
rod's length, so the largest radius is r + sqrt(c2 + e2). At bottom dead centre the same corner is sqrt((r + c)2 + e2)
from the axis. The other figures were made with a sweep of 2e5 crank positions, and are made again here by such a sweep.
"""

import math

import numpy as np
import pytest

from generators.crank import Band, angles, outline
from generators.crank.sweep import ANGLE_COUNT, Motion, big_end_radii, circle_radii, placed

THROW, ROD, CAP, BREADTH = 43.0, 150.0, 38.0, 34.0
RECTANGLE = [(-BREADTH, -CAP), (BREADTH, -CAP), (BREADTH, BREADTH), (-BREADTH, BREADTH)]
POSITIONS = 200_000
ALLOWED_UNDER_MM = 0.01
ALLOWED_OVER_MM = 0.05

TRACED = [(-31, -12), (-22, -12), (-22, -39), (-9, -41), (9, -41), (22, -39),
          (25, -11), (31, -12), (29, 16), (12, 32), (-12, 32), (-29, 16)]
ENGINES = {
    "test engine": (THROW, ROD, RECTANGLE, 0.0),
    "vee bank": (THROW, ROD, RECTANGLE, math.radians(30)),
    "flat bank": (THROW, ROD, RECTANGLE, math.pi / 2),
    "narrow cap": (THROW, ROD, [(-10, -30), (10, -30), (10, 10), (-10, 10)], 0.0),
    "short rod": (60.0, 95.0, RECTANGLE, 0.3),
    "traced, not convex": (40.0, 140.0, TRACED, 0.0),
    "lopsided, clockwise": (38.0, 133.0, [(-20, 25), (33, 20), (35, -30), (-25, -36)], -0.4),
    "deep cap": (30.0, 140.0, [(-20, -60), (20, -60), (20, 20), (-20, 20)], 0.0),
    "small outline": (60.0, 160.0, [(-8, -9), (8, -9), (8, 8), (-8, 8)], 0.0),
}


def radius_of_polygon(radius, direction):
    """Radius at which rays at `direction` (rad) leave the polygon through `radius`, by the sine rule in each sector."""
    width = 2 * math.pi / len(radius)
    place = np.mod(direction, 2 * math.pi) / width
    sector = np.floor(place).astype(int)
    past = (place - sector) * width
    before, after = radius[sector % len(radius)], radius[(sector + 1) % len(radius)]
    return math.sin(width) / (np.sin(width - past) / before + np.sin(past) / after)


def swept(throw, rod, corners, bank, positions=POSITIONS):
    """Corners at every position, as complex numbers y + i z, shape (corners, positions): the small end is on the bank's
    axis at the far end of the rod, so the rod points from the pin to it."""
    turn = 2 * np.pi * np.arange(positions) / positions
    pin = throw * np.exp(1j * (np.pi / 2 - turn))
    small_end = 1j * (pin.imag + np.sqrt(rod**2 - pin.real**2))
    along = (small_end - pin) / rod
    return np.array([pin + v * along + u * along * -1j for u, v in corners]) * np.exp(1j * bank)


def outermost(corners, directions):
    """Largest radius at which any edge at any position crosses each ray."""
    found = []
    for direction in directions:
        seen = corners * np.exp(-1j * direction)
        most = 0.0
        for p, q in zip(seen, np.roll(seen, -1, axis=0), strict=True):
            crossing = p.imag * q.imag <= 0
            p, q = p[crossing], q[crossing]
            share = p.imag / (p.imag - q.imag)
            most = max(most, float(np.max(p.real + share * (q.real - p.real), initial=0.0)))
        found.append(most)
    return np.array(found)


def radii_of(name):
    throw, rod, corners, bank = ENGINES[name]
    return big_end_radii(corners, Motion(throw, rod), bank)


def test_largest_radius_is_throw_and_corner_in_line():
    radius = radii_of("test engine").max()
    assert radius == pytest.approx(THROW + math.hypot(CAP, BREADTH), abs=0.005)
    assert radius == pytest.approx(93.9902, abs=0.005)
    assert radius >= 93.9902


def test_largest_radius_does_not_depend_on_the_rod():
    for rod in (100.0, 150.0, 400.0):
        assert big_end_radii(RECTANGLE, Motion(THROW, rod)).max() == pytest.approx(93.9902, abs=0.01)


def test_lowest_and_half_width_of_a_sweep_of_200000_positions():
    points = outline(Band(0, 1, radii_of("test engine"), ""))
    sweep = swept(THROW, ROD, RECTANGLE, 0.0)
    assert sweep.imag.min() == pytest.approx(-82.0193, abs=1e-4)
    assert sweep.real.max() == pytest.approx(86.4664, abs=1e-4)
    assert -0.01 < points[:, 1].min() - sweep.imag.min() <= 0
    assert 0 <= points[:, 0].max() - sweep.real.max() < 0.01
    assert points[:, 1].min() < -(THROW + CAP), "the tilted cap reaches lower than the cap at bottom dead centre"


def test_corner_at_bottom_dead_centre():
    corner = placed(np.array([BREADTH, -CAP]), np.array(math.pi), Motion(THROW, ROD))
    assert np.hypot(*corner) == pytest.approx(math.hypot(THROW + CAP, BREADTH), abs=1e-9)
    assert np.hypot(*corner) == pytest.approx(87.8465, abs=1e-4)


def test_an_endless_rod_sweeps_its_outline_moved_round_a_circle():
    """With no tilt the sweep is the outline and a circle of the throw added point by point (Minkowski sum): straight
    sides at cap depth + throw and half breadth + throw."""
    points = outline(Band(0, 1, big_end_radii(RECTANGLE, Motion(THROW, 1e9)), ""))
    assert points[:, 1].min() == pytest.approx(-(CAP + THROW), abs=0.002)
    assert points[:, 1].max() == pytest.approx(BREADTH + THROW, abs=0.002)
    assert points[:, 0].max() == pytest.approx(BREADTH + THROW, abs=0.002)
    y, z = points.T
    area = 0.5 * abs(np.sum(y * np.roll(z, -1) - np.roll(y, -1) * z))
    width, height = 2 * BREADTH, CAP + BREADTH
    assert area == pytest.approx(width * height + 2 * (width + height) * THROW + math.pi * THROW**2, rel=1e-4)


@pytest.mark.parametrize("name", ENGINES)
def test_no_point_of_corners_or_edges_is_left_outside(name):
    """Every corner at 2e5 positions, and 60 points of every edge at 2e4 positions."""
    throw, rod, corners, bank = ENGINES[name]
    radius = radii_of(name)
    corner = swept(throw, rod, corners, bank)
    worst = np.max(np.abs(corner) - radius_of_polygon(radius, np.angle(corner)))
    p = swept(throw, rod, corners, bank, positions=POSITIONS // 10)
    for share in np.arange(1, 60) / 60:
        edge = p + share * (np.roll(p, -1, axis=0) - p)
        worst = max(worst, np.max(np.abs(edge) - radius_of_polygon(radius, np.angle(edge))))
    assert worst <= 0, f"under-covers by {worst:.6f} mm; {ALLOWED_UNDER_MM} mm are allowed, none is meant"


@pytest.mark.parametrize("name", ENGINES)
def test_no_more_is_covered_than_is_swept(name):
    """Along rays other than the outline's own, against the outermost edge at 2e5 positions."""
    throw, rod, corners, bank = ENGINES[name]
    directions = np.random.default_rng(7).uniform(0, 2 * math.pi, 25)
    over = radius_of_polygon(radii_of(name), directions) - outermost(swept(throw, rod, corners, bank), directions)
    assert over.min() > -1e-9
    assert over.max() < ALLOWED_OVER_MM


def test_edges_reach_beyond_the_paths_of_their_ends():
    """Without the edges' own boundary the outline would be too small: on the test engine's top by more than 1 mm."""
    throw, rod, corners, bank = ENGINES["test engine"]
    up = np.array([math.pi / 2])
    path = swept(throw, rod, corners, bank)
    on_ray = path.imag[(np.abs(path.real) < 0.01) & (path.imag > 0)]
    assert radius_of_polygon(radii_of("test engine"), up)[0] - on_ray.max() > 1


def test_a_union_of_positions_leaves_scallops():
    """Why no union of outlines is used: between 720 positions the corner's path leaves their union by over 0.1 mm."""
    import shapely

    coarse, fine = swept(THROW, ROD, RECTANGLE, 0.0, positions=720), swept(THROW, ROD, RECTANGLE, 0.0, positions=7200)
    union = shapely.union_all([shapely.Polygon(np.column_stack([p.real, p.imag])) for p in coarse.T])
    path = shapely.points(fine.real, fine.imag)
    assert shapely.distance(union, path).max() > 0.1
    assert shapely.Polygon(outline(Band(0, 1, radii_of("test engine"), ""))).covers(path).all()


def test_both_banks_of_a_vee_together():
    """The larger of two banks at each of the outline's rays may cover too much only in the notch between them."""
    from generators.crank import throw_radii

    class Vee:
        stroke, rod_length, bank_angle, big_end = 2 * THROW, ROD, math.radians(60), None

    class BigEnd:
        outline = RECTANGLE

    Vee.big_end = BigEnd
    directions = np.random.default_rng(11).uniform(0, 2 * math.pi, 50)
    banks = [outermost(swept(THROW, ROD, RECTANGLE, bank), directions) for bank in (math.pi / 6, -math.pi / 6)]
    over = radius_of_polygon(throw_radii(Vee), directions) - np.max(banks, axis=0)
    assert 0 <= over.min()
    assert over.max() < ALLOWED_OVER_MM


def test_a_circle_lies_inside_its_polygon():
    radius = circle_radii(84.0)
    assert radius_of_polygon(radius, angles(4 * ANGLE_COUNT) + 1e-4).min() >= 84.0 - 1e-9
    assert radius.max() < 84.001
