"""A deep pan stepped for a crossmember: it clears it by its gap, and holds less by what the step takes."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import trimesh

from configs import changed, region
from generators import checks
from generators.bodies import body, part_bodies, settled_gap
from generators.findings import FAIL
from generators.meshes import part_meshes, solid_mesh
from generators.parameters import Movement, Obstacle, Vehicle
from generators.parts import deep_pan as pan
from generators.parts.deep_pan.space import cavity
from generators.vehicle import engine_in_vehicle

SUMP = {"length": 180.0, "width": 280.0, "depth": 170.0, "x": 130.0}
FRONT = ((190.0, -400.0, 120.0), (300.0, 400.0, 170.0))
REAR = ((-100.0, -400.0, 120.0), (80.0, 400.0, 170.0))
"""Invented crossmembers (mm, vehicle frame) under the front and the rear of the sump."""


def parameters(box=None, *, gap_=10.0, movement=None, rotation="clockwise", **deep_pan):
    made = changed("hillclimb_four", engine={"lubrication": "wet"}, crank={"rotation": rotation},
                   deep_pan={"sump": SUMP, "shallow_depth": 45.0, **deep_pan})
    if box is None:
        return made
    sits = Vehicle(rail_above_ground=300.0, obstacle=(Obstacle(name="crossmember", box=box, gap=gap_),), movement=movement or Movement())
    return made.model_copy(update={"vehicle": sits})


@cache
def _made(box, rotation="clockwise", kick_outs="both"):
    p = parameters(box, rotation=rotation, kick_outs=kick_outs)
    return p, pan.part(pan.dimension(p, region(p)))


def distance(p, part, box) -> float:
    """Least distance, mm, of the pan's pieces (all but the strainer, deep inside) from a box of the vehicle frame, carried into
    the engine's."""
    turn = np.linalg.inv(engine_in_vehicle(p.vehicle, below_crank=p.pan_rail.below_crank).matrix)
    there = body("obstacle", trimesh.creation.box(bounds=box).apply_transform(turn), exact=True)
    pieces = [replace(body(q.name, solid_mesh(q.solids[0])), solid=q.solids[0]) for q in part.pieces if q.name != "strainer"]
    return settled_gap([(b, there) for b in pieces], 10.0)[0]


@pytest.mark.parametrize("box, kick_outs", [(FRONT, "both"), (REAR, "rising")])
def test_the_stepped_pan_clears_its_obstacle_and_fails_nothing(box, kick_outs):
    p, part = _made(box, kick_outs=kick_outs)
    assert 9.995 <= distance(p, part, box) <= 11.5
    meshes = part_meshes(part)
    found = checks.general(p, part, meshes, part_bodies(meshes))
    assert [c for c in found if c.status == FAIL] == []
    assert meshes.joined.is_watertight and meshes.oil_space.is_watertight


def test_without_its_step_the_pan_would_stand_in_the_obstacle():
    p = parameters(FRONT)
    part = pan.part(pan.dimension(parameters(), region(p)))
    assert distance(p, part, FRONT) == 0


def test_the_engine_may_move_on_its_mounts():
    """4 mm forward and 6 mm down: moved so, the pan still keeps its gap."""
    movement = Movement(x=4.0, z=6.0)
    p = parameters(((190.0, -400.0, 120.0), (300.0, 400.0, 160.0)), movement=movement)
    part = pan.part(pan.dimension(p, region(p)))
    moved = ((186.0, -400.0, 126.0), (296.0, 400.0, 166.0))
    assert distance(p, part, moved) >= 9.995


def test_volume_falls_by_what_the_step_takes():
    """Level floor. The step, half way into 2 mm of metal: from the set-back wall's middle to that of the end plate 42 mm long,
    280 + 2 mm wide; from the floor's middle at -233 to the roof's at -181 less two bends of 4 mm along it and one across."""
    without, with_ = (pan.dimension(p, region(p)) for p in (parameters(floor_slope=0.0), parameters(FRONT, floor_slope=0.0)))
    notch = with_.inside.notch
    assert (notch.x, notch.z) == (178, -180)
    corner = (1 - math.pi / 4) * 4**2
    step = (282 * 52 - 2 * corner) * 42 - 282 * corner
    assert cavity(without).Volume(1e-7) - cavity(with_).Volume(1e-7) == pytest.approx(step, rel=1e-6)


def test_the_notch_covers_what_was_cut():
    """The roof lies over the obstacle from wall to wall, the wall set back reaches from it to under the floor."""
    _, part = _made(FRONT)
    i, t = part.dimensions.inside, part.dimensions.thickness
    box = part.piece("notch").solids[0].BoundingBox()
    assert (box.xmin, box.xmax, box.zmax) == pytest.approx((178, i.x1, -180), abs=0.03)
    assert (box.ymin, box.ymax) == pytest.approx((-140 - t, 140 + t), abs=0.03)
    assert box.zmin == pytest.approx(i.lowest - t, abs=0.2)
    assert part.piece("sump_end_front").solids[0].BoundingBox().zmin == pytest.approx(-180 - t, abs=0.03)
    assert len(part.piece("notch").flat.bends) == 1


def test_developed_length_of_the_notch_by_hand():
    """Roof 42 - 5 mm, wall 180 + 5 mm under the crank to the outside of the level floor at 234, and a quarter bend of
    pi/2 (3 + 0.42 x 2)."""
    p = parameters(FRONT, floor_slope=0.0)
    part = pan.part(pan.dimension(p, region(p)))
    width, length = sorted(np.ptp(part.piece("notch").flat.outer.points, axis=0))[::-1]
    assert width == pytest.approx(284)
    assert length == pytest.approx(37 + (234 - 185) + math.pi / 2 * (3 + 0.42 * 2))


def test_a_mirrored_crank_makes_the_mirror_image():
    (_, one), (_, other) = _made(FRONT), _made(FRONT, rotation="anticlockwise")
    for a, b in zip(one.pieces, other.pieces, strict=True):
        p, q = a.solids[0].Center(), b.solids[0].Center()
        assert (q.x, q.y, q.z) == pytest.approx((p.x, -p.y, p.z), abs=1e-4)
        assert b.volume == pytest.approx(a.volume, rel=1e-6)


@pytest.mark.parametrize("box, ends", [(FRONT, (False, False)), (REAR, (True, True))])
def test_drain_and_temperature_boss_go_to_the_end_that_is_whole(box, ends):
    _, part = _made(box, kick_outs="rising" if box is REAR else "both")
    d = part.dimensions
    i = d.inside
    assert (d.drain[0] > (i.x0 + i.x1) / 2, d.temperature.at_front) == ends
    assert i.floor_x[0] + 20 < d.draw.x < i.floor_x[1] - 20


def test_a_pickup_over_the_step_is_refused_with_the_numbers():
    p = parameters(FRONT, pickup={"x": 190.0})
    with pytest.raises(ValueError, match=r"deep_pan\.pickup\.x: .* 190\.0 mm does not stand on the sump's floor under its neck, from 40\.0 to "
                                         r"178\.0 mm"):
        pan.dimension(p, region(p))


def test_a_step_is_at_least_as_long_as_its_roof_can_be_bent():
    """The obstacle reaches 3 mm under the sump: 3 x 2 + 3 mm is the least flange of 2 mm sheet bent at 3 mm."""
    p = parameters(((230.0 - 3.0, -400.0, 120.0), (300.0, 400.0, 170.0)))
    d = pan.dimension(p, region(p))
    assert d.inside.x1 - d.inside.notch.x == pytest.approx(9.0)
    part = pan.part(d)
    assert distance(p, part, p.vehicle.obstacle[0].box) >= 9.995
    assert checks.sheets.sheet_limits(part).status != FAIL
