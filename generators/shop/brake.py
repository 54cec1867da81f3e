"""A flat piece in a press brake: how its faces stand while one bend is made, and how near they come to punch, die and each other.

      left legs   |punch|   right legs      seen along the bend: x across it, z up, the middle of the sheet at its
            \\     \\   /     /              lowest point in the origin; at every moment both legs rise alike; the
             \\     \\ /     /               bend turns up, so that a piece is turned over for one that is drawn down
    __________\\____.____/__________
              |   die   |

Faces are flat polygons in the middle of the sheet, so that the tools are taken thicker by half of it. mm, rad.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely import contains_xy, prepare
from shapely.geometry import LineString, Point, Polygon

from generators.outlines import flattened
from generators.sheet.flat import BendLine, FlatPattern

STEP_MM = 5.0
"""Faces are looked at in points no farther apart than this."""

SLIVER_MM2 = 0.5
"""What is left of a face by rounding where its bend was taken out is smaller."""

MOMENTS = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the angle at which the piece is looked at as it is bent."""

PUNCH_HALF_MM, PUNCH_HEIGHT_MM, RAM_HALF_MM = 15.0, 120.0, 40.0
"""Half the breadth of a straight punch with its holder, how high it stands over the sheet, and half the breadth of the ram above it
(common practice: 100 to 150 mm high)."""

DIE_HEIGHT_MM, BED_HALF_MM = 80.0, 40.0
"""How high a die stands on its bed, and half the breadth of that (common practice)."""

WIDEST_TIP, TIP_CLEARANCE = math.radians(43.0), math.radians(2.0)
"""Half the angle of a punch's tip at most (86 degrees is usual), and by how much it is sharper than the bend."""

FAR = math.inf


@dataclass(frozen=True)
class Face:
    """A flat part between bends: its outline on the flat, and points (n, 2) on it and its rim, mm."""

    outline: Polygon
    points: np.ndarray


@dataclass(frozen=True)
class Link:
    """A bend, and the numbers of the faces to its left and right as it is drawn."""

    bend: BendLine
    left: int
    right: int


@dataclass(frozen=True)
class Room:
    """How a bend goes, mm: `punch` from the middle of the punch to what stands beside it (negative: beyond the middle), `high` how far over
    the die that is, `die` to the die or the bed; whether the piece runs through itself."""

    punch: float
    high: float
    die: float
    clear: bool

    @property
    def spare(self) -> float:
        """What a straight punch leaves, mm; less than all else where the bend cannot be made at all."""
        return self.punch if self.clear and self.die >= 0 else -FAR


@dataclass(frozen=True)
class Blank:
    """A flat as faces that hang together by bends; `thickness` mm."""

    faces: tuple[Face, ...]
    links: tuple[Link, ...]
    thickness: float

    @cached_property
    def beyond(self) -> tuple[tuple[frozenset[int], frozenset[int]], ...]:
        """For each bend the faces on its left and on its right."""
        out = []
        for link in self.links:
            right = self._reached(link.right, without=link)
            out.append((frozenset(range(len(self.faces))) - right, frozenset(right)))
        return tuple(out)

    def _reached(self, face: int, *, without: Link) -> set[int]:
        known, ahead = {face}, [face]
        while ahead:
            here = ahead.pop()
            for link in self.links:
                if link is not without and here in (link.left, link.right):
                    there = link.right if here == link.left else link.left
                    if there not in known:
                        known.add(there)
                        ahead.append(there)
        return known


def blank(flat: FlatPattern, *, thickness: float) -> Blank:
    """The faces of a flat. Raises ValueError where its bends do not part it into one more face than there are bends."""
    strips = [LineString([b.start, b.end]).buffer(b.allowance / 2, cap_style="flat").buffer(1e-6, join_style="mitre") for b in flat.bends]
    metal = Polygon(flattened(flat.outer))
    for strip in strips:
        metal = metal.difference(strip)
    left = [g for g in getattr(metal, "geoms", [metal]) if g.area > SLIVER_MM2]
    if len(left) != len(flat.bends) + 1:
        raise ValueError(f"{len(flat.bends)} bends part the flat into {len(left)} faces, not into {len(flat.bends) + 1}")
    return Blank(tuple(Face(g, _points(g)) for g in left), tuple(_link(b, left) for b in flat.bends), thickness)


def _link(bend: BendLine, faces: list[Polygon]) -> Link:
    start, along, across = _axes(bend)
    middle, off = start + along * bend.length / 2, across * (bend.allowance / 2 + 0.1)
    beside = [Point(middle + off), Point(middle - off)]
    return Link(bend, *(int(np.argmin([face.distance(p) for face in faces])) for p in beside))


def _axes(bend: BendLine) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Start, direction along and to the left of a bend line, each (2,)."""
    start, end = np.array(bend.start), np.array(bend.end)
    along = (end - start) / np.linalg.norm(end - start)
    return start, along, np.array([-along[1], along[0]])


def _points(face: Polygon) -> np.ndarray:
    """Points on the rim of a face and within it, (n, 2)."""
    rim = np.array(face.exterior.segmentize(STEP_MM).coords)[:-1]
    x0, y0, x1, y1 = face.bounds
    grid = np.stack(np.meshgrid(np.arange(x0, x1, STEP_MM), np.arange(y0, y1, STEP_MM)), axis=-1).reshape(-1, 2)
    prepare(face)
    return np.vstack([rim, grid[contains_xy(face, grid[:, 0], grid[:, 1])]])


# ---------------------------------------------------------------- how faces stand


def _over(bend: BendLine, angle: float, *, thickness: float, to_left: bool) -> np.ndarray:
    """Where what lies beyond a bend goes, (4, 4) on the flat (z up towards who looks at it), when it is turned by `angle` (rad, positive up)."""
    start, _, across = _axes(bend)
    out = across if to_left else -across
    frame = np.eye(4)
    frame[:2, 0], frame[:2, 1], frame[:2, 3] = out, (-out[1], out[0]), start
    middle, c, s = bend.radius + thickness / 2, math.cos(angle), math.sin(angle)
    arc = abs(angle) / abs(bend.angle) * bend.allowance
    hinge = np.array([[c, 0, -s, middle * abs(s) - arc / 2], [0, 1, 0, 0], [s, 0, c, math.copysign(middle * (1 - c), angle)], [0, 0, 0, 1.0]])
    back = np.eye(4)
    back[0, 3] = -arc / 2
    return frame @ hinge @ back @ np.linalg.inv(frame)


def standing(made: Blank, bent: frozenset[int], face: int, *, without: int) -> dict[int, np.ndarray]:
    """Where the faces that hang on `face` otherwise than by bend `without` stand, (4, 4) each, when the bends `bent` are made."""
    placed, ahead = {face: np.eye(4)}, [face]
    while ahead:
        here = ahead.pop()
        for i, link in enumerate(made.links):
            if i == without or here not in (link.left, link.right):
                continue
            there, to_left = (link.right, False) if here == link.left else (link.left, True)
            if there not in placed:
                turn = link.bend.angle if i in bent else 0.0
                placed[there] = placed[here] @ (_over(link.bend, turn, thickness=made.thickness, to_left=to_left) if turn else np.eye(4))
                ahead.append(there)
    return placed


def in_brake(made: Blank, bent: frozenset[int], number: int, share: float) -> dict[int, np.ndarray]:
    """Where every face stands, (4, 4) into the brake, when the bends `bent` are made and bend `number` is made to `share`."""
    link = made.links[number]
    start, along, across = _axes(link.bend)
    turn, up = abs(link.bend.angle) * share, math.copysign(1.0, link.bend.angle)
    middle, arc = link.bend.radius + made.thickness / 2, link.bend.allowance * share
    flat = np.eye(4)  # x to the right of the bend line, turned over where the bend is drawn down
    flat[0, :2], flat[1, :2], flat[2, 2] = -up * across, along, up
    flat[:3, 3] = -flat[:3, :3] @ np.array([*(start + along * link.bend.length / 2), 0.0])
    placed = {}
    for side, face in ((up, link.right), (-up, link.left)):
        c, s = math.cos(turn / 2), math.sin(turn / 2)
        leg = np.array([[c, 0, -side * s, side * (middle * s - arc / 2 * c)], [0, 1, 0, 0],
                        [side * s, 0, c, middle * (1 - c) - arc / 2 * s], [0, 0, 0, 1.0]])
        for other, where in standing(made, bent, face, without=number).items():
            placed[other] = leg @ flat @ where
    return placed


def at(where: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (n, 2) of the flat where `where` (4, 4) puts them, (n, 3)."""
    return points @ where[:3, :2].T + where[:3, 3]


# ---------------------------------------------------------------- what is in the way


def room(made: Blank, bent: frozenset[int], number: int, *, die: float) -> Room:
    """How bend `number` goes when the bends `bent` are made already, over a die of opening `die` mm."""
    link = made.links[number]
    right = made.beyond[number][1] if link.bend.angle > 0 else made.beyond[number][0]
    found, below, clear = (FAR, 0.0), FAR, True
    for share in MOMENTS:
        placed = in_brake(made, bent, number, share)
        for face, where in placed.items():
            points = at(where, made.faces[face].points)
            here = points[np.abs(points[:, 1]) < link.bend.length / 2]
            side = 1.0 if face in right else -1.0
            below = min(below, _to_die(here, die=die, thickness=made.thickness, side=side))
            if face not in (link.left, link.right):
                found = min(found, _to_punch(here, turn=abs(link.bend.angle) * share, thickness=made.thickness, side=side))
        clear = clear and not _runs_through_itself(made, placed)
    return Room(*found, below, clear)


def _to_punch(points: np.ndarray, *, turn: float, thickness: float, side: float) -> tuple[float, float]:
    """The least that points (n, 3) stand beside the middle of the punch, as if it were a straight one all the way, and how high."""
    high = points[:, 2] - thickness / 2
    over = high > thickness
    if not over.any():
        return FAR, 0.0
    tip = min(WIDEST_TIP, math.pi / 2 - turn / 2 - TIP_CLEARANCE)
    half = np.minimum(PUNCH_HALF_MM, high * math.tan(tip))
    half = np.where(high > PUNCH_HEIGHT_MM, RAM_HALF_MM, half)
    beside = np.where(over, side * points[:, 0] - thickness / 2 + PUNCH_HALF_MM - half, FAR)
    least = int(np.argmin(beside))
    return float(beside[least]), float(high[least])


def _to_die(points: np.ndarray, *, die: float, thickness: float, side: float) -> float:
    """The least distance of what hangs below the sheet (points (n, 3)) to the die, mm; negative in it."""
    deep = -points[:, 2] - thickness / 2
    half = np.where(deep > DIE_HEIGHT_MM, BED_HALF_MM, die / 2) + thickness / 2
    beside = np.where(deep > thickness, side * points[:, 0] - half, FAR)
    return float(beside.min()) if len(points) else FAR


def _runs_through_itself(made: Blank, placed: dict[int, np.ndarray]) -> bool:
    """Whether a face lies within another that it does not hang on; edges that meet do not count."""
    beside = {frozenset((link.left, link.right)) for link in made.links}
    for one, where in placed.items():
        inner = made.faces[one].outline.buffer(-made.thickness)
        if inner.is_empty:
            continue
        back = np.linalg.inv(where)
        for other, there in placed.items():
            if other == one or frozenset((one, other)) in beside:
                continue
            seen = at(back @ there, made.faces[other].points)
            near = seen[np.abs(seen[:, 2]) < made.thickness / 2]
            if len(near) and contains_xy(inner, near[:, 0], near[:, 1]).any():
                return True
    return False
