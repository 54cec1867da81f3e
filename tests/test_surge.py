"""How oil settles in box-shaped vessels under the whole envelope, against closed forms."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh
from scipy.optimize import brentq
from surge_cases import HEIGHT, LENGTH, WIDTH, rim, road, settled, vessel

from configs import region
from generators.driving import envelope
from generators.findings import KernelFailure
from generators.oil.slosh import longest_above, ramp_factor, ramp_factor_within, rectangular_period
from generators.oil.surface import skin, volumes_below
from generators.parts.gate_baffle import flow
from generators.surge import amounts, space
from generators.surge.cell import Cell, seconds
from generators.surge.crankcase import with_crankcase
from generators.units import GRAVITY

STILL = {"cornering": 0.0, "braking": 0.0, "acceleration": 0.0, "crest": 0.0, "compression": 0.0}
HALF = LENGTH / 2


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    """Fewer directions than the program looks at."""
    monkeypatch.setattr(envelope, "ANGLES", 24)


def braking(g: float, **more) -> dict:
    """A vehicle that can do nothing but brake at `g`."""
    return {**STILL, "braking": g * GRAVITY, **more}


def oil(litres: float) -> dict:
    return {"volume": litres / 1000, "running_volume": litres / 1000}


def depth_at(x: float, *, slope: float, still: float, length: float = LENGTH) -> float:
    """Depth (mm) at a distance x (mm) from the wall that oil stands against in a box with its floor partly dry: the wetted
    length is sqrt(2 h L / s) (derived: the area of a triangle)."""
    wetted = math.sqrt(2 * still * length / slope)
    assert wetted < length
    return slope * (wetted - x)


# ---------------------------------------------------------------- cover


@pytest.mark.parametrize("slope", [1.0, 1.5])
def test_cover_of_a_pickup_in_a_box(slope):
    """400 mm long, 60 mm deep at rest: the middle is 19.089 mm deep at 1 g, and dry at 1.5 g (derived: triangle). Cover is square to the
    surface."""
    (found,) = settled(road(driving=braking(slope), oil=oil(6.0)), vessel())
    by_hand = (depth_at(HALF, slope=slope, still=60.0) - 10.0) / math.hypot(1, slope)
    assert found.covers[0].judged.min() == pytest.approx(by_hand, abs=1e-6)
    assert found.envelope.points[found.covers[0].worst][0] == pytest.approx(-slope * GRAVITY)
    if slope == 1.0:
        assert by_hand == pytest.approx(6.4269, abs=1e-4)


def test_the_oil_that_covers_it_everywhere():
    """A plane of slope 1.5 through the rim, 10 mm over the middle of the floor, has a triangle 200 + 10 / 1.5 mm long under it,
    less the tip over the roof at 300 mm."""
    (found,) = settled(road(driving=braking(1.5), oil=oil(6.0)), vessel())
    over = 1.5 * HALF + 10 - HEIGHT
    by_hand = (1.5 * (HALF + 10 / 1.5) ** 2 / 2 - over**2 / 3) * WIDTH * 1e-9
    assert found.covers[0].needed.max() == pytest.approx(by_hand, rel=1e-7)
    (full,) = settled(road(driving=braking(1.5), oil=oil(1000 * by_hand)), vessel())
    assert full.covers[0].judged.min() == pytest.approx(0.0, abs=1e-5)


def test_more_oil_never_lowers_the_cover():
    covers = [settled(road(oil=oil(v)), vessel())[0].covers[0].judged for v in (3.0, 5.0, 8.0)]
    assert (covers[1] > covers[0]).all() and (covers[2] > covers[1]).all()


def test_the_acceleration_that_bares_it():
    """Straight braking bares the middle where its depth is the rim's height: sqrt(2 h L s) - s L / 2 = 10 (derived); sideways
    likewise across the width; found to a two-thousandth of a step."""
    (found,) = settled(road(oil=oil(6.0)), vessel())
    cover = found.covers[0]
    for angle, span in ((math.pi, LENGTH), (0.0, LENGTH), (math.pi / 2, WIDTH)):
        by_hand = brentq(lambda s, span=span: math.sqrt(2 * 60 * span * s) - s * span / 2 - 10, 2 * 60 / span, 9)
        got = cover.bares[int(np.argmin(np.abs(cover.bare_angles - angle)))] / GRAVITY
        assert got == pytest.approx(by_hand, abs=1e-4) if by_hand < 3 else math.isinf(got)
    (deep,) = settled(road(oil=oil(18.0)), vessel(mouths={"pickup": rim(HALF, 0, 1.0)}))
    assert np.isinf(deep.covers[0].bares).all()


def test_an_engine_that_stands_across():
    """With its front to the left braking throws the oil to the engine's right, across the width of the box."""
    turned = {"front_of_engine": "left"}
    (found,) = settled(road(driving=braking(2.0), oil=oil(6.0), vehicle=turned), vessel())
    by_hand = (depth_at(WIDTH / 2, slope=2.0, still=60.0, length=WIDTH) - 10.0) / math.hypot(1, 2)
    assert found.covers[0].judged.min() == pytest.approx(by_hand, abs=1e-6)
    worst = found.ups[found.covers[0].worst]
    assert worst[1] > 0.8 and abs(worst[0]) < 1e-12
    (tank,) = settled(road(driving=braking(1.5), oil=oil(6.0), vehicle=turned), vessel("reservoir", own_frame=True))
    assert abs(tank.ups[tank.covers[0].worst][1]) < 1e-12  # a tank stands as the vehicle does


def test_an_engine_that_leans_starts_tilted():
    """Rolled by 0.1 rad, the level surface leans across the pan by as much."""
    (found,) = settled(road(driving=STILL, oil=oil(6.0), vehicle={"roll": 0.1}), vessel())
    by_hand = (60.0 - 10.0) * math.cos(0.1)
    assert found.covers[0].judged.min() == pytest.approx(by_hand, abs=1e-6)
    assert found.ups[0][1] == pytest.approx(math.sin(0.1), abs=1e-12)


def test_over_a_crest_beyond_free_fall_the_oil_is_on_the_roof():
    """At -1.5 g it hangs 60 mm deep from the roof, 300 mm up: a rim at 10 mm lies 230 mm under that surface's level."""
    (found,) = settled(road(driving={**STILL, "crest": 1.5 * GRAVITY}, oil=oil(6.0)), vessel())
    assert found.covers[0].judged.min() == pytest.approx(-(HEIGHT - 60.0 - 10.0), abs=1e-6)
    assert found.lies.centre[2] == pytest.approx(HEIGHT - 30.0, abs=1e-6)


def test_without_weight_nothing_breaks():
    (found,) = settled(road(driving={**STILL, "crest": GRAVITY}, oil=oil(6.0)), vessel())
    assert np.isfinite(found.covers[0].judged).all()


def test_where_the_pickup_would_have_more_oil_over_it():
    """In braking alone so far forward that it has no less than at rest, 50 mm; with as much speeding up in the middle, where it is."""
    floor = SimpleNamespace(inside=SimpleNamespace(floor_x=(50.0, 350.0)))
    made = vessel(mouths={"pickup": rim(HALF, 0, radius=20.0)}, dimensions=floor)
    (found,) = settled(road(driving=braking(1.5), oil=oil(6.0)), made)
    place, least = found.covers[0].better
    assert least == pytest.approx(50.0, abs=0.01)
    there, before = ((depth_at(LENGTH - x + 20.0, slope=1.5, still=60.0) - 10.0) / math.hypot(1, 1.5) for x in (place, place - 5.0))
    assert there > 49.99 > before
    (even,) = settled(road(driving={**braking(1.5), "acceleration": 1.5 * GRAVITY}, oil=oil(6.0)), made)
    assert even.covers[0].better == pytest.approx((HALF, even.covers[0].open.min()), abs=1e-6)
    assert settled(road(), vessel())[0].covers[0].better is None


# ---------------------------------------------------------------- a cell


CELL = ((HALF - 60.0, -60.0, 0.0), (HALF + 60.0, 60.0, 70.0))


def test_what_a_cell_keeps():
    """A box of 120 x 120 x 70 mm with 0.8 L at the start, 0.1 L drawn: 0.7 L stand 48.6 mm deep; braking at 1 g tilts that within
    it: the surface falls by 1 mm a mm about the middle, where it stays, for no wall or lid is reached (derived)."""
    box = trimesh.creation.box(bounds=CELL)
    made = Cell(skin(box.vertices, box.faces), None, 0.8e6, 0.2e6, 5.0)
    ups = np.array([[0.0, 0, 1], [-0.2, 0, 1]])
    ups /= np.linalg.norm(ups, axis=1)[:, None]
    reach = ups @ np.array([HALF, 0.0, 10.0])
    cover, volume = made.covers(ups, seconds=np.array([0.5, 0.5]), reach=reach, outside=np.array([-50.0, -50.0]))
    depth = 0.7e6 / 120**2
    np.testing.assert_allclose(cover, [depth - 10, (depth - 10) / math.hypot(1, 0.2)], atol=1e-9)
    np.testing.assert_allclose(volume, 0.7e6, rtol=1e-12)


def test_a_drained_cell_is_fed_from_outside_at_a_loss():
    box = trimesh.creation.box(bounds=CELL)
    made = Cell(skin(box.vertices, box.faces), None, 0.8e6, 0.8e6, 5.0)
    cover, volume = made.covers(np.array([[0.0, 0, 1]]), seconds=np.array([2.0]), reach=np.array([10.0]), outside=np.array([30.0]))
    assert cover[0] == pytest.approx(25.0) and volume[0] == pytest.approx(120**2 * 35, rel=1e-12)


def test_a_tilted_cell_spills_over_its_brim():
    """A brim at 60 mm over the middle: at a slope of 1 no more stays under a plane through its low edge, 20 mm off the middle."""
    box = trimesh.creation.box(bounds=CELL)
    made = Cell(skin(box.vertices, box.faces), rim(HALF, 0, 60.0, radius=20.0), 1.0e6, 0.0, 5.0)
    up = np.array([[-1.0, 0, 1]]) / math.sqrt(2)
    # under z = 60 + (x - middle) - 20, floor dry behind x = middle - 40 and lid reached at middle + 30: 100 wide triangle less its tip
    area = 100**2 / 2 - 30**2 / 2
    assert made.left(up, np.zeros(1))[0] == pytest.approx(area * 120, rel=1e-9)


def test_gates_save_a_pickup_for_as_long_as_the_cell_lasts():
    """Braking at 1.5 g bares the middle of the box; a cell keeps it covered for 1 s, and not for 60."""
    bare = settled(road(driving=braking(1.5), oil=oil(6.0)), vessel())[0].covers[0].judged.min()
    walled = vessel(cell=CELL, brim=rim(HALF, 0, 70.0, radius=25.0))
    kept = {}
    for hold in (0.3, 60.0):
        (found,) = settled(road(driving=braking(1.5, hold=hold), oil=oil(6.0), engine={"oil_flow": 12 / 60000}), walled)
        kept[hold] = found.covers[0].judged.min()
        assert found.covers[0].open.min() == pytest.approx(bare, abs=1e-9)
    assert bare < 0 < kept[0.3]
    feed = replace(flow.feed_of(road(engine={"oil_flow": 12 / 60000})), cornering=1.5 * GRAVITY)
    taken = flow.heads_of(walled[1]["gate_baffle"].dimensions, feed).worst
    assert kept[60.0] == pytest.approx(bare - taken, abs=1e-6)


def test_without_a_known_draw_a_cell_is_not_counted_on():
    walled = vessel(cell=CELL, brim=None)
    (found,) = settled(road(driving=braking(1.5), oil=oil(6.0), engine={"oil_flow": None}), walled)
    assert found.covers[0].kept is None and found.cell_slosh is None


def test_a_crest_passes_quickly():
    np.testing.assert_array_equal(seconds(np.array([True, False]), 4.0), [1.0, 4.0])
    np.testing.assert_array_equal(seconds(np.array([True, False]), 0.5), [0.5, 0.5])


# ---------------------------------------------------------------- the swing, parked, several pickups


def test_overshoot_of_a_box():
    """First mode of 400 mm by 60 mm: 1.080 s; the floor runs dry at a slope of 2 h / L = 0.3, so braking at 0.2 g is taken times the
    whole factor of the rise, and 1 g times 1.3 (formulas held elsewhere against their sources)."""
    parameters = road(driving=braking(0.2), oil=oil(6.0))
    (found,) = settled(parameters, vessel())
    period = rectangular_period(0.4, depth=0.06)
    ahead = int(np.argmin(np.abs(found.envelope.angles - math.pi)))
    assert found.slosh.shape == "rectangular" and found.damping == "bare"
    assert found.slosh.periods[1, ahead] == pytest.approx(period, rel=1e-9)
    factor = ramp_factor_within(parameters.driving.rise_time, period=period, damping=0.03)
    assert factor > 1.3
    by_hand = 0.2 * factor
    assert found.covers[0].overshoot["bare"].min() == pytest.approx((depth_or_level(by_hand) - 10) / math.hypot(1, by_hand), abs=1e-6)
    (hard,) = settled(road(driving=braking(1.0), oil=oil(6.0)), vessel())
    assert hard.covers[0].overshoot["bare"].min() == pytest.approx(
        (depth_at(HALF, slope=1.3, still=60.0) - 10.0) / math.hypot(1, 1.3), abs=1e-6)
    assert hard.covers[0].overshoot["baffled"].min() >= hard.covers[0].overshoot["bare"].min()


def depth_or_level(slope: float) -> float:
    """Depth (mm) over the middle: unchanged until the floor runs dry."""
    return 60.0 if slope <= 0.3 else depth_at(HALF, slope=slope, still=60.0)


def test_how_long_the_swing_bares():
    """Bare at 1.1 of the steady acceleration, a third of the way to the 1.3 that it swings to: as long as the first mode is past a third
    of its swing; never bare where there is oil enough,
    always where it is bare at rest."""
    bared = brentq(lambda s: depth_at(HALF, slope=s, still=60.0) - 10, 0.4, 3)
    parameters = road(driving=braking(bared / 1.1), oil=oil(6.0))
    (found,) = settled(parameters, vessel())
    period = rectangular_period(0.4, depth=0.06)
    share = 1 + 0.1 / 0.3 * (float(ramp_factor(parameters.driving.rise_time, period=period, damping=0.03)) - 1)
    by_hand = longest_above(share, parameters.driving.rise_time, period=period, damping=0.03)
    assert found.covers[0].uncovered == pytest.approx(by_hand, rel=1e-4)
    (dry,) = settled(road(driving=braking(1.5), oil=oil(6.0)), vessel())
    (wet,) = settled(road(driving=braking(0.1), oil=oil(6.0)), vessel())
    assert math.isinf(dry.covers[0].uncovered) and wet.covers[0].uncovered == 0


def test_parked_on_a_slope():
    """60 mm deep in the middle whichever way a 12 degree slope falls (no wall runs dry): square to the surface."""
    (found,) = settled(road(oil={"volume": 6e-3, "running_volume": 4e-3}), vessel(oil=6e-3))
    assert found.covers[0].parked.shape == (24,)
    np.testing.assert_allclose(found.covers[0].parked[[0, 6, 12, 18]], 50 * math.cos(math.radians(12)), atol=1e-6)
    (steep,) = settled(road(vehicle={"parked_slope": math.radians(30)}, oil=oil(6.0)), vessel(oil=6e-3))
    assert steep.covers[0].parked.min() < found.covers[0].parked.min()


def test_several_pickups_and_the_one_that_serves():
    """One at each end: braking covers the front one, speeding up the rear one; what gathers before one draws is a triangle to the
    nearer of them."""
    mouths = {"front": rim(LENGTH - 20, 0), "rear": rim(20, 0)}
    (found,) = settled(road(driving={**STILL, "braking": GRAVITY, "acceleration": GRAVITY}), vessel("scavenge_pan", mouths=mouths, full_mark=None))
    points = found.envelope.points
    for x, which in ((-1, 0), (1, 1)):
        i = int(np.argmin(np.linalg.norm(points - [x * GRAVITY, 0, 0], axis=1)))
        assert found.serving[i] == which and found.best[i] > 0 > found.covers[1 - which].judged[i]
        assert found.gathered[i] == pytest.approx((20 + 10) ** 2 / 2 * WIDTH * 1e-9, rel=1e-6)
    assert found.parked_oil is None and found.covers[0].parked is None


def test_surface_to_the_swing():
    """At rest, from 60 mm over a floor 150 mm under the axis up to the lowest of the sweep."""
    parameters = road(driving=STILL, oil=oil(6.0))
    made = vessel(floor=-150.0, size=(LENGTH, WIDTH, 90.0), mouths={"pickup": rim(HALF, 0, -140.0)}, full_mark=-90.0)
    (found,) = settled(parameters, made)
    assert found.to_swing.min() == pytest.approx(region(parameters).lowest + 90.0, abs=1e-6)
    (low,) = settled(parameters, vessel(floor=-500.0, size=(LENGTH, WIDTH, 90.0), mouths={"pickup": rim(HALF, 0, -490.0)}, full_mark=-440.0))
    assert low.to_swing is None


# ---------------------------------------------------------------- how much oil


def amount(parameters, **more):
    made, _ = vessel(**more)
    space = skin(made.oil_space.vertices, made.oil_space.faces)
    return amounts.running(parameters, made, space), amounts.parked(made, space)


def test_oil_left_while_running():
    """As stated; else less 6 s of what the pump draws (common practice), at most half; else all of it."""
    assert amount(road(), oil=4.6e-3)[0].volume == 3.8e-3
    unsaid = {"running_volume": None}
    assert amount(road(oil=unsaid), oil=4.6e-3)[0].volume == pytest.approx(4.6e-3 - min(6 * 24 / 60000, 2.3e-3))
    assert amount(road(oil=unsaid, engine={"oil_flow": 6 / 60000}), oil=4.6e-3)[0].volume == pytest.approx(4.6e-3 - 0.6e-3)
    running, parked = amount(road(oil=unsaid, engine={"oil_flow": None}), oil=4.6e-3)
    assert running.volume == parked.volume == 4.6e-3 and "not known" in running.because


def test_oil_that_nobody_stated_or_that_does_not_fit():
    assert amount(road(oil={"running_volume": None}), full_mark=100.0)[1].volume == pytest.approx(10e-3)
    running, _ = amount(road(oil=oil(50.0)), oil=50e-3)
    assert running.volume == pytest.approx(30e-3) and "to its rim" in running.because


def test_oil_on_its_way_through_a_scavenge_pan():
    for parameters, litres in ((road(), 24 / 60 * 0.5), (road(engine={"oil_flow": None}), 0.3), (road(scavenge_pan={"running_volume": 1e-3}), 1.0)):
        running, parked = amount(parameters, name="scavenge_pan", full_mark=None)
        assert running.volume == pytest.approx(litres / 1000) and parked is None


def test_a_lap_replaces_what_is_stated():
    """The envelope is all that the surge knows of the driving's size."""
    cloud = np.random.default_rng(3).uniform(-1, 1, size=(500, 3)) * [5, 8, 0]
    from generators.surge import surges

    parameters = road(oil=oil(6.0))
    logged = envelope.logged(cloud, has_vertical=False, driving=parameters.driving)
    (found,) = surges(parameters, logged, [vessel()[0]], {}, region(parameters))
    assert np.abs(found.envelope.points[:, 1]).max() == pytest.approx(np.abs(cloud[:, 1]).max() + envelope.RESOLUTION, rel=1e-2)


# ---------------------------------------------------------------- what once was wrong


@pytest.mark.parametrize("slope, rise", [(0.5, 0.4), (0.601, 0.1)])
def test_harder_driving_never_swings_to_more_cover_and_more_oil_to_no_step_down(slope, rise):
    """The bound on the swing where the floor runs dry is no step down: 10 L stand 100 mm deep, dry from a slope of 0.5 on."""
    def least(litres, g):
        (found,) = settled(road(driving=braking(g, rise_time=rise), oil=oil(litres)), vessel(mouths={"pickup": rim(64.0, 0)}))
        return found.covers[0].overshoot["bare"].min()

    by_oil = [least(litres, slope) for litres in (9.8, 9.99, 10.01, 10.2)]
    by_slope = [least(8.0, slope + more) for more in (-0.1, -0.05, 0.0, 0.05)]
    assert (np.diff(by_slope) <= 1e-9).all() and by_slope[-1] < by_slope[0]
    assert (np.diff(by_oil) > -1.0).all()  # deeper oil swings a little farther before its floor runs dry; no step of 10 mm


def test_over_a_crest_oil_swings_slower_and_farther():
    """Period as the root of weight: at a crest of 0.3 g it is 1 / sqrt(0.7) of that on the level (linear waves)."""
    (found,) = settled(road(driving={"crest": 0.3 * GRAVITY, "compression": 0.5 * GRAVITY}, oil=oil(6.0)), vessel())
    np.testing.assert_allclose(found.slosh.periods[0], found.slosh.periods[1] / math.sqrt(0.7), rtol=1e-12)
    np.testing.assert_allclose(found.slosh.periods[2], found.slosh.periods[1] / math.sqrt(1.5), rtol=1e-12)
    assert (found.slosh.factors["bare"][0] > found.slosh.factors["bare"][1]).all()


def test_a_swing_is_timed_where_it_bares_longest():
    """Two ways that bare the pickup: the longer one counts, though the other has less cover."""
    parameters = road(driving={**STILL, "cornering": 0.518 * GRAVITY, "braking": 0.898 * GRAVITY, "acceleration": 0.558 * GRAVITY, "rise_time": 0.2},
                      oil=oil(7.74))
    (found,) = settled(parameters, vessel(mouths={"pickup": rim(302.8, 21.1)}))
    (ahead,) = settled(road(driving={**STILL, "acceleration": 0.558 * GRAVITY, "rise_time": 0.2}, oil=oil(7.74)),
                       vessel(mouths={"pickup": rim(302.8, 21.1)}))
    assert found.covers[0].overshoot["bare"].min() < ahead.covers[0].overshoot["bare"].min() < 0
    assert found.covers[0].uncovered >= ahead.covers[0].uncovered * (1 - 1e-9) > 0


def test_without_weight_a_pickup_is_bare():
    (found,) = settled(road(driving={**STILL, "crest": GRAVITY}, oil=oil(6.0)), vessel())
    assert found.covers[0].judged.min() < 0


def test_a_cell_that_is_dry_at_rest_is_fed_at_a_loss_and_no_better_than_none():
    """So little oil that the gates' own head leaves none in the cell."""
    walled = vessel(cell=CELL, brim=None, mouths={"pickup": rim(HALF, 0, 1.0)})
    (found,) = settled(road(driving=STILL, oil=oil(0.1), engine={"oil_flow": 24 / 60000}), walled)
    assert found.cell_slosh is None and (found.covers[0].kept.cover < found.covers[0].open).all()


def test_no_more_is_left_while_running_than_stands_there_at_rest():
    running, parked = amount(road(oil={"volume": 0.02, "running_volume": 0.012}), oil=8e-3)
    assert running.volume == parked.volume == 8e-3 and "12.00 L, is more" in running.because


# ---------------------------------------------------------------- the crankcase


def test_half_of_the_room_over_the_pan_takes_oil():
    """A box 100 mm high with 100 mm more over it: under a level plane 40 mm over its top lie all of it and half of that (closed form);
    under the top the box alone."""
    box = trimesh.creation.box(bounds=[[0, -100, -160], [400, 100, -60]])
    both = with_crankcase(box, up_to=40.0)
    up = np.array([0.0, 0, 1])
    held = [float(volumes_below(both, up, z)[0]) for z in (-110.0, -60.0, -20.0, 40.0)]
    np.testing.assert_allclose(held, [4e6, 8e6, 8e6 + 1.6e6, 8e6 + 4e6], rtol=1e-12)
    assert with_crankcase(box, up_to=-60.0) is None


def test_oil_that_climbs_past_the_rail_covers_less():
    """Braking at 1 g, 5 L in a pan 400 x 200 x 100 mm with as much room over it, half of it free: z = x + c with the wedge's floor dry behind
    x = -c - 160; its area is t^2 / 2 to the top of the pan and beyond it half of the tip's (derived), 25,000 mm2 in all."""
    made = vessel(floor=-160.0, size=(LENGTH, 200.0, 100.0), mouths={"pickup": rim(HALF, 0, -150.0)}, full_mark=-70.0)
    parameters = road(driving=braking(1.0), oil=oil(5.0))
    (found,) = settled(parameters, made)
    roof = region(parameters).radius

    def area(t):
        over = min(max(t - 100, 0), roof + 60)
        return t**2 / 2 - max(t - 100, 0) ** 2 / 2 + (max(t - 100, 0) ** 2 - (max(t - 100, 0) - over) ** 2) / 4

    t = brentq(lambda t: area(t) - 25_000, 100, 400)
    by_hand = (t - HALF - 10.0) / math.sqrt(2)
    i = int(np.argmin(found.envelope.points[:, 0]))
    assert found.covers[0].risen[i] == pytest.approx(by_hand, abs=1e-6)
    assert found.covers[0].risen[i] < found.covers[0].open[i]
    assert (found.covers[0].risen <= found.covers[0].open + 1e-9).all()
    assert found.gathered[i] == pytest.approx(area(HALF + 10.0) * 200 * 1e-9, rel=1e-6)


def test_gates_that_no_steady_flow_lifts_feed_nothing(monkeypatch):
    """What the arithmetic of the gates refuses under the hardest driving: the cell has what it kept, or nothing."""
    def refuses(made, feed, gentle=flow.heads_of):
        if feed.cornering > 2 * GRAVITY:
            raise ValueError("pressed on its seat")
        return gentle(made, feed)

    monkeypatch.setattr(space, "heads_of", refuses)
    walled = vessel(cell=CELL, brim=None)
    (found,) = settled(road(driving=braking(2.5, hold=60.0), oil=oil(6.0), engine={"oil_flow": 12 / 60000}), walled)
    assert np.isfinite(found.covers[0].judged).all() and found.covers[0].judged.min() < -400


def test_a_top_that_is_not_flat_is_no_opening():
    cone = trimesh.creation.cone(radius=100.0, height=80.0)
    with pytest.raises(KernelFailure, match="opening at its top"):
        with_crankcase(cone, up_to=200.0)


def test_the_open_crankcase_takes_from_both_surface_and_cell():
    """Never more cover than under a lid, neither of one surface nor of the cell."""
    made = vessel(floor=-220.0, size=(LENGTH, 250.0, 120.0), mouths={"pickup": rim(HALF, 0, -210.0)}, full_mark=-110.0,
                  cell=((HALF - 60.0, -60.0, -220.0), (HALF + 60.0, 60.0, -150.0)))
    (found,) = settled(road(driving=braking(1.5), oil=oil(3.5), engine={"oil_flow": 12 / 60000}), made)
    cover = found.covers[0]
    assert (cover.risen_open <= cover.open + 1e-9).all() and (cover.risen <= cover.kept.cover + 1e-9).all()
    assert (cover.risen_open < cover.open - 1.0).any()
