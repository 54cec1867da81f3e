"""Developed holes by an independent route: the kernel's exact intersection of a cylinders, distances, and areas by
brute force. The closed forms are held against the geometry itself, not against their own output."""

import math

import cadquery as cq
import numpy as np
import pytest

from generators.outlines import signed_area
from generators.sheet.branches import Branch, developed_hole, round_angles, saddle_volume
from generators.sheet.rolled import Shell, hole_loop, shell_flat
from generators.sheet.rolled_solids import shell_solid


def test_shell_mass():
    """Outside 200, wall 2, 450 high in 5052 (2680 kg/m3): 1.5003 kg (by hand: pi x 198 x 450 x 2 x 2680)."""
    made = shell_solid(Shell(98, 2, 450, 0.0))
    assert made.Volume() * 1e-9 * 2680 == pytest.approx(1.5003, abs=1e-4)


@pytest.mark.parametrize("offset, degrees", [(0, 90), (0, 60), (55, 90), (-30, 75), (54.5, 85)])
def test_hole_edge_lies_on_both_cylinders(offset, degrees):
    """Each developed point, rolled back to the mean radius, is as far from the branch's axis as the branch's radius."""
    angle, azimuth, height, radius = math.radians(degrees), 0.4, 120.0, 19.0
    points = developed_hole(Branch(radius, height, azimuth, offset, angle), round_angles(360), mean_radius=75.0)
    xyz = np.column_stack([75 * np.cos(points[:, 0] - azimuth), 75 * np.sin(points[:, 0] - azimuth), points[:, 1]])
    way = np.array([math.sin(angle), 0, math.cos(angle)])
    through = np.array([math.sqrt(75**2 - offset**2), offset, height])
    assert np.linalg.norm(np.cross(xyz - through, way), axis=1) == pytest.approx(radius, abs=1e-9)


@pytest.mark.parametrize("offset", [0.0, 40.0, 55.0])
def test_hole_area_by_counting(offset):
    """Area of the flat's hole against a count of fine cells of the developed wall that lie inside the branch."""
    made = Shell(74, 2, 240, math.pi, (Branch(19, 120, 0.0, offset=offset),))
    x = np.linspace(-40, 115, 6201)
    y = np.linspace(-20, 20, 1601)
    across = made.mean_radius * np.sin(x / made.mean_radius) - offset
    inside = (across[:, None] ** 2 + y[None] ** 2 <= 19**2) & (np.abs(x) < made.mean_radius * math.pi / 2)[:, None]
    counted = inside.sum() * (x[1] - x[0]) * (y[1] - y[0])
    assert abs(signed_area(hole_loop(made, made.branches[0]))) == pytest.approx(counted, rel=1e-3)


def test_thin_shell_loses_what_the_kernel_cuts():
    """In a very thin wall radial and parallel hole walls remove the same metal: against the kernel's own boolean."""
    branch = Branch(15, 60, 0.0, offset=25, angle=math.radians(80))
    made = Shell(60, 0.05, 120, math.pi, (branch,))
    plain = Shell(60, 0.05, 120, math.pi)
    removed = shell_solid(plain).Volume() - shell_solid(made).Volume()
    reach = math.sqrt(made.mean_radius**2 - 25**2)
    way = cq.Vector(math.sin(branch.angle), 0, math.cos(branch.angle))
    tool = cq.Solid.makeCylinder(15, 60, cq.Vector(reach, 25, 60) - way * 30, way)
    cut = sum(x.Volume(1e-8) for x in shell_solid(plain).intersect(tool).Solids())
    assert removed == pytest.approx(cut, rel=2e-3)


@pytest.mark.parametrize("offset, degrees", [(0, 90), (20, 60), (50, 90)])
def test_volume_under_a_saddle(offset, degrees):
    """Against a plain midpoint sum over the branch's section."""
    n = 1500
    r = (np.arange(n) + 0.5) / n * 19
    phi = (np.arange(n) + 0.5) / n * 2 * math.pi
    rr, pp = np.meshgrid(r, phi)
    q = rr * np.sin(pp) + offset
    w = (np.sqrt(75**2 - q**2) + rr * np.cos(pp) * math.cos(math.radians(degrees))) / math.sin(math.radians(degrees))
    summed = float((w * rr).sum()) * (19 / n) * (2 * math.pi / n)
    assert saddle_volume(main_radius=75, radius=19, angle=math.radians(degrees), offset=offset) == pytest.approx(
        summed, rel=1e-5
    )


def test_flat_of_a_shell_is_its_rectangle_less_its_holes():
    made = Shell(98, 2, 450, math.pi, (Branch(19, 120, 0.0), Branch(10, 300, 0.3, offset=60)))
    holes = sum(abs(signed_area(h)) for h in shell_flat(made).holes)
    assert shell_flat(made).area == pytest.approx(math.pi * 198 * 450 - holes, rel=1e-12)
