"""What the pumps draw, m3/s."""

import math


def pump_draw(parameters) -> float | None:
    """What the pressure pump draws at the redline, m3/s: displacement x its turns a second; else the engine's oil
    flow; None where neither is known. `parameters` has pumps (or None), crank and engine."""
    pumps, redline = parameters.pumps, parameters.crank.redline
    if pumps and pumps.pressure_displacement and pumps.drive_ratio and redline:
        return pumps.pressure_displacement * pumps.drive_ratio * redline / (2 * math.pi)
    return parameters.engine.oil_flow
