"""What a walled cell with one-way gates keeps round the pickup while the oil outside has gone elsewhere. mm, s.

At the start the cell holds what stands in it at rest, less what spills over the rim of its opening as it tilts. The pump draws
that down while the acceleration lasts, until the level outside, less what the gates take for themselves, feeds it; below that
level it does not fall. Its drain notches leak besides, as `draw` has it; the gaps of its flaps, and oil that drains back through the
opening, are not counted.
"""

from dataclasses import dataclass, field

import numpy as np

from generators.oil.surface import Skin, offsets, volumes_below

BRIEF_S = 1.0
"""A crest or a dip lasts no longer than this (common practice)."""


@dataclass(frozen=True, eq=False)
class Cell:
    """A cell's oil space, the rim `brim` (n, 3) mm of its opening (None where it has none), what it holds at the `start`
    (mm3), what pump and leak draw (mm3/s), and the `head` (mm) that the gates take."""

    space: Skin = field(repr=False)
    brim: np.ndarray | None = field(repr=False)
    start: float
    draw: float
    head: float

    def left(self, ups: np.ndarray, seconds: np.ndarray) -> np.ndarray:
        """Volume (n,) mm3 of what it held that is left after `seconds` (n,) for directions (n, 3); 0 where it is drained."""
        stays = self.start
        if self.brim is not None:
            stays = np.minimum(self.start, volumes_below(self.space, ups, (ups @ self.brim.T).min(axis=1)))
        return np.maximum(stays - self.draw * seconds, 0.0)

    def covers(self, ups: np.ndarray, *, seconds: np.ndarray, reach: np.ndarray, outside: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Cover (n,) mm of a rim that reaches `reach` (n,) mm along `ups` (n, 3), and the oil (n,) mm3 that is then in the
        cell. `outside` (n,) mm is the cover by the surface outside."""
        left = self.left(ups, seconds)
        kept = np.full(len(ups), -np.inf)
        holds = left > LEAST_SHARE * self.space.volume
        if holds.any():
            kept[holds] = offsets(self.space, ups[holds], left[holds]) - reach[holds]
        fed = outside - self.head
        cover = np.maximum(kept, fed)
        volume = np.where(kept >= fed, left, volumes_below(self.space, ups, reach + fed))
        return cover, volume

    def is_covered(self, ups: np.ndarray, *, seconds: np.ndarray, reach: np.ndarray) -> np.ndarray:
        """Whether (n,) what is left covers a rim; the feed from outside is not looked at."""
        return volumes_below(self.space, ups, reach) <= self.left(ups, seconds)


LEAST_SHARE = 1e-9
"""Less than this share of a cell is no oil."""


def seconds(is_brief: np.ndarray, hold: float) -> np.ndarray:
    """How long (n,) s each acceleration lasts: `hold`, a crest or a dip at most BRIEF_S."""
    return np.where(is_brief, min(hold, BRIEF_S), hold)
