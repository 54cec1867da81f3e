"""Pictures of the oil where it fares worst while driving: each vessel cut through its pickup, the vehicle level on the page."""

import numpy as np
import trimesh

from generators.meshes import trimmed
from generators.report.picture import FROM_FRONT, FROM_RIGHT, OIL_COLOUR, OIL_OPACITY, Body, Cut, bodies, picture
from generators.report.record import Run
from generators.surge import Surge
from generators.vessels import AROUND, CELL

SPACE_COLOUR, SPACE_OPACITY = (0.6, 0.66, 0.72), 0.2
"""Of the inside of a vessel that is there already and so has no walls to show."""


def tilted(run: Run, surge: Surge) -> bytes:
    """PNG of the vessel with all that stands in it and its oil at the surge's worst point, cut along the vehicle or across it
    through the pickup that is the best covered there."""
    shown = [b for name in (surge.name, *surge.vessel.guests) if name in run.meshes for b in bodies(run.meshes[name])]
    if surge.name not in run.meshes:
        shown.append(Body(surge.vessel.oil_space, SPACE_COLOUR, SPACE_OPACITY))
    oil = [Body(mesh, OIL_COLOUR, OIL_OPACITY) for mesh in oil_at(surge, surge.worst)]
    x, y, _ = surge.turned @ np.mean(surge.covers[surge.serving[surge.worst]].mouth.rim, axis=0)
    cut, view = (Cut((0.0, 1.0, 0.0), float(y)), FROM_RIGHT) if is_seen_along(surge) else (Cut((-1.0, 0.0, 0.0), -float(x)), FROM_FRONT)
    return picture([_in_vehicle(b, surge.turned) for b in (*shown, *oil)], view=view, cut=cut)


def is_seen_along(surge: Surge) -> bool:
    """Whether the surface at the worst point leans along the vehicle rather than across it, so that a cut along it shows more."""
    x, y, _ = surge.turned @ surge.ups[surge.worst]
    return abs(x) >= abs(y)


def oil_at(surge: Surge, i: int) -> list[trimesh.Trimesh]:
    """The oil at the envelope's point `i`, closed meshes in the vessel's frame, mm: under one surface, or where a cell keeps
    oil in the cell under its own and around it under that of the whole vessel. Without triangles where there is none."""
    spaces = {c.name: c.oil_space for c in surge.vessel.compartments}
    kept, up = surge.covers[0].kept, surge.ups[i]
    if kept is None or not {CELL, AROUND} <= set(spaces):
        return [_under(surge.vessel.oil_space, up, surge.offsets[i])]
    reach = float((np.asarray(surge.covers[0].mouth.rim) @ up).max())
    return [_under(spaces[CELL], up, reach + kept.cover[i]), _under(spaces[AROUND], up, surge.offsets[i])]


def _under(space: trimesh.Trimesh, up: np.ndarray, offset: float) -> trimesh.Trimesh:
    return trimmed(space, normal=-up, offset=-offset)


def _in_vehicle(body: Body, turned: np.ndarray) -> Body:
    """The body with its vehicle's axes for its own: it is drawn as it sits in the vehicle."""
    return Body(trimesh.Trimesh(body.mesh.vertices @ turned.T, body.mesh.faces, process=False), body.colour, body.opacity)
