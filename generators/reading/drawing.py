"""A traced pan rail in a DXF drawing (layer OUTLINE one closed loop, layer BOLTS circles) -> outline and bolts, mm."""

import math
from pathlib import Path

from generators.outlines import COINCIDENT_MM, Loop, circle, without_repeats
from generators.parameters import Drawing
from generators.reading.chains import Piece, chained
from generators.reading.entities import Document, Entity, finite_number, read_document
from generators.units import convert

LARGEST_BYTES = 20_000_000
"""A traced outline is far smaller; a whole car's drawing is not what is meant."""

MOST_ENTITIES = 2000
"""More pieces than this are scanned dust, not a traced outline."""

OUTLINE, BOLTS = "OUTLINE", "BOLTS"

UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 9: "thou"}
"""$INSUNITS of the DXF reference -> the unit as written in a parameter file."""

CLOSED, NOT_PLAIN = 1, 2 | 4 | 8 | 16 | 64
"""Flag bits of a polyline (DXF reference, group code 70): closed; fitted to a curve, in space, or a mesh."""

REDRAW = {
    "SPLINE": "redraw it as lines and arcs, or flatten it to a polyline",
    "ELLIPSE": "redraw it as arcs, or flatten it to a polyline",
    "INSERT": "explode the block",
    "CIRCLE": "circles belong on layer BOLTS",
}


def read_drawing(path: Path, *, name: str) -> Drawing:
    """The rail drawn in the DXF file at `path`. Raises ValueError with a sentence for the user."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise ValueError(
            f"has {size / 1e6:.0f} MB; a drawing has at most {LARGEST_BYTES / 1e6:.0f} MB: save the outline alone"
        )
    document = read_document(path)
    scale = _millimetres(document)
    layers = _by_layer(document)
    if OUTLINE not in layers:
        found = ", ".join(sorted(layers)) or "none with anything on it"
        raise ValueError(
            f"has nothing on a layer OUTLINE (its layers: {found}): put the outer edge of the rail on that layer"
        )
    return Drawing(name, _outline(layers[OUTLINE], scale), _bolts(layers.get(BOLTS, []), scale))


def _millimetres(document: Document) -> float:
    """Millimetres in one drawing unit."""
    code = document.units
    if code not in UNITS:
        which = "does not say its units" if code == 0 else f"has $INSUNITS {code}, which is not a unit for this work"
        raise ValueError(f"{which}: set the drawing's units ($INSUNITS) to millimetres or inches and save it again")
    return convert(1.0, UNITS[code], "length")


def _by_layer(document: Document) -> dict[str, list[Entity]]:
    layers: dict[str, list[Entity]] = {}
    for entity in document.entities:
        layers.setdefault(entity.layer, []).append(entity)
    return layers


def _outline(entities: list[Entity], scale: float) -> Loop:
    if len(entities) > MOST_ENTITIES:
        raise ValueError(
            f"has {len(entities)} pieces on layer OUTLINE, more than {MOST_ENTITIES}: redraw it with fewer, longer ones"
        )
    loops, pieces = [], []
    for entity in entities:
        drawn = _drawn(entity, scale)
        (loops if isinstance(drawn, Loop) else pieces).append(drawn)
    loops += chained([p for p in pieces if p.length > COINCIDENT_MM])
    if len(loops) != 1:
        raise ValueError(
            f"has {len(loops)} closed loops on layer OUTLINE, where only the outer edge belongs: put holes and other "
            "lines on other layers, bolts as circles on layer BOLTS"
        )
    return loops[0]


def _drawn(entity: Entity, scale: float) -> Loop | Piece:
    """One entity as a closed loop or as a piece of one, mm."""
    readers = {"LINE": _line, "ARC": _arc, "CIRCLE": _circle, "LWPOLYLINE": _light_polyline, "POLYLINE": _polyline}
    if entity.kind not in readers:
        remedy = REDRAW.get(entity.kind, "move it to another layer")
        raise ValueError(f"has a {entity.kind} on layer OUTLINE, which takes LINE, ARC and polylines only: {remedy}")
    _require_flat(entity)
    return readers[entity.kind](entity, scale)


def _require_flat(entity: Entity) -> None:
    normal = (entity.number(210, 0.0), entity.number(220, 0.0), entity.number(230, 1.0))
    if math.dist(normal, (0, 0, 1)) > COINCIDENT_MM:
        raise ValueError(
            f"has a {entity.kind} that is not drawn in the plan seen from above: flatten the drawing to z = 0"
        )


def _line(entity: Entity, scale: float) -> Piece:
    if abs(entity.number(30) - entity.number(31)) * scale > COINCIDENT_MM:
        raise ValueError("has a LINE on layer OUTLINE that is not level: flatten the drawing to z = 0")
    start, end = (entity.number(10), entity.number(20)), (entity.number(11), entity.number(21))
    return Piece(((start[0] * scale, start[1] * scale, 0.0),), (end[0] * scale, end[1] * scale))


def _arc(entity: Entity, scale: float) -> Piece:
    first, last = math.radians(entity.number(50)), math.radians(entity.number(51))
    x, y, radius = (entity.number(code) * scale for code in (10, 20, 40))
    start, end = ((x + radius * math.cos(a), y + radius * math.sin(a)) for a in (first, last))
    return Piece(((*start, math.tan((last - first) % (2 * math.pi) / 4)),), end)


def _circle(entity: Entity, scale: float) -> Loop:
    return circle(x=entity.number(10) * scale, y=entity.number(20) * scale, radius=entity.number(40) * scale)


def _light_polyline(entity: Entity, scale: float) -> Loop | Piece:
    corners: list[list[float]] = []
    for code, value in entity.tags:
        if code == 10:
            corners.append([finite_number(value) * scale, 0.0, 0.0])
        elif code in (20, 42) and corners:
            corners[-1][1 if code == 20 else 2] = finite_number(value) * (scale if code == 20 else 1)
    return _path([tuple(c) for c in corners], is_closed=bool(entity.flags() & CLOSED))


def _polyline(entity: Entity, scale: float) -> Loop | Piece:
    if entity.flags() & NOT_PLAIN:
        raise ValueError("has a POLYLINE on layer OUTLINE that is not a plain flat one: convert it to a light polyline")
    corners = [(v.number(10) * scale, v.number(20) * scale, v.number(42)) for v in entity.parts]
    return _path(corners, is_closed=bool(entity.flags() & CLOSED))


def _path(corners: list[tuple[float, float, float]], *, is_closed: bool) -> Loop | Piece:
    if len(corners) < 2:
        raise ValueError("has a polyline of one point on layer OUTLINE: delete it")
    return without_repeats(corners) if is_closed else Piece(tuple(corners[:-1]), corners[-1][:2])


def _bolts(entities: list[Entity], scale: float) -> tuple[tuple[float, float], ...] | None:
    others = sorted({e.kind for e in entities} - {"CIRCLE"})
    if others:
        raise ValueError(
            f"has {', '.join(others)} on layer BOLTS, which takes circles only, one round each bolt's centre"
        )
    for entity in entities:
        _require_flat(entity)
    return tuple((e.number(10) * scale, e.number(20) * scale) for e in entities) or None
