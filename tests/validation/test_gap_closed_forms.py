"""Gaps in closed form, and by OpenCASCADE's own distance (BRepExtrema_DistShapeShape): at rest, and over a movement.

Distances of boxes, spheres and cylinders are school geometry. A point at d below and b beside the axis that it rolls about by up to a
hangs d cos a + b sin a below it, or R = hypot(d, b) where atan(b / d) < a lets it swing through its lowest place."""

import math
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import trimesh
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from generators.bodies import body, moved
from generators.fit.movement import Mounts
from generators.fit.nearest import least_over
from generators.fittings import drain_boss, drain_boss_solid
from generators.meshes import CHORD_MM, solid_mesh
from generators.outlines import circle, rectangle
from generators.sheet.frames import frame, identity
from generators.sheet.solids import prism, tube

CLOSE_MM = 0.01
"""How near to the closed form a gap at rest is told."""

ALLOWED_MM = 0.05
"""How much less than the true gap may be told over a movement."""

ROUNDING = 1e-6
AXLE_MM = 300.0
AXLE = frame(origin=(200, 0, AXLE_MM), x=(1, 0, 0), z=(0, 0, 1))


def swings(*, x=0.0, y=0.0, z=0.0, roll=0.0, pitch=0.0, yaw=0.0, about=AXLE):
    return Mounts(about, np.array([x, y, z], float), np.array([roll, pitch, yaw], float))


def solid(made, name="solid", index=0):
    """A body that may be meshed finer."""
    return replace(body(name, solid_mesh(made), index), solid=made)


def box(low, high, name="box"):
    return body(name, trimesh.creation.box(bounds=(low, high)), exact=True)


def bar(*, radius, length, origin=(0, 0, 0), axis=(0, 0, 1)):
    return tube(outer=2 * radius, bore=0, length=length, where=frame(origin=origin, x=np.cross(axis, (0.36, 0.48, 0.8)), z=axis))


def bored_block(low, high, *, radius):
    """A box with a round hole along z through its middle."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    hole = circle(x=(x0 + x1) / 2, y=(y0 + y1) / 2, radius=radius)
    return prism(rectangle(x0=x0, y0=y0, x1=x1, y1=y1), height=z1 - z0, holes=[hole], where=frame(origin=(0, 0, z0), x=(1, 0, 0), z=(0, 0, 1)))


def ball(radius, at):
    return cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90).moved(cq.Location(at))


def rest(one, other):
    return least_over([one], [other], swings())


def is_close(found, exact, within=CLOSE_MM):
    """No more than the closed form, and less by no more than is allowed."""
    return exact - within <= found.gap <= exact + ROUNDING and abs(found.at_rest - exact) <= within


# ---------------------------------------------------------------- at rest


@pytest.mark.parametrize(("low", "exact"), [
    ((30, 2, 2), 20), ((30, 22, 2), math.hypot(20, 12)), ((30, 22, -45), math.sqrt(20**2 + 12**2 + 25**2)), ((10, 2, 2), 0), ((2, 2, 2), 0),
])
def test_boxes_face_edge_and_corner(low, exact):
    one, other = box((0, 0, 0), (10, 10, 10)), box(low, np.array(low) + (5, 5, 20))
    assert rest(one, other).gap == pytest.approx(exact, abs=ROUNDING)


def test_two_balls():
    a, b = solid(ball(3, (0, 0, 0)), "a"), solid(ball(5, (12, 9, 20)), "b")
    assert is_close(rest(a, b), math.sqrt(12**2 + 9**2 + 20**2) - 8)


def test_ball_and_box():
    a = solid(ball(3, (0, 0, 0)), "ball")
    assert is_close(rest(a, box((10, 12, -50), (20, 30, 50))), math.hypot(10, 12) - 3)
    assert is_close(rest(a, box((-50, -50, 4), (50, 50, 12))), 1.0)


def test_round_bars_side_by_side_and_crossed():
    a = solid(bar(radius=10, length=60), "a")
    side = solid(bar(radius=6, length=40, origin=(12, 16, 5)), "side")
    crossed = solid(bar(radius=6, length=200, origin=(-100, 25, 30), axis=(1, 0, 0)), "crossed")
    skew = solid(bar(radius=6, length=200, origin=(-60, 25, -50), axis=(0.6, 0, 0.8)), "skew")
    assert is_close(rest(a, side), 20 - 16)
    assert is_close(rest(a, crossed), 25 - 16)
    assert is_close(rest(a, skew), 25 - 16)


def test_a_bar_in_a_bore_is_measured_to_the_bore_not_to_its_chords():
    hole, pin = solid(bored_block((0, 0, 0), (40, 40, 20), radius=15), "hole"), solid(bar(radius=6, length=30, origin=(23, 24, -5)), "pin")
    assert is_close(rest(pin, hole), 15 - 5 - 6)


@pytest.mark.parametrize("roll", [0.0, 0.01])
def test_as_many_bars_as_there_are_all_are_measured_finely(roll):
    """Ten bars as near as each other to ten bars: none keeps the sagitta of its coarse mesh. By rolling, the foot of each, 300 mm
    under the axle, comes nearer by its lever."""
    bars = [solid(bar(radius=20, length=20, origin=(60 * i, 0, 0)), "bar", i) for i in range(10)]
    others = [solid(bar(radius=20, length=20, origin=(60 * i, 45, 0)), "other", i) for i in range(10)]
    exact = 25 - 20 * math.cos(roll) - AXLE_MM * math.sin(roll)
    found = least_over(bars, others, swings(roll=roll))
    assert exact - ALLOWED_MM <= found.gap <= exact + ROUNDING <= found.gap + found.slack + CLOSE_MM


# ---------------------------------------------------------------- OpenCASCADE as the judge


def kernel_distance(one, other):
    """The kernel's own distance of two solids, mm."""
    measured = BRepExtrema_DistShapeShape(one.wrapped, other.wrapped)
    assert measured.IsDone()
    return measured.Value()


@pytest.mark.parametrize(("angle", "at"), [(0, (30, 0, 4)), (25, (28, 10, -12)), (70, (-31, 8, 6)), (110, (5, 30, 15))])
def test_a_drain_boss_beside_a_bored_block(angle, at):
    boss = drain_boss_solid(drain_boss("M14x1.5", thickness=2.0), identity())
    beside = bored_block((-9, -9, -8), (9, 9, 8), radius=6).moved(cq.Location(at, (1, 1, 0), angle))
    exact, found = kernel_distance(boss, beside), rest(solid(boss, "boss"), solid(beside, "block"))
    assert exact > 0 and exact - ALLOWED_MM <= found.gap <= exact + ROUNDING


# ---------------------------------------------------------------- over a movement


@pytest.mark.parametrize("shifts", [(5, 5, 8), (3, 0, 8), (0, 0, 8), (12, 2, 30), (0, 0, 40)])
def test_boxes_that_shift(shifts):
    """What is left of the offsets along each axis once the shifts are used up, together by Pythagoras."""
    one, other = box((0, 0, 0), (10, 10, 10)), box((20, 14, 35), (50, 40, 60))
    left = np.maximum(np.array([10, 4, 25]) - shifts, 0)
    x, y, z = shifts
    found = least_over([one], [other], swings(x=x, y=y, z=z))
    assert found.gap == pytest.approx(np.linalg.norm(left), abs=ROUNDING)
    assert found.at_rest == pytest.approx(math.sqrt(10**2 + 4**2 + 25**2), abs=ROUNDING)


def test_balls_that_shift():
    """Centres (12, 9, 20) apart that come up to 4, 9, 5 mm nearer along the axes, and a shift too long for its axis."""
    a, b = solid(ball(4, (0, 0, 0)), "a"), solid(ball(3, (12, 9, 20)), "b")
    assert is_close_over(least_over([a], [b], swings(x=4, y=30, z=5)), math.hypot(8, 15) - 7)


def is_close_over(found, exact):
    """No more than the closed form and less by no more than is allowed."""
    return exact - ALLOWED_MM <= found.gap <= exact + ROUNDING and found.slack <= ALLOWED_MM


GROUND = box((-500, -500, 0), (900, 500, 90), "plate")
"""What stands below: its top is 90 mm high, 210 mm under the axle."""


@pytest.mark.parametrize("down", [0.0, 8.0])
@pytest.mark.parametrize("roll", np.radians([0.5, 3, 8]))
def test_a_pan_that_rolls_comes_nearer_at_its_corner(roll, down):
    pan = box((0, -100, 120), (400, 100, 300))
    exact = 210 - 180 * math.cos(roll) - 100 * math.sin(roll) - down
    assert is_close_over(least_over([pan], [GROUND], swings(z=down, roll=roll)), exact)


@pytest.mark.parametrize("roll", np.radians([2, 3, 6]))
def test_a_corner_that_swings_through_its_lowest_place(roll):
    """A corner 6 to 10 mm beside and 180 mm below the axis is lowest at 1.9 to 3.2 degrees of roll: between rest and the ends."""
    for beside in (6.0, 10.0):
        rib = box((0, beside - 1, 120), (400, beside, 300))
        swung = min(roll, math.atan2(beside, 180))
        exact = 210 - 180 * math.cos(swung) - beside * math.sin(swung)
        assert is_close_over(least_over([rib], [GROUND], swings(roll=roll)), exact)


def test_a_nose_that_pitches():
    """A corner 200 mm ahead of the middle and 180 mm below it: pitched nose down it comes lower as one beside it does by roll."""
    pan, pitch = box((0, -100, 120), (400, 100, 300)), math.radians(2)
    assert is_close_over(least_over([pan], [GROUND], swings(pitch=pitch)), 210 - 180 * math.cos(pitch) - 200 * math.sin(pitch))


def test_a_flank_that_yaws():
    """A corner 200 mm ahead and 100 mm to the left of the middle, beside a wall at y = 125 mm."""
    pan, wall, yaw = box((0, -100, 120), (400, 100, 300)), box((-500, 125, 0), (900, 160, 500)), math.radians(2)
    assert is_close_over(least_over([pan], [wall], swings(yaw=yaw)), 125 - 100 * math.cos(yaw) - 200 * math.sin(yaw))


def test_a_plane_that_yaws_over_a_plane_stays_as_near():
    pan = box((0, -100, 120), (400, 100, 300))
    assert is_close_over(least_over([pan], [GROUND], swings(yaw=math.radians(5))), 30)


def test_a_ball_that_rolls():
    """Its centre 180 mm below and 60 mm beside the axis."""
    roll, sphere = math.radians(3), solid(ball(4, (200, 60, AXLE_MM - 180)), "ball")
    exact = 210 - 180 * math.cos(roll) - 60 * math.sin(roll) - 4
    assert is_close_over(least_over([sphere], [GROUND], swings(roll=roll)), exact)


@pytest.mark.parametrize(("top", "allowed"), [(240, ALLOWED_MM), (90, ALLOWED_MM + CHORD_MM + 0.02 * 140)])
def test_a_bar_along_the_axle_rolls_in_its_own_place(top, allowed):
    """A round bar about the axle itself comes no nearer by rolling. Of what is beyond 30 mm 2 %
    may be lost, and a chord of the mesh as it is; that is told."""
    around = solid(bar(radius=40, length=400, origin=(0, 0, AXLE_MM), axis=(1, 0, 0)), "bar")
    found = least_over([around], [box((-500, -500, 0), (900, 500, top))], swings(roll=math.radians(3)))
    exact = AXLE_MM - 40 - top
    assert exact - allowed <= found.gap <= exact + ROUNDING <= found.gap + found.slack + CLOSE_MM


@pytest.mark.parametrize("heading", [90, 180, -90])
def test_an_engine_that_faces_another_way_rolls_about_its_own_axis(heading):
    turn = (math.cos(math.radians(heading)), math.sin(math.radians(heading)), 0)
    about, roll = frame(origin=(0, 0, AXLE_MM), x=turn, z=(0, 0, 1)), math.radians(3)
    own = frame(origin=(0, 0, 0), x=turn, z=(0, 0, 1)).matrix[:3, :3]
    pan = moved(box((-50, -100, 120), (50, 100, 300)), turn=own, shift=np.zeros(3))
    found = least_over([pan], [GROUND], swings(roll=roll, about=about))
    assert is_close_over(found, 210 - 180 * math.cos(roll) - 100 * math.sin(roll))
