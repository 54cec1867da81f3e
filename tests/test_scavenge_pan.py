"""The scavenge pan: sizes from their reasons, pieces from their sizes, clearances on the result."""

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from configs import NAMES, changed, read, region
from generators.crank import merged_bands, outline
from generators.fittings import weld_end
from generators.outlines import signed_area
from generators.parts import scavenge_pan as pan
from generators.parts.scavenge_pan.pickups import screen_length

HILL = "hillclimb_four"


def dimensions(parameters):
    return pan.dimension(parameters, region(parameters))


@pytest.fixture(scope="module")
def hill():
    return pan.part(dimensions(read(HILL).parameters))


@pytest.mark.parametrize("name", NAMES)
def test_section_keeps_floor_and_side_clearance(name):
    p = read(name).parameters
    d = dimensions(p)
    swing = [Polygon(outline(b) * (d.side, 1)) for b in merged_bands(region(p))]
    floor = LineString([d.corners[1], d.corners[2]])
    section = LineString(d.corners)
    assert min(s.distance(floor) for s in swing) >= p.scavenge_pan.floor_clearance - 1e-6
    assert min(s.distance(section) for s in swing) >= p.scavenge_pan.side_clearance - 1e-6


def test_floor_falls_to_the_gutter():
    d = dimensions(read(HILL).parameters)
    (s0, z0), (s1, z1) = d.corners[1:3]
    assert s0 < s1 and math.degrees(math.atan2(z1 - z0, s1 - s0)) == pytest.approx(2)


def test_metal_and_inside_make_the_envelope(hill):
    """Flange, trough and ends (their holes filled) and the inside are the plate and the closed outer section."""
    d = hill.dimensions
    channel, o = d.channel, d.opening
    closed = {depth: abs(signed_area(_closed(channel.path(depth)))) for depth in (0.0, d.thickness)}
    holes = len(d.bolts) * math.pi / 4 * d.bolt_hole**2 * d.flange_thickness
    trough = hill.piece("trough")
    punched = sum(abs(signed_area(h)) for h in trough.flat.holes) * d.thickness
    corners = (4 - math.pi) * 4**2 * d.flange_thickness
    metal = hill.piece("flange").volume + holes + trough.volume + punched + 2 * hill.piece("end_plate").volume
    inside = closed[0.0] * o.length + o.length * o.width * d.flange_thickness - corners
    envelope = abs(signed_area(d.flange_outline)) * d.flange_thickness + closed[d.thickness] * (o.length + 2 * d.thickness)
    assert metal + inside == pytest.approx(envelope, rel=1e-6)


def _closed(path):
    from generators.outlines import Loop

    return Loop((*path[:-1], (*path[-1][:2], 0.0)))


def test_flat_and_folded_agree_but_for_the_allowance(hill):
    """Solid volume = flat area x thickness with K = 0.5; with K = 0.42 the flat is shorter by (0.5 - K) t a for each bend."""
    d = hill.dimensions
    trough = hill.piece("trough")
    lacking = sum((0.5 - d.k_factor) * d.thickness * abs(b.angle) * b.length for b in trough.flat.bends)
    assert trough.volume == pytest.approx((trough.flat.area + lacking) * d.thickness, rel=1e-9)
    assert len(trough.flat.bends) == len(d.corners) - 2


def test_ports_stand_in_their_holes(hill):
    """Each port's spigot passes its hole with play all round: no metal in common, and the base lies on the wall."""
    trough = hill.piece("trough").solids[0]
    for port in hill.piece("port_boss").solids:
        assert port.intersect(trough).Volume() < 1e-6
        assert port.distance(trough) == pytest.approx(0, abs=1e-6)


def test_mouths_stand_over_the_floor(hill):
    d = hill.dimensions
    for mouth in hill.mouths:
        heights = mouth.rim[:, 2] - [d.floor(s) for s in mouth.rim[:, 1] * d.side]
        assert heights.min() >= d.mouth_gap - 1e-6
        assert np.ptp(mouth.rim[:, 2]) < 1e-9


def test_screens_have_no_opening_wider_than_their_slots_but_the_welded_corners(hill):
    screen = hill.piece("screen")
    widths = [min(h.points.max(0) - h.points.min(0)) for h in screen.flat.holes]
    assert screen.flat.holes and max(widths) <= 1.5 + 1e-6


def test_open_area_of_a_screen_is_three_times_its_line(hill):
    """Open area at least three times that of the line (common practice)."""
    d = hill.dimensions
    assert sum(abs(signed_area(h)) for h in hill.piece("screen").flat.holes) >= 3 * math.pi / 4 * d.port.bore**2


def test_mirrored_rotation_gives_a_mirrored_pan(hill):
    other = pan.part(dimensions(changed(HILL, crank={"rotation": "anticlockwise"})))
    for a, b in zip(hill.pieces, other.pieces):
        for s, t in zip(sorted(_places(a)), sorted(_places(b, mirror=-1))):
            assert s == pytest.approx(t, abs=1e-6)


def _places(piece, mirror=1):
    """Volume and centre of each copy, y mirrored where asked; rounded so that mirrored copies sort alike."""
    return [(round(s.Volume(), 6), round(s.Center().x, 6), round(mirror * s.Center().y, 6), round(s.Center().z, 6)) for s in piece.solids]


@pytest.mark.parametrize("table, change, acts", [
    ("scavenge_pan", {"floor_clearance": 40.0}, lambda d: d.corners),
    ("scavenge_pan", {"side_clearance": 20.0}, lambda d: d.corners),
    ("scavenge_pan", {"flange_thickness": 10.0}, lambda d: d.underside),
    ("scavenge_pan", {"pickups": 2}, lambda d: (len(d.pickups), d.corners)),
    ("scavenge_pan", {"port": "-8"}, lambda d: (d.port.dash, d.corners)),
    ("windage_scraper", {"thickness": 4.0}, lambda d: d.top),
    ("sheet", {"thickness": 2.5, "bend_radius": 3.0}, lambda d: d.thickness),
    ("sheet", {"bend_radius": 4.0}, lambda d: d.bend_radius),
    ("sheet", {"k_factor": 0.4}, lambda d: d.k_factor),
    ("pan_rail", {"face_width": 22.0}, lambda d: d.opening),
    ("pan_rail", {"bolt_size": "M8"}, lambda d: (d.bolt_hole, d.opening)),
])
def test_every_parameter_acts(table, change, acts):
    assert acts(dimensions(changed(HILL, **{table: change}))) != acts(dimensions(read(HILL).parameters))


def test_too_many_pickups_are_refused_with_the_numbers():
    with pytest.raises(ValueError, match=r"scavenge_pan\.pickups: .* mm.*fewer pickups"):
        dimensions(changed(HILL, scavenge_pan={"pickups": 12}))


def test_a_short_rail_gets_as_many_pickups_as_fit_it():
    small = changed("bench_mockup", pan_rail={"length": 160.0, "width": 140.0, "below_crank": 50.0}, crank={"swing_radius": 60.0})
    d = dimensions(small)
    assert [p.name for p in d.pickups] == ["gutter_front", "falling_side_rear"]
    why = next(s.because for s in d.sized if s.key == "scavenge_pan.pickups")
    assert "no more than 2 fit a gutter of 119 mm" in why
    with pytest.raises(ValueError, match=r"scavenge_pan\.pickups: 2 pickups along a gutter of 119 mm"):
        dimensions(changed("bench_mockup", pan_rail={"length": 160.0, "width": 140.0, "below_crank": 50.0},
                           crank={"swing_radius": 60.0}, scavenge_pan={"pickups": 3}))


@pytest.mark.parametrize("bay, gutters, key, helps", [
    (120.0, 2, "scavenge_pan.pickups", True), (90.0, 1, "scavenge_pan.port", True), (4.0, 1, "pan_rail.length", False), (-40.0, 2, "pan_rail.length", False)])
def test_a_gutter_without_room_names_only_what_would_help(bay, gutters, key, helps):
    """What is told to be done is done, and does help."""
    port = weld_end("-16", thickness=2.0)
    with pytest.raises(ValueError, match=key.replace(".", r"\.")) as found:
        screen_length(bay, gutters, port)
    said = str(found.value)
    assert ("fewer pickups" in said) == ("pickups" in key) and ("a port of" in said or "fewer" in said) == helps and "leave -" not in said
    if "fewer" in said:
        assert screen_length(bay, 1, port)
    if "a port of" in said:
        assert screen_length(bay, gutters, weld_end(said.split("a port of ")[1].split()[0], thickness=2.0))


def test_two_pickups_stand_at_opposite_corners():
    """Whichever way oil is thrown along one axis, one of them stands there: front, rear, rising and falling side."""
    d = dimensions(changed(HILL, scavenge_pan={"pickups": 2}))
    front, rear = d.pickups
    middle = (d.opening.x0 + d.opening.x1) / 2
    assert front.gutter and front.x > middle and not rear.gutter and rear.x < middle


def test_a_single_screen_makes_way_for_its_port():
    """Bolts 60 mm apart beside a -10 port: where the middle is taken, the screen goes along with the port."""
    d = dimensions(changed("bench_mockup", scavenge_pan={"pickups": 1}, pan_rail={"length": 190.0}))
    (pickup,) = d.pickups
    assert abs(pickup.x - pickup.screen_x) <= d.screen_length / 2 - d.port.tube_od / 2
    assert d.opening.x0 < d.drain[0] < pickup.screen_x - d.screen_length / 2
    assert pickup.screen_x + d.screen_length / 2 <= d.opening.x1


@pytest.mark.parametrize("port", ["-4", "-10", "-16", "-20", "-24"])
def test_the_tube_of_any_port_has_room_to_turn_down(port):
    """A mitre of two tubes square to each other takes half their diameter; the mouth must lie below it to be a whole ring."""
    made = pan.part(dimensions(changed(HILL, scavenge_pan={"port": port, "pickups": 2})))
    d = made.dimensions
    box = made.piece("pickup_tube").solids[0].BoundingBox()
    assert d.gutter[1] + d.port_height - box.zmin > d.port.tube_od / 2
    assert made.mouths[0].rim[:, 2].min() == pytest.approx(box.zmin, abs=1e-6)


@pytest.mark.parametrize("radius", [3.0, 12.0, 20.0])
def test_mouths_stand_beside_the_bend_not_over_it(radius):
    made = pan.part(dimensions(changed(HILL, sheet={"thickness": 2.0, "bend_radius": radius})))
    d = made.dimensions
    for mouth, pickup in zip(made.mouths, d.pickups, strict=True):
        wall = d.corners[0][0] if pickup.gutter else d.corners[-1][0]
        from_wall = np.abs(mouth.rim[:, 1] * d.side - wall).min()
        assert from_wall + 1.2 >= radius * math.tan(math.radians(46)) - 1e-6


def test_dividers_stay_under_the_flange_in_a_narrow_pan():
    narrow = pan.part(dimensions(changed("bench_mockup", pan_rail={"width": 150.0})))
    assert narrow.piece("divider").solids[0].BoundingBox().zmax <= narrow.dimensions.underside + 1e-6


def test_a_pan_that_is_not_shallow_is_refused_with_the_numbers():
    with pytest.raises(ValueError, match=r"scavenge_pan: .* asks for \d+ mm under the flange.*bend radius"):
        dimensions(changed(HILL, sheet={"bend_radius": 120.0}))


def test_every_choice_has_a_reason(hill):
    assert {s.key for s in hill.sized} >= {"scavenge_pan.depth", "scavenge_pan.opening", "scavenge_pan.pickup_places"}
    assert all(len(s.because) > 10 for s in hill.sized)


def falling_x(**tables):
    """Where the falling side's pickup stands, x mm, and the middle of its screen."""
    pickup = next(p for p in dimensions(changed("hillclimb_four", **tables)).pickups if not p.gutter)
    return pickup.screen_x


def test_the_falling_side_s_pickup_stands_where_the_harder_of_braking_and_launching_draws_the_oil():
    """A tenth of the pan's length at most (what gathers before a pickup draws is least there for these engines); mirrored with the
    engine turned round; in the middle with both alike, or with the engine across."""
    hard, soft = {"braking": 14.0, "acceleration": 6.0}, {"braking": 6.0, "acceleration": 14.0}
    middle = falling_x(driving={"braking": 9.0, "acceleration": 9.0})
    assert falling_x(driving=hard) > middle + 20 and falling_x(driving=soft) < middle - 20
    assert falling_x(driving=hard, vehicle={"front_of_engine": "rearward"}) == falling_x(driving=soft)
    assert falling_x(driving=hard, vehicle={"front_of_engine": "left"}) == middle
