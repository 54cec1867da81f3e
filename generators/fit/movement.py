"""How the engine moves on its mounts: where its parts go, in the vehicle's frame. Arithmetic only."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators.sheet.frames import Frame, frame
from generators.vehicle import engine_in_vehicle, turn


@dataclass(frozen=True)
class Pose:
    """One place of the engine on its mounts: `shift` (3,) mm from rest along the vehicle's axes; roll, pitch and yaw (rad)
    about the engine's own."""

    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    roll: float = 0.0
    pitch: float = 0.0
    yaw: float = 0.0


TOLD_MM, TOLD_RAD = 0.005, 1e-4
"""Less is not told."""

REST = Pose()
"""Where the engine stands when nothing pulls at it."""


@dataclass(frozen=True)
class Mounts:
    """What the mounts allow: `about`, the engine's axes (the columns) with their origin in the point that it turns about, in the
    vehicle's frame; half of the way along each of the vehicle's axes, `shifts` (3,) mm, and about each of the engine's, `turns`
    (3,) rad: roll, pitch, yaw."""

    about: Frame
    shifts: np.ndarray
    turns: np.ndarray

    @property
    def is_rigid(self) -> bool:
        """Whether the engine cannot move at all."""
        return not (self.shifts.any() or self.turns.any())

    def carried(self, pose: Pose) -> tuple[np.ndarray, np.ndarray]:
        """The turn (3, 3) and the shift (3,) mm of x -> turn x + shift, which takes what moves with the engine from rest to
        `pose`, in the vehicle's frame."""
        axes, point = self.about.matrix[:3, :3], self.about.matrix[:3, 3]
        turned = axes @ turn(roll=pose.roll, pitch=pose.pitch, yaw=pose.yaw) @ axes.T
        return turned, point - turned @ point + np.asarray(pose.shift, float)

    def extremes(self) -> list[Pose]:
        """Rest, then every combination of the ends and the middle of each movement that there is: 3 to the power of their number."""
        ways = [(0.0, -h, h) if h else (0.0,) for h in (*self.shifts, *self.turns)]
        return [Pose(each[:3], *each[3:]) for each in itertools.product(*ways)]


def mounts(vehicle, *, below_crank: float, rail_length: float) -> Mounts:
    """The mounts of `vehicle` (its record), mm. The engine rolls about its crank axis and pitches and yaws about the middle of the
    pan rail on that axis: where its mounts are is not asked. Raises ValueError where its height is not known."""
    engine = engine_in_vehicle(vehicle, below_crank=below_crank)
    middle = engine.points([(rail_length / 2, 0, 0)])[0]
    axes, m = engine.matrix[:3, :3], vehicle.movement
    return Mounts(frame(origin=middle, x=axes[:, 0], z=axes[:, 2]), np.array([m.x, m.y, m.z]), np.array([m.roll, m.pitch, m.yaw]))


SHIFTED = (("forward", "rearward"), ("to the left", "to the right"), ("up", "down"))
TURNED = (("rolled", "to its right", "to its left"), ("pitched", "nose down", "nose up"), ("yawed", "to its left", "to its right"))
"""What a shift along each of the vehicle's axes and a turn about each of the engine's is called, the positive one first."""


def pose_words(pose: Pose) -> str:
    """Where the engine is, e.g. "8 mm down, rolled 3 deg to its right"."""
    shifts = [f"{abs(by):.3g} mm {ways[int(by < 0)]}" for by, ways in zip(pose.shift, SHIFTED, strict=True) if abs(by) > TOLD_MM]
    turns = [f"{verb} {math.degrees(abs(by)):.3g} deg {other if by < 0 else one}"
             for by, (verb, one, other) in zip((pose.roll, pose.pitch, pose.yaw), TURNED, strict=True) if abs(by) > TOLD_RAD]
    return ", ".join((*shifts, *turns)) or "at rest"
