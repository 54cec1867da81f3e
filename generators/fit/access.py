"""Whether a socket reaches each bolt of the pan from below with the engine in the vehicle."""

from collections.abc import Sequence

from generators.bodies import Body, box_gap, gap
from generators.bodies.lines import line
from generators.fit.enclosed import is_inside
from generators.fit.record import Access, Obstruction
from generators.sheet.frames import Frame

TOOL_MM = 150.0
"""Length of a socket with a short extension on it (common practice)."""

FAR_MM = 100.0
"""What is farther from a bolt is not looked for."""


def access(bolts: Sequence[tuple[float, float]], obstructions: Sequence[Obstruction], engine: Frame, *, underside: float,
           wanted: float) -> tuple[Access, ...]:
    """For each of `bolts` (x, y; mm, engine frame) the free radius round its axis, from `underside` (mm) of the flange down for the
    length of the tool, with the engine at rest; `wanted` is the tool's radius. FAR_MM where nothing is nearer."""
    return tuple(_one(x, y, obstructions, engine, underside, wanted) for x, y in bolts)


def _one(x: float, y: float, obstructions: Sequence[Obstruction], engine: Frame, underside: float, wanted: float) -> Access:
    start, end = engine.points([(x, y, underside), (x, y, underside - TOOL_MM)])
    axis, free, nearest = line(start, end), FAR_MM, "nothing"
    for obstruction in obstructions:
        for body in obstruction.bodies:
            if box_gap(axis, body) - body.bulge < free:
                found = _free(axis, body)
                free, nearest = min((free, nearest), (found, obstruction.name))
    return Access(x, y, float(free), wanted, nearest)


def _free(axis: Body, body: Body) -> float:
    """The gap, or nothing where the axis lies wholly inside."""
    found = gap(axis, body)
    return 0.0 if found > 0 and is_inside(body, axis.vertices[0]) else found
