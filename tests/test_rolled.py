"""Rolled pieces: one description, two shapes. The solid and the flat must hold the same metal."""

import math

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import LinearRing, Point

from generators.outlines import crosses_itself, flattened, signed_area
from generators.sheet.branches import (
    Branch,
    arcs_through,
    branch_frame,
    developed_hole,
    require_reach,
    round_angles,
    saddle_points,
)
from generators.sheet.rolled import (
    Frustum,
    Shell,
    frustum_flat,
    frustum_on_inside,
    frustum_section,
    hole_on_flat,
    shell_flat,
)
from generators.sheet.rolled_solids import frustum_solid, set_on_tube, shell_solid

SEAM = math.radians(240)
TANGENTIAL = Branch(9.5, 350, 0.0, offset=79.75, angle=math.radians(85))
RADIAL = Branch(11, 100, math.radians(-45))


def shell(*branches, inside=90.0, thickness=2.0, height=400.0):
    return Shell(inside, thickness, height, SEAM, tuple(branches))


@pytest.mark.parametrize(
    "made",
    [
        shell(),
        shell(TANGENTIAL, RADIAL),
        shell(Branch(14.5, 50, 0.5, fit=90)),
        shell(Branch(19, 200, 0, angle=math.radians(60))),
        shell(Branch(6, 30, 1.0, offset=30), inside=40, thickness=1.2, height=60),
    ],
)
def test_solid_volume_is_flat_area_times_thickness(made):
    solid = shell_solid(made)
    assert solid.isValid() and solid.ShapeType() == "Solid"
    expected = shell_flat(made).area * made.thickness
    assert solid.Volume() == pytest.approx(expected, rel=1e-6)
    assert solid.Volume(1e-8) == pytest.approx(expected, rel=1e-6)


def test_walls_of_a_developed_hole_run_radially():
    made = shell(TANGENTIAL)
    solid = shell_solid(made)
    for azimuth, z in developed_hole(TANGENTIAL, round_angles(24), mean_radius=made.mean_radius):
        for r in np.linspace(made.inside_radius, made.outside_radius, 3):
            at = cq.Vertex.makeVertex(r * math.cos(azimuth), r * math.sin(azimuth), z)
            assert at.distance(solid) < 2e-3


def test_kernel_meets_the_same_saddle():
    """The kernel's own intersection of branch and shell against the closed form."""
    made = Shell(73.0, 2.0, 300.0, SEAM)
    branch = Branch(19.0, 150.0, 0.3, offset=20.0, angle=math.radians(60))
    main = cq.Solid.makeCylinder(made.outside_radius, 600, cq.Vector(0, 0, -150), cq.Vector(0, 0, 1))
    tool = set_on_tube(branch, bore=30, shell_outside=made.outside_radius, mean_radius=made.mean_radius, end=140)
    points = saddle_points(branch, round_angles(36), main_radius=made.outside_radius, mean_radius=made.mean_radius)
    assert np.allclose(np.hypot(points[:, 0], points[:, 1]), made.outside_radius, atol=1e-9)
    for p in points:
        vertex = cq.Vertex.makeVertex(*map(float, p))
        assert vertex.distance(tool) < 1e-5 and vertex.distance(main) < 1e-5
    assert tool.intersect(main).Volume() < 1e-6


def test_branch_axis_pierces_the_mean_surface_at_its_height():
    branch = Branch(5, 120, 0.7, offset=30, angle=math.radians(80))
    where = branch_frame(branch, mean_radius=80)
    reach = math.sqrt(80**2 - 30**2) / math.sin(branch.angle)
    point = where.points([[0, 0, reach]])[0]
    assert math.hypot(*point[:2]) == pytest.approx(80) and point[2] == pytest.approx(120)


def test_a_hole_fitted_to_the_inside_clears_a_straight_boss_at_both_faces():
    made = shell(Branch(14.1, 50, 0.5, fit=90.0))
    boss = cq.Solid.makeCylinder(
        14.0,
        60,
        cq.Vector(0, 0, 50) + cq.Vector(math.cos(0.5), math.sin(0.5)) * 60,
        cq.Vector(math.cos(0.5), math.sin(0.5)),
    )
    assert boss.intersect(shell_solid(made)).Volume() < 1e-9
    assert boss.distance(shell_solid(made)) == pytest.approx(0.1, abs=2e-3)


def test_holes_lie_inside_the_flat_and_run_clean():
    flat = shell_flat(shell(TANGENTIAL, RADIAL), rings=(120.0,))
    outer = flattened(flat.outer)
    for hole in flat.holes:
        points = flattened(hole)
        assert not crosses_itself(hole)
        assert (points.min(axis=0) > outer.min(axis=0)).all() and (points.max(axis=0) < outer.max(axis=0)).all()
        lengths = [np.linalg.norm(b - a) for a, b, _ in hole.segments()]
        assert min(lengths) > 0.1
    assert flat.marks == (((0.0, 120.0), (pytest.approx(flat.outer.points[:, 0].max()), 120.0)),)


def test_flat_rolled_towards_the_viewer_puts_each_hole_in_its_place():
    """x runs against the azimuth when the inside is seen with z upwards: azimuth = seam - x / mean radius."""
    made = shell(TANGENTIAL, RADIAL)
    for hole, branch in zip(shell_flat(made).holes, made.branches, strict=True):
        x, z = flattened(hole).T
        azimuth = made.seam - x / made.mean_radius
        expected = developed_hole(branch, round_angles(3600), mean_radius=made.mean_radius)
        across = (azimuth - expected[:, 0].mean() + math.pi) % (2 * math.pi) - math.pi + expected[:, 0].mean()
        assert [across.min(), across.max(), z.min(), z.max()] == pytest.approx(
            [expected[:, 0].min(), expected[:, 0].max(), expected[:, 1].min(), expected[:, 1].max()], abs=1e-3
        )


def test_arcs_follow_the_true_curve():
    made = shell(TANGENTIAL)
    fine = hole_on_flat(made, TANGENTIAL, round_angles(20000))
    drawn = flattened(shell_flat(made).holes[0], chord=1e-6)
    assert max(LinearRing(fine).distance(Point(p)) for p in drawn) < 2e-3
    assert abs(signed_area(arcs_through(fine))) == pytest.approx(abs(signed_area(shell_flat(made).holes[0])), rel=1e-5)


def test_arcs_through_points_of_a_circle_are_that_circle():
    a = round_angles(8)
    loop = arcs_through(np.column_stack([3 * np.cos(a), 3 * np.sin(a)]))
    assert signed_area(loop) == pytest.approx(9 * math.pi, rel=1e-12)


@pytest.mark.parametrize(
    "branch, word",
    [
        (Branch(11, 5, 0.0), "edge or seam"),
        (Branch(11, 396, 0.0), "edge or seam"),
        (Branch(11, 100, SEAM + 0.05), "edge or seam"),
        (Branch(11, 100, 0.0, offset=85), "misses a shell"),
    ],
)
def test_a_hole_that_does_not_fit_is_refused(branch, word):
    with pytest.raises(ValueError, match=word):
        shell(branch)


def test_reach_is_tangent_at_most():
    require_reach(main_radius=75, radius=19, offset=56)
    with pytest.raises(ValueError, match="misses"):
        require_reach(main_radius=75, radius=19, offset=56.001)


@pytest.mark.parametrize(
    "cone", [Frustum(19, 99, 200, 2), Frustum(49, 99, 120, 3), Frustum(25, 100, 20, 1.5), Frustum(30, 31, 90, 1)]
)
def test_cone_volume_is_flat_area_times_thickness(cone):
    solid = frustum_solid(cone)
    assert solid.isValid() and solid.Volume() == pytest.approx(frustum_flat(cone).area * cone.thickness, rel=1e-9)


def test_cone_edges_are_square_and_its_inside_is_where_it_was_asked():
    cone = frustum_on_inside(small=25, large=90, height=65, thickness=2, foot=-65)
    low_in, low_out, high_out, high_in = frustum_section(cone).points
    assert low_in == pytest.approx([25, -65]) and high_in == pytest.approx([90, 0])
    along = high_in - low_in
    for inner, outer in ((low_in, low_out), (high_in, high_out)):
        assert np.linalg.norm(outer - inner) == pytest.approx(2)
        assert (outer - inner) @ along == pytest.approx(0, abs=1e-9)


def test_cone_flat_opens_symmetrically_and_closes_on_its_circles():
    cone = Frustum(19, 99, 200, 2)
    points = frustum_flat(cone).outer.points
    assert points[:, 0].min() == pytest.approx(-points[:, 0].max())
    assert cone.apex_radius * cone.sector == pytest.approx(2 * math.pi * 99)
    assert (cone.apex_radius - cone.slant) * cone.sector == pytest.approx(2 * math.pi * 19)


@pytest.mark.parametrize("sizes", [(0, 50, 10, 1), (50, 40, 10, 1), (1, 50, 50, 4), (20, 50, 0, 1)])
def test_an_impossible_cone_is_refused(sizes):
    with pytest.raises(ValueError):
        Frustum(*sizes)


def test_random_shells_hold_what_their_flats_hold():
    """Seeded sizes inside the declared limits: |e| + r <= R, hole a thickness away from every edge."""
    rng = np.random.default_rng(7)
    for _ in range(12):
        inside, thickness = rng.uniform(35, 150), rng.uniform(0.8, 3)
        radius = rng.uniform(3, inside / 3)
        branch = Branch(
            radius, 150, 0.0, offset=rng.uniform(-1, 1) * (inside - radius - 0.75), angle=rng.uniform(1.2, 1.9)
        )
        made = shell(branch, inside=inside, thickness=thickness, height=300)
        assert shell_solid(made).Volume() == pytest.approx(shell_flat(made).area * thickness, rel=1e-6)
