"""The swing of one vessel's surface past its rest, and that of a cell in it, at every acceleration of an envelope. mm, s."""

import numpy as np

from generators.surge import moments
from generators.surge.space import MM3_IN_M3, Space

HALF = 1 / 2
"""Of a cell that is full to its lid only the opening is free to swing; it is taken half full, as it is while the pump draws from it."""

MOST_FULL = 0.98
"""A vessel that is fuller is taken so full for its swing: there must be a surface."""

BAFFLE = "baffle"
"""The piece of a vessel that damps its oil."""


class Swings:
    """The surface of one vessel, and that of its cell, as they swing past their rest at each of the envelope's `points` (n, 3)."""

    def __init__(self, at: Space, points: np.ndarray):
        self.at, self.points, self.rise_time = at, points, at.parameters.driving.rise_time
        how = {"up": at.level, "turned": at.turned, "angles": at.envelope.angles, "rise_time": self.rise_time}
        self.whole = moments.slosh(at.whole, volume=min(at.oil.volume * MM3_IN_M3, MOST_FULL * at.whole.volume), **how)
        self.cell = moments.slosh(at.cell.space, volume=min(at.cell.start, HALF * at.cell.space.volume), **how) if at.cell else None
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
        after = np.full(len(ups), self.rise_time + float(self.governing.periods.max()) / 2)
        return self.at.cell.covers(ups, seconds=after, reach=(ups @ rim.T).max(axis=1), outside=outside)[0]

    def uncovered(self, rim: np.ndarray, i: int) -> float:
        """How long (s) the swing bares a rim at the point `i`."""
        point = self.points[i:i + 1]
        whole, governing = (f[i:i + 1] for f in self.factors[self.damping])

        def cover(share: float) -> float:
            ups, offs = self._surface(point, 1 + share * (whole - 1))
            return float(self._cover(point, rim, ups, offs, 1 + share * (governing - 1))[0])

        return moments.uncovered(cover, rise_time=self.rise_time, period=float(self.governing.periods[i % len(self.governing.periods)]),
                                 damping=self.damping)
