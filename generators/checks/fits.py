"""What the parts clear in the vehicle, measured against what is wanted."""

import math
from collections.abc import Sequence

from generators.findings import CAUTION, FAIL, Check, judged, not_assessed
from generators.fit.access import TOOL_MM
from generators.fit.cures import MOST_MM
from generators.fit.movement import pose_words
from generators.fit.obstacles import size_doubt
from generators.fit.record import ROUNDING_MM, Access, Cure, Fit, Ground, Obstruction, Row
from generators.fit.together import INSIDE

OVER = "over all of the engine's movement"
ROUNDED = f"less {ROUNDING_MM:g} mm for the rounding of meshes"

HOW = ("least distance between the meshes of all parts and of the obstacle (sagitta of rounded outsides taken off, meshed finer where "
       "they are nearest), exact for every shift of the engine on its mounts and bounded between the turns that are looked at")

TOLD_CURES = 3
"""No more ways to make it fit are told in a check's line: the report has all."""


def checks(fit: Fit, *, has_vehicle: bool) -> list[Check]:
    """Every check of the fit; that of the ground alone, not assessed, where the engine's place is not known."""
    if fit.reason:
        words = {"id": "fit.ground_clearance", "title": "Parts to the ground", "unit": "mm", "sense": ">="}
        return [not_assessed(**words, reason=fit.reason, source="ground clearance as asked")] if has_vehicle else []
    found = [_obstacle(fit, o) for o in fit.obstructions]
    found += [_block(r) for r in fit.block]
    found += [_size(o) for o in fit.obstructions]
    found += [_tank(fit.reservoir_engine)] if fit.reservoir_engine else []
    found += [_ground(fit.ground, is_tank=fit.ground.part in fit.fixed)] if fit.ground else []
    return found + ([_access(fit.access)] if fit.access else [])


def _obstacle(fit: Fit, obstruction: Obstruction) -> Check:
    rows = [r for r in fit.rows if r.obstruction is obstruction]
    words = {"id": f"fit.{obstruction.label}", "title": f"Parts to the {obstruction.name}", "unit": "mm", "sense": ">="}
    source = f"gap {obstruction.gap:g} mm, as asked, {ROUNDED}"
    if not rows:
        return not_assessed(**words, reason="no part has its place in the vehicle", source=source)
    worst = min(rows, key=lambda r: r.clearance)
    said = f"{HOW}; nearest: {where(worst)}"
    if worst.meeting is not None:
        said += f"; they share {worst.meeting.volume / 1e3:.3g} cm3 at the worst of the poses looked at, {pose_words(worst.meeting.pose)}"
    elif worst.nearest.gap <= 0:
        said += "; they meet, how deep could not be measured"
    if worst.falls_short:
        said += f"; {remedies(fit.cures.get(obstruction.label, ()))}"
    return judged(**words, value=worst.clearance, limit=limit(obstruction.gap), source=source, method=said)


def limit(wanted: float) -> float:
    """What a gap is held against, mm."""
    return max(0.0, wanted - ROUNDING_MM)


def where(row: Row) -> str:
    """Which piece is nearest, where, and when."""
    near = row.nearest
    at = ", ".join(f"{c:.0f}" for c in near.points[0])
    rest = "" if pose_words(near.pose) == "at rest" else f" (at rest {near.at_rest:.2f} mm)"
    return f"{row.part} {near.body.name} at {at} mm in the vehicle, engine {pose_words(near.pose)}{rest}{_of_inside(near.body.name)}"


def _of_inside(piece: str) -> str:
    """What is to be said of a pan of which only the inside is known."""
    return "; of a pan that is there already only the inside is known: its sheet takes its thickness off that" if piece == INSIDE else ""


def remedies(found: Sequence[Cure]) -> str:
    """What would make it fit, in a sentence."""
    good = [c.words for c in found if not c.then][:TOLD_CURES]
    if good:
        return "it would fit with " + ", or ".join(good)
    half = [f"{c.words} (but then short: {'; '.join(c.then)})" for c in found][:TOLD_CURES]
    return "nothing that was tried makes all fit: " + ", or ".join(half) if half else f"no move of up to {MOST_MM:g} mm clears it"


def _block(row: Row) -> Check:
    name = row.obstruction.name
    return judged(
        id=f"fit_block.{row.obstruction.label}", title=f"Engine's block to the {name}", value=row.clearance, limit=limit(row.wanted), unit="mm", sense=">=",
        source="two bodies cannot be in one place: where they are, look at the obstacle's place and unit and at vehicle.rail_above_ground",
        method=f"least distance {OVER} from the obstacle to the room inside the rail's gasket face up to the crank axis; nearest: {where(row)}")


def _size(obstruction: Obstruction) -> Check:
    value, against, sense, words = size_doubt(obstruction)
    found = judged(id=f"fit_size.{obstruction.label}", title=f"Size of the {obstruction.name} as read", value=value, limit=against, unit="mm",
                   sense=sense, source="sizes of what stands round an engine (common practice)", method=words)
    return _at_most_caution(found)


def _at_most_caution(found: Check) -> Check:
    """The check, a caution where it would fail."""
    return Check(**{**vars(found), "status": CAUTION}) if found.status == FAIL else found


def _tank(row: Row) -> Check:
    return judged(id="fit.reservoir_engine", title="Tank on the chassis to the engine", value=row.clearance, limit=limit(row.wanted), unit="mm",
                  sense=">=", source=f"{row.wanted:g} mm between what moves and what does not (common practice), {ROUNDED}",
                  method=f"{HOW.replace('the obstacle', 'the tank')}, and of the room inside the rail's gasket face up to the crank axis; "
                         f"nearest: {where(row)}")


def _ground(ground: Ground, *, is_tank: bool) -> Check:
    at = ", ".join(f"{c:.0f}" for c in ground.point)
    sunk = f", the suspension down by {ground.travel:g} mm" if ground.travel else ", with the vehicle at rest on its springs"
    what = "tank" if is_tank else "engine"
    more = "" if ground.clearance >= limit(ground.wanted) else f"; it would fit with the {what} {math.ceil(ground.wanted - ground.clearance):g} mm up"
    return judged(id="fit.ground_clearance", title="Parts to the ground", value=ground.clearance, limit=limit(ground.wanted), unit="mm", sense=">=",
                  source=f"ground clearance {ground.wanted:g} mm, as asked, {ROUNDED}",
                  method=f"lowest corner of the meshes {OVER}{sunk}: {ground.part} {ground.piece}, at rest at {at} mm in the vehicle, "
                         f"engine {pose_words(ground.pose)}{_of_inside(ground.piece)}{more}")


def _access(found: Sequence[Access]) -> Check:
    worst = min(found, key=lambda a: a.free)
    short = [f"x {a.x:.0f}, y {a.y:.0f} mm ({a.nearest})" for a in found if a.free < a.wanted]
    return _at_most_caution(judged(
        id="fit_access.bolts", title="Free radius for a socket at the worst bolt, in the vehicle", value=worst.free,
        limit=worst.wanted, unit="mm", sense=">=", source=f"socket's free radius {worst.wanted:g} mm (common practice)",
        method=f"least distance from the axes of {len(found)} bolts, over {TOOL_MM:g} mm below the flange, to the obstacles, engine at rest; "
               + (f"no socket reaches {len(short)}, at {', '.join(short)}: the pan comes off with the engine raised" if short else "all are reached")))
