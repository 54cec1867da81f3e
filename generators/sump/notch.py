"""What an obstacle of the vehicle takes off the end of a sump. mm, engine frame.

      ______________________
     |  sump               |      roof of the notch: inside face at z
     |            .________|
     |            |   obstacle and its gap
     |____________|
              x: inside face of the wall that is set back
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators.vehicle import engine_in_vehicle

LEAST_LENGTH_MM = 60.0
"""Least length of a sump's floor that a notch leaves: a pickup and its drain must stand on it."""


DIGITS = 6
"""Decimals of a mm that count: a turned engine's sines are rounded."""


@dataclass(frozen=True)
class Notch:
    """A step in the lower end of the sump, the front one where `at_front`: the wall set back to `x` (its inside), the
    roof over the obstacle at height `z` (its inside)."""

    at_front: bool
    x: float
    z: float
    because: str


@dataclass(frozen=True)
class Taken:
    """The room that an obstacle takes: low and high corner (3,) mm in the engine frame, its gap and the engine's shifts
    on its mounts allowed for."""

    name: str
    low: np.ndarray
    high: np.ndarray


def taken(parameters) -> list[Taken]:
    """What the boxes among the vehicle's obstacles take, in the engine frame: where the engine sits aslant the box round
    the turned box, which is never less. Nothing where the engine's height in the vehicle is not known."""
    vehicle = parameters.vehicle
    if vehicle is None or vehicle.rail_above_ground is None:
        return []
    turn = engine_in_vehicle(vehicle, below_crank=parameters.pan_rail.below_crank).matrix
    moves = np.array([vehicle.movement.x, vehicle.movement.y, vehicle.movement.z])
    out = []
    for obstacle in vehicle.obstacle:
        if obstacle.box is not None:
            corners = np.array(list(itertools.product(*zip(*obstacle.box, strict=True))))
            at = (corners - turn[:3, 3]) @ turn[:3, :3]
            room = obstacle.gap + np.abs(turn[:3, :3].T) @ moves
            out.append(Taken(obstacle.name, at.min(axis=0) - room, at.max(axis=0) + room))
    return out


def notch_for(obstacles: list[Taken], *, low: np.ndarray, high: np.ndarray, thickness: float, least_z: float,
              most_z: float) -> Notch | None:
    """The notch that clears every obstacle out of a sump whose outside fills the box `low` to `high` (3,): its roof's
    inside between `least_z` and `most_z`. None where nothing is in the way.

    Raises ValueError, naming the obstacle and the numbers, where one step at one end does not clear it."""
    hit = [o for o in obstacles if (o.low < high).all() and (low < o.high).all()]
    if not hit:
        return None
    names = ", ".join(o.name for o in hit)
    bottom, first, last = max(o.high[2] for o in hit), min(o.low[0] for o in hit), max(o.high[0] for o in hit)
    at_front, at_rear = first > low[0] + LEAST_LENGTH_MM, last < high[0] - LEAST_LENGTH_MM
    ends = [(last >= high[0], at_front), (first <= low[0], at_rear)]
    if not any(reaches and leaves for reaches, leaves in ends):
        raise ValueError(f"deep_pan.sump.x: {names} (with gap and engine movement from x = {first:.0f} to {last:.0f} mm) runs under the "
                         f"sump from {low[0]:.0f} to {high[0]:.0f} mm so that no step at one end of it leaves {LEAST_LENGTH_MM:.0f} mm "
                         "of floor; move or shorten the sump")
    front = bool(ends[0][0] and ends[0][1])
    roof = max(math.ceil(round(bottom + thickness, DIGITS)), least_z)
    if roof > most_z:
        where = f"ending at x = {first - thickness:.0f} mm" if front else f"beginning at x = {last + thickness:.0f} mm"
        raise ValueError(f"deep_pan.sump.length: {names} reaches up to {bottom:.1f} mm from the crank axis, a notch's roof may "
                         f"stand no higher than {most_z - thickness:.1f} mm under the sump's neck; a sump {where} would clear it")
    at = math.floor(round(first - thickness, DIGITS)) if front else math.ceil(round(last + thickness, DIGITS))
    return Notch(front, float(at), float(roof), f"clears {names} with its gap and the engine's movement on its mounts")
