"""Where oil settles under weight and acceleration together, against closed forms of boxes and cylinders.

Directions: ISO 8855 axes, x forward, y left, z up; the surface is square to acceleration minus gravity, so that its slope
along x is -ax / (g + az). "Derived" says that the formula was worked out here, in the words beside it."""

import itertools
import math

import numpy as np
import pytest
import trimesh
from fluids.geometry import V_from_h
from scipy.integrate import quad

from generators.driving.envelope import up_of
from generators.oil.surface import body_below, offsets, skin, volumes_below
from generators.units import GRAVITY

MM, LITRE = 1000.0, 1e6
"""mm in a metre, mm3 in a litre: the checks' figures are in metres and litres."""

SIDES = 1440
"""Of the polygon that stands for a circle: its area is less by 2 pi2 / (3 SIDES2), 3.2 millionths."""

ROUND = 1e-5
"""What that, and a segment's somewhat larger share of it, leaves of a round tank's volume."""


def box(*, length, height, width=0.25):
    """From the origin, x along `length`; m."""
    body = trimesh.creation.box(bounds=[[0, 0, 0], np.array([length, width, height]) * MM])
    return skin(body.vertices, body.faces)


def upright(*, radius, height, sides=SIDES):
    """Axis z, bottom at 0; m."""
    body = trimesh.creation.cylinder(radius=radius * MM, height=height * MM, sections=sides)
    body.apply_translation((0, 0, height * MM / 2))
    return skin(body.vertices, body.faces)


def lying(*, radius, length):
    """Axis x, amid it the origin; m."""
    body = trimesh.creation.cylinder(radius=radius * MM, height=length * MM, sections=SIDES)
    body.apply_transform(trimesh.transformations.rotation_matrix(math.pi / 2, (0, 1, 0)))
    return skin(body.vertices, body.faces)


def up(*, ax=0.0, ay=0.0, az=0.0):
    """Square to the surface, of length 1, for an acceleration in g."""
    pull = up_of(np.array([[ax, ay, az]]) * GRAVITY)[0]
    return pull / np.linalg.norm(pull)


def height_at(space, direction, volume, point):
    """Height (m) of the surface of `volume` litres over a place (x, y), m."""
    offset = offsets(space, direction, volume * LITRE)[0] / MM
    return (offset - direction[:2] @ np.asarray(point)) / direction[2]


# ---------------------------------------------------------------- directions


def test_braking_and_turning_left():
    """1.2 g and 0.9 g with 1 g of weight: (-1.2, 0.9, 1) / sqrt(1.44 + 0.81 + 1), 1.80278 g in all (derived)."""
    pull = up_of(np.array([[-1.2, 0.9, 0.0]]) * GRAVITY)[0]
    assert np.linalg.norm(pull) / GRAVITY == pytest.approx(1.80278, abs=1e-5)
    assert up(ax=-1.2, ay=0.9) == pytest.approx([-0.66564, 0.49923, 0.55470], abs=1e-5)


def test_oil_is_thrown_the_other_way():
    """Left turn: to the right, slope -1 at 1 g. Brake: forward. Launch: aft. On a crest of half a g the slope of 1 g doubles."""
    body = trimesh.creation.box((400, 400, 400))
    space = skin(body.vertices, body.faces)

    def centre(direction):
        return body_below(space, direction, offsets(space, direction, 20 * LITRE)[0]).centre

    assert centre(up(ay=1.0))[1] < -20 and centre(up(ax=-1.0))[0] > 20 and centre(up(ax=1.0))[0] < -20
    assert np.abs(centre(up())[:2]).max() < 1e-9
    for direction, slope in ((up(ay=1.0), -1.0), (up(ay=1.0, az=-0.5), -2.0)):
        heights = [height_at(space, direction, 20.0, (0, y)) for y in (0.0, 0.1)]
        assert (heights[1] - heights[0]) / 0.1 == pytest.approx(slope, rel=1e-9)


# ---------------------------------------------------------------- box, tilted along one side


@pytest.mark.parametrize("slope, deep, shallow", [(0.2, 0.1, 0.02), (0.3, 0.12, 0.0)])
def test_box_with_its_base_covered(slope, deep, shallow):
    """0.06 m in 0.40 m: h +- s L / 2 at the walls, down to the slope 2 h / L at which the base begins to run dry (derived)."""
    space = box(length=0.40, height=0.40)
    walls = [height_at(space, up(ax=slope), 0.06 * 0.40 * 250, (x, 0)) for x in (0.0, 0.40)]
    assert walls == pytest.approx([deep, shallow], abs=1e-9)


@pytest.mark.parametrize("slope, wetted, wall", [(1.0, 0.219089, 0.219089), (1.5, 0.178885, 0.268328)])
def test_box_with_its_base_part_dry(slope, wetted, wall):
    """A triangle of the section's area: sqrt(2 h L / s) of the base is wet, s times that of the wall (derived)."""
    space, volume = box(length=0.40, height=0.40), 0.06 * 0.40 * 250
    assert math.sqrt(2 * 0.06 * 0.40 / slope) == pytest.approx(wetted, abs=1e-6)
    assert height_at(space, up(ax=slope), volume, (0, 0)) == pytest.approx(slope * math.sqrt(2 * 0.06 * 0.40 / slope), abs=1e-9)
    assert height_at(space, up(ax=slope), volume, (0, 0)) == pytest.approx(wall, abs=1e-6)
    assert height_at(space, up(ax=slope), volume, (wetted, 0)) == pytest.approx(0.0, abs=2e-6)


def test_box_with_base_and_roof_part_dry():
    """0.12 m high, slope 1.5: a trapezium, A / H + H / (2 s) = 0.2400 m of the base and H / s less of the roof (derived)."""
    space, volume = box(length=0.40, height=0.12), 0.06 * 0.40 * 250
    assert height_at(space, up(ax=1.5), volume, (0.24, 0)) == pytest.approx(0.0, abs=1e-9)
    assert height_at(space, up(ax=1.5), volume, (0.16, 0)) == pytest.approx(0.12, abs=1e-9)


def test_box_with_only_its_roof_touched():
    """0.10 m in a height of 0.12 m, slope 0.4: the air is the triangle, sqrt(2 x 0.02 x 0.40 / 0.4) = 0.2 m of the roof is dry and
    0.08 m of the wall (derived)."""
    space, volume = box(length=0.40, height=0.12), 0.10 * 0.40 * 250
    assert height_at(space, up(ax=0.4), volume, (0.2, 0)) == pytest.approx(0.12, abs=1e-9)
    assert height_at(space, up(ax=0.4), volume, (0.4, 0)) == pytest.approx(0.12 - 0.08, abs=1e-9)


# ---------------------------------------------------------------- box, tilted along both


BOX = np.array([0.40, 0.25, 0.12])


def below_plane(normal, alpha):
    """Litres of the box with normal . x < alpha, all of `normal` above 0: the corner tetrahedron of the plane less those that
    stick out beyond each face, plus those beyond each edge that were taken twice (inclusion and exclusion; the form in Scardovelli
    and Zaleski, J. Comput. Phys. 164, 2000, from memory; derived)."""
    terms = ((-1) ** sum(taken) * max(0.0, alpha - np.dot(taken, normal * BOX)) ** 3 for taken in itertools.product((0, 1), repeat=3))
    return 1000 * sum(terms) / (6 * np.prod(normal))


def test_box_tilted_both_ways():
    """Plane 0.5 x + 0.8 y + z = 0.2 m from the deep corner: 3.1200 L."""
    normal, space = np.array([0.5, 0.8, 1.0]), box(length=0.40, width=0.25, height=0.12)
    assert below_plane(normal, 0.2) == pytest.approx(3.12, abs=5e-5)
    assert volumes_below(space, normal, 0.2 * MM / np.linalg.norm(normal))[0] / LITRE == pytest.approx(below_plane(normal, 0.2), rel=1e-12)


@pytest.mark.parametrize("litres, alpha, within", [(4.0, 0.219716, 1e-6), (6.0, 0.26, 1e-12)])
def test_level_of_a_box_tilted_both_ways(litres, alpha, within):
    """The same slopes: 4 L by the formula turned round; half of the box, 6 L, by symmetry (0.5 x 0.40 + 0.8 x 0.25 + 0.12) / 2."""
    normal, space = np.array([0.5, 0.8, 1.0]), box(length=0.40, width=0.25, height=0.12)
    found = offsets(space, normal, litres * LITRE)[0] / MM * np.linalg.norm(normal)
    assert found == pytest.approx(alpha, abs=within) and below_plane(normal, found) == pytest.approx(litres, rel=1e-12)


def test_box_tilted_any_way():
    """300 planes through it, to every side, by the same formula seen from the corner that is deepest."""
    random, space = np.random.default_rng(2), box(length=0.40, width=0.25, height=0.12)
    for _ in range(300):
        normal = random.normal(size=3)
        corner = np.where(normal < 0, BOX, 0)
        alpha = random.uniform(0.02, 0.98) * np.abs(normal) @ BOX
        offset = (alpha + normal @ corner) * MM / np.linalg.norm(normal)
        litres = below_plane(np.abs(normal), alpha)
        assert volumes_below(space, normal, offset)[0] / LITRE == pytest.approx(litres, rel=1e-9, abs=1e-11)
        assert offsets(space, normal, litres * LITRE)[0] == pytest.approx(offset, abs=1e-6)


# ---------------------------------------------------------------- upright cylinder


def hoof(radius, slope, x0):
    """Litres under the plane z = slope (x - x0) on the base of a tall cylinder: slope (x - x0) times the chord 2 sqrt(R2 - x2),
    integrated from x0 to R (the cylindrical wedge that Archimedes measured, his through the centre; derived)."""
    x0 = min(max(x0, -radius), radius)
    chord = math.sqrt(radius**2 - x0**2)
    return 1000 * slope * (2 / 3 * chord**3 - x0 * (radius**2 * math.acos(x0 / radius) - x0 * chord))


def through(slope, x0):
    """Direction and offset (mm) of the surface that rises along x and meets the base at x0 (m)."""
    return up(ax=-slope), -slope * x0 * MM / math.hypot(1, slope)


@pytest.mark.parametrize("x0, litres", [(0.0, 0.421875), (0.03, 0.124145), (-0.03, 0.919360), (-0.075, 1.988039)])
def test_hoof(x0, litres):
    """R 0.075 m, slope 1.5. Through the middle of the base it is 2/3 R3 s, over all of it pi R3 s."""
    assert hoof(0.075, 1.5, x0) == pytest.approx(litres, abs=1e-6)
    direction, offset = through(1.5, x0)
    found = volumes_below(upright(radius=0.075, height=0.4), direction, offset)[0] / LITRE
    assert found == pytest.approx(hoof(0.075, 1.5, x0), rel=ROUND)


def test_hoof_that_reaches_the_roof():
    """0.1 m high: the hoof less that which stands above the roof."""
    direction, offset = through(1.5, -0.03)
    found = volumes_below(upright(radius=0.075, height=0.1), direction, offset)[0] / LITRE
    assert found == pytest.approx(hoof(0.075, 1.5, -0.03) - hoof(0.075, 1.5, -0.03 + 0.1 / 1.5), rel=ROUND)


def test_level_of_a_litre_in_an_upright_cylinder():
    """Meets the base at -0.0339868 m and stands 0.163480 m high at the wall (the hoof's formula turned round; derived)."""
    space, direction = upright(radius=0.075, height=0.4), up(ax=-1.5)
    assert height_at(space, direction, 1.0, (-0.0339868, 0)) == pytest.approx(0.0, abs=1.5e-6)
    assert height_at(space, direction, 1.0, (0.075, 0)) == pytest.approx(0.163480, abs=1.5e-6)


@pytest.mark.parametrize("g, litres", [(1.0, 0.28125), (1.5, 0.421875), (2.0, 0.5625)])
def test_least_oil_over_a_centre_outlet(g, litres):
    """R 0.075 m: 2/3 R3 s."""
    space = upright(radius=0.075, height=0.4)
    assert offsets(space, up(ay=g), litres * LITRE)[0] == pytest.approx(0.0, abs=1e-3)
    assert offsets(space, up(ay=g), 1.01 * litres * LITRE)[0] > 0.1 > -0.1 > offsets(space, up(ay=g), 0.99 * litres * LITRE)[0]


def test_a_polygon_closes_in_on_the_hoof():
    """Twice the sides, a quarter of the error: what is left above is the polygon's, not the method's."""
    direction, offset = through(1.5, 0.03)
    errors = [volumes_below(upright(radius=0.075, height=0.4, sides=n), direction, offset)[0] / LITRE - hoof(0.075, 1.5, 0.03)
              for n in (180, 360, 720, 1440)]
    assert np.divide(errors[:-1], errors[1:]) == pytest.approx([4, 4, 4], abs=0.05)


# ---------------------------------------------------------------- horizontal cylinder


def segment(radius, depth):
    """Area of a circle's segment, m2."""
    depth = min(max(depth, 0.0), 2 * radius)
    return radius**2 * math.acos(1 - depth / radius) - (radius - depth) * math.sqrt(2 * radius * depth - depth**2)


@pytest.mark.parametrize("ay", [0.0, 0.7, -2.5])
def test_horizontal_cylinder_thrown_sideways(ay):
    """R 0.10 m, 0.40 m long, 0.06 m deep square to the surface: 3.170694 L at any tilt, as the library `fluids` has it level."""
    litres = V_from_h(0.06, 0.20, 0.40, horizontal=True) * 1000
    assert litres == pytest.approx(3.170694, abs=1e-6) and litres == pytest.approx(400 * segment(0.10, 0.06), rel=1e-12)
    space = lying(radius=0.10, length=0.40)
    assert volumes_below(space, up(ay=ay), (0.06 - 0.10) * MM)[0] / LITRE == pytest.approx(litres, rel=ROUND)
    assert offsets(space, up(ay=ay), litres * LITRE)[0] == pytest.approx((0.06 - 0.10) * MM, abs=1e-3)


def test_horizontal_cylinder_with_its_oil_thrown_to_one_end():
    """The same oil at a slope of 0.2 along it: 0.058621 m deep amid it, by quadrature of the segments over the length."""
    space, litres = lying(radius=0.10, length=0.40), 400 * segment(0.10, 0.06)
    middle = 0.10 + height_at(space, up(ax=-0.2), litres, (0, 0))
    assert middle == pytest.approx(0.058621, abs=2e-6)
    assert 1000 * quad(lambda x: segment(0.10, middle + 0.2 * x), -0.2, 0.2)[0] == pytest.approx(litres, rel=ROUND)


# ---------------------------------------------------------------- crests and pickups


def test_oil_lies_on_the_roof_over_a_crest_past_free_fall():
    """At -1.5 g all stands on its head: 4 L of 0.40 x 0.25 m lie 0.04 m thick under the roof; turning too, as the box upside down
    at the same slope."""
    space = box(length=0.40, width=0.25, height=0.12)
    direction = up(az=-1.5)
    assert direction == pytest.approx([0, 0, -1], abs=1e-12)
    assert offsets(space, direction, 4 * LITRE)[0] == pytest.approx(-80.0, abs=1e-9)
    lies = body_below(space, direction, -80.0)
    assert lies.centre == pytest.approx([200, 125, 100], abs=1e-9) and lies.free == pytest.approx(1e5, rel=1e-12)
    over = up(ax=0.3, az=-1.5)
    assert over == pytest.approx(np.array([0.3, 0, -0.5]) / math.hypot(0.3, 0.5), abs=1e-12)
    upright_slope = offsets(space, over * [1, 1, -1], 4 * LITRE)[0]
    assert offsets(space, over, 4 * LITRE)[0] == pytest.approx(upright_slope - 120 * abs(over[2]), abs=1e-9)


def test_depth_of_a_pickup():
    """0.06 m of oil in 0.40 m across, 1 g to the left: amid it the surface stands 0.0190890 m high, and a mouth at 10 mm lies 6.4269
    mm under it, square to it (derived: sqrt(2 h L) less half of L, and that less 10 mm over sqrt 2)."""
    body = trimesh.creation.box(bounds=[[0, -200, 0], [250, 200, 400]])
    space, direction = skin(body.vertices, body.faces), up(ay=1.0)
    assert height_at(space, direction, 6.0, (0.1, 0.0)) == pytest.approx(0.0190890, abs=1e-7)
    cover = offsets(space, direction, 6 * LITRE)[0] - direction @ [100.0, 0.0, 10.0]
    assert cover == pytest.approx((math.sqrt(2 * 60 * 400) - 200 - 10) / math.sqrt(2), abs=1e-9)
    assert cover == pytest.approx(6.4269, abs=1e-4)
