"""A flat pattern's drawing read again with other eyes than those that wrote it: what a cutter would find in the file.

The library that writes the drawings forgives much that a cutter does not: open loops, loops cut twice, splines and points where a line was
meant pass its own audit. So the text is read here by the DXF reference alone, group code by group code.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

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
    """The drawing in the text of a DXF file. Raises ValueError where it is no such text."""
    tags = list(_tags(text))
    faults, loops = list(_units(tags)), []
    for entity in _entities(tags):
        faults += _misplaced(entity)
        if entity.layer == CUT:
            loop, wrong = _loop(entity)
            faults += wrong
            loops += [loop] if loop else []
    found = CutFile(tuple(loops), tuple(faults))
    return CutFile(found.loops, (*found.faults, *_segments(found), *_tangles(found.polygons)))


Tag = tuple[int, str]
"""A group code of the DXF reference, and its value as text."""


def _tags(text: str) -> Iterator[Tag]:
    """The file's group codes and values: two lines each."""
    lines = text.splitlines()
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        yield int(code), value.strip()


@dataclass(frozen=True)
class Entity:
    """One entity of the model space: its kind, layer and group codes in their order."""

    kind: str
    layer: str
    tags: tuple[Tag, ...]

    def number(self, code: int, default: float = 0.0) -> float:
        """The first value of a group code; lengths in mm, bulges without a unit."""
        return next((float(value) for c, value in self.tags if c == code), default)


LAYER, SUBCLASS, SECTION_NAME, VARIABLE, WHOLE = 8, 100, 2, 9, 70
CLOSED = 1
"""Group codes, and the bit of a polyline's flags that closes it: DXF reference, LWPOLYLINE."""


def _entities(tags: list[Tag]) -> Iterator[Entity]:
    """What stands in the section ENTITIES."""
    starts = [i for i, tag in enumerate(tags) if tag == (SECTION_NAME, "ENTITIES") and tags[i - 1] == (0, "SECTION")]
    if not starts:
        raise ValueError("no section ENTITIES: not a DXF drawing")
    held: list[Tag] = []
    for tag in tags[starts[0] + 1:]:
        if tag[0] == 0:
            if held:
                yield _entity(held)
            held = []
            if tag[1] == "ENDSEC":
                return
        held.append(tag)


def _entity(held: list[Tag]) -> Entity:
    return Entity(held[0][1], next((value for code, value in held if code == LAYER), "0"), tuple(held[1:]))


def _header(tags: list[Tag], name: str) -> int | None:
    """A whole number of the header by its variable's name; None where it is not there."""
    at = next((i for i, tag in enumerate(tags) if tag == (VARIABLE, name)), None)
    return int(tags[at + 1][1]) if at is not None and tags[at + 1][0] == WHOLE else None


MM, METRIC = 4, 1


def _units(tags: list[Tag]) -> Iterator[str]:
    if (unit := _header(tags, "$INSUNITS")) != MM:
        yield f"its unit is number {unit}, not {MM} (mm)"
    if _header(tags, "$MEASUREMENT") != METRIC:
        yield "it says that it is measured in inches"


def _misplaced(entity: Entity) -> Iterator[str]:
    if entity.layer not in MAY_HOLD:
        yield f"a {entity.kind} on layer {entity.layer}"
    elif entity.kind not in MAY_HOLD[entity.layer]:
        yield f"a {entity.kind} on {entity.layer}, where only {' and '.join(MAY_HOLD[entity.layer])} belong"


def _loop(entity: Entity) -> tuple[Loop | None, list[str]]:
    """The loop of an entity that is cut, and what is wrong with it."""
    if tuple(entity.number(code, default) for code, default in zip((210, 220, 230), UPRIGHT, strict=True)) != UPRIGHT:
        return None, ["a cut that does not lie in the plane"]
    if entity.kind == "CIRCLE":
        radius = entity.number(40)
        wrong = ["a circle off the plane"] if entity.number(30) else []
        return (circle(x=entity.number(10), y=entity.number(20), radius=radius), wrong) if radius > 0 else (None, [*wrong, "a circle without a radius"])
    if entity.kind != "LWPOLYLINE":
        return None, []
    wrong = [] if int(entity.number(WHOLE)) & CLOSED else ["an outline that is not closed"]
    wrong += ["an outline off the plane"] if entity.number(38) else []
    vertices = _vertices(entity)
    return (Loop(vertices), wrong) if len(vertices) > 1 else (None, [*wrong, "an outline of a single point"])


def _vertices(entity: Entity) -> tuple[tuple[float, float, float], ...]:
    """The corners of a polyline: x, y and the bulge of the segment that starts there."""
    out: list[list[float]] = []
    for code, value in entity.tags:
        if code == 10:
            out.append([float(value), 0.0, 0.0])
        elif code in (20, 42) and out:
            out[-1][1 if code == 20 else 2] = float(value)
    return tuple((x, y, b) for x, y, b in out)


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
