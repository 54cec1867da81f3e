"""The deep pan: sizes from their reasons, pieces from their sizes, checks on the result."""

import math
from functools import cache

import numpy as np
import pytest
from deep_pan_cases import HILL, PLAIN, SUMP, dimensions, judged, parameters

from configs import NAMES, region
from generators import checks
from generators.bodies import body, part_bodies, swept_bodies
from generators.findings import FAIL
from generators.meshes import part_meshes, solid_mesh
from generators.outlines import signed_area
from generators.parts import deep_pan as pan
from generators.parts.deep_pan.strainer import hole_centres, open_area
from generators.shop.welding import weld_steps


@cache
def _made(name):
    p = parameters(name)
    part = pan.part(dimensions(p))
    return p, part, part_meshes(part)


@pytest.fixture(scope="module")
def hill():
    return _made(HILL)[1]


@pytest.fixture(scope="module")
def plain():
    return pan.part(dimensions(parameters(deep_pan=PLAIN)))


# ---------------------------------------------------------------- the whole


@pytest.mark.parametrize("name", NAMES)
def test_a_pan_left_to_the_tool_fails_no_check_of_its_own(name):
    """All but the running level, which asks for what the file does not say."""
    p, part, meshes = _made(name)
    found = judged(p, part, meshes)
    assert [c for c in found.values() if c.status == FAIL and c.id != "deep_pan.level_below_swing"] == []
    assert {"deep_pan.swing_clearance", "deep_pan.bolt_access", "deep_pan.pickup_floor_gap", "deep_pan.strainer_area",
            "deep_pan.oil_capacity", "deep_pan.joints", "deep_pan.stock"} <= set(found)
    assert meshes.oil_space.is_watertight and meshes.joined.is_watertight


@pytest.mark.parametrize("pan_", [
    {"floor_slope": 0.0, "kick_outs": "rising"}, {"floor_slope": math.radians(8), "pickup": {"bore": 14.0}},
    {"sump": {**SUMP, "width": 150.0}}])
def test_other_pans_are_as_sound(pan_):
    p = parameters(deep_pan={"sump": SUMP, "shallow_depth": 45.0, **pan_})
    part = pan.part(dimensions(p))
    meshes = part_meshes(part)
    found = checks.general(p, part, meshes, part_bodies(meshes))
    assert [c for c in found if c.status == FAIL] == []


def test_the_full_mark_holds_the_oil_that_it_is_asked_to():
    _, part, _ = _made(HILL)
    assert part.oil == pytest.approx(8e-3)
    assert part.full_mark < region(parameters()).lowest


def test_a_mirrored_crank_makes_the_mirror_image(hill):
    other = pan.part(dimensions(parameters(crank={"rotation": "anticlockwise"})))
    assert [p.name for p in other.pieces] == [p.name for p in hill.pieces]
    for a, b in zip((*(p.solids[0] for p in hill.pieces), hill.cavity), (*(p.solids[0] for p in other.pieces), other.cavity), strict=True):
        assert b.Volume(1e-6) == pytest.approx(a.Volume(1e-6), rel=1e-6)
        one, two = a.Center(), b.Center()
        assert (two.x, two.y, two.z) == pytest.approx((one.x, -one.y, one.z), abs=1e-4)


# ---------------------------------------------------------------- sheet metal


def test_metal_and_inside_make_the_envelope(plain):
    """A level body over a plain sump, all holes filled: the flange, the boxes round body and sump, and what is in them."""
    d = plain.dimensions
    i, t, o = d.inside, d.thickness, d.inside.opening
    filled = {p.name: p.volume + sum(abs(signed_area(h)) for h in p.flat.holes) * p.thickness for p in plain.pieces if p.flat}
    metal = sum(filled[n] for n in ("flange", "trough", "end_rear", "end_front", "sump", "sump_end_rear", "sump_end_front"))
    corner = 1 - math.pi / 4
    body = o.width * (i.underside - i.shallow_z) - 2 * corner * i.radius**2
    depth = i.corners[0][1] - i.lowest
    sump = 150.0 * depth - 2 * corner * i.radius**2
    in_flange = o.length * o.width * d.flange_thickness
    inside = body * o.length + sump * i.length
    outer_body = (o.width + 2 * t) * (i.underside - i.shallow_z + t) - 2 * corner * (i.radius + t) ** 2
    outer_sump = (150.0 + 2 * t) * (depth + t) - 2 * corner * (i.radius + t) ** 2
    opening = abs(signed_area(plain.piece("flange").flat.holes[0])) * d.flange_thickness
    envelope = abs(signed_area(d.flange_outline)) * d.flange_thickness + outer_body * (o.length + 2 * t) + outer_sump * (i.length + 2 * t)
    assert metal + inside == pytest.approx(envelope, rel=1e-6)
    assert opening == pytest.approx(in_flange - 4 * corner * 4**2 * d.flange_thickness)


def test_developed_width_of_a_trough_by_hand(plain):
    """Two walls 34 - 3 mm high over a floor of 201.4 - 6 mm, and two quarter bends on the neutral fibre: pi/2 (3 + 0.42 x 2)."""
    d = plain.dimensions
    height = d.inside.underside - d.inside.shallow_z
    width = 2 * (height - 3) + d.inside.opening.width - 6 + 2 * math.pi / 2 * (3 + 0.42 * 2)
    assert height == pytest.approx(34)
    assert np.ptp(plain.piece("trough").flat.outer.points, axis=0) == pytest.approx([d.inside.opening.length, width])


def test_developed_width_of_the_sump_by_hand():
    """Level floor, kick-outs on both sides of 47.3 mm: every side less its setbacks (3 mm inside, 3 + 2 the other way) and six
    quarter bends."""
    made = pan.part(dimensions(parameters(deep_pan={"sump": SUMP, "shallow_depth": 45.0, "floor_slope": 0.0})))
    corners = np.array(made.dimensions.inside.corners)
    sides = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    setbacks = np.array([5, 5 + 3, 6, 6, 6, 3 + 5, 5])
    width = (sides - setbacks).sum() + 6 * math.pi / 2 * (3 + 0.42 * 2)
    assert sides[1] == pytest.approx(47.3)
    assert np.ptp(made.piece("sump").flat.outer.points, axis=0) == pytest.approx([180, width])


def test_flat_and_folded_agree_but_for_the_allowance(hill):
    """With K = 0.42 each bend's flat is shorter by (0.5 - K) t a than the middle of the metal."""
    d = hill.dimensions
    for piece in (p for p in hill.pieces if p.kind == "folded"):
        lacking = sum((0.5 - d.inside.k_factor) * d.thickness * abs(b.angle) * b.length for b in piece.flat.bends)
        assert piece.volume == pytest.approx((piece.flat.area + lacking) * d.thickness, rel=1e-9)


def test_the_floor_of_the_body_falls_to_the_sump(hill):
    d = hill.dimensions
    for name, x in (("trough_rear", d.inside.opening.x0), ("trough_front", d.inside.opening.x1)):
        low = hill.piece(name).solids[0].BoundingBox().zmin
        assert low == pytest.approx(d.inside.shallow_z - d.thickness, abs=0.1)
        assert d.inside.body_floor(x) > low + d.thickness
    assert {p.name for p in hill.pieces} >= {"end_rear", "end_front"}


def test_ends_stand_on_the_end_of_the_troughs(hill):
    o, t = hill.dimensions.inside.opening, hill.dimensions.thickness
    boxes = {n: hill.piece(n).solids[0].BoundingBox() for n in ("end_rear", "end_front", "trough_rear", "trough_front")}
    assert (boxes["end_rear"].xmin, boxes["end_rear"].xmax) == pytest.approx((o.x0 - t, o.x0), abs=0.03)
    assert (boxes["end_front"].xmin, boxes["end_front"].xmax) == pytest.approx((o.x1, o.x1 + t), abs=0.03)
    assert 0 < boxes["trough_rear"].xmin - o.x0 < 0.2 and 0 < o.x1 - boxes["trough_front"].xmax < 0.2


def test_a_sump_too_deep_for_the_sheet_fails_its_stock_check():
    """The channel's blank is as long as its section, here over 800 mm, on a sheet of 700 x 500 mm."""
    sheet = {"stock": {"width": 500.0, "length": 700.0}}
    p = parameters(deep_pan={"sump": {**SUMP, "depth": 300.0}, "shallow_depth": 45.0}, sheet=sheet)
    part = pan.part(dimensions(p))
    check = checks.sheets.stock(part, width=500.0, length=700.0)
    assert check.status == FAIL and check.value < 1 and check.id == "deep_pan.stock"


# ---------------------------------------------------------------- bosses and pickup


def test_the_drain_is_the_lowest_thing_inside(hill):
    d = hill.dimensions
    i, boss = d.inside, hill.piece("drain_boss").solids[0].BoundingBox()
    (s0, _), (s1, _) = i.floor_ends
    middle = i.side * (boss.ymin + boss.ymax) / 2
    assert s0 < middle < s0 + 0.15 * (s1 - s0)
    assert i.x1 - (boss.xmin + boss.xmax) / 2 < 20
    assert boss.zmin < i.lowest - d.thickness


def test_the_temperature_boss_stays_in_oil(hill):
    d = hill.dimensions
    box = hill.piece("temperature_boss").solids[0].BoundingBox()
    assert box.zmax < d.inside.lowest + 0.25 * (d.full_mark - d.inside.lowest)
    assert box.xmin < d.inside.x0 - d.thickness < d.inside.x0 < box.xmax


def test_the_pickup_draws_from_its_mouth_to_its_port(hill):
    d = hill.dimensions
    tube, port, bell = (hill.piece(n).solids[0] for n in ("pickup_tube", "port_boss", "bell"))
    (mouth,) = hill.mouths
    assert mouth.rim[:, 2] == pytest.approx(np.full(len(mouth.rim), d.draw.mouth_z))
    assert np.hypot(*(mouth.rim[:, :2] - (d.draw.x, d.draw.y)).T) == pytest.approx(np.full(len(mouth.rim), d.draw.bell / 2))
    assert bell.BoundingBox().zmin == pytest.approx(d.draw.mouth_z, abs=0.03)
    assert tube.BoundingBox().zmin < bell.BoundingBox().zmax - 4 and tube.distance(bell) < 0.1
    assert tube.distance(port) < 0.1
    for a, b in ((tube, bell), (tube, port), (port, hill.piece("sump").solids[0])):
        assert a.intersect(b).Volume() < 1e-6
    assert d.draw.bore**2 < (d.draw.outer - 2 * 1.2) ** 2


def test_open_area_of_the_strainer_nears_that_of_the_endless_pattern():
    """Square holes of 2.0 at 2.5 mm in straight rows: (2.0/2.5)^2 = 64 percent open (geometry of a woven mesh)."""
    share = (2.0 / 2.5) ** 2
    assert share == pytest.approx(0.64)
    for bell in (33.0, 60.0, 400.0):
        whole = math.pi / 4 * (bell - 2.0) ** 2
        assert 0.75 * share < open_area(bell) / whole < share
    assert open_area(400.0) / (math.pi / 4 * 398**2) == pytest.approx(share, rel=0.02)


def test_holes_of_the_strainer_leave_their_web():
    centres = hole_centres(40.0)
    apart = np.abs(centres[:, None] - centres[None]).max(axis=2) + 9 * np.eye(len(centres))
    assert apart.min() == pytest.approx(2.5)
    assert np.hypot(*(np.abs(centres) + 1.0).T).max() <= 20.0 - 1.0


def test_the_port_makes_way_for_the_bolts(hill):
    """The middle of the sump's floor is under a bolt: the pickup is moved, and says so; asked to stand there it is refused."""
    d = hill.dimensions
    middle = (d.inside.x0 + d.inside.x1) / 2
    assert d.draw.x != middle and "socket" in d.draw.because
    with pytest.raises(ValueError, match=rf"deep_pan\.pickup\.x: a port at {middle:.1f} mm .* at [\d.]+ mm it would not"):
        dimensions(parameters(deep_pan={"pickup": {"x": middle}}))


def test_the_pickup_stays_under_the_neck_beside_a_wide_kick_out():
    """The middle of a floor 330 mm wide under a neck of 185 mm is under the kick-out: no tube leads up from there."""
    made = pan.part(dimensions(parameters(deep_pan={"sump": {**SUMP, "width": 330.0}, "shallow_depth": 45.0, "kick_outs": "rising"})))
    d = made.dimensions
    (s0, _), (s1, _) = d.inside.floor_ends
    assert (s0 + s1) / 2 < d.inside.corners[0][0] + d.draw.bell_outside / 2 == pytest.approx(d.inside.side * d.draw.y)
    assert made.piece("pickup_tube").solids[0].intersect(made.piece("sump").solids[0]).Volume() < 1e-6


def test_a_long_leg_has_a_strut():
    """The leg drops more than 150 mm: a strip from the sump's end to the tube's side, clear of all that is under the leg."""
    made = pan.part(dimensions(parameters(deep_pan={"sump": {**SUMP, "depth": 250.0}, "shallow_depth": 45.0})))
    d = made.dimensions
    strut, tube, plate = (made.piece(n).solids[0] for n in ("strut", "pickup_tube", "sump_end_rear"))
    assert d.draw.leg_z - d.draw.mouth_z > 150 and strut.BoundingBox().zmin > d.draw.leg_z - d.draw.outer / 2
    assert strut.distance(tube) < 0.1 and strut.distance(plate) == pytest.approx(0, abs=1e-6)
    assert strut.intersect(tube).Volume() < 1e-6
    assert {frozenset(("strut", "pickup_tube")), frozenset(("strut", "sump_end_rear"))} <= made.joined
    stages = [(s.stage, {s.a, s.b}) for s in weld_steps(made)]
    assert [stage for stage, _ in stages][-2:] == ["strut", "strut"] and ("pickups", {"port_boss", "pickup_tube"}) in stages[:-2]


def test_a_short_leg_has_none():
    d = dimensions(parameters(deep_pan={"sump": {**SUMP, "depth": 200.0}, "shallow_depth": 45.0}))
    assert d.draw.leg_z - d.draw.mouth_z < 150 and not d.has_strut
    assert "strut" not in {p.name for p in pan.pieces(d)}


# ---------------------------------------------------------------- parameters and refusals


@pytest.mark.parametrize("change, acts", [
    ({"sump": {**SUMP, "length": 170.0}}, lambda d: (d.inside.x0, d.inside.x1)),
    ({"sump": {**SUMP, "width": 300.0}}, lambda d: d.inside.corners),
    ({"sump": {**SUMP, "depth": 180.0}}, lambda d: (d.inside.lowest, d.draw.mouth_z, d.temperature.z)),
    ({"sump": {**SUMP, "x": 150.0}}, lambda d: (d.inside.join, d.drain)),
    ({"shallow_depth": 50.0}, lambda d: d.inside.shallow_z),
    ({"kick_outs": "rising"}, lambda d: d.inside.corners),
    ({"flange_thickness": 10.0}, lambda d: (d.flange_thickness, d.inside.underside)),
    ({"floor_slope": math.radians(3)}, lambda d: (d.inside.floor_slope, d.inside.body_slope)),
    ({"pickup": {"x": 149.0}}, lambda d: d.draw.x),
    ({"pickup": {"y": 10.0}}, lambda d: d.draw.y),
    ({"pickup": {"floor_gap": 12.0}}, lambda d: d.draw.mouth_z),
    ({"pickup": {"bore": 18.0}}, lambda d: (d.draw.bore, d.draw.outer, d.draw.port.dash)),
    ({"pickup": {"bell": 45.0}}, lambda d: d.draw.bell),
])
def test_every_key_acts(change, acts):
    base = {"sump": SUMP, "shallow_depth": 45.0}
    assert acts(dimensions(parameters(deep_pan={**base, **change}))) != acts(dimensions(parameters(deep_pan=base)))


def test_floor_clearance_lowers_the_body_that_the_tool_sizes():
    depths = [dimensions(parameters(deep_pan={"floor_clearance": v})).inside.shallow_z for v in (12.0, 20.0)]
    assert depths[0] - depths[1] == pytest.approx(8.0, abs=1.0)


@pytest.mark.parametrize("change, words", [
    ({"pickup": {"y": 78.0, "bell": 24.0}}, r"deep_pan\.pickup\.y: .* 14\.7 mm from the neck's wall .* needs 20\.7 mm"),
    ({"sump": {**SUMP, "width": 150.0}, "pickup": {"x": 197.0, "y": -49.0}},
     r"deep_pan\.pickup\.x: .* mm from the drain's at x 204\.0, .* mm keeps bell and boss apart"),
    ({"sump": {**SUMP, "length": 70.0}, "pickup": {"outlet": "side"}}, r"pan_rail\.bolt_pitch: .* no room between x = 1\d\d\.\d and 1\d\d\.\d mm"),
])
def test_what_does_not_fit_is_refused_with_both_numbers(change, words):
    with pytest.raises(ValueError, match=words):
        dimensions(parameters(deep_pan={"sump": SUMP, "shallow_depth": 45.0, **change}))


def test_every_choice_has_a_reason(hill):
    assert {s.key for s in hill.sized} >= {"deep_pan.opening", "deep_pan.sump", "deep_pan.pickup", "deep_pan.strainer", "deep_pan.port",
                                           "deep_pan.drain", "deep_pan.temperature"}
    assert all(len(s.because) > 10 for s in hill.sized)


# ---------------------------------------------------------------- checks that fail


def test_a_mouth_too_near_the_floor_fails():
    """2 mm asked and made; a quarter of the bore of 22 mm is 5.5."""
    part = pan.part(dimensions(parameters(deep_pan={"sump": SUMP, "shallow_depth": 45.0, "pickup": {"floor_gap": 2.0}})))
    floor = solid_mesh(part.piece("sump").solids[0])
    check = checks.pickups.pickup_floor_gap(part, [floor], bore=22.0, asked=2.0)
    assert check.status == FAIL and check.value == pytest.approx(2.0, abs=0.01) and check.limit == 5.5
    assert checks.pickups.pickup_floor_gap(part, [floor], bore=7.0, asked=2.0).status != FAIL
    assert checks.pickups.pickup_floor_gap(part, [], bore=7.0, asked=2.0).value is None


def test_a_strainer_no_larger_than_the_bore_fails():
    p = parameters(deep_pan={"sump": SUMP, "shallow_depth": 45.0, "pickup": {"bell": 26.0}})
    part = pan.part(dimensions(p))
    check = checks.pickups.strainer_area(part, strainer="strainer", bore=22.0)
    assert check.status == FAIL and check.value == pytest.approx(open_area(26.0))
    assert check.limit == pytest.approx(math.pi * 11**2)


def test_a_body_that_the_crank_sweeps_fails_its_clearance():
    p = parameters(deep_pan={"sump": SUMP, "shallow_depth": 28.0})
    part = pan.part(dimensions(p))
    troughs = tuple(body(n, solid_mesh(part.piece(n).solids[0])) for n in ("trough_rear", "trough_front"))
    check = checks.clearances.swing_clearance("deep_pan", swept_bodies(region(p)), troughs, floor=12.0, side=6.0)
    assert check.status == FAIL and check.value < 5.98
