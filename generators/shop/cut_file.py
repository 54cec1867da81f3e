"""A flat pattern's drawing read again with other eyes than those that wrote it: what a cutter would find in the file.

A reader of drawings forgives much that a cutter does not: open loops, loops cut twice, splines and points where
a line was meant pass its own audit.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from io import StringIO

import ezdxf
from ezdxf.document import Drawing
from shapely import STRtree
from shapely.geometry import Polygon
from shapely.ops import unary_union

from generators.outlines import Loop, circle, flattened, perimeter, signed_area

CUT = "CUT"
MAY_HOLD = {CUT: ("LWPOLYLINE", "CIRCLE"), "BEND_UP": ("LINE",), "BEND_DOWN": ("LINE",), "ETCH": ("LWPOLYLINE", "LINE"), "NOTE": ("TEXT",)}
"""Layers, and the entities that each may hold."""

LEAST_SEGMENT_MM = 0.05
"""A cutter stumbles over shorter ones (laser-cutting design guides: 0.05 to 0.1 mm)."""

CHORD_MM = 0.002
"""How near the polygons are to the loops."""

SAME_MM = 1e-3
"""Two cuts nearer than this, over this length, are one cut made twice."""

UPRIGHT = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class CutFile:
    """What one drawing holds: the loops that are cut (mm), and what is wrong with it, in words."""

    loops: tuple[Loop, ...]
    faults: tuple[str, ...]

    @cached_property
    def polygons(self) -> tuple[Polygon, ...]:
        """The loops as polygons."""
        return tuple(Polygon(flattened(loop, CHORD_MM)) for loop in self.loops)

    @property
    def area(self) -> float:
        """Inside the largest loop less all others, mm2."""
        areas = sorted(abs(signed_area(loop)) for loop in self.loops)
        return areas[-1] - sum(areas[:-1]) if areas else 0.0

    @property
    def cut_length(self) -> float:
        """Length of all loops, mm."""
        return sum(perimeter(loop) for loop in self.loops)

    @property
    def least_segment(self) -> float:
        """Shortest line or arc, mm; none is 0."""
        return min((length for loop in self.loops for length in segment_lengths(loop)), default=0.0)


def segment_lengths(loop: Loop) -> Iterator[float]:
    """Chord of each segment of a loop, mm; of a round one its diameter."""
    for start, end, _ in loop.segments():
        yield float(((end - start) ** 2).sum() ** 0.5)


def read(text: str) -> CutFile:
    """The drawing in the text of a DXF file."""
    document = ezdxf.read(StringIO(text))
    faults = list(_units(document))
    loops = []
    for entity in document.modelspace():
        faults += _misplaced(entity)
        if entity.dxf.layer == CUT:
            loop, wrong = _loop(entity)
            faults += wrong
            loops += [loop] if loop else []
    found = CutFile(tuple(loops), tuple(faults))
    return CutFile(found.loops, (*found.faults, *_segments(found), *_tangles(found.polygons)))


def _units(document: Drawing) -> Iterator[str]:
    if document.header.get("$INSUNITS") != ezdxf.units.MM:
        yield f"its unit is number {document.header.get('$INSUNITS')}, not 4 (mm)"
    if document.header.get("$MEASUREMENT") != 1:
        yield "it says that it is measured in inches"


def _misplaced(entity) -> Iterator[str]:
    layer, kind = entity.dxf.layer, entity.dxftype()
    if layer not in MAY_HOLD:
        yield f"a {kind} on layer {layer}"
    elif kind not in MAY_HOLD[layer]:
        yield f"a {kind} on {layer}, where only {' and '.join(MAY_HOLD[layer])} belong"


def _loop(entity) -> tuple[Loop | None, list[str]]:
    """The loop of an entity that is cut, and what is wrong with it."""
    if tuple(entity.dxf.get("extrusion", UPRIGHT)) != UPRIGHT:
        return None, ["a cut that does not lie in the plane"]
    if entity.dxftype() == "CIRCLE":
        (x, y, z), radius = entity.dxf.center, entity.dxf.radius
        return circle(x=x, y=y, radius=radius), ["a circle off the plane"] if z else []
    if entity.dxftype() != "LWPOLYLINE":
        return None, []
    wrong = [] if entity.closed else ["an outline that is not closed"]
    wrong += ["an outline off the plane"] if entity.dxf.get("elevation", 0.0) else []
    vertices = tuple((x, y, b) for x, y, b in entity.get_points("xyb"))
    return (Loop(vertices), wrong) if len(vertices) > 1 else (None, [*wrong, "an outline of a single point"])


def _segments(found: CutFile) -> Iterator[str]:
    if not found.loops:
        yield "nothing to cut"
    elif found.least_segment < LEAST_SEGMENT_MM:
        yield f"a segment of {found.least_segment:.4f} mm, shorter than {LEAST_SEGMENT_MM:g}"


def _tangles(polygons: tuple[Polygon, ...]) -> Iterator[str]:
    """Loops that cross themselves or each other, that are cut twice, or that lie where no loop may."""
    if not polygons:
        return
    yield from (f"a loop that crosses itself near {p.exterior.coords[0]}" for p in polygons if not p.is_valid)
    rims, outer = [p.exterior for p in polygons], max(polygons, key=lambda p: p.area)
    tree = STRtree(rims)
    for i, j in sorted((i, j) for i, j in tree.query(rims, predicate="dwithin", distance=SAME_MM).T if i < j):
        twice = rims[i].intersection(rims[j].buffer(SAME_MM)).length
        yield f"two loops that meet or run on each other over {twice:.3f} mm, at {_words(rims[j].representative_point())}"
    if not all(p.is_valid for p in polygons):
        return
    inner = [p for p in polygons if p is not outer]
    yield from (f"a loop outside the outline, at {_words(p.representative_point())}" for p in inner if not outer.contains(p))
    if inner and unary_union(inner).area < sum(p.area for p in inner) * (1 - 1e-9):
        yield "a loop inside a hole"


def _words(point) -> str:
    return f"{point.x:.1f}, {point.y:.1f}"
