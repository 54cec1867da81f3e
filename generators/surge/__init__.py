"""Where the oil of each vessel settles under every acceleration that the vehicle can pull, and whether its pickups and
outlets stay covered. Computes; judges nothing."""

from collections.abc import Mapping, Sequence

import numpy as np

from generators import crank
from generators.crank import SweptRegion
from generators.driving.envelope import Envelope, parked, up_of, ways
from generators.oil.demand import pump_draw
from generators.oil.surface import body_below, offsets, skin, volumes_below
from generators.parameters import Vehicle
from generators.parts.gate_baffle.flow import feed_of, heads_of
from generators.pieces import Mouth, Part
from generators.surge import amounts, moments
from generators.surge.cell import Cell, seconds
from generators.surge.record import Cover, Kept, Surge
from generators.units import GRAVITY
from generators.vehicle import engine_turned
from generators.vessels import CELL, Vessel

__all__ = ["Cover", "Surge", "surges"]

MM, MM3_IN_M3 = 1e-3, 1e9

BARE_STEP, BARE_MOST = 0.1 * GRAVITY, 3.0 * GRAVITY
"""m/s2. The acceleration that bares a mouth is looked for in such steps, up to more than tyres give without wings."""

EVERY = 3
"""It is looked for in one of so many of the envelope's directions."""

HALVINGS = 12

PLACE_STEP_MM = 5.0
"""Places along a floor that are tried for a mouth are so far apart."""

ALIKE_MM = 0.01
"""Places whose covers differ by no more are as good as each other: the nearest is told."""

HALF = 1 / 2
"""Of a cell that is full to its lid only the opening is free to swing; it is taken half full, as it is while the pump draws from it."""

BAFFLE = "baffle"
"""The piece of a vessel that damps its oil."""


def surges(parameters, envelope: Envelope, held: Sequence[Vessel], guests: Mapping[str, Part], region: SweptRegion) -> tuple[Surge, ...]:
    """One Surge for each vessel with a mouth in it; `guests` are the parts that stand in vessels, by name."""
    return tuple(_Space(parameters, envelope, v, guests, region).surge() for v in held if v.part.mouths)


class _Space:
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
        self.cell = self._cell(guests)

    def ups(self, points: np.ndarray) -> np.ndarray:
        """Unit vectors (n, 3) square to the surface, in the vessel's frame, for accelerations (n, 3) of the vehicle. Where
        weight and acceleration cancel there is no surface: taken as if upright."""
        pulls = up_of(points)
        size = np.linalg.norm(pulls, axis=1)
        pulls[size < WEIGHTLESS] = (0.0, 0.0, 1.0)
        return pulls / np.linalg.norm(pulls, axis=1)[:, None] @ self.turned

    def _cell(self, guests: Mapping[str, Part]) -> Cell | None:
        """The cell round the pickup, where one stands in the vessel and it is known what is drawn from it."""
        inside = [c for c in self.vessel.compartments if c.name == CELL]
        walled = [guests[n] for n in self.vessel.guests if n in guests and guests[n].compartment is not None]
        draw = pump_draw(self.parameters)
        if not inside or not walled or draw is None:
            return None
        space = skin(inside[0].oil_space.vertices, inside[0].oil_space.faces)
        heads = heads_of(walled[0].dimensions, feed_of(self.parameters))
        at_rest = float(offsets(self.whole, self.level, self.oil.volume * MM3_IN_M3)[0]) - heads.at_rest.head / MM
        start = float(volumes_below(space, self.level, at_rest)[0])
        return Cell(space, walled[0].brim, start, draw * MM3_IN_M3, heads.worst)

    # ------------------------------------------------------------ cover

    def open_cover(self, ups: np.ndarray, reach: np.ndarray) -> np.ndarray:
        """Cover (n,) mm by one surface of the whole vessel."""
        return offsets(self.whole, ups, self.oil.volume * MM3_IN_M3) - reach

    def cover(self, points: np.ndarray, rim: np.ndarray, lasting: np.ndarray) -> np.ndarray:
        """Cover (n,) mm that counts, of a rim (j, 3), where accelerations (n, 3) last so long (n,) s."""
        ups = self.ups(points)
        reach = (ups @ rim.T).max(axis=1)
        open_ = self.open_cover(ups, reach)
        return open_ if self.cell is None else self.cell.covers(ups, seconds=lasting, reach=reach, outside=open_)[0]

    def is_covered(self, points: np.ndarray, rim: np.ndarray, lasting: np.ndarray) -> np.ndarray:
        """Whether (n,) that cover is not less than nothing; quicker than to find it."""
        ups = self.ups(points)
        reach = (ups @ rim.T).max(axis=1)
        head = self.cell.head if self.cell else 0.0
        found = volumes_below(self.whole, ups, reach + head) <= self.oil.volume * MM3_IN_M3
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

    # ------------------------------------------------------------ the whole

    def surge(self) -> Surge:
        """Everything about this vessel."""
        points, driving = self.envelope.points, self.parameters.driving
        ups, lasting = self.ups(points), seconds(self.envelope.is_brief, driving.hold)
        offs = offsets(self.whole, ups, self.oil.volume * MM3_IN_M3)
        how = {"up": self.level, "turned": self.turned, "angles": self.envelope.angles, "rise_time": driving.rise_time}
        swing = moments.slosh(self.whole, volume=self.oil.volume * MM3_IN_M3, **how)
        in_cell = moments.slosh(self.cell.space, volume=min(self.cell.start, HALF * self.cell.space.volume), **how) if self.cell else None
        damping = moments.BAFFLED if self.cell or any(p.name == BAFFLE for p in self.vessel.part.pieces) else moments.BARE
        covers = tuple(self._cover_of(m, points, ups, offs, lasting, swing, in_cell, damping) for m in self.vessel.part.mouths)
        worst = int(np.argmin(np.max([c.judged for c in covers], axis=0)))
        return Surge(
            self.vessel, self.envelope, self.turned, ups, np.linalg.norm(up_of(points), axis=1), offs, lasting, self.oil, self.parked_oil,
            parked(self.slope), covers, worst, body_below(self.whole, ups[worst], offs[worst]), self._to_swing(ups, offs), swing,
            in_cell, damping)

    def _cover_of(self, mouth: Mouth, points, ups, offs, lasting, swing, in_cell, damping: str) -> Cover:
        rim = np.asarray(mouth.rim, float)
        reach = (ups @ rim.T).max(axis=1)
        kept = None
        if self.cell:
            cover, volume = self.cell.covers(ups, seconds=lasting, reach=reach, outside=offs - reach)
            kept = Kept(cover, volume / MM3_IN_M3)
        overshoot = {name: self._overshoot(rim, points, in_cell or swing, name) for name in moments.DAMPING}
        return Cover(
            mouth, offs - reach, kept, volumes_below(self.whole, ups, reach) / MM3_IN_M3, self.bares(rim), self.envelope.angles[::EVERY],
            overshoot, self._uncovered(rim, points, in_cell or swing, damping, overshoot[damping]), self._parked(rim),
            self._better(rim, ups, offs))

    def _overshoot(self, rim: np.ndarray, points: np.ndarray, found, damping: str) -> np.ndarray:
        """Cover (n,) mm as the surface swings past its rest; by then the pump has drawn for the rise and half a swing."""
        factors = moments.factors_at(found, self.envelope, damping)
        return self.cover(moments.swung(points, factors), rim, np.full(len(points), self._swung_after(found)))

    def _swung_after(self, found) -> float:
        return self.parameters.driving.rise_time + float(found.periods.max()) / 2

    def _uncovered(self, rim: np.ndarray, points: np.ndarray, found, damping: str, overshoot: np.ndarray) -> float:
        worst, after = int(np.argmin(overshoot)), np.array([self._swung_after(found)])
        period = found.periods[worst % len(found.periods)] if worst < self.envelope.grid[..., 0].size else float(found.periods.max())
        return moments.uncovered(
            lambda at: float(self.cover(at, rim, after)[0]), point=points[worst], period=float(period), damping=damping,
            factor=float(moments.factors_at(found, self.envelope, damping)[worst]), rise_time=self.parameters.driving.rise_time)

    def _parked(self, rim: np.ndarray) -> np.ndarray | None:
        if self.parked_oil is None:
            return None
        ups = self.ups(parked(self.slope))
        return offsets(self.whole, ups, self.parked_oil.volume * MM3_IN_M3) - (ups @ rim.T).max(axis=1)

    def _better(self, rim: np.ndarray, ups: np.ndarray, offs: np.ndarray) -> tuple[float, float] | None:
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

    def _to_swing(self, ups: np.ndarray, offs: np.ndarray) -> np.ndarray | None:
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


WEIGHTLESS = 1e-6 * GRAVITY
"""m/s2. Less than this is no weight."""
