"""Bend allowance, setback and deduction against worked examples of shops and handbooks. Lengths in mm unless said."""

import math

import pytest

from generators.sheet.bending import bend_allowance, bend_deduction, inside_setback, outside_setback

# A bending shop's page on the bend allowance (it quotes DIN 6935; read): 90 degrees, r = t = 2, K = 0.33 there, printed
# rounded from k / 2 = 0.325: allowance 4.16, setback 4.00, deduction 3.84, two legs of 50 give 96.16.
SHOP = {"angle": math.pi / 2, "radius": 2.0, "thickness": 2.0}
SHOP_K = 0.325

# allowance, setback, deduction worked by hand from the definitions, for r = 3, t = 2, K = 0.42; the turn in degrees
BY_HAND = [
    (45, 3.0159, 2.0711, 1.1262),
    (90, 6.0319, 5.0000, 3.9681),
    (120, 8.0425, 8.6603, 9.2780),
]


def test_the_worked_example_of_a_bending_shop():
    assert bend_allowance(**SHOP, k_factor=SHOP_K) == pytest.approx(4.1626, abs=5e-5)
    assert outside_setback(**SHOP) == pytest.approx(4.0, abs=1e-12)
    assert bend_deduction(**SHOP, k_factor=SHOP_K) == pytest.approx(3.8374, abs=5e-5)


def test_two_legs_of_fifty_need_a_blank_of_96_163():
    assert 50 + 50 - bend_deduction(**SHOP, k_factor=SHOP_K) == pytest.approx(96.163, abs=5e-4)


@pytest.mark.parametrize(("degrees", "allowance", "setback", "deduction"), BY_HAND)
def test_examples_worked_by_hand(degrees, allowance, setback, deduction):
    bend = {"angle": math.radians(degrees), "radius": 3.0, "thickness": 2.0}
    assert bend_allowance(**bend, k_factor=0.42) == pytest.approx(allowance, abs=5e-5)
    assert outside_setback(**bend) == pytest.approx(setback, abs=5e-5)
    assert bend_deduction(**bend, k_factor=0.42) == pytest.approx(deduction, abs=5e-5)


def test_a_setback_of_the_faa_handbook():
    # FAA Aviation Maintenance Technician Handbook, Airframe, U channel of 2024-T3 (read in a copy): radius 0.16 in,
    # sheet 0.040 in, 90 degrees: setback 0.200 in
    assert outside_setback(angle=math.pi / 2, radius=0.160 * 25.4, thickness=0.040 * 25.4) == pytest.approx(
        0.200 * 25.4
    )


@pytest.mark.parametrize(
    ("factor", "tolerance"),
    [
        (0.01743, 0.002),  # the FAA handbook's, from memory, unverified: pi / 180 is 0.017453
        (0.0173, 0.009),  # the naval training page's, read
    ],
)
@pytest.mark.parametrize("degrees", [30, 90, 135])
@pytest.mark.parametrize(("radius", "thickness"), [(0.16, 0.040), (0.125, 0.063), (0.25, 0.125)])
def test_the_empirical_rule_of_aircraft_shops(factor, tolerance, degrees, radius, thickness):
    # allowance = (factor x radius + 0.0078 x thickness) x degrees, in inches: our definition with K = 0.0078 / 0.01743
    rule = (factor * radius + 0.0078 * thickness) * degrees
    ours = bend_allowance(angle=math.radians(degrees), radius=radius, thickness=thickness, k_factor=0.0078 / 0.01743)
    assert ours == pytest.approx(rule, rel=tolerance)


def test_the_allowance_of_the_faa_channel():
    # the same channel by that rule: 0.279 in (worked by hand: (0.01743 x 0.16 + 0.0078 x 0.04) x 90)
    ours = bend_allowance(angle=math.pi / 2, radius=0.16, thickness=0.04, k_factor=0.0078 / 0.01743)
    assert ours == pytest.approx(0.279, abs=1e-3)


@pytest.mark.parametrize(("share", "k_factor"), [(0.55, 0.350), (0.64, 0.407), (0.71, 0.452)])
def test_straight_lengths_of_machinerys_handbook(share, k_factor):
    # Machinery's Handbook, 90 degrees: 0.55 T + 1.57 R soft brass, 0.64 T aluminium and soft steel, 0.71 T hard brass
    # and spring steel (from memory, unverified); 1.57 is pi / 2
    for radius, thickness in ((3.0, 2.0), (1.5, 1.5), (6.0, 3.0)):
        ours = bend_allowance(angle=math.pi / 2, radius=radius, thickness=thickness, k_factor=k_factor)
        assert ours == pytest.approx(share * thickness + 1.57 * radius, abs=0.01)


@pytest.mark.parametrize("degrees", [10, 45, 90, 120, 150])
def test_legs_and_tangent_lengths_give_the_same_blank(degrees):
    # outside legs less deduction and tangent lengths plus allowance are the same strip (plane geometry)
    bend = {"angle": math.radians(degrees), "radius": 3.0, "thickness": 2.0}
    tangents = 60 + 35
    allowance, outside = bend_allowance(**bend, k_factor=0.4), outside_setback(**bend)
    inside = inside_setback(angle=bend["angle"], radius=3.0)
    blank = tangents + allowance
    assert tangents + 2 * outside - bend_deduction(**bend, k_factor=0.4) == pytest.approx(blank, abs=1e-12)
    assert outside - inside == pytest.approx(2.0 * math.tan(bend["angle"] / 2), abs=1e-12)


def test_a_bend_the_other_way_takes_as_much_metal():
    for equation in (bend_allowance, bend_deduction):
        up, down = (equation(angle=a, radius=3.0, thickness=2.0, k_factor=0.42) for a in (1.1, -1.1))
        assert up == down


def test_a_step_of_k_moves_the_blank_by_angle_times_thickness():
    low, high = (bend_allowance(angle=math.pi / 2, radius=3.0, thickness=2.0, k_factor=k) for k in (0.40, 0.45))
    assert high - low == pytest.approx(0.157, abs=5e-4)  # (pi / 2) x 2 x 0.05
