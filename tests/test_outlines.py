"""Loops of lines and arcs against closed forms and against shapely. Lengths in mm."""

import math

import numpy as np
import pytest
from shapely import distance, points
from shapely.geometry import Polygon

from generators.outlines import (
    CHORD_MM,
    Loop,
    anticlockwise,
    arc_of,
    circle,
    crosses_itself,
    fillet,
    flattened,
    mirrored,
    moved,
    perimeter,
    polygon_loop,
    rectangle,
    reversed_loop,
    signed_area,
    slot,
    without_repeats,
)

ROUNDED = rectangle(x0=0, y0=0, x1=100, y1=60, corner=5)


def random_star(rng) -> Loop:
    """A star-shaped loop whose sides are straight or slightly arched either way."""
    count = int(rng.integers(3, 12))
    angles = np.sort(rng.uniform(0, 2 * math.pi, count) * 0.02 + 2 * math.pi * np.arange(count) / count)
    radii = rng.uniform(60, 100, count)
    bulges = rng.choice([0, 1], count) * rng.uniform(-0.1, 0.1, count)
    return Loop(
        tuple((r * math.cos(a), r * math.sin(a), float(b)) for r, a, b in zip(radii, angles, bulges, strict=True))
    )


STARS = [random_star(np.random.default_rng(seed)) for seed in range(20)]
SHAPES = [ROUNDED, circle(x=3, y=-2, radius=7), slot(x=1, y=2, length=40, width=12, angle=0.4), *STARS]


def test_rounded_plate_by_hand():
    # 100 x 60 with four quarter circles of 5: 6000 - (4 - pi) 25, and 2 (90 + 50) + 10 pi
    assert signed_area(ROUNDED) == pytest.approx(5978.540, abs=5e-4)
    assert perimeter(ROUNDED) == pytest.approx(311.416, abs=5e-4)
    assert signed_area(ROUNDED) == pytest.approx(6000 - (4 - math.pi) * 25, rel=1e-13)
    assert perimeter(ROUNDED) == pytest.approx(280 + 10 * math.pi, rel=1e-13)


def test_a_quarter_arc_has_the_bulge_of_the_drawing_format():
    # DXF reference: bulge = tan(included angle / 4), positive anticlockwise: 0.41421 for a quarter
    assert sorted({round(float(b), 5) for b in ROUNDED.bulges}) == [0, 0.41421]


def test_circle():
    loop = circle(x=3, y=-2, radius=7)
    assert signed_area(loop) == pytest.approx(math.pi * 49, rel=1e-13)
    assert perimeter(loop) == pytest.approx(14 * math.pi, rel=1e-13)
    assert loop.as_circle() == ((3, -2), 7)
    assert reversed_loop(loop).as_circle() == ((3, -2), 7)


@pytest.mark.parametrize(
    "loop",
    [ROUNDED, Loop(((0, 0, 1.0), (2, 0, 0.5))), Loop(((0, 0, 1.0), (2, 0, -1.0))), Loop(((0, 0, 1.0), (2, 0, 0.0)))],
)
def test_what_is_no_circle(loop):
    assert loop.as_circle() is None


def test_half_disc():
    loop = Loop(((-4, 0, 0.0), (4, 0, 1.0)))
    assert signed_area(loop) == pytest.approx(math.pi * 16 / 2, rel=1e-13)
    assert perimeter(loop) == pytest.approx(8 + 4 * math.pi, rel=1e-13)


@pytest.mark.parametrize("angle", [0, 0.3, math.pi / 2, -2])
def test_slot(angle):
    loop = slot(x=5, y=-3, length=40, width=12, angle=angle)
    assert signed_area(loop) == pytest.approx(28 * 12 + math.pi * 36, rel=1e-12)
    assert perimeter(loop) == pytest.approx(2 * 28 + 12 * math.pi, rel=1e-12)
    way = np.array([math.cos(angle), math.sin(angle)])
    along = (flattened(loop, 1e-4) - [5, -3]) @ way
    assert (along.min(), along.max()) == pytest.approx((-20, 20), abs=1e-3)


@pytest.mark.parametrize("loop", SHAPES)
def test_travelled_the_other_way(loop):
    back = reversed_loop(loop)
    assert signed_area(back) == pytest.approx(-signed_area(loop), rel=1e-12)
    assert perimeter(back) == pytest.approx(perimeter(loop), rel=1e-12)
    assert reversed_loop(back) == loop
    assert Polygon(flattened(back)).symmetric_difference(Polygon(flattened(loop))).area < 1e-6


@pytest.mark.parametrize("loop", SHAPES)
def test_anticlockwise_is_positive_and_leaves_that_alone(loop):
    assert signed_area(anticlockwise(reversed_loop(loop))) > 0
    assert anticlockwise(loop) is loop


@pytest.mark.parametrize("loop", SHAPES)
def test_mirrored(loop):
    other = mirrored(loop)
    assert signed_area(other) == pytest.approx(signed_area(loop), rel=1e-12)
    there = Polygon(flattened(loop) * [1, -1])
    assert Polygon(flattened(other)).symmetric_difference(there).area < 1e-6
    assert Polygon(flattened(mirrored(other))).symmetric_difference(Polygon(flattened(loop))).area < 1e-6


@pytest.mark.parametrize("loop", SHAPES)
def test_moved(loop):
    there = moved(loop, x=11, y=-7, angle=0.7)
    assert signed_area(there) == pytest.approx(signed_area(loop), rel=1e-11)
    assert perimeter(there) == pytest.approx(perimeter(loop), rel=1e-12)
    c, s = math.cos(0.7), math.sin(0.7)
    assert there.points == pytest.approx(loop.points @ np.array([[c, s], [-s, c]]) + [11, -7])
    home = moved(moved(there, x=-11, y=7), angle=-0.7)
    assert home.points == pytest.approx(loop.points, abs=1e-12)


@pytest.mark.parametrize("loop", SHAPES)
@pytest.mark.parametrize("chord", [1.0, 0.1, 0.001])
def test_a_flattened_loop_lies_within_the_chord(loop, chord):
    # fine points of the true arcs are no farther from the polygon than asked for; area by the same bound
    ring = Polygon(flattened(loop, chord)).exterior
    fine = flattened(loop, 1e-5)
    assert distance(points(fine), ring).max() <= chord + 1e-9
    assert abs(Polygon(flattened(loop, chord)).area - signed_area(loop)) <= chord * perimeter(loop)


def test_flattened_keeps_corners_and_the_middle_of_arcs():
    points = flattened(ROUNDED, 0.5)
    for corner in ROUNDED.points:
        assert np.abs(points - corner).sum(axis=1).min() == 0
    assert CHORD_MM < 0.05  # a tenth of what a laser cut is held to


def test_flattened_area_of_a_convex_loop_is_no_larger():
    assert Polygon(flattened(ROUNDED)).area < signed_area(ROUNDED)


@pytest.mark.parametrize("bulge", [0.2, -0.2, 1, -1, 2.5, -2.5])
def test_arc_of_ends_where_the_segment_ends(bulge):
    start, end = np.array([3.0, 1.0]), np.array([-2.0, 5.0])
    centre, radius, angle, included = arc_of(start, end, bulge)
    assert included == pytest.approx(4 * math.atan(bulge))
    for turn, point in ((0, start), (included, end)):
        assert centre + radius * np.array([math.cos(angle + turn), math.sin(angle + turn)]) == pytest.approx(point)


@pytest.mark.parametrize("radius", [0.5, 3, 9.9])
def test_fillet_of_a_triangle(radius):
    # each corner of turn a loses r^2 (tan(a/2) - a/2); sides of 100: turn 120 degrees
    points = [(0, 0), (100, 0), (50, 50 * math.sqrt(3))]
    loop = fillet(polygon_loop(points), radius)
    turn = 2 * math.pi / 3
    lost = 3 * radius**2 * (math.tan(turn / 2) - turn / 2)
    assert signed_area(loop) == pytest.approx(2500 * math.sqrt(3) - lost, rel=1e-12)
    assert perimeter(loop) == pytest.approx(300 - 3 * radius * (2 * math.tan(turn / 2) - turn), rel=1e-12)


def test_fillet_of_an_inner_corner_adds_metal():
    corner = polygon_loop([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)])
    loop = fillet(corner, [0, 0, 0, 4, 0, 0])
    assert signed_area(loop) == pytest.approx(1200 + 16 * (1 - math.pi / 4), rel=1e-12)
    assert signed_area(fillet(reversed_loop(corner), [0, 0, 0, 4, 0, 0])) == pytest.approx(
        -signed_area(loop), rel=1e-12
    )


def test_a_stadium_is_a_rectangle_rounded_by_half_its_width():
    loop = rectangle(x0=0, y0=0, x1=40, y1=12, corner=6)
    assert signed_area(loop) == pytest.approx(28 * 12 + math.pi * 36, rel=1e-12)
    assert np.linalg.norm([b - a for a, b, _ in loop.segments()], axis=1).min() > 1


def test_fillets_that_do_not_fit():
    square = polygon_loop([(0, 0), (10, 0), (10, 10), (0, 10)])
    with pytest.raises(ValueError, match="12.00 mm of a side that is 10.00 mm"):
        fillet(square, 6)
    with pytest.raises(ValueError, match="side"):
        fillet(square, [8, 3, 0, 0])
    assert signed_area(fillet(square, [8, 2, 0, 0])) < 100


@pytest.mark.parametrize("radii", [[1, 1, 1], [1, 1, 1, 1, 1], -1, [1, 1, -1, 1], math.nan])
def test_radii_that_make_no_sense(radii):
    with pytest.raises(ValueError, match="as many radii"):
        fillet(polygon_loop([(0, 0), (10, 0), (10, 10), (0, 10)]), radii)


def test_arcs_are_not_filleted():
    with pytest.raises(ValueError, match="straight"):
        fillet(ROUNDED, 1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: circle(x=0, y=0, radius=0),
        lambda: circle(x=0, y=0, radius=-1),
        lambda: slot(x=0, y=0, length=10, width=10),
        lambda: rectangle(x0=0, y0=0, x1=10, y1=4, corner=2.1),
        lambda: rectangle(x0=0, y0=0, x1=10, y1=4, corner=-1),
        lambda: rectangle(x0=0, y0=4, x1=10, y1=4),
        lambda: rectangle(x0=10, y0=0, x1=0, y1=4),
        lambda: polygon_loop([(0, 0), (1, 0)]),
        lambda: Loop(((0, 0, 1.0),)),
    ],
)
def test_impossible_loops(make):
    with pytest.raises(ValueError):
        make()


def test_repeated_points_are_dropped():
    loop = without_repeats(
        [(0, 0, 0), (0, 0, 0.0), (10, 0, 0), (10, 10, 0), (10, 10 + 1e-9, 0), (0, 10, 0), (0, 1e-8, 0)]
    )
    assert len(loop.vertices) == 4
    assert signed_area(loop) == pytest.approx(100)


def test_a_dropped_point_leaves_the_arc_that_follows():
    loop = without_repeats([(-4, 0, 0.0), (4, 0, 0.0), (4, 0, 1.0)])
    assert signed_area(loop) == pytest.approx(8 * math.pi)


@pytest.mark.parametrize("loop", SHAPES)
def test_sound_loops_do_not_cross_themselves(loop):
    assert not crosses_itself(loop)


@pytest.mark.parametrize(
    "loop",
    [
        polygon_loop([(0, 0), (10, 10), (10, 0), (0, 10)]),  # a bow tie
        polygon_loop([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)]),  # a corner on a side
        Loop(((0, 0, 0.0), (10, 0, 0.0), (10, 4, -1.0), (0, 4, 0.0))),  # an arc that dips through the far side
    ],
)
def test_loops_that_cross_themselves(loop):
    assert crosses_itself(loop)
