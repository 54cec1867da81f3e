"""How a flap moves: its own weight, the head that cracks it open, the time it takes to shut. SI units, angles in
rad."""

import math

GRAVITY = 9.80665
"""Standard gravity, m/s2 (exact by definition, ISO 80000-3)."""


def closing_time(angle: float, *, height: float, acceleration: float) -> float:
    """Time (s) in which a flap of `height` (m) hung on its top edge swings shut from `angle` under a steady
    acceleration (m/s2) square to its seat: sqrt(4 angle h / (3 a)). Thin plate about its edge, I = m h2/3, moment m a
    h/2 taken as steady, in air; oil makes it 2 to 3 times slower (common practice)."""
    return math.sqrt(4 * angle * height / (3 * acceleration))


def weight_in_oil(mass: float, *, metal_density: float, oil_density: float) -> float:
    """Force, N, with which `mass` kg hangs in oil: m g (1 - oil / metal), densities kg/m3 (Archimedes)."""
    return mass * GRAVITY * (1 - oil_density / metal_density)


def closing_moment(weight: float, *, arm: float, lean: float) -> float:
    """Moment, N m, that holds a flap shut: weight (N) x arm from the hinge to the centre of mass (m) x sin(lean)."""
    return weight * arm * math.sin(lean)


def cracking_head(moment: float, *, oil_density: float, width: float, height: float) -> float:
    """Difference of level, m, that lifts a drowned flap of width x height (m) off its seat: the moment (N m) over
    rho g w h2/2, the moment of a uniform pressure about the top edge."""
    return moment / (oil_density * GRAVITY * width * height**2 / 2)


def way_out(angle: float, *, width: float, height: float) -> float:
    """Area, in the unit of width x height, between the edges of a flap open by `angle` and its seat: the strip under it
    and the two sectors beside it, w 2h sin(angle/2) + h2 sin(angle)."""
    return width * 2 * height * math.sin(angle / 2) + height**2 * math.sin(angle)
