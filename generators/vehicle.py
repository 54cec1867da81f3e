"""How the engine sits in the vehicle. Arithmetic only."""

import math

import numpy as np

from generators.sheet.frames import Frame, frame

HEADINGS = {"forward": 0.0, "left": math.pi / 2, "rearward": math.pi, "right": -math.pi / 2}
"""Turn of the engine about the vertical for each way its front may face, rad (ISO 8855: anticlockwise from above)."""


def turn(*, roll: float, pitch: float, yaw: float) -> np.ndarray:
    """Rotation (3, 3): roll about x, then pitch about y, then yaw about z, rad, right-handed (ISO 8855 order seen from
    the fixed axes: pitch is positive nose down)."""
    cr, sr, cp, sp, cy, sy = (f(a) for a in (roll, pitch, yaw) for f in (math.cos, math.sin))
    about_x = np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])
    about_y = np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
    about_z = np.array([[cy, -sy, 0], [sy, cy, 0], [0, 0, 1]])
    return about_z @ about_y @ about_x


def engine_turned(vehicle) -> np.ndarray:
    """The engine's axes in the vehicle's frame, the columns of (3, 3): pitch and roll are the engine's, about its own axes;
    then its front is turned. Level and facing forward where `vehicle` is None."""
    if vehicle is None:
        return np.eye(3)
    return turn(roll=vehicle.roll, pitch=vehicle.pitch, yaw=HEADINGS[vehicle.front_of_engine])


def engine_in_vehicle(vehicle, *, below_crank: float) -> Frame:
    """The engine's frame in the vehicle's (mm). Its origin stands over the vehicle's; the point of the rail plane square
    below it is `rail_above_ground` high. Pitch and roll are the engine's, about its own axes; then its front is turned.

    Raises ValueError where the height is not known."""
    if vehicle.rail_above_ground is None:
        raise ValueError("rail_above_ground is not known")
    turned = engine_turned(vehicle)
    height = vehicle.rail_above_ground + below_crank * turned[2, 2]
    return frame(origin=(0, 0, height), x=turned[:, 0], z=turned[:, 2])


MOST_FORWARD = 0.1
"""A pickup that the tool places stands no farther than this share of its floor's length off the middle: what stands round it must
find room too."""


def forward_share(driving, vehicle) -> float:
    """How far towards the front of the engine a single pickup belongs, as a share of the length of its floor off the middle:
    braking draws oil to the vehicle's front and speeding up to its rear, and both leave as much over it when it divides the
    floor as they are to each other; at most MOST_FORWARD. Nothing where the engine stands across the vehicle."""
    way = {"forward": 1, "rearward": -1}.get(vehicle.front_of_engine if vehicle else "forward", 0)
    together = driving.braking + driving.acceleration
    share = driving.braking / together - 1 / 2 if together else 0.0
    return way * min(max(share, -MOST_FORWARD), MOST_FORWARD)
