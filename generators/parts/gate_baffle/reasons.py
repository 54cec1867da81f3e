"""Why the gate baffle is sized as it is: one line for each value that the tool chose. mm and rad in, text out."""

import math
from typing import TYPE_CHECKING

from generators import standards
from generators.findings import Sized
from generators.oil import gates
from generators.parts.gate_baffle.hinge import KNUCKLE_WALL_MM, SEAT_OVERLAP_MM, arm

if TYPE_CHECKING:
    from generators.parts.gate_baffle.dimension import GateBaffleDimensions

MM = 1e-3
"""m."""

HOT_OIL = 850.0
"""kg/m3. Engine oil at about 40 degC; 5 % lighter when hot, which moves the cracking head by as much."""


def reasons(d: "GateBaffleDimensions", *, around: str, swing: float) -> tuple[Sized, ...]:
    """The chosen values of `d`; `around` says what the cell surrounds, `swing` is the crank's lowest point (mm)."""
    return (*_place(d, around, swing), *_hinge(d), *_motion(d), _area(d), _foot(d))


def _place(d: "GateBaffleDimensions", around: str, swing: float) -> list[Sized]:
    over = swing - d.floor_z - d.lid_top
    return [
        Sized("gate_baffle.cell.x", f"{d.x:.1f} mm", f"{around}: the cell stands round it (y {d.y:.1f} mm)"),
        Sized(
            "gate_baffle.wall_height",
            f"{d.wall_height:.1f} mm",
            f"sill {d.sill:.1f} + opening {d.opening_height:.1f} + hinge and stops; "
            f"the lid is {over:.1f} mm below the swing",
        ),
        Sized(
            "gate_baffle.lid_hole",
            f"{d.lid_hole:.1f} mm",
            f"the pickup's bell of {d.bell:.1f} mm passes it with 3 mm all round",
        ),
    ]


def _hinge(d: "GateBaffleDimensions") -> list[Sized]:
    h, usual = d.hinge, standards.CLOSED_LEAN
    inside = "within" if usual.least <= d.lean <= usual.greatest else "more than"
    return [
        Sized(
            "gate_baffle.pin",
            f"{h.pin:.1f} mm",
            f"for an opening {d.opening_width:.1f} mm wide; {standards.hinge_pin_diameter(d.opening_width).source}",
        ),
        Sized(
            "gate_baffle.knuckle",
            f"{h.knuckle_outer:.1f} x {KNUCKLE_WALL_MM:.1f} mm tube, bore {h.knuckle_bore:.2f} mm",
            standards.KNUCKLE_CLEARANCE.source,
        ),
        Sized(
            "gate_baffle.setback",
            f"{h.setback:.2f} mm",
            f"hinge axis behind the wall's inner face: the shut flap leans "
            f"{math.degrees(d.lean):.2f} deg, {inside} the usual {math.degrees(usual.least):.0f} to "
            f"{math.degrees(usual.greatest):.0f} deg, so that gravity shuts it",
        ),
        Sized("gate_baffle.seat_overlap", f"{SEAT_OVERLAP_MM:.1f} mm", standards.SEAT_OVERLAP.source),
    ]


def _motion(d: "GateBaffleDimensions") -> list[Sized]:
    time = gates.closing_time(d.open_angle, height=d.flap.drop * MM, acceleration=gates.GRAVITY)
    width, height = d.flap.width * MM, d.flap.drop * MM
    mass = width * (d.flap.drop - d.hinge.radius) * MM * d.flap.thickness * MM * d.density
    weight = gates.weight_in_oil(mass, metal_density=d.density, oil_density=HOT_OIL)
    moment = gates.closing_moment(
        weight, arm=math.hypot(arm(d.flap), arm(d.flap) * math.tan(d.lean)) * MM, lean=d.lean
    )
    head = gates.cracking_head(moment, oil_density=HOT_OIL, width=d.opening_width * MM, height=height)
    return [
        Sized(
            "gate_baffle.closing_time",
            f"{time:.3f} s",
            "from the stop to the seat at 1 g square to the wall, in air; oil makes it 2 to 3 times as long (estimate)",
        ),
        Sized(
            "gate_baffle.cracking_head",
            f"{head / MM:.2f} mm",
            "difference of oil level that lifts a drowned flap off its seat against its weight in oil",
        ),
    ]


def through_area(d: "GateBaffleDimensions") -> float:
    """What one open gate lets through, mm2: the opening, or the way out round the flap where that is less."""
    return min(
        d.opening_width * d.opening_height, gates.way_out(d.open_angle, width=d.opening_width, height=d.opening_height)
    )


def needed_area(d: "GateBaffleDimensions") -> float:
    """What the pump's draw asks of the openings, mm2: the pickup's bore and half as much again (common practice)."""
    return standards.GATE_AREA_RATIO.value * math.pi / 4 * d.pickup_bore**2


def _area(d: "GateBaffleDimensions") -> Sized:
    return Sized(
        "gate_baffle.opening_area",
        f"{d.gate_count * through_area(d):.0f} mm2",
        f"{d.gate_count} gates; a pickup of {d.pickup_bore:.1f} mm bore asks for {needed_area(d):.0f} mm2, "
        f"{standards.GATE_AREA_RATIO.value:.1f} x its area; one wall alone has "
        f"{d.gate_count * through_area(d) / 4:.0f} mm2",
    )


def _foot(d: "GateBaffleDimensions") -> Sized:
    return Sized(
        "gate_baffle.foot",
        f"{d.foot.width:.1f} mm",
        f"feet on each {d.foot.on.replace('_', ' ')}, which has more room beside its "
        f"openings; they hold the walls {d.drain_gap:.1f} mm over the floor so that the cell drains",
    )
