"""Keys of a parameter file that are read and looked at for mistakes, but that change nothing which is made or judged yet."""

import re

from generators.sump.fitted import has_deep_pan

IDLE = (
    "engine.power",
    "engine.blow_by",
    "pumps.scavenge_displacement",
)
"""They belong to the circuit and to heat."""

FOR_GATES = ("driving.hold", "oil.viscosity_40C", "oil.viscosity_100C", "oil.temperature")
"""Only the gates of a cell in a deep pan depend on these."""

FOR_A_PLACE = ("vehicle.ground_clearance", "vehicle.suspension_travel", "vehicle.movement")
"""Only with the engine's height in the vehicle known does anything depend on these."""

FOR_WEIGHT = ("engine.mass",)
"""Only beside the vehicle's own weight does anything depend on it."""

NUMBER = re.compile(r"\.\d+(?=\.|$)")
"""Which of a list of tables a key belongs to."""

LOGGED = ("driving.crest", "driving.compression")
"""A lap with what was logged upwards stands for these."""


def idle(read) -> list[str]:
    """Those dotted keys given in a file as read that are idle in its design, a whole idle table or list as one."""
    p, given = read.parameters, {NUMBER.sub("", key) for key in read.given}
    fitted = has_deep_pan(p)
    is_placed = p.vehicle is not None and p.vehicle.rail_above_ground is not None
    is_weighed = is_placed and p.vehicle.weighed is not None
    is_logged = read.lap is not None and read.lap.has_vertical
    keys = (*(LOGGED if is_logged else ()), *(() if fitted else FOR_GATES), *(() if is_placed else FOR_A_PLACE),
            *(() if is_weighed else FOR_WEIGHT), *IDLE)
    found = [key for key in keys if key in given]
    return [key for key in found if not any(key.startswith(f"{other}.") for other in found)]
