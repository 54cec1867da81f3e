"""The free surface as a figure: areas and extents of cut bodies in closed form and against manifold3d's slices."""

import math

import manifold3d
import numpy as np
import pytest
import trimesh

from generators.oil.section import first_period, is_round, length_along, mean_extent, section
from generators.oil.slosh import circular_period, rectangular_period
from generators.oil.surface import body_below, offsets, skin

G = 9.80665
UPRIGHT, X, Y = np.array([0.0, 0, 1]), np.array([1.0, 0, 0]), np.array([0.0, 1, 0])
LENGTH, WIDTH, HEIGHT = 400.0, 250.0, 120.0
BOX = trimesh.creation.box(bounds=[[0, 0, 0], [LENGTH, WIDTH, HEIGHT]])
DIAGONAL = (1, 1, 0)


def of(mesh: trimesh.Trimesh, up=UPRIGHT, offset: float = 60.0):
    """Its section."""
    return section(skin(mesh.vertices, mesh.faces), np.asarray(up, float), offset)


def tilted(x: float, y: float) -> tuple[np.ndarray, float]:
    """Direction square to the surface z = 60 + x (X - 200) + y (Y - 125), and its offset."""
    up = np.array([-x, -y, 1.0]) / math.sqrt(1 + x * x + y * y)
    return up, float(up @ (LENGTH / 2, WIDTH / 2, HEIGHT / 2))


def post(radius: float, *, height: float = 200.0, sections: int = 96) -> trimesh.Trimesh:
    """An upright cylinder on z = 0."""
    body = trimesh.creation.cylinder(radius=radius, height=height, sections=sections)
    body.apply_translation((0, 0, height / 2))
    return body


def holed(outer: trimesh.Trimesh, *inner: trimesh.Trimesh) -> trimesh.Trimesh:
    """A body less others that stand apart in it: their skins turned inside out."""
    for body in inner:
        body.invert()
    return trimesh.util.concatenate([outer, *inner])


# ---------------------------------------------------------------- a box, by hand


@pytest.mark.parametrize("slope", [0.0, 0.1, 0.25, -0.28])
def test_box_tilted_about_one_axis(slope):
    """Walls cut only: longer by 1 / cos along the slope, as wide as before."""
    stretch = math.hypot(1, slope)
    found = of(BOX, *tilted(slope, 0))
    assert found.area == pytest.approx(LENGTH * WIDTH * stretch, rel=1e-12)
    assert found.extent(X) == pytest.approx(LENGTH * stretch, rel=1e-12)
    assert found.extent(-3 * Y) == pytest.approx(WIDTH, rel=1e-12)
    assert length_along(found, X) == pytest.approx(LENGTH * stretch, rel=1e-12)
    assert length_along(found, Y) == pytest.approx(WIDTH, rel=1e-12)


@pytest.mark.parametrize("x, y", [(0.1, 0.2), (-0.2, 0.1), (0.05, -0.3)])
def test_box_tilted_about_two_axes(x, y):
    """Walls cut only: a parallelogram over the whole plan, area L B / up_z; of its two pairs of sides (L, 0, x L) and (0, B,
    y B) each adds its length along a direction to the extent."""
    up, offset = tilted(x, y)
    found = of(BOX, up, offset)
    assert found.area == pytest.approx(LENGTH * WIDTH / up[2], rel=1e-12)
    for direction in (X, Y, (1, 1, 0), (2, -1, 0.3)):
        level = np.asarray(direction, float) - up * (up @ direction)
        level /= np.linalg.norm(level)
        sides = np.array([[LENGTH, 0, x * LENGTH], [0, WIDTH, y * WIDTH]])
        assert found.extent(direction) == pytest.approx(np.abs(sides @ level).sum(), rel=1e-12)


@pytest.mark.parametrize("slope, wet", [(1.0, 219.0890), (1.5, 178.8854)])
def test_box_whose_floor_is_partly_bare(slope, wet):
    """400 mm long, 60 mm deep at rest, tilted beyond 2 h / L: wet floor sqrt(2 h L / slope), so the surface is longer than
    that by 1 / cos (derived). Tall enough that the oil does not reach the roof."""
    tall = trimesh.creation.box(bounds=[[0, 0, 0], [LENGTH, WIDTH, 400]])
    space, up = skin(tall.vertices, tall.faces), np.array([slope, 0.0, 1.0])
    found = section(space, up, offsets(space, up, LENGTH * WIDTH * 60.0)[0])
    assert wet == pytest.approx(math.sqrt(2 * 60 * LENGTH / slope), abs=1e-4)
    assert found.extent(X) == pytest.approx(wet * math.hypot(1, slope), abs=2e-4)
    assert found.area == pytest.approx(wet * math.hypot(1, slope) * WIDTH, rel=1e-6)


def test_a_corner_cut_off():
    """The plane n . p = a near the corner cuts a triangle of a2 |n| / (2 n1 n2 n3), here with n of length 1."""
    n, a = np.array([0.5, 0.8, 1.0]) / math.sqrt(1.89), 30.0
    found = of(BOX, n, a)
    assert found.area == pytest.approx(a**2 / (2 * n.prod()), rel=1e-12)
    corners = a / n[:, None] * np.eye(3)
    assert found.extent((1, 0, 0)) == pytest.approx(np.ptp(corners @ ((X - n * n[0]) / np.linalg.norm(X - n * n[0]))), rel=1e-12)
    assert found.pools == 1


def test_every_segment_lies_in_the_plane_with_the_oil_on_its_left():
    up, offset = tilted(0.1, 0.2)
    found = of(BOX, up, offset)
    assert found.segments.shape[1:] == (2, 3)
    assert found.segments @ up == pytest.approx(np.full(found.segments.shape[:2], offset), abs=1e-10)
    inwards = np.cross(up, found.segments[:, 1] - found.segments[:, 0])
    middle = np.array([LENGTH, WIDTH, HEIGHT]) / 2
    assert (((middle - found.segments[:, 0]) * inwards).sum(axis=1) > 0).all()
    assert np.abs(found.segments[:, 1].sum(axis=0) - found.segments[:, 0].sum(axis=0)).max() < 1e-9


def test_a_plane_through_corners_and_level_faces():
    """At the roof the surface is the roof; through four corners it is that rectangle; the floor has no surface."""
    assert of(BOX, UPRIGHT, HEIGHT).area == pytest.approx(LENGTH * WIDTH, rel=1e-12)
    up = np.array([-HEIGHT, 0, LENGTH]) / math.hypot(HEIGHT, LENGTH)
    assert of(BOX, up, 0.0).area == pytest.approx(math.hypot(LENGTH, HEIGHT) * WIDTH, rel=1e-12)
    for offset in (0.0, -1.0, HEIGHT + 1):
        with pytest.raises(ValueError, match="no surface"):
            of(BOX, UPRIGHT, offset)


def test_a_direction_square_to_the_surface_has_no_length():
    for ask in (of(BOX).extent, lambda d: length_along(of(BOX), d)):
        with pytest.raises(ValueError, match="square to the oil's surface"):
            ask(2 * UPRIGHT)


# ---------------------------------------------------------------- any body


@pytest.fixture(scope="module")
def pan():
    """A shallow body over a deep sump, a post in it, all turned off square."""
    shallow = trimesh.creation.box(bounds=[[0, 0, -60], [400, 200, 0]])
    sump = trimesh.creation.box(bounds=[[20, 20, -180], [180, 180, -50]])
    boss = trimesh.creation.cylinder(radius=15, height=200, sections=24)
    boss.apply_translation((100, 100, -150))
    body = trimesh.boolean.difference([trimesh.boolean.union([shallow, sump]), boss])
    body.apply_transform(trimesh.transformations.rotation_matrix(0.13, (1, 2, 0.5)))
    assert body.is_watertight
    return body


@pytest.mark.parametrize("up", [(0, 0, 1), (0.4, -0.2, 1), (-1, 0.5, 1), (0, 1, 0.1)])
@pytest.mark.parametrize("litres", [1.5, 3.0, 5.0])
def test_area_and_pools_are_those_of_a_slice(pan, up, litres):
    """Three ways: round the segments, by the divergence theorem under the plane, and manifold3d's slice of the body laid level."""
    space, up = skin(pan.vertices, pan.faces), np.asarray(up, float) / np.linalg.norm(up)
    offset = offsets(space, up, litres * 1e6)[0]
    found = section(space, up, offset)
    assert found.area == pytest.approx(body_below(space, up, offset).free, rel=1e-9)
    level = trimesh.geometry.align_vectors(up, UPRIGHT)[:3, :3]
    body = manifold3d.Manifold(manifold3d.Mesh64(pan.vertices @ level.T, pan.faces.astype(np.uint64)))
    slice_ = body.slice(offset)
    assert found.area == pytest.approx(slice_.area(), rel=1e-7)
    assert found.pools == len(slice_.decompose())


def test_turning_all_together_changes_nothing(pan):
    """Mesh, plane and direction turned and moved as one."""
    turn = trimesh.transformations.rotation_matrix(1.1, (0.3, -1, 0.7))[:3, :3]
    move, up, direction = np.array([70.0, -300, 12]), np.array([0.3, -0.2, 0.93]), np.array([1.0, 0.4, 0.1])
    up /= np.linalg.norm(up)
    space = skin(pan.vertices, pan.faces)
    there = skin(pan.vertices @ turn.T + move, pan.faces)
    offset = float(offsets(space, up, 3e6)[0])
    here, moved = section(space, up, offset), section(there, turn @ up, offset + turn @ up @ move)
    assert moved.area == pytest.approx(here.area, rel=1e-11)
    assert moved.extent(turn @ direction) == pytest.approx(here.extent(direction), rel=1e-11)
    assert length_along(moved, turn @ direction) == pytest.approx(length_along(here, direction), rel=1e-11)
    assert (is_round(moved), moved.pools) == (is_round(here), here.pools)
    periods = [first_period(s, volume=3e6, direction=d, gravity=G) for s, d in ((here, direction), (moved, turn @ direction))]
    assert periods[0][:3] == pytest.approx(periods[1][:3], rel=1e-11) and periods[0].shape == periods[1].shape


def test_the_two_lengths_enclose_the_area(pan):
    """Along and across, whatever the direction; twice the direction is the same."""
    found = of(pan, (0.1, 0.2, 1), -40.0)
    across = np.cross(found.up, DIAGONAL)
    assert length_along(found, DIAGONAL) * length_along(found, across) == pytest.approx(found.area, rel=1e-12)
    assert length_along(found, DIAGONAL) / length_along(found, across) == pytest.approx(
        found.extent(DIAGONAL) / found.extent(across), rel=1e-12
    )


# ---------------------------------------------------------------- rings and pools


def test_a_post_in_the_oil_takes_its_area_and_no_length():
    square = trimesh.creation.box(bounds=[[180, 100, -10], [220, 140, 150]])
    found = of(holed(trimesh.creation.box(bounds=[[0, 0, -20], [LENGTH, WIDTH, 200]]), square))
    assert found.area == pytest.approx(LENGTH * WIDTH - 40 * 40, rel=1e-12)
    assert (found.extent(X), found.extent(Y)) == pytest.approx((LENGTH, WIDTH), rel=1e-12)
    assert found.pools == 1


def test_pools_apart_from_each_other():
    """A ridge 40 mm wide in the floor parts low oil: two surfaces 100 and 260 mm long in 400; over the ridge they are one. A pool
    inside a ring of metal counts by itself."""
    ridge = trimesh.creation.box(bounds=[[100, -1, -1], [140, WIDTH + 1, 50]])
    pan = trimesh.boolean.difference([BOX, ridge])
    low, high = of(pan, offset=30.0), of(pan, offset=80.0)
    assert (low.pools, high.pools) == (2, 1)
    assert low.area == pytest.approx(360 * WIDTH, rel=1e-9) and high.area == pytest.approx(LENGTH * WIDTH, rel=1e-9)
    assert (low.extent(X), low.extent(Y)) == pytest.approx((LENGTH, WIDTH), rel=1e-9)
    assert length_along(low, X) == pytest.approx(math.sqrt(360 * 400), rel=1e-9)
    nested = trimesh.util.concatenate([holed(post(90), post(60)), post(50)])
    assert of(nested).pools == 2


def test_pools_in_line_swing_slower_taken_as_one():
    """Of one width: even the longer of the two by itself has the shorter period."""
    ridge = trimesh.creation.box(bounds=[[100, -1, -1], [140, WIDTH + 1, 50]])
    low = of(trimesh.boolean.difference([BOX, ridge]), offset=30.0)
    together = first_period(low, volume=360 * WIDTH * 30, direction=X, gravity=G)
    assert together.depth == pytest.approx(30, rel=1e-9)
    assert together.period > rectangular_period(0.260, depth=0.030) > rectangular_period(0.100, depth=0.030)


# ---------------------------------------------------------------- round or not


@pytest.mark.parametrize("sections", [16, 24, 96])
def test_a_cylinder_is_round(sections):
    found = of(post(75, sections=sections))
    assert is_round(found)
    assert mean_extent(found) == pytest.approx(150, rel=0.02 if sections < 24 else 0.01)


def test_a_pipe_in_the_tank_leaves_it_round_and_a_drum_does_not():
    """A twelfth of the radius takes 0.7 % of the area, two fifths 16 %."""
    assert is_round(of(holed(post(75), post(75 / 12, height=190))))
    assert not is_round(of(holed(post(75), post(30, height=190))))


def test_what_is_not_round():
    """A square and a hexagon; a ring of six small pools is as wide all round but not as full."""
    square = trimesh.creation.box(bounds=[[0, 0, 0], [100, 100, 100]])
    assert not is_round(of(square)) and not is_round(of(BOX)) and not is_round(of(post(75, sections=6)))
    pools = [post(20) for _ in range(12)]
    for n, pool in enumerate(pools):
        pool.apply_translation((90 * math.cos(n * math.pi / 6), 90 * math.sin(n * math.pi / 6), 0))
    ring = of(trimesh.util.concatenate(pools))
    assert ring.pools == 12 and not is_round(ring)
    diagonal = 2 * (90 * math.cos(math.pi / 12) + 20)
    assert [ring.extent(d) for d in (X, Y, DIAGONAL)] == pytest.approx([220, 220, diagonal], rel=5e-3)


@pytest.mark.parametrize("degrees, round_still", [(0, True), (10, True), (25, False), (45, False)])
def test_a_tilted_tank_is_round_until_its_surface_is_an_ellipse(degrees, round_still):
    """Semi-axes R and R / cos(tilt), area pi R2 / cos(tilt); 1 / cos is 1.015 at 10 degrees and 1.103 at 25."""
    tilt = math.radians(degrees)
    up = np.array([math.sin(tilt), 0, math.cos(tilt)])
    found = of(post(75, height=400, sections=192), up, up[2] * 200)
    assert found.area == pytest.approx(math.pi * 75**2 / math.cos(tilt), rel=1e-3)
    assert (found.extent(X), found.extent(Y)) == pytest.approx((150 / math.cos(tilt), 150), rel=1e-3)
    assert is_round(found) is round_still


# ---------------------------------------------------------------- the swing


@pytest.mark.parametrize("direction, length", [(X, 400.0), (Y, 250.0)])
def test_swing_of_a_box(direction, length):
    """0.40 m long and 60 mm deep: 1.08030 s (linear waves, derived); across, its width's."""
    found = first_period(of(BOX), volume=LENGTH * WIDTH * 60, direction=direction, gravity=G)
    assert found.shape == "rectangular"
    assert (found.size, found.depth) == pytest.approx((length, 60), rel=1e-12)
    assert found.period == pytest.approx(rectangular_period(length / 1000, depth=0.060), rel=1e-12)
    if length == 400:
        assert found.period == pytest.approx(1.08030, abs=5e-6)


def test_swing_of_a_round_tank():
    """Radius 75 mm, 200 mm deep: 2.46931 Hz (derived), any way it is pushed."""
    tank = post(75, height=300, sections=192)
    for direction in (X, Y, DIAGONAL):
        found = first_period(of(tank, offset=200.0), volume=math.pi * 75**2 * 200, direction=direction, gravity=G)
        assert found.shape == "circular"
        assert (found.size, found.depth) == pytest.approx((75, 200), rel=1e-3)
        assert found.period == pytest.approx(1 / 2.46931, rel=5e-4)
    with pytest.raises(ValueError, match="square to the oil's surface"):
        first_period(of(tank, offset=200.0), volume=1e6, direction=UPRIGHT, gravity=G)


def test_the_equal_square_stands_well_for_a_round_tank():
    """Were the tank not known to be round: side sqrt(pi) R, so deep oil swings 1.9 % slower, sqrt(1.8412 / sqrt(pi)); well
    within the spread that a rectangle is given."""
    tank = of(post(75, sections=192))
    square = rectangular_period(length_along(tank, X) / 1000, depth=0.3)
    assert square / circular_period(0.075, depth=0.3) == pytest.approx(math.sqrt(1.8412 / math.sqrt(math.pi)), rel=1e-3)


def test_tilted_oil_swings_by_its_own_surface_and_pull():
    """At 1 g sideways the pull is sqrt(2) g along the tilted up; the length is the surface's, the depth the mean one
    square to it: all as in a box that is that long and deep."""
    tall = trimesh.creation.box(bounds=[[0, 0, 0], [LENGTH, WIDTH, 400]])
    space, up = skin(tall.vertices, tall.faces), np.array([1.0, 0, 1.0])
    volume = LENGTH * WIDTH * 60.0
    surface, pull = section(space, up, offsets(space, up, volume)[0]), math.sqrt(2) * G
    found = first_period(surface, volume=volume, direction=X, gravity=pull)
    length = math.sqrt(2 * 60 * 400) * math.sqrt(2)
    assert (found.size, found.depth) == pytest.approx((length, 60 * 400 / length), rel=1e-9)
    assert found.period == pytest.approx(
        rectangular_period(length / 1000, depth=24 / length, gravity=pull), rel=1e-9
    )


def test_no_oil_does_not_swing():
    with pytest.raises(ValueError, match="depth"):
        first_period(of(BOX), volume=0.0, direction=X, gravity=G)
