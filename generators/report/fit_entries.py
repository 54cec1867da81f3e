"""How a design fits its vehicle, for programs."""

import math

import numpy as np

from generators.exports import names, obstacle_products
from generators.fit.movement import Pose, pose_words
from generators.fit.record import ROUNDING_MM, Access, Cure, Fit, Ground, Obstruction, Row
from generators.report.record import Run


def rows(run: Run) -> list[dict]:
    """One row for each obstacle and part, the nearest part of each obstacle first; mm in the vehicle's frame at the pose of the
    engine at which they are nearest, and once more in the frame of the engine there."""
    fit = run.fit
    return [_row(run, row) for o in fit.obstructions for row in sorted((r for r in fit.rows if r.obstruction is o), key=lambda r: r.clearance)]


def _row(run: Run, row: Row) -> dict:
    near, met = row.nearest, row.meeting
    turned, shift = run.fit.mounts.carried(near.pose)
    back = np.linalg.inv(run.placing.engine.matrix)
    engine = ((near.points - shift) @ turned) @ back[:3, :3].T + back[:3, 3]
    return {"obstacle": row.obstruction.name, "label": row.obstruction.label, "part": row.part, "piece": near.body.name, "gap_mm": near.gap,
            "required_mm": row.wanted, "tolerance_mm": ROUNDING_MM, "at_rest_mm": near.at_rest, "slack_mm": near.slack, "nearest_mm": near.points, "nearest_engine_mm": engine,
            "pose": pose(near.pose), "interference_mm3": met.volume if met else 0.0 if near.gap > 0 else None,
            "depth_mm": met.depth if met else 0.0 if near.gap > 0 else None}


def pose(found: Pose) -> dict:
    """Where the engine is on its mounts, and the same in words."""
    x, y, z = found.shift
    return {"x_mm": x, "y_mm": y, "z_mm": z, "roll_deg": math.degrees(found.roll), "pitch_deg": math.degrees(found.pitch),
            "yaw_deg": math.degrees(found.yaw), "words": pose_words(found)}


def summary(run: Run) -> dict:
    """What it all comes to."""
    fit = run.fit
    return {"assessed": not fit.reason, "why_not": fit.reason or None, "ground": _ground(fit.ground) if fit.ground else None,
            "ground_engine": _ground(fit.ground_engine) if fit.ground_engine else None,
            "engine_can_drop_mm": fit.drop, "drop_stops_at": fit.stop, "depth_below_rail_mm": depth_below_rail(run),
            "tool_access": [_access(a) for a in fit.access], "cures": {label: [_cure(c) for c in found] for label, found in fit.cures.items()},
            "obstacles": [_obstacle(o) for o in fit.obstructions], "block": [_row(run, r) for r in fit.block],
            "reservoir_to_engine": _row(run, fit.reservoir_engine) if fit.reservoir_engine else None,
            "not_in_step": obstacle_products.left_out(fit.obstructions), "pictures": pictures(fit)}


def pictures(fit: Fit) -> dict[str, str]:
    """Files of the tightest place of each obstacle, by its label, and of the whole."""
    if not fit.rows:
        return {}
    return {"overview": names.FIT_OVERVIEW, **{o.label: names.tightest(o.label) for o in fit.obstructions}}


def depth_below_rail(run: Run) -> float | None:
    """How far (mm) the lowest point of what is bolted under the engine lies below its rail; None where nothing is."""
    under = [p.part.name for p in run.placing.parts if not p.part.own_frame and p.part.name not in run.placing.beside]
    lows = [mesh.bounds[0][2] for name in under for mesh in run.meshes[name].copies.values()]
    return float(-run.read.parameters.pan_rail.below_crank - min(lows)) if lows else None


def _ground(found: Ground) -> dict:
    return {"clearance_mm": found.clearance, "required_mm": found.wanted, "suspension_travel_mm": found.travel, "part": found.part,
            "piece": found.piece, "point_mm": found.point, "pose": pose(found.pose)}


def _access(found: Access) -> dict:
    return {"x_mm": found.x, "y_mm": found.y, "free_mm": found.free, "wanted_mm": found.wanted, "nearest": found.nearest}


def _cure(found: Cure) -> dict:
    return {"way": found.way, "by_mm": found.by, "words": found.words, "then": found.then}


def _obstacle(o: Obstruction) -> dict:
    return {"name": o.name, "label": o.label, "from": o.said, "extent_mm": o.extent, "moves_with": "engine" if o.moves_with_engine else "vehicle",
            "bodies": len(o.bodies), "triangles": sum(len(b.faces) for b in o.bodies)}
