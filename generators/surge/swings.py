"""The swing of one vessel's surface past its rest, and that of a cell in it, at every acceleration of an envelope. mm, s."""

import math

import numpy as np

from generators.surge import moments
from generators.surge.amounts import MM3_IN_M3
from generators.surge.cell import LEAST_SHARE
from generators.surge.space import Space

HALF = 1 / 2
"""Of a cell that is full to its lid only the opening is free to swing; it is taken half full, as it is while the pump draws
from it."""

MOST_FULL = 0.98
"""A vessel that is fuller is taken so full for its swing: there must be a surface."""

BAFFLE = "baffle"
"""The piece of a vessel that damps its oil."""


class Swings:
    """The surface of one vessel, and that of its cell, as they swing past their rest at each of the envelope's `points` (n, 3)."""

    def __init__(self, at: Space, points: np.ndarray):
        self.at, self.points, self.rise_time = at, points, at.parameters.driving.rise_time
        how = {"up": at.level, "turned": at.turned, "envelope": at.envelope, "rise_time": self.rise_time}
        self.whole = moments.slosh(at.whole, volume=min(at.oil.volume * MM3_IN_M3, MOST_FULL * at.whole.volume), **how)
        holds = at.cell is not None and at.cell.start > LEAST_SHARE * at.cell.space.volume
        self.cell = moments.slosh(at.cell.space, volume=min(at.cell.start, HALF * at.cell.space.volume), **how) if holds else None
        is_damped = at.cell or any(p.name == BAFFLE for p in at.vessel.part.pieces)
        self.damping = moments.BAFFLED if is_damped else moments.BARE
        self.governing = self.cell or self.whole
        self.factors = {name: [moments.factors_at(s, at.envelope, name) for s in (self.whole, self.governing)] for name in moments.DAMPING}
        self.surfaces = {name: self._surface(points, f) for name, (f, _) in self.factors.items()}

    def _surface(self, points: np.ndarray, factors: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        ups = self.at.ups(moments.swung(points, factors))
        return ups, self.at.one_surface(ups)

    def cover(self, rim: np.ndarray, damping: str) -> np.ndarray:
        """Cover (n,) mm of a rim (j, 3) at the height of the swing."""
        ups, offs = self.surfaces[damping]
        return self._cover(self.points, rim, ups, offs, self.factors[damping][1])

    def _cover(self, points, rim, ups, offs, factors) -> np.ndarray:
        """By the surface outside, or what the cell keeps; by then the pump has drawn for the rise and half a swing."""
        outside = offs - (ups @ rim.T).max(axis=1)
        if self.at.cell is None:
            return outside
        ups = self.at.ups(moments.swung(points, factors))
        after = np.full(len(ups), self.drawn_for)
        return self.at.cell.covers(ups, seconds=after, reach=(ups @ rim.T).max(axis=1), outside=outside)[0]

    @property
    def drawn_for(self) -> float:
        """How long (s) the pump has drawn when the surface is at the height of its swing: for the rise and half a swing."""
        return self.rise_time + float(self.governing.periods.max()) / 2

    def uncovered(self, rim: np.ndarray, overshoot: np.ndarray) -> float:
        """How long (s) the swing bares a rim whose cover (n,) mm at its height is known, at the point where that is longest;
        inf where the rim is bare before it swings."""
        bared = np.flatnonzero(overshoot < 0)
        if not len(bared):
            return 0.0
        points = self.points[bared]
        whole, governing = (f[bared] for f in self.factors[self.damping])

        def cover(shares: np.ndarray) -> np.ndarray:
            ups, offs = self._surface(points, 1 + shares * (whole - 1))
            return self._cover(points, rim, ups, offs, 1 + shares * (governing - 1))

        if (cover(np.zeros(len(bared))) < 0).any():
            return math.inf
        periods = moments.periods_at(self.governing, self.at.envelope)[bared]
        return max(moments.bared_for(share, rise_time=self.rise_time, period=period, damping=self.damping)
                   for share, period in zip(moments.shares_covered(cover, len(bared)), periods, strict=True))
