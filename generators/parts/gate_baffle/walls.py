"""Where the walls stand and where their gates hang, in the engine frame. Arithmetic only."""

from dataclasses import dataclass

import numpy as np

from generators.parts.gate_baffle.dimension import GateBaffleDimensions
from generators.parts.gate_baffle.plan import SIDES
from generators.pieces import Hinge
from generators.sheet.frames import Frame, frame

UP = (0.0, 0.0, 1.0)

END_WALL, SIDE_WALL = "end_wall", "side_wall"


@dataclass(frozen=True)
class Wall:
    """A wall: the piece that it is a copy of, the length of its inside and the middles of its gates (mm), and its
    frame: origin on the floor at the middle of the inner face, x along the wall (u), y up (v), z inwards (n)."""

    piece: str
    span: float
    gates: tuple[float, ...]
    frame: Frame


def walls(d: GateBaffleDimensions) -> list[Wall]:
    """The four walls: front, rear, left, right."""
    out = []
    for x, y in SIDES.values():
        origin = (d.x + x * d.length / 2, d.y + y * d.width / 2, d.floor_z)
        inwards = np.array([-x, -y, 0.0])
        where = frame(origin=origin, x=np.cross(UP, inwards), z=inwards)
        out.append(Wall(END_WALL, d.width, d.end_gates, where) if x else Wall(SIDE_WALL, d.length, d.side_gates, where))
    return out


def at(wall: Wall, u: float, v: float, n: float) -> np.ndarray:
    """The point (3,) of the engine frame at u, v, n of a wall, mm."""
    return wall.frame.points([(u, v, n)])[0]


def shifted(wall: Wall, *, u: float = 0.0, v: float = 0.0, n: float = 0.0) -> Frame:
    """The wall's frame with its origin moved to u, v, n (mm)."""
    m = wall.frame.matrix
    return frame(origin=at(wall, u, v, n), x=m[:3, 0], z=m[:3, 2])


def gate_walls(d: GateBaffleDimensions) -> list[tuple[Wall, float]]:
    """Each gate: its wall and its middle along it (mm). Flaps, pins, knuckles and stops are all listed in this order."""
    return [(w, u) for w in walls(d) for u in w.gates]


def hinges(d: GateBaffleDimensions) -> tuple[Hinge, ...]:
    """How each flap swings. Copies of flap_knuckle ride in gate order, as many to each flap as it has knuckles."""
    out = []
    for index, (wall, u) in enumerate(gate_walls(d)):
        point, axis = at(wall, u, d.axis, -d.hinge.setback), -wall.frame.matrix[:3, 0]
        out.append(
            Hinge("flap", index, tuple(map(float, point)), tuple(map(float, axis)), d.open_angle, ("flap_knuckle",))
        )
    return tuple(out)
