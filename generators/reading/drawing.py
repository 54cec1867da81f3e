"""A traced pan rail in a DXF drawing -> its outline and bolt centres, mm. Layer OUTLINE: one closed loop; layer BOLTS: circles."""

import math
from pathlib import Path

from generators.outlines import COINCIDENT_MM, Loop, circle, without_repeats
from generators.parameters import Drawing
from generators.reading.chains import Piece, chained
from generators.units import convert

LARGEST_BYTES = 20_000_000
"""A traced outline is far smaller; a whole car's drawing is not what is meant."""

MOST_ENTITIES = 5000
"""More pieces than this are scanned dust, not a traced outline."""

OUTLINE, BOLTS = "OUTLINE", "BOLTS"

UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 9: "thou"}
"""$INSUNITS of the DXF reference -> the unit as written in a parameter file."""

FITTED = 2 | 4
"""Flag bits of a POLYLINE whose corners are control points of a fitted curve (DXF reference, group code 70)."""

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
        raise ValueError(f"has {size / 1e6:.0f} MB; a drawing has at most {LARGEST_BYTES / 1e6:.0f} MB: save the outline alone")
    document = _document(path)
    scale = _millimetres(document)
    layers = _by_layer(document)
    if OUTLINE not in layers:
        found = ", ".join(sorted(layers)) or "none with anything on it"
        raise ValueError(f"has nothing on a layer OUTLINE (its layers: {found}): put the outer edge of the rail on that layer")
    return Drawing(name, _outline(layers[OUTLINE], scale), _bolts(layers.get(BOLTS, []), scale))


def _document(path: Path):
    import ezdxf

    try:
        return ezdxf.readfile(path)
    except (OSError, UnicodeError, ezdxf.DXFError, ValueError) as bad:
        raise ValueError(f"is not a DXF drawing that can be read ({str(bad).splitlines()[0] if str(bad) else type(bad).__name__}): "
                         "save it again as DXF, R2000 or later") from bad


def _millimetres(document) -> float:
    """Millimetres in one drawing unit."""
    code = document.header.get("$INSUNITS", 0)
    if code not in UNITS:
        which = "does not say its units" if code == 0 else f"has $INSUNITS {code}, which is not a unit for this work"
        raise ValueError(f"{which}: set the drawing's units ($INSUNITS) to millimetres or inches and save it again")
    return convert(1.0, UNITS[code], "length")


def _by_layer(document) -> dict[str, list]:
    layers: dict[str, list] = {}
    for entity in document.modelspace():
        layers.setdefault(entity.dxf.layer.upper(), []).append(entity)
    return layers


def _outline(entities: list, scale: float) -> Loop:
    if len(entities) > MOST_ENTITIES:
        raise ValueError(f"has {len(entities)} pieces on layer OUTLINE, more than {MOST_ENTITIES}: redraw it with fewer, longer ones")
    loops, pieces = [], []
    for entity in entities:
        drawn = _drawn(entity, scale)
        (loops if isinstance(drawn, Loop) else pieces).append(drawn)
    loops += chained([p for p in pieces if p.length > COINCIDENT_MM])
    if len(loops) != 1:
        raise ValueError(f"has {len(loops)} closed loops on layer OUTLINE, but the outer edge alone belongs there: put holes and other "
                         "lines on other layers, bolts as circles on layer BOLTS")
    return loops[0]


def _drawn(entity, scale: float) -> Loop | Piece:
    """One entity as a closed loop or as a piece of one, mm."""
    kind = entity.dxftype()
    readers = {"LINE": _line, "ARC": _arc, "CIRCLE": _circle, "LWPOLYLINE": _light_polyline, "POLYLINE": _polyline}
    if kind not in readers:
        remedy = REDRAW.get(kind, "move it to another layer")
        raise ValueError(f"has a {kind} on layer OUTLINE, which takes LINE, ARC and polylines only: {remedy}")
    _require_flat(entity)
    return readers[kind](entity, scale)


def _require_flat(entity) -> None:
    if entity.dxf.hasattr("extrusion") and math.dist(entity.dxf.extrusion, (0, 0, 1)) > COINCIDENT_MM:
        raise ValueError(f"has a {entity.dxftype()} that is not drawn in the plan seen from above: flatten the drawing to z = 0")


def _line(entity, scale: float) -> Piece:
    start, end = entity.dxf.start, entity.dxf.end
    if abs(start.z - end.z) * scale > COINCIDENT_MM:
        raise ValueError("has a LINE on layer OUTLINE that is not level: flatten the drawing to z = 0")
    return Piece(((start.x * scale, start.y * scale, 0.0),), (end.x * scale, end.y * scale))


def _arc(entity, scale: float) -> Piece:
    start, end = entity.start_point, entity.end_point
    included = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    return Piece(((start.x * scale, start.y * scale, math.tan(included / 4)),), (end.x * scale, end.y * scale))


def _circle(entity, scale: float) -> Loop:
    centre = entity.dxf.center
    return circle(x=centre.x * scale, y=centre.y * scale, radius=entity.dxf.radius * scale)


def _light_polyline(entity, scale: float) -> Loop | Piece:
    return _path([(x * scale, y * scale, bulge) for x, y, bulge in entity.get_points("xyb")], is_closed=entity.closed)


def _polyline(entity, scale: float) -> Loop | Piece:
    if not entity.is_2d_polyline or entity.dxf.flags & FITTED:
        raise ValueError("has a POLYLINE on layer OUTLINE that is not a plain flat one: convert it to a light polyline")
    corners = [(v.dxf.location.x * scale, v.dxf.location.y * scale, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
    return _path(corners, is_closed=entity.is_closed)


def _path(corners: list[tuple[float, float, float]], *, is_closed: bool) -> Loop | Piece:
    if len(corners) < 2:
        raise ValueError("has a polyline of one point on layer OUTLINE: delete it")
    return without_repeats(corners) if is_closed else Piece(tuple(corners[:-1]), corners[-1][:2])


def _bolts(entities: list, scale: float) -> tuple[tuple[float, float], ...] | None:
    others = sorted({e.dxftype() for e in entities} - {"CIRCLE"})
    if others:
        raise ValueError(f"has {', '.join(others)} on layer BOLTS, which takes circles only, one round each bolt's centre")
    for entity in entities:
        _require_flat(entity)
    return tuple((e.dxf.center.x * scale, e.dxf.center.y * scale) for e in entities) or None
