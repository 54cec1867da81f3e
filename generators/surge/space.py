"""One vessel made ready for many accelerations: where its oil settles, and what covers a rim in it. mm, mm3."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from generators import crank
from generators.crank import SweptRegion
from generators.driving.envelope import Envelope, parked, up_of, ways
from generators.oil.demand import pump_draw
from generators.oil.surface import offsets, skin, volumes_below
from generators.parameters import Vehicle
from generators.parts.gate_baffle.flow import feed_of, heads_of, leak_of
from generators.pieces import Part
from generators.surge import amounts
from generators.surge.amounts import MM3_IN_M3
from generators.surge.cell import Cell
from generators.surge.crankcase import with_crankcase
from generators.units import GRAVITY
from generators.vehicle import engine_turned
from generators.vessels import CELL, Vessel

MM = 1e-3
"""m."""

BARE_STEP, BARE_MOST = 0.1 * GRAVITY, 3.0 * GRAVITY
"""m/s2. The acceleration that bares a mouth is looked for in such steps, up to more than tyres give without wings."""

EVERY = 3
"""It is looked for in one of so many of the envelope's directions."""

HALVINGS = 12

PLACE_STEP_MM = 5.0
"""Places along a floor that are tried for a mouth are so far apart."""

ALIKE_MM = 0.01
"""Places whose covers differ by no more are as good as each other: the nearest is told."""

WEIGHTLESS = 1e-6 * GRAVITY
"""m/s2. Less than this is no weight."""


class Space:
    """One vessel made ready for many accelerations."""

    def __init__(self, parameters, envelope: Envelope, vessel: Vessel, guests: Mapping[str, Part], region: SweptRegion):
        self.parameters, self.envelope, self.vessel, self.region = parameters, envelope, vessel, region
        self.whole = skin(vessel.oil_space.vertices, vessel.oil_space.faces)
        vehicle = parameters.vehicle or Vehicle()
        self.slope = vehicle.parked_slope
        self.turned = np.eye(3) if vessel.part.own_frame else engine_turned(vehicle)
        self.oil = amounts.running(parameters, vessel, self.whole)
        self.parked_oil = amounts.parked(vessel, self.whole)
        self.level = self.ups(np.zeros((1, 3)))[0]
        self.risen = None if vessel.part.own_frame else with_crankcase(vessel.oil_space, up_to=region.radius)
        self.cell = self._cell(guests)

    def ups(self, points: np.ndarray) -> np.ndarray:
        """Unit vectors (n, 3) square to the surface, in the vessel's frame, for accelerations (n, 3) of the vehicle. Where
        weight and acceleration cancel there is no surface: the oil is taken to be at the roof, from where it covers nothing."""
        pulls = up_of(points)
        size = np.linalg.norm(pulls, axis=1)
        pulls[size < WEIGHTLESS] = (0.0, 0.0, -1.0)
        return pulls / np.linalg.norm(pulls, axis=1)[:, None] @ self.turned

    def _cell(self, guests: Mapping[str, Part]) -> Cell | None:
        """The cell round the pickup, where one stands in the vessel and it is known what is drawn from it."""
        inside = [c for c in self.vessel.compartments if c.name == CELL]
        walled = [guests[n] for n in self.vessel.guests if n in guests and guests[n].compartment is not None]
        draw = pump_draw(self.parameters)
        if not inside or not walled or draw is None:
            return None
        space = skin(inside[0].oil_space.vertices, inside[0].oil_space.faces)
        made = walled[0].dimensions
        feed = feed_of(self.parameters)
        at_rest = float(offsets(self.whole, self.level, self.oil.volume * MM3_IN_M3)[0]) - heads_of(made, feed).at_rest.head / MM
        start = float(volumes_below(space, self.level, at_rest)[0])
        hardest = float(np.linalg.norm(up_of(self.envelope.points), axis=1).max())
        return Cell(space, walled[0].brim, start, (draw + leak_of(made, pull=hardest)) * MM3_IN_M3, self._head(made, feed))

    def _head(self, made, feed) -> float:
        """What the gates of a cell take (mm) where the hardest of the driving presses those of one wall shut; more than the
        vessel is high where it holds them so firmly that no steady flow lifts them."""
        try:
            return heads_of(made, replace(feed, cornering=max(feed.cornering, float(self.envelope.reach.max())))).worst
        except ValueError:
            return self.whole.size

    # ------------------------------------------------------------ cover

    def one_surface(self, ups: np.ndarray) -> np.ndarray:
        """Offsets (n,) mm of the one surface of the whole vessel."""
        return offsets(self.whole, ups, self.oil.volume * MM3_IN_M3)

    def risen_surface(self, ups: np.ndarray) -> np.ndarray | None:
        """The same where oil may climb into the crankcase; None where there is none over the vessel."""
        return None if self.risen is None else offsets(self.risen, ups, self.oil.volume * MM3_IN_M3)

    def is_covered(self, points: np.ndarray, rim: np.ndarray, lasting: np.ndarray) -> np.ndarray:
        """Whether (n,) the cover of a rim (j, 3) is not less than nothing, with the crankcase over it free to take oil, where
        accelerations (n, 3) last so long (n,) s; quicker than to find it."""
        ups = self.ups(points)
        reach = (ups @ rim.T).max(axis=1)
        head = self.cell.head if self.cell else 0.0
        found = volumes_below(self.risen or self.whole, ups, reach + head) <= self.oil.volume * MM3_IN_M3
        if self.cell:
            found |= self.cell.is_covered(ups, seconds=lasting, reach=reach)
        return found

    def bares(self, rim: np.ndarray) -> np.ndarray:
        """The largest steady acceleration (j,) m/s2, level, at which a rim stays covered in every EVERY-th direction; inf
        where it stays so up to BARE_MOST."""
        towards = np.column_stack([ways(self.envelope.angles[::EVERY]), np.zeros(len(self.envelope.angles[::EVERY]))])
        hold = self.parameters.driving.hold

        def stays(which: np.ndarray, size: np.ndarray) -> np.ndarray:
            return self.is_covered(towards[which] * size[:, None], rim, np.full(len(which), hold))

        low, high = np.zeros(len(towards)), np.full(len(towards), np.inf)
        left = np.flatnonzero(stays(np.arange(len(towards)), low))
        high[np.setdiff1d(np.arange(len(towards)), left)] = 0.0
        for size in np.arange(BARE_STEP, BARE_MOST + BARE_STEP / 2, BARE_STEP):
            dry = ~stays(left, np.full(len(left), size)) if len(left) else np.zeros(0, bool)
            high[left[dry]], left = size, left[~dry]
            low[left] = size
        between = np.flatnonzero(np.isfinite(high) & (high > 0))
        for _ in range(HALVINGS if len(between) else 0):
            middle = (low[between] + high[between]) / 2
            wet = stays(between, middle)
            low[between[wet]], high[between[~wet]] = middle[wet], middle[~wet]
        return np.where(np.isfinite(high), low, np.inf)

    # ------------------------------------------------------------ parked, elsewhere, beside the crank

    def parked_cover(self, rim: np.ndarray) -> np.ndarray | None:
        """Cover (m,) mm with the vehicle parked on its slope, whichever way it falls; None in a vessel that keeps no oil."""
        if self.parked_oil is None:
            return None
        ups = self.ups(parked(self.slope))
        return offsets(self.whole, ups, self.parked_oil.volume * MM3_IN_M3) - (ups @ rim.T).max(axis=1)

    def better(self, rim: np.ndarray, ups: np.ndarray, offs: np.ndarray) -> tuple[float, float] | None:
        """Where along a deep pan's floor the mouth would have the most cover: x, and the least cover there, mm."""
        inside = getattr(self.vessel.part.dimensions, "inside", None)
        if inside is None:
            return None
        middle, half = float(rim[:, 0].mean()), float(np.ptp(rim[:, 0])) / 2
        low, high = inside.floor_x[0] + half, inside.floor_x[1] - half
        if not low <= middle <= high:
            return None
        heights = (ups @ rim.T).max(axis=1)
        places = np.array([middle, *np.arange(low, high, PLACE_STEP_MM)])
        least = np.array([(offs - heights - ups[:, 0] * (x - middle)).min() for x in places])
        best = min(np.flatnonzero(least >= least.max() - ALIKE_MM), key=lambda i: abs(places[i] - middle))
        return float(places[best]), float(least[best])

    def to_swing(self, ups: np.ndarray, offs: np.ndarray) -> np.ndarray | None:
        """From the surface up to what the crank sweeps within the vessel, (n,) mm, negative where it dips; None where nothing
        is swept there."""
        if self.vessel.part.own_frame:
            return None
        (x0, _, _), (x1, _, top) = self.vessel.oil_space.bounds
        corners = [np.column_stack([np.full(len(p), x), p]) for b in crank.bands_between(self.region, x0, x1)
                   for p in (crank.slab_points(crank.outline(b), -np.inf, top),)
                   for x in (max(b.x0, x0), min(b.x1, x1))]
        points = np.concatenate([*corners, np.zeros((0, 3))])
        return (ups @ points.T).min(axis=1) - offs if len(points) else None
