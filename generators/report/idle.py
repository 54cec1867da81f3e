"""Keys of a parameter file that are read and looked at for mistakes, but that change nothing which is made or judged yet."""

import re

from generators.sump.fitted import has_deep_pan

IDLE = (
    "engine.power",
    "engine.blow_by",
    "vehicle.ground_clearance",
    "vehicle.movement.roll",
    "vehicle.movement.pitch",
    "vehicle.movement.yaw",
    "vehicle.obstacle.file",
    "vehicle.obstacle.unit",
    "vehicle.obstacle.position",
    "pumps.scavenge_displacement",
    "mockup",
)
"""They belong to the circuit, heat, the fit in the vehicle and printed mock-ups."""

FOR_GATES = ("driving.hold", "oil.viscosity_40C", "oil.viscosity_100C", "oil.temperature")
"""Only the gates of a cell in a deep pan depend on these."""

FOR_A_NEW_PAN = ("vehicle.movement", "vehicle.obstacle")
"""Only a deep pan that is made is stepped for these, so far."""

NUMBER = re.compile(r"\.\d+(?=\.|$)")
"""Which of a list of tables a key belongs to."""

LOGGED = ("driving.crest", "driving.compression")
"""A lap with what was logged upwards stands for these."""


def idle(read) -> list[str]:
    """Those dotted keys given in a file as read that are idle in its design, a whole idle table or list as one."""
    p, given = read.parameters, {NUMBER.sub("", key) for key in read.given}
    fitted = has_deep_pan(p)
    makes_pan = fitted and (p.deep_pan is None or p.deep_pan.make)
    is_logged = read.lap is not None and read.lap.has_vertical
    keys = (*(LOGGED if is_logged else ()), *(() if fitted else FOR_GATES), *(() if makes_pan else FOR_A_NEW_PAN), *IDLE)
    found = [key for key in keys if key in given]
    return [key for key in found if not any(key.startswith(f"{other}.") for other in found)]
