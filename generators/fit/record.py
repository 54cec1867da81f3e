"""What is found of the fit: records only. mm in the vehicle's frame unless a name says otherwise."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from generators.bodies import Body
from generators.fit.movement import Mounts, Pose

ROUNDING_MM = 0.05
"""A gap may be told smaller than it is by as much: one that misses what is wanted by less is let pass."""


@dataclass(frozen=True, eq=False)
class Obstruction:
    """An obstacle as it stands in the vehicle: its closed `bodies`; `solids`, the kernel's, empty where a mesh was given;
    `gap`, what is wanted (mm); `extent`, its longest side along the vehicle's axes (mm); `said`, where it is from."""

    name: str
    label: str
    bodies: tuple[Body, ...] = field(repr=False)
    solids: tuple = field(repr=False)
    gap: float
    moves_with_engine: bool
    extent: float
    said: str


@dataclass(frozen=True, eq=False)
class Nearest:
    """The least gap of some bodies to others over the movement: `gap` is never more than the true one and at most `slack` less
    (mm), 0 where they meet; `at_rest` the same with the engine at rest. `body` is the nearest of the moving ones, as it lies at
    rest; at `pose` it is nearest, there `points` (2, 3) are on it and on what stands."""

    gap: float
    slack: float
    at_rest: float
    pose: Pose
    body: Body = field(repr=False)
    points: np.ndarray


@dataclass(frozen=True)
class Meeting:
    """How bodies sink into each other where that is most: volume (mm3), depth (mm), and at which pose."""

    volume: float
    depth: float
    pose: Pose


@dataclass(frozen=True)
class Cure:
    """What would make the parts clear an obstacle: the engine moved `by` mm one `way` ("up", "forward", "rearward", "left",
    "right"), a step ("notch") in the pan, or mounts that move less ("mounts"). `words` say it; `then` what falls short after it, empty where all then fits."""

    way: str
    by: float
    words: str
    then: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """One part against one obstacle; `wanted` mm; `meeting` None where they do not meet."""

    obstruction: Obstruction
    part: str
    wanted: float
    nearest: Nearest
    meeting: Meeting | None = None

    @property
    def falls_short(self) -> bool:
        """Whether less is left than is wanted."""
        return self.clearance < self.wanted - ROUNDING_MM

    @property
    def clearance(self) -> float:
        """The least gap, mm; less than nothing by how deep they sink into each other."""
        return -self.meeting.depth if self.meeting is not None else self.nearest.gap


@dataclass(frozen=True)
class Ground:
    """The lowest point of the parts over the movement, and with the suspension sunk by `travel` mm: its height (mm), whose it is,
    where it is at rest (3,) and at which pose it is lowest."""

    clearance: float
    wanted: float
    travel: float
    part: str
    piece: str
    point: np.ndarray
    pose: Pose


@dataclass(frozen=True)
class Access:
    """The free radius (mm) round a bolt's tool, of the bolt at x, y (mm, engine frame), and what is nearest to it."""

    x: float
    y: float
    free: float
    wanted: float
    nearest: str


@dataclass(frozen=True, eq=False)
class Fit:
    """How a design fits. `bodies` by part as they lie at rest; `fixed`, the parts that do not move with the engine; `ground_engine`
    is of the others alone. `drop` is how
    far the engine could go down (mm; less than nothing: must come up) before `stop` falls short. `reason` says why nothing
    was looked at, where nothing was; all else is empty or None then."""

    mounts: Mounts | None = None
    obstructions: tuple[Obstruction, ...] = ()
    bodies: Mapping[str, tuple[Body, ...]] = field(default_factory=dict, repr=False)
    fixed: frozenset[str] = frozenset()
    rows: tuple[Row, ...] = ()
    block: tuple[Row, ...] = ()
    reservoir_engine: Row | None = None
    ground: Ground | None = None
    ground_engine: Ground | None = None
    access: tuple[Access, ...] = ()
    cures: Mapping[str, tuple[Cure, ...]] = field(default_factory=dict)
    drop: float | None = None
    stop: str = ""
    reason: str = ""
