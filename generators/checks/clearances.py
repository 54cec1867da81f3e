"""How far the metal keeps from the crank's sweep, and tools from the metal."""

import math

import numpy as np
import trimesh

from generators.bodies import FINE_MM, Body, body, gap, least_gap, patch, settled_gap
from generators.bodies.lines import line
from generators.bodies.sinking import sunk
from generators.checks.solids import label
from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.standards import bolt

MEASURING_MM = 0.02
"""A clearance that misses what was asked by less does so by the rounding of meshes."""

FLOOR_SLOPE = math.radians(40)
"""A face that slopes by less is floor; a steeper one is side, and has the side's clearance."""

SAME_HEIGHT_MM = 1e-6
"""Heights nearer than this are the same."""

LEAST_SCRAPER_MM = 1.0
"""Under this a scraper's edge is too near: bearing clearance, crank whip and warmth take up the rest (common
practice)."""

SOCKET_MM = 50.0
"""Length of a socket: below it only the thinner extension turns (common practice)."""

HOW = (
    f"least distance between the meshes (chord {CHORD_MM} mm, sagitta of rounded outsides taken off; {FINE_MM} mm where "
    f"that would decide) of the swept region"
)


def clearance(pairs, limit: float) -> tuple[float, Body, Body]:
    """The least signed distance (mm) over `pairs` of bodies, and the pair that has it, as true as `limit` (mm) asks for:
    negative by how deep they sink into each other, also where one lies wholly inside the other."""
    deep, one, other = max(
        ((sunk(a, b), a, b) for a, b in pairs if _may_sink(a, b)), key=lambda f: f[0], default=(0, None, None)
    )
    return (-deep, one, other) if deep > 0 else settled_gap(pairs, limit)


def _may_sink(a: Body, b: Body) -> bool:
    """Whether two bodies meet, or one may lie in the other."""
    low, high = np.maximum(a.box[0], b.box[0]), np.minimum(a.box[1], b.box[1])
    if (high < low).any():
        return False
    is_nested = any((low == c.box[0]).all() and (high == c.box[1]).all() for c in (a, b))
    return is_nested or gap(a, b) == 0


def with_rounding(limit: float) -> float:
    """The limit (mm) less what rounding may take."""
    return limit - MEASURING_MM


def swing_clearance(
    part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, floor: float, side: float
) -> Check:
    """Least distance (mm) from the swept region to any metal of a pan; `floor`, `side`: what was asked (mm)."""
    value, band, near = clearance([(s, b) for s in swept for b in bodies], with_rounding(min(floor, side)))
    method = f"{HOW} and of each of {len(bodies)} copies; nearest: {label(near)} to {band.name}"
    return _swing(part, value, method, floor=floor, side=side)


def swing_to_inside(part: str, swept: tuple[Body, ...], inside: trimesh.Trimesh, *, floor: float, side: float) -> Check:
    """`swing_clearance` (mm) of a pan of which only the `inside` is known: its skin below its open top stands for the metal."""
    skin = body("inside", inside)
    at_top = (skin.vertices[skin.faces][:, :, 2] > skin.box[1, 2] - SAME_HEIGHT_MM).all(axis=1)
    value, band, _ = settled_gap([(s, patch(skin, ~at_top)) for s in swept], with_rounding(min(floor, side)))
    method = f"{HOW} and of the pan's inside as given, its open top left out; nearest: {band.name}"
    return _swing(part, value, method, floor=floor, side=side)


def _swing(part: str, value: float, method: str, *, floor: float, side: float) -> Check:
    """What was measured between swing and pan (mm) against the smaller of what was asked."""
    return judged(
        id=f"{part}.swing_clearance",
        title="Crank's sweep to the pan",
        value=float(value),
        limit=with_rounding(min(floor, side)),
        unit="mm",
        sense=">=",
        source=f"the smaller of floor clearance {floor:g} and side clearance {side:g} mm, as asked, less "
        f"{MEASURING_MM} mm for the rounding of meshes",
        method=method,
    )


def facing(body: Body) -> np.ndarray:
    """Which way each face of a body faces, (m, 3); nowhere where it has no area."""
    normals, is_real = trimesh.triangles.normals(body.vertices[body.faces])
    out = np.zeros((len(body.faces), 3))
    out[is_real] = normals
    return out


def facing_up(body: Body, *, below: float) -> np.ndarray:
    """Which faces of a body face up, slope by less than FLOOR_SLOPE and lie `below` a height (mm), (m,): the edges that
    carry a flange are the tops of sides."""
    lowest = body.vertices[body.faces][:, :, 2].min(axis=1)
    return (facing(body)[:, 2] > math.cos(FLOOR_SLOPE)) & (lowest < below - SAME_HEIGHT_MM)


def facing_across(body: Body) -> np.ndarray:
    """Which faces of a body are its sides, (m,): they slope by more than FLOOR_SLOPE and face neither way along the crank."""
    along, _, rise = np.abs(facing(body)).T
    return (rise <= math.cos(FLOOR_SLOPE)) & (along <= math.cos(FLOOR_SLOPE))


def floor_clearance(
    part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, floor: float, trough: str, underside: float
) -> Check:
    """Least distance (mm) from the swept region to the faces of the piece `trough` that face up below the height
    `underside` (mm) of its flange."""
    floors = [patch(b, up) for b in bodies if b.name == trough and (up := facing_up(b, below=underside)).any()]
    words = {"id": f"{part}.floor_clearance", "title": "Crank's sweep to the pan's floor", "unit": "mm", "sense": ">="}
    source = f"floor clearance {floor:g} mm, as asked, less {MEASURING_MM} mm for the rounding of meshes"
    if not floors:
        return not_assessed(**words, reason=f"no face of a piece called {trough} faces up", source=source)
    value, _, band = least_gap([(f, s) for f in floors for s in swept])
    return judged(
        **words,
        value=float(value),
        limit=with_rounding(floor),
        source=source,
        method=f"{HOW} and of the faces of the {trough} that slope by less than 40 degrees; nearest: {band.name}",
    )


def side_clearance(
    part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, side: float, trough: str
) -> Check:
    """Least distance (mm) from the swept region to the sides of the piece `trough` and to all other pieces."""
    limit = with_rounding(side)
    sides = [patch(b, facing_across(b)) if b.name == trough else b for b in bodies]
    value, near, band = settled_gap([(b, s) for b in sides for s in swept], limit)
    return judged(
        id=f"{part}.side_clearance",
        title="Crank's sweep to the pan's sides and fittings",
        value=float(value),
        limit=limit,
        unit="mm",
        sense=">=",
        source=f"side clearance {side:g} mm, as asked, less {MEASURING_MM} mm for the rounding of meshes",
        method=f"{HOW} and of all copies, of the {trough} the faces across the crank that slope by more than 40 degrees; "
        f"nearest: {label(near)} to {band.name}",
    )


def edge_clearance(part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, asked: float) -> Check:
    """Least distance (mm) from the swept region to a scraper. Asked for less than is practical, it passes with
    caution."""
    limit = with_rounding(asked)
    value, band, near = clearance([(s, b) for s in swept for b in bodies], limit)
    return judged(
        id=f"{part}.edge_clearance",
        title="Crank's sweep to the scraper",
        value=float(value),
        limit=limit,
        unit="mm",
        sense=">=",
        caution_below=max(0.0, LEAST_SCRAPER_MM - limit) or None,
        source=f"edge clearance {asked:g} mm, as asked, less {MEASURING_MM} mm for the rounding of meshes; caution "
        f"under "
        f"{LEAST_SCRAPER_MM:g} mm (common practice for rigid metal)",
        method=f"{HOW} and of each of {len(bodies)} copies; nearest: {label(near)} to {band.name}",
    )


def bolt_access(part: str, bodies: tuple[Body, ...], *, bolts, size: str, underside: float, flange: str) -> Check:
    """Least free radius (mm) round the axes of `bolts` (x, y; mm) below the height `underside` over a socket's
    length."""
    metal = [b for b in bodies if b.name != flange]
    lines = [line(np.array([x, y, underside]), np.array([x, y, underside - SOCKET_MM])) for x, y in bolts]
    words = {
        "id": f"{part}.bolt_access",
        "title": "Free radius for a socket at the worst bolt",
        "unit": "mm",
        "sense": ">=",
    }
    source = f"socket for {size}: free radius {bolt(size).tool_radius:g} mm (common practice)"
    if not metal or not lines:
        return not_assessed(**words, reason="no bolts, or nothing but the flange", source=source)
    value, axis, near = settled_gap([(a, b) for a in lines for b in metal], bolt(size).tool_radius)
    x, y = axis.vertices[0, :2]
    return judged(
        **words,
        value=float(value),
        limit=bolt(size).tool_radius,
        source=source,
        method=f"least distance from the axes of {len(lines)} bolts, over {SOCKET_MM:g} mm below the flange, to the "
        f"meshes (chord "
        f"{CHORD_MM} mm, sagitta of rounded outsides taken off; {FINE_MM} mm where that would decide) of all other pieces; worst: x {x:.1f}, y {y:.1f} "
        f"mm, {label(near)}",
    )
