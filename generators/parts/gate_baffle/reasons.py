"""Why the gate baffle is sized as it is: one line for each value that the tool chose. mm and rad in, text out."""

import math
from typing import TYPE_CHECKING

from generators import standards
from generators.findings import Sized
from generators.oil import gates
from generators.parts.gate_baffle.flow import MM, Feed, cracking_head, heads_of
from generators.parts.gate_baffle.footing import NOTCH_MM, WELD_GAP_MM
from generators.parts.gate_baffle.hinge import KNUCKLE_WALL_MM, SEAT_OVERLAP_MM
from generators.parts.gate_baffle.plan import PICKUP_CLEAR_MM
from generators.parts.gate_baffle.stand import Stand

if TYPE_CHECKING:
    from generators.parts.gate_baffle.dimension import GateBaffleDimensions


def reasons(d: "GateBaffleDimensions", *, stand: Stand, feed: Feed) -> tuple[Sized, ...]:
    """The chosen values of `d`, which stands there and lets in what `feed` says."""
    foot = [_foot(d)] if d.foot else []
    return (*_place(d, stand), *_approach(d, stand), *_footing(d), *_hinge(d), *_motion(d, feed), *_flow(d, feed), _area(d), *foot)


def _place(d: "GateBaffleDimensions", stand: Stand) -> list[Sized]:
    over = stand.ceiling - d.floor_z - d.lid_top
    floor = [] if stand.usual_depth is None else [
        Sized("gate_baffle.floor_depth", f"{stand.usual_depth:.1f} mm", "not given, and no deep pan to stand in; common practice")]
    return [
        *floor,
        Sized("gate_baffle.cell.x", f"{d.x:.1f} mm", f"{stand.around}: the cell stands round it (y {d.y:.1f} mm){_moved(d)}"),
        Sized(
            "gate_baffle.wall_height",
            f"{d.wall_height:.1f} mm",
            f"sill {d.sill:.1f} + opening {d.opening_height:.1f} + hinge and stops; "
            f"the lid could be {over:.1f} mm higher, {stand.under}",
        ),
        Sized(
            "gate_baffle.lid_hole",
            f"{d.lid_hole:.1f} mm",
            f"the pickup's bell of {d.bell:.1f} mm passes it with {PICKUP_CLEAR_MM:g} mm all round",
        ),
    ]


def _moved(d: "GateBaffleDimensions") -> str:
    off = math.hypot(*d.pickup)
    return f", its middle {off:.1f} mm off it, as near as the sump allows" if off > 0 else ""


def _approach(d: "GateBaffleDimensions", stand: Stand) -> list[Sized]:
    """The narrowest gaps between the walls and the sump's."""
    if stand.room is None:
        return []
    (x0, x1), (y0, y1) = stand.room.x, stand.room.y
    x, y = d.length / 2 + d.thickness, d.width / 2 + d.thickness
    gap, end = min(d.y - y - y0, y1 - d.y - y), min(d.x - x - x0, x1 - d.x - x)
    need = d.opening_width * d.opening_height / (d.opening_width + 2 * d.opening_height)
    less = "" if gap >= need else ": a wall so near the sump's side is fed less than its openings could pass; a smaller cell would be"
    at_end = "" if end >= need else ": less than a gate there could pass; a pickup farther from that end, or a longer sump, would leave more"
    return [Sized("gate_baffle.approach", f"{gap:.1f} mm", f"narrowest gap between a side wall and the sump's side; {need:.1f} mm pass as "
                  f"much as an opening, from above and from both sides{less}; at the ends {end:.1f} mm are left{at_end}")]


def _footing(d: "GateBaffleDimensions") -> list[Sized]:
    """What a deep pan's floor asks of the walls."""
    at = d.footing
    if not at.is_scribed:
        return []
    lifts = {"front and rear": at.end_lift, "left": at.left_lift, "right": at.right_lift}
    said = ", ".join(f"{name} {lift:.1f}" for name, lift in lifts.items())
    area = notch_area(d)
    share = area / (d.gate_count * d.opening_width * d.opening_height)
    return [
        Sized(
            "gate_baffle.weld_gap",
            f"{WELD_GAP_MM:.1f} mm",
            "walls scribed to the pan's floor and corners" + (
                "; feet hold them down" if d.foot else
                " and stitched to it: at most 0.5 mm is filled without a drop (common practice)"),
        ),
        Sized(
            "gate_baffle.gate_lift",
            f"{said} mm",
            "each wall's gates as low as its own floor allows, so that little oil is left outside under the sills; flaps and hinges "
            "stay alike, the lid level",
        ),
        Sized(
            "gate_baffle.drain_notches",
            f"{area:.0f} mm2",
            f"two quarter rounds of at most {NOTCH_MM:g} mm in the low wall's lower corners: the cell drains with the plug; a leak of "
            f"{100 * share:.1f} % of the openings",
        ),
    ]


def notch_area(d: "GateBaffleDimensions") -> float:
    """Area of both drain notches, mm2."""
    return math.pi / 2 * d.notch**2


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


def _motion(d: "GateBaffleDimensions", feed: Feed) -> list[Sized]:
    time = gates.closing_time(d.open_angle, height=d.flap.drop * MM, acceleration=gates.GRAVITY)
    return [
        Sized(
            "gate_baffle.closing_time",
            f"{time:.3f} s",
            "from the stop to the seat at 1 g square to the wall, in air; oil makes it 2 to 3 times as long (estimate)",
        ),
        Sized(
            "gate_baffle.cracking_head",
            f"{cracking_head(d, feed):.2f} mm",
            f"difference of oil level that lifts a drowned flap off its seat against its weight in oil of {feed.density:.0f} kg/m3 "
            f"(hot: 7e-4 lighter each K above 15 degC); {cracking_head(d, feed, cornering=feed.cornering):.2f} mm, square to the "
            f"oil's surface, where {feed.cornering / gates.GRAVITY:.2f} g presses it shut",
        ),
    ]


def _flow(d: "GateBaffleDimensions", feed: Feed) -> list[Sized]:
    """Heads and opening angles, where it is known what the pump draws."""
    if feed.flow is None:
        return []
    heads = heads_of(d, feed)
    in_corner = (
        f"{len(d.side_gates)} gate(s) of one wall feed, pressed shut by {feed.cornering / gates.GRAVITY:.2f} g; square to the oil's "
        "surface"
    )
    out = []
    for key, passing, when in (
        ("head_at_rest", heads.at_rest, f"all {d.gate_count} gates feed"),
        ("head_in_corner", heads.in_corner, in_corner),
    ):
        out.append(Sized(
            f"gate_baffle.{key}",
            f"{passing.head / MM:.2f} mm",
            f"level in the cell below that outside at {feed.flow * 60000:.1f} L/min: {when}; the flaps stand open "
            f"{math.degrees(passing.angle):.1f} of {math.degrees(d.open_angle):.1f} deg (flap good to 30 %, orifice to 10 %)"))
    return out


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
        f"feet on each {d.foot.on.replace('_', ' ')}, {_why_feet(d)}",
    )


def _why_feet(d: "GateBaffleDimensions") -> str:
    if d.footing.is_scribed:
        return ("where a floor that falls across the crank leaves them flat, turned in the wall's plane; a pan that is there already may "
                "not weld, so they take studs")
    return (f"which has more room beside its openings; they hold the walls {d.footing.gap:.1f} mm over the floor so that the cell "
            "drains")
