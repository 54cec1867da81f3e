"""How a hinged flap moves, held against mechanics worked by hand."""

import math

import pytest
from scipy.integrate import solve_ivp

from generators.oil import gates

G = 9.80665


def test_closing_time_by_hand():
    """Thin plate about its edge: I = m h2/3, M = m a h/2, so the angular acceleration is 1.5 a/h and t = sqrt(2 angle
    h/(1.5 a)).

    30 degrees, 40 mm, 1 g: 0.0534 s (derived)."""
    assert gates.closing_time(math.radians(30), height=0.040, acceleration=G) == pytest.approx(0.0534, abs=5e-5)


def test_closing_time_against_the_pendulum_equation():
    """The moment falls with the cosine of the angle; integrating that exactly shows how good the steady moment is."""
    angle, height = math.radians(40), 0.048

    def shut(_, state):
        return state[0]

    shut.terminal = True
    run = solve_ivp(
        lambda _, s: (s[1], -1.5 * G / height * math.cos(s[0])),
        (0, 1),
        (angle, 0.0),
        events=shut,
        rtol=1e-9,
        atol=1e-12,
    )
    exact = float(run.t_events[0][0])
    steady = gates.closing_time(angle, height=height, acceleration=G)
    assert steady < exact < 1.12 * steady


def steel_flap() -> float:
    """Weight in oil of a steel flap 60 x 50 x 1 mm, 7850 kg/m3 in 850 kg/m3."""
    return gates.weight_in_oil(0.060 * 0.050 * 0.001 * 7850, metal_density=7850, oil_density=850)


def test_steel_flap_on_a_seat_leaning_ten_degrees():
    """Weight in oil 0.02355 kg x g x (1 - 850/7850) at 25 mm x sin 10: 8.94026e-4 N m, 1.43004 mm of head (derived)."""
    moment = gates.closing_moment(steel_flap(), arm=0.025, lean=math.radians(10))
    assert moment == pytest.approx(8.94026e-4, rel=1e-5)
    assert gates.cracking_head(moment, oil_density=850, width=0.060, height=0.050) == pytest.approx(
        1.43004e-3, rel=1e-5
    )


def test_steel_flap_at_one_g_sideways():
    """The same flap square to 1 g: 5.14849e-3 N m, 8.23529 mm of head = (rho_steel - rho_oil)/rho_oil x thickness
    (derived)."""
    moment = gates.closing_moment(steel_flap(), arm=0.025, lean=math.pi / 2)
    head = gates.cracking_head(moment, oil_density=850, width=0.060, height=0.050)
    assert moment == pytest.approx(5.14849e-3, rel=1e-5)
    assert head == pytest.approx(8.23529e-3, rel=1e-6)
    assert head == pytest.approx((7850 - 850) / 850 * 0.001, rel=1e-12)


def test_pressure_moment_of_a_drowned_flap():
    """30 mm of oil of 850 kg/m3 on a flap 60 x 50 mm: rho g dH w H2/2 = 0.0187552 N m (derived), so that moment cracks
    it there."""
    assert gates.cracking_head(0.0187552, oil_density=850, width=0.060, height=0.050) == pytest.approx(0.030, rel=1e-5)


@pytest.mark.parametrize("degrees", [1, 20, 40, 60, 89])
def test_way_out_against_its_surface(degrees):
    """The strip under the flap is chord x width, each side a circular-sector triangle of two sides h: h2/2
    sin(angle)."""
    angle, w, h = math.radians(degrees), 60.0, 40.0
    chord = math.dist((0, -h), (h * math.sin(angle), -h * math.cos(angle)))
    triangle = abs(0 * -h * math.cos(angle) - -h * h * math.sin(angle)) / 2
    assert gates.way_out(angle, width=w, height=h) == pytest.approx(chord * w + 2 * triangle, rel=1e-12)
