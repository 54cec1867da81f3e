"""Flaps that swing about a line: closed forms for what stands just beyond their reach, and for stops set at an
angle."""

import math

import numpy as np
import pytest

from generators.bodies import part_bodies
from generators.checks.gates import flap_clearance, gates, stop, stop_angle, swung, turn_about
from generators.checks.openings import area_for_bore, area_for_flow, opening_area
from generators.outlines import circle, rectangle
from generators.pieces import Hinge
from generators.sheet.frames import frame
from generators.sheet.solids import prism
from tests.small_parts import bar, block, meshes_of, part_of, plate, sheet_piece, solid_piece

HEIGHT, WIDTH, THICK = 40.0, 60.0, 1.2
OPEN = math.radians(40)
REACH = math.hypot(HEIGHT, THICK)
"""Distance of the flap's far lower edge from the axis, mm."""


def flap(y: float = 0.0, *, reach: float = HEIGHT):
    """A flap that hangs from the axis x = z = 0 along y, its face on x = 0; it opens towards +x."""
    return block((0, y, -reach), (THICK, y + WIDTH, -4))


def hinge(index: int = 0, **more) -> Hinge:
    return Hinge("flap", index, (0, 0, 0), (0, -1, 0), OPEN, **more)


def at_angle(angle: float, radius: float) -> np.ndarray:
    """(x, z) on the flap's face side at `radius` mm from the axis once it has swung by `angle` rad."""
    return radius * np.array([math.sin(angle), -math.cos(angle)])


def post(angle: float, radius: float, size: float = 3.0):
    """A square post along y whose near face lies square to the radius at `radius` mm and `angle` rad."""
    (x, z), (rx, rz) = at_angle(angle, radius), at_angle(angle, 1)
    where = frame(origin=(x, -5, z), x=(rx, 0, rz), z=(0, 1, 0))
    return prism(rectangle(x0=0, y0=-size / 2, x1=size, y1=size / 2), height=WIDTH + 10, where=where)


def stop_block(angle: float):
    """A block that the flap's face, THICK mm off the axis, meets flat at `angle`."""
    along, off = at_angle(angle, 1), np.array([math.cos(angle), math.sin(angle)])
    corner = off * THICK
    where = frame(origin=(corner[0], 0, corner[1]), x=(along[0], 0, along[1]), z=(0, -1, 0))
    side = 1 if np.dot(where.matrix[[0, 2], 1], off) > 0 else -1
    outline = rectangle(x0=20, y0=min(0, 5 * side), x1=30, y1=max(0, 5 * side))
    return prism(outline, height=-10, where=where)


def judged(check, *pieces, touching=(), hinges=None):
    part = part_of(*pieces, touching=touching, hinges=hinges or (hinge(),))
    return check(part, part_bodies(meshes_of(part)))


# ---------------------------------------------------------------- turning


def test_turning_follows_the_right_hand():
    assert turn_about((0, 0, 2), math.pi / 2) @ (1, 0, 0) == pytest.approx((0, 1, 0), abs=1e-12)
    assert turn_about((1, 1, 1), 2 * math.pi / 3) @ (1, 0, 0) == pytest.approx((0, 1, 0), abs=1e-12)


def test_the_flap_opens_inwards():
    part = part_of(solid_piece("flap", flap(), loose=True), hinges=(hinge(),))
    (body,) = part_bodies(meshes_of(part))
    lowest = swung(body, hinge(), OPEN)
    assert lowest.box[1, 0] == pytest.approx(HEIGHT * math.sin(OPEN) + THICK * math.cos(OPEN), abs=1e-6)
    assert lowest.box[0, 2] == pytest.approx(-HEIGHT * math.cos(OPEN), abs=1e-6)


# ---------------------------------------------------------------- clearance


@pytest.mark.parametrize(("gap", "status"), [(0.6, "pass"), (0.1, "fail")])
def test_a_post_just_beyond_the_reach(gap, status):
    """The far edge passes the middle of the post's face at 22.5 degrees, between two steps of five."""
    edge_ahead = math.atan2(THICK, HEIGHT)
    check = judged(
        flap_clearance,
        solid_piece("flap", flap(), loose=True),
        solid_piece("post", post(math.radians(22.5) + edge_ahead, REACH + gap)),
    )
    assert check.value == pytest.approx(gap, abs=0.02)
    assert (check.status, check.limit) == (status, 0.15)
    assert "flap 1 and post 1" in check.method


def test_a_thin_wire_between_two_steps_is_not_passed_over():
    """A wire of 1 mm across the way at 22.5 degrees: the flap is 2.5 degrees from it at two steps, and runs into it."""
    x, z = at_angle(math.radians(22.5), 36)
    wire = bar(radius=0.5, length=WIDTH, origin=(x, 0, z), axis=(0, 1, 0))
    check = judged(flap_clearance, solid_piece("flap", flap(), loose=True), solid_piece("wire", wire))
    assert (check.value, check.status) == (pytest.approx(0, abs=0.05), "fail")


def test_a_side_wall_is_as_far_all_the_way():
    check = judged(
        flap_clearance,
        solid_piece("flap", flap(), loose=True),
        solid_piece("wall", block((-5, -2.4, -60), (60, -0.4, 20))),
    )
    assert check.value == pytest.approx(0.4, abs=1e-6)


def test_pin_seat_and_stop_may_be_touched():
    pieces = (
        solid_piece("flap", flap(), loose=True),
        solid_piece("pin", bar(radius=1.5, length=WIDTH, origin=(0, 0, -2.5), axis=(0, 1, 0))),
        solid_piece("seat", block((-2, -5, -HEIGHT - 5), (0, WIDTH + 5, -HEIGHT + 5))),
        solid_piece("stop", stop_block(OPEN)),
        solid_piece("wall", block((-5, -2.4, -60), (60, -0.4, 20))),
    )
    joined = [("flap", "pin"), ("flap", "seat"), ("flap", "stop")]
    check = judged(flap_clearance, *pieces, touching=joined)
    assert check.value == pytest.approx(0.4, abs=1e-6)
    assert judged(flap_clearance, *pieces, touching=joined[:1] + joined[2:]).value == pytest.approx(0, abs=1e-6)
    part = part_of(*pieces, touching=joined, hinges=(hinge(),))
    (gate,) = gates(part, part_bodies(meshes_of(part)))
    assert [[b.name for b in group] for group in (gate.pins, gate.ends, gate.others)] == [
        ["pin"],
        ["seat", "stop"],
        ["wall"],
    ]


def test_what_rides_along_is_checked_too():
    rider = solid_piece("weight", block((THICK, 20, -HEIGHT), (THICK + 4, 40, -HEIGHT + 8)), loose=True)
    far = math.hypot(HEIGHT, THICK + 4)
    pieces = (
        solid_piece("flap", flap(), loose=True),
        rider,
        solid_piece("post", post(math.radians(20) + math.atan2(THICK + 4, HEIGHT), far + 0.5)),
    )
    check = judged(flap_clearance, *pieces, touching=[("flap", "weight")], hinges=(hinge(rides=("weight",)),))
    assert check.value == pytest.approx(0.5, abs=0.02)
    assert "weight 1 and post 1" in check.method


def test_two_flaps_that_swing_towards_each_other():
    """Mirror images whose axes are 2 a apart: open, their far edges are 2 (a - x) apart; shut against open is
    farther."""
    x = HEIGHT * math.sin(OPEN) + THICK * math.cos(OPEN)
    for between, status in ((0.5, "pass"), (-1.0, "fail")):
        axis = 2 * x + between
        other = block((axis - THICK, 0, -HEIGHT), (axis, WIDTH, -4))
        two = (hinge(), Hinge("flap", 1, (axis, 0, 0), (0, 1, 0), OPEN))
        check = judged(flap_clearance, solid_piece("flap", flap(), other, loose=True), hinges=two)
        assert check.value == pytest.approx(max(between, 0), abs=1e-4)
        assert check.status == status


def test_nothing_that_swings_is_not_assessed():
    part = part_of(solid_piece("block", flap()))
    bodies = part_bodies(meshes_of(part))
    assert {flap_clearance(part, bodies).status, stop(part, bodies).status} == {"not assessed"}
    assert opening_area(part, bodies, bore=22, flow=None).status == "not assessed"


# ---------------------------------------------------------------- stop


@pytest.mark.parametrize(("angle", "status"), [(40, "pass"), (41, "pass"), (45, "fail"), (33, "fail")])
def test_the_stop_is_met_where_it_was_set(angle, status):
    pieces = solid_piece("flap", flap(), loose=True), solid_piece("stop", stop_block(math.radians(angle)))
    check = judged(stop, *pieces)
    assert check.value == pytest.approx(abs(angle - 40), abs=0.1)
    assert check.status == status
    part = part_of(*pieces, hinges=(hinge(),))
    (gate,) = gates(part, part_bodies(meshes_of(part)))
    assert math.degrees(stop_angle(gate)) == pytest.approx(angle, abs=0.1)


def test_a_flap_that_meets_nothing_fails():
    check = judged(stop, solid_piece("flap", flap(), loose=True), solid_piece("far", block((200, 0, 0), (210, 10, 10))))
    assert (check.value, check.status) == (pytest.approx(15), "fail")
    assert "meets nothing" in check.method


# ---------------------------------------------------------------- openings


def walled(*openings, flaps: int = 1):
    """A wall with openings and small holes, on its face as many flaps of 60 x 40 mm that lie on it."""
    flat = plate(200, 60, *openings, circle(x=8, y=50, radius=3), rectangle(x0=4, y0=4, x1=24, y1=6))
    wall = sheet_piece("wall", flat)
    covers = [block((5 + 80 * i, 5, 2.2), (65 + 80 * i, 45, 3.4)) for i in range(flaps)]
    flap_piece = sheet_piece("flap", plate(60, 40), thickness=THICK, solids=covers)
    hinges = tuple(Hinge("flap", i, (0, 45, 3), (1, 0, 0), OPEN) for i in range(flaps))
    return part_of(wall, flap_piece, hinges=hinges)


@pytest.mark.parametrize(("bore", "status"), [(22.0, "pass"), (60.0, "fail")])
def test_opening_area_is_that_of_the_rectangles(bore, status):
    part = walled(*(rectangle(x0=8 + 80 * i, y0=8, x1=62 + 80 * i, y1=42) for i in (0, 1)), flaps=2)
    check = opening_area(part, part_bodies(meshes_of(part)), bore=bore, flow=None)
    assert check.value == pytest.approx(2 * 54 * 34, rel=1e-9)
    assert check.limit == pytest.approx(1.5 * math.pi / 4 * bore**2)
    assert check.status == status


def test_a_pump_that_draws_more_asks_for_more():
    """60 L/min at 1 m/s: 1000 mm2."""
    assert area_for_flow(1e-3) == pytest.approx(1000)
    assert area_for_bore(22) == pytest.approx(570.2, abs=0.05)
    part = walled(rectangle(x0=8, y0=8, x1=62, y1=42))
    check = opening_area(part, part_bodies(meshes_of(part)), bore=22, flow=2e-3)
    assert (check.limit, check.status) == (pytest.approx(2000), "fail")


def test_a_flap_over_no_opening_adds_nothing_and_is_said():
    part = walled(rectangle(x0=8, y0=8, x1=62, y1=42), flaps=2)
    check = opening_area(part, part_bodies(meshes_of(part)), bore=22, flow=None)
    assert check.value == pytest.approx(54 * 34)
    assert "1 flaps cover no opening" in check.method
