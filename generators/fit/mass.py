"""Masses and their centre, and what they do to a vehicle on level ground. kg, mm in the vehicle's frame; arithmetic only.

Axles and sides are statics and exact. What stands on each of four corners statics cannot tell: it is shared out in proportion,
and the preload of the springs decides.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.units import GRAVITY

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


@dataclass(frozen=True)
class Lump:
    """A mass (kg) with its centre (3,) mm."""

    name: str
    mass: float
    centre: np.ndarray


@dataclass(frozen=True)
class Balance:
    """A vehicle's mass (kg) with its centre (3,) mm; what its axles and its sides carry, kg; `corners` by name, kg, an estimate;
    `transfer`, what goes over to the outer wheels of both axles together in the hardest corner, kg."""

    mass: float
    centre: np.ndarray
    front: float
    rear: float
    left: float
    right: float
    corners: dict[str, float]
    transfer: float


def together(lumps: Sequence[Lump], name: str = "") -> Lump | None:
    """All lumps as one; None where they weigh nothing."""
    mass = sum(one.mass for one in lumps)
    if mass <= 0:
        return None
    return Lump(name, mass, sum(one.mass * np.asarray(one.centre, float) for one in lumps) / mass)


def vehicle(weighed) -> Lump:
    """The vehicle as weighed (its record), the height of its centre as stated."""
    x = weighed.front_axle - weighed.wheelbase * (1 - weighed.front_share)
    return Lump("vehicle", weighed.mass, np.array([x, weighed.track * (weighed.left_share - 0.5), weighed.centre_height]))


def balance(weighed, lumps: Sequence[Lump], *, cornering: float) -> Balance:
    """The vehicle with `lumps` in it; `cornering` m/s2. An axle or a side that would be lifted has less than nothing."""
    every = [vehicle(weighed), *lumps]
    whole = together(every)
    corners = {name: sum(one.mass * _shares(weighed, one.centre)[name] for one in every) for name in CORNERS}
    front, left = (sum(corners[name] for name in CORNERS if word in name) for word in ("front", "left"))
    transfer = whole.mass * cornering / GRAVITY * whole.centre[2] / weighed.track
    return Balance(whole.mass, whole.centre, front, whole.mass - front, left, whole.mass - left, corners, transfer)


def _shares(weighed, point: np.ndarray) -> dict[str, float]:
    """How a mass at a point (3,) mm is shared out to the corners: to the axles, and of each to the sides, by its distance."""
    behind, left = (weighed.front_axle - point[0]) / weighed.wheelbase, 0.5 + point[1] / weighed.track
    return {f"{axle}_{side}": a * s for axle, a in (("front", 1 - behind), ("rear", behind)) for side, s in (("left", left), ("right", 1 - left))}


def moved_by(lump: Lump, whole: float, way: np.ndarray) -> np.ndarray:
    """How far (3,) mm the centre of a `whole` (kg) goes when a lump in it goes `way` (3,) mm."""
    return lump.mass / whole * np.asarray(way, float)
