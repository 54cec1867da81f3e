"""Keys of a parameter file that are read and looked at for mistakes, but that change nothing which is made or judged yet."""

from collections.abc import Iterable

IDLE = (
    "driving.braking",
    "driving.acceleration",
    "driving.crest",
    "driving.compression",
    "driving.rise_time",
    "driving.hold",
    "driving.log",
    "driving.columns",
    "engine.power",
    "engine.blow_by",
    "vehicle.ground_clearance",
    "vehicle.movement",
    "vehicle.obstacle",
    "deep_pan.shallow_depth",
    "deep_pan.sump.length",
    "deep_pan.pickup.floor_gap",
    "pumps.scavenge_displacement",
    "mockup",
)
"""They belong to the oil's movement, the circuit, heat, the fit in the vehicle, the wet pan and printed mock-ups."""


def idle(given: Iterable[str]) -> list[str]:
    """Those of the dotted keys `given` that are idle, a whole idle table or list as one."""
    return [key for key in IDLE if key in set(given)]
