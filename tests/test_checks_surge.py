"""What is judged of the oil's surge: each check passes and fails, and says where."""

import dataclasses
import math
from types import SimpleNamespace

import numpy as np
import pytest
from surge_cases import LENGTH, rim, road, settled, vessel
from test_surge import CELL, HALF, STILL, braking, coarse, oil  # noqa: F401  coarse is used by itself

from generators.checks import surge as judging
from generators.findings import CAUTION, FAIL, NOT_ASSESSED, PASS
from generators.units import GRAVITY


def judged(parameters, *made) -> dict:
    """Checks by their id."""
    return {c.id: c for c in judging.checks(parameters, settled(parameters, *made))}


def hard(litres: float, g: float = 1.5, **more):
    return road(driving=braking(g, **more), oil=oil(litres), engine={"oil_flow": 12 / 60000})


def test_a_pan_that_fails_by_hand_fails_and_more_oil_or_gates_cure_it():
    """400 mm of floor, 60 mm deep at rest, pickup in the middle: at 1.5 g the floor is wet for sqrt(2 h L / s) = 178.9 mm, so that the
    middle at 200 mm is dry (derived). With 10 L it is wet for 230.9 mm and 46 mm deep there."""
    found = judged(hard(6.0), vessel())["surge.deep_pan.pickup"]
    assert found.status == FAIL and found.value < 0
    assert "braking" in found.method and "to the front" in found.method
    assert judged(hard(10.0), vessel())["surge.deep_pan.pickup"].status == PASS
    gated = judged(hard(6.0, hold=0.3), vessel(cell=CELL, brim=rim(HALF, 0, 70.0, radius=25.0)))["surge.deep_pan.pickup"]
    assert gated.status != FAIL and gated.value > 0 and "in the cell after 0.3 s" in gated.method


def test_a_pickup_that_is_bare_is_told_a_better_place():
    floor = SimpleNamespace(inside=SimpleNamespace(floor_x=(50.0, 350.0)))
    found = judged(hard(6.0), vessel(dimensions=floor))["surge.deep_pan.pickup"]
    assert found.status == FAIL and found.method.startswith("with deep_pan.pickup.x 290 mm instead of 200 mm it would be 50.0 mm")
    assert "instead of" not in judged(hard(10.0), vessel(dimensions=floor))["surge.deep_pan.pickup"].method


def test_little_cover_is_a_caution():
    found = judged(hard(6.0, 1.05), vessel())["surge.deep_pan.pickup"]
    assert found.status == CAUTION and 0 <= found.value < judging.USUAL_COVER_MM


@pytest.mark.parametrize("share, status", [(1.29, CAUTION), (1.01, FAIL)])
def test_a_swing_that_bares_for_a_moment_is_a_caution_and_for_long_a_failure(share, status):
    """The first barely, the second for most of each swing; both are covered at rest."""
    from scipy.optimize import brentq
    from test_surge import depth_at

    bared = brentq(lambda s: depth_at(HALF, slope=s, still=60.0) - 10, 0.4, 3)
    parameters = hard(6.0, bared / share)
    found = settled(parameters, vessel())
    check = judging.overshoot(found[0], found[0].covers[0], rise_time=parameters.driving.rise_time)
    assert check.value < 0 <= found[0].covers[0].judged.min()
    assert (found[0].covers[0].uncovered <= judging.TOLERATED_S) == (status == CAUTION)
    assert check.status == status and "bare for" in check.method


def test_submergence_three_ways():
    """12 L/min need 0.69 (Q2 / g)^(1/5) = 14.8 mm at 1 g (formula from memory); what keeps vortices away depends on the mouth."""
    made = vessel(mouths={"pickup": rim(HALF, 0, radius=20.0)})
    status = {}
    for still in (20.0, 60.0, 200.0):
        check = judged(road(driving=STILL, oil=oil(still * 0.1), engine={"oil_flow": 12 / 60000}), made)["submergence.deep_pan.pickup"]
        assert check.limit == pytest.approx(690 * ((12 / 60000) ** 2 / GRAVITY) ** 0.2, rel=1e-9) and check.value == pytest.approx(still - 10, abs=1e-6)
        status[still] = check.status
    assert status == {20.0: FAIL, 60.0: CAUTION, 200.0: PASS}
    unknown = judged(road(driving=STILL, oil=oil(6.0), engine={"oil_flow": None}), made)
    assert unknown["submergence.deep_pan.pickup"].status == NOT_ASSESSED


def test_parked_on_a_slope_it_may_be_bare():
    steep = {"parked_slope": math.radians(40)}
    at_the_rear = vessel(mouths={"pickup": rim(20, 0)}, oil=6e-3)
    found = judged(road(oil=oil(6.0), vehicle=steep), at_the_rear)["parked.deep_pan.pickup"]
    assert found.status == FAIL and found.method.endswith("front low") and "40 deg" in found.method
    assert judged(road(oil=oil(6.0)), vessel(oil=6e-3))["parked.deep_pan.pickup"].status == PASS


TWO = {"front": rim(LENGTH - 20, 0), "rear": rim(20, 0)}


def test_one_of_several_pickups_is_not_judged_alone():
    parameters = road(driving={**STILL, "braking": GRAVITY, "acceleration": GRAVITY})
    found = judged(parameters, vessel("scavenge_pan", mouths=TWO, full_mark=None))
    for name in TWO:
        check = found[f"surge.scavenge_pan.{name}"]
        assert check.status == NOT_ASSESSED and check.value < 0 and check.limit is None
    assert found["gathered.scavenge_pan"].status == NOT_ASSESSED and "no tank" in found["gathered.scavenge_pan"].method
    assert not any(k.startswith(("overshoot", "submergence", "parked")) for k in found)


@pytest.mark.parametrize("litres, status", [(10.0, PASS), (6.0, CAUTION), (4.0, FAIL)])
def test_what_gathers_in_the_pan_is_held_against_the_tank(litres, status):
    """Sideways both pickups of the pan lie in the middle of the wetted wall's length, half the width off it: much gathers. The tank's
    outlet in the middle of its floor wants 1.98 L at 1.1 g sideways (derived: (width / 2)^2 s / 2 L, with the rim 10 mm up)."""
    parameters = road(driving={**STILL, "cornering": 1.1 * GRAVITY}, oil={"volume": 0.02, "running_volume": litres / 1000})
    found = judged(parameters, vessel(oil=0.02), vessel("scavenge_pan", mouths=TWO, full_mark=None, size=(LENGTH, 200.0, 100.0)),
                   vessel("reservoir", mouths={"outlet": rim(100, 0)}, size=(200.0, 250.0, 400.0), own_frame=True, oil=0.02))
    check = found["gathered.scavenge_pan"]
    least = 1.1 * (125 + 10 / 1.1) ** 2 / 2 * 200 * 1e-9
    assert check.limit == pytest.approx(litres / 1000 - least, rel=1e-6)
    assert check.value == pytest.approx(gathered_by_hand(), rel=1e-6)
    assert check.status == status


def gathered_by_hand() -> float:
    """m3 under a slope of 1.1 through a rim 10 mm over the middle of 200 mm, 400 mm long, with a roof at 100 mm."""
    deep, roof = 1.1 * 100 + 10, 100.0
    return (deep**2 / 2.2 - (deep - roof) ** 2 / 2.2) * LENGTH * 1e-9


def test_oil_in_the_swing_is_a_caution():
    made = {"size": (LENGTH, 250.0, 140.0), "mouths": {"pickup": rim(HALF, 0, -140.0)}, "full_mark": -60.0}
    dips = judged(hard(6.0), vessel(floor=-150.0, **made))["surge_to_swing.deep_pan"]
    assert dips.status == CAUTION and dips.value < 0
    clear = judged(road(driving=STILL, oil=oil(1.0)), vessel(floor=-150.0, **made))["surge_to_swing.deep_pan"]
    assert clear.status == PASS and clear.value > 0


@pytest.mark.parametrize("point, words", [
    ((-1.2, 0, 0), "1.20 g braking"), ((0.6, -0.9, -0.3), "0.60 g speeding up, turning right at 0.90 g, over a crest of 0.30 g"),
    ((0, 1, 0.5), "turning left at 1.00 g, in a dip of 0.50 g"), ((0, 0, 0), "at rest"), ((0, 1e-9, 0), "at rest")])
def test_an_acceleration_in_words(point, words):
    assert judging.said(np.array(point) * GRAVITY) == words


@pytest.mark.parametrize("up, words", [
    ((-0.7, 0, 0.7), "to the front"), ((0.7, 0, 0.7), "to the rear"), ((0, 0.7, 0.7), "to the right"), ((0.5, -0.5, 0.7), "to the rear and left"),
    ((0, 0, 1), "nowhere: level"), ((0, 0.2, -0.9), "to the roof")])
def test_where_the_oil_has_gone(up, words):
    assert judging.where(np.array(up), np.eye(3)) == words


def test_every_check_has_its_own_name_and_says_how():
    found = judging.checks(road(), settled(road(), vessel(oil=4.6e-3), vessel("reservoir", mouths={"outlet": rim(200, 0)}, own_frame=True, oil=8e-3)))
    assert len({c.id for c in found}) == len(found) == 9
    for check in found:
        assert check.method and check.source and all(dataclasses.astuple(check)[:3])


# ---------------------------------------------------------------- what once was wrong


def test_a_single_scavenge_pickup_is_judged_by_what_gathers_too():
    made = vessel("scavenge_pan", mouths={"gutter": rim(LENGTH - 20, 0)}, full_mark=None)
    tank = vessel("reservoir", mouths={"outlet": rim(200, 0)}, own_frame=True, oil=0.02)
    found = judged(road(driving={**STILL, "braking": GRAVITY}, oil={"volume": 0.02, "running_volume": 0.015}), made, tank)
    assert found["surge.scavenge_pan.gutter"].status == NOT_ASSESSED and "overshoot.scavenge_pan.gutter" not in found
    assert found["gathered.scavenge_pan"].status == PASS and "covers 1 rim;" in found["gathered.scavenge_pan"].method


def test_the_oil_that_is_said_to_cover_a_pickup_covers_it():
    """Litres rounded up, and a surface that lies in the rim is not under it."""
    said = judged(hard(6.0, 1.2), vessel())["surge.deep_pan.pickup"].method
    litres = float(said.partition(" L would cover it")[0].rpartition(" ")[2])
    assert judged(hard(litres, 1.2), vessel())["surge.deep_pan.pickup"].status != FAIL
    exact = settled(hard(6.0, 1.2), vessel())[0].covers[0].needed.max()
    assert litres - 0.01 <= 1000 * exact <= litres
    assert judged(hard(1000 * exact, 1.2), vessel())["surge.deep_pan.pickup"].status != FAIL


def test_no_better_place_is_told_where_gates_starve_the_pickup_or_it_stays_bare():
    floor = SimpleNamespace(inside=SimpleNamespace(floor_x=(50.0, 350.0)))
    assert "instead of" not in judged(hard(0.3), vessel(dimensions=floor))["surge.deep_pan.pickup"].method
    walled = vessel(cell=CELL, brim=None, dimensions=floor)
    starved = judged(road(driving={**STILL, "hold": 60.0}, oil=oil(1.8), engine={"oil_flow": 100 / 60000}), walled)["surge.deep_pan.pickup"]
    assert "instead of" not in starved.method


def test_a_cell_that_is_not_counted_is_told():
    found = judged(road(driving=braking(0.5), oil=oil(6.0), engine={"oil_flow": None}), vessel(cell=CELL, brim=None))
    assert "its cell is not counted" in found["surge.deep_pan.pickup"].method


def test_parked_on_the_level_no_side_is_low():
    found = judged(road(oil=oil(6.0), vehicle={"parked_slope": 0.0}), vessel(oil=6e-3))["parked.deep_pan.pickup"]
    assert found.status == PASS and "low" not in found.method


def test_oil_that_may_climb_into_the_crankcase_is_a_caution_where_it_bares():
    """A shallow pan under the crank: with a lid on it the oil covers the pickup, without one part of it stands over the rail."""
    low = vessel(floor=-160.0, size=(LENGTH, 200.0, 100.0), mouths={"pickup": rim(HALF, 0, -150.0)}, full_mark=-70.0, oil=5e-3)
    found = judged(road(driving=braking(1.5), oil=oil(4.0), engine={"oil_flow": 12 / 60000}), low)
    lid, open_ = found["surge.deep_pan.pickup"], found["surge_open.deep_pan.pickup"]
    assert lid.status != FAIL and open_.value < 0 < lid.value and open_.status == CAUTION and "50% of the room" in open_.method
    level = judged(road(driving=STILL, oil=oil(5.0), engine={"oil_flow": 12 / 60000}), low)
    assert level["surge_open.deep_pan.pickup"].status == PASS
    assert level["surge_open.deep_pan.pickup"].value == pytest.approx(level["surge.deep_pan.pickup"].value, abs=1e-6)


def test_submergence_is_a_caution_wherever_a_vortex_could_form():
    """Also where the draw-down bound is nearest elsewhere."""
    made = vessel(mouths={"pickup": rim(HALF, 0, radius=20.0)})
    found = judged(road(driving={**STILL, "crest": 0.9 * GRAVITY}, oil=oil(16.0), engine={"oil_flow": 30 / 60000}), made)
    check = found["submergence.deep_pan.pickup"]
    assert check.status == CAUTION
