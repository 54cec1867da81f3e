"""How folded pieces are bent: room beside the punch in closed form, orders, gauges, and what a shop's own deductions change."""

import cmath
import math

import pytest
from small_parts import part_of, sheet_piece

from generators.checks import bends
from generators.parameters import Sheet
from generators.sheet.bending import bend_allowance, bend_deduction
from generators.sheet.channel import Channel
from generators.sheet.folded import flat_of
from generators.shop.bending import back_gauge, bend_plan, bend_plans, best_order
from generators.shop.brake import FAR, at, blank, in_brake, room
from generators.standards import bend_force, usual_die
from generators.standards.measured_k import MeasuredK, k_of

T, R, K = 2.0, 3.0, 0.42
SQUARE = math.pi / 2


def channel(*corners, length=100.0, k=K) -> Channel:
    return Channel(tuple((float(u), float(v)) for u, v in corners), T, R, length, k)


def u_shape(width: float, left: float, right: float, **more) -> Channel:
    """A U: its sides and floor measured on the inside to the sharp corners, mm."""
    return channel((0, left), (0, 0), (width, 0), (width, right), **more)


def made(of: Channel):
    return blank(flat_of(of.sheet()), thickness=T)


def piece(of: Channel, name="channel"):
    sheet = of.sheet()
    return sheet_piece(name, flat_of(sheet), kind="folded")


def walked(steps) -> list[complex]:
    """Points of a section in the middle of its sheet: straight runs (mm) and turns (rad, over the middle radius), from 0 along +x."""
    place, heading, out = 0j, 0.0, [0j]
    for straight, turn in steps:
        place += straight * cmath.exp(1j * heading)
        out.append(place)
        if turn:
            centre = place + 1j * math.copysign(R + T / 2, turn) * cmath.exp(1j * heading)
            place = centre + (place - centre) * cmath.exp(1j * turn)
            heading += turn
    return out


def last_wall_tip(width: float, left: float) -> complex:
    """Where the left wall's edge stands beside the middle of the punch (real) and over the die (imaginary) when the right bend of a U is done: walked from there, the floor's
    leg at 45 degrees, then the bend, then the wall."""
    floor, wall = width - 2 * R, left - R
    tip = walked([(floor, SQUARE), (wall, 0)])[-1]
    start = complex((R + T / 2) * math.sin(SQUARE / 2), (R + T / 2) * (1 - math.cos(SQUARE / 2)))  # over half the bend from the sheet's lowest point
    return start + tip * cmath.exp(1j * SQUARE / 2)


@pytest.mark.parametrize("width, left", [(90.0, 60.0), (90.0, 85.0), (200.0, 100.0), (200.0, 240.0)])
def test_room_at_the_last_bend_of_a_channel_in_closed_form(width, left):
    """The edge's middle less half of the sheet's thickness; higher than 120 mm the ram stands out 25 mm further than the punch."""
    found = room(made(u_shape(width, left, 60.0)), frozenset({0}), 1, die=12.0)
    tip = last_wall_tip(width, left)
    high = tip.imag - T / 2
    assert found.punch == pytest.approx(tip.real - T / 2 - (25 if high > 120 else 0), abs=0.02) and found.high == pytest.approx(high, abs=0.02)
    assert found.clear and found.die == FAR


def test_the_lower_wall_is_bent_first():
    """The low one stands (200 - 60) / sqrt 2 mm beside the punch at the last bend, the high one would stand (200 - 190) / sqrt 2."""
    assert best_order(made(u_shape(200, 190, 60)), die=12.0) == (1, 0) and best_order(made(u_shape(200, 60, 190)), die=12.0) == (0, 1)


def test_a_channel_deeper_than_wide_fails_and_a_middling_one_asks_for_a_gooseneck():
    for width, depth, status in ((200, 100, "pass"), (200, 195, "caution"), (200, 260, "fail")):
        part = part_of(piece(u_shape(width, depth, depth)))
        assert bends.room_to_bend(part, bend_plans(part)).status == status


def test_a_step_too_short_for_the_die_fails():
    """The leg that is drawn down hangs in the die when its neighbour is drawn up nearer to it than V / 2 (12 / 2 mm)."""
    z_shape = channel((0, 0), (60, 0), (60, -13.0), (120, -13.0))
    part = part_of(piece(z_shape))
    check = bends.bend_order(part, bend_plans(part))
    assert check.status == "pass"
    narrow = channel((0, 0), (60, 0), (60, -8.3), (120, -8.3))
    assert room(made(narrow), frozenset({0}), 1, die=25.0).die < 0


def test_a_flange_too_short_for_its_die_fails():
    """0.7 x 12 = 8.4 mm outside."""
    for height, status in ((8.5, "pass"), (8.3, "fail")):
        part = part_of(piece(channel((0, 0), (60, 0), (60, height - T))))
        check = bends.flange_on_die(part, bend_plans(part))
        assert check.status == status and check.value == pytest.approx(height / 8.4, abs=1e-3)


def test_a_piece_that_would_run_through_itself_is_found():
    """A wall, a lid that leans back over it, and a leg that is drawn down again through the wall."""
    curled = channel((0, 60), (0, 0), (40, 0), (40, 30), (-30, 30))
    blanked = made(curled)
    found = [room(blanked, frozenset(range(3)) - {i}, i, die=12.0).clear for i in range(3)]
    assert found == [False, False, False]


def test_faces_stand_folded_as_the_piece_is():
    """With all bends made, the distance of the far edges is that of the section in the middle of the sheet."""
    blanked = made(u_shape(200, 100, 60))
    placed = in_brake(blanked, frozenset({0}), 1, 1.0)
    ends = []
    for i, face in enumerate(blanked.faces):
        if sum(i in (link.left, link.right) for link in blanked.links) == 1:
            points = at(placed[i], face.points)
            ends.append(points[points[:, 2].argmax()])
    (ax, _, az), (bx, _, bz) = ends
    steps = walked([(100 - R, SQUARE), (200 - 2 * R, SQUARE), (60 - R, 0)])
    assert math.hypot(ax - bx, az - bz) == pytest.approx(abs(steps[-1] - steps[0]), abs=1e-6)


def test_gauges():
    """To the edge of the flat the leg from the middle of the bend; to a leg bent up its outside, tangent + r + t."""
    blanked = made(u_shape(200, 100, 60))
    allowance = SQUARE * (R + K * T)
    assert back_gauge(blanked, frozenset(), 1)[0] == pytest.approx(60 - R + allowance / 2)
    narrow = made(u_shape(50, 100, 90))
    gauge, against = back_gauge(narrow, frozenset({0}), 1)
    assert gauge == pytest.approx(50 - 2 * R + allowance / 2 + R + T) and against.startswith("bent leg")
    assert back_gauge(made(u_shape(1200, 620, 620)), frozenset(), 1) == (None, "scribed line")


def test_turning_over_and_force():
    """1.42 x 228 MPa x 100 mm x 2^2 / 12 = 10.8 kN."""
    plan = bend_plan(piece(channel((0, 0), (60, 0), (60, -40), (120, -40))))
    assert [b.turned_over for b in plan.bends] == [False, True] and plan.bends[0].die == 12.0
    assert plan.bends[0].force == pytest.approx(1.42 * 228 * 100 * 4 / 12)


def test_force_against_a_worked_example():
    """C 1.6, 450 MPa, 1000 mm, t 3 mm, V 24 mm -> 270,000 N (a worked example of a tonnage calculator, read on its page); C 1.42, 5052-H32 of 228 MPa,
    1000 x 2 mm, V 16 -> 80.9 kN (derived)."""
    assert bend_force(strength=450e6, length=1000, thickness=3, die=24, factor=1.6) == pytest.approx(270e3)
    assert bend_force(strength=228e6, length=1000, thickness=2, die=16) == pytest.approx(80.9e3, rel=1e-3)


def test_usual_dies():
    assert [usual_die(t) for t in (1.0, 1.5, 2.0, 2.032, 3.0)] == [6.0, 10.0, 12.0, 12.0, 25.0]


# ---------------------------------------------------------------- the shop's own deductions


def test_a_deduction_gives_its_k_and_back():
    """r 3, t 2, K 0.42 at 90 degrees takes off 3.9681 mm, at 120 degrees 9.2780 (derived from the definitions)."""
    for angle, deduction in ((SQUARE, 3.9681), (math.radians(120), 9.2780)):
        assert k_of(deduction=deduction, angle=angle, radius=3, thickness=2) == pytest.approx(0.42, abs=1e-4)
    with pytest.raises(ValueError, match="170"):
        k_of(deduction=4, angle=math.radians(175), radius=3, thickness=2)


def test_each_bend_takes_off_what_the_shop_measured():
    sheet = Sheet(thickness=2.0, bend_radius=3.0, deductions=({"angle": SQUARE, "deduction": 3.8}, {"angle": math.radians(45), "deduction": 1.05}))
    for angle, deduction in ((SQUARE, 3.8), (-math.radians(45), 1.05)):
        assert bend_deduction(angle=angle, radius=3, thickness=2, k_factor=sheet.k_factor) == pytest.approx(deduction)
    usual = float(Sheet(thickness=2.0, bend_radius=3.0).k_factor)
    assert bend_allowance(angle=SQUARE, radius=5, thickness=2, k_factor=sheet.k_factor) == pytest.approx(SQUARE * (5 + usual * 2)), "another radius"
    flat = flat_of(u_shape(200, 100, 60, k=sheet.k_factor).sheet())
    assert [b.deduction for b in flat.bends] == pytest.approx([3.8, 3.8])
    assert max(flat.outer.points[:, 1]) - min(flat.outer.points[:, 1]) == pytest.approx((100 + T) + (200 + 2 * T) + (60 + T) - 2 * 3.8)


def test_a_deduction_that_cannot_be_is_refused():
    with pytest.raises(ValueError, match="between 3.40 and 5.29 mm"):
        Sheet(thickness=2.0, bend_radius=3.0, deductions=({"angle": SQUARE, "deduction": 8.0},))
    with pytest.raises(ValueError, match="told of already"):
        Sheet(thickness=2.0, bend_radius=3.0, deductions=({"angle": SQUARE, "deduction": 3.9}, {"angle": SQUARE, "deduction": 4.4, "radius": 3.0}))
    Sheet(thickness=2.0, bend_radius=3.0, deductions=({"angle": SQUARE, "deduction": 3.9}, {"angle": SQUARE, "deduction": 4.4, "radius": 4.0}))


def test_between_measured_angles_k_goes_in_proportion():
    k = MeasuredK(0.4, ((1.0, 3.0, 2.0, 0.30), (2.0, 3.0, 2.0, 0.50)))
    assert k.at(angle=1.5, radius=3.0, thickness=2.0) == pytest.approx(0.40) and k.at(angle=3.0, radius=3.0, thickness=2.0) == 0.50
    assert k.at(angle=1.5, radius=3.0, thickness=1.5) == 0.4
