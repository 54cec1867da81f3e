"""How low the parts come, what a socket reaches, and where the block is: on boxes, in closed form."""

import itertools
import math

import numpy as np
import pytest
import trimesh

from configs import changed
from generators.bodies import body
from generators.fit.access import FAR_MM, TOOL_MM, access
from generators.fit.block import block
from generators.fit.ground import FINE_MM, ground, lowest
from generators.fit.movement import Mounts, Pose, mounts, pose_words
from generators.fit.record import Obstruction
from generators.parameters import Movement, Vehicle
from generators.sheet.frames import frame, identity

AXLE = 300.0
"""Height (mm) of the crank axis over the ground in these tests."""

ON_AXLE = frame(origin=(200, 0, AXLE), x=(1, 0, 0), z=(0, 0, 1))


def box(low, high, name="pan"):
    return body(name, trimesh.creation.box(bounds=(low, high)), exact=True)


def swings(*, x=0.0, y=0.0, z=0.0, roll=0.0, pitch=0.0, yaw=0.0, about=ON_AXLE):
    return Mounts(about, np.array([x, y, z]), np.array([roll, pitch, yaw]))


def test_a_pan_at_rest_is_as_low_as_its_lowest_corner():
    height, point, pose = lowest(box((0, -100, 120), (400, 100, 300)), swings())
    assert height == 120 and point[2] == 120 and pose_words(pose) == "at rest"


def test_a_rolling_pan_comes_lower_by_closed_form():
    """A corner 100 mm beside and 180 mm under the axis: 180 cos a + 100 sin a below it, and 8 mm more for the mounts."""
    roll = math.radians(3)
    height, point, pose = lowest(box((0, -100, 120), (400, 100, 300)), swings(z=8, roll=roll))
    true = AXLE - 180 * math.cos(roll) - 100 * math.sin(roll) - 8
    assert true - FINE_MM <= height <= true
    assert abs(point[1]) == 100 and pose.shift == (0, 0, -8) and abs(pose.roll) == pytest.approx(roll)
    assert (pose.roll > 0) == (point[1] < 0), "rolled to its right the right side comes down"


def test_between_the_ends_of_its_roll_a_pan_may_be_lowest():
    """A keel 200 mm under the axis and 5 mm beside it is lowest when it hangs plumb, 1.43 deg of 5."""
    height, _, pose = lowest(box((0, 4.99, 100), (10, 5.01, 110)), swings(roll=math.radians(5)))
    true = AXLE - math.hypot(200, 5.01)
    assert true - FINE_MM <= height <= true + 1e-9
    assert abs(pose.roll) < math.radians(2.2)


def test_no_pose_of_the_movement_brings_any_corner_lower():
    """Five hundred poses drawn by chance, from all six movements at once."""
    m = swings(x=3, y=4, z=5, roll=0.06, pitch=0.03, yaw=0.02)
    made = box((30, -90, 110), (380, 140, 290))
    height, point, pose = lowest(made, m)
    rng = np.random.default_rng(5)
    found = []
    for shares in rng.uniform(-1, 1, (500, 6)):
        turn, shift = m.carried(Pose(tuple(shares[:3] * m.shifts), *(shares[3:] * m.turns)))
        found.append((made.vertices @ turn.T + shift)[:, 2].min())
    turn, shift = m.carried(pose)
    at_pose = (turn @ point + shift)[2]
    assert height <= min(found) and at_pose - 2 * FINE_MM <= height <= at_pose


def test_a_tank_stands_still_and_the_springs_go_down():
    bodies = {"scavenge_pan": (box((0, -100, 120), (400, 100, 300)),), "reservoir": (box((-900, 200, 95), (-700, 400, 700), "tank"),)}
    found = ground(bodies, frozenset({"reservoir"}), swings(z=8), wanted=70, travel=30)
    assert (found.part, found.piece, found.clearance, found.wanted, found.travel) == ("reservoir", "tank", 65, 70, 30)
    found = ground(bodies, frozenset({"reservoir"}), swings(z=28), wanted=70, travel=30)
    assert (found.part, found.clearance) == ("scavenge_pan", 62)
    assert ground({}, frozenset(), swings(), wanted=70, travel=0) is None


@pytest.mark.parametrize("way, axis", [("forward", (1, 0, 0)), ("left", (0, 1, 0)), ("rearward", (-1, 0, 0)), ("right", (0, -1, 0))])
def test_the_engine_rolls_about_its_own_crank_axis(way, axis):
    """Whichever way it faces, a point on the axis stays and one 100 mm to the engine's left rises by 100 sin of a roll to its right;
    shifts are the vehicle's."""
    p = changed("hillclimb_four")
    v = Vehicle(front_of_engine=way, rail_above_ground=245.0, movement=Movement(roll=0.1, x=5.0))
    m = mounts(v, below_crank=p.pan_rail.below_crank, rail_length=p.pan_rail.length)
    turn, shift = m.carried(Pose(roll=0.1))
    on_axis, left = np.array((0, 0, 245 + 62.0)), np.cross((0, 0, 1), axis) * 100.0
    assert turn @ on_axis + shift == pytest.approx(on_axis)
    moved = turn @ (on_axis + left) + shift
    assert moved[2] - on_axis[2] == pytest.approx(100 * math.sin(0.1))
    assert m.about.matrix[:3, 3] == pytest.approx((*(np.array(axis[:2]) * 210), 307))
    assert m.carried(Pose((5, 0, 0)))[1] == pytest.approx((5, 0, 0))


def test_poses_are_told_in_words():
    assert pose_words(Pose((0, 0, -8), roll=math.radians(3))) == "8 mm down, rolled 3 deg to its right"
    assert pose_words(Pose((5, -2.5, 0), pitch=-0.01, yaw=0.02)) == "5 mm forward, 2.5 mm to the right, pitched 0.573 deg nose up, yawed 1.15 deg to its left"


def test_every_extreme_is_among_the_extremes():
    m = swings(x=1, z=2, roll=0.1)
    assert len(m.extremes()) == 27 and m.extremes()[0] == Pose()
    assert {(p.shift[0], p.shift[2], p.roll) for p in m.extremes()} == set(itertools.product((-1, 0, 1), (-2, 0, 2), (-0.1, 0, 0.1)))


# ---------------------------------------------------------------- tools


def bar(low, high, name="bar"):
    return Obstruction(name, name, (box(low, high, name),), (), 10.0, False, 1.0, "box")


def test_a_socket_is_free_by_the_distance_of_its_axis():
    """Bolts on the engine's axes at y = 0, 30 and 200 mm; a bar from y = -50 to 12 mm, 40 mm under the flange."""
    found = access([(100, 0), (100, 30), (100, 200)], [bar((0, -50, -160), (400, 12, -140))], identity(), underside=-100, wanted=11.0)
    assert [a.free for a in found] == [0, pytest.approx(18, abs=1e-3), FAR_MM]
    assert [a.nearest for a in found] == ["bar", "bar", "nothing"]


def test_what_lies_below_the_tool_is_not_in_its_way():
    under = -100 - TOOL_MM
    (free,) = access([(100, 0)], [bar((0, -50, under - 30), (400, 50, under - 9))], identity(), underside=-100, wanted=11.0)
    assert free.free == pytest.approx(9)


def test_a_tool_wholly_inside_an_obstacle_is_not_free():
    (inside,) = access([(100, 0)], [bar((0, -500, -900), (400, 500, 0))], identity(), underside=-100, wanted=11.0)
    assert inside.free == 0


def test_bolts_go_with_the_engine():
    """The engine's front to the left: the bolt 100 mm forward on it is 100 mm to the left in the vehicle."""
    engine = frame(origin=(0, 0, 300), x=(0, 1, 0), z=(0, 0, 1))
    (found,) = access([(100, 0)], [bar((20, 90, 100), (40, 110, 180))], engine, underside=-100, wanted=11.0)
    assert found.free == pytest.approx(20)


# ---------------------------------------------------------------- the block


def test_the_block_is_the_room_over_the_rail_inside_its_gasket_face():
    rail = changed("hillclimb_four").pan_rail
    made = block(rail)
    low, high = made.box
    assert low == pytest.approx((16, -104, -62), abs=1e-6) and high == pytest.approx((404, 104, 0), abs=1e-6)
    sharp = 388 * 208 * 62
    assert sharp * 0.995 < made.metal.volume() <= sharp
