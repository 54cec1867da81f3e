"""A folded piece: flat regions joined by bends. A plate is the case with one region and no bend.

    side view of one bend            parent        child's origin sits where the bend ends;
                                 ------------o     its x runs back along the bend line,
    z up: sheet fills 0..t                    \\    its y leads away from the parent
                                               o---- child
"""

import itertools
import math
from dataclasses import dataclass, field

import numpy as np

from generators.outlines import COINCIDENT_MM, Loop, anticlockwise, moved, signed_area, without_repeats
from generators.sheet.bending import bend_allowance, bend_deduction
from generators.sheet.flat import BendLine, FlatPattern
from generators.sheet.frames import Frame, frame, identity


@dataclass(frozen=True)
class Region:
    """A flat part of the sheet in its own frame, mm. Where it hangs on a bend, the first side of `outer` is the bend
    line, from (0, 0) to (bend length, 0), and the metal lies at y > 0."""

    name: str
    outer: Loop
    holes: tuple[Loop, ...] = ()

    def __post_init__(self):
        if signed_area(self.outer) <= 0:
            raise ValueError(f"region {self.name}: the outer loop must run anticlockwise")


@dataclass(frozen=True)
class Bend:
    """`child` hangs on side number `side` of the parent's outer loop, from `start` to `end` mm along that side (the
    whole side by default); `angle` in rad, positive towards the parent's +z; `radius` inside, mm."""

    parent: str
    child: str
    side: int
    angle: float
    radius: float
    start: float = 0.0
    end: float | None = None


@dataclass(frozen=True)
class FoldedSheet:
    """Thickness in mm, K-factor (neutral fibre / thickness from the inside), regions (the first is the root) and the
    bends that join them into a tree. Raises ValueError where the description does not hold together."""

    thickness: float
    k_factor: float
    regions: tuple[Region, ...]
    bends: tuple[Bend, ...] = ()
    by_name: dict[str, Region] = field(init=False, repr=False, compare=False)

    def __post_init__(self):
        object.__setattr__(self, "by_name", {r.name: r for r in self.regions})
        if not self.thickness > 0 or not 0 < self.k_factor <= 1:
            raise ValueError(f"thickness {self.thickness} or K-factor {self.k_factor} is impossible")
        if len(self.by_name) != len(self.regions):
            raise ValueError("two regions share a name")
        children = [b.child for b in self.bends]
        if sorted(children) != sorted(r.name for r in self.regions[1:]):
            raise ValueError("each region but the first must hang on exactly one bend")
        for bend in self.bends:
            _refuse_side(self, bend)
            _agree(self, bend)
        _refuse_overlaps(self)
        if len(_outwards(self)) < len(self.bends):
            raise ValueError("some regions hang on each other and on nothing else")

    def bends_of(self, name: str) -> list[Bend]:
        """The bends that carry children of region `name`."""
        return [b for b in self.bends if b.parent == name]


def plate(*, outer: Loop, thickness: float, holes=(), k_factor: float = 0.5) -> FoldedSheet:
    """A flat plate, `thickness` in mm: one region, no bend."""
    return FoldedSheet(thickness, k_factor, (Region("plate", anticlockwise(outer), tuple(holes)),))


def _ends_on_parent(sheet: FoldedSheet, bend: Bend) -> tuple[np.ndarray, np.ndarray]:
    """Where the bend starts and ends on the parent's outline, each (2,)."""
    a, b, bulge = sheet.by_name[bend.parent].outer.segments()[bend.side]
    length = float(np.linalg.norm(b - a))
    end = length if bend.end is None else bend.end
    if bulge or not -COINCIDENT_MM <= bend.start < end <= length + COINCIDENT_MM:
        raise ValueError(f"bend {bend.parent}-{bend.child}: {bend.start}..{end} is no part of a straight side "
                         f"of {length} mm")
    along = (b - a) / length
    return a + along * bend.start, a + along * end


def _refuse_side(sheet: FoldedSheet, bend: Bend) -> None:
    if bend.parent not in sheet.by_name:
        raise ValueError(f"bend {bend.parent}-{bend.child}: there is no region {bend.parent}")
    least = 0 if bend.parent == sheet.regions[0].name else 1
    sides = len(sheet.by_name[bend.parent].outer.vertices)
    if not least <= bend.side < sides:
        raise ValueError(f"bend {bend.parent}-{bend.child}: side {bend.side} is not one of {least}..{sides - 1}, "
                         "the sides that can carry a bend")


def _refuse_overlaps(sheet: FoldedSheet) -> None:
    """Two bends may meet on a side but not share a stretch of it: the same metal cannot go both ways."""
    taken: dict[tuple[str, int], list[tuple[float, float, str]]] = {}
    for bend in sheet.bends:
        length = float(np.linalg.norm(np.subtract(*_ends_on_parent(sheet, bend))))
        taken.setdefault((bend.parent, bend.side), []).append((bend.start, bend.start + length, bend.child))
    for (parent, side), stretches in taken.items():
        stretches.sort()
        for (_, end, one), (start, _, other) in itertools.pairwise(stretches):
            if start < end - COINCIDENT_MM:
                raise ValueError(f"side {side} of region {parent}: the bends to {one} and {other} overlap")


def _agree(sheet: FoldedSheet, bend: Bend) -> None:
    first, last = _ends_on_parent(sheet, bend)
    a, b, bulge = sheet.by_name[bend.child].outer.segments()[0]
    if bulge or np.linalg.norm(a) > COINCIDENT_MM or abs(b[1]) > COINCIDENT_MM or b[0] < 0:
        raise ValueError(f"region {bend.child}: its first side must run from (0, 0) along +x")
    length = float(np.linalg.norm(last - first))
    if abs(b[0] - length) > COINCIDENT_MM:
        raise ValueError(f"bend {bend.parent}-{bend.child}: the child's side is {b[0]} mm, the bend {length} mm")
    if not 0 < abs(bend.angle) < math.pi or not bend.radius > 0:
        raise ValueError(f"bend {bend.parent}-{bend.child}: angle {bend.angle} or radius {bend.radius} is impossible")


def allowance(sheet: FoldedSheet, bend: Bend) -> float:
    """Width of the bend on the flat, mm."""
    return bend_allowance(angle=bend.angle, radius=bend.radius, thickness=sheet.thickness, k_factor=sheet.k_factor)


# ---------------------------------------------------------------- the flat


def flat_frames(sheet: FoldedSheet) -> dict[str, tuple[np.ndarray, float]]:
    """For each region its origin (2,) and turn (rad) on the flat pattern."""
    placed = {sheet.regions[0].name: (np.zeros(2), 0.0)}
    for bend in _outwards(sheet):
        origin, turn = placed[bend.parent]
        first, last = _ends_on_parent(sheet, bend)
        back = (first - last) / np.linalg.norm(first - last)
        out = np.array([-back[1], back[0]])
        local = last + out * allowance(sheet, bend)
        c, s = math.cos(turn), math.sin(turn)
        placed[bend.child] = (origin + np.array([[c, -s], [s, c]]) @ local, turn + math.atan2(back[1], back[0]))
    return placed


def _outwards(sheet: FoldedSheet) -> list[Bend]:
    """Bends in an order in which each parent is placed before its children."""
    order, known = [], [sheet.regions[0].name]
    while known:
        for bend in sheet.bends_of(known.pop()):
            order.append(bend)
            known.append(bend.child)
    return order


def _boundary(sheet: FoldedSheet, name: str, placed) -> list[tuple[float, float, float]]:
    """Vertices of region `name` with everything that hangs on it, on the flat, from the start of its first side."""
    origin, turn = placed[name]
    outer = moved(sheet.by_name[name].outer, x=origin[0], y=origin[1], angle=turn)
    out = []
    for side, (start, _, bulge) in enumerate(outer.segments()):
        out.append((*start, bulge))
        hung = sorted((b for b in sheet.bends_of(name) if b.side == side), key=lambda b: b.start)
        for bend in hung:
            c, s = math.cos(turn), math.sin(turn)
            ends = [origin + np.array([[c, -s], [s, c]]) @ p for p in _ends_on_parent(sheet, bend)]
            child = _boundary(sheet, bend.child, placed)
            out.append((*ends[0], 0.0))
            out.extend(child[1:])
            out.append((*child[0][:2], 0.0))
            out.append((*ends[1], 0.0))
    return out


def flat_of(sheet: FoldedSheet) -> FlatPattern:
    """The flat pattern: outer loop spliced from the regions' own sides, so exact; holes and bend lines with it."""
    placed = flat_frames(sheet)
    holes = tuple(moved(h, x=placed[r.name][0][0], y=placed[r.name][0][1], angle=placed[r.name][1])
                  for r in sheet.regions for h in r.holes)
    outer = _without_straight_corners(without_repeats(_boundary(sheet, sheet.regions[0].name, placed)))
    bends = tuple(_bend_line(sheet, b, placed) for b in _outwards(sheet))
    return FlatPattern(outer, holes, bends, root=sheet.regions[0].outer if bends else None)


def _bend_line(sheet: FoldedSheet, bend: Bend, placed) -> BendLine:
    origin, turn = placed[bend.child]
    width = allowance(sheet, bend)
    length = sheet.by_name[bend.child].outer.segments()[0][1][0]
    c, s = math.cos(turn), math.sin(turn)
    turned = np.array([[c, -s], [s, c]])
    start, end = (tuple(map(float, origin + turned @ (x, -width / 2))) for x in (0, length))
    deduction = bend_deduction(angle=bend.angle, radius=bend.radius, thickness=sheet.thickness, k_factor=sheet.k_factor)
    return BendLine(start, end, bend.angle, bend.radius, width, deduction)


def _without_straight_corners(loop: Loop) -> Loop:
    """The loop less the corners at which two straight sides run on in one line."""
    vertices, points, bulges = loop.vertices, loop.points, loop.bulges
    keep = []
    for i, vertex in enumerate(vertices):
        before, after = points[i] - points[i - 1], points[(i + 1) % len(points)] - points[i]
        cross = before[0] * after[1] - before[1] * after[0]
        longer = max(np.linalg.norm(before), np.linalg.norm(after))
        straight = abs(cross) < COINCIDENT_MM * longer and before @ after > 0
        if not (straight and not bulges[i] and not bulges[i - 1]):
            keep.append(vertex)
    return Loop(tuple(keep))


# ---------------------------------------------------------------- folded in space


def bent_frame(*, first: np.ndarray, last: np.ndarray, angle: float, radius: float, thickness: float) -> Frame:
    """Frame of the child in the parent's frame after the bend; `first`, `last` (2,) mm are the bend's ends on it,
    `angle` in rad, positive towards the parent's +z, inside `radius` and `thickness` in mm."""
    back = (first - last) / np.linalg.norm(first - last)
    out = np.array([-back[1], back[0], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    turn, c, s = abs(angle), math.cos(angle), math.sin(angle)
    if angle > 0:
        along, rise = (radius + thickness) * math.sin(turn), (radius + thickness) * (1 - math.cos(turn))
    else:
        along, rise = radius * math.sin(turn), -radius * (1 - math.cos(turn))
    origin = np.array([*last, 0.0]) + out * along + up * rise
    return frame(origin=origin, x=np.array([*back, 0.0]), z=-s * out + c * up)


def folded_frames(sheet: FoldedSheet, root: Frame | None = None) -> dict[str, Frame]:
    """Where each region lies once folded, with the first region at `root`."""
    placed = {sheet.regions[0].name: root or identity()}
    for bend in _outwards(sheet):
        first, last = _ends_on_parent(sheet, bend)
        placed[bend.child] = placed[bend.parent] @ bent_frame(
            first=first, last=last, angle=bend.angle, radius=bend.radius, thickness=sheet.thickness)
    return placed


def bend_ends(sheet: FoldedSheet, bend: Bend) -> tuple[np.ndarray, np.ndarray]:
    """Ends of the bend's tangent line on its parent, in the parent's frame, each (2,) mm."""
    return _ends_on_parent(sheet, bend)


def metal_volume(sheet: FoldedSheet) -> float:
    """Volume of the folded piece in mm3: regions x thickness, and each bend by Pappus."""
    flat = sum(abs(signed_area(r.outer)) - sum(abs(signed_area(h)) for h in r.holes) for r in sheet.regions)
    lengths = [float(np.linalg.norm(np.subtract(*_ends_on_parent(sheet, b)))) for b in sheet.bends]
    middles = [b.radius + sheet.thickness / 2 for b in sheet.bends]
    bends = sum(abs(b.angle) * r * length for b, r, length in zip(sheet.bends, middles, lengths, strict=True))
    return (flat + bends) * sheet.thickness


