"""Whether the parts that stand in one engine leave each other their room."""

import itertools
from collections.abc import Mapping

from generators.bodies import Body
from generators.bodies.sinking import sunk
from generators.checks.solids import SINK_MM, label
from generators.findings import Check, judged
from generators.meshes import CHORD_MM


def overlap(bodies: Mapping[str, tuple[Body, ...]]) -> Check:
    """Deepest overlap (mm) of two copies of different parts; `bodies` by part, all in the engine's frame."""
    pairs = [
        (one, a, other, b)
        for one, other in itertools.combinations(bodies, 2)
        for a in bodies[one]
        for b in bodies[other]
        if _boxes_meet(a, b)
    ]
    depth, words = max(
        ((sunk(a, b, enough=SINK_MM), f"{one} {label(a)} in {other} {label(b)}") for one, a, other, b in pairs),
        key=lambda found: found[0],
        default=(0.0, ""),
    )
    return judged(
        id="assembly.interpenetration",
        title="Deepest overlap of pieces of two parts",
        value=float(depth),
        limit=SINK_MM,
        unit="mm",
        sense="<=",
        source=f"pieces that only touch may be meshed into each other by two chords of {CHORD_MM} mm; {SINK_MM:g} mm at most "
        "(common practice)",
        method=f"intersection of the meshes (chord {CHORD_MM} mm) of all copies of {', '.join(bodies)} as they stand in the "
        f"engine; depth of an overlap: its least extent, or the deepest point of one skin under the other where that is "
        f"less{'; deepest: ' + words if depth > 0 else ''}",
    )


def _boxes_meet(a: Body, b: Body) -> bool:
    return bool((a.box[0] < b.box[1]).all() and (b.box[0] < a.box[1]).all())
