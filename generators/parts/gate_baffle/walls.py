"""Where the walls stand and where their gates hang, in the engine frame. Arithmetic only."""

from dataclasses import dataclass

import numpy as np

from generators.parts.gate_baffle.dimension import GateBaffleDimensions
from generators.parts.gate_baffle.plan import SIDES
from generators.pieces import Hinge
from generators.sheet.frames import Frame, frame

UP = (0.0, 0.0, 1.0)

END_WALL, SIDE_WALL = "end_wall", "side_wall"
FRONT_WALL, REAR_WALL = "end_wall_front", "end_wall_rear"
"""End walls of which one has no gates."""

LOW_WALL, HIGH_WALL = "side_wall_low", "side_wall_high"
"""Side walls on the low and the high side of a pan's floor: one is taller than the other."""

LID_TAB_SHARES = ((-0.36, -0.22), (0.16, 0.30))
"""Start and end of the two tabs on a wall's upper edge as shares of its length: not symmetrical, so that a wall fits
its lid one way round only."""


@dataclass(frozen=True)
class Wall:
    """A wall: the piece that it is a copy of, the length of its inside and the middles of its gates (mm), and its
    frame: origin at floor_z under the middle of the inner face, x along the wall (u), y up (v), z inwards (n). Its gates
    are moved up by `lift` mm; `tabs` are start and end (u) of those on its upper edge. A wall that `is_turned` is a copy of
    its piece turned over, left for right: in a pan the rear wall is the front one so."""

    piece: str
    span: float
    gates: tuple[float, ...]
    frame: Frame
    lift: float
    tabs: tuple[tuple[float, float], ...]
    is_turned: bool = False

    @property
    def is_end(self) -> bool:
        """Whether it stands across the crank."""
        return self.piece in (END_WALL, FRONT_WALL, REAR_WALL)


def walls(d: GateBaffleDimensions) -> list[Wall]:
    """The four walls: front, rear, left, right."""
    out = []
    for x, y in SIDES.values():
        origin = (d.x + x * d.length / 2, d.y + y * d.width / 2, d.footing.floor_z)
        inwards = np.array([-x, -y, 0.0])
        where = frame(origin=origin, x=np.cross(UP, inwards), z=inwards)
        span, gates = (d.width, () if x == d.blank else d.end_gates) if x else (d.length, d.side_gates)
        is_turned = d.footing.is_scribed and x < 0
        piece = end_piece(d, x) if x else side_piece(d, y)
        out.append(Wall(piece, span, gates, where, d.footing.lift(x, y), lid_tabs(d, span, is_turned=is_turned), is_turned))
    return out


def end_piece(d: GateBaffleDimensions, x: int) -> str:
    """Name of the wall at end x (1 front, -1 rear)."""
    if not d.blank:
        return END_WALL
    return FRONT_WALL if x > 0 else REAR_WALL


def side_piece(d: GateBaffleDimensions, y: int) -> str:
    """Name of the wall on side y (1 left, -1 right)."""
    if not d.footing.is_scribed:
        return SIDE_WALL
    return LOW_WALL if y == d.footing.low else HIGH_WALL


def lid_tabs(d: GateBaffleDimensions, span: float, *, is_turned: bool = False) -> tuple[tuple[float, float], ...]:
    """Start and end (u) of the tabs on the upper edge of a wall whose inside is `span` mm long."""
    tabs = tuple((a * span, b * span) for a, b in LID_TAB_SHARES)
    return tabs if (d.footing.hand > 0) != is_turned else tuple((-b, -a) for a, b in reversed(tabs))


def at(wall: Wall, u: float, v: float, n: float) -> np.ndarray:
    """The point (3,) of the engine frame at u, v, n of a wall, mm."""
    return wall.frame.points([(u, v, n)])[0]


def shifted(wall: Wall, *, u: float = 0.0, v: float = 0.0, n: float = 0.0) -> Frame:
    """The wall's frame with its origin moved to u, v, n (mm)."""
    m = wall.frame.matrix
    return frame(origin=at(wall, u, v, n), x=m[:3, 0], z=m[:3, 2])


def turned_over(wall: Wall) -> Frame:
    """The frame of a plate turned over about the plumb line in the middle of the wall's inner face."""
    m = wall.frame.matrix
    return frame(origin=m[:3, 3], x=-m[:3, 0], z=-m[:3, 2])


def gate_walls(d: GateBaffleDimensions) -> list[tuple[Wall, float]]:
    """Each gate: its wall and its middle along it (mm). Flaps, pins, knuckles and stops are all listed in this order."""
    return [(w, u) for w in walls(d) for u in w.gates]


def hinges(d: GateBaffleDimensions) -> tuple[Hinge, ...]:
    """How each flap swings. Copies of flap_knuckle ride in gate order, as many to each flap as it has knuckles."""
    out = []
    for index, (wall, u) in enumerate(gate_walls(d)):
        point, axis = at(wall, u, d.axis + wall.lift, -d.hinge.setback), -wall.frame.matrix[:3, 0]
        out.append(
            Hinge("flap", index, tuple(map(float, point)), tuple(map(float, axis)), d.open_angle, ("flap_knuckle",))
        )
    return tuple(out)
