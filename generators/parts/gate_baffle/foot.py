"""The folded feet that hold a cell down where it may have to be bolted. mm."""

import math
from dataclasses import dataclass

from generators import standards
from generators.parts.gate_baffle.footing import Footing
from generators.parts.gate_baffle.hinge import FIT_MM, refuse
from generators.parts.gate_baffle.plan import Choice
from generators.parts.gate_baffle.stand import Stand, lid_over

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
    """Folded feet, mm: `places` are their middles along the walls called `on` ("end_wall" or "side_wall"). They stand on a
    floor that is `floor` high (v) in the cell's middle and rises by `slope` (rad) to its high side."""

    on: str
    width: float
    height: float
    reach: float
    hole: float
    places: tuple[float, ...]
    floor: float = 0.0
    slope: float = 0.0

    @property
    def at_ends(self) -> bool:
        """Whether they are on the end walls."""
        return self.on == "end_wall"


def foot_of(sheet, stand: Stand, choice: Choice, footing: Footing, *, y: float, end, side) -> Foot | None:
    """Feet beside the openings: on the walls with more room; in a pan on its end walls, along which its floor falls, so
    that a foot with a right angle sits flat. None in a pan that is made: its floor is welded to the walls.

    Raises ValueError where no foot fits."""
    if not stand.has_feet:
        return None
    rooms = rooms_for_feet(choice, end, side)
    on = "end_wall" if stand.is_fitted else max(rooms, key=lambda name: rooms[name][0])
    room, edge = rooms[on]
    flat = _flat_half(stand, y, edge)
    room, edge = room - (edge - flat), flat
    width = min(FOOT_WIDTH_MM, room - 2 * FOOT_SIDE_MM)
    if width < LEAST_FOOT_MM:
        refuse(
            "opening.width",
            f"leaves {room - 2 * FOOT_SIDE_MM:.1f} mm beside the openings for a foot, {LEAST_FOOT_MM:.0f} mm is "
            "the least: narrow the openings or make the cell larger",
        )
    t, r, hole = sheet.thickness, sheet.bend_radius, standards.clearance_hole(FOOT_BOLT)
    flange = standards.least_flange(t, bend_radius=r).value
    middle, reach = edge - FOOT_SIDE_MM - width / 2, foot_reach(sheet)
    floor, slope = (stand.inside.floor(y) - footing.floor_z, stand.inside.floor_slope) if stand.inside else (0.0, 0.0)
    return Foot(on, width, max(FOOT_HEIGHT_MM, flange), reach, hole, (-middle, middle), floor, slope)


def foot_reach(sheet) -> float:
    """How far a foot reaches out from its upright's inner face, mm: as far as bend, hole and flange ask."""
    t, r, hole = sheet.thickness, sheet.bend_radius, standards.clearance_hole(FOOT_BOLT)
    from_bend = standards.least_hole_to_bend(t, bend_radius=r).value + FOOT_HOLE_EXTRA * t
    outside_hole = from_bend + hole + standards.least_hole_to_edge(t, formed=True).value
    return max(outside_hole, standards.least_flange(t, bend_radius=r).value)


def feet_in_front(sheet, stand: Stand) -> float:
    """How far feet stand out from the cell's inside in front and behind, mm; 0 where a pan needs none."""
    return sheet.thickness + FIT_MM + foot_reach(sheet) if stand.is_fitted and stand.has_feet else 0.0


def around_cell(parameters, stand: Stand, choice: Choice) -> tuple[float, float]:
    """What a cell needs beyond its inside, at both ends and at both sides, mm: walls and lid; feet at its ends; where the
    tool chooses its width, a way to the gates of its sides as large as they are, for in a corner one of them feeds alone."""
    sheet = parameters.sheet
    over, way = lid_over(sheet.thickness), sheet.thickness + choice.approach
    ends = max(over, feet_in_front(sheet, stand))
    return ends, over if parameters.gate_baffle.cell.width else max(over, way)


def _flat_half(stand: Stand, y: float, half: float) -> float:
    """How far to both sides of the cell's middle at `y`, at most `half`, the floor is flat."""
    if stand.inside is None:
        return half
    low, high = stand.room.y
    r = stand.inside.radius * (1 + math.sin(stand.inside.floor_slope))
    return min(half, y - low - r, high - r - y)


def rooms_for_feet(choice: Choice, end, side) -> dict[str, tuple[float, float]]:
    """For each kind of wall the distance from the corner seam to the nearest opening and to the wall's middle, mm."""
    spans = {"end_wall": (choice.width, end), "side_wall": (choice.length, side)}
    half = choice.opening_width / 2
    return {name: (span / 2 - max(places) - half, span / 2) for name, (span, places) in spans.items()}
