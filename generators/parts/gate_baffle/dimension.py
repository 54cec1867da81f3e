"""Pure arithmetic: parameters and swept region -> the sizes of the gate baffle, each with its reason."""

import dataclasses
import math
from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion
from generators.findings import Sized
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
from generators.parts.gate_baffle.plan import PICKUP_CLEAR_MM, gates
from generators.parts.gate_baffle.reasons import reasons

OPEN_ANGLES = (math.radians(15), math.radians(70))
"""Outside these a stop of this shape does not work: too flat to let oil in, too steep for gravity to shut."""

SILL_STRIP_THICKNESSES = 2
"""Strip of wall under an opening, in thicknesses: it lies free between the corners."""

PICKUP_BORE_MM = 22.0
"""Bore of the pump's pickup where no deep pan says it (common practice)."""

BELL_OVER_BORE = 1.5
"""Mouth of the pickup's bell over its bore (common practice)."""

LID_BELOW_SWING_MM = 5.0
"""Least distance from the crank's swing to the lid: 3 to 5 mm from a big end to a tray (common practice)."""

FOOT_WIDTH_MM, LEAST_FOOT_MM = 20.0, 12.0
"""Usual and least width of a foot."""

FOOT_HEIGHT_MM = 12.0
"""Height of a foot where the bend does not ask for more."""

FOOT_SIDE_MM = 2.0
"""How far a foot keeps from the seam at the corner and from the opening beside it."""

FOOT_HOLE_EXTRA = 0.5
"""Bolt hole farther from the bend than it must be, in thicknesses: 3 t + r is safe where 2.5 t + r is the least."""

FOOT_BOLT = "M5"
"""Bolt that holds a foot where it is not welded."""


@dataclass(frozen=True)
class Foot:
    """Folded feet, mm: `places` are their middles along the walls called `on` ("end_wall" or "side_wall")."""

    on: str
    width: float
    height: float
    reach: float
    hole: float
    places: tuple[float, ...]


@dataclass(frozen=True)
class GateBaffleDimensions:
    """Sizes in mm, engine frame; heights (sill, axis, wall_height ...) count up from the floor at floor_z. `length` and
    `width` are the inside of the cell; `end_gates` and `side_gates` the middles of the gates along the walls."""

    material: str
    density: float
    thickness: float
    bend_radius: float
    k_factor: float
    x: float
    y: float
    floor_z: float
    length: float
    width: float
    drain_gap: float
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
    foot: Foot
    sized: tuple[Sized, ...] = ()

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
    def gate_count(self) -> int:
        """Number of gates in all four walls."""
        return 2 * (len(self.end_gates) + len(self.side_gates))

    @property
    def lean(self) -> float:
        """How far the shut flap's centre of mass hangs inside of the hinge axis, rad from the vertical."""
        return lean(self.hinge, self.flap)

    @property
    def reach(self) -> float:
        """How far the open flap or its stop reaches in from the wall, mm."""
        return reach(self.hinge, self.flap, self.stop, angle=self.open_angle)


# ---------------------------------------------------------------- sizing


def pickup_of(parameters) -> tuple[float, float, float, str]:
    """x, y and bore (mm) of the pickup that the cell surrounds, and where they come from."""
    deep = parameters.deep_pan
    if deep is not None and deep.pickup is not None:
        return deep.pickup.x, deep.pickup.y, deep.pickup.bore, "the deep pan's pickup"
    if deep is not None and deep.sump is not None:
        return deep.sump.x, 0.0, PICKUP_BORE_MM, "the middle of the deep pan's sump, with the usual bore"
    return (
        parameters.pan_rail.length / 2,
        0.0,
        PICKUP_BORE_MM,
        "the middle of the rail, with the usual bore, as no deep pan is given",
    )


def floor_depth_of(parameters) -> float:
    """Depth of the floor below the rail, mm: the deep pan's where one is given, else the baffle's own."""
    deep = parameters.deep_pan
    return deep.sump.depth if deep is not None and deep.sump is not None else parameters.gate_baffle.floor_depth


def flap_of(baffle, *, thickness: float) -> Flap:
    """The flap that covers an opening of walls of `thickness` mm. Raises ValueError where it is too narrow for a
    hinge."""
    width = baffle.opening.width + 2 * SEAT_OVERLAP_MM
    if width < LEAST_FLAP_WIDTH_MM:
        refuse(
            "opening.width",
            f"gives a flap {width:.1f} mm wide, three knuckles need {LEAST_FLAP_WIDTH_MM:.0f} mm: widen it",
        )
    pin = pin_diameter(baffle.opening.width)
    bridge = max(standards.least_web(thickness).value, SEAT_OVERLAP_MM + BESIDE_KNUCKLE_MM)
    return Flap(width, baffle.flap_thickness, baffle.opening.height, bridge, pin)


def foot_of(sheet, *, rooms: dict[str, tuple[float, float]]) -> Foot:
    """Feet beside the openings of the walls with more room. `rooms`: for each kind of wall the distance from the corner
    seam to the nearest opening and to the middle of the wall, mm. Raises ValueError where no foot fits."""
    on = max(rooms, key=lambda name: rooms[name][0])
    room, edge = rooms[on]
    width = min(FOOT_WIDTH_MM, room - 2 * FOOT_SIDE_MM)
    if width < LEAST_FOOT_MM:
        refuse(
            "opening.width",
            f"leaves {room - 2 * FOOT_SIDE_MM:.1f} mm beside the openings for a foot, {LEAST_FOOT_MM:.0f} mm is "
            "the least: narrow the openings or make the cell larger",
        )
    t, r, hole = sheet.thickness, sheet.bend_radius, standards.clearance_hole(FOOT_BOLT)
    flange = standards.least_flange(t, bend_radius=r).value
    from_bend = standards.least_hole_to_bend(t, bend_radius=r).value + FOOT_HOLE_EXTRA * t
    outside_hole = from_bend + hole + standards.least_hole_to_edge(t, formed=True).value
    middle = edge - FOOT_SIDE_MM - width / 2
    return Foot(on, width, max(FOOT_HEIGHT_MM, flange), max(outside_hole, flange), hole, (-middle, middle))


def wall_height_of(given: float | None, *, least: float, swing: float, thickness: float) -> float:
    """Height of the walls, mm: as `given`, else the least; the lid on top must keep below `swing` (mm above the
    floor)."""
    if given is not None and given < least:
        refuse(
            "wall_height",
            f"is {given:.1f} mm, but sill, opening, hinge and stop need {least:.1f} mm: leave it out or lower the "
            "opening",
        )
    height = least if given is None else given
    room = swing - LID_BELOW_SWING_MM - FIT_MM - thickness
    if height > room:
        key = "opening.height" if given is None else "wall_height"
        refuse(
            key,
            f"needs walls {height:.1f} mm high, but floor and swing leave {room:.1f} mm with "
            f"{LID_BELOW_SWING_MM:.0f} mm to spare over the lid: a lower opening or a deeper floor_depth",
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


def rooms_for_feet(baffle, end, side) -> dict[str, tuple[float, float]]:
    """For each kind of wall the distance from the corner seam to the nearest opening and to the wall's middle, mm."""
    spans = {"end_wall": (baffle.cell.width, end), "side_wall": (baffle.cell.length, side)}
    half = baffle.opening.width / 2
    return {name: (span / 2 - max(places) - half, span / 2) for name, (span, places) in spans.items()}


def dimension(parameters, region: SweptRegion) -> GateBaffleDimensions:
    """Sizes of the gate baffle, each that was chosen with its reason.

    `parameters` has gate_baffle, deep_pan (or None), pan_rail and sheet as the parameter file's records (mm, rad);
    `region.lowest` is the lowest point of the swing (mm, engine frame). Raises ValueError naming key, need and room
    where the asked openings do not fit."""
    baffle, sheet, t = parameters.gate_baffle, parameters.sheet, parameters.sheet.thickness
    require_working_angle(baffle.open_angle)
    x, y, bore, around = pickup_of(parameters)
    bell, drain = BELL_OVER_BORE * bore, standards.SILL_GAP.usual
    strip = max(LEAST_STRIP_MM, standards.least_web(t).value)
    flap = flap_of(baffle, thickness=t)
    hinge = hinge_line(flap, thickness=t)
    stop = stop_of(hinge, flap)
    inwards = reach(hinge, flap, stop, angle=baffle.open_angle)
    end, side = gates(baffle, flap_width=flap.width, reach=inwards, web=strip, bell=bell)
    floor_z = -parameters.pan_rail.below_crank - floor_depth_of(parameters)
    sill = drain + max(SILL_STRIP_THICKNESSES * t, SEAT_OVERLAP_MM + BELOW_KNUCKLE_MM)
    least, swing = least_height(sill, flap, strip=strip), region.lowest - floor_z
    # fmt: off
    made = GateBaffleDimensions(
        material=sheet.material, density=sheet.density, thickness=t, bend_radius=sheet.bend_radius,
        k_factor=sheet.k_factor, x=x, y=y, floor_z=floor_z, length=baffle.cell.length, width=baffle.cell.width,
        drain_gap=drain, sill=sill, opening_width=baffle.opening.width, opening_height=baffle.opening.height, flap=flap,
        hinge=hinge, stop=stop, open_angle=baffle.open_angle, strip=strip,
        wall_height=wall_height_of(baffle.wall_height, least=least, swing=swing, thickness=t), end_gates=end,
        side_gates=side, pickup_bore=bore, bell=bell, foot=foot_of(sheet, rooms=rooms_for_feet(baffle, end, side)))
    # fmt: on
    return dataclasses.replace(made, sized=reasons(made, around=around, swing=region.lowest))
