"""A logged lap smoothed without delay, and judged: its signs, its zero, its largest values."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy import signal

from generators import reading
from generators.checks.laps import lap_checks
from generators.driving.lap import corner, even, extremes, sign_agreement, smoothed
from generators.parameters import Driving, Lap

ROOT = Path(__file__).parent.parent
G = 9.80665  # standard gravity, exact by definition (3rd CGPM, 1901)
DRIVING = Driving(cornering=1.5 * G, braking=1.2 * G, acceleration=0.8 * G).model_copy(update={"smoothing": 0.3})

# ---------------------------------------------------------------- smoothed


def made(time, *axes, speed=None) -> Lap:
    """A lap of plain arrays (m/s2)."""
    zero = np.zeros_like(time)
    filled = [*axes, zero, zero][:3]
    return Lap("", np.arange(len(time)) + 2, time, np.column_stack(filled), len(axes) > 2, speed)


def height(values, time, period):
    """Height of the swing of a period in values, by projection on sine and cosine (orthogonal over whole periods)."""
    phase = 2 * math.pi * time / period
    return math.hypot(2 * np.mean(values * np.sin(phase)), 2 * np.mean(values * np.cos(phase)))


@pytest.mark.parametrize(("times", "kept", "within"), [
    (10, 1.0, 1e-4), (3, 1.0, 0.01), (1, math.sqrt(0.5), 1e-3), (1 / 3, 0.0, 0.03), (1 / 6, 0.0, 0.002)])
@pytest.mark.parametrize("rate", [50, 100])
def test_a_slow_swing_is_kept_and_a_quick_one_is_gone(times, kept, within, rate):
    """Two passes of a Butterworth filter of order 2 with its corner raised for both: -3 dB at the stated period (Winter's
    correction); three times as long keeps 1 - 0.0051 at most, a third as long 0.030, by 1 / (1 + (f / fc)^4)."""
    time, period = np.arange(0, 40, 1 / rate), 0.3
    lap = made(time, np.sin(2 * math.pi * time / (times * period)))
    got = smoothed(lap, period=period)
    mid = slice(len(time) // 2 - round(6 * rate), len(time) // 2 + round(6 * rate))  # 12 s: whole periods of each
    assert height(got.acceleration[mid, 0], time[mid], times * period) == pytest.approx(kept, abs=within)


def test_the_filter_is_the_one_of_the_formula():
    """|H| of a digital Butterworth filter by the bilinear transform: 1 / sqrt(1 + (tan(pi f / fs) / tan(pi fc / fs))^4), squared
    for two passes (Oppenheim & Schafer, Discrete-Time Signal Processing, from memory), against the library's own response."""
    rate, period = 25.0, 0.3
    fc = corner(period=period, rate=rate)
    asked = np.array([0.2, 1 / period, 5.0, 9.0])
    _, response = signal.sosfreqz(signal.butter(2, fc, fs=rate, output="sos"), worN=asked, fs=rate)
    formula = 1 / (1 + (np.tan(np.pi * asked / rate) / np.tan(np.pi * fc / rate)) ** 4)
    assert np.abs(response) ** 2 == pytest.approx(formula, rel=1e-9)
    assert formula[1] == pytest.approx(math.sqrt(0.5), rel=1e-12)
    assert fc == pytest.approx(1 / 0.3 / 0.802, rel=0.06)  # Winter's 0.802 for two passes; bent by the coarse sampling


def test_nothing_is_delayed():
    """A swing and a bump stay where they are: the correlation with the original is largest at no shift."""
    time = np.arange(0, 12, 0.02)
    bump = np.exp(-((time - 5.5) / 0.6) ** 2) + 0.3 * np.sin(2 * math.pi * time / 1.5)
    got = smoothed(made(time, bump), period=0.3).acceleration[:, 0]
    shifts = np.correlate(got - got.mean(), bump - bump.mean(), mode="full")
    assert np.argmax(shifts) == len(time) - 1
    assert time[np.argmax(got)] == pytest.approx(time[np.argmax(bump)], abs=0.02)


def test_a_steady_pull_and_a_ramp_stay_as_they_are():
    """A low pass has gain 1 at 0 Hz, and turned over at its ends a straight line goes on."""
    time = np.arange(0, 6, 0.05)
    got = smoothed(made(time, np.full_like(time, 7.0), 0.5 * time), period=0.4)
    assert got.acceleration[:, 0] == pytest.approx(7.0, abs=1e-9)
    assert got.acceleration[:, 1] == pytest.approx(0.5 * time, abs=2e-3)


def test_an_uneven_log_gets_an_even_grid_and_no_filter_where_none_is_asked_for():
    time = np.cumsum(np.random.default_rng(3).choice([0.08, 0.1, 0.1, 0.12], 200))
    got = smoothed(made(time, 2 * time, speed=3 * time), period=0.0)
    assert np.ptp(np.diff(got.time)) < 1e-9 and (got.time[0], got.time[-1]) == (time[0], time[-1])
    assert got.acceleration[:, 0] == pytest.approx(2 * got.time) and got.speed == pytest.approx(3 * got.time)
    nearest = np.abs(got.time[:, None] - time[None, :]).argmin(axis=1)
    assert np.abs(time[got.rows - 2] - got.time) == pytest.approx(np.abs(time[nearest] - got.time))


def test_an_even_log_is_its_own_grid():
    time = 5 + np.arange(300) / 25
    lap = made(time, np.sin(time))
    got = even(lap)
    assert got.time == pytest.approx(time, abs=1e-9) and got.acceleration == pytest.approx(lap.acceleration, abs=1e-9)
    assert (got.rows == lap.rows).all()


def test_extremes_name_time_and_row():
    time = np.arange(0, 10, 0.1)
    lap = made(time, np.where(np.isclose(time, 3.0), -9.0, 1.0), np.where(np.isclose(time, 7.0), 12.0, 0.0))
    got = extremes(lap)
    assert list(got) == ["speeding up", "braking", "left turn", "right turn"]
    assert (got["braking"].value, got["braking"].row, got["left turn"].value) == (9.0, 32, 12.0)
    assert got["braking"].time == pytest.approx(3.0) and got["right turn"].value == 0.0


# ---------------------------------------------------------------- judged


def driven(sign=1, *, noise=0.0, speed=True):
    """A lap whose speed is the integral of its acceleration, v = 30 + 8 sin(0.9 t): a = 7.2 cos(0.9 t), 0.73 g at most;
    0.8 g to the left and 1.2 g to the right; what a logger of the other sign would give with `sign` -1."""
    time = np.arange(0, 60, 0.05)
    shake = noise * np.random.default_rng(1).normal(size=(3, len(time)))
    lateral = np.where(np.sin(0.4 * time) > 0, 0.8 * G, 1.2 * G) * np.sin(0.4 * time)
    v = 30 + 8 * np.sin(0.9 * time) if speed else None
    return made(time, sign * 7.2 * np.cos(0.9 * time) + shake[0], lateral + shake[1], 0.1 * G * np.sin(3 * time) + shake[2], speed=v)


def by_id(lap, driving=DRIVING):
    return {c.id.removeprefix("driving."): c for c in lap_checks(driving, lap)}


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_a_sound_lap_passes(noise):
    got = by_id(driven(noise=noise))
    assert {c.status for c in got.values()} == {"pass"} and list(got) == ["log_signs", "log_at_rest", "log_against_stated"]
    assert got["log_signs"].value > 0.98
    found = sign_agreement(driven(noise=noise))
    assert found.correlation > 0.99
    # |cos| > 0.2 g / 7.2 m/s2 for 1 - (2 / pi) asin(0.2724) of the time
    assert found.seconds == pytest.approx(60 * (1 - 2 / math.pi * math.asin(0.2 * G / 7.2)), rel=0.03)


def test_a_turned_sign_is_found_and_the_word_named():
    bad = by_id(driven(-1, noise=0.5))["log_signs"]
    assert bad.status == "caution" and bad.value < 0.02 and bad.margin < 0
    assert "driving.columns.longitudinal.positive should be the other word" in bad.method and "correlation -" in bad.method


def test_a_wrong_column_is_found():
    lap = driven()
    wrong = made(lap.time, *lap.acceleration[:, [1, 0, 2]].T, speed=lap.speed)
    bad = by_id(wrong)["log_signs"]
    assert bad.status == "caution" and 0.3 < bad.value < 0.7 and "look at the columns" in bad.method


@pytest.mark.parametrize(("steps", "late"), [(0.1, 0.5), (1.0, 0.0), (1.0, 0.5)])
def test_a_speed_that_comes_late_and_in_steps_is_no_wrong_sign(steps, late):
    """Held for so long, and so late: many take it from satellites once a second."""
    for sign in (1, -1):
        lap = driven(sign)
        held = 30 + 8 * np.sin(0.9 * (np.floor(lap.time / steps) * steps - late))
        late_lap = made(lap.time, *lap.acceleration.T, speed=held)
        assert sign * sign_agreement(late_lap).correlation > 0.4
        told = by_id(late_lap)["log_signs"]
        assert (told.status, "should be the other word" in told.method) == (("pass", False) if sign > 0 else ("caution", True))


def test_a_gradient_is_no_wrong_sign():
    """Forty seconds up a slope: the sensor reads less than 0.2 g one way while the speed goes the other."""
    lap = driven()
    climb = lap.time > 20
    logged, speed = np.where(climb, -1.5, lap.acceleration[:, 0]), np.where(climb, lap.speed[400] + 0.3 * (lap.time - 20), lap.speed)
    found = sign_agreement(made(lap.time, logged, lap.acceleration[:, 1], speed=speed))
    assert found.share > 0.97 and found.seconds < 20


def test_without_speed_or_braking_the_sign_is_not_assessed():
    assert sign_agreement(driven(speed=False)) is None
    got = by_id(driven(speed=False))["log_signs"]
    assert got.status == "not assessed" and "no speed was logged" in got.method
    time = np.arange(0, 20, 0.1)
    calm = made(time, np.full_like(time, 0.1), np.full_like(time, 9.0), speed=20 + 0.1 * time)
    assert by_id(calm)["log_signs"].status == "not assessed" and "hardly any braking" in by_id(calm)["log_signs"].method


def test_the_corners_are_told_each_way():
    """0.8 g sin > 0.3 g for 1 - 2 asin(3/8) / pi of each half turn to the left, 1.2 g sin > 0.3 g of each to the right."""
    half = math.pi / 0.4
    left, right = (half * (1 - 2 * math.asin(x) / math.pi) for x in (3 / 8, 1 / 4))
    told = re.search(r"left turns above 0.3 g for ([\d.]+) s, right turns for ([\d.]+) s", by_id(driven())["log_signs"].method)
    whole = 60 // (2 * half)  # 3 whole turns and 12.9 s more: a left half and the most of a right one
    assert float(told[1]) == pytest.approx((whole + 1) * left, abs=0.3)
    assert whole * right < float(told[2]) < (whole + 1) * right


def test_a_forgotten_rest_is_found():
    lap = driven()
    weight = made(lap.time, *(lap.acceleration + [0, 0, G]).T, speed=lap.speed)
    bad = by_id(weight)["log_at_rest"]
    assert bad.status == "caution" and bad.value == pytest.approx(1.0, abs=0.01) and "at_rest" in bad.method


@pytest.mark.parametrize(("stated", "worst", "status", "word"), [
    ({}, 7.2 / (0.8 * G), "pass", "right turn 1.20 g of 1.50 g"),
    ({"cornering": 1.1 * G}, 1.2 / 1.1, "caution", "raise driving.cornering, for the gates"),
    ({"acceleration": 0.5 * G}, 7.2 / (0.5 * G), "caution", "raise driving.acceleration"),
    ({"braking": 0.6 * G}, 7.2 / (0.6 * G), "caution", "raise driving.braking"),
    ({"cornering": 4 * G}, 7.2 / (0.8 * G), "caution", "the unit of driving.columns.lateral is wrong"),
    ({"cornering": 3 * G}, 7.2 / (0.8 * G), "pass", "left turn 0.80 g of 3.00 g"),  # a third of it is driven, to the right
    ({"acceleration": 0.0}, 7.2 / (0.05 * G), "caution", "raise driving.acceleration"),
])
def test_the_log_against_what_is_stated(stated, worst, status, word):
    driving = Driving(**{"cornering": 1.5 * G, "braking": 1.2 * G, "acceleration": 0.8 * G, **stated}).model_copy(update={"smoothing": 0.3})
    got = by_id(driven(), driving)["log_against_stated"]
    assert got.status == status and word in got.method
    assert got.value == pytest.approx(worst, rel=2e-3)  # swings of 7 s and 16 s: the filter takes nothing that counts


def test_the_demo_lap_is_whole_and_stays_within_what_its_file_states():
    got = reading.read(ROOT / "configs" / "sprint_vee_six.toml")
    lap, driving = got.lap, got.parameters.driving
    assert {c.status for c in lap_checks(driving, lap)} == {"pass"}
    smooth = smoothed(lap, period=driving.smoothing)
    found = extremes(smooth)
    for way, stated in (("left turn", driving.cornering), ("braking", driving.braking), ("speeding up", driving.acceleration)):
        assert 0.75 < found[way].value / stated < 1
    assert found["right turn"].value < 0.1 * G  # a short oval, to the left
    grown = np.concatenate([[0], np.cumsum((smooth.acceleration[1:, 0] + smooth.acceleration[:-1, 0]) / 2 * np.diff(smooth.time))])
    assert np.abs(smooth.speed - smooth.speed[0] - grown).max() < 0.5  # m/s, over 85 s
    assert (ROOT / "configs" / "sprint_vee_six_lap.csv").stat().st_size < 120_000


# ---------------------------------------------------------------- what once was wrong


@pytest.mark.parametrize("begin", [0.0, -100.0])
def test_a_speed_that_stands_still_tells_no_sign(begin):
    """A stuck channel: the rounding of the filter is no growth."""
    time = begin + np.arange(0, 20, 0.05)
    lap = made(time, 5.0 * np.sin(time), np.zeros_like(time), speed=np.full(time.shape, 60 / 3.6))
    assert sign_agreement(lap) is None
    found = by_id(lap)["log_signs"]
    assert found.status == "not assessed" and "speed hardly changes" in found.method


@pytest.mark.filterwarnings("error")
def test_an_even_pull_has_no_correlation_and_no_warning():
    """3 m/s2 all along, with the speed that belongs to it."""
    time = np.arange(0, 20, 0.05)
    lap = made(time, np.full(time.shape, 3.0), np.zeros_like(time), speed=3.0 * time)
    found = sign_agreement(lap)
    assert found.correlation is None and found.share == 1.0
    assert "nan" not in by_id(lap)["log_signs"].method


def test_a_slip_of_the_unit_is_asked_about():
    """Corners of 0.9 g that the file calls m/s2 in g: nearly ten times what is stated."""
    time = np.arange(0, 20, 0.05)
    lap = made(time, np.zeros_like(time), 0.9 * 9.8 * G * np.sin(time))
    assert "is a column that the file says is in g in m/s^2?" in by_id(lap)["log_against_stated"].method


def test_a_lap_with_turns_one_way_says_so():
    time = np.arange(0, 20, 0.05)
    lap = made(time, np.zeros_like(time), 1.2 * G * np.abs(np.sin(time)))
    found = by_id(lap)["log_against_stated"]
    assert found.status == "pass" and "hardly any right turns" in found.method


def test_a_lap_as_hard_as_stated_is_within_what_is_stated():
    """To what a logger tells apart."""
    time = np.arange(0, 20, 0.05)
    for more, status in ((0.01, "pass"), (0.05, "caution")):
        lap = made(time, np.zeros_like(time), (1.5 + more) * G * np.sin(time / 4))
        assert by_id(lap)["log_against_stated"].status == status
