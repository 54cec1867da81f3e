"""What the oil of one vessel does under every acceleration of the envelope. mm, m3 for volumes of oil, m/s2."""

from dataclasses import dataclass, field

import numpy as np

from generators.driving.envelope import Envelope
from generators.oil.surface import Body
from generators.pieces import Mouth
from generators.surge.amounts import Amount
from generators.vessels import Vessel


@dataclass(frozen=True, eq=False)
class Slosh:
    """The first mode of one space at rest for each of the envelope's k directions: `lengths` (k,) mm (a round space's
    diameter), `depth` mm; `periods` (levels, k) s and, by damping name "bare" and "baffled", `factors` (levels, k) by which
    the surface overshoots, under the weight at each of the envelope's levels. `floor_bares` (k,) is the slope at which the
    floor runs dry. `shape` "rectangular" or "circular"."""

    shape: str
    lengths: np.ndarray = field(repr=False)
    depth: float
    periods: np.ndarray = field(repr=False)
    factors: dict[str, np.ndarray] = field(repr=False)
    floor_bares: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class Kept:
    """What a cell holds round its pickup when each acceleration ends: `cover` (n,) mm, `oil` (n,) m3."""

    cover: np.ndarray = field(repr=False)
    oil: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class Cover:
    """One mouth: `open` (n,) mm its cover by the one surface of the whole vessel, and `kept` by what its cell keeps (None
    without a cell); `risen_open` and `risen` (n,) mm what is left of each where oil may climb into the crankcase (None where
    none is over the vessel). `needed` (n,) m3 covers it with one surface, `needed_risen` with the crankcase open to it.
    `bares` (j,) m/s2 is the largest steady acceleration at which it stays covered in each of `bare_angles` (j,) rad, the
    crankcase open where there is one; inf where it never bares. `overshoot` (n,) mm by damping name the cover as the surface
    swings past its rest, `uncovered` s how long a swing bares it where that is longest (inf in a vessel that keeps no oil).
    `parked` (m,) mm, None in such a vessel. `better` is the place x (mm) along the floor at which the mouth would have the
    most cover by one surface, and that least cover (mm); None where there is no such floor."""

    mouth: Mouth
    open: np.ndarray = field(repr=False)
    kept: Kept | None = field(repr=False)
    risen_open: np.ndarray | None = field(repr=False)
    risen: np.ndarray | None = field(repr=False)
    needed: np.ndarray = field(repr=False)
    needed_risen: np.ndarray | None = field(repr=False)
    bares: np.ndarray = field(repr=False)
    bare_angles: np.ndarray = field(repr=False)
    overshoot: dict[str, np.ndarray] = field(repr=False)
    uncovered: float
    parked: np.ndarray | None = field(repr=False)
    better: tuple[float, float] | None

    @property
    def judged(self) -> np.ndarray:
        """Cover (n,) mm that counts: by the cell where there is one."""
        return self.open if self.kept is None else self.kept.cover

    @property
    def worst(self) -> int:
        """Which of the points has the least cover."""
        return int(np.argmin(self.judged))


@dataclass(frozen=True, eq=False)
class Surge:
    """The oil of `vessel` at each of the envelope's points: `ups` (n, 3) unit vectors square to its surface, in the vessel's
    frame; `pulls` (n,) m/s2 weight and acceleration together; `offsets` (n,) mm of the one surface of the whole vessel with
    `oil` in it. `lies` is the oil where the first mouth, or the best covered of several, fares worst, at the point `worst`.
    `to_swing` (n,) mm from the surface up to the crank's sweep, None where there is none. `slosh` is of the whole vessel and
    `cell_slosh` of its cell; `damping` names that which counts; `drawn_for` s the pump has drawn by the height of a swing.
    `seconds` (n,) s the accelerations last."""

    vessel: Vessel
    envelope: Envelope
    turned: np.ndarray = field(repr=False)
    ups: np.ndarray = field(repr=False)
    pulls: np.ndarray = field(repr=False)
    offsets: np.ndarray = field(repr=False)
    seconds: np.ndarray = field(repr=False)
    oil: Amount
    parked_oil: Amount | None
    parked_points: np.ndarray = field(repr=False)
    covers: tuple[Cover, ...]
    worst: int
    lies: Body
    to_swing: np.ndarray | None = field(repr=False)
    slosh: Slosh
    cell_slosh: Slosh | None
    damping: str
    drawn_for: float

    @property
    def is_emptied(self) -> bool:
        """Whether the vessel keeps no oil: pumps draw from it all that falls into it, and air."""
        return self.parked_oil is None

    @property
    def is_told_together(self) -> bool:
        """Whether it says something how its mouths fare together."""
        return self.is_emptied or len(self.covers) > 1

    @property
    def has_uncounted_cell(self) -> bool:
        """Whether a cell stands in it of which nothing is known, for it is not known what is drawn from it."""
        return bool(self.vessel.compartments) and self.covers[0].kept is None

    @property
    def name(self) -> str:
        """The vessel's."""
        return self.vessel.name

    @property
    def best(self) -> np.ndarray:
        """Cover (n,) mm of the best covered mouth at each point."""
        return np.max([c.judged for c in self.covers], axis=0)

    @property
    def serving(self) -> np.ndarray:
        """Which mouth (n,) is the best covered at each point."""
        return np.argmax([c.judged for c in self.covers], axis=0)

    @property
    def gathered(self) -> np.ndarray:
        """Oil (n,) m3 that gathers at each point before any mouth is covered by it, with the crankcase open to it where one is
        over the vessel."""
        return np.min([c.needed if c.needed_risen is None else c.needed_risen for c in self.covers], axis=0)
