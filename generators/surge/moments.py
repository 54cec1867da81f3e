"""The swing of the surface past its rest: first period of a space, by how much it overshoots, and for how long."""

from collections.abc import Callable

import numpy as np

from generators.driving.envelope import LEVELS, Envelope, ways
from generators.oil.section import first_period, section
from generators.oil.slosh import (
    BAFFLED_DAMPING,
    BARE_DAMPING,
    BASE_BARE_FACTOR,
    floor_bares_at,
    longest_above,
    ramp_factor,
    ramp_factor_within,
)
from generators.oil.surface import Skin, offsets
from generators.surge.record import Slosh
from generators.units import GRAVITY

BARE, BAFFLED = "bare", "baffled"
DAMPING = {BARE: BARE_DAMPING, BAFFLED: min(BAFFLED_DAMPING)}
"""Share of critical damping: of partitions the lower of what is usual, which overshoots more."""

CIRCULAR = "circular"
ABOVE_REST = 1 + 1e-9
"""A share of the steady surface that is more than the whole."""

LEVEL = LEVELS.index("level")


def slosh(space: Skin, *, volume: float, up: np.ndarray, turned: np.ndarray, envelope: Envelope, rise_time: float) -> Slosh:
    """The first mode of `volume` (mm3) of oil at rest in a space under `up` (3,), for the envelope's horizontal directions in the
    vehicle, whose frame has the space's axes as the columns of `turned` (3, 3)."""
    cut = section(space, up, float(offsets(space, up, volume)[0]))
    along = np.column_stack([ways(envelope.angles), np.zeros(len(envelope.angles))]) @ turned
    found = [first_period(cut, volume=volume, direction=d, gravity=GRAVITY) for d in along]
    periods = np.array([f.period for f in found]) * np.sqrt(GRAVITY / weights(envelope))[:, None]
    lengths = np.array([2 * f.size if f.shape == CIRCULAR else f.size for f in found])
    depth = found[0].depth
    factors = {name: np.array([[ramp_factor_within(rise_time, period=p, damping=z) for p in row] for row in periods])
               for name, z in DAMPING.items()}
    return Slosh(found[0].shape, lengths, depth, periods, factors, np.array([floor_bares_at(x, depth=depth) for x in lengths]))


LEAST_WEIGHT = 0.1 * GRAVITY
"""m/s2. Under less weight than this oil hardly swings in the time that a crest lasts."""


def weights(envelope: Envelope) -> np.ndarray:
    """Weight with what comes from crest or dip, m/s2, at each of the envelope's levels: the least there, under which oil swings
    slowest and overshoots most. The period goes with its root."""
    return np.maximum(GRAVITY + envelope.grid[..., 2].min(axis=(1, 2)), LEAST_WEIGHT)


def factors_at(found: Slosh, envelope: Envelope, damping: str) -> np.ndarray:
    """By how much (n,) the surface overshoots at each of the envelope's points; where the steady surface leaves the floor dry
    the oil runs across as one mass, and no more than BASE_BARE_FACTOR is taken, nor less than what leads up to there: harder
    driving swings no less far."""
    grid = envelope.grid
    pull = GRAVITY + grid[..., 2]
    slope = np.divide(np.linalg.norm(grid[..., :2], axis=3), pull, out=np.full(pull.shape, np.inf), where=pull > 0)
    factor = np.broadcast_to(found.factors[damping][:, None], slope.shape)
    bares = np.broadcast_to(found.floor_bares, slope.shape)
    led_up = factor * np.divide(bares, slope, out=np.ones(slope.shape), where=slope > bares)
    capped = np.where(slope > bares, np.maximum(np.minimum(factor, BASE_BARE_FACTOR), led_up), factor)
    return np.concatenate([capped.ravel(), np.ones(len(envelope.still))])


def periods_at(found: Slosh, envelope: Envelope) -> np.ndarray:
    """Period (n,) s at each of the envelope's points; the longest where there is no direction."""
    grid = np.broadcast_to(found.periods[:, None], envelope.grid.shape[:3])
    return np.concatenate([grid.ravel(), np.full(len(envelope.still), found.periods.max())])


def swung(points: np.ndarray, factors: np.ndarray) -> np.ndarray:
    """Accelerations (n, 3) whose level part is `factors` (n,) times as large."""
    return points * np.column_stack([factors, factors, np.ones(len(points))])


HALVINGS = 14


def shares_covered(cover: Callable[[np.ndarray], np.ndarray], count: int) -> np.ndarray:
    """How far (count,) of its way past rest, 0 to 1, each of so many surfaces goes before it bares a mouth, whose `cover` (mm) is
    known by that share; each is covered at 0 and bare at 1."""
    low, high = np.zeros(count), np.ones(count)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        wet = cover(middle) >= 0
        low, high = np.where(wet, middle, low), np.where(wet, high, middle)
    return low


def bared_for(share: float, *, rise_time: float, period: float, damping: str) -> float:
    """How long (s) at a stretch the swing of a first mode is farther past its rest than that share, 0 to 1, of its way. A swing
    that peaks at another factor than the mode's own, capped or for a period not known well, is taken to have its shape."""
    peak = float(ramp_factor(rise_time, period=period, damping=DAMPING[damping]))
    return longest_above(max(1 + share * (peak - 1), ABOVE_REST), rise_time, period=period, damping=DAMPING[damping])
