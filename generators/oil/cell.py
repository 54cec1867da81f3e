"""What the oil loses in passing the gates of a cell that a pump draws from. SI units, rad.

      cell            surface in the cell lies `head` below that outside, square to it
    ---.---------
    ~~~|  ` .  \\        at rest all walls feed; in a corner the oil stands against one wall only, and the
       |~~~~~~~|       acceleration that holds it there presses this wall's flaps shut
"""

import math
from dataclasses import replace

from generators.oil.gates import GRAVITY, Flap, Passing, Surroundings, shared_head_loss


def head_at_rest(flow: float, *, gates: int, flap: Flap, oil_density: float, viscosity: float) -> Passing:
    """Steady state of a cell whose `gates` on all walls feed a flow (m3/s) at 1 g. kg/m3, m2/s. ValueError as from
    `shared_head_loss`."""
    return shared_head_loss(flow, gates=gates, flap=flap, around=Surroundings(oil_density, viscosity))


def head_in_corner(
    flow: float, *, gates: int, flap: Flap, oil_density: float, viscosity: float, cornering: float
) -> Passing:
    """Steady state of a cell that is fed through the `gates` of the one wall against which an acceleration `cornering`
    (m/s2), level, holds the oil: it presses their flaps on their seats. The head (m) is taken square to the oil's surface,
    along the pull of weight and acceleration together, as the depth of oil over a pickup is."""
    around = Surroundings(oil_density, viscosity, shutting=cornering)
    found = shared_head_loss(flow, gates=gates, flap=flap, around=around)
    return replace(found, head=found.head * GRAVITY / math.hypot(GRAVITY, cornering))
