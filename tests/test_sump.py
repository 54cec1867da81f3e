"""The inside of the deep pan: its section by hand, what fits into it, what an obstacle takes off it."""

import math

import numpy as np
import pytest

from configs import NAMES, changed, region
from generators import sump
from generators.outlines import flattened
from generators.parameters import DeepPan, Movement, Obstacle, Sump, Vehicle
from generators.sump.draw import draw_of, towards_oil
from generators.sump.notch import taken
from generators.sump.size import full_mark, sharp_volume_below

WET = {"lubrication": "wet"}
SUMP = {"length": 180.0, "width": 280.0, "depth": 170.0, "x": 130.0}


def asked(name="hillclimb_four", crank=None, **pan):
    """Parameters of a demo engine with a deep pan of those keys."""
    made = changed(name, engine=WET, **({"crank": crank} if crank else {}))
    return made.model_copy(update={"deep_pan": DeepPan(**{"sump": SUMP, "shallow_depth": 45.0, **pan})})


def inside(**pan):
    p = asked(**pan)
    return sump.inside_of(p, region(p))


def refused(words, **pan):
    with pytest.raises(ValueError) as bad:
        p = asked(**pan)
        sump.draw_of(p, region(p), sump.inside_of(p, region(p)))
    assert str(bad.value).startswith(words)
    return str(bad.value)


def test_the_section_by_hand():
    """Rail 62 mm under the crank, scraper 3, flange 8, sheet 2 mm bent at 3 mm; opening y -100.7 to 100.7 mm. The neck stands
    3 + 2 + 3 mm inside the body's walls, the rising shelf 50 + 9.2 + 2 mm under the flange (a socket and the free radius round its
    end), the walls 140 mm from the middle."""
    made = inside(floor_slope=0.0)
    assert made.top == -65 and made.underside == -73 and made.shallow_z == -107
    assert made.opening.y0 == pytest.approx(-100.7)
    corners = np.array(made.corners)
    assert corners[0] == pytest.approx([-92.7, -109])
    assert corners[1] == pytest.approx([-92.7, -134.2])
    assert corners[2:4] == pytest.approx(np.array([[-140, -134.2], [-140, -232]]))
    assert corners[4] == pytest.approx([140, -232]) and corners[7] == pytest.approx([92.7, -109])
    assert (made.x0, made.x1, made.length) == (40, 220, 180)


def test_the_floor_falls_to_the_rising_side_whichever_that_is():
    p, q = asked(), asked(crank={"rotation": "anticlockwise"})
    one, other = (sump.inside_of(a, region(a)) for a in (p, q))
    assert one.corners == pytest.approx(np.array(other.corners))
    assert one.side == -other.side
    for y in (-120.0, 0.0, 77.0):
        assert one.floor(y) == pytest.approx(other.floor(-y))
    assert one.lowest == -232 and one.floor(100) - one.floor(-100) == pytest.approx(200 * math.tan(math.radians(1.5)))


def test_kick_outs_on_the_rising_side_alone_leave_the_other_wall_plain():
    made = inside(kick_outs="rising")
    low, high = made.floor_ends
    assert low[0] == pytest.approx(92.7 - 280) and high[0] == pytest.approx(92.7)
    assert len(made.corners) == 6


def test_a_sump_no_wider_than_its_neck_has_plain_walls():
    made = inside(sump={**SUMP, "width": 150.0})
    assert len(made.corners) == 4
    assert [c[0] for c in made.corners] == pytest.approx([-75, -75, 75, 75])


def test_the_falling_shelf_leaves_its_neck_room_for_the_port():
    made = inside()
    p = asked()
    draw = sump.draw_of(p, region(p), made)
    shelf = made.corners[5][1]
    assert draw.leg_z + draw.port.base_diameter / 2 < made.corners[-1][1]
    assert draw.leg_z - draw.port.base_diameter / 2 > shelf + made.radius + made.thickness


@pytest.mark.parametrize("radius", [0.0, 12.0])
@pytest.mark.parametrize("inset", [0.0, 0.3, 2.0])
def test_the_bottom_is_that_of_the_section(radius, inset):
    """Against the section's own loop, cut by plumb lines with a polygon library."""
    from shapely.geometry import LineString, Polygon

    made = inside(make=False, corner_radius=radius, sump={**SUMP, "width": 180.0}, floor_slope=math.radians(2))
    outline = Polygon(flattened(made.section(inset=inset), chord=1e-5) if radius else made.section(inset=inset).points)
    low, high = outline.bounds[0], outline.bounds[2]
    for s in np.linspace(low + 0.01, high - 0.01, 41):
        line = outline.intersection(LineString([(s, -500), (s, 0)]))
        assert made.bottom(made.side * s, inset=inset) == pytest.approx(line.bounds[1], abs=2e-3)
    assert made.bottom(made.side * (high + 1.0), inset=inset) == math.inf


def test_volume_for_sizing_of_a_box_by_hand():
    """A given pan, level: the sump 180 x 180 x 125 mm under the body's floor, the body as large as the opening."""
    made = inside(make=False, sump={**SUMP, "width": 180.0})
    o = made.opening
    assert sharp_volume_below(made, -107) == pytest.approx(180 * 180 * 125)
    assert sharp_volume_below(made, -100) == pytest.approx(180 * 180 * 125 + 7 * o.length * o.width, rel=1e-3)
    assert sharp_volume_below(made, -500) == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_engine_has_a_deep_pan_of_the_tools_own(name):
    p = changed(name, engine=WET)
    made = sump.inside_of(p, region(p))
    draw = sump.draw_of(p, region(p), made)
    assert made.channel.faces()
    assert made.opening.x0 < made.x0 < draw.x < made.x1 < made.opening.x1
    assert made.body_floor(made.opening.x1) > made.shallow_z
    assert -region(p).lowest < -made.body_floor(made.opening.x1)
    assert all(s.because for s in made.sized)


def test_more_oil_asks_for_a_deeper_sump():
    depths = []
    for litres in (4, 6, 8):
        p = changed("hillclimb_four", engine=WET, oil={"volume": litres * 1e-3})
        made = sump.inside_of(p, region(p))
        assert sharp_volume_below(made, full_mark(region(p))) >= litres * 1e6
        depths.append(-made.lowest)
    assert depths == sorted(depths) and depths[0] < depths[-1]


def test_much_oil_makes_a_sump_longer_before_it_goes_very_deep():
    """The opening is 379 mm long: 0.45 of it in steps of 5 mm holds 4 litres, 8 litres ask for more length, not for 225 mm of depth."""
    lengths = {}
    for litres in (4, 8):
        p = changed("hillclimb_four", engine=WET, oil={"volume": litres * 1e-3})
        made = sump.inside_of(p, region(p))
        lengths[litres] = made.length
        assert -62 - made.lowest <= 190
    assert lengths[4] == 170 < lengths[8]


def test_what_does_not_fit_is_refused_with_both_numbers():
    assert "-50.0 to 130.0" in refused("deep_pan.sump.x: ", sump={**SUMP, "x": 40.0})
    assert "kick-outs of 7.3 mm" in refused("deep_pan.sump.width: ", sump={**SUMP, "width": 200.0})
    assert "leaves" in refused("deep_pan.sump.depth: ", sump={**SUMP, "depth": 52.0})
    assert "cannot be bent" in refused("deep_pan.sump.depth: ", sump={**SUMP, "depth": 80.0})
    assert "of wall under the flange" in refused("deep_pan.shallow_depth: ", shallow_depth=20.0)
    assert "from -92.7 to 92.7" in refused("deep_pan.pickup.y: ", pickup={"y": 130.0})
    assert "from 40.0 to 220.0" in refused("deep_pan.pickup.x: ", pickup={"x": 210.0})
    assert "12 mm is less than the bore of 22 mm" in refused("deep_pan.pickup.bell: ", pickup={"bell": 12.0})
    assert "37" not in refused("deep_pan.pickup.bore: ", pickup={"bore": 60.0})


# ---------------------------------------------------------------- obstacles


def beside(low, high, *, gap=10.0, **sits):
    """A vehicle whose one obstacle fills a box (mm, vehicle frame); the rail stands 300 mm above the ground."""
    return Vehicle(rail_above_ground=300.0, obstacle=(Obstacle(name="crossmember", box=(low, high), gap=gap),), **sits)


def notched(vehicle, **pan):
    p = asked(**pan).model_copy(update={"vehicle": vehicle})
    return p, sump.inside_of(p, region(p))


def test_a_crossmember_under_the_front_of_the_sump_is_cleared():
    """The crank stands 362 mm over the ground. The box reaches up to 170 mm and back to x = 190 mm: with 10 mm of gap and 2 mm
    of sheet the set-back wall stands at 190 - 10 - 2, the roof at 170 - 362 + 10 + 2."""
    _, made = notched(beside((190.0, -400.0, 120.0), (300.0, 400.0, 170.0)))
    assert made.notch.at_front and made.notch.x == 178 and made.notch.z == -180
    assert any(s.key == "deep_pan.notch" and "crossmember" in s.because for s in made.sized)


def test_the_engine_movement_and_a_turned_engine_count():
    moves = {"x": 4.0, "y": 0.0, "z": 6.0}
    _, made = notched(beside((190.0, -400.0, 120.0), (300.0, 400.0, 160.0), movement=moves))
    assert (made.notch.x, made.notch.z) == (174, -184)
    _, made = notched(beside((-300.0, -400.0, 120.0), (-190.0, 400.0, 170.0), front_of_engine="rearward"))
    assert (made.notch.at_front, made.notch.x, made.notch.z) == (True, 178, -180)


def test_an_obstacle_at_the_rear_steps_the_rear_end():
    _, made = notched(beside((-100.0, -400.0, 120.0), (80.0, 400.0, 170.0)))
    assert not made.notch.at_front and made.notch.x == 92


def test_an_obstacle_beside_the_sump_changes_nothing():
    _, made = notched(beside((260.0, -400.0, 120.0), (300.0, 400.0, 200.0)))
    assert made.notch is None


def test_an_obstacle_that_one_step_does_not_clear_is_told_by_name():
    """The pan is made without a step then: whether it clears the obstacle is the fit's to say."""
    for low, high, said in (((120.0, -400.0, 120.0), (160.0, 400.0, 200.0), "crossmember (with gap"),
                            ((190.0, -400.0, 120.0), (300.0, 400.0, 240.0), "crossmember reaches up to")):
        _, made = notched(beside(low, high))
        (told,) = [s for s in made.sized if s.key == "deep_pan.notch"]
        assert made.notch is None and told.value == "none" and told.because.startswith(said)


def test_a_cylinder_takes_what_a_box_round_it_takes():
    """A tube of 50 mm square to the crank and one along it, 20 mm higher: the room of each by hand, gap 10 mm. The crank axis is
    362 mm over the ground."""
    tubes = (Obstacle(name="across", cylinder=((200.0, -300.0, 150.0), (200.0, 300.0, 150.0), 25.0)),
             Obstacle(name="along", cylinder=((100.0, 40.0, 170.0), (300.0, 40.0, 170.0), 25.0)))
    p = asked()
    p = p.model_copy(update={"vehicle": Vehicle(rail_above_ground=300.0, obstacle=tubes)})
    height = 300.0 + p.pan_rail.below_crank
    across, along = taken(p)
    assert across.low == pytest.approx([165, -310, 115 - height]) and across.high == pytest.approx([235, 310, 185 - height])
    assert along.low == pytest.approx([90, 5, 135 - height]) and along.high == pytest.approx([310, 75, 205 - height])


def test_a_turning_engine_sees_more_of_an_obstacle():
    """Rolled 3 deg either way about the crank axis a point 150 mm to the side of it and 200 mm below rises by
    150 sin 3 deg + 200 (1 - cos 3 deg), and lies beside it by 200 sin 3 deg more; what moves with the engine does not."""
    def room(moves_with, **movement):
        bar = Obstacle(name="bar", box=((100.0, 149.0, 100.0), (120.0, 150.0, 162.0)), gap=0.0, moves_with=moves_with)
        p = asked()
        p = p.model_copy(update={"vehicle": Vehicle(rail_above_ground=362.0 - p.pan_rail.below_crank, obstacle=(bar,), movement=Movement(**movement))})
        return taken(p)[0]

    roll = math.radians(3)
    still, rolled, fixed = room("vehicle"), room("vehicle", roll=roll), room("engine", roll=roll, x=5.0)
    assert rolled.high[2] - still.high[2] == pytest.approx(150 * math.sin(roll) + 200 * (1 - math.cos(roll)), abs=0.05)
    assert rolled.high[1] - still.high[1] == pytest.approx(262 * math.sin(roll) - 150 * (1 - math.cos(roll)), abs=0.05)
    assert (fixed.high == still.high).all() and (fixed.low == still.low).all()


def test_a_box_under_an_engine_aslant_is_no_smaller_than_it_looks():
    """The box round the turned box: a corner of the obstacle is in it whichever way the engine leans."""
    p = asked().model_copy(update={"vehicle": beside((190.0, -40.0, 120.0), (300.0, 40.0, 200.0), gap=0.0, pitch=0.05, roll=-0.1)})
    (room,) = taken(p)
    assert (room.high - room.low >= np.array([110, 80, 80])).all()


# ---------------------------------------------------------------- the pickup's place


def off_middle(*, driving, front="forward", width=250.0):
    """How far (mm) before the middle of a sump 200 mm long inside the tool puts the pickup."""
    p = changed("hillclimb_four", driving=driving, vehicle={"front_of_engine": front},
                deep_pan={"sump": Sump(length=200.0, width=width, depth=180.0, x=150.0)})
    made = sump.inside_of(p, region(p))
    return towards_oil(p, made) / (made.floor_x[1] - made.floor_x[0]), draw_of(p, region(p), made).x - sum(made.floor_x) / 2


def test_a_pickup_left_to_the_tool_stands_where_harder_driving_draws_the_oil():
    """It divides the floor as braking and speeding up are to each other, at most a tenth off the middle."""
    slight = {"braking": 11.0, "acceleration": 9.0}
    share, x = off_middle(driving=slight)
    assert share == pytest.approx(11 / 20 - 1 / 2) and x > 0
    assert off_middle(driving=slight, front="rearward")[0] == pytest.approx(-share)
    assert off_middle(driving={"braking": 9.0, "acceleration": 11.0})[0] == pytest.approx(-share)
    assert off_middle(driving={"braking": 14.0, "acceleration": 6.0})[0] == 0.1
    assert off_middle(driving=slight, front="left")[0] == 0 == off_middle(driving={"braking": 0.0, "acceleration": 0.0})[0]


def test_in_a_narrow_sump_it_stays_in_the_middle():
    """The drain stands before the cell there."""
    assert off_middle(driving={"braking": 14.0, "acceleration": 6.0}, width=150.0)[0] == 0
