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

from generators.vehicle import engine_in_vehicle, turn

LEAST_LENGTH_MM = 60.0
"""Least length of a sump's floor that a notch leaves: a pickup and its drain must stand on it."""


STEPS = 4
"""A turn of the engine on its mounts is looked at in so many steps."""

DIGITS = 6
"""Decimals of a mm that count: a turned engine's sines are rounded."""


class NoNotch(ValueError):
    """No step at one end of the sump clears what is in the way: says why, with the numbers and what would."""


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


def taken(parameters, *, near: tuple[np.ndarray, np.ndarray] | None = None) -> list[Taken]:
    """What the boxes and cylinders among the vehicle's obstacles take, in the engine frame: where the engine sits aslant the box
    round the turned one, which is never less. Of an obstacle that reaches far past a pan only what can come `near` its box, low
    and high corner (3,) mm, counts. Nothing where the engine's height in the vehicle is not known."""
    vehicle = parameters.vehicle
    if vehicle is None or vehicle.rail_above_ground is None:
        return []
    engine = engine_in_vehicle(vehicle, below_crank=parameters.pan_rail.below_crank).matrix
    middle = np.array([parameters.pan_rail.length / 2, 0, 0])
    out = []
    for obstacle in vehicle.obstacle:
        if (reach := _reach(obstacle)) is not None:
            points, radius, along = reach
            at = (points - engine[:3, 3]) @ engine[:3, :3]
            about = radius * np.sqrt(np.maximum(1 - (along @ engine[:3, :3]) ** 2, 0))
            low, high = at.min(axis=0) - about, at.max(axis=0) + about
            room = np.full(3, obstacle.gap)
            if obstacle.moves_with == "vehicle":
                room = room + _shifts(vehicle.movement, engine[:3, :3])
                low, high = _turned(low, high, middle, vehicle.movement, room, near)
            out.append(Taken(obstacle.name, low - room, high + room))
    return out


def _reach(obstacle) -> tuple[np.ndarray, float, np.ndarray] | None:
    """An obstacle as points (n, 3) with a disc of a radius (mm) round each, square to a direction (3,); vehicle frame. None
    where its shape is in a file."""
    if obstacle.box is not None:
        return np.array(list(itertools.product(*zip(*obstacle.box, strict=True))), float), 0.0, np.zeros(3)
    if obstacle.cylinder is not None:
        start, end, radius = obstacle.cylinder
        along = np.subtract(end, start)
        return np.array([start, end], float), radius, along / np.linalg.norm(along)
    return None


def _shifts(movement, axes: np.ndarray) -> np.ndarray:
    """How far the engine shifts along each of its own axes, the columns of `axes` (3, 3), mm (3,)."""
    return np.abs(axes.T) @ np.array([movement.x, movement.y, movement.z])


def _turned(low: np.ndarray, high: np.ndarray, about: np.ndarray, movement, room: np.ndarray, near) -> tuple[np.ndarray, np.ndarray]:
    """The box from `low` to `high` (3,) as an engine that turns on its mounts about `about` (3,) sees it, and a little more: between
    two of STEPS turns h apart a point at radius r leaves the line between its places by r h^2 / 8 at most. Of the box only what
    turns or `room` (3,) can bring to the box `near` counts, all of it where nothing can. mm, engine frame."""
    most = (movement.roll, movement.pitch, movement.yaw)
    if not any(most):
        return low, high
    if near is not None:
        far = np.abs(np.array(near) - about).max(axis=0) + room
        reach = (room + np.linalg.norm(far) * sum(most)) / (1 - sum(most))  # a point that far out is turned farther yet
        within = np.maximum(low, near[0] - reach), np.minimum(high, near[1] + reach)
        low, high = within if (within[0] < within[1]).all() else (low, high)
    points = np.array(list(itertools.product(*zip(low, high, strict=True))))
    ways = [np.linspace(-m, m, STEPS + 1) if m else [0.0] for m in most]
    places = np.vstack([(points - about) @ turn(roll=r, pitch=p, yaw=y) + about for r, p, y in itertools.product(*ways)])
    bulge = np.linalg.norm(points - about, axis=1).max() * sum((2 * m / STEPS) ** 2 for m in most) / 8
    return places.min(axis=0) - bulge, places.max(axis=0) + bulge


def notch_for(obstacles: list[Taken], *, low: np.ndarray, high: np.ndarray, thickness: float, least_z: float,
              most_z: float) -> Notch | None:
    """The notch that clears every obstacle out of a sump whose outside fills the box `low` to `high` (3,): its roof's
    inside between `least_z` and `most_z`. None where nothing is in the way.

    Raises NoNotch, naming the obstacle and the numbers, where one step at one end does not clear it."""
    hit = [o for o in obstacles if (o.low < high).all() and (low < o.high).all()]
    if not hit:
        return None
    names = ", ".join(dict.fromkeys(o.name for o in hit))
    bottom, first, last = max(o.high[2] for o in hit), min(o.low[0] for o in hit), max(o.high[0] for o in hit)
    at_front, at_rear = first > low[0] + LEAST_LENGTH_MM, last < high[0] - LEAST_LENGTH_MM
    ends = [(last >= high[0], at_front), (first <= low[0], at_rear)]
    if not any(reaches and leaves for reaches, leaves in ends):
        raise NoNotch(f"{names} (with gap and engine movement from x = {first:.0f} to {last:.0f} mm) runs under the "
                      f"sump from {low[0]:.0f} to {high[0]:.0f} mm so that no step at one end of it leaves {LEAST_LENGTH_MM:.0f} mm "
                      "of floor; move or shorten the sump (deep_pan.sump)")
    front = bool(ends[0][0] and ends[0][1])
    roof = max(math.ceil(round(bottom + thickness, DIGITS)), least_z)
    if roof > most_z:
        where = f"ending at x = {first - thickness:.0f} mm" if front else f"beginning at x = {last + thickness:.0f} mm"
        raise NoNotch(f"{names} reaches up to {bottom:.1f} mm from the crank axis, a notch's roof may "
                      f"stand no higher than {most_z - thickness:.1f} mm under the sump's neck; a sump {where} would clear it")
    at = math.floor(round(first - thickness, DIGITS)) if front else math.ceil(round(last + thickness, DIGITS))
    return Notch(front, float(at), float(roof), f"clears {names} with its gap and the engine's movement on its mounts")
