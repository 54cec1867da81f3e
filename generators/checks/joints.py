"""Whether pieces touch where they are joined, and nowhere else."""

import itertools

import numpy as np

from generators.bodies import Body, least_gap, point_gap
from generators.checks.solids import all_pairs, label
from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.pieces import Part, Seam
from generators.standards import KNUCKLE_CLEARANCE

STRANGERS_MM = 0.02
"""Nearer than this two pieces touch: less than half of the closest running fit (0.05 mm a side), so that a loose pin's
play counts as a gap even with the chords of both meshes taken off."""

ROOT_GAP_MM = 0.5
"""Widest root gap of a TIG weld in thin sheet."""

STEP_MM = 4.0
"""Greatest distance between the points of a seam at which it is measured."""

FAR_MM = 1e6


def strangers(part: Part, bodies: tuple[Body, ...]) -> Check:
    """Least gap (mm) between copies of pieces that are neither welded nor said to touch."""
    pairs = [(a, b) for a, b in all_pairs(bodies) if frozenset((a.name, b.name)) not in part.joined]
    words = {
        "id": f"{part.name}.strangers",
        "title": "Least gap between pieces that are not joined",
        "unit": "mm",
        "sense": ">=",
    }
    source = (
        f"less than half of the closest running fit of a hinge, {KNUCKLE_CLEARANCE.least / 2:g} mm a side; "
        f"{KNUCKLE_CLEARANCE.source}"
    )
    if not pairs:
        return not_assessed(
            **words, reason="the part is one piece, or every piece is joined to every other", source=source
        )
    value, a, b = least_gap(pairs)
    return judged(
        **words,
        value=value,
        limit=STRANGERS_MM,
        source=source,
        method=f"least distance between the meshes (chord {CHORD_MM} mm, sagitta of rounded outsides taken off) of "
        f"{len(pairs)} pairs of copies; nearest: {label(a)} and {label(b)}",
    )


def resampled(path: np.ndarray, step: float = STEP_MM) -> np.ndarray:
    """Points (n, 3) along a path (k, 3), its corners among them, no two neighbours farther apart than `step` mm."""
    path = np.asarray(path, float)
    out = [path[:1]]
    for a, b in itertools.pairwise(path):
        count = max(1, int(np.ceil(np.linalg.norm(b - a) / step)))
        out.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(out)


def worst_on_seam(seam: Seam, bodies: tuple[Body, ...]) -> float:
    """Largest sum, over the points of a seam, of the distances to the nearest copy of each of its pieces, mm: no
    less than the gap that is to be welded there. Of a piece welded to itself (a rolled shell) only that the path
    lies on it."""
    sides = [[b for b in bodies if b.name == name] for name in (seam.a, seam.b)]
    sides = sides[:1] if seam.a == seam.b else sides
    return max(sum(min(near(p, side)) for side in sides) for p in resampled(seam.path))


def near(point: np.ndarray, copies: list[Body]) -> list[float]:
    """Distances (mm) of a point from those copies whose boxes may hold the nearest one."""
    boxes = [float(np.linalg.norm(np.maximum(np.maximum(b.box[0] - point, point - b.box[1]), 0))) for b in copies]
    found, best = [], FAR_MM
    for i in np.argsort(boxes):
        if boxes[i] > best:
            break
        found.append(point_gap(point, copies[i]))
        best = min(best, found[-1])
    return found


def joints(part: Part, bodies: tuple[Body, ...]) -> Check:
    """Worst gap (mm) between pieces that a seam is said to join, along its path."""
    words = {"id": f"{part.name}.joints", "title": "Worst gap along a weld", "unit": "mm", "sense": "<="}
    source = "root gap of a TIG weld in thin sheet, at most 0.5 mm: common practice"
    if not part.seams:
        return not_assessed(**words, reason="the part has no seams", source=source)
    value, seam = max(((worst_on_seam(s, bodies), s) for s in part.seams), key=lambda found: found[0])
    return judged(
        **words,
        value=float(value),
        limit=ROOT_GAP_MM,
        source=source,
        method=f"at points every {STEP_MM:g} mm of {len(part.seams)} seams: distance to the mesh of one piece plus "
        f"distance to the mesh of the other; worst: {seam.a} to {seam.b}",
    )
