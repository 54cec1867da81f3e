"""How a hinged one-way flap behaves in oil, and what oil loses in passing it. SI units (m, kg, Pa, m3/s, m2/s), rad.

          o- - - -    hinge, `above` the opening's upper edge
          | ` .
      ----+    ` .
    high  |       x   centre of mass, `arm` from the hinge; shut, it hangs `lean` off the vertical
    oil   |         ` .
    ===>  |            `   flap, open by `angle` from its seat, at most to `stop_angle`
      ----+           opening, `height` x `width`

The vertical is the opening's own. Along it acts `down` (m/s2); square to it `shutting`, which presses the flap on its
seat, or lifts it where it is negative: together the specific force that an accelerometer on the wall reads, turned
round. A head is a difference of level in m, taken at the wall along that vertical: it presses with density x down x
head.

Quasi-steady: a flap's own swing takes some 10 ms, oil takes longer. Flaps are good to about 30 percent, sharp edges to
10 percent (common practice): a pressure that is even over the flap stays so as it opens.
"""

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from generators.units import GRAVITY

DISCHARGE = 0.62
"""Discharge coefficient of a sharp-edged opening, 1: handbooks give 0.60 to 0.65 (White, Fluid Mechanics; Idelchik,
Handbook of Hydraulic Resistance; from memory, unverified)."""

CHANGEOVER_REYNOLDS = 150.0
"""Reynolds number at which an orifice turns from laminar to turbulent: the usual value of libraries for hydraulic
circuits (from memory, unverified)."""

SETTLED = 1e-12
"""How closely a head is found, as a share of the least that it can be."""


# the flap's weight ----------------------------------------------------------------------------------------------------


def closing_time(angle: float, *, height: float, acceleration: float) -> float:
    """Time (s) in which a flap of `height` (m) hung on its top edge swings shut from `angle` under a steady
    acceleration (m/s2) square to its seat: sqrt(4 angle h / (3 a)). Thin plate about its edge, I = m h2/3, moment m a
    h/2 taken as steady, in air; oil makes it 2 to 3 times slower (common practice)."""
    return math.sqrt(4 * angle * height / (3 * acceleration))


def weight_in_oil(mass: float, *, metal_density: float, oil_density: float, acceleration: float = GRAVITY) -> float:
    """Force, N, with which `mass` kg pulls in oil that shares its `acceleration` (m/s2): m a (1 - oil / metal),
    densities kg/m3 (Archimedes; it holds along any direction, since the oil's pressure rises against the whole specific
    force)."""
    return mass * acceleration * (1 - oil_density / metal_density)


def closing_moment(weight: float, *, arm: float, lean: float, angle: float = 0.0, shutting: float = 0.0) -> float:
    """Moment, N m, that shuts a flap open by `angle` (rad): arm (W sin(lean + angle) + S cos(lean + angle)), with
    `weight` W down and `shutting` S towards the seat, both N in oil, `arm` m from the hinge to the centre of mass.
    Plane statics about the hinge; negative where the flap opens of itself."""
    off = lean + angle
    return arm * (weight * math.sin(off) + shutting * math.cos(off))


def hanging_angle(opening: float, *, down: float = GRAVITY) -> float:
    """Angle, rad from the vertical, at which a free flap hangs: atan(f_n / f_z), accelerations m/s2 towards the open
    side and down. Its centre of mass hangs along the specific force, in oil as in air. ValueError unless `down` > 0."""
    _require_positive("down, m/s2", down)
    return math.atan(opening / down)


# the oil's pressure ---------------------------------------------------------------------------------------------------


def lever(*, width: float, height: float, above: float = 0.0) -> float:
    """Moment of an even pressure of 1 Pa on an opening, N m/Pa = m3: w h (above + h/2), about a hinge `above` m over
    its upper edge (force times the distance of the middle)."""
    return width * height * (above + height / 2)


def head_moment(
    head: float, *, oil_density: float, width: float, height: float, above: float = 0.0, down: float = GRAVITY
) -> float:
    """Moment, N m, of a difference of level (m) on a flap that is drowned on both sides: rho g dH w h2/2 for a hinge on
    the opening's upper edge (hydrostatics: the pressures' difference is the same at every depth). kg/m3, m, m/s2."""
    return oil_density * down * head * lever(width=width, height=height, above=above)


def cracking_head(
    moment: float, *, oil_density: float, width: float, height: float, above: float = 0.0, down: float = GRAVITY
) -> float:
    """Difference of level, m, that lifts a drowned flap of width x height (m) off its seat: the moment (N m) over
    rho g w h2/2, the moment of a uniform pressure about the top edge (`above` m over it where the hinge is)."""
    return moment / head_moment(1.0, oil_density=oil_density, width=width, height=height, above=above, down=down)


def wetted_moment(depth: float, *, oil_density: float, width: float, height: float, down: float = GRAVITY) -> float:
    """Moment, N m, about the top edge of oil that stands `depth` m above the lower edge of a flap of width x height
    (m), not above the upper: rho g w (hu2/2) (H - hu/3), hydrostatic force a third of the depth up. kg/m3, m/s2.
    ValueError unless 0 <= depth <= height."""
    if not 0 <= depth <= height:
        raise ValueError(f"oil stands {depth:g} m above the lower edge of a flap: wants 0 to its height, {height:g} m")
    return oil_density * down * width * depth**2 / 2 * (height - depth / 3)


def side_moment(depth: float, *, oil_density: float, width: float, height: float, down: float = GRAVITY) -> float:
    """Moment, N m, of the oil on one side, `depth` m above the lower edge and as deep as it likes: the wetted flap's,
    and an even pressure for what stands above its upper edge (superposition). kg/m3, m, m/s2. ValueError where depth <
    0."""
    kind = {"oil_density": oil_density, "width": width, "height": height, "down": down}
    return wetted_moment(min(depth, height), **kind) + head_moment(max(depth - height, 0.0), **kind)


def net_moment(
    depth: float, *, behind: float, oil_density: float, width: float, height: float, down: float = GRAVITY
) -> float:
    """Moment, N m, that oil opens a flap with: that of the `depth` (m above the lower edge) before it less that of the
    depth `behind` it. kg/m3, m, m/s2. ValueError where either is less than 0."""
    kind = {"oil_density": oil_density, "width": width, "height": height, "down": down}
    return side_moment(depth, **kind) - side_moment(behind, **kind)


# the passage ----------------------------------------------------------------------------------------------------------


def way_out(angle: float, *, width: float, height: float, above: float = 0.0) -> float:
    """Area, in the unit of width x height, between the edges of a flap open by `angle` and its seat: the strip under it
    and the two sectors beside it, w 2h sin(angle/2) + h2 sin(angle); a hinge `above` the opening lifts the edge more
    and closes the sectors' points off."""
    low = above + height
    return width * 2 * low * math.sin(angle / 2) + (low**2 - above**2) * math.sin(angle)


def orifice_flow(pressure: float, *, area: float, oil_density: float, discharge: float = DISCHARGE) -> float:
    """Flow, m3/s, of a sharp-edged orifice of `area` m2 under a difference of `pressure` (Pa): Cd A sqrt(2 dp / rho),
    backwards where it is negative (Bernoulli and Torricelli; any text on fluid mechanics). kg/m3; `discharge` a
    ratio."""
    return math.copysign(discharge * area * math.sqrt(2 * abs(pressure) / oil_density), pressure)


def changeover_pressure(
    *, hydraulic_diameter: float, oil_density: float, viscosity: float, discharge: float = DISCHARGE
) -> float:
    """Pressure, Pa, about which an orifice turns from laminar to turbulent: (rho/2) (Re_c nu / (Cd D_h))2, with Re_c
    CHANGEOVER_REYNOLDS, `viscosity` kinematic (m2/s), diameter m (the form used by libraries for hydraulic circuits;
    from memory, unverified)."""
    return oil_density / 2 * (CHANGEOVER_REYNOLDS * viscosity / (discharge * hydraulic_diameter)) ** 2


def viscous_orifice_flow(
    pressure: float, *, area: float, oil_density: float, changeover: float, discharge: float = DISCHARGE
) -> float:
    """Flow, m3/s, of an orifice in thick oil: Cd A sqrt(2/rho) dp / (dp2 + dpc2)^(1/4), `changeover` dpc in Pa. In
    proportion to the pressure far below dpc, `orifice_flow` far above it (same source as `changeover_pressure`)."""
    if pressure == 0:
        return 0.0
    return orifice_flow(pressure, area=area, oil_density=oil_density, discharge=discharge) * math.sqrt(
        abs(pressure) / math.hypot(pressure, changeover)
    )


def viscous_orifice_pressure(
    flow: float, *, area: float, oil_density: float, changeover: float, discharge: float = DISCHARGE
) -> float:
    """Pressure, Pa, that drives a flow (m3/s) through an orifice: `viscous_orifice_flow` solved for dp. Its fourth
    power is a quadratic in dp2: with p the plain orifice's pressure, dp2 = (p2 + p sqrt(p2 + 4 dpc2)) / 2."""
    plain = oil_density / 2 * (flow / (discharge * area)) ** 2
    return math.copysign(math.sqrt(plain * (plain + math.hypot(plain, 2 * changeover)) / 2), flow)


def leak_flow(pressure: float, *, width: float, gap: float, length: float, viscosity: float) -> float:
    """Flow, m3/s, through a narrow gap, `length` m along the flow: w b3 dp / (12 mu l), `viscosity` dynamic (Pa s),
    `gap` b m (plane Poiseuille flow; for b << w and a Reynolds number on the gap under 1000)."""
    return width * gap**3 * pressure / (12 * viscosity * length)


# one gate in steady flow ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Flap:
    """A flap and the opening that it shuts, as drawn above: m, kg, rad, kg/m3. `stop_angle` is where its stop holds it,
    from the seat. ValueError where no such flap can be."""

    width: float
    height: float
    mass: float
    arm: float
    lean: float
    stop_angle: float
    metal_density: float
    above: float = 0.0

    def __post_init__(self) -> None:
        """Sizes that a flap can have."""
        for name in ("width", "height", "arm", "metal_density"):
            _require_positive(f"flap's {name}", getattr(self, name))
        for name in ("mass", "above"):
            _require_not_negative(f"flap's {name}", getattr(self, name))
        if not 0 < self.stop_angle < math.pi / 2:
            raise ValueError(f"flap's stop at {self.stop_angle:g} rad: wants more than 0 and less than a quarter turn")
        if not abs(self.lean) < math.pi / 2:
            raise ValueError(f"flap's lean {self.lean:g} rad: wants less than a quarter turn to either side")

    @property
    def lever(self) -> float:
        """Moment of 1 Pa on its opening, m3."""
        return lever(width=self.width, height=self.height, above=self.above)


@dataclass(frozen=True)
class Surroundings:
    """What a gate works in: oil (kg/m3, kinematic m2/s) and specific force (m/s2) down the wall and towards the seat.
    ValueError where a head means nothing."""

    oil_density: float
    viscosity: float
    down: float = GRAVITY
    shutting: float = 0.0

    def __post_init__(self) -> None:
        """A head needs weight."""
        _require_positive("oil's density, kg/m3", self.oil_density)
        _require_not_negative("oil's viscosity, m2/s", self.viscosity)
        _require_positive("acceleration down the wall, m/s2", self.down)
        if not math.isfinite(self.shutting):
            raise ValueError(f"acceleration towards the seat is {self.shutting:g} m/s2: wants a number")

    def pressure(self, head: float) -> float:
        """Of a head (m), Pa."""
        return self.oil_density * self.down * head

    def head(self, pressure: float) -> float:
        """Of a pressure (Pa), m."""
        return pressure / (self.oil_density * self.down)


@dataclass(frozen=True)
class Passing:
    """A gate that passes a flow: how far its flap stands open (rad from the seat), and the head (m) lost through it."""

    angle: float
    head: float


def flap_moment(flap: Flap, *, angle: float, around: Surroundings) -> float:
    """`closing_moment` (N m) of a flap open by `angle` (rad)."""
    weight, shutting = (
        weight_in_oil(flap.mass, metal_density=flap.metal_density, oil_density=around.oil_density, acceleration=a)
        for a in (around.down, around.shutting)
    )
    return closing_moment(weight, arm=flap.arm, lean=flap.lean, angle=angle, shutting=shutting)


def holding_head(flap: Flap, *, angle: float, around: Surroundings) -> float:
    """Head (m) that holds a flap open by `angle` (rad): closing moment over cos(angle) x the lever of the opening,
    since the pressure's moment falls with the cosine. At angle 0 the head that cracks it open. Less than 0 where the
    flap hangs farther open of itself."""
    return around.head(flap_moment(flap, angle=angle, around=around) / (math.cos(angle) * flap.lever))


def opening_angle(flap: Flap, *, head: float, around: Surroundings) -> float:
    """Angle (rad) at which a flap stands under a head (m), between its seat and its stop.

    Balance of head and weight divided by the cosine is linear in tan(angle): p lever = M(0) + M(90 degrees) tan(angle),
    with M the closing moment. ValueError where M(90 degrees) < 0: such a flap floats, or is pressed on its seat so much
    harder than it is pulled down that, once lifted, it flies to its stop."""
    rise = flap_moment(flap, angle=math.pi / 2, around=around)
    if rise < 0:
        raise ValueError(
            f"a flap of {flap.metal_density:g} kg/m3 and lean {math.degrees(flap.lean):.1f} deg, in oil of "
            f"{around.oil_density:g} kg/m3 under {around.down:g} m/s2 down and {around.shutting:g} m/s2 shutting, has "
            "no steady angle: it wants heavier metal or less lean"
        )
    spare = around.pressure(head) * flap.lever - flap_moment(flap, angle=0.0, around=around)
    return min(max(math.atan2(spare, rise), 0.0), flap.stop_angle)


def passage(flap: Flap, *, angle: float) -> tuple[float, float]:
    """Area (m2) and hydraulic diameter (m) that a flap open by `angle` leaves: those of the opening, or of the way out
    round the flap where they are less. Four areas over the perimeter: two edges of the flap's three free sides."""
    whole = flap.width * flap.height
    round_flap = way_out(angle, width=flap.width, height=flap.height, above=flap.above)
    return min(whole, round_flap), min(
        4 * whole / (2 * (flap.width + flap.height)), 4 * round_flap / (2 * (flap.width + 2 * flap.height))
    )


def gate_flow(flap: Flap, *, head: float, around: Surroundings) -> float:
    """Flow (m3/s) through a gate under a head (m); none where that does not lift the flap. Never falls as the head
    rises: angle, area and hydraulic diameter rise with it."""
    angle = opening_angle(flap, head=head, around=around)
    if head <= 0 or angle == 0:
        return 0.0
    area, changeover = _orifice(flap, angle, around)
    return viscous_orifice_flow(around.pressure(head), area=area, oil_density=around.oil_density, changeover=changeover)


def head_loss(flow: float, *, flap: Flap, around: Surroundings) -> Passing:
    """The steady state of one gate that passes `flow` (m3/s): angle and head (m) at which the head on the flap balances
    its weight in oil and drives the flow through what it leaves open.

    No head less than that of a flap on its stop will do. Where it leaves the flap short of the stop, half of it drives
    less than the flow through any opening, and twice the head that holds the flap on its stop drives more.
    ValueError unless flow > 0, and where the flap has no steady angle (`opening_angle`)."""
    _require_positive("flow through a gate, m3/s", flow)
    area, changeover = _orifice(flap, flap.stop_angle, around)
    least = around.head(
        viscous_orifice_pressure(flow, area=area, oil_density=around.oil_density, changeover=changeover)
    )
    if opening_angle(flap, head=least, around=around) == flap.stop_angle:
        return Passing(flap.stop_angle, least)
    most = 2 * holding_head(flap, angle=flap.stop_angle, around=around)
    head = brentq(lambda h: gate_flow(flap, head=h, around=around) - flow, least / 2, most, xtol=SETTLED * least)
    return Passing(opening_angle(flap, head=head, around=around), float(head))


def shared_head_loss(flow: float, *, gates: int, flap: Flap, around: Surroundings) -> Passing:
    """`head_loss` where a flow (m3/s) is shared evenly by a number of gates. ValueError unless gates >= 1."""
    if gates < 1:
        raise ValueError(f"{gates} gates feed a flow of {flow:g} m3/s: wants at least 1")
    return head_loss(flow / gates, flap=flap, around=around)


def _orifice(flap: Flap, angle: float, around: Surroundings) -> tuple[float, float]:
    """Area (m2) and changeover pressure (Pa) of the passage."""
    area, diameter = passage(flap, angle=angle)
    return area, changeover_pressure(
        hydraulic_diameter=diameter, oil_density=around.oil_density, viscosity=around.viscosity
    )


def _require_positive(name: str, value: float) -> None:
    if not 0 < value < math.inf:
        raise ValueError(f"{name} is {value:g}: wants a number more than 0")


def _require_not_negative(name: str, value: float) -> None:
    if not 0 <= value < math.inf:
        raise ValueError(f"{name} is {value:g}: wants 0 or a number more than that")
