"""What the openings of gates let through, measured on the flats of their walls."""

import math

from generators.checks.bodies import Body, least_gap
from generators.findings import Check, judged, not_assessed
from generators.outlines import signed_area
from generators.pieces import Hinge, Part, Piece
from generators.standards import GATE_AREA_RATIO

COVERED_MM = 1.0
"""A flap that is shut lies no farther than this from the wall whose opening it covers."""

LEAST_COVERED = 0.3
"""An opening is at least this share of its flap's area, and less than the whole: the flap overlaps it all round. A hole
that is not so is no opening of a gate."""

FEED_SPEED = 1.0
"""m/s. Oil that gravity alone feeds to a pump runs no faster (common practice)."""

MM2_IN_M2 = 1e6


def openings_for(flap: Piece, wall: Piece) -> list[float]:
    """Areas (mm2) of the wall's holes that the flap can cover, largest first."""
    covers = flap.flat.area
    areas = sorted((abs(signed_area(h)) for h in (wall.flat.holes if wall.flat else ())), reverse=True)
    return [a for a in areas if LEAST_COVERED * covers <= a < covers]


def wall_of(hinge: Hinge, part: Part, bodies: tuple[Body, ...]) -> Body | None:
    """The copy with a fitting opening that the shut flap lies on; None where there is none."""
    flap = next(b for b in bodies if (b.name, b.index) == (hinge.piece, hinge.index))
    walls = [b for b in bodies if b.name != hinge.piece and openings_for(part.piece(hinge.piece), part.piece(b.name))]
    return least_gap([(flap, w) for w in walls], beyond=COVERED_MM)[2]


def opening_areas(part: Part, bodies: tuple[Body, ...]) -> list[float]:
    """Area (mm2) of the opening of each hinge's flap; 0 where it covers none."""
    used: dict[tuple[str, int], int] = {}
    areas = []
    for hinge in part.hinges:
        wall = wall_of(hinge, part, bodies)
        if wall is None:
            areas.append(0.0)
            continue
        at = used.get((wall.name, wall.index), 0)
        used[wall.name, wall.index] = at + 1
        fitting = openings_for(part.piece(hinge.piece), part.piece(wall.name))
        areas.append(fitting[at] if at < len(fitting) else 0.0)
    return areas


def area_for_bore(bore: float) -> float:
    """Least area (mm2) of the gates before a pickup of that bore (mm): 1.5 times the bore's."""
    return GATE_AREA_RATIO.value * math.pi / 4 * bore**2


def area_for_flow(flow: float) -> float:
    """Least area (mm2) through which gravity feeds `flow` m3/s at FEED_SPEED."""
    return flow / FEED_SPEED * MM2_IN_M2


def opening_area(part: Part, bodies: tuple[Body, ...], *, bore: float, flow: float | None) -> Check:
    """Area of all openings (mm2) against what a pickup of `bore` mm and a pump that draws `flow` m3/s need."""
    words = {"id": f"{part.name}.opening_area", "title": "Area of all openings", "unit": "mm2", "sense": ">="}
    by_bore, by_flow = area_for_bore(bore), area_for_flow(flow or 0.0)
    source = (
        f"{GATE_AREA_RATIO.value:g} x the pickup's bore of {bore:g} mm = {by_bore:.0f} mm2 ({GATE_AREA_RATIO.source})"
    )
    if flow:
        source += f"; {flow * 60000:.1f} L/min fed at {FEED_SPEED:g} m/s = {by_flow:.0f} mm2 (common practice)"
    if not part.hinges:
        return not_assessed(**words, reason="the part has no gates", source=source)
    areas = opening_areas(part, bodies)
    bare = f"; {areas.count(0.0)} flaps cover no opening" if 0.0 in areas else ""
    return judged(
        **words,
        value=float(sum(areas)),
        limit=max(by_bore, by_flow),
        source=source,
        method=f"exact areas of the holes, on the walls' flats, that {len(areas)} flaps cover when shut{bare}",
    )
