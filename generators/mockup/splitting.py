"""A body cut into pieces that fit a printer's bed, and what joins them again.

       left | right        A wall thick enough takes dowels across the cut; a plate gets dovetails in its plane; a thin wall
      ------+------        butts, and a strap of its own is glued over the joint from inside:
       o====|====o              ------+------
      ------+------              [ strap ]
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import manifold3d
import numpy as np
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.ops import unary_union

from generators.mockup.extruded import extruded
from generators.shop.hardware import ROD_MM

BED_MARGIN_MM = 5.0
"""Bed left free along each edge (common practice)."""

DOWEL_DEPTH_MM, DOWEL_WALL_MM, MOST_DOWELS = ROD_MM / 2 + 0.5, 1.2, 6
"""How deep a dowel may sit in each piece, metal left round its hole, and how many a joint has at most (common practice)."""

PLATE_MM = 6.0
"""A body no thicker is a plate: it is joined in its plane."""

LEAST_TAIL_MM, TAIL_NECK, TAIL_HEAD, TAIL_DEPTH, DEEPEST_TAIL_MM = 8.0, 0.36, 0.56, 0.4, 8.0
"""A strip of plate is dovetailed from this width on; neck, head and depth of its tail as shares of the strip's width."""

STRAP_HALF_MM, STRAP_MM, THIN_STRAP_MM, LEAST_STRAP_MM3 = 8.0, 2.0, 1.2, 1000.0
"""Half the breadth of a strap across the joint, its thickness, what of it is too thin to print, and the least of one that is worth it."""

KEEP_OFF_MM = 5.0
"""Cuts stay this far off holes and fittings where they can."""

TRIED = 25
"""Places that are looked at for each cut."""

DOWEL, DOVETAIL, STRAP, BUTT = "dowel", "dovetail", "strap", "butt"


@dataclass(frozen=True)
class Join:
    """How much a joint takes: `clearance` to each side and the diameter of its `dowel`, mm."""

    clearance: float
    dowel: float


@dataclass(frozen=True)
class Split:
    """A body in pieces: what they are, straps to be glued over joints, how each joint is made, what joints took away or gave, mm3, and where
    dowels and dovetails are: what they are and a point (3,) on the cut."""

    pieces: list[manifold3d.Manifold]
    straps: list[manifold3d.Manifold]
    joints: list[str]
    taken: float
    fixings: list[tuple[str, np.ndarray]] = field(default_factory=list)

    @property
    def dowels(self) -> int:
        """How many dowels the joints take."""
        return sum(kind == DOWEL for kind, _ in self.fixings)


@dataclass
class _Work:
    join: Join
    avoid: list[np.ndarray]
    keep_clear: manifold3d.Manifold
    prints: Callable[[manifold3d.Manifold], bool]
    straps: list[manifold3d.Manifold] = field(default_factory=list)
    strapped: manifold3d.Manifold = field(default_factory=manifold3d.Manifold)
    joints: list[str] = field(default_factory=list)
    taken: float = 0.0
    fixings: list[tuple[str, np.ndarray]] = field(default_factory=list)


def usable(bed: tuple[float, float, float]) -> np.ndarray:
    """Room for a piece on a bed, (3,) mm."""
    return np.array([bed[0] - 2 * BED_MARGIN_MM, bed[1] - 2 * BED_MARGIN_MM, bed[2] - BED_MARGIN_MM])


def cuts_along(extent: float, room: float) -> int:
    """How many pieces `extent` mm takes with `room` mm each."""
    return max(1, math.ceil(extent / room - 1e-9))


def axes_on_bed(extents: np.ndarray, room: np.ndarray) -> tuple[int, int, int]:
    """Which axis of the body (extents (3,) mm) lies along x, y and z of the bed: the way that takes the fewest pieces, as it stands among equals; a
    plate lies flat."""
    ways = WAYS if extents.min() > PLATE_MM else _flat(extents)
    return min(ways, key=lambda w: math.prod(cuts_along(extents[a], r) for a, r in zip(w, room, strict=True)))


WAYS = ((0, 1, 2), (1, 0, 2), (0, 2, 1), (2, 0, 1), (1, 2, 0), (2, 1, 0))
"""All ways to lay a body on a bed, square to it."""


def _flat(extents: np.ndarray) -> tuple[tuple[int, int, int], ...]:
    """Those with its least extent upwards."""
    return tuple(w for w in WAYS if w[2] == int(np.argmin(extents)))


def lying(extents: np.ndarray, room: np.ndarray) -> tuple[int, int, int]:
    """Which axis of a piece lies along x, y and z of the bed: a thin one flat where it fits so, else any way that fits; the nearest to it where none
    does."""
    wanted = (*_flat(extents), *WAYS) if extents.min() <= PLATE_MM else WAYS
    return min(wanted, key=lambda w: max(0.0, float((extents[list(w)] - room).max()) - 1e-6))


def split(body: manifold3d.Manifold, *, bed: tuple[float, float, float], join: Join, avoid: list[np.ndarray] = (),
          keep_clear: manifold3d.Manifold | None = None, prints: Callable[[manifold3d.Manifold], bool] = lambda strap: True) -> Split:
    """Cut a body to a bed (mm). `avoid` are boxes (2, 3) that cuts pass by where they can; straps stay out of `keep_clear`, and are left away where
    they do not `prints`. What would fit turned about z is turned, with its pieces."""
    turn = _turn_that_fits(body, usable(bed))
    body, clear = body.rotate((0, 0, turn)), (keep_clear or manifold3d.Manifold()).rotate((0, 0, turn))
    low, high = _box(body)
    room = np.empty(3)
    room[list(axes_on_bed(high - low, usable(bed)))] = usable(bed)
    work = _Work(join, [_turned_box(box, turn) for box in avoid], clear, prints)
    pieces = [body]
    is_plate = (high - low).min() <= PLATE_MM
    for axis in np.argsort(-(high - low) / room, kind="stable"):  # what is far too long first: its lengths may need no cut across
        pieces = [part for piece in pieces for part in _cut_along(piece, axis, room[axis], work, is_plate=is_plate)]
        pieces = [one for piece in pieces for one in _apart_bodies(piece, work)]
    return Split(pieces, [bit for strap in work.straps for bit in _short_enough(strap, bed)], work.joints, work.taken, work.fixings)


TURNS = (0.0, 15.0, 30.0, 45.0, 60.0, 75.0)
"""Degrees about z at which a body is tried on the bed."""


def _turn_that_fits(body: manifold3d.Manifold, room: np.ndarray) -> float:
    """Degrees about z by which a body stands on the bed uncut from above, in fewer pieces than as it is; 0 where none does: a tank with ears wider
    than the bed may fit across its corners."""
    def pieces(extents: np.ndarray) -> int:
        return math.prod(cuts_along(extents[a], r) for a, r in zip(axes_on_bed(extents, room), room, strict=True))

    boxes = {turn: np.diff(_box(body.rotate((0, 0, turn))), axis=0)[0] for turn in TURNS}
    fitting = [turn for turn, extents in boxes.items() if (extents[:2] <= room[:2]).all() and cuts_along(extents[2], room[2]) < pieces(boxes[0.0])]
    return min(fitting, key=lambda turn: (cuts_along(boxes[turn][2], room[2]), turn), default=0.0)


def _turned_box(box: np.ndarray, turn: float) -> np.ndarray:
    """The box (2, 3) round a box turned by `turn` degrees about z; its height may be endless."""
    if not turn:
        return box
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    corners = np.array([(c * x - s * y, s * x + c * y) for x in box[:, 0] for y in box[:, 1]])
    return np.column_stack([[corners.min(axis=0), corners.max(axis=0)], box[:, 2]])


def _short_enough(strap: manifold3d.Manifold, bed: tuple[float, float, float]) -> list[manifold3d.Manifold]:
    """A strap in lengths that fit the bed; they need no joint of their own, as they are glued side by side over that of the pieces."""
    low, high = _box(strap)
    bits = [strap]
    for axis, room in zip(axes_on_bed(high - low, usable(bed)), usable(bed), strict=True):
        count = cuts_along(high[axis] - low[axis], room)
        for place in np.linspace(low[axis], high[axis], count + 1)[1:-1]:
            bits = [side for bit in bits for side in bit.split_by_plane(tuple(np.eye(3)[axis]), float(place)) if not side.is_empty()]
    return [part for bit in bits for part in bit.decompose() if part.volume() > CRUMB_MM3]


CRUMB_MM3 = 5.0
"""What falls off a cut and is smaller is left away."""


def _apart_bodies(piece: manifold3d.Manifold, work: _Work) -> list[manifold3d.Manifold]:
    """The bodies that a cut leaves apart, each a piece of its own."""
    found = sorted(piece.decompose(), key=lambda b: -b.volume())
    work.taken += sum(b.volume() for b in found if b.volume() <= CRUMB_MM3)
    return [b for b in found if b.volume() > CRUMB_MM3]


def _box(body: manifold3d.Manifold) -> tuple[np.ndarray, np.ndarray]:
    box = np.array(body.bounding_box())
    return box[:3], box[3:]


def _cut_along(body: manifold3d.Manifold, axis: int, room: float, work: _Work, *, is_plate: bool) -> list[manifold3d.Manifold]:
    """The body in pieces no longer than `room` along an axis; a piece that falls apart is several."""
    out, rest = [], body
    tail = DEEPEST_TAIL_MM if is_plate else 0.0
    while True:
        low, high = (side[axis] for side in _box(rest))
        if high - low <= room + 1e-6:
            return [*out, rest]
        left = cuts_along(high - low, room - tail)
        share = (high - low) / left
        places = np.linspace(max(low + 0.25 * share, high - (left - 1) * (room - tail)), low + room - tail, TRIED)
        ranked = sorted(places, key=lambda p: (_cost(rest, axis, p, work), abs(p - low - share)))
        place = next((p for p in ranked if not _leaves_slivers(rest, axis, p)), ranked[0])
        piece, rest = _parted(rest, axis, float(place), work, is_plate=is_plate)
        out.append(piece)


def _cost(body: manifold3d.Manifold, axis: int, place: float, work: _Work) -> float:
    """How bad a cut is: first what it runs through, then how much it cuts."""
    low, high = _box(body)
    beside = [i for i in range(3) if i != axis]
    here = (box for box in work.avoid if (box[0][beside] < high[beside]).all() and (box[1][beside] > low[beside]).all())
    struck = sum(bool(box[0, axis] - KEEP_OFF_MM < place < box[1, axis] + KEEP_OFF_MM) for box in here)
    return 1e6 * struck + round(_section(body, axis, place).area, 1)


SLIVER_MM = 0.8
"""A wall that ends so soon beside a cut, over more than twice as much of it, is a sliver that no nozzle prints (two lines of a usual one)."""


def _leaves_slivers(body: manifold3d.Manifold, axis: int, place: float) -> bool:
    """Whether a cut runs so near along the skin of a wall that what is left of it is too thin."""
    here = _section(body, axis, place)
    return any(not here.difference(_section(body, axis, place + off)).buffer(-SLIVER_MM).is_empty for off in (-SLIVER_MM, SLIVER_MM))


def _parted(body, axis: int, place: float, work: _Work, *, is_plate: bool):
    """The body on the near and on the far side of a cut, with what joins them."""
    normal = np.eye(3)[axis]
    far, near = body.split_by_plane(tuple(normal), place)
    section = _section(body, axis, place)
    if section.area < 1e-6:
        return near, far
    if is_plate:
        tailed = _dovetailed(near, far, body, axis, place, section, work)
        if tailed is not None:
            return tailed
    near, far, pins = _dowelled(near, far, body, axis, place, section, work)
    straps = _straps(body, axis, place, section, work) if not is_plate else []
    work.straps += straps
    kinds = [counted(n, what) for n, what in ((pins, DOWEL), (len(straps), STRAP)) if n]
    work.joints.append(" and ".join(kinds) or BUTT)
    return near, far


def counted(number: int, what: str) -> str:
    """So many of a kind, in words."""
    return f"{number} {what}{'s' * (number > 1)}"


# ---------------------------------------------------------------- in the plane of a cut


def _upright(axis: int) -> np.ndarray:
    """Turns an axis of the body (3, 3) to z: rows are the two others in order, then it."""
    order = [(1, 2, 0), (2, 0, 1), (0, 1, 2)][axis]
    return np.eye(3)[list(order)]


def _turned(body: manifold3d.Manifold, turn: np.ndarray) -> manifold3d.Manifold:
    return body.transform(np.hstack([turn, np.zeros((3, 1))]))


def _section(body: manifold3d.Manifold, axis: int, place: float) -> MultiPolygon:
    """What a plane cuts of the body, in the plane of the two other axes."""
    loops = [Polygon(loop) for loop in _turned(body, _upright(axis)).slice(place).to_polygons() if len(loop) > 2]
    found = Polygon()
    for loop in sorted((p.buffer(0) for p in loops), key=lambda p: -p.area):
        found = found.symmetric_difference(loop)
    return found if isinstance(found, MultiPolygon) else MultiPolygon([found] if not found.is_empty else [])


def _prism(shape, axis: int, low: float, high: float) -> manifold3d.Manifold:
    """A plane shape over a stretch of an axis."""
    return _turned(extruded(shape, high - low).translate((0, 0, low)), _upright(axis).T)


def _dowelled(near, far, body, axis: int, place: float, section, work: _Work):
    """Both sides with holes for dowels wherever the metal holds them, as far apart as may be; how many."""
    hole = work.join.dowel / 2 + work.join.clearance
    places = []
    for spot in _spots(section.buffer(-(hole + DOWEL_WALL_MM))):
        around = _prism(Point(spot).buffer(hole + DOWEL_WALL_MM), axis, place - DOWEL_DEPTH_MM - 1, place + DOWEL_DEPTH_MM + 1)
        if (around - body).volume() < 1e-6 * around.volume():
            places.append(spot)
    for spot in _apart(places, MOST_DOWELS, 4 * hole):
        pin = _prism(Point(spot).buffer(hole), axis, place - DOWEL_DEPTH_MM, place + DOWEL_DEPTH_MM)
        work.taken += (pin ^ near).volume() + (pin ^ far).volume()
        near, far = near - pin, far - pin
        work.fixings.append((DOWEL, _upright(axis).T @ (*spot, place)))
    return near, far, len(_apart(places, MOST_DOWELS, 4 * hole))


def _spots(shape) -> list[tuple[float, float]]:
    """Candidate points within a shape: along the middle of each of its parts."""
    out = []
    for part in getattr(shape, "geoms", [shape]):
        if part.is_empty:
            continue
        inner = part.representative_point()
        out.append((inner.x, inner.y))
        x0, y0, x1, y1 = part.bounds
        for share in (0.02, 0.25, 0.5, 0.75, 0.98):
            for line in (((x0 + share * (x1 - x0), y0 - 1), (x0 + share * (x1 - x0), y1 + 1)), ((x0 - 1, y0 + share * (y1 - y0)), (x1 + 1, y0 + share * (y1 - y0)))):
                met = part.intersection(LineString(line))
                out += [tuple(g.interpolate(0.5, normalized=True).coords[0]) for g in getattr(met, "geoms", [met]) if g.geom_type == "LineString"]
    return out


def _apart(places, most: int, least: float) -> list[tuple[float, float]]:
    """Up to `most` of the places, each as far from the others as may be and no nearer than `least` mm."""
    left = sorted(set(places))
    chosen = left[:1]
    while left and len(chosen) < most:
        best = max(left, key=lambda p: min(math.dist(p, c) for c in chosen))
        if min(math.dist(best, c) for c in chosen) < least:
            break
        chosen.append(best)
    return chosen


def _straps(body, axis: int, place: float, section, work: _Work) -> list[manifold3d.Manifold]:
    """Strips that lie on the thin walls of a cut from inside, over both pieces, and clear of those of earlier cuts."""
    gap = work.join.clearance
    thin = section.difference(section.buffer(-STRAP_MM).buffer(2 * STRAP_MM))
    if thin.is_empty or thin.area < STRAP_MM:
        return []
    inside = MultiPolygon([Polygon(g.exterior) for g in _listed(section)]).convex_hull.buffer(-0.01)
    metal = unary_union([_section(body, axis, place + share * STRAP_HALF_MM) for share in (-1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1)])
    beside = thin.buffer(gap + STRAP_MM, join_style="mitre").difference(metal.buffer(gap, join_style="mitre")).intersection(inside)
    beside = beside.buffer(-THIN_STRAP_MM / 2).buffer(THIN_STRAP_MM / 2, join_style="mitre").simplify(0.01)
    solid = _prism(beside, axis, place - STRAP_HALF_MM, place + STRAP_HALF_MM) - work.keep_clear - work.strapped
    work.strapped += _prism(beside.buffer(gap, join_style="mitre"), axis, place - STRAP_HALF_MM - gap, place + STRAP_HALF_MM + gap)
    return [p for p in solid.decompose() if p.volume() > LEAST_STRAP_MM3 and (p ^ body).volume() < 1e-3 * p.volume() and work.prints(p)]


def _listed(shape) -> list[Polygon]:
    return [g for g in getattr(shape, "geoms", [shape]) if isinstance(g, Polygon) and not g.is_empty]


def _dovetailed(near, far, body, axis: int, place: float, section, work: _Work):
    """A plate's two sides with tails from the near one into the far one, in its plane; None where no strip is wide enough."""
    thin = int(np.argmin(_box(body)[1] - _box(body)[0]))
    if thin == axis:
        return None
    rows = _upright(axis)
    across = next(i for i in (0, 1) if not rows[i][thin])
    low, high = _box(body)[0][thin] - 1, _box(body)[1][thin] + 1
    tails, whole = 0, near.volume() + far.volume()
    for strip in _listed(section):
        a, b = strip.bounds[across], strip.bounds[across + 2]
        wide = b - a
        if wide < LEAST_TAIL_MM:
            continue
        depth, middle = min(TAIL_DEPTH * wide, DEEPEST_TAIL_MM), (a + b) / 2
        neck, head = (min(share * wide, 2.5 * depth * share / TAIL_HEAD) / 2 for share in (TAIL_NECK, TAIL_HEAD))
        tail = Polygon([(place - 0.01, middle - neck), (place - 0.01, middle + neck), (place + depth, middle + head), (place + depth, middle - head)])
        side = int(np.flatnonzero(rows[across])[0])
        near = near + (_in_plane(tail, axis, side, thin, low, high) ^ body)
        far = far - _in_plane(tail.buffer(work.join.clearance, join_style="mitre"), axis, side, thin, low, high)
        tails += 1
        at = np.zeros(3)
        at[[axis, side, thin]] = place, middle, (low + high) / 2
        work.fixings.append((DOVETAIL, at))
    if not tails:
        return None
    work.taken += whole - near.volume() - far.volume()
    work.joints.append(counted(tails, DOVETAIL))
    return near, far


def _in_plane(shape: Polygon, along: int, across: int, thin: int, low: float, high: float) -> manifold3d.Manifold:
    """A shape drawn in (along, across), over a stretch of the thin axis."""
    turn = np.zeros((3, 3))
    turn[along, 0], turn[across, 1], turn[thin, 2] = 1.0, 1.0, 1.0
    return extruded(shape, high - low).translate((0, 0, low)).transform(np.hstack([turn, np.zeros((3, 1))]))
