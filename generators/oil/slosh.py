"""How long oil takes to swing from wall to wall, and how far it overshoots when the acceleration comes on. SI: m, s, m/s2.

      1 + overshoot - - - - .-.                  one mode, static answer 1:
                           /   \\      .-.             x'' + 2 zeta w x' + w2 x = w2 f(t),   w = 2 pi / T
      1 - - - - - - - - - / - - \\- - / - '- -    f rises evenly over the rise time and is then held at 1. It never falls
                        .'       '-'             during the rise, and after it is a free swing about 1: so the first peak
      0 ________..--'` |                         is the highest, and closed in form.
                |<---->| rise time

Linear waves: small against the depth, which shallow oil (depth under a tenth of the length) leaves for travelling bores; the
period is then good as a guide only. `gravity` is the length of weight and acceleration together.
"""

import math

import numpy as np
from scipy.optimize import brentq

from generators.oil.gates import GRAVITY

CIRCLE_ROOT = 1.8411837813406593
"""First root of J1' (Bessel): the first lateral mode in a round tank."""

PERIOD_SPREAD = 0.15
"""Share either way by which the period of a tank of irregular plan may be off when a rectangle of equal area stands for it
(common practice)."""

BARE_DAMPING = 0.03
"""Damping ratio of oil in a tank without baffles (common practice). The thinnest hot oil in a smooth round tank has a third
of it (Mikishev and Dorozhkin), which makes a step 3 % higher."""

BAFFLED_DAMPING = (0.10, 0.20)
"""Damping ratio of oil between partitions or under a tray, least and most (common practice)."""

BASE_BARE_FACTOR = 1.3
"""Ratio of peak to static answer once part of the floor is bare: the oil then runs as a mass and no longer swings as a wave
(engineering judgement; from memory, unverified)."""

SHORTEST_RISE = 1e-5
"""rad of the mode's phase: a faster rise is a step, whose peak this one meets to 1e-10."""

PERIODS_TRIED = 401
"""Periods over the spread among which the worst is sought: it is met to 1e-4 for rises up to 30 periods."""


# periods --------------------------------------------------------------------------------------------------------------


def rectangular_period(
    length: float | np.ndarray, *, depth: float | np.ndarray, gravity: float | np.ndarray = GRAVITY, mode: int = 1
) -> float | np.ndarray:
    """Period (s) of a mode in a rectangular tank `length` m along the motion with oil `depth` m deep: w2 = g k tanh(k h),
    k = mode pi / L (linear, inviscid waves; Abramson, NASA SP-106, 1966, chapter 2, as others quote it). A level
    acceleration drives the odd modes. ValueError unless all are more than 0."""
    _require_waves(("length", length), ("depth", depth), ("gravity", gravity), ("mode", mode))
    return _period(mode * math.pi / length, depth, gravity)


def circular_period(
    radius: float | np.ndarray, *, depth: float | np.ndarray, gravity: float | np.ndarray = GRAVITY
) -> float | np.ndarray:
    """Period (s) of the first mode in an upright round tank of `radius` m with oil `depth` m deep: w2 = g k tanh(k h), k =
    CIRCLE_ROOT / R (same source as `rectangular_period`). ValueError unless all are more than 0."""
    _require_waves(("radius", radius), ("depth", depth), ("gravity", gravity))
    return _period(CIRCLE_ROOT / radius, depth, gravity)


def _period(wave, depth, gravity):
    return 2 * math.pi / np.sqrt(gravity * wave * np.tanh(wave * depth))


def floor_bares_at(length: float, *, depth: float) -> float:
    """Slope of the surface, a ratio, at which the floor of a box `length` m along it with oil `depth` m deep at rest begins
    to run dry: 2 h / L (half the length falls by the whole depth). BASE_BARE_FACTOR holds beyond."""
    return 2 * depth / length


# overshoot ------------------------------------------------------------------------------------------------------------


def ramp_response(
    time: float | np.ndarray, rise_time: float, *, period: float | np.ndarray, damping: float
) -> float | np.ndarray:
    """The mode's answer at `time` s after an acceleration begins to rise, as a ratio of its static answer: (r(t) - r(t -
    t_r)) / t_r with r the integral of the step's answer (Duhamel). ValueError as from `ramp_factor`."""
    turn = _turn(rise_time, period, damping)
    phase = 2 * math.pi * np.asarray(time) / period
    return (_ramped(phase, damping) - _ramped(phase - turn, damping)) / turn


def ramp_factor(
    rise_time: float | np.ndarray, *, period: float | np.ndarray, damping: float
) -> float | np.ndarray:
    """Highest answer of a mode of `period` s to an acceleration that rises evenly over `rise_time` s and is held, as a ratio
    of its static answer. Exact: a step (0 s) gives 1 + exp(-zeta pi / sqrt(1 - zeta2)), no damping 1 + |sin x| / x with
    x = pi t_r / T. ValueError unless rise >= 0, period > 0 and damping (a ratio of the critical) from 0 to less than 1."""
    return 1 + _first_peak(*_ramp_end(_turn(rise_time, period, damping), damping), damping)[1]


def ramp_factor_within(
    rise_time: float, *, period: float, damping: float, spread: float = PERIOD_SPREAD
) -> float:
    """The largest `ramp_factor` (a ratio) of all periods within a share `spread` of `period` s: a rise that just fits the
    period looks harmless and is not to be relied on. ValueError unless 0 <= spread < 1."""
    if not 0 <= spread < 1:
        raise ValueError(f"a spread of the period of {spread:g}: wants 0 to less than 1")
    periods = period / np.linspace(1 / (1 + spread), 1 / (1 - spread), PERIODS_TRIED)
    return float(np.max(ramp_factor(rise_time, period=periods, damping=damping)))


def longest_above(share: float, rise_time: float, *, period: float, damping: float) -> float:
    """Longest time (s) at a stretch during which the answer to a rise over `rise_time` s, then held, is more than `share` of
    the static one: that of its first swing past it, for each later one is lower. ValueError unless share > 1, and as from
    `ramp_factor`."""
    if not share > 1:
        raise ValueError(f"a share of {share:g} of the static answer: wants more than 1, about which the oil settles")
    turn = _turn(rise_time, period, damping)
    risen, rising = _ramp_end(turn, damping)
    when, peak = _first_peak(risen, rising, damping)
    if peak <= share - 1:
        return 0.0
    slow = _slowing(damping)
    before, after = (_passing((share - 1) / peak, damping / slow, way) / slow for way in (-1, 1))
    if risen > share - 1:
        before = turn + when - brentq(lambda phase: _ramped(phase, damping) / turn - share, 0, turn)
    return float((before + after) * period / (2 * math.pi))


# the mode in its own time: phases are w t, rad ------------------------------------------------------------------------


def _turn(rise_time, period, damping):
    """Phase over which the acceleration rises; checks all three."""
    _require_waves(("period", period))
    if not np.all(np.isfinite(rise_time)) or np.any(np.asarray(rise_time) < 0):
        raise ValueError(f"a rise time of {rise_time} s: wants 0 or more")
    if not 0 <= damping < 1:
        raise ValueError(f"a damping ratio of {damping:g}: wants 0 to less than 1, beyond which nothing swings")
    return np.maximum(2 * math.pi * np.asarray(rise_time, float) / period, SHORTEST_RISE)


def _slowing(damping: float) -> float:
    """Ratio of the damped to the undamped frequency."""
    return math.sqrt(1 - damping**2)


def _stepped(phase, damping):
    """Answer to a step, from rest."""
    slow = _slowing(damping)
    return 1 - np.exp(-damping * phase) * (np.cos(slow * phase) + damping / slow * np.sin(slow * phase))


def _ramped(phase, damping):
    """Answer to a ramp of 1 a radian: the integral of `_stepped` from 0; nothing before."""
    phase, slow = np.maximum(phase, 0.0), _slowing(damping)
    swing = 2 * damping * np.cos(slow * phase) + (2 * damping**2 - 1) / slow * np.sin(slow * phase)
    return phase - 2 * damping + np.exp(-damping * phase) * swing


def _ramp_end(turn, damping):
    """Answer less 1, and its rate, when the rise ends. The rate is never negative: a step's answer is not."""
    return _ramped(turn, damping) / turn - 1, np.maximum(_stepped(turn, damping), 0.0) / turn


def _first_peak(risen, rising, damping):
    """Phase after the rise at which the free swing first stands still, and its height there. y'2 + 2 zeta y y' + y2 falls as
    exp(-2 zeta phase), and there it is y2."""
    slow = _slowing(damping)
    when = np.arctan2(slow * rising, damping * rising + risen) / slow
    swing = np.sqrt(np.maximum(rising**2 + 2 * damping * rising * risen + risen**2, 0.0))
    return when, np.exp(-damping * when) * swing


def _passing(level, decay, way):
    """Phase (damped) before (`way` -1) or after (1) a peak of height 1 at which the swing passes `level`, under 1:
    exp(-decay p) (cos p + decay sin p) falls all the way from 0 to half a turn either way."""
    return brentq(lambda half: math.exp(-way * decay * half) * (math.cos(half) + way * decay * math.sin(half)) - level, 0, math.pi)


def _require_waves(*sizes: tuple) -> None:
    for name, size in sizes:
        if not (np.all(np.isfinite(size)) and np.all(np.asarray(size) > 0)):
            raise ValueError(f"oil that swings with a {name} of {size}: wants more than 0")
