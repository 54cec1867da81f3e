"""Whether a hose can be screwed on where a pan has an end for one."""

import math
from dataclasses import replace

import manifold3d
import numpy as np

from generators import standards
from generators.findings import CAUTION, FAIL, Check, judged
from generators.meshes import PartMeshes, manifold
from generators.pieces import HoseEnd, Part

STEPS = 36
"""Directions round an end from which a spanner is laid on."""

HEAD, OFF, TIPS, THICK, HANDLE, LONG = 2.1, 0.2, 0.6, 0.35, 0.7, 6.0
"""An open spanner over the width of its jaw: breadth of its round head, how far the middle of that lies towards the handle, how far the tips of its
jaw reach beyond the nut's axis, thickness, breadth of the handle and its length (common practice)."""

PLACES = (0.2, 0.45, 0.7)
"""Where along the nut it is laid on, over the width across flats."""

NEEDED_DEG = 30.0
"""An open spanner that is turned over takes a hexagon on by so much at a time."""

TOUCH_MM3 = 1e-3
"""A spanner and a mesh that share less than this only touch."""


def spanner(end: HoseEnd, turn: float, place: float) -> manifold3d.Manifold:
    """An open spanner on the nut, its handle `turn` rad round the end from its frame's x; `place` mm along it."""
    flats, (c, s) = standards.flare(end.dash).nut, (math.cos(turn), math.sin(turn))
    thick = THICK * flats
    head = manifold3d.Manifold.cylinder(thick, HEAD / 2 * flats, circular_segments=32).translate((OFF * flats, 0, 0))
    head = head.trim_by_plane((1, 0, 0), -TIPS * flats)
    handle = manifold3d.Manifold.cube((LONG * flats, HANDLE * flats, thick)).translate((0, -HANDLE / 2 * flats, 0))
    laid = (head + handle).transform([[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, place - thick / 2]])
    return laid.transform(end.where.matrix[:3])


def swing(end: HoseEnd, around: manifold3d.Manifold) -> float:
    """The longest run of directions, degrees, from which a spanner goes on the nut of an end without touching what is `around`."""
    nut = standards.flare(end.dash).nut
    free = [any((spanner(end, 2 * math.pi * k / STEPS, end.base + p * nut) ^ around).volume() < TOUCH_MM3 for p in PLACES) for k in range(STEPS)]
    if all(free):
        return 360.0
    runs = "".join("x" if f else " " for f in free)
    return max(map(len, (runs + runs).split()), default=0) * 360.0 / STEPS


def hose_room(part: Part, meshes: PartMeshes) -> list[Check]:
    """Room to turn a spanner on the worst hose end of a pan; nothing where it has none."""
    found = []
    for end in part.hose_ends:
        others = [manifold(m) for key, m in meshes.copies.items() if key != (end.piece, end.index)]
        found.append((swing(end, manifold3d.Manifold.batch_boolean(others, manifold3d.OpType.Add)), end))
    if not found:
        return []
    value, worst = min(found, key=lambda f: f[0])
    x, y, z = np.round(worst.where.matrix[:3, 3])
    check = judged(id=f"{part.name}.hose_room", title="Room to turn a spanner on a hose's nut", value=value, limit=NEEDED_DEG, unit="deg", sense=">=",
                   source="an open spanner turned over moves a hexagon by 30 deg; its head as broad as 2.1 times its jaw (common practice)",
                   method=f"an open spanner of {standards.flare(worst.dash).nut:.1f} mm laid on {len(found)} hose end{'s' * (len(found) > 1)} from {STEPS} directions at {len(PLACES)} places "
                          f"along the nut, against the meshes of all other pieces; the longest run of free ones at the worst, {worst.dash} at x {x:g}, y {y:g}, z {z:g} mm"
                          + ("" if value >= NEEDED_DEG else ": tight for a plain spanner; one ground narrow, an end whose nut stands farther out, a smaller "
                             "size, or more room beside it would help"))
    return [replace(check, status=CAUTION) if check.status == FAIL else check]
