"""The swing of the surface past its rest: first period of a space, by how much it overshoots, and for how long."""

import math
from collections.abc import Callable

import numpy as np

from generators.driving.envelope import Envelope, ways
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

HALVINGS = 24
CIRCULAR = "circular"
ABOVE_REST = 1 + 1e-9
"""A share of the steady surface that is more than the whole."""


def slosh(space: Skin, *, volume: float, up: np.ndarray, turned: np.ndarray, angles: np.ndarray, rise_time: float) -> Slosh:
    """The first mode of `volume` (mm3) of oil at rest in a space under `up` (3,), for horizontal directions at `angles` (k,)
    rad in the vehicle, whose frame has the space's axes as the columns of `turned` (3, 3)."""
    cut = section(space, up, float(offsets(space, up, volume)[0]))
    along = np.column_stack([ways(angles), np.zeros(len(angles))]) @ turned
    found = [first_period(cut, volume=volume, direction=d, gravity=GRAVITY) for d in along]
    periods = np.array([f.period for f in found])
    lengths = np.array([2 * f.size if f.shape == CIRCULAR else f.size for f in found])
    depth = found[0].depth
    factors = {name: np.array([ramp_factor_within(rise_time, period=p, damping=z) for p in periods]) for name, z in DAMPING.items()}
    return Slosh(found[0].shape, lengths, depth, periods, factors, np.array([floor_bares_at(x, depth=depth) for x in lengths]))


def factors_at(found: Slosh, envelope: Envelope, damping: str) -> np.ndarray:
    """By how much (n,) the surface overshoots at each of the envelope's points; where the steady surface leaves the floor dry
    the oil runs across as one mass, and no more than BASE_BARE_FACTOR is taken."""
    grid = envelope.grid
    pull = GRAVITY + grid[..., 2]
    slope = np.divide(np.linalg.norm(grid[..., :2], axis=3), pull, out=np.full(pull.shape, np.inf), where=pull > 0)
    factor = np.broadcast_to(found.factors[damping], slope.shape)
    capped = np.where(slope > found.floor_bares, np.minimum(factor, BASE_BARE_FACTOR), factor)
    return np.concatenate([capped.ravel(), np.ones(len(envelope.still))])


def swung(points: np.ndarray, factors: np.ndarray) -> np.ndarray:
    """Accelerations (n, 3) whose level part is `factors` (n,) times as large."""
    return points * np.column_stack([factors, factors, np.ones(len(points))])


def uncovered(cover: Callable[[float], float], *, rise_time: float, period: float, damping: str) -> float:
    """How long (s) the swing of a first mode bares a mouth whose `cover` (mm) is known by the share of its way past rest, 0 to 1,
    that the surface has gone. A swing that peaks at another factor than the mode's own, capped or for a period not known well, is
    taken to have its shape. inf where the mouth is bare at rest, 0 where it never is."""
    if cover(0.0) < 0:
        return math.inf
    if cover(1.0) >= 0:
        return 0.0
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if cover(middle) >= 0 else (low, middle)
    peak = float(ramp_factor(rise_time, period=period, damping=DAMPING[damping]))
    return longest_above(max(1 + low * (peak - 1), ABOVE_REST), rise_time, period=period, damping=DAMPING[damping])
