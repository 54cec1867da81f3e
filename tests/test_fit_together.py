"""How a design fits its vehicle, on a pan and a tank made of boxes: gaps, what would help, how far the engine can go down."""

import math

import numpy as np
import pytest
import trimesh
from fit_cases import DEPTH, RAIL, TANK_AT, bar, looked, parameters, under

from configs import changed
from generators.checks import fits as fit_checks
from generators.checks.fits import checks
from generators.fit.together import NO_HEIGHT, boxed
from generators.parameters import Movement, Obstacle, Vehicle


def by_id(found):
    return {c.id: c for c in checks(found, has_vehicle=True)}


def test_a_bar_under_the_pan_is_as_far_as_it_is():
    fit, _ = looked(parameters(under(17.0)))
    (row,) = fit.rows
    assert (row.part, row.nearest.body.name) == ("scavenge_pan", "trough")
    assert row.nearest.gap == pytest.approx(17, abs=1e-6) and not row.falls_short and fit.cures == {}
    assert row.nearest.points[:, 2] == pytest.approx([RAIL - DEPTH, RAIL - DEPTH - 17])
    check = by_id(fit)["fit.bar"]
    assert (check.status, check.limit) == ("pass", pytest.approx(9.95)) and check.value == pytest.approx(17)


def test_the_engine_moves_and_the_gap_with_it():
    fit, _ = looked(parameters(under(17.0), movement=Movement(z=8.0)))
    check = by_id(fit)["fit.bar"]
    assert check.status == "fail" and check.value == pytest.approx(9, abs=0.05)
    assert "engine 8 mm down (at rest 17.00 mm)" in check.method
    assert "mounts that let the engine move less: at rest it clears by 17.0 mm" in " ".join(c.words for c in fit.cures["bar"])


def test_an_exhaust_moves_with_the_engine_and_its_gap_does_not():
    fit, _ = looked(parameters(under(17.0, moves_with="engine"), movement=Movement(z=8.0, roll=0.05)))
    assert by_id(fit)["fit.bar"].value == pytest.approx(17) and fit.block == ()


def test_what_fails_says_by_how_much_and_what_would_cure_it():
    """3 mm where 10 are wanted: the engine 7 mm up; from under the pan's ends it would have to go 170 + 10 mm rearward or 230 + 10
    forward, which is farther than is looked at; a step 7 mm deep with its gap."""
    fit, _ = looked(parameters(under(3.0)))
    check = by_id(fit)["fit.bar"]
    assert (check.status, check.value) == ("fail", pytest.approx(3))
    ways = {c.way: c for c in fit.cures["bar"]}
    assert set(ways) == {"up", "notch"} and ways["up"].by == 7 and ways["up"].then == ()
    assert ways["notch"].by == pytest.approx(7)
    assert "it would fit with the engine 7 mm up" in check.method
    assert (fit.drop, fit.stop) == (-7, "bar")


def test_the_cure_cures():
    """With the rail as much higher as is told nothing falls short."""
    p = parameters(under(3.0), movement=Movement(z=2.0, roll=0.02))
    fit, _ = looked(p)
    up = next(c for c in fit.cures["bar"] if c.way == "up")
    higher = p.model_copy(update={"vehicle": p.vehicle.model_copy(update={"rail_above_ground": RAIL + up.by})})
    again, _ = looked(higher)
    assert not any(r.falls_short for r in again.rows) and fit.rows[0].falls_short
    less = p.model_copy(update={"vehicle": p.vehicle.model_copy(update={"rail_above_ground": RAIL + up.by - 1.2})})
    assert looked(less)[0].rows[0].falls_short


def test_a_bar_ahead_asks_the_engine_to_go_back():
    """A bar 4 mm ahead of the flange's front edge, reaching over the rail: 6 mm rearward; no step helps."""
    fit, _ = looked(parameters(bar((424, -300, 200), (460, 300, 320))))
    first = fit.cures["bar"][0]
    assert (first.way, first.by) == ("rearward", 6)


def test_a_cure_that_runs_into_something_else_says_so():
    """A bar 3 mm under the pan, and another close over the flange: up is no way out."""
    over = bar((-40, -118, RAIL + 12), (-12, 118, RAIL + 40), name="shelf", gap=11.0)
    fit, _ = looked(parameters(under(3.0), over))
    up = next(c for c in fit.cures["bar"] if c.way == "up")
    assert up.by == 7 and up.then == ()
    close = bar((60, 118, RAIL + 2), (300, 160, RAIL + 30), name="shelf", gap=1.0)
    fit, _ = looked(parameters(under(3.0), close))
    up = next(c for c in fit.cures["bar"] if c.way == "up")
    assert up.then == ("shelf",) and "7 mm up" not in by_id(fit)["fit.bar"].method


def test_bodies_that_meet_tell_how_deep_and_how_much():
    """The bar reaches 5 mm into the pan's box, 60 mm long and 180 mm wide."""
    fit, _ = looked(parameters(under(-5.0)))
    (row,) = fit.rows
    assert row.meeting.volume == pytest.approx(60 * 180 * 5, rel=1e-6) and row.meeting.depth == pytest.approx(5, rel=1e-6)
    check = by_id(fit)["fit.bar"]
    assert check.value == pytest.approx(-5) and check.status == "fail" and "they share 54 cm3" in check.method
    assert next(c for c in fit.cures["bar"] if c.way == "up").by == 15


def test_an_obstacle_in_the_block_is_named():
    fit, _ = looked(parameters(bar((100, -50, RAIL + 20), (200, 50, RAIL + 40))))
    check = by_id(fit)["fit_block.bar"]
    assert check.status == "fail" and check.value < 0 and "vehicle.rail_above_ground" in check.source
    clear, _ = looked(parameters(under(20.0)))
    assert by_id(clear)["fit_block.bar"].status == "pass"


def test_an_obstacle_of_no_size_is_doubted():
    fit, _ = looked(parameters(bar((100, 200, 100), (120, 210, 110))))
    check = by_id(fit)["fit_size.bar"]
    assert check.status == "caution" and "508 mm were it in inches" in check.method
    fit, _ = looked(parameters(under(20.0)))
    assert by_id(fit)["fit_size.bar"].status == "pass"


def test_how_far_the_engine_can_go_down():
    """By the ground: 240 - 100 mm; by a bar 60 mm under the pan with 10 mm wanted: 50."""
    fit, _ = looked(parameters(ground_clearance=100.0))
    assert (fit.drop, fit.stop) == (pytest.approx(140), "the ground")
    fit, _ = looked(parameters(under(60.0), ground_clearance=100.0))
    assert fit.drop == pytest.approx(50, abs=0.3) and fit.drop <= 50 and fit.stop == "bar"
    fit, _ = looked(parameters(under(60.0), ground_clearance=100.0, movement=Movement(z=4.0)))
    assert fit.drop == pytest.approx(46, abs=0.3) and fit.drop <= 46


def test_the_ground_is_held_with_the_springs_down():
    fit, _ = looked(parameters(ground_clearance=200.0, suspension_travel=50.0, movement=Movement(z=6.0)))
    check = by_id(fit)["fit.ground_clearance"]
    assert check.value == pytest.approx(240 - 50 - 6, abs=0.03) and check.status == "fail"
    assert "it would fit with the engine 16 mm up" in check.method


def test_the_tank_keeps_from_the_engine_and_from_obstacles():
    """The tank's side is 250 mm behind the flange's rear edge less nothing across: at x -750, the flange ends at 0 and its y reaches
    120, the tank's begins at 250."""
    beside = bar((TANK_AT[0] + 55, 250, 200), (TANK_AT[0] + 60, 350, 600), name="seat")
    fit, _ = looked(parameters(beside, movement=Movement(x=30.0)), tank=True)
    seat = next(r for r in fit.rows if r.part == "reservoir")
    assert seat.nearest.gap == pytest.approx(5) and fit.fixed == {"reservoir"}
    first = fit.cures["seat"][0]
    assert (first.way, first.by, first.words) == ("rearward", 5, "the tank 5 mm rearward")
    assert fit.reservoir_engine.nearest.gap == pytest.approx(math.hypot(750 - 30, 130), abs=16)
    assert by_id(fit)["fit.reservoir_engine"].status == "pass"


def test_a_bolt_over_an_obstacle_is_a_caution():
    p = parameters(under(60.0))
    fit, _ = looked(p)
    check = by_id(fit)["fit_access.bolts"]
    assert check.status == "caution" and check.value == 0 and "no socket reaches" in check.method
    assert sum(a.free < a.wanted for a in fit.access) == sum(180 - 9 < x < 240 + 9 for x, _ in p.pan_rail.bolts) > 0
    far, _ = looked(parameters(bar((180, 200, 20), (240, 260, 60))))
    assert by_id(far)["fit_access.bolts"].status == "pass"


def test_where_the_engine_is_not_known_nothing_is_looked_at():
    p = changed("hillclimb_four").model_copy(update={"vehicle": Vehicle()})
    fit, _ = looked(p)
    assert fit.reason == NO_HEIGHT and fit.rows == ()
    (check,) = checks(fit, has_vehicle=True)
    assert (check.id, check.status) == ("fit.ground_clearance", "not assessed")
    assert checks(fit, has_vehicle=False) == []


def test_one_box_stands_for_a_box_and_many_for_a_shape_in_a_file(tmp_path):
    """A bow of three bars, 300 mm wide: legs that stand 200 mm high beside a beam 20 mm high. The boxes cover it, and over the beam's
    middle none is higher than the beam."""
    legs = [trimesh.creation.box(bounds=((0, y, 0), (30, y + 30, 200))) for y in (-150, 120)]
    bow = trimesh.boolean.union([*legs, trimesh.creation.box(bounds=((0, -150, 0), (30, 150, 20)))], engine="manifold")
    bow.export(tmp_path / "bow.stl")
    p = parameters(Obstacle(name="bow", file=str(tmp_path / "bow.stl"), unit="mm"), under(30.0))
    from generators.fit.obstacles import obstructions

    seen = boxed(p, obstructions(p)).vehicle.obstacle
    boxes = [o.box for o in seen if o.name == "bow"]
    assert all(o.file is None for o in seen) and len([o for o in seen if o.name == "bar"]) == 1
    assert np.min([b[0] for b in boxes], axis=0) == pytest.approx((0, -150, 0)) and np.max([b[1] for b in boxes], axis=0) == pytest.approx((30, 150, 200))
    middle = [b for b in boxes if b[0][1] < 60 and b[1][1] > -60]
    assert middle and max(b[1][2] for b in middle) == pytest.approx(20)
    points = trimesh.sample.sample_surface(bow, 400, seed=1)[0]
    assert all(any((np.array(b[0]) - 1e-6 <= q).all() and (q <= np.array(b[1]) + 1e-6).all() for b in boxes) for q in points)


def test_words_of_what_helps():
    assert "nothing that was tried makes all fit" in fit_checks.remedies([type("C", (), {"words": "a", "then": ("b",)})])
    assert "no move of up to" in fit_checks.remedies([])
