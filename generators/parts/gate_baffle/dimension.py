"""Pure arithmetic: parameters and swept region -> the sizes of the gate baffle, each with its reason."""

import dataclasses
import math
from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion
from generators.findings import Sized
from generators.parts.gate_baffle.choice import chosen
from generators.parts.gate_baffle.flow import feed_of
from generators.parts.gate_baffle.foot import Foot, around_cell, foot_of
from generators.parts.gate_baffle.footing import Footing, footing_of
from generators.parts.gate_baffle.hinge import (
    ABOVE_KNUCKLE_MM,
    BELOW_KNUCKLE_MM,
    BESIDE_KNUCKLE_MM,
    FIT_MM,
    LEAST_FLAP_WIDTH_MM,
    LEAST_STRIP_MM,
    SEAT_OVERLAP_MM,
    STOP_TAB_MM,
    Flap,
    HingeLine,
    Stop,
    hinge_line,
    lean,
    pin_diameter,
    reach,
    refuse,
    stop_of,
)
from generators.parts.gate_baffle.plan import PICKUP_CLEAR_MM, Choice, gates
from generators.parts.gate_baffle.reasons import reasons
from generators.parts.gate_baffle.stand import Stand, ceiling_over, lid_over, middle_of, stand_of

OPEN_ANGLES = (math.radians(15), math.radians(70))
"""Outside these a stop of this shape does not work: too flat to let oil in, too steep for gravity to shut."""

FINGERS = 5
"""Bands of a corner joint, bottom to top; the end wall has the odd ones, so that it reaches the floor and the lid."""

SWING_STEPS = 20
"""Steps of a flap's swing at which its room beside the bell is looked at."""

SILL_STRIP_THICKNESSES = 2
"""Strip of wall under an opening, in thicknesses: it lies free between the corners."""


@dataclass(frozen=True)
class GateBaffleDimensions:
    """Sizes in mm, engine frame; heights (sill, axis, wall_height ...) count up from the footing's floor_z. `length` and
    `width` are the inside of the cell; `end_gates` and `side_gates` the middles of the gates along the walls; `pickup`
    (x, y from the cell's middle) is its axis, `bell` what passes the lid; `foot` is None where the walls are welded down;
    `blank` 1 or -1 where the front or the rear wall has no gates; `has_leg` where the pickup's tube leaves through the sump's
    wall, not to the engine."""

    material: str
    density: float
    thickness: float
    bend_radius: float
    k_factor: float
    x: float
    y: float
    pickup: tuple[float, float]
    length: float
    width: float
    footing: Footing
    sill: float
    opening_width: float
    opening_height: float
    flap: Flap
    hinge: HingeLine
    stop: Stop
    open_angle: float
    strip: float
    wall_height: float
    end_gates: tuple[float, ...]
    side_gates: tuple[float, ...]
    pickup_bore: float
    bell: float
    foot: Foot | None
    blank: int = 0
    has_leg: bool = False
    sized: tuple[Sized, ...] = ()

    @property
    def floor_z(self) -> float:
        """Height of the floor, of the highest under an opening where it slopes, mm."""
        return self.footing.floor_z

    @property
    def lid_over(self) -> float:
        """Walls and lid beyond the cell's inside, mm."""
        return lid_over(self.thickness)

    @property
    def flap_bottom(self) -> float:
        """Height of a shut flap's lower edge, mm."""
        return self.sill - SEAT_OVERLAP_MM

    @property
    def axis(self) -> float:
        """Height of the hinge axis, mm."""
        return self.flap_bottom + self.flap.drop

    @property
    def window_half(self) -> float:
        """Half the length of the window that the hinge sits in, mm."""
        return self.hinge.length / 2 + self.hinge.gap

    @property
    def stop_slot(self) -> tuple[float, float]:
        """Lower and upper end of the slot that a stop's tab passes, mm."""
        low = self.axis + self.hinge.radius + ABOVE_KNUCKLE_MM + self.strip
        return low, low + STOP_TAB_MM + standards.SLOT_LENGTH_CLEARANCE.least

    @property
    def lid_hole(self) -> float:
        """Diameter of the lid's hole over the pickup, mm."""
        return self.bell + 2 * PICKUP_CLEAR_MM

    @property
    def lid_top(self) -> float:
        """Height of the lid's upper face, mm."""
        return self.wall_height + FIT_MM + self.thickness

    @property
    def bands(self) -> list[float]:
        """Heights at which a corner joint changes from wall to wall, mm, from the lower edge on a level floor to the upper;
        in a sloped pan the lowest band reaches down to the scribed edge."""
        step = (self.wall_height - self.footing.gap) / FINGERS
        return [self.footing.gap + i * step for i in range(FINGERS + 1)]

    @property
    def notch(self) -> float:
        """Radius of the drain notches in both lower corners of the low wall, mm; 0 where there are none. They stay a
        sheet's thickness below the lowest finger and leave a web beside the outermost openings."""
        if not self.footing.notch:
            return 0.0
        low = self.footing.edge(self.footing.low)
        beside = self.length / 2 - FIT_MM - max(self.side_gates) - self.opening_width / 2
        over = self.sill + self.footing.lift(0, self.footing.low) - low
        web = standards.least_web(self.thickness).value
        return min(self.footing.notch, self.bands[1] - low - self.thickness, math.hypot(beside, over) - web)

    @property
    def gate_count(self) -> int:
        """Number of gates in all walls."""
        return (1 if self.blank else 2) * len(self.end_gates) + 2 * len(self.side_gates)

    @property
    def lean(self) -> float:
        """How far the shut flap's centre of mass hangs inside of the hinge axis, rad from the vertical."""
        return lean(self.hinge, self.flap)

    @property
    def reach(self) -> float:
        """How far the open flap or its stop reaches in from the wall, mm."""
        return reach(self.hinge, self.flap, self.stop, angle=self.open_angle)


# ---------------------------------------------------------------- sizing


def flap_of(choice: Choice, *, thickness: float) -> Flap:
    """The flap that covers an opening of walls of `thickness` mm. Raises ValueError where it is too narrow for a
    hinge."""
    width = choice.opening_width + 2 * SEAT_OVERLAP_MM
    if width < LEAST_FLAP_WIDTH_MM:
        refuse(
            "opening.width",
            f"gives a flap {width:.1f} mm wide, three knuckles need {LEAST_FLAP_WIDTH_MM:.0f} mm: widen it",
        )
    pin = pin_diameter(choice.opening_width)
    bridge = max(standards.least_web(thickness).value, SEAT_OVERLAP_MM + BESIDE_KNUCKLE_MM)
    return Flap(width, choice.flap_thickness, choice.opening_height, bridge, pin)


def wall_height_of(given: float | None, *, least: float, room: float, under: str, is_fitted: bool) -> float:
    """Height of the walls, mm: as `given`, else the least; `room` is left for them `under` whatever is over the lid."""
    if given is not None and given < least:
        refuse(
            "wall_height",
            f"is {given:.1f} mm, but sill, opening, hinge and stop need {least:.1f} mm: leave it out or lower the "
            "opening",
        )
    height = least if given is None else given
    if height > room:
        key = "opening.height" if given is None else "wall_height"
        deeper = "deeper sump" if is_fitted else "deeper floor_depth"
        refuse(
            key,
            f"needs walls {height:.1f} mm high, but floor and lid leave {room:.1f} mm, the lid's top {under}: "
            f"a lower opening or a {deeper}",
        )
    return height


def least_height(sill: float, flap: Flap, *, strip: float) -> float:
    """Height of a wall that holds sill, opening, hinge and the slots of the stops, mm."""
    above_axis = flap.radius + ABOVE_KNUCKLE_MM + 2 * strip + STOP_TAB_MM + standards.SLOT_LENGTH_CLEARANCE.least
    return sill - SEAT_OVERLAP_MM + flap.drop + above_axis


def require_working_angle(angle: float) -> None:
    """Refuse an open angle (rad) at which a flap with such a stop does not work."""
    if not OPEN_ANGLES[0] <= angle <= OPEN_ANGLES[1]:
        least, most = (math.degrees(a) for a in OPEN_ANGLES)
        refuse(
            "open_angle",
            f"is {math.degrees(angle):.1f} deg, but a hinged flap works between {least:.0f} and {most:.0f} deg "
            "(30 to 45 is usual)",
        )


def sill_over(gap: float, *, thickness: float) -> float:
    """Height of an opening's lower edge over its floor, mm, in walls that stand `gap` mm off it."""
    return gap + max(SILL_STRIP_THICKNESSES * thickness, SEAT_OVERLAP_MM + BELOW_KNUCKLE_MM)


def lowest_floor(stand: Stand, y: float, width: float) -> float:
    """Height of the floor at the lower of a cell's walls, mm."""
    if stand.inside is None:
        return stand.floor_z
    return min(stand.inside.floor(y + side * width / 2) for side in (1, -1))


def beside_bell(stand: Stand, hinge: HingeLine, flap: Flap, stop: Stop, *, angle: float, lowest: float, floor: float) -> float:
    """Diameter of an upright bar that an open flap clears as well as it clears the bell on all its swing: the bell narrows
    upwards, and a flap's edge, `lowest` mm over a floor of that height when shut, rises as it opens."""
    if stand.draw is None:
        return stand.bell
    farthest = 0.0
    for k in range(SWING_STEPS + 1):
        a = angle * k / SWING_STEPS
        rise = floor + lowest + flap.drop * (1 - math.cos(a)) - stand.draw.mouth_z
        farthest = max(farthest, reach(hinge, flap, stop, angle=a) + stand.draw.outside_at(rise) / 2)
    return 2 * (farthest - reach(hinge, flap, stop, angle=angle))


def laid_out(parameters, stand: Stand, choice: Choice) -> GateBaffleDimensions:
    """The gate baffle of that choice, without its reasons. Raises ValueError naming key, need and room where it does not
    fit."""
    baffle, sheet, t = parameters.gate_baffle, parameters.sheet, parameters.sheet.thickness
    strip = max(LEAST_STRIP_MM, standards.least_web(t).value)
    flap = flap_of(choice, thickness=t)
    hinge = hinge_line(flap, thickness=t)
    stop = stop_of(hinge, flap)
    inwards = reach(hinge, flap, stop, angle=baffle.open_angle)
    over = lid_over(t)
    x, y = middle_of(stand, length=choice.length, width=choice.width, around=around_cell(parameters, stand, choice), wall=t)
    off = (stand.x - x, stand.y - y)
    lowest = sill_over(0.0, thickness=t) - SEAT_OVERLAP_MM
    beside = beside_bell(stand, hinge, flap, stop, angle=baffle.open_angle, lowest=lowest, floor=lowest_floor(stand, y, choice.width))
    end, side = gates(choice, flap_width=flap.width, reach=inwards, web=strip, bell=stand.bell, beside=beside, pickup=off)
    footing = footing_of(stand, y=y, width=choice.width, thickness=t, over=max(end) + choice.opening_width / 2)
    foot = foot_of(sheet, stand, choice, footing, y=y, end=end, side=side)
    sill = sill_over(footing.gap, thickness=t)
    ceiling, under = ceiling_over(stand, y=y, half_width=choice.width / 2 + over)
    height = wall_height_of(
        baffle.wall_height, least=least_height(sill, flap, strip=strip),
        room=ceiling - footing.floor_z - FIT_MM - t, under=under, is_fitted=stand.is_fitted)
    # fmt: off
    return GateBaffleDimensions(
        material=sheet.material, density=sheet.density, thickness=t, bend_radius=sheet.bend_radius,
        k_factor=sheet.k_factor, x=x, y=y, pickup=off, length=choice.length, width=choice.width, footing=footing, sill=sill,
        opening_width=choice.opening_width, opening_height=choice.opening_height, flap=flap, hinge=hinge, stop=stop,
        open_angle=baffle.open_angle, strip=strip, wall_height=height, end_gates=end, side_gates=side,
        pickup_bore=stand.bore, bell=stand.bell, foot=foot, blank=choice.blank,
        has_leg=stand.draw is not None and stand.draw.port is not None)
    # fmt: on


def dimension(parameters, region: SweptRegion) -> GateBaffleDimensions:
    """Sizes of the gate baffle, each that was chosen with its reason.

    `parameters` is the parameter file's record (mm, rad, SI); `region.lowest` is the lowest point of the swing (mm, engine
    frame). Raises ValueError naming key, need and room where the asked openings do not fit."""
    require_working_angle(parameters.gate_baffle.open_angle)
    stand, feed = stand_of(parameters, region), feed_of(parameters)
    made, because = chosen(parameters, stand, feed, laid_out)
    return dataclasses.replace(made, sized=(*because, *reasons(made, stand=stand, feed=feed)))
