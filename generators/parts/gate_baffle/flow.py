"""What the cell has to let in, and what its gates lose in doing so. SI, rad; sizes of the part in mm."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from generators.oil import gates
from generators.oil.cell import head_at_rest, head_in_corner
from generators.oil.demand import pump_draw
from generators.oil.properties import density_at, viscosity_at
from generators.parts.gate_baffle.hinge import SEAT_OVERLAP_MM, arm
from generators.sump.fitted import has_deep_pan

if TYPE_CHECKING:
    from generators.parts.gate_baffle.dimension import GateBaffleDimensions

MM = 1e-3
"""m."""


@dataclass(frozen=True)
class Feed:
    """What the pump draws from the cell (m3/s, None where it is not known), the head that may be lost (mm), the largest
    cornering (m/s2), and the hot oil's density and viscosity (kg/m3, m2/s)."""

    flow: float | None
    limit: float
    cornering: float
    density: float
    viscosity: float


@dataclass(frozen=True)
class Heads:
    """How far the flaps stand open (rad) and the head lost (m): at rest, all walls feeding, and in a corner, one wall
    feeding."""

    at_rest: gates.Passing
    in_corner: gates.Passing

    @property
    def worst(self) -> float:
        """The larger head, mm."""
        return max(self.at_rest.head, self.in_corner.head) / MM


def feed_of(parameters) -> Feed:
    """What the file says of the flow. Only in a deep pan is it known what draws from the cell."""
    oil = parameters.oil
    return Feed(
        pump_draw(parameters) if has_deep_pan(parameters) else None,
        parameters.gate_baffle.head_loss,
        parameters.driving.cornering,
        density_at(oil.temperature, density_15C=oil.density_15C),
        viscosity_at(oil.temperature, viscosity_40C=oil.viscosity_40C, viscosity_100C=oil.viscosity_100C),
    )


def gate_of(d: "GateBaffleDimensions") -> gates.Flap:
    """One gate as the arithmetic of the oil sees it: its flap a plate from its lower edge to its knuckles, which lie on the
    axis."""
    flap = d.flap
    mass = flap.width * (flap.drop - flap.radius) * flap.thickness * MM**3 * d.density
    return gates.Flap(
        width=d.opening_width * MM, height=d.opening_height * MM, mass=mass, arm=arm(flap) / math.cos(d.lean) * MM, lean=d.lean,
        stop_angle=d.open_angle, metal_density=d.density,
        above=(flap.drop - SEAT_OVERLAP_MM - flap.opening_height) * MM)


def heads_of(d: "GateBaffleDimensions", feed: Feed) -> Heads:
    """What is lost through the gates of `d`; the flow must be known. In a corner the oil stands against a side wall."""
    oil = {"oil_density": feed.density, "viscosity": feed.viscosity, "flap": gate_of(d)}
    return Heads(
        head_at_rest(feed.flow, gates=d.gate_count, **oil),
        head_in_corner(feed.flow, gates=len(d.side_gates), cornering=feed.cornering, **oil),
    )


def leak_of(d: "GateBaffleDimensions", *, pull: float) -> float:
    """What runs out of a full cell through its drain notches, m3/s, as through a sharp-edged orifice under oil as deep as its walls are
    high, `pull` (m/s2) the length of weight and acceleration together."""
    return gates.DISCHARGE * math.pi / 2 * (d.notch * MM) ** 2 * math.sqrt(2 * pull * d.wall_height * MM)


def cracking_head(d: "GateBaffleDimensions", feed: Feed, *, cornering: float = 0.0) -> float:
    """Head (mm), square to the oil's surface, that lifts a flap off its seat while `cornering` (m/s2) presses it on."""
    around = gates.Surroundings(feed.density, feed.viscosity, shutting=cornering)
    return gates.holding_head(gate_of(d), angle=0.0, around=around) * gates.GRAVITY / math.hypot(gates.GRAVITY, cornering) / MM
