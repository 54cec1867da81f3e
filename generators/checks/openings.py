"""What the openings of gates let through, measured on the flats of their walls."""

import math
from collections import Counter

import numpy as np

from generators.bodies import Body, least_gap
from generators.findings import Check, judged, not_assessed
from generators.oil.cell import head_at_rest, head_in_corner
from generators.oil.gates import GRAVITY, Flap, Passing
from generators.oil.properties import density_at, viscosity_at
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


# ---------------------------------------------------------------- head


MM = 1e-3
"""m."""

SHARP_EDGED = "orifice Cd 0.62 sharp edged (good to 10 %), flap in balance of weight in oil and head (good to 30 %)"


def gates_on_walls(part: Part, bodies: tuple[Body, ...]) -> list[tuple[Hinge, Body]]:
    """Each hinge whose flap covers an opening, and the wall that has it."""
    found = [(hinge, wall_of(hinge, part, bodies)) for hinge in part.hinges]
    return [(hinge, wall) for hinge, wall in found if wall is not None]


def as_gate(hinge: Hinge, part: Part, wall: Body) -> Flap:
    """A gate as the arithmetic of the oil sees it, measured on its flap's solid and on the flat of its wall: what swings is
    the flap's plate, its knuckles lie on the axis."""
    flap, point = part.piece(hinge.piece), np.array(hinge.point)
    solid = flap.solids[hinge.index]
    holes = [h for h in part.piece(wall.name).flat.holes
             if LEAST_COVERED * flap.flat.area <= abs(signed_area(h)) < flap.flat.area]
    width, height = np.ptp(holes[0].points, axis=0)
    overlap = (np.ptp(flap.flat.outer.points[:, 0]) - width) / 2
    off = np.array(solid.Center().toTuple()) - point
    inwards = np.cross(np.asarray(hinge.axis) / np.linalg.norm(hinge.axis), (0.0, 0.0, -1.0))
    drop = point[2] - min(v.Z for v in solid.Vertices()) - overlap
    return Flap(width=width * MM, height=height * MM, mass=flap.mass, arm=math.hypot(off @ inwards, off[2]) * MM,
                lean=math.atan2(abs(off @ inwards), -off[2]), stop_angle=hinge.open_angle, metal_density=flap.density,
                above=(drop - height) * MM)


def head_checks(part: Part, bodies: tuple[Body, ...], *, oil, cornering: float, flow: float | None, limit: float) -> list[Check]:
    """Head (mm) lost through the gates while the pump draws `flow` m3/s, at rest and in a corner of `cornering` m/s2;
    `oil` is the file's record, `limit` mm."""
    hung = gates_on_walls(part, bodies)
    source = f"head_loss, {limit:g} mm"
    out = []
    for name, when in (("head_at_rest", "at rest"), ("head_in_corner", "in a corner")):
        words = {"id": f"{part.name}.{name}", "title": f"Head lost through the gates {when}", "unit": "mm", "sense": "<=",
                 "source": source}
        if flow is None:
            out.append(not_assessed(**words, reason="what the pump draws is not known: give pumps or engine.oil_flow"))
        elif not hung:
            out.append(not_assessed(**words, reason="no flap covers an opening"))
        else:
            passing, method = _lost(part, hung, oil, cornering if name == "head_in_corner" else None, flow)
            out.append(judged(**words, value=passing.head / MM, limit=limit, method=method))
    return out


def _lost(part: Part, hung: list[tuple[Hinge, Body]], oil, cornering: float | None, flow: float) -> tuple[Passing, str]:
    """What is lost, and how that is found."""
    gate = as_gate(hung[0][0], part, hung[0][1])
    hot = {"oil_density": density_at(oil.temperature, density_15C=oil.density_15C), "viscosity": viscosity_at(
        oil.temperature, viscosity_40C=oil.viscosity_40C, viscosity_100C=oil.viscosity_100C)}
    if cornering is None:
        found, feeding = head_at_rest(flow, gates=len(hung), flap=gate, **hot), f"all {len(hung)} gates feed"
    else:
        fewest = min(Counter((wall.name, wall.index) for _, wall in hung).values())
        found = head_in_corner(flow, gates=fewest, flap=gate, cornering=cornering, **hot)
        feeding = (f"{fewest} gate(s) of one wall feed, pressed shut by {cornering / GRAVITY:.2f} g, head taken square to the oil's "
                   "surface")
    return found, (f"{flow * LITRES_A_MINUTE:.1f} L/min of oil of {hot['oil_density']:.0f} kg/m3: {feeding}; flap open "
                   f"{math.degrees(found.angle):.1f} of {math.degrees(gate.stop_angle):.1f} deg; {SHARP_EDGED}")


LITRES_A_MINUTE = 60000.0
"""In a m3/s."""
