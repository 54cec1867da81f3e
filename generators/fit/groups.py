"""What stands and moves together in the vehicle, and how near two such groups come."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from generators.bodies import Body
from generators.fit.movement import Mounts
from generators.fit.nearest import is_short, least_over, meeting, shifted
from generators.fit.record import ROUNDING_MM, Meeting, Nearest
from generators.fit.swollen import Swollen, swollen

AT_HOME = np.zeros(3)


@dataclass(frozen=True, eq=False)
class Group:
    """Bodies that are one rigid thing as they lie at rest, on the engine or on the chassis. `known` remembers what they cover."""

    name: str
    bodies: tuple[Body, ...] = field(repr=False)
    on_engine: bool
    known: dict[tuple[float, ...], tuple[Swollen, ...]] = field(default_factory=dict, repr=False)

    def swelled(self, shifts: np.ndarray) -> tuple[Swollen, ...]:
        """What they cover as something sees them that may shift by `shifts` (3,) mm each way."""
        key = tuple(map(float, shifts))
        if key not in self.known:
            self.known[key] = swollen(self.bodies, shifts)
        return self.known[key]


@dataclass(frozen=True, eq=False)
class Pair:
    """Two groups that want `wanted` mm between them, over what `mounts` lets the engine move."""

    one: Group
    other: Group
    wanted: float
    mounts: Mounts

    @cached_property
    def allowed(self) -> Mounts:
        """How the two move past each other: not at all where both are on the engine or both on the chassis."""
        is_still = self.one.on_engine == self.other.on_engine
        return replace(self.mounts, shifts=np.zeros(3), turns=np.zeros(3)) if is_still else self.mounts

    @property
    def turns(self) -> tuple[Group, Group]:
        """The one that moves past the other, then the other."""
        return (self.other, self.one) if self.other.on_engine and not self.one.on_engine else (self.one, self.other)

    def nearest(self) -> Nearest:
        """How near they come: `body` and the first of the points are those of `one`."""
        moving, standing = self.turns
        found = least_over(moving.bodies, standing.bodies, self.allowed, around=standing.swelled(self.allowed.shifts))
        if moving is self.one:
            return found
        rest = least_over(standing.bodies, moving.bodies, replace(self.allowed, shifts=np.zeros(3), turns=np.zeros(3)))
        return replace(found, body=rest.body, points=found.points[::-1])

    def meeting(self, at: Nearest) -> Meeting | None:
        """How deep they sink into each other, asked at the pose at which they are nearest too; None where they do not meet."""
        moving, standing = self.turns
        return meeting(moving.bodies, standing.bodies, self.allowed, also=at.pose) if at.gap <= 0 else None

    def is_short(self, by: np.ndarray = AT_HOME) -> bool:
        """Whether they come nearer than is wanted with what moves past the other moved by a shift (3,) mm for good."""
        moving, standing = self.turns
        there, at = shifted(moving.bodies, self.allowed, np.asarray(by, float))
        return is_short(there, standing.swelled(self.allowed.shifts), at, wanted=self.wanted - ROUNDING_MM)
