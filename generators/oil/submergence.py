"""How deep the mouth of a suction pipe must lie under the oil so that it draws no air. SI: m, m3/s, m/s2.

       ~~~~~~~~~~~~\\_/~~~~~~~~~~~~   surface
                    |       ^
                  .-'-.     | submergence, square to the surface, down to the mouth
                 /     \\    v
                 |<-D->|

Two depths bracket the truth. Above `anti_vortex_submergence` no vortex forms in water; less than `drawdown_submergence` and
the surface dips into the mouth without any swirl. `gravity` is the length of weight and acceleration together.
"""

import math

from generators.oil.gates import GRAVITY


def froude(flow: float, *, diameter: float, gravity: float = GRAVITY) -> float:
    """Froude number, a ratio, of a flow (m3/s) into a mouth of `diameter` m: V / sqrt(g D), V over the whole circle.
    ValueError unless flow >= 0 and the others > 0."""
    _require_draw(flow, "diameter", diameter, gravity)
    return flow / (math.pi / 4 * diameter**2) / math.sqrt(gravity * diameter)


def anti_vortex_submergence(flow: float, *, diameter: float, gravity: float = GRAVITY) -> float:
    """Depth (m) of the mouth under the surface at which no strong vortex forms: D (1 + 2.3 Fr), D the outside diameter of the
    bell, or the hydraulic diameter of a mouth that is not round (ANSI/HI 9.8, Rotodynamic Pumps for Pump Intake Design, as
    others quote it). For water that comes evenly and steadily, Froude numbers to some 1.5; oil is thicker and swirls
    less, so it is more than oil needs, the more so for a short time. ValueError as from `froude`."""
    return diameter * (1 + 2.3 * froude(flow, diameter=diameter, gravity=gravity))


def drawdown_submergence(flow: float, *, radius: float, gravity: float = GRAVITY) -> float:
    """Depth (m) over a drain of `radius` m at which the surface, without swirl, dips into it: 0.69 a (Q2 / (g a5))^(1/5)
    (Lubin and Springer, J. Fluid Mech. 29, 1967, p. 385; the formula is from memory, unverified). A drain in a flat floor, thin
    liquid; a mouth that hangs in the oil is fed from below as well and dips later. ValueError as from `froude`."""
    _require_draw(flow, "radius", radius, gravity)
    return 0.69 * radius * (flow**2 / (gravity * radius**5)) ** (1 / 5)


def _require_draw(flow: float, name: str, size: float, gravity: float) -> None:
    if not (math.isfinite(flow) and flow >= 0):
        raise ValueError(f"a mouth that draws {flow:g} m3/s: wants 0 or more")
    for what, value in ((f"{name}, m,", size), ("gravity, m/s2,", gravity)):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"a mouth whose {what} is {value:g}: wants more than 0")
