"""Which way a piece goes in: what its etched side looks at, and a direction on the flat that an arrow can show.

Only what holds for every copy is told: plates at both ends of a pan are one piece, and one of them may look the other way."""

import math
from dataclasses import dataclass

import numpy as np

from generators.pieces import Piece

WAYS = {"UP": (0.0, 0.0, 1.0), "FRONT": (1.0, 0.0, 0.0), "LEFT": (0.0, 1.0, 0.0)}
"""Directions of the engine's frame that an arrow may show, the first that lies in the sheet being taken."""

SIDES = {"UP": ("TOP", "BOTTOM"), "FRONT": ("FRONT", "REAR"), "LEFT": ("LEFT", "RIGHT")}
"""What a side is called that looks there, and one that looks the other way."""

PLAIN = math.cos(math.radians(30))
"""A direction is named where it is no farther off than 30 degrees: a floor that falls to its drain still looks up."""

ALIKE_RAD = math.radians(1)
"""Arrows on the flat that agree to this are one."""


@dataclass(frozen=True)
class Orientation:
    """Which `side` of the piece the upper side of its flat is (None where the copies differ), and where the arrow `shows` lies on the flat (`angle`, rad
    from its x); both None where no direction holds for all."""

    side: str | None
    shows: str | None
    angle: float | None


def orientation(piece: Piece, *, own_frame: bool) -> Orientation | None:
    """How the piece lies in its part; None where nothing can be told. A part in a frame of its own knows only up and down."""
    known = {name: np.array(way) for name, way in WAYS.items() if name == "UP" or not own_frame}
    if not piece.laid:
        return None
    sides = {_side(where.matrix[:3, 2], known) for where in piece.laid} if piece.kind != "rolled" else {"INNER"}
    arrow = next(((name, angle) for name, way in known.items() if (angle := _shared_angle(piece, way)) is not None), (None, None))
    told = Orientation(sides.pop() if len(sides) == 1 else None, *arrow)
    return told if told.side or told.shows else None


def _side(normal: np.ndarray, known: dict[str, np.ndarray]) -> str | None:
    """What a side with this normal (3,) is called."""
    for name, way in known.items():
        if abs(normal @ way) >= PLAIN:
            return SIDES[name][0 if normal @ way > 0 else 1]
    return None


def _shared_angle(piece: Piece, way: np.ndarray) -> float | None:
    """Angle (rad) on the flat of a direction (3,) of the part, where it lies in the sheet and is the same for all copies."""
    flat_ways = [way @ where.matrix[:3, :2] for where in piece.laid]
    if any(np.hypot(*on_flat) < PLAIN for on_flat in flat_ways):
        return None
    angles = [math.atan2(y, x) for x, y in flat_ways]
    return angles[0] if all(abs(math.remainder(a - angles[0], 2 * math.pi)) <= ALIKE_RAD for a in angles) else None
