"""What stands and moves together in the vehicle, and how near two such groups come."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from generators.bodies import Body, moved
from generators.fit.movement import Mounts
from generators.fit.nearest import least_over, meeting
from generators.fit.record import ROUNDING_MM, Meeting, Nearest
from generators.fit.swollen import Swollen, swollen


@dataclass(frozen=True, eq=False)
class Group:
    """Bodies that are one rigid thing as they lie at rest, on the engine or on the chassis. `known` remembers what they cover."""

    name: str
    bodies: tuple[Body, ...] = field(repr=False)
    on_engine: bool
    known: dict[tuple[float, ...], tuple[Swollen, ...]] = field(default_factory=dict, repr=False)

    def shifted(self, by: np.ndarray) -> "Group":
        """The group moved by a shift (3,) mm."""
        by = np.asarray(by, float)
        return replace(self, bodies=tuple(moved(b, turn=np.eye(3), shift=by) for b in self.bodies),
                       known={key: tuple(s.shifted(by) for s in every) for key, every in self.known.items()})

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

    def apart(self, by: np.ndarray) -> "Pair":
        """The pair with what moves past the other moved by a shift (3,) mm for good: the other is shifted the other way, for
        the engine turns about a point that moves with it."""
        moving, standing = self.turns
        away = standing.shifted(-np.asarray(by, float))
        return replace(self, one=moving, other=away)

    @property
    def is_short(self) -> bool:
        """Whether they come nearer than is wanted."""
        return self.nearest().gap < self.wanted - ROUNDING_MM
