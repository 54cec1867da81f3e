"""The lower edges of the walls: level over a level floor, or scribed to the deep pan's inside. mm.

End wall in a sump that falls to the left; v counts up from `floor_z`, the highest floor under an opening:

    |                                   |
    |   opening             opening     |   end_lift, low_lift, high_lift: how far the gates of a wall sit lower
    |                                   |   than those of the wall whose floor is highest, so that every sill is as
    '.                              .---'   near to its own floor
      '-.___________________--------        gap: a weld's root
    ^low wall                       ^high wall, in the corner's arc
"""

from dataclasses import dataclass

from generators import standards
from generators.parts.gate_baffle.stand import Stand
from generators.sump.scribe import height_over, scribed

WELD_GAP_MM = 0.3
"""Root of the weld between wall and floor: at most 0.5 mm is filled without a drop (common practice)."""

NOTCH_MM = 6.0
"""Radius of the quarter-round notches in the low wall's lower corners: what a cell drains through in a minute or two when
the plug is out, and what a chip passes."""


@dataclass(frozen=True)
class Footing:
    """`floor_z` is where v counts from; `gap` lies under the edges; `end_edge` (y from the cell's middle, v, bulge) is the
    end walls' edge; `left_edge` and `right_edge` the side walls' edges, `*_lift` how far (negative: down) the gates of the
    walls are moved; `low` the side (y) of the low wall, 0 on a level floor, `hand` the rising side's; `notch` the radius
    of the low wall's drain notches."""

    floor_z: float
    gap: float
    end_edge: tuple[tuple[float, float, float], ...]
    left_edge: float
    right_edge: float
    end_lift: float = 0.0
    left_lift: float = 0.0
    right_lift: float = 0.0
    low: int = 0
    hand: int = 1
    notch: float = 0.0
    lowest: float = 0.0

    @property
    def is_scribed(self) -> bool:
        """Whether the walls follow a pan and are stitched to it."""
        return self.low != 0

    def edge(self, y: int) -> float:
        """v of the lower edge of the side wall on side y (1 left, -1 right)."""
        return self.left_edge if y > 0 else self.right_edge

    def lift(self, x: int, y: int) -> float:
        """That of the wall that looks to (x, y)."""
        if x:
            return self.end_lift
        return self.left_lift if y > 0 else self.right_lift


def footing_of(stand: Stand, *, y: float, width: float, thickness: float, over: float) -> Footing:
    """The footing of a cell `width` mm wide inside whose middle is at `y`. `over`: how far to both sides of their middle the end walls have
    openings."""
    half = width / 2 + thickness
    if stand.inside is None:
        gap = standards.SILL_GAP.usual
        return Footing(stand.floor_z, gap, ((-half, gap, 0.0), (half, gap, 0.0)), gap, gap)
    at = stand.inside
    line = scribed(at, y - half, y + half, inset=WELD_GAP_MM)

    def highest(places, inset: float) -> float:
        return max(height_over(at, y + p, inset=inset) for p in places)

    faces = {1: (half - thickness, half), -1: (-half, thickness - half)}
    seats = {"end": highest((-over, over), 0.0), 1: highest(faces[1], 0.0), -1: highest(faces[-1], 0.0)}
    floor = max(seats.values())
    left, right = (highest(faces[way], WELD_GAP_MM) - floor for way in (1, -1))
    return Footing(
        floor, WELD_GAP_MM, tuple((p - y, z - floor, bulge) for p, z, bulge in line), left, right,
        seats["end"] - floor, seats[1] - floor, seats[-1] - floor, low=-at.side, hand=at.side, notch=NOTCH_MM,
        lowest=min(z for _, z, _ in line) - WELD_GAP_MM - floor)
