"""How far the metal keeps from the crank's sweep, and tools from the metal."""

import math

import numpy as np
import trimesh

from generators.checks.bodies import Body, Skin, gap, least_gap, patch
from generators.checks.sinking import sunk
from generators.checks.solids import label
from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.standards import bolt

MEASURING_MM = 0.02
"""A clearance that misses what was asked by less does so by the rounding of meshes."""

FLOOR_SLOPE = math.radians(40)
"""A face that slopes by less is floor; a steeper one is side, and has the side's clearance."""

LEAST_SCRAPER_MM = 1.0
"""Under this a scraper's edge is too near: bearing clearance, crank whip and warmth take up the rest (common
practice)."""

SOCKET_MM = 50.0
"""Length of a socket: below it only the thinner extension turns (common practice)."""

SPREAD_MM = 1e-4
"""Width of the sliver that stands for a line in a search tree."""

HOW = (
    f"least distance between the meshes (chord {CHORD_MM} mm, sagitta of rounded outsides taken off) of the swept "
    f"region"
)


def clearance(pairs) -> tuple[float, Body, Body]:
    """The least signed distance (mm) over `pairs` of bodies, and the pair that has it: negative by how deep they
    sink into each other, also where one lies wholly inside the other."""
    deep, one, other = max(
        ((sunk(a, b), a, b) for a, b in pairs if _may_sink(a, b)), key=lambda f: f[0], default=(0, None, None)
    )
    return (-deep, one, other) if deep > 0 else least_gap(pairs)


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
    value, band, near = clearance([(s, b) for s in swept for b in bodies])
    return judged(
        id=f"{part}.swing_clearance",
        title="Crank's sweep to the pan",
        value=float(value),
        limit=with_rounding(min(floor, side)),
        unit="mm",
        sense=">=",
        source=f"the smaller of floor clearance {floor:g} and side clearance {side:g} mm, as asked, less "
        f"{MEASURING_MM} mm for the rounding of meshes",
        method=f"{HOW} and of each of {len(bodies)} copies; nearest: {label(near)} to {band.name}",
    )


def facing_up(body: Body) -> np.ndarray:
    """Which faces of a body face up and slope by less than FLOOR_SLOPE, (m,)."""
    normals, is_real = trimesh.triangles.normals(body.vertices[body.faces])
    rise = np.zeros(len(body.faces))
    rise[is_real] = normals[:, 2]
    return rise > math.cos(FLOOR_SLOPE)


def floor_clearance(
    part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, floor: float, trough: str
) -> Check:
    """Least distance (mm) from the swept region to the faces of the piece `trough` that face up."""
    floors = [patch(b, up) for b in bodies if b.name == trough and (up := facing_up(b)).any()]
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


def edge_clearance(part: str, swept: tuple[Body, ...], bodies: tuple[Body, ...], *, asked: float) -> Check:
    """Least distance (mm) from the swept region to a scraper. Asked for less than is practical, it passes with
    caution."""
    value, band, near = clearance([(s, b) for s in swept for b in bodies])
    limit = with_rounding(asked)
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


def line(start: np.ndarray, end: np.ndarray) -> Body:
    """The straight line between two points (3,), mm, as a body of no thickness."""
    across = np.cross(end - start, np.eye(3)[int(np.argmin(np.abs(end - start)))])
    vertices = np.array([start, end, end + across / np.linalg.norm(across) * SPREAD_MM])
    return Body("axis", 0, vertices, np.zeros((0, 3), int), (Skin(vertices, np.array([[0, 1, 2]]), 0.0),))


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
    value, axis, near = least_gap([(a, b) for a in lines for b in metal])
    x, y = axis.vertices[0, :2]
    return judged(
        **words,
        value=float(value),
        limit=bolt(size).tool_radius,
        source=source,
        method=f"least distance from the axes of {len(lines)} bolts, over {SOCKET_MM:g} mm below the flange, to the "
        f"meshes (chord "
        f"{CHORD_MM} mm, sagitta of rounded outsides taken off) of all other pieces; worst: x {x:.1f}, y {y:.1f} "
        f"mm, {label(near)}",
    )
