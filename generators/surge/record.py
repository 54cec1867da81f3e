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
    """The first mode of one space at rest for each of the envelope's k directions: `lengths` (k,) mm (a round space's diameter),
    `depth` mm, `periods` (k,) s; `factors` (k,) by damping name "bare" and "baffled", by how much the surface overshoots. `floor_bares` (k,) is the slope
    at which the floor runs dry. `shape` "rectangular" or "circular"."""

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
    without a cell). `needed` (n,) m3 covers it with one surface. `bares` (j,) m/s2 is the largest steady acceleration at which it stays
    covered in each of `bare_angles` (j,) rad, inf where it never bares. `overshoot` (n,) mm by damping name the cover as the
    surface swings past its rest, `uncovered` s how long the swing bares it at the worst of them. `parked` (m,) mm, None in a vessel
    that keeps no oil. `better` is the place x (mm) along the floor at which the mouth would have the most cover by one surface, and
    that least cover (mm); None where there is no such floor."""

    mouth: Mouth
    open: np.ndarray = field(repr=False)
    kept: Kept | None = field(repr=False)
    needed: np.ndarray = field(repr=False)
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
    frame; `pulls` (n,) m/s2 weight and acceleration together; `offsets` (n,) mm of the one surface of the whole vessel with `oil`
    in it. `lies` is the oil where the first mouth, or the best covered of several, fares worst, at the point `worst`.
    `to_swing` (n,) mm from the surface up to the crank's sweep, None where there is none. `slosh` is of the whole vessel and
    `cell_slosh` of its cell; `damping` names that which counts. `seconds` (n,) s the accelerations last."""

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
        """Oil (n,) m3 that gathers at each point before any mouth is covered by it."""
        return np.min([c.needed for c in self.covers], axis=0)
