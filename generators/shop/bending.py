"""In which order a folded piece is bent, against what it is gauged, over which die, and with what force."""

import math
from dataclasses import dataclass

import numpy as np

from generators.pieces import Part, Piece
from generators.sheet.flat import BendLine
from generators.shop.brake import FAR, Blank, Room, at, blank, in_brake, room
from generators.standards import Unknown, material, usual_die
from generators.standards.limits import bend_force

ENOUGH_MM = 40.0
"""With this much beside the punch's middle no other order is looked for: a straight punch and a gooseneck's throat both have room."""

ALONG_MM = 1e-3
"""A gauge stops an edge that runs along the bend within this."""

GAUGE_REACH_MM = 500.0
"""How far behind the punch a back gauge can stand (common practice)."""

UPRIGHT = math.radians(85.0)
"""A leg that was bent by less slips over the back gauge."""


@dataclass(frozen=True)
class PlannedBend:
    """One bend of a piece as it is made: its number on the drawing, its line; the opening of the die, mm; the force, N (None where the
    material's strength is not known); `gauge` mm from the middle of the bend to what lies against the back gauge, `against` in words
    (None where nothing square lies there: bend to a scribed line); whether the piece is turned over first; and the room it has."""

    number: int
    bend: BendLine
    die: float
    force: float | None
    gauge: float | None
    against: str
    turned_over: bool
    room: Room


@dataclass(frozen=True)
class BendPlan:
    """The bends of a piece in their order."""

    piece: str
    bends: tuple[PlannedBend, ...]

    @property
    def least(self) -> PlannedBend:
        """The bend with the least room."""
        return min(self.bends, key=lambda b: b.room.spare)


def bend_plans(part: Part) -> tuple[BendPlan, ...]:
    """A plan for each piece of the part that has bends."""
    return tuple(bend_plan(p) for p in part.pieces if p.flat is not None and p.flat.bends)


def bend_plan(piece: Piece) -> BendPlan:
    """The order of a folded piece's bends that leaves most room, the outermost first among equals. Raises ValueError where the bends do not
    part its flat."""
    made = blank(piece.flat, thickness=piece.thickness)
    die = usual_die(piece.thickness)
    order = best_order(made, die=die)
    out, bent, up = [], frozenset(), None
    for number in order:
        bend = made.links[number].bend
        turned, up = up is not None and (bend.angle > 0) != up, bend.angle > 0
        gauge, against = back_gauge(made, bent, number)
        out.append(PlannedBend(number + 1, bend, die, _force(piece, bend, die), gauge, against, turned, room(made, bent, number, die=die)))
        bent = bent | {number}
    return BendPlan(piece.name, tuple(out))


def _force(piece: Piece, bend: BendLine, die: float) -> float | None:
    try:
        strength = material(piece.material).tensile_strength
    except Unknown:
        return None
    return bend_force(strength=strength, length=bend.length, thickness=piece.thickness, die=die)


def best_order(made: Blank, *, die: float) -> tuple[int, ...]:
    """Numbers of the bends in the order that leaves the most room over a die of opening `die` mm: outermost first where that has ENOUGH_MM,
    else the best of all orders."""
    usual = tuple(sorted(range(len(made.links)), key=lambda i: (_hangs(made, i), i)))
    known: dict[tuple[int, frozenset[int]], float] = {}

    def spare(number: int, bent: frozenset[int]) -> float:
        if (number, bent) not in known:
            known[number, bent] = min(room(made, bent, number, die=die).spare, ENOUGH_MM)
        return known[number, bent]

    if min(spare(n, frozenset(usual[:i])) for i, n in enumerate(usual)) >= ENOUGH_MM:
        return usual
    return _best(usual, spare)


def _hangs(made: Blank, number: int) -> float:
    """How much metal moves with a bend: the smaller of both sides, mm2."""
    return min(sum(made.faces[f].outline.area for f in side) for side in made.beyond[number])


def _best(usual: tuple[int, ...], spare) -> tuple[int, ...]:
    """Over all orders the largest least room, set by set of the bends that are made; ties by the usual order."""
    best: dict[frozenset[int], tuple[float, tuple[int, ...]]] = {frozenset(): (FAR, ())}
    for _ in usual:
        grown: dict[frozenset[int], tuple[float, tuple[int, ...]]] = {}
        for bent, (least, order) in best.items():
            for number in usual:
                if number in bent:
                    continue
                found = min(least, spare(number, bent))
                now = bent | {number}
                if now not in grown or found > grown[now][0]:
                    grown[now] = (found, (*order, number))
        best = grown
    return next(iter(best.values()))[1]


def back_gauge(made: Blank, bent: frozenset[int], number: int) -> tuple[float | None, str]:
    """Distance (mm) from the middle of a bend to what lies against a back gauge on the roomier side when the bends `bent` are made, and what
    that is; None where no edge or bend runs along it there."""
    link = made.links[number]
    placed = in_brake(made, bent, number, 0.0)
    found = []
    for name, faces in zip(("left", "right"), made.beyond[number], strict=True):
        stop = max((_reach(made, placed, face, bent) for face in faces), key=lambda r: r[0], default=(0.0, False, ""))
        if link.bend.allowance / 2 < stop[0] < GAUGE_REACH_MM and stop[1]:
            found.append((stop[0], f"{stop[2]} on its {name}"))
    return min(found, key=lambda f: f[0]) if found else (None, "scribed line")


def _reach(made: Blank, placed, face: int, bent: frozenset[int]) -> tuple[float, bool, str]:
    """How far (mm) a face reaches from the bend at the height of the sheet, whether a gauge can stop it there, and by what."""
    if _level(placed[face], made):
        rim = np.abs(at(placed[face], np.array(made.faces[face].outline.exterior.coords))[:, 0])
        at_end = rim > rim.max() - ALONG_MM
        return float(rim.max()), bool((at_end[1:] & at_end[:-1]).any()), "edge"
    for link in (made.links[i] for i in bent if face in (made.links[i].left, made.links[i].right)):
        other = link.left if face == link.right else link.right
        if _level(placed[other], made):
            ends = np.abs(at(placed[other], np.array([link.bend.start, link.bend.end]))[:, 0])
            upright = abs(link.bend.angle) > UPRIGHT
            out = ends.max() - link.bend.allowance / 2 + link.bend.radius + made.thickness
            return float(out), upright and float(np.ptp(ends)) < ALONG_MM, "bent leg"
    return 0.0, False, ""


def _level(where: np.ndarray, made: Blank) -> bool:
    """Whether a face lies flat on the die."""
    return abs(abs(where[2, 2]) - 1) < 1e-9 and abs(where[2, 3]) < made.thickness
