"""The hinge, the flap that hangs on it and the stop that it meets: records and arithmetic, mm and rad."""

import math
from dataclasses import dataclass

from generators import standards

FIT_MM = 0.1
"""Gap left where laser-cut plates meet to be welded (common practice: what the cut and the bend need)."""

KNUCKLE_FIT_MM = 0.05
"""Gap left where a knuckle is welded to an edge: the edge is cut to it, so it is set closer than sheet on sheet."""

SEAT_GAP_MM = 0.1
"""Film of oil between a shut flap and its seat, and between an open flap and its stop."""

SEAT_OVERLAP_MM = standards.SEAT_OVERLAP.least
"""How far a flap covers its seat. The least of the practice: each mm more costs the neighbouring flap's room twice."""

KNUCKLE_WALL_MM = 1.5
"""Wall of the tube that knuckles are cut from: 6 x 1.5 and 8 x 1.5 tube, reamed (stock sizes)."""

BELOW_KNUCKLE_MM = 1.0
"""Window below the knuckles: room for the weld that holds them to the flap."""

ABOVE_KNUCKLE_MM = 0.75
"""Window above the flap's knuckles, so that they turn free of the wall."""

BESIDE_KNUCKLE_MM = 0.5
"""How far a flap's edge keeps from the knuckles that do not swing with it."""

LEAST_STRIP_MM = 3.0
"""Least breadth of a strip of wall that carries a hinge or a slot, where the sheet's thickness does not ask for
more."""

STOP_TAB_MM = 6.0
"""Height of the tab that holds a stop in its wall."""

STOP_CLEAR_MM = 1.5
"""How far a stop keeps from the knuckles."""

TOE_MM, TOE_SHARE = 12.0, 0.35
"""Length of a stop that meets the flap, and the largest share of the flap that it may take."""

STOP_BREADTH_MM = 6.0
"""Breadth of a stop behind its toe: stiff against the blow of the flap."""

TWO_STOPS_MM = 30.0
"""A flap at least this wide has a stop at each quarter; a narrower one has one in the middle."""

FIVE_KNUCKLES_MM = 40.0
"""A flap at least this wide hangs on two knuckles between three; a narrower one on one between two."""

LEAST_FLAP_WIDTH_MM = 15.0
"""Three knuckles of a length that can be held and welded."""

SETBACK_SHARES = (0.2, 0.8)
"""Where the hinge axis may lie in the thickness of its wall, so that the window's ends still catch the pin."""


@dataclass(frozen=True)
class Flap:
    """A flap, mm: width and thickness of its plate; the opening's height and the `bridge` of wall between opening and
    hinge window; its pin's diameter."""

    width: float
    thickness: float
    opening_height: float
    bridge: float
    pin: float

    @property
    def radius(self) -> float:
        """Outside radius of its knuckles, mm."""
        return self.pin / 2 + KNUCKLE_WALL_MM

    @property
    def drop(self) -> float:
        """Hinge axis to the plate's lower edge, mm."""
        return self.radius + BELOW_KNUCKLE_MM + self.bridge + self.opening_height + SEAT_OVERLAP_MM


@dataclass(frozen=True)
class HingeLine:
    """The hinge that all gates share, mm: pin and knuckle diameters; `setback` of the axis behind the wall's inner
    face; `knuckles` of `knuckle_length` in a row with `gap` between them, the odd ones (first, third ...) on the
    wall."""

    pin: float
    knuckle_outer: float
    knuckle_bore: float
    setback: float
    knuckles: int
    knuckle_length: float
    gap: float

    @property
    def radius(self) -> float:
        """Outside radius of a knuckle, mm."""
        return self.knuckle_outer / 2

    @property
    def length(self) -> float:
        """Length of the row, mm: that of the pin, too."""
        return self.knuckles * self.knuckle_length + (self.knuckles - 1) * self.gap

    def places(self) -> list[tuple[float, float]]:
        """Start and end of each knuckle along the axis, mm from the middle."""
        step = self.knuckle_length + self.gap
        return [
            (i * step - self.length / 2, i * step - self.length / 2 + self.knuckle_length) for i in range(self.knuckles)
        ]


@dataclass(frozen=True)
class Stop:
    """Profile of a stop about the hinge axis, mm: it keeps `clear` from the axis, meets the flap's face at `off` from
    the axis between `toe_from` and `toe_to` along it, and is `breadth` broad behind."""

    clear: float
    off: float
    toe_from: float
    toe_to: float
    breadth: float
    places: tuple[float, ...]

    def at(self, angle: float, along: float, *, beyond: float = 0.0) -> tuple[float, float]:
        """(inwards, up) from the hinge axis of the point `along` the toe and `beyond` its edge, at the open angle."""
        off = self.off + beyond
        return (off * math.cos(angle) + along * math.sin(angle), off * math.sin(angle) - along * math.cos(angle))


# ---------------------------------------------------------------- sizing


def refuse(key: str, text: str) -> None:
    """Raise the ValueError that says which value does not fit, and what would."""
    raise ValueError(f"gate_baffle.{key}: {text}")


def pin_diameter(opening_width: float) -> float:
    """Pin for the flap of an opening that wide, mm (common practice)."""
    return standards.hinge_pin_diameter(opening_width).value


def face_off(hinge: HingeLine, flap: Flap) -> float:
    """Hinge axis to the plane of the flap's inner face, mm."""
    return hinge.setback + SEAT_GAP_MM + flap.thickness


def lean(hinge: HingeLine, flap: Flap) -> float:
    """Angle (rad) between the vertical through the axis and the line to the shut plate's middle."""
    return math.atan2(face_off(hinge, flap) - flap.thickness / 2, arm(flap))


def arm(flap: Flap) -> float:
    """Height of the hinge axis over the shut plate's middle, mm."""
    return (flap.drop + flap.radius) / 2


def hinge_line(flap: Flap, *, thickness: float) -> HingeLine:
    """The hinge of a flap in a wall of `thickness` mm: the setback that gives the usual lean, as far as the wall's
    thickness allows. Raises ValueError where gravity would not shut the flap."""
    wanted = arm(flap) * math.tan(standards.CLOSED_LEAN.usual) - SEAT_GAP_MM - flap.thickness / 2
    least, most = (s * thickness for s in SETBACK_SHARES)
    count, gap = (5 if flap.width >= FIVE_KNUCKLES_MM else 3), standards.HINGE_FLOAT.usual / 2
    made = HingeLine(
        flap.pin,
        2 * flap.radius,
        flap.pin + standards.KNUCKLE_CLEARANCE.usual,
        min(max(wanted, least), most),
        count,
        (flap.width - (count - 1) * gap) / count,
        gap,
    )
    if lean(made, flap) < standards.CLOSED_LEAN.least:
        refuse(
            "opening.height",
            f"of {flap.opening_height:.1f} mm lets the flap lean {math.degrees(lean(made, flap)):.2f} deg past its "
            f"hinge, gravity shuts it from {math.degrees(standards.CLOSED_LEAN.least):.0f} deg on: "
            "a lower opening or a thicker sheet",
        )
    return made


def stop_of(hinge: HingeLine, flap: Flap) -> Stop:
    """The stops that meet a flap's inner face below its knuckles."""
    off = face_off(hinge, flap) + SEAT_GAP_MM
    clear = max(hinge.radius + STOP_CLEAR_MM, off + BESIDE_KNUCKLE_MM)
    start = math.sqrt(clear**2 - off**2)
    quarter = flap.width / 4
    places = (-quarter, quarter) if flap.width >= TWO_STOPS_MM else (0.0,)
    return Stop(clear, off, start, start + min(TOE_MM, TOE_SHARE * (flap.drop - start)), STOP_BREADTH_MM, places)


def reach(hinge: HingeLine, flap: Flap, stop: Stop, *, angle: float) -> float:
    """How far the flap, open by `angle`, or its stop reaches in from the wall's inner face, mm. Short of a right angle
    the lower inner edge moves inwards all the way, so the end of the swing is furthest."""
    tip = face_off(hinge, flap) * math.cos(angle) + flap.drop * math.sin(angle)
    toe, _ = stop.at(angle, stop.toe_to, beyond=stop.breadth)
    return max(tip, toe) - hinge.setback
