"""How far oil overshoots when an acceleration comes on, held against closed forms of structural dynamics and an equation of
motion integrated by scipy."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from generators.oil.slosh import (
    BAFFLED_DAMPING,
    BARE_DAMPING,
    PERIOD_SPREAD,
    SHORTEST_RISE,
    longest_above,
    ramp_factor,
    ramp_factor_within,
    ramp_response,
    rectangular_period,
)

G = 9.80665

T1 = rectangular_period(0.40, depth=0.06)
"""1.0803 s."""

CASES = [(0.0, 0.03), (0.2, 0.03), (0.4, 0.10), (0.8, 0.0), (1.0, 0.20), (1.6, 0.03), (2.5, 0.6), (3.0, 0.95)]
"""Rise time, s, and damping ratio."""


def integrated(rise, damping, *, share=None, until=40.0, period=T1):
    """x'' + 2 zeta w x' + w2 x = w2 f(t) from rest by DOP853, the rise and the hold apart: height of its highest peak, and
    the longest stretch of seconds above `share`."""
    w = 2 * math.pi / period
    level = 1.0 if share is None else share

    def stands(_, state):
        return state[1]

    def crosses(_, state):
        return state[0] - level

    stands.direction = -1
    state, peaks, passed, begin = (0.0, 0.0), [], [], 0.0
    for end, load in ((rise, lambda t: t / rise), (until, lambda _: 1.0)):
        if end > begin:
            run = solve_ivp(
                lambda t, s, load=load: (s[1], w**2 * (load(t) - s[0]) - 2 * damping * w * s[1]),
                (begin, end), state, "DOP853", events=(stands, crosses), rtol=1e-11, atol=1e-13, max_step=period / 8,
            )
            state, begin = run.y[:, -1], end
            peaks += [y[0] for y in run.y_events[0]]
            passed += list(run.t_events[1])
    assert len(passed) % 2 == 0 or share is None
    return max([*peaks, state[0]]), float(np.max(np.subtract(passed[1::2], passed[: len(passed) // 2 * 2 : 2]), initial=0.0))


# ---------------------------------------------------------------- the peak


@pytest.mark.parametrize("damping, factor", [(0.0, 2.0), (0.05, 1.85447), (0.20, 1.52662)])
def test_step(damping, factor):
    """1 + exp(-zeta pi / sqrt(1 - zeta2)), the overshoot of any text on vibration or control."""
    assert ramp_factor(0.0, period=T1, damping=damping) == pytest.approx(factor, abs=5e-6)
    assert ramp_factor(0.0, period=T1, damping=damping) == pytest.approx(
        1 + math.exp(-damping * math.pi / math.sqrt(1 - damping**2)), abs=1e-10
    )


@pytest.mark.parametrize("rise, factor", [(0.2, 1.94457), (0.4, 1.78926), (1.0, 1.07957), (2.0, 1.07741)])
def test_ramp_of_a_box_without_damping(rise, factor):
    """0.40 m long, 0.06 m deep: 1 + |sin x| / x with x = w t_r / 2 (any text on structural dynamics)."""
    x = math.pi * rise / T1
    assert ramp_factor(rise, period=T1, damping=0.0) == pytest.approx(factor, abs=5e-6)
    assert ramp_factor(rise, period=T1, damping=0.0) == pytest.approx(1 + abs(math.sin(x)) / x, rel=1e-12)


@pytest.mark.parametrize("periods, factor", [(0.5, 1 + 2 / math.pi), (1, 1.0), (1.5, 1 + 2 / (3 * math.pi)), (2, 1.0)])
def test_ramp_of_half_a_period_and_of_a_whole_one(periods, factor):
    """Half a period 1.63662; a whole number of them leaves nothing to swing."""
    assert ramp_factor(periods * T1, period=T1, damping=0.0) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize("rise, damping", CASES)
def test_peak_of_the_integrated_motion(rise, damping):
    """The highest of all the peaks over 40 s, whether in the rise or after it."""
    peak, _ = integrated(rise, damping, until=40.0 if damping > 0.1 else 12.0)
    assert ramp_factor(rise, period=T1, damping=damping) == pytest.approx(peak, abs=1e-9)


@pytest.mark.parametrize("rise, damping", [(0.4, 0.10), (1.6, 0.03), (0.0, 0.03)])
def test_whole_motion(rise, damping):
    """In and after the rise, and nothing before it begins. A step is answered half of SHORTEST_RISE late."""
    w, times = 2 * math.pi / T1, np.linspace(0, 5, 41)
    state, begin, expected = (0.0, 0.0), 0.0, np.zeros(41)
    for end, load in ((rise, lambda t: t / rise), (5.0, lambda _: 1.0)):
        if end > begin:
            run = solve_ivp(lambda t, s, load=load: (s[1], w**2 * (load(t) - s[0]) - 2 * damping * w * s[1]),
                            (begin, end), state, "DOP853", dense_output=True, rtol=1e-11, atol=1e-13, max_step=0.05)
            inside = (times >= begin) & (times <= end)
            expected[inside] = run.sol(times[inside])[0]
            state, begin = run.y[:, -1], end
    assert ramp_response(times, rise, period=T1, damping=damping) == pytest.approx(
        expected, abs=SHORTEST_RISE if rise == 0 else 1e-9
    )
    assert ramp_response(-1.0, rise, period=T1, damping=damping) == 0


def test_more_damping_never_swings_higher():
    """On rises short against the period: over long ones the answer lags more and the shape of the lobes changes."""
    for rise in (0.0, 0.2, 0.5):
        factors = [ramp_factor(rise, period=T1, damping=z) for z in (0.0, *sorted((BARE_DAMPING, *BAFFLED_DAMPING)), 0.5)]
        assert all(np.diff(factors) < 0)


def test_many_at_once():
    rises, periods = np.array([0.0, 0.4, 2.0]), np.array([0.5, 1.0, 1.5])
    assert ramp_factor(rises, period=periods, damping=0.03) == pytest.approx(
        [ramp_factor(r, period=p, damping=0.03) for r, p in zip(rises, periods, strict=True)], rel=1e-14
    )


# ---------------------------------------------------------------- a period that is not known well


def test_no_spread_is_the_period_itself():
    assert ramp_factor_within(0.7, period=T1, damping=0.1, spread=0.0) == pytest.approx(
        ramp_factor(0.7, period=T1, damping=0.1), rel=1e-12
    )


def test_a_rise_of_one_period_hides_nothing():
    """Known exactly it would leave no swing; 15 percent longer or shorter, 1 + |sin x| / x at x = pi / 1.15 or pi / 0.85."""
    by_hand = max(1 + abs(math.sin(math.pi / s)) / (math.pi / s) for s in (1 - 0.15, 1 + 0.15))
    assert ramp_factor(T1, period=T1, damping=0.0) == pytest.approx(1.0, abs=1e-9)
    assert ramp_factor_within(T1, period=T1, damping=0.0) == pytest.approx(by_hand, rel=1e-12)
    assert by_hand > 1.14


@pytest.mark.parametrize("periods", [1.5, 2.4, 5.0, 12.3, 30.0])
def test_the_worst_lies_inside_the_spread(periods):
    """The highest lobe of |sin x| / x over the spread, each lobe searched by scipy."""
    low, high = math.pi * periods / (1 + PERIOD_SPREAD), math.pi * periods / (1 - PERIOD_SPREAD)
    tops = [abs(math.sin(x)) / x for x in (low, high)]
    for n in range(int(low / math.pi), int(high / math.pi) + 1):
        bounds = (max(low, n * math.pi), min(high, (n + 1) * math.pi))
        tops.append(-minimize_scalar(lambda x: -abs(math.sin(x)) / x, bounds=bounds, method="bounded").fun)
    found = ramp_factor_within(periods * T1, period=T1, damping=0.0)
    assert found == pytest.approx(1 + max(tops), abs=1e-4)
    assert found <= 1 + (1 + PERIOD_SPREAD) / (math.pi * periods)


# ---------------------------------------------------------------- how long


@pytest.mark.parametrize("rise, damping", CASES[:3] + CASES[4:6])
@pytest.mark.parametrize("share", [1.02, 1.05, 1.3])
def test_longest_above_of_the_integrated_motion(rise, damping, share):
    """The longest of its swings past the share, until it has died away."""
    _, seconds = integrated(rise, damping, share=share, until=25.0 if damping < 0.1 else 8.0)
    assert longest_above(share, rise, period=T1, damping=damping) == pytest.approx(seconds, abs=1e-7)


def test_longest_above_where_the_rise_itself_passes_the_level():
    """A rise of three quarters of a period: undamped it ends at 1 - sin(1.5 pi) / (1.5 pi) = 1.21 of the static answer."""
    rise = 0.75 * T1
    assert ramp_response(rise, rise, period=T1, damping=0.0) == pytest.approx(1 + 1 / (1.5 * math.pi), rel=1e-9)
    assert ramp_response(rise, rise, period=T1, damping=0.03) > 1.15
    _, seconds = integrated(rise, 0.03, share=1.10, until=25.0)
    assert longest_above(1.10, rise, period=T1, damping=0.03) == pytest.approx(seconds, abs=1e-7)


def test_longest_above_a_step_without_damping():
    """1 - cos(w t) is above 1.5 for a third of every period (closed form)."""
    assert longest_above(1.5, 0.0, period=T1, damping=0.0) == pytest.approx(T1 / 3, rel=1e-4)


def test_longest_above_what_is_never_reached():
    top = ramp_factor(0.4, period=T1, damping=0.1)
    assert longest_above(top + 1e-9, 0.4, period=T1, damping=0.1) == 0.0
    assert 0 < longest_above(top - 1e-6, 0.4, period=T1, damping=0.1) < 2e-3
    assert longest_above(1.5, T1, period=T1, damping=0.0) == 0.0


def test_longest_above_grow_with_the_period():
    """Time scales with the period as the rise does."""
    assert longest_above(1.2, 0.8, period=2 * T1, damping=0.05) == pytest.approx(
        2 * longest_above(1.2, 0.4, period=T1, damping=0.05), rel=1e-9
    )


# ---------------------------------------------------------------- damping


def smooth_wall(radius: float, viscosity: float, *, depth: float) -> float:
    """Mikishev and Dorozhkin, smooth upright cylinder, as two open programs print it after NASA SP-106, chapter 4: good to
    30 percent."""
    x = 1.84 * depth / radius
    bottom = 1 + 0.318 / math.sinh(x) * (1 + (1 - depth / radius) / math.cosh(x))
    return 4.98 / (2 * math.pi) * math.sqrt(viscosity) * radius**-0.75 * G**-0.25 * bottom


def ring(width: float, depth: float, wave: float) -> float:
    """Miles 1958, J. Appl. Mech. 25, p. 274, flat ring under the surface, as an open program prints it after Bauer 1962; all
    as shares of the radius."""
    return 2.83 * math.exp(-4.6 * depth) * (width * (2 - width)) ** 1.5 * math.sqrt(wave)


def test_damping_without_baffles_lies_among_smooth_walls():
    """Radius 75 mm, 200 mm deep: 0.0109 for 12 cSt, hot, and 0.0314 for 100 cSt, warming up. A third of the damping makes a
    step 3 percent higher, no more."""
    hot, warm = smooth_wall(0.075, 12e-6, depth=0.2), smooth_wall(0.075, 100e-6, depth=0.2)
    assert (hot, warm) == (pytest.approx(0.010876, abs=1e-6), pytest.approx(0.031395, abs=1e-6))
    assert hot < BARE_DAMPING < warm
    low, high = (float(ramp_factor(0.0, period=T1, damping=z)) for z in (BARE_DAMPING, hot))
    assert low < high == pytest.approx(low, rel=0.032)


def test_damping_with_baffles_takes_in_a_ring_of_usual_size():
    """Ring 12 mm wide, 10 mm under the surface, wave 20 mm, in radius 75 mm: 0.126418."""
    assert ring(0.1, 0.1, 0.1) == pytest.approx(0.0467887, abs=1e-7)
    assert ring(12 / 75, 10 / 75, 20 / 75) == pytest.approx(0.126418, abs=1e-6)
    assert BAFFLED_DAMPING[0] <= ring(12 / 75, 10 / 75, 20 / 75) <= BAFFLED_DAMPING[1]


# ---------------------------------------------------------------- refused


@pytest.mark.parametrize(
    "rise, period, damping, words",
    [(-0.1, 1, 0.1, "rise time"), (math.inf, 1, 0.1, "rise time"), (0.1, 0, 0.1, "period"), (0.1, 1, 1.0, "damping"),
     (0.1, 1, -0.1, "damping"), (0.1, 1, math.nan, "damping")],
)
def test_no_such_swing(rise, period, damping, words):
    for ask in (ramp_factor, ramp_factor_within):
        with pytest.raises(ValueError, match=words):
            ask(rise, period=period, damping=damping)
    with pytest.raises(ValueError, match=words):
        longest_above(1.1, rise, period=period, damping=damping)


def test_no_such_level_or_spread():
    for share in (1.0, 0.9, math.nan):
        with pytest.raises(ValueError, match="more than 1"):
            longest_above(share, 0.1, period=1.0, damping=0.1)
    for spread in (-0.1, 1.0):
        with pytest.raises(ValueError, match="spread"):
            ramp_factor_within(0.1, period=1.0, damping=0.1, spread=spread)
