"""A logged lap made fit for use: on an even grid and without vibration, its largest values, and whether its signs agree."""

import math
from dataclasses import dataclass, replace

import numpy as np

from generators.parameters import Lap
from generators.units import GRAVITY

ORDER, PASSES = 2, 2
"""Of the Butterworth filter, run forward and backward so that nothing is delayed. A low order rings little after a step."""

TWICE = (2 ** (1 / PASSES) - 1) ** (1 / (2 * ORDER))
"""0.802. Two passes halve the power twice at the corner of one; a corner higher by 1 / 0.802 halves it once in all (Winter,
Biomechanics and Motor Control of Human Movement, section on digital filtering, from memory; derivation:
|H|^2 = 1 / (1 + (f / fc)^4) after both passes is 1 / sqrt(2) where (f / fc)^4 = sqrt(2) - 1)."""

PAD_PERIODS = 2
"""Periods by which the ends are carried on, turned about their last value, before the filter runs."""

AGREEMENT_PERIOD = 2.0
"""s. Speed and acceleration are compared over swings longer than this: logged speed often comes late and in steps, some of
a whole second."""

STRONG = 0.2 * GRAVITY
"""m/s2. Braking or speeding up that no gradient (2 m/s2 is 20 %) and no offset of a sensor is mistaken for."""

LEAST_GROWTH = STRONG / 4
"""m/s2. A speed that nowhere grows or falls by more than this is not this lap's."""

LEAST_SECONDS = 2.0
"""s of strong braking or speeding up, under which its sign is not told."""

WAYS = {
    "speeding up": (0, 1), "braking": (0, -1), "left turn": (1, 1), "right turn": (1, -1), "compression": (2, 1), "crest": (2, -1),
}
"""Axis and sign of each of a vehicle's accelerations (ISO 8855)."""


@dataclass(frozen=True)
class Extreme:
    """The largest acceleration one way: value m/s2 (0 where there was none), time s, and the line of the log."""

    value: float
    time: float
    row: int


@dataclass(frozen=True)
class Agreement:
    """How the longitudinal column goes with the speed. correlation: of it and the speed's growth, -1 to 1; None where one of
    them hardly changes. share: of the strong braking and speeding up in which both have one sign; `seconds` of it were
    looked at."""

    correlation: float | None
    share: float
    seconds: float


def even(lap: Lap) -> Lap:
    """The lap on an even grid of its usual (median) step, straight between its rows; each sample keeps the nearest row."""
    usual = float(np.median(np.diff(lap.time)))
    count = max(round((lap.time[-1] - lap.time[0]) / usual), 1) + 1
    time = np.linspace(lap.time[0], lap.time[-1], count)
    after = np.clip(np.searchsorted(lap.time, time), 1, len(lap.time) - 1)
    nearest = after - (time - lap.time[after - 1] < lap.time[after] - time)
    acceleration = np.column_stack([np.interp(time, lap.time, axis) for axis in lap.acceleration.T])
    speed = None if lap.speed is None else np.interp(time, lap.time, lap.speed)
    return replace(lap, rows=lap.rows[nearest], time=time, acceleration=acceleration, speed=speed)


def smoothed(lap: Lap, *, period: float) -> Lap:
    """The lap on an even grid with swings quicker than `period` (s) filtered out and nothing delayed.

    A swing of just that period keeps 1 / sqrt(2) of its height (-3 dB), one three times as long 99.5 %, one a third as long
    3 %. With `period` 0, or where the log has fewer than two rows in it, only the grid is made even."""
    lap = even(lap)
    rate = 1 / float(lap.time[1] - lap.time[0])
    if period * rate <= 2:
        return lap
    filtered = _filtered(lap.acceleration, period=period, rate=rate)
    speed = None if lap.speed is None else _filtered(lap.speed[:, None], period=period, rate=rate)[:, 0]
    return replace(lap, acceleration=filtered, speed=speed)


def _filtered(values: np.ndarray, *, period: float, rate: float) -> np.ndarray:
    """Columns of (n, k) `values`, `rate` Hz, without swings quicker than `period` s."""
    from scipy import signal

    sections = signal.butter(ORDER, corner(period=period, rate=rate), fs=rate, output="sos")
    pad = min(len(values) - 1, math.ceil(PAD_PERIODS * period * rate))
    return signal.sosfiltfilt(sections, values, axis=0, padlen=pad)


def corner(*, period: float, rate: float) -> float:
    """Hz. The corner of one pass, so that both leave 1 / sqrt(2) of a swing of `period` s in samples of `rate` Hz:
    tan(pi fc / rate) = tan(pi / (period rate)) / TWICE, for the bilinear transform bends frequencies like a tangent."""
    return rate / math.pi * math.atan(math.tan(math.pi / (period * rate)) / TWICE)


def extremes(lap: Lap) -> dict[str, Extreme]:
    """The largest acceleration each way, by the words of WAYS; none up or down where that was not logged."""
    out = {}
    for way, (axis, sign) in WAYS.items():
        if axis < 2 or lap.has_vertical:
            i = int(np.argmax(sign * lap.acceleration[:, axis]))
            out[way] = Extreme(max(0.0, float(sign * lap.acceleration[i, axis])), float(lap.time[i]), int(lap.rows[i]))
    return out


def sign_agreement(lap: Lap) -> Agreement | None:
    """How far the growth of the logged speed agrees with the longitudinal acceleration, both over swings longer than
    AGREEMENT_PERIOD. None where no speed was logged or it hardly changes, or too little strong braking and speeding up to tell."""
    if lap.speed is None:
        return None
    lap = smoothed(lap, period=AGREEMENT_PERIOD)
    logged, grown = lap.acceleration[:, 0], np.gradient(lap.speed, lap.time)
    strong = np.abs(logged) > STRONG
    seconds = float(strong.sum() * (lap.time[1] - lap.time[0]))
    if seconds < LEAST_SECONDS or np.abs(grown).max() < LEAST_GROWTH:
        return None
    varies = min(np.ptp(logged), np.ptp(grown)) > LEAST_GROWTH
    return Agreement(float(np.corrcoef(logged, grown)[0, 1]) if varies else None, float(np.mean(logged[strong] * grown[strong] > 0)), seconds)


def seconds_beyond(lap: Lap, way: str, *, least: float) -> float:
    """s. How long the lap's acceleration in one of WAYS is above `least` (m/s2)."""
    axis, sign = WAYS[way]
    return float((sign * lap.acceleration[:, axis] > least).sum() * np.median(np.diff(lap.time)))
